/* sheet_pages -- template sheets at true size: the patterns, their marks,
 * check bars both ways, seams with numbered crosses, a map of the sheets.
 *
 * A sheet's window is SHEET_W x SHEET_H on either paper, so that Letter and
 * A4 editions have the same sheets.
 */
#include "press/sections.h"

#include <math.h>

#define HEAD_H   9.5     // above the window
#define BAR_MM   100.0
#define BAR_IN   101.6   // 4 in

/* Page point of a window point (mm, y up from the window's lower left). */
static V2 on_page(const Press *p, V2 v) {
    return v2(p->left + v.x, p->top + HEAD_H + SHEET_H - v.y);
}

static Place window_place(const Press *p, V2 at) {
    return (Place){ v2(0, 0), on_page(p, at), 1, false };
}

/* ---- Check bars ---- */

static void remember_line(Press *p, V2 a, V2 b) {
    TrueSize *t = PUSH(p->c, &p->b->ledger.shapes);
    Loop     *l = PUSH(p->c, &t->shape.loops);
    double    h = p->b->height;

    loop_line_to(p->c, l, v2(a.x, h - a.y), v2(b.x, h - b.y));
    t->page   = p->page;
    t->what   = STR("check bar");
    t->window = box2(0, 0, p->b->width, h);
}

static void bar(Press *p, V2 a, bool up, double length, Figure f) {
    V2   b    = up ? v2(a.x, a.y - length) : v2(a.x + length, a.y);
    V2   tick = up ? v2(1.2, 0) : v2(0, 1.2);
    Para para = { 0 };

    draw_line(p, a, b, PEN_THIN);
    draw_line(p, v2_sub(a, tick), v2_add(a, tick), PEN_THIN);
    draw_line(p, v2_sub(b, tick), v2_add(b, tick), PEN_THIN);
    remember_line(p, a, b);
    say_figure(p, &para, f);
    if (up)
        para_at_turned(p, &para, v2(a.x - 1.0, a.y - length / 2),
                       ALIGN_CENTER, STYLE_NOTE);
    else
        para_at(p, &para, v2(b.x + 3, b.y + 1), ALIGN_LEFT, STYLE_NOTE);
}

static Figure bar_figure(Press *p, bool inch) {
    return figure_number(p->c, inch ? 4 : 100, 0, inch ? "in" : "mm",
                         STR("check bar"));
}

static void check_bars(Press *p) {
    double y    = p->top + HEAD_H + SHEET_H;

    bar(p, v2(p->left, y + 2.0), false, BAR_MM, bar_figure(p, false));
    bar(p, v2(p->left, y + 5.2), false, BAR_IN, bar_figure(p, true));
    bar(p, v2(p->left - 2.4, y), true, BAR_MM, bar_figure(p, false));
    bar(p, v2(p->left - 2.4, y - BAR_MM - 10), true, BAR_IN,
        bar_figure(p, true));
}

/* ---- Marks on a pattern ---- */

static V2 part_point(const Pattern *pat, V2 v) {
    return pat->turned ? v2(pat->origin.x - v.y, pat->origin.y + v.x)
                       : v2(pat->origin.x + v.x, pat->origin.y + v.y);
}

static bool in_window(V2 v) {
    return v.x > 0 && v.x < SHEET_W && v.y > 0 && v.y < SHEET_H;
}

static void center_cross(Press *p, V2 at, double r) {
    draw_line(p, v2(at.x - r, at.y), v2(at.x + r, at.y), PEN_CENTER);
    draw_line(p, v2(at.x, at.y - r), v2(at.x, at.y + r), PEN_CENTER);
}

/* Centers of holes in a face; blind ones from the back are not here. */
static void hole_marks(Press *p, const Pattern *pat, V2 at) {
    const Part *part = &p->m->parts.at[pat->part];

    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        if (f->kind != FEATURE_HOLE || f->side != SIDE_SHOW
            || !feature_in_face(f))
            continue;
        for (int k = 0; k < f->count; k++) {
            V2 v = v2_add(part_point(pat,
                       v2_add(v2(f->x.real, f->y.real),
                              feature_copy(f, k))), at);
            if (in_window(v))
                center_cross(p, on_page(p, v), f->diameter.real / 2 + 3);
        }
    }
}

