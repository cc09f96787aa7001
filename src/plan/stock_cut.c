/* stock_cut -- the frame of the search for the cheapest cutting plan.
 *
 * First plain rules give a plan, the linear program over all patterns a
 * bound (stock_cut_lp.c). Where they differ, the program is followed down
 * with rounding. At last all patterns that could still matter are tried: in
 * one list, where that is short enough (stock_cut_cover.c), or else in a
 * tree that lists them piece by piece (stock_cut_tree.c). Work is counted in
 * steps, never in seconds.
 * Rivals: arc-flow models (Valerio de Carvalho 1999) need a strong solver
 * of integer programs; the bound here is as good, and exact.
 */
#include "plan/stock_cut_internal.h"

#include <assert.h>
#include <math.h>

/* ---- What is left ---- */

bool is_tired(const Cutter *k) {
    return k->work > k->most_work || (k->ask && k->found);
}

Rest rest_new(Cutter *k) {
    return (Rest){ .left   = NEW_N(k->c, int, k->m),
                   .supply = NEW_N(k->c, int, k->n),
                   .due    = NEW_N(k->c, int, k->n) };
}

void rest_copy(const Cutter *k, Rest *to, const Rest *from) {
    memcpy(to->left, from->left, sizeof *to->left * (size_t)k->m);
    memcpy(to->supply, from->supply, sizeof *to->supply * (size_t)k->n);
    memcpy(to->due, from->due, sizeof *to->due * (size_t)k->n);
    to->cost   = from->cost;
    to->n_path = from->n_path;
}

bool rest_empty(const Cutter *k, const Rest *rest) {
    for (int i = 0; i < k->m; i++) {
        if (rest->left[i] > 0)
            return false;
    }
    return true;
}

bool column_fits(const Column *col, const Rest *rest) {
    if (rest->supply[col->size] == 0)
        return false;
    for (int e = 0; e < col->n; e++) {
        if (col->count[e] > rest->left[col->part[e]])
            return false;
    }
    return true;
}

void take_column(Cutter *k, Rest *rest, int column, int copies) {
    const Column *col = &k->pool.at[column];

    for (int e = 0; e < col->n; e++)
        rest->left[col->part[e]] -= col->count[e] * copies;
    if (rest->supply[col->size] >= 0)
        rest->supply[col->size] -= copies;
    rest->due[col->size] -= rest->due[col->size] < copies
                          ? rest->due[col->size] : copies;
    rest->cost  += k->price[col->size] * copies;
    k->path.n    = rest->n_path;
    *PUSH(k->c, &k->path) = (Use){ column, copies };
    rest->n_path = k->path.n;
}

void keep_plan(Cutter *k, const Rest *rest) {
    if (rest->cost >= k->best_cost)
        return;
    k->found     = true;
    k->best_cost = rest->cost;
    k->best.n    = 0;
    for (int i = 0; i < rest->n_path; i++)
        *PUSH(k->c, &k->best) = k->path.at[i];
}

/* ---- Plain rules ---- */

/* The longest bar that can still be had, and then the one of best price
 * for its length: plain rules use one of the two at a time. */
static int pick_size(const Cutter *k, const Rest *rest, int part,
                     bool longest) {
    int pick = -1;

    for (int j = 0; j < k->n; j++) {
        if (rest->supply[j] == 0 || k->room[j] < k->length[part])
            continue;
        if (pick < 0 || longest
            || (double)k->price[j] * (double)k->room[pick]
               < (double)k->price[pick] * (double)k->room[j])
            pick = j;
    }
    return pick;
}

/* The cheapest size that holds a length. */
static int cheapest_size(const Cutter *k, const Rest *rest, int64_t length,
                         int pick) {
    for (int j = 0; j < k->n; j++) {
        if (rest->supply[j] != 0 && k->room[j] >= length
            && k->price[j] < k->price[pick])
            pick = j;
    }
    return pick;
}

static int longest_left(const Cutter *k, const Rest *rest) {
    for (int i = 0; i < k->m; i++) {
        if (rest->left[i] > 0)
            return i;
    }
    return -1;
}

/* Takes the column, whose size becomes the cheapest that will do. */
static void take_new(Cutter *k, Rest *rest, Column col) {
    int64_t length = 0;

    for (int e = 0; e < col.n; e++)
        length += k->length[col.part[e]] * col.count[e];
    col.size = cheapest_size(k, rest, length, col.size);
    *PUSH(k->c, &k->pool) = col;
    take_column(k, rest, k->pool.n - 1, 1);
}

