/* cover_page -- the finished project, large; contents on the page after it. */
#include "press/sections.h"

static const Style STYLE_LABEL = { FONT_REGULAR, SIZE_NOTE, INK_GRAY };

void fact(Press *p, double x, double y, const char *label,
          const Para *value) {
    words_at(p, label, v2(x, y), ALIGN_LEFT, STYLE_LABEL);
    para_draw(p, value, x, y, col_w(2), STYLE_LEAD_BOLD);
}

/* Width x depth x height of the whole. */
static Para finished_size(Press *p) {
    const Box3 *b = &p->m->box;
    const double size[] = { b->max.x - b->min.x, b->max.y - b->min.y,
                            b->max.z - b->min.z };
    static const char *const sources[] = {
        "overall width", "overall depth", "overall height"
    };
    Para para = { 0 };

    for (int i = 0; i < 3; i++) {
        Figure f = figure_length(p->c, p->e, quantity_mm(size[i]),
                                 str_from(p->c, sources[i]));
        if (i)
            say(p, &para, " × ");
        if (i < 2)
            say_bare(p, &para, f);
        else
            say_figure(p, &para, f);
    }
    return para;
}

static int boards_to_buy(const Workplan *plan) {
    int n = 0;

    for (int i = 0; i < plan->buys.n; i++)
        n += plan->buys.at[i].count;
    return n;
}

/* What kinds of wood they are. */
static const char *wood_words(const Press *p) {
    static const char *const words[] = {   // by 1 << StockForm
        "Wood", "Boards", "Sheets", "Boards and sheets", "Dowels",
        "Boards and dowels", "Sheets and dowels", "Boards, sheets, dowels"
    };
    unsigned forms = 0;

    for (int i = 0; i < p->plan->buys.n; i++)
        forms |= 1u << p->m->stocks.at[p->plan->buys.at[i].stock].form;
    return words[forms];
}

static void cover_facts(Press *p, double y) {
    Para size = finished_size(p), boards = { 0 }, steps = { 0 };

    fact(p, p->left, y, "Finished size, width × depth × height", &size);
    say_count(p, &boards, boards_to_buy(p->plan), "boards bought");
    say(p, &boards, " from the store");
    fact(p, col_x(p, 3), y, wood_words(p), &boards);
    say_count(p, &steps, p->m->steps.n, "steps of assembly");
    say(p, &steps, p->m->steps.n == 1 ? " step" : " steps");
    fact(p, col_x(p, 5), y, "Assembly", &steps);
}

static void cover_foot(Press *p) {
    Str  design = STR("title of the design");
    Para left = { 0 }, right = { 0 };
    double y = p->top + TEXT_H - BASE_LINE;

    if (p->m->by_name.n)
        say_author(p, &left, p->m->by_name, design);
    if (p->m->by_web.n) {
        if (p->m->by_name.n)
            say(p, &left, " · ");
        say_author(p, &left, p->m->by_web, design);
    }
    if (p->m->code.n) {
        say_author(p, &right, p->m->code, design);
        say(p, &right, " · ");
    }
    if (p->m->variant.n) {
        say_author(p, &right, p->m->variant, STR("name of the variant"));
        say(p, &right, " · ");
    }
    if (p->m->revision.n) {
        say(p, &right, "revision ");
        say_author(p, &right, p->m->revision, design);
        say(p, &right, ", ");
    }
    if (p->m->date.n) {
        say_author(p, &right, p->m->date, design);
        say(p, &right, " · ");
    }
    if (p->e->a4)
        say_name(p, &right, STR("A4"), "paper size");
    else
        say(p, &right, "Letter");
    say(p, &right, p->e->inch ? ", sizes in inches"
                              : ", sizes in millimeters");
    para_at(p, &left, v2(p->left, y), ALIGN_LEFT, STYLE_FOOT);
    para_at(p, &right, v2(p->left + TEXT_W, y), ALIGN_RIGHT, STYLE_FOOT);
}

void press_cover(Press *p) {
    Para        title = { 0 }, about = { 0 };
    PictureLook look  = { .shaded = true };
    double      y;

    page_begin(p, SECTION_COVER, PAGE_NO_FOOT);
    bookmark(p, p->m->title, 0);
    say_author(p, &title, p->m->title, STR("title of the design"));
    y  = p->top + para_draw(p, &title, p->left, p->top, TEXT_W, STYLE_COVER);
    y += BASE_LINE;
    say_say(p, &about, &p->m->about);
    y += para_draw(p, &about, p->left, y, col_w(4), STYLE_LEAD);
    if (y > p->top + TEXT_H / 2 && p->m->about.n)
        report(p->c, p->m->about.at[0].loc, PAGE_OVERFULL,
               "\"about\" leaves no room for the picture on the cover");
    view_draw(p, &p->plan->cover,
              box2(p->left, y + 6, p->left + TEXT_W,
                   p->top + TEXT_H - 30), look, false);
    cover_facts(p, p->top + TEXT_H - 20.25);
    cover_foot(p);
}

/* ---- Contents ---- */

/* A line: words left, page number right, the whole of it a link. */
static void contents_line(Press *p, const Para *words, int page,
                          double indent, Style style) {
    Para   number = { 0 };
    double y;

    page_need(p, leading_of(style.size));
    y = p->y + leading_of(style.size);
    para_at(p, words, v2(p->left + indent, y), ALIGN_LEFT, style);
    say_figure(p, &number, figure_page(p->c, page));
    para_at(p, &number, v2(p->left + TEXT_W, y), ALIGN_RIGHT, style);
    draw_line(p, v2(p->left + indent, y + 1.4),
              v2(p->left + TEXT_W, y + 1.4),
              (Pen){ INK_PALE, 0.25, DASH_SOLID });
    link_to(p, box2(p->left, p->y, p->left + TEXT_W, y + 1), page);
    p->y = y;
}

static void contents_steps(Press *p) {
    for (int i = 0; i < p->m->steps.n; i++) {
        Para para = { 0 };
        say_count(p, &para, i + 1, "number of the step");
        say(p, &para, "   ");
        say_author(p, &para, p->m->steps.at[i].title, STR("step title"));
        contents_line(p, &para, p->known ? p->known->step[i] : -1,
                      col_w(1) / 2, STYLE_TEXT);
    }
}

void press_contents(Press *p) {
    page_begin(p, SECTION_CONTENTS, PAGE_TEXT);
    bookmark(p, STR("Contents"), 0);
    heading(p, STR("Contents"), SIZE_HEAD);
    for (int s = SECTION_START; s < SECTION_COUNT; s++) {
        Para para = para_of(p, section_name((Section)s));
        int  page = p->known ? p->known->section[s] : -1;
        if (p->known && page < 0)
            continue;
        space_down(p, HALF_LINE);
        contents_line(p, &para, page, 0, STYLE_TEXT_BOLD);
        if (s == SECTION_STEPS)
            contents_steps(p);
    }
}
