/* cutting_bench -- published sets of one-dimensional cutting problems with
 * known optima, read where they lie, solved, and judged.
 *
 *     cutting_bench FOLDER [full] [FAMILY]
 *
 * Each plan is checked from the text of the instance: sizes, kerf, demand,
 * supply, cost, and that neither bound nor "proven" contradicts the best
 * value known. Beside it first-fit decreasing on the same instances, and,
 * where it is installed, a general solver on each tenth of them, for ten
 * seconds (two in the short form). A line for each family; exits with 1 where
 * a check fails. CPU time.
 */
#include "arc_flow.h"

#include <stdlib.h>
#include <time.h>

#define MOST 2000
#define SAMPLE 5            // short form: every fifth instance

typedef struct {
    char    name[64];
    BarSize sizes[64];
    BarPart parts[1200];
    int     n_sizes, n_parts;
    int64_t kerf, known;
    bool    closed;         // the known value is proven
} Case;

static double now_ms(void) {
    return 1000.0 * (double)clock() / CLOCKS_PER_SEC;
}

/* ---- Reading ---- */

static FILE *open_in(const char *folder, const char *name) {
    char path[1024];

    snprintf(path, sizeof path, "%s/%s.csv", folder, name);
    return fopen(path, "r");
}

/* The nth field of a line, as a number; -1 where it is empty. */
static int64_t field(const char *line, int nth) {
    while (nth-- > 0 && line)
        line = strchr(line, ',') ? strchr(line, ',') + 1 : NULL;
    return line && *line != ',' && *line != '\n' && *line
         ? strtoll(line, NULL, 10) : -1;
}

static void find_known(FILE *best, Case *k) {
    char   line[512];
    size_t n = strlen(k->name);

    k->known = -1;
    rewind(best);
    while (fgets(line, sizeof line, best)) {
        if (strncmp(line, k->name, n) == 0 && line[n] == ',') {
            k->known  = field(line, 3);
            k->closed = strstr(line, ",y,") != NULL;
        }
    }
}

/* Reads the next instance; `line` is the one that stands next. */
static bool next_case(FILE *in, FILE *best, char *line, size_t size,
                      Case *k) {
    char *comma = strchr(line, ',');

    memset(k, 0, sizeof *k);
    if (!comma || (size_t)(comma - line) >= sizeof k->name)
        return false;
    memcpy(k->name, line, (size_t)(comma - line));
    do {
        const char *role = strchr(line, ',');
        if (!role || strncmp(line, k->name, strlen(k->name))
            || line[strlen(k->name)] != ',')
            break;
        if (strncmp(role, ",stock,", 7) == 0)
            k->sizes[k->n_sizes++] = (BarSize){
                field(line, 2), field(line, 4), (int)field(line, 3) };
        else if (strncmp(role, ",part,", 6) == 0)
            k->parts[k->n_parts++] = (BarPart){
                field(line, 2), (int)field(line, 3) };
        else
            k->kerf = field(line, 2);
    } while (fgets(line, (int)size, in) || (line[0] = '\0'));
    find_known(best, k);
    return true;
}

/* ---- The judge ---- */

static const char *plan_is_right(const Case *k, const BarPlan *plan) {
    int     given[1200] = { 0 }, used[64] = { 0 };
    int64_t cost = 0;

    if (!plan->found)
        return "no plan";
    for (int i = 0; i < plan->patterns.n; i++) {
        const BarPattern *p = &plan->patterns.at[i];
        int64_t length = 0, pieces = 0;
        for (int j = 0; j < k->n_parts; j++) {
            length   += p->counts[j] * k->parts[j].length;
            pieces   += p->counts[j];
            given[j] += p->counts[j] * p->copies;
        }
        if (pieces < 1
            || length + (pieces - 1) * k->kerf > k->sizes[p->size].length)
            return "pieces longer than the bar";
        used[p->size] += p->copies;
        cost          += p->copies * k->sizes[p->size].price;
    }
    for (int j = 0; j < k->n_parts; j++) {
        if (given[j] != k->parts[j].demand)
            return "wrong number of pieces";
    }
    for (int j = 0; j < k->n_sizes; j++) {
        if (k->sizes[j].supply >= 0 && used[j] > k->sizes[j].supply)
            return "more bars than there are";
    }
    if (cost != plan->cost)
        return "wrong cost";
    if (plan->bound > plan->cost || (plan->proven && plan->bound < cost))
        return "bound and cost do not agree";
    if (k->known >= 0 && plan->bound > k->known)
        return "the bound is above a known plan";
    if (k->closed && plan->proven && cost != k->known)
        return "proven, but another optimum is known";
    return NULL;
}

/* First fit, longest piece first, on the size of the best price by length
 * (and the longest bar for what does not fit that). */
static int64_t first_fit(const Case *k) {
    static int64_t room[20000];
    int     n = 0, left[1200], best = 0, longest = 0;
    int64_t cost = 0;

    for (int j = 1; j < k->n_sizes; j++) {
        if (k->sizes[j].price * k->sizes[best].length
            < k->sizes[best].price * k->sizes[j].length)
            best = j;
        if (k->sizes[j].length > k->sizes[longest].length)
            longest = j;
    }
    for (int i = 0; i < k->n_parts; i++)
        left[i] = k->parts[i].demand;
    for (;;) {
        int64_t need;
        int     at = -1, bar = 0;
        for (int i = 0; i < k->n_parts; i++) {
            if (left[i] > 0
                && (at < 0 || k->parts[i].length > k->parts[at].length))
                at = i;
        }
        if (at < 0)
            return cost;
        need = k->parts[at].length + k->kerf;
        while (bar < n && room[bar] < need)
            bar++;
        if (bar == n) {
            int size = k->sizes[best].length + k->kerf >= need
                     ? best : longest;
            room[n++] = k->sizes[size].length + k->kerf;
            cost     += k->sizes[size].price;
        }
        room[bar] -= need;
        left[at]--;
    }
}

