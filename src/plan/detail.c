/* detail -- a small joint of a step, drawn larger beside the drawing.
 *
 *      .-----.
 *     |   _|__|      the same view, the new piece just before it lands,
 *     |  |____|      what is far from the joint left out
 *      '--+--'
 *     ----o----      a circle in the drawing shows where it is
 *
 * A joint is small if, on a page, the new piece is thinner than a pencil's
 * stroke or two, or if one of several faces in which the pieces meet (a
 * rabbet, a groove) is. The smallest one that the reader would see well is
 * taken; one detail a step is enough to show how like joints are made.
 */
#include "plan/view_internal.h"

#include <math.h>

#define PAGE_W     165.0   // mm, as large as drawings become
#define PAGE_H     125.0
#define SMALL_MM   4.0     // on the page: a piece's second size
#define FACE_MM    4.0     // the narrowest of several faces of a joint
#define FLAT_MOST  4       // more faces are facets of a round hole
#define WANTED_MM  9.0     // in the detail
#define TIMES_MOST 5
#define DISC_MM    22.0    // radius of the detail on the page
#define OPEN       0.45    // of that: the new piece before it lands
#define SEEN_NEW   0.08    // of the disc: so much of the new piece shows
#define SEEN_MOST  0.70    // more would show nothing else
#define SEEN_LINE  0.3     // of the line from the piece to where it lands
#define TELLS      0.2    // of the disc's radius: so near to where it lands
                           // there is an edge of what stands
#define MARKS_IN   0.95    // of the disc: crosses farther out are left out
#define SLACK_MM   0.02

/* ---- How small ---- */

static double scale_on_page(Box2 box) {
    return fmin(PAGE_W / fmax(box.max.x - box.min.x, 1),
                PAGE_H / fmax(box.max.y - box.min.y, 1));
}

/* The middle one of a part's three sizes. */
static double second_size(const Part *part) {
    Frame f    = FRAME_WORLD;
    Box3  box  = solid_box(part->solid, &f);
    V3    size = v3_sub(box.max, box.min);

    return fmax(fmin(size.x, size.y), fmin(fmax(size.x, size.y), size.z));
}

/* Extent of a ring along its narrowest of two axes of its plane. */
static double narrow_of(const TouchPatch *t) {
    Box2 box = box2_empty();

    for (int i = 0; i < t->where.parts.n; i++) {
        const Ring *r = &t->where.parts.at[i].at[0];
        for (int k = 0; k < r->n; k++)
            box2_add(&box, r->at[k]);
    }
    return fmin(box.max.x - box.min.x, box.max.y - box.min.y);
}

/* ---- Joints ---- */

typedef struct { int lot, piece; double small; V3 at; } Joint;
typedef LIST(Joint) Joints;

/* The corner of the joint that is nearest to the reader. */
static V3 near_corner(const TouchPatch *t, V3 toward) {
    V3     best = { 0, 0, 0 };
    double most = -INFINITY;

    for (int i = 0; i < t->where.parts.n; i++) {
        const Ring *r = &t->where.parts.at[i].at[0];
        for (int k = 0; k < r->n; k++) {
            V3 at = v3_add(v3_scale(t->n, t->d),
                           v3_add(v3_scale(t->u, r->at[k].x),
                                  v3_scale(t->v, r->at[k].y)));
            if (v3_dot(at, toward) > most) {
                most = v3_dot(at, toward);
                best = at;
            }
        }
    }
    return best;
}

/* A quick test: is the piece thin, or does it meet the other in several
 * planes? */
static bool may_be_small(const Scene *s, int contact, int piece,
                         double scale) {
    const Part *part = &s->m->parts.at[s->m->pieces.at[piece].part];

    return s->contacts.at[contact].normals > 1
        || second_size(part) * scale <= SMALL_MM;
}

/* Adds the joint of two pieces if it is small at `scale`. */
static void add_joint(Ctx *c, const Scene *s, int k, int piece, int other,
                      V3 toward, double scale, Joints *joints) {
    const Model *m = s->m;
    const Piece *p = &m->pieces.at[piece], *q = &m->pieces.at[other];
    double second = second_size(&m->parts.at[p->part]) * scale;
    double narrow = INFINITY;
    TouchPatches all = solid_patches(c, m->parts.at[p->part].solid,
                                     &p->frame, m->parts.at[q->part].solid,
                                     &q->frame, SLACK_MM);

    if (all.n == 0)
        return;
    for (int i = 0; i < all.n && all.n > 1 && all.n <= FLAT_MOST; i++)
        narrow = fmin(narrow, narrow_of(&all.at[i]) * scale);
    if (fmin(second / SMALL_MM, narrow / FACE_MM) > 1)
        return;
    *PUSH(c, joints) = (Joint){ k, piece, fmin(second, narrow),
                                near_corner(&all.at[0], toward) };
}

