/* view_test -- steps are drawn apart along ways that can be done; cameras,
 * guide lines and letters stand where they should.
 *
 * No published figures here: the checks are the definitions themselves
 * (geometry-notes 1.2, 1.5 to 1.7) on scenes whose answer is plain.
 */
#include "unit/test.h"

#include "plan/plan.h"
#include "plan/view_internal.h"

/* ---- Small builders ---- */

/* A box from the origin of its own frame. */
static const Solid *box_solid(Ctx *c, V3 size) {
    Solid *s     = NEW(c, Solid);
    Slab   slab  = { shape_rect(c, (V2){ 0, 0 }, (V2){ size.x, size.y }),
                     0, size.z };
    int    curve = 1;

    solid_add_slab(c, s, &slab, 0.05, &curve);
    solid_finish(c, s);
    return s;
}

static int part_add(Ctx *c, Model *m, const char *letter, V3 size) {
    Part *p = PUSH(c, &m->parts);

    p->letter = str_from(c, letter);
    p->solid  = box_solid(c, size);
    p->finish = -1;
    return m->parts.n - 1;
}

static int step_add(Ctx *c, Model *m) {
    Step *s = PUSH(c, &m->steps);

    s->loc = (Loc){ 0, (uint32_t)m->steps.n, (uint32_t)m->steps.n + 1 };
    return m->steps.n - 1;
}

/* Adds a piece to the newest step. */
static int piece_in(Ctx *c, Model *m, const char *name, int part, Frame f) {
    Piece *p    = PUSH(c, &m->pieces);
    int    step = m->steps.n - 1;

    p->name = p->group = str_from(c, name);
    p->part  = part;
    p->frame = f;
    p->box   = solid_box(m->parts.at[part].solid, &f);
    p->step  = step;
    *PUSH(c, &m->steps.at[step].add) = m->pieces.n - 1;
    return m->pieces.n - 1;
}

static int piece_at(Ctx *c, Model *m, const char *name, int part, V3 at) {
    Frame f = FRAME_WORLD;

    f.o = at;
    return piece_in(c, m, name, part, f);
}

/* A box of its own kind. */
static int board(Ctx *c, Model *m, const char *name, V3 at, V3 size) {
    return piece_at(c, m, name, part_add(c, m, name, size), at);
}

static double shared(double a0, double a1, double b0, double b1) {
    return fmin(a1, b1) - fmax(a0, b0);
}

/* Contacts of boxes that stand square, worked out without geom/. */
static void touch_boxes(Ctx *c, Model *m, int a, int b) {
    Box3   p = m->pieces.at[a].box, q = m->pieces.at[b].box;
    double x = shared(p.min.x, p.max.x, q.min.x, q.max.x);
    double y = shared(p.min.y, p.max.y, q.min.y, q.max.y);
    double z = shared(p.min.z, p.max.z, q.min.z, q.max.z);
    double flat = fmin(x, fmin(y, z));
    V3     at;

    if (fabs(flat) > 1e-6)
        return;
    x = fabs(x) < 1e-6 ? 1 : x;
    y = fabs(y) < 1e-6 ? 1 : y;
    z = fabs(z) < 1e-6 ? 1 : z;
    at = v3((fmax(p.min.x, q.min.x) + fmin(p.max.x, q.max.x)) / 2,
            (fmax(p.min.y, q.min.y) + fmin(p.max.y, q.max.y)) / 2,
            (fmax(p.min.z, q.min.z) + fmin(p.max.z, q.max.z)) / 2);
    if (x * y * z > 1.5)
        *PUSH(c, &m->contacts) = (Contact){ a, b, x * y * z, at, false };
}

static void touch_all(Ctx *c, Model *m) {
    for (int a = 0; a < m->pieces.n; a++)
        for (int b = a + 1; b < m->pieces.n; b++)
            touch_boxes(c, m, a, b);
}

static Scene spread(Ctx *c, const Model *m, int k) {
    Scene s = scene_new(c, m, k, camera_home().toward);

    scene_order(c, &s);
    scene_spread(c, &s);
    return s;
}

static const Lot *lot_of(const Scene *s, int piece) {
    assert_true(s->owner[piece] >= 0);
    return &s->lots.at[s->owner[piece]];
}

static V3 off_of(const Scene *s, int piece) {
    return lot_of(s, piece)->off;
}

#define assert_v3(is, sx, sy, sz)                                         \
    do {                                                                  \
        V3 v_ = (is);                                                     \
        assert_near(v_.x, sx, 1e-6);                                      \
        assert_near(v_.y, sy, 1e-6);                                      \
        assert_near(v_.z, sz, 1e-6);                                      \
    } while (0)

/* ---- Ways in and distances ---- */

/* Floor 600 x 300 x 18, a wall 200 high standing on it. */
static Model *floor_and_wall(Ctx *c) {
    Model *m = NEW(c, Model);

    step_add(c, m);
    board(c, m, "floor", v3(0, 0, 0), v3(600, 300, 18));
    step_add(c, m);
    board(c, m, "wall", v3(0, 140, 18), v3(600, 18, 200));
    touch_all(c, m);
    return m;
}

static void a_wall_on_a_floor_comes_from_above(void **state) {
    Ctx   *c = *state;
    Scene  s = spread(c, floor_and_wall(c), 1);

    /* 0.35 x 200; it is not engaged. */
    assert_v3(off_of(&s, 1), 0, 0, 70);
    assert_int_equal(c->diags.n, 0);
}

static void a_front_comes_from_the_front(void **state) {
    Ctx   *c = *state;
    Model *m = NEW(c, Model);
    Scene  s;

    step_add(c, m);
    board(c, m, "chest", v3(0, 0, 0), v3(600, 300, 300));
    step_add(c, m);
    board(c, m, "front", v3(0, -18, 0), v3(600, 18, 300));
    touch_all(c, m);
    s = spread(c, m, 1);
    /* Thin: the least distance, 0.08 of the diagonal of 600 x 318 x 300,
     * which is 742.6 mm. */
    assert_v3(off_of(&s, 1), 0, -60, 0);
}

