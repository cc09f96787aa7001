/* bench -- CPU time of hidden lines, letters and views, and
 * for reading a design of 1 MB and for evaluating 5,000
 * sizes, each beside a baseline of the same run, so that machines can be
 * compared: cJSON alone on the same text, and the same sums of fractions in
 * a plain loop. Exits with 1 where a target is missed.
 *
 *     bench            prints one line for each
 */
#include "base/base.h"
#include "design/design.h"
#include "eval/eval.h"
#include "geom/geom.h"
#include "press/press_internal.h"

#include <cjson/cJSON.h>
#include <stdlib.h>
#include <time.h>

#define RUNS    9        // the quickest counts: the others were disturbed
#define SIZES   5000
#define READ_MS 50.0     // targets
#define EVAL_MS 20.0
#define DRAW_MS 250.0    // hidden lines of 10,000 prisms
#define SEAT_MS 5.0      // 60 letters
#define VIEWS_MS 60.0    // all views of the demo

static double now_ms(void) {
    return 1000.0 * (double)clock() / CLOCKS_PER_SEC;
}

/* ---- Inputs ---- */

static Str large_design(Ctx *c) {
    Buf b = BUF(c);

    buf_add(&b, "{\"rodbook\": 1, \"title\": \"Bench\", \"parts\": {\n");
    for (int i = 0; b.n < 1000000; i++)
        buf_add(&b, "  \"P%d\": {\"name\": \"Slat %d\", \"from\": \"board\", "
                "\"length\": \"long - %d * 1/16in\", \"width\": \"3 1/2in\",\n"
                "    \"features\": [{\"hole\": {\"at\": [\"%din\", "
                "\"width / 2\"], \"diameter\": \"3/8in\"},\n"
                "      \"repeat\": {\"count\": %d, \"step\": [\"length / 4\","
                " \"0in\"]}, \"note\": \"drain\"}]},\n", i, i, i % 90,
                i % 30, i % 9 + 1);
    buf_add(&b, "  \"Z\": {}}}\n");
    return buf_done(&b);
}

/* Each size but the first is worked out from one with half its number. */
static Str many_sizes(Ctx *c) {
    static const char *const formulas[] = {
        "s%d + 1/16in", "max(s%d, 2in) - 3mm", "(s%d + 7/32in) / 2",
        "if(s%d > 1ft, 11 3/4in, 95mm)", "round(s%d, 1/16in)"
    };
    Buf b = BUF(c);

    buf_add(&b, "{\"rodbook\": 1, \"sizes\": {\"s0\": \"36in\"");
    for (int i = 1; i < SIZES; i++) {
        const char *formula = formulas[i % COUNT(formulas)];
        const char *mark    = strstr(formula, "%d");
        buf_add(&b, ",\n  \"s%d\": \"%.*s%d%s\"", i, (int)(mark - formula),
                formula, i / 2, mark + 2);
    }
    buf_add(&b, "}}\n");
    return buf_done(&b);
}

/* ---- Runs ---- */

static double read_once(Str text) {
    Ctx    c;
    double begin;
    bool   ok;

    ctx_init(&c, &real_files);
    begin = now_ms();
    ok    = design_parse(&c, source_add(&c, "large.json", text)) != NULL;
    begin = now_ms() - begin;
    ctx_free(&c);
    return ok ? begin : 1e9;
}

static double cjson_once(Str text) {
    double begin = now_ms();
    cJSON *items = cJSON_ParseWithLength(text.s, text.n);

    if (!items)
        return 1e9;
    cJSON_Delete(items);
    return now_ms() - begin;
}

static double eval_once(Str text) {
    Ctx           c;
    const Design *d;
    Sizes        *s;
    double        begin;
    bool          ok;

    ctx_init(&c, &real_files);
    d     = design_parse(&c, source_add(&c, "sizes.json", text));
    s     = sizes_new(&c);
    begin = now_ms();
    sizes_read(&c, s, node_object(&c, d->root, "sizes"), "");
    ok    = sizes_all(&c, s) && sizes_count(s) == SIZES;
    begin = now_ms() - begin;
    ctx_free(&c);
    return ok ? begin : 1e9;
}

static int64_t divisor(int64_t a, int64_t b) {
    return b ? divisor(b, a % b) : a;
}

/* 100 times, because once is too short for the clock. */
static double loop_once(Str unused) {
    double           begin = now_ms();
    volatile int64_t num = 4572, den = 5;

    (void)unused;
    for (int i = 0; i < 100 * SIZES; i++) {
        int64_t n = num * 16 + den * 127 / 5 * (i % 7 + 1), d = den * 16;
        int64_t g = divisor(n, d);
        num = n / g % 100000 + 1;
        den = d / g % 1000 + 1;
    }
    return (now_ms() - begin) / 100;
}

/* ---- Hidden lines ---- */

static double roll(uint32_t *chance) {
    *chance = *chance * 1664525u + 1013904223u;   // Numerical Recipes
    return (*chance >> 8) / 16777216.0;
}

static const Solid *prism(Ctx *c, bool round, uint32_t *chance) {
    Solid *s = NEW(c, Solid);
    Slab   slab = { .z1 = 20 + 60 * roll(chance) };
    int    curve = 1;
    double r = 15 + 30 * roll(chance);

    slab.shape = round ? shape_circle(c, v2(0, 0), r)
                       : shape_rect(c, v2(0, 0), v2(2 * r, r));
    /* r (1 - cos(pi / 24)): 24 sides */
    solid_add_slab(c, s, &slab, r * 0.0086, &curve);
    solid_finish(c, s);
    return s;
}

