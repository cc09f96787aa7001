/* Template sheets: which parts get one, and how patterns are laid out. */
#include "unit/test.h"

#include "plan/plan.h"

static Quantity mm(int64_t n) {
    return quantity_exact(n, 1, DIM_LENGTH);
}

/* ---- Models by hand ---- */

static Part *add_part(Ctx *c, Model *m, Shape face) {
    Part *p = PUSH(c, &m->parts);
    Box2  box = shape_box(face);

    p->letter      = str_fmt(c, "%c", 'A' + m->parts.n - 1);
    p->quantity    = 1;
    p->face        = face;
    p->long_length = quantity_mm(box.max.x);
    p->width       = quantity_mm(box.max.y);
    p->outlined    = true;
    return p;
}

static Shape rect(Ctx *c, double length, double width) {
    return shape_rect(c, v2(0, 0), v2(length, width));
}

/* A rectangle with a nick near its left end: not symmetric. */
static Shape nicked(Ctx *c, double length, double width) {
    return shape_subtract(c, rect(c, length, width),
                          shape_rect(c, v2(5, -1), v2(9, 4)));
}

static Workplan *plan(Ctx *c, const Model *m) {
    Workplan *p = NEW(c, Workplan);

    plan_sheets(c, m, p);
    return p;
}

/* ---- Judges ---- */

/* Even-odd rule. */
static bool is_in(const Rings *rings, double x, double y) {
    bool in = false;

    for (int i = 0; i < rings->n; i++) {
        const Ring *r = &rings->at[i];
        for (int k = 0; k < r->n; k++) {
            V2 a = r->at[k], b = r->at[(k + 1) % r->n];
            if ((a.y > y) != (b.y > y)
                && x < a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y))
                in = !in;
        }
    }
    return in;
}

static bool is_shown(const Workplan *p, int pattern, double x, double y) {
    for (int i = 0; i < p->sheets.n; i++) {
        for (int k = 0; k < p->sheets.at[i].on.n; k++) {
            const OnSheet *on = &p->sheets.at[i].on.at[k];
            double u = x + on->at.x, v = y + on->at.y;
            if (on->pattern == pattern && u >= 0 && u <= SHEET_W && v >= 0
                && v <= SHEET_H)
                return true;
        }
    }
    return false;
}

/* Every point of the shape (on a lattice of 1 mm) lies in the window of a
 * sheet that shows the pattern. */
static bool is_covered(Ctx *c, const Workplan *p, int pattern) {
    const Pattern *t     = &p->patterns.at[pattern];
    Rings          rings = shape_rings(c, t->shape, 0.01);
    Box2           box   = shape_box(t->shape);
    int            missed = 0, seen = 0;

    for (double x = 0.01; x < box.max.x; x += 1.03) {
        for (double y = 0.01; y < box.max.y; y += 1.03) {
            if (!is_in(&rings, x, y))
                continue;
            missed += !is_shown(p, pattern, x, y);
            seen++;
        }
    }
    return seen > 100 && missed == 0;
}

/* The judge is judged: a sheet that is lost, or moved, leaves a gap. */
static void a_lost_sheet_is_seen(void **state) {
    Ctx      *c = *state;
    Model    *m = NEW(c, Model);
    Workplan *p;

    add_part(c, m, nicked(c, 520, 440));
    p = plan(c, m);
    assert_true(is_covered(c, p, 0));
    p->sheets.at[1].on.at[0].at.x += 20;
    assert_false(is_covered(c, p, 0));
    p->sheets.at[1].on.at[0].at.x -= 20;
    p->sheets.n--;
    assert_false(is_covered(c, p, 0));
}

