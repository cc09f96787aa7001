/* trace_lines -- follows a name from formula to formula.
 *
 * A name is one of four things, tried in this order: a size of the graph
 * (its formula, then the names in it); the length of a part between its
 * points (its sizes and end cuts); a side of a piece (the formulas that
 * place the piece along that axis, and the part's size that lies there);
 * the source of a figure (the formulas below the part, stock or feature
 * that it speaks of). Each name is followed once.
 */
#include "rodbook/trace.h"

#include <math.h>

static void follow(Trace *t, Str name, int depth);

static TraceLine *add_line(Trace *t, Str name, int depth) {
    TraceLine *l = PUSH(t->c, &t->lines);

    l->depth = depth;
    l->name  = name;
    return l;
}

static bool was_seen(Trace *t, Str name) {
    for (int i = 0; i < t->seen.n; i++)
        if (str_eq(t->seen.at[i], name))
            return true;
    *PUSH(t->c, &t->seen) = name;
    return false;
}

/* ---- Formulas that have no name ---- */

/* Keys whose text is words, not a formula. */
static bool is_words(const Node *n, Str key) {
    static const char *const words[] = {
        "note", "name", "into", "edge", "form", "toward", "length to",
        "long edge", "long face", "part", "as", "corner", "length runs",
        "face", "about", "across", "kind", "gauge", "wood", "template",
        "along", "ends", "full", "half", "cut full", "cut half", "on", "up",
        "last", "end", "edges", "starts", "runs", "bulge", "mirror", "file",
        "id", "cut with"
    };

    for (int i = 0; i < COUNT(words); i++)
        if (str_is(key, words[i]))
            return true;
    return n->kind != NODE_TEXT && n->kind != NODE_NUMBER;
}

static void follow_names(Trace *t, const Names *names, int depth) {
    for (int i = 0; i < names->n; i++)
        if (!str_is(names->at[i], "pi"))
            follow(t, names->at[i], depth);
}

static void follow_formula(Trace *t, Str label, const char *scope,
                           const Node *n, int depth) {
    TraceLine *l     = add_line(t, label, depth);
    Names      names = { 0 };

    l->formula = n->text;
    l->loc     = n->loc;
    l->placed  = true;
    l->value   = eval_span(t->c, t->job.sizes, scope, n, 0, n->text.n, NULL);
    l->valued  = true;
    if (n->kind == NODE_NUMBER && str_is(n->key, "price"))
        l->value.dim = DIM_MONEY;   // a plain price is dollars
    formula_names(t->c, t->job.sizes, scope, n, &names);
    follow_names(t, &names, depth + 1);
}

/* Every formula at or below a node, in the order of the file. */
static void follow_below(Trace *t, Str label, const char *scope,
                         const Node *n, Str key, int depth) {
    int i = 0;

    if (!n)
        return;
    if (!is_words(n, key))
        follow_formula(t, label, scope, n, depth);
    for (const Node *m = n->first; m; m = m->next) {
        Str word = m->key.n ? m->key : str_fmt(t->c, "%d", i + 1);
        i++;
        follow_below(t, str_fmt(t->c, "%.*s %.*s", STR_ARG(label),
                                STR_ARG(word)), scope, m,
                     m->key.n ? m->key : key, depth);
    }
}

/* The one formula under a key, if it is there. */
static void follow_member(Trace *t, const char *label, const char *scope,
                          const Node *owner, const char *key, int depth) {
    const Node *n = node_find(owner, key);

    if (n)
        follow_below(t, str_from(t->c, label), scope, n, STR(""), depth);
}

static const Node *root_member(const Trace *t, const char *list, Str key) {
    const Node *all = node_find(t->job.design->root, list);

    for (const Node *n = all ? all->first : NULL; n; n = n->next)
        if (str_eq(n->key, key))
            return n;
    return NULL;
}

/* ---- Sizes ---- */

/* The program set A.width from the stock: that is where it was given. */
static void follow_stock(Trace *t, Str name, int depth) {
    size_t       dot = str_find(name, '.', 0);
    Str          last;
    int          part = model_find_part(t->job.model, str_part(name, 0, dot));
    const Stock *stock;
    const Node  *node;

    if (part < 0 || dot == name.n)
        return;
    last  = str_part(name, dot + 1, name.n);
    stock = &t->job.model->stocks.at[t->job.model->parts.at[part].stock];
    node  = root_member(t, "stock", stock->key);
    if (stock->form == FORM_DOWEL)
        last = STR("diameter");
    if (str_is(last, "stock"))
        last = STR("width");
    follow_member(t, str_z(t->c, str_fmt(t->c, "stock %.*s, %.*s",
                                         STR_ARG(stock->key),
                                         STR_ARG(last))), "", node,
                  str_z(t->c, last), depth);
}

