/* stock_cut_fill -- the most valuable set of pieces that fits a bar.
 *
 * Lists of fillings that no other beats in both length and value, part by
 * part (Nemhauser and Ullmann 1969). Unlike a table over all lengths this
 * does not care about the unit, and one pass answers for all sizes sold.
 * A filling is dropped when the rest of the bar, filled at the best value
 * per length that is still to come, cannot bring it above what is needed.
 */
#include "plan/stock_cut_internal.h"

typedef struct { const Cutter *k; const int64_t *value; } ByWorth;

static int worth_first(const void *pa, const void *pb, const void *with) {
    const ByWorth *by = with;
    int    a = *(const int *)pa, b = *(const int *)pb;
    double d = (double)by->value[b] * (double)by->k->length[a]
             - (double)by->value[a] * (double)by->k->length[b];

    return d > 0 ? 1 : d < 0 ? -1 : a - b;
}

static int order_parts(Cutter *k, const int64_t *value, const int *left) {
    ByWorth by = { k, value };
    int     n  = 0;

    for (int i = 0; i < k->m; i++) {
        if (left[i] > 0 && value[i] > 0)
            k->fill.order[n++] = i;
    }
    list_sort(k->c, k->fill.order, n, sizeof *k->fill.order, worth_first,
              &by);
    return n;
}

static double worth(const Cutter *k, const int64_t *value, int part) {
    return (double)value[part] / (double)k->length[part];
}

/* What a filling must have beyond `rate` times its length, so that with all
 * the room behind it filled at that rate it meets some size's need. */
static void find_least(const Cutter *k, double rate, double *least) {
    for (int j = k->n - 1; j >= 0; j--) {
        double need = (double)k->fill.need[j] - rate * (double)k->room[j];
        least[j] = j < k->n - 1 && least[j + 1] < need ? least[j + 1] : need;
    }
}

typedef struct {
    Cutter *k;
    double  rate;
    const double *least;
    int     size;           // the smallest that holds the last filling
} Sieve;

static void add_filling(Sieve *s, Filled f, int part) {
    Cutter *k    = s->k;
    Fill   *fill = &k->fill;

    while (s->size < k->n && k->room[s->size] < f.length)
        s->size++;
    if (s->size == k->n
        || (fill->next.n && fill->next.at[fill->next.n - 1].value >= f.value))
        return;
    if ((double)f.value - s->rate * (double)f.length + 2
        < s->least[s->size])
        return;
    if (part >= 0) {
        *PUSH(k->c, &fill->crumbs) = (Crumb){ part, f.crumb };
        f.crumb = fill->crumbs.n - 1;
    }
    if (fill->next.n
        && fill->next.at[fill->next.n - 1].length == f.length)
        fill->next.at[fill->next.n - 1] = f;
    else
        *PUSH(k->c, &fill->next) = f;
}

/* One more piece of a part may go into each filling. */
static void merge(Cutter *k, int part, int64_t value, double rate,
                  const double *least) {
    Fill *fill = &k->fill;
    Sieve s    = { k, rate, least, 0 };
    int   n    = fill->now.n, a = 0, b = 0;

    fill->next.n = 0;
    k->work     += 2 * n;
    while (b < n) {
        Filled more = fill->now.at[b];
        more.length += k->length[part];
        more.value  += value;
        if (a < n && fill->now.at[a].length <= more.length) {
            add_filling(&s, fill->now.at[a++], -1);
        } else if (more.length > k->room[k->n - 1]) {
            break;
        } else {
            add_filling(&s, more, part);
            b++;
        }
    }
    while (a < n)
        add_filling(&s, fill->now.at[a++], -1);
}

static void swap_lists(Fill *fill) {
    Filled *at  = fill->now.at;
    int     cap = fill->now.cap;

    fill->now.at   = fill->next.at;
    fill->now.n    = fill->next.n;
    fill->now.cap  = fill->next.cap;
    fill->next.at  = at;
    fill->next.cap = cap;
    fill->next.n   = 0;
}

static void note_best(Cutter *k) {
    Fill *fill = &k->fill;
    int   i    = fill->now.n - 1;

    for (int j = k->n - 1; j >= 0; j--) {
        while (i >= 0 && fill->now.at[i].length > k->room[j])
            i--;
        if (i >= 0 && fill->now.at[i].value > fill->need[j]) {
            fill->need[j] = fill->now.at[i].value;
            fill->best[j] = fill->now.at[i].crumb;
        }
    }
}

