/* drive_test -- fasteners drawn in the steps stand before their holes. */
#include "unit/design_text.h"

#include "plan/plan.h"

/* The demo and the starters say it all: many kinds of joints and views. */
static const char *const designs[] = {
    "templates/stool.json", "templates/box.json", "templates/planter.json",
    "plans-demo/puppet-theater/puppet-theater.json"
};

/* Which piece's place in the drawing: the lot's shift cannot be asked for,
 * but all fasteners of one piece share it, and it moves their holes and
 * nothing else. */
static void check_view(const Model *m, const View *v, int step, int *drawn) {
    V3  shift[512];
    bool known[512] = { false };

    for (int i = 0; i < v->driven.n; i++) {
        const Driven   *d = &v->driven.at[i];
        const Fastener *f = &m->fasteners.at[d->fastener];
        V3 off = v3_sub(d->at, f->head);
        assert_int_equal(f->step, step);
        assert_in_range(f->from, 0, 511);
        if (!known[f->from])
            shift[f->from] = off;
        known[f->from] = true;
        assert_near(v3_len(v3_sub(off, shift[f->from])), 0, 1e-9);
        if (d->mark)
            continue;
        /* head, tip and hole in one line, the tip before the hole */
        assert_near(v3_len(v3_sub(v3_sub(d->tip, d->head),
                                  v3_scale(f->axis, f->length))), 0, 1e-9);
        assert_true(v3_dot(v3_sub(d->at, d->tip), f->axis) > 5);
        assert_near(v3_len(v3_cross(v3_sub(d->at, d->tip), f->axis)), 0,
                    1e-6);
        (*drawn)++;
    }
}

static void fasteners_stand_before_their_holes(void **state) {
    Ctx *c = *state;
    int  drawn = 0;

    for (int i = 0; i < COUNT(designs); i++) {
        const Design   *d = design_read(c, designs[i]);
        const Model    *m = d ? model_build(c, d, sizes_new(c)) : NULL;
        const Workplan *p = m ? plan_work(c, m) : NULL;
        if (!p)
            fail_msg("%s does not compile", designs[i]);
        for (int k = 0; k < m->steps.n; k++)
            check_view(m, &p->steps.at[k], k, &drawn);
    }
    assert_true(drawn > 40);
}

/* Plans all designs and has each step's view looked at. */
typedef void Look(const Model *m, const View *v, int step, int *seen);

static int look_at_all(Ctx *c, Look *look) {
    int seen = 0;

    for (int i = 0; i < COUNT(designs); i++) {
        const Design   *d = design_read(c, designs[i]);
        const Model    *m = model_build(c, d, sizes_new(c));
        const Workplan *p = plan_work(c, m);
        assert_non_null(p);
        for (int k = 0; k < m->steps.n; k++)
            look(m, &p->steps.at[k], k, &seen);
    }
    return seen;
}

static int driven_in(const Model *m, int step) {
    int n = 0;

    for (int i = 0; i < m->fasteners.n; i++)
        n += m->fasteners.at[i].step == step;
    return n;
}

/* Length of the axis in the picture, of 1. */
static double seen_share(const Fastener *f, const View *v) {
    return v3_len(v3_cross(f->axis, v->camera.toward));
}

/* One that is seen almost end on is a cross, and so are most of those of a
 * step with over 12; the others are drawn as they are. */
static void look_for_crosses(const Model *m, const View *v, int step,
                             int *seen) {
    int crosses = 0;

    for (int i = 0; i < v->driven.n; i++) {
        const Driven   *d = &v->driven.at[i];
        const Fastener *f = &m->fasteners.at[d->fastener];
        double          share = seen_share(f, v);
        crosses += d->mark;
        if (fabs(share - 0.3) > 1e-3 && share < 0.3)
            assert_true(d->mark);
        else if (fabs(share - 0.3) > 1e-3 && d->mark)
            assert_true(driven_in(m, step) > 12);
        if (d->mark)   // on the face itself
            assert_near(v3_len(v3_sub(d->at, d->head))
                        + v3_len(v3_sub(d->at, d->tip)), 0, 1e-9);
        *seen += d->mark;
    }
    if (v->driven.n > 12)
        assert_true(2 * crosses > v->driven.n);
}

static void many_and_end_on_are_crosses(void **state) {
    assert_true(look_at_all(*state, look_for_crosses) > 20);
}

/* The tip stands off its hole by 3 % of the drawing, at least 6 mm, and by
 * the same in all of a step. */
static void look_for_gaps(const Model *m, const View *v, int step,
                          int *seen) {
    double gap = 0;

    (void)m, (void)step;
    for (int i = 0; i < v->driven.n; i++) {
        const Driven *d = &v->driven.at[i];
        double        one = v3_len(v3_sub(d->at, d->tip));
        if (d->mark)
            continue;
        assert_true(one >= 6 - 1e-9);
        assert_true(gap <= 0 || fabs(one - gap) < 1e-9);
        gap = one;
        (*seen)++;
    }
}

static void tips_stand_off_alike(void **state) {
    assert_true(look_at_all(*state, look_for_gaps) > 40);
}

/* In a step of a dozen none is missing but those that are hidden and seen end
 * on: what is hidden is dashed. Crosses are never hidden. */
static void look_for_all(const Model *m, const View *v, int step,
                         int *seen) {
    bool drawn[1024] = { false };

    assert_true(m->fasteners.n <= COUNT(drawn));
    for (int i = 0; i < v->driven.n; i++) {
        const Driven *d = &v->driven.at[i];
        assert_false(d->mark && d->hidden);
        drawn[d->fastener] = true;
        *seen += d->hidden;
    }
    if (v->copies > 1 || driven_in(m, step) > 12)
        return;
    for (int i = 0; i < m->fasteners.n; i++) {
        const Fastener *f = &m->fasteners.at[i];
        if (f->step == step && f->length > 0
            && seen_share(f, v) > 0.3 + 1e-3)
            assert_true(drawn[i]);
    }
}

static void what_is_hidden_is_dashed(void **state) {
    assert_true(look_at_all(*state, look_for_all) > 10);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(fasteners_stand_before_their_holes),
        TEST(many_and_end_on_are_crosses),
        TEST(tips_stand_off_alike),
        TEST(what_is_hidden_is_dashed),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
