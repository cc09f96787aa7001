/* Slats, courses and temporary pieces: where they stand, what formulas may
 * know of them, and what is wrong with them. Check values are worked out
 * beside each from geometry alone. */
#include "unit/design_text.h"

#define BATTEN                                                            \
    "'parts': {'B': {'name': 'Batten', 'from': 'board',"                  \
    " 'length': '20in', 'width': '2in'}}"

static const char *slats(Ctx *c, const char *members, const char *more) {
    return str_z(c, str_fmt(c, BOARD "," BATTEN ","
        "'pieces': [{'part': 'B', 'as': 'slat', 'at': ['1in', '0in', '5in'],"
        " 'slats': {%s}%s}]", members, more));
}

static Quantity value_of(const Model *m, const char *formula) {
    for (int i = 0; i < m->about.n; i++) {
        if (str_is(m->about.at[i].source, formula))
            return m->about.at[i].value;
    }
    fail_msg("%s is not in the text", formula);
    return POISON;
}

/* ---- Slats ---- */

/* 36 - 7 * 2 = 22 in of air in 8 gaps: 2 3/4 in each. */
static void slats_with_end_gaps_stand_evenly_from_the_datum(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, slats(c, "'along': 'front-back',"
        "'from': '1in', 'to': '37in', 'count': 7", ""));

    assert_int_equal(m->pieces.n, 7);
    for (int i = 0; i < 7; i++) {
        const Piece *p = piece_called(m, str_z(c, str_fmt(c, "slat %d",
                                                          i + 1)));
        assert_near(p->box.min.y, (1 + 2.75 + i * 4.75) * INCH, 1e-9);
        assert_near(p->box.max.y - p->box.min.y, 2 * INCH, 1e-9);
        assert_near(p->box.min.x, 1 * INCH, 1e-9);
        assert_near(p->box.min.z, 5 * INCH, 1e-9);
    }
}

/* 36 - 4 * 2 = 28 in of air in 3 gaps: 9 1/3 in, to the bit. */
static void slats_without_end_gaps_end_at_both_places(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, slats(c, "'along': 'front-back',"
        "'from': '0in', 'to': '36in', 'count': 4, 'ends': 'piece'", ""));

    assert_int_equal(m->pieces.n, 4);
    assert_near(m->pieces.at[0].box.min.y, 0, 1e-9);
    assert_near(m->pieces.at[3].box.max.y, 36 * INCH, 1e-9);
    assert_int_equal(m->spacings.n, 1);
    assert_int_equal(quantity_cmp(m->spacings.at[0].gap,
                                  quantity_inches(28, 3)), 0);
    assert_int_equal(quantity_cmp(m->spacings.at[0].starts.at[2],
                                  quantity_inches(68, 3)), 0);
}

/* At most 1 in of air between slats of 2 in in 36 in: n + 1 gaps, so
 * (36 - 2 n) / (n + 1) <= 1, n >= 35 / 3: 12 slats, gaps of 12/13 in. */
static void the_largest_gap_takes_the_fewest_slats_that_keep_it(
        void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, slats(c, "'along': 'front-back',"
        "'from': '0in', 'to': '36in', 'largest gap': '1in'", ""));

    assert_int_equal(m->pieces.n, 12);
    assert_int_equal(quantity_cmp(m->spacings.at[0].gap,
                                  quantity_inches(12, 13)), 0);
    m = model_of(c, slats(c, "'along': 'front-back', 'from': '0in',"
        "'to': '37in', 'largest gap': '1in'", ""));   // 12 fit exactly
    assert_int_equal(m->pieces.n, 12);
    assert_int_equal(quantity_cmp(m->spacings.at[0].gap,
                                  quantity_inches(1, 1)), 0);
}

static void a_given_gap_must_come_out_whole(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, slats(c, "'along': 'front-back',"
        "'from': '0in', 'to': '37in', 'gap': '1in'", ""));

    assert_int_equal(m->pieces.n, 12);
    assert_null(try_model(c, slats(c, "'along': 'front-back',"
        "'from': '0in', 'to': '36in', 'gap': '1in'", "")));
    assert_int_equal(has_diag(c, NOT_WHOLE), 1);
}

