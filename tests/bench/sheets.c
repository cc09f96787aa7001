/* sheets -- the guillotine cutter on published instances, beside a plain
 * first-fit shelf heuristic, and on some of them beside a general solver;
 * each answer is judged by an independent checker. The instances are read where they are, in $BENCHMARKS or
 * /work/shared/benchmarks.
 *
 *     sheets           a sample, with a quarter of the work
 *     sheets full      all of them (half an hour)
 *     sheets full bwmv     one family of them
 *     sheets rival     a few of them, beside the general solver (minutes)
 *
 * EACH=1 in the environment gives a line for each instance, ONLY=A,B only
 * those.
 */
#include "guillotine_check.h"

#include <stdlib.h>
#include <time.h>

#ifdef WITH_GLPK
#include "bench/plate_model.h"
#define HAVE_PLATES 1
#else
#define HAVE_PLATES 0
static SheetPlan plate_model(Ctx *c, const SheetJob *job, int ms,
                             bool *proven) {
    SheetPlan none = { 0 };

    (void)c, (void)job, (void)ms;
    *proven = false;
    return none;
}
#endif

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

/* Sheets of one kind; -1: a part does not fit. */
static long shelve(Ctx *c, const SheetJob *job, const SheetKind *k) {
    LIST(Shelf)      all = { 0 };
    LIST(int64_t)    top = { 0 };       // of each sheet
    int             *left = NEW_N(c, int, job->n_parts);

    for (int i = 0; i < job->n_parts; i++) {
        left[i] = job->parts[i].count;
        if (job->parts[i].w > k->w || job->parts[i].h > k->h)
            return -1;
    }
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

/* On the kind that costs least by it. */
static long shelves(Ctx *c, const SheetJob *job) {
    long best = -1;

    for (int i = 0; i < job->n_kinds; i++) {
        long cost = shelve(c, job, &job->kinds[i])
                  * (long)job->kinds[i].price;
        if (cost > 0 && (best < 0 || cost < best))
            best = cost;
    }
    return best;
}

/* ---- One family ---- */

typedef struct {
    long runs, best, sum, known, bounds, shelf, worst, proven, wrong;
    double worst_share, fill, longest;
} Tally;

static double percent(long part, long whole) {
    return whole > 0 ? 100.0 * (double)part / (double)whole : 0;
}

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
    if (percent(value - known, known) > t->worst_share)
        t->worst_share = percent(value - known, known);
    if (seconds > t->longest)
        t->longest = seconds;
}

/* The share of the sheets that is parts. */
static double fill_of(const SheetJob *job, const SheetPlan *plan) {
    double parts = 0, sheets = 0;

    for (int i = 0; i < job->n_parts; i++)
        parts += (double)job->parts[i].w * (double)job->parts[i].h
               * job->parts[i].count;
    for (int i = 0; i < plan->n_sheets; i++)
        sheets += (double)job->kinds[plan->kinds[i]].w
                * (double)job->kinds[plan->kinds[i]].h;
    return parts / sheets;
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
    if (getenv("EACH")) {
        printf("%ld, known %ld, bound %ld, %ld M steps, %.2f s\n",
               (long)plan.cost, known, (long)plan.bound,
               plan.steps / 1000000, begin);
        fflush(stdout);
    }
    t->shelf += shelves(&c, job);
    t->fill  += fill_of(job, &plan);
    ctx_free(&c);
}

/* As much as goes on one sheet that all would fill; counted as best: 97 % of
 * its area. */
