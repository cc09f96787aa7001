/* Parts: sizes, end cuts, edge bevels, features. Volumes and areas are held
 * against closed forms worked out here, not against the program. */
#include "unit/design_text.h"

#define L (10 * INCH)      // of design_text's plank
#define W (4 * INCH)
#define T (0.75 * INCH)

#define SAGITTA 0.02       // facets may stray so far from a curve, mm

/* ---- End cuts ---- */

static void a_square_board_is_its_blank(void **state) {
    const Part *p = part_with(*state, "");

    assert_near(p->solid->volume, L * W * T, 1e-6);
    assert_near(surface_area(p->solid), 2 * (L * W + L * T + W * T), 1e-6);
    assert_int_equal(p->solid->faces.n, 6);
    assert_int_equal(p->solid->edges.n, 12);
    assert_true(p->plain && p->solid->closed && !p->curved);
    assert_int_equal(quantity_cmp(p->short_length, p->long_length), 0);
}

/* The run of a miter is W tan(miter). */
static void a_miter_is_measured_to_long_short_or_center(void **state) {
    Ctx *c = *state;
    static const struct { const char *to; double at_long, volume; } rows[] = {
        { "long point", 0, -0.5 }, { "short point", 1, 0.5 },
        { "center", 0.5, 0 },
    };
    double run = W * tan(30 * DEG);

    for (int i = 0; i < COUNT(rows); i++) {
        const Part *p = part_with(c, str_z(c, str_fmt(c,
            "'ends': {'right': {'miter': '30deg', 'length to': '%s'}}",
            rows[i].to)));
        assert_near(p->long_length.real, L + rows[i].at_long * run, 1e-9);
        assert_near(p->short_length.real, L + (rows[i].at_long - 1) * run,
                    1e-9);
        assert_near(p->solid->volume, T * W * (L + rows[i].volume * run),
                    1e-4);
        assert_true(p->solid->closed && !p->plain);
        assert_int_equal(p->solid->faces.n, 6);
    }
}

static void bevels_are_measured_alike(void **state) {
    Ctx *c = *state;
    static const struct { const char *to; double at_long, volume; } rows[] = {
        { "long point", 0, -0.5 }, { "short point", 1, 0.5 },
        { "center", 0.5, 0 },
    };
    double run = T * tan(15 * DEG);

    for (int i = 0; i < COUNT(rows); i++) {
        const Part *p = part_with(c, str_z(c, str_fmt(c,
            "'ends': {'left': {'bevel': '15deg', 'length to': '%s'}}",
            rows[i].to)));
        assert_near(p->long_length.real, L + rows[i].at_long * run, 1e-9);
        assert_near(p->solid->volume, T * W * (L + rows[i].volume * run),
                    1e-4);
    }
}

/* Two ends are added up; tan 45 deg is 1, so nothing becomes inexact. */
static void a_frame_member_keeps_exact_lengths(void **state) {
    Ctx        *c = *state;
    const Part *p = part_with(c, "'ends': {'both': {'miter': '45deg'}}");

    assert_str(shown(c, p->long_length), "10 in");
    assert_str(shown(c, p->short_length), "2 in");
    assert_true(quantity_is_exact(p->short_length));
    assert_near(p->solid->volume, T * W * (L - W), 1e-4);
    p = part_with(c, "'ends': {'both': {'miter': '45deg',"
                     " 'length to': 'short point'}}");
    assert_str(shown(c, p->long_length), "18 in");
    p = part_with(c, "'ends': {'both': {'bevel': '45deg',"
                     " 'length to': 'short point'}}");
    assert_str(shown(c, p->long_length), "11 1/2 in");
}

/* The long edge is the far one unless it is said to be the near one; the
 * long face is the show face unless it is said to be the back. */
