/* letters_test -- the letters of whole booklets, counted on their pages by
 * other means than place them: a circle is a closed path of four curves,
 * 6 mm wide, a leader a fine line that begins at one's rim.
 */
#include "unit/design_text.h"

#include "press/press_internal.h"

#define RIM 3.0

typedef struct { V2 at; } Circle;
typedef struct { V2 a, b; int circle; } Leader;
typedef LIST(Circle) Circles;
typedef LIST(Leader) Leaders;
typedef struct {
    int circles, leaders, overlaps, crossings, over_lines;
    int on_ink;   // lines of the drawing that run into a letter's circle
    int discs, disc_faults;   // details; what stands in one that is not its
} Count;

static void find_circles(Ctx *c, const Page *page, Circles *out) {
    for (int i = 0; i < page->marks.n; i++) {
        const Mark *m = &page->marks.at[i];
        Box2 box = box2_empty();
        if (m->kind != MARK_PATH || m->path.n < 5 || m->path.at[1].op != 'C')
            continue;
        for (int k = 0; k < m->path.n; k++)
            if (m->path.at[k].op != 'Z')
                box2_add(&box, m->path.at[k].p[m->path.at[k].op == 'C'
                                               ? 2 : 0]);
        if (fabs(box.max.x - box.min.x - 2 * RIM) < 1e-6
            && fabs(box.max.y - box.min.y - 2 * RIM) < 1e-6)
            *PUSH(c, out) = (Circle){ v2((box.min.x + box.max.x) / 2,
                                         (box.min.y + box.max.y) / 2) };
    }
}

static void find_leaders(Ctx *c, const Page *page, const Circles *circles,
                         Leaders *out) {
    for (int i = 0; i < page->marks.n; i++) {
        const Mark *m = &page->marks.at[i];
        if (m->kind != MARK_PATH || m->path.n != 2 || m->width > 0.19
            || m->dash != DASH_SOLID)
            continue;
        for (int k = 0; k < circles->n; k++)
            if (fabs(v2_len(v2_sub(m->path.at[0].p[0], circles->at[k].at))
                     - RIM) < 1e-6)
                *PUSH(c, out) = (Leader){ m->path.at[0].p[0],
                                          m->path.at[1].p[0], k };
    }
}

static double off(V2 q, V2 a, V2 b) {
    V2     d = v2_sub(b, a);
    double k = v2_dot(d, d) > 0 ? v2_dot(v2_sub(q, a), d) / v2_dot(d, d) : 0;

    return v2_len(v2_sub(q, v2_add(a, v2_scale(d, fmax(0, fmin(1, k))))));
}

static bool cross(V2 a, V2 b, V2 c, V2 d) {
    V2 u = v2_sub(b, a), v = v2_sub(d, c);

    return v2_cross(u, v2_sub(c, a)) * v2_cross(u, v2_sub(d, a)) < 0
        && v2_cross(v, v2_sub(a, c)) * v2_cross(v, v2_sub(b, c)) < 0;
}

static void count_lines(const Page *page, const Leader *l, Count *n) {
    for (int i = 0; i < page->marks.n; i++) {
        const Mark *m = &page->marks.at[i];
        if (m->kind != MARK_PATH || m->stroke == INK_NONE)
            continue;
        for (int k = 1; k < m->path.n; k++)
            n->over_lines += m->path.at[k].op == 'L'
                          && cross(l->a, l->b, m->path.at[k - 1].p[0],
                                   m->path.at[k].p[0]);
    }
}

static void count_ink(const Page *page, const Circle *at, Count *n) {
    for (int i = 0; i < page->marks.n; i++) {
        const Mark *m = &page->marks.at[i];
        if (m->kind != MARK_PATH || m->stroke == INK_NONE)
            continue;
        for (int k = 1; k < m->path.n; k++)
            n->on_ink += m->path.at[k].op == 'L'
                      && off(at->at, m->path.at[k - 1].p[0],
                             m->path.at[k].p[0]) < RIM - 0.01;
    }
}

/* A disc is a white circle of 8 mm or more in radius; all marks between it
 * and the circle drawn over its rim are its own. No other line or letter
 * comes into it. */
