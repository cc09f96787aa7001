/* way_in -- can the steps be done in the order that the design gives?
 *
 * Each step is undone in thought, the last piece first: every new piece
 * needs a straight way out past all that stands at that time. What cannot
 * come one by one may come as one, put together before: then it needs a way
 * out as a whole, and its pieces need ways among themselves. And what a
 * step adds must touch something, stand on the ground, or be the start of
 * something.
 */
#include "model/model_internal.h"

#include <math.h>

#define HINGE_MM 3.0   // this near still counts as attached

typedef struct {
    Build    *b;
    Blocking *stand;
    Blocking *alone;     // for a bunch by itself; NULL: not needed yet
    double    ground;    // z on which the finished project stands
} Order;

/* ---- What a step does not add one by one ---- */

/* The pieces of the group that hang together with `piece`; `of` has room
 * for all pieces, and is all false before and after. */
static Ints bunch_of(Order *o, const Ints *group, int piece, bool *of) {
    const Neighbors *near   = blocking_near(o->stand);
    Ints             bunch  = { 0 };

    for (int i = 0; i < group->n; i++)
        of[group->at[i]] = true;
    *PUSH(o->b->c, &bunch) = piece;
    of[piece] = false;
    for (int i = 0; i < bunch.n; i++) {
        int p = bunch.at[i];
        for (int k = near->begin[p]; k < near->begin[p + 1]; k++) {
            const Contact *t = &o->b->m->contacts.at[near->item[k]];
            int other = t->a == p ? t->b : t->a;
            if (!of[other])
                continue;
            of[other] = false;
            *PUSH(o->b->c, &bunch) = other;
        }
    }
    for (int i = 0; i < group->n; i++)
        of[group->at[i]] = false;
    return bunch;
}

static bool moves_as_one(Order *o, const Ints *bunch, const bool *beside,
                         V3 dir) {
    for (int i = 0; i < bunch->n; i++)
        if (blocking_on(o->stand, bunch->at[i], dir, beside) >= 0)
            return false;
    return true;
}

/* Can the bunch be put together by itself? */
static bool holds_together(Order *o, const Ints *bunch) {
    Ints stuck = { 0 };

    if (!o->alone)
        o->alone = blocking_new(o->b->c, o->b->m);
    for (int i = 0; i < bunch->n; i++) {
        blocking_put(o->alone, bunch->at[i]);
        *PUSH(o->b->c, &stuck) = bunch->at[i];
    }
    blocking_peel(o->alone, &stuck, NULL, NULL);
    for (int i = 0; i < stuck.n; i++)
        blocking_take(o->alone, stuck.at[i]);
    return stuck.n == 0;
}

/* Tries to take a bunch of the group out as one. */
static bool bunch_out(Order *o, const Ints *group, V3 *ways) {
    static const V3 axes[] = {
        { 0, 0, 1 }, { 1, 0, 0 }, { -1, 0, 0 }, { 0, 1, 0 }, { 0, -1, 0 },
        { 0, 0, -1 }
    };
    bool *beside = NEW_N(o->b->c, bool, o->b->m->pieces.n + 1);
    bool *of     = NEW_N(o->b->c, bool, o->b->m->pieces.n + 1);

    for (int i = 0; i < group->n; i++) {
        Ints bunch = bunch_of(o, group, group->at[i], of);
        for (int k = 0; k < bunch.n; k++)
            beside[bunch.at[k]] = true;
        for (int a = 0; a < COUNT(axes) && bunch.n > 1; a++) {
            if (!moves_as_one(o, &bunch, beside, axes[a])
                || !holds_together(o, &bunch))
                continue;
            for (int k = 0; k < bunch.n; k++) {
                blocking_take(o->stand, bunch.at[k]);
                ways[bunch.at[k]] = axes[a];
            }
            return true;
        }
        for (int k = 0; k < bunch.n; k++)
            beside[bunch.at[k]] = false;
    }
    return false;
}

static void keep_standing(const Order *o, Ints *group) {
    int n = 0;

    for (int i = 0; i < group->n; i++)
        if (blocking_stands(o->stand, group->at[i]))
            group->at[n++] = group->at[i];
    group->n = n;
}

/* ---- Messages ---- */

/* What stops the piece: of earlier steps if any is, and on the way that
 * one expects it from. */
