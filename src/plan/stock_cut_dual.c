/* stock_cut_dual -- the linear program over a list of patterns: the dual
 * simplex, from where it stood before patterns were taken or banned.
 *
 * Of three parts with an odd number of pieces in all, each bar gives at most
 * half as many as are on it, rounded up, and half of all, rounded up, are
 * wanted. Where the program breaks such a rule it becomes a row of its own
 * (subset rows, Jepsen et al. 2008, here for covering).
 *
 * As in stock_cut_lp.c no bound hangs on tolerances: duals are rounded to
 * whole numbers, and what they prove is reckoned with every pattern.
 */
#include "plan/stock_cut_internal.h"

#include <float.h>
#include <math.h>

#define MOST_CUTS    160
#define CUTS_A_ROUND 40
#define REFRESH      300     // pivots between two new inverses
#define NOISE        1e-9
#define NO_ENTRY     INT_MIN

/* ---- Columns ---- */

static int first_entry(const Cover *v, int j) {
    return j ? v->all.at[j - 1].end : 0;
}

/* A row of the inverse times a pattern. */
static double times_column(const Cover *v, const double *row, int j) {
    const Entry *at  = v->entries.at + first_entry(v, j);
    const Entry *end = v->entries.at + v->all.at[j].end;
    double       sum = 0;

    for (; at < end; at++)
        sum += row[at->row] * at->count;
    return sum;
}

/* The same with a code: -1 - row is the surplus of a row. */
static double times_code(const Cover *v, const double *row, int code) {
    return code < 0 ? -row[-1 - code] : times_column(v, row, code);
}

static double *inverse_row(const Cover *v, int r) {
    return v->now.inverse + (size_t)r * v->stride;
}

/* Rows are as long as a multiple of four; add_row wants that. */
static size_t width(const Cover *v) {
    return ((size_t)v->rows + 3) / 4 * 4;
}

/* ---- Basis ---- */

static void find_lost(Cover *v) {
    for (int j = 0; j < v->all.n; j++) {
        Choice *c = &v->all.at[j];
        c->lost = c->basic ? 0
                : c->price - times_column(v, v->now.dual, j);
    }
    v->k->work += v->entries.n / 2;
}

/* x, duals and reduced costs from the inverse. */
static void find_values(Cover *v) {
    Basis *s = &v->now;

    memset(s->dual, 0, sizeof *s->dual * v->stride);
    for (int r = 0; r < v->rows; r++) {
        const double *row = inverse_row(v, r);
        double        sum = 0;
        for (int i = 0; i < v->rows; i++)
            sum += row[i] * (double)v->need[i];
        s->x[r] = sum;
        if (s->basis[r] >= 0)
            add_row(s->dual, row, v->all.at[s->basis[r]].price, width(v));
    }
    v->k->work += (int64_t)width(v) * v->rows / 4;
    find_lost(v);
}

static void refresh(Cover *v) {
    size_t  n = width(v);
    double *matrix = v->spare, *inverse = v->spare + n * n;

    memset(matrix, 0, sizeof *matrix * n * n);
    for (int r = 0; r < v->rows; r++) {
        int code = v->now.basis[r];
        if (code < 0) {
            matrix[(size_t)(-1 - code) * n + (size_t)r] = -1;
            continue;
        }
        for (int e = first_entry(v, code); e < v->all.at[code].end; e++) {
            size_t row = (size_t)v->entries.at[e].row;
            matrix[row * n + (size_t)r] = v->entries.at[e].count;
        }
    }
    v->k->work += (int64_t)(n * n * n / 12);
    if (invert(matrix, inverse, (size_t)v->rows, n)) {
        for (int r = 0; r < v->rows; r++)
            memcpy(inverse_row(v, r), inverse + (size_t)r * n,
                   sizeof *inverse * n);
    }
    v->now.pivots = 0;
    find_values(v);
}

/* ---- The dual simplex ---- */

