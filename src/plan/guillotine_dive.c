/* guillotine_dive -- plans out of the best mixture of patterns.
 *
 * Where many copies of few parts go on many sheets, the linear program
 * knows the patterns of a good plan, and nearly how often each is cut. It
 * is rounded down: a pattern is cut as often as the program says, less the
 * fraction; then the program is asked again for what is left, with patterns
 * that suit it. The last sheets, whose parts are few, are left to ruin and
 * recreate. Another try leaves more of them to it, or rounds otherwise.
 */
#include "plan/guillotine_columns.h"

#include <float.h>
#include <limits.h>
#include <math.h>

#define TINY        1e-6
#define POINTS      300      // of a raster on each side, to begin with
#define MOST_POINTS 1000
#define FAILS       10       // of one dive to the bottom
#define FEW_FAILS   3        // of one that ends in a search
#define MANY        6        // sheets that are worth a search
#define SHARES      16       // of the work: one goes to the last sheets

typedef struct { int pattern, copies; } Use;
typedef LIST(Use) Uses;

typedef struct {
    Ctx         *c;              // scratch
    const Rects *r;
    Patterns    *pool;
    int64_t      goal;           // a plan may cost so much
    uint64_t     chance;
    double       dearest;        // price of a sheet
    double       least;          // cost of the best mixture, or 0
    int          fails;          // so many more
    int          points;         // of the rasters
    int          last;           // so many sheets are left to the search
    int         *left;           // of each part
    int64_t      cost;
    Uses         uses;
    long         limit, *steps;
} Dive;

static uint32_t chance(Dive *d, uint32_t below) {
    d->chance ^= d->chance << 13;
    d->chance ^= d->chance >> 7;
    d->chance ^= d->chance << 17;
    return (uint32_t)((d->chance >> 32) % below);
}

/* Sheets of a kind that are not yet used; < 0: as many as are wanted. */
static int supply(const Dive *d, int kind) {
    int n = d->r->kinds[kind].supply;

    for (int i = 0; i < d->uses.n && n > 0; i++) {
        if (d->pool->at[d->uses.at[i].pattern].kind == kind)
            n -= d->uses.at[i].copies;
    }
    return n;
}

/* What is still wanted and to be had, as a problem of its own. */
static Rects rest_of(const Dive *d) {
    const Rects *r = d->r;
    SheetPart   *parts = NEW_N(d->c, SheetPart, r->n_parts);
    SheetKind   *kinds = NEW_N(d->c, SheetKind, r->n_kinds);
    Rects        rest  = *r;

    rest.parts  = parts;
    rest.kinds  = kinds;
    rest.pieces = 0;
    for (int i = 0; i < r->n_parts; i++) {
        parts[i]       = r->parts[i];
        parts[i].count = d->left[i];
        rest.pieces   += d->left[i];
    }
    for (int i = 0; i < r->n_kinds; i++) {
        kinds[i]        = r->kinds[i];
        kinds[i].supply = supply(d, i);
    }
    rest.most_nodes = 12 * rest.pieces + 64;
    return rest;
}

/* Takes a pattern, as much of it as is wanted. */
static void use(Dive *d, int pattern, int copies) {
    const Pattern *p = &d->pool->at[pattern];

    *PUSH(d->c, &d->uses) = (Use){ pattern, copies };
    d->cost += copies * d->r->kinds[p->kind].price;
    for (int i = 0; i < d->r->n_parts; i++) {
        int n = copies * p->count[i];
        d->left[i] -= n < d->left[i] ? n : d->left[i];
    }
}

/* ---- A whole plan ---- */

static void put_code(const Dive *d, Tree *t, int kind, const Code *code) {
    Code kept = { 0 };
    int *left = NEW_N(d->c, int, d->r->n_parts);

    memcpy(left, t->left, sizeof *left * (size_t)d->r->n_parts);
    code_keep(d->c, code->at, left, &kept);
    tree_put(d->r, t, kind, &kept);
}

