/* arris -- chamfers and edges rounded over, in the solid.
 *
 * Straight edges of the blank lose what lies beyond a plane. Along an
 * outline (arches, curves, rounded corners) the wood under the chamfer is
 * lifted out of the blocks, a facet of the wall at a time, cut, and put
 * back. Strips meet at the line that halves the corner:
 *
 *         q---------q         top view: the wall runs p to p to p, the
 *        /   strip  |\        chamfer begins its width inside, at q
 *       p-----------p \
 *                    \ strip
 *
 * The rivals: cutting wedges out of the whole, whose cells have as many
 * sides as the outline, so that the work grows with their square; and
 * letting the outline shrink toward the face, slice by slice, into each of
 * which all other cuts would have to be cut.
 */
#include "model/model_internal.h"

#include <math.h>

#define DEG    (3.14159265358979323846 / 180)
#define AIR    0.05   // mm that a wedge reaches beyond the wall
#define ON_CUT 0.03   // mm, a facet to the cut that made it
#define LONGEST_MITER 4   // of the width, at a sharp inside corner
#define CORNER 0.09   // sine of the least angle that is a corner
#define FACING (-0.5) // cosine between walls that look at each other

/* ---- Planes of one edge ---- */

/* The edge of a face is the line where its wall meets it; the chamfer
 * begins its width inside that line, and ends its height down the wall. */
static Plane chamfer_plane(const Part *part, const Feature *f, Plane wall) {
    bool   back = f->side == SIDE_BACK;
    double z = back ? 0 : part->thickness.real;
    double k = v2_len(v2(wall.n.x, wall.n.y));
    V3     u = v3(wall.n.x / k, wall.n.y / k, 0);
    double at = (wall.d - wall.n.z * z) / k - f->width.real;
    V3     n = v3_add(v3_scale(u, 1 / f->width.real),
                      v3(0, 0, (back ? -1 : 1) / f->drop.real));
    double d = at / f->width.real + (back ? -z : z) / f->drop.real;

    k = 1 / v3_len(n);
    return (Plane){ v3_scale(n, k), d * k, wall.curve };
}

/* An edge is rounded by planes whose corners lie on the true round, which
 * touches the face and the wall:
 *
 *     face  ------.        c: the middle of the round, its radius inside
 *             c   |\       of both planes
 *                 | wall
 */
static int round_planes(Build *b, const Part *part, const Feature *f,
                        Plane wall, Plane **out) {
    bool   back = f->side == SIDE_BACK;
    V3     face = v3(0, 0, back ? -1 : 1);
    double r = f->width.real, all = acos(v3_dot(face, wall.n));
    double step = 2 * acos(1 - fmin(0.5, SAGITTA_MM / r));
    int    n = (int)ceil(all / step);
    double to_face = (back ? 0 : part->thickness.real) - r;

    *out = NEW_N(b->c, Plane, n + 1);
    for (int i = 0; i < n; i++) {
        double at = (i + 0.5) * all / n;
        double kf = sin(all - at) / sin(all), kp = sin(at) / sin(all);
        (*out)[i] = (Plane){ v3_add(v3_scale(face, kf),
                                    v3_scale(wall.n, kp)),
                             kf * to_face + kp * (wall.d - r)
                                 + r * cos(all / (2 * n)), wall.curve };
    }
    return n;
}

static int edge_planes(Build *b, const Part *part, const Feature *f,
                       Plane wall, Plane **out) {
    if (f->kind == FEATURE_ROUND)
        return round_planes(b, part, f, wall, out);
    *out  = NEW(b->c, Plane);
    **out = chamfer_plane(part, f, wall);
    return 1;
}

/* ---- Facets along an outline ---- */

/* A facet of the wall, the wood on its left. */
typedef struct {
    V2     a, b, along, out;
    double d;        // out . p
    int    curve;
    bool   on;       // loses its arris
    int    before, after;
} Facet;

typedef LIST(Facet) Facets;

