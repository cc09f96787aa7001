/* eval -- turns the text of a measurement or formula into a quantity.
 *
 *     "3/4in + 2*kerf"   ->   1 in, a length, exact
 *
 * Lengths are kept in millimeters as exact fractions (1 in = 127/5 mm), so
 * 1/16in * 16 is 1 in to the bit. A function such as tan makes a value
 * inexact; it then is a double and known as such.
 *
 * Names live in one graph. `sizes_define` adds a named formula,
 * `sizes_value` evaluates it when first asked; a cycle is reported with its
 * whole path. Order of definition does not matter.
 */
#ifndef EVAL_EVAL_H
#define EVAL_EVAL_H

#include "base/base.h"
#include "design/design.h"

/* Exponents of the base dimensions. Area is length 2, volume length 3. */
typedef struct {
    int8_t length, angle, mass, money;
} Dim;

#define DIM_NUMBER ((Dim){ 0, 0, 0, 0 })
#define DIM_LENGTH ((Dim){ 1, 0, 0, 0 })
#define DIM_AREA   ((Dim){ 2, 0, 0, 0 })
#define DIM_VOLUME ((Dim){ 3, 0, 0, 0 })
#define DIM_ANGLE  ((Dim){ 0, 1, 0, 0 })
#define DIM_MASS   ((Dim){ 0, 0, 1, 0 })
#define DIM_MONEY  ((Dim){ 0, 0, 0, 1 })
/* Area per volume, such as paint's coverage, is length -1. */
#define DIM_COVER  ((Dim){ -1, 0, 0, 0 })
#define DIM_DENSITY ((Dim){ -3, 0, 1, 0 })

bool dim_eq(Dim a, Dim b);
const char *dim_name(Dim d);   // "a length", "a plain number", "an angle" ...

/* A value in base units: mm, degrees, grams, dollars.
 * A poisoned quantity has had its error reported. It spreads silently, so
 * that one mistake in the design gives one message. */
typedef struct {
    int64_t num, den;   // lowest terms, den > 0; den == 0: see `real`
    double  real;       // always the nearest double
    Dim     dim;
    bool    poison;
} Quantity;

extern const Quantity POISON;

Quantity quantity_exact(int64_t num, int64_t den, Dim dim);
Quantity quantity_real(double value, Dim dim);
Quantity quantity_mm(double mm);                    // inexact length
Quantity quantity_inches(int64_t num, int64_t den); // exact length
bool     quantity_is_exact(Quantity q);
int      quantity_cmp(Quantity a, Quantity b);      // same dimension

/* Arithmetic without places, exact while it can be; `at` is the operator's
 * place for messages. */
MUST_USE Quantity quantity_add(Ctx *c, Loc at, Quantity a, Quantity b);
MUST_USE Quantity quantity_sub(Ctx *c, Loc at, Quantity a, Quantity b);
MUST_USE Quantity quantity_mul(Ctx *c, Loc at, Quantity a, Quantity b);
MUST_USE Quantity quantity_div(Ctx *c, Loc at, Quantity a, Quantity b);
MUST_USE Quantity quantity_neg(Quantity a);

/* Nearest multiple of step, a half rounding away from zero (common
 * practice: NAVEDTRA 14044 adds one for a half or more). */
MUST_USE Quantity quantity_round(Quantity q, Quantity step);

/* "3 3/4 in" or "95.25 mm", exact where the value is; for dumps, messages
 * and trace, not for pages. */
void quantity_show(Buf *out, Quantity q);

typedef struct Sizes Sizes;

typedef LIST(Str) Names;

/* One name of the graph, as trace and the ledger see it. */
typedef struct {
    Str      name;      // "width", "A.length"
    Str      formula;   // as written
    Loc      loc;       // of the formula
    Str      note;      // the author's, may be empty
    Quantity value;     // valid once evaluated
    bool     done;
    bool     fit;       // to be fitted on the work
    bool     used;      // some formula asked for it
    bool     given;     // a plain measurement, not worked out
    LIST(int) uses;     // indexes of the names in the formula
    Names    places;    // names in it that the graph does not have
} SizeEntry;

