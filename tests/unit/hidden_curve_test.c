/* hidden_curve_test -- round parts: no facet shows on paper, silhouettes are
 * drawn where the surface turns away, rims as long as the ellipses that
 * they are. Check values are closed forms, or sums over 200,000 points of
 * the true ellipse; the ellipse's perimeter is Ramanujan's second formula
 * of 1914, from memory (off by less than 1e-6 here).
 */
#include "unit/test.h"

#include "plan/plan.h"

#define PI_     3.14159265358979323846
#define SAGITTA 0.02
#define DOT_MM  (25.4 / 600)   // of a printer at 600 dpi
#define VIEWS   40

/* ---- Facets ---- */

/* Greatest distance of two corners of a face, seen along an edge. */
static double wide(const Face *f, V3 along) {
    V3     across = v3_unit(v3_cross(along, f->plane.n));
    double least = INFINITY, most = -INFINITY;

    for (int i = 0; i < f->rings.at[0].n; i++)
        least_and_most(&least, &most, v3_dot(across, f->rings.at[0].at[i]));
    return most - least;
}

/* How far the facets beside a smooth edge are off the curve: those of a
 * circle are w wide and turn by t, so they are off by w/2 tan(t/4). */
static double off_curve(const Solid *s, const Edge *e) {
    const Face *a = &s->faces.at[e->face[0]], *b = &s->faces.at[e->face[1]];
    V3     along = v3_unit(v3_sub(e->b, e->a));
    double turn  = atan2(v3_len(v3_cross(a->plane.n, b->plane.n)),
                         v3_dot(a->plane.n, b->plane.n));

    return fmax(wide(a, along), wide(b, along)) / 2 * tan(turn / 4);
}

/* Flat faces that run into a curve are as wide as they are. */
static bool is_of_facets(const Solid *s, const Edge *e) {
    return e->smooth && s->faces.at[e->face[0]].plane.curve > 0
        && s->faces.at[e->face[1]].plane.curve > 0;
}

static double worst_part(Ctx *c, const char *path, int *edges) {
    const Design *d = design_read(c, path);
    const Model  *m = d ? model_build(c, d, sizes_new(c)) : NULL;
    double        worst = 0;

    assert_non_null(m);
    for (int i = 0; i < m->parts.n; i++) {
        const Solid *s = m->parts.at[i].solid;
        for (int k = 0; s && k < s->edges.n; k++)
            if (is_of_facets(s, &s->edges.at[k])) {
                worst = fmax(worst, off_curve(s, &s->edges.at[k]));
                ++*edges;
            }
    }
    return worst;
}

/* Drawings are no larger than life, so half a dot is enough in full size. */
static void no_facet_of_a_part_is_half_a_dot_off_at_600_dpi(void **state) {
    static const char *const paths[] = {
        "plans-demo/puppet-theater/puppet-theater.json",
        "tests/golden/sampler/design.json", "templates/bench.json",
        "templates/planter.json", "templates/stool.json",
        "templates/tub.json", "templates/shelter.json"
    };
    int edges = 0;

    for (int i = 0; i < COUNT(paths); i++) {
        double worst = worst_part(*state, paths[i], &edges);
        if (worst > DOT_MM / 2)
            fail_msg("%s: a facet is %.4f mm off its curve", paths[i],
                     worst);
    }
    assert_true(edges > 2000);
}

/* ---- Silhouettes ---- */

static uint32_t dice = 17;

static double roll(void) {
    dice = dice * 1664525u + 1013904223u;   // Numerical Recipes
    return (dice >> 8) / 16777216.0;
}

static double ellipse_perimeter(double a, double b) {
    double h = (a - b) * (a - b) / ((a + b) * (a + b));

    return PI_ * (a + b) * (1 + 3 * h / (10 + sqrt(4 - 3 * h)));
}

static Body body_of(Ctx *c, Shape shape, double z1) {
    Solid *s     = NEW(c, Solid);
    int    curve = 1;
    Slab   slab  = { shape, 0, z1 };

    solid_add_slab(c, s, &slab, SAGITTA, &curve);
    solid_finish(c, s);
    return (Body){ .solid = s, .frame = FRAME_WORLD };
}

