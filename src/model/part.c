/* part -- sizes and end cuts of parts, worked out when first asked for. */
#include "model/model_internal.h"

#include <math.h>

#define DEG (3.14159265358979323846 / 180)

/* ---- Letters ---- */

static bool letter_is_good(Str s) {
    if (s.n < 1 || s.n > 2)
        return false;
    for (size_t i = 0; i < s.n; i++) {
        if (s.s[i] < 'A' || s.s[i] > 'Z')
            return false;
    }
    return true;
}

/* A … Z before AA … ZZ. */
static int by_letter(const void *pa, const void *pb, const void *with) {
    const Node *const *a = pa, *const *b = pb;

    (void)with;
    if ((*a)->key.n != (*b)->key.n)
        return (*a)->key.n < (*b)->key.n ? -1 : 1;
    return str_cmp((*a)->key, (*b)->key);
}

int model_find_part(const Model *m, Str letter) {
    for (int i = 0; i < m->parts.n; i++) {
        if (str_eq(m->parts.at[i].letter, letter))
            return i;
    }
    return -1;
}

/* ---- Declaring: names into the graph, no values yet ---- */

static const char *const part_keys[] = {   // SCHEMA part
    "name", "from", "length", "width", "thickness", "sizes", "ends", "edges",
    "outline", "features", "joined", "jig", "finish", "template", "note",
    "fit", "cut with", NULL
};

static void declare_sizes(Build *b, const Part *part, const Node *node) {
    static const char *const names[] = { "length", "width", "thickness" };
    Str         prefix = str_fmt(b->c, "%.*s.", STR_ARG(part->letter));
    const Node *sizes  = node_object(b->c, node, "sizes");

    for (int i = 0; i < COUNT(names); i++) {
        const Node *given = node_find(node, names[i]);
        if (given)
            sizes_define(b->c, b->s,
                         str_fmt(b->c, "%.*s%s", STR_ARG(prefix), names[i]),
                         given, &DIM_LENGTH);
    }
    if (sizes)
        sizes_read(b->c, b->s, sizes, str_z(b->c, prefix));
}

static const char *part_title(Build *b, const Part *part) {
    return str_z(b->c, str_fmt(b->c, "part %.*s", STR_ARG(part->letter)));
}

static void declare_part(Build *b, const Node *node) {
    Part *part = PUSH(b->c, &b->m->parts);

    part->letter = node->key;
    part->loc    = node->key_loc;
    part->stock  = -1;
    part->finish = -1;
    part->cut_with = -1;
    if (!letter_is_good(node->key))
        report(b->c, node->key_loc, BAD_LETTER,
               "'%.*s' is not a part letter", STR_ARG(node->key));
    node_check_keys(b->c, node, part_keys, part_title(b, part));
    part->name = read_label(b, node, "name");
    declare_sizes(b, part, node);
}

void declare_parts(Build *b) {
    const Node *parts = node_object(b->c, b->d->root, "parts");
    int         n     = parts ? parts->count : 0, i = 0;

    b->part_node  = NEW_N(b->c, const Node *, n + 1);
    b->part_state = NEW_N(b->c, State, n + 1);
    for (const Node *p = parts ? parts->first : NULL; p; p = p->next)
        b->part_node[i++] = p;
    list_sort(b->c, b->part_node, n, sizeof *b->part_node, by_letter, NULL);
    for (i = 0; i < n; i++)
        declare_part(b, b->part_node[i]);
}

static void find_part_stock(Build *b, Part *part, const Node *node) {
    const Node *from = node_text(b->c, node, "from");
    Str        *known;

    (void)!node_need(b->c, node, "from", part_title(b, part));
    if (!from)
        return;
    part->stock = find_stock(b->m, from->text);
    if (part->stock >= 0)
        return;
    known = NEW_N(b->c, Str, b->m->stocks.n + 1);
    for (int i = 0; i < b->m->stocks.n; i++)
        known[i] = b->m->stocks.at[i].key;
    report(b->c, from->loc, UNKNOWN_NAME,
           "part %.*s is cut from '%.*s', but there is no such stock",
           STR_ARG(part->letter), STR_ARG(from->text));
    hint_names(b, from->text, known, b->m->stocks.n, "stock");
}

