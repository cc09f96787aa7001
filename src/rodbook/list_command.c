/* list -- parts, materials, cuts and hardware as text, CSV or JSON.
 *
 * Every list is first a table of cells; a cell is a word or a number. The
 * three forms print the same table, so they cannot disagree. The JSON of
 * parts is described in docs/list.md.
 */
#include "rodbook/rodbook.h"

#include <math.h>

typedef struct {
    Str    text;
    double number;
    bool   is_number, is_bool;
    bool   unknown;           // null; in CSV nothing between the commas
} Datum;

typedef struct {
    const char *const *keys;      // of JSON and the head of CSV
    int         n;
    LIST(Datum)  cells;            // row by row
    LIST(Str)   lines;            // the text form, a line a row
} Sheetful;

static void add_word(Ctx *c, Sheetful *t, Str s) {
    Datum *cell = PUSH(c, &t->cells);
    cell->text = s;
}

static void add_number(Ctx *c, Sheetful *t, double v) {
    Datum *cell = PUSH(c, &t->cells);
    cell->number    = v;
    cell->is_number = true;
}

static void add_known(Ctx *c, Sheetful *t, double v, bool known) {
    add_number(c, t, v);
    t->cells.at[t->cells.n - 1].unknown = !known;
}

static void add_truth(Ctx *c, Sheetful *t, bool v) {
    Datum *cell = PUSH(c, &t->cells);
    cell->number  = v;
    cell->is_bool = true;
}

/* ---- Forms ---- */

static void show_cell(Buf *out, const Datum *cell, bool json) {
    if (cell->unknown)
        buf_add(out, json ? "null" : "");
    else if (cell->is_bool)
        buf_add(out, cell->number != 0 ? "true" : "false");
    else if (cell->is_number)
        buf_num(out, cell->number, 4);
    else if (json)
        buf_json(out, cell->text);
    else
        buf_csv(out, cell->text);
}

static void as_json(Buf *out, const Sheetful *t) {
    int rows = t->n ? t->cells.n / t->n : 0;

    buf_add(out, "[");
    for (int r = 0; r < rows; r++) {
        buf_add(out, "%s\n  {", r ? "," : "");
        for (int k = 0; k < t->n; k++) {
            buf_add(out, "%s\"%s\": ", k ? ", " : "", t->keys[k]);
            show_cell(out, &t->cells.at[r * t->n + k], true);
        }
        buf_add(out, "}");
    }
    buf_add(out, rows ? "\n]\n" : "]\n");
}

static void as_csv(Buf *out, const Sheetful *t) {
    for (int k = 0; k < t->n; k++)
        buf_add(out, "%s%s", k ? "," : "", t->keys[k]);
    for (int i = 0; i < t->cells.n; i++) {
        buf_add(out, i % t->n ? "," : "\r\n");
        show_cell(out, &t->cells.at[i], false);
    }
    buf_add(out, "\r\n");
}

static void as_text(Buf *out, const Sheetful *t) {
    for (int i = 0; i < t->lines.n; i++)
        buf_add(out, "%.*s\n", STR_ARG(t->lines.at[i]));
}

/* ---- Plain figures for text ---- */

/* "3 3/4 in" or "95.5 mm", rounded by the edition's rule. */
static Str plain_length(Ctx *c, const Edition *e, Quantity q) {
    Quantity r   = quantity_round(q, e->step);
    Buf      out = BUF(c);
    int64_t  n, d, whole;

    if (!e->inch || !quantity_is_exact(r)) {
        buf_num(&out, r.real, 3);
        buf_add(&out, " mm");
        return buf_done(&out);
    }
    r = quantity_div(c, (Loc){ 0 }, r, quantity_inches(1, 1));
    n = r.num, d = r.den, whole = n / d;
    n -= whole * d;
    if (n == 0)
        buf_add(&out, "%lld in", (long long)whole);
    else if (whole)
        buf_add(&out, "%lld %lld/%lld in", (long long)whole, (long long)n,
                (long long)d);
    else
        buf_add(&out, "%lld/%lld in", (long long)n, (long long)d);
    return buf_done(&out);
}

