/* shape_test -- outlines: measures, facets, joins that keep their curves. */
#include "unit/test.h"

#include "geom/geom.h"

#define PI 3.14159265358979323846

static int count_kind(Shape s, SegKind kind) {
    int n = 0;

    for (int i = 0; i < s.loops.n; i++)
        for (int k = 0; k < s.loops.at[i].n; k++)
            n += s.loops.at[i].at[k].kind == kind;
    return n;
}

static int count_segs(Shape s) {
    return count_kind(s, SEG_LINE) + count_kind(s, SEG_ARC)
         + count_kind(s, SEG_CUBIC);
}

static Shape polygon(Ctx *c, const V2 *p, int n) {
    Shape s = { 0 };
    Loop *l = PUSH(c, &s.loops);

    for (int i = 0; i < n; i++)
        loop_line_to(c, l, p[i], p[(i + 1) % n]);
    return s;
}

static void check_valid(Ctx *c, Shape s) {
    const char *why = NULL;
    V2 where;

    if (!shape_valid(c, s, &why, &where))
        fail_msg("shape %s near %g, %g", why, where.x, where.y);
}

/* ---- Measures ---- */

static void a_circle_has_its_area_and_girth(void **state) {
    Ctx  *c = *state;
    Shape s = shape_circle(c, v2(7, -3), 25);

    assert_near(shape_area(s), PI * 625, 1e-9);
    assert_near(shape_perimeter(s), PI * 50, 1e-9);
    assert_near(shape_box(s).min.x, -18, 1e-12);
    assert_near(shape_box(s).max.y, 22, 1e-12);
    assert_true(shape_has_curves(s));
    assert_false(shape_has_curves(shape_rect(c, v2(0, 0), v2(1, 1))));
    check_valid(c, s);
}

/* worked-examples W20: doorway 143 in wide, rise 15 1/2: r = 172.6613,
 * arc exact 147.4389; fence 85 and 4: r = 227.78125, arc 85.5011. */
static void an_arch_has_the_radius_of_its_chord_and_rise(void **state) {
    static const double rows[2][4] = {
        { 143, 15.5, 172.6613, 147.4389 }, { 85, 4, 227.78125, 85.5011 }
    };

    (void)state;
    for (int i = 0; i < 2; i++) {
        Seg s = seg_arc_rise(v2(0, 0), v2(rows[i][0], 0), rows[i][1]);
        double r = v2_len(v2_sub(s.a, s.center));
        assert_near(r, rows[i][2], 5e-5);
        assert_near(r * fabs(s.sweep), rows[i][3], 5e-5);
        assert_near(s.center.y, rows[i][1] - r, 1e-9);
        assert_true(s.sweep < 0);
    }
}

static void a_rise_to_the_right_mirrors_one_to_the_left(void **state) {
    Seg s;

    (void)state;
    s = seg_arc_rise(v2(0, 0), v2(10, 0), -5);
    assert_near(s.center.y, 0, 1e-12);
    assert_near(s.sweep, PI, 1e-12);
    s = seg_arc_rise(v2(0, 0), v2(10, 0), 8);   // more than a half circle
    assert_near(v2_len(v2_sub(s.a, s.center)), 100.0 / 64 + 4, 1e-12);
    assert_true(s.sweep < -PI);
    assert_int_equal(seg_arc_rise(v2(0, 0), v2(10, 0), 0).kind, SEG_LINE);
}

/* worked-examples W8 (a): a 16 1/2 in square with the corners cut off at
 * half its diagonal from each end is a regular octagon, side 6.8345. */
