/* convex -- parts a flat outline with holes into convex pieces.
 *
 * The outline is triangulated (constrained Delaunay, by GEOS; for a solid,
 * where it has no holes, quicker by cutting off ears, Meisters 1975, the
 * shortest cut first) and the
 * triangles are joined again across every diagonal that is not needed:
 * Hertel and Mehlhorn 1983, never more than four times the fewest pieces.
 * Corners of pieces are corners of the outline, so neighbors agree to the
 * bit. If the triangles do not add up to the outline's area, the outline
 * is cut into upright strips instead: more pieces, but nothing to go wrong.
 */
#include "geom/geom_internal.h"

#include <math.h>

typedef LIST(int) Ints;

/* An edge of the outline from corner a to b, or of a triangle. */
typedef struct { int a, b, tag; } Link;
typedef LIST(Link) Links;

typedef struct {
    LIST(V2)   p;        // distinct corners, by x then y
    Links      border;   // outline edges by (a, b); tag: curve number
    LIST(Ints) piece;    // convex so far, counter-clockwise; n == 0: joined
    double     area;     // of the outline
} Net;

/* ---- Corners and links in order ---- */

static int by_place(const void *pa, const void *pb, const void *with) {
    const V2 *a = pa, *b = pb;

    (void)with;
    if (a->x != b->x)
        return a->x < b->x ? -1 : 1;
    return a->y < b->y ? -1 : a->y > b->y;
}

static int by_ends(const void *pa, const void *pb, const void *with) {
    const Link *a = pa, *b = pb;

    (void)with;
    if (a->a != b->a)
        return a->a < b->a ? -1 : 1;
    if (a->b != b->b)
        return a->b < b->b ? -1 : 1;
    return a->tag < b->tag ? -1 : a->tag > b->tag;
}

static int corner_at(const Net *net, V2 p) {
    int from = 0, to = net->p.n;

    while (from < to) {
        int mid = (from + to) / 2, way = by_place(&net->p.at[mid], &p, NULL);
        if (way == 0)
            return mid;
        if (way < 0)
            from = mid + 1;
        else
            to = mid;
    }
    return -1;
}

static int curve_between(const Net *net, int a, int b) {
    int from = 0, to = net->border.n;

    while (from < to) {
        int         mid = (from + to) / 2;
        const Link *l   = &net->border.at[mid];
        if (l->a == a && l->b == b)
            return l->tag;
        if (l->a < a || (l->a == a && l->b < b))
            from = mid + 1;
        else
            to = mid;
    }
    return 0;
}

static Net net_of(Ctx *c, const CornerLoops *outline) {
    Net net = { 0 };
    int n   = 0;

    for (int i = 0; i < outline->n; i++) {
        const Corners *l = &outline->at[i];
        for (int k = 0; k < l->n; k++) {
            V2 p = l->at[k].p, q = l->at[(k + 1) % l->n].p;
            *PUSH(c, &net.p) = p;
            net.area += v2_cross(p, q) / 2;
        }
    }
    list_sort(c, net.p.at, net.p.n, sizeof *net.p.at, by_place, NULL);
    for (int i = 0; i < net.p.n; i++)
        if (n == 0 || by_place(&net.p.at[n - 1], &net.p.at[i], NULL) != 0)
            net.p.at[n++] = net.p.at[i];
    net.p.n = n;
    for (int i = 0; i < outline->n; i++) {
        const Corners *l = &outline->at[i];
        for (int k = 0; k < l->n; k++) {
            Link *link = PUSH(c, &net.border);
            link->a   = corner_at(&net, l->at[k].p);
            link->b   = corner_at(&net, l->at[(k + 1) % l->n].p);
            link->tag = l->at[k].curve;
        }
    }
    list_sort(c, net.border.at, net.border.n, sizeof *net.border.at,
              by_ends, NULL);
    return net;
}

/* ---- Triangles ---- */