static void long_edge_and_long_face_can_be_chosen(void **state) {
    Ctx        *c = *state;
    double      run = W * tan(20 * DEG), deep = T * tan(20 * DEG);
    const Part *p = part_with(c, "'ends': {'right': {'miter': '20deg'}}");

    assert_near(face_area(p->solid, v3(0, 1, 0), W), L * T, 1e-4);
    assert_near(face_area(p->solid, v3(0, -1, 0), 0), (L - run) * T, 1e-4);
    p = part_with(c, "'ends': {'right': {'miter': '20deg',"
                     " 'long edge': 'near'}}");
    assert_near(face_area(p->solid, v3(0, 1, 0), W), (L - run) * T, 1e-4);
    assert_near(face_area(p->solid, v3(0, -1, 0), 0), L * T, 1e-4);
    p = part_with(c, "'ends': {'left': {'bevel': '20deg'}}");
    assert_near(face_area(p->solid, v3(0, 0, 1), T), L * W, 1e-4);
    assert_near(face_area(p->solid, v3(0, 0, -1), 0), (L - deep) * W, 1e-4);
    p = part_with(c, "'ends': {'left': {'bevel': '20deg',"
                     " 'long face': 'back'}}");
    assert_near(face_area(p->solid, v3(0, 0, 1), T), (L - deep) * W, 1e-4);
    assert_near(shape_area(p->face), (L - deep) * W, 0.1);
    assert_near(shape_area(p->back), L * W, 0.1);
}

/* Miter and bevel together, as a saw with its blade tilted cuts them: the
 * cut meets the face in a line at the miter angle, and the cut surface
 * leans from square to the face by the bevel. */
static void a_compound_cut_has_both_angles(void **state) {
    Ctx        *c = *state;
    static const double miters[] = { 5, 22.5, 40 }, bevels[] = { 8, 30, 45 };

    for (int i = 0; i < 9; i++) {
        double      m = miters[i % 3], b = bevels[i / 3];
        const Part *p = part_with(c, str_z(c, str_fmt(c,
            "'ends': {'right': {'miter': '%gdeg', 'bevel': '%gdeg'}}", m,
            b)));
        double run = W * tan(m * DEG) + T * tan(b * DEG) / cos(m * DEG);
        int    seen = 0;
        for (int k = 0; k < p->solid->faces.n; k++) {
            V3 n = p->solid->faces.at[k].plane.n;
            if (!(n.x > 0.01))
                continue;
            assert_near(asin(fabs(n.z)) / DEG, b, 1e-9);
            assert_near(atan2(fabs(n.y), n.x) / DEG, m, 1e-9);
            seen++;
        }
        assert_int_equal(seen, 1);
        assert_near(p->solid->volume, W * T * (L - run / 2), 1e-4);
        assert_near(p->short_length.real, L - run, 1e-9);
    }
}

static void an_edge_bevel_takes_a_wedge_from_the_width(void **state) {
    Ctx        *c = *state;
    double      run = T * tan(30 * DEG);
    const Part *p = part_with(c, "'edges': {'near': {'bevel': '30deg'}}");

    assert_near(p->solid->volume, L * (W * T - T * run / 2), 1e-4);
    assert_near(face_area(p->solid, v3(0, 0, 1), T), L * W, 1e-4);
    assert_near(face_area(p->solid, v3(0, 0, -1), 0), L * (W - run), 1e-4);
    p = part_with(c, "'edges': {'both': {'bevel': '30deg',"
                     " 'long face': 'back'}}");
    assert_near(p->solid->volume, L * (W * T - T * run), 1e-4);
    assert_near(shape_area(p->face), L * (W - 2 * run), 0.1);
}

/* ---- Holes ---- */

/* Facets lie within the sagitta of the circle: so does the volume. */
static double bore(double radius, double depth) {
    return PI_ * radius * radius * depth;
}

static double bore_slack(double radius, double depth) {
    return 2 * PI_ * radius * SAGITTA * depth;
}

static void a_through_hole_opens_both_faces(void **state) {
    const Part *p = part_with(*state,
        "'features': [{'hole': {'at': ['3in', '2in'],"
        " 'diameter': '1in'}}]");
    double r = INCH / 2;

    assert_near(p->solid->volume, L * W * T - bore(r, T), bore_slack(r, T));
    assert_near(shape_area(p->face), L * W - PI_ * r * r, 0.01);
    assert_near(shape_area(p->back), L * W - PI_ * r * r, 0.01);
    assert_true(p->curved && p->solid->closed);
}