static bool follow_size(Trace *t, Str name, int depth) {
    const SizeEntry *e = sizes_find(t->job.sizes, name);
    TraceLine       *l;
    Names            names = { 0 };

    if (!e)
        return false;
    l          = add_line(t, name, depth);
    l->formula = e->formula;
    l->value   = e->value;
    l->valued  = true;
    l->placed  = e->formula.n > 0;
    l->loc     = e->loc;
    l->note    = e->note;
    l->again   = was_seen(t, name);
    if (l->again)
        return true;
    sizes_names(t->c, t->job.sizes, name, &names);
    follow_names(t, &names, depth + 1);
    if (!e->formula.n)
        follow_stock(t, name, depth + 1);
    return true;
}

/* ---- Lengths between the points of a part ---- */

static Str of_part(Trace *t, const Part *p, const char *size) {
    return str_fmt(t->c, "%.*s.%s", STR_ARG(p->letter), size);
}

static char *scope_of(Trace *t, const Part *p) {
    return str_z(t->c, of_part(t, p, ""));
}

static void follow_points(Trace *t, const Part *p, int depth) {
    const Node *node = root_member(t, "parts", p->letter);

    follow(t, of_part(t, p, "length"), depth);
    if (!p->ends[0].any && !p->ends[1].any)
        return;
    follow_below(t, of_part(t, p, "ends"), scope_of(t, p),
                 node_find(node, "ends"), STR("ends"), depth);
    follow(t, of_part(t, p, "width"), depth);
    follow(t, of_part(t, p, "thickness"), depth);
}

/* ---- Places ---- */

static const Node *piece_node(const Trace *t, const Piece *p) {
    const Node *all = node_find(t->job.design->root, "pieces");

    for (const Node *n = all ? all->first : NULL; n; n = n->next)
        if (n->loc.file == p->loc.file && n->loc.begin == p->loc.begin)
            return n;
    return NULL;
}

static int axis_of(Str side) {
    static const char *const sides[3][3] = {
        { "left", "right", "middle" }, { "front", "back", "center" },
        { "bottom", "top", "top" }
    };

    for (int axis = 0; axis < 3; axis++)
        for (int i = 0; i < 3; i++)
            if (str_is(side, sides[axis][i]))
                return axis;
    return -1;
}

static const char *const axis_words[] = { "right", "back", "up" };

/* The one of three lengths that runs along the axis. */
static void follow_axis(Trace *t, const char *what, const Node *list,
                        int axis, int depth) {
    const Node *n = list ? list->first : NULL;

    for (int i = 0; n && i < axis; i++)
        n = n->next;
    if (n)
        follow_below(t, str_fmt(t->c, "%s, %s", what, axis_words[axis]), "",
                     n, STR(""), depth);
}

static double along(V3 v, int axis) {
    return fabs(axis == 0 ? v.x : axis == 1 ? v.y : v.z);
}

/* The part's sizes that lie along the axis: one if the piece is square to
 * it, else all three. */
static void follow_extent(Trace *t, const Piece *p, int axis, int depth) {
    const Part *part = &t->job.model->parts.at[p->part];
    const V3    own[] = { p->frame.x, p->frame.y, p->frame.z };
    static const char *const names[] = { "long", "width", "thickness" };

    for (int i = 0; i < 3; i++)
        if (along(own[i], axis) > 1e-9)
            follow(t, of_part(t, part, i == 0 && !part->ends[0].any
                                       && !part->ends[1].any ? "length"
                                                             : names[i]),
                   depth);
}

static void follow_rows(Trace *t, const Node *node, int axis, int depth) {
    const Node *rows = node_find(node, "rows");

    for (const Node *r = rows ? rows->first : NULL; r; r = r->next) {
        follow_member(t, "count of the row", "", r, "count", depth);
        follow_axis(t, "step of the row", node_find(r, "step"), axis, depth);
    }
}

static void follow_piece(Trace *t, const Piece *p, int axis, int depth) {
    const Node *node   = piece_node(t, p);
    const Node *turns  = node_find(node, "turns");
    const Node *mirror = node_find(node, "mirror");
    bool        turned = turns && turns->count > 0;

    for (int k = 0; k < 3; k++)
        if (turned || k == axis)
            follow_axis(t, "at", node_find(node, "at"), k, depth);
    follow_extent(t, p, axis, depth);
    follow_below(t, STR("turn"), "", turns, STR(""), depth);
    follow_rows(t, node, axis, depth);
    if (mirror && str_eq(node_find(mirror, "as") ? node_find(mirror, "as")
                         ->text : STR(""), p->group))
        follow_member(t, "mirror, at", "", mirror, "at", depth);
}

static const Piece *piece_called(const Trace *t, Str name) {
    const Model *m = t->job.model;

    for (int i = 0; i < m->pieces.n; i++)
        if (str_eq(m->pieces.at[i].name, name)
            || str_eq(m->pieces.at[i].group, name))
            return &m->pieces.at[i];
    return NULL;
}

