/* cutting_pages -- how the boards are prepared and cut up, and all blanks.
 * The diagrams are in cut_diagram.c. */
#include "plan/cut_order.h"
#include "press/sections.h"

/* ---- Preparing ---- */

/* Leaves through the thickness of a strip, or from its edges. */
static void say_resawing(Press *p, Para *para, const Stock *stock) {
    say(p, para, "make the strips as the list of cuts says. ");
    if (stock->from_edges) {
        say(p, para, "Saw the leaves off both edges of each by turns, with "
            "the leaf falling free on the far side of the blade. The core "
            "that you hold stays ");
        say_figure(p, para, figure_length(p->c, p->e, stock->core,
                                          STR("stock.resawn.core")));
        say(p, para, " wide or more. Joint the edge again before each leaf");
    } else {
        say(p, para, "Saw each on edge into ");
        say_count(p, para, stock->leaves, "leaves out of one board");
        say(p, para, stock->leaves > 1 ? " leaves" : " leaf");
        if (stock->core.real > 0) {
            say(p, para, " and a core of ");
            say_figure(p, para, figure_length(p->c, p->e, stock->core,
                                              STR("stock.resawn.core")));
            say(p, para, " or more that you hold it by");
        }
    }
    say(p, para, ". Plane or sand the leaves to ");
    say_figure(p, para, figure_length(p->c, p->e, stock->thickness,
                                      stock->key));
    say(p, para, ", and only then crosscut them as a stack. Under its diagram "
        "each strip is drawn from the end.");
}

/* One board may be planed for some parts and sawn into leaves for others, so
 * they are named. */
static void prepare_stock(Press *p, const Stock *stock, int n) {
    int  index = (int)(stock - p->m->stocks.at);
    Para para  = { 0 };

    say_stock(p, &para, stock);
    for (int jigs = 0; jigs < 2; jigs++) {
        Para letters = stock_letters(p, index, jigs);
        if (letters.spans.n)
            say(p, &para, jigs ? ", jigs " : " for ");
        for (int i = 0; i < letters.spans.n; i++)
            *PUSH(p->c, &para.spans) = letters.spans.at[i];
    }
    say(p, &para, ": ");
    if (stock->leaves) {
        say_resawing(p, &para, stock);
    } else {
        say(p, &para, "plane from ");
        say_figure(p, &para, figure_length(p->c, p->e,
                                           stock->bought_thickness,
                                           STR("thickness as bought")));
        say(p, &para, " down to ");
        say_figure(p, &para, figure_length(p->c, p->e, stock->thickness,
                                           stock->key));
        say(p, &para, " before you cut it up, while the boards are long "
            "enough to hold.");
    }
    flow_item(p, 0, TEXT_W, STYLE_TEXT, ITEM_NUMBER, n, &para);
}

static void prepare(Press *p) {
    int n = 0;

    for (int i = 0; i < p->m->stocks.n; i++) {
        const Stock *stock = &p->m->stocks.at[i];
        if (!stock->planed && !stock->leaves)
            continue;
        if (n == 0)
            heading(p, STR("Prepare the boards"), SIZE_LEAD);
        prepare_stock(p, stock, ++n);
    }
}

static void say_kerf(Press *p, Para *para) {
    say(p, para, " Every cut turns ");
    say_figure(p, para, figure_length(p->c, p->e, p->m->kerf,
                                      STR("saw.kerf")));
    say(p, para, " to dust; the diagrams allow for it");
    if (p->m->end_trim.real > 0) {
        say(p, para, " and for ");
        say_figure(p, para, figure_length(p->c, p->e, p->m->end_trim,
                                          STR("saw.end trim")));
        say(p, para, " trimmed off the left end of every board");
    }
    say(p, para, ".");
}

/* ---- All blanks ---- */

