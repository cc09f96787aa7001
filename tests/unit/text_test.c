/* Text, letters, tables and dimensions on a page. Fonts are the real ones:
 * what is measured here is what is printed.
 */
#include "unit/test.h"

#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include "press/press_internal.h"

static const Edition letter_inch = {
    .inch = true,
    .step = { .num = 127, .den = 80, .real = 1.5875, .dim = { 1, 0, 0, 0 } }
};

static Press a_press(Ctx *c) {
    const Fonts *fonts = fonts_load(c);
    Press p;

    assert_non_null(fonts);
    p = press_new(c, NULL, NULL, &letter_inch, fonts, NULL);
    page_begin(&p, SECTION_START, PAGE_TEXT);
    return p;
}

static Figure inches(Press *p, int64_t num, int64_t den) {
    return figure_length(p->c, p->e, quantity_inches(num, den), STR("x"));
}

/* ---- What the page says ---- */

static const Mark *mark_at(const Press *p, int i) {
    return &p->b->pages.at[p->page].marks.at[i];
}

static int marks_of(const Press *p) {
    return p->b->pages.at[p->page].marks.n;
}

static double right_end(const Press *p, const Mark *m) {
    return m->at.x + font_width(p->c, p->fonts, m->font, m->size, m->text);
}

/* ---- Lines ---- */

static Para long_para(Press *p) {
    Para para = para_of(p, "Glue the first slat flush with the end of the "
                        "bench, then set each of the others against a ");
    say_figure(p, &para, inches(p, 7, 16));
    say(p, &para, " spacer, clamp it, and wipe off the glue that comes "
        "out before it dries. ");
    say_bold(p, &para, "Do not move the clamps");
    say(p, &para, " until the glue has set (see the can).");
    return para;
}

static void lines_keep_within_the_width(void **state) {
    Press p = a_press(*state);
    Para  para = long_para(&p);

    for (double width = 25; width < 190; width += 7.3) {
        int first = marks_of(&p);
        double height = para_draw(&p, &para, 20, 30, width, STYLE_TEXT);
        assert_near(height, para_height(&p, &para, width, STYLE_TEXT), 0);
        for (int i = first; i < marks_of(&p); i++)
            if (mark_at(&p, i)->kind == MARK_TEXT)
                assert_true(right_end(&p, mark_at(&p, i))
                            <= 20 + width + 0.1);
    }
}

static void a_line_is_as_full_as_it_can_be(void **state) {
    Press  p = a_press(*state);
    Para   para = long_para(&p);
    double whole = para_width(&p, &para, STYLE_TEXT);

    assert_near(para_height(&p, &para, whole + 0.01, STYLE_TEXT), 4.5, 0);
    assert_near(para_height(&p, &para, whole - 0.01, STYLE_TEXT), 9, 0);
}

/* Whole number, numerator, bar, denominator and unit are five runs on one
 * baseline. */
static void a_figure_stays_with_its_unit(void **state) {
    Press p = a_press(*state);
    static const char *const runs[5] = {
        "3\xE2\x80\xAF", "³", "⁄", "₁₆", "\xE2\x80\xAFin"
    };

    for (double width = 8; width < 40; width += 0.5) {
        Para para  = para_of(&p, "a spacer of ");
        int  first = marks_of(&p), found = 0;
        double y = -1;
        say_figure(&p, &para, inches(&p, 51, 16));
        para_draw(&p, &para, 20, 30, width, STYLE_TEXT);
        for (int i = first; i < marks_of(&p); i++) {
            const Mark *m = mark_at(&p, i);
            if (found == 5 || !str_is(m->text, runs[found]))
                continue;
            assert_true(found == 0 || m->at.y == y);
            y = m->at.y;
            found++;
        }
        assert_int_equal(found, 5);
    }
}

static void a_word_too_wide_for_its_cell_is_cut(void **state) {
    Press p    = a_press(*state);
    Para  para = para_of(&p, "counterbored");
    int   first = marks_of(&p);

    para_draw(&p, &para, 20, 30, 14, STYLE_NOTE);
    assert_true(marks_of(&p) - first == 2);
    assert_true(str_ends(mark_at(&p, first)->text, "-"));
    assert_true(right_end(&p, mark_at(&p, first)) <= 34.01);
}

