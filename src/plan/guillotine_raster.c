/* guillotine_raster -- the dearest parts that one sheet can hold.
 *
 * A cut needs to be made only where a row of parts can end: all other
 * patterns can be pushed to the left and down onto those places (Herz
 * 1972). So the value of every rectangle with sides on them is built from
 * that of the two into which a cut divides it, the smaller ones first
 * (Gilmore and Gomory 1966; Beasley 1985).
 *
 * Fewer places still do for the whole sheet: those that are left when the
 * places are seen from the far side too ("reduced raster points", Terno and
 * Scheithauer; Cintra and others 2008).
 */
#include "plan/guillotine_raster.h"

#include <math.h>

#define MOST_POINTS 6000

/* Adds all sums of the size to a sorted list of sums; -1: too many. */
static int add_sums(int64_t *at, int n, int64_t size, int64_t limit) {
    for (int i = 0; i < n; i++) {         // the list grows while we walk
        int64_t sum = at[i] + size;
        int     low = i, high = n;
        if (sum > limit)
            break;
        while (low < high) {
            int middle = (low + high) / 2;
            if (at[middle] < sum)
                low = middle + 1;
            else
                high = middle;
        }
        if (low < n && at[low] == sum)
            continue;
        if (n == MOST_POINTS)
            return -1;
        memmove(at + low + 1, at + low, sizeof *at * (size_t)(n - low));
        at[low] = sum;
        n++;
    }
    return n;
}

static int floor_of(const int64_t *at, int n, int64_t x) {
    int low = 0, high = n;

    while (high - low > 1) {
        int middle = (low + high) / 2;
        if (at[middle] <= x)
            low = middle;
        else
            high = middle;
    }
    return low;
}

/* `keep`: room for n marks. */
static int reduce(bool *keep, int64_t *at, int n, int64_t size) {
    int kept = 0;

    memset(keep, 0, sizeof *keep * (size_t)n);
    for (int i = 0; i < n; i++)
        keep[floor_of(at, n, size - at[i])] = true;
    keep[0] = keep[n - 1] = true;
    for (int i = 0; i < n; i++) {
        if (keep[i])
            at[kept++] = at[i];
    }
    return kept;
}

static int larger_first(const void *a, const void *b, const void *with) {
    int64_t p = *(const int64_t *)a, q = *(const int64_t *)b;

    (void)with;
    return p > q ? -1 : p < q;
}

/* The sides of all parts along an axis, the large ones first. */
static int sides_of(Ctx *c, const Rects *r, bool up, int64_t *sides) {
    int n = 0;

    for (int i = 0; i < r->n_parts; i++) {
        const SheetPart *p = &r->parts[i];
        if (p->count > 0)
            sides[n++] = up ? p->h : p->w;
        if (p->count > 0 && p->turns)
            sides[n++] = up ? p->w : p->h;
    }
    list_sort(c, sides, n, sizeof *sides, larger_first, NULL);
    return n;
}

/* Few points: sides whose sums would give more are left out, the small ones
 * first, and lie on the next point (Beasley 1985). */
static Axis axis_of(Ctx *c, const Rects *r, int64_t size, bool up,
                    int points) {
    int64_t *sides = NEW_N(c, int64_t, 2 * r->n_parts);
    int64_t *all   = NEW_N(c, int64_t, MOST_POINTS);
    int64_t *some  = NEW_N(c, int64_t, MOST_POINTS);
    bool    *keep  = NEW_N(c, bool, MOST_POINTS);
    int      n     = sides_of(c, r, up, sides), n_all = 1;

    for (int i = 0; i < n; i++) {
        int n_some;
        memcpy(some, all, sizeof *some * (size_t)n_all);
        n_some = add_sums(some, n_all, sides[i], size);
        if (n_some < 0 && points <= 0)
            return (Axis){ .n = -1 };
        if (n_some < 0)
            continue;
        if (points > 0) {
            int64_t *few = NEW_N(c, int64_t, n_some);
            memcpy(few, some, sizeof *few * (size_t)n_some);
            if (reduce(keep, few, n_some, size) > points)
                continue;
        }
        memcpy(all, some, sizeof *some * (size_t)n_some);
        n_all = n_some;
    }
    if (points != 0)
        n_all = reduce(keep, all, n_all, size);
    return (Axis){ .at = all, .n = n_all };
}

/* rest[i * n + a]: what the cut at a leaves of i. */
static void find_rests(Ctx *c, Axis *axis) {
    axis->rest = NEW_N(c, int, axis->n * axis->n);
    for (int i = 0; i < axis->n; i++) {
        int rest = i;
        for (int a = 1; a <= i; a++) {
            while (axis->at[rest] > axis->at[i] - axis->at[a])
                rest--;
            axis->rest[i * axis->n + a] = rest;
        }
    }
}

bool raster_init(Ctx *c, const Rects *r, int kind, int points, long steps,
                 Raster *raster) {
    const SheetKind *k = &r->kinds[kind];

    raster->x = axis_of(c, r, k->w, false, points);
    raster->y = axis_of(c, r, k->h, true, points);
    if (raster->x.n < 1 || raster->y.n < 1)
        return false;
    raster->work = (long)raster->x.n * raster->y.n
                 * ((raster->x.n + raster->y.n) / 4 + 1);
    if (raster->work > steps)
        return false;
    find_rests(c, &raster->x);
    find_rests(c, &raster->y);
    raster->value = NEW_N(c, double, raster->x.n * raster->y.n);
    return true;
}

