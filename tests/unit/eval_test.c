/* Formulas: notations, functions, the graph of sizes, messages.
 *
 * Where a value was published, the publication stands beside it; where it
 * says "computed", it follows from the formula named and was worked out
 * apart from this program.
 */
#include "unit/test.h"

#include "design/design.h"
#include "eval/eval.h"

/* The "sizes" of a design; `members` is JSON without the outer braces. */
static Sizes *sizes_from(Ctx *c, const char *members) {
    Sizes        *s    = sizes_new(c);
    Str           text = str_fmt(c, "{\"rodbook\":1,\"sizes\":{%s}}",
                                 members);
    const Design *d    = design_parse(c, source_add(c, "stool.json", text));

    assert_non_null(d);
    sizes_read(c, s, node_find(d->root, "sizes"), "");
    return s;
}

static Quantity size(Ctx *c, Sizes *s, const char *name) {
    return sizes_value(c, s, str_from(c, name), (Loc){ 0 });
}

/* The value of one formula. */
static Quantity value(Ctx *c, const char *formula) {
    Buf member = BUF(c);

    buf_add(&member, "\"result\":");
    buf_json(&member, str_from(c, formula));
    return size(c, sizes_from(c, str_z(c, buf_done(&member))), "result");
}

/* Its words, as quantity_show writes them; fails where messages come. */
static Str shown(Ctx *c, const char *formula) {
    Buf      out = BUF(c);
    Quantity q   = value(c, formula);

    if (c->diags.n)
        fail_msg("%s: %.*s", formula, STR_ARG(diags_text(c)));
    quantity_show(&out, q);
    return buf_done(&out);
}

static void equal(Ctx *c, const char *formula, Quantity should) {
    Quantity q = value(c, formula);

    if (c->diags.n)
        fail_msg("%s: %.*s", formula, STR_ARG(diags_text(c)));
    if (!quantity_is_exact(q) || quantity_cmp(q, should) != 0
        || !dim_eq(q.dim, should.dim))
        fail_msg("%s is %.12g", formula, q.real);
}

static Quantity inches(int64_t num, int64_t den) {
    return quantity_inches(num, den);
}

static Quantity number(int64_t num, int64_t den) {
    return quantity_exact(num, den, DIM_NUMBER);
}

static Quantity mm(int64_t num, int64_t den) {
    return quantity_exact(num, den, DIM_LENGTH);
}

static Quantity degrees(int64_t num, int64_t den) {
    return quantity_exact(num, den, DIM_ANGLE);
}

static double in_inches(Ctx *c, const char *formula) {
    Quantity q = value(c, formula);

    if (c->diags.n || !dim_eq(q.dim, DIM_LENGTH))
        fail_msg("%s: %.*s", formula, STR_ARG(diags_text(c)));
    return q.real / 25.4;
}

static double in_degrees(Ctx *c, const char *formula) {
    Quantity q = value(c, formula);

    if (c->diags.n || !dim_eq(q.dim, DIM_ANGLE))
        fail_msg("%s: %.*s", formula, STR_ARG(diags_text(c)));
    return q.real;
}

/* ---- Notations ---- */

static void inch_fractions_are_written_in_many_ways(void **state) {
    Ctx *c = *state;

    equal(c, "3 3/4in", inches(15, 4));
    equal(c, "3 3/4 in", inches(15, 4));
    equal(c, "  3  3/4in ", inches(15, 4));
    equal(c, "3-3/4in", inches(15, 4));
    equal(c, "3-3/4\"", inches(15, 4));
    equal(c, "3 3/4\"", inches(15, 4));
    equal(c, "3 3/4\xE2\x80\xB3", inches(15, 4));
    equal(c, "3\xC2\xBEin", inches(15, 4));            // 3¾in
    equal(c, "3 \xC2\xBE in", inches(15, 4));
    equal(c, "3 3\xE2\x81\x84" "4in", inches(15, 4));  // fraction slash
    equal(c, "\xC2\xBDin", inches(1, 2));
    equal(c, "3.75in", inches(15, 4));
    equal(c, ".5in", inches(1, 2));
    equal(c, "0.1in", inches(1, 10));
    equal(c, "3 3/4", number(15, 4));
    equal(c, "3-3/4", number(9, 4));    // without a unit: a difference
}

static void feet_and_inches_are_one_length(void **state) {
    Ctx *c = *state;

    equal(c, "2' 6 1/2\"", inches(61, 2));
    equal(c, "2'6 1/2\"", inches(61, 2));
    equal(c, "2ft 6in", inches(30, 1));
    equal(c, "2 ft 6 1/2 in", inches(61, 2));
    equal(c, "2\xE2\x80\xB2 6\xE2\x80\xB3", inches(30, 1));
    equal(c, "2\xE2\x80\x99 6\xE2\x80\x9D", inches(30, 1));
    equal(c, "1/2ft", inches(6, 1));
    equal(c, "-2' 6\"", inches(-30, 1));
    equal(c, "2' * 3", inches(72, 1));
    equal(c, "2' - 6\"", inches(18, 1));
    equal(c, "2ft-6in", inches(18, 1));
    equal(c, "1yd", inches(36, 1));
    equal(c, "2lb 3oz", quantity_exact(35 * 45359237LL, 1600000, DIM_MASS));
}

static void metric_lengths_are_exact(void **state) {
    Ctx *c = *state;

    equal(c, "95mm", mm(95, 1));
    equal(c, "9.5cm", mm(95, 1));
    equal(c, "1.2m", mm(1200, 1));
    equal(c, "25.4mm", inches(1, 1));
    equal(c, "25.4mm - 1in", mm(0, 1));
    equal(c, "1in = 25.4mm", number(1, 1));
}

static void a_fraction_before_a_unit_is_one_value(void **state) {
    Ctx *c = *state;

    equal(c, "1/16in * 16", inches(1, 1));
    equal(c, "12in/3/4in", number(16, 1));
    equal(c, "3in - 3/4in", inches(9, 4));
    equal(c, "3in-3/4in", inches(9, 4));
    equal(c, "12/2.5in", quantity_exact(24, 127, (Dim){ -1, 0, 0, 0 }));
    equal(c, "12/3/4in", quantity_exact(80, 127, (Dim){ -1, 0, 0, 0 }));
    equal(c, "2*10-3/4in", inches(43, 2));
    equal(c, "1/2 * 3in", inches(3, 2));
}

