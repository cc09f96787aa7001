/* cut -- what has to be cut from each stock, and what to buy for it.
 *
 * Every part is wanted as often as it is placed. A part that is joined from
 * strips is wanted as strips; a thin part on resawn stock as blanks that
 * give several leaves each. A part that fits nothing that is sold is an
 * error, and all such parts are reported before the stage gives up.
 * board_feet: trade-figures 2; stock under 1 in counts as 1 in (Griffith,
 * "Carpentry", 1916, section 77).
 */
#include "plan/plan_internal.h"

#include <math.h>

#define INCH 25.4
#define MOST_STRIPS 100   // more is a slip in the design, not a panel

double board_feet(double thickness_mm, double width_mm, double length_mm) {
    return fmax(thickness_mm / INCH, 1) * (width_mm / INCH)
         * (length_mm / INCH) / 144;
}

/* ---- Parts that fit nothing ---- */

static const char *const board_words[] = { "board", "sheet", "dowel" };
                                                      // ORDER FORM

static Str shown(Ctx *c, Quantity q) {
    Buf b = BUF(c);

    quantity_show(&b, q);
    return buf_done(&b);
}

/* What each board loses at its left end. */
static Quantity lost_at_end(Ctx *c, const Model *m) {
    if (m->end_trim.real <= 0)
        return quantity_exact(0, 1, DIM_LENGTH);
    return quantity_add(c, (Loc){ 0 }, m->end_trim, m->kerf);
}

/* What it loses in all: the trimmed end, and where its defects are. */
static Quantity lost_of(Ctx *c, const Model *m, const Stock *stock) {
    if (stock->defects.real <= 0)
        return lost_at_end(c, m);
    return quantity_add(c, (Loc){ 0 }, lost_at_end(c, m), stock->defects);
}

static bool fits(Quantity size, Quantity room) {
    return size.real <= room.real + SLACK_MM;
}

static bool fits_some(const Stock *stock, Quantity lost, Quantity along,
                      Quantity across) {
    for (int i = 0; i < stock->sold.n; i++) {
        const Sold *s    = &stock->sold.at[i];
        if (along.real + lost.real <= s->length.real + SLACK_MM
            && fits(across, s->width))
            return true;
    }
    return false;
}

static bool report_too_long(Ctx *c, const Part *part, const Stock *stock,
                            Quantity longest, Quantity lost) {
    Quantity room = quantity_sub(c, part->loc, longest, lost);
    Quantity over = quantity_sub(c, part->loc, part->long_length, room);

    if (over.real <= SLACK_MM)
        return false;
    report(c, part->loc, PART_TOO_BIG,
           "part %.*s is %.*s long, but the longest %s of '%.*s' gives "
           "%.*s: %.*s are missing", STR_ARG(part->letter),
           STR_ARG(shown(c, part->long_length)), board_words[stock->form],
           STR_ARG(stock->key), STR_ARG(shown(c, room)),
           STR_ARG(shown(c, over)));
    if (lost.real > 0)
        hint(c, "sell a longer size, or joint two pieces; trim and defects "
             "take %.*s of each",
             STR_ARG(shown(c, lost)));
    else
        hint(c, "add a longer size to what is sold, or make the part of two "
             "pieces with a joint");
    return true;
}

static bool report_too_wide(Ctx *c, const Part *part, const Stock *stock,
                            Quantity width, Quantity widest) {
    Quantity over = quantity_sub(c, part->loc, width, widest);

    if (over.real <= SLACK_MM)
        return false;
    report(c, part->loc, PART_TOO_BIG,
           "part %.*s is %.*s wide, but a %s of '%.*s' only %.*s: %.*s are "
           "missing", STR_ARG(part->letter), STR_ARG(shown(c, width)),
           board_words[stock->form], STR_ARG(stock->key),
           STR_ARG(shown(c, widest)), STR_ARG(shown(c, over)));
    hint(c, stock->form == FORM_DOWEL
         ? "take a thicker dowel"
         : part->long_length.real <= widest.real && !part->joined
         ? "it would fit only with the grain across it: turn its length and "
           "width, or let it be \"joined\" from strips"
         : "take wider stock, or let the part be \"joined\" from strips");
    return true;
}

/* A sheet is large enough, but with the grain across the part. */
static void report_grain(Ctx *c, const Part *part, const Stock *stock,
                         Quantity width) {
    report(c, part->loc, PART_TOO_BIG,
           "part %.*s, %.*s long and %.*s wide, fits on a sheet of '%.*s' "
           "only with the grain across it", STR_ARG(part->letter),
           STR_ARG(shown(c, part->long_length)), STR_ARG(shown(c, width)),
           STR_ARG(stock->key));
    hint(c, "turn its length and width, sell a longer sheet, or, if the "
         "sheets have no grain, say \"grain\": \"none\" there");
}

