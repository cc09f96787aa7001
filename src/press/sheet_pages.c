/* sheet_pages -- template sheets at true size, and the page that comes
 * before them: a test of the printer, and a map of what is joined.
 *
 * The window for patterns is the paper less SHEET_MARGIN. Check bars both
 * ways and the words stand in the margin, outside the 6.4 mm that no printer
 * prints on (geometry-notes 5):
 *
 *     +--------------------------------+
 *     |  |--- 4 in ---|     C-B2  C    |
 *     |w +--------------------------+  |
 *     |o |                          |w |   Two bars each way, as paper feed
 *     |r |                          |o |   and carriage err apart.
 *     |d |                          |r |
 *     |  |                          |d |
 *     |1 |                          |4 |
 *     |0 |                          |in|
 *     |0 +--------------------------+  |
 *     |  |--- 100 mm ---|  title, page |
 *     +--------------------------------+
 */
#include "press/sheet_internal.h"

#include <math.h>

#define BAR_MM   100.0
#define BAR_IN   101.6   // 4 in
#define BAND     8.2     // from the paper's edge to the line of a bar
#define NOTE_IN  0.5     // from there to the line of upright words
#define MAP_H    62.0    // of a map with its head
#define MAP_LEAST 40.0   // lower ones have a page of their own
#define MAP_GAP  4.0

V2 sheet_point(const Press *p, V2 v) {
    return v2(SHEET_MARGIN + v.x, SHEET_MARGIN + p->plan->sheet_h - v.y);
}

static double page_w(const Press *p) {
    return p->b->pages.at[p->page].width;
}

static double page_h(const Press *p) {
    return p->b->pages.at[p->page].height;
}

/* ---- Check bars ---- */

static void remember_line(Press *p, V2 a, V2 b) {
    TrueSize *t = PUSH(p->c, &p->b->ledger.shapes);
    Loop     *l = PUSH(p->c, &t->shape.loops);
    double    h = p->b->pages.at[p->page].height;

    loop_line_to(p->c, l, v2(a.x, h - a.y), v2(b.x, h - b.y));
    t->page   = p->page;
    t->what   = STR("check bar");
    t->window = box2(0, 0, p->b->pages.at[p->page].width, h);
}

static Figure bar_figure(Press *p, bool inch) {
    return figure_number(p->c, inch ? 4 : 100, 0, inch ? "in" : "mm",
                         STR("check bar"));
}

/* From a to the right, or up; the figure stands at its far end. */
static void bar(Press *p, V2 a, bool up, bool inch) {
    double length = inch ? BAR_IN : BAR_MM;
    V2   b    = up ? v2(a.x, a.y - length) : v2(a.x + length, a.y);
    V2   tick = up ? v2(1.2, 0) : v2(0, 1.2);
    Para para = { 0 };

    draw_line(p, a, b, PEN_THIN);
    draw_line(p, v2_sub(a, tick), v2_add(a, tick), PEN_THIN);
    draw_line(p, v2_sub(b, tick), v2_add(b, tick), PEN_THIN);
    remember_line(p, a, b);
    say_figure(p, &para, bar_figure(p, inch));
    if (up)
        para_at_turned(p, &para, v2(b.x + 1.0, b.y - 2), ALIGN_LEFT,
                       STYLE_NOTE);
    else
        para_at(p, &para, v2(b.x + 2, b.y + 1), ALIGN_LEFT, STYLE_NOTE);
}

/* Bars along and across a page, from corners given. */
static void four_bars(Press *p, double left, double top, double right,
                      double bottom) {
    bar(p, v2(SHEET_MARGIN, top), false, true);
    bar(p, v2(SHEET_MARGIN, bottom), false, false);
    bar(p, v2(left, page_h(p) - SHEET_MARGIN), true, false);
    bar(p, v2(right, page_h(p) - SHEET_MARGIN), true, true);
}

/* ---- A sheet ---- */

