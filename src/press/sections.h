/* sections -- the parts of the booklet, in the order they are bound. Each
 * begins its own pages and notes in p->refs where things stand. */
#ifndef PRESS_SECTIONS_H
#define PRESS_SECTIONS_H

#include "press/press_internal.h"

void press_cover(Press *p);
void press_contents(Press *p);
void press_start(Press *p);
void press_safety(Press *p);
void press_shopping(Press *p);
void press_cutting(Press *p);
void press_part_table(Press *p);
void press_part_drawings(Press *p);
/* Strips with the marks of rows of slats, after the part drawings. */
void press_rods(Press *p);
double rods_height(const Press *p);   // 0: none
const char *sides_to(Str from);       // "left" -> "left sides"
/* Lines over cut wood. */
void draw_hatching(Press *p, Shape s, const Place *pl);
void press_steps(Press *p);
void press_finish(Press *p);
void press_sheets(Press *p);
void press_sheets_alone(Press *p);   // without the page before them
void press_back(Press *p);

/* Its drawing with all sizes, at p->y. */
void part_drawing(Press *p, int part);
/* A step's exploded drawing with its letters. */
void step_drawing(Press *p, int step, Box2 frame);
/* One of the three views with overall sizes, at a scale; `at`: the page's
 * place of its lower left corner. */
void sized_view(Press *p, int view, V2 at, double scale);
/* Its cuts that the outline of the face does not show. */
/* Its show face, and the bevels beside or behind it. part_outline.c */
void draw_part_outline(Press *p, const Part *part, const Place *pl);
void draw_part_cuts(Press *p, const Part *part, const Place *pl);
/* What the drawing of a part tells (part_sizes.c). Places along an axis are
 * mm from the part's corner. */
typedef enum { ALONG_X, ALONG_Y, ALONG_Z, SIZE_OTHER } SizeAxis;
/* The face; the near edge, show face up; the right end, the same. */
typedef enum { VIEW_FACE, VIEW_EDGE, VIEW_END } SizeView;   // ORDER SIZEVIEW
typedef struct {
    SizeAxis axis;
    double   from, to;    // places that it joins
    Quantity value;
    Str      source;
    SizeView view;        // running: where it stands
    V2       at;          // running: the place in that view,
    V2       led;         // and where the line to its figure begins
    bool     running;     // a running size beside the drawing
    bool     note;        // told by a cut's note
    bool     printed;     // false: told for another copy already
    int      feature;     // -1: of the whole part
    bool     reference;   // in brackets: follows from the others
} PartSize;
typedef LIST(PartSize) PartSizes;
PartSizes part_sizes(Press *p, const Part *part);
/* Does a running size stand left of its view, or above it? */
bool size_to_left(const Part *part, const PartSize *s);
bool size_above(const Part *part, const PartSize *s);
/* Where a copy of a cut lies along the view of the edge or of the end, from
 * the left. */
typedef struct { double from, to; } Along;
Along cut_along(const Feature *f, int copy, SizeView view);
/* The view besides the face that shows how deep a cut is, or VIEW_FACE. */
SizeView feature_depth_view(const Part *part, const Feature *f);
/* Is each repeat of a profile dimensioned? */
#define FEW_REPEATS 16
bool profile_is_run(const Feature *f);
/* The view of the near edge (or the right end) of a part, with its depths;
 * `at`: its lower left corner on the page. part_views.c */
bool   view_is_needed(const Part *part, SizeView view);
/* `shown`: so much (mm of the part) of both ends, the middle left out; 0:
 * all of it. `face`: the scale of the face. */
typedef struct { double scale, shown; } ViewPlan;
ViewPlan view_plan(const Part *part, SizeView view, double face);
Place    view_place(const Part *part, SizeView view, const ViewPlan *plan,
                    V2 at, bool high);   // of its low or high end
void   draw_part_view(Press *p, const Part *part, const PartSizes *sizes,
                      SizeView view, V2 at, const ViewPlan *plan,
                      double face);
/* "scale 1 : 2.5" */
void   say_scale(Press *p, Para *para, double scale);
double neat_scale(double most);   // the next lower scale of a short series
/* Labels on leaders, put where nothing drawn since mark `first` stands, and
 * below `top`. room.c */
typedef struct {
    V2     tip;
    double clear;         // the leader begins so far from it
    V2     way;           // where the label is best, page
    Para   label;
} Callout;
typedef LIST(Callout) Callouts;
void draw_callout(Press *p, int first, double top, const Callout *callout);
/* The labels of a part's face, and of the slanted ends or edges in the view
 * at `at`; draws their angles and the center lines of holes. */
