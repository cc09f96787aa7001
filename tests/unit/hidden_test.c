/* hidden_test -- pictures against analytic solids and against themselves.
 *
 * The oracle knows nothing of faces, grids or spans: a sampled point of an
 * edge is hidden if the ray from it to the reader pierces a solid given by
 * half-spaces (geometry-notes 2.5). Solids are shrunk and grown by 1e-3 mm;
 * what the two disagree on is left undecided.
 */
#include "unit/test.h"

#include "geom/geom.h"

#define MAX_CORNERS 24
#define MAX_PRISMS  64
#define TURN        6.283185307179586

/* ---- Prisms, with their cells, faces and edges made by hand ---- */

typedef struct {
    V2     corner[MAX_CORNERS];   // convex, counter-clockwise
    int    n;
    double z0, z1;
    bool   round;                 // sides are facets of one curve
    Frame  frame;
} Prism;

typedef struct { Prism prism[MAX_PRISMS]; int n; } Scene;

static Prism box_at(V3 min, V3 max) {
    Prism p = { .n = 4, .z0 = 0, .z1 = max.z - min.z, .frame = FRAME_WORLD };

    p.corner[1] = v2(max.x - min.x, 0);
    p.corner[2] = v2(max.x - min.x, max.y - min.y);
    p.corner[3] = v2(0, max.y - min.y);
    p.frame.o   = min;
    return p;
}

static Prism round_at(V3 foot, double radius, double height, int n) {
    Prism p = { .n = n, .z1 = height, .round = true, .frame = FRAME_WORLD };

    for (int i = 0; i < n; i++)
        p.corner[i] = v2(radius * cos(TURN * i / n),
                         radius * sin(TURN * i / n));
    p.frame.o = foot;
    return p;
}

/* Side i of the prism; n is the bottom, n + 1 the top. */
static Plane side_plane(const Prism *p, int i) {
    V2     a = p->corner[i % p->n], b = p->corner[(i + 1) % p->n];
    double len = v2_len(v2_sub(b, a));
    Plane  plane = { .curve = p->round };

    if (i == p->n)
        return (Plane){ v3(0, 0, -1), -p->z0, 0 };
    if (i == p->n + 1)
        return (Plane){ v3(0, 0, 1), p->z1, 0 };
    plane.n = v3((b.y - a.y) / len, (a.x - b.x) / len, 0);
    plane.d = plane.n.x * a.x + plane.n.y * a.y;
    return plane;
}

static void prism_cell(Ctx *c, Solid *s, const Prism *p) {
    Cell *cell = PUSH(c, &s->cells);

    cell->box = box3_empty();
    for (int k = 0; k < 2; k++)
        for (int i = 0; i < p->n; i++) {
            V3 v = v3(p->corner[i].x, p->corner[i].y, k ? p->z1 : p->z0);
            *PUSH(c, &cell->vert) = v;
            box3_add(&cell->box, v);
        }
    for (int i = 0; i < p->n + 2; i++) {
        CellFace *f = PUSH(c, &cell->face);
        int       j = (i + 1) % p->n;
        f->plane = side_plane(p, i);
        if (i < p->n) {
            *PUSH(c, &f->vert) = i;
            *PUSH(c, &f->vert) = j;
            *PUSH(c, &f->vert) = p->n + j;
            *PUSH(c, &f->vert) = p->n + i;
            continue;
        }
        for (int k = 0; k < p->n; k++)
            *PUSH(c, &f->vert) = i == p->n ? p->n - 1 - k : p->n + k;
    }
}

/* The prism where sign*(x - at) <= 0. */
static Prism prism_cut(const Prism *p, double at, double sign) {
    Prism out = *p;

    out.n = 0;
    for (int i = 0; i < p->n; i++) {
        V2     a = p->corner[i], b = p->corner[(i + 1) % p->n];
        double ha = sign * (a.x - at), hb = sign * (b.x - at);
        if (ha <= 0)
            out.corner[out.n++] = a;
        if ((ha < 0 && hb > 0) || (ha > 0 && hb < 0))
            out.corner[out.n++] =
                v2(at, a.y + (b.y - a.y) * ha / (ha - hb));
    }
    return out;
}

static void add_edge(Ctx *c, Solid *s, V3 a, V3 b, int f, int g,
                     bool smooth) {
    *PUSH(c, &s->edges) = (Edge){ a, b, { f, g }, smooth };
}

/* The finished solid; with `split` its cells are cut in two at that
 * fraction of the width. */
static const Solid *prism_solid(Ctx *c, const Prism *p, double split) {
    Solid *s = NEW(c, Solid);
    double lo = INFINITY, hi = -INFINITY;

    for (int i = 0; i < p->n; i++) {
        lo = fmin(lo, p->corner[i].x);
        hi = fmax(hi, p->corner[i].x);
    }
    if (split > 0 && split < 1) {
        Prism left  = prism_cut(p, lo + (hi - lo) * split, 1);
        Prism right = prism_cut(p, lo + (hi - lo) * split, -1);
        prism_cell(c, s, &left);
        prism_cell(c, s, &right);
    } else {
        prism_cell(c, s, p);
    }
    for (int i = 0; i < p->n + 2; i++) {
        Face  *f = PUSH(c, &s->faces);
        Ring3 *r = PUSH(c, &f->rings);
        int    j = (i + 1) % p->n;
        V2     a = p->corner[i % p->n], b = p->corner[j];
        f->plane = side_plane(p, i);
        if (i < p->n) {
            *PUSH(c, r) = v3(a.x, a.y, p->z0);
            *PUSH(c, r) = v3(b.x, b.y, p->z0);
            *PUSH(c, r) = v3(b.x, b.y, p->z1);
            *PUSH(c, r) = v3(a.x, a.y, p->z1);
            add_edge(c, s, r->at[0], r->at[1], i, p->n, false);
            add_edge(c, s, r->at[3], r->at[2], i, p->n + 1, false);
            add_edge(c, s, r->at[1], r->at[2], i, j, p->round);
            continue;
        }
        for (int k = 0; k < p->n; k++) {
            V2 v = p->corner[i == p->n ? p->n - 1 - k : k];
            *PUSH(c, r) = v3(v.x, v.y, i == p->n ? p->z0 : p->z1);
        }
    }
    s->closed = split <= 0 || split >= 1;   // else its cells hide
    solid_skin(c, s);
    return s;
}

static Body *scene_bodies(Ctx *c, const Scene *s, double split, bool fill) {
    Body *b = NEW_N(c, Body, s->n + 1);

    for (int i = 0; i < s->n; i++)
        b[i] = (Body){ .solid = prism_solid(c, &s->prism[i], split),
                       .frame = s->prism[i].frame, .id = i, .fill = fill };
    return b;
}

static Picture draw(Ctx *c, const Scene *s, V3 toward, double split) {
    Camera cam = { v3_unit(toward), v3(0, 0, 1) };

    return picture_draw(c, scene_bodies(c, s, split, false), s->n, NULL, 0,
                        &cam, false);
}

static Str dump(Ctx *c, const Picture *p) {
    Buf b = BUF(c);

    picture_dump(&b, p);
    return buf_done(&b);
}

/* ---- Random scenes ---- */

