/* slant_test -- bores at an angle, of a board 10 x 4 x 3/4 in, against the
 * triangle of their axis; and what leans on another piece. */
#include "unit/design_text.h"

#include "model/model_internal.h"

#define L (10 * INCH)
#define W (4 * INCH)
#define T (0.75 * INCH)

static double facets_area(double r) {
    double n = circle_facets(r, SAGITTA_MM);

    return n / 2 * sin(2 * PI_ / n) * r * r;
}

static const Feature *pocket(Ctx *c, const char *more, const Part **part) {
    *part = part_with(c, str_z(c, str_fmt(c, "'features': [{'pocket': {"
        "'at': '2in', %s}}]", more)));
    return &(*part)->features.at[0];
}

/* ---- Pocket holes ---- */

/* The axis leaves the end in the middle of the thickness, whichever side
 * it goes to and whichever face it comes from. */
static void a_pocket_points_at_the_middle_of_its_end(void **state) {
    static const char *const sides[] = { "left", "right", "near", "far" };
    Ctx *c = *state;

    for (int i = 0; i < 8; i++)
        for (int deg = 10; deg <= 40; deg += 10) {
            const Part    *part;
            const Feature *f = pocket(c, str_z(c, str_fmt(c, "'toward': "
                "'%s', 'angle': '%ddeg', 'into': '%s'", sides[i % 4], deg,
                i < 4 ? "back" : "show")), &part);
            double end = i % 4 == 0 || i % 4 == 2 ? 0 : i % 4 == 1 ? L : W;
            double at, k;
            V3     seat, out, tip;
            pocket_bore(part, f, 0, &seat, &out);
            assert_near(v3_len(out), 1, 1e-12);
            assert_near(fabs(out.z), sin(deg * DEG), 1e-12);
            assert_true(i < 4 ? out.z < 0 : out.z > 0);
            at  = i % 4 < 2 ? seat.x : seat.y;
            k   = (end - at) / (i % 4 < 2 ? out.x : out.y);
            tip = v3_add(seat, v3_scale(out, k));
            assert_true(k < 0);   // the screw runs against `out`
            assert_near(tip.z, T / 2, 1e-9);
            assert_near(i % 4 < 2 ? tip.y : tip.x, 2 * INCH, 1e-9);
        }
}

/* From the seat, flat to the axis, to the face: the mean length of that
 * cylinder is the depth on its axis. */
static void a_pocket_takes_its_depth_of_a_cylinder(void **state) {
    static const char *const depths[] = { "1/2in", "5/8in", "3/4in" };
    static const double      inches[] = { 0.5, 0.625, 0.75 };
    Ctx *c = *state;

    for (int i = 0; i < 3; i++) {
        const Part *part;
        const Feature *f = pocket(c, str_z(c, str_fmt(c, "'toward': 'right',"
            "'angle': '15deg', 'diameter': '1/4in', 'depth': '%s'",
            depths[i])), &part);
        double from, to, axis = T / 2 / sin(15 * DEG);
        double d = inches[i] * INCH;
        assert_near(L * W * T - part->solid->volume,
                    facets_area(INCH / 8) * d, 1e-3);
        pocket_reach(part, f, &from, &to);
        assert_near(from, (axis - d) * cos(15 * DEG), 1e-9);
        assert_near(to, axis * cos(15 * DEG) + INCH / 8 / sin(15 * DEG),
                    1e-9);
    }
}

static void copies_of_a_pocket_lie_side_by_side(void **state) {
    Ctx           *c = *state;
    const Part    *part = part_with(c, "'features': [{'pocket': {'at':"
        "'1in', 'toward': 'left'}, 'repeat': {'count': 3, 'step':"
        "['0in', '1in']}}]");
    const Feature *f = &part->features.at[0];
    V3             first, seat, out;

    assert_int_equal(f->count, 3);
    pocket_bore(part, f, 0, &first, &out);
    for (int i = 1; i < 3; i++) {
        pocket_bore(part, f, i, &seat, &out);
        assert_near(seat.y, first.y + i * INCH, 1e-9);
        assert_near(seat.x, first.x, 1e-9);
        assert_near(seat.z, first.z, 1e-9);
    }
}

static void refused(Ctx *c, const char *feature) {
    c->diags.n = c->errors = 0;
    assert_null(try_model(c, str_z(c, str_fmt(c, BOARD ", 'parts': {'A':"
        "{'name': 'P', 'from': 'board', 'length': '10in', 'width': '4in',"
        "'features': [%s]}}, 'pieces': [{'part': 'A', 'at': ['0in', '0in',"
        "'0in']}]", feature))));
    assert_int_equal(c->diags.n, 1);
    assert_int_equal(c->diags.at[0].code, FEATURE_BAD);
}

