/* include -- what several designs share: a shop's own lists and defaults.
 *
 * A file says for itself, and what it does not say comes from the files it
 * includes: entry by entry for lists of names (sizes, stock, hardware,
 * finishes) and for small objects (by, print, saw), as a whole for texts.
 * Cautions add up, so that none is lost. What two included files both say is
 * an error unless the file that includes them settles it; a file that is
 * reached on two ways is merged once.
 *
 * Only files below the design's folder or the library are read: a plan that
 * was downloaded must not carry a stranger's files into its booklet. The
 * path is tested as written before anything is touched, and again with its
 * links followed.
 */
#include "design/design_internal.h"

#define MOST_OPEN 100   // files that include each other in a row

/* A file that was read, with all that it includes. */
typedef struct {
    Str         real;    // its path, links followed
    Str         shown;   // as messages name it
    const Node *root;    // NULL: errors are reported
    bool        open;    // its own includes are being read
} Shared;

typedef LIST(const Node *) Roots;

typedef struct {
    Ctx          *c;
    Str           home;      // the design's folder
    Str           library;   // its folder, if there is one
    bool          has_library;
    LIST(Shared)  files;
    LIST(int)     chain;     // of `files`, from the design inward
} Inclusion;

Node *node_copy(Ctx *c, const Node *node) {
    Node *copy = NEW(c, Node);

    *copy      = *node;
    copy->next = NULL;
    return copy;
}

void node_append(Node *owner, Node **end, Node *node) {
    if (*end)
        (*end)->next = node;
    else
        owner->first = node;
    *end = node;
    owner->count++;
}

/* ---- Merging ---- */

/* An entry on its way into the merged object. */
typedef struct {
    Node *node;
    bool  own;    // of the file that includes
    bool  lost;   // the file says it for itself, or it is here already
} Entry;

typedef LIST(Entry) Entries;

static int by_key(const void *pa, const void *pb, const void *with) {
    const Entry *const *a = pa, *const *b = pb;

    (void)with;
    return str_cmp((*a)->node->key, (*b)->node->key);
}

static bool is_same(const Node *a, const Node *b) {
    return a->loc.file == b->loc.file && a->loc.begin == b->loc.begin;
}

static void report_twice(Ctx *c, const Node *node, const Node *other) {
    report(c, node->key_loc, INCLUDE_TWICE,
           "'%.*s' is defined here and in %.*s, line %d",
           STR_ARG(node->key),
           STR_ARG(c->sources.at[other->loc.file].path),
           loc_line_col(c, other->key_loc).line);
}

/* Marks what loses; entries of one name lie together, the own one first. */
static void settle(Ctx *c, const Entries *entries) {
    const Entry *first = NULL;
    Entry      **order = NEW_N(c, Entry *, entries->n);

    for (int i = 0; i < entries->n; i++)
        order[i] = &entries->at[i];
    list_sort(c, order, entries->n, sizeof *order, by_key, NULL);
    for (int i = 0; i < entries->n; i++) {
        if (!first || !str_eq(first->node->key, order[i]->node->key)) {
            first = order[i];
            continue;
        }
        order[i]->lost = true;
        if (!first->own && !is_same(first->node, order[i]->node))
            report_twice(c, order[i]->node, first->node);
    }
}

static void add_entries(Ctx *c, Entries *entries, const Node *object,
                        bool own) {
    for (Node *n = object->first, *next; n; n = next) {
        Entry *e = PUSH(c, entries);
        next    = n->next;
        e->node = own ? n : node_copy(c, n);
        e->own  = own;
    }
}

/* The member of a file's root, made of what it includes if it has none. */
static Node *member_of(Ctx *c, Node *root, const char *key,
                       const Node *model) {
    Node *last = NULL, *made;

    for (Node *n = root->first; n; last = n, n = n->next) {
        if (str_is(n->key, key))
            return n;
    }
    made        = node_copy(c, model);
    made->first = NULL;
    made->count = 0;
    node_append(root, &last, made);
    return made;
}

/* Objects are merged by their keys. */
static void merge_object(Ctx *c, Node *root, const char *key,
                         const Roots *from) {
    Entries entries = { 0 };
    Node   *into    = NULL, *last = NULL;

    for (int i = 0; i < from->n; i++) {
        const Node *one = node_object(c, from->at[i], key);
        if (!one)
            continue;
        if (!into) {
            into = member_of(c, root, key, one);
            add_entries(c, &entries, into, true);
        }
        add_entries(c, &entries, one, false);
    }
    if (!into || into->kind != NODE_OBJECT)
        return;
    settle(c, &entries);
    into->first = NULL;
    into->count = 0;
    for (int i = 0; i < entries.n; i++) {
        if (!entries.at[i].lost)
            node_append(into, &last, entries.at[i].node);
    }
    if (last)
        last->next = NULL;
}

