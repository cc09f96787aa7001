/* What the files stock_cut*.c share. */
#ifndef PLAN_STOCK_CUT_INTERNAL_H
#define PLAN_STOCK_CUT_INTERNAL_H

#include "plan/stock_cut.h"

#include <limits.h>

/* A way to cut one bar: parts that occur in it, and how often. */
typedef struct {
    int  size, n;
    int *part, *count;
} Column;

/* One bar in stock_cut_fill.c: a set of pieces that nothing beats in both
 * length and value; `crumb` tells what was put in last. */
typedef struct { int64_t length, value; int crumb; } Filled;
typedef struct { int part, before; } Crumb;

typedef struct {
    LIST(Filled) now, next;
    LIST(Crumb)  crumbs;
    int         *order;     // parts by value for their length, best first
    int64_t     *need;      // of each size: the value to be beaten
    int         *count, *chosen;   // of each part, for a quick look
    int         *best;      // of each size: crumb, or -1: none beats it
} Fill;

/* A column of the pool that can be used; its entries end before `end`. */
typedef struct { int column, end; double price; } Fitting;
typedef struct { int row, count; } Entry;

/* The linear program in stock_cut_lp.c. Its rows are the parts, then the
 * sizes of which there is a most or a least number. */
typedef struct {
    int     rows, part_rows;   // of all; of parts
    size_t  stride;         // from row to row of the inverse
    int    *part_row, *row_part;
    LIST(Fitting) fits;     // with the entries of all of them in a row, as
    LIST(Entry)   entries;  // they are read again and again
    double *inverse;        // of the basis, row by row
    double *x, *dual, *step, *want;
    int    *basis;          // a column; -1 - row: that row's slack; below
                            // -1 - rows: a missing piece, very dear
    int    *most_row, *least_row;   // of each size, or -1
    bool   *at_most;        // of each row: a most number, not a least
    int     pivots, calls;
    int    *single;         // of each part: 1 + a column of it alone
    int64_t *value;         // duals of the parts, rounded down, in 1/scale
    int64_t *need;          // of each size: what pieces must be worth
    int64_t  bound;         // proven by them, 1/scale
} Master;

typedef struct { int column, copies; } Use;

typedef struct {
    int  *left;             // of each part
    int  *supply;           // of each size, -1: unlimited
    int  *due;              // of each size: at least so many are wanted
    int64_t cost;           // of the bars used so far
    int   n_path;           // how many of Cutter.path lead here
} Rest;

typedef struct Failed Failed;

/* A pattern of the list in stock_cut_cover.c. */
typedef struct {
    Column  col;
    int     end;            // of its entries
    int     most;           // copies that could be of use
    bool    banned, basic;
    double  price, lost;    // reduced cost
    double  step;           // its entry in the row that leaves the basis
    int64_t excess;         // the reduced cost as it was proven, 1/scale
} Choice;

typedef struct {
    double *inverse;        // row by row
    double *x, *dual;
    int    *basis;          // a choice; -1 - row: the surplus of that row
    int     pivots;
} Basis;

/* The linear program in stock_cut_dual.c: rows for the parts, then cuts. */
typedef struct {
    struct Cutter *k;
    const Rest    *from;
    LIST(Choice) all;
    LIST(Entry)  entries;
    int      rows, part_rows;
    size_t   stride;        // from row to row of the inverse
    int     *row_part;
    int    (*cut)[3];       // the three rows of each
    int64_t *need;          // of each row
    int64_t *value;         // of each row, as it was proven, 1/scale
    int     *count;         // for a quick count by rows
    double  *spare;         // room for two matrices
    Basis    now;
    LIST(Basis) kept;       // one for each depth of the tree
    LIST(int)   taken, bans;
    int64_t  spent;         // on what is taken
    Rest     rest;          // what is left then
} Cover;

