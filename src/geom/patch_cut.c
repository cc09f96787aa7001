/* patch_cut -- a polygon without many convex polygons.
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
 * A face that is not convex, or has holes, is parted first: its box is cut
 * along each of its sides, where that side runs through a piece, and the
 * pieces inside are kept.
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
#define MOST_PIECES 4000
#define MOST_SIDES  3000

/* A corner, and the number of the line that its next side lies on. */
typedef struct { V2 p; int line; } Knot;
typedef struct { Knot *at; int n, cap; Box2 box; } Piece2;

/* A stretch on a line; `to` may be before `from`. */
typedef struct { double from, to; V2 a, b; } Side;
typedef LIST(Side) Sides;

typedef struct { double s; int step; V2 p; } Event;

typedef struct {
    Ctx         *c;
    LIST(V2)     lines;    // their directions
    LIST(Piece2) pieces;
    double      *height;   // of a piece's corners
    int          room;     // for so many of them
} Cutter;

/* ---- Cutting ---- */

static inline void add_knot(Piece2 *p, V2 at, int line) {
    p->at[p->n++] = (Knot){ at, line };
    if (p->n == 1)
        p->box = (Box2){ at, at };
    p->box.min.x = at.x < p->box.min.x ? at.x : p->box.min.x;
    p->box.min.y = at.y < p->box.min.y ? at.y : p->box.min.y;
    p->box.max.x = at.x > p->box.max.x ? at.x : p->box.max.x;
    p->box.max.y = at.y > p->box.max.y ? at.y : p->box.max.y;
}