static bool add_triangle(Ctx *c, Net *net, const Ring *r) {
    Ints  *piece;
    int    k[3];
    double area = ring_area(r->at, r->n);

    for (int i = 0; i < 3; i++)
        if (r->n != 3 || (k[i] = corner_at(net, r->at[i])) < 0)
            return false;
    if (area < 1e-12)
        return true;
    piece = PUSH(c, &net->piece);
    for (int i = 0; i < 3; i++)
        *PUSH(c, piece) = k[i];
    net->area -= area;
    return true;
}

GEOSGeometry *geos_from_corners(Ctx *c, GEOSContextHandle_t h,
                                const CornerLoops *outline, bool *valid) {
    Rings         rings = { 0 };
    GEOSGeometry *g;

    for (int i = 0; i < outline->n; i++) {
        Ring *r = PUSH(c, &rings);
        for (int k = 0; k < outline->at[i].n; k++)
            *PUSH(c, r) = outline->at[i].at[k].p;
    }
    g      = geos_from_rings(c, h, rings);
    *valid = g && GEOSisValid_r(h, g) == 1;
    return g;
}

/* What is left of a loop while ears are cut off; -1 as length: no ear. */
typedef struct {
    const V2 *p;
    int    *prev, *next;
    double *cut;         // length of the cut that takes off this corner
} Ears;

static double left_turn(const V2 *p, int a, int b, int d) {
    return v2_cross(v2_sub(p[b], p[a]), v2_sub(p[d], p[b]));
}

/* Nothing of the loop may lie in the triangle or on its sides. */
static double ear_cut(const Ears *l, int b) {
    int    a = l->prev[b], d = l->next[b];
    double len = v2_len(v2_sub(l->p[d], l->p[a]));

    if (left_turn(l->p, a, b, d) <= 1e-9 * len)
        return -1;
    for (int i = l->next[d]; i != a; i = l->next[i])
        if (left_turn(l->p, a, b, i) >= 0 && left_turn(l->p, b, d, i) >= 0
            && left_turn(l->p, d, a, i) >= 0)
            return -1;
    return len;
}

static int shortest_cut(const Ears *l, int from) {
    int best = -1, i = from;

    do {
        if (l->cut[i] >= 0 && (best < 0 || l->cut[i] < l->cut[best]))
            best = i;
        i = l->next[i];
    } while (i != from);
    return best;
}

static void add_ear(Ctx *c, Net *net, V2 a, V2 b, V2 d) {
    V2    corner[3] = { a, b, d };
    Ints *piece     = PUSH(c, &net->piece);

    for (int i = 0; i < 3; i++)
        *PUSH(c, piece) = corner_at(net, corner[i]);
    net->area -= v2_cross(v2_sub(b, a), v2_sub(d, a)) / 2;
}

/* A valid loop without holes; false if no ear is left to cut. */
static bool cut_ears(Ctx *c, Net *net, const Corners *loop) {
    int   n = loop->n, from = 0;
    V2   *p = NEW_N(c, V2, n);
    Ears l = { p, NEW_N(c, int, n), NEW_N(c, int, n),
                NEW_N(c, double, n) };

    for (int i = 0; i < n; i++) {
        p[i]      = loop->at[i].p;
        l.prev[i] = (i + n - 1) % n;
        l.next[i] = (i + 1) % n;
    }
    for (int i = 0; i < n; i++)
        l.cut[i] = ear_cut(&l, i);
    for (; n > 3; n--) {
        int b = shortest_cut(&l, from), a, d;
        if (b < 0)
            return false;
        a = l.prev[b];
        d = l.next[b];
        add_ear(c, net, p[a], p[b], p[d]);
        l.next[a] = d;
        l.prev[d] = a;
        l.cut[a]  = ear_cut(&l, a);
        l.cut[d]  = ear_cut(&l, d);
        from      = d;
    }
    add_ear(c, net, p[l.prev[from]], p[from], p[l.next[from]]);
    return true;
}