/* The row that is least right: below zero, or of a banned pattern. */
static int leaving_row(const Cover *v) {
    double most = 1e-7;
    int    pick = -1;

    for (int r = 0; r < v->rows; r++) {
        int    code = v->now.basis[r];
        double by   = -v->now.x[r];
        if (by < 0 && code >= 0 && v->all.at[code].banned)
            by = -by;
        if (by > most) {
            most = by;
            pick = r;
        }
    }
    return pick;
}

typedef struct { double ratio, size; int code; } Entering;

static void offer(Entering *best, int code, double lost, double step) {
    double ratio;

    if (step < NOISE)
        return;
    ratio = fmax(lost, 0) / step;
    if (ratio < best->ratio - 1e-13
        || (ratio < best->ratio + 1e-13 && step > best->size))
        *best = (Entering){ ratio, step, code };
}

/* What takes the place of the row that leaves; `sign` tells to which side
 * that goes. */
static int entering_code(Cover *v, int out, double sign) {
    const double *row  = inverse_row(v, out);
    Entering      best = { DBL_MAX, 0, NO_ENTRY };

    for (int i = 0; i < v->rows; i++)
        offer(&best, -1 - i, v->now.dual[i], row[i] * sign);
    for (int j = 0; j < v->all.n; j++) {
        Choice *c = &v->all.at[j];
        if (c->basic)
            continue;
        c->step = times_column(v, row, j);
        if (!c->banned)
            offer(&best, j, c->lost, -c->step * sign);
    }
    v->k->work += v->entries.n / 2;
    return best.code;
}

/* Takes the entering column's step off all rows but its own. */
static void clear_column(Cover *v, int out, int code, double by) {
    const double *row   = inverse_row(v, out);
    double        theta = v->now.x[out] / by;

    for (int r = 0; r < v->rows; r++) {
        double step = r == out ? 0 : times_code(v, inverse_row(v, r), code);
        if (fabs(step) < 1e-12)
            continue;
        add_row(inverse_row(v, r), row, -step / by, width(v));
        v->now.x[r] -= theta * step;
        v->k->work  += (int64_t)width(v) / 6 + 1;
    }
    v->now.x[out] = theta;
    v->k->work   += 3 * v->rows;
}

static void pivot(Cover *v, int out, int code) {
    Basis  *s    = &v->now;
    double *row  = inverse_row(v, out), by = times_code(v, row, code);
    double  lost = code < 0 ? s->dual[-1 - code] : v->all.at[code].lost;
    int     old  = s->basis[out];

    clear_column(v, out, code, by);
    if (old >= 0) {
        v->all.at[old].basic = false;
        v->all.at[old].step  = 1;
    }
    for (int j = 0; j < v->all.n; j++)
        v->all.at[j].lost -= v->all.at[j].basic
                           ? 0 : lost / by * v->all.at[j].step;
    add_row(s->dual, row, lost / by, width(v));
    for (size_t i = 0; i < width(v); i++)
        row[i] /= by;
    s->basis[out] = code;
    if (code >= 0) {
        v->all.at[code].basic = true;
        v->all.at[code].lost  = 0;
    }
    if (++s->pivots == REFRESH)
        refresh(v);
}

/* ---- What is proven ---- */

int64_t cover_limit(const Cover *v) {
    return (v->k->best_cost - v->k->step - v->spent) * v->k->scale;
}

int64_t cover_prove(Cover *v, const double *dual) {
    Cutter *k     = v->k;
    double  most  = 1000.0 * (double)k->dearest;   // no overflow
    int64_t bound = 0;

    for (int i = 0; i < v->rows; i++) {
        double d = fmin(fmax(dual[i], 0), most);
        v->value[i] = (int64_t)floor(d * (double)k->scale);
        bound      += v->value[i] * v->need[i];
    }
    for (int j = 0, e = 0; j < v->all.n; j++) {
        Choice *c = &v->all.at[j];
        c->excess = k->price[c->col.size] * k->scale;
        for (; e < c->end; e++)
            c->excess -= v->value[v->entries.at[e].row]
                       * v->entries.at[e].count;
        if (c->excess < 0 && !c->banned)
            bound += c->excess * c->most;
    }
    k->work += v->entries.n / 2;
    return bound;
}

