/* cut_order -- in which order a board is cut up.
 *
 * A cut must cross what lies on the saw from edge to edge and pass between
 * the pieces. Mostly there is a choice, and it decides what is held: six
 * short pieces side by side are ripped as one long board and then crosscut,
 * or crosscut first and then ripped as six short ones, which is how fingers
 * are lost. For each piece of wood that can come up, the least number of
 * cuts that hold something small is worked out from those of its two
 * halves, and remembered; so the order chosen has the least there can be,
 * of those with as few the one with the fewest rips of narrow wood (strips
 * come off while the board is wide, the last sliver of waste before them),
 * and of those the one that leaves the largest piece over.
 *
 * Then the cuts are put in a row: none before the one that frees its wood;
 * first all that need the fence or stop where it stands, then those of the
 * largest wood. Far-end pieces of a row are cut with the long rest in hand,
 * as candidates are tried from the left end on.
 *
 * Wood that is sawn into leaves is first cut into strips, pieces of one width
 * in a row; the leaves are sawn from these while they are long, and what is
 * left are crosscuts through the stack. A strip that is short when its leaves
 * are sawn counts as a cut that holds something small.
 *
 * Rules: see SMALL_HELD_MM and NARROW_HELD_MM; ripping needs length along the
 * fence, while a crosscut is held along either side (common practice, no
 * published source).
 */
#include "plan/cut_order.h"

#include "plan/plan_internal.h"

#include <float.h>
#include <math.h>

#define MOST_WOODS 4000      // beyond, the first cut that works is taken
#define HASHES     4096
#define LEFTOVER_MM 50.0     // both ways; less is not worth keeping
#define SLIVER_MM   0.79     // under 1/32 in, half of the 1/16 that is printed:
                             // stays on a piece
#define STUCK      100000    // "small" cuts: cannot be sawn apart
#define THIN_RIP   25.4      // mm; what is thinner falls free of the blade and
                             // is not held between it and the fence (common
                             // practice, no published source)

/* A piece of wood that comes up, and the best cut through it. */
typedef struct {
    Wood   wood;
    int    first, n;         // its pieces, in `inside`
    bool   done;             // a piece, or a leftover
    Cut    cut;
    int    a, b;             // the halves
    int    small;            // cuts that hold something small
    int    narrow;           // rips of narrow wood
    bool   plain;            // the cut is set to the size of a piece
    double left;             // area of the largest leftover
    int    next;             // of those with one hash
} Work;

typedef struct {
    Ctx              *c;
    const OrderBoard *board;
    const Wood       *pieces;
    LIST(Work)        works;
    LIST(int)         inside;
    int               heads[HASHES];
} Ordering;

bool holds_small(const OrderBoard *board, Wood wood, bool rip) {
    if (rip && !board->sheet)
        return wood.length < SMALL_HELD_MM - SLACK_MM;
    return fmax(wood.length, wood.width) < SMALL_HELD_MM - SLACK_MM;
}

bool holds_narrow(const OrderBoard *board, Wood wood, bool rip) {
    double across = rip ? wood.width : wood.length;
    double along  = rip ? wood.length : wood.width;

    return (rip || board->sheet) && along >= across
        && across < NARROW_HELD_MM - SLACK_MM;
}

static double begin_of(Wood w, bool rip) { return rip ? w.y : w.x; }
static double size_of(Wood w, bool rip)  { return rip ? w.width : w.length; }
static double end_of(Wood w, bool rip) {
    return begin_of(w, rip) + size_of(w, rip);
}

static Wood part_of(Wood w, bool rip, double from, double to) {
    if (rip)
        return (Wood){ w.x, from, w.length, fmax(0, to - from) };
    return (Wood){ from, w.y, fmax(0, to - from), w.width };
}

/* ---- Pieces of wood ---- */

/* The piece lies in the wood, and no saw takes off what is beside it. */
static bool is_sawn(Wood wood, Wood piece) {
    return wood.length - piece.length < SLIVER_MM
        && wood.width - piece.width < SLIVER_MM;
}

