/* bench -- CPU time for reading a design of 1 MB and for evaluating 5,000
 * sizes, each beside a baseline of the same run, so that machines can be
 * compared: cJSON alone on the same text, and the same sums of fractions in
 * a plain loop. Exits with 1 where a target is missed.
 *
 *     bench            prints one line for each
 */
#include "base/base.h"
#include "design/design.h"
#include "eval/eval.h"

#include <cjson/cJSON.h>
#include <stdlib.h>
#include <time.h>

#define RUNS    9        // the quickest counts: the others were disturbed
#define SIZES   5000
#define READ_MS 50.0     // targets
#define EVAL_MS 20.0

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

static double best(double (*once)(Str), Str text) {
    double least = once(text);

    for (int i = 1; i < RUNS; i++) {
        double ms = once(text);
        least = ms < least ? ms : least;
    }
    return least;
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
    ctx_free(&c);
    return ok ? 0 : 1;
}