static void say_foot(Press *p, Para *para) {
    say_author(p, para, p->m->title, STR("title of the design"));
    if (p->m->revision.n) {
        say(p, para, " · revision ");
        say_author(p, para, p->m->revision, STR("title of the design"));
    }
    say(p, para, " · page ");
    say_figure(p, para, figure_page(p->c, p->page));
    say(p, para, " of ");
    say_count(p, para, p->known ? p->known->pages : 0,
              "pages of the booklet");
}

static void sheet_words(Press *p, const Sheet *sheet) {
    Para   name = { 0 }, note = { 0 }, foot = { 0 };
    Para   other = para_of(p, "Show face up. Arrows run with the grain.");
    double right = page_w(p) - SHEET_MARGIN, low = page_h(p) - SHEET_MARGIN;

    say_author_bold(p, &name, sheet->name, STR("name of the sheet"));
    for (int i = 0; i < sheet->on.n; i++) {
        int  part  = p->plan->patterns.at[sheet->on.at[i].pattern].part;
        bool again = false;
        for (int k = 0; k < i; k++)
            again |= sheet->on.at[k].pattern == sheet->on.at[i].pattern;
        if (part < 0 || again)
            continue;
        say(p, &name, " ");
        say_letter(p, &name, part);
    }
    para_at(p, &name, v2(right, BAND + 1), ALIGN_RIGHT, STYLE_LEAD);
    if (p->known && p->known->pages > 0) {
        say_foot(p, &foot);
        para_at(p, &foot, v2(right, page_h(p) - BAND + 1), ALIGN_RIGHT,
                STYLE_FOOT);
    }
    say(p, &note, "Print at ");
    say_figure(p, &note, figure_number(p->c, 100, 0, "%", STR("true size")));
    say(p, &note, "; measure the bars. The middle of the line is the true "
        "edge.");
    para_at_turned(p, &note, v2(BAND + NOTE_IN, low - BAR_MM - 20),
                   ALIGN_LEFT, STYLE_NOTE);
    para_at_turned(p, &other, v2(page_w(p) - BAND + 1, low - BAR_IN - 20),
                   ALIGN_LEFT, STYLE_NOTE);
}

/* ---- A map where the sheet is free ---- */

/* True if nothing of the sheet's patterns is in the box (window, mm). */
static bool is_blank(Press *p, const Sheet *sheet, Box2 box) {
    Shape probe = shape_rect(p->c, box.min, box.max);

    for (int i = 0; i < sheet->on.n; i++) {
        const OnSheet *on = &sheet->on.at[i];
        Shape s = shape_move(p->c, p->plan->patterns.at[on->pattern].shape,
                             on->at);
        if (shape_intersect(p->c, s, probe).loops.n > 0)
            return false;
    }
    return true;
}

/* In a corner, or along an edge, where there is room. */
static void corner_map(Press *p, int sheet) {
    const Sheet *s = &p->plan->sheets.at[sheet];
    int    pattern;
    double far = SHEET_OVERLAP + 4;

    if (s->on.n == 0)
        return;
    pattern = s->on.at[0].pattern;
    if (!sheet_is_piece(p, &s->on.at[0]) || sheet_is_strip(p, &s->on.at[0]))
        return;
    for (double size = 34; size > 15; size -= 9) {
        double w = p->plan->sheet_w - 2 * far - size;
        double h = p->plan->sheet_h - 2 * far - size;
        for (int k = 0; k < 25; k++) {
            V2 at = v2(far + w * (4 - k % 5) / 4, far + h * (4 - k / 5) / 4);
            Box2 box = box2(at.x, at.y, at.x + size, at.y + size);
            V2 a = sheet_point(p, box.min), b = sheet_point(p, box.max);
            if (!is_blank(p, s, box2(box.min.x - 5, box.min.y - 5,
                                     box.max.x + 5, box.max.y + 8)))
                continue;
            sheet_map(p, pattern, sheet, box2(a.x, b.y, b.x, a.y), false);
            return;
        }
    }
}

static void sheet_page(Press *p, int i) {
    const Sheet *sheet = &p->plan->sheets.at[i];

    page_begin(p, SECTION_TEMPLATES, PAGE_SHEET);
    p->refs->sheet[i] = p->page;
    bookmark(p, sheet->name, 1);
    for (int k = 0; k < sheet->on.n; k++)
        sheet_pattern(p, &sheet->on.at[k]);
    sheet_seams(p, i);
    corner_map(p, i);
    four_bars(p, BAND, BAND, page_w(p) - BAND, page_h(p) - BAND);
    sheet_words(p, sheet);
}

