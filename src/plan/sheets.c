/* sheets -- full-size patterns, and the sheets they are printed on.
 *
 * A pattern larger than a sheet is laid over several that overlap (tile.c),
 * half of it where it is symmetric and that saves sheets. The others share
 * sheets as true shapes (nest.c), also in what the large ones leave free.
 * A sheet's window is the paper less SHEET_MARGIN, in which no printer that
 * is common prints safely and where bars and words have their place.
 */
#include "plan/nest.h"
#include "plan/plan_internal.h"
#include "plan/tile.h"

#include <math.h>

#define FLAT        0.1     // sagitta of outlines that are laid out, mm
#define NEST_STEPS  10000   // weighed places, for loose patterns
#define LINE_ROOM   0.15    // a line is wide beyond the true edge, mm
#define LEAN_ROOM   3.0     // that windows keep beside a pattern, mm
#define TO_RADIANS  0.017453292519943295

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

/* The mirror image of a point about the middle of the box. */
static V2 mirror(Box2 box, bool along, V2 v) {
    return along ? v2(v.x, box.min.y + box.max.y - v.y)
                 : v2(box.min.x + box.max.x - v.x, v.y);
}

/* True if every blind hole, groove or pocket of the face has its mirror
 * image: these do not show in the outline, but half a pattern would lose
 * them. A groove's place is its left end, others' their center. */
static bool marks_symmetric(const Part *part, Box2 box, bool along) {
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        double long_ = f->kind == FEATURE_GROOVE && !along
                     ? f->length.real : 0;
        for (int k = 0; is_blind_mark(f) && (k == 0 || k < f->count); k++) {
            V2   at = mirror(box, along, v2_add(v2(f->x.real, f->y.real),
                                                feature_copy(f, k)));
            bool found = false;
            for (int j = 0; j < part->features.n && !found; j++)
                found = is_mark_at(&part->features.at[j], f, at.x - long_,
                                   at.y);
            if (!found)
                return false;
        }
    }
    return true;
}

/* The fold runs along the part, or across it. */
static bool may_be_halved(Ctx *c, const Part *part, bool along) {
    return marks_symmetric(part, shape_box(part->face), along)
        && shape_symmetric(c, part->face, !along, 0.01);
}

/* ---- Patterns ---- */

/* A pattern before its sheets are known. */
typedef struct {
    Pattern       pattern;   // turned as its tiling has it
    Shape         face;      // of the part (or jig), as it lies
    V2            fold[2];   // ends of the fold, if it is half
    V2            repeat[2];
    const Tiling *tiling;
} Draft;

static V2 turn_point(V2 v, double degrees) {
    double a = degrees * TO_RADIANS;
    double co = fmod(degrees, 180) == 90 ? 0 : cos(a);
    double si = fmod(degrees, 180) == 0 ? 0 : sin(a);

    return v2(v.x * co - v.y * si, v.x * si + v.y * co);
}

V2 pattern_point(const Pattern *t, V2 v) {
    return v2_add(t->origin, turn_point(v, t->turn));
}

Shape pattern_shape(Ctx *c, const Pattern *t, Shape s) {
    return shape_move(c, shape_turn(c, s, v2(0, 0), t->turn * TO_RADIANS),
                      t->origin);
}

/* The part's face from its lower left corner to there. */
static Shape face_until(Ctx *c, const Part *part, V2 to) {
    Box2 box = shape_box(part->face);

    return shape_intersect(c, part->face,
               shape_rect(c, v2(box.min.x - 1, box.min.y - 1), to));
}

/* The pattern with its shape turned by so many degrees to the left. */
static Pattern turned_pattern(Ctx *c, const Draft *d, double turn) {
    Pattern t = d->pattern;

    t.turn   = turn;
    t.shape  = shape_turn(c, d->face, v2(0, 0), turn * TO_RADIANS);
    t.origin = v2_scale(shape_box(t.shape).min, -1);
    t.shape  = shape_move(c, t.shape, t.origin);
    for (int i = 0; i < 2; i++) {
        t.fold[i]   = pattern_point(&t, d->fold[i]);
        t.repeat[i] = pattern_point(&t, d->repeat[i]);
    }
    return t;
}

static void tile_draft(Ctx *c, const Workplan *p, Draft *d) {
    Rings rings = shape_rings(c, d->face, FLAT);

    d->tiling  = tile_shape(c, rings, p->sheet_w, p->sheet_h, SHEET_OVERLAP);
    d->pattern = turned_pattern(c, d, d->tiling->turn);
}

typedef enum { WHOLE, FOLD_ACROSS, FOLD_ALONG } Fold;

