/* place -- the places of pieces once the model is finished. While it is
 * built, place_hook of piece.c knows them, and builds what is asked for. */
#include "model/model_internal.h"

static bool box_of(const Model *m, Str name, Box3 *box) {
    bool any = false;

    *box = box3_empty();
    for (int i = 0; i < m->pieces.n; i++) {
        const Piece *p = &m->pieces.at[i];
        if (!str_eq(p->name, name) && !str_eq(p->group, name))
            continue;
        box3_add(box, p->box.min);
        box3_add(box, p->box.max);
        any = true;
    }
    return any;
}

const Worked *model_worked(const Model *m, Str owner, Str name) {
    for (int i = 0; i < m->worked.n; i++) {
        const Worked *w = &m->worked.at[i];
        if (str_is(name, w->name)
            && (str_eq(owner, w->owner) || str_eq(owner, w->image)))
            return w;
    }
    return NULL;
}

/* "count", "total length": as part_sum of piece.c has them while pieces are
 * still being placed. */
static bool sum_of(Ctx *c, const Part *part, Str name, Loc at,
                   Quantity *value) {
    const struct { const char *name; Quantity one; } sums[] = {
        { "count", quantity_exact(1, 1, DIM_NUMBER) },
        { "total length", part->length }, { "total width", part->width },
        { "total thickness", part->thickness },
    };

    for (int i = 0; i < COUNT(sums); i++) {
        if (!str_is(name, sums[i].name))
            continue;
        *value = quantity_mul(c, at, sums[i].one,
                              quantity_exact(part->quantity, 1, DIM_NUMBER));
        return true;
    }
    return false;
}

bool model_place(Ctx *c, void *who, Str name, Loc at, Quantity *value) {
    const Model  *m = who;
    const Worked *w;
    Str           owner, side;
    Box3          box;
    int           part;

    if (!split_place(name, &owner, &side))
        return false;
    part = model_find_part(m, owner);
    if (part >= 0 && (str_is(side, "long") || str_is(side, "short"))) {
        *value = str_is(side, "long") ? m->parts.at[part].long_length
                                      : m->parts.at[part].short_length;
        return true;
    }
    if (part >= 0 && sum_of(c, &m->parts.at[part], side, at, value))
        return true;
    w = model_worked(m, owner, side);
    if (w) {
        *value = w->value;
        return true;
    }
    return box_of(m, owner, &box) && side_of(box, side, value);
}
