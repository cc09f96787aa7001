/* easy -- differences of shapes that need no clipping.
 *
 * Most cuts lie clear inside the wood: a hole in a board is its loop, run
 * the other way. And most boards that lose an end are plain polygons.
 * Neither needs GEOS, whose work grows with the whole outline for each
 * hole.
 */
#include "geom/geom_internal.h"

#include <math.h>

#define CLEAR 0.01   // mm between what is clear of each other

/* A box that holds the piece of path and its chord. */
static Box2 seg_reach(const Seg *s) {
    Box2 box = box2_empty();

    box2_add(&box, s->a);
    box2_add(&box, s->b);
    if (s->kind == SEG_CUBIC) {
        box2_add(&box, s->c1);
        box2_add(&box, s->c2);
    } else if (s->kind == SEG_ARC) {
        for (int i = 1; i < 8; i++)
            box2_add(&box, seg_point(s, i / 8.0));
        double r = seg_radius(s) * (1 - cos(s->sweep / 16));
        box2_add(&box, v2_sub(box.min, v2(r, r)));
        box2_add(&box, v2_add(box.max, v2(r, r)));
    }
    return box;
}

static bool boxes_clear(Box2 a, Box2 b) {
    return a.min.x > b.max.x + CLEAR || b.min.x > a.max.x + CLEAR
        || a.min.y > b.max.y + CLEAR || b.min.y > a.max.y + CLEAR;
}

/* Does the chord cross the ray to the right of p? */
static bool crosses_ray(const Seg *s, V2 p) {
    if ((s->a.y > p.y) == (s->b.y > p.y))
        return false;
    return s->a.x + (p.y - s->a.y) * (s->b.x - s->a.x)
                        / (s->b.y - s->a.y) > p.x;
}

Where shape_around(Shape s, Box2 box) {
    bool inside = false;

    for (int i = 0; i < s.loops.n; i++)
        for (int k = 0; k < s.loops.at[i].n; k++) {
            const Seg *seg = &s.loops.at[i].at[k];
            if (!boxes_clear(seg_reach(seg), box))
                return WHERE_NEAR;
            inside ^= crosses_ray(seg, box.min);
        }
    return inside ? WHERE_INSIDE : WHERE_OUTSIDE;
}

bool subtract_easily(Ctx *c, Shape a, Shape b, Shape *out) {
    Where where;
    Loop *l;

    if (b.loops.n != 1 || !(shape_area(a) > 0))
        return false;
    where = shape_around(a, shape_box(b));
    if (where == WHERE_NEAR)
        return false;
    *out = (Shape){ 0 };
    for (int i = 0; i < a.loops.n; i++)
        *PUSH(c, &out->loops) = a.loops.at[i];
    if (where == WHERE_OUTSIDE)
        return true;
    if (shape_area(b) < 0) {
        *PUSH(c, &out->loops) = b.loops.at[0];
        return true;
    }
    l = PUSH(c, &out->loops);
    for (int k = b.loops.at[0].n - 1; k >= 0; k--)
        *PUSH(c, l) = seg_reverse(b.loops.at[0].at[k]);
    return true;
}

/* ---- A straight cut ---- */

static bool is_convex_polygon(const Loop *l) {
    for (int i = 0; i < l->n; i++) {
        const Seg *s = &l->at[i], *next = &l->at[(i + 1) % l->n];
        if (s->kind != SEG_LINE
                || v2_cross(v2_sub(s->b, s->a), v2_sub(next->b, next->a))
                       < 0)
            return false;
    }
    return true;
}

/* The part of a convex polygon on the near side of the line. */
static Loop clip_polygon(Ctx *c, const Loop *l, V2 n, double d) {
    LIST(V2) p = { 0 };
    Loop     out = { 0 };

    for (int i = 0; i < l->n; i++) {
        V2     a = l->at[i].a, b = l->at[i].b;
        double ha = v2_dot(n, a) - d, hb = v2_dot(n, b) - d;
        if (ha <= ON_PLANE)
            *PUSH(c, &p) = a;
        if ((ha < -ON_PLANE && hb > ON_PLANE)
                || (ha > ON_PLANE && hb < -ON_PLANE))
            *PUSH(c, &p) = v2_add(a, v2_scale(v2_sub(b, a),
                                              ha / (ha - hb)));
    }
    for (int i = 0; i < p.n; i++)
        loop_line_to(c, &out, p.at[i], p.at[(i + 1) % p.n]);
    return out;
}

/* Where an arc crosses the line: how often, and *t of one place. */
static int arc_crossings(const Seg *s, V2 n, double d, double *t) {
    double h = d - v2_dot(n, s->center), r = seg_radius(s);
    V2     from = v2_sub(s->a, s->center);
    int    count = 0;

    if (fabs(h) >= r)
        return 0;
    for (int i = 0; i < 2; i++) {
        double at = atan2(n.y, n.x) + (i ? 1 : -1) * acos(h / r)
                  - atan2(from.y, from.x);
        double part = fmod(at * (s->sweep > 0 ? 1 : -1) + 4 * PI, 2 * PI)
                    / fabs(s->sweep);
        if (part >= 1)
            continue;
        *t = part;
        count++;
    }
    return count;
}

