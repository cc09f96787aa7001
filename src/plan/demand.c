/* demand -- what the parts want of each stock: every part ends as blanks
 * that can be cut from something sold.
 *
 * A part is wanted as often as it is placed. Where there are several ways to
 * get it, all are listed, the plainest first, and cut.c tries which is
 * cheapest. A panel is joined from strips:
 *
 *     alike           whole boards and a rest
 *     +----------+    +----------+
 *     |          |    |          |    Each strip is ripped wider than its
 *     |----------|    |          |    share by the joint allowance, and cut
 *     |          |    |----------|    longer by the panel trim.
 *     |----------|    |          |
 *     |          |    |          |
 *     +----------+    |----------|
 *                     +----------+
 *
 * Pieces with slanted ends lie head to tail in one blank (heads.c), a
 * rectangle to all that cuts boards.
 *
 * Thin parts are leaves: resawn through the thickness of a blank, several
 * from each, or ripped from the edges of a blank that keeps a core.
 * A part that fits nothing that is sold is an error, and all such parts are
 * reported before the stage gives up.
 */
#include "plan/plan_internal.h"

#include <math.h>

#define MOST_STRIPS 100      // more is a slip in the design, not a panel
#define NARROW_STRIP 38.1    // mm, 1 1/2 in: no narrower strip is left over
                             // for a panel (common practice, no published
                             // source)

/* ---- Parts that fit nothing ---- */

static const char *const board_words[] = { "board", "sheet", "dowel" };
                                                      // ORDER FORM

static Str shown(Ctx *c, Quantity q) {
    Buf b = BUF(c);

    quantity_show(&b, q);
    return buf_done(&b);
}

Quantity lost_at_end(Ctx *c, const Model *m) {
    if (m->end_trim.real <= 0)
        return quantity_exact(0, 1, DIM_LENGTH);
    return quantity_add(c, (Loc){ 0 }, m->end_trim, m->kerf);
}

/* What a board loses in all, with its defects. */
static Quantity lost_of(Ctx *c, const Model *m, const Stock *stock) {
    if (stock->defects.real <= 0)
        return lost_at_end(c, m);
    return quantity_add(c, (Loc){ 0 }, lost_at_end(c, m), stock->defects);
}

static bool fits(Quantity size, Quantity room) {
    return size.real <= room.real + SLACK_MM;
}

/* Does anything sold hold a blank that lies along it? */
static bool fits_some(const Stock *stock, Quantity lost, Quantity along,
                      Quantity across) {
    for (int i = 0; i < stock->sold.n; i++) {
        const Sold *s = &stock->sold.at[i];
        if (along.real + lost.real <= s->length.real + SLACK_MM
            && fits(across, s->width))
            return true;
    }
    return false;
}

/* "24 in long", or, of a panel, "24 in long with the panel trim". */
static Str shown_length(Ctx *c, const Part *part, Quantity length) {
    return str_fmt(c, "%.*s long%s", STR_ARG(shown(c, length)),
                   quantity_cmp(length, part->long_length) > 0
                   ? " with the panel trim" : "");
}

