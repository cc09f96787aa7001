/* list_facts_assembly -- what touches what, and whether the finished
 * project stands: for programs, and in short for people. docs/list.md
 * describes it.
 */
#include "rodbook/rodbook.h"

static void number(Buf *out, const char *key, double value, int places,
                   const char *then) {
    buf_add(out, "\"%s\": ", key);
    buf_num(out, value, places);
    buf_add(out, "%s", then);
}

static void point(Buf *out, const char *key, V3 p, const char *then) {
    buf_add(out, "\"%s\": [", key);
    buf_num(out, p.x, 4);
    buf_add(out, ", ");
    buf_num(out, p.y, 4);
    buf_add(out, ", ");
    buf_num(out, p.z, 4);
    buf_add(out, "]%s", then);
}

static void contact_json(Buf *out, const Model *m, const Contact *k) {
    buf_add(out, "\n    {\"a\": ");
    buf_json(out, m->pieces.at[k->a].name);
    buf_add(out, ", \"b\": ");
    buf_json(out, m->pieces.at[k->b].name);
    buf_add(out, ", ");
    number(out, "area_mm2", k->area, 4, ", ");
    point(out, "at_mm", k->at, ", \"normals\": [");
    for (int i = 0; i < k->normals; i++) {
        buf_add(out, i ? ", [" : "[");
        buf_num(out, k->normal[i].x, 6);
        buf_add(out, ", ");
        buf_num(out, k->normal[i].y, 6);
        buf_add(out, ", ");
        buf_num(out, k->normal[i].z, 6);
        buf_add(out, "]");
    }
    buf_add(out, "]}");
}

static void stands_json(Buf *out, const Standing *s, bool hangs) {
    buf_add(out, "  \"stands\": {\"stands\": %s, \"hangs\": %s, "
            "\"density_known\": %s, ", s->stands ? "true" : "false",
            hangs ? "true" : "false", s->density_known ? "true" : "false");
    point(out, "center_mm", s->center, ", ");
    number(out, "height_mm", s->height, 4, ", ");
    number(out, "margin_mm", s->margin, 4, ", ");
    number(out, "tips_at_deg", s->angle_deg, 4, ", ");
    buf_add(out, "\"tips\": \"%s\", \"feet_mm\": [", way_word(s->toward));
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

    buf_add(out, "  \"contacts\": [");
    for (int i = 0; i < m->contacts.n; i++) {
        buf_add(out, i ? "," : "");
        contact_json(out, m, &m->contacts.at[i]);
    }
    buf_add(out, "%s],\n", m->contacts.n ? "\n  " : "");
    stands_json(out, &s, m->hangs);
}

/* ---- In words ---- */

void facts_of_standing(Ctx *c, Buf *out, const Model *m) {
    Standing s = model_stands(c, m);

    if (s.known && s.stands)
        buf_add(out, "stands: tips %s at %.1f degrees\n",
                way_word(s.toward), s.angle_deg);
    else if (s.known)
        buf_add(out, "stands: not by itself, falls %s\n",
                way_word(s.toward));
}
