/* movement -- how far wide pieces swell and shrink over a year, and the
 * glue joints that would be torn by it.
 *
 * Source: Wood Handbook, FPL-GTR-190 (2010) and FPL-GTR-282 (2021): Table
 * 13-5 (coefficients), Eq. 13-2 from 6 to 14 % moisture, Eq. 13-3 outside
 * of it with the shrinkage of Table 4-3, Eq. 4-5 (moisture of wood in air).
 * How a board was sawn is not known, so its width is taken as tangential
 * to the rings, which moves most, and its thickness as radial.
 */
#include "model/model_internal.h"

#include <math.h>

#define DRIEST    6.0    // standing range, percent: a heated room
#define DAMPEST   12.0   // (Wood Handbook, ch. 4, 30 to 65 % humidity)
#define FIBER     30.0   // fiber saturation, percent
#define ROOM_C    21.1   // 70 F
#define TORN_MM   2.38125   // 3/32 in: common practice, no published source

static const struct {
    const char *wood;
    double shrink_r, shrink_t;   // percent, green to ovendry
    double c_r, c_t;             // per percent of moisture
} woods[] = {
    { "white ash", 4.9, 7.8, .00169, .00274 },
    { "basswood", 6.6, 9.3, .00230, .00330 },
    { "beech", 5.5, 11.9, .00190, .00431 },
    { "yellow birch", 7.3, 9.5, .00256, .00338 },
    { "cherry", 3.7, 7.1, .00126, .00248 },
    { "red maple", 4.0, 8.2, .00137, .00289 },
    { "sugar maple", 4.8, 9.9, .00165, .00353 },
    { "red oak", 4.0, 8.6, .00158, .00369 },
    { "white oak", 5.6, 10.5, .00180, .00365 },
    { "walnut", 5.5, 7.8, .00190, .00274 },
    { "yellow poplar", 4.6, 8.2, .00158, .00289 },
    { "western redcedar", 2.4, 5.0, .00111, .00234 },
    { "northern white cedar", 2.2, 4.9, .00101, .00229 },
    { "eastern redcedar", 3.1, 4.7, .00106, .00162 },
    { "douglas fir", 4.8, 7.6, .00165, .00267 },
    { "white fir", 3.3, 7.0, .00112, .00245 },
    { "western hemlock", 4.2, 7.8, .00144, .00274 },
    { "larch", 4.5, 9.1, .00155, .00323 },
    { "eastern white pine", 2.1, 6.1, .00071, .00212 },
    { "loblolly pine", 4.8, 7.4, .00165, .00259 },
    { "lodgepole pine", 4.3, 6.7, .00148, .00234 },
    { "longleaf pine", 5.1, 7.5, .00176, .00263 },
    { "ponderosa pine", 3.9, 6.2, .00133, .00216 },
    { "redwood", 2.6, 4.4, .00120, .00205 },
    { "engelmann spruce", 3.8, 7.1, .00130, .00248 },
    { "sitka spruce", 4.3, 7.5, .00148, .00263 },
};

/* ---- One board ---- */

double wood_moves(Str wood, bool tangential, double width, double from,
                  double to) {
    for (int i = 0; i < COUNT(woods); i++) {
        double s = tangential ? woods[i].shrink_t : woods[i].shrink_r;
        double c = tangential ? woods[i].c_t : woods[i].c_r;
        if (!str_is(wood, woods[i].wood))
            continue;
        from = fmin(from, FIBER);
        to   = fmin(to, FIBER);
        if (fmin(from, to) >= 6 && fmax(from, to) <= 14)
            return width * c * (to - from);
        return width * (to - from) / (FIBER * 100 / s - FIBER + from);
    }
    return 0;
}

double wood_moisture(double h, double t) {
    double w  = 349 + 1.29 * t + 0.0135 * t * t;
    double k  = 0.805 + 0.000736 * t - 0.00000273 * t * t;
    double k1 = 6.27 - 0.00938 * t - 0.000303 * t * t;
    double k2 = 1.91 + 0.0407 * t - 0.000293 * t * t;
    double kh = k * h, both = k1 * k2 * kh * kh;

    return 1800 / w * (kh / (1 - kh) + (k1 * kh + 2 * both)
                                       / (1 + k1 * kh + both));
}