/* Turned by 30 deg about its length, a batten is 2 cos 30 + 3/4 sin 30
 * deep from front to back. */
static void turned_slats_are_spaced_by_what_they_fill(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, slats(c, "'along': 'front-back',"
        "'from': '0in', 'to': '20in', 'count': 3",
        ", 'turns': [{'about': 'left-right', 'by': '30deg'}]"));
    double wide = (2 * cos(30 * DEG) + .75 * sin(30 * DEG)) * INCH;
    double gap  = (20 * INCH - 3 * wide) / 4;

    for (int i = 0; i < 3; i++) {
        assert_near(m->pieces.at[i].box.min.y, gap + i * (wide + gap),
                    1e-3);
        assert_near(m->pieces.at[i].box.max.y, (i + 1) * (wide + gap),
                    1e-3);
    }
}

static void slats_tell_their_gap_count_and_step(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, str_z(c, str_fmt(c,
        "'about': '{slat.gap} {slat.count} {slat.step} {slat.back}', %s",
        slats(c, "'along': 'front-back', 'from': '0in', 'to': '36in',"
        "'count': 7", ""))));

    assert_str(shown(c, value_of(m, "slat.gap")), "2 3/4 in");
    assert_str(shown(c, value_of(m, "slat.count")), "7");
    assert_str(shown(c, value_of(m, "slat.step")), "4 3/4 in");
    assert_str(shown(c, value_of(m, "slat.back")), "33 1/4 in");
}

static void slats_that_do_not_fit_are_an_error(void **state) {
    Ctx *c = *state;

    assert_null(try_model(c, slats(c, "'along': 'front-back',"
        "'from': '0in', 'to': '10in', 'count': 6", "")));
    assert_int_equal(has_diag(c, OUT_OF_RANGE), 1);
    assert_null(try_model(c, slats(c, "'along': 'front-back',"
        "'from': '0in', 'to': '10in'", "")));
    assert_int_equal(has_diag(c, MISSING_KEY), 1);
    assert_null(try_model(c, slats(c, "'along': 'front-back',"
        "'from': '0in', 'to': '10in', 'count': 2, 'gap': '1in'", "")));
    assert_int_equal(has_diag(c, MISSING_KEY), 2);
}

static void a_field_of_slats_is_mirrored_and_repeated(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, slats(c, "'along': 'front-back',"
        "'from': '0in', 'to': '10in', 'count': 2",
        ", 'rows': [{'count': 3, 'step': ['0in', '0in', '4in']}],"
        " 'mirror': {'across': 'left-right', 'at': '40in', 'as': 'right'}"));

    assert_int_equal(m->pieces.n, 12);
    assert_near(piece_called(m, "slat 2")->box.min.y, 6 * INCH, 1e-9);
    assert_near(piece_called(m, "slat 3")->box.min.z, 9 * INCH, 1e-9);
    assert_near(piece_called(m, "right 2")->box.max.x, 79 * INCH, 1e-9);
}

/* ---- Courses ---- */

#define THIN                                                              \
    "'stock': {'board': {'thickness': '3/4in', 'width': '11 1/4in',"      \
    " 'sold': [{'length': '8ft'}]}, 'leaf': {'thickness': '1/4in',"       \
    " 'width': '11in', 'sold': [{'length': '8ft'}]}}"

/* A deck 24 in across and 20 in uphill, at 30 deg, its lower edge in front;
 * slips 6 x 4 in on it, and K that carries the first. */
static const char *roof(Ctx *c, const char *courses, const char *parts,
                        const char *more) {
    return str_z(c, str_fmt(c, THIN ","
        "'parts': {'J': {'name': 'Deck', 'from': 'board', 'length': '24in',"
        " 'width': '20in', 'joined': true},"
        " 'L': {'name': 'Slip', 'from': 'leaf', 'length': '6in',"
        " 'width': '4in'}%s},"
        "'pieces': [{'part': 'J', 'as': 'deck', 'at': ['0in', '0in', '9in'],"
        " 'turns': [{'about': 'left-right', 'by': '30deg'}]},"
        "{'as': 'roof', 'courses': {'full': 'L', 'on': 'deck', %s}%s}]",
        parts, courses, more));
}

