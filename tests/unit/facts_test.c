/* facts_test -- what pieces say of each other: near boxes, contacts,
 * interference, ways in, orders, standing. Check values are closed forms
 * for boxes, or the slow way over all pairs. */
#include "test.h"

#include "model/model.h"

#include <math.h>

/* A fixed sequence; no test depends on chance. */
static uint32_t next(uint32_t *seed) {
    *seed = *seed * 1664525u + 1013904223u;
    return *seed >> 8;
}

static double in_range(uint32_t *seed, double lo, double hi) {
    return lo + (hi - lo) * (next(seed) % 10000) / 10000.0;
}

static Solid *block(Ctx *c, double x, double y, double z) {
    Solid *s     = NEW(c, Solid);
    int    curve = 1;
    Slab   slab  = { shape_rect(c, v2(0, 0), v2(x, y)), 0, z };

    solid_add_slab(c, s, &slab, 0.02, &curve);
    solid_finish(c, s);
    return s;
}

static Frame at(double x, double y, double z) {
    Frame f = FRAME_WORLD;

    f.o = v3(x, y, z);
    return f;
}

/* ---- Boxes ---- */

static void near_boxes_are_those_of_all_pairs(void **state) {
    enum { N = 300 };
    Ctx     *c     = *state;
    uint32_t random = 5;
    Box3     boxes[N];
    BoxPairs got;
    int      n = 0;

    for (int i = 0; i < N; i++) {
        V3 p = v3(in_range(&random, 0, 40), in_range(&random, 0, 40),
                  in_range(&random, 0, 40));
        V3 d = v3(in_range(&random, 0, i % 50 ? 9 : 90),
                  in_range(&random, 0, 9), in_range(&random, 0, 9));
        boxes[i] = (Box3){ p, v3_add(p, d) };
    }
    got = boxes_near(c, boxes, N, 1);
    for (int i = 0; i < N; i++)
        for (int k = i + 1; k < N; k++) {
            if (!box3_touch(boxes[i], boxes[k], 1))
                continue;
            assert_true(n < got.n);
            assert_int_equal(got.at[n].a, i);
            assert_int_equal(got.at[n].b, k);
            n++;
        }
    assert_int_equal(got.n, n);
    assert_true(n > N / 4);
}

typedef struct { bool seen[300]; int n, enough; } Seen;

static bool see(int item, void *with) {
    Seen *s = with;

    assert_false(s->seen[item]);
    s->seen[item] = true;
    return ++s->n == s->enough;
}

/* By the slow way, over all of them. */
static void a_tree_shows_all_boxes_near_one(void **state) {
    enum { N = 300 };
    Ctx     *c      = *state;
    uint32_t random = 9;
    Box3     boxes[N];
    BoxTree *tree;
    int      some = 0;

    for (int i = 0; i < N; i++) {
        V3 p = v3(in_range(&random, 0, 40), in_range(&random, 0, 40),
                  in_range(&random, 0, 40));
        boxes[i] = (Box3){ p, v3_add(p, v3(in_range(&random, 0, 9), 2, 3)) };
    }
    tree = box_tree(c, boxes, N);
    for (int i = 0; i < N; i++) {
        Seen all = { .enough = -1 }, one = { .enough = 1 };
        int  n   = 0, item;
        assert_int_equal(box_tree_near(tree, boxes[i], 0.5, see, &all), -1);
        for (int k = 0; k < N; k++) {
            bool near = box3_touch(boxes[k], boxes[i], 0.5);
            assert_int_equal(all.seen[k], near);
            n += near;
        }
        item = box_tree_near(tree, boxes[i], 0.5, see, &one);
        assert_true(item >= 0 && one.seen[item] && one.n == 1);
        some += n - 1;
    }
    assert_true(some > N);
}

static void near_boxes_of_none_and_one_are_none(void **state) {
    Box3 one = { { 0, 0, 0 }, { 1, 1, 1 } };

    assert_int_equal(boxes_near(*state, NULL, 0, 1).n, 0);
    assert_int_equal(boxes_near(*state, &one, 1, 1).n, 0);
}

/* ---- Interference and contact ---- */