/* The fold's ends are in such order that the half lies to its left. */
static Draft make_draft(Ctx *c, const Workplan *p, const Part *part,
                        int index, Fold fold) {
    Box2  box    = shape_box(part->face);
    V2    middle = v2_scale(v2_add(box.min, box.max), 0.5);
    Draft d = { .pattern = { .part = index, .half = fold != WHOLE },
                .face = part->face };

    if (fold == FOLD_ACROSS) {
        d.face    = face_until(c, part, v2(middle.x, box.max.y + 1));
        d.fold[0] = v2(middle.x, box.min.y);
        d.fold[1] = v2(middle.x, box.max.y);
    } else if (fold == FOLD_ALONG) {
        d.face    = face_until(c, part, v2(box.max.x + 1, middle.y));
        d.fold[0] = v2(box.max.x, middle.y);
        d.fold[1] = v2(box.min.x, middle.y);
    }
    tile_draft(c, p, &d);
    return d;
}

/* A profile along a whole edge, whose both ends are alike: its left end
 * and one repeat are enough; NULL: the part has none, or other cuts too. */
static const Feature *only_profile(const Part *part) {
    const Feature *f = part->features.n == 1 ? &part->features.at[0] : NULL;

    return f && f->kind == FEATURE_SCALLOP && f->repeats >= 3
        && (f->side == SIDE_NEAR || f->side == SIDE_FAR) ? f : NULL;
}

static Draft repeat_draft(Ctx *c, const Workplan *p, const Part *part,
                          int index, const Feature *f) {
    Box2   box   = shape_box(part->face);
    double begin = f->start.real, end = begin + f->pitch.real;
    Draft  d = { .pattern = { .part = index, .half = true,
                              .repeats = f->repeats } };

    d.face      = face_until(c, part, v2(end, box.max.y + 1));
    d.fold[0]   = v2(end, box.min.y);
    d.fold[1]   = v2(end, box.max.y);
    d.repeat[0] = v2(begin, box.min.y);
    d.repeat[1] = v2(begin, box.max.y);
    tile_draft(c, p, &d);
    return d;
}

/* The half that needs fewer sheets, if it may be halved. */
static void try_half(Ctx *c, const Workplan *p, const Part *part, Fold fold,
                     Draft *best) {
    bool  asked = part->templated == TEMPLATE_HALF && !best->pattern.half;
    Draft half;

    if ((best->tiling->tiles.n <= 1 && !asked)
        || !may_be_halved(c, part, fold == FOLD_ALONG))
        return;
    half = make_draft(c, p, part, best->pattern.part, fold);
    if (asked || half.tiling->tiles.n < best->tiling->tiles.n)
        *best = half;
}

/* Whole, unless half of it needs fewer sheets. */
static Draft best_draft(Ctx *c, const Workplan *p, const Part *part,
                        int index) {
    Draft best = make_draft(c, p, part, index, WHOLE);

    if (only_profile(part) && part->templated != TEMPLATE_HALF
        && best.tiling->tiles.n > 1 && may_be_halved(c, part, false))
        return repeat_draft(c, p, part, index, only_profile(part));
    try_half(c, p, part, FOLD_ACROSS, &best);
    try_half(c, p, part, FOLD_ALONG, &best);
    return best;
}

/* Has it been said for the other paper? */
static bool has_diag(const Ctx *c, DiagCode code, Loc at) {
    for (int i = 0; i < c->diags.n; i++) {
        const Diag *d = &c->diags.at[i];
        if (d->code == code && d->loc.begin == at.begin
            && d->loc.file == at.file)
            return true;
    }
    return false;
}

/* A template that its author wants on one sheet must fit on it. */
static void check_one(Ctx *c, const Workplan *p, const Part *part,
                      const Draft *d) {
    Box2 box = shape_box(d->face);

    if (part->templated != TEMPLATE_ONE || d->tiling->tiles.n == 1
        || has_diag(c, TEMPLATE_LARGE, part->loc))
        return;
    report(c, part->loc, TEMPLATE_LARGE, "the template of part %.*s is "
           "%.0f x %.0f mm and needs %d sheets, but it is to be on one; "
           "the paper has room for %.1f x %.1f mm", STR_ARG(part->letter),
           box.max.x - box.min.x, box.max.y - box.min.y,
           d->tiling->tiles.n, p->sheet_w, p->sheet_h);
}

