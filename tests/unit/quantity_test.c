/* Exact fractions, their arithmetic and how they are shown. */
#include "unit/test.h"

#include "eval/eval.h"

static const Loc nowhere = { 0 };

static Quantity exact(int64_t num, int64_t den) {
    return quantity_exact(num, den, DIM_NUMBER);
}

static Quantity mm(int64_t num, int64_t den) {
    return quantity_exact(num, den, DIM_LENGTH);
}

static Str shown(Ctx *c, Quantity q) {
    Buf out = BUF(c);
    quantity_show(&out, q);
    return buf_done(&out);
}

#define assert_fraction(q, n, d)                                          \
    do {                                                                  \
        Quantity q_ = (q);                                                \
        assert_true(quantity_is_exact(q_));                               \
        assert_int_equal(q_.num, n);                                      \
        assert_int_equal(q_.den, d);                                      \
    } while (0)

static void fractions_are_kept_in_lowest_terms(void **state) {
    (void)state;
    assert_fraction(exact(6, 8), 3, 4);
    assert_fraction(exact(6, -8), -3, 4);
    assert_fraction(exact(0, -8), 0, 1);
    assert_fraction(quantity_neg(exact(3, 4)), -3, 4);
}

/* 1 in = 25.4 mm exactly (NIST SP 811, appendix B; from memory). */
static void an_inch_is_25_4_mm_to_the_bit(void **state) {
    Ctx     *c    = *state;
    Quantity inch = quantity_inches(1, 1);

    assert_int_equal(quantity_cmp(inch, mm(254, 10)), 0);
    assert_true(inch.real == 25.4);
    assert_fraction(quantity_sub(c, nowhere, inch, mm(254, 10)), 0, 1);
}

static void sixteen_sixteenths_are_one_inch(void **state) {
    Ctx     *c   = *state;
    Quantity sum = quantity_inches(0, 1), part = quantity_inches(1, 16);

    for (int i = 0; i < 16; i++)
        sum = quantity_add(c, nowhere, sum, part);
    assert_fraction(sum, 127, 5);
    sum = quantity_mul(c, nowhere, part, exact(16, 1));
    assert_fraction(sum, 127, 5);
}

/* The same sum in doubles is off: this is what exactness buys. */
static void ten_tenths_are_one(void **state) {
    Ctx     *c    = *state;
    Quantity sum  = exact(0, 1);
    double   real = 0;

    for (int i = 0; i < 10; i++) {
        sum   = quantity_add(c, nowhere, sum, exact(1, 10));
        real += 0.1;
    }
    assert_fraction(sum, 1, 1);
    assert_true(real != 1);
}

static void real_is_the_nearest_double(void **state) {
    (void)state;
    assert_true(exact(1, 3).real == 1.0 / 3);
    assert_true(exact(-127, 320).real == -127.0 / 320);
    /* 2^53 + 1 lies halfway: to even, which is 2^53. */
    assert_true(exact(9007199254740993, 1).real == 9007199254740992.0);
    /* (2^63 - 1)/(2^62 + 1) = 2 - 3/(2^62 + 1): 2 to 53 bits. */
    assert_true(exact(INT64_MAX, 4611686018427387905).real == 2.0);
    assert_true(exact(1, INT64_MAX).real == ldexp(1, -63));
    /* Above a halfway point by less than 2^-115 of it: up, not to even. */
    assert_true(exact(3773197651440590089, 4611686018427387915).real
                == 0x1.a2e8ba2e8ba2fp-1);
}

static void overflow_falls_to_a_double(void **state) {
    Ctx     *c    = *state;
    Quantity huge = exact(INT64_MAX, 1), tiny = exact(1, INT64_MAX - 1);
    Quantity q    = quantity_mul(c, nowhere, huge, exact(3, 1));

    assert_false(quantity_is_exact(q));
    assert_near(q.real, 3 * 9223372036854775807.0, 4096);
    q = quantity_add(c, nowhere, huge, huge);
    assert_false(quantity_is_exact(q));
    q = quantity_add(c, nowhere, exact(1, INT64_MAX), tiny);
    assert_false(quantity_is_exact(q));
    assert_near(q.real, ldexp(1, -62), 1e-30);
    q = quantity_mul(c, nowhere, exact(1, INT64_MAX), exact(1, 3));
    assert_false(quantity_is_exact(q));
    assert_near(q.real, ldexp(1, -63) / 3, 1e-34);
    q = quantity_exact(INT64_MIN, 1, DIM_NUMBER);
    assert_true(q.real == -9223372036854775808.0);
    /* Common factors go first: this one fits. */
    assert_fraction(quantity_mul(c, nowhere, huge, exact(2, INT64_MAX)), 2,
                    1);
    assert_int_equal(c->errors, 0);
}

static void beyond_doubles_is_an_error(void **state) {
    Ctx     *c = *state;
    Quantity q = quantity_real(1e200, DIM_NUMBER);

    q = quantity_mul(c, nowhere, q, q);
    assert_true(q.poison);
    assert_int_equal(has_diag(c, NOT_FINITE), 1);
}

static void comparing_is_exact_where_doubles_are_equal(void **state) {
    Quantity a = exact(INT64_MAX, INT64_MAX - 1);
    Quantity b = exact(INT64_MAX - 1, INT64_MAX - 2);

    (void)state;
    assert_true(a.real == b.real);
    assert_int_equal(quantity_cmp(a, b), -1);
    assert_int_equal(quantity_cmp(b, a), 1);
    assert_int_equal(quantity_cmp(a, a), 0);
}

