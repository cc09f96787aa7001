/* sheet_marks -- a pattern at true size with all that is marked on it:
 * outline, cut-outs, drill centers, blind cuts, fold, marks of a rod. */
#include "press/sheet_internal.h"

#include <math.h>

#define ROD_MARK   6.0   // length of a mark, mm
#define FIGURE_H   3.0   // of a figure beside it
#define HOLE_ROOM  12.0  // from a hole's edge to other words
#define WORDS_CLEAR 2.5  // from words to the outline is enough
#define WORDS_H    2.2   // of capitals and figures in notes

static bool shows(const OnSheet *on, V2 v) {
    return v.x > on->window.min.x && v.x < on->window.max.x
        && v.y > on->window.min.y && v.y < on->window.max.y;
}

/* The window on the page. */
static Box2 page_window(const Press *p, const OnSheet *on) {
    V2 low  = sheet_point(p, on->window.min);
    V2 high = sheet_point(p, on->window.max);

    return box2(low.x, high.y, high.x, low.y);
}

/* The half plane, far enough, in which a half pattern lies. */
static Shape fold_side(Press *p, const Pattern *pat) {
    Shape all = { 0 };
    Loop *l   = PUSH(p->c, &all.loops);
    V2    way = v2_sub(pat->fold[1], pat->fold[0]);
    V2    far = v2_scale(way, 1e4 / v2_len(way));
    V2    left = v2(-far.y, far.x);
    V2    v[4] = { v2_sub(pat->fold[0], far), v2_add(pat->fold[0], far) };

    v[2] = v2_add(v[1], left);
    v[3] = v2_add(v[0], left);
    for (int i = 0; i < 4; i++)
        *PUSH(p->c, l) = seg_line(v[i], v[(i + 1) % 4]);
    return all;
}

/* ---- Holes and blind cuts ---- */

static void center_cross(Press *p, V2 at, double r) {
    draw_line(p, v2(at.x - r, at.y), v2(at.x + r, at.y), PEN_CENTER);
    draw_line(p, v2(at.x, at.y - r), v2(at.x, at.y + r), PEN_CENTER);
}

/* An arrow from a hole's center to where its bottom goes. */
static void lean_arrow(Press *p, const Pattern *pat, const Feature *f,
                       V2 at) {
    static const V2 sides[] = { [SIDE_NEAR] = { 0, -1 }, [SIDE_FAR] = { 0, 1 },
                                [SIDE_LEFT] = { -1, 0 },
                                [SIDE_RIGHT] = { 1, 0 } };
    V2 way = v2_sub(pattern_point(pat, sides[f->toward]),
                    pattern_point(pat, v2(0, 0)));
    V2 tip = v2_scale(way, f->diameter.real / 2 + 6);
    V2 to  = v2(at.x + tip.x, at.y - tip.y);

    draw_line(p, at, to, PEN_FINE);
    draw_arrow(p, to, v2(way.x, -way.y), INK_BLACK);
}

/* Half a pattern lies to the left of its fold. */
static bool beyond_fold(const Pattern *pat, V2 v) {
    return pat->half && v2_cross(v2_sub(pat->fold[1], pat->fold[0]),
                                 v2_sub(v, pat->fold[0])) < 0;
}

/* Diameter, and lean, beside the first hole of a row: at a corner of its
 * cross where the outline is far. */
