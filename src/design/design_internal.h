/* design_internal -- what the files of design share. */
#ifndef DESIGN_DESIGN_INTERNAL_H
#define DESIGN_DESIGN_INTERNAL_H

#include "design/design.h"

/* The tree of a source that keeps to the grammar. NULL: one error is
 * reported. */
MUST_USE Node *scan_source(Ctx *c, int file);
/* What a text (in its quotes) or a number that keeps to it is worth. */
Str    text_value(Ctx *c, Str json);
double number_value(Ctx *c, Str json);

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
