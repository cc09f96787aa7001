/* check_command -- everything that is wrong with a design, in each of its
 * variants and both editions.
 *
 * The variants share most of what is wrong with the design itself, so a
 * message that was made before is dropped; a new one names its variant.
 */
#include "rodbook/rodbook.h"

/* A design is right when both of its editions can be laid out. There is
 * nothing wrong with pictures, so their pages are laid out blank. */
static void check_editions(Ctx *c, const Job *job, const Options *opt) {
    Edition e;

    for (int i = 0; i < 2; i++) {
        Options own = *opt;
        own.units = i ? "mm" : "inch";
        own.paper = i ? "a4" : "letter";
        e = job_edition(job->model, &own);
        if (!press_booklet(c, job->model, job->plan, &e))
            return;
    }
}

static bool is_again(const Diag *a, const Diag *b) {
    return a->code == b->code && a->has_place == b->has_place
        && a->loc.file == b->loc.file && a->loc.begin == b->loc.begin
        && a->loc.end == b->loc.end && str_eq(a->what, b->what);
}

/* Keeps of the messages from `first` on those that are new; `own` are the
 * design's, from which the variants differ. */
static void name_variant(Ctx *c, int first, int own, Str variant) {
    int kept = first;

    for (int i = first; i < c->diags.n; i++) {
        Diag d     = c->diags.at[i];
        bool again = false;
        for (int k = 0; k < own && !again; k++)
            again = is_again(&c->diags.at[k], &d);
        if (again) {
            c->errors -= d.severity == SEVERITY_ERROR;
            continue;
        }
        d.what = str_fmt(c, "%.*s, in the variant '%.*s'", STR_ARG(d.what),
                         STR_ARG(variant));
        c->diags.at[kept++] = d;
    }
    c->diags.n = kept;
}

/* A stage stops at an error, so the count begins anew for each variant. */
static void check_variant(Ctx *c, const Design *d, const Options *opt,
                          int own, Str variant) {
    Job job    = { 0 };
    int first  = c->diags.n, errors = c->errors;

    c->errors = 0;
    if (job_plan_of(c, d, str_z(c, variant), PLAN_CUTS, &job))
        check_editions(c, &job, opt);
    if (variant.n)
        name_variant(c, first, own, variant);
    c->errors += errors;
}

void command_check(Ctx *c, const Options *opt) {
    const Design *d = design_read(c, opt->inputs[0]);
    const Node   *all;
    int           own;

    if (!d)
        return;
    all = node_find(d->root, "variants");
    check_variant(c, d, opt, 0, str_from(c, opt->variant ? opt->variant
                                                         : ""));
    own = c->diags.n;
    for (const Node *n = all && !opt->variant ? all->first : NULL; n;
         n = n->next)
        check_variant(c, d, opt, own, n->key);
}
