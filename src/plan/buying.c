/* buying -- what has to be bought for the layouts, and what it is for.
 *
 * Board feet: trade-figures 2; stock under 1 in counts as 1 in (Griffith,
 * "Carpentry", 1916, section 77). Hardwood is reckoned by its rough size.
 */
#include "plan/plan_internal.h"

#include <math.h>

#define INCH 25.4

double board_feet(double thickness_mm, double width_mm, double length_mm) {
    return fmax(thickness_mm / INCH, 1) * (width_mm / INCH)
         * (length_mm / INCH) / 144;
}

double stock_board_feet(const Stock *stock, const Sold *sold) {
    Quantity width = sold->width;

    if (stock->form != FORM_BOARD)
        return 0;
    if (quantity_cmp(width, stock->width) == 0)
        width = stock->bought_width;
    return board_feet(stock->bought_thickness.real, width.real,
                      sold->length.real);
}

/* ---- Boards ---- */

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

void add_buys(Ctx *c, const Model *m, Workplan *p) {
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

/* ---- What it is for ---- */

double jig_share(const Model *m, const Workplan *p, int stock) {
    double jigs = 0, area = 0;

    for (int i = 0; i < p->layouts.n; i++) {
        const Layout *l = &p->layouts.at[i];
        if (l->stock != stock)
            continue;
        area += l->copies * l->length * l->width;
        for (int k = 0; k < l->placed.n; k++) {
            const Placed *at = &l->placed.at[k];
            if (m->parts.at[p->items.at[at->item].part].jig)
                jigs += l->copies * at->length * at->width;
        }
    }
    return area > 0 ? jigs / area : 0;
}

double kept_share(const Workplan *p, int stock) {
    double kept = 0, area = 0;

    for (int i = 0; i < p->layouts.n; i++) {
        const Layout *l = &p->layouts.at[i];
        if (l->stock != stock)
            continue;
        area += l->copies * l->length * l->width;
        for (int k = 0; k < l->leftovers.n; k++)
            kept += l->copies * l->leftovers.at[k].length
                  * l->leftovers.at[k].width;
    }
    return area > 0 ? kept / area : 0;
}

double panel_glue_area(const Model *m, const Workplan *p) {
    double area = 0;

    for (int i = 0; i < p->items.n; i++) {
        const CutItem *item = &p->items.at[i];
        if (item->strip > 1)   // a joint with the strip before it
            area += item->count * item->length.real
                  * m->stocks.at[m->parts.at[item->part].stock]
                        .thickness.real;
    }
    return area;
}