static void a_blind_hole_opens_the_face_it_is_worked_from(void **state) {
    Ctx   *c = *state;
    double r = INCH / 2, depth = INCH / 4;

    for (int back = 0; back < 2; back++) {
        const Part *p = part_with(c, str_z(c, str_fmt(c,
            "'features': [{'hole': {'at': ['3in', '2in'], 'diameter':"
            " '1in', 'depth': '1/4in', 'into': '%s'}}]",
            back ? "back" : "show")));
        double show = face_area(p->solid, v3(0, 0, 1), T);
        double rear = face_area(p->solid, v3(0, 0, -1), 0);
        assert_near(p->solid->volume, L * W * T - bore(r, depth),
                    bore_slack(r, depth));
        assert_near(back ? show : rear, L * W, 1e-3);
        assert_near(back ? rear : show, L * W - PI_ * r * r,
                    bore_slack(r, 1));
        assert_near(face_area(p->solid, v3(0, 0, back ? -1 : 1),
                              back ? -depth : T - depth), PI_ * r * r,
                    bore_slack(r, 1));
    }
}

static void a_hole_as_deep_as_the_board_is_through(void **state) {
    const Part *p = part_with(*state,
        "'features': [{'hole': {'at': ['3in', '2in'], 'diameter': '1in',"
        " 'depth': '3/4in'}}]");

    assert_near(face_area(p->solid, v3(0, 0, -1), 0),
                L * W - PI_ * INCH * INCH / 4, bore_slack(INCH / 2, 1));
}

/* In an edge "at" is along the length and up the thickness; in an end
 * across the width and up the thickness. */
static void holes_go_into_edges_and_ends(void **state) {
    Ctx *c = *state;
    static const struct { const char *into, *at; V3 n; double d, area; }
    rows[] = {
        { "near", "'3in', '3/8in'",  { 0, -1, 0 }, 0, L * T },
        { "far",  "'3in', '3/8in'",  { 0, 1, 0 },  W, L * T },
        { "left", "'2in', '3/8in'",  { -1, 0, 0 }, 0, W * T },
        { "right", "'2in', '3/8in'", { 1, 0, 0 },  L, W * T },
    };
    double r = INCH / 8, depth = INCH / 2;

    for (int i = 0; i < COUNT(rows); i++) {
        const Part *p = part_with(c, str_z(c, str_fmt(c,
            "'features': [{'hole': {'at': [%s], 'diameter': '1/4in',"
            " 'depth': '1/2in', 'into': '%s'}}]", rows[i].at,
            rows[i].into)));
        assert_near(p->solid->volume, L * W * T - bore(r, depth),
                    bore_slack(r, depth));
        assert_near(face_area(p->solid, rows[i].n, rows[i].d),
                    rows[i].area - PI_ * r * r, bore_slack(r, 1));
        assert_near(shape_area(p->face), L * W, 1e-6);
        assert_true(p->solid->closed);
    }
}

static void an_edge_hole_without_depth_goes_all_across(void **state) {
    const Part *p = part_with(*state,
        "'features': [{'hole': {'at': ['3in', '3/8in'], 'diameter':"
        " '1/4in', 'into': 'near'}}]");
    double r = INCH / 8;

    assert_near(p->solid->volume, L * W * T - bore(r, W), bore_slack(r, W));
    assert_near(face_area(p->solid, v3(0, 1, 0), W), L * T - PI_ * r * r,
                bore_slack(r, 1));
}

/* The bore begins at a disk square to its axis, 15 deg from the face, and
 * runs out through the back: in the mean it is as long as its axis. */
