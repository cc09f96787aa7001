/* The values of all rectangles of one sheet; see guillotine_raster.c. */
#ifndef PLAN_GUILLOTINE_RASTER_H
#define PLAN_GUILLOTINE_RASTER_H

#include "plan/guillotine_internal.h"

typedef struct {
    int64_t *at;             // places where a cut may be, from 0 up
    int      n;
    int     *rest;           // [i * n + a]: what the cut at a leaves of i
} Axis;

typedef struct {
    Axis    x, y;
    double *value;           // [i * y.n + j]
    long    work;            // steps that filling it takes
} Raster;

/* False: it would take more than `steps`. All points (0), the reduced ones
 * (-1), or about so many, which is not exact. */
bool raster_init(Ctx *c, const Rects *r, int kind, int points, long steps,
                 Raster *raster);
/* Fills it; the value of the whole sheet. Whole numbers below 2^53 give an
 * exact result. */
double raster_values(const Rects *r, Raster *t, const double *values);
/* How the sheet of that value is cut. */
void raster_code(Ctx *c, const Rects *r, const Raster *t,
                 const double *values, Code *code);

#endif
