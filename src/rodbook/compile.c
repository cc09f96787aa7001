/* compile -- the whole program on one screen. A stage that fails has
 * already said why in c->diags. */
#include "rodbook/rodbook.h"

void put(Str text) {
    fwrite(text.s, 1, text.n, stdout);
}

bool job_model_of(Ctx *c, const Design *d, const char *variant, Job *job) {
    job->sizes = sizes_new(c);
    return (job->design = design_variant(c, d, str_from(c, variant)))
        && (job->model = model_build(c, job->design, job->sizes));
}

bool job_plan_of(Ctx *c, const Design *d, const char *variant, int stages,
                 Job *job) {
    return job_model_of(c, d, variant, job)
        && (job->plan = plan_stages(c, job->model, stages));
}

bool job_model(Ctx *c, const Options *opt, const char *path, Job *job) {
    const Design *d = design_read(c, path);

    return d
        && job_model_of(c, d, opt->variant ? opt->variant : "", job);
}

bool job_plan(Ctx *c, const Options *opt, const char *path, Job *job) {
    return job_stages(c, opt, path, PLAN_ALL, job);
}

bool job_stages(Ctx *c, const Options *opt, const char *path, int stages,
                Job *job) {
    return job_model(c, opt, path, job)
        && (job->plan = plan_stages(c, job->model, stages));
}

bool job_placed(Ctx *c, const Options *opt, const char *path, Job *job) {
    const Design *d = design_read(c, path);

    job->sizes = sizes_new(c);
    return d
        && (job->design = design_variant(c, d, str_from(c, opt->variant
                                         ? opt->variant : "")))
        && (job->model = model_placed(c, job->design, job->sizes));
}

Edition job_edition(const Model *m, const Options *opt) {
    Edition e = { 0 };

    if (opt->printer)
        (void)read_printer(opt->printer, &e.printer_x, &e.printer_y);
    e.inch = opt->units ? strcmp(opt->units, "inch") == 0 : m->inch;
    e.a4   = opt->paper ? strcmp(opt->paper, "a4") == 0 : m->a4;
    e.step = e.inch ? m->step_inch : m->step_mm;
    return e;
}

const Workplan *job_on_paper(Ctx *c, const Options *opt, const Job *job) {
    Edition e = job_edition(job->model, opt);

    return plan_on_paper(c, job->model, job->plan, edition_width(&e),
                         edition_height(&e));
}

/* ---- press ---- */

/* "bench.json" to "bench.letter-inch.pdf", in the working folder; of a
 * variant "extra tall" to "bench.extra-tall.letter-inch.pdf". */
static char *standing_output(Ctx *c, const char *input, const Model *m,
                             const Edition *e) {
    const char *slash = strrchr(input, '/');
    Str         name  = str_from(c, slash ? slash + 1 : input);
    char       *variant = str_z(c, m->variant);

    if (str_ends(name, ".json"))
        name = str_part(name, 0, name.n - 5);
    for (char *s = variant; *s; s++)
        *s = *s == ' ' ? '-' : *s;
    return str_z(c, str_fmt(c, "%.*s%s%s.%s.pdf", STR_ARG(name),
                            *variant ? "." : "", variant, edition_name(e)));
}

static bool dump_is(const Options *opt, const char *stage) {
    return opt->dump && strcmp(opt->dump, stage) == 0;
}

/* True where the stage asked for was printed. */
static bool dumped(Ctx *c, const Options *opt, const Job *job,
                   const Booklet *booklet) {
    Buf out = BUF(c);

    if (dump_is(opt, "design") && job->design)
        design_dump(&out, c, job->design);
    else if (dump_is(opt, "sizes") && job->model)
        sizes_dump(&out, job->sizes);
    else if (dump_is(opt, "model") && job->model)
        model_dump(&out, job->model);
    else if (dump_is(opt, "plan") && job->plan)
        plan_dump(&out, job->model, job_on_paper(c, opt, job));
    else if (dump_is(opt, "booklet") && booklet)
        booklet_dump(&out, booklet);
    else
        return false;
    put(buf_done(&out));
    return true;
}

static bool write_ledger(Ctx *c, const Options *opt, const Booklet *b) {
    Buf out = BUF(c);

    if (!opt->ledger)
        return true;
    ledger_csv(&out, b);
    return file_write(c, opt->ledger, buf_done(&out));
}

void command_press(Ctx *c, const Options *opt) {
    Job            job = { 0 };
    Edition        e;
    const Booklet *booklet;
    const char    *path;
    Str            pdf;

    if (!job_plan(c, opt, opt->inputs[0], &job)) {
        (void)dumped(c, opt, &job, NULL);
        return;
    }
    e       = job_edition(job.model, opt);
    booklet = press_booklet(c, job.model, job.plan, &e);
    if (dumped(c, opt, &job, booklet) || !booklet)
        return;
    path = opt->output ? opt->output
                       : standing_output(c, opt->inputs[0], job.model, &e);
    if (print_pdf(c, booklet, &pdf) && write_ledger(c, opt, booklet)
        && file_write(c, path, pdf))
        put(str_fmt(c, "Wrote %s, %d page%s.\n", path, booklet->pages.n,
                    booklet->pages.n > 1 ? "s" : ""));
}
