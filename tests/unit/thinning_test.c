/* thin_test -- dense lines are thinned, others are left as they are. The
 * checks are the definitions: lines given in page millimeters, and what of
 * them is kept.
 */
#include "unit/test.h"

#include "press/press_internal.h"

static void add_line(Ctx *c, Picture *p, V2 a, V2 b) {
    *PUSH(c, &p->lines) = (Line2){ a, b, LINE_OUTLINE, 0, false };
    box2_add(&p->box, a);
    box2_add(&p->box, b);
}

static double kept_length(Ctx *c, const Picture *p) {
    Press   press = { .c = c };
    Place   as_is = { .from = v2(0, 0), .at = v2(0, 0), .scale = 1 };
    Line2s  kept  = lines_sparse(&press, p, &as_is,
                                 NEW_N(c, bool, p->lines.n + 1));
    double  sum = 0;

    for (int i = 0; i < kept.n; i++)
        sum += v2_len(v2_sub(kept.at[i].b, kept.at[i].a));
    return sum;
}

/* n lines of 20 mm, so far apart, slanted by `slope`. */
static double kept_of(Ctx *c, int n, double apart, double slope) {
    Picture p = { .box = box2_empty() };

    for (int i = 0; i < n; i++)
        add_line(c, &p, v2(0, i * apart), v2(20, 20 * slope + i * apart));
    return kept_length(c, &p) / hypot(20, 20 * slope);
}

static void a_stack_of_lines_is_thinned(void **state) {
    Ctx *c = *state;

    /* Twelve in 3.3 mm: fewer are left, 0.6 mm apart and more on the
     * whole, yet not so few that the stack is lost. */
    for (int slope = 0; slope < 3; slope++) {
        double kept = kept_of(c, 12, 0.3, 0.3 * slope);
        assert_true(kept >= 3 && kept <= 7);
    }
}

static void lines_with_room_stay(void **state) {
    Ctx *c = *state;

    assert_near(kept_of(c, 12, 1.5, 0), 12, 1e-9);
    assert_near(kept_of(c, 12, 1.5, 0.4), 12, 1e-9);
    assert_near(kept_of(c, 2, 0.8, 0.2), 2, 1e-9);   // a board's two edges
    assert_near(kept_of(c, 2, 0.05, 0.2), 1, 1e-9);  // one on the other
}

static void lines_that_cross_stay(void **state) {
    Ctx    *c = *state;
    Picture p = { .box = box2_empty() };

    for (int i = 0; i < 10; i++) {
        add_line(c, &p, v2(0, 2 * i), v2(18, 2 * i));
        add_line(c, &p, v2(2 * i, 0), v2(2 * i, 18));
    }
    assert_near(kept_length(c, &p), 20 * 18, 1e-9);
}

static void a_curve_of_short_lines_stays_whole(void **state) {
    Ctx    *c = *state;
    Picture p = { .box = box2_empty() };
    double  all = 0, step = 0.01;

    for (int i = 0; i < 150; i++) {   // 0.5 mm each, of a radius of 50 mm
        V2 a = v2(50 * cos(i * step), 50 * sin(i * step));
        V2 b = v2(50 * cos(i * step + step), 50 * sin(i * step + step));
        add_line(c, &p, a, b);
        all += v2_len(v2_sub(b, a));
    }
    assert_near(kept_length(c, &p), all, 1e-9);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(a_stack_of_lines_is_thinned),
        TEST(lines_with_room_stay),
        TEST(lines_that_cross_stay),
        TEST(a_curve_of_short_lines_stays_whole),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