static void dimensions_multiply_and_divide(void **state) {
    Ctx     *c    = *state;
    Quantity a    = quantity_inches(3, 1);
    Quantity area = quantity_mul(c, nowhere, a, a);

    assert_true(dim_eq(area.dim, DIM_AREA));
    assert_true(dim_eq(quantity_mul(c, nowhere, area, a).dim, DIM_VOLUME));
    assert_fraction(quantity_div(c, nowhere, area, a), 381, 5);
    assert_true(dim_eq(quantity_div(c, nowhere, a, a).dim, DIM_NUMBER));
    assert_string_equal(dim_name(area.dim), "an area");
}

static void a_power_of_units_has_a_limit(void **state) {
    Ctx     *c = *state;
    Quantity q = quantity_inches(1, 1);

    for (int i = 0; i < 300; i++)
        q = quantity_mul(c, nowhere, q, quantity_inches(1, 1));
    assert_true(q.poison);
    assert_int_equal(c->errors, 1);
}

static void a_mistake_is_reported_once(void **state) {
    Ctx     *c     = *state;
    Loc      plus  = { .begin = 4, .end = 5 };
    Quantity angle = quantity_exact(30, 1, DIM_ANGLE);
    Quantity bad   = quantity_add(c, plus, quantity_inches(22, 1), angle);
    Quantity worse = quantity_mul(c, plus, bad, exact(2, 1));

    worse = quantity_div(c, plus, worse, bad);
    assert_true(bad.poison && worse.poison && quantity_neg(bad).poison);
    assert_true(quantity_round(bad, exact(1, 1)).poison);
    assert_int_equal(c->errors, 1);
    assert_int_equal(c->diags.at[0].code, UNIT_MISMATCH);
    assert_str(c->diags.at[0].what,
               "cannot add an angle (30 deg) to a length (22 in)");
}

static void dividing_by_zero_is_an_error(void **state) {
    Ctx     *c = *state;
    Quantity q = quantity_div(c, nowhere, mm(3, 1), mm(0, 1));

    assert_true(q.poison);
    assert_int_equal(has_diag(c, OUT_OF_RANGE), 1);
}

/* A half or more rounds up: NAVEDTRA 14044 as in the header. */
static void a_half_rounds_away_from_zero(void **state) {
    Quantity step = quantity_inches(1, 16);

    (void)state;
    assert_int_equal(quantity_cmp(quantity_round(quantity_inches(3, 32),
                                                 step),
                                  quantity_inches(1, 8)), 0);
    assert_int_equal(quantity_cmp(quantity_round(quantity_inches(-3, 32),
                                                 step),
                                  quantity_inches(-1, 8)), 0);
    assert_int_equal(quantity_cmp(quantity_round(quantity_inches(5, 64),
                                                 step),
                                  quantity_inches(1, 16)), 0);
    assert_fraction(quantity_round(exact(0, 1), exact(1, 8)), 0, 1);
    /* Builder 3 & 2, US Navy 14044: 111.1396 in is 111-1/8 in to the
     * sixteenth; the multiple of an exact step is exact again. */
    assert_int_equal(quantity_cmp(quantity_round(
                                      quantity_mm(111.1396 * 25.4), step),
                                  quantity_inches(889, 8)), 0);
    assert_true(quantity_is_exact(quantity_round(quantity_mm(99), step)));
}

static void quantities_are_shown_as_a_rule_reads(void **state) {
    Ctx *c = *state;

    assert_str(shown(c, quantity_inches(15, 4)), "3 3/4 in");
    assert_str(shown(c, quantity_inches(-15, 4)), "-3 3/4 in");
    assert_str(shown(c, quantity_inches(-3, 4)), "-3/4 in");
    assert_str(shown(c, quantity_inches(0, 1)), "0 in");
    assert_str(shown(c, mm(9525, 100)), "3 3/4 in");
    assert_str(shown(c, mm(95, 1)), "95 mm");
    assert_str(shown(c, mm(-952, 10)), "-95.2 mm");
    assert_str(shown(c, quantity_inches(1, 3)), "1/3 in");
    assert_str(shown(c, quantity_mm(95.25125)), "95.2512 mm");
    assert_str(shown(c, quantity_exact(45, 2, DIM_ANGLE)), "22.5 deg");
    assert_str(shown(c, quantity_exact(180, 7, DIM_ANGLE)), "25 5/7 deg");
    assert_str(shown(c, quantity_exact(37, 5, DIM_MONEY)), "$7.40");
    assert_str(shown(c, quantity_exact(-37, 5, DIM_MONEY)), "-$7.40");
    assert_str(shown(c, exact(5, 2)), "2.5");
    assert_str(shown(c, exact(-1, 3)), "-1/3");
    assert_str(shown(c, quantity_real(1e300, DIM_LENGTH)), "1e+300 mm");
    assert_str(shown(c, POISON), "?");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(fractions_are_kept_in_lowest_terms),
        TEST(an_inch_is_25_4_mm_to_the_bit),
        TEST(sixteen_sixteenths_are_one_inch),
        TEST(ten_tenths_are_one),
        TEST(real_is_the_nearest_double),
        TEST(overflow_falls_to_a_double),
        TEST(beyond_doubles_is_an_error),
        TEST(comparing_is_exact_where_doubles_are_equal),
        TEST(dimensions_multiply_and_divide),
        TEST(a_power_of_units_has_a_limit),
        TEST(a_mistake_is_reported_once),
        TEST(dividing_by_zero_is_an_error),
        TEST(a_half_rounds_away_from_zero),
        TEST(quantities_are_shown_as_a_rule_reads),
    };

    return cmocka_run_group_tests_name("quantity", tests, NULL, NULL);
}
