/* cut_diagram -- one board or sheet as it is cut up: pieces to scale with
 * letter and size, cuts with their numbers, the leftover hatched. A cut whose
 * number has no room in the drawing is told by what it cuts off, in the list
 * under it (cut_list.c).
 */
#include "press/sections.h"

#include <math.h>

static Figure len(Press *p, double mm, const char *source) {
    return figure_length(p->c, p->e, quantity_mm(mm), str_from(p->c, source));
}

/* ---- Places that are taken ---- */

#define MOST_NUMBERS 400
#define CLEAR    1.2         // beside it, so that it is read by itself
#define NUMBER_H 2.7         // of a cut's number with its white ground

typedef struct { Box2 at[MOST_NUMBERS]; int n; } Taken;

static bool overlap(Box2 a, Box2 b) {
    return a.min.x < b.max.x && b.min.x < a.max.x
        && a.min.y < b.max.y && b.min.y < a.max.y;
}

static Box2 around(V2 middle, double w, double h) {
    return box2(middle.x - w / 2, middle.y - h / 2, middle.x + w / 2,
                middle.y + h / 2);
}

static bool is_clear(const Taken *taken, Box2 box) {
    for (int i = 0; i < taken->n; i++) {
        if (overlap(taken->at[i], box))
            return false;
    }
    return true;
}

static void take(Taken *taken, Box2 box) {
    if (taken->n < MOST_NUMBERS)
        taken->at[taken->n++] = box;
}

double cut_diagram_scale(const Press *p) {
    double longest = 1;

    for (int i = 0; i < p->plan->layouts.n; i++)
        longest = fmax(longest, p->plan->layouts.at[i].length);
    return fmin(TEXT_W / longest, 0.15);
}

/* Pieces too thin for a letter inside get one above the board. */
#define THIN_MM 2.8
#define ABOVE   4.0    // room for them
#define APART   3.4    // of two letters

static bool is_thin(Box2 box) {
    return box.max.y - box.min.y < THIN_MM || box.max.x - box.min.x < THIN_MM;
}

#define SIZE_BELOW 3.2   // room for a size under its letter
#define BARE_D 2.4   // of a letter that has no room for its ring

static void piece_letter(Press *p, V2 middle, double d, int part) {
    Para letter = { 0 };

    if (d >= LETTER_LEAST) {
        letter_circle(p, middle, d, part);
        return;
    }
    say_author(p, &letter, p->m->parts.at[part].letter, STR("part letter"));
    para_at(p, &letter, v2(middle.x, middle.y + 0.95), ALIGN_CENTER,
            STYLE_SMALL);
}

static Para size_of(Press *p, const CutItem *item) {
    Para size = { 0 };

    say_bare(p, &size, figure_length(p->c, p->e, item->width,
                                     STR("width as cut")));
    say(p, &size, " × ");
    say_bare(p, &size, figure_length(p->c, p->e, item->length,
                                     STR("length as cut")));
    return size;
}

/* The letter, and width × length beside it or, where it fits, under it. */
static void piece_label(Press *p, const Placed *at, Box2 box,
                        Taken *taken) {
    const CutItem *item = &p->plan->items.at[at->item];
    Para   size = size_of(p, item);
    double w = box.max.x - box.min.x, h = box.max.y - box.min.y;
    double x = (box.min.x + box.max.x) / 2, y = (box.min.y + box.max.y) / 2;
    double wide = para_width(p, &size, STYLE_SMALL);
    double d    = fmin(4.2, fmin(w, h) - 0.2);

    if (d < LETTER_LEAST)
        d = BARE_D;
    if (is_thin(box))
        return;
    if (w > wide + d + 3 && h > 3.4) {
        double all = wide + d + 1;
        piece_letter(p, v2(x - all / 2 + d / 2, y), d, item->part);
        para_at(p, &size, v2(x - all / 2 + d + 1, y + 0.95), ALIGN_LEFT,
                STYLE_SMALL);
        take(taken, around(v2(x, y), all, d));
    } else if (w > wide + 1.5 && h > d + SIZE_BELOW + 0.6) {
        double top = y - (d + SIZE_BELOW) / 2;
        piece_letter(p, v2(x, top + d / 2), d, item->part);
        para_at(p, &size, v2(x, top + d + SIZE_BELOW - 0.4), ALIGN_CENTER,
                STYLE_SMALL);
        take(taken, around(v2(x, top + d / 2), d, d));
        take(taken, around(v2(x, top + d + SIZE_BELOW / 2), wide,
                           SIZE_BELOW));
    } else {
        piece_letter(p, v2(x, y), d, item->part);
        take(taken, around(v2(x, y), d, d));
    }
}

