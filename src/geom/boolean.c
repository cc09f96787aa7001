/* boolean -- joins and differences of shapes that keep their curves.
 *
 * GEOS knows straight edges only. The shapes are flattened finely, GEOS
 * works on a grid of 0.1 micrometer (floating joins leave slivers where
 * edges lie on each other), and each edge of the result is given back the
 * piece of path that it ran along. Corners are then put where the true
 * curves meet, so the result does not depend on the facets:
 *
 *      facets         found again           mended
 *     __/|           arc, arc, line       arc ends on the line
 *    /   |
 *
 * The rival, clipping curves against curves, needs a case for each pair
 * of kinds and a rule for each way they can touch.
 */
#include "geom/geom_internal.h"

#include <math.h>

#define MATCH_REACH  1e-3    // mm, from an edge to the path it came from
#define CORNER_REACH 1.5e-4  // mm, from a corner to an old corner
#define SHORT_RUN    5e-4    // mm, left behind by the grid
#define STRAIGHT     1.5e-4  // mm, out of line

typedef GEOSGeometry *Operation(GEOSContextHandle_t h,
                                const GEOSGeometry *a,
                                const GEOSGeometry *b, double grid);

/* The segments of both shapes and their facets. */
typedef struct {
    LIST(Seg) segs;
    FlatEdges edges;
    EdgeGrid  grid;
} Sources;

/* Edges of the result in a row along one source. */
typedef struct {
    int    seg;       // -1: none found
    V2     a, b;
    double sweep;     // about the source's center, if that is an arc
    double t0, t1;    // parameters of the source at a and b
} Run;
typedef LIST(Run) Runs;

static void add_source(Ctx *c, Sources *src, Shape s) {
    for (int i = 0; i < s.loops.n; i++)
        for (int k = 0; k < s.loops.at[i].n; k++) {
            const Seg *seg = &s.loops.at[i].at[k];
            seg_flatten(c, seg, src->segs.n, FINE_SAGITTA, &src->edges);
            *PUSH(c, &src->segs) = *seg;
        }
}

/* ---- Giving edges back their curves ---- */

static double param_on(const FlatEdge *e, V2 p) {
    V2     along = v2_sub(e->b, e->a);
    double len2  = v2_dot(along, along);
    double k     = len2 > 0 ? v2_dot(v2_sub(p, e->a), along) / len2 : 0;

    return e->t0 + (e->t1 - e->t0) * fmax(0, fmin(1, k));
}

static Run run_of_edge(const Sources *src, V2 a, V2 b) {
    Run run  = { .seg = -1, .a = a, .b = b };
    int edge = edge_grid_find(&src->grid, a, b, MATCH_REACH);
    const Seg *seg;

    if (edge < 0)
        return run;
    run.seg = src->edges.at[edge].seg;
    run.t0  = param_on(&src->edges.at[edge], a);
    run.t1  = param_on(&src->edges.at[edge], b);
    seg     = &src->segs.at[run.seg];
    if (seg->kind == SEG_ARC) {
        V2 from = v2_sub(a, seg->center), to = v2_sub(b, seg->center);
        run.sweep = atan2(v2_cross(from, to), v2_dot(from, to));
    }
    return run;
}

static bool run_joins(const Run *a, const Run *b) {
    return a->seg >= 0 && a->seg == b->seg;
}

static void run_add(Run *a, const Run *b) {
    a->b      = b->b;
    a->t1     = b->t1;
    a->sweep += b->sweep;
}

/* Joins neighbors of one source. The first run is not joined to the last:
 * the caller begins the loop where the source changes. */
static Runs join_runs(Ctx *c, const Runs *runs) {
    Runs out = { 0 };

    for (int i = 0; i < runs->n; i++) {
        Run *last = out.n ? &out.at[out.n - 1] : NULL;
        if (last && run_joins(last, &runs->at[i]))
            run_add(last, &runs->at[i]);
        else
            *PUSH(c, &out) = runs->at[i];
    }
    return out;
}

/* Leaves out runs too short to be meant; their neighbors meet halfway. */
static Runs drop_short(Ctx *c, const Runs *runs) {
    Runs out = { 0 };

    for (int i = 0; i < runs->n; i++) {
        Run    r   = runs->at[i];
        double len = v2_len(v2_sub(r.b, r.a));
        if (len >= SHORT_RUN || fabs(r.sweep) > 1)
            *PUSH(c, &out) = r;
    }
    for (int i = 0; i < out.n; i++) {
        Run *r = &out.at[i], *next = &out.at[(i + 1) % out.n];
        r->b = next->a = v2_scale(v2_add(r->b, next->a), 0.5);
    }
    return out;
}

