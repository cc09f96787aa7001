/* board_cut -- boards and dowels: what stock_cut proves, as a cutting.
 *
 * Where no two pieces go side by side, cutting a board is a matter of
 * length alone, and stock_cut gives the cheapest choice. Where all pieces
 * are of one width, q of them go side by side; then q lanes of a board are
 * filled like bars:
 *
 *     +---------------+-----------+------+
 *     |       A       |     B     |      |   Any plan can be sorted into
 *     +---------+-----+-----+-----+------+   lanes: at no place of the
 *     |    C    |     B     |     B      |   board do more than q pieces
 *     +---------+-----------+------------+   lie beside each other.
 *
 * For mixed widths the search in search.c stays. It, too, gets a bound from
 * here: of the pieces as wide as w or wider at most q go side by side, so
 * that boards cost no less than their bars at 1/q of the price. The largest
 * such bound over all w holds for any way of cutting whatever.
 *
 * Of plans at one price the one with the larger leftover is taken: the
 * leftover is a further piece of the job, as long as the price allows.
 */
#include "plan/plan_internal.h"
#include "plan/stock_cut.h"

#include <math.h>

#define UNITS 1e6            // whole units in a millimeter
#define SLACK_UNITS 32       // as SLACK_MM allows over a whole board
#define SMALLEST_KEPT 50.0   // mm; a shorter leftover is not worth a search
#define BOARD_WORK 60000000LL
#define BOUND_WORK  1000000LL

typedef struct {
    Ctx        *c;
    const Job  *job;
    BarSize    *sizes;
    BarPart    *parts;       // one more than wants: the leftover
    int        *want;        // of each part
    int         n_parts, lanes;
    double      width;       // parts as wide as this or wider
} Lanes;

static int64_t units(double mm) {
    return (int64_t)llround(mm * UNITS);
}

/* ---- Side by side ---- */

/* How many pieces of a width go side by side on the widest board. */
static int abreast(const Job *job, double width) {
    int most = 1;

    for (int i = 0; i < job->offers.n; i++) {
        double wide = job->offers.at[i].width + job->kerf + SLACK_MM;
        int    n    = (int)floor(wide / (width + job->kerf));
        most = n > most ? n : most;
    }
    return most;
}

static void set_sizes(Lanes *l) {
    const Job *job = l->job;

    l->sizes = NEW_N(l->c, BarSize, job->offers.n);
    for (int i = 0; i < job->offers.n; i++) {
        const Offer *o = &job->offers.at[i];
        l->sizes[i] = (BarSize){
            .length = units(o->length - job->start) + SLACK_UNITS,
            .price  = (int64_t)llround(o->cost * job->coin),
            .supply = o->supply < 0 ? -1 : o->supply * l->lanes };
    }
}

static Lanes lanes_new(Ctx *c, const Job *job, double width) {
    Lanes l = { .c = c, .job = job, .width = width };

    l.lanes = abreast(job, width);
    l.parts = NEW_N(c, BarPart, job->wants.n + 1);
    l.want  = NEW_N(c, int, job->wants.n + 1);
    set_sizes(&l);
    for (int i = 0; i < job->wants.n; i++) {
        const Want *w = &job->wants.at[i];
        if (w->width < width - SLACK_MM)
            continue;
        l.want[l.n_parts]    = i;
        l.parts[l.n_parts++] = (BarPart){ units(w->length), w->count };
    }
    return l;
}

static BarPlan cut_lanes(const Lanes *l, bool with_leftover, int64_t work,
                         int64_t goal) {
    BarJob bars = { l->sizes, l->job->offers.n, l->parts,
                    l->n_parts + with_leftover, units(l->job->kerf), work,
                    goal };

    return bars_cut(l->c, &bars);
}

/* ---- The bound ---- */

/* All prices are multiples of it. */
static int64_t price_step(const Lanes *l) {
    int64_t step = 0;

    for (int i = 0; i < l->job->offers.n; i++) {
        int64_t a = l->sizes[i].price, b = step;
        while (a) {
            int64_t t = b % a;
            b = a;
            a = t;
        }
        step = b;
    }
    return step ? step : 1;
}

