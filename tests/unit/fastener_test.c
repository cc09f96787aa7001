/* Nails and screws: trade sizes, places, checks. */
#include "unit/design_text.h"

#include "model/model_internal.h"

/* ---- Trade sizes ---- */

static Str text(const char *s) {
    return (Str){ s, strlen(s) };
}

static double screw_in(const char *gauge) {
    return fastener_shank(DRIVE_SCREW, text("wood screw"), text(gauge))
         / INCH;
}

static double nail_in(const char *kind, const char *gauge) {
    return fastener_shank(DRIVE_NAIL, text(kind), text(gauge)) / INCH;
}

/* ASME B18.6.1; Wood Handbook FPL-GTR-282 Table 8-9 gives these in mm:
 * 2.84, 3.51, 4.17, 4.83, 5.49, 6.15 (trade-figures 5.2). */
static void a_screw_is_as_thick_as_its_number_says(void **state) {
    static const struct { const char *gauge; double mm; } table[] = {
        { "no. 4", 2.84 }, { "#6", 3.51 }, { "8", 4.17 }, { "no. 10", 4.83 },
        { "no. 12", 5.49 }, { "no. 14", 6.15 }
    };

    (void)state;
    for (int i = 0; i < COUNT(table); i++)
        assert_near(screw_in(table[i].gauge) * INCH, table[i].mm, 0.006);
}

/* Wood Handbook FPL-GTR-282 Table 8-1 in mm (trade-figures 5.1): 6d 2.87,
 * 8d 3.33, 10d 3.76, 16d 4.11, 20d 4.88, 30d 5.26, 40d 5.72. */
static void a_common_nail_is_as_thick_as_its_pennies_say(void **state) {
    static const struct { const char *gauge; double mm; } table[] = {
        { "6d", 2.87 }, { "8d", 3.33 }, { "10d", 3.76 }, { "16d", 4.11 },
        { "20d", 4.88 }, { "30d", 5.26 }, { "40d", 5.72 }
    };

    (void)state;
    for (int i = 0; i < COUNT(table); i++)
        assert_near(nail_in("common nail", table[i].gauge) * INCH,
                    table[i].mm, 0.006);
    assert_near(nail_in("brad nail", "18 ga"), 0.0475, 1e-9);
    assert_near(nail_in("brad nail", "17 ga"), 0, 1e-9);   // none such
}

/* From 2d to 10d a nail is d/4 + 1/2 in long (trade-figures 5.1). */
static void pennies_give_the_length(void **state) {
    static const int pennies[] = { 2, 3, 4, 6, 8, 10 };
    Ctx *c = *state;

    for (int i = 0; i < COUNT(pennies); i++)
        assert_near(penny_inches(str_fmt(c, "%dd", pennies[i])),
                    pennies[i] / 4.0 + 0.5, 1e-9);
}

/* ---- Places ---- */

/* A batten 5 1/2 x 2 in across the underside of a seat of 3/4 in. */
#define BATTEN                                                            \
    "'parts': {'A': {'name': 'Seat', 'from': 'board', 'length': '20in',"  \
    " 'width': '5 1/2in'}, 'B': {'name': 'Batten', 'from': 'board',"      \
    " 'length': '5 1/2in', 'width': '1 1/2in'}},"                         \
    "'pieces': [{'part': 'A', 'as': 'seat',"                              \
    " 'at': ['0in', '0in', '3/4in']}, {'part': 'B', 'as': 'batten',"      \
    " 'at': ['2in', '0in', '0in'], 'length runs': 'back',"                \
    " 'face': 'down'}]"

static const Model *joined(Ctx *c, const char *hardware, const char *fix) {
    return try_model(c, str_z(c, str_fmt(c, BOARD "," BATTEN ","
        "'hardware': {'screw': {%s}}, 'steps': [{'title': 'Join',"
        " 'add': ['seat', 'batten'], 'fix': [{'join': ['batten', 'seat'],"
        " 'with': 'screw', %s}]}]", hardware, fix)));
}

