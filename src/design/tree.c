/* tree -- the tree of one file: what its values are worth, and whether it is
 * a design.
 *
 * After a good scan cJSON can fail for want of memory only.
 */
#include "design/design_internal.h"

#include <cjson/cJSON.h>

/* ---- Values ---- */

/* The one value that stands in `json`. */
static cJSON *value_of(Ctx *c, Str json) {
    cJSON *item = cJSON_ParseWithLength(json.s, json.n);

    if (!item)
        arena_take(&c->arena, SIZE_MAX);   // the way out of exhaustion
    return item;
}

Str text_value(Ctx *c, Str json) {
    cJSON *item = value_of(c, json);
    Str    text = str_from(c, item->valuestring);

    cJSON_Delete(item);
    return text;
}

double number_value(Ctx *c, Str json) {
    cJSON *item   = value_of(c, json);
    double number = item->valuedouble;

    cJSON_Delete(item);
    return number;
}

/* ---- Duplicate keys ---- */

static int by_key(const void *pa, const void *pb, const void *with) {
    const Node *const *a = pa, *const *b = pb;

    (void)with;
    return str_cmp((*a)->key, (*b)->key);
}

#define FEW 8   // members that are sooner compared than sorted

static bool few_differ(const Node *object) {
    if (object->count > FEW)
        return false;
    for (const Node *a = object->first; a; a = a->next) {
        for (const Node *b = a->next; b; b = b->next) {
            if (str_eq(a->key, b->key))
                return false;
        }
    }
    return true;
}

/* Keys are compared unescaped: "a" and "\u0061" are the same key. */
static void report_duplicates(Ctx *c, const Node *object) {
    const Node **members = NEW_N(c, const Node *, object->count);
    int          n       = 0;

    for (const Node *m = object->first; m; m = m->next)
        members[n++] = m;
    list_sort(c, members, n, sizeof *members, by_key, NULL);
    for (int i = 1; i < n; i++) {
        if (!str_eq(members[i - 1]->key, members[i]->key))
            continue;
        report(c, members[i]->key_loc, JSON_DUPLICATE,
               "the key \"%.*s\" stands here again: see line %d",
               STR_ARG(members[i]->key),
               loc_line_col(c, members[i - 1]->key_loc).line);
        if (diags_full(c))   // lines are slow to count
            return;
    }
}

static void check_duplicates(Ctx *c, const Node *node) {
    if (node->kind == NODE_OBJECT && !few_differ(node))
        report_duplicates(c, node);
    for (const Node *child = node->first; child; child = child->next)
        if (child->first)
            check_duplicates(c, child);
}

/* ---- The file ---- */

static bool is_design(Ctx *c, const Node *root) {
    const Node *version = node_find(root, "rodbook");

    if (root->kind != NODE_OBJECT) {
        report(c, root->loc, NOT_A_DESIGN, "this is %s, not a design",
               node_kind_name(root->kind));
        return false;
    }
    if (!version) {
        report(c, root->loc, NOT_A_DESIGN,
               "this object has no \"rodbook\": 1");
        return false;
    }
    if (version->kind == NODE_NUMBER && str_is(version->text, "1"))
        return true;
    report(c, version->loc, NOT_A_DESIGN,
           "\"rodbook\" is %.*s here; this program reads designs of kind 1",
           STR_ARG(str_part(c->sources.at[root->loc.file].text,
                            version->loc.begin, version->loc.end)));
    return false;
}

Node *tree_read(Ctx *c, int file) {
    int   before = c->errors;
    Node *root;

    if (c->sources.at[file].text.n >= UINT32_MAX) {
        report_plain(c, NOT_A_DESIGN, "%.*s is too large for a design",
                     STR_ARG(c->sources.at[file].path));
        return NULL;
    }
    root = scan_source(c, file);
    if (!root)
        return NULL;
    check_duplicates(c, root);
    return c->errors == before && is_design(c, root) ? root : NULL;
}

const Design *design_parse(Ctx *c, int file) {
    Node   *root = tree_read(c, file);
    Design *design;

    if (!root || !include_all(c, file, root))
        return NULL;
    variants_check(c, root);
    design       = NEW(c, Design);
    design->root = root;
    design->file = file;
    return design;
}

const Design *design_read(Ctx *c, const char *path) {
    int file = source_read(c, path);

    return file < 0 ? NULL : design_parse(c, file);
}
