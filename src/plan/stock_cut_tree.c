/* stock_cut_tree -- all patterns that can still matter, in a tree.
 *
 * The longest piece left must come out of some bar: each pattern with it is
 * a branch, and what is left then is a smaller job of the same kind, with a
 * linear program and a bound of its own. A pattern costs more than its
 * pieces are worth by its reduced cost; where that is more than the gap
 * between the bound and the next cheaper plan, it is in no cheaper plan. As
 * the gap is nearly always a small part of one bar, few patterns are left.
 *
 * Branches are taken in the order in which the linear program likes them,
 * and at first only those that depart from it seldom (limited discrepancy
 * search, Harvey and Ginsberg 1995).
 */
#include "plan/stock_cut_internal.h"

#include <math.h>

#define MOST_BRANCHES 3000

/* What was tried in vain: no plan for it below a price. */
struct Failed {
    Failed *next;
    int    *state;
    int64_t below;
};

#define HASH_SIZE 65536

typedef struct {
    Column  col;
    double  x;              // how much of it the linear program uses
    int     known;          // its place in the pool + 1, or 0
    int64_t excess;         // its reduced cost
} Branch;

typedef struct {
    Cutter     *k;
    const Rest *rest;
    int         size;
    int         first;      // a part that must be in it, or -1
    int         most;       // to list
    int64_t     need, gap;  // what its pieces must be worth at least
    int        *order, n;   // parts left, the most valuable by length first
    int        *count;
    bool        complete;
    LIST(Branch) found;
} Patterns;

/* ---- Listing patterns ---- */

static void note_pattern(Patterns *p, int64_t room, int64_t value) {
    Cutter *k   = p->k;
    Branch *b;
    int     n   = 0;

    for (int i = 0; i < p->n; i++) {   // one more fits: not worth trying
        int part = p->order[i];
        n += p->count[part] > 0;
        if (k->length[part] <= room && p->count[part] < p->rest->left[part])
            return;
    }
    if (p->found.n >= p->most) {
        p->complete = false;
        return;
    }
    b            = PUSH(k->c, &p->found);
    b->excess    = p->need - value;
    b->col.size  = p->size;
    b->col.part  = NEW_N(k->c, int, n);
    b->col.count = NEW_N(k->c, int, n);
    for (int i = 0; i < k->m; i++) {
        if (p->count[i] > 0) {
            b->col.part[b->col.n]    = i;
            b->col.count[b->col.n++] = p->count[i];
        }
    }
}

static void list_from(Patterns *p, int at, int64_t room, int64_t value) {
    const Cutter *k = p->k;
    int     part;
    int64_t most;

    p->k->work += 2;
    if (!p->complete || is_tired(k)) {
        p->complete = false;
        return;
    }
    while (at < p->n && (k->length[p->order[at]] > room
                         || p->count[p->order[at]]
                            == p->rest->left[p->order[at]]))
        at++;
    if (at < p->n) {
        double rate = (double)k->lp.value[p->order[at]]
                    / (double)k->length[p->order[at]];
        if ((double)value + rate * (double)room + 2
            < (double)(p->need - p->gap))
            return;
    } else {
        if (value >= p->need - p->gap)
            note_pattern(p, room, value);
        return;
    }
    part = p->order[at];
    most = room / k->length[part];
    if (most > p->rest->left[part] - p->count[part])
        most = p->rest->left[part] - p->count[part];
    for (int n = (int)most; n >= 0; n--) {
        p->count[part] += n;
        list_from(p, at + 1, room - n * k->length[part],
                  value + n * k->lp.value[part]);
        p->count[part] -= n;
    }
}

typedef struct { const Cutter *k; } By;

static int worth_first(const void *pa, const void *pb, const void *with) {
    const Cutter *k = ((const By *)with)->k;
    int    a = *(const int *)pa, b = *(const int *)pb;
    double d = (double)k->lp.value[b] * (double)k->length[a]
             - (double)k->lp.value[a] * (double)k->length[b];

    return d > 0 ? 1 : d < 0 ? -1 : a - b;
}

/* All proper patterns, of those with the piece `first`, and a reduced cost
 * up to the gap. */
