/* parse -- a formula's text as a tree, by recursive descent.
 *
 *     formula    = comparison END
 *     comparison = sum (("<" | "<=" | ">" | ">=" | "=" | "<>") sum)?
 *     sum        = product (("+" | "-") product)*
 *     product    = factor (("*" | "/") factor)*
 *     factor     = ("-" | "+") factor | primary
 *     primary    = value | name | name "(" values? ")" | "(" comparison ")"
 *     values     = comparison ("," comparison)*
 *
 * The first mistake ends the parse: one formula, one message.
 */
#include "eval/eval_internal.h"

#define DEEPEST   60     // brackets and signs within each other
#define MOST_NODES 2000   // of one formula

typedef struct {
    Ctx           *c;
    const Formula *f;
    Token          token;      // the one that is looked at
    size_t         last_end;   // of the token before it
    int            depth, nodes;
} Parser;

static Ast *comparison(Parser *p);

static void advance(Parser *p) {
    p->last_end = p->token.to;
    p->token    = lex_token(p->c, p->f, p->token.to);
}

static Str token_text(const Parser *p) {
    return str_part(p->f->text, p->token.from, p->token.to);
}

/* Reports what is wrong at the present token, unless the lexer has. */
static Ast *unexpected(Parser *p, const char *due) {
    size_t from = p->token.from, to = p->token.to;
    bool   news;

    if (p->token.kind == TOK_BAD)
        return NULL;
    if (p->token.kind == TOK_END) {
        from = to = p->last_end;
        fault(p->c, formula_loc(p->f, from, to), FORMULA_SYNTAX,
              "the formula ends where %s is due", due);
        return NULL;
    }
    news = fault(p->c, formula_loc(p->f, from, to), FORMULA_SYNTAX,
                 "'%.*s' stands where %s is due", STR_ARG(token_text(p)),
                 due);
    if (news && p->token.kind == TOK_COMMA)
        hint(p->c, "write decimals with a point: 9.5cm");
    else if (news && p->token.kind == TOK_VALUE)
        hint(p->c, "put an operator before it; a slope is written 7 in 12");
    return NULL;
}

static Ast *node_new(Parser *p, AstKind kind, size_t from, size_t to) {
    Ast *ast = NEW(p->c, Ast);

    ast->kind = kind;
    ast->loc  = formula_loc(p->f, from, to);
    p->nodes++;
    return ast;
}

static bool too_much(Parser *p) {
    if (p->depth <= DEEPEST && p->nodes <= MOST_NODES)
        return false;
    if (fault(p->c, formula_loc(p->f, 0, p->f->text.n), FORMULA_SYNTAX,
              "this formula is too long or too deep to be read"))
        hint(p->c, "give parts of it names of their own in \"sizes\"");
    return true;
}

static Ast *binary(Parser *p, size_t from, Token op, Ast *left, Ast *right) {
    Ast *ast;

    if (!right || too_much(p))
        return NULL;
    ast         = node_new(p, AST_BINARY, from, p->last_end);
    ast->op     = op.kind;
    ast->op_loc = formula_loc(p->f, op.from, op.to);
    *PUSH(p->c, &ast->args) = left;
    *PUSH(p->c, &ast->args) = right;
    return ast;
}

/* ---- Primaries ---- */

/* The name before the bracket is no function. */
static Ast *unknown_function(Parser *p, Token name) {
    Str near = function_nearest(name.name);

    if (!fault(p->c, formula_loc(p->f, name.from, name.to), UNKNOWN_NAME,
               "there is no function '%.*s'", STR_ARG(name.name)))
        return NULL;
    if (near.n)
        hint(p->c, "did you mean '%.*s'?", STR_ARG(near));
    else
        hint(p->c, "to multiply by a bracket, write *");
    return NULL;
}

static bool check_count(Parser *p, const Ast *call) {
    const Function *fn = call->function;
    int             n  = call->args.n;

    if (n >= fn->least && n <= fn->most)
        return true;
    if (fault(p->c, call->loc, FORMULA_SYNTAX,
              "%s takes %s%d %s, but %d %s given", fn->name,
              n < fn->least && fn->most > fn->least ? "at least "
              : n > fn->most && fn->most > fn->least ? "at most " : "",
              n < fn->least ? fn->least : fn->most,
              (n < fn->least ? fn->least : fn->most) == 1 ? "value"
                                                          : "values",
              n, n == 1 ? "is" : "are"))
        hint(p->c, "%s", fn->use);
    return false;
}

