/* What the files of plan/ share. */
#ifndef PLAN_PLAN_INTERNAL_H
#define PLAN_PLAN_INTERNAL_H

#include "plan/plan.h"
#include "plan/tile.h"

#define SLACK_MM 1e-6   // that sizes may be too large for their place

/* ---- Between demand.c and cut.c ---- */

/* One way to get a part. */
typedef struct {
    int      strips;        // of a panel; 1: in one piece
    Quantity full;          // all strips but the last come from whole boards
                            // of this width; nothing: all are alike
    int      heads;         // pieces head to tail; 1: each by itself
} Split;
typedef LIST(Split) Splits;

/* The ways of each part that is wanted, the plainest first. NULL: parts fit
 * nothing that is sold, which is reported. */
Splits *demand_ways(Ctx *c, const Model *m);
/* Adds a part's blanks to p->items. */
void demand_items(Ctx *c, const Model *m, int part, const Split *split,
                  Workplan *p);
/* May pieces of the part lie head to tail in one blank? */
bool part_lies_in_heads(const Model *m, const Part *part);
/* Of a part with slanted ends, in the middle of its section. */
double middle_length(const Part *part);
/* What each board loses at its left end. */
Quantity lost_at_end(Ctx *c, const Model *m);

/* ---- Between cut.c, search.c, cutting.c and layout.c ---- */

/* Pieces of one size that one stock has to give. */
typedef struct {
    double length, width;   // as they lie on the board
    int    count;
    LIST(int) items;        // indexes into Workplan.items
} Want;

/* A board or sheet that can be bought. */
typedef struct {
    int    sold;            // index into Stock.sold
    double length, width;   // mm
    double cost;            // money; area where not all have a price
    int    supply;          // how many there are; -1: as many as wanted
    double bought;          // length with what defects take
    int    on_hand;         // index into Stock.on_hand, or -1: bought
} Offer;

/* What is to be cut from one stock. */
typedef struct {
    int    stock;
    bool   turns;           // sheets without grain: pieces may lie across
    LIST(Want)  wants;
    LIST(Offer) offers;
    int    pieces;          // sum of the wants' counts
    double kerf;
    double trim;            // cut away at the left end of each board
    double start;           // x where the first piece may begin
    double coin;            // smallest coins in a unit of cost
} Job;

/* A rectangle of wood: a piece, or a block that is cut up by parallel
 * cuts into further blocks, from its left (or, ripped, its near) side:
 *
 *     +-------+-------+--------+        +--------------+
 *     | first | next  | free   |        |     free     |
 *     |       |       |        |        +--------------+  rip
 *     |       |       |        |        |    first     |
 *     +-------+-------+--------+        +--------------+
 */
typedef struct {
    int    want;            // >= 0: a piece; -1: a block
    bool   rip;             // block: its cuts run along the board
    int    depth;           // 0: the whole board
    double length, width;
    double free_at;         // block: where its free part begins
    int    first, last, next;   // children; -1: none
} Block;

typedef struct { int root, offer; } Board;

/* One whole solution: every board of a job. */
typedef struct {
    Block *blocks;
    Board *boards;
    int    n_blocks, n_boards;
    int   *left, *spare;    // pieces of each want, while cutting_fill works
} Cutting;   // a board's blocks stand together, its root first

/* How one try goes about it. */
typedef enum { FIT_SNUG, FIT_SMALL, FIT_FIRST, FIT_KINDS } Fit;

typedef struct {
    int     *order;         // the wants in the order they are tried
    Fit      fit;           // which free place is taken
    int      offer;         // always this offer; -1: the best for each board
    bool     mixed;         // takes a chance number of each want at first
    uint32_t chance;        // where the chance numbers begin
    int      redo;          // > 0: so many boards of `from` are cut anew,
    const Cutting *from;    // the others stay as they are
} Way;

/* Room for any solution of the job. */
Cutting cutting_new(Ctx *c, const Job *job);
/* Cuts every piece of the job as the way says. `steps` counts the work. */
void cutting_fill(const Job *job, const Way *way, Cutting *cut,
                  long *steps);
double cutting_cost(const Job *job, const Cutting *cut);
/* The largest free rectangle at a board's end or side, mm^2. */
double cutting_leftover(const Cutting *cut);
/* How many different settings of the saw its cuts take: distances from the
 * fence, and from the stop. */
