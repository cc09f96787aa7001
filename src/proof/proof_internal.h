/* What the files of proof/ share. Reading runs in four stages, each of
 * which hands plain lists to the next:
 *
 *     open.c      file -> pages, content streams, fonts     (qpdf)
 *     operators.c content stream -> letters and strokes
 *     lines.c     letters -> lines of chars, in reading order
 *     numeral.c   chars -> numerals
 */
#ifndef PROOF_PROOF_INTERNAL_H
#define PROOF_PROOF_INTERNAL_H

#include "proof/proof.h"

#include <qpdf/qpdf-c.h>

/* ---- Tokens of content streams and character maps ---- */

typedef enum {
    TOKEN_END, TOKEN_NUMBER, TOKEN_STRING, TOKEN_NAME, TOKEN_OPEN,
    TOKEN_CLOSE, TOKEN_OTHER, TOKEN_WORD
} TokenKind;

typedef struct {
    TokenKind kind;
    double    number;
    Str       text;     // of a string: its bytes; of a name: without '/'
} Token;

typedef struct {
    Ctx   *c;
    Str    s;
    size_t at;
} Tokens;

Token token_next(Tokens *t);
/* Skips the bytes of an inline image, after its ID. */
void  token_skip_image(Tokens *t);

/* ---- Fonts as a PDF describes them ---- */

#define LONGEST_GLYPH 8   // characters that one glyph may stand for

typedef struct { uint32_t lo, hi; double width; } WidthRange;

/* Code lo stands for ch[0..n); with each further code the last character
 * goes up by one. */
typedef struct {
    uint32_t lo, hi;
    uint32_t ch[LONGEST_GLYPH];
    int      n;
} TextRange;

typedef struct {
    bool   two_bytes;
    double unit;             // em per unit of width, 0.001 but in Type 3
    double missing;          // width of codes without one
    LIST(WidthRange) widths; // sorted by lo
    LIST(TextRange)  texts;  // sorted by lo
    uint32_t simple[256];    // one-byte codes that texts does not know
    bool   readable;         // its codes can be told
} Typeface;

/* ---- What was read ---- */

/* A character as it stands on the paper: mm from the top left corner, y
 * down; `dir` is the unit direction of writing. */
typedef struct {
    uint32_t ch;
    V2       at, dir;
    double   width, em;
} Letter;

/* A character of a line; white space is one character ' '. */
typedef struct {
    uint32_t ch;
    V2       at;
    double   width, em;
} Char;

typedef struct {
    V2 dir;
    LIST(Char) chars;
} Line;

typedef LIST(Line) Lines;

typedef struct {
    Box2     paper;
    LIST(Letter) letters;
    Lines    lines;
    ReadRuns runs;
    Rings    strokes;
} ReadPage;

struct ReadBook {
    Str subject;
    LIST(ReadPage) pages;
};

/* ---- Reading, by qpdf ---- */

typedef struct { int id, generation; const Typeface *face; } KnownFace;

typedef struct {
    Ctx           *c;
    const char    *path;
    qpdf_data      q;
    unsigned char *held;     // qpdf's buffer, while it is copied
    LIST(KnownFace) faces;
    ReadBook      *book;
    int            page;     // being read
    long           budget;   // tokens that this page may still take
    int            troubles; // reported about content
} Reader;

/* The entry of a dictionary (or of a stream's dictionary). A null object
 * if there is none. */
qpdf_oh dict_entry(const Reader *r, qpdf_oh dict, const char *key);
double  dict_number(const Reader *r, qpdf_oh dict, const char *key,
                    double without);
double  array_number(const Reader *r, qpdf_oh array, int i);
/* A stream's bytes, decoded. False: it cannot be. */
bool    stream_bytes(Reader *r, qpdf_oh stream, Str *bytes);
/* Reports what cannot be read on the current page; the first few only. */
void    read_trouble(Reader *r, const char *fmt, ...) LIKE_PRINTF(2, 3);

const Typeface *typeface_find(Reader *r, qpdf_oh font);
double typeface_width(const Typeface *f, uint32_t code);
int    typeface_text(const Typeface *f, uint32_t code,
                     uint32_t ch[LONGEST_GLYPH]);

typedef struct { double a, b, c, d, e, f; } Matrix;

/* Runs a page's operators; fills in letters and strokes. */
void content_run(Reader *r, ReadPage *page, Str content, Matrix base,
                 qpdf_oh resources);

/* Letters to lines and runs, in reading order. */
void lines_find(Ctx *c, ReadPage *page, int number);

/* ---- Numerals ---- */

/* Chars [from, to) of a line. Of a whole number with a fraction, the whole
 * ends at `joint` and the fraction begins at `fraction`; else both are
 * `to`. Chars [from, digits) are $ and minus. */
typedef struct { int from, digits, joint, fraction, to; } Span;

/* Finds the next numeral at or after *at and moves past it. */
bool numeral_next(const Char *chars, int n, int *at, Span *span);
/* Text as chars without places. */
Line numeral_chars(Ctx *c, Str text);
/* One spelling for all: "3 3/4", "3-3/4" and "3 ³⁄₄" are the same; spaces
 * vanish, but between numerals. */
Str  numeral_normal(Ctx *c, const Char *chars, int n);
/* The characters as they stand. */
Str  chars_text(Ctx *c, const Char *chars, int n);

/* ---- Holding against the design ---- */

/* For every expected page the page read that is it, or -1. */
const int *align_pages(Ctx *c, const ReadBook *b, const Expected *should);
void match_pages(Ctx *c, const ReadBook *b, const Expected *should,
                 const int *read_of, Findings *f);
void measure_shapes(Ctx *c, const ReadBook *b, const Expected *should,
                    const int *read_of, Findings *f);

#endif