#define HALF                                                              \
    ", 'M': {'name': 'Half', 'from': 'leaf', 'length': '6in',"            \
    " 'width': '2in'}"

static double touching(const Model *m, int a, int b) {
    for (int i = 0; i < m->contacts.n; i++) {
        const Contact *k = &m->contacts.at[i];
        if ((k->a == a && k->b == b) || (k->a == b && k->b == a))
            return k->edge ? 0 : k->area;
    }
    return -1;
}

static int index_called(const Model *m, const char *name) {
    return (int)(piece_called(m, name) - m->pieces.at);
}

/* sin(tilt) = 1/4 / 4; the lower ends stand 6 in * sin(tilt) = 3/8 in over
 * the deck, square to it, and 1 in beyond its edge. */
static void every_course_lies_on_the_one_below_and_on_the_deck(
        void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, roof(c,
        "'exposure': '4in', 'first': '1in'", "", ""));
    const Piece *p = piece_called(m, "roof 1 1");
    V3 up  = v3(0, cos(30 * DEG), sin(30 * DEG));
    V3 out = v3(0, -sin(30 * DEG), cos(30 * DEG));
    V3 at  = v3_sub(p->frame.o, v3(0, 0, 9 * INCH));

    assert_near(v3_dot(at, up), -1 * INCH, 1e-9);
    assert_near(v3_dot(at, out), (.75 + .375) * INCH, 1e-9);
    assert_near(v3_dot(p->frame.x, out), -1.0 / 16, 1e-12);
    assert_near(v3_dot(p->frame.z, out), sqrt(1 - 1.0 / 256), 1e-12);
    for (int i = 1; i < 4; i++) {
        int above = index_called(m, str_z(c, str_fmt(c, "roof %d 3",
                                                     i + 1)));
        int below = index_called(m, str_z(c, str_fmt(c, "roof %d 3", i)));
        /* They lie on each other over 6 in less the 4 cos(tilt) that the
         * one below shows. */
        double lap = (6 - 4 * sqrt(1 - 1.0 / 256)) * 4 * INCH * INCH;
        assert_near(touching(m, above, below), lap, 1);
        assert_near(touching(m, above, 0), 0, 1e-9);   // its upper edge
    }
}

static const Model *told(Ctx *c, const char *courses, const char *parts) {
    return model_of(c, str_z(c, str_fmt(c,
        "'about': '{roof.courses} {roof.across} {roof.tilt} {roof.lift}"
        " {roof.bare} {roof.starter} {roof.exposure} {roof.last}', %s",
        roof(c, courses, parts, ""))));
}

/* The upper end of course n is (n - 1) * 4 + 6 cos(tilt) - 1 up the deck:
 * 4 courses end at 16.99 in, a fifth would at 20.99 of 20. */
static void courses_tell_what_they_work_out(void **state) {
    Ctx         *c = *state;
    const Model *m = told(c, "'exposure': '4in', 'first': '1in'", "");
    double tilt = asin(1.0 / 16), reach = 6 * cos(tilt);

    assert_near(value_of(m, "roof.courses").real, 4, 0);
    assert_near(value_of(m, "roof.across").real, 6, 0);
    assert_near(value_of(m, "roof.tilt").real, tilt / DEG, 1e-9);
    assert_near(value_of(m, "roof.lift").real, .375 * INCH, 1e-6);
    assert_near(value_of(m, "roof.bare").real,
                (20 - (3 * 4 - 1 + reach)) * INCH, 1e-3);
    assert_near(value_of(m, "roof.starter").real,
                (reach - 1) * tan(tilt) * INCH, 1e-3);
    assert_str(shown(c, value_of(m, "roof.exposure")), "4 in");
    assert_near(value_of(m, "roof.last").real, 6 * INCH, 1e-9);
}

/* Given the count, the exposure is such that the last course ends at the
 * upper edge: nothing is left bare. */
