/* arris_test -- chamfers and edges rounded over along curved outlines,
 * against closed forms and against slices. */
#include "unit/design_text.h"
#include "model/model.h"

#include <math.h>

#define SAGITTA 0.02

/* An 8 x 8 x 3/4 in board. */
static const Part *board(Ctx *c, const char *more) {
    const Model *m;
    char         text[4000];

    snprintf(text, sizeof text,
        "'stock': {'b': {'wood': 'white oak', 'thickness': '3/4in',"
        " 'width': '8in', 'sold': [{'length': '8ft'}]}}, 'parts': {'A':"
        " {'name': 'X', 'from': 'b', 'length': '8in', %s}},"
        " 'pieces': [{'part': 'A', 'at': ['0in', '0in', '0in']}]", more);
    m = try_model(c, text);
    return m && m->parts.at[0].solid ? &m->parts.at[0] : NULL;
}

#define DISC "'outline': [{'start': ['0in', '4in']}, {'arc to': ['8in',"    \
    "'4in'], 'rise': '-4in'}, {'arc to': ['0in', '4in'], 'rise': '-4in'}]"

static double lost(Ctx *c, const char *before, const char *feature) {
    char        with[2000], without[1000];
    const Part *p, *q;

    snprintf(without, sizeof without, "%s]", before);
    snprintf(with, sizeof with, "%s%s%s]", before,
             before[strlen(before) - 1] == '[' ? "" : ", ", feature);
    p = board(c, without);
    q = board(c, with);
    assert_int_equal(c->errors, 0);
    assert_true(q->solid->closed);
    return p->solid->volume - q->solid->volume;
}

/* ---- A second way: slices ---- */

/* What a level plane cuts out of the solid: half the sum of cross products
 * along the lines in which it meets the faces. */
static double slice(const Solid *s, double z) {
    double sum = 0;

    for (int i = 0; i < s->faces.n; i++) {
        const Face *f = &s->faces.at[i];
        V3 along = v3_cross(f->plane.n, v3(0, 0, 1));
        for (int k = 0; k < f->rings.n; k++) {
            const Ring3 *r = &f->rings.at[k];
            for (int j = 0; j < r->n; j++) {
                V3     a = r->at[j], b = r->at[(j + 1) % r->n];
                double t, side;
                V3     p;
                if ((a.z < z) == (b.z < z))
                    continue;
                t    = (z - a.z) / (b.z - a.z);
                p    = v3_add(a, v3_scale(v3_sub(b, a), t));
                side = a.z < z ? 1 : -1;   // up: the line begins here
                /* integral of (x dy - y dx) / 2 over a line whose normal is
                 * known is its length times its distance / 2 */
                sum -= side * v3_dot(p, along) / v3_len(along)
                     * (f->plane.d - f->plane.n.z * z)
                     / v2_len(v2(f->plane.n.x, f->plane.n.y)) / 2;
            }
        }
    }
    return fabs(sum);
}

/* Simpson's rule is exact where the section grows with the square of the
 * height, as in a pyramid; between two levels that holds but for heights at
 * which a short side of the section ends, so there are more slices. */
static double by_slices(const Solid *s, const double *level, int n) {
    double sum = 0;

    for (int i = 0; i < 32 * (n - 1); i++) {
        double h = (level[i / 32 + 1] - level[i / 32]) / 32;
        double a = level[i / 32] + h * (i % 32), b = a + h, e = 1e-9 * h;
        sum += h / 6 * (slice(s, a + e) + 4 * slice(s, (a + b) / 2)
                        + slice(s, b - e));
    }
    return sum;
}

/* ---- Closed forms ---- */

/* Pappus: a triangle w d / 2 whose centroid runs around at R - w / 3. */
static void a_chamfered_disc_loses_a_turned_triangle(void **state) {
    Ctx   *c = *state;
    double R = 4 * INCH, w = INCH / 4, d = 3 * INCH / 8;
    double gone = lost(c, DISC ", 'features': [", "{'chamfer': {'width':"
                       "'1/4in', 'depth': '3/8in'}}");

    assert_near(gone, w * d / 2 * 2 * PI_ * (R - w / 3),
                2 * PI_ * R * hypot(w, d) * SAGITTA);
}

/* A square less its quarter circle; its centroid lies (10 - 3 pi) /
 * (12 - 3 pi) of the radius from both walls. */
static double spandrel(double r) { return (1 - PI_ / 4) * r * r; }

static double spandrel_in(double r) {
    return r * (10 - 3 * PI_) / (12 - 3 * PI_);
}