/* ---- Pieces head to tail in one blank ---- */

#define LEAN_SEEN 0.8   // mm on the page

/* The corners of the i-th piece's upper (or lower) face on the page, from
 * near left around. */
static void head_corners(const Press *p, const Part *part, Box2 blank,
                         int i, double k, bool upper, V2 corners[4]) {
    double W = part->width.real, z = upper ? part->thickness.real : 0;

    for (int n = 0; n < 4; n++) {
        double x = head_end(part, p->m->kerf.real, i, n == 1 || n == 2,
                            n < 2 ? 0 : W, z);
        corners[n] = v2(blank.min.x + x * k,
                        n < 2 ? blank.max.y : blank.min.y);
    }
}

/* Dashed where a beveled cut meets the lower face, if that can be seen. */
static void draw_lower_ends(Press *p, const Part *part, Box2 blank, int i,
                            double k) {
    V2 up[4], low[4];

    head_corners(p, part, blank, i, k, true, up);
    head_corners(p, part, blank, i, k, false, low);
    for (int side = 0; side < 2; side++) {
        int a = side, b = 3 - side;
        if (fabs(low[a].x - up[a].x) > LEAN_SEEN)
            draw_line(p, low[a], low[b], PEN_HIDDEN);
    }
}

static void draw_heads(Press *p, const CutItem *item, Box2 blank, double k,
                       Taken *taken) {
    const Part *part = &p->m->parts.at[item->part];
    double      d    = fmin(4.2, blank.max.y - blank.min.y - 0.6);

    for (int i = 0; i < item->heads; i++) {
        V2 v[4], middle;
        head_corners(p, part, blank, i, k, true, v);
        middle = v2((v[0].x + v[1].x + v[2].x + v[3].x) / 4,
                    (v[0].y + v[2].y) / 2);
        draw_polyline(p, v, 4, true, PEN_FINE, INK_NONE);
        draw_lower_ends(p, part, blank, i, k);
        if (d < LETTER_LEAST)
            d = BARE_D;
        if (!is_thin(blank)) {
            piece_letter(p, middle, d, item->part);
            take(taken, around(middle, d, d));
        }
    }
}

static Box2 on_board(const Placed *at, V2 corner, double k) {
    return box2(corner.x + at->x * k, corner.y - (at->y + at->width) * k,
                corner.x + (at->x + at->length) * k,
                corner.y - at->y * k);
}

typedef struct { double x, y; int part; } Thin;

static int by_x(const void *pa, const void *pb, const void *with) {
    const Thin *a = pa, *b = pb;

    (void)with;
    if (a->x != b->x)
        return a->x < b->x ? -1 : 1;
    return a->part - b->part;
}

/* Where a line from the board's upper edge down to the piece crosses no
 * letter; near its right end, if there is no such place. */
static double way_down(Box2 box, double top, const Taken *taken) {
    double y = (box.min.y + box.max.y) / 2;

    for (double x = box.max.x - 2.5; x > box.min.x + 1; x--) {
        if (is_clear(taken, box2(x - 1, top - 1, x + 1, y)))
            return x;
    }
    return fmax(box.max.x - 2.5, box.min.x);
}

static Thin *thin_pieces(Press *p, const Layout *l, V2 corner, double k,
                         const Taken *taken, int *n) {
    Thin *thin = NEW_N(p->c, Thin, l->placed.n + 1);

    *n = 0;
    for (int i = 0; i < l->placed.n; i++) {
        Box2 box = on_board(&l->placed.at[i], corner, k);
        if (is_thin(box))
            thin[(*n)++] = (Thin){ way_down(box, corner.y - l->width * k,
                                            taken),
                                   (box.min.y + box.max.y) / 2,
                                   p->plan->items.at[l->placed.at[i].item]
                                       .part };
    }
    list_sort(p->c, thin, *n, sizeof *thin, by_x, NULL);
    return thin;
}

static void label_thin(Press *p, const Layout *l, V2 corner, double k,
                       Taken *taken) {
    int    n;
    Thin  *thin = thin_pieces(p, l, corner, k, taken, &n);
    double last = -1e9, top = corner.y - l->width * k;

    for (int i = 0; i < n; i++) {
        Para letter = { 0 };
        bool again  = i && thin[i].part == thin[i - 1].part
                   && thin[i].x - thin[i - 1].x < 1;
        if (!again) {
            last = fmax(thin[i].x, last + APART);
            say_author(p, &letter, p->m->parts.at[thin[i].part].letter,
                       STR("part letter"));
            para_at(p, &letter, v2(last, top - 1.4), ALIGN_CENTER,
                    STYLE_SMALL);
        }
        draw_line(p, v2(last, top - 1), v2(thin[i].x, thin[i].y), PEN_FINE);
        take(taken, box2(fmin(last, thin[i].x), top - 1,
                         fmax(last, thin[i].x), thin[i].y));
    }
}

