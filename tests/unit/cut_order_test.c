/* Orders of cuts: each crosses what is on the saw, all pieces come free,
 * nothing small is held where another order avoids it. */
#include "plan/cut_order.h"
#include "test.h"

#include <math.h>

static uint32_t chance_state;

static int below(int n) {
    chance_state = chance_state * 1664525u + 1013904223u;
    return (int)((chance_state >> 8) % (uint32_t)n);
}

/* ---- Boards that were sawn up by chance ---- */

typedef struct { Wood at[40]; int n; } Pieces;

static void saw(Pieces *s, Wood w, double kerf, int depth) {
    bool   rip  = below(2);
    double size = rip ? w.width : w.length, at;

    if (depth == 0 || size < 80) {
        if (below(6) > 0)            // else it is left over
            s->at[s->n++] = w;
        return;
    }
    at = 20 + below((int)size - 40);
    if (rip) {
        saw(s, (Wood){ w.x, w.y, w.length, at }, kerf, depth - 1);
        saw(s, (Wood){ w.x, w.y + at + kerf, w.length, size - at - kerf },
            kerf, depth - 1);
    } else {
        saw(s, (Wood){ w.x, w.y, at, w.width }, kerf, depth - 1);
        saw(s, (Wood){ w.x + at + kerf, w.y, size - at - kerf, w.width },
            kerf, depth - 1);
    }
}

static bool near_to(double a, double b) { return fabs(a - b) < 1e-6; }

/* ---- The judge ---- */

typedef struct { Wood at[200]; int n; } Bench;

/* The wood a cut crosses from edge to edge, or -1. */
static int crossed(const Bench *b, const Cut *cut) {
    for (int i = 0; i < b->n; i++) {
        Wood w = b->at[i];
        if (cut->rip ? near_to(cut->from, w.x)
                       && near_to(cut->to, w.x + w.length)
                       && near_to(cut->near, w.y)
                       && near_to(cut->far, w.y + w.width)
                     : near_to(cut->from, w.y)
                       && near_to(cut->to, w.y + w.width)
                       && near_to(cut->near, w.x)
                       && near_to(cut->far, w.x + w.length))
            return i;
    }
    return -1;
}

static void do_cut(Bench *b, int i, const Cut *cut, double kerf) {
    Wood   w    = b->at[i];
    double rest = fmax(0, cut->far - cut->at - kerf);

    if (cut->rip) {
        b->at[i]      = (Wood){ w.x, w.y, w.length, cut->at - w.y };
        b->at[b->n++] = (Wood){ w.x, cut->at + kerf, w.length, rest };
    } else {
        b->at[i]      = (Wood){ w.x, w.y, cut->at - w.x, w.width };
        b->at[b->n++] = (Wood){ cut->at + kerf, w.y, rest, w.width };
    }
}

static bool lies_there(const Bench *b, Wood piece) {
    for (int i = 0; i < b->n; i++) {
        Wood w = b->at[i];
        if (near_to(w.x, piece.x) && near_to(w.y, piece.y)
            && near_to(w.length, piece.length)
            && near_to(w.width, piece.width))
            return true;
    }
    return false;
}

#define RISK 1000     // small cuts count before narrow ones

static int judge(const OrderBoard *board, const Pieces *s,
                 const Cuts *cuts) {
    Bench b     = { { board->wood }, 1 };
    int   small = 0;

    for (int i = 0; i < cuts->n; i++) {
        const Cut *cut = &cuts->at[i];
        int        k   = crossed(&b, cut);
        assert_true(k >= 0);
        assert_true(cut->at >= cut->near && cut->at < cut->far);
        assert_int_equal(cut->small,
                         holds_small(board, b.at[k], cut->rip));
        assert_int_equal(cut->narrow,
                         holds_narrow(board, b.at[k], cut->rip));
        small += RISK * cut->small + cut->narrow;
        do_cut(&b, k, cut, board->kerf);
    }
    for (int i = 0; i < s->n; i++)
        assert_true(lies_there(&b, s->at[i]));
    return small;
}