static double distance(V2 p, V2 a, V2 b) {
    V2     ab = v2_sub(b, a);
    double t  = v2_dot(v2_sub(p, a), ab) / v2_dot(ab, ab);

    t = fmax(0, fmin(1, t));
    return v2_len(v2_sub(p, v2_add(a, v2_scale(ab, t))));
}

/* Does the middle of the facet lie on the outline of such a cut? */
static bool is_of_cut(Build *b, const Part *part, FeatureKind kind, V2 mid) {
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        if (f->kind != kind)
            continue;
        for (int k = 0; k < f->count; k++) {
            Rings all = shape_rings(b->c, shape_move(b->c, f->shape,
                                                     feature_copy(f, k)),
                                    SAGITTA_MM);
            for (int r = 0; r < all.n; r++)
                for (int j = 0; j < all.at[r].n; j++)
                    if (distance(mid, all.at[r].at[j], all.at[r].at[
                                 (j + 1) % all.at[r].n]) < ON_CUT)
                        return true;
        }
    }
    return false;
}

static bool has_arris(Build *b, const Part *part, const Feature *f,
                      const Facet *w, bool outer) {
    V2 mid = v2_scale(v2_add(w->a, w->b), 0.5);

    return (f->on[ARRIS_OUTLINE] && outer)
        || (f->on[ARRIS_ARCH] && is_of_cut(b, part, FEATURE_ARCH, mid))
        || (f->on[ARRIS_CUTOUT] && is_of_cut(b, part, FEATURE_CUTOUT, mid));
}

static double loop_area(const Corners *l) {
    double sum = 0;

    for (int i = 0; i < l->n; i++)
        sum += v2_cross(l->at[i].p, l->at[(i + 1) % l->n].p);
    return sum / 2;
}

/* The walls of the part's outline on the side that the feature is cut
 * into. Curve numbers are given by this call. */
static Facets walls_along(Build *b, const Part *part, const Feature *f,
                          int *next_curve) {
    double      z    = f->side == SIDE_BACK ? 0 : part->thickness.real;
    CornerLoops all  = shape_outline(b->c, part_outline(b, part, z),
                                     SAGITTA_MM, next_curve);
    Facets       out  = { 0 };

    for (int i = 0; i < all.n; i++) {
        const Corners *l     = &all.at[i];
        bool           outer = loop_area(l) > 0;
        int            first = out.n, n = l->n;
        for (int k = 0; k < n; k++) {
            Facet *w = PUSH(b->c, &out);
            V2    a = l->at[k].p, to = l->at[(k + 1) % n].p;
            V2    by = v2_sub(to, a);
            *w = (Facet){ .a = a, .b = to, .curve = l->at[k].curve,
                         .before = first + (k + n - 1) % n,
                         .after = first + (k + 1) % n };
            w->along = v2_scale(by, 1 / v2_len(by));
            w->out   = v2(w->along.y, -w->along.x);
            w->d     = v2_dot(w->out, a);
            w->on    = has_arris(b, part, f, w, outer);
        }
    }
    return out;
}

/* ---- Wedges ---- */

static Plane upright_plane(V2 n, double d) {
    double k = 1 / v2_len(n);

    return (Plane){ v3(n.x * k, n.y * k, 0), d * k, 0 };
}

/* Where the wedge of a wall ends toward the next (way 1) or the one before
 * it (-1): halfway around the corner if that loses its arris too; else it
 * runs out through a corner that juts out, and stops at any other. */
static Plane wedge_end(const Facet *w, const Facet *next, int way) {
    V2     at = way > 0 ? w->b : w->a, n = v2_scale(w->along, way);
    double turn = way * v2_cross(w->along, next->along);

    if (next->on) {
        V2 half = v2_add(w->out, next->out);
        V2 by   = v2_scale(v2(-half.y, half.x), way);
        if (v2_len(half) > 1e-6)
            n = by;
    } else if (turn > CORNER) {
        return upright_plane(next->out, next->d + AIR);
    }
    return upright_plane(n, v2_dot(n, at));
}

