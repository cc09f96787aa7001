/* cut -- from which boards and sheets the blanks of all parts are cut, and
 * what to buy for it.
 *
 * demand.c has the ways in which a part can become blanks. From the plainest
 * of each part on, one part after the other is tried in its other ways, with
 * a short search; what is better stays. In the end the plainest blanks and
 * the best found are both cut with the whole search. Better is cheaper, then
 * a larger leftover, then fewer settings of the saw.
 */
#include "plan/plan_internal.h"
#include "plan/price_sum.h"

#include <math.h>

#define MOST_TRIALS 40    // of ways, for one stock
#define MOST_IMPROVED 12  // and for one that may still be cheaper
#define SAME_LEFT   1.01  // leftovers whose areas differ less are alike

/* ---- Jobs ---- */

static bool all_priced(const Stock *stock) {
    for (int i = 0; i < stock->sold.n; i++) {
        if (!stock->sold.at[i].priced)
            return false;
    }
    return true;
}

static bool comes_out(double length, double width, const OnHand *have,
                      double lost) {
    return length + lost <= have->length.real + SLACK_MM
        && width <= have->width.real + SLACK_MM;
}

/* Does any wanted piece come out of what is on hand? */
static bool is_useful(const OnHand *have, const Stock *stock, const Job *job) {
    double lost = job->start + stock->defects.real;

    for (int i = 0; i < job->wants.n; i++) {
        const Want *w = &job->wants.at[i];
        if (comes_out(w->length, w->width, have, lost)
            || (job->turns && comes_out(w->width, w->length, have, lost)))
            return true;
    }
    return false;
}

static void add_offers(Ctx *c, const Stock *stock, Job *job) {
    bool priced = all_priced(stock);

    for (int i = 0; i < stock->sold.n; i++) {
        const Sold *s = &stock->sold.at[i];
        Offer      *o = PUSH(c, &job->offers);
        o->sold    = i;
        o->bought  = s->length.real;
        o->length  = s->length.real - stock->defects.real;
        o->width   = s->width.real;
        o->cost    = priced ? s->price.real : o->bought * o->width;
        o->supply  = -1;
        o->on_hand = -1;
    }
    for (int i = 0; i < stock->on_hand.n; i++) {
        const OnHand *have = &stock->on_hand.at[i];
        Offer        *o;
        if (!is_useful(have, stock, job))
            continue;
        o = PUSH(c, &job->offers);
        o->sold    = i;
        o->bought  = have->length.real;
        o->length  = have->length.real - stock->defects.real;
        o->width   = have->width.real;
        o->supply  = have->count;
        o->on_hand = i;
    }
    job->coin = priced ? 10000 : 1;
}

static Want *find_want(Job *job, double length, double width) {
    for (int i = 0; i < job->wants.n; i++) {
        Want *w = &job->wants.at[i];
        if (fabs(w->length - length) < SLACK_MM / 10
            && fabs(w->width - width) < SLACK_MM / 10)
            return w;
    }
    return NULL;
}

static void add_want(Ctx *c, const CutItem *item, int index, Job *job) {
    Want *w = find_want(job, item->length.real, item->width.real);

    if (!w) {
        w         = PUSH(c, &job->wants);
        w->length = item->length.real;
        w->width  = item->width.real;
    }
    w->count    += item->count;
    job->pieces += item->count;
    *PUSH(c, &w->items) = index;
}

static double area_wanted(const Job *job) {
    double sum = 0;

    for (int i = 0; i < job->wants.n; i++) {
        const Want *w = &job->wants.at[i];
        sum += w->count * w->length * w->width;
    }
    return sum;
}

/* ---- One stock ---- */

/* A way to cut a stock: its layouts, with items of their own. */
typedef struct {
    Workplan *plan;
    double    coin;
    int64_t   cost, bound;   // in coins
    double    wanted;        // area of the pieces, mm^2
    double    left;          // of the largest leftover
} Found;

