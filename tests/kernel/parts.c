/* parts -- random parts for an outside kernel: what was done to each, in
 * words, then what we say of it.
 *
 *     part  L W T            a board
 *     box   x0 y0 z0 x1 y1 z1     taken away
 *     cyl   x y z dx dy dz r len  taken away
 *     cone  x y z0 r0 z1 r1       taken away, upright
 *     keep  nx ny nz d       only n . p <= d stays
 *     is    volume tolerance ms
 *     pair  a b 12 numbers   how b stands: x y z axes, origin; a stands at 0
 *     common volume tolerance
 *
 * Facets lie within SAGITTA of a curve, so the tolerance is 2/3 of that
 * over the curved surface, and 1e-7 of the whole where all is flat.
 */
#include "geom/geom.h"

#include <math.h>
#include <stdlib.h>
#include <time.h>

#define PI      3.14159265358979323846
#define SAGITTA 0.02
#define PARTS   60
#define PAIRS   40

typedef struct {
    Ctx    *c;
    Solid  *s;
    double  L, W, T, curved;   // curved: area of the tools, mm^2
    int     curve;
    bool    timed;   // says nothing: printing is no part of the work
    uint64_t dice;
    char    words[20000];
    int     n;
} Work;

static double between(Work *w, double lo, double hi) {
    w->dice = w->dice * 6364136223846793005u + 1442695040888963407u;
    return lo + (hi - lo) * ((double)(w->dice >> 11) / 9007199254740992.0);
}

static int one_of(Work *w, int n) {
    return (int)between(w, 0, n - 1e-9);
}

static double ms_now(void) {
    struct timespec t;

    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec * 1e-6;
}

#define SAY(w, ...)                                                        \
    ((w)->n += (w)->timed ? 0                                              \
             : snprintf((w)->words + (w)->n,                               \
                        sizeof (w)->words - (size_t)(w)->n, __VA_ARGS__))

/* ---- One cut of each kind ---- */

static void cut_box(Work *w, Blocks *b) {
    double x0 = between(w, -20, w->L), y0 = between(w, -20, w->W);
    double x1 = x0 + between(w, 5, 60), y1 = y0 + between(w, 5, 60);
    double deep = between(w, 1, w->T - 1);
    bool   through = one_of(w, 4) == 0, back = one_of(w, 2) == 0;
    double z0 = through ? -1 : back ? -1 : w->T - deep;
    double z1 = through ? w->T + 1 : back ? deep : w->T + 1;
    CornerLoops p = shape_convex_parts(w->c, shape_rect(w->c, v2(x0, y0),
                                       v2(x1, y1)), SAGITTA, &w->curve);

    blocks_take(w->c, b, &p, v2(0, 0), z0, z1);
    SAY(w, "box %.17g %.17g %.17g %.17g %.17g %.17g\n", x0, y0, z0, x1, y1,
        z1);
}

static void cut_hole(Work *w, Blocks *b, bool sunk) {
    double r  = between(w, 1, 12), R = sunk ? r + between(w, 1, 4) : r;
    double x  = between(w, 0, w->L), y = between(w, 0, w->W);
    double z0 = sunk || one_of(w, 2) ? -1 : between(w, 1, w->T - 1);
    double low = w->T - (R - r);
    int    n  = circle_facets(R, SAGITTA);
    CornerLoops p = round_outline(w->c, v2(x, y), r, n, w->curve++);

    if (sunk && low > 0.5 && blocks_sink(w->c, b, w->s, v2(x, y), r, R,
                                         w->T, low, z0, n, &w->curve)) {
        SAY(w, "cone %.17g %.17g %.17g %.17g %.17g %.17g\n", x, y, low, r,
            w->T, R);
        w->curved += 2 * PI * R * (R - r) * 1.5;
    } else {
        blocks_take(w->c, b, &p, v2(0, 0), z0, w->T + 1);
    }
    SAY(w, "cyl %.17g %.17g %.17g 0 0 1 %.17g %.17g\n", x, y, z0, r,
        w->T + 1 - z0);
    w->curved += 2 * PI * r * w->T;
}

static void cut_slanted(Work *w) {
    double r   = between(w, 2, 6), len = between(w, 20, 80);
    V3     p   = v3(between(w, 0, w->L), between(w, 0, w->W),
                    between(w, 0, w->T));
    V3     dir = v3_unit(v3(between(w, -1, 1), between(w, -1, 1),
                            between(w, -1, 1)));
    Plane *planes;
    int    n = tool_cylinder(w->c, p, dir, r, len, SAGITTA, &w->curve,
                             &planes);

    solid_subtract(w->c, w->s, planes, n);
    SAY(w, "cyl %.17g %.17g %.17g %.17g %.17g %.17g %.17g %.17g\n", p.x,
        p.y, p.z, dir.x, dir.y, dir.z, nearbyint(r * 1e6) / 1e6, len);
    w->curved += 2 * PI * r * len;
}