static double objective(const Cover *v) {
    double sum = 0;

    for (int i = 0; i < v->rows; i++)
        sum += v->now.dual[i] * (double)v->need[i];
    return sum;
}

/* Nothing can enter: the duals may go that way without end, and what they
 * prove grows without end. */
static bool proves_by_ray(Cover *v, int out, double sign, double now) {
    double beyond = (double)(v->k->dearest + v->k->best_cost) - now;

    memcpy(v->spare, v->now.dual, sizeof *v->spare * v->stride);
    add_row(v->spare, inverse_row(v, out),
            -sign * beyond / fabs(v->now.x[out]), width(v));
    return cover_prove(v, v->spare) > cover_limit(v);
}

bool cover_solve(Cover *v) {
    int64_t limit = cover_limit(v);
    int     out;

    for (int n = 0; n < 20 * v->rows && (out = leaving_row(v)) >= 0; n++) {
        double now  = objective(v), sign = v->now.x[out] < 0 ? 1 : -1;
        int    code = entering_code(v, out, sign);
        if (now * (double)v->k->scale > (double)limit * (1 + NOISE) + 1e4
            && cover_prove(v, v->now.dual) > limit)
            return false;
        if (code == NO_ENTRY)
            return !proves_by_ray(v, out, sign, now);
        pivot(v, out, code);
    }
    return cover_prove(v, v->now.dual) <= limit;
}

/* ---- Taking and going back ---- */

void cover_take(Cover *v, int j, int copies) {
    for (int e = first_entry(v, j); e < v->all.at[j].end; e++)
        v->need[v->entries.at[e].row] -= copies * v->entries.at[e].count;
    for (int r = 0; r < v->rows; r++)
        v->now.x[r] -= copies * times_column(v, inverse_row(v, r), j);
    v->spent   += copies * v->k->price[v->all.at[j].col.size];
    v->k->work += 3 * v->rows;
    if (copies > 0)
        *PUSH(v->k->c, &v->taken) = j;
    else
        v->taken.n--;
}

static void copy_basis(const Cover *v, Basis *to, const Basis *from) {
    size_t n = width(v);

    for (size_t r = 0; r < (size_t)v->rows; r++)
        memcpy(to->inverse + r * v->stride, from->inverse + r * v->stride,
               sizeof *to->inverse * n);
    memcpy(to->x, from->x, sizeof *to->x * n);
    memcpy(to->dual, from->dual, sizeof *to->dual * n);
    memcpy(to->basis, from->basis, sizeof *to->basis * n);
    to->pivots  = from->pivots;
    v->k->work += (int64_t)n * v->rows / 6;
}

static Basis basis_new(const Cover *v, size_t rows) {
    Ctx *c = v->k->c;

    return (Basis){ .inverse = NEW_N(c, double, v->stride * rows),
                    .x       = NEW_N(c, double, v->stride),
                    .dual    = NEW_N(c, double, v->stride),
                    .basis   = NEW_N(c, int, v->stride) };
}

void cover_keep(Cover *v, int depth) {
    if (v->now.pivots > REFRESH / 2)   // not once for each branch
        refresh(v);
    while (v->kept.n <= depth)
        *PUSH(v->k->c, &v->kept) = basis_new(v, (size_t)v->rows);
    copy_basis(v, &v->kept.at[depth], &v->now);
}

void cover_put_back(Cover *v, int depth) {
    copy_basis(v, &v->now, &v->kept.at[depth]);
    for (int j = 0; j < v->all.n; j++)
        v->all.at[j].basic = false;
    for (int r = 0; r < v->rows; r++) {
        if (v->now.basis[r] >= 0)
            v->all.at[v->now.basis[r]].basic = true;
    }
    find_lost(v);
}