#define NO6 "'kind': 'wood screw', 'gauge': 'no. 6', 'length': '1 1/4in'"

static void assert_at(const Fastener *f, double x, double y, double z) {
    assert_near(f->head.x, x * INCH, 1e-4);
    assert_near(f->head.y, y * INCH, 1e-4);
    assert_near(f->head.z, z * INCH, 1e-4);
}

/* A finish nail of 1 1/4 in is 3d (0.0625 in, from memory), and one that is
 * a little longer is taken for it. */
static void a_nail_of_known_length_alone_has_a_thickness(void **state) {
    Ctx *c = *state;
    const Model *m = joined(c, "'kind': 'finish nail', 'length': '1 1/4in'",
                            "'count': 3");

    assert_non_null(m);
    assert_near(m->hardware.at[0].shank, 0.0625 * INCH, 1e-9);
    m = joined(c, "'kind': 'finish nail', 'length': '1 3/8in'",
               "'count': 3");
    assert_non_null(m);
    assert_near(m->hardware.at[0].shank, 0.0625 * INCH, 1e-9);
}

/* The end distance is ten shanks of 0.138 in, down to the next eighth. */
static void a_row_runs_along_the_patch_from_equal_ends(void **state) {
    Ctx *c = *state;
    const Model       *m = joined(c, NO6, "'count': 3");
    const FastenerRow *r;

    assert_non_null(m);
    assert_int_equal(m->fasteners.n, 3);
    assert_at(&m->fasteners.at[0], 2.75, 0.875, 0);
    assert_at(&m->fasteners.at[1], 2.75, 2.75, 0);
    assert_at(&m->fasteners.at[2], 2.75, 4.625, 0);
    assert_near(m->fasteners.at[0].axis.z, 1, 1e-9);
    assert_near(m->fasteners.at[0].held, 0.75 * INCH, 1e-4);
    assert_near(m->fasteners.at[0].hold, 0.75 * INCH, 1e-4);
    r = &m->rows.at[0];
    assert_near(r->start.real, 0.875 * INCH, 0.1);
    assert_near(r->end.real, 0.875 * INCH, 0.1);
    assert_near(r->apart.real, 1.875 * INCH, 1e-3);
    assert_near(r->edge.real, 0.75 * INCH, 0.1);
}

static void the_author_places_them_otherwise(void **state) {
    Ctx *c = *state;
    const Model *m = joined(c, NO6, "'count': 2, 'spaced': 'in bays'");

    assert_at(&m->fasteners.at[0], 2.75, 1.375, 0);
    assert_at(&m->fasteners.at[1], 2.75, 4.125, 0);
    m = joined(c, NO6, "'count': 2, 'from ends': '1/2in',"
               " 'from edge': '1/2in'");
    assert_near(fabs(m->fasteners.at[0].head.x / INCH - 2.75), 0.25, 1e-6);
    assert_near(m->fasteners.at[0].head.y, 0.5 * INCH, 1e-6);
    assert_near(m->fasteners.at[1].head.y, 5 * INCH, 1e-6);
    m = joined(c, NO6, "'count': 1, 'through': 'seat'");
    assert_at(&m->fasteners.at[0], 2.75, 2.75, 1.5);
    assert_near(m->fasteners.at[0].axis.z, -1, 1e-9);
}

static void what_is_given_twice_to_a_joint_keeps_apart(void **state) {
    Ctx *c = *state;
    const Model *m = try_model(c, BOARD "," BATTEN ","
        "'hardware': {'screw': {" NO6 "}}, 'steps': [{'title': 'Join',"
        " 'add': ['seat', 'batten'], 'fix': ["
        "{'join': ['batten', 'seat'], 'with': 'screw', 'count': 3},"
        "{'join': ['seat', 'batten'], 'with': 'screw', 'count': 3}]}]");

    assert_non_null(m);
    assert_int_equal(m->fasteners.n, 6);
    for (int i = 0; i < 6; i++)
        for (int k = 0; k < i; k++)
            assert_true(fasteners_apart(&m->fasteners.at[i],
                        &m->fasteners.at[k]) >= 2 * 0.138 * INCH - 1e-6);
}