/* Closed form: the product of what two boxes share on each axis. */
static void overlap_of_blocks_is_the_product_of_what_they_share(void **state) {
    Ctx     *c = *state;
    uint32_t random = 17;

    for (int i = 0; i < 200; i++) {
        double w = in_range(&random, 5, 50), h = in_range(&random, 5, 50);
        double x = in_range(&random, -60, 60), y = in_range(&random, -60, 60);
        Solid *a = block(c, w, h, 20), *b = block(c, 30, 40, 10);
        Frame  fa = at(0, 0, 0), fb = at(x, y, 5);
        double sx = fmin(w, x + 30) - fmax(0, x);
        double sy = fmin(h, y + 40) - fmax(0, y);
        Overlap o = solid_overlap(c, a, &fa, b, &fb, 0.05);
        Overlap r = solid_overlap(c, b, &fb, a, &fa, 0.05);
        if (fmin(sx, sy) > -0.1 && fmin(sx, sy) < 0.1)
            continue;
        assert_int_equal(o.any, sx > 0 && sy > 0);
        assert_int_equal(o.any, r.any);
        if (!o.any)
            continue;
        assert_true(fabs(o.volume - sx * sy * 10) < 1e-6);
        assert_true(fabs(o.volume - r.volume) < 1e-6);
        assert_true(fabs(o.depth - r.depth) < 1e-9);
    }
}

static void contact_of_blocks_is_what_their_faces_share(void **state) {
    Ctx     *c = *state;
    uint32_t random = 23;

    for (int i = 0; i < 200; i++) {
        double x = in_range(&random, -28, 48), y = in_range(&random, -38, 48);
        Solid *a = block(c, 50, 50, 20), *b = block(c, 30, 40, 10);
        Frame  fa = at(0, 0, 0), fb = at(x, y, 20);
        double area = (fmin(50, x + 30) - fmax(0, x))
                    * (fmin(50, y + 40) - fmax(0, y));
        V3     where;
        bool   touch;
        Abuts  all = solid_touches(c, a, &fa, b, &fb, 0.05, &where, &touch);
        assert_true(touch);
        assert_int_equal(all.n, 1);
        assert_true(fabs(all.at[0].area - area) < 1e-6);
        assert_true(all.at[0].normal.z < -0.999999);
        assert_true(fabs(all.at[0].at.z - 20) < 1e-9);
    }
}

/* Both moved and turned as one: nothing changes but the place. */
static void moving_both_changes_nothing(void **state) {
    Ctx     *c = *state;
    uint32_t random = 31;

    for (int i = 0; i < 200; i++) {
        Solid *a = block(c, 50, 50, 20), *b = block(c, 30, 40, 10);
        Frame  fa = at(0, 0, 0);
        Frame  fb = at(in_range(&random, -30, 50), in_range(&random, -40, 50),
                       i % 2 ? 20 : in_range(&random, 1, 18));
        V3     axis = v3_unit(v3(in_range(&random, -1, 1),
                                 in_range(&random, -1, 1), 1.5));
        V3     by   = v3(in_range(&random, -500, 500), 33, -71);
        double angle = in_range(&random, 0, 6);
        Frame  ga = frame_turn(fa, v3(1, 2, 3), axis, angle);
        Frame  gb = frame_turn(fb, v3(1, 2, 3), axis, angle);
        Overlap o, q;
        bool    t, u;
        V3      where;
        double  area, moved;
        ga.o = v3_add(ga.o, by);
        gb.o = v3_add(gb.o, by);
        o = solid_overlap(c, a, &fa, b, &fb, 0.05);
        q = solid_overlap(c, a, &ga, b, &gb, 0.05);
        assert_int_equal(o.any, q.any);
        assert_true(fabs(o.volume - q.volume) < 1e-4);
        area  = solid_contact(c, a, &fa, b, &fb, 0.05, &where, &t);
        moved = solid_contact(c, a, &ga, b, &gb, 0.05, &where, &u);
        if (!o.any) {
            assert_int_equal(t, u);
            assert_true(fabs(area - moved) < 1e-4);
        }
    }
}

/* The quick way for square blocks against the one for all solids: a block
 * in two cells is no square block. */
