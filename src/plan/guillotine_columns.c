/* guillotine_columns -- the best mixture of all patterns.
 *
 * Columns are made when they are needed (Gilmore and Gomory 1965): a small
 * linear program gives each part its worth, the dearest pattern for these
 * worths comes in, until none would be a gain. A bound holds at every
 * moment, whatever the rounding: no sheet gives more worth for its price
 * than the dearest, so all the worth wanted costs at least their ratio
 * (Farley 1990). The worths are rounded to whole numbers first, so the
 * values of patterns are exact.
 *
 * All patterns are kept in a pool, which is looked through first. New ones
 * are sought by worths some way back from those of now to those of the best
 * bound, or else they swing (Wentges 1997). A mixture may be `proper`: then
 * more of a part than is wanted counts only as what is wanted. A bound has
 * no use for that, but a plan has.
 */
#include "plan/guillotine_columns.h"

#include <float.h>
#include <limits.h>
#include <math.h>

#define WORTH 1e9            // what the dearest sheet is worth, rounded
#define TINY  1e-9
#define NEVER 1000           // times the price
#define STEADY 0.7           // share of the best worths in those tried
#define CHEAP 32             // steps of a raster, for one of a search
#define LOOKS 4              // for a pattern that suits what is wanted

/* ---- Patterns ---- */

/* How many of a part a pattern gives to what is wanted. */
static int count_of(const Columns *s, const Pattern *p, int part) {
    int want = s->r->parts[part].count;

    return want == 0 || (s->proper && p->count[part] > want)
         ? want : p->count[part];
}

int add_pattern(const Rects *r, Patterns *pool, int kind, const Code *code) {
    Ctx     *c     = pool->c;
    int     *count = NEW_N(c, int, r->n_parts);
    Code     kept  = { 0 };

    for (int i = 0; i < code->n; i++) {
        *PUSH(c, &kept) = code->at[i];
        if (code->at[i] >= 0)
            count[code->at[i] / 2]++;
    }
    *PUSH(c, pool) = (Pattern){ kind, kept.n, kept.at, count };
    return pool->n - 1;
}

/* Rows of one part. */
static Code rows_of(Ctx *c, int64_t across, int64_t up, int what) {
    Code code = { 0 };

    for (int64_t j = 0; j < up; j++) {
        if (j < up - 1)
            *PUSH(c, &code) = CODE_LEVEL;
        for (int64_t i = 0; i < across; i++) {
            if (i < across - 1)
                *PUSH(c, &code) = CODE_UPRIGHT;
            *PUSH(c, &code) = what;
        }
    }
    return code;
}

/* A part in rows on the cheapest sheet, so that it is covered. */
static int single(const Rects *r, Patterns *pool, int part) {
    const SheetPart *p    = &r->parts[part];
    int64_t          want = p->count > 0 ? p->count : 1, across = 0, up = 0;
    double           best = DBL_MAX;
    int              kind = 0, what = 2 * part;
    Code             code;

    for (int i = 0; i < 2 * r->n_kinds; i++) {
        const SheetKind *k = &r->kinds[i / 2];
        int64_t          nx = k->w / (i % 2 ? p->h : p->w);
        int64_t          ny = k->h / (i % 2 ? p->w : p->h);
        double           rate = (double)k->price / (double)(nx * ny);
        if ((i % 2 && !p->turns) || nx * ny < 1 || rate >= best)
            continue;
        best   = rate;
        kind   = i / 2;
        what   = 2 * part + i % 2;
        across = nx < want ? nx : want;
        up     = ny < (want + across - 1) / across
               ? ny : (want + across - 1) / across;
    }
    code = rows_of(pool->c, across, up, what);
    return add_pattern(r, pool, kind, &code);
}

void begin_pool(const Rects *r, Patterns *pool) {
    for (int i = pool->n; i < r->n_parts; i++)
        (void)single(r, pool, i);
}

/* ---- The simplex ---- */

/* Sheets that are not to be had are too dear for any plan. */
static double price_of(const Columns *s, int kind) {
    const SheetKind *k = &s->r->kinds[kind];

    return (double)k->price * (k->supply == 0 ? NEVER : 1);
}