static Runs turn_list(Ctx *c, const Runs *runs, int first) {
    Runs out = { 0 };

    for (int i = 0; i < runs->n; i++)
        *PUSH(c, &out) = runs->at[(first + i) % runs->n];
    return out;
}

/* A loop of one source only is a whole circle: it is cut in two halves. */
static Runs runs_of_ring(Ctx *c, const Sources *src, const Ring *ring) {
    Runs edges = { 0 }, runs;
    int  first = -1;

    for (int i = 0; i < ring->n; i++)
        *PUSH(c, &edges) = run_of_edge(src, ring->at[i],
                                       ring->at[(i + 1) % ring->n]);
    edges = drop_short(c, &edges);
    for (int i = edges.n - 1; i >= 0; i--)
        if (!run_joins(&edges.at[(i + edges.n - 1) % edges.n],
                       &edges.at[i]))
            first = i;
    if (first >= 0) {
        edges = turn_list(c, &edges, first);
        return join_runs(c, &edges);
    }
    runs = (Runs){ 0 };
    for (int i = 0; i < edges.n; i++)
        if (i == 0 || i == edges.n / 2)
            *PUSH(c, &runs) = edges.at[i];
        else
            run_add(&runs.at[runs.n - 1], &edges.at[i]);
    return runs;
}

/* ---- Putting corners where the curves meet ---- */

/* How far p is from the whole line or circle of s, with a sign, and which
 * way that grows. */
static double distance_from(const Seg *s, V2 p, V2 *grows) {
    V2     d = v2_sub(p, s->kind == SEG_ARC ? s->center : s->a);
    V2     along;
    double len;

    if (s->kind == SEG_ARC) {
        len    = v2_len(d);
        *grows = len > 0 ? v2_scale(d, 1 / len) : v2(1, 0);
        return len - seg_radius(s);
    }
    along  = seg_tangent(s, 0);
    *grows = v2(-along.y, along.x);
    return v2_cross(along, d);
}

/* A point moving along the whole line or circle of s, or along the cubic:
 * where it is and how it moves. `t` is a length, an angle, a parameter. */
static V2 point_along(const Seg *s, double t, V2 *moves) {
    double r;
    V2     along;

    if (s->kind == SEG_ARC) {
        r      = seg_radius(s);
        *moves = v2(-r * sin(t), r * cos(t));
        return v2(s->center.x + r * cos(t), s->center.y + r * sin(t));
    }
    if (s->kind == SEG_LINE) {
        along  = seg_tangent(s, 0);
        *moves = along;
        return v2_add(s->a, v2_scale(along, t));
    }
    t      = fmax(0, fmin(1, t));
    r      = 1e-4;
    *moves = v2_scale(v2_sub(seg_point(s, fmin(1, t + r)),
                             seg_point(s, fmax(0, t - r))),
                      1 / (fmin(1, t + r) - fmax(0, t - r)));
    return seg_point(s, t);
}

static double place_along(const Seg *s, V2 p, double cubic_t) {
    if (s->kind == SEG_ARC)
        return atan2(p.y - s->center.y, p.x - s->center.x);
    if (s->kind == SEG_LINE)
        return v2_dot(v2_sub(p, s->a), seg_tangent(s, 0));
    return cubic_t;
}

/* Newton's method for the point of `on` that lies on `other` near p.
 * False if they do not cross properly there. */
static bool meet(const Seg *on, double cubic_t, const Seg *other, V2 *p) {
    double t = place_along(on, *p, cubic_t);
    V2     moves, grows, at = point_along(on, t, &moves);

    for (int i = 0; i < 12; i++) {
        double off  = distance_from(other, at, &grows);
        double rate = v2_dot(grows, moves);
        if (fabs(off) < 1e-10)
            break;
        if (fabs(rate) < 1e-9 * v2_len(moves))
            return false;
        t -= off / rate;
        at = point_along(on, t, &moves);
    }
    if (fabs(distance_from(other, at, &grows)) > 1e-7
            || !(v2_len(v2_sub(at, *p)) < 0.2))
        return false;
    *p = at;
    return true;
}

