/* solid -- true faces and edges of a solid from its convex cells.
 *
 * Faces of cells that lie in one plane are looked at together: what is
 * covered from one side only is a face of the solid, what is covered from
 * both sides is inside it.
 *
 *      cells          from below     from above      face
 *     +---+---+       +---+---+      +---+                +---+
 *     | A | B |   =>  | A | B |   -  | C |       =>       | B'|
 *     +---+---+       +---+---+      +---+                +---+
 *     | C |
 *     +---+
 *
 * Faces of one side are joined by striking out the edges that two of them
 * run along in opposite ways; only where both sides are left over does
 * GEOS take their difference. Corners are numbers from the start (places
 * within 2e-5 mm are one corner), so that most comparisons are exact.
 */
#include "geom/geom_internal.h"

#include <math.h>

#define ONE_CORNER  2e-5   // mm
#define ON_EDGE     5e-5   // mm, a corner to a straight edge
#define ONE_NORMAL  1e-7   // between unit normals
#define ONE_OFFSET  1e-5   // mm, between planes
#define PLANE_GRID  1e-5   // mm, for GEOS in a plane
#define LEAST_AREA  1e-6   // mm^2
#define BUCKETS     4096

typedef LIST(int) Ints;

/* A face of a cell by corner numbers, counter-clockwise from outside. */
typedef struct {
    Ints   v;
    Plane  plane;
    double area;
    bool   front;   // its normal is that of its group, not the opposite
    double sort;
} Side;

/* A polygon in a plane, counter-clockwise from outside: ring 0, holes. */
typedef struct { LIST(Ints) rings; int curve; } Patchwork;
typedef LIST(Patchwork) Patchworks;

/* A directed edge; the face, if any, is on its left. */
typedef struct { int a, b, face; } Dart;
typedef LIST(Dart) Darts;

typedef struct { int from, to; } Alias;   // curve numbers found to be one

typedef struct {
    Ctx        *c;
    Solid      *s;
    LIST(V3)    p;           // corners
    LIST(int)   next;        // in the same bucket, -1 at the end
    int         bucket[BUCKETS];
    LIST(Side)  sides;
    LIST(Alias) aliases;
    /* of the plane at work */
    V3          n, u, v;
    double      d;
    LIST(Ints)  rings;       // corners of each face, for edges
} Finish;

/* ---- Corners ---- */

static int bucket_of(int64_t x, int64_t y, int64_t z) {
    uint64_t k = (uint64_t)x * 73856093u ^ (uint64_t)y * 19349663u
               ^ (uint64_t)z * 83492791u;

    return (int)((k ^ k >> 17) % BUCKETS);
}

#define CELLS_A_MM 1000   // of the search grid

static int64_t cell_of(double x) {
    return (int64_t)floor(x * CELLS_A_MM);
}

/* The nearest corner within `reach`, or -1. */
static int corner_near(const Finish *f, V3 p, double reach) {
    int    found = -1;
    double best  = reach;

    for (int64_t x = cell_of(p.x - reach); x <= cell_of(p.x + reach); x++)
        for (int64_t y = cell_of(p.y - reach); y <= cell_of(p.y + reach);
                y++)
            for (int64_t z = cell_of(p.z - reach);
                    z <= cell_of(p.z + reach); z++)
                for (int i = f->bucket[bucket_of(x, y, z)]; i >= 0;
                        i = f->next.at[i]) {
                    double off = v3_len(v3_sub(f->p.at[i], p));
                    if (off < best || (off <= best && found < 0)) {
                        best  = off;
                        found = i;
                    }
                }
    return found;
}

static int corner_number(Finish *f, V3 p, double reach) {
    int k = corner_near(f, p, reach), b;

    if (k >= 0)
        return k;
    b = bucket_of(cell_of(p.x), cell_of(p.y), cell_of(p.z));
    *PUSH(f->c, &f->p)    = p;
    *PUSH(f->c, &f->next) = f->bucket[b];
    f->bucket[b] = f->p.n - 1;
    return f->p.n - 1;
}

static V2 flat(const Finish *f, int corner) {
    return v2(v3_dot(f->p.at[corner], f->u), v3_dot(f->p.at[corner], f->v));
}

/* Twice the vector area of a ring. */
static V3 ring_vector(const Finish *f, const Ints *r) {
    V3 o = f->p.at[r->at[0]], sum = { 0, 0, 0 };

    for (int i = 1; i + 1 < r->n; i++)
        sum = v3_add(sum, v3_cross(v3_sub(f->p.at[r->at[i]], o),
                                   v3_sub(f->p.at[r->at[i + 1]], o)));
    return sum;
}

static double ring_length(const Finish *f, const Ints *r) {
    double sum = 0;

    for (int i = 0; i < r->n; i++)
        sum += v3_len(v3_sub(f->p.at[r->at[(i + 1) % r->n]],
                             f->p.at[r->at[i]]));
    return sum;
}

/* ---- Faces of cells, in groups of one plane ---- */

/* Opposite planes share a group: the first coordinate of the normal that
 * is not nearly zero is made positive. */
static bool is_forward(V3 n) {
    if (fabs(n.x) > 1e-6)
        return n.x > 0;
    return fabs(n.y) > 1e-6 ? n.y > 0 : n.z > 0;
}

