/* fix_roles -- who is who in one fixing, by the number of the piece.
 *
 * A fixing may name a row of thousands on both sides. Marks on the pieces
 * answer "is this one of them?" at once; they are wiped when the next fixing
 * is looked at, which costs no more than that fixing is long. */
#include "model/model_internal.h"

#include <assert.h>

Roles roles_new(Build *b) {
    int n = b->m->pieces.n + 1;

    return (Roles){ NULL, NEW_N(b->c, int, n), NEW_N(b->c, int, n),
                    NEW_N(b->c, bool, n) };
}

static void wipe(Roles *r) {
    for (int i = 0; i < r->f->pieces.n; i++)
        r->turn[r->f->pieces.at[i]] = 0;
    for (int i = 0; i < r->f->to.n; i++)
        r->to[r->f->to.at[i]] = 0;
    for (int i = 0; i < r->f->through.n; i++)
        r->through[r->f->through.at[i]] = false;
}

void roles_of(Roles *r, const Fix *f) {
    if (r->f == f)
        return;
    if (r->f)
        wipe(r);
    r->f = f;
    for (int i = f->pieces.n - 1; i >= 0; i--)
        r->turn[f->pieces.at[i]] = i + 1;
    for (int i = f->to.n - 1; i >= 0; i--)
        r->to[f->to.at[i]] = i + 1;
    for (int i = 0; i < f->through.n; i++)
        r->through[f->through.at[i]] = true;
}

static int by_role(const void *pa, const void *pb, const void *with) {
    const int *to = with;

    return to[*(const int *)pa] - to[*(const int *)pb];
}

Ints roles_touched(Ctx *c, const Model *m, const Neighbors *near,
                   const Roles *r, int piece) {
    Ints out = { 0 };

    for (int i = near->begin[piece]; i < near->begin[piece + 1]; i++) {
        const Contact *k = &m->contacts.at[near->item[i]];
        int other = k->a == piece ? k->b : k->a;
        if (r->to[other])
            *PUSH(c, &out) = other;
    }
    list_sort(c, out.at, out.n, sizeof *out.at, by_role, r->to);
    return out;
}

/* They are sorted by their pieces. */
const Contact *contact_of(const Model *m, int p, int q) {
    int a = p < q ? p : q, z = p < q ? q : p;
    int lo = 0, hi = m->contacts.n;

    while (lo < hi) {
        const Contact *k = &m->contacts.at[(lo + hi) / 2];
        if (k->a < a || (k->a == a && k->b < z))
            lo = (lo + hi) / 2 + 1;
        else
            hi = (lo + hi) / 2;
    }
    assert(lo < m->contacts.n && m->contacts.at[lo].a == a
           && m->contacts.at[lo].b == z);
    return &m->contacts.at[lo];
}
