/* row_words -- where a row of fasteners goes, in words to measure by:
 * "3 × screw, 1 in from each edge, 2 in apart, 3/8 in from the upper end".
 *
 * A row runs as its joint does, often across the board. So the words follow
 * the board: its ends are where the grain ends, its edges lie beside it, its
 * faces are wide. Which end it is the standing project tells: left, right,
 * front, rear, upper, lower; of rows that mirror each other, the nearer one.
 *
 * All lengths are those of the model's rows, so they are the places at
 * which the drawings show the fasteners.
 */
#include "press/sections.h"

#include <math.h>

#define SAME_PLACE 0.01   // mm, though they may round to either side of a step

typedef enum { TO_END, TO_EDGE, TO_FACE, TO_SLANT } Border;   // ORDER BORDER

/* The nearer end first: a row and its mirror image read alike. */
typedef struct {
    Quantity near, far;                // along the lines
    Quantity edge, beyond;             // across them
    V3       near_way, edge_way;       // to the nearer border
    Border   ends, sides;              // what those are
    bool     of_into;                  // on the piece that gets the tips
} Places;

Figure row_figure(Press *p, Quantity q) {
    return figure_length(p->c, p->e, q, STR("fastener places"));
}

Figure fine_figure(Press *p, Quantity q, Str source) {
    Edition fine = *p->e;

    fine.step = fine.inch ? quantity_inches(1, 64)
                          : quantity_exact(1, 10, DIM_LENGTH);
    return figure_length(p->c, &fine, q, source);
}

static bool prints_alike(const Press *p, Quantity a, Quantity b) {
    return fabs(a.real - b.real) < SAME_PLACE
        || quantity_cmp(quantity_round(a, p->e->step),
                        quantity_round(b, p->e->step)) == 0;
}

/* ---- What a row is measured from ---- */

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

static void set_ends(Places *out, V3 along, double start, double end) {
    bool turn = start > end;

    out->near     = quantity_mm(fmin(start, end));
    out->far      = quantity_mm(fmax(start, end));
    out->near_way = v3_scale(along, turn ? 1 : -1);
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
    int    way;

    reach_of(p, r->into, a->head, r->along, first);
    reach_of(p, r->into, z->head, r->along, last);
    reach_of(p, r->into, a->head, across, side);
    reach_of(p, r->into, other->head, across, side2);
    reach_of(p, r->from, a->head, across, wide);
    start = first[1];
    end   = last[0];
    way   = side[1] < side[0];
    edge  = side[way];
    if (fabs(edge - fmin(side2[0], side2[1])) > 0.5
        || r->start.real < start + 1 || r->end.real < end + 1
        || r->start.real < end + 1 || r->end.real < start + 1
        || wide[0] < side[0] + 1 || wide[1] < side[1] + 1
        || fmin(start, fmin(end, edge)) < 0)
        return false;
    set_ends(out, r->along, start, end);
    out->edge     = quantity_mm(edge);
    out->beyond   = quantity_mm(side2[1 - way]);
    out->edge_way = v3_scale(across, way ? -1 : 1);
    out->of_into  = true;
    return true;
}

/* Within 25 degrees. */
static Border border_to(const Frame *f, V3 way) {
    const V3 axes[] = { f->x, f->y, f->z };   // ORDER BORDER

    for (int i = 0; i < COUNT(axes); i++) {
        if (fabs(v3_dot(axes[i], way)) > 0.9)
            return (Border)i;
    }
    return TO_SLANT;
}

static Places places_of(const Press *p, const FastenerRow *r) {
    Places       out = { .edge = r->edge, .beyond = r->beyond,
                         .edge_way = r->side };
    const Frame *f;

    set_ends(&out, r->along, r->start.real, r->end.real);
    out.near = r->start.real > r->end.real ? r->end : r->start;
    out.far  = r->start.real > r->end.real ? r->start : r->end;
    (void)from_into(p, r, &out);
    f = &p->m->pieces.at[out.of_into ? r->into : r->from].frame;
    out.ends  = border_to(f, out.near_way);
    out.sides = border_to(f, out.edge_way);
    return out;
}

bool rows_alike(const Press *p, const FastenerRow *a, const FastenerRow *b) {
    Places   pa = places_of(p, a), pb = places_of(p, b);
    Quantity qa[] = { pa.near, pa.far, a->apart, pa.edge, a->between,
                      a->pilot };
    Quantity qb[] = { pb.near, pb.far, b->apart, pb.edge, b->between,
                      b->pilot };

    if (a->hardware != b->hardware || a->count != b->count
        || a->lines != b->lines || pa.of_into != pb.of_into
        || prints_alike(p, pa.edge, pa.beyond)
           != prints_alike(p, pb.edge, pb.beyond)
        || p->m->pieces.at[a->from].part != p->m->pieces.at[b->from].part
        || p->m->pieces.at[a->into].part != p->m->pieces.at[b->into].part)
        return false;
    for (int i = 0; i < COUNT(qa); i++) {
        if (!prints_alike(p, qa[i], qb[i]))
            return false;
    }
    return true;
}

/* ---- In words ---- */

