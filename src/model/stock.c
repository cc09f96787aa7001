/* stock -- what is bought: boards, sheets, dowels, hardware, finishes. */
#include "model/model_internal.h"

/* Specific gravity at 12 % moisture: Wood Handbook, FPL-GTR-282 (2021),
 * Table 5-3a, as listed in trade-figures 3.1. Density = 1000 G (1 + 0.12),
 * Eq. 4-14 there. */
static const struct { const char *wood; double gravity; } gravities[] = {
    { "white ash", 0.60 },          { "basswood", 0.37 },
    { "beech", 0.64 },              { "yellow birch", 0.62 },
    { "cherry", 0.50 },             { "red maple", 0.54 },
    { "sugar maple", 0.63 },        { "red oak", 0.63 },
    { "white oak", 0.68 },          { "walnut", 0.55 },
    { "yellow poplar", 0.42 },      { "western redcedar", 0.32 },
    { "northern white cedar", 0.31 }, { "eastern redcedar", 0.47 },
    { "douglas fir", 0.48 },        { "white fir", 0.39 },
    { "western hemlock", 0.45 },    { "larch", 0.52 },
    { "eastern white pine", 0.35 }, { "loblolly pine", 0.51 },
    { "lodgepole pine", 0.41 },     { "longleaf pine", 0.59 },
    { "ponderosa pine", 0.40 },     { "redwood", 0.40 },
    { "engelmann spruce", 0.35 },   { "sitka spruce", 0.40 },
};

double wood_density(Str wood) {
    for (int i = 0; i < COUNT(gravities); i++) {
        if (str_is(wood, gravities[i].wood))
            return 1000 * gravities[i].gravity * 1.12;
    }
    return 0;
}

/* ---- Finding by key ---- */

int find_stock(const Model *m, Str key) {
    for (int i = 0; i < m->stocks.n; i++) {
        if (str_eq(m->stocks.at[i].key, key))
            return i;
    }
    return -1;
}

int find_hardware(const Model *m, Str key) {
    for (int i = 0; i < m->hardware.n; i++) {
        if (str_eq(m->hardware.at[i].key, key))
            return i;
    }
    return -1;
}

int find_finish(const Model *m, Str key) {
    for (int i = 0; i < m->finishes.n; i++) {
        if (str_eq(m->finishes.at[i].key, key))
            return i;
    }
    return -1;
}

void hint_names(Build *b, Str wrong, const Str *known, int n,
                const char *where) {
    Str near = nearest_name(wrong, known, n);
    Buf list = BUF(b->c);

    for (int i = 0; i < n && i < 8; i++)
        buf_add(&list, "%s'%.*s'", i ? ", " : "", STR_ARG(known[i]));
    if (near.n)
        hint(b->c, "did you mean '%.*s'?", STR_ARG(near));
    else if (n == 0)
        hint(b->c, "describe it under \"%s\"", where);
    else
        hint(b->c, "describe it under \"%s\", or use %.*s%s", where,
             STR_ARG(buf_done(&list)), n > 8 ? " …" : "");
}

/* ---- Boards, sheets, dowels ---- */

static Quantity zero(Dim dim) {
    return quantity_exact(0, 1, dim);
}

static bool positive(Build *b, const Node *node, Quantity q,
                     const char *what) {
    if (q.poison || q.real > 0)
        return !q.poison;
    report(b->c, node->loc, OUT_OF_RANGE,
           "\"%s\" must be more than nothing, not %.*s", what,
           STR_ARG(size_text(b, q)));
    return false;
}

static Quantity length_member(Build *b, const Node *object, const char *key,
                              Quantity standing) {
    const Node *node = node_find(object, key);
    Quantity    q    = eval_member(b->c, b->s, "", object, key, DIM_LENGTH,
                                   standing);

    if (node && !positive(b, node, q, key))
        return POISON;
    return q;
}

