/* sheets -- full-size patterns, and the sheets they are printed on.
 *
 * A pattern larger than a sheet is laid over a grid of windows that overlap,
 * small ones share sheets. Fewest sheets win: a pattern may be turned by a
 * quarter, halved where it is symmetric, and the grid may be shifted until
 * most of its windows are empty. Finding the fewest windows at free places
 * is NP-hard (Fowler, Paterson, Tanimoto 1981), and rows that are shifted
 * one by one would save little more than the grid (geometry-notes 5), but
 * take the straight seams by which the sheets are lined up.
 *
 *      window 0         window 1         Neighbors share a strip; its
 *     +-----------:--+                   middle (:) bounds their cells.
 *     |         +-:--+-----------+       A window is printed if the shape
 *     |         | :  |           |       has a part in its cell, so that
 *     |         | :  |           |       what is printed covers the shape.
 *     +---------+-:--+           |
 *               +-:--------------+
 */
#include "plan/plan_internal.h"

#include <math.h>

#define SHELF_GAP   8.0    // between small patterns, mm
#define SHIFTS      12      // places of the grid that are tried, each way
#define MOST_CELLS  400    // beyond that the grid is not shifted
#define FLAT        0.05   // sagitta of the shapes that cells are tested by
#define SPECK       0.01   // mm^2: less of a shape is no reason for a sheet
#define QUARTER     1.57079632679489661923

/* ---- Which parts ---- */

static int drilled_holes(const Part *part) {
    int n = 0;

    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        if (f->kind == FEATURE_HOLE
            && (f->side == SIDE_SHOW || f->side == SIDE_BACK))
            n += f->count > 1 ? f->count : 1;
    }
    return n;
}

static bool has_scallops(const Part *part) {
    for (int i = 0; i < part->features.n; i++) {
        if (part->features.at[i].kind == FEATURE_SCALLOP)
            return true;
    }
    return false;
}

bool part_has_template(const Part *part) {
    if (part->templated != 0)
        return part->templated > 0;
    if (part->plain)
        return false;
    return part->curved || part->outlined || part->jig
        || has_scallops(part) || drilled_holes(part) >= 3;
}

/* ---- Symmetry ---- */

static bool is_blind_mark(const Feature *f) {
    return f->side == SIDE_SHOW
        && (f->kind == FEATURE_POCKET || f->depth.real > 0
            || f->sink.real > 0);
}

static bool is_mark_at(const Feature *f, const Feature *like, double x,
                       double y) {
    if (f->kind != like->kind || !is_blind_mark(f)
        || fabs(f->diameter.real - like->diameter.real) > 0.01
        || fabs(f->sink.real - like->sink.real) > 0.01
        || fabs(f->length.real - like->length.real) > 0.01
        || fabs(f->width.real - like->width.real) > 0.01
        || fabs(f->depth.real - like->depth.real) > 0.01)
        return false;
    for (int i = 0; i == 0 || i < f->count; i++) {
        V2 by = feature_copy(f, i);
        if (fabs(f->x.real + by.x - x) <= 0.01
            && fabs(f->y.real + by.y - y) <= 0.01)
            return true;
    }
    return false;
}

/* True if every blind hole, groove or pocket of the face has its mirror
 * image: these do not show in the outline, but half a pattern would lose
 * them. A groove's place is its left end, others' their center. */
static bool marks_symmetric(const Part *part, double middle) {
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        double long_ = f->kind == FEATURE_GROOVE ? f->length.real : 0;
        for (int k = 0; is_blind_mark(f) && (k == 0 || k < f->count); k++) {
            V2     by = feature_copy(f, k);
            double x = 2 * middle - long_ - (f->x.real + by.x);
            double y = f->y.real + by.y;
            bool   found = false;
            for (int j = 0; j < part->features.n && !found; j++)
                found = is_mark_at(&part->features.at[j], f, x, y);
            if (!found)
                return false;
        }
    }
    return true;
}

static bool may_be_halved(Ctx *c, const Part *part, Box2 box) {
    return marks_symmetric(part, (box.min.x + box.max.x) / 2)
        && shape_symmetric(c, part->face, true, 0.01);
}

/* ---- The grid ---- */

typedef struct {
    int columns, rows;
    V2  shift;     // the shape's lower left corner in the first window
    int sheets;    // windows that are printed
} Grid;

/* Integral of min(y, top) over an edge that runs from height a to b over a
 * distance dx. */
