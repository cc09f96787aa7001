/* drawing_rules_test -- all ink of the booklets keeps to the line widths of
 * ISO 128-2 (series from memory). Text sizes are not held here.
 */
#include "unit/design_text.h"

#include "press/press.h"

static bool is_among(double x, const double *all, int n) {
    for (int i = 0; i < n; i++)
        if (fabs(x - all[i]) < 1e-9)
            return true;
    return false;
}

static int check_marks(const Page *page) {
    static const double widths[] = { 0.18, 0.25, 0.35, 0.5, 0.7, 1, 1.4 };
    int strokes = 0;

    for (int i = 0; i < page->marks.n; i++) {
        const Mark *m = &page->marks.at[i];
        if (m->kind == MARK_PATH && m->stroke != INK_NONE) {
            strokes++;
            if (!is_among(m->width, widths, COUNT(widths)))
                fail_msg("a line of %g mm", m->width);
        }
    }
    return strokes;
}

static void only_line_widths_of_the_series_are_drawn(void **state) {
    static const char *const names[] = { "slats", "stool", "box", "planter" };
    Ctx *c = *state;

    for (int i = 0; i < COUNT(names); i++)
        for (int inch = 0; inch < 2; inch++) {
            Edition e = { .inch = inch, .a4 = !inch,
                          .step = quantity_mm(inch ? INCH / 16 : 1) };
            const Design *d = design_read(c, str_z(c, str_fmt(c,
                "templates/%s.json", names[i])));
            const Model   *m = model_build(c, d, sizes_new(c));
            const Booklet *b = press_booklet(c, m, plan_work(c, m), &e);
            int strokes = 0;
            assert_non_null(b);
            for (int k = 0; k < b->pages.n; k++)
                strokes += check_marks(&b->pages.at[k]);
            assert_true(strokes > 100);
        }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(only_line_widths_of_the_series_are_drawn),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
