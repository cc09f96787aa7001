/* Cuts with names of their own, repeats, profiles, curves and SVG outlines.
 * Volumes and areas are held against closed forms worked out here, not
 * against the program. */
#include "unit/design_text.h"

#define L (10 * INCH)      // of design_text's plank
#define W (4 * INCH)
#define T (0.75 * INCH)
#define CUBIC_INCH (INCH * INCH * INCH)

/* The plank with one feature, and what it lost, in cubic inches. */
static const Part *plank(Ctx *c, const char *feature) {
    const Part *p = part_with(c, str_z(c, str_fmt(c, "'features': [%s]",
                                                  feature)));

    assert_true(p->solid->closed);
    return p;
}

static double lost(Ctx *c, const char *feature) {
    return 30 - plank(c, feature)->solid->volume / CUBIC_INCH;
}

/* A design with a mistake gives this one code. */
static void is_wrong(Ctx *c, const char *feature, DiagCode code) {
    Ctx  fresh;
    int  n;

    (void)c;
    ctx_init(&fresh, &real_files);
    assert_null(try_model(&fresh, str_z(&fresh, str_fmt(&fresh, BOARD ","
        "'parts': {'A': {'name': 'P', 'from': 'board', 'length': '10in',"
        " 'width': '4in', 'features': [%s]}},"
        "'pieces': [{'part': 'A', 'at': ['0in', '0in', '0in']}]",
        feature))));
    n = has_diag(&fresh, code);
    if (n != 1 || fresh.errors != 1) {
        Str said = diags_text(&fresh);
        fail_msg("%s: %.*s", feature, STR_ARG(said));
    }
    ctx_free(&fresh);
}

/* ---- Joints ---- */

static void a_dado_runs_across_the_width(void **state) {
    Ctx        *c = *state;
    const Part *p = plank(c, "{'dado': {'at': '3in', 'width': '3/4in',"
                             " 'depth': '1/4in'}}");

    assert_near(p->solid->volume / CUBIC_INCH, 30 - 0.75 * 4 * 0.25, 1e-5);
    assert_near(face_area(p->solid, v3(0, 0, 1), T - INCH / 4),
                0.75 * 4 * INCH * INCH, 0.1);
    assert_str(str_from(c, feature_name(&p->features.at[0])), "dado");
    assert_near(lost(c, "{'dado': {'at': '3in', 'width': '3/4in', 'depth':"
                     " '1/4in', 'from': '1in', 'to': 'width - 1/2in',"
                     " 'into': 'back'}}"), 0.75 * 2.5 * 0.25, 1e-5);
}

static void a_rabbet_runs_along_each_side(void **state) {
    Ctx *c = *state;
    static const struct { const char *edge; double along; V3 n; double d; }
    rows[] = {
        { "near", 10, { 0, -1, 0 }, -0.375 * INCH },
        { "far", 10, { 0, 1, 0 }, 3.625 * INCH },
        { "left", 4, { -1, 0, 0 }, -0.375 * INCH },
        { "right", 4, { 1, 0, 0 }, 9.625 * INCH },
    };

    for (int i = 0; i < COUNT(rows); i++) {
        const Part *p = plank(c, str_z(c, str_fmt(c,
            "{'rabbet': {'edge': '%s', 'width': '3/8in', 'depth': '1/2in',"
            " 'into': 'back'}}", rows[i].edge)));
        assert_near(p->solid->volume / CUBIC_INCH,
                    30 - rows[i].along * 0.375 * 0.5, 1e-5);
        assert_near(face_area(p->solid, rows[i].n, rows[i].d),
                    rows[i].along * 0.5 * INCH * INCH, 0.1);
    }
}

static void a_lap_takes_half_the_thickness(void **state) {
    Ctx        *c = *state;
    const Part *p = plank(c, "{'lap': {'end': 'right', 'length': '4in'}}");

    assert_near(p->solid->volume / CUBIC_INCH, 30 - 4 * 4 * 0.375, 1e-5);
    assert_str(shown(c, p->features.at[0].depth), "3/8 in");
    assert_near(face_area(p->solid, v3(1, 0, 0), 6 * INCH),
                4 * 0.375 * INCH * INCH, 0.1);
    assert_near(lost(c, "{'lap': {'at': '2in', 'length': '3in', 'depth':"
                     " '1/4in'}}"), 3 * 4 * 0.25, 1e-5);
}

/* The end loses its whole section but that of the tongue. */
static void a_tenon_is_what_its_shoulders_leave(void **state) {
    Ctx        *c = *state;
    const Part *p = plank(c, "{'tenon': {'end': 'left', 'length': '1in',"
                             " 'width': '3in'}}");

    assert_near(p->solid->volume / CUBIC_INCH,
                30 - (4 * 0.75 - 3 * 0.25), 1e-5);
    assert_near(face_area(p->solid, v3(-1, 0, 0), 0),
                3 * 0.25 * INCH * INCH, 0.1);
    assert_near(face_area(p->solid, v3(-1, 0, 0), -INCH),
                (4 * 0.75 - 3 * 0.25) * INCH * INCH, 0.1);
    assert_str(shown(c, p->features.at[0].thick), "1/4 in");
    assert_int_equal(p->features.n, 4);
    assert_true(!p->features.at[0].echo && p->features.at[3].echo);
    assert_near(lost(c, "{'tenon': {'end': 'right', 'length': '2in',"
                     " 'thickness': '1/2in', 'show shoulder': '0in'},"
                     " 'mirror': 'length'}"), 2 * 2 * 4 * 0.25, 1e-5);
}