static double roll(uint32_t *seed) {
    *seed = *seed * 1664525u + 1013904223u;   // Numerical Recipes
    return (*seed >> 8) / 16777216.0;
}

/* n prisms in a loose lattice of 125 mm, every third one round, turned
 * freely; none is wider than its place, so none meets another. */
static Scene random_scene(uint32_t seed, int n) {
    Scene s = { .n = n };

    for (int i = 0; i < n; i++) {
        Prism *p = &s.prism[i];
        V3     at = v3(i % 4 * 125, i / 4 % 4 * 125, i / 16 * 125);
        double w = 20 + 35 * roll(&seed);
        double h = 20 + 35 * roll(&seed);
        double t = 10 + 30 * roll(&seed);
        double x = roll(&seed) - 0.5;
        V3     axis = v3_unit(v3(x, roll(&seed) - 0.5, 0.4));
        *p = i % 3 ? box_at(v3(0, 0, 0), v3(w, h, t))
                   : round_at(v3(0, 0, 0), w / 2, h, 12);
        p->frame = frame_turn(p->frame, v3(w / 3, h / 3, 10), axis,
                              TURN * roll(&seed));
        p->frame.o = v3_add(p->frame.o, at);
    }
    return s;
}

/* Courses of touching bricks, tilted as one: contacts, T-junctions and
 * flush faces in general position. */
static Scene brick_scene(uint32_t seed) {
    Scene s = { .n = 36 };
    V3    axis = v3_unit(v3(0.3, 0.5, 1));

    for (int i = 0; i < s.n; i++) {
        int    row = i / 9, x = i % 3, y = i / 3 % 3;
        double shift = row % 2 * 20;
        s.prism[i] = box_at(v3(x * 60 + shift, y * 25, row * 12),
                            v3(x * 60 + 60 + shift, y * 25 + 25,
                               row * 12 + 12));
        s.prism[i].frame = frame_turn(s.prism[i].frame, v3(50, 40, 20),
                                      axis, roll(&(uint32_t){ seed }));
    }
    return s;
}

/* A block of 8 x 8 x 8 cells sawn again and again, each time a piece in two,
 * and every fifth piece taken out: what is left touches all over, with faces
 * in one plane, edges on faces and corners on edges. */
static Scene sawn_scene(uint32_t seed) {
    int   lo[16][3] = { { 0 } }, hi[16][3] = { { 8, 8, 8 } }, n = 1;
    Scene s = { 0 };
    V3    axis = v3_unit(v3(roll(&seed), 0.3, 1));
    double turn = seed % 4 ? TURN * roll(&seed) : 0;

    for (int cut = 0; cut < 60 && n < 11; cut++) {
        int i = (int)(roll(&seed) * n), k = (int)(roll(&seed) * 3);
        int at = lo[i][k] + 1 + (int)(roll(&seed) * (hi[i][k] - lo[i][k] - 1));
        if (at >= hi[i][k])
            continue;
        memcpy(lo[n], lo[i], sizeof lo[n]);
        memcpy(hi[n], hi[i], sizeof hi[n]);
        hi[i][k] = lo[n++][k] = at;
    }
    for (int i = 0; i < n; i++) {
        Prism *p = &s.prism[s.n];
        if (i % 5 == 4)
            continue;
        *p = box_at(v3(lo[i][0] * 12, lo[i][1] * 10, lo[i][2] * 9),
                    v3(hi[i][0] * 12, hi[i][1] * 10, hi[i][2] * 9));
        p->frame = frame_turn(p->frame, v3(40, 40, 30), axis, turn);
        s.n++;
    }
    return s;
}

/* Round posts on a board, standing against each other with a side or with a
 * corner, a rail across their tops (one may end short of it), a disc on the
 * rail, and a block against the board, its top in one plane with it. */
static Scene post_scene(uint32_t seed) {
    double r    = 8 + 6 * roll(&seed), high = 30 + 20 * roll(&seed);
    bool   side = roll(&seed) < 0.5, even = roll(&seed) < 0.7;
    double off  = 2 * r * (side ? cos(TURN / 24) : 1);
    double turn = side ? TURN / 24 : 0;
    Scene  s    = { .n = 6 };
    V3     axis = v3_unit(v3(roll(&seed), 0.3, 1));
    double all  = seed % 4 ? TURN * roll(&seed) : 0;

    s.prism[0] = box_at(v3(0, 0, 0), v3(120, 80, 12));
    s.prism[1] = round_at(v3(40, 40, 12), r, high, 12);
    s.prism[2] = round_at(v3(40 + off * cos(turn), 40 + off * sin(turn), 12),
                          r, even ? high : high - 5, 12);
    s.prism[3] = box_at(v3(25, 33, 12 + high), v3(95, 47, 22 + high));
    s.prism[4] = round_at(v3(60, 40, 22 + high), 6, 4, 12);
    s.prism[5] = box_at(v3(120, 10, -5), v3(150, 50, 12));
    for (int i = 0; i < s.n; i++)
        s.prism[i].frame = frame_turn(s.prism[i].frame, v3(60, 40, 20), axis,
                                      all);
    return s;
}

/* ---- The oracle ---- */

/* Does the ray from p along unit `dir` meet the prism, each plane moved
 * out by `grow`, later than `start`? */
static bool pierces(const Prism *p, V3 from, V3 dir, double start,
                    double grow) {
    const Frame *f   = &p->frame;
    V3           rel = v3_sub(from, f->o);
    V3     a  = v3(v3_dot(rel, f->x), v3_dot(rel, f->y), v3_dot(rel, f->z));
    V3     d  = v3(v3_dot(dir, f->x), v3_dot(dir, f->y), v3_dot(dir, f->z));
    double r  = fmax(p->z1, 0) + 1;
    double t0 = start, t1 = 1e6;

    /* Far from the ball around it? */
    for (int i = 0; i < p->n; i++)
        r = fmax(r, fabs(p->corner[i].x) + fabs(p->corner[i].y) + p->z1 + 1);
    if (v3_len(v3_cross(rel, dir)) > r)
        return false;
    for (int i = 0; i < p->n + 2; i++) {
        Plane  q  = side_plane(p, i);
        double h  = v3_dot(q.n, a) - q.d - grow, by = v3_dot(q.n, d);
        if (fabs(by) < 1e-15) {
            if (h > 0)
                return false;
        } else if (by > 0) {
            t1 = fmin(t1, -h / by);
        } else {
            t0 = fmax(t0, -h / by);
        }
    }
    return t0 < t1;
}

typedef enum { SEEN, HIDDEN, UNDECIDED } Verdict;

static Verdict judge(const Scene *s, V3 p, V3 toward) {
    bool maybe = false;

    for (int i = 0; i < s->n; i++) {
        if (pierces(&s->prism[i], p, toward, 5e-3, -1e-3))
            return HIDDEN;
        maybe |= pierces(&s->prism[i], p, toward, 5e-3, 1e-3);
    }
    return maybe ? UNDECIDED : SEEN;
}

/* Is there visible ink at p (within `off` mm) that runs along `dir` and
 * goes on for `slack` mm? id < 0: of any body. */