static void blocks_stop_each_other_as_cells_do(void **state) {
    static const V3 axes[] = { { 1, 0, 0 }, { -1, 0, 0 }, { 0, 1, 0 },
                               { 0, -1, 0 }, { 0, 0, 1 }, { 0, 0, -1 } };
    Ctx     *c = *state;
    uint32_t random = 41;
    int      curve = 1, stopped = 0;
    Solid   *two = NEW(c, Solid), *one = block(c, 30, 40, 10);
    Slab     low  = { shape_rect(c, v2(0, 0), v2(30, 40)), 0, 4 };
    Slab     high = { shape_rect(c, v2(0, 0), v2(30, 40)), 4, 10 };

    solid_add_slab(c, two, &low, 0.02, &curve);
    solid_add_slab(c, two, &high, 0.02, &curve);
    solid_finish(c, two);
    for (int i = 0; i < 300; i++) {
        Frame fa = at(0, 0, 0);
        Frame fb = at(in_range(&random, -60, 60), in_range(&random, -60, 60),
                      i % 2 ? 10 : -25);
        for (int k = 0; k < 6; k++) {
            bool quick = solid_blocks(c, one, &fa, one, &fb, axes[k]);
            assert_int_equal(quick,
                             solid_blocks(c, two, &fa, one, &fb, axes[k]));
            stopped += quick;
        }
    }
    assert_true(stopped > 50);
}

/* ---- Whole designs ---- */

#define HEAD "{\"rodbook\": 1, \"title\": \"Bench\", \"stock\": {\"board\": " \
    "{\"wood\": \"red oak\", \"thickness\": \"1in\", \"width\": \"10in\", "   \
    "\"sold\": [{\"length\": \"8ft\"}]}}, \"parts\": {"                       \
    "\"A\": {\"name\": \"Seat\", \"from\": \"board\", \"length\": \"30in\"}," \
    "\"B\": {\"name\": \"Leg\", \"from\": \"board\", \"length\": \"15in\"},"  \
    "\"C\": {\"name\": \"Shelf\", \"from\": \"board\", \"length\": \"20in\"}},"

static const Model *model_of(Ctx *c, const char *rest) {
    Str           text = str_fmt(c, HEAD "%s}", rest);
    const Design *d = design_parse(c, source_add(c, "test.json", text));

    return d ? model_build(c, d, sizes_new(c)) : NULL;
}

static const char table[] =
    "\"pieces\": [{\"part\": \"B\", \"as\": \"left leg\", \"at\": [\"4in\", "
    "\"0in\", \"0in\"], \"length runs\": \"up\", \"face\": \"left\"},"
    "{\"part\": \"B\", \"as\": \"right leg\", \"at\": [\"25in\", \"0in\", "
    "\"0in\"], \"length runs\": \"up\", \"face\": \"left\"},"
    "{\"part\": \"A\", \"as\": \"seat\", \"at\": [\"0in\", \"0in\", "
    "\"15in\"]},"
    "{\"part\": \"C\", \"as\": \"shelf\", \"at\": [\"5in\", \"0in\", "
    "\"6in\"]}]";

/* By hand: legs 4 to 5 and 25 to 26, 15 high; seat 0 to 30 at 15.5; shelf
 * 5 to 25 at 6.5. All 1 in thick and 10 in wide, so masses go by lengths
 * 15, 15, 30, 20. Height (30 * 7.5 + 30 * 15.5 + 20 * 6.5) / 80 = 10.25;
 * front to back it tips first: margin 5, atan(5 / 10.25) = 26.003 deg. */
static void standing_agrees_with_a_sum_by_hand(void **state) {
    const Model *m = model_of(*state, table);
    Standing     s;

    assert_non_null(m);
    s = model_stands(*state, m);
    assert_true(s.known && s.stands && s.density_known);
    assert_true(fabs(s.center.x - 15 * 25.4) < 1e-6);
    assert_true(fabs(s.center.y - 5 * 25.4) < 1e-6);
    assert_true(fabs(s.height - 10.25 * 25.4) < 1e-6);
    assert_true(fabs(s.margin - 5 * 25.4) < 1e-6);
    assert_true(fabs(s.angle_deg - 26.0030) < 1e-3);
    assert_int_equal(s.feet.n, 4);
    assert_true(fabs(s.weight_kg - m->weight_kg) < 1e-9);
}

