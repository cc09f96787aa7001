/* meet -- how two placed solids stand to each other: overlapping,
 * touching, in each other's way; and whether a solid has a left and a
 * right.
 *
 * Cells are convex, so all of it comes down to pairs of cells. Two of them
 * are apart if one of a few directions tells them apart: the normals of
 * their faces and the cross products of their edges (separating axes,
 * Gottschalk 1996).
 */
#include "geom/geom_internal.h"

#include <math.h>

#define FACING     5e-9   // 1 - cosine of 1e-4 rad
#define LEAST_STOP 0.5    // mm^2 that stand in the way (notes 1.2)
#define FEW        96     // corners and directions kept on the stack

/* ---- Cells in the world ---- */

/* A cell where it stands, with what separates it from others. */
typedef struct {
    V3  *p, *normal, *edge;
    int  n, normals, edges;
    Box3 box;
    V3   few_p[FEW], few_normal[FEW], few_edge[FEW];
} Hull;

static V3 *room(Ctx *c, V3 *few, int n) {
    return n <= FEW ? few : NEW_N(c, V3, n);
}

static void add_direction(V3 *all, int *n, V3 d) {
    for (int i = 0; i < *n; i++)
        if (fabs(v3_dot(all[i], d)) > 1 - 1e-12)
            return;
    all[(*n)++] = d;
}

static void hull_points(Ctx *c, Hull *h, const Cell *cell, const Frame *f) {
    h->n   = cell->vert.n;
    h->p   = room(c, h->few_p, h->n);
    h->box = box3_empty();
    for (int i = 0; i < h->n; i++) {
        h->p[i] = frame_point(f, cell->vert.at[i]);
        box3_add(&h->box, h->p[i]);
    }
}

static void hull_directions(Ctx *c, Hull *h, const Cell *cell,
                            const Frame *f) {
    int corners = 0;

    for (int i = 0; i < cell->face.n; i++)
        corners += cell->face.at[i].vert.n;
    h->normal  = room(c, h->few_normal, cell->face.n);
    h->edge    = room(c, h->few_edge, corners);
    h->normals = h->edges = 0;
    for (int i = 0; i < cell->face.n; i++) {
        const CellFace *face = &cell->face.at[i];
        add_direction(h->normal, &h->normals,
                      frame_vector(f, face->plane.n));
        for (int k = 0; k < face->vert.n; k++) {
            int a = face->vert.at[k];
            int b = face->vert.at[(k + 1) % face->vert.n];
            V3  d = v3_sub(h->p[b], h->p[a]);
            if (a < b && v3_len(d) > 1e-6)
                add_direction(h->edge, &h->edges, v3_unit(d));
        }
    }
}

/* ---- Separating axes ---- */

static void extent(const Hull *h, V3 axis, double *min, double *max) {
    *min = INFINITY;
    *max = -INFINITY;
    for (int i = 0; i < h->n; i++) {
        double at = v3_dot(axis, h->p[i]);
        *min = at < *min ? at : *min;
        *max = at > *max ? at : *max;
    }
}

static double depth_along(const Hull *a, const Hull *b, V3 axis) {
    double amin, amax, bmin, bmax;

    extent(a, axis, &amin, &amax);
    extent(b, axis, &bmin, &bmax);
    return fmin(amax - bmin, bmax - amin);
}

/* The least depth over all axes: negative if apart. Stops early once it
 * is `enough` or less. */
static double cell_depth(const Hull *a, const Hull *b, double enough) {
    double least = INFINITY;

    for (int i = 0; i < a->normals && least > enough; i++)
        least = fmin(least, depth_along(a, b, a->normal[i]));
    for (int i = 0; i < b->normals && least > enough; i++)
        least = fmin(least, depth_along(a, b, b->normal[i]));
    for (int i = 0; i < a->edges; i++)
        for (int k = 0; k < b->edges && least > enough; k++) {
            V3 axis = v3_cross(a->edge[i], b->edge[k]);
            if (v3_len(axis) > 1e-6)
                least = fmin(least, depth_along(a, b, v3_unit(axis)));
        }
    return least;
}

/* ---- Boxes in the world ---- */

static double lower(double k, double a, double b) {
    return k * a < k * b ? k * a : k * b;
}

