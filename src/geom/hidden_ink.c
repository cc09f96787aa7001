/* hidden_ink -- pieces that lie on each other become one line.
 *
 * Boards that touch share edges, and an edge may cover another that lies
 * straight behind it. Ink on ink prints heavier and doubles every measure
 * taken of a drawing, so each stretch of a straight line is drawn once:
 *
 *     piece 1   ==========
 *     piece 2         ----------        outline beats crease
 *     lines     ==========------
 *
 * Pieces are sorted by direction, then by distance from the middle of the
 * picture, then along their line. On each stretch between two ends the
 * heaviest kind wins. What lies beside the stretch says whether an edge is
 * an outline there: that can change along an edge, so it is asked here and
 * not when the edge is found.
 */
#include "geom/hidden_internal.h"

#include <math.h>

#define SAME_DIRECTION 2e-6   // radians, about
#define SAME_LINE      2e-3   // mm between parallel lines
#define SHORTEST       0.01   // mm; shorter pieces are dropped
#define BESIDE         0.02   // mm from a line to where we look
#define STEP           2.0    // mm deeper makes an outline

/* A piece as the sort sees it. `at` is its direction, then its offset. */
typedef struct { double at; double from, to; int piece; } Key;

/* One end of a piece. */
typedef struct { double s; V3 p; } End;

/* The pieces on one straight line. */
typedef struct {
    const Key *key;
    int        n;
    LIST(End)  ends;
    LIST(int)  open;   // pieces (by key) over the stretch
} Row;

typedef struct { LineKind kind; int id; bool hidden; } Style;

/* Grows with the angle from -90 (excluded) to 90 degrees, without calling
 * the mathematics library, whose last digits differ between machines. */
static double direction(V2 along) {
    return along.y / (fabs(along.x) + fabs(along.y));
}

static int by_at(const void *a, const void *b, const void *with) {
    const Key *p = a, *q = b;

    (void)with;
    return (p->at > q->at) - (p->at < q->at);
}

static int by_from(const void *a, const void *b, const void *with) {
    const Key *p = a, *q = b;

    (void)with;
    return (p->from > q->from) - (p->from < q->from);
}

static int by_s(const void *a, const void *b, const void *with) {
    const End *p = a, *q = b;

    (void)with;
    return (p->s > q->s) - (p->s < q->s);
}

/* ---- What a stretch looks like ---- */

/* Is the body's ground gone on this side: background, another body, or a
 * step down? */
static bool ends_beside(const Occluder *beside, int body, V3 at) {
    return !beside || beside->body != body
        || depth_at(beside->depth, v2(at.x, at.y)) < at.z - STEP;
}

/* The point of a piece at s along its row. */
static V3 point_at(const Key *k, const Piece *p, double s) {
    double t = (s - k->from) / (k->to - k->from);

    return v3_add(p->a, v3_scale(v3_sub(p->b, p->a), t));
}

static bool is_heavier(LineKind a, LineKind b) {
    static const int weight[] = { 4, 2, 3, 1, 5 };   // ORDER LINE

    return weight[a] > weight[b];
}

/* What lies on both sides of a stretch, once it has been asked. */
typedef struct {
    const Draw     *d;
    const Occluder *of[2];
    bool            looked[2];
} Beside;

static const Occluder *beside_at(Beside *b, int side, const Piece *p,
                                 V3 at) {
    double off = side ? -BESIDE : BESIDE;

    if (!b->looked[side])
        b->of[side] = grid_nearest(b->d, v2(at.x - p->along.y * off,
                                            at.y + p->along.x * off));
    b->looked[side] = true;
    return b->of[side];
}

static LineKind kind_at(Beside *b, const Key *k, const Piece *p, double s) {
    V3 at = point_at(k, p, s);

    if (!p->look)
        return p->kind;
    return ends_beside(beside_at(b, 0, p, at), p->body, at)
        || ends_beside(beside_at(b, 1, p, at), p->body, at)
         ? LINE_OUTLINE : LINE_CREASE;
}

/* The heaviest kind over the stretch about s. Its id is that of the
 * heaviest piece, the lowest on a tie, but a body with fill (a new piece)
 * goes first. Visible pieces go before hidden ones. */
static Style style_at(const Draw *d, const Row *row, double s) {
    Style    best    = { LINE_EXTRA, 0, true };
    LineKind id_kind = LINE_EXTRA;
    Beside   beside  = { .d = d };
    bool     any = false, fill = false;

    for (int i = 0; i < row->open.n; i++) {
        const Key   *k = &row->key[row->open.at[i]];
        const Piece *p = &d->pieces.at[k->piece];
        LineKind     kind;
        if (any && p->hidden && !best.hidden)
            continue;
        kind = kind_at(&beside, k, p, s);
        if (!any || (best.hidden && !p->hidden)) {
            best    = (Style){ kind, p->id, p->hidden };
            id_kind = kind;
            fill    = p->fill;
            any     = true;
            continue;
        }
        if (is_heavier(kind, best.kind))
            best.kind = kind;
        if (p->fill != fill ? p->fill
                            : is_heavier(kind, id_kind)
                              || (kind == id_kind && p->id < best.id)) {
            best.id = p->id;
            id_kind = kind;
            fill    = p->fill;
        }
    }
    return best;
}

/* ---- One straight line ---- */

static V2 snapped(V3 p) {
    return v2(snap(p.x), snap(p.y));
}