static void a_count_of_courses_finds_the_exposure(void **state) {
    Ctx         *c = *state;
    const Model *m = told(c, "'count': 5, 'first': '1in'", "");
    double e = value_of(m, "roof.exposure").real / INCH;

    assert_near(value_of(m, "roof.bare").real, 0, 1e-6);
    assert_near(4 * e - 1 + 6 * cos(asin(.25 / e)), 20, 1e-6);
    assert_int_equal(m->pieces.n, 1 + 5 * 6);
}

static void every_second_course_begins_and_ends_with_a_half(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, roof(c,
        "'half': 'M', 'exposure': '4in', 'first': '1in'", HALF, ""));

    assert_int_equal(part_called(m, "L")->quantity, 6 + 5 + 6 + 5);
    assert_int_equal(part_called(m, "M")->quantity, 4);
    assert_int_equal(piece_called(m, "roof 2 1")->part,
                     model_find_part(m, STR("M")));
    assert_int_equal(piece_called(m, "roof 2 7")->part,
                     model_find_part(m, STR("M")));
    assert_near(fabs(piece_called(m, "roof 2 2")->box.min.x
                     - piece_called(m, "roof 1 1")->box.min.x), 2 * INCH,
                1e-6);
    assert_str(piece_called(m, "roof 2 7")->group, "roof course 2");
    assert_str(piece_called(m, "roof 2 7")->set, "roof");
}

/* 4 in + first 1 in: course 6 begins 19 in up and is cut at 20 in. */
static void the_last_course_is_cut_at_the_upper_edge(void **state) {
    Ctx         *c = *state;
    const Model *m = told(c, "'exposure': '4in', 'first': '1in',"
        "'last': 'cut to fit', 'cut full': 'N'", ", 'N': {'name': 'Last',"
        " 'from': 'leaf', 'length': 'roof.last', 'width': '4in'}");
    double last = 1 / cos(asin(1.0 / 16));
    const Piece *deck = piece_called(m, "deck"),
                *p = piece_called(m, "roof 6 1");
    V3 end = frame_point(&p->frame, v3(last * INCH, 0, 0));
    V3 top = frame_point(&deck->frame, v3(0, 20 * INCH, 0));
    V3 up  = v3(0, cos(30 * DEG), sin(30 * DEG));

    assert_near(value_of(m, "roof.courses").real, 6, 0);
    assert_near(value_of(m, "roof.last").real, last * INCH, 1e-3);
    assert_int_equal(part_called(m, "N")->quantity, 6);
    assert_near(v3_dot(end, up), v3_dot(top, up), 1e-3);
}

static void a_mirrored_roof_is_the_image_of_the_first(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, roof(c,
        "'half': 'M', 'exposure': '4in'", HALF,
        ", 'mirror': {'across': 'front-back', 'at': '40in', 'as': 'back'}"));
    const Piece *a = piece_called(m, "roof 2 3"),
                *b = piece_called(m, "back 2 3");

    assert_near(a->box.min.y + b->box.max.y, 80 * INCH, 1e-6);
    assert_near(a->box.min.x, b->box.min.x, 1e-6);
    assert_int_equal(b->mirrored, 0);   // a plain slip is its own image
    assert_int_equal(part_called(m, "M")->quantity, 8);
}

static void courses_climb_an_upright_wall(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, THIN ","
        "'parts': {'J': {'name': 'Wall', 'from': 'board', 'length': '24in',"
        " 'width': '11in'}, 'L': {'name': 'Clapboard', 'from': 'leaf',"
        " 'length': '4in', 'width': '24in', 'joined': true}},"
        "'pieces': [{'part': 'J', 'as': 'wall', 'at': ['0in', '0in', '0in'],"
        " 'face': 'front'},"
        "{'as': 'siding', 'courses': {'full': 'L', 'on': 'wall',"
        " 'exposure': '3in'}}]");
    const Piece *p = piece_called(m, "siding 3 1");

    assert_int_equal(m->pieces.n, 1 + 3);
    assert_near(p->frame.o.z, 6 * INCH, 1e-9);
    assert_near(p->frame.o.y, -4.0 / 12 * INCH, 1e-9);
    assert_near(p->frame.x.y, 1.0 / 12, 1e-12);
}