/* ---- The page before them ---- */

/* How a profile is traced from one repeat, as the item of that number. */
static void repeat_words(Press *p, int number) {
    bool left = false, right = false;
    Para para;

    for (int i = 0; i < p->plan->patterns.n; i++) {
        const Pattern *t = &p->plan->patterns.at[i];
        left  |= t->repeats > 0;
        right |= t->repeats > 0 && t->right;
    }
    if (!left)
        return;
    para = para_of(p, "A profile that repeats is printed as one end and one "
                   "repeat: trace it, move the dashed line to where the "
                   "repeat line was, and trace again; turn it over for the "
                   "other end");
    say(p, &para, right ? ", unless that has a pattern of its own." : ".");
    flow_item(p, 0, TEXT_W, STYLE_TEXT, ITEM_NUMBER, number, &para);
}

typedef bool IsSuch(const Press *p, const OnSheet *on);

static bool any_such(const Press *p, IsSuch *is_such) {
    for (int i = 0; i < p->plan->sheets.n; i++) {
        const Sheet *s = &p->plan->sheets.at[i];
        for (int k = 0; k < s->on.n; k++) {
            if (is_such(p, &s->on.at[k]))
                return true;
        }
    }
    return false;
}

static Para join_words(Press *p) {
    bool strips = any_such(p, sheet_is_strip);
    Para para   = para_of(p, strips
        ? "Sheets that join, and pieces of one strip that lie side by side,"
        : "Sheets that join");

    say(p, &para, " show the same numbered marks, a circle and a diamond: "
        "cut one sheet along the dashed line in the middle of the strip, lay "
        "it on its neighbor so that marks of one number and kind meet, and "
        "tape.");
    if (strips)
        say(p, &para, " Lay a straightedge along the edges of narrow pieces "
            "as you join them.");
    return para;
}

static void test_words(Press *p) {
    Para para = { 0 }, printer = { 0 };
    bool joined = any_such(p, sheet_is_piece);

    say(p, &para, "Print this page alone first, at ");
    say_figure(p, &para, figure_number(p->c, 100, 0, "%", STR("true size")));
    say(p, &para, ": turn off every setting that fits or shrinks the page. "
        "Then measure the four bars in its margins, ");
    say_figure(p, &para, bar_figure(p, false));
    say(p, &para, " and ");
    say_figure(p, &para, bar_figure(p, true));
    say(p, &para, ", both across and along the paper.");
    flow_item(p, 0, TEXT_W, STYLE_TEXT, ITEM_NUMBER, 1, &para);
    para = para_of(p, "All four true: print the sheets. All off by the same "
                   "share: a setting still scales the page; find it. Only "
                   "one way off, or a little: the printer itself errs. Then "
                   "ask the publisher for a copy made for your printer (tell "
                   "them each measured length divided by its true length, "
                   "across and along), or use another printer or a copy "
                   "shop.");
    flow_item(p, 0, TEXT_W, STYLE_TEXT, ITEM_NUMBER, 2, &para);
    if (p->e->printer_x > 0) {
        say(p, &printer, "These sheets are drawn for a printer that makes ");
        say_figure(p, &printer, figure_number(p->c, p->e->printer_x, 6, "",
                                              STR("printer, across")));
        say(p, &printer, " of one across and ");
        say_figure(p, &printer, figure_number(p->c, p->e->printer_y, 6, "",
                                              STR("printer, along")));
        say(p, &printer, " along the paper; on another they are wrong.");
        flow_para(p, 0, TEXT_W, STYLE_TEXT_BOLD, &printer);
    }
    para = para_of(p, "Do not cut wood from a sheet whose bars are off by "
                   "more than the width of their lines. Cut wood to the "
                   "middle of the solid line.");
    flow_item(p, 0, TEXT_W, STYLE_TEXT, ITEM_NUMBER, 3, &para);
    if (joined) {
        para = join_words(p);
        flow_item(p, 0, TEXT_W, STYLE_TEXT, ITEM_NUMBER, 4, &para);
    }
    repeat_words(p, joined ? 5 : 4);
    space_down(p, HALF_LINE);
}