static void slopes_are_angles(void **state) {
    Ctx *c = *state;

    /* Roof table of a framing square, 7 and 4 rise; the rest computed:
     * atan(10.5/12). */
    assert_near(in_degrees(c, "7 in 12"), 30.26, 0.005);
    assert_near(in_degrees(c, "4 in 12"), 18.43, 0.005);
    assert_near(in_degrees(c, "10 1/2 in 12"), 41.19, 0.005);
    assert_near(in_degrees(c, "7 in 12 / 2"), 15.128, 0.001);
    equal(c, "12 in 12", degrees(45, 1));
    equal(c, "tan(12 in 12)", number(1, 1));
    equal(c, "35deg", degrees(35, 1));
    equal(c, "35\xC2\xB0", degrees(35, 1));
    equal(c, "22 1/2 deg", degrees(45, 2));
    equal(c, "7 in + 12in", inches(19, 1));
}

/* Factors: NIST SP 811, appendix B (from memory). */
static void other_measures_have_units_too(void **state) {
    Ctx *c = *state;

    assert_str(shown(c, "$7.40"), "$7.40");
    assert_str(shown(c, "$7.40/ft * 3ft"), "$22.20");
    assert_str(shown(c, "350 sqft"), "350 sqft");
    assert_str(shown(c, "2 sq ft + 1 ft\xC2\xB2"), "3 sqft");
    equal(c, "144sqin", value(c, "1 sqft"));
    equal(c, "1sqm", value(c, "10000 sqcm"));
    equal(c, "1gal", value(c, "231cuin"));
    equal(c, "4qt", value(c, "1gal"));
    equal(c, "128floz", value(c, "1gal"));
    equal(c, "1cuft", value(c, "1728cuin"));
    equal(c, "1sqyd", value(c, "9sqft"));
    equal(c, "1sqcm", value(c, "100sqmm"));
    equal(c, "1l", value(c, "1000ml"));
    equal(c, "3in\xC2\xB3", value(c, "3cuin"));
    equal(c, "1bdft", value(c, "12in * 12in * 1in"));
    equal(c, "1kg", quantity_exact(1000, 1, DIM_MASS));
    equal(c, "16oz", value(c, "1lb"));
    equal(c, "350 sqft/gal * 2gal", value(c, "700 sqft"));
    assert_true(dim_eq(value(c, "350 sqft/gal").dim, DIM_COVER));
    assert_near(value(c, "1l").real, 1e6, 0);
    assert_near(value(c, "1lb").real, 453.59237, 1e-12);
}

/* What is shown reads back as the same quantity. */
static void shown_lengths_read_back(void **state) {
    Ctx *c = *state;

    for (int i = -300; i < 1200; i++) {
        Quantity lengths[] = { inches(i, 64), mm(i, 10), mm(7 * i, 1000),
                               mm(i, 1), inches(i, 3) };
        for (int k = 0; k < COUNT(lengths); k++) {
            Ctx ctx, *fresh = &ctx;
            Buf out;
            ctx_init(fresh, &real_files);
            out = BUF(fresh);
            quantity_show(&out, lengths[k]);
            equal(fresh, str_z(fresh, buf_done(&out)), lengths[k]);
            ctx_free(fresh);
        }
    }
    assert_int_equal(c->errors, 0);
}

/* ---- Operators ---- */

static void operators_bind_as_in_school(void **state) {
    Ctx *c = *state;

    equal(c, "1 + 2 * 3", number(7, 1));
    equal(c, "(1 + 2) * 3", number(9, 1));
    equal(c, "10 - 4 - 3", number(3, 1));
    equal(c, "24 / 4 / 2", number(3, 1));
    equal(c, "2 - -3", number(5, 1));
    equal(c, "-(2 + 3) * 2", number(-10, 1));
    equal(c, "- 3in + 5in", inches(2, 1));
    equal(c, "1/3 + 1/6", number(1, 2));
    equal(c, "3 \xC3\x97 4 \xC3\xB7 6 \xE2\x88\x92 1", number(1, 1));
}

static void comparisons_give_one_or_zero(void **state) {
    Ctx *c = *state;

    equal(c, "3in < 95mm", number(1, 1));
    equal(c, "3in <= 76.2mm", number(1, 1));
    equal(c, "3in >= 4in", number(0, 1));
    equal(c, "3in > 2in", number(1, 1));
    equal(c, "3 <> 3", number(0, 1));
    equal(c, "1 + 1 = 2", number(1, 1));
    equal(c, "3in \xE2\x89\xA4 4in", number(1, 1));
    /* Inexact values count as equal within a billionth. */
    equal(c, "sqrt(2) * sqrt(2) = 2", number(1, 1));
    equal(c, "sqrt(2) * sqrt(2) > 2", number(0, 1));
}

static void only_the_taken_branch_counts(void **state) {
    Ctx *c = *state;

    equal(c, "if(3in < 4in, 1in, 1in/0)", inches(1, 1));
    equal(c, "if(0, 1in/0, 2in)", inches(2, 1));
    assert_true(value(c, "if(1, 1in/0, 2in)").poison);
    assert_int_equal(has_diag(c, OUT_OF_RANGE), 1);
}

/* ---- Functions ---- */

static void nice_angles_stay_exact(void **state) {
    Ctx *c = *state;

    equal(c, "sin(30deg)", number(1, 2));
    equal(c, "sin(-30deg)", number(-1, 2));
    equal(c, "sin(180deg)", number(0, 1));
    equal(c, "sin(210deg) + sin(330deg) + sin(270deg)", number(-2, 1));
    equal(c, "sin(150deg) + sin(450deg)", number(3, 2));
    equal(c, "cos(60deg)", number(1, 2));
    equal(c, "cos(90deg)", number(0, 1));
    equal(c, "cos(180deg)", number(-1, 1));
    equal(c, "tan(45deg)", number(1, 1));
    equal(c, "tan(135deg)", number(-1, 1));
    equal(c, "asin(1/2)", degrees(30, 1));
    equal(c, "acos(1/2)", degrees(60, 1));
    equal(c, "acos(-1)", degrees(180, 1));
    equal(c, "atan(1)", degrees(45, 1));
    equal(c, "atan2(3in, -3in)", degrees(135, 1));
    equal(c, "atan2(0in, 3in)", degrees(0, 1));
    assert_near(value(c, "sin(25deg)").real, 0.422618261740699, 1e-14);
    assert_near(in_degrees(c, "atan2(7in, 12in)"), 30.256437, 1e-6);
    assert_near(in_degrees(c, "asin(0.25)"), 14.477512, 1e-6);
    assert_near(in_degrees(c, "acos(0.25)"), 75.522488, 1e-6);
}

