/* shopping -- a page to take to the store: boards, hardware, finish. */
#include "press/sections.h"

#include <math.h>

Str part_source(Press *p, const Part *part, const char *name) {
    return str_fmt(p->c, "%.*s.%s", STR_ARG(part->letter), name);
}

void say_stock(Press *p, Para *para, const Stock *stock) {
    Str source = str_fmt(p->c, "stock %.*s", STR_ARG(stock->key));

    if (stock->name.n) {
        say_author(p, para, stock->name, source);
        say(p, para, " ");
    }
    say_author(p, para, stock->wood.n ? stock->wood : stock->key, source);
    if (stock->form == FORM_DOWEL)
        say(p, para, " dowel");
}

static Figure length_of(Press *p, Quantity q, const char *source) {
    return figure_length(p->c, p->e, q, str_from(p->c, source));
}

/* Actual size: thickness × width, or the diameter. */
static Para actual_size(Press *p, const Stock *stock, const Sold *sold) {
    Para para = { 0 };

    if (stock->form == FORM_DOWEL) {
        say(p, &para, "⌀ ");
        say_figure(p, &para, length_of(p, stock->thickness,
                                       "diameter of the dowel"));
        return para;
    }
    say_bare(p, &para, length_of(p, stock->bought_thickness,
                                 "thickness as bought"));
    say(p, &para, " × ");
    say_figure(p, &para, length_of(p, stock->form == FORM_SHEET
                                   || quantity_cmp(sold->width, stock->width)
                                   ? sold->width : stock->bought_width,
                                   "width as bought"));
    return para;
}

Para stock_letters(Press *p, int stock, bool jigs) {
    Para para = { 0 };

    for (int i = 0; i < p->m->parts.n; i++) {
        const Part *part = &p->m->parts.at[i];
        if (part->stock != stock || part->jig != jigs)
            continue;
        if (para.spans.n)
            say(p, &para, " ");
        say_letter(p, &para, i);
    }
    return para;
}

static void say_all(Press *p, Para *para, Para more) {
    for (int i = 0; i < more.spans.n; i++)
        *PUSH(p->c, &para->spans) = more.spans.at[i];
}

/* Jigs on a line of their own. */
static Para parts_of(Press *p, int stock) {
    Para para = stock_letters(p, stock, false);
    Para jigs = stock_letters(p, stock, true);

    if (jigs.spans.n == 0)
        return para;
    if (para.spans.n)
        say_break(p, &para);
    say(p, &para, jigs.spans.n > 1 ? "jigs " : "jig ");
    say_all(p, &para, jigs);
    return para;
}

/* The board feet of a hardwood board, by its size as bought (trade-figures
 * 2). */
static void say_board_feet(Press *p, Para *para, const Stock *stock,
                           const Sold *sold) {
    say_break(p, para);
    say_figure(p, para, figure_number(p->c, stock_board_feet(stock, sold), 2,
                                      "bd ft", STR("rule: board feet")));
    say(p, para, " each");
}

/* ---- Boards ---- */

/* How many sizes of one stock are to be bought, from the first on. */
static int sizes_of(const Press *p, int first) {
    const Buy *buys = p->plan->buys.at;
    int        n    = 1;

    while (first + n < p->plan->buys.n
           && buys[first + n].stock == buys[first].stock)
        n++;
    return n;
}

/* One size in a line (two, with its board feet) of each cell. What is as in
 * the line before is not said again. */
static void board_line(Press *p, int index, bool first, Para *cells) {
    const Buy   *buy   = &p->plan->buys.at[index];
    const Stock *stock = &p->m->stocks.at[buy->stock];
    const Sold  *sold  = &stock->sold.at[buy->sold], *last = sold;
    int lines = stock->hard && stock->form == FORM_BOARD ? 2 : 1;

    if (!first) {
        last = &stock->sold.at[p->plan->buys.at[index - 1].sold];
        for (int k = 0; k < lines; k++) {
            say_break(p, &cells[0]);
            say_break(p, &cells[1]);
            say_break(p, &cells[3]);
            say_break(p, &cells[6]);
        }
        say_break(p, &cells[4]);
    }
    say_check(p, &cells[0]);
    say_count(p, &cells[1], buy->count, "boards to buy");
    if (first || quantity_cmp(sold->width, last->width) != 0)
        say_all(p, &cells[3], actual_size(p, stock, sold));
    say_figure(p, &cells[4], figure_sold(p->c, p->e, sold->length,
                                         STR("length sold")));
    if (lines > 1)
        say_board_feet(p, &cells[4], stock, sold);
    if (sold->priced)
        say_figure(p, &cells[6], figure_money(p->c, buy->cost,
                                              STR("cost of boards")));
}