static Column first_fit(Cutter *k, const Rest *rest, int size) {
    Column  col  = { .size = size };
    int64_t room = k->room[size];

    col.part  = NEW_N(k->c, int, k->m);
    col.count = NEW_N(k->c, int, k->m);
    for (int i = 0; i < k->m; i++) {
        int64_t fit = room / k->length[i];
        if (fit > rest->left[i])
            fit = rest->left[i];
        if (fit < 1)
            continue;
        col.part[col.n]    = i;
        col.count[col.n++] = (int)fit;
        room -= fit * k->length[i];
    }
    k->work += k->m;
    return col;
}

/* The set of pieces that leaves least of a length, as a column. */
static Column fill_length(Cutter *k, const Rest *rest, int size,
                          int64_t length) {
    Column  col   = { .size = size };
    int64_t first = k->room[0];
    int     n     = k->n;

    for (int i = 0; i < k->m; i++)
        k->lp.value[i] = k->length[i];
    k->n            = 1;   // a single size, as long as wanted
    k->room[0]      = length;
    k->fill.need[0] = 0;
    fill_best(k, k->lp.value, rest->left);
    if (k->fill.best[0] >= 0)
        col = fill_column(k, size, k->fill.best[0]);
    k->room[0] = first;
    k->n       = n;
    return col;
}

/* Fills a bar with one piece given and then as full as can be. */
static Column fullest(Cutter *k, Rest *rest, int size, int first) {
    Column rest_of, col = { .size = size };
    bool   there = false;

    rest->left[first]--;
    rest_of = fill_length(k, rest, size, k->room[size] - k->length[first]);
    rest->left[first]++;
    col.part  = NEW_N(k->c, int, rest_of.n + 1);
    col.count = NEW_N(k->c, int, rest_of.n + 1);
    for (int e = 0; e < rest_of.n; e++) {
        bool same = rest_of.part[e] == first;
        col.part[col.n]    = rest_of.part[e];
        col.count[col.n++] = rest_of.count[e] + same;
        there = there || same;
    }
    if (!there) {
        col.part[col.n]    = first;
        col.count[col.n++] = 1;
    }
    return col;
}

static void finish_by(Cutter *k, const Rest *from, bool full, bool longest) {
    Rest rest = rest_new(k);
    int  first, pool = k->pool.n;

    rest_copy(k, &rest, from);
    while ((first = longest_left(k, &rest)) >= 0) {
        int size = pick_size(k, &rest, first, longest);
        if (size < 0 || rest.cost >= k->best_cost) {
            k->pool.n = pool;
            return;
        }
        take_new(k, &rest, full ? fullest(k, &rest, size, first)
                                : first_fit(k, &rest, size));
    }
    keep_plan(k, &rest);
}

void finish_greedy(Cutter *k, const Rest *rest) {
    finish_by(k, rest, false, false);
    if (k->n > 1)
        finish_by(k, rest, false, true);
}

void finish_full(Cutter *k, const Rest *rest) {
    finish_by(k, rest, true, false);
    if (k->n > 1)
        finish_by(k, rest, true, true);
}

/* ---- Following the linear program down ---- */

static bool is_done(const Cutter *k) {
    return k->best_cost <= k->bound || is_tired(k);
}

/* Takes whole bars of each pattern that the program uses more than once.
 * Returns how many. */
static int take_whole(Cutter *k, Rest *rest) {
    const Master *lp = &k->lp;
    int           taken = 0;

    for (int r = 0; r < lp->rows; r++) {
        int code = lp->basis[r];
        if (code < 0 || k->pool.at[code].n == 0)
            continue;
        for (int n = (int)floor(lp->x[r] + 1e-4); n > 0; n--) {
            if (!column_fits(&k->pool.at[code], rest))
                break;
            take_column(k, rest, code, 1);
            taken++;
        }
    }
    return taken;
}

#define ROUND_UP 3          // patterns tried in place of each other

/* The patterns whose use in the program comes nearest to a whole bar. */
static int likely_columns(const Cutter *k, const Rest *rest, int *pick) {
    const Master *lp = &k->lp;
    double        x[ROUND_UP] = { 0 };
    int           n = 0;

    for (int r = 0; r < lp->rows; r++) {
        int code = lp->basis[r], at;
        if (code < 0 || lp->x[r] < 1e-4 || k->pool.at[code].n == 0
            || !column_fits(&k->pool.at[code], rest))
            continue;
        for (at = n; at > 0 && x[at - 1] < lp->x[r]; at--) {
            if (at < ROUND_UP) {
                x[at]    = x[at - 1];
                pick[at] = pick[at - 1];
            }
        }
        if (at == ROUND_UP)
            continue;
        x[at]    = lp->x[r];
        pick[at] = code;
        n += n < ROUND_UP;
    }
    return n;
}

