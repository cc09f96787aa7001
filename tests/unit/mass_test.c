/* mass_test -- volume, surface and balance of parts against closed forms;
 * blocks, triangles and files of solids. */
#include "unit/design_text.h"

#include "print/print.h"

#include <math.h>
#include <stdlib.h>

#define SAGITTA 0.02

static double between(uint64_t *seed, double lo, double hi) {
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    return lo + (hi - lo) * ((double)(*seed >> 11) / 9007199254740992.0);
}

static bool near(double a, double b, double tolerance) {
    return fabs(a - b) <= tolerance;
}

static Mass mass_with(Ctx *c, const char *more) {
    const Model *m = model_with(c, more);

    return part_mass(m, &m->parts.at[0]);
}

/* ---- Closed forms: 10 x 4 x 3/4 in, white oak ---- */

#define BLANK (10 * 4 * 0.75 * INCH * INCH * INCH)

static void a_board_weighs_its_volume(void **state) {
    Ctx *c = *state;
    Mass m = mass_with(c, "");

    assert_true(near(m.volume, BLANK, 1e-3));
    /* Wood Handbook FPL-GTR-282, Table 5-3a: white oak, G 0.68 at 12 %;
     * Eq. 4-14: 0.68 x 1.12 g/cm^3 */
    assert_true(near(m.weight, BLANK * 1e-3 * 0.68 * 1.12, 1e-3));
    assert_true(near(m.surface, 2 * (40 + 7.5 + 3) * INCH * INCH, 1e-3));
    assert_true(near(m.side[SIDE_SHOW], 40 * INCH * INCH, 1e-3));
    assert_true(near(m.side[SIDE_LEFT], 3 * INCH * INCH, 1e-3));
    assert_true(near(m.center.x, 5 * INCH, 1e-6));
    assert_true(near(m.center.z, 0.375 * INCH, 1e-6));
}

static void a_stock_may_have_a_density_of_its_own(void **state) {
    Ctx *c = *state;
    const Model *m = model_of(c, "'stock': {'b': {'thickness': '20mm',"
        "'width': '100mm', 'density': '0.5 kg/l', 'sold': [{'length':"
        "'1m'}]}}, 'parts': {'A': {'name': 'Slab', 'from': 'b', 'length':"
        "'100mm', 'width': '100mm'}},"
        "'pieces': [{'part': 'A', 'at': ['0mm','0mm','0mm']}]");

    assert_true(near(part_mass(m, &m->parts.at[0]).weight, 100, 1e-9));
}

/* A prism cut aslant has the area of its base times the height over the
 * middle of the base. */
static void a_truncated_prism_has_its_middle_length(void **state) {
    Ctx *c = *state;
    Mass m = mass_with(c, "'ends': {'right': {'miter': '30deg', 'bevel':"
                       "'20deg', 'length to': 'center'}}");

    assert_true(near(m.volume, BLANK, 1e-3));
}

/* A cylinder through a plate, leaning by a: pi r^2 t / cos a; facets on
 * the circle take (n/2pi) sin(2pi/n) of it. */
static void a_leaning_hole_takes_a_leaning_cylinder(void **state) {
    Ctx   *c = *state;
    Mass   m = mass_with(c, "'features': [{'hole': {'at': ['5in', '2in'],"
        "'diameter': '1in', 'lean': '25deg', 'toward': 'far'}}]");
    double n     = circle_facets(0.5 * INCH, SAGITTA);
    double round = n / 2 * sin(2 * PI_ / n) * 0.25 * INCH * INCH;

    assert_true(near(BLANK - m.volume, round * 0.75 * INCH / cos(25 * DEG),
                     0.01));
    assert_true(near(m.center.x, 5 * INCH, 1e-6));
}

static void a_leaning_hole_opens_each_face_in_its_place(void **state) {
    Ctx *c = *state;
    const Part *p = part_with(c, "'features': [{'hole': {'at': ['5in',"
        "'2in'], 'diameter': '1in', 'lean': '45deg', 'toward': 'right'}}]");
    double oval = PI_ * 0.25 * sqrt(2) * INCH * INCH;

    assert_true(near(40 * INCH * INCH - shape_area(p->face), oval, 0.5));
    assert_true(near(40 * INCH * INCH - shape_area(p->back), oval, 0.5));
    assert_true(near(shape_box((Shape){ { &p->back.loops.at[1], 1, 1 } })
                     .min.x - shape_box((Shape){ { &p->face.loops.at[1], 1,
                     1 } }).min.x, 0.75 * INCH, 0.01));
}

/* The square of the radius less its quarter circle, along the edge. */
static void a_round_over_takes_a_spandrel(void **state) {
    Ctx   *c = *state;
    Mass   m = mass_with(c, "'features': [{'round over': {'edges': ['near'],"
                         "'radius': '1/4in'}}]");
    double r = 0.25 * INCH, L = 10 * INCH;

    assert_true(near(BLANK - m.volume, (1 - PI_ / 4) * r * r * L,
                     PI_ / 2 * r * L * SAGITTA));
    assert_true(BLANK - m.volume > (1 - PI_ / 4) * r * r * L);
}