static double largest_left(const Workplan *p) {
    double largest = 0;

    for (int i = 0; i < p->layouts.n; i++) {
        const Layout *l = &p->layouts.at[i];
        for (int k = 0; k < l->leftovers.n; k++)
            largest = fmax(largest, l->leftovers.at[k].length
                                  * l->leftovers.at[k].width);
    }
    return largest;
}

/* How often the saw is set while all boards are cut. */
static int settings_of(Ctx *c, const Model *m, Workplan *p) {
    int n = 0;

    order_cuts(c, m, p);
    for (int i = 0; i < p->layouts.n; i++)
        n += cut_settings(&p->layouts.at[i]);
    return n;
}

static bool is_better(Ctx *c, const Model *m, const Found *a,
                      const Found *b) {
    if (a->cost != b->cost)
        return a->cost < b->cost;
    if (a->left > b->left * SAME_LEFT || b->left > a->left * SAME_LEFT)
        return a->left > b->left;
    return settings_of(c, m, a->plan) < settings_of(c, m, b->plan);
}

static Found with_items(Ctx *c, const Workplan *items) {
    Found found = { .plan = NEW(c, Workplan) };

    found.plan->items = items->items;
    return found;
}

/* Each board's price rounded, as all bounds have it. */
static int64_t in_coins(const Job *job, const Cutting *cut) {
    int64_t cost = 0;

    for (int i = 0; i < cut->n_boards; i++)
        cost += llround(job->offers.at[cut->boards[i].offer].cost
                        * job->coin);
    return cost;
}

static Found by_cutting(Ctx *c, const Job *job, const Workplan *items,
                        const Cutting *cut, int64_t bound) {
    Found found = with_items(c, items);

    layout_write(c, job, cut, found.plan);
    found.cost  = in_coins(job, cut);
    found.bound = bound;
    found.left  = largest_left(found.plan);
    return found;
}

static Found by_guillotine(Ctx *c, const Job *job, const Workplan *items) {
    Found found = with_items(c, items);

    (void)layout_sheets(c, job, found.plan, &found.cost, &found.bound, 0, 1);
    found.left = largest_left(found.plan);
    return found;
}

/* Boards cut as sheets are, if that is cheaper. */
static bool find_cheaper(Ctx *c, const Job *job, const Workplan *items,
                         int patience, Found *found) {
    Found   other = with_items(c, items);
    int64_t bound = 0;
    bool    there = layout_sheets(c, job, other.plan, &other.cost, &bound,
                                  found->cost, patience);

    other.bound = bound > found->bound ? bound : found->bound;
    if (!there) {
        found->bound = other.bound;
        return false;
    }
    other.left   = largest_left(other.plan);
    other.coin   = job->coin;
    other.wanted = area_wanted(job);
    *found       = other;
    return true;
}

/* What no cutting can undercut is at least a sum of prices, of boards with
 * room for all blanks; `area`: what they take, 0 if that is open. */
static int64_t to_sum(Ctx *c, const Job *job, double area, int64_t bound,
                      int64_t cost) {
    PriceKind *kinds = NEW_N(c, PriceKind, job->offers.n);

    for (int i = 0; i < job->offers.n; i++) {
        const Offer *o = &job->offers.at[i];
        kinds[i] = (PriceKind){ llround(o->cost * job->coin), o->supply,
                                (o->length - job->start) * o->width };
    }
    return price_sum(c, kinds, job->offers.n, area * (1 - 1e-9), bound, cost);
}

/* Boards by stock_cut where length is all that matters. Where that is not
 * proven, or pieces lie side by side, by ruin and recreate, and then by the
 * search that cuts sheets, too. Quick: to compare, not to cut by. */