/* The same for two cubics: moves both points to where they coincide. */
static bool meet_cubics(const Seg *a, double t, const Seg *b, double s,
                        V2 *p) {
    V2 da, db, at = point_along(a, t, &da), bt = point_along(b, s, &db);

    for (int i = 0; i < 20 && v2_len(v2_sub(at, bt)) > 1e-10; i++) {
        V2     gap = v2_sub(bt, at);
        double det = v2_cross(da, db);
        if (fabs(det) < 1e-9 * v2_len(da) * v2_len(db))
            return false;
        t += v2_cross(gap, db) / det;
        s += v2_cross(gap, da) / det;
        t  = fmax(0, fmin(1, t));
        s  = fmax(0, fmin(1, s));
        at = point_along(a, t, &da);
        bt = point_along(b, s, &db);
    }
    if (v2_len(v2_sub(at, bt)) > 1e-7 || !(v2_len(v2_sub(at, *p)) < 0.2))
        return false;
    *p = at;
    return true;
}

/* The nearest point of the line, circle or cubic. */
static V2 pull_onto(const Seg *s, double cubic_t, V2 p) {
    V2 moves;

    return point_along(s, place_along(s, p, cubic_t), &moves);
}

static bool old_corner(const Sources *src, const Run *in, const Run *out,
                       V2 *p) {
    double best  = CORNER_REACH;
    V2     found = *p;

    for (int k = 0; k < 4; k++) {
        int        seg = k < 2 ? in->seg : out->seg;
        const Seg *s   = seg < 0 ? NULL : &src->segs.at[seg];
        V2         end = !s ? *p : k % 2 ? s->b : s->a;
        double     off = v2_len(v2_sub(end, *p));
        if (s && off < best) {
            best  = off;
            found = end;
        }
    }
    *p = found;
    return best < CORNER_REACH;
}

static V2 mend_corner(const Sources *src, const Run *in, const Run *out) {
    V2         p = out->a;
    const Seg *a, *b;

    if (old_corner(src, in, out, &p) || in->seg < 0 || out->seg < 0)
        return p;
    a = &src->segs.at[in->seg];
    b = &src->segs.at[out->seg];
    if (b->kind != SEG_CUBIC && meet(a, in->t1, b, &p))
        return p;
    if (b->kind == SEG_CUBIC && a->kind != SEG_CUBIC
            && meet(b, out->t0, a, &p))
        return p;
    if (b->kind == SEG_CUBIC && a->kind == SEG_CUBIC
            && meet_cubics(a, in->t1, b, out->t0, &p))
        return p;
    return pull_onto(a->kind == SEG_LINE ? b : a,
                     a->kind == SEG_LINE ? out->t0 : in->t1, p);
}

static void mend_corners(const Sources *src, Runs *runs) {
    for (int i = 0; i < runs->n; i++) {
        Run *in = &runs->at[(i + runs->n - 1) % runs->n];
        Run *out = &runs->at[i];
        V2   p   = mend_corner(src, in, out);
        in->b = out->a = p;
    }
}

/* ---- Segments from runs ---- */

/* The sweep between the mended ends that is nearest to the summed one. */
static Seg arc_of_run(const Seg *s, const Run *r) {
    V2     from = v2_sub(r->a, s->center), to = v2_sub(r->b, s->center);
    double sweep = atan2(v2_cross(from, to), v2_dot(from, to));

    sweep += 2 * PI * nearbyint((r->sweep - sweep) / (2 * PI));
    return seg_arc(r->a, r->b, s->center, sweep);
}

static V2 mix(V2 a, V2 b, double t) {
    return v2_add(v2_scale(a, 1 - t), v2_scale(b, t));
}

/* De Casteljau: the part of a cubic up to t. */
static Seg cubic_until(Seg s, double t) {
    V2  ab = mix(s.a, s.c1, t), bc = mix(s.c1, s.c2, t);
    V2  cd = mix(s.c2, s.b, t);
    V2  abc = mix(ab, bc, t), bcd = mix(bc, cd, t);
    Seg out = s;

    out.c1 = ab;
    out.c2 = abc;
    out.b  = mix(abc, bcd, t);
    return out;
}

/* The parameter of the cubic's point nearest to p, from a guess. */
static double nearest_on(const Seg *s, V2 p, double t) {
    for (int i = 0; i < 8; i++) {
        V2     moves, at = point_along(s, t, &moves);
        double speed2 = v2_dot(moves, moves);
        if (!(speed2 > 0))
            break;
        t += v2_dot(v2_sub(p, at), moves) / speed2;
        t  = fmax(0, fmin(1, t));
    }
    return t;
}

static Seg cubic_of_run(const Seg *source, const Run *r) {
    Seg    s  = *source;
    double t0 = nearest_on(&s, r->a, r->t0), t1 = nearest_on(&s, r->b, r->t1);

    if (t0 > t1) {
        s  = seg_reverse(s);
        t0 = 1 - t0;
        t1 = 1 - t1;
    }
    s = cubic_until(s, t1);
    s = seg_reverse(cubic_until(seg_reverse(s),
                                t1 > 0 ? 1 - t0 / t1 : 1));
    s.a = r->a;
    s.b = r->b;
    return s;
}