void label_face(Press *p, const Part *part, const Place *pl, Callouts *out);
void label_bevels(Press *p, const Part *part, SizeView view,
                  const ViewPlan *plan, V2 at, Callouts *out);
/* Nothing drawn since mark `first` of the page lies in the box. */
bool page_is_free(Press *p, int first, Box2 box);
/* How a rectangle lies in the part along x or y. */
typedef enum { REACH_THROUGH, REACH_EDGE, REACH_INSIDE } Reach;
Reach    feature_reach(const Part *part, const Feature *f, bool y);
/* How much of it is in the part. */
Quantity feature_extent(Ctx *c, const Part *part, const Feature *f, bool y);
#define FEW_COPIES 8
bool     note_tells_gap(const Feature *f);
Quantity told_gap(const Feature *f);   // then
Quantity arch_radius(const Feature *f);
/* Is segment i an arc whose radius no arc before it has? */
bool     radius_is_new(Shape s, int loop, int i);
bool     radius_is_implied(const Seg *arc);
/* One line about a cut: "4 × hole ⌀ 3/8 in, through". */
Para feature_note(Press *p, const Part *part, const Feature *f);
/* "traced from the template, page 35". */
void say_traced(Press *p, Para *para, int part);
/* "left end beveled 30° …", or "square". */
void say_ends(Press *p, Para *para, const Part *part);
/* What a step's page says besides the author: gaps of slats, pieces that
 * are taken away, sizes to fit, finish that goes on first. */
typedef LIST(Para) Notes;
Notes step_notes(Press *p, const Step *step, int index);
/* Rows of fasteners that a reader cannot tell apart, and where they go
 * (row_words.c): "1 in from each end, 4 in apart, 3/8 in from both edges". */
typedef LIST(int) RowList;   // indexes into Model.rows
bool   rows_alike(const Press *p, const FastenerRow *a, const FastenerRow *b);
void   say_rows(Press *p, Para *para, const RowList *rows);
void   say_single(Press *p, Para *para, const RowList *rows);
Figure row_figure(Press *p, Quantity q);
/* Bits and movements are small: to sixty-fourths or tenths of a mm. */
Figure fine_figure(Press *p, Quantity q, Str source);
/* Where the fasteners of a step go, in words. */
void note_fasteners(Press *p, int step, Notes *notes);
/* A fragile place of a part and how to handle it. */
Para weak_note(Press *p, const Weak *w);
/* What wide pieces do over a year; nothing where none is known to. */
void press_movement(Press *p);
/* "show face and edges". */
void say_sides(Press *p, Para *para, const bool sides[6]);
/* ", cut with (B) as one stack", "as 2 mirrored pairs"; false: nothing. */
bool say_cut_with(Press *p, Para *para, int part);
/* "length to fit: measure on the work ..."; false: nothing. */
bool say_fit(Press *p, Para *para, const Part *part);
/* The letters of the parts, or of the jigs, cut from a stock. */
Para stock_letters(Press *p, int stock, bool jigs);
/* The scale of all cutting diagrams; one diagram with its list of cuts, the
 * number-th board; returns the number of the next. */
double cut_diagram_scale(const Press *p);
int    cut_diagram(Press *p, const Layout *l, int number, double k);
/* Its cuts in order, at p->y; `shown`: whose numbers stand in the diagram. */
double cut_list_height(Press *p, const Layout *l);
void   cut_list(Press *p, const Layout *l, const bool *shown);
/* Sections of its blanks: leaves from the end, bevels from the edge. At
 * p->y. */
double blank_views_height(Press *p, const Layout *l);
void   blank_views(Press *p, const Layout *l);
/* Is a piece that lies head to tail with others too short for bare hands? */
bool   heads_are_small(const Part *part);
/* What edge-joined panels are made up of; nothing where there are none. */
void   press_panels(Press *p);
/* Where a part's size comes from: "A.length". */
Str  part_source(Press *p, const Part *part, const char *name);
/* The name of a stock as asked for in a store, with its wood. */
void say_stock(Press *p, Para *para, const Stock *stock);
/* Kind or name, gauge, length, diameter; true where it has a length. */
bool say_hardware(Press *p, Para *para, const Hardware *h);
/* One figure of three across a page: small gray label over a value. */
void fact(Press *p, double x, double y, const char *label,
          const Para *value);

#endif
