/* print -- a Booklet to bytes: PDF, or a trace as text for tests. */
#ifndef PRINT_PRINT_H
#define PRINT_PRINT_H

#include "press/press.h"

/* The whole PDF in memory: fonts embedded and mended, PrintScaling None,
 * bookmarks, page labels, links, no clock. False: reported. */
MUST_USE bool print_pdf(Ctx *c, const Booklet *b, Str *bytes);

#endif
