/* plan -- how the model is made: cutting layouts, template sheets, the
 * views of each step.
 *
 *     const Workplan *plan = plan_work(c, model);
 */
#ifndef PLAN_PLAN_H
#define PLAN_PLAN_H

#include "model/model.h"

/* ---- Cutting ---- */

/* One thing to be cut from a board: a part, one strip of an edge-joined
 * part, a blank that several leaves are resawn from, or one that pieces with
 * slanted ends are cut from head to tail. mm. */
typedef struct {
    int      part;
    int      strip;         // 0: whole part; else strip 1..strips
    int      strips;        // of how many, 0: not joined
    int      leaves;        // resawn blank: leaves wanted from it, else 0
    int      heads;         // pieces head to tail in it, else 0
    Quantity length, width; // as cut
    int      count;         // how many of this item in all
} CutItem;

/* How a panel is made up: joints, from its near edge. */
typedef struct { int part; LIST(Quantity) joints; } Panel;

/* How each second of the pieces lies that are head to tail in a blank, the
 * first being show face up, its left end to the left. */
typedef enum {
    HEADS_NOT,              // each lies in a blank of its own
    HEADS_ALIKE,            // as the first: its ends are parallel
    HEADS_END_FOR_END,      // turned end for end, show face up
    HEADS_FACE_FOR_FACE,    // turned over, each end where it was
    HEADS_OVER              // end for end and show face down
} HeadTurn;

HeadTurn heads_turn(const Part *part);
/* Does one setting of miter and tilt do for both ends? */
bool   ends_same_angles(const Part *part);
/* Where the i-th piece lies in its blank, from the blank's left end to the
 * left tip of the piece. mm. */
double head_at(const Part *part, double kerf, int i);
/* The same to its left or right end at a place of the blank: y from its near
 * edge, z up from its lower face. */
double head_end(const Part *part, double kerf, int i, bool right, double y,
                double z);
/* A blank for so many. */
double heads_length(const Part *part, double kerf, int heads);
/* Of the four edges along the part, between its ends. */
double longest_edge(const Part *part);

typedef struct {
    int    item;            // index into Workplan.items
    double x, y;            // near-left corner on the board
    double length, width;   // along and across the board
    bool   turned;          // sheets: length runs across
} Placed;

/* One cut of the saw, in order. A crosscut runs along y at x = at, a rip
 * along x at y = at, over [from, to]; the kerf takes [at, at + kerf]. What
 * is cut up reaches from `near` to `far` along the saw's other way, and the
 * fence or the stop stands `setting` away from the blade. */
typedef struct {
    bool   rip;
    double at, from, to;
    double near, far;
    double setting;         // at - near; or far - at - kerf, where the wood
                            // is turned to measure what lies beyond the cut
    bool   small;           // what is held is too small for bare hands
    bool   narrow;          // what is ripped is too narrow for bare hands
} Cut;

typedef struct { double x, y, length, width; } Leftover;

/* One way a board or sheet is cut, and how many are cut like it. */
typedef struct {
    int    stock, sold;     // indexes
    double length, width;   // of the board as bought, mm
    int    copies;
    LIST(Placed)   placed;
    LIST(Cut)      cuts;    // in order
    int    strips_at;       // resawn stock: after so many cuts its strips
                            // are sawn into leaves
    bool   small_strips;    // one of which is too short for bare hands
    LIST(Leftover) leftovers;   // rectangles of 50 mm and more both ways
    double used;            // share of the board's area, 0..1
    bool   on_hand;         // `sold` is an index into Stock.on_hand
} Layout;

typedef struct { int stock, sold, count; Quantity cost; } Buy;

/* What is known of the price of all boards of one stock. */
typedef struct {
    int      stock;
    bool     priced;        // else cost and bound are areas, mm^2
    bool     proven;        // no cutting of these blanks is cheaper
    bool     choice;        // proven for these blanks, others being possible
    Quantity cost, bound;   // no cutting is cheaper than the bound
    Quantity waste;         // what the wood costs that is in no part
} Proof;

/* ---- Templates ---- */

/* What the program adds to the parts' templates. */
typedef enum { JIG_NONE, JIG_GAUGE, JIG_ROD, JIG_DEPTH } JigKind;

typedef LIST(Quantity) RodMarks;

/* The part's show face as it is printed: whole, or the left half up to a
 * fold line at the middle of the length; turned to the left by any angle. */
typedef struct {
    int    part;            // -1: a jig that the program adds
    JigKind  jig;
    Str      title;         // of a jig
    Quantity angle;         // gauge: from square; of a depth: that depth
    RodMarks marks;         // rod: from its left end
    bool   half;
    double turn;            // degrees
    Shape  shape;           // mm, lower left corner of its box at 0, 0
    V2     origin;          // the part's (0, 0) in the same coordinates
    V2     fold[2];         // half: ends of the fold line
    int    repeats;         // > 0: one end and one of so many repeats of a
                            // profile, up to `fold`, which is moved to
    V2     repeat[2];       // where the repeat began: ends of that line
    bool   right;           // repeats: the right end, not the left
    int    columns, rows;   // sheets; 1 x 1: whole on one sheet
    int    first_sheet;     // index into sheets
} Pattern;
typedef LIST(Pattern) Patterns;

/* A point, or a shape, of the part in the pattern's coordinates. */
V2    pattern_point(const Pattern *t, V2 v);
Shape pattern_shape(Ctx *c, const Pattern *t, Shape s);