static bool any_thin(const Layout *l, double k) {
    for (int i = 0; i < l->placed.n; i++) {
        if (is_thin(on_board(&l->placed.at[i], v2(0, 0), k)))
            return true;
    }
    return false;
}

/* ---- Cuts ---- */

/* The number stands on its cut, where nothing else does; false: nowhere. */
static bool cut_number(Press *p, const Cut *cut, int number, V2 corner,
                       double k, double kerf, Taken *taken) {
    static const double places[] = { 0.86, 0.14, 0.7, 0.3, 0.5, 0.94, 0.06,
                                     0.78, 0.22, 0.6, 0.4, 0.9, 0.1, 0.82,
                                     0.18, 0.74, 0.26, 0.65, 0.35, 0.55,
                                     0.45 };
    Para   para = { 0 };
    double w;

    say_figure(p, &para, figure_count(p->c, number,
                                      STR("number of the cut")));
    w = para_width(p, &para, STYLE_SMALL) + 0.8;
    for (int i = 0; i < COUNT(places); i++) {
        double along = cut->from + (cut->to - cut->from) * places[i];
        double mid   = cut->at + kerf / 2;
        V2     at    = v2(corner.x + (cut->rip ? along : mid) * k,
                          corner.y - (cut->rip ? mid : along) * k);
        Box2   box   = around(at, w, NUMBER_H);
        double room  = (cut->to - cut->from) * k;
        if (!is_clear(taken, around(at, w + 2 * CLEAR, NUMBER_H))
            || fmin(places[i], 1 - places[i]) * room
               < (cut->rip ? w : NUMBER_H) / 2 + 0.3)
            continue;
        draw_rect(p, box, PEN_NONE, INK_WHITE);
        para_at(p, &para, v2(at.x, at.y + 0.95), ALIGN_CENTER, STYLE_SMALL);
        take(taken, box);
        return true;
    }
    return false;
}

/* Which cuts have their number in the drawing. */
static const bool *draw_cuts(Press *p, const Layout *l, V2 corner, double k,
                             Taken *taken) {
    bool *shown = NEW_N(p->c, bool, l->cuts.n + 1);

    for (int i = 0; i < l->cuts.n; i++) {
        const Cut *cut = &l->cuts.at[i];
        double     at  = cut->at + p->m->kerf.real / 2;
        if (cut->rip)
            draw_line(p, v2(corner.x + cut->from * k, corner.y - at * k),
                      v2(corner.x + cut->to * k, corner.y - at * k),
                      PEN_FINE);
        else
            draw_line(p, v2(corner.x + at * k, corner.y - cut->from * k),
                      v2(corner.x + at * k, corner.y - cut->to * k),
                      PEN_FINE);
    }
    for (int i = 0; i < l->cuts.n; i++)
        shown[i] = cut_number(p, &l->cuts.at[i], i + 1, corner, k,
                              p->m->kerf.real, taken);
    return shown;
}

static Box2 leftover_box(const Leftover *o, V2 corner, double k) {
    return box2(corner.x + o->x * k, corner.y - (o->y + o->width) * k,
                corner.x + (o->x + o->length) * k, corner.y - o->y * k);
}

static Para leftover_size(Press *p, const Leftover *o) {
    Para size = { 0 };

    say_bare(p, &size, len(p, o->width, "width left over"));
    say(p, &size, " × ");
    say_bare(p, &size, len(p, o->length, "length left over"));
    return size;
}

/* Is there room for its size in the drawing? */
static bool leftover_fits(Press *p, const Leftover *o, double k) {
    Para size = leftover_size(p, o);

    return o->length * k >= para_width(p, &size, STYLE_SMALL) + 3.6
        && o->width * k >= 4.2;
}

/* Hatched, its size on a white ground where there is room. */
static void draw_leftover(Press *p, const Leftover *o, V2 corner, double k,
                          Taken *taken) {
    Box2   box    = leftover_box(o, corner, k);
    V2     middle = v2((box.min.x + box.max.x) / 2,
                       (box.min.y + box.max.y) / 2);
    Para   size   = leftover_size(p, o);
    double w      = para_width(p, &size, STYLE_SMALL) + 1.6;

    draw_hatch(p, box, 2, PEN_FINE);
    if (!leftover_fits(p, o, k))
        return;
    draw_rect(p, around(middle, w, 3.4), PEN_NONE, INK_WHITE);
    para_at(p, &size, v2(middle.x, middle.y + 0.95), ALIGN_CENTER,
            STYLE_SMALL);
    take(taken, around(middle, w, 3.4));
}

