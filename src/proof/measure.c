/* measure -- are templates drawn at true size?
 *
 * Every 0.05 mm along an outline something stroked must lie within 0.05
 * mm. Strokes are sorted into squares of a millimeter, so that each point
 * looks at the few near it only; where nothing is near, the search widens
 * square by square to tell how far off the drawing is.
 */
#include "proof/proof_internal.h"

#include <math.h>

#define STEP_MM   0.05    // between points of an outline
#define OFF_MM    0.05    // that a line may be off
#define SAGITTA   0.002   // mm, of the outline's facets
#define SQUARE_MM 1.0
#define WIDEST    12      // squares around a point that are searched

typedef struct { V2 a, b; } Stroke;
typedef LIST(int) Square;   // indexes of strokes

typedef struct {
    LIST(Stroke) strokes;
    Square *squares;
    int     columns, rows;
} Grid;

static int square_of(double mm, int n) {
    double i = floor(mm / SQUARE_MM);

    return i < 0 ? 0 : i >= n ? n - 1 : (int)i;
}

static void grid_put(Ctx *c, Grid *g, V2 at, int stroke) {
    Square *s = &g->squares[square_of(at.y, g->rows) * g->columns
                            + square_of(at.x, g->columns)];

    if (s->n == 0 || s->at[s->n - 1] != stroke)
        *PUSH(c, s) = stroke;
}

/* Enters a stroke in every square that it passes: a point each half
 * square cannot miss one by more than a corner, and searches look at the
 * neighbors. */
static void grid_add(Ctx *c, Grid *g, V2 a, V2 b) {
    double n = ceil(hypot(b.x - a.x, b.y - a.y) / (SQUARE_MM / 2));
    Stroke *s = PUSH(c, &g->strokes);

    s->a = a;
    s->b = b;
    n = fmax(n, 1);
    for (int i = 0; i <= (int)n; i++) {
        V2 at = { a.x + (b.x - a.x) * i / n, a.y + (b.y - a.y) * i / n };
        grid_put(c, g, at, g->strokes.n - 1);
    }
}

static Grid grid_make(Ctx *c, const ReadPage *page) {
    Grid g = { .columns = (int)(page->paper.max.x / SQUARE_MM) + 1,
               .rows    = (int)(page->paper.max.y / SQUARE_MM) + 1 };

    g.squares = arena_take(&c->arena, sizeof *g.squares
                                          * (size_t)g.columns
                                          * (size_t)g.rows);
    for (int i = 0; i < page->strokes.n; i++) {
        const Ring *chain = &page->strokes.at[i];
        for (int k = 0; k + 1 < chain->n; k++)
            grid_add(c, &g, chain->at[k], chain->at[k + 1]);
    }
    return g;
}

static double distance(V2 p, Stroke s) {
    double dx = s.b.x - s.a.x, dy = s.b.y - s.a.y;
    double square = dx * dx + dy * dy;
    double t = square > 0 ? ((p.x - s.a.x) * dx + (p.y - s.a.y) * dy)
                                / square : 0;

    t = t < 0 ? 0 : t > 1 ? 1 : t;
    return hypot(p.x - s.a.x - t * dx, p.y - s.a.y - t * dy);
}

static double nearest_in(const Grid *g, int column, int row, V2 p,
                         double nearest) {
    const Square *s;

    if (column < 0 || row < 0 || column >= g->columns || row >= g->rows)
        return nearest;
    s = &g->squares[row * g->columns + column];
    for (int i = 0; i < s->n; i++)
        nearest = fmin(nearest, distance(p, g->strokes.at[s->at[i]]));
    return nearest;
}

/* The squares at `wide` from the middle, as a ring. */
static double nearest_ring(const Grid *g, int column, int row, int wide,
                           V2 p, double nearest) {
    for (int dy = -wide; dy <= wide; dy++) {
        int step = abs(dy) == wide || wide == 0 ? 1 : 2 * wide;
        for (int dx = -wide; dx <= wide; dx += step)
            nearest = nearest_in(g, column + dx, row + dy, p, nearest);
    }
    return nearest;
}