static void add_side(Finish *f, const Cell *cell, const CellFace *face) {
    Side   side = { .plane = face->plane, .front = is_forward(face->plane.n) };
    double way  = side.front ? 1 : -1;
    V3     n    = v3_scale(face->plane.n, way);

    for (int i = 0; i < face->vert.n; i++) {
        int k = corner_number(f, cell->vert.at[face->vert.at[i]],
                              ONE_CORNER);
        if (side.v.n == 0 || (k != side.v.at[side.v.n - 1]
                              && k != side.v.at[0]))
            *PUSH(f->c, &side.v) = k;
    }
    if (side.v.n < 3)
        return;
    side.area = v3_dot(ring_vector(f, &side.v), face->plane.n) / 2;
    if (side.area < ring_length(f, &side.v) * 1e-6)
        return;
    side.sort = 0.618 * n.x + 0.3247 * n.y + 0.7549 * n.z
              + face->plane.d * way * 1e-3;
    *PUSH(f->c, &f->sides) = side;
}

static int by_sort(const void *pa, const void *pb, const void *with) {
    const Side *a = pa, *b = pb;

    (void)with;
    return a->sort < b->sort ? -1 : a->sort > b->sort;
}

static bool same_plane(const Side *a, const Side *b) {
    double way = a->front == b->front ? 1 : -1;

    return v3_len(v3_sub(a->plane.n, v3_scale(b->plane.n, way)))
               <= ONE_NORMAL
        && fabs(a->plane.d - way * b->plane.d) <= ONE_OFFSET;
}

/* Moves the sides in the plane of side `first` next to it; returns the end
 * of the group. Sides are sorted by a number that is nearly the same for
 * one plane, so only near ones are tried. */
static int gather_group(Finish *f, int first) {
    const double window = 3 * ONE_NORMAL + 2e-3 * ONE_OFFSET;
    Side *s   = f->sides.at;
    int   end = first + 1;

    for (int i = end; i < f->sides.n
            && s[i].sort <= s[first].sort + window; i++) {
        if (!same_plane(&s[first], &s[i]))
            continue;
        Side take = s[i];
        for (int k = i; k > end; k--)
            s[k] = s[k - 1];
        s[end++] = take;
    }
    return end;
}

/* ---- Splitting edges at corners on them ---- */

typedef struct { double at; int v; } Mark;   // a corner along a direction

static int by_mark(const void *pa, const void *pb, const void *with) {
    const Mark *a = pa, *b = pb;

    (void)with;
    if (a->at != b->at)
        return a->at < b->at ? -1 : 1;
    return a->v - b->v;
}

/* A direction that no board runs square to, to sort corners by. */
static double skew(V3 p) {
    return 0.5774 * p.x + 0.5517 * p.y + 0.6021 * p.z;
}

static int first_mark(const Mark *m, int n, double at) {
    int from = 0;

    while (from < n) {
        int mid = (from + n) / 2;
        if (m[mid].at < at)
            from = mid + 1;
        else
            n = mid;
    }
    return from;
}

static void split_dart(Finish *f, Dart d, const Mark *marks, int n,
                       Darts *out) {
    V3     a = f->p.at[d.a], b = f->p.at[d.b], along = v3_sub(b, a);
    double len = v3_len(along), lo, hi;
    LIST(Mark) on = { 0 };
    int    from = d.a;

    lo    = fmin(skew(a), skew(b)) - ON_EDGE;
    hi    = fmax(skew(a), skew(b)) + ON_EDGE;
    along = v3_scale(along, 1 / len);
    for (int i = first_mark(marks, n, lo); i < n && marks[i].at <= hi; i++) {
        V3     to = v3_sub(f->p.at[marks[i].v], a);
        double at = v3_dot(to, along);
        if (marks[i].v == d.a || marks[i].v == d.b || at <= 0 || at >= len
                || v3_len(v3_sub(to, v3_scale(along, at))) > ON_EDGE)
            continue;
        *PUSH(f->c, &on) = (Mark){ at, marks[i].v };
    }
    list_sort(f->c, on.at, on.n, sizeof *on.at, by_mark, NULL);
    for (int i = 0; i <= on.n; i++) {
        int to = i < on.n ? on.at[i].v : d.b;
        *PUSH(f->c, out) = (Dart){ from, to, d.face };
        from = to;
    }
}

/* T junctions: each dart is split at the ends of the others. */
static Darts split_darts(Finish *f, const Darts *darts) {
    Darts out = { 0 };
    LIST(Mark) marks = { 0 };
    int   n = 0;

    for (int i = 0; i < darts->n; i++)
        for (int k = 0; k < 2; k++) {
            int v = k ? darts->at[i].b : darts->at[i].a;
            *PUSH(f->c, &marks) = (Mark){ skew(f->p.at[v]), v };
        }
    list_sort(f->c, marks.at, marks.n, sizeof *marks.at, by_mark, NULL);
    for (int i = 0; i < marks.n; i++)
        if (n == 0 || marks.at[n - 1].v != marks.at[i].v)
            marks.at[n++] = marks.at[i];
    for (int i = 0; i < darts->n; i++)
        split_dart(f, darts->at[i], marks.at, n, &out);
    return out;
}

/* ---- Striking out what runs both ways ---- */

