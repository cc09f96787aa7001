/* sheet_labels -- what a pattern says of itself: letter, name, quantity,
 * thickness, grain.
 *
 * A pattern that is wide has all of it in its deepest place, away from the
 * strips where sheets are joined. In a narrow one the words stand on one
 * line where that fits between its edges, level or upright:
 *
 *      +-------------------------+        +---+
 *      |  (E)  Bearer, 2 x 1/2   |        | E |
 *      +-------------------------+        |   |
 *                                         |   |  words upright
 */
#include "press/sheet_internal.h"

#include <math.h>

#define ROD_WORDS  16.0   // width of the words in a rod, mm
#define FOLD_WORDS  4.0   // that may stand inside, along a fold
#define SEAM_ZONE  26.0   // of a strip's end, for marks and words
#define ROD_FIGURE  6.0   // half of one along a rod, at most
#define LINE_TRIES 20     // places for a line of words, each way
#define LINE_DEEP   2.6   // mm from its middle to the outline, at least

static Polygons polygons_of(Press *p, Shape s) {
    Rings    rings = shape_rings(p->c, s, 0.2);
    Polygons all   = { 0 };

    for (int i = 0; i < rings.n; i++) {
        const Ring *r    = &rings.at[i];
        double      area = 0;
        Rings      *part;
        for (int k = 0; k < r->n; k++)
            area += v2_cross(r->at[k], r->at[(k + 1) % r->n]);
        if (area > 0 || all.parts.n == 0)
            part = PUSH(p->c, &all.parts);
        else
            part = &all.parts.at[all.parts.n - 1];
        *PUSH(p->c, part) = *r;
    }
    return all;
}

/* `way`: unit, on the page. */
static void grain_arrow(Press *p, V2 at, double half, V2 way) {
    V2 a = v2_add(at, v2_scale(way, half));
    V2 b = v2_sub(at, v2_scale(way, half));

    draw_line(p, a, b, PEN_FINE);
    draw_arrow(p, a, v2_sub(a, b), INK_BLACK);
    draw_arrow(p, b, v2_sub(b, a), INK_BLACK);
}

static void jig_words(Press *p, Para *para, const Pattern *pat) {
    say_author_bold(p, para, pat->title, STR("name of a jig"));
    if (pat->jig == JIG_GAUGE) {
        say(p, para, " ");
        say_figure(p, para, figure_angle(p->c, pat->angle,
                                         STR("angle of a cut")));
        say(p, para, " from square");
    } else if (pat->jig == JIG_DEPTH) {
        say(p, para, " ");
        say_figure(p, para, figure_length(p->c, p->e, pat->angle,
                                          STR("depth of a cut")));
    }
}

static Para label_words(Press *p, const Pattern *pat, const OnSheet *on) {
    const Part *part;
    Para para = { 0 };

    if (sheet_is_strip(p, on)) {
        say_author_bold(p, &para, on->name, STR("name of the sheet"));
        say(p, &para, " ");
    }
    if (pat->jig != JIG_NONE) {
        jig_words(p, &para, pat);
        return para;
    }
    part = &p->m->parts.at[pat->part];

    say_author_bold(p, &para, part->name, part_source(p, part, "name"));
    say(p, &para, ", ");
    say_count(p, &para, part->quantity, "pieces placed");
    say(p, &para, " × ");
    say_figure(p, &para, figure_length(p->c, p->e, part->thickness,
                                       part_source(p, part, "thickness")));
    if (part->mirrored) {
        say(p, &para, ", ");
        say_count(p, &para, part->mirrored, "mirrored pieces");
        say(p, &para, " turned over");
    }
    if (pat->repeats) {
        say(p, &para, "; ");
        say_count(p, &para, pat->repeats, "repeats of the profile");
        say(p, &para, pat->right ? " repeats, right end" : " repeats");
    } else if (pat->half) {
        say(p, &para, "; half: fold, or turn over at the fold line");
    }
    return para;
}