static void every_piece_comes_free(void **state) {
    (void)state;
    chance_state = 5;
    for (int i = 0; i < 3000; i++) {
        OrderBoard board = { { 0, 0, 300 + below(2200), 90 + below(1200) },
                             below(5), 0, below(2) };
        Pieces     s     = { .n = 0 };
        Cuts       cuts;
        Ctx        c;

        ctx_init(&c, &real_files);
        saw(&s, board.wood, board.kerf, 4);
        cuts = cut_order(&c, &board, s.at, s.n).cuts;
        (void)judge(&board, &s, &cuts);
        ctx_free(&c);
    }
}

/* ---- The least that can be, by trying everything ---- */

static int least_small(const OrderBoard *board, const Pieces *s, Wood w) {
    int best = RISK * RISK, n = 0, only = -1;

    for (int i = 0; i < s->n; i++) {
        Wood p = s->at[i];
        if (p.x > w.x - 1e-6 && p.x + p.length < w.x + w.length + 1e-6
            && p.y > w.y - 1e-6 && p.y + p.width < w.y + w.width + 1e-6) {
            n++;
            only = i;
        }
    }
    if (n == 0 || (n == 1 && near_to(s->at[only].length, w.length)
                   && near_to(s->at[only].width, w.width)))
        return 0;
    for (int k = 0; k < 4 * s->n; k++) {
        Wood   p   = s->at[k / 4];
        bool   rip = k % 2, ok = true;
        double at  = rip ? p.y : p.x, from = rip ? w.y : w.x;
        double to  = from + (rip ? w.width : w.length);
        Wood   a = w, b = w;
        int    small;
        at += k / 2 % 2 ? -board->kerf : rip ? p.width : p.length;
        if (at < from + (k / 2 % 2 ? 1e-6 : 0) || at > to - 1e-6)
            continue;
        for (int i = 0; i < s->n && ok; i++) {
            Wood   q = s->at[i];
            double lo = rip ? q.y : q.x;
            double hi = lo + (rip ? q.width : q.length);
            bool inside = q.x < w.x + w.length && q.x + q.length > w.x
                       && q.y < w.y + w.width && q.y + q.width > w.y;
            ok = !inside || hi < at + 1e-6 || lo > at + board->kerf - 1e-6;
        }
        if (!ok)
            continue;
        if (rip) {
            a.width = at - w.y;
            b.y     = at + board->kerf;
            b.width = fmax(0, to - b.y);
        } else {
            a.length = at - w.x;
            b.x      = at + board->kerf;
            b.length = fmax(0, to - b.x);
        }
        small = RISK * holds_small(board, w, rip)
              + holds_narrow(board, w, rip) + least_small(board, s, a)
              + least_small(board, s, b);
        best = small < best ? small : best;
    }
    return best;
}

static void nothing_small_is_held_where_it_can_be_avoided(void **state) {
    int avoided = 0;

    (void)state;
    chance_state = 9;
    for (int i = 0; i < 400; i++) {
        OrderBoard board = { { 0, 0, 250 + below(500), 100 + below(400) },
                             3, 0, below(2) };
        Pieces     s     = { .n = 0 };
        Cuts       cuts;
        Ctx        c;

        ctx_init(&c, &real_files);
        saw(&s, board.wood, board.kerf, 3);
        cuts = cut_order(&c, &board, s.at, s.n).cuts;
        assert_int_equal(judge(&board, &s, &cuts),
                         least_small(&board, &s, board.wood));
        avoided += cuts.n > 2;
        ctx_free(&c);
    }
    assert_true(avoided > 200);      // there was something to choose
}

/* Six short pieces, two by three, and half a board left: ripped first, as
 * one strip, though crosscuts come first on boards where it is the same. */