static void roots_of_squares_are_exact(void **state) {
    Ctx *c = *state;

    equal(c, "sqrt(9/16)", number(3, 4));
    equal(c, "sqrt(3in*3in + 4in*4in)", inches(5, 1));
    equal(c, "sqrt(0)", number(0, 1));
    assert_near(value(c, "sqrt(2)").real, 1.41421356237310, 1e-14);
    /* Noyes, Handwork in Wood (1910), p. 107, brace measure: 18 and 24
     * give 30; 54 and 54 give 76.37. */
    equal(c, "sqrt(18in*18in + 24in*24in)", inches(30, 1));
    assert_near(in_inches(c, "54in * sqrt(2)"), 76.3675, 5e-5);
}

static void values_round_to_a_step(void **state) {
    Ctx *c = *state;

    equal(c, "round(3 5/64in, 1/16in)", inches(49, 16));
    equal(c, "round(3 3/32in, 1/16in)", inches(50, 16));
    equal(c, "round(-3 3/32in, 1/16in)", inches(-50, 16));
    equal(c, "round_up(3 1/64in, 1/16in)", inches(49, 16));
    equal(c, "round_up(3in, 1/16in)", inches(3, 1));
    equal(c, "round_down(3 3/64in, 1/16in)", inches(3, 1));
    equal(c, "round_down(-3 3/64in, 1/16in)", inches(-49, 16));
    equal(c, "round(2.5)", number(3, 1));
    equal(c, "floor(-2.5)", number(-3, 1));
    equal(c, "ceil(2.01)", number(3, 1));
    equal(c, "ceil(sqrt(2)*sqrt(2))", number(2, 1));   // noise is no third
    equal(c, "min(3in, 70mm, 1ft)", mm(70, 1));
    equal(c, "max(3in, 70mm, 1ft)", inches(12, 1));
    equal(c, "abs(-3in)", inches(3, 1));
    assert_near(value(c, "pi").real, 3.14159265358979, 1e-14);
}

/* Computed: n pieces and n - 1 kerfs of 1/8 in from one board. */
static void pieces_are_counted_with_kerf(void **state) {
    Ctx *c = *state;

    equal(c, "count(96in, 12in, 1/8in)", number(7, 1));
    equal(c, "count(96in, 11 7/8in, 1/8in)", number(8, 1));
    equal(c, "count(96in, 24in, 1/8in)", number(3, 1));
    equal(c, "count(48in, 6in, 1/8in)", number(7, 1));
    equal(c, "count(48in, 5 1/2in, 1/8in)", number(8, 1));
    equal(c, "count(96in, 12in)", number(8, 1));
    equal(c, "count(3in, 12in, 1/8in)", number(0, 1));
}

static void gaps_are_equal(void **state) {
    Ctx *c = *state;

    /* Windsor, Mission Furniture II (1910), p. 27, waste basket: three
     * slats of 3/4 in 7-1/2; the gap is computed. */
    equal(c, "gap(7 1/2in, 3/4in, 3)", inches(21, 16));
    equal(c, "gap_between(7 1/2in, 3/4in, 3)", inches(21, 8));
    equal(c, "gap(9in, 3in, 3)", inches(0, 1));
    /* Windsor, part I, p. 95: clear 9-1/4, three slats of 2-1/4. */
    equal(c, "gap(9 1/4in, 2 1/4in, 3)", inches(5, 8));
}

static void arcs_follow_from_chord_and_rise(void **state) {
    Ctx *c = *state;

    /* University of Regina, Math Central QQ.09.06, doorway (172.7), and
     * QQ.09.04, fence; by r = (c^2 + 4h^2)/8h of the Building Trades
     * Pocketbook. */
    assert_near(in_inches(c, "arc_radius(143in, 15 1/2in)"), 172.6613, 5e-5);
    equal(c, "arc_radius(85in, 4in)", inches(22778125, 100000));
    /* Computed by the same rule. */
    equal(c, "arc_radius(24in, 3in)", inches(51, 2));
    equal(c, "arc_radius(48in, 6in)", inches(51, 1));
    equal(c, "arc_radius(36in, 2in)", inches(82, 1));
    equal(c, "arc_radius(600mm, 75mm)", mm(1275, 2));
    equal(c, "arc_radius(1000mm, 50mm)", mm(2525, 1));
}

/* A saw operator's-manual chart (5 to 50 deg, 4 to 10 sides), and below
 * it the hopper rules of Hodgson, division C, computed with the lean from
 * vertical; ours is from level. */
static void compound_miters_agree_with_the_chart(void **state) {
    static const struct { int n, slope; double miter, tilt; } rows[] = {
        { 4, 15, 44.01, 10.55 }, { 4, 30, 40.89, 20.70 },
        { 4, 45, 35.26, 30.00 }, { 4, 60, 26.57, 37.76 },
        { 4, 75, 14.51, 43.08 }, { 5, 15, 35.06, 8.75 },
        { 5, 30, 32.18, 17.09 }, { 5, 75, 10.65, 34.59 },
        { 6, 30, 26.57, 14.48 }, { 6, 60, 16.10, 25.66 },
        { 8, 30, 19.73, 11.03 }, { 8, 45, 16.32, 15.70 },
        { 12, 60, 7.63, 12.95 },
        { 4, 85, 4.98, 44.78 }, { 4, 80, 9.85, 44.14 },
        { 4, 70, 18.88, 41.64 }, { 6, 85, 2.88, 29.87 },
        { 6, 70, 11.17, 28.02 }, { 8, 80, 4.11, 22.14 },
    };
    Ctx *c = *state;

    for (int i = 0; i < COUNT(rows); i++) {
        const char *miter = str_z(c, str_fmt(c, "miter(%d, %ddeg)",
                                             rows[i].n, rows[i].slope));
        const char *tilt  = str_z(c, str_fmt(c, "tilt(%d, %ddeg)",
                                             rows[i].n, rows[i].slope));
        assert_near(in_degrees(c, miter), rows[i].miter, 0.00501);
        assert_near(in_degrees(c, tilt), rows[i].tilt, 0.00501);
    }
}