static void an_order_is_found_from_the_ground_up(void **state) {
    const Model *m = model_of(*state, table);

    assert_non_null(m);
    assert_true(m->order_found);
    assert_int_equal(m->steps.n, 3);
    assert_int_equal(m->pieces.at[0].step, 0);   // both legs at once
    assert_int_equal(m->pieces.at[1].step, 0);
    assert_int_equal(m->pieces.at[3].step, 1);
    assert_int_equal(m->pieces.at[2].step, 2);
}

/* Undone piece by piece, no piece of a found order meets another when it
 * is moved out in small steps (a way of testing that shares nothing with
 * the sweep). */
static void a_found_order_can_be_done(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, table);
    Blocking    *b = blocking_new(c, m);

    for (int k = 0; k < m->steps.n; k++)
        for (int i = 0; i < m->steps.at[k].add.n; i++) {
            int          p   = m->steps.at[k].add.at[i];
            const Piece *own = &m->pieces.at[p];
            V3           dir;
            assert_true(blocking_way(b, p, NULL, NULL, &dir));
            for (int q = 0; q < m->pieces.n; q++)
                for (int t = 0; t <= 40 && blocking_stands(b, q); t++) {
                    Frame f = own->frame;
                    f.o = v3_add(f.o, v3_scale(dir, 25.4 * t));
                    assert_false(solid_overlap(c,
                        m->parts.at[own->part].solid, &f,
                        m->parts.at[m->pieces.at[q].part].solid,
                        &m->pieces.at[q].frame, 0.05).any);
                }
            blocking_put(b, p);
        }
}

static void a_contact_tells_its_normal_from_b_into_a(void **state) {
    const Model *m = model_of(*state, table);

    assert_int_equal(m->contacts.n, 4);
    assert_int_equal(m->contacts.at[0].a, 0);   // left leg and seat
    assert_int_equal(m->contacts.at[0].b, 2);
    assert_int_equal(m->contacts.at[0].normals, 1);
    assert_true(m->contacts.at[0].normal[0].z < -0.999);
    assert_true(fabs(m->contacts.at[0].area - 10 * 25.4 * 25.4) < 1e-6);
}

/* A bar through a plate, between two sides: neither comes by itself, as
 * the sides stop the bar and the bar the plate. */
#define LOCKED "{\"rodbook\": 1, \"title\": \"Rack\", \"hangs\": true, " \
    "\"stock\": {\"board\": {\"wood\": \"red oak\", \"thickness\": \"1in\", " \
    "\"width\": \"10in\", \"sold\": [{\"length\": \"8ft\"}]}}, \"parts\": {" \
    "\"A\": {\"name\": \"Floor\", \"from\": \"board\", \"length\": \"30in\"}," \
    "\"B\": {\"name\": \"Side\", \"from\": \"board\", \"length\": \"15in\"}," \
    "\"D\": {\"name\": \"Plate\", \"from\": \"board\", \"length\": \"6in\", " \
    "\"features\": [{\"mortise\": {\"at\": [\"2in\", \"3in\"], \"length\": " \
    "\"1in\", \"width\": \"4in\"}}]}," \
    "\"E\": {\"name\": \"Bar\", \"from\": \"board\", \"length\": \"20in\", " \
    "\"width\": \"4in\"}}, \"pieces\": [" \
    "{\"part\": \"A\", \"as\": \"floor\", " \
    "\"at\": [\"0in\", \"0in\", \"0in\"]}," \
    "{\"part\": \"B\", \"as\": \"left\", " \
    "\"at\": [\"0in\", \"0in\", \"1in\"], " \
    "\"length runs\": \"up\", \"face\": \"left\"}," \
    "{\"part\": \"B\", \"as\": \"right\", " \
    "\"at\": [\"21in\", \"0in\", \"1in\"]," \
    "\"length runs\": \"up\", \"face\": \"left\"}," \
    "{\"part\": \"D\", \"as\": \"plate\", \"at\": [\"10in\", \"0in\", " \
    "\"1in\"], \"length runs\": \"up\", \"face\": \"left\"}," \
    "{\"part\": \"E\", \"as\": \"bar\", \"at\": [\"1in\", \"3in\", \"3in\"]}]"