static void run_full(const SheetJob *job, long known, Tally *t) {
    SheetKind   kind  = job->kinds[0];
    SheetJob    one   = *job;
    long        area  = (long)(kind.w * kind.h), placed = 0;
    double      begin = now_s(), spent;
    SheetPlan   plan;
    const char *why;
    Ctx         c;

    (void)known;
    ctx_init(&c, &real_files);
    kind.supply = 1;
    one.kinds   = &kind;
    plan  = guillotine_plan(&c, &one);
    spent = now_s() - begin;
    why   = check_plan(&c, &one, &plan);
    t->wrong += why != NULL;
    for (int i = 0; i < plan.n_nodes; i++) {
        if (plan.nodes[i].what >= 0)
            placed += (long)(plan.nodes[i].w * plan.nodes[i].h);
    }
    if (getenv("EACH"))
        printf("%.2f %%, %.2f s\n", percent(placed, area), spent);
    t->runs++;
    t->sum    += placed;
    t->known  += area;
    t->best   += 100 * placed >= 97 * area;
    t->proven += placed == area;
    t->fill   += (double)placed / (double)area;
    t->longest = spent > t->longest ? spent : t->longest;
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
    int         rivals;          // each n-th beside the solver; 0: none
    bool        by_area;         // what is known is not the price of sheets
} Family;

static const Family families[] = {
    { "bwmv", "OG", 11, 700000000, run_sheets, 33, false },
    { "bwmv", "RG", 11, 700000000, run_sheets, 33, false },
    { "furniture_a", "OG", 4, 600000000, run_sheets, 6, false },
    { "furniture_a", "RG", 4, 600000000, run_sheets, 6, false },
    { "multisheet_cintra", "O2G", 3, 400000000, run_sheets, 0, false },
    { "multisheet_cintra", "R2G", 3, 400000000, run_sheets, 0, false },
    { "multisheet_pisinger", "OF", 5, 200000000, run_sheets, 8, true },
    { "planted_kerf_grain", "GR", 2, 150000000, run_sheets, 10, false },
    { "zerowaste_t", "OG", 4, 200000000, run_full, 0, false },
    { "zerowaste_t", "RG", 4, 200000000, run_full, 0, false },
    { "fit_clautiaux42", "OG", 3, 2000000000, run_fit, 0, false },
    { "fit_clautiaux42", "RG", 3, 1200000000, run_fit, 0, false },
    { "knapsack_gcut_unconstrained", "OG", 1, 5000000000, run_knapsack, 0, false },
};

static Instances read_family(Ctx *c, const char *folder, const Family *f) {
    Str       text = read_file(c, folder, f->family);
    Instances all  = { 0 };

    for (size_t at = 0; at < text.n;) {
        size_t end = str_find(text, '\n', at);
        read_row(c, &all, str_part(text, at, end));
        at = end + 1;
    }
    return all;
}

static SheetJob job_of(const Family *f, Instance *one, long steps) {
    for (int k = 0; k < one->parts.n && f->variant[0] == 'R'; k++)
        one->parts.at[k].turns = true;
    for (int k = 0; k < one->kinds.n && f->by_area; k++)
        one->kinds.at[k].price = one->kinds.at[k].w * one->kinds.at[k].h;
    return (SheetJob){ one->kinds.at, one->kinds.n, one->parts.at,
                       one->parts.n, one->kerf, steps, 0 };
}

static bool run_family(Ctx *c, const char *folder, const Family *f,
                       bool all_of_them) {
    Str       table = read_file(c, folder, "best_known");
    Instances all   = read_family(c, folder, f);
    Tally     t     = { 0 };

    for (int i = 0; i < all.n; i += all_of_them ? 1 : f->every) {
        Instance *one   = &all.at[i];
        long      known = best_known(c, table, one->name, f->variant);
        SheetJob  job   = job_of(f, one, all_of_them ? f->steps
                                                     : f->steps / 4);
        if (f->run == run_fit || f->run == run_knapsack)
            job.steps = f->steps;
        if (getenv("ONLY") && !strstr(getenv("ONLY"), str_z(c, one->name)))
            continue;
        if (getenv("EACH"))
            printf("%s %s: ", str_z(c, one->name), f->variant);
        f->run(&job, known, &t);
    }
    printf("%-27s %-3s %4ld %4ld %4ld %9ld %9ld %9ld %9ld %+6.2f%% %+3ld "
           "%5.1f%% %5.1f%% %5.2f s%s\n",
           f->family, f->variant, t.runs, t.best, t.proven, t.sum, t.known,
           t.bounds, t.shelf, percent(t.sum - t.known, t.known),
           t.worst > 99 ? 99 : t.worst, t.worst_share,
           100 * t.fill / (double)t.runs, t.longest,
           t.wrong ? "  WRONG ANSWERS" : "");
    fflush(stdout);
    return t.wrong == 0;
}