static bool ink_near(const Picture *pic, V2 p, V2 dir, int id, double off,
                     double slack) {
    for (int i = 0; i < pic->lines.n; i++) {
        const Line2 *l  = &pic->lines.at[i];
        V2           by = v2_sub(l->b, l->a);
        double       len = v2_len(by), along;
        if (l->hidden || (id >= 0 && l->id != id)
            || fabs(v2_cross(by, dir)) > 1e-4 * len * v2_len(dir)
            || fabs(v2_cross(by, v2_sub(p, l->a))) > off * len)
            continue;
        along = v2_dot(by, v2_sub(p, l->a)) / len;
        if (along > slack && along < len - slack)
            return true;
    }
    return false;
}

static bool has_ink(const Picture *pic, V2 p, V2 dir, int id) {
    return ink_near(pic, p, dir, id, 0.01, 0);
}

/* Compares some points of each edge with the picture. Edges that are not to
 * be drawn (smooth, no silhouette) must be covered by no ink of theirs. */
static int check_points(Ctx *c, const Scene *s, V3 toward, double split,
                        bool shared_ink, int points) {
    Picture pic     = draw(c, s, toward, split);
    Camera  cam     = { v3_unit(toward), v3(0, 0, 1) };
    int     decided = 0;

    for (int i = 0; i < s->n; i++) {
        const Prism *p     = &s->prism[i];
        const Solid *solid = prism_solid(c, p, 0);
        for (int k = 0; k < solid->edges.n; k++) {
            const Edge *e = &solid->edges.at[k];
            V3   a = frame_point(&p->frame, e->a);
            V3   b = frame_point(&p->frame, e->b);
            V2   dir = v2_sub(camera_project(&cam, b, NULL),
                              camera_project(&cam, a, NULL));
            bool front[2], drawn;
            for (int m = 0; m < 2; m++)
                front[m] = v3_dot(cam.toward, frame_vector(&p->frame,
                                  side_plane(p, e->face[m]).n)) > 1e-5;
            drawn = !e->smooth || front[0] != front[1];
            if (v2_len(dir) < 1)
                continue;
            for (int m = 0; m < points; m++) {
                V3      q = v3_add(a, v3_scale(v3_sub(b, a),
                                               (m + 0.417) / points));
                V2      at = camera_project(&cam, q, NULL);
                Verdict v = judge(s, q, cam.toward);
                bool    ink;
                if (v == UNDECIDED || (!drawn && v == SEEN))
                    continue;
                ink = v == SEEN
                    ? ink_near(&pic, at, dir, shared_ink ? -1 : i, 0.01,
                               -0.02)
                    : ink_near(&pic, at, dir, i, 1e-5, 0.02);
                decided++;
                if (ink != (v == SEEN))
                    fail_msg("body %d edge %d point %d (%.3f, %.3f): %s",
                             i, k, m, at.x, at.y,
                             ink ? "drawn but hidden" : "seen but missing");
            }
        }
    }
    return decided;
}

static int check_against_rays(Ctx *c, const Scene *s, V3 toward,
                              double split, bool shared_ink) {
    return check_points(c, s, toward, split, shared_ink, 23);
}

static double ink_length(const Picture *p, int kind) {
    double sum = 0;

    for (int i = 0; i < p->lines.n; i++)
        if (!p->lines.at[i].hidden
            && (kind < 0 || (int)p->lines.at[i].kind == kind))
            sum += v2_len(v2_sub(p->lines.at[i].b, p->lines.at[i].a));
    return sum;
}

static int count(const Picture *p, LineKind kind, bool hidden) {
    int n = 0;

    for (int i = 0; i < p->lines.n; i++)
        n += p->lines.at[i].kind == kind && p->lines.at[i].hidden == hidden;
    return n;
}

static double patch_area(const Picture *p, int id) {
    double sum = 0;

    for (int i = 0; i < p->patches.n; i++)
        if (p->patches.at[i].id == id)
            sum += polygons_area(p->patches.at[i].area);
    return sum;
}

/* ---- Cameras ---- */

static void the_picture_stands_upright(void **state) {
    Camera front = { v3(0, -1, 0), v3(0, 0, 1) };
    double depth;
    V2     p = camera_project(&front, v3(3, -7, 11), &depth);

    (void)state;
    assert_near(p.x, 3, 1e-12);
    assert_near(p.y, 11, 1e-12);
    assert_near(depth, 7, 1e-12);
}

static void a_view_along_up_has_world_x_to_the_right(void **state) {
    Camera top    = { v3(0, 0, 1), v3(0, 0, 1) };
    Camera bottom = { v3(0, 0, -1), v3(0, 0, 1) };
    Camera side   = { v3(1, 0, 0), v3(1, 0, 0) };
    V2     p;

    (void)state;
    p = camera_project(&top, v3(3, 5, 7), NULL);
    assert_near(p.x, 3, 1e-12);
    assert_near(p.y, 5, 1e-12);
    p = camera_project(&bottom, v3(3, 5, 7), NULL);
    assert_near(p.x, 3, 1e-12);
    assert_near(p.y, -5, 1e-12);
    p = camera_project(&side, v3(3, 5, 7), NULL);
    assert_near(p.x, 5, 1e-12);
    assert_near(p.y, 7, 1e-12);
}

static void a_camera_of_zeros_still_projects(void **state) {
    Camera none = { { 0 }, { 0 } };
    V2     p = camera_project(&none, v3(3, 5, 7), NULL);

    (void)state;
    assert_near(p.x, 3, 1e-12);
    assert_near(p.y, 5, 1e-12);
}

/* ---- Lines ---- */

static void nothing_gives_an_empty_picture(void **state) {
    Ctx    *c = *state;
    Camera  cam = { v3(0, 0, 1), v3(0, 1, 0) };
    Solid   empty = { 0 };
    Body    bodies[] = { { .frame = FRAME_WORLD, .fill = true },
                         { .solid = &empty, .fill = true } };
    Picture p = picture_draw(c, NULL, 0, NULL, 0, &cam, true);

    assert_int_equal(p.lines.n, 0);
    assert_true(p.box.min.x > p.box.max.x);
    p = picture_draw(c, bodies, 2, NULL, 0, &cam, true);
    assert_int_equal(p.lines.n + p.patches.n, 0);
    assert_str(dump(c, &p), "picture\n");
}

static void a_place_that_is_no_number_draws_nothing(void **state) {
    Ctx    *c = *state;
    Scene   s = { .n = 2 };
    Picture p;

    s.prism[0] = box_at(v3(0, 0, 0), v3(10, 20, 30));
    s.prism[1] = s.prism[0];
    s.prism[1].frame.o.x = NAN;
    p = draw(c, &s, v3(1, -2, 1), 0);
    assert_int_equal(p.lines.n, 9);
}

static void a_box_shows_nine_edges(void **state) {
    Ctx    *c = *state;
    Scene   s = { .n = 1 };
    Picture p;

    s.prism[0] = box_at(v3(0, 0, 0), v3(10, 20, 30));
    p = draw(c, &s, v3(1, -2, 1), 0);
    assert_int_equal(count(&p, LINE_OUTLINE, false), 6);
    assert_int_equal(count(&p, LINE_CREASE, false), 3);
    assert_int_equal(p.lines.n, 9);
}

