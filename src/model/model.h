/* model -- parts, pieces, steps and bills of one design, all in exact
 * quantities and closed solids; everything that can be wrong is found here.
 *
 *     Sizes       *sizes = sizes_new(c);
 *     const Model *m     = model_build(c, design, sizes);
 *
 * A part's own frame: x along the length (with the grain), y across the
 * width, z through the thickness, the show face at z = thickness. The blank
 * is [0, long length] x [0, width] x [0, thickness], "long length" being
 * measured to the long points of both ends. The near edge is y = 0, the far
 * edge y = width; the left end is x = 0.
 * The world: x to the right, y to the back, z up, millimeters.
 */
#ifndef MODEL_MODEL_H
#define MODEL_MODEL_H

#include "design/design.h"
#include "eval/eval.h"
#include "geom/geom.h"
#include "model/fastener.h"

/* ---- What is bought ---- */

typedef enum { FORM_BOARD, FORM_SHEET, FORM_DOWEL } StockForm; // ORDER FORM

typedef struct {
    Quantity length;   // as sold
    Quantity width;    // sheets only; boards: the stock's width
    Quantity price;    // money; poison-free, zero where none was given
    bool     priced;
} Sold;

/* A piece of the stock that the maker has: used before any is bought. */
typedef struct { Quantity length, width; int count; } OnHand;

typedef struct {
    Str       key, wood;
    Str       name;          // as asked for in a store: "1x6", may be empty
    StockForm form;
    Quantity  thickness;     // as used, after planing (dowel: diameter)
    Quantity  width;         // as used; sheets: of the largest sold
    Quantity  bought_thickness, bought_width;   // equal where not prepared
    bool      planed;        // bought thicker than used
    int       leaves;        // > 0: resawn, leaves out of one blank
    bool      from_edges;    // leaves are ripped from a board's edges, else
                             // sawn through its thickness
    Quantity  core;          // what must be left of the blank; or nothing
    double    leaf_step;     // a leaf with its allowance and kerf, mm
    LIST(Sold) sold;         // in file order
    LIST(OnHand) on_hand;    // offcuts that are there already
    Quantity  defects;       // length that knots and splits take of a board
    bool      grainless;     // sheets: a part may lie either way
    double    density;       // kg/m^3 at 12 % moisture; 0: unknown wood
    bool      hard;          // a hardwood, sold by the board foot
    Loc       loc;
} Stock;

typedef struct {
    Str      key, kind, name;
    Str      gauge;          // as written, may be empty
    Quantity length, diameter;   // zero where none was given
    int      pack;           // pieces in one pack, at least 1
    Quantity price;          // of a pack
    bool     priced;
    int      used;           // counted from the steps
    Drive    drive;          // how it goes in, from its kind
    double   shank, head_width;   // mm, from the trade size; 0: not known
    Loc      loc;
} Hardware;

typedef struct {
    Str      key, kind, name;
    int      coats;
    Quantity covers;         // area per volume, 1/mm
    Str      says;           // who says so; may be empty
    Quantity price;
    bool     priced;
    double   area;           // mm^2, one coat, counted from the parts
    double   volume;         // mm^3, all coats
    Loc      loc;
} Finish;

/* ---- Parts ---- */

typedef enum { TO_LONG, TO_SHORT, TO_CENTER } LengthTo;   // ORDER TO

/* The cut of an end (or, as a rip, of an edge). Angles in degrees from a
 * square cut; zero: square. */
typedef struct {
    Quantity miter;       // in the face
    Quantity bevel;       // through the thickness
    LengthTo to;          // how the part's length is measured at this end
    bool     long_near;   // miter: the near edge is the long one
    bool     long_back;   // bevel: the back face is the long one
    bool     any;
    Loc      loc;
} EndCut;

typedef enum {
    FEATURE_HOLE,      // round, through or blind, square to a face or edge
    FEATURE_ARCH,      // opening with an arched head, through
    FEATURE_CUTOUT,    // closed outline, through
    FEATURE_GROOVE,    // rectangle of a depth: groove, dado, rabbet
    FEATURE_NOTCH,     // rectangle, through
    FEATURE_POCKET,    // pocket hole: a slanted counterbored hole
    FEATURE_SCALLOP,   // a profile that repeats along an edge
    FEATURE_CHAMFER,   // edges of a face cut off slantwise
    FEATURE_ROUND      // edges of a face rounded over
} FeatureKind;         // ORDER FEATURE

