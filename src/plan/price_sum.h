/* price_sum -- what whole boards can cost. */
#ifndef PLAN_PRICE_SUM_H
#define PLAN_PRICE_SUM_H

#include "base/base.h"

typedef struct {
    int64_t price;           // 0: on hand
    int     supply;          // < 0: as many as are wanted
    double  room;            // that one gives, in units of the caller
} PriceKind;

/* The least sum of prices that is `from` or more and buys the room needed;
 * `below`, if there is none under it. `from`, where that takes too long. */
int64_t price_sum(Ctx *c, const PriceKind *kinds, int n_kinds, double need,
                  int64_t from, int64_t below);

#endif