static void baselines_stand_on_the_grid(void **state) {
    Press p    = a_press(*state);
    Para  para = long_para(&p);

    heading(&p, STR("What to buy"), SIZE_HEAD);
    flow_para(&p, 0, 80, STYLE_LEAD, &para);
    space_down(&p, 1);
    flow_item(&p, 0, 80, STYLE_TEXT, ITEM_NUMBER, 3, &para);
    for (int i = 0; i < marks_of(&p); i++) {
        double lines = (mark_at(&p, i)->at.y - p.top) / HALF_LINE;
        if (mark_at(&p, i)->kind == MARK_TEXT)
            assert_near(lines, round(lines), 1e-6);
    }
}

/* ---- Digits ---- */

/* True if the program stops when it says the words. */
static bool stops(Press *p, const char *words) {
    int   status = 0;
    pid_t child  = fork();

    if (child == 0) {
        Para para = { 0 };
        signal(SIGABRT, SIG_DFL);
        if (!freopen("/dev/null", "w", stderr))
            _exit(1);
        say(p, &para, words);
        _exit(0);
    }
    waitpid(child, &status, 0);
    return WIFSIGNALED(status) && WTERMSIG(status) == SIGABRT;
}

static void program_prose_has_no_digits(void **state) {
    Press p = a_press(*state);

    assert_true(stops(&p, "drill 2 holes"));
    assert_true(stops(&p, "a ½ turn"));
    assert_true(stops(&p, "x³"));
    assert_false(stops(&p, "drill two holes"));
}

static void digits_of_the_author_become_names(void **state) {
    Press p = a_press(*state);
    static const struct { const char *words; const char *names[4]; } table[] = {
        { "no digits", { NULL } },
        { "a 1x6 of 8 ft", { "1x6", "8", NULL } },
        { "about 3 3/4 in, or 18-gauge.", { "3 3/4", "18", NULL } },
        { "2026-11-25: half is ½", { "2026-11-25", "½", NULL } },
        { "steps 3 4 5", { "3", "4", "5", NULL } },
    };

    for (int i = 0; i < COUNT(table); i++) {
        Para para = para_author(&p, str_from(p.c, table[i].words));
        int  k = 0;
        for (int j = 0; j < para.spans.n; j++) {
            const Span *span = &para.spans.at[j];
            if (span->kind != SPAN_FIGURE)
                continue;
            assert_non_null(table[i].names[k]);
            assert_str(span->figure.shown, table[i].names[k]);
            assert_int_equal(span->figure.kind, FIGURE_NAME);
            k++;
        }
        assert_null(table[i].names[k]);
    }
}

static void every_figure_drawn_is_in_the_ledger(void **state) {
    Press p    = a_press(*state);
    Para  para = long_para(&p);
    const LedgerRow *row;

    assert_int_equal(p.b->ledger.rows.n, 0);
    para_height(&p, &para, 60, STYLE_TEXT);
    assert_int_equal(p.b->ledger.rows.n, 0);   // measuring is not drawing
    para_draw(&p, &para, 20, 30, 60, STYLE_TEXT);
    assert_int_equal(p.b->ledger.rows.n, 1);
    row = &p.b->ledger.rows.at[0];
    assert_int_equal(row->page, 0);
    for (int i = 0; i < marks_of(&p); i++) {
        const Mark *m = mark_at(&p, i);
        if (m->kind != MARK_TEXT || !str_eq(m->spoken, row->figure.shown))
            continue;
        assert_near(row->at.x, m->at.x, 1e-9);
        assert_near(row->at.y, m->at.y, 1e-9);
        while (!m->spoken_end)
            m = mark_at(&p, ++i);
        assert_near(row->at.y, m->at.y, 1e-9);
        assert_near(row->at.x + row->width, right_end(&p, m), 1e-9);
        return;
    }
    fail_msg("the figure is not on the page");
}

static void turned_figures_are_in_the_ledger_too(void **state) {
    Press p     = a_press(*state);
    Para  label = para_bare(&p, inches(&p, 20, 1));

    dim_vertical(&p, (V2){ 50, 150 }, (V2){ 50, 60 }, 40, &label);
    assert_int_equal(p.b->ledger.rows.n, 1);
    assert_near(p.b->ledger.rows.at[0].at.x, 40 - 1.2, 1e-9);
}

/* ---- Pages ---- */

