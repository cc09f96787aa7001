/* rods -- a strip, to scale, for each row that is set out: slats, courses,
 * pieces in a row, many holes. It has every mark on it, all told from one
 * end, each rounded once, so that errors do not add (geometry-notes 4, 6.2).
 *
 *     +--==---==---==---==--+     pale: the pieces
 *     o  |    |    |    |         their left sides, from the left
 *     0  2    4    6    8
 *
 * A row and its mirror image share a strip.
 */
#include "press/sections.h"

#include <math.h>

#define STRIP_H   6.0
#define STRIP_W 133.0
#define MOST     30     // marks that have room for figures on one strip
#define LEAST     3     // fewer are no row
#define TITLE_H   9.0
#define RUN_OFF   6.0   // from the strip to its figures
#define CLOSE_BY  0.05  // mm

typedef struct {
    Str    name;         // of the row, may be empty
    Str    source;       // of its figures; empty: the name and a number
    int    part, step;   // step -1: none
    int    base;         // part whose end is the datum, or -1
    Str    from;         // "left": of it
    const char *what;    // "lower edges", or NULL: the sides toward `from`
    double wide;         // of a piece along the rod, 0: only marks
    LIST(Quantity) marks;
} Rod;
typedef LIST(Rod) Rods;

/* ---- Which rods there are ---- */

static bool is_same(const Rod *a, const Rod *b) {
    bool same = a->part == b->part && a->marks.n == b->marks.n;

    for (int i = 0; same && i < a->marks.n; i++)
        same = fabs(a->marks.at[i].real - b->marks.at[i].real) < CLOSE_BY;
    return same;
}

static void add_rod(Press *p, Rods *rods, const Rod *rod) {
    if (rod->marks.n < LEAST)
        return;
    for (int i = 0; i < rods->n; i++)
        if (is_same(&rods->at[i], rod))
            return;
    *PUSH(p->c, rods) = *rod;
}

static int step_of(const Model *m, Str group) {
    for (int i = 0; i < m->pieces.n; i++)
        if (str_eq(m->pieces.at[i].group, group)
            || str_eq(m->pieces.at[i].set, group))
            return m->pieces.at[i].step;
    return -1;
}

static void slat_rods(Press *p, Rods *rods) {
    for (int i = 0; i < p->m->spacings.n; i++) {
        const Spacing *s = &p->m->spacings.at[i];
        Rod rod = { .name = s->name, .part = s->part, .base = -1,
                    .step = step_of(p->m, s->name), .from = s->from };
        for (int k = 0; k < s->starts.n; k++)
            *PUSH(p->c, &rod.marks) = s->starts.at[k];
        if (s->starts.n > 1)
            rod.wide = s->starts.at[1].real - s->starts.at[0].real
                     - s->gap.real;
        add_rod(p, rods, &rod);
    }
}

/* Up the slope from the first piece, leaving out what lies to the side. */
static double up_the_slope(const Piece *first, const Piece *at) {
    V3 way = v3_sub(at->frame.o, first->frame.o);

    return v3_len(v3_sub(way, v3_scale(first->frame.y,
                                       v3_dot(way, first->frame.y))));
}

static void course_rod(Press *p, Rods *rods, const Piece *first) {
    Rod rod   = { .name = first->set, .part = first->part, .base = -1,
                  .step = first->step, .from = STR("first one"),
                  .what = "lower edges of the courses" };
    Str group = { 0 };

    for (int i = 0; i < p->m->pieces.n; i++) {
        const Piece *at = &p->m->pieces.at[i];
        if (!str_eq(at->set, first->set) || str_eq(at->group, group))
            continue;
        group = at->group;
        *PUSH(p->c, &rod.marks) = quantity_mm(up_the_slope(first, at));
    }
    add_rod(p, rods, &rod);
}

static double along(V3 v, int axis) {
    return axis == 0 ? v.x : axis == 1 ? v.y : v.z;
}

/* The axis along which the second piece stands off the first, or -1. */
static int row_axis(const Piece *a, const Piece *b) {
    V3  d = v3_sub(b->box.min, a->box.min);
    int found = -1;

    for (int axis = 0; axis < 3; axis++)
        if (fabs(along(d, axis)) > CLOSE_BY) {
            if (found >= 0)
                return -1;
            found = axis;
        }
    return found;
}

/* The longest piece that all of a row lie against: their datum. */
static const Piece *row_base(Press *p, const Piece *first, int axis,
                             double lo, double hi) {
    int          id   = (int)(first - p->m->pieces.at);
    const Piece *base = NULL;

    for (int i = 0; i < p->m->contacts.n; i++) {
        const Contact *c = &p->m->contacts.at[i];
        const Piece   *q;
        if (c->a != id && c->b != id)
            continue;
        q = &p->m->pieces.at[c->a == id ? c->b : c->a];
        if (str_eq(q->group, first->group)
            || along(q->box.min, axis) > lo + CLOSE_BY
            || along(q->box.max, axis) < hi - CLOSE_BY)
            continue;
        if (!base || along(q->box.max, axis) - along(q->box.min, axis)
                     > along(base->box.max, axis)
                       - along(base->box.min, axis) + CLOSE_BY)
            base = q;
    }
    return base;
}

