/* cut_order -- in which order a board is cut up, so that whatever lies on
 * the saw is cut right across and is large enough to hold.
 *
 *     CutOrder order = cut_order(c, &board, pieces, n);
 *
 * Knows rectangles only. Any layout that can be sawn apart at all will do.
 */
#ifndef PLAN_CUT_ORDER_H
#define PLAN_CUT_ORDER_H

#include "plan/plan.h"

/* What is held on the saw is "small" below this: one foot.
 * Canadian Centre for Occupational Health and Safety: pieces shorter than
 * 30 cm (1 ft) are fed with a push stick (trade-figures 7). */
#define SMALL_HELD_MM 304.8

/* What is ripped is "narrow" below this: 3 in. A push block goes where a hand
 * would come nearer to the blade (common practice, no published source). */
#define NARROW_HELD_MM 76.2

typedef struct { double x, y, length, width; } Wood;

typedef struct {
    Wood   wood;             // the board as bought
    double kerf;
    double trim;             // cut away at its left end; 0: nothing
    bool   sheet;            // may be pushed along the fence either way
    bool   resawn;           // strips are sawn into leaves, then crosscut
} OrderBoard;

typedef LIST(Cut) Cuts;

typedef struct {
    Cuts cuts;
    LIST(Wood) left;         // what no piece is in
    int  strips_at;          // resawn: so many cuts make the strips
    bool small_strips;       // one of them is too short to hold
} CutOrder;

/* The pieces lie as the layout has them; those of a row are moved together,
 * so that one kerf is between them. Where a layout can't be sawn apart the
 * list ends early (a mistake of ours). */
CutOrder cut_order(Ctx *c, const OrderBoard *board, Wood *pieces, int n);

/* True if a cut through the wood holds something small. */
bool holds_small(const OrderBoard *board, Wood wood, bool rip);

/* True if the cut runs along wood that is narrow across it. */
bool holds_narrow(const OrderBoard *board, Wood wood, bool rip);

#endif
