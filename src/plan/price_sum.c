/* price_sum -- what whole boards can cost.
 *
 * A plan costs a sum of prices, and there are gaps between the sums. So a
 * bound rises to the next sum, and to one whose boards have room enough:
 *
 *     roomiest(v) = max over kinds  roomiest(v - price) + room
 *
 * in steps of the prices' common divisor (a knapsack; Bellman 1957). Where
 * no sum lies between a bound and a plan, the plan is proven.
 */
#include "plan/price_sum.h"

#include <float.h>

#define MOST_SUMS 1000000

static int64_t divisor(int64_t a, int64_t b) {
    return b ? divisor(b, a % b) : a;
}

/* One kind more: as many of it as there are. */
static void add_kind(double *roomiest, int64_t n, int64_t price, double room,
                     int supply) {
    int64_t most = supply < 0 || supply > n / price ? n / price : supply;

    if (supply < 0 || most == n / price) {
        for (int64_t v = price; v < n; v++) {
            double with = roomiest[v - price] + room;
            roomiest[v] = with > roomiest[v] ? with : roomiest[v];
        }
        return;
    }
    for (int64_t i = 0; i < most; i++) {
        for (int64_t v = n - 1; v >= price; v--) {
            double with = roomiest[v - price] + room;
            roomiest[v] = with > roomiest[v] ? with : roomiest[v];
        }
    }
}

/* The room of the best sums under `n` steps. */
static double *sums(Ctx *c, const PriceKind *kinds, int n_kinds, int64_t n,
                    int64_t step) {
    double *roomiest = NEW_N(c, double, n);

    for (int64_t v = 1; v < n; v++)
        roomiest[v] = -DBL_MAX;
    for (int i = 0; i < n_kinds; i++) {
        if (kinds[i].price > 0)
            add_kind(roomiest, n, kinds[i].price / step, kinds[i].room,
                     kinds[i].supply);
    }
    return roomiest;
}

int64_t price_sum(Ctx *c, const PriceKind *kinds, int n_kinds, double need,
                  int64_t from, int64_t below) {
    int64_t step = 0, n, sum;
    double *roomiest;
    Ctx     s;

    for (int i = 0; i < n_kinds; i++) {
        step = divisor(kinds[i].price, step);
        if (kinds[i].price == 0)
            need = kinds[i].supply < 0 ? 0
                 : need - kinds[i].supply * kinds[i].room;
    }
    if (step <= 0 || from >= below || (below - 1) / step >= MOST_SUMS)
        return from;
    s        = ctx_scratch(c);
    n        = (below - 1) / step + 1;       // sums 0 to n - 1 are below
    roomiest = sums(&s, kinds, n_kinds, n, step);
    sum      = from <= 0 ? 0 : (from - 1) / step + 1;
    while (sum < n && (roomiest[sum] < 0 || roomiest[sum] < need))
        sum++;
    ctx_free(&s);
    return sum < n ? sum * step : below;
}
