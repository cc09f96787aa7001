/* geom -- points, curves, solids, clipping, hidden lines; knows no parts.
 *
 * Lengths are millimeters (doubles), angles radians unless the name says
 * otherwise. 2D shapes are y-up; loops of a Shape are closed, outer loops
 * run counter-clockwise, holes clockwise.
 */
#ifndef GEOM_GEOM_H
#define GEOM_GEOM_H

#include "base/base.h"
#include "geom/vec.h"

/* ---- Curves and shapes ---- */

typedef enum { SEG_LINE, SEG_ARC, SEG_CUBIC } SegKind;   // ORDER SEG

/* A piece of a path from a to b. An arc has a center and a signed sweep
 * (radians, positive counter-clockwise); a cubic has two controls. */
typedef struct {
    SegKind kind;
    V2      a, b;
    V2      center;
    double  sweep;
    V2      c1, c2;
} Seg;

typedef LIST(Seg) Loop;
typedef LIST(V2)  Ring;   // straight-edged loop, last point joins the first

typedef struct { LIST(Loop) loops; } Shape;

Seg  seg_line(V2 a, V2 b);
Seg  seg_arc(V2 a, V2 b, V2 center, double sweep);
/* The arc from a to b that rises by `rise` to the left of a->b (negative:
 * to the right). Radius = c*c/(8h) + h/2 (trade-figures 4.4). */
Seg  seg_arc_rise(V2 a, V2 b, double rise);
Seg  seg_reverse(Seg s);   // from b to a
void loop_line_to(Ctx *c, Loop *l, V2 from, V2 to);
Shape shape_rect(Ctx *c, V2 min, V2 max);
Shape shape_circle(Ctx *c, V2 center, double radius);
/* Opening of `width` about x = center, straight up from y = base to the
 * spring line, then an arch of `rise`. Elliptical: cubics within 1e-4 of
 * the ellipse. Pointed: two equal arcs. Semicircular is segmental with
 * rise = width/2. */
typedef enum { ARCH_SEGMENTAL, ARCH_ELLIPTICAL, ARCH_POINTED } ArchKind;
Shape shape_arch(Ctx *c, ArchKind kind, double center, double base,
                 double spring, double width, double rise);
Shape shape_move(Ctx *c, Shape s, V2 by);
Shape shape_turn(Ctx *c, Shape s, V2 about, double angle);
Shape shape_mirror_x(Ctx *c, Shape s, double at_x);   // x -> 2*at_x - x
double shape_area(Shape s);        // exact for lines and arcs
double shape_perimeter(Shape s);
Box2   shape_box(Shape s);         // curves included
bool   shape_has_curves(Shape s);
/* Booleans keep arcs as arcs and cubics as cubics: shapes are flattened to
 * 0.002 mm on a fixed lattice of angles, GEOS works at fixed precision
 * (1e-4 mm), and the edges of the result are given back their curves. */
Shape shape_subtract(Ctx *c, Shape a, Shape b);
Shape shape_intersect(Ctx *c, Shape a, Shape b);
Shape shape_union(Ctx *c, Shape a, Shape b);
/* Cubics become arcs that touch each other, within `tolerance` mm. */
Shape shape_arcs(Ctx *c, Shape s, double tolerance);
/* Grown by a round tool of radius `by` mm that runs along the outline, or
 * shrunk where that is negative: exact lines and arcs; cubics become arcs
 * within 0.002 mm. Corners outside the tool's way are rounded by it. */
Shape shape_offset(Ctx *c, Shape s, double by);
/* What lies where n . p <= d; n is a unit. */
Shape shape_keep(Ctx *c, Shape s, V2 n, double d);
/* Straight-edged rings within `sagitta` mm of the shape. Flattening an arc
 * gives the same points wherever the arc begins and ends (lattice of
 * angles), so neighbors that share an arc share its facets. */
typedef LIST(Ring) Rings;
Rings shape_rings(Ctx *c, Shape s, double sagitta);
/* Convex pieces, counter-clockwise, that fill the rings (an outline with
 * its holes) and do not overlap. */
Rings rings_convex(Ctx *c, Rings rings);
/* False: *why says what is wrong (crosses itself, zero length, open) and
 * *where is near it. */
bool  shape_valid(Ctx *c, Shape s, const char **why, V2 *where);
/* True if mirrored about its box's middle x (or y) it is itself, curves as
 * curves, as exactly as joined shapes are stored (symmetry.c). */
bool  shape_symmetric(Shape s, bool about_x_middle);

/* Polygons with holes and the point deepest inside. */
typedef struct { LIST(Rings) parts; } Polygons;   // each: outer, holes...
double polygons_area(Polygons p);
/* Center of the largest inscribed circle of the largest polygon; *radius
 * gets its radius. */