/* A straight box and a flat frame; some published rules fail here. */
static void plain_miters_are_exact(void **state) {
    Ctx *c = *state;

    equal(c, "miter(4, 0deg)", degrees(45, 1));
    equal(c, "tilt(4, 0deg)", degrees(0, 1));
    equal(c, "miter(8, 90deg)", degrees(0, 1));
    equal(c, "tilt(8, 90deg)", degrees(45, 2));
    equal(c, "tilt(7, 90deg)", degrees(180, 7));
}

static void published_examples_come_out(void **state) {
    Ctx *c = *state;

    /* Foster, Carpentry and Woodwork (1911), ch. XXIII: partition with
     * two tongues of 1/4; drawers in a tier. */
    equal(c, "3in + 2 * 1/4in", inches(7, 2));
    equal(c, "(24 5/8in - 2 * 1/4in - 1/8in) / 4", inches(6, 1));
    /* Windsor, Mission Furniture II, p. 70, bookcase: door end 14; the
     * overhang of the top is computed. */
    equal(c, "(28 3/4in - 3/4in) / 2", inches(14, 1));
    equal(c, "(31 1/4in - 30 1/4in) / 2", inches(1, 2));
    /* Windsor, part I, pp. 17-19: octagon in 16-1/2 square; computed. */
    assert_near(in_inches(c, "16 1/2in * tan(22.5deg)"), 6.8345, 5e-5);
    /* Hodgson, ABC of the Steel Square, pp. 44-46: 12, 6-15/16 and
     * 4-31/32 on the square. */
    equal(c, "12in * tan(180deg / 4)", inches(12, 1));
    assert_near(in_inches(c, "12in * tan(180deg / 6)"), 6.9282, 5e-5);
    assert_near(in_inches(c, "12in * tan(180deg / 8)"), 4.9706, 5e-5);
    equal(c, "round(12in * tan(180deg/6), 1/32in)", inches(6 * 16 + 15, 16));
    /* Builder 3 & 2, US Navy 14044, figure 2-17: 7 in 12 over 8 ft is
     * 111-1/8. */
    assert_near(in_inches(c, "sqrt(7in*7in + 12in*12in) * 8"), 111.1396,
                5e-5);
    equal(c, "round(sqrt(7in*7in + 12in*12in) * 8, 1/16in)",
          inches(889, 8));
    /* Hip for 8 ft of run at 8 in 12, computed; Hodgson p. 68 has 150.24,
     * because he takes 17 for the diagonal of 12. */
    assert_near(in_inches(c, "sqrt(288 + 8*8) * 8 * 1in"), 150.093, 5e-4);
    /* Hodgson pp. 125-132: run of the hip over 12 and 16 ft is 20, line
     * BJ 15; a jack of 15 10/12. */
    equal(c, "sqrt(12ft*12ft + 16ft*16ft)", inches(240, 1));
    equal(c, "12ft * 20 / 16", inches(180, 1));
    equal(c, "19ft * 10 / 12", inches(190, 1));
    /* Builder 3 & 2: 15 risers for 107; Carpentry II, US Army EN5156:
     * 12 treads of 10-1/2 run 10 ft 6 in. */
    equal(c, "floor(107 / 7)", number(15, 1));
    equal(c, "107in / 15 * 15", inches(107, 1));
    equal(c, "12 * 10 1/2in", value(c, "10ft 6in"));
    /* Foster, ch. LI: 20 and 96 board feet. */
    equal(c, "2880cuin / 1bdft", number(20, 1));
    equal(c, "16ft * 12in * 6in / 1bdft", number(96, 1));
    /* Computed: a gallon at 1 mil covers 231000/144 = 1604.17 sqft. */
    assert_near(value(c, "1gal / 0.001in / 1sqft").real, 1604, 0.5);
}

/* ---- The graph ---- */

static void order_in_the_file_does_not_matter(void **state) {
    Ctx   *c = *state;
    Sizes *s = sizes_from(c, "\"rise\": \"tan(pitch) * width / 2\","
                             "\"pitch\": \"45deg\", \"width\": \"2 * t\","
                             "\"t\": {\"is\": \"1/2in\", \"note\": \"dry\"},"
                             "\"n\": 3");

    assert_true(sizes_all(c, s));
    assert_int_equal(quantity_cmp(size(c, s, "rise"), inches(1, 2)), 0);
    assert_int_equal(quantity_cmp(size(c, s, "n"), number(3, 1)), 0);
    assert_int_equal(sizes_count(s), 5);
    assert_str(sizes_at(s, 3)->name, "t");
    assert_str(sizes_at(s, 3)->note, "dry");
    assert_str(sizes_at(s, 3)->formula, "1/2in");
    assert_null(sizes_find(s, STR("height")));
}

static void entries_know_what_they_use(void **state) {
    Ctx             *c = *state;
    Sizes           *s = sizes_from(
        c, "\"a\": \"1in\", \"b\": \"a + max(a, c) * if(1, 1, d / a)\","
           "\"c\": \"2in\", \"d\": \"a\"");
    const SizeEntry *b;

    assert_true(sizes_all(c, s));
    b = sizes_find(s, STR("b"));
    assert_int_equal(b->uses.n, 3);
    assert_int_equal(b->uses.at[0], 0);
    assert_int_equal(b->uses.at[1], 2);
    assert_int_equal(b->uses.at[2], 3);
    assert_int_equal(sizes_find(s, STR("a"))->uses.n, 0);
}