/* Small patterns lie inside the window, 8 mm apart. */
static bool sheets_are_tidy(const Workplan *p) {
    for (int i = 0; i < p->sheets.n; i++) {
        const Sheet *s = &p->sheets.at[i];
        for (int k = 0; k < s->on.n && s->on.n > 1; k++) {
            V2 a  = s->on.at[k].at;
            V2 ea = shape_box(p->patterns.at[s->on.at[k].pattern].shape).max;
            if (a.x < -1e-6 || a.y < -1e-6 || a.x + ea.x > SHEET_W + 1e-6
                || a.y + ea.y > SHEET_H + 1e-6)
                return false;
            for (int j = 0; j < k; j++) {
                V2 b  = s->on.at[j].at;
                V2 eb = shape_box(p->patterns.at[s->on.at[j].pattern]
                                  .shape).max;
                if (!(a.x + ea.x + 8 <= b.x + 1e-6
                      || b.x + eb.x + 8 <= a.x + 1e-6
                      || a.y + ea.y + 8 <= b.y + 1e-6
                      || b.y + eb.y + 8 <= a.y + 1e-6))
                    return false;
            }
        }
    }
    return true;
}

static bool shows(const Workplan *p, int pattern) {
    for (int i = 0; i < p->sheets.n; i++) {
        for (int k = 0; k < p->sheets.at[i].on.n; k++) {
            if (p->sheets.at[i].on.at[k].pattern == pattern)
                return true;
        }
    }
    return false;
}

/* ---- Which parts ---- */

static void only_shaped_parts_get_a_template(void **state) {
    Ctx  *c = *state;
    Part  p = { .plain = true };

    assert_false(part_has_template(&p));
    p.jig = true;
    assert_false(part_has_template(&p));   // a plain spacer block
    p.plain = false;
    assert_true(part_has_template(&p));
    p.jig = false;
    assert_false(part_has_template(&p));   // a miter needs none
    p.curved = true;
    assert_true(part_has_template(&p));
    p.templated = -1;
    assert_false(part_has_template(&p));
    p = (Part){ .plain = true, .templated = 1 };
    assert_true(part_has_template(&p));
    p = (Part){ .outlined = true };
    assert_true(part_has_template(&p));
    p = (Part){ 0 };
    PUSH(c, &p.features)->kind = FEATURE_SCALLOP;
    assert_true(part_has_template(&p));
}

static void three_holes_in_a_face_make_a_template(void **state) {
    Ctx     *c = *state;
    Part     p = { 0 };
    Feature *f = PUSH(c, &p.features);

    f->kind  = FEATURE_HOLE;
    f->count = 2;
    assert_false(part_has_template(&p));
    f->count = 3;
    assert_true(part_has_template(&p));
    f->side = SIDE_NEAR;
    assert_false(part_has_template(&p));
}

/* ---- One pattern ---- */

static void a_small_pattern_begins_at_its_corner(void **state) {
    Ctx           *c = *state;
    Model         *m = NEW(c, Model);
    Workplan      *p;
    const Pattern *t;
    Box2           box;

    add_part(c, m, shape_move(c, nicked(c, 100, 60), v2(7, 3)));
    p = plan(c, m);
    assert_int_equal(p->patterns.n, 1);
    t   = &p->patterns.at[0];
    box = shape_box(t->shape);
    assert_near(box.min.x, 0, 1e-9);
    assert_near(box.min.y, 0, 1e-9);
    assert_near(box.max.x, 100, 1e-6);
    assert_near(t->origin.x, -7, 1e-9);
    assert_near(t->origin.y, -3, 1e-9);
    assert_false(t->half || t->turned);
    assert_str(p->sheets.at[0].name, "T1");
    assert_true(is_covered(c, p, 0));
}