/* ---- Parts ---- */

/* "length, width": what is measured on the work before it is cut. */
static Str fit_words(Ctx *c, const Part *p) {
    static const char *const words[] = { "length", "width", "thickness" };
    Buf out = BUF(c);

    for (int k = 0; k < 3; k++)
        if (p->fit[k])
            buf_add(&out, "%s%s", out.n ? ", " : "", words[k]);
    return buf_done(&out);
}

static void list_parts(Ctx *c, const Job *job, const Edition *e,
                       Sheetful *t) {
    static const char *const keys[] = {
        "letter", "name", "quantity", "mirrored", "thickness_mm",
        "width_mm", "length_mm", "long_length_mm", "short_length_mm",
        "stock", "wood", "jig", "volume_mm3", "fit"
    };
    const Model *m = job->model;

    t->keys = keys;
    t->n    = COUNT(keys);
    for (int i = 0; i < m->parts.n; i++) {
        const Part  *p     = &m->parts.at[i];
        const Stock *stock = &m->stocks.at[p->stock];
        add_word(c, t, p->letter);
        add_word(c, t, p->name);
        add_number(c, t, p->quantity);
        add_number(c, t, p->mirrored);
        add_number(c, t, p->thickness.real);
        add_number(c, t, p->width.real);
        add_number(c, t, p->length.real);
        add_number(c, t, p->long_length.real);
        add_number(c, t, p->short_length.real);
        add_word(c, t, stock->key);
        add_word(c, t, stock->wood);
        add_truth(c, t, p->jig);
        add_number(c, t, p->solid->volume);
        add_word(c, t, fit_words(c, p));
        *PUSH(c, &t->lines) = str_fmt(c,
            "%-2.*s %-20.*s %3d x  %s x %s x %s%s%s%s", STR_ARG(p->letter),
            STR_ARG(p->name), p->quantity,
            str_z(c, plain_length(c, e, p->thickness)),
            str_z(c, plain_length(c, e, p->width)),
            str_z(c, plain_length(c, e, p->length)),
            fit_words(c, p).n ? ", fit the " : "",
            str_z(c, fit_words(c, p)),
            fit_words(c, p).n ? " on the work" : "");
    }
}

/* ---- Materials ---- */

/* "1x6 eastern white pine", "yellow birch dowel, 3/8 in". */
static Str stock_words(Ctx *c, const Edition *e, const Stock *stock) {
    Buf out = BUF(c);

    if (stock->name.n)
        buf_add(&out, "%.*s", STR_ARG(stock->name));
    if (stock->wood.n)
        buf_add(&out, "%s%.*s", out.n ? " " : "", STR_ARG(stock->wood));
    if (!out.n)
        buf_str(&out, stock->key);
    if (stock->form == FORM_DOWEL)
        buf_add(&out, " dowel, %s",
                str_z(c, plain_length(c, e, stock->thickness)));
    return buf_done(&out);
}

/* Boards are sold by the foot where sizes are inches. */
static Str sold_length(Ctx *c, const Edition *e, Quantity q) {
    double feet = q.real / 304.8;

    if (e->inch && fabs(feet - nearbyint(feet)) < 1e-9)
        return str_fmt(c, "%.0f ft", feet);
    return plain_length(c, e, q);
}

/* What is known of the choice of boards from one stock. */
static Str proof_words(Ctx *c, const Job *job, const Proof *proof) {
    Str    key  = job->model->stocks.at[proof->stock].key;
    double more = proof->cost.real / proof->bound.real - 1;
    const char *blanks = proof->choice ? " for these blanks" : "";

    if (proof->proven)
        return str_fmt(c, "%.*s: proven, no choice from what is sold %s%s",
                       STR_ARG(key), proof->priced
                       ? "costs less" : "takes less wood", blanks);
    if (proof->bound.real <= 0)
        return str_fmt(c, "%.*s: best found, no bound known", STR_ARG(key));
    if (proof->priced)
        return str_fmt(c, "%.*s: best found, $%.2f; no choice costs less "
                       "than $%.2f%s", STR_ARG(key), proof->cost.real,
                       proof->bound.real, blanks);
    return str_fmt(c, "%.*s: best found; no choice takes less wood by more "
                   "than %.1f %%%s", STR_ARG(key), 100 * more / (1 + more),
                   blanks);
}

