/* variant -- one design in several sizes.
 *
 *     "variants": {"tall": {"title": "Tall bench",
 *                           "sizes": {"height": "30in"}}}
 *
 * A variant changes what the design has; it adds no sizes of its own, so a
 * misspelt name is found instead of being given a value nobody uses. The
 * changed design is a new tree that shares all else with the old one.
 */
#include "design/design_internal.h"

/* ---- What is wrong with them ---- */

static bool is_word_char(char ch) {
    return (ch >= 'a' && ch <= 'z') || (ch >= 'A' && ch <= 'Z')
        || (ch >= '0' && ch <= '9') || ch == ' ' || ch == '-' || ch == '_';
}

/* The name goes into file names and page feet. */
static void check_name(Ctx *c, const Node *variant) {
    Str  name = variant->key;
    bool ok   = name.n > 0 && name.n <= 40 && str_eq(str_trim(name), name);

    for (size_t i = 0; i < name.n; i++)
        ok = ok && is_word_char(name.s[i]);
    if (ok)
        return;
    report(c, variant->key_loc, BAD_CHOICE,
           "'%.*s' cannot be the name of a variant", STR_ARG(name));
    hint(c, "names hold up to 40 letters, digits, spaces, - and _");
}

static void hint_nearest(Ctx *c, Str wrong, const Node *object,
                         const char *other) {
    LIST(Str) known = { 0 };
    Str       near;

    for (const Node *n = object ? object->first : NULL; n; n = n->next)
        *PUSH(c, &known) = n->key;
    near = nearest_name(wrong, known.at, known.n);
    if (near.n)
        hint(c, "did you mean '%.*s'?", STR_ARG(near));
    else
        hint(c, "%s", other);
}

static Node *child(const Node *object, Str key) {
    for (Node *n = object ? object->first : NULL; n; n = n->next) {
        if (str_eq(n->key, key))
            return n;
    }
    return NULL;
}

static void check_sizes(Ctx *c, const Node *root, const Node *variant) {
    const Node *mine = node_object(c, variant, "sizes");
    const Node *all  = node_object(c, root, "sizes");

    for (const Node *n = mine ? mine->first : NULL; n; n = n->next) {
        if (child(all, n->key))
            continue;
        report(c, n->key_loc, UNKNOWN_NAME,
               "the design has no size '%.*s' to change", STR_ARG(n->key));
        hint_nearest(c, n->key, all, "define it in the design's \"sizes\"");
    }
}

void variants_check(Ctx *c, const Node *root) {
    static const char *const known[] = {   // SCHEMA variant
        "title", "code", "print", "sizes", "note", NULL
    };
    const Node *all = node_object(c, root, "variants");

    for (const Node *n = all ? all->first : NULL; n; n = n->next) {
        check_name(c, n);
        if (node_check_keys(c, n, known, "a variant")
            || n->kind == NODE_OBJECT)
            check_sizes(c, root, n);
        (void)!node_text(c, n, "title");
        (void)!node_text(c, n, "code");
        (void)!node_object(c, n, "print");
    }
}

/* ---- Making one ---- */

/* A changed size keeps the note of the design's. */
static Node *changed_size(Ctx *c, const Node *was, const Node *is) {
    Node *made, *last = NULL;

    if (was->kind != NODE_OBJECT || is->kind == NODE_OBJECT)
        return node_copy(c, is);
    made        = node_copy(c, was);
    made->first = NULL;
    made->count = 0;
    for (const Node *n = was->first; n; n = n->next) {
        Node *copy = node_copy(c, str_is(n->key, "is") ? is : n);
        copy->key  = n->key;
        node_append(made, &last, copy);
    }
    return made;
}

static bool is_size(const Node *owner) {
    return str_is(owner->key, "sizes");
}

/* An object whose members are replaced and added to by another's. */
static Node *changed(Ctx *c, const Node *was, const Node *by) {
    Node *made = node_copy(c, was), *last = NULL;

    if (was->kind != NODE_OBJECT || by->kind != NODE_OBJECT)
        return node_copy(c, by);
    made->first = NULL;
    made->count = 0;
    for (const Node *n = was->first; n; n = n->next) {
        const Node *now = child(by, n->key);
        node_append(made, &last,
                    !now ? node_copy(c, n)
                    : is_size(was) ? changed_size(c, n, now)
                                   : node_copy(c, now));
    }
    for (const Node *n = by->first; n; n = n->next) {
        if (!is_size(was) && !child(was, n->key))
            node_append(made, &last, node_copy(c, n));
    }
    return made;
}

static Node *changed_root(Ctx *c, const Node *root, const Node *variant) {
    static const char *const keys[] = { "title", "code", "print", "sizes" };
    Node *made = node_copy(c, root), *last = NULL;

    made->first = NULL;
    made->count = 0;
    for (const Node *n = root->first; n; n = n->next) {
        const Node *now = NULL;
        for (int i = 0; i < COUNT(keys); i++) {
            if (str_is(n->key, keys[i]))
                now = node_find(variant, keys[i]);
        }
        node_append(made, &last, now ? changed(c, n, now)
                                     : node_copy(c, n));
    }
    for (int i = 0; i < COUNT(keys); i++) {   // what the design leaves out
        const Node *now = node_find(variant, keys[i]);
        if (now && !node_find(root, keys[i]) && !is_size(now))
            node_append(made, &last, node_copy(c, now));
    }
    return made;
}

const Design *design_variant(Ctx *c, const Design *d, Str name) {
    const Node *all     = node_object(c, d->root, "variants");
    const Node *variant = child(all, name);
    Design     *made    = NEW(c, Design);

    *made = *d;
    if (name.n == 0)
        return made;
    if (!variant) {
        report_plain(c, UNKNOWN_NAME, "%.*s has no variant '%.*s'",
                     STR_ARG(c->sources.at[d->file].path), STR_ARG(name));
        hint_nearest(c, name, all, all ? "see its \"variants\""
                                       : "it has no \"variants\"");
        return NULL;
    }
    made->root    = changed_root(c, d->root, variant);
    made->variant = variant->key;
    return made;
}