static int dart_lo(const Dart *d) { return d->a < d->b ? d->a : d->b; }
static int dart_hi(const Dart *d) { return d->a < d->b ? d->b : d->a; }

static int by_dart(const void *pa, const void *pb, const void *with) {
    const Dart *a = pa, *b = pb;

    (void)with;
    if (dart_lo(a) != dart_lo(b))
        return dart_lo(a) - dart_lo(b);
    if (dart_hi(a) != dart_hi(b))
        return dart_hi(a) - dart_hi(b);
    if (a->a != b->a)
        return a->a - b->a;
    return a->face - b->face;
}

/* The end of the darts between the same two corners; *forward counts
 * those from the lower to the higher number, which come first. */
static int bundle_end(const Darts *d, int first, int *forward) {
    int i = first;

    *forward = 0;
    while (i < d->n && dart_lo(&d->at[i]) == dart_lo(&d->at[first])
            && dart_hi(&d->at[i]) == dart_hi(&d->at[first])) {
        *forward += d->at[i].a < d->at[i].b;
        i++;
    }
    return i;
}

static Darts strike_out(Finish *f, Darts *darts) {
    Darts out = { 0 };

    list_sort(f->c, darts->at, darts->n, sizeof *darts->at, by_dart, NULL);
    for (int i = 0, end, forward; i < darts->n; i = end) {
        int both;
        end  = bundle_end(darts, i, &forward);
        both = forward < end - i - forward ? forward : end - i - forward;
        for (int k = i + both; k < end - both; k++)
            *PUSH(f->c, &out) = darts->at[k];
    }
    return out;
}

/* ---- Rings from darts ---- */

static int by_start(const void *pa, const void *pb, const void *with) {
    const Dart *a = pa, *b = pb;

    (void)with;
    return a->a != b->a ? a->a - b->a : a->b - b->b;
}

static int first_from(const Darts *d, int corner) {
    int from = 0, to = d->n;

    while (from < to) {
        int mid = (from + to) / 2;
        if (d->at[mid].a < corner)
            from = mid + 1;
        else
            to = mid;
    }
    return from;
}

/* The unused dart that goes on from dart `in`, most to the left where
 * several begin, so that polygons that touch at a corner come apart. */
static int dart_after(const Finish *f, const Darts *d, const bool *used,
                      int in, double way) {
    int    corner = d->at[in].b, best = -1;
    double most = -INFINITY;
    V2     from = v2_sub(flat(f, corner), flat(f, d->at[in].a));

    for (int i = first_from(d, corner); i < d->n && d->at[i].a == corner;
            i++) {
        V2     to = v2_sub(flat(f, d->at[i].b), flat(f, corner));
        double left = way * atan2(v2_cross(from, to), v2_dot(from, to));
        if (!used[i] && left > most) {
            most = left;
            best = i;
        }
    }
    return best;
}

/* A ring that comes through one corner twice is two rings. */
static void push_simple(Finish *f, const Ints *walk, Patchwork *out) {
    Ints open = { 0 };

    for (int i = 0; i < walk->n; i++) {
        int seen = open.n - 1;
        while (seen >= 0 && open.at[seen] != walk->at[i])
            seen--;
        if (seen >= 0) {
            Ints *r = PUSH(f->c, &out->rings);
            for (int k = seen; k < open.n; k++)
                *PUSH(f->c, r) = open.at[k];
            open.n = seen;
        }
        *PUSH(f->c, &open) = walk->at[i];
    }
    if (open.n)
        *PUSH(f->c, &out->rings) = open;
}

/* False if some walk does not come back to its start. */
static bool walk_rings(Finish *f, Darts *d, double way, Patchwork *out) {
    bool *used = NEW_N(f->c, bool, d->n + 1);

    list_sort(f->c, d->at, d->n, sizeof *d->at, by_start, NULL);
    for (int i = 0; i < d->n; i++) {
        Ints walk = { 0 };
        int  at   = i;
        if (used[i])
            continue;
        do {
            used[at] = true;
            *PUSH(f->c, &walk) = d->at[at].a;
            if (d->at[at].b == d->at[i].a)
                break;
            at = dart_after(f, d, used, at, way);
        } while (at >= 0);
        if (at < 0)
            return false;
        push_simple(f, &walk, out);
    }
    return true;
}

static double flat_area(const Finish *f, const Ints *r) {
    return r->n < 3 ? 0 : v3_dot(ring_vector(f, r), f->n) / 2;
}

/* Leaves out corners in the middle of straight edges, and all of a ring
 * that encloses next to nothing. */
static Ints tidy_ring(Finish *f, const Ints *r) {
    Ints out = { 0 };

    for (int i = 0; i < r->n; i++) {
        int before = out.n ? out.at[out.n - 1] : r->at[r->n - 1];
        V2  a = flat(f, before), b = flat(f, r->at[i]);
        V2  d = flat(f, r->at[(i + 1) % r->n]);
        if (line_distance(b, a, d) > ONE_CORNER)
            *PUSH(f->c, &out) = r->at[i];
    }
    if (fabs(flat_area(f, &out)) < LEAST_AREA
            || fabs(flat_area(f, &out)) < ring_length(f, &out) * ONE_CORNER)
        out.n = 0;
    return out;
}

static Ring flat_ring(Finish *f, const Ints *r) {
    Ring out = { 0 };

    for (int i = 0; i < r->n; i++)
        *PUSH(f->c, &out) = flat(f, r->at[i]);
    return out;
}