static void a_long_pattern_is_turned_to_fit_one_sheet(void **state) {
    Ctx      *c = *state;
    Model    *m = NEW(c, Model);
    Workplan *p;
    Box2      box;
    V2        corner;

    add_part(c, m, nicked(c, 220, 100));
    p = plan(c, m);
    assert_int_equal(p->sheets.n, 1);
    assert_true(p->patterns.at[0].turned);
    box = shape_box(p->patterns.at[0].shape);
    assert_near(box.max.x, 100, 1e-6);
    assert_near(box.max.y, 220, 1e-6);
    /* part's (220, 100) is at origin + (-100, 220): the top left */
    corner = v2_add(p->patterns.at[0].origin, v2(-100, 220));
    assert_near(corner.x, 0, 1e-6);
    assert_near(corner.y, 220, 1e-6);
}

static void a_symmetric_pattern_is_halved_to_save_sheets(void **state) {
    Ctx           *c = *state;
    Model         *m = NEW(c, Model);
    Workplan      *p;
    const Pattern *t;

    add_part(c, m, shape_subtract(c, rect(c, 360, 200),
                                  shape_circle(c, v2(180, 100), 40)));
    p = plan(c, m);
    t = &p->patterns.at[0];
    assert_int_equal(p->sheets.n, 1);
    assert_true(t->half);
    assert_false(t->turned);
    assert_near(t->fold_x, 180, 1e-6);
    assert_near(shape_box(t->shape).max.x, 180, 1e-6);
    assert_near(shape_area(t->shape), 180 * 200 - 3.14159265358979 * 800,
                0.1);
}

static void what_is_not_symmetric_stays_whole(void **state) {
    Ctx      *c = *state;
    Model    *m = NEW(c, Model);
    Workplan *p;

    add_part(c, m, nicked(c, 360, 200));
    p = plan(c, m);
    assert_false(p->patterns.at[0].half);
    assert_true(p->sheets.n > 1);
    assert_true(is_covered(c, p, 0));
}

static void a_blind_hole_without_a_twin_keeps_the_pattern_whole(void **state) {
    Ctx *c = *state;

    for (int twins = 1; twins <= 2; twins++) {
        Model   *m = NEW(c, Model);
        Part    *part = add_part(c, m, rect(c, 360, 200));
        Feature *f = PUSH(c, &part->features);
        f->kind     = FEATURE_HOLE;
        f->x        = mm(60);
        f->y        = mm(50);
        f->diameter = mm(8);
        f->depth    = mm(10);
        *PUSH(c, &f->copies) = (Offset){ mm(0), mm(0) };
        *PUSH(c, &f->copies) = (Offset){ mm(240), mm(0) };
        f->length   = f->width = mm(0);
        f->count    = twins;
        assert_int_equal(plan(c, m)->patterns.at[0].half, twins == 2);
    }
}

/* ---- Tiles ---- */

/* Window 183 x 228, overlap 12: three windows reach 183 + 2 * 171 = 525,
 * two rows 228 + 216 = 444. [computed] */
static void a_large_pattern_needs_the_windows_of_its_size(void **state) {
    Ctx *c = *state;
    static const struct { double l, w; int columns, rows; } rows[] = {
        { 525, 444, 3, 2 }, { 400, 228, 3, 1 }, { 526, 440, 4, 2 },
        { 183, 228, 1, 1 }, { 354, 228, 2, 1 },
    };

    for (int i = 0; i < COUNT(rows); i++) {
        Model    *m = NEW(c, Model);
        Workplan *p;
        int       n = rows[i].columns * rows[i].rows;
        add_part(c, m, nicked(c, rows[i].l, rows[i].w));
        p = plan(c, m);
        assert_true(p->sheets.n <= n);
        if (!p->patterns.at[0].turned) {
            assert_int_equal(p->patterns.at[0].columns, rows[i].columns);
            assert_int_equal(p->patterns.at[0].rows, rows[i].rows);
        }
        assert_true(is_covered(c, p, 0));
    }
}

