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
#define EVEN   1e-3   // mm^2: patches are as large as each other

/* ---- Faces ---- */

/* A face that may lie on the other solid, where it stands. */
typedef struct { const Face *face; Plane plane; } Near;
typedef LIST(Near) Nears;

static Nears faces_near(Ctx *c, const Solid *s, const Frame *f, Box3 box,
                        double slack) {
    Nears out = { 0 };

    for (int i = 0; i < s->faces.n; i++) {
        const Face *face  = &s->faces.at[i];
        Plane       plane = plane_placed(face->plane, f);
        if (plane_meets_box(plane, box, slack))
            *PUSH(c, &out) = (Near){ face, plane };
    }
    return out;
}

static Rings face_rings(Ctx *c, const Face *face, const Frame *f, V3 u,
                        V3 v) {
    Rings out = { NEW_N(c, Ring, face->rings.n), 0, face->rings.n };

    for (int i = 0; i < face->rings.n; i++) {
        int   n    = face->rings.at[i].n;
        Ring *ring = PUSH(c, &out);
        *ring = (Ring){ NEW_N(c, V2, n), n, n };
        for (int k = 0; k < n; k++) {
            V3 p = frame_point(f, face->rings.at[i].at[k]);
            ring->at[k] = v2(v3_dot(p, u), v3_dot(p, v));
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

/* ---- What two outlines share ---- */

/* Convex to a hundredth of the grid; turned counter-clockwise. */
static bool is_convex(Rings *rings) {
    Ring *r = &rings->at[0];

    if (rings->n != 1 || r->n < 3)
        return false;
    if (ring_area(r->at, r->n) < 0)
        for (int a = 0, b = r->n - 1; a < b; a++, b--) {
            V2 swap  = r->at[a];
            r->at[a] = r->at[b];
            r->at[b] = swap;
        }
    for (int i = 0; i < r->n; i++) {
        V2 d = v2_sub(r->at[(i + 1) % r->n], r->at[i]);
        V2 e = v2_sub(r->at[(i + 2) % r->n], r->at[(i + 1) % r->n]);
        if (v2_cross(d, e) < -SHAPE_GRID / 100 * (v2_len(d) + v2_len(e)))
            return false;
    }
    return true;
}

/* Without corners that are none: so the sides of a patch are as long as
 * they are, however it came about. */
static Ring straightened(Ctx *c, const Ring *r) {
    Ring out = { NEW_N(c, V2, r->n), 0, r->n };

    for (int i = 0; i < r->n; i++) {
        V2 d = v2_sub(r->at[i], r->at[(i + r->n - 1) % r->n]);
        V2 e = v2_sub(r->at[(i + 1) % r->n], r->at[i]);
        if (fabs(v2_cross(d, e)) > SHAPE_GRID * (v2_len(d) + v2_len(e)))
            *PUSH(c, &out) = r->at[i];
    }
    return out;
}

/* Adds a convex outline, on the grid as GEOS has it. */
static void add_on_grid(Ctx *c, const V2 *p, int n, Polygons *out) {
    Rings part = { 0 };
    Ring  r    = { NEW_N(c, V2, n), 0, n };

    for (int i = 0; i < n; i++) {
        V2 at = v2(floor(p[i].x / SHAPE_GRID + 0.5) * SHAPE_GRID,
                   floor(p[i].y / SHAPE_GRID + 0.5) * SHAPE_GRID);
        if (!r.n || v2_len(v2_sub(at, r.at[r.n - 1])) > SHAPE_GRID / 2)
            *PUSH(c, &r) = at;
    }
    if (r.n > 1 && v2_len(v2_sub(r.at[0], r.at[r.n - 1])) <= SHAPE_GRID / 2)
        r.n--;
    r = straightened(c, &r);
    if (r.n < 3 || ring_area(r.at, r.n) <= 0)
        return;
    *PUSH(c, &part)       = r;
    *PUSH(c, &out->parts) = part;
}

/* Does the line from a to b run through a convex outline, deeper than the
 * grid? Cyrus and Beck 1978. */
static bool runs_through(const Ring *r, V2 a, V2 b) {
    V2     way  = v2_sub(b, a);
    double from = 0, to = 1;

    for (int i = 0; i < r->n && from < to; i++) {
        V2     e    = v2_sub(r->at[(i + 1) % r->n], r->at[i]);
        double deep = v2_cross(e, v2_sub(a, r->at[i]))
                    - SHAPE_GRID * v2_len(e);
        double rate = v2_cross(e, way);
        if (rate > 0)
            from = fmax(from, -deep / rate);
        else if (rate < 0)
            to = fmin(to, -deep / rate);
        else if (deep < 0)
            return false;
    }
    return from < to;
}

/* A convex outline that no side of the other runs through lies all inside
 * or all outside of it. */
static bool share_whole(Ctx *c, const Rings *a, const Ring *b,
                        Polygons *out) {
    V2   mid = { 0, 0 };
    bool in;

    for (int i = 0; i < a->n; i++)
        for (int k = 0; k < a->at[i].n; k++)
            if (runs_through(b, a->at[i].at[k],
                             a->at[i].at[(k + 1) % a->at[i].n]))
                return false;
    for (int i = 0; i < b->n; i++)
        mid = v2_add(mid, v2_scale(b->at[i], 1.0 / b->n));
    in = ring_holds(a->at[0].at, a->at[0].n, mid);
    for (int i = 1; i < a->n && in; i++)
        in = !ring_holds(a->at[i].at, a->at[i].n, mid);
    if (in)
        add_on_grid(c, b->at, b->n, out);
    return true;
}

/* Most faces are convex, or one lies within the other: that is soon said.
 * False: it is not so. */
static bool share_easily(Ctx *c, Rings a, Rings b, Polygons *out) {
    bool convex_a = is_convex(&a), convex_b = is_convex(&b);
    V2  *p;
    int  n;

    *out = (Polygons){ 0 };
    if (!convex_a || !convex_b)
        return (convex_b && share_whole(c, &a, &b.at[0], out))
            || (convex_a && share_whole(c, &b, &a.at[0], out));
    p = NEW_N(c, V2, 2 * (a.at[0].n + b.at[0].n));
    n = convex_clip(a.at[0].at, a.at[0].n, b.at[0].at, b.at[0].n,
                    p + a.at[0].n + b.at[0].n, p);
    if (n > 0)
        add_on_grid(c, p, n, out);
    return true;
}

static Polygons rings_shared(Ctx *c, Rings a, Rings b) {
    GEOSContextHandle_t h;
    GEOSGeometry *ga, *gb, *g;
    Polygons      p;

    if (share_easily(c, a, b, &p))
        return p;
    h  = GEOS_init_r();
    ga = geos_from_rings(c, h, a);
    gb = geos_from_rings(c, h, b);
    g  = ga && gb ? GEOSIntersectionPrec_r(h, ga, gb, SHAPE_GRID) : NULL;
    p  = polygons_from_geos(c, h, g);
    GEOSGeom_destroy_r(h, ga);
    GEOSGeom_destroy_r(h, gb);
    GEOSGeom_destroy_r(h, g);
    GEOS_finish_r(h);
    for (int i = 0; i < p.parts.n; i++)
        for (int k = 0; k < p.parts.at[i].n; k++)
            p.parts.at[i].at[k] = straightened(c, &p.parts.at[i].at[k]);
    return p;
}

/* ---- Patches ---- */

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
static void share_faces(Ctx *c, const Near *na, const Frame *a,
                        const Near *nb, const Frame *b, double slack,
                        TouchPatches *out) {
    Plane       pa = na->plane, pb = nb->plane;
    TouchPatch *patch;
    V3          u, v;
    Rings       ra, rb;
    Polygons    both;

    if (v3_dot(pa.n, pb.n) > FACING - 1 || fabs(pa.d + pb.d) > slack)
        return;
    plane_axes(pa.n, &u, &v);
    ra = face_rings(c, na->face, a, u, v);
    rb = face_rings(c, nb->face, b, u, v);
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

/* Those as large stay in the order of the faces. */
static int by_area(const void *pa, const void *pb, const void *with) {
    const TouchPatch *a = pa, *b = pb;

    (void)with;
    return (a->area < b->area - EVEN) - (a->area > b->area + EVEN);
}

TouchPatches solid_patches(Ctx *c, const Solid *a, const Frame *fa,
                           const Solid *b, const Frame *fb, double slack) {
    TouchPatches out = { 0 };
    Box3         box_a = solid_box(a, fa), box_b = solid_box(b, fb);
    Nears        on_a, on_b;

    if (!box3_touch(box_a, box_b, slack))
        return out;
    on_a = faces_near(c, a, fa, box_b, slack);
    on_b = faces_near(c, b, fb, box_a, slack);
    for (int i = 0; i < on_a.n; i++)
        for (int k = 0; k < on_b.n; k++)
            share_faces(c, &on_a.at[i], fa, &on_b.at[k], fb, slack, &out);
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
        const Plane *q = &cell->face.at[i].plane;
        double rate = v3_dot(q->n, dir), off = q->d - v3_dot(q->n, p);
        if (fabs(rate) < 1e-9) {
            if (off < -ON_PLANE)
                return false;
        } else if (rate > 0 && off < rate * out->to) {
            out->to     = off / rate;
            out->to_out = q->n;
        } else if (rate < 0 && off < rate * out->from) {
            out->from     = off / rate;
            out->from_out = q->n;
        }
        if (out->to - out->from <= 1e-6)
            return false;
    }
    return true;
}

/* The same line as the body sees it: its frame is orthonormal. */
static V3 into_body(const Frame *f, V3 v) {
    return v3(v3_dot(v, f->x), v3_dot(v, f->y), v3_dot(v, f->z));
}

/* A line passes through few cells. */
static void sort_stretches(Stretches *all) {
    for (int i = 1; i < all->n; i++) {
        Stretch take = all->at[i];
        int     k    = i;
        for (; k > 0 && all->at[k - 1].from > take.from; k--)
            all->at[k] = all->at[k - 1];
        all->at[k] = take;
    }
}

/* Those that follow each other without a gap are one. */
static void join_stretches(Stretches *all) {
    int n = 0;

    for (int i = 0; i < all->n; i++) {
        Stretch *last = n ? &all->at[n - 1] : NULL;
        if (!last || all->at[i].from > last->to + 1e-4) {
            all->at[n++] = all->at[i];
        } else if (all->at[i].to > last->to) {
            last->to     = all->at[i].to;
            last->to_out = all->at[i].to_out;
        }
    }
    all->n = n;
}

void solid_along_into(Ctx *c, const Solid *s, const Frame *f, V3 p, V3 dir,
                      Stretches *out) {
    V3 at = into_body(f, v3_sub(p, f->o)), way = into_body(f, dir);

    for (int i = 0; i < s->cells.n; i++) {
        Stretch one;
        if (cell_along(&s->cells.at[i], at, way, &one))
            *PUSH(c, out) = one;
    }
    sort_stretches(out);
    join_stretches(out);
    for (int i = 0; i < out->n; i++) {
        out->at[i].from_out = frame_vector(f, out->at[i].from_out);
        out->at[i].to_out   = frame_vector(f, out->at[i].to_out);
    }
}

Stretches solid_along(Ctx *c, const Solid *s, const Frame *f, V3 p,
                      V3 dir) {
    Stretches out = { 0 };

    solid_along_into(c, s, f, p, dir, &out);
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

/* ---- Room around a point ---- */

static bool outline_near(const Face *face, V3 at, double r) {
    Box3 box = box3_empty(), here = { at, at };

    for (int i = 0; i < face->rings.at[0].n; i++)
        box3_add(&box, face->rings.at[0].at[i]);
    return box3_touch(box, here, r);
}

bool solid_is_clear(const Solid *s, const Frame *f, V3 p, V3 axis,
                    double r) {
    V3 at = into_body(f, v3_sub(p, f->o)), way = into_body(f, axis);

    for (int i = 0; i < s->faces.n; i++) {
        const Face *face = &s->faces.at[i];
        double along = v3_dot(face->plane.n, way);
        double reach = r * sqrt(fmax(0, 1 - along * along));
        if (fabs(along) <= 0.5
            && fabs(v3_dot(face->plane.n, at) - face->plane.d) <= reach
            && outline_near(face, at, r))
            return false;
    }
    return true;
}
