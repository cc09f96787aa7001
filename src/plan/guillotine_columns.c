/* guillotine_columns -- the bound of the best mixture of all patterns.
 *
 * Columns are made when they are needed (Gilmore and Gomory 1965): a small
 * linear program gives each part its worth, the dearest pattern for these
 * worths comes in, until none would be a gain. A bound holds at every
 * moment, whatever the rounding: no sheet gives more worth for its price
 * than the dearest, so all the worth wanted costs at least their ratio
 * (Farley 1990). The worths are rounded to whole numbers first, so the
 * values of patterns are exact.
 */
#include "plan/guillotine_raster.h"

#include <float.h>
#include <math.h>

#define WORTH 1e9            // what the dearest sheet is worth, rounded
#define TINY  1e-9

typedef struct {
    const Rects *r;
    int          m;
    double      *inverse;    // of the basis, m x m
    double      *amount;     // of each column of the basis
    double      *price;      // of each column of the basis
    double      *worth, *rounded, *column;
    Raster      *rasters;    // of each kind
    int         *pattern;
} Columns;

/* Each part alone, in rows on the cheapest sheet, is where we start. */
static double start_amount(const Rects *r, int part, double *price) {
    const SheetPart *p = &r->parts[part];
    double           best = DBL_MAX, most = 1;

    for (int i = 0; i < 2 * r->n_kinds; i++) {
        const SheetKind *k = &r->kinds[i / 2];
        int64_t          w = i % 2 ? p->h : p->w, h = i % 2 ? p->w : p->h;
        double           n = (double)((k->w / w) * (k->h / h));
        if ((i % 2 && !p->turns) || n < 1
            || (double)k->price / n >= best)
            continue;
        best   = (double)k->price / n;
        most   = n;
        *price = (double)k->price;
    }
    return most;
}

static void start(Ctx *c, const Rects *r, Columns *s) {
    int m = r->n_parts;

    *s = (Columns){ .r = r, .m = m };
    s->inverse = NEW_N(c, double, m * m);
    s->amount  = NEW_N(c, double, m);
    s->price   = NEW_N(c, double, m);
    s->worth   = NEW_N(c, double, m);
    s->rounded = NEW_N(c, double, m);
    s->column  = NEW_N(c, double, m);
    s->pattern = NEW_N(c, int, m);
    s->rasters = NEW_N(c, Raster, r->n_kinds);
    for (int i = 0; i < m; i++) {
        double n = start_amount(r, i, &s->price[i]);
        s->inverse[i * m + i] = 1 / n;
        s->amount[i]          = r->parts[i].count / n;
    }
}

static void find_worths(Columns *s) {
    for (int k = 0; k < s->m; k++) {
        s->worth[k] = 0;
        for (int i = 0; i < s->m; i++)
            s->worth[k] += s->price[i] * s->inverse[i * s->m + k];
    }
}

/* Brings a column in, for the one whose amount reaches nothing first. */
static bool enter(Columns *s, const double *column, double price) {
    int    m = s->m, out = -1;
    double least = DBL_MAX;

    for (int i = 0; i < m; i++) {
        double sum = 0;
        for (int k = 0; k < m; k++)
            sum += s->inverse[i * m + k] * column[k];
        s->column[i] = sum;
        if (sum > TINY && s->amount[i] / sum < least) {
            least = s->amount[i] / sum;
            out   = i;
        }
    }
    if (out < 0)
        return false;
    for (int k = 0; k < m; k++)
        s->inverse[out * m + k] /= s->column[out];
    for (int i = 0; i < m; i++) {
        if (i == out)
            continue;
        s->amount[i] = fmax(0, s->amount[i] - least * s->column[i]);
        for (int k = 0; k < m; k++)
            s->inverse[i * m + k] -= s->column[i]
                                   * s->inverse[out * m + k];
    }
    s->amount[out] = least;
    s->price[out]  = price;
    return true;
}

/* A part of negative worth: more than its count may be cut. */
static bool enter_surplus(Columns *s, double *column) {
    for (int i = 0; i < s->m; i++) {
        if (s->worth[i] > -TINY)
            continue;
        for (int k = 0; k < s->m; k++)
            column[k] = k == i ? -1 : 0;
        return enter(s, column, 0);
    }
    return false;
}

/* The pattern with the greatest gain; returns the bound of these worths. */
static double price_all(Columns *s, double *column, double *price,
                        double *gain, double dearest) {
    const Rects *r = s->r;
    double       ratio = 0, wanted = 0;

    *gain = 0;
    for (int i = 0; i < s->m; i++) {
        s->rounded[i] = floor(fmax(0, s->worth[i]) / dearest * WORTH);
        wanted       += s->rounded[i] * r->parts[i].count;
    }
    for (int kind = 0; kind < r->n_kinds; kind++) {
        double p = (double)r->kinds[kind].price;
        double z = raster_values(r, &s->rasters[kind], s->rounded);
        ratio = fmax(ratio, z / p);
        if (z * dearest / WORTH - p <= *gain)
            continue;
        *gain  = z * dearest / WORTH - p;
        *price = p;
        raster_pattern(r, &s->rasters[kind], s->rounded, s->pattern);
        for (int i = 0; i < s->m; i++)
            column[i] = s->pattern[i];
    }
    return ratio > 0 ? wanted / ratio * (1 - 1e-12) : 0;
}

int64_t bound_columns(Ctx *c, const Rects *r, int64_t enough, long *steps) {
    double *column = NEW_N(c, double, r->n_parts);
    double  bound = 0, price = 0, gain, dearest = 0;
    long    limit = *steps, work = 0;
    Columns s;

    start(c, r, &s);
    *steps = 0;
    for (int i = 0; i < r->n_kinds; i++) {
        if (!raster_init(c, r, i, false, limit / 20, &s.rasters[i]))
            return 0;
        work   += s.rasters[i].work;
        dearest = fmax(dearest, (double)r->kinds[i].price);
    }
    for (; *steps + work < limit && bound < (double)enough - 0.5;
         *steps += work + (long)s.m * s.m) {
        find_worths(&s);
        if (enter_surplus(&s, column))
            continue;
        bound = fmax(bound, price_all(&s, column, &price, &gain, dearest));
        if (gain < TINY * dearest || !enter(&s, column, price))
            break;
    }
    return (int64_t)ceil(bound / (double)r->step - 1e-7) * r->step;
}
