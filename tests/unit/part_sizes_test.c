/* part_sizes_test -- the drawing of a part tells every size, and none in
 * two ways.
 *
 * Along each axis the places are knots and the sizes edges of a graph. No
 * size may close a ring (it would be told twice), and the coordinates of
 * all corners of the solid, which were made by cutting and not by the
 * drawing, must hang together with the part's corner (else one could not be
 * set out). What is printed is read from the ledger of the drawing.
 */
#include "unit/design_text.h"

#include "press/sections.h"

#define KNOTS 4000

typedef struct { double at[KNOTS]; int root[KNOTS], n; } Graph;

static int knot(Graph *g, double at) {
    for (int i = 0; i < g->n; i++)
        if (fabs(g->at[i] - at) < 0.02)
            return i;
    assert_true(g->n < KNOTS);
    g->at[g->n]   = at;
    g->root[g->n] = g->n;
    return g->n++;
}

static int root(const Graph *g, int i) {
    while (g->root[i] != i)
        i = g->root[i];
    return i;
}

static bool is_known(Graph *g, double at) {
    for (int i = 0; i < g->n; i++)
        if (fabs(g->at[i] - at) < 0.02 && root(g, i) == root(g, knot(g, 0)))
            return true;
    return false;
}

#define ALL (-2)

/* The graph of an axis, of all sizes or of one feature's and the overall
 * one: then it fails where one closes a ring. (Two cuts may be as deep as
 * each other, and each has its own size.) */
static void join(Graph *g, const Part *part, const PartSizes *sizes,
                 SizeAxis axis, int feature) {
    g->n = 0;
    (void)knot(g, 0);
    for (int i = 0; i < sizes->n; i++) {
        const PartSize *s = &sizes->at[i];
        int a, b;
        if (s->axis != axis || (feature != ALL && s->feature >= 0
                                && s->feature != feature))
            continue;
        a = root(g, knot(g, s->from));
        b = root(g, knot(g, s->to));
        if (a == b && feature != ALL && s->printed && !s->reference)
            fail_msg("part %.*s, axis %d: the size from %g to %g is told "
                     "twice", STR_ARG(part->letter), axis, s->from, s->to);
        g->root[a] = b;
    }
}

/* No place has two running sizes. */
static void check_running(const PartSizes *sizes) {
    for (int i = 0; i < sizes->n; i++)
        for (int k = 0; k < i; k++) {
            const PartSize *a = &sizes->at[i], *b = &sizes->at[k];
            assert_false(a->running && b->running && a->axis == b->axis
                         && fabs(a->to - b->to) < 0.009);
        }
}

/* ---- The corners of the solid ---- */

static bool touches(const Edge *e, V3 v) {
    return v3_len(v3_sub(e->a, v)) < 1e-6 || v3_len(v3_sub(e->b, v)) < 1e-6;
}

static bool on_curve(const Solid *s, V3 v) {
    for (int i = 0; i < s->edges.n; i++)
        if (s->edges.at[i].smooth && touches(&s->edges.at[i], v))
            return true;
    return false;
}

/* Slanted faces through a corner: each finds one more coordinate, if its
 * angle is told. */
static int slants(const Solid *s, V3 v) {
    int n = 0;

    for (int i = 0; i < s->faces.n; i++) {
        const Plane *p = &s->faces.at[i].plane;
        double most = fmax(fabs(p->n.x), fmax(fabs(p->n.y), fabs(p->n.z)));
        n += p->curve == 0 && most < 1 - 1e-9
          && fabs(v3_dot(p->n, v) - p->d) < 1e-6;
    }
    return n;
}

/* A corner on a curve is found along it. */
static int curves(const Solid *s, V3 v) {
    for (int i = 0; i < s->faces.n; i++) {
        const Plane *p = &s->faces.at[i].plane;
        if (p->curve != 0 && fabs(v3_dot(p->n, v) - p->d) < 1e-6)
            return 1;
    }
    return 0;
}