static void an_octagon_from_a_square_is_regular(void **state) {
    Ctx   *c = *state;
    double w = 16.5, half = w * sqrt(2) / 2, leg = w - half;
    Shape  s = shape_rect(c, v2(0, 0), v2(w, w));
    V2     corner[4] = { { 0, 0 }, { w, 0 }, { w, w }, { 0, w } };

    for (int i = 0; i < 4; i++) {
        V2 at = corner[i];
        V2 cut[4] = { v2(at.x - leg, at.y), v2(at.x, at.y - leg),
                      v2(at.x + leg, at.y), v2(at.x, at.y + leg) };
        s = shape_subtract(c, s, polygon(c, cut, 4));
    }
    assert_int_equal(s.loops.n, 1);
    assert_int_equal(s.loops.at[0].n, 8);
    for (int i = 0; i < 8; i++) {
        const Seg *seg = &s.loops.at[0].at[i];
        assert_near(v2_len(v2_sub(seg->b, seg->a)), 6.8345, 2e-4);
    }
    assert_near(shape_area(s), 2 * (sqrt(2) - 1) * w * w, 1e-3);
}

static void an_annulus_and_its_sector_have_closed_areas(void **state) {
    Ctx  *c = *state;
    Shape ring = shape_subtract(c, shape_circle(c, v2(0, 0), 100),
                                shape_circle(c, v2(0, 0), 60));
    Shape quarter = shape_intersect(c, ring,
                                    shape_rect(c, v2(0, 0), v2(200, 200)));

    assert_int_equal(ring.loops.n, 2);
    assert_near(shape_area(ring), PI * 6400, 1e-6);
    assert_int_equal(count_kind(ring, SEG_LINE), 0);
    assert_near(shape_area(quarter), PI * 1600, 1e-6);
    assert_int_equal(count_kind(quarter, SEG_ARC), 2);
    assert_int_equal(count_kind(quarter, SEG_LINE), 2);
    check_valid(c, ring);
    check_valid(c, quarter);
}

static void a_cubic_has_the_area_of_its_polynomial(void **state) {
    Ctx  *c = *state;
    Seg   s = { .kind = SEG_CUBIC, .a = { 1, 0 }, .b = { 0, 0 },
                .c1 = { 2.0 / 3, 2.0 / 3 }, .c2 = { 1.0 / 3, 2.0 / 3 } };
    Shape shape = { 0 };
    Loop *l = PUSH(c, &shape.loops);

    /* the parabola y = 2x(1 - x): area 1/3, height 1/2 */
    *PUSH(c, l) = s;
    loop_line_to(c, l, s.b, s.a);
    assert_near(shape_area(shape), 1.0 / 3, 1e-14);
    assert_near(shape_box(shape).max.y, 0.5, 1e-14);
    /* length of y = 2x(1-x) on 0..1: (sqrt(5) + asinh(2)/2)/2 */
    assert_near(shape_perimeter(shape), 1 + (sqrt(5) + asinh(2) / 2) / 2,
                1e-9);
}

static void arches_have_the_area_of_their_kind(void **state) {
    Ctx  *c = *state;
    Shape s = shape_arch(c, ARCH_ELLIPTICAL, 50, 0, 30, 80, 25);
    double r;

    assert_near(shape_area(s), 80 * 30 + PI * 40 * 25 / 2, 2e-2);
    assert_near(shape_box(s).max.y, 55, 1e-9);
    check_valid(c, s);
    s = shape_arch(c, ARCH_SEGMENTAL, 50, 0, 30, 80, 40);
    assert_near(shape_area(s), 80 * 30 + PI * 800, 1e-9);
    check_valid(c, s);
    /* equilateral: rise = width * sqrt(3)/2, each arc centered on the
     * other's foot; area of the head w^2 (pi/3 - sqrt(3)/4) */
    s = shape_arch(c, ARCH_POINTED, 0, -10, 0, 60, 60 * sqrt(3) / 2);
    r = v2_len(v2_sub(s.loops.at[0].at[2].a, s.loops.at[0].at[2].center));
    assert_near(r, 60, 1e-9);
    assert_near(shape_area(s), 600 + 3600 * (PI / 3 - sqrt(3) / 4), 1e-9);
    check_valid(c, s);
}