/* "slat.gap": what the row says of itself, and the sizes of its part along
 * it; "roof.exposure": what the surface says, the sizes of its part and of
 * the deck. */
static void follow_worked(Trace *t, const Worked *w, int depth) {
    const Piece  any   = { .loc = w->loc };
    const Node  *node  = piece_node(t, &any);
    const Node  *slats = node_find(node, "slats");
    const Node  *all   = node_find(node, "courses");
    const Node  *on    = node_find(all, "on");
    const Piece *piece = piece_called(t, on ? on->text : w->owner);
    const Part  *part  = &t->job.model->parts.at[w->part];

    follow_below(t, w->owner, "", slats ? slats : all, STR(""), depth);
    if (w->courses) {
        follow(t, of_part(t, part, "length"), depth);
        follow(t, of_part(t, part, "width"), depth);
        follow(t, of_part(t, part, "thickness"), depth);
    }
    if (!piece)
        return;
    if (!w->courses) {
        static const char *const ways[] = {
            "left-right", "front-back", "up-down"
        };
        for (int axis = 0; axis < 3; axis++)
            if (str_is(node_find(slats, "along")->text, ways[axis]))
                follow_extent(t, piece, axis, depth);
        return;
    }
    part = &t->job.model->parts.at[piece->part];
    follow(t, of_part(t, part, "length"), depth);
    follow(t, of_part(t, part, "width"), depth);
}

static bool follow_row(Trace *t, Str name, size_t dot, Quantity value,
                       int depth) {
    const Worked *w = model_worked(t->job.model, str_part(name, 0, dot - 1),
                                   str_part(name, dot, name.n));
    TraceLine    *l;

    if (!w)
        return false;
    l         = add_line(t, name, depth);
    l->value  = value;
    l->valued = l->placed = true;
    l->loc    = w->loc;
    l->note   = str_fmt(t->c, "worked out from the %s",
                        w->courses ? "courses" : "row");
    l->again  = was_seen(t, str_fmt(t->c, "%.*s, row", STR_ARG(w->owner)))
              || was_seen(t, name);
    if (!l->again)
        follow_worked(t, w, depth + 1);
    return true;
}

/* "bottom.back", "A.long": what formulas know besides the graph. */
static bool follow_place(Trace *t, Str name, int depth) {
    Quantity     q   = POISON;
    size_t       dot = name.n;
    TraceLine   *l;
    const Piece *piece;
    int          part;

    while (dot > 0 && name.s[dot - 1] != '.')
        dot--;
    if (dot == 0 || !model_place(t->c, (void *)(uintptr_t)t->job.model, name,
                                 (Loc){ 0 }, &q))
        return false;
    if (follow_row(t, name, dot, q, depth))
        return true;
    part      = model_find_part(t->job.model, str_part(name, 0, dot - 1));
    l         = add_line(t, name, depth);
    l->value  = q;
    l->valued = true;
    piece     = piece_called(t, str_part(name, 0, dot - 1));
    l->placed = true;
    if (part >= 0 && (str_is(str_part(name, dot, name.n), "count")
                      || str_begins(str_part(name, dot, name.n), "total "))) {
        l->loc  = t->job.model->parts.at[part].loc;
        l->note = STR("over all pieces of the part");
        return true;
    }
    if (part >= 0 && axis_of(str_part(name, dot, name.n)) < 0) {
        l->loc   = t->job.model->parts.at[part].loc;
        l->note  = STR("from the length and the end cuts of the part");
        l->again = was_seen(t, name);
        if (!l->again)
            follow_points(t, &t->job.model->parts.at[part], depth + 1);
        return true;
    }
    if (!piece)
        return true;
    l->loc   = piece->loc;
    l->note  = str_fmt(t->c, "part %.*s as it stands",
                       STR_ARG(t->job.model->parts.at[piece->part].letter));
    l->again = was_seen(t, name);
    if (!l->again)
        follow_piece(t, piece, axis_of(str_part(name, dot, name.n)),
                     depth + 1);
    return true;
}

static void follow(Trace *t, Str name, int depth) {
    if (!follow_size(t, name, depth))
        (void)follow_place(t, name, depth);
}

/* ---- Figures ---- */

bool trace_prints(const Trace *t, Str source) {
    const Str name = t->asked;

    if (str_eq(source, name))
        return true;
    if (source.n <= name.n || !str_eq(str_part(source, 0, name.n), name))
        return false;
    return (source.s[name.n] == '.' || source.s[name.n] == ' ')
        && !sizes_find(t->job.sizes, source);
}

