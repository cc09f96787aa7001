/* guillotine_bound -- no plan can cost less: by area, seen through scales.
 *
 * A dual feasible function maps sizes so that whatever fits beside each
 * other still does: then the area of the mapped parts, too, must fit the
 * mapped sheets. Two families are tried in both directions: small sizes to
 * nothing and large ones to the whole (Fekete and Schepers 2004), and sizes
 * counted in steps of a given one (Carlier, Clautiaux and Moukrim 2007). A
 * part that may turn counts as what is less. All in whole numbers.
 */
#include "plan/guillotine_internal.h"

#include <float.h>
#include <math.h>

#define MOST_SCALES 61       // in each direction

static int64_t in_steps(const Rects *r, double cost) {
    return (int64_t)ceil(cost / (double)r->step - 1e-9) * r->step;
}

int64_t bound_area(const Rects *r) {
    double area = 0, rate = DBL_MAX;

    for (int i = 0; i < r->n_parts; i++)
        area += (double)r->parts[i].w * (double)r->parts[i].h
              * r->parts[i].count;
    for (int i = 0; i < r->n_kinds; i++)
        rate = fmin(rate, (double)r->kinds[i].price
                    / ((double)r->kinds[i].w * (double)r->kinds[i].h));
    return in_steps(r, area * rate);
}

/* ---- Scales ---- */

/* A size as a share of the whole. */
double scaled(const Scale *s, int64_t x) {
    int64_t whole = s->size;

    if (x > whole || s->by == 0)
        return (double)x / (double)whole;
    if (!s->counts)
        return x > whole - s->by ? 1 : x < s->by ? 0
             : (double)x / (double)whole;
    if (2 * x > whole)
        return 1 - (double)((whole - x) / s->by) / (double)(whole / s->by);
    if (2 * x == whole)
        return 0.5;
    return (double)(x / s->by) / (double)(whole / s->by);
}

static void add_scale(Scale *list, int *n, Scale s) {
    for (int i = 0; i < *n; i++) {
        if (list[i].by == s.by && list[i].counts == s.counts)
            return;
    }
    if (*n < MOST_SCALES)
        list[(*n)++] = s;
}

static int scales_for(const Rects *r, int64_t size, bool up, Scale *list) {
    int n = 0;

    add_scale(list, &n, (Scale){ size, 0, false });
    for (int i = 0; i < r->n_parts; i++) {
        const SheetPart *p = &r->parts[i];
        for (int k = 0; k < (p->turns ? 2 : 1); k++) {
            int64_t by = up != (k == 1) ? p->h : p->w;
            if (2 * by > size)
                by = size - by + 1;
            if (by < 1 || 2 * by > size)
                continue;
            add_scale(list, &n, (Scale){ size, by, false });
            add_scale(list, &n, (Scale){ size, by, true });
        }
    }
    return n;
}

double scaled_part(const Rects *r, int part, const ScalePair *s) {
    const SheetPart *p    = &r->parts[part];
    double           area = scaled(&s->x, p->w) * scaled(&s->y, p->h);
    bool lies = p->w <= s->x.size && p->h <= s->y.size;
    bool turn = p->turns && p->h <= s->x.size && p->w <= s->y.size;

    if (!turn)
        return area;
    if (!lies)
        return scaled(&s->x, p->h) * scaled(&s->y, p->w);
    return fmin(area, scaled(&s->x, p->h) * scaled(&s->y, p->w));
}

int scale_pairs(Ctx *c, const Rects *r, int kind, int most,
                ScalePair *best) {
    Scale *across = NEW_N(c, Scale, MOST_SCALES);
    Scale *up     = NEW_N(c, Scale, MOST_SCALES);
    int    nx = scales_for(r, r->kinds[kind].w, false, across);
    int    ny = scales_for(r, r->kinds[kind].h, true, up), n = 0;

    for (int i = 0; i < nx * ny; i++) {
        ScalePair s = { across[i / ny], up[i % ny], 0 };
        int       k = n < most ? n++ : most - 1;
        for (int p = 0; p < r->n_parts; p++)
            s.area += scaled_part(r, p, &s) * r->parts[p].count;
        if (k == most - 1 && best[k].area >= s.area && n == most && i >= n)
            continue;
        for (; k > 0 && best[k - 1].area < s.area; k--)
            best[k] = best[k - 1];
        best[k] = s;
    }
    return n;
}

int64_t bound_scales(Ctx *c, const Rects *r, long *steps) {
    ScalePair best;

    if (r->n_kinds != 1)
        return 0;
    (void)scale_pairs(c, r, 0, 1, &best);
    *steps += (long)MOST_SCALES * MOST_SCALES * r->n_parts;
    return in_steps(r, ceil(best.area - 1e-9) * (double)r->kinds[0].price);
}
