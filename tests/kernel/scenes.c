/* scenes -- scenes for the hidden lines of an outside kernel, each followed
 * by the lines that we see. All edges are drawn, those between the facets
 * of one curve too: a kernel that is given facets knows no smooth edges.
 *
 *     scenes 1000 3000        scenes of so many mixed prisms
 *     scenes design.json ...  three views of each design
 *
 *     scene NAME ms               of the quickest of our runs
 *     view  x-axis  toward        two vectors
 *     solid corners faces
 *     x y z                       of each corner, in the world
 *     nx ny nz loops              of each face, then each loop:
 *     n corner...                 outline counter-clockwise, holes
 *     seen n
 *     x y x y                     of each visible line
 *     end
 */
#include "geom/geom.h"
#include "plan/plan.h"

#include <stdlib.h>
#include <time.h>

#define RUNS  5
#define ROUND 24         // sides of a round prism
#define KINDS 24         // a sixth of them round
#define PI    3.14159265358979323846
#define ON    1e-6       // mm: one corner, or on a side

/* ---- Mixed prisms ---- */

static double roll(uint32_t *chance) {
    *chance = *chance * 1664525u + 1013904223u;   // Numerical Recipes
    return (*chance >> 8) / 16777216.0;
}

static Shape many_sided(Ctx *c, double r) {
    Shape s    = { 0 };
    Loop *loop = PUSH(c, &s.loops);

    for (int i = 0; i < ROUND; i++) {
        double a = 2 * PI * i / ROUND, b = 2 * PI * (i + 1) / ROUND;
        *PUSH(c, loop) = seg_line(v2(r * cos(a), r * sin(a)),
                                  v2(r * cos(b), r * sin(b)));
    }
    return s;
}

static const Solid *prism(Ctx *c, bool round, uint32_t *chance) {
    Solid *s = NEW(c, Solid);
    Slab   slab = { .z1 = 20 + 60 * roll(chance) };
    int    curve = 1;
    double r = 15 + 30 * roll(chance);

    slab.shape = round ? many_sided(c, r)
                       : shape_rect(c, v2(0, 0), v2(2 * r, r));
    solid_add_slab(c, s, &slab, 0.01, &curve);
    solid_finish(c, s);
    return s;
}

/* n prisms, turned freely, in a loose lattice: none meets another. */
static Body *prisms(Ctx *c, int n) {
    const Solid *kind[KINDS];
    Body        *b = NEW_N(c, Body, n);
    uint32_t     chance = 7;

    for (int i = 0; i < KINDS; i++)
        kind[i] = prism(c, i % 6 == 0, &chance);
    for (int i = 0; i < n; i++) {
        V3 axis = v3_unit(v3(roll(&chance) - .5, roll(&chance) - .5, .5));
        b[i] = (Body){ .solid = kind[i % KINDS], .id = i,
                       .frame = frame_turn(FRAME_WORLD, v3(0, 0, 0), axis,
                                           6.28 * roll(&chance)) };
        b[i].frame.o = v3(i % 14 * 200, i / 14 % 14 * 200, i / 196 * 200);
    }
    return b;
}

/* ---- Designs ---- */

static const Solid *all_edges(Ctx *c, const Solid *from) {
    Solid *s = NEW(c, Solid);

    *s = *from;
    s->edges.at = NEW_N(c, Edge, s->edges.n + 1);
    for (int i = 0; i < s->edges.n; i++) {
        s->edges.at[i] = from->edges.at[i];
        s->edges.at[i].smooth = false;
    }
    return s;
}

static Body *finished(Ctx *c, const Model *m, int *n) {
    Body *b = NEW_N(c, Body, m->pieces.n + 1);

    *n = 0;
    for (int i = 0; i < m->pieces.n; i++) {
        const Part *part = &m->parts.at[m->pieces.at[i].part];
        if (!part->jig && !m->pieces.at[i].temporary && part->solid)
            b[(*n)++] = (Body){ .solid = all_edges(c, part->solid),
                                .frame = m->pieces.at[i].frame, .id = i };
    }
    return b;
}

/* ---- As text ---- */

static int corner_number(Ctx *c, Ring3 *all, V3 p) {
    for (int i = all->n - 1; i >= 0; i--)
        if (v3_len(v3_sub(all->at[i], p)) < ON)
            return i;
    *PUSH(c, all) = p;
    return all->n - 1;
}

static bool is_between(V3 p, V3 a, V3 b) {
    V3     by  = v3_sub(b, a);
    double len = v3_len(by), at = v3_dot(by, v3_sub(p, a)) / len;

    return at > ON && at < len - ON
        && v3_len(v3_cross(by, v3_sub(p, a))) < 10 * ON * len;
}

typedef struct { double at; int corner; } Stop;

static int by_at(const void *a, const void *b, const void *with) {
    const Stop *p = a, *q = b;

    (void)with;
    return (p->at > q->at) - (p->at < q->at);
}

