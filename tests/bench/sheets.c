/* sheets -- the guillotine cutter on published instances, beside a plain
 * first-fit shelf heuristic; each answer is judged by an independent
 * checker. The instances are read where they are, in $BENCHMARKS or
 * /work/shared/benchmarks.
 *
 *     sheets           a sample, with a quarter of the work
 *     sheets full      all of them (half an hour)
 *     sheets full bwmv     one family of them
 */
#include "guillotine_check.h"

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

static long best_known(Ctx *c, Str table, Str name, const char *variant) {
    for (size_t at = 0; at < table.n;) {
        size_t end = str_find(table, '\n', at), k = 0;
        Str    line = str_part(table, at, end), f[6];

        at = end + 1;
        for (int i = 0; i < 6; i++)
            f[i] = k <= line.n ? next_field(line, &k) : STR("");
        if (str_eq(f[0], name) && str_is(f[2], variant))
            return (long)number(c, f[4], -1);
    }
    return -1;
}

/* ---- The plain rival: shelves, first fit, by falling height ---- */

typedef struct { int sheet; int64_t x, height; } Shelf;

static long shelves(Ctx *c, const SheetJob *job) {
    const SheetKind *k = &job->kinds[0];
    LIST(Shelf)      all = { 0 };
    LIST(int64_t)    top = { 0 };       // of each sheet
    int             *left = NEW_N(c, int, job->n_parts);

    for (int i = 0; i < job->n_parts; i++)
        left[i] = job->parts[i].count;
    for (;;) {
        int     part = -1, at = 0;
        int64_t kerf = job->kerf, w;
        for (int i = 0; i < job->n_parts; i++) {
            if (left[i] > 0 && (part < 0
                                || job->parts[i].h > job->parts[part].h))
                part = i;
        }
        if (part < 0)
            return top.n;
        left[part]--;
        w = job->parts[part].w;
        while (at < all.n && (all.at[at].x + w > k->w
                              || all.at[at].height < job->parts[part].h))
            at++;
        if (at == all.n) {
            int sheet = 0;
            while (sheet < top.n
                   && top.at[sheet] + job->parts[part].h > k->h)
                sheet++;
            if (sheet == top.n)
                *PUSH(c, &top) = 0;
            *PUSH(c, &all) = (Shelf){ sheet, 0, job->parts[part].h };
            top.at[sheet] += job->parts[part].h + kerf;
        }
        all.at[at].x += w + kerf;
    }
}

/* ---- One family ---- */

typedef struct {
    long runs, best, sum, known, bounds, shelf, worst, proven, wrong;
    double longest;
} Tally;

static void count(Tally *t, long value, long known, long bound,
                  double seconds) {
    t->runs++;
    t->sum    += value;
    t->known  += known;
    t->bounds += bound;
    t->best   += value <= known;
    t->proven += value == bound;
    if (value - known > t->worst)
        t->worst = value - known;
    if (seconds > t->longest)
        t->longest = seconds;
}

static void run_sheets(const SheetJob *job, long known, Tally *t) {
    double      begin = now_s();
    SheetPlan   plan;
    const char *why;
    Ctx         c;

    ctx_init(&c, &real_files);
    plan  = guillotine_plan(&c, job);
    begin = now_s() - begin;
    why   = check_plan(&c, job, &plan);
    if (why || plan.missing) {
        printf("WRONG: %s\n", why ? why : "parts are missing");
        t->wrong++;
    }
    count(t, (long)plan.cost, known, (long)plan.bound, begin);
    if (getenv("EACH"))
        printf("  %ld known %ld bound %ld %+ld %ld M %.2f s\n", (long)plan.cost,
               known, (long)plan.bound, (long)plan.cost - known,
               plan.steps / 1000000, begin), fflush(stdout);
    t->shelf += shelves(&c, job);
    ctx_free(&c);
}

static void run_fit(const SheetJob *job, long known, Tally *t) {
    double    begin = now_s();
    SheetPlan plan;
    SheetFit  fit;
    Ctx       c;

    ctx_init(&c, &real_files);
    fit   = guillotine_fit(&c, job, 0, &plan);
    begin = now_s() - begin;
    t->wrong += fit != (known ? FIT_YES : FIT_NO)
             || (fit == FIT_YES && check_plan(&c, job, &plan));
    count(t, fit, known, fit, begin);
    ctx_free(&c);
}

