/* blank_views -- what of a board does not show from above, drawn under its
 * diagram: how leaves come out of a strip, from its end, and how pieces with
 * beveled ends lie head to tail, from the near edge.
 *
 *     (L) 3 leaves                  (P) 2 leaves, a core
 *     +----------------+ leaf 5/32      1  3         4  2
 *     +----------------+               +--+--+-------+--+--+
 *     +----------------+               |  |  |/////core/|  |
 *     +----------------+ left 1/16     +--+--+-------+--+--+
 *                                            |<----->|
 *
 * Sections are to one scale; pieces are shortened where they are cut through,
 * and a thick line is the show face.
 */
#include "press/sections.h"

#include <math.h>

#define SCALE     0.5     // of sections; less where they are too wide
#define GAP       9.0     // between two views
#define CAPTION   6.5     // above a section
#define NOTE_W    24.0    // beside a section of leaves
#define BELOW     6.75    // dimensions under it
#define BEFORE    9.0     // the thickness beside it
#define PIECE_W   26.0    // of a piece that is cut short
#define MOST_HEADS 3      // pieces that are drawn
#define NUMBERS   3.0     // of leaves, above it
#define NUMBERED  2.6     // leaves further apart have numbers
#define TEXT_DOWN 0.95    // from a small text's middle to its baseline

typedef struct {
    const CutItem *item;    // the widest of its kind
    int     leaves;         // out of the strip that it is in
    double  w, h;           // of the section, page mm
    double  wide;           // with what stands beside it
    double  scale;
} BlankView;
typedef LIST(BlankView) BlankViews;

static const Part *part_of(const Press *p, const CutItem *item) {
    return &p->m->parts.at[item->part];
}

static const Stock *stock_of(const Press *p, const CutItem *item) {
    return &p->m->stocks.at[part_of(p, item)->stock];
}

static bool is_beveled(const Press *p, const CutItem *item) {
    const Part *part = part_of(p, item);

    return item->heads && (part->ends[0].bevel.real > 0
                           || part->ends[1].bevel.real > 0);
}

/* ---- Which views ---- */

/* Leaves of the strip that a blank may share with others of its width. */
static int strip_leaves(const Press *p, const Layout *l,
                        const CutItem *item) {
    int most = item->leaves;

    for (int i = 0; i < l->placed.n; i++) {
        const CutItem *at = &p->plan->items.at[l->placed.at[i].item];
        if (fabs(at->width.real - item->width.real) < 1e-6
            && at->leaves > most)
            most = at->leaves;
    }
    return most;
}

/* One view does for both: layers of any width, edges of one. */
static bool is_of(const Press *p, const Layout *l, const BlankView *v,
                  const CutItem *item) {
    if (!item->leaves || !v->leaves)
        return item->part == v->item->part;
    if (stock_of(p, item)->from_edges)
        return fabs(item->width.real - v->item->width.real) < 1e-6;
    return strip_leaves(p, l, item) == v->leaves;
}

static void measure(const Press *p, BlankView *v) {
    const Part *part = part_of(p, v->item);

    if (v->leaves) {
        double width = v->item->width.real;
        v->scale = fmin(SCALE, (TEXT_W - NOTE_W - BEFORE) / width);
        v->w     = width * v->scale;
        v->h     = stock_of(p, v->item)->bought_thickness.real * v->scale;
        v->wide  = BEFORE + v->w + NOTE_W;
    } else {
        int n    = v->item->heads < MOST_HEADS ? v->item->heads : MOST_HEADS;
        v->scale = SCALE;
        v->h     = part->thickness.real * v->scale;
        v->w     = n * PIECE_W + v->h;
        v->wide  = v->w + NOTE_W;
    }
}

static BlankViews views_of(Press *p, const Layout *l) {
    BlankViews all = { 0 };

    for (int i = 0; i < l->placed.n; i++) {
        const CutItem *item = &p->plan->items.at[l->placed.at[i].item];
        int k = 0;
        if (!item->leaves && !is_beveled(p, item))
            continue;
        while (k < all.n && !is_of(p, l, &all.at[k], item))
            k++;
        if (k == all.n)
            *PUSH(p->c, &all) = (BlankView){ .item = item,
                .leaves = strip_leaves(p, l, item) };
        if (item->width.real > all.at[k].item->width.real)
            all.at[k].item = item;
    }
    for (int i = 0; i < all.n; i++)
        measure(p, &all.at[i]);
    return all;
}

/* ---- Leaves ---- */

static Figure len(Press *p, double mm, const char *source) {
    return figure_length(p->c, p->e, quantity_mm(mm), str_from(p->c, source));
}

/* "leaf 5/16 in" on a short line. */
static void note_beside(Press *p, V2 at, const char *words, double mm,
                        const char *source) {
    Para para = { 0 };

    say(p, &para, words);
    say_figure(p, &para, len(p, mm, source));
    draw_line(p, v2(at.x + 0.5, at.y), v2(at.x + 2.5, at.y), PEN_FINE);
    para_at(p, &para, v2(at.x + 3.2, at.y + TEXT_DOWN), ALIGN_LEFT,
            STYLE_SMALL);
}

