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

static bool fits(Quantity size, Quantity room) {
    return size.real <= room.real + SLACK_MM;
}

/* Sheets: the part lies with the grain if it can, else across it. */
static bool fits_some(const Stock *stock, Quantity lost, Quantity along,
                      Quantity across) {
    for (int i = 0; i < stock->sold.n; i++) {
        const Sold *s    = &stock->sold.at[i];
        Quantity    wide = stock->form == FORM_SHEET ? s->width
                                                     : stock->width;
        if (along.real + lost.real <= s->length.real + SLACK_MM
            && fits(across, wide))
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
        hint(c, "sell a longer size; trimming its end takes %.*s of each",
             STR_ARG(shown(c, lost)));
    else
        hint(c, "add a longer size to what is sold");
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
         : "take wider stock, or let the part be \"joined\" from strips");
    return true;
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
    if (widest->real <= 0 || stock->form != FORM_SHEET)
        *widest = stock->width;
}

/* False: the part cannot be cut from its stock, which is reported. `width`
 * is that of the part or of one of its strips. */
static bool part_fits(Ctx *c, const Model *m, const Part *part,
                      Quantity width) {
    const Stock *stock = &m->stocks.at[part->stock];
    Quantity     lost  = lost_at_end(c, m), longest, widest;
    bool         too_long, too_wide;

    if (fits_some(stock, lost, part->long_length, width)
        || (stock->form == FORM_SHEET
            && fits_some(stock, lost, width, part->long_length)))
        return true;
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

static bool demand(Ctx *c, const Model *m, Workplan *p) {
    int errors = c->errors;

    for (int i = 0; i < m->parts.n; i++) {
        const Part *part = &m->parts.at[i];
        Quantity    width;
        int         strips;

        if (times_made(part) < 1 || !has_stock(c, m, part))
            continue;
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

static void add_offers(Ctx *c, const Stock *stock, Job *job) {
    bool priced = true;

    for (int i = 0; i < stock->sold.n; i++)
        priced = priced && stock->sold.at[i].priced;
    for (int i = 0; i < stock->sold.n; i++) {
        const Sold *s = &stock->sold.at[i];
        Offer      *o = PUSH(c, &job->offers);
        o->sold   = i;
        o->length = s->length.real;
        o->width  = stock->form == FORM_SHEET ? s->width.real
                                              : stock->width.real;
        o->cost   = priced ? s->price.real : o->length * o->width;
    }
}

static Want *find_want(Job *job, double length, double width, bool turned) {
    for (int i = 0; i < job->wants.n; i++) {
        Want *w = &job->wants.at[i];
        if (w->turned == turned
            && fabs(w->length - length) < SLACK_MM / 10
            && fabs(w->width - width) < SLACK_MM / 10)
            return w;
    }
    return NULL;
}

static void add_want(Ctx *c, const Stock *stock, Quantity lost,
                     const CutItem *item, int index, Job *job) {
    bool   turned = stock->form == FORM_SHEET
                 && !fits_some(stock, lost, item->length, item->width);
    double length = turned ? item->width.real : item->length.real;
    double width  = turned ? item->length.real : item->width.real;
    Want  *w      = find_want(job, length, width, turned);

    if (!w) {
        w         = PUSH(c, &job->wants);
        w->length = length;
        w->width  = width;
        w->turned = turned;
    }
    w->count    += item->count;
    job->pieces += item->count;
    *PUSH(c, &w->items) = index;
}

static void cut_stock(Ctx *c, const Model *m, int index, Workplan *p) {
    const Stock *stock = &m->stocks.at[index];
    Job         *job   = NEW(c, Job);
    Quantity     lost  = lost_at_end(c, m);

    job->stock = index;
    job->kerf  = m->kerf.real;
    job->trim  = m->end_trim.real > 0 ? m->end_trim.real : 0;
    job->start = lost.real;
    add_offers(c, stock, job);
    for (int i = 0; i < p->items.n; i++) {
        const CutItem *item = &p->items.at[i];
        if (m->parts.at[item->part].stock == index)
            add_want(c, stock, lost, item, i, job);
    }
    if (job->pieces > 0 && stock->form == FORM_SHEET)
        layout_sheets(c, job, p);
    else if (job->pieces > 0)
        layout_write(c, job, search_cutting(c, job), p);
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
