/* plate_model -- the same sheets given to a general solver.
 *
 * The model is that of plates and cuts (Furini, Malaguti and Thomopulos
 * 2016, INFORMS J. Computing 28): a whole number for each cut of each kind
 * of plate that can arise, and of each plate, used up by cuts and by parts,
 * at least so many must be made. Any number of stages. As Becker (2022)
 * does, plates are made as small as what they can hold, cuts in the farther
 * half are left out, and a part is taken from a plate when nothing more goes
 * beside it. GLPK solves it (Debian's libglpk-dev), with its own cuts and
 * rounding.
 */
#include "plate_model.h"

#include <glpk.h>
#include <stdlib.h>
#include <time.h>

#define MOST_POINTS  3000
#define MOST_COLUMNS 150000

typedef struct { int64_t at[MOST_POINTS]; int n; } Points;

/* What a plate is used for: a cut, or a part. */
typedef struct {
    int  plate, first, second;   // of a cut; -1: waste
    int  part;                   // or -1
    bool upright, turned;
    int  copies;                 // in the solution
} Use;

typedef struct {
    Ctx            *c;
    const SheetJob *job;
    Points          x, y;
    int            *row;         // of each plate, by its place; 0: none
    LIST(int)       plates;      // place of each row, from 0
    LIST(Use)       uses;
    int64_t         least_w, least_h;
    int            *bought, *roots;   // of each kind: sheets, plate
} Model;

/* ---- Places where a cut may be (Herz 1972) ---- */

static bool add_sums(Points *p, int64_t size, int64_t limit) {
    for (int i = 0; i < p->n; i++) {
        int64_t sum = p->at[i] + size;
        int     k   = p->n;
        while (k > 0 && p->at[k - 1] > sum)
            k--;
        if (sum > limit || (k > 0 && p->at[k - 1] == sum))
            continue;
        if (p->n == MOST_POINTS)
            return false;
        for (int j = p->n++; j > k; j--)
            p->at[j] = p->at[j - 1];
        p->at[k] = sum;
    }
    return true;
}

static int floor_of(const Points *p, int64_t size) {
    int low = 0, high = p->n;

    while (high - low > 1) {
        int middle = (low + high) / 2;
        if (p->at[middle] <= size)
            low = middle;
        else
            high = middle;
    }
    return low;
}

static bool find_points(Model *m) {
    const SheetJob *job = m->job;
    int64_t         W = 0, H = 0;
    bool            all = true;

    m->x.n = m->y.n = 1;
    m->x.at[0] = m->y.at[0] = 0;
    m->least_w = m->least_h = INT64_MAX;
    for (int i = 0; i < job->n_kinds; i++) {
        W = job->kinds[i].w > W ? job->kinds[i].w : W;
        H = job->kinds[i].h > H ? job->kinds[i].h : H;
    }
    for (int k = 0; k < 2 * job->n_parts && all; k++) {
        const SheetPart *p = &job->parts[k / 2];
        int64_t          w = (k % 2 ? p->h : p->w) + job->kerf;
        int64_t          h = (k % 2 ? p->w : p->h) + job->kerf;
        if (k % 2 && !p->turns)
            continue;
        all = add_sums(&m->x, w, W + job->kerf)
           && add_sums(&m->y, h, H + job->kerf);
        m->least_w = w < m->least_w ? w : m->least_w;
        m->least_h = h < m->least_h ? h : m->least_h;
    }
    return all;
}

/* ---- Plates and what becomes of them ---- */

/* The number of the plate that holds what such a rectangle can; -1: it can
 * hold nothing. */
static int plate_of(Model *m, int64_t w, int64_t h) {
    int i = floor_of(&m->x, w), j = floor_of(&m->y, h);
    int place = i * m->y.n + j;

    if (i == 0 || j == 0)
        return -1;
    if (m->row[place] == 0) {
        *PUSH(m->c, &m->plates) = place;
        m->row[place] = m->plates.n;
    }
    return m->row[place] - 1;
}

static void add_cuts(Model *m, int plate, int64_t w, int64_t h,
                     bool upright) {
    const Points *p    = upright ? &m->x : &m->y;
    int64_t       size = upright ? w : h;

    for (int i = 1; i < p->n && 2 * p->at[i] <= size; i++) {
        int64_t at = p->at[i];
        int     a = upright ? plate_of(m, at, h) : plate_of(m, w, at);
        int     b = upright ? plate_of(m, w - at, h)
                            : plate_of(m, w, h - at);
        *PUSH(m->c, &m->uses) = (Use){ plate, a, b, -1, upright, false, 0 };
    }
}

static void add_parts(Model *m, int plate, int64_t w, int64_t h) {
    for (int k = 0; k < 2 * m->job->n_parts; k++) {
        const SheetPart *p = &m->job->parts[k / 2];
        int64_t          a = w - (k % 2 ? p->h : p->w) - m->job->kerf;
        int64_t          b = h - (k % 2 ? p->w : p->h) - m->job->kerf;
        if ((k % 2 == 0 || p->turns) && a >= 0 && a < m->least_w
            && b >= 0 && b < m->least_h)
            *PUSH(m->c, &m->uses) = (Use){ plate, -1, -1, k / 2, false,
                                           k % 2, 0 };
    }
}

