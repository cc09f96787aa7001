/* dxf -- machine work as DXF of release 12, which all later readers take:
 * closed polylines whose bulges are arcs, circles for holes, millimeters.
 *
 * A bulge is the tangent of a quarter of the sweep. The format is lines in
 * pairs, a group code and its value. Cubics become arcs first: release 12
 * has no other curve.
 */
#include "print/layer.h"
#include "print/print.h"

#include <math.h>

#define ARCS_WITHIN 0.005   // mm, of a cubic
#define PLACES      6

static void word(Buf *out, int code, const char *value) {
    buf_add(out, "%3d\r\n%s\r\n", code, value);
}

static void name(Buf *out, int code, Str value) {
    buf_add(out, "%3d\r\n%.*s\r\n", code, STR_ARG(value));
}

static void number(Buf *out, int code, double value) {
    buf_add(out, "%3d\r\n", code);
    buf_num(out, value, PLACES);
    buf_add(out, "\r\n");
}

static void point(Buf *out, V2 p) {
    number(out, 10, p.x);
    number(out, 20, p.y);
    number(out, 30, 0);
}

static void add_polyline(Buf *out, Str layer, const Loop *l) {
    word(out, 0, "POLYLINE");
    name(out, 8, layer);
    word(out, 66, "1");
    point(out, v2(0, 0));
    word(out, 70, "1");
    for (int k = 0; k < l->n; k++) {
        word(out, 0, "VERTEX");
        name(out, 8, layer);
        point(out, l->at[k].a);
        if (l->at[k].kind == SEG_ARC)
            number(out, 42, tan(l->at[k].sweep / 4));
    }
    word(out, 0, "SEQEND");
    name(out, 8, layer);
}

static void add_circle(Buf *out, Str layer, const Work *w) {
    word(out, 0, "CIRCLE");
    name(out, 8, layer);
    point(out, w->center);
    number(out, 40, w->diameter / 2);
}

static void add_work(Ctx *c, Buf *out, const Work *w) {
    Str   layer = layer_name(c, w);
    Shape arcs;

    if (w->kind == WORK_DRILL) {
        add_circle(out, layer, w);
        return;
    }
    arcs = shape_arcs(c, w->shape, ARCS_WITHIN);
    for (int i = 0; i < arcs.loops.n; i++)
        add_polyline(out, layer, &arcs.loops.at[i]);
}

static void add_letter(Buf *out, const MachineWork *m) {
    word(out, 0, "TEXT");
    word(out, 8, "ENGRAVE");
    point(out, m->letter_at);
    number(out, 40, m->letter_high);
    name(out, 1, m->letter);
    word(out, 72, "1");   // centered on the second point
    number(out, 11, m->letter_at.x);
    number(out, 21, m->letter_at.y);
    number(out, 31, 0);
}

/* ---- What goes before ---- */

static void add_corner(Buf *out, const char *variable, V2 p) {
    word(out, 9, variable);
    point(out, p);
}

static void add_header(Buf *out, const MachineWork *m) {
    word(out, 999, "millimeters");
    word(out, 0, "SECTION");
    word(out, 2, "HEADER");
    word(out, 9, "$ACADVER");
    word(out, 1, "AC1009");
    add_corner(out, "$EXTMIN", m->box.min);
    add_corner(out, "$EXTMAX", m->box.max);
    word(out, 0, "ENDSEC");
}

static void add_layer(Buf *out, Str layer, int color) {
    word(out, 0, "LAYER");
    name(out, 2, layer);
    word(out, 70, "0");
    buf_add(out, " 62\r\n%d\r\n", color);
    word(out, 6, "CONTINUOUS");
}

static void add_tables(Ctx *c, Buf *out, const MachineWork *m) {
    int n = 1;

    for (int i = 0; i < m->works.n; i++)
        n += layer_begins(c, m, i);
    word(out, 0, "SECTION");
    word(out, 2, "TABLES");
    word(out, 0, "TABLE");
    word(out, 2, "LAYER");
    buf_add(out, " 70\r\n%d\r\n", n);
    for (int i = 0; i < m->works.n; i++) {
        if (layer_begins(c, m, i))
            add_layer(out, layer_name(c, &m->works.at[i]),
                      (int)m->works.at[i].kind + 1);
    }
    add_layer(out, STR("ENGRAVE"), WORK_ENGRAVE + 1);
    word(out, 0, "ENDTAB");
    word(out, 0, "ENDSEC");
}

void print_dxf(Ctx *c, const MachineWork *m, Str *bytes) {
    Buf out = BUF(c);

    add_header(&out, m);
    add_tables(c, &out, m);
    word(&out, 0, "SECTION");
    word(&out, 2, "ENTITIES");
    for (int i = 0; i < m->works.n; i++)
        add_work(c, &out, &m->works.at[i]);
    add_letter(&out, m);
    word(&out, 0, "ENDSEC");
    word(&out, 0, "EOF");
    *bytes = buf_done(&out);
}
