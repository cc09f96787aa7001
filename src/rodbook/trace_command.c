/* trace -- where a value comes from, formula by formula, and on which pages
 * it is printed. Text and JSON print the same lines. */
#include "rodbook/trace.h"

#include <math.h>

#define DEEPEST_INDENT 30

/* ---- Values ---- */

static Str fraction_of(Ctx *c, Quantity q, const char *unit) {
    int64_t size = q.num < 0 ? -q.num : q.num;
    int64_t rest = size % q.den;
    Str     sign = q.num < 0 ? STR("-") : STR("");

    if (!rest)
        return str_fmt(c, "%.*s%lld %s", STR_ARG(sign),
                       (long long)(size / q.den), unit);
    if (size < q.den)
        return str_fmt(c, "%.*s%lld/%lld %s", STR_ARG(sign),
                       (long long)rest, (long long)q.den, unit);
    return str_fmt(c, "%.*s%lld %lld/%lld %s", STR_ARG(sign),
                   (long long)(size / q.den), (long long)rest,
                   (long long)q.den, unit);
}

/* Exact millimeters as a decimal if it ends, else as a fraction. */
static Str exact_mm(Ctx *c, Quantity q) {
    Buf b = BUF(c);

    if (1000000 % q.den != 0)
        return fraction_of(c, q, "mm");
    buf_num(&b, q.real, 6);
    buf_add(&b, " mm");
    return buf_done(&b);
}

/* "3 3/4 in = 95.25 mm", or "about 3.7402 in = 95.0012 mm". */
static Str length_words(Ctx *c, Quantity q) {
    Quantity inches = quantity_div(c, (Loc){ 0 }, q, quantity_inches(1, 1));
    Buf      b      = BUF(c);
    Str      mm;

    if (quantity_is_exact(q) && quantity_is_exact(inches)) {
        Str in = fraction_of(c, inches, "in");
        mm = exact_mm(c, q);
        return str_fmt(c, "%.*s = %.*s", STR_ARG(in), STR_ARG(mm));
    }
    buf_add(&b, "about ");
    buf_num(&b, q.real / 25.4, 4);
    buf_add(&b, " in = ");
    buf_num(&b, q.real, 4);
    buf_add(&b, " mm");
    return buf_done(&b);
}

static Str value_words(Ctx *c, Quantity q) {
    Buf b = BUF(c);

    if (dim_eq(q.dim, DIM_LENGTH))
        return length_words(c, q);
    if (!quantity_is_exact(q))
        buf_add(&b, "about ");
    quantity_show(&b, q);
    return buf_done(&b);
}

static Str with_unit(Ctx *c, Str shown, Str unit) {
    bool close = str_is(unit, "\xC2\xB0");

    return str_fmt(c, "%.*s%s%.*s", STR_ARG(shown),
                   unit.n && !close ? " " : "", STR_ARG(unit));
}

/* As the booklet rounds it; empty for what it has no one form for. */
static Str printed_words(Ctx *c, const Edition *e, Quantity q) {
    Figure f;

    if (dim_eq(q.dim, DIM_LENGTH))
        f = figure_length(c, e, q, STR(""));
    else if (dim_eq(q.dim, DIM_ANGLE))
        f = figure_angle(c, q, STR(""));
    else if (dim_eq(q.dim, DIM_MONEY))
        f = figure_money(c, q, STR(""));
    else if (dim_eq(q.dim, DIM_NUMBER) && fabs(q.real) < 1e15
             && fabs(q.real - round(q.real)) < 1e-9)
        f = figure_count(c, (int64_t)llround(q.real), STR(""));
    else
        return STR("");
    return with_unit(c, f.shown, f.unit);
}

static Str place_words(Ctx *c, Loc loc) {
    return str_fmt(c, "%.*s:%d", STR_ARG(c->sources.at[loc.file].path),
                   loc_line_col(c, loc).line);
}

/* ---- Where it is printed ---- */

typedef struct { int page; Figure figure; int times; } Printed;
typedef LIST(Printed) PrintedList;

static void find_printed(const Trace *t, PrintedList *out) {
    const Ledger *ledger = &t->booklet->ledger;

    for (int i = 0; i < ledger->rows.n; i++) {
        const LedgerRow *r = &ledger->rows.at[i];
        int k = 0;
        if (!trace_prints(t, r->figure.source))
            continue;
        while (k < out->n
               && (out->at[k].page != r->page
                   || !str_eq(out->at[k].figure.source, r->figure.source)
                   || !str_eq(out->at[k].figure.shown, r->figure.shown)
                   || !str_eq(out->at[k].figure.unit, r->figure.unit)))
            k++;
        if (k == out->n)
            *PUSH(t->c, out) = (Printed){ r->page, r->figure, 0 };
        out->at[k].times++;
    }
}