/* ---- Cuts ---- */

/* How often a pattern counts in the cut of three rows. */
static int cut_count(const Cover *v, int j, const int *cut) {
    int sum = 0;

    for (int e = first_entry(v, j); e < v->all.at[j].end; e++) {
        int row = v->entries.at[e].row;
        if (row == cut[0] || row == cut[1] || row == cut[2])
            sum += v->entries.at[e].count;
    }
    return (sum + 1) / 2;
}

/* How much of each pattern is used where two rows are together. */
static double *find_pairs(Cover *v) {
    size_t  n    = (size_t)v->part_rows;
    double *pair = NEW_N(v->k->c, double, n * n);

    for (int r = 0; r < v->rows; r++) {
        int j = v->now.basis[r];
        if (j < 0)
            continue;
        for (int a = first_entry(v, j); a < v->all.at[j].end; a++) {
            for (int b = first_entry(v, j); b < v->all.at[j].end; b++) {
                size_t p = (size_t)v->entries.at[a].row;
                size_t q = (size_t)v->entries.at[b].row;
                if (p < n && q < n)
                    pair[p * n + q] += v->now.x[r];
            }
        }
    }
    return pair;
}

typedef struct { int row[3]; double by; } Broken;
typedef LIST(Broken) BrokenList;

static int more_broken(const void *pa, const void *pb, const void *with) {
    const Broken *a = pa, *b = pb;

    (void)with;
    return a->by < b->by ? 1 : a->by > b->by ? -1 : 0;
}

/* What the three must reach: half of their pieces, rounded up. */
static int64_t half_need(const Cover *v, const int *cut) {
    return (v->need[cut[0]] + v->need[cut[1]] + v->need[cut[2]] + 1) / 2;
}

static void look_at(Cover *v, Broken b, BrokenList *list) {
    b.by = (double)half_need(v, b.row);
    for (int r = 0; r < v->rows; r++) {
        if (v->now.basis[r] >= 0 && v->now.x[r] > 1e-7)
            b.by -= v->now.x[r] * cut_count(v, v->now.basis[r], b.row);
    }
    if (b.by > 0.02)
        *PUSH(v->k->c, list) = b;
    v->k->work += 6 * v->rows;
}

/* Three rows can only break the rule if they meet in pairs. */
static void find_broken(Cover *v, BrokenList *list) {
    const double *pair = find_pairs(v);
    int           n    = v->part_rows;

    for (int a = 0; a < n; a++) {
        for (int b = a + 1; b < n; b++) {
            const double *with_a = pair + (size_t)a * (size_t)n;
            const double *with_b = pair + (size_t)b * (size_t)n;
            for (int d = b + 1; d < n; d++) {
                if (with_a[b] + with_a[d] + with_b[d] > 1.01
                    && (v->need[a] + v->need[b] + v->need[d]) % 2)
                    look_at(v, (Broken){ { a, b, d }, 0 }, list);
            }
        }
    }
    v->k->work += n * n / 6 * n / 4;
    list_sort(v->k->c, list->at, list->n, sizeof *list->at, more_broken,
              NULL);
}

/* Room for one more row, whose surplus is in the basis: returns its place
 * there, or -1. A cut that holds with room to spare gives up its own. */
static int free_place(Cover *v, int *row) {
    Basis *s = &v->now;

    for (int r = 0; r < v->rows; r++) {
        *row = -1 - s->basis[r];
        if (*row >= v->part_rows && s->x[r] > 1e-3)
            return r;
    }
    if (v->rows == v->part_rows + MOST_CUTS)
        return -1;
    *row = v->rows;
    s->basis[v->rows] = -1 - *row;
    return v->rows++;
}

