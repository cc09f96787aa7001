/* patches -- the visible parts of faces, as polygons.
 *
 * From the projected face we take away every convex face in front of it.
 * One face can lie partly before and partly behind another (a rail through
 * a slot), but their depths differ by a linear function of the picture, so
 * the part in front is again a convex polygon: cut it off by one line.
 *
 *            |  behind          occluder, cut where the depths are equal;
 *      +-----|-----+            only the left part hides
 *      |/////|     |
 *      +-----|-----+
 *
 * patch_cut takes them one by one. Where that does not come out even, or
 * falls into too many pieces, GEOS does it: it unites the occluders first
 * and subtracts once, on a grid of 1e-4 mm (with floating coordinates, seams
 * between occluders leave slivers). That takes some ten times as long.
 */
#include "geom/geom_internal.h"
#include "geom/hidden_internal.h"

#include <math.h>

#define PATCH_GRID 1e-4    // mm
#define LEAST_AREA 0.01    // mm^2; smaller patches are dropped
#define STRAIGHT   1e-4    // mm off a straight line
#define THINNEST   0.001   // mm, area over perimeter; so are thinner ones
#define ONE_POINT  1e-5    // mm; sides this short have no direction

/* A face as it lies in the picture. */
typedef struct {
    Rings  rings;    // outline counter-clockwise
    Depth  depth;
    Box2   box;
    double low, top;
    bool   convex;   // no holes, and the outline is convex
} Target;

/* ---- The face ---- */

static void turn_ring(Ring *r) {
    for (int i = 0; i < r->n / 2; i++) {
        V2 swap = r->at[i];
        r->at[i]            = r->at[r->n - 1 - i];
        r->at[r->n - 1 - i] = swap;
    }
}

/* Does p lie farther than `by` mm to the right of the side from a to b? */
static inline bool is_right_of(V2 a, V2 b, V2 p, double by) {
    V2     ab = { b.x - a.x, b.y - a.y };
    double h  = ab.y * (p.x - a.x) - ab.x * (p.y - a.y);

    return (h > 0 ? h * h : -h * h)
         > (by > 0 ? by * by : -by * by) * (ab.x * ab.x + ab.y * ab.y);
}

static bool is_convex(const Ring *r) {
    for (int i = 0; i < r->n; i++)
        for (int k = 0; k < r->n; k++)
            if (is_right_of(r->at[i], r->at[(i + 1) % r->n], r->at[k],
                            ON_BORDER))
                return false;
    return true;
}

static bool target_of(Draw *d, const Face *face, const Frame *f, V3 normal,
                      Target *t) {
    Ctx *s = &d->face;
    V3   first = v3(0, 0, 0);

    *t = (Target){ .box = box2_empty(), .low = INFINITY, .top = -INFINITY };
    for (int i = 0; i < face->rings.n; i++) {
        const Ring3 *from = &face->rings.at[i];
        Ring        *ring = PUSH(s, &t->rings);
        for (int k = 0; k < from->n; k++) {
            V3 p = frame_point(f, from->at[k]);
            if (!v3_is_finite(p))
                return false;
            *PUSH(s, ring) = v2(p.x, p.y);
            box2_add(&t->box, v2(p.x, p.y));
            t->low = fmin(t->low, p.z);
            t->top = fmax(t->top, p.z);
            first  = p;
        }
        if (ring->n < 3)
            return false;
    }
    if (!t->rings.n)
        return false;
    t->depth = depth_through(normal, first);
    if (ring_area(t->rings.at[0].at, t->rings.at[0].n) < 0)
        for (int i = 0; i < t->rings.n; i++)
            turn_ring(&t->rings.at[i]);
    t->convex = t->rings.n == 1 && is_convex(&t->rings.at[0]);
    return true;
}

/* ---- What lies in front of it ---- */

static void add_corner(Ring *r, V2 p) {
    if (!r->n || v2_len(v2_sub(p, r->at[r->n - 1])) > ONE_POINT)
        r->at[r->n++] = p;
}

/* Where an occluder is nearer than the face by `least`: at all its corners,
 * at none, at some. */