static Seg seg_of_run(const Sources *src, const Run *r) {
    const Seg *s = r->seg < 0 ? NULL : &src->segs.at[r->seg];

    if (!s || s->kind == SEG_LINE)
        return seg_line(r->a, r->b);
    return s->kind == SEG_ARC ? arc_of_run(s, r) : cubic_of_run(s, r);
}

/* Two lines in one line, or two arcs of one circle up to a half turn,
 * that sources of different shapes have left end to end. */
static bool merge_segs(Seg *a, const Seg *b) {
    double both = a->sweep + b->sweep;

    if (a->kind != b->kind || a->kind == SEG_CUBIC)
        return false;
    if (a->kind == SEG_LINE) {
        if (line_distance(a->b, a->a, b->b) > STRAIGHT
                || v2_dot(v2_sub(a->b, a->a), v2_sub(b->b, b->a)) <= 0)
            return false;
    } else if (v2_len(v2_sub(a->center, b->center)) > 1e-6
               || fabs(seg_radius(a) - seg_radius(b)) > 1e-6
               || a->sweep * b->sweep <= 0 || fabs(both) > PI + 1e-9) {
        return false;
    }
    a->b     = b->b;
    a->sweep = both;
    return true;
}

static Loop loop_of_runs(Ctx *c, const Sources *src, const Runs *runs) {
    Loop l = { 0 };

    for (int i = 0; i < runs->n; i++) {
        Seg s = seg_of_run(src, &runs->at[i]);
        if (l.n == 0 || !merge_segs(&l.at[l.n - 1], &s))
            *PUSH(c, &l) = s;
    }
    while (l.n > 2 && merge_segs(&l.at[l.n - 1], &l.at[0])) {
        l.at[0] = l.at[l.n - 1];
        l.n--;
    }
    return l;
}

/* ---- The operations ---- */

static void add_loop(Ctx *c, const Sources *src, const Ring *ring,
                     Shape *out) {
    Runs runs = runs_of_ring(c, src, ring);
    Loop loop;

    if (runs.n < 2)
        return;
    mend_corners(src, &runs);
    loop = loop_of_runs(c, src, &runs);
    if (loop.n >= 2)
        *PUSH(c, &out->loops) = loop;
}

static GEOSGeometry *geometry_of(Ctx *c, GEOSContextHandle_t h, Shape s) {
    GEOSGeometry *g = geos_from_rings(c, h, shape_rings(c, s,
                                                        FINE_SAGITTA));
    GEOSGeometry *mended;

    if (!g)
        return GEOSGeom_createEmptyPolygon_r(h);
    if (GEOSisValid_r(h, g) == 1)
        return g;
    mended = GEOSMakeValid_r(h, g);
    GEOSGeom_destroy_r(h, g);
    return mended;
}

static Shape combine(Ctx *c, Shape a, Shape b, Operation *operation) {
    GEOSContextHandle_t h = GEOS_init_r();
    GEOSGeometry *ga = geometry_of(c, h, a), *gb = geometry_of(c, h, b);
    GEOSGeometry *g  = ga && gb ? operation(h, ga, gb, SHAPE_GRID) : NULL;
    Polygons      p  = polygons_from_geos(c, h, g);
    Sources       src = { 0 };
    Shape         out = { 0 };

    GEOSGeom_destroy_r(h, ga);
    GEOSGeom_destroy_r(h, gb);
    GEOSGeom_destroy_r(h, g);
    GEOS_finish_r(h);
    add_source(c, &src, a);
    add_source(c, &src, b);
    src.grid = edge_grid(c, &src.edges, MATCH_REACH);
    for (int i = 0; i < p.parts.n; i++)
        for (int k = 0; k < p.parts.at[i].n; k++)
            add_loop(c, &src, &p.parts.at[i].at[k], &out);
    return out;
}

Shape shape_subtract(Ctx *c, Shape a, Shape b) {
    Shape easy;

    if (subtract_easily(c, a, b, &easy))
        return easy;
    return combine(c, a, b, GEOSDifferencePrec_r);
}

Shape shape_intersect(Ctx *c, Shape a, Shape b) {
    Shape easy;

    if (intersect_easily(a, b, &easy) || intersect_easily(b, a, &easy))
        return easy;
    return combine(c, a, b, GEOSIntersectionPrec_r);
}

Shape shape_union(Ctx *c, Shape a, Shape b) {
    return combine(c, a, b, GEOSUnionPrec_r);
}