static void write_tree(const Dive *d, const Tree *last, Tree *best) {
    tree_clear(d->r, best);
    for (int i = 0; i < d->uses.n; i++) {
        const Pattern *p = &d->pool->at[d->uses.at[i].pattern];
        Code           code = { p->code, p->n, p->n };
        for (int k = 0; k < d->uses.at[i].copies; k++)
            put_code(d, best, p->kind, &code);
    }
    for (int i = 0; i < last->n_sheets; i++) {
        Code code = { 0 };
        tree_code(d->c, last, last->roots[i], &code);
        put_code(d, best, last->kinds[i], &code);
    }
}

/* Their patterns serve in other mixtures. */
static void learn(const Dive *d, const Tree *t) {
    for (int i = 0; i < t->n_sheets; i++) {
        Code code = { 0 };
        tree_code(d->c, t, t->roots[i], &code);
        (void)add_pattern(d->r, d->pool, t->kinds[i], &code);
    }
}

/* What is left goes to ruin and recreate. True: a cheaper plan. */
static bool finish(Dive *d, const Rects *rest, Tree *best) {
    long steps = *d->steps + (d->limit - *d->steps) / SHARES;
    Tree last;

    tree_init(d->c, rest, &last);
    if (rest->pieces > 0)
        search_sheets(d->c, rest, d->goal - d->cost, steps, &last, d->steps);
    if (last.missing > 0.5)
        return false;
    learn(d, &last);
    if (d->cost + last.cost >= best->cost)
        return false;
    write_tree(d, &last, best);
    return true;
}

/* ---- Down ---- */

typedef struct { int pattern; double amount; } Mixed;
typedef LIST(Mixed) Mixture;

static int most_first(const void *a, const void *b, const void *with) {
    double p = ((const Mixed *)a)->amount, q = ((const Mixed *)b)->amount;

    (void)with;
    return p > q ? -1 : p < q;
}

/* The best mixture for what is left; its cost, or DBL_MAX where the work
 * ends. */
static double mix(Dive *d, const Rects *rest, Mixture *mixture) {
    Ctx     c = ctx_scratch(d->c);
    Columns s;
    double  cost = DBL_MAX;

    if (columns_start(&c, rest, d->pool, true, d->points, LONG_MAX, &s)
        && columns_solve(&s, DBL_MAX, d->limit, d->steps))
        cost = columns_cost(&s);
    for (int i = 0; i < s.m && cost < DBL_MAX; i++) {
        if (s.basis[i] >= 0 && s.amount[i] > TINY)
            *PUSH(d->c, mixture) = (Mixed){ s.basis[i], s.amount[i] };
    }
    ctx_free(&c);
    return cost;
}

/* Rounds down: as many sheets as leave some for later. */
static bool round_down(Dive *d, const Mixture *mixture, double most) {
    int before = d->uses.n;

    for (int i = 0; i < mixture->n; i++) {
        const Mixed *m = &mixture->at[i];
        const SheetKind *k = &d->r->kinds[d->pool->at[m->pattern].kind];
        double copies  = fmin(floor(m->amount + TINY),
                              floor(most / (double)k->price + TINY));
        if (k->supply >= 0)
            copies = fmin(copies, supply(d, d->pool->at[m->pattern].kind));
        if (copies < 1)
            continue;
        use(d, m->pattern, (int)copies);
        most -= copies * (double)k->price;
    }
    return d->uses.n > before;
}

static bool descend(Dive *d, Tree *best);

/* Cuts one sheet more, or all that rounding down gives, and goes on; if
 * that leads nowhere, they are taken back. */
static bool try_sheets(Dive *d, const Mixture *mixture, double most,
                       const Mixed *one, Tree *best) {
    int64_t cost = d->cost;
    int     n    = d->uses.n, *left = NEW_N(d->c, int, d->r->n_parts);
    bool    any  = one == NULL;

    memcpy(left, d->left, sizeof *left * (size_t)d->r->n_parts);
    if (any)
        any = round_down(d, mixture, most);
    else if (supply(d, d->pool->at[one->pattern].kind) != 0) {
        use(d, one->pattern, 1);
        any = true;
    }
    if (any && descend(d, best))
        return true;
    memcpy(d->left, left, sizeof *left * (size_t)d->r->n_parts);
    d->cost   = cost;
    d->uses.n = n;
    return false;
}

