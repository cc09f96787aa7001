/* svg_out -- one page as SVG 1.1, millimeters, texts as outlines: it looks
 * the same everywhere, with no font to be found.
 *
 * Colors are those of the PDF, taken plainly from CMYK to RGB: what is not
 * cyan is red, and so on, less the black.
 */
#include "print/print_internal.h"

const InkRgb ink_rgb[] = {   // ORDER INK
    { 0, 0, 0 },
    { 0, 0, 0 },
    { .45, .45, .45 },
    { .88, .88, .88 },
    { .94, .94, .94 },
    { .1275, .595, .4675 },
    { .8241, .9205, .8942 },
    { 1, 1, 1 },
    { .75, .75, .75 },
};

static void add_num(Buf *out, double value, const char *after) {
    buf_num(out, value, 3);
    buf_add(out, "%s", after);
}

static void add_color(Buf *out, const char *what, Ink ink) {
    const InkRgb *c = &ink_rgb[ink];

    if (ink == INK_NONE)
        buf_add(out, " %s=\"none\"", what);
    else
        buf_add(out, " %s=\"#%02x%02x%02x\"", what,
                (unsigned)(c->r * 255 + .5), (unsigned)(c->g * 255 + .5),
                (unsigned)(c->b * 255 + .5));
}

static void add_stroke(Buf *out, const Mark *m) {
    double lengths[6];
    int    n = dash_lengths(m->dash, m->width, lengths);

    add_color(out, "stroke", m->stroke);
    buf_add(out, " stroke-width=\"");
    add_num(out, m->width, "\"");
    for (int i = 0; i < n; i++) {
        buf_add(out, i ? " " : " stroke-dasharray=\"");
        add_num(out, lengths[i], i + 1 < n ? "" : "\"");
    }
}

static void add_path(Buf *out, const Mark *m) {
    buf_add(out, "<path");
    add_color(out, "fill", m->fill);
    if (m->stroke != INK_NONE)
        add_stroke(out, m);
    buf_add(out, " d=\"");
    for (int i = 0; i < m->path.n; i++) {
        const PathOp *op     = &m->path.at[i];
        int           points = op->op == 'C' ? 3 : op->op == 'Z' ? 0 : 1;
        buf_add(out, "%c", op->op);
        for (int k = 0; k < points; k++) {
            add_num(out, op->p[k].x, " ");
            add_num(out, op->p[k].y, k + 1 < points ? " " : "");
        }
    }
    buf_add(out, "\"/>\n");
}

/* A nested clip is cut by all that it stands in, as groups are. */
static void add_clip(Buf *out, Box2 box, int number) {
    buf_add(out, "<clipPath id=\"clip%d\"><rect x=\"", number);
    add_num(out, box.min.x, "\" y=\"");
    add_num(out, box.min.y, "\" width=\"");
    add_num(out, box.max.x - box.min.x, "\" height=\"");
    add_num(out, box.max.y - box.min.y, "\"/></clipPath>\n");
    buf_add(out, "<g clip-path=\"url(#clip%d)\">\n", number);
}

static void add_escaped(Buf *out, Str s) {
    for (size_t i = 0; i < s.n; i++) {
        char ch = s.s[i];
        if (ch == '<' || ch == '&' || ch == '>')
            buf_add(out, "%s", ch == '<' ? "&lt;" : ch == '>' ? "&gt;"
                                                             : "&amp;");
        else
            buf_add(out, "%c", ch);
    }
}

static void add_head(Buf *out, const Booklet *b) {
    buf_add(out, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"");
    add_num(out, b->width, "mm\" height=\"");
    add_num(out, b->height, "mm\" viewBox=\"0 0 ");
    add_num(out, b->width, " ");
    add_num(out, b->height, "\">\n<title>");
    add_escaped(out, b->title);
    buf_add(out, "</title>\n<g fill-rule=\"evenodd\""
            " stroke-linecap=\"round\" stroke-linejoin=\"round\">\n");
}

bool print_svg(Ctx *c, const Booklet *b, Str *bytes) {
    Buf  out   = BUF(c);
    int  clips = 0;
    Page page;

    if (!page_outlined(c, b, 0, &page))
        return false;
    add_head(&out, b);
    for (int i = 0; i < page.marks.n; i++) {
        const Mark *m = &page.marks.at[i];
        if (m->kind == MARK_PATH)
            add_path(&out, m);
        else if (m->kind == MARK_CLIP)
            add_clip(&out, m->box, ++clips);
        else if (m->kind == MARK_UNCLIP)
            buf_add(&out, "</g>\n");
    }
    buf_add(&out, "</g>\n</svg>\n");
    *bytes = buf_done(&out);
    return true;
}