static bool is_same(Wood a, Wood b) {
    return fabs(a.x - b.x) < SLACK_MM && fabs(a.y - b.y) < SLACK_MM
        && fabs(a.length - b.length) < SLACK_MM
        && fabs(a.width - b.width) < SLACK_MM;
}

/* Known by its pieces: the first, the last and how many are enough to find
 * it, its sides to tell it from others. */
static int hash_of(const Ordering *o, const Work *w) {
    unsigned hash = (unsigned)w->n;

    for (int i = 0; i < w->n; i++)
        hash = hash * 31 + (unsigned)o->inside.at[w->first + i];
    return (int)(hash % HASHES);
}

static int solve(Ordering *o, Wood wood, const int *pieces, int n);

/* False if the cut would run through a piece. */
static bool passes(const Ordering *o, const Work *w, bool rip, double at) {
    for (int i = 0; i < w->n; i++) {
        Wood p = o->pieces[o->inside.at[w->first + i]];
        if (end_of(p, rip) > at + SLACK_MM
            && begin_of(p, rip) < at + o->board->kerf - SLACK_MM)
            return false;
    }
    return true;
}

/* The half of a wood, with its pieces, solved. */
static int solve_half(Ordering *o, const Work *w, bool rip, double from,
                      double to) {
    int *pieces = NEW_N(o->c, int, w->n), n = 0;

    for (int i = 0; i < w->n; i++) {
        int index = o->inside.at[w->first + i];
        if (begin_of(o->pieces[index], rip) >= from - SLACK_MM
            && end_of(o->pieces[index], rip) <= to + SLACK_MM)
            pieces[n++] = index;
    }
    return solve(o, part_of(w->wood, rip, from, to), pieces, n);
}

/* Where the last of a row of pieces as wide as the wood ends; or -1. */
static double row_end(const Ordering *o, const Work *w) {
    double end = -1;

    for (int i = 0; i < w->n; i++) {
        Wood p = o->pieces[o->inside.at[w->first + i]];
        if (fabs(p.y - w->wood.y) > SLIVER_MM
            || fabs(p.width - w->wood.width) > SLIVER_MM)
            return -1;
        end = fmax(end, end_of(p, false));
    }
    return end;
}

/* Leaves can be sawn from it: crosscuts between its pieces are all that is
 * left to do. What is left over at its end comes off before, unless the
 * strip were short without it. */
static bool is_strip(const Ordering *o, const Work *w) {
    double end = row_end(o, w);

    return end >= 0
        && (end_of(w->wood, false) - end - o->board->kerf < LEFTOVER_MM
            || end - w->wood.x < SMALL_HELD_MM);
}

/* A half that becomes a strip by the cut, too short to saw leaves from. */
static int resaws_small(const Ordering *o, const Work *whole, int half) {
    const Work *w = &o->works.at[half];

    return o->board->resawn && !is_strip(o, whole) && is_strip(o, w)
        && w->wood.length < SMALL_HELD_MM - SLACK_MM;
}

static bool is_thin(double size, bool rip) {
    return rip && size < THIN_RIP - SLACK_MM;
}

/* Do its pieces all take the whole of it along the saw's way, so that the saw
 * may be set to their size? */
static bool sets_saw(const Ordering *o, int work, bool rip) {
    const Work *w = &o->works.at[work];

    if (is_thin(size_of(w->wood, rip), rip))
        return false;
    for (int i = 0; i < w->n; i++) {
        Wood p = o->pieces[o->inside.at[w->first + i]];
        if (fabs(size_of(p, rip) - size_of(w->wood, rip)) > SLIVER_MM)
            return false;
    }
    return w->n > 0;
}

/* Fewer that hold something small, then something narrow; a larger leftover,
 * a size that is a piece's own. */
static bool is_better(const Work *new, const Work *old) {
    if (new->small != old->small)
        return new->small < old->small;
    if (new->narrow != old->narrow)
        return new->narrow < old->narrow;
    if (fabs(new->left - old->left) > 1)
        return new->left > old->left;
    return new->plain && !old->plain;
}

