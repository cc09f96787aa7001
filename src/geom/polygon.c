/* polygon -- polygons with holes, and their way to GEOS and back. */
#include "geom/geom_internal.h"

#include <math.h>

/* ---- To GEOS ---- */

static GEOSGeometry *linear_ring(Ctx *c, GEOSContextHandle_t h,
                                 const V2 *p, int n, bool backward) {
    double *xy = NEW_N(c, double, 2 * (n + 1));
    GEOSCoordSequence *s;

    for (int i = 0; i <= n; i++) {
        V2 at = p[backward ? (2 * n - i) % n : i % n];
        xy[2 * i]     = at.x;
        xy[2 * i + 1] = at.y;
    }
    s = GEOSCoordSeq_copyFromBuffer_r(h, xy, (unsigned)n + 1, 0, 0);
    return s ? GEOSGeom_createLinearRing_r(h, s) : NULL;
}

typedef LIST(GEOSGeometry *) Geometries;

static GEOSGeometry *collect(GEOSContextHandle_t h, Geometries *all) {
    if (all->n == 1)
        return all->at[0];
    return GEOSGeom_createCollection_r(h, GEOS_MULTIPOLYGON, all->at,
                                       (unsigned)all->n);
}

static void push_polygon(Ctx *c, GEOSContextHandle_t h, const Rings *part,
                         bool backward, Geometries *out) {
    GEOSGeometry *shell, *g;
    Geometries    holes = { 0 };

    shell = linear_ring(c, h, part->at[0].at, part->at[0].n, backward);
    for (int i = 1; i < part->n; i++) {
        GEOSGeometry *hole = linear_ring(c, h, part->at[i].at,
                                         part->at[i].n, backward);
        if (hole)
            *PUSH(c, &holes) = hole;
    }
    if (!shell) {
        for (int i = 0; i < holes.n; i++)
            GEOSGeom_destroy_r(h, holes.at[i]);
        return;
    }
    g = GEOSGeom_createPolygon_r(h, shell, holes.at, (unsigned)holes.n);
    if (g)
        *PUSH(c, out) = g;
}

static bool ring_is_sound(const Ring *r) {
    for (int i = 0; i < r->n; i++)
        if (!isfinite(r->at[i].x + r->at[i].y))
            return false;
    return r->n >= 3;
}

/* With `way` 0 nothing encloses anything (a bow tie, say): GEOS shall say
 * what is wrong with it. */
static bool is_outline(double area, double way) {
    return area * way > 0 || way == 0;
}

/* The smallest outline that holds the middle of the hole's first edge;
 * `way` is -1 if everything runs backward. */
static int owner_of(const Ring *hole, const Rings *rings,
                    const double *area, double way) {
    V2  mid  = v2_scale(v2_add(hole->at[0], hole->at[1]), 0.5);
    int best = -1, outlines = 0, only = -1;

    for (int i = 0; i < rings->n; i++) {
        const Ring *r = &rings->at[i];
        if (!is_outline(area[i], way))
            continue;
        outlines++;
        only = i;
        if (ring_holds(r->at, r->n, mid)
                && (best < 0 || fabs(area[i]) < fabs(area[best])))
            best = i;
    }
    return outlines == 1 ? only : best;
}

/* Sorts rings into outlines with their holes. */
static Polygons sort_rings(Ctx *c, const Rings *rings, bool *backward) {
    Polygons p    = { 0 };
    double  *area = NEW_N(c, double, rings->n + 1);
    int     *part = NEW_N(c, int, rings->n + 1);
    double   way, most = 0;

    for (int i = 0; i < rings->n; i++) {
        area[i] = ring_area(rings->at[i].at, rings->at[i].n);
        most    = fabs(area[i]) > fabs(most) ? area[i] : most;
    }
    way = most < 0 ? -1 : most > 0;
    for (int i = 0; i < rings->n; i++)
        if (is_outline(area[i], way)) {
            Rings *one = PUSH(c, &p.parts);
            part[i] = p.parts.n - 1;
            *PUSH(c, one) = rings->at[i];
        }
    for (int i = 0; i < rings->n; i++) {
        int owner = is_outline(area[i], way)
                  ? -1 : owner_of(&rings->at[i], rings, area, way);
        if (owner >= 0)
            *PUSH(c, &p.parts.at[part[owner]]) = rings->at[i];
    }
    *backward = way < 0;
    return p;
}

static GEOSGeometry *make(Ctx *c, GEOSContextHandle_t h, const Polygons *p,
                          bool backward) {
    Geometries all = { 0 };

    for (int i = 0; i < p->parts.n; i++)
        push_polygon(c, h, &p->parts.at[i], backward, &all);
    return all.n ? collect(h, &all) : NULL;
}

GEOSGeometry *geos_from_rings(Ctx *c, GEOSContextHandle_t h, Rings rings) {
    Rings    sound = { 0 };
    Polygons p;
    bool     backward;

    for (int i = 0; i < rings.n; i++)
        if (ring_is_sound(&rings.at[i]))
            *PUSH(c, &sound) = rings.at[i];
    p = sort_rings(c, &sound, &backward);
    return make(c, h, &p, backward);
}