static double upper(double k, double a, double b) {
    return k * a > k * b ? k * a : k * b;
}

/* Sums are in the order of frame_point, so that the box has the bits of
 * the corners. */
static Box3 placed_box(Box3 box, const Frame *f) {
    V3 lo = box.min, hi = box.max;

    return (Box3){
        v3(f->o.x + (lower(f->x.x, lo.x, hi.x) + (lower(f->y.x, lo.y, hi.y)
                                            + lower(f->z.x, lo.z, hi.z))),
           f->o.y + (lower(f->x.y, lo.x, hi.x) + (lower(f->y.y, lo.y, hi.y)
                                            + lower(f->z.y, lo.z, hi.z))),
           f->o.z + (lower(f->x.z, lo.x, hi.x) + (lower(f->y.z, lo.y, hi.y)
                                            + lower(f->z.z, lo.z, hi.z)))),
        v3(f->o.x + (upper(f->x.x, lo.x, hi.x) + (upper(f->y.x, lo.y, hi.y)
                                            + upper(f->z.x, lo.z, hi.z))),
           f->o.y + (upper(f->x.y, lo.x, hi.x) + (upper(f->y.y, lo.y, hi.y)
                                            + upper(f->z.y, lo.z, hi.z))),
           f->o.z + (upper(f->x.z, lo.x, hi.x) + (upper(f->y.z, lo.y, hi.y)
                                            + upper(f->z.z, lo.z, hi.z))))
    };
}

/* A box around all cells, quick but not tight if the frame is turned. */
static Box3 rough_box(const Solid *s, const Frame *f) {
    Box3 all = box3_empty();

    for (int i = 0; i < s->cells.n; i++) {
        box3_add(&all, s->cells.at[i].box.min);
        box3_add(&all, s->cells.at[i].box.max);
    }
    return s->cells.n ? placed_box(all, f) : all;
}

Box3 solid_box(const Solid *s, const Frame *f) {
    Box3 box = box3_empty();

    for (int i = 0; i < s->cells.n; i++)
        for (int k = 0; k < s->cells.at[i].vert.n; k++)
            box3_add(&box, frame_point(f, s->cells.at[i].vert.at[k]));
    return box;
}

/* ---- Overlap ---- */

/* What two placed cells have in common, exactly. */
static void add_common(Ctx *c, const Cell *a, const Frame *fa, const Cell *b,
                       const Frame *fb, Overlap *o) {
    Cell in = cell_placed(c, a, fa), left;
    V3   moment = { 0, 0, 0 };

    for (int i = 0; i < b->face.n; i++) {
        Plane keep = plane_placed(b->face.at[i].plane, fb);
        Clip  clip = cell_part(c, &in, keep, &left, NULL);
        if (clip == CLIP_NONE)
            return;
        if (clip == CLIP_PART)
            in = left;
    }
    o->volume += cell_volume(&in, &moment);
    for (int i = 0; i < in.vert.n; i++)
        box3_add(&o->box, in.vert.at[i]);
}

static void overlap_with(Ctx *c, const Cell *a, const Frame *fa,
                         const Solid *b, const Frame *fb, double slack,
                         Overlap *o) {
    Hull ha, hb;
    bool ready = false;

    hull_points(c, &ha, a, fa);
    for (int k = 0; k < b->cells.n; k++) {
        const Cell *cell = &b->cells.at[k];
        double      depth;
        if (!box3_touch(ha.box, placed_box(cell->box, fb), -slack))
            continue;
        hull_points(c, &hb, cell, fb);
        if (!box3_touch(ha.box, hb.box, -slack))
            continue;
        if (!ready)
            hull_directions(c, &ha, a, fa);
        ready = true;
        hull_directions(c, &hb, cell, fb);
        depth = cell_depth(&ha, &hb, slack);
        if (depth <= slack)
            continue;
        o->any   = true;
        o->depth = fmax(o->depth, depth);
        add_common(c, a, fa, cell, fb, o);
    }
}

Overlap solid_overlap(Ctx *c, const Solid *a, const Frame *fa,
                      const Solid *b, const Frame *fb, double slack) {
    Overlap o   = { .box = box3_empty() };
    Box3    box = rough_box(b, fb);

    for (int i = 0; i < a->cells.n; i++)
        if (box3_touch(placed_box(a->cells.at[i].box, fa), box, -slack))
            overlap_with(c, &a->cells.at[i], fa, b, fb, slack, &o);
    if (!o.any)
        o.box = (Box3){ 0 };
    return o;
}

