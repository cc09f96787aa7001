/* stock -- what is bought: boards, sheets, dowels, hardware, finishes. */
#include "model/model_internal.h"

/* Specific gravity at 12 % moisture: Wood Handbook, FPL-GTR-282 (2021),
 * Table 5-3a, as listed in trade-figures 3.1. Density = 1000 G (1 + 0.12),
 * Eq. 4-14 there. */
static const struct {
    const char *wood;
    double      gravity;
    bool        hard;   // of a broad-leaved tree
} gravities[] = {
    { "white ash", 0.60, true },          { "basswood", 0.37, true },
    { "beech", 0.64, true },              { "yellow birch", 0.62, true },
    { "cherry", 0.50, true },             { "red maple", 0.54, true },
    { "sugar maple", 0.63, true },        { "red oak", 0.63, true },
    { "white oak", 0.68, true },          { "walnut", 0.55, true },
    { "yellow poplar", 0.42, true },      { "western redcedar", 0.32, false },
    { "northern white cedar", 0.31, false },{ "eastern redcedar", 0.47, false },
    { "douglas fir", 0.48, false },       { "white fir", 0.39, false },
    { "western hemlock", 0.45, false },   { "larch", 0.52, false },
    { "eastern white pine", 0.35, false },{ "loblolly pine", 0.51, false },
    { "lodgepole pine", 0.41, false },    { "longleaf pine", 0.59, false },
    { "ponderosa pine", 0.40, false },    { "redwood", 0.40, false },
    { "engelmann spruce", 0.35, false },  { "sitka spruce", 0.40, false },
};

double wood_density(Str wood) {
    for (int i = 0; i < COUNT(gravities); i++) {
        if (str_is(wood, gravities[i].wood))
            return 1000 * gravities[i].gravity * 1.12;
    }
    return 0;
}

static bool is_hard(Str wood) {
    for (int i = 0; i < COUNT(gravities); i++) {
        if (str_is(wood, gravities[i].wood))
            return gravities[i].hard;
    }
    return false;
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

/* A length that may be nothing, but not less. */
Quantity allowance_member(Build *b, const Node *object, const char *key,
                          Quantity standing) {
    const Node *node = node_find(object, key);
    Quantity    q    = eval_member(b->c, b->s, "", object, key, DIM_LENGTH,
                                   standing);

    if (q.poison)
        return standing;
    if (q.real >= 0)
        return q;
    report(b->c, node->loc, OUT_OF_RANGE,
           "\"%s\" must not be less than nothing, but is %.*s", key,
           STR_ARG(size_text(b, q)));
    hint(b->c, "it is what is cut away, or added for that: write how much");
    return standing;
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
    Quantity    price;

    *given = node != NULL;
    if (!node)
        return zero(DIM_MONEY);
    price = eval_node(b->c, b->s, "", node, DIM_MONEY);
    if (price.poison || price.real >= 0)
        return price;
    report(b->c, node->loc, OUT_OF_RANGE,
           "a price cannot be less than nothing, but is %.*s",
           STR_ARG(size_text(b, price)));
    hint(b->c, "leave \"%s\" out where no price is known", key);
    return POISON;
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

/* How leaves are sawn: true, the allowance alone, or an object. */
typedef struct { Quantity allow, core; bool from_edges; } Resawn;

static bool read_leaves(Build *b, const Node *given, Resawn *r) {
    static const char *const keys[] = {   // SCHEMA resawn
        "from", "core", "allowance", NULL
    };
    static const char *const from[] = {   // SCHEMA-ENUM resawn-from
        "faces", "edges", NULL
    };

    // common practice, no published source
    *r = (Resawn){ quantity_inches(1, 32), zero(DIM_LENGTH), false };
    if (given->kind == NODE_BOOL)
        return given->truth;
    if (given->kind != NODE_OBJECT) {
        r->allow = eval_node(b->c, b->s, "", given, DIM_LENGTH);
        return !r->allow.poison;
    }
    if (!node_check_keys(b->c, given, keys, "\"resawn\""))
        return false;
    r->from_edges = node_choice(b->c, given, "from", from, 0) == 1;
    r->allow = allowance_member(b, given, "allowance", r->allow);
    if (r->from_edges)   // to be held by; common practice, no source
        r->core = quantity_inches(1, 1);
    r->core = length_member(b, given, "core", r->core);
    return !r->allow.poison && !r->core.poison;
}

static void report_no_leaf(Build *b, const Stock *stock, const Node *given,
                           const Resawn *r, Quantity room) {
    report(b->c, given->loc, OUT_OF_RANGE,
           "no leaf of %.*s can be sawn from %.*s%s%.*s",
           STR_ARG(size_text(b, stock->thickness)),
           STR_ARG(size_text(b, room)), r->core.real > 0
           ? " that keeps a core of " : "",
           STR_ARG(r->core.real > 0 ? size_text(b, r->core) : STR("")));
    hint(b->c, "a leaf also loses %.*s to the plane",
         STR_ARG(size_text(b, r->allow)));
}

/* Leaves out of one thickness, or ripped from the edges of one board: each
 * takes its thickness and an allowance for planing, and a kerf; but without
 * a core the last leaf needs no kerf.
 *
 *     +-----------------+     |----|  |----|  core  |----|  |----|
 *     |      leaf       |     |leaf|  |leaf|        |leaf|  |leaf|   seen
 *     +-----------------+     +----+--+----+--------+----+--+----+   from
 *     +-----------------+                                            the end
 *     |   leaf or core  |           from the edges
 *     +-----------------+
 */
static void read_resawn(Build *b, Stock *stock, const Node *node) {
    const Node *given = node_find(node, "resawn");
    Resawn      r;
    double      leaf, kerf = b->m->kerf.real, room;
    Quantity    from;

    stock->core = zero(DIM_LENGTH);
    if (!given || !read_leaves(b, given, &r) || stock->thickness.poison
        || stock->bought_thickness.poison || stock->width.poison)
        return;
    from = r.from_edges ? stock->width : stock->bought_thickness;
    room = from.real - r.core.real + (r.core.real > 0 ? 0 : kerf);
    leaf = stock->thickness.real + r.allow.real;
    stock->leaves     = room > 0 ? (int)((room + 1e-9) / (leaf + kerf)) : 0;
    stock->from_edges = r.from_edges;
    stock->core       = r.core;
    stock->leaf_step  = leaf + kerf;
    if (stock->leaves < 1) {
        stock->leaves     = 0;
        stock->from_edges = false;
        report_no_leaf(b, stock, given, &r, from);
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
    stock->hard    = is_hard(stock->wood);
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
    stock->defects = allowance_member(b, node, "defects", none);
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
        "kind", "name", "coats", "covers", "covers by", "price", "note", NULL
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
        f->says   = read_label(b, n, "covers by");
        f->coats  = eval_count(b->c, b->s, "", n, "coats", 1, 1, 20);
        f->covers = eval_member(b->c, b->s, "", n, "covers", DIM_COVER,
                                zero(DIM_COVER));
        f->price  = money_member(b, n, "price", &f->priced);
    }
}