/* Of all that is sold, the longest; and the widest that is long enough. */
static void find_largest(const Stock *stock, Quantity lost, Quantity length,
                         Quantity *longest, Quantity *widest) {
    *longest = stock->sold.at[0].length;
    *widest  = quantity_exact(0, 1, DIM_LENGTH);
    for (int i = 0; i < stock->sold.n; i++) {
        const Sold *s = &stock->sold.at[i];
        if (quantity_cmp(s->length, *longest) > 0)
            *longest = s->length;
    }
    for (int i = 0; i < stock->sold.n; i++) {
        const Sold *s      = &stock->sold.at[i];
        bool        enough = length.real + lost.real
                          <= s->length.real + SLACK_MM;
        if (enough && quantity_cmp(s->width, *widest) > 0)
            *widest = s->width;
    }
    if (widest->real <= 0)
        *widest = stock->width;
}

/* False: the part cannot be cut from its stock, which is reported. `width`
 * is that of the part or of one of its strips. */
static bool part_fits(Ctx *c, const Model *m, const Part *part,
                      Quantity width) {
    const Stock *stock = &m->stocks.at[part->stock];
    Quantity     lost  = lost_of(c, m, stock), longest, widest;
    bool         too_long, too_wide;

    if (fits_some(stock, lost, part->long_length, width)
        || (stock->grainless
            && fits_some(stock, lost, width, part->long_length)))
        return true;
    if (stock->form == FORM_SHEET
        && fits_some(stock, lost, width, part->long_length))
        return report_grain(c, part, stock, width), false;
    find_largest(stock, lost, part->long_length, &longest, &widest);
    too_long = report_too_long(c, part, stock, longest, lost);
    too_wide = report_too_wide(c, part, stock, width, widest);
    return !too_long && !too_wide;
}

static bool has_stock(Ctx *c, const Model *m, const Part *part) {
    if (part->stock >= 0 && part->stock < m->stocks.n
        && m->stocks.at[part->stock].sold.n > 0)
        return true;
    report(c, part->loc, PART_NO_STOCK,
           "part %.*s cannot be cut: its stock is sold in no length",
           STR_ARG(part->letter));
    hint(c, "say in \"sold\" which lengths there are");
    return false;
}

/* ---- Items ---- */

static int times_made(const Part *part) {
    return part->jig ? part->jig_count : part->quantity;
}

/* How many strips an edge-joined part needs; 1 where it needs no joint. */
static int strips_of(const Model *m, const Part *part, const Stock *stock) {
    double room = stock->width.real - m->joint.real, n;

    if (!part->joined || stock->form == FORM_DOWEL
        || fits(part->width, stock->width) || room <= 0)
        return 1;
    n = ceil(part->width.real / room - 1e-9);
    return n > MOST_STRIPS ? MOST_STRIPS + 1 : (int)n;
}

/* A strip is ripped a little wide, so that the panel still has its width
 * when the edges have been jointed. */
static Quantity strip_width(Ctx *c, const Model *m, const Part *part,
                            int strips) {
    Quantity equal;

    if (strips == 1)
        return part->width;
    equal = quantity_div(c, part->loc, part->width,
                         quantity_exact(strips, 1, DIM_NUMBER));
    return quantity_add(c, part->loc, equal, m->joint);
}

static void add_items(Ctx *c, Workplan *p, const Model *m, int index,
                      int strips, Quantity width) {
    const Part  *part  = &m->parts.at[index];
    const Stock *stock = &m->stocks.at[part->stock];
    int          times = times_made(part);

    for (int i = 0; i < strips; i++) {
        CutItem *item = PUSH(c, &p->items);
        item->part   = index;
        item->strip  = strips > 1 ? i + 1 : 0;
        item->strips = strips > 1 ? strips : 0;
        item->length = part->long_length;
        item->width  = stock->form == FORM_DOWEL ? stock->width : width;
        item->count  = times;
        if (stock->leaves > 0) {
            item->leaves = times < stock->leaves ? times : stock->leaves;
            item->count  = (times + stock->leaves - 1) / stock->leaves;
        }
    }
}

/* A kerf wider than what it is to part. */
static void check_kerf(Ctx *c, const Model *m, const Part *part) {
    Quantity least = quantity_cmp(part->width, part->long_length) < 0
                   ? part->width : part->long_length;

    if (m->kerf.real < least.real)
        return;
    report(c, part->loc, KERF_ODD,
           "the kerf of %.*s is no less than part %.*s, which is %.*s small",
           STR_ARG(shown(c, m->kerf)), STR_ARG(part->letter),
           STR_ARG(shown(c, least)));
    hint(c, "check the kerf, or cut so small a part with a finer saw");
}

static bool demand(Ctx *c, const Model *m, Workplan *p) {
    int errors = c->errors;

    for (int i = 0; i < m->parts.n; i++) {
        const Part *part = &m->parts.at[i];
        Quantity    width;
        int         strips;

        if (times_made(part) < 1 || !has_stock(c, m, part))
            continue;
        check_kerf(c, m, part);
        strips = strips_of(m, part, &m->stocks.at[part->stock]);
        if (strips > MOST_STRIPS) {
            report(c, part->loc, PART_TOO_BIG,
                   "part %.*s would be joined from more than %d strips",
                   STR_ARG(part->letter), MOST_STRIPS);
            continue;
        }
        width = strip_width(c, m, part, strips);
        if (part_fits(c, m, part, width))
            add_items(c, p, m, i, strips, width);
    }
    return c->errors == errors;
}

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