static void an_elliptical_arch_keeps_to_its_ellipse(void **state) {
    Ctx  *c = *state;
    Shape s = shape_arch(c, ARCH_ELLIPTICAL, 0, 0, 0, 600, 180);
    Rings r = shape_rings(c, s, 1e-5);

    for (int i = 0; i < r.at[0].n; i++) {
        V2     p = r.at[0].at[i];
        double k = hypot(p.x / 300, p.y / 180);
        if (p.y > 1e-6)
            assert_near(k * 180, 180, 1e-4);
    }
}

/* ---- Moving ---- */

static void moving_turning_mirroring_keep_the_area(void **state) {
    Ctx  *c = *state;
    Shape s = shape_subtract(c, shape_arch(c, ARCH_POINTED, 20, 0, 30, 50,
                                           40),
                             shape_circle(c, v2(12, 20), 8));
    Shape t = shape_mirror_x(c, shape_turn(c, shape_move(c, s, v2(3, 4)),
                                           v2(1, 2), 0.7), -5);
    Shape back = shape_mirror_x(c, t, -5);

    assert_near(shape_area(t), shape_area(s), 1e-9);
    assert_near(shape_perimeter(t), shape_perimeter(s), 1e-9);
    check_valid(c, t);
    check_valid(c, back);
    assert_near(shape_box(shape_mirror_x(c, s, 0)).min.x,
                -shape_box(s).max.x, 1e-12);
}

/* ---- Facets ---- */

static bool ring_has(const Ring *r, V2 p) {
    for (int i = 0; i < r->n; i++)
        if (v2_len(v2_sub(r->at[i], p)) < 1e-9)
            return true;
    return false;
}

static void neighbors_share_the_facets_of_an_arc(void **state) {
    Ctx  *c = *state;
    Shape disc = shape_circle(c, v2(0, 0), 50);
    Shape cut = shape_subtract(c, disc, shape_rect(c, v2(-60, -60),
                                                   v2(11.3, 60)));
    Rings a = shape_rings(c, disc, 0.05), b = shape_rings(c, cut, 0.05);
    int   shared = 0;

    for (int i = 0; i < b.at[0].n; i++)
        shared += ring_has(&a.at[0], b.at[0].at[i]);
    assert_int_equal(shared, b.at[0].n - 2);   // but for the new corners
    assert_true(shared > 10);
}

static void facets_keep_within_the_sagitta(void **state) {
    Ctx  *c = *state;
    Shape s = shape_circle(c, v2(3, 3), 80);
    Ring  r = shape_rings(c, s, 0.02).at[0];

    assert_true(r.n >= 16 && r.n % 4 == 0);
    for (int i = 0; i < r.n; i++) {
        V2 mid = v2_scale(v2_add(r.at[i], r.at[(i + 1) % r.n]), 0.5);
        double off = 80 - v2_len(v2_sub(mid, v2(3, 3)));
        assert_true(off > 0 && off <= 0.02 + 1e-12);
    }
    assert_int_equal(shape_rings(c, shape_circle(c, v2(0, 0), 0.01),
                                 0.05).at[0].n, 16);
}

/* ---- Booleans ---- */

static void an_arc_survives_with_its_center_and_radius(void **state) {
    Ctx  *c = *state;
    Shape s = shape_rect(c, v2(0, 0), v2(300, 100));
    int   arcs = 0;

    s = shape_subtract(c, s, shape_circle(c, v2(150.1234567, 0), 40));
    s = shape_subtract(c, s, shape_circle(c, v2(40, 60), 12.7));
    s = shape_union(c, s, shape_circle(c, v2(300, 50), 50));
    for (int i = 0; i < s.loops.n; i++)
        for (int k = 0; k < s.loops.at[i].n; k++) {
            const Seg *g = &s.loops.at[i].at[k];
            double r = v2_len(v2_sub(g->a, g->center));
            double x = g->center.x;
            if (g->kind != SEG_ARC)
                continue;
            arcs++;
            assert_near(r, x < 100 ? 12.7 : x < 200 ? 40 : 50, 1e-6);
            assert_near(v2_len(v2_sub(g->b, g->center)), r, 1e-6);
            assert_near(x, x < 100 ? 40 : x < 200 ? 150.1234567 : 300, 1e-9);
            assert_true((g->sweep > 0) == (x > 200));
        }
    assert_true(arcs >= 4 && arcs <= 8);
    assert_near(shape_area(s), 30000 - PI * 800 - PI * 12.7 * 12.7
                + PI * 1250, 1e-6);
    check_valid(c, s);
}

