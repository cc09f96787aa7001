/* guillotine -- the cheapest sheets to cut rectangles from, each cut going
 * from edge to edge of what lies on the saw.
 *
 *     SheetJob  job  = { kinds, 1, parts, n, kerf,
 *                       10000000, 0 };
 *     SheetPlan plan = guillotine_plan(c, &job);
 *
 * Knows rectangles only, no wood. Sizes are whole numbers of any unit
 * below 10^12; GUILLOTINE_UNIT is what the rest of plan/ uses.
 */
#ifndef PLAN_GUILLOTINE_H
#define PLAN_GUILLOTINE_H

#include "base/base.h"

#define GUILLOTINE_UNIT 1e-6   // mm

typedef struct {
    int64_t w, h;
    int64_t price;       // > 0
    int     supply;      // < 0: as many as are wanted
} SheetKind;

typedef struct {
    int64_t w, h;
    int     count;
    bool    turns;       // may lie with w along the sheet's h
} SheetPart;

typedef struct {
    const SheetKind *kinds;
    int              n_kinds;
    const SheetPart *parts;
    int              n_parts;
    int64_t          kerf;
    long             steps;      // work allowed to the search
    long             polish;     // and, at that cost, for a large leftover
    int64_t          below;      // > 0: only a cheaper plan is wanted
} SheetJob;

#define NODE_FREE (-1)           // left over
#define NODE_CUT  (-2)           // cut up into its children

/* A rectangle of a sheet. The children of a cut one follow each other to
 * the right (upright cuts), or else upward, with a kerf between them. */
typedef struct {
    int64_t x, y, w, h;          // of the wood, without kerf
    int     what;                // index of a part, NODE_FREE or NODE_CUT
    bool    turned;              // part: its w lies along the sheet's h
    bool    upright;             // NODE_CUT: the cuts run up
    int     first, next;         // -1: none
} CutNode;

typedef struct {
    CutNode *nodes;
    int      n_nodes;
    int     *roots, *kinds;      // of each sheet
    int      n_sheets;
    int      missing;            // parts that no sheet is left for, or that
                                 // do not go on sheets below the price
    int64_t  cost, bound;        // proven: no plan costs less than bound
    long     steps;              // work done
} SheetPlan;

/* Every part must fit some kind of sheet. */
SheetPlan guillotine_plan(Ctx *c, const SheetJob *job);

/* The dearest parts, by values of their own, that one sheet can hold, any
 * number of each (unbounded; Gilmore and Gomory 1966). -1: the sheet is too
 * finely divided for `steps`. */
int64_t guillotine_knapsack(Ctx *c, const SheetJob *job, int kind,
                            const int64_t *values, long steps);

typedef enum { FIT_NO, FIT_YES, FIT_UNKNOWN } SheetFit;

/* Do all parts fit into one sheet? Exact, or unknown if that takes more
 * than job->steps. FIT_YES: `plan` says how. */
SheetFit guillotine_fit(Ctx *c, const SheetJob *job, int kind,
                        SheetPlan *plan);

#endif