static void the_first_piece_of_all_stays(void **state) {
    Ctx   *c = *state;
    Model *m = NEW(c, Model);
    Scene  s;

    step_add(c, m);
    board(c, m, "floor", v3(0, 0, 0), v3(600, 300, 18));
    board(c, m, "wall", v3(0, 140, 18), v3(600, 18, 200));
    touch_all(c, m);
    s = spread(c, m, 0);
    assert_v3(off_of(&s, 0), 0, 0, 0);
    assert_v3(off_of(&s, 1), 0, 0, 70);
}

/* A frame of four boards about a tongue of 200 x 40 x 20 along x. */
static Model *slot(Ctx *c, double turn) {
    static const V3 at[]   = { { 0, 0, -10 }, { 0, 0, 20 }, { 0, -10, 0 },
                               { 0, 40, 0 } };
    static const V3 size[] = { { 200, 40, 10 }, { 200, 40, 10 },
                               { 200, 10, 20 }, { 200, 10, 20 } };
    Model *m = NEW(c, Model);
    Frame  f;

    step_add(c, m);
    for (int i = 0; i < 4; i++) {
        int part = part_add(c, m, "S", size[i]);
        f   = FRAME_WORLD;
        f.o = at[i];
        f   = frame_turn(f, v3(0, 0, 0), v3(0, 1, 0), turn);
        piece_in(c, m, "side", part, f);
    }
    step_add(c, m);
    f = frame_turn(FRAME_WORLD, v3(0, 0, 0), v3(0, 1, 0), turn);
    piece_in(c, m, "tongue", part_add(c, m, "T", v3(200, 40, 20)), f);
    for (int i = 0; i < 4; i++)
        *PUSH(c, &m->contacts) = (Contact){
            i, 4, 4000, frame_point(&f, v3(100, 20, 10)), false
        };
    return m;
}

static void a_tongue_leaves_its_slot_along_the_slot_only(void **state) {
    Ctx   *c = *state;
    Scene  s = spread(c, slot(c, 0), 1);

    /* Engaged over its whole length: out all the way, not farther. */
    assert_v3(off_of(&s, 4), 200, 0, 0);
}

static void a_slanted_slot_is_left_along_its_own_axis(void **state) {
    Ctx   *c    = *state;
    double turn = 0.5;
    Scene  s    = spread(c, slot(c, turn), 1);
    V3     off  = off_of(&s, 4);

    assert_near(v3_len(off), 200, 1.001);
    assert_near(fabs(v3_dot(v3_unit(off), v3(cos(turn), 0, -sin(turn)))),
                1, 1e-9);
}

/* A block of 100 with six boards all around it. */
static Model *boxed_in(Ctx *c) {
    Model *m = NEW(c, Model);

    step_add(c, m);
    board(c, m, "bottom", v3(-10, -10, -10), v3(120, 120, 10));
    board(c, m, "top", v3(-10, -10, 100), v3(120, 120, 10));
    board(c, m, "left", v3(-10, 0, 0), v3(10, 100, 100));
    board(c, m, "right", v3(100, 0, 0), v3(10, 100, 100));
    board(c, m, "front", v3(0, -10, 0), v3(100, 10, 100));
    board(c, m, "back", v3(0, 100, 0), v3(100, 10, 100));
    step_add(c, m);
    board(c, m, "core", v3(0, 0, 0), v3(100, 100, 100));
    touch_all(c, m);
    return m;
}

static void a_boxed_in_piece_is_drawn_in_its_place(void **state) {
    Ctx         *c = *state;
    const Model *m = boxed_in(c);
    Scene        s = spread(c, m, 1);

    assert_int_equal(c->diags.n, 0);   // model/ has told of it
    assert_v3(off_of(&s, 6), 0, 0, 0);
    assert_int_equal(scene_guides(c, &s).n, 0);
}

static void the_same_piece_added_before_the_top_is_not(void **state) {
    Ctx   *c = *state;
    Model *m = boxed_in(c);

    /* The top moves to a third step. */
    m->pieces.at[1].step = 2;
    m->steps.at[0].add.at[1] = m->steps.at[0].add.at[5];
    m->steps.at[0].add.n--;
    step_add(c, m);
    *PUSH(c, &m->steps.at[2].add) = 1;
    assert_v3(v3_unit(off_of(&(Scene[]){ spread(c, m, 1) }[0], 6)), 0, 0,
              1);
    assert_v3(v3_unit(off_of(&(Scene[]){ spread(c, m, 2) }[0], 1)), 0, 0,
              1);
    assert_int_equal(c->diags.n, 0);
}

/* Two like blocks between a bottom and a top, a post between them: the
 * left one can leave to the left only, the right one to the right. */
static Model *two_pockets(Ctx *c) {
    Model *m = NEW(c, Model);
    int    plug;

    step_add(c, m);
    board(c, m, "bottom", v3(0, 0, 0), v3(300, 120, 10));
    board(c, m, "top", v3(0, 0, 60), v3(300, 120, 10));
    board(c, m, "front", v3(0, 0, 10), v3(300, 10, 50));
    board(c, m, "back", v3(0, 110, 10), v3(300, 10, 50));
    board(c, m, "post", v3(100, 10, 10), v3(100, 100, 50));
    step_add(c, m);
    plug = part_add(c, m, "P", v3(100, 100, 50));
    piece_at(c, m, "left plug", plug, v3(0, 10, 10));
    piece_at(c, m, "right plug", plug, v3(200, 10, 10));
    touch_all(c, m);
    return m;
}

static void like_pieces_part_ways_if_they_must(void **state) {
    Ctx   *c = *state;
    Scene  s = spread(c, two_pockets(c), 1);

    assert_int_equal(s.lots.n, 2);
    assert_v3(v3_unit(off_of(&s, 5)), -1, 0, 0);
    assert_v3(v3_unit(off_of(&s, 6)), 1, 0, 0);
    assert_near(v3_len(off_of(&s, 5)), v3_len(off_of(&s, 6)), 1e-9);
    assert_int_equal(c->diags.n, 0);
}