static void a_mortise_is_chopped_into_any_side(void **state) {
    Ctx *c = *state;
    static const struct { const char *at; double taken; } rows[] = {
        { "['2in', '1in'], 'depth': '1/2in'", 0.5 },
        { "['2in', '1in'], 'depth': '1/2in', 'into': 'back'", 0.5 },
        { "['2in', '1in']", 0.75 },
        { "['2in', '1/4in'], 'depth': '1in', 'into': 'near'", 1 },
        { "['2in', '1/4in'], 'depth': '1in', 'into': 'far'", 1 },
        { "['1in', '1/4in'], 'depth': '1in', 'into': 'left'", 1 },
        { "['1in', '1/4in'], 'depth': '1in', 'into': 'right'", 1 },
        { "['2in', '1/4in'], 'into': 'near'", 4 },
    };

    for (int i = 0; i < COUNT(rows); i++)
        assert_near(lost(c, str_z(c, str_fmt(c, "{'mortise': {'at': %s,"
            " 'length': '2in', 'width': '1/4in'}}", rows[i].at))),
            2 * 0.25 * rows[i].taken, 1e-5);
}

/* A rectangle between two half circles. */
static void a_slot_has_round_ends(void **state) {
    Ctx   *c    = *state;
    double area = 2.5 * 0.5 + PI_ * 0.25 * 0.25;
    static const char *const runs[] = { "along", "across" };

    for (int i = 0; i < 2; i++) {
        const Part *p = plank(c, str_z(c, str_fmt(c,
            "{'slot': {'at': ['5in', '2in'], 'length': '3in', 'width':"
            " '1/2in', 'runs': '%s'}}", runs[i])));
        Box2 box = shape_box(p->features.at[0].shape);
        assert_near(40 - shape_area(p->face) / INCH / INCH, area, 1e-5);
        assert_near((i ? box.max.y - box.min.y : box.max.x - box.min.x),
                    3 * INCH, 1e-6);
        assert_near((box.max.x + box.min.x) / 2, 5 * INCH, 1e-6);
    }
    assert_near(lost(c, "{'slot': {'at': ['5in', '2in'], 'length': '3in',"
                     " 'width': '1/2in', 'depth': '1/4in'}}"), area / 4,
                1e-3);
}

/* A frustum less the hole inside it: pi h / 3 (R^2 + R r + r^2). */
static void a_countersink_is_a_cone(void **state) {
    Ctx *c = *state;
    static const struct { int angle; const char *where; } rows[] = {
        { 82, "'at': ['5in', '2in'], 'into': 'show'" },
        { 90, "'at': ['5in', '2in'], 'into': 'back'" },
        { 82, "'at': ['5in', '3/8in'], 'into': 'near', 'depth': '1in'" },
        { 82, "'at': ['2in', '3/8in'], 'into': 'right'" },
    };
    double R = 0.25, r = 0.125;

    for (int i = 0; i < COUNT(rows); i++) {
        const char *hole = "{'hole': {%s, 'diameter': '1/4in'%s}}";
        double h    = (R - r) / tan(rows[i].angle * DEG / 2);
        double cone = PI_ * h / 3 * (R * R + R * r + r * r) - PI_ * r * r * h;
        double bare = lost(c, str_z(c, str_fmt(c, hole, rows[i].where, "")));
        double sunk = lost(c, str_z(c, str_fmt(c, hole, rows[i].where,
            str_z(c, str_fmt(c, ", 'countersink': {'diameter': '1/2in',"
                             " 'angle': '%ddeg'}", rows[i].angle)))));
        assert_near(sunk - bare, cone, 0.02 * cone);
    }
}

/* Four gaps of 4/9 in; or three of 5/8 in and one of the rest, 1/4 in. */
static void finger_joints_divide_the_width(void **state) {
    Ctx        *c = *state;
    const Part *p = plank(c, "{'finger joint': {'end': 'left', 'count': 9,"
                             " 'depth': '3/4in'}}");

    assert_near(p->solid->volume / CUBIC_INCH,
                30 - 4 * (4.0 / 9) * 0.75 * 0.75, 1e-4);
    assert_int_equal(p->features.at[0].repeats, 5);
    assert_true(quantity_is_exact(p->features.at[0].pitch));
    p = plank(c, "{'finger joint': {'end': 'right', 'pitch': '5/8in',"
                 " 'depth': '3/4in', 'starts': 'gap'}}");
    assert_near(p->solid->volume / CUBIC_INCH,
                30 - (3 * 0.625 + 0.25) * 0.75 * 0.75, 1e-4);
    assert_str(shown(c, p->features.at[0].left_over), "1/4 in");
}