static void a_line_cuts_an_arc_where_they_truly_meet(void **state) {
    Ctx  *c = *state;
    Shape s = shape_intersect(c, shape_circle(c, v2(0, 0), 100),
                              shape_rect(c, v2(-200, 59.9), v2(200, 200)));
    double half = acos(0.599);

    assert_int_equal(count_segs(s), 2);
    assert_near(shape_area(s), 10000 * (half - sin(2 * half) / 2), 1e-6);
}

static void a_cubic_is_cut_to_the_part_that_is_left(void **state) {
    Ctx  *c = *state;
    Shape arch = shape_arch(c, ARCH_ELLIPTICAL, 0, 0, 10, 100, 30);
    Shape left = shape_intersect(c, arch, shape_rect(c, v2(-80, -5),
                                                     v2(13, 80)));
    Shape rest = shape_subtract(c, arch, shape_rect(c, v2(-80, -5),
                                                    v2(13, 80)));

    assert_near(shape_area(left) + shape_area(rest), shape_area(arch),
                1e-6);
    assert_true(count_kind(left, SEG_CUBIC) >= 2);
    assert_int_equal(count_kind(left, SEG_LINE), 3);
    assert_near(shape_box(left).max.x, 13, 1e-9);
    check_valid(c, left);
    check_valid(c, rest);
}

static void old_corners_come_back_to_the_bit(void **state) {
    Ctx  *c = *state;
    double in64 = 25.4 / 64, w = 187 * in64, h = 61 * in64;
    Shape s = shape_subtract(c, shape_rect(c, v2(0, 0), v2(w, h)),
                             shape_rect(c, v2(10 * in64, 7 * in64),
                                        v2(33 * in64, 99 * in64)));
    Box2  box = shape_box(s);
    bool  found = false;

    assert_true(box.max.x == w && box.max.y == h);
    assert_int_equal(count_segs(s), 8);
    for (int i = 0; i < s.loops.at[0].n; i++) {
        V2 p = s.loops.at[0].at[i].a;
        found |= p.x == 33 * in64 && p.y == 7 * in64;
    }
    assert_true(found);
    assert_near(shape_area(s), w * h - 23 * 54 * in64 * in64, 1e-8);
}

static void a_cut_right_through_leaves_two_loops(void **state) {
    Ctx  *c = *state;
    Shape s = shape_subtract(c, shape_rect(c, v2(0, 0), v2(100, 40)),
                             shape_rect(c, v2(40, -1), v2(43, 50)));

    assert_int_equal(s.loops.n, 2);
    assert_near(shape_area(s), 97 * 40, 1e-6);
    check_valid(c, s);
    assert_int_equal(shape_subtract(c, s, shape_rect(c, v2(-9, -9),
                                            v2(200, 200))).loops.n, 0);
    assert_int_equal(shape_intersect(c, s, (Shape){ 0 }).loops.n, 0);
    assert_int_equal(shape_union(c, s, (Shape){ 0 }).loops.n, 2);
}

static void boards_side_by_side_join_without_a_seam(void **state) {
    Ctx  *c = *state;
    Shape s = { 0 };

    for (int i = 0; i < 6; i++)
        s = shape_union(c, s, shape_rect(c, v2(i * 12.7, 0),
                                         v2((i + 1) * 12.7, 30)));
    assert_int_equal(s.loops.n, 1);
    assert_int_equal(s.loops.at[0].n, 4);
    assert_near(shape_area(s), 6 * 12.7 * 30, 1e-6);
}

