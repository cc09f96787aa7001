/* plan -- the stages of the work plan in their order. */
#include "plan/plan_internal.h"

const Workplan *plan_work(Ctx *c, const Model *m) {
    Workplan *p = NEW(c, Workplan);

    if (!plan_cuts(c, m, p))
        return NULL;
    plan_sheets(c, m, p);
    plan_views(c, m, p);
    return p;
}
