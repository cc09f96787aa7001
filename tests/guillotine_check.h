/* An independent judge of a plan for sheets: walks the tree of cuts with
 * nothing but the job in hand. NULL: all is right. */
#ifndef TESTS_GUILLOTINE_CHECK_H
#define TESTS_GUILLOTINE_CHECK_H

#include "plan/guillotine.h"

typedef struct {
    const SheetJob  *job;
    const SheetPlan *plan;
    int             *made;
} Checked;

static const char *check_part(Checked *k, const CutNode *n) {
    const SheetPart *p = &k->job->parts[n->what];

    if (n->what >= k->job->n_parts)
        return "there is no such part";
    if (n->turned && !p->turns)
        return "a part lies across its grain";
    if (n->w != (n->turned ? p->h : p->w)
        || n->h != (n->turned ? p->w : p->h))
        return "a part has not its size";
    k->made[n->what]++;
    return NULL;
}

/* The children of a cut node lie from edge to edge, a kerf apart. */
static const char *check_node(Checked *k, int node) {
    const CutNode *n = &k->plan->nodes[node];
    int64_t        at = n->upright ? n->x : n->y;
    int64_t        end = at + (n->upright ? n->w : n->h);

    if (n->w <= 0 || n->h <= 0)
        return "a rectangle has no size";
    if (n->what >= 0)
        return check_part(k, n);
    for (int i = n->first; i >= 0; i = k->plan->nodes[i].next) {
        const CutNode *c   = &k->plan->nodes[i];
        const char    *why = check_node(k, i);
        if (why)
            return why;
        if (n->upright ? c->x != at || c->y != n->y || c->h != n->h
                       : c->y != at || c->x != n->x || c->w != n->w)
            return "a cut does not go from edge to edge";
        at += (n->upright ? c->w : c->h);
        if (at > end)
            return "a rectangle reaches over its place";
        at += k->job->kerf;
    }
    return NULL;
}

static const char *check_sheets(Checked *k, int *used) {
    int64_t cost = 0;

    for (int i = 0; i < k->plan->n_sheets; i++) {
        const SheetKind *s    = &k->job->kinds[k->plan->kinds[i]];
        const CutNode   *root = &k->plan->nodes[k->plan->roots[i]];
        const char      *why  = check_node(k, k->plan->roots[i]);
        if (why)
            return why;
        if (root->x || root->y || root->w != s->w || root->h != s->h)
            return "a sheet has not its size";
        used[k->plan->kinds[i]]++;
        cost += s->price;
    }
    for (int i = 0; i < k->job->n_kinds; i++) {
        if (k->job->kinds[i].supply >= 0
            && used[i] > k->job->kinds[i].supply)
            return "there are not so many sheets";
    }
    return cost == k->plan->cost ? NULL : "the cost is wrong";
}

static const char *check_plan(Ctx *c, const SheetJob *job,
                              const SheetPlan *plan) {
    Checked     k = { job, plan, NEW_N(c, int, job->n_parts + 1) };
    const char *why = check_sheets(&k, NEW_N(c, int, job->n_kinds + 1));
    int         missing = 0;

    if (why)
        return why;
    for (int i = 0; i < job->n_parts; i++) {
        if (k.made[i] > job->parts[i].count)
            return "a part is cut too often";
        missing += job->parts[i].count - k.made[i];
    }
    if (missing != plan->missing)
        return "a part is missing";
    return plan->missing == 0 && plan->cost < plan->bound
         ? "the bound is above the cost" : NULL;
}

#endif
