/* assembly_test -- properties of whole designs: the starters, the demos, and
 * those of tests/wrong/ that get as far as pieces. Moved or turned as one,
 * nothing changes; what two pieces share does not ask which is named first;
 * areas by finish are what the triangles of the surface say, glue and
 * interference what a sum by hand says. */
#include "unit/design_text.h"

#include "model/model_internal.h"

#include <glob.h>

static double between(uint64_t *seed, double lo, double hi) {
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    return lo + (hi - lo) * ((double)(*seed >> 11) / 9007199254740992.0);
}

static glob_t all_designs(bool wrong_ones) {
    glob_t g;

    assert_int_equal(glob(TEMPLATE_DIR "/*.json", 0, NULL, &g), 0);
    assert_int_equal(glob(TEMPLATE_DIR "/../plans-demo/*/*.json",
                          GLOB_APPEND, NULL, &g), 0);
    if (wrong_ones)
        assert_int_equal(glob(TEMPLATE_DIR "/../tests/wrong/*.json",
                              GLOB_APPEND, NULL, &g), 0);
    return g;
}

/* ---- Moved as one ---- */

typedef struct { V3 axis; double angle; V3 by; } Motion;

static Frame moved(Frame f, const Motion *w) {
    f   = frame_turn(f, v3(100, 50, 25), w->axis, w->angle);
    f.o = v3_add(f.o, w->by);
    return f;
}

/* The model with all pieces elsewhere, and everything found afresh. */
static void find_again(Ctx *c, const Model *m, const Motion *w, Model *out) {
    Build b = { .c = c, .m = out, .d = m->design, .s = m->sizes };

    *out = *m;
    memset(&out->contacts, 0, sizeof out->contacts);
    memset(&out->collisions, 0, sizeof out->collisions);
    memset(&out->fasteners, 0, sizeof out->fasteners);
    memset(&out->rows, 0, sizeof out->rows);
    memset(&out->weak, 0, sizeof out->weak);
    out->pieces.at = NEW_N(c, Piece, m->pieces.n);
    for (int i = 0; i < m->pieces.n; i++) {
        Piece *p = &out->pieces.at[i];
        *p       = m->pieces.at[i];
        p->frame = moved(p->frame, w);
        p->box   = solid_box(m->parts.at[p->part].solid, &p->frame);
        if (m->order_found)
            p->step = -1;
    }
    if (m->order_found)
        memset(&out->steps, 0, sizeof out->steps);
    out->order_found = false;
    for (int i = 0; i < out->steps.n; i++)
        for (int k = 0; k < out->steps.at[i].fixes.n; k++)
            out->steps.at[i].fixes.at[k].glue_area = 0;
    c->diags.n = c->errors = 0;
    check_model(&b);
}

static V3 point_moved(V3 p, const Motion *w) {
    Frame f = FRAME_WORLD;

    f.o = p;
    return moved(f, w).o;
}

static bool same(double a, double b) {
    return fabs(a - b) <= 1e-6 * fmax(1, fabs(a)) + 1e-3;
}

static void compare_contacts(const Model *m, const Model *n,
                             const Motion *w) {
    assert_int_equal(m->contacts.n, n->contacts.n);
    for (int i = 0; i < m->contacts.n; i++) {
        const Contact *a = &m->contacts.at[i], *b = &n->contacts.at[i];
        assert_int_equal(a->a, b->a);
        assert_int_equal(a->b, b->b);
        assert_true(same(a->area, b->area));
        assert_int_equal(a->normals, b->normals);
        if (!a->edge)
            assert_true(v3_len(v3_sub(point_moved(a->at, w), b->at)) < 1e-2);
    }
    assert_int_equal(m->collisions.n, n->collisions.n);
    for (int i = 0; i < m->collisions.n; i++) {
        const Collision *a = &m->collisions.at[i], *b = &n->collisions.at[i];
        assert_int_equal(a->a, b->a);
        assert_int_equal(a->b, b->b);
        assert_true(same(a->shared.volume, b->shared.volume));
        assert_true(same(a->shared.depth, b->shared.depth));
    }
}