static void cut_wedge(Build *b, const Part *part, const Feature *f,
                      Solid *solid, const Facets *all, const Facet *w) {
    Plane  wall = upright_plane(w->out, w->d), *planes;
    Plane  tool[4];
    int    n;

    wall.curve = w->curve;
    n       = edge_planes(b, part, f, wall, &planes);
    tool[1] = upright_plane(w->out, w->d + AIR);
    tool[2] = wedge_end(w, &all->at[w->before], -1);
    tool[3] = wedge_end(w, &all->at[w->after], 1);
    for (int i = 0; i < n; i++) {
        tool[0] = (Plane){ v3_scale(planes[i].n, -1), -planes[i].d,
                           planes[i].curve };
        solid_subtract(b->c, solid, tool, 4);
    }
}

/* ---- Strips ---- */

/* Keeps of a convex ring what lies on the near side of an upright plane. */
static Ring ring_keep(Build *b, const Ring *r, Plane p) {
    Ring out = { 0 };
    V2   n   = v2(p.n.x, p.n.y);

    for (int i = 0; i < r->n; i++) {
        V2     from = r->at[i], to = r->at[(i + 1) % r->n];
        double h = v2_dot(n, from) - p.d, k = v2_dot(n, to) - p.d;
        if (h <= 0)
            *PUSH(b->c, &out) = from;
        if ((h < 0 && k > 0) || (h > 0 && k < 0))
            *PUSH(b->c, &out) = v2_add(from, v2_scale(v2_sub(to, from),
                                                      h / (h - k)));
    }
    return out;
}

/* The strip of a facet in the face, its inner line first, that reaches a
 * little into the air. */
static Ring strip_of(Build *b, const Feature *f, const Facets *all,
                     const Facet *w, double beyond) {
    double by = LONGEST_MITER * f->width.real;
    V2     a  = v2_sub(w->a, v2_scale(w->along, by));
    V2     to = v2_add(w->b, v2_scale(w->along, by));
    V2     in = v2_scale(w->out, -f->width.real);
    V2     air = v2_scale(w->out, beyond);
    Ring   r  = { 0 };

    *PUSH(b->c, &r) = v2_add(to, in);
    *PUSH(b->c, &r) = v2_add(a, in);
    *PUSH(b->c, &r) = v2_add(a, air);
    *PUSH(b->c, &r) = v2_add(to, air);
    r = ring_keep(b, &r, wedge_end(w, &all->at[w->before], -1));
    return ring_keep(b, &r, wedge_end(w, &all->at[w->after], 1));
}

/* Has a side of one convex ring all of the other beyond it? */
static bool side_parts(const Ring *p, const Ring *q) {
    for (int i = 0; i < p->n; i++) {
        V2  from = p->at[i], by = v2_sub(p->at[(i + 1) % p->n], from);
        int k = 0;
        while (k < q->n && v2_cross(by, v2_sub(q->at[k], from))
                               <= 1e-6 * v2_len(by))
            k++;
        if (k == q->n)
            return true;
    }
    return false;
}

typedef struct {
    Facets all;
    Ring  *strip, *wide;   // of each facet; a little wider
    Box2  *box;
    double z0, z1;
} Strips;

static Strips strips_along(Build *b, const Part *part, const Feature *f,
                           int *next_curve) {
    double t = part->thickness.real;
    double down = f->kind == FEATURE_ROUND ? f->width.real : f->drop.real;
    bool   back = f->side == SIDE_BACK;
    Strips s = { .all = walls_along(b, part, f, next_curve),
                 .z0 = back ? 0 : t - down, .z1 = back ? down : t };

    s.strip = NEW_N(b->c, Ring, s.all.n + 1);
    s.wide  = NEW_N(b->c, Ring, s.all.n + 1);
    s.box   = NEW_N(b->c, Box2, s.all.n + 1);
    for (int i = 0; i < s.all.n; i++) {
        Facet *w = &s.all.at[i];
        if (f->kind == FEATURE_ROUND && w->curve == 0)
            w->curve = (*next_curve)++;   // straight edges, each its own
        s.box[i] = box2_empty();
        if (!w->on)
            continue;
        s.strip[i] = strip_of(b, f, &s.all, w, 0);
        s.wide[i]  = strip_of(b, f, &s.all, w, AIR);
        for (int k = 0; k < s.strip[i].n; k++)
            box2_add(&s.box[i], s.strip[i].at[k]);
    }
    return s;
}

