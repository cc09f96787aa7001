/* list_facts_assembly -- what touches what, what runs into what, what is
 * glued, where parts are weak, and whether the finished project stands: for
 * programs, and in short for people. docs/list.md describes it.
 */
#include "rodbook/rodbook.h"

/* Begins a list of objects, each on a line of its own. */
static void open_list(Buf *out, const char *key) {
    json_new_line(out, "  ");
    buf_add(out, "\"%s\": [", key);
}

static void open_item(Buf *out) {
    json_new_line(out, "    ");
    buf_add(out, "{");
}

/* ---- Contacts and collisions ---- */

static void two_pieces(Buf *out, const Model *m, int a, int b) {
    open_item(out);
    json_text(out, "a", m->pieces.at[a].name);
    json_text(out, "b", m->pieces.at[b].name);
}

static void contacts_json(Buf *out, const Model *m) {
    open_list(out, "contacts");
    for (int i = 0; i < m->contacts.n; i++) {
        const Contact *k = &m->contacts.at[i];
        two_pieces(out, m, k->a, k->b);
        json_number(out, "area_mm2", k->area, 4);
        json_point(out, "at_mm", k->at);
        json_key(out, "normals");
        buf_add(out, "[");
        for (int n = 0; n < k->normals; n++)
            json_vector(out, k->normal[n], 6);
        buf_add(out, "]}");
    }
    json_end(out);
}

static void collisions_json(Buf *out, const Model *m) {
    open_list(out, "interference");
    for (int i = 0; i < m->collisions.n; i++) {
        const Collision *k = &m->collisions.at[i];
        two_pieces(out, m, k->a, k->b);
        json_number(out, "volume_mm3", k->shared.volume, 4);
        json_number(out, "depth_mm", k->shared.depth, 4);
        json_point(out, "from_mm", k->shared.box.min);
        json_point(out, "to_mm", k->shared.box.max);
        json_text(out, "blame_a", k->cut_a);
        json_text(out, "blame_b", k->cut_b);
        buf_add(out, "}");
    }
    json_end(out);
}

/* ---- Glue ---- */

static void names_json(Buf *out, const Model *m, const char *key,
                       const int *at, int n) {
    json_key(out, key);
    buf_add(out, "[");
    for (int i = 0; i < n; i++) {
        json_next(out);
        buf_json(out, m->pieces.at[at[i]].name);
    }
    buf_add(out, "]");
}

static void glue_json(Buf *out, const Model *m) {
    open_list(out, "glue");
    for (int i = 0; i < m->steps.n; i++)
        for (int k = 0; k < m->steps.at[i].fixes.n; k++) {
            const Fix *f = &m->steps.at[i].fixes.at[k];
            if (!f->glue)
                continue;
            open_item(out);
            json_number(out, "step", i + 1, 0);
            names_json(out, m, "pieces", f->pieces.at, f->pieces.n);
            names_json(out, m, "to", f->to.at, f->to.n);
            json_truth(out, "middle", f->middle);
            json_number(out, "area_mm2", f->glue_area, 4);
            buf_add(out, "}");
        }
    json_end(out);
}

/* ---- Fragile places ---- */

static void weak_json(Buf *out, const Model *m) {
    open_list(out, "fragile");
    for (int i = 0; i < m->weak.n; i++) {
        const Weak *w = &m->weak.at[i];
        open_item(out);
        json_text(out, "part", m->parts.at[w->part].letter);
        json_text(out, "what", w->what);
        json_number(out, "width_mm", w->width.real, 4);
        json_number(out, "least_mm", w->least.real, 4);
        json_number(out, "x_mm", (w->a.x + w->b.x) / 2, 4);
        json_number(out, "y_mm", (w->a.y + w->b.y) / 2, 4);
        buf_add(out, "}");
    }
    json_end(out);
}

/* ---- Standing ---- */

static void stands_json(Buf *out, const Standing *s, bool hangs) {
    json_new_line(out, "  ");
    buf_add(out, "\"stands\": {");
    json_truth(out, "stands", s->stands);
    json_truth(out, "hangs", hangs);
    json_truth(out, "density_known", s->density_known);
    json_point(out, "center_mm", s->center);
    json_number(out, "height_mm", s->height, 4);
    json_number(out, "margin_mm", s->margin, 4);
    json_number(out, "tips_at_deg", s->angle_deg, 4);
    json_text(out, "tips", str_from(out->c, way_word(s->toward)));
    json_key(out, "feet_mm");
    buf_add(out, "[");
    for (int i = 0; i < s->feet.n; i++) {
        buf_add(out, i ? ", [" : "[");
        buf_num(out, s->feet.at[i].x, 4);
        buf_add(out, ", ");
        buf_num(out, s->feet.at[i].y, 4);
        buf_add(out, "]");
    }
    buf_add(out, "]}");
}

void facts_of_assembly(Ctx *c, Buf *out, const Model *m) {
    Standing s = model_stands(c, m);

    contacts_json(out, m);
    collisions_json(out, m);
    glue_json(out, m);
    weak_json(out, m);
    stands_json(out, &s, m->hangs);
}

/* ---- In words ---- */

void facts_in_words(Ctx *c, const Edition *e, Buf *out, const Model *m) {
    const double inch = 25.4;
    Standing     s = model_stands(c, m);

    for (int i = 0; i < m->collisions.n; i++) {
        const Collision *k = &m->collisions.at[i];
        buf_add(out, "in each other: %.*s and %.*s, ", STR_ARG(k->cut_a),
                STR_ARG(k->cut_b));
        buf_num(out, e->inch ? k->shared.volume / (inch * inch * inch)
                             : k->shared.volume, e->inch ? 4 : 1);
        buf_add(out, e->inch ? " cubic in\n" : " cubic mm\n");
    }
    if (s.known && s.stands)
        buf_add(out, "stands: tips %s at %.1f degrees\n",
                way_word(s.toward), s.angle_deg);
    else if (s.known)
        buf_add(out, "stands: not by itself, falls %s\n",
                way_word(s.toward));
}