typedef enum { KEEPS_ALL, KEEPS_NONE, LEAVES, COMES, UNSURE } Keeps;

/* What the line leaves of a piece of path; *t: where it crosses. An end on
 * the line is for the longer way. */
static Keeps seg_keeps(const Seg *s, V2 n, double d, double *t) {
    double a = v2_dot(n, s->a) - d, b = v2_dot(n, s->b) - d;
    bool   across = (a < 0) != (b < 0);

    if (fabs(a) <= ON_PLANE || fabs(b) <= ON_PLANE)
        return UNSURE;
    if (s->kind == SEG_CUBIC) {
        double c1 = v2_dot(n, s->c1) - d, c2 = v2_dot(n, s->c2) - d;
        if (across || (c1 < 0) != (a < 0) || (c2 < 0) != (a < 0))
            return UNSURE;
    }
    *t = a / (a - b);
    if (s->kind == SEG_ARC && arc_crossings(s, n, d, t) != across)
        return UNSURE;
    return across ? (a < 0 ? LEAVES : COMES)
                  : (a < 0 ? KEEPS_ALL : KEEPS_NONE);
}

/* From t0 to t1 of a line or an arc. */
static Seg seg_between(const Seg *s, double t0, double t1) {
    V2 a = t0 > 0 ? seg_point(s, t0) : s->a;
    V2 b = t1 < 1 ? seg_point(s, t1) : s->b;

    return s->kind == SEG_ARC ? seg_arc(a, b, s->center, s->sweep * (t1 - t0))
                              : seg_line(a, b);
}

/* The near part of a loop that the line leaves once and comes back to
 * once. False: it is not so. */
static bool keep_one_part(Ctx *c, const Loop *l, V2 n, double d, Loop *out) {
    int    leaves = -1, comes = -1, count = 0;
    double t, out_at = 0, in_at = 0;

    for (int i = 0; i < l->n; i++) {
        Keeps k = seg_keeps(&l->at[i], n, d, &t);
        if (k == UNSURE)
            return false;
        if (k == LEAVES)
            leaves = i, out_at = t;
        if (k == COMES)
            comes = i, in_at = t;
        count += k == LEAVES || k == COMES;
    }
    if (count != 2 || leaves == comes)
        return false;
    *out = (Loop){ 0 };
    *PUSH(c, out) = seg_between(&l->at[comes], in_at, 1);
    for (int i = (comes + 1) % l->n; i != leaves; i = (i + 1) % l->n)
        *PUSH(c, out) = l->at[i];
    *PUSH(c, out) = seg_between(&l->at[leaves], 0, out_at);
    loop_line_to(c, out, out->at[out->n - 1].b, out->at[0].a);
    return true;
}

/* A rectangle that covers the near side of the line around the shape. */
static Shape half_plane(Ctx *c, V2 n, double d, Box2 box) {
    double big = v2_len(v2_sub(box.max, box.min)) + fabs(d)
               + v2_len(box.min) + 100;
    V2     u   = v2_scale(v2(-n.y, n.x), big), on = v2_scale(n, d);
    V2     in  = v2_scale(n, 2 * big);
    V2     p[4] = { v2_sub(on, u), v2_add(on, u),
                    v2_sub(v2_add(on, u), in), v2_sub(v2_sub(on, u), in) };
    Shape  out  = { 0 };
    Loop  *l    = PUSH(c, &out.loops);

    for (int i = 0; i < 4; i++)
        loop_line_to(c, l, p[i], p[(i + 1) % 4]);
    return out;
}

Shape shape_keep(Ctx *c, Shape s, V2 n, double d) {
    Shape out = { 0 };

    for (int i = 0; i < s.loops.n; i++) {
        Loop  *l   = &s.loops.at[i];
        Shape  one = { { l, 1, 1 } };
        Box2   box = shape_box(one);
        double hx  = n.x > 0 ? box.max.x : box.min.x;
        double hy  = n.y > 0 ? box.max.y : box.min.y;
        Loop   part = *l;
        if (n.x * hx + n.y * hy <= d - CLEAR)
            *PUSH(c, &out.loops) = *l;
        else if (i == 0 && is_convex_polygon(l))
            *PUSH(c, &out.loops) = clip_polygon(c, l, n, d);
        else if (i == 0 && keep_one_part(c, l, n, d, &part))
            *PUSH(c, &out.loops) = part;
        else
            return shape_intersect(c, s, half_plane(c, n, d, shape_box(s)));
    }
    if (out.loops.n && out.loops.at[0].n < 3)
        out.loops.n = 0;
    return out;
}
