/* finish_page -- what gets which finish, how, and how to keep it. */
#include "press/sections.h"

static bool is_told_apart(const Part *part) {
    return !finish_is_plain(part) || part->finish_when != WHEN_UNSAID;
}

static void say_wholly_finished(Press *p, Para *cell, int finish) {
    for (int k = 0; k < p->m->parts.n; k++) {
        const Part *part = &p->m->parts.at[k];
        if (part->finish != finish || part->jig || is_told_apart(part))
            continue;
        if (cell->spans.n)
            say(p, cell, " ");
        say_letter(p, cell, k);
    }
}

static bool is_finished_alike(const Part *a, const Part *b) {
    for (int i = 0; i < COUNT(a->coat); i++) {
        if (a->coat[i] != b->coat[i])
            return false;
    }
    return !a->jig && !b->jig && a->finish_when == b->finish_when;
}

/* The letters of all parts like this one; false if an earlier one is like
 * it and has said it. */
static bool say_like(Press *p, Para *cell, int index) {
    const Part *part = &p->m->parts.at[index];

    for (int k = 0; k < index; k++) {
        if (is_finished_alike(&p->m->parts.at[k], part))
            return false;
    }
    if (cell->spans.n)
        say_break(p, cell);
    for (int k = index; k < p->m->parts.n; k++) {
        if (!is_finished_alike(&p->m->parts.at[k], part))
            continue;
        say_letter(p, cell, k);
        say(p, cell, " ");
    }
    return true;
}

/* "(A) (B) show face, edges; bare: back; before assembly". */
static void say_by_face(Press *p, Para *cell, int finish, int index) {
    const Part *part = &p->m->parts.at[index];
    bool        on[6], bare[6];
    int         n_on = 0, n_bare = 0;

    for (int i = 0; i < 6; i++) {
        on[i]   = part->coat[i] == finish;
        bare[i] = part->coat[i] < 0;
        n_on   += on[i];
        n_bare += bare[i];
    }
    if (n_on == 0 || part->jig || !is_told_apart(part)
        || !say_like(p, cell, index))
        return;
    if (n_on == 6)
        say(p, cell, "all faces");
    else
        say_sides(p, cell, on);
    if (n_bare) {
        say(p, cell, "; bare: ");
        say_sides(p, cell, bare);
    }
    if (part->finish_when != WHEN_UNSAID)
        say(p, cell, part->finish_when == WHEN_BEFORE
                     ? "; before assembly" : "; after assembly");
}

static void finish_rows(Press *p) {
    static const Column columns[] = {
        { "Finish", COLUMN_TEXT, 62 }, { "Coats", COLUMN_COUNT, 16 },
        { "Surface", COLUMN_TEXT, 30 }, { "Parts", COLUMN_TEXT, 75 },
    };
    Table t = table_begin(p, 0, columns, COUNT(columns));

    for (int i = 0; i < p->m->finishes.n; i++) {
        const Finish *f = &p->m->finishes.at[i];
        Str  source = str_fmt(p->c, "finish %.*s", STR_ARG(f->key));
        Para cells[COUNT(columns)] = { 0 };
        say_author(p, &cells[0], f->kind, source);
        if (f->name.n) {
            say(p, &cells[0], ", ");
            say_author(p, &cells[0], f->name, source);
        }
        say_count(p, &cells[1], f->coats, "coats");
        say_figure(p, &cells[2], figure_area(p->c, p->e, f->area,
                                             STR("surface of the parts")));
        say_wholly_finished(p, &cells[3], i);
        for (int k = 0; k < p->m->parts.n; k++)
            say_by_face(p, &cells[3], i, k);
        table_row(p, &t, table_row_height(p, &t, cells));
        for (int k = 0; k < COUNT(columns); k++)
            table_para(p, &t, k, &cells[k]);
    }
    table_end(p, &t);
}

static void bare_parts(Press *p) {
    Para para = { 0 };

    for (int k = 0; k < p->m->parts.n; k++) {
        const Part *part = &p->m->parts.at[k];
        if (part->finish >= 0 || part->jig)
            continue;
        say(p, &para, para.spans.n ? " " : "Left bare: ");
        say_letter(p, &para, k);
    }
    if (para.spans.n)
        flow_para(p, 0, TEXT_W, STYLE_TEXT, &para);
}

/* Oils, and the stains and varnishes that are made with them unless they
 * say that they are water-based. */
static bool any_oil(const Model *m) {
    static const char *const words[] = { "oil", "stain", "varnish" };

    for (int i = 0; i < m->finishes.n; i++) {
        Str kind = m->finishes.at[i].kind;
        for (int k = 0; k < COUNT(words); k++) {
            if (memmem(kind.s, kind.n, words[k], strlen(words[k]))
                && !memmem(kind.s, kind.n, "water", 5))
                return true;
        }
    }
    return false;
}

void press_finish(Press *p) {
    Para para;

    page_begin(p, SECTION_FINISH, PAGE_TEXT);
    bookmark(p, STR("Finish and care"), 0);
    heading(p, STR("Finish and care"), SIZE_HEAD);
    if (p->m->finishes.n)
        finish_rows(p);
    bare_parts(p);
    if (p->m->finishing.n)
        heading(p, STR("Finish"), SIZE_LEAD);
    for (int i = 0; i < p->m->finishing.n; i++) {
        para = (Para){ 0 };
        say_say(p, &para, &p->m->finishing.at[i]);
        flow_item(p, 0, TEXT_W, STYLE_TEXT, ITEM_NUMBER, i + 1, &para);
    }
    if (p->m->care.n)
        heading(p, STR("Care"), SIZE_LEAD);
    for (int i = 0; i < p->m->care.n; i++) {
        para = (Para){ 0 };
        say_say(p, &para, &p->m->care.at[i]);
        flow_item(p, 0, TEXT_W, STYLE_TEXT, ITEM_BULLET, 0, &para);
    }
    press_movement(p);
    space_down(p, BASE_LINE);
    if (any_oil(p->m)) {
        para = para_of(p, "Rags and brushes wet with oil can catch fire by "
            "themselves. Dry them spread out in the open air, away from "
            "the house, before you throw them away.");
        flow_caution(p, 0, TEXT_W, SIGNAL_WARNING, &para);
    }
    para = para_of(p, "Fumes and wet finish can harm skin, eyes and lungs. "
        "Follow the label of every can, wear gloves and air the room.");
    if (p->m->finishes.n)
        flow_caution(p, 0, TEXT_W, SIGNAL_CAUTION, &para);
}