static void cut_end(Work *w) {
    V3     n = v3_unit(v3(1, between(w, -0.6, 0.6), between(w, -0.6, 0.6)));
    double d = v3_dot(n, v3(w->L * 0.85, w->W / 2, w->T / 2));

    solid_cut(w->c, w->s, (Plane){ n, d, 0 });
    SAY(w, "keep %.17g %.17g %.17g %.17g\n", n.x, n.y, n.z, d);
}

/* ---- Parts ---- */

/* Every third part has flat faces only. */
static void make_part(Work *w, int number) {
    bool   flat = number % 3 == 0;
    int    cuts = 1 + one_of(w, 5), slanted = flat ? 0 : one_of(w, 3);
    Blocks b;

    w->L = between(w, 120, 400);
    w->W = between(w, 50, 180);
    w->T = between(w, 12, 40);
    SAY(w, "part %.17g %.17g %.17g\n", w->L, w->W, w->T);
    b = blocks_of(w->c, shape_rect(w->c, v2(0, 0), v2(w->L, w->W)), 0, w->T,
                  SAGITTA, &w->curve);
    for (int i = 0; i < cuts; i++) {
        int kind = flat ? 0 : one_of(w, 3);
        if (kind == 0)
            cut_box(w, &b);
        else
            cut_hole(w, &b, kind == 2 && i == cuts - 1);
    }
    solid_add_blocks(w->c, w->s, &b);
    if (one_of(w, 2))
        cut_end(w);
    for (int i = 0; i < slanted; i++)
        cut_slanted(w);
    solid_finish(w->c, w->s);
}

static Work run_part(Ctx *c, int number, bool timed) {
    Work w = { .c = c, .s = NEW(c, Solid), .curve = 1, .timed = timed,
               .dice = (uint64_t)number * 7919 + 5 };

    make_part(&w, number);
    return w;
}

static double part_ms(int number) {
    double best = 1e9;

    for (int i = 0; i < 5; i++) {
        Ctx    c;
        double ms;
        ctx_init(&c, &real_files);
        ms = ms_now();
        (void)run_part(&c, number, true);
        ms   = ms_now() - ms;
        best = ms < best ? ms : best;
        ctx_free(&c);
    }
    return best;
}

static void say_pair(Ctx *c, Work *w, int i) {
    Work  *a = &w[i % PARTS], *b = &w[(i * 7 + 3) % PARTS], dice = { 0 };
    Frame  f = FRAME_WORLD;
    Overlap o;

    dice.dice = (uint64_t)i * 104729 + 11;
    f.o = v3(between(&dice, 0, 60), between(&dice, 0, 30),
             between(&dice, -10, 10));
    if (i % 2)
        f = frame_turn(f, v3(40, 40, 5),
                       v3_unit(v3(between(&dice, -1, 1), 0.4, 1)),
                       between(&dice, 0, 3));
    o = solid_overlap(c, a->s, &FRAME_WORLD, b->s, &f, 0);
    printf("pair %d %d %.17g %.17g %.17g %.17g %.17g %.17g %.17g %.17g "
           "%.17g %.17g %.17g %.17g\n", i % PARTS, (i * 7 + 3) % PARTS,
           f.x.x, f.x.y, f.x.z, f.y.x, f.y.y, f.y.z, f.z.x, f.z.y, f.z.z,
           f.o.x, f.o.y, f.o.z);
    printf("common %.17g %.17g\n", o.volume,
           (a->curved + b->curved) * SAGITTA * 2 / 3 + 1e-6 * o.volume
               + 1e-3);
}

int main(void) {
    Ctx   c;
    Work *w;

    arena_keep_freed();
    ctx_init(&c, &real_files);
    w = NEW_N(&c, Work, PARTS);
    for (int i = 0; i < PARTS; i++) {
        w[i] = run_part(&c, i, false);
        if (!w[i].s->closed) {
            fprintf(stderr, "part %d is not closed\n", i);
            return 1;
        }
        printf("%sis %.17g %.17g %.6f\n", w[i].words, w[i].s->volume,
               w[i].curved * SAGITTA * 2 / 3 + 1e-7 * w[i].s->volume,
               part_ms(i));
    }
    for (int i = 0; i < PAIRS; i++)
        say_pair(&c, w, i);
    ctx_free(&c);
    return 0;
}
