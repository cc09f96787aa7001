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
typedef struct { int row, nth; V2 at; } Tile;

typedef struct {
    int    turn;             // degrees that the shape is turned to the left
    double width, height, overlap;   // of the windows
    LIST(Tile) tiles;        // row by row
    int    rows;
    bool   columns;          // "rows" run up, from the right to the left
    int    least;            // no fewer windows are possible, at any angle
    int    cuts;             // places where a seam crosses the outline
} Tiling;

const Tiling *tile_shape(Ctx *c, Rings rings, double width, double height,
                         double overlap);
/* A bound on the windows that any covering needs. */
int tile_least(Ctx *c, Rings rings, double width, double height);

#endif
