/* print_internal -- what the files of print/ share.
 *
 * content.c  pages to drawing operators; plain text, no library
 * outlined.c  a page's texts as outlines, for the two below
 * svg_out.c  a page as SVG
 * png_out.c  a page as PNG
 * door.c     the few calls of libharu that we use, made safe
 * pdf_fonts.c  font dictionaries
 * pdf.c      puts it all together
 */
#ifndef PRINT_INTERNAL_H
#define PRINT_INTERNAL_H

#include "print/print.h"

#include <hpdf.h>
#include <hpdf_objects.h>

#define BMP 0x10000   // text codes are characters of the first plane

/* ---- content.c ---- */

/* What a page draws. */
typedef struct {
    Str  ops;
    bool font[FONT_COUNT];   // that it draws with
} PageOps;

/* What all pages draw, and the characters they need of each font. */
typedef struct {
    LIST(PageOps) pages;
    bool *used[FONT_COUNT];   // [BMP] each
} Contents;

/* False: a character is in no font (reported). */
MUST_USE bool contents_write(Ctx *c, const Booklet *b, Contents *out);

/* A paper size in points, to 0.001: Letter 612 x 792, A4 595.276 x
 * 841.89. */
double paper_points(double mm);

/* The dashes and gaps of a line, mm; returns how many. */
int dash_lengths(Dash dash, double width, double out[6]);

/* ---- outlined.c, svg_out.c ---- */

/* The paths and clips of a page, its texts among them as paths. False: a
 * character is in no font (reported). */
MUST_USE bool page_outlined(Ctx *c, const Booklet *b, int page, Page *out);

typedef struct { double r, g, b; } InkRgb;

extern const InkRgb ink_rgb[];   // ORDER INK

/* ---- door.c ---- */

/* A document being written. Errors stick: the first one is kept, and from
 * then on the calls below do nothing and return NULL. */
typedef struct {
    Ctx        *c;
    HPDF_Doc    doc;
    HPDF_STATUS error, detail;
} Pdf;

MUST_USE bool pdf_open(Ctx *c, Pdf *p);
bool      pdf_failed(const Pdf *p);
void      pdf_report(const Pdf *p);   // PDF_FAILED, with libharu's numbers
HPDF_Dict pdf_dict(Pdf *p);           // part of what it is put into
HPDF_Dict pdf_object(Pdf *p);         // may be put into several
HPDF_Dict pdf_stream(Pdf *p, Str bytes);
HPDF_Array pdf_array(Pdf *p);
/* A text that people read, as UTF-16. */
HPDF_Binary pdf_text(Pdf *p, Str s);
HPDF_Binary pdf_bytes(Pdf *p, Str s);
HPDF_String pdf_ascii(Pdf *p, const char *s);
void pdf_put(Pdf *p, HPDF_Dict dict, const char *key, void *object);
void pdf_put_name(Pdf *p, HPDF_Dict dict, const char *key,
                  const char *name);
void pdf_put_int(Pdf *p, HPDF_Dict dict, const char *key, int value);
void pdf_put_yes(Pdf *p, HPDF_Dict dict, const char *key);
void pdf_add(Pdf *p, HPDF_Array array, void *object);
void pdf_add_name(Pdf *p, HPDF_Array array, const char *name);
void pdf_add_num(Pdf *p, HPDF_Array array, double value);

/* ---- pdf_fonts.c ---- */

/* The name of a font in a page's operators: "F0". */
const char *font_key(FontId id);
/* The dictionary of one font, cut down to the used characters. */
HPDF_Dict pdf_font(Pdf *p, const Fonts *fonts, FontId id,
                   const bool *used);

#endif