static bool is_small(const Draft *d) {
    return d->tiling->tiles.n == 1;
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
        s->name = str_fmt(c, "%.*s-%.*s%d",
                          STR_ARG(pattern_letter(c, m, &d->pattern, pattern)),
                          STR_ARG(column_name(c, on.at[i].column)),
                          on.at[i].row + 1);
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

/* Loose patterns beside the tiled ones, or on sheets of their own. */
static const Nest *nest_loose(Ctx *c, const Workplan *p,
                              const Draft *drafts, int n, bool beside) {
    NestItem *items = NEW_N(c, NestItem, n + p->sheets.n + 1);
    NestJob   job = { .items = items, .width = p->sheet_w - 2 * LINE_ROOM,
                      .height = p->sheet_h - 2 * LINE_ROOM, .gap = SHEET_GAP,
                      .steps = NEST_STEPS };

    for (int i = 0; i < n; i++) {
        if (is_small(&drafts[i]))
            items[job.n++] = loose_item(c, &drafts[i]);
    }
    for (int i = 0; beside && i < p->sheets.n; i++)
        add_fixed(c, p, drafts, i, items, &job.n);
    return nest_pages(c, &job);
}

static void add_loose(Ctx *c, Workplan *p, Draft *drafts, int n,
                      const Nest *nest, int first) {
    for (int sheet = p->sheets.n; sheet < first + nest->pages; sheet++) {
        Sheet *s = PUSH(c, &p->sheets);
        s->name  = str_fmt(c, "T%d", ++p->shared_sheets);
    }
    for (int i = 0, k = 0; i < n; i++) {
        const NestPlace *at;
        Draft           *d = &drafts[i];
        Pattern          t;
        if (!is_small(d))
            continue;
        at = &nest->places.at[k++];
        t  = turned_pattern(c, d, loose_turn(d, at->turn));
        t.columns = t.rows = 1;
        t.first_sheet = first + at->page;
        d->pattern = t;
        *PUSH(c, &p->sheets.at[first + at->page].on) =
            (OnSheet){ .pattern = i,
                       .at = v2_add(v2_sub(at->at, t.origin),
                                    v2(LINE_ROOM, LINE_ROOM)) };
    }
}

static void tile_all(Ctx *c, const Model *m, Workplan *p, Draft *drafts,
                     int n, Lean lean) {
    memset(&p->sheets, 0, sizeof p->sheets);
    for (int i = 0; i < n; i++) {
        if (!is_small(&drafts[i]))
            add_tiled(c, m, p, &drafts[i], i, lean);
    }
}

/* Loose patterns go into what tiled ones leave free where that saves a
 * sheet; otherwise they have sheets of their own, which are tidier. Windows
 * of tiled ones are moved, if need be, so that what they leave free lies
 * together. */
static void place_all(Ctx *c, const Model *m, Workplan *p, Draft *drafts,
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
        add_loose(c, p, drafts, n, best ? best : own, best ? 0 : tiled);
}

/* ---- All ---- */

/* What a pattern that shares sheets keeps others away from: half the gap
 * all around, which may reach beyond the window. */
static double roomy_area(Ctx *c, const Draft *d) {
    return shape_area(is_small(d)
                      ? shape_offset(c, d->pattern.shape, SHEET_GAP / 2)
                      : d->pattern.shape);
}

/* A sheet has to do with one tiled pattern at most, as it is joined to its
 * other sheets; and the areas, with and without what keeps them apart, need
 * room. */
static void note_least(Ctx *c, Workplan *p, const Draft *drafts, int n) {
    double area = 0, roomy = 0, sheet = p->sheet_w * p->sheet_h;
    double wide = (p->sheet_w + SHEET_GAP) * (p->sheet_h + SHEET_GAP);

    for (int i = 0; i < n; i++) {
        area  += shape_area(drafts[i].pattern.shape);
        roomy += roomy_area(c, &drafts[i]);
        if (!is_small(&drafts[i]))
            p->sheets_least += drafts[i].tiling->least;
    }
    area = ceil(fmax(area / sheet, roomy / wide) - 1e-6);
    if (area > p->sheets_least)
        p->sheets_least = (int)area;
}

void plan_sheets(Ctx *c, const Model *m, Workplan *p, double width,
                 double height) {
    LIST(Draft) drafts = { 0 };
    Patterns    jigs   = { 0 };

    p->sheet_w = width - 2 * SHEET_MARGIN;
    p->sheet_h = height - 2 * SHEET_MARGIN;
    for (int i = 0; i < m->parts.n; i++) {
        const Part *part = &m->parts.at[i];
        if (!part_has_template(part) || part->face.loops.n == 0)
            continue;
        *PUSH(c, &drafts) = best_draft(c, p, part, i);
        check_one(c, p, part, &drafts.at[drafts.n - 1]);
    }
    plan_jigs(c, m, drafts.n == 0, &jigs);
    for (int i = 0; i < jigs.n; i++) {
        Draft *d = PUSH(c, &drafts);
        *d = (Draft){ .pattern = jigs.at[i], .face = jigs.at[i].shape };
        tile_draft(c, p, d);
    }
    note_least(c, p, drafts.at, drafts.n);
    place_all(c, m, p, drafts.at, drafts.n);
    for (int i = 0; i < drafts.n; i++)
        *PUSH(c, &p->patterns) = drafts.at[i].pattern;
}

const Workplan *plan_on_paper(Ctx *c, const Model *m, const Workplan *old,
                              double width, double height) {
    Workplan *p = NEW(c, Workplan);

    *p = *old;
    memset(&p->patterns, 0, sizeof p->patterns);
    memset(&p->sheets, 0, sizeof p->sheets);
    p->shared_sheets = p->sheets_least = 0;
    plan_sheets(c, m, p, width, height);
    return p;
}