/* "gives 3 leaves, 66 needed"; "8 pieces head to tail". */
static void say_yield(Press *p, Para *para, const CutItem *item) {
    const Part *part = &p->m->parts.at[item->part];

    if (item->leaves) {
        say(p, para, "gives ");
        say_count(p, para, item->leaves, "leaves out of one blank");
        say(p, para, item->leaves > 1 ? " leaves, " : " leaf, ");
        say_count(p, para, part->quantity, "pieces placed");
        say(p, para, " needed");
    }
    if (item->heads) {
        say(p, para, item->leaves ? "; " : "");
        say_count(p, para, item->heads, "pieces in one blank");
        say(p, para, " pieces head to tail");
    }
}

static Para blank_note(Press *p, const CutItem *item) {
    const Part *part = &p->m->parts.at[item->part];
    Para        para = { 0 }, cut = { 0 };

    say_yield(p, &para, item);
    if (item->strip) {
        say(p, &para, "strip of a panel");
    } else if (!item->leaves && !item->heads && !part->plain) {
        say(p, &para, "then shaped");
        if (p->known && p->known->part[item->part].drawing >= 0) {
            say(p, &para, ", ");
            say_page(p, &para, p->known->part[item->part].drawing);
        }
    }
    if (say_cut_with(p, &cut, item->part)) {
        if (para.spans.n)
            say(p, &para, "; ");
        (void)say_cut_with(p, &para, item->part);
    }
    if (part->fit[0] || part->fit[1]) {
        say(p, &para, para.spans.n ? "; " : "");
        (void)say_fit(p, &para, part);
    }
    return para;
}

/* Strips of one width stand in one row, with the first of them. */
static bool is_first(const Press *p, int index, int *count) {
    const CutItem *item = &p->plan->items.at[index];

    *count = 0;
    for (int i = 0; i < p->plan->items.n; i++) {
        const CutItem *at = &p->plan->items.at[i];
        bool alike = i == index
                  || (item->strip && at->part == item->part
                      && quantity_cmp(at->width, item->width) == 0);
        if (alike && i < index)
            return false;
        *count += alike ? at->count : 0;
    }
    return true;
}

static void blanks(Press *p) {
    static const Column columns[] = {
        { "", COLUMN_TEXT, 10 },        { "Blanks", COLUMN_COUNT, 16 },
        { "Wide", COLUMN_FIGURE, 22 },  { "Long", COLUMN_FIGURE, 24 },
        { "From", COLUMN_TEXT, 48 },    { "", COLUMN_TEXT, 63 },
    };
    Table t;
    int   count;

    heading(p, STR("All blanks"), SIZE_LEAD);
    t = table_begin(p, 0, columns, COUNT(columns));
    for (int i = 0; i < p->plan->items.n; i++)
        t.left += is_first(p, i, &count);
    table_fit(p, &t);
    for (int i = 0; i < p->plan->items.n; i++) {
        const CutItem *item = &p->plan->items.at[i];
        const Part    *part = &p->m->parts.at[item->part];
        Para           cells[COUNT(columns)] = { 0 };
        if (!is_first(p, i, &count))
            continue;
        say_letter(p, &cells[0], item->part);
        say_count(p, &cells[1], count, "blanks to cut");
        say_stock(p, &cells[4], &p->m->stocks.at[part->stock]);
        cells[5] = blank_note(p, item);
        table_row(p, &t, table_row_height(p, &t, cells));
        for (int k = 0; k < COUNT(columns); k++) {
            if (cells[k].spans.n)
                table_para(p, &t, k, &cells[k]);
        }
        table_figure(p, &t, 2, figure_length(p->c, p->e, item->width,
                                             STR("width as cut")));
        table_figure(p, &t, 3, figure_length(p->c, p->e, item->length,
                                             STR("length as cut")));
    }
    table_end(p, &t);
}

/* Cuts that cannot be made with something long in hand, whatever their
 * order; plan/cut_order.h has the rule and its source. */