static void an_elevation_of_a_box_is_its_rectangle(void **state) {
    Ctx    *c = *state;
    Scene   s = { .n = 1 };
    Picture p;

    s.prism[0] = box_at(v3(1, 2, 3), v3(11, 22, 33));
    p = draw(c, &s, v3(0, -1, 0), 0.37);
    assert_str(dump(c, &p),
               "picture 1,3 11,33\n"
               "outline 0 1,3 1,33\n"
               "outline 0 1,3 11,3\n"
               "outline 0 1,33 11,33\n"
               "outline 0 11,3 11,33\n");
}

static void visible_lines_agree_with_rays(void **state) {
    Ctx *c = *state;
    int  decided = 0;

    for (uint32_t seed = 1; seed <= 6; seed++) {
        Scene s = random_scene(seed, 48);
        decided += check_against_rays(c, &s, v3(0.31 + seed * 0.1, -0.77,
                                                0.52), 0, false);
    }
    assert_true(decided > 20000);
}

static void touching_bricks_agree_with_rays(void **state) {
    Ctx *c = *state;
    int  decided = 0;

    for (uint32_t seed = 1; seed <= 6; seed++) {
        Scene s = brick_scene(seed * 77777777u);
        decided += check_against_rays(c, &s, v3(0.41, -0.73, 0.31 * seed),
                                      0.37, true);
    }
    assert_true(decided > 5000);
}

/* Loose pieces, boards that touch all over, and round posts that touch; one
 * in four of those that touch stands upright, and some are seen straight
 * from the front. Many points of each kind must have been decided. */
static void a_thousand_scenes_agree_with_rays(void **state) {
    Ctx *c = *state;
    int  decided[3] = { 0 };

    for (uint32_t seed = 1; seed <= 1000; seed++) {
        int      kind = (int)(seed % 3);
        uint32_t dice = seed * 2654435761u;
        Scene    s = kind == 0 ? random_scene(seed, 8)
                   : kind == 1 ? sawn_scene(dice) : post_scene(dice);
        V3       view = kind && seed % 5 == 1
                      ? v3(0, -1, 0)
                      : v3(0.31 + seed % 7 * 0.1, -0.77,
                           0.2 + seed % 5 * 0.1);
        double   split = seed % 2 ? 0.37 : 0;
        decided[kind] += check_points(c, &s, view, split, kind > 0, 4);
    }
    for (int i = 0; i < COUNT(decided); i++)
        assert_true(decided[i] > 60000);
}

static void splitting_cells_changes_nothing(void **state) {
    Ctx *c = *state;
    const V3 view[] = { v3(0.3, -0.8, 0.5), v3(1, -1, 1), v3(0, -1, 0),
                        v3(0, 0, 1), v3(1, 0, 0) };

    for (int i = 0; i < COUNT(view); i++) {
        Scene   s = i % 2 ? brick_scene(0) : random_scene(9, 40);
        Picture whole = draw(c, &s, view[i], 0);
        Picture half = draw(c, &s, view[i], 0.5);
        Picture third = draw(c, &s, view[i], 0.37);
        Str     text = dump(c, &whole);
        assert_true(whole.lines.n > 50);
        assert_true(str_eq(text, dump(c, &half)));
        assert_true(str_eq(text, dump(c, &third)));
    }
}

/* Uprights, and rails let in flush between them: in the front elevation
 * each line of the grid must come out once and nothing from behind. */
static Scene flush_rack(void) {
    Scene s = { 0 };

    for (int i = 0; i < 5; i++)
        for (int depth = 0; depth < 2; depth++)
            s.prism[s.n++] = box_at(v3(i * 200, depth * 180, 0),
                                    v3(i * 200 + 20, depth * 180 + 20, 900));
    for (int i = 0; i < 4; i++)
        for (int k = 0; k < 4; k++)
            for (int depth = 0; depth < 2; depth++)
                s.prism[s.n++] =
                    box_at(v3(i * 200 + 20, depth * 180, 100 + k * 200),
                           v3(i * 200 + 200, depth * 180 + 20,
                              140 + k * 200));
    return s;
}

static void a_flush_rack_leaks_no_lines_from_behind(void **state) {
    Ctx    *c = *state;
    Scene   s = flush_rack();
    double  should = 5 * (2 * 900 + 2 * 20)   // uprights
                   + 4 * 4 * 2 * 180;         // rails; ends on uprights
    Picture p = draw(c, &s, v3(0, -1, 0), 0);
    Picture q = draw(c, &s, v3(0, -1, 0), 0.5);

    assert_near(ink_length(&p, -1), should, 1e-6);
    assert_near(ink_length(&q, -1), should, 1e-6);
}

/* The edges of the board behind lie exactly along the seam between two
 * cells of the board in front. */
static void nothing_shows_through_the_seam_of_two_cells(void **state) {
    Ctx    *c = *state;
    Scene   s = { .n = 2 };
    V3      view = v3(1, -1, 1);
    Picture p;

    s.prism[0] = box_at(v3(0, 0, 0), v3(100, 20, 100));
    s.prism[1] = box_at(v3(50, 40, 20), v3(70, 60, 80));
    p = draw(c, &s, v3(0, -1, 0), 0.5);
    assert_int_equal(p.lines.n, 4);
    /* The same along a slanted view: moved back along it. */
    s.prism[1] = box_at(v3(50, 0, 20), v3(70, 20, 60));
    s.prism[1].frame.o = v3_sub(s.prism[1].frame.o, v3_scale(view, 30));
    p = draw(c, &s, view, 0.5);
    for (int i = 0; i < p.lines.n; i++)
        if (p.lines.at[i].id == 1) {
            V2 by = v2_sub(p.lines.at[i].b, p.lines.at[i].a);
            V2 at = camera_project(&(Camera){ v3_unit(view), v3(0, 0, 1) },
                                   v3(50, 0, 50), NULL);
            assert_true(fabs(v2_cross(by, v2_sub(at, p.lines.at[i].a)))
                        > 0.01 * v2_len(by));
        }
}

static void half_a_millimeter_behind_is_hidden(void **state) {
    Ctx    *c = *state;
    Scene   s = { .n = 2 };
    Picture p;

    s.prism[0] = box_at(v3(0, 0, 0), v3(100, 1, 100));
    s.prism[1] = box_at(v3(50, 0.5, 20), v3(70, 60, 80));   // let in
    p = draw(c, &s, v3(0, -1, 0), 0);
    assert_int_equal(p.lines.n, 4);
}

static void boards_that_touch_share_one_line(void **state) {
    Ctx    *c = *state;
    Scene   s = { .n = 2 };
    Camera  cam = { v3(0, -1, 0), v3(0, 0, 1) };
    Body   *b;
    Picture p;

    s.prism[0] = box_at(v3(0, 0, 0), v3(100, 20, 50));
    s.prism[1] = box_at(v3(100, 0, 0), v3(150, 20, 30));
    b = scene_bodies(c, &s, 0, false);
    p = picture_draw(c, b, 2, NULL, 0, &cam, false);
    assert_near(ink_length(&p, -1), 2 * 150 + 2 * 50 + 30 - 0, 1e-9);
    assert_true(has_ink(&p, v2(100, 15), v2(0, 1), 0));
    assert_false(has_ink(&p, v2(100, 15), v2(0, 1), 1));
    assert_int_equal(count(&p, LINE_CREASE, false), 0);
    b[1].fill = true;   // the new piece takes the joint
    p = picture_draw(c, b, 2, NULL, 0, &cam, false);
    assert_true(has_ink(&p, v2(100, 15), v2(0, 1), 1));
    assert_true(has_ink(&p, v2(100, 40), v2(0, 1), 0));
    assert_false(has_ink(&p, v2(100, 40), v2(0, 1), 1));
}