static void list_proofs(Ctx *c, const Job *job, Sheetful *t) {
    for (int i = 0; i < job->plan->proofs.n; i++)
        *PUSH(c, &t->lines) = proof_words(c, job, &job->plan->proofs.at[i]);
}

static const Proof *proof_of(const Job *job, int stock) {
    int i = 0;

    while (job->plan->proofs.at[i].stock != stock)
        i++;
    return &job->plan->proofs.at[i];
}

/* ", 12 board feet, $20.20". */
static Str price_words(Ctx *c, const Buy *buy, const Stock *stock,
                       const Sold *sold) {
    Buf out = BUF(c);

    if (stock->hard && stock->form == FORM_BOARD) {
        buf_add(&out, ", ");
        buf_num(&out, buy->count * stock_board_feet(stock, sold), 2);
        buf_add(&out, " board feet");
    }
    if (sold->priced)
        buf_add(&out, ", $%.2f", buy->cost.real);
    else
        buf_add(&out, ", no price given");
    return buf_done(&out);
}

/* "A, B, C"; empty: none. */
static Str letters_of(Ctx *c, const Model *m, int stock, bool jigs) {
    Buf out = BUF(c);

    for (int i = 0; i < m->parts.n; i++) {
        const Part *part = &m->parts.at[i];
        if (part->stock == stock && part->jig == jigs
            && (part->jig || part->quantity > 0))
            buf_add(&out, "%s%.*s", out.n ? ", " : "",
                    STR_ARG(part->letter));
    }
    return buf_done(&out);
}

/* "1x6 eastern white pine, 3/4 in x 5 1/2 in, for A, B; jig V": what all
 * sizes of a stock share, in one line above them. */
static Str stock_line(Ctx *c, const Job *job, const Edition *e, int index) {
    const Stock *stock = &job->model->stocks.at[index];
    Str parts = letters_of(c, job->model, index, false);
    Str jigs  = letters_of(c, job->model, index, true);
    Buf out   = BUF(c);

    buf_str(&out, stock_words(c, e, stock));
    if (stock->form != FORM_DOWEL)
        buf_add(&out, ", %s",
                str_z(c, plain_length(c, e, stock->bought_thickness)));
    if (stock->form == FORM_BOARD)
        buf_add(&out, " x %s", str_z(c, plain_length(c, e,
                                                     stock->bought_width)));
    if (parts.n)
        buf_add(&out, ", for %.*s", STR_ARG(parts));
    if (jigs.n)
        buf_add(&out, "%s %s %.*s", parts.n ? ";" : ", for",
                memchr(jigs.s, ',', jigs.n) ? "jigs" : "jig",
                STR_ARG(jigs));
    return buf_done(&out);
}

/* Sheets, and boards of another width than most of the stock. */
static bool is_width_sold(const Stock *stock, const Sold *sold) {
    return stock->form == FORM_SHEET
        || quantity_cmp(sold->width, stock->width) != 0;
}

/* "  2 x  8 ft, $21.20"; of sheets both ways. */
static Str size_line(Ctx *c, const Edition *e, const Buy *buy,
                     const Stock *stock, const Sold *sold) {
    Buf out = BUF(c);

    buf_add(&out, "%5d x  ", buy->count);
    if (is_width_sold(stock, sold))
        buf_add(&out, "%s x ", str_z(c, plain_length(c, e, sold->width)));
    buf_add(&out, "%s%s", str_z(c, sold_length(c, e, sold->length)),
            str_z(c, price_words(c, buy, stock, sold)));
    return buf_done(&out);
}