/* True: a cheaper plan. What is nearly a sheet may count as one. */
static bool descend(Dive *d, Tree *best) {
    Rects   rest    = rest_of(d);
    Mixture mixture = { 0 };
    double  cost    = mix(d, &rest, &mixture);
    double  most    = cost - d->last * d->dearest;

    if (d->uses.n == 0)
        d->least = cost;
    if ((double)d->cost + cost > (double)d->goal + TINY) {
        d->fails--;
        return false;
    }
    if (most < d->dearest) {
        d->fails--;
        return finish(d, &rest, best);
    }
    for (int i = 0; i < mixture.n; i++)
        mixture.at[i].amount += chance(d, 256) / 1024.0;
    list_sort(d->c, mixture.at, mixture.n, sizeof *mixture.at, most_first,
              NULL);
    if (try_sheets(d, &mixture, most, NULL, best))
        return true;
    for (int i = 0; i < mixture.n && i < 3 && d->fails > 0; i++) {
        if (try_sheets(d, &mixture, most, &mixture.at[i], best))
            return true;
    }
    return false;
}

static bool dive(Dive *d, Tree *best) {
    d->cost   = 0;
    d->uses.n = 0;
    d->fails  = d->last < MANY ? FAILS : FEW_FAILS;
    for (int i = 0; i < d->r->n_parts; i++)
        d->left[i] = d->r->parts[i].count;
    return descend(d, best);
}

/* The patterns of the best mixture, without regard to how many are wanted;
 * on coarse rasters first, whose patterns serve on finer ones. */
static void fill_pool(const Dive *d, long limit) {
    static const int points[] = { 60, 120, 240, 480 };

    for (int i = 0; i < COUNT(points); i++) {
        Columns s;
        if (columns_start(d->c, d->r, d->pool, false, points[i], LONG_MAX,
                          &s))
            (void)columns_solve(&s, DBL_MAX, limit, d->steps);
    }
}

static void prepare(Ctx *c, Dive *d, const Tree *best) {
    Ctx s = ctx_scratch(c);

    d->c = &s;
    for (int i = 0; i < d->r->n_kinds; i++)
        d->dearest = fmax(d->dearest, (double)d->r->kinds[i].price);
    begin_pool(d->r, d->pool);
    learn(d, best);
    fill_pool(d, *d->steps + (d->limit - *d->steps) / 2);
    ctx_free(&s);
}

/* So much cheaper than the best plan: less after each dive in vain. */
static int64_t goal_of(const Dive *d, const Tree *best, int vain) {
    int64_t steps = (int64_t)(((double)best->cost - d->least)
                              / (double)d->r->step / (vain + 2));

    return best->cost - (d->least > 0 && steps > 1 ? steps : 1) * d->r->step;
}

void search_columns(Ctx *c, const Rects *r, int64_t bound, Patterns *pool,
                    long limit, Tree *best, long *steps) {
    static const uint8_t lasts[] = { 6, 10, 2, 8, 1, 14, 4 };
    Dive d    = { .r = r, .pool = pool, .limit = limit, .steps = steps,
                  .points = POINTS, .chance = 88172645463325252u };
    int  vain = 0;

    prepare(c, &d, best);
    for (int i = 0; *steps < limit && best->cost > bound; i++) {
        Ctx s = ctx_scratch(c);
        d.c    = &s;
        d.uses = (Uses){ 0 };
        d.left = NEW_N(&s, int, r->n_parts);
        d.goal = goal_of(&d, best, vain);
        d.last = lasts[i % COUNT(lasts)];
        vain   = dive(&d, best) ? 0 : vain + 1;
        ctx_free(&s);
        if (d.least <= (double)(best->cost - r->step) + TINY)
            continue;
        if (d.points > MOST_POINTS)
            return;
        d.points *= 2;             // the mixture itself is too dear
    }
}
