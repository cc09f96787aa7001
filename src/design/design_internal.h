/* design_internal -- what the scan hands to the tree. */
#ifndef DESIGN_DESIGN_INTERNAL_H
#define DESIGN_DESIGN_INTERNAL_H

#include "design/design.h"

/* One value of the text; they lie in document order, a list or an object
 * before what it holds. */
typedef struct {
    NodeKind kind;
    Loc      loc;       // quotes and brackets included
    Loc      key_loc;   // the member's key; empty outside of objects
    bool     plain;     // a text without escapes
} ScanValue;

typedef struct {
    LIST(ScanValue) values;
    Str             blanked;   // the text with its comments made spaces;
                               // a NUL follows
} Scan;

/* Checks the grammar of a source. False: one error is reported. */
MUST_USE bool scan_source(Ctx *c, int file, Scan *scan);

#endif
