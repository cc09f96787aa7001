/* feature_notes -- one line for each cut of a part: what no dimension line
 * of its drawing says. */
#include "press/sections.h"

#include <math.h>

static void note_size(Press *p, Para *para, const char *before, Quantity q,
                      Str source) {
    say(p, para, before);
    say_figure(p, para, figure_length(p->c, p->e, q, source));
}

/* The radius of a segmental arch, R = c²/8h + h/2 (trade-figures 4.4). */
Quantity arch_radius(const Feature *f) {
    double c = f->width.real, h = f->rise.real;

    return quantity_mm(c * c / (8 * h) + h / 2);
}

/* ---- By kind ---- */

static void note_hole(Press *p, Para *para, const Feature *f, Str source) {
    note_size(p, para, " ⌀ ", f->diameter, source);
    if (f->sink.real <= 0)
        return;
    note_size(p, para, ", countersunk ⌀ ", f->sink, source);
    say(p, para, " at ");
    say_figure(p, para, figure_angle(p->c, f->sink_angle, source));
}

/* Its sizes stand beside the drawing; the radius follows from them. */
static void note_arch(Press *p, Para *para, const Feature *f, Str source) {
    if (f->arch != ARCH_SEGMENTAL)
        return;
    note_size(p, para, ", (radius ", arch_radius(f), source);
    say(p, para, ")");
}

static void note_tenon(Press *p, Para *para, const Feature *f, Str source) {
    static const char *const at[] = {
        " at the show face", " at the back face", " at the near edge",
        " at the far edge"
    };
    const char *before = "; shoulders ";

    note_size(p, para, ", ", f->length, source);
    note_size(p, para, " long, ", f->thick, source);
    note_size(p, para, " thick, ", f->wide, source);
    say(p, para, " wide");
    for (int i = 0; i < 4; i++) {
        if (f->shoulder[i].real <= 1e-6)
            continue;
        note_size(p, para, before, f->shoulder[i], source);
        say(p, para, at[i]);
        before = ", ";
    }
}

static void note_fingers(Press *p, Para *para, const Feature *f,
                         Str source) {
    say(p, para, ", ");
    say_count(p, para, f->repeats, "fingers at the end");
    note_size(p, para, " fingers; fingers and gaps ", f->pitch, source);
    note_size(p, para, " wide, ", f->length, source);
    say(p, para, f->starts_gap
        ? " deep, a gap first at the near edge"
        : " deep, a finger first at the near edge");
    if (f->left_over.real > 0.01)
        note_size(p, para, ", the last one only ", f->left_over, source);
}

/* Both sizes, less those in which it runs through the part. */
static void note_rectangle(Press *p, Para *para, const Part *part,
                           const Feature *f, Str source) {
    bool along_y = !f->crosswise;   // its width runs along y
    bool in_face = feature_in_face(f);

    if (f->thick.real > 0) {
        note_tenon(p, para, f, source);
        return;
    }
    if (f->repeats > 0) {
        note_fingers(p, para, f, source);
        return;
    }
    for (int i = 0; i < 2; i++) {
        bool     y    = i ? along_y : !along_y;
        Quantity size = y ? f->width : f->length;
        if (in_face && feature_reach(part, f, y) == REACH_THROUGH)
            continue;
        if (in_face)
            size = feature_extent(p->c, part, f, y);
        note_size(p, para, ", ", size, source);
        say(p, para, i ? " wide" : " long");
    }
    if (f->round_ends)
        say(p, para, ", round ends");
}

static void note_profile(Press *p, Para *para, const Feature *f,
                         Str source) {
    say(p, para, ", ");
    say_count(p, para, f->repeats, "scallops along the edge");
    note_size(p, para, " of ", f->pitch, source);
    note_size(p, para, " each, ", f->drop, source);
    say(p, para, " deep");
    if (f->profile == PROFILE_DENTILS) {
        note_size(p, para, ", each a tooth of ", f->tooth, source);
        say(p, para, " and a gap");
    }
    say(p, para, f->side == SIDE_FAR ? ", along the far edge"
                                     : ", along the near edge");
    if (f->left_over.real > 0.01) {
        note_size(p, para, "; ", f->left_over, source);
        say(p, para, " is left over at the right");
    }
}