/* ---- Contact ---- */

/* A face of a cell that may lie on the other solid. */
typedef struct {
    const Cell     *cell;
    const CellFace *face;
    Plane           plane;
    Box3            box;     // in the world
} Facing;
typedef LIST(Facing) Facings;

bool plane_meets_box(Plane p, Box3 box, double slack) {
    V3     mid  = v3_scale(v3_add(box.min, box.max), 0.5);
    V3     half = v3_scale(v3_sub(box.max, box.min), 0.5);
    double reach = fabs(p.n.x) * half.x + fabs(p.n.y) * half.y
                 + fabs(p.n.z) * half.z;

    return fabs(v3_dot(p.n, mid) - p.d) <= reach + slack;
}

static Box3 face_box(const Cell *cell, const CellFace *face,
                     const Frame *f) {
    Box3 box = box3_empty();

    for (int i = 0; i < face->vert.n; i++)
        box3_add(&box, frame_point(f, cell->vert.at[face->vert.at[i]]));
    return box;
}

static Facings facings_near(Ctx *c, const Solid *s, const Frame *f,
                            Box3 near, double slack) {
    Facings out = { 0 };

    for (int i = 0; i < s->cells.n; i++) {
        const Cell *cell = &s->cells.at[i];
        if (!box3_touch(placed_box(cell->box, f), near, slack))
            continue;
        for (int k = 0; k < cell->face.n; k++) {
            const CellFace *face = &cell->face.at[k];
            Plane           p    = plane_placed(face->plane, f);
            Box3            box;
            if (!plane_meets_box(p, near, slack))
                continue;
            box = face_box(cell, face, f);
            if (box3_touch(box, near, slack))
                *PUSH(c, &out) = (Facing){ cell, face, p, box };
        }
    }
    return out;
}

/* A cell's face in the axes u, v; counter-clockwise. */
static int flat_face(const Facing *f, const Frame *frame, V3 u, V3 v,
                     V2 *out) {
    int n = f->face->vert.n;

    for (int i = 0; i < n; i++) {
        V3 p = frame_point(frame, f->cell->vert.at[f->face->vert.at[i]]);
        out[i] = v2(v3_dot(p, u), v3_dot(p, v));
    }
    if (ring_area(out, n) < 0)
        for (int a = 0, b = n - 1; a < b; a++, b--) {
            V2 swap = out[a];
            out[a]  = out[b];
            out[b]  = swap;
        }
    return n;
}

static V2 ring_middle(const V2 *p, int n, double *area) {
    V2 sum = { 0, 0 };

    *area = ring_area(p, n);
    for (int i = 1; i + 1 < n; i++) {
        double a   = v2_cross(v2_sub(p[i], p[0]), v2_sub(p[i + 1], p[0]));
        V2     mid = v2_add(p[0], v2_add(p[i], p[i + 1]));
        sum = v2_add(sum, v2_scale(mid, a / 6));
    }
    return *area > 0 ? v2_scale(sum, 1 / *area) : p[0];
}

/* The area that two faces share and its middle; 0 if it is no wider than
 * the slack. */
static double shared_area(Ctx *c, const Facing *a, const Frame *fa,
                          const Facing *b, const Frame *fb, double slack,
                          V3 *middle) {
    enum { ROOM = 64 };
    V2     few[4][ROOM], *p[4] = { few[0], few[1], few[2], few[3] };
    int    n = a->face->vert.n, m = b->face->vert.n;
    double area;
    V3     u, v;
    V2     mid;

    if (n + m > ROOM)
        for (int i = 0; i < 4; i++)
            p[i] = NEW_N(c, V2, n + m);
    plane_axes(a->plane.n, &u, &v);
    flat_face(a, fa, u, v, p[0]);
    flat_face(b, fb, u, v, p[1]);
    n = convex_clip(p[0], n, p[1], m, p[2], p[3]);
    if (n < 3)
        return 0;
    mid = ring_middle(p[3], n, &area);
    if (2 * area <= slack * ring_perimeter(p[3], n))
        return 0;
    *middle = v3_add(v3_scale(a->plane.n, a->plane.d),
                     v3_add(v3_scale(u, mid.x), v3_scale(v, mid.y)));
    return area;
}

