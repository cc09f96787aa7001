/* press_internal -- what the page-making files of press/ share.
 *
 *     page_begin(p, SECTION_BUY, PAGE_TEXT);
 *     heading(p, STR("What to buy"), SIZE_HEAD);
 *     Para para = { 0 };
 *     say(p, &para, "Each ");
 *     say_part(p, &para, part);
 *     say(p, &para, " is ");
 *     say_figure(p, &para, figure_length(c, e, length, source));
 *     say(p, &para, " long.");
 *     flow_para(p, 0, TEXT_W, STYLE_TEXT, &para);
 *
 * Page millimeters, y down from the top left corner of the paper. The only
 * way to put a digit on a page is a Figure: program prose with a digit in
 * it stops the program, and digits in the author's words become figures.
 */
#ifndef PRESS_PRESS_INTERNAL_H
#define PRESS_PRESS_INTERNAL_H

#include "press/press.h"

/* ---- The grid (docs/booklet.md) ---- */

#define TEXT_W    183.0   // text area, centered on the paper
#define TEXT_H    250.0
#define BODY_H    240.75  // of it, above the running foot
#define BASE_LINE 4.5     // every baseline is a multiple of half of it
#define HALF_LINE 2.25    // below the top of the text area
#define COLUMNS   6
#define GUTTER    5.0

#define SIZE_SMALL   7.5  // letters and figures in small drawings only
#define SIZE_NOTE    8.5  // points
#define SIZE_TEXT   10.0
#define SIZE_LEAD   12.0
#define SIZE_HEAD   16.0
#define SIZE_NUMBER 28.0
#define SIZE_COVER  40.0

typedef struct { FontId font; double size; Ink ink; } Style;

extern const Style STYLE_NOTE, STYLE_NOTE_BOLD, STYLE_FOOT, STYLE_TEXT,
                   STYLE_TEXT_BOLD, STYLE_LEAD, STYLE_LEAD_BOLD, STYLE_HEAD,
                   STYLE_NUMBER, STYLE_COVER, STYLE_SMALL,
                   STYLE_DIM;   // dimensions: 2.5 mm high, as ISO 3098 has

/* Distance of baselines: 4.5, 4.5, 6.75, 6.75, 11.25, 15.75 mm. */
double leading_of(double size);

/* ---- The press ---- */

typedef enum {
    SECTION_COVER, SECTION_CONTENTS, SECTION_START, SECTION_SAFETY,
    SECTION_BUY, SECTION_CUT, SECTION_PARTS, SECTION_DRAWINGS,
    SECTION_STEPS, SECTION_FINISH, SECTION_BACK, SECTION_TEMPLATES,
    SECTION_COUNT
} Section;   // ORDER SECTION

/* Page indexes, -1: none. */
typedef struct { int row, drawing, template; } PartPages;

/* Where things stand. A layout fills one (`refs`), the next layout reads
 * it (`known`); the booklet is laid out until the two agree. */
typedef struct {
    int        pages;                    // of the whole booklet
    int        section[SECTION_COUNT];   // first page of each
    PartPages *part;                     // one for each part of the model
    int       *step;                     // first page of each step,
    int       *rod;                      // and of the rod it needs
    int       *sheet;                    // page of each template sheet
    int        parts, steps, sheets;     // their lengths
} PageRefs;

PageRefs *refs_new(Ctx *c, const Model *m, const Workplan *plan);
bool      refs_eq(const PageRefs *a, const PageRefs *b);

typedef struct {
    Ctx            *c;
    const Model    *m;
    const Workplan *plan;
    const Edition  *e;
    const Fonts    *fonts;
    Booklet        *b;       // being built
    const PageRefs *known;   // NULL in the first layout
    PageRefs       *refs;    // being filled
    int             page;    // index of the current page
    Section         section;
    double          left, top;   // corner of the text area
    double          y;       // flow: free from here down
    struct Widths  *widths;  // of words measured already (text.c)
    Picture       **seen;    // of each part: from its edge, its end; or NULL
    bool            dry;     // pages are only counted: no pictures
} Press;

/* Draws the template sheets for the edition's printer (printer.c). */
void correct_for_printer(Ctx *c, Booklet *b);