void dive(Cutter *k, const Rest *from, int *fails) {
    Rest rest = rest_new(k);
    int  pick[ROUND_UP], n;

    if (rest_empty(k, from)) {
        keep_plan(k, from);
        return;
    }
    if (!lp_solve(k, from) || from->cost + lp_bound(k) >= k->best_cost) {
        --*fails;
        return;
    }
    rest_copy(k, &rest, from);
    n = likely_columns(k, &rest, pick);
    if (take_whole(k, &rest) > 0) {
        finish_greedy(k, &rest);
        if (!is_done(k))
            dive(k, &rest, fails);
        return;
    }
    for (int i = 0; i < n && *fails >= 0 && !is_done(k); i++) {
        rest_copy(k, &rest, from);
        take_column(k, &rest, pick[i], 1);
        finish_greedy(k, &rest);
        dive(k, &rest, fails);
    }
}

/* ---- The whole ---- */

#define MOST_FAILS 60      // ways down that lead nowhere

/* Bars that stay empty, for where the program must use some. */
static void add_empty(Cutter *k) {
    for (int j = 0; j < k->n; j++) {
        Column *col = PUSH(k->c, &k->pool);
        col->size  = j;
        col->part  = NEW(k->c, int);
        col->count = NEW(k->c, int);
    }
}

/* All pieces at the best price for their length. */
static int64_t length_bound(const Cutter *k) {
    int64_t total = 0, least = INT64_MAX, rest;

    for (int i = 0; i < k->m; i++)
        total += k->length[i] * k->demand[i];
    for (int j = 0; j < k->n; j++) {
        int64_t cost = total / k->room[j] * k->price[j]
                     + (total % k->room[j] * k->price[j] + k->room[j] - 1)
                       / k->room[j];
        least = cost < least ? cost : least;
    }
    rest = least % k->step;
    return rest ? least - rest + k->step : least;
}

static void search(Cutter *k, const Rest *all) {
    bool complete = false;
    int  fails = MOST_FAILS;

    add_empty(k);
    k->bound = length_bound(k);
    finish_greedy(k, all);
    if (!k->ask)       // else the bound may well answer
        finish_full(k, all);
    if (is_done(k) || !lp_solve(k, all))
        return;
    if (lp_bound(k) > k->bound)
        k->bound = lp_bound(k);
    if (!is_done(k))
        dive(k, all, &fails);
    if (k->n == 1 && !is_done(k))
        complete = cover_search(k, all);
    if (k->n > 1 && !is_done(k))
        complete = sizes_search(k, all);
    for (int budget = 1; budget < 1 << 20 && k->n == 1; budget *= 2) {
        if (complete || is_done(k))
            break;
        complete = tree_search(k, all, budget);
    }
    if (complete)
        k->bound = k->best_cost;
}

/* ---- In and out ---- */

typedef struct { int64_t length; int index; } Sized;

static int longer_first(const void *pa, const void *pb, const void *with) {
    const Sized *a = pa, *b = pb;

    (void)with;
    return a->length < b->length ? 1 : a->length > b->length ? -1 : 0;
}

static int64_t common_divisor(int64_t a, int64_t b) {
    return b ? common_divisor(b, a % b) : a;
}

/* Parts of one length become one; `which` remembers. */
static void set_parts(Cutter *k, const BarJob *job, int *which) {
    Sized *order = NEW_N(k->c, Sized, job->n_parts);

    k->length = NEW_N(k->c, int64_t, job->n_parts);
    k->demand = NEW_N(k->c, int, job->n_parts);
    for (int i = 0; i < job->n_parts; i++)
        order[i] = (Sized){ job->parts[i].length, i };
    list_sort(k->c, order, job->n_parts, sizeof *order, longer_first, NULL);
    for (int i = 0; i < job->n_parts; i++) {
        int64_t length = order[i].length + job->kerf;
        if (k->m == 0 || k->length[k->m - 1] != length)
            k->length[k->m++] = length;
        which[order[i].index] = k->m - 1;
        k->demand[k->m - 1]  += job->parts[order[i].index].demand;
    }
}

static void set_sizes(Cutter *k, const BarJob *job, int *size) {
    Sized *order = NEW_N(k->c, Sized, job->n_sizes);

    k->dearest = 1;
    k->room   = NEW_N(k->c, int64_t, job->n_sizes + 1);
    k->price  = NEW_N(k->c, int64_t, job->n_sizes);
    k->supply = NEW_N(k->c, int, job->n_sizes);
    for (int i = 0; i < job->n_sizes; i++)
        order[i] = (Sized){ -job->sizes[i].length, i };
    list_sort(k->c, order, job->n_sizes, sizeof *order, longer_first, NULL);
    for (int i = 0; i < job->n_sizes; i++, k->n++) {
        const BarSize *s = &job->sizes[order[i].index];
        size[k->n]      = order[i].index;
        k->room[k->n]   = s->length + job->kerf;
        k->price[k->n]  = s->price;
        k->supply[k->n] = s->supply;
        k->step  = common_divisor(s->price, k->step);
        k->dearest = s->price > k->dearest ? s->price : k->dearest;
    }
    if (k->step == 0)
        k->step = 1;
    k->scale = ((int64_t)1 << 40) / k->dearest;
}