static void feet_come_from_below(void **state) {
    Ctx   *c = *state;
    Model *m = NEW(c, Model);
    Scene  s;
    int    foot;

    step_add(c, m);
    board(c, m, "chest", v3(0, 0, 0), v3(600, 300, 300));
    step_add(c, m);
    foot = part_add(c, m, "F", v3(40, 40, 60));
    for (int i = 0; i < 4; i++)
        piece_at(c, m, "foot", foot, v3(560 * (i % 2), 260 * (i / 2), -60));
    touch_all(c, m);
    s = spread(c, m, 1);
    assert_int_equal(s.lots.n, 1);
    assert_v3(v3_unit(off_of(&s, 1)), 0, 0, -1);
}

/* Each slip touches two rails. */
static Model *slips_on_rails(Ctx *c, int n) {
    Model *m = NEW(c, Model);
    int    slip;

    step_add(c, m);
    board(c, m, "front rail", v3(0, 0, 0), v3(600, 40, 18));
    step_add(c, m);
    slip = part_add(c, m, "S", v3(20, 300, 10));
    for (int i = 0; i < n; i++)
        piece_at(c, m, "slip", slip, v3(30 * i, 0, 18));
    m->steps.n--;
    board(c, m, "back rail", v3(0, 260, 0), v3(600, 40, 18));
    m->steps.n++;
    touch_all(c, m);
    return m;
}

static void boards_of_a_glue_up_are_drawn_one_by_one(void **state) {
    Ctx   *c = *state;
    Model *m = NEW(c, Model);
    Scene  s;
    int    strip;

    step_add(c, m);
    strip = part_add(c, m, "S", v3(600, 80, 18));
    for (int i = 0; i < 3; i++)
        piece_at(c, m, "strip", strip, v3(0, 80 * i, 0));
    touch_all(c, m);
    s = spread(c, m, 0);
    assert_int_equal(s.lots.n, 3);
    assert_v3(off_of(&s, 0), 0, 0, 0);
    assert_true(v3_len(off_of(&s, 1)) >= 25);
    assert_true(v3_len(off_of(&s, 2)) >= v3_len(off_of(&s, 1)) + 25);
}

static int joints(const Guides *g) {
    return g->n ? g->at[g->n - 1].joint + 1 : 0;
}

static void a_row_moves_as_one_with_three_guides(void **state) {
    Ctx   *c = *state;
    Scene  s = spread(c, slips_on_rails(c, 20), 1);
    Guides g = scene_guides(c, &s);

    assert_int_equal(s.lots.n, 1);
    assert_true(off_of(&s, 1).z >= 25);
    assert_int_equal(joints(&g), 3);
    assert_int_equal(g.at[0].piece, 1);
    assert_int_equal(g.at[g.n - 1].piece, 20);
}

/* A tray: floor, four walls; then a shelf low in it and a lid over all. */
static Model *tray(Ctx *c) {
    Model *m = NEW(c, Model);

    step_add(c, m);
    board(c, m, "floor", v3(0, 0, 0), v3(400, 300, 10));
    board(c, m, "left", v3(0, 0, 10), v3(10, 300, 100));
    board(c, m, "right", v3(390, 0, 10), v3(10, 300, 100));
    board(c, m, "front", v3(10, 0, 10), v3(380, 10, 100));
    board(c, m, "back", v3(10, 290, 10), v3(380, 10, 100));
    step_add(c, m);
    board(c, m, "lid", v3(0, 0, 110), v3(400, 300, 10));
    board(c, m, "shelf", v3(10, 10, 10), v3(380, 280, 50));
    touch_all(c, m);
    return m;
}

static void what_lies_below_goes_in_first_and_moves_less(void **state) {
    Ctx   *c = *state;
    Scene  s = spread(c, tray(c), 1);
    V3     lid, shelf;

    assert_int_equal(s.order.n, 2);
    assert_int_equal(s.order.at[0], s.owner[6]);
    assert_int_equal(s.order.at[1], s.owner[5]);
    lid   = off_of(&s, 5);
    shelf = off_of(&s, 6);
    assert_v3(v3_unit(shelf), 0, 0, 1);
    assert_v3(v3_unit(lid), 0, 0, 1);
    /* clear of the walls, which are 100 high; then a gap of 0.35 x 50 */
    assert_near(shelf.z, 118, 1e-6);
    assert_true(lid.z >= shelf.z + 25);
    assert_int_equal(c->diags.n, 0);
}

static void what_touches_only_new_pieces_rides_on_them(void **state) {
    Ctx   *c = *state;
    Model *m = floor_and_wall(c);
    Scene  s;

    board(c, m, "cap", v3(0, 100, 218), v3(600, 80, 18));
    m->contacts.n = 0;
    touch_all(c, m);
    s = spread(c, m, 1);
    assert_int_equal(s.order.at[0], s.owner[1]);
    assert_true(off_of(&s, 2).z >= off_of(&s, 1).z + 25);
}

/* Added before the wall that carries it, and the wall alone could leave to
 * the front: but then the cap would hang in the air. */
static void nothing_is_left_hanging_in_the_air(void **state) {
    Ctx   *c = *state;
    Model *m = NEW(c, Model);
    Scene  s;

    step_add(c, m);
    board(c, m, "floor", v3(0, 0, 0), v3(600, 300, 18));
    step_add(c, m);
    board(c, m, "cap", v3(0, 100, 218), v3(600, 80, 18));
    board(c, m, "wall", v3(0, 140, 18), v3(600, 18, 200));
    touch_all(c, m);
    s = spread(c, m, 1);
    assert_int_equal(s.order.n, 2);
    assert_int_equal(s.order.at[0], s.owner[2]);
    assert_int_equal(s.order.at[1], s.owner[1]);
}

