/* part_cuts -- the cuts of a part that its outline does not show: blind
 * ones, those in edges and ends, pocket holes, countersinks, chamfers. What
 * cannot be seen from the show face is dashed.
 */
#include "press/sections.h"

#include <math.h>

#define DEG (3.14159265358979323846 / 180)
#define ROUND_SEEN   2.0    // mm on paper: smaller ones are noted only

static void draw_blind(Press *p, const Part *part, const Place *pl) {
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        bool blind = f->depth.real > 0
                  && f->depth.real < part->thickness.real;
        if (!blind || !f->shape.loops.n)
            continue;
        for (int k = 0; k < f->count; k++) {
            Shape s = shape_move(p->c, f->shape, feature_copy(f, k));
            draw_shape(p, shape_intersect(p->c, s, part->face), pl,
                       f->side == SIDE_BACK ? PEN_HIDDEN : PEN_THIN,
                       INK_NONE);
        }
    }
}

/* Where the bores of pocket holes open in the back face. */
static void draw_pockets(Press *p, const Part *part, const Place *pl) {
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        double r    = f->diameter.real / 2;
        double from, to;
        bool   x    = f->side >= SIDE_LEFT;
        bool   high = f->side == SIDE_RIGHT || f->side == SIDE_FAR;
        double size = x ? part->long_length.real : part->width.real;
        if (f->kind != FEATURE_POCKET)
            continue;
        pocket_reach(part, f, &from, &to);
        for (int k = 0; k < f->count; k++) {
            V2     by = feature_copy(f, k);
            double v  = f->y.real + (x ? by.y : by.x);
            double u0 = high ? size - to : from, u1 = high ? size - from : to;
            Shape  s  = x ? shape_rect(p->c, v2(u0, v - r), v2(u1, v + r))
                          : shape_rect(p->c, v2(v - r, u0), v2(v + r, u1));
            draw_shape(p, s, pl, PEN_HIDDEN, INK_NONE);
        }
    }
}

/* Holes and mortises in edges and ends, as they lie in the wood. */
static void draw_edge_cut(Press *p, const Part *part, const Feature *f,
                          const Place *pl) {
    bool   end  = f->side >= SIDE_LEFT;
    bool   high = f->side == SIDE_RIGHT || f->side == SIDE_FAR;
    double size = end ? part->long_length.real : part->width.real;
    double deep = f->depth.real > 0 ? fmin(f->depth.real, size) : size;
    double from = high ? size - deep : 0, r = f->diameter.real / 2;

    for (int i = 0; i < f->count; i++) {
        double u0 = f->x.real + feature_copy(f, i).x - r;
        double u1 = u0 + f->length.real + 2 * r;
        Shape  s  = end ? shape_rect(p->c, v2(from, u0), v2(from + deep, u1))
                        : shape_rect(p->c, v2(u0, from), v2(u1, from + deep));
        draw_shape(p, shape_intersect(p->c, s, part->face), pl, PEN_HIDDEN,
                   INK_NONE);
    }
}

static void draw_sinks(Press *p, const Feature *f, const Place *pl) {
    for (int i = 0; i < f->count; i++) {
        V2 at = v2_add(v2(f->x.real, f->y.real), feature_copy(f, i));
        draw_shape(p, shape_circle(p->c, at, f->sink.real / 2), pl,
                   f->side == SIDE_BACK ? PEN_HIDDEN : PEN_THIN, INK_NONE);
    }
}

static bool on_straight(const Feature *f) {
    for (int i = ARRIS_NEAR; i <= ARRIS_RIGHT; i++)
        if (f->on[i])
            return true;
    return false;
}

/* Where a chamfer or round edge begins in the face: the strips beside it
 * are taken away from the face, and what is left is drawn. */
static void draw_edging(Press *p, const Part *part, const Feature *f,
                        const Place *pl) {
    double w = f->width.real, L = part->long_length.real;
    double W = part->width.real;
    V2     lo = v2(f->on[2] ? w : -1, f->on[0] ? w : -1);
    V2     hi = v2(f->on[3] ? L - w : L + 1, f->on[1] ? W - w : W + 1);
    Pen    pen = f->side == SIDE_BACK ? PEN_HIDDEN : PEN_THIN;

    if (f->kind == FEATURE_ROUND && w * pl->scale < ROUND_SEEN)
        return;
    if (on_straight(f))
        draw_shape(p, shape_intersect(p->c, part->outline,
                                      shape_rect(p->c, lo, hi)),
                   pl, pen, INK_NONE);
    for (int i = 0; i < f->inner.n; i++) {
        const Ring *r = &f->inner.at[i];
        V2         *v = NEW_N(p->c, V2, r->n);
        for (int k = 0; k < r->n; k++)
            v[k] = place_point(pl, r->at[k]);
        draw_polyline(p, v, r->n, false, pen, INK_NONE);
    }
}

void draw_part_cuts(Press *p, const Part *part, const Place *pl) {
    draw_blind(p, part, pl);
    draw_pockets(p, part, pl);
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        if (f->kind >= FEATURE_CHAMFER)
            draw_edging(p, part, f, pl);
        else if (!feature_in_face(f) && f->kind != FEATURE_POCKET)
            draw_edge_cut(p, part, f, pl);
        else if (f->kind == FEATURE_HOLE && f->sink.real > 0)
            draw_sinks(p, f, pl);
    }
}