V2     polygons_deepest(Ctx *c, Polygons p, double *radius);

/* ---- Solids ---- */

/* Points with dot(n, p) <= d are inside. `curve` > 0 marks the facets of
 * one curved surface: edges between facets of the same curve are smooth
 * and not drawn, unless they are a silhouette. */
typedef struct { V3 n; double d; int curve; } Plane;

/* A convex polyhedron. Faces list vertex indexes counter-clockwise seen
 * from outside. */
typedef struct { Plane plane; LIST(int) vert; } CellFace;
typedef struct { LIST(V3) vert; LIST(CellFace) face; Box3 box; } Cell;

/* A flat face of the finished solid, merged over cells; ring 0 is the
 * outline counter-clockwise from outside, the others are holes. */
typedef LIST(V3) Ring3;

typedef struct {
    Plane plane;
    LIST(Ring3) rings;
    double area;   // mm^2
} Face;

/* A straight edge between two faces (indexes). `smooth`: both faces are
 * facets of one curved surface, or a flat one runs into it without a
 * corner. */
typedef struct { V3 a, b; int face[2]; bool smooth; } Edge;

/* A convex polygon of the surface. */
typedef struct { V3 n; const V3 *at; int corners; } Pane;

/* What was there before any cut less what the cuts took away is the same
 * as the cells. Where that has fewer faces, solid_finish begins with it. */
typedef struct {
    LIST(Cell) cells;   // interior-disjoint convex cells
    LIST(Cell) blank;   // the same before any cut; none: not known
    LIST(Cell) waste;   // taken away from the blank
    LIST(Face) faces;   // set by solid_finish, as are all below
    LIST(Edge) edges;
    LIST(Pane) skin;    // covers all faces
    double     volume;  // mm^3
    V3         centroid;
    Box3       box;
    bool       closed;  // every edge has a face on both sides
    bool       convex;
} Solid;

/* ---- Blocks: what is worked square to its faces (blocks.c) ---- */

/* A corner and the curve number of the edge that begins there. */
typedef struct { V2 p; int curve; } Corner;
typedef LIST(Corner) Corners;
typedef LIST(Corners) CornerLoops;

/* A corner and the upright wall that begins there: n . p <= d inside. */
typedef struct { V2 p, n; double d; int curve; } Wall;

/* An upright prism over a convex outline. */
typedef struct { Wall *p; int n; double z0, z1; Box2 box; } Upright;

typedef LIST(Upright) Uprights;

/* Blocks do not overlap. The rest is room for cutting. */
typedef struct {
    Upright  *at;
    int     n, cap;
    Uprights  blank, waste;   // as in Solid
    int     most, room;
    double *h;
    Wall   *rest, *spare;
} Blocks;

/* The loops of a shape as corners, flattened as by shape_rings: outlines
 * counter-clockwise, holes clockwise. Curve numbers as below. */
CornerLoops shape_outline(Ctx *c, Shape s, double sagitta, int *next_curve);
/* The convex pieces of a shape, flattened as by shape_rings. Curve numbers
 * are given by this call (*next_curve). */
CornerLoops shape_convex_parts(Ctx *c, Shape s, double sagitta,
                               int *next_curve);
Blocks blocks_of(Ctx *c, Shape s, double z0, double z1, double sagitta,
                 int *next_curve);
/* Takes the convex pieces, moved by `by`, away from z0 to z1. Returns the
 * volume that is gone. */
double blocks_take(Ctx *c, Blocks *b, const CornerLoops *parts, V2 by,
                   double z0, double z1);
/* Takes a convex outline away as cells of `out`, to be cut and put back:
 * one prism over `exact` if that is all wood, else what there is inside of
 * `wide`, which may reach a little beyond the wood. */
void   blocks_lift(Ctx *c, Blocks *b, const Corners *exact,
                   const Corners *wide, double z0, double z1, Solid *out);
/* Parts the blocks that meet the box at the height z. */
void   blocks_level(Ctx *c, Blocks *b, Box2 box, double z);
/* A circle of so many facets, on the lattice of angles. */
CornerLoops round_outline(Ctx *c, V2 at, double r, int facets, int curve);
/* The facets in a whole circle: a multiple of 4, at least 16. */
int    circle_facets(double radius, double sagitta);
/* Drills a hole of radius r from `face` to `end`, with a countersink as
 * wide as R at the face and as the hole at `low`; what stays around the
 * cone goes into the solid. False, and nothing done, if there is not wood
 * all around the countersink. */
bool   blocks_sink(Ctx *c, Blocks *b, Solid *s, V2 at, double r, double R,
                   double face, double low, double end, int facets,
                   int *next_curve);