static void neighbors_share_a_strip_of_twelve(void **state) {
    Ctx      *c = *state;
    Model    *m = NEW(c, Model);
    Workplan *p;
    int       seams = 0;

    add_part(c, m, nicked(c, 520, 440));
    p = plan(c, m);
    for (int i = 0; i < p->sheets.n; i++) {
        for (int k = 0; k < p->sheets.n; k++) {
            const OnSheet *a = &p->sheets.at[i].on.at[0];
            const OnSheet *b = &p->sheets.at[k].on.at[0];
            if (b->row == a->row && b->column == a->column + 1) {
                assert_near(SHEET_W - (a->at.x - b->at.x), 12, 1e-9);
                assert_near(a->at.y, b->at.y, 1e-9);
                seams++;
            }
            if (b->column == a->column && b->row == a->row + 1) {
                assert_near(SHEET_H - (a->at.y - b->at.y), 12, 1e-9);
                assert_near(a->at.x, b->at.x, 1e-9);
                seams++;
            }
        }
    }
    assert_int_equal(seams, 7);   // 3 x 2 windows: 4 upright, 3 level
}

static void tiles_are_named_by_part_column_and_row(void **state) {
    Ctx      *c = *state;
    Model    *m = NEW(c, Model);
    Workplan *p;

    add_part(c, m, nicked(c, 50, 50));
    add_part(c, m, nicked(c, 350, 440));
    p = plan(c, m);
    assert_int_equal(p->sheets.n, 5);
    assert_str(p->sheets.at[0].name, "T1");
    assert_str(p->sheets.at[1].name, "B-A1");
    assert_str(p->sheets.at[2].name, "B-B1");
    assert_str(p->sheets.at[3].name, "B-A2");
    assert_str(p->sheets.at[4].name, "B-B2");
    assert_int_equal(p->patterns.at[1].first_sheet, 1);
}

/* geometry-notes 5: empty windows are skipped. An L of two arms 60 wide. */
static void empty_windows_are_not_printed(void **state) {
    Ctx      *c = *state;
    Model    *m = NEW(c, Model);
    Workplan *p;
    Shape     ell = shape_subtract(c, rect(c, 520, 440),
                                   shape_rect(c, v2(60, 60), v2(600, 500)));

    add_part(c, m, ell);
    p = plan(c, m);
    assert_true(p->sheets.n <= 4);
    assert_true(is_covered(c, p, 0));
}

static Shape band(Ctx *c, double radius, double width, double degrees) {
    double half = degrees / 2 * 3.14159265358979 / 180;
    double a0 = 3.14159265358979 / 2 + half;
    double r = radius - width / 2, q = radius + width / 2;
    V2     o = v2(q, 0);
    V2     p1 = v2(o.x + q * cos(a0), q * sin(a0));
    V2     p2 = v2(o.x + q * cos(a0 - 2 * half), q * sin(a0 - 2 * half));
    V2     p3 = v2(o.x + r * cos(a0 - 2 * half), r * sin(a0 - 2 * half));
    V2     p4 = v2(o.x + r * cos(a0), r * sin(a0));
    Shape  s = { 0 };
    Loop  *l = PUSH(c, &s.loops);

    *PUSH(c, l) = seg_arc(p4, p3, o, -2 * half);
    *PUSH(c, l) = seg_line(p3, p2);
    *PUSH(c, l) = seg_arc(p2, p1, o, 2 * half);
    *PUSH(c, l) = seg_line(p1, p4);
    return s;
}

/* geometry-notes 5 measured 7 A4 sheets for the whole of this band (radius
 * 600, width 100, 120 degrees) on the best grid of larger windows. Half of
 * it has a box of 4 x 2 windows here; three of them are empty. */
static void a_curved_band_takes_few_sheets(void **state) {
    Ctx      *c = *state;
    Model    *m = NEW(c, Model);
    Workplan *p;

    add_part(c, m, band(c, 600, 100, 120))->curved = true;
    p = plan(c, m);
    assert_true(p->patterns.at[0].half);
    assert_int_equal(p->patterns.at[0].columns * p->patterns.at[0].rows, 8);
    assert_true(p->sheets.n <= 5);
    assert_true(is_covered(c, p, 0));
}

