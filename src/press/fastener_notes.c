/* fastener_notes -- where nails and screws go, in words; how to handle the
 * fragile places of a part; what wide pieces do over a year.
 *
 * All lengths are those of the model's rows, so they are the places at
 * which the drawings show the fasteners.
 */
#include "press/sections.h"

#include <math.h>

#define MOST_ROWS 6   // lines of one step; the pictures show the others

static Figure row_figure(Press *p, Quantity q) {
    return figure_length(p->c, p->e, q, STR("fastener places"));
}

/* Bits and movements are small: to sixty-fourths or tenths of a mm. */
static Figure fine_figure(Press *p, Quantity q, Str source) {
    Edition fine = *p->e;

    fine.step = fine.inch ? quantity_inches(1, 64)
                          : quantity_exact(1, 10, DIM_LENGTH);
    return figure_length(p->c, &fine, q, source);
}

/* ---- What a row is measured from ---- */

/* The nearer end first: a row and its mirror image read alike. `of_into`:
 * measured on the piece that gets the tips. */
typedef struct { Quantity near, far, edge; bool of_into; } Places;

/* How far a point lies within a piece, along a direction and against it. */
static void reach_of(const Press *p, int piece, V3 at, V3 way,
                     double out[2]) {
    const Piece *q = &p->m->pieces.at[piece];
    const Solid *s = p->m->parts.at[q->part].solid;
    double       here = v3_dot(at, way);

    out[0] = out[1] = -1e9;
    for (int i = 0; i < s->edges.n; i++) {
        double v = v3_dot(frame_point(&q->frame, s->edges.at[i].a), way);
        out[0] = fmax(out[0], v - here);
        out[1] = fmax(out[1], here - v);
    }
}

/* A joint in the midst of a larger piece is set out from what stands on it:
 * its place there is marked already. */
static bool from_into(const Press *p, const FastenerRow *r, Places *out) {
    int    line = r->count / r->lines + r->count % r->lines;
    const Fastener *a = &p->m->fasteners.at[r->first];
    const Fastener *z = a + line - 1, *other = a + r->count - 1;
    V3     across = v3_cross(a->axis, r->along);
    double first[2], last[2], side[2], side2[2], wide[2];
    double start, end, edge;

    reach_of(p, r->into, a->head, r->along, first);
    reach_of(p, r->into, z->head, r->along, last);
    reach_of(p, r->into, a->head, across, side);
    reach_of(p, r->into, other->head, across, side2);
    reach_of(p, r->from, a->head, across, wide);
    start = fmin(first[0], first[1]);
    end   = first[0] < first[1] ? last[1] : last[0];
    edge  = fmin(side[0], side[1]);
    if (fabs(edge - fmin(side2[0], side2[1])) > 0.5
        || r->start.real < start + 1 || r->end.real < end + 1
        || r->start.real < end + 1 || r->end.real < start + 1
        || wide[0] < side[0] + 1 || wide[1] < side[1] + 1
        || fmin(start, fmin(end, edge)) < 0)
        return false;
    out->near    = quantity_mm(fmin(start, end));
    out->far     = quantity_mm(fmax(start, end));
    out->edge    = quantity_mm(edge);
    out->of_into = true;
    return true;
}

static Places places_of(const Press *p, const FastenerRow *r) {
    bool   turn = r->start.real > r->end.real;
    Places out  = { turn ? r->end : r->start, turn ? r->start : r->end,
                    r->edge, false };

    (void)from_into(p, r, &out);
    return out;
}

/* Rows that a reader cannot tell apart. */
static bool rows_alike(Press *p, const FastenerRow *a,
                       const FastenerRow *b) {
    Places   pa = places_of(p, a), pb = places_of(p, b);
    Quantity qa[] = { pa.near, pa.far, a->apart, pa.edge, a->pilot };
    Quantity qb[] = { pb.near, pb.far, b->apart, pb.edge, b->pilot };

    if (a->hardware != b->hardware || a->count != b->count
        || a->lines != b->lines || pa.of_into != pb.of_into
        || p->m->pieces.at[a->from].part != p->m->pieces.at[b->from].part
        || p->m->pieces.at[a->into].part != p->m->pieces.at[b->into].part)
        return false;
    for (int i = 0; i < COUNT(qa); i++) {
        if (quantity_cmp(quantity_round(qa[i], p->e->step),
                         quantity_round(qb[i], p->e->step)) != 0)
            return false;
    }
    return true;
}

