/* touch -- where two solids lie on each other, and what a line passes
 * through: what is needed to drive a nail.
 *
 * solid_contact adds up the areas that convex cells share; here the true
 * faces are laid over each other, so that a patch is one outline, however
 * many cells lie behind it.
 */
#include "geom/geom_internal.h"

#include <math.h>

#define FACING 1e-6   // 1 - cosine between planes that lie on each other

/* ---- Patches ---- */

static Rings face_rings(Ctx *c, const Face *face, const Frame *f, V3 u,
                        V3 v) {
    Rings out = { 0 };

    for (int i = 0; i < face->rings.n; i++) {
        Ring *ring = PUSH(c, &out);
        *ring = (Ring){ 0 };
        for (int k = 0; k < face->rings.at[i].n; k++) {
            V3 p = frame_point(f, face->rings.at[i].at[k]);
            *PUSH(c, ring) = v2(v3_dot(p, u), v3_dot(p, v));
        }
    }
    return out;
}

static Box2 rings_box(const Rings *rings) {
    Box2 box = box2_empty();

    for (int i = 0; i < rings->n && i < 1; i++)
        for (int k = 0; k < rings->at[i].n; k++)
            box2_add(&box, rings->at[i].at[k]);
    return box;
}

static bool boxes_meet(Box2 a, Box2 b) {
    return a.min.x < b.max.x && b.min.x < a.max.x && a.min.y < b.max.y
        && b.min.y < a.max.y;
}

static Polygons rings_shared(Ctx *c, Rings a, Rings b) {
    GEOSContextHandle_t h = GEOS_init_r();
    GEOSGeometry *ga = geos_from_rings(c, h, a);
    GEOSGeometry *gb = geos_from_rings(c, h, b);
    GEOSGeometry *g  = ga && gb
                     ? GEOSIntersectionPrec_r(h, ga, gb, SHAPE_GRID) : NULL;
    Polygons      p  = polygons_from_geos(c, h, g);

    GEOSGeom_destroy_r(h, ga);
    GEOSGeom_destroy_r(h, gb);
    GEOSGeom_destroy_r(h, g);
    GEOS_finish_r(h);
    return p;
}

/* The patch in this plane: faces of one plane make one patch. */
static TouchPatch *patch_in(Ctx *c, TouchPatches *all, Plane plane,
                            double slack) {
    TouchPatch *p;

    for (int i = 0; i < all->n; i++) {
        p = &all->at[i];
        if (v3_dot(p->n, plane.n) > 1 - FACING
                && fabs(p->d - plane.d) <= slack)
            return p;
    }
    p    = PUSH(c, all);
    *p   = (TouchPatch){ 0 };
    p->n = plane.n;
    p->d = plane.d;
    plane_axes(p->n, &p->u, &p->v);
    return p;
}

/* What two faces share goes to the patch of their plane. */
static void share_faces(Ctx *c, const Face *fa, const Frame *a,
                        const Face *fb, const Frame *b, double slack,
                        TouchPatches *out) {
    Plane       pa = plane_placed(fa->plane, a);
    Plane       pb = plane_placed(fb->plane, b);
    TouchPatch *patch;
    V3          u, v;
    Rings       ra, rb;
    Polygons    both;

    if (v3_dot(pa.n, pb.n) > FACING - 1 || fabs(pa.d + pb.d) > slack)
        return;
    plane_axes(pa.n, &u, &v);
    ra = face_rings(c, fa, a, u, v);
    rb = face_rings(c, fb, b, u, v);
    if (!boxes_meet(rings_box(&ra), rings_box(&rb)))
        return;
    both = rings_shared(c, ra, rb);
    if (polygons_area(both) <= 0)
        return;
    patch = patch_in(c, out, pa, slack);
    patch->area += polygons_area(both);
    for (int i = 0; i < both.parts.n; i++)
        *PUSH(c, &patch->where.parts) = both.parts.at[i];
}

static int by_area(const void *pa, const void *pb, const void *with) {
    const TouchPatch *a = pa, *b = pb;

    (void)with;
    return (a->area < b->area) - (a->area > b->area);
}

TouchPatches solid_patches(Ctx *c, const Solid *a, const Frame *fa,
                           const Solid *b, const Frame *fb, double slack) {
    TouchPatches out = { 0 };

    if (!box3_touch(solid_box(a, fa), solid_box(b, fb), slack))
        return out;
    for (int i = 0; i < a->faces.n; i++)
        for (int k = 0; k < b->faces.n; k++)
            share_faces(c, &a->faces.at[i], fa, &b->faces.at[k], fb, slack,
                        &out);
    list_sort(c, out.at, out.n, sizeof *out.at, by_area, NULL);
    return out;
}

