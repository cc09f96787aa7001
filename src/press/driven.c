/* driven -- the nails and screws of a step, on its drawing.
 *
 *     |-----   a shank as thick as it is, a bar for the head;
 *        x     or a cross at the place, where there are many
 */
#include "press/press_internal.h"

#include <math.h>

#define HEAD_LEAST  1.4
#define HEAD_MOST   3.5
#define CROSS       0.6    // from its middle along each arm

static double between(double v, double least, double most) {
    return v < least ? least : v > most ? most : v;
}

static void draw_cross(Press *p, V2 at) {
    draw_line(p, v2(at.x - CROSS, at.y - CROSS),
              v2(at.x + CROSS, at.y + CROSS), PEN_THIN);
    draw_line(p, v2(at.x - CROSS, at.y + CROSS),
              v2(at.x + CROSS, at.y - CROSS), PEN_THIN);
}

/* The widest line of the series (ISO 128-2) that is no thicker than the
 * shank, at least 0.35 mm. */
static double shank_line(double mm) {
    static const double series[] = { 1.0, 0.7, 0.5 };

    for (int i = 0; i < COUNT(series); i++) {
        if (mm >= series[i])
            return series[i];
    }
    return 0.35;
}

static void draw_head(Press *p, const Fastener *f, V2 head, V2 tip,
                      double width, double line) {
    V2     by  = v2_sub(tip, head);
    double len = v2_len(by);
    V2     aside;

    if (len <= 0 || p->m->hardware.at[f->hardware].drive == DRIVE_DOWEL)
        return;
    aside = v2_scale(v2(-by.y, by.x), width / 2 / len);
    draw_line(p, v2_sub(head, aside), v2_add(head, aside),
              (Pen){ INK_BLACK, line, DASH_SOLID });
}

/* Its visible stretches; true if the end with the head is among them. */
static bool draw_shank(Press *p, const View *view, const Place *pl, int id,
                       V2 head, double width) {
    Pen  pen   = { INK_BLACK, width, DASH_SOLID };
    bool whole = false;

    for (int i = 0; i < view->picture.lines.n; i++) {
        const Line2 *l = &view->picture.lines.at[i];
        V2           a = place_point(pl, l->a), b = place_point(pl, l->b);
        if (l->kind != LINE_STROKE || l->id != id)
            continue;
        draw_line(p, a, b, pen);
        whole |= v2_len(v2_sub(a, head)) < 0.1
              || v2_len(v2_sub(b, head)) < 0.1;
    }
    return whole;
}

void driven_draw(Press *p, const View *view, const Place *pl) {
    const Pen hidden = { INK_BLACK, 0.25, DASH_HIDDEN };

    for (int i = 0; i < view->driven.n; i++) {
        const Driven   *d = &view->driven.at[i];
        const Fastener *f = &p->m->fasteners.at[d->fastener];
        int id   = p->m->pieces.n + d->fastener;
        V2  head = place_point(pl, camera_project(&view->camera, d->head,
                                                  NULL));
        V2  tip  = place_point(pl, camera_project(&view->camera, d->tip,
                                                  NULL));
        if (d->mark) {
            draw_cross(p, head);
            continue;
        }
        if (d->hidden) {
            draw_line(p, head, tip, hidden);
            draw_head(p, f, head, tip, HEAD_LEAST, hidden.width);
            continue;
        }
        if (draw_shank(p, view, pl, id, head,
                       shank_line(f->shank * pl->scale)))
            draw_head(p, f, head, tip, between(f->head_width * pl->scale,
                                            HEAD_LEAST, HEAD_MOST), 0.5);
    }
}
