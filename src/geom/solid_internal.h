/* solid_internal -- what the files behind solid_finish share.
 *
 *     solid.c   solid_finish: cell faces in groups of one plane, true faces
 *     cover.c   what of a plane is covered from one side only
 *     walls.c   the same, quick, for upright planes
 *     weld.c    corners, and rings of edges joined and cleaned
 *     edges.c   edges between faces, paired and joined
 */
#ifndef GEOM_SOLID_INTERNAL_H
#define GEOM_SOLID_INTERNAL_H

#include "geom/geom_internal.h"

#define ONE_CORNER  2e-5   // mm

typedef LIST(int) Ints;

/* A face of a cell by corner numbers, counter-clockwise from outside. */
typedef struct {
    Ints   v;
    Plane  plane;
    double area;
    bool   front;   // its normal is that of its group, not the opposite
} Side;

typedef struct { double sort; int side; } Key;   // nearly one for one plane

/* A polygon in a plane, counter-clockwise from outside: ring 0, holes. */
typedef struct { LIST(Ints) rings; int curve; } Patchwork;
typedef LIST(Patchwork) Patchworks;

/* A directed edge; the face, if any, is on its left. */
typedef struct { int a, b, face; } Dart;
typedef LIST(Dart) Darts;

typedef struct { int from, to; } Alias;   // curve numbers found to be one

/* A solid being finished. */
typedef struct {
    Ctx        *c;           // for one plane, then reset
    Ctx        *own;         // for all of the work
    Ctx        *out;         // of the solid
    Solid      *s;
    LIST(V3)    p;           // corners
    LIST(int)   next;        // in the same bucket, -1 at the end
    int        *bucket, buckets;   // a power of 2
    LIST(Side)  sides;
    LIST(Key)   order;       // of the sides, by plane
    LIST(Alias) aliases;
    V3          n, u, v;     // of the plane at work
    double      d;
    LIST(Ints)  rings;       // corners of each ring of each face in order
} Finish;

/* ---- Corners and rings (weld.c) ---- */

/* The number of the nearest corner within `reach`, or of a new one. */
int    corner_number(Finish *f, V3 p, double reach);
V2     corner_flat(const Finish *f, int corner);   // in the plane at work
V3     ring_vector(const Finish *f, const Ints *r);   // twice its area
double ring_length(const Finish *f, const Ints *r);
Ring   ring_flat(Finish *f, const Ints *r);
/* Leaves out corners in the middle of straight edges, and all of a ring
 * that encloses next to nothing. */
Ints   ring_tidy(Finish *f, const Ints *r);

/* T junctions: each dart is split at the ends of the others. */
Darts  split_darts(Finish *f, const Darts *darts);
/* Between the same two corners? And a number that is then the same. */
bool     same_ends(const Dart *a, const Dart *b);
uint32_t dart_key(const Dart *d);
/* Strikes out pairs that run both ways; what is left is sorted by start. */
Darts  one_way_darts(Finish *f, const Darts *darts);
/* The same, once more after splitting what is left. */
Darts  border_darts(Finish *f, Darts *darts);
/* Rings from darts that are sorted by start. `way` is -1 for faces seen
 * from behind. False if some walk does not come back to its start. */
bool   walk_rings(Finish *f, Darts *d, double way, Patchwork *out);
/* Joins patches that share edges, and rings of one patch that run along
 * themselves. *whole is false if that failed; then they are as they
 * were. */
Patchworks weld(Finish *f, Patchworks p, double way, bool *whole);

/* ---- Both sides of a plane (cover.c) ---- */

/* What the n sides, all in the plane at work, cover from the front only
 * and from behind only. */
void   cover_sides(Finish *f, const Side *s, int n, Patchworks *front,
                   Patchworks *back);
bool   rings_opposite(const Ints *a, const Ints *b);

/* ---- Upright planes (walls.c) ---- */

/* The same where all sides are upright rectangles and so is what is left
 * of them. False, and nothing to be trusted, where not. */
bool   cover_walls(Finish *f, const Side *s, int n, Patchworks *front,
                   Patchworks *back);

/* ---- Edges (edges.c) ---- */

/* False if an edge has a face on one side only. Such pieces become edges
 * of their face with itself, so that a picture still shows them. */
bool   find_edges(Finish *f);

#endif