static bool is_disc(const Mark *m, V2 *mid, double *r) {
    Box2 box = box2_empty();

    if (m->kind != MARK_PATH || m->path.n < 5 || m->path.at[1].op != 'C'
        || m->fill != INK_WHITE || m->stroke != INK_NONE)
        return false;
    for (int k = 0; k < m->path.n; k++)
        if (m->path.at[k].op != 'Z')
            box2_add(&box, m->path.at[k].p[m->path.at[k].op == 'C' ? 2 : 0]);
    *r   = (box.max.x - box.min.x) / 2;
    *mid = v2((box.min.x + box.max.x) / 2, (box.min.y + box.max.y) / 2);
    return *r >= 8;
}

static void count_disc(const Page *page, int from, V2 mid, double r,
                       const Circles *circles, Count *n) {
    bool own = false;

    n->discs++;
    for (int i = 0; i < circles->n; i++)
        n->disc_faults += v2_len(v2_sub(circles->at[i].at, mid)) < r + RIM;
    for (int i = 0; i < page->marks.n; i++) {
        const Mark *m = &page->marks.at[i];
        own |= i == from;
        if (m->kind != MARK_PATH || m->stroke == INK_NONE)
            continue;
        if (i > from && m->path.n >= 5 && m->path.at[1].op == 'C'
            && fabs(v2_len(v2_sub(m->path.at[0].p[0], mid)) - r) < 1e-6)
            own = false;
        for (int k = 1; k < m->path.n && !own; k++)
            n->disc_faults += m->path.at[k].op == 'L'
                           && off(mid, m->path.at[k - 1].p[0],
                                  m->path.at[k].p[0]) < r - 0.01;
    }
}

static void count_page(Ctx *c, const Page *page, Count *n) {
    Circles circles = { 0 };
    Leaders leaders = { 0 };
    double  r;
    V2      mid;

    find_circles(c, page, &circles);
    for (int i = 0; i < circles.n; i++)
        count_ink(page, &circles.at[i], n);
    for (int i = 0; i < page->marks.n; i++)
        if (is_disc(&page->marks.at[i], &mid, &r))
            count_disc(page, i, mid, r, &circles, n);
    find_leaders(c, page, &circles, &leaders);
    n->circles += circles.n;
    n->leaders += leaders.n;
    for (int i = 0; i < circles.n; i++)
        for (int k = 0; k < i; k++)
            n->overlaps += v2_len(v2_sub(circles.at[i].at,
                                         circles.at[k].at)) < 2 * RIM;
    for (int i = 0; i < leaders.n; i++) {
        const Leader *l = &leaders.at[i];
        count_lines(page, l, n);
        for (int k = 0; k < circles.n; k++)
            n->overlaps += k != l->circle
                        && off(circles.at[k].at, l->a, l->b) < RIM;
        for (int k = 0; k < i; k++)
            n->crossings += cross(l->a, l->b, leaders.at[k].a,
                                  leaders.at[k].b);
    }
}

static Count count_design(Ctx *c, const char *path) {
    const Design   *d = design_read(c, path);
    const Model    *m = d ? model_build(c, d, sizes_new(c)) : NULL;
    const Workplan *plan = m ? plan_work(c, m) : NULL;
    Count           n = { 0 };

    assert_non_null(plan);
    for (int inch = 0; inch < 2; inch++) {
        Edition e = { .inch = inch, .a4 = !inch,
                      .step = inch ? m->step_inch : m->step_mm };
        const Booklet *b = press_booklet(c, m, plan, &e);
        assert_non_null(b);
        for (int i = 0; i < b->pages.n; i++)
            if (str_is(b->pages.at[i].section, "Assembly"))
                count_page(c, &b->pages.at[i], &n);
    }
    return n;
}

static void no_letter_of_the_demo_meets_another(void **state) {
    Count n = count_design(*state, "plans-demo/puppet-theater/"
                           "puppet-theater.json");

    assert_true(n.circles >= 40 && n.leaders == n.circles);
    assert_int_equal(n.overlaps, 0);
    assert_int_equal(n.crossings, 0);
    assert_int_equal(n.on_ink, 0);
    assert_true(n.discs >= 2 * 2);   // the rod's hole and the eave strip
    assert_int_equal(n.disc_faults, 0);
    /* Few lines are run over: the way in crosses some. */
    assert_true(n.over_lines <= 3 * n.leaders);
}