static bool strips_overlap(const Strips *s, int i, int k) {
    const Box2 *p = &s->box[i], *q = &s->box[k];

    return i != k && p->min.x < q->max.x && q->min.x < p->max.x
        && p->min.y < q->max.y && q->min.y < p->max.y
        && !side_parts(&s->strip[i], &s->strip[k])
        && !side_parts(&s->strip[k], &s->strip[i]);
}

static Corners corners_of(Build *b, const Ring *r) {
    Corners out = { 0 };

    for (int i = 0; i < r->n; i++)
        *PUSH(b->c, &out) = (Corner){ r->at[i], 0 };
    return out;
}

/* Beyond the corner of short walls strips may overlap; there each takes
 * what it can from the others. */
static void cut_strip(Build *b, const Part *part, const Feature *f,
                      const Strips *s, int i, Blocks *blocks, Solid *out) {
    const Facet *w = &s->all.at[i];
    Corners      exact = corners_of(b, &s->strip[i]);
    Corners      wide  = corners_of(b, &s->wide[i]);
    Solid        wood = { 0 };
    Plane        wall = upright_plane(w->out, w->d), *planes;
    int          n;

    wall.curve = w->curve;
    if (exact.n < 3)
        return;
    blocks_lift(b->c, blocks, &exact, &wide, s->z0, s->z1, &wood);
    n = edge_planes(b, part, f, wall, &planes);
    solid_cuts(b->c, &wood, planes, n);
    for (int k = 0; k < s->all.n; k++)
        if (strips_overlap(s, i, k))
            cut_wedge(b, part, f, &wood, &s->all, &s->all.at[k]);
    for (int k = 0; k < wood.cells.n; k++)
        *PUSH(b->c, &out->cells) = wood.cells.at[k];
    for (int k = 0; k < wood.waste.n; k++)
        *PUSH(b->c, &out->waste) = wood.waste.at[k];
}

/* A chamfer or round over that follows the outline or cuts through. */
static bool follows_outline(const Feature *f) {
    return f->kind >= FEATURE_CHAMFER
        && (f->on[ARRIS_OUTLINE] || f->on[ARRIS_ARCH]
            || f->on[ARRIS_CUTOUT]);
}

/* What an earlier feature has lifted and put back is cut in space. */
static void cut_lifted(Build *b, const Part *part, const Feature *f,
                       const Strips *s, Solid *lifted) {
    bool meets = false;

    for (int i = 0; i < lifted->cells.n; i++)
        meets |= lifted->cells.at[i].box.min.z < s->z1
              && lifted->cells.at[i].box.max.z > s->z0;
    for (int i = 0; i < s->all.n && meets; i++)
        if (s->all.at[i].on)
            cut_wedge(b, part, f, lifted, &s->all, &s->all.at[i]);
}

void lift_arrises(Build *b, const Part *part, Blocks *blocks, Solid *solid,
                  int *next_curve) {
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        Strips         s;
        if (!follows_outline(f))
            continue;
        s = strips_along(b, part, f, next_curve);
        cut_lifted(b, part, f, &s, solid);
        for (int k = 0; k < s.all.n; k++)
            if (s.all.at[k].on)
                blocks_level(b->c, blocks, s.box[k],
                             f->side == SIDE_BACK ? s.z1 : s.z0);
        for (int k = 0; k < s.all.n; k++)
            if (s.all.at[k].on)
                cut_strip(b, part, f, &s, k, blocks, solid);
    }
}

void cut_arrises(Build *b, const Part *part, Solid *solid, int *next_curve) {
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        for (int k = ARRIS_NEAR; k <= ARRIS_RIGHT; k++) {
            Plane *planes, wall;
            int    n;
            if (f->kind < FEATURE_CHAMFER || !f->on[k])
                continue;
            wall = side_plane(part, k);
            if (f->kind == FEATURE_ROUND)
                wall.curve = (*next_curve)++;
            n = edge_planes(b, part, f, wall, &planes);
            solid_cuts(b->c, solid, planes, n);
        }
    }
}

