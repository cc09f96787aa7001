/* Sheets with many copies of few parts: plans out of patterns, against jobs
 * whose optimum is known from how they were made, and the solver for one
 * length; patterns as lists. */
#include "guillotine_check.h"
#include "test.h"

#include "plan/guillotine_columns.h"
#include "plan/stock_cut.h"

static uint32_t chance_state;

static int below(int n) {
    chance_state = chance_state * 1664525u + 1013904223u;
    return (int)((chance_state >> 8) % (uint32_t)n);
}

/* ---- Plans ---- */

/* Many copies, on up to three kinds of sheets of which there may be few. */
static void jobs_with_many_copies_are_cut_right(void **state) {
    (void)state;
    chance_state = 11;
    for (int i = 0; i < 60; i++) {
        SheetKind   kinds[3];
        SheetPart   parts[6];
        int         n_kinds = 1 + below(3), n_parts = 1 + below(6);
        SheetJob    job = { kinds, n_kinds, parts, n_parts, below(4),
                            2000000, 0 };
        SheetPlan   plan;
        const char *why;
        Ctx         c;

        ctx_init(&c, &real_files);
        for (int k = 0; k < n_kinds; k++)
            kinds[k] = (SheetKind){ 100 + below(100), 100 + below(100),
                                    1 + below(50),
                                    k && below(2) ? below(9) : -1 };
        for (int k = 0; k < n_parts; k++)
            parts[k] = (SheetPart){ 20 + below(80), 20 + below(80),
                                    3 + below(30), below(2) };
        plan = guillotine_plan(&c, &job);
        why  = check_plan(&c, &job, &plan);
        if (why)
            fail_msg("job %d: %s", i, why);
        assert_int_equal(plan.missing, 0);
        ctx_free(&c);
    }
}

typedef struct { SheetPart parts[64]; int n; } Planted;

/* Cuts a rectangle up by chance; all of it becomes parts. */
static void plant(Planted *p, int w, int h, int depth, int copies) {
    bool upright = w > h ? below(4) > 0 : below(4) == 0;
    int  size    = upright ? w : h, at;

    if (depth == 0 || size < 24) {
        p->parts[p->n++] = (SheetPart){ w, h, copies, false };
        return;
    }
    at = 8 + below(size - 15);
    plant(p, upright ? at : w, upright ? h : at, depth - 1, copies);
    plant(p, upright ? w - at : w, upright ? h : h - at, depth - 1, copies);
}

/* Sheets sawn up without waste, some times each of three ways: the area
 * says that no fewer will do. */
static void copies_of_sawn_up_sheets_fit_again(void **state) {
    (void)state;
    for (uint32_t seed = 1; seed <= 5; seed++) {
        SheetKind kind   = { 250, 120, 1, -1 };
        Planted   p      = { .n = 0 };
        int       sheets = 0;
        SheetJob  job;
        SheetPlan plan;
        Ctx       c;

        ctx_init(&c, &real_files);
        chance_state = seed;
        for (int i = 0; i < 3; i++) {
            int copies = 5 + below(8);
            plant(&p, 250, 120, 3, copies);
            sheets += copies;
        }
        job  = (SheetJob){ &kind, 1, p.parts, p.n, 0, 200000000, 0 };
        plan = guillotine_plan(&c, &job);
        assert_null(check_plan(&c, &job, &plan));
        assert_int_equal(plan.cost, sheets);
        ctx_free(&c);
    }
}

/* Parts as high as the sheet are pieces of a bar, cut by another solver. */
static void strips_are_cut_as_bars_are(void **state) {
    (void)state;
    chance_state = 5;
    for (int i = 0; i < 12; i++) {
        SheetKind kind = { 2000, 300, 1, -1 };
        BarSize   bar  = { 2000, 1, -1 };
        SheetPart parts[8];
        BarPart   pieces[8];
        SheetJob  job  = { &kind, 1, parts, 8, 3, 40000000, 0 };
        BarJob    bars = { &bar, 1, pieces, 8, 3, 0, 0 };
        SheetPlan plan;
        BarPlan   other;
        Ctx       c;

        ctx_init(&c, &real_files);
        for (int k = 0; k < 8; k++) {
            pieces[k] = (BarPart){ 150 + below(800), 5 + below(40) };
            parts[k]  = (SheetPart){ pieces[k].length, 300,
                                     pieces[k].demand, false };
        }
        plan  = guillotine_plan(&c, &job);
        other = bars_cut(&c, &bars);
        assert_null(check_plan(&c, &job, &plan));
        assert_true(other.proven);
        assert_int_equal(plan.cost, other.cost);
        ctx_free(&c);
    }
}