/* How far apart the planes of two faces lie that look at each other;
 * false: they do not. */
static bool face_each_other(Plane a, Plane b, double *gap) {
    *gap = -(a.d + b.d);
    return v3_dot(a.n, b.n) < FACING - 1;
}

static Box3 common_box(Box3 a, Box3 b, double slack) {
    V3 k = v3(slack, slack, slack);

    return (Box3){ v3_sub(v3(fmax(a.min.x, b.min.x),
                             fmax(a.min.y, b.min.y),
                             fmax(a.min.z, b.min.z)), k),
                   v3_add(v3(fmin(a.max.x, b.max.x),
                             fmin(a.max.y, b.max.y),
                             fmin(a.max.z, b.max.z)), k) };
}

/* True if some cells are no farther apart than the slack; *at gets the
 * middle of where their boxes meet. */
static bool cells_touch(Ctx *c, const Solid *a, const Frame *fa,
                        const Solid *b, const Frame *fb, double slack,
                        V3 *at) {
    Hull ha, hb;

    for (int i = 0; i < a->cells.n; i++) {
        const Cell *ca = &a->cells.at[i];
        hull_points(c, &ha, ca, fa);
        for (int k = 0; k < b->cells.n; k++) {
            const Cell *cb = &b->cells.at[k];
            Box3        box;
            if (!box3_touch(ha.box, placed_box(cb->box, fb), slack))
                continue;
            hull_points(c, &hb, cb, fb);
            if (!box3_touch(ha.box, hb.box, slack))
                continue;
            hull_directions(c, &ha, ca, fa);
            hull_directions(c, &hb, cb, fb);
            if (cell_depth(&ha, &hb, -slack - 1e-9) < -slack - 1e-9)
                continue;
            box = common_box(ha.box, hb.box, 0);
            *at = v3_scale(v3_add(box.min, box.max), 0.5);
            return true;
        }
    }
    return false;
}

/* Adds what two faces share to the touch in the same plane. */
static void add_abut(Ctx *c, Abuts *all, const Abut *one) {
    for (int i = 0; i < all->n; i++) {
        Abut *t = &all->at[i];
        double sum = t->area + one->area;
        if (v3_dot(t->normal, one->normal) < 1 - FACING
                || fabs(t->gap - one->gap) > 1e-3
                || fabs(v3_dot(t->normal, v3_sub(t->at, one->at))) > 1e-3)
            continue;
        t->at = v3_scale(v3_add(v3_scale(t->at, t->area),
                                v3_scale(one->at, one->area)), 1 / sum);
        t->area  = sum;
        t->share = fmax(t->share, one->share);
        return;
    }
    *PUSH(c, all) = *one;
}

static double face_area(const Facing *f) {
    V3 sum = { 0, 0, 0 }, p = f->cell->vert.at[f->face->vert.at[0]];

    for (int i = 1; i + 1 < f->face->vert.n; i++)
        sum = v3_add(sum, v3_cross(
            v3_sub(f->cell->vert.at[f->face->vert.at[i]], p),
            v3_sub(f->cell->vert.at[f->face->vert.at[i + 1]], p)));
    return v3_len(sum) / 2;
}

/* Faces inside a solid, between its cells, do no harm to contacts: the
 * other solid cannot lie on them without overlapping. */
Abuts solid_faces(Ctx *c, const Solid *a, const Frame *fa,
                    const Solid *b, const Frame *fb, double least,
                    double most, double slack) {
    Box3    ba = rough_box(a, fa), bb = rough_box(b, fb), near;
    Facings on_a, on_b;
    Abuts out = { 0 };

    if (!box3_touch(ba, bb, most))
        return out;
    near = common_box(ba, bb, most);
    on_a = facings_near(c, a, fa, near, most);
    on_b = facings_near(c, b, fb, near, most);
    for (int i = 0; i < on_a.n; i++)
        for (int k = 0; k < on_b.n; k++) {
            const Facing *p = &on_a.at[i], *q = &on_b.at[k];
            Abut one = { .normal = v3_scale(p->plane.n, -1) };
            if (!face_each_other(p->plane, q->plane, &one.gap)
                    || one.gap < least || one.gap > most
                    || !box3_touch(p->box, q->box, most))
                continue;
            one.area = shared_area(c, p, fa, q, fb, slack, &one.at);
            if (one.area <= 0)
                continue;
            one.share = one.area / fmin(face_area(p), face_area(q));
            add_abut(c, &out, &one);
        }
    return out;
}

