/* arc_flow -- the same cutting problems given to a general solver.
 *
 * The model is that of arc flow (Valerio de Carvalho 1999, Annals of OR 86):
 * a bar is a path from 0 to its length, whose arcs are pieces, longest
 * first, or a unit of waste; the demand of each length of piece must flow. It
 * is the strongest plain model there is for a solver of integer programs.
 * GLPK solves it (Debian's libglpk-dev), with its own cuts and rounding.
 */
#include "arc_flow.h"

#include <glpk.h>
#include <stdlib.h>
#include <string.h>

#define MOST_ARCS 120000

typedef struct { int from, to, part; } Arc;   // part -1: waste

typedef struct {
    int     length[1200], demand[1200], n;   // alike ones together
    int     room;                            // of the longest bar
    Arc    *arc;
    int     arcs;
    char   *reached;
} Flow;

static int64_t divisor(int64_t a, int64_t b) {
    return b ? divisor(b, a % b) : a;
}

static void longest_first(BarPart *parts, int n) {
    for (int i = 1; i < n; i++) {
        BarPart p = parts[i];
        int     at = i;
        for (; at > 0 && parts[at - 1].length < p.length; at--)
            parts[at] = parts[at - 1];
        parts[at] = p;
    }
}

static void read_parts(const BarJob *job, int64_t unit, Flow *f) {
    BarPart *parts = calloc((size_t)job->n_parts, sizeof *parts);

    memcpy(parts, job->parts, (size_t)job->n_parts * sizeof *parts);
    longest_first(parts, job->n_parts);
    for (int i = 0; i < job->n_parts; i++) {
        int length = (int)((parts[i].length + job->kerf) / unit);
        if (f->n == 0 || f->length[f->n - 1] != length)
            f->length[f->n++] = length;
        f->demand[f->n - 1] += parts[i].demand;
    }
    free(parts);
}

static bool add_arc(Flow *f, int from, int to, int part) {
    if (f->arcs == MOST_ARCS)
        return false;
    f->arc[f->arcs++] = (Arc){ from, to, part };
    f->reached[to]    = 1;
    return true;
}

/* Pieces only behind longer ones, as often as they are wanted. */
static bool lay_arcs(Flow *f) {
    int *copies = calloc((size_t)f->room + 1, sizeof *copies);
    bool all    = true;

    f->reached[0] = 1;
    for (int i = 0; i < f->n && all; i++) {
        memset(copies, 0, ((size_t)f->room + 1) * sizeof *copies);
        for (int at = 0; at + f->length[i] <= f->room && all; at++) {
            int to = at + f->length[i];
            if (!f->reached[at] || copies[at] >= f->demand[i])
                continue;
            if (!f->reached[to] || copies[to] > copies[at] + 1)
                copies[to] = copies[at] + 1;
            all = add_arc(f, at, to, i);
        }
    }
    for (int at = 0; at < f->room && all; at++)
        all = add_arc(f, at, at + 1, -1);
    free(copies);
    return all;
}

/* Rows: flow at each place, the demands. Columns: arcs, the sizes. */
static glp_prob *model_of(const BarJob *job, int64_t unit, const Flow *f) {
    glp_prob *lp    = glp_create_prob();
    int       rows  = f->room + 1 + f->n;
    int      *row   = calloc(4, sizeof *row);
    double   *value = calloc(4, sizeof *value);

    glp_add_rows(lp, rows);
    for (int i = 1; i <= f->room + 1; i++)
        glp_set_row_bnds(lp, i, GLP_FX, 0, 0);
    for (int i = 0; i < f->n; i++)
        glp_set_row_bnds(lp, f->room + 2 + i, GLP_LO, f->demand[i], 0);
    glp_add_cols(lp, f->arcs + job->n_sizes);
    for (int i = 0; i < f->arcs; i++) {
        const Arc *a = &f->arc[i];
        int        n = 2;
        row[1] = a->from + 1, value[1] = -1;
        row[2] = a->to + 1,   value[2] = 1;
        if (a->part >= 0)
            row[++n] = f->room + 2 + a->part, value[n] = 1;
        glp_set_mat_col(lp, i + 1, n, row, value);
        glp_set_col_kind(lp, i + 1, GLP_IV);
        glp_set_col_bnds(lp, i + 1, GLP_LO, 0, 0);
    }
    for (int j = 0; j < job->n_sizes; j++) {
        const BarSize *s = &job->sizes[j];
        int            at = f->arcs + 1 + j;
        row[1] = 1, value[1] = 1;
        row[2] = (int)((s->length + job->kerf) / unit) + 1, value[2] = -1;
        glp_set_mat_col(lp, at, 2, row, value);
        glp_set_col_kind(lp, at, GLP_IV);
        glp_set_obj_coef(lp, at, (double)s->price);
        glp_set_col_bnds(lp, at, s->supply < 0 ? GLP_LO : GLP_DB, 0,
                         s->supply);
    }
    free(row);
    free(value);
    return lp;
}

static int64_t solve(glp_prob *lp, int ms, bool *proven) {
    glp_iocp how;
    int      status;

    glp_init_iocp(&how);
    how.msg_lev  = GLP_MSG_OFF;
    how.presolve = GLP_ON;
    how.tm_lim   = ms;
    how.gmi_cuts = GLP_ON;
    how.fp_heur  = GLP_ON;
    (void)glp_intopt(lp, &how);
    status  = glp_mip_status(lp);
    *proven = status == GLP_OPT;
    return status == GLP_OPT || status == GLP_FEAS
         ? (int64_t)(glp_mip_obj_val(lp) + 0.5) : -1;
}

int64_t arc_flow(const BarJob *job, int ms, bool *proven) {
    Flow      f = { 0 };
    int64_t   unit = 0, cost = -1, longest = 0;
    glp_prob *lp;

    *proven = false;
    for (int i = 0; i < job->n_parts; i++)
        unit = divisor(job->parts[i].length + job->kerf, unit);
    for (int j = 0; j < job->n_sizes; j++) {
        unit    = divisor(job->sizes[j].length + job->kerf, unit);
        longest = job->sizes[j].length > longest ? job->sizes[j].length
                                                 : longest;
    }
    f.room    = (int)((longest + job->kerf) / unit);
    f.arc     = calloc(MOST_ARCS, sizeof *f.arc);
    f.reached = calloc((size_t)f.room + 2, 1);
    read_parts(job, unit, &f);
    if (lay_arcs(&f)) {
        lp   = model_of(job, unit, &f);
        cost = solve(lp, ms, proven);
        glp_delete_prob(lp);
    }
    free(f.arc);
    free(f.reached);
    return cost;
}
