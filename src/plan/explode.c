/* explode -- how far apart the new pieces of a step are drawn.
 *
 *     lid                    A lot moves along its way in, just far
 *      :                      enough to be seen apart. One that sits on
 *     shelf                  another new lot moves that lot's way as
 *      :                     well (the explosion graph of Li, Agrawala,
 *     floor (stays)          Curless & Salesin 2008).
 */
#include "plan/view_internal.h"

#include <math.h>

#define LEAST_MM    25.0
#define LEAST_SHARE 0.08   // least, of the drawing's diagonal
#define LEAST_OWN   0.6    // but no more of the lot's own diagonal
#define GAP_SHARE   0.35   // of the lot's extent along its way
#define GAP_MOST    0.12   // of the drawing's diagonal
#define CLEAR_SHARE 0.35   // of the drawing's diagonal: to come clear
#define OPENS       0.3    // cosine of a joint's normal and a way: it opens
#define IN_CHAIN    0.5    // of the distance, from one course to the next
#define EDGE_ON     0.2    // cosine of a slope and the reader's sight: edge on
#define SEEN_WELL   0.35   // more of it
#define SAME_WAY    0.99   // cosine between two ways that count as one

/* ---- Distances ---- */

static double longest_extent(const Scene *s, int k, V3 dir) {
    const Lot *b   = &s->lots.at[k];
    double     ext = 0, lo, hi;

    for (int i = 0; i < b->pieces.n; i++) {
        piece_span(s->m, b->pieces.at[i], dir, &lo, &hi);
        ext = fmax(ext, hi - lo);
    }
    return ext;
}

static double lot_diagonal(const Scene *s, int k) {
    const Lot *b   = &s->lots.at[k];
    Box3       box = box3_empty();

    for (int i = 0; i < b->pieces.n; i++) {
        box3_add(&box, s->m->pieces.at[b->pieces.at[i]].box.min);
        box3_add(&box, s->m->pieces.at[b->pieces.at[i]].box.max);
    }
    return v3_len(v3_sub(box.max, box.min));
}

/* Clear of what it is let into and a gap more, but no farther than its own
 * extent, or, where it sits deep between others (a thin shelf let down
 * between tall walls), than a good part of the drawing. Whole millimeters,
 * so that like pieces get like distances. */
static double distance(const Scene *s, int k) {
    V3     dir     = s->lots.at[k].dir;
    double ext     = longest_extent(s, k, dir);
    double engaged = scene_enclosed(s, k, dir);
    double gap     = fmin(GAP_SHARE * ext, GAP_MOST * s->size);
    double least   = fmax(LEAST_MM, fmin(LEAST_SHARE * s->size,
                                         LEAST_OWN * lot_diagonal(s, k)));
    double most    = fmax(ext, fmin(engaged + least,
                                    CLEAR_SHARE * s->size));
    double want    = fmin(gap + engaged, most);

    if (s->courses && s->lots.at[k].layer > 0)
        least *= IN_CHAIN;
    return ceil(fmax(want, least) - 1e-6);
}

static bool is_touching(const Scene *s, int k, int other_lot) {
    int mine, other;

    for (int i = 0; i < s->contacts.n; i++)
        if (scene_contact(s, i, k, &mine, &other)
            && s->owner[other] == other_lot)
            return true;
    return false;
}

/* True if two lots are of one part and stand alike. */
static bool is_alike(const Scene *s, int k, int j) {
    const Piece *p = &s->m->pieces.at[s->lots.at[k].pieces.at[0]];
    const Piece *q = &s->m->pieces.at[s->lots.at[j].pieces.at[0]];

    return p->part == q->part
        && v3_len(v3_sub(p->frame.x, q->frame.x)) < 1e-6
        && v3_len(v3_sub(p->frame.z, q->frame.z)) < 1e-6;
}

/* True if a joint of the two lots opens when one moves along `dir`. */
static bool opens_along(const Scene *s, int k, int other_lot, V3 dir) {
    int mine, other;

    for (int i = 0; i < s->contacts.n; i++)
        if (scene_contact(s, i, k, &mine, &other)
            && s->owner[other] == other_lot
            && (v3_len(s->apart[i]) < 0.5
                || fabs(v3_dot(s->apart[i], dir)) > OPENS))
            return true;
    return false;
}

/* True if the lot touches something that stays where it is. */
static bool touches_rest(const Scene *s, int k) {
    if (is_touching(s, k, PIECE_THERE))
        return true;
    for (int j = 0; j < s->lots.n; j++)
        if (s->lots.at[j].base && is_touching(s, k, j))
            return true;
    return false;
}

/* True if lot `k` goes in next to lot `j`: in the same course, or another of
 * the same part beside which it comes to lie. */
static bool is_beside(const Scene *s, int k, int j) {
    const Lot *a = &s->lots.at[k], *b = &s->lots.at[j];

    return a->layer == b->layer
        && (s->courses || (is_alike(s, k, j)
                           && touches_rest(s, k) && touches_rest(s, j)
                           && !opens_along(s, k, j, a->dir)));
}