static double ink(const Picture *p, bool silhouettes, int *n) {
    double sum = 0;

    *n = 0;
    for (int i = 0; i < p->lines.n; i++) {
        const Line2 *l = &p->lines.at[i];
        if ((l->kind == LINE_SILHOUETTE) != silhouettes)
            continue;
        sum += v2_len(v2_sub(l->b, l->a));
        ++*n;
    }
    return sum;
}

static Camera any_camera(void) {
    V3 toward = v3_unit(v3(roll() - 0.5, roll() - 0.5, roll() - 0.5));

    return (Camera){ toward, v3(0.3, -0.2, 1) };
}

static double line_off(const Line2 *l, V2 p) {
    V2 by = v2_sub(l->b, l->a);

    return v2_cross(by, v2_sub(p, l->a)) / v2_len(by);
}

/* A rod shows two lines, a diameter apart, one on each side of its axis,
 * the whole of the near rim and half of the far one. */
static void a_rod_shows_two_lines_and_an_ellipse_and_a_half(void **state) {
    Ctx   *c = *state;
    double r = 19, len = 240;
    Body   rod = body_of(c, shape_circle(c, v2(0, 0), r), len);

    for (int i = 0; i < VIEWS; i++) {
        Camera  cam = any_camera();
        Picture p   = picture_draw(c, &rod, 1, NULL, 0, &cam, false);
        double  end_on = fabs(cam.toward.z);
        double  side   = sqrt(1 - end_on * end_on);
        double  rims   = 1.5 * ellipse_perimeter(r, r * end_on), sum = 0;
        int     lines, rest;
        if (side < 0.05 || end_on < 0.02)
            continue;
        /* Which facets turn away is known to one facet. */
        assert_near(ink(&p, true, &lines), 2 * len * side, 0.05);
        assert_int_equal(lines, 2);
        assert_near(ink(&p, false, &rest), rims, 0.002 * rims + 1);
        for (int k = 0; k < p.lines.n; k++) {
            const Line2 *l = &p.lines.at[k];
            double off = line_off(l, camera_project(&cam, v3(0, 0, 0),
                                                    NULL));
            if (l->kind != LINE_SILHOUETTE)
                continue;
            assert_near(fabs(off), r, SAGITTA);
            sum += off;
        }
        assert_near(sum, 0, 2 * SAGITTA);   // one on each side
    }
}

/* How much of the far rim is seen through the near one; both are ellipses,
 * the far one moved. */
static double seen_through(const Camera *cam, V3 near, V3 far, double r) {
    V2     a = camera_project(cam, near, NULL);
    V2     b = camera_project(cam, far, NULL);
    V2     x = v2_sub(camera_project(cam, v3(r, 0, 0), NULL),
                      camera_project(cam, v3(0, 0, 0), NULL));
    V2     y = v2_sub(camera_project(cam, v3(0, r, 0), NULL),
                      camera_project(cam, v3(0, 0, 0), NULL));
    V2     by = v2_sub(b, a);
    double det = v2_cross(x, y), sum = 0;
    double u = v2_cross(by, y) / det, v = v2_cross(x, by) / det;
    int    n = 200000;

    for (int i = 0; i < n; i++) {
        double t = 2 * PI_ * (i + 0.5) / n;
        V2     way = v2_sub(v2_scale(y, cos(t)), v2_scale(x, sin(t)));
        if (hypot(u + cos(t), v + sin(t)) < 1)
            sum += v2_len(way) * 2 * PI_ / n;
    }
    return sum;
}

/* Does a facet stand on edge, so that its rim and its sides are one line? */
static bool is_on_edge(const Solid *s, V3 toward) {
    for (int i = 0; i < s->faces.n; i++)
        if (s->faces.at[i].plane.curve > 0
                && fabs(v3_dot(s->faces.at[i].plane.n, toward)) < 1e-4)
            return true;
    return false;
}

