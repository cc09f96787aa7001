/* fit -- what is to be fitted on the work passes on to all that is worked
 * out from it.
 *
 * Sizes know the names that their formulas use, so among them the graph
 * itself follows the mark. Places of pieces are no names of the graph: the
 * place of a piece is to be fitted when one of the formulas that put it
 * there is, or a size of its part. Both are gone over in turns until
 * nothing is added.
 */
#include "model/model_internal.h"

/* Keys under which the formulas of a piece stand. */
static bool is_formula_key(Str key) {
    static const char *const words[] = {
        "at", "by", "through", "step", "count", "from", "to", "gap",
        "largest gap", "exposure", "first"
    };

    for (int i = 0; i < COUNT(words); i++)
        if (str_is(key, words[i]))
            return true;
    return false;
}

static const Entry *owner_of(const Build *b, Str place) {
    Str owner, side;

    if (!split_place(place, &owner, &side))
        return NULL;
    for (int i = 0; i < b->n_entries; i++)
        if (names_entry(&b->entries[i], owner))
            return &b->entries[i];
    return NULL;
}

/* "A.long" and "A.short" follow the length. */
static bool is_point_fit(const Build *b, Str name) {
    Str owner, side;
    int part;

    if (!split_place(name, &owner, &side)
        || !(str_is(side, "long") || str_is(side, "short")))
        return false;
    part = model_find_part(b->m, owner);
    return part >= 0 && b->m->parts.at[part].fit[0];
}

bool name_is_fit(const Build *b, Str name) {
    const Entry *e;

    if (!b->any_fit)
        return false;
    if (sizes_find(b->s, name))
        return sizes_fit(b->c, b->s, name);
    e = owner_of(b, name);
    return e ? e->fit : is_point_fit(b, name);
}

static bool any_is_fit(const Build *b, const Names *names) {
    for (int i = 0; i < names->n; i++)
        if (name_is_fit(b, names->at[i]))
            return true;
    return false;
}

bool formula_is_fit(const Build *b, const Node *text, size_t from,
                    size_t to) {
    Names names = { 0 };

    if (!b->any_fit)
        return false;
    span_names(b->c, b->s, "", text, from, to, &names);
    return any_is_fit(b, &names);
}

/* Is one of the formulas below the node? `key` is that of the node, or of
 * the list it stands in. */
static bool is_node_fit(const Build *b, const Node *node, Str key) {
    if (node->kind == NODE_TEXT)
        return is_formula_key(key)
            && formula_is_fit(b, node, 0, node->text.n);
    for (const Node *n = node->first; n; n = n->next)
        if (is_node_fit(b, n, n->key.n ? n->key : key))
            return true;
    return false;
}

static bool is_part_fit(const Build *b, int part) {
    const bool *fit = part >= 0 ? b->m->parts.at[part].fit : NULL;

    return fit && (fit[0] || fit[1] || fit[2]);
}

/* ---- One round ---- */

static bool mark_parts(Build *b) {
    static const char *const names[] = { "length", "width", "thickness" };
    bool more = false;

    for (int i = 0; i < b->m->parts.n; i++) {
        Part *part = &b->m->parts.at[i];
        for (int k = 0; k < 3; k++) {
            Str  name = str_fmt(b->c, "%.*s.%s", STR_ARG(part->letter),
                                names[k]);
            bool was  = part->fit[k];
            if (was)
                sizes_mark_fit(b->s, name);
            part->fit[k] = sizes_fit(b->c, b->s, name);
            more |= part->fit[k] != was;
        }
    }
    return more;
}

static bool mark_entries(Build *b) {
    bool more = false;

    for (int i = 0; i < b->n_entries; i++) {
        Entry *e = &b->entries[i];
        if (e->fit || !(is_part_fit(b, e->part)
                        || is_node_fit(b, e->node, STR(""))))
            continue;
        e->fit = true;
        more   = true;
    }
    return more;
}

/* Sizes whose formulas use places. */
static bool mark_sizes(Build *b) {
    bool more = false;

    for (int i = 0; i < sizes_count(b->s); i++) {
        const SizeEntry *e = sizes_at(b->s, i);
        if (e->fit || !any_is_fit(b, &e->places))
            continue;
        sizes_mark_fit(b->s, e->name);
        more = true;
    }
    return more;
}

static bool is_any_marked(const Build *b) {
    for (int i = 0; i < sizes_count(b->s); i++)
        if (sizes_at(b->s, i)->fit)
            return true;
    for (int i = 0; i < b->m->parts.n; i++)
        if (is_part_fit(b, i))
            return true;
    return false;
}

void find_fits(Build *b) {
    bool more = b->any_fit = is_any_marked(b);

    while (more) {
        more  = mark_parts(b);
        more |= mark_entries(b);
        more |= mark_sizes(b);
    }
}