/* What the stock gives: "stock" is its width, and a part that states no
 * thickness or width has the stock's. */
void standing_thickness(Build *b) {
    for (int i = 0; i < b->m->parts.n; i++) {
        Part        *part = &b->m->parts.at[i];
        const Node  *node = b->part_node[i];
        const Stock *stock;
        find_part_stock(b, part, node);
        if (part->stock < 0)
            continue;
        stock = &b->m->stocks.at[part->stock];
        sizes_set(b->c, b->s,
                  str_fmt(b->c, "%.*s.stock", STR_ARG(part->letter)),
                  stock->width, "width of the stock");
        if (!node_find(node, "thickness"))
            sizes_set(b->c, b->s,
                      str_fmt(b->c, "%.*s.thickness", STR_ARG(part->letter)),
                      stock->thickness, "thickness of the stock");
        if (!node_find(node, "width"))
            sizes_set(b->c, b->s,
                      str_fmt(b->c, "%.*s.width", STR_ARG(part->letter)),
                      stock->width, "width of the stock");
    }
}

/* ---- Sizes ---- */

/* Where a size of the part is written; its letter if the stock gives it. */
static Loc size_loc(Build *b, const Part *part, const char *name) {
    const SizeEntry *e = sizes_find(b->s, str_fmt(b->c, "%.*s.%s",
                                    STR_ARG(part->letter), name));

    return e && e->loc.end ? e->loc : part->loc;
}

static Quantity part_size(Build *b, const Part *part, const char *name) {
    Str full = str_fmt(b->c, "%.*s.%s", STR_ARG(part->letter), name);
    Quantity q;

    if (!sizes_find(b->s, full))
        return POISON;
    q = sizes_value(b->c, b->s, full, part->loc);
    if (q.poison || q.real > 0)
        return q;
    report(b->c, size_loc(b, part, name), PART_SIZE,
           "part %.*s has a %s of %.*s", STR_ARG(part->letter), name,
           STR_ARG(size_text(b, q)));
    hint(b->c, "it must be more than nothing: check the formula of its %s",
         name);
    return POISON;
}

static void check_thickness(Build *b, const Part *part) {
    const Stock *stock;

    if (part->stock < 0 || part->thickness.poison)
        return;
    stock = &b->m->stocks.at[part->stock];
    if (stock->thickness.poison
        || quantity_cmp(part->thickness, stock->thickness) == 0)
        return;
    report(b->c, size_loc(b, part, "thickness"), PART_NO_STOCK,
           "part %.*s is %.*s thick, its stock '%.*s' %.*s",
           STR_ARG(part->letter), STR_ARG(size_text(b, part->thickness)),
           STR_ARG(stock->key), STR_ARG(size_text(b, stock->thickness)));
    hint(b->c, "add a stock of that thickness, with \"bought as\" if it is "
         "planed from thicker boards");
}

/* ---- End cuts ---- */

static const char *const to_words[] = {   // ORDER TO, SCHEMA-ENUM length-to
    "long point", "short point", "center", NULL
};

const char *length_to_name(LengthTo to) {
    return to_words[to];
}

