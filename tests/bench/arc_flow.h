/* arc_flow -- a general solver on the problems of cutting_bench. */
#ifndef ARC_FLOW_H
#define ARC_FLOW_H

#include "plan/stock_cut.h"

/* The cost of the best plan in so many milliseconds; -1: none, or the model
 * is too large. */
int64_t arc_flow(const BarJob *job, int ms, bool *proven);

#endif