static void names_may_hold_spaces_and_dots(void **state) {
    Ctx   *c = *state;
    Sizes *s = sizes_from(c, "\"top rail 2\": \"3in\","
                             "\"x\": \"top rail 2*2 - top rail 2\","
                             "\"\xC3\xA4hre\": \"1in\","
                             "\"y\": \"\xC3\xA4hre + 1in\"");

    sizes_set(c, s, STR("left wall.top"), inches(5, 1), "its place");
    assert_int_equal(quantity_cmp(size(c, s, "x"), inches(3, 1)), 0);
    assert_int_equal(quantity_cmp(size(c, s, "y"), inches(2, 1)), 0);
    assert_int_equal(quantity_cmp(size(c, s, "left wall.top"),
                                  inches(5, 1)), 0);
    assert_str(sizes_find(s, STR("left wall.top"))->note, "its place");
    assert_int_equal(c->errors, 0);
    /* "/l" of a rate is a liter, but "l.top" and "l 2" are names. */
    s = sizes_from(c, "\"l 2\": \"2in\", \"x\": \"10in/l.top\","
                      "\"y\": \"10in/l 2\", \"z\": \"10in/m\"");
    sizes_set(c, s, STR("l.top"), inches(5, 1), "its place");
    assert_int_equal(quantity_cmp(size(c, s, "x"), number(2, 1)), 0);
    assert_int_equal(quantity_cmp(size(c, s, "y"), number(5, 1)), 0);
    assert_int_equal(quantity_cmp(size(c, s, "z"), number(127, 500)), 0);
    assert_int_equal(c->errors, 0);
}

/* The one message of a case: its code, and the bytes it points at. */
static void one_message(Ctx *c, DiagCode code, const char *there) {
    const Diag *d = &c->diags.at[0];
    Str         at;

    if (c->diags.n != 1)
        fail_msg("%d messages for %s: %.*s", c->diags.n, there,
                 STR_ARG(diags_text(c)));
    at = str_part(c->sources.at[d->loc.file].text, d->loc.begin, d->loc.end);
    if (d->code != code)
        fail_msg("%s for %s", diag_name(d->code), there);
    if (!str_is(at, there))
        fail_msg("place is '%.*s', should be '%s'", STR_ARG(at), there);
}

static void a_cycle_is_one_message_with_its_path(void **state) {
    Ctx   *c = *state;
    Sizes *s = sizes_from(c, "\"user\": \"depth * 2\","
                             "\"width\": \"height + 1in\","
                             "\"height\": \"depth / 2\","
                             "\"depth\": \"max(1in, width)\"");

    assert_false(sizes_all(c, s));
    one_message(c, CYCLE, "\"height + 1in\"");
    assert_str(c->diags.at[0].what, "the size 'width' depends on itself: "
               "width \xE2\x86\x92 height \xE2\x86\x92 depth "
               "\xE2\x86\x92 width");
    assert_true(size(c, s, "user").poison && size(c, s, "depth").poison);
}

static void a_size_may_not_name_itself(void **state) {
    Ctx *c = *state;

    assert_false(sizes_all(c, sizes_from(c, "\"width\": \"width\"")));
    one_message(c, CYCLE, "\"width\"");
}

static void an_unknown_name_suggests_the_nearest(void **state) {
    Ctx   *c = *state;
    Sizes *s = sizes_from(c, "\"width\": \"22in\","
                             "\"half\": \"1in + widht / 2\","
                             "\"quarter\": \"half / 2 + half\"");

    assert_false(sizes_all(c, s));
    one_message(c, UNKNOWN_NAME, "widht");
    assert_str(c->diags.at[0].what, "there is no size 'widht'");
    assert_str(c->diags.at[0].hint, "did you mean 'width'?");
}

static void a_scope_comes_first(void **state) {
    Ctx          *c    = *state;
    Sizes        *s    = sizes_from(c, "\"length\": \"10in\","
                                       "\"width\": \"4in\"");
    const Design *part = design_parse(c, source_add(c, "part.json", STR(
        "{\"rodbook\": 1, \"a\": {\"length\": \"length + 1in\","
        " \"area\": \"length * width\"}, \"e\": \"length\","
        " \"f\": \"lenght\"}")));
    const Node   *a    = node_find(part->root, "a");
    const Dim     need = DIM_LENGTH;
    Quantity      q;

    /* Its own name means the outer one. */
    sizes_define(c, s, STR("A.length"), node_find(a, "length"), &need);
    sizes_define(c, s, STR("A.area"), node_find(a, "area"), NULL);
    assert_true(sizes_all(c, s));
    assert_int_equal(quantity_cmp(size(c, s, "A.length"), inches(11, 1)), 0);
    assert_near(size(c, s, "A.area").real, 44 * 645.16, 1e-9);
    q = eval_node(c, s, "A.", node_find(part->root, "e"), DIM_LENGTH);
    assert_int_equal(quantity_cmp(q, inches(11, 1)), 0);
    q = eval_node(c, s, "", node_find(part->root, "e"), DIM_LENGTH);
    assert_int_equal(quantity_cmp(q, inches(10, 1)), 0);
    q = eval_node(c, s, "A.", node_find(part->root, "f"), DIM_LENGTH);
    assert_true(q.poison);
    one_message(c, UNKNOWN_NAME, "lenght");
}

static bool know_walls(Ctx *c, void *who, Str name, Loc at, Quantity *value) {
    int *asked = who;

    (void)c;
    (void)at;
    ++*asked;
    if (!str_is(name, "left wall.top"))
        return false;
    *value = inches(9, 1);
    return true;
}

static void the_hook_is_asked_last(void **state) {
    Ctx   *c     = *state;
    int    asked = 0;
    Sizes *s     = sizes_from(c, "\"t\": \"1in\","
                                 "\"a\": \"left wall.top + t\","
                                 "\"b\": \"left wall.tip\"");

    sizes_hook(s, know_walls, &asked);
    assert_int_equal(quantity_cmp(size(c, s, "a"), inches(10, 1)), 0);
    assert_int_equal(asked, 1);
    assert_true(size(c, s, "b").poison);
    one_message(c, UNKNOWN_NAME, "left wall.tip");
}

static void a_name_is_defined_once(void **state) {
    Ctx          *c = *state;
    Sizes        *s = sizes_from(c, "\"width\": \"22in\"");
    const Design *d = design_parse(c, source_add(
        c, "more.json", STR("{\"rodbook\":1,\"width\":\"3in\"}")));

    sizes_define(c, s, STR("width"), node_find(d->root, "width"), NULL);
    one_message(c, JSON_DUPLICATE, "\"width\"");
    assert_int_equal(quantity_cmp(size(c, s, "width"), inches(22, 1)), 0);
}