static void a_piece_goes_along_with_the_new_one_that_bears_it(void **state) {
    Ctx   *c = *state;
    Model *m = floor_and_wall(c);
    Scene  s;

    board(c, m, "bracket", v3(200, 120, 60), v3(100, 20, 60));
    m->contacts.n = 0;
    touch_all(c, m);
    s = spread(c, m, 1);
    assert_v3(off_of(&s, 1), 0, 0, 70);
    /* up with the wall; to the front by 0.08 of the diagonal of
     * 600 x 300 x 218, which is 705.4 mm */
    assert_v3(off_of(&s, 2), 0, -57, 70);
}

static void the_author_says_where_it_comes_from(void **state) {
    Ctx   *c = *state;
    Model *m = floor_and_wall(c);
    Scene  s;

    m->steps.at[1].has_comes = true;
    m->steps.at[1].comes     = v3(0, -2, 0);
    s = spread(c, m, 1);
    assert_v3(v3_unit(off_of(&s, 1)), 0, -1, 0);
}

/* ---- Guide lines ---- */

static void a_guide_begins_at_the_contact(void **state) {
    Ctx   *c = *state;
    Scene  s = spread(c, floor_and_wall(c), 1);
    Guides g = scene_guides(c, &s);

    assert_int_equal(joints(&g), 1);
    assert_int_equal(g.at[0].piece, 1);
    assert_v3(g.at[0].a, 300, 149, 18);
    assert_v3(g.at[0].b, 300, 149, 88);
    /* Near the corners of the joint, 600 x 18: a tenth from its edges, each
     * by a hundredth more. */
    assert_int_equal(g.n, 5);
    for (int i = 1; i < g.n; i++) {
        double far = 0.8 - 0.01 * (i - 1);
        assert_near(fabs(g.at[i].a.x - 300), far * 300, 1e-6);
        assert_near(fabs(g.at[i].a.y - 149), far * 9, 1e-6);
        assert_near(g.at[i].a.z, 18, 1e-6);
        assert_near(g.at[i].b.z, 88, 1e-6);
    }
}

static void a_guide_is_drawn_in_the_picture(void **state) {
    Ctx      *c = *state;
    Workplan  w = { 0 };
    V2        from;
    int       found = 0;
    double    depth;

    plan_views(c, floor_and_wall(c), &w);
    from = camera_project(&w.steps.at[1].camera, v3(300, 149, 18), &depth);
    for (int i = 0; i < w.steps.at[1].picture.lines.n; i++) {
        const Line2 *l = &w.steps.at[1].picture.lines.at[i];
        if (l->kind != LINE_EXTRA)
            continue;
        found += v2_len(v2_sub(l->a, from)) < 0.1
              || v2_len(v2_sub(l->b, from)) < 0.1;
    }
    assert_int_equal(found, 1);
}

/* ---- Letters ---- */

static bool inside_rings(Rings rings, V2 p) {
    bool in = false;

    for (int r = 0; r < rings.n; r++)
        for (int i = 0; i < rings.at[r].n; i++) {
            V2 a = rings.at[r].at[i];
            V2 b = rings.at[r].at[(i + 1) % rings.at[r].n];
            if ((a.y > p.y) != (b.y > p.y)
                && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y))
                in = !in;
        }
    return in;
}

static bool inside_patch_of(const Model *m, const View *v, int part, V2 p) {
    for (int i = 0; i < v->picture.patches.n; i++) {
        const Patch *t = &v->picture.patches.at[i];
        if (m->pieces.at[t->id].part != part)
            continue;
        for (int j = 0; j < t->area.parts.n; j++)
            if (inside_rings(t->area.parts.at[j], p))
                return true;
    }
    return false;
}

static void letters_point_into_what_is_seen_of_their_part(void **state) {
    Ctx         *c = *state;
    const Model *m = slips_on_rails(c, 20);
    Workplan     w = { 0 };
    const View  *v;

    plan_views(c, m, &w);
    assert_int_equal(w.steps.n, 2);
    v = &w.steps.at[1];
    assert_int_equal(v->anchors.n, 1);
    assert_int_equal(v->anchors.at[0].part, 1);
    assert_int_equal(v->anchors.at[0].count, 20);
    assert_int_equal(v->fresh.n, 20);
    assert_true(v->anchors.at[0].seen);
    assert_true(inside_patch_of(m, v, 1, v->anchors.at[0].at));
    assert_int_equal(w.cover.anchors.n, 0);
    assert_int_equal(w.cover.fresh.n, 0);
}

static void only_new_pieces_have_patches_in_a_step(void **state) {
    Ctx        *c = *state;
    Workplan    w = { 0 };
    int         filled[2] = { 0, 0 };

    plan_views(c, floor_and_wall(c), &w);
    for (int i = 0; i < w.steps.at[1].picture.patches.n; i++)
        assert_int_equal(w.steps.at[1].picture.patches.at[i].id, 1);
    for (int i = 0; i < w.cover.picture.patches.n; i++)
        filled[w.cover.picture.patches.at[i].id]++;
    assert_true(filled[0] && filled[1]);
}

/* ---- Cameras ---- */

static void three_views_have_width_height_and_depth(void **state) {
    Ctx      *c = *state;
    Workplan  w = { 0 };
    /* 600 wide, 300 deep, 218 high */
    static const V2 size[] = { { 600, 218 }, { 600, 300 }, { 300, 218 } };

    plan_views(c, floor_and_wall(c), &w);
    for (int i = 0; i < 3; i++) {
        Box2 b = w.three[i].picture.box;
        assert_near(b.max.x - b.min.x, size[i].x, 1e-3);
        assert_near(b.max.y - b.min.y, size[i].y, 1e-3);
        assert_int_equal(w.three[i].picture.patches.n, 0);
    }
    assert_v3(w.three[0].camera.toward, 0, -1, 0);
    assert_v3(w.three[1].camera.toward, 0, 0, 1);
    assert_v3(w.three[2].camera.toward, 1, 0, 0);
}