/* ---- The mixture ---- */

/* One part of which a sheet holds 2 x 3: a sixth of a sheet each. */
static void a_mixture_of_one_part_is_its_share(void **state) {
    SheetKind kind = { 100, 100, 5, -1 };
    SheetPart part = { 50, 33, 100, false };
    SheetJob  job  = { &kind, 1, &part, 1, 0, 0, 0 };
    Patterns  pool = { 0 };
    long      steps = 0;
    Rects     r;
    Columns   s;
    Ctx       c;

    (void)state;
    ctx_init(&c, &real_files);
    r      = rects_of(&c, &job);
    pool.c = &c;
    assert_true(columns_start(&c, &r, &pool, false, -1, 1000000, &s));
    assert_true(columns_solve(&s, 1e9, 1000000, &steps));
    assert_near(columns_cost(&s), 5 * 100 / 6.0, 1e-9);
    assert_near(s.bound, 5 * 100 / 6.0, 1e-6);
    ctx_free(&c);
}

/* ---- Patterns ---- */

typedef struct { SheetKind kind; SheetPart parts[3]; SheetJob job; } Three;

static void three_parts(Three *t) {
    *t = (Three){ { 100, 60, 1, -1 },
                  { { 40, 30, 2, false }, { 60, 60, 1, false },
                    { 30, 40, 1, true } } };
    t->job = (SheetJob){ &t->kind, 1, t->parts, 3, 0, 0, 0 };
}

static void a_pattern_becomes_a_sheet_and_a_pattern_again(void **state) {
    int   list[] = { CODE_UPRIGHT, CODE_LEVEL, 0, 5, 2 };
    Code  code   = { list, 5, 5 }, again = { 0 };
    Three t;
    Rects r;
    Tree  tree;
    Ctx   c;

    (void)state;
    ctx_init(&c, &real_files);
    three_parts(&t);
    r = rects_of(&c, &t.job);
    tree_init(&c, &r, &tree);
    tree_put(&r, &tree, 0, &code);
    assert_int_equal(tree.n_sheets, 1);
    assert_int_equal(tree.n_frees, 0);   // 40 x 30, 40 x 30, 60 x 60
    assert_int_equal(tree.left[0], 1);
    assert_int_equal(tree.left[1], 0);
    assert_int_equal(tree.left[2], 0);
    tree_code(&c, &tree, tree.roots[0], &again);
    assert_int_equal(again.n, 5);
    ctx_free(&c);
}

static void what_is_too_much_is_left_out(void **state) {
    int  list[] = { CODE_UPRIGHT, CODE_LEVEL, 0, 5, CODE_LEVEL, CODE_FREE,
                    2 };
    int  left[] = { 0, 1, 3 };
    Code kept   = { 0 };
    Ctx  c;

    (void)state;
    ctx_init(&c, &real_files);
    code_keep(&c, list, left, &kept);
    assert_int_equal(kept.n, 3);
    assert_int_equal(kept.at[0], CODE_UPRIGHT);
    assert_int_equal(kept.at[1], 5);
    assert_int_equal(kept.at[2], 2);
    assert_int_equal(left[2], 2);
    ctx_free(&c);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(jobs_with_many_copies_are_cut_right),
        TEST(copies_of_sawn_up_sheets_fit_again),
        TEST(strips_are_cut_as_bars_are),
        TEST(a_mixture_of_one_part_is_its_share),
        TEST(a_pattern_becomes_a_sheet_and_a_pattern_again),
        TEST(what_is_too_much_is_left_out),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
