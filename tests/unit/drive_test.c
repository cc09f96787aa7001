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

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(fasteners_stand_before_their_holes),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