double part_movement(const Model *m, const Part *part) {
    const Stock *s = &m->stocks.at[part->stock];

    if (s->form != FORM_BOARD || part->width.poison)
        return 0;
    return wood_moves(s->wood, true, part->width.real, m->driest,
                      m->dampest);
}

/* ---- The range ---- */

static bool read_two(Build *b, const Node *seasons, const char *key,
                     double least, double most, double out[2]) {
    const Node *list = node_list(b->c, seasons, key), *n;

    if (!list)
        return false;
    if (list->count != 2) {
        report(b->c, list->loc, WRONG_KIND,
               "\"%s\" needs two numbers, not %d", key, list->count);
        hint(b->c, "the driest and the dampest, in percent: [\"%g\", "
             "\"%g\"]", least + 6, most / 2);
        return false;
    }
    n = list->first;
    for (int i = 0; i < 2; i++, n = n->next) {
        Quantity q = eval_node(b->c, b->s, "", n, DIM_NUMBER);
        if (q.poison)
            return false;
        out[i] = q.real;
    }
    if (out[0] >= least && out[0] < out[1] && out[1] <= most)
        return true;
    report(b->c, list->loc, OUT_OF_RANGE,
           "\"%s\" cannot run from %g to %g percent", key, out[0], out[1]);
    hint(b->c, "first the driest, then the dampest, from %g to %g", least,
         most);
    return false;
}

void read_seasons(Build *b) {
    static const char *const keys[] = {   // SCHEMA seasons
        "moisture", "humidity", NULL
    };
    const Node *seasons = node_object(b->c, b->d->root, "seasons");
    double      two[2];

    b->m->driest  = DRIEST;
    b->m->dampest = DAMPEST;
    if (!seasons || !node_check_keys(b->c, seasons, keys, "\"seasons\""))
        return;
    if (read_two(b, seasons, "moisture", 0, FIBER, two)) {
        b->m->driest  = two[0];
        b->m->dampest = two[1];
        b->m->seasons_said = true;
    } else if (read_two(b, seasons, "humidity", 0, 98, two)) {
        b->m->driest  = wood_moisture(two[0] / 100, ROOM_C);
        b->m->dampest = wood_moisture(two[1] / 100, ROOM_C);
        b->m->seasons_said = true;
    }
}

/* ---- Glue across the grain ---- */

/* What a piece grows along a direction, per millimeter. False: not known.
 * Sheets hardly move, and nothing moves along its grain. */
static bool strain_along(const Build *b, const Piece *p, V3 dir,
                         double *out) {
    const Part  *part = &b->m->parts.at[p->part];
    const Stock *s    = &b->m->stocks.at[part->stock];
    double       y = v3_dot(p->frame.y, dir), z = v3_dot(p->frame.z, dir);
    double       t = wood_moves(s->wood, true, 1, b->m->driest,
                                b->m->dampest);
    double       r = wood_moves(s->wood, false, 1, b->m->driest,
                                b->m->dampest);

    *out = s->form == FORM_SHEET ? 0 : t * y * y + r * z * z;
    return s->form == FORM_SHEET || t > 0;
}

static double along(const TouchPatch *patch, V2 p, V3 dir) {
    return v3_dot(v3_add(v3_scale(patch->u, p.x), v3_scale(patch->v, p.y)),
                  dir);
}

typedef struct { double lo, hi; } Reach;

static void add_reach(const TouchPatch *patch, V3 dir, Reach *reach) {
    for (int i = 0; i < patch->where.parts.n; i++) {
        const Ring *r = &patch->where.parts.at[i].at[0];
        for (int k = 0; k < r->n; k++) {
            double at = along(patch, r->at[k], dir);
            reach->lo = fmin(reach->lo, at);
            reach->hi = fmax(reach->hi, at);
        }
    }
}

