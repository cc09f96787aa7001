/* geom_internal -- what the files of geom/ share. */
#ifndef GEOM_INTERNAL_H
#define GEOM_INTERNAL_H

#include "geom/geom.h"

#include <geos_c.h>

#define PI 3.14159265358979323846

/* Booleans of shapes: flattening and grid, mm. */
#define FINE_SAGITTA 0.002
#define SHAPE_GRID   1e-4

/* ---- Flattened curves (path.c) ---- */

/* A straight piece of segment number `seg` (counted over the loops of a
 * shape), from parameter t0 to t1 of it. */
typedef struct { V2 a, b; int seg; double t0, t1; } FlatEdge;
typedef LIST(FlatEdge) FlatEdges;

void   seg_flatten(Ctx *c, const Seg *s, int number, double sagitta,
                   FlatEdges *out);
V2     seg_point(const Seg *s, double t);        // t from 0 to 1
V2     seg_tangent(const Seg *s, double t);      // unit, along the path
double seg_radius(const Seg *s);                 // of an arc
double seg_length(const Seg *s);
double seg_area(const Seg *s);   // between the path and the origin
/* Cosine and sine of k/n of a turn; the same bits for the same angle. */
V2     lattice_direction(int k, int n);

double ring_area(const V2 *p, int n);            // positive: ccw
double ring_perimeter(const V2 *p, int n);
bool   ring_holds(const V2 *p, int n, V2 at);
double line_distance(V2 p, V2 a, V2 b);          // to the piece a-b

/* ---- GEOS (polygon.c): one handle a public call ---- */

/* Polygons with holes from rings: counter-clockwise ones are outlines.
 * Turned about if the largest ring runs clockwise. NULL if a ring is too
 * short. The caller destroys the geometry. */
GEOSGeometry *geos_from_rings(Ctx *c, GEOSContextHandle_t h, Rings rings);
GEOSGeometry *geos_from_polygons(Ctx *c, GEOSContextHandle_t h,
                                 Polygons p);
/* The polygons in g (points and lines are left out), outlines
 * counter-clockwise, holes clockwise. g may be NULL. */
Polygons polygons_from_geos(Ctx *c, GEOSContextHandle_t h,
                            const GEOSGeometry *g);

/* ---- Differences that need no clipping (easy.c) ---- */

/* Around the ends and controls: holds all of it but an arc. */
Box2 seg_corners(const Seg *s);
/* Where a box lies that no part of the outline is near. */
typedef enum { WHERE_NEAR, WHERE_INSIDE, WHERE_OUTSIDE } Where;
Where shape_around(Shape s, Box2 box);
/* a without b, if b is one loop that is clear of the loops of a. */
bool  subtract_easily(Ctx *c, Shape a, Shape b, Shape *out);
/* The same for what two have in common, where `a` is the smaller. */
bool  intersect_easily(Shape a, Shape b, Shape *out);

/* ---- Edges found by place (edge_grid.c) ---- */

/* Flat edges sorted into square cells of the plane. */
typedef struct {
    const FlatEdge *edges;
    V2     origin;
    double cell;
    int    nx, ny;
    int   *begin, *item;   // items of cell i: begin[i] to begin[i + 1]
} EdgeGrid;

EdgeGrid edge_grid(Ctx *c, const FlatEdges *edges, double reach);
/* The edge that p-q runs along within `reach`, or -1. */
int edge_grid_find(const EdgeGrid *g, V2 p, V2 q, double reach);

/* ---- Convex parts of a flat outline (convex.c) ---- */


/* The outline as a polygon of GEOS; *valid: it neither crosses nor touches
 * itself along a line. */
GEOSGeometry *geos_from_corners(Ctx *c, GEOSContextHandle_t h,
                                const CornerLoops *outline, bool *valid);

/* One loop, and convex? */
bool outline_is_convex(const CornerLoops *outline);
/* Corner by corner, three for each triangle. False: something is left
 * over. */
bool triangles_of(Ctx *c, const CornerLoops *outline, Ring *out);
CornerLoops convex_parts(Ctx *c, const CornerLoops *outline);
/* The fallback of convex_parts, which cannot fail: upright strips. */
CornerLoops convex_strips(Ctx *c, const CornerLoops *outline);

/* ---- Cells (cells.c) ---- */

/* Vertices nearer to a plane than this lie on it, mm. */
#define ON_PLANE 1e-7

typedef enum { CLIP_NONE, CLIP_PART, CLIP_ALL } Clip;   // what is left

/* Parts a cell: `near` and `far` (either may be NULL) are set if there is
 * something on both sides. */
Clip   cell_part(Ctx *c, const Cell *cell, Plane keep, Cell *near,
                 Cell *far);
Cell   cell_of_prism(Ctx *c, const Upright *b);
double cell_volume(const Cell *cell, V3 *moment);   // moment is added to
Cell   cell_placed(Ctx *c, const Cell *cell, const Frame *f);
Plane  plane_flip(Plane p);
Plane  plane_placed(Plane p, const Frame *f);
bool   plane_meets_box(Plane p, Box3 box, double slack);
/* Two directions that make a right-handed frame with the unit n. */
void   plane_axes(V3 n, V3 *u, V3 *v);

/* Clips the convex ccw polygon p by the convex ccw polygon q; room for
 * n + m corners in `out`. Returns the number of corners. */
int    convex_clip(const V2 *p, int n, const V2 *q, int m, V2 *spare,
                   V2 *out);

/* ---- Corners on edges (on_edges.c) ---- */

#define ON_EDGE 5e-5   // mm, a corner to a straight edge

typedef struct { double at; int v; } Mark;   // corner v, along a direction
typedef LIST(Mark) Marks;

Mark   mark_of(V3 p, int v);
void   marks_sort(Ctx *c, Marks *m);
/* Those of the corners, sorted, that lie on the edge between corners a and
 * b, in order from a; `at` of each is its distance from a. */
Marks  marks_between(Ctx *c, const Marks *m, const V3 *p, int a, int b);

#endif