static void note_edging(Press *p, Para *para, const Feature *f,
                        Str source) {
    static const char *const at[] = {   // ORDER ARRIS
        " near edge", " far edge", " left end", " right end",
        " whole outline", " arch", " cutout"
    };
    const char *before = f->side == SIDE_BACK ? ", back face, at the"
                                              : ", show face, at the";

    if (f->kind == FEATURE_ROUND) {
        Para r = label_radius(p, figure_length(p->c, p->e, f->width,
                                               source));
        say(p, para, " ");
        for (int i = 0; i < r.spans.n; i++)
            *PUSH(p->c, &para->spans) = r.spans.at[i];
    } else {
        note_size(p, para, ", ", f->width, source);
        note_size(p, para, " wide, ", f->drop, source);
        say(p, para, " down the edge");
    }
    for (int i = 0; i < ARRISES; i++) {
        if (!f->on[i])
            continue;
        say(p, para, before);
        say(p, para, at[i]);
        before = ",";
    }
}

/* ---- Where and how deep ---- */

/* How far up the thickness a cut in an edge lies. */
static void note_height(Press *p, Para *para, const Feature *f, Str source) {
    if (f->kind == FEATURE_HOLE)
        note_size(p, para, ", its center ", f->y, source);
    else
        note_size(p, para, ", begins ", f->y, source);
    say(p, para, " up from the back face");
}

static void note_depth(Press *p, Para *para, const Feature *f, Str source) {
    bool may_be_blind = f->kind == FEATURE_HOLE || f->kind == FEATURE_GROOVE;
    bool edge = may_be_blind && !feature_in_face(f);

    if (f->thick.real > 0)
        return;
    if (f->kind == FEATURE_POCKET) {
        say(p, para, f->from_show ? ", into the show face toward the "
                                  : ", into the back face toward the ");
        say(p, para, side_name(f->side));
        say(p, para, " at ");
        say_figure(p, para, figure_angle(p->c, f->tilt, source));
        if (f->depth.real > 0)
            note_size(p, para, ", ", f->depth, source);
        if (f->depth.real > 0)
            say(p, para, " deep along the slant");
        return;
    }
    if (f->kind == FEATURE_HOLE && f->tilt.real > 0) {
        say(p, para, ", leaning ");
        say_figure(p, para, figure_angle(p->c, f->tilt, source));
        say(p, para, " toward the ");
        say(p, para, side_name(f->toward));
    }
    if (f->depth.real > 0) {
        note_size(p, para, ", ", f->depth, source);
        say(p, para, " deep, from the ");
        say(p, para, side_name(f->side));
    } else if (may_be_blind || f->word) {
        if (f->kind == FEATURE_SCALLOP || f->kind >= FEATURE_CHAMFER
            || f->repeats > 0)
            return;
        say(p, para, ", through");
        if (edge || f->sink.real > 0) {
            say(p, para, " from the ");
            say(p, para, side_name(f->side));
        }
    }
    if (edge)
        note_height(p, para, f, source);
}

static void note_copies(Press *p, Para *para, const Feature *f, Str source) {
    if (note_tells_gap(f)) {
        note_size(p, para, f->kind == FEATURE_HOLE
                  || f->kind == FEATURE_POCKET ? ", evenly, centers "
                                               : ", evenly, gaps of ",
                  f->gap, source);
        say(p, para, f->kind == FEATURE_HOLE || f->kind == FEATURE_POCKET
                     ? " apart" : "");
    }
    if (f->mirrored) {
        say(p, para, "; and mirrored ");
        say(p, para, f->mirrored);
    }
}

Para feature_note(Press *p, const Part *part, const Feature *f) {
    Para para   = { 0 };
    Str  source = part_source(p, part, feature_name(f));

    if (f->note.n) {
        say_author_bold(p, &para, f->note, source);
        say(p, &para, ": ");
    }
    if (f->count > 1 && f->repeats == 0) {
        say_count(p, &para, f->count, "copies of a cut");
        say(p, &para, " × ");
    }
    say(p, &para, feature_name(f));
    switch (f->kind) {   // ORDER FEATURE
    case FEATURE_HOLE:
    case FEATURE_POCKET:
        note_hole(p, &para, f, source);
        break;
    case FEATURE_ARCH:
        note_arch(p, &para, f, source);
        break;
    case FEATURE_GROOVE:
    case FEATURE_NOTCH:
        note_rectangle(p, &para, part, f, source);
        break;
    case FEATURE_CUTOUT:
        break;
    case FEATURE_SCALLOP:
        note_profile(p, &para, f, source);
        break;
    case FEATURE_CHAMFER:
    case FEATURE_ROUND:
        note_edging(p, &para, f, source);
        break;
    }
    note_depth(p, &para, f, source);
    note_copies(p, &para, f, source);
    return para;
}