/* The part of a piece where sign*height <= 0. */
static Piece2 part_below(Ctx *c, const Piece2 *p, const double *height,
                         double sign, int line) {
    Piece2 out = { .at = NEW_N(c, Knot, p->n + 2) };

    for (int i = 0; i < p->n; i++) {
        const Knot *k = &p->at[i], *next = &p->at[(i + 1) % p->n];
        double h = sign * height[i], g = sign * height[(i + 1) % p->n];
        if (h <= 0)
            add_knot(&out, k->p, h == 0 && g > 0 ? line : k->line);
        if ((h < 0 && g > 0) || (h > 0 && g < 0)) {
            V2     by = v2_sub(next->p, k->p);
            double t  = h / (h - g);
            add_knot(&out, v2(k->p.x + by.x * t, k->p.y + by.y * t),
                     h < 0 ? line : k->line);
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

/* Does some side of the piece part it from the cover? */
static bool is_apart(const Piece2 *p, const Ring *cover) {
    for (int i = 0; i < p->n; i++) {
        V2     a = p->at[i].p, by = v2_sub(p->at[(i + 1) % p->n].p, a);
        double len   = fabs(by.x) + fabs(by.y), least = ON_LINE * len;
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
    Piece2 rest   = *piece;
    int    before = cut->pieces.n;

    if (is_apart(piece, cover))
        return false;
    if (cut->room < piece->n + cover->n + 4) {
        cut->room   = 2 * (piece->n + cover->n + 4);
        cut->height = NEW_N(cut->c, double, cut->room);
    }
    for (int i = 0; i < cover->n; i++) {
        V2  along = cut->lines.at[first + i];
        int where = heights(&rest, cover->at[i], along, cut->height);
        if (!(where & 2))
            continue;
        if (!(where & 1)) {   // all outside: undo
            cut->pieces.n = before;
            return false;
        }
        *PUSH(cut->c, &cut->pieces) =
            part_below(cut->c, &rest, cut->height, -1, first + i);
        rest = part_below(cut->c, &rest, cut->height, 1, first + i);
    }
    return true;
}

static int add_lines(Cutter *cut, const Ring *r) {
    int first = cut->lines.n;

    for (int i = 0; i < r->n; i++) {
        V2     by  = v2_sub(r->at[(i + 1) % r->n], r->at[i]);
        double len = sqrt(by.x * by.x + by.y * by.y);
        *PUSH(cut->c, &cut->lines) = len > 0 ? v2_scale(by, 1 / len) : by;
    }
    return first;
}

static Box2 ring_box(const Ring *r) {
    Box2 box = { r->at[0], r->at[0] };

    for (int i = 1; i < r->n; i++)
        box2_add(&box, r->at[i]);
    return box;
}

static bool boxes_part(Box2 a, Box2 b) {
    return a.max.x <= b.min.x + ON_LINE || b.max.x <= a.min.x + ON_LINE
        || a.max.y <= b.min.y + ON_LINE || b.max.y <= a.min.y + ON_LINE;
}

/* False: the cover takes nothing away. */
static bool take_away(Cutter *cut, const Ring *cover) {
    int  n = cut->pieces.n, first = add_lines(cut, cover), kept = 0;
    Box2 box = ring_box(cover);
    bool any = false;

    for (int i = 0; i < n; i++) {
        Piece2 p;   // the list moves as it grows
        if (boxes_part(cut->pieces.at[i].box, box))
            continue;
        p = cut->pieces.at[i];
        if (cut_piece(cut, &p, cover, first)) {
            any = true;
            cut->pieces.at[i].n = 0;
        }
    }
    for (int i = 0; any && i < cut->pieces.n; i++)
        if (cut->pieces.at[i].n >= 3)
            cut->pieces.at[kept++] = cut->pieces.at[i];
    cut->pieces.n = any ? kept : n;
    return any;
}

/* ---- Parting what is not convex ---- */

/* Does a stretch of a-b lie inside of the piece? */
static bool runs_through(const Piece2 *p, V2 a, V2 b) {
    double from = 0, to = 1;
    V2     ab   = v2_sub(b, a);

    for (int i = 0; i < p->n && from < to; i++) {
        V2     q   = p->at[i].p, by = v2_sub(p->at[(i + 1) % p->n].p, q);
        double len = fabs(by.x) + fabs(by.y);
        double h   = v2_cross(by, v2_sub(a, q)) - ON_LINE * len;
        double g   = h + v2_cross(by, ab);
        if (len <= SAME_POINT)
            continue;
        if (h <= 0 && g <= 0)
            return false;
        if (h < 0)
            from = fmax(from, h / (h - g));
        else if (g < 0)
            to = fmin(to, h / (h - g));
    }
    return (to - from) * (fabs(ab.x) + fabs(ab.y)) > SAME_POINT;
}

static void part_along(Cutter *cut, V2 a, V2 b, int line) {
    int  n   = cut->pieces.n;
    Box2 box = { v2(fmin(a.x, b.x) - SAME_POINT, fmin(a.y, b.y) - SAME_POINT),
                 v2(fmax(a.x, b.x) + SAME_POINT, fmax(a.y, b.y) + SAME_POINT)
               };

    for (int i = 0; i < n; i++) {
        Piece2 p;
        if (boxes_part(cut->pieces.at[i].box, box)
            || !runs_through(&cut->pieces.at[i], a, b))
            continue;
        p = cut->pieces.at[i];
        if (cut->room < p.n) {
            cut->room   = 2 * p.n;
            cut->height = NEW_N(cut->c, double, cut->room);
        }
        if (heights(&p, a, cut->lines.at[line], cut->height) != 3)
            continue;
        cut->pieces.at[i] = part_below(cut->c, &p, cut->height, 1, line);
        *PUSH(cut->c, &cut->pieces) =
            part_below(cut->c, &p, cut->height, -1, line);
    }
}

static bool rings_hold(const Rings *rings, V2 p) {
    bool in = false;

    for (int i = 0; i < rings->n; i++)
        in ^= ring_holds(rings->at[i].at, rings->at[i].n, p);
    return in;
}

static void part_rings(Cutter *cut, const Rings *rings) {
    int kept = 0;

    for (int i = 0; i < rings->n; i++) {
        const Ring *r    = &rings->at[i];
        int         line = add_lines(cut, r);
        for (int k = 0; k < r->n && cut->pieces.n < MOST_PIECES; k++)
            part_along(cut, r->at[k], r->at[(k + 1) % r->n], line + k);
    }
    for (int i = 0; i < cut->pieces.n; i++) {
        const Piece2 *p   = &cut->pieces.at[i];
        V2            mid = { 0, 0 };
        for (int k = 0; k < p->n; k++)
            mid = v2(mid.x + p->at[k].p.x / p->n,
                     mid.y + p->at[k].p.y / p->n);
        if (rings_hold(rings, mid))
            cut->pieces.at[kept++] = *p;
    }
    cut->pieces.n = kept;
}

/* ---- Putting together ---- */

static int by_place(const void *a, const void *b, const void *with) {
    const Event *p = a, *q = b;

    (void)with;
    return (p->s > q->s) - (p->s < q->s);
}

/* Cancels the sides on one line that run against each other. False: two
 * run the same way. */
static bool cancel(Ctx *c, const Side *side, int n, Sides *out) {
    Event *event;
    int    net = 0, was;
    V2     start = { 0 };

    if (n == 0)
        return true;
    event = NEW_N(c, Event, 2 * n);
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

/* The sides of all pieces in order of their lines; line i has those from
 * (*first)[i] on. */
static Side *sides_by_line(Cutter *cut, int **first) {
    int   lines = cut->lines.n, n = 0;
    int  *next  = NEW_N(cut->c, int, lines + 2);
    Side *side;

    for (int i = 0; i < cut->pieces.n; i++)
        for (int k = 0; k < cut->pieces.at[i].n; k++, n++)
            next[cut->pieces.at[i].at[k].line + 2]++;
    for (int i = 2; i < lines + 2; i++)
        next[i] += next[i - 1];
    side = NEW_N(cut->c, Side, n + 1);
    for (int i = 0; i < cut->pieces.n; i++) {
        const Piece2 *p = &cut->pieces.at[i];
        for (int k = 0; k < p->n; k++) {
            V2  a = p->at[k].p, b = p->at[k + 1 < p->n ? k + 1 : 0].p;
            int line  = p->at[k].line;
            V2  along = cut->lines.at[line];
            side[next[line + 1]++] = (Side){ v2_dot(along, a),
                                             v2_dot(along, b), a, b };
        }
    }
    *first = next;   // each has moved on to where the next line begins
    return side;
}

static bool boundary(Cutter *cut, Sides *out) {
    int  *first;
    Side *side = sides_by_line(cut, &first);

    for (int i = 0; i < cut->lines.n; i++)
        if (!cancel(cut->c, side + first[i], first[i + 1] - first[i], out))
            return false;
    return out->n <= MOST_SIDES;
}

static bool is_near(V2 a, V2 b) {
    return fabs(a.x - b.x) < SAME_POINT && fabs(a.y - b.y) < SAME_POINT;
}

/* Sides in order of where they begin. */
typedef struct { double x; int side; } Start;
typedef struct { Start *at; int n; } Starts;

static int by_x(const void *a, const void *b, const void *with) {
    const Start *p = a, *q = b;

    (void)with;
    return (p->x > q->x) - (p->x < q->x);
}

static Starts starts_of(Ctx *c, const Sides *s) {
    Starts all = { NEW_N(c, Start, s->n + 1), s->n };

    for (int i = 0; i < s->n; i++)
        all.at[i] = (Start){ s->at[i].a.x, i };
    list_sort(c, all.at, all.n, sizeof *all.at, by_x, NULL);
    return all;
}

static int first_from(const Starts *all, double x) {
    int lo = 0, hi = all->n;

    while (lo < hi) {
        int mid = lo + (hi - lo) / 2;
        if (all->at[mid].x < x)
            lo = mid + 1;
        else
            hi = mid;
    }
    return lo;
}

/* The unused side that begins where `last` ends; of several, the one most
 * to the left, so that rings that touch at a corner stay apart. */
static Side *next_side(Sides *s, const Starts *all, const bool *used,
                       const Side *last) {
    Side  *best = NULL;
    double turn = -INFINITY, end = last->b.x + SAME_POINT;
    V2     by   = v2_sub(last->b, last->a);

    for (int k = first_from(all, last->b.x - SAME_POINT);
         k < all->n && all->at[k].x <= end; k++) {
        Side  *side = &s->at[all->at[k].side];
        V2     on   = v2_sub(side->b, side->a);
        double angle;
        if (used[side - s->at] || !is_near(side->a, last->b))
            continue;
        angle = atan2(v2_cross(by, on), v2_dot(by, on));
        if (angle > turn || (angle == turn && side < best)) {
            turn = angle;
            best = side;
        }
    }
    return best;
}

/* Chains sides into rings. False: one does not close. */
static bool chain(Ctx *c, Sides *s, Rings *rings) {
    bool  *used   = NEW_N(c, bool, s->n + 1);
    Starts starts = starts_of(c, s);

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
            side = next_side(s, &starts, used, side);
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

/* The pieces of the target that nothing has been taken from. */
static void begin(Cutter *cut, const Rings *target, bool convex) {
    const Ring *outline = &target->at[0];
    Box2        box     = ring_box(outline);
    Ring        around  = { 0 };
    Piece2     *whole   = PUSH(cut->c, &cut->pieces);

    if (!convex) {
        *PUSH(cut->c, &around) = box.min;
        *PUSH(cut->c, &around) = v2(box.max.x, box.min.y);
        *PUSH(cut->c, &around) = box.max;
        *PUSH(cut->c, &around) = v2(box.min.x, box.max.y);
        outline = &around;
    }
    add_lines(cut, outline);
    *whole = (Piece2){ .at = NEW_N(cut->c, Knot, outline->n) };
    for (int i = 0; i < outline->n; i++)
        add_knot(whole, outline->at[i], i);
    if (!convex)
        part_rings(cut, target);
}

/* Does the cover lie clear of a target that is not convex? To cut that into
 * pieces for nothing would take long. */
static bool is_clear(Ctx *c, const Rings *target, const Ring *cover) {
    Piece2 p   = { .at = NEW_N(c, Knot, cover->n) };
    V2     mid = { 0, 0 };

    for (int i = 0; i < cover->n; i++) {
        add_knot(&p, cover->at[i], 0);
        mid = v2_add(mid, v2_scale(cover->at[i], 1.0 / cover->n));
    }
    for (int i = 0; i < target->n; i++) {
        const Ring *r = &target->at[i];
        for (int k = 0; k < r->n; k++)
            if (runs_through(&p, r->at[k], r->at[(k + 1) % r->n]))
                return false;
    }
    return !rings_hold(target, mid);
}

static Rings in_the_way(Ctx *c, const Rings *target, const Rings *covers) {
    Rings kept = { 0 };

    for (int i = 0; i < covers->n; i++)
        if (!is_clear(c, target, &covers->at[i]))
            *PUSH(c, &kept) = covers->at[i];
    return kept;
}

bool rings_without(Ctx *c, const Rings *target, bool convex,
                   const Rings *covers, Polygons *rest, Rings *used) {
    Cutter cut  = { .c = c };
    Rings  over = convex ? *covers : in_the_way(c, target, covers);
    bool   few;

    *rest = (Polygons){ 0 };
    if (!over.n) {
        *PUSH(c, &rest->parts) = *target;
        return true;
    }
    begin(&cut, target, convex);
    few = cut.pieces.n < MOST_PIECES;
    for (int i = 0; i < over.n && cut.pieces.n; i++) {
        few = few && cut.pieces.n < MOST_PIECES;
        if (!few || take_away(&cut, &over.at[i]))
            *PUSH(c, used) = over.at[i];
    }
    return few && put_together(&cut, rest);
}
