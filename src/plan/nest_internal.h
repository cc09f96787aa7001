/* nest_internal -- what the files of the nesting share. */
#ifndef PLAN_NEST_INTERNAL_H
#define PLAN_NEST_INTERNAL_H

#include "plan/nest.h"

/* Points with x * n.x + y * n.y < d lie inside. */
typedef struct { double x, y, d; } Half;

/* The no-fit polygon of two convex pieces: where one must not be put, seen
 * from the other. */
typedef struct { Box2 box; int n; const Half *half; } NoFit;

/* The same for two things in one turn each: one for each two pieces. At the
 * corners one touches the other with two edges, or with a corner. */
typedef struct {
    Box2         box;
    int          n, n_corners;
    const NoFit *part;
    const V2    *corner;
} NoFits;

/* A thing in one of its turns: convex pieces. */
typedef struct { int item, turn; Rings parts; Box2 box; } Form;

typedef struct { int item, form, page; V2 at; bool fixed; } Lying;

/* A nesting under way: things lie on pages, and may overlap. */
typedef struct {
    Ctx   *c;
    double gap;
    Form  *forms;
    int    n_forms;
    int   *first_form;       // of each item
    const NoFits **nofits;   // [of form a] [of form b], NULL: not yet made
    Lying *lying;
    Box2  *hull;             // of each thing, where it lies
    int    n;
    double *weight;          // of each two things, that grows while they
                             // overlap
    double *base;            // the least weight: large things count more
    double *overlap;         // of each two things: depths in all
    double width, height;
    int    pages;
    uint32_t chance;
    long   steps, most;
} Nesting;

/* Makes the forms; nothing lies anywhere yet. */
void nesting_init(Ctx *c, Nesting *s, const NestJob *job);
const NoFits *nesting_nofits(Nesting *s, int a, int b);

/* A number from 0 to below 1, always the same row of them. */
double nesting_chance(Nesting *s);
/* True if the form fits on a page at all. */
bool nesting_fits(const Nesting *s, int form);
/* A place by chance, anywhere. */
void nesting_throw(Nesting *s, int i);
/* Moves things until none overlaps, or `strikes` times `patience` rounds have
 * found nothing better. How much they overlap; the best found lies there. */
double nesting_separate(Nesting *s, int strikes, int patience);
/* Would thing i lie free of all others, in that form there? */
bool nesting_is_free(Nesting *s, int i, int form, int page, V2 at);
/* Puts it there, free or not. */
void nesting_put(Nesting *s, int i, int form, int page, V2 at);
/* Lays all that is not fixed on as many pages as that takes, free of each
 * other, low, or (leftward) to the left (nest_first.c). */
void nesting_lay_all(Nesting *s, int fixed_pages, bool leftward);
/* Lays thing i low on that page, free of what lies there; false: no room. */
bool nesting_lay_on(Nesting *s, int i, int page);
/* Fewer pages, by emptying and filling some; nothing overlaps, before and
 * after, and ever (nest_fill.c). Until there are `least`, or the steps are
 * used. */
void nesting_refill(Nesting *s, int fixed_pages, int least, long steps);

#endif
