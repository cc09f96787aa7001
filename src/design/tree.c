/* tree -- joins the places of the scan with the values that cJSON read.
 *
 * Both go through the document in the same order, so the join only counts.
 * After a good scan cJSON can fail for want of memory only.
 */
#include "design/design_internal.h"

#include <assert.h>
#include <cjson/cJSON.h>

typedef struct {
    Ctx        *c;
    const Scan *scan;
    Str         source;
    int         next;         // of scan->values
    bool        duplicates;   // were seen
} Join;

static NodeKind kind_of(const cJSON *item) {
    if (cJSON_IsObject(item))
        return NODE_OBJECT;
    if (cJSON_IsArray(item))
        return NODE_LIST;
    if (cJSON_IsString(item))
        return NODE_TEXT;
    if (cJSON_IsNumber(item))
        return NODE_NUMBER;
    return cJSON_IsBool(item) ? NODE_BOOL : NODE_NULL;
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
static void check_duplicates(Join *j, const Node *object) {
    const Node **members = NEW_N(j->c, const Node *, object->count);
    int          n       = 0;

    for (const Node *m = object->first; m; m = m->next)
        members[n++] = m;
    list_sort(j->c, members, n, sizeof *members, by_key, NULL);
    for (int i = 1; i < n; i++) {
        if (!str_eq(members[i - 1]->key, members[i]->key))
            continue;
        j->duplicates = true;
        report(j->c, members[i]->key_loc, JSON_DUPLICATE,
               "the key \"%.*s\" stands here again: see line %d",
               STR_ARG(members[i]->key),
               loc_line_col(j->c, members[i - 1]->key_loc).line);
        if (diags_full(j->c))   // lines are slow to count
            return;
    }
}

/* ---- The join ---- */

/* Most texts have no escapes and stand in the source as they are. */
static Str text_of(Join *j, const char *s, Loc quoted) {
    size_t n = strlen(s);

    if (n + 2 == quoted.end - quoted.begin)
        return str_part(j->source, quoted.begin + 1, quoted.end - 1);
    return str_copy(j->c, (Str){ s, n });
}

static Node *join(Join *j, const cJSON *item) {
    const ScanValue *v    = &j->scan->values.at[j->next++];
    Node            *node = NEW(j->c, Node), **end = &node->first;
    const cJSON     *child;

    assert(j->next <= j->scan->values.n && v->kind == kind_of(item));
    node->kind    = v->kind;
    node->loc     = v->loc;
    node->key_loc = v->key_loc;
    node->plain   = v->plain;
    node->truth   = cJSON_IsTrue(item);
    if (item->string)
        node->key = text_of(j, item->string, v->key_loc);
    if (node->kind == NODE_TEXT) {
        node->text = text_of(j, item->valuestring, v->loc);
    } else if (node->kind == NODE_NUMBER) {
        node->text   = str_part(j->source, v->loc.begin, v->loc.end);
        node->number = item->valuedouble;
    }
    cJSON_ArrayForEach(child, item) {
        *end = join(j, child);
        end  = &(*end)->next;
        node->count++;
    }
    if (node->kind == NODE_OBJECT && !few_differ(node))
        check_duplicates(j, node);
    return node;
}

/* cJSON wants the NUL counted in, else it takes what trails for good. */
static Node *tree_build(Ctx *c, int file, const Scan *scan) {
    Join   j     = { .c = c, .scan = scan };
    cJSON *items = cJSON_ParseWithLengthOpts(
        scan->blanked.s, scan->blanked.n + 1, NULL, 1);
    Node  *root;

    if (!items)
        arena_take(&c->arena, SIZE_MAX);   // the way out of exhaustion
    j.source = c->sources.at[file].text;
    root     = join(&j, items);
    cJSON_Delete(items);
    assert(j.next == scan->values.n);
    return j.duplicates ? NULL : root;
}

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
    Scan  scan = { 0 };
    Node *root;

    if (c->sources.at[file].text.n >= UINT32_MAX) {
        report_plain(c, NOT_A_DESIGN, "%.*s is too large for a design",
                     STR_ARG(c->sources.at[file].path));
        return NULL;
    }
    if (!scan_source(c, file, &scan))
        return NULL;
    root = tree_build(c, file, &scan);
    return root && is_design(c, root) ? root : NULL;
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