/* A row for each stock, its sizes under each other. */
static Quantity boards(Press *p) {
    static const Column columns[] = {
        { "", COLUMN_TEXT, 8 },         { "How many", COLUMN_COUNT, 16 },
        { "Ask for", COLUMN_TEXT, 46 }, { "Actual size", COLUMN_TEXT, 34 },
        { "Length", COLUMN_TEXT, 26 },  { "For parts", COLUMN_TEXT, 35 },
        { "Price", COLUMN_FIGURE, 18 },
    };
    Table    t   = table_begin(p, 0, columns, COUNT(columns));
    Quantity sum = quantity_exact(0, 1, DIM_MONEY);

    for (int i = 0; i < p->plan->buys.n; i += sizes_of(p, i)) {
        int  stock = p->plan->buys.at[i].stock;
        Para cells[COUNT(columns)] = { 0 };
        say_stock(p, &cells[2], &p->m->stocks.at[stock]);
        cells[5] = parts_of(p, stock);
        for (int k = 0; k < sizes_of(p, i); k++) {
            board_line(p, i + k, k == 0, cells);
            sum = quantity_add(p->c, (Loc){ 0 }, sum,
                               p->plan->buys.at[i + k].cost);
        }
        table_row(p, &t, table_row_height(p, &t, cells));
        for (int k = 0; k < COUNT(columns); k++) {
            if (cells[k].spans.n)
                table_para(p, &t, k, &cells[k]);
        }
    }
    table_end(p, &t);
    return sum;
}

static bool sounds_like(const Stock *a, const Stock *b) {
    return str_eq(a->name, b->name)
        && str_eq(a->wood.n ? a->wood : a->key, b->wood.n ? b->wood : b->key)
        && (a->form == FORM_DOWEL) == (b->form == FORM_DOWEL);
}

/* A stock in running text; where another sounds the same, its size, too. */
static void say_stock_apart(Press *p, Para *para, int index) {
    const Stock *stock = &p->m->stocks.at[index];
    bool         alone = true;

    say_stock(p, para, stock);
    for (int i = 0; i < p->m->stocks.n; i++)
        alone = alone && (i == index
                          || !sounds_like(stock, &p->m->stocks.at[i]));
    if (alone)
        return;
    say(p, para, ", ");
    say_figure(p, para, length_of(p, stock->bought_thickness,
                                  "thickness as bought"));
    say(p, para, " thick");
    if (stock->form != FORM_BOARD)
        return;
    say(p, para, " and ");
    say_figure(p, para, length_of(p, stock->bought_width,
                                  "width as bought"));
    say(p, para, " wide");
}

/* How far a choice could be off that is not proven. */
static void say_unproven(Press *p, Para *para, const Proof *proof) {
    say_stock_apart(p, para, proof->stock);
    if (!proof->priced || proof->bound.real <= 0) {
        say(p, para, ": the best choice found. ");
        return;
    }
    say(p, para, proof->choice ? ": the cheapest found for these blanks, "
                               : ": the cheapest choice found, ");
    say_figure(p, para, figure_money(p->c, proof->cost,
                                     STR("cost of boards")));
    say(p, para, "; none can cost less than ");
    say_figure(p, para, figure_money(p->c, proof->bound,
                                     STR("proven bound of the cost")));
    say(p, para, ". ");
}

static void say_proven(Press *p, Para *para, int proven, bool priced,
                       bool choice) {
    if (proven == 0)
        return;
    say(p, para, proven == p->plan->proofs.n ? "No other choice"
                                             : "Else no other choice");
    say(p, para, priced ? " of the sizes sold costs less"
                        : " of the sizes sold takes less wood");
    say(p, para, choice ? " for these blanks. " : ". ");
}

