/* patch_cut -- a convex polygon without many convex polygons.
 *
 * Each cover is taken away by cutting along its sides, one after the other;
 * what lies outside of a side is a convex piece of the rest:
 *
 *     +---------+      +---------+
 *     |   +--+  |      |    1    |      The side above cuts piece 1 off,
 *     |   |  |  |  ->  |---+--+--|      the next piece 2, and so on; the
 *     |   +--+  |      | 2 |  | 3|      last remainder is the cover.
 *     +---------+      |   |--|  |
 *                      +---+--+--+
 *
 * In the end the pieces are put together without comparing coordinates of
 * different lines: every side of a piece remembers the line it was cut on,
 * and where two pieces meet, both have a side on that line, in opposite
 * directions. Such stretches cancel; what is left bounds the result. The
 * area must be the sum of the pieces' areas, or the caller is told to take
 * another way (GEOS; it needs a whole overlay for each cover).
 */
#include "geom/geom_internal.h"
#include "geom/hidden_internal.h"

#include <math.h>

#define ON_LINE     1e-7   // mm from a cut: on it
#define SAME_POINT  1e-5   // mm
#define MOST_PIECES 600
#define MOST_SIDES  3000

/* A corner, and the number of the line that its next side lies on. */
typedef struct { V2 p; int line; } Knot;
typedef LIST(Knot) Piece2;

/* A stretch on a line; `to` may be before `from`. */
typedef struct { int line; double from, to; V2 a, b; } Side;
typedef LIST(Side) Sides;

typedef struct { double s; int step; V2 p; } Event;

typedef struct {
    Ctx         *c;
    LIST(V2)     lines;    // their directions
    LIST(Piece2) pieces;
} Cutter;

/* ---- Cutting ---- */

/* The part of a piece where sign*height <= 0. */
static Piece2 part_below(Ctx *c, const Piece2 *p, const double *height,
                         double sign, int line) {
    Piece2 out = { 0 };

    for (int i = 0; i < p->n; i++) {
        const Knot *k = &p->at[i], *next = &p->at[(i + 1) % p->n];
        double h = sign * height[i], g = sign * height[(i + 1) % p->n];
        if (h <= 0)
            *PUSH(c, &out) = (Knot){ k->p, h == 0 && g > 0 ? line
                                                           : k->line };
        if ((h < 0 && g > 0) || (h > 0 && g < 0)) {
            V2 cut = v2_add(k->p, v2_scale(v2_sub(next->p, k->p),
                                           h / (h - g)));
            *PUSH(c, &out) = (Knot){ cut, h < 0 ? line : k->line };
        }
    }
    return out;
}

/* Height of each corner over the side a-b (outside is up), with 0 for
 * those on it. Returns bits: 1 some are below, 2 some are above. */
static int heights(const Piece2 *p, V2 a, V2 along, double *height) {
    int where = 0;

    for (int i = 0; i < p->n; i++) {
        double h = v2_cross(v2_sub(p->at[i].p, a), along);
        height[i] = fabs(h) <= ON_LINE ? 0 : h;
        where |= height[i] < 0 ? 1 : height[i] > 0 ? 2 : 0;
    }
    return where;
}

/* Does some side of the cover, or of the piece, part the two? */
static bool is_apart(const Piece2 *p, const Ring *cover) {
    for (int i = 0; i < p->n; i++) {
        V2     a = p->at[i].p, by = v2_sub(p->at[(i + 1) % p->n].p, a);
        double len   = v2_len(by), least = ON_LINE * len;
        bool   apart = len > SAME_POINT;
        for (int k = 0; apart && k < cover->n; k++)
            apart = v2_cross(v2_sub(cover->at[k], a), by) >= -least;
        if (apart)
            return true;
    }
    return false;
}

/* Takes the cover, whose sides are on lines `first` and on, from a piece.
 * False: they do not overlap. */
