/* name_index -- many things found by name: pieces by their own name and that of
 * their row, entries of "pieces" by theirs. One name may mean many. */
#include "model/model_internal.h"

static int *slot_of(const NameIndex *s, Str name) {
    uint32_t at = str_hash(name) % (uint32_t)s->n_slots;

    while (s->slots[at] && !str_eq(s->named.at[s->slots[at] - 1].name, name))
        at = (at + 1) % (uint32_t)s->n_slots;
    return &s->slots[at];
}

/* Keeps at least half of the slots free. */
static void make_room(Ctx *c, NameIndex *s) {
    if (2 * (s->named.n + 1) <= s->n_slots)
        return;
    s->n_slots = s->n_slots ? 2 * s->n_slots : 64;
    s->slots   = NEW_N(c, int, s->n_slots);
    for (int i = 0; i < s->named.n; i++)
        *slot_of(s, s->named.at[i].name) = i + 1;
}

void names_add(Ctx *c, NameIndex *s, Str name, int what) {
    int  *slot;
    Named *n;

    make_room(c, s);
    slot = slot_of(s, name);
    if (!*slot) {
        n       = PUSH(c, &s->named);
        n->name = name;
        *slot   = s->named.n;
    }
    n = &s->named.at[*slot - 1];
    if (n->all.n == 0 || n->all.at[n->all.n - 1] != what)
        *PUSH(c, &n->all) = what;
}

Ints names_find(const NameIndex *s, Str name) {
    int slot = s->n_slots ? *slot_of(s, name) : 0;

    return slot ? s->named.at[slot - 1].all : (Ints){ 0 };
}