static void long_chains_are_no_trouble(void **state) {
    Ctx *c = *state;
    Buf  b = BUF(c);

    for (int i = 0; i < 900; i++)   // each needs the one behind it
        buf_add(&b, "\"s%d\": \"s%d + 1in\",", i, i + 1);
    buf_add(&b, "\"s900\": \"1in\"");
    assert_true(sizes_all(c, sizes_from(c, str_z(c, buf_done(&b)))));
    b = BUF(c);
    buf_add(&b, "\"s0\": \"1in\"");
    for (int i = 1; i < 50000; i++)
        buf_add(&b, ",\"s%d\": \"s%d + 1in\"", i, i - 1);
    assert_true(sizes_all(c, sizes_from(c, str_z(c, buf_done(&b)))));
    b = BUF(c);
    for (int i = 0; i < 50000; i++)   // too deep, but no crash
        buf_add(&b, "\"s%d\": \"s%d + 1in\",", i, i + 1);
    buf_add(&b, "\"s50000\": \"1in\"");
    assert_false(sizes_all(c, sizes_from(c, str_z(c, buf_done(&b)))));
    assert_int_equal(has_diag(c, OUT_OF_RANGE), c->errors);
}

static void the_dump_tells_values_and_formulas(void **state) {
    Ctx   *c   = *state;
    Buf    out = BUF(c);
    Sizes *s   = sizes_from(c, "\"t\": {\"is\": \"1/2in\","
                               " \"note\": \"measure\"}, \"w\": \"t * 3\"");

    assert_true(sizes_all(c, s));
    sizes_dump(&out, s);
    assert_str(buf_done(&out), "t = 1/2 in   (1/2in)   // measure\n"
                               "w = 1 1/2 in   (t * 3)\n");
}

/* ---- Messages ---- */

/* The formula is refused with this code, at these bytes, once. */
static void wrong(const char *formula, DiagCode code, const char *there) {
    Ctx      ctx, *c = &ctx;
    Quantity q;

    ctx_init(c, &real_files);
    q = value(c, formula);
    if (!q.poison)
        fail_msg("accepted: %s", formula);
    one_message(c, code, there);
    ctx_free(c);
}

static void sides_of_different_kind_are_named(void **state) {
    Ctx *c = *state;

    value(c, "22in + 30deg");
    one_message(c, UNIT_MISMATCH, "+");
    assert_str(c->diags.at[0].what,
               "cannot add an angle (30 deg) to a length (22 in)");
    wrong("22in - 30deg", UNIT_MISMATCH, "-");
    wrong("22in < 3lb", UNIT_MISMATCH, "<");
    wrong("22in + 3", UNIT_MISSING, "+");
    wrong("3 - 22in", UNIT_MISSING, "-");
    wrong("22in > 3", UNIT_MISSING, ">");
    wrong("max(1in, 2in, 3deg)", UNIT_MISMATCH, "3deg");
    wrong("min(1in, 2)", UNIT_MISSING, "2");
    wrong("if(3in, 1, 2)", UNIT_MISMATCH, "3in");
}

static void a_missing_unit_has_the_likely_one_as_hint(void **state) {
    Ctx          *c = *state;
    const Design *d = design_parse(c, source_add(c, "a", STR(
        "{\"rodbook\": 1, \"a\": \" 3 3/4 \"}")));
    Sizes        *s = sizes_new(c);

    assert_true(eval_node(c, s, "", node_find(d->root, "a"),
                          DIM_LENGTH).poison);
    one_message(c, UNIT_MISSING, "3 3/4");
    assert_str(c->diags.at[0].what,
               "a length is due here, but 3.75 has no unit");
    assert_str(c->diags.at[0].hint, "write the unit: 3.75in or 3.75mm");
}

static void syntax_errors_point_at_the_spot(void **state) {
    (void)state;
    wrong("3in +", FORMULA_SYNTAX, "");
    wrong("3in * / 2", FORMULA_SYNTAX, "/");
    wrong("(3in + 2in", FORMULA_SYNTAX, "");
    wrong("3in)", FORMULA_SYNTAX, ")");
    wrong("3in 4in", FORMULA_SYNTAX, "4in");
    wrong("7in 12", FORMULA_SYNTAX, "12");
    wrong("7 in 12in", FORMULA_SYNTAX, "12in");
    wrong("2' 6", FORMULA_SYNTAX, "6");
    wrong("2'-6in", FORMULA_SYNTAX, "2'-6");
    wrong("9,5cm", FORMULA_SYNTAX, ",");
    wrong("3in # 2", FORMULA_SYNTAX, "#");
    wrong("1 == 2", FORMULA_SYNTAX, "==");
    wrong("1 < 2 < 3", FORMULA_SYNTAX, "<");
    wrong("3in ^ 2", FORMULA_SYNTAX, "^");
    wrong("$", FORMULA_SYNTAX, "$");
    wrong("max(1in,)", FORMULA_SYNTAX, ")");
    wrong("max()", FORMULA_SYNTAX, "max()");
    wrong("1 + sqrt(1, 2) * 2", FORMULA_SYNTAX, "sqrt(1, 2)");
    wrong("1 \xE2\x82\xAC", FORMULA_SYNTAX, "\xE2\x82\xAC");
    wrong("3in 2 +", FORMULA_SYNTAX, "2");
}

static void empty_formulas_are_refused(void **state) {
    Ctx *c = *state;

    assert_true(value(c, "  ").poison);
    one_message(c, FORMULA_SYNTAX, "  ");
}

static void unknown_units_and_functions_are_named(void **state) {
    Ctx *c = *state;

    value(c, "1in + 3 inches");
    one_message(c, UNKNOWN_UNIT, "inches");
    assert_str(c->diags.at[0].hint, "write 'in'");
    wrong("3 cubits", UNKNOWN_UNIT, "cubits");
    wrong("2width", UNKNOWN_UNIT, "width");
    wrong("rond(3in, 1in)", UNKNOWN_NAME, "rond");
    wrong("1 + sin", UNKNOWN_NAME, "sin");
}