/* ---- Where it begins in the face ---- */

/* Walls in a row that lose their arris. */
typedef struct { LIST(int) wall; bool closed; } Run;

/* Where two lines meet that run inside of two walls. */
static V2 inner_corner(const Facet *p, double by_p, const Facet *q,
                       double by_q) {
    double dp = p->d - by_p, dq = q->d - by_q;
    double det = v2_cross(p->out, q->out);

    if (fabs(det) < 1e-6)
        return v2_sub(p->b, v2_scale(p->out, by_p));
    return v2((dp * q->out.y - dq * p->out.y) / det,
              (p->out.x * dq - q->out.x * dp) / det);
}

static V2 run_end(const Facets *all, const Facet *w, double width, int way) {
    const Facet *next = &all->at[way > 0 ? w->after : w->before];

    if (way * v2_cross(w->along, next->along) > CORNER)
        return inner_corner(w, width, next, 0);
    return v2_sub(way > 0 ? w->b : w->a, v2_scale(w->out, width));
}

/* The corner of the inner line before wall k of the run. */
static V2 run_corner(const Facets *all, const Run *r, int k, double width) {
    const Facet *w = &all->at[r->wall.at[k % r->wall.n]];

    if (!r->closed && k == 0)
        return run_end(all, w, width, -1);
    if (!r->closed && k == r->wall.n)
        return run_end(all, &all->at[r->wall.at[k - 1]], width, 1);
    return inner_corner(&all->at[r->wall.at[(k + r->wall.n - 1)
                                            % r->wall.n]], width, w, width);
}

/* Near a corner that juts out short walls may have no part in the inner
 * line: those that would run backward are left out, one by one. */
static void leave_out_short(const Facets *all, Run *r, double width) {
    for (int k = 0; k < r->wall.n && r->wall.n > 2; k++) {
        const Facet *w = &all->at[r->wall.at[k]];
        V2 from = run_corner(all, r, k, width);
        V2 to   = run_corner(all, r, k + 1, width);
        if (v2_dot(v2_sub(to, from), w->along) >= 0)
            continue;
        r->wall.n--;
        memmove(r->wall.at + k, r->wall.at + k + 1,
                sizeof(int) * (size_t)(r->wall.n - k));
        k = -1;
    }
}

static Run run_from(Build *b, const Facets *all, int first, bool *done) {
    Run r = { 0 };
    int i = first;

    for (; all->at[i].on && !done[i]; i = all->at[i].after) {
        done[i] = true;
        *PUSH(b->c, &r.wall) = i;
    }
    r.closed = i == first;
    return r;
}

/* Open runs first, from their beginning; what is left is closed. */
static Rings inner_lines(Build *b, const Feature *f, const Facets *all) {
    Rings out  = { 0 };
    bool *done = NEW_N(b->c, bool, all->n + 1);

    for (int i = 0; i < 2 * all->n; i++) {
        int   k = i % all->n;
        Run   r;
        Ring *ring;
        if (done[k] || !all->at[k].on
                || (i < all->n && all->at[all->at[k].before].on))
            continue;
        r    = run_from(b, all, k, done);
        ring = PUSH(b->c, &out);
        leave_out_short(all, &r, f->width.real);
        for (int j = 0; j <= r.wall.n; j++)
            *PUSH(b->c, ring) = run_corner(all, &r, j, f->width.real);
    }
    return out;
}

/* ---- Does it fit? ---- */

/* Is what two walls that face each other lose more than there is between
 * them? `mid`: as far inside the first as it loses. */
static bool is_narrow(const Facet *p, const Facet *q, V2 mid, double width) {
    double left = distance(mid, q->a, q->b);
    bool   wood = v2_dot(q->out, mid) < q->d;   // before q, not beyond it

    return q->on && v2_dot(p->out, q->out) <= FACING
        && left <= width - (wood ? SAGITTA_MM : 0);
}