/* Gives each hole to the smallest outline around it. `way` is -1 for
 * faces seen from behind, whose outlines look clockwise. */
static void sort_patches(Finish *f, const Patchwork *loose, double way,
                         Patchworks *out) {
    int  first = out->n;
    Ints holes = { 0 };

    for (int i = 0; i < loose->rings.n; i++) {
        Ints r = tidy_ring(f, &loose->rings.at[i]);
        if (flat_area(f, &r) * way > 0) {
            Patchwork *one = PUSH(f->c, out);
            *PUSH(f->c, &one->rings) = r;
        } else if (r.n) {
            loose->rings.at[i] = r;
            *PUSH(f->c, &holes) = i;
        }
    }
    for (int i = 0; i < holes.n; i++) {
        const Ints *h = &loose->rings.at[holes.at[i]];
        V2     mid  = v2_scale(v2_add(flat(f, h->at[0]), flat(f, h->at[1])),
                               0.5);
        int    best = -1;
        double least = INFINITY;
        for (int k = first; k < out->n; k++) {
            Ring   r    = flat_ring(f, &out->at[k].rings.at[0]);
            double area = fabs(ring_area(r.at, r.n));
            if (area < least && ring_holds(r.at, r.n, mid)) {
                least = area;
                best  = k;
            }
        }
        if (best >= 0)
            *PUSH(f->c, &out->at[best].rings) = *h;
    }
}

/* ---- One side of a plane ---- */

static Patchworks single_patches(Finish *f, const Side *s, int n,
                                 bool front) {
    Patchworks out = { 0 };

    for (int i = 0; i < n; i++)
        if (s[i].front == front) {
            Patchwork *one = PUSH(f->c, &out);
            *PUSH(f->c, &one->rings) = s[i].v;
        }
    return out;
}

static Patchworks tidy_patches(Finish *f, Patchworks p) {
    int n = 0;

    for (int i = 0; i < p.n; i++) {
        Ints *r = &p.at[i].rings.at[0];
        *r = tidy_ring(f, r);
        if (r->n)
            p.at[n++] = p.at[i];
    }
    p.n = n;
    return p;
}

/* Joins patches that share edges, and rings of one patch that run along
 * themselves. *whole is false if that failed; then they are as they
 * were. */
static Patchworks weld(Finish *f, Patchworks p, double way, bool *whole) {
    Patchworks out = { 0 };
    Patchwork  loose = { 0 };
    Darts      darts = { 0 };

    for (int i = 0; i < p.n; i++)
        for (int j = 0; j < p.at[i].rings.n; j++) {
            const Ints *r = &p.at[i].rings.at[j];
            for (int k = 0; k < r->n; k++)
                *PUSH(f->c, &darts) = (Dart){ r->at[k],
                                              r->at[(k + 1) % r->n], 0 };
        }
    darts = strike_out(f, &darts);
    darts = split_darts(f, &darts);
    darts = strike_out(f, &darts);
    if (!walk_rings(f, &darts, way, &loose)) {
        *whole = false;
        return p;
    }
    sort_patches(f, &loose, way, &out);
    return out;
}

static Patchworks join_side(Finish *f, const Side *s, int n, bool front,
                            bool *whole) {
    Patchworks single = single_patches(f, s, n, front);

    return single.n < 2 ? tidy_patches(f, single)
                        : weld(f, single, front ? 1 : -1, whole);
}

/* ---- What one side covers and the other does not ---- */

static int ring_lowest(const Ints *r) {
    int k = 0;

    for (int i = 1; i < r->n; i++)
        if (r->at[i] < r->at[k])
            k = i;
    return k;
}

/* The same corners, one ring read backward. */
static bool rings_opposite(const Ints *a, const Ints *b) {
    int i = ring_lowest(a), k = ring_lowest(b);

    if (a->n != b->n)
        return false;
    for (int j = 0; j < a->n; j++)
        if (a->at[(i + j) % a->n] != b->at[(k - j + b->n) % b->n])
            return false;
    return true;
}

static bool patches_opposite(const Patchwork *a, const Patchwork *b) {
    if (a->rings.n != b->rings.n)
        return false;
    for (int i = 0; i < a->rings.n; i++) {
        bool found = false;
        for (int k = 0; k < b->rings.n && !found; k++)
            found = rings_opposite(&a->rings.at[i], &b->rings.at[k]);
        if (!found)
            return false;
    }
    return true;
}

/* Strikes out patches that are covered exactly from the other side. */
static void strike_patches(Patchworks *a, Patchworks *b) {
    int n = 0;

    for (int i = 0; i < a->n; i++) {
        int k = 0;
        while (k < b->n && !patches_opposite(&a->at[i], &b->at[k]))
            k++;
        if (k == b->n)
            a->at[n++] = a->at[i];
        else
            b->at[k] = b->at[--b->n];
    }
    a->n = n;
}

/* Welded sides go to GEOS as they are: rounding them to the grid first
 * would move corners off the edges that they lie on. */
