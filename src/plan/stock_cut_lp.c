/* stock_cut_lp -- the linear program over cutting patterns: column
 * generation (Gilmore and Gomory 1961) with a revised simplex of our own.
 *
 * A general solver was the rival. The programs here have a row for each
 * part and few columns, so that an explicit inverse of the basis is quick;
 * and the bound must not hang on anybody's tolerances. It does not: the
 * duals are rounded down to whole numbers, and in whole numbers it is
 * checked that no pattern is worth more than its bar costs. Then, for any
 * plan at all, the sum of value times demand is at most its cost.
 *
 * Demands are made a little larger, each by another amount, so that the
 * simplex does not stand still at degenerate corners.
 */
#include "plan/stock_cut_internal.h"

#include <assert.h>
#include <float.h>
#include <math.h>

#define NEVER_DEAR 2000.0   // a missing piece costs so many bars at most
#define SMALL      1e-9
#define REFRESH    120       // pivots between two new inverses

/* ---- Columns ---- */

static double price_of(const Cutter *k, int code) {
    const Master *lp = &k->lp;

    if (code >= 0)
        return (double)k->price[k->pool.at[code].size];
    if (code >= -lp->rows)
        return 0;
    return fmin((double)k->pieces + 1, NEVER_DEAR) * (double)k->dearest;
}

/* Where at least so many are wanted, a surplus is taken off; where there
 * are at most so many, a slack is added. */
static double slack_sign(const Master *lp, int row) {
    return lp->at_most[row] ? 1 : -1;
}

/* The column's entries as step = inverse * column. */
static void find_step(Cutter *k, int code) {
    Master *lp = &k->lp;
    int     n  = lp->rows;

    for (int r = 0; r < n; r++) {
        const double *row = lp->inverse + (size_t)r * (size_t)n;
        double        sum = 0;
        if (code >= 0) {
            const Column *col = &k->pool.at[code];
            for (int e = 0; e < col->n; e++)
                sum += row[col->part[e]] * col->count[e];
            if (lp->most_row[col->size] >= 0)
                sum += row[lp->most_row[col->size]];
            if (lp->least_row[col->size] >= 0)
                sum += row[lp->least_row[col->size]];
        } else {
            sum = slack_sign(lp, -1 - code) * row[-1 - code];
        }
        lp->step[r] = sum;
    }
}

static double reduced_cost(const Cutter *k, int code) {
    const Master *lp  = &k->lp;
    const Column *col = &k->pool.at[code];
    double        sum = (double)k->price[col->size];

    for (int e = 0; e < col->n; e++)
        sum -= lp->dual[col->part[e]] * col->count[e];
    if (lp->most_row[col->size] >= 0)
        sum -= lp->dual[lp->most_row[col->size]];
    if (lp->least_row[col->size] >= 0)
        sum -= lp->dual[lp->least_row[col->size]];
    return sum;
}

/* ---- Basis ---- */

/* Fills a matrix with the basis, column by column. */
static void write_basis(const Cutter *k, double *matrix) {
    const Master *lp = &k->lp;
    size_t        n  = (size_t)lp->rows;

    memset(matrix, 0, sizeof *matrix * n * n);
    for (size_t b = 0; b < n; b++) {
        int code = lp->basis[b];
        if (code >= 0) {
            const Column *col = &k->pool.at[code];
            for (int e = 0; e < col->n; e++)
                matrix[(size_t)col->part[e] * n + b] = col->count[e];
            if (lp->most_row[col->size] >= 0)
                matrix[(size_t)lp->most_row[col->size] * n + b] = 1;
            if (lp->least_row[col->size] >= 0)
                matrix[(size_t)lp->least_row[col->size] * n + b] = 1;
        } else if (code >= -lp->rows) {
            size_t at = (size_t)(-1 - code);
            matrix[at * n + b] = slack_sign(lp, (int)at);
        } else {
            matrix[(size_t)(-1 - lp->rows - code) * n + b] = 1;
        }
    }
}

static void add_row(double *to, const double *from, double times, size_t n) {
    for (size_t i = 0; i < n; i++)
        to[i] += times * from[i];
}

