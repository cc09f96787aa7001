/* touch_test -- where solids lie on each other, lines through them, and
 * the room around a point. Check values are closed forms, or another way
 * through the same solids (cells instead of faces, rays instead of planes).
 */
#include "unit/test.h"

#include "geom/geom.h"

#include <math.h>

#define SLACK 1e-3   // cells share nothing that is narrower

/* A fixed sequence; no test depends on chance. */
static double in_range(uint32_t *seed, double lo, double hi) {
    *seed = *seed * 1664525u + 1013904223u;
    return lo + (hi - lo) * (*seed >> 8) / 16777216.0;
}

static Solid *slab_of(Ctx *c, Shape shape, double thick) {
    Solid *s     = NEW(c, Solid);
    Slab   slab  = { shape, 0, thick };
    int    curve = 1;

    solid_add_slab(c, s, &slab, 0.02, &curve);
    solid_finish(c, s);
    return s;
}

static Solid *board(Ctx *c, double x, double y, double z) {
    return slab_of(c, shape_rect(c, v2(0, 0), v2(x, y)), z);
}

static Shape polygon(Ctx *c, const V2 *p, int n) {
    Shape s = { 0 };
    Loop *l = PUSH(c, &s.loops);

    for (int i = 0; i < n; i++)
        loop_line_to(c, l, p[i], p[(i + 1) % n]);
    return s;
}

static double sum_of(const TouchPatches *all) {
    double sum = 0;

    for (int i = 0; i < all->n; i++)
        sum += all->at[i].area;
    return sum;
}

static double patch_area(const TouchPatch *p) {
    return polygons_area(p->where);
}

/* ---- Patches ---- */

/* A board with a notch, a window and a round end: faces of all kinds. */
static Solid *odd_board(Ctx *c) {
    static const V2 p[] = {
        { 0, 0 }, { 200, 0 }, { 200, 100 }, { 120, 100 }, { 120, 70 },
        { 80, 70 }, { 80, 100 }, { 0, 100 }
    };
    Shape s = polygon(c, p, 8);

    s = shape_subtract(c, s, shape_rect(c, v2(30, 30), v2(60, 60)));
    s = shape_subtract(c, s, shape_circle(c, v2(200, 50), 20));
    return slab_of(c, s, 20);
}

/* By another way: solid_contact adds up what convex cells share. */
static void patches_add_up_to_the_contact_of_cells(void **state) {
    Ctx     *c    = *state;
    uint32_t seed = 3;
    Solid   *odd  = odd_board(c);
    int      some = 0;

    for (int i = 0; i < 300; i++) {
        Solid *other = i % 3 ? board(c, in_range(&seed, 5, 120),
                                     in_range(&seed, 5, 60), 10) : odd;
        Frame  fa = FRAME_WORLD, fb = FRAME_WORLD;
        V3     at;
        bool   touch;
        double area;
        TouchPatches ab, ba;
        fb.o = v3(in_range(&seed, -60, 180), in_range(&seed, -40, 90), 20);
        fb   = frame_turn(fb, fb.o, v3(0, 0, 1),
                          i % 2 ? in_range(&seed, 0, 6) : 0);
        fa   = frame_turn(fa, v3(9, 8, 7), v3_unit(v3(1, 2, 2)), i * 0.1);
        fb   = frame_turn(fb, v3(9, 8, 7), v3_unit(v3(1, 2, 2)), i * 0.1);
        area = solid_contact(c, odd, &fa, other, &fb, SLACK, &at, &touch);
        ab   = solid_patches(c, odd, &fa, other, &fb, SLACK);
        ba   = solid_patches(c, other, &fb, odd, &fa, SLACK);
        some += area > 1;
        assert_near(sum_of(&ab), area, 0.1);
        assert_near(sum_of(&ba), area, 0.1);
        for (int k = 0; k < ab.n; k++)
            assert_near(patch_area(&ab.at[k]), ab.at[k].area, 1e-6);
    }
    assert_true(some > 150);
}

/* Closed form; the second board lies all in the first one's face, which is
 * not convex, then all in its window. */
static void a_board_within_a_face_is_the_patch(void **state) {
    Ctx   *c   = *state;
    Solid *odd = odd_board(c), *small = board(c, 20, 25, 10);
    Frame  fa  = FRAME_WORLD, fb = FRAME_WORLD;
    TouchPatches p;

    fb.o = v3(100, 10, 20);
    p = solid_patches(c, odd, &fa, small, &fb, SLACK);
    assert_int_equal(p.n, 1);
    assert_int_equal(p.at[0].where.parts.n, 1);
    assert_int_equal(p.at[0].where.parts.at[0].at[0].n, 4);
    assert_near(p.at[0].area, 500, 1e-6);
    fb.o = v3(32, 32, 20);
    p = solid_patches(c, odd, &fa, small, &fb, SLACK);
    assert_int_equal(p.n, 0);
}