static void values_out_of_range_are_refused(void **state) {
    (void)state;
    wrong("3in / 0", OUT_OF_RANGE, "/");
    wrong("3in / (2in - 2in)", OUT_OF_RANGE, "/");
    wrong("1 + 3/0in", OUT_OF_RANGE, "3/0");
    wrong("tan(90deg)", OUT_OF_RANGE, "90deg");
    wrong("sqrt(2 - 3)", OUT_OF_RANGE, "2 - 3");
    wrong("sqrt(3in)", UNIT_MISMATCH, "3in");
    wrong("sin(30)", UNIT_MISSING, "30");
    wrong("asin(1.5)", OUT_OF_RANGE, "1.5");
    wrong("round(3in, 0in)", OUT_OF_RANGE, "0in");
    wrong("round(3in)", UNIT_MISMATCH, "3in");
    wrong("round(3in, 1)", UNIT_MISSING, "1");
    wrong("count(96in, 0in, 0in)", OUT_OF_RANGE, "0in");
    wrong("gap(9in, 4in, 3)", OUT_OF_RANGE, "gap(9in, 4in, 3)");
    wrong("gap(9in, 1in, 2.5)", OUT_OF_RANGE, "2.5");
    wrong("gap_between(9in, 1in, 1)", OUT_OF_RANGE, "1");
    wrong("arc_radius(24in, 0in)", OUT_OF_RANGE, "0in");
    wrong("miter(2, 30deg)", OUT_OF_RANGE, "2");
    wrong("tilt(4, 95deg)", OUT_OF_RANGE, "95deg");
    wrong("atan2(0, 0)", OUT_OF_RANGE, "0");
}

static void numbers_stay_finite(void **state) {
    Ctx *c = *state;
    Buf  b = BUF(c);

    for (int i = 0; i < 400; i++)
        buf_add(&b, "9");
    wrong(str_z(c, buf_done(&b)), NOT_FINITE, str_z(c, buf_done(&b)));
    b.n = 200;
    equal(c, str_z(c, str_fmt(c, "%.*s > 1", STR_ARG(buf_done(&b)))),
          number(1, 1));
    assert_true(value(c, str_z(c, str_fmt(c, "%.*s * %.*s",
                                          STR_ARG(buf_done(&b)),
                                          STR_ARG(buf_done(&b))))).poison);
    assert_int_equal(has_diag(c, NOT_FINITE), 1);
}

static void formulas_have_a_limit(void **state) {
    Ctx *c = *state;
    Buf  b = BUF(c);

    for (int i = 0; i < 100000; i++)
        buf_add(&b, "(");
    assert_true(value(c, str_z(c, buf_done(&b))).poison);
    b = BUF(c);
    for (int i = 0; i < 100000; i++)
        buf_add(&b, "1+");
    buf_add(&b, "1");
    assert_true(value(c, str_z(c, buf_done(&b))).poison);
    assert_int_equal(has_diag(c, FORMULA_SYNTAX), 2);
    assert_int_equal(c->errors, 2);
    b = BUF(c);
    for (int i = 0; i < 900; i++)
        buf_add(&b, "1+");
    buf_add(&b, "1");
    assert_near(value(c, str_z(c, buf_done(&b))).real, 901, 0);
    b = BUF(c);
    for (int i = 0; i < 200; i++)
        buf_add(&b, "-1+");
    buf_add(&b, "(1)");
    assert_near(value(c, str_z(c, buf_done(&b))).real, -199, 0);
}

static void names_of_sizes_are_checked(void **state) {
    Ctx   *c = *state;
    Sizes *s = sizes_from(c, "\"2nd\": \"1in\", \"m\": \"1in\","
                             "\"pi\": \"1in\", \"a-b\": \"1in\","
                             "\"w\": {\"is\": \"1in\", \"nte\": \"x\"},"
                             "\"v\": {\"note\": \"x\"}, \"u\": [1]");

    assert_false(sizes_all(c, s));
    assert_int_equal(has_diag(c, BAD_CHOICE), 4);
    assert_int_equal(has_diag(c, UNKNOWN_KEY), 1);
    assert_int_equal(has_diag(c, MISSING_KEY), 1);
    assert_int_equal(has_diag(c, WRONG_KIND), 1);
    assert_int_equal(c->errors, 7);
}

/* ---- Nodes ---- */

static const char mixed[] =
    "{\"rodbook\": 1, \"n\": 3, \"len\": 3, \"text\": \"2 + 2\","
    " \"half\": 2.5, \"say\": \"Cut {width / 2} off.\", \"list\": [],"
    " \"price\": 7.40, \"wide\": \"22in\", \"deg\": \"30deg\"}";

static void numbers_may_stand_without_quotes(void **state) {
    Ctx        *c    = *state;
    Sizes      *s    = sizes_from(c, "\"width\": \"22in\"");
    const Node *root = design_parse(c, source_add(c, "a", STR(mixed)))->root;
    Quantity    q    = eval_member(c, s, "", root, "n", DIM_NUMBER, POISON);

    assert_int_equal(quantity_cmp(q, number(3, 1)), 0);
    q = eval_member(c, s, "", root, "price", DIM_MONEY, POISON);
    assert_int_equal(quantity_cmp(q, quantity_exact(37, 5, DIM_MONEY)), 0);
    q = eval_member(c, s, "", root, "none", DIM_LENGTH, inches(1, 1));
    assert_int_equal(quantity_cmp(q, inches(1, 1)), 0);
    assert_int_equal(c->errors, 0);
    q = eval_member(c, s, "", root, "len", DIM_LENGTH, POISON);
    assert_true(q.poison);
    one_message(c, UNIT_MISSING, "3");
    assert_true(eval_node(c, s, "", NULL, DIM_LENGTH).poison);
    assert_true(eval_member(c, s, "", root, "deg", DIM_LENGTH,
                            POISON).poison);
    assert_int_equal(has_diag(c, UNIT_MISMATCH), 1);
    assert_true(eval_member(c, s, "", root, "list", DIM_LENGTH,
                            POISON).poison);
    assert_int_equal(has_diag(c, WRONG_KIND), 1);
}

