/* between -- too little wood between two holes, or a hole and another cut.
 *
 *     +-----------------+     Holes that are drilled the same way and reach
 *     |   __       __   |     as deep are circles in one plane: between two
 *     |  /  \ gap /  \  |     of them should stay the diameter of the
 *     |  \__/<--->\__/  |     smaller one, or twice the thickness of the
 *     |                 |     part if that is less. A cut of another shape
 *     +-----------------+     that goes at least halfway through the part is
 * like an edge to a hole, which leaves as much to it.
 *
 * Limits: common practice, no published source. Cuts that overlap are meant
 * to. Which holes are near each other is found by their boxes, so that a
 * board of a thousand pegs is no matter.
 */
#include "model/model_internal.h"

#include <math.h>

#define LEAST_MM 0.05   // nearer ones are one cut

/* A hole, or a copy of it, in the plane across its axis. */
typedef struct {
    const Feature *f;
    int    feature, axis;     // 0: x, 1: y, 2: z of the part
    V2     at;                // across the axis, as in round_at
    double r, lo, hi;         // along the axis
} Round;
typedef LIST(Round) Rounds;

/* The least of a feature and all its copies. */
typedef struct { double width, least; V2 a, b; Str what; bool any; } Gap;

static V2 round_at(int axis, V3 p) {
    return axis == 2 ? v2(p.x, p.y) : axis == 1 ? v2(p.x, p.z)
                                                : v2(p.y, p.z);
}

/* Where that is in the part's x and y. */
static V2 in_face(const Round *h, V2 at) {
    double middle = (h->lo + h->hi) / 2;

    return h->axis == 2 ? at : h->axis == 1 ? v2(at.x, middle)
                                            : v2(middle, at.x);
}

static void depth_of(const Part *part, const Feature *f, double *lo,
                     double *hi) {
    double t = part->thickness.real;
    double d = f->depth.real > 0 ? fmin(f->depth.real, t) : t;

    *lo = f->side == SIDE_BACK ? 0 : t - d;
    *hi = f->side == SIDE_BACK ? d : t;
}

static Round round_of(const Part *part, int feature, int copy) {
    const Feature *f = &part->features.at[feature];
    Round h = { .f = f, .feature = feature, .r = f->diameter.real / 2 };

    if (f->side <= SIDE_BACK) {
        h.axis = 2;
        h.at   = v2_add(v2(f->x.real, f->y.real), feature_copy(f, copy));
        depth_of(part, f, &h.lo, &h.hi);
    } else {
        Box3 room = edge_room(part, f, copy);
        h.axis = f->side >= SIDE_LEFT ? 0 : 1;
        h.at   = round_at(h.axis, v3_scale(v3_add(room.min, room.max), 0.5));
        h.lo   = h.axis == 0 ? room.min.x : room.min.y;
        h.hi   = h.axis == 0 ? room.max.x : room.max.y;
    }
    return h;
}

static Rounds rounds_of(Build *b, const Part *part) {
    Rounds all = { 0 };

    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        for (int k = 0; k < f->count && f->kind == FEATURE_HOLE
                        && f->tilt.real <= 0; k++)
            *PUSH(b->c, &all) = round_of(part, i, k);
    }
    return all;
}

static Box3 round_box(const Round *h) {
    V2 a = v2(h->at.x - h->r, h->at.y - h->r);
    V2 z = v2(h->at.x + h->r, h->at.y + h->r);

    return h->axis == 2 ? (Box3){ v3(a.x, a.y, h->lo), v3(z.x, z.y, h->hi) }
         : h->axis == 1 ? (Box3){ v3(a.x, h->lo, a.y), v3(z.x, h->hi, z.y) }
                        : (Box3){ v3(h->lo, a.x, a.y), v3(h->hi, z.x, z.y) };
}

static void note_gap(const Part *part, Gap *gap, double width, double d,
                     V2 a, V2 b, Str what) {
    double least = fmin(d, 2 * part->thickness.real);

    if (width > LEAST_MM && width < least - 1e-3
        && (!gap->any || width < gap->width - 1e-6))
        *gap = (Gap){ width, least, a, b, what, true };
}

/* ---- Two holes ---- */

static void check_two(const Part *part, const Round *p, const Round *q,
                      Gap *gap) {
    V2     d = v2_sub(q->at, p->at);
    double far = v2_len(d);

    if (p->axis != q->axis || far < 1e-6
        || fmin(p->hi, q->hi) - fmax(p->lo, q->lo) < LEAST_MM)
        return;
    d = v2_scale(d, 1 / far);
    note_gap(part, gap, far - p->r - q->r, 2 * fmin(p->r, q->r),
             in_face(p, v2_add(p->at, v2_scale(d, p->r))),
             in_face(q, v2_sub(q->at, v2_scale(d, q->r))), STR("two holes"));
}

