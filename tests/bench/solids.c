/* solids -- what a part costs: our blocks beside clipping cells in space,
 * and beside an outside kernel where it is installed (argument: its
 * program, which reads the same cuts).
 *
 * Each line: the best of many runs, user CPU time.
 */
#include "geom/geom.h"

#include <math.h>
#include <stdlib.h>
#include <time.h>

#define SAGITTA 0.02
#define L 600.0
#define W 140.0
#define T 19.0

typedef struct { const char *name; bool bevel, groove; int holes, sunk; }
    Case;

static const Case cases[] = {
    { "a plain board",              false, false, 0, 0 },
    { "bevel and groove",           true,  true,  0, 0 },
    { "bevel, groove, 4 holes",     true,  true,  4, 0 },
    { "8 holes",                    false, false, 8, 0 },
    { "8 countersunk holes",        false, false, 8, 8 },
    { "bevel, groove, 40 holes",    true,  true, 40, 0 },
};

static double ms_now(void) {
    struct timespec t;

    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec * 1e-6;
}

static Plane bevel(void) {
    double a = 0.35;

    return (Plane){ v3(cos(a), 0, -sin(a)), (L - 30) * cos(a), 0 };
}

static V2 hole_at(const Case *k, int i) {
    int n = (k->holes + 1) / 2;

    return v2(40 + (L - 120) * (i / 2 + 0.5) / n, i % 2 ? 30 : 110);
}

/* ---- Two ways to make the part ---- */

static Solid *by_blocks(Ctx *c, const Case *k) {
    Solid *s = NEW(c, Solid);
    int    curve = 1, n = circle_facets(k->sunk ? 4 : 2.5, SAGITTA);
    Blocks b = blocks_of(c, shape_rect(c, v2(0, 0), v2(L, W)), 0, T,
                         SAGITTA, &curve);

    if (k->groove) {
        CornerLoops p = shape_convex_parts(c, shape_rect(c, v2(-1, 60),
                            v2(L + 1, 66)), SAGITTA, &curve);
        blocks_take(c, &b, &p, v2(0, 0), T - 8, T + 1);
    }
    for (int i = k->sunk; i < k->holes; i++) {
        CornerLoops p = round_outline(c, hole_at(k, i), 2.5, n, curve++);
        blocks_take(c, &b, &p, v2(0, 0), -1, T + 1);
    }
    for (int i = 0; i < k->sunk; i++)
        (void)blocks_sink(c, &b, s, hole_at(k, i), 2.5, 4, T, T - 1.5, -1,
                          n, &curve);
    solid_add_blocks(c, s, &b);
    if (k->bevel)
        solid_cut(c, s, bevel());
    solid_finish(c, s);
    return s;
}

static void take_box(Ctx *c, Solid *s, V3 lo, V3 hi) {
    Plane box[6] = {
        { { -1, 0, 0 }, -lo.x, 0 }, { { 1, 0, 0 }, hi.x, 0 },
        { { 0, -1, 0 }, -lo.y, 0 }, { { 0, 1, 0 }, hi.y, 0 },
        { { 0, 0, -1 }, -lo.z, 0 }, { { 0, 0, 1 }, hi.z, 0 },
    };

    solid_subtract(c, s, box, 6);
}

static Solid *by_cells(Ctx *c, const Case *k) {
    Solid *s = NEW(c, Solid);
    int    curve = 1;
    Slab   slab = { shape_rect(c, v2(0, 0), v2(L, W)), 0, T };

    solid_add_slab(c, s, &slab, SAGITTA, &curve);
    if (k->groove)
        take_box(c, s, v3(-1, 60, T - 8), v3(L + 1, 66, T + 1));
    for (int i = 0; i < k->holes; i++) {
        V2     at = hole_at(k, i);
        Plane *planes;
        int    n = tool_cylinder(c, v3(at.x, at.y, -1), v3(0, 0, 1), 2.5,
                                 T + 2, SAGITTA, &curve, &planes);
        solid_subtract(c, s, planes, n);
    }
    if (k->bevel)
        solid_cut(c, s, bevel());
    solid_finish(c, s);
    return s;
}

static double best_ms(Solid *(*make)(Ctx *, const Case *), const Case *k,
                      int runs, double *volume, bool *closed) {
    double best = 1e9;

    for (int i = 0; i < runs; i++) {
        Ctx    c;
        double ms;
        Solid *s;
        ctx_init(&c, &real_files);
        ms      = ms_now();
        s       = make(&c, k);
        ms      = ms_now() - ms;
        best    = fmin(best, ms);
        *volume = s->volume;
        *closed = s->closed;
        ctx_free(&c);
    }
    return best;
}

/* ---- The kernel ---- */

static void say_cuts(FILE *f, const Case *k, double volume) {
    fprintf(f, "part %.17g %.17g %.17g\n", L, W, T);
    if (k->groove)
        fprintf(f, "box -1 60 %.17g %.17g 66 %.17g\n", T - 8, L + 1, T + 1);
    for (int i = 0; i < k->holes; i++) {
        V2 at = hole_at(k, i);
        fprintf(f, "cyl %.17g %.17g -1 0 0 1 2.5 %.17g\n", at.x, at.y,
                T + 2);
    }
    for (int i = 0; i < k->sunk; i++) {
        V2 at = hole_at(k, i);
        fprintf(f, "cone %.17g %.17g %.17g 2.5 %.17g 4\n", at.x, at.y,
                T - 1.5, T);
    }
    if (k->bevel) {
        Plane p = bevel();
        fprintf(f, "keep %.17g %.17g %.17g %.17g\n", p.n.x, p.n.y, p.n.z,
                p.d);
    }
    fprintf(f, "is %.17g %.17g 0\n", volume, 1e-3 * volume);
}

/* The kernel's time for a case, from the line that it prints; 0: it did
 * not run. */
static double kernel_ms(const char *program, const Case *k, double volume) {
    char   name[] = "/tmp/rodbook-solids-XXXXXX", line[400], cmd[600];
    int    fd = mkstemp(name);
    FILE  *f  = fd < 0 ? NULL : fdopen(fd, "w");
    double ms = 0;

    if (!f)
        return 0;
    say_cuts(f, k, volume);
    fclose(f);
    snprintf(cmd, sizeof cmd, "%s <%s", program, name);
    f = popen(cmd, "r");
    while (f && fgets(line, sizeof line, f)) {
        const char *at = strstr(line, "Open CASCADE ");
        if (at)
            ms = atof(at + strlen("Open CASCADE "));
    }
    if (f)
        pclose(f);
    remove(name);
    return ms;
}

int main(int argc, char **argv) {
    arena_keep_freed();
    printf("%-26s %9s %9s %9s %6s %6s\n", "part", "blocks ms", "cells ms",
           "kernel ms", "cells", "kernel");
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const Case *k = &cases[i];
        double volume, other, ours, cells = 0, kernel = 0;
        bool   closed, other_closed = true;
        ours = best_ms(by_blocks, k, 40, &volume, &closed);
        if (!k->sunk && k->holes <= 8)
            cells = best_ms(by_cells, k, 5, &other, &other_closed);
        if (argc > 1)
            kernel = kernel_ms(argv[1], k, volume);
        if (!closed || !other_closed)
            return 1;
        printf("%-26s %9.3f %9.3f %9.1f %5.1fx %5.0fx\n", k->name, ours,
               cells, kernel, cells / ours, kernel / ours);
    }
    return 0;
}