static double extent(const TouchPatch *patch, V3 dir) {
    Reach reach = { INFINITY, -INFINITY };

    add_reach(patch, dir, &reach);
    return reach.hi - reach.lo;
}

/* The axes of a piece: along, across and through. */
static V3 axis_of(const Piece *p, int k) {
    return k == 0 ? p->frame.x : k == 1 ? p->frame.y : p->frame.z;
}

static TouchPatches joint_of(Build *b, const Piece *p, const Piece *q) {
    return solid_patches(b->c, b->m->parts.at[p->part].solid, &p->frame,
                         b->m->parts.at[q->part].solid, &q->frame, TOUCH_MM);
}

/* The most that the two pieces move against each other along an axis of
 * one of them in the glued face. */
static double tearing(Build *b, const Piece *p, const Piece *q, double *len,
                      const Piece **mover) {
    TouchPatches all  = joint_of(b, p, q);
    double       most = 0;

    for (int i = 0; i < all.n; i++) {
        for (int k = 0; k < 6; k++) {
            V3     e = axis_of(k < 3 ? p : q, k % 3);
            double one, two, reach;
            if (fabs(v3_dot(e, all.at[i].n)) > 0.1
                || !strain_along(b, p, e, &one)
                || !strain_along(b, q, e, &two))
                continue;
            reach = extent(&all.at[i], e);
            if (fabs(one - two) * reach <= most)
                continue;
            most   = fabs(one - two) * reach;
            *len   = reach;
            *mover = one > two ? p : q;
        }
    }
    return most;
}

/* No joint of the two moves more than the board that moves most would, over
 * the longest line in which they may touch: most joints are small. */
static double at_most(const Build *b, const Piece *p, const Piece *q) {
    const Stock *sp = &b->m->stocks.at[b->m->parts.at[p->part].stock];
    const Stock *sq = &b->m->stocks.at[b->m->parts.at[q->part].stock];
    V3 size = v3(fmin(p->box.max.x, q->box.max.x)
                 - fmax(p->box.min.x, q->box.min.x) + 2 * TOUCH_MM,
                 fmin(p->box.max.y, q->box.max.y)
                 - fmax(p->box.min.y, q->box.min.y) + 2 * TOUCH_MM,
                 fmin(p->box.max.z, q->box.max.z)
                 - fmax(p->box.min.z, q->box.min.z) + 2 * TOUCH_MM);
    double reach = v3_len(size);

    if (size.x < 0 || size.y < 0 || size.z < 0)
        return 0;
    return fmax(wood_moves(sp->wood, true, reach, b->m->driest,
                           b->m->dampest),
                wood_moves(sq->wood, true, reach, b->m->driest,
                           b->m->dampest));
}

static bool check_joint(Build *b, const Fix *f, int piece, int to) {
    const Piece *p = &b->m->pieces.at[piece], *q = &b->m->pieces.at[to];
    const Piece *mover = p;
    double       len = 0, moves = at_most(b, p, q) <= TORN_MM
                                ? 0 : tearing(b, p, q, &len, &mover);
    Quantity     sixteenth = quantity_inches(1, 64);

    if (moves <= TORN_MM)
        return false;
    report(b->c, f->loc, CROSS_GRAIN,
           "'%.*s' is glued to '%.*s' over %.*s, where their grain crosses: "
           "between %.3g and %.3g %% of moisture '%.*s' moves %.*s there, "
           "and more than %.*s tears a glue joint", STR_ARG(p->name),
           STR_ARG(q->name), STR_ARG(size_text(b, quantity_round(
               quantity_mm(len), sixteenth))), b->m->driest, b->m->dampest,
           STR_ARG(mover->name), STR_ARG(size_text(b, quantity_round(
               quantity_mm(moves), sixteenth))),
           STR_ARG(mm_text(b, TORN_MM)));
    return true;
}

/* ---- Glued in the middle ---- */

