/* fastener_roles -- who is who in one fixing, by the number of the piece.
 *
 * A fixing may name a row of thousands on both sides. Marks on the pieces
 * answer "is this one of them?" at once; they are wiped when the next fixing
 * is looked at, which costs no more than that fixing is long. */
#include "model/model_internal.h"

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