static bool lies_before(const Face *face, const Frame *f, Plane p,
                        double slack) {
    for (int i = 0; i < face->rings.n; i++)
        for (int k = 0; k < face->rings.at[i].n; k++)
            if (v3_dot(p.n, frame_point(f, face->rings.at[i].at[k]))
                < p.d - slack)
                return false;
    return true;
}

/* The plane of b's face in which a face of a that leans on it is projected:
 *
 *      a  __--'|      what they share is seen square to b
 *    __--'     |
 *   ==============    b
 */
static void lean_faces(Ctx *c, const Face *fa, const Frame *a,
                       const Face *fb, const Frame *b, double least,
                       double slack, TouchPatches *out) {
    Plane       pa = plane_placed(fa->plane, a);
    Plane       pb = plane_placed(fb->plane, b);
    Plane       into = { v3_scale(pb.n, -1), -pb.d };
    TouchPatch  p = { .n = into.n, .d = into.d };
    Rings       ra, rb;

    if (v3_dot(pa.n, pb.n) > -least || fa->plane.curve || fb->plane.curve
        || !lies_before(fa, a, pb, slack))
        return;
    plane_axes(p.n, &p.u, &p.v);
    ra = face_rings(c, fa, a, p.u, p.v);
    rb = face_rings(c, fb, b, p.u, p.v);
    if (!boxes_meet(rings_box(&ra), rings_box(&rb)))
        return;
    p.where = rings_shared(c, ra, rb);
    p.area  = polygons_area(p.where);
    if (p.area > 0)
        *PUSH(c, out) = p;
}

TouchPatches solid_leans(Ctx *c, const Solid *a, const Frame *fa,
                         const Solid *b, const Frame *fb, double least,
                         double slack) {
    TouchPatches out = { 0 };

    for (int i = 0; i < a->faces.n; i++)
        for (int k = 0; k < b->faces.n; k++)
            lean_faces(c, &a->faces.at[i], fa, &b->faces.at[k], fb, least,
                       slack, &out);
    list_sort(c, out.at, out.n, sizeof *out.at, by_area, NULL);
    return out;
}

/* ---- Lines ---- */

/* The stretch of a line inside of a convex cell. */
static bool cell_along(const Cell *cell, V3 p, V3 dir, Stretch *out) {
    *out = (Stretch){ -INFINITY, INFINITY, { 0, 0, 0 }, { 0, 0, 0 } };
    for (int i = 0; i < cell->face.n; i++) {
        Plane  q    = cell->face.at[i].plane;
        double rate = v3_dot(q.n, dir), off = q.d - v3_dot(q.n, p);
        if (fabs(rate) < 1e-9) {
            if (off < -ON_PLANE)
                return false;
        } else if (rate > 0 && off / rate < out->to) {
            out->to     = off / rate;
            out->to_out = q.n;
        } else if (rate < 0 && off / rate > out->from) {
            out->from     = off / rate;
            out->from_out = q.n;
        }
    }
    return out->to - out->from > 1e-6;
}

static int by_from(const void *pa, const void *pb, const void *with) {
    const Stretch *a = pa, *b = pb;

    (void)with;
    return (a->from > b->from) - (a->from < b->from);
}

/* The same line as the body sees it: its frame is orthonormal. */
static V3 into_body(const Frame *f, V3 v) {
    return v3(v3_dot(v, f->x), v3_dot(v, f->y), v3_dot(v, f->z));
}

Stretches solid_along(Ctx *c, const Solid *s, const Frame *f, V3 p,
                      V3 dir) {
    Stretches each = { 0 }, out = { 0 };
    V3        at = into_body(f, v3_sub(p, f->o)), way = into_body(f, dir);

    for (int i = 0; i < s->cells.n; i++) {
        Stretch one;
        if (cell_along(&s->cells.at[i], at, way, &one))
            *PUSH(c, &each) = one;
    }
    list_sort(c, each.at, each.n, sizeof *each.at, by_from, NULL);
    for (int i = 0; i < each.n; i++) {
        Stretch *last = out.n ? &out.at[out.n - 1] : NULL;
        if (!last || each.at[i].from > last->to + 1e-4) {
            *PUSH(c, &out) = each.at[i];
        } else if (each.at[i].to > last->to) {
            last->to     = each.at[i].to;
            last->to_out = each.at[i].to_out;
        }
    }
    for (int i = 0; i < out.n; i++) {
        out.at[i].from_out = frame_vector(f, out.at[i].from_out);
        out.at[i].to_out   = frame_vector(f, out.at[i].to_out);
    }
    return out;
}

bool stretch_at(const Stretches *all, double t, Stretch *out) {
    for (int i = 0; i < all->n; i++) {
        if (all->at[i].from <= t && t <= all->at[i].to) {
            *out = all->at[i];
            return true;
        }
    }
    return false;
}