/* A whole number of price steps that is at least bound / lanes. */
static int64_t per_board(const Lanes *l, int64_t bound) {
    int64_t step = price_step(l), n = l->lanes;

    return (bound + n * step - 1) / (n * step) * step;
}

/* What lanes must cost at least, for boards to cost the goal. */
static int64_t of_lanes(const Lanes *l, int64_t goal) {
    int64_t step = price_step(l);

    return l->lanes * (goal - step) + step;
}

/* Shares of a board's width. Whatever pieces lie side by side, the shares
 * of their widths (kerf added) sum to 1 at most; these functions keep that
 * true while most of them grow ("dual feasible", Lueker 1983; Fekete and
 * Schepers 2001). */
typedef struct {
    enum { SHARE_PLAIN, SHARE_SMALL, SHARE_STEPS } kind;
    double small;
    int    steps;
} Share;

static double share_of(double x, const Share *s) {
    double whole = x * (s->steps + 1);

    if (s->kind == SHARE_PLAIN)
        return x;
    if (s->kind == SHARE_SMALL)   // the small count nothing, the large all
        return x > 1 - s->small + 1e-9 ? 1 : x < s->small - 1e-9 ? 0 : x;
    if (fabs(whole - nearbyint(whole)) < 1e-9)
        return x;
    return floor(whole) / s->steps;
}

/* ---- Boards that are long enough in all ---- */

#define MOST_COVERS 20000

typedef struct {
    const BarSize *sizes;
    int            n, tries;
    int64_t        best;     // cost of the cheapest that covers
} Covering;

/* Boards of the sizes from the j-th on, for a length that is left. */
static void cover(Covering *k, int j, int64_t left, int64_t cost) {
    double  rate = 1e300;
    int64_t most;

    if (cost >= k->best || k->tries++ > MOST_COVERS)
        return;
    if (left <= 0) {
        k->best = cost;
        return;
    }
    for (int i = j; i < k->n; i++)
        rate = fmin(rate, (double)k->sizes[i].price
                          / (double)k->sizes[i].length);
    if (j == k->n || (double)cost + rate * (double)left
                     > (double)k->best - 0.5)
        return;
    most = (left + k->sizes[j].length - 1) / k->sizes[j].length;
    if (k->sizes[j].supply >= 0 && most > k->sizes[j].supply)
        most = k->sizes[j].supply;
    for (int64_t x = most; x >= 0; x--)
        cover(k, j + 1, left - x * k->sizes[j].length,
              cost + x * k->sizes[j].price);
}

/* The cheapest boards whose lengths add up to the total, or the goal if
 * that is less; 0: too many ways. */
static int64_t covering_bound(const Lanes *l, int64_t total, int64_t goal) {
    Covering k = { l->sizes, l->job->offers.n, 0, goal };

    cover(&k, 0, total, 0);
    return k.tries > MOST_COVERS ? 0 : k.best;
}

#define SHARE_UNITS 1e4      // whole units in a millimeter
#define MOST_SHARES 4        // a width counts in halves, thirds, ... fifths

static double widest(const Job *job) {
    double wide = 0;

    for (int i = 0; i < job->offers.n; i++)
        wide = fmax(wide, job->offers.at[i].width + job->kerf);
    return wide;
}

/* Each board gives its length times the share that its width is. */
static void set_shares(Lanes *l, const Share *share, double wide) {
    const Job *job = l->job;

    set_sizes(l);
    for (int i = 0; i < job->offers.n; i++) {
        const Offer *o = &job->offers.at[i];
        double length  = o->length - job->start + job->kerf;
        double part    = share->kind == SHARE_PLAIN
                       ? (o->width + job->kerf) / wide : 1;
        l->sizes[i].length = (int64_t)ceil(length * part * SHARE_UNITS) + 10;
    }
}

static int64_t share_length(const Job *job, const Want *w,
                            const Share *share, double wide) {
    double x = share_of((w->width + job->kerf) / wide, share);

    return (int64_t)floor((w->length + job->kerf) * x * SHARE_UNITS);
}

