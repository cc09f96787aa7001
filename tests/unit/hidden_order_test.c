/* hidden_order_test -- a picture is the same in whatever order the bodies,
 * cells, faces, corners and edges come, whichever way an edge runs, and
 * however a solid is parted into cells: the same lines, the same visible
 * areas.
 */
#include "unit/test.h"

#include "plan/plan.h"

#define VIEWS 12
#define CUTS  3

/* ---- Chance ---- */

static int roll(uint32_t *seed, int n) {
    *seed = *seed * 1664525u + 1013904223u;   // Numerical Recipes
    return (int)((*seed >> 8) % (uint32_t)n);
}

/* The numbers 0 to n - 1 in any order. */
static int *shuffled(Ctx *c, uint32_t *seed, int n) {
    int *order = NEW_N(c, int, n + 1);

    for (int i = 0; i < n; i++)
        order[i] = i;
    for (int i = n - 1; i > 0; i--) {
        int k = roll(seed, i + 1), swap = order[i];
        order[i] = order[k];
        order[k] = swap;
    }
    return order;
}

/* ---- The same solid, told another way ---- */

static Cell other_cell(Ctx *c, uint32_t *seed, const Cell *from) {
    Cell out    = { .box = from->box };
    int *corner = shuffled(c, seed, from->vert.n);
    int *face   = shuffled(c, seed, from->face.n);

    for (int i = 0; i < from->vert.n; i++)
        PUSH(c, &out.vert);
    for (int i = 0; i < from->vert.n; i++)
        out.vert.at[corner[i]] = from->vert.at[i];
    for (int i = 0; i < from->face.n; i++) {
        const CellFace *old = &from->face.at[face[i]];
        CellFace       *f   = PUSH(c, &out.face);
        int             first = roll(seed, old->vert.n);
        f->plane = old->plane;
        for (int k = 0; k < old->vert.n; k++)
            *PUSH(c, &f->vert) =
                corner[old->vert.at[(k + first) % old->vert.n]];
    }
    return out;
}

/* Parts all cells at a plane through the solid, often square to it. */
static void part_cells(Ctx *c, uint32_t *seed, Solid *s) {
    V3    any  = v3_unit(v3(roll(seed, 99) - 49.5, roll(seed, 99) - 49,
                            roll(seed, 99) - 49));
    V3    n    = roll(seed, 3) ? any : v3(roll(seed, 2), 0, 0);
    V3    size = v3_sub(s->box.max, s->box.min), at;
    Solid two  = *s;
    Plane keep;

    if (v3_len(n) == 0)
        n = v3(0, 1, 0);
    at   = v3_add(s->box.min, v3(size.x * roll(seed, 1000) / 1000,
                                 size.y * roll(seed, 1000) / 1000,
                                 size.z * roll(seed, 1000) / 1000));
    keep = (Plane){ n, v3_dot(n, at), 0 };
    two.cells.at = NEW_N(c, Cell, s->cells.n + 1);
    memcpy(two.cells.at, s->cells.at, sizeof(Cell) * (size_t)s->cells.n);
    solid_cut(c, s, keep);
    solid_cut(c, &two, (Plane){ v3_scale(n, -1), -keep.d, 0 });
    for (int i = 0; i < two.cells.n; i++)
        *PUSH(c, &s->cells) = two.cells.at[i];
}

static void other_faces(Ctx *c, uint32_t *seed, Solid *s,
                        const Solid *from, int *place) {
    int *order = shuffled(c, seed, from->faces.n);

    s->faces.at = NULL;
    s->faces.n = s->faces.cap = 0;
    for (int i = 0; i < from->faces.n; i++) {
        const Face *old = &from->faces.at[order[i]];
        Face       *f   = PUSH(c, &s->faces);
        place[order[i]] = i;
        *f = (Face){ .plane = old->plane, .area = old->area };
        for (int r = 0; r < old->rings.n; r++) {
            const Ring3 *ring = &old->rings.at[r];
            Ring3       *turned = PUSH(c, &f->rings);
            int          first = roll(seed, ring->n);
            for (int k = 0; k < ring->n; k++)
                *PUSH(c, turned) = ring->at[(k + first) % ring->n];
        }
    }
}

static void other_edges(Ctx *c, uint32_t *seed, Solid *s, const Solid *from,
                        const int *place) {
    int *order = shuffled(c, seed, from->edges.n);

    s->edges.at = NULL;
    s->edges.n = s->edges.cap = 0;
    for (int i = 0; i < from->edges.n; i++) {
        Edge e    = from->edges.at[order[i]];
        int  one  = e.face[0] < 0 ? -1 : place[e.face[0]];
        int  two  = e.face[1] < 0 ? -1 : place[e.face[1]];
        bool turn = roll(seed, 2);
        *PUSH(c, &s->edges) = turn
            ? (Edge){ e.b, e.a, { two, one }, e.smooth }
            : (Edge){ e.a, e.b, { one, two }, e.smooth };
    }
}

