/* design -- the text of a design as a tree, every node with its place.
 *
 *     const Design *d = design_read(c, "bench.json");
 *     const Node *parts = node_find(d->root, "parts");
 *     for (const Node *part = parts->first; part; part = part->next)
 *         ... part->key, part->key_loc ...
 *
 * JSON (RFC 8259) with // and block comments. A strict scan of ours checks
 * the grammar, UTF-8 and depth and makes the tree; cJSON says what numbers
 * and texts with escapes are worth.
 */
#ifndef DESIGN_DESIGN_H
#define DESIGN_DESIGN_H

#include "base/base.h"

typedef enum {
    NODE_NULL, NODE_BOOL, NODE_NUMBER, NODE_TEXT, NODE_LIST, NODE_OBJECT
} NodeKind;   // ORDER NODE

typedef struct Node Node;
struct Node {
    NodeKind kind;
    Loc      loc;       // the value, quotes and brackets included
    Str      key;       // of an object's member, unescaped; else empty
    Loc      key_loc;   // the key with its quotes
    Str      text;      // NODE_TEXT, unescaped; NODE_NUMBER: as written
    double   number;    // NODE_NUMBER
    bool     truth;     // NODE_BOOL
    bool     plain;     // NODE_TEXT without escapes: offsets in `text` plus
                        // loc.begin + 1 are offsets in the file
    int      count;     // children
    Node    *first, *next;
};

typedef struct {
    Node *root;      // an object; what is included is merged into it
    int   file;      // index into Ctx.sources
    Str   variant;   // its name; empty: the design as it stands
} Design;

/* Reads and checks a design file and the files that it includes. NULL:
 * errors are reported. */
MUST_USE const Design *design_read(Ctx *c, const char *path);
/* The same for a source that is registered already. */
MUST_USE const Design *design_parse(Ctx *c, int file);
/* The design as the variant of this name has it; an empty name: as it
 * stands. NULL: there is none of this name, which is reported. */
MUST_USE const Design *design_variant(Ctx *c, const Design *d, Str name);

/* The member of an object, or NULL; a NULL or non-object node has none. */
MUST_USE const Node *node_find(const Node *object, const char *key);
/* The member of this kind; another kind is reported once as WRONG_KIND and
 * NULL returned. */
MUST_USE const Node *node_text(Ctx *c, const Node *object, const char *key);
MUST_USE const Node *node_list(Ctx *c, const Node *object, const char *key);
MUST_USE const Node *node_object(Ctx *c, const Node *object,
                                 const char *key);
/* The text of a member, or an empty Str. */
Str  node_str(Ctx *c, const Node *object, const char *key);
/* A true/false member; `standing` where there is none. */
bool node_bool(Ctx *c, const Node *object, const char *key, bool standing);
/* Index of a text member in `choices` (NULL ends them), `standing` where
 * there is none; another text is BAD_CHOICE with the nearest choice. */
int  node_choice(Ctx *c, const Node *object, const char *key,
                 const char *const *choices, int standing);
/* Like node_find, but a missing member is reported as MISSING_KEY at the
 * object; `what` says whose ("part B"). A key that node_check_keys found
 * misspelt is not reported again as missing. */
MUST_USE const Node *node_need(Ctx *c, const Node *object, const char *key,
                               const char *what);
/* Reports every member whose key is not in `known` (NULL ends it) as
 * UNKNOWN_KEY, with the nearest known key as hint; and a node that is no
 * object as WRONG_KIND. False if any. */
bool node_check_keys(Ctx *c, const Node *object, const char *const *known,
                     const char *what);
/* The place of bytes [from, to) of a text node's unescaped text. */
Loc  node_span(const Node *text, size_t from, size_t to);
const char *node_kind_name(NodeKind kind);   // "a text", "a list", ...

/* The tree as text, for --dump=design and golden files. */
void design_dump(Buf *out, const Ctx *c, const Design *d);

#endif