/* "1 in from each end"; where they are apart alike, one end is enough. */
static void say_ends_of(Press *p, Para *para, const FastenerRow *r,
                        const Places *at) {
    bool alike = quantity_cmp(quantity_round(at->near, p->e->step),
                              quantity_round(at->far, p->e->step)) == 0;
    bool first = !alike && r->count > 1 && r->apart.real > 0;

    if (first)
        say(p, para, "the first ");
    say_figure(p, para, row_figure(p, at->near));
    say(p, para, !alike ? " from one end"
               : r->count == 1 ? " from both ends" : " from each end");
    if (!alike && !first && r->count > 1) {
        say(p, para, " and ");
        say_figure(p, para, row_figure(p, at->far));
        say(p, para, " from the other");
    }
    if (at->of_into) {
        say(p, para, " of ");
        say_letter(p, para, p->m->pieces.at[r->into].part);
    }
}

static void say_row(Press *p, Para *para, const FastenerRow *r) {
    Places at = places_of(p, r);

    say_count(p, para, r->count, "fasteners in a joint");
    say(p, para, " × ");
    say_author(p, para, p->m->hardware.at[r->hardware].key,
               STR("hardware"));
    if (r->lines > 1) {
        say(p, para, " in ");
        say_count(p, para, r->lines, "lines of fasteners");
        say(p, para, " lines");
    }
    say(p, para, ", ");
    say_ends_of(p, para, r, &at);
    if (r->apart.real > 0) {
        say(p, para, ", ");
        say_figure(p, para, row_figure(p, r->apart));
        say(p, para, " apart");
    }
    say(p, para, ", ");
    say_figure(p, para, row_figure(p, at.edge));
    say(p, para, at.of_into ? " from its edge" : " from the edge");
    if (r->pilot.real <= 0)
        return;
    say(p, para, "; drill ");
    say_figure(p, para, fine_figure(p, r->pilot, STR("pilot holes")));
    say(p, para, " first");
}

/* "Through A into B"; of dowels "Bored 5/8 in into A and 7/8 in into B". */
static void say_pieces(Press *p, Para *para, const FastenerRow *r) {
    const Fastener *f     = &p->m->fasteners.at[r->first];
    bool            dowel = p->m->hardware.at[r->hardware].drive
                            == DRIVE_DOWEL;

    say(p, para, dowel ? "Bored " : "Through ");
    if (dowel) {
        say_figure(p, para, row_figure(p, quantity_mm(f->held)));
        say(p, para, " into ");
    }
    say_letter(p, para, p->m->pieces.at[r->from].part);
    say(p, para, dowel ? " and " : " into ");
    if (dowel) {
        say_figure(p, para, row_figure(p, quantity_mm(f->length - f->held)));
        say(p, para, " into ");
    }
    say_letter(p, para, p->m->pieces.at[r->into].part);
}

static void note_row(Press *p, const FastenerRow *r, int times,
                     Notes *notes) {
    Para para = { 0 };

    say_pieces(p, &para, r);
    if (times > 1) {
        say(p, &para, ", at each of ");
        say_count(p, &para, times, "joints alike");
        say(p, &para, " joints");
    }
    say(p, &para, ": ");
    say_row(p, &para, r);
    say(p, &para, ".");
    *PUSH(p->c, notes) = para;
}

/* Glue that leaves the wood room to move. */
static void note_middle(Press *p, const Step *step, Notes *notes) {
    Para  para = { 0 };
    bool *told = NEW_N(p->c, bool, p->m->parts.n + 1);

    for (int i = 0; i < step->fixes.n; i++) {
        if (step->fixes.at[i].middle && !para.spans.n) {
            say(p, &para, "Where grain crosses grain, put glue only on the "
                "middle ");
            say_figure(p, &para, figure_length(p->c, p->e,
                       quantity_inches(3, 1), STR("glue in the middle")));
            say(p, &para, " of the joint, so that the wide piece can move:");
        }
        for (int k = 0; k < step->fixes.at[i].pieces.n
             && step->fixes.at[i].middle; k++) {
            int part = p->m->pieces.at[step->fixes.at[i].pieces.at[k]].part;
            if (told[part])
                continue;
            say(p, &para, " ");
            say_letter(p, &para, part);
            told[part] = true;
        }
    }
    if (!para.spans.n)
        return;
    say(p, &para, ".");
    *PUSH(p->c, notes) = para;
}

/* A long piece with one fastener into each of many needs no figures. */
static bool is_one_of_many(const Press *p, const FastenerRow *r) {
    int n = 0;

    for (int i = 0; i < p->m->rows.n; i++) {
        const FastenerRow *q = &p->m->rows.at[i];
        n += q->step == r->step && q->fix == r->fix && q->from == r->from
          && q->count == 1;
    }
    return r->count == 1 && n >= 3;
}

