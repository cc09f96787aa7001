/* unused -- what a design defines and nothing asks for, and sizes that a
 * maker cannot tell apart on paper.
 *
 * What an included file defines is there for many designs, so only the
 * design's own entries are held to be of use.
 */
#include "model/model_internal.h"

static bool is_own(const Build *b, Loc loc) {
    return loc.file == b->d->file;
}

/* Sizes that are given; one that is worked out may be there to be read. */
static void check_sizes(Build *b, const Node *sizes, const char *prefix) {
    for (const Node *n = sizes ? sizes->first : NULL; n; n = n->next) {
        Str name = str_fmt(b->c, "%s%.*s", prefix, STR_ARG(n->key));
        const SizeEntry *e = sizes_find(b->s, name);
        if (e && e->given && !e->used && is_own(b, n->key_loc))
            report(b->c, n->key_loc, SIZE_UNUSED,
                   "the size '%.*s' is given but used nowhere",
                   STR_ARG(n->key));
    }
}

static void check_part_sizes(Build *b) {
    for (int i = 0; i < b->m->parts.n; i++) {
        const Node *part   = b->part_node[i];
        Str         letter = b->m->parts.at[i].letter;
        check_sizes(b, node_object(b->c, part, "sizes"),
                    str_z(b->c, str_fmt(b->c, "%.*s.", STR_ARG(letter))));
    }
}

/* ---- Sizes that print alike ---- */

#define ALIKE_MM 1e-6   // inexact values this close are meant to be equal

typedef struct { const SizeEntry *size; Loc loc; } UsedName;
typedef LIST(UsedName) UsedNames;

static int by_value(const void *pa, const void *pb, const void *with) {
    const UsedName *a = pa, *b = pb;

    (void)with;
    return quantity_cmp(a->size->value, b->size->value);
}

static void collect_lengths(Build *b, UsedNames *names) {
    const Node *sizes = node_object(b->c, b->d->root, "sizes");

    for (const Node *n = sizes ? sizes->first : NULL; n; n = n->next) {
        const SizeEntry *e = sizes_find(b->s, n->key);
        UsedName        *one;
        if (!e || e->value.poison || !dim_eq(e->value.dim, DIM_LENGTH)
            || e->value.real <= 0)
            continue;
        one       = PUSH(b->c, names);
        one->size = e;
        one->loc  = n->key_loc;
    }
}

static bool is_near(const Build *b, Quantity low, Quantity high) {
    Quantity step  = b->m->inch ? b->m->step_inch : b->m->step_mm;
    double   apart = high.real - low.real;
    bool     exact = quantity_is_exact(low) && quantity_is_exact(high);

    return quantity_cmp(low, high) != 0 && apart < step.real / 2
        && (exact || apart > ALIKE_MM);
}

/* Neighbors in order of value; told at the one that stands later. */
static void check_near(Build *b) {
    UsedNames names = { 0 };

    collect_lengths(b, &names);
    list_sort(b->c, names.at, names.n, sizeof *names.at, by_value, NULL);
    for (int i = 1; i < names.n; i++) {
        const UsedName *one = &names.at[i - 1], *two = &names.at[i];
        if (!is_near(b, one->size->value, two->size->value)
            || !is_own(b, one->loc) || !is_own(b, two->loc))
            continue;
        if (one->loc.begin > two->loc.begin)
            one = two, two = &names.at[i - 1];
        report(b->c, two->loc, SIZE_NEAR,
               "'%.*s' (%.*s) and '%.*s' (%.*s) differ by less than half "
               "of what lengths are rounded to",
               STR_ARG(two->size->name),
               STR_ARG(size_text(b, two->size->value)),
               STR_ARG(one->size->name),
               STR_ARG(size_text(b, one->size->value)));
        hint(b->c, "if they are meant to be equal, write \"%.*s\": \"%.*s\"",
             STR_ARG(two->size->name), STR_ARG(one->size->name));
    }
}

/* ---- What is bought ---- */

static bool is_from(const Model *m, int stock) {
    for (int i = 0; i < m->parts.n; i++) {
        if (m->parts.at[i].stock == stock)
            return true;
    }
    return false;
}

static bool is_finish_of(const Model *m, int finish) {
    for (int i = 0; i < m->parts.n; i++) {
        if (m->parts.at[i].finish == finish)
            return true;
    }
    return m->finishes.at[finish].area > 0;
}

static void check_bought(Build *b) {
    const Model *m = b->m;

    for (int i = 0; i < m->stocks.n; i++) {
        const Stock *s = &m->stocks.at[i];
        if (is_own(b, s->loc) && !is_from(m, i))
            report(b->c, s->loc, STOCK_UNUSED,
                   "no part is made from '%.*s'", STR_ARG(s->key));
    }
    for (int i = 0; i < m->hardware.n; i++) {
        const Hardware *h = &m->hardware.at[i];
        if (is_own(b, h->loc) && h->used == 0)
            report(b->c, h->loc, HARDWARE_UNUSED,
                   "no step uses '%.*s'", STR_ARG(h->key));
    }
    for (int i = 0; i < m->finishes.n; i++) {
        const Finish *f = &m->finishes.at[i];
        if (is_own(b, f->loc) && !is_finish_of(m, i))
            report(b->c, f->loc, FINISH_UNUSED,
                   "no part is finished with '%.*s'", STR_ARG(f->key));
    }
}

void check_unused(Build *b) {
    check_sizes(b, node_object(b->c, b->d->root, "sizes"), "");
    check_part_sizes(b);
    check_near(b);
    check_bought(b);
}
