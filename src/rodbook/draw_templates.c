/* draw_templates -- all templates of a design in a PDF of their own, on any
 * paper: sheets of an office or a drawing office, or as short a piece of a
 * roll as holds them all. */
#include "rodbook/draw.h"

typedef struct {
    const char *name;
    double      width, height;   // mm; a roll has no height
} Paper;

/* ISO 216 and ANSI/ASME Y14.1; rolls by their width. ORDER PAPER */
static const Paper papers[] = {
    { "letter", 215.9, 279.4 }, { "a4", 210, 297 },
    { "tabloid", 279.4, 431.8 }, { "a3", 297, 420 },
    { "a1", 594, 841 }, { "a0", 841, 1189 },
    { "roll24", 609.6, 0 }, { "roll36", 914.4, 0 },
};

static const Workplan *on_paper(Ctx *c, const Job *job, const char *name) {
    for (int i = 0; i < COUNT(papers); i++) {
        const Paper *p = &papers[i];
        if (strcmp(p->name, name) != 0)
            continue;
        return p->height > 0
             ? plan_on_paper(c, job->model, job->plan, p->width, p->height)
             : plan_on_roll(c, job->model, job->plan, p->width);
    }
    return NULL;
}

bool draw_templates(Ctx *c, const Job *job, const Options *opt,
                    const Subject *s, Str *bytes) {
    Edition         e = job_edition(job->model, opt);
    const Workplan *plan = on_paper(c, job, opt->paper ? opt->paper
                                    : e.a4 ? "a4" : "letter");
    const Booklet  *b;

    (void)s;
    if (!plan || plan->sheets.n == 0) {
        report_plain(c, UNKNOWN_NAME, "the design has no templates");
        hint(c, "\"template\": \"always\" gives a part one");
        return false;
    }
    b = press_template_sheets(c, job->model, plan, &e);
    return b && print_pdf(c, b, bytes);
}