/* A side of a face may end two sides of its neighbors: each corner on it
 * becomes one of its own. */
static void say_loop(Ctx *c, const Ring3 *loop, Ring3 *all, bool mirrored) {
    LIST(Stop) stops = { 0 };

    for (int i = 0; i < loop->n; i++) {
        V3  a = loop->at[i], b = loop->at[(i + 1) % loop->n];
        int first = stops.n;
        *PUSH(c, &stops) = (Stop){ 0, corner_number(c, all, a) };
        for (int k = 0; k < all->n; k++)
            if (is_between(all->at[k], a, b))
                *PUSH(c, &stops) =
                    (Stop){ v3_len(v3_sub(all->at[k], a)), k };
        list_sort(c, stops.at + first, stops.n - first, sizeof *stops.at,
                  by_at, NULL);
    }
    printf("%d", stops.n);
    for (int i = 0; i < stops.n; i++)
        printf(" %d", stops.at[mirrored ? stops.n - 1 - i : i].corner);
    printf("\n");
}

static void say_solid(Ctx *c, const Body *b) {
    const Solid *s   = b->solid;
    Ring3        all = { 0 };

    for (int i = 0; i < s->faces.n; i++)
        for (int r = 0; r < s->faces.at[i].rings.n; r++)
            for (int k = 0; k < s->faces.at[i].rings.at[r].n; k++)
                (void)corner_number(c, &all,
                                    s->faces.at[i].rings.at[r].at[k]);
    printf("solid %d %d\n", all.n, s->faces.n);
    for (int i = 0; i < all.n; i++) {
        V3 p = frame_point(&b->frame, all.at[i]);
        printf("%.17g %.17g %.17g\n", p.x, p.y, p.z);
    }
    for (int i = 0; i < s->faces.n; i++) {
        const Face *f = &s->faces.at[i];
        V3          n = frame_vector(&b->frame, f->plane.n);
        printf("%.17g %.17g %.17g %d\n", n.x, n.y, n.z, f->rings.n);
        for (int r = 0; r < f->rings.n; r++)
            say_loop(c, &f->rings.at[r], &all, frame_det(&b->frame) < 0);
    }
}

static void say_view(const Camera *cam) {
    V3 x = v3_unit(v3_cross(cam->up, cam->toward)), z = cam->toward;

    printf("view %.17g %.17g %.17g %.17g %.17g %.17g\n", x.x, x.y, x.z, z.x,
           z.y, z.z);
}

static double draw_once(const Body *b, int n, const Camera *cam) {
    Ctx     c;
    clock_t begin;
    double  ms;

    ctx_init(&c, &real_files);
    begin = clock();
    (void)picture_draw(&c, b, n, NULL, 0, cam, false);
    ms = 1000.0 * (double)(clock() - begin) / CLOCKS_PER_SEC;
    ctx_free(&c);
    return ms;
}

static void say_scene(Ctx *c, const char *name, const Body *b, int n,
                      Camera cam) {
    Picture p  = picture_draw(c, b, n, NULL, 0, &cam, false);
    double  ms = 1e9;

    for (int i = 0; i < RUNS; i++) {
        double once = draw_once(b, n, &cam);
        ms = once < ms ? once : ms;
    }
    printf("scene %s %.6f\n", name, ms);
    say_view(&cam);
    for (int i = 0; i < n; i++)
        say_solid(c, &b[i]);
    printf("seen %d\n", p.lines.n);
    for (int i = 0; i < p.lines.n; i++)
        printf("%.9g %.9g %.9g %.9g\n", p.lines.at[i].a.x,
               p.lines.at[i].a.y, p.lines.at[i].b.x, p.lines.at[i].b.y);
    printf("end\n");
}

static int say_design(Ctx *c, const char *path) {
    static const V3 toward[] = { { .55, -.75, .4 }, { 0, -1, 0 },
                                 { -.8, -.3, .5 } };
    const Design *d = design_read(c, path);
    const Model  *m = d ? model_build(c, d, sizes_new(c)) : NULL;
    const char   *name = strrchr(path, '/');
    int           n;
    Body         *b;

    if (!m)
        return 1;
    b = finished(c, m, &n);
    for (int i = 0; i < COUNT(toward); i++)
        say_scene(c, name ? name + 1 : path, b, n,
                  (Camera){ v3_unit(toward[i]), v3(0, 0, 1) });
    return 0;
}

int main(int argc, char **argv) {
    int bad = 0;

    for (int i = 1; i < argc; i++) {
        Ctx c;
        int n = atoi(argv[i]);
        ctx_init(&c, &real_files);
        if (n > 0)
            say_scene(&c, argv[i], prisms(&c, n), n,
                      (Camera){ v3_unit(v3(1, .8, .6)), v3(0, 0, 1) });
        else
            bad |= say_design(&c, argv[i]);
        ctx_free(&c);
    }
    return bad;
}