/* Draws a stretch, or draws out the line before it. */
static void add_stretch(Draw *d, int first, V3 a, V3 b, Style style) {
    Line2 *last = d->picture.lines.n > first
                ? &d->picture.lines.at[d->picture.lines.n - 1] : NULL;
    V2     p    = snapped(a);

    if (last && last->kind == style.kind && last->id == style.id
        && last->hidden == style.hidden
        && v2_len(v2_sub(last->b, p)) < 2 * SHORTEST)
        last->b = snapped(b);
    else
        *PUSH(d->c, &d->picture.lines) =
            (Line2){ p, snapped(b), style.kind, style.id, style.hidden };
}

/* Takes the pieces that cover s into row->open; *next is the first that
 * has not begun. */
static void open_at(Ctx *c, Row *row, int *next, double s) {
    int kept = 0;

    for (; *next < row->n && row->key[*next].from < s; ++*next)
        *PUSH(c, &row->open) = *next;
    for (int i = 0; i < row->open.n; i++)
        if (row->key[row->open.at[i]].to > s)
            row->open.at[kept++] = row->open.at[i];
    row->open.n = kept;
}

static void draw_row(Draw *d, Row *row) {
    int first = d->picture.lines.n, next = 0;

    row->ends.n = row->open.n = 0;
    for (int i = 0; i < row->n; i++) {
        const Key   *k = &row->key[i];
        const Piece *p = &d->pieces.at[k->piece];
        *PUSH(&d->scratch, &row->ends) = (End){ k->from, p->a };
        *PUSH(&d->scratch, &row->ends) = (End){ k->to, p->b };
    }
    if (row->n > 1)
        list_sort(&d->scratch, row->ends.at, row->ends.n,
                  sizeof *row->ends.at, by_s, NULL);
    for (int i = 0, k; i < row->ends.n; i = k) {
        double mid;
        for (k = i + 1; k < row->ends.n; k++)
            if (row->ends.at[k].s - row->ends.at[i].s >= SHORTEST)
                break;
        if (k >= row->ends.n)
            break;
        /* Of ends that fall together, the last begins the stretch. */
        mid = (row->ends.at[k - 1].s + row->ends.at[k].s) / 2;
        open_at(&d->scratch, row, &next, mid);
        if (row->open.n)
            add_stretch(d, first, row->ends.at[k - 1].p, row->ends.at[k].p,
                        style_at(d, row, mid));
    }
}

/* ---- All lines ---- */

/* Sorts pieces of one direction by offset and draws each row. */
static void draw_direction(Draw *d, Key *key, int n, V2 middle, Row *row) {
    V2 along = d->pieces.at[key->piece].along;

    for (int i = 0; i < n; i++) {
        const Piece *p = &d->pieces.at[key[i].piece];
        V2           a = v2_sub(v2(p->a.x, p->a.y), middle);
        V2           b = v2_sub(v2(p->b.x, p->b.y), middle);
        key[i].at   = v2_cross(along, v2_scale(v2_add(a, b), 0.5));
        key[i].from = v2_dot(along, a);
        key[i].to   = v2_dot(along, b);
    }
    list_sort(&d->scratch, key, n, sizeof *key, by_at, NULL);
    for (int i = 0, k; i < n; i = k) {
        for (k = i + 1; k < n && key[k].at - key[i].at <= SAME_LINE; k++)
            ;
        list_sort(&d->scratch, key + i, k - i, sizeof *key, by_from, NULL);
        row->key = key + i;
        row->n   = k - i;
        draw_row(d, row);
    }
}

static int by_place(const void *a, const void *b, const void *with) {
    const Line2 *p = a, *q = b;
    const double at[2][4] = { { p->a.x, p->a.y, p->b.x, p->b.y },
                              { q->a.x, q->a.y, q->b.x, q->b.y } };

    (void)with;
    for (int i = 0; i < 4; i++)
        if (at[0][i] != at[1][i])
            return at[0][i] < at[1][i] ? -1 : 1;
    return (p->id > q->id) - (p->id < q->id);
}

void ink_lines(Draw *d) {
    int  n   = d->pieces.n;
    Key *key = NEW_N(&d->scratch, Key, n + 1);
    Box2 box = box2_empty();
    Row  row = { 0 };

    for (int i = 0; i < n; i++) {
        const Piece *p = &d->pieces.at[i];
        key[i] = (Key){ .at = direction(p->along), .piece = i };
        box2_add(&box, v2(p->a.x, p->a.y));
        box2_add(&box, v2(p->b.x, p->b.y));
    }
    list_sort(&d->scratch, key, n, sizeof *key, by_at, NULL);
    for (int i = 0, k; i < n; i = k) {
        for (k = i + 1; k < n && key[k].at - key[i].at <= SAME_DIRECTION; k++)
            ;
        draw_direction(d, key + i, k - i,
                       v2_scale(v2_add(box.min, box.max), 0.5), &row);
    }
    list_sort(&d->scratch, d->picture.lines.at, d->picture.lines.n,
              sizeof *d->picture.lines.at, by_place, NULL);
    d->picture.box = box2_empty();
    for (int i = 0; i < d->picture.lines.n; i++) {
        const Line2 *l = &d->picture.lines.at[i];
        if (l->hidden)
            continue;
        box2_add(&d->picture.box, l->a);
        box2_add(&d->picture.box, l->b);
    }
}