/* What of the price is in no part, and what of that is worth keeping. */
static void say_waste(Press *p, Para *para, Quantity waste, double kept) {
    if (waste.real <= 0)
        return;
    say_figure(p, para, figure_money(p->c, waste, STR("cost of the waste")));
    say(p, para, " of the price goes into kerfs and offcuts");
    if (kept >= 0.005) {
        say(p, para, ", of it ");
        say_figure(p, para, figure_money(p->c, quantity_real(kept, DIM_MONEY),
                                         STR("cost of what is left over")));
        say(p, para, " into pieces large enough to keep, which are hatched "
            "where it is shown how to cut the boards");
    }
    say(p, para, ".");
}

static void choices(Press *p) {
    Quantity waste = quantity_exact(0, 1, DIM_MONEY);
    double   kept  = 0;
    Para     para  = { 0 };
    bool     priced = true, choice = false;
    int      proven = 0;

    for (int i = 0; i < p->plan->proofs.n; i++) {
        const Proof *proof = &p->plan->proofs.at[i];
        proven += proof->proven;
        priced &= proof->priced;
        choice |= proof->choice;
        if (!proof->proven)
            say_unproven(p, &para, proof);
        if (!proof->priced)
            continue;
        waste = quantity_add(p->c, (Loc){ 0 }, waste, proof->waste);
        kept += kept_share(p->plan, proof->stock) * proof->cost.real;
    }
    say_proven(p, &para, proven, priced, choice);
    say_waste(p, &para, waste, kept);
    flow_para(p, 0, TEXT_W, STYLE_TEXT, &para);
}

/* What of the wood goes into jigs, which are no part of the project. */
static void jig_wood(Press *p) {
    for (int i = 0; i < p->plan->proofs.n; i++) {
        const Proof *proof = &p->plan->proofs.at[i];
        double       share = jig_share(p->m, p->plan, proof->stock);
        Para         para  = { 0 };
        if (share <= 0)
            continue;
        say(p, &para, "Jigs (");
        say_all(p, &para, stock_letters(p, proof->stock, true));
        say(p, &para, "), which are no part of the finished project, "
            "take ");
        say_figure(p, &para, figure_number(p->c, 100 * share,
                                           share < 0.0095, "%",
                                           STR("share of the jigs")));
        say(p, &para, " of ");
        say_stock_apart(p, &para, proof->stock);
        if (proof->priced) {
            say(p, &para, ", ");
            say_figure(p, &para, figure_money(p->c,
                quantity_real(share * proof->cost.real, DIM_MONEY),
                STR("cost of the jigs")));
            say(p, &para, " of its price");
        }
        say(p, &para, ".");
        flow_para(p, 0, TEXT_W, STYLE_TEXT, &para);
    }
}

/* Pieces that the maker has already. */
static void on_hand(Press *p) {
    for (int i = 0; i < p->plan->layouts.n; i++) {
        const Layout *l = &p->plan->layouts.at[i];
        const Stock  *stock = &p->m->stocks.at[l->stock];
        Para          para = { 0 };
        if (!l->on_hand)
            continue;
        say(p, &para, "On hand, not to be bought: ");
        say_count(p, &para, l->copies, "offcuts on hand");
        say(p, &para, " of ");
        say_stock_apart(p, &para, l->stock);
        say(p, &para, ", ");
        say_figure(p, &para, length_of(p,
            stock->on_hand.at[l->sold].length, "length on hand"));
        say(p, &para, " long.");
        flow_para(p, 0, TEXT_W, STYLE_TEXT, &para);
    }
}

/* ---- Hardware ---- */

bool say_hardware(Press *p, Para *para, const Hardware *h) {
    Str source = str_fmt(p->c, "hardware %.*s", STR_ARG(h->key));

    say_author(p, para, h->name.n ? h->name : h->kind, source);
    if (h->gauge.n) {
        say(p, para, ", ");
        say_author(p, para, h->gauge, source);
    }
    if (h->length.real > 0) {
        say(p, para, ", ");
        say_figure(p, para, figure_nominal(p->c, p->e, h->length, source));
    }
    if (h->diameter.real > 0) {
        say(p, para, ", ⌀ ");
        say_figure(p, para, figure_length(p->c, p->e, h->diameter, source));
    }
    return h->length.real > 0;
}

static const Column supply_columns[] = {
    { "", COLUMN_TEXT, 8 },         { "Needed", COLUMN_COUNT, 16 },
    { "What", COLUMN_TEXT, 80 },    { "Buy", COLUMN_TEXT, 61 },
    { "Price", COLUMN_FIGURE, 18 },
};