/* The sizes whose formulas use the name. */
static void find_users(const Trace *t, Names *out) {
    for (int i = 0; i < sizes_count(t->job.sizes); i++) {
        Str   user  = sizes_at(t->job.sizes, i)->name;
        Names names = { 0 };
        sizes_names(t->c, t->job.sizes, user, &names);
        for (int k = 0; k < names.n; k++)
            if (str_eq(names.at[k], t->asked))
                *PUSH(t->c, out) = user;
    }
}

/* ---- Text ---- */

static void text_line(Buf *out, const Edition *e, const TraceLine *l) {
    int indent = l->depth < DEEPEST_INDENT ? l->depth : DEEPEST_INDENT;
    Str printed;

    buf_add(out, "%*s%.*s", 2 * indent, "", STR_ARG(l->name));
    if (l->formula.n)
        buf_add(out, " = %.*s", STR_ARG(l->formula));
    if (l->valued) {
        Str value = value_words(out->c, l->value);
        printed   = printed_words(out->c, e, l->value);
        buf_add(out, " -> %.*s", STR_ARG(value));
        if (printed.n)
            buf_add(out, ", printed %.*s", STR_ARG(printed));
    }
    if (l->again)
        buf_add(out, "; see above");
    else if (l->placed) {
        Str place = place_words(out->c, l->loc);
        buf_add(out, "  [%.*s]", STR_ARG(place));
    }
    if (l->note.n && !l->again)
        buf_add(out, "  (%.*s)", STR_ARG(l->note));
    buf_add(out, "\n");
}

static void text_printed(Buf *out, const PrintedList *list) {
    if (!list->n)
        buf_add(out, "\nNot printed under this name.\n");
    else
        buf_add(out, "\nPrinted on:\n");
    for (int i = 0; i < list->n; i++) {
        const Printed *p     = &list->at[i];
        Str            shown = with_unit(out->c, p->figure.shown,
                                         p->figure.unit);
        buf_add(out, "  page %d: %.*s", p->page + 1, STR_ARG(shown));
        buf_add(out, "  (%.*s)", STR_ARG(p->figure.source));
        if (p->times > 1)
            buf_add(out, ", %d times", p->times);
        buf_add(out, "\n");
    }
}

static void text_uses(Buf *out, const Trace *t) {
    if (t->uses.n)
        buf_add(out, "\nFormulas that use it:\n");
    for (int i = 0; i < t->uses.n; i++) {
        const TraceUse *use = &t->uses.at[i];
        Str place = place_words(out->c, use->loc);
        buf_add(out, "  %.*s = %.*s  [%.*s]\n", STR_ARG(use->where),
                STR_ARG(use->formula), STR_ARG(place));
    }
}

static void as_text(Buf *out, const Trace *t, const PrintedList *printed,
                    const Names *users) {
    for (int i = 0; i < t->lines.n; i++)
        text_line(out, &t->booklet->edition, &t->lines.at[i]);
    if (users->n) {
        buf_add(out, "\nSizes that use it:");
        for (int i = 0; i < users->n; i++)
            buf_add(out, "%s %.*s", i ? "," : "", STR_ARG(users->at[i]));
        buf_add(out, "\n");
    }
    text_uses(out, t);
    text_printed(out, printed);
}

/* ---- JSON ---- */

static void member(Buf *out, const char *key, Str value) {
    buf_add(out, ", \"%s\": ", key);
    buf_json(out, value);
}

static void json_line(Buf *out, const Edition *e, const TraceLine *l) {
    buf_add(out, "    {\"depth\": %d", l->depth);
    member(out, "name", l->name);
    member(out, "formula", l->formula);
    if (l->valued) {
        member(out, "value", value_words(out->c, l->value));
        buf_add(out, ", \"exact\": %s, \"base\": ",
                quantity_is_exact(l->value) ? "true" : "false");
        buf_num(out, l->value.real, 6);
        member(out, "printed", printed_words(out->c, e, l->value));
    }
    if (l->placed) {
        member(out, "file", out->c->sources.at[l->loc.file].path);
        buf_add(out, ", \"line\": %d", loc_line_col(out->c, l->loc).line);
    }
    member(out, "note", l->note);
    buf_add(out, ", \"above\": %s}", l->again ? "true" : "false");
}

static void json_use(Buf *out, const TraceUse *use) {
    buf_add(out, "    {\"where\": ");
    buf_json(out, use->where);
    member(out, "formula", use->formula);
    member(out, "file", out->c->sources.at[use->loc.file].path);
    buf_add(out, ", \"line\": %d}", loc_line_col(out->c, use->loc).line);
}