typedef enum { NEAR_NOWHERE, NEAR_PARTLY, NEAR_WHOLLY } Near;

static Depth depth_over(const Occluder *o, const Target *t, double least) {
    return (Depth){ o->depth.a - t->depth.a, o->depth.b - t->depth.b,
                    o->depth.c - t->depth.c - least };
}

static Near nearness(Draw *d, const Occluder *o, const Target *t,
                     double least) {
    const Border *b  = &d->grid.borders.at[o->border];
    Depth         by = depth_over(o, t, least);
    int           near = 0;

    for (int i = 0; i < o->n; i++)
        near += by.a * b[i].corner.x + by.b * b[i].corner.y + by.c > 0;
    return near == 0 ? NEAR_NOWHERE : near < o->n ? NEAR_PARTLY : NEAR_WHOLLY;
}

static Ring room_for(Draw *d, int n) {
    return (Ring){ .at = arena_take_raw(&d->face.arena,
                                        (size_t)n * sizeof(V2)) };
}

static void close_ring(Ring *r) {
    while (r->n > 1
           && v2_len(v2_sub(r->at[0], r->at[r->n - 1])) <= ONE_POINT)
        r->n--;
}

static Ring all_of(Draw *d, const Occluder *o) {
    const Border *b   = &d->grid.borders.at[o->border];
    Ring          all = room_for(d, o->n);

    for (int i = 0; i < o->n; i++)
        add_corner(&all, b[i].corner);
    close_ring(&all);
    return all;
}

/* The part of an occluder that is nearer than the face by `least`. */
static Ring nearer_part(Draw *d, const Occluder *o, const Target *t,
                        double least) {
    const Border *b    = &d->grid.borders.at[o->border];
    Depth         by   = depth_over(o, t, least);
    Ring          part = room_for(d, o->n + 2);

    for (int i = 0; i < o->n; i++) {
        V2     p = b[i].corner, q = b[i + 1 < o->n ? i + 1 : 0].corner;
        double at_p = by.a * p.x + by.b * p.y + by.c;
        double at_q = by.a * q.x + by.b * q.y + by.c;
        if (at_p >= 0)
            add_corner(&part, p);
        if ((at_p > 0 && at_q < 0) || (at_p < 0 && at_q > 0))
            add_corner(&part, v2_add(p, v2_scale(v2_sub(q, p),
                                                 at_p / (at_p - at_q))));
    }
    close_ring(&part);
    return part;
}

/* True if a side of the convex a has all of b to its right. */
static bool side_parts(const Ring *a, const Ring *b) {
    for (int i = 0; i < a->n; i++) {
        V2   from = a->at[i], to = a->at[i + 1 < a->n ? i + 1 : 0];
        bool apart = from.x != to.x || from.y != to.y;
        for (int k = 0; apart && k < b->n; k++)
            apart = is_right_of(from, to, b->at[k], -ON_BORDER);
        if (apart)
            return true;
    }
    return false;
}

static bool covers_all(const Ring *a, const Ring *b) {
    for (int i = 0; i < a->n; i++)
        for (int k = 0; k < b->n; k++)
            if (is_right_of(a->at[i], a->at[i + 1 < a->n ? i + 1 : 0],
                            b->at[k], ON_BORDER))
                return false;
    return true;
}

typedef enum { HIDES_NOTHING, HIDES_PART, HIDES_ALL } Hides;

/* The same of an occluder as a whole, which has its sides' directions. */
static bool border_parts(const Grid *g, const Occluder *o, const Ring *r) {
    for (int i = 0; i < o->n; i++) {
        const Border *b = &g->borders.at[o->border + i];
        double least = b->reach - ON_BORDER;
        bool   apart = true;
        for (int k = 0; apart && k < r->n; k++)
            apart = b->out.x * r->at[k].x + b->out.y * r->at[k].y > least;
        if (apart)
            return true;
    }
    return false;
}

/* A convex face hides by exact test against a convex target (parallel
 * sides part any two convex polygons that do not overlap); against others
 * it may be put on the list although it hides nothing. */