/* Of a slope the upper and the lower side are seen first. */
static const char *side_word(V3 way) {
    if (fabs(way.z) > 0.35)
        return way.z > 0 ? "upper " : "lower ";
    if (fabs(way.x) > 0.7)
        return way.x > 0 ? "right " : "left ";
    return way.y > 0 ? "rear " : "front ";
}

/* What is true of all rows that are told together. */
typedef struct { const char *end, *side; Border ends, sides; } Words;

static Words words_of(const Press *p, const RowList *rows) {
    Words out = { 0 };

    for (int i = 0; i < rows->n; i++) {
        Places      at   = places_of(p, &p->m->rows.at[rows->at[i]]);
        const char *end  = side_word(at.near_way);
        const char *side = side_word(at.edge_way);
        if (i == 0) {
            out = (Words){ end, side, at.ends, at.sides };
            continue;
        }
        if (strcmp(out.end, end) != 0)
            out.end = "nearer ";
        if (strcmp(out.side, side) != 0)
            out.side = "nearer ";
        if (out.ends != at.ends || out.sides != at.sides)
            out.ends = out.sides = TO_SLANT;
    }
    return out;
}

static const char *const borders[] = {   // ORDER BORDER
    "end", "edge", "face", "edge"
};

const char *row_border(const Model *m, const FastenerRow *r, V3 way) {
    return borders[border_to(&m->pieces.at[r->from].frame, way)];
}

/* "1 in from each end"; where they are apart alike, one end is enough. */
static void say_along(Press *p, Para *para, const FastenerRow *r,
                      const Places *at, const Words *w) {
    bool many  = r->count > r->lines;
    bool alike = prints_alike(p, at->near, at->far);
    bool first = many && r->apart.real > 0;

    if (!alike && many)
        say(p, para, first ? "the first " : "the outermost ");
    say_figure(p, para, row_figure(p, at->near));
    if (alike && w->ends == TO_SLANT) {
        say(p, para, many ? " from the edge at each end"
                          : " from the edge at both ends");
    } else {
        say(p, para, !alike ? " from the " : many ? " from each "
                                                  : " from both ");
        say(p, para, alike ? "" : w->end);
        say(p, para, borders[w->ends]);
        say(p, para, alike && !many ? "s" : "");
    }
    if (at->of_into) {
        say(p, para, " of ");
        say_letter(p, para, p->m->pieces.at[r->into].part);
    }
    if (!alike && !first && many) {
        say(p, para, " and ");
        say_figure(p, para, row_figure(p, at->far));
        say(p, para, " from the other");
    }
}

static void say_across(Press *p, Para *para, const FastenerRow *r,
                       const Places *at, const Words *w) {
    bool middle = prints_alike(p, at->edge, at->beyond);

    say(p, para, r->lines > 1 ? "; the lines " : ", ");
    say_figure(p, para, row_figure(p, at->edge));
    if (r->lines > 1 && !middle) {
        say(p, para, " and ");
        say_figure(p, para, row_figure(p, quantity_mm(at->edge.real
                                                      + r->between.real)));
    }
    say(p, para, middle ? " from both " : " from ");
    say(p, para, at->of_into ? "its " : middle ? "" : "the ");
    say(p, para, middle || w->sides == TO_SLANT ? "" : w->side);
    say(p, para, borders[w->sides]);
    say(p, para, middle ? "s" : w->sides == TO_SLANT ? " beside them" : "");
}

/* "; drill 3/32 in first" */
static void say_pilot(Press *p, Para *para, const FastenerRow *r) {
    if (r->pilot.real <= 0)
        return;
    say(p, para, "; drill ");
    say_figure(p, para, fine_figure(p, r->pilot, STR("pilot holes")));
    say(p, para, " first");
}

void say_rows(Press *p, Para *para, const RowList *rows) {
    const FastenerRow *r  = &p->m->rows.at[rows->at[0]];
    const Hardware    *h  = &p->m->hardware.at[r->hardware];
    Places             at = places_of(p, r);
    Words              w  = words_of(p, rows);

    say_count(p, para, r->count, "fasteners in a joint");
    say(p, para, " × ");
    say_author(p, para, h->key, STR("hardware"));
    if (h->drive == DRIVE_POCKET) {
        say(p, para, r->count > 1 ? ", in its pockets" : ", in its pocket");
        return;
    }
    if (r->lines > 1) {
        say(p, para, " in ");
        say_count(p, para, r->lines, "lines of fasteners");
        say(p, para, " lines");
    }
    say(p, para, ", ");
    say_along(p, para, r, &at, &w);
    if (r->apart.real > 0) {
        say(p, para, ", ");
        say_figure(p, para, row_figure(p, r->apart));
        say(p, para, " apart");
    }
    say_across(p, para, r, &at, &w);
    say_pilot(p, para, r);
}

/* Single ones in a line over many pieces: only across it there is a figure.
 */
void say_single(Press *p, Para *para, const RowList *rows) {
    const FastenerRow *r  = &p->m->rows.at[rows->at[0]];
    Places             at = { .edge = r->edge, .beyond = r->beyond,
                              .edge_way = r->side };
    Words              w  = words_of(p, rows);

    w.sides = border_to(&p->m->pieces.at[r->from].frame, r->side);
    say_across(p, para, r, &at, &w);
    say_pilot(p, para, r);
}