/* ---- Checks ---- */

static int says(Ctx *c, const char *length, const char *fix, DiagCode code) {
    int before = has_diag(c, code);

    c->errors = 0;   // of the design before
    (void)joined(c, str_z(c, str_fmt(c, "'kind': 'wood screw',"
                 " 'gauge': 'no. 6', 'length': '%s'", length)), fix);
    return has_diag(c, code) - before;
}

/* 3/4 in to go through, 3/4 in to hold it. */
static void each_length_gets_its_message(void **state) {
    Ctx *c = *state;

    assert_int_equal(says(c, "3/4in", "'count': 2", FASTENER_MISSES), 1);
    assert_int_equal(says(c, "1 1/8in", "'count': 2", FASTENER_SHORT), 1);
    assert_int_equal(says(c, "1 1/4in", "'count': 2", FASTENER_SHORT), 0);
    assert_int_equal(says(c, "1 3/8in", "'count': 2", FASTENER_THROUGH), 0);
    assert_int_equal(says(c, "1 1/2in", "'count': 2", FASTENER_THROUGH), 1);
    assert_int_equal(says(c, "1 5/8in", "'count': 2", FASTENER_THROUGH), 1);
}

static void two_segments_are_as_far_apart_as_they_look(void **state) {
    Fastener f = { .head = { 0, 0, 0 }, .axis = { 1, 0, 0 }, .length = 10 };
    Fastener g = { .head = { 5, 3, -4 }, .axis = { 0, 0, 1 }, .length = 8 };

    (void)state;
    assert_near(fasteners_apart(&f, &g), 3, 1e-9);      // they cross
    g.head = (V3){ 13, 4, 0 };
    assert_near(fasteners_apart(&f, &g), 5, 1e-9);      // past its tip
    g.head = (V3){ 2, 0, 7 };
    g.axis = (V3){ 1, 0, 0 };
    assert_near(fasteners_apart(&f, &g), 7, 1e-9);      // side by side
}

/* The nearest points of two segments against a plain search. */
static void apart_agrees_with_a_search(void **state) {
    uint32_t seed = 7;

    (void)state;
    for (int i = 0; i < 200; i++) {
        Fastener f[2];
        double   least = INFINITY;
        for (int k = 0; k < 2; k++) {
            double v[6];
            for (int j = 0; j < 6; j++) {
                seed = seed * 1664525u + 1013904223u;
                v[j] = (seed >> 8) / 16777216.0 - 0.5;
            }
            f[k] = (Fastener){ .head = { v[0] * 20, v[1] * 20, v[2] * 20 },
                               .axis = v3_unit(v3(v[3], v[4], v[5])),
                               .length = 12 };
        }
        for (int a = 0; a <= 120; a++)
            for (int z = 0; z <= 120; z++) {
                V3 p = v3_add(f[0].head, v3_scale(f[0].axis, a / 10.0));
                V3 q = v3_add(f[1].head, v3_scale(f[1].axis, z / 10.0));
                least = fmin(least, v3_len(v3_sub(p, q)));
            }
        assert_near(fasteners_apart(&f[0], &f[1]), least, 0.1);
    }
}

/* ---- Several pieces named, one of them hardly touched ---- */

/* A slat over a rail 1 1/2 in wide and over the top of a leg, of which it
 * covers a strip. */