/* ---- Families ---- */

typedef struct {
    int     n, right, proven, ffd_right, bad;
    double  ms[MOST];
    double  slow;           // the slowest
    int64_t gap, ffd_gap;   // cost above the best known, all together
    int     gen_n, gen_proven;      // the general solver
    double  gen_ms[MOST];
} Tally;

#define EACH 10             // so many instances share a run of the general

#ifdef WITH_GLPK
static void run_general(const BarJob *job, int ms, Tally *t) {
    double begin = now_ms();
    bool   proven;

    (void)arc_flow(job, ms, &proven);
    t->gen_ms[t->gen_n++] = now_ms() - begin;
    t->gen_proven        += proven;
}
#else
static void run_general(const BarJob *job, int ms, Tally *t) {
    (void)job;
    (void)ms;
    (void)t;
}
#endif

static void run_case(const Case *k, Tally *t, bool full, bool loud,
                     double scale) {
    Ctx         c;
    BarJob      job = { k->sizes, k->n_sizes, k->parts, k->n_parts, k->kerf,
                        (int64_t)((double)BARS_WORK * scale) };
    BarPlan     plan;
    const char *wrong;
    double      begin = now_ms();
    int64_t     ffd;

    ctx_init(&c, &real_files);
    plan  = bars_cut(&c, &job);
    begin = now_ms() - begin;
    wrong = plan_is_right(k, &plan);
    ffd   = first_fit(k);
    if (wrong)
        printf("%s: %s (%lld, bound %lld, known %lld)\n", k->name, wrong,
               (long long)plan.cost, (long long)plan.bound,
               (long long)k->known);
    if (loud)
        printf("%-24s cost %6lld bound %6lld known %6lld %s %8.1f ms "
               "work %lld\n", k->name, (long long)plan.cost,
               (long long)plan.bound, (long long)k->known,
               plan.proven ? "proven" : "      ", begin,
               (long long)plan.work);
    t->bad       += wrong != NULL;
    t->right     += plan.cost == k->known;
    t->proven    += plan.proven;
    t->ffd_right += ffd == k->known;
    t->gap       += plan.cost - k->known;
    t->ffd_gap   += ffd - k->known;
    t->slow       = begin > t->slow ? begin : t->slow;
    t->ms[t->n++] = begin;
    ctx_free(&c);
    if (t->n % EACH == 1)
        run_general(&job, full ? 10000 : 2000, t);
}

static void sort_times(double *ms, int n) {
    for (int i = 1; i < n; i++) {
        double t = ms[i];
        int    at = i;
        for (; at > 0 && ms[at - 1] > t; at--)
            ms[at] = ms[at - 1];
        ms[at] = t;
    }
}

/* The hard families have up to ten seconds, the others one. How much work
 * that is depends on what it is spent on. */
static double patience(const char *name) {
    static const struct { const char *name; double times; } hard[] = {
        { "hard28", 3 }, { "nirup53", 3 }, { "scholl3", 1.25 }
    };

    for (int i = 0; i < COUNT(hard); i++) {
        if (strcmp(name, hard[i].name) == 0)
            return hard[i].times;
    }
    return 1;
}

static int run_family(const char *folder, const char *name, bool full,
                      bool loud) {
    FILE  *in = open_in(folder, name), *best = open_in(folder, "best_known");
    char   line[512];
    Case  *k = calloc(1, sizeof *k);
    Tally *t = calloc(1, sizeof *t);
    int    bad, nth = 0;

    if (!in || !best || !k || !t || !fgets(line, sizeof line, in)
        || !fgets(line, sizeof line, in)) {
        printf("%-18s not there\n", name);
        return 0;
    }
    while (next_case(in, best, line, sizeof line, k) && t->n < MOST) {
        if (full || nth++ % SAMPLE == 0)
            run_case(k, t, full, loud, patience(name));
    }
    sort_times(t->ms, t->n);
    sort_times(t->gen_ms, t->gen_n);
    printf("%-18s %4d %6d %6d %8.1f %9.1f %6lld %7d %7lld", name, t->n,
           t->right, t->proven, t->ms[t->n / 2], t->slow,
           (long long)t->gap, t->ffd_right, (long long)t->ffd_gap);
    if (t->gen_n > 0)
        printf(" %8d %6d %9.1f", t->gen_n, t->gen_proven,
               t->gen_ms[t->gen_n / 2]);
    printf("\n");
    fflush(stdout);
    bad = t->bad;
    fclose(in);
    fclose(best);
    free(k);
    free(t);
    return bad;
}

int main(int argc, char **argv) {
    static const char *const families[] = {
        "falkenauer_u", "falkenauer_t", "scholl1", "scholl2", "schwerin",
        "kerf_multilength", "hard28", "waescher", "nirup53", "scholl3"
    };
    bool        full = argc > 2 && strcmp(argv[2], "full") == 0;
    const char *only = argc > 3 ? argv[3] : NULL;
    int         bad = 0;

    if (argc < 3) {
        printf("cutting_bench: no folder of instances, skipped\n");
        return 0;
    }
    printf("family                n  right proven median ms   slowest  "
           "above | first fit: right above | general: n proven median ms\n");
    for (int i = 0; i < COUNT(families); i++) {
        if (!only || strcmp(only, families[i]) == 0)
            bad += run_family(argv[1], families[i], full, only != NULL);
    }
    return bad > 0;
}
