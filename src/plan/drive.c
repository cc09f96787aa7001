/* drive -- nails and screws in the drawing of a step.
 *
 *      |----->          Pulled out along its axis until the tip is clear
 *      :                of the face, a thin line from there to where it
 *      x  <- hole       goes in: a reader sees what is driven, which way
 *                       and where.
 *
 * Where there are many, or where one is seen almost end on, a small cross
 * marks the place on the face instead; one of many is still drawn out, so
 * that the crosses tell what they stand for. What is hidden is drawn dashed,
 * but for crosses. Places are those of Model.fasteners, moved with the piece
 * that has the heads.
 */
#include "plan/view_internal.h"

#include <math.h>

#define MANY      12     // more in a step are marked with crosses
#define GAP_LEAST 6.0    // mm from tip to face,
#define GAP_SMALL 0.10   // in a detail, of its radius;
#define GAP_SHARE 0.03   // or of the drawing's diagonal
#define END_ON    0.30   // seen shorter than this: marked
#define SEEN_PART 0.60   // less of one is seen: left out
#define MARK_MM   1.0    // stroke that asks whether a place is seen
#define LIFT_MM   0.05   // of that stroke over the face

static V3 off_of(const Scene *s, int piece) {
    int owner = s->owner[piece];

    return owner >= 0 ? s->lots.at[owner].off : v3(0, 0, 0);
}

/* Length in the picture of a unit vector. */
static double seen_length(V3 unit, V3 toward) {
    double k = v3_dot(unit, toward);

    return sqrt(fmax(0, 1 - k * k));
}

/* A short stroke across the head, square to the reader's sight. */
static Extra mark_stroke(V3 at, V3 axis, V3 toward, int id) {
    V3 side = v3_cross(axis, toward);
    V3 mid  = v3_sub(at, v3_scale(axis, LIFT_MM));

    if (v3_len(side) < 1e-6)
        side = v3_cross(axis, fabs(axis.x) < 0.9 ? v3(1, 0, 0)
                                                 : v3(0, 1, 0));
    side = v3_scale(v3_unit(side), MARK_MM / 2);
    return (Extra){ v3_sub(mid, side), v3_add(mid, side), id, true };
}

/* Where it goes in: at its head; a dowel goes into the other piece first. */
static V3 mouth_of(const Scene *s, const Fastener *f) {
    if (s->m->hardware.at[f->hardware].drive != DRIVE_DOWEL)
        return v3_add(f->head, off_of(s, f->from));
    return v3_add(v3_add(f->head, v3_scale(f->axis, f->held)),
                  off_of(s, f->into));
}

static void add_driven(Ctx *c, const Scene *s, int nth, bool mark, V3 toward,
                       Extras *g, View *v) {
    const Fastener *f   = &s->m->fasteners.at[nth];
    double          gap = fmax(fmin(GAP_LEAST, GAP_SMALL * s->size),
                               GAP_SHARE * s->size);
    V3     at  = mouth_of(s, f);
    V3     tip = v3_sub(at, v3_scale(f->axis, gap));
    V3     head = v3_sub(tip, v3_scale(f->axis, f->length));
    int    id  = s->m->pieces.n + nth;
    Driven n   = { .fastener = nth, .mark = mark };

    n.mark |= seen_length(f->axis, toward) < END_ON;
    n.at    = at;
    n.head  = n.mark ? at : head;
    n.tip   = n.mark ? at : tip;
    if (n.mark) {
        *PUSH(c, g) = mark_stroke(at, f->axis, toward, id);
    } else {
        *PUSH(c, g) = (Extra){ head, tip, id, true };
        *PUSH(c, g) = (Extra){ tip, at, id, false };
    }
    *PUSH(c, &v->driven) = n;
}

/* Of those that are marked, one of each kind is drawn out for each lot (and
 * for all that stands): the one nearest to the reader. */
