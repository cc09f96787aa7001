/* facts -- CPU time and memory for loading designs of many pieces, placing
 * them and checking them against each other.
 *
 *     facts DESIGN.json ...     designs of growing size
 *
 * Each line also says how many times the cost of the design before it this
 * is, divided by how many times n log n has grown: 1 means "near n log n".
 */
#include "model/model.h"

#include <math.h>
#include <stdlib.h>
#include <time.h>

#define RUNS 3        // the quickest counts: the others were disturbed

static double now_ms(void) {
    return 1000.0 * (double)clock() / CLOCKS_PER_SEC;
}

typedef struct {
    double ms, mb;
    int    pieces, contacts;
} Run;

static bool run_once(const char *path, Run *run) {
    Ctx           c;
    const Design *d;
    const Model  *m = NULL;
    double        begin = now_ms();

    ctx_init(&c, &real_files);
    d = design_read(&c, path);
    if (d)
        m = model_build(&c, d, sizes_new(&c));
    begin = now_ms() - begin;
    if (!m) {
        Str text = diags_text(&c);
        fprintf(stderr, "%.*s", STR_ARG(text));
        ctx_free(&c);
        return false;
    }
    if (run->ms <= 0 || begin < run->ms)
        run->ms = begin;
    run->mb       = (double)c.arena.taken / 1e6;
    run->pieces   = m->pieces.n;
    run->contacts = m->contacts.n;
    ctx_free(&c);
    return true;
}

/* ---- Taking all apart ---- */

/* Milliseconds to find for every piece a straight way out, one after the
 * other, once all are placed. */
static double peel_once(const char *path, int *left) {
    Ctx           c;
    const Design *d;
    const Model  *m;
    Blocking     *b;
    Group         all = { 0 };
    double        begin;

    ctx_init(&c, &real_files);
    d = design_read(&c, path);
    m = d ? model_build(&c, d, sizes_new(&c)) : NULL;
    if (!m)
        exit(1);
    for (int i = 0; i < m->pieces.n; i++)
        *PUSH(&c, &all) = i;
    begin = now_ms();
    b     = blocking_new(&c, m);
    for (int i = 0; i < m->pieces.n; i++)
        blocking_put(b, i);
    *left = blocking_peel(b, &all, NULL, NULL);
    begin = now_ms() - begin;
    ctx_free(&c);
    return begin;
}

static double n_log_n(int n) {
    return n * log(n);
}

int main(int argc, char **argv) {
    Run    before = { 0 };
    int    left   = 0;
    double peel   = 0;

    arena_keep_freed();
    for (int i = 1; i < argc; i++) {
        Run run = { 0 };
        for (int k = 0; k < RUNS; k++) {
            double ms = peel_once(argv[i], &left);
            peel = k == 0 || ms < peel ? ms : peel;
            if (!run_once(argv[i], &run))
                return 1;
        }
        printf("%6d pieces, %6d contacts: %8.1f ms, %6.1f MB, taken apart "
               "in %6.2f ms (%d stuck)", run.pieces, run.contacts, run.ms,
               run.mb, peel, left);
        if (before.pieces)
            printf(", %.2f times n log n", run.ms / before.ms
                   / (n_log_n(run.pieces) / n_log_n(before.pieces)));
        printf("\n");
        before = run;
    }
    return 0;
}
