/* shop -- CPU time of cutting a job as small shops have it: a workbench with
 * drawers, 60 parts out of boards sold in three lengths, ripped strips among
 * them, and one sheet; and the same in other sizes, from 9/10 to 11/10, as it
 * depends on the sizes how hard it is to prove a plan. Exits with 1 where the
 * median takes longer than the target.
 *
 *     bench_shop       prints one line for each size, and one for all
 */
#include "base/base.h"
#include "model/model.h"
#include "plan/plan.h"

#include <math.h>
#include <time.h>

#define RUNS    3        // the quickest counts: the others were disturbed
#define JOBS    11
#define SHOP_MS 50.0     // target

typedef struct {
    const char *letter, *name, *from;
    double      length, width;   // in
    int         count;
} ShopPart;

static const ShopPart parts[] = {
    { "A", "Leg", "stud", 34.5, 3.5, 4 },
    { "B", "Long rail", "stud", 56.5, 3.5, 4 },
    { "C", "Short rail", "stud", 22.5, 3.5, 6 },
    { "D", "Stretcher", "stud", 48, 3.5, 2 },
    { "E", "Slat", "board", 24, 5.5, 9 },
    { "F", "Apron", "board", 44, 5.5, 2 },
    { "G", "Drawer side", "board", 18, 5.5, 8 },
    { "H", "Drawer front", "board", 15.5, 5.5, 4 },
    { "J", "Runner", "board", 20, 1.25, 8 },
    { "K", "Cleat", "board", 20, 2, 4 },
    { "L", "Top", "sheet", 56, 24, 1 },
    { "M", "Drawer bottom", "sheet", 17.5, 15, 4 },
    { "N", "Shelf", "sheet", 44, 14, 1 },
    { "P", "Back panel", "sheet", 22, 8, 3 },
};

static const char *const stock =
    "\"stock\": {"
    "\"stud\": {\"name\": \"2x4\", \"wood\": \"white fir\", \"thickness\": "
    "\"1 1/2in\", \"width\": \"3 1/2in\", \"sold\": ["
    "{\"length\": \"8ft\", \"price\": 4.10}, {\"length\": \"10ft\", "
    "\"price\": 5.60}, {\"length\": \"12ft\", \"price\": 6.90}]},\n"
    "\"board\": {\"name\": \"1x6\", \"wood\": \"eastern white pine\", "
    "\"thickness\": \"3/4in\", \"width\": \"5 1/2in\", \"sold\": ["
    "{\"length\": \"6ft\", \"price\": 8.20}, {\"length\": \"8ft\", "
    "\"price\": 10.60}, {\"length\": \"12ft\", \"price\": 16.40}]},\n"
    "\"sheet\": {\"form\": \"sheet\", \"wood\": \"birch plywood\", "
    "\"thickness\": \"3/4in\", \"sold\": [{\"length\": \"8ft\", "
    "\"width\": \"4ft\", \"price\": 62}]}},\n";

static double in_sixteenths(double inches) {
    return nearbyint(16 * inches) / 16;
}

/* Each piece alone, so that nothing touches. */
static Str shop_design(Ctx *c, double scale) {
    Buf b = BUF(c);
    int n = 0;

    buf_add(&b, "{\"rodbook\": 1, \"title\": \"Shop\", \"saw\": {\"kerf\": "
            "\"1/8in\"},\n%s\"parts\": {\n", stock);
    for (int i = 0; i < COUNT(parts); i++)
        buf_add(&b, "%s\"%s\": {\"name\": \"%s\", \"from\": \"%s\", "
                "\"length\": \"%gin\", \"width\": \"%gin\"}",
                i ? ",\n" : "", parts[i].letter, parts[i].name,
                parts[i].from, in_sixteenths(parts[i].length * scale),
                parts[i].width);
    buf_add(&b, "},\n\"pieces\": [\n");
    for (int i = 0; i < COUNT(parts); i++) {
        for (int k = 0; k < parts[i].count; k++, n++)
            buf_add(&b, "%s{\"part\": \"%s\", \"as\": \"p%d\", \"at\": "
                    "[\"%din\", \"0in\", \"0in\"]}", n ? ",\n" : "",
                    parts[i].letter, n, 100 * n);
    }
    buf_add(&b, "]}\n");
    return buf_done(&b);
}

static double now_ms(void) {
    return 1000.0 * (double)clock() / CLOCKS_PER_SEC;
}

/* Milliseconds of cutting alone; prints what came out, if asked to. */
static double cut_once(double scale, bool tell) {
    Ctx           c;
    const Design *d;
    const Model  *m;
    Workplan     *plan;
    double        ms = 1e9;

    ctx_init(&c, &real_files);
    d    = design_parse(&c, source_add(&c, "shop.json",
                                       shop_design(&c, scale)));
    m    = d ? model_build(&c, d, sizes_new(&c)) : NULL;
    plan = NEW(&c, Workplan);
    if (m) {
        ms = now_ms();
        if (!plan_cuts(&c, m, plan))
            ms = -1e9;
        ms = now_ms() - ms;
    }
    for (int i = 0; tell && i < plan->proofs.n; i++) {
        const Proof *p = &plan->proofs.at[i];
        printf("%s%.*s $%.2f%s", i ? ", " : "",
               STR_ARG(m->stocks.at[p->stock].key), p->cost.real,
               p->proven ? "" : " (not proven)");
    }
    ctx_free(&c);
    return ms;
}

static int by_size(const void *a, const void *b, const void *with) {
    (void)with;
    return *(const double *)a < *(const double *)b ? -1 : 1;
}

int main(void) {
    double ms[JOBS];
    int    n = 0;
    Ctx    c;

    ctx_init(&c, &real_files);
    for (int i = 0; i < COUNT(parts); i++)
        n += parts[i].count;
    for (int i = 0; i < JOBS; i++) {
        double scale = 0.9 + 0.02 * i;
        printf("shop job at %.2f: ", scale);
        ms[i] = cut_once(scale, true);
        for (int k = 1; k < RUNS; k++)
            ms[i] = fmin(ms[i], cut_once(scale, false));
        printf(", %.1f ms\n", ms[i]);
    }
    list_sort(&c, ms, JOBS, sizeof *ms, by_size, NULL);
    ctx_free(&c);
    printf("cut %d parts of a shop job: median %.1f ms (target %.0f ms), "
           "slowest %.1f ms\n", n, ms[JOBS / 2], SHOP_MS, ms[JOBS - 1]);
    return ms[JOBS / 2] <= SHOP_MS ? 0 : 1;
}