static bool *samples(Ctx *c, const Scene *s, const bool *drawn, V3 toward) {
    const Model *m    = s->m;
    int          step = (int)(s->step - m->steps.at), lots = s->lots.n + 1;
    int         *best = NEW_N(c, int, lots * (m->hardware.n + 1));
    bool        *is   = NEW_N(c, bool, m->fasteners.n + 1);

    for (int i = 0; i < m->fasteners.n; i++) {
        const Fastener *f = &m->fasteners.at[i];
        int *of = &best[f->hardware * lots
                        + (s->owner[f->from] < 0 ? 0
                           : s->owner[f->from] + 1)];
        if (f->step != step || !drawn[f->from] || f->length <= 0)
            continue;
        if (*of == 0 || v3_dot(f->head, toward)
                        > v3_dot(m->fasteners.at[*of - 1].head, toward))
            *of = i + 1;
    }
    for (int i = 0; i < lots * (m->hardware.n + 1); i++)
        if (best[i])
            is[best[i] - 1] = true;
    return is;
}

/* True if the lot is not drawn apart: another shows how it is nailed. */
static bool rests(const Scene *s, int piece) {
    return s->owner[piece] >= 0 && s->lots.at[s->owner[piece]].rests;
}

/* `drawn`: by piece. */
void scene_driven(Ctx *c, const Scene *s, const bool *drawn, V3 toward,
                  Extras *g, View *v) {
    int   step   = (int)(s->step - s->m->steps.at), count = 0;
    bool *sample = samples(c, s, drawn, toward);

    v->driven.n = 0;
    for (int i = 0; i < s->m->fasteners.n; i++)
        count += s->m->fasteners.at[i].step == step
              && drawn[s->m->fasteners.at[i].from];
    for (int i = 0; i < s->m->fasteners.n; i++) {
        const Fastener *f = &s->m->fasteners.at[i];
        if (f->step == step && drawn[f->from] && f->length > 0
            && !rests(s, f->from))
            add_driven(c, s, i, count > MANY && !sample[i], toward, g, v);
    }
}

/* Length of each that is seen, by the strokes that are left of it. */
static double *seen_lengths(Ctx *c, const Model *m, const Picture *p) {
    double *seen = NEW_N(c, double, m->fasteners.n + 1);

    for (int i = 0; i < p->lines.n; i++)
        if (p->lines.at[i].kind == LINE_STROKE)
            seen[p->lines.at[i].id - m->pieces.n]
                += v2_len(v2_sub(p->lines.at[i].b, p->lines.at[i].a));
    return seen;
}

/* Keeps the lines of the fasteners that are drawn. What is left bounds the
 * picture. */
static void keep_lines(const Model *m, View *v, const bool *kept) {
    Picture *p = &v->picture;
    int      n = 0;

    p->box = box2_empty();
    for (int i = 0; i < p->lines.n; i++) {
        Line2 line = p->lines.at[i];
        int   nth  = line.id - m->pieces.n;
        if (nth >= 0 && !kept[nth])
            continue;
        p->lines.at[n++] = line;
        box2_add(&p->box, line.a);
        box2_add(&p->box, line.b);
    }
    p->lines.n = n;
    for (int i = 0; i < v->driven.n; i++) {
        box2_add(&p->box, camera_project(&v->camera, v->driven.at[i].head,
                                         NULL));
        box2_add(&p->box, camera_project(&v->camera, v->driven.at[i].tip,
                                         NULL));
    }
}

/* What is hidden shows dashed, so that number and side are clear; but not one
 * that is only marked. */
void view_driven(Ctx *c, const Model *m, View *v) {
    double *seen = seen_lengths(c, m, &v->picture);
    bool   *kept = NEW_N(c, bool, m->fasteners.n + 1);
    int     n    = 0;

    for (int i = 0; i < v->driven.n; i++) {
        Driven *d    = &v->driven.at[i];
        V2      head = camera_project(&v->camera, d->head, NULL);
        V2      tip  = camera_project(&v->camera, d->tip, NULL);
        double  all  = d->mark ? MARK_MM : v2_len(v2_sub(tip, head));
        kept[d->fastener] = seen[d->fastener] >= SEEN_PART * all;
        d->hidden         = !kept[d->fastener];
    }
    for (int i = 0; i < v->driven.n; i++) {
        Driven d = v->driven.at[i];
        if (!d.hidden || !d.mark)
            v->driven.at[n++] = d;
    }
    v->driven.n = n;
    keep_lines(m, v, kept);
}