/* Corners of facets lie on the true curve. */
static double apart(const Facet *p, const Facet *q) {
    if (p->curve && q->curve)
        return fmax(v2_len(v2_sub(p->a, q->a)), v2_len(v2_sub(p->a, q->b)));
    return distance(p->a, q->a, q->b);
}

static void report_narrow(Build *b, const Feature *f, const Facet *p,
                          const Facet *q) {

    report(b->c, f->loc, FEATURE_BAD,
           "two edges with a %s of %.*s are only %.*s apart near %.*s, "
           "%.*s", feature_name(f), STR_ARG(size_text(b, f->width)),
           STR_ARG(mm_text(b, apart(p, q))), STR_ARG(mm_text(b, p->a.x)),
           STR_ARG(mm_text(b, p->a.y)));
    hint(b->c, "it takes less than half of the wood between them");
}

/* Sides of a corner with less than a right angle take from each other near
 * it; no neck is there. `p` comes before `q`. */
static bool share_corner(const Facets *all, int p, int q, double width) {
    double way = 0;
    bool   sharp = false;

    for (int i = p; i != q && way < 6 * width; i = all->at[i].after) {
        const Facet *w = &all->at[i], *after = &all->at[w->after];
        if (!after->on)
            return false;
        if (i != p)
            way += v2_len(v2_sub(w->b, w->a));
        sharp |= v2_dot(w->along, after->along) < 0;
        if (w->after == q)
            return sharp;
    }
    return false;
}

static bool necks_are_wide(Build *b, const Feature *f, const Facets *all) {
    for (int i = 0; i < all->n; i++) {
        const Facet *p = &all->at[i], *found = NULL;
        V2 mid = v2_sub(v2_scale(v2_add(p->a, p->b), 0.5),
                        v2_scale(p->out, f->width.real));
        for (int k = 0; k < all->n && p->on; k++) {
            const Facet *q = &all->at[k];
            if (is_narrow(p, q, mid, f->width.real)
                && !share_corner(all, i, k, f->width.real)
                && !share_corner(all, k, i, f->width.real)
                && (!found || v2_dot(p->out, q->out)
                                  < v2_dot(p->out, found->out)))
                found = q;
        }
        if (found) {
            report_narrow(b, f, p, found);
            return false;
        }
    }
    return true;
}

static bool walls_are_square(Build *b, const Part *part, const Feature *f) {
    for (int i = 0; i < 2; i++) {
        const EndCut *cut = part->edges[i].any ? &part->edges[i]
                                               : &part->ends[i];
        if (!cut->any || cut->bevel.real == 0)
            continue;
        report(b->c, f->loc, FEATURE_BAD,
               "this %s follows the outline, and a bevel of %g deg makes "
               "the outlines of the two faces different", feature_name(f),
               cut->bevel.real);
        hint(b->c, "name the straight edges: \"near\", \"far\", \"left\", "
             "\"right\"");
        return false;
    }
    return true;
}

static bool any_on(const Facets *all) {
    for (int i = 0; i < all->n; i++)
        if (all->at[i].on)
            return true;
    return false;
}

static bool arris_fits(Build *b, const Part *part, Feature *f) {
    int   curve = 1;
    Facets all;

    if (!walls_are_square(b, part, f))
        return false;
    all = walls_along(b, part, f, &curve);
    if (!any_on(&all)) {
        report(b->c, f->loc, FEATURE_BAD,
               "part %.*s has no edge for this %s", STR_ARG(part->letter),
               feature_name(f));
        hint(b->c, "\"arch\" and \"cutout\" are cuts through the part; "
             "\"outline\" is all around it");
        return false;
    }
    f->inner = inner_lines(b, f, &all);
    return necks_are_wide(b, f, &all);
}

void check_arrises(Build *b, Part *part) {
    for (int i = 0; i < part->features.n; i++) {
        Feature *f = &part->features.at[i];
        if (follows_outline(f) && !arris_fits(b, part, f))
            for (int k = ARRIS_OUTLINE; k < ARRISES; k++)
                f->on[k] = false;
    }
}
