/* printer -- template sheets for a printer that errs by a known share.
 *
 * A printer that makes 100.4 mm of 100 across the paper and 99.7 along it
 * is given pages drawn at 1 / 1.004 and 1 / 0.997 of true size, about their
 * middle. Marks, ledger and true-size outlines are changed alike, so that
 * proof still holds the file against the design. Text keeps its size.
 */
#include "press/press_internal.h"

typedef struct { V2 middle; double x, y; } Scale;

static V2 scaled(const Scale *s, V2 v) {
    return v2(s->middle.x + (v.x - s->middle.x) * s->x,
              s->middle.y + (v.y - s->middle.y) * s->y);
}

static void scale_marks(const Scale *s, Page *page) {
    for (int i = 0; i < page->marks.n; i++) {
        Mark *m = &page->marks.at[i];
        for (int k = 0; k < m->path.n; k++) {
            for (int j = 0; j < 3; j++)
                m->path.at[k].p[j] = scaled(s, m->path.at[k].p[j]);
        }
        m->at      = scaled(s, m->at);
        m->box.min = scaled(s, m->box.min);
        m->box.max = scaled(s, m->box.max);
    }
}

static Shape scaled_lines(Ctx *c, const Scale *s, Shape from) {
    Shape out = { 0 };

    for (int i = 0; i < from.loops.n; i++) {
        Loop *l = PUSH(c, &out.loops);
        for (int k = 0; k < from.loops.at[i].n; k++) {
            const Seg *seg = &from.loops.at[i].at[k];
            *PUSH(c, l) = seg_line(scaled(s, seg->a), scaled(s, seg->b));
        }
    }
    return out;
}

/* A scaled arc is none any more: curves become facets, closer to them than
 * anybody can print. */
static Shape facets_of(Ctx *c, Shape curved) {
    Rings rings = shape_rings(c, curved, 0.001);
    Shape out   = { 0 };

    for (int i = 0; i < rings.n; i++) {
        const Ring *r = &rings.at[i];
        Loop       *l = PUSH(c, &out.loops);
        for (int k = 0; k < r->n; k++)
            *PUSH(c, l) = seg_line(r->at[k], r->at[(k + 1) % r->n]);
    }
    return out;
}

static void scale_outline(Ctx *c, const Scale *s, TrueSize *t) {
    Shape flat = shape_has_curves(t->shape) ? facets_of(c, t->shape)
                                            : t->shape;

    t->shape      = scaled_lines(c, s, flat);
    t->window.min = scaled(s, t->window.min);
    t->window.max = scaled(s, t->window.max);
}

void correct_for_printer(Ctx *c, Booklet *b) {
    const Edition *e = &b->edition;
    Scale          s = { v2(b->width / 2, b->height / 2), 1, 1 };

    if (e->printer_x <= 0 || e->printer_y <= 0)
        return;
    s.x = 1 / e->printer_x;
    s.y = 1 / e->printer_y;
    for (int i = 0; i < b->pages.n; i++) {
        if (b->pages.at[i].sheet)
            scale_marks(&s, &b->pages.at[i]);
    }
    for (int i = 0; i < b->ledger.rows.n; i++) {
        LedgerRow *row = &b->ledger.rows.at[i];
        if (b->pages.at[row->page].sheet)
            row->at = scaled(&s, row->at);
    }
    for (int i = 0; i < b->ledger.shapes.n; i++)
        scale_outline(c, &s, &b->ledger.shapes.at[i]);
}
