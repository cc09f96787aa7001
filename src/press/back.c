/* back -- revisions, terms of use, how to reach the maker. */
#include "press/sections.h"

static void revisions(Press *p) {
    static const Column columns[] = {
        { "Revision", COLUMN_TEXT, 22 }, { "Date", COLUMN_TEXT, 30 },
        { "What changed", COLUMN_TEXT, 131 },
    };
    Str   source = STR("revisions");
    Table t;

    if (p->m->revisions.n == 0)
        return;
    heading(p, STR("Revisions"), SIZE_LEAD);
    t = table_begin(p, 0, columns, COUNT(columns));
    for (int i = 0; i < p->m->revisions.n; i++) {
        const Revision *r = &p->m->revisions.at[i];
        Para cells[COUNT(columns)] = { 0 };
        say_author(p, &cells[0], r->revision, source);
        say_author(p, &cells[1], r->date, source);
        say_author(p, &cells[2], r->what, source);
        table_row(p, &t, table_row_height(p, &t, cells));
        for (int k = 0; k < COUNT(columns); k++)
            table_para(p, &t, k, &cells[k]);
    }
    table_end(p, &t);
}

static void terms(Press *p) {
    Para para = { 0 };

    heading(p, STR("Terms of use"), SIZE_LEAD);
    if (p->m->terms.n) {
        para = para_author(p, p->m->terms);
        flow_para(p, 0, TEXT_W, STYLE_TEXT, &para);
        space_down(p, HALF_LINE);
    }
    para = para_of(p, "You build at your own risk. Every size here was "
        "computed from one description of the design, but woods, tools and "
        "hands differ: measure your own boards before you cut, and change "
        "nothing that carries weight without knowing what it carries.");
    flow_para(p, 0, TEXT_W, STYLE_TEXT, &para);
}

static void contact(Press *p) {
    Str  design = STR("title of the design");
    Para para   = { 0 };

    if (!p->m->by_name.n && !p->m->by_web.n)
        return;
    say(p, &para, "Found something unclear or wrong? Write to ");
    say_author(p, &para, p->m->by_name.n ? p->m->by_name : p->m->by_web,
               design);
    if (p->m->by_name.n && p->m->by_web.n) {
        say(p, &para, ", ");
        say_author(p, &para, p->m->by_web, design);
    }
    say(p, &para, ", and name the page and the edition");
    if (p->m->code.n) {
        say(p, &para, " (");
        say_author(p, &para, p->m->code, design);
        if (p->m->revision.n) {
            say(p, &para, ", revision ");
            say_author(p, &para, p->m->revision, design);
        }
        say(p, &para, ")");
    }
    say(p, &para, ".");
    heading_over(p, STR("Questions and mistakes"), SIZE_LEAD,
                 para_height(p, &para, TEXT_W, STYLE_TEXT));
    flow_para(p, 0, TEXT_W, STYLE_TEXT, &para);
}

static void back_body(Press *p) {
    bookmark(p, STR("Revisions and terms"), 0);
    heading(p, STR("Revisions and terms"), SIZE_HEAD);
    revisions(p);
    terms(p);
    contact(p);
}

void press_back(Press *p) {
    section_begin(p, SECTION_BACK,
                  flow_height(p, SECTION_BACK, back_body) + 2 * BASE_LINE);
    back_body(p);
}