static GEOSGeometry *side_geometry(Finish *f, GEOSContextHandle_t h,
                                   const Patchworks *side, bool whole) {
    Polygons      p = { 0 };
    GEOSGeometry *all, *joined;

    for (int i = 0; i < side->n; i++) {
        Rings *part = PUSH(f->c, &p.parts);
        for (int k = 0; k < side->at[i].rings.n; k++)
            *PUSH(f->c, part) = flat_ring(f, &side->at[i].rings.at[k]);
    }
    all = geos_from_polygons(f->c, h, p);
    if (!all)
        return GEOSGeom_createEmptyPolygon_r(h);
    if (whole && GEOSisValid_r(h, all) == 1)
        return all;
    joined = GEOSUnaryUnionPrec_r(h, all, PLANE_GRID);
    GEOSGeom_destroy_r(h, all);
    return joined;
}

static Ints numbers_of_ring(Finish *f, const Ring *r, bool backward) {
    Ints out = { 0 };

    for (int i = 0; i < r->n; i++) {
        V2  at = r->at[backward ? r->n - 1 - i : i];
        V3  p  = v3_add(v3_scale(f->n, f->d),
                        v3_add(v3_scale(f->u, at.x), v3_scale(f->v, at.y)));
        int k  = corner_number(f, p, ON_EDGE);
        if (out.n == 0 || (k != out.at[out.n - 1] && k != out.at[0]))
            *PUSH(f->c, &out) = k;
    }
    return tidy_ring(f, &out);
}

static Patchworks patches_of(Finish *f, Polygons p, bool front) {
    Patchworks out = { 0 };

    for (int i = 0; i < p.parts.n; i++) {
        Patchwork one = { 0 };
        for (int k = 0; k < p.parts.at[i].n; k++) {
            Ints r = numbers_of_ring(f, &p.parts.at[i].at[k], !front);
            if (r.n)
                *PUSH(f->c, &one.rings) = r;
            else if (k == 0)
                break;
        }
        if (one.rings.n)
            *PUSH(f->c, &out) = one;
    }
    return out;
}

static void subtract_sides(Finish *f, Patchworks *front, Patchworks *back,
                           bool whole) {
    GEOSContextHandle_t h = GEOS_init_r();
    GEOSGeometry *gf = side_geometry(f, h, front, whole);
    GEOSGeometry *gb = side_geometry(f, h, back, whole);
    GEOSGeometry *only_f = NULL, *only_b = NULL;

    if (gf && gb) {
        only_f = GEOSDifferencePrec_r(h, gf, gb, PLANE_GRID);
        only_b = GEOSDifferencePrec_r(h, gb, gf, PLANE_GRID);
    }
    *front = weld(f, patches_of(f, polygons_from_geos(f->c, h, only_f),
                                true), 1, &whole);
    *back  = weld(f, patches_of(f, polygons_from_geos(f->c, h, only_b),
                                false), -1, &whole);
    GEOSGeom_destroy_r(h, gf);
    GEOSGeom_destroy_r(h, gb);
    GEOSGeom_destroy_r(h, only_f);
    GEOSGeom_destroy_r(h, only_b);
    GEOS_finish_r(h);
}

static bool patches_overlap(const Finish *f, const Patchworks *a,
                            const Patchworks *b) {
    for (int i = 0; i < a->n; i++)
        for (int k = 0; k < b->n; k++) {
            const Ints *r[2] = { &a->at[i].rings.at[0],
                                 &b->at[k].rings.at[0] };
            Box2 box[2] = { box2_empty(), box2_empty() };
            for (int e = 0; e < 2; e++)
                for (int j = 0; j < r[e]->n; j++)
                    box2_add(&box[e], flat(f, r[e]->at[j]));
            if (box[0].min.x < box[1].max.x - ONE_CORNER
                    && box[1].min.x < box[0].max.x - ONE_CORNER
                    && box[0].min.y < box[1].max.y - ONE_CORNER
                    && box[1].min.y < box[0].max.y - ONE_CORNER)
                return true;
        }
    return false;
}

/* ---- Both sides at once ---- */

/* The borders of both sides, each counter-clockwise as seen from its own
 * outside, struck out against each other, leave the border of what only
 * one side covers. Where that falls into simple rings clear of each other,
 * which ring lies in which tells the rest:
 *
 *      coverage 0 outside, +1 in front only, -1 behind only;
 *      a counter-clockwise ring adds 1 inside it, a clockwise one takes 1
 */
typedef struct { Ints v; Ring flat; double area; int inside, patch; } Border;
typedef LIST(Border) Borders;

static bool pieces_cross(V2 a, V2 b, V2 p, V2 q) {
    V2     d = v2_sub(b, a), e = v2_sub(q, p);
    double reach = ONE_CORNER * v2_len(d), reach2 = ONE_CORNER * v2_len(e);
    double sp = v2_cross(d, v2_sub(p, a)), sq = v2_cross(d, v2_sub(q, a));
    double sa = v2_cross(e, v2_sub(a, p)), sb = v2_cross(e, v2_sub(b, p));

    return ((sp > reach && sq < -reach) || (sp < -reach && sq > reach))
        && ((sa > reach2 && sb < -reach2) || (sa < -reach2 && sb > reach2));
}

/* True if at most one dart begins at each corner and none cross. Expects
 * them by start. */
