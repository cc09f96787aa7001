/* draw_machine -- a part's face for a router, laser or plotter. */
#include "rodbook/draw.h"

/* --tool "1/4in": the diameter of a bit or the width of a kerf, a formula
 * of the design's sizes like any other. */
static bool tool_width(Ctx *c, const Job *job, const Options *opt,
                       double *mm) {
    Node     node = { .kind = NODE_TEXT };
    Quantity q;

    *mm = 0;
    if (!opt->tool)
        return true;
    node.text    = str_from(c, opt->tool);
    node.plain   = true;
    node.loc     = (Loc){ source_add(c, "--tool", node.text), 0,
                          (uint32_t)node.text.n };
    q   = eval_node(c, job->sizes, "", &node, DIM_LENGTH);
    *mm = q.real;
    if (!q.poison && (*mm < 0 || *mm > 50)) {
        report(c, node.loc, OUT_OF_RANGE, "a tool is 0 to 50 mm wide, not "
               "%.3f mm", *mm);
        return false;
    }
    return !q.poison;
}

static bool work_of(Ctx *c, const Job *job, const Options *opt,
                    const Subject *s, MachineWork *work) {
    double tool;

    return tool_width(c, job, opt, &tool)
        && machine_work(c, job->model, s->index, s->kind == DRAW_BACK, tool,
                        work);
}

bool draw_machine_svg(Ctx *c, const Job *job, const Options *opt,
                      const Subject *s, Str *bytes) {
    MachineWork work;

    if (!work_of(c, job, opt, s, &work))
        return false;
    print_machine_svg(c, &work, bytes);
    return true;
}

bool draw_dxf(Ctx *c, const Job *job, const Options *opt, const Subject *s,
              Str *bytes) {
    MachineWork work;

    if (!work_of(c, job, opt, s, &work))
        return false;
    print_dxf(c, &work, bytes);
    return true;
}
