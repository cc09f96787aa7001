/* symmetry -- is a shape its own mirror image?
 *
 * Points of each piece's image must lie on pieces of the shape: on the line,
 * on the circle, on the cubic themselves, not on facets of them, so that the
 * answer is as exact as the shape. Joined shapes have their corners on a grid
 * of SHAPE_GRID; a few steps of it are all that is allowed. As the mirror
 * image of the mirror image is the shape, one way is enough.
 */
#include "geom/geom_internal.h"

#include <math.h>

#define EXACT   (5 * SHAPE_GRID)
#define SAMPLES 4     // stretches of a curve whose ends are looked at
#define SEARCH  32    // points of a cubic, from the nearest of which ...
#define STEPS   30    // ... so many halvings lead to the nearest of all

static V2 cubic_point(const Seg *s, double t) {
    double u = 1 - t;
    double k[4] = { u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t };

    return v2(k[0] * s->a.x + k[1] * s->c1.x + k[2] * s->c2.x + k[3] * s->b.x,
              k[0] * s->a.y + k[1] * s->c1.y + k[2] * s->c2.y
              + k[3] * s->b.y);
}

static V2 arc_point(const Seg *s, double t) {
    V2     r  = v2_sub(s->a, s->center);
    double co = cos(s->sweep * t), si = sin(s->sweep * t);

    return v2_add(s->center, v2(r.x * co - r.y * si, r.x * si + r.y * co));
}

static V2 point_at(const Seg *s, double t) {
    return s->kind == SEG_CUBIC ? cubic_point(s, t)
         : s->kind == SEG_ARC   ? arc_point(s, t)
         : v2_add(s->a, v2_scale(v2_sub(s->b, s->a), t));
}

/* ---- How far a point is from a piece ---- */

static double from_line(const Seg *s, V2 v) {
    V2     way = v2_sub(s->b, s->a), to = v2_sub(v, s->a);
    double len = v2_dot(way, way);
    double t   = len > 0 ? fmax(0, fmin(1, v2_dot(to, way) / len)) : 0;

    return v2_len(v2_sub(to, v2_scale(way, t)));
}

static double from_arc(const Seg *s, V2 v) {
    V2     r    = v2_sub(s->a, s->center), to = v2_sub(v, s->center);
    double turn = atan2(v2_cross(r, to), v2_dot(r, to));

    if (turn * s->sweep < 0)
        turn += s->sweep < 0 ? -2 * M_PI : 2 * M_PI;
    if (fabs(turn) <= fabs(s->sweep))
        return fabs(v2_len(to) - v2_len(r));
    return fmin(v2_len(v2_sub(v, s->a)), v2_len(v2_sub(v, s->b)));
}

static double from_cubic(const Seg *s, V2 v) {
    double best = INFINITY, at = 0, step = 0.5 / SEARCH;

    for (int i = 0; i <= SEARCH; i++) {
        double d = v2_len(v2_sub(cubic_point(s, (double)i / SEARCH), v));
        if (d < best) {
            best = d;
            at   = (double)i / SEARCH;
        }
    }
    for (int i = 0; i < STEPS; i++) {
        double from = at;
        for (int side = -1; side <= 1; side += 2) {
            double t = fmax(0, fmin(1, from + side * step));
            double d = v2_len(v2_sub(cubic_point(s, t), v));
            if (d < best) {
                best = d;
                at   = t;
            }
        }
        if (at == from)
            step /= 2;
    }
    return best;
}

static bool is_on(const Seg *s, V2 v) {
    Box2 box = seg_corners(s);

    if (s->kind != SEG_ARC
        && (v.x < box.min.x - EXACT || v.x > box.max.x + EXACT
            || v.y < box.min.y - EXACT || v.y > box.max.y + EXACT))
        return false;
    return (s->kind == SEG_CUBIC ? from_cubic(s, v)
          : s->kind == SEG_ARC   ? from_arc(s, v) : from_line(s, v))
         <= EXACT;
}

static bool is_on_shape(Shape s, V2 v) {
    for (int i = 0; i < s.loops.n; i++) {
        for (int k = 0; k < s.loops.at[i].n; k++) {
            if (is_on(&s.loops.at[i].at[k], v))
                return true;
        }
    }
    return false;
}

bool shape_symmetric(Shape s, bool about_x_middle) {
    Box2 box = shape_box(s);
    V2   sum = v2_add(box.min, box.max);

    for (int i = 0; i < s.loops.n; i++) {
        const Loop *l = &s.loops.at[i];
        for (int k = 0; k < l->n * SAMPLES; k++) {
            V2 v = point_at(&l->at[k / SAMPLES],
                            (double)(k % SAMPLES) / SAMPLES);
            if (about_x_middle)
                v.x = sum.x - v.x;
            else
                v.y = sum.y - v.y;
            if (!is_on_shape(s, v))
                return false;
        }
    }
    return true;
}