/* ---- Beside the general solver ---- */

#define RIVAL_MS    10000
#define MOST_RIVALS 40

typedef struct {
    int    runs, solved, proven, wrong;
    long   sum, beside;        // on what the rival has solved
    double seconds[MOST_RIVALS], longest;
} Rival;

static void add_rival(Rival *t, double seconds) {
    int at = t->runs++;

    for (; at > 0 && t->seconds[at - 1] > seconds; at--)
        t->seconds[at] = t->seconds[at - 1];
    t->seconds[at] = seconds;
}

/* Both on one instance. */
static void run_rival(const SheetJob *job, Rival *ours, Rival *theirs) {
    double    begin = now_s();
    SheetPlan a, b;
    bool      proven;
    Ctx       c;

    ctx_init(&c, &real_files);
    a = guillotine_plan(&c, job);
    add_rival(ours, now_s() - begin);
    ours->wrong  += check_plan(&c, job, &a) || a.missing;
    ours->proven += a.cost == a.bound;
    ours->solved++;
    begin = now_s();
    b = plate_model(&c, job, RIVAL_MS, &proven);
    add_rival(theirs, now_s() - begin);
    if (b.n_sheets > 0) {
        b.bound = proven ? b.cost : 0;
        theirs->wrong  += check_plan(&c, job, &b) || b.missing
                       || (proven && b.cost > a.cost) || b.cost < a.bound;
        theirs->proven += proven;
        theirs->solved++;
        theirs->sum += b.cost;
        ours->sum   += a.cost;
    }
    ctx_free(&c);
}

static void print_rival(const Family *f, const char *who, const Rival *t) {
    printf("%-20s %-3s %-6s %4d %6d %6d %9ld %8.2f s %7.2f s%s\n", f->family,
           f->variant, who, t->runs, t->solved, t->proven, t->sum,
           t->seconds[t->runs / 2], t->seconds[t->runs - 1],
           t->wrong ? "  WRONG ANSWERS" : "");
    fflush(stdout);
}

static bool run_rivals(Ctx *c, const char *folder, const Family *f) {
    Instances all  = read_family(c, folder, f);
    Rival     ours = { 0 }, theirs = { 0 };

    for (int i = 0; i < all.n && ours.runs < MOST_RIVALS; i += f->rivals) {
        SheetJob job = job_of(f, &all.at[i], f->steps / 4);
        run_rival(&job, &ours, &theirs);
    }
    print_rival(f, "ours", &ours);
    print_rival(f, "plates", &theirs);
    return ours.wrong + theirs.wrong == 0;
}

static bool run_all_rivals(Ctx *c, const char *folder,
                           const char *only) {
    bool right = true;

    if (!HAVE_PLATES) {
        printf("sheets: no general solver here (libglpk-dev)\n");
        return true;
    }
    printf("%-20s %-3s %-6s %4s %6s %6s %9s %10s %9s\n", "family", "", "",
           "runs", "solved", "proven", "sum", "median", "longest");
    for (int i = 0; i < COUNT(families); i++) {
        if (families[i].rivals
            && (!only || strcmp(only, families[i].family) == 0))
            right = run_rivals(c, folder, &families[i]) && right;
    }
    return right;
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
    if (argc > 1 && strcmp(argv[1], "rival") == 0)
        return run_all_rivals(&c, folder, only) ? 0 : 1;
    printf("%-27s %-3s %4s %4s %4s %9s %9s %9s %9s %7s %3s %6s %6s %7s\n",
           "family", "", "runs", "best", "prov", "sum", "known", "bounds",
           "shelf", "gap", "+", "worst", "fill", "longest");
    for (int i = 0; i < COUNT(families); i++) {
        if (!only || strcmp(only, families[i].family) == 0)
            right = run_family(&c, folder, &families[i], full) && right;
    }
    ctx_free(&c);
    return right ? 0 : 1;
}