/* A board of one cell, and the same of six. */
static void patches_do_not_know_of_cells(void **state) {
    Ctx   *c     = *state;
    Solid *whole = board(c, 120, 40, 20), *parts = NEW(c, Solid);
    Solid *on    = board(c, 90, 15, 10);
    Frame  fa    = FRAME_WORLD, fb = FRAME_WORLD;
    int    curve = 1;
    TouchPatches p, q;

    for (int i = 0; i < 6; i++) {
        Slab slab = { shape_rect(c, v2(20 * i, 0), v2(20 * i + 20, 40)),
                      0, 20 };
        solid_add_slab(c, parts, &slab, 0.02, &curve);
    }
    solid_finish(c, parts);
    assert_int_equal(parts->cells.n, 6);
    fb.o = v3(11, 13, 20);
    fb   = frame_turn(fb, fb.o, v3(0, 0, 1), 0.1);
    p = solid_patches(c, whole, &fa, on, &fb, SLACK);
    q = solid_patches(c, parts, &fa, on, &fb, SLACK);
    assert_int_equal(p.n, 1);
    assert_int_equal(q.n, 1);
    assert_int_equal(q.at[0].where.parts.n, 1);
    assert_int_equal(p.at[0].where.parts.at[0].at[0].n,
                     q.at[0].where.parts.at[0].at[0].n);
    assert_near(p.at[0].area, q.at[0].area, 1e-6);
    assert_near(p.at[0].area, 90 * 15, 0.05);   // all of it
}

/* A shelf's end in its dado lies on three faces; the two walls share as
 * much, so they stay in the order of the faces. */
static void the_largest_patch_is_first(void **state) {
    static const V2 p[] = {
        { 0, 0 }, { 50, 0 }, { 50, 8 }, { 68, 8 }, { 68, 0 }, { 118, 0 },
        { 118, 20 }, { 0, 20 }
    };
    Ctx   *c    = *state;
    Solid *post = slab_of(c, polygon(c, p, 8), 100);
    Solid *rail = board(c, 18, 8, 100);
    Frame  fa   = FRAME_WORLD, fb = FRAME_WORLD;
    TouchPatches t;

    fb.o = v3(50, 0, 0);
    t = solid_patches(c, post, &fa, rail, &fb, SLACK);
    assert_int_equal(t.n, 3);
    assert_near(t.at[0].area, 1800, 1e-6);
    assert_near(t.at[0].n.y, -1, 1e-9);
    assert_near(t.at[1].area, 800, 1e-6);
    assert_near(t.at[2].area, 800, 1e-6);
    assert_true(t.at[1].n.x * t.at[2].n.x < 0);
}

/* ---- Lines ---- */

/* A comb of 40 teeth, 3 mm wide, 5 mm apart: more than the room given. */
static void a_line_finds_every_tooth(void **state) {
    enum { TEETH = 40 };
    Ctx      *c    = *state;
    Shape     comb = shape_rect(c, v2(0, 0), v2(5 * TEETH, 20));
    Stretch   few[FEW_STRETCHES];
    Stretches s    = { few, 0, FEW_STRETCHES };
    Solid    *solid;
    Frame     f    = FRAME_WORLD;

    for (int i = 0; i < TEETH; i++)
        comb = shape_subtract(c, comb, shape_rect(c, v2(5 * i + 3, 10),
                                                  v2(5 * i + 5, 30)));
    solid = slab_of(c, comb, 8);
    f.o   = v3(0, 0, 3);
    solid_along_into(c, solid, &f, v3(-10, 15, 7), v3(1, 0, 0), &s);
    assert_int_equal(s.n, TEETH);
    for (int i = 0; i < TEETH; i++) {
        assert_near(s.at[i].from, 10 + 5 * i, 1e-6);
        assert_near(s.at[i].to, 13 + 5 * i, 1e-6);
        assert_near(s.at[i].to_out.x, 1, 1e-9);
    }
    s = solid_along(c, solid, &f, v3(-10, 5, 7), v3(1, 0, 0));
    assert_int_equal(s.n, 1);   // through the back, however many cells
    assert_near(s.at[0].to - s.at[0].from, 5 * TEETH, 1e-6);
}

/* What is said to be clear lets rays all around go that far; in a board
 * without cuts the distance to its nearest side decides. */
static void a_clear_point_has_wood_all_around(void **state) {
    Ctx     *c    = *state;
    uint32_t seed = 77;
    Solid   *odd  = odd_board(c), *plain = board(c, 200, 100, 20);
    Frame    f    = frame_turn(FRAME_WORLD, v3(1, 2, 3),
                               v3_unit(v3(1, -1, 2)), 0.7);
    int      clear = 0;

    for (int i = 0; i < 400; i++) {
        V3     p = v3(in_range(&seed, 1, 199), in_range(&seed, 1, 99), 10);
        double r = in_range(&seed, 0.5, 15);
        double near = fmin(fmin(p.x, 200 - p.x), fmin(p.y, 100 - p.y));
        V3     at = frame_point(&f, p);
        if (fabs(near - r) > 1e-6)
            assert_int_equal(solid_is_clear(plain, &f, at, f.z, r),
                             near > r);
        if (!solid_is_clear(odd, &f, at, f.z, r))
            continue;
        for (int k = 0; k < 24; k++) {
            double    a = k * 0.2618;
            Stretches s = solid_along(c, odd, &f, at,
                                      v3_add(v3_scale(f.x, cos(a)),
                                             v3_scale(f.y, sin(a))));
            Stretch   one;
            if (!stretch_at(&s, 0, &one))
                break;   // in the window or the notch: no wood at all
            assert_true(one.to >= r - 1e-6);
        }
        clear++;
    }
    assert_true(clear > 50);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(patches_add_up_to_the_contact_of_cells),
        TEST(a_board_within_a_face_is_the_patch),
        TEST(patches_do_not_know_of_cells),
        TEST(the_largest_patch_is_first),
        TEST(a_line_finds_every_tooth),
        TEST(a_clear_point_has_wood_all_around),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
