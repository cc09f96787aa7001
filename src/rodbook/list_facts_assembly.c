/* list_facts_assembly -- what touches what, how large and heavy the
 * finished project is, whether it stands: for programs, and in short for
 * people. docs/list.md describes it.
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

static void overall_json(Buf *out, const Model *m) {
    buf_add(out, "  \"overall\": {");
    point(out, "from_mm", m->box.min, ", ");
    point(out, "to_mm", m->box.max, ", ");
    point(out, "size_mm", v3_sub(m->box.max, m->box.min), ", ");
    if (m->weight_kg > 0)
        number(out, "weight_kg", m->weight_kg, 4, "},\n");
    else
        buf_add(out, "\"weight_kg\": null},\n");
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
    overall_json(out, m);
    stands_json(out, &s, m->hangs);
}

/* ---- Other forms ---- */

static void as_text(Ctx *c, Buf *out, const Model *m) {
    Standing s    = model_stands(c, m);
    V3       size = v3_sub(m->box.max, m->box.min);

    buf_add(out, "overall  %.1f x %.1f x %.1f mm\n", size.x, size.y, size.z);
    if (m->weight_kg > 0)
        buf_add(out, "weight   %.2f kg\n", m->weight_kg);
    if (s.known && s.stands)
        buf_add(out, "stands   tips %s at %.1f degrees\n",
                way_word(s.toward), s.angle_deg);
    else if (s.known)
        buf_add(out, "stands   not by itself: falls %s\n",
                way_word(s.toward));
    for (int i = 0; i < m->contacts.n; i++) {
        const Contact *k = &m->contacts.at[i];
        buf_add(out, "touch    %.*s, %.*s: %.0f mm2\n",
                STR_ARG(m->pieces.at[k->a].name),
                STR_ARG(m->pieces.at[k->b].name), k->area);
    }
}

static void csv_word(Buf *out, Str s) {
    buf_add(out, "\"");
    for (size_t i = 0; i < s.n; i++)
        buf_add(out, s.s[i] == '"' ? "\"\"" : "%c", s.s[i]);
    buf_add(out, "\"");
}

/* A table has room for the contacts only. */
static void as_csv(Buf *out, const Model *m) {
    buf_add(out, "a,b,area_mm2\r\n");
    for (int i = 0; i < m->contacts.n; i++) {
        const Contact *k = &m->contacts.at[i];
        csv_word(out, m->pieces.at[k->a].name);
        buf_add(out, ",");
        csv_word(out, m->pieces.at[k->b].name);
        buf_add(out, ",");
        buf_num(out, k->area, 4);
        buf_add(out, "\r\n");
    }
}

Str list_facts(Ctx *c, const Job *job, const char *as) {
    Buf out = BUF(c);

    if (strcmp(as, "json") == 0) {
        buf_add(&out, "{\n");
        facts_of_assembly(c, &out, job->model);
        buf_add(&out, "\n}\n");
    } else if (strcmp(as, "csv") == 0)
        as_csv(&out, job->model);
    else
        as_text(c, &out, job->model);
    return buf_done(&out);
}