static Quantity money_member(Build *b, const Node *object, const char *key,
                             bool *given) {
    const Node *node = node_find(object, key);

    *given = node != NULL;
    if (!node)
        return zero(DIM_MONEY);
    return eval_node(b->c, b->s, "", node, DIM_MONEY);
}

/* Prices help only where all sizes have one. */
static void check_prices(Build *b, const Stock *stock, const Node *list) {
    int priced = 0;

    for (int i = 0; i < stock->sold.n; i++)
        priced += stock->sold.at[i].priced;
    if (priced > 0 && priced < stock->sold.n)
        report(b->c, list->loc, PRICE_MISSING,
               "%d of the %d sizes of '%.*s' have a price, the others have "
               "none", priced, stock->sold.n, STR_ARG(stock->key));
}

static void read_sold(Build *b, Stock *stock, const Node *node) {
    static const char *const keys[] = {   // SCHEMA sold
        "length", "width", "price", NULL
    };
    const Node *list = node_list(b->c, node, "sold");

    for (const Node *n = list ? list->first : NULL; n; n = n->next) {
        Sold *sold;
        if (!node_check_keys(b->c, n, keys, "a size that is sold")
            || !node_need(b->c, n, "length", "a size that is sold"))
            continue;
        sold         = PUSH(b->c, &stock->sold);
        sold->length = length_member(b, n, "length", zero(DIM_LENGTH));
        sold->width  = length_member(b, n, "width", stock->width);
        sold->price  = money_member(b, n, "price", &sold->priced);
        if (sold->length.poison || sold->width.poison || sold->price.poison)
            stock->sold.n--;
    }
    if (list)
        check_prices(b, stock, list);
    if (list && list->count == 0) {
        report(b->c, list->loc, MISSING_KEY,
               "stock '%.*s' is sold in no length", STR_ARG(stock->key));
        hint(b->c, "say which lengths there are: {\"length\": \"8ft\"}");
    }
}

static void read_on_hand(Build *b, Stock *stock, const Node *node) {
    static const char *const keys[] = {   // SCHEMA on-hand
        "length", "width", "count", NULL
    };
    const Node *list = node_list(b->c, node, "on hand");

    for (const Node *n = list ? list->first : NULL; n; n = n->next) {
        OnHand *piece;
        if (!node_check_keys(b->c, n, keys, "a piece on hand")
            || !node_need(b->c, n, "length", "a piece on hand"))
            continue;
        piece         = PUSH(b->c, &stock->on_hand);
        piece->length = length_member(b, n, "length", zero(DIM_LENGTH));
        piece->width  = length_member(b, n, "width", stock->width);
        piece->count  = eval_count(b->c, b->s, "", n, "count", 1, 1, 1000);
        if (piece->length.poison || piece->width.poison)
            stock->on_hand.n--;
    }
}

/* Leaves out of one thickness: each takes its thickness and an allowance
 * for planing, and between two goes a kerf. */
static void read_resawn(Build *b, Stock *stock, const Node *node) {
    const Node *given = node_find(node, "resawn");
    Quantity    allow;
    double      leaf, kerf = b->m->kerf.real;

    if (!given)
        return;
    if (given->kind == NODE_BOOL && !given->truth)
        return;
    allow = quantity_inches(1, 32);   // common practice, no published source
    if (given->kind != NODE_BOOL)
        allow = eval_node(b->c, b->s, "", given, DIM_LENGTH);
    if (allow.poison || stock->thickness.poison
        || stock->bought_thickness.poison)
        return;
    leaf = stock->thickness.real + allow.real;
    stock->leaves = (int)((stock->bought_thickness.real + kerf + 1e-9)
                          / (leaf + kerf));
    if (stock->leaves < 1) {
        stock->leaves = 0;
        report(b->c, given->loc, OUT_OF_RANGE,
               "no leaf of %.*s can be sawn from %.*s",
               STR_ARG(size_text(b, stock->thickness)),
               STR_ARG(size_text(b, stock->bought_thickness)));
        hint(b->c, "a leaf also loses %.*s to the plane",
             STR_ARG(size_text(b, allow)));
    }
}

