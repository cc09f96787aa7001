/* feature_notes -- one line for each cut of a part: what no dimension line
 * of its drawing says and, in brackets, the sizes that follow from those. */
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

/* A drawing by itself has no pages to name. */
void say_traced(Press *p, Para *para, int part) {
    say(p, para, "traced from the template");
    if (!p->known)
        return;
    say(p, para, ", ");
    say_page(p, para, p->known->part[part].template);
}

/* ---- In brackets: what the drawing tells otherwise ---- */

typedef struct { Press *p; Para *para; Str source; bool any; } Again;

static void again(Again *a, const char *before, Quantity q,
                  const char *after) {
    say(a->p, a->para, a->any ? ", " : " (");
    note_size(a->p, a->para, before, q, a->source);
    say(a->p, a->para, after);
    a->any = true;
}

static void again_end(Again *a) {
    if (a->any)
        say(a->p, a->para, ")");
}

/* ---- By kind ---- */

/* The diameter of a hole in the face stands beside it. */
static void note_hole(Press *p, Para *para, const Feature *f, Str source) {
    if (f->kind == FEATURE_POCKET || !feature_in_face(f))
        note_size(p, para, " ⌀ ", f->diameter, source);
    if (f->sink.real <= 0)
        return;
    note_size(p, para, ", countersunk ⌀ ", f->sink, source);
    say(p, para, " at ");
    say_figure(p, para, figure_angle(p->c, f->sink_angle, source));
}

static void note_arch(Press *p, Para *para, const Feature *f, Str source) {
    static const char *const heads[] = {
        " with a round head", " with the head of half an ellipse",
        " with a pointed head"
    };
    Again a = { p, para, source, false };

    say(p, para, heads[f->arch]);
    again(&a, "", f->width, " wide");
    again(&a, "the head ", f->rise, " high");
    if (f->arch == ARCH_SEGMENTAL)
        again(&a, "radius ", arch_radius(f), "");
    again_end(&a);
}

static void note_cutout(Press *p, Para *para, const Part *part,
                        const Feature *f, Str source) {
    Box2  box = shape_box(f->shape);
    Again a   = { p, para, source, false };

    again(&a, "", quantity_mm(box.max.x - box.min.x), " along");
    again(&a, "", quantity_mm(box.max.y - box.min.y), " across");
    again_end(&a);
    say(p, para, ", through");
    if (!part_has_template(part))
        return;
    say(p, para, "; ");
    say_traced(p, para, (int)(part - p->m->parts.at));
}

/* Which end a tenon or finger joint is at. */
static void note_end(Press *p, Para *para, const Feature *f) {
    say(p, para, f->x.real > 0 ? " at the right end" : " at the left end");
}

static void note_tenon(Press *p, Para *para, const Feature *f, Str source) {
    Again a = { p, para, source, false };

    note_end(p, para, f);
    again(&a, "", f->length, " long");
    again(&a, "", f->thick, " thick");
    again(&a, "", f->wide, " wide");
    again_end(&a);
}

static void note_fingers(Press *p, Para *para, const Feature *f,
                         Str source) {
    Again a = { p, para, source, false };

    note_end(p, para, f);
    say(p, para, ", ");
    say_count(p, para, f->repeats, "fingers at the end");
    say(p, para, " fingers");
    again(&a, "fingers and gaps ", f->pitch, " wide");
    again(&a, "", f->length, " deep");
    if (f->left_over.real > 0.01)
        again(&a, "the last one only ", f->left_over, "");
    again_end(&a);
    say(p, para, f->starts_gap ? ", a gap first at the near edge"
                               : ", a finger first at the near edge");
}