static void hole_words(Press *p, const Pattern *pat, const OnSheet *on,
                       const Feature *f, V2 at) {
    const Part *part = &p->m->parts.at[pat->part];
    Str    source = part_source(p, part, feature_name(f));
    Rings  rings  = shape_rings(p->c, shape_move(p->c, pat->shape, on->at),
                                0.2);
    double r = fmax(f->diameter.real, f->sink.real) / 2 * 0.7071 + 1;
    double best = -1, half;
    bool   flat = true;
    Para   para = { 0 };
    V2     to = at;

    say(p, &para, "⌀ ");
    say_figure(p, &para, figure_length(p->c, p->e, f->diameter, source));
    if (f->tilt.real > 0) {
        say(p, &para, ", leans ");
        say_figure(p, &para, figure_angle(p->c, f->tilt, source));
    }
    half = para_width(p, &para, STYLE_NOTE) / 2;
    for (int i = 0; i < 8; i++) {
        bool   level = i < 4;
        V2     by = level ? v2(r + half, r + 1.2) : v2(r + 1.2, r + half);
        V2     v  = v2(at.x + (i % 2 ? -by.x : by.x),
                       at.y + (i / 2 % 2 ? -by.y : by.y));
        V2     end  = level ? v2(half, 0) : v2(0, half);
        double room = fmin(rings_clearance(&rings, v),
                           fmin(rings_clearance(&rings, v2_sub(v, end)),
                                rings_clearance(&rings, v2_add(v, end))));
        if (!shows(on, v2_add(v, end)) || !shows(on, v2_sub(v, end))
            || beyond_fold(pat, v2_sub(v, on->at))
            || fmin(room, WORDS_CLEAR) <= best)
            continue;
        best = fmin(room, WORDS_CLEAR);
        to   = v;
        flat = level;
    }
    to = sheet_point(p, to);
    if (best >= 0 && flat)
        para_at(p, &para, v2(to.x, to.y + 1), ALIGN_CENTER, STYLE_NOTE);
    else if (best >= 0)
        para_at_turned(p, &para, v2(to.x + 1, to.y), ALIGN_CENTER,
                       STYLE_NOTE);
}

/* Centers of holes in a face; blind ones from the back are not here. */
static void hole_marks(Press *p, const Pattern *pat, const OnSheet *on) {
    const Part *part = &p->m->parts.at[pat->part];

    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        bool           said = false;
        if (f->kind != FEATURE_HOLE || f->side != SIDE_SHOW
            || !feature_in_face(f))
            continue;
        for (int k = 0; k < f->count; k++) {
            V2 v = v2_add(pattern_point(pat,
                       v2_add(v2(f->x.real, f->y.real),
                              feature_copy(f, k))), on->at);
            if (!shows(on, v))
                continue;
            center_cross(p, sheet_point(p, v), f->diameter.real / 2 + 3);
            if (f->tilt.real > 0)
                lean_arrow(p, pat, f, sheet_point(p, v));
            if (!said)
                hole_words(p, pat, on, f, v);
            said = true;
        }
    }
}

static void blind_shape(Press *p, const Pattern *pat, const Place *pl,
                        Shape s, bool back) {
    s = pattern_shape(p->c, pat, s);
    draw_shape(p, shape_intersect(p->c, s, pat->shape), pl,
               back ? PEN_HIDDEN : PEN_FINE, INK_NONE);
}

/* Cuts in the faces that do not go through, and the mouths of
 * countersinks: fine lines on the show face, dashed on the back. */
static void blind_marks(Press *p, const Pattern *pat, const Place *pl) {
    const Part *part = &p->m->parts.at[pat->part];

    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        bool blind = f->depth.real > 0
                  && f->depth.real < part->thickness.real;
        if (!feature_in_face(f) || (!blind && f->sink.real <= 0))
            continue;
        for (int k = 0; k < f->count; k++) {
            V2    by = feature_copy(f, k);
            V2    at = v2_add(v2(f->x.real, f->y.real), by);
            if (blind)
                blind_shape(p, pat, pl, shape_move(p->c, f->shape, by),
                            f->side == SIDE_BACK);
            if (f->sink.real > 0)
                blind_shape(p, pat, pl,
                            shape_circle(p->c, at, f->sink.real / 2),
                            f->side == SIDE_BACK);
        }
    }
}

/* ---- Fold ---- */

/* Cuts the piece a-b to the window; false: none of it shows. Liang and
 * Barsky 1984. */