static const bool *draw_layout(Press *p, const Layout *l, double k) {
    double      h     = l->width * k;
    Taken      *taken = NEW(p->c, Taken);
    const bool *shown;
    V2          corner;   // near-left, page

    if (any_thin(l, k))
        p->y += ABOVE;
    corner = v2(p->left, p->y + h);
    draw_rect(p, box2(p->left, p->y, p->left + l->length * k, p->y + h),
              PEN_THIN, INK_WHITE);
    for (int i = 0; i < l->leftovers.n; i++)
        draw_leftover(p, &l->leftovers.at[i], corner, k, taken);
    for (int i = 0; i < l->placed.n; i++)
        draw_rect(p, on_board(&l->placed.at[i], corner, k), PEN_THIN,
                  INK_TINT);
    for (int i = 0; i < l->placed.n; i++) {
        const CutItem *item = &p->plan->items.at[l->placed.at[i].item];
        Box2           box  = on_board(&l->placed.at[i], corner, k);
        if (item->heads)
            draw_heads(p, item, box, k, taken);
        else
            piece_label(p, &l->placed.at[i], box, taken);
    }
    label_thin(p, l, corner, k, taken);
    shown = draw_cuts(p, l, corner, k, taken);
    p->y += h;
    return shown;
}

#define TITLE_H (BASE_LINE + 1.2)   // cuts' numbers stand out of the board

#define MOST_LEFT 3   // sizes beside the title

/* "hatched: left over"; then the sizes that have no room in the drawing. */
static Para left_note(Press *p, const Layout *l, double k) {
    Para left = para_of(p, "hatched: left over");
    int  n    = 0;

    for (int i = 0; i < l->leftovers.n; i++) {
        Para size = leftover_size(p, &l->leftovers.at[i]);
        if (leftover_fits(p, &l->leftovers.at[i], k) || n++ >= MOST_LEFT)
            continue;
        say(p, &left, n > 1 ? ", " : "; small: ");
        for (int m = 0; m < size.spans.n; m++)
            *PUSH(p->c, &left.spans) = size.spans.at[m];
    }
    return left;
}

static void layout_title(Press *p, const Layout *l, int number, double k) {
    const Stock *stock = &p->m->stocks.at[l->stock];
    Para         para  = { 0 }, left = left_note(p, l, k);

    say_bold(p, &para, stock->form == FORM_SHEET ? "Sheet" : "Board");
    say_bold(p, &para, l->copies > 1 ? "s " : " ");
    say_figure_bold(p, &para, figure_count(p->c, number,
                                           STR("number of the board")));
    if (l->copies > 1) {
        say_bold(p, &para, " to ");
        say_figure_bold(p, &para, figure_count(p->c, number + l->copies - 1,
                                               STR("number of the board")));
        say_bold(p, &para, ", cut ");
        say_figure_bold(p, &para, figure_count(p->c, l->copies,
                                               STR("boards cut alike")));
        say_bold(p, &para, " like this");
    }
    say(p, &para, " · ");
    say_stock(p, &para, stock);
    say(p, &para, ", ");
    say_figure(p, &para, figure_sold(p->c, p->e, quantity_mm(l->length),
                                     STR("length sold")));
    if (stock->form == FORM_SHEET) {
        say(p, &para, " × ");
        say_figure(p, &para, figure_sold(p->c, p->e, quantity_mm(l->width),
                                         STR("width sold")));
    }
    para_at(p, &para, v2(p->left, p->y + BASE_LINE - 1), ALIGN_LEFT,
            STYLE_NOTE);
    if (l->leftovers.n)
        para_at(p, &left, v2(p->left + TEXT_W, p->y + BASE_LINE - 1),
                ALIGN_RIGHT, STYLE_FOOT);
    p->y += TITLE_H;
}

/* ---- All of it ---- */

int cut_diagram(Press *p, const Layout *l, int number, double k) {
    const bool *shown;

    page_need(p, TITLE_H + l->width * k + cut_list_height(p, l) + 6
              + blank_views_height(p, l) + (any_thin(l, k) ? ABOVE : 0));
    layout_title(p, l, number, k);
    shown = draw_layout(p, l, k);
    p->y += 0.5;
    cut_list(p, l, shown);
    blank_views(p, l);
    p->y += 3;
    return number + l->copies;
}