/* Rows run to the right, to the back or up, so they may be numbered from
 * their other end: every place is there again. */
static bool is_there_again(const Fastener *f, const Model *n,
                           const Motion *w) {
    for (int i = 0; i < n->fasteners.n; i++) {
        const Fastener *g = &n->fasteners.at[i];
        if (g->step == f->step && g->fix == f->fix && g->from == f->from
            && g->into == f->into && same(f->held, g->held)
            && same(f->hold, g->hold)
            && v3_len(v3_sub(point_moved(f->head, w), g->head)) < 1e-2)
            return true;
    }
    return false;
}

static void compare_fasteners(const Model *m, const Model *n,
                              const Motion *w) {
    assert_int_equal(m->fasteners.n, n->fasteners.n);
    for (int i = 0; i < m->fasteners.n; i++)
        assert_true(is_there_again(&m->fasteners.at[i], n, w));
}

typedef struct { DiagCode code[64]; int n; } Found;

static bool is_of_fasteners(DiagCode code) {
    return code == FASTENER_MISSES || code == FASTENER_THROUGH
        || code == FASTENER_OUT || code == FASTENERS_MEET
        || code == FASTENER_SHORT || code == FASTENER_EDGE
        || code == FASTENER_REACH || code == POCKET_THIN;
}

/* All, or those that are the same whichever way is up. */
static Found findings_of(const Ctx *c, bool upright) {
    Found f = { .n = 0 };

    for (int i = 0; i < c->diags.n; i++) {
        DiagCode code = c->diags.at[i].code;
        if (!upright && !is_of_fasteners(code))
            continue;
        assert_true(f.n < COUNT(f.code));
        f.code[f.n++] = code;
    }
    return f;
}

/* Fasteners keep their places and what is said of them; `upright`: what
 * stood stands, and all the rest is said again. Returns how many findings
 * the design has. */
static int check_moved(const char *path, const Motion *w, bool upright) {
    static const Motion none = { { 0, 0, 1 }, 0, { 0, 0, 0 } };
    Ctx           c;
    const Design *d;
    const Model  *m = NULL;
    Model         here, there;
    Found         before = { .n = 0 }, after;

    ctx_init(&c, &real_files);
    d = design_read(&c, path);
    if (d && !c.errors)
        m = model_placed(&c, d, sizes_new(&c));
    if (m) {
        find_again(&c, m, &none, &here);
        before = findings_of(&c, upright);
        find_again(&c, m, w, &there);
        after = findings_of(&c, upright);
        compare_contacts(&here, &there, w);
        assert_int_equal(before.n, after.n);
        assert_memory_equal(before.code, after.code,
                            (size_t)before.n * sizeof *before.code);
        compare_fasteners(&here, &there, w);
    }
    ctx_free(&c);
    return before.n;
}

/* By a shift, a quarter turn, 34 degrees, and tilted. */
static void moving_all_pieces_changes_nothing(void **state) {
    static const Motion ways[] = {
        { { 0, 0, 1 }, 0, { 1234.5, -77.7, 300 } },
        { { 0, 0, 1 }, PI_ / 2, { 0, 0, 0 } },
        { { 0, 0, 1 }, 0.6, { -40, 9, -5 } },
        { { 0.6, 0.64, 0.48 }, 1.1, { 17, 31, 47 } },
    };
    glob_t g = all_designs(true);
    int    findings = 0;

    (void)state;
    for (size_t k = 0; k < g.gl_pathc; k++)
        for (int i = 0; i < COUNT(ways); i++)
            findings += check_moved(g.gl_pathv[k], &ways[i], i < 3);
    assert_true(findings > 50);   // not only designs that have none
    globfree(&g);
}

/* ---- Either may be named first ---- */

