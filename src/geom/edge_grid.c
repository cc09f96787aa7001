/* edge_grid -- finds the flat edge at a place without trying them all. */
#include "geom/geom_internal.h"

#include <math.h>

#define MOST_CELLS 512   // a side

static int clamp(double k, int n) {
    return !(k > 0) ? 0 : k >= n ? n - 1 : (int)k;
}

typedef struct { int x0, x1, y0, y1; } CellRange;

static CellRange cells_of(const EdgeGrid *g, V2 a, V2 b, double reach) {
    CellRange r;

    r.x0 = clamp((fmin(a.x, b.x) - reach - g->origin.x) / g->cell, g->nx);
    r.x1 = clamp((fmax(a.x, b.x) + reach - g->origin.x) / g->cell, g->nx);
    r.y0 = clamp((fmin(a.y, b.y) - reach - g->origin.y) / g->cell, g->ny);
    r.y1 = clamp((fmax(a.y, b.y) + reach - g->origin.y) / g->cell, g->ny);
    return r;
}

/* Adds one to `count` of each cell of each edge; with `item` also puts the
 * edge there. */
static void visit(const EdgeGrid *g, int n, double reach, int *count,
                  int *item) {
    for (int i = 0; i < n; i++) {
        CellRange r = cells_of(g, g->edges[i].a, g->edges[i].b, reach);
        for (int y = r.y0; y <= r.y1; y++)
            for (int x = r.x0; x <= r.x1; x++) {
                int at = count[y * g->nx + x]++;
                if (item)
                    item[at] = i;
            }
    }
}

/* Counts first, then fills: two passes, two arrays. */
EdgeGrid edge_grid(Ctx *c, const FlatEdges *edges, double reach) {
    EdgeGrid g   = { .edges = edges->at };
    Box2     box = box2_empty();
    double   wide, high, side = edges->n / 12 + 8;   // edges lie along lines
    int      cells, *next;

    for (int i = 0; i < edges->n; i++) {
        box2_add(&box, edges->at[i].a);
        box2_add(&box, edges->at[i].b);
    }
    wide     = edges->n ? box.max.x - box.min.x : 0;
    high     = edges->n ? box.max.y - box.min.y : 0;
    g.origin = edges->n ? box.min : v2(0, 0);
    g.cell   = fmax(fmax(wide, high) / fmin(side, MOST_CELLS), 1e-3);
    g.nx     = clamp(wide / g.cell, MOST_CELLS) + 1;
    g.ny     = clamp(high / g.cell, MOST_CELLS) + 1;
    cells    = g.nx * g.ny;
    g.begin  = NEW_N(c, int, cells + 1);
    next     = NEW_N(c, int, cells + 1);
    visit(&g, edges->n, reach, g.begin + 1, NULL);
    for (int i = 0; i < cells; i++) {
        g.begin[i + 1] += g.begin[i];
        next[i] = g.begin[i];
    }
    g.item = NEW_N(c, int, g.begin[cells] + 1);
    visit(&g, edges->n, reach, next, g.item);
    return g;
}

int edge_grid_find(const EdgeGrid *g, V2 p, V2 q, double reach) {
    V2        mid  = v2_scale(v2_add(p, q), 0.5);
    CellRange r    = cells_of(g, mid, mid, 0);
    int       cell = r.y0 * g->nx + r.x0, found = -1;
    double    best = reach;

    for (int k = g->begin[cell]; k < g->begin[cell + 1]; k++) {
        const FlatEdge *e = &g->edges[g->item[k]];
        double off;
        if (mid.x < fmin(e->a.x, e->b.x) - reach
                || mid.x > fmax(e->a.x, e->b.x) + reach
                || mid.y < fmin(e->a.y, e->b.y) - reach
                || mid.y > fmax(e->a.y, e->b.y) + reach)
            continue;
        off = fmax(line_distance(p, e->a, e->b),
                   line_distance(q, e->a, e->b));
        if (off < best || (off <= best && found < 0)) {
            best  = off;
            found = g->item[k];
        }
    }
    return found;
}
