/* nest -- lays shapes on pages, or on a strip of least length.
 *
 *     NestJob job = { .items = items, .n = n, .width = 190, .height = 277,
 *                     .gap = 8, .steps = 200000 };
 *     const Nest *nest = nest_pages(c, &job);
 *
 * Pure: outlines and a page in, places out; knows no parts. The same job
 * gives the same places: work is counted in steps, not in seconds.
 */
#ifndef PLAN_NEST_H
#define PLAN_NEST_H

#include "geom/geom.h"

/* Where a thing lies: its own (0, 0), turned by turns[turn], stands at
 * `at` (y up from the page's lower left corner). */
typedef struct { int item, turn, page; V2 at; } NestPlace;

typedef struct {
    Rings         rings;     // its outline, and holes
    const double *turns;     // it may be turned by these, radians
    int           n_turns;
    int           count;     // how many of it
    bool          fixed;     // stays at place (turns[0]); others avoid it
    NestPlace     place;
} NestItem;

typedef struct {
    const NestItem *items;
    int    n;
    double width, height;    // of a page; a strip has no width
    double gap;              // least distance between two things
    long   steps;            // of work, at most: one is a place weighed
} NestJob;

typedef struct {
    LIST(NestPlace) places;  // of those not fixed, in order of items
    int    pages;            // 0: something is larger than a page
    int    least;            // no fewer pages are possible (area)
    double width;            // of the strip
    long   steps;            // used
} Nest;

const Nest *nest_pages(Ctx *c, const NestJob *job);
const Nest *nest_strip(Ctx *c, const NestJob *job);

#endif
