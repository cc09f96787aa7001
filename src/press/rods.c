/* rods -- one strip for each row of slats, with every mark on it, to scale.
 *
 * Each place is rounded once and told from one end, so errors do not add
 * (geometry-notes 4, 6.2). A row and its mirror image share a strip.
 */
#include "press/sections.h"

#include <math.h>

#define STRIP_H   6.0
#define STRIP_W 133.0
#define MOST     32     // marks that have room for figures on one strip
#define ROD_NEED 45.0   // height of a strip with title and figures

static bool is_same(const Spacing *a, const Spacing *b) {
    bool same = a->part == b->part && a->starts.n == b->starts.n;

    for (int i = 0; same && i < a->starts.n; i++)
        same = quantity_cmp(a->starts.at[i], b->starts.at[i]) == 0;
    return same;
}

static bool is_drawn(const Model *m, int index) {
    const Spacing *s = &m->spacings.at[index];

    if (s->starts.n < 3 || s->starts.n > MOST)
        return false;
    for (int i = 0; i < index; i++)
        if (is_same(&m->spacings.at[i], s))
            return false;
    return true;
}

static void rod_title(Press *p, const Spacing *s) {
    Para para = { 0 };

    say(p, &para, "Rod for ");
    say_letter(p, &para, s->part);
    say(p, &para, " ");
    say_author(p, &para, s->name, STR("name of the row"));
    say(p, &para, ": near sides, from the ");
    say_str(p, &para, s->from);
    para_at(p, &para, v2(p->left, p->y + 6), ALIGN_LEFT, STYLE_TEXT);
    p->y += 9;
}

static void draw_rod(Press *p, const Spacing *s) {
    double last = s->starts.at[s->starts.n - 1].real;
    double k    = STRIP_W / (last * 1.04);
    Dim1  *dims = NEW_N(p->c, Dim1, s->starts.n);
    V2     at;
    Box2   box;

    page_need(p, ROD_NEED);
    rod_title(p, s);
    at  = v2(p->left + 26, p->y + STRIP_H);
    box = box2(at.x, p->y, at.x + STRIP_W, at.y);
    draw_rect(p, box, PEN_OUTLINE, INK_WHITE);
    for (int i = 0; i < s->starts.n; i++) {
        double x = at.x + s->starts.at[i].real * k;
        Str  src = str_fmt(p->c, "%.*s %d", STR_ARG(s->name), i + 1);
        draw_line(p, v2(x, box.min.y), v2(x, at.y), PEN_THIN);
        dims[i].a = at;
        dims[i].b = v2(x, at.y);
        dims[i].label = para_bare(p, figure_length(p->c, p->e,
                                                   s->starts.at[i], src));
    }
    p->y = at.y + dims_running(p, DIM_BELOW, box, at, dims, s->starts.n, 6);
    space_down(p, BASE_LINE);
}

void press_rods(Press *p) {
    bool any = false;

    for (int i = 0; i < p->m->spacings.n; i++) {
        if (!is_drawn(p->m, i))
            continue;
        if (!any && p->section != SECTION_DRAWINGS)
            section_begin(p, SECTION_DRAWINGS, ROD_NEED + 16);
        if (!any) {
            page_need(p, ROD_NEED + 16);
            heading(p, STR("Rods, to scale"), SIZE_LEAD);
        }
        any = true;
        draw_rod(p, &p->m->spacings.at[i]);
    }
}