void   solid_add_blocks(Ctx *c, Solid *s, const Blocks *b);

/* A shape pushed along z. */
typedef struct { Shape shape; double z0, z1; } Slab;

/* Adds cells: each slab is split into convex prisms. `sagitta` as in
 * shape_rings. Curve numbers are given by this call (*next_curve). */
void solid_add_slab(Ctx *c, Solid *s, const Slab *slab, double sagitta,
                    int *next_curve);
/* Keeps what lies inside the half-space. */
void solid_cut(Ctx *c, Solid *s, Plane keep);
void solid_cuts(Ctx *c, Solid *s, const Plane *keep, int n);
/* Takes away the convex tool bounded by the planes. */
void solid_subtract(Ctx *c, Solid *s, const Plane *tool, int n);
/* Parts cells at the upright sides of a box around a tool, so that the
 * tool's many sides do not part the whole board. */
void solid_box_in(Ctx *c, Solid *s, Box3 box);
/* The planes of a cylinder's 'tool': axis from p along unit dir over
 * length, n facets from the sagitta, one curve number. */
int  tool_cylinder(Ctx *c, V3 p, V3 dir, double radius, double length,
                   double sagitta, int *next_curve, Plane **planes);
/* Merges cell faces into true faces, finds edges, volume, centroid. */
void solid_finish(Ctx *c, Solid *s);
/* The last part of that: the skin. */
void solid_skin(Ctx *c, Solid *s);

typedef struct {
    bool   any;
    double volume;   // mm^3, of the overlap
    Box3   box;      // world
    double depth;    // least distance that would part the worst pair, mm
} Overlap;

/* Cells deeper than `slack` mm into one another count. */
Overlap solid_overlap(Ctx *c, const Solid *a, const Frame *fa,
                      const Solid *b, const Frame *fb, double slack);
/* Area of faces that lie on each other (planes within `slack` mm), mm^2;
 * *at gets the middle of the contact in the world. Contacts along an edge
 * only (slack band, no area) return 0 with *touch set. */
double solid_contact(Ctx *c, const Solid *a, const Frame *fa,
                     const Solid *b, const Frame *fb, double slack,
                     V3 *at, bool *touch);
/* A plane in which faces of two solids look at each other. */
typedef struct {
    V3     normal;   // from b into a
    V3     at;       // middle of what they share, world
    double area;     // that they share, mm^2
    double gap;      // between them, mm; about 0: they touch
    double share;    // of the smaller of two cells' faces, at best
} Abut;
typedef LIST(Abut) Abuts;
/* Faces that look at each other with a gap of `least` to `most` mm; what
 * they share is wider than the slack. */
Abuts solid_faces(Ctx *c, const Solid *a, const Frame *fa,
                    const Solid *b, const Frame *fb, double least,
                    double most, double slack);
/* As solid_contact, plane by plane. */
Abuts solid_touches(Ctx *c, const Solid *a, const Frame *fa,
                      const Solid *b, const Frame *fb, double slack,
                      V3 *at, bool *touch);
/* A flat patch in which two solids lie on each other, in the world: n
 * looks out of the first into the second, u and v lie in the plane
 * dot(n, p) = d, and `where` is drawn in them. */
typedef struct { V3 n, u, v; double d, area; Polygons where; } TouchPatch;
typedef LIST(TouchPatch) TouchPatches;
/* All of them, largest first. */
TouchPatches solid_patches(Ctx *c, const Solid *a, const Frame *fa,
                           const Solid *b, const Frame *fb, double slack);
/* Of solids that touch along a line only: faces of a that lean on faces of
 * b (the cosine between them is `least` or more), seen square to b. */
TouchPatches solid_leans(Ctx *c, const Solid *a, const Frame *fa,
                         const Solid *b, const Frame *fb, double least,
                         double slack);

/* The stretches of the line p + t * dir (unit) inside of a solid, in
 * order; the normals are those of the faces at their ends. */
typedef struct { double from, to; V3 from_out, to_out; } Stretch;
typedef LIST(Stretch) Stretches;
Stretches solid_along(Ctx *c, const Solid *s, const Frame *f, V3 p,
                      V3 dir);
/* The same into an empty list, to which the caller may have given room:
 * for many lines, few of which pass through more than a few cells. */
enum { FEW_STRETCHES = 16 };   // room enough for most
void solid_along_into(Ctx *c, const Solid *s, const Frame *f, V3 p, V3 dir,
                      Stretches *out);
/* The stretch that holds t. */
bool stretch_at(const Stretches *all, double t, Stretch *out);
/* True if no side of the solid comes within r mm of p, seen square to the
 * axis; faces that lie rather across the axis are no sides. */
