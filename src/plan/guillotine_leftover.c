/* guillotine_leftover -- of equally cheap plans the one with the largest
 * leftover in one piece, and of those one with few settings of the saw.
 *
 * A leftover as high or as wide as a sheet is one more part. How large it
 * may be is found by halving, from all that is free down to the largest free
 * rectangle that is known: the sheets there are hold it with all parts, or
 * it is too large, or too hard to place. Before that, free area is gathered
 * as it comes, which also finds leftovers of other shapes.
 */
#include "plan/guillotine_internal.h"

#define TRIES 6              // for each way

typedef struct {
    Ctx         *c;
    const Rects *r;
    Tree        *best;
    long         work;       // for one try
    long        *steps;
} Leftover;

static double free_area(const Rects *r, const Tree *t) {
    double area = 0;

    for (int i = 0; i < t->n_sheets; i++)
        area += (double)r->kinds[t->kinds[i]].w
              * (double)r->kinds[t->kinds[i]].h;
    for (int i = 0; i < r->n_parts; i++)
        area -= (double)r->parts[i].w * (double)r->parts[i].h
              * r->parts[i].count;
    return area;
}

/* The same sheets and parts, and one part more. */
static Rects with_part(Ctx *c, const Leftover *l, SheetPart more) {
    Rects      r     = *l->r;
    SheetKind *kinds = NEW_N(c, SheetKind, r.n_kinds);
    SheetPart *parts = NEW_N(c, SheetPart, r.n_parts + 1);

    memcpy(kinds, r.kinds, sizeof *kinds * (size_t)r.n_kinds);
    memcpy(parts, r.parts, sizeof *parts * (size_t)r.n_parts);
    for (int i = 0; i < r.n_kinds; i++)
        kinds[i].supply = l->best->used[i];
    parts[r.n_parts++] = more;
    r.pieces++;
    r.kinds = kinds;
    r.parts = parts;
    return r;
}

/* Takes the added part out again: what it lay on is free. */
static void take_out(const Rects *r, Tree *t) {
    int i = 0;

    while (t->nodes[i].what != r->n_parts - 1)
        i++;
    tree_remove(r, t, i);
    t->missing = 0;
}

static bool holds(Leftover *l, int64_t w, int64_t h) {
    Ctx   s = ctx_scratch(l->c);
    Rects r = with_part(&s, l, (SheetPart){ w, h, 1, false });
    Tree  tree;
    bool  found;

    tree_init(&s, &r, &tree);
    search_brisk(&s, &r, *l->steps + l->work, &tree, l->steps);
    found = tree.n_sheets > 0;
    if (found) {
        take_out(&r, &tree);
        tree_copy(l->r, l->best, &tree);
    }
    ctx_free(&s);
    return found;
}

/* As high as a sheet of the kind, or as wide. */
static void widen(Leftover *l, int kind, bool high) {
    const SheetKind *k      = &l->r->kinds[kind];
    int64_t          across = high ? k->h : k->w, side = high ? k->w : k->h;
    int64_t          least = (int64_t)(tree_largest(l->best)
                                       / (double)across);
    int64_t          most = (int64_t)(free_area(l->r, l->best)
                                      / (double)across);

    if (most > side)
        most = side;
    for (int tries = 0; tries < TRIES && least < most; tries++) {
        int64_t size = tries == 0 ? most : least + (most - least + 1) / 2;
        if (high ? holds(l, size, across) : holds(l, across, size))
            least = size;
        else
            most = size - 1;
    }
}

void search_leftover(Ctx *c, const Rects *r, long limit, Tree *best,
                     long *steps) {
    long     part = (limit - *steps) / 8, kinds = 0;
    Leftover l    = { c, r, best, 0, steps };

    search_tidy(c, r, false, *steps + 2 * part, best, steps);
    for (int i = 0; i < r->n_kinds; i++)
        kinds += best->used[i] > 0;
    l.work = 5 * part / (kinds * 2 * TRIES);
    for (int i = 0; i < r->n_kinds; i++) {
        for (int high = 0; high < 2 && best->used[i] > 0; high++)
            widen(&l, i, high);
    }
    search_tidy(c, r, true, *steps + part, best, steps);
}
