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

Box2 seg_corners(const Seg *s) {
    Box2 box = box2_empty();

    box2_add(&box, s->a);
    box2_add(&box, s->b);
    if (s->kind == SEG_CUBIC) {
        box2_add(&box, s->c1);
        box2_add(&box, s->c2);
    }
    return box;
}

/* A box that holds the piece of path and its chord. */
static Box2 seg_reach(const Seg *s) {
    Box2 box = seg_corners(s);

    if (s->kind == SEG_ARC) {
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

/* Most arcs are those of holes far off: their circles tell that sooner. */
static bool seg_clear(const Seg *s, Box2 box) {
    if (s->kind == SEG_ARC) {
        V2 r = v2(seg_radius(s), seg_radius(s));
        if (boxes_clear((Box2){ v2_sub(s->center, r),
                                v2_add(s->center, r) }, box))
            return true;
    }
    return boxes_clear(seg_reach(s), box);
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
            if (!seg_clear(seg, box))
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

/* A shape that lies clear inside another, or clear beside it. */
bool intersect_easily(Shape a, Shape b, Shape *out) {
    Where where;

    if (a.loops.n == 0 || !(shape_area(a) > 0) || !(shape_area(b) > 0))
        return false;
    where = shape_around(b, shape_box(a));
    *out  = where == WHERE_INSIDE ? a : (Shape){ 0 };
    return where != WHERE_NEAR;
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

/* How far a box reaches beyond a line, or with -1 how far before it. */
static double reach_beyond(Box2 box, V2 n, double d, double way) {
    double x = n.x * way > 0 ? box.max.x : box.min.x;
    double y = n.y * way > 0 ? box.max.y : box.min.y;

    return way * (n.x * x + n.y * y - d);
}

typedef enum { SEG_NEAR, SEG_BEYOND, SEG_ACROSS } Lies;

static Lies seg_lies(Seg s, V2 n, double d) {
    Loop   l    = { &s, 1, 1 };
    Box2   box  = shape_box((Shape){ { &l, 1, 1 } });
    double ha   = v2_dot(n, s.a) - d, hb = v2_dot(n, s.b) - d;
    bool   line = s.kind == SEG_LINE;
    double most  = line ? fmax(ha, hb) : reach_beyond(box, n, d, 1);
    double least = line ? fmin(ha, hb) : -reach_beyond(box, n, d, -1);

    return most <= ON_PLANE ? SEG_NEAR
         : least >= -ON_PLANE ? SEG_BEYOND : SEG_ACROSS;
}

/* Cuts a side whose ends lie on either side of the line. */
static bool cut_seg(const Seg *s, V2 n, double d, Seg *before, Seg *after) {
    double ha = v2_dot(n, s->a) - d, hb = v2_dot(n, s->b) - d;
    double h  = d - v2_dot(n, s->center), r = seg_radius(s), half;

    if (ha * hb >= 0 || s->kind == SEG_CUBIC)
        return false;
    if (s->kind == SEG_LINE) {
        V2 on   = v2_add(s->a, v2_scale(v2_sub(s->b, s->a), ha / (ha - hb)));
        *before = seg_line(s->a, on);
        *after  = seg_line(on, s->b);
        return true;
    }
    half = sqrt(fmax(0, r * r - h * h));
    for (int i = -1; i <= 1; i += 2) {   // the circle meets it twice
        V2     off  = v2_add(v2_scale(n, h),
                             v2_scale(v2(-n.y, n.x), i * half));
        V2     from = v2_sub(s->a, s->center);
        double turn = atan2(v2_cross(from, off), v2_dot(from, off));
        if (turn * s->sweep < 0)
            turn += turn < 0 ? 2 * PI : -2 * PI;
        if (fabs(turn) > fabs(s->sweep))
            continue;
        off     = v2_add(s->center, off);
        *before = seg_arc(s->a, off, s->center, turn);
        *after  = seg_arc(off, s->b, s->center, s->sweep - turn);
        return true;
    }
    return false;
}

/* An outline that the line leaves once and enters once loses what is
 * beyond, curves and all:
 *
 *     .---._____|..         false: it is none such, or a curve only
 *    (          |  )        bulges over the line
 *     `---------|''
 */
static bool cut_across(Ctx *c, const Loop *l, V2 n, double d, Loop *out) {
    int  first = -1, cuts = 0;
    bool left  = false;
    Seg  before, after;
    V2   on = { 0, 0 };

    for (int i = 0; i < l->n; i++) {
        const Seg *s = &l->at[i];
        if (seg_lies(*s, n, d) != SEG_ACROSS)
            continue;
        cuts++;
        if (v2_dot(n, s->a) > d)
            first = i;   // here it comes back
    }
    if (cuts != 2 || first < 0)
        return false;
    for (int i = 0; i < l->n; i++) {
        const Seg *s = &l->at[(first + i) % l->n];
        Lies       lies = seg_lies(*s, n, d);
        if (lies == (left ? SEG_NEAR : SEG_BEYOND)   // by a corner, too
            || (lies == SEG_ACROSS && !cut_seg(s, n, d, &before, &after)))
            return false;
        if (lies != SEG_BEYOND)
            *PUSH(c, out) = lies == SEG_NEAR ? *s : i == 0 ? after : before;
        if (lies == SEG_ACROSS && i > 0) {
            left = true;
            on   = before.b;
        }
    }
    loop_line_to(c, out, on, out->at[0].a);
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

/* False: not so easily. */
static bool keep_easily(Ctx *c, Shape s, V2 n, double d, Shape *out) {
    for (int i = 0; i < s.loops.n; i++) {
        const Loop *l   = &s.loops.at[i];
        Shape       one = { { &s.loops.at[i], 1, 1 } };
        Box2        box = shape_box(one);
        Loop        cut = { 0 };
        if (reach_beyond(box, n, d, 1) <= (i > 0 ? -CLEAR : ON_PLANE))
            cut = *l;
        else if (i > 0 && reach_beyond(box, n, d, -1) <= -CLEAR)
            continue;   // a hole in what goes
        else if (i == 0 && is_convex_polygon(l))
            cut = clip_polygon(c, l, n, d);
        else if (i > 0 || !cut_across(c, l, n, d, &cut))
            return false;
        *PUSH(c, &out->loops) = cut;
    }
    return true;
}

Shape shape_keep(Ctx *c, Shape s, V2 n, double d) {
    Shape out = { 0 };

    if (!keep_easily(c, s, n, d, &out))
        return shape_intersect(c, s, half_plane(c, n, d, shape_box(s)));
    if (out.loops.n && out.loops.at[0].n < 3)
        out.loops.n = 0;
    return out;
}