static void note_many(Press *p, const FastenerRow *r, bool *done,
                      Notes *notes) {
    Para para = { 0 };
    int  part = p->m->pieces.at[r->from].part;

    for (int i = 0; i < p->m->rows.n; i++) {
        const FastenerRow *q = &p->m->rows.at[i];
        if (q->step == r->step && q->hardware == r->hardware
            && p->m->pieces.at[q->from].part == part
            && is_one_of_many(p, q))
            done[i] = true;
    }
    say(p, &para, "Through ");
    say_letter(p, &para, part);
    say(p, &para, ": ");
    say_count(p, &para, 1, "fasteners in a joint");
    say(p, &para, " × ");
    say_author(p, &para, p->m->hardware.at[r->hardware].key,
               STR("hardware"));
    say(p, &para, " into each piece below it, ");
    say_figure(p, &para, row_figure(p, r->edge));
    say(p, &para, " from the edge.");
    *PUSH(p->c, notes) = para;
}

void note_fasteners(Press *p, int step, Notes *notes) {
    int  n = p->m->rows.n, told = 0;
    bool *done = NEW_N(p->c, bool, n + 1);

    note_middle(p, &p->m->steps.at[step], notes);
    for (int i = 0; i < n && told < MOST_ROWS; i++) {
        const FastenerRow *r = &p->m->rows.at[i];
        int times = 0;
        if (r->step != step || done[i])
            continue;
        if (is_one_of_many(p, r)) {
            note_many(p, r, done, notes);
            told++;
            continue;
        }
        for (int k = i; k < n; k++) {
            if (p->m->rows.at[k].step != step
                || !rows_alike(p, r, &p->m->rows.at[k]))
                continue;
            done[k] = true;
            times++;
        }
        note_row(p, r, times, notes);
        told++;
    }
}

/* ---- Fragile places ---- */

Para weak_note(Press *p, const Weak *w) {
    static const char *const words[] = {   // ORDER WEAK
        "a narrow web of ", "short grain, ", "little wood beside a hole, ",
        "little wood between two cuts, ", "a thin floor of ", "a thin wall of "
    };
    static const char *const care[] = {   // ORDER WEAK
        "Saw the longest cut last and do not lift the part there.",
        "Back it with scrap while you saw; do not clamp or lift it there.",
        "Drill from both sides with a sharp bit before you cut the outline.",
        "Drill the smaller one first, with a sharp bit and scrap behind it.",
        "Set the depth of the cut on scrap of the same thickness first.",
        "Make this cut before you trim the part to size; back it with scrap."
    };
    const Part *part   = &p->m->parts.at[w->part];
    Str         source = part_source(p, part, "fragile");
    Para        para   = { 0 };

    say_bold(p, &para, "Fragile: ");
    say(p, &para, words[w->kind]);
    say_figure(p, &para, figure_length(p->c, p->e, w->width, source));
    say(p, &para, ", ");
    say_figure(p, &para, figure_length(p->c, p->e,
               quantity_mm((w->a.x + w->b.x) / 2), source));
    say(p, &para, " from the left end and ");
    say_figure(p, &para, figure_length(p->c, p->e,
               quantity_mm((w->a.y + w->b.y) / 2), source));
    say(p, &para, " from the near edge. ");
    say(p, &para, care[w->kind]);
    return para;
}

/* ---- Wood moves ---- */

static bool is_wide(const Press *p, const Part *part) {
    return !part->jig && part->width.real >= WIDE_PIECE_MM
        && part_movement(p->m, part) > 0;
}

void press_movement(Press *p) {
    Para para = { 0 };
    int  said = 0;

    say(p, &para, "Wood swells across its grain when the air is damp and "
        "shrinks when it is dry. Between ");
    say_count(p, &para, (int64_t)floor(p->m->driest + 0.5),
              "moisture of the wood");
    say(p, &para, " and ");
    say_count(p, &para, (int64_t)floor(p->m->dampest + 0.5),
              "moisture of the wood");
    say(p, &para, " % of moisture in the wood, the width changes by up to: ");
    for (int i = 0; i < p->m->parts.n; i++) {
        const Part *part = &p->m->parts.at[i];
        if (!is_wide(p, part))
            continue;
        say(p, &para, said++ ? ", " : "");
        say_letter(p, &para, i);
        say(p, &para, " ");
        say_figure(p, &para, fine_figure(p, quantity_mm(part_movement(
                   p->m, part)), part_source(p, part, "movement")));
    }
    if (!said)
        return;
    say(p, &para, ".");
    heading(p, STR("Wood moves"), SIZE_LEAD);
    flow_para(p, 0, TEXT_W, STYLE_TEXT, &para);
}
