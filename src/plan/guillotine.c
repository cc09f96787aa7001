/* guillotine -- bounds, exact trial and search put together.
 */
#include "plan/guillotine_columns.h"

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

/* How far the parts of a node reach to the right, or up. */
static int64_t reach(const Tree *t, int node, bool right) {
    const TreeNode *n   = &t->nodes[node];
    int64_t         far = 0;

    if (n->what >= 0)
        return right ? n->w : n->h;
    if (n->what == NODE_FREE)
        return 0;
    for (int i = n->first; i >= 0; i = t->nodes[i].next) {
        int64_t child = reach(t, i, right);
        far = n->upright == right ? far + child : child > far ? child : far;
    }
    return far;
}

/* The large before the small, equal things side by side. */
static int by_size(const void *pa, const void *pb, const void *with) {
    const Tree     *t = with;
    const TreeNode *a = &t->nodes[*(const int *)pa];
    const TreeNode *b = &t->nodes[*(const int *)pb];

    if (a->w != b->w)
        return a->w > b->w ? -1 : 1;
    if (a->h != b->h)
        return a->h > b->h ? -1 : 1;
    return b->what - a->what;
}

typedef struct { int64_t x, y, w, h; } Room;

typedef struct {
    Ctx        *c;
    const Tree *t;
    int64_t     kerf;
    SheetPlan  *plan;
    bool       *keeps;       // nodes of the tree that are not tightened
} Writing;

static int write_leaf(Writing *w, Room r, int what) {
    int i = w->plan->n_nodes++;

    w->plan->nodes[i] = (CutNode){ r.x, r.y, r.w - w->kerf, r.h - w->kerf,
                                   what, false, false, -1, -1 };
    return i;
}

/* Writes a node into its room: its children as tight as can be unless they
 * are to be kept, and behind them in one piece what is free. */
static int write_node(Writing *w, int node, Room r) {
    const TreeNode *n    = &w->t->nodes[node];
    int             i    = write_leaf(w, r, n->what), *link;
    LIST(int)       kids = { 0 };

    w->plan->nodes[i].turned  = n->turned;
    w->plan->nodes[i].upright = n->upright;
    for (int k = n->what == NODE_CUT ? n->first : -1; k >= 0;
         k = w->t->nodes[k].next) {
        if (w->t->nodes[k].what != NODE_FREE)
            *PUSH(w->c, &kids) = k;
    }
    list_sort(w->c, kids.at, kids.n, sizeof *kids.at, by_size, w->t);
    link = &w->plan->nodes[i].first;
    for (int k = 0; k < kids.n; k++) {
        const TreeNode *kid = &w->t->nodes[kids.at[k]];
        int64_t size = !w->keeps[kids.at[k]]
                     ? reach(w->t, kids.at[k], n->upright)
                     : n->upright ? kid->w : kid->h;
        Room    room = n->upright ? (Room){ r.x, r.y, size, r.h }
                                  : (Room){ r.x, r.y, r.w, size };
        *link = write_node(w, kids.at[k], room);
        link  = &w->plan->nodes[*link].next;
        r     = n->upright ? (Room){ r.x + size, r.y, r.w - size, r.h }
                           : (Room){ r.x, r.y + size, r.w, r.h - size };
    }
    if (kids.n && r.w > w->kerf && r.h > w->kerf)
        *link = write_leaf(w, r, NODE_FREE);
    return i;
}

/* The node of the largest free rectangle below another; -1: none. */
static int largest_below(const Tree *t, int node) {
    int best = t->nodes[node].what == NODE_FREE ? node : -1;

    if (t->nodes[node].what != NODE_CUT)
        return best;
    for (int i = t->nodes[node].first; i >= 0; i = t->nodes[i].next) {
        int k = largest_below(t, i);
        if (k >= 0 && (best < 0
                       || (double)t->nodes[k].w * (double)t->nodes[k].h
                          > (double)t->nodes[best].w
                            * (double)t->nodes[best].h))
            best = k;
    }
    return best;
}

static double largest_written(const SheetPlan *plan, int from) {
    double largest = 0;

    for (int i = from; i < plan->n_nodes; i++) {
        const CutNode *n = &plan->nodes[i];
        if (n->what == NODE_FREE && (double)n->w * (double)n->h > largest)
            largest = (double)n->w * (double)n->h;
    }
    return largest;
}

/* Tight, or with the largest free rectangle kept: whichever leaves more in
 * one piece. */
static int write_sheet(Writing *w, int root) {
    const TreeNode *n = &w->t->nodes[root];
    Room   room  = { 0, 0, n->w, n->h };
    int    from  = w->plan->n_nodes, at = write_node(w, root, room);
    double tight = largest_written(w->plan, from);

    for (int i = largest_below(w->t, root); i >= 0; i = w->t->nodes[i].up)
        w->keeps[i] = true;
    w->plan->n_nodes = from;
    at = write_node(w, root, room);
    if (largest_written(w->plan, from) > tight)
        return at;
    memset(w->keeps, 0, sizeof *w->keeps * (size_t)w->t->n_nodes);
    w->plan->n_nodes = from;
    return write_node(w, root, room);
}

static void write_plan(Ctx *c, const SheetJob *job, const Tree *t,
                       SheetPlan *plan) {
    Writing w = { c, t, job->kerf, plan, NEW_N(c, bool, t->n_nodes + 1) };

    plan->nodes = NEW_N(c, CutNode, 2 * t->n_nodes + 1);
    plan->roots = NEW_N(c, int, t->n_sheets + 1);
    plan->kinds = NEW_N(c, int, t->n_sheets + 1);
    plan->cost  = t->cost;
    for (int i = 0; i < t->n_sheets; i++) {
        plan->kinds[i] = t->kinds[i];
        plan->roots[i] = write_sheet(&w, t->roots[i]);
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
    if (bound_area(&r) > r.kinds[0].price
        || bound_scales(c, &r, &plan->steps) > r.kinds[0].price)
        return FIT_NO;
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
    case FIT_YES:                     // without a list of what is free, so
        tree_copy(r, best, &tree);    // it stays as it is
        return price;
    case FIT_UNKNOWN:
    default:
        return 0;
    }
}