static void list_patterns(Patterns *p) {
    Cutter *k  = p->k;
    By      by = { k };

    p->order    = NEW_N(k->c, int, k->m);
    p->count    = NEW_N(k->c, int, k->m);
    p->complete = true;
    for (int i = 0; i < k->m; i++) {
        if (p->rest->left[i] > 0)
            p->order[p->n++] = i;
    }
    list_sort(k->c, p->order, p->n, sizeof *p->order, worth_first, &by);
    for (int j = 0; j < k->n; j++) {
        int64_t length = p->first < 0 ? 0 : k->length[p->first];
        int64_t value  = p->first < 0 ? 0 : k->lp.value[p->first];
        if (p->rest->supply[j] == 0 || k->room[j] < length)
            continue;
        p->size = j;
        p->need = k->lp.need[j];
        if (p->first >= 0)
            p->count[p->first] = 1;
        list_from(p, 0, k->room[j] - length, value);
        if (p->first >= 0)
            p->count[p->first] = 0;
    }
}

static int64_t gap_of(const Cutter *k, const Rest *rest) {
    return (k->best_cost - rest->cost - k->step) * k->scale - k->lp.bound;
}

bool list_all(Cutter *k, const Rest *rest, int most, Cover *v) {
    Patterns p = { .k = k, .rest = rest, .first = -1, .most = most };

    p.gap = gap_of(k, rest);
    list_patterns(&p);
    for (int i = 0; i < p.found.n; i++)
        PUSH(k->c, &v->all)->col = p.found.at[i].col;
    return p.complete;
}

static bool same_column(const Column *a, const Column *b) {
    int total = 0;

    if (a->size != b->size || a->n != b->n)
        return false;
    for (int i = 0; i < a->n; i++) {
        for (int j = 0; j < b->n; j++)
            total += a->part[i] == b->part[j] && a->count[i] == b->count[j];
    }
    return total == a->n;
}

static void note_use(Patterns *p) {
    const Master *lp = &p->k->lp;

    for (int r = 0; r < lp->rows; r++) {
        if (lp->basis[r] < 0 || lp->x[r] < 1e-4)
            continue;
        for (int i = 0; i < p->found.n; i++) {
            if (same_column(&p->found.at[i].col,
                            &p->k->pool.at[lp->basis[r]]))
                p->found.at[i].x = lp->x[r],
                p->found.at[i].known = lp->basis[r] + 1;
        }
    }
}

static int likely_first(const void *pa, const void *pb, const void *with) {
    const Branch *a = pa, *b = pb;

    (void)with;
    if (a->x < b->x || a->x > b->x)
        return a->x < b->x ? 1 : -1;
    return a->excess > b->excess ? 1 : a->excess < b->excess ? -1 : 0;
}

/* ---- What failed ---- */

/* All that the best way to go on depends on, in one row. */
static int write_state(const Cutter *k, const Rest *rest, int *state) {
    int n = 0;

    for (int i = 0; i < k->m; i++)
        state[n++] = rest->left[i];
    for (int j = 0; j < k->n; j++) {
        state[n++] = rest->supply[j];
        state[n++] = rest->due[j];
    }
    return n;
}

static Failed **slot_of(const Cutter *k, const int *state, int n) {
    uint64_t h = 1469598103934665603u;   // FNV-1a

    for (int i = 0; i < n; i++)
        h = (h ^ (uint64_t)(state[i] + 1)) * 1099511628211u;
    return &k->failed[(h ^ h >> 32) % HASH_SIZE];
}

static Failed *find_failed(Cutter *k, const Rest *rest) {
    int     n;
    Failed *f;

    if (!k->failed) {
        k->failed = NEW_N(k->c, Failed *, HASH_SIZE);
        k->state  = NEW_N(k->c, int, k->m + 2 * k->n);
    }
    n = write_state(k, rest, k->state);
    f = *slot_of(k, k->state, n);
    while (f && memcmp(f->state, k->state, sizeof *f->state * (size_t)n))
        f = f->next;
    return f;
}

bool has_failed(Cutter *k, const Rest *rest, int64_t below) {
    const Failed *f = find_failed(k, rest);

    return f && below <= f->below;
}

void note_failed(Cutter *k, const Rest *rest, int64_t below) {
    Failed *f = find_failed(k, rest);

    if (!f) {
        int      n    = write_state(k, rest, k->state);
        Failed **slot = slot_of(k, k->state, n);
        f        = NEW(k->c, Failed);
        f->state = NEW_N(k->c, int, n);
        memcpy(f->state, k->state, sizeof *f->state * (size_t)n);
        f->next = *slot;
        *slot   = f;
    }
    if (f->below < below)
        f->below = below;
}

