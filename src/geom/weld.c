/* weld -- corners by number, and rings of edges joined and cleaned.
 *
 * Faces of one side are joined by striking out the edges that two of them
 * run along in opposite ways:
 *
 *     +--->---+--->---+        +--->-----------+
 *     |       |^      |        |               |
 *     ^   A  v||  B   v   =>   ^               v
 *     |       ||      |        |               |
 *     +---<---+---<---+        +---<-----------+
 *
 * Where the corners of one lie on an edge of the other, that edge is split
 * there first. What is left is walked around, ring by ring.
 */
#include "geom/solid_internal.h"

#include <math.h>

#define LEAST_AREA  1e-9   // mm^2

/* ---- Corners ---- */

static int bucket_of(const Finish *f, int64_t x, int64_t y, int64_t z) {
    uint64_t k = (uint64_t)x * 73856093u ^ (uint64_t)y * 19349663u
               ^ (uint64_t)z * 83492791u;

    return (int)((k ^ k >> 17) & (uint64_t)(f->buckets - 1));
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
                for (int i = f->bucket[bucket_of(f, x, y, z)]; i >= 0;
                        i = f->next.at[i]) {
                    double off = v3_len(v3_sub(f->p.at[i], p));
                    if (off < best || (off <= best && found < 0)) {
                        best  = off;
                        found = i;
                    }
                }
    return found;
}

int corner_number(Finish *f, V3 p, double reach) {
    int k = corner_near(f, p, reach), b;

    if (k >= 0)
        return k;
    b = bucket_of(f, cell_of(p.x), cell_of(p.y), cell_of(p.z));
    *PUSH(f->own, &f->p)    = p;
    *PUSH(f->own, &f->next) = f->bucket[b];
    f->bucket[b] = f->p.n - 1;
    return f->p.n - 1;
}

V2 corner_flat(const Finish *f, int corner) {
    return v2(v3_dot(f->p.at[corner], f->u), v3_dot(f->p.at[corner], f->v));
}

/* Twice the vector area of a ring. */
V3 ring_vector(const Finish *f, const Ints *r) {
    V3 o = f->p.at[r->at[0]], sum = { 0, 0, 0 };

    for (int i = 1; i + 1 < r->n; i++)
        sum = v3_add(sum, v3_cross(v3_sub(f->p.at[r->at[i]], o),
                                   v3_sub(f->p.at[r->at[i + 1]], o)));
    return sum;
}

double ring_length(const Finish *f, const Ints *r) {
    double sum = 0;

    for (int i = 0; i < r->n; i++)
        sum += v3_len(v3_sub(f->p.at[r->at[(i + 1) % r->n]],
                             f->p.at[r->at[i]]));
    return sum;
}

/* ---- Splitting edges at corners on them ---- */

Darts split_darts(Finish *f, const Darts *darts) {
    Darts out   = { NEW_N(f->c, Dart, darts->n + 8), 0, darts->n + 8 };
    Marks marks = { NEW_N(f->c, Mark, darts->n + 1), 0, darts->n + 1 };
    int   n = 0;

    for (int i = 0; i < darts->n; i++) {
        int v = darts->at[i].a;   // as many darts end at a corner
        *PUSH(f->c, &marks) = mark_of(f->p.at[v], v);
    }
    marks_sort(f->c, &marks);
    for (int i = 0; i < marks.n; i++)
        if (n == 0 || marks.at[n - 1].v != marks.at[i].v)
            marks.at[n++] = marks.at[i];
    marks.n = n;
    for (int i = 0; i < darts->n; i++) {
        Dart  d    = darts->at[i];
        Marks on   = marks_between(f->c, &marks, f->p.at, d.a, d.b);
        int   from = d.a;
        for (int k = 0; k <= on.n; k++) {
            int to = k < on.n ? on.at[k].v : d.b;
            *PUSH(f->c, &out) = (Dart){ from, to, d.face };
            from = to;
        }
    }
    return out;
}

/* ---- Striking out what runs both ways ---- */

bool same_ends(const Dart *a, const Dart *b) {
    return (a->a == b->a && a->b == b->b) || (a->a == b->b && a->b == b->a);
}

/* For a table: the same both ways. */
uint32_t dart_key(const Dart *d) {
    uint32_t lo  = (uint32_t)(d->a < d->b ? d->a : d->b);
    uint32_t hi  = (uint32_t)(d->a < d->b ? d->b : d->a);
    uint32_t key = lo * 2654435761u ^ hi * 2246822519u;

    return key ^ key >> 15;
}

/* Darts that run both ways, however often, meet in a table by their two
 * corners; what is left comes in the order in which it was given. */
