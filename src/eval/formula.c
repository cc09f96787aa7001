/* formula -- the value of a formula's tree, and of nodes that hold one. */
#include "eval/eval_internal.h"

#include <math.h>

#define DEEPEST 2000   // steps of the walk within each other
#define NEARLY  1e-9   // inexact values that differ by less are equal

typedef struct {
    Ctx   *c;
    Sizes *s;
    From   from;
} Walk;

static Quantity walk(Walk *w, const Ast *ast);

/* ---- Operators ---- */

static bool comparable(Walk *w, const Ast *ast, Quantity a, Quantity b) {
    bool number = dim_eq(a.dim, DIM_NUMBER) || dim_eq(b.dim, DIM_NUMBER);

    if (dim_eq(a.dim, b.dim))
        return true;
    if (fault(w->c, ast->op_loc, number ? UNIT_MISSING : UNIT_MISMATCH,
              "cannot compare %s (%.*s) with %s (%.*s)", dim_name(a.dim),
              STR_ARG(quantity_text(w->c, a)), dim_name(b.dim),
              STR_ARG(quantity_text(w->c, b))) && number)
        hint_unit(w->c, dim_eq(a.dim, DIM_NUMBER) ? a : b,
                  dim_eq(a.dim, DIM_NUMBER) ? b.dim : a.dim);
    return false;
}

/* 1 if the comparison holds, else 0. */
static Quantity compared(Walk *w, const Ast *ast, Quantity a, Quantity b) {
    int  order = quantity_cmp(a, b);
    bool holds = false;

    if (!comparable(w, ast, a, b))
        return POISON;
    if (!(quantity_is_exact(a) && quantity_is_exact(b))
        && fabs(a.real - b.real)
           <= NEARLY * fmax(fabs(a.real), fabs(b.real)))
        order = 0;
    if (ast->op == TOK_LESS)
        holds = order < 0;
    else if (ast->op == TOK_LESS_EQUAL)
        holds = order <= 0;
    else if (ast->op == TOK_MORE)
        holds = order > 0;
    else if (ast->op == TOK_MORE_EQUAL)
        holds = order >= 0;
    else
        holds = (order == 0) == (ast->op == TOK_EQUAL);
    return quantity_exact(holds, 1, DIM_NUMBER);
}

static Quantity binary(Walk *w, const Ast *ast) {
    Quantity a = walk(w, ast->args.at[0]);
    Quantity b = walk(w, ast->args.at[1]);

    if (a.poison || b.poison)
        return POISON;
    if (ast->op == TOK_PLUS)
        return quantity_add(w->c, ast->op_loc, a, b);
    if (ast->op == TOK_MINUS)
        return quantity_sub(w->c, ast->op_loc, a, b);
    if (ast->op == TOK_TIMES)
        return quantity_mul(w->c, ast->op_loc, a, b);
    if (ast->op == TOK_OVER)
        return quantity_div(w->c, ast->op_loc, a, b);
    return compared(w, ast, a, b);
}

/* ---- Calls ---- */

/* The names of a branch that is not taken are in use all the same. */
static void use_names(Walk *w, const Ast *ast) {
    if (ast->kind == AST_NAME)
        sizes_use(w->s, w->from,
                  sizes_resolve(w->c, w->s, w->from, ast->name));
    for (int i = 0; i < ast->args.n; i++)
        use_names(w, ast->args.at[i]);
}

/* Only the branch that is taken is evaluated. */
static Quantity choose(Walk *w, const Ast *ast) {
    Quantity condition = walk(w, ast->args.at[0]);

    if (condition.poison)
        return POISON;
    if (!dim_eq(condition.dim, DIM_NUMBER)) {
        if (fault(w->c, ast->args.at[0]->loc, UNIT_MISMATCH,
                  "a condition compares two values; this is %s (%.*s)",
                  dim_name(condition.dim),
                  STR_ARG(quantity_text(w->c, condition))))
            hint(w->c, "for example: if(width > 24in, 3, 2)");
        return POISON;
    }
    use_names(w, ast->args.at[condition.real != 0 ? 2 : 1]);
    return walk(w, ast->args.at[condition.real != 0 ? 1 : 2]);
}

static Quantity call(Walk *w, const Ast *ast) {
    int       n      = ast->args.n;
    Quantity *args   = NEW_N(w->c, Quantity, n);
    Loc      *arg_at = NEW_N(w->c, Loc, n);
    bool      poison = false;
    Call      k      = { w->c, ast->function, ast->loc, arg_at, args, n };
    Quantity  value;

    for (int i = 0; i < n; i++) {
        args[i]   = walk(w, ast->args.at[i]);
        arg_at[i] = ast->args.at[i]->loc;
        poison    = poison || args[i].poison;
    }
    if (poison)
        return POISON;
    value = ast->function->value(&k);
    if (value.poison || isfinite(value.real))
        return value;
    fault(w->c, ast->loc, NOT_FINITE, "the result of %s is no number",
          ast->function->name);
    return POISON;
}

/* ---- The walk ---- */

static Quantity step(Walk *w, const Ast *ast) {
    switch (ast->kind) {
    case AST_VALUE:
        return ast->value;
    case AST_NAME:
        return sizes_lookup(w->c, w->s, w->from, ast->name, ast->loc);
    case AST_NEG:
        return quantity_neg(walk(w, ast->args.at[0]));
    case AST_BINARY:
        return binary(w, ast);
    case AST_CALL:
        return ast->function->value ? call(w, ast) : choose(w, ast);
    }
    return POISON;
}