static void a_pocket_hole_leaves_by_the_back(void **state) {
    Ctx   *c = *state;
    double a = 15 * DEG, r = 5.0 / 32 * INCH;
    double z = T / 2 * (1 - 0.55);

    for (int i = 0; i < 4; i++) {
        static const char *const sides[] = { "left", "right", "near", "far" };
        const Part *p = part_with(c, str_z(c, str_fmt(c,
            "'features': [{'pocket': {'at': '1in', 'toward': '%s',"
            " 'diameter': '5/16in'}}]", sides[i])));
        assert_near(L * W * T - p->solid->volume, bore(r, z / sin(a)),
                    0.01 * bore(r, z / sin(a)));
        assert_near(face_area(p->solid, v3(0, 0, 1), T), L * W, 1e-3);
        assert_near(L * W - face_area(p->solid, v3(0, 0, -1), 0),
                    PI_ * r * r / sin(a), 0.01 * PI_ * r * r / sin(a));
        assert_near(face_area(p->solid, v3(1, 0, 0), L), W * T, 1e-3);
        assert_near(face_area(p->solid, v3(-1, 0, 0), 0), W * T, 1e-3);
        assert_true(p->solid->closed);
    }
}

/* ---- Arches, cutouts, outlines ---- */

static double arch_area(Ctx *c, const char *form) {
    const Part *p = part_with(c, str_z(c, str_fmt(c,
        "'features': [{'arch': {'center': 'length / 2', 'width': '2in',"
        " 'spring': '1in', 'rise': '%s', 'form': '%s'}}]",
        strcmp(form, "segmental") ? "1 1/2in" : "1/2in", form)));
    double area = L * W - shape_area(p->face);

    assert_near(p->solid->volume, shape_area(p->face) * T, 0.01 * area * T);
    assert_true(p->solid->closed);
    return area / INCH / INCH;
}

/* Square inches under heads 2 in wide: a segment of R = c*c/(8h) + h/2
 * (trade-figures 4.4), half an ellipse, and two arcs of R = (c*c/4 + h*h)/c
 * about centers on the spring line. */
static void arches_have_their_areas(void **state) {
    Ctx   *c = *state;
    double r = 4.0 / 4 + 0.25, a = 2 * asin(1 / r);
    double R = (1 + 2.25) / 2, b = asin(1.5 / R);

    assert_near(arch_area(c, "segmental"), 2 + r * r * (a - sin(a)) / 2,
                1e-5);
    assert_near(arch_area(c, "elliptical"), 2 + PI_ * 1 * 1.5 / 2, 2e-4);
    assert_near(arch_area(c, "pointed"),
                2 + R * R * b - (R - 1) * 1.5, 1e-5);
}

static void a_semicircle_is_the_highest_segment(void **state) {
    Ctx        *c = *state;
    const char *design = "'features': [{'arch': {'center': '5in', 'width':"
                         " '2in', 'spring': '1in', 'rise': '%s'}}]";
    const Part *p = part_with(c, str_z(c, str_fmt(c, design, "1in")));
    const char *high;

    assert_near((L * W - shape_area(p->face)) / INCH / INCH, 2 + PI_ / 2,
                1e-5);
    high = str_z(c, str_fmt(c, BOARD ", 'parts': {'A': {'name': 'P', 'from':"
                 " 'board', 'length': '10in', 'width': '4in', %s}},"
                 "'pieces': [{'part': 'A', 'at': ['0in', '0in', '0in']}]",
                 str_z(c, str_fmt(c, design, "1 1/4in"))));
    assert_null(try_model(c, high));
    assert_int_equal(has_diag(c, FEATURE_BAD), 1);
}

static void an_outline_may_have_arcs(void **state) {
    Ctx        *c = *state;
    double      corner = (1 - PI_ / 4) * INCH * INCH;
    const Part *p = part_with(c,
        "'sizes': {'r': '1in', 'h': 'r - r / sqrt(2)'}, 'outline': ["
        "{'start': ['0in', '0in']}, {'line to': ['length - r', '0in']},"
        "{'arc to': ['length', 'r'], 'rise': '-h'},"
        "{'line to': ['length', 'width']}, {'line to': ['0in', 'width']}]");

    assert_near(shape_area(p->face), L * W - corner, 1e-2);
    assert_near(p->solid->volume, (L * W - corner) * T, 40);
    assert_true(p->outlined && p->curved && !p->plain);
}

