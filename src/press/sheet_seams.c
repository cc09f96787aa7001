/* sheet_seams -- how the sheets of one pattern are joined.
 *
 * Where two windows overlap, both sheets show the same two marks: a cross
 * in a circle and, not opposite to it, a cross in a diamond, with a number
 * that is used once in a pattern. A sheet laid on the wrong one, or turned,
 * meets other numbers or the other kind of mark. Crosses stand where the
 * outline is far, so that none of it is hidden by them, and not where two
 * strips cross and a mark of another seam stands.
 */
#include "press/sheet_internal.h"

#include <math.h>

#define MARK_R      2.0    // of the circle, mm
#define MARK_REACH  4.0    // half a cross
#define LEAST_STRIP 18.0   // shorter overlaps get one mark
#define MARK_STEP   2.0
#define MARK_SPACE  8.0    // between two marks and their numbers

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

/* A mark in the pattern's coordinates, which two sheets show. */
typedef struct { V2 at; int number, sheet[2]; bool diamond; } Cross;
typedef LIST(Cross) Crosses;

/* The same, and from marks that stand already. */
static double room_at(const Rings *rings, const Crosses *marks, V2 v) {
    double room = clearance(rings, v);

    for (int i = 0; i < marks->n; i++)
        room = fmin(room, v2_len(v2_sub(v, marks->at[i].at)) - MARK_SPACE);
    return room;
}

/* The clearest point on a stretch of a strip's middle line, from share f0
 * to f1 of it; the strip in the pattern's coordinates. */