/* Distance to the nearest stroke; INFINITY if the search finds none. */
static double nearest_stroke(const Grid *g, V2 p) {
    int    column = square_of(p.x, g->columns);
    int    row    = square_of(p.y, g->rows);
    double nearest = INFINITY;

    for (int wide = 0; wide <= WIDEST; wide++) {
        nearest = nearest_ring(g, column, row, wide, p, nearest);
        if (nearest <= OFF_MM || nearest <= (wide - 1) * SQUARE_MM)
            break;
    }
    return nearest;
}

/* ---- Outlines ---- */

typedef struct {
    const Grid *grid;
    Box2   window;
    double worst;     // mm
    V2     at;        // where
    long   points;    // looked at
} Measure;

static void measure_point(Measure *m, V2 p) {
    double off;

    if (p.x < m->window.min.x || p.x > m->window.max.x
        || p.y < m->window.min.y || p.y > m->window.max.y)
        return;
    m->points++;
    off = nearest_stroke(m->grid, p);
    if (off > m->worst) {
        m->worst = off;
        m->at    = p;
    }
}

static void measure_edge(Measure *m, V2 a, V2 b) {
    double n = fmax(ceil(hypot(b.x - a.x, b.y - a.y) / STEP_MM), 1);

    if (!(n < 1e7))
        return;
    for (int i = 0; i < (int)n; i++)
        measure_point(m, (V2){ a.x + (b.x - a.x) * i / n,
                               a.y + (b.y - a.y) * i / n });
}

static Measure measure_shape(Ctx *c, const Grid *g, const TrueShape *t) {
    Rings   rings = shape_rings(c, t->shape, SAGITTA);
    Measure m     = { .grid = g, .window = t->window };

    for (int i = 0; i < rings.n; i++) {
        const Ring *ring = &rings.at[i];
        for (int k = 0; k < ring->n; k++)
            measure_edge(&m, ring->at[k], ring->at[(k + 1) % ring->n]);
    }
    return m;
}

static void report_shape(Ctx *c, Findings *f, const TrueShape *t, int page,
                         double height, const Measure *m) {
    Finding *finding = PUSH(c, &f->list);
    Buf      says    = BUF(c);

    finding->kind = FINDING_SCALE;
    finding->page = page;
    finding->at   = (V2){ m->at.x, height - m->at.y };
    if (m->points == 0) {
        finding->at = (V2){ t->window.min.x, height - t->window.max.y };
        says.n = 0;
        buf_add(&says, "nothing of it lies in its window");
    } else if (m->worst < INFINITY) {
        buf_num(&says, m->worst, 2);
        buf_add(&says, " mm off");
    } else {
        buf_add(&says, "no line within %.0f mm", WIDEST * SQUARE_MM);
    }
    finding->says   = buf_done(&says);
    finding->should = STR("within 0.05 mm");
    finding->source = t->what;
}

static void measure_page(Ctx *c, const ReadBook *b, const Expected *should,
                         int page, int read, Findings *f) {
    const ReadPage *paper = &b->pages.at[read];
    Grid            grid  = { 0 };

    for (int i = 0; i < should->shapes.n; i++) {
        const TrueShape *t = &should->shapes.at[i];
        Measure          m;
        if (t->page != page)
            continue;
        if (!grid.squares)
            grid = grid_make(c, paper);
        m = measure_shape(c, &grid, t);
        if (m.points > 0 && m.worst <= OFF_MM)
            f->shapes++;
        else
            report_shape(c, f, t, read, paper->paper.max.y, &m);
    }
}

void measure_shapes(Ctx *c, const ReadBook *b, const Expected *should,
                    const int *read_of, Findings *f) {
    for (int i = 0; i < should->pages; i++) {
        if (read_of[i] >= 0)
            measure_page(c, b, should, i, read_of[i], f);
    }
}