typedef struct Cutter {
    Ctx *c;
    int  m, n;              // parts, longest first; sizes, shortest first
    int64_t *length;        // with the kerf added
    int64_t *room, *price;
    int     *demand, *supply;
    int64_t  step;          // greatest common divisor of all prices
    int64_t  pieces, dearest;
    int64_t  scale;         // one unit of money in the fixed-point duals
    int64_t  work, most_work;
    LIST(Column) pool;
    LIST(Use)    path, best;
    int64_t  best_cost, bound;
    bool     rough;
    bool     ask;           // only whether there is a plan below best_cost
    bool     found;
    Fill     fill;
    Master   lp;
    Failed **failed;        // hash table of stock_cut_tree.c
    int     *state;         // one state, for looking up
} Cutter;

/* For each size j, the most valuable proper filling if it beats
 * fill.need[j], which is then raised to its value. `value` of each part. */
void fill_best(Cutter *k, const int64_t *value, const int *left);
/* A filling of one size that beats its need, if a short search finds one;
 * its n is 0 where it does not. */
Column fill_quick(Cutter *k, const int64_t *value, const int *left,
                  int size);
/* Writes the filling that ends in a crumb as a column of a size. */
Column fill_column(Cutter *k, int size, int crumb);

bool column_fits(const Column *col, const Rest *rest);
void take_column(Cutter *k, Rest *rest, int column, int copies);
Rest rest_new(Cutter *k);
void rest_copy(const Cutter *k, Rest *to, const Rest *from);
bool rest_empty(const Cutter *k, const Rest *rest);
bool is_tired(const Cutter *k);

/* The cheapest mixture of columns for what is left, new columns being
 * added to the pool until none helps, or, with k->rough, until the bound
 * can rise no more. False: given up, no bound. */
bool lp_solve(Cutter *k, const Rest *rest);
/* No way to cut the rest can cost less; a multiple of the price step. */
int64_t lp_bound(const Cutter *k);

/* to += from * times; n is a multiple of four. */
void add_row(double *restrict to, const double *restrict from,
             double times, size_t n);
/* Spoils `a`. Both are n wide. False: singular. */
bool invert(double *a, double *inverse, size_t rows, size_t n);

/* Finishes the rest by plain rules; keeps the plan if it is cheaper. */
void finish_greedy(Cutter *k, const Rest *rest);
void finish_full(Cutter *k, const Rest *rest);
/* Keeps the path as the best plan if nothing is left and it is cheaper. */
void keep_plan(Cutter *k, const Rest *rest);
/* Follows the linear program down, rounding, until as many ways as `fails`
 * have led nowhere. */
void dive(Cutter *k, const Rest *rest, int *fails);
/* Tries all patterns that can still matter, with few departures from what
 * the linear program likes. True: complete. */
bool tree_search(Cutter *k, const Rest *rest, int budget);
/* Whether there is no plan for the rest below a price, as was noted. */
bool has_failed(Cutter *k, const Rest *rest, int64_t below);
void note_failed(Cutter *k, const Rest *rest, int64_t below);
/* All patterns that can be in a plan cheaper than the best, after lp_solve;
 * false: there are more than `most`. */
bool list_all(Cutter *k, const Rest *rest, int most, Cover *v);
/* Tries all of those. True: complete. */
bool cover_search(Cutter *k, const Rest *rest);

void cover_start(Cover *v);
/* False: it is proven that nothing cheaper than the best plan follows. */
bool cover_solve(Cover *v);
/* What the rest costs at least by these duals, and at most if all is to be
 * cheaper than the best plan; in 1/scale. */
int64_t cover_prove(Cover *v, const double *dual);
int64_t cover_limit(const Cover *v);
/* Adds cuts that the solution breaks; false: none. */
bool cover_cut(Cover *v);
/* Takes a bar of a choice, or with -1 gives it back. */
void cover_take(Cover *v, int choice, int copies);
void cover_keep(Cover *v, int depth);
void cover_put_back(Cover *v, int depth);
/* The same after deciding how many bars of each size there are. */
bool sizes_search(Cutter *k, const Rest *rest);

#endif