static void list_materials(Ctx *c, const Job *job, const Edition *e,
                           Sheetful *t) {
    static const char *const keys[] = {
        "stock", "name", "wood", "count", "thickness_mm", "width_mm",
        "length_mm", "cost", "stock_cost", "stock_bound", "proven",
        "board_feet", "jig_share"
    };

    t->keys = keys;
    t->n    = COUNT(keys);
    for (int i = 0; i < job->plan->buys.n; i++) {
        const Buy   *buy   = &job->plan->buys.at[i];
        const Stock *stock = &job->model->stocks.at[buy->stock];
        const Sold  *sold  = &stock->sold.at[buy->sold];
        const Proof *proof = proof_of(job, buy->stock);
        add_word(c, t, stock->key);
        add_word(c, t, stock->name);
        add_word(c, t, stock->wood);
        add_number(c, t, buy->count);
        add_number(c, t, stock->bought_thickness.real);
        add_number(c, t, is_width_sold(stock, sold)
                         ? sold->width.real : stock->bought_width.real);
        add_number(c, t, sold->length.real);
        add_known(c, t, buy->cost.real, sold->priced);
        add_known(c, t, proof->cost.real, proof->priced);
        add_known(c, t, proof->bound.real,
                  proof->priced && proof->bound.real > 0);
        add_truth(c, t, proof->proven);
        add_known(c, t, buy->count * stock_board_feet(stock, sold),
                  stock->hard && stock->form == FORM_BOARD);
        add_number(c, t, jig_share(job->model, job->plan, buy->stock));
        if (i == 0 || buy[-1].stock != buy->stock)
            *PUSH(c, &t->lines) = stock_line(c, job, e, buy->stock);
        *PUSH(c, &t->lines) = size_line(c, e, buy, stock, sold);
    }
    list_proofs(c, job, t);
}

/* ---- Cuts ---- */

/* ", strip 2 of 3"; ", 3 leaves"; ", 4 head to tail". */
static Str blank_words(Ctx *c, const CutItem *item) {
    Buf out = BUF(c);

    if (item->strips)
        buf_add(&out, ", strip %d of %d", item->strip, item->strips);
    if (item->leaves)
        buf_add(&out, ", %d %s", item->leaves,
                item->leaves > 1 ? "leaves" : "leaf");
    if (item->heads)
        buf_add(&out, ", %d head to tail", item->heads);
    return buf_done(&out);
}

static void list_cuts(Ctx *c, const Job *job, const Edition *e,
                      Sheetful *t) {
    static const char *const keys[] = {
        "layout", "copies", "stock", "board_length_mm", "part", "x_mm",
        "y_mm", "length_mm", "width_mm"
    };

    t->keys = keys;
    t->n    = COUNT(keys);
    for (int i = 0; i < job->plan->layouts.n; i++) {
        const Layout *l     = &job->plan->layouts.at[i];
        const Stock  *stock = &job->model->stocks.at[l->stock];
        *PUSH(c, &t->lines) = str_fmt(c, "Layout %d: %d of %.*s, %s long%s",
            i + 1, l->copies, STR_ARG(stock->key),
            str_z(c, plain_length(c, e, quantity_mm(l->length))),
            l->on_hand ? ", on hand" : "");
        for (int k = 0; k < l->placed.n; k++) {
            const Placed  *at   = &l->placed.at[k];
            const CutItem *item = &job->plan->items.at[at->item];
            Str letter = job->model->parts.at[item->part].letter;
            add_number(c, t, i + 1);
            add_number(c, t, l->copies);
            add_word(c, t, stock->key);
            add_number(c, t, l->length);
            add_word(c, t, letter);
            add_number(c, t, at->x);
            add_number(c, t, at->y);
            add_number(c, t, at->length);
            add_number(c, t, at->width);
            *PUSH(c, &t->lines) = str_fmt(c, "    %-2.*s %s x %s%s",
                STR_ARG(letter),
                str_z(c, plain_length(c, e, item->width)),
                str_z(c, plain_length(c, e, item->length)),
                str_z(c, blank_words(c, item)));
        }
        for (int k = 0; k < l->leftovers.n; k++) {
            const Leftover *left = &l->leftovers.at[k];
            *PUSH(c, &t->lines) = str_fmt(c, "    left over %s x %s",
                str_z(c, plain_length(c, e, quantity_mm(left->width))),
                str_z(c, plain_length(c, e, quantity_mm(left->length))));
        }
    }
    list_proofs(c, job, t);
}

