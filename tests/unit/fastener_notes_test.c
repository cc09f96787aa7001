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

/* ---- Words ---- */

/* A shelf 20 by 3 on a bearer (and its mirror image) under its ends, with the
 * grain of the bearer from front to back. */
static const Model *shelf_on(Ctx *c, const char *bearer, int count,
                             bool both) {
    return model_of(c, str_z(c, str_fmt(c,
        "'stock': {'board': {'form': 'board', 'wood': 'eastern white pine',"
        " 'thickness': '3/4in', 'width': '3in', 'sold': [{'length':"
        " '8ft'}]}},"
        "'hardware': {'screw': {'kind': 'wood screw', 'gauge': 'no. 6',"
        " 'length': '1 1/4in'}},"
        "'parts': {'A': {'name': 'Shelf', 'from': 'board', 'length':"
        " '20in'}, 'B': {'name': 'Bearer', 'from': 'board', 'length': '3in',"
        " 'width': '%s'}},"
        "'pieces': [{'part': 'B', 'as': 'left', 'at': ['0in', '0in', '0in'],"
        " 'length runs': 'back'%s},"
        " {'part': 'A', 'as': 'shelf', 'at': ['0in', '0in', '3/4in']}],"
        "'steps': [{'title': 'Lay', 'add': ['left', 'shelf'%s], 'fix':"
        " [{'join': ['shelf', 'left'%s], 'with': 'screw', 'count': %d}]}]",
        bearer, both ? ", 'mirror': {'across': 'left-right', 'at': '10in',"
        " 'as': 'right'}" : "", both ? ", 'right'" : "",
        both ? ", 'right'" : "", count)));
}

/* A slat 1 1/2 wide over a post, its upper edges rounded by 1/8: the screw in
 * its middle is 3/4 from the edges, where a rule meets them. */
static void a_round_edge_is_measured_from_the_wood(void **state) {
    Ctx               *c = *state;
    const Model       *m = model_of(c,
        "'stock': {'board': {'form': 'board', 'wood': 'eastern white pine',"
        " 'thickness': '3/4in', 'width': '1 1/2in', 'sold': [{'length':"
        " '8ft'}]}},"
        "'hardware': {'screw': {'kind': 'wood screw', 'gauge': 'no. 6',"
        " 'length': '1 1/4in'}},"
        "'parts': {'A': {'name': 'Slat', 'from': 'board', 'length': '20in',"
        " 'features': [{'round over': {'edges': ['near', 'far'], 'radius':"
        " '1/8in', 'into': 'show'}}]},"
        " 'B': {'name': 'Bearer', 'from': 'board', 'length': '1 1/2in'}},"
        "'pieces': [{'part': 'B', 'as': 'left', 'at': ['0in', '0in',"
        " '0in'], 'length runs': 'back'},"
        " {'part': 'A', 'as': 'slat', 'at': ['0in', '0in', '3/4in']}],"
        "'steps': [{'title': 'Lay', 'add': ['left', 'slat'], 'fix':"
        " [{'join': ['slat', 'left'], 'with': 'screw', 'count': 1}]}]");
    const FastenerRow *r = &m->rows.at[0];
    double across = fabs(r->along.y) > 0.5 ? r->start.real : r->edge.real;

    assert_int_equal(m->rows.n, 1);
    assert_true(fabs(across - 0.75 * 25.4) < 0.01);
}

/* All that is written on the pages, with single spaces. */
static const char *words_of(Ctx *c, const Booklet *b) {
    Buf  out  = BUF(c);
    bool open = false;

    for (int i = 0; i < b->pages.n; i++) {
        for (int k = 0; k < b->pages.at[i].marks.n; k++) {
            const Mark *m = &b->pages.at[i].marks.at[k];
            for (size_t j = 0; m->kind == MARK_TEXT && j < m->text.n; j++) {
                char at = m->text.s[j];
                if (at != ' ')
                    buf_add(&out, open ? " %c" : "%c", at);
                open = at == ' ';
            }
            open = true;
        }
    }
    return str_z(c, buf_done(&out));
}

static void across_the_board_a_row_lies_between_its_edges(void **state) {
    Ctx        *c = *state;
    const char *words = words_of(c, booklet_of(c, shelf_on(c, "1 1/2in", 2,
                                                           false)));

    assert_non_null(strstr(words, "in from each edge, "));
    assert_non_null(strstr(words, "in from the left end"));
    assert_null(strstr(words, "from each end"));
}

static void mirrored_rows_are_told_once_from_the_nearer_end(void **state) {
    Ctx        *c = *state;
    const char *words = words_of(c, booklet_of(c, shelf_on(c, "1 1/2in", 4,
                                                           true)));

    assert_non_null(strstr(words, ", at each of "));
    assert_non_null(strstr(words, "in from the nearer end"));
    assert_null(strstr(words, "from the left end"));
    assert_null(strstr(words, "from the right end"));
}

/* A bearer as wide as the shelf: two lines of two. */
static void of_two_lines_both_places_are_told(void **state) {
    Ctx               *c = *state;
    const Model       *m = shelf_on(c, "3in", 4, false);
    const FastenerRow *r = &m->rows.at[0];
    const Booklet     *b = booklet_of(c, m);
    const Fastener    *f = &m->fasteners.at[0];
    double lines[] = { 1e9, -1e9 };   // places along the shelf

    assert_int_equal(r->lines, 2);
    for (int i = 0; i < 4; i++) {
        lines[0] = fmin(lines[0], f[i].head.x);
        lines[1] = fmax(lines[1], f[i].head.x);
    }
    assert_true(fabs(r->between.real - (lines[1] - lines[0])) < 0.01
                || fabs(r->apart.real - (lines[1] - lines[0])) < 0.01);
    assert_non_null(strstr(words_of(c, b), "; the lines "));
    assert_true(is_printed(b, lines[0]));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(in_the_midst_of_a_board_the_batten_is_measured),
        TEST(at_the_end_of_a_board_the_board_is_measured),
        TEST(across_the_board_a_row_lies_between_its_edges),
        TEST(mirrored_rows_are_told_once_from_the_nearer_end),
        TEST(of_two_lines_both_places_are_told),
        TEST(a_round_edge_is_measured_from_the_wood),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