static const Solid *other_solid(Ctx *c, uint32_t *seed, const Solid *from,
                                bool part) {
    Solid *s     = NEW(c, Solid);
    int   *place = NEW_N(c, int, from->faces.n + 1), *order;
    Solid  whole = *from;

    whole.cells.at = NEW_N(c, Cell, from->cells.n + 1);
    whole.cells.cap = from->cells.n + 1;
    memcpy(whole.cells.at, from->cells.at,
           sizeof(Cell) * (size_t)from->cells.n);
    for (int i = 0; part && i < CUTS; i++)
        part_cells(c, seed, &whole);
    *s          = *from;
    s->cells.at = NULL;
    s->cells.n = s->cells.cap = 0;
    order = shuffled(c, seed, whole.cells.n);
    for (int i = 0; i < whole.cells.n; i++)
        *PUSH(c, &s->cells) = other_cell(c, seed, &whole.cells.at[order[i]]);
    other_faces(c, seed, s, from, place);
    other_edges(c, seed, s, from, place);
    s->skin.at = NULL;
    s->skin.n  = s->skin.cap = 0;
    s->closed  = !part;   // then its cells hide
    solid_skin(c, s);
    return s;
}

/* ---- Comparing ---- */

static bool is_like(const Line2 *p, const Line2 *q) {
    return p->kind == q->kind && p->id == q->id && p->hidden == q->hidden
        && v2_len(v2_sub(p->a, q->a)) < 1e-5
        && v2_len(v2_sub(p->b, q->b)) < 1e-5;
}

/* Lines that begin at one x may change places. */
static bool has_line(const Picture *p, const Line2 *like) {
    for (int i = 0; i < p->lines.n; i++)
        if (is_like(&p->lines.at[i], like))
            return true;
    return false;
}

/* Visible area of a body's faces that look the way the patch does. */
static double area_like(const Picture *p, const Patch *like) {
    double area = 0;

    for (int i = 0; i < p->patches.n; i++)
        if (p->patches.at[i].id == like->id
                && v3_dot(p->patches.at[i].normal, like->normal) > 1 - 1e-9)
            area += polygons_area(p->patches.at[i].area);
    return area;
}

static void compare(const Picture *one, const Picture *two) {
    assert_int_equal(one->lines.n, two->lines.n);
    assert_int_equal(one->patches.n, two->patches.n);
    for (int i = 0; i < one->lines.n; i++)
        assert_true(has_line(two, &one->lines.at[i]));
    for (int i = 0; i < one->patches.n; i++) {
        const Patch *p = &one->patches.at[i];
        assert_near(area_like(one, p), area_like(two, p), 2e-3);
    }
}

/* Straight on, isometric (where edges fall on one another), and any. */
static V3 view_at(int i, uint32_t *seed) {
    static const V3 views[] = {
        { 0, -1, 0 }, { 0, 0, 1 }, { 1, 0, 0 }, { 1, -1, 1 }, { 1, -1, 0 }
    };

    return i < COUNT(views) ? views[i]
                            : v3(roll(seed, 99) - 49.5, roll(seed, 99) - 49,
                                 roll(seed, 99) - 49);
}

static int bodies_of(Ctx *c, const Model *m, Body **out) {
    int n = 0;

    *out = NEW_N(c, Body, m->pieces.n + 1);
    for (int i = 0; i < m->pieces.n; i++) {
        const Part *part = &m->parts.at[m->pieces.at[i].part];
        if (part->solid)
            (*out)[n++] = (Body){ part->solid, m->pieces.at[i].frame, i,
                                  true, false };
    }
    return n;
}

static void tell_another_way(Ctx *c, const char *path, bool part) {
    const Design *d = design_read(c, path);
    const Model  *m = d ? model_build(c, d, sizes_new(c)) : NULL;
    uint32_t      seed = 5;
    Body         *b, *other;
    int           n;

    assert_non_null(m);
    n     = bodies_of(c, m, &b);
    other = NEW_N(c, Body, n + 1);
    for (int i = 0; i < VIEWS; i++) {
        V3      toward = v3_unit(view_at(i, &seed));
        Camera  cam    = { toward, fabs(toward.z) < 0.99 ? v3(0, 0, 1)
                                                         : v3(0, 1, 0) };
        int    *order  = shuffled(c, &seed, n);
        Picture one, two;
        for (int k = 0; k < n; k++) {
            other[k]       = b[order[k]];
            other[k].solid = other_solid(c, &seed, other[k].solid, part);
        }
        one = picture_draw(c, b, n, NULL, 0, &cam, i % 2);
        two = picture_draw(c, other, n, NULL, 0, &cam, i % 2);
        assert_true(one.lines.n > 3 && one.patches.n > 0);
        compare(&one, &two);
    }
}

static void the_order_of_cells_faces_and_edges_does_not_matter(void **state) {
    tell_another_way(*state, "plans-demo/puppet-theater/"
                     "puppet-theater.json", false);
    tell_another_way(*state, "tests/golden/sampler/design.json", false);
}

static void how_solids_are_parted_into_cells_does_not_matter(void **state) {
    static const char *const names[] = {
        "bench", "box", "planter", "shelter", "slats", "stool", "tub"
    };
    Ctx *c = *state;

    for (int i = 0; i < COUNT(names); i++)
        tell_another_way(c, str_z(c, str_fmt(c, "templates/%s.json",
                                             names[i])), true);
    tell_another_way(c, "plans-demo/puppet-theater/puppet-theater.json",
                     true);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(the_order_of_cells_faces_and_edges_does_not_matter),
        TEST(how_solids_are_parted_into_cells_does_not_matter),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