static void swap_rows(double *a, double *b, size_t n) {
    for (size_t i = 0; i < n; i++) {
        double t = a[i];
        a[i] = b[i];
        b[i] = t;
    }
}

/* Gauss and Jordan. False: singular. */
static bool invert(double *a, double *inverse, size_t n) {
    memset(inverse, 0, sizeof *inverse * n * n);
    for (size_t i = 0; i < n; i++)
        inverse[i * n + i] = 1;
    for (size_t i = 0; i < n; i++) {
        size_t best = i;
        double by;
        for (size_t r = i + 1; r < n; r++) {
            if (fabs(a[r * n + i]) > fabs(a[best * n + i]))
                best = r;
        }
        if (fabs(a[best * n + i]) < SMALL)
            return false;
        if (best != i) {
            swap_rows(a + best * n, a + i * n, n);
            swap_rows(inverse + best * n, inverse + i * n, n);
        }
        by = 1 / a[i * n + i];
        for (size_t j = 0; j < n; j++) {
            a[i * n + j]       *= by;
            inverse[i * n + j] *= by;
        }
        for (size_t r = 0; r < n; r++) {
            double times = -a[r * n + i];
            if (r == i || times == 0)
                continue;
            add_row(a + r * n, a + i * n, times, n);
            add_row(inverse + r * n, inverse + i * n, times, n);
        }
    }
    return true;
}

/* x and duals from the inverse. */
static void find_values(Cutter *k) {
    Master *lp = &k->lp;
    int     n  = lp->rows;

    for (int i = 0; i < n; i++)
        lp->dual[i] = 0;
    for (int r = 0; r < n; r++) {
        const double *row = lp->inverse + (size_t)r * (size_t)n;
        double        sum = 0, price = price_of(k, lp->basis[r]);
        for (int i = 0; i < n; i++) {
            sum         += row[i] * lp->want[i];
            lp->dual[i] += price * row[i];
        }
        lp->x[r] = sum;
    }
}

static bool refresh(Cutter *k) {
    size_t  n      = (size_t)k->lp.rows;
    double *matrix = k->lp.inverse + n * n;   // room behind the inverse

    k->work += (int64_t)(n * n * n / 8);
    write_basis(k, matrix);
    if (!invert(matrix, k->lp.inverse, n))
        return false;
    find_values(k);
    return true;
}

/* The row that leaves when the step is taken, or -1. */
static int leaving_row(const Master *lp) {
    double best = DBL_MAX, size = 0;
    int    row  = -1;

    for (int r = 0; r < lp->rows; r++) {
        double ratio;
        if (lp->step[r] < 1e-8)
            continue;
        ratio = fmax(lp->x[r], 0) / lp->step[r];
        if (ratio < best - 1e-12
            || (ratio < best + 1e-12 && lp->step[r] > size)) {
            best = ratio < best ? ratio : best;
            size = lp->step[r];
            row  = r;
        }
    }
    return row;
}

/* Takes a column into the basis; `gain` is its reduced cost. */
static bool pivot(Cutter *k, int code, double gain) {
    Master *lp = &k->lp;
    size_t  n  = (size_t)lp->rows;
    double *pivot_row, by, theta;
    int     out;

    find_step(k, code);
    out = leaving_row(lp);
    if (out < 0)
        return false;
    pivot_row = lp->inverse + (size_t)out * n;
    theta     = lp->x[out] / lp->step[out];
    by        = 1 / lp->step[out];
    for (size_t i = 0; i < n; i++)
        pivot_row[i] *= by;
    for (int r = 0; r < lp->rows; r++) {
        if (r == out || fabs(lp->step[r]) < 1e-12)
            continue;
        add_row(lp->inverse + (size_t)r * n, pivot_row, -lp->step[r], n);
        lp->x[r] -= theta * lp->step[r];
        k->work  += (int64_t)n / 8;
    }
    lp->x[out] = theta;
    add_row(lp->dual, pivot_row, gain, n);
    lp->basis[out] = code;
    if (++lp->pivots % REFRESH == 0)
        return refresh(k);
    return true;
}

/* ---- The first basis ---- */

/* As many of one part as go on the bar of the best price for them; their
 * number, or 0 where no size of unlimited supply holds it. */
