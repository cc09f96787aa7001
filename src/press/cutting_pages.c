/* cutting_pages -- how each board is prepared and cut: one diagram for each
 * different board, to one scale, with its cuts in order below. */
#include "press/sections.h"

#include <math.h>

static Figure len(Press *p, double mm, const char *source) {
    return figure_length(p->c, p->e, quantity_mm(mm), str_from(p->c, source));
}

/* ---- Preparing ---- */

static void prepare_stock(Press *p, const Stock *stock, int n) {
    Para para = { 0 };

    say_stock(p, &para, stock);
    say(p, &para, ": ");
    if (stock->leaves) {
        say(p, &para, "rip to the widths in the diagrams, saw each strip on "
            "edge into ");
        say_count(p, &para, stock->leaves, "leaves out of one board");
        say(p, &para, " leaves, plane or sand them to ");
        say_figure(p, &para, figure_length(p->c, p->e, stock->thickness,
                                           stock->key));
        say(p, &para, ", and only then crosscut the leaves as a stack. "
            "Each rectangle in its diagrams gives that many pieces.");
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

/* True where there are panels, so that the number is used up. */
static bool prepare_panels(Press *p, int n) {
    Para para = { 0 };
    bool any  = false;

    say(p, &para, "Wide panels are edge-joined: cut the strips as drawn, "
        "turn the growth rings of neighbors opposite ways, joint the edges, "
        "glue, clamp until set, scrape and plane flat, then rip the panel "
        "to its width. Each strip is ");
    say_figure(p, &para, figure_length(p->c, p->e, p->m->joint,
                                       STR("saw.joint allowance")));
    say(p, &para, " wider than its share, for jointing. ");
    for (int i = 0; i < p->plan->items.n; i++) {
        const CutItem *item = &p->plan->items.at[i];
        if (item->strip != 1)
            continue;
        if (any)
            say(p, &para, ", ");
        say_letter(p, &para, item->part);
        say(p, &para, " from ");
        say_count(p, &para, item->strips, "strips of a panel");
        say(p, &para, " strips ");
        say_figure(p, &para, figure_length(p->c, p->e, item->width,
                                           STR("width of a strip")));
        any = true;
    }
    say(p, &para, ".");
    if (any)
        flow_item(p, 0, TEXT_W, STYLE_TEXT, ITEM_NUMBER, n, &para);
    return any;
}

static void prepare(Press *p) {
    int  n    = 1;
    Para kerf = { 0 };

    heading(p, STR("Prepare the boards"), SIZE_LEAD);
    for (int i = 0; i < p->m->stocks.n; i++) {
        const Stock *stock = &p->m->stocks.at[i];
        if (stock->planed)
            prepare_stock(p, stock, n++);
    }
    n += prepare_panels(p, n);
    say(p, &kerf, "Every cut turns ");
    say_figure(p, &kerf, figure_length(p->c, p->e, p->m->kerf,
                                       STR("saw.kerf")));
    say(p, &kerf, " to dust; the diagrams allow for it");
    if (p->m->end_trim.real > 0) {
        say(p, &kerf, " and for ");
        say_figure(p, &kerf, figure_length(p->c, p->e, p->m->end_trim,
                                           STR("saw.end trim")));
        say(p, &kerf, " trimmed off the left end of every board");
    }
    say(p, &kerf, ".");
    flow_item(p, 0, TEXT_W, STYLE_TEXT, ITEM_NUMBER, n, &kerf);
}

/* ---- Diagrams ---- */

static double diagram_scale(const Press *p) {
    double longest = 1;

    for (int i = 0; i < p->plan->layouts.n; i++)
        longest = fmax(longest, p->plan->layouts.at[i].length);
    return fmin(TEXT_W / longest, 0.15);
}

/* Pieces too thin for a letter inside get one above the board. */
#define THIN_MM 3.2
#define ABOVE   4.0    // room for them
#define APART   3.4    // of two letters

static bool is_thin(Box2 box) {
    return box.max.y - box.min.y < THIN_MM || box.max.x - box.min.x < THIN_MM;
}

/* Width × length under the letter, where it fits. */
static void piece_label(Press *p, const Placed *at, Box2 box) {
    const CutItem *item = &p->plan->items.at[at->item];
    double w = box.max.x - box.min.x, h = box.max.y - box.min.y;
    V2     middle = v2((box.min.x + box.max.x) / 2,
                       (box.min.y + box.max.y) / 2);
    Para   size   = { 0 };
    double d      = fmin(4.2, fmin(w, h) - 0.6);

    if (is_thin(box))
        return;
    say_bare(p, &size, figure_length(p->c, p->e, item->width,
                                     STR("width as cut")));
    say(p, &size, " × ");
    say_bare(p, &size, figure_length(p->c, p->e, item->length,
                                     STR("length as cut")));
    if (w > para_width(p, &size, STYLE_SMALL) + d + 3 && h > 3.4) {
        double all = para_width(p, &size, STYLE_SMALL) + d + 1;
        letter_circle(p, v2(middle.x - all / 2 + d / 2, middle.y), d,
                      item->part);
        para_at(p, &size, v2(middle.x - all / 2 + d + 1, middle.y + 0.95),
                ALIGN_LEFT, STYLE_SMALL);
    } else if (d > 2.6) {
        letter_circle(p, middle, d, item->part);
    }
}

static Box2 on_board(const Placed *at, V2 corner, double k) {
    return box2(corner.x + at->x * k, corner.y - (at->y + at->width) * k,
                corner.x + (at->x + at->length) * k,
                corner.y - at->y * k);
}

typedef struct { double x, y; int part; } Thin;

static int by_x(const void *pa, const void *pb, const void *with) {
    const Thin *a = pa, *b = pb;

    (void)with;
    if (a->x != b->x)
        return a->x < b->x ? -1 : 1;
    return a->part - b->part;
}

static Thin *thin_pieces(Press *p, const Layout *l, V2 corner, double k,
                         int *n) {
    Thin *thin = NEW_N(p->c, Thin, l->placed.n + 1);

    *n = 0;
    for (int i = 0; i < l->placed.n; i++) {
        Box2 box = on_board(&l->placed.at[i], corner, k);
        if (is_thin(box))
            thin[(*n)++] = (Thin){ fmax(box.max.x - 2.5, box.min.x),
                                   (box.min.y + box.max.y) / 2,
                                   p->plan->items.at[l->placed.at[i].item]
                                       .part };
    }
    list_sort(p->c, thin, *n, sizeof *thin, by_x, NULL);
    return thin;
}

static void label_thin(Press *p, const Layout *l, V2 corner, double k) {
    int    n;
    Thin  *thin = thin_pieces(p, l, corner, k, &n);
    double last = -1e9, top = corner.y - l->width * k;

    for (int i = 0; i < n; i++) {
        Para letter = { 0 };
        bool again  = i && thin[i].part == thin[i - 1].part
                   && thin[i].x - thin[i - 1].x < 1;
        if (!again) {
            last = fmax(thin[i].x, last + APART);
            say_author(p, &letter, p->m->parts.at[thin[i].part].letter,
                       STR("part letter"));
            para_at(p, &letter, v2(last, top - 1.4), ALIGN_CENTER,
                    STYLE_SMALL);
        }
        draw_line(p, v2(last, top - 1), v2(thin[i].x, thin[i].y), PEN_FINE);
    }
}

static bool any_thin(Press *p, const Layout *l, double k) {
    int n;

    thin_pieces(p, l, v2(0, 0), k, &n);
    return n > 0;
}

static void draw_layout(Press *p, const Layout *l, double k) {
    double h      = l->width * k;
    V2     corner;   // near-left, page

    if (any_thin(p, l, k))
        p->y += ABOVE;
    corner = v2(p->left, p->y + h);

    draw_rect(p, box2(p->left, p->y, p->left + l->length * k, p->y + h),
              PEN_THIN, INK_WHITE);
    for (int i = 0; i < l->leftovers.n; i++) {
        const Leftover *o = &l->leftovers.at[i];
        draw_hatch(p, box2(corner.x + o->x * k,
                           corner.y - (o->y + o->width) * k,
                           corner.x + (o->x + o->length) * k,
                           corner.y - o->y * k), 2, PEN_FINE);
    }
    for (int i = 0; i < l->placed.n; i++)
        draw_rect(p, on_board(&l->placed.at[i], corner, k), PEN_THIN,
                  INK_TINT);
    for (int i = 0; i < l->placed.n; i++)
        piece_label(p, &l->placed.at[i],
                    on_board(&l->placed.at[i], corner, k));
    label_thin(p, l, corner, k);
    p->y += h;
}

static void layout_title(Press *p, const Layout *l, int number) {
    const Stock *stock = &p->m->stocks.at[l->stock];
    Para         para  = { 0 }, left = { 0 };

    say_bold(p, &para, "Board ");
    say_figure_bold(p, &para, figure_count(p->c, number,
                                           STR("number of the board")));
    if (l->copies > 1) {
        say_bold(p, &para, " to ");
        say_figure_bold(p, &para, figure_count(p->c, number + l->copies - 1,
                                               STR("number of the board")));
        say_bold(p, &para, ", all alike");
    }
    say(p, &para, " · ");
    say_stock(p, &para, stock);
    say(p, &para, ", ");
    say_figure(p, &para, figure_sold(p->c, p->e, quantity_mm(l->length),
                                     STR("length sold")));
    say(p, &left, "hatched: left over");
    para_at(p, &para, v2(p->left, p->y + BASE_LINE - 1), ALIGN_LEFT,
            STYLE_NOTE);
    if (l->leftovers.n)
        para_at(p, &left, v2(p->left + TEXT_W, p->y + BASE_LINE - 1),
                ALIGN_RIGHT, STYLE_FOOT);
    p->y += BASE_LINE + 0.5;
}

/* ---- Order of cuts ---- */

#define MOST_RIPS 14   // more are left to the diagram

static bool is_section(const Layout *l, const Cut *cut) {
    return !cut->rip && cut->from < 1e-6 && cut->to > l->width - 1e-6;
}

static int count_cuts(const Layout *l, bool rip) {
    int n = 0;

    for (int i = 0; i < l->cuts.n; i++)
        n += l->cuts.at[i].rip == rip && !is_section(l, &l->cuts.at[i]);
    return n;
}

static void say_sections(Press *p, Para *para, const Layout *l) {
    int n = 0;

    for (int i = 0; i < l->cuts.n; i++) {
        if (!is_section(l, &l->cuts.at[i]))
            continue;
        say(p, para, n ? ", " : "Crosscut, from the left end, at ");
        say_bare(p, para, len(p, l->cuts.at[i].at, "place of a crosscut"));
        n++;
    }
    if (n)
        say(p, para, ". ");
}

/* Rips from the near (lower) edge, trims from the left end, each with the
 * stretch of board that it runs in. */
static void say_inner(Press *p, Para *para, const Layout *l, bool rip) {
    int n = 0;

    for (int i = 0; i < l->cuts.n; i++) {
        const Cut *cut = &l->cuts.at[i];
        if (cut->rip != rip || is_section(l, cut))
            continue;
        say(p, para, n ? "; " : rip ? "Rip, from the lower edge, at "
                                    : "Crosscut the strips at ");
        say_bare(p, para, len(p, cut->at, "place of a cut"));
        if (rip) {
            say(p, para, " between ");
            say_bare(p, para, len(p, cut->from, "start of a rip"));
            say(p, para, " and ");
            say_bare(p, para, len(p, cut->to, "end of a rip"));
        }
        n++;
    }
    if (n)
        say(p, para, ". ");
}

static Para layout_cuts(Press *p, const Layout *l) {
    Para para = { 0 };
    int  rips = count_cuts(l, true), trims = count_cuts(l, false);

    say_sections(p, &para, l);
    if (rips + trims > MOST_RIPS) {
        say(p, &para, "Then rip and trim the sections as drawn.");
        return para;
    }
    say_inner(p, &para, l, true);
    say_inner(p, &para, l, false);
    return para;
}

static int draw_one(Press *p, const Layout *l, int number, double k) {
    Para   cuts = layout_cuts(p, l);
    double need = BASE_LINE + l->width * k
                + para_height(p, &cuts, TEXT_W, STYLE_NOTE) + 6
                + (any_thin(p, l, k) ? ABOVE : 0);

    page_need(p, need);
    layout_title(p, l, number);
    draw_layout(p, l, k);
    p->y += 0.5;
    if (cuts.spans.n)
        p->y += para_draw(p, &cuts, p->left, p->y, TEXT_W, STYLE_NOTE);
    p->y += 3;
    return number + l->copies;
}

/* ---- All blanks ---- */

static Para blank_note(Press *p, const CutItem *item) {
    const Part *part = &p->m->parts.at[item->part];
    Para        para = { 0 }, cut = { 0 };

    if (item->strip) {
        say(p, &para, "strip of a panel, ");
        say_count(p, &para, item->strips, "strips of a panel");
        say(p, &para, " to each");
    } else if (item->leaves) {
        say(p, &para, "gives ");
        say_count(p, &para, p->m->stocks.at[part->stock].leaves,
                  "leaves out of one board");
        say(p, &para, " leaves, ");
        say_count(p, &para, part->quantity, "pieces placed");
        say(p, &para, " needed");
    } else if (!part->plain) {
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

static void blanks(Press *p) {
    static const Column columns[] = {
        { "", COLUMN_TEXT, 10 },        { "Blanks", COLUMN_COUNT, 16 },
        { "Wide", COLUMN_FIGURE, 22 },  { "Long", COLUMN_FIGURE, 24 },
        { "From", COLUMN_TEXT, 48 },    { "", COLUMN_TEXT, 63 },
    };
    Table t;

    heading(p, STR("All blanks"), SIZE_LEAD);
    t = table_begin(p, 0, columns, COUNT(columns));
    for (int i = 0; i < p->plan->items.n; i++) {
        const CutItem *item = &p->plan->items.at[i];
        const Part    *part = &p->m->parts.at[item->part];
        Para           cells[COUNT(columns)] = { 0 };
        if (item->strip > 1)
            continue;   // counted with the first strip
        say_letter(p, &cells[0], item->part);
        say_count(p, &cells[1],
                  item->count * (item->strip ? item->strips : 1),
                  "blanks to cut");
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

void press_cutting(Press *p) {
    double k      = diagram_scale(p);
    int    number = 1;
    Para   para;

    page_begin(p, SECTION_CUT, PAGE_TEXT);
    bookmark(p, STR("How to cut it"), 0);
    heading(p, STR("How to cut it"), SIZE_HEAD);
    prepare(p);
    heading(p, STR("Cut the boards"), SIZE_LEAD);
    para = para_of(p, "One diagram for each different board, all to one "
        "scale; width × length of each blank inside, letters as in the "
        "parts table. Slanted ends and curves are cut later, from these "
        "blanks.");
    flow_para(p, 0, TEXT_W, STYLE_TEXT, &para);
    space_down(p, HALF_LINE);
    for (int i = 0; i < p->plan->layouts.n; i++)
        number = draw_one(p, &p->plan->layouts.at[i], number, k);
    blanks(p);
}