bool solid_is_clear(const Solid *s, const Frame *f, V3 p, V3 axis,
                    double r);

/* True if b stands in the way of a moving along unit `dir` from where it
 * stands (exact on convex cells, geometry-notes 1.2). */
bool solid_blocks(Ctx *c, const Solid *a, const Frame *fa,
                  const Solid *b, const Frame *fb, V3 dir);
/* A block with its faces square to the world's axes; and whether one such
 * box stands in the way of another along an axis. */
bool solid_is_square_block(const Solid *s, const Frame *f);
bool block_blocks(Box3 a, Box3 b, V3 dir);
Box3 solid_box(const Solid *s, const Frame *f);

/* ---- Many boxes (box_tree.c) ---- */

typedef struct { int a, b; } BoxPair;   // a < b
typedef LIST(BoxPair) BoxPairs;
/* All pairs of boxes no farther apart than the slack, sorted. */
BoxPairs boxes_near(Ctx *c, const Box3 *boxes, int n, double slack);

/* Boxes of which some stand; none does at first. */
typedef struct BoxTree BoxTree;
BoxTree *box_tree(Ctx *c, const Box3 *boxes, int n);
void box_tree_put(BoxTree *t, int item);
void box_tree_take(BoxTree *t, int item);
bool box_tree_stands(const BoxTree *t, int item);
/* Quick: does b reach into the space that a sweeps along `dir`? Exact along
 * an axis, else it may say yes too often. */
bool box_in_way(Box3 a, Box3 b, V3 dir);
/* A standing item that is in the way of the box along `dir` and that the
 * test confirms, or -1. */
typedef bool BoxTest(int item, void *with);
int  box_tree_blocker(const BoxTree *t, Box3 box, V3 dir, BoxTest *test,
                      void *with);
/* An item near the box that the test takes, or -1; a test that takes none
 * sees all of them. */
int  box_tree_near(const BoxTree *t, Box3 box, double slack, BoxTest *test,
                   void *with);
/* How many bodies it is: a part that a cut has sawn through is several. */
int solid_lumps(Ctx *c, const Solid *s);

/* The surface as triangles, counter-clockwise from outside, that meet edge
 * to edge and share their corners. */
typedef struct { int v[3], face; } Triangle;
typedef struct {
    LIST(V3)       p;
    LIST(Triangle) triangles;
    bool           whole;   // each face is covered by its triangles
} Mesh;
Mesh solid_mesh(Ctx *c, const Solid *s);

/* True if mirroring in its own x, y or z gives the same solid (so that a
 * mirrored copy is the same part). */
bool solid_is_symmetric(const Solid *s, double tolerance);

/* ---- Pictures: hidden-line drawings ---- */

/* Parallel view. `toward` points from the model to the reader (unit). The
 * picture's y axis is the projection of `up`. */
typedef struct { V3 toward, up; } Camera;

V2     camera_project(const Camera *cam, V3 p, double *depth);

typedef struct {
    const Solid *solid;
    Frame        frame;
    int          id;       // the caller's name for it
    bool         fill;     // wants its visible faces as patches
    bool         ghost;    // drawn, hides nothing
    bool         bare;     // hides, its edges are not drawn
} Body;

typedef enum {
    LINE_OUTLINE,    // beyond it lies background or another, farther body
    LINE_CREASE,     // between two visible faces of one body
    LINE_SILHOUETTE, // of a curved surface
    LINE_EXTRA,      // given by the caller (guide lines)
    LINE_STROKE      // given by the caller, strong (a nail)
} LineKind;          // ORDER LINE

typedef struct { V2 a, b; LineKind kind; int id; bool hidden; } Line2;

/* A visible part of a face. `toward` is the cosine between its normal and
 * the direction to the reader; `normal` is in the world. */
typedef struct { Polygons area; int id; V3 normal; double toward; } Patch;

/* A world segment to draw; `strong`: as LINE_STROKE, over all others. */
typedef struct { V3 a, b; int id; bool strong; } Extra;

typedef struct {
    LIST(Line2) lines;
    LIST(Patch) patches;
    Box2        box;
} Picture;

/* Draws bodies as seen by the camera: visible edges (joined where straight
 * on, drawn once where bodies share them), visible parts of the extras,
 * and patches of the bodies that want them. `with_hidden` also gives the
 * hidden pieces of edges (for dashed lines in part drawings). */
Picture picture_draw(Ctx *c, const Body *bodies, int n, const Extra *extras,
                     int n_extras, const Camera *cam, bool with_hidden);
void picture_dump(Buf *out, const Picture *p);

#endif