typedef struct { int pairs, shared; } Count;

static void check_symmetric(Ctx *c, const Model *m, uint64_t *seed,
                            Count *n) {
    for (int i = 0; i < m->pieces.n; i++)
        for (int k = i + 1; k < m->pieces.n; k++) {
            const Piece *p = &m->pieces.at[i], *q = &m->pieces.at[k];
            const Solid *a = m->parts.at[p->part].solid;
            const Solid *b = m->parts.at[q->part].solid;
            Frame   f = q->frame;
            Overlap o, r;
            V3      one, two;
            bool    touch, also;
            if (!box3_touch(p->box, q->box, 1))
                continue;
            o.volume = solid_contact(c, a, &p->frame, b, &f, TOUCH_MM, &one,
                                     &touch);
            r.volume = solid_contact(c, b, &f, a, &p->frame, TOUCH_MM, &two,
                                     &also);
            assert_int_equal(touch, also);
            assert_true(same(o.volume, r.volume));
            f.o = v3_add(f.o, v3(between(seed, -9, 9), between(seed, -9, 9),
                                 between(seed, -9, 9)));
            o = solid_overlap(c, a, &p->frame, b, &f, OVERLAP_MM);
            r = solid_overlap(c, b, &f, a, &p->frame, OVERLAP_MM);
            assert_int_equal(o.any, r.any);
            assert_true(same(o.volume, r.volume) && same(o.depth, r.depth));
            assert_true(v3_len(v3_sub(o.box.min, r.box.min)) < 1e-6);
            assert_true(v3_len(v3_sub(o.box.max, r.box.max)) < 1e-6);
            n->pairs++;
            n->shared += o.any;
        }
}

static void interference_and_contact_are_symmetric(void **state) {
    glob_t   g = all_designs(false);
    uint64_t seed = 12;
    Count    n = { 0, 0 };

    (void)state;
    for (size_t k = 0; k < g.gl_pathc; k++) {
        Ctx           c;
        const Model  *m;
        ctx_init(&c, &real_files);
        m = model_build(&c, design_read(&c, g.gl_pathv[k]), sizes_new(&c));
        assert_non_null(m);
        for (int i = 0; i < 3; i++)
            check_symmetric(&c, m, &seed, &n);
        ctx_free(&c);
    }
    assert_true(n.pairs > 1000 && n.shared > n.pairs / 3);
    globfree(&g);
}

/* ---- Interference with its figures ---- */

#define TWO(first, second) BOARD ", 'parts': {'A': {'name': 'Rail', "     \
    "'from': 'board', 'length': '10in', 'width': '4in', 'features': "     \
    "[{'groove': {'at': ['0in', '1in'], 'length': '10in', 'width': "      \
    "'1in', 'depth': '1/4in'}, 'note': 'for the panel'}]}, 'B': "         \
    "{'name': 'Panel', 'from': 'board', 'length': '6in', 'width': "       \
    "'1in'}}, 'pieces': [" first ", " second "]"
#define RAIL  "{'part': 'A', 'as': 'rail', 'at': ['0in', '0in', '0in']}"
#define PANEL "{'part': 'B', 'as': 'panel', 'at': ['2in', '1in', '3/8in']}"