/* What both halves of `w` and the cut itself take. */
static void add_halves(const Ordering *o, const Work *whole, bool rip,
                       Work *w) {
    const Work *a = &o->works.at[w->a], *b = &o->works.at[w->b];

    w->cut.small  = holds_small(o->board, w->wood, rip);
    w->cut.narrow = holds_narrow(o->board, w->wood, rip);
    w->small  = w->cut.small + a->small + b->small
              + resaws_small(o, whole, w->a) + resaws_small(o, whole, w->b);
    w->narrow = w->cut.narrow + a->narrow + b->narrow;
    w->left   = fmax(a->left, b->left);
    w->plain  = sets_saw(o, w->a, rip) || sets_saw(o, w->b, rip);
}

/* Tries a cut of a piece of wood; keeps it if it is better. */
static void try_cut(Ordering *o, int work, bool rip, double at) {
    Work   old  = o->works.at[work], new = old;
    double from = begin_of(old.wood, rip), to = end_of(old.wood, rip);
    double rest = to - at - o->board->kerf;
    bool   beyond;

    if (at < from - SLACK_MM || at > to - SLIVER_MM
        || holds_small(o->board, old.wood, rip) > old.small
        || !passes(o, &old, rip, at))
        return;
    new.a   = solve_half(o, &old, rip, from, at);
    new.b   = solve_half(o, &old, rip, at + o->board->kerf, to);
    beyond  = (!sets_saw(o, new.a, rip) && sets_saw(o, new.b, rip))
           || (is_thin(at - from, rip) && !is_thin(rest, rip));
    new.cut = (Cut){ .rip = rip, .at = at, .from = begin_of(old.wood, !rip),
                     .to = end_of(old.wood, !rip), .near = from, .far = to,
                     .setting = beyond ? rest : at - from };
    add_halves(o, &old, rip, &new);
    if (is_better(&new, &old))
        o->works.at[work] = new;
}

/* Cuts right behind or right before each piece, the whole ways first. */
static void try_cuts(Ordering *o, int work) {
    Work w = o->works.at[work];
    bool rip_first = o->board->sheet && w.wood.length >= w.wood.width;
    double row = row_end(o, &w);

    if (o->board->resawn && row >= 0 && !is_strip(o, &w)) {
        try_cut(o, work, false, row);
        return;
    }
    for (int way = 0; way < 2; way++) {
        bool rip = (way == 0) == rip_first;
        for (int k = 0; k < 2 * w.n; k++) {
            Wood p = o->pieces[o->inside.at[w.first + k % w.n]];
            if (o->works.n > MOST_WOODS
                && o->works.at[work].small < STUCK)
                return;
            if (k < w.n)
                try_cut(o, work, rip, end_of(p, rip));
            else if (begin_of(p, rip) > begin_of(w.wood, rip) + SLACK_MM)
                try_cut(o, work, rip, begin_of(p, rip) - o->board->kerf);
        }
    }
}

static int find(const Ordering *o, const Work *w, int hash) {
    for (int i = o->heads[hash] - 1; i >= 0; i = o->works.at[i].next) {
        if (o->works.at[i].n == w->n && is_same(o->works.at[i].wood, w->wood))
            return i;
    }
    return -1;
}

static int solve(Ordering *o, Wood wood, const int *pieces, int n) {
    Work w = { .wood = wood, .first = o->inside.n, .n = n, .a = -1, .b = -1 };
    int  hash, i;

    for (int k = 0; k < n; k++)
        *PUSH(o->c, &o->inside) = pieces[k];
    hash = hash_of(o, &w);
    i    = find(o, &w, hash);
    if (i >= 0) {
        o->inside.n = w.first;
        return i;
    }
    i      = o->works.n;
    w.done = n == 0 || (n == 1 && is_sawn(wood, o->pieces[pieces[0]]));
    w.next = o->heads[hash] - 1;
    w.left = n == 0 ? wood.length * wood.width : 0;
    if (!w.done) {
        w.small = INT32_MAX;
        w.left  = -2;
    }
    *PUSH(o->c, &o->works) = w;
    o->heads[hash]         = i + 1;
    if (!w.done)
        try_cuts(o, i);
    if (o->works.at[i].small == INT32_MAX) {
        o->works.at[i].done  = true;
        o->works.at[i].small = STUCK;
        o->works.at[i].left  = 0;
    }
    return i;
}

