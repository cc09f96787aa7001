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
#define LOST        8.0    // against all lots being hidden
#define SLIVER      0.20   // less of a lot's largest face: seen edge on
#define CLEAR       0.35   // more: worth going there
#define SLIVERS     12.0   // against all lots being seen edge on
#define TURNS_FOR   2.0    // a gain of less is not worth walking around
#define NEARLY      0.9    // cosine: a turn by less is not worth telling of

static void add_body(Ctx *c, Bodies *b, const Model *m, int piece, V3 off,
                     bool fill) {
    const Piece *p    = &m->pieces.at[piece];
    Body        *body = PUSH(c, b);

    *body = (Body){ .solid = m->parts.at[p->part].solid, .frame = p->frame,
                    .id = piece, .fill = fill };
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
    Body body = { .solid = part->solid, .frame = FRAME_WORLD, .id = id };

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

/* What is looked at: whole, and as it only hides, without edges. */
typedef struct {
    Bodies  whole, bare;
    Guides  guides;
    bool   *drawn;    // by piece
} Stage;

static Stage stage_of(Ctx *c, Scene *s, View *v) {
    Stage t = { .guides = scene_guides(c, s),
                .drawn  = NEW_N(c, bool, s->m->pieces.n + 1) };

    t.whole = step_bodies(c, s, v);
    for (int i = 0; i < t.whole.n; i++) {
        Body bare = t.whole.at[i];
        bare.bare = true;
        *PUSH(c, &t.bare) = bare;
        t.drawn[bare.id]  = true;
    }
    return t;
}

/* A picture from one place, and what is seen of the new pieces there. */
static Seen draw_from(Ctx *c, const Scene *s, const Stage *t, Camera cam,
                      bool whole, View *v) {
    const Bodies *b     = whole ? &t->whole : &t->bare;
    Extras        all   = { 0 };
    double       *joint = NEW_N(c, double, s->lots.n + 1);

    v->camera = cam;
    guides_add(c, s->m, &t->guides, &all);
    v->driven.at = NULL;
    v->driven.n  = v->driven.cap = 0;
    scene_driven(c, s, t->drawn, cam.toward, &all, v);
    v->picture = picture_draw(c, b->at, b->n, all.at, all.n, &v->camera,
                              false);
    guides_keep(c, s->m, &t->guides, v, joint);
    return view_seen(c, s, b->at, b->n, v, joint);
}

/* Slivers, as seen from where the reader is. */
static double edge_on(Ctx *c, const Scene *s, const Stage *t, Camera cam) {
    return lots_edge_on(c, s, t->whole.at, t->whole.n, &cam, SLIVER);
}

/* From elsewhere, where they must be seen clearly. */
static double not_clear(Ctx *c, const Scene *s, const Stage *t, Camera cam) {
    return lots_edge_on(c, s, t->whole.at, t->whole.n, &cam, CLEAR);
}

/* The least share of lots that are not seen clearly from any place. */
static double least_edge_on(Ctx *c, const Scene *s, const Stage *t) {
    Camera others[CAMERAS];
    int    n     = camera_others(others, comes_from_below(s));
    double least = 1;

    for (int i = 0; i < n; i++)
        least = fmin(least, not_clear(c, s, t, others[i]));
    return least;
}

/* There is no need to look elsewhere. `thin`: lots seen edge on, from here
 * and, at least, from anywhere. */
static bool is_enough(Seen seen, double thin, double least) {
    return seen.joint >= JOINT_LEAST && thin <= least && seen.lost <= 0
        && (seen.piece >= PIECE_LEAST || seen.all >= ALL_LEAST);
}

/* More is better: above all each new part is seen, then what is seen of all
 * and of how it is joined, no lots edge on, from above, near to where the
 * reader was. */
static double worth(Seen seen, double edge_on, V3 toward, V3 before) {
    return (seen.piece >= SEEN_LEAST ? SHOWN : 0)
         + 4 * seen.joint + 8 * seen.all + (toward.z > 0)
         + 2 * v3_dot(toward, before) - SLIVERS * edge_on
         - LOST * seen.lost;
}

/* The best of the other places; true: it is so much better than `good`. */
static bool find_best(Ctx *c, const Scene *s, const Stage *t, V3 before,
                      double good, Camera *cam) {
    const Seen all_seen = { 1, 1, 1, 0 };
    Camera others[CAMERAS];
    double best = good + TURNS_FOR;
    bool   found = false;
    int    n = camera_others(others, comes_from_below(s));

    for (int i = 0; i < n; i++) {
        View   try = { 0 };
        V3     toward = others[i].toward;
        double now, thin = not_clear(c, s, t, others[i]);
        if (v3_dot(toward, before) > NEARLY
            || worth(all_seen, thin, toward, before) <= best)
            continue;
        now = worth(draw_from(c, s, t, others[i], false, &try), thin,
                    toward, before);
        if (now > best + 1e-6) {
            best  = now;
            found = true;
            *cam  = others[i];
        }
    }
    return found;
}

/* Stays where the last step was seen from, if that shows enough; else goes
 * back to where the booklet began, if that does. A reader who was sent below
 * or, for one step, elsewhere, comes back as soon as possible. `before`:
 * where the step before was seen from. Places that are only tried are drawn
 * bare. */
static void look(Ctx *c, const Scene *s, const Stage *t, V3 before,
                 Camera *cam, View *v) {
    Camera home = camera_home(), first = *cam, second = home;
    bool   one  = v3_len(v3_sub(cam->toward, home.toward)) < 1e-6;
    double least, thin, good;
    Seen   seen;

    if (s->step->has_view) {
        draw_from(c, s, t, camera_toward(s->step->view), true, v);
        return;
    }
    if (cam->toward.z < 0 || v3_len(v3_sub(cam->toward, before)) > 1e-6) {
        first  = home;
        second = *cam;
    }
    *cam  = first;
    thin  = edge_on(c, s, t, first);
    least = thin > 0 ? least_edge_on(c, s, t) : 0;
    seen  = draw_from(c, s, t, first, true, v);
    good  = worth(seen, thin, first.toward, before);
    if (!is_enough(seen, thin, least) && !one) {
        View   try = { 0 };
        double now, too = edge_on(c, s, t, second);
        Seen   other    = draw_from(c, s, t, second, false, &try);
        now = worth(other, too, second.toward, before);
        if (is_enough(other, too, least) || now > good) {
            *cam = second;
            good = now;
            seen = other;
            thin = too;
        }
    }
    if (!is_enough(seen, thin, least))
        (void)find_best(c, s, t, before, good, cam);
    if (v3_len(v3_sub(cam->toward, first.toward)) > 1e-9)
        draw_from(c, s, t, *cam, true, v);
}

static View draw_step(Ctx *c, const Model *m, int k, V3 before,
                      Camera *cam) {
    const Step *st = &m->steps.at[k];
    View        v  = { 0 };
    Scene       s  = scene_new(c, m, k, st->has_view ? v3_unit(st->view)
                                                     : cam->toward);
    Stage       stage;

    v.copies = s.copies;
    scene_order(c, &s);
    scene_spread(c, &s);
    stage = stage_of(c, &s, &v);
    for (int i = 0; i < st->add.n; i++)
        if (s.owner[st->add.at[i]] >= 0)
            *PUSH(c, &v.fresh) = st->add.at[i];
    look(c, &s, &stage, before, cam, &v);
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

void plan_project_views(Ctx *c, const Model *m, Workplan *p) {
    static const V3 sides[] = { { 0, -1, 0 }, { 0, 0, 1 }, { 1, 0, 0 } };

    p->cover = draw_finished(c, m, camera_home(), true);
    for (int i = 0; i < COUNT(sides); i++)
        p->three[i] = draw_finished(c, m, camera_toward(sides[i]), false);
}

void plan_part_views(Ctx *c, const Model *m, Workplan *p) {
    p->parts.n = 0;
    for (int i = 0; i < m->parts.n; i++)
        *PUSH(c, &p->parts) = draw_part(c, &m->parts.at[i], i);
}

void plan_step_views(Ctx *c, const Model *m, Workplan *p) {
    Camera cam = camera_home();

    p->steps.n = 0;
    for (int k = 0; k < m->steps.n; k++) {
        V3   from = k ? p->steps.at[k - 1].camera.toward
                      : camera_home().toward;
        View v = draw_step(c, m, k, from, &cam);
        v.turned = walked(from, v.camera.toward);
        v.below  = v.camera.toward.z < 0 && from.z >= 0;
        *PUSH(c, &p->steps) = v;
    }
}

void plan_views(Ctx *c, const Model *m, Workplan *p) {
    plan_project_views(c, m, p);
    plan_part_views(c, m, p);
    plan_step_views(c, m, p);
}