static void run_knapsack(const SheetJob *job, long known, Tally *t) {
    double   begin = now_s();
    long     value;
    int64_t *values;
    Ctx      c;

    ctx_init(&c, &real_files);
    values = NEW_N(&c, int64_t, job->n_parts);
    for (int i = 0; i < job->n_parts; i++)
        values[i] = job->parts[i].w * job->parts[i].h;
    value = (long)guillotine_knapsack(&c, job, 0, values, job->steps);
    t->wrong += value != known;
    count(t, value, known, value, now_s() - begin);
    ctx_free(&c);
}

typedef struct {
    const char *family, *variant;
    int         every;           // short form: each n-th instance
    long        steps;
    void      (*run)(const SheetJob *, long, Tally *);
} Family;

static const Family families[] = {
    { "bwmv", "OG", 11, 300000000, run_sheets },
    { "bwmv", "RG", 11, 300000000, run_sheets },
    { "furniture_a", "OG", 4, 800000000, run_sheets },
    { "furniture_a", "RG", 4, 800000000, run_sheets },
    { "planted_kerf_grain", "GR", 2, 150000000, run_sheets },
    { "fit_clautiaux42", "OG", 3, 2000000000, run_fit },
    { "fit_clautiaux42", "RG", 3, 1200000000, run_fit },
    { "knapsack_gcut_unconstrained", "OG", 1, 5000000000, run_knapsack },
};

static bool run_family(Ctx *c, const char *folder, const Family *f,
                       bool all_of_them) {
    Str       table = read_file(c, folder, "best_known");
    Str       text  = read_file(c, folder, f->family);
    Instances all   = { 0 };
    Tally     t     = { 0 };

    for (size_t at = 0; at < text.n;) {
        size_t end = str_find(text, '\n', at);
        read_row(c, &all, str_part(text, at, end));
        at = end + 1;
    }
    for (int i = 0; i < all.n; i += all_of_them ? 1 : f->every) {
        Instance *one   = &all.at[i];
        long      known = best_known(c, table, one->name, f->variant);
        SheetJob  job   = { one->kinds.at, one->kinds.n, one->parts.at,
                            one->parts.n, one->kerf,
                            all_of_them ? f->steps : f->steps / 4, 0 };
        for (int k = 0; k < one->parts.n && f->variant[0] == 'R'; k++)
            one->parts.at[k].turns = true;
        if (f->run == run_fit || f->run == run_knapsack)
            job.steps = f->steps;
        if (getenv("ONLY") && !strstr(getenv("ONLY"), str_z(c, one->name)))
            continue;
        if (getenv("EACH"))
            printf("%.*s %s ", (int)one->name.n, one->name.s, f->variant);
        f->run(&job, known, &t);
    }
    printf("%-28s %s %4ld %4ld %4ld %6ld %6ld %6ld %6ld %+3ld %6.2f s%s\n",
           f->family, f->variant, t.runs, t.best, t.proven, t.sum, t.known,
           t.bounds, t.shelf, t.worst, t.longest,
           t.wrong ? "  WRONG ANSWERS" : "");
    fflush(stdout);
    return t.wrong == 0;
}

int main(int argc, char **argv) {
    const char *folder = getenv("BENCHMARKS");
    bool        full   = argc > 1 && strcmp(argv[1], "full") == 0;
    const char *only   = argc > 2 ? argv[2] : NULL;
    bool        right  = true;
    Ctx         c;
    Str         text;
    const char *why;

    ctx_init(&c, &real_files);
    folder = str_z(&c, str_fmt(&c, "%s/guillotine-2d",
                               folder ? folder : "/work/shared/benchmarks"));
    if (!real_files.read(&c, str_z(&c, str_fmt(&c, "%s/best_known.csv",
                                               folder)), &text, &why)) {
        printf("sheets: skipped, no instances in %s\n", folder);
        return 0;
    }
    printf("%-28s %s %4s %4s %4s %6s %6s %6s %6s %3s %8s\n", "family",
           "  ", "runs", "best", "prov", "sum", "known", "bounds", "shelf",
           "+", "longest");
    for (int i = 0; i < COUNT(families); i++) {
        if (!only || strcmp(only, families[i].family) == 0)
            right = run_family(&c, folder, &families[i], full) && right;
    }
    ctx_free(&c);
    return right ? 0 : 1;
}