static bool report_too_long(Ctx *c, const Part *part, const Stock *stock,
                            Quantity length, Quantity longest,
                            Quantity lost) {
    Quantity room = quantity_sub(c, part->loc, longest, lost);
    Quantity over = quantity_sub(c, part->loc, length, room);

    if (over.real <= SLACK_MM)
        return false;
    report(c, part->loc, PART_TOO_BIG,
           "part %.*s is %.*s, but the longest %s of '%.*s' gives "
           "%.*s: %.*s are missing", STR_ARG(part->letter),
           STR_ARG(shown_length(c, part, length)), board_words[stock->form],
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
static bool report_grain(Ctx *c, const Part *part, const Stock *stock,
                         Quantity width) {
    report(c, part->loc, PART_TOO_BIG,
           "part %.*s, %.*s long and %.*s wide, fits on a sheet of '%.*s' "
           "only with the grain across it", STR_ARG(part->letter),
           STR_ARG(shown(c, part->long_length)), STR_ARG(shown(c, width)),
           STR_ARG(stock->key));
    hint(c, "turn its length and width, sell a longer sheet, or, if the "
         "sheets have no grain, say \"grain\": \"none\" there");
    return false;
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

/* False: the part cannot be cut from its stock, which is reported. Length
 * and width are those of the part or of one of its strips. */
static bool part_fits(Ctx *c, const Model *m, const Part *part,
                      Quantity length, Quantity width) {
    const Stock *stock = &m->stocks.at[part->stock];
    Quantity     lost  = lost_of(c, m, stock), longest, widest;
    bool         too_long, too_wide;

    if (fits_some(stock, lost, length, width)
        || (stock->grainless && fits_some(stock, lost, width, length)))
        return true;
    if (stock->form == FORM_SHEET && fits_some(stock, lost, width, length))
        return report_grain(c, part, stock, width);
    find_largest(stock, lost, length, &longest, &widest);
    too_long = report_too_long(c, part, stock, length, longest, lost);
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

/* ---- Panels ---- */

static int times_made(const Part *part) {
    return part->jig ? part->jig_count : part->quantity;
}

/* How many strips from boards of a width make the panel; 1 where one does
 * without a joint. */
static int strips_of(const Model *m, const Part *part, Quantity board) {
    double room = board.real - m->joint.real, n;

    if (!part->joined || m->stocks.at[part->stock].form == FORM_DOWEL
        || fits(part->width, board) || room <= 0)
        return 1;
    n = ceil(part->width.real / room - 1e-9);
    return n > MOST_STRIPS ? MOST_STRIPS + 1 : (int)n;
}

/* Of the finished panel, without the allowance. */
static Quantity strip_share(Ctx *c, const Model *m, const Part *part,
                            const Split *split, int strip) {
    Quantity full, n;

    if (split->full.real <= 0)
        return quantity_div(c, part->loc, part->width,
                            quantity_exact(split->strips, 1, DIM_NUMBER));
    full = quantity_sub(c, part->loc, split->full, m->joint);
    if (strip < split->strips)
        return full;
    n = quantity_exact(split->strips - 1, 1, DIM_NUMBER);
    return quantity_sub(c, part->loc, part->width,
                        quantity_mul(c, part->loc, full, n));
}

static Quantity strip_width(Ctx *c, const Model *m, const Part *part,
                            const Split *split, int strip) {
    if (split->strips == 1)
        return part->width;
    return quantity_add(c, part->loc, strip_share(c, m, part, split, strip),
                        m->joint);
}

static Quantity strip_length(Ctx *c, const Model *m, const Part *part,
                             const Split *split) {
    if (split->strips == 1 || m->panel_trim.real <= 0)
        return part->long_length;
    return quantity_add(c, part->loc, part->long_length, m->panel_trim);
}

static bool is_listed(const Splits *ways, const Split *split) {
    for (int i = 0; i < ways->n; i++) {
        const Split *w = &ways->at[i];
        if (w->strips == split->strips && w->heads == split->heads
            && fabs(w->full.real - split->full.real) < SLACK_MM)
            return true;
    }
    return false;
}

static void add_way(Ctx *c, Splits *ways, Split split) {
    if (!is_listed(ways, &split))
        *PUSH(c, ways) = split;
}

/* Strips from boards of each width sold: all alike, or boards of whole
 * width and a rest that is not too narrow. */
static void panel_ways(Ctx *c, const Model *m, const Part *part,
                       Splits *ways) {
    const Stock *stock = &m->stocks.at[part->stock];

    for (int i = -1; i < stock->sold.n; i++) {
        Quantity board = i < 0 ? stock->width : stock->sold.at[i].width;
        Split    alike = { .strips = strips_of(m, part, board), .heads = 1 };
        Split    full  = alike;
        Quantity rest;
        if (alike.strips > MOST_STRIPS && i >= 0)
            continue;
        add_way(c, ways, alike);
        if (alike.strips < 2 || alike.strips > MOST_STRIPS
            || stock->form == FORM_SHEET)
            continue;
        full.full = board;
        rest      = strip_width(c, m, part, &full, full.strips);
        if (rest.real >= NARROW_STRIP
            && rest.real < board.real - SLACK_MM)
            add_way(c, ways, full);
    }
}

/* ---- Head to tail ---- */

/* As many as go on each length sold, two, and each by itself. */
static void head_ways(Ctx *c, const Model *m, const Part *part,
                      Splits *ways) {
    const Stock *stock = &m->stocks.at[part->stock];
    double       lost  = lost_of(c, m, stock).real;
    int          times = times_made(part), leaves = stock->leaves;
    int          n     = leaves ? (times + leaves - 1) / leaves : times;

    for (int i = -1; i < stock->sold.n && n > 1; i++) {
        Split way = { .strips = 1, .heads = i < 0 ? 2 : n };
        while (i >= 0 && way.heads > 1
               && !fits(quantity_mm(lost + heads_length(part, m->kerf.real,
                                                        way.heads)),
                        stock->sold.at[i].length))
            way.heads--;
        if (way.heads > 1
            && fits_some(stock, lost_of(c, m, stock), quantity_mm(
                   heads_length(part, m->kerf.real, way.heads)), part->width))
            add_way(c, ways, way);
    }
}

/* ---- Items ---- */

/* A blank that leaves are sawn from the edges of: no wider than they and the
 * core take, but as wide as the board where no two lie side by side on it;
 * then there is nothing to rip, and more to hold. */
static Quantity edge_width(const Model *m, const Stock *stock, int leaves) {
    double least = stock->core.real + stock->leaf_step;
    bool   alone = 2 * least + m->kerf.real > stock->width.real + SLACK_MM;

    for (int i = 0; i < stock->sold.n; i++)
        alone = alone && fits(stock->sold.at[i].width, stock->width);
    return alone ? stock->width
                 : quantity_mm(stock->core.real + leaves * stock->leaf_step);
}

/* One blank that gives some leaves, or pieces head to tail. */
static void add_item(Ctx *c, Workplan *p, const Model *m, int index,
                     CutItem item) {
    const Part  *part  = &m->parts.at[index];
    const Stock *stock = &m->stocks.at[part->stock];

    if (item.count < 1)
        return;
    item.part   = index;
    item.length = part->long_length;
    item.width  = stock->form == FORM_DOWEL ? stock->width : part->width;
    if (item.heads > 1)
        item.length = quantity_mm(heads_length(part, m->kerf.real,
                                               item.heads));
    else
        item.heads = 0;
    if (stock->from_edges)
        item.width = edge_width(m, stock, item.leaves);
    *PUSH(c, &p->items) = item;
}

static void add_strips(Ctx *c, Workplan *p, const Model *m, int index,
                       const Split *split) {
    const Part *part  = &m->parts.at[index];
    Panel      *panel = PUSH(c, &p->panels);
    Quantity    at    = quantity_exact(0, 1, DIM_LENGTH);

    panel->part = index;
    for (int i = 1; i <= split->strips; i++) {
        *PUSH(c, &p->items) = (CutItem){
            .part = index, .strip = i, .strips = split->strips,
            .length = strip_length(c, m, part, split),
            .width = strip_width(c, m, part, split, i),
            .count = times_made(part) };
        at = quantity_add(c, part->loc, at,
                          strip_share(c, m, part, split, i));
        if (i < split->strips)
            *PUSH(c, &panel->joints) = at;
    }
}

/* From the edges of a board: no more blanks than it takes, and of each as
 * many leaves, or one less, so that all keep a core that is wide. */
static void add_edge_leaves(Ctx *c, Workplan *p, const Model *m, int index,
                            int times, int most) {
    int blanks = (times + most - 1) / most, fewer = times / blanks;

    add_item(c, p, m, index, (CutItem){ .count = times % blanks,
                                        .leaves = fewer + 1 });
    add_item(c, p, m, index, (CutItem){ .count = blanks - times % blanks,
                                        .leaves = fewer });
}

void demand_items(Ctx *c, const Model *m, int index, const Split *split,
                  Workplan *p) {
    const Part  *part  = &m->parts.at[index];
    const Stock *stock = &m->stocks.at[part->stock];
    int          times = times_made(part), most = stock->leaves;
    int          n = most ? (times + most - 1) / most : times;
    CutItem      item = { .leaves = times < most ? times : most,
                          .heads = split->heads };

    if (split->strips > 1) {
        add_strips(c, p, m, index, split);
    } else if (stock->from_edges) {
        add_edge_leaves(c, p, m, index, times, most);
    } else {
        item.count = n / split->heads;
        add_item(c, p, m, index, item);
        item.heads = n % split->heads;
        item.count = item.heads > 0;
        add_item(c, p, m, index, item);
    }
}

/* ---- All parts ---- */

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

/* A leaf from a board's edge is as wide as the board is thick. */
static bool edge_fits(Ctx *c, const Part *part, const Stock *stock) {
    Quantity over;

    if (!stock->from_edges || fits(part->width, stock->bought_thickness))
        return true;
    over = quantity_sub(c, part->loc, part->width, stock->bought_thickness);
    report(c, part->loc, PART_TOO_BIG,
           "part %.*s is %.*s wide, but a leaf from the edge of '%.*s' only "
           "%.*s: %.*s are missing", STR_ARG(part->letter),
           STR_ARG(shown(c, part->width)), STR_ARG(stock->key),
           STR_ARG(shown(c, stock->bought_thickness)),
           STR_ARG(shown(c, over)));
    hint(c, "take thicker boards, or saw the leaves through the thickness: "
         "\"resawn\": true");
    return false;
}

/* The part itself, or the strips of it in the plainest way. */
static void find_ways(Ctx *c, const Model *m, const Part *part,
                      Splits *ways) {
    const Stock *stock = &m->stocks.at[part->stock];
    Split        one   = { .strips = 1, .heads = 1 };

    if (part->joined)
        panel_ways(c, m, part, ways);
    else
        *PUSH(c, ways) = one;
    if (ways->at[0].strips > MOST_STRIPS) {
        report(c, part->loc, PART_TOO_BIG,
               "part %.*s would be joined from more than %d strips",
               STR_ARG(part->letter), MOST_STRIPS);
    } else if (edge_fits(c, part, stock)
               && !stock->from_edges
               && part_fits(c, m, part,
                            strip_length(c, m, part, &ways->at[0]),
                            strip_width(c, m, part, &ways->at[0], 1))
               && part_lies_in_heads(m, part)) {
        head_ways(c, m, part, ways);
    }
}

/* Other ways than the first must fit, too: a wide board may be too short. */
static void drop_unfit(Ctx *c, const Model *m, const Part *part,
                       Splits *ways) {
    const Stock *stock = &m->stocks.at[part->stock];
    Quantity     lost  = lost_of(c, m, stock);
    int          kept  = ways->n > 0;

    for (int i = 1; i < ways->n; i++) {
        const Split *w = &ways->at[i];
        if (w->strips > 1
            && !(fits_some(stock, lost, strip_length(c, m, part, w),
                           strip_width(c, m, part, w, 1))
                 && fits_some(stock, lost, strip_length(c, m, part, w),
                              strip_width(c, m, part, w, w->strips))))
            continue;
        ways->at[kept++] = *w;
    }
    ways->n = kept;
}

Splits *demand_ways(Ctx *c, const Model *m) {
    Splits *all    = NEW_N(c, Splits, m->parts.n + 1);
    int     errors = c->errors;

    for (int i = 0; i < m->parts.n; i++) {
        const Part *part = &m->parts.at[i];
        if (times_made(part) < 1 || !has_stock(c, m, part))
            continue;
        check_kerf(c, m, part);
        find_ways(c, m, part, &all[i]);
        drop_unfit(c, m, part, &all[i]);
    }
    return c->errors == errors ? all : NULL;
}