static Hides hides(Draw *d, const Occluder *o, const Target *t, Ring *part) {
    const Ring *outline = &t->rings.at[0];
    Near        near;
    Ring        well;

    if (o->top <= t->low + TOUCHING
        || o->box.max.x <= t->box.min.x || o->box.min.x >= t->box.max.x
        || o->box.max.y <= t->box.min.y || o->box.min.y >= t->box.max.y
        || border_parts(&d->grid, o, outline))
        return HIDES_NOTHING;
    near = nearness(d, o, t, TOUCHING);
    if (near == NEAR_NOWHERE)
        return HIDES_NOTHING;
    well = near == NEAR_WHOLLY ? all_of(d, o)
                               : nearer_part(d, o, t, TOUCHING);
    if (well.n < 3 || (near == NEAR_PARTLY && side_parts(&well, outline))
        || (t->convex && side_parts(outline, &well)))
        return HIDES_NOTHING;
    *part = near == NEAR_WHOLLY ? well : nearer_part(d, o, t, 0);
    return covers_all(part, outline) ? HIDES_ALL : HIDES_PART;
}

/* What of a row of the grid the target's outline reaches, *lo to *hi; lo
 * above hi: nothing. */
static void reach_in_row(const Grid *g, const Ring *outline, int y, int *lo,
                         int *hi) {
    double low = g->box.min.y + y * g->high - AROUND;
    double top = low + g->high + 2 * AROUND;
    Box2   box = box2_empty();
    int    from[2], to[2];

    for (int i = 0; i < outline->n; i++) {
        V2 a = outline->at[i];
        V2 b = outline->at[i + 1 < outline->n ? i + 1 : 0];
        double by = b.y - a.y, t0 = 0, t1 = 1;
        if (fmax(a.y, b.y) < low || fmin(a.y, b.y) > top)
            continue;
        if (fabs(by) > AROUND) {
            t0 = fmax(0, fmin((low - a.y) / by, (top - a.y) / by));
            t1 = fmin(1, fmax((low - a.y) / by, (top - a.y) / by));
        }
        box2_add(&box, v2(a.x + t0 * (b.x - a.x), low));
        box2_add(&box, v2(a.x + t1 * (b.x - a.x), low));
    }
    box.min.y = box.max.y = low + g->high / 2;
    if (box.min.x > box.max.x || !grid_range(g, box, from, to)) {
        *hi = *lo - 1;
        return;
    }
    *lo = from[0] > *lo ? from[0] : *lo;
    *hi = to[0] < *hi ? to[0] : *hi;
}

/* Puts what of a cell hides some of the target on the list. False: one
 * hides all of it. */
static bool find_in_cell(Draw *d, const Target *t, int cell, Rings *found) {
    Grid *g = &d->grid;
    Ring  part;

    for (int i = g->first[cell]; i < g->first[cell + 1]; i++) {
        const Entry *e = &g->entries.at[i];
        Hides        how;
        if (e->top <= t->low + TOUCHING)
            break;
        if (g->asked[e->face] == g->question)
            continue;
        g->asked[e->face] = g->question;
        how = hides(d, &g->faces.at[e->face], t, &part);
        if (how == HIDES_ALL)
            return false;
        if (how == HIDES_PART)
            *PUSH(&d->face, found) = part;
    }
    return true;
}

/* Does the target lie, as far as it reaches into a cell, below what hides
 * all of that cell? */
static bool is_under(const Grid *g, const Target *t, int x, int y) {
    double z = depth_at(t->depth, v2(g->box.min.x + (x + 0.5) * g->wide,
                                     g->box.min.y + (y + 0.5) * g->high))
             + fabs(t->depth.a) * (g->wide / 2 + AROUND)
             + fabs(t->depth.b) * (g->high / 2 + AROUND);

    return fmin(t->top, z) < g->cover[y * g->nx + x] - TOUCHING;
}