/* A hole shows its near rim, of its far rim what is seen through the near
 * one, and no silhouette: where its wall turns away, the board hides it. */
static void a_hole_shows_its_rims_and_no_silhouette(void **state) {
    Ctx   *c = *state;
    double r = 16, thick = 20, holes = 0;
    Shape  board = shape_rect(c, v2(-200, -150), v2(200, 150));
    Body   plain = body_of(c, board, thick);
    Body   drilled = body_of(c, shape_subtract(c, board,
                             shape_circle(c, v2(0, 0), r)), thick);

    for (int i = 0; i < VIEWS; i++) {
        Camera  cam = any_camera();
        double  end_on = fabs(cam.toward.z), rims, more;
        Picture p, q;
        int     n;
        V3      near = v3(0, 0, cam.toward.z > 0 ? thick : 0);
        V3      far  = v3(0, 0, cam.toward.z > 0 ? 0 : thick);
        if (end_on < 0.3 || is_on_edge(drilled.solid, cam.toward))
            continue;   // flatter, and the board's edge covers the rim
        p    = picture_draw(c, &drilled, 1, NULL, 0, &cam, false);
        q    = picture_draw(c, &plain, 1, NULL, 0, &cam, false);
        assert_near(ink(&p, true, &n), 0, 0);
        more = ink(&p, false, &n) - ink(&q, false, &n);
        rims = ellipse_perimeter(r, r * end_on)
             + seen_through(&cam, near, far, r);
        assert_near(more, rims, 0.004 * rims);
        holes++;
    }
    assert_true(holes > 10);
}

/* Lines from end to end of the board that are no silhouettes. */
static int lines_along(const Picture *p, double len) {
    int n = 0;

    for (int i = 0; i < p->lines.n; i++)
        n += p->lines.at[i].kind != LINE_SILHOUETTE
          && fabs(v2_len(v2_sub(p->lines.at[i].b, p->lines.at[i].a)) - len)
             < 0.1;
    return n;
}

/* An edge worked to a quarter round shows one line where it turns away, if
 * it does, and none where the flat faces run into it: along the board there
 * are only the three edges that are sharp. */
static void a_rounded_edge_shows_one_silhouette(void **state) {
    Ctx   *c = *state;
    double r = 15, len = 300;
    Shape  s = { 0 };
    Loop  *loop = PUSH(c, &s.loops);
    Body   board;

    *PUSH(c, loop) = seg_line(v2(0, 0), v2(80, 0));
    *PUSH(c, loop) = seg_line(v2(80, 0), v2(80, 40 - r));
    *PUSH(c, loop) = seg_arc(v2(80, 40 - r), v2(80 - r, 40),
                             v2(80 - r, 40 - r), PI_ / 2);
    *PUSH(c, loop) = seg_line(v2(80 - r, 40), v2(0, 40));
    *PUSH(c, loop) = seg_line(v2(0, 40), v2(0, 0));
    board = body_of(c, s, len);
    for (int i = 0; i < VIEWS; i++) {
        Camera  cam = any_camera();
        V3      t   = cam.toward;
        bool    turns = t.x * t.y < 0;   // between +x and +y
        Picture p   = picture_draw(c, &board, 1, NULL, 0, &cam, false);
        double  side = sqrt(1 - t.z * t.z);
        int     n;
        if (fabs(t.x) < 0.05 || fabs(t.y) < 0.05)
            continue;
        assert_near(ink(&p, true, &n), turns ? len * side : 0, 0.1);
        assert_int_equal(n, turns);
        if (side > 0.4)   // else an end is as long
            assert_int_equal(lines_along(&p, len * side),
                             (t.x < 0 || t.y < 0) + (t.x > 0 || t.y < 0)
                             + (t.x < 0 || t.y > 0));
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(no_facet_of_a_part_is_half_a_dot_off_at_600_dpi),
        TEST(a_rod_shows_two_lines_and_an_ellipse_and_a_half),
        TEST(a_hole_shows_its_rims_and_no_silhouette),
        TEST(a_rounded_edge_shows_one_silhouette),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