/* Smallest first; of equals the nearest to the reader. */
static int by_size(const void *a, const void *b, const void *with) {
    const Joint *p = a, *q = b;
    const V3    *toward = with;
    double       d = floor(p->small * 100) - floor(q->small * 100);

    if (d != 0)
        return d < 0 ? -1 : 1;
    d = v3_dot(q->at, *toward) - v3_dot(p->at, *toward);
    return d < 0 ? -1 : d > 0;
}

static Joints small_joints(Ctx *c, Scene *s, V3 toward, double scale) {
    Joints joints = { 0 };
    int    mine, other;

    for (int i = 0; i < s->order.n; i++)
        s->lots.at[s->order.at[i]].out = true;
    for (int i = 0; i < s->order.n; i++) {
        int k = s->order.at[i];
        for (int t = 0; t < s->contacts.n; t++)
            if (scene_contact(s, t, k, &mine, &other)
                && may_be_small(s, t, mine, scale))
                add_joint(c, s, k, mine, other, toward, scale, &joints);
        s->lots.at[k].out = false;
    }
    list_sort(c, joints.at, joints.n, sizeof *joints.at, by_size, &toward);
    return joints;
}

/* ---- Clipped to a disc ---- */

#define DISC_SIDES 72

static V2 disc_corner(V2 mid, double r, int i) {
    double a = 2 * 3.14159265358979323846 * i / DISC_SIDES;

    return v2(mid.x + r * cos(a), mid.y + r * sin(a));
}

/* The ring on the left of the line from a to b (Sutherland & Hodgman
 * 1974, from memory). */
static Ring ring_left_of(Ctx *c, Ring ring, V2 a, V2 b) {
    Ring out = { 0 };
    V2   by  = v2_sub(b, a);

    for (int i = 0; i < ring.n; i++) {
        V2     p = ring.at[i], q = ring.at[(i + 1) % ring.n];
        double dp = by.x * (p.y - a.y) - by.y * (p.x - a.x);
        double dq = by.x * (q.y - a.y) - by.y * (q.x - a.x);
        if (dp >= 0)
            *PUSH(c, &out) = p;
        if ((dp >= 0) != (dq >= 0))
            *PUSH(c, &out) = v2_add(p, v2_scale(v2_sub(q, p),
                                                dp / (dp - dq)));
    }
    return out;
}

static Ring ring_in_disc(Ctx *c, Ring ring, V2 mid, double r) {
    for (int i = 0; i < DISC_SIDES && ring.n; i++)
        ring = ring_left_of(c, ring, disc_corner(mid, r, i),
                            disc_corner(mid, r, i + 1));
    return ring;
}

static Polygons area_in_disc(Ctx *c, Polygons area, V2 mid, double r) {
    Polygons out = { 0 };

    for (int i = 0; i < area.parts.n; i++) {
        Rings rings = { 0 };
        for (int k = 0; k < area.parts.at[i].n; k++) {
            Ring in = ring_in_disc(c, area.parts.at[i].at[k], mid, r);
            if (in.n >= 3)
                *PUSH(c, &rings) = in;
        }
        if (rings.n)
            *PUSH(c, &out.parts) = rings;
    }
    return out;
}

static bool line_in_disc(Line2 *l, V2 mid, double r) {
    V2     by = v2_sub(l->b, l->a), off = v2_sub(l->a, mid);
    double a  = v2_dot(by, by), b = v2_dot(by, off);
    double d  = b * b - a * (v2_dot(off, off) - r * r), from, to;
    V2     start = l->a;

    if (a <= 0 || d <= 0)
        return false;
    from = fmax(0, (-b - sqrt(d)) / a);
    to   = fmin(1, (-b + sqrt(d)) / a);
    if (from >= to)
        return false;
    l->a = v2_add(start, v2_scale(by, from));
    l->b = v2_add(start, v2_scale(by, to));
    return true;
}