/* Area under the middle of the ring's edges from v = 0 up, cut to lo..hi:
 * the sum over all edges is the area of what lies between the two. */
static double ring_between(const TouchPatch *patch, const Ring *r, V3 dir,
                           Reach band) {
    V2     u = v2(along(patch, v2(1, 0), dir), along(patch, v2(0, 1), dir));
    double sum = 0;

    for (int i = 0; i < r->n; i++) {
        V2     a = r->at[i], z = r->at[(i + 1) % r->n];
        double from = v2_dot(a, u), to = v2_dot(z, u), t, s, up;
        double va = v2_cross(u, a), vz = v2_cross(u, z);
        if (fabs(to - from) < 1e-9)
            continue;
        t   = fmin(fmax(from, band.lo), band.hi);
        s   = fmin(fmax(to, band.lo), band.hi);
        up  = va + (vz - va) * ((t + s) / 2 - from) / (to - from);
        sum += (t - s) * up;
    }
    return fabs(sum) / fmax(v2_dot(u, u), 1e-9);
}

static double patch_between(const TouchPatch *patch, V3 dir, Reach band) {
    Reach  reach = { INFINITY, -INFINITY };
    double area  = 0;

    add_reach(patch, dir, &reach);
    if (fabs(v3_dot(dir, patch->n)) > 0.1)   // all of it, or nothing
        return reach.lo < band.hi && reach.hi > band.lo ? patch->area : 0;
    for (int i = 0; i < patch->where.parts.n; i++)
        for (int k = 0; k < patch->where.parts.at[i].n; k++)
            area += (k ? -1 : 1) * ring_between(patch,
                    &patch->where.parts.at[i].at[k], dir, band);
    return area;
}

/* How much two pieces move against each other along an axis; where no wood
 * is known, the longer way counts as more. */
static double moves_along(Build *b, const Piece *p, const Piece *q, V3 dir,
                          Reach reach) {
    double one = 0, two = 0;

    if (!strain_along(b, p, dir, &one) || !strain_along(b, q, dir, &two))
        one = two = 0;
    return (fabs(one - two) + 1e-9) * (reach.hi - reach.lo);
}

double glued_middle(Build *b, int piece, int to) {
    const Piece *p = &b->m->pieces.at[piece], *q = &b->m->pieces.at[to];
    TouchPatches all = joint_of(b, p, q);
    double       most = 0, area = 0;

    for (int k = 0; k < 6 && all.n; k++) {
        V3    dir   = axis_of(k < 3 ? p : q, k % 3);
        Reach reach = { INFINITY, -INFINITY };
        double moves, middle;
        for (int i = 0; i < all.n; i++)
            add_reach(&all.at[i], dir, &reach);
        moves = moves_along(b, p, q, dir, reach);
        if (moves <= most || fabs(v3_dot(dir, all.at[0].n)) > 0.1)
            continue;
        most   = moves;
        middle = (reach.lo + reach.hi) / 2;
        reach  = (Reach){ fmax(reach.lo, middle - GLUED_MIDDLE_MM / 2),
                          fmin(reach.hi, middle + GLUED_MIDDLE_MM / 2) };
        area   = 0;
        for (int i = 0; i < all.n; i++)
            area += patch_between(&all.at[i], dir, reach);
    }
    return area;
}

void check_movement(Build *b) {
    Neighbors near  = neighbors_of(b->c, b->m);
    Roles     roles = roles_new(b);

    for (int i = 0; i < b->m->steps.n; i++) {
        const Step *step = &b->m->steps.at[i];
        for (int k = 0; k < step->fixes.n; k++) {
            const Fix *f = &step->fixes.at[k];
            bool said = !f->glue || f->middle;
            roles_of(&roles, f);
            for (int p = 0; p < f->pieces.n && !said; p++) {
                Ints to = roles_touched(b->c, b->m, &near, &roles,
                                        f->pieces.at[p]);
                for (int t = 0; t < to.n && !said; t++)
                    said = check_joint(b, f, f->pieces.at[p], to.at[t]);
            }
        }
    }
}
