/* hidden_internal -- what the files behind picture_draw share.
 *
 * Picture space: x and y are those of the picture, z is the depth, growing
 * toward the reader. All lengths are millimeters.
 *
 *     hidden.c        picture_draw: which edges there are, what is seen
 *     hidden_grid.c   the faces that hide, in a grid; questions to it
 *     hidden_ink.c    pieces that lie on each other become one line
 *     patches.c       the visible parts of faces
 *     patch_cut.c     polygons without convex polygons
 */
#ifndef GEOM_HIDDEN_INTERNAL_H
#define GEOM_HIDDEN_INTERNAL_H

#include "geom/geom.h"

/* Faces that look to the reader less than this (cosine) count as edge-on
 * and hide nothing. */
#define EDGE_ON 1e-5
/* Depths that differ by no more are touching: no hiding. */
#define TOUCHING 1e-3
/* A border of a face hides as the face does; this much beyond, too. */
#define ON_BORDER 1e-6

/* Grid cells take in this much around them, so that a rounded coordinate
 * cannot put an edge and its face into different cells. */
#define AROUND 1e-5

/* Room for n elements, so that a list that will grow long does not move.
 * They are not zeroed: whoever adds one sets all of it. */
#define RESERVE(c, list, n)                                               \
    ((list)->at = arena_take_raw(&(c)->arena,                             \
                                 (size_t)(n) * sizeof *(list)->at),       \
     (list)->cap = (n))

typedef struct { V3 x, y, z; } View;   // axes of the picture, in the world

/* The depth of a flat face at a point of the picture: a*x + b*y + c. */
typedef struct { double a, b, c; } Depth;

/* A side of a convex polygon: the corner where it begins, and the points
 * dot(out, p) <= reach, which lie inside. */
typedef struct { V2 corner, out; double reach; } Border;

/* A convex face that looks at the reader and hides what lies behind. */
typedef struct {
    Box2   box;
    int    body;        // index
    int    border, n;   // its borders in Grid.borders
    Depth  depth;
    double low, top;    // its least and greatest depth
} Occluder;

typedef struct { int cell, face; double top; } Entry;

/* Cells of equal size over all occluders, nx by ny. */
typedef struct {
    LIST(Occluder) faces;
    LIST(Border)   borders;
    Box2           box;
    double         wide, high;   // of a cell
    int            nx, ny;       // 0: nothing hides anything
    LIST(Entry)    entries;      // by cell, then nearest first
    int           *first;        // of each cell; nx*ny + 1 of them
    double        *cover;        // all below this is hidden in the cell
    int           *asked;        // by face: the last question about it
    int            question;
} Grid;

typedef struct { double from, to; } Span;
typedef LIST(Span) Spans;

/* A piece of an edge or an extra, before the ink is made single. */
typedef struct {
    V3       a, b;      // in picture space
    V2       along;     // unit direction of the whole edge, to the right
    int      body;      // index; -1: an extra
    int      id;
    LineKind kind;
    bool     look;      // outline or crease: see what lies beside it
    bool     fill;      // of a body with fill
    bool     hidden;
} Piece;

typedef struct {
    Ctx        *c;          // gets the results
    Ctx         scratch;    // all else,
    Ctx         face;       // but what only one patch needs
    const Body *bodies;
    int         n;
    bool        with_hidden;
    View        view;
    Grid        grid;
    LIST(Piece) pieces;
    Spans       spans;
    void       *geos;       // GEOSContextHandle_t, once it is needed
    Picture     picture;
} Draw;

View  view_of(const Camera *cam);
/* Where a body stands in picture space. */
Frame view_frame(const View *v, const Frame *f);
bool  v3_is_finite(V3 p);
double snap(double mm);     // to 1e-6 mm, never -0
Depth depth_through(V3 normal, V3 p);   // normal.z > 0
double depth_at(Depth d, V2 p);

void grid_add(Draw *d, int body);
void grid_build(Draw *d);
/* The parts of a-b that some face hides, as fractions of its length, in
 * order and apart from each other. `own`: a body whose faces do not, -1:
 * all may. */
void grid_hide(Draw *d, V3 a, V3 b, int own, Spans *hidden);
/* The nearest face at p, or NULL. */
const Occluder *grid_nearest(const Draw *d, V2 p);
/* The cells that a box touches, both ends included; false if none. */
bool grid_range(const Grid *g, Box2 box, int lo[2], int hi[2]);

void ink_lines(Draw *d);

/* A polygon (convex or not, with holes or not) without the convex polygons
 * `covers`, largest first for speed; outlines counter-clockwise. *used gets
 * the covers that take something away. False: *rest is not to be trusted,
 * subtract *used another way. */
bool rings_without(Ctx *c, const Rings *target, bool convex,
                   const Rings *covers, Polygons *rest, Rings *used);

void patches_add(Draw *d, int body);
void patches_end(Draw *d);   // gives back what GEOS holds

#endif