static void the_cover_is_seen_from_front_right_above(void **state) {
    Ctx      *c = *state;
    Workplan  w = { 0 };
    V3        t;

    plan_views(c, floor_and_wall(c), &w);
    t = w.cover.camera.toward;
    assert_near(atan2(t.x, -t.y) * 180 / acos(-1), 37, 1e-6);
    assert_near(asin(t.z) * 180 / acos(-1), 22, 1e-6);
}

/* A thin strip low behind a wall of 600 x 400; then a cap on the wall. */
static Model *strip_behind_a_wall(Ctx *c) {
    Model *m = NEW(c, Model);

    step_add(c, m);
    board(c, m, "wall", v3(0, 0, 0), v3(600, 18, 400));
    step_add(c, m);
    m->steps.at[1].has_comes = true;
    m->steps.at[1].comes     = v3(0, 1, 0);
    board(c, m, "strip", v3(250, 18, 20), v3(100, 18, 40));
    step_add(c, m);
    board(c, m, "cap", v3(0, 0, 400), v3(600, 18, 18));
    touch_all(c, m);
    return m;
}

static double patch_area(const View *v, int id) {
    double area = 0;

    for (int i = 0; i < v->picture.patches.n; i++)
        if (v->picture.patches.at[i].id == id)
            area += polygons_area(v->picture.patches.at[i].area);
    return area;
}

static void the_reader_walks_around_to_see_a_hidden_piece(void **state) {
    Ctx      *c = *state;
    Workplan  w = { 0 };
    V3        t;

    plan_views(c, strip_behind_a_wall(c), &w);
    assert_v3(v3_sub(w.steps.at[0].camera.toward, w.cover.camera.toward),
              0, 0, 0);
    t = w.steps.at[1].camera.toward;
    assert_true(v3_len(v3_sub(t, w.cover.camera.toward)) > 0.5);
    /* its three faces that look at the reader: 18 x 40, 100 x 40, 100 x 18 */
    assert_true(patch_area(&w.steps.at[1], 1)
                > 0.15 * (720 * fabs(t.x) + 4000 * fabs(t.y)
                          + 1800 * fabs(t.z)));
    assert_true(w.steps.at[1].anchors.at[0].seen);
    /* and stays there, though the next step is seen from anywhere */
    assert_v3(v3_sub(w.steps.at[1].camera.toward,
                     w.steps.at[2].camera.toward), 0, 0, 0);
}

/* Two posts behind a wall, in its corners: from the front the left one is
 * hidden, from behind both are seen. */
static void the_reader_walks_around_to_see_every_piece(void **state) {
    Ctx      *c = *state;
    Model    *m = NEW(c, Model);
    Workplan  w = { 0 };

    step_add(c, m);
    board(c, m, "wall", v3(0, 0, 0), v3(600, 18, 400));
    step_add(c, m);
    board(c, m, "left post", v3(20, 18, 0), v3(40, 40, 300));
    board(c, m, "right post", v3(540, 18, 0), v3(40, 40, 300));
    m->pieces.at[2].part = m->pieces.at[1].part;
    touch_all(c, m);
    plan_views(c, m, &w);
    assert_true(w.steps.at[1].camera.toward.y > 0.3);
    for (int i = 1; i <= 2; i++)   // 300 high, 40 deep: most of one face
        assert_true(patch_area(&w.steps.at[1], i) > 6000);
}

/* Lines tried at two corners of a joint may lie on one another: neither is
 * cut off where the other begins. */
static void guides_of_one_joint_share_nothing(void **state) {
    Ctx      *c = *state;
    Model    *m = NEW(c, Model);
    Workplan  w = { 0 };
    int       n = 0;

    step_add(c, m);
    board(c, m, "leg", v3(0, 0, 0), v3(20, 200, 300));
    step_add(c, m);
    m->steps.at[1].has_comes = true;
    m->steps.at[1].comes     = v3(0, 0, 1);
    board(c, m, "rail", v3(-50, 200, 284), v3(120, 20, 16));
    touch_all(c, m);
    plan_views(c, m, &w);
    for (int i = 0; i < w.steps.at[1].picture.lines.n; i++) {
        const Line2 *l = &w.steps.at[1].picture.lines.at[i];
        if (l->kind != LINE_EXTRA)
            continue;
        /* from the rail's face to the top of the leg, where it lands */
        assert_true(fabs(l->b.y - l->a.y) > 25);
        n++;
    }
    assert_int_equal(n, 1);
}

static void the_author_says_where_the_reader_stands(void **state) {
    Ctx      *c = *state;
    Model    *m = strip_behind_a_wall(c);
    Workplan  w = { 0 };

    m->steps.at[1].has_view = true;
    m->steps.at[1].view     = v3(0, -3, 0);
    plan_views(c, m, &w);
    assert_v3(w.steps.at[1].camera.toward, 0, -1, 0);
    /* hidden from there, and the view says so */
    assert_int_equal(w.steps.at[1].anchors.n, 1);
    assert_false(w.steps.at[1].anchors.at[0].seen);
}

static int bodies_drawn(const View *v, int n_pieces) {
    int n = 0;

    for (int id = 0; id < n_pieces; id++)
        for (int i = 0; i < v->picture.lines.n; i++)
            if (v->picture.lines.at[i].id == id) {
                n++;
                break;
            }
    return n;
}

static void a_small_piece_is_shown_close(void **state) {
    Ctx      *c = *state;
    Model    *m = NEW(c, Model);
    Workplan  w = { 0 };

    step_add(c, m);
    board(c, m, "left post", v3(0, 0, 0), v3(40, 40, 900));
    board(c, m, "right post", v3(1000, 0, 0), v3(40, 40, 900));
    step_add(c, m);
    board(c, m, "foot", v3(1040, 0, 0), v3(60, 40, 40));
    touch_all(c, m);
    plan_views(c, m, &w);
    assert_false(w.steps.at[0].close);
    assert_int_equal(bodies_drawn(&w.steps.at[0], 3), 2);
    assert_true(w.steps.at[1].close);
    assert_int_equal(bodies_drawn(&w.steps.at[1], 3), 2);
    assert_int_equal(bodies_drawn(&w.cover, 3), 3);
}

