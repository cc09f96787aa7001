/* part_table -- every part with a small drawing, its quantity, sizes and
 * ends, and the pages of its drawing and template. */
#include "press/sections.h"

#include <math.h>

static const Column columns[] = {
    { "", COLUMN_TEXT, 9 },             { "", COLUMN_PICTURE, 24 },
    { "Part", COLUMN_TEXT, 36 },        { "How many", COLUMN_COUNT, 12 },
    { "Thick", COLUMN_FIGURE, 17 },     { "Wide", COLUMN_FIGURE, 17 },
    { "Long", COLUMN_FIGURE, 19 },      { "Ends and edges", COLUMN_TEXT, 28 },
    { "Page", COLUMN_TEXT, 21 },
};

/* ---- Ends in words ---- */

static void say_angles(Press *p, Para *para, const EndCut *cut, Str source) {
    if (cut->miter.real > 0) {
        say(p, para, "miter ");
        say_figure(p, para, figure_angle(p->c, cut->miter, source));
    }
    if (cut->bevel.real > 0) {
        say(p, para, cut->miter.real > 0 ? ", bevel " : "bevel ");
        say_figure(p, para, figure_angle(p->c, cut->bevel, source));
    }
}

static bool same_cut(const EndCut *a, const EndCut *b) {
    return a->miter.real == b->miter.real && a->bevel.real == b->bevel.real
        && a->any == b->any;
}

static void say_pair(Press *p, Para *para, const EndCut *cuts,
                     const char *one, const char *two, const char *both,
                     Str source) {
    if (!cuts[0].any && !cuts[1].any)
        return;
    if (para->spans.n)
        say(p, para, "; ");
    if (same_cut(&cuts[0], &cuts[1])) {
        say(p, para, both);
        say_angles(p, para, &cuts[0], source);
        return;
    }
    for (int i = 0; i < 2; i++) {
        if (!cuts[i].any)
            continue;
        if (i && cuts[0].any)
            say(p, para, "; ");
        say(p, para, i ? two : one);
        say_angles(p, para, &cuts[i], source);
    }
}

void say_ends(Press *p, Para *para, const Part *part) {
    Str source = part_source(p, part, "ends");

    say_pair(p, para, part->ends, "left ", "right ", "both ends ", source);
    say_pair(p, para, part->edges, "near edge ", "far edge ",
             "both edges ", source);
    if (part->outlined)
        say(p, para, para->spans.n ? "; shaped" : "shaped");
    if (!para->spans.n)
        say(p, para, "square");
}

/* How the length is measured, when not to both long points. */
static void say_measured(Press *p, Para *para, const Part *part) {
    static const char *const sides[] = { "left", "right" };

    for (int i = 0; i < 2; i++) {
        if (!part->ends[i].any || part->ends[i].to == TO_LONG)
            continue;
        say(p, para, "; length to ");
        say(p, para, length_to_name(part->ends[i].to));
        say(p, para, " at the ");
        say(p, para, sides[i]);
    }
}

/* ---- Cells ---- */

bool say_fit(Press *p, Para *para, const Part *part) {
    static const char *const words[] = { "length", "width", "thickness" };
    bool any = false;

    for (int k = 0; k < 3; k++) {
        if (!part->fit[k])
            continue;
        say(p, para, any ? " and " : "");
        say(p, para, words[k]);
        any = true;
    }
    if (any)
        say(p, para, " to fit: measure on the work before you cut");
    return any;
}

static Para name_cell(Press *p, const Part *part) {
    Para para = { 0 }, cut = { 0 };
    int  index = model_find_part(p->m, part->letter);

    say_author_bold(p, &para, part->name, part_source(p, part, "name"));
    say_break(p, &para);
    say_stock(p, &para, &p->m->stocks.at[part->stock]);
    if (part->joined)
        say(p, &para, ", edge-joined");
    if (part->jig)
        say(p, &para, ", jig");
    if (part->mirrored && 2 * part->mirrored != part->quantity) {
        say_break(p, &para);
        say_count(p, &para, part->quantity - part->mirrored,
                  "pieces as drawn");
        say(p, &para, " as drawn, ");
        say_count(p, &para, part->mirrored, "mirrored pieces");
        say(p, &para, " mirrored");
    }
    if (say_cut_with(p, &cut, index)) {
        say_break(p, &para);
        (void)say_cut_with(p, &para, index);
    }
    if (part->fit[0] || part->fit[1] || part->fit[2]) {
        say_break(p, &para);
        (void)say_fit(p, &para, part);
    }
    if (part->note.n) {
        say_break(p, &para);
        say_author(p, &para, part->note, part_source(p, part, "note"));
    }
    return para;
}

