/* view -- the pictures of a booklet: the finished project, three views of
 * it, each part by itself, and every step with its new pieces drawn apart.
 */
#include "plan/view_internal.h"

#include <math.h>

#define CLOSE_SHARE 0.35   // new pieces smaller than this: a close view
#define CLOSE_REACH 1.5    // its surroundings, in diagonals of the new
#define SEEN_LEAST  0.15   // less of a part: the reader walks around
#define JOINT_LEAST 0.50   // less of a part and its joint: another place is
                           // looked for
#define PIECE_LEAST 0.45   // the same, of a part alone,
#define ALL_LEAST   0.75   // if not so much is seen of all
#define SHOWN       50.0   // for each new part being seen
#define TURNS_FOR   2.0    // a gain of less is not worth walking around
#define NEARLY      0.9    // cosine: a turn by less is not worth telling of

static void add_body(Ctx *c, Bodies *b, const Model *m, int piece, V3 off,
                     bool fill) {
    const Piece *p    = &m->pieces.at[piece];
    Body        *body = PUSH(c, b);

    *body = (Body){ m->parts.at[p->part].solid, p->frame, piece, fill,
                    false };
    body->frame.o = v3_add(p->frame.o, off);
}

/* ---- The finished project ---- */

static View draw_finished(Ctx *c, const Model *m, Camera cam, bool fill) {
    View   v      = { .camera = cam };
    Bodies bodies = { 0 };

    for (int i = 0; i < m->pieces.n; i++) {
        const Part *part = &m->parts.at[m->pieces.at[i].part];
        if (!part->jig && !m->pieces.at[i].temporary && part->solid)
            add_body(c, &bodies, m, i, v3(0, 0, 0), fill);
    }
    v.picture = picture_draw(c, bodies.at, bodies.n, NULL, 0, &v.camera,
                             false);
    return v;
}

/* A part lies before the reader, its length to the right, show face up. */
static View draw_part(Ctx *c, const Part *part, int id) {
    View v    = { .camera = camera_toward(v3(-0.35, -0.75, 0.85)) };
    Body body = { part->solid, FRAME_WORLD, id, false, false };

    v.picture = picture_draw(c, &body, part->solid ? 1 : 0, NULL, 0,
                             &v.camera, false);
    return v;
}

/* ---- Steps ---- */

static void grow(Box3 *box, Box3 by) {
    box3_add(box, by.min);
    box3_add(box, by.max);
}

/* If the new pieces are few and small, only what is near them is drawn:
 * *near gets the box of it. */
static bool is_close(const Scene *s, Box3 *near) {
    Box3   box = box3_empty();
    V3     reach;
    double diag;

    for (int i = 0; i < s->m->pieces.n; i++)
        if (s->owner[i] >= 0)
            grow(&box, s->m->pieces.at[i].box);
    diag  = v3_len(v3_sub(box.max, box.min));
    reach = v3_scale(v3(1, 1, 1), CLOSE_REACH * diag);
    *near = (Box3){ v3_sub(box.min, reach), v3_add(box.max, reach) };
    return s->lots.n > 0 && diag < CLOSE_SHARE * s->size;
}

static Bodies step_bodies(Ctx *c, const Scene *s, View *v) {
    const Model *m      = s->m;
    Bodies       bodies = { 0 };
    Box3         near;
    bool         close = is_close(s, &near);

    for (int i = 0; i < m->pieces.n; i++) {
        int owner = s->owner[i];
        if (owner == PIECE_AWAY)
            continue;
        if (owner == PIECE_THERE && close
            && !box3_touch(m->pieces.at[i].box, near, 0)) {
            v->close = true;
            continue;
        }
        add_body(c, &bodies, m, i,
                 owner >= 0 ? s->lots.at[owner].off : v3(0, 0, 0),
                 owner >= 0);
    }
    return bodies;
}

static bool comes_from_below(const Scene *s) {
    for (int i = 0; i < s->order.n; i++)
        if (s->lots.at[s->order.at[i]].dir.z > -0.5)
            return false;
    return s->order.n > 0;
}

static bool *drawn_of(Ctx *c, const Scene *s, const Bodies *b) {
    bool *drawn = NEW_N(c, bool, s->m->pieces.n + 1);

    for (int i = 0; i < b->n; i++)
        drawn[b->at[i].id] = true;
    return drawn;
}

/* Draws from one place. More is better: above all each new part is seen,
 * then what is seen of all and of how it is joined, from above, near to
 * where the reader was. *enough: there is no need to look elsewhere. */