static bool any_small_cut(const Press *p) {
    bool any = false;

    for (int i = 0; i < p->plan->layouts.n; i++) {
        const Layout *l = &p->plan->layouts.at[i];
        any = any || l->small_strips;
        for (int k = 0; k < l->cuts.n; k++)
            any = any || l->cuts.at[k].small;
    }
    for (int i = 0; i < p->plan->items.n; i++)
        any = any || (p->plan->items.at[i].heads
                      && heads_are_small(&p->m->parts.at[
                             p->plan->items.at[i].part]));
    return any;
}

/* Those that are small, too, have the other mark. */
static bool any_narrow_cut(const Press *p) {
    for (int i = 0; i < p->plan->layouts.n; i++) {
        const Layout *l = &p->plan->layouts.at[i];
        for (int k = 0; k < l->cuts.n; k++) {
            if (l->cuts.at[k].narrow && !l->cuts.at[k].small)
                return true;
        }
    }
    return false;
}

static void caution_small_cuts(Press *p) {
    Para para = { 0 };

    if (!any_small_cut(p))
        return;
    say(p, &para, "Cuts marked * are made in wood shorter than ");
    say_figure(p, &para, figure_length(p->c, p->e, quantity_mm(SMALL_HELD_MM),
                                       STR("rule: short piece")));
    say(p, &para, "; no other order of cuts avoids them. It can turn and be "
        "thrown, and hands come near the blade. Clamp it to a sled or miter "
        "gauge, or use a push stick or a hand saw.");
    space_down(p, HALF_LINE);
    flow_caution(p, 0, TEXT_W, SIGNAL_WARNING, &para);
}

static void caution_narrow_cuts(Press *p) {
    Para para = { 0 };

    if (!any_narrow_cut(p))
        return;
    say(p, &para, "Cuts marked † run along wood narrower than ");
    say_figure(p, &para, figure_length(p->c, p->e,
                                       quantity_mm(NARROW_HELD_MM),
                                       STR("rule: narrow rip")));
    say(p, &para, "; no other order of cuts avoids them. Hands come near the "
        "blade: use a push block and a feather board, or a bandsaw or a hand "
        "saw.");
    space_down(p, HALF_LINE);
    flow_caution(p, 0, TEXT_W, SIGNAL_WARNING, &para);
}

static bool any_heads(const Press *p) {
    for (int i = 0; i < p->plan->items.n; i++) {
        if (p->plan->items.at[i].heads)
            return true;
    }
    return false;
}

void press_cutting(Press *p) {
    double k      = cut_diagram_scale(p);
    int    number = 1;
    Para   para;

    page_begin(p, SECTION_CUT, PAGE_TEXT);
    bookmark(p, STR("How to cut it"), 0);
    heading(p, STR("How to cut it"), SIZE_HEAD);
    prepare(p);
    press_panels(p);
    heading(p, STR("Cut the boards"), SIZE_LEAD);
    para = para_of(p, "One diagram for each different board, all to one "
        "scale; width × length of each blank inside, letters as in the "
        "parts table. Saw in the order of the numbers: each cut goes right "
        "across what is on the saw, and the list says how far the fence or "
        "the stop stands from the blade, which is square to the table; "
        "letters tell what comes off where a drawing has no room for a "
        "number. "
        "Slanted ends and curves are cut later, from these blanks.");
    say_kerf(p, &para);
    if (any_heads(p))
        say(p, &para, " Where pieces with slanted ends lie head to tail in "
            "one blank, the line under the list says how the saw is set and "
            "how the wood is turned: cut the left end of the blank slanted "
            "first, then one piece after the other from it.");
    flow_para(p, 0, TEXT_W, STYLE_TEXT, &para);
    caution_small_cuts(p);
    caution_narrow_cuts(p);
    space_down(p, HALF_LINE);
    for (int i = 0; i < p->plan->layouts.n; i++)
        number = cut_diagram(p, &p->plan->layouts.at[i], number, k);
    blanks(p);
}