/* The pieces of a group that stand in a line with its first two; rows
 * that lie close together need no rod. */
static void row_rod(Press *p, Rods *rods, int first) {
    static const char *const sides[] = { "left", "front", "bottom" };
    const Piece *a    = &p->m->pieces.at[first], *last = a, *base;
    int          axis = row_axis(a, a + 1);
    Rod rod = { .name = a->group, .part = a->part, .step = a->step,
                .base = -1 };
    double zero;

    if (axis < 0 || along(a[1].box.min, axis) < along(a->box.max, axis)
                                                + CLOSE_BY)
        return;
    for (int i = first + 1; i < p->m->pieces.n; i++)
        if (str_eq(p->m->pieces.at[i].group, a->group)
            && row_axis(a, &p->m->pieces.at[i]) == axis)
            last = &p->m->pieces.at[i];
    base = row_base(p, a, axis, along(a->box.min, axis),
                    along(last->box.max, axis));
    zero = along((base ? base : a)->box.min, axis);
    rod.base = base ? base->part : -1;
    rod.from = str_from(p->c, sides[axis]);
    rod.wide = along(a->box.max, axis) - along(a->box.min, axis);
    for (int i = first; i < p->m->pieces.n; i++) {
        const Piece *q = &p->m->pieces.at[i];
        if (str_eq(q->group, a->group)
            && (i == first || row_axis(a, q) == axis))
            *PUSH(p->c, &rod.marks) = quantity_mm(along(q->box.min, axis)
                                                  - zero);
    }
    add_rod(p, rods, &rod);
}

static bool is_slat(const Model *m, Str group) {
    for (int i = 0; i < m->spacings.n; i++)
        if (str_eq(m->spacings.at[i].name, group))
            return true;
    return false;
}

static void piece_rods(Press *p, Rods *rods) {
    Str done = { 0 };

    for (int i = 0; i + 1 < p->m->pieces.n; i++) {
        const Piece *a = &p->m->pieces.at[i];
        bool courses = !str_eq(a->set, a->group);
        if (a->temporary || str_eq(courses ? a->set : a->group, done))
            continue;
        done = courses ? a->set : a->group;
        if (courses)
            course_rod(p, rods, a);
        else if (str_eq(a[1].group, a->group) && !is_slat(p->m, a->group))
            row_rod(p, rods, i);
    }
}

/* Do the copies of a cut follow each other from the near edge on? */
static bool runs_up(const Feature *f) {
    if (feature_in_face(f) && f->kind != FEATURE_POCKET)
        return f->copies.at[1].x.real == 0;
    return f->side >= SIDE_LEFT;   // in an end
}

/* Where a copy is, along its row. */
static Quantity copy_at(Press *p, const Feature *f, int i) {
    bool     pocket = f->kind == FEATURE_POCKET;
    bool     face   = feature_in_face(f) && !pocket, up = runs_up(f);
    Quantity first  = pocket || (face && up) ? f->y : f->x;
    bool     y      = up && (pocket || face);

    return quantity_add(p->c, f->loc, first, y ? f->copies.at[i].y
                                               : f->copies.at[i].x);
}

/* Cuts that are too many for a figure each in the drawing of the part. */
static void cut_rods(Press *p, Rods *rods) {
    for (int i = 0; i < p->m->parts.n; i++)
        for (int k = 0; k < p->m->parts.at[i].features.n; k++) {
            const Part    *part = &p->m->parts.at[i];
            const Feature *f    = &part->features.at[k];
            bool round = f->kind == FEATURE_HOLE
                      || f->kind == FEATURE_POCKET;
            Rod  rod   = { .part = i, .step = -1, .base = i,
                           .source = part_source(p, part, feature_name(f)),
                           .what = round ? "centers of holes" : NULL };
            if (!note_tells_gap(f) || f->echo)
                continue;
            rod.from = runs_up(f) ? STR("near edge") : STR("left");
            for (int j = 0; j < f->copies.n; j++)
                *PUSH(p->c, &rod.marks) = copy_at(p, f, j);
            add_rod(p, rods, &rod);
        }
}

/* ---- Drawing ---- */

/* Of each piece that side is marked that the rod comes from. */
const char *sides_to(Str from) {
    static const char *const words[][2] = {
        { "left", "left sides" }, { "right", "right sides" },
        { "front", "front sides" }, { "back", "rear sides" },
        { "bottom", "lower sides" }, { "top", "upper sides" },
    };

    for (int i = 0; i < COUNT(words); i++)
        if (str_is(from, words[i][0]))
            return words[i][1];
    return "near sides";
}

