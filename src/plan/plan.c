/* plan -- the stages of the work plan in their order. */
#include "plan/plan_internal.h"

const Workplan *plan_work(Ctx *c, const Model *m) {
    Workplan *p = NEW(c, Workplan);

    if (!plan_cuts(c, m, p))
        return NULL;
    plan_sheets(c, m, p, m->a4 ? 210 : 215.9, m->a4 ? 297 : 279.4);
    plan_views(c, m, p);
    return p;
}
