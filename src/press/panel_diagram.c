/* panel_diagram -- edge-joined panels to one scale: the part's outline with
 * the joints across it, the strips with their sizes as cut, and how far each
 * joint lies from the near edge, so that the builder sees where it falls.
 *
 *     (C) Front, 1 panel
 *     +----------------------+
 *     |   4 7/8 x 22 1/2     |
 *     +----------------------+- 9 1/2   from the near edge
 *     |   4 7/8 x 22 1/2     |
 *     +----------------------+- 4 3/4
 *     |   4 7/8 x 22 1/2     |
 *     +----------------------+
 */
#include "press/sections.h"

#include <math.h>

#define ACROSS  3        // panels beside each other
#define GAP     6.0
#define SIZE_W  14.0     // room for the places of joints
#define TITLE_H 6.0
#define TALLEST 52.0

static double cell_width(void) {
    return (TEXT_W + GAP) / ACROSS - GAP;
}

static double panel_scale(const Press *p) {
    double k = 0.2;

    for (int i = 0; i < p->plan->panels.n; i++) {
        const Part *part = &p->m->parts.at[p->plan->panels.at[i].part];
        k = fmin(k, (cell_width() - SIZE_W) / part->long_length.real);
        k = fmin(k, TALLEST / part->width.real);
    }
    return k;
}

static const Part *part_of(const Press *p, const Panel *panel) {
    return &p->m->parts.at[panel->part];
}

static void panel_title(Press *p, const Panel *panel, double x) {
    const Part *part = part_of(p, panel);
    int         n    = part->jig ? part->jig_count : part->quantity;
    Para        para = { 0 };

    letter_circle(p, v2(x + 2.1, p->y + 2.3), 4.2, panel->part);
    say_author(p, &para, part->name, part_source(p, part, "name"));
    if (n > 1) {
        say(p, &para, ", ");
        say_count(p, &para, n, "panels to glue up");
        say(p, &para, " panels");
    }
    para_at(p, &para, v2(x + 5.6, p->y + 3.4), ALIGN_LEFT, STYLE_NOTE);
}

/* Width × length as cut, in the middle of its strip where it fits, on a
 * white ground as the part's outline may pass there. */
static void strip_size(Press *p, const Panel *panel, int strip, Box2 box) {
    const CutItem *item = NULL;
    V2             middle = v2((box.min.x + box.max.x) / 2,
                               (box.min.y + box.max.y) / 2);
    Para           size = { 0 };
    double         w;

    for (int i = 0; i < p->plan->items.n; i++) {
        const CutItem *at = &p->plan->items.at[i];
        if (at->part == panel->part && at->strip == strip)
            item = at;
    }
    say_bare(p, &size, figure_length(p->c, p->e, item->width,
                                     STR("width as cut")));
    say(p, &size, " × ");
    say_bare(p, &size, figure_length(p->c, p->e, item->length,
                                     STR("length as cut")));
    w = para_width(p, &size, STYLE_SMALL) + 1.6;
    if (w > box.max.x - box.min.x || box.max.y - box.min.y < 4)
        return;
    draw_rect(p, box2(middle.x - w / 2, middle.y - 1.7, middle.x + w / 2,
                      middle.y + 1.7), PEN_NONE, INK_WHITE);
    para_at(p, &size, v2(middle.x, middle.y + 0.95), ALIGN_CENTER,
            STYLE_SMALL);
}

/* The panel's near edge lies below. */
static void draw_panel(Press *p, const Panel *panel, double x, double k) {
    const Part *part  = part_of(p, panel);
    double      L     = part->long_length.real * k, low = p->y + TITLE_H
                      + part->width.real * k;
    Place       place = { v2(0, 0), v2(x, low), k, false };
    double      from  = 0;

    panel_title(p, panel, x);
    draw_rect(p, box2(x, low - part->width.real * k, x + L, low), PEN_FINE,
              INK_WHITE);
    draw_shape(p, part->face, &place, PEN_THIN, INK_TINT);
    for (int i = 0; i < panel->joints.n; i++) {
        double y = low - panel->joints.at[i].real * k;
        draw_line(p, v2(x, y), v2(x + L + 1.5, y), PEN_THIN);
        figure_at(p, figure_length(p->c, p->e, panel->joints.at[i],
                                   STR("joint from the near edge")),
                  v2(x + L + 2, y + 0.95), ALIGN_LEFT, STYLE_SMALL);
    }
    for (int i = 0; i <= panel->joints.n; i++) {
        double to = i < panel->joints.n ? panel->joints.at[i].real
                                        : part->width.real;
        strip_size(p, panel, i + 1, box2(x, low - to * k, x + L,
                                         low - from * k));
        from = to;
    }
}

static double row_height(const Press *p, int first, double k) {
    double tallest = 0;

    for (int i = first; i < p->plan->panels.n && i < first + ACROSS; i++)
        tallest = fmax(tallest, part_of(p, &p->plan->panels.at[i])
                                    ->width.real * k);
    return TITLE_H + tallest;
}

static void introduce(Press *p) {
    Para para = { 0 };

    say(p, &para, "Cut the strips as the boards below show. Turn the growth "
        "rings of neighbors opposite ways, joint the edges, glue, clamp "
        "until the glue is set, scrape and plane the panel flat; then rip it "
        "to its width and trim its ends. In each strip stand width × length "
        "as cut: ");
    say_figure(p, &para, figure_length(p->c, p->e, p->m->joint,
                                       STR("saw.joint allowance")));
    say(p, &para, " wider than its share, for jointing, and ");
    say_figure(p, &para, figure_length(p->c, p->e, p->m->panel_trim,
                                       STR("saw.panel trim")));
    say(p, &para, " longer than the panel. At the right: how far each joint "
        "lies from the near edge, which is below.");
    flow_para(p, 0, TEXT_W, STYLE_TEXT, &para);
    space_down(p, BASE_LINE);
}

void press_panels(Press *p) {
    double k = panel_scale(p);

    if (p->plan->panels.n == 0)
        return;
    heading(p, STR("Glue up the panels"), SIZE_LEAD);
    introduce(p);
    for (int i = 0; i < p->plan->panels.n; i += ACROSS) {
        double h = row_height(p, i, k);
        page_need(p, h + 4);
        for (int n = 0; n < ACROSS && i + n < p->plan->panels.n; n++)
            draw_panel(p, &p->plan->panels.at[i + n],
                       p->left + n * (cell_width() + GAP), k);
        p->y += h;
        space_down(p, BASE_LINE);
    }
}