static void start_basis(Columns *s) {
    const Rects *r = s->r;

    for (int i = 0; i < s->m; i++) {
        int n = s->pool->at[i].count[i];
        if (s->proper && n > r->parts[i].count && r->parts[i].count > 0)
            n = r->parts[i].count;
        s->basis[i] = i;
        s->price[i] = price_of(s, s->pool->at[i].kind);
        s->inverse[i * s->m + i] = 1.0 / n;
        s->amount[i] = (double)r->parts[i].count / n;
    }
}

bool columns_start(Ctx *c, const Rects *r, Patterns *pool, bool proper,
                   int points, long most, Columns *s) {
    int m = r->n_parts;

    *s = (Columns){ .r = r, .m = m, .proper = proper, .pool = pool };
    s->inverse = NEW_N(c, double, m * m);
    s->amount  = NEW_N(c, double, m);
    s->price   = NEW_N(c, double, m);
    s->basis   = NEW_N(c, int, m);
    s->worth   = NEW_N(c, double, m);
    s->rounded = NEW_N(c, double, m);
    s->column  = NEW_N(c, double, m);
    s->steady  = NEW_N(c, double, m);
    s->step    = NEW_N(c, double, m);
    s->rasters = NEW_N(c, Raster, r->n_kinds);
    most       = most < LONG_MAX / CHEAP ? most * CHEAP : LONG_MAX;
    for (int i = 0; i < r->n_kinds; i++) {
        if (!raster_init(c, r, i, points, most, &s->rasters[i]))
            return false;
        s->work   += s->rasters[i].work / CHEAP + 1;
        s->dearest = fmax(s->dearest, (double)r->kinds[i].price);
    }
    begin_pool(r, pool);
    start_basis(s);
    return true;
}

static void find_worths(Columns *s) {
    for (int k = 0; k < s->m; k++) {
        s->worth[k] = 0;
        for (int i = 0; i < s->m; i++)
            s->worth[k] += s->price[i] * s->inverse[i * s->m + k];
    }
}

/* Brings s->column in, for what reaches nothing first. */
static bool enter(Columns *s, int pattern, double price) {
    int    m = s->m, out = -1;
    double least = DBL_MAX;

    for (int i = 0; i < m; i++) {
        double sum = 0;
        for (int k = 0; k < m; k++)
            sum += s->inverse[i * m + k] * s->column[k];
        s->step[i] = sum;
        if (sum > TINY && s->amount[i] / sum < least) {
            least = s->amount[i] / sum;
            out   = i;
        }
    }
    if (out < 0)
        return false;
    for (int k = 0; k < m; k++)
        s->inverse[out * m + k] /= s->step[out];
    for (int i = 0; i < m; i++) {
        if (i == out)
            continue;
        s->amount[i] = fmax(0, s->amount[i] - least * s->step[i]);
        for (int k = 0; k < m; k++)
            s->inverse[i * m + k] -= s->step[i] * s->inverse[out * m + k];
    }
    s->amount[out] = least;
    s->price[out]  = price;
    s->basis[out]  = pattern;
    return true;
}

/* ---- What enters ---- */

/* A part of negative worth: more than its count may be cut. */
static bool enter_surplus(Columns *s) {
    for (int i = 0; i < s->m; i++) {
        if (s->worth[i] > -TINY)
            continue;
        for (int k = 0; k < s->m; k++)
            s->column[k] = k == i ? -1 : 0;
        return enter(s, -1, 0);
    }
    return false;
}

static double gain_of(const Columns *s, const Pattern *p) {
    double gain = -price_of(s, p->kind);

    for (int i = 0; i < s->m; i++)
        gain += s->worth[i] * count_of(s, p, i);
    return gain;
}

static bool enter_pattern(Columns *s, int pattern) {
    const Pattern *p = &s->pool->at[pattern];

    for (int i = 0; i < s->m; i++)
        s->column[i] = count_of(s, p, i);
    return enter(s, pattern, price_of(s, p->kind));
}

/* The pattern of the pool that gains most. */
static bool enter_known(Columns *s, long *steps) {
    double most = TINY * s->dearest;
    int    best = -1;

    for (int i = 0; i < s->pool->n; i++) {
        double gain = gain_of(s, &s->pool->at[i]);
        if (gain > most) {
            most = gain;
            best = i;
        }
    }
    *steps += (long)s->pool->n * s->m;
    return best >= 0 && enter_pattern(s, best);
}