static void jigs_are_not_on_the_cover(void **state) {
    Ctx      *c = *state;
    Model    *m = floor_and_wall(c);
    Workplan  w = { 0 };

    m->parts.at[1].jig = true;
    step_add(c, m);
    board(c, m, "rail", v3(0, 0, 18), v3(600, 18, 18));
    touch_all(c, m);
    plan_views(c, m, &w);
    assert_int_equal(bodies_drawn(&w.cover, 3), 2);
    assert_int_equal(bodies_drawn(&w.steps.at[1], 3), 2);
    /* it has left the work again */
    assert_int_equal(bodies_drawn(&w.steps.at[2], 3), 2);
}

static void a_part_lies_with_its_length_across(void **state) {
    Ctx      *c = *state;
    Workplan  w = { 0 };
    Box2      b;
    double    depth;
    V2        x;

    plan_views(c, floor_and_wall(c), &w);
    assert_int_equal(w.parts.n, 2);
    b = w.parts.at[0].picture.box;
    assert_true(b.max.x - b.min.x > b.max.y - b.min.y);
    x = camera_project(&w.parts.at[0].camera, v3(1, 0, 0), &depth);
    assert_true(x.x > 0.85);
    assert_true(w.parts.at[0].camera.toward.z > 0.5);
    assert_int_equal(w.parts.at[0].picture.patches.n, 0);
}

static void views_are_the_same_every_time(void **state) {
    Ctx      *c = *state;
    Buf       one = BUF(c), two = BUF(c);
    Workplan  w = { 0 }, v = { 0 };

    plan_views(c, tray(c), &w);
    plan_views(c, tray(c), &v);
    for (int i = 0; i < w.steps.n; i++) {
        picture_dump(&one, &w.steps.at[i].picture);
        picture_dump(&two, &v.steps.at[i].picture);
    }
    assert_true(one.n > 0);
    assert_true(str_eq(buf_done(&one), buf_done(&two)));
}

/* ---- Lots ---- */

/* The contact's plane, which touch_boxes does not tell. */
static void set_normals(Ctx *c, Model *m) {
    for (int i = 0; i < m->contacts.n; i++) {
        Contact *t = &m->contacts.at[i];
        Box3     a = m->pieces.at[t->a].box, b = m->pieces.at[t->b].box;
        V3       n = { 0, 0, 0 };
        if (fabs(a.min.x - b.max.x) < 1e-6 || fabs(a.max.x - b.min.x) < 1e-6)
            n.x = a.min.x > b.min.x ? 1 : -1;
        else if (fabs(a.min.y - b.max.y) < 1e-6
                 || fabs(a.max.y - b.min.y) < 1e-6)
            n.y = a.min.y > b.min.y ? 1 : -1;
        else
            n.z = a.min.z > b.min.z ? 1 : -1;
        t->normal  = NEW(c, V3);
        *t->normal = n;
        t->normals = 1;
    }
}

/* A deck, then in one step three courses of two tiles, each course lying
 * half on the one before. */
static void courses_go_in_as_a_chain(void **state) {
    Ctx   *c = *state;
    Model *m = NEW(c, Model);
    Scene  s;
    int    tile;

    step_add(c, m);
    board(c, m, "deck", v3(0, 0, 0), v3(400, 400, 20));
    step_add(c, m);
    tile = part_add(c, m, "T", v3(200, 100, 10));
    for (int i = 0; i < 6; i++)
        piece_at(c, m, "tile", tile,
                 v3(200 * (i % 2), 50 * (i / 2), 20 + 10 * (i / 2)));
    touch_all(c, m);
    set_normals(c, m);
    s = spread(c, m, 1);
    assert_int_equal(s.lots.n, 3);
    assert_true(s.courses);
    for (int i = 0; i < 3; i++) {
        assert_v3(v3_sub(off_of(&s, 1 + 2 * i), off_of(&s, 2 + 2 * i)), 0, 0,
                  0);
        assert_v3(v3_unit(off_of(&s, 1 + 2 * i)), 0, 0, 1);
        if (i > 0)
            assert_true(off_of(&s, 1 + 2 * i).z
                        >= off_of(&s, 2 * i).z + 10);
    }
}

/* Two courses on each of two slopes, one of which the reader sees edge on:
 * there they are drawn where they belong. */
static void courses_seen_edge_on_stay_in_place(void **state) {
    Ctx   *c = *state;
    Model *m = NEW(c, Model);
    V3     home = camera_home().toward;
    double steep = atan2(home.z, -home.y);   // the far slope, edge on
    Scene  s;
    int    tile;

    step_add(c, m);
    board(c, m, "deck", v3(0, 0, 0), v3(400, 400, 20));
    step_add(c, m);
    tile = part_add(c, m, "T", v3(200, 100, 10));
    for (int i = 0; i < 4; i++) {
        Piece *p;
        piece_at(c, m, "tile", tile,
                 v3(200 * (i / 2), 50 * (i % 2), 20 + 10 * (i % 2)));
        if (i < 2)
            continue;
        p = &m->pieces.at[m->pieces.n - 1];
        p->frame = frame_turn(p->frame, v3(0, 0, 20), v3(1, 0, 0),
                              -(steep + 0.05));
    }
    touch_all(c, m);
    set_normals(c, m);
    s = spread(c, m, 1);
    assert_int_equal(s.lots.n, 4);
    assert_true(s.courses);
    for (int i = 1; i <= 4; i++) {
        double off = v3_len(off_of(&s, i));
        assert_true(s.lots.at[s.owner[i]].rests == (i > 2));
        assert_true(i > 2 ? off == 0 : off > 20);
    }
}

