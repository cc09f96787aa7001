/* access -- finding members of a node and saying what is wrong with them. */
#include "design/design.h"

const char *node_kind_name(NodeKind kind) {
    static const char *const names[] = {   // ORDER NODE
        "null", "true or false", "a number", "a text", "a list", "an object"
    };

    return names[kind];
}

const Node *node_find(const Node *object, const char *key) {
    if (!object || object->kind != NODE_OBJECT)
        return NULL;
    for (const Node *m = object->first; m; m = m->next)
        if (str_is(m->key, key))
            return m;
    return NULL;
}

/* ---- Members of one kind ---- */

/* Stages may ask for one member several times; the answer is reported
 * once. */
static bool is_reported(const Ctx *c, Loc loc, DiagCode code) {
    for (int i = c->diags.n - 1; i >= 0; i--) {
        const Diag *d = &c->diags.at[i];
        if (d->code == code && d->has_place && d->loc.file == loc.file
            && d->loc.begin == loc.begin && d->loc.end == loc.end)
            return true;
    }
    return false;
}

static void wrong_kind(Ctx *c, const Node *node, const char *what,
                       NodeKind due) {
    static const char *const ways[] = {   // ORDER NODE
        "", "write true or false, without quotes",
        "write a number without quotes", "write it in double quotes",
        "write it in brackets: [ ... ]",
        "write it in braces: { \"key\": value }"
    };

    if (is_reported(c, node->loc, WRONG_KIND))
        return;
    report(c, node->loc, WRONG_KIND, "%s is %s, but must be %s", what,
           node_kind_name(node->kind), node_kind_name(due));
    hint(c, "%s", ways[due]);
}

static const Node *of_kind(Ctx *c, const Node *object, const char *key,
                           NodeKind kind) {
    const Node *node = node_find(object, key);

    if (!node || node->kind == kind)
        return node;
    wrong_kind(c, node, str_z(c, str_fmt(c, "\"%s\"", key)), kind);
    return NULL;
}

const Node *node_text(Ctx *c, const Node *object, const char *key) {
    return of_kind(c, object, key, NODE_TEXT);
}

const Node *node_list(Ctx *c, const Node *object, const char *key) {
    return of_kind(c, object, key, NODE_LIST);
}

const Node *node_object(Ctx *c, const Node *object, const char *key) {
    return of_kind(c, object, key, NODE_OBJECT);
}

Str node_str(Ctx *c, const Node *object, const char *key) {
    const Node *node = node_text(c, object, key);

    return node ? node->text : STR("");
}

bool node_bool(Ctx *c, const Node *object, const char *key, bool standing) {
    const Node *node = of_kind(c, object, key, NODE_BOOL);

    return node ? node->truth : standing;
}

/* A key that is reported as unknown, but was meant to be this one. */
static bool is_misspelt(const Ctx *c, const Node *object, const char *key) {
    Str due = { key, strlen(key) };

    for (const Node *m = object->first; m; m = m->next)
        if (nearest_name(m->key, &due, 1).n
            && is_reported(c, m->key_loc, UNKNOWN_KEY))
            return true;
    return false;
}

const Node *node_need(Ctx *c, const Node *object, const char *key,
                      const char *what) {
    const Node *node = node_find(object, key);

    if (!node && object && object->kind == NODE_OBJECT
        && !is_misspelt(c, object, key)) {
        report(c, object->loc, MISSING_KEY, "%s has no \"%s\"", what, key);
        hint(c, "add \"%s\"", key);
    }
    return node;
}

/* ---- Choices and known keys ---- */

/* The hint for a word that is none of `known`. */
static void hint_known(Ctx *c, Str wrong, const char *const *known) {
    LIST(Str) all  = { 0 };
    Buf       list = BUF(c);
    Str       near;

    for (int i = 0; known[i]; i++) {
        *PUSH(c, &all) = str_from(c, known[i]);
        buf_add(&list, "%s\"%s\"", i ? ", " : "", known[i]);
    }
    near = nearest_name(wrong, all.at, all.n);
    if (near.n)
        hint(c, "did you mean \"%.*s\"?", STR_ARG(near));
    else
        hint(c, "known: %.*s", STR_ARG(buf_done(&list)));
}

int node_choice(Ctx *c, const Node *object, const char *key,
                const char *const *choices, int standing) {
    const Node *node = node_text(c, object, key);

    if (!node)
        return standing;
    for (int i = 0; choices[i]; i++)
        if (str_is(node->text, choices[i]))
            return i;
    if (!is_reported(c, node->loc, BAD_CHOICE)) {
        report(c, node->loc, BAD_CHOICE, "\"%s\" cannot be \"%.*s\"", key,
               STR_ARG(node->text));
        hint_known(c, node->text, choices);
    }
    return standing;
}

static bool is_known(Str key, const char *const *known) {
    for (int i = 0; known[i]; i++)
        if (str_is(key, known[i]))
            return true;
    return false;
}

bool node_check_keys(Ctx *c, const Node *object, const char *const *known,
                     const char *what) {
    bool ok = true;

    if (!object)
        return true;
    if (object->kind != NODE_OBJECT) {
        wrong_kind(c, object, what, NODE_OBJECT);
        return false;
    }
    for (const Node *m = object->first; m; m = m->next) {
        if (str_is(m->key, "note"))   // most are read by nobody
            (void)!node_text(c, object, "note");
        if (is_known(m->key, known))
            continue;
        ok = false;
        report(c, m->key_loc, UNKNOWN_KEY, "\"%.*s\" is no key of %s",
               STR_ARG(m->key), what);
        if (diags_full(c))   // the nearest of many is slow to find
            break;
        hint_known(c, m->key, known);
    }
    return ok;
}

/* ---- Places within a text ---- */

Loc node_span(const Node *text, size_t from, size_t to) {
    Loc loc = text->loc;

    if (text->kind != NODE_TEXT || !text->plain || from > to
        || to > text->text.n)
        return loc;
    loc.end   = loc.begin + 1 + (uint32_t)to;
    loc.begin = loc.begin + 1 + (uint32_t)from;
    return loc;
}

/* ---- Dump ---- */

/* The file is said of what is not in the design's own. */
static void dump_node(Buf *out, const Ctx *c, int home, const Node *node,
                      int depth) {
    static const char *const words[] = {   // ORDER NODE
        "null", "bool", "number", "text", "list", "object"
    };
    LineCol lc = loc_line_col(c, node->loc);

    buf_add(out, "%*s", 2 * depth, "");
    if (node->loc.file != home)
        buf_add(out, "%.*s:", STR_ARG(c->sources.at[node->loc.file].path));
    buf_add(out, "%d:%d ", lc.line, lc.col);
    if (node->key_loc.end) {
        buf_json(out, node->key);
        buf_add(out, ": ");
    }
    buf_add(out, "%s", words[node->kind]);
    if (node->kind == NODE_TEXT) {
        buf_add(out, " ");
        buf_json(out, node->text);
    } else if (node->kind == NODE_NUMBER) {
        buf_add(out, " %.*s", STR_ARG(node->text));
    } else if (node->kind == NODE_BOOL) {
        buf_add(out, " %s", node->truth ? "true" : "false");
    }
    buf_add(out, "\n");
    for (const Node *child = node->first; child; child = child->next)
        dump_node(out, c, home, child, depth + 1);
}

void design_dump(Buf *out, const Ctx *c, const Design *d) {
    dump_node(out, c, d->file, d->root, 0);
}