/* The axis of 15 deg is 3/8 / sin 15 = 1.449 in long. */
static void what_cannot_be_bored_is_refused(void **state) {
    Ctx *c = *state;

    refused(c, "{'pocket': {'at': '2in', 'toward': 'left', 'angle':"
            "'4deg'}}");
    refused(c, "{'pocket': {'at': '2in', 'toward': 'left', 'angle':"
            "'46deg'}}");
    refused(c, "{'pocket': {'at': '2in', 'toward': 'left', 'depth':"
            "'1.45in'}}");
    c->diags.n = c->errors = 0;
    part_with(c, "'features': [{'pocket': {'at': '2in', 'toward': 'left',"
              "'depth': '1.44in'}}]");
    refused(c, "{'hole': {'at': ['2in', '2in'], 'diameter': '1/4in', 'lean':"
            "'61deg', 'toward': 'left'}}");
    refused(c, "{'hole': {'at': ['2in', '2in'], 'diameter': '1/4in', 'lean':"
            "'0deg', 'toward': 'left'}}");
    refused(c, "{'hole': {'at': ['2in', '2in'], 'diameter': '1/4in', 'lean':"
            "'9deg', 'toward': 'left', 'countersink': {'diameter': '1/2in',"
            "'angle': '90deg'}}}");
}

/* ---- Holes that lean ---- */

/* Blind, its end is square to the axis: the mean length is the depth along
 * the slant. Its middle lies half the run away from the mouth. */
static void a_blind_hole_leans_to_each_side(void **state) {
    static const char *const sides[] = { "near", "far", "left", "right" };
    static const V2 ways[] = { { 0, -1 }, { 0, 1 }, { -1, 0 }, { 1, 0 } };
    Ctx *c = *state;

    for (int i = 0; i < 8; i++) {
        bool        back = i >= 4;
        const Part *p = part_with(c, str_z(c, str_fmt(c, "'features': [{"
            "'hole': {'at': ['5in', '2in'], 'diameter': '1/4in', 'depth':"
            "'1/2in', 'lean': '20deg', 'toward': '%s', 'into': '%s'}}]",
            sides[i % 4], back ? "back" : "show")));
        double      area = facets_area(INCH / 8), d = 0.5 * INCH;
        double      taken = L * W * T - p->solid->volume;
        V3          all = v3(L / 2, W / 2, T / 2), middle;
        V2          run = hole_lean(&p->features.at[0]);
        assert_near(taken, area * d / cos(20 * DEG), 1e-3);
        assert_near(run.x, ways[i % 4].x * tan(20 * DEG), 1e-12);
        assert_near(run.y, ways[i % 4].y * tan(20 * DEG), 1e-12);
        /* of what is gone: (blank - part) / taken */
        middle = v3_scale(v3_sub(v3_scale(all, L * W * T),
                  v3_scale(p->solid->centroid, p->solid->volume)),
                  1 / taken);
        /* r * r / (4 d) tan is what the slanted mouth adds to one side */
        assert_near(middle.x, 5 * INCH + run.x * d / 2, 0.3);
        assert_near(middle.y, 2 * INCH + run.y * d / 2, 0.3);
        assert_near(middle.z, back ? d / 2 : T - d / 2, 0.3);
    }
}

/* ---- A piece that leans on another ---- */

/* A slip 4 in wide on a deck, tilted by 3 deg about its near edge: it
 * touches there along a line, and the row runs a quarter of the way up. */
static void a_leaning_slip_is_nailed_near_where_it_touches(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, BOARD ", 'hardware': {'brad': {'kind':"
        "'brad nail', 'gauge': '18', 'length': '1 1/4in'}}, 'parts': {"
        "'A': {'name': 'Deck', 'from': 'board', 'length': '20in', 'width':"
        "'10in'}, 'B': {'name': 'Slip', 'from': 'board', 'length': '8in',"
        "'width': '4in'}}, 'pieces': [{'part': 'A', 'as': 'deck', 'at':"
        "['0in', '0in', '0in']}, {'part': 'B', 'as': 'slip', 'at': ['2in',"
        "'2in', 'deck.top'], 'turns': [{'about': 'left-right', 'by': '3deg',"
        "'through': ['2in', '2in', 'deck.top']}]}], 'steps': [{'title':"
        "'Nail', 'add': ['deck', 'slip'], 'fix': [{'join': ['slip', 'deck'],"
        "'with': 'brad', 'count': 3}]}]");

    assert_int_equal(m->contacts.n, 1);
    assert_true(m->contacts.at[0].edge);
    assert_int_equal(m->fasteners.n, 3);
    for (int i = 0; i < 3; i++) {
        const Fastener *f = &m->fasteners.at[i];
        V3 foot = v3_add(f->head, v3_scale(f->axis, f->held));
        assert_int_equal(f->from, 1);   // the slip has the heads
        assert_near(foot.y - 2 * INCH, INCH, INCH / 8 + 0.1);   // on a rule
        assert_near(foot.z, T, 1e-6);
        assert_near(f->held, T / cos(3 * DEG) + INCH * sin(3 * DEG), 0.5);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(a_pocket_points_at_the_middle_of_its_end),
        TEST(a_pocket_takes_its_depth_of_a_cylinder),
        TEST(copies_of_a_pocket_lie_side_by_side),
        TEST(what_cannot_be_bored_is_refused),
        TEST(a_blind_hole_leans_to_each_side),
        TEST(a_leaning_slip_is_nailed_near_where_it_touches),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