static Quantity hardware(Press *p, Table *t) {
    Quantity sum = quantity_exact(0, 1, DIM_MONEY);

    for (int i = 0; i < p->m->hardware.n; i++) {
        const Hardware *h = &p->m->hardware.at[i];
        int      packs = (h->used + h->pack - 1) / h->pack;
        Quantity cost  = quantity_mul(p->c, (Loc){ 0 }, h->price,
                                      quantity_exact(packs, 1, DIM_NUMBER));
        Para     cells[COUNT(supply_columns)] = { 0 };
        if (h->used == 0)
            continue;
        say_check(p, &cells[0]);
        say_count(p, &cells[1], h->used, "fasteners counted from the steps");
        if (say_hardware(p, &cells[2], h))
            say(p, &cells[2], " long");
        say_count(p, &cells[3], packs, "packs to buy");
        say(p, &cells[3], packs > 1 ? " packs of " : " pack of ");
        say_count(p, &cells[3], h->pack, "pieces in a pack");
        table_row(p, t, table_row_height(p, t, cells));
        for (int k = 0; k < 4; k++)
            table_para(p, t, k, &cells[k]);
        if (h->priced)
            table_figure(p, t, 4, figure_money(p->c, cost,
                                               STR("cost of hardware")));
        sum = quantity_add(p->c, (Loc){ 0 }, sum, cost);
    }
    return sum;
}

/* ---- Glue and finish ---- */

#define GALLON 3785411.784         // mm3
#define SQ_FOOT (304.8 * 304.8)    // mm2

/* A single spread covers 200 sq ft a gallon and more (trade-figures 6,
 * common practice); the low figure keeps the bill on the safe side. */
#define GLUE_COVERS (200 * SQ_FOOT / GALLON)

/* ", at 350 sq ft/gal": what a volume is worked out from. */
static void say_covers(Press *p, Para *para, double per_mm, Str source) {
    say(p, para, ", at ");
    if (p->e->inch)
        say_figure(p, para, figure_number(p->c, per_mm * GALLON / SQ_FOOT, 0,
                                          "sq ft/gal", source));
    else
        say_figure(p, para, figure_number(p->c, per_mm, 1, "sq m/l",
                                          source));
}

static void supply_row(Press *p, Table *t, Para *cells, bool priced,
                       Quantity price) {
    table_row(p, t, table_row_height(p, t, cells));
    for (int k = 0; k < 4; k++)
        table_para(p, t, k, &cells[k]);
    if (priced)
        table_figure(p, t, 4, figure_money(p->c, price,
                                           STR("price of finish")));
}

static Quantity finishes(Press *p, Table *t) {
    Quantity sum = quantity_exact(0, 1, DIM_MONEY);

    for (int i = 0; i < p->m->finishes.n; i++) {
        const Finish *f = &p->m->finishes.at[i];
        Str  source = str_fmt(p->c, "finish %.*s", STR_ARG(f->key));
        Para cells[COUNT(supply_columns)] = { 0 };
        if (f->area <= 0)
            continue;
        say_check(p, &cells[0]);
        say_author(p, &cells[2], f->kind, source);
        if (f->name.n) {
            say(p, &cells[2], ", ");
            say_author(p, &cells[2], f->name, source);
        }
        say(p, &cells[2], ", for ");
        say_figure(p, &cells[2], figure_area(p->c, p->e, f->area,
                                             STR("surface of the parts")));
        say(p, &cells[2], ", ");
        say_count(p, &cells[2], f->coats, "coats");
        say(p, &cells[2], f->coats > 1 ? " coats" : " coat");
        if (f->volume > 0) {
            say(p, &cells[3], "about ");
            say_figure(p, &cells[3], figure_volume(p->c, p->e, f->volume,
                                                   source));
            say_covers(p, &cells[3], f->covers.real, source);
            if (f->says.n) {
                say(p, &cells[3], " by ");
                say_author(p, &cells[3], f->says, source);
            } else {
                say(p, &cells[3], " (its label may differ)");
            }
            say(p, &cells[3], "; the smallest can that holds it");
        }
        supply_row(p, t, cells, f->priced, f->price);
        sum = quantity_add(p->c, (Loc){ 0 }, sum, f->price);
    }
    return sum;
}

