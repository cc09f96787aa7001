/* tile -- a shape over many sheets: turned, and each row of sheets shifted
 * by itself.
 *
 * To cover a shape by the fewest rectangles at free places is NP-hard
 * (Fowler, Paterson, Tanimoto 1981). But where the angle and the height of
 * the rows are given, each row is a covering of intervals on a line, and
 * going from left to right, each sheet as far right as it may, is optimal
 * (geometry-notes 5). So all angles of whole degrees and the heights of the
 * rows are tried; a regular grid is one of the coverings that are beaten.
 *
 *     row 1     +-----------+        +-----------+    Windows overlap; the
 *          +----|------+....|...     |           |    middle of the overlap
 *     row 0|    +------|----+        +-----------+    bounds their cells,
 *          |           |         ...                  which cover the shape.
 *          +-----------+
 *
 * A row's need on the line: the x of every edge inside the row, and of what
 * lies inside the shape along the row's lower border.
 */
#include "plan/tile.h"

#include <math.h>

#define EDGE_ROOM  0.15   // mm, that the line is wide beyond the true edge
#define ROW_STEP   3.0    // between the heights of rows that are tried, mm
#define MOST_EDGES 4000   // beyond that only quarter turns are tried

typedef struct { double from, to; } Span;

typedef struct {
    Ctx   *c;
    V2    *a, *b;            // edges, turned
    int   *loop;             // of each edge: its ring
    int    n;
    Box2   box;
    double width, height, overlap;   // of windows; less the room at edges
    Span  *spans;            // of one row, and room to sort
    double *cross;
    int    n_spans, n_cross;
    bool   columns;          // windows lie: turned later
    double lean;             // 0 ... 1: windows in a row, to the left
    TileBound *bound;
} Tiler;

/* ---- The edges ---- */

static void turn_edges(Tiler *t, const Rings *rings, int degrees) {
    double co = degrees == 90 ? 0 : cos(degrees * 0.017453292519943295);
    double si = sin(degrees * 0.017453292519943295);
    int    n = 0;

    t->box = box2_empty();
    for (int i = 0; i < rings->n; i++) {
        const Ring *r = &rings->at[i];
        for (int k = 0; k < r->n; k++, n++) {
            V2 p = r->at[k], q = r->at[(k + 1) % r->n];
            t->a[n] = v2(p.x * co - p.y * si, p.x * si + p.y * co);
            t->b[n] = v2(q.x * co - q.y * si, q.x * si + q.y * co);
            t->loop[n] = i;
            box2_add(&t->box, t->a[n]);
        }
    }
}

static Tiler tiler_new(Ctx *c, const Rings *rings) {
    Tiler t = { .c = c };

    for (int i = 0; i < rings->n; i++)
        t.n += rings->at[i].n;
    t.a     = NEW_N(c, V2, t.n + 1);
    t.b     = NEW_N(c, V2, t.n + 1);
    t.loop  = NEW_N(c, int, t.n + 1);
    t.spans = NEW_N(c, Span, 2 * t.n + 2);
    t.cross = NEW_N(c, double, t.n + 1);
    return t;
}

/* ---- What a row must cover ---- */

static void sort_numbers(double *v, int n) {
    for (int i = 1; i < n; i++) {
        double x = v[i];
        int    k = i;
        for (; k > 0 && v[k - 1] > x; k--)
            v[k] = v[k - 1];
        v[k] = x;
    }
}

/* Joins a span to those there are, which stay sorted and apart. */
static void add_span(Tiler *t, double from, double to) {
    int first = 0, last;

    while (first < t->n_spans && t->spans[first].to < from)
        first++;
    last = first;
    while (last < t->n_spans && t->spans[last].from <= to) {
        from = fmin(from, t->spans[last].from);
        to   = fmax(to, t->spans[last].to);
        last++;
    }
    if (last == first) {
        memmove(t->spans + first + 1, t->spans + first,
                sizeof *t->spans * (size_t)(t->n_spans - first));
        t->n_spans++;
    } else if (last > first + 1) {
        memmove(t->spans + first + 1, t->spans + last,
                sizeof *t->spans * (size_t)(t->n_spans - last));
        t->n_spans -= last - first - 1;
    }
    t->spans[first] = (Span){ from, to };
}

/* What the row from y0 to y1 has of the shape, seen along y. */
static void row_spans(Tiler *t, double y0, double y1) {
    t->n_spans = t->n_cross = 0;
    for (int i = 0; i < t->n; i++) {
        V2     a = t->a[i], b = t->b[i];
        double xa = a.x, xb = b.x, slope;
        if ((a.y < y0 && b.y < y0) || (a.y > y1 && b.y > y1))
            continue;
        if (a.y != b.y) {
            slope = (b.x - a.x) / (b.y - a.y);
            if ((a.y > y0) != (b.y > y0))
                t->cross[t->n_cross++] = a.x + slope * (y0 - a.y);
            xa = a.x + slope * (fmax(y0, fmin(y1, a.y)) - a.y);
            xb = a.x + slope * (fmax(y0, fmin(y1, b.y)) - a.y);
        }
        add_span(t, fmin(xa, xb), fmax(xa, xb));
    }
    sort_numbers(t->cross, t->n_cross);
    for (int i = 0; i + 1 < t->n_cross; i += 2)
        add_span(t, t->cross[i], t->cross[i + 1]);
}

