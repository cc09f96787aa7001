/* plan -- the stages of the work plan in their order. Template sheets come
 * later, when the paper is known (plan_on_paper). */
#include "plan/plan_internal.h"

const Workplan *plan_work(Ctx *c, const Model *m) {
    Workplan *p = NEW(c, Workplan);

    if (!plan_cuts(c, m, p))
        return NULL;
    plan_views(c, m, p);
    return p;
}