/* ---- The tree ---- */

static int first_left(const Rest *rest) {
    int i = 0;

    while (rest->left[i] == 0)
        i++;
    return i;
}

/* What the nth branch takes from the budget of departures. */
static int departure(int nth) {
    int n = 0;

    for (; nth > 0; nth /= 2)
        n++;
    return n;
}

/* True: all that could be cheaper has been tried. */
static bool try_branches(Cutter *k, const Rest *rest, Patterns *p,
                         int budget) {
    Rest next     = rest_new(k);
    bool complete = p->complete;

    for (int i = 0; i < p->found.n; i++) {
        const Branch *b = &p->found.at[i];
        int           column = b->known - 1;
        if (is_tired(k) || k->best_cost <= k->bound)
            return false;
        if (departure(i) > budget)
            return false;
        rest_copy(k, &next, rest);
        if (column < 0) {
            *PUSH(k->c, &k->pool) = b->col;
            column = k->pool.n - 1;
        }
        take_column(k, &next, column, 1);
        if (!tree_search(k, &next, budget - departure(i)))
            complete = false;
    }
    return complete;
}

bool tree_search(Cutter *k, const Rest *rest, int budget) {
    Patterns p = { .k = k, .rest = rest, .most = MOST_BRANCHES };
    int64_t  spent = rest->cost;
    bool     complete;

    if (rest_empty(k, rest)) {
        keep_plan(k, rest);
        return true;
    }
    if (has_failed(k, rest, k->best_cost - spent))
        return true;
    k->rough = false;
    if (!lp_solve(k, rest))
        return false;
    if (spent + lp_bound(k) >= k->best_cost)
        return true;
    finish_greedy(k, rest);
    if (spent + lp_bound(k) >= k->best_cost)
        return true;
    p.first = first_left(rest);
    p.gap   = gap_of(k, rest);
    list_patterns(&p);
    note_use(&p);
    list_sort(k->c, p.found.at, p.found.n, sizeof *p.found.at, likely_first,
              NULL);
    complete = try_branches(k, rest, &p, budget);
    if (complete)
        note_failed(k, rest, k->best_cost - spent);
    return complete;
}

/* ---- How many bars of each size ---- */

/* The size whose number in the linear program is farthest from a whole
 * one, or -1: all are whole. */
static int broken_size(const Cutter *k, double *number) {
    double *sum = NEW_N(k->c, double, k->n), far = 1e-3;
    int     pick = -1;

    for (int r = 0; r < k->lp.rows; r++) {
        if (k->lp.basis[r] >= 0)
            sum[k->pool.at[k->lp.basis[r]].size] += k->lp.x[r];
    }
    for (int j = 0; j < k->n; j++) {
        double off = fabs(sum[j] - nearbyint(sum[j]));
        if (off > far) {
            far     = off;
            pick    = j;
            *number = sum[j];
        }
    }
    return pick;
}

static bool try_number(Cutter *k, const Rest *rest, int size, int least,
                       int most) {
    Rest next = rest_new(k);

    rest_copy(k, &next, rest);
    if (least > next.due[size])
        next.due[size] = least;
    if (most >= 0 && (next.supply[size] < 0 || most < next.supply[size]))
        next.supply[size] = most;
    return sizes_search(k, &next);
}

bool sizes_search(Cutter *k, const Rest *rest) {
    double number = 0;
    int    size, whole;
    int    fails = 5;
    bool   low, high, up;

    k->rough = true;
    if (is_tired(k) || !lp_solve(k, rest))
        return false;
    if (rest->cost + lp_bound(k) >= k->best_cost)
        return true;
    size = broken_size(k, &number);
    dive(k, rest, &fails);
    if (rest->cost + k->bound >= k->best_cost)
        return true;
    if (size < 0) {
        for (int budget = 1; budget < 1 << 20; budget *= 2) {
            if (tree_search(k, rest, budget))
                return true;
            if (is_tired(k) || k->best_cost <= k->bound)
                return false;
        }
        return false;
    }
    whole = (int)floor(number);
    up    = number - whole > 0.5;
    low   = try_number(k, rest, size, up ? whole + 1 : 0, up ? -1 : whole);
    high  = try_number(k, rest, size, up ? 0 : whole + 1, up ? whole : -1);
    return low && high;
}
