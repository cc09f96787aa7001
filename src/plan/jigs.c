/* jigs -- templates that the program adds: an angle gauge for each angle
 * that parts are cut to, a gauge for each depth, and rods that carry all
 * marks of a row of slats or of a covering's courses on one strip (the
 * joiner's rod: marked once, and every piece set from it, so that errors do
 * not add).
 *
 *       +---------------\              +---+----+----+----+--+
 *       |    30 deg      \             |   |    |    |    |  |
 *       +-----------------\            +---+----+----+----+--+
 *        gauge: set saw or bevel        rod: from the datum on
 *
 *       +--------------------+
 *       |   depth 3/8 in     |        stands over bit or blade, which are set
 *       +-------+            |  ^     to touch the step
 *               |            |  | depth
 *               +------------+  v
 *
 * An author's own jig with a corner of that angle makes a gauge needless,
 * and so does a combination square, which has 45 degrees. Saws have a scale
 * of whole degrees: a gauge of those is printed beside other templates, as
 * it costs nothing there, but brings no sheet of its own into a booklet. So
 * is a gauge of a depth (common practice, no published source).
 */
#include "plan/plan_internal.h"

#include <math.h>

#define GAUGE_H   40.0
#define GAUGE_L   50.0     // of its short side
#define STEEPEST  60.0     // degrees; beyond that a gauge gets too long
#define DEPTH_H    16.0    // of its body
#define DEPTH_L    30.0    // of the leg
#define DEPTH_FOOT 20.0    // of the step
#define DEPTH_LEAST 1.5    // shallower cuts are set by trial
#define DEPTH_MOST 40.0
#define SAME_DEPTH  0.01
#define LONGEST   1500.0   // a longer rod is marked from the figures
#define SAME_DEG  0.01
#define MITER     45.0     // every square and saw has it

typedef struct { Ctx *c; const Model *m; Patterns *out; } Jigs;

/* ---- Angle gauges ---- */

static double degrees_of(V2 way) {
    return atan2(way.y, way.x) * 57.29577951308232;
}

/* Has the shape a corner between straight edges of that angle from square,
 * or from straight? */
static bool has_corner(Shape s, double angle) {
    for (int i = 0; i < s.loops.n; i++) {
        const Loop *l = &s.loops.at[i];
        for (int k = 0; k < l->n; k++) {
            const Seg *a = &l->at[k], *b = &l->at[(k + 1) % l->n];
            double     turn = degrees_of(v2_sub(b->b, b->a))
                            - degrees_of(v2_sub(a->b, a->a));
            turn = fmod(fabs(turn), 180);
            if (a->kind == SEG_LINE && b->kind == SEG_LINE
                && (fabs(fabs(turn - 90) - angle) < SAME_DEG
                    || fabs(turn - angle) < SAME_DEG
                    || fabs(180 - turn - angle) < SAME_DEG))
                return true;
        }
    }
    return false;
}

static bool is_known(const Jigs *j, double angle) {
    for (int i = 0; i < j->out->n; i++) {
        if (j->out->at[i].jig == JIG_GAUGE
            && fabs(j->out->at[i].angle.real - angle) < SAME_DEG)
            return true;
    }
    for (int i = 0; i < j->m->parts.n; i++) {
        const Part *part = &j->m->parts.at[i];
        if (part->jig && part_has_template(part)
            && has_corner(part->face, angle))
            return true;
    }
    return false;
}

static void add_gauge(Jigs *j, Quantity angle) {
    double   a = angle.real;
    Pattern *t;
    Loop    *l;
    double   run;

    if (a < 0.05 || a > STEEPEST || fabs(a - MITER) < SAME_DEG
        || is_known(j, a))
        return;
    run = GAUGE_H * tan(a / 57.29577951308232);
    t   = PUSH(j->c, j->out);
    t->part  = -1;
    t->jig   = JIG_GAUGE;
    t->angle = angle;
    t->title = STR("Angle gauge");
    l = PUSH(j->c, &t->shape.loops);
    loop_line_to(j->c, l, v2(0, 0), v2(GAUGE_L + run, 0));
    loop_line_to(j->c, l, v2(GAUGE_L + run, 0), v2(GAUGE_L, GAUGE_H));
    loop_line_to(j->c, l, v2(GAUGE_L, GAUGE_H), v2(0, GAUGE_H));
    loop_line_to(j->c, l, v2(0, GAUGE_H), v2(0, 0));
}

static void add_gauges(Jigs *j) {
    for (int i = 0; i < j->m->parts.n; i++) {
        const Part *part = &j->m->parts.at[i];
        for (int k = 0; k < 2 && part->templated >= 0; k++) {
            if (part->ends[k].any) {
                add_gauge(j, part->ends[k].miter);
                add_gauge(j, part->ends[k].bevel);
            }
            if (part->edges[k].any)
                add_gauge(j, part->edges[k].bevel);
        }
    }
}

/* ---- Depths ---- */

static bool has_depth(const Jigs *j, double depth) {
    for (int i = 0; i < j->out->n; i++) {
        if (j->out->at[i].jig == JIG_DEPTH
            && fabs(j->out->at[i].angle.real - depth) < SAME_DEPTH)
            return true;
    }
    return false;
}