/* ---- Edges ---- */

/* A wedge along each edge; at a corner two wedges share a pyramid of
 * w * w * h / 3. */
static void a_chamfer_takes_wedges(void **state) {
    Ctx        *c = *state;
    const Part *p = plank(c, "{'chamfer': {'edges': ['near'], 'width':"
                             " '1/4in'}}");

    assert_near(p->solid->volume / CUBIC_INCH, 30 - 10 * 0.25 * 0.25 / 2,
                1e-5);
    assert_near(face_area(p->solid, v3(0, 0, 1), T),
                10 * 3.75 * INCH * INCH, 0.1);
    assert_near(lost(c, "{'chamfer': {'width': '1/2in', 'depth': '1/4in',"
                     " 'into': 'back'}}"),
                (2 * 10 + 2 * 4) * 0.5 * 0.25 / 2
                - 4 * 0.5 * 0.5 * 0.25 / 3, 1e-5);
}

/* On a mitered end it runs along the slanted line: its length there is
 * W / cos(miter). */
static void a_chamfer_follows_a_miter(void **state) {
    Ctx        *c = *state;
    const Part *p = part_with(c, "'ends': {'right': {'miter': '30deg'}},"
        "'features': [{'chamfer': {'edges': ['right'], 'width': '1/8in'}}]");
    double whole = T * W * (L - W * tan(30 * DEG) / 2);
    double wedge = W / cos(30 * DEG) * pow(INCH / 8, 2) / 2;

    assert_near(whole - p->solid->volume, wedge, 0.03 * wedge);
}

static void an_edge_rounded_over_is_no_plain_part(void **state) {
    const Part *p = plank(*state, "{'round over': {'radius': '1/4in',"
                                  " 'edges': ['near', 'far']}}");

    assert_true(!p->plain);
    assert_true(p->features.at[0].on[0] && p->features.at[0].on[1]
                && !p->features.at[0].on[2]);
}

/* ---- Profiles ---- */

static void dentils_are_teeth_and_gaps(void **state) {
    Ctx        *c = *state;
    const Part *p = plank(c, "{'dentils': {'edge': 'far', 'pitch': '3/4in',"
                             " 'depth': '3/8in', 'start': '1/2in'}}");

    assert_int_equal(p->features.at[0].repeats, 12);
    assert_str(shown(c, p->features.at[0].left_over), "1/2 in");
    assert_near(40 - shape_area(p->face) / INCH / INCH,
                12 * 0.375 * 0.375, 1e-4);
    assert_near(40 - shape_area(plank(c, "{'dentils': {'pitch': '1in',"
        " 'depth': '1/2in', 'tooth': '3/4in', 'count': 4}}")->face)
        / INCH / INCH, 4 * 0.25 * 0.5, 1e-4);
}

/* Crests and hollows are alike: half of the strip goes. */
static void waves_take_half_of_their_strip(void **state) {
    Ctx        *c = *state;
    const Part *p = plank(c, "{'waves': {'pitch': '1 1/2in', 'depth':"
                             " '1/2in', 'start': '1/2in'}}");

    assert_int_equal(p->features.at[0].repeats, 6);
    assert_near(40 - shape_area(p->face) / INCH / INCH, 9 * 0.5 / 2, 1e-3);
    assert_true(p->curved);
}

/* ---- Repeats ---- */

/* Three notches of 1 in leave 7 in of 10 for the gaps. */
static void equal_gaps_are_exact(void **state) {
    Ctx *c = *state;
    static const struct { const char *ends; double gap, first; } rows[] = {
        { "gap", 7.0 / 4, 7.0 / 4 },
        { "piece", 7.0 / 2, 0 },
        { "half gap", 7.0 / 3, 7.0 / 6 },
    };

    for (int i = 0; i < COUNT(rows); i++) {
        const Part    *p = plank(c, str_z(c, str_fmt(c,
            "{'notch': {'at': ['5in', '0in'], 'length': '1in', 'width':"
            " '1in'}, 'repeat': {'count': 3, 'between': ['0in', 'length'],"
            " 'ends': '%s'}}", rows[i].ends)));
        const Feature *f = &p->features.at[0];
        assert_true(quantity_is_exact(f->gap) && quantity_is_exact(f->x));
        assert_near(f->gap.real, rows[i].gap * INCH, 1e-9);
        assert_near(f->x.real, rows[i].first * INCH, 1e-9);
        assert_near(f->copies.at[2].x.real, 2 * (1 + rows[i].gap) * INCH, 1e-9);
        assert_near(shape_area(p->face) / INCH / INCH, 37, 1e-4);
    }
}

/* n holes have n - 1 gaps from end to end: 8 in by at most 1 1/2 in takes
 * six gaps, by exactly 2 in four. */
