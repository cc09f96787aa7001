/* slab -- a flat shape pushed along z, as convex prisms. */
#include "geom/geom_internal.h"

#include <math.h>

#define SMOOTH_COSINE 0.99996   // half a degree between tangents
#define SAME_CORNER   1e-6      // mm
#define IN_LINE       1e-7      // mm

/* ---- Curve numbers ---- */

static bool joins_smoothly(const Seg *a, const Seg *b) {
    return a->kind != SEG_LINE && b->kind != SEG_LINE
        && v2_dot(seg_tangent(a, 1), seg_tangent(b, 0)) > SMOOTH_COSINE;
}

/* One number for each run of curves that join without a corner: the four
 * quarters of a circle are one surface. Straight pieces get 0. */
static int *number_curves(Ctx *c, const Loop *l, int *next_curve) {
    int *number = NEW_N(c, int, l->n + 1);
    int  first  = 0;

    while (first < l->n && joins_smoothly(&l->at[(first + l->n - 1) % l->n],
                                          &l->at[first]))
        first++;
    for (int i = 0; i < l->n; i++) {
        int at = (first + i) % l->n, before = (at + l->n - 1) % l->n;
        if (l->at[at].kind == SEG_LINE)
            continue;
        number[at] = i > 0 && joins_smoothly(&l->at[before], &l->at[at])
                   ? number[before] : (*next_curve)++;
    }
    return number;
}

/* ---- The outline as corners ---- */

static Corners loop_corners(Ctx *c, const Loop *l, const int *number,
                            double sagitta) {
    Corners   all = { 0 };
    FlatEdges edges = { 0 };

    for (int i = 0; i < l->n; i++)
        seg_flatten(c, &l->at[i], i, sagitta, &edges);
    for (int i = 0; i < edges.n; i++) {
        const FlatEdge *e = &edges.at[i];
        if (v2_len(v2_sub(e->b, e->a)) > SAME_CORNER)
            *PUSH(c, &all) = (Corner){ e->a, number[e->seg] };
    }
    return all;
}

static bool is_needed(const Corner *a, const Corner *b, const Corner *d) {
    return a->curve || b->curve
        || line_distance(b->p, a->p, d->p) > IN_LINE;
}

/* Leaves out corners in the middle of a straight edge. */
static Corners without_straight(Ctx *c, const Corners *l) {
    Corners out = { 0 };

    for (int i = 0; i < l->n; i++) {
        const Corner *before = out.n ? &out.at[out.n - 1]
                                     : &l->at[l->n - 1];
        if (is_needed(before, &l->at[i], &l->at[(i + 1) % l->n]))
            *PUSH(c, &out) = l->at[i];
    }
    return out;
}

static CornerLoops outline_of(Ctx *c, Shape s, int **numbers,
                              double sagitta) {
    CornerLoops out = { 0 };

    for (int i = 0; i < s.loops.n; i++) {
        Corners all = loop_corners(c, &s.loops.at[i], numbers[i], sagitta);
        Corners l   = without_straight(c, &all);
        if (l.n >= 3)
            *PUSH(c, &out) = l;
    }
    return out;
}

/* ---- A thin web between curves ---- */

/* Coarse facets of two near curves may cross. */
static bool is_sound(Ctx *c, const CornerLoops *outline) {
    GEOSContextHandle_t h = GEOS_init_r();
    bool                ok;
    GEOSGeometry       *g = geos_from_corners(c, h, outline, &ok);

    GEOSGeom_destroy_r(h, g);
    GEOS_finish_r(h);
    return ok;
}

/* A mirrored shape runs the wrong way about. */
static Shape turned_left(Ctx *c, Shape s) {
    Shape out = { 0 };

    if (shape_area(s) >= 0)
        return s;
    for (int i = 0; i < s.loops.n; i++) {
        Loop *l = PUSH(c, &out.loops);
        for (int k = s.loops.at[i].n - 1; k >= 0; k--)
            *PUSH(c, l) = seg_reverse(s.loops.at[i].at[k]);
    }
    return out;
}

CornerLoops shape_outline(Ctx *c, Shape shape, double sagitta,
                          int *next_curve) {
    int       **numbers = NEW_N(c, int *, shape.loops.n + 1);
    CornerLoops outline;

    shape = turned_left(c, shape);
    for (int i = 0; i < shape.loops.n; i++)
        numbers[i] = number_curves(c, &shape.loops.at[i], next_curve);
    outline = outline_of(c, shape, numbers, sagitta);
    if (outline_is_convex(&outline))
        return outline;
    for (int i = 0; i < 4 && shape_has_curves(shape)
            && !is_sound(c, &outline); i++) {
        sagitta /= 4;
        outline = outline_of(c, shape, numbers, sagitta);
    }
    return outline;
}

CornerLoops shape_convex_parts(Ctx *c, Shape shape, double sagitta,
                               int *next_curve) {
    CornerLoops outline = shape_outline(c, shape, sagitta, next_curve);

    return outline_is_convex(&outline) ? outline : convex_parts(c, &outline);
}

void solid_add_slab(Ctx *c, Solid *s, const Slab *slab, double sagitta,
                    int *next_curve) {
    Blocks blocks;

    if (!(slab->z1 > slab->z0))
        return;
    blocks = blocks_of(c, slab->shape, slab->z0, slab->z1, sagitta,
                       next_curve);
    solid_add_blocks(c, s, &blocks);
}