/* Four like posts, two inside of the left wall, two inside of the right. */
static void pieces_held_from_two_sides_are_two_lots(void **state) {
    Ctx   *c = *state;
    Model *m = NEW(c, Model);
    Scene  s;
    int    post;

    step_add(c, m);
    board(c, m, "left", v3(0, 0, 0), v3(20, 300, 400));
    board(c, m, "right", v3(600, 0, 0), v3(20, 300, 400));
    step_add(c, m);
    post = part_add(c, m, "P", v3(40, 40, 400));
    for (int i = 0; i < 4; i++)
        piece_at(c, m, "post", post,
                 v3(i / 2 ? 560 : 20, i % 2 ? 260 : 0, 0));
    touch_all(c, m);
    set_normals(c, m);
    s = spread(c, m, 1);
    assert_int_equal(s.lots.n, 2);
    assert_int_equal(s.owner[2], s.owner[3]);
    assert_int_equal(s.owner[4], s.owner[5]);
}

/* Two posts with a rail behind or before them, at x. */
static void frame_at(Ctx *c, Model *m, int post, int rail, double x,
                     bool before) {
    piece_at(c, m, "post", post, v3(x, 0, 0));
    piece_at(c, m, "post", post, v3(x + 200, 0, 0));
    piece_at(c, m, "rail", rail, v3(x, before ? -20 : 40, 300));
}

static int copies_of(Ctx *c, double wider, bool turned, int *fresh) {
    Model    *m = NEW(c, Model);
    Workplan  w = { 0 };
    int       post, rail;

    step_add(c, m);
    post = part_add(c, m, "P", v3(40, 40, 400));
    rail = part_add(c, m, "R", v3(240, 20, 60));
    frame_at(c, m, post, rail, 0, false);
    frame_at(c, m, post, rail, 1000, turned);
    if (wider > 0)
        m->pieces.at[5].frame.o.z += wider;
    m->pieces.at[5].box = solid_box(m->parts.at[rail].solid,
                                    &m->pieces.at[5].frame);
    touch_all(c, m);
    plan_views(c, m, &w);
    *fresh = w.steps.at[0].fresh.n;
    return w.steps.at[0].copies;
}

static void what_is_made_twice_is_drawn_once(void **state) {
    Ctx *c = *state;
    int  fresh;

    assert_int_equal(copies_of(c, 0, false, &fresh), 2);
    assert_int_equal(fresh, 3);
    /* Half a turn about a plumb line makes one of the other. */
    assert_int_equal(copies_of(c, 0, true, &fresh), 2);
    assert_int_equal(fresh, 3);
    /* Its rail sits 5 mm higher. */
    assert_int_equal(copies_of(c, 5, false, &fresh), 1);
    assert_int_equal(fresh, 6);
}

/* ---- Nails show the way ---- */

static void a_nailed_board_comes_along_its_nails(void **state) {
    Ctx   *c = *state;
    Model *m = NEW(c, Model);
    Scene  s;

    step_add(c, m);
    board(c, m, "post", v3(0, 0, 0), v3(40, 40, 900));
    board(c, m, "other post", v3(600, 0, 0), v3(40, 40, 900));
    step_add(c, m);
    board(c, m, "rail", v3(0, 40, 700), v3(640, 20, 100));   // behind
    touch_all(c, m);
    s = spread(c, m, 1);
    assert_v3(v3_unit(off_of(&s, 2)), 0, 0, 1);
    for (int i = 0; i < 2; i++)
        *PUSH(c, &m->fasteners) = (Fastener){
            .step = 1, .from = 2, .into = i, .head = v3(20 + 600 * i, 60, 750),
            .axis = v3(0, -1, 0), .length = 50
        };
    s = spread(c, m, 1);
    assert_v3(v3_unit(off_of(&s, 2)), 0, 1, 0);
}

/* A board that stands on a floor in the very plane of the reader's sight. */
static void a_board_seen_edge_on_is_walked_around(void **state) {
    Ctx      *c = *state;
    Model    *m = NEW(c, Model);
    Workplan  w = { 0 };
    Piece    *p;
    V3        home;

    step_add(c, m);
    board(c, m, "floor", v3(0, 0, 0), v3(600, 600, 18));
    step_add(c, m);
    board(c, m, "leaf", v3(300, 300, 18), v3(250, 5, 300));
    touch_all(c, m);
    plan_views(c, m, &w);
    home = w.steps.at[1].camera.toward;
    p = &m->pieces.at[1];
    p->frame = frame_turn(p->frame, p->frame.o, v3(0, 0, 1),
                          atan2(home.y, home.x));
    p->box   = solid_box(m->parts.at[1].solid, &p->frame);
    assert_near(v3_dot(p->frame.y, home), 0, 1e-9);
    w = (Workplan){ 0 };
    plan_views(c, m, &w);
    assert_true(fabs(v3_dot(p->frame.y, w.steps.at[1].camera.toward)) > 0.3);
}

/* ---- Guides and details ---- */

/* A wall behind a screen that hides the middle of its foot. */
static void a_guide_stands_where_it_is_seen(void **state) {
    Ctx      *c = *state;
    Model    *m = NEW(c, Model);
    Workplan  w = { 0 };
    double    most = 0, all;
    const View *v;

    step_add(c, m);
    board(c, m, "floor", v3(0, 0, 0), v3(900, 300, 18));
    board(c, m, "screen", v3(350, 60, 18), v3(300, 18, 250));
    step_add(c, m);
    board(c, m, "wall", v3(0, 260, 18), v3(900, 18, 200));
    touch_all(c, m);
    plan_views(c, m, &w);
    v = &w.steps.at[1];
    for (int i = 0; i < v->picture.lines.n; i++)
        if (v->picture.lines.at[i].kind == LINE_EXTRA) {
            assert_int_equal(v->picture.lines.at[i].id, 2);
            most = fmax(most, v2_len(v2_sub(v->picture.lines.at[i].b,
                                            v->picture.lines.at[i].a)));
        }
    /* The wall moves up by 0.08 of the diagonal of 900 x 300 x 268; of the
     * line to its middle the screen hides all. Its own front hides what
     * begins under it. */
    all = 79 * sqrt(1 - v->camera.toward.z * v->camera.toward.z);
    assert_true(most > 0.85 * all && most < all);
}