static V2 clearest(const Rings *rings, const Crosses *marks, Box2 strip,
                   double f0, double f1) {
    bool   level = strip.max.x - strip.min.x > strip.max.y - strip.min.y;
    V2     a = level ? v2(strip.min.x + MARK_REACH, 0)
                     : v2(0, strip.min.y + MARK_REACH);
    double len = (level ? strip.max.x - strip.min.x
                        : strip.max.y - strip.min.y) - 2 * MARK_REACH;
    double best = -INFINITY;
    V2     found = a;

    if (level)
        a.y = (strip.min.y + strip.max.y) / 2;
    else
        a.x = (strip.min.x + strip.max.x) / 2;
    for (double d = f0 * len; d <= f1 * len + 1e-9; d += MARK_STEP) {
        V2     v = level ? v2(a.x + d, a.y) : v2(a.x, a.y + d);
        double clear = room_at(rings, marks, v);
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

/* Where on a strip's middle line the words stand: between its marks, where
 * the outline is far. */
static V2 words_place(const Rings *rings, Box2 strip, bool level) {
    V2     m = v2_scale(v2_add(strip.min, strip.max), 0.5), best = m;
    double len = level ? strip.max.x - strip.min.x
                       : strip.max.y - strip.min.y;
    double clear = -1;

    for (int i = 0; i <= 8; i++) {
        double by   = (i % 2 ? 0.015 : -0.015) * (i + i % 2) * len;
        V2     at   = level ? v2(m.x + by, m.y) : v2(m.x, m.y + by);
        V2     half = level ? v2(8, 0) : v2(0, 8);
        double room = fmin(clearance(rings, at),
                           fmin(clearance(rings, v2_add(at, half)),
                                clearance(rings, v2_sub(at, half))));
        if (room > clear + 1e-9) {
            clear = room;
            best  = at;
        }
    }
    return best;
}

/* The line along which one of the two sheets is cut: the middle of the
 * strip (of the pattern, which lies at `at`). */
static void seam_line(Press *p, const Rings *rings, Box2 strip, V2 at,
                      Str other) {
    double w = strip.max.x - strip.min.x, h = strip.max.y - strip.min.y;
    V2     m = v2_scale(v2_add(strip.min, strip.max), 0.5);
    V2     words = v2_add(at, words_place(rings, strip, w > h));
    V2     a = w > h ? v2(strip.min.x, m.y) : v2(m.x, strip.min.y);
    V2     b = w > h ? v2(strip.max.x, m.y) : v2(m.x, strip.max.y);
    Para   to = { 0 };

    say(p, &to, "joins ");
    say_author(p, &to, other, STR("name of the sheet"));
    draw_line(p, sheet_point(p, v2_add(a, at)),
              sheet_point(p, v2_add(b, at)), PEN_HIDDEN);
    if (fmax(w, h) <= 40)
        return;
    if (w > h)
        para_at(p, &to, sheet_point(p, v2(words.x, words.y + 1.2)),
                ALIGN_CENTER, STYLE_NOTE);
    else
        para_at_turned(p, &to, sheet_point(p, v2(words.x - 1.2, words.y)),
                       ALIGN_CENTER, STYLE_NOTE);
}

/* Chooses the marks of the strip between two sheets. */
static void add_marks(Press *p, const Rings *rings, Box2 strip,
                      const int sheet[2], int number, Crosses *marks) {
    double len = fmax(strip.max.x - strip.min.x, strip.max.y - strip.min.y);
    bool   one = len < 2 * LEAST_STRIP;

    for (int k = 0; k < (one ? 1 : 2); k++) {
        V2 at = one ? clearest(rings, marks, strip, 0, 1)
              : k == 0 ? clearest(rings, marks, strip, 0.02, 0.3)
                       : clearest(rings, marks, strip, 0.64, 0.92);
        *PUSH(p->c, marks) = (Cross){ at, number + k,
                                     { sheet[0], sheet[1] }, k == 1 };
    }
}

static bool has_pattern(const Sheet *s, int pattern) {
    return s->on.n > 0 && s->on.at[0].pattern == pattern;
}

/* The strip that two sheets of a pattern share, in its coordinates. */
static bool strip_between(const Press *p, int pattern, int i, int k,
                          Box2 *strip) {
    const Sheet *a = &p->plan->sheets.at[i], *b = &p->plan->sheets.at[k];
    V2           by;

    if (!has_pattern(a, pattern) || !has_pattern(b, pattern)
        || !shared_strip(p, &a->on.at[0], &b->on.at[0], strip))
        return false;
    by     = a->on.at[0].at;
    *strip = box2(strip->min.x - by.x, strip->min.y - by.y,
                  strip->max.x - by.x, strip->max.y - by.y);
    return true;
}

/* Marks are numbered over the pairs of sheets of a pattern, in order; each
 * sheet works out all of them, so that two show the same. */
void sheet_seams(Press *p, int sheet) {
    const Sheet *all = p->plan->sheets.at, *self = &all[sheet];
    int          n = p->plan->sheets.n, number = 1;
    int          pattern = self->on.n ? self->on.at[0].pattern : -1;
    Crosses      crosses = { 0 };
    Rings        rings;
    Box2         strip;

    if (pattern < 0)
        return;
    rings = shape_rings(p->c, p->plan->patterns.at[pattern].shape, 0.2);
    for (int i = 0; i < n; i++) {
        for (int k = i + 1; k < n; k++) {
            if (!strip_between(p, pattern, i, k, &strip))
                continue;
            add_marks(p, &rings, strip, (int[]){ i, k }, number, &crosses);
            number += 2;
            if (i == sheet || k == sheet)
                seam_line(p, &rings, strip, self->on.at[0].at,
                          all[i == sheet ? k : i].name);
        }
    }
    for (int i = 0; i < crosses.n; i++) {
        const Cross *m = &crosses.at[i];
        if (m->sheet[0] == sheet || m->sheet[1] == sheet)
            cross(p, sheet_point(p, v2_add(m->at, self->on.at[0].at)),
                  m->number, m->diamond);
    }
}

Shape sheet_middle(Press *p, int sheet) {
    const OnSheet *on = &p->plan->sheets.at[sheet].on.at[0];
    Shape          s  = shape_rect(p->c, v2(3, 3), v2(p->plan->sheet_w - 3,
                                                      p->plan->sheet_h - 3));

    for (int i = 0; i < p->plan->sheets.n; i++) {
        Box2 strip;
        if (i == sheet || !strip_between(p, on->pattern, sheet, i, &strip))
            continue;
        s = shape_subtract(p->c, s, shape_rect(p->c,
                v2_add(strip.min, on->at), v2_add(strip.max, on->at)));
    }
    return s;
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
