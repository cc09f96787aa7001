/* shape -- outlines with holes: made, moved, measured, checked. */
#include "geom/geom_internal.h"

#include <math.h>

#define CLOSED_WITHIN 1e-6   // mm, from one segment's end to the next
#define ZERO_LENGTH   1e-6   // mm

/* ---- Making ---- */

static Loop polygon(Ctx *c, const V2 *p, int n) {
    Loop l = { 0 };

    for (int i = 0; i < n; i++)
        loop_line_to(c, &l, p[i], p[(i + 1) % n]);
    return l;
}

Shape shape_rect(Ctx *c, V2 min, V2 max) {
    V2    corner[4] = { min, v2(max.x, min.y), max, v2(min.x, max.y) };
    Shape s = { 0 };

    *PUSH(c, &s.loops) = polygon(c, corner, 4);
    return s;
}

/* Four quarters, so that every quadrant point is an end. */
Shape shape_circle(Ctx *c, V2 center, double radius) {
    Shape s = { 0 };
    Loop *l = PUSH(c, &s.loops);

    for (int k = 0; k < 4; k++) {
        V2 a = v2_add(center, v2_scale(lattice_direction(k, 4), radius));
        V2 b = v2_add(center, v2_scale(lattice_direction(k + 1, 4), radius));
        *PUSH(c, l) = seg_arc(a, b, center, PI / 2);
    }
    return s;
}

/* The arc of theta about the origin of the unit circle as a cubic is off
 * by (2/27) sin^6(theta/4) / cos^2(theta/4) (circle approximation by
 * tangent length 4/3 tan(theta/4)); an ellipse is that circle stretched. */
static int ellipse_pieces(double semi_axis) {
    int n = 2;

    while (n < 64) {
        double q = PI / n / 4;
        double off = 2.0 / 27 * pow(sin(q), 6) / pow(cos(q), 2);
        if (off * semi_axis < 5e-5)
            break;
        n += 2;
    }
    return n;
}

/* The upper half of an ellipse from right to left. */
static void add_half_ellipse(Ctx *c, Loop *l, V2 center, double half,
                             double rise) {
    int    n = ellipse_pieces(fmax(half, rise));
    double k = 4.0 / 3 * tan(PI / n / 4);

    for (int i = 0; i < n; i++) {
        V2  a = lattice_direction(i, 2 * n);
        V2  b = lattice_direction(i + 1, 2 * n);
        Seg s = { .kind = SEG_CUBIC };
        s.a  = v2(center.x + half * a.x, center.y + rise * a.y);
        s.b  = v2(center.x + half * b.x, center.y + rise * b.y);
        s.c1 = v2(center.x + half * (a.x - k * a.y),
                  center.y + rise * (a.y + k * a.x));
        s.c2 = v2(center.x + half * (b.x + k * b.y),
                  center.y + rise * (b.y - k * b.x));
        *PUSH(c, l) = s;
    }
}

/* Both centers lie on the spring line, so that the sides run into the
 * arcs smoothly: (r - w/2)^2 + rise^2 = r^2 gives r.
 *
 *              /\  apex
 *            /    \            center of the right-hand arc: r left
 *           |   +  |           of the right-hand spring point
 */
static void add_pointed(Ctx *c, Loop *l, V2 center, double half,
                        double rise) {
    double r     = (half * half + rise * rise) / (2 * half);
    double sweep = atan2(rise, r - half);
    V2     right = v2(center.x + half, center.y);
    V2     left  = v2(center.x - half, center.y);
    V2     apex  = v2(center.x, center.y + rise);

    *PUSH(c, l) = seg_arc(right, apex, v2(right.x - r, center.y), sweep);
    *PUSH(c, l) = seg_arc(apex, left, v2(left.x + r, center.y), sweep);
}

/* A pointed arch no higher than half its width has no point: it is drawn
 * segmental. */
Shape shape_arch(Ctx *c, ArchKind kind, double center, double base,
                 double spring, double width, double rise) {
    double half = width / 2;
    V2     foot_left  = v2(center - half, base);
    V2     foot_right = v2(center + half, base);
    V2     left  = v2(center - half, spring);
    V2     right = v2(center + half, spring);
    Shape  s = { 0 };
    Loop  *l = PUSH(c, &s.loops);

    loop_line_to(c, l, foot_left, foot_right);
    loop_line_to(c, l, foot_right, right);
    if (!(rise > 0))
        loop_line_to(c, l, right, left);
    else if (kind == ARCH_ELLIPTICAL)
        add_half_ellipse(c, l, v2(center, spring), half, rise);
    else if (kind == ARCH_POINTED && rise > half)
        add_pointed(c, l, v2(center, spring), half, rise);
    else
        *PUSH(c, l) = seg_arc_rise(right, left, -rise);
    loop_line_to(c, l, left, foot_left);
    return s;
}

