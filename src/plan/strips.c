/* strips -- a long narrow pattern in pieces that lie side by side.
 *
 * A rod of 40 in by windows of whole sheets takes five sheets, each nearly
 * empty. So what is so narrow that two of it lie side by side on a sheet may
 * be cut across into pieces, each as long as a sheet (or all of one length),
 * which are nested with all that shares sheets. Where two pieces join, both
 * show the same strip, wide enough for the two numbered marks of a seam:
 *
 *         +--+ . . . . . . . +--+        pattern: the middle;
 *      +--+--+---------------+--+--+     window of a piece: its strips and
 *      |  |  |               |  |  |     what lies between them; it takes
 *      +--+--+---------------+--+--+     no more room than is drawn here
 *         +--+ . . . . . . . +--+
 *
 * What is wider stays in windows of whole sheets: it would be in many small
 * pieces, each with its seams.
 */
#include "plan/plan_internal.h"

#include <limits.h>
#include <math.h>

#define EDGE_ROOM  0.5    // mm, for the line beyond the true edge
#define LEAST_END  25.0   // mm; a last piece is not shorter
#define MARKS_BESIDE 14.0 // room for two, on both sides
#define SHEET_EFFORT 10000 // of a sheet, in pieces
#define BUSY_ROOM  16.0   // from a seam's middle to a mark

typedef struct {
    Ctx   *c;
    Shape  shape;           // of the pattern, its box's corner at 0, 0
    Box2   box;
    bool   up;              // pieces stand, else they lie
    double room;            // for a piece, along the strip
    double seam;            // its least length
} Cutter;

static double along(V2 v, bool up)  { return up ? v.y : v.x; }

static Box2 band(const Cutter *k, double from, double to) {
    double far = 1e5;

    return k->up ? box2(-far, from, far, to) : box2(from, -far, to, far);
}

static Shape shape_in(const Cutter *k, Box2 b) {
    return shape_intersect(k->c, k->shape, shape_rect(k->c, b.min, b.max));
}

static Box2 grown(Box2 b, double by) {
    return box2(b.min.x - by, b.min.y - by, b.max.x + by, b.max.y + by);
}

/* ---- Where it is cut ---- */

typedef LIST(double) Busy;

/* A seam as long as the shape is wide there, and for marks far enough apart:
 * beside a narrow shape, within a wide one. */
static double seam_length(double wide) {
    return wide >= SEAM_LEAST ? wide + 2 * EDGE_ROOM
                              : fmax(SEAM_LEAST, wide + MARKS_BESIDE);
}

static bool is_narrow(double wide, double across) {
    return 2 * seam_length(wide) + SHEET_GAP <= across - 2 * EDGE_ROOM;
}

bool strip_may(const Workplan *p, const Draft *d, bool up) {
    Box2   box  = shape_box(d->face);
    double w    = box.max.x - box.min.x, h = box.max.y - box.min.y;

    return d->tiling->tiles.n > 1
        && is_narrow(fmin(w, h), up ? p->sheet_w : p->sheet_h);
}

/* Marks of a rod, and openings, where no seam should be. */
static Busy busy_places(const Cutter *k, const Pattern *t) {
    Busy all = { 0 };

    for (int i = 0; i < t->marks.n; i++)
        *PUSH(k->c, &all) = along(pattern_point(t,
                                v2(t->marks.at[i].real, 0)), k->up);
    for (int i = 1; i < k->shape.loops.n; i++) {
        Box2 box = shape_box((Shape){ .loops = { &k->shape.loops.at[i], 1 } });
        *PUSH(k->c, &all) = along(v2_scale(v2_add(box.min, box.max), 0.5),
                                  k->up);
    }
    return all;
}

static double room_at(const Busy *busy, double at) {
    double room = BUSY_ROOM;

    for (int i = 0; i < busy->n; i++)
        room = fmin(room, fabs(busy->at[i] - at));
    return room;
}

/* A seam's middle where there is most room, near to `want`. */
static double quiet_place(const Busy *busy, double want, double low,
                          double high) {
    double best = want;

    for (double by = 0; by <= high - low; by += 1) {
        for (int side = -1; side <= 1; side += 2) {
            double at = want + side * by;
            if (at >= low && at <= high
                && room_at(busy, at) > room_at(busy, best) + 1e-9)
                best = at;
        }
    }
    return best;
}

/* Where pieces begin and end along the strip: as far on as they may be, or
 * all of one length; elsewhere if a seam would meet marks. A seam's middle
 * lies between `low`, from where the pieces left reach the end, and `high`,
 * how far this one reaches. */
