/* step -- the stages of assembly: what is added and how it is fixed. */
#include "model/model_internal.h"

#include <math.h>

#define DEG (3.14159265358979323846 / 180)

static const char *const step_keys[] = {   // SCHEMA step
    "title", "add", "remove", "with", "use", "fix", "hold", "say",
    "caution", "comes from", "tilts in", "view", "note", NULL
};

int fix_total(const Fix *f) {
    return f->count * f->pieces.n;
}

/* ---- Names of pieces ---- */

static void unknown_piece(Build *b, Loc loc, Str name) {
    Str *known = NEW_N(b->c, Str, 2 * b->n_entries + 1);
    int  n     = 0;
    Str  near;

    for (int i = 0; i < b->n_entries; i++) {
        known[n++] = b->entries[i].name;
        if (b->entries[i].mirror_name.n)
            known[n++] = b->entries[i].mirror_name;
    }
    near = nearest_name(name, known, n);
    report(b->c, loc, STEP_NO_PIECE, "there is no piece called '%.*s'",
           STR_ARG(name));
    if (near.n)
        hint(b->c, "did you mean '%.*s'?", STR_ARG(near));
    else
        hint(b->c, "pieces are named by \"as\" under \"pieces\"");
}

/* A piece that could not be made has had its error reported already. */
static bool entry_is_known(Build *b, Str name) {
    const Entry *e = entry_named(b, name);

    return e && e->made.n == 0;
}

/* "roof courses 3 to last": of the pieces of the set "roof". */
static void courses_called(Build *b, Str name, Ints *out) {
    for (size_t at = 0; (at = str_find(name, ' ', at)) < name.n; at++) {
        Ints set = { 0 };
        if (str_begins(str_part(name, at, name.n), " courses "))
            set = names_find(&b->piece_names, str_part(name, 0, at));
        for (int i = 0; i < set.n; i++) {
            if (in_courses(&b->m->pieces.at[set.at[i]], name))
                *PUSH(b->c, out) = set.at[i];
        }
    }
}

bool pieces_called(Build *b, const Node *n, Ints *out) {
    int  before = out->n;
    Ints named;

    if (n->kind != NODE_TEXT) {
        due_text(b, n, "a piece's name");
        return false;
    }
    named = names_find(&b->piece_names, n->text);
    for (int i = 0; i < named.n; i++)
        *PUSH(b->c, out) = named.at[i];
    if (out->n == before)
        courses_called(b, n->text, out);
    if (out->n == before) {
        if (!entry_is_known(b, n->text))
            unknown_piece(b, n->loc, n->text);
        return false;
    }
    return true;
}

static void read_adds(Build *b, const Node *node, Step *step, int index) {
    const Node *list = node_list(b->c, node, "add");
    Ints        added = { 0 };

    for (const Node *n = list ? list->first : NULL; n; n = n->next) {
        int from = added.n;
        if (!pieces_called(b, n, &added))
            continue;
        for (int i = from; i < added.n; i++) {
            Piece *p = &b->m->pieces.at[added.at[i]];
            if (p->temporary) {
                add_temporary(b, step, n, added.at[i], index);
                continue;
            }
            if (p->step >= 0) {
                report(b->c, n->loc, STEP_TWICE,
                       "'%.*s' is added here but already stands since "
                       "step %d", STR_ARG(p->name), p->step + 1);
                break;
            }
            p->step = index;
            *PUSH(b->c, &step->add) = added.at[i];
        }
    }
}

static void read_uses(Build *b, const Node *node, Step *step) {
    const Node *list = node_list(b->c, node, "use");

    for (const Node *n = list ? list->first : NULL; n; n = n->next) {
        int part = n->kind == NODE_TEXT ? model_find_part(b->m, n->text)
                                        : -1;
        if (part < 0 || !b->m->parts.at[part].jig) {
            report(b->c, n->loc, UNKNOWN_NAME,
                   "'%.*s' is no jig", STR_ARG(n->text));
            hint(b->c, "\"use\" takes the letters of parts with "
                 "\"jig\": true");
            continue;
        }
        *PUSH(b->c, &step->jigs) = part;
    }
}

/* ---- Fixing ---- */

static void read_join(Build *b, const Node *node, Fix *fix) {
    const Node *list = node_list(b->c, node, "join");

    if (!node_need(b->c, node, "join", "a fixing") || !list)
        return;
    for (const Node *n = list->first; n; n = n->next) {
        Ints *into = n == list->first ? (Ints *)(void *)&fix->pieces
                                      : (Ints *)(void *)&fix->to;
        (void)pieces_called(b, n, into);
    }
}

void unknown_hardware(Build *b, Loc loc, Str name) {
    Str *known = NEW_N(b->c, Str, b->m->hardware.n + 1);

    for (int i = 0; i < b->m->hardware.n; i++)
        known[i] = b->m->hardware.at[i].key;
    report(b->c, loc, UNKNOWN_NAME, "there is no hardware '%.*s'",
           STR_ARG(name));
    hint_names(b, name, known, b->m->hardware.n, "hardware");
}

static void read_with(Build *b, const Node *node, Fix *fix) {
    const Node *with = node_text(b->c, node, "with");

    fix->hardware = -1;
    if (!with)
        return;
    fix->hardware = find_hardware(b->m, with->text);
    if (fix->hardware < 0) {
        unknown_hardware(b, with->loc, with->text);
        return;
    }
    fix->count = eval_count(b->c, b->s, "", node, "count", 1, 1, 1000);
}