/* ---- One after the other ---- */

static bool same_setting(const Cut *a, const Cut *b) {
    return a->rip == b->rip
        && fabs(a->setting - b->setting) < SLACK_MM * 10;
}

int cut_settings(const Layout *l) {
    int n = 0;

    for (int i = 0; i < l->cuts.n; i++)
        n += i == 0 || !same_setting(&l->cuts.at[i - 1], &l->cuts.at[i]);
    return n;
}

/* Does it wait until leaves are sawn from all strips? */
static bool is_later(const Ordering *o, const Work *w) {
    return o->board->resawn && is_strip(o, w);
}

static int risk(const Cut *cut) { return 2 * cut->small + cut->narrow; }

/* The next of the waiting: one that fits the saw as it stands, what is small
 * or narrow last; or else the largest, crosscuts of boards before rips. */
static int next_of(const Ordering *o, const int *waiting, int n,
                   const Cut *last) {
    int    best = 0, fits = -1;
    double largest = -1;
    bool   later = true;

    for (int i = 0; i < n; i++)
        later = later && is_later(o, &o->works.at[waiting[i]]);
    for (int i = 0; i < n; i++) {
        const Work *w    = &o->works.at[waiting[i]];
        double      area = w->wood.length * w->wood.width;
        if (is_later(o, w) != later)
            continue;
        if (last && same_setting(&w->cut, last)
            && (fits < 0 || risk(&w->cut)
                            < risk(&o->works.at[waiting[fits]].cut)))
            fits = i;
        if (area > largest + SLACK_MM) {
            largest = area;
            best    = i;
        }
    }
    return fits >= 0 ? fits : best;
}

typedef LIST(int) Waiting;

/* Wood that is cut on waits; what no piece is in is left over. */
static void put_down(Ordering *o, int work, Waiting *waiting,
                     CutOrder *order) {
    const Work *w = &o->works.at[work];

    if (!w->done)
        *PUSH(o->c, waiting) = work;
    else if (w->n == 0)
        *PUSH(o->c, &order->left) = w->wood;
}

static void put_in_row(Ordering *o, int root, CutOrder *order) {
    Waiting waiting = { 0 };
    Cuts   *cuts    = &order->cuts;

    put_down(o, root, &waiting, order);
    while (waiting.n > 0) {
        const Cut *last = cuts->n ? &cuts->at[cuts->n - 1] : NULL;
        int        i    = next_of(o, waiting.at, waiting.n, last);
        Work       w    = o->works.at[waiting.at[i]];

        for (waiting.n--; i < waiting.n; i++)
            waiting.at[i] = waiting.at[i + 1];
        if (!is_later(o, &w))
            order->strips_at = cuts->n + 1;
        order->small_strips |= resaws_small(o, &w, w.a)
                            || resaws_small(o, &w, w.b);
        *PUSH(o->c, cuts) = w.cut;
        put_down(o, w.a, &waiting, order);
        put_down(o, w.b, &waiting, order);
    }
}

/* ---- Rows without gaps ---- */

/* Moves the pieces of a row, as wide as the wood that they lie in, to its
 * begin; along the board, or across it. True: something was moved. */
static bool close_row(const Ordering *o, const Work *w, bool across,
                      Wood *pieces) {
    double at = begin_of(w->wood, across);
    bool   moved = false;

    for (int i = 0; i < w->n; i++) {
        Wood p = pieces[o->inside.at[w->first + i]];
        if (fabs(begin_of(p, !across) - begin_of(w->wood, !across)) > SLACK_MM
            || fabs(size_of(p, !across) - size_of(w->wood, !across))
               > SLACK_MM)
            return false;
    }
    for (int i = 0; i < w->n; i++) {
        Wood *p = &pieces[o->inside.at[w->first + i]];
        moved = moved || begin_of(*p, across) > at + SLACK_MM;
        *(across ? &p->y : &p->x) = at;
        at += size_of(*p, across) + o->board->kerf;
    }
    return moved;
}