/* The long board's front edge is outline where nothing lies under it and
 * outline where another body does, but the ridge of a step 1 mm high is a
 * crease, and 3 mm high it is outline. */
static void a_step_of_more_than_two_makes_an_outline(void **state) {
    Ctx *c = *state;

    for (int high = 1; high <= 3; high += 2) {
        Camera  cam = { v3(0, 0, 1), v3(0, 1, 0) };
        Solid  *s = NEW(c, Solid);
        Prism   low = box_at(v3(0, 0, 0), v3(50, 40, 10));
        Prism   top = box_at(v3(0, 0, 0), v3(50, 40, 10 + high));
        Body    body = { .solid = s, .frame = FRAME_WORLD };
        Picture p;
        /* Two cells side by side; the edge of the step between them. */
        for (int i = 0; i < 4; i++)
            top.corner[i].x += 50;
        prism_cell(c, s, &low);
        prism_cell(c, s, &top);
        PUSH(c, &s->faces)->plane = side_plane(&top, 5);
        PUSH(c, &s->faces)->plane = side_plane(&top, 3);
        add_edge(c, s, v3(50, 0, 10 + high), v3(50, 40, 10 + high), 0, 1,
                 false);
        solid_skin(c, s);
        p = picture_draw(c, &body, 1, NULL, 0, &cam, false);
        assert_int_equal(p.lines.n, 1);
        assert_int_equal(p.lines.at[0].kind,
                         high == 1 ? LINE_CREASE : LINE_OUTLINE);
    }
}

/* A board half covered at its end by a flush neighbor: its end edge is
 * outline there and a crease on the rest. */
static void a_line_changes_its_kind_where_a_board_ends(void **state) {
    Ctx    *c = *state;
    Scene   s = { .n = 2 };
    Picture p;
    Camera  cam = { v3_unit(v3(1, -1, 1)), v3(0, 0, 1) };
    V2      joint, open, dir;

    s.prism[0] = box_at(v3(0, 0, 0), v3(100, 80, 20));
    s.prism[1] = box_at(v3(100, 40, 0), v3(180, 80, 20));
    p = draw(c, &s, v3(1, -1, 1), 0);
    joint = camera_project(&cam, v3(100, 60, 20), NULL);
    open  = camera_project(&cam, v3(100, 20, 20), NULL);
    dir   = v2_sub(joint, open);
    for (int i = 0; i < p.lines.n; i++) {
        Picture one = { 0 };
        *PUSH(c, &one.lines) = p.lines.at[i];
        if (has_ink(&one, joint, dir, -1))
            assert_int_equal(p.lines.at[i].kind, LINE_OUTLINE);
        if (has_ink(&one, open, dir, -1))
            assert_int_equal(p.lines.at[i].kind, LINE_CREASE);
    }
    assert_true(has_ink(&p, joint, dir, 0) && has_ink(&p, open, dir, 0));
}

static void the_order_of_bodies_does_not_matter(void **state) {
    Ctx *c = *state;
    const V3 view[] = { v3(0.3, -0.8, 0.5), v3(1, -1, 1), v3(0, -1, 0) };

    for (int i = 0; i < 2 * COUNT(view); i++) {
        Camera  cam = { v3_unit(view[i / 2]), v3(0, 0, 1) };
        Scene   s = i % 2 ? flush_rack() : brick_scene(0);
        Body   *b = scene_bodies(c, &s, 0, false);
        Picture one = picture_draw(c, b, s.n, NULL, 0, &cam, true), other;
        uint32_t seed = 5;
        for (int k = s.n - 1; k > 0; k--) {
            int  m = (int)(roll(&seed) * (k + 1));
            Body swap = b[k];
            b[k] = b[m];
            b[m] = swap;
        }
        other = picture_draw(c, b, s.n, NULL, 0, &cam, true);
        assert_true(str_eq(dump(c, &one), dump(c, &other)));
    }
}

static void turning_model_and_camera_together_changes_nothing(void **state) {
    Ctx    *c = *state;
    Scene   s = random_scene(4, 30), turned = s;
    V3      toward = v3_unit(v3(0.6, -0.7, 0.4)), axis, up;
    Picture one, other;
    Camera  cam;
    Frame   f;

    axis = v3_unit(v3(1, 2, 3));
    f    = frame_turn(FRAME_WORLD, v3(0, 0, 0), axis, 1.1);
    up   = frame_vector(&f, v3(0, 0, 1));
    for (int i = 0; i < s.n; i++)
        turned.prism[i].frame = frame_turn(s.prism[i].frame, v3(0, 0, 0),
                                           axis, 1.1);
    one = draw(c, &s, toward, 0);
    cam = (Camera){ frame_vector(&f, toward), up };
    other = picture_draw(c, scene_bodies(c, &turned, 0, false), s.n, NULL, 0,
                         &cam, false);
    assert_int_equal(one.lines.n, other.lines.n);
    for (int k = 0; k < 4; k++)
        assert_near(ink_length(&one, k), ink_length(&other, k), 1e-3);
}

static void a_mirrored_body_looks_mirrored(void **state) {
    Ctx    *c = *state;
    Scene   s = { .n = 1 };
    Camera  cam = { v3_unit(v3(0, -1, 0.5)), v3(0, 0, 1) };
    Body   *b;
    Picture one, other;

    s.prism[0] = box_at(v3(10, 0, 0), v3(60, 30, 20));
    s.prism[0].corner[2].x = 20;
    b     = scene_bodies(c, &s, 0, true);
    one   = picture_draw(c, b, 1, NULL, 0, &cam, false);
    b[0].frame = frame_mirror(b[0].frame, v3(0, 0, 0), v3(1, 0, 0));
    other = picture_draw(c, b, 1, NULL, 0, &cam, false);
    assert_int_equal(one.lines.n, other.lines.n);
    assert_near(ink_length(&one, LINE_OUTLINE),
                ink_length(&other, LINE_OUTLINE), 1e-9);
    assert_near(one.box.max.x, -other.box.min.x, 1e-9);
    assert_int_equal(one.patches.n, other.patches.n);
    assert_true(one.patches.n >= 2);
    assert_near(patch_area(&one, 0), patch_area(&other, 0), 1e-6);
}

static void a_round_post_has_two_silhouettes(void **state) {
    Ctx    *c = *state;
    Scene   s = { .n = 1 };
    Picture p;

    s.prism[0] = round_at(v3(0, 0, 0), 20, 90, 24);
    p = draw(c, &s, v3(0.3, -0.8, 0.5), 0);
    assert_int_equal(count(&p, LINE_SILHOUETTE, false), 2);
    /* Top rim: 24 sides; bottom rim: the near half. */
    assert_int_equal(p.lines.n, 2 + 24 + 12);
}