Abuts solid_touches(Ctx *c, const Solid *a, const Frame *fa,
                      const Solid *b, const Frame *fb, double slack,
                      V3 *at, bool *touch) {
    Abuts all = solid_faces(c, a, fa, b, fb, -slack, slack, slack);
    double  sum = 0;
    V3      moment = { 0, 0, 0 };

    *at = v3(0, 0, 0);
    for (int i = 0; i < all.n; i++) {
        sum += all.at[i].area;
        moment = v3_add(moment, v3_scale(all.at[i].at, all.at[i].area));
    }
    if (sum > 0)
        *at = v3_scale(moment, 1 / sum);
    *touch = sum > 0;
    if (sum <= 0 && box3_touch(rough_box(a, fa), rough_box(b, fb), slack))
        *touch = cells_touch(c, a, fa, b, fb, slack, at);
    return all;
}

double solid_contact(Ctx *c, const Solid *a, const Frame *fa,
                     const Solid *b, const Frame *fb, double slack,
                     V3 *at, bool *touch) {
    Abuts all = solid_touches(c, a, fa, b, fb, slack, at, touch);
    double  sum = 0;

    for (int i = 0; i < all.n; i++)
        sum += all.at[i].area;
    return sum;
}

/* ---- Blocking ---- */

/* A cell seen along a direction. */
typedef struct {
    V2    *outline;   // convex, counter-clockwise
    int    n;
    Box2   box;
    double near, far; // along the direction
    V2     few[2 * FEW];
} Shadow;

/* Sorts by insertion: a cell has few corners. */
static void sort_points(V2 *p, int n) {
    for (int i = 1; i < n; i++) {
        V2  take = p[i];
        int k = i;
        for (; k > 0 && (p[k - 1].x > take.x || (p[k - 1].x == take.x
                         && p[k - 1].y > take.y)); k--)
            p[k] = p[k - 1];
        p[k] = take;
    }
}

/* Andrew's monotone chain; `out` has room for 2n points. */
static int convex_hull(const V2 *p, int n, V2 *out) {
    int k = 0, lower;

    for (int i = 0; i < n; i++) {
        while (k >= 2 && v2_cross(v2_sub(out[k - 1], out[k - 2]),
                                  v2_sub(p[i], out[k - 2])) <= 0)
            k--;
        out[k++] = p[i];
    }
    lower = k + 1;
    for (int i = n - 2; i >= 0; i--) {
        while (k >= lower && v2_cross(v2_sub(out[k - 1], out[k - 2]),
                                      v2_sub(p[i], out[k - 2])) <= 0)
            k--;
        out[k++] = p[i];
    }
    return k > 1 ? k - 1 : k;
}

static void cast(Ctx *c, Shadow *s, const Cell *cell, const Frame *f, V3 dir,
                 V3 u, V3 v) {
    int n = cell->vert.n;
    V2  few[FEW], *p = n <= FEW ? few : NEW_N(c, V2, n);

    s->outline = 2 * n <= 2 * FEW ? s->few : NEW_N(c, V2, 2 * n);
    s->near    = INFINITY;
    s->far     = -INFINITY;
    s->box     = box2_empty();
    for (int i = 0; i < n; i++) {
        V3     at = frame_point(f, cell->vert.at[i]);
        double depth = v3_dot(at, dir);
        p[i] = v2(v3_dot(at, u), v3_dot(at, v));
        box2_add(&s->box, p[i]);
        s->near = fmin(s->near, depth);
        s->far  = fmax(s->far, depth);
    }
    sort_points(p, n);
    s->n = convex_hull(p, n, s->outline);
}

