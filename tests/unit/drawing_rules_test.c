/* drawing_rules_test -- all ink of the booklets keeps to the line widths of
 * ISO 128-2 (series from memory), and no letter or digit is smaller than
 * those of 7.5 points: not by its font size, nor as its outline is drawn
 * (the least height of ISO 3098, 1.8 mm, is a little less).
 */
#include "unit/design_text.h"

#include "press/press.h"
#include "print/print_internal.h"

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

/* Height of the outline of a text. */
static double ink_height(Ctx *c, const Booklet *b, const Mark *m) {
    Booklet one = { .fonts = b->fonts };
    Page   *page = PUSH(c, &one.pages), out;
    double  low = 1e9, high = -1e9;

    *page = (Page){ 0 };
    *PUSH(c, &page->marks) = *m;
    page->marks.at[0].turn = 0;
    assert_true(page_outlined(c, &one, 0, &out));
    for (int i = 0; i < out.marks.n; i++)
        for (int k = 0; k < out.marks.at[i].path.n; k++) {
            const PathOp *op = &out.marks.at[i].path.at[k];
            double y = op->p[op->op == 'C' ? 2 : 0].y;
            if (op->op == 'Z')
                continue;
            low  = fmin(low, y);
            high = fmax(high, y);
        }
    return high - low;
}

/* Digits of any kind: they are all as high as capitals in our fonts. */
static bool has_digits_only(Str s) {
    for (size_t at = 0; at < s.n; ) {
        uint32_t ch = utf8_next(s, &at);
        bool digit = (ch >= '0' && ch <= '9') || ch == 0xB9 || ch == 0xB2
                  || ch == 0xB3 || (ch >= 0x2074 && ch <= 0x2089);
        if (!digit)
            return false;
    }
    return s.n > 0;
}

/* Returns how many runs of digits were measured. */
static int check_sizes(Ctx *c, const Booklet *b, const Page *page) {
    const double least = 7.5 * 25.4 / 72;   // mm
    double       digit = font_cap_height(b->fonts, FONT_REGULAR, 7.5);
    int          runs  = 0;

    for (int i = 0; i < page->marks.n; i++) {
        const Mark *m = &page->marks.at[i];
        if (m->kind != MARK_TEXT)
            continue;
        if (m->size * 25.4 / 72 < least - 1e-9)
            fail_msg("'%.*s' is set in %g points", STR_ARG(m->text),
                     m->size);
        if (!has_digits_only(m->text))
            continue;
        runs++;
        if (ink_height(c, b, m) < digit * 0.99)
            fail_msg("'%.*s' is %g mm high", STR_ARG(m->text),
                     ink_height(c, b, m));
    }
    return runs;
}

static void no_text_is_smaller_than_the_smallest(void **state) {
    static const char *const paths[] = {
        "templates/bench.json", "templates/box.json",
        "templates/planter.json", "templates/shelter.json",
        "templates/slats.json", "templates/stool.json",
        "templates/tub.json", "tests/golden/sampler/design.json",
        "plans-demo/puppet-theater/puppet-theater.json"
    };
    Ctx *c = *state;

    for (int i = 0; i < COUNT(paths); i++) {
        const Design   *d = design_read(c, paths[i]);
        const Model    *m = model_build(c, d, sizes_new(c));
        const Workplan *plan = plan_work(c, m);
        for (int inch = 0; inch < 2; inch++) {
            Edition e = { .inch = inch, .a4 = !inch,
                          .step = quantity_mm(inch ? INCH / 16 : 1) };
            const Booklet *b = press_booklet(c, m, plan, &e);
            int runs = 0;
            assert_non_null(b);
            for (int k = 0; k < b->pages.n; k++)
                runs += check_sizes(c, b, &b->pages.at[k]);
            assert_true(runs > 100);
        }
    }
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

/* Luminance contrast with white, of 1 to 21 (the formula of the W3C's
 * Web Content Accessibility Guidelines 2.1, from memory). */
static double contrast(Ink ink) {
    const double w[] = { 0.2126, 0.7152, 0.0722 };
    const double v[] = { ink_rgb[ink].r, ink_rgb[ink].g, ink_rgb[ink].b };
    double       l = 0;

    for (int i = 0; i < 3; i++)
        l += w[i] * (v[i] <= 0.03928 ? v[i] / 12.92
                                     : pow((v[i] + 0.055) / 1.055, 2.4));
    return 1.05 / (l + 0.05);
}

/* On a printer without colors: words and lines are read (4.5 at least, the
 * bar of a caution 3), fills stay lighter than any line on them, and of two
 * fills that mean something each is told from white and from the other. */
static void all_inks_are_told_apart_in_gray(void **state) {
    (void)state;
    assert_true(contrast(INK_BLACK) > 20.9);
    assert_true(contrast(INK_GRAY) >= 4.5);
    assert_true(contrast(INK_ACCENT) >= 3);
    assert_true(contrast(INK_TINT) > 1.2 && contrast(INK_TINT) < 1.7);
    assert_true(contrast(INK_PALE) > 1.2 && contrast(INK_PALE) < 1.7);
    assert_true(contrast(INK_ZEBRA) > 1.1);
    assert_true(contrast(INK_SHADE) > 1.2 * contrast(INK_PALE));
    assert_true(contrast(INK_GRAY) > 2 * contrast(INK_SHADE));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(only_line_widths_of_the_series_are_drawn),
        TEST(no_text_is_smaller_than_the_smallest),
        TEST(all_inks_are_told_apart_in_gray),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
