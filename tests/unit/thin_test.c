/* thin_test -- wood under and beside cuts that do not go through, of a board
 * 10 x 4 x 3/4 in. What is left is a difference of the sizes given; the
 * limits are those of the head of model/thin.c. */
#include "unit/design_text.h"

static const Weak *only_weak(Ctx *c, const char *features) {
    const Model *m = model_with(c, str_z(c, str_fmt(c, "'features': [%s]",
                                                    features)));

    assert_int_equal(m->weak.n, 1);
    return &m->weak.at[0];
}

static void assert_sound(Ctx *c, const char *features) {
    const Model *m = model_with(c, str_z(c, str_fmt(c, "'features': [%s]",
                                                    features)));

    if (m->weak.n)
        fail_msg("%s: %.*s", features, STR_ARG(m->weak.at[0].what));
}

#define GROOVE(y, depth, more) "{'groove': {'at': ['0in', '" y "'], "      \
    "'length': '10in', 'width': '1/4in', 'depth': '" depth "'" more "}}"

static void a_floor_is_an_eighth_thick(void **state) {
    Ctx        *c = *state;
    const Weak *w = only_weak(c, GROOVE("2in", "21/32in", ""));

    assert_int_equal(w->kind, WEAK_FLOOR);
    assert_str(w->what, "wood under the groove");
    assert_near(w->width.real, 3 * INCH / 32, 1e-6);
    assert_near(w->least.real, INCH / 8, 1e-6);
    assert_near(w->a.x, 5 * INCH, 1e-6);
    assert_near(w->a.y, 2.125 * INCH, 1e-6);
    assert_sound(c, GROOVE("2in", "5/8in", ""));
}

/* What the other face loses is gone as well. */
static void cuts_from_both_faces_share_a_floor(void **state) {
    Ctx        *c = *state;
    const Weak *w = only_weak(c, GROOVE("2in", "3/8in", "") ", "
                              GROOVE("2in", "5/16in", ", 'into': 'back'"));

    assert_near(w->width.real, INCH / 16, 1e-6);
    assert_sound(c, GROOVE("2in", "3/8in", "") ", "
                 GROOVE("3in", "5/16in", ", 'into': 'back'"));
}

static void a_blind_hole_leaves_a_floor(void **state) {
    Ctx        *c = *state;
    const Weak *w = only_weak(c, "{'hole': {'at': ['5in', '2in'],"
                              "'diameter': '1in', 'depth': '23/32in'}}");

    assert_str(w->what, "wood under the hole");
    assert_near(w->width.real, INCH / 32, 1e-6);
    assert_near(w->a.x, 5 * INCH, 1e-6);
}

/* Across the grain half the depth will do, along it the whole is wanted. */
static void a_wall_beside_a_cut_is_as_thick_as_its_grain_wants(void **state) {
    Ctx        *c = *state;
    const Weak *w = only_weak(c, GROOVE("1/8in", "3/8in", ""));

    assert_int_equal(w->kind, WEAK_WALL);
    assert_near(w->width.real, INCH / 8, 1e-6);
    assert_near(w->least.real, 3 * INCH / 16, 1e-6);
    assert_near(w->a.y, INCH / 16, 1e-6);
    assert_sound(c, GROOVE("3/16in", "3/8in", ""));
    w = only_weak(c, "{'dado': {'at': '1/4in', 'width': '3/4in', 'depth':"
                  "'3/8in'}, 'note': 'for the end'}");
    assert_str(w->what, "wood beside the dado (for the end)");
    assert_near(w->width.real, INCH / 4, 1e-6);
    assert_near(w->least.real, 3 * INCH / 8, 1e-6);
    assert_sound(c, "{'dado': {'at': '3/8in', 'width': '3/4in', 'depth':"
                 "'3/8in'}}");
}

/* Its end runs to an edge: there is no wood to be thin. */
static void a_cut_that_runs_out_has_no_wall_there(void **state) {
    assert_sound(*state, "{'rabbet': {'edge': 'far', 'width': '3/8in',"
                 "'depth': '1/2in'}}");
}

/* Two dados have one wall between them: it is told once. */
static void a_wall_between_two_cuts_is_told_once(void **state) {
    const Weak *w = only_weak(*state, "{'dado': {'at': '2in', 'width':"
        "'3/4in', 'depth': '3/8in'}, 'repeat': {'count': 2, 'step':"
        "['7/8in', '0in']}}");

    assert_near(w->width.real, INCH / 8, 1e-6);
    assert_near(w->a.x, (2.75 + 0.0625) * INCH, 1e-6);
}

/* At 45 degrees the end is long on the show face and slants in below it by
 * as much as it goes down. Lines run at 1/6, 1/2 and 5/6 of the depth of
 * 3/8 in: the lowest has 1/2 - 5/16 in of wood. */
static void a_slanted_end_counts_where_it_is(void **state) {
    const Weak *w;
    const Model *m = model_with(*state, "'ends': {'left': {'bevel': '45deg',"
        "'length to': 'long point'}}, 'features': [{'dado': {'at': '1/2in',"
        "'width': '1/2in', 'depth': '3/8in'}}]");

    assert_int_equal(m->weak.n, 1);
    w = &m->weak.at[0];
    assert_near(w->width.real, 3 * INCH / 16, 1e-6);
}