static void read_cut(Build *b, const char *scope, const Node *node,
                     bool is_end, EndCut *cut) {
    static const char *const end_keys[] = {   // SCHEMA end-cut
        "miter", "bevel", "length to", "long edge", "long face", NULL
    };
    static const char *const edge_keys[] = {   // SCHEMA edge-cut
        "bevel", "long face", NULL
    };
    static const char *const edges[] = {   // SCHEMA-ENUM edge
        "far", "near", NULL
    };
    static const char *const faces[] = {   // SCHEMA-ENUM face
        "show", "back", NULL
    };
    Quantity none = quantity_exact(0, 1, DIM_ANGLE);

    if (!node_check_keys(b->c, node, is_end ? end_keys : edge_keys,
                         is_end ? "an end cut" : "an edge cut"))
        return;
    cut->loc   = node->loc;
    cut->miter = eval_member(b->c, b->s, scope, node, "miter", DIM_ANGLE,
                             none);
    cut->bevel = eval_member(b->c, b->s, scope, node, "bevel", DIM_ANGLE,
                             none);
    cut->to = (LengthTo)node_choice(b->c, node, "length to", to_words,
                                    TO_LONG);
    cut->long_near = node_choice(b->c, node, "long edge", edges, 0) == 1;
    cut->long_back = node_choice(b->c, node, "long face", faces, 0) == 1;
    if (cut->miter.poison || cut->bevel.poison)
        return;
    if (fabs(cut->miter.real) >= 80 || fabs(cut->bevel.real) >= 80
        || cut->miter.real < 0 || cut->bevel.real < 0) {
        report(b->c, node->loc, OUT_OF_RANGE,
               "a cut of %g deg miter and %g deg bevel cannot be sawn",
               cut->miter.real, cut->bevel.real);
        hint(b->c, "angles run from 0 to under 80 deg; turn a cut around "
             "with \"long edge\" or \"long face\"");
        return;
    }
    cut->any = cut->miter.real > 0 || cut->bevel.real > 0;
}

static const char *const ends_keys[] = {   // SCHEMA ends
    "left", "right", "both", NULL
};

static const char *const edges_keys[] = {   // SCHEMA edges
    "near", "far", "both", NULL
};

static void read_cuts(Build *b, const char *scope, const Node *node,
                      const char *key, const char *const *keys,
                      EndCut cuts[2]) {
    const Node *object = node_object(b->c, node, key);
    const Node *both, *one, *two;

    for (int i = 0; i < 2; i++) {
        cuts[i].miter = cuts[i].bevel = quantity_exact(0, 1, DIM_ANGLE);
        cuts[i].loc = node->loc;
    }
    if (!object || !node_check_keys(b->c, object, keys, key))
        return;
    both = node_object(b->c, object, "both");
    one  = node_object(b->c, object, keys[0]);
    two  = node_object(b->c, object, keys[1]);
    if (both || one)
        read_cut(b, scope, one ? one : both, str_is(STR("ends"), key),
                 &cuts[0]);
    if (both || two)
        read_cut(b, scope, two ? two : both, str_is(STR("ends"), key),
                 &cuts[1]);
}

/* How far an end runs from its long to its short point. The miter runs
 * over the width, the bevel (square to the cut line) over the thickness:
 *
 *     +----------------+         run = width * tan(miter)
 *     |                 \            + thickness * tan(bevel)
 *     +------------------+             / cos(miter)
 */
static Quantity end_run(const Part *part, const EndCut *cut) {
    double miter = cut->miter.real * DEG, bevel = cut->bevel.real * DEG;

    if (!cut->any)
        return quantity_exact(0, 1, DIM_LENGTH);
    if (cut->bevel.real == 0 && cut->miter.real == 45)
        return part->width;       // tan 45° is exactly 1
    if (cut->miter.real == 0 && cut->bevel.real == 45)
        return part->thickness;
    return quantity_mm(part->width.real * tan(miter)
                       + part->thickness.real * tan(bevel) / cos(miter));
}

static void find_lengths(Build *b, Part *part) {
    Quantity half = quantity_exact(1, 2, DIM_NUMBER);
    Quantity len  = part->length;

    for (int i = 0; i < 2; i++) {
        Quantity run = end_run(part, &part->ends[i]);
        if (part->ends[i].to == TO_SHORT)
            len = quantity_add(b->c, part->loc, len, run);
        if (part->ends[i].to == TO_CENTER)
            len = quantity_add(b->c, part->loc, len,
                               quantity_mul(b->c, part->loc, run, half));
    }
    part->long_length  = len;
    part->short_length = len;
    for (int i = 0; i < 2; i++)
        part->short_length = quantity_sub(b->c, part->loc,
                                          part->short_length,
                                          end_run(part, &part->ends[i]));
}

/* ---- The whole part ---- */