static Darts strike_out(Finish *f, const Darts *darts) {
    int   slots = 16, kept = 0;
    int  *first, *next = NEW_N(f->c, int, darts->n + 1);
    Darts out = { NEW_N(f->c, Dart, darts->n + 1), 0, darts->n + 1 };

    while (slots < 2 * darts->n)
        slots *= 2;
    first = NEW_N(f->c, int, slots);   // number + 1; 0: the end
    for (int i = 0; i < darts->n; i++) {
        Dart      d   = darts->at[i];
        int      *at  = &first[dart_key(&d) & (uint32_t)(slots - 1)];
        while (*at && (out.at[*at - 1].a != d.b || out.at[*at - 1].b != d.a))
            at = &next[*at - 1];
        if (*at) {
            int gone = *at - 1;
            *at = next[gone];
            out.at[gone].a = -1;
            continue;
        }
        next[out.n] = 0;
        *at = out.n + 1;
        out.at[out.n++] = d;
    }
    for (int i = 0; i < out.n; i++)
        if (out.at[i].a >= 0)
            out.at[kept++] = out.at[i];
    out.n = kept;
    return out;
}

static int by_start(const void *pa, const void *pb, const void *with) {
    const Dart *a = pa, *b = pb;

    (void)with;
    return a->a != b->a ? a->a - b->a : a->b - b->b;
}

Darts one_way_darts(Finish *f, const Darts *darts) {
    Darts out = strike_out(f, darts);

    list_sort(f->c, out.at, out.n, sizeof *out.at, by_start, NULL);
    return out;
}

Darts border_darts(Finish *f, Darts *darts) {
    Darts out = strike_out(f, darts);

    if (out.n == 0)
        return out;   // most planes inside a solid
    out = split_darts(f, &out);
    return one_way_darts(f, &out);
}

/* ---- Rings from darts ---- */

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
    int    corner = d->at[in].b, first = first_from(d, corner), best = -1;
    double most = -INFINITY;
    V2     from = v2_sub(corner_flat(f, corner), corner_flat(f, d->at[in].a));

    if (first < d->n && (first + 1 == d->n || d->at[first + 1].a != corner))
        return used[first] || d->at[first].a != corner ? -1 : first;
    for (int i = first; i < d->n && d->at[i].a == corner; i++) {
        V2     to = v2_sub(corner_flat(f, d->at[i].b), corner_flat(f, corner));
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

bool walk_rings(Finish *f, Darts *d, double way, Patchwork *out) {
    bool *used = NEW_N(f->c, bool, d->n + 1);

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

Ints ring_tidy(Finish *f, const Ints *r) {
    Ints out = { 0 };

    for (int i = 0; i < r->n; i++) {
        int before = out.n ? out.at[out.n - 1] : r->at[r->n - 1];
        int after  = i + 1 < r->n ? r->at[i + 1]
                   : out.n ? out.at[0] : r->at[0];   // one that stays
        V2  a = corner_flat(f, before), b = corner_flat(f, r->at[i]);
        V2  d = corner_flat(f, after);
        if (line_distance(b, a, d) > ONE_CORNER)
            *PUSH(f->c, &out) = r->at[i];
    }
    if (fabs(flat_area(f, &out)) < LEAST_AREA
            || fabs(flat_area(f, &out)) < ring_length(f, &out) * ONE_CORNER)
        out.n = 0;
    return out;
}

Ring ring_flat(Finish *f, const Ints *r) {
    Ring out = { 0 };

    for (int i = 0; i < r->n; i++)
        *PUSH(f->c, &out) = corner_flat(f, r->at[i]);
    return out;
}

/* Gives each hole to the smallest outline around it. `way` is -1 for
 * faces seen from behind, whose outlines look clockwise. */
static void sort_patches(Finish *f, const Patchwork *loose, double way,
                         Patchworks *out) {
    int  first = out->n;
    Ints holes = { 0 };

    for (int i = 0; i < loose->rings.n; i++) {
        Ints r = ring_tidy(f, &loose->rings.at[i]);
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
        V2     mid  = v2_scale(v2_add(corner_flat(f, h->at[0]),
                                      corner_flat(f, h->at[1])), 0.5);
        int    best = -1;
        double least = INFINITY;
        for (int k = first; k < out->n; k++) {
            Ring   r    = ring_flat(f, &out->at[k].rings.at[0]);
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
Patchworks weld(Finish *f, Patchworks p, double way, bool *whole) {
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
    darts = border_darts(f, &darts);
    if (!walk_rings(f, &darts, way, &loose)) {
        *whole = false;
        return p;
    }
    sort_patches(f, &loose, way, &out);
    return out;
}
