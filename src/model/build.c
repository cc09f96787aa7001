/* build -- reads a design into a model, stage by stage. */
#include "model/model_internal.h"

static const char *const root_keys[] = {   // SCHEMA design
    "$schema",   // for editors
    "rodbook", "title", "code", "revision", "date", "by", "about", "print",
    "saw", "sizes", "stock", "hardware", "finishes", "parts", "pieces",
    "steps", "tools", "caution", "finishing", "care", "terms", "revisions",
    "hangs", "seasons", "note", "include", "variants", NULL
};

/* ---- What the booklet says of itself ---- */

static void check_date(Build *b, const Node *node) {
    Str s = node ? node->text : STR("2000-01-01");

    for (size_t i = 0; i < 10; i++) {
        bool dash = i == 4 || i == 7;
        if (s.n == 10 && (dash ? s.s[i] == '-'
                               : s.s[i] >= '0' && s.s[i] <= '9'))
            continue;
        report(b->c, node->loc, BAD_CHOICE, "'%.*s' is no date",
               STR_ARG(s));
        hint(b->c, "write it as year-month-day: 2026-11-25");
        return;
    }
}

static void read_title(Build *b) {
    static const char *const by_keys[] = {   // SCHEMA by
        "name", "web", NULL
    };
    const Node *root = b->d->root, *by = node_object(b->c, root, "by");
    Model      *m    = b->m;

    (void)!node_text(b->c, root, "$schema");
    (void)!node_need(b->c, root, "title", "a design");
    m->title    = read_label(b, root, "title");
    m->variant  = b->d->variant;
    m->code     = read_label(b, root, "code");
    m->revision = read_label(b, root, "revision");
    m->date     = node_str(b->c, root, "date");
    m->hangs    = node_bool(b->c, root, "hangs", false);
    m->terms    = node_str(b->c, root, "terms");
    check_date(b, node_text(b->c, root, "date"));
    if (by && node_check_keys(b->c, by, by_keys, "\"by\"")) {
        m->by_name = read_label(b, by, "name");
        m->by_web  = read_label(b, by, "web");
    }
}

static Quantity step_member(Build *b, const Node *print, const char *key,
                            Quantity standing) {
    const Node *node = node_find(print, key);
    Quantity    q    = eval_member(b->c, b->s, "", print, key, DIM_LENGTH,
                                   standing);
    if (q.poison)
        return standing;
    if (q.real <= 0 || q.real > 25.4) {
        report(b->c, node->loc, OUT_OF_RANGE,
               "sizes cannot be rounded to %.*s",
               STR_ARG(size_text(b, q)));
        hint(b->c, "write the step of rounding: 1/16in, 0.5mm");
        return standing;
    }
    return q;
}

static void read_print(Build *b) {
    static const char *const keys[] = {   // SCHEMA print
        "units", "nearest", "nearest mm", "paper", NULL
    };
    static const char *const units[] = {   // SCHEMA-ENUM units
        "inch", "mm", NULL
    };
    static const char *const papers[] = {   // SCHEMA-ENUM paper
        "letter", "a4", NULL
    };
    const Node *print = node_object(b->c, b->d->root, "print");

    if (print)
        node_check_keys(b->c, print, keys, "\"print\"");
    b->m->inch = node_choice(b->c, print, "units", units, 0) == 0;
    b->m->a4   = node_choice(b->c, print, "paper", papers, 0) == 1;
    b->m->step_inch = step_member(b, print, "nearest",
                                  quantity_inches(1, 16));
    b->m->step_mm = step_member(b, print, "nearest mm",
                                quantity_exact(1, 2, DIM_LENGTH));
}

static void check_kerf(Build *b) {
    const Node *saw  = node_object(b->c, b->d->root, "saw");
    const Node *node = saw ? node_find(saw, "kerf") : NULL;

    if (!node || b->m->kerf.poison || b->m->kerf.real > 0)
        return;
    report(b->c, node->loc, KERF_ODD, "a kerf of %.*s: every saw takes wood",
           STR_ARG(size_text(b, b->m->kerf)));
    hint(b->c, "say what yours takes; a circular blade takes 3/32 to 1/8 in");
}

/* A full kerf of a circular blade is 1/8 in (trade-figures 7.1). At least
 * 1/8 in is allowed for planing a width, and 1/2 in over the finished length
 * of a rough piece (Griffith 1912, trade-figures 2). */