/* ---- Moving ---- */

typedef V2 Mover(V2 p, const void *with);

static Shape shape_map(Ctx *c, Shape s, Mover *move, const void *with) {
    Shape out = { 0 };

    for (int i = 0; i < s.loops.n; i++) {
        Loop *l = PUSH(c, &out.loops);
        for (int k = 0; k < s.loops.at[i].n; k++) {
            Seg seg = s.loops.at[i].at[k];
            seg.a      = move(seg.a, with);
            seg.b      = move(seg.b, with);
            seg.center = move(seg.center, with);
            seg.c1     = move(seg.c1, with);
            seg.c2     = move(seg.c2, with);
            *PUSH(c, l) = seg;
        }
    }
    return out;
}

static V2 shift(V2 p, const void *by) {
    return v2_add(p, *(const V2 *)by);
}

Shape shape_move(Ctx *c, Shape s, V2 by) {
    return shape_map(c, s, shift, &by);
}

typedef struct { V2 about; double cosine, sine; } Turn;

static V2 turn(V2 p, const void *with) {
    const Turn *t = with;
    V2 d = v2_sub(p, t->about);

    return v2_add(t->about, v2(t->cosine * d.x - t->sine * d.y,
                               t->sine * d.x + t->cosine * d.y));
}

static double tidy(double k) {
    return fabs(k) < 1e-15 ? 0 : k;
}

Shape shape_turn(Ctx *c, Shape s, V2 about, double angle) {
    Turn t = { about, tidy(cos(angle)), tidy(sin(angle)) };

    return shape_map(c, s, turn, &t);
}

static V2 flip(V2 p, const void *at_x) {
    return v2(2 * *(const double *)at_x - p.x, p.y);
}

/* A mirrored loop runs the other way; it is read backwards to mend that.
 * (Mirrored and read backwards, a sweep keeps its sign.) */
Shape shape_mirror_x(Ctx *c, Shape s, double at_x) {
    Shape out = shape_map(c, s, flip, &at_x);

    for (int i = 0; i < out.loops.n; i++) {
        Loop *l = &out.loops.at[i];
        for (int a = 0, b = l->n - 1; a <= b; a++, b--) {
            Seg first = l->at[a], last = l->at[b];
            l->at[a] = seg_reverse(last);
            l->at[b] = seg_reverse(first);
            l->at[a].sweep = last.sweep;
            l->at[b].sweep = first.sweep;
        }
    }
    return out;
}

/* ---- Measuring ---- */

double shape_area(Shape s) {
    double sum = 0;

    for (int i = 0; i < s.loops.n; i++)
        for (int k = 0; k < s.loops.at[i].n; k++)
            sum += seg_area(&s.loops.at[i].at[k]);
    return sum;
}

double shape_perimeter(Shape s) {
    double sum = 0;

    for (int i = 0; i < s.loops.n; i++)
        for (int k = 0; k < s.loops.at[i].n; k++)
            sum += seg_length(&s.loops.at[i].at[k]);
    return sum;
}

/* The quadrant points that the arc passes. */
static void box_add_arc(Box2 *box, const Seg *s) {
    double r     = seg_radius(s);
    double begin = atan2(s->a.y - s->center.y, s->a.x - s->center.x);

    for (int k = -8; k <= 8; k++) {
        double t = (k * PI / 2 - begin) / s->sweep;
        if (t > 0 && t < 1)
            box2_add(box, v2_add(s->center,
                                 v2_scale(lattice_direction(k, 4), r)));
    }
}

/* Where the derivative of one coordinate is zero:
 * d0 (1-t)^2 + 2 d1 (1-t) t + d2 t^2 = 0. */
static void box_add_turning(Box2 *box, const Seg *s, double d0, double d1,
                            double d2) {
    double a = d0 - 2 * d1 + d2, b = d1 - d0;
    double root = sqrt(fmax(0, b * b - a * d0));
    double t[2] = { 0, 0 };

    if (b * b < a * d0)
        return;
    /* q = -(b + sign(b) root) avoids the difference of near equals */
    b += b > 0 ? root : -root;
    t[0] = a != 0 ? -b / a : 0;
    t[1] = b != 0 ? -d0 / b : 0;
    for (int i = 0; i < 2; i++)
        if (t[i] > 0 && t[i] < 1)
            box2_add(box, seg_point(s, t[i]));
}

