/* Movement of wood against published figures; fragile places. */
#include "unit/design_text.h"

#include "model/model_internal.h"

static double moves(const char *wood, double width, double from, double to) {
    return wood_moves((Str){ wood, strlen(wood) }, true, width, from, to);
}

/* Wood Handbook, FPL-GTR-190 (2010) p. 13-17: a flatsawn board 232 mm wide
 * (9.15 in) from 8 to 11 % moves 1.7 mm (0.067 in); white fir. */
static void the_handbook_board_moves_as_printed(void **state) {
    (void)state;
    assert_near(moves("white fir", 232, 8, 11), 1.7, 0.05);
    assert_near(moves("white fir", 9.15, 8, 11), 0.067, 0.0005);
    assert_near(232 + moves("white fir", 232, 8, 11), 233.7, 0.05);
}

/* trade-figures 3.2, computed there: red oak 12 in, 6 to 12 %: 0.266 in by
 * Eq. 13-2; Douglas-fir 5.5 in, 19 to 8 %: -0.158 in by Eq. 13-3. */
static void both_equations_are_used_where_they_hold(void **state) {
    (void)state;
    assert_near(moves("red oak", 12, 6, 12), 0.266, 0.0005);
    assert_near(moves("douglas fir", 5.5, 19, 8), -0.158, 0.0005);
    assert_near(moves("no such wood", 5.5, 19, 8), 0, 0);
    assert_near(moves("white oak", 10, 30, 40), 0, 0);   // wet stays wet
}

/* Wood Handbook Table 4-2 at 70 F (trade-figures 3.3, cells looked up):
 * 5 % 1.3, 30 % 6.2, 50 % 9.2, 75 % 14.4, 95 % 23.9; at 30 F 75 % 14.9; at
 * 100 F 50 % 8.7. */
static void wood_takes_the_moisture_of_the_table(void **state) {
    static const struct { double rh, c, emc; } table[] = {
        { 5, 21.1, 1.3 }, { 30, 21.1, 6.2 }, { 50, 21.1, 9.2 },
        { 75, 21.1, 14.4 }, { 95, 21.1, 23.9 }, { 75, -1.1, 14.9 },
        { 50, 37.8, 8.7 }
    };

    (void)state;
    for (int i = 0; i < COUNT(table); i++)
        assert_near(wood_moisture(table[i].rh / 100, table[i].c),
                    table[i].emc, 0.06);
}

#define OAK "'parts': {'A': {'name': 'Plank', 'from': 'board',"           \
    " 'length': '10in', 'width': '8in'}}, 'pieces': [{'part': 'A',"       \
    " 'at': ['0in', '0in', '0in']}]"

/* White oak: 8 in x 0.00365 x 6 = 0.1752 in. */
static void the_design_gives_the_seasons(void **state) {
    Ctx *c = *state;
    const Model *m = model_of(c, BOARD "," OAK);

    assert_near(m->driest, 6, 0);
    assert_near(part_movement(m, &m->parts.at[0]), 0.1752 * INCH, 1e-6);
    m = model_of(c, BOARD "," OAK ", 'seasons': {'moisture': [8, 11]}");
    assert_near(part_movement(m, &m->parts.at[0]), 0.0876 * INCH, 1e-6);
    m = model_of(c, BOARD "," OAK ", 'seasons': {'humidity': [30, 75]}");
    assert_near(m->driest, 6.2, 0.06);
    assert_near(m->dampest, 14.4, 0.06);
    assert_null(try_model(c, BOARD "," OAK
                          ", 'seasons': {'moisture': [11, 8]}"));
    assert_int_equal(has_diag(c, OUT_OF_RANGE), 1);
}

/* ---- Fragile places ---- */

/* Between two slots 2 in wide in the board's width, `gap` of wood. */
static const Model *two_slots(Ctx *c, const char *gap) {
    return model_with(c, str_z(c, str_fmt(c, "'features': ["
        "{'notch': {'at': ['2in', '1in'], 'length': '2in',"
        " 'width': '2in'}}, {'notch': {'at': ['4in + %s', '1in'],"
        " 'length': '2in', 'width': '2in'}}]", gap)));
}

static void short_grain_is_found_with_its_place(void **state) {
    Ctx *c = *state;
    const Model *m = two_slots(c, "1/2in");

    assert_int_equal(m->weak.n, 1);
    assert_int_equal(m->weak.at[0].kind, WEAK_GRAIN);
    assert_near(m->weak.at[0].width.real, 0.5 * INCH, 0.2);
    assert_near((m->weak.at[0].a.x + m->weak.at[0].b.x) / 2, 4.25 * INCH,
                0.2);
    m = two_slots(c, "1 3/4in");
    assert_int_equal(m->weak.n, 0);
}

static void no_corner_tip_or_tenon_is_called_fragile(void **state) {
    static const char *const designs[] = {
        "'outline': [{'start': ['0in', '0in']}, {'line to': ['10in',"
        " '0in']}, {'line to': ['10in', '1/2in']}, {'line to': ['0in',"
        " '4in']}]",
        "'outline': [{'start': ['0in', '0in']}, {'line to': ['10in',"
        " '0in']}, {'line to': ['0in', '2in']}]",
        "'features': [{'notch': {'at': ['9in', '0in'], 'length': '1in',"
        " 'width': '1 7/8in'}}, {'notch': {'at': ['9in', '2 1/8in'],"
        " 'length': '1in', 'width': '1 7/8in'}}]",
        "'features': [{'hole': {'at': ['5in', '2in'],"
        " 'diameter': '1in'}}]",
    };
    Ctx *c = *state;

    for (int i = 0; i < COUNT(designs); i++)
        assert_int_equal(model_with(c, designs[i])->weak.n, 0);
}

/* A web between a slot along the grain and the edge. */
static void a_thin_web_is_found(void **state) {
    Ctx *c = *state;
    const Model *m = model_with(c, "'features': [{'notch': {'at': ['2in',"
        " '1/8in'], 'length': '5in', 'width': '1in'}}]");

    assert_int_equal(m->weak.n, 1);
    assert_int_equal(m->weak.at[0].kind, WEAK_WEB);
    assert_near(m->weak.at[0].width.real, INCH / 8, 0.05);
}

/* Its edge is 3/8 in from the part's edge, less than its 1/2 in. */
static void a_hole_wants_its_diameter_beside_it(void **state) {
    Ctx *c = *state;
    const Model *m = model_with(c, "'features': [{'hole': {'at': ['5in',"
        " '5/8in'], 'diameter': '1/2in'}}]");

    assert_int_equal(m->weak.n, 1);
    assert_int_equal(m->weak.at[0].kind, WEAK_HOLE);
    assert_near(m->weak.at[0].width.real, 0.375 * INCH, 1e-6);
    assert_int_equal(model_with(c, "'features': [{'hole': {'at': ['5in',"
        " '3/4in'], 'diameter': '1/2in'}}]")->weak.n, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(the_handbook_board_moves_as_printed),
        TEST(both_equations_are_used_where_they_hold),
        TEST(wood_takes_the_moisture_of_the_table),
        TEST(the_design_gives_the_seasons),
        TEST(short_grain_is_found_with_its_place),
        TEST(no_corner_tip_or_tenon_is_called_fragile),
        TEST(a_thin_web_is_found),
        TEST(a_hole_wants_its_diameter_beside_it),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
