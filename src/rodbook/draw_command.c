/* draw -- one drawing, template or solid by itself, for a video, a shop
 * page or another program.
 *
 * What is drawn is named as in the booklet: a part by its letter, a step by
 * "step 3", its template by "template C", a view of the finished project by
 * "top", "front" or "right"; without a name it is the project; "templates"
 * are all of them, on the paper that is asked for. "C front" and
 * "C back" are the faces of part C at true size, for machines. Each format is
 * one function from the subject to the bytes of a file.
 */
#include "rodbook/draw.h"

#include <ctype.h>

/* ORDER SUBJECT */
static const char *const kind_names[] = {
    "the project", "a view", "a step", "a part", "a template",
    "a part's face", "a part's back", "a set of templates"
};

/* Stages of the plan that show it; template sheets come with the paper.
 * ORDER SUBJECT */
static const int kind_stages[] = {
    PLAN_PROJECT, PLAN_PROJECT, PLAN_STEPS, 0, 0, 0, 0, 0
};

/* ---- The subject ---- */

/* "step 3" is 2 of at least 3 steps; else -1. */
static int step_number(const Model *m, const char *name) {
    char *end;
    long  n;

    if (strncmp(name, "step ", 5) != 0 || !isdigit((unsigned char)name[5]))
        return -1;
    n = strtol(name + 5, &end, 10);
    return *end == '\0' && n >= 1 && n <= m->steps.n ? (int)n - 1 : -1;
}

/* ORDER THREE (plan.h: Workplan.three) */
static int view_number(const char *name) {
    static const char *const views[] = { "front", "top", "right" };

    for (int i = 0; i < COUNT(views); i++) {
        if (strcmp(name, views[i]) == 0)
            return i;
    }
    return -1;
}

/* The pattern of "template C", or -1. Plans the sheets, which decide whether
 * it is half of the part, and how it lies. */
static int pattern_number(Ctx *c, Job *job, const Options *opt, Str name) {
    Str letter;

    if (name.n <= 9 || memcmp(name.s, "template ", 9) != 0)
        return -1;
    letter    = str_part(name, 9, name.n);
    job->plan = plan_stages(c, job->model, 0);
    job->plan = job_on_paper(c, opt, job);
    for (int i = 0; i < job->plan->patterns.n; i++) {
        int part = job->plan->patterns.at[i].part;
        if (part >= 0 && str_eq(job->model->parts.at[part].letter, letter))
            return i;
    }
    return -1;
}

/* "C front": the part, or -1. */
static int part_face(const Model *m, Str name, SubjectKind *face) {
    bool back = str_ends(name, " back");

    if (!back && !str_ends(name, " front"))
        return -1;
    *face = back ? DRAW_BACK : DRAW_FRONT;
    return model_find_part(m, str_part(name, 0, name.n - (back ? 5 : 6)));
}

static Subject found(SubjectKind kind, int index, Str name) {
    return (Subject){ kind, index, name };
}

static bool find_subject(Ctx *c, Job *job, const Options *opt,
                         Subject *subject) {
    const char *name = opt->n_inputs > 1 ? opt->inputs[1] : NULL;
    Str text = str_from(c, name ? name : "project");
    SubjectKind face;
    int step, view, part, pattern;

    if (str_is(text, "project"))
        return *subject = found(DRAW_PROJECT, 0, text), true;
    if (str_is(text, "templates"))
        return *subject = found(DRAW_TEMPLATES, 0, text), true;
    if ((view = view_number(name)) >= 0)
        return *subject = found(DRAW_VIEW, view, text), true;
    if ((step = step_number(job->model, name)) >= 0)
        return *subject = found(DRAW_STEP, step, text), true;
    if ((part = model_find_part(job->model, text)) >= 0)
        return *subject = found(DRAW_PART, part, text), true;
    if ((pattern = pattern_number(c, job, opt, text)) >= 0)
        return *subject = found(DRAW_TEMPLATE, pattern, text), true;
    if ((part = part_face(job->model, text, &face)) >= 0)
        return *subject = found(face, part, text), true;
    report_plain(c, UNKNOWN_NAME, "the design has nothing to draw called "
                 "'%s'", name);
    hint(c, "draw project, front, top, right, a part by its letter (its "
         "face: \"A front\", \"A back\"), \"template A\" where it has "
         "one, templates, or \"step 1\" to \"step %d\"",
         job->model->steps.n);
    return false;
}

/* ---- The formats ---- */

typedef struct {
    const char *name;       // --as, and what the file's name ends in
    unsigned    kinds;      // bits of SubjectKind that it can show
    DrawFormat *write;
} Format;

#define BIT(kind) (1u << (kind))
#define FACES     (BIT(DRAW_FRONT) | BIT(DRAW_BACK))
#define PICTURES  ((BIT(DRAW_KINDS) - 1) & ~(FACES | BIT(DRAW_TEMPLATES)))

static const Format formats[] = {
    { "svg", PICTURES, draw_svg },
    { "pdf", PICTURES, draw_pdf },
    { "png", PICTURES, draw_png },
    { "svg", FACES, draw_machine_svg },
    { "dxf", FACES, draw_dxf },
    { "pdf", BIT(DRAW_TEMPLATES), draw_templates },
    { "stl", BIT(DRAW_PROJECT) | BIT(DRAW_PART), draw_stl },
    { "gltf", BIT(DRAW_PROJECT) | BIT(DRAW_PART), draw_gltf },
};

/* The first that shows such a thing, where none is asked for. NULL,
 * reported: the format does not. */
static const Format *find_format(Ctx *c, const Options *opt,
                                 const Subject *s) {
    for (int i = 0; i < COUNT(formats); i++) {
        if ((!opt->as || strcmp(formats[i].name, opt->as) == 0)
            && formats[i].kinds & BIT(s->kind))
            return &formats[i];
    }
    report_plain(c, BAD_CHOICE, "%s cannot be drawn as %s",
                 kind_names[s->kind], opt->as);
    return NULL;
}

/* "planter.json" and "step 3" to "planter.step-3.svg". */
static const char *output_name(Ctx *c, const Options *opt, const Subject *s,
                               const Format *f) {
    const char *slash = strrchr(opt->inputs[0], '/');
    Str   stem = str_from(c, slash ? slash + 1 : opt->inputs[0]);
    char *name = str_z(c, s->name);

    if (opt->output)
        return opt->output;
    if (str_ends(stem, ".json"))
        stem = str_part(stem, 0, stem.n - 5);
    for (char *p = name; *p; p++)
        *p = *p == ' ' ? '-' : *p;
    return str_z(c, str_fmt(c, "%.*s.%s.%s", STR_ARG(stem), name, f->name));
}

void command_draw(Ctx *c, const Options *opt) {
    const Format *f;
    Job           job = { 0 };
    Subject       s;
    Str           bytes;

    if (!job_model(c, opt, opt->inputs[0], &job)
        || !find_subject(c, &job, opt, &s)
        || !(f = find_format(c, opt, &s))
        || !(job.plan = plan_stages(c, job.model, kind_stages[s.kind])))
        return;
    if (s.kind == DRAW_TEMPLATE)
        job.plan = job_on_paper(c, opt, &job);
    if (f->write(c, &job, opt, &s, &bytes))
        (void)!file_write(c, output_name(c, opt, &s, f), bytes);
}