static void courses_that_leave_a_piece_over_are_an_error(void **state) {
    Ctx *c = *state;

    assert_null(try_model(c, THIN ","
        "'parts': {'J': {'name': 'Deck', 'from': 'board', 'length': '24in',"
        " 'width': '11in'}, 'L': {'name': 'Slip', 'from': 'leaf',"
        " 'length': '6in', 'width': '5in'}},"
        "'pieces': [{'part': 'J', 'as': 'deck', 'at': ['0in', '0in', '0in']},"
        "{'as': 'roof', 'courses': {'full': 'L', 'on': 'deck',"
        " 'up': 'far', 'exposure': '4in'}}]"));
    assert_int_equal(has_diag(c, NOT_WHOLE), 1);
    assert_int_equal(c->errors, 1);
    assert_non_null(strstr(str_z(c, diags_text(c)), "leave 4 in of 24 in"));
    assert_non_null(strstr(str_z(c, diags_text(c)), "6 in wide for 4"));
}

static void a_level_deck_needs_to_say_which_way_is_up(void **state) {
    Ctx *c = *state;

    assert_null(try_model(c, THIN ","
        "'parts': {'J': {'name': 'Deck', 'from': 'board', 'length': '24in',"
        " 'width': '11in'}, 'L': {'name': 'Slip', 'from': 'leaf',"
        " 'length': '6in', 'width': '4in'}},"
        "'pieces': [{'part': 'J', 'as': 'deck', 'at': ['0in', '0in', '0in']},"
        "{'as': 'roof', 'courses': {'full': 'L', 'on': 'deck',"
        " 'exposure': '4in'}}]"));
    assert_int_equal(has_diag(c, COURSES_BAD), 1);
    assert_int_equal(c->errors, 1);
}

static void courses_of_parts_that_do_not_go_together_are_errors(
        void **state) {
    Ctx *c = *state;

    assert_null(try_model(c, roof(c, "'exposure': '7in'", "", "")));
    assert_int_equal(has_diag(c, COURSES_BAD), 1);
    assert_null(try_model(c, roof(c, "'exposure': '4in', 'stagger': true",
                                  "", "")));
    assert_int_equal(has_diag(c, COURSES_BAD), 2);
    assert_null(try_model(c, roof(c, "'exposure': '4in', 'half': 'M'",
        ", 'M': {'name': 'Half', 'from': 'leaf', 'length': '6in',"
        " 'width': '3in'}", "")));
    assert_int_equal(has_diag(c, COURSES_BAD), 3);
    assert_null(try_model(c, roof(c, "'exposure': '4in',"
        " 'last': 'cut to fit', 'cut full': 'L'", "", "")));
    assert_int_equal(has_diag(c, COURSES_BAD), 4);
    assert_int_equal(c->errors, 4);
}

static void courses_whose_slip_waits_for_them_are_a_cycle(void **state) {
    Ctx *c = *state;

    assert_null(try_model(c, THIN ","
        "'parts': {'J': {'name': 'Deck', 'from': 'board', 'length': '24in',"
        " 'width': '11in'}, 'L': {'name': 'Slip', 'from': 'leaf',"
        " 'length': '1.5 * roof.exposure', 'width': '4in'}},"
        "'pieces': [{'part': 'J', 'as': 'deck', 'at': ['0in', '0in', '0in']},"
        "{'as': 'roof', 'courses': {'full': 'L', 'on': 'deck',"
        " 'up': 'far', 'exposure': '4in'}}]"));
    assert_true(has_diag(c, CYCLE) >= 1);
}

static void a_range_of_courses_is_added_by_one_name(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, str_z(c, str_fmt(c,
        "%s, 'steps': [{'title': 'A', 'add': ['deck', 'roof course 1']},"
        "{'title': 'B', 'add': ['roof courses 2 to 3']},"
        "{'title': 'C', 'add': ['roof courses 4 to last']}]",
        roof(c, "'exposure': '4in', 'first': '1in'", "", ""))));

    assert_int_equal(m->steps.at[0].add.n, 7);
    assert_int_equal(m->steps.at[1].add.n, 12);
    assert_int_equal(m->steps.at[2].add.n, 6);
    assert_int_equal(piece_called(m, "roof 3 6")->step, 1);
}