static void read_bought(Build *b, Stock *stock, const Node *node) {
    static const char *const keys[] = {   // SCHEMA bought-as
        "thickness", "width", NULL
    };
    const Node *bought = node_object(b->c, node, "bought as");

    stock->bought_thickness = stock->thickness;
    stock->bought_width     = stock->width;
    if (bought) {
        node_check_keys(b->c, bought, keys, "\"bought as\"");
        stock->bought_thickness = length_member(b, bought, "thickness",
                                                stock->thickness);
        stock->bought_width     = length_member(b, bought, "width",
                                                stock->width);
    }
    stock->planed = !stock->bought_thickness.poison
                 && !stock->thickness.poison
                 && quantity_cmp(stock->bought_thickness,
                                 stock->thickness) > 0;
    if (!stock->planed && !stock->thickness.poison
        && !stock->bought_thickness.poison
        && quantity_cmp(stock->bought_thickness, stock->thickness) < 0) {
        report(b->c, bought->loc, OUT_OF_RANGE,
               "stock '%.*s' is used %.*s thick but bought only %.*s thick",
               STR_ARG(stock->key), STR_ARG(size_text(b, stock->thickness)),
               STR_ARG(size_text(b, stock->bought_thickness)));
        hint(b->c, "boards lose thickness by planing: buy them thicker");
    }
}

static Quantity widest_sold(const Stock *stock) {
    Quantity widest = zero(DIM_LENGTH);

    for (int i = 0; i < stock->sold.n; i++) {
        if (quantity_cmp(stock->sold.at[i].width, widest) > 0)
            widest = stock->sold.at[i].width;
    }
    return widest;
}

static const char *const form_words[] = {   // ORDER FORM, SCHEMA-ENUM form
    "board", "sheet", "dowel", NULL
};

static const char *const stock_keys[] = {   // SCHEMA stock
    "form", "wood", "name", "density", "thickness", "width", "diameter",
    "bought as", "resawn", "sold", "on hand", "defects", "grain", "note", NULL
};

static const char *const grain_words[] = {   // SCHEMA-ENUM grain
    "along", "none", NULL
};

static void need_sizes(Build *b, const Stock *stock, const Node *node) {
    static const char *const what = "a stock";

    if (stock->form == FORM_DOWEL)
        (void)!node_need(b->c, node, "diameter", what);
    else
        (void)!node_need(b->c, node, "thickness", what);
    if (stock->form == FORM_BOARD)
        (void)!node_need(b->c, node, "width", what);
    (void)!node_need(b->c, node, "sold", what);
}

/* Only sheets can be without grain: hardboard, particle board, plastic. */
static void read_grain(Build *b, Stock *stock, const Node *node) {
    const Node *grain = node_find(node, "grain");

    stock->grainless = node_choice(b->c, node, "grain", grain_words, 0) == 1;
    if (!stock->grainless || stock->form == FORM_SHEET)
        return;
    report(b->c, grain->loc, OUT_OF_RANGE,
           "a %s has grain along its length, yet '%.*s' says \"none\"",
           form_words[stock->form], STR_ARG(stock->key));
    hint(b->c, "leave \"grain\" out, or say \"form\": \"sheet\"");
}

/* As the author has weighed it, or by the kind of wood. A density is read
 * in g/mm^3. */
static double stock_density(Build *b, const Stock *stock, const Node *node) {
    const Node *given = node_find(node, "density");
    Quantity    q;

    if (!given)
        return wood_density(stock->wood);
    q = eval_node(b->c, b->s, "", given, DIM_DENSITY);
    if (q.poison || (q.real * 1e6 >= 50 && q.real * 1e6 <= 3000))
        return q.poison ? 0 : q.real * 1e6;
    report(b->c, given->loc, OUT_OF_RANGE,
           "no wood weighs %g kg to the cubic meter", q.real * 1e6);
    hint(b->c, "write it like \"0.45 kg/l\", and check the digits");
    return 0;
}