typedef enum { WHEN_UNSAID, WHEN_BEFORE, WHEN_AFTER } FinishWhen;

typedef enum { PROFILE_SCALLOPS, PROFILE_DENTILS, PROFILE_WAVES }
    EdgeProfile;       // ORDER PROFILE

/* From the first copy of a feature to another one. */
typedef struct { Quantity x, y; } Offset;

typedef enum { SIDE_SHOW, SIDE_BACK, SIDE_NEAR, SIDE_FAR, SIDE_LEFT,
               SIDE_RIGHT } Side;   // ORDER SIDE

/* The edges of a face: straight sides of the blank; all around the
 * outline; what arches and cutouts through the part have made. */
typedef enum { ARRIS_NEAR, ARRIS_FAR, ARRIS_LEFT, ARRIS_RIGHT,
               ARRIS_OUTLINE, ARRIS_ARCH, ARRIS_CUTOUT, ARRISES }
    Arris;             // ORDER ARRIS

typedef struct {
    FeatureKind kind;
    Loc         loc;
    Str         note;          // the author's word for it, may be empty
    Side        side;          // face or edge that it is worked from
    Quantity    x, y;          // center of a hole or pocket; near-left corner
                               // of a groove or notch; arch: x of its center
    Quantity    length, width; // groove, notch: along x and y; arch: width
    Quantity    depth;         // blind hole, groove; zero: through
    Quantity    diameter;      // hole, pocket
    Quantity    spring, rise;  // arch: height of the spring line, rise
    Quantity    base;          // arch: y where the opening begins
    ArchKind    arch;
    Quantity    pitch, drop;   // scallop: one repeat, depth of a scallop;
                               // chamfer: drop is its height on the edge
    Quantity    start;         // scallop: where the first one begins
    int         repeats;       // scallop: whole scallops along the edge
    Quantity    left_over;     // scallop: what is left at the far end
    int         count;         // copies (1: none repeated)
    LIST(Offset) copies;       // `count` of them, the first is nothing
    Quantity    gap;           // copies with equal gaps: that gap, else 0
    Shape       shape;         // first copy, in the part's x and y; empty
                               // for cuts in edges, pockets, chamfers
    const char *word;          // name in the trade of a shorthand, or NULL
    bool        echo;          // told by the note of a feature before it
    bool        crosswise;     // groove: its width runs along x (dado)
    bool        round_ends;    // groove, notch: a slot
    const char *mirrored;      // how its images lie that follow as echoes,
                               // "end for end"; NULL: none
    Quantity    tilt;          // pocket: from the face; hole: from square
    Side        toward;        // hole that leans: where its bottom goes
    bool        from_show;     // pocket: drilled into the show face
    Quantity    sink, sink_angle;   // hole: countersink, 0: none
    EdgeProfile profile;       // scallop
    Quantity    tooth;         // dentils: width of a tooth
    bool        starts_gap;    // finger joint: begins with a gap
    bool        on[ARRISES];   // chamfer, round: by Arris
    Rings       inner;         // along an outline: where it begins in the
                               // face
    Quantity    thick, wide;   // tenon: of its tongue
    Quantity    shoulder[4];   // tenon: at show, back, near, far
} Feature;

typedef struct {
    Str      letter, name;
    int      stock;            // index
    Quantity length;           // as stated, measured as ends[].to say
    Quantity width, thickness;
    Quantity long_length, short_length;   // tip to tip; equal when square
    EndCut   ends[2];          // left, right
    EndCut   edges[2];         // near, far; only bevel is used
    bool     outlined;         // the author gave an outline of its own
    Shape    outline;          // that outline (or the plain rectangle)
    LIST(Feature) features;
    bool     joined;           // edge-joined from strips
    bool     jig;              // not in the finished project
    int      jig_count;        // how many of the jig are made
    int      finish;           // index of its first one, or -1
    int      coat[6];          // finish by Side, or -1: bare
    FinishWhen finish_when;
    bool     fit[3];           // length, width, thickness: to be fitted
    int      cut_with;         // first part of its stack, or -1
    Str      note;
    int      templated;        // -1 never, 0 by rule, 1 always, or:
    int      quantity;         // pieces placed (jigs: jig_count)
    int      mirrored;         // of these, how many are mirror images
    bool     curved;           // has an arc or curve anywhere
    bool     plain;            // square ends and edges, no feature
    Shape    face;             // show face, true size, all cuts made
    Shape    back;             // back face
    const Solid *solid;
    Loc      loc;
} Part;