static Found cut_boards(Ctx *c, const Model *m, const Job *job,
                        const Workplan *items, bool quick) {
    Cutting *exact = NEW(c, Cutting);
    int64_t  bound = 0;
    bool     linear = board_cutting(c, job, exact, &bound, quick);
    Found    found = { 0 }, other;

    if (linear) {
        found       = by_cutting(c, job, items, exact, bound);
        found.bound = to_sum(c, job, area_wanted(job), bound, found.cost);
        bound       = found.bound;
    }
    if (linear && (found.cost <= bound || quick))
        return found;
    other = by_cutting(c, job, items, search_cutting(c, job, quick), bound);
    if (!linear || is_better(c, m, &other, &found))
        found = other;
    if (linear || quick)
        return found;
    found.bound = to_sum(c, job, area_wanted(job),
                         board_bound(c, job, found.cost), found.cost);
    if (found.cost > found.bound)
        (void)find_cheaper(c, job, items, 1, &found);
    return found;
}

/* The items of one stock, and what they can be cut from. */
static const Job *job_of(Ctx *c, const Model *m, int index,
                         const Workplan *items) {
    const Stock *stock = &m->stocks.at[index];
    Job         *job   = NEW(c, Job);

    job->stock = index;
    job->turns = m->stocks.at[index].grainless;
    job->kerf  = m->kerf.real;
    job->trim  = m->end_trim.real > 0 ? m->end_trim.real : 0;
    job->start = lost_at_end(c, m).real;
    for (int i = 0; i < items->items.n; i++)
        add_want(c, &items->items.at[i], i, job);
    add_offers(c, stock, job);
    return job;
}

static Found cut_items(Ctx *c, const Model *m, int index,
                       const Workplan *items, bool quick) {
    const Stock *stock = &m->stocks.at[index];
    const Job   *job   = job_of(c, m, index, items);
    Found        found;

    if (stock->form == FORM_SHEET)
        found = by_guillotine(c, job, items);
    else
        found = cut_boards(c, m, job, items, quick);
    found.coin   = job->coin;
    found.wanted = area_wanted(job);
    return found;
}

/* ---- Which blanks ---- */

typedef struct {
    const Model *m;
    int          stock;
    const Splits *ways;      // of each part
    int         *chosen;
    int          trials;
} Choosing;

static const Workplan *items_chosen(Ctx *c, const Choosing *ch) {
    Workplan *items = NEW(c, Workplan);

    for (int i = 0; i < ch->m->parts.n; i++) {
        if (ch->m->parts.at[i].stock == ch->stock && ch->ways[i].n > 0)
            demand_items(c, ch->m, i, &ch->ways[i].at[ch->chosen[i]], items);
    }
    return items;
}

static Found cut_chosen(Ctx *c, const Choosing *ch, bool quick) {
    return cut_items(c, ch->m, ch->stock, items_chosen(c, ch), quick);
}

/* Tries the other ways of one part; the better stays. */
static void try_ways(Ctx *c, Choosing *ch, int part, Found *best) {
    int kept = ch->chosen[part];

    for (int i = 0; i < ch->ways[part].n; i++) {
        Found found;
        if (i == kept || ch->trials++ >= MOST_TRIALS)
            continue;
        ch->chosen[part] = i;
        found = cut_chosen(c, ch, true);
        if (is_better(c, ch->m, &found, best)) {
            *best = found;
            kept  = i;
        }
    }
    ch->chosen[part] = kept;
}

/* Are there ways to choose from? False also where the stock is not used. */
static bool has_choice(const Choosing *ch, bool *used) {
    bool choice = false;

    *used = false;
    for (int i = 0; i < ch->m->parts.n; i++) {
        if (ch->m->parts.at[i].stock != ch->stock)
            continue;
        *used  |= ch->ways[i].n > 0;
        choice |= ch->ways[i].n > 1;
    }
    return choice;
}

/* The plainest blanks, or others where that is better; `ch->chosen` says
 * which. */
