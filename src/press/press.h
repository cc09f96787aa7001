/* press -- lays out the booklet: a recording of pages, no bytes yet.
 *
 *     const Booklet *b = press_booklet(c, model, plan, &edition);
 *
 * Page coordinates are millimeters from the top left corner, y down.
 * A number reaches a page only as a Figure (value, source, rounding); each
 * one is noted in the Ledger with its place.
 */
#ifndef PRESS_PRESS_H
#define PRESS_PRESS_H

#include "model/model.h"
#include "plan/plan.h"

/* ---- Editions ---- */

typedef struct {
    bool inch;       // units of the figures
    bool a4;         // paper: A4 or US Letter
    Quantity step;   // printed lengths are multiples of this
    double printer_x, printer_y;   // what a printer makes of 1, across and
                                   // along; 0: it is true
} Edition;

/* "letter-inch" or "a4-mm" and so on. */
const char *edition_name(const Edition *e);
double edition_width(const Edition *e);    // paper, mm
double edition_height(const Edition *e);

/* ---- Fonts ---- */

typedef enum { FONT_REGULAR, FONT_BOLD, FONT_LIGHT, FONT_SYMBOL,
               FONT_COUNT } FontId;   // ORDER FONT

typedef struct Fonts Fonts;

/* Loads fonts/ (folder: $RODBOOK_FONTS if set, else FONT_DIR). NULL:
 * reported. */
MUST_USE Fonts *fonts_load(Ctx *c);
const char *font_path(const Fonts *f, FontId id);
Str font_bytes(const Fonts *f, FontId id);   // the file, as it was checked
/* The font that has the character: `wanted`, else FONT_SYMBOL, else
 * FONT_COUNT. */
FontId font_for(const Fonts *f, FontId wanted, uint32_t ch);
/* The next characters from *at on that one font has; *at moves past them.
 * *id gets the font, FONT_COUNT where none has them. */
Str font_run(const Fonts *f, FontId wanted, Str text, size_t *at,
             FontId *id);

typedef struct {
    uint32_t ch;        // the character
    double   advance;   // 1/1000 em, kerned
    double   width;     // 1/1000 em, as the font says without kerning
} Glyph;
typedef LIST(Glyph) Glyphs;

/* One run in one font (every character must be in it), kerned, without
 * ligatures. */
void   font_shape(Ctx *c, const Fonts *f, FontId id, Str text, Glyphs *out);
/* Width in mm of text at a size in points, with fallback fonts. */
double font_width(Ctx *c, const Fonts *f, FontId id, double size, Str text);
double font_cap_height(const Fonts *f, FontId id, double size);   // mm

/* ---- The recording ---- */

typedef enum {
    INK_NONE, INK_BLACK,
    INK_GRAY,     // 55 %: earlier pieces' lines, footers
    INK_PALE,     // 12 %: fills
    INK_ZEBRA,    // 6 %: every other row of a table
    INK_ACCENT,   // CMYK 85 30 45 15
    INK_TINT,     // 18 % of the accent: faces of new pieces
    INK_WHITE,
    INK_SHADE     // 25 %: faces turned away, in shaded views
} Ink;            // ORDER INK

typedef enum { DASH_SOLID, DASH_HIDDEN, DASH_CENTER, DASH_FOLD } Dash;
                  // ORDER DASH (line types 02.1, 04.1, 05.1 of ISO 128-2)

typedef struct { char op; V2 p[3]; } PathOp;   // 'M' 'L' 'C' 'Z'

typedef enum { MARK_PATH, MARK_TEXT, MARK_LINK, MARK_CLIP, MARK_UNCLIP }
    MarkKind;     // ORDER MARK

typedef struct {
    MarkKind kind;
    /* path */
    LIST(PathOp) path;
    Ink    stroke, fill;
    double width;         // mm
    Dash   dash;
    /* text */
    Str    text;
    FontId font;
    double size;          // points
    Ink    ink;
    V2     at;            // baseline, left
    double turn;          // degrees counter-clockwise, 0 or 90
    double rise;          // of the glyphs above the baseline, mm
    Str    spoken;        // this text and all up to the one that ends it
    bool   spoken_end;    // are read (and copied) as this
    /* link and clip: a rectangle */
    Box2   box;
    int    to_page;       // index of a page
} Mark;