static Quantity walk(Walk *w, const Ast *ast) {
    Quantity q = POISON;

    if (w->s->depth == DEEPEST) {
        fault(w->c, ast->loc, OUT_OF_RANGE,
              "sizes depend on each other over too many steps");
        return POISON;
    }
    w->s->depth++;
    q = step(w, ast);
    w->s->depth--;
    return q;
}

Quantity formula_value(Ctx *c, Sizes *s, From from, const Formula *f,
                       const Ast **ast) {
    Walk       w    = { c, s, from };
    const Ast *tree = parse_formula(c, f);

    if (ast)
        *ast = tree;
    return tree ? walk(&w, tree) : POISON;
}

/* ---- Nodes ---- */

/* The place of a formula without the blanks around it. */
static Loc trimmed_loc(const Formula *f) {
    Str    inner = str_trim(f->text);
    size_t from  = inner.n ? (size_t)(inner.s - f->text.s) : 0;

    return formula_loc(f, from, from + inner.n);
}

Quantity formula_check(Ctx *c, Loc at, Quantity q, Dim need) {
    if (q.poison || dim_eq(q.dim, need))
        return q;
    if (dim_eq(q.dim, DIM_NUMBER)) {
        if (fault(c, at, UNIT_MISSING,
                  "%s is due here, but %.*s has no unit", dim_name(need),
                  STR_ARG(quantity_text(c, q))))
            hint_unit(c, q, need);
    } else {
        fault(c, at, UNIT_MISMATCH,
              "%s is due here, but this is %s (%.*s)", dim_name(need),
              dim_name(q.dim), STR_ARG(quantity_text(c, q)));
    }
    return POISON;
}

/* A JSON number is a plain number; where money is due, so many dollars. */
static Quantity number_node(Ctx *c, const Node *node, const Dim *need) {
    Quantity q = quantity_from_text(c, node->text);

    if (need && dim_eq(*need, DIM_MONEY))
        q.dim = DIM_MONEY;
    return q;
}

#define LARGEST 1e12   // of any base unit; a million kilometers

/* So large a value would lose its last digits, and then its sense. */
static Quantity check_large(Ctx *c, Loc at, Quantity q) {
    if (q.poison || fabs(q.real) <= LARGEST)
        return q;
    fault(c, at, NOT_FINITE, "%.*s is too large",
          STR_ARG(quantity_text(c, q)));
    return POISON;
}

Quantity formula_node(Ctx *c, Sizes *s, From from, const Node *node,
                      const Dim *need, const Ast **ast) {
    Formula  f = { .node = node };
    Quantity q;
    Loc      at = node->loc;

    if (ast)
        *ast = NULL;
    if (node->kind == NODE_NUMBER) {
        q = number_node(c, node, need);
    } else if (node->kind == NODE_TEXT) {
        f.text = node->text;
        q      = formula_value(c, s, from, &f, ast);
        at     = trimmed_loc(&f);
    } else {
        if (fault(c, at, WRONG_KIND, "this is %s, but %s is due",
                  node_kind_name(node->kind),
                  need ? dim_name(*need) : "a measurement or formula"))
            hint(c, "write it in quotes: \"3 3/4in\"");
        return POISON;
    }
    q = check_large(c, at, q);
    return need ? formula_check(c, at, q, *need) : q;
}

static void note_read(Ctx *c, Sizes *s, const char *scope, const Node *node,
                      size_t from, size_t to) {
    if (node->kind == NODE_TEXT)
        *PUSH(c, &s->reads) = (Read){ node, from, to, { scope,
                                                        strlen(scope) } };
}

static From from_scope(const char *scope) {
    return (From){ { scope, strlen(scope) }, -1 };
}

Quantity eval_node(Ctx *c, Sizes *s, const char *scope, const Node *node,
                   Dim need) {
    if (!node)
        return POISON;
    note_read(c, s, scope, node, 0, node->text.n);
    return formula_node(c, s, from_scope(scope), node, &need, NULL);
}

Quantity eval_span(Ctx *c, Sizes *s, const char *scope, const Node *node,
                   size_t from, size_t to, const Dim *need) {
    Formula  f = { .node = node, .from = from };
    Quantity q;

    note_read(c, s, scope, node, from, to);
    f.text = str_part(node->text, from, to);
    q      = formula_value(c, s, from_scope(scope), &f, NULL);
    q      = check_large(c, trimmed_loc(&f), q);
    return need ? formula_check(c, trimmed_loc(&f), q, *need) : q;
}

Quantity eval_member(Ctx *c, Sizes *s, const char *scope,
                     const Node *object, const char *key, Dim need,
                     Quantity standing) {
    const Node *node = node_find(object, key);

    return node ? eval_node(c, s, scope, node, need) : standing;
}

int eval_count(Ctx *c, Sizes *s, const char *scope, const Node *object,
               const char *key, int standing, int least, int most) {
    const Node *node = node_find(object, key);
    Quantity    q;

    if (!node)
        return standing;
    q = eval_node(c, s, scope, node, DIM_NUMBER);
    if (q.poison)
        return standing;
    if (q.real >= least && q.real <= most
        && fabs(q.real - round(q.real)) <= NEARLY)
        return (int)round(q.real);
    fault(c, node->loc, OUT_OF_RANGE,
          "\"%s\" is %.*s, but must be a whole number from %d to %d", key,
          STR_ARG(quantity_text(c, q)), least, most);
    return standing;
}
