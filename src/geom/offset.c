/* offset -- the path of a tool's center beside an outline.
 *
 * A round tool that runs along the outline sweeps a band; the shape joined
 * with that band is the shape grown by the tool's radius, the shape less
 * the band is the shape shrunk by it. The band is made of simple pieces:
 *
 *      line: a rectangle    arc: a piece of a ring    corner: a disk
 *
 * and the booleans of shapes keep arcs, so the result is exact lines and
 * arcs (cubics become arcs first). The rival, moving each segment and
 * mending the crossings, needs a rule for every way in which a narrow
 * place can close; here there is none to forget.
 */
#include "geom/geom_internal.h"

#include <math.h>

#define CUBIC_WITHIN 0.002   // mm, of the arcs that stand for a cubic
#define WIDE_ARC     2.0     // radians: wider arcs are swept in two halves
#define SMOOTH       1e-9    // sine of the angle between two segments

typedef LIST(Shape) Shapes;

static Shape loop_shape(Ctx *c, Loop l) {
    Shape s = { 0 };

    *PUSH(c, &s.loops) = l;
    return s;
}

static Shape line_band(Ctx *c, const Seg *s, double r) {
    V2   t = seg_tangent(s, 0), n = v2_scale(v2(-t.y, t.x), r);
    V2   p[4] = { v2_sub(s->a, n), v2_sub(s->b, n), v2_add(s->b, n),
                  v2_add(s->a, n) };
    Loop l = { 0 };

    for (int i = 0; i < 4; i++)
        loop_line_to(c, &l, p[i], p[(i + 1) % 4]);
    return loop_shape(c, l);
}

/* Where the ring's hole would close, it is a piece of pie. */
static Shape arc_band(Ctx *c, Seg s, double r) {
    double R, in;
    V2     from, to, a, b, d, e;
    Loop   l = { 0 };

    if (s.sweep < 0)
        s = seg_reverse(s);
    R    = seg_radius(&s);
    in   = fmax(0, R - r);
    from = v2_scale(v2_sub(s.a, s.center), 1 / R);
    to   = v2_scale(v2_sub(s.b, s.center), 1 / R);
    a    = v2_add(s.center, v2_scale(from, in));
    b    = v2_add(s.center, v2_scale(from, R + r));
    d    = v2_add(s.center, v2_scale(to, R + r));
    e    = v2_add(s.center, v2_scale(to, in));
    loop_line_to(c, &l, a, b);
    *PUSH(c, &l) = seg_arc(b, d, s.center, s.sweep);
    loop_line_to(c, &l, d, e);
    if (in > 0)
        *PUSH(c, &l) = seg_arc(e, a, s.center, -s.sweep);
    return loop_shape(c, l);
}

static Seg arc_part(const Seg *s, double t0, double t1) {
    return seg_arc(seg_point(s, t0), seg_point(s, t1), s->center,
                   s->sweep * (t1 - t0));
}

static void add_band(Ctx *c, const Seg *s, double r, Shapes *out) {
    if (s->kind == SEG_LINE) {
        *PUSH(c, out) = line_band(c, s, r);
    } else if (fabs(s->sweep) <= WIDE_ARC) {
        *PUSH(c, out) = arc_band(c, *s, r);
    } else {
        Seg first = arc_part(s, 0, 0.5), second = arc_part(s, 0.5, 1);
        add_band(c, &first, r, out);
        add_band(c, &second, r, out);
    }
}

static void add_corner(Ctx *c, const Seg *in, const Seg *out_of, double r,
                       Shapes *out) {
    V2 a = seg_tangent(in, 1), b = seg_tangent(out_of, 0);

    if (fabs(v2_cross(a, b)) > SMOOTH || v2_dot(a, b) < 0)
        *PUSH(c, out) = shape_circle(c, in->b, r);
}

/* Neighbors first, so that most joins are of small shapes. */
static Shape join_all(Ctx *c, Shapes *s) {
    for (int n = s->n; n > 1; n = (n + 1) / 2) {
        for (int i = 0; i < n / 2; i++)
            s->at[i] = shape_union(c, s->at[2 * i], s->at[2 * i + 1]);
        if (n % 2)
            s->at[n / 2] = s->at[n - 1];
    }
    return s->n ? s->at[0] : (Shape){ 0 };
}

static Shape band_of(Ctx *c, Shape s, double r) {
    Shapes pieces = { 0 };

    for (int i = 0; i < s.loops.n; i++) {
        const Loop *l = &s.loops.at[i];
        for (int k = 0; k < l->n; k++) {
            add_band(c, &l->at[k], r, &pieces);
            add_corner(c, &l->at[k], &l->at[(k + 1) % l->n], r, &pieces);
        }
    }
    return join_all(c, &pieces);
}

Shape shape_offset(Ctx *c, Shape s, double by) {
    Shape band;

    s = shape_arcs(c, s, CUBIC_WITHIN);
    if (fabs(by) < SHAPE_GRID || s.loops.n == 0)
        return s;
    band = band_of(c, s, fabs(by));
    return by > 0 ? shape_union(c, s, band) : shape_subtract(c, s, band);
}
