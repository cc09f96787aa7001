/* proof_command -- makes afresh what a booklet should say, and lets proof/
 * hold the file against it. The ledger and the file meet only here. */
#include "rodbook/rodbook.h"

static const char *first_word(Ctx *c, const char *text) {
    return str_z(c, (Str){ text, strcspn(text, " ") });
}

/* "letter-inch …" in the document's subject says which edition it is; a
 * booklet without one is held against the design's own edition. */
static Edition edition_of(Ctx *c, const ReadBook *book, const Model *m,
                          const Options *opt) {
    double      across, along;
    const char *at;
    Str     subject = read_subject(book);
    Options own     = *opt;

    if (!own.paper && subject.n)
        own.paper = str_begins(subject, "a4") ? "a4" : "letter";
    if (!own.units && subject.n)
        own.units = str_begins(subject, "a4-mm")
                 || str_begins(subject, "letter-mm") ? "mm" : "inch";
    if (!own.printer && (at = strstr(str_z(c, subject), " · printer ")))
        own.printer = first_word(c, at + strlen(" · printer "));
    if (own.printer && !read_printer(own.printer, &across, &along))
        own.printer = NULL;
    return job_edition(m, &own);
}

/* "… · tall" at the subject's end says which variant it is. */
static const char *variant_of(Ctx *c, const ReadBook *book,
                              const Design *d, const Options *opt) {
    Str         subject = read_subject(book);
    const Node *all     = node_find(d->root, "variants");

    if (opt->variant)
        return opt->variant;
    for (const Node *n = all ? all->first : NULL; n; n = n->next) {
        char *tail = str_z(c, str_fmt(c, " · %.*s", STR_ARG(n->key)));
        if (str_ends(subject, tail))
            return str_z(c, n->key);
    }
    return "";
}

/* Value and step in the unit that is printed. */
static void set_measure(const Edition *e, const Figure *f, Claim *claim) {
    double unit = f->kind == FIGURE_LENGTH && e->inch ? 25.4 : 1;

    claim->value    = f->value / unit;
    claim->step     = f->step / unit;
    claim->measured = (f->kind == FIGURE_LENGTH && f->step > 0)
                   || f->kind == FIGURE_ANGLE || f->kind == FIGURE_COUNT;
}

static void add_claims(Ctx *c, const Booklet *b, Expected *should) {
    for (int i = 0; i < b->ledger.rows.n; i++) {
        const LedgerRow *row   = &b->ledger.rows.at[i];
        Claim           *claim = PUSH(c, &should->claims);
        claim->page   = row->page;
        claim->at     = row->at;
        claim->width  = row->width;
        claim->shown  = row->figure.shown;
        claim->source = row->figure.source;
        set_measure(&b->edition, &row->figure, claim);
    }
    for (int i = 0; i < b->ledger.shapes.n; i++) {
        const TrueSize *size  = &b->ledger.shapes.at[i];
        TrueShape      *shape = PUSH(c, &should->shapes);
        shape->page   = size->page;
        shape->what   = size->what;
        shape->shape  = size->shape;
        shape->window = size->window;
    }
}

static DiagCode code_of(FindingKind kind) {
    switch (kind) {   // ORDER FINDING
    case FINDING_DISAGREES: return PROOF_DISAGREES;
    case FINDING_UNKNOWN:   return PROOF_UNKNOWN;
    case FINDING_MISSING:   return PROOF_MISSING;
    case FINDING_SCALE:     return PROOF_SCALE;
    case FINDING_AGREES:
    case FINDING_PAGES:     break;
    }
    return PROOF_PAGES;
}

/* What is wrong, in words; the place goes before it. */
static Str words_of(Ctx *c, const Finding *one) {
    Str    says = one->says, should = one->should;
    double is, ought;

    switch (one->kind) {   // ORDER FINDING
    case FINDING_UNKNOWN:
        return str_fmt(c, "'%.*s' is no figure of the design",
                       STR_ARG(says));
    case FINDING_MISSING:
        return str_fmt(c, "'%.*s' is missing", STR_ARG(should));
    case FINDING_SCALE:
        return str_fmt(c, "an outline is not at true size: %.*s, should be "
                       "%.*s", STR_ARG(says), STR_ARG(should));
    case FINDING_PAGES:
        return str_fmt(c, "%.*s, should %.*s", STR_ARG(says),
                       STR_ARG(should));
    case FINDING_AGREES:
    case FINDING_DISAGREES:
        break;
    }
    if (numeral_value(says, &is) && numeral_value(should, &ought)
        && is == ought)
        return str_fmt(c, "'%.*s' is not where it should stand",
                       STR_ARG(says));
    return str_fmt(c, "says '%.*s', should say '%.*s'", STR_ARG(says),
                   STR_ARG(should));
}

static void report_findings(Ctx *c, const char *path, const Findings *f) {
    for (int i = 0; i < f->list.n; i++) {
        const Finding *one = &f->list.at[i];
        report_plain(c, code_of(one->kind),
                     "%s: page %d, %.0f mm from the left, %.0f mm down: "
                     "%.*s", path, one->page + 1, one->at.x, one->at.y,
                     STR_ARG(words_of(c, one)));
        if (one->source.n)
            hint(c, "from %.*s", STR_ARG(one->source));
    }
}

void command_proof(Ctx *c, const Options *opt) {
    Job             job  = { 0 };
    const ReadBook *book = proof_read(c, opt->inputs[0]);
    const Design   *design;
    Edition         e;
    const Booklet  *booklet;
    const Findings *findings;
    Expected        should = { 0 };

    if (!book || !(design = design_read(c, opt->inputs[1]))
        || !job_plan_of(c, design, variant_of(c, book, design, opt),
                        PLAN_ALL, &job))
        return;
    e       = edition_of(c, book, job.model, opt);
    booklet = press_booklet(c, job.model, job.plan, &e);
    if (!booklet)
        return;
    should.pages  = booklet->pages.n;
    should.width  = booklet->width;
    should.height = booklet->height;
    add_claims(c, booklet, &should);
    findings = proof_booklet(c, book, &should);
    if (!findings)
        return;
    report_findings(c, opt->inputs[0], findings);
    put(str_fmt(c, "%s: %d pages, %d numerals, %d agree with %s; "
                "%d true-size outlines measured\n", opt->inputs[0],
                findings->pages, findings->numerals, findings->agree,
                opt->inputs[1], findings->shapes));
}
