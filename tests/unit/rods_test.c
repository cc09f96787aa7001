/* rods_test -- the marks of the rods are where the pieces stand.
 *
 * What is printed is read from the ledger of the whole booklet; where it
 * should be, from the pieces in the world, from the exposure that the
 * courses worked out, or from a closed form.
 */
#include "unit/design_text.h"

#include "press/press.h"

static const Booklet *booklet_of(Ctx *c, const Model *m) {
    const Workplan *plan = plan_work(c, m);
    Edition         e    = { .inch = true, .step = m->step_inch };

    assert_non_null(plan);
    return press_booklet(c, m, plan, &e);
}

static const Model *model_at(Ctx *c, const char *path) {
    const Design *d = design_read(c, path);

    assert_non_null(d);
    return model_build(c, d, sizes_new(c));
}

/* The k-th mark (from 1) of a rod, or -1. */
static double mark_of(Ctx *c, const Booklet *b, const char *row, int k) {
    Str name = str_fmt(c, "%s %d", row, k);

    for (int i = 0; i < b->ledger.rows.n; i++)
        if (str_eq(b->ledger.rows.at[i].figure.source, name))
            return b->ledger.rows.at[i].figure.value;
    return -1;
}

static void a_row_of_pieces_is_measured_from_what_it_lies_on(void **state) {
    Ctx           *c = *state;
    const Model   *m = model_at(c, "templates/slats.json");
    const Booklet *b = booklet_of(c, m);
    double zero = piece_called(m, "front rail")->box.min.x;
    int    n    = 0;

    for (int i = 0; i < m->pieces.n; i++)
        if (str_is(m->pieces.at[i].group, "slats")) {
            assert_near(mark_of(c, b, "slats", n + 1),
                        m->pieces.at[i].box.min.x - zero, 1e-6);
            n++;
        }
    assert_true(n > 5);
    assert_true(mark_of(c, b, "slats", n + 1) < 0);
}

static void courses_are_an_exposure_apart(void **state) {
    Ctx           *c = *state;
    const Model   *m = model_at(c, "plans-demo/puppet-theater/"
                                   "puppet-theater.json");
    const Booklet *b = booklet_of(c, m);
    const Worked  *exposure = model_worked(m, STR("left roof"),
                                           STR("exposure"));
    const Worked  *courses  = model_worked(m, STR("left roof"),
                                           STR("courses"));

    assert_true(courses->value.real > 3);
    for (int k = 2; k <= (int)courses->value.real; k++)
        assert_near(mark_of(c, b, "left roof", k),
                    (k - 1) * exposure->value.real, 0.01);
}

static bool is_printed(const Booklet *b, const char *source, double value) {
    for (int i = 0; i < b->ledger.rows.n; i++)
        if (str_is(b->ledger.rows.at[i].figure.source, source)
            && fabs(b->ledger.rows.at[i].figure.value - value) < 1e-6)
            return true;
    return false;
}

/* Twelve centers from 1 in to 9 in: 8/11 in apart. Their rod has all. */
static void many_holes_have_a_rod(void **state) {
    Ctx           *c = *state;
    const Booklet *b = booklet_of(c, model_with(c,
        "'features': [{'hole': {'at': ['0in', '2in'], 'diameter': '1/8in'},"
        " 'repeat': {'count': 12, 'between': ['1in', '9in'],"
        " 'ends': 'piece'}}]"));

    for (int k = 0; k < 12; k++)
        assert_true(is_printed(b, "A.hole", 25.4 * (1 + 8 * k / 11.0)));
}

/* Boards that lie edge to edge are set out by themselves. */
static void rows_without_gaps_have_none(void **state) {
    Ctx           *c = *state;
    const Model   *m = model_at(c, "templates/planter.json");
    const Booklet *b = booklet_of(c, m);

    assert_true(mark_of(c, b, "slats", 2) > 0);
    assert_true(mark_of(c, b, "left boards", 2) < 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(a_row_of_pieces_is_measured_from_what_it_lies_on),
        TEST(courses_are_an_exposure_apart),
        TEST(many_holes_have_a_rod),
        TEST(rows_without_gaps_have_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
