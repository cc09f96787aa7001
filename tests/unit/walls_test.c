/* walls_test -- upright planes are covered the quick way, all others the
 * long way. A solid turned over its corner, so that x, y, z change places
 * exactly, swaps which planes are which: what it shows must not change. */
#include "unit/test.h"

#include "geom/geom.h"

static double between(uint64_t *seed, double lo, double hi) {
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    return lo + (hi - lo) * ((double)(*seed >> 11) / 9007199254740992.0);
}

/* On a grid, so that planes of several cuts fall together. */
static double step(uint64_t *seed, double to, int n) {
    return to * (int)between(seed, 0, n + 1) / n;
}

static Solid any_joinery(Ctx *c, uint64_t *seed) {
    Solid s = { 0 };
    int   curve = 1, cuts = 1 + (int)between(seed, 0, 5);
    Slab  slab = { shape_rect(c, v2(0, 0), v2(120, 60)), 0, 20 };

    solid_add_slab(c, &s, &slab, 0.02, &curve);
    for (int i = 0; i < cuts; i++) {
        V3 lo = v3(step(seed, 120, 12), step(seed, 60, 6),
                   step(seed, 20, 4));
        V3 hi = v3_add(lo, v3(10 + step(seed, 40, 4), 10 + step(seed, 30, 3),
                              5 + step(seed, 20, 4)));
        Plane box[6] = {
            { { -1, 0, 0 }, -lo.x, 0 }, { { 1, 0, 0 }, hi.x, 0 },
            { { 0, -1, 0 }, -lo.y, 0 }, { { 0, 1, 0 }, hi.y, 0 },
            { { 0, 0, -1 }, -lo.z, 0 }, { { 0, 0, 1 }, hi.z, 0 },
        };
        solid_subtract(c, &s, box, 6);
    }
    return s;
}

static V3 over(V3 p) {
    return v3(p.z, p.x, p.y);
}

/* The same cells with the axes in turn. */
static Solid turned_over(Ctx *c, const Solid *s) {
    Solid out = { 0 };

    for (int i = 0; i < s->cells.n; i++) {
        const Cell *from = &s->cells.at[i];
        Cell       *cell = PUSH(c, &out.cells);
        *cell = (Cell){ .box = { over(from->box.min), over(from->box.max) } };
        for (int k = 0; k < from->vert.n; k++)
            *PUSH(c, &cell->vert) = over(from->vert.at[k]);
        for (int k = 0; k < from->face.n; k++) {
            CellFace *face = PUSH(c, &cell->face);
            *face = from->face.at[k];
            face->plane.n = over(face->plane.n);
        }
    }
    return out;
}

/* Area and rings of the faces that look along n. */
typedef struct { double area; int faces, rings, corners; } Seen;

static Seen seen_from(const Solid *s, V3 n) {
    Seen seen = { 0, 0, 0, 0 };

    for (int i = 0; i < s->faces.n; i++) {
        const Face *f = &s->faces.at[i];
        if (v3_dot(f->plane.n, n) < 1 - 1e-9)
            continue;
        seen.area += f->area;
        seen.faces++;
        seen.rings += f->rings.n;
        for (int k = 0; k < f->rings.n; k++)
            seen.corners += f->rings.at[k].n;
    }
    return seen;
}

static void check_alike(const Solid *s, const Solid *t, V3 n) {
    Seen a = seen_from(s, n), b = seen_from(t, over(n));

    assert_near(a.area, b.area, 1e-6);
    assert_int_equal(a.faces, b.faces);
    assert_int_equal(a.rings, b.rings);
    assert_int_equal(a.corners, b.corners);
}

static void quick_and_long_way_show_the_same(void **state) {
    static const V3 sides[] = { { 1, 0, 0 }, { -1, 0, 0 }, { 0, 1, 0 },
                                { 0, -1, 0 }, { 0, 0, 1 }, { 0, 0, -1 } };
    uint64_t seed = 8;
    int      several = 0;

    (void)state;
    for (int i = 0; i < 1000; i++) {
        Ctx   c;
        Solid s, t;
        ctx_init(&c, &real_files);
        s = any_joinery(&c, &seed);
        for (int turn = 0; turn < 2; turn++) {
            t = turned_over(&c, &s);
            solid_finish(&c, &s);
            solid_finish(&c, &t);
            if (s.volume < 1)
                break;
            assert_true(s.closed && t.closed);
            assert_int_equal(s.edges.n, t.edges.n);
            for (int k = 0; k < 6; k++)
                check_alike(&s, &t, sides[k]);
            several += s.faces.n > 12;
            s = t;
        }
        ctx_free(&c);
    }
    assert_true(several > 500);
}

/* A dado 20 mm wide and 5 mm deep across a board 100 x 40 x 20: its long
 * edges are a U of one face, the ends of the dado are open. */
static void a_dado_shows_a_notched_edge(void **state) {
    Ctx  *c = *state;
    int   curve = 1;
    Solid s = { 0 };
    Slab  low = { shape_rect(c, v2(0, 0), v2(100, 40)), 0, 15 };
    Slab  left = { shape_rect(c, v2(0, 0), v2(30, 40)), 15, 20 };
    Slab  right = { shape_rect(c, v2(50, 0), v2(100, 40)), 15, 20 };
    Seen  near, end;

    solid_add_slab(c, &s, &low, 0.02, &curve);
    solid_add_slab(c, &s, &left, 0.02, &curve);
    solid_add_slab(c, &s, &right, 0.02, &curve);
    solid_finish(c, &s);
    near = seen_from(&s, v3(0, -1, 0));
    assert_int_equal(near.faces, 1);
    assert_int_equal(near.corners, 8);
    assert_near(near.area, 100 * 20 - 20 * 5, 1e-9);
    end = seen_from(&s, v3(1, 0, 0));   // the end, and a wall of the dado
    assert_int_equal(end.faces, 2);
    assert_int_equal(end.corners, 8);
    assert_near(end.area, 40 * 20 + 40 * 5, 1e-9);
}

/* A frame of four blocks: its hole shows the far walls inside, and the
 * blocks' own faces between them are gone. */
static void a_frame_shows_its_inside(void **state) {
    Ctx  *c = *state;
    int   curve = 1;
    Solid s = { 0 };
    Slab  four[4] = {
        { shape_rect(c, v2(0, 0), v2(90, 10)), 0, 20 },
        { shape_rect(c, v2(0, 50), v2(90, 60)), 0, 20 },
        { shape_rect(c, v2(0, 10), v2(10, 50)), 0, 20 },
        { shape_rect(c, v2(80, 10), v2(90, 50)), 0, 20 },
    };
    Seen right;

    for (int i = 0; i < 4; i++)
        solid_add_slab(c, &s, &four[i], 0.02, &curve);
    solid_finish(c, &s);
    assert_int_equal(s.faces.n, 10);
    right = seen_from(&s, v3(1, 0, 0));
    assert_int_equal(right.faces, 2);
    assert_int_equal(right.corners, 8);   // 60 and 40 long, joined
    assert_near(right.area, (60 + 40) * 20, 1e-9);
    assert_int_equal(solid_lumps(c, &s), 1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(quick_and_long_way_show_the_same),
        TEST(a_dado_shows_a_notched_edge),
        TEST(a_frame_shows_its_inside),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