/* values ")" -- the token is the first after the opening bracket. */
static bool call_values(Parser *p, Ast *call) {
    if (p->token.kind == TOK_CLOSE)
        return true;
    for (;;) {
        Ast *value = comparison(p);
        if (!value)
            return false;
        *PUSH(p->c, &call->args) = value;
        if (p->token.kind != TOK_COMMA)
            break;
        advance(p);
    }
    if (p->token.kind == TOK_CLOSE)
        return true;
    unexpected(p, "an operator, ',' or ')'");
    return false;
}

static Ast *call(Parser *p, Token name) {
    Ast *ast = node_new(p, AST_CALL, name.from, name.to);

    ast->function = function_find(name.name);
    if (!ast->function)
        return unknown_function(p, name);
    advance(p);
    if (!call_values(p, ast))
        return NULL;
    advance(p);
    ast->loc = formula_loc(p->f, name.from, p->last_end);
    return check_count(p, ast) ? ast : NULL;
}

static Ast *bracket(Parser *p) {
    Ast *inner;

    advance(p);
    inner = comparison(p);
    if (!inner)
        return NULL;
    if (p->token.kind != TOK_CLOSE)
        return unexpected(p, "an operator or ')'");
    advance(p);
    return inner;
}

static Ast *primary(Parser *p) {
    Token token = p->token;
    Ast  *ast;

    if (token.kind == TOK_OPEN)
        return bracket(p);
    if (token.kind != TOK_VALUE && token.kind != TOK_NAME)
        return unexpected(p, "a value");
    advance(p);
    if (token.kind == TOK_NAME && p->token.kind == TOK_OPEN)
        return call(p, token);
    ast        = node_new(p, token.kind == TOK_NAME ? AST_NAME : AST_VALUE,
                          token.from, token.to);
    ast->name  = token.name;
    ast->value = token.value;
    return ast;
}

/* ---- Operators ---- */

static Ast *factor(Parser *p) {
    Token sign = p->token;
    Ast  *inner, *ast;

    p->depth++;
    if (too_much(p))
        return NULL;
    if (sign.kind != TOK_MINUS && sign.kind != TOK_PLUS) {
        ast = primary(p);
        p->depth--;
        return ast;
    }
    advance(p);
    inner = factor(p);
    p->depth--;
    if (!inner || sign.kind == TOK_PLUS)
        return inner;
    ast = node_new(p, AST_NEG, sign.from, p->last_end);
    *PUSH(p->c, &ast->args) = inner;
    return ast;
}

static Ast *product(Parser *p) {
    size_t from = p->token.from;
    Ast   *left = factor(p);

    while (left && (p->token.kind == TOK_TIMES
                    || p->token.kind == TOK_OVER)) {
        Token op = p->token;
        advance(p);
        left = binary(p, from, op, left, factor(p));
    }
    return left;
}

static Ast *sum(Parser *p) {
    size_t from = p->token.from;
    Ast   *left = product(p);

    while (left && (p->token.kind == TOK_PLUS
                    || p->token.kind == TOK_MINUS)) {
        Token op = p->token;
        advance(p);
        left = binary(p, from, op, left, product(p));
    }
    return left;
}

static bool compares(TokKind kind) {
    return kind >= TOK_LESS && kind <= TOK_UNEQUAL;
}

static Ast *comparison(Parser *p) {
    size_t from = p->token.from;
    Ast   *left = sum(p);
    Token  op   = p->token;

    if (!left || !compares(op.kind))
        return left;
    advance(p);
    left = binary(p, from, op, left, sum(p));
    if (left && compares(p->token.kind))
        return unexpected(p, "the end of the comparison");
    return left;
}

const Ast *parse_formula(Ctx *c, const Formula *f) {
    Parser p = { .c = c, .f = f };
    Ast   *ast;

    p.token = lex_token(c, f, 0);
    if (p.token.kind == TOK_END) {
        fault(c, formula_loc(f, 0, f->text.n), FORMULA_SYNTAX,
              "there is no formula here");
        return NULL;
    }
    ast = comparison(&p);
    if (!ast || p.token.kind == TOK_END)
        return ast;
    unexpected(&p, "an operator");
    return NULL;
}
