/* offset_test -- tool paths beside outlines, cubics as arcs. */
#include "unit/test.h"

#include "geom/geom.h"

#define PI 3.14159265358979323846

static double path_length(Shape s) {
    return shape_perimeter(s);
}

/* Steiner: area + perimeter r + pi r^2 of a convex shape (closed form). */
static void a_convex_shape_grows_by_steiners_formula(void **state) {
    Ctx  *c = *state;
    Shape s = shape_offset(c, shape_rect(c, v2(0, 0), v2(100, 60)), 3);

    assert_near(shape_area(s), 6000 + 320 * 3 + PI * 9, 1e-6);
    assert_near(path_length(s), 320 + 2 * PI * 3, 1e-6);
    assert_int_equal(s.loops.n, 1);
}

static void a_rectangle_shrinks_to_a_rectangle(void **state) {
    Ctx  *c = *state;
    Shape s = shape_offset(c, shape_rect(c, v2(0, 0), v2(100, 60)), -3);

    assert_near(shape_area(s), 94 * 54, 1e-6);
    assert_int_equal(s.loops.at[0].n, 4);
}

static void a_circle_stays_one(void **state) {
    Ctx   *c = *state;
    Shape  disk = shape_circle(c, v2(7, 9), 20);

    assert_near(shape_area(shape_offset(c, disk, 2.5)), PI * 22.5 * 22.5,
                1e-5);
    assert_near(shape_area(shape_offset(c, disk, -2.5)), PI * 17.5 * 17.5,
                1e-5);
    assert_int_equal(shape_offset(c, disk, -21).loops.n, 0);
}

static void an_opening_is_run_on_its_inside(void **state) {
    Ctx  *c = *state;
    Shape s = shape_subtract(c, shape_rect(c, v2(0, 0), v2(200, 100)),
                             shape_rect(c, v2(50, 30), v2(150, 70)));
    Shape grown = shape_offset(c, s, 5);

    /* outside grows with rounded corners, the hole shrinks sharp */
    assert_int_equal(grown.loops.n, 2);
    assert_near(shape_area(grown),
                200 * 100 + 600 * 5 + PI * 25 - 90 * 30, 1e-5);
}

static void a_slot_narrower_than_the_tool_closes(void **state) {
    Ctx  *c = *state;
    Shape s = shape_subtract(c, shape_rect(c, v2(0, 0), v2(200, 100)),
                             shape_rect(c, v2(50, 45), v2(150, 54)));

    assert_int_equal(shape_offset(c, s, 4).loops.n, 2);
    assert_int_equal(shape_offset(c, s, 5).loops.n, 1);
}

/* An ellipse's area and girth: pi a b; AGM or Ramanujan's second formula,
 * exact to 1e-9 here (h small). */
static void cubics_become_arcs_that_keep_to_the_curve(void **state) {
    Ctx   *c = *state;
    Shape  s = shape_arch(c, ARCH_ELLIPTICAL, 0, 0, 10, 120, 40);
    Shape  arcs = shape_arcs(c, s, 0.005);
    int    n = 0;

    for (int k = 0; k < arcs.loops.at[0].n; k++) {
        assert_true(arcs.loops.at[0].at[k].kind != SEG_CUBIC);
        n += arcs.loops.at[0].at[k].kind == SEG_ARC;
    }
    assert_in_range(n, 4, 40);
    assert_near(shape_area(arcs), 120 * 10 + PI * 60 * 40 / 2, 0.5);
    for (int k = 0; k < arcs.loops.at[0].n; k++) {
        V2     p = arcs.loops.at[0].at[k].a;
        double e = p.y <= 10 ? 1 : hypot(p.x / 60, (p.y - 10) / 40);
        assert_near(e, 1, 2e-4);
    }
}

/* ---- Beside another method: distances of points ---- */

static double off_piece(V2 p, V2 a, V2 b) {
    V2     d = v2_sub(b, a);
    double t = v2_dot(v2_sub(p, a), d) / v2_dot(d, d);

    t = t < 0 ? 0 : t > 1 ? 1 : t;
    return v2_len(v2_sub(p, v2_add(a, v2_scale(d, t))));
}

/* Distance from the outline, negative inside. */
static double depth_of(const Rings *r, V2 p) {
    double best = 1e9;
    bool   in   = false;

    for (int i = 0; i < r->n; i++)
        for (int k = 0; k < r->at[i].n; k++) {
            V2 a = r->at[i].at[k], b = r->at[i].at[(k + 1) % r->at[i].n];
            best = fmin(best, off_piece(p, a, b));
            if ((a.y > p.y) != (b.y > p.y)
                && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y))
                in = !in;
        }
    return in ? -best : best;
}

static double chance(unsigned *seed, double lo, double hi) {
    *seed = *seed * 1664525u + 1013904223u;
    return lo + (hi - lo) * (*seed >> 8) / 16777216.0;
}

/* A star of straight and bulging sides around the origin. */
static Shape random_star(Ctx *c, unsigned *seed) {
    int   n = 5 + (int)chance(seed, 0, 8);
    V2    p[16];
    Shape s = { 0 };
    Loop *l = PUSH(c, &s.loops);

    for (int i = 0; i < n; i++) {
        double r = chance(seed, 40, 120), a = 2 * PI * i / n;
        p[i] = v2(r * cos(a), r * sin(a));
    }
    for (int i = 0; i < n; i++) {
        V2 a = p[i], b = p[(i + 1) % n];
        if (i % 3 == 0)
            *PUSH(c, l) = seg_arc_rise(a, b, -chance(seed, 1, 6));
        else
            loop_line_to(c, l, a, b);
    }
    return s;
}

/* A point lies in the offset shape if it is no farther than the tool's
 * radius from the first one. */
static void points_are_inside_by_their_distance(void **state) {
    Ctx     *c = *state;
    unsigned seed = 12;
    int      tried = 0, inside = 0;

    for (int i = 0; i < 60; i++) {
        Shape       s = random_star(c, &seed);
        double      by = chance(&seed, -12, 12);
        Rings       from = shape_rings(c, s, 1e-3), to;
        const char *why;
        V2          where;
        if (!shape_valid(c, s, &why, &where))
            continue;
        to = shape_rings(c, shape_offset(c, s, by), 1e-3);
        for (int k = 0; k < 200; k++) {
            V2 p = v2(chance(&seed, -130, 130), chance(&seed, -130, 130));
            double far = depth_of(&from, p) - by;
            if (fabs(far) < 5e-3)
                continue;
            if ((depth_of(&to, p) < 0) != (far < 0))
                fail_msg("star %d, point %g %g is %g off the offset by %g",
                         i, p.x, p.y, far, by);
            inside += far < 0;
        }
        tried++;
    }
    assert_in_range(tried, 45, 60);
    assert_in_range(inside, 1500, 9000);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(a_convex_shape_grows_by_steiners_formula),
        TEST(a_rectangle_shrinks_to_a_rectangle),
        TEST(a_circle_stays_one),
        TEST(an_opening_is_run_on_its_inside),
        TEST(a_slot_narrower_than_the_tool_closes),
        TEST(cubics_become_arcs_that_keep_to_the_curve),
        TEST(points_are_inside_by_their_distance),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
