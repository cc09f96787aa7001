/* sheet_layout -- the sheets of one stock, cut by guillotine.h and written
 * as layouts.
 *
 * Sizes become whole millionths of a millimeter: parts rounded down, sheets
 * up, so that what fits exactly still does. Sixty-fourths of an inch are
 * whole in it.
 */
#include "plan/guillotine.h"
#include "plan/plan_internal.h"

#include <math.h>

#define STEPS  20000000L     // a tenth of a second or so
#define POLISH   800000L
#define BOARD_STEPS 1000000L     // for boards, after another search
#define SMALLEST_LEFTOVER 50.0   // mm both ways; less is not worth keeping

static int64_t down(double mm) {
    return (int64_t)floor(mm / GUILLOTINE_UNIT + 0.01);
}

static int64_t up(double mm) {
    return (int64_t)ceil(mm / GUILLOTINE_UNIT - 0.01);
}

static double mm_of(int64_t size) {
    return (double)size * GUILLOTINE_UNIT;
}

/* Sheets on hand cost nothing, yet the fewest are to be cut: each has the
 * price of one in money that counts `shares` to the coin, more than there
 * are sheets on hand. */
static int64_t shares_of(const Job *job) {
    int64_t shares = 1;

    for (int i = 0; i < job->offers.n; i++) {
        if (job->offers.at[i].on_hand >= 0)
            shares += job->offers.at[i].supply;
    }
    return shares;
}

static SheetJob sheet_job(Ctx *c, const Job *job, int64_t shares,
                          int64_t below, int patience) {
    long       steps = below ? patience * BOARD_STEPS : STEPS;
    SheetKind *kinds = NEW_N(c, SheetKind, job->offers.n);
    SheetPart *parts = NEW_N(c, SheetPart, job->wants.n);

    for (int i = 0; i < job->offers.n; i++) {
        const Offer *o = &job->offers.at[i];
        int64_t coins  = llround(fmax(1, o->cost * job->coin));
        kinds[i] = (SheetKind){ up(o->length - job->start), up(o->width),
                                o->on_hand >= 0 ? 1 : coins * shares,
                                o->supply };
    }
    for (int i = 0; i < job->wants.n; i++) {
        const Want *w = &job->wants.at[i];
        parts[i] = (SheetPart){ down(w->length), down(w->width), w->count,
                                job->turns };
    }
    return (SheetJob){ kinds, job->offers.n, parts, job->wants.n,
                       down(job->kerf), steps,
                       below ? BOARD_STEPS / 10 : POLISH, below * shares };
}

/* ---- Writing ---- */

typedef struct {
    Ctx             *c;
    const Job       *job;
    const SheetPlan *plan;
    Layout          *out;
    double           area;
} Writing;

static void write_node(Writing *w, int node) {
    const CutNode *n = &w->plan->nodes[node];
    double         x = w->job->start + mm_of(n->x), y = mm_of(n->y);

    for (int i = n->first; i >= 0; i = w->plan->nodes[i].next)
        write_node(w, i);
    if (n->what >= 0) {
        const Want *want = &w->job->wants.at[n->what];
        *PUSH(w->c, &w->out->placed) = (Placed){
            n->what, x, y, n->turned ? want->width : want->length,
            n->turned ? want->length : want->width, n->turned };
        w->area += want->length * want->width;
    } else if (n->what == NODE_FREE && mm_of(n->w) >= SMALLEST_LEFTOVER
               && mm_of(n->h) >= SMALLEST_LEFTOVER) {
        *PUSH(w->c, &w->out->leftovers) =
            (Leftover){ x, y, mm_of(n->w), mm_of(n->h) };
    }
}

static Layout write_sheet(Ctx *c, const Job *job, const SheetPlan *plan,
                          int sheet) {
    const Offer *o   = &job->offers.at[plan->kinds[sheet]];
    Layout       out = { .stock = job->stock, .sold = o->sold,
                         .length = o->bought, .width = o->width,
                         .copies = 1, .on_hand = o->on_hand >= 0 };
    Writing      w   = { c, job, plan, &out, 0 };

    write_node(&w, plan->roots[sheet]);
    out.used = w.area / (o->bought * o->width);
    return out;
}

/* ---- Items, copies ---- */

typedef struct { int nth, taken; } Next;   // of a want's items

/* Items for wants, one after the other, so that sheets of one pattern get
 * the same items as far as the counts allow. */
static void name_items(const Job *job, const Workplan *p, Next *next,
                       Layout *l) {
    for (int i = 0; i < l->placed.n; i++) {
        const Want *w = &job->wants.at[l->placed.at[i].item];
        Next       *n = &next[l->placed.at[i].item];

        if (n->taken == p->items.at[w->items.at[n->nth]].count)
            *n = (Next){ n->nth + 1, 0 };
        n->taken++;
        l->placed.at[i].item = w->items.at[n->nth];
    }
}

static bool is_alike(const Layout *a, const Layout *b) {
    if (a->sold != b->sold || a->on_hand != b->on_hand
        || a->placed.n != b->placed.n)
        return false;
    for (int i = 0; i < a->placed.n; i++) {
        const Placed *p = &a->placed.at[i], *q = &b->placed.at[i];
        if (p->item != q->item || fabs(p->x - q->x) > SLACK_MM
            || fabs(p->y - q->y) > SLACK_MM)
            return false;
    }
    return true;
}

static int fullest_first(const void *pa, const void *pb, const void *with) {
    const Layout *a = pa, *b = pb;

    (void)with;
    if (fabs(a->used - b->used) > 1e-9)
        return a->used > b->used ? -1 : 1;
    if (a->on_hand != b->on_hand)
        return a->on_hand ? -1 : 1;
    return a->sold - b->sold;
}

bool layout_sheets(Ctx *c, const Job *job, Workplan *p, int64_t *cost,
                   int64_t *bound, int64_t below, int patience) {
    int64_t   shares = shares_of(job);
    SheetJob  sheets = sheet_job(c, job, shares, below, patience);
    SheetPlan plan   = guillotine_plan(c, &sheets);
    Layout   *all    = NEW_N(c, Layout, plan.n_sheets);
    Next     *next   = NEW_N(c, Next, job->wants.n);
    int       first  = p->layouts.n;

    *cost  = plan.cost / shares;
    *bound = plan.bound / shares;
    if (below && plan.missing)
        return false;
    for (int i = 0; i < plan.n_sheets; i++)
        all[i] = write_sheet(c, job, &plan, i);
    list_sort(c, all, plan.n_sheets, sizeof *all, fullest_first, NULL);
    for (int i = 0; i < plan.n_sheets; i++) {
        Layout *last = p->layouts.n > first ? &p->layouts.at[p->layouts.n - 1]
                                            : NULL;
        name_items(job, p, next, &all[i]);
        if (last && is_alike(last, &all[i]))
            last->copies++;
        else
            *PUSH(c, &p->layouts) = all[i];
    }
    return true;
}
