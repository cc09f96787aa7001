/* compile -- mutated designs through the whole program: any input, however
 * broken, gives a booklet or messages, and never a crash.
 *
 *     compile SEED COUNT DESIGN.json...
 *
 * Every mutant is made from the seed and its number alone, so a crash can
 * be had again: the number is printed before the run when stdout is a file.
 * Run it under the sanitizers: make fuzz.
 */
#include "model/model.h"
#include "plan/plan.h"
#include "press/press.h"
#include "print/print.h"

typedef struct { uint64_t state; } Chance;

/* Knuth's MMIX generator; its high bits are used. */
static uint32_t chance(Chance *r, uint32_t below) {
    r->state = r->state * 6364136223846793005u + 1442695040888963407u;
    return (uint32_t)((r->state >> 33) % (below ? below : 1));
}

static const char *const bits[] = {
    "0", "-1", "1e9", "9999999999999999999", "0in", "-3in", "1/0", "3 3/4in",
    "{", "}", "[", "]", "\"", ",", ":", "null", "true", "\"A\"", "\"as\"",
    "tan(90deg)", "A.length", "7 in 12", "deg", "mm", "\\u0000", "\xFF",
    "//", "/*", "length", "width * width", "1e400in", "0.0001in", "500ft",
    "{A}", "{count brad}", "sqrt(-1)", "round(t, 0in)", "count(1in, 0in, 0in)"
};

/* Cuts, doubles, or replaces a stretch of text, at up to four places. */
static Str mutant(Ctx *c, Str seed, Chance *r) {
    Str s = seed;

    for (uint32_t n = 1 + chance(r, 4); n > 0; n--) {
        size_t at  = chance(r, (uint32_t)s.n + 1);
        size_t to  = at + chance(r, 24);
        Buf    out = BUF(c);
        buf_str(&out, str_part(s, 0, at));
        switch (chance(r, 4)) {
        case 0:   // cut
            break;
        case 1:   // double
            buf_str(&out, str_part(s, at, to));
            buf_str(&out, str_part(s, at, to));
            break;
        case 2: { // take from elsewhere
            size_t from = chance(r, (uint32_t)s.n + 1);
            buf_str(&out, str_part(s, from, from + to - at));
            break;
        }
        default:  // something nasty
            buf_add(&out, "%s", bits[chance(r, COUNT(bits))]);
            break;
        }
        buf_str(&out, str_part(s, to, s.n));
        s = buf_done(&out);
    }
    return s;
}

/* Digits only: the file still parses, so the later stages get work. */
static Str new_numbers(Ctx *c, Str seed, Chance *r) {
    char *copy = str_z(c, seed);

    for (uint32_t n = 1 + chance(r, 6); n > 0; n--) {
        size_t at = chance(r, (uint32_t)seed.n);
        while (at < seed.n && !(copy[at] >= '0' && copy[at] <= '9'))
            at++;
        if (at < seed.n)
            copy[at] = (char)('0' + chance(r, 10));
    }
    return (Str){ copy, seed.n };
}

static bool compile(Ctx *c, Str text, const Edition *e) {
    Sizes          *sizes  = sizes_new(c);
    const Design   *design = design_parse(c, source_add(c, "mutant", text));
    const Model    *model  = design ? model_build(c, design, sizes) : NULL;
    const Workplan *plan   = model ? plan_work(c, model) : NULL;
    const Booklet  *b      = plan ? press_booklet(c, model, plan, e) : NULL;
    Str             pdf;

    return b && print_pdf(c, b, &pdf);
}

static int one(Str seed, Chance *r) {
    Ctx     c;
    jmp_buf out_of_memory;
    Edition e = { .inch = true, .step = quantity_inches(1, 16) };
    Str     text;
    bool    ok;

    ctx_init(&c, &real_files);
    c.arena.out_of_memory = &out_of_memory;
    if (setjmp(out_of_memory)) {
        ctx_free(&c);
        return 0;
    }
    text = chance(r, 2) ? mutant(&c, seed, r) : new_numbers(&c, seed, r);
    ok   = compile(&c, text, &e);
    if (!ok && c.errors == 0) {
        fprintf(stderr, "neither a booklet nor a message:\n%.*s\n",
                STR_ARG(text));
        abort();
    }
    (void)diags_text(&c);
    ctx_free(&c);
    return ok;
}

int main(int argc, char **argv) {
    Ctx  seeds;
    long count   = argc > 2 ? strtol(argv[2], NULL, 10) : 0;
    long pressed = 0;

    ctx_init(&seeds, &real_files);
    for (long i = 0; i < count && argc > 3; i++) {
        Chance      r    = { (uint64_t)strtol(argv[1], NULL, 10) };
        const char *path = argv[3 + i % (argc - 3)];
        int         file = source_read(&seeds, path);
        if (file < 0)
            return 1;
        for (long k = 0; k <= i; k++)
            chance(&r, 1);
        fprintf(stderr, "\r%ld ", i);
        pressed += one(seeds.sources.at[file].text, &r);
    }
    fprintf(stderr, "\r");
    printf("fuzz: %ld passed, 0 failed, %ld of them still a booklet\n",
           count, pressed);
    ctx_free(&seeds);
    return 0;
}