/* The share of the disc that shows filled bodies. */
static double clip_picture(Ctx *c, Picture *p, V2 mid, double r) {
    int    n = 0;
    double filled = 0;

    for (int i = 0; i < p->lines.n; i++) {
        Line2 l = p->lines.at[i];
        if (line_in_disc(&l, mid, r))
            p->lines.at[n++] = l;
    }
    p->lines.n = n;
    n = 0;
    for (int i = 0; i < p->patches.n; i++) {
        Patch patch = p->patches.at[i];
        patch.area = area_in_disc(c, patch.area, mid, r);
        filled += polygons_area(patch.area);
        if (patch.area.parts.n)
            p->patches.at[n++] = patch;
    }
    p->patches.n = n;
    p->box = (Box2){ v2(mid.x - r, mid.y - r), v2(mid.x + r, mid.y + r) };
    return filled / (3.14159265358979323846 * r * r);
}

/* ---- The drawing ---- */

/* What stands when the joint's lot goes in, near to it. */
static Bodies bodies_near(Ctx *c, const Scene *s, const Joint *j, V3 off,
                          double reach) {
    const Model *m      = s->m;
    Bodies       bodies = { 0 };
    V3           half   = v3_scale(v3(1, 1, 1), reach);
    Box3         near   = { v3_sub(j->at, half), v3_add(j->at, half) };

    for (int i = 0; i < m->pieces.n; i++) {
        const Piece *p = &m->pieces.at[i];
        bool  mine = s->owner[i] == j->lot;
        Body *b;
        if ((!mine && !scene_standing(s, i)) || !box3_touch(p->box, near, 0))
            continue;
        b  = PUSH(c, &bodies);
        *b = (Body){ .solid = m->parts.at[p->part].solid, .frame = p->frame,
                     .id = i, .fill = mine };
        if (mine)
            b->frame.o = v3_add(p->frame.o, off);
    }
    return bodies;
}

/* The share of the guide line that is seen. */
static double line_seen(const View *d, const Extra *line) {
    double all = v2_len(v2_sub(camera_project(&d->camera, line->b, NULL),
                               camera_project(&d->camera, line->a, NULL)));
    double seen = 0;

    for (int i = 0; i < d->picture.lines.n; i++) {
        const Line2 *l = &d->picture.lines.at[i];
        if (l->kind == LINE_EXTRA && l->id == line->id)
            seen += v2_len(v2_sub(l->b, l->a));
    }
    return all > 0 ? seen / all : 0;
}

/* Distance of the nearest line of what stands from where the joint's piece
 * lands: on a bare face a larger drawing tells no more than the other. */
static double edge_near(const Scene *s, const Joint *j, const View *d) {
    V2     at    = camera_project(&d->camera, j->at, NULL);
    double least = INFINITY;

    for (int i = 0; i < d->picture.lines.n; i++) {
        const Line2 *l = &d->picture.lines.at[i];
        V2     by = v2_sub(l->b, l->a);
        double k  = v2_dot(by, by);
        if (l->id >= s->m->pieces.n || l->kind == LINE_EXTRA
            || s->owner[l->id] == j->lot)
            continue;
        k = k > 0 ? fmin(fmax(v2_dot(v2_sub(at, l->a), by) / k, 0), 1) : 0;
        least = fmin(least, v2_len(v2_sub(at, v2_add(l->a,
                                                     v2_scale(by, k)))));
    }
    return least;
}

/* The step as the detail shows it: only the joint's lot is drawn apart, by
 * `off`, and it and what comes later has not gone in. */
static Scene scene_near(Ctx *c, const Scene *s, const Joint *j, V3 off,
                        double reach) {
    Scene near = *s;

    near.size    = reach;
    near.lots.at = NEW_N(c, Lot, s->lots.n + 1);
    memcpy(near.lots.at, s->lots.at, sizeof(Lot) * (size_t)s->lots.n);
    for (int i = 0; i < near.lots.n; i++)
        near.lots.at[i].off = v3(0, 0, 0);
    near.lots.at[j->lot].off = off;
    for (int i = s->order.n - 1; i >= 0 && !near.lots.at[j->lot].out; i--)
        near.lots.at[s->order.at[i]].out = true;
    return near;
}

/* The pieces that are drawn and whose nails and screws are: those of the
 * joint's lot, and those that hold it. By piece. */