/* Walked the other way round, an outline is the same part. */
static void an_outline_may_be_walked_either_way(void **state) {
    Ctx        *c = *state;
    const Part *p = part_with(c,
        "'outline': [{'start': ['0in', '0in']}, {'line to': ['0in', '4in']},"
        "{'line to': ['6in', '4in']}, {'line to': ['10in', '0in']}]");

    assert_near(shape_area(p->face), 8 * 4 * INCH * INCH, 1e-3);
    assert_near(p->solid->volume, 8 * 4 * INCH * INCH * T, 0.1);
}

static void a_cutout_is_moved_to_its_place(void **state) {
    const Part *p = part_with(*state,
        "'features': [{'cutout': {'at': ['4in', '1in'], 'outline': ["
        "{'start': ['0in', '0in']}, {'line to': ['2in', '0in']},"
        "{'line to': ['1in', '2in']}]}}]");

    assert_near(p->solid->volume, (40 - 2) * INCH * INCH * T, 0.1);
    assert_near(shape_box(p->features.at[0].shape).min.x, 4 * INCH, 1e-9);
    assert_near(shape_box(p->features.at[0].shape).max.y, 3 * INCH, 1e-9);
}

/* ---- Grooves, notches, repeats ---- */

static void a_groove_a_dado_and_a_rabbet_take_their_depth(void **state) {
    Ctx *c = *state;
    static const struct { const char *at; double area; } rows[] = {
        { "['0in', '1in'], 'length': 'length', 'width': '1/4in'", 2.5 },
        { "['4in', '0in'], 'length': '3/4in', 'width': 'width'", 3 },
        { "['0in', '0in'], 'length': 'length', 'width': '3/8in'", 3.75 },
        { "['2in', '1in'], 'length': '3in', 'width': '1in'", 3 },
    };

    for (int i = 0; i < COUNT(rows); i++) {
        const Part *p = part_with(c, str_z(c, str_fmt(c,
            "'features': [{'groove': {'at': %s, 'depth': '1/4in'}}]",
            rows[i].at)));
        double area = rows[i].area * INCH * INCH;
        assert_near(p->solid->volume, L * W * T - area * INCH / 4, 0.1);
        assert_near(face_area(p->solid, v3(0, 0, 1), T), L * W - area, 0.1);
        assert_near(face_area(p->solid, v3(0, 0, 1), T - INCH / 4), area,
                    0.1);
        assert_near(face_area(p->solid, v3(0, 0, -1), 0), L * W, 0.1);
        assert_true(p->solid->closed);
    }
}

static void grooves_from_both_faces_meet_in_the_wood(void **state) {
    const Part *p = part_with(*state,
        "'features': [{'groove': {'at': ['0in', '1in'], 'length': 'length',"
        " 'width': '1in', 'depth': '1/2in', 'into': 'show'}},"
        "{'groove': {'at': ['1in', '1 1/2in'], 'length': '8in', 'width':"
        " '1in', 'depth': '1/2in', 'into': 'back'}}]");

    assert_near(p->solid->volume, (30 - 9 + 8 * 0.5 * 0.25)
                * INCH * INCH * INCH, 0.1);
    assert_true(p->solid->closed);
}

static void a_notch_goes_through(void **state) {
    const Part *p = part_with(*state,
        "'features': [{'notch': {'at': ['9in', '3in'], 'length': '1in',"
        " 'width': '1in'}}]");

    assert_near(p->solid->volume, 39 * INCH * INCH * T, 0.1);
    assert_near(shape_area(p->back), 39 * INCH * INCH, 1e-3);
}

static void a_feature_repeats(void **state) {
    Ctx        *c = *state;
    double      r = INCH / 8;
    const Part *p = part_with(c,
        "'features': [{'hole': {'at': ['1in', '2in'], 'diameter': '1/4in'},"
        " 'repeat': {'count': 5, 'step': ['2in', '1/4in']}}]");

    assert_near(shape_area(p->face), L * W - 5 * PI_ * r * r, 0.05);
    assert_int_equal(p->features.n, 1);
    assert_int_equal(p->features.at[0].count, 5);
    p = part_with(c,
        "'features': [{'hole': {'at': ['1in', '3/8in'], 'diameter': '1/4in',"
        " 'depth': '1in', 'into': 'far'},"
        " 'repeat': {'count': 3, 'step': ['2in', '0in']}}]");
    assert_near(p->solid->volume, L * W * T - 3 * bore(r, INCH),
                3 * bore_slack(r, INCH));
}

