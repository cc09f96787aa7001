/* list_facts -- what parts, pieces and the project weigh, and where they
 * balance.
 *
 * JSON is one object: "parts", "pieces", "overall", and what
 * list_facts_assembly.c adds. CSV is one table with a
 * column that tells which of the three a row is.
 */
#include "rodbook/rodbook.h"

#include <math.h>

typedef enum { ROW_PART, ROW_PIECE, ROW_OVERALL } RowKind;

typedef struct {
    RowKind kind;
    Str     name;
    Str     part;       // letter of a piece's part; a part's name
    int     quantity;   // of a part
    Mass    mass;
    V3      size;
    const Part *own;    // NULL: the whole
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
                                 part_mass(m, p), size_of(p->solid->box),
                                 p };
    }
    for (int i = 0; i < m->pieces.n; i++) {
        const Piece *p = &m->pieces.at[i];
        if (!p->temporary)
            *PUSH(c, &rows) = (Row){ ROW_PIECE, p->name,
                                     m->parts.at[p->part].letter, 1,
                                     piece_mass(m, p), size_of(p->box),
                                     &m->parts.at[p->part] };
    }
    *PUSH(c, &rows) = (Row){ ROW_OVERALL, m->title, STR(""), 1,
                             project_mass(m), size_of(m->box), NULL };
    return rows;
}

/* Of a part, or of the whole; finish -1: what gets none. */
static double finished_area(const Model *m, const Row *r, int finish) {
    double all = 0;

    if (r->own)
        return finish_area(r->own, finish);
    for (int i = 0; i < m->parts.n; i++)
        if (!m->parts.at[i].jig)
            all += finish_area(&m->parts.at[i], finish)
                 * m->parts.at[i].quantity;
    return all;
}

/* ---- JSON ---- */

/* By the design's names of the finishes, then what gets none. */
static void add_finishes(Buf *out, const Model *m, const Row *r) {
    json_key(out, "surface_by_finish_mm2");
    buf_add(out, "{");
    for (int i = 0; i < m->finishes.n; i++) {
        json_next(out);
        buf_json(out, m->finishes.at[i].key);
        buf_add(out, ": ");
        buf_num(out, finished_area(m, r, i), 4);
    }
    buf_add(out, "}");
    json_number(out, "bare_mm2", finished_area(m, r, -1), 4);
}

static void add_sides(Buf *out, const Row *r) {
    static const char *const sides[] = {   // ORDER SIDE
        "show", "back", "near", "far", "left", "right"
    };

    json_key(out, "surface_by_side_mm2");
    buf_add(out, "{");
    for (int i = 0; i < COUNT(sides); i++)
        json_number(out, sides[i], r->mass.side[i], 4);
    buf_add(out, "}");
}

/* An unknown weight is null. */
static void add_mass(Buf *out, const Model *m, const Row *r) {
    json_number(out, "volume_mm3", r->mass.volume, 4);
    json_key(out, "weight_g");
    if (r->mass.weight > 0)
        buf_num(out, r->mass.weight, 3);
    else
        buf_add(out, "null");
    json_number(out, "surface_mm2", r->mass.surface, 4);
    if (r->kind == ROW_PART)
        add_sides(out, r);
    if (r->kind != ROW_PIECE)
        add_finishes(out, m, r);
    json_point(out, "size_mm", r->size);
    json_point(out, "center_mm", r->mass.center);
}

static void json_row(Buf *out, const Model *m, const Row *r) {
    buf_add(out, "{");
    if (r->kind == ROW_OVERALL) {
        json_text(out, "title", r->name);
    } else if (r->kind == ROW_PIECE) {
        json_text(out, "name", r->name);
        json_text(out, "part", r->part);
    } else {
        json_text(out, "letter", r->name);
        json_text(out, "name", r->part);
        json_number(out, "quantity", r->quantity, 0);
    }
    add_mass(out, m, r);
    buf_add(out, "}");
}

static void json_rows(Buf *out, const Model *m, const char *key,
                      const Rows *rows, RowKind kind) {
    json_new_line(out, "  ");
    buf_add(out, "\"%s\": [", key);
    for (int i = 0; i < rows->n; i++) {
        if (rows->at[i].kind != kind)
            continue;
        json_new_line(out, "    ");
        json_row(out, m, &rows->at[i]);
    }
    json_end(out);
}

/* ---- CSV and text ---- */

/* A row of its own for each finish of a part and of the whole. */
static void csv_finishes(Buf *out, const Model *m, const Row *r) {
    for (int i = 0; i < m->finishes.n && r->kind != ROW_PIECE; i++) {
        buf_add(out, "\"finish\",");
        buf_csv(out, m->finishes.at[i].key);
        buf_add(out, ",");
        buf_csv(out, r->kind == ROW_PART ? r->name : STR(""));
        buf_add(out, ",%d,,,", r->quantity);
        buf_num(out, finished_area(m, r, i), 4);
        buf_add(out, ",,,,,,\r\n");
    }
}

static void as_csv(Buf *out, const Model *m, const Rows *rows) {
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
        csv_finishes(out, m, r);
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

/* "3.2 sq ft" or "0.297 m2" */
static void text_area(Buf *out, const Edition *e, double mm2) {
    buf_num(out, mm2 / (e->inch ? 92903.04 : 1e6), e->inch ? 2 : 3);
    buf_add(out, e->inch ? " sq ft" : " m2");
}

static void text_finishes(const Edition *e, Buf *out, const Model *m,
                          const Row *all) {
    for (int i = 0; i < m->finishes.n; i++) {
        buf_add(out, "finish %.*s: ", STR_ARG(m->finishes.at[i].key));
        text_area(out, e, finished_area(m, all, i));
        buf_add(out, "\n");
    }
    if (m->glue_area > 0) {
        buf_add(out, "glue: ");
        text_area(out, e, m->glue_area);
        buf_add(out, "\n");
    }
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

void list_facts(Ctx *c, const Model *m, const Edition *e, const char *as,
                Buf *out) {
    Rows rows = rows_of(c, m);

    if (strcmp(as, "csv") == 0) {
        as_csv(out, m, &rows);
    } else if (strcmp(as, "json") == 0) {
        buf_add(out, "{");
        json_rows(out, m, "parts", &rows, ROW_PART);
        json_rows(out, m, "pieces", &rows, ROW_PIECE);
        json_new_line(out, "  ");
        buf_add(out, "\"overall\": ");
        json_row(out, m, &rows.at[rows.n - 1]);
        facts_of_assembly(c, out, m);
        buf_add(out, "\n}\n");
    } else {
        as_text(c, e, out, &rows);
        text_finishes(e, out, m, &rows.at[rows.n - 1]);
        facts_in_words(c, e, out, m);
    }
}