#define TEMPLATE_HALF 2   // Part.templated: half where it is symmetric
#define TEMPLATE_ONE  3   // must not be joined from several sheets

/* ---- Pieces, steps ---- */

/* Steps in which a temporary piece is there: [from, to). */
typedef struct { int from, to; } Stay;

typedef struct {
    Str   name;        // "left wall", "slip 12", "roof 2 5"
    Str   group;       // "slip": the name that the row was given; "roof
                       // course 2"
    Str   set;         // "roof": all courses; else the group
    int   part;
    Frame frame;       // the part's frame in the world
    bool  mirrored;
    Box3  box;         // of the solid, world
    int   step;        // that adds it, from 0
    bool  temporary;   // a spacer or clamp that leaves again
    LIST(Stay) stays;  // of a temporary piece, in order of steps
    V3    comes;       // a straight way in: from there; zero: it was there
    Loc   loc;
} Piece;

/* A row of slats with equal gaps, in order from its datum. */
typedef struct {
    Str      name;         // of its pieces' group
    int      part, count;
    Quantity gap;
    bool     end_gaps;     // a gap at both ends, too
    Str      from;         // the side that is measured from: "left"
    LIST(Quantity) starts; // datum to the near side of each slat
} Spacing;

/* What a row of slats or a surface of courses works out, for formulas:
 * "slat.gap", "roof.exposure". */
typedef struct {
    Str         owner, image;   // the row and its mirror image, or empty
    const char *name;
    Quantity    value;
    int         part;
    bool        courses;        // else slats
    Loc         loc;            // of its entry in "pieces"
} Worked;

typedef enum {
    SAY_WORDS, SAY_SIZE, SAY_PART, SAY_COUNT
} SayKind;   // ORDER SAY

/* A run of the author's text: plain words, or a figure from braces. */
typedef struct {
    SayKind  kind;
    Str      words;    // SAY_WORDS
    Quantity value;    // SAY_SIZE; SAY_COUNT
    int      part;     // SAY_PART
    Str      source;   // what stood in the braces
    bool     fit;      // is to be fitted on the work
    Loc      loc;
} SayItem;
typedef LIST(SayItem) Say;

typedef enum { SIGNAL_DANGER, SIGNAL_WARNING, SIGNAL_CAUTION,
               SIGNAL_NOTICE } Signal;   // ORDER SIGNAL (ANSI Z535.6)

typedef struct { Signal signal; Say say; } Caution;

typedef struct {
    LIST(int) pieces;   // that are fixed: fasteners go into each of them
    LIST(int) to;       // what they are fixed to
    int  hardware;      // index or -1
    int  count;         // fasteners for each of `pieces`
    bool glue;
    double glue_area;   // mm^2 of contact, when glued
    bool      middle;   // glued in the middle only, as the grain crosses
    LIST(int) through;  // pieces that get the heads; none: by rule
    bool      bays;     // in the middles of equal bays
    int       lines;    // side by side, 0: by rule
    Quantity  from_ends, from_edge;   // 0: by rule
    Loc  loc;
} Fix;

/* What the work itself does not hold yet, but a clamp or a hand does. */
typedef struct {
    LIST(int) pieces;
    Str with;           // "two clamps"
    Loc loc;
} Hold;

typedef struct {
    Str  title;
    LIST(int) add;      // piece indexes, in the order given
    LIST(int) jigs;     // part indexes of jigs used
    LIST(int) with;     // of `add`: temporary, for this step only
    LIST(int) removes;  // temporary pieces that are taken away first
    LIST(Fix) fixes;
    LIST(Hold) holds;
    LIST(Say) say;      // sentences or short paragraphs
    LIST(Caution) cautions;
    V3   comes;         // direction new pieces come from; zero: computed
    bool has_comes;
    V3   view;          // toward the reader; zero: computed
    bool has_view;
    bool tilts;         // what it adds is tilted or bent into its place
    Loc  loc;
} Step;