/* So far from the floor's front edge. */
static const View *with_stick(Ctx *c, double thick, double back) {
    Model    *m = NEW(c, Model);
    Workplan  w = { 0 };

    step_add(c, m);
    board(c, m, "floor", v3(0, 0, 0), v3(600, 300, 18));
    step_add(c, m);
    board(c, m, "stick", v3(300, back, 18), v3(thick, thick, 200));
    touch_all(c, m);
    plan_views(c, m, &w);
    return &w.steps.at[1];
}

static void a_thin_joint_is_drawn_larger(void **state) {
    Ctx        *c = *state;
    const View *v = with_stick(c, 8, 0), *d = v->detail;

    assert_non_null(d);
    assert_true(v->detail_times >= 2 && v->detail_times <= 5);
    assert_near(v3_len(v3_sub(d->camera.toward, v->camera.toward)), 0,
                1e-12);
    /* All of it lies in the disc. */
    for (int i = 0; i < d->picture.lines.n; i++) {
        V2 mid = v2_scale(v2_add(d->picture.box.min, d->picture.box.max),
                          0.5);
        assert_true(v2_len(v2_sub(d->picture.lines.at[i].a, mid))
                    < v->detail_radius + 1e-6);
        assert_true(v2_len(v2_sub(d->picture.lines.at[i].b, mid))
                    < v->detail_radius + 1e-6);
    }
    assert_true(d->picture.patches.n > 0);
    assert_null(with_stick(c, 60, 0)->detail);
}

/* In the middle of a bare face nothing shows where it lands. */
static void a_joint_without_an_edge_near_is_not_drawn_larger(void **state) {
    assert_non_null(with_stick(*state, 8, 2)->detail);
    assert_null(with_stick(*state, 8, 100)->detail);
}

/* A lath is nailed down near to the corner that the disc shows, and far from
 * it. */
static void a_detail_shows_its_nails(void **state) {
    Ctx        *c = *state;
    Model      *m = NEW(c, Model);
    Workplan    w = { 0 };
    const View *d;
    bool        drawn = false;

    step_add(c, m);
    board(c, m, "floor", v3(0, 0, 0), v3(600, 300, 18));
    step_add(c, m);
    board(c, m, "lath", v3(100, 0, 18), v3(400, 10, 10));
    touch_all(c, m);
    (void)PUSH(c, &m->hardware);
    (void)PUSH(c, &m->rows);
    for (int i = 0; i < 2; i++)
        *PUSH(c, &m->fasteners) = (Fastener){
            .step = 1, .from = 1, .into = 0, .length = 12,
            .head = v3(i ? 495 : 150, 5, 28), .axis = v3(0, 0, -1)
        };
    plan_views(c, m, &w);
    d = w.steps.at[1].detail;
    assert_non_null(d);
    assert_int_equal(d->driven.n, 1);
    assert_int_equal(d->driven.at[0].fastener, 1);
    /* Its stroke is in the disc; nothing of the other is. */
    for (int i = 0; i < d->picture.lines.n; i++) {
        assert_int_not_equal(d->picture.lines.at[i].id, 2);
        drawn |= d->picture.lines.at[i].kind == LINE_STROKE
              && d->picture.lines.at[i].id == 3;
    }
    assert_true(drawn);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(a_wall_on_a_floor_comes_from_above),
        TEST(a_front_comes_from_the_front),
        TEST(the_first_piece_of_all_stays),
        TEST(a_tongue_leaves_its_slot_along_the_slot_only),
        TEST(a_slanted_slot_is_left_along_its_own_axis),
        TEST(a_boxed_in_piece_is_drawn_in_its_place),
        TEST(the_same_piece_added_before_the_top_is_not),
        TEST(like_pieces_part_ways_if_they_must),
        TEST(feet_come_from_below),
        TEST(boards_of_a_glue_up_are_drawn_one_by_one),
        TEST(a_row_moves_as_one_with_three_guides),
        TEST(what_lies_below_goes_in_first_and_moves_less),
        TEST(what_touches_only_new_pieces_rides_on_them),
        TEST(nothing_is_left_hanging_in_the_air),
        TEST(a_piece_goes_along_with_the_new_one_that_bears_it),
        TEST(the_author_says_where_it_comes_from),
        TEST(a_guide_begins_at_the_contact),
        TEST(a_guide_is_drawn_in_the_picture),
        TEST(letters_point_into_what_is_seen_of_their_part),
        TEST(only_new_pieces_have_patches_in_a_step),
        TEST(three_views_have_width_height_and_depth),
        TEST(the_cover_is_seen_from_front_right_above),
        TEST(the_reader_walks_around_to_see_a_hidden_piece),
        TEST(the_reader_walks_around_to_see_every_piece),
        TEST(guides_of_one_joint_share_nothing),
        TEST(the_author_says_where_the_reader_stands),
        TEST(a_small_piece_is_shown_close),
        TEST(jigs_are_not_on_the_cover),
        TEST(a_part_lies_with_its_length_across),
        TEST(views_are_the_same_every_time),
        TEST(courses_go_in_as_a_chain),
        TEST(courses_seen_edge_on_stay_in_place),
        TEST(pieces_held_from_two_sides_are_two_lots),
        TEST(what_is_made_twice_is_drawn_once),
        TEST(a_nailed_board_comes_along_its_nails),
        TEST(a_guide_stands_where_it_is_seen),
        TEST(a_board_seen_edge_on_is_walked_around),
        TEST(a_thin_joint_is_drawn_larger),
        TEST(a_joint_without_an_edge_near_is_not_drawn_larger),
        TEST(a_detail_shows_its_nails),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