static void glue(Press *p, Table *t) {
    Para   cells[COUNT(supply_columns)] = { 0 };
    double panels = panel_glue_area(p->m, p->plan), joints = p->m->glue_area;
    Str    rule = STR("rule: glue spread");

    if (joints + panels <= 0)
        return;
    say_check(p, &cells[0]);
    say(p, &cells[2], "wood glue, for ");
    if (joints > 0) {
        say_figure(p, &cells[2], figure_area(p->c, p->e, joints,
                                             STR("glued joints")));
        say(p, &cells[2], " of joints in the assembly");
    }
    if (panels > 0) {
        say(p, &cells[2], joints > 0 ? " and " : "");
        say_figure(p, &cells[2], figure_area(p->c, p->e, panels,
                                             STR("joints of panels")));
        say(p, &cells[2], " of edge joints in panels");
    }
    say(p, &cells[3], "about ");
    say_figure(p, &cells[3], figure_volume(p->c, p->e, (joints + panels)
                                           / GLUE_COVERS, rule));
    say_covers(p, &cells[3], GLUE_COVERS, rule);
    say(p, &cells[3], ", common practice");
    supply_row(p, t, cells, false, quantity_exact(0, 1, DIM_MONEY));
}

/* ---- The page ---- */

/* Is there anything to buy but wood? */
static bool has_supplies(const Press *p) {
    bool any = p->m->glue_area + panel_glue_area(p->m, p->plan) > 0;

    for (int i = 0; i < p->m->hardware.n; i++)
        any |= p->m->hardware.at[i].used > 0;
    for (int i = 0; i < p->m->finishes.n; i++)
        any |= p->m->finishes.at[i].area > 0;
    return any;
}

/* Is there something in the tables that has no price? */
static bool lacks_price(const Press *p) {
    bool lacks = p->m->glue_area + panel_glue_area(p->m, p->plan) > 0;

    for (int i = 0; i < p->plan->buys.n; i++) {
        const Buy *buy = &p->plan->buys.at[i];
        lacks |= !p->m->stocks.at[buy->stock].sold.at[buy->sold].priced;
    }
    for (int i = 0; i < p->m->hardware.n; i++)
        lacks |= p->m->hardware.at[i].used > 0
              && !p->m->hardware.at[i].priced;
    for (int i = 0; i < p->m->finishes.n; i++)
        lacks |= p->m->finishes.at[i].area > 0
              && !p->m->finishes.at[i].priced;
    return lacks;
}

static void total(Press *p, Quantity sum) {
    Para para = { 0 };

    if (sum.real <= 0) {
        para = para_of(p, "The plans name no prices, so the least wood was "
            "looked for, not the least cost.");
        flow_para(p, 0, TEXT_W, STYLE_TEXT, &para);
        return;
    }
    say(p, &para, "All together about ");
    say_figure_bold(p, &para, figure_money(p->c, sum,
                                           STR("sum of all prices")));
    say(p, &para, " at the prices known when these plans were made; yours "
        "will differ.");
    if (lacks_price(p))
        say(p, &para, " What has no price above is not in this sum.");
    flow_para(p, 0, TEXT_W, STYLE_TEXT, &para);
}

static void advice(Press *p) {
    Para para = para_of(p, "A store calls a board by its size before it was "
        "dried and planed. Measure what you buy: the actual size is what "
        "these plans count on. Choose boards that are straight and flat, "
        "with small tight knots.");

    flow_para(p, 0, TEXT_W, STYLE_TEXT, &para);
    space_down(p, BASE_LINE);
}

void press_shopping(Press *p) {
    Quantity sum;
    Table    t;

    page_begin(p, SECTION_BUY, PAGE_TEXT);
    bookmark(p, STR("What to buy"), 0);
    heading(p, STR("What to buy"), SIZE_HEAD);
    advice(p);
    sum = boards(p);
    choices(p);
    jig_wood(p);
    on_hand(p);
    if (has_supplies(p)) {
        heading(p, STR("Hardware, glue and finish"), SIZE_LEAD);
        t   = table_begin(p, 0, supply_columns, COUNT(supply_columns));
        sum = quantity_add(p->c, (Loc){ 0 }, sum, hardware(p, &t));
        glue(p, &t);
        sum = quantity_add(p->c, (Loc){ 0 }, sum, finishes(p, &t));
        table_end(p, &t);
    }
    total(p, sum);
}