/* Two pieces that touch, a < b; `edge`: along an edge only. */
typedef struct {
    int    a, b;
    double area;       // mm^2
    V3     at;         // middle of it, world
    bool   edge;
    V3    *normal;     // of the planes in which they touch, from b into a
    int    normals;
} Contact;

/* Two pieces that run into each other, a < b. */
typedef struct {
    int     a, b;
    Overlap shared;    // its volume, its box in the world
    Str     cut_a, cut_b;   // to blame: "the groove of 'rail'"
} Collision;

/* Does the finished project stand by itself? */
typedef struct {
    bool   known;          // there are pieces to ask it of
    bool   stands;         // center of mass within the feet
    bool   density_known;  // of all pieces; else taken as the others'
    V3     center;         // of mass
    double weight_kg, height;   // of the center above the ground
    LIST(V2) feet;         // hull of all that is on the ground, ccw
    double margin;         // center to the nearest edge of that; < 0: outside
    double angle_deg;      // tilt at which it tips, the worst way
    V2     toward;         // that way, unit
} Standing;

/* A place where a part breaks easily, in its x and y. */
typedef enum { WEAK_WEB, WEAK_GRAIN, WEAK_HOLE, WEAK_BETWEEN, WEAK_FLOOR,
               WEAK_WALL } WeakKind;   // ORDER WEAK

typedef struct {
    int      part;
    WeakKind kind;
    Str      what;       // "short grain", "wood under the dado"
    V2       a, b;       // the section: from one outline to the other
    Quantity width, least;   // of the section; what it should be
} Weak;

typedef struct { Str revision, date, what; } Revision;

typedef struct {
    Str  title, code, revision, date, by_name, by_web, terms;
    Str  variant;             // its name, or empty
    Say  about;
    bool     inch;            // the design's own preference
    bool     a4;
    Quantity step_inch, step_mm;   // rounding of printed lengths
    Quantity kerf, end_trim;  // of the saw; of each board end
    Quantity joint;           // extra width of each strip of a panel
    Quantity panel_trim;      // extra length of each
    LIST(Stock)    stocks;
    LIST(Hardware) hardware;
    LIST(Finish)   finishes;
    LIST(Part)     parts;     // in order of letters: A..Z, AA..
    LIST(Piece)    pieces;    // in file order, rows unrolled
    LIST(Spacing)  spacings;  // rows of slats, in file order
    LIST(Worked)   worked;    // in file order
    LIST(Step)     steps;
    LIST(Contact)  contacts;  // a < b, sorted
    LIST(Collision) collisions;   // the same; none once it is built
    bool     order_found;     // the steps are worked out, not given
    bool     hangs;           // need not stand by itself
    LIST(Fastener) fasteners; // by step, fixing and row
    LIST(FastenerRow) rows;
    LIST(Caution)  cautions;  // of the whole design
    LIST(Str)      tools;     // the author's, besides those worked out
    LIST(Revision) revisions; // newest first
    LIST(Say)      finishing; // how to finish
    LIST(Say)      care;
    double   driest, dampest; // moisture of the wood over a year, percent
    bool     seasons_said;    // the author said so
    LIST(Weak) weak;          // fragile places, by part
    Box3     box;             // finished project
    double   weight_kg;       // 0 where a density is unknown
    double   glue_area;       // mm^2
    Sizes   *sizes;
    const Design *design;
} Model;

/* Reads the design into sizes and model. NULL: errors are reported. */
MUST_USE const Model *model_build(Ctx *c, const Design *d, Sizes *sizes);
/* The same, but where pieces run into each other or their joints do not
 * touch (reported, too) still what is known of parts and places. */
MUST_USE const Model *model_placed(Ctx *c, const Design *d, Sizes *sizes);

/* Index or -1. */
int model_find_part(const Model *m, Str letter);
int model_find_piece(const Model *m, Str name);
/* What a row or surface has worked out by this name, or NULL. */
const Worked *model_worked(const Model *m, Str owner, Str name);
/* The places of pieces ("seat.top"), the lengths "A.long", "A.short" and
 * what rows work out, of a finished model, as a hook for formulas; `who` is
 * the Model. */