static void a_ghost_hides_nothing(void **state) {
    Ctx    *c = *state;
    Scene   s = { .n = 2 };
    Camera  cam = { v3(0, -1, 0), v3(0, 0, 1) };
    Body   *b;
    Picture p;

    s.prism[0] = box_at(v3(0, 0, 0), v3(100, 20, 100));
    s.prism[1] = box_at(v3(30, 50, 30), v3(70, 70, 70));
    b = scene_bodies(c, &s, 0, true);
    p = picture_draw(c, b, 2, NULL, 0, &cam, false);
    assert_int_equal(p.lines.n, 4);
    assert_near(patch_area(&p, 1), 0, 0);
    b[0].ghost = true;
    p = picture_draw(c, b, 2, NULL, 0, &cam, false);
    assert_int_equal(p.lines.n, 8);
    assert_near(patch_area(&p, 1), 1600, 1e-6);
}

static void extras_pass_behind_bodies(void **state) {
    Ctx    *c = *state;
    Scene   s = { .n = 1 };
    Camera  cam = { v3(0, -1, 0), v3(0, 0, 1) };
    Extra   extra[] = { { v3(-50, 30, 50), v3(150, 30, 50), 7 },
                        { v3(-50, -30, 60), v3(150, -30, 60), 8 } };
    Picture p;

    s.prism[0] = box_at(v3(0, 0, 0), v3(100, 20, 100));
    p = picture_draw(c, scene_bodies(c, &s, 0, false), 1, extra, 2, &cam,
                     true);
    assert_near(ink_length(&p, LINE_EXTRA), 50 + 50 + 200, 1e-5);
    assert_int_equal(count(&p, LINE_EXTRA, false), 3);
    assert_int_equal(count(&p, LINE_EXTRA, true), 0);
    assert_near(p.box.min.x, -50, 1e-9);
}

/* A guide line that dives into a board is seen to where it enters, whether
 * it runs to the right or to the left there; along an edge it is not seen
 * at all. */
static void an_extra_ends_where_it_enters_a_board(void **state) {
    Ctx    *c = *state;
    Scene   s = { .n = 1 };
    V3      out = v3(50, -50, 50), in = v3(50, 15, 50), at = v3(50, 0, 50);
    Extra   extra[] = { { out, in, 7 }, { v3(0, 0, 0), v3(100, 0, 0), 8 } };
    Body   *b;

    s.prism[0] = box_at(v3(0, 0, 0), v3(100, 20, 100));
    b = scene_bodies(c, &s, 0, false);
    for (int side = -1; side <= 1; side += 2) {
        Camera  cam = { v3_unit(v3(side * 0.8, -1, 0.7)), v3(0, 0, 1) };
        Picture p   = picture_draw(c, b, 1, extra, 1, &cam, false);
        V2      seen = v2_sub(camera_project(&cam, out, NULL),
                              camera_project(&cam, at, NULL));
        assert_near(ink_length(&p, LINE_EXTRA), v2_len(seen), 1e-5);
        p = picture_draw(c, b, 1, extra + 1, 1, &cam, false);
        assert_int_equal(count(&p, LINE_EXTRA, false), 0);
        assert_int_equal(p.lines.n, 9);
    }
}

static void hidden_edges_come_out_dashed_once(void **state) {
    Ctx    *c = *state;
    Scene   s = { .n = 1 };
    Camera  cam = { v3_unit(v3(1, -2, 1)), v3(0, 0, 1) };
    Camera  front = { v3(0, -1, 0), v3(0, 0, 1) };
    Picture p;
    int     hidden = 0;

    s.prism[0] = box_at(v3(0, 0, 0), v3(10, 20, 30));
    p = picture_draw(c, scene_bodies(c, &s, 0, false), 1, NULL, 0, &cam,
                     true);
    for (int i = 0; i < p.lines.n; i++)
        hidden += p.lines.at[i].hidden;
    assert_int_equal(hidden, 3);
    assert_int_equal(p.lines.n, 12);
    /* Seen from the front, the back lies on the front: nothing dashed. */
    p = picture_draw(c, scene_bodies(c, &s, 0, false), 1, NULL, 0, &front,
                     true);
    assert_int_equal(p.lines.n, 4);
    /* A board behind another, in part. */
    s.n = 2;
    s.prism[1] = box_at(v3(5, 50, 10), v3(25, 60, 20));
    p = picture_draw(c, scene_bodies(c, &s, 0, false), 2, NULL, 0, &front,
                     true);
    hidden = 0;
    for (int i = 0; i < p.lines.n; i++)
        hidden += p.lines.at[i].hidden;
    assert_int_equal(hidden, 3);
    assert_near(ink_length(&p, -1), 2 * 10 + 2 * 30 + 2 * 15 + 10, 1e-5);
}

/* ---- Patches ---- */

static void patches_of_a_lone_box_fill_its_outline(void **state) {
    Ctx    *c = *state;
    Scene   s = { .n = 1 };
    V3      t = v3_unit(v3(1, -2, 1));
    Camera  cam = { t, v3(0, 0, 1) };
    Picture p;

    s.prism[0] = box_at(v3(0, 0, 0), v3(10, 20, 30));
    p = picture_draw(c, scene_bodies(c, &s, 0.37, true), 1, NULL, 0, &cam,
                     false);
    assert_int_equal(p.patches.n, 3);
    assert_near(patch_area(&p, 0), 20 * 30 * t.x - 10 * 30 * t.y
                                   + 10 * 20 * t.z, 1e-3);
    for (int i = 0; i < 3; i++) {
        const Patch *q = &p.patches.at[i];
        assert_near(q->toward, v3_dot(q->normal, t), 1e-12);
        assert_int_equal(q->area.parts.n, 1);
        assert_int_equal(q->area.parts.at[0].at[0].n, 4);
    }
}

static void a_patch_ends_where_another_body_covers_it(void **state) {
    Ctx    *c = *state;
    Scene   s = { .n = 3 };
    Camera  cam = { v3(0, -1, 0), v3(0, 0, 1) };
    Picture p;

    s.prism[0] = box_at(v3(0, 100, 0), v3(100, 120, 100));
    s.prism[1] = box_at(v3(60, 0, 20), v3(150, 20, 50));   // 40 x 30 over it
    s.prism[2] = box_at(v3(30, 50, 10), v3(80, 70, 40));   // 20 x 20 shared
    p = picture_draw(c, scene_bodies(c, &s, 0.5, true), 3, NULL, 0, &cam,
                     false);
    assert_near(patch_area(&p, 0), 10000 - 1200 - 1500 + 400, 1e-6);
    assert_near(patch_area(&p, 1), 90 * 30, 1e-6);
    assert_near(patch_area(&p, 2), 50 * 30 - 400, 1e-6);
}

static void a_covered_face_gives_no_patch(void **state) {
    Ctx    *c = *state;
    Scene   s = { .n = 3 };
    Camera  cam = { v3(0, -1, 0), v3(0, 0, 1) };
    Picture p;

    /* Two boards side by side, each alone too small. */
    s.prism[0] = box_at(v3(0, 20, 0), v3(100, 40, 100));
    s.prism[1] = box_at(v3(0, 0, 0), v3(33.3, 20, 100));
    s.prism[2] = box_at(v3(33.3, 0, 0), v3(100, 20, 100));
    p = picture_draw(c, scene_bodies(c, &s, 0, true), 3, NULL, 0, &cam,
                     false);
    assert_near(patch_area(&p, 0), 0, 0);
    assert_int_equal(p.patches.n, 2);
}

