/* walls -- upright planes, in which every cell has a rectangle.
 *
 * Most planes of a board stand upright, and what its cells show there are
 * rectangles with level edges. Their edges part the plane into a small
 * grid; each field counts the cells before and behind it:
 *
 *      +---+-------+---+          +---+-------+---+
 *      |   |       |   |  before  | 0 |   0   | 0 |
 *      +---+-------+---+     =>   +---+-------+---+    one face
 *      |   |       |              | 0 |   1   |
 *      +---+-------+  behind      +---+-------+
 *
 * Where what is left is rectangles again, they are the faces. Any other
 * plane goes the longer way (cover.c).
 */
#include "geom/solid_internal.h"

#include <math.h>

#define MOST_WALLS 12
#define MOST_LINES (2 * MOST_WALLS)
#define LEVEL      1e-12   // of a unit normal's upright part

/* The lines of the grid in one direction, in order. */
typedef struct { double at[MOST_LINES]; int n; } Lines;

typedef struct {
    Lines line[2];                            // along u, along v
    int   corner[MOST_LINES][MOST_LINES];     // its number + 1; 0: none
    signed char cover[MOST_LINES][MOST_LINES];
} Fields;

/* From line lo to line hi, along u and along v. */
typedef struct { int lo[2], hi[2]; } Span2;

static void add_line(Lines *l, double at) {
    int i = l->n;

    for (int k = 0; k < l->n; k++)
        if (fabs(l->at[k] - at) <= ON_EDGE)
            return;
    for (; i > 0 && l->at[i - 1] > at; i--)
        l->at[i] = l->at[i - 1];
    l->at[i] = at;
    l->n++;
}

static int line_at(const Lines *l, double at) {
    for (int k = 0; k < l->n; k++)
        if (fabs(l->at[k] - at) <= ON_EDGE)
            return k;
    return -1;
}

/* Each corner of the side lies at an end of the span both ways. */
static bool is_rectangle(const Span2 *r, const int at[4][2]) {
    int seen = 0;

    for (int i = 0; i < 4; i++) {
        int which = 0;
        for (int e = 0; e < 2; e++) {
            if (at[i][e] != r->lo[e] && at[i][e] != r->hi[e])
                return false;
            which |= (at[i][e] == r->hi[e]) << e;
        }
        seen |= 1 << which;
    }
    return seen == 15;
}

static bool add_wall(const Finish *f, Fields *g, const Side *s) {
    int   at[4][2];
    Span2 r = { { MOST_LINES, MOST_LINES }, { -1, -1 } };

    for (int i = 0; i < 4; i++) {
        V2 p = corner_flat(f, s->v.at[i]);
        at[i][0] = line_at(&g->line[0], p.x);
        at[i][1] = line_at(&g->line[1], p.y);
        for (int e = 0; e < 2; e++) {
            r.lo[e] = at[i][e] < r.lo[e] ? at[i][e] : r.lo[e];
            r.hi[e] = at[i][e] > r.hi[e] ? at[i][e] : r.hi[e];
        }
        g->corner[at[i][0]][at[i][1]] = s->v.at[i] + 1;
    }
    if (!is_rectangle(&r, (const int (*)[2])at))
        return false;
    for (int x = r.lo[0]; x < r.hi[0]; x++)
        for (int y = r.lo[1]; y < r.hi[1]; y++)
            g->cover[x][y] = (signed char)(g->cover[x][y]
                                           + (s->front ? 1 : -1));
    return true;
}

static bool fill_fields(const Finish *f, Fields *g, const Side *s, int n) {
    for (int i = 0; i < n; i++)
        for (int k = 0; k < 4; k++) {
            V2 p = corner_flat(f, s[i].v.at[k]);
            add_line(&g->line[0], p.x);
            add_line(&g->line[1], p.y);
            if (g->line[0].n == MOST_LINES || g->line[1].n == MOST_LINES)
                return false;
        }
    for (int i = 0; i < n; i++)
        if (!add_wall(f, g, &s[i]))
            return false;
    return true;
}

static int cover_at(const Fields *g, int x, int y) {
    return x < 0 || y < 0 ? 0 : g->cover[x][y];
}

/* The fields alike from (x, y) on, if they are a rectangle with nothing
 * alike beside it. */
static bool span_from(const Fields *g, int x, int y, Span2 *out) {
    int is = g->cover[x][y], x1 = x, y1 = y;

    while (cover_at(g, x1, y) == is)
        x1++;
    while (cover_at(g, x, y1) == is)
        y1++;
    for (int i = x; i < x1; i++) {
        for (int k = y; k < y1; k++)
            if (cover_at(g, i, k) != is)
                return false;
        if (cover_at(g, i, y - 1) == is || cover_at(g, i, y1) == is)
            return false;
    }
    for (int k = y; k < y1; k++)
        if (cover_at(g, x - 1, k) == is || cover_at(g, x1, k) == is)
            return false;
    *out = (Span2){ { x, y }, { x1, y1 } };
    return abs(is) == 1;
}

/* False if a corner of it is no corner of any side. */
static bool add_patch(Finish *f, const Fields *g, const Span2 *r, bool front,
                      Patchworks *out) {
    int v[4] = { g->corner[r->lo[0]][r->lo[1]], g->corner[r->hi[0]][r->lo[1]],
                 g->corner[r->hi[0]][r->hi[1]],
                 g->corner[r->lo[0]][r->hi[1]] };
    Ints      *ring;
    Patchwork *one;

    if (!v[0] || !v[1] || !v[2] || !v[3])
        return false;
    one  = PUSH(f->c, out);
    *one = (Patchwork){ 0 };
    ring = PUSH(f->c, &one->rings);
    for (int i = 0; i < 4; i++)
        *PUSH(f->c, ring) = v[front ? i : 3 - i] - 1;
    return true;
}

bool cover_walls(Finish *f, const Side *s, int n, Patchworks *front,
                 Patchworks *back) {
    Fields g = { 0 };

    if (n > MOST_WALLS || fabs(f->n.z) > LEVEL)
        return false;
    for (int i = 0; i < n; i++)
        if (s[i].v.n != 4)
            return false;
    if (!fill_fields(f, &g, s, n))
        return false;
    for (int x = 0; x + 1 < g.line[0].n; x++)
        for (int y = 0; y + 1 < g.line[1].n; y++) {
            Span2 r;
            bool  is_front = g.cover[x][y] > 0;
            if (g.cover[x][y] == 0)
                continue;
            if (!span_from(&g, x, y, &r)
                    || !add_patch(f, &g, &r, is_front,
                                  is_front ? front : back))
                return false;
            for (int i = x; i < r.hi[0]; i++)
                for (int k = y; k < r.hi[1]; k++)
                    g.cover[i][k] = 0;
        }
    return true;
}