static bool clip_line(Box2 window, V2 *a, V2 *b) {
    V2     way = v2_sub(*b, *a), from = *a;
    double t0 = 0, t1 = 1;
    double across[4] = { -way.x, way.x, -way.y, way.y };
    double room[4] = { a->x - window.min.x, window.max.x - a->x,
                       a->y - window.min.y, window.max.y - a->y };

    for (int i = 0; i < 4; i++) {
        if (across[i] == 0 && room[i] < 0)
            return false;
        if (across[i] < 0)
            t0 = fmax(t0, room[i] / across[i]);
        if (across[i] > 0)
            t1 = fmin(t1, room[i] / across[i]);
    }
    *a = v2_add(from, v2_scale(way, t0));
    *b = v2_add(from, v2_scale(way, t1));
    return t0 < t1;
}

/* Does a hole, with its cross and words, reach there? */
static bool meets_hole(const Press *p, const Pattern *pat,
                       const OnSheet *on, V2 v) {
    const Part *part = &p->m->parts.at[pat->part];

    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        for (int k = 0; f->kind == FEATURE_HOLE && k < f->count; k++) {
            V2 at = v2_add(pattern_point(pat, v2_add(v2(f->x.real, f->y.real),
                               feature_copy(f, k))), on->at);
            if (v2_len(v2_sub(v, at)) < f->diameter.real / 2 + HOLE_ROOM)
                return true;
        }
    }
    return false;
}

/* A place along the fold for its words: the first of some that no hole
 * meets; `inside`: not in the middle, where a pattern has its own words. */
static V2 fold_place(const Press *p, const Pattern *pat, const OnSheet *on,
                     V2 a, V2 b, bool inside) {
    static const double shares[] = { 0.5, 0.2, 0.8, 0.35, 0.65 };
    V2 at = a;

    for (int i = inside; i < COUNT(shares); i++) {
        at = v2_add(a, v2_scale(v2_sub(b, a), shares[i]));
        if (!meets_hole(p, pat, on, at))
            return at;
    }
    return at;
}

/* Words beside the fold from a to b, on the page: outside of the pattern,
 * where nothing is, unless the sheet ends there; then inside, and not where
 * a small pattern has its own words.
 *
 *          | fold line        the half lies left of the way from
 *     half |                  fold[0] to fold[1]
 */
static void fold_words(Press *p, const Pattern *pat, const OnSheet *on,
                       V2 a, V2 b) {
    Para words = para_of(p, pat->repeats ? "repeat line" : "fold line");
    V2   way = v2_sub(pat->fold[1], pat->fold[0]);
    V2   at  = v2_scale(v2_add(a, b), 0.5);
    V2   out = v2_scale(v2(way.y, -way.x), 6 / v2_len(way));
    bool flat = fabs(way.x) > fabs(way.y);
    double by = 1.5;

    bool inside = !shows(on, v2_add(at, out));

    if (inside)
        out = v2_scale(out, -1);
    at = sheet_point(p, fold_place(p, pat, on, a, b, inside));
    if (flat ? out.y < 0 : out.x > 0)
        by = -1.5 - WORDS_H;
    if (flat)
        para_at(p, &words, v2(at.x, at.y - by), ALIGN_CENTER, STYLE_NOTE);
    else
        para_at_turned(p, &words, v2(at.x - by, at.y), ALIGN_CENTER,
                       STYLE_NOTE);
}

static void fold_line(Press *p, const Pattern *pat, const OnSheet *on) {
    V2 a = v2_add(pat->fold[0], on->at), b = v2_add(pat->fold[1], on->at);

    if (!pat->half || !clip_line(on->window, &a, &b))
        return;
    draw_line(p, sheet_point(p, a), sheet_point(p, b), PEN_FOLD);
    if (v2_len(v2_sub(a, b)) >= 16)
        fold_words(p, pat, on, a, b);
}