/* Two boards cover opposite quarters: two squares that touch at a corner
 * are left, not a bow tie. */
static void squares_that_touch_at_a_corner_stay_apart(void **state) {
    Ctx    *c = *state;
    Scene   s = { .n = 3 };
    Camera  cam = { v3(0, -1, 0), v3(0, 0, 1) };
    Picture p;

    s.prism[0] = box_at(v3(0, 20, 0), v3(100, 40, 100));
    s.prism[1] = box_at(v3(0, 0, 50), v3(50, 20, 100));
    s.prism[2] = box_at(v3(50, 0, 0), v3(100, 20, 50));
    p = picture_draw(c, scene_bodies(c, &s, 0, true), 3, NULL, 0, &cam,
                     false);
    assert_int_equal(p.patches.at[0].id, 0);
    assert_int_equal(p.patches.at[0].area.parts.n, 2);
    for (int i = 0; i < 2; i++)
        assert_int_equal(p.patches.at[0].area.parts.at[i].at[0].n, 4);
    assert_near(patch_area(&p, 0), 5000, 1e-6);
}

/* Total of all patches = area of the union of the outlines, counted by
 * casting rays on a lattice of points. */
static void patches_agree_with_rays(void **state) {
    Ctx *c = *state;

    for (uint32_t seed = 1; seed <= 3; seed++) {
        Scene   s = seed == 3 ? brick_scene(7) : random_scene(seed, 32);
        V3      t = v3_unit(v3(0.5, -0.7, 0.2 + 0.2 * seed));
        Camera  cam = { t, v3(0, 0, 1) };
        Picture p = picture_draw(c, scene_bodies(c, &s, 0, true), s.n, NULL,
                                 0, &cam, false);
        V3      side = v3_unit(v3_cross(cam.up, t)), up = v3_cross(t, side);
        double  step = 2.5, all = 0, sum = 0;
        for (double x = p.box.min.x; x < p.box.max.x; x += step)
            for (double y = p.box.min.y; y < p.box.max.y; y += step) {
                V3   q = v3_add(v3_add(v3_scale(side, x), v3_scale(up, y)),
                                v3_scale(t, -1e4));
                bool any = false;
                for (int i = 0; !any && i < s.n; i++)
                    any = pierces(&s.prism[i], q, t, 0, 0);
                sum += any * step * step;
            }
        for (int i = 0; i < s.n; i++)
            all += patch_area(&p, i);
        assert_near(all / sum, 1, 0.005);
    }
}

/* A plate with a square hole, made of four cells about it. */
static const Solid *plate_with_hole(Ctx *c) {
    Solid *s = NEW(c, Solid);
    const double at[4][4] = { { 0, 0, 100, 30 }, { 0, 70, 100, 100 },
                              { 0, 30, 30, 70 }, { 70, 30, 100, 70 } };
    const double hole[2][2] = { { 0, 100 }, { 30, 70 } };

    for (int i = 0; i < 4; i++) {
        Prism p = { .n = 4, .z1 = 10 };
        p.corner[0] = v2(at[i][0], at[i][1]);
        p.corner[1] = v2(at[i][2], at[i][1]);
        p.corner[2] = v2(at[i][2], at[i][3]);
        p.corner[3] = v2(at[i][0], at[i][3]);
        prism_cell(c, s, &p);
    }
    PUSH(c, &s->faces)->plane = (Plane){ v3(0, 0, 1), 10, 0 };
    for (int i = 0; i < 2; i++) {
        Ring3 *r  = PUSH(c, &s->faces.at[0].rings);
        double lo = hole[i][0], hi = hole[i][1];
        V3     v[4] = { v3(lo, lo, 10), v3(hi, lo, 10), v3(hi, hi, 10),
                        v3(lo, hi, 10) };
        for (int k = 0; k < 4; k++) {
            *PUSH(c, r) = v[i ? 3 - k : k];
            add_edge(c, s, v[k], v[(k + 1) % 4], 0, -1, false);
        }
    }
    solid_skin(c, s);
    return s;
}

static void what_is_behind_shows_through_a_hole(void **state) {
    Ctx    *c = *state;
    Camera  cam = { v3(0, 0, 1), v3(0, 1, 0) };
    Prism   behind = box_at(v3(0, 0, -30), v3(100, 100, -20));
    Body    b[2] = { { .solid = plate_with_hole(c), .frame = FRAME_WORLD,
                       .id = 1, .fill = true },
                     { .solid = prism_solid(c, &behind, 0.37),
                       .frame = behind.frame, .id = 2, .fill = true } };
    Picture p = picture_draw(c, b, 2, NULL, 0, &cam, false);

    assert_near(patch_area(&p, 1), 10000 - 1600, 1e-6);
    assert_near(patch_area(&p, 2), 1600, 1e-6);
    assert_int_equal(p.patches.n, 2);
    assert_int_equal(p.patches.at[0].area.parts.at[0].n, 2);   // one hole
    assert_int_equal(p.lines.n, 8);
}

/* Faces with holes take another way (GEOS) than convex ones (patch_cut):
 * what random bodies leave of a plate must be the same but for the hole. */
static void both_ways_of_cutting_patches_agree(void **state) {
    Ctx *c = *state;

    for (uint32_t seed = 1; seed <= 8; seed++) {
        Scene   s    = seed % 2 ? random_scene(seed, 40) : brick_scene(seed);
        V3      t    = v3_unit(v3(0.2, -0.3, 1));
        Camera  cam  = { t, v3(0, 1, 0) };
        Body   *b    = scene_bodies(c, &s, 0.37, false);
        Prism   big  = box_at(v3(-300, -300, -200), v3(700, 700, -190));
        Solid   holed;
        double  whole, rest;
        Ring3  *hole;
        V3      corner[] = { v3(10, 10, 10), v3(10, 90, 10), v3(90, 90, 10),
                             v3(90, 10, 10) };
        b[s.n] = (Body){ .solid = prism_solid(c, &big, 0), .id = 99,
                         .frame = big.frame, .fill = true };
        Picture p = picture_draw(c, b, s.n + 1, NULL, 0, &cam, false);
        whole = patch_area(&p, 99);
        holed = *b[s.n].solid;
        hole  = PUSH(c, &holed.faces.at[5].rings);
        for (int i = 0; i < 4; i++)
            *PUSH(c, hole) = corner[i];
        b[s.n].solid = &holed;
        p    = picture_draw(c, b, s.n + 1, NULL, 0, &cam, false);
        rest = patch_area(&p, 99);
        assert_true(whole > 5e5 && whole < 0.99e6);
        assert_near(whole - rest, 80 * 80 * t.z, 0.5);   // grid of 1e-4
    }
}

/* A rail that runs through the hole lies before the plate on one side and
 * behind it on the other. */
static void a_rail_through_a_slot_covers_on_one_side(void **state) {
    Ctx    *c = *state;
    V3      t = v3_unit(v3(0, 0.6, 1));
    Camera  cam = { t, v3(0, 1, 0) };
    Prism   rail = box_at(v3(45, 45, -80), v3(55, 55, 80));
    Body    b[2] = { { .solid = plate_with_hole(c), .frame = FRAME_WORLD,
                       .id = 1, .fill = true },
                     { .solid = prism_solid(c, &rail, 0),
                       .frame = rail.frame, .id = 2 } };
    Picture with, without;

    /* Along the view, the rail's upper end (y 45, 80 high) falls on the
     * plate's face (10 high) at y = 45 - 70*0.6 = 3, so that it covers y 3
     * to 30 of the strip before the hole. Its lower half covers nothing. */
    without = picture_draw(c, b, 1, NULL, 0, &cam, false);
    with    = picture_draw(c, b, 2, NULL, 0, &cam, false);
    assert_near(patch_area(&without, 1) - patch_area(&with, 1),
                10 * 27 * t.z, 1e-2);
}

