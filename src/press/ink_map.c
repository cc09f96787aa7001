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

/* Where the outlines of an area cross the level y. */
static void cuts_at(Ctx *c, Polygons area, double y, Cuts *cuts) {
    cuts->n = 0;
    for (int i = 0; i < area.parts.n; i++)
        for (int k = 0; k < area.parts.at[i].n; k++) {
            const Ring *r = &area.parts.at[i].at[k];
            for (int j = 0; j < r->n; j++) {
                V2 a = r->at[j], b = r->at[j + 1 < r->n ? j + 1 : 0];
                if ((a.y > y) != (b.y > y))
                    *PUSH(c, cuts) = a.x + (y - a.y) / (b.y - a.y)
                                         * (b.x - a.x);
            }
        }
    if (cuts->n > 2) {
        list_sort(c, cuts->at, cuts->n, sizeof *cuts->at, by_size, NULL);
    } else if (cuts->n == 2 && cuts->at[0] > cuts->at[1]) {
        double high = cuts->at[0];
        cuts->at[0] = cuts->at[1];
        cuts->at[1] = high;
    }
}

/* The squares whose middles lie in the area. */
static void add_face(Ctx *c, LetterFaces *f, Polygons area, int part,
                     Cuts *cuts) {
    Box2 box = box2_empty();
    int  from, to;

    for (int i = 0; i < area.parts.n; i++)
        for (int k = 0; k < area.parts.at[i].at[0].n; k++)
            box2_add(&box, area.parts.at[i].at[0].at[k]);
    from = (int)fmax((box.min.y - f->from.y) / f->cell, 0);
    to   = (int)fmin((box.max.y - f->from.y) / f->cell, f->h - 1);
    for (int y = from; y <= to; y++) {
        cuts_at(c, area, f->from.y + (y + 0.5) * f->cell, cuts);
        for (int i = 0; i + 1 < cuts->n; i += 2) {
            int x  = (int)fmax((cuts->at[i] - f->from.x) / f->cell + 0.5, 0);
            int x1 = (int)fmin((cuts->at[i + 1] - f->from.x) / f->cell + 0.5,
                               f->w);
            for (; x < x1; x++)
                f->part[y * f->w + x] = (short)(part + 1);
        }
    }
}

#define SQUARES 160   // along the picture's longer side: some 1 mm on a page

LetterFaces letter_faces(Ctx *c, const Model *m, const Picture *picture) {
    V2          size = v2_sub(picture->box.max, picture->box.min);
    Cuts        cuts = { 0 };
    LetterFaces f    = { .from = picture->box.min };

    f.cell = fmax(fmax(size.x, size.y), 1) / SQUARES;
    f.w    = 1 + (int)(fmax(size.x, 0) / f.cell);
    f.h    = 1 + (int)(fmax(size.y, 0) / f.cell);
    f.part = NEW_N(c, short, f.w * f.h);
    for (int i = 0; i < picture->patches.n; i++) {
        const Patch *patch = &picture->patches.at[i];
        add_face(c, &f, patch->area, m->pieces.at[patch->id].part, &cuts);
    }
    return f;
}

/* The part whose new piece is seen at a point of the page, + 1; or 0. */
static inline int part_at(const LetterFaces *f, V2 v) {
    const Place *pl = f->place;
    double x = (pl->from.x + (v.x - pl->at.x) / pl->scale - f->from.x)
             / f->cell;
    double y = (pl->from.y - (v.y - pl->at.y) / pl->scale - f->from.y)
             / f->cell;

    return x < 0 || y < 0 || x >= f->w || y >= f->h
         ? 0 : f->part[(int)y * f->w + (int)x];
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
    m.faces = n > 1 ? faces : NULL;
    for (int i = 0; i + 1 < n_ends; i += 2)
        add_line(&m, ends[i], ends[i + 1]);
    for (int i = 0; i < n; i++)
        add_dot(&m, letters[i].anchor);
    return m;
}

/* From where it has left its own dot. */
double ink_cost(const InkMap *m, V2 from, V2 to, int part) {
    static const double fee[] = { 0, FEE_LINE, FEE_DOT, FEE_LINE + FEE_DOT };
    double cost = 0;
    int    n = (int)(v2_len(v2_sub(to, from)) / INK_CELL);
    V2     by = { (to.x - from.x) / (n + 1), (to.y - from.y) / (n + 1) };

    for (int i = OWN_DOT; i < n; i++) {
        V2  v    = { from.x + by.x * i, from.y + by.y * i };
        int at   = square_at(m, v);
        int face = at >= 0 && m->faces ? part_at(m->faces, v) : 0;
        if (at < 0)
            continue;
        cost += fee[m->cell[at]]
              + (face && face != part + 1 ? FEE_FACE : 0);
    }
    return cost;
}