/* ---- Scallops ---- */

/* What one scallop loses: its rectangle less the circular segment. */
static double scallop_loss(double pitch, double drop) {
    double r = pitch * pitch / (8 * drop) + drop / 2;
    double a = 2 * asin(pitch / 2 / r);

    return pitch * drop - r * r * (a - sin(a)) / 2;
}

static void scallops_are_counted_and_the_rest_is_told(void **state) {
    Ctx           *c = *state;
    double         loss = scallop_loss(1.5 * INCH, 0.5 * INCH);
    const Part    *p = part_with(c,
        "'features': [{'scallops': {'pitch': '1 1/2in',"
        " 'depth': '1/2in'}}]");
    const Feature *f = &p->features.at[0];

    assert_int_equal(f->repeats, 6);
    assert_str(shown(c, f->left_over), "1 in");
    assert_near(shape_area(p->face), L * W - 6 * loss, 0.1);
    assert_true(p->solid->closed && p->curved);
}

static void scallops_begin_where_they_are_told(void **state) {
    Ctx           *c = *state;
    double         loss = scallop_loss(1.5 * INCH, 0.25 * INCH);
    const Part    *p = part_with(c,
        "'features': [{'scallops': {'edge': 'far', 'pitch': '1 1/2in',"
        " 'depth': '1/4in', 'start': '1/2in', 'count': 3}}]");
    const Feature *f = &p->features.at[0];

    assert_int_equal(f->repeats, 3);
    assert_str(shown(c, f->left_over), "5 in");
    assert_near(shape_area(p->face), L * W - 3 * loss, 0.1);
    assert_near(face_area(p->solid, v3(0, -1, 0), 0), L * T, 0.1);
    p = part_with(c, "'features': [{'scallops': {'pitch': '1 1/2in',"
                     " 'depth': '1/4in', 'start': '1 1/2in'}}]");
    assert_int_equal(p->features.at[0].repeats, 5);
    assert_str(shown(c, p->features.at[0].left_over), "1 in");
}

static void scallops_that_fill_the_edge_leave_nothing(void **state) {
    const Part *p = part_with(*state,
        "'features': [{'scallops': {'pitch': 'length / 7',"
        " 'depth': '1/4in'}}]");

    assert_int_equal(p->features.at[0].repeats, 7);
    assert_near(p->features.at[0].left_over.real, 0, 1e-9);
}

/* ---- Dowels ---- */

static void a_dowel_is_round(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c,
        "'stock': {'rod': {'form': 'dowel', 'diameter': '1in',"
        " 'sold': [{'length': '3ft'}]}},"
        "'parts': {'A': {'name': 'Rod', 'from': 'rod', 'length': '10in',"
        " 'ends': {'right': {'bevel': '45deg'}}}},"
        "'pieces': [{'part': 'A', 'at': ['0in', '0in', '0in']}]");
    const Part  *p = &m->parts.at[0];
    double       r = INCH / 2;

    assert_near(p->solid->volume, bore(r, L - INCH / 2), bore_slack(r, L));
    assert_str(shown(c, p->width), "1 in");
    assert_near(m->pieces.at[0].box.max.y, INCH, 1e-9);
    assert_near(m->pieces.at[0].box.max.z, INCH, 1e-9);
    assert_true(p->solid->closed);
}

/* ---- What cannot be cut ---- */

