/* path -- pieces of a path: lines, arcs, cubics; and their facets.
 *
 * An arc is cut into facets at fixed angles about its center (multiples of
 * 1/n turn from the x axis), not at equal parts of its own sweep. Two
 * shapes that share a circle then share its facets wherever their arcs
 * begin and end, and a dowel fits its hole facet to facet.
 */
#include "geom/geom_internal.h"

#include <math.h>

#define SAME_POINT 1e-9   // mm
#define SHORT_FACET 1e-3  // mm: lattice points this near an end are left out

/* ---- Making ---- */

Seg seg_line(V2 a, V2 b) {
    return (Seg){ .kind = SEG_LINE, .a = a, .b = b };
}

Seg seg_arc(V2 a, V2 b, V2 center, double sweep) {
    return (Seg){ .kind = SEG_ARC, .a = a, .b = b, .center = center,
                  .sweep = sweep };
}

/*            .-'''-.          rise h over the chord c = |b - a|:
 *          .'   h   '.        radius r = c*c/(8h) + h/2,
 *         a-----+-----b       center r - h below the chord's middle.
 *          (half c)           h > c/2 puts the center above the chord.
 */
Seg seg_arc_rise(V2 a, V2 b, double rise) {
    V2     chord = v2_sub(b, a);
    double c = v2_len(chord), h = fabs(rise), r, side, sweep;
    V2     left, middle, center;

    if (!(c > 0) || !(h > SAME_POINT))
        return seg_line(a, b);
    r      = c * c / (8 * h) + h / 2;
    side   = rise > 0 ? 1 : -1;
    left   = v2_scale(v2(-chord.y, chord.x), side / c);
    middle = v2_scale(v2_add(a, b), 0.5);
    center = v2_add(middle, v2_scale(left, h - r));
    sweep  = 2 * atan2(c / 2, r - h);
    return seg_arc(a, b, center, -side * sweep);
}

void loop_line_to(Ctx *c, Loop *l, V2 from, V2 to) {
    if (v2_len(v2_sub(to, from)) > SAME_POINT)
        *PUSH(c, l) = seg_line(from, to);
}

Seg seg_reverse(Seg s) {
    Seg r = s;

    r.a     = s.b;
    r.b     = s.a;
    r.c1    = s.c2;
    r.c2    = s.c1;
    r.sweep = -s.sweep;
    return r;
}

/* ---- Points along ---- */

double seg_radius(const Seg *s) {
    return v2_len(v2_sub(s->a, s->center));
}

static V2 cubic_point(const Seg *s, double t) {
    double u = 1 - t;
    double ka = u * u * u, k1 = 3 * u * u * t, k2 = 3 * u * t * t,
           kb = t * t * t;

    return v2(ka * s->a.x + k1 * s->c1.x + k2 * s->c2.x + kb * s->b.x,
              ka * s->a.y + k1 * s->c1.y + k2 * s->c2.y + kb * s->b.y);
}

V2 seg_point(const Seg *s, double t) {
    double r, angle;

    if (t <= 0 || t >= 1)
        return t <= 0 ? s->a : s->b;
    if (s->kind == SEG_LINE)
        return v2_add(s->a, v2_scale(v2_sub(s->b, s->a), t));
    if (s->kind == SEG_CUBIC)
        return cubic_point(s, t);
    r     = seg_radius(s);
    angle = atan2(s->a.y - s->center.y, s->a.x - s->center.x)
          + s->sweep * t;
    return v2(s->center.x + r * cos(angle), s->center.y + r * sin(angle));
}

static V2 unit(V2 v) {
    double len = v2_len(v);

    return len > 0 ? v2_scale(v, 1 / len) : v;
}

/* The derivative, or where a control lies on the end itself, the direction
 * to the next control. */
static V2 cubic_tangent(const Seg *s, double t) {
    double u = 1 - t;
    V2     d = v2_add(v2_scale(v2_sub(s->c1, s->a), u * u),
                      v2_add(v2_scale(v2_sub(s->c2, s->c1), 2 * u * t),
                             v2_scale(v2_sub(s->b, s->c2), t * t)));

    if (v2_len(d) > SAME_POINT)
        return unit(d);
    d = t < 0.5 ? v2_sub(s->c2, s->a) : v2_sub(s->b, s->c1);
    return unit(v2_len(d) > SAME_POINT ? d : v2_sub(s->b, s->a));
}

V2 seg_tangent(const Seg *s, double t) {
    V2 out;

    if (s->kind == SEG_LINE)
        return unit(v2_sub(s->b, s->a));
    if (s->kind == SEG_CUBIC)
        return cubic_tangent(s, t);
    out = unit(v2_sub(seg_point(s, t), s->center));
    return s->sweep > 0 ? v2(-out.y, out.x) : v2(out.y, -out.x);
}

/* ---- Measures ---- */

/* Gauss-Legendre nodes and weights of order 3 on 0..1: exact for
 * polynomials of degree 5, which x dy - y dx of a cubic is. */
static const double gauss_at[3] = {
    0.1127016653792583, 0.5, 0.8872983346207417
};
static const double gauss_weight[3] = { 5.0 / 18, 8.0 / 18, 5.0 / 18 };

static V2 cubic_speed(const Seg *s, double t) {
    double u = 1 - t;

    return v2_scale(v2_add(v2_scale(v2_sub(s->c1, s->a), u * u),
                    v2_add(v2_scale(v2_sub(s->c2, s->c1), 2 * u * t),
                           v2_scale(v2_sub(s->b, s->c2), t * t))), 3);
}

