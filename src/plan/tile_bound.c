/* tile_bound -- what no tiling of a shape can undercut.
 *
 * Area is one bound. The other: points of the shape of which no two fit into
 * one window need a window each. Whether two fit depends on how the windows
 * are turned, so that is asked for every degree: points that are apart in
 * all directions within half a degree of it. Where windows join they overlap,
 * so whoever lies deeper in the shape than half the overlap keeps that
 * distance from its window's border, and two of them are apart sooner:
 *
 *      +-----------+           Two windows high, two wide: a, b, c and d
 *      | a       b |           are apart from each other, each needs a
 *      |           |           window of its own.
 *      | c       d |
 *      +-----------+
 *
 * The most points apart are a largest independent set, which is hard to
 * find; a few are swapped for others by chance, always the same (Andrade,
 * Resende and Werneck 2012), and what is found is a bound anyway.
 */
#include "plan/tile.h"

#include <math.h>

#define POINTS      140      // of the outline, about
#define SWAPS       400      // without a further point, then it is enough
#define TO_RADIANS  0.017453292519943295

typedef struct { V2 at; double room; } Probe;

struct TileBound {
    LIST(Probe) probes;
    V2    *turned;
    int   *chosen, n_chosen, area;
    double width, height, half_overlap;
    uint32_t chance;
};

/* ---- Points of the shape ---- */

static double area_of(const Rings *rings) {
    double area = 0;

    for (int i = 0; i < rings->n; i++) {
        const Ring *r = &rings->at[i];
        for (int k = 0; k < r->n; k++)
            area += v2_cross(r->at[k], r->at[(k + 1) % r->n]) / 2;
    }
    return fabs(area);
}

static double length_of(const Rings *rings) {
    double length = 0;

    for (int i = 0; i < rings->n; i++) {
        const Ring *r = &rings->at[i];
        for (int k = 0; k < r->n; k++)
            length += v2_len(v2_sub(r->at[(k + 1) % r->n], r->at[k]));
    }
    return length;
}

/* Square of the distance of a point from the line a-b. */
static double far_from(V2 v, V2 a, V2 b) {
    double wx = b.x - a.x, wy = b.y - a.y, x = v.x - a.x, y = v.y - a.y;
    double len = wx * wx + wy * wy, t = len > 0 ? (x * wx + y * wy) / len : 0;

    t  = t < 0 ? 0 : t > 1 ? 1 : t;
    x -= t * wx;
    y -= t * wy;
    return x * x + y * y;
}

/* Lies v in the shape, and at least so far from its outline? */
static bool is_deep(const Rings *rings, V2 v, double far) {
    bool in = false;

    for (int i = 0; i < rings->n; i++) {
        const Ring *r = &rings->at[i];
        V2          a = r->at[r->n - 1];
        for (int k = 0; k < r->n; k++) {
            V2 b = r->at[k];
            if (far_from(v, a, b) < far * far)
                return false;
            if ((a.y > v.y) != (b.y > v.y)
                && v.x < a.x + (b.x - a.x) * (v.y - a.y) / (b.y - a.y))
                in = !in;
            a = b;
        }
    }
    return in;
}

/* A point of the outline, and one beside it that is deep enough. */
static void add_probes(Ctx *c, TileBound *b, const Rings *rings, V2 at,
                       V2 way) {
    double far = b->half_overlap;
    V2     left = v2_scale(v2(-way.y, way.x), (far + 0.01) / v2_len(way));

    *PUSH(c, &b->probes) = (Probe){ at, 0 };
    for (int side = -1; side <= 1; side += 2) {
        V2 in = v2_add(at, v2_scale(left, side));
        if (is_deep(rings, in, far))
            *PUSH(c, &b->probes) = (Probe){ in, far };
    }
}

TileBound *tile_bound(Ctx *c, const Rings *rings, double width,
                      double height, double overlap) {
    TileBound *b = NEW(c, TileBound);
    double step = fmax(5, length_of(rings) / POINTS), next = 0, gone = 0;

    *b = (TileBound){ .width = width, .height = height,
                      .half_overlap = overlap / 2 };
    b->area = (int)ceil(area_of(rings) / (width * height) - 1e-9);
    for (int i = 0; i < rings->n; i++) {
        const Ring *r = &rings->at[i];
        for (int k = 0; k < r->n; k++) {
            V2     p = r->at[k], way = v2_sub(r->at[(k + 1) % r->n], p);
            double len = v2_len(way);
            if (len >= step)   // a corner between long edges
                next = gone;
            for (; next < gone + len; next += step)
                add_probes(c, b, rings,
                           v2_add(p, v2_scale(way, (next - gone) / len)),
                           way);
            gone += len;
        }
    }
    b->turned = NEW_N(c, V2, b->probes.n + 1);
    b->chosen = NEW_N(c, int, b->probes.n + 1);
    return b;
}

/* ---- Points apart ---- */

static int chance_below(TileBound *b, int n) {
    b->chance = b->chance * 1664525u + 1013904223u;   // Numerical Recipes
    return (int)((uint64_t)b->chance * (unsigned)n >> 32);
}

/* No window, turned as it is asked or up to `slack` radians more or less,
 * holds both. */
static bool are_apart(const TileBound *b, int i, int k, double slack) {
    double x = fabs(b->turned[i].x - b->turned[k].x);
    double y = fabs(b->turned[i].y - b->turned[k].y);
    double room = b->probes.at[i].room + b->probes.at[k].room;

    return x - slack * y + room > b->width + 0.1
        || y - slack * x + room > b->height + 0.1;
}

/* How many of the chosen the probe is not apart from; `which`: the last. */
static int clashes(const TileBound *b, int probe, double slack, int *which) {
    int n = 0;

    for (int k = 0; k < b->n_chosen && n < 2; k++) {
        if (!are_apart(b, probe, b->chosen[k], slack)) {
            *which = k;
            n++;
        }
    }
    return n;
}

/* First those that follow along the outline, then swaps. */
static int most_apart(TileBound *b, double slack, int enough) {
    int vain = 0, which;

    b->n_chosen = 0;
    b->chance   = 1;
    for (int i = 0; i < b->probes.n && b->n_chosen < enough; i++) {
        if (clashes(b, i, slack, &which) == 0)
            b->chosen[b->n_chosen++] = i;
    }
    while (b->n_chosen < enough && vain < SWAPS) {
        int probe = chance_below(b, b->probes.n);
        int n     = clashes(b, probe, slack, &which);
        vain = n == 0 ? 0 : vain + 1;
        if (n == 0)
            b->chosen[b->n_chosen++] = probe;
        else if (n == 1)
            b->chosen[which] = probe;
    }
    return b->n_chosen;
}

int tile_bound_at(TileBound *b, int turn, int enough) {
    double co = cos(turn * TO_RADIANS), si = sin(turn * TO_RADIANS);

    if (b->area >= enough || b->probes.n == 0)
        return b->area < enough ? b->area : enough;
    for (int i = 0; i < b->probes.n; i++) {
        V2 p = b->probes.at[i].at;
        b->turned[i] = v2(p.x * co - p.y * si, p.x * si + p.y * co);
    }
    return (int)fmax(b->area, most_apart(b, 0.5 * TO_RADIANS * 1.001,
                                         enough));
}