static bool *nailed(Ctx *c, const Scene *s, const Joint *j,
                    const Bodies *b) {
    const Model *m    = s->m;
    bool        *here = NEW_N(c, bool, m->pieces.n + 1);
    bool        *is   = NEW_N(c, bool, m->pieces.n + 1);

    for (int i = 0; i < b->n; i++)
        here[b->at[i].id] = true;
    for (int i = 0; i < m->fasteners.n; i++) {
        const Fastener *f = &m->fasteners.at[i];
        if (here[f->from] && here[f->into]
            && (s->owner[f->from] == j->lot || s->owner[f->into] == j->lot))
            is[f->from] = true;
    }
    return is;
}

/* Leaves those of which the disc shows something. */
static void driven_in_disc(Ctx *c, const Model *m, View *d, V2 mid,
                           double r) {
    bool *shown = NEW_N(c, bool, m->fasteners.n + 1);
    int   n     = 0;

    for (int i = 0; i < d->picture.lines.n; i++)
        if (d->picture.lines.at[i].kind == LINE_STROKE)
            shown[d->picture.lines.at[i].id - m->pieces.n] = true;
    for (int i = 0; i < d->driven.n; i++) {
        Driven one = d->driven.at[i];
        V2     at  = camera_project(&d->camera, one.at, NULL);
        shown[one.fastener] &= !one.hidden
            && (!one.mark || v2_len(v2_sub(at, mid)) < MARKS_IN * r);
        if (shown[one.fastener])
            d->driven.at[n++] = one;
    }
    d->driven.n = n;
    n = 0;
    for (int i = 0; i < d->picture.lines.n; i++) {
        Line2 line = d->picture.lines.at[i];
        if (line.id < m->pieces.n || shown[line.id - m->pieces.n])
            d->picture.lines.at[n++] = line;
    }
    d->picture.lines.n = n;
}

/* NULL: the disc would show too little. `radius`: mm of the world. */
static const View *draw_detail(Ctx *c, const Scene *s, const Joint *j,
                               const View *v, double radius) {
    View  *d     = NEW(c, View);
    V3     way   = s->lots.at[j->lot].dir;
    V3     off   = v3_scale(way, fmin(v3_len(s->lots.at[j->lot].off),
                                      OPEN * radius));
    Extra  guide = { j->at, v3_add(j->at, off), j->piece, false };
    Scene  near  = scene_near(c, s, j, off, radius);
    Extras all   = { 0 };
    Bodies bodies = bodies_near(c, &near, j, off, 2 * radius);
    double filled, seen;
    V2     mid;

    d->camera = v->camera;
    mid = camera_project(&d->camera, v3_add(j->at, v3_scale(off, 0.5)),
                         NULL);
    *PUSH(c, &all) = guide;
    scene_driven(c, &near, nailed(c, s, j, &bodies), d->camera.toward, &all,
                 d);
    d->picture = picture_draw(c, bodies.at, bodies.n, all.at, all.n,
                              &d->camera, false);
    view_driven(c, s->m, d);
    seen   = line_seen(d, &guide);
    filled = clip_picture(c, &d->picture, mid, radius);
    driven_in_disc(c, s->m, d, mid, radius);
    for (int i = 0; i < v->fresh.n; i++)
        if (s->owner[v->fresh.at[i]] == j->lot)
            *PUSH(c, &d->fresh) = v->fresh.at[i];
    return seen < SEEN_LINE || filled < SEEN_NEW || filled > SEEN_MOST
        || edge_near(s, j, d) > TELLS * radius ? NULL : d;
}

#define TRIES 12

void view_detail(Ctx *c, Scene *s, View *v) {
    double scale  = scale_on_page(v->picture.box);
    Joints joints = { 0 };

    if (!s->courses)   // in these each covers the next one's joints
        joints = small_joints(c, s, v->camera.toward, scale);

    for (int i = 0; i < joints.n && i < TRIES && !v->detail; i++) {
        const Joint *j = &joints.at[i];
        int times = (int)fmin(TIMES_MOST,
                              fmax(2, ceil(WANTED_MM / j->small)));
        v->detail_radius = DISC_MM / (times * scale);
        v->detail_times  = times;
        v->detail_at     = camera_project(&v->camera, j->at, NULL);
        v->detail        = draw_detail(c, s, j, v, v->detail_radius);
    }
}