static bool cut_piece(Cutter *cut, const Piece2 *piece, const Ring *cover,
                      int first) {
    Piece2  rest   = *piece;
    double *height = NEW_N(cut->c, double, piece->n + cover->n + 4);
    int     before = cut->pieces.n;

    if (is_apart(piece, cover))
        return false;
    for (int i = 0; i < cover->n; i++) {
        V2  along = cut->lines.at[first + i];
        int where = heights(&rest, cover->at[i], along, height);
        if (!(where & 2))
            continue;
        if (!(where & 1)) {   // all outside: undo
            cut->pieces.n = before;
            return false;
        }
        *PUSH(cut->c, &cut->pieces) =
            part_below(cut->c, &rest, height, -1, first + i);
        rest = part_below(cut->c, &rest, height, 1, first + i);
    }
    return true;
}

static int add_lines(Cutter *cut, const Ring *r) {
    int first = cut->lines.n;

    for (int i = 0; i < r->n; i++) {
        V2     by  = v2_sub(r->at[(i + 1) % r->n], r->at[i]);
        double len = v2_len(by);
        *PUSH(cut->c, &cut->lines) = len > 0 ? v2_scale(by, 1 / len) : by;
    }
    return first;
}

/* False: the cover takes nothing away. */
static bool take_away(Cutter *cut, const Ring *cover) {
    int  n = cut->pieces.n, first = add_lines(cut, cover), kept = 0;
    bool any = false;

    for (int i = 0; i < n; i++) {
        Piece2 p = cut->pieces.at[i];
        if (cut_piece(cut, &p, cover, first)) {
            any = true;
            cut->pieces.at[i].n = 0;
        }
    }
    for (int i = 0; i < cut->pieces.n; i++)
        if (cut->pieces.at[i].n >= 3)
            cut->pieces.at[kept++] = cut->pieces.at[i];
    cut->pieces.n = kept;
    return any;
}

/* ---- Putting together ---- */

static int by_line(const void *a, const void *b, const void *with) {
    const Side *p = a, *q = b;

    (void)with;
    return (p->line > q->line) - (p->line < q->line);
}

static int by_place(const void *a, const void *b, const void *with) {
    const Event *p = a, *q = b;

    (void)with;
    return (p->s > q->s) - (p->s < q->s);
}

/* Cancels the sides on one line that run against each other. False: two
 * run the same way. */
static bool cancel(Ctx *c, const Side *side, int n, Sides *out) {
    Event *event = NEW_N(c, Event, 2 * n);
    int    net = 0, was;
    V2     start = { 0 };

    for (int i = 0; i < n; i++) {
        event[2 * i]     = (Event){ side[i].from, 1, side[i].a };
        event[2 * i + 1] = (Event){ side[i].to, -1, side[i].b };
    }
    list_sort(c, event, 2 * n, sizeof *event, by_place, NULL);
    for (int i = 0, k; i < 2 * n; i = k) {
        was = net;
        for (k = i; k < 2 * n && event[k].s - event[i].s < SAME_POINT / 4;
             k++)
            net += event[k].step;
        if (was > 1 || was < -1)
            return false;
        if (was != net && was)
            *PUSH(c, out) = was > 0 ? (Side){ .a = start, .b = event[i].p }
                                    : (Side){ .a = event[i].p, .b = start };
        if (was != net)
            start = event[i].p;
    }
    return true;
}

static bool boundary(Cutter *cut, Sides *out) {
    Ctx  *c     = cut->c;
    Sides sides = { 0 };

    for (int i = 0; i < cut->pieces.n; i++) {
        const Piece2 *p = &cut->pieces.at[i];
        for (int k = 0; k < p->n; k++) {
            V2  a = p->at[k].p, b = p->at[(k + 1) % p->n].p;
            int line = p->at[k].line;
            V2  along = cut->lines.at[line];
            *PUSH(c, &sides) = (Side){ line, v2_dot(along, a),
                                       v2_dot(along, b), a, b };
        }
    }
    list_sort(c, sides.at, sides.n, sizeof *sides.at, by_line, NULL);
    for (int i = 0, k; i < sides.n; i = k) {
        for (k = i; k < sides.n && sides.at[k].line == sides.at[i].line; k++)
            ;
        if (!cancel(c, sides.at + i, k - i, out))
            return false;
    }
    return out->n <= MOST_SIDES;
}

static bool is_near(V2 a, V2 b) {
    return fabs(a.x - b.x) < SAME_POINT && fabs(a.y - b.y) < SAME_POINT;
}

