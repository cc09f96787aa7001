/* The linear program over patterns; see guillotine_columns.c. */
#ifndef PLAN_GUILLOTINE_COLUMNS_H
#define PLAN_GUILLOTINE_COLUMNS_H

#include "plan/guillotine_raster.h"

/* A way to cut one sheet. */
typedef struct {
    int  kind;
    int  n;                  // length of the code
    int *code;               // see guillotine_pattern.c
    int *count;              // of each part
} Pattern;

typedef struct {
    Ctx     *c;              // where they live
    Pattern *at;
    int      n, cap;
} Patterns;

typedef struct {
    const Rects *r;
    int          m;          // parts
    bool         proper;     // more of a part than is wanted doesn't count
    double      *inverse;    // of the basis, m x m
    double      *amount;     // of each column of the basis
    double      *price;      // of each column of the basis
    int         *basis;      // pattern, or -1: a surplus
    double      *worth, *rounded, *column, *step, *steady;
    Raster      *rasters;    // of each kind
    double       dearest;    // price of a sheet
    Patterns    *pool;
    double       bound;      // of the cost, proven
    long         work;       // of one look at all patterns
} Columns;

/* False: a look at all patterns of a kind would take more than `most`. */
bool columns_start(Ctx *c, const Rects *r, Patterns *pool, bool proper,
                   int points, long most, Columns *s);
/* Until no pattern helps, or the bound is `enough`, or the steps reach the
 * limit. True: no pattern helps. */
bool columns_solve(Columns *s, double enough, long limit, long *steps);
double columns_cost(const Columns *s);
/* The pool begins with each part alone, in rows. */
void begin_pool(const Rects *r, Patterns *pool);
/* Returns its index. */
int add_pattern(const Rects *r, Patterns *pool, int kind, const Code *code);
/* The bound, and in the pool the patterns that it took. */
int64_t bound_columns(Ctx *c, const Rects *r, int64_t enough,
                      Patterns *pool, long *steps);

/* Plans out of patterns, cheaper than `best`: guillotine_dive.c. */
void search_columns(Ctx *c, const Rects *r, int64_t bound, Patterns *pool,
                    long limit, Tree *best, long *steps);

#endif