static void cut_lengths(const Cutter *k, bool equal, const Busy *busy,
                        StripPieces *out) {
    double a = -EDGE_ROOM, to = along(k->box.max, k->up) + EDGE_ROOM;
    double lap  = SHEET_OVERLAP, step = k->room - lap;
    double rest = to - a - lap;
    int    n    = (int)ceil(rest / step - 1e-9);

    for (int i = 0; i < n - 1; i++) {
        double low  = to - (n - 1 - i) * step - lap / 2;
        double high = fmin(a + k->room, to - LEAST_END + lap) - lap / 2;
        double want = equal ? (i + 1) * rest / n + lap / 2 - EDGE_ROOM
                            : high;
        double at   = quiet_place(busy, fmax(low, fmin(high, want)), low,
                                  high);
        PUSH(k->c, out)->window = band(k, a, at + lap / 2);
        a = at - lap / 2;
    }
    PUSH(k->c, out)->window = band(k, a, to);
}

/* ---- What a piece takes ---- */

/* Where two pieces join. */
static Box2 seam_strip(const Cutter *k, Box2 a, Box2 b) {
    Box2   lap  = band(k, along(b.min, k->up), along(a.max, k->up));
    Box2   seen = shape_box(shape_in(k, lap));
    double mid  = k->up ? (seen.min.x + seen.max.x) / 2
                        : (seen.min.y + seen.max.y) / 2;
    double half = k->up ? seen.max.x - seen.min.x : seen.max.y - seen.min.y;

    half = fmax(k->seam, seam_length(half)) / 2;
    return k->up ? box2(mid - half, lap.min.y, mid + half, lap.max.y)
                 : box2(lap.min.x, mid - half, lap.max.x, mid + half);
}

static void add_seam(const Cutter *k, StripPiece *piece, Box2 *window,
                     Box2 seam) {
    box2_add(window, seam.min);
    box2_add(window, seam.max);
    piece->takes = shape_union(k->c, piece->takes,
                               shape_rect(k->c, seam.min, seam.max));
}

static void fill_pieces(const Cutter *k, StripPieces *all) {
    Box2 *windows = NEW_N(k->c, Box2, all->n);

    for (int i = 0; i < all->n; i++) {
        StripPiece *piece = &all->at[i];
        piece->takes = shape_in(k, piece->window);
        windows[i]   = grown(shape_box(piece->takes), EDGE_ROOM);
        if (i > 0)
            add_seam(k, piece, &windows[i],
                     seam_strip(k, all->at[i - 1].window, piece->window));
        if (i < all->n - 1)
            add_seam(k, piece, &windows[i],
                     seam_strip(k, piece->window, all->at[i + 1].window));
    }
    for (int i = 0; i < all->n; i++) {
        Box2 *w = &all->at[i].window;
        if (k->up)
            *w = box2(windows[i].min.x, w->min.y, windows[i].max.x,
                      w->max.y);
        else
            *w = box2(w->min.x, windows[i].min.y, w->max.x,
                      windows[i].max.y);
    }
}

/* The strip stands or lies, its far end up or to the right. */
static void strip_cut(Ctx *c, const Workplan *p, Draft *d, StripWay way,
                      double seam) {
    bool   up   = way == STRIP_UP || way == STRIP_UP_EQUAL;
    Box2   face = shape_box(d->face);
    bool   tall = face.max.y - face.min.y > face.max.x - face.min.x;
    Cutter k    = { .c = c, .up = up, .seam = seam };
    Busy   busy;

    d->pieces  = (StripPieces){ 0 };
    d->pattern = draft_pattern(c, d, tall == up ? 0 : 90);
    k.shape    = d->pattern.shape;
    k.box      = shape_box(k.shape);
    k.room     = (up ? p->sheet_h : p->sheet_w) - 2 * EDGE_ROOM;
    busy       = busy_places(&k, &d->pattern);
    cut_lengths(&k, way == STRIP_UP_EQUAL || way == STRIP_LEVEL_EQUAL,
                &busy, &d->pieces);
    fill_pieces(&k, &d->pieces);
    d->pattern.columns = up ? 1 : d->pieces.n;
    d->pattern.rows    = up ? d->pieces.n : 1;
}

/* ---- Which way ---- */

typedef struct {
    Ctx            *c;
    const Model    *m;
    const Workplan *plan;   // without sheets
    const Draft    *drafts;
    int             n;
    StripWay       *ways;   // of each draft
    double         *seams;  // least length of each draft's seams
    Workplan        best;
    int             effort; // of it
    Draft          *best_drafts;
    StripWay       *best_ways;
} Choice;

static bool may_lie(const Choice *s, int i, StripWay way) {
    return way == STRIP_NOT
        || strip_may(s->plan, &s->drafts[i],
                     way == STRIP_UP || way == STRIP_UP_EQUAL);
}

/* Sheets first, then pieces: each has to be cut out and joined. */
static int effort_of(const Workplan *p) {
    int pieces = 0;

    for (int i = 0; i < p->sheets.n; i++)
        pieces += p->sheets.at[i].on.n;
    return p->sheets.n * SHEET_EFFORT + pieces;
}

/* The least effort, known before anything is laid on sheets: how many
 * pieces there are, and how many sheets have windows of their own. */