static V2 grain_way(const Pattern *pat) {
    double a = pat->turn * 0.017453292519943295;

    return v2(cos(a), -sin(a));
}

/* ---- Narrow ones ---- */

/* How far a point of the window lies inside the outline; outside: 0. */
static double depth_at(const Rings *rings, V2 v) {
    double nearest = 1e3;
    bool   in = false;

    for (int i = 0; i < rings->n; i++) {
        const Ring *r = &rings->at[i];
        for (int k = 0; k < r->n; k++) {
            V2     a = r->at[k], b = r->at[(k + 1) % r->n];
            V2     way = v2_sub(b, a), to = v2_sub(v, a);
            double len = v2_dot(way, way);
            double t = len > 0 ? v2_dot(to, way) / len : 0;
            to      = v2_sub(to, v2_scale(way, fmax(0, fmin(1, t))));
            nearest = fmin(nearest, v2_len(to));
            if ((a.y > v.y) != (b.y > v.y)
                && v.x < a.x + (b.x - a.x) * (v.y - a.y) / (b.y - a.y))
                in = !in;
        }
    }
    return in ? nearest : 0;
}

/* Least depth along a line through `at`. */
static double room_along(const Rings *rings, V2 at, V2 way, double half,
                         double enough) {
    double room = 1e3;

    for (double d = -half; d <= half && room > enough; d += half / 12)
        room = fmin(room, depth_at(rings, v2_add(at, v2_scale(way, d))));
    return room;
}

/* Where a line so long lies deepest, level or upright; false: nowhere
 * deep enough for words. */
static bool find_line(const Rings *rings, Box2 box, double half, V2 *best,
                      V2 *way) {
    static const V2 ways[] = { { 1, 0 }, { 0, 1 } };
    double deepest = LINE_DEEP;

    for (int k = 0; k < COUNT(ways); k++) {
        for (int i = 1; i < LINE_TRIES * LINE_TRIES; i++) {
            double fx = (double)(i % LINE_TRIES) / LINE_TRIES;
            double fy = (double)(i / LINE_TRIES) / LINE_TRIES;
            V2     at = v2(box.min.x + fx * (box.max.x - box.min.x),
                           box.min.y + fy * (box.max.y - box.min.y));
            double room = room_along(rings, at, ways[k], half, deepest);
            if (room <= deepest + 0.2)
                continue;
            deepest = room;
            *best   = at;
            *way    = ways[k];
        }
    }
    return deepest > LINE_DEEP;
}

/* The arrow before or after the words, where it is clear of the outline. */
static void arrow_beside(Press *p, const Rings *rings, V2 at, V2 way,
                         double half, V2 grain) {
    for (double size = 7; size > 2; size -= 2) {
        for (int side = -1; side <= 1; side += 2) {
            V2 to = v2_add(at, v2_scale(way, side * (half + 2 + size)));
            if (room_along(rings, to, v2(grain.x, -grain.y), size, 0)
                < 1.5)
                continue;
            grain_arrow(p, sheet_point(p, to), size, grain);
            return;
        }
    }
}

/* The outline, and lines about a rod's figures. */
static Rings obstacles(Press *p, const OnSheet *on, Shape seen) {
    const Pattern *pat   = &p->plan->patterns.at[on->pattern];
    Rings          rings = shape_rings(p->c, seen, 0.2);

    for (int i = 0; i < 3 * pat->marks.n; i++) {
        double x = pat->marks.at[i / 3].real + (i % 3 - 1) * ROD_FIGURE;
        Ring  *r = PUSH(p->c, &rings);
        *PUSH(p->c, r) = v2_add(on->at, pattern_point(pat, v2(x, 0)));
        *PUSH(p->c, r) = v2_add(on->at, pattern_point(pat,
                                                     v2(x, ROD_HEIGHT)));
    }
    return rings;
}

