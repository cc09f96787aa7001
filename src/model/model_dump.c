/* dump -- the model as text, for --dump=model and golden files. */
#include "model/model_internal.h"

static void dump_part(Buf *out, const Model *m, const Part *p) {
    buf_add(out, "part %.*s '%.*s' x%d", STR_ARG(p->letter),
            STR_ARG(p->name), p->quantity);
    if (p->mirrored)
        buf_add(out, " (%d mirrored)", p->mirrored);
    buf_add(out, " from %.*s%s\n  ",
            STR_ARG(m->stocks.at[p->stock].key), p->jig ? ", jig" : "");
    quantity_show(out, p->thickness);
    buf_add(out, " x ");
    quantity_show(out, p->width);
    buf_add(out, " x ");
    quantity_show(out, p->length);
    buf_add(out, "\n  long ");
    quantity_show(out, p->long_length);
    buf_add(out, ", short ");
    quantity_show(out, p->short_length);
    buf_add(out, ", volume %.1f mm3, %d faces, %d edges, %s\n",
            p->solid->volume, p->solid->faces.n, p->solid->edges.n,
            p->solid->closed ? "closed" : "OPEN");
    for (int i = 0; i < p->features.n; i++) {
        const Feature *f = &p->features.at[i];
        buf_add(out, "  %s x%d", feature_name(f), f->count);
        if (f->shape.loops.n)
            buf_add(out, ", %.2f mm2", shape_area(f->shape));
        buf_add(out, "\n");
    }
}

static void dump_piece(Buf *out, const Model *m, const Piece *p) {
    buf_add(out, "piece '%.*s' of %.*s in step %d: ", STR_ARG(p->name),
            STR_ARG(m->parts.at[p->part].letter), p->step + 1);
    buf_num(out, p->box.min.x, 3);
    buf_add(out, " ");
    buf_num(out, p->box.min.y, 3);
    buf_add(out, " ");
    buf_num(out, p->box.min.z, 3);
    buf_add(out, " to ");
    buf_num(out, p->box.max.x, 3);
    buf_add(out, " ");
    buf_num(out, p->box.max.y, 3);
    buf_add(out, " ");
    buf_num(out, p->box.max.z, 3);
    buf_add(out, "%s\n", p->mirrored ? " mirrored" : "");
}

static void dump_step(Buf *out, const Model *m, const Step *s, int i) {
    buf_add(out, "step %d '%.*s': %d pieces\n", i + 1, STR_ARG(s->title),
            s->add.n);
    for (int k = 0; k < s->fixes.n; k++) {
        const Fix *f = &s->fixes.at[k];
        buf_add(out, "  fix %d pieces to %d", f->pieces.n, f->to.n);
        if (f->hardware >= 0)
            buf_add(out, " with %d %.*s", fix_total(f),
                    STR_ARG(m->hardware.at[f->hardware].key));
        if (f->glue)
            buf_add(out, ", glue on %.0f mm2", f->glue_area);
        buf_add(out, "\n");
    }
    for (int k = 0; k < s->holds.n; k++)
        buf_add(out, "  hold %d pieces with %.*s\n",
                s->holds.at[k].pieces.n, STR_ARG(s->holds.at[k].with));
}

void model_dump(Buf *out, const Model *m) {
    buf_add(out, "%.*s, %.3f kg\n", STR_ARG(m->title), m->weight_kg);
    for (int i = 0; i < m->parts.n; i++)
        dump_part(out, m, &m->parts.at[i]);
    for (int i = 0; i < m->pieces.n; i++)
        dump_piece(out, m, &m->pieces.at[i]);
    for (int i = 0; i < m->steps.n; i++)
        dump_step(out, m, &m->steps.at[i], i);
    buf_add(out, "%d contacts\n", m->contacts.n);
    for (int i = 0; i < m->hardware.n; i++)
        buf_add(out, "hardware %.*s: %d\n",
                STR_ARG(m->hardware.at[i].key), m->hardware.at[i].used);
    for (int i = 0; i < m->finishes.n; i++)
        buf_add(out, "finish %.*s: %.0f mm2, %.0f mm3\n",
                STR_ARG(m->finishes.at[i].key), m->finishes.at[i].area,
                m->finishes.at[i].volume);
}
