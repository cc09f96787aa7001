/* proof -- reads a finished booklet back and holds it against what the
 * design says; trusts nothing that the writer kept.
 *
 * The PDF is opened by qpdf, its content streams are read by a tokenizer
 * of our own, text is decoded by each font's ToUnicode map. The caller
 * hands in what should stand where (claims), made afresh from the design.
 */
#ifndef PROOF_PROOF_H
#define PROOF_PROOF_H

#include "geom/geom.h"

/* One figure that should stand on a page. */
typedef struct {
    int    page;       // from 0
    V2     at;         // baseline left, mm from the top left corner
    double width;
    Str    shown;      // as it should be printed
    Str    source;
    double value;      // in the unit printed (in, mm, degrees, pieces)
    double step;       // rounding step in the same unit; 0: exact
    bool   measured;   // value and step are meaningful: read `shown` back
                       // and check |shown - value| <= step / 2
} Claim;

/* An outline that should be drawn at true size. */
typedef struct {
    int   page;
    Str   what;
    Shape shape;       // mm, y up from the page's bottom left corner
    Box2  window;
} TrueShape;

typedef enum {
    FINDING_AGREES, FINDING_DISAGREES, FINDING_UNKNOWN, FINDING_MISSING,
    FINDING_SCALE, FINDING_PAGES
} FindingKind;   // ORDER FINDING

typedef struct {
    FindingKind kind;
    int  page;         // from 0
    V2   at;           // mm from the top left corner
    Str  says, should; // texts
    Str  source;
} Finding;

typedef struct {
    LIST(Finding) list;    // all but the ones that agree
    int numerals;          // read on all pages
    int agree;             // of these
    int shapes;            // true-size shapes measured and right
    int pages;
} Findings;

typedef struct {
    LIST(Claim) claims;
    LIST(TrueShape) shapes;
    int    pages;
    double width, height;  // paper, mm
} Expected;

/* A numeral as it stands on a page. */
typedef struct { int page; V2 at; double width; Str text; } Numeral;
typedef LIST(Numeral) Numerals;

/* A line of text as read: runs on one baseline, joined. */
typedef struct { int page; V2 at; double width; Str text; } ReadRun;
typedef LIST(ReadRun) ReadRuns;

typedef struct ReadBook ReadBook;

/* Opens a PDF. NULL: reported (not a PDF, cannot be read). */
MUST_USE const ReadBook *proof_read(Ctx *c, const char *path);
int      read_pages(const ReadBook *b);
Box2     read_paper(const ReadBook *b, int page);   // mm
ReadRuns read_text(const ReadBook *b, int page);
/* What the page's operators stroke, flattened to 0.001 mm, y up. Each is a
 * chain of points: a closed one repeats its first point at its end. */
Rings    read_strokes(const ReadBook *b, int page);
/* Subject of the document ("letter-inch …"), to know the edition. */
Str      read_subject(const ReadBook *b);
/* The numerals of a page: digits with decimal point, fractions in any
 * spelling, light/heavy marks; a whole number and the fraction that
 * follows it on the baseline are one. */
Numerals read_numerals(Ctx *c, const ReadBook *b, int page);

/* The value of a numeral as printed: "3 ³⁄₄" is 3.75. False: none. */
bool numeral_value(Str text, double *value);

MUST_USE const Findings *proof_booklet(Ctx *c, const ReadBook *b,
                                       const Expected *should);
/* Findings as lines for people. */
Str findings_text(Ctx *c, const Findings *f);

#endif