MUST_USE Sizes *sizes_new(Ctx *c);
/* Reads the "sizes" object of a design: texts, or objects with "is" and
 * "note". `prefix` ("" or "A.") goes before each name. */
void sizes_read(Ctx *c, Sizes *s, const Node *sizes, const char *prefix);
/* Adds one named formula with the dimension it must have (NULL: any).
 * A second definition of a name is an error at its place. */
void sizes_define(Ctx *c, Sizes *s, Str name, const Node *formula,
                  const Dim *need);
/* Adds a name that has a value already, with the words that say why. */
void sizes_set(Ctx *c, Sizes *s, Str name, Quantity value,
               const char *because);

/* Asked for names that the graph does not have, such as "left wall.top".
 * Returns true and sets *value if it knows the name. */
typedef bool SizeHook(Ctx *c, void *who, Str name, Loc at, Quantity *value);
void sizes_hook(Sizes *s, SizeHook *hook, void *who);

/* The value of a name. Unknown: reported at `at` with the nearest name. */
MUST_USE Quantity sizes_value(Ctx *c, Sizes *s, Str name, Loc at);
/* NULL where the name is not in the graph. */
MUST_USE const SizeEntry *sizes_find(const Sizes *s, Str name);
int sizes_count(const Sizes *s);
/* Is the name, or one that its formula uses, to be fitted on the work?
 * Known once all are evaluated. */
bool sizes_fit(Ctx *c, const Sizes *s, Str name);
void sizes_mark_fit(Sizes *s, Str name);
const SizeEntry *sizes_at(const Sizes *s, int i);
/* Evaluates every name, so that all errors are found. False if any. */
MUST_USE bool sizes_all(Ctx *c, Sizes *s);

/* Evaluates a formula that stands in a text node. Names are looked up as
 * `scope` + name first ("A." + "length"), then as they stand. `need` is
 * the dimension it must have; NULL: any. A plain number where a length is
 * due is UNIT_MISSING. */
MUST_USE Quantity eval_node(Ctx *c, Sizes *s, const char *scope,
                            const Node *node, Dim need);
/* The same for bytes of a text node, as braces in a step's words need. */
MUST_USE Quantity eval_span(Ctx *c, Sizes *s, const char *scope,
                            const Node *node, size_t from, size_t to,
                            const Dim *need);
/* eval_node of a member; `standing` where there is none. */
MUST_USE Quantity eval_member(Ctx *c, Sizes *s, const char *scope,
                              const Node *object, const char *key, Dim need,
                              Quantity standing);
/* A whole number from `least` to `most` (text or JSON number). */
MUST_USE int eval_count(Ctx *c, Sizes *s, const char *scope,
                        const Node *object, const char *key, int standing,
                        int least, int most);

/* The names that a formula uses, in its order and each once; in full
 * ("A.length") where the graph has them. For trace. */
void formula_names(Ctx *c, const Sizes *s, const char *scope,
                   const Node *node, Names *out);
/* The same of bytes [from, to) of the node's text. */
void span_names(Ctx *c, const Sizes *s, const char *scope, const Node *node,
                size_t from, size_t to, Names *out);
/* The same of the formula of a name; none if the program set it. */
void sizes_names(Ctx *c, const Sizes *s, Str name, Names *out);

/* A formula outside of the graph that uses a name. */
typedef struct {
    const Node *node;
    size_t      from, to;   // of its text
} SizeUse;

typedef LIST(SizeUse) SizeUses;

/* All that use it, each once, in the order of their places. */
void sizes_uses(Ctx *c, const Sizes *s, Str name, SizeUses *out);

/* Name, value and formula of every entry, for --dump=sizes. */
void sizes_dump(Buf *out, const Sizes *s);

#endif