/* A panel 6 in x 1 in goes 1/8 in deeper than the groove does. */
static void interference_has_volume_box_and_both_to_blame(void **state) {
    static const char *const orders[] = { TWO(RAIL, PANEL),
                                          TWO(PANEL, RAIL) };
    Ctx *c = *state;

    for (int i = 0; i < 2; i++) {
        char *text = str_z(c, str_fmt(c, "{'rodbook': 1, 'title': 'T', %s}",
                                      orders[i]));
        const Model     *m;
        const Collision *k;
        c->errors = 0;
        for (char *s = text; *s; s++)
            *s = *s == '\'' ? '"' : *s;
        m = model_placed(c, design_parse(c, source_add(c, "t.json",
                         str_from(c, text))), sizes_new(c));
        assert_non_null(m);
        assert_int_equal(m->collisions.n, 1);
        k = &m->collisions.at[0];
        assert_near(k->shared.volume, 6 * 0.125 * INCH * INCH * INCH, 1e-6);
        assert_near(k->shared.depth, 0.125 * INCH, 1e-9);
        assert_near(k->shared.box.min.x, 2 * INCH, 1e-9);
        assert_near(k->shared.box.max.z, 0.5 * INCH, 1e-9);
        assert_str(i ? k->cut_b : k->cut_a,
                   "the groove of 'rail' (for the panel)");
        assert_str(i ? k->cut_a : k->cut_b, "the back face of 'panel'");
        assert_int_equal(has_diag(c, PIECE_OVERLAP), i + 1);
        assert_non_null(strstr(str_z(c, c->diags.at[i].what),
                               "share 0.75 cubic in,"));
        c->errors = 0;
        assert_null(try_model(c, orders[i]));   // it is no model to go on
        c->diags.n = i + 1;
    }
}

/* ---- Areas by finish ---- */

/* The side that a triangle looks to most; ties go to the face, then the
 * edge. */
static Side side_of_triangle(V3 n) {
    V3 a = v3(fabs(n.x), fabs(n.y), fabs(n.z));

    if (a.z >= a.y - 1e-6 && a.z >= a.x - 1e-6)
        return n.z > 0 ? SIDE_SHOW : SIDE_BACK;
    if (a.y >= a.x - 1e-6)
        return n.y > 0 ? SIDE_FAR : SIDE_NEAR;
    return n.x > 0 ? SIDE_RIGHT : SIDE_LEFT;
}

static void check_finish(Ctx *c, const Model *m, const Part *part) {
    Mesh    mesh = solid_mesh(c, part->solid);
    double *area = NEW_N(c, double, m->finishes.n + 1);

    for (int i = 0; i < mesh.triangles.n; i++) {
        const int *v = mesh.triangles.at[i].v;
        V3 n = v3_scale(v3_cross(v3_sub(mesh.p.at[v[1]], mesh.p.at[v[0]]),
                                 v3_sub(mesh.p.at[v[2]], mesh.p.at[v[0]])),
                        0.5);
        if (v3_len(n) > 1e-9)
            area[1 + part->coat[side_of_triangle(v3_unit(n))]] += v3_len(n);
    }
    for (int i = -1; i < m->finishes.n; i++)
        assert_near(finish_area(part, i), area[1 + i],
                    1e-3 + 1e-5 * part_mass(m, part).surface);
}

static void area_by_finish_is_that_of_the_triangles(void **state) {
    glob_t g = all_designs(false);

    (void)state;
    for (size_t k = 0; k < g.gl_pathc; k++) {
        Ctx          c;
        const Model *m;
        ctx_init(&c, &real_files);
        m = model_build(&c, design_read(&c, g.gl_pathv[k]), sizes_new(&c));
        assert_non_null(m);
        for (int i = 0; i < m->parts.n; i++)
            check_finish(&c, m, &m->parts.at[i]);
        ctx_free(&c);
    }
    globfree(&g);
}

