/* sheet_seams -- how the sheets of one pattern are joined.
 *
 * Where two windows overlap, both sheets show the same two marks: a cross
 * in a circle and, not opposite to it, a cross in a diamond, with a number
 * that is used once in a pattern. A sheet laid on the wrong one, or turned,
 * meets other numbers or the other kind of mark. Marks stand where the
 * outline is far, so that none of it is hidden by them.
 */
#include "press/sheet_internal.h"

#include <math.h>

#define MARK_R      2.0    // of the circle, mm
#define MARK_REACH  4.0    // half a cross
#define LEAST_STRIP 18.0   // shorter overlaps get one mark
#define MARK_STEP   2.0

/* Where two windows overlap, in the coordinates of the first. */
static bool shared_strip(const Press *p, const OnSheet *a, const OnSheet *b,
                         Box2 *strip) {
    V2 by = v2_sub(a->at, b->at);

    if (a->pattern != b->pattern)
        return false;
    *strip = box2(fmax(0, by.x), fmax(0, by.y),
                  fmin(p->plan->sheet_w, by.x + p->plan->sheet_w),
                  fmin(p->plan->sheet_h, by.y + p->plan->sheet_h));
    if (strip->max.x - strip->min.x < SHEET_OVERLAP * 0.9
        || strip->max.y - strip->min.y < SHEET_OVERLAP * 0.9)
        return false;   // apart
    return strip->max.x - strip->min.x > 1.5 * SHEET_OVERLAP
        || strip->max.y - strip->min.y > 1.5 * SHEET_OVERLAP;   // no corner
}

/* Distance of a point (of the pattern) from the outline, up to 15 mm. */
static double clearance(const Rings *rings, V2 v) {
    double nearest = 15;

    for (int i = 0; i < rings->n; i++) {
        const Ring *r = &rings->at[i];
        for (int k = 0; k < r->n; k++) {
            V2     a = r->at[k], way = v2_sub(r->at[(k + 1) % r->n], a);
            double len = v2_dot(way, way);
            double t = len > 0 ? v2_dot(v2_sub(v, a), way) / len : 0;
            V2     foot = v2_add(a, v2_scale(way, fmax(0, fmin(1, t))));
            nearest = fmin(nearest, v2_len(v2_sub(v, foot)));
        }
    }
    return nearest;
}

/* The clearest point on a stretch of a strip's middle line, from share f0
 * to f1 of it. */
static V2 clearest(const Rings *rings, Box2 strip, V2 at, double f0,
                   double f1) {
    bool   level = strip.max.x - strip.min.x > strip.max.y - strip.min.y;
    V2     a = level ? v2(strip.min.x + MARK_REACH, 0)
                     : v2(0, strip.min.y + MARK_REACH);
    double len = (level ? strip.max.x - strip.min.x
                        : strip.max.y - strip.min.y) - 2 * MARK_REACH;
    double best = -1;
    V2     found = a;

    if (level)
        a.y = (strip.min.y + strip.max.y) / 2;
    else
        a.x = (strip.min.x + strip.max.x) / 2;
    for (double d = f0 * len; d <= f1 * len + 1e-9; d += MARK_STEP) {
        V2     v = level ? v2(a.x + d, a.y) : v2(a.x, a.y + d);
        double clear = clearance(rings, v2_sub(v, at));
        if (clear > best + 1e-9) {
            best  = clear;
            found = v;
        }
    }
    return found;
}

static void cross(Press *p, V2 at, int number, bool diamond) {
    Para para = { 0 };
    V2   tip[4] = { { at.x, at.y - MARK_R }, { at.x + MARK_R, at.y },
                    { at.x, at.y + MARK_R }, { at.x - MARK_R, at.y } };

    if (diamond)
        draw_polyline(p, tip, 4, true, PEN_FINE, INK_NONE);
    else
        draw_circle(p, at, MARK_R, PEN_FINE, INK_NONE);
    draw_line(p, v2(at.x - MARK_REACH, at.y), v2(at.x + MARK_REACH, at.y),
              PEN_FINE);
    draw_line(p, v2(at.x, at.y - MARK_REACH), v2(at.x, at.y + MARK_REACH),
              PEN_FINE);
    say_count(p, &para, number, "number of a register cross");
    para_at(p, &para, v2(at.x + 1.6, at.y - 1.8), ALIGN_LEFT,
            STYLE_NOTE_BOLD);
}

/* The line along which one of the two sheets is cut: the middle of the
 * strip. */