GEOSGeometry *geos_from_polygons(Ctx *c, GEOSContextHandle_t h, Polygons p) {
    return make(c, h, &p, false);
}

/* ---- And back ---- */

static void push_ring(Ctx *c, GEOSContextHandle_t h, const GEOSGeometry *g,
                      bool hole, Rings *out) {
    const GEOSCoordSequence *s = GEOSGeom_getCoordSeq_r(h, g);
    unsigned n = 0;
    Ring     r = { 0 };

    if (!s || !GEOSCoordSeq_getSize_r(h, s, &n) || n < 4)
        return;
    for (unsigned i = 0; i + 1 < n; i++) {
        V2 *p = PUSH(c, &r);
        GEOSCoordSeq_getXY_r(h, s, i, &p->x, &p->y);
    }
    if ((ring_area(r.at, r.n) < 0) != hole)
        for (int a = 0, b = r.n - 1; a < b; a++, b--) {
            V2 swap = r.at[a];
            r.at[a] = r.at[b];
            r.at[b] = swap;
        }
    *PUSH(c, out) = r;
}

static void push_parts(Ctx *c, GEOSContextHandle_t h, const GEOSGeometry *g,
                       Polygons *out) {
    int    type = g ? GEOSGeomTypeId_r(h, g) : GEOS_POINT;
    Rings *part;

    if (type == GEOS_MULTIPOLYGON || type == GEOS_GEOMETRYCOLLECTION) {
        for (int i = 0; i < GEOSGetNumGeometries_r(h, g); i++)
            push_parts(c, h, GEOSGetGeometryN_r(h, g, i), out);
        return;
    }
    if (type != GEOS_POLYGON || GEOSisEmpty_r(h, g) == 1)
        return;
    part = PUSH(c, &out->parts);
    push_ring(c, h, GEOSGetExteriorRing_r(h, g), false, part);
    for (int i = 0; i < GEOSGetNumInteriorRings_r(h, g); i++)
        push_ring(c, h, GEOSGetInteriorRingN_r(h, g, i), true, part);
    if (part->n == 0)
        out->parts.n--;
}

Polygons polygons_from_geos(Ctx *c, GEOSContextHandle_t h,
                            const GEOSGeometry *g) {
    Polygons p = { 0 };

    push_parts(c, h, g, &p);
    return p;
}

/* ---- Measuring ---- */

static double part_area(const Rings *part) {
    double sum = 0;

    for (int i = 0; i < part->n; i++) {
        double a = fabs(ring_area(part->at[i].at, part->at[i].n));
        sum += i == 0 ? a : -a;
    }
    return sum;
}

double polygons_area(Polygons p) {
    double sum = 0;

    for (int i = 0; i < p.parts.n; i++)
        sum += part_area(&p.parts.at[i]);
    return sum;
}

/* The search for the circle starts with squares as small as the polygon
 * is narrow: a sliver gets any inner point instead. */
static bool inner_point(GEOSContextHandle_t h, const GEOSGeometry *g,
                        V2 *center) {
    GEOSGeometry *p = GEOSPointOnSurface_r(h, g);
    bool ok = p && GEOSGeomGetX_r(h, p, &center->x) == 1
           && GEOSGeomGetY_r(h, p, &center->y) == 1;

    GEOSGeom_destroy_r(h, p);
    return ok;
}

/* GEOS answers with the line from the center to the nearest border. */
static bool inscribed(GEOSContextHandle_t h, const GEOSGeometry *g,
                      double tolerance, V2 *center, double *radius) {
    GEOSGeometry *line = GEOSMaximumInscribedCircle_r(h, g, tolerance);
    const GEOSCoordSequence *s = line ? GEOSGeom_getCoordSeq_r(h, line)
                                      : NULL;
    V2   border = { 0, 0 };
    bool ok     = s && GEOSCoordSeq_getXY_r(h, s, 0, &center->x, &center->y)
               && GEOSCoordSeq_getXY_r(h, s, 1, &border.x, &border.y);

    if (ok)
        *radius = v2_len(v2_sub(border, *center));
    GEOSGeom_destroy_r(h, line);
    return ok;
}

V2 polygons_deepest(Ctx *c, Polygons p, double *radius) {
    GEOSContextHandle_t h;
    GEOSGeometry *g;
    Polygons      one = { 0 };
    int           best = 0;
    V2            at = { 0, 0 };
    double        area = 0, around;

    *radius = 0;
    for (int i = 0; i < p.parts.n; i++)
        if (part_area(&p.parts.at[i]) > area) {
            area = part_area(&p.parts.at[i]);
            best = i;
        }
    if (!(area > 0))
        return at;
    *PUSH(c, &one.parts) = p.parts.at[best];
    at     = p.parts.at[best].at[0].at[0];
    around = ring_perimeter(p.parts.at[best].at[0].at,
                            p.parts.at[best].at[0].n);
    h = GEOS_init_r();
    g = geos_from_polygons(c, h, one);
    if (g && area < 1e-5 * around * around)
        *radius = inner_point(h, g, &at) ? area / around : 0;
    else if (g)
        inscribed(h, g, fmax(0.01, sqrt(area) / 500), &at, radius);
    GEOSGeom_destroy_r(h, g);
    GEOS_finish_r(h);
    return at;
}