/* ---- Hardware ---- */

static void list_hardware(Ctx *c, const Job *job, const Edition *e,
                          Sheetful *t) {
    static const char *const keys[] = {
        "key", "kind", "gauge", "used", "packs", "length_mm", "diameter_mm",
        "cost"
    };

    t->keys = keys;
    t->n    = COUNT(keys);
    for (int i = 0; i < job->model->hardware.n; i++) {
        const Hardware *h = &job->model->hardware.at[i];
        int packs = (h->used + h->pack - 1) / h->pack;
        add_word(c, t, h->key);
        add_word(c, t, h->kind);
        add_word(c, t, h->gauge);
        add_number(c, t, h->used);
        add_number(c, t, packs);
        add_number(c, t, h->length.real);
        add_number(c, t, h->diameter.real);
        add_known(c, t, h->price.real * packs, h->priced);
        *PUSH(c, &t->lines) = str_fmt(c, "%4d  %.*s%s%.*s%s%s", h->used,
            STR_ARG(h->kind), h->gauge.n ? ", " : "", STR_ARG(h->gauge),
            h->length.real > 0 ? ", " : "", h->length.real > 0
                ? str_z(c, plain_length(c, e, h->length)) : "");
    }
}

/* ---- Rows of slats, surfaces of courses ---- */

static Quantity worked(const Model *m, Str owner, const char *name) {
    const Worked *w = model_worked(m, owner, (Str){ name, strlen(name) });

    return w ? w->value : quantity_exact(0, 1, DIM_NUMBER);
}

static Str row_line(Ctx *c, const Edition *e, const Model *m,
                    const Worked *w) {
    Str      letter = m->parts.at[w->part].letter;
    Quantity shown  = worked(m, w->owner, w->courses ? "exposure" : "gap");
    Buf      out    = BUF(c);

    buf_add(&out, "%.*s: %.0f ", STR_ARG(w->owner),
            worked(m, w->owner, w->courses ? "courses" : "count").real);
    if (w->courses)
        buf_add(&out, "courses of %.0f x %.*s, %s exposed",
                worked(m, w->owner, "across").real, STR_ARG(letter),
                str_z(c, plain_length(c, e, shown)));
    else
        buf_add(&out, "x %.*s, gaps of %s", STR_ARG(letter),
                str_z(c, plain_length(c, e, shown)));
    if (w->image.n)
        buf_add(&out, "; %.*s alike", STR_ARG(w->image));
    return buf_done(&out);
}

static void list_rows(Ctx *c, const Job *job, const Edition *e,
                      Sheetful *t) {
    static const char *const keys[] = {
        "name", "image", "kind", "part", "count", "across", "gap_mm",
        "step_mm", "exposure_mm", "tilt_deg", "lift_mm", "last_mm"
    };
    static const char *const numbers[] = {
        "gap", "step", "exposure", "tilt", "lift", "last"
    };
    const Model *m = job->model;

    t->keys = keys;
    t->n    = COUNT(keys);
    for (int i = 0; i < m->worked.n; i++) {
        const Worked *w = &m->worked.at[i];
        if (i > 0 && str_eq(w->owner, m->worked.at[i - 1].owner))
            continue;   // one row for all that it works out
        add_word(c, t, w->owner);
        add_word(c, t, w->image);
        add_word(c, t, w->courses ? STR("courses") : STR("slats"));
        add_word(c, t, m->parts.at[w->part].letter);
        add_number(c, t, worked(m, w->owner,
                                w->courses ? "courses" : "count").real);
        add_number(c, t, w->courses ? worked(m, w->owner, "across").real
                                    : 1);
        for (int k = 0; k < COUNT(numbers); k++)
            add_number(c, t, worked(m, w->owner, numbers[k]).real);
        *PUSH(c, &t->lines) = row_line(c, e, m, w);
    }
}

/* ---- Fasteners, a row for each place ---- */

