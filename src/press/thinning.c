/* thinning -- where a drawing is dense, lines that would run together are left
 * out, and small pieces get thinner outlines.
 *
 *     ========     six courses of a roof, seen along its slope, in three
 *     --------     millimeters: lines that print as one gray are fewer, so
 *     ========     that they are seen as lines
 *
 * Lines are taken in order of their weight, then their length, into a map of
 * the ink, cell by cell, with the way each runs. Where one lies on another
 * that runs the same way, or has two of them near by, it is left out. Two
 * edges of a thin board stay. (ISO 128-2 wants parallel lines 0.7 mm apart
 * or more; from memory.)
 */
#include "press/press_internal.h"

#include <math.h>

#define CELL      0.25   // mm
#define ALONG     0.5    // mm from one place of a line to the next, looked at
#define ACROSS    0.2    // the same, to the sides of it
#define RUN_LEAST 4.0    // mm: a shorter stretch of a line is no line
#define END_LEAST 2.0    // the same, at an end of the line
#define JOINS     0.5    // mm from a line's end: others meet it there
#define WAYS      18     // in half a turn
#define ON_IT     0.30   // mm from the middle of a line: as good as on it
#define WINDOW    1.10   // mm to both sides: two lines more are a crowd
#define BLOCK     16     // cells, together more than twice REACHES
#define NOTED     1.0    // mm along a line: its blocks are noted again
#define REACHES   (WINDOW + CELL + NOTED / 2)   // of such a place
#define SMALL_MM  1.5    // a piece not wider on the page: thin outline
#define NARROW_MM 4.0    // not wider: a middling one

/* The way of each cell's ink, 0: none. `near`: by block, bits of the ways that
 * some ink within WINDOW of it runs. */
typedef struct {
    Box2 box;
    int  w, h;
    unsigned char *way;
    unsigned      *near;
} Map;

/* Index of a place's cell, in cells of a size; -1: off the map. */
static inline int index_at(const Map *m, double x, double y, double cell,
                           int per) {
    int w = (m->w + per - 1) / per, h = (m->h + per - 1) / per;

    x = (x - m->box.min.x) / cell;
    y = (y - m->box.min.y) / cell;
    return x < 0 || y < 0 || x >= w || y >= h ? -1 : (int)y * w + (int)x;
}

static inline int cell_at(const Map *m, double x, double y) {
    return index_at(m, x, y, CELL, 1);
}

static inline int block_at(const Map *m, double x, double y) {
    return index_at(m, x, y, BLOCK * CELL, BLOCK);
}

/* 1..WAYS, by the line's direction, either way around. */
static int way_of(V2 by) {
    double a = atan2(by.y, by.x) / 3.14159265358979323846;

    a = a < 0 ? a + 1 : a;
    return 1 + (int)floor(a * WAYS + 0.5) % WAYS;
}

static inline bool same_way(int a, int b) {
    int off = abs(a - b);

    return off <= 1 || off == WAYS - 1;
}

/* Bits of the ways that count as the same. */
static unsigned ways_like(int way) {
    unsigned bits = 0;

    for (int i = 1; i <= WAYS; i++)
        bits |= same_way(i, way) ? 1u << i : 0;
    return bits;
}

/* Is the point crowded: a line of the same way on it, or two near by? They
 * are counted across; squares a diagonal apart are of one line. */
static bool is_crowded(const Map *m, V2 at, V2 aside, int way) {
    double last  = -INFINITY;
    int    lines = 0;

    for (double d = -WINDOW; d <= WINDOW + 1e-9; d += ACROSS) {
        int cell = cell_at(m, at.x + d * aside.x, at.y + d * aside.y);
        if (cell < 0 || !m->way[cell] || !same_way(m->way[cell], way))
            continue;
        if (fabs(d) <= ON_IT)
            return true;
        lines += d - last > 2 * ACROSS + 1e-9;
        last = d;
    }
    return lines >= 2;
}

/* For n places along the line: is it crowded there? Not at its ends, where
 * others join it. */
static bool *crowded_along(Press *p, const Map *m, V2 a, V2 b, int n) {
    V2     by      = v2_sub(b, a);
    double len     = v2_len(by);
    V2     aside   = len > 0 ? v2(-by.y / len, by.x / len) : v2(0, 0);
    bool  *crowded = NEW_N(p->c, bool, n);
    int    way     = way_of(by);
    unsigned like  = ways_like(way);

    for (int i = 0; i < n; i++) {
        double k     = (i + 0.5) / n;
        V2     at    = v2(a.x + k * by.x, a.y + k * by.y);
        int    block = block_at(m, at.x, at.y);
        crowded[i] = (k < 0.5 ? k : 1 - k) * len > JOINS
                  && (block < 0 || m->near[block] & like)
                  && is_crowded(m, at, aside, way);
    }
    return crowded;
}

static double within(double v, double least, double most) {
    return v < least ? least : v > most ? most : v;
}

/* A block is wider than what the ink reaches, so all that it reaches are at
 * the corners of that. */
static void note_near(Map *m, V2 at, int way) {
    for (int i = 0; i < 4; i++) {
        double x = at.x + (i & 1 ? REACHES : -REACHES);
        double y = at.y + (i & 2 ? REACHES : -REACHES);
        int    block = block_at(m, within(x, m->box.min.x, m->box.max.x),
                                within(y, m->box.min.y, m->box.max.y));
        m->near[block] |= 1u << way;
    }
}