/* Bars as long as these shares are a job which asks for less than the real
 * one. */
static int64_t bound_by_share(Ctx *c, const Job *job, int64_t goal,
                              Share share) {
    Lanes   l     = { .c = c, .job = job, .lanes = 1 };
    double  wide  = widest(job);
    int64_t total = 0;
    BarPlan plan;

    set_shares(&l, &share, wide);
    l.parts = NEW_N(c, BarPart, job->wants.n);
    for (int i = 0; i < job->wants.n; i++) {
        const Want *w      = &job->wants.at[i];
        int64_t     length = share_length(job, w, &share, wide);
        total += length * w->count;
        if (length > 0)
            l.parts[l.n_parts++] = (BarPart){ length, w->count };
    }
    if (covering_bound(&l, total, goal) >= goal)
        return goal;
    plan = bars_cut(c, &(BarJob){ l.sizes, job->offers.n, l.parts,
                                  l.n_parts, 0, BOUND_WORK, goal });
    return plan.bound;
}

static int64_t more(int64_t a, int64_t b) {
    return a > b ? a : b;
}

/* By the pieces as wide as the i-th want or wider. */
static int64_t bound_by_width(Ctx *c, const Job *job, int64_t goal, int i,
                              double wide) {
    double  width = job->wants.at[i].width;
    Lanes   l     = lanes_new(c, job, width);
    BarPlan plan  = cut_lanes(&l, false, BOUND_WORK, of_lanes(&l, goal));
    double  small = (width + job->kerf) / wide;
    int64_t bound = per_board(&l, plan.bound);

    if (small > 0.5 || bound >= goal)
        return bound;
    return more(bound, bound_by_share(c, job, goal,
                                      (Share){ SHARE_SMALL, small, 0 }));
}

int64_t board_bound(Ctx *c, const Job *job, int64_t goal) {
    int64_t best = bound_by_share(c, job, goal, (Share){ SHARE_PLAIN });
    double  wide = widest(job);

    for (int steps = 1; steps <= MOST_SHARES && best < goal; steps++)
        best = more(best, bound_by_share(c, job, goal,
                                         (Share){ SHARE_STEPS, 0, steps }));
    for (int i = 0; i < job->wants.n && best < goal; i++) {
        bool again = false;
        for (int k = 0; k < i; k++)
            again |= fabs(job->wants.at[i].width - job->wants.at[k].width)
                   < SLACK_MM;
        if (!again)
            best = more(best, bound_by_width(c, job, goal, i, wide));
    }
    return best;
}

/* ---- Whatever way parts are made ---- */

/* The boards that are long enough in all, if each part took no more than in
 * the way that takes least of this share. */
static int64_t any_by_share(Ctx *c, const Job *job, const Makings *parts,
                            int64_t goal, Share share) {
    Lanes   l     = { .c = c, .job = job, .lanes = 1 };
    double  wide  = widest(job);
    int64_t total = 0;

    set_shares(&l, &share, wide);
    for (int i = 0; i < parts->n; i++) {
        int64_t least = INT64_MAX;
        for (int k = 0; k < parts->at[i].n; k++) {
            const Job *way = parts->at[i].at[k];
            int64_t    sum = 0;
            for (int w = 0; w < way->wants.n; w++)
                sum += way->wants.at[w].count
                     * share_length(job, &way->wants.at[w], &share, wide);
            least = sum < least ? sum : least;
        }
        total += least;
    }
    return covering_bound(&l, total, goal);
}

int64_t board_bound_any(Ctx *c, const Job *job, const Makings *parts,
                        int64_t goal) {
    int64_t best = any_by_share(c, job, parts, goal, (Share){ SHARE_PLAIN });
    double  wide = widest(job);

    for (int steps = 1; steps <= MOST_SHARES && best < goal; steps++)
        best = more(best, any_by_share(c, job, parts, goal,
                                       (Share){ SHARE_STEPS, 0, steps }));
    for (int i = 0; i < job->wants.n && best < goal; i++) {
        double small = (job->wants.at[i].width + job->kerf) / wide;
        if (small <= 0.5)
            best = more(best, any_by_share(c, job, parts, goal,
                                           (Share){ SHARE_SMALL, small }));
    }
    return best;
}

