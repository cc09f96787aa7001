/* biarc -- cubics as arcs, for machines and formats that know no other
 * curve.
 *
 * Between two points of the cubic lie two arcs that touch each other and
 * have the cubic's directions at both ends; of all such pairs the one with
 * equal tangent lengths d:
 *
 *          d .--- J ---. d        J = (a + b + d (ta - tb)) / 2
 *         ta            tb
 *        a                b
 *
 * Where the pair is farther off than allowed, the cubic is halved. Source:
 * Bolton 1975, biarc curves; the condition |a + d ta - (b - d tb)| = 2 d
 * is a quadratic in d. The rival, a chain of short lines, leaves facets
 * that a router bit shows.
 */
#include "geom/geom_internal.h"

#include <math.h>

#define PROBES   9      // points of the cubic that are held against the arcs
#define DEEPEST  16     // halvings
#define STRAIGHT 1e-9   // sine of a chord's angle: the arc is a line

/* The arc from a to b that leaves a in direction t. */
static Seg arc_leaving(V2 a, V2 b, V2 t) {
    V2     chord = v2_sub(b, a), n = v2(-t.y, t.x);
    double side  = v2_dot(n, chord), len = v2_len(chord);

    if (fabs(side) <= STRAIGHT * len)
        return seg_line(a, b);
    return seg_arc(a, b, v2_add(a, v2_scale(n, len * len / (2 * side))),
                   2 * atan2(side, v2_dot(t, chord)));
}

/* Tangent length of the pair; 0 where there is none. */
static double pair_length(V2 a, V2 b, V2 ta, V2 tb) {
    V2     v = v2_sub(b, a), t = v2_add(ta, tb);
    double vt = v2_dot(v, t), vv = v2_dot(v, v);
    double k  = 2 * (1 - v2_dot(ta, tb));

    if (k < 1e-12)
        return v2_dot(v, tb) > 0 ? vv / (4 * v2_dot(v, tb)) : 0;
    return (-vt + sqrt(vt * vt + k * vv)) / k;
}

static double off_arc(const Seg *s, V2 p) {
    if (s->kind == SEG_LINE)
        return line_distance(p, s->a, s->b);
    return fabs(v2_len(v2_sub(p, s->center)) - seg_radius(s));
}

/* Each probe is near the one arc or the other. */
static bool pair_fits(const Seg *cubic, double t0, double t1,
                      const Seg pair[2], double tolerance) {
    for (int i = 1; i <= PROBES; i++) {
        V2 p = seg_point(cubic, t0 + (t1 - t0) * i / (PROBES + 1));
        if (fmin(off_arc(&pair[0], p), off_arc(&pair[1], p)) > tolerance)
            return false;
    }
    return fabs(pair[0].sweep) < PI / 2 && fabs(pair[1].sweep) < PI / 2;
}

static void add_arcs(Ctx *c, const Seg *cubic, double t0, double t1,
                     double tolerance, int depth, Loop *out) {
    V2     a = seg_point(cubic, t0), b = seg_point(cubic, t1);
    V2     ta = seg_tangent(cubic, t0), tb = seg_tangent(cubic, t1);
    double d = pair_length(a, b, ta, tb);
    V2     joint = v2_scale(v2_add(v2_add(a, b),
                                   v2_scale(v2_sub(ta, tb), d)), 0.5);
    Seg    pair[2] = { arc_leaving(a, joint, ta),
                       seg_reverse(arc_leaving(b, joint,
                                               v2_scale(tb, -1))) };

    if (d > 0 && pair_fits(cubic, t0, t1, pair, tolerance)) {
        *PUSH(c, out) = pair[0];
        *PUSH(c, out) = pair[1];
    } else if (depth == 0) {
        *PUSH(c, out) = seg_line(a, b);
    } else {
        double middle = (t0 + t1) / 2;
        add_arcs(c, cubic, t0, middle, tolerance, depth - 1, out);
        add_arcs(c, cubic, middle, t1, tolerance, depth - 1, out);
    }
}

Shape shape_arcs(Ctx *c, Shape s, double tolerance) {
    Shape out = { 0 };

    for (int i = 0; i < s.loops.n; i++) {
        Loop loop = { 0 };
        for (int k = 0; k < s.loops.at[i].n; k++) {
            const Seg *seg = &s.loops.at[i].at[k];
            if (seg->kind == SEG_CUBIC)
                add_arcs(c, seg, 0, 1, tolerance, DEEPEST, &loop);
            else
                *PUSH(c, &loop) = *seg;
        }
        *PUSH(c, &out.loops) = loop;
    }
    return out;
}
