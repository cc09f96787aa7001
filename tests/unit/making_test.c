/* Finish by face, sizes that are fitted on the work, parts cut in one
 * stack or as mirrored pairs. Areas are worked out beside each. */
#include "unit/design_text.h"

#define PAINTS                                                            \
    "'finishes': {'white': {'kind': 'paint', 'coats': 2,"                 \
    " 'covers': '350sqft/gal'}, 'oil': {'kind': 'oil', 'coats': 1,"       \
    " 'covers': '200sqft/gal'}}"

/* A plank of 10 x 4 x 3/4 in with these members. */
static const char *plank(Ctx *c, const char *more) {
    return str_z(c, str_fmt(c, BOARD "," PAINTS ","
        "'parts': {'A': {'name': 'Plank', 'from': 'board',"
        " 'length': '10in', 'width': '4in', %s}},"
        "'pieces': [{'part': 'A', 'at': ['0in', '0in', '0in'],"
        " 'rows': [{'count': 2, 'step': ['0in', '5in', '0in']}]}]", more));
}

static double area(const Model *m, int finish) {
    return m->finishes.at[finish].area / (INCH * INCH);
}

/* ---- Finish by face ---- */

static void one_finish_covers_all_faces(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, plank(c, "'finish': 'white'"));

    assert_near(area(m, 0), 2 * (2 * 40 + 2 * 7.5 + 2 * 3), 1e-6);
    assert_true(finish_is_plain(&m->parts.at[0]));
}

/* Two planks: show face 40, edges 7.5 each, back 40 sq in. */
static void each_face_may_have_its_own_finish(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, plank(c,
        "'finish': {'show': 'white', 'edges': 'white', 'back': 'oil'}"));

    assert_near(area(m, 0), 2 * (40 + 15), 1e-6);
    assert_near(area(m, 1), 2 * 40, 1e-6);
    assert_false(finish_is_plain(&m->parts.at[0]));
    assert_int_equal(m->parts.at[0].coat[SIDE_LEFT], -1);
}

static void a_bare_face_takes_no_finish(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, plank(c,
        "'finish': {'all': 'white', 'bare': ['back', 'left'],"
        " 'when': 'before'}"));

    assert_near(area(m, 0), 2 * (40 + 15 + 3), 1e-6);
    assert_int_equal(m->parts.at[0].finish_when, WHEN_BEFORE);
}

/* The narrower word has the last say, whatever the order in the file. */
static void one_edge_is_told_apart_from_the_edges(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, plank(c,
        "'finish': {'near': 'oil', 'edges': 'white'}"));

    assert_near(area(m, 0), 2 * 7.5, 1e-6);
    assert_near(area(m, 1), 2 * 7.5, 1e-6);
}

/* The floor of a groove 10 x 1 x 1/4 in looks where the face looks: the
 * show face keeps its 40 sq in; the walls count with the edges. */
static void the_floor_of_a_groove_counts_with_its_face(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, plank(c,
        "'features': [{'groove': {'at': ['0in', '1in'], 'length': '10in',"
        " 'width': '1in', 'depth': '1/4in'}}],"
        "'finish': {'show': 'white', 'edges': 'oil'}"));

    assert_near(area(m, 0), 2 * 40, 1e-6);
    assert_near(area(m, 1), 2 * (15 + 2 * 2.5), 1e-6);
}

/* A bevel of 30 deg through the thickness still looks like an end. */
static void a_beveled_end_counts_as_an_end(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, plank(c,
        "'ends': {'right': {'bevel': '30deg'}},"
        "'finish': {'right': 'white'}"));

    assert_near(area(m, 0), 2 * 3 / cos(30 * DEG), 1e-6);
}

static void a_face_that_no_part_has_is_an_error(void **state) {
    Ctx *c = *state;

    assert_null(try_model(c, plank(c,
        "'finish': {'all': 'white', 'bare': ['top']}")));
    assert_int_equal(has_diag(c, BAD_CHOICE), 1);
    assert_null(try_model(c, plank(c, "'finish': {'show': 'red'}")));
    assert_int_equal(has_diag(c, UNKNOWN_NAME), 1);
    assert_null(try_model(c, plank(c, "'finish': {'top': 'white'}")));
    assert_int_equal(has_diag(c, UNKNOWN_KEY), 1);
    assert_int_equal(c->errors, 3);
}