static void short_pieces_are_ripped_while_they_hang_together(void **state) {
    OrderBoard board = { { 0, 0, 1000, 203 }, 3, 0, false };
    Pieces     s     = { .n = 0 };
    Cuts       cuts;
    Ctx        c;

    (void)state;
    ctx_init(&c, &real_files);
    for (int i = 0; i < 6; i++)
        s.at[s.n++] = (Wood){ i % 3 * 153, i / 3 * 103, 150, 100 };
    cuts = cut_order(&c, &board, s.at, s.n).cuts;
    assert_int_equal(judge(&board, &s, &cuts), 0);
    for (int i = 0; i < cuts.n; i++)
        assert_true(!cuts.at[i].rip
                    || cuts.at[i].to - cuts.at[i].from >= SMALL_HELD_MM);
    ctx_free(&c);
}

/* Cuts of one setting follow each other: four strips, each crosscut at the
 * same place, need two settings and not eight. */
static void cuts_of_one_setting_follow_each_other(void **state) {
    OrderBoard board = { { 0, 0, 1200, 409 }, 3, 0, true };
    Pieces     s     = { .n = 0 };
    int        changes = 0;
    Cuts       cuts;
    Ctx        c;

    (void)state;
    ctx_init(&c, &real_files);
    for (int i = 0; i < 4; i++) {
        s.at[s.n++] = (Wood){ 0, i * 103, 500 + i, 100 };
        s.at[s.n++] = (Wood){ 503 + i, i * 103, 400, 100 };
    }
    cuts = cut_order(&c, &board, s.at, s.n).cuts;
    (void)judge(&board, &s, &cuts);
    for (int i = 1; i < cuts.n; i++) {
        const Cut *a = &cuts.at[i - 1], *b = &cuts.at[i];
        changes += a->rip != b->rip
                || !near_to(a->at - a->near, b->at - b->near);
    }
    assert_int_equal(cuts.n, 3 + 8);
    assert_true(changes <= 6);       // one by one it would be ten
    ctx_free(&c);
}

static void the_end_is_trimmed_first(void **state) {
    OrderBoard board = { { 0, 0, 1000, 100 }, 3, 10, false };
    Wood       piece = { 13, 0, 500, 100 };
    Cuts       cuts;
    Ctx        c;

    (void)state;
    ctx_init(&c, &real_files);
    cuts = cut_order(&c, &board, &piece, 1).cuts;
    assert_int_equal(cuts.n, 2);
    assert_true(near_to(cuts.at[0].at, 10) && near_to(cuts.at[1].at, 513));
    ctx_free(&c);
}

/* Rips and what parts strips come first, then only crosscuts in them; each
 * is a foot long and more when its leaves are sawn, or there is no way. */
static void leaves_are_sawn_from_long_strips(void **state) {
    Ctx       *c = *state;
    OrderBoard board = { { 0, 0, 2438.4, 88.9 }, 3.175, 12.7, false, true };
    Wood       pieces[12];
    CutOrder   order;

    for (int i = 0; i < 12; i++)   // two rows of six, 84.1 x 50 and x 25
        pieces[i] = (Wood){ 12.7 + 3.175 + i % 6 * (84.1 + 3.175),
                            i < 6 ? 0 : 50 + 3.175, 84.1, i < 6 ? 50 : 25 };
    order = cut_order(c, &board, pieces, 12);
    assert_int_equal(order.cuts.n, 1 + 1 + 1 + 1 + 2 * 5);
    assert_int_equal(order.strips_at, 4);
    assert_false(order.small_strips);
    assert_false(order.cuts.at[1].rip);   // what is left over: 1.9 m
    assert_true(order.cuts.at[2].rip && order.cuts.at[3].rip);
    for (int i = 0; i < order.cuts.n; i++) {
        bool rip = order.cuts.at[i].rip;
        assert_true(i < order.strips_at || !rip);
        if (rip)
            assert_true(order.cuts.at[i].to - order.cuts.at[i].from
                        > SMALL_HELD_MM);
    }
}