static void seam_line(Press *p, Box2 strip, Str other) {
    double w = strip.max.x - strip.min.x, h = strip.max.y - strip.min.y;
    V2     m = v2_scale(v2_add(strip.min, strip.max), 0.5);
    Para   to = { 0 };

    say(p, &to, "joins ");
    say_author(p, &to, other, STR("name of the sheet"));
    if (w > h) {
        draw_line(p, sheet_point(p, v2(strip.min.x, m.y)),
                  sheet_point(p, v2(strip.max.x, m.y)), PEN_HIDDEN);
        if (w > 40)
            para_at(p, &to, sheet_point(p, v2(m.x, m.y + 1.2)),
                    ALIGN_CENTER, STYLE_NOTE);
    } else {
        draw_line(p, sheet_point(p, v2(m.x, strip.min.y)),
                  sheet_point(p, v2(m.x, strip.max.y)), PEN_HIDDEN);
        if (h > 40)
            para_at_turned(p, &to, sheet_point(p, v2(m.x - 1.2, m.y)),
                           ALIGN_CENTER, STYLE_NOTE);
    }
}

static void seam(Press *p, const Sheet *from, Str other, Box2 strip,
                 int number) {
    const OnSheet *on = &from->on.at[0];
    Rings  rings = shape_rings(p->c, p->plan->patterns.at[on->pattern].shape,
                               0.2);
    double len = fmax(strip.max.x - strip.min.x, strip.max.y - strip.min.y);

    seam_line(p, strip, other);
    if (len < 2 * LEAST_STRIP) {
        cross(p, sheet_point(p, clearest(&rings, strip, on->at, 0, 1)),
              number, false);
        return;
    }
    cross(p, sheet_point(p, clearest(&rings, strip, on->at, 0.02, 0.3)),
          number, false);
    cross(p, sheet_point(p, clearest(&rings, strip, on->at, 0.64, 0.92)),
          number + 1, true);
}

/* Marks are numbered over the pairs of sheets of a pattern, in order. */
void sheet_seams(Press *p, int sheet) {
    const Sheet *all = p->plan->sheets.at;
    int          number = 1, pattern;

    if (all[sheet].on.n == 0)
        return;
    pattern = all[sheet].on.at[0].pattern;
    for (int i = 0; i < p->plan->sheets.n; i++) {
        if (all[i].on.n == 0 || all[i].on.at[0].pattern != pattern)
            continue;
        for (int k = i + 1; k < p->plan->sheets.n; k++) {
            int  self = i == sheet ? i : k, other = i == sheet ? k : i;
            Box2 strip;
            if (all[k].on.n == 0
                || !shared_strip(p, &all[self].on.at[0],
                                 &all[other].on.at[0], &strip))
                continue;
            if (self == sheet)
                seam(p, &all[self], all[other].name, strip, number);
            number += 2;
        }
    }
}

/* ---- The map ---- */

void sheet_map(Press *p, int pattern, int sheet, Box2 frame, bool names) {
    const Pattern *pat = &p->plan->patterns.at[pattern];
    Box2           all = shape_box(pat->shape);
    Place          pl;

    for (int i = 0; i < p->plan->sheets.n; i++) {
        const Sheet *s = &p->plan->sheets.at[i];
        if (s->on.n == 0 || s->on.at[0].pattern != pattern)
            continue;
        box2_add(&all, v2_scale(s->on.at[0].at, -1));
        box2_add(&all, v2_add(v2_scale(s->on.at[0].at, -1),
                              v2(p->plan->sheet_w, p->plan->sheet_h)));
    }
    pl = place_fit(all, frame, 1, false);
    for (int pass = 0; pass < 2; pass++) {
        for (int i = 0; i < p->plan->sheets.n; i++) {
            const Sheet *s = &p->plan->sheets.at[i];
            V2   low, high;
            Para name = { 0 };
            if (s->on.n == 0 || s->on.at[0].pattern != pattern)
                continue;
            low  = place_point(&pl, v2_scale(s->on.at[0].at, -1));
            high = place_point(&pl, v2_add(v2_scale(s->on.at[0].at, -1),
                                           v2(p->plan->sheet_w,
                                              p->plan->sheet_h)));
            if (pass == 0 && i == sheet)
                draw_rect(p, box2(low.x, high.y, high.x, low.y), PEN_NONE,
                          INK_SHADE);
            if (pass == 0)
                continue;
            draw_rect(p, box2(low.x, high.y, high.x, low.y), PEN_FINE,
                      INK_NONE);
            say_author_bold(p, &name, s->name, STR("name of the sheet"));
            if (names)
                para_at(p, &name, v2(low.x + 1.2, low.y - 1.2), ALIGN_LEFT,
                        STYLE_NOTE_BOLD);
        }
        if (pass == 0)
            draw_shape(p, pat->shape, &pl, PEN_THIN, INK_NONE);
    }
}
