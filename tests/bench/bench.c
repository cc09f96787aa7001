/* bench -- CPU time of hidden lines, letters and views, and
 * for reading a design of 1 MB and for evaluating 5,000
 * sizes, each beside a baseline of the same run, so that machines can be
 * compared: cJSON alone on the same text, and the same sums of fractions in
 * a plain loop. Exits with 1 where a target is missed, where letters meet,
 * or where hidden lines take more than in proportion.
 *
 *     bench            prints one line for each
 */
#include "base/base.h"
#include "design/design.h"
#include "eval/eval.h"
#include "geom/geom.h"
#include "press/press_internal.h"
#include "press/sections.h"

#include <cjson/cJSON.h>
#include <math.h>
#include <stdlib.h>
#include <time.h>

#define RUNS    9        // the quickest counts: the others were disturbed
#define SIZES   5000
#define READ_MS 50.0     // targets
#define EVAL_MS 20.0
#define DRAW_MS 250.0    // hidden lines of 10,000 prisms
#define GROWTH  1.3      // time for an edge, from 1,000 to 30,000 prisms
#define SEAT_MS 5.0      // 60 letters, the hardest of SEATINGS
#define VIEWS_MS 60.0    // all drawings of the demo

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

#define LETTERS  60
#define SEATINGS 20
#define ENDS     4000

/* A drawing of 2,000 short lines and the dots of 60 letters. */
static void many_letters(uint32_t chance, V2 *ends, Letter *letters) {
    for (int i = 0; i < ENDS; i += 2) {
        ends[i]     = v2(30 + 120 * roll(&chance), 30 + 140 * roll(&chance));
        ends[i + 1] = v2(ends[i].x + 8 * roll(&chance),
                         ends[i].y + 8 * roll(&chance));
    }
    for (int i = 0; i < LETTERS; i++)
        letters[i] = (Letter){ .anchor = v2(35 + 110 * roll(&chance),
                                            35 + 130 * roll(&chance)) };
}

static double off(V2 q, V2 a, V2 b) {
    V2     d = v2_sub(b, a);
    double k = v2_dot(v2_sub(q, a), d) / fmax(v2_dot(d, d), 1e-9);

    return v2_len(v2_sub(q, v2_add(a, v2_scale(d, fmax(0, fmin(1, k))))));
}

static bool cross(V2 a, V2 b, V2 c, V2 d) {
    V2 u = v2_sub(b, a), v = v2_sub(d, c);

    return v2_cross(u, v2_sub(c, a)) * v2_cross(u, v2_sub(d, a)) < 0
        && v2_cross(v, v2_sub(a, c)) * v2_cross(v, v2_sub(b, c)) < 0;
}

/* Circles on circles, leaders over circles or over leaders. */
static int meetings(const Letter *l) {
    int n = 0;

    for (int i = 0; i < LETTERS; i++)
        for (int k = 0; k < LETTERS; k++) {
            if (k == i)
                continue;
            n += v2_len(v2_sub(l[i].at, l[k].at)) < LETTER_D;
            n += off(l[i].at, l[k].at, l[k].anchor) < LETTER_D / 2;
            n += k < i && cross(l[i].at, l[i].anchor, l[k].at, l[k].anchor);
        }
    return n;
}

/* The quickest of some runs; *met: how many letters meet. */
static double seat(uint32_t chance, int *met) {
    V2     ends[ENDS];
    Letter letters[LETTERS];
    double best = 1e9;

    many_letters(chance, ends, letters);
    for (int run = 0; run < RUNS; run++) {
        Ctx    c;
        double ms;
        ctx_init(&c, &real_files);
        ms = now_ms();
        (void)letters_place(&c, ends, ENDS, box2(0, 0, 183, 200), letters,
                            LETTERS);
        ms   = now_ms() - ms;
        best = ms < best ? ms : best;
        ctx_free(&c);
    }
    *met = meetings(letters);
    return best;
}