Box2 shape_box(Shape s) {
    Box2 box = box2_empty();

    for (int i = 0; i < s.loops.n; i++)
        for (int k = 0; k < s.loops.at[i].n; k++) {
            const Seg *seg = &s.loops.at[i].at[k];
            box2_add(&box, seg->a);
            box2_add(&box, seg->b);
            if (seg->kind == SEG_ARC && seg->sweep != 0)
                box_add_arc(&box, seg);
            if (seg->kind != SEG_CUBIC)
                continue;
            box_add_turning(&box, seg, seg->c1.x - seg->a.x,
                            seg->c2.x - seg->c1.x, seg->b.x - seg->c2.x);
            box_add_turning(&box, seg, seg->c1.y - seg->a.y,
                            seg->c2.y - seg->c1.y, seg->b.y - seg->c2.y);
        }
    return box;
}

bool shape_has_curves(Shape s) {
    for (int i = 0; i < s.loops.n; i++)
        for (int k = 0; k < s.loops.at[i].n; k++)
            if (s.loops.at[i].at[k].kind != SEG_LINE)
                return true;
    return false;
}

static FlatEdges loop_flatten(Ctx *c, const Loop *l, double sagitta) {
    FlatEdges edges = { 0 };

    for (int i = 0; i < l->n; i++)
        seg_flatten(c, &l->at[i], i, sagitta, &edges);
    return edges;
}

Rings shape_rings(Ctx *c, Shape s, double sagitta) {
    Rings rings = { 0 };

    for (int i = 0; i < s.loops.n; i++) {
        FlatEdges edges = loop_flatten(c, &s.loops.at[i], sagitta);
        Ring     *ring  = PUSH(c, &rings);
        for (int k = 0; k < edges.n; k++)
            *PUSH(c, ring) = edges.at[k].a;
    }
    return rings;
}

/* ---- Checking ---- */

static bool seg_is_finite(const Seg *s) {
    double sum = s->a.x + s->a.y + s->b.x + s->b.y + s->center.x
               + s->center.y + s->sweep + s->c1.x + s->c1.y + s->c2.x
               + s->c2.y;

    return isfinite(sum);
}

/* What is wrong with a piece and the way it follows the one before, or
 * NULL. */
static const char *seg_fault(const Seg *before, const Seg *s) {
    double off;

    if (!seg_is_finite(s))
        return "has a number that is not finite";
    if (seg_length(s) < ZERO_LENGTH)
        return "has a piece of zero length";
    if (v2_len(v2_sub(before->b, s->a)) > CLOSED_WITHIN)
        return "is open";
    if (s->kind != SEG_ARC)
        return NULL;
    off = v2_len(v2_sub(s->b, s->center)) - seg_radius(s);
    if (fabs(off) > 0.01)
        return "has an arc whose ends are not equally far from its center";
    return fabs(s->sweep) > 2 * PI + 1e-9
         ? "has an arc of more than a full turn" : NULL;
}

static const char *loops_fault(Shape s, V2 *where) {
    for (int i = 0; i < s.loops.n; i++) {
        const Loop *l = &s.loops.at[i];
        for (int k = 0; k < l->n; k++) {
            const Seg  *seg = &l->at[k];
            const char *why = seg_fault(&l->at[(k + l->n - 1) % l->n], seg);
            *where = seg->a;
            if (why)
                return why;
        }
        if (l->n == 0)
            return "has an empty loop";
    }
    return s.loops.n ? NULL : "is empty";
}

static const char *rings_fault(Ctx *c, Shape s, V2 *where) {
    GEOSContextHandle_t h = GEOS_init_r();
    GEOSGeometry *g   = geos_from_rings(c, h, shape_rings(c, s,
                                                          FINE_SAGITTA));
    GEOSGeometry *at  = NULL;
    char         *say = NULL;
    const char   *why = NULL;

    if (!g) {
        why = "encloses nothing";
    } else if (GEOSisValidDetail_r(h, g, 0, &say, &at) != 1) {
        why = say && strstr(say, "Self-intersection")
            ? "crosses or touches itself"
            : say && strstr(say, "Hole")
            ? "has a hole that is not inside the outline"
            : "has loops that cross, touch or lie in one another";
        if (at) {
            GEOSGeomGetX_r(h, at, &where->x);
            GEOSGeomGetY_r(h, at, &where->y);
        }
    }
    GEOSFree_r(h, say);
    GEOSGeom_destroy_r(h, at);
    GEOSGeom_destroy_r(h, g);
    GEOS_finish_r(h);
    return why;
}

bool shape_valid(Ctx *c, Shape s, const char **why, V2 *where) {
    *where = v2(0, 0);
    *why   = loops_fault(s, where);
    if (!*why)
        *why = rings_fault(c, s, where);
    if (!*why && shape_area(s) < 0)
        *why = "runs clockwise";
    return !*why;
}