/* Cost and bound in coins, and what of the cost is for wood in no part;
 * `area` is of the wood that is bought. */
static void note_proof(Ctx *c, const Stock *stock, const Job *job,
                       int64_t cost, int64_t bound, double area,
                       Workplan *p) {
    Proof  *proof = PUSH(c, &p->proofs);
    int64_t coin  = (int64_t)job->coin;

    bound         = bound < cost ? bound : cost;
    proof->stock  = job->stock;
    proof->priced = all_priced(stock);
    proof->proven = bound == cost;
    proof->cost   = quantity_exact(cost, coin, DIM_MONEY);
    proof->bound  = quantity_exact(bound, coin, DIM_MONEY);
    proof->waste  = quantity_exact(
        llround((double)cost * (1 - area_wanted(job) / area)), coin,
        DIM_MONEY);
}

/* By stock_cut where length is all that matters, else by the search; and
 * what no cutting can undercut. */
static const Cutting *best_cutting(Ctx *c, const Job *job, int64_t *bound) {
    Cutting       *exact = NEW(c, Cutting);
    const Cutting *found;
    bool           linear;

    *bound = 0;
    linear = board_cutting(c, job, exact, bound);
    if (linear && llround(cutting_cost(job, exact) * job->coin) <= *bound)
        return exact;
    found = search_cutting(c, job);
    if (!linear)
        *bound = board_bound(c, job);
    if (linear && cutting_cost(job, exact) <= cutting_cost(job, found))
        return exact;
    return found;
}

static void cut_boards(Ctx *c, const Stock *stock, const Job *job,
                       Workplan *p) {
    int64_t        bound;
    const Cutting *cut  = best_cutting(c, job, &bound);
    double         area = 0;

    for (int i = 0; i < cut->n_boards; i++) {
        const Offer *o = &job->offers.at[cut->boards[i].offer];
        area += o->bought * o->width;
    }
    layout_write(c, job, cut, p);
    note_proof(c, stock, job, llround(cutting_cost(job, cut) * job->coin),
               bound, area, p);
}

static void cut_sheets(Ctx *c, const Stock *stock, const Job *job,
                       Workplan *p) {
    int     first = p->layouts.n;
    int64_t cost, bound;
    double  area = 0;

    layout_sheets(c, job, p, &cost, &bound);
    for (int i = first; i < p->layouts.n; i++) {
        const Layout *l = &p->layouts.at[i];
        area += l->copies * l->length * l->width;
    }
    note_proof(c, stock, job, cost, bound, area, p);
}

static void cut_stock(Ctx *c, const Model *m, int index, Workplan *p) {
    const Stock *stock = &m->stocks.at[index];
    Job         *job   = NEW(c, Job);

    job->stock = index;
    job->turns = m->stocks.at[index].grainless;
    job->kerf  = m->kerf.real;
    job->trim  = m->end_trim.real > 0 ? m->end_trim.real : 0;
    job->start = lost_at_end(c, m).real;
    for (int i = 0; i < p->items.n; i++) {
        const CutItem *item = &p->items.at[i];
        if (m->parts.at[item->part].stock == index)
            add_want(c, item, i, job);
    }
    if (job->pieces == 0)
        return;
    add_offers(c, stock, job);
    if (stock->form == FORM_SHEET)
        cut_sheets(c, stock, job, p);
    else
        cut_boards(c, stock, job, p);
}

/* ---- Buying ---- */

static Buy *find_buy(Ctx *c, Workplan *p, int stock, int sold) {
    Buy *buy;

    for (int i = 0; i < p->buys.n; i++) {
        if (p->buys.at[i].stock == stock && p->buys.at[i].sold == sold)
            return &p->buys.at[i];
    }
    buy        = PUSH(c, &p->buys);
    buy->stock = stock;
    buy->sold  = sold;
    return buy;
}

static void add_buys(Ctx *c, const Model *m, Workplan *p) {
    for (int i = 0; i < p->layouts.n; i++) {
        const Layout *l = &p->layouts.at[i];
        if (!l->on_hand)
            find_buy(c, p, l->stock, l->sold)->count += l->copies;
    }
    for (int i = 0; i < p->buys.n; i++) {
        Buy        *buy  = &p->buys.at[i];
        const Sold *sold = &m->stocks.at[buy->stock].sold.at[buy->sold];
        buy->cost = quantity_exact(0, 1, DIM_MONEY);
        if (sold->priced)
            buy->cost = quantity_mul(c, (Loc){ 0 }, sold->price,
                                     quantity_exact(buy->count, 1,
                                                    DIM_NUMBER));
    }
}

bool plan_cuts(Ctx *c, const Model *m, Workplan *p) {
    if (!demand(c, m, p))
        return false;
    for (int i = 0; i < m->stocks.n; i++)
        cut_stock(c, m, i, p);
    order_cuts(c, m, p);
    add_buys(c, m, p);
    return true;
}