/* The middle of where the line through `at` along dir passes a cell. */
static double middle_depth(const Cell *cell, const Frame *f, V3 at, V3 dir) {
    double lo = -INFINITY, hi = INFINITY;

    for (int i = 0; i < cell->face.n; i++) {
        Plane  p = plane_placed(cell->face.at[i].plane, f);
        double rate = v3_dot(p.n, dir), off = p.d - v3_dot(p.n, at);
        if (rate > 1e-9)
            hi = fmin(hi, off / rate);
        else if (rate < -1e-9)
            lo = fmax(lo, off / rate);
    }
    return (lo + hi) / 2;
}

/* Two convex cells that do not overlap keep one order along `dir` over all
 * that they share as seen along it, so one point decides. */
static bool cell_blocks(Ctx *c, const Cell *a, const Frame *fa,
                        const Shadow *sa, const Cell *b, const Frame *fb,
                        V3 dir, V3 u, V3 v) {
    Shadow sb;
    enum { ROOM = 2 * FEW };
    V2     few[2][ROOM], *spare = few[0], *out = few[1], mid;
    double area;
    V3     at;
    int    n;

    cast(c, &sb, b, fb, dir, u, v);
    if (sb.far <= sa->near || sa->n < 3 || sb.n < 3
            || sa->box.max.x <= sb.box.min.x || sb.box.max.x <= sa->box.min.x
            || sa->box.max.y <= sb.box.min.y || sb.box.max.y <= sa->box.min.y)
        return false;
    if (sa->n + sb.n > ROOM) {
        spare = NEW_N(c, V2, sa->n + sb.n);
        out   = NEW_N(c, V2, sa->n + sb.n);
    }
    n = convex_clip(sa->outline, sa->n, sb.outline, sb.n, spare, out);
    if (n < 3)
        return false;
    mid = ring_middle(out, n, &area);
    if (area <= LEAST_STOP)
        return false;
    at = v3_add(v3_scale(u, mid.x), v3_scale(v, mid.y));
    return middle_depth(b, fb, at, dir) > middle_depth(a, fa, at, dir);
}

bool solid_is_square_block(const Solid *s, const Frame *f) {
    V3     size = v3_sub(s->box.max, s->box.min);
    double full = size.x * size.y * size.z;

    return s->cells.n == 1 && s->cells.at[0].vert.n == 8
        && fabs(full - s->volume) <= 1e-9 * full
        && fabs(fabs(f->x.x) + fabs(f->x.y) + fabs(f->x.z) - 1) < 1e-12
        && fabs(fabs(f->y.x) + fabs(f->y.y) + fabs(f->y.z) - 1) < 1e-12;
}

static double overlap_1d(double amin, double amax, double bmin,
                         double bmax) {
    return fmax(0, fmin(amax, bmax) - fmax(amin, bmin));
}

/* What they share as seen along the axis, and which is farther. */
bool block_blocks(Box3 a, Box3 b, V3 dir) {
    double x = overlap_1d(a.min.x, a.max.x, b.min.x, b.max.x);
    double y = overlap_1d(a.min.y, a.max.y, b.min.y, b.max.y);
    double z = overlap_1d(a.min.z, a.max.z, b.min.z, b.max.z);
    double area = fabs(dir.x) > 0.5 ? y * z : fabs(dir.y) > 0.5 ? x * z
                                                                : x * y;
    V3     apart = v3_sub(v3_add(b.min, b.max), v3_add(a.min, a.max));

    return area > LEAST_STOP && v3_dot(apart, dir) > 0;
}

bool solid_blocks(Ctx *c, const Solid *a, const Frame *fa,
                  const Solid *b, const Frame *fb, V3 dir) {
    Box3   box_b = rough_box(b, fb);
    Shadow sa;
    V3     u, v;

    if (!a->cells.n || !b->cells.n
            || !box_in_way(rough_box(a, fa), box_b, dir))
        return false;
    if (fabs(dir.x) + fabs(dir.y) + fabs(dir.z) < 1 + 1e-12
            && solid_is_square_block(a, fa)
            && solid_is_square_block(b, fb))
        return block_blocks(rough_box(a, fa), box_b, dir);
    plane_axes(dir, &u, &v);
    for (int i = 0; i < a->cells.n; i++) {
        const Cell *ca  = &a->cells.at[i];
        Box3        box = placed_box(ca->box, fa);
        if (!box_in_way(box, box_b, dir))
            continue;
        cast(c, &sa, ca, fa, dir, u, v);
        for (int k = 0; k < b->cells.n; k++) {
            const Cell *cb = &b->cells.at[k];
            if (box_in_way(box, placed_box(cb->box, fb), dir)
                && cell_blocks(c, ca, fa, &sa, cb, fb, dir, u, v))
                return true;
        }
    }
    return false;
}

