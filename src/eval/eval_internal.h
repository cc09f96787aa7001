/* eval_internal -- what the files of eval share: units, formulas as trees,
 * functions, the graph. */
#ifndef EVAL_EVAL_INTERNAL_H
#define EVAL_EVAL_INTERNAL_H

#include "eval/eval.h"

/* ---- Messages ---- */

/* Reports like report(), but a mistake at one place only once, however
 * often the formula is asked for. False: it was reported before. */
bool fault(Ctx *c, Loc at, DiagCode code, const char *fmt, ...)
    LIKE_PRINTF(4, 5);
Str quantity_text(Ctx *c, Quantity q);   // as quantity_show writes it
/* Gives the newest message the hint to write a number's unit. */
void hint_unit(Ctx *c, Quantity number, Dim due);

/* ---- Numbers and units ---- */

/* "12", "0.75", "1e3": exact if it fits, else the nearest double. */
MUST_USE Quantity quantity_from_text(Ctx *c, Str digits);

typedef struct {
    const char *name;
    int64_t     num, den;   // in base units
    Dim         dim;
    const char *finer;      // may follow: 2ft 6in; or NULL
} Unit;

/* The unit of exactly this name, or NULL. */
MUST_USE const Unit *unit_find(Str name);
/* The mark (" ' ° and their typographic forms) that stands at the beginning
 * of `s`, or NULL; *length is its bytes. */
MUST_USE const Unit *unit_mark(Str s, size_t *length);
Quantity unit_quantity(const Unit *unit);   // one of it
/* The unit that a word stands for in plain English ("inches"), or the one
 * that it misspells; empty if none is near. */
Str unit_nearest(Ctx *c, Str word);

/* ---- Formulas ---- */

/* The text that is being read, and where it stands. */
typedef struct {
    const Node *node;
    size_t      from;   // of `text` in node->text
    Str         text;
} Formula;

Loc formula_loc(const Formula *f, size_t from, size_t to);

typedef enum {
    TOK_END, TOK_VALUE, TOK_NAME,
    TOK_PLUS, TOK_MINUS, TOK_TIMES, TOK_OVER,
    TOK_LESS, TOK_LESS_EQUAL, TOK_MORE, TOK_MORE_EQUAL, TOK_EQUAL,
    TOK_UNEQUAL,
    TOK_OPEN, TOK_CLOSE, TOK_COMMA,
    TOK_BAD   // its error is reported
} TokKind;

typedef struct {
    TokKind  kind;
    size_t   from, to;   // in the formula's text
    Quantity value;      // TOK_VALUE
    Str      name;       // TOK_NAME
} Token;

/* The token that begins at or after `at`. */
Token lex_token(Ctx *c, const Formula *f, size_t at);
/* Is `name` a name of the formula language from end to end? */
bool lex_is_name(Str name);

/* A formula as a tree. */
typedef enum { AST_VALUE, AST_NAME, AST_CALL, AST_NEG, AST_BINARY } AstKind;

typedef struct Function Function;

typedef struct Ast Ast;
struct Ast {
    AstKind         kind;
    Loc             loc;        // the whole of it
    Loc             op_loc;     // AST_BINARY: the operator
    TokKind         op;         // AST_BINARY
    Quantity        value;      // AST_VALUE
    Str             name;       // AST_NAME
    const Function *function;   // AST_CALL
    LIST(Ast *)     args;       // of AST_CALL, AST_NEG, AST_BINARY
};

/* NULL: the mistake is reported. */
MUST_USE const Ast *parse_formula(Ctx *c, const Formula *f);

/* ---- Functions ---- */

/* A call with its values; none of them is poison. */
typedef struct {
    Ctx            *c;
    const Function *function;
    Loc             at;
    const Loc      *arg_at;
    const Quantity *args;
    int             n;
} Call;

struct Function {
    const char *name;
    const char *use;      // "round(x, step)": shown as the hint
    int         least, most;   // number of values
    Quantity  (*value)(const Call *call);   // NULL for if()
};

/* NULL: there is none of this name. */
MUST_USE const Function *function_find(Str name);
/* The name of the nearest function, or empty. */
Str function_nearest(Str name);

/* Nearest, next lower or next higher multiple of a step. An inexact value
 * within a billionth of a multiple counts as that multiple. */
typedef enum { ROUND_NEAREST, ROUND_DOWN, ROUND_UP } Rounding;
Quantity quantity_step(Quantity q, Quantity step, Rounding way);

/* ---- The graph ---- */

typedef struct {
    SizeEntry   shown;
    const Node *node;       // NULL: set, not defined
    Str         scope;      // "A." of "A.length"
    Dim         need;
    bool        has_need;
    bool        working;    // its formula is being evaluated now
} Entry;

/* A formula that was read somewhere in the design. */
typedef struct {
    const Node *node;
    size_t      from, to;   // of its text
    Str         scope;
} Read;

struct Sizes {
    LIST(Entry *) entries;
    int          *slots;    // hash table of index + 1; 0 is free
    int           slot_count;
    LIST(int)     path;     // the entries at work, outermost first
    int           depth;    // of the walk through all formulas at work
    SizeHook     *hook;
    void         *who;
    LIST(Read)    reads;    // formulas that are no entry's
};

/* Where a name is looked up from. */
typedef struct {
    Str scope;   // tried before the name; "" or "A."
    int self;    // the entry whose formula it is, or -1
} From;

/* Index of the entry that a name means there, or -1. */
int      sizes_resolve(Ctx *c, const Sizes *s, From from, Str name);
/* Notes that a formula names an entry (-1: none of ours). */
void     sizes_use(Sizes *s, From from, int index);
Quantity sizes_lookup(Ctx *c, Sizes *s, From from, Str name, Loc at);

/* The value of a whole formula; *ast (if wanted) is its tree or NULL. */
Quantity formula_value(Ctx *c, Sizes *s, From from, const Formula *f,
                       const Ast **ast);
/* The value of a text or number node; `uses` as above. */
Quantity formula_node(Ctx *c, Sizes *s, From from, const Node *node,
                      const Dim *need, const Ast **ast);
/* POISON and a message if q has not the dimension that is due. */
Quantity formula_check(Ctx *c, Loc at, Quantity q, Dim need);

#endif
