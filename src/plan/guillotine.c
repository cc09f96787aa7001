/* guillotine -- bounds, exact trial and search put together.
 */
#include "plan/guillotine_internal.h"

static int64_t divisor(int64_t a, int64_t b) {
    while (b) {
        int64_t t = a % b;
        a = b;
        b = t;
    }
    return a;
}

Rects rects_of(Ctx *c, const SheetJob *job) {
    SheetKind *kinds = NEW_N(c, SheetKind, job->n_kinds);
    SheetPart *parts = NEW_N(c, SheetPart, job->n_parts);
    Rects      r     = { kinds, parts, job->n_kinds, job->n_parts, 0, 0, 0 };

    for (int i = 0; i < job->n_kinds; i++) {
        kinds[i]    = job->kinds[i];
        kinds[i].w += job->kerf;
        kinds[i].h += job->kerf;
        r.step      = divisor(r.step, kinds[i].price);
    }
    for (int i = 0; i < job->n_parts; i++) {
        parts[i]    = job->parts[i];
        parts[i].w += job->kerf;
        parts[i].h += job->kerf;
        r.pieces   += parts[i].count;
    }
    r.most_nodes = 12 * r.pieces + 64;
    return r;
}

/* ---- The plan ---- */

/* What is free comes last; before it, the large before the small, and
 * equal things side by side. */
static int by_size(const void *pa, const void *pb, const void *with) {
    const Tree     *t = with;
    const TreeNode *a = &t->nodes[*(const int *)pa];
    const TreeNode *b = &t->nodes[*(const int *)pb];

    if ((a->what == NODE_FREE) != (b->what == NODE_FREE))
        return a->what == NODE_FREE ? 1 : -1;
    if (a->w != b->w)
        return a->w > b->w ? -1 : 1;
    if (a->h != b->h)
        return a->h > b->h ? -1 : 1;
    return b->what - a->what;
}

static int write_node(Ctx *c, SheetPlan *plan, const Tree *t, int node,
                      int64_t x, int64_t y, int64_t kerf) {
    const TreeNode *n = &t->nodes[node];
    int             i = plan->n_nodes++, *link;
    LIST(int)       children = { 0 };

    plan->nodes[i] = (CutNode){ x, y, n->w - kerf, n->h - kerf, n->what,
                                n->turned, n->upright, -1, -1 };
    if (n->what != NODE_CUT)
        return i;
    for (int k = n->first; k >= 0; k = t->nodes[k].next)
        *PUSH(c, &children) = k;
    list_sort(c, children.at, children.n, sizeof *children.at, by_size, t);
    link = &plan->nodes[i].first;
    for (int k = 0; k < children.n; k++) {
        int child = children.at[k];
        *link = write_node(c, plan, t, child, x, y, kerf);
        link  = &plan->nodes[*link].next;
        if (n->upright)
            x += t->nodes[child].w;
        else
            y += t->nodes[child].h;
    }
    return i;
}

static void write_plan(Ctx *c, const SheetJob *job, const Tree *t,
                       SheetPlan *plan) {
    plan->nodes = NEW_N(c, CutNode, t->n_nodes + 1);
    plan->roots = NEW_N(c, int, t->n_sheets + 1);
    plan->kinds = NEW_N(c, int, t->n_sheets + 1);
    plan->cost  = t->cost;
    for (int i = 0; i < t->n_sheets; i++) {
        plan->kinds[i] = t->kinds[i];
        plan->roots[i] = write_node(c, plan, t, t->roots[i], 0, 0,
                                    job->kerf);
    }
    plan->n_sheets = t->n_sheets;
    for (int i = 0; i < job->n_parts; i++)
        plan->missing += t->left[i];
}

/* A search finds most that fit; what it cannot is tried completely. */
SheetFit guillotine_fit(Ctx *c, const SheetJob *job, int kind,
                        SheetPlan *plan) {
    SheetJob one = *job;
    Rects    r;
    SheetFit fit = FIT_YES;
    Tree     tree;

    one.kinds   = &job->kinds[kind];
    one.n_kinds = 1;
    r           = rects_of(c, &one);
    *plan       = (SheetPlan){ 0 };
    tree_init(c, &r, &tree);
    search_sheets(c, &r, r.kinds[0].price, job->steps / 8, &tree,
                  &plan->steps);
    if (tree.n_sheets != 1)
        fit = fit_sheet(c, &r, 0, &tree, job->steps, &plan->steps);
    if (fit == FIT_YES)
        write_plan(c, &one, &tree, plan);
    return fit;
}

static void raise(int64_t *bound, int64_t to) {
    if (to > *bound)
        *bound = to;
}

/* Two sheets were found where one may do: that can be tried. */
static int64_t bound_fit(Ctx *c, const Rects *r, long limit, Tree *best,
                         SheetPlan *plan) {
    int64_t price = r->kinds[0].price;
    Tree    tree;

    if (r->n_kinds > 1 || best->n_sheets != 2 || plan->bound > price)
        return 0;
    tree_init(c, r, &tree);
    switch (fit_sheet(c, r, 0, &tree, plan->steps + limit, &plan->steps)) {
    case FIT_NO:
        return 2 * price;
    case FIT_YES:
        tree_copy(r, best, &tree);
        return price;
    case FIT_UNKNOWN:
    default:
        return 0;
    }
}

/* The quick bounds, a first search, then the dear bound where it may close
 * the gap, and what work is left goes into the search. */
SheetPlan guillotine_plan(Ctx *c, const SheetJob *job) {
    Rects     r     = rects_of(c, job);
    SheetPlan plan  = { 0 };
    long      spent = job->steps / 4;
    Tree      best;

    tree_init(c, &r, &best);
    plan.bound = bound_area(&r);
    raise(&plan.bound, bound_scales(c, &r, &plan.steps));
    search_sheets(c, &r, plan.bound, job->steps / 8, &best, &plan.steps);
    if (best.n_sheets > 0 && best.cost > plan.bound) {
        raise(&plan.bound, bound_columns(c, &r, best.cost, &spent));
        plan.steps += spent;
        raise(&plan.bound, bound_fit(c, &r, job->steps / 4, &best, &plan));
        search_sheets(c, &r, plan.bound, job->steps, &best, &plan.steps);
    }
    if (best.n_sheets > 0 && job->polish > 0)
        search_leftover(c, &r, plan.steps + job->polish, &best, &plan.steps);
    write_plan(c, job, &best, &plan);
    return plan;
}