static void the_largest_gap_finds_the_fewest(void **state) {
    Ctx *c = *state;
    static const struct { const char *most; int n; } rows[] = {
        { "1 1/2in", 7 }, { "2in", 5 }, { "1.99in", 6 }, { "8in", 2 },
    };

    for (int i = 0; i < COUNT(rows); i++) {
        const Part *p = plank(c, str_z(c, str_fmt(c,
            "{'hole': {'at': ['0in', '2in'], 'diameter': '1/4in'},"
            " 'repeat': {'largest gap': '%s', 'between': ['1in', '9in'],"
            " 'ends': 'piece'}}", rows[i].most)));
        assert_int_equal(p->features.at[0].count, rows[i].n);
        assert_near(p->features.at[0].x.real, INCH, 1e-9);
    }
}

static void rows_of_a_row_alternate(void **state) {
    Ctx           *c = *state;
    const Part    *p = plank(c, "{'hole': {'at': ['1in', '1in'],"
        " 'diameter': '1/8in'}, 'repeat': [{'count': 4, 'step': ['2in',"
        " '0in']}, {'count': 3, 'step': ['0in', '1in']}],"
        " 'alternate': {'by': '1in'}}");
    const Feature *f = &p->features.at[0];

    assert_int_equal(f->count, 12);
    assert_near(feature_copy(f, 1).x, 2 * INCH, 1e-9);
    assert_near(feature_copy(f, 4).x, 1 * INCH, 1e-9);
    assert_near(feature_copy(f, 4).y, 1 * INCH, 1e-9);
    assert_near(feature_copy(f, 8).x, 0, 1e-9);
    p = plank(c, "{'hole': {'at': ['1in', '1in'], 'diameter': '1/8in'},"
                 " 'repeat': {'count': 4, 'step': ['2in', '0in']},"
                 " 'alternate': {'by': ['0in', '2in'], 'every': 3}}");
    assert_near(feature_copy(&p->features.at[0], 1).y, 0, 1e-9);
    assert_near(feature_copy(&p->features.at[0], 2).y, 2 * INCH, 1e-9);
}

static void a_mirror_image_is_the_same_part_turned_over(void **state) {
    Ctx        *c = *state;
    const char *hole = "{'hole': {'at': ['2in', '1in'], 'diameter':"
                       " '1/2in'}, 'mirror': '%s'}";
    double      one = PI_ * 0.25 * 0.25 * INCH * INCH;
    static const struct { const char *way; int n; } rows[] = {
        { "length", 2 }, { "width", 2 }, { "both", 4 },
    };
    const Part *p;

    for (int i = 0; i < COUNT(rows); i++) {
        p = plank(c, str_z(c, str_fmt(c, hole, rows[i].way)));
        assert_int_equal(p->features.n, rows[i].n);
        assert_near(L * W - shape_area(p->face), rows[i].n * one, 0.05);
        if (rows[i].n == 4) {
            assert_true(shape_symmetric(p->face, true));
            assert_true(shape_symmetric(p->face, false));
        }
    }
    p = plank(c, "{'hole': {'at': ['5in', '1in'], 'diameter': '1/2in'},"
                 " 'mirror': 'length'}");
    assert_int_equal(p->features.n, 1);
    assert_null(p->features.at[0].mirrored);
    p = plank(c, "{'arch': {'center': '3in', 'width': '2in', 'spring':"
                 " '1/2in', 'rise': '1in'}, 'mirror': 'both'}");
    assert_near(40 - shape_area(p->face) / INCH / INCH,
                4 * (2 * 0.5 + PI_ / 2), 1e-3);
    assert_near(lost(c, "{'mortise': {'at': ['1in', '1/4in'], 'length':"
                     " '1in', 'width': '1/4in', 'depth': '1/2in', 'into':"
                     " 'near'}, 'mirror': 'both'}"), 4 * 0.125, 1e-5);
}

/* ---- Over the edge ---- */

static void a_cut_may_run_off_the_part(void **state) {
    Ctx *c = *state;

    assert_near(lost(c, "{'notch': {'at': ['-1in', '-1in'], 'length':"
                     " '2in', 'width': '3in'}}"), 1 * 2 * 0.75, 1e-5);
    assert_near(lost(c, "{'groove': {'at': ['9in', '1in'], 'length': '5in',"
                     " 'width': '1in', 'depth': '1/4in'}}"), 0.25, 1e-5);
    assert_near(lost(c, "{'hole': {'at': ['0in', '0in'], 'diameter':"
                     " '2in'}}"), PI_ / 4 * 0.75, 1e-3);
    assert_near(lost(c, "{'slot': {'at': ['10in', '2in'], 'length': '3in',"
                     " 'width': '1in'}}"), (1 + PI_ / 8) * 0.75, 1e-3);
    is_wrong(c, "{'slot': {'at': ['12in', '2in'], 'length': '3in',"
                " 'width': '1in'}}", FEATURE_BAD);
}

/* ---- Outlines ---- */