static bool add_cut(Cover *v, const int *cut) {
    Basis  *s   = &v->now;
    int     row, at = free_place(v, &row);
    double *to;

    if (at < 0)
        return false;
    memcpy(v->cut[row - v->part_rows], cut, sizeof *v->cut);
    v->need[row] = half_need(v, cut);
    s->dual[row] = 0;
    s->x[at]     = (double)-v->need[row];
    to           = inverse_row(v, at);
    memset(to, 0, sizeof *to * v->stride);
    for (int r = 0; r < v->rows; r++) {
        int n = s->basis[r] < 0 ? 0 : cut_count(v, s->basis[r], cut);
        if (n == 0)
            continue;
        add_row(to, inverse_row(v, r), n, width(v));
        s->x[at] += n * s->x[r];
    }
    to[row] = -1;
    return true;
}

/* The entries of all patterns, one after the other. */
static void list_entries(Cover *v) {
    const int *row   = v->k->lp.part_row;
    int       *count = v->count;

    memset(count, 0, sizeof *count * v->stride);
    v->entries.n = 0;
    for (int j = 0; j < v->all.n; j++) {
        Choice *c = &v->all.at[j];
        for (int e = 0; e < c->col.n; e++) {
            Entry entry = { row[c->col.part[e]], c->col.count[e] };
            count[entry.row] = entry.count;
            *PUSH(v->k->c, &v->entries) = entry;
        }
        for (int r = v->part_rows; r < v->rows; r++) {
            const int *cut = v->cut[r - v->part_rows];
            int n = count[cut[0]] + count[cut[1]] + count[cut[2]];
            if (n > 0)
                *PUSH(v->k->c, &v->entries) = (Entry){ r, (n + 1) / 2 };
        }
        for (int e = 0; e < c->col.n; e++)
            count[row[c->col.part[e]]] = 0;
        c->end = v->entries.n;
    }
    v->k->work += (int64_t)v->all.n * (v->rows - v->part_rows + 10);
}

bool cover_cut(Cover *v) {
    BrokenList list = { 0 };
    bool       any  = false;

    find_broken(v, &list);
    for (int i = 0; i < list.n && i < CUTS_A_ROUND; i++)
        any = add_cut(v, list.at[i].row) || any;
    list_entries(v);
    find_lost(v);
    return any;
}

/* ---- The start ---- */

/* Prices are made a little lower, each by another amount, so that the
 * simplex does not stand still; lower ones prove the same. */
static void set_choices(Cover *v) {
    for (int j = 0; j < v->all.n; j++) {
        Choice *c = &v->all.at[j];
        c->price = (double)v->k->price[c->col.size]
                 * (1 - 1e-8 * (1 + (j * 37 % 101) / 101.0));
        for (int e = 0; e < c->col.n; e++) {
            int left   = v->from->left[c->col.part[e]];
            int copies = (left + c->col.count[e] - 1) / c->col.count[e];
            c->most = copies > c->most ? copies : c->most;
        }
    }
}

void cover_start(Cover *v) {
    Cutter *k = v->k;
    Ctx    *c = k->c;

    v->part_rows = v->rows = k->lp.part_rows;
    v->stride    = ((size_t)v->rows + MOST_CUTS + 3) / 4 * 4;
    v->row_part  = k->lp.row_part;
    v->cut       = arena_take(&c->arena, sizeof *v->cut * MOST_CUTS);
    v->need      = NEW_N(c, int64_t, v->stride);
    v->value     = NEW_N(c, int64_t, v->stride);
    v->count     = NEW_N(c, int, v->stride);
    v->spare     = NEW_N(c, double, 2 * v->stride * v->stride);
    v->now       = basis_new(v, v->stride);
    for (int r = 0; r < v->rows; r++) {
        v->need[r]      = v->from->left[v->row_part[r]];
        v->now.basis[r] = -1 - r;
        inverse_row(v, r)[r] = -1;
    }
    set_choices(v);
    list_entries(v);
    find_values(v);
}
