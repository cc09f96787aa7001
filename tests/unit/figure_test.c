/* Figures: what a quantity looks like on a page.
 *
 * Rounding a half away from zero: NAVEDTRA 14044 (trade-figures: a fraction
 * of a sixteenth of one half or more adds one). Fractions in lowest terms,
 * light and heavy marks: common practice, no published source. Gallon,
 * pound: NIST Handbook 44.
 */
#include "unit/test.h"

#include "press/press_internal.h"

#define NB    "\xE2\x80\xAF"   // U+202F
#define MINUS "\xE2\x88\x92"   // U+2212

static Edition inches(int64_t den) {
    return (Edition){ .inch = true, .step = quantity_inches(1, den) };
}

static Edition metric(int64_t num, int64_t den) {
    return (Edition){ .step = quantity_exact(num, den, DIM_LENGTH) };
}

/* num/den inches as an edition in 1/16 in prints them. */
static Str in16(Ctx *c, int64_t num, int64_t den) {
    Edition e = inches(16);

    return figure_length(c, &e, quantity_inches(num, den), STR("x")).shown;
}

static Str in_mm(Ctx *c, Edition e, double mm) {
    return figure_length(c, &e, quantity_mm(mm), STR("x")).shown;
}

static void fractions_are_in_lowest_terms(void **state) {
    Ctx *c = *state;

    assert_str(in16(c, 15, 4), "3" NB "³⁄₄");
    assert_str(in16(c, 51, 16), "3" NB "³⁄₁₆");
    assert_str(in16(c, 8, 16), "¹⁄₂");
    assert_str(in16(c, 10, 16), "⁵⁄₈");
    assert_str(in16(c, 15, 16), "¹⁵⁄₁₆");
    assert_str(in16(c, 96, 1), "96");
    assert_str(in16(c, 0, 1), "0");
    assert_str(in16(c, 32, 32), "1");
    assert_str(in16(c, 201, 2), "100" NB "¹⁄₂");
}

static void a_half_rounds_away_from_zero(void **state) {
    Ctx *c = *state;

    /* 13/32 is 6.5 sixteenths; printed 7/16, and the piece is lighter */
    assert_str(in16(c, 13, 32), "⁷⁄₁₆" MINUS);
    assert_str(in16(c, 1, 32), "¹⁄₁₆" MINUS);
    assert_str(in16(c, -13, 32), MINUS "⁷⁄₁₆" MINUS);
    assert_str(in16(c, 63, 32), "2" MINUS);
}

static void a_mark_means_over_a_quarter_step(void **state) {
    Ctx *c = *state;

    /* a quarter of 1/16 in is 16/1024 in */
    assert_str(in16(c, 768 + 16, 1024), "³⁄₄");
    assert_str(in16(c, 768 + 17, 1024), "³⁄₄+");
    assert_str(in16(c, 768 - 16, 1024), "³⁄₄");
    assert_str(in16(c, 768 - 17, 1024), "³⁄₄" MINUS);
    assert_str(in16(c, 3, 4), "³⁄₄");
    assert_str(in16(c, 11 * 1024 + 17, 1024), "11+");
    assert_str(in16(c, -11 * 1024 - 17, 1024), MINUS "11+");
}

static void doubles_on_the_step_get_no_mark(void **state) {
    Ctx    *c = *state;
    Edition e = inches(16);

    assert_str(in_mm(c, e, 95.25), "3" NB "³⁄₄");
    assert_str(in_mm(c, e, 95.25 + 1e-10), "3" NB "³⁄₄");
    /* 6.5 sixteenths less what doubles lose */
    assert_str(in_mm(c, e, 6.5 * 25.4 / 16 - 1e-11), "⁷⁄₁₆" MINUS);
    assert_str(in_mm(c, e, 0.05), "0");
}

static void the_step_decides_the_fractions(void **state) {
    Ctx    *c  = *state;
    Edition e8 = inches(8), e32 = inches(32), e64 = inches(64);

    assert_str(in_mm(c, e8, 13.0 / 32 * 25.4), "³⁄₈");
    assert_str(in_mm(c, e32, 13.0 / 32 * 25.4), "¹³⁄₃₂");
    assert_str(in_mm(c, e64, 63.0 / 64 * 25.4), "⁶³⁄₆₄");
}

static void millimeters_are_multiples_of_the_step(void **state) {
    Ctx *c = *state;

    assert_str(in_mm(c, metric(1, 2), 95.25), "95.5");
    assert_str(in_mm(c, metric(1, 2), 95.0), "95");
    assert_str(in_mm(c, metric(1, 1), 95.5), "96");
    assert_str(in_mm(c, metric(1, 10), 0.25), "0.3");
    assert_str(in_mm(c, metric(1, 2), -12.3), MINUS "12.5");
    assert_str(in_mm(c, metric(1, 2), 0.1), "0");
    assert_str(in_mm(c, metric(5, 1), 12.6), "15");
}

static void a_length_keeps_its_value_unit_and_source(void **state) {
    Ctx    *c = *state;
    Edition e = inches(16);
    Figure  f = figure_length(c, &e, quantity_inches(13, 32), STR("rise"));

    assert_int_equal(f.kind, FIGURE_LENGTH);
    assert_str(f.unit, "in");
    assert_str(f.source, "rise");
    assert_near(f.value, 13.0 / 32 * 25.4, 1e-12);
    assert_near(f.step, 25.4 / 16, 1e-12);
}

