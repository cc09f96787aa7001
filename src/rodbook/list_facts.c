/* list_facts -- what parts, pieces and the project weigh, and where they
 * balance.
 *
 * JSON is one object: "parts", "pieces", "overall", and what
 * list_facts_assembly.c adds. CSV is one table with a
 * column that tells which of the three a row is.
 */
#include "rodbook/rodbook.h"

typedef enum { ROW_PART, ROW_PIECE, ROW_OVERALL } RowKind;

typedef struct {
    RowKind kind;
    Str     name;
    Str     part;       // letter of a piece's part; a part's name
    int     quantity;   // of a part
    Mass    mass;
    V3      size;
} Row;
typedef LIST(Row) Rows;

static V3 size_of(Box3 box) {
    return v3_sub(box.max, box.min);
}

static Rows rows_of(Ctx *c, const Model *m) {
    Rows rows = { 0 };

    for (int i = 0; i < m->parts.n; i++) {
        const Part *p = &m->parts.at[i];
        *PUSH(c, &rows) = (Row){ ROW_PART, p->letter, p->name, p->quantity,
                                 part_mass(m, p), size_of(p->solid->box) };
    }
    for (int i = 0; i < m->pieces.n; i++) {
        const Piece *p = &m->pieces.at[i];
        if (!p->temporary)
            *PUSH(c, &rows) = (Row){ ROW_PIECE, p->name,
                                     m->parts.at[p->part].letter, 1,
                                     piece_mass(m, p), size_of(p->box) };
    }
    *PUSH(c, &rows) = (Row){ ROW_OVERALL, m->title, STR(""), 1,
                             project_mass(m), size_of(m->box) };
    return rows;
}

/* ---- JSON ---- */

static void add_figure(Buf *out, const char *key, double v, int places) {
    buf_add(out, ", \"%s\": ", key);
    buf_num(out, v, places);
}

static void add_point(Buf *out, const char *key, V3 p) {
    buf_add(out, ", \"%s\": [", key);
    buf_num(out, p.x, 4), buf_add(out, ", ");
    buf_num(out, p.y, 4), buf_add(out, ", ");
    buf_num(out, p.z, 4), buf_add(out, "]");
}

/* An unknown weight is null. */
static void add_mass(Buf *out, const Row *r) {
    static const char *const sides[] = {   // ORDER SIDE
        "show", "back", "near", "far", "left", "right"
    };

    add_figure(out, "volume_mm3", r->mass.volume, 4);
    if (r->mass.weight > 0)
        add_figure(out, "weight_g", r->mass.weight, 3);
    else
        buf_add(out, ", \"weight_g\": null");
    add_figure(out, "surface_mm2", r->mass.surface, 4);
    for (int i = 0; r->kind == ROW_PART && i < 6; i++) {
        buf_add(out, i ? ", \"%s\": " : ", \"surface_by_side_mm2\": "
                "{\"%s\": ", sides[i]);
        buf_num(out, r->mass.side[i], 4);
    }
    if (r->kind == ROW_PART)
        buf_add(out, "}");
    add_point(out, "size_mm", r->size);
    add_point(out, "center_mm", r->mass.center);
}

static void json_row(Buf *out, const Row *r) {
    if (r->kind == ROW_OVERALL) {
        buf_add(out, "{\"title\": ");
        buf_json(out, r->name);
    } else {
        buf_add(out, r->kind == ROW_PART ? "{\"letter\": " : "{\"name\": ");
        buf_json(out, r->name);
        buf_add(out, r->kind == ROW_PART ? ", \"name\": " : ", \"part\": ");
        buf_json(out, r->part);
    }
    if (r->kind == ROW_PART)
        buf_add(out, ", \"quantity\": %d", r->quantity);
    add_mass(out, r);
    buf_add(out, "}");
}

static void json_rows(Buf *out, const char *key, const Rows *rows,
                      RowKind kind) {
    int n = 0;

    buf_add(out, "  \"%s\": [", key);
    for (int i = 0; i < rows->n; i++) {
        if (rows->at[i].kind != kind)
            continue;
        buf_add(out, n++ ? ",\n    " : "\n    ");
        json_row(out, &rows->at[i]);
    }
    buf_add(out, n ? "\n  ],\n" : "],\n");
}