static void a_disc_rounded_over_loses_a_turned_spandrel(void **state) {
    Ctx   *c = *state;
    double R = 4 * INCH, r = 3 * INCH / 8;
    double gone = lost(c, DISC ", 'features': [", "{'round over': {'radius':"
                       "'3/8in', 'into': 'back'}}");

    assert_near(gone, spandrel(r) * 2 * PI_ * (R - spandrel_in(r)),
                2 * PI_ * R * PI_ / 2 * r * SAGITTA);
}

/* Inside a hole the centroid runs farther out, and along the straight
 * sides of the opening it runs straight. */
static void an_arch_rounded_over_loses_along_its_whole_way(void **state) {
    Ctx   *c = *state;
    double R = 2.5 * INCH, r = INCH / 4, up = 2 * INCH;
    double gone = lost(c, "'features': [{'arch': {'center': '4in', 'width':"
        "'5in', 'spring': '2in', 'rise': '2 1/2in'}}", "{'round over':"
        "{'edges': ['arch'], 'radius': '1/4in'}}");

    assert_near(gone, spandrel(r) * (2 * up + PI_ * (R + spandrel_in(r))),
                (2 * up + PI_ * R) * PI_ / 2 * r * SAGITTA);
}

/* The outline of a cutout with round ends: two half circles and two
 * straight sides, from the back. */
static void a_cutout_is_chamfered_all_around(void **state) {
    Ctx   *c = *state;
    double R = INCH, w = INCH / 8;
    double gone = lost(c, "'features': [{'cutout': {'outline': [{'start':"
        "['3in', '3in']}, {'line to': ['5in', '3in']}, {'arc to': ['5in',"
        "'5in'], 'rise': '-1in'}, {'line to': ['3in', '5in']}, {'arc to':"
        "['3in', '3in'], 'rise': '-1in'}]}}", "{'chamfer': {'edges':"
        "['cutout'], 'width': '1/8in', 'into': 'back'}}");

    assert_near(gone, w * w / 2 * (4 * INCH + 2 * PI_ * (R + w / 3)),
                (4 * INCH + 2 * PI_ * R) * w * 2 * SAGITTA);
}

/* All around a rectangle is the same as its four edges. */
static void the_outline_of_a_rectangle_is_its_four_edges(void **state) {
    Ctx        *c = *state;
    const Part *p = board(c, "'features': [{'chamfer': {'width': '1/4in'}}]");
    const Part *q = board(c, "'features': [{'chamfer': {'width': '1/4in',"
                             "'edges': ['outline']}}]");

    assert_near(p->solid->volume, q->solid->volume, 1e-4);
    assert_int_equal(p->solid->faces.n, q->solid->faces.n);
    assert_int_equal(p->solid->edges.n, q->solid->edges.n);
}

/* ---- Slices ---- */

#define ROUNDED "'outline': [{'start': ['1/4in', '0in']}, {'line to':"      \
    "['8in', '0in']}, {'line to': ['8in', '6in']}, {'arc to': ['6in',"      \
    "'8in'], 'rise': '-0.5857864in'}, {'line to': ['0in', '8in']},"         \
    "{'line to': ['0in', '1/4in']}, {'arc to': ['1/4in', '0in'], 'rise':"   \
    "'-0.0732233in'}]"

/* A corner rounder than the chamfer is wide, one that is less, and two
 * sharp ones; a dado runs through, and a hole near the middle. */
static void slices_make_the_volume(void **state) {
    Ctx        *c = *state;
    const Part *p = board(c, ROUNDED ", 'features': [{'chamfer': {'width':"
        "'1/2in', 'depth': '1/4in'}}, {'dado': {'at': '3in', 'width':"
        "'1/2in', 'depth': '3/8in'}}, {'hole': {'at': ['6in', '3in'],"
        "'diameter': '1in'}}, {'chamfer': {'edges': ['outline'], 'into':"
        "'back', 'width': '1/8in'}}]");
    double t = 0.75 * INCH;
    double level[] = { 0, INCH / 8, t - 3 * INCH / 8, t - INCH / 4, t };

    assert_int_equal(c->errors, 0);
    assert_true(p->solid->closed);
    assert_near(by_slices(p->solid, level, 5), p->solid->volume,
                1e-7 * p->solid->volume);
}

/* The two cuts take from each other where they meet. */
static void both_faces_may_lose_all_of_the_wall(void **state) {
    Ctx        *c = *state;
    const Part *p = board(c, DISC ", 'features': [{'chamfer': {'width':"
        "'1/2in'}}, {'chamfer': {'width': '1/2in', 'into': 'back'}}]");
    double t = 0.75 * INCH, w = INCH / 2, R = 4 * INCH;
    double low = R - w, in = w - t / 2;   // R - in is widest, at half height
    double cone = PI_ * t / 6 * (low * low + low * (R - in)
                                 + (R - in) * (R - in));

    assert_int_equal(c->errors, 0);
    assert_true(p->solid->closed);
    assert_near(p->solid->volume, 2 * cone,
                2 * PI_ * R * t * SAGITTA);
}