/* The cells of row y that the target reaches. */
static void cells_in_row(const Grid *g, const Target *t, const int lo[2],
                         const int hi[2], int y, int *from, int *to) {
    *from = lo[0];
    *to   = hi[0];
    if (lo[1] < hi[1] && lo[0] < hi[0])
        reach_in_row(g, &t->rings.at[0], y, from, to);
}

static bool is_under_all(const Grid *g, const Target *t, const int lo[2],
                         const int hi[2]) {
    int from, to;

    for (int y = lo[1]; y <= hi[1]; y++) {
        cells_in_row(g, t, lo, hi, y, &from, &to);
        for (int x = from; x <= to; x++)
            if (!is_under(g, t, x, y))
                return false;
    }
    return true;
}

/* The convex polygons that hide some of the target. False: all of it is
 * hidden. */
static bool find_covers(Draw *d, const Target *t, Rings *found) {
    Grid *g = &d->grid;
    int   lo[2], hi[2];

    g->question++;
    if (!grid_range(g, t->box, lo, hi))
        return true;
    if (is_under_all(g, t, lo, hi))
        return false;
    for (int y = lo[1]; y <= hi[1]; y++) {
        int from, to;
        cells_in_row(g, t, lo, hi, y, &from, &to);
        for (int x = from; x <= to; x++)
            if (!find_in_cell(d, t, y * g->nx + x, found))
                return false;
    }
    return true;
}

/* ---- Subtraction ---- */

static GEOSGeometry *united(Draw *d, const Rings *covers) {
    GEOSGeometry **one = NEW_N(&d->face, GEOSGeometry *, covers->n);
    GEOSGeometry  *all, *u;
    int            n = 0;

    for (int i = 0; i < covers->n; i++) {
        Rings ring = { .at = &covers->at[i], .n = 1 };
        one[n] = geos_from_rings(&d->face, d->geos, ring);
        n += one[n] != NULL;
    }
    all = GEOSGeom_createCollection_r(d->geos, GEOS_MULTIPOLYGON, one,
                                      (unsigned)n);
    u = all ? GEOSUnaryUnionPrec_r(d->geos, all, PATCH_GRID) : NULL;
    if (all)
        GEOSGeom_destroy_r(d->geos, all);
    return u;
}

/* The same by GEOS. Should it fail, nothing: a missing tint
 * misleads less than one that runs over other pieces. */
static Polygons subtracted(Draw *d, const Target *t, const Rings *covers) {
    GEOSGeometry *face, *cover, *rest = NULL;
    Polygons      p = { 0 };

    if (!d->geos)
        d->geos = GEOS_init_r();
    face  = geos_from_rings(&d->face, d->geos, t->rings);
    cover = united(d, covers);
    if (face && cover)
        rest = GEOSDifferencePrec_r(d->geos, face, cover, PATCH_GRID);
    if (rest)
        p = polygons_from_geos(&d->face, d->geos, rest);
    if (rest)
        GEOSGeom_destroy_r(d->geos, rest);
    if (cover)
        GEOSGeom_destroy_r(d->geos, cover);
    if (face)
        GEOSGeom_destroy_r(d->geos, face);
    return p;
}

/* ---- Results ---- */

static bool is_before(V2 a, V2 b) {
    return a.x < b.x || (a.x == b.x && a.y < b.y);
}

/* Does the ring run straight on from a over b to q? */
static bool is_straight(V2 a, V2 b, V2 q) {
    V2     by  = v2_sub(q, a);
    double len = v2_len(by);

    return len > 0 && fabs(v2_cross(by, v2_sub(b, a))) < STRAIGHT * len
        && v2_dot(v2_sub(b, a), v2_sub(q, b)) >= 0;
}

static V2 snapped(V2 p) {
    return v2(snap(p.x), snap(p.y));
}

/* The ring from its leftmost corner on (the lowest of several, which is no
 * place where it runs straight on), snapped, without corners where it does.
 */
static Ring tidy_ring(Ctx *c, const Ring *r) {
    Ring out   = { 0 };
    int  first = 0;

    for (int i = 1; i < r->n; i++)
        if (is_before(snapped(r->at[i]), snapped(r->at[first])))
            first = i;
    for (int i = 0; i < r->n; i++) {
        V2 p    = r->at[(first + i) % r->n];
        V2 next = r->at[(first + i + 1) % r->n];
        if (i && is_straight(out.at[out.n - 1], p, next))
            continue;
        *PUSH(c, &out) = snapped(p);
    }
    return out;
}

