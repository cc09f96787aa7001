/* ink_map -- a map of a drawing for the leaders of its letters: where lines
 * run, where letters point, and which squares show another letter's piece.
 * One look for each step of a leader, however many lines the drawing has.
 */
#include "press/ink_map.h"

#include <math.h>

#define FEE_LINE 1.5     // for a line that is run over, or 0.8 mm along it
#define FEE_DOT  6.0     // for each 0.8 mm within 2 mm of another's dot
#define FEE_FACE 0.8     // for each 0.8 mm over another letter's new piece
#define HAS_LINE 1
#define HAS_DOT  2
#define OWN_DOT  4       // squares at the leader's own dot

/* The square of a point, or -1. */
static inline int square_at(const InkMap *m, V2 v) {
    double x = (v.x - m->from.x) / INK_CELL;
    double y = (v.y - m->from.y) / INK_CELL;

    return x < 0 || y < 0 || x >= m->w || y >= m->h
         ? -1 : (int)y * m->w + (int)x;
}

static void add_line(InkMap *m, V2 a, V2 b) {
    double far = v2_len(v2_sub(b, a));
    int    n   = 1 + (int)(far / (INK_CELL / 2));

    for (int i = 0; i <= n; i++) {
        double k  = (double)i / n;
        int    at = square_at(m, (V2){ a.x + k * (b.x - a.x),
                                       a.y + k * (b.y - a.y) });
        if (at >= 0)
            m->cell[at] |= HAS_LINE;
    }
}

static void add_dot(InkMap *m, V2 dot_at) {
    for (int i = -2; i <= 2; i++)
        for (int k = -2; k <= 2; k++) {
            int at = square_at(m, (V2){ dot_at.x + i * INK_CELL,
                                        dot_at.y + k * INK_CELL });
            if (at >= 0 && i * i + k * k <= 6)
                m->cell[at] |= HAS_DOT;
        }
}

/* ---- Faces ---- */

static int by_size(const void *a, const void *b, const void *with) {
    const double *p = a, *q = b;

    (void)with;
    return (*p > *q) - (*p < *q);
}

typedef LIST(double) Cuts;

/* Where the outlines of an area cross the level y on the page. */
static void cuts_at(Ctx *c, Polygons area, const Place *pl, double y,
                    Cuts *cuts) {
    cuts->n = 0;
    for (int i = 0; i < area.parts.n; i++)
        for (int k = 0; k < area.parts.at[i].n; k++) {
            const Ring *r = &area.parts.at[i].at[k];
            for (int j = 0; j < r->n; j++) {
                V2 a = place_point(pl, r->at[j]);
                V2 b = place_point(pl, r->at[(j + 1) % r->n]);
                if ((a.y > y) != (b.y > y))
                    *PUSH(c, cuts) = a.x + (y - a.y) / (b.y - a.y)
                                         * (b.x - a.x);
            }
        }
    list_sort(c, cuts->at, cuts->n, sizeof *cuts->at, by_size, NULL);
}

/* The squares whose middles lie in the area. */
static void add_face(Ctx *c, InkMap *m, Polygons area, const Place *pl,
                     int part) {
    Box2 box  = box2_empty();
    Cuts cuts = { 0 };
    int  from, to;

    for (int i = 0; i < area.parts.n; i++)
        for (int k = 0; k < area.parts.at[i].at[0].n; k++)
            box2_add(&box, place_point(pl, area.parts.at[i].at[0].at[k]));
    from = (int)fmax((box.min.y - m->from.y) / INK_CELL, 0);
    to   = (int)fmin((box.max.y - m->from.y) / INK_CELL, m->h - 1);
    for (int y = from; y <= to; y++) {
        cuts_at(c, area, pl, m->from.y + (y + 0.5) * INK_CELL, &cuts);
        for (int i = 0; i + 1 < cuts.n; i += 2) {
            int x  = (int)fmax((cuts.at[i] - m->from.x) / INK_CELL + 0.5, 0);
            int x1 = (int)fmin((cuts.at[i + 1] - m->from.x) / INK_CELL + 0.5,
                               m->w);
            for (; x < x1; x++)
                m->face[y * m->w + x] = (short)(part + 1);
        }
    }
}

/* ---- The map ---- */

InkMap ink_map(Ctx *c, const V2 *ends, int n_ends, const LetterFaces *faces,
               const Letter *letters, int n) {
    Box2   box = box2_empty();
    InkMap m;

    for (int i = 0; i < n_ends; i++)
        box2_add(&box, ends[i]);
    for (int i = 0; i < n; i++)
        box2_add(&box, letters[i].anchor);
    m.from = box.min;
    m.w    = 1 + (int)fmin((box.max.x - box.min.x) / INK_CELL, 1000);
    m.h    = 1 + (int)fmin((box.max.y - box.min.y) / INK_CELL, 1000);
    m.cell = NEW_N(c, unsigned char, m.w * m.h);
    m.face = NEW_N(c, short, m.w * m.h);
    for (int i = 0; i + 1 < n_ends; i += 2)
        add_line(&m, ends[i], ends[i + 1]);
    for (int i = 0; i < n; i++)
        add_dot(&m, letters[i].anchor);
    for (int i = 0; faces && n > 1 && i < faces->picture->patches.n; i++) {
        const Patch *patch = &faces->picture->patches.at[i];
        add_face(c, &m, patch->area, faces->place,
                 faces->m->pieces.at[patch->id].part);
    }
    return m;
}

/* From where it has left its own dot. */
double ink_cost(const InkMap *m, V2 from, V2 to, int part) {
    static const double fee[] = { 0, FEE_LINE, FEE_DOT, FEE_LINE + FEE_DOT };
    double cost = 0;
    int    n = (int)(v2_len(v2_sub(to, from)) / INK_CELL);
    V2     by = { (to.x - from.x) / (n + 1), (to.y - from.y) / (n + 1) };

    for (int i = OWN_DOT; i < n; i++) {
        int at = square_at(m, (V2){ from.x + by.x * i, from.y + by.y * i });
        if (at < 0)
            continue;
        cost += fee[m->cell[at]];
        if (m->face[at] && m->face[at] != part + 1)
            cost += FEE_FACE;
    }
    return cost;
}