/* ---- Coverings ---- */

static void push_tile(Tiler *t, Tiling *out, double x, double y, int row,
                      int *nth) {
    *PUSH(t->c, &out->tiles) = (Tile){ .row = row, .nth = (*nth)++,
                                       .at = v2(x, y) };
}

/* A chain's windows begin as far right as they may; `spare` is what the last
 * one has left over, of which the share `lean` goes to the left. */
static void lean_chain(const Tiler *t, Tiling *out, int first,
                       double spare) {
    for (int k = first; k < out->tiles.n; k++) {
        Tile *tile = &out->tiles.at[k];
        tile->at.x  -= spare * t->lean;
        tile->less.x = spare * (1 - t->lean);
        tile->more.x = spare * t->lean;
    }
}

/* Covers the spans from the left, each window as far right as it may be.
 * Returns how many windows; `out` may be NULL. */
static int cover_row(Tiler *t, Tiling *out, int row, double y) {
    int    n = 0, nth = 0, first = out ? out->tiles.n : 0;
    double end = -INFINITY;   // of the chain's last window

    for (int i = 0; i < t->n_spans; i++) {
        double from = t->spans[i].from, to = t->spans[i].to;
        while (to > end) {
            if (from >= end) {   // a chain begins
                end   = from + t->width;
                first = out ? out->tiles.n : 0;
            } else {
                end += t->width - t->overlap;
            }
            if (out)
                push_tile(t, out, end - t->width, y, row, &nth);
            n++;
        }
        if (out && (i + 1 == t->n_spans || t->spans[i + 1].from >= end))
            lean_chain(t, out, first, end - to);
    }
    return n;
}

/* Row k's window reaches from bottom + k * step over the height; its cell
 * ends at the middles of the overlaps. */
static double cell_bottom(const Tiler *t, double bottom, int row) {
    return row == 0 ? -INFINITY
         : bottom + row * (t->height - t->overlap) + t->overlap / 2;
}

static int rows_from(const Tiler *t, double bottom) {
    double above = t->box.max.y - bottom - t->height;

    return above <= 0 ? 1
         : 1 + (int)ceil(above / (t->height - t->overlap) - 1e-9);
}

/* Windows with the lowest row's bottom there; stops beyond `most`. */
static int cover(Tiler *t, Tiling *out, double bottom, int most) {
    int rows = rows_from(t, bottom), n = 0;

    for (int row = 0; row < rows && n <= most; row++) {
        double y0 = cell_bottom(t, bottom, row);
        double y1 = row == rows - 1 ? INFINITY
                                    : cell_bottom(t, bottom, row + 1);
        row_spans(t, fmax(y0, t->box.min.y - 1),
                  fmin(y1, t->box.max.y + 1));
        n += cover_row(t, out, row, bottom
                                  + row * (t->height - t->overlap));
    }
    if (out)
        out->rows = rows;
    return n;
}

/* ---- Cuts through detail ---- */

/* Does the edge cross the line x (or, flat, y) = at between low and high? */
static bool crosses(V2 a, V2 b, bool flat, double at, double low,
                    double high) {
    double pa = flat ? a.y : a.x, pb = flat ? b.y : b.x;
    double qa = flat ? a.x : a.y, qb = flat ? b.x : b.y, q;

    if ((pa > at) == (pb > at))
        return false;
    q = qa + (qb - qa) * (at - pa) / (pb - pa);
    return q > low && q < high;
}

static void count_cuts(const Tiler *t, Tiling *g, bool flat, double at,
                       double low, double high) {
    for (int i = 0; i < t->n; i++) {
        if (crosses(t->a[i], t->b[i], flat, at, low, high))
            *(t->loop[i] == 0 ? &g->cuts : &g->detail) += 1;
    }
}

/* How often seams cross the outline, and holes. */
static void note_cuts(const Tiler *t, Tiling *g) {
    for (int i = 0; i < g->tiles.n; i++) {
        const Tile *a = &g->tiles.at[i], *b = a + 1;
        double      y = a->at.y;
        if (i + 1 < g->tiles.n && b->row == a->row
            && b->at.x < a->at.x + t->width)
            count_cuts(t, g, false, b->at.x + t->overlap / 2, y,
                       y + t->height);
        if (a->row > 0)
            count_cuts(t, g, true, y + t->overlap / 2, a->at.x,
                       a->at.x + t->width);
    }
}

/* ---- The best of all ---- */

static bool is_square_on(int turn) { return turn % 90 == 0; }

/* Fewer windows, then fewer cuts through holes, then square on, then fewer
 * cuts. */