typedef struct {
    Str  section;         // as in the footer
    LIST(Mark) marks;
    bool sheet;           // a template sheet, printed at true size
    double width, height; // paper, mm
} Page;

typedef struct { Str title; int page; int level; } Bookmark;

/* ---- Figures and the ledger ---- */

typedef enum {
    FIGURE_LENGTH, FIGURE_ANGLE, FIGURE_COUNT, FIGURE_MONEY, FIGURE_AREA,
    FIGURE_VOLUME, FIGURE_MASS, FIGURE_PAGE, FIGURE_NAME, FIGURE_NUMBER
} FigureKind;   // ORDER FIGURE

/* A number that may stand on a page. FIGURE_NAME is text with digits that
 * is no measurement: a date, a code, "1x6", "18 ga". */
typedef struct {
    FigureKind kind;
    Str    shown;      // as printed, without unit
    Str    unit;       // "in", "mm", "°", "" ...
    double value;      // base units: mm, degrees, mm^2, mm^3, g, dollars
    double step;       // it was rounded to multiples of this; 0: not at all
    Str    source;     // name in the design, or the rule it came from
} Figure;

typedef struct {
    int    page;       // index
    V2     at;         // baseline, left end
    double width;      // mm
    Figure figure;
} LedgerRow;

/* A template outline as it must stand on the page, for proof. */
typedef struct {
    int   page;
    Str   what;        // "part C" or "check bar"
    Shape shape;       // page mm, y UP from the page's bottom left corner
    Box2  window;      // only what is inside counts (same coordinates)
} TrueSize;

typedef struct {
    LIST(LedgerRow) rows;
    LIST(TrueSize)  shapes;
} Ledger;

typedef struct {
    Edition edition;
    double  width, height;   // paper, mm
    Str     title, author, subject;   // of the document
    Str     date;            // YYYY-MM-DD, of the design
    LIST(Page)     pages;
    LIST(Bookmark) bookmarks;
    Ledger  ledger;
    const Fonts *fonts;
} Booklet;

/* NULL: errors are reported. */
MUST_USE const Booklet *press_booklet(Ctx *c, const Model *m,
                                      const Workplan *plan,
                                      const Edition *edition);

/* The template sheets alone, on the paper that the plan has them on. */
MUST_USE const Booklet *press_template_sheets(Ctx *c, const Model *m,
                                              const Workplan *plan,
                                              const Edition *edition);

/* One drawing by itself: a booklet of one page, no larger than it. */
typedef enum {
    DRAWING_PROJECT,    // finished, shaded, as on the cover
    DRAWING_VIEW,       // index: as in Workplan.three, with overall sizes
    DRAWING_STEP,       // exploded, with letters
    DRAWING_PART,       // with its sizes
    DRAWING_TEMPLATE    // a pattern at true size
} DrawingKind;          // ORDER DRAWING

/* NULL: errors are reported. */
MUST_USE const Booklet *press_drawing(Ctx *c, const Model *m,
                                      const Workplan *plan,
                                      const Edition *edition,
                                      DrawingKind kind, int index);

/* Formatting by the one rule of the booklet (docs/booklet.md): inch
 * fractions in lowest terms to the edition's step with a light or heavy
 * mark (− or +) where the true value is over a quarter step away;
 * millimeters to the step. Halves round away from zero. */
Figure figure_length(Ctx *c, const Edition *e, Quantity q, Str source);
Figure figure_angle(Ctx *c, Quantity q, Str source);   // to 0.1 degree
Figure figure_count(Ctx *c, int64_t n, Str source);
Figure figure_money(Ctx *c, Quantity q, Str source);
Figure figure_name(Ctx *c, Str text, Str source);

/* "end", "edge" or "face": what of the piece with the heads lies that way. */
const char *row_border(const Model *m, const FastenerRow *r, V3 way);

/* Page, place, shown text, value, source of every row, as CSV. */
void ledger_csv(Buf *out, const Booklet *b);
void booklet_dump(Buf *out, const Booklet *b);

#endif
