/* plate_model -- a general solver on the problems of sheets.c. */
#ifndef PLATE_MODEL_H
#define PLATE_MODEL_H

#include "plan/guillotine.h"

/* The best plan in so many milliseconds; without sheets: there is none, or
 * the model is too large. */
SheetPlan plate_model(Ctx *c, const SheetJob *job, int ms, bool *proven);

#endif