/* true, false, or "middle". */
static void read_glue(Build *b, const Node *node, Fix *fix) {
    static const char *const words[] = {   // SCHEMA-ENUM glued
        "middle", NULL
    };
    const Node *glue = node_find(node, "glue");

    if (glue && glue->kind == NODE_TEXT)
        fix->glue = fix->middle = node_choice(b->c, node, "glue", words, -1)
                                == 0;
    else
        fix->glue = node_bool(b->c, node, "glue", false);
}

static void read_fixes(Build *b, const Node *node, Step *step) {
    static const char *const keys[] = {   // SCHEMA fixing
        "join", "with", "count", "glue", "through", "spaced", "from ends",
        "from edge", "lines", "note", NULL
    };
    const Node *list = node_list(b->c, node, "fix");

    for (const Node *n = list ? list->first : NULL; n; n = n->next) {
        Fix fix = { 0 };
        if (!node_check_keys(b->c, n, keys, "a fixing"))
            continue;
        fix.loc = n->loc;
        read_join(b, n, &fix);
        read_with(b, n, &fix);
        read_placing(b, n, &fix);
        read_glue(b, n, &fix);
        if (fix.pieces.n)
            *PUSH(b->c, &step->fixes) = fix;
    }
}

/* What is held by something that is no piece. */
static void read_holds(Build *b, const Node *node, Step *step) {
    static const char *const keys[] = {   // SCHEMA hold
        "pieces", "with", NULL
    };
    const Node *list = node_list(b->c, node, "hold");

    for (const Node *n = list ? list->first : NULL; n; n = n->next) {
        Hold        hold = { .loc = n->loc };
        const Node *pieces;
        if (!node_check_keys(b->c, n, keys, "a hold")
            || !node_need(b->c, n, "pieces", "a hold")
            || !node_need(b->c, n, "with", "a hold"))
            continue;
        pieces    = node_list(b->c, n, "pieces");
        hold.with = read_label(b, n, "with");
        for (const Node *k = pieces ? pieces->first : NULL; k; k = k->next)
            (void)pieces_called(b, k, (Ints *)(void *)&hold.pieces);
        if (hold.pieces.n)
            *PUSH(b->c, &step->holds) = hold;
    }
}

/* ---- Directions ---- */

static void read_comes(Build *b, const Node *node, Step *step) {
    static const char *const words[] = {   // SCHEMA-ENUM comes-from
        "the right", "the left", "the back", "the front", "above", "below",
        NULL
    };
    static const V3 ways[] = {
        { 1, 0, 0 }, { -1, 0, 0 }, { 0, 1, 0 }, { 0, -1, 0 }, { 0, 0, 1 },
        { 0, 0, -1 }
    };
    int i = node_choice(b->c, node, "comes from", words, -1);

    step->has_comes = i >= 0;
    if (i >= 0)
        step->comes = ways[i];
}

/* Where the reader stands: so far around to the right of the front, so far
 * above the level. */
static void read_view(Build *b, const Node *node, Step *step) {
    static const char *const keys[] = {   // SCHEMA view
        "around", "above", NULL
    };
    const Node *view = node_object(b->c, node, "view");
    Quantity    none = quantity_exact(0, 1, DIM_ANGLE), around, above;

    if (!view || !node_check_keys(b->c, view, keys, "a view"))
        return;
    around = eval_member(b->c, b->s, "", view, "around", DIM_ANGLE, none);
    above  = eval_member(b->c, b->s, "", view, "above", DIM_ANGLE, none);
    if (around.poison || above.poison)
        return;
    step->has_view = true;
    step->view = v3(sin(around.real * DEG) * cos(above.real * DEG),
                    -cos(around.real * DEG) * cos(above.real * DEG),
                    sin(above.real * DEG));
}

/* ---- Steps ---- */

static void read_cautions(Build *b, const Node *owner, const Step *step,
                          void *list_of_caution) {
    LIST(Caution) *list = list_of_caution;
    const Node    *node = node_find(owner, "caution");
    Caution        one;

    if (node && node->kind == NODE_OBJECT) {
        if (read_caution(b, node, step, &one))
            *PUSH(b->c, list) = one;
        return;
    }
    node = node_list(b->c, owner, "caution");
    for (const Node *n = node ? node->first : NULL; n; n = n->next) {
        if (read_caution(b, n, step, &one))
            *PUSH(b->c, list) = one;
    }
}

static void read_step(Build *b, const Node *node, int index) {
    Step *step = PUSH(b->c, &b->m->steps);

    step->loc = node->loc;
    if (!node_check_keys(b->c, node, step_keys, "a step"))
        return;
    (void)!node_need(b->c, node, "title", "a step");
    step->title = read_label(b, node, "title");
    read_removes(b, node, step, index);
    read_adds(b, node, step, index);
    read_withs(b, node, step, index);
    read_uses(b, node, step);
    read_fixes(b, node, step);
    read_holds(b, node, step);
    read_comes(b, node, step);
    step->tilts = node_bool(b->c, node, "tilts in", false);
    read_view(b, node, step);
    read_says(b, node, "say", step, &step->say);
    read_cautions(b, node, step, &step->cautions);
}

void read_steps(Build *b) {
    const Node *list = node_list(b->c, b->d->root, "steps");
    int         i    = 0;

    for (const Node *n = list ? list->first : NULL; n; n = n->next)
        read_step(b, n, i++);
}
