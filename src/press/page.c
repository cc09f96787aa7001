/* page -- the grid, pages with their foot, headings, bookmarks.
 *
 * The booklet is laid out more than once: a page can name another page
 * only when a whole layout has shown where everything falls. The first
 * layout leaves out the foot and writes "00" for pages, which is as wide
 * as most numbers, so that the second one falls out the same.
 */
#include "press/press_internal.h"

#include <math.h>

#define FOOT_Y 247.5   // baseline of the foot below the top of the text area

static const char *const section_names[] = {   // ORDER SECTION
    "Cover", "Contents", "Start here", "Safety", "What to buy",
    "How to cut it", "Parts", "Part drawings", "Assembly",
    "Finish and care", "Revisions and terms", "Templates"
};

/* ---- Editions ---- */

const char *edition_name(const Edition *e) {
    if (e->a4)
        return e->inch ? "a4-inch" : "a4-mm";
    return e->inch ? "letter-inch" : "letter-mm";
}

double edition_width(const Edition *e) {
    return e->a4 ? 210 : 215.9;
}

double edition_height(const Edition *e) {
    return e->a4 ? 297 : 279.4;
}

/* ---- References ---- */

static int *pages_unknown(Ctx *c, int n) {
    int *pages = NEW_N(c, int, n + 1);

    for (int i = 0; i < n; i++)
        pages[i] = -1;
    return pages;
}

PageRefs *refs_new(Ctx *c, const Model *m, const Workplan *plan) {
    PageRefs *r = NEW(c, PageRefs);

    r->parts  = m ? m->parts.n : 0;
    r->steps  = m ? m->steps.n : 0;
    r->sheets = plan ? plan->sheets.n : 0;
    r->part   = NEW_N(c, PartPages, r->parts + 1);
    r->step   = pages_unknown(c, r->steps);
    r->rod    = pages_unknown(c, r->steps);
    r->sheet  = pages_unknown(c, r->sheets);
    for (int i = 0; i < r->parts; i++)
        r->part[i] = (PartPages){ -1, -1, -1 };
    for (int i = 0; i < SECTION_COUNT; i++)
        r->section[i] = -1;
    return r;
}

static bool same(const int *a, const int *b, int n) {
    for (int i = 0; i < n; i++)
        if (a[i] != b[i])
            return false;
    return true;
}

bool refs_eq(const PageRefs *a, const PageRefs *b) {
    if (a->pages != b->pages || a->parts != b->parts || a->steps != b->steps
        || a->sheets != b->sheets)
        return false;
    for (int i = 0; i < a->parts; i++)
        if (a->part[i].row != b->part[i].row
            || a->part[i].drawing != b->part[i].drawing
            || a->part[i].template != b->part[i].template)
            return false;
    return same(a->section, b->section, SECTION_COUNT)
        && same(a->step, b->step, a->steps)
        && same(a->rod, b->rod, a->steps)
        && same(a->sheet, b->sheet, a->sheets);
}

/* ---- The press ---- */

Press press_new(Ctx *c, const Model *m, const Workplan *plan,
                const Edition *e, const Fonts *fonts,
                const PageRefs *known) {
    Booklet *b = NEW(c, Booklet);

    b->edition = *e;
    b->width   = edition_width(e);
    b->height  = edition_height(e);
    b->fonts   = fonts;
    return (Press){
        .c = c, .m = m, .plan = plan, .e = e, .fonts = fonts, .b = b,
        .known = known, .refs = refs_new(c, m, plan), .page = -1,
        .seen = m ? NEW_N(c, Picture *, 2 * m->parts.n + 1) : NULL,
        .left = (b->width - TEXT_W) / 2, .top = (b->height - TEXT_H) / 2
    };
}

const char *section_name(Section s) {
    return section_names[s];
}

double col_w(int n) {
    double one = (TEXT_W - (COLUMNS - 1) * GUTTER) / COLUMNS;

    return n * one + (n - 1) * GUTTER;
}

double col_x(const Press *p, int i) {
    return p->left + i * (col_w(1) + GUTTER);
}

double body_bottom(const Press *p) {
    return p->top + BODY_H;
}

/* ---- The foot ---- */

static void say_edition(Press *p, Para *para) {
    if (p->e->a4)
        say_name(p, para, STR("A4"), "paper size");
    else
        say(p, para, "Letter");
    say(p, para, p->e->inch ? ", inches" : ", millimeters");
}