/* Constrained Delaunay. */
static bool cut_by_geos(Ctx *c, GEOSContextHandle_t h, Net *net,
                        const GEOSGeometry *g) {
    GEOSGeometry *t = GEOSConstrainedDelaunayTriangulation_r(h, g);
    Polygons      p = polygons_from_geos(c, h, t);
    bool          ok = true;

    GEOSGeom_destroy_r(h, t);
    for (int i = 0; ok && i < p.parts.n; i++)
        ok = p.parts.at[i].n == 1 && add_triangle(c, net,
                                                  &p.parts.at[i].at[0]);
    return ok;
}

/* Triangles of Delaunay are rounder, ears are had some twenty times as
 * quickly. */
typedef enum { BY_EARS, BY_DELAUNAY } Way;

/* False if the outline is too odd; net->area is what the triangles leave
 * over. */
static bool triangulate(Ctx *c, Net *net, const CornerLoops *outline,
                        Way way) {
    GEOSContextHandle_t h = GEOS_init_r();
    GEOSGeometry *g;
    double        area = net->area;
    bool          ok, cut = false;

    g = geos_from_corners(c, h, outline, &ok);
    if (ok && way == BY_EARS && outline->n == 1
        && net->p.n == outline->at[0].n && area > 0)
        cut = cut_ears(c, net, &outline->at[0]);
    if (ok && !cut) {
        net->piece.n = 0;
        net->area    = area;
        ok = cut_by_geos(c, h, net, g);
    }
    GEOSGeom_destroy_r(h, g);
    GEOS_finish_r(h);
    return ok && fabs(net->area) <= area * 1e-9 + 1e-9;
}

/* ---- Joining pieces ---- */

/* Turning left, or straight on (within 1e-10 rad). */
static bool is_convex(V2 a, V2 b, V2 d) {
    V2     in = v2_sub(b, a), out = v2_sub(d, b);
    double turn = v2_cross(in, out);
    double most = 1e-10 * v2_len(in) * v2_len(out);

    return turn > most || (turn > -most && v2_dot(in, out) > 0);
}

static int place_of(const Ints *piece, int corner) {
    for (int i = 0; i < piece->n; i++)
        if (piece->at[i] == corner)
            return i;
    return -1;
}

static int at_turn(const Ints *piece, int i) {
    return piece->at[(i + piece->n) % piece->n];
}

/* Joins piece q to p across the diagonal that p runs from a to b:
 *
 *        b-----.            p: b ... before_a, a
 *       /|  p   \           q: a ... before_b, b
 *      / |      /
 *      \q|     /            stays a diagonal unless the joined corners
 *       \|____/             at a and b are convex
 *        a
 */
static bool join_pieces(Ctx *c, Net *net, Ints *p, Ints *q, int a, int b) {
    int   ia = place_of(p, a), ib = place_of(p, b);
    int   ja = place_of(q, a), jb = place_of(q, b);
    const V2 *at = net->p.at;
    Ints  joined = { 0 };

    if (ia < 0 || ib < 0 || ja < 0 || jb < 0 || at_turn(p, ia + 1) != b
            || at_turn(q, jb + 1) != a)
        return false;
    if (!is_convex(at[at_turn(p, ia - 1)], at[a], at[at_turn(q, ja + 1)])
            || !is_convex(at[at_turn(q, jb - 1)], at[b],
                          at[at_turn(p, ib + 1)]))
        return false;
    for (int i = 0; i < p->n; i++)
        *PUSH(c, &joined) = at_turn(p, ib + i);
    for (int i = 1; i + 1 < q->n; i++)
        *PUSH(c, &joined) = at_turn(q, ja + i);
    *p   = joined;
    q->n = 0;
    return true;
}

typedef struct { int a, b, p, q; double len; } Diagonal;

static int by_length(const void *pa, const void *pb, const void *with) {
    const Diagonal *a = pa, *b = pb;

    (void)with;
    if (a->len != b->len)
        return a->len > b->len ? -1 : 1;
    if (a->a != b->a)
        return a->a - b->a;
    return a->b - b->b;
}

/* Follows pieces that were joined into others. */
static int now_in(const int *into, int piece) {
    while (into[piece] != piece)
        piece = into[piece];
    return piece;
}