static bool is_simple(const Finish *f, const Darts *d) {
    enum { MOST = 160 };   // beyond, GEOS is quicker

    for (int i = 0; i + 1 < d->n; i++)
        if (d->at[i].a == d->at[i + 1].a)
            return false;
    if (d->n > MOST)
        return false;
    for (int i = 0; i < d->n; i++) {
        V2 a = flat(f, d->at[i].a), b = flat(f, d->at[i].b);
        for (int k = 0; k < i; k++)
            if (pieces_cross(a, b, flat(f, d->at[k].a),
                             flat(f, d->at[k].b)))
                return false;
    }
    return true;
}

static int by_size(const void *pa, const void *pb, const void *with) {
    const Border *a = pa, *b = pb;

    (void)with;
    return fabs(a->area) > fabs(b->area) ? -1
         : fabs(a->area) < fabs(b->area);
}

static Darts border_darts(Finish *f, const Side *s, int n) {
    Darts darts = { 0 };

    for (int i = 0; i < n; i++)
        for (int k = 0; k < s[i].v.n; k++)
            *PUSH(f->c, &darts) = (Dart){ s[i].v.at[k],
                                          s[i].v.at[(k + 1) % s[i].v.n], 0 };
    darts = strike_out(f, &darts);
    darts = split_darts(f, &darts);
    darts = strike_out(f, &darts);
    list_sort(f->c, darts.at, darts.n, sizeof *darts.at, by_start, NULL);
    return darts;
}

/* Largest first, so that a ring comes after all rings around it. */
static Borders borders_of(Finish *f, const Patchwork *loose) {
    Borders out = { 0 };

    for (int i = 0; i < loose->rings.n; i++) {
        Border b = { .v = tidy_ring(f, &loose->rings.at[i]) };
        if (b.v.n == 0)
            continue;
        b.flat = flat_ring(f, &b.v);
        b.area = ring_area(b.flat.at, b.flat.n);
        *PUSH(f->c, &out) = b;
    }
    list_sort(f->c, out.at, out.n, sizeof *out.at, by_size, NULL);
    return out;
}

static const Border *border_around(const Borders *all, int i) {
    const Ring *r = &all->at[i].flat;
    V2 mid = v2_scale(v2_add(r->at[0], r->at[1]), 0.5);

    for (int k = i - 1; k >= 0; k--)
        if (ring_holds(all->at[k].flat.at, all->at[k].flat.n, mid))
            return &all->at[k];
    return NULL;
}

/* False if the group needs the longer way. */
static bool both_sides(Finish *f, const Side *s, int n, Patchworks *front,
                       Patchworks *back) {
    Darts     darts = border_darts(f, s, n);
    Patchwork loose = { 0 };
    Borders   all;

    if (!is_simple(f, &darts) || !walk_rings(f, &darts, 1, &loose))
        return false;
    all = borders_of(f, &loose);
    for (int i = 0; i < all.n; i++) {
        Border       *b = &all.at[i];
        const Border *around = border_around(&all, i);
        int           outside = around ? around->inside : 0;
        Patchworks   *side;
        b->inside = outside + (b->area > 0 ? 1 : -1);
        if (abs(b->inside) > 1)
            return false;
        side     = b->inside + outside > 0 ? front : back;
        b->patch = outside ? around->patch : side->n;
        if (!outside)
            *PUSH(f->c, side) = (Patchwork){ 0 };
        *PUSH(f->c, &side->at[b->patch].rings) = b->v;
    }
    return true;
}

/* ---- Curve numbers of faces ---- */

static int first_name(const Finish *f, int curve) {
    for (int i = 0; i < f->aliases.n; i++)
        if (f->aliases.at[i].from == curve)
            return first_name(f, f->aliases.at[i].to);
    return curve;
}

/* Facets of two slabs that have become one face are of one surface. */
static void unite_curves(Finish *f, int a, int b) {
    a = first_name(f, a);
    b = first_name(f, b);
    if (a != b)
        *PUSH(f->c, &f->aliases) = (Alias){ a > b ? a : b, a > b ? b : a };
}

static V2 side_middle(const Finish *f, const Side *s) {
    V2 sum = { 0, 0 };

    for (int i = 0; i < s->v.n; i++)
        sum = v2_add(sum, flat(f, s->v.at[i]));
    return v2_scale(sum, 1.0 / s->v.n);
}

static void name_curves(Finish *f, Patchwork *patch, const Side *s, int n,
                        bool front) {
    Ring r = flat_ring(f, &patch->rings.at[0]);
    bool flat_part = false, any = false;

    for (int pass = 0; pass < 2 && !any; pass++)
        for (int i = 0; i < n; i++) {
            if (s[i].front != front || (pass == 0
                    && !ring_holds(r.at, r.n, side_middle(f, &s[i]))))
                continue;
            any = true;
            if (s[i].plane.curve == 0)
                flat_part = true;
            else if (patch->curve)
                unite_curves(f, patch->curve, s[i].plane.curve);
            else
                patch->curve = s[i].plane.curve;
            if (pass == 1)
                break;
        }
    if (flat_part)
        patch->curve = 0;
}

/* ---- Faces ---- */

