/* sheet_place -- the sheets that template patterns are printed on.
 *
 * What is larger than a sheet has sheets of its own (tile.c). The others
 * share sheets as true shapes (nest.c), also in what the large ones leave
 * free. A sheet's window is the paper less SHEET_MARGIN, in which no printer
 * that is common prints safely and where bars and words have their place.
 */
#include "plan/nest.h"
#include "plan/plan_internal.h"

#include <math.h>

#define NEST_STEPS  10000   // weighed places, for loose patterns
#define LINE_ROOM   0.15    // a line is wide beyond the true edge, mm
#define LEAN_ROOM   3.0     // that windows keep beside a pattern, mm
#define TO_RADIANS  0.017453292519943295

static bool is_small(const Draft *d) {
    return d->tiling->tiles.n == 1;
}

/* Has it windows of whole sheets? */
static bool is_tiled(const Draft *d) {
    return !is_small(d) && d->pieces.n == 0;
}

static Box2 whole_window(const Workplan *p) {
    return box2(0, 0, p->sheet_w, p->sheet_h);
}

/* ---- Over several sheets ---- */

/* A, B, ... Z, AA, AB, ... */
static Str column_name(Ctx *c, int column) {
    Str ahead = { 0 };

    if (column >= 26)
        ahead = column_name(c, column / 26 - 1);
    return str_fmt(c, "%.*s%c", STR_ARG(ahead), 'A' + column % 26);
}

static int by_row(const void *pa, const void *pb, const void *with) {
    const OnSheet *a = pa, *b = pb;

    (void)with;
    return a->row != b->row ? a->row - b->row : a->column - b->column;
}

/* What its sheets are named by: the part's letter; jigs are numbered. */
static Str pattern_letter(Ctx *c, const Model *m, const Pattern *t,
                          int index) {
    if (t->part >= 0)
        return m->parts.at[t->part].letter;
    return str_fmt(c, "Jig%d", index + 1);
}

static Str piece_name(Ctx *c, const Model *m, const Draft *d,
                      const OnSheet *on) {
    return str_fmt(c, "%.*s-%.*s%d",
                   STR_ARG(pattern_letter(c, m, &d->pattern, on->pattern)),
                   STR_ARG(column_name(c, on->column)), on->row + 1);
}

/* How far windows are moved from their places: -1 back as far as they may,
 * 1 on. */
typedef struct { int x, y; } Lean;

static double leaned_by(int lean, double less, double more) {
    return lean < 0 ? -fmax(0, less - LEAN_ROOM)
                    : lean * fmax(0, more - LEAN_ROOM);
}

static V2 leaned(const Tile *t, Lean lean) {
    return v2(t->at.x + leaned_by(lean.x, t->less.x, t->more.x),
              t->at.y + leaned_by(lean.y, t->less.y, t->more.y));
}

/* The tiles as places on sheets: the tiling stands in the turned part's
 * coordinates, the pattern is moved by its origin. */
static void add_tiled(Ctx *c, const Model *m, Workplan *p, Draft *d,
                      int pattern, Lean lean) {
    const Tiling *g = d->tiling;
    LIST(OnSheet) on = { 0 };

    for (int i = 0; i < g->tiles.n; i++) {
        const Tile *t = &g->tiles.at[i];
        OnSheet    *new = PUSH(c, &on);
        new->pattern = pattern;
        new->window  = whole_window(p);
        new->column  = g->columns ? g->rows - 1 - t->row : t->nth;
        new->row     = g->columns ? t->nth : t->row;
        new->at      = v2_scale(v2_add(d->pattern.origin, leaned(t, lean)),
                                -1);
        d->pattern.columns = new->column >= d->pattern.columns
                           ? new->column + 1 : d->pattern.columns;
        d->pattern.rows    = new->row >= d->pattern.rows
                           ? new->row + 1 : d->pattern.rows;
    }
    list_sort(c, on.at, on.n, sizeof *on.at, by_row, NULL);
    d->pattern.first_sheet = p->sheets.n;
    for (int i = 0; i < on.n; i++) {
        Sheet *s = PUSH(c, &p->sheets);
        on.at[i].name = s->name = piece_name(c, m, d, &on.at[i]);
        *PUSH(c, &s->on) = on.at[i];
    }
}

/* ---- On one sheet, together ---- */

static const double NO_TURN[] = { 0 };

/* Degrees of the nth way in which a loose pattern may lie. */
static double loose_turn(const Draft *d, int nth) {
    int turn = d->tiling->turn;

    return ((nth < 4 ? turn : 360 - turn % 360) + 90 * nth) % 360;
}