/* Too small or too thin to be seen? */
static bool is_speck(const Rings *part) {
    double area = 0, around = 0;

    for (int i = 0; i < part->n; i++) {
        area   += ring_area(part->at[i].at, part->at[i].n);
        around += ring_perimeter(part->at[i].at, part->at[i].n);
    }
    return area < LEAST_AREA || area < THINNEST * around;
}

static int by_first_corner(const void *a, const void *b, const void *with) {
    const Rings *p = a, *q = b;
    V2           u = p->at[0].at[0], v = q->at[0].at[0];

    (void)with;
    return is_before(v, u) - is_before(u, v);
}

static Polygons tidy(Draw *d, const Polygons *p) {
    Polygons out = { 0 };

    for (int i = 0; i < p->parts.n; i++) {
        const Rings *part = &p->parts.at[i];
        Rings       *kept;
        if (is_speck(part))
            continue;
        kept = PUSH(d->c, &out.parts);
        for (int k = 0; k < part->n; k++)
            *PUSH(d->c, kept) = tidy_ring(d->c, &part->at[k]);
    }
    list_sort(&d->face, out.parts.at, out.parts.n, sizeof *out.parts.at,
              by_first_corner, NULL);
    return out;
}

typedef struct { double area; Ring ring; } Cover;

static int largest_first(const void *a, const void *b, const void *with) {
    const Cover *p = a, *q = b;

    (void)with;
    return (p->area < q->area) - (p->area > q->area);
}

static void sort_covers(Ctx *c, const Rings *covers) {
    Cover *cover = NEW_N(c, Cover, covers->n);

    for (int i = 0; i < covers->n; i++)
        cover[i] = (Cover){ ring_area(covers->at[i].at, covers->at[i].n),
                            covers->at[i] };
    list_sort(c, cover, covers->n, sizeof *cover, largest_first, NULL);
    for (int i = 0; i < covers->n; i++)
        covers->at[i] = cover[i].ring;
}

/* What the covers leave of the target. */
static Polygons visible_part(Draw *d, const Target *t, const Rings *covers) {
    Ctx     *c    = &d->face;
    Rings    used = { 0 };
    Polygons rest = { 0 };

    if (!covers->n) {
        *PUSH(c, &rest.parts) = t->rings;
        return rest;
    }
    sort_covers(c, covers);
    if (rings_without(c, &t->rings, t->convex, covers, &rest, &used))
        return rest;
    return subtracted(d, t, &used);
}

static void add_patch(Draw *d, int body, const Face *face, V3 normal,
                      const Target *t) {
    Rings    found = { 0 };
    Polygons area;
    Patch   *p;

    if (!find_covers(d, t, &found))
        return;
    area = visible_part(d, t, &found);
    area = tidy(d, &area);
    if (!area.parts.n)
        return;
    p = PUSH(d->c, &d->picture.patches);
    p->area   = area;
    p->id     = d->bodies[body].id;
    p->toward = fmin(normal.z / v3_len(normal), 1);
    p->normal = v3_unit(frame_vector(&d->bodies[body].frame,
                                     face->plane.n));
}

void patches_add(Draw *d, int body) {
    const Solid *s = d->bodies[body].solid;
    Frame        f = view_frame(&d->view, &d->bodies[body].frame);

    for (int i = 0; i < s->faces.n; i++) {
        const Face *face   = &s->faces.at[i];
        V3          normal = frame_vector(&f, face->plane.n);
        Target      t;
        if (normal.z > EDGE_ON * v3_len(normal)
            && target_of(d, face, &f, normal, &t))
            add_patch(d, body, face, normal, &t);
        arena_reset(&d->face.arena);
    }
}

void patches_end(Draw *d) {
    if (d->geos)
        GEOS_finish_r(d->geos);
    d->geos = NULL;
}