/* A cubic from 0, 0 to d, 0 with both controls at height h at its thirds is
 * x = d t, y = 3 h t (1 - t): its area is d h / 2. */
static void an_outline_may_have_curves(void **state) {
    Ctx        *c = *state;
    const Part *p = part_with(c, "'outline': [{'start': ['0in', '0in']},"
        "{'line to': ['9in', '0in']}, {'line to': ['9in', '2in']},"
        "{'curve to': ['0in', '2in'], 'controls': [['6in', '4in'],"
        " ['3in', '4in']]}]");

    assert_near(shape_area(p->face) / INCH / INCH, 18 + 9 * 2 / 2.0, 1e-3);
    assert_true(p->curved && p->solid->closed);
}

static void an_arc_may_have_a_radius(void **state) {
    Ctx *c = *state;
    static const char *const ways[] = { "left", "right" };
    double r = 5, a = 2 * asin(8.0 / 2 / r);
    double segment = r * r * (a - sin(a)) / 2;

    for (int i = 0; i < 2; i++) {
        const Part *p = part_with(c, str_z(c, str_fmt(c,
            "'outline': [{'start': ['0in', '0in']}, {'line to': ['8in',"
            " '0in']}, {'line to': ['8in', '%din']}, {'arc to': ['0in',"
            " '%din'], 'radius': '5in', 'bulge': '%s'}]", i ? 2 : 3,
            i ? 2 : 3, ways[i])));
        assert_near(shape_area(p->face) / INCH / INCH,
                    i ? 16 + segment : 24 - segment, 1e-3);
    }
}

/* ---- Outlines from SVG files ---- */

static const char *drawing_text;   // what the folder has in it

static bool read_drawing(Ctx *c, const char *path, Str *text,
                         const char **why) {
    if (strcmp(path, "a.svg") != 0) {
        *why = "there is no such file";
        return false;
    }
    *text = str_from(c, drawing_text);
    return true;
}

/* The plank with this drawing as its outline; NULL: refused. */
static const Part *drawn(Ctx *c, const char *svg, const char *more) {
    static const Files files = { read_drawing, NULL };
    const Model *m;

    drawing_text = svg;
    ctx_init(c, &files);
    m = try_model(c, str_z(c, str_fmt(c, BOARD ", 'parts': {'A': {'name':"
        " 'P', 'from': 'board', 'length': '10in', 'width': '4in',"
        " 'outline': {'svg': {'file': 'a.svg', 'id': 'p'%s}}}},"
        "'pieces': [{'part': 'A', 'at': ['0in', '0in', '0in']}]", more)));
    return m && !c->errors ? &m->parts.at[0] : NULL;
}

static double drawn_area(const char *d) {
    Ctx         c, *pc = &c;
    const Part *p;
    double      area;
    char        svg[1024];

    snprintf(svg, sizeof svg, "<?xml version=\"1.0\"?><!-- x > y -->"
        "<svg width=\"200mm\" height='100mm' viewBox=\"0,0 200 100\">"
        "<g><path id=\"o\" d=\"M0 0L1 1\"/><path d='%s' id='p'/></g></svg>",
        d);
    p = drawn(pc, svg, "");
    if (!p) {
        Str said = diags_text(pc);
        fail_msg("%s: %.*s", d, STR_ARG(said));
    }
    area = shape_area(p->face);
    ctx_free(pc);
    return area;
}

/* Areas in square millimeters: rectangles, a half disk, half an ellipse,
 * a cubic by the rule above, a parabola by two thirds. */
static void svg_paths_have_their_areas(void **state) {
    static const struct { const char *d; double area, within; } rows[] = {
        { "M 10 10 H 110 V 60 H 10 Z", 5000, 1e-3 },
        { "m10,10 100,0 0,50-100,0z", 5000, 1e-3 },
        { "M10 10l100 0v50h-100", 5000, 1e-3 },
        { "M0 50A50 50 0 0 1 100 50z", PI_ * 1250, 0.1 },
        { "M0 50a50 50 0 01100 0z", PI_ * 1250, 0.1 },
        { "M0 50 A 50 25 0 0 0 100 50 Z", PI_ * 625, 0.1 },
        { "M0 50 A 25 50 90 0 0 100 50 Z", PI_ * 625, 0.1 },
        { "M0 0 C 30 20 60 20 90 0 Z", 90 * 20 / 2.0, 0.1 },
        { "M0 0 Q 50 40 100 0 Z", 2.0 / 3 * 100 * 20, 0.1 },
        { "M0 0 q 25 20 50 0 t 50 0 v 40 h -100 z", 4000, 0.1 },
        { "M0 10 C 10 0 20 0 30 10 S 50 20 60 10 V 40 H 0 Z", 1800, 0.1 },
        { "M1e1 1.5L20.5 1.5 2.05e1 31.5 10,31.5Z", 10.5 * 30, 1e-3 },
    };

    (void)state;
    for (int i = 0; i < COUNT(rows); i++)
        assert_near(drawn_area(rows[i].d), rows[i].area, rows[i].within);
}