/* A part's face may lie as its tiling has it, or by quarters from there;
 * what fits only aslant, also aslant the other way. */
static NestItem loose_item(Ctx *c, const Draft *d) {
    NestItem item  = { .count = 1,
                       .n_turns = d->tiling->turn % 90 ? 8 : 4 };
    double  *turns = NEW_N(c, double, 8);

    for (int k = 0; k < 8; k++)
        turns[k] = loose_turn(d, k) * TO_RADIANS;
    item.turns = turns;
    item.rings = shape_rings(c, d->face, FLAT);
    return item;
}

/* A piece of a strip lies as the strip does. */
static NestItem piece_item(Ctx *c, const StripPiece *piece) {
    return (NestItem){ .rings = shape_rings(c, piece->takes, FLAT),
                       .turns = NO_TURN, .n_turns = 1, .count = 1 };
}

/* What a sheet of a tiled pattern holds, which loose ones must avoid: the
 * shape inside its window, and the strips where sheets overlap. */
static void add_fixed(Ctx *c, const Workplan *p, const Draft *drafts,
                      int sheet, NestItem *items, int *n) {
    const OnSheet *on = &p->sheets.at[sheet].on.at[0];
    Shape window = shape_rect(c, v2(0, 0), v2(p->sheet_w, p->sheet_h));
    Shape seen   = shape_intersect(c, shape_move(c,
                       drafts[on->pattern].pattern.shape, on->at), window);

    for (int i = 0; i < p->sheets.n; i++) {
        const OnSheet *o = &p->sheets.at[i].on.at[0];
        V2             by = v2_sub(on->at, o->at);
        if (i != sheet && o->pattern == on->pattern
            && fabs(by.x) < p->sheet_w && fabs(by.y) < p->sheet_h)
            seen = shape_union(c, seen, shape_intersect(c, window,
                       shape_move(c, window, by)));
    }
    if (seen.loops.n == 0)
        return;
    items[(*n)++] = (NestItem){
        .rings = shape_rings(c, seen, FLAT), .turns = NO_TURN, .n_turns = 1,
        .count = 1, .fixed = true,
        .place = { .page = sheet, .at = v2(-LINE_ROOM, -LINE_ROOM) }
    };
}

static int count_loose(const Draft *drafts, int n) {
    int loose = 0;

    for (int i = 0; i < n; i++)
        loose += is_small(&drafts[i]) ? 1 : drafts[i].pieces.n;
    return loose;
}

/* Loose patterns beside the tiled ones, or on sheets of their own. */
static const Nest *nest_loose(Ctx *c, const Workplan *p,
                              const Draft *drafts, int n, bool beside) {
    NestItem *items = NEW_N(c, NestItem, count_loose(drafts, n)
                                         + p->sheets.n + 1);
    NestJob   job = { .items = items, .width = p->sheet_w - 2 * LINE_ROOM,
                      .height = p->sheet_h - 2 * LINE_ROOM, .gap = SHEET_GAP,
                      .steps = NEST_STEPS };

    for (int i = 0; i < n; i++) {
        if (is_small(&drafts[i]))
            items[job.n++] = loose_item(c, &drafts[i]);
        for (int k = 0; k < drafts[i].pieces.n; k++)
            items[job.n++] = piece_item(c, &drafts[i].pieces.at[k]);
    }
    for (int i = 0; beside && i < p->sheets.n; i++)
        add_fixed(c, p, drafts, i, items, &job.n);
    return nest_pages(c, &job);
}

static V2 from_nest(const NestPlace *at, V2 origin) {
    return v2_add(v2_sub(at->at, origin), v2(LINE_ROOM, LINE_ROOM));
}

static void add_small(Ctx *c, Workplan *p, Draft *d, int pattern,
                      const NestPlace *at, int first) {
    Pattern t = draft_pattern(c, d, loose_turn(d, at->turn));
    Sheet  *s = &p->sheets.at[first + at->page];

    t.columns = t.rows = 1;
    t.first_sheet = first + at->page;
    d->pattern = t;
    *PUSH(c, &s->on) = (OnSheet){
        .pattern = pattern, .at = from_nest(at, t.origin),
        .window = whole_window(p), .name = s->name };
}