static int single_size(const Cutter *k, const Rest *rest, int part,
                       int *size) {
    double best  = DBL_MAX;
    int    count = 0;

    for (int j = 0; j < k->n; j++) {
        int64_t fit = k->room[j] / k->length[part];
        double  price;
        if (fit > rest->left[part])
            fit = rest->left[part];
        if (fit < 1 || rest->supply[j] >= 0 || rest->due[j] > 0)
            continue;
        price = (double)k->price[j] / (double)fit;
        if (price < best) {
            best  = price;
            *size = j;
            count = (int)fit;
        }
    }
    return count;
}

/* Such a column of the pool, new where it is not there; -1: none. */
static int single_column(Cutter *k, const Rest *rest, int part) {
    int     size = 0, count = single_size(k, rest, part, &size);
    int     known = k->lp.single[part] - 1;
    Column *col;

    if (count == 0)
        return -1;
    if (known >= 0 && k->pool.at[known].size == size
        && *k->pool.at[known].count == count)
        return known;
    col        = PUSH(k->c, &k->pool);
    col->size  = size;
    col->n     = 1;
    col->part  = NEW(k->c, int);
    col->count = NEW(k->c, int);
    *col->part  = part;
    *col->count = count;
    k->lp.single[part] = k->pool.n;
    return k->pool.n - 1;
}

static void first_rows(Cutter *k, const Rest *rest) {
    Master *lp = &k->lp;

    lp->rows = k->m;
    for (int i = 0; i < k->m; i++) {   // no two rows alike
        lp->at_most[i] = false;
        lp->want[i]    = rest->left[i];
        if (rest->left[i] > 0)
            lp->want[i] += 1e-6 * (1 + (i * 37 % 101) / 101.0);
    }
    for (int j = 0; j < k->n; j++) {
        lp->most_row[j] = lp->least_row[j] = -1;
        if (rest->supply[j] >= 0) {
            lp->at_most[lp->rows] = true;
            lp->want[lp->rows]    = rest->supply[j] + 1e-7;
            lp->most_row[j]       = lp->rows++;
        }
        if (rest->due[j] > 0) {
            lp->at_most[lp->rows] = false;
            lp->want[lp->rows]    = rest->due[j];
            lp->least_row[j]      = lp->rows++;
        }
    }
}

static void first_basis(Cutter *k, const Rest *rest) {
    Master *lp = &k->lp;
    size_t  n;

    first_rows(k, rest);
    n = (size_t)lp->rows;
    memset(lp->inverse, 0, sizeof *lp->inverse * n * n);
    for (int r = 0; r < lp->rows; r++) {
        double *at  = lp->inverse + (size_t)r * n + (size_t)r;
        bool    idle = lp->at_most[r] || lp->want[r] <= 0;
        int     col = idle || r >= k->m ? -1 : single_column(k, rest, r);
        if (idle) {
            lp->basis[r] = -1 - r;
            *at          = slack_sign(lp, r);
        } else if (col >= 0) {
            lp->basis[r] = col;
            *at          = 1.0 / *k->pool.at[col].count;
        } else {
            lp->basis[r] = -1 - lp->rows - r;
            *at          = 1;
        }
    }
    lp->pivots = 0;
    find_values(k);
}

/* ---- Pricing ---- */

/* The column of the pool, or slack, that gains most; DBL_MAX: none. */
static double best_known(Cutter *k, const bool *fits, int *code) {
    const Master *lp = &k->lp;
    double        best = -1e-7 * (double)(k->step + 1), gain;
    bool          any = false;

    for (int r = 0; r < lp->rows; r++) {
        gain = -slack_sign(lp, r) * lp->dual[r];
        if (gain < best) {
            best  = gain;
            *code = -1 - r;
            any   = true;
        }
    }
    for (int i = 0; i < k->pool.n; i++) {
        if (!fits[i])
            continue;
        gain = reduced_cost(k, i);
        if (gain < best) {
            best  = gain;
            *code = i;
            any   = true;
        }
    }
    k->work += k->pool.n / 2;
    return any ? best : DBL_MAX;
}

/* What pieces on a size must be worth: its price, and the duals of how
 * many there may and must be. */