static void angles_have_at_most_one_decimal(void **state) {
    Ctx *c = *state;
    static const struct { double is; const char *shown; } table[] = {
        { 30, "30" }, { 22.5, "22.5" }, { 22.46, "22.5" }, { 22.04, "22" },
        { 0.05, "0.1" }, { -7.25, MINUS "7.3" }, { 90, "90" }, { 0, "0" }
    };

    for (int i = 0; i < COUNT(table); i++) {
        Figure f = figure_angle(c, quantity_real(table[i].is, DIM_ANGLE),
                                STR("a"));
        assert_str(f.shown, table[i].shown);
        assert_str(f.unit, "°");
    }
}

static void money_has_two_decimals(void **state) {
    Ctx *c = *state;

    assert_str(figure_money(c, quantity_exact(37, 5, DIM_MONEY), STR("p"))
               .shown, "$7.40");
    assert_str(figure_money(c, quantity_exact(1, 8, DIM_MONEY), STR("p"))
               .shown, "$0.13");
    assert_str(figure_money(c, quantity_real(1250, DIM_MONEY), STR("p"))
               .shown, "$1250.00");
}

static void large_amounts_change_their_unit(void **state) {
    Ctx    *c  = *state;
    Edition in = inches(16), mm = metric(1, 2);
    double  gallon = 231 * 25.4 * 25.4 * 25.4;
    Figure  f;

    f = figure_volume(c, &in, gallon / 16, STR("v"));
    assert_str(f.shown, "8");
    assert_str(f.unit, "fl oz");
    f = figure_volume(c, &in, gallon / 2, STR("v"));
    assert_str(f.shown, "2");
    assert_str(f.unit, "qt");
    f = figure_volume(c, &mm, gallon, STR("v"));   // 3.785 l
    assert_str(f.shown, "3.8");
    assert_str(f.unit, "l");
    f = figure_mass(c, &in, 2 * 453.59237, STR("m"));
    assert_str(f.shown, "2");
    assert_str(f.unit, "lb");
    f = figure_mass(c, &mm, 750, STR("m"));
    assert_str(f.shown, "750");
    assert_str(f.unit, "g");
    f = figure_area(c, &in, 304.8 * 304.8 * 12.34, STR("s"));
    assert_str(f.shown, "12");
    assert_str(f.unit, "sq ft");
}

static void boards_are_sold_by_the_foot(void **state) {
    Ctx    *c  = *state;
    Edition in = inches(16), mm = metric(1, 2);
    Figure  f  = figure_sold(c, &in, quantity_inches(96, 1), STR("sold"));

    assert_str(f.shown, "8");
    assert_str(f.unit, "ft");
    f = figure_sold(c, &in, quantity_inches(97, 1), STR("sold"));
    assert_str(f.shown, "97");
    assert_str(f.unit, "in");
    f = figure_sold(c, &mm, quantity_exact(2400, 1, DIM_LENGTH), STR("s"));
    assert_str(f.shown, "2400");
    assert_str(f.unit, "mm");
}

/* 8 ft is 2438.4 mm, 1 in 25.4: no store has 2438.5 or 25.5. What is given
 * to the step stays as it is. */
static void what_is_bought_has_whole_millimeters(void **state) {
    Ctx    *c  = *state;
    Edition in = inches(16), mm = metric(1, 2);
    Str     s  = STR("s");

    assert_str(figure_sold(c, &mm, quantity_inches(96, 1), s).shown, "2438");
    assert_str(figure_nominal(c, &mm, quantity_inches(1, 1), s).shown, "25");
    assert_str(figure_nominal(c, &mm, quantity_exact(125, 10, DIM_LENGTH),
                              s).shown, "12.5");
    assert_str(figure_nominal(c, &in, quantity_inches(1, 2), s).shown,
               "¹⁄₂");
}

/* ---- Read back ---- */

static void read_back(Ctx *c, bool inch, Quantity step, int n) {
    Edition       e     = { .inch = inch, .step = step };
    Buf           text  = BUF(c);
    Sizes        *sizes = sizes_new(c);
    const Design *d;

    buf_add(&text, "{\"rodbook\": 1, \"sizes\": {");
    for (int i = 0; i < n; i++) {
        Figure f = figure_length(c, &e, quantity_exact(step.num * i,
                                     step.den, DIM_LENGTH), STR("x"));
        buf_add(&text, "%s\"s%d\": \"%.*s %.*s\"", i ? ", " : "", i,
                STR_ARG(f.shown), STR_ARG(f.unit));
    }
    buf_add(&text, "}}");
    d = design_parse(c, source_add(c, "printed", buf_done(&text)));
    assert_non_null(d);
    sizes_read(c, sizes, node_find(d->root, "sizes"), "");
    for (int i = 0; i < n; i++) {
        Quantity q = sizes_value(c, sizes, str_fmt(c, "s%d", i),
                                 (Loc){ 0 });
        assert_false(q.poison);
        assert_int_equal(quantity_cmp(q, quantity_exact(step.num * i,
                                             step.den, DIM_LENGTH)), 0);
    }
}

static void a_printed_length_read_back_is_the_same_length(void **state) {
    read_back(*state, true, quantity_inches(1, 16), 1000);
    read_back(*state, true, quantity_inches(1, 64), 700);
    read_back(*state, false, quantity_exact(1, 2, DIM_LENGTH), 1000);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(a_printed_length_read_back_is_the_same_length),
        TEST(fractions_are_in_lowest_terms),
        TEST(a_half_rounds_away_from_zero),
        TEST(a_mark_means_over_a_quarter_step),
        TEST(doubles_on_the_step_get_no_mark),
        TEST(the_step_decides_the_fractions),
        TEST(millimeters_are_multiples_of_the_step),
        TEST(a_length_keeps_its_value_unit_and_source),
        TEST(angles_have_at_most_one_decimal),
        TEST(money_has_two_decimals),
        TEST(large_amounts_change_their_unit),
        TEST(boards_are_sold_by_the_foot),
        TEST(what_is_bought_has_whole_millimeters),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