/* 10 x 4 x 3/4 in with a groove 1 in wide and 1/4 in deep along it. */
static void area_by_finish_is_a_sum_by_hand(void **state) {
    Ctx         *c = *state;
    const Model *m = model_of(c, BOARD ", 'finishes': {'oil': {'kind':"
        "'oil'}, 'red': {'kind': 'paint'}}, 'parts': {'A': {'name': 'P',"
        "'from': 'board', 'length': '10in', 'width': '4in', 'features':"
        "[{'groove': {'at': ['0in', '1in'], 'length': '10in', 'width':"
        "'1in', 'depth': '1/4in'}}], 'finish': {'all': 'oil', 'edges':"
        "'red', 'bare': ['back', 'left']}}}, 'pieces': [{'part': 'A', 'at':"
        "['0in', '0in', '0in']}, {'part': 'A', 'at': ['0in', '0in',"
        "'3/4in'], 'as': 'second'}]");
    const Part  *p = &m->parts.at[0];
    double       sq = INCH * INCH;

    /* show face with the groove's bottom, right end; edges with the walls
     * of the groove; back and left end */
    assert_near(finish_area(p, 0), (40 + 3 - 0.25) * sq, 1e-6);
    assert_near(finish_area(p, 1), (15 + 5) * sq, 1e-6);
    assert_near(finish_area(p, -1), (40 + 3 - 0.25) * sq, 1e-6);
    assert_near(m->finishes.at[1].area, 2 * 20 * sq, 1e-6);
}

/* ---- Glue ---- */

static double glued(Ctx *c, const char *pieces, const char *glue) {
    const Model *m = model_of(c, str_z(c, str_fmt(c, BOARD ", 'parts': {"
        "'A': {'name': 'Top', 'from': 'board', 'length': '20in', 'width':"
        "'9in'}, 'B': {'name': 'Cleat', 'from': 'board', 'length': '9in',"
        "'width': '2in'}}, 'pieces': [%s], 'steps': [{'title': 'Glue',"
        "'add': ['top', 'cleat'], 'fix': [{'join': ['cleat', 'top'],"
        "'glue': %s}]}]", pieces, glue)));

    assert_near(m->glue_area, m->steps.at[0].fixes.at[0].glue_area, 0);
    return m->glue_area;
}

#define TOP   "{'part': 'A', 'as': 'top', 'at': ['0in', '0in', '0in']}"
#define CLEAT "{'part': 'B', 'as': 'cleat', 'at': ['4in', '0in', 'top.top'],"\
              " 'length runs': '%s'}"

/* A cleat 9 x 2 in across a top that is 9 in wide; the middle 3 in of it.
 * Along the top it moves on its 2 in width only, less than the 3 in. */
static void the_middle_of_a_joint_is_three_inches_of_it(void **state) {
    Ctx  *c = *state;
    char *across = str_z(c, str_fmt(c, TOP ", " CLEAT, "back"));
    char *along  = str_z(c, str_fmt(c, TOP ", " CLEAT, "right"));
    double sq = INCH * INCH;

    assert_near(glued(c, across, "true"), 9 * 2 * sq, 1e-3);
    assert_near(glued(c, across, "'middle'"), 3 * 2 * sq, 1e-3);
    assert_near(glued(c, along, "true"), 9 * 2 * sq, 1e-3);
}

/* Turned by 30 degrees the cleat still moves most along its own length (the
 * top by 3/4 of its strain over 9 in; along the top's width it is less, as
 * only 9 cos 30 + 2 sin 30 = 8.79 in lie there). */
static void the_middle_lies_on_the_way_that_moves(void **state) {
    Ctx  *c = *state;
    char *turned = str_z(c, str_fmt(c, TOP ", {'part': 'B', 'as': 'cleat',"
        "'at': ['6in', '0in', 'top.top'], 'length runs': 'back', 'turns':"
        "[{'about': 'up-down', 'by': '30deg', 'through': ['6in', '0in',"
        "'top.top']}]}"));

    assert_near(glued(c, turned, "true"), 18 * INCH * INCH, 0.1);
    assert_near(glued(c, turned, "'middle'"), 6 * INCH * INCH, 0.1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(moving_all_pieces_changes_nothing),
        TEST(interference_and_contact_are_symmetric),
        TEST(interference_has_volume_box_and_both_to_blame),
        TEST(area_by_finish_is_that_of_the_triangles),
        TEST(area_by_finish_is_a_sum_by_hand),
        TEST(the_middle_of_a_joint_is_three_inches_of_it),
        TEST(the_middle_lies_on_the_way_that_moves),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