/* In all the wood that comes up. What is in the list is from left to right,
 * and from near to far where it is a row across. */
static bool close_rows(const Ordering *o, int work, Wood *pieces) {
    const Work *w = &o->works.at[work];
    bool        moved;

    if (w->done)
        return false;
    if (close_row(o, w, false, pieces) || close_row(o, w, true, pieces))
        return true;
    moved = close_rows(o, w->a, pieces);
    return close_rows(o, w->b, pieces) || moved;
}

/* Pieces from the left end on, and from the near edge: so that the first
 * cut tried takes the first piece off, with the long rest still in hand. */
static int from_left(const void *pa, const void *pb, const void *with) {
    const Wood *pieces = with;
    Wood a = pieces[*(const int *)pa], b = pieces[*(const int *)pb];

    if (fabs(a.x + a.length - b.x - b.length) > SLACK_MM)
        return a.x + a.length < b.x + b.length ? -1 : 1;
    if (fabs(a.y + a.width - b.y - b.width) > SLACK_MM)
        return a.y + a.width < b.y + b.width ? -1 : 1;
    return 0;
}

/* A fresh start: all pieces in order, and the best cuts through the wood. */
static int begin(Ctx *c, Ordering *o, const OrderBoard *board, Wood wood,
                 const Wood *pieces, int n) {
    int *all = NEW_N(c, int, n);

    memset(o, 0, sizeof *o);
    o->c      = c;
    o->board  = board;
    o->pieces = pieces;
    for (int i = 0; i < n; i++)
        all[i] = i;
    list_sort(c, all, n, sizeof *all, from_left, pieces);
    return solve(o, wood, all, n);
}

CutOrder cut_order(Ctx *c, const OrderBoard *board, Wood *pieces, int n) {
    Ordering *o    = NEW(c, Ordering);
    CutOrder  order = { 0 };
    Wood      wood = board->wood;
    int       root;

    if (board->trim > 0) {
        *PUSH(c, &order.cuts) = (Cut){
            .at = wood.x + board->trim, .from = wood.y,
            .to = wood.y + wood.width, .near = wood.x,
            .far = wood.x + wood.length, .setting = board->trim };
        order.strips_at = 1;
        wood = part_of(wood, false, wood.x + board->trim + board->kerf,
                       wood.x + wood.length);
    }
    root = begin(c, o, board, wood, pieces, n);
    if (close_rows(o, root, pieces))
        root = begin(c, o, board, wood, pieces, n);
    put_in_row(o, root, &order);
    return order;
}

/* ---- All layouts ---- */

void order_cuts(Ctx *c, const Model *m, Workplan *p) {
    for (int i = 0; i < p->layouts.n; i++) {
        Layout    *l     = &p->layouts.at[i];
        Wood      *woods = NEW_N(c, Wood, l->placed.n);
        OrderBoard board = { { 0, 0, l->length, l->width }, m->kerf.real,
                             fmax(0, m->end_trim.real),
                             m->stocks.at[l->stock].form == FORM_SHEET,
                             m->stocks.at[l->stock].leaves > 0 };
        CutOrder   order;

        for (int k = 0; k < l->placed.n; k++) {
            const Placed *at = &l->placed.at[k];
            woods[k] = (Wood){ at->x, at->y, at->length, at->width };
        }
        order = cut_order(c, &board, woods, l->placed.n);
        for (int k = 0; k < l->placed.n; k++) {
            l->placed.at[k].x = woods[k].x;
            l->placed.at[k].y = woods[k].y;
        }
        l->strips_at    = order.strips_at;
        l->small_strips = order.small_strips;
        l->cuts.n      = 0;
        l->leftovers.n = 0;
        for (int k = 0; k < order.cuts.n; k++)
            *PUSH(c, &l->cuts) = order.cuts.at[k];
        for (int k = 0; k < order.left.n; k++) {
            Wood w = order.left.at[k];
            if (w.length >= LEFTOVER_MM && w.width >= LEFTOVER_MM)
                *PUSH(c, &l->leftovers) =
                    (Leftover){ w.x, w.y, w.length, w.width };
        }
    }
}