/* A seeded generator of our own, so that every run is the same. */
static double chance(uint64_t *seed) {
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    return (double)(*seed >> 11) / 9007199254740992.0;
}

static Shape any_shape(Ctx *c, uint64_t *r) {
    V2     at = v2(chance(r) * 60, chance(r) * 60);
    double w = 10 + chance(r) * 60, h = 10 + chance(r) * 40;

    switch ((int)(chance(r) * 4)) {
    case 0:  return shape_circle(c, at, w / 2);
    case 1:  return shape_turn(c, shape_rect(c, at, v2_add(at, v2(w, h))),
                               at, chance(r) * 6);
    case 2:  return shape_arch(c, ARCH_POINTED, at.x, at.y, at.y + h, w,
                               w * 0.8);
    default: return shape_arch(c, ARCH_ELLIPTICAL, at.x, at.y, at.y + h, w,
                               w * 0.3);
    }
}

static void areas_of_joins_add_up(void **state) {
    uint64_t seed = 20;

    (void)state;
    for (int i = 0; i < 300; i++) {
        Ctx    c;
        Shape  a, b;
        double both, either, only_a, only_b;
        ctx_init(&c, &real_files);
        a = any_shape(&c, &seed);
        b = any_shape(&c, &seed);
        both   = shape_area(shape_intersect(&c, a, b));
        either = shape_area(shape_union(&c, a, b));
        only_a = shape_area(shape_subtract(&c, a, b));
        only_b = shape_area(shape_subtract(&c, b, a));
        /* a corner where curves touch at a small angle may stay on the
         * grid: 1e-3 mm^2 is a strip of 0.00001 mm around a part */
        assert_near(only_a + both, shape_area(a), 1e-3);
        assert_near(only_b + both, shape_area(b), 1e-3);
        assert_near(either, only_a + only_b + both, 1e-3);
        ctx_free(&c);
    }
}

/* ---- Checks ---- */

static void faults_of_a_shape_are_named(void **state) {
    Ctx  *c = *state;
    V2    bow[4] = { { 0, 0 }, { 10, 10 }, { 10, 0 }, { 0, 10 } };
    V2    cw[4] = { { 0, 0 }, { 0, 10 }, { 10, 10 }, { 10, 0 } };
    const char *why = NULL;
    V2    where;
    Shape s = polygon(c, bow, 4);

    assert_false(shape_valid(c, s, &why, &where));
    assert_string_equal(why, "crosses or touches itself");
    assert_near(where.x, 5, 1e-3);
    assert_near(where.y, 5, 1e-3);
    s = polygon(c, cw, 4);
    assert_false(shape_valid(c, s, &why, &where));
    assert_string_equal(why, "runs clockwise");
    s = shape_rect(c, v2(0, 0), v2(5, 5));
    s.loops.at[0].n--;
    assert_false(shape_valid(c, s, &why, &where));
    assert_string_equal(why, "is open");
    s = shape_rect(c, v2(0, 0), v2(5, 5));
    s.loops.at[0].at[1].b.y = NAN;
    assert_false(shape_valid(c, s, &why, &where));
    s = shape_rect(c, v2(0, 0), v2(5, 5));
    *PUSH(c, &s.loops.at[0]) = seg_line(v2(0, 0), v2(0, 0));
    assert_false(shape_valid(c, s, &why, &where));
    assert_string_equal(why, "has a piece of zero length");
    assert_false(shape_valid(c, (Shape){ 0 }, &why, &where));
}

static void a_hole_outside_is_a_fault(void **state) {
    Ctx  *c = *state;
    Shape s = shape_rect(c, v2(0, 0), v2(50, 50));
    V2    cw[4] = { { 60, 0 }, { 60, 10 }, { 70, 10 }, { 70, 0 } };
    const char *why = NULL;
    V2    where;

    *PUSH(c, &s.loops) = polygon(c, cw, 4).loops.at[0];
    assert_false(shape_valid(c, s, &why, &where));
}