static double draw_from(Ctx *c, const Scene *s, const Bodies *b,
                        const Guides *g, Camera cam, V3 before, View *v,
                        bool *enough) {
    Seen    seen;
    Extras  all   = { 0 };
    double *joint = NEW_N(c, double, s->lots.n + 1);

    v->camera = cam;
    guides_add(c, s->m, g, &all);
    v->driven.at  = NULL;
    v->driven.n = v->driven.cap = 0;
    scene_driven(c, s, drawn_of(c, s, b), cam.toward, &all, v);
    v->picture = picture_draw(c, b->at, b->n, all.at, all.n, &v->camera,
                              false);
    guides_keep(c, s->m, g, v, joint);
    seen = view_seen(c, s, b->at, b->n, v, joint);
    *enough = seen.joint >= JOINT_LEAST
           && (seen.piece >= PIECE_LEAST || seen.all >= ALL_LEAST);
    return (seen.piece >= SEEN_LEAST ? SHOWN : 0)
         + 4 * seen.joint + 8 * seen.all + (cam.toward.z > 0)
         + 2 * v3_dot(cam.toward, before);
}

static double draw_best(Ctx *c, const Scene *s, const Bodies *b,
                        const Guides *g, V3 before, View *v) {
    Camera others[CAMERAS];
    double best = -1e9;
    bool   enough;
    int    n = camera_others(others, comes_from_below(s));

    for (int i = 0; i < n; i++) {
        View   try  = *v;
        double good;
        if (v3_dot(others[i].toward, before) > NEARLY)
            continue;
        good = draw_from(c, s, b, g, others[i], before, &try,
                         &enough);
        if (good > best + 1e-6) {
            best = good;
            *v   = try;
        }
    }
    return best;
}

/* Stays where the last step was seen from, if that shows enough; else goes
 * back to where the booklet began, if that does. A reader who was sent below
 * or, for one step, elsewhere, comes back as soon as possible. `before`:
 * where the step before was seen from. */
static void look(Ctx *c, const Scene *s, const Bodies *b, const Guides *g,
                 V3 before, Camera *cam, View *v) {
    bool   away = cam->toward.z < 0
               || v3_len(v3_sub(cam->toward, before)) > 1e-6;
    bool   enough = false;
    View   first;
    double good = 0;

    if (s->step->has_view) {
        draw_from(c, s, b, g, camera_toward(s->step->view), cam->toward, v,
                  &enough);
        return;
    }
    for (int i = 0; i < 2; i++) {
        Camera try = (i == 0) == away ? camera_home() : *cam;
        View   one = *v;
        double was = draw_from(c, s, b, g, try, before, &one, &enough);
        if (i == 0 || enough || was > good) {
            first = one;
            good  = was;
        }
        if (enough || v3_len(v3_sub(cam->toward,
                                              camera_home().toward)) < 1e-6)
            break;
    }
    if (!enough
        && draw_best(c, s, b, g, before, v) > good + TURNS_FOR)
        first = *v;
    *v   = first;
    *cam = v->camera;
}

static View draw_step(Ctx *c, const Model *m, int k, V3 before,
                      Camera *cam) {
    const Step *st = &m->steps.at[k];
    View        v  = { 0 };
    Scene       s  = scene_new(c, m, k, st->has_view ? v3_unit(st->view)
                                                     : cam->toward);
    Guides      guides;
    Bodies      bodies;

    v.copies = s.copies;
    scene_order(c, &s);
    scene_spread(c, &s);
    guides = scene_guides(c, &s);
    bodies = step_bodies(c, &s, &v);
    for (int i = 0; i < st->add.n; i++)
        if (s.owner[st->add.at[i]] >= 0)
            *PUSH(c, &v.fresh) = st->add.at[i];
    look(c, &s, &bodies, &guides, before, cam, &v);
    view_driven(c, m, &v);
    view_anchors(c, m, &s, &v);
    view_detail(c, &s, &v);
    return v;
}

/* How far the reader walked around between two views, -180 to 180. */
static double walked(V3 from, V3 to) {
    double cross = from.x * to.y - from.y * to.x;
    double dot   = from.x * to.x + from.y * to.y;

    return atan2(cross, dot) * 180 / 3.14159265358979323846;
}

void plan_views(Ctx *c, const Model *m, Workplan *p) {
    static const V3 sides[] = { { 0, -1, 0 }, { 0, 0, 1 }, { 1, 0, 0 } };
    Camera cam = camera_home();

    p->cover = draw_finished(c, m, cam, true);
    for (int i = 0; i < COUNT(sides); i++)
        p->three[i] = draw_finished(c, m, camera_toward(sides[i]), false);
    for (int i = 0; i < m->parts.n; i++)
        *PUSH(c, &p->parts) = draw_part(c, &m->parts.at[i], i);
    for (int k = 0; k < m->steps.n; k++) {
        V3   from = k ? p->steps.at[k - 1].camera.toward
                      : camera_home().toward;
        View v = draw_step(c, m, k, from, &cam);
        v.turned = walked(from, v.camera.toward);
        v.below  = v.camera.toward.z < 0 && from.z >= 0;
        *PUSH(c, &p->steps) = v;
    }
}