static void foot(Press *p, Section section) {
    Str    design = STR("title of the design");
    double y      = p->top + FOOT_Y;
    Para   title  = { 0 }, place = { 0 }, page = { 0 };

    if (p->m) {
        say_author(p, &title, p->m->title, design);
        if (p->m->variant.n) {
            say(p, &title, " · ");
            say_author(p, &title, p->m->variant, STR("name of the variant"));
        }
        if (p->m->revision.n) {
            say(p, &title, " · revision ");
            say_author(p, &title, p->m->revision, design);
        }
        say(p, &title, " · ");
    }
    say_edition(p, &title);
    say(p, &place, section_name(section));
    say(p, &page, "page ");
    say_figure(p, &page, figure_page(p->c, p->page));
    say(p, &page, " of ");
    say_count(p, &page, p->known->pages, "pages of the booklet");
    para_at(p, &title, (V2){ p->left, y }, ALIGN_LEFT, STYLE_FOOT);
    para_at(p, &page, (V2){ p->left + TEXT_W, y }, ALIGN_RIGHT, STYLE_FOOT);
    if (para_width(p, &title, STYLE_FOOT)
        + para_width(p, &place, STYLE_FOOT) / 2 + 4 < TEXT_W / 2)
        para_at(p, &place, (V2){ p->left + TEXT_W / 2, y }, ALIGN_CENTER,
                STYLE_FOOT);
}

/* ---- Pages ---- */

void page_begin(Press *p, Section section, PageKind kind) {
    Page *page = PUSH(p->c, &p->b->pages);

    page->section = str_from(p->c, section_name(section));
    page->sheet   = kind == PAGE_SHEET;
    page->width   = p->b->width;
    page->height  = p->b->height;
    p->page       = p->b->pages.n - 1;
    p->section    = section;
    p->y          = p->top;
    p->refs->pages = p->b->pages.n;
    if (p->refs->section[section] < 0)
        p->refs->section[section] = p->page;
    if (kind == PAGE_TEXT && p->known && p->known->pages > 0)
        foot(p, section);
}

double flow_height(const Press *p, Section section,
                   void (*body)(Press *scratch)) {
    Press scratch = press_new(p->c, p->m, p->plan, p->e, p->fonts, p->known);

    scratch.dry = true;
    page_begin(&scratch, section, PAGE_TEXT);
    body(&scratch);
    return scratch.b->pages.n > 1 ? TEXT_H : scratch.y - scratch.top;
}

void section_begin(Press *p, Section section, double room) {
    if (p->page < 0 || p->b->pages.at[p->page].sheet
        || body_bottom(p) - p->y < room) {
        page_begin(p, section, PAGE_TEXT);
        return;
    }
    p->section = section;
    p->refs->section[section] = p->page;
    space_down(p, 2 * BASE_LINE);
}

bool page_need(Press *p, double height) {
    if (p->page >= 0 && p->y + height <= body_bottom(p) + 0.01)
        return false;
    if (p->page >= 0 && p->y <= p->top + 0.01)
        return false;   // higher than any page: no use in an empty one
    page_begin(p, p->section, PAGE_TEXT);
    return true;
}

void space_down(Press *p, double mm) {
    double lines = ceil((p->y + mm - p->top) / HALF_LINE - 1e-6);

    p->y = p->top + lines * HALF_LINE;
}

/* What is left free under a heading. */
static double after(double size) {
    return size >= SIZE_HEAD ? BASE_LINE : HALF_LINE;
}

static void heading_para(Press *p, const Para *para, double size,
                         double below) {
    Style  style = { size > SIZE_HEAD ? FONT_LIGHT : FONT_BOLD, size,
                     INK_BLACK };
    double before = p->y > p->top + 0.01 ? leading_of(size) / 2 : 0;
    double height = para_height(p, para, TEXT_W, style);

    page_need(p, before + height + below);
    if (p->y > p->top + 0.01)
        space_down(p, before);
    p->y += para_draw(p, para, p->left, p->y, TEXT_W, style);
    space_down(p, after(size));
}

void heading_over(Press *p, Str words, double size, double below) {
    Para para = { 0 };

    say_str(p, &para, words);
    heading_para(p, &para, size, after(size) + HALF_LINE + below);
}

/* One that would stand in the last fifth goes over to a new page. */
void heading(Press *p, Str words, double size) {
    Para para = { 0 };

    say_str(p, &para, words);
    heading_para(p, &para, size, BODY_H / 5);
}

void bookmark(Press *p, Str title, int level) {
    Bookmark *new = PUSH(p->c, &p->b->bookmarks);

    *new = (Bookmark){ title, p->page, level };
}