static bool prints_any(const Trace *t) {
    const Ledger *ledger = &t->booklet->ledger;

    for (int i = 0; i < ledger->rows.n; i++)
        if (trace_prints(t, ledger->rows.at[i].figure.source))
            return true;
    return false;
}

/* "C.arch": the formulas of the features of that kind; "B.ends" and
 * "T.outline": those under that key. */
static void follow_of_part(Trace *t, const Part *p, Str what) {
    const Node *node  = root_member(t, "parts", p->letter);
    const Node *list  = node_find(node, "features");
    char       *scope = scope_of(t, p);
    int         i     = 0;

    for (const Node *n = list ? list->first : NULL; n; n = n->next, i++)
        if (i < p->features.n
            && str_is(what, feature_name(&p->features.at[i])))
            follow_below(t, t->asked, scope, n, STR(""), 1);
    for (const Node *n = node ? node->first : NULL; n; n = n->next)
        if (str_eq(n->key, what)
            || (str_is(what, "miter") && str_is(n->key, "ends")))
            follow_below(t, of_part(t, p, str_z(t->c, n->key)), scope, n,
                         n->key, 1);
}

static void follow_part(Trace *t, const Part *p) {
    t->lines.at[0].note   = str_fmt(t->c, "part %.*s, %.*s",
                                    STR_ARG(p->letter), STR_ARG(p->name));
    t->lines.at[0].loc    = p->loc;
    t->lines.at[0].placed = true;
    follow(t, of_part(t, p, "length"), 1);
    follow(t, of_part(t, p, "width"), 1);
    follow(t, of_part(t, p, "thickness"), 1);
}

/* "count screw", "each screw": the counts that the steps give. */
static void follow_count(Trace *t, Str hardware) {
    const Node *steps = node_find(t->job.design->root, "steps");
    int         i     = 0;

    for (const Node *s = steps ? steps->first : NULL; s; s = s->next) {
        const Node *fixes = node_find(s, "fix");
        i++;
        for (const Node *f = fixes ? fixes->first : NULL; f; f = f->next) {
            const Node *with = node_find(f, "with");
            const Node *join = node_find(f, "join");
            if (!with || !str_eq(with->text, hardware) || !join
                || !join->first)
                continue;
            follow_member(t, str_z(t->c, str_fmt(t->c,
                          "step %d, into each %.*s", i,
                          STR_ARG(join->first->text))), "", f, "count", 1);
        }
    }
}

/* "stock cedar" or "cedar", "hardware screw", "finish oil". */
static void follow_bought(Trace *t) {
    static const struct { const char *word, *list; } lists[] = {
        { "stock ", "stock" }, { "hardware ", "hardware" },
        { "finish ", "finishes" }, { "", "stock" }, { "", "hardware" },
        { "", "finishes" }, { "saw.", "saw" }
    };

    for (int i = 0; i < COUNT(lists); i++) {
        const Node *n;
        if (!str_begins(t->asked, lists[i].word))
            continue;
        n = root_member(t, lists[i].list,
                        str_part(t->asked, strlen(lists[i].word),
                                 t->asked.n));
        if (!n)
            continue;
        follow_below(t, t->asked, "", n, STR(""), 1);
        return;
    }
}

/* The words in braces of a step, such as "inset + 1in". */
static void follow_braces(Trace *t) {
    Node  text  = { .kind = NODE_TEXT, .text = t->asked };
    Names names = { 0 };
    int   before = t->c->diags.n, errors = t->c->errors;

    formula_names(t->c, t->job.sizes, "", &text, &names);
    t->c->diags.n = before;   // not every source is a formula
    t->c->errors  = errors;
    follow_names(t, &names, 1);
}

static void follow_figure(Trace *t) {
    size_t     dot  = str_find(t->asked, '.', 0);
    int        part = model_find_part(t->job.model,
                                      str_part(t->asked, 0, dot));
    int        before;

    (void)add_line(t, t->asked, 0);
    before = t->lines.n;
    if (part >= 0 && dot == t->asked.n)
        follow_part(t, &t->job.model->parts.at[part]);
    else if (str_begins(t->asked, "count "))
        follow_count(t, str_part(t->asked, 6, t->asked.n));
    else if (str_begins(t->asked, "each "))
        follow_count(t, str_part(t->asked, 5, t->asked.n));
    else if (part >= 0)
        follow_of_part(t, &t->job.model->parts.at[part],
                       str_part(t->asked, dot + 1, t->asked.n));
    else
        follow_bought(t);
    if (t->lines.n == before)
        follow_braces(t);
    if (t->lines.n == before)
        t->lines.at[0].note = STR("the program counts or computes it from "
                                  "the whole design");
}

bool trace_follow(Trace *t) {
    follow(t, t->asked, 0);
    if (t->lines.n)
        return true;
    if (model_find_part(t->job.model, t->asked) < 0 && !prints_any(t))
        return false;
    follow_figure(t);
    return true;
}