/* A pattern, or a piece of it that a window shows, on one sheet. */
typedef struct {
    int   pattern;
    V2    at;               // pattern's (0,0) in the sheet's window, mm, y up
    Box2  window;           // of the sheet's window: what shows it
    Str   name;             // of a piece: "C-B2"
    int   column, row;      // from 0, left to right, bottom to top; rows (or
                            // columns) may be shifted against each other
} OnSheet;

/* "T3", "C-B2". A sheet that is one window of a pattern has that one first;
 * others may share it. Strips lie in pieces on shared sheets. */
typedef struct { LIST(OnSheet) on; Str name; } Sheet;

#define ROD_HEIGHT    22.0  // of a rod's strip, mm
#define SHEET_MARGIN  10.0  // around a sheet's window, mm
#define SHEET_OVERLAP 10.0  // of neighboring sheets, mm
#define SEAM_LEAST    36.0  // length of a seam that has two marks, mm
#define SHEET_GAP      8.0  // between patterns that share a sheet, mm

/* ---- Views ---- */

typedef struct {
    int  part;              // the letter to show
    int  count;             // pieces of it that are new in this view
    V2   at;                // deep inside its largest visible patch
    bool seen;              // false: hidden in this view
} Anchor;

/* A fastener of the step, drawn where it goes. */
typedef struct {
    int  fastener;          // in Model.fasteners
    bool mark;              // only its place: one of many, or seen end on
    bool hidden;            // others of its row are seen
    V3   at;                // where it goes in
    V3   head, tip;         // drawn from here to here, before its hole
} Driven;

typedef struct View View;
struct View {
    Camera  camera;
    Picture picture;        // mm of the world, in the picture's plane
    LIST(Anchor) anchors;   // one for each part letter wanted
    LIST(Driven) driven;    // fasteners that are seen
    LIST(int) fresh;        // piece indexes that are new (drawn strong)
    double  turned;         // degrees that the reader has walked around since
                            // the step before, to the right positive
    bool    below;          // now looks from below
    int     copies;         // the step makes so many of what is drawn
    bool    close;          // shows only the surroundings of the new pieces
    const View *detail;     // a small joint, cut out as a disc; or NULL
    V2      detail_at;      // where it is in this picture
    double  detail_radius;  // of the disc, mm of the world
    int     detail_times;   // it is drawn so many times as large
};

typedef struct Workplan {
    LIST(CutItem) items;
    LIST(Panel)   panels;   // edge-joined parts
    LIST(Layout)  layouts;  // by stock, longest first
    LIST(Buy)     buys;     // by stock, as to be bought
    LIST(Proof)   proofs;   // one for each stock that is cut
    Patterns      patterns;
    LIST(Sheet)   sheets;
    double        sheet_w, sheet_h;   // a sheet's window; 0: not planned
    int           shared_sheets;      // named T1, T2 ...
    int           sheets_least;       // fewer are not possible (tile_bound.c)
    View          cover;    // finished project
    View          three[3]; // front, top, right side
    LIST(View)    steps;    // one for each step, exploded
    LIST(View)    parts;    // one for each part: small picture of it
} Workplan;

/* All but template sheets. NULL: errors are reported (a part that fits no
 * board, ...). */
MUST_USE const Workplan *plan_work(Ctx *c, const Model *m);

/* Some of the stages, where no more is wanted. Without views there are empty
 * ones: pages can be laid out, and their pictures are blank. */
enum {
    PLAN_CUTS    = 1,
    PLAN_PROJECT = 2,    // the finished project, and three views of it
    PLAN_PARTS   = 4,    // a view of each part
    PLAN_STEPS   = 8,    // of each step, seen on from where the last was
    PLAN_ALL     = 15
};
MUST_USE const Workplan *plan_stages(Ctx *c, const Model *m, int stages);

/* The same plan with template sheets on paper of this size, mm. */
const Workplan *plan_on_paper(Ctx *c, const Model *m, const Workplan *old,
                              double width, double height);

/* The same, on the shortest piece of a roll so wide that all patterns fit on
 * (several, as long as the longest that is allowed, where they do not). */
const Workplan *plan_on_roll(Ctx *c, const Model *m, const Workplan *old,
                             double width);

/* What each stage adds. */
MUST_USE bool plan_cuts(Ctx *c, const Model *m, Workplan *p);
void plan_sheets(Ctx *c, const Model *m, Workplan *p, double width,
                 double height);   // of the paper
void plan_views(Ctx *c, const Model *m, Workplan *p);   // of all kinds
void plan_project_views(Ctx *c, const Model *m, Workplan *p);
void plan_part_views(Ctx *c, const Model *m, Workplan *p);
void plan_step_views(Ctx *c, const Model *m, Workplan *p);

/* Board feet by the nominal rule: thickness (at least 1 in) x width x
 * length / 144, inches (trade-figures 2). mm in. */
double board_feet(double thickness_mm, double width_mm, double length_mm);

/* Of one board that is sold, by its size as bought; 0: not boards. */
double stock_board_feet(const Stock *stock, const Sold *sold);

/* What of a stock's boards goes into jigs, 0..1 of the area bought. */
double jig_share(const Model *m, const Workplan *p, int stock);
/* And what is left over in pieces that are large enough to keep. */
double kept_share(const Workplan *p, int stock);
/* Of all joints of edge-joined panels, mm^2. */
double panel_glue_area(const Model *m, const Workplan *p);

/* True if a template is printed for the part. */
bool part_has_template(const Part *part);

void plan_dump(Buf *out, const Model *m, const Workplan *p);

#endif