static const Model *slat(Ctx *c, const char *strip, const char *to) {
    return try_model(c, str_z(c, str_fmt(c, "'hangs': true, 'stock': "
        "{'board': {'thickness': '3/4in', 'width': '5 1/2in', 'sold': "
        "[{'length': '8ft'}]}, 'square': {'thickness': '1 1/2in', 'width':"
        " '1 1/2in', 'sold': [{'length': '8ft'}]}}, 'parts': {"
        "'A': {'name': 'Slat', 'from': 'board', 'length': '10in',"
        " 'width': '3in'}, 'B': {'name': 'Leg', 'from': 'square', 'length':"
        " '12in'}, 'C': {'name': 'Rail', 'from': 'square', 'length': '8in'"
        "}}, 'hardware': {'screw': {" NO6 "}}, 'pieces': ["
        "{'part': 'A', 'as': 'slat', 'at': ['%s - 10in', '0in', '12in']},"
        "{'part': 'B', 'as': 'leg', 'at': ['0in', '0in', '0in'], 'length"
        " runs': 'up', 'face': 'left'}, {'part': 'C', 'as': 'rail', 'at':"
        " ['-8in', '0in', '10 1/2in']}], 'steps': [{'title': 'Stand',"
        " 'add': ['leg', 'rail'], 'fix': [{'join': ['leg', 'rail'],"
        " 'glue': true}]}, {'title': 'Lay', 'add': ['slat'], 'fix':"
        " [{'join': ['slat', %s], 'with': 'screw', 'count': 4}]}]",
        strip, to)));
}

static int into_piece(const Model *m, const char *name) {
    int n = 0;

    for (int i = 0; i < m->fasteners.n; i++)
        n += str_is(m->pieces.at[m->fasteners.at[i].into].name, name);
    return n;
}

/* A no. 6 screw is 0.138 in thick: with two of that to each side it wants
 * 0.552 in. */
static void a_strip_too_narrow_gets_none_while_others_can(void **state) {
    Ctx         *c = *state;
    const Model *m = slat(c, "0.55in", "'leg', 'rail'");

    assert_non_null(m);
    assert_int_equal(into_piece(m, "rail"), 4);
    m = slat(c, "0.56in", "'leg', 'rail'");
    assert_non_null(m);
    assert_int_equal(into_piece(m, "rail"), 2);
    assert_int_equal(into_piece(m, "leg"), 2);
    m = slat(c, "0.1in", "'leg', 'rail'");
    assert_non_null(m);
    assert_int_equal(into_piece(m, "rail"), 4);
    assert_int_equal(c->diags.n, 0);
}

/* Alone, a strip that holds the shank gets them with a warning, one that
 * does not is told. */
static void a_strip_alone_is_told_of(void **state) {
    Ctx *c = *state;

    assert_non_null(slat(c, "0.5in", "'leg'"));
    assert_int_equal(has_diag(c, FASTENER_EDGE), 1);
    assert_null(slat(c, "1/8in", "'leg'"));
    assert_int_equal(has_diag(c, FASTENER_MISSES), 1);
    assert_non_null(strstr(str_z(c, diags_text(c)), "'slat' touches 'leg' "
        "over a strip of only 1/8 in, and a 1 1/4 in wood screw wants "
        "9/16 in"));
}

/* ---- Heads where they can be driven ---- */

/* A plate of 1/2 in is hung on a board of 3/4 in; against a wall that stands
 * already the screws go in from the board, though there is more wood. */