/* An empty booklet and a press for one layout of it. */
Press press_new(Ctx *c, const Model *m, const Workplan *plan,
                const Edition *e, const Fonts *fonts, const PageRefs *known);

const char *section_name(Section s);   // "What to buy", as in the foot
double col_x(const Press *p, int i);   // left edge of column 0..5, page mm
double col_w(int n);                   // width of n columns with gutters
double body_bottom(const Press *p);    // page y below which only the foot is

/* ---- Pages ---- */

typedef enum { PAGE_TEXT, PAGE_NO_FOOT, PAGE_SHEET } PageKind;

/* Begins a page: its foot (once the page count is known), p->y at the top;
 * notes the section's first page in refs. */
void page_begin(Press *p, Section section, PageKind kind);
/* Height of what `body` lays out, tried on a page of its own; more than any
 * page where it needs several. */
double flow_height(const Press *p, Section section,
                   void (*body)(Press *scratch));
/* Begins a section under what stands on the page where that much room is
 * left, else on a page of its own. */
void section_begin(Press *p, Section section, double room);
/* Begins another text page of the same section unless `height` still fits
 * under p->y. True: a page was begun. */
bool page_need(Press *p, double height);
/* A heading at p->y with a little space after it; starts a new page when
 * it would stand in the last fifth. Sizes from SIZE_TEXT to SIZE_NUMBER;
 * program words. */
void heading(Press *p, Str words, double size);
/* The same, kept with so much below it instead, mm. */
void heading_over(Press *p, Str words, double size, double below);
void bookmark(Press *p, Str title, int level);   // to the current page
void space_down(Press *p, double mm);            // p->y, kept on the grid

/* ---- Figures beside press.h's ---- */

/* By the quantity's own dimension: length, angle, money, count, ... */
Figure figure_of(Ctx *c, const Edition *e, Quantity q, Str source);
Figure figure_area(Ctx *c, const Edition *e, double mm2, Str source);
Figure figure_volume(Ctx *c, const Edition *e, double mm3, Str source);
Figure figure_mass(Ctx *c, const Edition *e, double grams, Str source);
Figure figure_page(Ctx *c, int page);   // index; -1: not known yet
/* The size of what is bought: whole mm, unless it keeps to the step. */
Figure figure_nominal(Ctx *c, const Edition *e, Quantity q, Str source);
/* As sold: whole feet as "8 ft" in inch editions, else a length. */
Figure figure_sold(Ctx *c, const Edition *e, Quantity q, Str source);
/* A plain number with at most `places` decimals (1:n of a scale, percent,
 * board feet; `unit` is printed after it). */
Figure figure_number(Ctx *c, double value, int places, const char *unit,
                     Str source);
/* ---- Marks ---- */

typedef struct { Ink ink; double width; Dash dash; } Pen;

extern const Pen PEN_NONE;      // fill only
extern const Pen PEN_OUTLINE;   // 0.5 black: new pieces, parts
extern const Pen PEN_THIN;      // 0.25 black
extern const Pen PEN_EARLIER;   // 0.25 gray
extern const Pen PEN_FINE;      // 0.18 black: dimensions, leaders
extern const Pen PEN_GUIDE;     // 0.18 long dash, dot: the way in
extern const Pen PEN_HIDDEN;    // 0.25 dashed
extern const Pen PEN_CENTER;    // 0.18 long dash, dot
extern const Pen PEN_FOLD;      // 0.25, fold line of a template

/* From y-up drawing coordinates to the page:
 * page = at + scale * (d.x, -d.y), d = point - from; `upright` first turns
 * d a quarter counter-clockwise (a long part drawn up the page). */
typedef struct { V2 from, at; double scale; bool upright; } Place;

static inline V2 place_point(const Place *pl, V2 v) {
    V2 d = { v.x - pl->from.x, v.y - pl->from.y };

    if (pl->upright)
        d = (V2){ -d.y, d.x };
    return (V2){ pl->at.x + pl->scale * d.x, pl->at.y - pl->scale * d.y };
}
/* Fits `box` (drawing) into `frame` (page), centered, at the largest scale
 * up to `most`; `standard`: the next lower scale of ISO 5455. */