static int first_blocker(Order *o, int piece, const bool *fresh) {
    static const V3 axes[] = {
        { 0, 0, 1 }, { 0, -1, 0 }, { 1, 0, 0 }, { -1, 0, 0 }, { 0, 1, 0 },
        { 0, 0, -1 }
    };
    int any = -1;

    for (int pass = 0; pass < 2 && any < 0; pass++)
        for (int i = 0; i < COUNT(axes) && any < 0; i++)
            any = blocking_on(o->stand, piece, axes[i],
                              pass ? NULL : fresh);
    return any;
}

/* Has either of the two no straight way out past the other alone? */
static bool lock_each_other(Order *o, int piece, int by) {
    bool stuck;
    V3   way;

    if (!o->alone)
        o->alone = blocking_new(o->b->c, o->b->m);
    blocking_put(o->alone, by);
    stuck = !blocking_way(o->alone, piece, NULL, NULL, &way);
    blocking_take(o->alone, by);
    return stuck;
}

static void report_blocked(Order *o, int step, const Ints *stuck) {
    const Model *m     = o->b->m;
    bool        *fresh = NEW_N(o->b->c, bool, m->pieces.n + 1);
    int          piece = stuck->at[0], by = -1;
    bool         lock;

    for (int i = 0; i < stuck->n; i++)
        fresh[stuck->at[i]] = true;
    for (int i = 0; i < stuck->n && by < 0; i++) {
        piece = stuck->at[i];
        by    = first_blocker(o, piece, fresh);
        if (by >= 0 && fresh[by])
            by = -1;
    }
    if (by < 0) {
        piece = stuck->at[0];
        by    = first_blocker(o, piece, fresh);
    }
    lock = by >= 0 && lock_each_other(o, piece, by);
    report(o->b->c, m->steps.at[step].loc, BLOCKED,
           "step %d cannot be done: '%.*s' has no straight way in, '%.*s' "
           "is in its way", step + 1, STR_ARG(m->pieces.at[piece].name),
           by < 0 ? 0 : (int)m->pieces.at[by].name.n,
           by < 0 ? "" : m->pieces.at[by].name.s);
    if (by >= 0 && !lock && m->pieces.at[by].step < step)
        hint(o->b->c, "add '%.*s' before '%.*s', which step %d adds; if it "
             "goes in by tilting or bending, say \"tilts in\": true",
             STR_ARG(m->pieces.at[piece].name),
             STR_ARG(m->pieces.at[by].name), m->pieces.at[by].step + 1);
    else
        hint(o->b->c, "%sthey lock each other: change a joint so that one "
             "slides, or, if one goes in by tilting or bending, say "
             "\"tilts in\": true", lock ? "neither can go in before nor "
             "after the other, " : "");
}

/* ---- Held ---- */

static bool is_held(Order *o, int piece) {
    const Model     *m    = o->b->m;
    const Neighbors *near = blocking_near(o->stand);
    const Piece     *p    = &m->pieces.at[piece];

    if (p->box.min.z <= o->ground + HINGE_MM)
        return true;
    for (int k = near->begin[piece]; k < near->begin[piece + 1]; k++) {
        const Contact *t = &m->contacts.at[near->item[k]];
        if (blocking_stands(o->stand, t->a == piece ? t->b : t->a))
            return true;
    }
    return false;
}

static bool is_of(const int *pieces, int n, int piece) {
    for (int i = 0; i < n; i++)
        if (pieces[i] == piece)
            return true;
    return false;
}

/* A gap as wide as a hinge's is bridged by what fixes it; a clamp or a hand
 * is no piece. */
static bool is_fixed_in(const Step *step, int piece) {
    for (int i = 0; i < step->fixes.n; i++) {
        const Fix *f = &step->fixes.at[i];
        if ((f->to.n && is_of(f->pieces.at, f->pieces.n, piece))
            || is_of(f->to.at, f->to.n, piece))
            return true;
    }
    for (int i = 0; i < step->holds.n; i++) {
        const Hold *h = &step->holds.at[i];
        if (is_of(h->pieces.at, h->pieces.n, piece))
            return true;
    }
    return false;
}