double seg_length(const Seg *s) {
    enum { PIECES = 64 };
    double sum = 0;

    if (s->kind == SEG_LINE)
        return v2_len(v2_sub(s->b, s->a));
    if (s->kind == SEG_ARC)
        return fabs(s->sweep) * seg_radius(s);
    for (int i = 0; i < PIECES; i++)
        for (int k = 0; k < 3; k++)
            sum += gauss_weight[k] / PIECES
                 * v2_len(cubic_speed(s, (i + gauss_at[k]) / PIECES));
    return sum;
}

/* Half the integral of x dy - y dx. An arc adds the circular segment
 * r^2 (sweep - sin sweep)/2 to the chord's triangle. */
double seg_area(const Seg *s) {
    double sum = 0, r;

    if (s->kind == SEG_CUBIC) {
        for (int k = 0; k < 3; k++)
            sum += gauss_weight[k] / 2
                 * v2_cross(cubic_point(s, gauss_at[k]),
                            cubic_speed(s, gauss_at[k]));
        return sum;
    }
    sum = v2_cross(s->a, s->b) / 2;
    if (s->kind == SEG_ARC) {
        r    = seg_radius(s);
        sum += r * r * (s->sweep - sin(s->sweep)) / 2;
    }
    return sum;
}

/* ---- Facets ---- */

int circle_facets(double radius, double sagitta) {
    double n = 16;

    if (sagitta > 0 && sagitta < radius)
        n = 4 * ceil(PI / acos(1 - sagitta / radius) / 4 - 1e-9);
    return n < 16 ? 16 : n > 65536 ? 65536 : (int)n;
}

V2 lattice_direction(int k, int n) {
    static const V2 quarter[4] = { { 1, 0 }, { 0, 1 }, { -1, 0 }, { 0, -1 } };
    double angle;

    k = (k % n + n) % n;
    if (4 * (long)k % n == 0)
        return quarter[4 * (long)k / n];
    angle = 2 * PI * k / n;
    return v2(cos(angle), sin(angle));
}

static void add_edge(Ctx *c, FlatEdges *out, FlatEdge *e, V2 to, double t) {
    e->b  = to;
    e->t1 = t;
    *PUSH(c, out) = *e;
    e->a  = to;
    e->t0 = t;
}

/* The radius is rounded so that two arcs of one circle whose radii differ
 * in the last bits still get the same facets. */
static void flatten_arc(Ctx *c, const Seg *s, double sagitta, FlatEdge *e,
                        FlatEdges *out) {
    double r     = nearbyint(seg_radius(s) * 1e6) / 1e6;
    int    n     = circle_facets(r, sagitta);
    double step  = 2 * PI / n;
    double sweep = fmax(-2 * PI, fmin(2 * PI, s->sweep));
    double begin = atan2(s->a.y - s->center.y, s->a.x - s->center.x);
    double skip  = r > 0 ? SHORT_FACET / r : 0;
    int    way   = sweep > 0 ? 1 : -1;
    int    k;

    if (!isfinite(begin) || !(skip < 2 * PI))
        return;
    k = (int)(way > 0 ? floor((begin + skip) / step) + 1
                      : ceil((begin - skip) / step) - 1);
    for (; way * (begin + sweep - k * step) > skip; k += way) {
        V2 p = v2_add(s->center, v2_scale(lattice_direction(k, n), r));
        add_edge(c, out, e, p, (k * step - begin) / sweep);
    }
}

/* The chord of a cubic over 1/n of its parameter is off by at most
 * 6M/(8 n^2), M the larger second difference of the controls. */
static void flatten_cubic(Ctx *c, const Seg *s, double sagitta, FlatEdge *e,
                          FlatEdges *out) {
    V2     m1 = v2_add(v2_sub(s->a, v2_scale(s->c1, 2)), s->c2);
    V2     m2 = v2_add(v2_sub(s->c1, v2_scale(s->c2, 2)), s->b);
    double m  = fmax(v2_len(m1), v2_len(m2));
    double n  = ceil(sqrt(0.75 * m / sagitta));

    n = n >= 1 ? fmin(n, 4096) : 1;
    for (int i = 1; i < (int)n; i++)
        add_edge(c, out, e, cubic_point(s, i / n), i / n);
}

void seg_flatten(Ctx *c, const Seg *s, int number, double sagitta,
                 FlatEdges *out) {
    FlatEdge e = { .a = s->a, .seg = number };

    if (s->kind == SEG_ARC)
        flatten_arc(c, s, sagitta, &e, out);
    else if (s->kind == SEG_CUBIC)
        flatten_cubic(c, s, sagitta, &e, out);
    add_edge(c, out, &e, s->b, 1);
}

/* ---- Straight-edged rings ---- */

double ring_area(const V2 *p, int n) {
    double sum = 0;

    for (int i = 1; i + 1 < n; i++)
        sum += v2_cross(v2_sub(p[i], p[0]), v2_sub(p[i + 1], p[0])) / 2;
    return sum;
}

double ring_perimeter(const V2 *p, int n) {
    double sum = 0;

    for (int i = 0; i < n; i++)
        sum += v2_len(v2_sub(p[(i + 1) % n], p[i]));
    return sum;
}

/* Counts crossings of the ray to the right. */
bool ring_holds(const V2 *p, int n, V2 at) {
    bool in = false;

    for (int i = 0; i < n; i++) {
        V2 a = p[i], b = p[(i + 1) % n];
        if ((a.y > at.y) != (b.y > at.y)
                && at.x < a.x + (b.x - a.x) * (at.y - a.y) / (b.y - a.y))
            in = !in;
    }
    return in;
}

double line_distance(V2 p, V2 a, V2 b) {
    V2     along = v2_sub(b, a), to = v2_sub(p, a);
    double len2 = v2_dot(along, along);
    double t    = len2 > 0 ? v2_dot(to, along) / len2 : 0;

    t = fmax(0, fmin(1, t));
    return v2_len(v2_sub(to, v2_scale(along, t)));
}
