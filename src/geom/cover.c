/* cover -- what of a plane is covered by cells from one side only.
 *
 *      cells          from below     from above      face
 *     +---+---+       +---+---+      +---+                +---+
 *     | A | B |   =>  | A | B |   -  | C |       =>       | B'|
 *     +---+---+       +---+---+      +---+                +---+
 *     | C |
 *     +---+
 *
 * Most planes come out by striking edges against each other. Where borders
 * of the two sides cross or meet at corners, each side is welded and GEOS
 * takes the difference.
 */
#include "geom/solid_internal.h"

#include <math.h>

#define PLANE_GRID  1e-5   // mm, for GEOS in a plane

/* ---- One side of a plane ---- */

static Patchworks single_patches(Finish *f, const Side *s, int n,
                                 bool front) {
    Patchworks out = { 0 };

    for (int i = 0; i < n; i++)
        if (s[i].front == front) {
            Patchwork *one = PUSH(f->c, &out);
            *PUSH(f->c, &one->rings) = s[i].v;
        }
    return out;
}

static Patchworks tidy_patches(Finish *f, Patchworks p) {
    int n = 0;

    for (int i = 0; i < p.n; i++) {
        Ints *r = &p.at[i].rings.at[0];
        *r = ring_tidy(f, r);
        if (r->n)
            p.at[n++] = p.at[i];
    }
    p.n = n;
    return p;
}

static Patchworks join_side(Finish *f, const Side *s, int n, bool front,
                            bool *whole) {
    Patchworks single = single_patches(f, s, n, front);

    return single.n < 2 ? tidy_patches(f, single)
                        : weld(f, single, front ? 1 : -1, whole);
}

/* ---- What one side covers and the other does not ---- */

static int ring_lowest(const Ints *r) {
    int k = 0;

    for (int i = 1; i < r->n; i++)
        if (r->at[i] < r->at[k])
            k = i;
    return k;
}

/* The same corners, one ring read backward. */
bool rings_opposite(const Ints *a, const Ints *b) {
    int i = ring_lowest(a), k = ring_lowest(b);

    if (a->n != b->n)
        return false;
    for (int j = 0; j < a->n; j++)
        if (a->at[(i + j) % a->n] != b->at[(k - j + b->n) % b->n])
            return false;
    return true;
}

static bool patches_opposite(const Patchwork *a, const Patchwork *b) {
    if (a->rings.n != b->rings.n)
        return false;
    for (int i = 0; i < a->rings.n; i++) {
        bool found = false;
        for (int k = 0; k < b->rings.n && !found; k++)
            found = rings_opposite(&a->rings.at[i], &b->rings.at[k]);
        if (!found)
            return false;
    }
    return true;
}

/* Strikes out patches that are covered exactly from the other side. */
static void strike_patches(Patchworks *a, Patchworks *b) {
    int n = 0;

    for (int i = 0; i < a->n; i++) {
        int k = 0;
        while (k < b->n && !patches_opposite(&a->at[i], &b->at[k]))
            k++;
        if (k == b->n)
            a->at[n++] = a->at[i];
        else
            b->at[k] = b->at[--b->n];
    }
    a->n = n;
}

/* Welded sides go to GEOS as they are: rounding them to the grid first
 * would move corners off the edges that they lie on. */
static GEOSGeometry *side_geometry(Finish *f, GEOSContextHandle_t h,
                                   const Patchworks *side, bool whole) {
    Polygons      p = { 0 };
    GEOSGeometry *all, *joined;

    for (int i = 0; i < side->n; i++) {
        Rings *part = PUSH(f->c, &p.parts);
        for (int k = 0; k < side->at[i].rings.n; k++)
            *PUSH(f->c, part) = ring_flat(f, &side->at[i].rings.at[k]);
    }
    all = geos_from_polygons(f->c, h, p);
    if (!all)
        return GEOSGeom_createEmptyPolygon_r(h);
    if (whole && GEOSisValid_r(h, all) == 1)
        return all;
    joined = GEOSUnaryUnionPrec_r(h, all, PLANE_GRID);
    GEOSGeom_destroy_r(h, all);
    return joined;
}

static Ints numbers_of_ring(Finish *f, const Ring *r, bool backward) {
    Ints out = { 0 };

    for (int i = 0; i < r->n; i++) {
        V2  at = r->at[backward ? r->n - 1 - i : i];
        V3  p  = v3_add(v3_scale(f->n, f->d),
                        v3_add(v3_scale(f->u, at.x), v3_scale(f->v, at.y)));
        int k  = corner_number(f, p, ON_EDGE);
        if (out.n == 0 || (k != out.at[out.n - 1] && k != out.at[0]))
            *PUSH(f->c, &out) = k;
    }
    return ring_tidy(f, &out);
}