static bool has_arc(const Loop *loop) {
    for (int i = 0; i < loop->n; i++)
        if (loop->at[i].kind == SEG_ARC)
            return true;
    return false;
}

/* Areas follow the determinant of the map; where all directions are scaled
 * alike an arc stays an arc, else it becomes curves within 1e-7 of it. */
static void svg_transforms_are_applied(void **state) {
    static const char half[] = "M0 10A10 10 0 0 1 20 10z";
    static const char box[]  = "M0 0H20V10H0z";
    static const struct {
        const char *around, *own, *d;
        double      area, wide, high;
        bool        arc;
    } rows[] = {
        { "", "scale(2)", box, 800, 40, 20, false },
        { "translate(3)", "rotate(90)", box, 200, 10, 20, false },
        { "scale(3, 1)", "rotate(90 4,5)", box, 600, 30, 20, false },
        { "rotate(90)", "scale(3 1)", box, 600, 10, 60, false },
        { "scale(.5)", "translate(7 -9)scale(4)", box, 800, 40, 20, false },
        { "", "matrix(0 -1 1 0 5 5)", box, 200, 10, 20, false },
        { "", "skewX(45)", box, 200, 30, 10, false },
        { "skewY( 45 )", "", box, 200, 20, 30, false },
        { "", "rotate(180),scale(2)", half, 200 * PI_, 40, 20, true },
        { "scale(-1 1)", "", half, 50 * PI_, 20, 10, true },
        { "", "scale(2 1)", half, 100 * PI_, 40, 10, false },
    };

    (void)state;
    for (int i = 0; i < COUNT(rows); i++) {
        Ctx         c;
        const Part *p;
        char        svg[512];
        Box2        box_of;
        snprintf(svg, sizeof svg, "<svg width='90mm' height='90mm' viewBox="
                 "'0 0 90 90'><g transform='%s'><path id='p' d='%s' "
                 "transform='%s'/></g></svg>", rows[i].around, rows[i].d,
                 rows[i].own);
        p = drawn(&c, svg, "");
        if (!p)
            fail_msg("%s", svg);
        box_of = shape_box(p->outline);
        assert_near(shape_area(p->outline), rows[i].area, 1e-3);
        assert_near(box_of.max.x - box_of.min.x, rows[i].wide, 1e-5);
        assert_near(box_of.max.y - box_of.min.y, rows[i].high, 1e-5);
        assert_true(has_arc(&p->outline.loops.at[0]) == rows[i].arc);
        ctx_free(&c);
    }
}

/* The largest line is the outline, whichever way the others run. */
static void svg_paths_may_have_holes(void **state) {
    static const char *const good[] = {
        "M0 0H100V50H0Z M10 10H20V20H10Z",
        "M0 0H100V50H0Z M10 10V20H20V10Z",
        "M10 10V20H20V10ZM0 0H100V50H0Z",
        "m0 0h100v50h-100m10 -40v10h10v-10",
    };
    static const char *const bad[] = {
        "M0 0H50V50H0Z M60 0H70V10H60Z",        // beside it
        "M0 0H50V50H0Z M45 10H55V20H45Z",       // across its edge
        "M0 0H50V50H0Z M9 9H30V30H9Z M20 20H40V40H20Z",
    };
    Ctx  c;
    char svg[256];

    (void)state;
    for (int i = 0; i < COUNT(good); i++)
        assert_near(drawn_area(good[i]), 4900, 1e-3);
    assert_near(drawn_area("M0 0H100V50H0Z M20 25a10 10 0 0 1 20 0"
                           "a10 10 0 0 1 -20 0"), 5000 - 100 * PI_, 0.1);
    for (int i = 0; i < COUNT(bad); i++) {
        snprintf(svg, sizeof svg, "<svg width='90mm' height='90mm' viewBox="
                 "'0 0 90 90'><path id='p' d='%s'/></svg>", bad[i]);
        assert_null(drawn(&c, svg, ""));
        assert_int_equal(c.diags.at[0].code, SVG_BAD);
        ctx_free(&c);
    }
}

/* A scale of the design that is not that of the file: both are named. */
static void svg_scales_may_not_disagree(void **state) {
    static const char svg[] = "<svg width='9in' height='3in' viewBox='0 0 "
        "900 300'><path id='p' d='M0 0H100V50H0Z'/></svg>";
    Ctx         c;
    const Part *p;

    (void)state;
    assert_null(drawn(&c, svg, ", 'scale': '1mm'"));
    assert_int_equal(c.diags.n, 1);
    assert_str(c.diags.at[0].what, "one unit of the drawing is 0.254 mm by "
               "its width and viewBox, but 1 mm by \"scale\"");
    ctx_free(&c);
    p = drawn(&c, svg, ", 'scale': '1/100in'");
    assert_non_null(p);
    assert_near(shape_box(p->outline).max.x, INCH, 1e-6);
    ctx_free(&c);
}