static int least_effort(const Choice *s, const Draft *drafts) {
    int pieces = 0, tiles = 0;

    for (int i = 0; i < s->n; i++) {
        int n = drafts[i].tiling->tiles.n;
        pieces += drafts[i].pieces.n ? drafts[i].pieces.n : n;
        tiles  += drafts[i].pieces.n || n == 1 ? 0 : n;
    }
    if (tiles < s->plan->sheets_least)
        tiles = s->plan->sheets_least;
    return tiles * SHEET_EFFORT + pieces;
}

/* Keeps what takes at most so much effort. Places are searched until
 * so few sheets are `enough`. */
static bool try_ways(Choice *s, int most, int enough) {
    Workplan p  = *s->plan;
    Draft   *ds = NEW_N(s->c, Draft, s->n + 1);

    for (int i = 0; i < s->n; i++) {
        ds[i] = s->drafts[i];
        if (s->ways[i] != STRIP_NOT)
            strip_cut(s->c, &p, &ds[i], s->ways[i], s->seams[i]);
    }
    if (least_effort(s, ds) > most)
        return false;
    p.sheets_least = enough;
    sheets_place(s->c, s->m, &p, ds, s->n);
    p.sheets_least = s->plan->sheets_least;
    if (effort_of(&p) > most)
        return false;
    s->best        = p;
    s->effort      = effort_of(&p);
    s->best_drafts = ds;
    memcpy(s->best_ways, s->ways, sizeof *s->ways * (size_t)s->n);
    return true;
}

static bool is_done(const Choice *s) {
    return s->best.sheets.n <= s->plan->sheets_least;
}

/* All strips in one way. */
static void try_all(Choice *s, StripWay way) {
    bool any = false;

    for (int i = 0; i < s->n; i++) {
        bool may = s->drafts[i].strip && may_lie(s, i, way);
        s->ways[i] = may ? way : STRIP_NOT;
        any |= may;
    }
    if (any || way == STRIP_NOT)
        try_ways(s, s->best_drafts ? s->effort - (way != STRIP_NOT)
                                   : INT_MAX, s->plan->sheets_least);
}

/* Up for level, pieces alike or not as they were. */
static StripWay other_way(StripWay way) {
    switch (way) {
    case STRIP_UP:          return STRIP_LEVEL;
    case STRIP_LEVEL:       return STRIP_UP;
    case STRIP_UP_EQUAL:    return STRIP_LEVEL_EQUAL;
    case STRIP_LEVEL_EQUAL: return STRIP_UP_EQUAL;
    case STRIP_NOT:
    case STRIP_WAYS:        break;
    }
    return STRIP_NOT;
}

/* One strip across to how the best has it, or whole. */
static void try_each(Choice *s) {
    for (int i = 0; i < s->n && !is_done(s); i++) {
        StripWay ways[] = { STRIP_NOT, other_way(s->best_ways[i]) };
        for (int k = 0; k < COUNT(ways) && !is_done(s); k++) {
            memcpy(s->ways, s->best_ways, sizeof *s->ways * (size_t)s->n);
            if (!s->drafts[i].strip || ways[k] == s->ways[i]
                || !may_lie(s, i, ways[k]))
                continue;
            s->ways[i] = ways[k];
            try_ways(s, s->effort - 1, s->plan->sheets_least);
        }
    }
}

/* Marks far apart join more truly: seams as long as the same sheets have
 * room for, strip by strip. */
static void widen_seams(Choice *s) {
    static const double lengths[] = { 60, 50, 42 };

    memcpy(s->ways, s->best_ways, sizeof *s->ways * (size_t)s->n);
    for (int i = 0; i < s->n; i++) {
        bool fits = s->ways[i] == STRIP_NOT;
        for (int k = 0; !fits && k < COUNT(lengths); k++) {
            s->seams[i] = lengths[k];
            fits = try_ways(s, s->effort, s->best.sheets.n);
        }
        if (!fits)
            s->seams[i] = SEAM_LEAST;
    }
}

void strips_place(Ctx *c, const Model *m, Workplan *p, Draft *drafts,
                  int n) {
    Choice s = { .c = c, .m = m, .plan = p, .drafts = drafts, .n = n,
                 .ways = NEW_N(c, StripWay, n + 1),
                 .seams = NEW_N(c, double, n + 1),
                 .best_ways = NEW_N(c, StripWay, n + 1) };

    for (int i = 0; i < n; i++)
        s.seams[i] = SEAM_LEAST;
    for (StripWay way = STRIP_UP; way < STRIP_WAYS; way++) {
        if (!s.best_drafts || !is_done(&s))
            try_all(&s, way);
    }
    try_all(&s, STRIP_NOT);
    if (!is_done(&s))
        try_each(&s);
    widen_seams(&s);
    *p = s.best;
    for (int i = 0; i < n; i++)
        drafts[i] = s.best_drafts[i];
}