static void no_letter_of_the_starters_meets_another(void **state) {
    static const char *const names[] = {
        "bench", "box", "planter", "shelter", "slats", "stool", "tub"
    };
    Ctx *c = *state;

    for (int i = 0; i < COUNT(names); i++) {
        Count n = count_design(c, str_z(c, str_fmt(c, "templates/%s.json",
                                                   names[i])));
        assert_true(n.circles >= 4 && n.leaders == n.circles);
        assert_int_equal(n.overlaps, 0);
        assert_int_equal(n.crossings, 0);
        assert_int_equal(n.on_ink, 0);
        assert_int_equal(n.disc_faults, 0);
        assert_true(n.over_lines <= 3 * n.leaders);
    }
}

static double roll(uint32_t *chance) {
    *chance = *chance * 1664525u + 1013904223u;   // Numerical Recipes
    return (*chance >> 8) / 16777216.0;
}

/* As many as a page can bear, on a drawing full of lines. */
static void sixty_letters_at_any_places_do_not_meet(void **state) {
    Ctx *c = *state;

    for (uint32_t seed = 1; seed <= 60; seed++) {
        Letter   l[60] = { 0 };
        V2       ends[800];
        uint32_t chance = seed * 2654435761u;
        for (int i = 0; i < COUNT(ends); i++)
            ends[i] = v2(30 + 120 * roll(&chance), 30 + 140 * roll(&chance));
        for (int i = 0; i < COUNT(l); i++)
            l[i].anchor = v2(35 + 110 * roll(&chance),
                             35 + 130 * roll(&chance));
        assert_true(letters_place(c, ends, COUNT(ends),
                                  box2(0, 0, 183, 200), l, COUNT(l)));
        for (int i = 0; i < COUNT(l); i++)
            for (int k = 0; k < COUNT(l); k++) {
                if (k == i)
                    continue;
                assert_true(v2_len(v2_sub(l[i].at, l[k].at)) >= 2 * RIM);
                assert_true(off(l[i].at, l[k].at, l[k].anchor) >= RIM);
                assert_false(cross(l[i].at, l[i].anchor, l[k].at,
                                   l[k].anchor));
            }
    }
}

static void add_patch(Ctx *c, Picture *p, Box2 b, int id) {
    const V2 v[] = { b.min, v2(b.max.x, b.min.y), b.max,
                     v2(b.min.x, b.max.y) };
    Patch *patch = PUSH(c, &p->patches);
    Rings  rings = { 0 };
    Ring   ring  = { 0 };

    for (int i = 0; i < COUNT(v); i++)
        *PUSH(c, &ring) = v[i];
    *PUSH(c, &rings) = ring;
    *patch = (Patch){ .id = id };
    *PUSH(c, &patch->area.parts) = rings;
}

/* One board above another: the lower one's dot is nearer to the upper edge of
 * the drawing, but a leader from there would run over the upper board. */
static void no_leader_runs_over_another_letters_piece(void **state) {
    const V2 ends[] = { v2(50, 50), v2(150, 50), v2(50, 100), v2(150, 100) };
    Ctx     *c = *state;
    Letter   l[] = { { .anchor = v2(70, 55), .part = 0 },
                     { .anchor = v2(120, 72), .part = 1 } };
    Points   hull = points_hull(c, ends, COUNT(ends));
    Place    pl   = { .scale = 1 };
    Picture  two  = { 0 };
    Model    m    = { 0 };
    LetterFaces faces;

    add_patch(c, &two, box2(50, -65, 150, -50), 0);   // y up
    add_patch(c, &two, box2(50, -100, 150, -65), 1);
    *PUSH(c, &m.pieces) = (Piece){ .part = 0 };
    *PUSH(c, &m.pieces) = (Piece){ .part = 1 };
    two.box = box2(50, -100, 150, -50);
    faces   = letter_faces(c, &m, &two);
    faces.place = &pl;
    assert_true(letters_around(c, &hull, ends, COUNT(ends), NULL,
                               box2(0, 0, 200, 200), l, 2));
    assert_true(l[1].at.y < 50);
    assert_true(letters_around(c, &hull, ends, COUNT(ends), &faces,
                               box2(0, 0, 200, 200), l, 2));
    assert_true(l[0].at.y < 50 && l[1].at.y > 65);   // beside or below
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(no_letter_of_the_demo_meets_another),
        TEST(no_letter_of_the_starters_meets_another),
        TEST(sixty_letters_at_any_places_do_not_meet),
        TEST(no_leader_runs_over_another_letters_piece),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