/* ---- The plan ---- */

static bool all_fit(const Job *job) {
    for (int i = 0; i < job->wants.n; i++) {
        for (int j = 0; j < job->offers.n; j++) {
            if (job->wants.at[i].width > job->offers.at[j].width + SLACK_MM)
                return false;
        }
    }
    return true;
}

/* Is length all that matters? One piece abreast, or all of one width and
 * as many abreast on every board. */
static bool is_linear(const Job *job, double *width) {
    double least = job->wants.at[0].width, most = least;

    for (int i = 0; i < job->wants.n; i++) {
        least = fmin(least, job->wants.at[i].width);
        most  = fmax(most, job->wants.at[i].width);
    }
    for (int i = 1; i < job->offers.n; i++) {
        if (fabs(job->offers.at[i].width - job->offers.at[0].width)
            > SLACK_MM)
            return false;
    }
    *width = least;
    return all_fit(job)
        && (abreast(job, least) == 1 || most - least < SLACK_MM);
}

/* Puts the pieces of a pattern on a lane: the last child of a ripped board,
 * or the board itself. */
static void put_pattern(const Lanes *l, Cutting *cut, int root,
                        const BarPattern *p) {
    int lane = root;

    for (int i = 0; i < l->n_parts; i++) {
        for (int n = p->counts[i]; n > 0; n--) {
            cutting_put(l->job, cut, lane, l->want[i]);
            if (lane == root && l->lanes > 1)
                lane = cut->blocks[root].last;
        }
    }
}

/* The lanes of one size, board by board. Where fewer lanes are left than a
 * board has, the board is not ripped further than they need. */
static void put_boards(const Lanes *l, const BarPlan *plan, Cutting *cut) {
    for (int size = 0; size < l->job->offers.n; size++) {
        int free = 0, root = -1;
        for (int i = 0; i < plan->patterns.n; i++) {
            const BarPattern *p = &plan->patterns.at[i];
            for (int n = p->size == size ? p->copies : 0; n > 0; n--) {
                if (free == 0) {
                    root = cutting_board(l->job, cut, size, l->lanes > 1);
                    free = l->lanes;
                }
                put_pattern(l, cut, root, p);
                free--;
            }
        }
    }
}

/* The longest leftover that a plan of this price can have, to a quarter of an
 * inch. */
static BarPlan keep_longest(Lanes *l, BarPlan plan) {
    int64_t low = units(SMALLEST_KEPT), high = 0, work = BOARD_WORK / 24;

    for (int i = 0; i < l->job->offers.n; i++)
        high = l->sizes[i].length > high ? l->sizes[i].length : high;
    for (int tries = 0; high - low > units(6.35); tries++) {
        int64_t length = tries == 0 ? low : low + (high - low + 1) / 2;
        BarPlan more;
        l->parts[l->n_parts] = (BarPart){ length, 1 };
        more = cut_lanes(l, true, work, 0);
        if (more.found && more.cost <= plan.cost) {
            more.bound  = plan.bound;
            more.proven = plan.proven;
            plan        = more;
            low         = length;
        } else if (tries == 0) {
            break;
        } else {
            high = length - 1;
        }
    }
    return plan;
}

bool board_cutting(Ctx *c, const Job *job, Cutting *cut, int64_t *bound,
                   bool quick) {
    double  width;
    Lanes   l;
    BarPlan plan;

    if (!is_linear(job, &width))
        return false;
    l    = lanes_new(c, job, width);
    plan = cut_lanes(&l, false, quick ? BOARD_WORK / 20 : BOARD_WORK, 0);
    if (!plan.found)
        return false;
    *bound = per_board(&l, plan.bound);
    if (l.lanes == 1 && !quick)
        plan = keep_longest(&l, plan);
    *cut = cutting_new(c, job);
    put_boards(&l, &plan, cut);
    cutting_sort(cut);
    return true;
}