/* Frustum from R to r less the bore that it widens. */
static void a_countersink_takes_a_frustum(void **state) {
    Ctx   *c = *state;
    Mass   m = mass_with(c, "'features': [{'hole': {'at': ['5in', '2in'],"
        "'diameter': '1/4in', 'countersink': {'diameter': '1/2in', 'angle':"
        "'90deg'}}}]");
    double r = 0.125 * INCH, R = 0.25 * INCH, h = R - r;
    double n = circle_facets(R, SAGITTA), k = n / 2 * sin(2 * PI_ / n);
    double taken = k * (r * r * (0.75 * INCH - h)
                        + h / 3 * (R * R + R * r + r * r));

    assert_true(near(BLANK - m.volume, taken, 1e-3));
}

static void a_pocket_hole_may_be_shallow_and_in_the_show_face(void **state) {
    Ctx *c = *state;
    const char *deep = "'features': [{'pocket': {'at': '2in', 'toward':"
                       "'right'}}]";
    const char *less = "'features': [{'pocket': {'at': '2in', 'toward':"
        "'right', 'angle': '15deg', 'depth': '1/4in', 'into': 'show'}}]";
    Mass a = mass_with(c, deep), b = mass_with(c, less);

    assert_true(a.volume < b.volume && b.volume < BLANK);
    assert_true(a.side[SIDE_SHOW] > b.side[SIDE_SHOW] + 1);
    assert_null(try_model(c, str_z(c, str_fmt(c, BOARD ", 'parts': {'A':"
        "{'name': 'P', 'from': 'board', 'length': '10in', 'width': '4in',"
        "'features': [{'pocket': {'at': '2in', 'toward': 'right', 'depth':"
        "'3in'}}]}}, 'pieces': [{'part': 'A', 'at': ['0in', '0in',"
        "'0in']}]"))));
}

/* ---- Blocks ---- */

static CornerLoops random_bite(Ctx *c, uint64_t *seed, int *curve) {
    V2 at = v2(between(seed, -10, 210), between(seed, -10, 110));

    if (between(seed, 0, 1) < 0.5)
        return shape_convex_parts(c, shape_circle(c, at,
                                  between(seed, 2, 20)), SAGITTA, curve);
    return shape_convex_parts(c, shape_turn(c, shape_rect(c, at,
        v2(at.x + between(seed, 2, 60), at.y + between(seed, 2, 60))), at,
        between(seed, 0, 3)), SAGITTA, curve);
}

typedef struct { int a, b; } Way;

static int by_way(const void *pa, const void *pb, const void *with) {
    const Way *a = pa, *b = pb;

    (void)with;
    return a->a != b->a ? a->a - b->a : a->b - b->b;
}

static void check_triangles(Ctx *c, const Solid *s, const Frame *f) {
    Mesh   m = solid_mesh(c, s);
    int    n = 3 * m.triangles.n;
    Way   *way = NEW_N(c, Way, n + 1), *back = NEW_N(c, Way, n + 1);
    double volume = 0;

    for (int i = 0; i < m.triangles.n; i++) {
        const Triangle *t = &m.triangles.at[i];
        V3 p[3];
        for (int k = 0; k < 3; k++) {
            int e = 3 * i + k;
            way[e].a = back[e].b = t->v[k];
            way[e].b = back[e].a = t->v[(k + 1) % 3];
            p[k] = frame_point(f, m.p.at[t->v[k]]);
        }
        volume += v3_dot(p[0], v3_cross(p[1], p[2])) / 6;
    }
    list_sort(c, way, n, sizeof *way, by_way, NULL);
    list_sort(c, back, n, sizeof *back, by_way, NULL);
    assert_memory_equal(way, back, sizeof *way * (size_t)n);
    for (int i = 1; i < n; i++)
        assert_true(by_way(&way[i - 1], &way[i], NULL) != 0);
    assert_true(m.whole);
    assert_true(near(volume, s->volume, 1e-6 * s->volume + 1e-2));
}

/* Part and waste make the blank; faces, cells and triangles agree; each
 * edge of a triangle is run along once each way. Two thousand parts. */