static void read_stock(Build *b, const Node *node) {
    Stock *stock = PUSH(b->c, &b->m->stocks);
    Quantity none = zero(DIM_LENGTH);

    stock->key = node->key;
    stock->loc = node->key_loc;
    if (!node_check_keys(b->c, node, stock_keys, "a stock")
        && node->kind != NODE_OBJECT)
        return;
    stock->form = (StockForm)node_choice(b->c, node, "form", form_words,
                                         FORM_BOARD);
    stock->wood    = read_label(b, node, "wood");
    stock->name    = read_label(b, node, "name");
    stock->density = stock_density(b, stock, node);
    need_sizes(b, stock, node);
    stock->thickness = length_member(b, node, stock->form == FORM_DOWEL
                                     ? "diameter" : "thickness", none);
    stock->width = length_member(b, node, "width",
                                 stock->form == FORM_DOWEL
                                 ? stock->thickness : none);
    read_sold(b, stock, node);
    if (stock->form == FORM_SHEET)
        stock->width = widest_sold(stock);
    read_bought(b, stock, node);
    read_resawn(b, stock, node);
    read_on_hand(b, stock, node);
    stock->defects = eval_member(b->c, b->s, "", node, "defects", DIM_LENGTH,
                                 none);
    read_grain(b, stock, node);
}

void read_stocks(Build *b) {
    const Node *stocks = node_object(b->c, b->d->root, "stock");

    for (const Node *n = stocks ? stocks->first : NULL; n; n = n->next)
        read_stock(b, n);
}

/* ---- Hardware ---- */

void read_hardware(Build *b) {
    static const char *const keys[] = {   // SCHEMA hardware
        "kind", "name", "gauge", "length", "diameter", "pack", "price",
        "drive", "head", "note", NULL
    };
    const Node *list = node_object(b->c, b->d->root, "hardware");
    Quantity    none = zero(DIM_LENGTH);

    for (const Node *n = list ? list->first : NULL; n; n = n->next) {
        Hardware   *h     = PUSH(b->c, &b->m->hardware);
        const Node *gauge = node_find(n, "gauge");
        h->key = n->key;
        h->loc = n->key_loc;
        node_check_keys(b->c, n, keys, "hardware");
        (void)!node_need(b->c, n, "kind", "hardware");
        h->kind = read_label(b, n, "kind");
        h->name = read_label(b, n, "name");
        h->gauge = gauge && gauge->kind == NODE_NUMBER
                 ? gauge->text : node_str(b->c, n, "gauge");
        h->length   = length_member(b, n, "length", none);
        h->diameter = length_member(b, n, "diameter", none);
        h->pack     = eval_count(b->c, b->s, "", n, "pack", 1, 1, 1000000);
        h->price    = money_member(b, n, "price", &h->priced);
        size_fastener(b, n, h);
    }
}

/* ---- Finishes ---- */

void read_finishes(Build *b) {
    static const char *const keys[] = {   // SCHEMA finish
        "kind", "name", "coats", "covers", "price", "note", NULL
    };
    const Node *list = node_object(b->c, b->d->root, "finishes");

    for (const Node *n = list ? list->first : NULL; n; n = n->next) {
        Finish *f = PUSH(b->c, &b->m->finishes);
        f->key = n->key;
        f->loc = n->key_loc;
        node_check_keys(b->c, n, keys, "a finish");
        (void)!node_need(b->c, n, "kind", "a finish");
        f->kind   = read_label(b, n, "kind");
        f->name   = read_label(b, n, "name");
        f->coats  = eval_count(b->c, b->s, "", n, "coats", 1, 1, 20);
        f->covers = eval_member(b->c, b->s, "", n, "covers", DIM_COVER,
                                zero(DIM_COVER));
        f->price  = money_member(b, n, "price", &f->priced);
    }
}