/* Lists are put one after the other, each item once. */
static void merge_list(Ctx *c, Node *root, const char *key,
                       const Roots *from) {
    for (int i = 0; i < from->n; i++) {
        const Node *one  = node_list(c, from->at[i], key);
        Node       *into = one ? member_of(c, root, key, one) : NULL;
        if (!into || into->kind != NODE_LIST)
            continue;
        for (const Node *n = one->first; n; n = n->next) {
            Node *last = NULL;
            bool  here = false;
            for (Node *o = into->first; o; last = o, o = o->next)
                here = here || is_same(o, n);
            if (!here)
                node_append(into, &last, node_copy(c, n));
        }
    }
}

/* Anything else comes whole, from one file. */
static void merge_whole(Ctx *c, Node *root, const char *key,
                        const Roots *from) {
    const Node *found = NULL;
    Node       *last  = root->first;

    if (node_find(root, key))
        return;
    while (last && last->next)
        last = last->next;
    for (int i = 0; i < from->n; i++) {
        const Node *one = node_find(from->at[i], key);
        if (!one)
            continue;
        if (!found)
            node_append(root, &last, node_copy(c, one));
        else if (!is_same(found, one))
            report_twice(c, one, found);
        found = found ? found : one;
    }
}

static void merge(Ctx *c, Node *root, const Roots *from) {
    static const char *const objects[] = {
        "sizes", "stock", "hardware", "finishes", "by", "print", "saw"
    };

    for (int i = 0; i < COUNT(objects); i++)
        merge_object(c, root, objects[i], from);
    merge_list(c, root, "caution", from);
    merge_whole(c, root, "terms", from);
    merge_whole(c, root, "care", from);
}

/* ---- Finding files ---- */

static bool is_allowed(const Inclusion *in, Str path) {
    return path_is_below(in->home, path)
        || (in->has_library && path_is_below(in->library, path));
}

typedef enum { FOUND, MISSING, OUTSIDE } Search;

/* Is there a file of this name, as seen from a folder? */
static Search search(Inclusion *in, Str folder, Str name, Str *real,
                     const char **why) {
    Str path = path_join(in->c, folder, name);

    if (!is_allowed(in, path))
        return OUTSIDE;
    if (!path_real(in->c, path, real, why))
        return MISSING;
    return is_allowed(in, *real) ? FOUND : OUTSIDE;
}

/* The name as messages show it, as seen from the working folder. */
static Str shown_path(Ctx *c, Str folder, Str name) {
    return folder.n ? str_fmt(c, "%.*s%s%.*s", STR_ARG(folder),
                              str_ends(folder, "/") ? "" : "/",
                              STR_ARG(name))
                    : name;
}

static void report_outside(Inclusion *in, const Node *name) {
    report(in->c, name->loc, INCLUDE_OUTSIDE,
           "'%.*s' is not below the design's folder%s",
           STR_ARG(name->text), in->has_library ? " or the library" : "");
    if (str_begins(name->text, "/"))
        hint(in->c, "write the path as seen from this file's folder");
    else if (in->has_library)
        hint(in->c, "put the file into one of the two");
}

/* Beside the including file first, then in the library. */
static bool find_file(Inclusion *in, const Node *name, Str *real,
                      Str *shown) {
    const Shared *by   = &in->files.at[in->chain.at[in->chain.n - 1]];
    const char   *why  = "", *other = "";
    Search        here = OUTSIDE, there = OUTSIDE;

    *shown = shown_path(in->c, path_folder(by->shown), name->text);
    if (!str_begins(name->text, "/"))
        here = search(in, path_folder(by->real), name->text, real, &why);
    if (here == MISSING && in->has_library) {
        there = search(in, in->library, name->text, real, &other);
        if (there == FOUND)
            *shown = shown_path(in->c, str_from(in->c, in->c->library),
                                name->text);
    }
    if (here == FOUND || there == FOUND)
        return true;
    if (here == OUTSIDE) {
        report_outside(in, name);
        return false;
    }
    in->c->io_failed = true;
    report(in->c, name->loc, FILE_READ, "cannot read %.*s: %s",
           STR_ARG(*shown), why);
    return false;
}