static void round_size(Cutter *k, const Rest *rest, int size, double shrink) {
    Master *lp    = &k->lp;
    double  scale = (double)k->scale;
    int     most  = lp->most_row[size], least = lp->least_row[size];
    int64_t need  = k->price[size] * k->scale, gift;

    if (most >= 0) {
        int64_t rent = (int64_t)ceil(fmax(-lp->dual[most], 0) * scale);
        need      += rent;
        lp->bound -= rent * rest->supply[size];
    }
    if (least >= 0) {
        gift = (int64_t)floor(fmax(lp->dual[least], 0) * (1 - shrink)
                              * scale);
        gift       = gift < need ? gift : need;   // empty bars are allowed
        need      -= gift;
        lp->bound += gift * rest->due[size];
    }
    lp->need[size] = k->fill.need[size] = need;
}

/* Duals rounded so that they can only lose; `shrink` takes off more. */
static void round_duals(Cutter *k, const Rest *rest, double shrink) {
    Master *lp = &k->lp;

    lp->bound = 0;
    for (int i = 0; i < k->m; i++) {
        double v = fmax(lp->dual[i], 0) * (1 - shrink) * (double)k->scale;
        lp->value[i] = rest->left[i] ? (int64_t)floor(v) : 0;
        lp->bound   += lp->value[i] * rest->left[i];
    }
    for (int j = 0; j < k->n; j++)
        round_size(k, rest, j, shrink);
}

static bool is_gain(const Cutter *k, int size) {
    int64_t gain = k->fill.need[size] - k->lp.need[size];

    return (double)gain
        >= 1e-8 * (double)k->price[size] * (double)k->scale;
}

/* Patterns that are easy to find. */
static int price_quickly(Cutter *k, const Rest *rest) {
    int useful = 0;

    for (int j = 0; j < k->n; j++) {
        Column col;
        if (rest->supply[j] == 0)
            continue;
        col = fill_quick(k, k->lp.value, rest->left, j);
        if (col.n > 0 && is_gain(k, j)) {
            *PUSH(k->c, &k->pool) = col;
            useful++;
        }
        k->fill.need[j] = k->lp.need[j];
    }
    return useful;
}

/* Adds the best new pattern of each size to the pool; returns how many of
 * them gain something worth a pivot, -1 where all gains are mere noise. */
static int price_out(Cutter *k, const Rest *rest) {
    int found = 0, useful = price_quickly(k, rest);

    if (useful)
        return useful;
    fill_best(k, k->lp.value, rest->left);
    for (int j = 0; j < k->n; j++) {
        if (k->fill.best[j] < 0 || rest->supply[j] == 0)
            continue;
        found++;
        if (!is_gain(k, j))
            continue;
        *PUSH(k->c, &k->pool) = fill_column(k, j, k->fill.best[j]);
        useful++;
    }
    return useful ? useful : found ? -1 : 0;
}

static void list_fits(Cutter *k, const Rest *rest, bool **fits, int *known,
                      int *cap) {
    if (k->pool.n > *cap) {
        bool *more = NEW_N(k->c, bool, 2 * k->pool.n);
        if (*known)
            memcpy(more, *fits, (size_t)*known);
        *fits = more;
        *cap  = 2 * k->pool.n;
    }
    for (; *known < k->pool.n; ++*known)
        (*fits)[*known] = column_fits(&k->pool.at[*known], rest);
}

bool lp_solve(Cutter *k, const Rest *rest) {
    double shrink = 1e-9;
    bool  *fits   = NULL;
    int    known  = 0, cap = 0, code = 0;

    first_basis(k, rest);
    for (;;) {
        double gain;
        int    found;
        if (is_tired(k))
            return false;
        list_fits(k, rest, &fits, &known, &cap);
        gain = best_known(k, fits, &code);
        if (gain < DBL_MAX) {
            if (!pivot(k, code, gain))
                return false;
            continue;
        }
        round_duals(k, rest, shrink);
        found = price_out(k, rest);
        if (found == 0)
            return true;
        if (found < 0)
            shrink *= 8;
        if (shrink > 1e-3)
            return false;
    }
}

int64_t lp_bound(const Cutter *k) {
    int64_t bound = k->lp.bound, unit = k->scale * k->step;

    return bound <= 0 ? 0 : (bound + unit - 1) / unit * k->step;
}