static bool find_uses(Model *m) {
    int64_t kerf = m->job->kerf;

    m->row = NEW_N(m->c, int, m->x.n * m->y.n);
    for (int k = 0; k < m->job->n_kinds; k++)
        m->roots[k] = plate_of(m, m->job->kinds[k].w + kerf,
                               m->job->kinds[k].h + kerf);
    for (int i = 0; i < m->plates.n && m->uses.n < MOST_COLUMNS; i++) {
        int64_t w = m->x.at[m->plates.at[i] / m->y.n];
        int64_t h = m->y.at[m->plates.at[i] % m->y.n];
        add_cuts(m, i, w, h, true);
        add_cuts(m, i, w, h, false);
        add_parts(m, i, w, h);
    }
    return m->uses.n < MOST_COLUMNS;
}

/* ---- The solver ---- */

/* A column of the matrix; what occurs twice in it is added up. */
static void set_column(glp_prob *lp, int column, const int *rows,
                       const double *values, int n) {
    int    row[8] = { 0 }, m = 0;
    double value[8] = { 0 };

    for (int i = 0; i < n; i++) {
        int k = 1;
        if (rows[i] < 1)
            continue;
        while (k <= m && row[k] != rows[i])
            k++;
        m = k > m ? k : m;
        row[k]    = rows[i];
        value[k] += values[i];
    }
    glp_set_mat_col(lp, column, m, row, value);
    glp_set_col_kind(lp, column, GLP_IV);
    glp_set_col_bnds(lp, column, GLP_LO, 0, 0);
}

/* Rows: each plate made less used, the demands. Columns: uses, sheets. */
static glp_prob *model_of(const Model *m) {
    const SheetJob *job = m->job;
    glp_prob       *lp  = glp_create_prob();
    static const double cut[] = { -1, 1, 1 }, part[] = { -1, 1 };

    glp_add_rows(lp, m->plates.n + job->n_parts);
    glp_add_cols(lp, m->uses.n + job->n_kinds);
    for (int i = 0; i < m->plates.n; i++)
        glp_set_row_bnds(lp, i + 1, GLP_LO, 0, 0);
    for (int i = 0; i < job->n_parts; i++)
        glp_set_row_bnds(lp, m->plates.n + i + 1, GLP_LO,
                         job->parts[i].count, 0);
    for (int i = 0; i < m->uses.n; i++) {
        const Use *u = &m->uses.at[i];
        int rows[3] = { u->plate + 1, u->first + 1, u->second + 1 };
        if (u->part >= 0)
            rows[1] = m->plates.n + u->part + 1;
        set_column(lp, i + 1, rows, u->part < 0 ? cut : part,
                   u->part < 0 ? 3 : 2);
    }
    for (int k = 0; k < job->n_kinds; k++) {
        int    at  = m->uses.n + k + 1, row = m->roots[k] + 1;
        double one = 1;
        set_column(lp, at, &row, &one, 1);
        glp_set_obj_coef(lp, at, (double)job->kinds[k].price);
        if (job->kinds[k].supply >= 0)
            glp_set_col_bnds(lp, at, job->kinds[k].supply ? GLP_DB : GLP_FX,
                             0, job->kinds[k].supply);
    }
    return lp;
}

/* GLPK's own limit is of time on the wall. */
static void stop_late(glp_tree *tree, void *limit) {
    if ((double)clock() / CLOCKS_PER_SEC > *(double *)limit)
        glp_ios_terminate(tree);
}

static bool solve(Model *m, glp_prob *lp, int ms, bool *proven) {
    glp_iocp how;
    int      status;
    double   limit = (double)clock() / CLOCKS_PER_SEC + ms / 1000.0;

    glp_init_iocp(&how);
    how.cb_func  = stop_late;
    how.cb_info  = &limit;
    how.msg_lev  = GLP_MSG_OFF;
    how.presolve = GLP_ON;
    how.tm_lim   = 4 * ms;
    how.gmi_cuts = GLP_ON;
    how.fp_heur  = GLP_ON;
    (void)glp_intopt(lp, &how);
    status  = glp_mip_status(lp);
    *proven = status == GLP_OPT;
    if (status != GLP_OPT && status != GLP_FEAS)
        return false;
    for (int i = 0; i < m->uses.n; i++)
        m->uses.at[i].copies = (int)(glp_mip_col_val(lp, i + 1) + 0.5);
    for (int k = 0; k < m->job->n_kinds; k++)
        m->bought[k] = (int)(glp_mip_col_val(lp, m->uses.n + k + 1) + 0.5);
    return true;
}

/* ---- The solution as a plan ---- */