static void rod_title(Press *p, const Rod *rod, double scale) {
    Para para = { 0 };

    say(p, &para, "Rod for ");
    say_letter(p, &para, rod->part);
    if (rod->name.n) {
        say(p, &para, " ");
        say_author(p, &para, rod->name, STR("name of the row"));
    }
    say(p, &para, ": ");
    say(p, &para, rod->what ? rod->what : sides_to(rod->from));
    say(p, &para, ", from the ");
    say_str(p, &para, rod->from);
    if (rod->base >= 0 && rod->base != rod->part) {
        say(p, &para, " of ");
        say_letter(p, &para, rod->base);
    }
    say(p, &para, "; ");
    say_scale(p, &para, scale);
    if (rod->step >= 0) {
        say(p, &para, "; for step ");
        say_count(p, &para, rod->step + 1, "number of the step");
        say(p, &para, ", ");
        say_page(p, &para, p->known ? p->known->step[rod->step] : -1);
    }
    para_at(p, &para, v2(p->left, p->y + 6), ALIGN_LEFT, STYLE_TEXT);
    p->y += TITLE_H;
}

/* Marks `from` to `to` of a rod; the strip begins at its end, or goes on
 * from another one. */
static void draw_strip(Press *p, const Rod *rod, int from, int to,
                       double k) {
    double zero = from ? rod->marks.at[from].real - 5 / k : 0;
    double end  = rod->marks.at[to - 1].real + rod->wide + 3 / k;
    Dim1  *dims = NEW_N(p->c, Dim1, to);
    V2     at   = v2(p->left + 10, p->y + STRIP_H);
    Box2   box  = box2(at.x, p->y, at.x + (end - zero) * k, at.y);
    int    n    = 0;

    for (int i = from; i < to; i++) {
        double x = at.x + (rod->marks.at[i].real - zero) * k;
        if (rod->wide > 0)
            draw_rect(p, box2(x, box.min.y, x + rod->wide * k, at.y),
                      PEN_NONE, INK_PALE);
    }
    draw_rect(p, box, PEN_OUTLINE, INK_NONE);
    for (int i = from; i < to; i++) {
        double x   = at.x + (rod->marks.at[i].real - zero) * k;
        Str    src = rod->source.n ? rod->source
                   : str_fmt(p->c, "%.*s %d", STR_ARG(rod->name), i + 1);
        if (rod->marks.at[i].real < CLOSE_BY)
            continue;   // the end itself
        draw_line(p, v2(x, box.min.y), v2(x, at.y), PEN_THIN);
        dims[n].b = v2(x, at.y);
        dims[n++].label = para_bare(p, figure_length(p->c, p->e,
                                    rod->marks.at[i], src));
    }
    p->y = at.y + dims_running(p, DIM_BELOW, box, from ? NULL : &at,
                                dims, n, RUN_OFF);
    space_down(p, BASE_LINE);
}

/* All steps that add pieces of the row. */
static void note_steps(Press *p, const Rod *rod) {
    for (int i = 0; i < p->m->pieces.n && rod->name.n; i++) {
        const Piece *q = &p->m->pieces.at[i];
        if ((str_eq(q->group, rod->name) || str_eq(q->set, rod->name))
            && q->step >= 0 && p->refs->rod[q->step] < 0)
            p->refs->rod[q->step] = p->page;
    }
}

/* Height of a strip with its title and figures. */
static double rod_height(Press *p, const Rod *rod) {
    double widest = 0;

    for (int i = 0; i < rod->marks.n; i++) {
        Para label = para_bare(p, figure_length(p->c, p->e,
                               rod->marks.at[i], STR("mark")));
        widest = fmax(widest, para_width(p, &label, STYLE_DIM));
    }
    return TITLE_H + STRIP_H + RUN_OFF + widest;
}

static void draw_rod(Press *p, const Rod *rod) {
    double last = rod->marks.at[rod->marks.n - 1].real + rod->wide;
    int    n    = rod->marks.n, strips = (n + MOST - 1) / MOST;
    double k    = neat_scale(fmin(STRIP_W / last * strips, 1));

    page_need(p, rod_height(p, rod));
    note_steps(p, rod);
    rod_title(p, rod, k);
    for (int i = 0; i < strips; i++) {
        if (i)
            page_need(p, rod_height(p, rod));
        draw_strip(p, rod, n * i / strips, n * (i + 1) / strips, k);
    }
}

static Rods all_rods(Press *p) {
    Rods rods = { 0 };

    slat_rods(p, &rods);
    piece_rods(p, &rods);
    cut_rods(p, &rods);
    return rods;
}

static void rods_body(Press *p) {
    Rods rods = all_rods(p);

    if (!rods.n)
        return;
    heading_over(p, STR("Rods, to scale"), SIZE_LEAD,
                 rod_height(p, &rods.at[0]));
    for (int i = 0; i < rods.n; i++)
        draw_rod(p, &rods.at[i]);
}

double rods_height(const Press *p) {
    return flow_height(p, SECTION_DRAWINGS, rods_body);
}

/* On the page of the last part, if the first of them has room there. */
void press_rods(Press *p) {
    Rods rods = all_rods(p);

    if (rods.n && p->section != SECTION_DRAWINGS)
        section_begin(p, SECTION_DRAWINGS,
                      rod_height(p, &rods.at[0]) + 5 * BASE_LINE);
    rods_body(p);
}
