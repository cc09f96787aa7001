/* draw_svg -- the visible lines of a picture as SVG 1.1, true to the
 * world's millimeters (a page fits it in by its viewBox). */
#include "rodbook/draw.h"

#include <math.h>

#define MARGIN_SHARE 0.02   // of the picture's larger side, all around
#define LINE_SHARE   0.002  // width of a line

static const View *view_of(const Job *job, const Subject *s) {
    switch (s->kind) {
    case DRAW_VIEW: return &job->plan->three[s->index];
    case DRAW_STEP: return &job->plan->steps.at[s->index];
    case DRAW_PART: return &job->plan->parts.at[s->index];
    case DRAW_PROJECT:
    case DRAW_KINDS: break;
    }
    return &job->plan->cover;
}

/* SVG's y runs down. */
static void add_point(Buf *out, char op, V2 p) {
    buf_add(out, "%c", op);
    buf_num(out, p.x, 3);
    buf_add(out, " ");
    buf_num(out, -p.y, 3);
}

static void add_lines(Buf *out, const Picture *p) {
    for (int i = 0; i < p->lines.n; i++) {
        if (p->lines.at[i].hidden)
            continue;
        add_point(out, 'M', p->lines.at[i].a);
        add_point(out, 'L', p->lines.at[i].b);
    }
}

static void add_attribute(Buf *out, const char *name, double value) {
    buf_add(out, " %s=\"", name);
    buf_num(out, value, 3);
    buf_add(out, "\"");
}

bool draw_svg(Ctx *c, const Job *job, const Options *opt, const Subject *s,
              Str *bytes) {
    const Picture *p      = &view_of(job, s)->picture;
    double         w      = p->box.max.x - p->box.min.x;
    double         h      = p->box.max.y - p->box.min.y;
    double         margin = MARGIN_SHARE * fmax(w, h);
    Buf            out    = BUF(c);

    (void)opt;
    buf_add(&out, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"");
    buf_num(&out, p->box.min.x - margin, 3), buf_add(&out, " ");
    buf_num(&out, -p->box.max.y - margin, 3), buf_add(&out, " ");
    buf_num(&out, w + 2 * margin, 3), buf_add(&out, " ");
    buf_num(&out, h + 2 * margin, 3);
    buf_add(&out, "\">\n<path fill=\"none\" stroke=\"#000\""
            " stroke-linecap=\"round\"");
    add_attribute(&out, "stroke-width", LINE_SHARE * fmax(w, h));
    buf_add(&out, " d=\"");
    add_lines(&out, p);
    buf_add(&out, "\"/>\n</svg>\n");
    *bytes = buf_done(&out);
    return true;
}