static void add_face(Finish *f, const Patchwork *patch, bool front) {
    double way  = front ? 1 : -1;
    Face   face = { .plane = { v3_scale(f->n, way), f->d * way,
                               patch->curve } };

    for (int i = 0; i < patch->rings.n; i++) {
        const Ints *r  = &patch->rings.at[i];
        Ring3      *to = PUSH(f->c, &face.rings);
        for (int k = 0; k < r->n; k++)
            *PUSH(f->c, to) = f->p.at[r->at[k]];
        face.area += flat_area(f, r) * way;
    }
    if (face.area < LEAST_AREA)
        return;
    for (int i = 0; i < patch->rings.n; i++)
        *PUSH(f->c, &f->rings) = patch->rings.at[i];
    *PUSH(f->c, &f->s->faces) = face;
}

static void set_plane(Finish *f, const Side *s, int n) {
    const Side *best = s;
    double      way;

    for (int i = 1; i < n; i++)
        if (s[i].area > best->area)
            best = &s[i];
    way  = best->front ? 1 : -1;
    f->n = v3_scale(best->plane.n, way);
    f->d = best->plane.d * way;
    plane_axes(f->n, &f->u, &f->v);
}

/* The longer way: each side on its own, then their difference. */
static void side_by_side(Finish *f, const Side *s, int n, Patchworks *front,
                         Patchworks *back) {
    bool whole = true;

    *front = join_side(f, s, n, true, &whole);
    *back  = join_side(f, s, n, false, &whole);
    strike_patches(front, back);
    if (!whole || patches_overlap(f, front, back))
        subtract_sides(f, front, back, whole);
}

static void finish_group(Finish *f, const Side *s, int n) {
    bool       curved = false, mixed = false, whole = true;
    Patchworks front = { 0 }, back = { 0 };

    if (n == 2 && s[0].front != s[1].front
            && rings_opposite(&s[0].v, &s[1].v))
        return;
    set_plane(f, s, n);
    for (int i = 0; i < n; i++) {
        curved |= s[i].plane.curve > 0;
        mixed  |= s[i].front != s[0].front;
    }
    if (!mixed)
        *(s->front ? &front : &back) = join_side(f, s, n, s->front, &whole);
    if (!whole || (mixed && !both_sides(f, s, n, &front, &back)))
        side_by_side(f, s, n, &front, &back);
    for (int i = 0; i < front.n + back.n; i++) {
        bool       is_front = i < front.n;
        Patchwork *patch    = is_front ? &front.at[i]
                                       : &back.at[i - front.n];
        if (curved)
            name_curves(f, patch, s, n, is_front);
        add_face(f, patch, is_front);
    }
}

static void find_faces(Finish *f) {
    for (int i = 0; i < f->s->cells.n; i++) {
        const Cell *cell = &f->s->cells.at[i];
        for (int k = 0; k < cell->face.n; k++)
            add_side(f, cell, &cell->face.at[k]);
    }
    list_sort(f->c, f->sides.at, f->sides.n, sizeof *f->sides.at, by_sort,
              NULL);
    for (int i = 0, end; i < f->sides.n; i = end) {
        end = gather_group(f, i);
        finish_group(f, &f->sides.at[i], end - i);
    }
    for (int i = 0; i < f->s->faces.n; i++) {
        Plane *p = &f->s->faces.at[i].plane;
        p->curve = first_name(f, p->curve);
    }
}

/* ---- Edges ---- */

/* A piece of an edge between two faces, from the corner that comes first
 * by place. */
typedef struct { int a, b, face[2]; V3 at; } Piece;
typedef LIST(Piece) Pieces;

static int v3_order(V3 a, V3 b) {
    if (a.x != b.x)
        return a.x < b.x ? -1 : 1;
    if (a.y != b.y)
        return a.y < b.y ? -1 : 1;
    return a.z < b.z ? -1 : a.z > b.z;
}

static void add_piece(Finish *f, Pieces *out, int a, int b, int p, int q) {
    bool  swap  = v3_order(f->p.at[a], f->p.at[b]) > 0;
    Piece piece = { swap ? b : a, swap ? a : b,
                    { p < q ? p : q, p < q ? q : p },
                    f->p.at[swap ? b : a] };

    *PUSH(f->c, out) = piece;
}

typedef struct { double angle; int dart; bool opens; } Ray;

static int by_ray(const void *pa, const void *pb, const void *with) {
    const Ray *a = pa, *b = pb;

    (void)with;
    if (a->angle != b->angle)
        return a->angle < b->angle ? -1 : 1;
    return a->dart - b->dart;
}

/* More than two faces meet: seen along the edge, wood lies between a face
 * that runs against the view and the next one, turning left, that runs
 * with it. Those two are a pair. */
static void pair_around(Finish *f, const Darts *d, int first, int end,
                        Pieces *out) {
    const Dart *d0 = &d->at[first];
    V3   axis = v3_unit(v3_sub(f->p.at[d0->b], f->p.at[d0->a])), u, v;
    LIST(Ray) rays = { 0 };

    plane_axes(axis, &u, &v);
    for (int i = first; i < end; i++) {
        bool with  = d->at[i].a == d0->a;
        V3   n     = f->s->faces.at[d->at[i].face].plane.n;
        V3   inner = v3_scale(v3_cross(n, axis), with ? 1 : -1);
        double angle = atan2(v3_dot(inner, v), v3_dot(inner, u));
        *PUSH(f->c, &rays) = (Ray){ angle, i, !with };
    }
    list_sort(f->c, rays.at, rays.n, sizeof *rays.at, by_ray, NULL);
    for (int i = 0; i < rays.n; i++) {
        int k = i + 1;
        if (!rays.at[i].opens)
            continue;
        while (k < i + rays.n && rays.at[k % rays.n].opens)
            k++;
        add_piece(f, out, d0->a, d0->b, d->at[rays.at[i].dart].face,
                  d->at[rays.at[k % rays.n].dart].face);
    }
}

