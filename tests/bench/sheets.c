/* sheets -- the guillotine cutter on published instances.
 *
 *     sheets FOLDER [FAMILY [EVERY [STEPS]]]
 */
#include "plan/guillotine.h"

#include <stdlib.h>
#include <time.h>

typedef struct {
    Str  name;
    LIST(SheetKind) kinds;
    LIST(SheetPart) parts;
    int64_t kerf;
} Instance;

typedef LIST(Instance) Instances;

static double now_s(void) {
    return (double)clock() / CLOCKS_PER_SEC;
}

static Str next_field(Str line, size_t *at) {
    size_t end = str_find(line, ',', *at);
    Str    f   = str_part(line, *at, end);

    *at = end + 1;
    return str_trim(f);
}

static int64_t number(Ctx *c, Str s, int64_t none) {
    return s.n ? strtoll(str_z(c, s), NULL, 10) : none;
}

static Instance *find_instance(Ctx *c, Instances *all, Str name) {
    Instance *one;

    if (all->n && str_eq(all->at[all->n - 1].name, name))
        return &all->at[all->n - 1];
    one       = PUSH(c, all);
    one->name = name;
    return one;
}

static void read_row(Ctx *c, Instances *all, Str line) {
    Str    f[7];
    size_t at = 0;
    Instance *one;

    for (int i = 0; i < 7; i++)
        f[i] = at <= line.n ? next_field(line, &at) : STR("");
    if (str_is(f[0], "instance") || f[0].n == 0)
        return;
    one = find_instance(c, all, f[0]);
    if (str_is(f[1], "kerf"))
        one->kerf = number(c, f[2], 0);
    else if (str_is(f[1], "sheet"))
        *PUSH(c, &one->kinds) = (SheetKind){
            number(c, f[2], 0), number(c, f[3], 0), number(c, f[5], 1),
            (int)number(c, f[4], -1) };
    else
        *PUSH(c, &one->parts) = (SheetPart){
            number(c, f[2], 0), number(c, f[3], 0),
            (int)number(c, f[4], 1), str_is(f[6], "0") };
}

static Str read_file(Ctx *c, const char *folder, const char *name) {
    Str text = { 0 };
    const char *why;

    if (!real_files.read(c, str_z(c, str_fmt(c, "%s/%s.csv", folder, name)),
                         &text, &why))
        exit(2);
    return text;
}

static long best_known(Ctx *c, Str table, Str name, const char *variant,
                       bool *proven) {
    for (size_t at = 0; at < table.n;) {
        size_t end = str_find(table, '\n', at), k = 0;
        Str    line = str_part(table, at, end), f[6];

        at = end + 1;
        for (int i = 0; i < 6; i++)
            f[i] = k <= line.n ? next_field(line, &k) : STR("");
        if (str_eq(f[0], name) && str_is(f[2], variant)) {
            *proven = str_is(f[5], "y");
            return (long)number(c, f[4], -1);
        }
    }
    return -1;
}

int main(int argc, char **argv) {
    const char *folder  = argc > 1 ? argv[1] : ".";
    const char *family  = argc > 2 ? argv[2] : "bwmv";
    int         every   = argc > 3 ? atoi(argv[3]) : 10;
    long        steps   = argc > 4 ? atol(argv[4]) : 10000000;
    const char *variant = argc > 5 ? argv[5] : "OG";
    bool        verbose = argc > 6;
    Ctx         c;
    Str         table;
    Instances   all = { 0 };
    Str         text;
    long        sum = 0, known = 0, optimal = 0, bounds = 0, worst = 0, n = 0;
    double      longest = 0;

    ctx_init(&c, &real_files);
    table = read_file(&c, folder, "best_known");
    text  = read_file(&c, folder, family);
    for (size_t at = 0; at < text.n;) {
        size_t end = str_find(text, '\n', at);
        read_row(&c, &all, str_part(text, at, end));
        at = end + 1;
    }
    for (int i = 0; i < all.n; i += every) {
        Instance *one = &all.at[i];
        bool      proven = false;
        long      value = best_known(&c, table, one->name, variant, &proven);
        Ctx       run;
        SheetJob  job = { one->kinds.at, one->kinds.n, one->parts.at,
                          one->parts.n, one->kerf, steps };
        SheetPlan plan;
        double    begin = now_s();

        for (int k = 0; k < one->parts.n && variant[0] == 'R'; k++)
            one->parts.at[k].turns = true;
        ctx_init(&run, &real_files);
        if (strstr(family, "gcut")) {
            int64_t *v = NEW_N(&run, int64_t, one->parts.n);
            for (int k = 0; k < one->parts.n; k++)
                v[k] = one->parts.at[k].w * one->parts.at[k].h;
            printf("%.*s %ld best %ld", STR_ARG(one->name), (long)guillotine_knapsack(&run, &job, 0, v, steps), value);
            printf(" %.3f s\n", now_s() - begin);
            continue;
        }
        if (strstr(family, "fit_")) {
            SheetFit fit = guillotine_fit(&run, &job, 0, &plan);
            printf("%.*s %d best %ld steps %ld", STR_ARG(one->name), fit, value, plan.steps);
            printf(" %.3f s\n", now_s() - begin);
            fflush(stdout);
            continue;
        }
        plan  = guillotine_plan(&run, &job);
        begin = now_s() - begin;
        if (begin > longest)
            longest = begin;
        if (verbose)
            printf("%.*s %ld best %ld%s bound %ld  %.2fs\n",
                   STR_ARG(one->name), (long)plan.cost, value,
                   proven ? "*" : "", (long)plan.bound, begin);
        sum    += (long)plan.cost;
        known  += value;
        bounds += (long)plan.bound;
        optimal += plan.cost <= value;
        if ((long)plan.cost - value > worst)
            worst = (long)plan.cost - value;
        n++;
        ctx_free(&run);
    }
    printf("%s %s: %ld of %ld at best; sum %ld known %ld (%.2f%%) bounds %ld"
           " worst +%ld longest %.2fs\n", family, variant, optimal, n, sum,
           known, 100.0 * (double)(sum - known) / (double)known, bounds,
           worst, longest);
    return 0;
}