/* A corner that is high in the drawing is far in the part. */
static void svg_drawings_are_turned_upright(void **state) {
    Ctx         c;
    const Part *p = drawn(&c, "<svg width='4in' height='2in' viewBox='0 0"
        " 400 200'><path id='p' d='M100 100H300V200H100ZM0 0H9V9z'/></svg>",
        "");

    (void)state;
    assert_null(p);   // a second piece beside the first
    ctx_free(&c);
    p = drawn(&c, "<svg width='4in' height='2in' viewBox='0 0 400 200'>"
              "<path id='p' d='M100 0H300L100 100Z'/></svg>", "");
    assert_non_null(p);
    assert_near(p->outline.loops.at[0].at[0].a.y, INCH, 1e-9);
    assert_near(shape_box(p->outline).min.x, 0, 1e-9);
    assert_near(shape_box(p->outline).max.x, 2 * INCH, 1e-9);
    ctx_free(&c);
    p = drawn(&c, "<svg><path id='p' d='M0 0H20V10H0Z'/></svg>",
              ", 'scale': '1/4in'");
    assert_non_null(p);
    assert_near(shape_area(p->face) / INCH / INCH, 5 * 2.5, 1e-4);
    ctx_free(&c);
}

static void svg_files_are_refused_with_a_place(void **state) {
    static const char good[] = "<svg width='9in' height='3in'"
                               " viewBox='0 0 900 300'>";
    static const struct { const char *head, *rest; int line, col; } rows[] = {
        { good, "\n<path id='q' d='M0 0H9V9z'/></svg>", 0, 0 },
        { good, "\n<rect id='p' width='9'/></svg>", 2, 2 },
        { good, "\n<g transform='wag(2)'><path id='p' d='M0 0H9V9z'/>", 2,
          15 },
        { good, "\n<path id='p' transform='rotate(1 2)' d='M0 0z'/>", 2, 25 },
        { good, "\n<path id='p' transform='scale(1 0)' d='M0 0z'/>", 2, 25 },
        { good, "\n<path id='p' transform='scale(1' d='M0 0z'/>", 2, 25 },
        { good, "\n<svg><path id='p' d='M0 0H9V9z'/>", 2, 2 },
        { good, "\n<path id='p' d='M0 0H9Vz'/>", 2, 24 },
        { good, "\n<path id='p' d='M0 0B9'/>", 2, 21 },
        { good, "\n<path id='p' d='L0 0 9 9'/>", 2, 17 },
        { good, "\n<path id='p'/>", 2, 2 },
        { good, "\n<path id='p' d='M0 0'/>", 2, 17 },
        { good, "\n<path id='p' d='M0 0 1e99 2z'/>", 2, 22 },
        { good, "\n<path id='p' d='M0 0A1 1 0 2 1 9 9z'/>", 2, 28 },
        { good, "\n<path id='p' d='M0 0", 2, 16 },
        { good, "\n<path id=p>", 2, 10 },
        { "<html>", "", 1, 2 },
        { "<!DOCTYPE svg [<!ENTITY a 'b'>]>", "", 1, 1 },
        { "<svg width='300px' height='9px' viewBox='0 0 300 9'>",
          "<path id='p' d='M0 0H9V9z'/>", 1, 13 },
        { "<svg width='9in' height='9in' viewBox='0 0 300 9'>",
          "<path id='p' d='M0 0H9V9z'/>", 1, 40 },
        { "<svg width='9e99999in' height='9in' viewBox='0 0 9 9'>",
          "<path id='p' d='M0 0H9V9z'/>", 0, 0 },
        { "<svg width='9in' height='9in' viewBox='0 0 9'>",
          "<path id='p' d='M0 0H9V9z'/>", 1, 40 },
    };

    (void)state;
    for (int i = 0; i < COUNT(rows); i++) {
        Ctx     c;
        LineCol at;
        char    svg[512];
        snprintf(svg, sizeof svg, "%s%s", rows[i].head, rows[i].rest);
        assert_null(drawn(&c, svg, ""));
        if (has_diag(&c, SVG_BAD) != 1 || c.errors != 1)
            fail_msg("%s: %.*s", svg, STR_ARG(diags_text(&c)));
        at = loc_line_col(&c, c.diags.at[0].loc);
        if (rows[i].line && (at.line != rows[i].line
                             || at.col != rows[i].col))
            fail_msg("%s: %d:%d", svg, at.line, at.col);
        ctx_free(&c);
    }
}

/* ---- Mistakes ---- */