static Patchworks patches_of(Finish *f, Polygons p, bool front) {
    Patchworks out = { 0 };

    for (int i = 0; i < p.parts.n; i++) {
        Patchwork one = { 0 };
        for (int k = 0; k < p.parts.at[i].n; k++) {
            Ints r = numbers_of_ring(f, &p.parts.at[i].at[k], !front);
            if (r.n)
                *PUSH(f->c, &one.rings) = r;
            else if (k == 0)
                break;
        }
        if (one.rings.n)
            *PUSH(f->c, &out) = one;
    }
    return out;
}

static void subtract_sides(Finish *f, Patchworks *front, Patchworks *back,
                           bool whole) {
    GEOSContextHandle_t h = GEOS_init_r();
    GEOSGeometry *gf = side_geometry(f, h, front, whole);
    GEOSGeometry *gb = side_geometry(f, h, back, whole);
    GEOSGeometry *only_f = NULL, *only_b = NULL;

    if (gf && gb) {
        only_f = GEOSDifferencePrec_r(h, gf, gb, PLANE_GRID);
        only_b = GEOSDifferencePrec_r(h, gb, gf, PLANE_GRID);
    }
    *front = weld(f, patches_of(f, polygons_from_geos(f->c, h, only_f),
                                true), 1, &whole);
    *back  = weld(f, patches_of(f, polygons_from_geos(f->c, h, only_b),
                                false), -1, &whole);
    GEOSGeom_destroy_r(h, gf);
    GEOSGeom_destroy_r(h, gb);
    GEOSGeom_destroy_r(h, only_f);
    GEOSGeom_destroy_r(h, only_b);
    GEOS_finish_r(h);
}

static bool patches_overlap(const Finish *f, const Patchworks *a,
                            const Patchworks *b) {
    for (int i = 0; i < a->n; i++)
        for (int k = 0; k < b->n; k++) {
            const Ints *r[2] = { &a->at[i].rings.at[0],
                                 &b->at[k].rings.at[0] };
            Box2 box[2] = { box2_empty(), box2_empty() };
            for (int e = 0; e < 2; e++)
                for (int j = 0; j < r[e]->n; j++)
                    box2_add(&box[e], corner_flat(f, r[e]->at[j]));
            if (box[0].min.x < box[1].max.x - ONE_CORNER
                    && box[1].min.x < box[0].max.x - ONE_CORNER
                    && box[0].min.y < box[1].max.y - ONE_CORNER
                    && box[1].min.y < box[0].max.y - ONE_CORNER)
                return true;
        }
    return false;
}

/* ---- Both sides at once ---- */

/* The borders of both sides, each counter-clockwise as seen from its own
 * outside, struck out against each other, leave the border of what only
 * one side covers. Where that falls into simple rings clear of each other,
 * which ring lies in which tells the rest:
 *
 *      coverage 0 outside, +1 in front only, -1 behind only;
 *      a counter-clockwise ring adds 1 inside it, a clockwise one takes 1
 */
typedef struct { Ints v; Ring flat; double area; int inside, patch; } Border;
typedef LIST(Border) Borders;

static bool pieces_cross(V2 a, V2 b, V2 p, V2 q) {
    V2     d = v2_sub(b, a), e = v2_sub(q, p);
    double reach = ONE_CORNER * v2_len(d), reach2 = ONE_CORNER * v2_len(e);
    double sp = v2_cross(d, v2_sub(p, a)), sq = v2_cross(d, v2_sub(q, a));
    double sa = v2_cross(e, v2_sub(a, p)), sb = v2_cross(e, v2_sub(b, p));

    return ((sp > reach && sq < -reach) || (sp < -reach && sq > reach))
        && ((sa > reach2 && sb < -reach2) || (sa < -reach2 && sb > reach2));
}

typedef struct { V2 a, b; double from, to; } Stripe;

static int by_from(const void *pa, const void *pb, const void *with) {
    const Stripe *a = pa, *b = pb;

    (void)with;
    return a->from < b->from ? -1 : a->from > b->from;
}

/* True if at most one dart begins at each corner and none cross. Expects
 * them by start. */