static void a_table_repeats_its_head_on_the_next_page(void **state) {
    static const Column columns[] = {
        { "Name", COLUMN_TEXT, 60 }, { "Length", COLUMN_FIGURE, 30 }
    };
    Press p = a_press(*state);
    Table t = table_begin(&p, 0, columns, 2);
    int   heads = 0;

    for (int i = 0; i < 60; i++) {
        Para name = para_of(&p, "slat");
        table_row(&p, &t, table_row_height(&p, &t, NULL));
        table_para(&p, &t, 0, &name);
        table_figure(&p, &t, 1, inches(&p, i * 5, 8));
    }
    assert_int_equal(p.b->pages.n, 2);
    for (int i = 0; i < 2; i++)
        for (int k = 0; k < p.b->pages.at[i].marks.n; k++)
            heads += str_is(p.b->pages.at[i].marks.at[k].text, "Length");
    assert_int_equal(heads, 2);
}

/* Fractions begin, and whole numbers end, at one place. */
static void a_column_of_sizes_shares_one_split(void **state) {
    static const Column columns[] = { { "Length", COLUMN_FIGURE, 30 } };
    Press  p = a_press(*state);
    Table  t = table_begin(&p, 0, columns, 1);
    double digit = font_width(p.c, p.fonts, FONT_REGULAR, SIZE_NOTE,
                              STR("0"));
    double gap = font_width(p.c, p.fonts, FONT_REGULAR, SIZE_NOTE,
                            STR("\xE2\x80\xAF"));
    double x[4];
    static const int64_t sixteenths[] = { 9 * 16, 12 * 16 + 3, 3, 9 * 16 + 8 };

    for (int i = 0; i < 4; i++) {
        table_row(&p, &t, 0);
        table_figure(&p, &t, 0, inches(&p, sixteenths[i], 16));
        x[i] = p.b->ledger.rows.at[i].at.x;
    }
    assert_near(x[1] + 2 * digit + gap, x[2], 1e-6);
    assert_near(x[0] + digit + gap, x[2], 1e-6);
    assert_near(x[3], x[0], 1e-6);
}

static void a_heading_never_stands_in_the_last_fifth(void **state) {
    Press p = a_press(*state);

    p.y = p.top + 200;
    heading(&p, STR("Hardware"), SIZE_HEAD);
    assert_int_equal(p.b->pages.n, 2);
}

/* ---- Letters ---- */

static uint32_t next_random(uint32_t *r) {   // xorshift (Marsaglia 2003)
    *r ^= *r << 13;
    *r ^= *r >> 17;
    *r ^= *r << 5;
    return *r;
}