/* The bore of a pocket hole is found by its center line and diameter. */
static bool in_pocket(const Part *part, V3 v) {
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        bool end = f->side >= SIDE_LEFT;
        for (int k = 0; k < f->count && f->kind == FEATURE_POCKET; k++) {
            V2     by = feature_copy(f, k);
            double at = f->y.real + (end ? by.y : by.x);
            if (fabs((end ? v.y : v.x) - at)
                < f->diameter.real / 2 + 1e-6)
                return true;
        }
    }
    return false;
}

/* Round ends of a slot begin half its width from its ends. */
static void join_round_ends(Graph g[3], const Part *part) {
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        bool   y = f->width.real > f->length.real;
        double r = (y ? f->length.real : f->width.real) / 2;
        for (int k = 0; k < f->count && f->round_ends; k++) {
            V2     by = feature_copy(f, k);
            double a  = y ? f->y.real + by.y : f->x.real + by.x;
            double z  = a + (y ? f->width.real : f->length.real);
            int    at = root(&g[y], knot(&g[y], a + r));
            g[y].root[at] = root(&g[y], knot(&g[y], a));
            at = root(&g[y], knot(&g[y], z - r));
            g[y].root[at] = root(&g[y], knot(&g[y], z));
        }
    }
}

static int check_corner(Graph g[3], const Part *part, V3 v, bool angled) {
    const double at[3] = { v.x, v.y, v.z };
    int missing = 0;

    if (in_pocket(part, v))
        return 0;
    for (int k = 0; k < 3; k++)
        missing += !is_known(&g[k], at[k]);
    if (missing > (angled ? slants(part->solid, v)
                            + curves(part->solid, v) : 0))
        fail_msg("part %.*s: corner (%g, %g, %g) cannot be set out",
                 STR_ARG(part->letter), v.x, v.y, v.z);
    return 1;
}

static int check_corners(Graph g[3], const Part *part) {
    const Solid *s = part->solid;
    bool angled = false;
    int  n = 0;

    for (int i = 0; i < 2; i++)
        angled |= part->ends[i].any || part->edges[i].any;
    for (int i = 0; i < part->features.n; i++)
        angled |= part->features.at[i].kind >= FEATURE_CHAMFER;
    for (int i = 0; i < s->edges.n; i++) {
        if (!on_curve(s, s->edges.at[i].a))
            n += check_corner(g, part, s->edges.at[i].a, angled);
        if (!on_curve(s, s->edges.at[i].b))
            n += check_corner(g, part, s->edges.at[i].b, angled);
    }
    return n;
}

/* ---- What is printed ---- */

static int by_value(const void *a, const void *b, const void *with) {
    const double *p = a, *q = b;

    (void)with;
    return (*p > *q) - (*p < *q);
}

typedef LIST(double) Values;

static void check_printed(Ctx *c, const Booklet *b, const Part *part,
                          const PartSizes *sizes) {
    Values is = { 0 }, should = { 0 };

    for (int i = 0; i < b->ledger.rows.n; i++) {
        const Figure *f = &b->ledger.rows.at[i].figure;
        if (f->kind == FIGURE_LENGTH || f->kind == FIGURE_ANGLE)
            *PUSH(c, &is) = f->value;
    }
    for (int i = 0; i < sizes->n; i++)
        if (sizes->at[i].printed)
            *PUSH(c, &should) = sizes->at[i].value.real;
    list_sort(c, is.at, is.n, sizeof *is.at, by_value, NULL);
    list_sort(c, should.at, should.n, sizeof *should.at, by_value, NULL);
    for (int i = 0; i < is.n && i < should.n; i++)
        if (fabs(is.at[i] - should.at[i]) > 1e-6)
            fail_msg("part %.*s: %g is printed, %g should be",
                     STR_ARG(part->letter), is.at[i], should.at[i]);
    if (is.n != should.n)
        fail_msg("part %.*s: %d sizes are printed, %d should be",
                 STR_ARG(part->letter), is.n, should.n);
}

/* ---- Designs ---- */