static const Model *plate(Ctx *c, const char *first, const char *then) {
    return try_model(c, str_z(c, str_fmt(c, "'hangs': true, 'stock': "
        "{'board': {'thickness': '3/4in', 'width': '5 1/2in', 'sold': "
        "[{'length': '8ft'}]}, 'thin': {'thickness': '1/2in', 'width': "
        "'5 1/2in', 'sold': [{'length': '8ft'}]}}, 'parts': {"
        "'A': {'name': 'Wall', 'from': 'board', 'length': '10in'},"
        "'B': {'name': 'Plate', 'from': 'thin', 'length': '4in'},"
        "'C': {'name': 'Board', 'from': 'board', 'length': '4in'}},"
        "'hardware': {'screw': {'kind': 'wood screw', 'gauge': 'no. 6', "
        "'length': '1 1/8in'}}, 'pieces': ["
        "{'part': 'A', 'as': 'wall', 'at': ['0in', '0in', '0in']},"
        "{'part': 'B', 'as': 'plate', 'at': ['0in', '0in', '3/4in']},"
        "{'part': 'C', 'as': 'lath', 'at': ['0in', '0in', '1 1/4in']}],"
        "'steps': [{'title': 'One', 'add': [%s]}, {'title': 'Two', 'add':"
        " [%s], 'fix': [{'join': ['plate', 'lath'], 'with': 'screw',"
        " 'count': 2}]}]", first, then)));
}

static void heads_go_where_a_driver_gets_to_them(void **state) {
    Ctx         *c = *state;
    const Model *m = plate(c, "'wall'", "'plate', 'lath'");

    assert_non_null(m);
    assert_str(m->pieces.at[m->fasteners.at[0].from].name, "lath");
    assert_int_equal(has_diag(c, FASTENER_REACH), 0);
    m = plate(c, "'lath'", "'plate', 'wall'");   // the wall may wait
    assert_non_null(m);
    assert_str(m->pieces.at[m->fasteners.at[0].from].name, "plate");
}

/* ---- Cuts that another piece fills ---- */

/* A cleat on a leg 2 in square, screwed to it 1/8 in before the bottom of a
 * mortise 7/8 in deep, into which a rail goes. */
#define LEG_AND_CLEAT                                                     \
    "'stock': {'leg': {'thickness': '2in', 'width': '2in', 'sold':"       \
    "[{'length': '8ft'}]}, 'board': {'thickness': '3/4in', 'width':"      \
    "'5 1/2in', 'sold': [{'length': '8ft'}]}}, 'hardware': {'screw':"     \
    "{'kind': 'wood screw', 'gauge': 'no. 8', 'length': '2in'}}, 'parts':"\
    "{'A': {'name': 'Leg', 'from': 'leg', 'length': '16in', 'features':"  \
    "[{'mortise': {'at': ['12in', '3/4in'], 'length': '2in', 'width':"    \
    "'1/2in', 'depth': '%s', 'into': 'far'}}]}, 'B': {'name': 'Rail',"    \
    "'from': 'board', 'length': '12in', 'width': '3in', 'features':"      \
    "[{'tenon': {'end': 'left', 'length': '%s', 'thickness': '1/2in',"    \
    "'width': '2in'}}]}, 'C': {'name': 'Cleat', 'from': 'board',"         \
    "'length': '2in', 'width': '2in'}}, 'pieces': [{'part': 'A', 'as':"   \
    "'leg', 'at': ['0in', '0in', '0in'], 'length runs': 'up', 'face':"    \
    "'left'}, {'part': 'B', 'as': 'rail', 'at': ['5/8in', '2in - %s',"    \
    "'11 1/2in'], 'length runs': 'back', 'face': 'left'}, {'part': 'C',"  \
    "'as': 'cleat', 'at': ['-3/4in', '0in', '12in'], 'length runs': 'up',"\
    "'face': 'left'}]"
#define RAIL_IN  "{'title': 'Rail', 'add': ['rail'], 'fix': [{'join':"    \
                 "['rail', 'leg'], 'glue': true}]}"
#define CLEAT_ON "{'title': 'Cleat', 'add': ['cleat'], 'fix': [{'join':"  \
                 "['cleat', 'leg'], 'with': 'screw', 'count': 1}]}"

static const Model *cleat(Ctx *c, const char *deep, const char *first,
                          const char *second) {
    c->errors = c->diags.n = 0;
    return try_model(c, str_z(c, str_fmt(c, LEG_AND_CLEAT ", 'hangs': true,"
        "'steps': [{'title': 'Leg', 'add': ['leg']}, %s, %s]", deep, deep,
        deep, first, second)));
}