static double turn(V2 a, V2 b, V2 c) {
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

static bool leaders_cross(const Letter *a, const Letter *b) {
    return turn(a->anchor, a->at, b->anchor) * turn(a->anchor, a->at, b->at)
               < 0
        && turn(b->anchor, b->at, a->anchor) * turn(b->anchor, b->at, a->at)
               < 0;
}

static double from_leader(V2 q, const Letter *l) {
    double dx = l->at.x - l->anchor.x, dy = l->at.y - l->anchor.y;
    double k  = ((q.x - l->anchor.x) * dx + (q.y - l->anchor.y) * dy)
              / (dx * dx + dy * dy);

    k = k < 0 ? 0 : k > 1 ? 1 : k;
    return hypot(q.x - l->anchor.x - k * dx, q.y - l->anchor.y - k * dy);
}

static void check_letters(const Letter *l, int n) {
    for (int i = 0; i < n; i++) {
        for (int k = 0; k < n; k++) {
            if (i == k)
                continue;
            assert_false(leaders_cross(&l[i], &l[k]));
            assert_true(hypot(l[i].at.x - l[k].at.x, l[i].at.y - l[k].at.y)
                        > LETTER_D);
            assert_true(from_leader(l[k].at, &l[i]) > LETTER_D / 2);
        }
    }
}

static void leaders_of_many_letters_do_not_cross(void **state) {
    static const V2 corners[4] = { { 40, 60 }, { 180, 60 }, { 180, 160 },
                                   { 40, 160 } };
    uint32_t r = 20261125;

    for (int round = 0; round < 6; round++) {
        int    n = 10 * (round + 1);
        Letter l[60] = { 0 };
        for (int i = 0; i < n; i++)
            l[i].anchor = (V2){ 42 + next_random(&r) % 1360 / 10.0,
                                62 + next_random(&r) % 960 / 10.0 };
        assert_true(letters_place(*state, corners, 4,
                                  box2(10, 10, 210, 210), l, n));
        check_letters(l, n);
    }
}

static void letters_without_room_in_the_frame_are_told(void **state) {
    static const V2 corners[4] = { { 0, 0 }, { 40, 0 }, { 40, 20 },
                                   { 0, 20 } };
    Letter l[3] = { { .anchor = { 5, 5 } }, { .anchor = { 20, 10 } },
                    { .anchor = { 30, 15 } } };

    assert_true(letters_place(*state, corners, 4, box2(-20, -20, 60, 40),
                              l, 3));
    assert_false(letters_place(*state, corners, 4, box2(0, 0, 40, 20),
                               l, 3));
}

static void arcs_become_cubics_on_the_circle(void **state) {
    Press  p  = a_press(*state);
    Place  pl = { { 0, 0 }, { 100, 100 }, 1, false };
    Seg    s  = { .kind = SEG_ARC, .a = { 80, 0 }, .b = { -80, 0 },
                  .sweep = 3.14159265358979323846 };
    const Mark *mark;
    V2     from = { 0, 0 };

    draw_segs(&p, &s, 1, &pl, false, PEN_OUTLINE, INK_NONE);
    mark = mark_at(&p, marks_of(&p) - 1);
    assert_int_equal(mark->path.n, 9);   // 180 / 22.5, and the move
    for (int i = 0; i < mark->path.n; i++) {
        const PathOp *op = &mark->path.at[i];
        if (op->op == 'C') {   // its middle
            double x = (from.x + 3 * op->p[0].x + 3 * op->p[1].x
                        + op->p[2].x) / 8;
            double y = (from.y + 3 * op->p[0].y + 3 * op->p[1].y
                        + op->p[2].y) / 8;
            assert_near(hypot(x - 100, y - 100), 80, 80e-7);
            assert_true(y <= 100);   // y-up arc stands above its chord
        }
        from = op->op == 'C' ? op->p[2] : op->p[0];
    }
}

/* An independent judge: all orders of five letters on five slots. */
static void leaders_are_as_short_as_any_order_makes_them(void **state) {
    static const V2 corner[1] = { { 100, 100 } };
    Letter l[5] = { 0 };
    double is = 0, best = HUGE_VAL;
    int    order[5] = { 0, 1, 2, 3, 4 };

    for (int i = 0; i < 5; i++)
        l[i].anchor = (V2){ 100 + 3 * i - 6, 100 + (i * 7) % 5 };
    assert_true(letters_place(*state, corner, 1, box2(0, 0, 200, 200), l, 5));
    for (int i = 0; i < 5; i++)
        is += hypot(l[i].at.x - l[i].anchor.x, l[i].at.y - l[i].anchor.y);
    for (int k = 0; k < 3125; k++) {   // every choice, orders kept
        double all = 0;
        bool   used[5] = { false }, fair = true;
        for (int i = 0, rest = k; i < 5; i++, rest /= 5) {
            order[i] = rest % 5;
            fair = fair && !used[order[i]];
            used[order[i]] = true;
            all += hypot(l[order[i]].at.x - l[i].anchor.x,
                         l[order[i]].at.y - l[i].anchor.y);
        }
        if (fair && all < best)
            best = all;
    }
    assert_true(is <= best * 1.15);   // slant and dots have their fee
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(lines_keep_within_the_width),
        TEST(a_line_is_as_full_as_it_can_be),
        TEST(a_figure_stays_with_its_unit),
        TEST(a_word_too_wide_for_its_cell_is_cut),
        TEST(baselines_stand_on_the_grid),
        TEST(program_prose_has_no_digits),
        TEST(digits_of_the_author_become_names),
        TEST(every_figure_drawn_is_in_the_ledger),
        TEST(turned_figures_are_in_the_ledger_too),
        TEST(a_table_repeats_its_head_on_the_next_page),
        TEST(a_column_of_sizes_shares_one_split),
        TEST(a_heading_never_stands_in_the_last_fifth),
        TEST(leaders_of_many_letters_do_not_cross),
        TEST(letters_without_room_in_the_frame_are_told),
        TEST(arcs_become_cubics_on_the_circle),
        TEST(leaders_are_as_short_as_any_order_makes_them),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