/* How many sheets there are, and how many there must be. */
static void count_words(Press *p) {
    Para para  = { 0 };
    int  least = p->plan->sheets_least;

    if (p->plan->sheets.n == 1)
        return;
    say_count(p, &para, p->plan->sheets.n, "template sheets");
    say(p, &para, " sheets");
    if (least > 1) {
        say(p, &para, "; no layout of these patterns takes fewer than ");
        say_count(p, &para, least, "fewest template sheets");
    }
    say(p, &para, ".");
    flow_para(p, 0, TEXT_W, STYLE_TEXT, &para);
}

static void map_head(Press *p, int pattern, double x, double y) {
    const Pattern *pat  = &p->plan->patterns.at[pattern];
    Para           para = { 0 };

    if (pat->part < 0) {
        say_author_bold(p, &para, pat->title, STR("name of a jig"));
        para_at(p, &para, v2(x, y + 4.2), ALIGN_LEFT, STYLE_TEXT);
        return;
    }
    letter_circle(p, v2(x + LETTER_D / 2, y + 3), LETTER_D, pat->part);
    say_author_bold(p, &para, p->m->parts.at[pat->part].name,
                    part_source(p, &p->m->parts.at[pat->part], "name"));
    para_at(p, &para, v2(x + LETTER_D + 2, y + 4.2), ALIGN_LEFT, STYLE_TEXT);
}

static bool has_map(const Press *p, int pattern) {
    const Pattern *t = &p->plan->patterns.at[pattern];

    return t->columns * t->rows > 1;
}

/* So high that all rows of maps stand on this page, or as high as may be:
 * then they go on over the next. */
static double map_height(const Press *p) {
    int    n    = 0, rows;
    double room = body_bottom(p) - p->y, high;

    for (int i = 0; i < p->plan->patterns.n; i++)
        n += has_map(p, i);
    rows = (n + 1) / 2;
    high = (room + MAP_GAP) / fmax(1, rows) - MAP_GAP;
    return high < MAP_LEAST ? MAP_H : fmin(MAP_H, high);
}

/* A page with bars, as a sheet has them. */
static void bars_page(Press *p) {
    p->b->pages.at[p->page].sheet = true;
    four_bars(p, BAND, BAND, page_w(p) - BAND, page_h(p) - BAND);
}

/* Two maps beside each other, as many rows as there is room for. */
static void maps(Press *p) {
    double w = (TEXT_W - 12) / 2, h = 0;
    int    n = 0, page = p->page;

    for (int i = 0; i < p->plan->patterns.n; i++) {
        double x = p->left + (n % 2) * (w + 12);
        if (!has_map(p, i))
            continue;
        if (n == 0) {
            heading(p, STR("How the sheets join"), SIZE_LEAD);
            h = map_height(p);
        }
        if (n % 2 == 0 && n > 0)
            p->y += h + MAP_GAP;
        if (n % 2 == 0)
            page_need(p, h);
        if (p->page != page)
            bars_page(p);
        page = p->page;
        map_head(p, i, x, p->y);
        sheet_map(p, i, -1, box2(x, p->y + 8, x + w, p->y + h), true);
        n++;
    }
}

static void test_page(Press *p) {
    page_begin(p, SECTION_TEMPLATES, PAGE_TEXT);
    bookmark(p, STR("Templates"), 0);
    heading(p, STR("Test your printer first"), SIZE_HEAD);
    test_words(p);
    count_words(p);
    space_down(p, HALF_LINE);
    bars_page(p);
    maps(p);
}

void press_sheets_alone(Press *p) {
    for (int i = 0; i < p->plan->sheets.n; i++)
        sheet_page(p, i);
}

void press_sheets(Press *p) {
    if (p->plan->sheets.n == 0)
        return;
    test_page(p);
    press_sheets_alone(p);
}
