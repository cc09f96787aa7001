/* stock_cut -- the cheapest way to cut pieces out of long stock, with a
 * lower bound that holds in whole numbers.
 *
 *     BarPlan plan = bars_cut(c, &(BarJob){ sizes, 2, parts, 5, kerf, 0 });
 *
 * Lengths are whole numbers of any unit, prices of any money; the kerf goes
 * between two pieces, and the last cut of a bar is free where nothing is
 * left beyond it: pieces fit if sum(length + kerf) <= bar + kerf.
 */
#ifndef PLAN_STOCK_CUT_H
#define PLAN_STOCK_CUT_H

#include "base/base.h"

typedef struct {
    int64_t length, price;
    int     supply;         // how many there are; -1: as many as wanted
} BarSize;

typedef struct { int64_t length; int demand; } BarPart;

typedef struct {
    const BarSize *sizes;
    int            n_sizes;
    const BarPart *parts;
    int            n_parts;
    int64_t        kerf;
    int64_t        work;    // most steps of search; 0: BARS_WORK
    int64_t        goal;    // > 0: only whether a plan is cheaper than this
} BarJob;

#define BARS_WORK 500000000LL

typedef struct {
    int  size, copies;
    int *counts;            // of each part, on one bar
} BarPattern;

typedef struct {
    bool    found;          // false: the supply does not give all pieces
    bool    proven;         // no cheaper plan exists
    int64_t cost, bound;    // no plan costs less than the bound
    int64_t work;           // steps done
    LIST(BarPattern) patterns;
} BarPlan;

BarPlan bars_cut(Ctx *c, const BarJob *job);

#endif
