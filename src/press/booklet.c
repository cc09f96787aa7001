/* booklet -- all sections in order, laid out until the page numbers that
 * were written are the ones that came out. */
#include "press/sections.h"

#define MOST_LAYOUTS 5

static void lay_out(Press *p) {
    press_cover(p);
    press_contents(p);
    press_start(p);
    press_safety(p);
    press_shopping(p);
    press_cutting(p);
    press_part_table(p);
    press_part_drawings(p);
    press_rods(p);
    press_steps(p);
    press_finish(p);
    press_back(p);
    press_sheets(p);   // last: they are taken out and cut up
}

/* " · printer 1.004,0.997", or nothing. */
static Str printer_words(Press *p) {
    Buf out = BUF(p->c);

    if (p->e->printer_x <= 0)
        return (Str){ 0 };
    buf_add(&out, " · printer ");
    buf_num(&out, p->e->printer_x, 6);
    buf_add(&out, ",");
    buf_num(&out, p->e->printer_y, 6);
    return buf_done(&out);
}

static void describe(Press *p) {
    const Model *m = p->m;

    p->b->title   = m->title;
    p->b->author  = m->by_name;
    p->b->date    = m->date;
    p->b->subject = str_fmt(p->c, "%s %.*s revision %.*s%.*s%s%.*s",
                            edition_name(p->e), STR_ARG(m->code),
                            STR_ARG(m->revision), STR_ARG(printer_words(p)),
                            m->variant.n ? " · " : "",
                            STR_ARG(m->variant));
}

/* Twice, as the first layout does not know how many pages there are. */
const Booklet *press_template_sheets(Ctx *c, const Model *m,
                                     const Workplan *plan,
                                     const Edition *edition) {
    const Fonts *fonts = fonts_load(c);
    Press        p = { 0 };

    for (int i = 0; i < 2 && fonts; i++) {
        p = press_new(c, m, plan, edition, fonts, p.refs);
        p.b->width  = plan->sheet_w + 2 * SHEET_MARGIN;
        p.b->height = plan->sheet_h + 2 * SHEET_MARGIN;
        press_sheets_alone(&p);
        describe(&p);
    }
    if (!fonts || c->errors)
        return NULL;
    correct_for_printer(c, p.b);
    return p.b;
}

const Booklet *press_booklet(Ctx *c, const Model *m, const Workplan *plan,
                             const Edition *edition) {
    const Fonts    *fonts = fonts_load(c);
    const PageRefs *known = NULL;

    if (!fonts)
        return NULL;
    if (plan->sheet_w + 2 * SHEET_MARGIN != edition_width(edition)
        || plan->sheet_h + 2 * SHEET_MARGIN != edition_height(edition))
        plan = plan_on_paper(c, m, plan, edition_width(edition),
                             edition_height(edition));
    for (int i = 0; i < MOST_LAYOUTS && c->errors == 0; i++) {
        Press p = press_new(c, m, plan, edition, fonts, known);
        p.dry = !known;
        lay_out(&p);
        describe(&p);
        if (known && refs_eq(known, p.refs)) {
            correct_for_printer(c, p.b);
            return c->errors ? NULL : p.b;
        }
        known = p.refs;
    }
    if (c->errors == 0)
        report_plain(c, PAGE_OVERFULL,
                     "the pages of this booklet do not settle");
    return NULL;
}