/* Pairs what can be paired and returns the darts that are left. */
static Darts pair_darts(Finish *f, Darts *darts, Pieces *out) {
    Darts left = { 0 };

    list_sort(f->c, darts->at, darts->n, sizeof *darts->at, by_dart, NULL);
    for (int i = 0, end, forward; i < darts->n; i = end) {
        const Dart *d = &darts->at[i];
        end = bundle_end(darts, i, &forward);
        if (end - i == 2 && forward == 1)
            add_piece(f, out, d->a, d->b, d->face, d[1].face);
        else if (2 * forward == end - i)
            pair_around(f, darts, i, end, out);
        else
            for (int k = i; k < end; k++)
                *PUSH(f->c, &left) = darts->at[k];
    }
    return left;
}

static int by_faces(const void *pa, const void *pb, const void *with) {
    const Piece *a = pa, *b = pb;

    (void)with;
    if (a->face[0] != b->face[0])
        return a->face[0] - b->face[0];
    if (a->face[1] != b->face[1])
        return a->face[1] - b->face[1];
    return v3_order(a->at, b->at);
}

/* Joins pieces end to end in one line between the same faces. */
static void add_edges(Finish *f, Pieces *pieces) {
    list_sort(f->c, pieces->at, pieces->n, sizeof *pieces->at, by_faces,
              NULL);
    for (int i = 0, k; i < pieces->n; i = k) {
        const Piece *first = &pieces->at[i];
        int          last  = first->b;
        const Face  *faces = f->s->faces.at;
        Edge        *e;
        for (k = i + 1; k < pieces->n; k++) {
            const Piece *p = &pieces->at[k];
            V3 in  = v3_sub(f->p.at[last], f->p.at[first->a]);
            V3 out = v3_sub(f->p.at[p->b], f->p.at[p->a]);
            if (p->face[0] != first->face[0] || p->face[1] != first->face[1]
                    || p->a != last
                    || v3_len(v3_cross(in, out)) > ON_EDGE * v3_len(in))
                break;
            last = p->b;
        }
        e  = PUSH(f->c, &f->s->edges);
        *e = (Edge){ f->p.at[first->a], f->p.at[last],
                     { first->face[0], first->face[1] }, false };
        e->smooth = faces[e->face[0]].plane.curve > 0
                 && faces[e->face[0]].plane.curve
                        == faces[e->face[1]].plane.curve;
    }
}

/* False if an edge has a face on one side only. Such pieces become edges
 * of their face with itself, so that a picture still shows them. */
static bool find_edges(Finish *f) {
    Darts  darts = { 0 };
    Pieces pieces = { 0 };
    int    ring = 0;

    for (int i = 0; i < f->s->faces.n; i++)
        for (int k = 0; k < f->s->faces.at[i].rings.n; k++, ring++) {
            const Ints *r = &f->rings.at[ring];
            for (int j = 0; j < r->n; j++)
                *PUSH(f->c, &darts) = (Dart){ r->at[j],
                                              r->at[(j + 1) % r->n], i };
        }
    darts = pair_darts(f, &darts, &pieces);
    if (darts.n) {
        darts = split_darts(f, &darts);
        darts = pair_darts(f, &darts, &pieces);
    }
    for (int i = 0; i < darts.n; i++)
        add_piece(f, &pieces, darts.at[i].a, darts.at[i].b,
                  darts.at[i].face, darts.at[i].face);
    add_edges(f, &pieces);
    return darts.n == 0;
}

/* ---- Everything ---- */

static void measure(Solid *s) {
    V3 moment = { 0, 0, 0 };

    s->volume   = 0;
    s->centroid = v3(0, 0, 0);
    s->box      = box3_empty();
    for (int i = 0; i < s->cells.n; i++) {
        const Cell *cell = &s->cells.at[i];
        s->volume += cell_volume(cell, &moment);
        for (int k = 0; k < cell->vert.n; k++)
            box3_add(&s->box, cell->vert.at[k]);
    }
    if (s->volume > 0)
        s->centroid = v3_scale(moment, 1 / s->volume);
}

/* The areas of a closed surface, each along its normal, sum to nothing. */
static bool areas_balance(const Solid *s) {
    V3     sum = { 0, 0, 0 };
    double all = 0;

    for (int i = 0; i < s->faces.n; i++) {
        const Face *f = &s->faces.at[i];
        sum  = v3_add(sum, v3_scale(f->plane.n, f->area));
        all += f->area;
    }
    return v3_len(sum) <= 1e-6 * all;
}

void solid_finish(Ctx *c, Solid *s) {
    Finish *f = NEW(c, Finish);
    bool    paired;

    f->c = c;
    f->s = s;
    for (int i = 0; i < BUCKETS; i++)
        f->bucket[i] = -1;
    s->faces.n = 0;
    s->edges.n = 0;
    measure(s);
    find_faces(f);
    paired    = find_edges(f);
    s->closed = paired && s->volume > 0 && areas_balance(s);
}
