/* What the files of the guillotine cutter share. Here each part and sheet
 * is larger by one kerf both ways: then n parts in a row need no kerfs
 * between them, and the sum is exact. */
#ifndef PLAN_GUILLOTINE_INTERNAL_H
#define PLAN_GUILLOTINE_INTERNAL_H

#include "plan/guillotine.h"

#define SIZE_NONE INT64_MAX

/* ---- Trees of cuts: guillotine_tree.c ---- */

typedef struct {
    int64_t w, h;
    int     what;
    bool    turned, upright;
    int     up, prev, next, first;
    int     slot;            // NODE_FREE: its place in `frees`
} TreeNode;

/* All sheets of one try. A node that is cut has at least two children, at
 * most one of them free, and none cut in the same direction as itself. */
typedef struct {
    TreeNode *nodes;
    int       n_nodes, spare;      // spare: chain of released nodes
    int      *frees, n_frees;
    double   *free_w, *free_h;     // of each of them
    int      *roots, *kinds, n_sheets;
    int      *left;                // of each part, not yet placed
    int      *used;                // sheets of each kind
    int64_t   cost;
    double    missing;             // area of what is not yet placed
} Tree;

typedef struct {
    const SheetKind *kinds;        // with kerf
    const SheetPart *parts;
    int              n_kinds, n_parts;
    int              pieces;
    int              most_nodes;   // room in a tree
    int64_t          step;         // all prices are multiples of it
} Rects;

Rects rects_of(Ctx *c, const SheetJob *job);

void tree_init(Ctx *c, const Rects *r, Tree *t);
void tree_clear(const Rects *r, Tree *t);
void tree_copy(const Rects *r, Tree *to, const Tree *from);
int  tree_open(const Rects *r, Tree *t, int kind);   // the new free root
void tree_close(const Rects *r, Tree *t, int sheet);
void tree_place(const Rects *r, Tree *t, int free, int part, bool turned,
                bool upright);
/* Built by hand: a sheet, a child, both still plain; what becomes of them. */
int  tree_sheet(const Rects *r, Tree *t, int kind);
int  tree_child(Tree *t, int up, int64_t w, int64_t h);
void tree_free(Tree *t, int node);
void tree_take(const Rects *r, Tree *t, int node, int part, bool turned);
/* Cuts a free node in two; the strip of that size, free. The other one, if
 * asked for, must have some size left. */
int  tree_split(Tree *t, int free, bool upright, int64_t size, int *rest);
/* Takes the node with all its parts out; an empty sheet is closed. */
void tree_remove(const Rects *r, Tree *t, int node);
double tree_largest(const Tree *t);                  // free area
/* To how many sizes strips and parts are sawn. */
int    tree_settings(const Tree *t);

/* ---- One sheet as a list: guillotine_pattern.c ---- */

#define CODE_UPRIGHT (-1)          // else twice the index of a part, and 1
#define CODE_LEVEL   (-2)          // more if it is turned
#define CODE_FREE    (-3)

typedef LIST(int) Code;

/* A copy without free places and without parts of which none is left; what
 * it holds is taken from `left`. */
void code_keep(Ctx *c, const int *code, int *left, Code *kept);
/* A new sheet, unless the list is empty; without free places. */
void tree_put(const Rects *r, Tree *t, int kind, const Code *code);
void tree_code(Ctx *c, const Tree *t, int node, Code *code);

/* ---- Bounds, searches ---- */

/* A way to map sizes; see guillotine_bound.c. */
typedef struct { int64_t size, by; bool counts; } Scale;  // by 0: as it is
typedef struct { Scale x, y; double area; } ScalePair;    // of all parts

double scaled(const Scale *s, int64_t x);
/* The least area that a part can have. */
double scaled_part(const Rects *r, int part, const ScalePair *s);
/* The pairs that leave least room on a sheet; returns their number. */
int    scale_pairs(Ctx *c, const Rects *r, int kind, int most,
                   ScalePair *best);

int64_t bound_area(const Rects *r);
int64_t bound_scales(Ctx *c, const Rects *r, long *steps);
/* Whole sheets with room for the area, and for the long parts of it. */
int64_t bound_mix(Ctx *c, const Rects *r);
/* Sheets to buy: how many of each kind. */
typedef LIST(int *) SheetSets;
/* All sets of sheets with room for the area, from one cost on and below
 * another, to which no sheet could be added. None are listed where they are
 * too many. */
SheetSets list_sets(Ctx *c, const Rects *r, int64_t from, int64_t below);
/* The least that sheets with room for the area cost, from a bound on; at
 * most `below`. */
int64_t bound_sums(Ctx *c, const Rects *r, int64_t bound, int64_t below);
/* Ruin and recreate; `best` holds its best complete tree, if any. */
void    search_sheets(Ctx *c, const Rects *r, int64_t bound, long limit,
                      Tree *best, long *steps);
/* One sheet less than `best` has, where that leaves little to waste: lays
 * blocks of parts without waste; sheets of one kind. */
void    search_blocks(Ctx *c, const Rects *r, long limit, Tree *best,
                      long *steps);
/* Looks for any complete tree with the sheets there are, in a hurry. */
void    search_brisk(Ctx *c, const Rects *r, long limit, Tree *best,
                     long *steps);
/* The same for boards, on which few pieces lie side by side. */
void    search_boards(Ctx *c, const Rects *r, long limit, Tree *best,
                      long *steps);
/* The same cost, but the largest free rectangle larger; or, that being as
 * large as it is, fewer settings. */
void    search_tidy(Ctx *c, const Rects *r, bool settings, long limit,
                    Tree *best, long *steps);
/* Both, and trials with the leftover as a part. */
void    search_leftover(Ctx *c, const Rects *r, long limit, Tree *best,
                        long *steps);
/* All parts in one sheet, tried completely; FIT_YES: see `tree`. */
SheetFit fit_sheet(Ctx *c, const Rects *r, int kind, Tree *tree, long limit,
                   long *steps);

#endif