static void quick_bounds(Ctx *c, const Rects *r, SheetPlan *plan) {
    plan->bound = bound_area(r);
    raise(&plan->bound, bound_scales(c, r, &plan->steps));
    raise(&plan->bound, bound_mix(c, r));
}

/* To what sheets can cost, where a plan's cost is known. */
static void raise_to_sum(Ctx *c, const Rects *r, int64_t cost,
                         SheetPlan *plan) {
    if (plan->bound < cost && cost < INT64_MAX)
        raise(&plan->bound, bound_sums(c, r, plan->bound, cost));
}

/* The dear bound, where it may reach a cost. */
static void dear_bound(Ctx *c, const Rects *r, const SheetJob *job,
                       int64_t cost, Patterns *pool, SheetPlan *plan) {
    long spent = job->steps / 4;

    raise(&plan->bound, bound_columns(c, r, cost, pool, &spent));
    plan->steps += spent;
    raise_to_sum(c, r, cost, plan);
}

/* Tries each set of sheets by itself. True: one holds all parts. */
static bool try_sets(Ctx *c, const Rects *r, bool boards, int64_t below,
                     long limit, Tree *best, SheetPlan *plan) {
    SheetKind *kinds = NEW_N(c, SheetKind, r->n_kinds);
    Rects      some  = *r;
    SheetSets  sets  = list_sets(c, r, plan->bound, below);

    memcpy(kinds, r->kinds, sizeof *kinds * (size_t)r->n_kinds);
    some.kinds = kinds;
    for (int i = 0; i < sets.n && plan->steps < limit; i++) {
        Ctx  s = ctx_scratch(c);
        Tree tree;
        bool all;
        for (int k = 0; k < r->n_kinds; k++)
            kinds[k].supply = sets.at[i][k];
        tree_init(&s, &some, &tree);
        (boards ? search_boards : search_brisk)(&s, &some, plan->steps
            + (limit - plan->steps) / (sets.n - i), &tree, &plan->steps);
        all = tree.n_sheets > 0;
        if (all)
            tree_copy(r, best, &tree);
        ctx_free(&s);
        if (all)
            return true;
    }
    return false;
}

static void try_cheaper(Ctx *c, const Rects *r, long limit, Tree *best,
                        SheetPlan *plan) {
    Ctx s = ctx_scratch(c);

    while (plan->bound < best->cost && plan->steps < limit
           && try_sets(&s, r, false, best->cost, limit, best, plan))
        arena_reset(&s.arena);
    ctx_free(&s);
}

/* A cheaper plan than one that is known, or none. */
static void plan_below(Ctx *c, const Rects *r, const SheetJob *job,
                       Tree *best, SheetPlan *plan) {
    int64_t below = job->below;
    Ctx     s     = ctx_scratch(c);
    Patterns pool = { .c = &s };

    quick_bounds(&s, r, plan);
    raise_to_sum(&s, r, below, plan);
    if (plan->bound < below)
        dear_bound(&s, r, job, below, &pool, plan);
    while (plan->bound < below && plan->steps < job->steps
           && try_sets(&s, r, true, below, job->steps, best, plan))
        below = best->cost;
    ctx_free(&s);
}

/* The quick bounds, a first search, then the dear bound where it may close
 * the gap, and what work is left goes into the search. */
static void plan_any(Ctx *c, const Rects *r, const SheetJob *job, Tree *best,
                     SheetPlan *plan) {
    Patterns pool = { .c = c };

    quick_bounds(c, r, plan);
    search_sheets(c, r, plan->bound, job->steps / 16, best,
                  &plan->steps);
    if (best->missing > 0.5)
        tree_clear(r, best);
    if (best->n_sheets > 0)
        raise_to_sum(c, r, best->cost, plan);
    if (best->cost > plan->bound)
        search_blocks(c, r, plan->steps + job->steps / 8, best,
                      &plan->steps);
    if (best->n_sheets > 0 && best->cost <= plan->bound)
        return;
    dear_bound(c, r, job, best->n_sheets ? best->cost : INT64_MAX, &pool,
               plan);
    raise(&plan->bound, bound_fit(c, r, job->steps / 4, best, plan));
    if (best->n_sheets > 0 && r->pieces >= 3 * r->n_parts)
        search_columns(c, r, plan->bound, &pool,
                       job->steps / 4 * 3, best, &plan->steps);
    if (r->n_kinds > 1 && best->n_sheets > 0)
        try_cheaper(c, r, plan->steps + (job->steps - plan->steps) / 2, best,
                    plan);
    search_sheets(c, r, plan->bound, job->steps, best,
                  &plan->steps);
    if (best->n_sheets > 0)
        raise_to_sum(c, r, best->cost, plan);
}

SheetPlan guillotine_plan(Ctx *c, const SheetJob *job) {
    Rects     r    = rects_of(c, job);
    SheetPlan plan = { 0 };
    Tree      best;

    tree_init(c, &r, &best);
    if (job->below > 0)
        plan_below(c, &r, job, &best, &plan);
    else
        plan_any(c, &r, job, &best, &plan);
    if (best.missing < 0.5 && best.n_frees > 0 && job->polish > 0)
        search_leftover(c, &r, plan.steps + job->polish, &best, &plan.steps);
    write_plan(c, job, &best, &plan);
    return plan;
}