static Para page_cell(Press *p, int index) {
    const PartPages *pages = p->known ? &p->known->part[index] : NULL;
    Para             para  = { 0 };

    if (!pages)
        return para;
    if (pages->drawing >= 0) {
        say(p, &para, "drawing ");
        say_figure(p, &para, figure_page(p->c, pages->drawing));
    }
    if (pages->template >= 0) {
        if (para.spans.n)
            say_break(p, &para);
        say(p, &para, "template ");
        say_figure(p, &para, figure_page(p->c, pages->template));
    }
    return para;
}

static void part_row(Press *p, Table *t, int index) {
    const Part *part = &p->m->parts.at[index];
    Para        cells[COUNT(columns)] = { 0 };
    PictureLook look = { .thin = true };
    Box2        box;
    Place       pl;
    const View *view = &p->plan->parts.at[index];

    say_letter(p, &cells[0], index);
    cells[2] = name_cell(p, part);
    say_count(p, &cells[3], part->quantity, "pieces placed");
    say_ends(p, &cells[7], part);
    say_measured(p, &cells[7], part);
    cells[8] = page_cell(p, index);
    table_row(p, t, fmax(table_row_height(p, t, cells), 11.25));
    p->refs->part[index].row = p->page;
    for (int k = 0; k < COUNT(columns); k++) {
        if (cells[k].spans.n)
            table_para(p, t, k, &cells[k]);
    }
    table_figure(p, t, 4, figure_length(p->c, p->e, part->thickness,
                                        part_source(p, part, "thickness")));
    table_figure(p, t, 5, figure_length(p->c, p->e, part->width,
                                        part_source(p, part, "width")));
    table_figure(p, t, 6, figure_length(p->c, p->e, part->length,
                                        part_source(p, part, "length")));
    for (int k = 0; k < 3; k++) {   // length, width, thickness
        box = table_cell(t, 6 - k);
        if (part->fit[k])
            words_at(p, "fit", v2(box.max.x - 1, box.max.y - 2),
                     ALIGN_RIGHT, STYLE_NOTE_BOLD);
    }
    box = table_cell(t, 1);
    pl  = place_fit(view->picture.box,
                    box2(box.min.x + 1, box.min.y + 1, box.max.x - 1,
                         box.max.y - 1), 0.12, false);
    picture_draw_at(p, &view->picture, &pl, look);
}

static void table_body(Press *p) {
    Table t;
    Para  para = { 0 };

    bookmark(p, STR("Parts"), 0);
    heading(p, STR("Parts"), SIZE_HEAD);
    say(p, &para, p->e->inch ? "All sizes in inches, finished. "
                             : "All sizes in millimeters, finished. ");
    say(p, &para, "The length runs with the grain, to the long points of "
        "slanted ends unless the table says otherwise. Parts that are "
        "more than a plain rectangle have a drawing; cut those with a "
        "template to its line.");
    flow_para(p, 0, TEXT_W, STYLE_TEXT, &para);
    space_down(p, HALF_LINE);
    t = table_begin(p, 0, columns, COUNT(columns));
    t.middle = true;
    t.left   = p->m->parts.n;
    for (int i = 0; i < p->m->parts.n; i++)
        part_row(p, &t, i);
    table_end(p, &t);
}

void press_part_table(Press *p) {
    double whole = flow_height(p, SECTION_PARTS, table_body) + 2 * BASE_LINE;

    /* A long table may run over; it begins on no page's lower part. */
    section_begin(p, SECTION_PARTS, fmin(whole, BODY_H * 0.6));
    table_body(p);
}