static void blind_shape(Press *p, const Pattern *pat, const Place *pl,
                        Shape s, bool back) {
    if (pat->turned)
        s = shape_turn(p->c, s, v2(0, 0), 1.57079632679489661923);
    s = shape_move(p->c, s, pat->origin);
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

/* The fold of a half pattern, as far as it shows on this sheet. */
static bool fold_ends(const Pattern *pat, V2 at, V2 *a, V2 *b) {
    Box2 box = shape_box(pat->shape);

    if (pat->turned) {
        *a = v2_add(v2(box.min.x, pat->fold_x), at);
        *b = v2_add(v2(box.max.x, pat->fold_x), at);
    } else {
        *a = v2_add(v2(pat->fold_x, box.min.y), at);
        *b = v2_add(v2(pat->fold_x, box.max.y), at);
    }
    a->x = fmax(a->x, 0);
    a->y = fmax(a->y, 0);
    b->x = fmin(b->x, SHEET_W);
    b->y = fmin(b->y, SHEET_H);
    return a->x <= b->x + 1e-9 && a->y <= b->y + 1e-9;
}

static void fold_line(Press *p, const Pattern *pat, V2 at) {
    Para words = para_of(p, "fold line");
    V2   a, b, middle;

    if (!pat->half || !fold_ends(pat, at, &a, &b))
        return;
    a      = on_page(p, a);
    b      = on_page(p, b);
    middle = v2((a.x + b.x) / 2, (a.y + b.y) / 2);
    draw_line(p, a, b, PEN_FOLD);
    if (pat->turned)
        para_at(p, &words, v2(middle.x, middle.y + 4), ALIGN_CENTER,
                STYLE_NOTE);
    else
        para_at_turned(p, &words, v2(middle.x - 1.5, middle.y), ALIGN_CENTER,
                       STYLE_NOTE);
}

/* ---- The label: letter, name, quantity, grain ---- */

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

static void grain_arrow(Press *p, V2 at, double half, bool up) {
    V2 a = up ? v2(at.x, at.y + half) : v2(at.x - half, at.y);
    V2 b = up ? v2(at.x, at.y - half) : v2(at.x + half, at.y);

    draw_line(p, a, b, PEN_FINE);
    draw_arrow(p, a, v2_sub(a, b), INK_BLACK);
    draw_arrow(p, b, v2_sub(b, a), INK_BLACK);
}

static Para label_words(Press *p, const Part *part) {
    Para para = { 0 };

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
    return para;
}

static void label(Press *p, const Pattern *pat, V2 at) {
    const Part *part = &p->m->parts.at[pat->part];
    Shape  window = shape_rect(p->c, v2(3, 3), v2(SHEET_W - 3, SHEET_H - 3));
    Shape  seen   = shape_intersect(p->c, shape_move(p->c, pat->shape, at),
                                    window);
    double radius = 0, d;
    V2     deep;
    Para   words;
    bool   wide;

    if (seen.loops.n == 0)
        return;
    deep  = on_page(p, polygons_deepest(p->c, polygons_of(p, seen), &radius));
    words = label_words(p, part);
    wide  = para_width(p, &words, STYLE_NOTE) / 2
          < (pat->turned ? radius - 4 : radius * 1.4);
    d     = fmin(LETTER_D, fmax(2.8, radius * 1.4));
    if (radius < 11) {   // narrow: letter on the pattern, words below it
        Box2 box = shape_box(seen);
        letter_circle(p, deep, d, pat->part);
        para_at(p, &words, v2(on_page(p, box.min).x,
                              on_page(p, box.min).y + 4.2), ALIGN_LEFT,
                STYLE_NOTE);
        if (radius > 4)
            grain_arrow(p, v2(deep.x + 14, deep.y), 7, pat->turned);
        return;
    }
    letter_circle(p, v2(deep.x, deep.y - 6), d, pat->part);
    if (wide)
        para_at(p, &words, v2(deep.x, deep.y + 2), ALIGN_CENTER, STYLE_NOTE);
    else
        para_draw_aligned(p, &words, deep.x - radius + 4.5, deep.y - 2.25,
                          radius * 2 - 9, ALIGN_CENTER, STYLE_NOTE);
    if (pat->turned)   // beside the words
        grain_arrow(p, v2(deep.x - radius + 2.5, deep.y),
                    fmin(12, radius * 0.6), true);
    else
        grain_arrow(p, v2(deep.x, deep.y + 8), fmin(12, radius * 0.8),
                    false);
}

/* ---- Seams ---- */

static bool has_sheet(const Press *p, int pattern, int column, int row) {
    for (int i = 0; i < p->plan->sheets.n; i++) {
        const Sheet *s = &p->plan->sheets.at[i];
        if (s->on.n == 1 && s->on.at[0].pattern == pattern
            && s->on.at[0].column == column && s->on.at[0].row == row)
            return true;
    }
    return false;
}

static void cross(Press *p, V2 at, int number) {
    Para para = { 0 };

    draw_circle(p, at, 2, PEN_FINE, INK_NONE);
    draw_line(p, v2(at.x - 4, at.y), v2(at.x + 4, at.y), PEN_FINE);
    draw_line(p, v2(at.x, at.y - 4), v2(at.x, at.y + 4), PEN_FINE);
    say_count(p, &para, number, "number of a register cross");
    para_at(p, &para, v2(at.x + 2.2, at.y - 2.2), ALIGN_LEFT,
            STYLE_NOTE_BOLD);
}

/* Crosses stand in the middle of the overlap, two on each seam, and have
 * the same number on both sheets. */
static void seams(Press *p, const Pattern *pat, const OnSheet *on) {
    double half = SHEET_OVERLAP / 2;
    int    cols = pat->columns;

    for (int k = 0; k < 4; k++) {
        bool right = k == 0, left = k == 1, top = k == 2;
        bool vertical = right || left;
        int  c = on->column + (right ? 1 : left ? -1 : 0);
        int  r = on->row + (vertical ? 0 : top ? 1 : -1);
        int  low_c = left ? c : on->column, low_r = k == 3 ? r : on->row;
        int  base = vertical ? 4 * (low_r * cols + low_c) + 1
                             : 4 * (low_r * cols + low_c) + 3;
        double at = right ? SHEET_W - half : left ? half
                  : top ? SHEET_H - half : half;
        if (!has_sheet(p, on->pattern, c, r))
            continue;
        if (vertical) {
            draw_line(p, on_page(p, v2(at, 0)), on_page(p, v2(at, SHEET_H)),
                      PEN_HIDDEN);
            cross(p, on_page(p, v2(at, SHEET_H * 0.2)), base);
            cross(p, on_page(p, v2(at, SHEET_H * 0.8)), base + 1);
        } else {
            draw_line(p, on_page(p, v2(0, at)), on_page(p, v2(SHEET_W, at)),
                      PEN_HIDDEN);
            cross(p, on_page(p, v2(SHEET_W * 0.2, at)), base);
            cross(p, on_page(p, v2(SHEET_W * 0.8, at)), base + 1);
        }
    }
}

/* A little map: the pattern under the grid of its sheets, this one dark. */
static void page_map(Press *p, const Pattern *pat, const OnSheet *on) {
    double step_w = SHEET_W - SHEET_OVERLAP, step_h = SHEET_H - SHEET_OVERLAP;
    double w = SHEET_W + (pat->columns - 1) * step_w;
    double h = SHEET_H + (pat->rows - 1) * step_h;
    double k = fmin(8.5 / h, 40 / w);
    V2     corner = v2(p->left + TEXT_W - w * k, p->top + 8.5);
    V2     origin = v2_add(on->at, v2(on->column * step_w,
                                      on->row * step_h));
    Place  pl = { v2(0, 0), v2(corner.x + origin.x * k,
                               corner.y - origin.y * k), k, false };

    if (pat->columns * pat->rows == 1)
        return;
    draw_rect(p, box2(corner.x + on->column * step_w * k,
                      corner.y - (on->row * step_h + SHEET_H) * k,
                      corner.x + (on->column * step_w + SHEET_W) * k,
                      corner.y - on->row * step_h * k), PEN_NONE, INK_SHADE);
    draw_shape(p, pat->shape, &pl, PEN_FINE, INK_NONE);
    for (int c = 0; c < pat->columns; c++) {
        for (int r = 0; r < pat->rows; r++)
            draw_rect(p, box2(corner.x + c * step_w * k,
                              corner.y - (r * step_h + SHEET_H) * k,
                              corner.x + (c * step_w + SHEET_W) * k,
                              corner.y - r * step_h * k), PEN_FINE,
                      INK_NONE);
    }
}

/* ---- The sheet ---- */

static bool on_fold(const Pattern *pat, const Seg *seg) {
    double a = pat->turned ? seg->a.y : seg->a.x;
    double b = pat->turned ? seg->b.y : seg->b.x;

    return pat->half && seg->kind == SEG_LINE
        && fabs(a - pat->fold_x) < 1e-3 && fabs(b - pat->fold_x) < 1e-3;
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
                           V2 at) {
    TrueSize *t  = PUSH(p->c, &p->b->ledger.shapes);
    V2        pt = on_page(p, at);
    double    h  = p->b->height, y0 = h - on_page(p, v2(0, 0)).y;

    t->page   = p->page;
    t->what   = str_fmt(p->c, "part %.*s",
                        STR_ARG(p->m->parts.at[pat->part].letter));
    t->shape  = shape_move(p->c, retraced(p, edges), v2(pt.x, h - pt.y));
    t->window = box2(p->left, y0, p->left + SHEET_W, y0 + SHEET_H);
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
    if (pat->turned)
        back = shape_turn(p->c, back, v2(0, 0), 1.57079632679489661923);
    back = shape_move(p->c, back, pat->origin);
    if (pat->half)
        back = shape_intersect(p->c, back,
                   shape_rect(p->c, v2(-1e3, -1e3),
                              pat->turned ? v2(1e4, pat->fold_x)
                                          : v2(pat->fold_x, 1e4)));
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

static void pattern_draw(Press *p, const OnSheet *on) {
    const Pattern *pat = &p->plan->patterns.at[on->pattern];
    Place          pl  = window_place(p, on->at);
    Shape          edges = cut_edges(p, pat);
    Box2 window = box2(p->left, p->top + HEAD_H, p->left + SHEET_W,
                       p->top + HEAD_H + SHEET_H);

    clip_begin(p, window);
    back_edges(p, pat, &pl);
    blind_marks(p, pat, &pl);
    for (int i = 0; i < edges.loops.n; i++)
        draw_strokes(p, edges.loops.at[i].at, edges.loops.at[i].n, &pl,
                     PEN_THIN);
    clip_end(p);
    remember_shape(p, pat, edges, on->at);
    hole_marks(p, pat, on->at);
    fold_line(p, pat, on->at);
    label(p, pat, on->at);
    seams(p, pat, on);
    page_map(p, pat, on);
    if (p->refs->part[pat->part].template < 0)
        p->refs->part[pat->part].template = p->page;
}

static void sheet_head(Press *p, const Sheet *sheet) {
    Para name = { 0 }, note = { 0 };

    say_author_bold(p, &name, sheet->name, STR("name of the sheet"));
    say(p, &name, "   ");
    for (int i = 0; i < sheet->on.n; i++) {
        say_letter(p, &name,
                   p->plan->patterns.at[sheet->on.at[i].pattern].part);
        say(p, &name, " ");
    }
    para_at(p, &name, v2(p->left, p->top + 4.2), ALIGN_LEFT, STYLE_LEAD);
    say(p, &note, "Print at ");
    say_figure(p, &note, figure_number(p->c, 100, 0, "%", STR("true size")));
    say(p, &note, " and measure the bars first. Show face up; the middle of "
        "the line is the true edge; arrows run with the grain.");
    para_at(p, &note, v2(p->left, p->top + 8.2), ALIGN_LEFT, STYLE_NOTE);
}

void press_sheets(Press *p) {
    for (int i = 0; i < p->plan->sheets.n; i++) {
        const Sheet *sheet = &p->plan->sheets.at[i];
        page_begin(p, SECTION_TEMPLATES, PAGE_SHEET);
        p->refs->sheet[i] = p->page;
        if (i == 0)
            bookmark(p, STR("Templates"), 0);
        bookmark(p, sheet->name, 1);
        sheet_head(p, sheet);
        for (int k = 0; k < sheet->on.n; k++)
            pattern_draw(p, &sheet->on.at[k]);
        check_bars(p);
    }
}