static void check_holes(Build *b, const Part *part, const Rounds *all,
                        Gap *gaps) {
    Box3    *boxes = NEW_N(b->c, Box3, all->n + 1);
    double   most  = 0;
    BoxPairs near;

    for (int i = 0; i < all->n; i++) {
        boxes[i] = round_box(&all->at[i]);
        most = fmax(most, 2 * all->at[i].r);
    }
    near = boxes_near(b->c, boxes, all->n, most);
    for (int i = 0; i < near.n; i++) {
        const Round *p = &all->at[near.at[i].a], *q = &all->at[near.at[i].b];
        check_two(part, p, q, &gaps[p->feature]);
    }
}

/* ---- A hole and another cut ---- */

static bool is_inside(const Rings *rings, V2 p) {
    bool in = false;

    for (int i = 0; i < rings->n; i++) {
        const Ring *r = &rings->at[i];
        for (int k = 0; k < r->n; k++) {
            V2 a = r->at[k], z = r->at[(k + 1) % r->n];
            if ((a.y > p.y) != (z.y > p.y)
                && p.x < a.x + (z.x - a.x) * (p.y - a.y) / (z.y - a.y))
                in = !in;
        }
    }
    return in;
}

static V2 nearest(const Rings *rings, V2 p) {
    V2     best  = p;
    double least = INFINITY;

    for (int i = 0; i < rings->n; i++) {
        const Ring *r = &rings->at[i];
        for (int k = 0; k < r->n; k++) {
            V2     a = r->at[k], d = v2_sub(r->at[(k + 1) % r->n], a);
            double t = v2_dot(v2_sub(p, a), d) / fmax(v2_dot(d, d), 1e-12);
            V2     q = v2_add(a, v2_scale(d, fmin(fmax(t, 0), 1)));
            if (v2_len(v2_sub(q, p)) < least) {
                least = v2_len(v2_sub(q, p));
                best  = q;
            }
        }
    }
    return best;
}

/* The rings are those of the cut's first copy. */
static void check_cut(Build *b, const Part *part, const Feature *cut,
                      const Rings *rings, const Round *h, Gap *gap) {
    double lo, hi;

    depth_of(part, cut, &lo, &hi);
    if (h->axis != 2 || hi - lo < part->thickness.real / 2 - 1e-6
        || fmin(hi, h->hi) - fmax(lo, h->lo) < LEAST_MM)
        return;
    for (int k = 0; k < cut->count; k++) {
        V2     by = feature_copy(cut, k), p = v2_sub(h->at, by);
        V2     q  = nearest(rings, p), d = v2_sub(q, p);
        double far = v2_len(d);
        if (far < 1e-6 || is_inside(rings, p))
            continue;
        note_gap(part, gap, far - h->r, 2 * h->r,
                 v2_add(h->at, v2_scale(d, h->r / far)), v2_add(q, by),
                 str_fmt(b->c, "a hole and the %s", feature_name(cut)));
    }
}

static void check_cuts(Build *b, const Part *part, const Rounds *all,
                       Gap *gaps) {
    for (int i = 0; i < part->features.n; i++) {
        const Feature *cut = &part->features.at[i];
        Rings rings;
        if (cut->kind == FEATURE_HOLE || cut->side > SIDE_BACK
            || !feature_in_face(cut))
            continue;
        rings = shape_rings(b->c, cut->shape, 0.05);
        for (int k = 0; k < all->n; k++)
            check_cut(b, part, cut, &rings, &all->at[k],
                      &gaps[all->at[k].feature]);
    }
}

/* The worst place of each hole, with all its copies. */
void check_between(Build *b, int part) {
    const Part *own  = &b->m->parts.at[part];
    Rounds      all  = rounds_of(b, own);
    Gap        *gaps = NEW_N(b->c, Gap, own->features.n + 1);

    if (!all.n)
        return;
    check_holes(b, own, &all, gaps);
    check_cuts(b, own, &all, gaps);
    for (int i = 0; i < own->features.n; i++)
        if (gaps[i].any)
            add_weak(b, part, own->features.at[i].loc, WEAK_BETWEEN,
                     gaps[i].what, gaps[i].a, gaps[i].b, gaps[i].width,
                     gaps[i].least);
}