static void symmetry_is_seen_about_either_middle(void **state) {
    Ctx  *c = *state;
    Shape arch = shape_arch(c, ARCH_SEGMENTAL, 13.7, 0, 20, 50, 9);
    Shape off = shape_subtract(c, arch, shape_circle(c, v2(14.7, 10), 4));
    Shape mid = shape_subtract(c, arch, shape_circle(c, v2(13.7, 10), 4));
    Shape wave = { 0 };
    Loop *l;
    static const ArchKind arches[] = { ARCH_SEGMENTAL, ARCH_ELLIPTICAL,
                                       ARCH_POINTED };

    assert_true(shape_symmetric(arch, true));
    assert_false(shape_symmetric(arch, false));
    assert_false(shape_symmetric(off, true));
    assert_true(shape_symmetric(mid, true));
    for (int i = 0; i < COUNT(arches); i++)
        assert_true(shape_symmetric(shape_arch(c, arches[i], 13.7, 0, 20, 50,
                                               30), true));
    off = shape_subtract(c, arch, shape_circle(c, v2(13.702, 10), 4));
    assert_false(shape_symmetric(off, true));   // by two hundredths
    l = PUSH(c, &wave.loops);
    *PUSH(c, l) = seg_line(v2(0, 0), v2(10, 0));
    *PUSH(c, l) = (Seg){ .kind = SEG_CUBIC, .a = { 10, 0 },
        .c1 = { 9, 5 }, .c2 = { 1, 5 }, .b = { 0, 0 } };
    assert_true(shape_symmetric(wave, true));
    l->at[1].c2.y += 0.005;
    assert_false(shape_symmetric(wave, true));
    assert_true(shape_symmetric(shape_circle(c, v2(9, 8), 7), false));
}

static void the_deepest_point_is_in_the_larger_part(void **state) {
    Ctx     *c = *state;
    Polygons p = { 0 };
    Rings   *part;
    double   radius;
    V2       at;

    *PUSH(c, &p.parts) = shape_rings(c, shape_rect(c, v2(0, 0),
                                                   v2(10, 10)), 1);
    part  = PUSH(c, &p.parts);
    *part = shape_rings(c, shape_rect(c, v2(20, 0), v2(60, 30)), 1);
    assert_near(polygons_area(p), 1300, 1e-9);
    at = polygons_deepest(c, p, &radius);
    assert_near(radius, 15, 0.1);
    assert_near(at.y, 15, 0.1);
    assert_true(at.x > 34 && at.x < 46);
    *PUSH(c, part) = shape_rings(c, shape_mirror_x(c, shape_rect(
        c, v2(35, 5), v2(55, 25)), 45), 1).at[0];
    assert_near(polygons_area(p), 900, 1e-9);
    at = polygons_deepest(c, p, &radius);
    assert_true(at.x < 36);
    radius = 1;
    polygons_deepest(c, (Polygons){ 0 }, &radius);
    assert_near(radius, 0, 0);
}

/* By another way: what a large rectangle on that side has in common with
 * it, by the general join. Tops of arcs, cubics and straight sides; lines
 * that cross, touch and miss them. */