static double area_below(double a, double b, double dx, double top) {
    double low = fmin(a, b), high = fmax(a, b), part;

    if (high <= top)
        return dx * (a + b) / 2;
    if (low >= top)
        return dx * top;
    part = (top - low) / (high - low);   // of the edge is below
    return dx * (part * (low + top) / 2 + (1 - part) * top);
}

/* Area of the shape inside a box by Green's theorem: of every edge the
 * part between the box's sides counts, its height held to the box's. */
static double area_inside(const Rings *rings, Box2 box) {
    double area = 0;

    for (int i = 0; i < rings->n; i++) {
        const Ring *ring = &rings->at[i];
        for (int k = 0; k < ring->n; k++) {
            V2     a = ring->at[k], b = ring->at[(k + 1) % ring->n];
            double x0 = fmin(fmax(a.x, box.min.x), box.max.x);
            double x1 = fmin(fmax(b.x, box.min.x), box.max.x);
            double slope, ya, yb;
            if (x0 == x1)
                continue;
            slope = (b.y - a.y) / (b.x - a.x);
            ya    = a.y + slope * (x0 - a.x);
            yb    = a.y + slope * (x1 - a.x);
            area -= area_below(ya, yb, x1 - x0, box.max.y)
                  - area_below(ya, yb, x1 - x0, box.min.y);
        }
    }
    return fabs(area);
}

/* Where a cell begins and ends along one axis, in the shape's own
 * coordinates; the outermost cells have no end. */
static void cell_range(int i, int n, double window, double shift,
                       double *from, double *to) {
    double step = window - SHEET_OVERLAP;

    *from = i == 0 ? -1e6 : i * step + SHEET_OVERLAP / 2 - shift;
    *to   = i == n - 1 ? 1e6 : (i + 1) * step + SHEET_OVERLAP / 2 - shift;
}

static bool is_printed(const Rings *rings, const Grid *g, int column,
                       int row) {
    Box2 cell;

    cell_range(column, g->columns, SHEET_W, g->shift.x, &cell.min.x,
               &cell.max.x);
    cell_range(row, g->rows, SHEET_H, g->shift.y, &cell.min.y,
               &cell.max.y);
    return area_inside(rings, cell) > SPECK;
}

static int count_printed(const Rings *rings, const Grid *g) {
    int n = 0;

    for (int row = 0; row < g->rows; row++) {
        for (int column = 0; column < g->columns; column++)
            n += is_printed(rings, g, column, row);
    }
    return n;
}

/* How many windows cover a size, and how far the grid can be shifted. */
static int windows_for(double size, double window, double *play) {
    double step = window - SHEET_OVERLAP;
    int    n    = 1;

    if (size > window + SLACK_MM)
        n = (int)ceil((size - SHEET_OVERLAP) / step - 1e-9);
    *play = fmax(n * step + SHEET_OVERLAP - size, 0);
    return n;
}

/* The grid that prints the fewest windows; in the middle where it does not
 * matter. */
static Grid best_grid(const Rings *rings, V2 size) {
    V2   play;
    Grid best = { 0 }, g;
    bool shift;

    best.columns = windows_for(size.x, SHEET_W, &play.x);
    best.rows    = windows_for(size.y, SHEET_H, &play.y);
    best.shift   = v2_scale(play, 0.5);
    best.sheets  = count_printed(rings, &best);
    shift = best.columns * best.rows <= MOST_CELLS
         && best.columns * best.rows > 1;
    g     = best;
    for (int i = 0; shift && i <= SHIFTS; i++) {
        for (int k = 0; k <= SHIFTS; k++) {
            g.shift  = v2(play.x * i / SHIFTS, play.y * k / SHIFTS);
            g.sheets = count_printed(rings, &g);
            if (g.sheets < best.sheets)
                best = g;
        }
    }
    return best;
}

/* ---- Patterns ---- */

/* A pattern before its sheets are known. */
typedef struct {
    Pattern pattern;
    Rings   rings;
    V2      size;
    Grid    grid;
    V2      at;      // small: in its sheet's window
    int     sheet;   // small: which of the shared sheets
} Draft;