static Found choose_blanks(Ctx *c, Choosing *ch) {
    size_t size  = sizeof *ch->chosen * (size_t)ch->m->parts.n;
    int   *plain = NEW_N(c, int, ch->m->parts.n + 1), *other;
    Found  first = cut_chosen(c, ch, true), best = first, found;

    memcpy(plain, ch->chosen, size);
    for (int i = 0; i < ch->m->parts.n; i++) {
        if (ch->m->parts.at[i].stock == ch->stock && ch->ways[i].n > 1)
            try_ways(c, ch, i, &best);
    }
    best = cut_chosen(c, ch, false);
    if (memcmp(plain, ch->chosen, size) == 0 || best.cost < first.cost)
        return best;
    other      = ch->chosen;
    ch->chosen = plain;
    found      = cut_chosen(c, ch, false);
    ch->chosen = other;
    if (is_better(c, ch->m, &best, &found))
        return best;
    memcpy(ch->chosen, plain, size);
    return found;
}

/* ---- Whatever the blanks ---- */

/* Adds what a part takes in one of its ways. However many slanted pieces
 * lie head to tail, rectangles as long as each is in its middle would go
 * into their blank, too. */
static const Job *blanks_of(Ctx *c, const Choosing *ch, int part, int way,
                            bool in_middle, Workplan *all) {
    Workplan *items = NEW(c, Workplan);

    demand_items(c, ch->m, part, &ch->ways[part].at[way], items);
    for (int i = 0; i < items->items.n; i++) {
        CutItem *item = &items->items.at[i];
        if (in_middle)
            item->length = quantity_mm(
                middle_length(&ch->m->parts.at[part]));
        *PUSH(c, &all->items) = *item;
    }
    return job_of(c, ch->m, ch->stock, items);
}

/* What no choice of blanks can undercut, or 0: not known. */
static int64_t bound_of_all(Ctx *c, const Choosing *ch, int64_t cost) {
    Workplan  *all    = NEW(c, Workplan);
    Makings    parts  = { 0 };
    bool       panels = false;
    const Job *job;
    Cutting    cut;
    int64_t    bound;

    if (ch->m->stocks.at[ch->stock].form == FORM_SHEET)
        return 0;
    for (int i = 0; i < ch->m->parts.n; i++) {
        const Splits *splits = &ch->ways[i];
        bool  mitered = splits->n > 1 && splits->at[0].strips == 1;
        Ways *ways;
        if (ch->m->parts.at[i].stock != ch->stock || splits->n == 0)
            continue;
        ways = PUSH(c, &parts);
        for (int k = 0; k < (mitered ? 1 : splits->n); k++)
            *PUSH(c, ways) = blanks_of(c, ch, i, k, mitered, all);
        panels |= ways->n > 1;
    }
    job = job_of(c, ch->m, ch->stock, all);
    if (panels)
        return board_bound_any(c, job, &parts, cost);
    if (board_cutting(c, job, &cut, &bound, false))
        return bound;
    return board_bound(c, job, cost);
}

/* The blanks as they are chosen: true if they can be cut for less. */
static bool improve_chosen(Ctx *c, const Choosing *ch, int64_t least,
                           int patience, Found *best) {
    const Workplan *items = items_chosen(c, ch);
    Found           found = *best;

    found.bound = least;
    if (!find_cheaper(c, job_of(c, ch->m, ch->stock, items), items, patience,
                      &found))
        return false;
    *best = found;
    return true;
}

/* Other ways for one part after the other, as long as the cost is not as
 * low as it can be. */
static void improve_blanks(Ctx *c, Choosing *ch, int64_t least, int patience,
                           Found *best) {
    ch->trials = 0;
    if (best->cost > least)
        (void)improve_chosen(c, ch, least, patience, best);
    for (int part = 0; part < ch->m->parts.n; part++) {
        int kept = ch->chosen[part];
        if (ch->m->parts.at[part].stock != ch->stock)
            continue;
        for (int i = 0; i < ch->ways[part].n; i++) {
            if (i == kept || best->cost <= least
                || ch->trials++ >= MOST_IMPROVED)
                continue;
            ch->chosen[part] = i;
            if (improve_chosen(c, ch, least, patience, best))
                kept = i;
        }
        ch->chosen[part] = kept;
    }
}