Place place_fit(Box2 box, Box2 frame, double most, bool standard);
Box2  place_box(const Place *pl, Box2 box);   // page box of a drawing's box

void draw_line(Press *p, V2 a, V2 b, Pen pen);
void draw_polyline(Press *p, const V2 *v, int n, bool closed, Pen pen,
                   Ink fill);
void draw_rect(Press *p, Box2 box, Pen pen, Ink fill);
void draw_circle(Press *p, V2 center, double radius, Pen pen, Ink fill);
void draw_segs(Press *p, const Seg *segs, int n, const Place *pl, bool closed,
               Pen pen, Ink fill);
/* Segments that need not join, in one path. */
void draw_strokes(Press *p, const Seg *segs, int n, const Place *pl, Pen pen);
void draw_shape(Press *p, Shape s, const Place *pl, Pen pen, Ink fill);
void draw_polygons(Press *p, Polygons area, const Place *pl, Pen pen,
                   Ink fill);
void draw_hatch(Press *p, Box2 box, double spacing, Pen pen);   // 45 degrees
void draw_arrow(Press *p, V2 tip, V2 toward, Ink ink);  // head of 2.5 mm
void clip_begin(Press *p, Box2 box);
void clip_end(Press *p);
void link_to(Press *p, Box2 box, int to_page);   // -1: none is made

/* ---- Rich text ---- */

typedef enum {
    SPAN_WORDS, SPAN_FIGURE, SPAN_LETTER, SPAN_CHECK, SPAN_BREAK
} SpanKind;   // ORDER SPAN

typedef struct {
    SpanKind kind;
    Str      text;       // words, or the letter
    bool     bold;
    Figure   figure;
    bool     bare;       // figure without its unit
    int      to_page;    // link, -1: none
} Span;

/* Spans in reading order. Zero is an empty one. */
typedef struct { LIST(Span) spans; } Para;

/* Program words. A digit in them is a mistake of ours: assert. Spaces at
 * the ends count. */
void say(Press *p, Para *para, const char *words);
void say_str(Press *p, Para *para, Str words);      // the same
void say_bold(Press *p, Para *para, const char *words);
/* The author's words: every run with digits becomes a FIGURE_NAME with the
 * given source ("author's words"). */
void say_author(Press *p, Para *para, Str words, Str source);
void say_author_bold(Press *p, Para *para, Str words, Str source);
/* shown, thin space, unit; never broken over a line. */
void say_figure(Press *p, Para *para, Figure f);
void say_figure_bold(Press *p, Para *para, Figure f);
void say_bare(Press *p, Para *para, Figure f);      // no unit
void say_count(Press *p, Para *para, int64_t n, const char *source);
void say_name(Press *p, Para *para, Str text, const char *source); // "1x6"
void say_letter(Press *p, Para *para, int part);    // circled, linked
void say_page(Press *p, Para *para, int page);      // "page " + number, link
void say_page_number(Press *p, Para *para, int page);   // number, link
void say_check(Press *p, Para *para);               // an empty check box
void say_break(Press *p, Para *para);               // a new line
void say_say(Press *p, Para *para, const Say *say); // a model's Say
Para para_of(Press *p, const char *words);          // one program sentence
Para para_author(Press *p, Str words);              // source: author's words
Para para_figure(Press *p, Figure f);               // with its unit
Para para_bare(Press *p, Figure f);

/* Lines are broken at spaces only. `y` is the top of the block: the first
 * baseline is y + leading (put y on the grid). Height = lines * leading. */
double para_height(Press *p, const Para *para, double width, Style style);
double para_draw(Press *p, const Para *para, double x, double y,
                 double width, Style style);
double para_width(Press *p, const Para *para, Style style);  // on one line

typedef enum { ALIGN_LEFT, ALIGN_CENTER, ALIGN_RIGHT } Align;

double para_draw_aligned(Press *p, const Para *para, double x, double y,
                         double width, Align align, Style style);

/* One line at a baseline point, without breaking. */
void para_at(Press *p, const Para *para, V2 at, Align align, Style style);
void words_at(Press *p, const char *words, V2 at, Align align, Style style);
void figure_at(Press *p, Figure f, V2 at, Align align, Style style);
/* The same, turned a quarter counter-clockwise (read from the right). */
void para_at_turned(Press *p, const Para *para, V2 at, Align align,
                    Style style);

