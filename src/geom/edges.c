/* edges -- the edges between the faces of a solid.
 *
 * Every ring runs around its face with the face on the left, so each piece
 * of an edge must be run along twice, once each way. Pieces that are not
 * are split at each other's corners first (a long edge of one face against
 * two short ones); what then still has no partner is a gap.
 */
#include "geom/solid_internal.h"

#include <math.h>

#define SLIVER  2e-4   // mm, how wide a face may be that was left out
#define TANGENT 0.75   // of the turn between two facets of a curve

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
static void pair_around(Finish *f, const Darts *d, Pieces *out) {
    const Dart *d0 = &d->at[0];
    V3   axis = v3_unit(v3_sub(f->p.at[d0->b], f->p.at[d0->a])), u, v;
    LIST(Ray) rays = { 0 };

    plane_axes(axis, &u, &v);
    for (int i = 0; i < d->n; i++) {
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

static int by_place(const void *pa, const void *pb, const void *with) {
    const Piece *a = pa, *b = pb;

    (void)with;
    return v3_order(a->at, b->at);
}

/* Darts between the same two corners hang together in a table; those that
 * are left come in the order in which they were given. */
typedef struct { int *first, *next, *last; int slots; } Bundles;

static Bundles bundles_of(Finish *f, const Darts *darts) {
    Bundles b = { .slots = 16 };

    while (b.slots < 2 * darts->n)
        b.slots *= 2;
    b.first = NEW_N(f->c, int, b.slots);      // number + 1; 0: none
    b.last  = NEW_N(f->c, int, darts->n + 1);   // of the bundle of a first
    b.next  = NEW_N(f->c, int, darts->n + 1);
    for (int i = 0; i < darts->n; i++) {
        const Dart *d  = &darts->at[i];
        uint32_t    at = dart_key(d) & (uint32_t)(b.slots - 1);
        while (b.first[at] && !same_ends(&darts->at[b.first[at] - 1], d))
            at = (at + 1) & (uint32_t)(b.slots - 1);
        if (b.first[at]) {
            int first = b.first[at] - 1;
            b.next[b.last[first]] = i + 1;
            b.last[first] = i;
        } else {
            b.first[at] = i + 1;
            b.last[i]   = i;
        }
    }
    return b;
}

/* Pairs what can be paired and returns the darts that are left. */
static Darts pair_darts(Finish *f, const Darts *darts, Pieces *out) {
    Darts   left = { 0 }, some = { 0 };
    Bundles b    = bundles_of(f, darts);
    bool   *done = NEW_N(f->c, bool, darts->n + 1);

    for (int i = 0; i < darts->n; i++) {
        const Dart *d = &darts->at[i];
        int forward = 0;
        if (done[i])
            continue;
        some.n = 0;
        for (int k = i; k >= 0; k = b.next[k] - 1) {
            done[k] = true;
            forward += darts->at[k].a == d->a;
            *PUSH(f->c, &some) = darts->at[k];
        }
        if (some.n == 2 && forward == 1)
            add_piece(f, out, d->a, d->b, d->face, some.at[1].face);
        else if (2 * forward == some.n)
            pair_around(f, &some, out);
        else
            for (int k = 0; k < some.n; k++)
                *PUSH(f->c, &left) = some.at[k];
    }
    return left;
}

/* By the two faces, and then by place: two passes that count, and what
 * lies between the same faces is seldom more than a piece. */
static void sort_pieces(Finish *f, Pieces *p) {
    int    faces = f->s->faces.n;
    Piece *to    = NEW_N(f->c, Piece, p->n + 1), *from = p->at;

    for (int e = 1; e >= 0; e--) {
        int   *begin = NEW_N(f->c, int, faces + 2);
        Piece *swap  = from;
        for (int i = 0; i < p->n; i++)
            begin[from[i].face[e] + 1]++;
        for (int i = 0; i < faces; i++)
            begin[i + 1] += begin[i];
        for (int i = 0; i < p->n; i++)
            to[begin[from[i].face[e]]++] = from[i];
        from = to;
        to   = swap;
    }
    for (int i = 0, k; i < p->n; i = k) {
        for (k = i + 1; k < p->n && p->at[k].face[0] == p->at[i].face[0]
                && p->at[k].face[1] == p->at[i].face[1]; k++)
            ;
        list_sort(f->c, p->at + i, k - i, sizeof *p->at, by_place, NULL);
    }
}

/* Joins pieces end to end in one line between the same faces. */
static void add_edges(Finish *f, Pieces *pieces) {
    sort_pieces(f, pieces);
    f->s->edges.at  = NEW_N(f->out, Edge, pieces->n);
    f->s->edges.cap = pieces->n;
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
        e  = PUSH(f->out, &f->s->edges);
        *e = (Edge){ f->p.at[first->a], f->p.at[last],
                     { first->face[0], first->face[1] }, false };
        e->smooth = faces[e->face[0]].plane.curve > 0
                 && faces[e->face[0]].plane.curve
                        == faces[e->face[1]].plane.curve;
    }
}

/* Cosine of the angle between the faces beside an edge. */
static double turn_at(const Solid *s, const Edge *e) {
    return v3_dot(s->faces.at[e->face[0]].plane.n,
                  s->faces.at[e->face[1]].plane.n);
}

/* Where a flat face runs into a round without a corner, its edge with the
 * first facet turns half as much as those between two facets. Half as much
 * again, and it is a corner. */
static void smooth_joins(Finish *f) {
    Solid  *s    = f->s;
    double *turn = NEW_N(f->c, double, s->faces.n + 1);   // of facets

    for (int i = 0; i < s->edges.n; i++) {
        const Edge *e     = &s->edges.at[i];
        double      angle = acos(fmax(-1, fmin(1, turn_at(s, e))));
        for (int k = 0; k < 2 && e->smooth; k++)
            turn[e->face[k]] = fmax(turn[e->face[k]], angle);
    }
    for (int i = 0; i < s->edges.n; i++) {
        Edge  *e     = &s->edges.at[i];
        int    curve = s->faces.at[e->face[0]].plane.curve;
        int    other = s->faces.at[e->face[1]].plane.curve;
        int    round = curve > 0 ? 0 : 1;
        if ((curve > 0) != (other > 0))
            e->smooth = turn_at(s, e) > cos(TANGENT * turn[e->face[round]]);
    }
}

static int root_of(int *parent, int i) {
    while (parent[i] != i)
        i = parent[i] = parent[parent[i]];
    return i;
}

/* Faces that share an edge bound one body, or one hollow inside of it; a
 * hollow has a volume of less than nothing. */
int solid_lumps(Ctx *c, const Solid *s) {
    int    *parent = NEW_N(c, int, s->faces.n + 1), lumps = 0;
    double *volume = NEW_N(c, double, s->faces.n + 1);

    for (int i = 0; i < s->faces.n; i++)
        parent[i] = i;
    for (int i = 0; i < s->edges.n; i++)
        parent[root_of(parent, s->edges.at[i].face[0])] =
            root_of(parent, s->edges.at[i].face[1]);
    for (int i = 0; i < s->faces.n; i++)
        volume[root_of(parent, i)] += s->faces.at[i].plane.d
                                    * s->faces.at[i].area / 3;
    for (int i = 0; i < s->faces.n; i++)
        lumps += volume[i] > 1e-3;
    return lumps;
}

/* ---- Slivers ---- */

/* Twice the vector area of a sliver's ring tells its plane. */
static void add_sliver(Finish *f, const Ints *r, V3 twice, Darts *darts) {
    double len = v3_len(twice);
    V3     n   = v3_scale(twice, 1 / len);
    Face  *to  = PUSH(f->out, &f->s->faces);
    Ring3 *out;

    *to = (Face){ .area = len / 2,
                  .plane = { n, v3_dot(n, f->p.at[r->at[0]]), 0 } };
    out = PUSH(f->out, &to->rings);
    for (int i = 0; i < r->n; i++) {
        *PUSH(f->out, out) = f->p.at[r->at[i]];
        *PUSH(f->c, darts) = (Dart){ r->at[i], r->at[(i + 1) % r->n],
                                     f->s->faces.n - 1 };
    }
}

/* A face too thin to be told from an edge was left out of its plane, while
 * its neighbors on either side are still apart. The darts left over run
 * around what is missing; a face fills it where it is as thin as that.
 * Adds the darts of the new faces. */
static void fill_slivers(Finish *f, Darts *darts) {
    Darts     back = { 0 }, gap;
    Patchwork loose = { 0 };

    for (int i = 0; i < darts->n; i++)
        *PUSH(f->c, &back) = (Dart){ darts->at[i].b, darts->at[i].a, 0 };
    gap = one_way_darts(f, &back);
    if (!walk_rings(f, &gap, 1, &loose))
        return;
    for (int i = 0; i < loose.rings.n; i++) {
        const Ints *r     = &loose.rings.at[i];
        V3          twice = ring_vector(f, r);
        if (r->n >= 3 && v3_len(twice) > 0
                && v3_len(twice) < ring_length(f, r) * SLIVER)
            add_sliver(f, r, twice, darts);
    }
}

bool find_edges(Finish *f) {
    Darts  darts = { 0 };
    Pieces pieces = { 0 };
    int    ring = 0;

    for (int i = 0; i < f->rings.n; i++)
        darts.cap += f->rings.at[i].n;
    darts.at   = NEW_N(f->c, Dart, darts.cap);
    pieces.cap = darts.cap / 2 + 1;
    pieces.at  = NEW_N(f->c, Piece, pieces.cap);
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
    if (darts.n) {
        fill_slivers(f, &darts);
        darts = pair_darts(f, &darts, &pieces);
    }
    for (int i = 0; i < darts.n; i++)
        add_piece(f, &pieces, darts.at[i].a, darts.at[i].b,
                  darts.at[i].face, darts.at[i].face);
    add_edges(f, &pieces);
    smooth_joins(f);
    return darts.n == 0;
}