static void wrong_values_are_told(void **state) {
    static const char *const rows[] = {
        "{'dado': {'at': '1in', 'width': '1in', 'depth': '3/4in'}}",
        "{'dado': {'at': '1in', 'width': '1in', 'depth': '1/4in', 'from':"
        " '3in', 'to': '2in'}}",
        "{'lap': {'length': '2in'}}",
        "{'lap': {'length': '2in', 'at': '1in', 'end': 'left'}}",
        "{'rabbet': {'edge': 'near', 'width': '1in', 'depth': '1in'}}",
        "{'tenon': {'end': 'left', 'length': '1in', 'thickness': '1in'}}",
        "{'tenon': {'end': 'left', 'length': '1in', 'thickness':"
        " 'thickness'}}",
        "{'tenon': {'end': 'left', 'length': '1in', 'show shoulder':"
        " '1/4in', 'back shoulder': '1/8in'}}",
        "{'slot': {'at': ['1in', '1in'], 'length': '1in', 'width': '1in'}}",
        "{'hole': {'at': ['1in', '1in'], 'diameter': '1/2in',"
        " 'countersink': {'diameter': '3/8in'}}}",
        "{'hole': {'at': ['1in', '1in'], 'diameter': '1/8in',"
        " 'countersink': {'diameter': '3/8in', 'angle': '30deg'}}}",
        "{'finger joint': {'end': 'left', 'depth': '1in'}}",
        "{'finger joint': {'end': 'left', 'depth': '1in', 'pitch': '5in'}}",
        "{'finger joint': {'end': 'left', 'depth': '1in', 'pitch': '1in'},"
        " 'repeat': {'count': 2, 'step': ['1in', '0in']}}",
        "{'chamfer': {'width': '1in', 'edges': ['near']}}",
        "{'chamfer': {'width': '1/4in', 'edges': ['show']}}",
        "{'round over': {'radius': '3in'}}",
        "{'dentils': {'pitch': '1in', 'depth': '1/4in', 'tooth': '1in'}}",
        "{'waves': {'pitch': '1in', 'depth': '3/4in'}}",
        "{'waves': {'pitch': '11in', 'depth': '3/4in', 'count': 1}}",
        "{'notch': {'at': ['0in', '0in'], 'length': '3in', 'width': '1in'},"
        " 'repeat': {'count': 4, 'between': ['0in', '10in']}}",
        "{'hole': {'at': ['0in', '1in'], 'diameter': '1/8in'}, 'repeat':"
        " {'count': 1, 'between': ['0in', '10in'], 'ends': 'piece'}}",
        "{'hole': {'at': ['0in', '1in'], 'diameter': '1/8in'}, 'repeat':"
        " {'largest gap': '0.001in', 'between': ['0in', '10in']}}",
        "{'hole': {'at': ['0in', '1in'], 'diameter': '1/8in'}, 'repeat':"
        " [{'count': 100, 'step': ['0in', '0in']},"
        "  {'count': 100, 'step': ['0in', '0in']}]}",
        "{'waves': {'pitch': '1in', 'depth': '1/4in'}, 'repeat':"
        " {'count': 2, 'between': ['0in', '10in']}}",
    };

    for (int i = 0; i < COUNT(rows); i++)
        is_wrong(*state, rows[i], FEATURE_BAD);
    is_wrong(*state, "{'cutout': {'outline': [{'start': ['0in', '0in']},"
             " {'line to': ['2in', '0in']}, {'arc to': ['0in', '2in'],"
             " 'radius': '1in', 'bulge': 'left'}]}}", OUTLINE_BAD);
    is_wrong(*state, "{'cutout': {'outline': [{'start': ['0in', '0in']},"
             " {'curve to': ['2in', '0in'], 'controls': [['1in', '1in']]}"
             "]}}", OUTLINE_BAD);
    is_wrong(*state, "{'cutout': {'outline': {'svg': {'file': '../a.svg',"
             " 'id': 'p'}}}}", SVG_BAD);
    is_wrong(*state, "{'cutout': {'outline': {'svg': {'file': '/a.svg',"
             " 'id': 'p'}}}}", SVG_BAD);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(a_dado_runs_across_the_width),
        TEST(a_rabbet_runs_along_each_side),
        TEST(a_lap_takes_half_the_thickness),
        TEST(a_tenon_is_what_its_shoulders_leave),
        TEST(a_mortise_is_chopped_into_any_side),
        TEST(a_slot_has_round_ends),
        TEST(a_countersink_is_a_cone),
        TEST(finger_joints_divide_the_width),
        TEST(a_chamfer_takes_wedges),
        TEST(a_chamfer_follows_a_miter),
        TEST(an_edge_rounded_over_is_no_plain_part),
        TEST(dentils_are_teeth_and_gaps),
        TEST(waves_take_half_of_their_strip),
        TEST(equal_gaps_are_exact),
        TEST(the_largest_gap_finds_the_fewest),
        TEST(rows_of_a_row_alternate),
        TEST(a_mirror_image_is_the_same_part_turned_over),
        TEST(a_cut_may_run_off_the_part),
        TEST(an_outline_may_have_curves),
        TEST(an_arc_may_have_a_radius),
        TEST(svg_paths_have_their_areas),
        TEST(svg_transforms_are_applied),
        TEST(svg_paths_may_have_holes),
        TEST(svg_scales_may_not_disagree),
        TEST(svg_drawings_are_turned_upright),
        TEST(svg_files_are_refused_with_a_place),
        TEST(wrong_values_are_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
