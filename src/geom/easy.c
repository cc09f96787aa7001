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
        bool   all = n.x * hx + n.y * hy <= d - CLEAR;
        if (!all && (i > 0 || !is_convex_polygon(l)))
            return shape_intersect(c, s, half_plane(c, n, d, shape_box(s)));
        *PUSH(c, &out.loops) = all ? *l : clip_polygon(c, l, n, d);
    }
    if (out.loops.n && out.loops.at[0].n < 3)
        out.loops.n = 0;
    return out;
}