static void list_fasteners(Ctx *c, const Job *job, const Edition *e,
                           Sheetful *t) {
    static const char *const keys[] = {
        "step", "hardware", "from", "into", "x_mm", "y_mm", "z_mm",
        "axis_x", "axis_y", "axis_z", "length_mm", "held_mm", "shank_mm"
    };
    const Model *m = job->model;

    t->keys = keys;
    t->n    = COUNT(keys);
    for (int i = 0; i < m->fasteners.n; i++) {
        const Fastener *f = &m->fasteners.at[i];
        add_number(c, t, f->step + 1);
        add_word(c, t, m->hardware.at[f->hardware].key);
        add_word(c, t, m->pieces.at[f->from].name);
        add_word(c, t, m->pieces.at[f->into].name);
        add_number(c, t, f->head.x);
        add_number(c, t, f->head.y);
        add_number(c, t, f->head.z);
        add_number(c, t, f->axis.x);
        add_number(c, t, f->axis.y);
        add_number(c, t, f->axis.z);
        add_number(c, t, f->length);
        add_number(c, t, f->held);
        add_number(c, t, f->shank);
    }
    for (int i = 0; i < m->rows.n; i++) {
        const FastenerRow *r = &m->rows.at[i];
        bool dowel = m->hardware.at[r->hardware].drive == DRIVE_DOWEL;
        *PUSH(c, &t->lines) = str_fmt(c,
            "step %d: %d x %.*s %s '%.*s' %s '%.*s', %s and %s from "
            "the %ss%s%s%s, %s from the %s", r->step + 1, r->count,
            STR_ARG(m->hardware.at[r->hardware].key),
            dowel ? "in" : "through", STR_ARG(m->pieces.at[r->from].name),
            dowel ? "and" : "into",
            STR_ARG(m->pieces.at[r->into].name),
            str_z(c, plain_length(c, e, r->start)),
            str_z(c, plain_length(c, e, r->end)),
            row_border(m, r, r->along),
            r->apart.real > 0 ? ", " : "", r->apart.real > 0
                ? str_z(c, plain_length(c, e, r->apart)) : "",
            r->apart.real > 0 ? " apart" : "",
            str_z(c, plain_length(c, e, r->edge)),
            row_border(m, r, r->side));
    }
}

/* What is known of a design that collides helps to mend it. */
static void command_list_facts(Ctx *c, const Options *opt, const char *as) {
    Job     job = { 0 };
    Buf     out = BUF(c);
    Edition e;

    if (!job_placed(c, opt, opt->inputs[0], &job))
        return;
    e = job_edition(job.model, opt);
    list_facts(c, job.model, &e, as, &out);
    put(buf_done(&out));
}

void command_list(Ctx *c, const Options *opt) {
    const char *what = opt->what ? opt->what : "parts";
    const char *as   = opt->as ? opt->as : "text";
    Job         job  = { 0 };
    Sheetful    t    = { 0 };
    Edition     e;
    Buf         out    = BUF(c);
    int         stages = 0;

    if (strcmp(what, "facts") == 0) {
        command_list_facts(c, opt, as);
        return;
    }
    if (strcmp(what, "materials") == 0 || strcmp(what, "cuts") == 0)
        stages = PLAN_CUTS;
    if (!job_stages(c, opt, opt->inputs[0], stages, &job))
        return;
    e = job_edition(job.model, opt);
    if (strcmp(what, "parts") == 0)
        list_parts(c, &job, &e, &t);
    else if (strcmp(what, "materials") == 0)
        list_materials(c, &job, &e, &t);
    else if (strcmp(what, "cuts") == 0)
        list_cuts(c, &job, &e, &t);
    else if (strcmp(what, "fasteners") == 0)
        list_fasteners(c, &job, &e, &t);
    else if (strcmp(what, "hardware") == 0)
        list_hardware(c, &job, &e, &t);
    else
        list_rows(c, &job, &e, &t);
    if (strcmp(as, "json") == 0)
        as_json(&out, &t);
    else if (strcmp(as, "csv") == 0)
        as_csv(&out, &t);
    else
        as_text(&out, &t);
    put(buf_done(&out));
}