/* Layers from the upper face down. */
static void draw_layers(Press *p, const BlankView *v, V2 at) {
    const Stock *stock = stock_of(p, v->item);
    double k = v->scale, kerf = p->m->kerf.real, step = stock->leaf_step;
    double used = v->leaves * step;
    double rest = stock->bought_thickness.real - used;

    for (int i = 0; i < v->leaves; i++) {
        double y = at.y + i * step * k;
        draw_rect(p, box2(at.x, y, at.x + v->w, y + (step - kerf) * k),
                  PEN_THIN, INK_TINT);
    }
    note_beside(p, v2(at.x + v->w, at.y + (step - kerf) / 2 * k), "leaf ",
                step - kerf, "leaf as sawn");
    if (rest * k < 0.4)
        return;
    draw_hatch(p, box2(at.x, at.y + used * k, at.x + v->w, at.y + v->h), 2,
               PEN_FINE);
    note_beside(p, v2(at.x + v->w, at.y + (used + rest / 2) * k),
                stock->core.real > 0 ? "core " : "left ", rest,
                "left of a blank");
}

/* The number of the cut over (or under) its leaf. */
static void leaf_number(Press *p, int n, V2 at) {
    figure_at(p, figure_count(p->c, n, STR("number of the leaf")), at,
              ALIGN_CENTER, STYLE_SMALL);
}

/* Where two digits lack room each second leaf of an edge is numbered. */
static bool has_number(int n, double step) {
    if (n < 10 || step > 2 * NUMBERED)
        return step > NUMBERED;
    return step > NUMBERED && (n - 1) / 2 % 2 == 0;
}

/* From both edges by turns. */
static void draw_edges(Press *p, const BlankView *v, V2 at) {
    const Stock *stock = stock_of(p, v->item);
    double k = v->scale, step = stock->leaf_step * k;
    double leaf = step - p->m->kerf.real * k;
    int    n = v->leaves;
    double from = at.x + (n + 1) / 2 * step, to = at.x + v->w - n / 2 * step;
    Para   core = para_bare(p, len(p, (to - from) / k, "core that is left"));

    for (int i = 0; i < n; i++) {
        double x = i % 2 ? at.x + v->w - i / 2 * step - leaf
                         : at.x + i / 2 * step;
        draw_rect(p, box2(x, at.y, x + leaf, at.y + v->h), PEN_THIN,
                  INK_TINT);
        if (has_number(i + 1, step))
            leaf_number(p, i + 1, v2(x + leaf / 2, at.y - 0.7));
    }
    draw_rect(p, box2(from, at.y, to, at.y + v->h), PEN_THIN, INK_WHITE);
    draw_hatch(p, box2(from, at.y, to, at.y + v->h), 2, PEN_FINE);
    dim_horizontal(p, v2(from, at.y + v->h), v2(to, at.y + v->h),
                   at.y + v->h + 5.25, &core);
    note_beside(p, v2(at.x + v->w, at.y + v->h / 2), "leaf ",
                leaf / k, "leaf as sawn");
}

static void draw_leaves(Press *p, const BlankView *v, V2 at) {
    const Stock *stock = stock_of(p, v->item);
    Para thick = para_bare(p, figure_length(p->c, p->e,
                                            stock->bought_thickness,
                                            STR("thickness as bought")));

    draw_rect(p, box2(at.x, at.y, at.x + v->w, at.y + v->h), PEN_FINE,
              INK_WHITE);
    dim_vertical(p, at, v2(at.x, at.y + v->h), at.x - 3, &thick);
    if (stock->from_edges)
        draw_edges(p, v, at);
    else
        draw_layers(p, v, at);
}

/* ---- Bevels ---- */

/* Where the middle of a piece is left out. */
static void draw_break(Press *p, double x, double top, double bottom) {
    V2 band[4] = { v2(x - 0.2, top - 0.4), v2(x + 1.4, top - 0.4),
                   v2(x + 0.2, bottom + 0.4), v2(x - 1.4, bottom + 0.4) };

    draw_polyline(p, band, 4, true, PEN_NONE, INK_WHITE);
    draw_line(p, band[0], band[3], PEN_FINE);
    draw_line(p, band[1], band[2], PEN_FINE);
}

/* The kerf, as long as it is along the wood. */
static double kerf_along(const Press *p, const Part *part) {
    double y = part->width.real / 2, z = part->thickness.real / 2;

    return head_end(part, p->m->kerf.real, 1, false, y, z)
         - head_end(part, p->m->kerf.real, 0, true, y, z);
}