static bool seat_letters(void) {
    double most = 0, sum = 0;
    int    meet = 0;

    for (uint32_t i = 0; i < SEATINGS; i++) {
        int    met;
        double ms = seat(3 + 1000 * i, &met);
        most  = ms > most ? ms : most;
        sum  += ms / SEATINGS;
        meet += met;
    }
    printf("place 60 letters, %d times: %.1f ms, at most %.1f ms (target "
           "%.0f ms), %d meet\n", SEATINGS, sum, most, SEAT_MS, meet);
    return most <= SEAT_MS && meet == 0;
}

/* The demo's drawings on their pages: steps with their letters, three views,
 * parts. */
static void draw_pages(Ctx *c, const Model *m, const Workplan *plan,
                       const Fonts *fonts) {
    Edition e = { .inch = true, .step = m->step_inch };
    Press   p = press_new(c, m, plan, &e, fonts, NULL);

    for (int i = 0; i < m->steps.n; i++) {
        page_begin(&p, SECTION_STEPS, PAGE_TEXT);
        step_drawing(&p, i, box2(p.left, p.top + 35, p.left + TEXT_W,
                                 p.top + 180));
    }
    for (int i = 0; i < 3; i++)
        sized_view(&p, i, v2(p.left, p.top + 100), 0.1);
    press_part_drawings(&p);
}

/* The demo's drawings: hidden lines, ways in, then all on their pages. */
static double views_once(Str unused) {
    Ctx           c;
    const Design *d;
    const Model  *m = NULL;
    const Fonts  *fonts;
    Workplan     *plan;
    double        ms = 1e9;

    (void)unused;
    ctx_init(&c, &real_files);
    d = design_read(&c, "plans-demo/puppet-theater/puppet-theater.json");
    if (d)
        m = model_build(&c, d, sizes_new(&c));
    plan  = NEW(&c, Workplan);
    fonts = fonts_load(&c);
    if (m && fonts) {
        ms = now_ms();
        plan_views(&c, m, plan);
        draw_pages(&c, m, plan, fonts);
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
    static const int n[] = { 1000, 3000, 10000, 30000 };
    double per_edge[COUNT(n)];
    bool   quick = true;

    for (int i = 0; i < COUNT(n); i++) {
        double ms = 1e9;
        int    edges;
        for (int run = 0; run < (n[i] > 10000 ? 3 : RUNS); run++) {
            double once = draw_once(n[i], &edges);
            ms = once < ms ? once : ms;
        }
        per_edge[i] = ms / edges;
        printf("hidden lines of %d prisms, %d edges: %.1f ms, %.2f us an "
               "edge", n[i], edges, ms, 1000 * per_edge[i]);
        printf(n[i] == 10000 ? " (target %.0f ms)\n" : "\n", DRAW_MS);
        quick &= n[i] != 10000 || ms <= DRAW_MS;
    }
    printf("30000 prisms beside 1000: %.2f times the time for an edge "
           "(target %.1f)\n", per_edge[3] / per_edge[0], GROWTH);
    return quick && per_edge[3] <= GROWTH * per_edge[0];
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

    arena_keep_freed();   // as the program does
    ctx_init(&c, &real_files);
    large = large_design(&c);
    sizes = many_sizes(&c);
    ok    = line("read 1 MB", best(read_once, large), READ_MS, "cJSON alone",
                 best(cjson_once, large));
    ok    = line("evaluate 5,000 sizes", best(eval_once, sizes), EVAL_MS,
                 "a loop of fractions", best(loop_once, sizes)) && ok;
    ok    = draw_lines() && ok;
    ok    = seat_letters() && ok;
    ok    = line("all drawings of the puppet theater", best(views_once, large),
                 VIEWS_MS, "a loop of fractions", best(loop_once, sizes))
         && ok;
    ctx_free(&c);
    return ok ? 0 : 1;
}