bool model_place(Ctx *c, void *who, Str name, Loc at, Quantity *value);
/* facts.c */
MUST_USE Standing model_stands(Ctx *c, const Model *m);
const char *way_word(V2 toward);   // "to the front"
double ground_of(const Model *m);  // the lowest z
/* "the groove of 'rail' (for the panel)": what of the piece is where the
 * box in the world is. */
Str feature_to_blame(Ctx *c, const Model *m, int piece, Box3 world);

/* blocking.c: the contacts of each piece, item[begin[i]] to begin[i + 1],
 * as indexes. */
typedef struct { int *begin, *item; } Neighbors;
Neighbors neighbors_of(Ctx *c, const Model *m);
/* Pieces of which some stand; none does at first. `beside`: pieces, by
 * index, that move along; NULL: none. */
typedef struct Blocking Blocking;
Blocking *blocking_new(Ctx *c, const Model *m);
void blocking_put(Blocking *b, int piece);
void blocking_take(Blocking *b, int piece);
bool blocking_stands(const Blocking *b, int piece);
const Neighbors *blocking_near(const Blocking *b);
/* A standing piece in the way of a piece along `dir`, or -1. */
int  blocking_on(const Blocking *b, int piece, V3 dir, const bool *beside);
/* A straight way out past all that stands; `first` is tried first. */
bool blocking_way(const Blocking *b, int piece, const V3 *first,
                  const bool *beside, V3 *dir);
/* Takes out of what stands all of the group that can go one by one, the
 * last first; what is left of the group is stuck. `ways` (by piece) and
 * `out` (in order of going) may be NULL. How many are left. */
typedef LIST(int) Group;
int  blocking_peel(Blocking *b, Group *group, V3 *ways, Group *out);

/* Finds one fit example piece of a part, or -1. */
int model_piece_of(const Model *m, int part);
/* Is the piece there while step is done (that adds it, or a later one)? */
bool piece_stands(const Piece *p, int step);
/* Change in width of a part's piece from the driest to the dampest season,
 * mm, its rings taken as flat-sawn; 0: a sheet, or a wood not known. */
double part_movement(const Model *m, const Part *part);
/* Across the grain at least this wide, a piece's movement is told. */
#define WIDE_PIECE_MM 76.2
/* Where grain crosses, so much in the middle of a joint may be glued. */
#define GLUED_MIDDLE_MM 76.2
/* Fasteners of one fix in all. */
int fix_total(const Fix *f);
/* "3 long point" words: "long point", "short point", "center". */
const char *length_to_name(LengthTo to);
const char *signal_word(Signal s);         // "WARNING"
const char *feature_name(const Feature *f); // "hole", "groove", ...
const char *side_name(Side s);
/* The first part of the stack that a part is cut in; itself if in none. */
int  stack_of(const Model *m, int part);
/* Has the part one finish on all sides (or none)? */
bool finish_is_plain(const Part *part);
/* Area of the faces that look to a side, mm^2. */
double side_area(const Part *part, Side side);
Side   side_of_face(const Face *f);

/* Area of a part's faces that get the finish (-1: none at all), mm^2. */
double finish_area(const Part *part, int finish);

/* Of a part in its own frame, of a piece or the project in the world. */
typedef struct {
    double volume;    // mm^3, summed over the faces
    double weight;    // g at 12 % moisture; 0: the density is unknown
    double surface;   // mm^2
    double side[6];   // of that, by Side that it looks to
    V3     center;    // of mass
} Mass;
Mass part_mass(const Model *m, const Part *part);
Mass piece_mass(const Model *m, const Piece *p);
Mass project_mass(const Model *m);   // without temporary pieces

/* From the end, along the face: where a pocket's bore stops, and where it
 * begins. */
void pocket_reach(const Part *part, const Feature *f, double *from,
                  double *to);
/* How far a copy lies from the first one, in the part's x and y. */
V2 feature_copy(const Feature *f, int copy);
/* A feature is worked from a face, and has a shape in its plane. */
bool feature_in_face(const Feature *f);

void model_dump(Buf *out, const Model *m);

#endif