/* Where the repeat begins that ends at the repeat line. */
static void repeat_line(Press *p, const Pattern *pat, const OnSheet *on) {
    V2 a = v2_add(pat->repeat[0], on->at);
    V2 b = v2_add(pat->repeat[1], on->at);

    if (pat->repeats && clip_line(on->window, &a, &b))
        draw_line(p, sheet_point(p, a), sheet_point(p, b), PEN_HIDDEN);
}

/* ---- The outline ---- */

/* Does the piece lie on the fold? */
static bool on_fold(const Pattern *pat, const Seg *seg) {
    V2 way = v2_sub(pat->fold[1], pat->fold[0]);
    double len = v2_len(way);

    return pat->half && seg->kind == SEG_LINE
        && fabs(v2_cross(way, v2_sub(seg->a, pat->fold[0]))) < 1e-3 * len
        && fabs(v2_cross(way, v2_sub(seg->b, pat->fold[0]))) < 1e-3 * len;
}

/* The edges to be cut: all of the outline but the fold, a loop for each
 * stretch between folds. */
static Shape cut_edges(Press *p, const Pattern *pat) {
    Shape out = { 0 };

    for (int i = 0; i < pat->shape.loops.n; i++) {
        const Loop *from  = &pat->shape.loops.at[i];
        Loop       *to    = NULL;
        int         start = 0;
        while (start < from->n && !on_fold(pat, &from->at[start]))
            start++;
        for (int k = 0; k < from->n; k++) {
            const Seg *seg = &from->at[(start + k) % from->n];
            if (on_fold(pat, seg)) {
                to = NULL;
                continue;
            }
            if (!to)
                to = PUSH(p->c, &out.loops);
            *PUSH(p->c, to) = *seg;
        }
    }
    return out;
}

/* An open stretch is closed by going back over it, so that the shape to
 * be measured has no line that is not drawn. */
static Shape retraced(Press *p, Shape s) {
    Shape out = { 0 };

    for (int i = 0; i < s.loops.n; i++) {
        const Loop *l  = &s.loops.at[i];
        Loop       *to = PUSH(p->c, &out.loops);
        for (int k = 0; k < l->n; k++)
            *PUSH(p->c, to) = l->at[k];
        if (v2_len(v2_sub(l->at[0].a, l->at[l->n - 1].b)) < 1e-6)
            continue;
        for (int k = l->n - 1; k >= 0; k--)
            *PUSH(p->c, to) = seg_reverse(l->at[k]);
    }
    return out;
}

static void remember_shape(Press *p, const Pattern *pat, Shape edges,
                           const OnSheet *on) {
    TrueSize *t  = PUSH(p->c, &p->b->ledger.shapes);
    V2        pt = sheet_point(p, on->at);
    double    h  = p->b->pages.at[p->page].height;
    Box2      w  = page_window(p, on);

    t->page   = p->page;
    t->what   = pat->part < 0 ? pat->title
              : str_fmt(p->c, "part %.*s",
                        STR_ARG(p->m->parts.at[pat->part].letter));
    t->shape  = shape_move(p->c, retraced(p, edges), v2(pt.x, h - pt.y));
    t->window = box2(w.min.x, h - w.max.y, w.max.x, h - w.min.y);
}

/* Does a point lie on a straight edge of the shape? */
static bool on_edge(Shape s, V2 v) {
    for (int i = 0; i < s.loops.n; i++) {
        for (int k = 0; k < s.loops.at[i].n; k++) {
            const Seg *seg = &s.loops.at[i].at[k];
            V2     way = v2_sub(seg->b, seg->a), to = v2_sub(v, seg->a);
            double len = v2_len(way), t = v2_dot(to, way) / len;
            if (seg->kind == SEG_LINE && t > -0.01 && t < len + 0.01
                && fabs(v2_cross(way, to) / len) < 0.01)
                return true;
        }
    }
    return false;
}