static void a_mortise_in_an_edge_keeps_its_cheeks(void **state) {
    Ctx        *c = *state;
    const Weak *w = only_weak(c, "{'mortise': {'into': 'near', 'at':"
        "['5in', '1/16in'], 'length': '2in', 'width': '1/4in', 'depth':"
        "'1in'}}");

    assert_near(w->width.real, INCH / 16, 1e-6);
    assert_near(w->least.real, INCH / 8, 1e-6);
    assert_sound(c, "{'mortise': {'into': 'near', 'at': ['5in', '1/4in'],"
                 "'length': '2in', 'width': '1/4in', 'depth': '1in'}}");
}

static void a_hole_in_an_edge_keeps_half_its_diameter(void **state) {
    Ctx        *c = *state;
    const Weak *w = only_weak(c, "{'hole': {'into': 'near', 'at': ['5in',"
        "'5/32in'], 'diameter': '1/4in', 'depth': '2in'}}");

    assert_near(w->width.real, INCH / 32, 0.02 * 2);   // facets
    assert_sound(c, "{'hole': {'into': 'near', 'at': ['5in', '3/8in'],"
                 "'diameter': '3/8in', 'depth': '2in'}}");
}

/* ---- Between two holes, or a hole and another cut ---- */

#define HOLE(x, y, d, more) "{'hole': {'at': ['" x "', '" y "'], "          \
    "'diameter': '" d "'" more "}}"

/* On a slant of 3 : 4 : 5 the middles of these are 5/8 in apart. */
static void two_holes_leave_the_diameter_of_the_smaller(void **state) {
    Ctx        *c = *state;
    const Weak *w = only_weak(c, HOLE("5in", "2in", "3/8in", "") ", "
                              HOLE("5 3/8in", "2 1/2in", "1/2in", ""));

    assert_int_equal(w->kind, WEAK_BETWEEN);
    assert_str(w->what, "wood between two holes");
    assert_near(w->width.real, (5.0 / 8 - 7.0 / 16) * INCH, 1e-6);
    assert_near(w->least.real, 3 * INCH / 8, 1e-6);
    assert_near(w->a.x, (5 + 0.6 * 3 / 16) * INCH, 1e-6);
    assert_near(w->b.y, (2.5 - 0.8 / 4) * INCH, 1e-6);
    assert_sound(c, HOLE("5in", "2in", "1/4in", "") ", "
                 HOLE("5 3/8in", "2 1/2in", "1/2in", ""));
}

/* Of a row, blind, in an edge; blind from both faces they do not meet. Twice
 * the thickness is enough beside large ones. */
static void holes_of_all_kinds_are_seen(void **state) {
    Ctx        *c = *state;
    const Weak *w = only_weak(c, "{'hole': {'at': ['5in', '1in'], "
        "'diameter': '1/2in', 'depth': '3/8in'}, 'repeat': {'count': 3, "
        "'step': ['0in', '3/4in']}}");

    assert_near(w->width.real, INCH / 4, 1e-6);
    w = only_weak(c, "{'hole': {'at': ['5in', '3/8in'], 'diameter': '1/4in',"
        "'depth': '1in', 'into': 'near'}, 'repeat': {'count': 2, "
        "'step': ['3/8in', '0in']}}");
    assert_near(w->width.real, INCH / 8, 1e-6);
    assert_near(w->a.y, INCH / 2, 1e-6);
    assert_sound(c, HOLE("5in", "2in", "1/2in", ", 'depth': '3/8in'") ", "
                 HOLE("5in", "2 5/8in", "1/2in",
                      ", 'depth': '1/4in', 'into': 'back'"));
    assert_sound(c, HOLE("3in", "2in", "1in", "") ", "
                 HOLE("5 1/2in", "2in", "1in", ""));
}

/* A groove that is shallow is no edge; a hole in a cut is part of it. */
static void a_hole_leaves_its_diameter_to_a_deep_cut(void **state) {
    Ctx        *c = *state;
    const Weak *w = only_weak(c, GROOVE("2in", "3/8in", "") ", "
                              HOLE("5in", "1 5/8in", "1/2in", ""));

    assert_str(w->what, "wood between a hole and the groove");
    assert_near(w->width.real, INCH / 8, 1e-6);
    assert_near(w->least.real, INCH / 2, 1e-6);
    assert_sound(c, GROOVE("2in", "1/4in", "") ", "
                 HOLE("5in", "1 5/8in", "1/2in", ""));
    assert_sound(c, GROOVE("2in", "3/8in", "") ", "
                 HOLE("5in", "2 1/8in", "1/8in", ""));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(a_floor_is_an_eighth_thick),
        TEST(cuts_from_both_faces_share_a_floor),
        TEST(a_blind_hole_leaves_a_floor),
        TEST(a_wall_beside_a_cut_is_as_thick_as_its_grain_wants),
        TEST(a_cut_that_runs_out_has_no_wall_there),
        TEST(a_wall_between_two_cuts_is_told_once),
        TEST(a_slanted_end_counts_where_it_is),
        TEST(a_mortise_in_an_edge_keeps_its_cheeks),
        TEST(a_hole_in_an_edge_keeps_half_its_diameter),
        TEST(two_holes_leave_the_diameter_of_the_smaller),
        TEST(holes_of_all_kinds_are_seen),
        TEST(a_hole_leaves_its_diameter_to_a_deep_cut),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