static void json_printed(Buf *out, const Printed *p) {
    buf_add(out, "    {\"page\": %d", p->page + 1);
    member(out, "shown", p->figure.shown);
    member(out, "unit", p->figure.unit);
    member(out, "source", p->figure.source);
    buf_add(out, ", \"times\": %d}", p->times);
}

static void as_json(Buf *out, const Trace *t, const PrintedList *printed,
                    const Names *users) {
    buf_add(out, "{\n  \"asked\": ");
    buf_json(out, t->asked);
    buf_add(out, ",\n  \"lines\": [");
    for (int i = 0; i < t->lines.n; i++) {
        buf_add(out, i ? ",\n" : "\n");
        json_line(out, &t->booklet->edition, &t->lines.at[i]);
    }
    buf_add(out, "\n  ],\n  \"used_by\": [");
    for (int i = 0; i < users->n; i++) {
        buf_add(out, i ? ", " : "");
        buf_json(out, users->at[i]);
    }
    buf_add(out, "],\n  \"used_in\": [");
    for (int i = 0; i < t->uses.n; i++) {
        buf_add(out, i ? ",\n" : "\n");
        json_use(out, &t->uses.at[i]);
    }
    buf_add(out, t->uses.n ? "\n  ],\n  \"printed\": ["
                           : "],\n  \"printed\": [");
    for (int i = 0; i < printed->n; i++) {
        buf_add(out, i ? ",\n" : "\n");
        json_printed(out, &printed->at[i]);
    }
    buf_add(out, printed->n ? "\n  ]\n}\n" : "]\n}\n");
}

/* ---- The command ---- */

static void unknown(const Trace *t, const char *path) {
    const Model *m     = t->job.model;
    Names        known = { 0 };
    Str          near;

    for (int i = 0; i < sizes_count(t->job.sizes); i++)
        *PUSH(t->c, &known) = sizes_at(t->job.sizes, i)->name;
    for (int i = 0; i < m->parts.n; i++) {
        *PUSH(t->c, &known) = str_fmt(t->c, "%.*s.long",
                                      STR_ARG(m->parts.at[i].letter));
        *PUSH(t->c, &known) = str_fmt(t->c, "%.*s.short",
                                      STR_ARG(m->parts.at[i].letter));
    }
    for (int i = 0; i < m->worked.n; i++)
        *PUSH(t->c, &known) = str_fmt(t->c, "%.*s.%s",
                                      STR_ARG(m->worked.at[i].owner),
                                      m->worked.at[i].name);
    for (int i = 0; i < m->pieces.n; i++) {
        static const char *const sides[] = {
            "left", "right", "front", "back", "bottom", "top"
        };
        for (int k = 0; k < COUNT(sides); k++)
            *PUSH(t->c, &known) = str_fmt(t->c, "%.*s.%s",
                                          STR_ARG(m->pieces.at[i].name),
                                          sides[k]);
    }
    for (int i = 0; i < t->booklet->ledger.rows.n; i++)
        *PUSH(t->c, &known) = t->booklet->ledger.rows.at[i].figure.source;
    report_plain(t->c, UNKNOWN_NAME, "nothing in %s is called '%.*s'", path,
                 STR_ARG(t->asked));
    near = nearest_name(t->asked, known.at, known.n);
    if (near.n)
        hint(t->c, "did you mean '%.*s'?", STR_ARG(near));
    else
        hint(t->c, "rodbook press %s --dump=sizes lists the sizes", path);
}

void command_trace(Ctx *c, const Options *opt) {
    Trace       t = { .c = c };
    Edition     e;
    PrintedList printed = { 0 };
    Names       users   = { 0 };
    Buf         out     = BUF(c);

    if (!job_plan(c, opt, opt->inputs[0], &t.job))
        return;
    e         = job_edition(t.job.model, opt);
    t.booklet = press_booklet(c, t.job.model, t.job.plan, &e);
    if (!t.booklet)
        return;
    t.asked = str_from(c, opt->inputs[1]);
    sizes_hook(t.job.sizes, model_place, (void *)(uintptr_t)t.job.model);
    if (!trace_follow(&t)) {
        unknown(&t, opt->inputs[0]);
        return;
    }
    find_printed(&t, &printed);
    find_users(&t, &users);
    trace_uses(&t);
    if (opt->as && strcmp(opt->as, "json") == 0)
        as_json(&out, &t, &printed, &users);
    else
        as_text(&out, &t, &printed, &users);
    put(buf_done(&out));
}