/* A strip of 5 mm between two of 60 and 50: it is never between blade and
 * fence, the other side of the cut being wide enough to be there. */
static void thin_strips_fall_free(void **state) {
    Ctx       *c = *state;
    OrderBoard board = { { 0, 0, 1000, 140 }, 3, 0, false };
    Wood       pieces[] = { { 0, 0, 1000, 60 }, { 0, 63, 1000, 5 },
                            { 0, 71, 1000, 50 } };
    CutOrder   order = cut_order(c, &board, pieces, 3);

    assert_int_equal(order.cuts.n, 3);
    for (int i = 0; i < order.cuts.n; i++)
        assert_true(order.cuts.at[i].setting >= 50);
}

/* Right of two pieces of 500 and 480 mm lies one of 497, up to the end: it is
 * what the saw is set to. */
static void a_piece_at_the_far_end_is_measured_from_there(void **state) {
    Ctx       *c = *state;
    OrderBoard board = { { 0, 0, 1000, 100 }, 3, 0, false };
    Wood       pieces[] = { { 0, 0, 500, 60 }, { 0, 63, 480, 37 },
                            { 503, 0, 497, 100 } };
    CutOrder   order = cut_order(c, &board, pieces, 3);

    assert_int_equal(order.cuts.n, 3);
    assert_true(near_to(order.cuts.at[0].at, 500));
    assert_true(near_to(order.cuts.at[0].setting, 497));
}

/* A row of two with a gap of 20 between them: one crosscut parts them. */
static void pieces_of_a_row_are_moved_together(void **state) {
    Ctx       *c = *state;
    OrderBoard board = { { 0, 0, 1000, 50 }, 3, 0, false };
    Wood       pieces[] = { { 0, 0, 400, 50 }, { 420, 0, 400, 50 } };
    CutOrder   order = cut_order(c, &board, pieces, 2);

    assert_int_equal(order.cuts.n, 2);
    assert_true(near_to(pieces[1].x, 403));
    assert_int_equal(order.left.n, 1);
    assert_true(near_to(order.left.at[0].length, 1000 - 806));
}

/* Two pieces of 140 mm: what is left over stays on while leaves are sawn. */
static void a_short_strip_keeps_its_leftover(void **state) {
    Ctx       *c = *state;
    OrderBoard board = { { 0, 0, 1000, 50 }, 3, 0, false, true };
    Wood       pieces[] = { { 0, 0, 140, 50 }, { 143, 0, 140, 50 } };
    CutOrder   order = cut_order(c, &board, pieces, 2);

    assert_int_equal(order.cuts.n, 2);
    assert_int_equal(order.strips_at, 0);
}

/* A rip parts two blanks of 200 mm, whose leaves are sawn from so little. */
static void a_strip_too_short_to_hold_is_told(void **state) {
    Ctx       *c = *state;
    OrderBoard board = { { 0, 0, 203, 103 }, 3, 0, false, true };
    Wood       pieces[] = { { 0, 0, 200, 60 }, { 0, 63, 200, 40 } };

    assert_true(cut_order(c, &board, pieces, 2).small_strips);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(every_piece_comes_free),
        TEST(nothing_small_is_held_where_it_can_be_avoided),
        TEST(short_pieces_are_ripped_while_they_hang_together),
        TEST(cuts_of_one_setting_follow_each_other),
        TEST(the_end_is_trimmed_first),
        TEST(leaves_are_sawn_from_long_strips),
        TEST(thin_strips_fall_free),
        TEST(a_piece_at_the_far_end_is_measured_from_there),
        TEST(pieces_of_a_row_are_moved_together),
        TEST(a_strip_too_short_to_hold_is_told),
        TEST(a_short_strip_keeps_its_leftover),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