typedef struct { int64_t x, y, w, h; } Room;   // with the kerf
typedef struct { Model *m; SheetPlan *plan; int *left, room; } Writing;

static int write_node(Writing *w, Room r, int what) {
    int64_t kerf = w->m->job->kerf;

    if (r.w <= kerf || r.h <= kerf)
        return -1;
    if (w->plan->n_nodes == w->room)
        exit(2);
    w->plan->nodes[w->plan->n_nodes] = (CutNode){
        r.x, r.y, r.w - kerf, r.h - kerf, what, false, false, -1, -1 };
    return w->plan->n_nodes++;
}

static int write_plate(Writing *w, Room r, int plate);

/* Cuts a room in two. */
static int write_cut(Writing *w, Room r, bool upright, int64_t size,
                     int plate, int rest) {
    Room a = r, b = r;
    int  node = write_node(w, r, NODE_CUT), first;

    if (upright)
        a.w = size, b.x += size, b.w -= size;
    else
        a.h = size, b.y += size, b.h -= size;
    first = write_plate(w, a, plate);
    w->plan->nodes[node].upright = upright;
    w->plan->nodes[node].first   = first;
    w->plan->nodes[first].next   = write_plate(w, b, rest);
    return node;
}

/* A part in the corner of a room, coded as -2 - 2 * part - turned. */
static int write_part(Writing *w, Room r, int coded) {
    const SheetJob  *job = w->m->job;
    int              part = (-2 - coded) / 2, turned = (-2 - coded) % 2;
    const SheetPart *p = &job->parts[part];
    int64_t          wide = (turned ? p->h : p->w) + job->kerf;
    int64_t          high = (turned ? p->w : p->h) + job->kerf;
    int              node;

    if (r.w > wide)
        return write_cut(w, r, true, wide, coded, -1);
    if (r.h > high)
        return write_cut(w, r, false, high, coded, -1);
    node = write_node(w, r, part);
    w->plan->nodes[node].turned = turned;
    w->left[part]--;
    return node;
}

/* A use of the plate that is still to be done; a part too many is none. */
static Use *next_use(Writing *w, int plate) {
    for (int i = 0; i < w->m->uses.n; i++) {
        Use *u = &w->m->uses.at[i];
        if (u->plate == plate && u->copies > 0
            && (u->part < 0 || w->left[u->part] > 0)) {
            u->copies--;
            return u;
        }
    }
    return NULL;
}

static int write_plate(Writing *w, Room r, int plate) {
    const Model *m = w->m;
    Use         *u;
    int          place;

    if (plate < -1)
        return write_part(w, r, plate);
    u = plate < 0 ? NULL : next_use(w, plate);
    if (!u)
        return write_node(w, r, NODE_FREE);
    if (u->part >= 0)
        return write_part(w, r, -2 - 2 * u->part - u->turned);
    place = m->plates.at[u->first];
    return write_cut(w, r, u->upright,
                     u->upright ? m->x.at[place / m->y.n]
                                : m->y.at[place % m->y.n],
                     u->first, u->second);
}

static SheetPlan write_plan(Model *m) {
    const SheetJob *job  = m->job;
    SheetPlan       plan = { 0 };
    Writing         w    = { m, &plan, NEW_N(m->c, int, job->n_parts), 64 };
    int             n    = 0;

    for (int k = 0; k < job->n_kinds; k++)
        n += m->bought[k];
    for (int i = 0; i < m->uses.n; i++)
        w.room += 8 * m->uses.at[i].copies;
    w.room += n;
    for (int i = 0; i < job->n_parts; i++)
        w.left[i] = job->parts[i].count;
    plan.nodes = NEW_N(m->c, CutNode, w.room);
    plan.roots = NEW_N(m->c, int, n + 1);
    plan.kinds = NEW_N(m->c, int, n + 1);
    for (int k = 0; k < job->n_kinds; k++) {
        for (int i = 0; i < m->bought[k]; i++) {
            Room r = { 0, 0, job->kinds[k].w + job->kerf,
                       job->kinds[k].h + job->kerf };
            plan.kinds[plan.n_sheets]   = k;
            plan.roots[plan.n_sheets++] = write_plate(&w, r, m->roots[k]);
            plan.cost += job->kinds[k].price;
        }
    }
    for (int i = 0; i < job->n_parts; i++)
        plan.missing += w.left[i];
    return plan;
}

SheetPlan plate_model(Ctx *c, const SheetJob *job, int ms, bool *proven) {
    Model    *m    = NEW(c, Model);
    SheetPlan plan = { 0 };
    glp_prob *lp;

    m->c      = c;
    m->job    = job;
    m->bought = NEW_N(c, int, job->n_kinds);
    m->roots  = NEW_N(c, int, job->n_kinds);
    *proven   = false;
    if (!find_points(m) || !find_uses(m))
        return plan;
    lp = model_of(m);
    if (solve(m, lp, ms, proven))
        plan = write_plan(m);
    glp_delete_prob(lp);
    return plan;
}
