/* plan -- the stages of the work plan in their order. Template sheets come
 * later, when the paper is known (plan_on_paper). */
#include "plan/plan_internal.h"

static void blank_views(Ctx *c, const Model *m, Workplan *p) {
    for (int i = 0; i < m->parts.n; i++)
        (void)PUSH(c, &p->parts);
    for (int k = 0; k < m->steps.n; k++)
        (void)PUSH(c, &p->steps);
}

const Workplan *plan_stages(Ctx *c, const Model *m, int stages) {
    Workplan *p = NEW(c, Workplan);

    if (stages & PLAN_CUTS && !plan_cuts(c, m, p))
        return NULL;
    blank_views(c, m, p);
    if (stages & PLAN_PROJECT)
        plan_project_views(c, m, p);
    if (stages & PLAN_PARTS)
        plan_part_views(c, m, p);
    if (stages & PLAN_STEPS)
        plan_step_views(c, m, p);
    return p;
}

const Workplan *plan_work(Ctx *c, const Model *m) {
    return plan_stages(c, m, PLAN_ALL);
}