/* ---- Values ---- */

/* The dearest single part in each rectangle. */
static void put_singles(const Rects *r, Raster *t, const double *values) {
    int ny = t->y.n;

    memset(t->value, 0, sizeof *t->value * (size_t)(t->x.n * ny));
    for (int k = 0; k < 2 * r->n_parts; k++) {
        const SheetPart *p = &r->parts[k / 2];
        int64_t          w = k % 2 ? p->h : p->w, h = k % 2 ? p->w : p->h;
        int              i = floor_of(t->x.at, t->x.n, w);
        int              j = floor_of(t->y.at, ny, h);
        if ((k % 2 && !p->turns) || p->count == 0)
            continue;
        i += t->x.at[i] < w;
        j += t->y.at[j] < h;
        if (i < t->x.n && j < ny)
            t->value[i * ny + j] = fmax(t->value[i * ny + j],
                                        values[k / 2]);
    }
}

/* row = max(row, a + b), number by number. */
static void raise_row(double *restrict row, const double *restrict a,
                      const double *restrict b, int n) {
    for (int j = 0; j < n; j++) {
        double sum = a[j] + b[j];
        row[j] = row[j] > sum ? row[j] : sum;
    }
}

static void cut_upright(Raster *t, int i) {
    int     ny  = t->y.n;
    double *row = t->value + (long)i * ny;

    for (int j = 0; j < ny; j++)
        row[j] = fmax(row[j], row[j - ny]);
    for (int a = 1; a <= i && 2 * t->x.at[a] <= t->x.at[i]; a++)
        raise_row(row, t->value + (long)a * ny,
                  t->value + (long)t->x.rest[i * t->x.n + a] * ny, ny);
}

static void cut_level(Raster *t, int i) {
    int     ny  = t->y.n;
    double *row = t->value + (long)i * ny;

    for (int j = 1; j < ny; j++) {
        const int *rest = t->y.rest + (long)j * ny;
        double     best = fmax(row[j], row[j - 1]);
        for (int b = 1; b <= j && 2 * t->y.at[b] <= t->y.at[j]; b++) {
            double sum = row[b] + row[rest[b]];
            best = best > sum ? best : sum;
        }
        row[j] = best;
    }
}

double raster_values(const Rects *r, Raster *t, const double *values) {
    put_singles(r, t, values);
    for (int i = 1; i < t->x.n; i++) {
        cut_upright(t, i);
        cut_level(t, i);
    }
    return t->value[(long)t->x.n * t->y.n - 1];
}

/* ---- The pattern behind a value ---- */

/* The part that gives a rectangle its value, or -1. */
static int single(const Rects *r, const Raster *t, int i, int j,
                  const double *values) {
    for (int k = 0; k < 2 * r->n_parts; k++) {
        const SheetPart *p = &r->parts[k / 2];
        int64_t          w = k % 2 ? p->h : p->w, h = k % 2 ? p->w : p->h;
        if ((k % 2 == 0 || p->turns) && p->count > 0
            && w <= t->x.at[i] && h <= t->y.at[j]
            && values[k / 2] >= t->value[(long)i * t->y.n + j])
            return k;
    }
    return -1;
}

typedef struct {
    Ctx          *c;
    const Rects  *r;
    const Raster *t;
    const double *values;
    Code         *code;
} Trace;

static void trace(Trace *k, int i, int j) {
    const Raster *t  = k->t;
    long          ny = t->y.n;
    double        v  = t->value[i * ny + j];
    int           part = v > 0 ? single(k->r, t, i, j, k->values) : -1;

    if (v <= 0 || part >= 0) {
        *PUSH(k->c, k->code) = v <= 0 ? CODE_FREE : part;
        return;
    }
    for (int a = 1; a < i; a++) {
        int rest = t->x.rest[i * t->x.n + a];
        if (t->value[a * ny + j] + t->value[rest * ny + j] >= v) {
            *PUSH(k->c, k->code) = CODE_UPRIGHT;
            trace(k, a, j);
            trace(k, rest, j);
            return;
        }
    }
    for (int b = 1; b < j; b++) {
        int rest = t->y.rest[j * ny + b];
        if (t->value[i * ny + b] + t->value[i * ny + rest] >= v) {
            *PUSH(k->c, k->code) = CODE_LEVEL;
            trace(k, i, b);
            trace(k, i, rest);
            return;
        }
    }
}

void raster_code(Ctx *c, const Rects *r, const Raster *t,
                 const double *values, Code *code) {
    Trace k = { c, r, t, values, code };

    code->n = 0;
    trace(&k, t->x.n - 1, t->y.n - 1);
}

int64_t guillotine_knapsack(Ctx *c, const SheetJob *job, int kind,
                            const int64_t *values, long steps) {
    SheetPart *parts = NEW_N(c, SheetPart, job->n_parts);
    SheetJob   any   = *job;
    double    *v     = NEW_N(c, double, job->n_parts);
    Rects      r;
    Raster     raster;

    for (int i = 0; i < job->n_parts; i++) {
        parts[i]       = job->parts[i];
        parts[i].count = 1;          // 0 and less would mean none of it
        v[i]           = (double)values[i];
    }
    any.parts = parts;
    r         = rects_of(c, &any);
    if (!raster_init(c, &r, kind, -1, steps, &raster))
        return -1;
    return (int64_t)raster_values(&r, &raster, v);
}