/* Pieces are in the pattern's coordinates. */
static void add_pieces(Ctx *c, const Model *m, Workplan *p, Draft *d,
                       int pattern, const NestPlace *at, int first) {
    for (int k = 0; k < d->pieces.n; k++, at++) {
        Box2    w  = d->pieces.at[k].window;
        OnSheet on = { .pattern = pattern,
                       .at = from_nest(at, v2(0, 0)) };
        on.column = d->pattern.columns > 1 ? k : 0;
        on.row    = d->pattern.columns > 1 ? 0 : k;
        on.window = box2(w.min.x + on.at.x, w.min.y + on.at.y,
                         w.max.x + on.at.x, w.max.y + on.at.y);
        on.name   = piece_name(c, m, d, &on);
        if (k == 0 || first + at->page < d->pattern.first_sheet)
            d->pattern.first_sheet = first + at->page;
        *PUSH(c, &p->sheets.at[first + at->page].on) = on;
    }
}

static void add_loose(Ctx *c, const Model *m, Workplan *p, Draft *drafts,
                      int n, const Nest *nest, int first) {
    const NestPlace *at = nest->places.at;

    for (int sheet = p->sheets.n; sheet < first + nest->pages; sheet++) {
        Sheet *s = PUSH(c, &p->sheets);
        s->name  = str_fmt(c, "T%d", ++p->shared_sheets);
    }
    for (int i = 0; i < n; i++) {
        if (is_small(&drafts[i]))
            add_small(c, p, &drafts[i], i, at++, first);
        add_pieces(c, m, p, &drafts[i], i, at, first);
        at += drafts[i].pieces.n;
    }
}

static void tile_all(Ctx *c, const Model *m, Workplan *p, Draft *drafts,
                     int n, Lean lean) {
    memset(&p->sheets, 0, sizeof p->sheets);
    for (int i = 0; i < n; i++) {
        if (is_tiled(&drafts[i]))
            add_tiled(c, m, p, &drafts[i], i, lean);
    }
}

/* Loose patterns go into what tiled ones leave free where that saves a
 * sheet; otherwise they have sheets of their own, which are tidier. Windows
 * of tiled ones are moved, if need be, so that what they leave free lies
 * together. */
void sheets_place(Ctx *c, const Model *m, Workplan *p, Draft *drafts,
                  int n) {
    static const Lean leans[] = { { 0, 0 }, { -1, -1 }, { 1, -1 }, { 1, 1 },
                                  { -1, 1 } };
    const Nest *own, *best = NULL;
    int         tiled, pages;
    Lean        lean = leans[0];

    tile_all(c, m, p, drafts, n, leans[0]);
    tiled = p->sheets.n;
    own   = nest_loose(c, p, drafts, n, false);
    pages = tiled + own->pages;
    for (int i = 0; tiled > 0 && i < COUNT(leans) && pages > tiled
                    && pages > p->sheets_least; i++) {
        const Nest *beside;
        tile_all(c, m, p, drafts, n, leans[i]);
        beside = nest_loose(c, p, drafts, n, true);
        if (beside->places.n < own->places.n || beside->pages >= pages)
            continue;
        best  = beside;
        pages = beside->pages;
        lean  = leans[i];
    }
    tile_all(c, m, p, drafts, n, lean);
    if (own->places.n > 0)
        add_loose(c, m, p, drafts, n, best ? best : own, best ? 0 : tiled);
}

/* ---- All ---- */

/* What a pattern that shares sheets keeps others away from: half the gap
 * all around (less what facets cut off), which may reach beyond the window. */
static double roomy_area(Ctx *c, const Draft *d) {
    double by = SHEET_GAP / 2 - FLAT;

    return shape_area(is_small(d) ? shape_offset(c, d->pattern.shape, by)
                                  : d->pattern.shape);
}

/* A sheet has to do with one tiled pattern at most, as it is joined to its
 * other sheets (strips may share theirs); and the areas, with and without
 * what keeps them apart, need room. The room between is worth the work only
 * where it may tell. */
void sheets_least(Ctx *c, Workplan *p, const Draft *drafts, int n) {
    double area = 0, roomy = 0, sheet = p->sheet_w * p->sheet_h;
    double wide = (p->sheet_w + SHEET_GAP) * (p->sheet_h + SHEET_GAP);

    for (int i = 0; i < n; i++) {
        area += shape_area(drafts[i].pattern.shape);
        if (!is_small(&drafts[i]) && !drafts[i].strip)
            p->sheets_least += drafts[i].tiling->least;
    }
    for (int i = 0; i < n && 1.5 * area > p->sheets_least * sheet; i++)
        roomy += roomy_area(c, &drafts[i]);
    area = ceil(fmax(area / sheet, roomy / wide) - 1e-6);
    if (area > p->sheets_least)
        p->sheets_least = (int)area;
}