/* On one line: the letter, then the words; false: there is no room. */
static bool label_line(Press *p, const OnSheet *on, Shape seen,
                       const Para *words) {
    const Pattern *pat = &p->plan->patterns.at[on->pattern];
    Rings  rings = obstacles(p, on, seen);
    double d = pat->jig == JIG_NONE ? LETTER_D + 1.5 : 0;
    double w = para_width(p, words, STYLE_NOTE), half = (d + w) / 2;
    V2     at = { 0, 0 }, way = { 0, 0 }, from;

    if (!find_line(&rings, shape_box(seen), half + 1, &at, &way))
        return false;
    from = v2_sub(at, v2_scale(way, half));
    if (pat->jig == JIG_NONE)
        letter_circle(p, sheet_point(p, v2_add(from, v2_scale(way,
                          LETTER_D / 2))), LETTER_D, pat->part);
    from = sheet_point(p, v2_add(from, v2_scale(way, d)));
    if (way.x > 0)
        para_at(p, words, v2(from.x, from.y + 1.1), ALIGN_LEFT, STYLE_NOTE);
    else
        para_at_turned(p, words, v2(from.x + 1.1, from.y), ALIGN_LEFT,
                       STYLE_NOTE);
    if (pat->jig == JIG_NONE)
        arrow_beside(p, &rings, at, way, half, grain_way(pat));
    return true;
}

/* Letter on the pattern, words below it; what other sheets show too has its
 * words there. */
static void label_below(Press *p, const OnSheet *on, Box2 seen, V2 deep,
                        double radius, const Para *words) {
    const Pattern *pat = &p->plan->patterns.at[on->pattern];
    Para   name = { 0 };
    V2     way = grain_way(pat), to = v2(deep.x + way.x * 16,
                                         deep.y + way.y * 16);
    double d = fmin(LETTER_D, fmax(LETTER_LEAST, radius * 1.4));
    V2     low = sheet_point(p, seen.min);
    double w = para_width(p, words, STYLE_NOTE);
    double right = SHEET_MARGIN + p->plan->sheet_w;

    if (pat->jig == JIG_NONE)
        letter_circle(p, deep, d, pat->part);
    if (sheet_is_strip(p, on)) {
        say_author_bold(p, &name, on->name, STR("name of the sheet"));
        para_at(p, &name, v2(deep.x + d / 2 + 1.5, deep.y + 1), ALIGN_LEFT,
                STYLE_NOTE_BOLD);
    }
    if (sheet_is_piece(p, on))
        return;
    low.x = fmin(low.x, right - w);
    if (low.y + 4.2 > SHEET_MARGIN + p->plan->sheet_h)
        low = v2(right - w, sheet_point(p, seen.max).y);
    para_at(p, words, v2(low.x, low.y + 4.2), ALIGN_LEFT, STYLE_NOTE);
    if (radius > 4 && pat->jig == JIG_NONE)
        grain_arrow(p, to, 7, way);
}

/* ---- Rods ---- */

static bool in_window(const OnSheet *on, V2 v) {
    return v.x > on->window.min.x && v.y > on->window.min.y
        && v.x < on->window.max.x && v.y < on->window.max.y;
}

/* A rod's words stand in it, in the widest space between marks that this
 * sheet shows; false where none has room. */
static bool label_rod(Press *p, const Pattern *pat, const OnSheet *on,
                      const Para *words) {
    Box2   box  = shape_box(pat->shape);
    double room = ROD_WORDS + 12, high;
    V2     end  = v2_scale(v2_sub(pattern_point(pat, v2(1, 0)),
                                  pattern_point(pat, v2(0, 0))),
                           sheet_is_strip(p, on) ? SEAM_ZONE : 10);
    V2     best = { 0, 0 };
    bool   any  = false;

    for (int i = 0; i + 1 < pat->marks.n; i++) {
        double a = pat->marks.at[i].real, b = pat->marks.at[i + 1].real;
        V2     mid = v2_add(on->at,
                            pattern_point(pat, v2((a + b) / 2 + 2, 11)));
        if (b - a < room + 0.1 || !in_window(on, v2_sub(mid, end))
            || !in_window(on, v2_add(mid, end)))
            continue;
        room = b - a;
        best = mid;
        any  = true;
    }
    if (!any || fmin(box.max.x - box.min.x, box.max.y - box.min.y) < 20)
        return false;
    best = sheet_point(p, best);
    high = para_height(p, words, ROD_WORDS, STYLE_NOTE);
    para_draw_aligned(p, words, best.x - ROD_WORDS / 2, best.y - high / 2,
                      ROD_WORDS, ALIGN_CENTER, STYLE_NOTE);
    return true;
}

