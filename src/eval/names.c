/* names -- which names a formula uses, for those who ask where a value
 * comes from. The formula is read again: what was evaluated is not kept as
 * a tree. */
#include "eval/eval_internal.h"

static void add_name(Ctx *c, Names *out, Str name) {
    for (int i = 0; i < out->n; i++)
        if (str_eq(out->at[i], name))
            return;
    *PUSH(c, out) = name;
}

static void walk(Ctx *c, const Sizes *s, From from, const Ast *ast,
                 Names *out) {
    if (ast->kind == AST_NAME) {
        int index = sizes_resolve(c, s, from, ast->name);
        add_name(c, out, index >= 0 ? s->entries.at[index]->shown.name
                                    : ast->name);
    }
    for (int i = 0; i < ast->args.n; i++)
        walk(c, s, from, ast->args.at[i], out);
}

static void names_of(Ctx *c, const Sizes *s, From from, const Node *node,
                     size_t begin, size_t end, Names *out) {
    Formula    f = { .node = node, .from = begin,
                     .text = str_part(node->text, begin, end) };
    const Ast *ast;

    if (node->kind != NODE_TEXT)
        return;
    ast = parse_formula(c, &f);
    if (ast)
        walk(c, s, from, ast, out);
}

void formula_names(Ctx *c, const Sizes *s, const char *scope,
                   const Node *node, Names *out) {
    span_names(c, s, scope, node, 0, node->text.n, out);
}

void span_names(Ctx *c, const Sizes *s, const char *scope, const Node *node,
                size_t from, size_t to, Names *out) {
    names_of(c, s, (From){ str_from(c, scope), -1 }, node, from, to, out);
}

void sizes_names(Ctx *c, const Sizes *s, Str name, Names *out) {
    for (int i = 0; i < s->entries.n; i++) {
        const Entry *e = s->entries.at[i];
        if (e->node && str_eq(e->shown.name, name))
            names_of(c, s, (From){ e->scope, i }, e->node, 0,
                     e->node->text.n, out);
    }
}