static void add_depth(Jigs *j, Quantity depth) {
    double   d = depth.real;
    Pattern *t;
    Loop    *l;
    V2       v[] = { { 0, 0 }, { DEPTH_L, 0 }, { DEPTH_L, DEPTH_H + d },
                     { -DEPTH_FOOT, DEPTH_H + d }, { -DEPTH_FOOT, d },
                     { 0, d } };

    if (has_depth(j, d))
        return;
    t   = PUSH(j->c, j->out);
    l   = PUSH(j->c, &t->shape.loops);
    t->part  = -1;
    t->jig   = JIG_DEPTH;
    t->angle = depth;
    t->title = STR("Depth gauge");
    for (int i = 0; i < COUNT(v); i++)
        loop_line_to(j->c, l, v[i], v[(i + 1) % COUNT(v)]);
}

/* Cuts into a face or an edge to a depth that a bit or blade is set to. */
static bool is_set_to_depth(const Part *part, const Feature *f) {
    return (f->kind == FEATURE_GROOVE || f->kind == FEATURE_HOLE)
        && f->tilt.real <= 0 && f->depth.real >= DEPTH_LEAST
        && f->depth.real <= DEPTH_MOST
        && (f->side > SIDE_BACK
            || f->depth.real < part->thickness.real - SAME_DEPTH);
}

static void add_depths(Jigs *j) {
    for (int i = 0; i < j->m->parts.n; i++) {
        const Part *part = &j->m->parts.at[i];
        for (int k = 0; k < part->features.n && part->templated >= 0; k++) {
            if (is_set_to_depth(part, &part->features.at[k]))
                add_depth(j, part->features.at[k].depth);
        }
    }
}

/* ---- Rods ---- */

/* The other side of a roof has the same marks. */
static bool has_rod(const Jigs *j, const RodMarks *marks) {
    for (int i = 0; i < j->out->n; i++) {
        const RodMarks *known = &j->out->at[i].marks;
        bool same = known->n == marks->n;
        for (int k = 0; same && k < marks->n; k++)
            same = fabs(known->at[k].real - marks->at[k].real) < 0.01;
        if (same)
            return true;
    }
    return false;
}

static void add_rod(Jigs *j, Str of, const RodMarks *marks) {
    double   end = marks->at[marks->n - 1].real + 20;
    Pattern *t;

    if (marks->n < 3 || end > LONGEST || has_rod(j, marks))
        return;
    t = PUSH(j->c, j->out);
    t->part  = -1;
    t->jig   = JIG_ROD;
    t->title = str_fmt(j->c, "Rod for %.*s", STR_ARG(of));
    t->marks = *marks;
    t->shape = shape_rect(j->c, v2(0, 0), v2(end, ROD_HEIGHT));
}

static void add_slat_rods(Jigs *j) {
    for (int i = 0; i < j->m->spacings.n; i++) {
        const Spacing *s = &j->m->spacings.at[i];
        RodMarks       marks = { 0 };
        for (int k = 0; k < s->starts.n; k++)
            *PUSH(j->c, &marks) = s->starts.at[k];
        if (marks.n)
            add_rod(j, s->name, &marks);
    }
}

/* How far a piece begins above the first one, leaving out what it lies to
 * the side. */
static double up_the_slope(const Piece *first, const Piece *p) {
    V3 way = v3_sub(p->frame.o, first->frame.o);

    return v3_len(v3_sub(way, v3_scale(first->frame.y,
                                       v3_dot(way, first->frame.y))));
}

/* Lower edges of the courses of one covering, measured from the first up
 * the slope. */
static void add_course_rod(Jigs *j, const Piece *first) {
    RodMarks marks = { 0 };
    Str      group = { 0 };

    for (int i = 0; i < j->m->pieces.n; i++) {
        const Piece *p = &j->m->pieces.at[i];
        double       at;
        if (!str_eq(p->set, first->set) || str_eq(p->group, group))
            continue;
        group = p->group;
        at    = up_the_slope(first, p);
        if (marks.n == 0 || at > marks.at[marks.n - 1].real + 0.1)
            *PUSH(j->c, &marks) = quantity_mm(at);
    }
    if (marks.n)
        add_rod(j, first->set, &marks);
}

static void add_course_rods(Jigs *j) {
    Str done = { 0 };

    for (int i = 0; i < j->m->pieces.n; i++) {
        const Piece *p = &j->m->pieces.at[i];
        if (str_eq(p->set, p->group) || str_eq(p->set, done))
            continue;
        done = p->set;
        add_course_rod(j, p);
    }
}

/* Nothing but gauges of depths, and of angles that a saw's scale has? */
static bool all_on_scales(const Patterns *jigs) {
    for (int i = 0; i < jigs->n; i++) {
        const Pattern *t = &jigs->at[i];
        if (t->jig == JIG_DEPTH)
            continue;
        if (t->jig != JIG_GAUGE
            || fabs(t->angle.real - round(t->angle.real)) > SAME_DEG)
            return false;
    }
    return true;
}

void plan_jigs(Ctx *c, const Model *m, bool alone, Patterns *out) {
    Jigs j = { c, m, out };

    add_gauges(&j);
    add_depths(&j);
    add_slat_rods(&j);
    add_course_rods(&j);
    if (alone && all_on_scales(out))
        out->n = 0;
}