/* Slanted ends and edges: where they come out on the back face. */
static void back_edges(Press *p, const Pattern *pat, const Place *pl) {
    const Part *part = &p->m->parts.at[pat->part];
    Shape       back = part->back;

    if (part->ends[0].bevel.real <= 0 && part->ends[1].bevel.real <= 0
        && part->edges[0].bevel.real <= 0 && part->edges[1].bevel.real <= 0)
        return;
    back = pattern_shape(p->c, pat, back);
    if (pat->half)
        back = shape_intersect(p->c, back, fold_side(p, pat));
    for (int i = 0; i < back.loops.n; i++) {
        for (int k = 0; k < back.loops.at[i].n; k++) {
            const Seg *seg = &back.loops.at[i].at[k];
            V2         mid = v2_scale(v2_add(seg->a, seg->b), 0.5);
            if (seg->kind == SEG_LINE && !on_fold(pat, seg)
                && !on_edge(pat->shape, mid))
                draw_strokes(p, seg, 1, pl, PEN_HIDDEN);
        }
    }
}

/* The figure of a rod's mark, beyond its tip; the mark at the rod's end has
 * it within the rod.
 *
 *       |  .
 *       |  .            reach: how far a level text extends in a direction
 *       |  2 3/16 in
 *       |----
 */
static void rod_figure(Press *p, const Pattern *pat, int i, V2 at) {
    Quantity mark  = pat->marks.at[i];
    Para     para  = { 0 };
    double   x     = mark.real, half, reach, in = 0;
    V2       way   = v2_sub(pattern_point(pat, v2(0, 1)),
                            pattern_point(pat, v2(0, 0)));
    V2       to;

    say_figure(p, &para, figure_length(p->c, p->e, mark, pat->title));
    half  = para_width(p, &para, STYLE_NOTE) / 2;
    reach = fabs(way.x) * half + fabs(way.y) * FIGURE_H / 2;
    if (x < 1)
        in = fabs(way.y) * half + fabs(way.x) * FIGURE_H / 2 + 1 - x;
    to = sheet_point(p, v2_add(at, pattern_point(pat,
             v2(x + in, ROD_MARK + 0.8 + reach))));
    para_at(p, &para, v2(to.x, to.y + FIGURE_H / 2 - 0.4), ALIGN_CENTER,
            STYLE_NOTE);
}

/* Lines across a rod, each with its distance from the first. */
static void rod_marks(Press *p, const Pattern *pat, const OnSheet *on) {
    for (int i = 0; i < pat->marks.n; i++) {
        double x = pat->marks.at[i].real;
        V2     a = v2_add(pattern_point(pat, v2(x, 0)), on->at);
        V2     b = v2_add(pattern_point(pat, v2(x, ROD_MARK)), on->at);
        if (!shows(on, a) || !shows(on, b))
            continue;
        draw_line(p, sheet_point(p, a), sheet_point(p, b), PEN_THIN);
        rod_figure(p, pat, i, on->at);
    }
}

void sheet_pattern(Press *p, const OnSheet *on) {
    const Pattern *pat = &p->plan->patterns.at[on->pattern];
    Place          pl  = { v2(0, 0), sheet_point(p, on->at), 1, false };
    Shape          edges = cut_edges(p, pat);

    clip_begin(p, page_window(p, on));
    if (pat->jig == JIG_NONE) {
        back_edges(p, pat, &pl);
        blind_marks(p, pat, &pl);
    }
    for (int i = 0; i < edges.loops.n; i++) {
        const Loop *l = &edges.loops.at[i];
        bool closed = v2_len(v2_sub(l->at[0].a, l->at[l->n - 1].b)) < 1e-6;
        draw_segs(p, l->at, l->n, &pl, closed, PEN_THIN, INK_NONE);
    }
    clip_end(p);
    remember_shape(p, pat, edges, on);
    rod_marks(p, pat, on);
    if (pat->jig == JIG_NONE)
        hole_marks(p, pat, on);
    fold_line(p, pat, on);
    repeat_line(p, pat, on);
    sheet_label(p, on);
    if (pat->part >= 0 && p->refs->part[pat->part].template < 0)
        p->refs->part[pat->part].template = p->page;
}