/* ---- Left and right ---- */

/* One of the 24 mirrorings that carry a box's axes to each other. */
typedef struct { int axis[3]; double sign[3]; V3 center; } Mirror;

static double coordinate(V3 p, int axis) {
    return axis == 0 ? p.x : axis == 1 ? p.y : p.z;
}

static V3 mirror_vector(const Mirror *m, V3 d) {
    return v3(m->sign[0] * coordinate(d, m->axis[0]),
              m->sign[1] * coordinate(d, m->axis[1]),
              m->sign[2] * coordinate(d, m->axis[2]));
}

static V3 mirror_point(const Mirror *m, V3 p) {
    return v3_add(m->center, mirror_vector(m, v3_sub(p, m->center)));
}

static bool has_corner(const Solid *s, V3 p, double tolerance) {
    for (int i = 0; i < s->faces.n; i++)
        for (int r = 0; r < s->faces.at[i].rings.n; r++) {
            const Ring3 *ring = &s->faces.at[i].rings.at[r];
            for (int k = 0; k < ring->n; k++)
                if (v3_len(v3_sub(ring->at[k], p)) <= tolerance)
                    return true;
        }
    return false;
}

static bool has_face(const Solid *s, const Face *like, const Mirror *m,
                     double tolerance) {
    V3     n = mirror_vector(m, like->plane.n);
    double size = sqrt(like->area) + tolerance;
    double d = v3_dot(n, m->center)
             + like->plane.d - v3_dot(like->plane.n, m->center);

    for (int i = 0; i < s->faces.n; i++) {
        const Face *f = &s->faces.at[i];
        if (v3_len(v3_sub(f->plane.n, n)) * size <= 4 * tolerance
                && fabs(f->plane.d - d) <= tolerance
                        + v3_len(v3_sub(f->plane.n, n)) * fabs(d)
                && fabs(f->area - like->area) <= 8 * size * tolerance)
            return true;
    }
    return false;
}

/* Its box, its faces and its corners must all find themselves again. */
static bool mirror_keeps(const Solid *s, const Mirror *m, double tolerance) {
    V3 size = v3_sub(s->box.max, s->box.min);
    V3 turned = v3(coordinate(size, m->axis[0]), coordinate(size, m->axis[1]),
                   coordinate(size, m->axis[2]));

    if (v3_len(v3_sub(turned, size)) > 4 * tolerance)
        return false;
    for (int i = 0; i < s->faces.n; i++)
        if (!has_face(s, &s->faces.at[i], m, tolerance))
            return false;
    for (int i = 0; i < s->faces.n; i++)
        for (int r = 0; r < s->faces.at[i].rings.n; r++) {
            const Ring3 *ring = &s->faces.at[i].rings.at[r];
            for (int k = 0; k < ring->n; k++)
                if (!has_corner(s, mirror_point(m, ring->at[k]), tolerance))
                    return false;
        }
    return true;
}

/* A solid that some mirroring carries onto itself, turned as it may be,
 * is its own mirror image. The centroid stays where it is, so all 24
 * ways to mirror a box about it are tried. */
bool solid_is_symmetric(const Solid *s, double tolerance) {
    static const int order[6][3] = {   // the last three swap two axes
        { 0, 1, 2 }, { 1, 2, 0 }, { 2, 0, 1 },
        { 1, 0, 2 }, { 0, 2, 1 }, { 2, 1, 0 }
    };

    for (int i = 0; i < 48; i++) {
        int    p = i / 8, minus = (i & 1) + (i >> 1 & 1) + (i >> 2 & 1);
        Mirror m = { { order[p][0], order[p][1], order[p][2] },
                     { i & 1 ? -1 : 1, i & 2 ? -1 : 1, i & 4 ? -1 : 1 },
                     s->centroid };
        if ((minus + (p >= 3)) % 2 == 1 && mirror_keeps(s, &m, tolerance))
            return true;
    }
    return false;
}