/* The stock, its parts in the best way that is found; `choice`: others may
 * be better still. */
static Found cut_stock(Ctx *c, Choosing *ch, bool *choice) {
    static const uint8_t patience[] = { 3, 9, 30 };   // times as much work
    Found   found;
    int64_t least;

    ch->trials = 0;
    if (!*choice)
        return cut_chosen(c, ch, false);
    found = choose_blanks(c, ch);
    least = bound_of_all(c, ch, found.cost);
    if (least > 0)
        least = to_sum(c, job_of(c, ch->m, ch->stock, found.plan), 0, least,
                       found.cost);
    for (int i = 0; i < COUNT(patience) && least > 0; i++)
        improve_blanks(c, ch, least, patience[i], &found);
    *choice = least < found.cost;
    return found;
}

/* What is known of the cost, and what of it is for wood in no part. */
static void note_proof(Ctx *c, const Model *m, int stock, const Found *found,
                       bool choice, Workplan *p) {
    Proof  *proof = PUSH(c, &p->proofs);
    int64_t coin  = (int64_t)found->coin, cost = found->cost;
    int64_t bound = found->bound < cost ? found->bound : cost;
    double  area  = 0;

    for (int i = 0; i < found->plan->layouts.n; i++) {
        const Layout *l = &found->plan->layouts.at[i];
        area += l->copies * l->length * l->width;
    }
    proof->stock  = stock;
    proof->priced = all_priced(&m->stocks.at[stock]);
    proof->proven = bound == cost;
    proof->choice = choice;
    proof->cost   = quantity_exact(cost, coin, DIM_MONEY);
    proof->bound  = quantity_exact(bound, coin, DIM_MONEY);
    proof->waste  = quantity_exact(
        llround((double)cost * (1 - found->wanted / area)), coin, DIM_MONEY);
}

/* The layouts of a stock, their items being those of its parts in order. */
static void keep_found(Ctx *c, const Model *m, int stock, const Found *found,
                       Workplan *p) {
    int *items = NEW_N(c, int, p->items.n + 1), n = 0;

    for (int i = 0; i < p->items.n; i++) {
        if (m->parts.at[p->items.at[i].part].stock == stock)
            items[n++] = i;
    }
    for (int i = 0; i < found->plan->layouts.n; i++) {
        Layout *l = PUSH(c, &p->layouts);
        *l = found->plan->layouts.at[i];
        for (int k = 0; k < l->placed.n; k++)
            l->placed.at[k].item = items[l->placed.at[k].item];
    }
}

static void cut_all(Ctx *c, const Model *m, const Splits *ways, Workplan *p) {
    Choosing ch    = { .m = m, .ways = ways,
                       .chosen = NEW_N(c, int, m->parts.n + 1) };
    Found   *found = NEW_N(c, Found, m->stocks.n + 1);

    for (ch.stock = 0; ch.stock < m->stocks.n; ch.stock++) {
        bool used, choice = has_choice(&ch, &used);
        if (!used)
            continue;
        found[ch.stock] = cut_stock(c, &ch, &choice);
        note_proof(c, m, ch.stock, &found[ch.stock], choice, p);
    }
    for (int i = 0; i < m->parts.n; i++) {
        if (ways[i].n > 0)
            demand_items(c, m, i, &ways[i].at[ch.chosen[i]], p);
    }
    for (int i = 0; i < m->stocks.n; i++) {
        if (found[i].plan)
            keep_found(c, m, i, &found[i], p);
    }
}

/* ---- All of it ---- */

bool plan_cuts(Ctx *c, const Model *m, Workplan *p) {
    const Splits *ways = demand_ways(c, m);

    if (!ways)
        return false;
    cut_all(c, m, ways, p);
    order_cuts(c, m, p);
    add_buys(c, m, p);
    return true;
}