static void what_a_straight_cut_keeps(void **state) {
    Ctx     *c    = *state;
    uint32_t seed = 11;
    Shape    s[4] = { { { 0 } } };

    s[0] = shape_arch(c, ARCH_SEGMENTAL, 60, 0, 40, 120, 30);
    s[1] = shape_arch(c, ARCH_ELLIPTICAL, 60, 0, 40, 120, 30);
    s[2] = shape_rect(c, v2(0, 0), v2(120, 60));
    for (int i = 0; i < 6; i++)
        s[2] = shape_subtract(c, s[2], shape_circle(c, v2(20 * i + 10, 60),
                                                    8));
    s[3] = shape_subtract(c, s[0], shape_circle(c, v2(60, 30), 12));
    for (int i = 0; i < 400; i++) {
        Shape  one = s[i % 4], far, kept, known;
        double turn, d;
        V2     n;
        seed = seed * 1664525u + 1013904223u;
        turn = i % 8 < 4 ? (seed >> 20) % 4 * PI / 2
                         : (seed >> 8) * 2 * PI / 16777216;
        n    = v2(round(cos(turn) * 1e12) / 1e12,
                  round(sin(turn) * 1e12) / 1e12);
        d    = v2_dot(n, v2(60, 30)) + (double)((seed >> 4) % 161) - 80;
        far  = shape_turn(c, shape_rect(c, v2(d - 900, -900), v2(d, 900)),
                          v2(0, 0), turn);
        kept  = shape_keep(c, one, n, d);
        known = shape_intersect(c, one, far);
        assert_near(shape_area(kept), shape_area(known), 0.02);
        assert_near(shape_perimeter(kept), shape_perimeter(known), 0.02);
        if (kept.loops.n)
            check_valid(c, kept);
    }
}

/* A board with half circles along its edge, cut aslant through the middle of
 * one, through its end, and beside it, on both sides: as GEOS cuts it. */
static void a_straight_cut_keeps_curves(void **state) {
    Ctx  *c = *state;
    Shape s = { 0 };
    Loop *l = PUSH(c, &s.loops);

    *PUSH(c, l) = seg_line(v2(100, 0), v2(100, 40));
    *PUSH(c, l) = seg_line(v2(100, 40), v2(0, 40));
    *PUSH(c, l) = seg_line(v2(0, 40), v2(0, 0));
    for (int i = 0; i < 5; i++)
        *PUSH(c, l) = seg_arc_rise(v2(20 * i, 0), v2(20 * i + 20, 0),
                                   i % 2 ? -8 : 8);
    for (int i = 0; i < 160; i++) {
        double turn = 0.04 * i;
        V2     n = v2(cos(turn), sin(turn));
        double d = v2_dot(n, v2(10 + 0.5 * i, 5)), big = 400;
        V2     on = v2_scale(n, d - big);
        Shape  half = shape_turn(c, shape_rect(c, v2(on.x - big, on.y - big),
                                               v2(on.x + big, on.y + big)),
                                 on, turn);
        Shape  kept = shape_keep(c, s, n, d);
        assert_near(shape_area(kept), shape_area(shape_intersect(c, s, half)),
                    0.01);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(a_straight_cut_keeps_curves),
        TEST(a_circle_has_its_area_and_girth),
        TEST(an_arch_has_the_radius_of_its_chord_and_rise),
        TEST(a_rise_to_the_right_mirrors_one_to_the_left),
        TEST(an_octagon_from_a_square_is_regular),
        TEST(an_annulus_and_its_sector_have_closed_areas),
        TEST(a_cubic_has_the_area_of_its_polynomial),
        TEST(arches_have_the_area_of_their_kind),
        TEST(an_elliptical_arch_keeps_to_its_ellipse),
        TEST(moving_turning_mirroring_keep_the_area),
        TEST(neighbors_share_the_facets_of_an_arc),
        TEST(facets_keep_within_the_sagitta),
        TEST(an_arc_survives_with_its_center_and_radius),
        TEST(a_line_cuts_an_arc_where_they_truly_meet),
        TEST(a_cubic_is_cut_to_the_part_that_is_left),
        TEST(old_corners_come_back_to_the_bit),
        TEST(a_cut_right_through_leaves_two_loops),
        TEST(boards_side_by_side_join_without_a_seam),
        TEST(areas_of_joins_add_up),
        TEST(what_a_straight_cut_keeps),
        TEST(faults_of_a_shape_are_named),
        TEST(a_hole_outside_is_a_fault),
        TEST(symmetry_is_seen_about_either_middle),
        TEST(the_deepest_point_is_in_the_larger_part),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