static void a_cut_beside_the_board_is_refused(void **state) {
    Ctx *c = *state;
    static const char *const cuts[] = {
        "'hole': {'at': ['11in', '2in'], 'diameter': '1in'}",
        "'hole': {'at': ['1in', '1in'], 'diameter': '1/4in', 'depth': '1in',"
        " 'into': 'near'}",
        "'hole': {'at': ['5in', '3/8in'], 'diameter': '1/4in', 'depth':"
        " '1in', 'into': 'left'}",
        "'hole': {'at': ['1in', '2in'], 'diameter': '1/4in'},"
        " 'repeat': {'count': 5, 'step': ['2 1/2in', '0in']}",
        "'pocket': {'at': '5in', 'toward': 'left'}",
        "'pocket': {'at': '5in', 'toward': 'near'},"
        " 'repeat': {'count': 3, 'step': ['3in', '0in']}",
    };

    for (int i = 0; i < COUNT(cuts); i++) {
        assert_null(try_model(c, str_z(c, str_fmt(c, BOARD ","
            "'parts': {'A': {'name': 'P', 'from': 'board', 'length': '10in',"
            " 'width': '4in', 'features': [{%s}]}},"
            "'pieces': [{'part': 'A', 'at': ['0in', '0in', '0in']}]",
            cuts[i]))));
        assert_int_equal(has_diag(c, FEATURE_BAD), i + 1);
    }
}

/* A groove is worked from a face, a pocket hole toward an edge or end. */
static void a_cut_has_a_side_that_it_can_be_worked_from(void **state) {
    Ctx *c = *state;
    static const char *const cuts[] = {
        "'groove': {'at': ['0in', '0in'], 'length': '1in', 'width': '1in',"
        " 'depth': '1/4in', 'into': 'near'}",
        "'pocket': {'at': '1in', 'toward': 'show'}",
    };

    for (int i = 0; i < COUNT(cuts); i++) {
        assert_null(try_model(c, str_z(c, str_fmt(c, BOARD ","
            "'parts': {'A': {'name': 'P', 'from': 'board', 'length': '10in',"
            " 'width': '4in', 'features': [{%s}]}},"
            "'pieces': [{'part': 'A', 'at': ['0in', '0in', '0in']}]",
            cuts[i]))));
        assert_int_equal(has_diag(c, BAD_CHOICE), i + 1);
    }
}

/* ---- Several at once ---- */

static void cuts_do_not_disturb_each_other(void **state) {
    const Part *p = part_with(*state,
        "'ends': {'left': {'miter': '45deg'}, 'right': {'bevel': '45deg'}},"
        "'features': [{'groove': {'at': ['5in', '1in'], 'length': '2in',"
        " 'width': '1in', 'depth': '1/4in'}}, {'notch': {'at': ['6in',"
        " '3 1/2in'], 'length': '1in', 'width': '1in'}}]");

    assert_near(p->solid->volume / INCH / INCH / INCH,
                10 * 4 * .75 - .75 * 8 - 4 * .75 * .75 / 2 - 2 * .25
                - .5 * .75, 1e-4);
    assert_true(p->solid->closed);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(a_square_board_is_its_blank),
        TEST(a_miter_is_measured_to_long_short_or_center),
        TEST(bevels_are_measured_alike),
        TEST(a_frame_member_keeps_exact_lengths),
        TEST(long_edge_and_long_face_can_be_chosen),
        TEST(a_compound_cut_has_both_angles),
        TEST(an_edge_bevel_takes_a_wedge_from_the_width),
        TEST(a_through_hole_opens_both_faces),
        TEST(a_blind_hole_opens_the_face_it_is_worked_from),
        TEST(a_hole_as_deep_as_the_board_is_through),
        TEST(holes_go_into_edges_and_ends),
        TEST(an_edge_hole_without_depth_goes_all_across),
        TEST(a_pocket_hole_leaves_by_the_back),
        TEST(arches_have_their_areas),
        TEST(a_semicircle_is_the_highest_segment),
        TEST(an_outline_may_have_arcs),
        TEST(an_outline_may_be_walked_either_way),
        TEST(a_cutout_is_moved_to_its_place),
        TEST(a_groove_a_dado_and_a_rabbet_take_their_depth),
        TEST(grooves_from_both_faces_meet_in_the_wood),
        TEST(a_notch_goes_through),
        TEST(a_feature_repeats),
        TEST(scallops_are_counted_and_the_rest_is_told),
        TEST(scallops_begin_where_they_are_told),
        TEST(scallops_that_fill_the_edge_leave_nothing),
        TEST(a_dowel_is_round),
        TEST(a_cut_beside_the_board_is_refused),
        TEST(a_cut_has_a_side_that_it_can_be_worked_from),
        TEST(cuts_do_not_disturb_each_other),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