/* How far the lots that go in before `k` on the same way, and that it
 * sits on or lies behind, have moved along it. */
static double carried(Ctx *c, const Scene *s, int k, int n_before) {
    V3     dir  = s->lots.at[k].dir;
    V3     back = v3_scale(dir, -1);
    double far  = 0;

    for (int i = 0; i < n_before; i++) {
        int          j = s->order.at[i];
        const Lot *b = &s->lots.at[j];
        if (v3_dot(b->dir, dir) > SAME_WAY && !is_beside(s, k, j)
            && (is_touching(s, k, j)
                || scene_blocker(c, s, k, back, j) >= 0))
            far = fmax(far, v3_dot(b->off, dir));
    }
    return far;
}

/* What it rides on: the newest earlier lot it touches, if it touches
 * nothing that stays. */
static V3 ridden(const Scene *s, int k, int n_before) {
    V3 none = { 0, 0, 0 };

    if (touches_rest(s, k))
        return none;
    for (int i = n_before - 1; i >= 0; i--)
        if (is_touching(s, k, s->order.at[i]))
            return s->lots.at[s->order.at[i]].off;
    return none;
}

static Box3 moved(Box3 b, V3 off) {
    return (Box3){ v3_add(b.min, off), v3_add(b.max, off) };
}

/* True if two displaced lots that move different ways would be drawn
 * into one another (by their boxes). */
static bool collides(const Scene *s, int k, int j) {
    const Lot *a = &s->lots.at[k], *b = &s->lots.at[j];
    const Model *m = s->m;

    for (int p = 0; p < a->pieces.n; p++)
        for (int q = 0; q < b->pieces.n; q++) {
            Box3 x = m->pieces.at[a->pieces.at[p]].box;
            Box3 y = m->pieces.at[b->pieces.at[q]].box;
            if (!box3_touch(x, y, -0.1)
                && box3_touch(moved(x, a->off), moved(y, b->off), -0.1))
                return true;
        }
    return false;
}

static bool collides_any(const Scene *s, int k, int n_before) {
    for (int i = 0; i < n_before; i++)
        if (collides(s, k, s->order.at[i]))
            return true;
    return false;
}

/* A lot before the nth that goes the same way in the same course, or -1. */
static int neighbor(const Scene *s, int nth) {
    int k = s->order.at[nth];

    for (int i = 0; i < nth; i++) {
        int j = s->order.at[i];
        if (is_beside(s, k, j)
            && v3_dot(s->lots.at[j].dir, s->lots.at[k].dir) > SAME_WAY)
            return j;
    }
    return -1;
}

static void place(Ctx *c, Scene *s, int i) {
    int    k    = s->order.at[i], beside = neighbor(s, i);
    Lot *b    = &s->lots.at[k];
    V3     ride = ridden(s, k, i);
    double far  = distance(s, k);
    double most = far + longest_extent(s, k, b->dir);
    double start = fmax(carried(c, s, k, i) - v3_dot(ride, b->dir), 0);

    if (beside >= 0) {
        b->off = s->lots.at[beside].off;
        return;
    }
    do {
        b->off = v3_add(ride, v3_scale(b->dir, start + far));
        far += ceil(LEAST_MM);
    } while (far <= most && collides_any(s, k, i));
}

/* How much of the show face of a lot the reader sees. */
static double faces_reader(const Scene *s, int k) {
    const Piece *p = &s->m->pieces.at[s->lots.at[k].pieces.at[0]];

    return v3_dot(p->frame.z, s->toward);
}

/* Courses on a slope that is seen edge on would be a stack of thin lines.
 * Where the same course on the other slope is seen well, they stay where they
 * belong. */
static void rest_courses(Scene *s) {
    for (int i = 0; i < s->order.n; i++) {
        int  k = s->order.at[i];
        Lot *b = &s->lots.at[k];
        for (int n = 0; n < s->order.n && !b->rests; n++) {
            int j = s->order.at[n];
            b->rests = s->lots.at[j].layer == b->layer
                && s->m->pieces.at[s->lots.at[j].pieces.at[0]].part
                   == s->m->pieces.at[b->pieces.at[0]].part
                && faces_reader(s, k) < EDGE_ON
                && faces_reader(s, j) > SEEN_WELL;
        }
        if (b->rests)
            b->off = v3(0, 0, 0);
    }
}

/* The lots are put back one by one, so that each is measured against
 * those that really are there before it. */
void scene_spread(Ctx *c, Scene *s) {
    for (int i = 0; i < s->order.n; i++)
        s->lots.at[s->order.at[i]].out = true;
    for (int i = 0; i < s->order.n; i++) {
        place(c, s, i);
        s->lots.at[s->order.at[i]].out = false;
    }
    if (s->courses)
        rest_courses(s);
}
