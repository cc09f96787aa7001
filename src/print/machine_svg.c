/* machine_svg -- machine work as SVG 1.1 (W3C): one user unit is one
 * millimeter, arcs are arcs, each layer is a group. SVG's y runs down. */
#include "print/layer.h"
#include "print/print.h"

#include <math.h>

#define MARGIN 2.0    // mm around
#define LINE   0.1    // mm
#define PLACES 6      // of coordinates

typedef struct { Buf out; double top; } Svg;

static void add_number(Svg *s, const char *before, double value) {
    buf_add(&s->out, "%s", before);
    buf_num(&s->out, value, PLACES);
}

static void add_point(Svg *s, const char *before, V2 p) {
    add_number(s, before, p.x);
    add_number(s, " ", s->top - p.y);
}

static void add_seg(Svg *s, const Seg *seg) {
    double r;

    if (seg->kind == SEG_LINE) {
        add_point(s, "L", seg->b);
    } else if (seg->kind == SEG_CUBIC) {
        add_point(s, "C", seg->c1);
        add_point(s, " ", seg->c2);
        add_point(s, " ", seg->b);
    } else {
        r = v2_len(v2_sub(seg->a, seg->center));
        add_number(s, "A", r);
        add_number(s, " ", r);
        buf_add(&s->out, " 0 %d %d", fabs(seg->sweep) > 3.14159265358979,
                seg->sweep < 0);
        add_point(s, " ", seg->b);
    }
}

static void add_path(Svg *s, const Shape *shape) {
    for (int i = 0; i < shape->loops.n; i++) {
        const Loop *l = &shape->loops.at[i];
        buf_add(&s->out, "<path d=\"");
        add_point(s, "M", l->at[0].a);
        for (int k = 0; k < l->n; k++)
            add_seg(s, &l->at[k]);
        buf_add(&s->out, "Z\"/>\n");
    }
}

static void begin_group(Svg *s, Str name) {
    buf_add(&s->out, "<g id=\"%.*s\" fill=\"none\" stroke=\"#000\"",
            STR_ARG(name));
    add_number(s, " stroke-width=\"", LINE);
    buf_add(&s->out, "\">\n");
}

static void add_layers(Ctx *c, Svg *s, const MachineWork *m) {
    for (int i = 0; i < m->works.n; i++) {
        Str name = layer_name(c, &m->works.at[i]);
        if (!layer_begins(c, m, i))
            continue;
        begin_group(s, name);
        for (int k = i; k < m->works.n; k++) {
            if (str_eq(name, layer_name(c, &m->works.at[k])))
                add_path(s, &m->works.at[k].shape);
        }
        buf_add(&s->out, "</g>\n");
    }
}

static void add_letter(Svg *s, const MachineWork *m) {
    begin_group(s, STR("ENGRAVE"));
    add_number(s, "<text x=\"", m->letter_at.x);
    add_number(s, "\" y=\"", s->top - m->letter_at.y);
    add_number(s, "\" font-size=\"", m->letter_high);
    buf_add(&s->out, "\" text-anchor=\"middle\" font-family=\"sans-serif\">"
            "%.*s</text>\n</g>\n", STR_ARG(m->letter));
}

void print_machine_svg(Ctx *c, const MachineWork *m, Str *bytes) {
    double w = m->box.max.x - m->box.min.x + 2 * MARGIN;
    double h = m->box.max.y - m->box.min.y + 2 * MARGIN;
    Svg    s = { BUF(c), m->box.max.y + MARGIN };

    add_number(&s, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"", w);
    add_number(&s, "mm\" height=\"", h);
    add_number(&s, "mm\" viewBox=\"", m->box.min.x - MARGIN);
    add_number(&s, " 0 ", w);
    add_number(&s, " ", h);
    buf_add(&s.out, "\">\n<title>%.*s</title>\n", STR_ARG(m->name));
    add_layers(c, &s, m);
    add_letter(&s, m);
    buf_add(&s.out, "</svg>\n");
    *bytes = buf_done(&s.out);
}