/* The i-th piece in the middle of its width, as long as all are drawn. */
static void draw_bevel_piece(Press *p, const BlankView *v, V2 at, int i) {
    const Part *part = part_of(p, v->item);
    double   kerf = p->m->kerf.real, k = v->scale;
    double   y = part->width.real / 2, T = part->thickness.real;
    double   left  = at.x + v->h / 2 + i * PIECE_W;
    double   right = left + PIECE_W - kerf_along(p, part) * k;
    HeadTurn turn  = i % 2 ? heads_turn(part) : HEADS_ALIKE;
    bool     down  = turn == HEADS_FACE_FOR_FACE || turn == HEADS_OVER;
    V2       v4[4];   // upper left around

    for (int n = 0; n < 4; n++) {
        bool is_right = n == 1 || n == 2;
        double lean = head_end(part, kerf, i, is_right, y, n < 2 ? T : 0)
                    - head_end(part, kerf, i, is_right, y, T / 2);
        v4[n] = v2((is_right ? right : left) + lean * k,
                   n < 2 ? at.y : at.y + v->h);
    }
    draw_polyline(p, v4, 4, true, PEN_FINE, INK_TINT);
    draw_line(p, v4[down ? 3 : 0], v4[down ? 2 : 1], PEN_OUTLINE);
    draw_break(p, (left + right) / 2, at.y, at.y + v->h);
}

/* "blade tilted 15°", or at both angles. */
static void note_tilts(Press *p, const Part *part, V2 at) {
    bool first = true;

    for (int i = 0; i < 2; i++) {
        Para para = { 0 };
        if (part->ends[i].bevel.real <= 0
            || (i && quantity_cmp(part->ends[0].bevel,
                                  part->ends[1].bevel) == 0))
            continue;
        say(p, &para, first ? "blade tilted " : "and ");
        say_figure(p, &para, figure_angle(p->c, part->ends[i].bevel,
                                          STR("saw setting")));
        para_at(p, &para, v2(at.x, at.y + (first ? 0 : 3.6) + TEXT_DOWN),
                ALIGN_LEFT, STYLE_SMALL);
        first = false;
    }
}

static void draw_bevels(Press *p, const BlankView *v, V2 at) {
    const CutItem *item = v->item;
    int n = item->heads < MOST_HEADS ? item->heads : MOST_HEADS;

    for (int i = 0; i < n; i++)
        draw_bevel_piece(p, v, at, i);
    note_tilts(p, part_of(p, item), v2(at.x + v->w, at.y + v->h / 2));
}

/* ---- In rows ---- */

/* "(L)(M) 3 leaves". */
static Para caption(Press *p, const Layout *l, const BlankView *v) {
    Para  para = { 0 };
    bool *said = NEW_N(p->c, bool, p->m->parts.n + 1);

    for (int i = 0; i < l->placed.n; i++) {
        const CutItem *item = &p->plan->items.at[l->placed.at[i].item];
        if (said[item->part] || !is_of(p, l, v, item))
            continue;
        said[item->part] = true;
        say_letter(p, &para, item->part);
    }
    say(p, &para, " ");
    if (v->leaves) {
        say_count(p, &para, v->leaves, "leaves out of one blank");
        say(p, &para, v->leaves > 1 ? " leaves" : " leaf");
    } else {
        say(p, &para, "from the near edge; thick: show face");
    }
    return para;
}

static bool from_edges(const Press *p, const BlankView *v) {
    return v->leaves && stock_of(p, v->item)->from_edges;
}

static double below(const Press *p, const BlankView *v) {
    return from_edges(p, v) ? BELOW : 2;
}

static double row_height(const Press *p, const BlankView *v) {
    return CAPTION + (from_edges(p, v) ? NUMBERS : 0) + v->h + below(p, v);
}

/* Lays the views out in rows; draws them unless `dry`. Their height. */
static double lay_views(Press *p, const Layout *l, bool dry) {
    BlankViews all = views_of(p, l);
    double     x = 0, y = 0, row = 0;

    for (int i = 0; i < all.n; i++) {
        const BlankView *v = &all.at[i];
        V2   at;
        if (x > 0 && x + v->wide > TEXT_W) {
            y  += row;
            x   = 0;
            row = 0;
        }
        at  = v2(p->left + x + (v->leaves ? BEFORE : 0),
                 p->y + y + row_height(p, v) - v->h - below(p, v));
        row = fmax(row, row_height(p, v));
        if (!dry) {
            Para para = caption(p, l, v);
            para_at(p, &para, v2(p->left + x, p->y + y + 4.4), ALIGN_LEFT,
                    STYLE_NOTE);
            if (v->leaves)
                draw_leaves(p, v, at);
            else
                draw_bevels(p, v, at);
        }
        x += v->wide + GAP;
    }
    return y + row;
}

double blank_views_height(Press *p, const Layout *l) {
    return lay_views(p, l, true);
}

void blank_views(Press *p, const Layout *l) {
    p->y += lay_views(p, l, false);
}