/* The letter of a part in a circle, linked to its row. Diameter: 6 in
 * drawings, and never under LETTER_LEAST. */
#define LETTER_LEAST 4.0
void letter_circle(Press *p, V2 center, double diameter, int part);

/* ---- Flowing text: at p->y, x from the text area's left edge ---- */

void flow_para(Press *p, double x, double width, Style style,
               const Para *para);   // new page where it does not fit
typedef enum { ITEM_BULLET, ITEM_CHECK, ITEM_NUMBER } ItemMark;
/* One item of a list; `n` is the number (from 1) of ITEM_NUMBER. */
void   flow_item(Press *p, double x, double width, Style style,
                 ItemMark mark, int n, const Para *para);
double item_height(Press *p, double width, Style style, const Para *para);
double item_draw(Press *p, double x, double y, double width, Style style,
                 ItemMark mark, int n, const Para *para);   // page x, y
/* A caution: bar, signal word, sentences. Page x and y; returns height. */
double caution_height(Press *p, double width, const Para *para);
double caution_draw(Press *p, double x, double y, double width,
                    Signal signal, const Para *para);
void   flow_caution(Press *p, double x, double width, Signal signal,
                    const Para *para);

/* ---- Tables ---- */

/* Figure columns align whole numbers to the right and fractions (or
 * decimals) to the left of one line; the unit stands in the head. */
typedef enum { COLUMN_TEXT, COLUMN_FIGURE, COLUMN_COUNT, COLUMN_PICTURE }
    ColumnKind;   // ORDER COLUMN

typedef struct {
    const char *head;     // program words
    ColumnKind  kind;
    double      width;    // mm
} Column;

typedef struct {
    const Column *columns;
    int    n;
    double x;             // page mm
    int    row;           // rows so far on this page, for the zebra
    int    left;          // rows to come, if set: the last stands not alone
    double row_top, row_height;   // of the current row
    bool   plain;         // no zebra
    bool   tight;         // rows of one line stand without air between them
    bool   middle;        // cells stand in the middle of tall rows (set
                          // it after table_begin where rows hold pictures)
} Table;

#define ROW_LEAST 6.75

/* At p->y, x from the text area's left edge. Draws the head. */
Table table_begin(Press *p, double x, const Column *columns, int n);
/* Where few of the rows that are `left`, of one line each, would stand on the
 * next page, they are made tight. */
void  table_fit(Press *p, Table *t);
/* Height a row needs for these cells (n of them; NULL or empty is fine). */
double table_row_height(Press *p, const Table *t, const Para *cells);
/* A new row; where it does not fit, a new page with the head repeated. */
void  table_row(Press *p, Table *t, double height);
Box2  table_cell(const Table *t, int column);   // page box of a cell
void  table_para(Press *p, const Table *t, int column, const Para *para);
void  table_figure(Press *p, const Table *t, int column, Figure f);
void  table_end(Press *p, Table *t);            // closing rule, space

/* ---- Drawings ---- */

#define LETTER_D 6.0      // circle of a part letter in a drawing
#define RING     8.0      // from a drawing's hull to the letters' centers

typedef LIST(V2) Points;
Points points_hull(Ctx *c, const V2 *v, int n);   // convex

/* One lettered part of a drawing. letters_place fills `at` and `out`. */
typedef struct {
    V2  anchor;           // page mm
    int part;
    int count;            // "×4" beside it; 1 or less: none
    V2  at;               // center of the circle
    V2  out;              // unit, away from the drawing
} Letter;

/* Puts n letters around the lines of a drawing (their ends in pairs, page
 * mm), inside the frame; leaders neither cross nor run through circles, and
 * over few lines. False: it found no such places (the best is given, outside
 * the frame if need be). */
bool letters_place(Ctx *c, const V2 *ends, int n_ends, Box2 frame,
                   Letter *letters, int n);
/* What the letters point at: the patches of new pieces, by which a leader of
 * another part had better not run. */