/* ---- Temporary pieces ---- */

#define SPACED                                                            \
    BOARD ", 'parts': {'B': {'name': 'Batten', 'from': 'board',"          \
    " 'length': '20in', 'width': '2in'}, 'S': {'name': 'Spacer',"         \
    " 'from': 'board', 'length': '3in', 'width': '2in', 'jig': true}},"   \
    "'pieces': [{'part': 'B', 'as': 'low', 'at': ['0in', '0in', '0in']}," \
    "{'part': 'S', 'as': 'block', 'at': ['0in', '0in', '3/4in'],"         \
    " 'temporary': true},"                                                \
    "{'part': 'B', 'as': 'high', 'at': ['0in', '0in', '1 1/2in']},"       \
    "{'part': 'B', 'as': 'late', 'at': ['0in', '0in', '3/4in']}]"

#define HELD " 'hold': [{'pieces': ['high'], 'with': 'a clamp'}]"

static void a_temporary_piece_stands_until_it_is_taken_away(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, SPACED ", 'steps': ["
        "{'title': 'A', 'add': ['low', 'block']},"
        "{'title': 'B', 'add': ['high']},"
        "{'title': 'C', 'remove': ['block'], 'add': ['late']," HELD "}]");
    const Piece *p = piece_called(m, "block");

    assert_true(piece_stands(p, 0));
    assert_true(piece_stands(p, 1));
    assert_false(piece_stands(p, 2));
    assert_int_equal(m->steps.at[2].removes.n, 1);
    assert_int_equal(part_called(m, "S")->quantity, 1);
    assert_near(m->box.max.z, 2.25 * INCH, 1e-9);
    /* Three battens of oak, and no spacer: 3 * 20 * 2 * 3/4 cu in. */
    assert_near(m->weight_kg, 3 * 30 * pow(INCH, 3) * 1e-9
                              * m->stocks.at[0].density, 1e-9);
}

static void a_piece_for_one_step_is_gone_in_the_next(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, SPACED ", 'steps': ["
        "{'title': 'A', 'add': ['low', 'high'], 'with': ['block']," HELD "},"
        "{'title': 'B', 'add': ['late']}]");
    const Workplan *w = plan_work(c, m);

    assert_int_equal(m->steps.at[0].with.n, 1);
    assert_false(piece_stands(piece_called(m, "block"), 1));
    assert_int_equal(w->steps.at[0].fresh.n, 3);
    assert_int_equal(w->steps.at[1].fresh.n, 1);
}

static void a_temporary_piece_may_come_again(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, SPACED ", 'steps': ["
        "{'title': 'A', 'add': ['low'], 'with': ['block']},"
        "{'title': 'B', 'add': ['high']," HELD "},"
        "{'title': 'C', 'with': ['block']},"
        "{'title': 'D', 'add': ['late']}]");
    const Piece *p = piece_called(m, "block");

    assert_int_equal(p->stays.n, 2);
    assert_true(piece_stands(p, 0) && piece_stands(p, 2));
    assert_false(piece_stands(p, 1) || piece_stands(p, 3));
}

static void a_temporary_piece_must_leave(void **state) {
    Ctx *c = *state;

    assert_null(try_model(c, SPACED ", 'steps': ["
        "{'title': 'A', 'add': ['low', 'block', 'high']},"
        "{'title': 'B', 'add': ['late']}]"));
    assert_int_equal(has_diag(c, TEMPORARY_STAYS), 1);
    /* While it stays it is in the way of the last batten. */
    assert_int_equal(has_diag(c, PIECE_OVERLAP), 1);
}

static void only_what_is_there_and_temporary_is_taken_away(void **state) {
    Ctx *c = *state;

    assert_null(try_model(c, SPACED ", 'steps': ["
        "{'title': 'A', 'add': ['low', 'high', 'late']},"
        "{'title': 'B', 'remove': ['low']},"
        "{'title': 'C', 'remove': ['block']}]"));
    assert_int_equal(has_diag(c, TEMPORARY_BAD), 2);
}