#define KINDS 24   // a sixth of them round

/* n prisms of mixed kinds, turned freely, in a loose lattice. */
static Body *scene(Ctx *c, int n, int *edges) {
    const Solid *kind[KINDS];
    Body        *b = NEW_N(c, Body, n);
    uint32_t     chance = 7;

    *edges = 0;
    for (int i = 0; i < KINDS; i++)
        kind[i] = prism(c, i % 6 == 0, &chance);
    for (int i = 0; i < n; i++) {
        V3 at   = v3(i % 22 * 90, i / 22 % 22 * 90, i / 484 * 90);
        V3 axis = v3_unit(v3(roll(&chance) - .5, roll(&chance) - .5, .5));
        b[i] = (Body){ .solid = kind[i % KINDS], .id = i,
                       .frame = frame_turn(FRAME_WORLD, v3(0, 0, 0), axis,
                                           6.28 * roll(&chance)) };
        b[i].frame.o = at;
        *edges += b[i].solid->edges.n;
    }
    return b;
}

static double draw_once(int n, int *edges) {
    Ctx    c;
    Camera cam;
    Body  *b;
    double ms;

    ctx_init(&c, &real_files);
    b   = scene(&c, n, edges);
    cam = (Camera){ v3_unit(v3(1, .8, .6)), v3(0, 0, 1) };
    ms  = now_ms();
    if (picture_draw(&c, b, n, NULL, 0, &cam, false).lines.n < n)
        ms = -1e9;
    ms = now_ms() - ms;
    ctx_free(&c);
    return ms;
}

/* ---- Letters ---- */

#define LETTERS 60

static double seat_once(Str unused) {
    Ctx      c;
    V2       ends[4000];
    Letter   letters[LETTERS] = { 0 };
    uint32_t chance = 3;
    double   ms;

    (void)unused;
    ctx_init(&c, &real_files);
    for (int i = 0; i < COUNT(ends); i += 2) {
        ends[i]     = v2(30 + 120 * roll(&chance), 30 + 140 * roll(&chance));
        ends[i + 1] = v2(ends[i].x + 8 * roll(&chance),
                         ends[i].y + 8 * roll(&chance));
    }
    for (int i = 0; i < LETTERS; i++)
        letters[i].anchor = v2(35 + 110 * roll(&chance),
                               35 + 130 * roll(&chance));
    ms = now_ms();
    for (int i = 0; i < 10; i++)
        (void)letters_place(&c, ends, COUNT(ends), box2(0, 0, 183, 200),
                            letters, LETTERS);
    ms = (now_ms() - ms) / 10;
    ctx_free(&c);
    return ms;
}

/* The demo, with hidden lines, ways in and letters' places. */
static double views_once(Str unused) {
    Ctx           c;
    const Design *d;
    const Model  *m = NULL;
    Workplan     *plan;
    double        ms = 1e9;

    (void)unused;
    ctx_init(&c, &real_files);
    d = design_read(&c, "plans-demo/puppet-theater/puppet-theater.json");
    if (d)
        m = model_build(&c, d, sizes_new(&c));
    plan = NEW(&c, Workplan);
    if (m) {
        ms = now_ms();
        plan_views(&c, m, plan);
        ms = now_ms() - ms;
    }
    ctx_free(&c);
    return ms;
}

static double best(double (*once)(Str), Str text) {
    double least = once(text);

    for (int i = 1; i < RUNS; i++) {
        double ms = once(text);
        least = ms < least ? ms : least;
    }
    return least;
}

static bool draw_lines(void) {
    double ms[2] = { 1e9, 1e9 };
    int    edges[2];

    for (int run = 0; run < RUNS; run++)
        for (int i = 0; i < 2; i++) {
            double once = draw_once(i ? 10000 : 2500, &edges[i]);
            ms[i] = once < ms[i] ? once : ms[i];
        }
    printf("hidden lines of 10000 prisms, %d edges: %.0f ms (target %.0f "
           "ms), %.2f times 2500 prisms (%.0f ms), with %.2f times the "
           "edges\n", edges[1], ms[1], DRAW_MS, ms[1] / ms[0], ms[0],
           (double)edges[1] / edges[0]);
    return ms[1] <= DRAW_MS;
}

static bool line(const char *what, double ms, double target,
                 const char *beside, double base) {
    printf("%s: %.1f ms (target %.0f ms), %.1f times %s (%.2f ms)\n", what,
           ms, target, ms / base, beside, base);
    return ms <= target;
}

int main(void) {
    Ctx  c;
    Str  large, sizes;
    bool ok;

    ctx_init(&c, &real_files);
    large = large_design(&c);
    sizes = many_sizes(&c);
    ok    = line("read 1 MB", best(read_once, large), READ_MS, "cJSON alone",
                 best(cjson_once, large));
    ok    = line("evaluate 5,000 sizes", best(eval_once, sizes), EVAL_MS,
                 "a loop of fractions", best(loop_once, sizes)) && ok;
    ok    = draw_lines() && ok;
    ok    = line("place 60 letters", best(seat_once, large), SEAT_MS,
                 "a loop of fractions", best(loop_once, sizes)) && ok;
    ok    = line("all views of the puppet theater", best(views_once, large),
                 VIEWS_MS, "a loop of fractions", best(loop_once, sizes))
         && ok;
    ctx_free(&c);
    return ok ? 0 : 1;
}