static void a_cut_that_is_filled_is_wood(void **state) {
    Ctx *c = *state;

    assert_non_null(cleat(c, "7/8in", RAIL_IN, CLEAT_ON));
    assert_int_equal(c->diags.n, 0);
    assert_non_null(cleat(c, "7/8in", CLEAT_ON, RAIL_IN));
    assert_int_equal(has_diag(c, FASTENER_EDGE), 1);
    assert_non_null(strstr(str_z(c, diags_text(c)), "stands 1/8 in from the "
        "mortise of 'leg', and should have 11/32 in"));
}

/* 1/16 in is less than half of the 0.164 in of a no. 8 screw. */
static void a_screw_breaks_out_into_an_empty_cut(void **state) {
    Ctx *c = *state;

    assert_non_null(cleat(c, "15/16in", RAIL_IN, CLEAT_ON));
    assert_null(cleat(c, "15/16in", CLEAT_ON, RAIL_IN));
    assert_int_equal(has_diag(c, FASTENER_OUT), 1);
    assert_non_null(strstr(str_z(c, diags_text(c)),
                           "only 1/16 in from the mortise of 'leg'"));
    assert_non_null(cleat(c, "1 1/4in", RAIL_IN, CLEAT_ON));   // through it
    assert_null(cleat(c, "1 1/4in", CLEAT_ON, RAIL_IN));
    assert_int_equal(has_diag(c, FASTENER_THROUGH), 1);
    assert_non_null(strstr(str_z(c, diags_text(c)),
                           "comes out of the mortise of 'leg'"));
}

/* ---- Dowels ---- */

#define DOWEL "'kind': 'fluted dowel pin', 'diameter': '3/8in', 'length': "

/* Two boards of 3/4 in on each other: 1/8 in stays before the bottom of each
 * hole, so a dowel of 1 1/4 in is just right; the seat and the batten are as
 * thick as two dowels are. */
static void a_dowel_stays_inside_of_both(void **state) {
    Ctx         *c = *state;
    const Model *m = joined(c, DOWEL "'1 1/4in'", "'count': 2");

    assert_non_null(m);
    assert_int_equal(m->hardware.at[0].drive, DRIVE_DOWEL);
    assert_near(m->fasteners.at[0].held, 5 * INCH / 8, 1e-4);
    assert_int_equal(c->diags.n, has_diag(c, TIPS_OVER));
    assert_non_null(joined(c, DOWEL "'1in'", "'count': 2"));
    assert_int_equal(has_diag(c, FASTENER_SHORT), 1);   // wants 9/16 in
    assert_null(joined(c, DOWEL "'1 1/2in'", "'count': 2"));
    assert_int_equal(has_diag(c, FASTENER_THROUGH), 1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(a_screw_is_as_thick_as_its_number_says),
        TEST(a_common_nail_is_as_thick_as_its_pennies_say),
        TEST(pennies_give_the_length),
        TEST(a_nail_of_known_length_alone_has_a_thickness),
        TEST(a_row_runs_along_the_patch_from_equal_ends),
        TEST(the_author_places_them_otherwise),
        TEST(what_is_given_twice_to_a_joint_keeps_apart),
        TEST(each_length_gets_its_message),
        TEST(a_strip_too_narrow_gets_none_while_others_can),
        TEST(a_strip_alone_is_told_of),
        TEST(heads_go_where_a_driver_gets_to_them),
        TEST(a_cut_that_is_filled_is_wood),
        TEST(a_screw_breaks_out_into_an_empty_cut),
        TEST(a_dowel_stays_inside_of_both),
        TEST(two_segments_are_as_far_apart_as_they_look),
        TEST(apart_agrees_with_a_search),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