/* ---- All ---- */

/* Less what is drawn in the face: holes with their crosses, blind cuts. */
static Shape less_marks(Press *p, const Pattern *pat, Shape s, V2 at) {
    const Part *part = &p->m->parts.at[pat->part];

    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        if (f->side > SIDE_BACK || !feature_in_face(f))
            continue;
        for (int k = 0; k == 0 || k < f->count; k++) {
            V2    by  = feature_copy(f, k);
            Shape cut = f->kind == FEATURE_HOLE
                ? shape_circle(p->c, v2(f->x.real, f->y.real),
                               fmax(f->diameter.real, f->sink.real) / 2 + 5)
                : f->shape;
            cut = pattern_shape(p->c, pat, shape_move(p->c, cut, by));
            s   = shape_subtract(p->c, s, shape_move(p->c, cut, at));
        }
    }
    return s;
}

/* What the window shows of the pattern, best without where pieces join. */
static Shape seen_part(Press *p, const OnSheet *on) {
    const Pattern *pat = &p->plan->patterns.at[on->pattern];
    Shape whole  = shape_move(p->c, pat->shape, on->at);
    Shape window = shape_rect(p->c, v2_add(on->window.min, v2(3, 3)),
                              v2_sub(on->window.max, v2(3, 3)));
    Shape middle = { 0 };

    if (sheet_is_piece(p, on))
        middle = shape_intersect(p->c, whole, sheet_middle(p, on));
    if (middle.loops.n == 0)
        middle = shape_intersect(p->c, whole, window);
    if (pat->jig != JIG_NONE)
        return middle;
    whole = less_marks(p, pat, middle, on->at);
    return whole.loops.n > 0 ? whole : middle;
}

static void label_wide(Press *p, const Pattern *pat, V2 deep, double radius,
                       const Para *words) {
    V2     way   = grain_way(pat);
    double words_h = para_height(p, words, radius * 2 - 6, STYLE_NOTE);
    double high  = fmax(words_h / 2 + 3, words_h - 1.5);
    double room  = radius - high - (pat->half ? FOLD_WORDS : 0);
    double arrow = fmin(13, fmax(3, room / (1 + fabs(way.y))));

    if (pat->jig == JIG_NONE)
        letter_circle(p, v2(deep.x, deep.y - 8), LETTER_D, pat->part);
    para_draw_aligned(p, words, deep.x - radius + 3, deep.y - 3.25,
                      radius * 2 - 6, ALIGN_CENTER, STYLE_NOTE);
    if (pat->jig == JIG_NONE)
        grain_arrow(p, v2(deep.x, deep.y + high + arrow * fabs(way.y)),
                    arrow, way);
}

void sheet_label(Press *p, const OnSheet *on) {
    const Pattern *pat = &p->plan->patterns.at[on->pattern];
    Shape  seen   = seen_part(p, on);
    double radius = 0;
    V2     deep;
    Para   words;

    if (seen.loops.n == 0)
        return;
    deep  = sheet_point(p, polygons_deepest(p->c, polygons_of(p, seen),
                                            &radius));
    words = label_words(p, pat, on);
    if (pat->jig == JIG_ROD && label_rod(p, pat, on, &words))
        return;
    if (radius >= 16)
        label_wide(p, pat, deep, radius, &words);
    else if (!label_line(p, on, seen, &words))
        label_below(p, on, shape_box(seen), deep, radius, &words);
}