static void put_line(Map *m, V2 a, V2 b) {
    V2     by  = v2_sub(b, a);
    double len = v2_len(by);
    int    n   = 1 + (int)(2 * len / CELL), notes = 1 + (int)(len / NOTED);
    int    way = way_of(by);

    for (int i = 0; i <= n; i++) {
        double k    = (double)i / n;
        int    cell = cell_at(m, a.x + k * by.x, a.y + k * by.y);
        if (cell >= 0)
            m->way[cell] = (unsigned char)way;
    }
    for (int i = 0; i <= notes; i++)
        note_near(m, v2_add(a, v2_scale(by, (double)i / notes)), way);
}

/* ---- In order ---- */

typedef struct { int line; bool earlier, crease; double length; } Rank;
typedef LIST(Rank) Ranks;

static int by_weight(const void *a, const void *b, const void *with) {
    const Rank *p = a, *q = b;

    (void)with;
    if (p->earlier != q->earlier)
        return p->earlier ? 1 : -1;
    if (p->crease != q->crease)
        return p->crease ? 1 : -1;
    return p->length > q->length ? -1 : p->length < q->length;
}

static Ranks ranked(Press *p, const Picture *picture, const bool *earlier) {
    Ranks ranks = { 0 };

    for (int i = 0; i < picture->lines.n; i++) {
        const Line2 *l = &picture->lines.at[i];
        *PUSH(p->c, &ranks) = (Rank){
            i, earlier[i], l->kind == LINE_CREASE,
            floor(v2_len(v2_sub(l->b, l->a)) * 1e3 + 0.5)
        };
    }
    list_sort(p->c, ranks.at, ranks.n, sizeof *ranks.at, by_weight, NULL);
    return ranks;
}

static void keep_run(Press *p, Map *map, const Place *pl, Line2 l,
                     double from, double to, Line2s *kept) {
    V2 by = v2_sub(l.b, l.a);

    l.b = v2_add(l.a, v2_scale(by, to));
    l.a = v2_add(l.a, v2_scale(by, from));
    *PUSH(p->c, kept) = l;
    put_line(map, place_point(pl, l.a), place_point(pl, l.b));
}

/* Keeps the stretches of a line that have no other beside them. Stubs are
 * no stretches, and short gaps are not worth leaving. */
static void keep_line(Press *p, Map *map, const Place *pl, Line2 l,
                      Line2s *kept) {
    V2     a = place_point(pl, l.a), b = place_point(pl, l.b);
    int    n = 1 + (int)(v2_len(v2_sub(b, a)) / ALONG), covered = 0;
    bool  *crowded = crowded_along(p, map, a, b, n);

    for (int i = 0; i < n; i++)
        covered += crowded[i];
    if (covered == 0) {
        keep_run(p, map, pl, l, 0, 1, kept);
        return;
    }
    for (int i = 0, k; i < n; i = k + 1) {
        for (k = i; k < n && !crowded[k]; k++)
            continue;
        if ((k - i) * ALONG >= (i == 0 || k == n ? END_LEAST : RUN_LEAST))
            keep_run(p, map, pl, l, (double)i / n, (double)k / n, kept);
    }
}

Line2s lines_sparse(Press *p, const Picture *picture, const Place *pl,
                    const bool *earlier) {
    Box2   box  = place_box(pl, picture->box);
    Map    map  = { box, 2 + (int)((box.max.x - box.min.x) / CELL),
                    2 + (int)((box.max.y - box.min.y) / CELL), NULL, NULL };
    Ranks  ranks = ranked(p, picture, earlier);
    Line2s kept  = { 0 };

    map.way  = NEW_N(p->c, unsigned char, map.w * map.h);
    map.near = NEW_N(p->c, unsigned, (map.w / BLOCK + 1)
                                     * (map.h / BLOCK + 1));
    for (int i = 0; i < ranks.n; i++) {
        Line2 l = picture->lines.at[ranks.at[i].line];
        if (l.kind == LINE_EXTRA || l.kind == LINE_STROKE || l.hidden)
            *PUSH(p->c, &kept) = l;
        else
            keep_line(p, &map, pl, l, &kept);
    }
    return kept;
}

/* ---- Outlines of small pieces ---- */

/* By id: the visible area of a body over the length it has on the page. */
static double *widths_of(Press *p, const Picture *picture, int ids) {
    double *area = NEW_N(p->c, double, ids);
    Box2   *box  = NEW_N(p->c, Box2, ids);

    for (int i = 0; i < ids; i++)
        box[i] = box2_empty();
    for (int i = 0; i < picture->patches.n; i++) {
        const Patch *patch = &picture->patches.at[i];
        area[patch->id] += polygons_area(patch->area);
        for (int k = 0; k < patch->area.parts.n; k++)
            for (int j = 0; j < patch->area.parts.at[k].at[0].n; j++)
                box2_add(&box[patch->id],
                         patch->area.parts.at[k].at[0].at[j]);
    }
    for (int i = 0; i < ids; i++)
        if (area[i] > 0)
            area[i] /= v2_len(v2_sub(box[i].max, box[i].min));
    return area;
}

double *outline_widths(Press *p, const Picture *picture, const Place *pl,
                       int ids) {
    double *width = widths_of(p, picture, ids);

    for (int i = 0; i < ids; i++) {
        double mm = width[i] * pl->scale;
        width[i] = mm <= 0 || mm > NARROW_MM ? 0.5 : mm > SMALL_MM ? 0.35
                                                                   : 0.25;
    }
    return width;
}