/* ---- CSV and text ---- */

static void as_csv(Buf *out, const Rows *rows) {
    static const char *const kinds[] = { "part", "piece", "overall" };

    buf_add(out, "kind,name,part,quantity,volume_mm3,weight_g,surface_mm2,"
            "size_x_mm,size_y_mm,size_z_mm,center_x_mm,center_y_mm,"
            "center_z_mm\r\n");
    for (int i = 0; i < rows->n; i++) {
        const Row *r = &rows->at[i];
        double v[] = { r->mass.volume, r->mass.weight, r->mass.surface,
                       r->size.x, r->size.y, r->size.z, r->mass.center.x,
                       r->mass.center.y, r->mass.center.z };
        buf_add(out, "\"%s\",", kinds[r->kind]);
        buf_csv(out, r->name);
        buf_add(out, ",");
        buf_csv(out, r->part);
        buf_add(out, ",%d", r->quantity);
        for (int k = 0; k < COUNT(v); k++) {
            buf_add(out, ",");
            if (k != 1 || v[k] > 0)
                buf_num(out, v[k], 4);
        }
        buf_add(out, "\r\n");
    }
}

/* "1.2 kg" or "2.6 lb": two significant places are all that a density of a
 * kind of wood is good for. */
static Str weight_text(Ctx *c, const Edition *e, double g) {
    Buf out = BUF(c);

    if (g <= 0)
        return STR("unknown weight");
    if (e->inch)
        buf_num(&out, g / 453.59237, 2), buf_add(&out, " lb");
    else
        buf_num(&out, g / 1000, 3), buf_add(&out, " kg");
    return buf_done(&out);
}

static void text_place(Buf *out, const Edition *e, V3 p) {
    double k = e->inch ? 25.4 : 1;
    int    places = e->inch ? 2 : 1;

    buf_num(out, p.x / k, places), buf_add(out, ", ");
    buf_num(out, p.y / k, places), buf_add(out, ", ");
    buf_num(out, p.z / k, places);
    buf_add(out, e->inch ? " in" : " mm");
}

static void as_text(Ctx *c, const Edition *e, Buf *out, const Rows *rows) {
    for (int i = 0; i < rows->n; i++) {
        const Row *r = &rows->at[i];
        if (r->kind == ROW_PART)
            buf_add(out, "%d x %.*s %.*s: ", r->quantity,
                    STR_ARG(r->name), STR_ARG(r->part));
        else if (r->kind == ROW_PIECE)
            buf_add(out, "%.*s (%.*s): ", STR_ARG(r->name),
                    STR_ARG(r->part));
        else
            buf_add(out, "all: size ");
        if (r->kind == ROW_OVERALL) {
            text_place(out, e, r->size);
            buf_add(out, ", ");
        }
        buf_str(out, weight_text(c, e, r->mass.weight));
        buf_add(out, r->kind == ROW_PART ? " each, balances at "
                                         : ", balances at ");
        text_place(out, e, r->mass.center);
        buf_add(out, "\n");
    }
}

void list_facts(Ctx *c, const Job *job, const Edition *e, const char *as,
                Buf *out) {
    Rows rows = rows_of(c, job->model);

    if (strcmp(as, "csv") == 0) {
        as_csv(out, &rows);
    } else if (strcmp(as, "json") == 0) {
        buf_add(out, "{\n");
        json_rows(out, "parts", &rows, ROW_PART);
        json_rows(out, "pieces", &rows, ROW_PIECE);
        buf_add(out, "  \"overall\": ");
        json_row(out, &rows.at[rows.n - 1]);
        buf_add(out, ",\n");
        facts_of_assembly(c, out, job->model);
        buf_add(out, "\n}\n");
    } else {
        as_text(c, e, out, &rows);
        facts_of_standing(c, out, job->model);
    }
}