static void read_jig(Build *b, Part *part, const char *scope,
                     const Node *node) {
    const Node *jig = node_find(node, "jig");

    if (!jig || (jig->kind == NODE_BOOL && !jig->truth))
        return;
    part->jig       = true;
    part->jig_count = 1;
    if (jig->kind != NODE_BOOL)
        part->jig_count = eval_count(b->c, b->s, scope, node, "jig", 1, 1,
                                     100);
}

static bool is_sized(const Part *part) {
    return !part->length.poison && !part->width.poison
        && !part->thickness.poison;
}

static void read_outline_key(Build *b, Part *part, const char *scope,
                             const Node *node) {
    const Node *list = node_find(node, "outline");
    Box2        box;

    if (!list || !read_outline_of(b, scope, node, &part->outline)
        || !is_sized(part))
        return;
    part->outlined = true;
    box = shape_box(part->outline);
    if (box.min.x < -1e-6 || box.min.y < -1e-6
        || box.max.x > part->long_length.real + 1e-6
        || box.max.y > part->width.real + 1e-6) {
        report(b->c, list->loc, OUTLINE_BAD,
               "the outline of part %.*s reaches from %.*s, %.*s to %.*s, "
               "%.*s, but its blank is only %.*s x %.*s",
               STR_ARG(part->letter), STR_ARG(mm_text(b, box.min.x)),
               STR_ARG(mm_text(b, box.min.y)),
               STR_ARG(mm_text(b, box.max.x)),
               STR_ARG(mm_text(b, box.max.y)),
               STR_ARG(size_text(b, part->long_length)),
               STR_ARG(size_text(b, part->width)));
        hint(b->c, "keep it between 0 and the length, 0 and the width");
        part->outlined = false;
    }
}

static void find_kind(Part *part) {
    part->plain = !part->outlined && part->features.n == 0
               && !part->ends[0].any && !part->ends[1].any
               && !part->edges[0].any && !part->edges[1].any;
    part->curved = shape_has_curves(part->face);
}

static void build_part(Build *b, int index) {
    static const char *const templates[] = {   // SCHEMA-ENUM template
        "never", "by rule", "always", "half", "one sheet", NULL
    };
    Part       *part  = &b->m->parts.at[index];
    const Node *node  = b->part_node[index];
    char       *scope = str_z(b->c, str_fmt(b->c, "%.*s.",
                                            STR_ARG(part->letter)));

    (void)!node_need(b->c, node, "name", part_title(b, part));
    (void)!node_need(b->c, node, "length", part_title(b, part));
    part->length    = part_size(b, part, "length");
    part->width     = part_size(b, part, "width");
    part->thickness = part_size(b, part, "thickness");
    check_thickness(b, part);
    part->joined = node_bool(b->c, node, "joined", false);
    part->note   = node_str(b->c, node, "note");
    part->templated = node_choice(b->c, node, "template", templates, 1) - 1;
    read_making(b, part, node);
    read_jig(b, part, scope, node);
    read_cuts(b, scope, node, "ends", ends_keys, part->ends);
    read_cuts(b, scope, node, "edges", edges_keys, part->edges);
    part->long_length = part->short_length = POISON;
    if (is_sized(part))
        find_lengths(b, part);
    read_outline_key(b, part, scope, node);
    read_features(b, part, node);   // for their mistakes, if for no more
    if (!is_sized(part))
        return;
    form_part(b, part);
    find_kind(part);
}

bool part_ready(Build *b, int part, Loc at) {
    if (b->part_state[part] == STATE_ACTIVE) {
        report(b->c, at, CYCLE, "part %.*s needs its own shape to be known",
               STR_ARG(b->m->parts.at[part].letter));
        return false;
    }
    if (b->part_state[part] == STATE_NEW) {
        b->part_state[part] = STATE_ACTIVE;
        build_part(b, part);
        b->part_state[part] = STATE_DONE;
    }
    return b->m->parts.at[part].solid != NULL;
}

void read_parts(Build *b) {
    for (int i = 0; i < b->m->parts.n; i++)
        (void)part_ready(b, i, b->m->parts.at[i].loc);
}
