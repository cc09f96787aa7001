/* price_sum_test -- bounds raised to what whole boards can cost, against all
 * ways to buy. */
#include "plan/price_sum.h"
#include "test.h"

static uint32_t chance_state;

static int below(int n) {
    chance_state = chance_state * 1664525u + 1013904223u;
    return (int)((chance_state >> 8) % (uint32_t)n);
}

/* The least sum from `from` on with the room, by buying in every way. */
static int64_t least(const PriceKind *kinds, int n, double need, int64_t from,
                     int64_t most, int64_t sum) {
    int64_t best = most;

    if (n == 0)
        return sum >= from && need <= 0 && sum < most ? sum : most;
    for (int i = 0; (kinds->supply < 0 || i <= kinds->supply)
                    && sum + i * kinds->price < most; i++) {
        int64_t v = least(kinds + 1, n - 1, need - i * kinds->room, from,
                          most, sum + i * kinds->price);
        best = v < best ? v : best;
    }
    return best;
}

static void sums_agree_with_all_ways_to_buy(void **state) {
    Ctx *c = *state;
    int  raised = 0, none = 0;

    chance_state = 11;
    for (int i = 0; i < 2000; i++) {
        PriceKind kinds[3];
        int       n = 1 + below(3);
        int64_t   from = below(300), most = from + 1 + below(200), is;
        double    need = below(60);
        for (int k = 0; k < n; k++)
            kinds[k] = (PriceKind){ 5 * (k == 0 ? 3 + below(9) : below(12)),
                                    below(2) ? -1 : below(6), below(9) };
        for (int k = 0; k < n; k++)      // free ones are counted
            if (kinds[k].price == 0 && kinds[k].supply < 0)
                kinds[k].supply = 2;
        is = price_sum(c, kinds, n, need, from, most);
        assert_int_equal(is, least(kinds, n, need, from, most, 0));
        raised += is > from && is < most;
        none   += is == most;
    }
    assert_true(raised > 200 && none > 200);
}

/* Boards for 29.50, 38.40 and 49: nothing costs from 85.90 to 87.39. */
static void a_gap_between_sums_proves_a_plan(void **state) {
    PriceKind boards[] = { { 2950, -1, 6 }, { 3840, -1, 8 },
                           { 4900, -1, 10 } };

    assert_int_equal(price_sum(*state, boards, 3, 0, 8590, 8740), 8740);
    assert_int_equal(price_sum(*state, boards, 3, 0, 8590, 9000), 8740);
    assert_int_equal(price_sum(*state, boards, 3, 18.5, 8590, 9800), 9740);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(sums_agree_with_all_ways_to_buy),
        TEST(a_gap_between_sums_proves_a_plan),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
