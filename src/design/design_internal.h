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

/* The tree of one file, without what it includes. NULL: reported. */
MUST_USE Node *tree_read(Ctx *c, int file);
/* Merges what the files named by "include" say into the root of the file
 * that names them. False: errors are reported. */
MUST_USE bool include_all(Ctx *c, int file, Node *root);
/* Reports what is wrong with the variants of a design. */
void variants_check(Ctx *c, const Node *root);

/* A copy of a node that may stand in another list; it shares the children. */
Node *node_copy(Ctx *c, const Node *node);
/* Puts a node at the end of an object or list whose last child is *end. */
void node_append(Node *owner, Node **end, Node *node);

#endif