static bool is_better(const Tiling *a, const Tiling *b) {
    if (a->tiles.n != b->tiles.n)
        return a->tiles.n < b->tiles.n;
    if (a->detail != b->detail)
        return a->detail < b->detail;
    if (is_square_on(a->turn) != is_square_on(b->turn))
        return is_square_on(a->turn);
    return a->cuts < b->cuts;
}

static void try_lean(Tiler *t, Tiling *best, int turn, double bottom,
                     double lean) {
    Tiling new = { .turn = turn, .columns = t->columns,
                   .least = best->least };

    t->lean = lean;
    cover(t, &new, bottom, 1 << 30);
    note_cuts(t, &new);
    if (best->tiles.n == 0 || is_better(&new, best))
        *best = new;
}

/* In the middle, unless seams cross fewer holes elsewhere. */
static void try_height(Tiler *t, Tiling *best, int turn, double bottom) {
    static const double leans[] = { 0.5, 0.25, 0.75, 0, 1 };
    int most = best->tiles.n ? best->tiles.n : 1 << 30;

    if (best->tiles.n && best->detail == 0 && is_square_on(best->turn)
        && !is_square_on(turn))
        most--;
    if (cover(t, NULL, bottom, most) > most)
        return;
    for (int i = 0; i < COUNT(leans); i++) {
        try_lean(t, best, turn, bottom, leans[i]);
        if (best->detail == 0)
            return;
    }
}

/* Windows of one row may be anywhere between the shape's top and bottom. */
static void note_height(const Tiler *t, Tiling *best) {
    for (int i = 0; i < best->tiles.n; i++) {
        Tile *tile = &best->tiles.at[i];
        tile->less.y = fmax(0, tile->at.y + t->height - t->box.max.y);
        tile->more.y = fmax(0, t->box.min.y - tile->at.y);
    }
}

static void try_turn(Tiler *t, Tiling *best, const Rings *rings, int turn) {
    double size;

    turn_edges(t, rings, turn);
    size = t->box.max.y - t->box.min.y;
    if (size <= t->height) {   // one row: in its middle
        const Tile *before = best->tiles.at;
        try_height(t, best, turn, t->box.min.y - (t->height - size) / 2);
        if (best->tiles.at != before)
            note_height(t, best);
        return;
    }
    for (double v = 0; v < t->height - t->overlap; v += ROW_STEP)
        try_height(t, best, turn, t->box.min.y - v);
}

static bool is_done(const Tiling *best) {
    return best->tiles.n > 0 && best->tiles.n <= best->least
        && best->detail == 0;
}

/* With windows lying or standing: rows of lying windows are, turned by a
 * quarter, columns of standing ones. What the bound forbids is not tried. */
static void try_both(Tiler *t, Tiling *best, const Rings *rings, int turn) {
    double w = t->width;

    for (int k = 0; k < 2; k++) {
        int enough = best->tiles.n ? best->tiles.n : 1 << 30;
        t->columns = k;
        if (!is_done(best)
            && (best->tiles.n == 0 || best->detail > 0
                || tile_bound_at(t->bound, (turn + 90 * k) % 180, enough)
                   < enough))
            try_turn(t, best, rings, turn);
        w = t->width;
        t->width  = t->height;
        t->height = w;
    }
}

/* Back to standing windows, without the room at edges. */
static void finish(Tiling *g, double width, double height, double overlap) {
    for (int i = 0; i < g->tiles.n; i++) {
        Tile *t = &g->tiles.at[i];
        t->at = v2(t->at.x - EDGE_ROOM, t->at.y - EDGE_ROOM);
        if (!g->columns)
            continue;
        *t = (Tile){ t->row, t->nth, v2(-t->at.y - width, t->at.x),
                     v2(t->more.y, t->less.x), v2(t->less.y, t->more.x) };
    }
    g->turn   += g->columns ? 90 : 0;
    g->width   = width;
    g->height  = height;
    g->overlap = overlap;
}

/* The least of the bounds at all angles. */
static int least_of(TileBound *b, int enough) {
    for (int turn = 0; turn < 180; turn++)
        enough = tile_bound_at(b, turn, enough);
    return enough;
}

const Tiling *tile_shape(Ctx *c, Rings rings, double width, double height,
                         double overlap) {
    Tiling *best = NEW(c, Tiling);
    Tiler   t    = tiler_new(c, &rings);

    t.width   = width - 2 * EDGE_ROOM;
    t.height  = height - 2 * EDGE_ROOM;
    t.overlap = overlap;
    t.bound   = tile_bound(c, &rings, width, height, overlap);
    try_both(&t, best, &rings, 0);
    try_both(&t, best, &rings, 90);
    best->least = least_of(t.bound, best->tiles.n);
    for (int turn = 1; turn < 180 && t.n <= MOST_EDGES; turn++) {
        if (turn != 90 && !is_done(best))
            try_both(&t, best, &rings, turn);
    }
    best->least = best->least < best->tiles.n ? best->least : best->tiles.n;
    finish(best, width, height, overlap);
    return best;
}
