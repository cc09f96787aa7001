/* draw_formats -- drawings as SVG, PDF and PNG: laid out as in the booklet,
 * on a page that is no larger than the drawing. */
#include "rodbook/draw.h"

static const Booklet *drawing_of(Ctx *c, const Job *job, const Options *opt,
                                 const Subject *s) {
    static const DrawingKind kinds[] = {   // ORDER SUBJECT
        DRAWING_PROJECT, DRAWING_VIEW, DRAWING_STEP, DRAWING_PART,
        DRAWING_TEMPLATE
    };
    Edition e = job_edition(job->model, opt);

    return press_drawing(c, job->model, job->plan, &e, kinds[s->kind],
                         s->index);
}

bool draw_svg(Ctx *c, const Job *job, const Options *opt, const Subject *s,
              Str *bytes) {
    const Booklet *b = drawing_of(c, job, opt, s);

    return b && print_svg(c, b, bytes);
}

bool draw_pdf(Ctx *c, const Job *job, const Options *opt, const Subject *s,
              Str *bytes) {
    const Booklet *b = drawing_of(c, job, opt, s);

    return b && print_pdf(c, b, bytes);
}

bool draw_png(Ctx *c, const Job *job, const Options *opt, const Subject *s,
              Str *bytes) {
    const Booklet *b = drawing_of(c, job, opt, s);

    return b && print_png(c, b, bytes);
}