/* The pattern that gains most by the rounded worths, at the end of the pool;
 * -1: none gains. `ratio`: the worth of the dearest sheet for its price. */
static int find_new(Columns *s, double *ratio) {
    const Rects *r = s->r;
    double       gain = TINY * s->dearest;
    Code         code = { 0 };
    int          kind = -1;

    *ratio = 0;
    for (int k = 0; k < r->n_kinds; k++) {
        double p = price_of(s, k), z;
        if (r->kinds[k].supply == 0)
            continue;
        z = raster_values(r, &s->rasters[k], s->rounded);
        *ratio = fmax(*ratio, z / p);
        if (z * s->dearest / WORTH - p <= gain)
            continue;
        gain = z * s->dearest / WORTH - p;
        kind = k;
        raster_code(s->pool->c, r, &s->rasters[k], s->rounded, &code);
    }
    return kind < 0 ? -1 : add_pattern(r, s->pool, kind, &code);
}

/* The worths of now, or some way from those of the best bound to them. */
static void round_worths(Columns *s, bool steady) {
    double share = steady && s->bound > 0 ? STEADY : 0;

    for (int i = 0; i < s->m; i++) {
        double worth = (1 - share) * s->worth[i] + share * s->steady[i];
        s->rounded[i] = s->r->parts[i].count == 0 ? 0
            : floor(fmax(0, worth) / s->dearest * WORTH);
    }
}

/* Keeps the bound of the rounded worths if it is the best. */
static void keep_bound(Columns *s, double ratio) {
    double wanted = 0, bound;

    for (int i = 0; i < s->m; i++)
        wanted += s->rounded[i] * s->r->parts[i].count;
    bound = ratio > 0 ? wanted / ratio * (1 - 1e-12) : 0;
    if (bound <= s->bound)
        return;
    s->bound = bound;
    for (int i = 0; i < s->m; i++)
        s->steady[i] = s->rounded[i] / ratio;
}

/* Less worth to parts of which a pattern has more than are wanted. */
static void lower_worths(Columns *s, const Pattern *p) {
    for (int i = 0; i < s->m; i++) {
        int want = s->r->parts[i].count;
        if (p->count[i] > want)
            s->rounded[i] = floor(s->rounded[i] * want / p->count[i]);
    }
}

/* A pattern of all there are that gains, for the steady worths if one does,
 * else for those of now; and the bound of these worths. Where it has more
 * of some parts than are wanted, and what is wanted gains nothing, those
 * parts are worth less in another look. */
static bool enter_new(Columns *s, long *steps) {
    bool   steady = !s->proper && s->bound > 0;
    double ratio;

    round_worths(s, steady);
    for (int look = 0; look < (s->proper ? LOOKS : 1); look++) {
        int pattern = find_new(s, &ratio);
        *steps += s->work;
        if (look == 0)
            keep_bound(s, ratio);
        if (pattern >= 0
            && gain_of(s, &s->pool->at[pattern]) > TINY * s->dearest)
            return enter_pattern(s, pattern);
        if (pattern >= 0) {
            lower_worths(s, &s->pool->at[pattern]);
            s->pool->n--;
        }
        if (steady) {
            steady = false;
            look   = -1;
            round_worths(s, false);
        } else if (pattern < 0) {
            return false;
        }
    }
    return false;
}

bool columns_solve(Columns *s, double enough, long limit, long *steps) {
    while (*steps + s->work < limit && s->bound < enough) {
        find_worths(s);
        *steps += 2 * (long)s->m * s->m;
        if (enter_surplus(s) || enter_known(s, steps))
            continue;
        if (!enter_new(s, steps))
            return true;
    }
    return false;
}

double columns_cost(const Columns *s) {
    double cost = 0;

    for (int i = 0; i < s->m; i++)
        cost += s->price[i] * s->amount[i];
    return cost;
}

int64_t bound_columns(Ctx *c, const Rects *r, int64_t enough,
                      Patterns *pool, long *steps) {
    long    limit = *steps;
    Columns s;

    *steps = 0;
    if (!columns_start(c, r, pool, false, -1, limit / 20, &s))
        return 0;
    (void)columns_solve(&s, (double)enough - 0.5, limit, steps);
    return (int64_t)ceil(s.bound / (double)r->step - 1e-7) * r->step;
}