/* ---- Reading ---- */

static bool read_includes(Inclusion *in, Node *root);

static int shared_new(Inclusion *in, Str real, Str shown) {
    Shared *f = PUSH(in->c, &in->files);

    f->real  = real;
    f->shown = shown;
    return in->files.n - 1;
}

/* "bench.json → shop.json → bench.json" */
static void report_loop(Inclusion *in, const Node *name, int again) {
    Buf path  = BUF(in->c);
    int start = 0;

    while (in->chain.at[start] != again)
        start++;
    for (int i = start; i < in->chain.n; i++)
        buf_add(&path, "%.*s → ",
                STR_ARG(in->files.at[in->chain.at[i]].shown));
    buf_str(&path, in->files.at[again].shown);
    report(in->c, name->loc, INCLUDE_LOOP,
           "this file includes itself: %.*s", STR_ARG(buf_done(&path)));
}

/* Reads a file that was found, with all that it includes. */
static const Node *read_shared(Inclusion *in, const Node *name, Str real,
                               Str shown) {
    static const char *const known[] = {   // SCHEMA-SOME design
        "$schema", "rodbook", "include", "sizes", "stock", "hardware",
        "finishes", "saw", "by", "terms", "print", "caution", "care", "note",
        NULL
    };
    int   file  = source_read_for(in->c, name->loc, str_z(in->c, real),
                                  shown);
    int   index = shared_new(in, real, shown);
    Node *root  = file < 0 ? NULL : tree_read(in->c, file);
    bool  ok    = root != NULL;

    if (ok) {
        ok = node_check_keys(in->c, root, known, "an included file");
        in->files.at[index].open = true;
        *PUSH(in->c, &in->chain) = index;
        ok = read_includes(in, root) && ok;
        in->chain.n--;
        in->files.at[index].open = false;
    }
    in->files.at[index].root = ok ? root : NULL;
    return in->files.at[index].root;
}

static const Node *include_one(Inclusion *in, const Node *name) {
    Str real, shown;

    if (name->kind != NODE_TEXT) {
        report(in->c, name->loc, WRONG_KIND,
               "the path of a file is due here, not %s",
               node_kind_name(name->kind));
        hint(in->c, "write it in double quotes");
        return NULL;
    }
    if (!find_file(in, name, &real, &shown))
        return NULL;
    for (int i = 0; i < in->files.n; i++) {
        if (!str_eq(in->files.at[i].real, real))
            continue;
        if (in->files.at[i].open)
            report_loop(in, name, i);
        return in->files.at[i].open ? NULL : in->files.at[i].root;
    }
    if (in->chain.n < MOST_OPEN)
        return read_shared(in, name, real, shown);
    report(in->c, name->loc, JSON_DEPTH,
           "more than %d files include each other in a row", MOST_OPEN);
    hint(in->c, "include them side by side instead");
    return NULL;
}

/* "include" is a text or a list of texts. */
static bool read_includes(Inclusion *in, Node *root) {
    const Node *list = node_find(root, "include"), *name;
    Roots       from = { 0 };
    int         due  = 0, errors = in->c->errors;

    if (!list)
        return true;
    name = list->kind == NODE_LIST ? list->first : list;
    for (; name; name = list->kind == NODE_LIST ? name->next : NULL) {
        const Node *one = include_one(in, name);
        due++;
        if (one)
            *PUSH(in->c, &from) = one;
    }
    if (from.n == due)
        merge(in->c, root, &from);
    return from.n == due && in->c->errors == errors;
}

static bool find_library(Inclusion *in) {
    const char *why = "";

    in->has_library = in->c->library != NULL;
    if (!in->has_library
        || path_real(in->c, str_from(in->c, in->c->library), &in->library,
                     &why))
        return true;
    in->c->io_failed = true;
    report_plain(in->c, FILE_READ, "cannot read the library %s: %s",
                 in->c->library, why);
    return false;
}

bool include_all(Ctx *c, int file, Node *root) {
    Inclusion   in   = { .c = c };
    Str         path = c->sources.at[file].path, real;
    const char *why  = "";
    int         self;

    if (!find_library(&in))
        return false;
    if (!node_find(root, "include"))
        return true;
    if (!path_real(c, path, &real, &why))
        real = path_join(c, STR(""), path);
    in.home = path_folder(real);
    self    = shared_new(&in, real, path);
    in.files.at[self].open = true;
    *PUSH(c, &in.chain)    = self;
    return read_includes(&in, root);
}