/* The unused side that begins where `last` ends; of several, the one most
 * to the left, so that rings that touch at a corner stay apart. */
static Side *next_side(Sides *s, const bool *used, const Side *last) {
    Side  *best = NULL;
    double turn = -INFINITY;
    V2     by   = v2_sub(last->b, last->a);

    for (int i = 0; i < s->n; i++) {
        V2     on = v2_sub(s->at[i].b, s->at[i].a);
        double angle;
        if (used[i] || !is_near(s->at[i].a, last->b))
            continue;
        angle = atan2(v2_cross(by, on), v2_dot(by, on));
        if (angle > turn) {
            turn = angle;
            best = &s->at[i];
        }
    }
    return best;
}

/* Chains sides into rings. False: one does not close. */
static bool chain(Ctx *c, Sides *s, Rings *rings) {
    bool *used = NEW_N(c, bool, s->n + 1);

    for (int i = 0; i < s->n; i++)
        used[i] = is_near(s->at[i].a, s->at[i].b);
    for (int i = 0; i < s->n; i++) {
        Ring  ring = { 0 };
        Side *side = &s->at[i];
        if (used[i])
            continue;
        used[i] = true;
        for (;;) {
            *PUSH(c, &ring) = side->a;
            if (is_near(side->b, s->at[i].a))
                break;
            side = next_side(s, used, side);
            if (!side)
                return false;
            used[side - s->at] = true;
        }
        if (ring.n >= 3)
            *PUSH(c, rings) = ring;
    }
    return true;
}

/* Gives each hole to the least outline around it. */
static bool nest(Ctx *c, const Rings *rings, Polygons *out) {
    for (int i = 0; i < rings->n; i++)
        if (ring_area(rings->at[i].at, rings->at[i].n) > 0) {
            Rings *part = PUSH(c, &out->parts);
            *PUSH(c, part) = rings->at[i];
        }
    for (int i = 0; i < rings->n; i++) {
        const Ring *hole = &rings->at[i];
        Rings      *home = NULL;
        double      least = INFINITY;
        if (ring_area(hole->at, hole->n) > 0)
            continue;
        for (int k = 0; k < out->parts.n; k++) {
            const Ring *r    = &out->parts.at[k].at[0];
            double      area = ring_area(r->at, r->n);
            if (area < least && ring_holds(r->at, r->n, hole->at[0])) {
                least = area;
                home  = &out->parts.at[k];
            }
        }
        if (!home)
            return false;
        *PUSH(c, home) = *hole;
    }
    return true;
}

static bool put_together(Cutter *cut, Polygons *rest) {
    Sides  sides = { 0 };
    Rings  rings = { 0 };
    double is = 0, should = 0;

    for (int i = 0; i < cut->pieces.n; i++) {
        const Piece2 *p = &cut->pieces.at[i];
        for (int k = 0; k < p->n; k++)
            should += v2_cross(v2_sub(p->at[k].p, p->at[0].p),
                               v2_sub(p->at[(k + 1) % p->n].p,
                                      p->at[0].p)) / 2;
    }
    if (!boundary(cut, &sides) || !chain(cut->c, &sides, &rings))
        return false;
    for (int i = 0; i < rings.n; i++)
        is += ring_area(rings.at[i].at, rings.at[i].n);
    return fabs(is - should) < 1e-3 + 1e-6 * should
        && nest(cut->c, &rings, rest);
}

/* ---- All of it ---- */

bool convex_without(Ctx *c, const Ring *target, const Rings *covers,
                    Polygons *rest, Rings *used) {
    Cutter  cut   = { .c = c };
    Piece2 *whole = PUSH(c, &cut.pieces);
    bool    few   = true;

    add_lines(&cut, target);
    for (int i = 0; i < target->n; i++)
        *PUSH(c, whole) = (Knot){ target->at[i], i };
    for (int i = 0; i < covers->n && cut.pieces.n; i++) {
        few = few && cut.pieces.n < MOST_PIECES;
        if (!few || take_away(&cut, &covers->at[i]))
            *PUSH(c, used) = covers->at[i];
    }
    *rest = (Polygons){ 0 };
    return few && put_together(&cut, rest);
}