static void join_all(Ctx *c, Net *net) {
    Links links = { 0 };
    LIST(Diagonal) diagonals = { 0 };
    int *into = NEW_N(c, int, net->piece.n + 1);

    for (int i = 0; i < net->piece.n; i++) {
        const Ints *t = &net->piece.at[i];
        into[i] = i;
        for (int k = 0; k < 3; k++) {
            int a = t->at[k], b = t->at[(k + 1) % 3];
            *PUSH(c, &links) = a < b ? (Link){ a, b, 2 * i }
                                     : (Link){ b, a, 2 * i + 1 };
        }
    }
    list_sort(c, links.at, links.n, sizeof *links.at, by_ends, NULL);
    for (int i = 0; i + 1 < links.n; i++) {
        const Link *l = &links.at[i], *m = &links.at[i + 1];
        if (l->a != m->a || l->b != m->b || (l->tag & 1) == (m->tag & 1))
            continue;
        Diagonal d = { l->a, l->b, l->tag, m->tag, 0 };
        d.len = v2_len(v2_sub(net->p.at[d.a], net->p.at[d.b]));
        *PUSH(c, &diagonals) = d;
    }
    list_sort(c, diagonals.at, diagonals.n, sizeof *diagonals.at,
              by_length, NULL);
    for (int i = 0; i < diagonals.n; i++) {
        const Diagonal *d = &diagonals.at[i];
        bool forward = !(d->p & 1);   // p runs from a to b
        int  p = now_in(into, (forward ? d->p : d->q) / 2);
        int  q = now_in(into, (forward ? d->q : d->p) / 2);
        if (p != q && join_pieces(c, net, &net->piece.at[p],
                                  &net->piece.at[q], d->a, d->b))
            into[q] = p;
    }
}

static CornerLoops corners_of(Ctx *c, const Net *net) {
    CornerLoops out = { 0 };

    for (int i = 0; i < net->piece.n; i++) {
        const Ints *piece = &net->piece.at[i];
        Corners    *l;
        if (piece->n < 3)
            continue;
        l = PUSH(c, &out);
        for (int k = 0; k < piece->n; k++) {
            int a = piece->at[k], b = at_turn(piece, k + 1);
            *PUSH(c, l) = (Corner){ net->p.at[a], curve_between(net, a, b) };
        }
    }
    return out;
}

bool outline_is_convex(const CornerLoops *outline) {
    const Corners *l = outline->at;

    for (int i = 0; outline->n == 1 && i < l->n; i++)
        if (!is_convex(l->at[i].p, l->at[(i + 1) % l->n].p,
                       l->at[(i + 2) % l->n].p))
            return false;
    return outline->n == 1;
}

static CornerLoops parts_of(Ctx *c, const CornerLoops *outline, Way way) {
    Net net;

    if (outline->n == 0 || outline_is_convex(outline))
        return *outline;
    net = net_of(c, outline);
    if (!triangulate(c, &net, outline, way))
        return convex_strips(c, outline);
    join_all(c, &net);
    return corners_of(c, &net);
}

CornerLoops convex_parts(Ctx *c, const CornerLoops *outline) {
    return parts_of(c, outline, BY_EARS);
}

bool triangles_of(Ctx *c, const CornerLoops *outline, Ring *out) {
    CornerLoops strips = { 0 };
    Net         net    = net_of(c, outline);
    bool        whole  = triangulate(c, &net, outline, BY_DELAUNAY);

    for (int i = 0; whole && i < net.piece.n; i++)
        for (int k = 0; k < 3; k++)
            *PUSH(c, out) = net.p.at[net.piece.at[i].at[k]];
    if (!whole)
        strips = convex_strips(c, outline);
    for (int i = 0; i < strips.n; i++)
        for (int k = 1; k + 1 < strips.at[i].n; k++) {
            *PUSH(c, out) = strips.at[i].at[0].p;
            *PUSH(c, out) = strips.at[i].at[k].p;
            *PUSH(c, out) = strips.at[i].at[k + 1].p;
        }
    return whole;
}