static const Model *locked(Ctx *c, const char *steps) {
    Str           text = str_fmt(c, LOCKED "%s}", steps);
    const Design *d = design_parse(c, source_add(c, "test.json", text));

    return d ? model_build(c, d, sizes_new(c)) : NULL;
}

static void what_goes_in_only_together_may_come_as_one(void **state) {
    const Model *m = locked(*state, ", \"steps\": [{\"title\": \"Frame\", "
        "\"add\": [\"floor\", \"left\", \"right\"]}, {\"title\": "
        "\"Bar\", \"add\": [\"plate\", \"bar\"]}]");

    assert_non_null(m);
    assert_near(v3_len(v3_sub(m->pieces.at[3].comes,
                              m->pieces.at[4].comes)), 0, 1e-9);
}

static void one_after_the_other_they_lock(void **state) {
    Ctx *c = *state;

    assert_null(locked(c, ", \"steps\": [{\"title\": \"Frame\", \"add\": "
        "[\"floor\", \"left\", \"right\", \"bar\"]}, {\"title\": "
        "\"Bar\", \"add\": [\"plate\"]}]"));
    assert_int_equal(c->diags.n, 1);
    assert_int_equal(c->diags.at[0].code, BLOCKED);
    assert_non_null(strstr(c->diags.at[0].what.s, "'plate'"));
    assert_non_null(strstr(c->diags.at[0].what.s, "'bar'"));
}

static void an_order_is_found_for_what_locks(void **state) {
    Ctx         *c = *state;
    const Model *m = locked(c, "");

    assert_non_null(m);
    assert_true(m->order_found);
    for (int i = 0; i < m->pieces.n; i++)
        assert_true(m->pieces.at[i].step >= 0);
    assert_int_equal(c->diags.n, 0);
}

/* ---- What holds ---- */

static int unheld_of(Ctx *c, const char *steps) {
    Str text = str_fmt(c, "%s, \"steps\": [%s]", table, steps);

    c->diags.n = c->errors = 0;
    (void)!model_of(c, str_z(c, text));
    for (int i = 0; i < c->diags.n; i++)
        assert_int_equal(c->diags.at[i].code, UNHELD);
    return c->diags.n;
}

/* The shelf hangs between the legs: before them nothing holds it. */
static void what_hangs_in_the_air_needs_a_clamp(void **state) {
    Ctx *c = *state;

    assert_int_equal(unheld_of(c, "{\"title\": \"A\", \"add\": [\"left "
        "leg\"]}, {\"title\": \"B\", \"add\": [\"shelf\"]}, {\"title\": "
        "\"C\", \"add\": [\"right leg\", \"seat\"]}"), 0);
    assert_int_equal(unheld_of(c, "{\"title\": \"A\", \"add\": [\"seat\"]}, "
        "{\"title\": \"B\", \"add\": [\"shelf\"]}, {\"title\": "
        "\"C\", \"add\": [\"right leg\", \"left leg\"]}"), 1);
    assert_true(c->errors == 1);
    assert_int_equal(unheld_of(c, "{\"title\": \"A\", \"add\": [\"seat\"]}, "
        "{\"title\": \"B\", \"add\": [\"shelf\"], \"hold\": [{\"pieces\": "
        "[\"shelf\"], \"with\": \"two clamps\"}]}, {\"title\": "
        "\"C\", \"add\": [\"right leg\", \"left leg\"]}"), 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(near_boxes_are_those_of_all_pairs),
        TEST(a_tree_shows_all_boxes_near_one),
        TEST(near_boxes_of_none_and_one_are_none),
        TEST(overlap_of_blocks_is_the_product_of_what_they_share),
        TEST(contact_of_blocks_is_what_their_faces_share),
        TEST(moving_both_changes_nothing),
        TEST(blocks_stop_each_other_as_cells_do),
        TEST(standing_agrees_with_a_sum_by_hand),
        TEST(an_order_is_found_from_the_ground_up),
        TEST(a_found_order_can_be_done),
        TEST(what_goes_in_only_together_may_come_as_one),
        TEST(one_after_the_other_they_lock),
        TEST(an_order_is_found_for_what_locks),
        TEST(what_hangs_in_the_air_needs_a_clamp),
        TEST(a_contact_tells_its_normal_from_b_into_a),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