/* As the program builds them: a board with a round hole and a dado. */
static Solid *drilled_board(Ctx *c) {
    Solid *s = NEW(c, Solid);
    int    curve = 1;
    Slab   slab = { .z1 = 20 };
    Plane  dado[] = { { v3(1, 0, 0), 80, 0 }, { v3(-1, 0, 0), -60, 0 },
                      { v3(0, 0, 1), 30, 0 }, { v3(0, 0, -1), -12, 0 },
                      { v3(0, 1, 0), 99, 0 }, { v3(0, -1, 0), 9, 0 } };

    slab.shape = shape_subtract(c, shape_rect(c, v2(0, 0), v2(100, 50)),
                                shape_circle(c, v2(30, 25), 10));
    solid_add_slab(c, s, &slab, 0.01, &curve);
    solid_subtract(c, s, dado, COUNT(dado));
    solid_finish(c, s);
    return s;
}

/* The same solid, hiding by the faces of its cells. */
static Solid *hiding_by_cells(Ctx *c, const Solid *s) {
    Solid *by_cells = NEW(c, Solid);

    *by_cells = *s;
    by_cells->skin.at  = NULL;
    by_cells->skin.n   = by_cells->skin.cap = 0;
    by_cells->closed   = false;
    solid_skin(c, by_cells);
    return by_cells;
}

static void whole_faces_hide_as_those_of_cells_do(void **state) {
    Ctx   *c = *state;
    Solid *s = drilled_board(c), *by_cells = hiding_by_cells(c, s);
    V3     view[] = { v3(0.3, -0.8, 0.5), v3(0, 0, 1), v3(-1, 0.2, 0.1),
                      v3(0.5, 0.4, -0.7) };

    assert_true(s->closed && s->skin.n >= s->faces.n);
    assert_true(by_cells->skin.n > s->skin.n * 3 / 2);
    for (int i = 0; i < COUNT(view); i++) {
        Camera cam = { v3_unit(view[i]), v3(0.1, 0.2, 0.9) };
        Body   b[2][3];
        Str    text[2];
        for (int k = 0; k < 2; k++) {
            for (int j = 0; j < 3; j++) {
                Body *body = &b[k][j];
                *body = (Body){ .solid = k ? by_cells : s, .id = j,
                                .fill = true };
                body->frame = frame_turn(FRAME_WORLD, v3(0, 0, 0),
                                         v3(0, 0, 1), 0.7 * j);
                body->frame.o.z = 20 * j;   // they lie on each other
            }
            Picture p = picture_draw(c, b[k], 3, NULL, 0, &cam, true);
            text[k] = dump(c, &p);
            assert_true(p.lines.n > 50);
        }
        assert_true(str_eq(text[0], text[1]));
    }
}

/* Seen from the front and from above. */
static void a_drilled_board_shows_its_hole_and_its_dado(void **state) {
    Ctx    *c = *state;
    Camera  top = { v3(0, 0, 1), v3(0, 1, 0) };
    Camera  front = { v3(0, -1, 0), v3(0, 0, 1) };
    Body    body = { .solid = drilled_board(c), .frame = FRAME_WORLD,
                     .fill = true };
    Picture p;
    double  sum = 0;

    p = picture_draw(c, &body, 1, NULL, 0, &top, true);
    /* Outline, rim, two edges of the dado; 8 mm deep, so outlines. */
    assert_near(ink_length(&p, -1), 300 + 2 * 3.14159265 * 10 + 100, 0.5);
    assert_near(patch_area(&p, 0), 5000 - 3.14159265 * 100, 0.6);
    assert_int_equal(count(&p, LINE_CREASE, false), 0);
    p = picture_draw(c, &body, 1, NULL, 0, &front, true);
    assert_near(ink_length(&p, -1), 240 + 16, 1e-5);
    /* Dashed: the two sides of the hole. */
    for (int i = 0; i < p.lines.n; i++)
        if (p.lines.at[i].hidden)
            sum += v2_len(v2_sub(p.lines.at[i].b, p.lines.at[i].a));
    assert_near(sum, 2 * 20, 0.1);
}

static void two_runs_give_the_same_text(void **state) {
    Ctx    *c = *state;
    Scene   s = random_scene(11, 40);
    Camera  cam = { v3_unit(v3(1, -1, 1)), v3(0, 0, 1) };
    Body   *b = scene_bodies(c, &s, 0.5, true);
    Picture one = picture_draw(c, b, s.n, NULL, 0, &cam, true);
    Picture two = picture_draw(c, b, s.n, NULL, 0, &cam, true);

    assert_true(one.patches.n > 50 && one.lines.n > 300);
    assert_true(str_eq(dump(c, &one), dump(c, &two)));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(the_picture_stands_upright),
        TEST(a_view_along_up_has_world_x_to_the_right),
        TEST(a_camera_of_zeros_still_projects),
        TEST(nothing_gives_an_empty_picture),
        TEST(a_place_that_is_no_number_draws_nothing),
        TEST(a_box_shows_nine_edges),
        TEST(an_elevation_of_a_box_is_its_rectangle),
        TEST(visible_lines_agree_with_rays),
        TEST(touching_bricks_agree_with_rays),
        TEST(a_thousand_scenes_agree_with_rays),
        TEST(splitting_cells_changes_nothing),
        TEST(a_flush_rack_leaks_no_lines_from_behind),
        TEST(nothing_shows_through_the_seam_of_two_cells),
        TEST(half_a_millimeter_behind_is_hidden),
        TEST(boards_that_touch_share_one_line),
        TEST(a_step_of_more_than_two_makes_an_outline),
        TEST(a_line_changes_its_kind_where_a_board_ends),
        TEST(the_order_of_bodies_does_not_matter),
        TEST(turning_model_and_camera_together_changes_nothing),
        TEST(a_mirrored_body_looks_mirrored),
        TEST(a_round_post_has_two_silhouettes),
        TEST(a_ghost_hides_nothing),
        TEST(extras_pass_behind_bodies),
        TEST(an_extra_ends_where_it_enters_a_board),
        TEST(hidden_edges_come_out_dashed_once),
        TEST(patches_of_a_lone_box_fill_its_outline),
        TEST(a_patch_ends_where_another_body_covers_it),
        TEST(a_covered_face_gives_no_patch),
        TEST(squares_that_touch_at_a_corner_stay_apart),
        TEST(patches_agree_with_rays),
        TEST(what_is_behind_shows_through_a_hole),
        TEST(both_ways_of_cutting_patches_agree),
        TEST(a_rail_through_a_slot_covers_on_one_side),
        TEST(whole_faces_hide_as_those_of_cells_do),
        TEST(a_drilled_board_shows_its_hole_and_its_dado),
        TEST(two_runs_give_the_same_text),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