/* Returns how many corners were looked at. */
static int check_design(Ctx *c, const Model *m) {
    static Graph    g[3];
    const Workplan *plan = plan_work(c, m);
    Edition         e = { .inch = true, .step = m->step_inch };
    int             corners = 0;

    assert_non_null(plan);
    for (int i = 0; i < m->parts.n; i++) {
        const Part    *part = &m->parts.at[i];
        const Booklet *b = press_drawing(c, m, plan, &e, DRAWING_PART, i);
        Press          p = press_new(c, m, plan, &e, b->fonts, NULL);
        PartSizes      sizes = part_sizes(&p, part);
        for (SizeAxis axis = ALONG_X; axis <= ALONG_Z; axis++)
            for (int f = part->features.n; f-- > ALL; )
                join(&g[axis], part, &sizes, axis, f);
        check_running(&sizes);
        join_round_ends(g, part);
        corners += check_corners(g, part);
        check_printed(c, b, part, &sizes);
    }
    return corners;
}

static const Model *model_at(Ctx *c, const char *path) {
    const Design *d = design_read(c, path);

    assert_non_null(d);
    return model_build(c, d, sizes_new(c));
}

static void each_size_of_the_demo_is_told_once(void **state) {
    Ctx *c = *state;

    assert_true(check_design(c, model_at(c, "plans-demo/puppet-theater/"
                                         "puppet-theater.json")) > 200);
}

static void each_size_of_the_starters_is_told_once(void **state) {
    static const char *const names[] = {
        "bench", "box", "planter", "shelter", "slats", "stool", "tub"
    };
    Ctx *c = *state;
    int  corners = 0;

    for (int i = 0; i < COUNT(names); i++)
        corners += check_design(c, model_at(c, str_z(c,
            str_fmt(c, "templates/%s.json", names[i]))));
    assert_true(corners > 200);
}

static void each_size_of_every_construct_is_told_once(void **state) {
    Ctx *c = *state;

    assert_true(check_design(c, model_at(c, "tests/golden/sampler/"
                                         "design.json")) > 400);
}

static void each_size_of_many_cuts_is_told_once(void **state) {
    static const char *const cuts[] = {
        "{'groove': {'at': ['0in', '1in'], 'length': 'length',"
        " 'width': '1/2in', 'depth': '1/4in'}}",
        "{'groove': {'at': ['3in', '0in'], 'length': '3/4in',"
        " 'width': 'width', 'depth': '1/4in', 'into': 'back'}}",
        "{'groove': {'at': ['2in', '1in'], 'length': '3in',"
        " 'width': '1/2in', 'depth': '1/4in'}}",
        "{'groove': {'at': ['0in', '0in'], 'length': '3in',"
        " 'width': '1/2in', 'depth': '1/4in'}}",
        "{'groove': {'at': ['8in', '3in'], 'length': '2in',"
        " 'width': '1in', 'depth': '1/4in'}}",
        "{'hole': {'at': ['2in', '2.2in'], 'diameter': '1/2in'},"
        " 'repeat': {'count': 3, 'step': ['2.5in', '0in']}}",
        "{'hole': {'at': ['1in', '2.2in'], 'diameter': '1/4in',"
        " 'depth': '1/2in'}}",
        "{'tenon': {'end': 'right', 'length': '1in', 'width': '3in'}}",
        "{'finger joint': {'end': 'left', 'count': 7, 'depth': '1/2in'}}",
        "{'dentils': {'edge': 'near', 'pitch': '3/4in', 'depth': '1/8in',"
        " 'start': '1/4in'}}",
        "{'mortise': {'at': ['5in', '1/4in'], 'length': '1in',"
        " 'width': '1/4in', 'depth': '1/2in', 'into': 'far'}}",
        "{'rabbet': {'edge': 'right', 'width': '1/2in', 'depth': '1/4in'}}",
    };
    Ctx *c = *state;

    /* Grooves cross each other, but no hole. */
    for (int i = 0; i < COUNT(cuts); i++)
        for (int k = 0; k < COUNT(cuts); k++) {
            bool two = i != k;
            assert_true(check_design(c, model_with(c, str_z(c,
                str_fmt(c, "'features': [%s%s%s]", cuts[i],
                        two ? ", " : "", two ? cuts[k] : "")))) > 20);
        }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(each_size_of_the_demo_is_told_once),
        TEST(each_size_of_the_starters_is_told_once),
        TEST(each_size_of_every_construct_is_told_once),
        TEST(each_size_of_many_cuts_is_told_once),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