static Draft make_draft(Ctx *c, const Part *part, int index, bool half,
                        bool turned) {
    Draft d   = { 0 };
    Shape s   = part->face;
    Box2  box = shape_box(s);
    V2    move;

    d.pattern.part   = index;
    d.pattern.half   = half;
    d.pattern.turned = turned;
    if (half) {
        d.pattern.fold_x = (box.max.x - box.min.x) / 2;
        s = shape_intersect(c, s,
                            shape_rect(c, v2(box.min.x - 1, box.min.y - 1),
                                       v2(box.min.x + d.pattern.fold_x,
                                          box.max.y + 1)));
    }
    if (turned)
        s = shape_turn(c, s, v2(0, 0), QUARTER);
    box  = shape_box(s);
    move = v2_scale(box.min, -1);
    d.pattern.shape  = shape_move(c, s, move);
    d.pattern.origin = move;
    d.size  = v2_sub(box.max, box.min);
    d.rings = shape_rings(c, d.pattern.shape, FLAT);
    d.grid  = best_grid(&d.rings, d.size);
    return d;
}

/* Whole, turned, half, half and turned: the first that needs the fewest
 * sheets. */
static Draft best_draft(Ctx *c, const Part *part, int index) {
    Draft best = make_draft(c, part, index, false, false), other;

    for (int i = 1; i < 4 && best.grid.sheets > 1; i++) {
        if (i == 2 && !may_be_halved(c, part, shape_box(part->face)))
            break;
        other = make_draft(c, part, index, i >= 2, i % 2);
        if (other.grid.sheets < best.grid.sheets)
            best = other;
    }
    return best;
}

static bool is_small(const Draft *d) {
    return d->grid.columns * d->grid.rows == 1;
}

/* ---- Small patterns ---- */

typedef enum { AS_MADE, LYING, STANDING, STANCES } Stance;

typedef struct { int sheet; double y, height, used; } Shelf;
typedef struct { double used; } Filled;   // height taken on a sheet

typedef struct {
    LIST(Shelf)  shelves;
    LIST(Filled) sheets;
} Shelving;

/* True if the pattern is turned for this stance. */
static bool turns(const Draft *d, Stance stance) {
    if (d->size.y > SHEET_W || d->size.x > SHEET_H)
        return false;
    return (stance == LYING && d->size.y > d->size.x)
        || (stance == STANDING && d->size.x > d->size.y);
}

static V2 size_in(const Draft *d, Stance stance) {
    return turns(d, stance) ? v2(d->size.y, d->size.x) : d->size;
}

static Shelf *open_shelf(Ctx *c, Shelving *s, double height) {
    int    sheet = 0;
    double y;
    Shelf *shelf;

    while (sheet < s->sheets.n
           && s->sheets.at[sheet].used + SHELF_GAP + height
              > SHEET_H + SLACK_MM)
        sheet++;
    if (sheet == s->sheets.n)
        PUSH(c, &s->sheets)->used = -SHELF_GAP;
    y             = s->sheets.at[sheet].used + SHELF_GAP;
    shelf         = PUSH(c, &s->shelves);
    shelf->sheet  = sheet;
    shelf->y      = y;
    shelf->height = height;
    shelf->used   = -SHELF_GAP;
    s->sheets.at[sheet].used = y + height;
    return shelf;
}

static void shelve(Ctx *c, Shelving *s, Draft *d, V2 size) {
    Shelf *shelf = NULL;

    for (int i = 0; i < s->shelves.n && !shelf; i++) {
        Shelf *old = &s->shelves.at[i];
        if (size.y <= old->height + SLACK_MM
            && old->used + SHELF_GAP + size.x <= SHEET_W + SLACK_MM)
            shelf = old;
    }
    if (!shelf)
        shelf = open_shelf(c, s, size.y);
    d->sheet = shelf->sheet;
    d->at    = v2(shelf->used + SHELF_GAP, SHEET_H - shelf->y - size.y);
    shelf->used += SHELF_GAP + size.x;
}

typedef struct { const Draft *drafts; Stance stance; } Heights;

static int higher_first(const void *pa, const void *pb, const void *with) {
    const Heights *h = with;
    double a = size_in(&h->drafts[*(const int *)pa], h->stance).y;
    double b = size_in(&h->drafts[*(const int *)pb], h->stance).y;

    return a < b ? 1 : a > b ? -1 : 0;
}