static void check_held(Order *o, int step) {
    const Model *m  = o->b->m;
    const Step  *st = &m->steps.at[step];

    for (int i = 0; i < st->add.n; i++) {
        int              piece = st->add.at[i];
        const Piece     *p     = &m->pieces.at[piece];
        const Neighbors *near  = blocking_near(o->stand);
        int              later = -1;
        if (p->temporary || is_held(o, piece) || is_fixed_in(st, piece))
            continue;
        for (int k = near->begin[piece]; k < near->begin[piece + 1]; k++) {
            const Contact *t = &m->contacts.at[near->item[k]];
            later = t->a == piece ? t->b : t->a;
        }
        if (later < 0)
            continue;   // "floating" tells of it
        report(o->b->c, st->loc, UNHELD,
               "nothing holds '%.*s' in step %d: '%.*s', which it touches, "
               "is added in step %d", STR_ARG(p->name), step + 1,
               STR_ARG(m->pieces.at[later].name),
               m->pieces.at[later].step + 1);
        return;
    }
}

/* Does what the spacer held stay where it is without it, in the work as it
 * is after the steps up to `step`? */
static void check_let_go(Order *o, int gone, int step) {
    const Model     *m    = o->b->m;
    const Neighbors *near = blocking_near(o->stand);

    for (int k = near->begin[gone]; k < near->begin[gone + 1]; k++) {
        const Contact *t = &m->contacts.at[near->item[k]];
        int  piece = t->a == gone ? t->b : t->a;
        bool held  = !blocking_stands(o->stand, piece) || is_held(o, piece)
                  || m->pieces.at[piece].temporary;
        for (int i = 0; i <= step && !held; i++)
            held = is_fixed_in(&m->steps.at[i], piece);
        if (held)
            continue;
        report(o->b->c, m->steps.at[step].loc, UNHELD,
               "nothing holds '%.*s' once '%.*s' is taken away%s step %d",
               STR_ARG(m->pieces.at[piece].name),
               STR_ARG(m->pieces.at[gone].name),
               is_of(m->steps.at[step].add.at, m->steps.at[step].add.n, gone)
               ? " after" : " in", step + 1);
        return;
    }
}

/* Takes the pieces away, all of them before it asks who held what. */
static void take_away(Order *o, const int *gone, int n, int step) {
    for (int i = 0; i < n; i++)
        blocking_take(o->stand, gone[i]);
    for (int i = 0; i < n; i++)
        check_let_go(o, gone[i], step);
}

/* ---- Steps in order ---- */

static void peel_step(Order *o, int k, V3 *ways) {
    const Model *m     = o->b->m;
    const Step  *step  = &m->steps.at[k];
    Ints         fresh = { 0 };

    for (int i = 0; i < step->add.n; i++) {
        blocking_put(o->stand, step->add.at[i]);
        *PUSH(o->b->c, &fresh) = step->add.at[i];
    }
    if (k > 0)
        check_held(o, k);
    while (!step->tilts && blocking_peel(o->stand, &fresh, ways, NULL)) {
        if (bunch_out(o, &fresh, ways)) {
            keep_standing(o, &fresh);
            continue;
        }
        report_blocked(o, k, &fresh);
        break;
    }
    for (int i = 0; i < step->add.n; i++)
        blocking_put(o->stand, step->add.at[i]);
}

/* Jigs and what is there for one step only leave again. */
static void leave_step(Order *o, int k) {
    const Model *m = o->b->m;
    const Step  *step = &m->steps.at[k];
    Ints         gone = { 0 };

    for (int i = 0; i < step->add.n; i++) {
        const Piece *p = &m->pieces.at[step->add.at[i]];
        if (p->temporary ? !piece_stands(p, k + 1)
                         : m->parts.at[p->part].jig)
            *PUSH(o->b->c, &gone) = step->add.at[i];
    }
    take_away(o, gone.at, gone.n, k);
}

double ground_of(const Model *m) {
    double z = INFINITY;

    for (int i = 0; i < m->pieces.n; i++) {
        const Piece *p = &m->pieces.at[i];
        if (!p->temporary && !m->parts.at[p->part].jig)
            z = fmin(z, p->box.min.z);
    }
    return z;
}

void check_order(Build *b) {
    Order o    = { b, blocking_new(b->c, b->m), NULL, ground_of(b->m) };
    V3   *ways = NEW_N(b->c, V3, b->m->pieces.n + 1);

    for (int k = 0; k < b->m->steps.n; k++) {
        const Step *step = &b->m->steps.at[k];
        take_away(&o, step->removes.at, step->removes.n, k);
        peel_step(&o, k, ways);
        leave_step(&o, k);
    }
    for (int i = 0; i < b->m->pieces.n; i++)
        b->m->pieces.at[i].comes = ways[i];
}
