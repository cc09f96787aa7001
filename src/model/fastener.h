/* fastener -- nails and screws as bodies: where each one is driven.
 *
 *     for (int i = 0; i < m->fasteners.n; i++) {
 *         const Fastener *f = &m->fasteners.at[i];
 *         ... from f->head along f->axis over f->length ...
 *     }
 *
 * A step's fixing says which pieces are joined and with how many; the
 * places follow from the patch in which the pieces touch. A FastenerRow
 * tells how a maker measures them on the piece that has the heads.
 */
#ifndef MODEL_FASTENER_H
#define MODEL_FASTENER_H

#include "eval/eval.h"
#include "geom/geom.h"

typedef enum {
    DRIVE_NONE,      // a pad, a hinge: goes into no wood, or is not placed
    DRIVE_NAIL, DRIVE_PIN, DRIVE_STAPLE, DRIVE_SCREW, DRIVE_POCKET,
    DRIVE_DOWEL
} Drive;   // ORDER DRIVE

typedef struct {
    int    step, fix;        // Model.steps.at[step].fixes.at[fix]
    int    row;              // in Model.rows
    int    hardware;
    int    from, into;       // pieces: with the head, with the tip
    V3     head, axis;       // in the world; axis runs to the tip, unit
    double length, shank, head_width;   // mm; 0 where not known
    double held, hold;       // mm of it in `from`; that `into` has room for
} Fastener;

/* Fasteners in one joint of two pieces, in one line or several. The
 * lengths are measured on the face of `from` that has the heads. */
typedef struct {
    int      step, fix, hardware, from, into;
    int      first, count;   // in Model.fasteners
    int      lines;          // side by side: 1 or 2
    V3       along;          // of the lines, world
    V3       side;           // across them, to the nearest edge
    Quantity start, end;     // from the ends to the outermost
    Quantity apart;          // middle to middle; 0: not all alike, or one
    Quantity edge;           // from the nearest edge to the nearer line
    Quantity beyond;         // from the other line to the opposite edge
    Quantity between;        // from line to line; 0: one line
    Quantity pilot;          // hole to drill first; 0: none needed
} FastenerRow;

#endif