/* Both sizes, less those in which it runs through the part. */
static void note_rectangle(Press *p, Para *para, const Part *part,
                           const Feature *f, Str source) {
    bool  along_y = !f->crosswise;   // its width runs along y
    bool  in_face = feature_in_face(f);
    bool  both    = true;
    Again a       = { p, para, source, false };

    if (f->thick.real > 0) {
        note_tenon(p, para, f, source);
        return;
    }
    if (f->repeats > 0) {
        note_fingers(p, para, f, source);
        return;
    }
    for (int y = 0; y < 2; y++)
        both &= !in_face || feature_reach(part, f, y) != REACH_THROUGH;
    for (int i = 0; i < 2; i++) {
        bool     y    = i ? along_y : !along_y;
        Quantity size = y ? f->width : f->length;
        if (in_face && feature_reach(part, f, y) == REACH_THROUGH)
            continue;
        if (in_face)
            size = feature_extent(p->c, part, f, y);
        again(&a, "", size, i || !both ? " wide" : " long");
    }
    if (!in_face && f->depth.real > 0)
        again(&a, "", f->depth, " deep");
    again_end(&a);
    if (f->round_ends)
        say(p, para, ", round ends");
}

static void note_profile(Press *p, Para *para, const Feature *f,
                         Str source) {
    Again a = { p, para, source, false };

    say(p, para, ", ");
    say_count(p, para, f->repeats, "scallops along the edge");
    say(p, para, f->side == SIDE_FAR ? " along the far edge"
                                     : " along the near edge");
    if (!profile_is_run(f))
        say(p, para, ", each like the first");
    again(&a, "each ", f->pitch, " along");
    again(&a, "", f->drop, " deep");
    if (f->profile == PROFILE_DENTILS)
        again(&a, "its tooth ", f->tooth, "");
    if (f->left_over.real > 0.01)
        again(&a, "", f->left_over, " left over at the right");
    again_end(&a);
}

static void note_edging(Press *p, Para *para, const Feature *f,
                        Str source) {
    static const char *const at[] = {   // ORDER ARRIS
        " near edge", " far edge", " left end", " right end",
        " whole outline", " arch", " cutout"
    };
    const char *before = f->side == SIDE_BACK ? ", back face, at the"
                                              : ", show face, at the";
    int left = 0;

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
    for (int i = 0; i < ARRISES; i++)
        left += f->on[i];
    for (int i = 0; i < ARRISES; i++) {
        if (!f->on[i])
            continue;
        say(p, para, before);
        say(p, para, at[i]);
        before = --left == 1 ? " and" : ",";
    }
}

/* ---- Where and how deep ---- */

/* Where no view shows the depth it is told here. */
static void note_how_deep(Press *p, Para *para, const Part *part,
                          const Feature *f, Str source) {
    Again a = { p, para, source, false };

    if (feature_in_face(f)) {
        if (feature_depth_view(part, f) != VIEW_FACE)
            return;
        note_size(p, para, ", ", f->depth, source);
        say(p, para, " deep");
    } else if (f->kind == FEATURE_HOLE) {
        again(&a, "", f->depth, " deep");
        again_end(&a);
    }
}

static void note_depth(Press *p, Para *para, const Part *part,
                       const Feature *f, Str source) {
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
        note_how_deep(p, para, part, f, source);
        say(p, para, ", from the ");
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
}

static void note_copies(Press *p, Para *para, const Feature *f, Str source) {
    if (note_tells_gap(f)) {
        bool round = f->kind == FEATURE_HOLE || f->kind == FEATURE_POCKET;
        note_size(p, para, round ? ", evenly, centers "
                         : f->gap.real > 0 ? ", evenly, gaps of "
                                           : ", each begins ", told_gap(f),
                  source);
        say(p, para, round ? " apart"
                   : f->gap.real > 0 ? "" : " after the last");
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
        note_cutout(p, &para, part, f, source);
        break;
    case FEATURE_SCALLOP:
        note_profile(p, &para, f, source);
        break;
    case FEATURE_CHAMFER:
    case FEATURE_ROUND:
        note_edging(p, &para, f, source);
        break;
    }
    note_depth(p, &para, part, f, source);
    note_copies(p, &para, f, source);
    return para;
}