/* ---- Strips ---- */

/* An edge across a strip: its heights at both sides. */
typedef struct { double left, right; int curve; } Crossing;

static int by_height(const void *pa, const void *pb, const void *with) {
    const Crossing *a = pa, *b = pb;
    double ha = a->left + a->right, hb = b->left + b->right;

    (void)with;
    return ha < hb ? -1 : ha > hb;
}

static int by_value(const void *pa, const void *pb, const void *with) {
    const double *a = pa, *b = pb;

    (void)with;
    return *a < *b ? -1 : *a > *b;
}

static double height_at(V2 a, V2 b, double x) {
    if (x == a.x || x == b.x)
        return x == a.x ? a.y : b.y;
    return a.x < b.x ? a.y + (b.y - a.y) * ((x - a.x) / (b.x - a.x))
                     : b.y + (a.y - b.y) * ((x - b.x) / (a.x - b.x));
}

static void add_strip(Ctx *c, double x0, double x1, const Crossing *low,
                      const Crossing *high, CornerLoops *out) {
    bool     left  = high->left - low->left > ON_PLANE;
    bool     right = high->right - low->right > ON_PLANE;
    Corners *l;

    if (!left && !right)
        return;
    l = PUSH(c, out);
    *PUSH(c, l) = (Corner){ v2(x0, low->left), low->curve };
    *PUSH(c, l) = (Corner){ v2(x1, low->right), right ? 0 : high->curve };
    if (right)
        *PUSH(c, l) = (Corner){ v2(x1, high->right), high->curve };
    if (left)
        *PUSH(c, l) = (Corner){ v2(x0, high->left), 0 };
}

/* Edges that cross the strip, by height, bound it in pairs. */
static void cut_strip(Ctx *c, const CornerLoops *outline, double x0,
                      double x1, CornerLoops *out) {
    LIST(Crossing) crossings = { 0 };

    for (int i = 0; i < outline->n; i++) {
        const Corners *l = &outline->at[i];
        for (int k = 0; k < l->n; k++) {
            V2 a = l->at[k].p, b = l->at[(k + 1) % l->n].p;
            if (fmin(a.x, b.x) <= x0 && fmax(a.x, b.x) >= x1)
                *PUSH(c, &crossings) = (Crossing){
                    height_at(a, b, x0), height_at(a, b, x1),
                    l->at[k].curve };
        }
    }
    list_sort(c, crossings.at, crossings.n, sizeof *crossings.at,
              by_height, NULL);
    for (int i = 0; i + 1 < crossings.n; i += 2)
        add_strip(c, x0, x1, &crossings.at[i], &crossings.at[i + 1], out);
}

CornerLoops convex_strips(Ctx *c, const CornerLoops *outline) {
    LIST(double) x = { 0 };
    CornerLoops  out = { 0 };

    for (int i = 0; i < outline->n; i++)
        for (int k = 0; k < outline->at[i].n; k++)
            *PUSH(c, &x) = outline->at[i].at[k].p.x;
    list_sort(c, x.at, x.n, sizeof *x.at, by_value, NULL);
    for (int i = 0; i + 1 < x.n; i++)
        if (x.at[i] < x.at[i + 1])
            cut_strip(c, outline, x.at[i], x.at[i + 1], &out);
    return out;
}

/* ---- For others ---- */

Rings rings_convex(Ctx *c, Rings rings) {
    CornerLoops outline = { 0 }, parts;
    Rings       out     = { 0 };

    for (int i = 0; i < rings.n; i++) {
        Corners *to = PUSH(c, &outline);
        for (int k = 0; k < rings.at[i].n; k++)
            *PUSH(c, to) = (Corner){ rings.at[i].at[k], 0 };
    }
    parts = parts_of(c, &outline, BY_DELAUNAY);
    for (int i = 0; i < parts.n; i++) {
        Ring *to = PUSH(c, &out);
        for (int k = 0; k < parts.at[i].n; k++)
            *PUSH(c, to) = parts.at[i].at[k].p;
    }
    return out;
}