static void counts_are_whole_and_in_range(void **state) {
    Ctx        *c    = *state;
    Sizes      *s    = sizes_new(c);
    const Node *root = design_parse(c, source_add(c, "a", STR(mixed)))->root;

    assert_int_equal(eval_count(c, s, "", root, "n", 1, 1, 9), 3);
    assert_int_equal(eval_count(c, s, "", root, "text", 1, 1, 9), 4);
    assert_int_equal(eval_count(c, s, "", root, "none", 7, 1, 9), 7);
    assert_int_equal(c->errors, 0);
    assert_int_equal(eval_count(c, s, "", root, "half", 1, 1, 9), 1);
    one_message(c, OUT_OF_RANGE, "2.5");
    assert_int_equal(eval_count(c, s, "", root, "n", 1, 4, 9), 1);
    assert_int_equal(eval_count(c, s, "", root, "wide", 1, 1, 9), 1);
    assert_int_equal(c->errors, 3);
    assert_int_equal(eval_count(c, s, "", root, "text", 1, 1, 3), 1);
    assert_int_equal(c->errors, 4);
}

static void a_span_of_words_is_evaluated_in_place(void **state) {
    Ctx        *c    = *state;
    Sizes      *s    = sizes_from(c, "\"width\": \"22in\"");
    const Node *root = design_parse(c, source_add(c, "a", STR(mixed)))->root;
    const Node *say  = node_find(root, "say");
    const Dim   area = DIM_AREA;
    Quantity    q    = eval_span(c, s, "", say, 5, 14, NULL);

    assert_int_equal(quantity_cmp(q, inches(11, 1)), 0);
    assert_true(eval_span(c, s, "", say, 5, 14, &area).poison);
    one_message(c, UNIT_MISMATCH, "width / 2");
}

static void a_mistake_is_told_once_however_often_asked(void **state) {
    Ctx        *c    = *state;
    Sizes      *s    = sizes_new(c);
    const Node *root = design_parse(c, source_add(c, "a", STR(
        "{\"rodbook\": 1, \"a\": \"1in + wdth\"}")))->root;

    for (int i = 0; i < 3; i++)
        assert_true(eval_member(c, s, "", root, "a", DIM_LENGTH,
                                POISON).poison);
    one_message(c, UNKNOWN_NAME, "wdth");
}

/* ---- Broken input ---- */

/* Poison and messages go together, whatever the bytes. */
static void survives(const char *formula, size_t n) {
    Ctx    ctx, *c = &ctx;
    Buf    b;
    Sizes *s;
    bool   ok;

    ctx_init(c, &real_files);
    b = BUF(c);
    buf_add(&b, "\"width\": \"22in\", \"x\": ");
    buf_json(&b, (Str){ formula, n });
    s  = sizes_from(c, str_z(c, buf_done(&b)));
    ok = sizes_all(c, s);
    if (ok != (c->errors == 0))
        fail_msg("%d errors for: %.*s", c->errors, (int)n, formula);
    diags_text(c);
    b = BUF(c);
    sizes_dump(&b, s);
    ctx_free(c);
}

static void broken_formulas_are_survived(void **state) {
    static const char *const formulas[] = {
        "if(width < 2' 6 1/2\", count(96in, 3-3/4in, 1/8in), 7)",
        "round_up(tan(7 in 12) * (width - 2 * 1/16in), 1/16in) / 3",
        "350 sqft/gal * 2 gal + -$7.40/ft * 3.5 mm",
        "max(12 lb 3 oz, 1 1/2kg) <> arc_radius(143in, 15 1/2in)",
    };
    static const char bytes[] = "\"'()*+,-./09<=> $iwm_t^\t\x7F";
    char broken[80];

    (void)state;
    for (int f = 0; f < COUNT(formulas); f++) {
        size_t n = strlen(formulas[f]);
        assert_true(n < sizeof broken);
        for (size_t i = 0; i <= n; i++) {
            survives(formulas[f], i);
            survives(formulas[f] + i, n - i);
            for (size_t k = 0; i < n && k + 1 < sizeof bytes; k++) {
                memcpy(broken, formulas[f], n);
                broken[i] = bytes[k];
                survives(broken, n);
            }
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(inch_fractions_are_written_in_many_ways),
        TEST(feet_and_inches_are_one_length),
        TEST(metric_lengths_are_exact),
        TEST(a_fraction_before_a_unit_is_one_value),
        TEST(slopes_are_angles),
        TEST(other_measures_have_units_too),
        TEST(shown_lengths_read_back),
        TEST(operators_bind_as_in_school),
        TEST(comparisons_give_one_or_zero),
        TEST(only_the_taken_branch_counts),
        TEST(nice_angles_stay_exact),
        TEST(roots_of_squares_are_exact),
        TEST(values_round_to_a_step),
        TEST(pieces_are_counted_with_kerf),
        TEST(gaps_are_equal),
        TEST(arcs_follow_from_chord_and_rise),
        TEST(compound_miters_agree_with_the_chart),
        TEST(plain_miters_are_exact),
        TEST(published_examples_come_out),
        TEST(order_in_the_file_does_not_matter),
        TEST(entries_know_what_they_use),
        TEST(names_may_hold_spaces_and_dots),
        TEST(a_cycle_is_one_message_with_its_path),
        TEST(a_size_may_not_name_itself),
        TEST(an_unknown_name_suggests_the_nearest),
        TEST(a_scope_comes_first),
        TEST(the_hook_is_asked_last),
        TEST(a_name_is_defined_once),
        TEST(long_chains_are_no_trouble),
        TEST(the_dump_tells_values_and_formulas),
        TEST(sides_of_different_kind_are_named),
        TEST(a_missing_unit_has_the_likely_one_as_hint),
        TEST(syntax_errors_point_at_the_spot),
        TEST(empty_formulas_are_refused),
        TEST(unknown_units_and_functions_are_named),
        TEST(values_out_of_range_are_refused),
        TEST(numbers_stay_finite),
        TEST(formulas_have_a_limit),
        TEST(names_of_sizes_are_checked),
        TEST(numbers_may_stand_without_quotes),
        TEST(counts_are_whole_and_in_range),
        TEST(a_span_of_words_is_evaluated_in_place),
        TEST(a_mistake_is_told_once_however_often_asked),
        TEST(broken_formulas_are_survived),
    };

    return cmocka_run_group_tests_name("eval", tests, NULL, NULL);
}
