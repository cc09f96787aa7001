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
#define LOOK_ALL   8         // of so many pricings one is exact
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
    for (int r = 0; r < lp->rows; r++) {
        const double *row = lp->inverse + (size_t)r * lp->stride;
        double        sum = 0;
        if (code >= 0) {
            const Column *col = &k->pool.at[code];
            for (int e = 0; e < col->n; e++)
                sum += row[lp->part_row[col->part[e]]] * col->count[e];
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

/* ---- Basis ---- */

/* Fills a matrix with the basis, column by column. */
static void write_basis(const Cutter *k, double *matrix) {
    const Master *lp = &k->lp;
    size_t        n  = lp->stride;

    memset(matrix, 0, sizeof *matrix * n * n);
    for (size_t b = 0; b < (size_t)lp->rows; b++) {
        int code = lp->basis[b];
        if (code >= 0) {
            const Column *col = &k->pool.at[code];
            for (int e = 0; e < col->n; e++)
                matrix[(size_t)lp->part_row[col->part[e]] * n + b]
                    = col->count[e];
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

/* Rows are as long as a multiple of four, so that this is quick. */
void add_row(double *restrict to, const double *restrict from,
             double times, size_t n) {
    for (size_t i = 0; i < n; i += 4) {
        to[i]     += times * from[i];
        to[i + 1] += times * from[i + 1];
        to[i + 2] += times * from[i + 2];
        to[i + 3] += times * from[i + 3];
    }
}

static void swap_rows(double *a, double *b, size_t n) {
    for (size_t i = 0; i < n; i++) {
        double t = a[i];
        a[i] = b[i];
        b[i] = t;
    }
}

/* Gauss and Jordan. False: singular. */
bool invert(double *a, double *inverse, size_t rows, size_t n) {
    memset(inverse, 0, sizeof *inverse * n * n);
    for (size_t i = 0; i < rows; i++)
        inverse[i * n + i] = 1;
    for (size_t i = 0; i < rows; i++) {
        size_t best = i;
        double by;
        for (size_t r = i + 1; r < rows; r++) {
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
        for (size_t r = 0; r < rows; r++) {
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
        const double *row = lp->inverse + (size_t)r * lp->stride;
        double        sum = 0, price = price_of(k, lp->basis[r]);
        for (int i = 0; i < n; i++) {
            sum         += row[i] * lp->want[i];
            lp->dual[i] += price * row[i];
        }
        lp->x[r] = sum;
    }
}

static bool refresh(Cutter *k) {
    size_t  n      = k->lp.stride;
    double *matrix = k->lp.inverse + n * n;   // room behind the inverse

    k->work += (int64_t)(n * n * n / 8);
    write_basis(k, matrix);
    if (!invert(matrix, k->lp.inverse, (size_t)k->lp.rows, n))
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
    size_t  n  = lp->stride;
    double *pivot_row, by, theta;
    int     out;

    find_step(k, code);
    out = leaving_row(lp);
    if (out < 0)
        return false;
    pivot_row = lp->inverse + (size_t)out * lp->stride;
    theta     = lp->x[out] / lp->step[out];
    by        = 1 / lp->step[out];
    for (size_t i = 0; i < n; i++)
        pivot_row[i] *= by;
    for (int r = 0; r < lp->rows; r++) {
        if (r == out || fabs(lp->step[r]) < 1e-12)
            continue;
        add_row(lp->inverse + (size_t)r * lp->stride, pivot_row,
                -lp->step[r], n);
        lp->x[r] -= theta * lp->step[r];
        k->work  += (int64_t)n / 12 + 1;
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

    lp->rows = 0;
    for (int i = 0; i < k->m; i++) {
        lp->part_row[i] = -1;
        if (rest->left[i] == 0)
            continue;
        lp->at_most[lp->rows]  = false;   // no two rows alike:
        lp->want[lp->rows]     = rest->left[i]
                               + 1e-6 * (1 + (i * 37 % 101) / 101.0);
        lp->row_part[lp->rows] = i;
        lp->part_row[i]        = lp->rows++;
    }
    lp->part_rows = lp->rows;
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
    lp->stride = ((size_t)lp->rows + 3) / 4 * 4;
}

static void first_basis(Cutter *k, const Rest *rest) {
    Master *lp = &k->lp;

    first_rows(k, rest);
    memset(lp->inverse, 0, sizeof *lp->inverse * lp->stride * lp->stride);
    memset(lp->dual, 0, sizeof *lp->dual * lp->stride);
    for (int r = 0; r < lp->rows; r++) {
        double *at  = lp->inverse + (size_t)r * lp->stride + (size_t)r;
        bool    idle = lp->at_most[r];
        int     col = r >= lp->part_rows ? -1
                    : single_column(k, rest, lp->row_part[r]);
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
static double best_known(Cutter *k, int *code) {
    const Master *lp = &k->lp;
    double        best = -1e-7 * (double)(k->step + 1), gain;
    bool          any = false;
    int           at = 0;

    for (int r = 0; r < lp->rows; r++) {
        gain = -slack_sign(lp, r) * lp->dual[r];
        if (gain < best) {
            best  = gain;
            *code = -1 - r;
            any   = true;
        }
    }
    for (int i = 0; i < lp->fits.n; i++) {
        const Fitting *f = &lp->fits.at[i];
        gain = f->price;
        for (; at < f->end; at++)
            gain -= lp->dual[lp->entries.at[at].row]
                  * lp->entries.at[at].count;
        if (gain < best) {
            best  = gain;
            *code = f->column;
            any   = true;
        }
    }
    k->work += lp->entries.n / 4;
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
        int64_t rent = (int64_t)ceil(fmax(-lp->dual[most], 0) * (1 - shrink)
                                    * scale);
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
        int    row = lp->part_row[i];
        double v   = row < 0 ? 0 : fmax(lp->dual[row], 0);
        lp->value[i] = (int64_t)floor(v * (1 - shrink) * (double)k->scale);
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

/* By how much all duals must shrink so that no pattern found by fill_best
 * is worth more than its bar (Farley 1990). */
static double too_dear(const Cutter *k) {
    double most = 0;

    for (int j = 0; j < k->n; j++) {
        double price = (double)k->price[j] * (double)k->scale;
        double more  = (double)(k->fill.need[j] - k->lp.need[j]);
        if (k->fill.best[j] >= 0 && more / (price + more) > most)
            most = more / (price + more);
    }
    return most;
}

/* Adds the best new pattern of each size to the pool; returns how many of
 * them gain something worth a pivot, -1 where all gains are mere noise.
 * `dear` is set where all patterns have been looked at. */
static int price_out(Cutter *k, const Rest *rest, double *dear) {
    int found = 0, useful = 0;

    if (++k->lp.calls % LOOK_ALL)   // at times see how far the end is
        useful = price_quickly(k, rest);
    if (useful)
        return useful;
    fill_best(k, k->lp.value, rest->left);
    if (dear)
        *dear = too_dear(k);
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

static void add_entry(Cutter *k, int row, int count) {
    if (row >= 0)
        *PUSH(k->c, &k->lp.entries) = (Entry){ row, count };
}

/* The columns of the pool, from one on, that can be used. */
static int list_fits(Cutter *k, const Rest *rest, int from) {
    Master *lp = &k->lp;

    k->work += 4 * (k->pool.n - from);
    for (; from < k->pool.n; from++) {
        const Column *col = &k->pool.at[from];
        if (!column_fits(col, rest))
            continue;
        for (int e = 0; e < col->n; e++)
            add_entry(k, lp->part_row[col->part[e]], col->count[e]);
        add_entry(k, lp->most_row[col->size], 1);
        add_entry(k, lp->least_row[col->size], 1);
        *PUSH(k->c, &lp->fits) = (Fitting){
            from, lp->entries.n, (double)k->price[col->size] };
    }
    return from;
}

static int64_t in_steps(const Cutter *k, double bound) {
    int64_t unit = k->scale * k->step;

    return bound <= 0 ? 0
         : ((int64_t)bound + unit - 1) / unit * k->step;
}

/* The bound that the duals give when shrunk is as good as any to come. */
static bool is_enough(Cutter *k, const Rest *rest, double shrink) {
    double  bound = (double)k->lp.bound;
    int64_t now   = in_steps(k, bound * (1 - shrink - 1e-8));

    return rest->cost + now >= k->best_cost
        || (k->rough && now >= in_steps(k, bound));
}

/* Shrinks the duals and looks whether that was enough. */
static bool settle(Cutter *k, const Rest *rest, double shrink) {
    round_duals(k, rest, shrink + 1e-9);
    return price_out(k, rest, NULL) == 0;
}

bool lp_solve(Cutter *k, const Rest *rest) {
    double shrink = 1e-9;
    int    known  = 0, code = 0;

    first_basis(k, rest);
    k->lp.fits.n = k->lp.entries.n = 0;
    for (;;) {
        double gain, dear = 1;
        int    found;
        if (is_tired(k))
            return false;
        known = list_fits(k, rest, known);
        gain  = best_known(k, &code);
        if (gain < DBL_MAX) {
            if (!pivot(k, code, gain))
                return false;
            continue;
        }
        round_duals(k, rest, shrink);
        found = price_out(k, rest, &dear);
        if (found == 0)
            return true;
        if (found > 0 && dear < 1 && is_enough(k, rest, dear)
            && settle(k, rest, dear))
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