/* First fit on shelves, by falling height; returns how many sheets. */
static int shelve_all(Ctx *c, Draft *drafts, int n, Stance stance) {
    Heights  heights = { drafts, stance };
    Shelving s = { 0 };
    LIST(int) order = { 0 };

    for (int i = 0; i < n; i++) {
        if (is_small(&drafts[i]))
            *PUSH(c, &order) = i;
    }
    list_sort(c, order.at, order.n, sizeof *order.at, higher_first,
              &heights);
    for (int i = 0; i < order.n; i++) {
        Draft *d = &drafts[order.at[i]];
        shelve(c, &s, d, size_in(d, stance));
    }
    return s.sheets.n;
}

static void turn_draft(Ctx *c, const Model *m, Draft *d) {
    Draft turned = make_draft(c, &m->parts.at[d->pattern.part],
                              d->pattern.part, d->pattern.half,
                              !d->pattern.turned);

    turned.at    = d->at;
    turned.sheet = d->sheet;
    *d           = turned;
}

/* Shelves all small patterns in the stance that needs the fewest sheets. */
static int place_small(Ctx *c, const Model *m, Draft *drafts, int n) {
    Stance best   = AS_MADE;
    int    sheets = shelve_all(c, drafts, n, AS_MADE);

    for (int stance = LYING; stance < STANCES; stance++) {
        int needed = shelve_all(c, drafts, n, (Stance)stance);
        if (needed < sheets) {
            sheets = needed;
            best   = (Stance)stance;
        }
    }
    (void)shelve_all(c, drafts, n, best);
    for (int i = 0; i < n; i++) {
        if (is_small(&drafts[i]) && turns(&drafts[i], best))
            turn_draft(c, m, &drafts[i]);
    }
    return sheets;
}

/* ---- Sheets ---- */

static void add_small(Ctx *c, Workplan *p, Draft *drafts, int n,
                      int sheets) {
    for (int sheet = 0; sheet < sheets; sheet++) {
        Sheet *s = PUSH(c, &p->sheets);
        s->name = str_fmt(c, "T%d", sheet + 1);
        for (int i = 0; i < n; i++) {
            Draft *d = &drafts[i];
            if (!is_small(d) || d->sheet != sheet)
                continue;
            d->pattern.first_sheet = p->sheets.n - 1;
            *PUSH(c, &s->on) = (OnSheet){ .pattern = i, .at = d->at };
        }
    }
}

/* A, B, ... Z, AA, AB, ... */
static Str column_name(Ctx *c, int column) {
    Str ahead = { 0 };

    if (column >= 26)
        ahead = column_name(c, column / 26 - 1);
    return str_fmt(c, "%.*s%c", STR_ARG(ahead), 'A' + column % 26);
}

static void add_tiled(Ctx *c, const Model *m, Workplan *p, Draft *d,
                      int pattern) {
    Str   letter = m->parts.at[d->pattern.part].letter;
    Grid *g      = &d->grid;

    d->pattern.first_sheet = p->sheets.n;
    for (int row = 0; row < g->rows; row++) {
        for (int column = 0; column < g->columns; column++) {
            Sheet   *s;
            OnSheet *on;
            if (!is_printed(&d->rings, g, column, row))
                continue;
            s          = PUSH(c, &p->sheets);
            s->name    = str_fmt(c, "%.*s-%.*s%d", STR_ARG(letter),
                                 STR_ARG(column_name(c, column)), row + 1);
            on         = PUSH(c, &s->on);
            on->pattern = pattern;
            on->column = column;
            on->row    = row;
            on->at     = v2(g->shift.x - column * (SHEET_W - SHEET_OVERLAP),
                            g->shift.y - row * (SHEET_H - SHEET_OVERLAP));
        }
    }
}

void plan_sheets(Ctx *c, const Model *m, Workplan *p) {
    LIST(Draft) drafts = { 0 };
    int sheets;

    for (int i = 0; i < m->parts.n; i++) {
        const Part *part = &m->parts.at[i];
        if (part_has_template(part) && part->face.loops.n > 0)
            *PUSH(c, &drafts) = best_draft(c, part, i);
    }
    sheets = place_small(c, m, drafts.at, drafts.n);
    add_small(c, p, drafts.at, drafts.n, sheets);
    for (int i = 0; i < drafts.n; i++) {
        if (!is_small(&drafts.at[i]))
            add_tiled(c, m, p, &drafts.at[i], i);
    }
    for (int i = 0; i < drafts.n; i++) {
        Draft *d = &drafts.at[i];
        d->pattern.columns = d->grid.columns;
        d->pattern.rows    = d->grid.rows;
        *PUSH(c, &p->patterns) = d->pattern;
    }
}
