/* bill -- what is needed, counted from pieces and steps. */
#include "model/model_internal.h"

static void count_pieces(Build *b) {
    for (int i = 0; i < b->m->parts.n; i++) {
        Part *part = &b->m->parts.at[i];
        if (part->jig)
            part->quantity = part->jig_count;
    }
    for (int i = 0; i < b->m->pieces.n; i++) {
        const Piece *p    = &b->m->pieces.at[i];
        Part        *part = &b->m->parts.at[p->part];
        if (part->jig || p->temporary)
            continue;
        part->quantity++;
        part->mirrored += p->mirrored;
    }
}

static void count_hardware(Build *b) {
    for (int i = 0; i < b->m->steps.n; i++) {
        const Step *step = &b->m->steps.at[i];
        for (int k = 0; k < step->fixes.n; k++) {
            const Fix *f = &step->fixes.at[k];
            if (f->hardware >= 0)
                b->m->hardware.at[f->hardware].used += fix_total(f);
            if (f->glue)
                b->m->glue_area += f->glue_area;
        }
    }
}

static void count_finish(Build *b) {
    for (int i = 0; i < b->m->parts.n; i++) {
        const Part *part = &b->m->parts.at[i];
        for (int k = 0; k < b->m->finishes.n && !part->jig; k++)
            b->m->finishes.at[k].area += finish_area(part, k)
                                       * part->quantity;
    }
    for (int i = 0; i < b->m->finishes.n; i++) {
        Finish *f = &b->m->finishes.at[i];
        if (!f->covers.poison && f->covers.real > 0)
            f->volume = f->area * f->coats / f->covers.real;
    }
}

/* The box of the finished project and its weight. */
static void count_whole(Build *b) {
    bool known = true;

    b->m->box = box3_empty();
    for (int i = 0; i < b->m->pieces.n; i++) {
        const Piece *p = &b->m->pieces.at[i];
        const Part  *part = &b->m->parts.at[p->part];
        double       density = b->m->stocks.at[part->stock].density;
        if (part->jig || p->temporary)
            continue;
        box3_add(&b->m->box, p->box.min);
        box3_add(&b->m->box, p->box.max);
        known = known && density > 0;
        b->m->weight_kg += part->solid->volume * 1e-9 * density;
    }
    if (!known)
        b->m->weight_kg = 0;
}

void count_bills(Build *b) {
    count_pieces(b);
    count_hardware(b);
    count_finish(b);
    count_whole(b);
}