int cutting_settings(const Cutting *cut);
/* Puts the blocks of each board in the order in which they are cut: whole
 * widths first, then the long before the short. */
void cutting_sort(Cutting *cut);
/* True if two boards of one cutting are cut alike. */
bool boards_alike(const Cutting *cut, const Board *a, const Board *b);

/* The next chance number, 0 <= result < below. */
int chance_next(uint32_t *chance, int below);

/* Begins a board; the block of the whole of it. */
int  cutting_board(const Job *job, Cutting *cut, int offer, bool rip);
/* Cuts a piece from the free part of a block. */
void cutting_put(const Job *job, Cutting *cut, int block, int want);

/* The best cutting found for the job; quick: by the fixed ways alone. */
const Cutting *search_cutting(Ctx *c, const Job *job, bool quick);

/* Boards where only length matters: the cheapest cutting, and what none
 * can undercut, in coins. False: the job is not of that kind. Quick: with
 * little work, and without looking for the longest leftover. */
bool board_cutting(Ctx *c, const Job *job, Cutting *cut, int64_t *bound,
                   bool quick);
/* What no cutting of boards can undercut, in coins; looked for until it
 * reaches the goal. */
int64_t board_bound(Ctx *c, const Job *job, int64_t goal);

typedef LIST(const Job *) Ways;   // the blanks of one part, in each way
typedef LIST(Ways) Makings;       // of all parts
/* The same for parts of which each may be made in any of its ways. `job`
 * has the blanks of all ways. 0: not known. */
int64_t board_bound_any(Ctx *c, const Job *job, const Makings *parts,
                        int64_t goal);

/* Writes a cutting into p->layouts, copies merged. */
void layout_write(Ctx *c, const Job *job, const Cutting *cut, Workplan *p);
/* The same for sheets, cut by guillotine.h. Or, where `below` is not 0, with
 * work by `patience`, boards that cost less than it: false if none are
 * found. */
bool layout_sheets(Ctx *c, const Job *job, Workplan *p, int64_t *cost,
                   int64_t *bound, int64_t below, int patience);
/* Puts the cuts of all layouts in the order in which they are made. */
void order_cuts(Ctx *c, const Model *m, Workplan *p);
/* How often the saw is set for them. */
int  cut_settings(const Layout *l);

/* Counts the boards of all layouts. */
void add_buys(Ctx *c, const Model *m, Workplan *p);

/* ---- Templates ---- */

#define FLAT 0.1   // sagitta of outlines that are laid out, mm

/* A piece of a long narrow pattern, in the pattern's coordinates. */
typedef struct {
    Box2  window;            // it shows what lies in it
    Shape takes;             // others keep off this
} StripPiece;
typedef LIST(StripPiece) StripPieces;

/* A pattern before its sheets are known. */
typedef struct {
    Pattern       pattern;   // turned as its tiling has it
    Shape         face;      // of the part (or jig), as it lies
    V2            fold[2];   // ends of the fold, if it is half
    V2            repeat[2];
    const Tiling *tiling;
    bool          strip;     // may be printed in pieces (strips.c)
    StripPieces   pieces;    // as which it is, if any
} Draft;

/* The pattern with its shape turned by so many degrees to the left. */
Pattern draft_pattern(Ctx *c, const Draft *d, double turn);
/* Bounds the number of sheets from below (sheet_place.c). */
void sheets_least(Ctx *c, Workplan *p, const Draft *drafts, int n);
/* Puts all patterns on sheets. */
void sheets_place(Ctx *c, const Model *m, Workplan *p, Draft *drafts,
                  int n);

/* The same, long narrow ones in pieces where that saves sheets. */
void strips_place(Ctx *c, const Model *m, Workplan *p, Draft *drafts,
                  int n);

/* ---- strips.c ---- */

/* How a strip is cut: pieces stand or lie, of full length and a rest, or all
 * of one length. */
typedef enum { STRIP_NOT, STRIP_UP, STRIP_LEVEL, STRIP_UP_EQUAL,
               STRIP_LEVEL_EQUAL, STRIP_WAYS } StripWay;

/* Is it larger than a sheet, but do two of it lie side by side? */
bool strip_may(const Workplan *p, const Draft *d, bool up);

/* Angle gauges and rods; their shapes lie unturned (jigs.c). */
void plan_jigs(Ctx *c, const Model *m, bool alone, Patterns *out);

#endif