static void set_room(Cutter *k) {
    Master *lp = &k->lp;
    size_t  rows;

    rows          = (size_t)(k->m + 2 * k->n + 3);
    lp->part_row  = NEW_N(k->c, int, k->m);
    lp->row_part  = NEW_N(k->c, int, rows);
    lp->most_row  = NEW_N(k->c, int, k->n);
    lp->least_row = NEW_N(k->c, int, k->n);
    lp->single    = NEW_N(k->c, int, k->m);
    lp->inverse = NEW_N(k->c, double, 2 * rows * rows);
    lp->x       = NEW_N(k->c, double, rows);
    lp->dual    = NEW_N(k->c, double, rows);
    lp->want    = NEW_N(k->c, double, rows);
    lp->step    = NEW_N(k->c, double, rows);
    lp->basis   = NEW_N(k->c, int, rows);
    lp->at_most = NEW_N(k->c, bool, rows);
    lp->value   = NEW_N(k->c, int64_t, k->m);
    lp->need    = NEW_N(k->c, int64_t, k->n);
    k->fill.order = NEW_N(k->c, int, k->m);
    k->fill.count  = NEW_N(k->c, int, k->m);
    k->fill.chosen = NEW_N(k->c, int, k->m);
    k->fill.need  = NEW_N(k->c, int64_t, k->n);
    k->fill.best  = NEW_N(k->c, int, k->n);
}

/* Gives the merged parts their own names again, bar by bar. */
static void write_plan(Cutter *k, const BarJob *job, const int *which,
                       const int *size, BarPlan *plan) {
    int *left = NEW_N(k->c, int, job->n_parts);

    for (int i = 0; i < job->n_parts; i++)
        left[i] = job->parts[i].demand;
    for (int u = 0; u < k->best.n; u++) {
        const Column *col = &k->pool.at[k->best.at[u].column];
        for (int copy = 0; copy < k->best.at[u].copies; copy++) {
            BarPattern *p = PUSH(k->c, &plan->patterns);
            p->size   = size[col->size];
            p->copies = 1;
            p->counts = NEW_N(k->c, int, job->n_parts);
            for (int e = 0; e < col->n; e++) {
                int n = col->count[e];
                for (int i = 0; i < job->n_parts && n > 0; i++) {
                    int take = left[i] < n ? left[i] : n;
                    if (which[i] != col->part[e])
                        continue;
                    p->counts[i] += take;
                    left[i]      -= take;
                    n            -= take;
                }
            }
        }
    }
}

/* Bars that are cut alike become one pattern. */
static void merge_patterns(const BarJob *job, BarPlan *plan) {
    int n = 0;

    for (int i = 0; i < plan->patterns.n; i++) {
        BarPattern p = plan->patterns.at[i];
        int        at = 0;
        while (at < n
               && (plan->patterns.at[at].size != p.size
                   || memcmp(plan->patterns.at[at].counts, p.counts,
                             sizeof *p.counts * (size_t)job->n_parts)))
            at++;
        if (at < n)
            plan->patterns.at[at].copies++;
        else
            plan->patterns.at[n++] = p;
    }
    plan->patterns.n = n;
}

BarPlan bars_cut(Ctx *c, const BarJob *job) {
    Cutter *k     = NEW(c, Cutter);
    int    *which = NEW_N(c, int, job->n_parts + 1);
    int    *size  = NEW_N(c, int, job->n_sizes + 1);
    BarPlan plan  = { 0 };
    Rest    all;

    k->c         = c;
    k->rough     = true;
    k->most_work = job->work ? job->work : BARS_WORK;
    set_parts(k, job, which);
    set_sizes(k, job, size);
    set_room(k);
    all = rest_new(k);
    memcpy(all.left, k->demand, sizeof *all.left * (size_t)k->m);
    memcpy(all.supply, k->supply, sizeof *all.supply * (size_t)k->n);
    for (int i = 0; i < k->m; i++)
        k->pieces += k->demand[i];
    k->best_cost = (k->pieces + 1) * k->dearest;   // more than any plan
    k->ask       = job->goal > 0;
    if (k->ask)
        k->best_cost = job->goal;
    if (k->pieces == 0) {
        k->found     = true;
        k->best_cost = 0;
    } else {
        search(k, &all);
    }
    plan.found  = k->found;
    plan.cost   = k->best_cost;
    plan.bound  = k->bound;
    plan.proven = k->found && k->bound >= k->best_cost;
    plan.work   = k->work;
    write_plan(k, job, which, size, &plan);
    merge_patterns(job, &plan);
    return plan;
}