/* ---- Fitted on the work ---- */

static void a_part_may_be_fitted(void **state) {
    Ctx        *c = *state;
    const Part *part = &model_of(c, plank(c, "'fit': true"))->parts.at[0];

    assert_true(part->fit[0]);
    assert_false(part->fit[1] || part->fit[2]);
    part = &model_of(c, plank(c, "'fit': 'width'"))->parts.at[0];
    assert_false(part->fit[0] || part->fit[2]);
    assert_true(part->fit[1]);
}

/* What is computed from a fitted size must be measured, too. */
static void a_fitted_size_passes_on_to_what_it_makes(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, BOARD ","
        "'sizes': {'opening': {'is': '12in', 'fit': true},"
        " 'half': 'opening / 2', 'other': '3in'},"
        "'parts': {'A': {'name': 'Door', 'from': 'board',"
        " 'length': 'half + 1in', 'width': 'other'}},"
        "'pieces': [{'part': 'A', 'at': ['0in', '0in', '0in']}]");

    assert_true(m->parts.at[0].fit[0]);
    assert_false(m->parts.at[0].fit[1]);
    assert_true(sizes_fit(c, m->sizes, STR("half")));
    assert_false(sizes_fit(c, m->sizes, STR("other")));
}

static void fit_is_true_or_a_side(void **state) {
    Ctx *c = *state;

    assert_null(try_model(c, plank(c, "'fit': 'height'")));
    assert_int_equal(has_diag(c, BAD_CHOICE), 1);
    assert_null(try_model(c, BOARD ", 'sizes': {'a': {'is': '1in',"
        "'fit': 3}}, 'parts': {}, 'pieces': []"));
    assert_int_equal(has_diag(c, WRONG_KIND), 1);
}

/* ---- Stacks ---- */

static const char *two_parts(Ctx *c, const char *of_a, const char *of_b,
                             const char *length) {
    return str_z(c, str_fmt(c, BOARD ","
        "'parts': {'A': {'name': 'Front', 'from': 'board',"
        " 'length': '10in', 'width': '4in'%s}, 'B': {'name': 'Back',"
        " 'from': 'board', 'length': '%s', 'width': '4in'%s}},"
        "'pieces': [{'part': 'A', 'at': ['0in', '0in', '0in']},"
        "{'part': 'B', 'at': ['0in', '0in', '3/4in']}]", of_a, length,
        of_b));
}

static void two_parts_are_cut_in_one_stack(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, two_parts(c, "", ", 'cut with': 'A'",
                                           "10in"));

    assert_int_equal(stack_of(m, 0), 0);
    assert_int_equal(stack_of(m, 1), 0);
    m = model_of(c, two_parts(c, "", "", "10in"));
    assert_int_equal(stack_of(m, 1), 1);
}

static void what_cannot_be_stacked_is_an_error(void **state) {
    Ctx *c = *state;

    assert_null(try_model(c, two_parts(c, "", ", 'cut with': 'A'",
                                       "9in")));
    assert_int_equal(has_diag(c, STACK_BAD), 1);
    assert_null(try_model(c, two_parts(c, "", ", 'cut with': 'B'",
                                       "10in")));
    assert_int_equal(has_diag(c, STACK_BAD), 2);
    assert_null(try_model(c, two_parts(c, ", 'cut with': 'B'",
                                       ", 'cut with': 'A'", "10in")));
    assert_int_equal(has_diag(c, STACK_BAD), 4);
    assert_null(try_model(c, two_parts(c, "", ", 'cut with': 'C'",
                                       "10in")));
    assert_int_equal(has_diag(c, UNKNOWN_NAME), 1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(one_finish_covers_all_faces),
        TEST(each_face_may_have_its_own_finish),
        TEST(a_bare_face_takes_no_finish),
        TEST(one_edge_is_told_apart_from_the_edges),
        TEST(the_floor_of_a_groove_counts_with_its_face),
        TEST(a_beveled_end_counts_as_an_end),
        TEST(a_face_that_no_part_has_is_an_error),
        TEST(a_part_may_be_fitted),
        TEST(a_fitted_size_passes_on_to_what_it_makes),
        TEST(fit_is_true_or_a_side),
        TEST(two_parts_are_cut_in_one_stack),
        TEST(what_cannot_be_stacked_is_an_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