static bool is_simple(const Finish *f, const Darts *d) {
    Stripe *all = NEW_N(f->c, Stripe, d->n + 1);

    for (int i = 0; i + 1 < d->n; i++)
        if (d->at[i].a == d->at[i + 1].a)
            return false;
    for (int i = 0; i < d->n; i++) {
        V2 a = corner_flat(f, d->at[i].a), b = corner_flat(f, d->at[i].b);
        all[i] = (Stripe){ a, b, fmin(a.x, b.x), fmax(a.x, b.x) };
    }
    list_sort(f->c, all, d->n, sizeof *all, by_from, NULL);
    for (int i = 0; i < d->n; i++)
        for (int k = i + 1; k < d->n && all[k].from < all[i].to; k++)
            if (pieces_cross(all[i].a, all[i].b, all[k].a, all[k].b))
                return false;
    return true;
}

static int by_size(const void *pa, const void *pb, const void *with) {
    const Border *a = pa, *b = pb;

    (void)with;
    return fabs(a->area) > fabs(b->area) ? -1
         : fabs(a->area) < fabs(b->area);
}

static Darts darts_of_sides(Finish *f, const Side *s, int n) {
    Darts darts = { 0 };
    int   most  = 0;

    for (int i = 0; i < n; i++)
        most += s[i].v.n;
    darts.at  = NEW_N(f->c, Dart, most);
    darts.cap = most;
    for (int i = 0; i < n; i++)
        for (int k = 0; k < s[i].v.n; k++)
            darts.at[darts.n++] = (Dart){ s[i].v.at[k],
                                          s[i].v.at[(k + 1) % s[i].v.n], 0 };
    return border_darts(f, &darts);
}

/* Largest first, so that a ring comes after all rings around it. */
static Borders borders_of(Finish *f, const Patchwork *loose) {
    Borders out = { 0 };

    for (int i = 0; i < loose->rings.n; i++) {
        Border b = { .v = ring_tidy(f, &loose->rings.at[i]) };
        if (b.v.n == 0)
            continue;
        b.flat = ring_flat(f, &b.v);
        b.area = ring_area(b.flat.at, b.flat.n);
        *PUSH(f->c, &out) = b;
    }
    list_sort(f->c, out.at, out.n, sizeof *out.at, by_size, NULL);
    return out;
}

static const Border *border_around(const Borders *all, int i) {
    const Ring *r = &all->at[i].flat;
    V2 mid = v2_scale(v2_add(r->at[0], r->at[1]), 0.5);

    for (int k = i - 1; k >= 0; k--)
        if (ring_holds(all->at[k].flat.at, all->at[k].flat.n, mid))
            return &all->at[k];
    return NULL;
}

/* False if the group needs the longer way. */
static bool both_sides(Finish *f, const Side *s, int n, Patchworks *front,
                       Patchworks *back) {
    Darts     darts = darts_of_sides(f, s, n);
    Patchwork loose = { 0 };
    Borders   all;

    if (!is_simple(f, &darts) || !walk_rings(f, &darts, 1, &loose))
        return false;
    all = borders_of(f, &loose);
    for (int i = 0; i < all.n; i++) {
        Border       *b = &all.at[i];
        const Border *around = border_around(&all, i);
        int           outside = around ? around->inside : 0;
        Patchworks   *side;
        b->inside = outside + (b->area > 0 ? 1 : -1);
        if (abs(b->inside) > 1)
            return false;
        side     = b->inside + outside > 0 ? front : back;
        b->patch = outside ? around->patch : side->n;
        if (!outside)
            *PUSH(f->c, side) = (Patchwork){ 0 };
        *PUSH(f->c, &side->at[b->patch].rings) = b->v;
    }
    return true;
}

/* ---- The choice between them ---- */

/* The longer way: each side on its own, then their difference. */
static void side_by_side(Finish *f, const Side *s, int n, Patchworks *front,
                         Patchworks *back) {
    bool whole = true;

    *front = join_side(f, s, n, true, &whole);
    *back  = join_side(f, s, n, false, &whole);
    strike_patches(front, back);
    if (!whole || patches_overlap(f, front, back))
        subtract_sides(f, front, back, whole);
}

void cover_sides(Finish *f, const Side *s, int n, Patchworks *front,
                 Patchworks *back) {
    bool mixed = false, whole = true;

    *front = *back = (Patchworks){ 0 };
    if (cover_walls(f, s, n, front, back))
        return;
    *front = *back = (Patchworks){ 0 };
    for (int i = 0; i < n; i++)
        mixed |= s[i].front != s[0].front;
    if (!mixed)
        *(s->front ? front : back) = join_side(f, s, n, s->front, &whole);
    if (!whole || (mixed && !both_sides(f, s, n, front, back)))
        side_by_side(f, s, n, front, back);
}