/* ---- Any part ---- */

static void random_part(uint64_t *dice, const char *cut, char *out,
                        size_t size) {
    double v[7];

    for (int i = 0; i < 7; i++) {
        *dice = *dice * 6364136223846793005u + 1442695040888963407u;
        v[i]  = (double)(*dice >> 11) / 9007199254740992.0;
    }
    snprintf(out, size,
        "%s'features': [{'arch': {'center': '%.3fin', 'width': '%.3fin',"
        "'spring': '%.3fin', 'rise': '0.5in'}}, {'cutout': {'outline': [{"
        "'start': ['3in', '5in']}, {'line to': ['%.3fin', '5in']}, {'arc"
        " to': ['3in', '6.5in'], 'rise': '%.3fin'}]}}, {'hole': {'at':"
        "['1.2in', '4in'], 'diameter': '1in'}}, {'dado': {'at': '%.3fin',"
        "'width': '1/2in', 'depth': '1/4in'}}, %s]",
        v[0] < 0.4 ? DISC ", " : v[0] < 0.7 ? ROUNDED ", " : "",
        3.5 + v[1], 2 + v[2], 0.5 + v[3] / 2, 4 + v[4], -0.1 - 0.4 * v[5],
        2 + 3 * v[6], cut);
}

/* Arrises of all kinds on random parts: closed, and the faces tell the
 * volume that the cells have (the divergence theorem). */
static void random_arrises_close(void **state) {
    static const char *const arris[] = {
        "{'chamfer': {'edges': ['outline', 'cutout'], 'width': '%.3fin'}}",
        "{'round over': {'edges': ['arch', 'cutout'], 'radius': '%.3fin',"
        "'into': 'back'}}",
        "{'chamfer': {'edges': ['arch'], 'width': '%.3fin'}},"
        "{'round over': {'edges': ['outline'], 'radius': '1/8in', 'into':"
        "'back'}}",
    };
    uint64_t dice = 11;

    (void)state;
    for (int i = 0; i < 60; i++) {
        char        text[3000], cut[400];
        Ctx         c;
        const Part *p;
        double      faces = 0;
        ctx_init(&c, &real_files);
        snprintf(cut, sizeof cut, arris[i % 3], 0.05 + 0.004 * i);
        random_part(&dice, cut, text, sizeof text);
        p = board(&c, text);
        if (!p || c.errors)
            fail_msg("%d: %.*s", i, STR_ARG(diags_text(&c)));
        for (int k = 0; k < p->solid->faces.n; k++)
            faces += p->solid->faces.at[k].plane.d
                   * p->solid->faces.at[k].area / 3;
        assert_true(p->solid->closed);
        assert_near(faces, p->solid->volume, 1e-7 * faces);
        ctx_free(&c);
    }
}

/* ---- What does not fit ---- */

static void what_does_not_fit_is_told(void **state) {
    static const char *const texts[] = {
        "'outline': [{'start': ['3in', '4in']}, {'arc to': ['4in', '4in'],"
        "'rise': '-1/2in'}, {'arc to': ['3in', '4in'], 'rise': '-1/2in'}],"
        "'features': [{'chamfer': {'width': '3/4in', 'depth': '1/4in'}}]",
        "'features': [{'chamfer': {'width': '1/8in', 'edges': ['arch']}}]",
        "'ends': {'right': {'bevel': '30deg'}}, 'features': [{'chamfer':"
        "{'width': '1/8in', 'edges': ['outline']}}]",
        DISC ", 'features': [{'chamfer': {'width': '1/8in', 'depth':"
        "'1in'}}]",
        DISC ", 'features': [{'chamfer': {'width': '1/8in', 'edges':"
        "['rim']}}]",
    };

    (void)state;
    for (int i = 0; i < COUNT(texts); i++) {
        Ctx c;
        ctx_init(&c, &real_files);
        (void)board(&c, texts[i]);
        assert_int_equal(c.errors, 1);
        assert_true(has_diag(&c, FEATURE_BAD));
        ctx_free(&c);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(a_chamfered_disc_loses_a_turned_triangle),
        TEST(a_disc_rounded_over_loses_a_turned_spandrel),
        TEST(an_arch_rounded_over_loses_along_its_whole_way),
        TEST(a_cutout_is_chamfered_all_around),
        TEST(the_outline_of_a_rectangle_is_its_four_edges),
        TEST(slices_make_the_volume),
        TEST(both_faces_may_lose_all_of_the_wall),
        TEST(random_arrises_close),
        TEST(what_does_not_fit_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