static void read_saw(Build *b) {
    static const char *const keys[] = {   // SCHEMA saw
        "kerf", "end trim", "joint allowance", "panel trim", NULL
    };
    const Node *saw = node_object(b->c, b->d->root, "saw");

    if (saw)
        node_check_keys(b->c, saw, keys, "\"saw\"");
    b->m->kerf = eval_member(b->c, b->s, "", saw, "kerf", DIM_LENGTH,
                             quantity_inches(1, 8));
    b->m->end_trim = allowance_member(b, saw, "end trim",
                                      quantity_exact(0, 1, DIM_LENGTH));
    b->m->joint = allowance_member(b, saw, "joint allowance",
                                   quantity_inches(1, 8));
    b->m->panel_trim = allowance_member(b, saw, "panel trim",
                                        quantity_inches(1, 2));
    check_kerf(b);
    if (b->m->kerf.poison || b->m->kerf.real < 0)
        b->m->kerf = quantity_inches(1, 8);
}

static void read_tools(Build *b) {
    const Node *list = node_list(b->c, b->d->root, "tools");

    for (const Node *n = list ? list->first : NULL; n; n = n->next) {
        if (n->kind == NODE_TEXT)
            *PUSH(b->c, &b->m->tools) = n->text;
        else
            due_text(b, n, "a tool's name");
    }
}

static void read_revisions(Build *b) {
    static const char *const keys[] = {   // SCHEMA revision
        "revision", "date", "what", NULL
    };
    const Node *list = node_list(b->c, b->d->root, "revisions");

    for (const Node *n = list ? list->first : NULL; n; n = n->next) {
        Revision *r;
        if (!node_check_keys(b->c, n, keys, "a revision"))
            continue;
        r           = PUSH(b->c, &b->m->revisions);
        r->revision = read_label(b, n, "revision");
        r->date     = node_str(b->c, n, "date");
        r->what     = node_str(b->c, n, "what");
    }
}

static void read_words(Build *b) {
    const Node *root = b->d->root, *list;

    b->m->about = read_say(b, node_text(b->c, root, "about"), NULL);
    read_says(b, root, "finishing", NULL, &b->m->finishing);
    read_says(b, root, "care", NULL, &b->m->care);
    list = node_list(b->c, root, "caution");
    for (const Node *n = list ? list->first : NULL; n; n = n->next) {
        Caution one;
        if (read_caution(b, n, NULL, &one))
            *PUSH(b->c, &b->m->cautions) = one;
    }
}

/* ---- The whole ---- */

/* Formulas of part B that say "width" mean B.width: a size of the whole
 * design by that name is out of their sight. */
static void check_hidden(Build *b) {
    static const char *const own[] = {
        "length", "width", "thickness", "stock"
    };
    const Node *sizes = node_object(b->c, b->d->root, "sizes");

    for (int i = 0; i < COUNT(own); i++) {
        const Node *n = node_find(sizes, own[i]);
        if (!n)
            continue;
        report(b->c, n->key_loc, SIZE_HIDDEN,
               "within a part '%s' means the part's own, which hides this "
               "size", own[i]);
        hint(b->c, "call it something else: 'whole %s'", own[i]);
    }
}

static void no_work(Build *b, const char *what, const char *key) {
    report(b->c, node_find(b->d->root, key)->loc, MISSING_KEY, "%s", what);
    hint(b->c, "describe one under \"%s\"", key);
}

static void check_there_is_work(Build *b) {
    const Node *root = b->d->root;

    if (node_need(b->c, root, "parts", "a design") && b->m->parts.n == 0
        && b->c->errors == 0)
        no_work(b, "this design has no parts", "parts");
    if (node_need(b->c, root, "pieces", "a design")
        && b->m->pieces.n == 0 && b->c->errors == 0)
        no_work(b, "this design places no piece", "pieces");
}

const Model *model_placed(Ctx *c, const Design *d, Sizes *sizes) {
    Build b = { .c = c, .m = NEW(c, Model), .d = d, .s = sizes };
    bool  placed;

    b.m->design = d;
    b.m->sizes  = sizes;
    node_check_keys(c, d->root, root_keys, "a design");
    check_long(&b, d->root);
    sizes_hook(sizes, place_hook, &b);
    sizes_read(c, sizes, node_object(c, d->root, "sizes"), "");
    check_hidden(&b);
    declare_parts(&b);
    read_title(&b);
    read_print(&b);
    read_saw(&b);
    read_seasons(&b);
    read_stocks(&b);
    read_hardware(&b);
    read_finishes(&b);
    standing_thickness(&b);
    declare_pieces(&b);
    read_parts(&b);
    read_pieces(&b);
    (void)!sizes_all(c, sizes);
    find_fits(&b);
    check_stacks(&b);
    read_steps(&b);
    read_tools(&b);
    read_revisions(&b);
    read_words(&b);
    check_there_is_work(&b);
    placed = c->errors == 0;
    if (placed)
        check_model(&b);
    sizes_hook(sizes, NULL, NULL);
    if (!placed)
        return NULL;
    count_bills(&b);
    if (c->errors == 0)
        check_unused(&b);
    return b.m;
}

const Model *model_build(Ctx *c, const Design *d, Sizes *sizes) {
    const Model *m = model_placed(c, d, sizes);

    return c->errors ? NULL : m;
}