static void no_more_spacers_stand_than_are_cut(void **state) {
    Ctx *c = *state;

    assert_null(try_model(c, BOARD ", 'parts': {'B': {'name': 'Batten',"
        "'from': 'board', 'length': '20in', 'width': '2in'},"
        "'S': {'name': 'Spacer', 'from': 'board', 'length': '3in',"
        " 'width': '2in', 'jig': true}},"
        "'pieces': [{'part': 'B', 'as': 'low', 'at': ['0in', '0in', '0in']},"
        "{'part': 'S', 'as': 'block', 'at': ['0in', '0in', '3/4in'],"
        " 'rows': [{'count': 2, 'step': ['17in', '0in', '0in']}],"
        " 'temporary': true}],"
        "'steps': [{'title': 'A', 'add': ['low'], 'with': ['block']}]"));
    assert_int_equal(has_diag(c, TEMPORARY_BAD), 1);
}

/* ---- How many ---- */

/* 7 slats of 20 in: 140 in. Half pieces of courses count, too. */
static void the_pieces_of_a_part_are_counted_in_formulas(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, str_z(c, str_fmt(c,
        "'about': '{B.count} {B.total length} {B.total width}', %s",
        slats(c, "'along': 'front-back', 'from': '0in', 'to': '36in',"
              "'count': 7", ""))));

    assert_str(shown(c, value_of(m, "B.count")), "7");
    assert_str(shown(c, value_of(m, "B.total length")), "140 in");
    assert_str(shown(c, value_of(m, "B.total width")), "14 in");
    m = model_of(c, str_z(c, str_fmt(c, "'about': '{M.count}', %s",
        roof(c, "'half': 'M', 'exposure': '4in', 'first': '1in'", HALF,
             ""))));
    assert_str(shown(c, value_of(m, "M.count")), "4");
}

static void a_count_that_waits_for_itself_is_a_cycle(void **state) {
    Ctx *c = *state;

    assert_null(try_model(c, BOARD "," BATTEN ", 'sizes': {'n': 'B.count'},"
        "'pieces': [{'part': 'B', 'at': ['0in', '0in', '0in'],"
        " 'rows': [{'count': 'n', 'step': ['0in', '3in', '0in']}]}]"));
    assert_true(has_diag(c, CYCLE) >= 1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(slats_with_end_gaps_stand_evenly_from_the_datum),
        TEST(slats_without_end_gaps_end_at_both_places),
        TEST(the_largest_gap_takes_the_fewest_slats_that_keep_it),
        TEST(a_given_gap_must_come_out_whole),
        TEST(turned_slats_are_spaced_by_what_they_fill),
        TEST(slats_tell_their_gap_count_and_step),
        TEST(slats_that_do_not_fit_are_an_error),
        TEST(a_field_of_slats_is_mirrored_and_repeated),
        TEST(every_course_lies_on_the_one_below_and_on_the_deck),
        TEST(courses_tell_what_they_work_out),
        TEST(a_count_of_courses_finds_the_exposure),
        TEST(every_second_course_begins_and_ends_with_a_half),
        TEST(the_last_course_is_cut_at_the_upper_edge),
        TEST(a_mirrored_roof_is_the_image_of_the_first),
        TEST(courses_climb_an_upright_wall),
        TEST(courses_that_leave_a_piece_over_are_an_error),
        TEST(a_level_deck_needs_to_say_which_way_is_up),
        TEST(courses_of_parts_that_do_not_go_together_are_errors),
        TEST(courses_whose_slip_waits_for_them_are_a_cycle),
        TEST(a_range_of_courses_is_added_by_one_name),
        TEST(a_temporary_piece_stands_until_it_is_taken_away),
        TEST(a_piece_for_one_step_is_gone_in_the_next),
        TEST(a_temporary_piece_may_come_again),
        TEST(a_temporary_piece_must_leave),
        TEST(only_what_is_there_and_temporary_is_taken_away),
        TEST(no_more_spacers_stand_than_are_cut),
        TEST(the_pieces_of_a_part_are_counted_in_formulas),
        TEST(a_count_that_waits_for_itself_is_a_cycle),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
