/* stock_cut_cover -- jobs of which all patterns that matter can be listed.
 *
 * A pattern costs more than its pieces are worth by its reduced cost; where
 * that is more than the gap between the bound and the next cheaper plan, it
 * is in no cheaper plan. A gap that is a small part of one bar often leaves
 * some hundreds of patterns. Then all parts are to be covered by them. More
 * pieces than wanted may be, so patterns with room for no other will do.
 *
 * They are tried in a tree: one part after the other, always that with the
 * fewest patterns. At each place the linear program over the list
 * (stock_cut_dual.c) gives a bound, and bans what is too dear from there on.
 * Listing anew at each place (stock_cut_tree.c) is the rival: it is slower,
 * but needs no complete list.
 */
#include "plan/stock_cut_internal.h"

#define MOST_LISTED 50000
#define CUT_ROUNDS  40

/* ---- Bans ---- */

/* Bans what loses more than there is to lose by these duals. */
static void ban_dear(Cover *v) {
    int64_t gap = cover_limit(v) - cover_prove(v, v->now.dual);

    for (int j = 0; j < v->all.n; j++) {
        Choice *c = &v->all.at[j];
        if (c->banned || c->excess <= gap)
            continue;
        c->banned = true;
        *PUSH(v->k->c, &v->bans) = j;
    }
}

static void lift_bans(Cover *v, int down_to) {
    while (v->bans.n > down_to)
        v->all.at[v->bans.at[--v->bans.n]].banned = false;
}

/* ---- The plan ---- */

/* The bars taken, without the pieces that others give already. */
static void keep_cover(Cover *v) {
    Cutter *k    = v->k;
    Rest    rest = rest_new(k);

    rest_copy(k, &rest, v->from);
    for (int i = 0; i < v->taken.n; i++) {
        const Column *from = &v->all.at[v->taken.at[i]].col;
        Column       *col  = PUSH(k->c, &k->pool);
        col->size  = from->size;
        col->part  = NEW_N(k->c, int, from->n);
        col->count = NEW_N(k->c, int, from->n);
        for (int e = 0; e < from->n; e++) {
            int left = rest.left[from->part[e]];
            int n    = from->count[e] < left ? from->count[e] : left;
            if (n == 0)
                continue;
            col->part[col->n]    = from->part[e];
            col->count[col->n++] = n;
        }
        take_column(k, &rest, k->pool.n - 1, 1);
    }
    keep_plan(k, &rest);
}

/* ---- The tree ---- */

/* The part left that fewest patterns give, or -1. */
static int tightest(const Cover *v) {
    int *n = v->count, pick = -1, e = 0;

    memset(n, 0, sizeof *n * (size_t)v->rows);
    for (int j = 0; j < v->all.n; j++) {
        for (; e < v->all.at[j].end; e++)
            n[v->entries.at[e].row] += !v->all.at[j].banned;
    }
    for (int i = 0; i < v->part_rows; i++) {
        if (v->need[i] > 0 && (pick < 0 || n[i] < n[pick]))
            pick = i;
    }
    return pick;
}

typedef struct { int choice; double x; int64_t excess; } Turn;

static int likely_first(const void *pa, const void *pb, const void *with) {
    const Turn *a = pa, *b = pb;

    (void)with;
    if (a->x < b->x || a->x > b->x)
        return a->x < b->x ? 1 : -1;
    return a->excess > b->excess ? 1 : a->excess < b->excess ? -1 : 0;
}

/* The patterns with a part, those first that the program uses most. */
static Turn *list_turns(Cover *v, int row, int *n) {
    Turn *turns = NEW_N(v->k->c, Turn, v->count[row]);
    int   e = 0;

    *n = 0;
    for (int j = 0; j < v->all.n; j++) {
        const Choice *c = &v->all.at[j];
        for (; e < c->end; e++) {
            if (v->entries.at[e].row == row && !c->banned)
                turns[(*n)++] = (Turn){ j, 0, c->excess };
        }
    }
    for (int r = 0; r < v->rows; r++) {
        for (int i = 0; i < *n; i++) {
            if (turns[i].choice == v->now.basis[r])
                turns[i].x = v->now.x[r];
        }
    }
    list_sort(v->k->c, turns, *n, sizeof *turns, likely_first, NULL);
    return turns;
}

static void find_rest(Cover *v) {
    for (int r = 0; r < v->part_rows; r++)
        v->rest.left[v->row_part[r]] = v->need[r] > 0 ? (int)v->need[r] : 0;
}

static bool search(Cover *v, int depth, int budget);

/* True: nothing cheaper comes of any of them. */
static bool try_turns(Cover *v, int row, int depth, int budget) {
    bool  complete = true;
    int   n;
    Turn *turns = list_turns(v, row, &n);

    cover_keep(v, depth);
    for (int i = 0; i < n; i++) {
        bool known;
        if (is_tired(v->k) || v->k->best_cost <= v->k->bound
            || (i > 0 && budget == 0))
            return false;
        cover_take(v, turns[i].choice, 1);
        find_rest(v);
        known = has_failed(v->k, &v->rest, v->k->best_cost - v->spent);
        if (!known && !search(v, depth + 1, budget - (i > 0)))
            complete = false;
        cover_take(v, turns[i].choice, -1);
        if (!known)
            cover_put_back(v, depth);
    }
    return complete;
}

static bool search(Cover *v, int depth, int budget) {
    int  bans = v->bans.n, row;
    bool complete = true;

    if (cover_solve(v)) {
        ban_dear(v);
        row = tightest(v);
        if (row < 0)
            keep_cover(v);
        else
            complete = try_turns(v, row, depth, budget);
        lift_bans(v, bans);
    }
    if (complete) {
        find_rest(v);
        note_failed(v->k, &v->rest, v->k->best_cost - v->spent);
    }
    return complete;
}

/* ---- The whole ---- */

static bool has_limits(const Cutter *k, const Rest *rest) {
    for (int j = 0; j < k->n; j++) {
        if (rest->supply[j] > 0 || rest->due[j] > 0)
            return true;
    }
    return false;
}

bool cover_search(Cutter *k, const Rest *rest) {
    Cover v = { .k = k, .from = rest, .spent = rest->cost };
    bool  complete;

    k->rough = false;
    if (has_limits(k, rest) || !lp_solve(k, rest)
        || !list_all(k, rest, MOST_LISTED, &v))
        return false;
    v.rest = rest_new(k);
    rest_copy(k, &v.rest, rest);
    cover_start(&v);
    for (int round = 0; round < CUT_ROUNDS; round++) {
        if (!cover_solve(&v))
            return true;
        ban_dear(&v);
        if (!cover_cut(&v))
            break;
    }
    complete = search(&v, 0, 1);
    if (!complete && !is_tired(k) && k->best_cost > k->bound)
        complete = search(&v, 0, INT_MAX);
    return complete;
}
