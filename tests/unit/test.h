/* test -- what every unit test needs: cmocka, a Ctx, comparisons. */
#ifndef TESTS_UNIT_TEST_H
#define TESTS_UNIT_TEST_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/base.h"

/* cmocka's assert_float_equal takes floats only. */
#define assert_near(is, should, tolerance)                                \
    do {                                                                  \
        double is_ = (is), should_ = (should);                            \
        if (!(fabs(is_ - should_) <= (tolerance)))                        \
            fail_msg("%s = %.9g, should be %.9g within %g", #is, is_,     \
                     should_, (double)(tolerance));                       \
    } while (0)

#define assert_str(is, should)                                            \
    do {                                                                  \
        Str is_ = (is);                                                   \
        if (!str_is(is_, should))                                         \
            fail_msg("%s = \"%.*s\", should be \"%s\"", #is,              \
                     STR_ARG(is_), should);                               \
    } while (0)

/* Each test gets a fresh Ctx in *state. */
static inline int ctx_setup(void **state) {
    Ctx *c = calloc(1, sizeof *c);
    if (!c)
        return -1;
    ctx_init(c, &real_files);
    *state = c;
    return 0;
}

static inline int ctx_teardown(void **state) {
    Ctx *c = *state;
    ctx_free(c);
    free(c);
    return 0;
}

#define TEST(fn) \
    cmocka_unit_test_setup_teardown(fn, ctx_setup, ctx_teardown)

/* Has the newest (or any) diagnostic this code? */
static inline int has_diag(const Ctx *c, DiagCode code) {
    int n = 0;
    for (int i = 0; i < c->diags.n; i++)
        n += c->diags.at[i].code == code;
    return n;
}

#endif