static void chance_shapes_are_covered(void **state) {
    Ctx     *c = *state;
    uint32_t seed = 4711;

    for (int i = 0; i < 12; i++) {
        Model    *m = NEW(c, Model);
        Shape     s;
        Workplan *p;
        double    v[6];
        for (int k = 0; k < 6; k++) {
            seed = seed * 1664525u + 1013904223u;
            v[k] = (seed >> 8) % 1000 / 1000.0;
        }
        s = shape_union(c, rect(c, 120 + 400 * v[0], 40 + 60 * v[1]),
                        shape_circle(c, v2(120 + 300 * v[2], 40), 45
                                     + 150 * v[3]));
        s = shape_union(c, s, shape_circle(c, v2(500 * v[4], 80),
                                           30 + 60 * v[5]));
        add_part(c, m, s)->curved = true;
        p = plan(c, m);
        assert_true(is_covered(c, p, 0));
    }
}

/* ---- Small ones together ---- */

static void small_patterns_share_sheets(void **state) {
    Ctx      *c = *state;
    Model    *m = NEW(c, Model);
    Workplan *p;

    for (int i = 0; i < 8; i++)
        add_part(c, m, nicked(c, 80, 50 - i));
    p = plan(c, m);
    assert_int_equal(p->sheets.n, 1);   // 2 x 4 of 80 x 50 with 8 between
    assert_true(sheets_are_tidy(p));
    for (int i = 0; i < 8; i++)
        assert_true(shows(p, i));
}

static void turning_small_patterns_saves_sheets(void **state) {
    Ctx      *c = *state;
    Model    *m = NEW(c, Model);
    Workplan *p;

    for (int i = 0; i < 3; i++)   // lying: one to a shelf, two shelves
        add_part(c, m, nicked(c, 170, 85));   // standing: two to a shelf
    add_part(c, m, nicked(c, 85, 40));
    p = plan(c, m);
    assert_true(p->sheets.n <= 2);
    assert_true(sheets_are_tidy(p));
}

static void many_small_patterns_lie_apart(void **state) {
    Ctx      *c = *state;
    Model    *m = NEW(c, Model);
    uint32_t  seed = 5;
    double    area = 0;
    Workplan *p;

    for (int i = 0; i < 26; i++) {
        double size[2];
        for (int k = 0; k < 2; k++) {
            seed    = seed * 1664525u + 1013904223u;
            size[k] = 15 + (seed >> 8) % 100;
        }
        area += size[0] * size[1];
        add_part(c, m, nicked(c, size[0], size[1]));
    }
    p = plan(c, m);
    assert_true(sheets_are_tidy(p));
    for (int i = 0; i < 26; i++)
        assert_true(shows(p, i));
    assert_true(p->sheets.n <= 2 * ceil(area / (SHEET_W * SHEET_H)));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(a_lost_sheet_is_seen),
        TEST(only_shaped_parts_get_a_template),
        TEST(three_holes_in_a_face_make_a_template),
        TEST(a_small_pattern_begins_at_its_corner),
        TEST(a_long_pattern_is_turned_to_fit_one_sheet),
        TEST(a_symmetric_pattern_is_halved_to_save_sheets),
        TEST(what_is_not_symmetric_stays_whole),
        TEST(a_blind_hole_without_a_twin_keeps_the_pattern_whole),
        TEST(a_large_pattern_needs_the_windows_of_its_size),
        TEST(neighbors_share_a_strip_of_twelve),
        TEST(tiles_are_named_by_part_column_and_row),
        TEST(empty_windows_are_not_printed),
        TEST(a_curved_band_takes_few_sheets),
        TEST(chance_shapes_are_covered),
        TEST(small_patterns_share_sheets),
        TEST(turning_small_patterns_saves_sheets),
        TEST(many_small_patterns_lie_apart),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
