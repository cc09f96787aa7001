/* fastener_notes_test -- where a maker measures the places of fasteners.
 *
 * What is printed is read from the ledger; where the fasteners are, from
 * their bodies in the world.
 */
#include "unit/design_text.h"

#include "press/press.h"

/* A batten on a wide board, screwed through the board. */
static const Model *batten_at(Ctx *c, const char *x, const char *y) {
    return model_of(c, str_z(c, str_fmt(c,
        "'stock': {'board': {'form': 'board', 'wood': 'eastern white pine',"
        " 'thickness': '3/4in', 'width': '3in', 'sold': [{'length': '8ft'}]},"
        " 'ply': {'form': 'sheet', 'wood': 'birch plywood',"
        " 'thickness': '1/2in', 'sold': [{'length': '8ft',"
        " 'width': '4ft'}]}},"
        "'hardware': {'screw': {'kind': 'wood screw', 'gauge': 'no. 6',"
        " 'length': '1in'}},"
        "'parts': {'A': {'name': 'Lid', 'from': 'ply', 'length': '40in',"
        " 'width': '30in'}, 'B': {'name': 'Batten', 'from': 'board',"
        " 'length': '12in'}},"
        "'pieces': [{'part': 'A', 'as': 'lid', 'at': ['0in', '0in', '0in']},"
        " {'part': 'B', 'as': 'batten', 'at': ['%s', '%s', '1/2in']}],"
        "'steps': [{'title': 'Fix', 'add': ['lid', 'batten'],"
        " 'fix': [{'join': ['batten', 'lid'], 'with': 'screw',"
        " 'count': 3}]}]", x, y)));
}

static bool is_printed(const Booklet *b, double value) {
    for (int i = 0; i < b->ledger.rows.n; i++) {
        const Figure *f = &b->ledger.rows.at[i].figure;
        if (str_is(f->source, "fastener places")
            && fabs(f->value - value) < 0.01)
            return true;
    }
    return false;
}

static const Booklet *booklet_of(Ctx *c, const Model *m) {
    Edition e = { .inch = true, .step = m->step_inch };

    return press_booklet(c, m, plan_work(c, m), &e);
}

static void in_the_midst_of_a_board_the_batten_is_measured(void **state) {
    Ctx            *c = *state;
    const Model    *m = batten_at(c, "17in", "9in");
    const Booklet  *b = booklet_of(c, m);
    const Fastener *f = &m->fasteners.at[0];
    const Piece    *batten = piece_called(m, "batten");

    assert_int_equal(m->fasteners.n, 3);
    assert_true(is_printed(b, f->head.x - batten->box.min.x));
    assert_true(is_printed(b, fmin(f->head.y - batten->box.min.y,
                                   batten->box.max.y - f->head.y)));
    assert_true(is_printed(b, m->fasteners.at[1].head.x - f->head.x));
    assert_false(is_printed(b, f->head.x));
    assert_false(is_printed(b, f->head.y));
}

static void at_the_end_of_a_board_the_board_is_measured(void **state) {
    Ctx            *c = *state;
    const Model    *m = batten_at(c, "0in", "0in");
    const Booklet  *b = booklet_of(c, m);
    const Fastener *f = &m->fasteners.at[0];

    assert_true(is_printed(b, f->head.x));
    assert_true(is_printed(b, m->fasteners.at[1].head.x - f->head.x));
    assert_false(is_printed(b, 40 * 25.4 - m->fasteners.at[2].head.x));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(in_the_midst_of_a_board_the_batten_is_measured),
        TEST(at_the_end_of_a_board_the_board_is_measured),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
