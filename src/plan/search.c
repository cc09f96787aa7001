/* search -- looks for a cheap cutting: greedy fillings in many orders.
 *
 * First every fixed way is tried: the wants by length, width and area, each
 * with every rule for choosing a place, each buying the best board for its
 * price or always the same one. Then the best order found is changed a
 * little, again and again, and mostly two or three boards are cut anew while
 * the others stay ("ruin and recreate", Schrimpf and others 2000); what got
 * no worse is kept. Chance numbers are always the same, and work is counted
 * in steps, never in seconds, so that every machine finds the same boards.
 *
 * The result is good, not proven best; it stops early where it meets the
 * bound that area and price set.
 */
#include "plan/plan_internal.h"

#include <float.h>
#include <math.h>

#define MOST_TRIES 1500
#define MOST_STEPS 500000L

typedef enum { BY_LENGTH, BY_WIDTH, BY_AREA, BY_KINDS } By;

typedef struct {
    Ctx       *c;
    const Job *job;
    Cutting    now, best;
    int       *best_order;
    double     cost, leftover, bound;
    long       steps;
    uint32_t   chance;
} Search;

/* ---- Orders ---- */

typedef struct { const Job *job; By by; } Order;

static double key_of(const Want *w, By by) {
    return by == BY_LENGTH ? w->length
         : by == BY_WIDTH  ? w->width : w->length * w->width;
}

static int larger_first(const void *pa, const void *pb, const void *with) {
    const Order *order = with;
    const Want  *a = &order->job->wants.at[*(const int *)pa];
    const Want  *b = &order->job->wants.at[*(const int *)pb];
    double       d = key_of(b, order->by) - key_of(a, order->by);

    if (fabs(d) <= SLACK_MM)   // then the other way to be large
        d = b->length * b->width - a->length * a->width;
    return d > 0 ? 1 : d < 0 ? -1 : 0;
}

static void order_by(Search *s, By by, int *order) {
    Order how = { s->job, by };

    for (int i = 0; i < s->job->wants.n; i++)
        order[i] = i;
    list_sort(s->c, order, s->job->wants.n, sizeof *order, larger_first,
              &how);
}

/* ---- Tries ---- */

/* No cutting can cost less: the pieces' area at the best price there is,
 * and as many of the cheapest boards as that area needs of the largest. */
static double lower_bound(const Job *job) {
    double pieces = 0, rate = DBL_MAX, cheapest = DBL_MAX, largest = 0;
    double boards;

    for (int i = 0; i < job->wants.n; i++) {
        const Want *w = &job->wants.at[i];
        pieces += w->count * w->length * w->width;
    }
    for (int i = 0; i < job->offers.n; i++) {
        const Offer *o = &job->offers.at[i];
        double    area = o->length * o->width;
        rate     = fmin(rate, o->cost / area);
        cheapest = fmin(cheapest, o->cost);
        largest  = fmax(largest, area);
    }
    boards = ceil(pieces / largest - 1e-9);
    return fmax(pieces * rate, boards * cheapest);
}

/* Cuts everything the given way; keeps it if it is no worse. */
static void try_way(Search *s, const Way *way) {
    double  cost, leftover;
    Cutting spare;

    cutting_fill(s->job, way, &s->now, &s->steps);
    cost     = cutting_cost(s->job, &s->now);
    leftover = cutting_leftover(&s->now);
    if (cost > s->cost + SLACK_MM)
        return;
    if (cost > s->cost - SLACK_MM) {
        if (s->now.n_boards > s->best.n_boards)
            return;
        if (s->now.n_boards == s->best.n_boards
            && (leftover < s->leftover - SLACK_MM
                || (leftover < s->leftover + SLACK_MM
                    && cutting_settings(&s->now)
                       > cutting_settings(&s->best))))
            return;
    }
    s->cost     = cost;
    s->leftover = leftover;
    spare       = s->best;
    s->best     = s->now;
    s->now      = spare;
    memcpy(s->best_order, way->order,
           sizeof *way->order * (size_t)s->job->wants.n);
}

static bool is_tired(const Search *s) {
    return s->best.n_boards > 0 && s->steps > MOST_STEPS;
}

static void try_fixed_ways(Search *s, int *order) {
    for (int by = 0; by < BY_KINDS; by++) {
        order_by(s, (By)by, order);
        for (int fit = 0; fit < FIT_KINDS; fit++) {
            for (int offer = -1; offer < s->job->offers.n; offer++) {
                Way way = { .order = order, .fit = (Fit)fit,
                            .offer = offer };
                if (is_tired(s))
                    return;
                try_way(s, &way);
            }
        }
    }
}

static void try_chance_ways(Search *s, int *order) {
    int n = s->job->wants.n;

    for (int i = 0; i < MOST_TRIES && !is_tired(s); i++) {
        Way way = { .order = order };
        if (s->cost <= s->bound + SLACK_MM)
            return;
        memcpy(order, s->best_order, sizeof *order * (size_t)n);
        for (int k = chance_next(&s->chance, 4); k > 0; k--) {
            int a = chance_next(&s->chance, n);
            int b = chance_next(&s->chance, n);
            int t = order[a];
            order[a] = order[b];
            order[b] = t;
        }
        way.fit    = (Fit)chance_next(&s->chance, FIT_KINDS);
        way.offer  = chance_next(&s->chance, s->job->offers.n + 1) - 1;
        way.mixed  = chance_next(&s->chance, 2);
        way.chance = s->chance;
        if (s->best.n_boards > 2 && chance_next(&s->chance, 4) > 0)
            way.redo = 2 + chance_next(&s->chance, 2);
        way.from = &s->best;
        try_way(s, &way);
    }
}

const Cutting *search_cutting(Ctx *c, const Job *job, bool quick) {
    Search *s     = NEW(c, Search);
    int    *order = NEW_N(c, int, job->wants.n);

    s->c          = c;
    s->job        = job;
    s->now        = cutting_new(c, job);
    s->best       = cutting_new(c, job);
    s->best_order = NEW_N(c, int, job->wants.n);
    s->cost       = DBL_MAX;
    s->bound      = lower_bound(job);
    s->chance     = 1;
    try_fixed_ways(s, order);
    if (!quick)
        try_chance_ways(s, order);
    cutting_sort(&s->best);
    return &s->best;
}
