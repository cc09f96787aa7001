/* tile -- lays windows of one size over a shape, as few as it can find.
 *
 *     const Tiling *t = tile_shape(c, rings, 195.9, 259.4, 10);
 *
 * Pure: straight-edged rings (millimeters) in, windows out.
 */
#ifndef PLAN_TILE_H
#define PLAN_TILE_H

#include "geom/geom.h"

/* A window's lower left corner, in the turned shape's coordinates; the
 * nth of its row from the left (or of its column from below). */
typedef struct {
    int row, nth;
    V2  at;
    V2  less, more;          // so far it may go back or on, if all of its
                             // row (up and down: all windows) do the same
} Tile;

typedef struct {
    int    turn;             // degrees that the shape is turned to the left
    double width, height, overlap;   // of the windows
    LIST(Tile) tiles;        // row by row
    int    rows;
    bool   columns;          // "rows" run up, from the right to the left
    int    least;            // no fewer windows are possible, at any angle
    int    detail;           // places where a seam crosses a hole
    int    cuts;             // the same, of the outline
} Tiling;

const Tiling *tile_shape(Ctx *c, Rings rings, double width, double height,
                         double overlap);
/* Bounds on the windows of any covering by windows that lie parallel and
 * overlap so much where they join (tile_bound.c). */
typedef struct TileBound TileBound;
TileBound *tile_bound(Ctx *c, const Rings *rings, double width,
                      double height, double overlap);
/* For shapes turned by so many degrees, half a degree more or less; `enough`
 * is the most that is asked for. */
int tile_bound_at(TileBound *b, int turn, int enough);

#endif
