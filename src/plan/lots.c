/* lots -- which new pieces of a step move as one.
 *
 * Pieces of one part that stand alike, are held from the same side and lie
 * in the same layer make a lot: four posts of two ends are two lots, six
 * courses of a roof are six. Layers are counted from the lowest: a piece
 * lies one above those whose top faces it rests on.
 *
 *          ____===        course 2: layer 1
 *      ____===            course 1: layer 0
 *     ===========         what is there
 *
 * (The drawing is then a chain: first what goes in first.)
 */
#include "plan/view_internal.h"

#include <math.h>

#define RESTS    0.5     // cosine between a face's normal and the thickness

/* ---- Layers ---- */

/* True if piece `a` of the contact rests on the other: it lies on its top,
 * as its own thickness runs. */
static bool rests_on(const Model *m, const Contact *t, int a) {
    V3   up    = m->pieces.at[a].frame.z;
    bool rests = false;

    for (int i = 0; i < t->normals; i++) {
        double k = v3_dot(t->normal[i], up) * (a == t->a ? 1 : -1);
        if (k < -RESTS)
            return false;
        rests |= k > RESTS;
    }
    return rests;
}

static bool same_axes(const Frame *a, const Frame *b) {
    return v3_len(v3_sub(a->x, b->x)) < 1e-6
        && v3_len(v3_sub(a->y, b->y)) < 1e-6
        && v3_len(v3_sub(a->z, b->z)) < 1e-6;
}

/* Raises pieces over those that they rest on; true: some were raised. */
static bool raise_layers(const Model *m, const bool *fresh, int *layer,
                         int most) {
    bool more = false;

    for (int i = 0; i < m->contacts.n; i++) {
        const Contact *t = &m->contacts.at[i];
        const int      pair[] = { t->a, t->b };
        if (!fresh[t->a] || !fresh[t->b]
            || !same_axes(&m->pieces.at[t->a].frame,
                          &m->pieces.at[t->b].frame))
            continue;
        for (int k = 0; k < 2; k++) {
            int up = pair[k], low = pair[1 - k];
            if (layer[up] > layer[low] || layer[low] >= most
                || !rests_on(m, t, up))
                continue;
            layer[up] = layer[low] + 1;
            more = true;
        }
    }
    return more;
}

/* ---- Sides ---- */

/* True if the two are in one course, beside each other. */
static bool in_course(const Model *m, const bool *fresh, const int *layer,
                      int a, int b) {
    return fresh[a] && fresh[b] && layer[a] == layer[b]
        && same_axes(&m->pieces.at[a].frame, &m->pieces.at[b].frame);
}

static void add_side(const Contact *t, int piece, double *most, V3 *side) {
    if (t->area <= most[piece] * 1.001)
        return;
    most[piece] = t->area;
    side[piece] = v3_scale(t->normal[0], t->a == piece ? 1 : -1);
}

/* By piece: the normal of the largest plane in which it lies on one of
 * another part, out of that one; zero: none is known. `layer`: NULL if there
 * are no courses. */
static V3 *held_from(Ctx *c, const Scene *s, const bool *fresh,
                     const int *layer) {
    const Model *m    = s->m;
    V3          *side = NEW_N(c, V3, m->pieces.n + 1);
    double      *most = NEW_N(c, double, m->pieces.n + 1);

    for (int i = 0; i < m->contacts.n; i++) {
        const Contact *t = &m->contacts.at[i];
        bool a = fresh[t->a], b = fresh[t->b];
        if (t->normals != 1
            || m->pieces.at[t->a].part == m->pieces.at[t->b].part
            || (layer && in_course(m, fresh, layer, t->a, t->b)))
            continue;
        if (a && (b || s->owner[t->b] != PIECE_AWAY))
            add_side(t, t->a, most, side);
        if (b && (a || s->owner[t->a] != PIECE_AWAY))
            add_side(t, t->b, most, side);
    }
    return side;
}

/* ---- Lots ---- */

static void add_to(Ctx *c, Scene *s, int lot, int piece) {
    *PUSH(c, &s->lots.at[lot].pieces) = piece;
    s->owner[piece] = lot;
}

static void add_piece(Ctx *c, Scene *s, int piece, int layer, V3 side) {
    const Piece *p = &s->m->pieces.at[piece];
    Lot         *lot;

    for (int k = 0; k < s->lots.n; k++) {
        const Piece *q = &s->m->pieces.at[s->lots.at[k].pieces.at[0]];
        lot = &s->lots.at[k];
        if (p->part != q->part || !same_axes(&p->frame, &q->frame))
            continue;
        s->courses |= lot->layer != layer;
        if (lot->layer == layer && v3_dot(lot->side, side) > -RESTS) {
            add_to(c, s, k, piece);
            return;
        }
    }
    lot        = PUSH(c, &s->lots);
    lot->layer = layer;
    lot->side  = side;
    add_to(c, s, s->lots.n - 1, piece);
}

void lots_make(Ctx *c, Scene *s) {
    const Model *m     = s->m;
    bool        *fresh = NEW_N(c, bool, m->pieces.n + 1);
    int         *layer = NEW_N(c, int, m->pieces.n + 1);
    int          n     = 0;
    bool         courses = false;
    V3          *side;

    for (int i = 0; i < s->step->add.n; i++) {
        int piece = s->step->add.at[i];
        if (s->owner[piece] == PIECE_AWAY
            && m->parts.at[m->pieces.at[piece].part].solid) {
            fresh[piece] = true;
            n++;
        }
    }
    while (raise_layers(m, fresh, layer, n))
        continue;
    for (int i = 0; i < m->pieces.n; i++)
        courses |= layer[i] > 0;
    s->copies = bunches_alike(c, s, fresh);
    side = held_from(c, s, fresh, courses ? layer : NULL);
    for (int i = 0; i < s->step->add.n; i++) {
        int piece = s->step->add.at[i];
        if (fresh[piece] && s->owner[piece] == PIECE_AWAY)
            add_piece(c, s, piece, layer[piece], s->step->has_comes
                      ? v3(0, 0, 0) : side[piece]);
    }
}

void lot_split(Ctx *c, Scene *s, int k) {
    Lot old = s->lots.at[k];

    s->lots.at[k].pieces.n = 1;
    for (int i = 1; i < old.pieces.n; i++) {
        Lot *lot = PUSH(c, &s->lots);
        lot->layer = old.layer;
        lot->side  = old.side;
        add_to(c, s, s->lots.n - 1, old.pieces.at[i]);
    }
}
