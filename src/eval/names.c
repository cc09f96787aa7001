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

/* ---- Where a name is used ---- */

static bool reads_name(Ctx *c, const Sizes *s, const Read *r, Str name) {
    Names names = { 0 };

    names_of(c, s, (From){ r->scope, -1 }, r->node, r->from, r->to, &names);
    for (int i = 0; i < names.n; i++)
        if (str_eq(names.at[i], name))
            return true;
    return false;
}

static int by_place(const void *pa, const void *pb, const void *with) {
    const SizeUse *a = pa, *b = pb;

    (void)with;
    if (a->node->loc.file != b->node->loc.file)
        return a->node->loc.file < b->node->loc.file ? -1 : 1;
    if (a->node->loc.begin != b->node->loc.begin)
        return a->node->loc.begin < b->node->loc.begin ? -1 : 1;
    return (a->from > b->from) - (a->from < b->from);
}

/* Formulas may be read more than once. */
void sizes_uses(Ctx *c, const Sizes *s, Str name, SizeUses *out) {
    SizeUses all = { 0 };

    for (int i = 0; i < s->reads.n; i++) {
        const Read *r = &s->reads.at[i];
        if (reads_name(c, s, r, name))
            *PUSH(c, &all) = (SizeUse){ r->node, r->from, r->to };
    }
    list_sort(c, all.at, all.n, sizeof *all.at, by_place, NULL);
    for (int i = 0; i < all.n; i++)
        if (i == 0 || by_place(&all.at[i - 1], &all.at[i], NULL) != 0)
            *PUSH(c, out) = all.at[i];
}