static void part_and_waste_make_the_blank(void **state) {
    Ctx     *c = *state;
    uint64_t seed = 20;

    for (int i = 0; i < 2000; i++) {
        Ctx    one;
        int    curve = 1, bites = 1 + (int)between(&seed, 0, 5);
        double gone = 0, faces = 0;
        Solid  s = { 0 };
        Blocks b;
        Frame  f;
        ctx_init(&one, &real_files);
        f = frame_turn(FRAME_WORLD, v3(3, 4, 5),
                       v3_unit(v3(between(&seed, -1, 1), 1, 0.3)),
                       between(&seed, 0, 6));
        b = blocks_of(&one, shape_rect(&one, v2(0, 0), v2(200, 100)), 0, 20,
                      SAGITTA, &curve);
        for (int k = 0; k < bites; k++) {
            CornerLoops bite = random_bite(&one, &seed, &curve);
            double deep = between(&seed, 0, 25);
            gone += blocks_take(&one, &b, &bite, v2(0, 0),
                                k % 2 ? -1 : 20 - deep, k % 2 ? deep : 21);
        }
        solid_add_blocks(&one, &s, &b);
        solid_finish(&one, &s);
        for (int k = 0; k < s.faces.n; k++)
            faces += s.faces.at[k].plane.d * s.faces.at[k].area / 3;
        assert_true(s.closed);
        assert_true(near(s.volume + gone, 200 * 100 * 20, 1e-3));
        assert_true(near(faces, s.volume, 1e-2));
        if (i % 10 == 0)
            check_triangles(&one, &s, &f);
        ctx_free(&one);
    }
    (void)c;
}

static void two_hundred_holes_stay_one_closed_solid(void **state) {
    Ctx *c = *state;
    const Part *p = part_with(c, "'features': [{'hole': {'at': ['1/4in',"
        "'1/4in'], 'diameter': '1/8in'}, 'repeat': [{'count': 20, 'step':"
        "['1/2in', '0in']}, {'count': 8, 'step': ['0in', '1/2in']}]}]");
    double n = circle_facets(INCH / 16, SAGITTA);

    assert_true(p->solid->closed);
    assert_true(near(BLANK - p->solid->volume, 160 * n / 2
                     * sin(2 * PI_ / n) * INCH * INCH / 256 * 0.75 * INCH,
                     1e-2));
    check_triangles(c, p->solid, &FRAME_WORLD);
}

/* ---- Sawn through ---- */

static void a_part_sawn_in_two_is_an_error(void **state) {
    Ctx *c = *state;

    assert_null(try_model(c, BOARD ", 'parts': {'A': {'name': 'P', 'from':"
        "'board', 'length': '10in', 'width': '4in', 'features':"
        "[{'notch': {'at': ['2in', '0in'], 'length': '1in', 'width':"
        "'1in'}}, {'notch': {'at': ['5in', '0in'], 'length': '1in',"
        "'width': '4in'}}]}}, 'pieces': [{'part': 'A', 'at': ['0in', '0in',"
        "'0in']}]"));
    assert_string_equal(diag_name(c->diags.at[0].code), "part-sawn");
}

/* Two blocks that share an edge only are two; a hollow is no piece. */
static void lumps_are_counted(void **state) {
    Ctx  *c = *state;
    int   curve = 1;
    Solid s = { 0 };
    Slab  a = { shape_rect(c, v2(0, 0), v2(10, 10)), 0, 10 };
    Slab  b = { shape_rect(c, v2(10, 10), v2(20, 20)), 0, 10 };
    Plane hollow[6] = {
        { { -1, 0, 0 }, -3, 0 }, { { 1, 0, 0 }, 6, 0 },
        { { 0, -1, 0 }, -3, 0 }, { { 0, 1, 0 }, 6, 0 },
        { { 0, 0, -1 }, -3, 0 }, { { 0, 0, 1 }, 6, 0 },
    };

    solid_add_slab(c, &s, &a, SAGITTA, &curve);
    solid_subtract(c, &s, hollow, 6);
    solid_finish(c, &s);
    assert_int_equal(solid_lumps(c, &s), 1);
    solid_add_slab(c, &s, &b, SAGITTA, &curve);
    solid_finish(c, &s);
    assert_int_equal(solid_lumps(c, &s), 2);
}

/* ---- Files ---- */

static void a_board_as_stl_is_twelve_triangles(void **state) {
    Ctx *c = *state;
    SolidBody body = { part_with(c, "")->solid, FRAME_WORLD, STR("A") };
    Str  stl = stl_of(c, &body, 1);

    assert_int_equal(stl.n, 84 + 12 * 50);
    assert_int_equal(stl.s[80], 12);
    assert_true(strncmp(stl.s, "solid", 5) != 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(a_board_weighs_its_volume),
        TEST(a_stock_may_have_a_density_of_its_own),
        TEST(a_truncated_prism_has_its_middle_length),
        TEST(a_leaning_hole_takes_a_leaning_cylinder),
        TEST(a_leaning_hole_opens_each_face_in_its_place),
        TEST(a_round_over_takes_a_spandrel),
        TEST(a_countersink_takes_a_frustum),
        TEST(a_pocket_hole_may_be_shallow_and_in_the_show_face),
        TEST(part_and_waste_make_the_blank),
        TEST(two_hundred_holes_stay_one_closed_solid),
        TEST(a_part_sawn_in_two_is_an_error),
        TEST(lumps_are_counted),
        TEST(a_board_as_stl_is_twelve_triangles),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