typedef struct {
    V2     from;          // of the picture; squares of `cell` mm
    double cell;
    int    w, h;
    short *part;          // that is seen in a square, + 1; or 0
    const Place *place;   // of the picture on the page
} LetterFaces;
LetterFaces letter_faces(Ctx *c, const Model *m, const Picture *picture);
/* The same where the hull of the ends is known; `faces` may be NULL. */
bool letters_around(Ctx *c, const Points *outer, const V2 *ends, int n_ends,
                    const LetterFaces *faces, Box2 frame, Letter *letters,
                    int n);
void letters_draw(Press *p, const Letter *letters, int n);

/* How a picture is drawn: pieces in `fresh` strong and tinted, the others
 * gray (all black if there are no fresh ones). */
typedef struct {
    const int *fresh;     // piece ids
    int        n_fresh;
    bool       shaded;    // fills by the light, for the cover
    bool       thin;      // small pictures: 0.35 outlines, no gray
    bool       sparse;    // leaves lines out that would run together
} PictureLook;

typedef LIST(Line2) Line2s;
/* The lines of a picture without those stretches that would run together
 * with a weightier line. `earlier`, by line: it is a gray one (thinning.c). */
Line2s  lines_sparse(Press *p, const Picture *picture, const Place *pl,
                     const bool *earlier);
/* By id (below `ids`) the width of an outline: thinner where the piece is
 * small on the page. */
double *outline_widths(Press *p, const Picture *picture, const Place *pl,
                       int ids);

void picture_draw_at(Press *p, const Picture *picture, const Place *pl,
                     PictureLook look);
/* The larger drawing of a view's small joint. */
typedef struct { V2 mid; double radius; int times; } Disc;

/* A free place for it in the frame, as large as is wanted or nearly so;
 * false: there is none near enough. */
bool detail_place(Press *p, const View *view, const Place *pl, Box2 frame,
                  const Letter *letters, int n, Disc *disc);
void detail_draw(Press *p, const View *view, const Place *pl,
                 const Disc *disc);

/* The small picture of the whole, in the upper right corner of a close
 * view's frame. */
#define INSET_W 34.0
#define INSET_H 30.0

/* A view in a frame with letters for its anchors (n of them wanted are in
 * the view); leaves room for the ring. Returns the place. */
void  driven_draw(Press *p, const View *view, const Place *pl);
Place view_draw(Press *p, const View *view, Box2 frame, PictureLook look,
                bool lettered);
/* ---- Dimensions (page mm; practice of ISO 129-1) ---- */

#define DIM_FIRST 10.0    // first dimension line from the outline
#define DIM_NEXT   7.0    // and each further one

typedef enum { DIM_BELOW, DIM_ABOVE, DIM_LEFT, DIM_RIGHT } DimSide;
               // ORDER DIMSIDE

typedef struct {
    V2     a, b;          // page points that are measured
    Para   label;         // usually para_bare(figure)
} Dim1;

/* A single dimension with its line at page y (or x). Extension lines start
 * 1 mm off the points. */
void dim_horizontal(Press *p, V2 a, V2 b, double line_y, const Para *label);
void dim_vertical(Press *p, V2 a, V2 b, double line_x, const Para *label);
/* Many on one side of an outline: shortest nearest, none overlapping.
 * Returns how far the farthest line is from the outline. */
double dims_beside(Press *p, DimSide side, Box2 outline, const Dim1 *dims,
                   int n);
/* Running dimensions from a datum (NULL: it is elsewhere; dims[i].b is the
 * place, .a is not used), figures at the ends of the extension lines, spread
 * where close.
 * `off`: where the figures begin, from the outline. Returns the depth. */
double dims_running(Press *p, DimSide side, Box2 outline, const V2 *datum,
                    const Dim1 *dims, int n, double off);
#define RUNNING_APART 4.2   // of running figures, at least
/* Does a fine line run along an outline that is drawn, and hide it? */
bool line_on_outline(Press *p, V2 a, V2 b);
/* A leader from a point on a curve to an elbow and text; the label begins
 * with its R (label_radius) or holds any note. */
void dim_leader(Press *p, V2 point, V2 elbow, const Para *label);
double dim_leader_label(V2 elbow, V2 point);   // x where the label begins
Para label_radius(Press *p, Figure f);

#endif