/* How many pieces of a part one bar can take. */
static int most_of(const Cutter *k, int part, const int *left) {
    int64_t room = k->room[k->n - 1] / k->length[part];

    return room < left[part] ? (int)room : left[part];
}

void fill_best(Cutter *k, const int64_t *value, const int *left) {
    Fill   *fill = &k->fill;
    double *least = k->lp.step;   // as long as all rows, not in use now
    int     n = order_parts(k, value, left);

    for (int j = 0; j < k->n; j++)
        fill->best[j] = -1;
    fill->crumbs.n = fill->now.n = 0;
    *PUSH(k->c, &fill->now) = (Filled){ 0, 0, -1 };
    for (int i = 0; i < n; i++) {
        int    part = fill->order[i], most = most_of(k, part, left);
        double rate = worth(k, value, part);
        double next = i + 1 < n ? worth(k, value, fill->order[i + 1]) : 0;
        for (int copy = 1; copy <= most; copy++) {
            double after = copy < most ? rate : next;
            int    crumbs = fill->crumbs.n;
            find_least(k, after, least);
            merge(k, part, value[part], after, least);
            swap_lists(fill);
            note_best(k);
            if (fill->crumbs.n == crumbs)
                break;
        }
    }
}

Column fill_column(Cutter *k, int size, int crumb) {
    Column col = { .size = size };
    int    n   = 0;

    for (int i = crumb; i >= 0; i = k->fill.crumbs.at[i].before)
        n++;
    col.part  = NEW_N(k->c, int, n + 1);
    col.count = NEW_N(k->c, int, n + 1);
    for (int i = crumb; i >= 0; i = k->fill.crumbs.at[i].before) {
        int part = k->fill.crumbs.at[i].part;
        if (col.n == 0 || col.part[col.n - 1] != part)
            col.part[col.n++] = part;
        col.count[col.n - 1]++;
    }
    return col;
}

/* ---- A quick look ---- */

#define QUICK_STEPS 40   // for each part

typedef struct {
    Cutter        *k;
    const int64_t *value;
    const int     *left;
    int            n, steps;
    int           *count, *best;   // by place in fill.order
    int64_t        worth;          // of the best
} Quick;

/* Depth first, always as many of the best part as go. */
static void look_from(Quick *q, int at, int64_t room, int64_t worth_now) {
    Cutter *k = q->k;
    int64_t most;
    int     part;

    while (at < q->n && k->length[k->fill.order[at]] > room)
        at++;
    if (worth_now > q->worth) {
        q->worth = worth_now;
        memcpy(q->best, q->count, sizeof *q->best * (size_t)q->n);
    }
    if (at == q->n || --q->steps < 0)
        return;
    part = k->fill.order[at];
    if ((double)worth_now + worth(k, q->value, part) * (double)room
        <= (double)q->worth)
        return;
    most = room / k->length[part];
    if (most > q->left[part])
        most = q->left[part];
    for (int n = (int)most; n >= 0; n--) {
        q->count[at] = n;
        look_from(q, at + 1, room - n * k->length[part],
                  worth_now + n * q->value[part]);
    }
}

Column fill_quick(Cutter *k, const int64_t *value, const int *left,
                  int size) {
    Quick  q   = { k, value, left, 0, QUICK_STEPS * k->m, k->fill.count,
                   k->fill.chosen, k->fill.need[size] };
    Column col = { .size = size };
    int    n   = 0;

    q.n = order_parts(k, value, left);
    memset(q.count, 0, sizeof *q.count * (size_t)q.n);
    memset(q.best, 0, sizeof *q.best * (size_t)q.n);
    look_from(&q, 0, k->room[size], 0);
    k->work += QUICK_STEPS * k->m - q.steps;
    k->fill.need[size] = q.worth;
    for (int i = 0; i < q.n; i++)
        n += q.best[i] > 0;
    if (n == 0)
        return col;
    col.part  = NEW_N(k->c, int, n);
    col.count = NEW_N(k->c, int, n);
    for (int i = 0; i < q.n; i++) {
        if (q.best[i] > 0) {
            col.part[col.n]    = k->fill.order[i];
            col.count[col.n++] = q.best[i];
        }
    }
    return col;
}
