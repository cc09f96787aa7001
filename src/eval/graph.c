/* graph -- the named sizes and what they depend on.
 *
 * A size is evaluated when it is first asked for, so that the order in the
 * file is free. Names are found by hashing, but everything that is listed
 * goes by the order of definition.
 */
#include "eval/eval_internal.h"

#include <math.h>

Sizes *sizes_new(Ctx *c) {
    return NEW(c, Sizes);
}

void sizes_hook(Sizes *s, SizeHook *hook, void *who) {
    s->hook = hook;
    s->who  = who;
}

/* ---- Finding by name ---- */

/* The slot of a name, or the free slot where it would go. */
static int *slot_of(const Sizes *s, Str name) {
    uint32_t at = str_hash(name) % (uint32_t)s->slot_count;

    while (s->slots[at]
           && !str_eq(s->entries.at[s->slots[at] - 1]->shown.name, name))
        at = (at + 1) % (uint32_t)s->slot_count;
    return &s->slots[at];
}

static int find(const Sizes *s, Str name) {
    return s->slot_count ? *slot_of(s, name) - 1 : -1;
}

/* Keeps at least half of the slots free. */
static void make_room(Ctx *c, Sizes *s) {
    if (2 * (s->entries.n + 1) <= s->slot_count)
        return;
    s->slot_count = s->slot_count ? 2 * s->slot_count : 64;
    s->slots      = NEW_N(c, int, s->slot_count);
    for (int i = 0; i < s->entries.n; i++)
        *slot_of(s, s->entries.at[i]->shown.name) = i + 1;
}

static Entry *entry_new(Ctx *c, Sizes *s, Str name) {
    Entry *e = NEW(c, Entry);

    make_room(c, s);
    e->shown.name  = name;
    e->shown.value = POISON;
    *slot_of(s, name)         = s->entries.n + 1;
    *PUSH(c, &s->entries)     = e;
    return e;
}

const SizeEntry *sizes_find(const Sizes *s, Str name) {
    int i = find(s, name);

    return i < 0 ? NULL : &s->entries.at[i]->shown;
}

int sizes_count(const Sizes *s) {
    return s->entries.n;
}

const SizeEntry *sizes_at(const Sizes *s, int i) {
    return &s->entries.at[i]->shown;
}

/* ---- Defining ---- */

/* "A." of "A.length" */
static Str scope_of(Str name) {
    size_t n = name.n;

    while (n > 0 && name.s[n - 1] != '.')
        n--;
    return str_part(name, 0, n);
}

static Loc name_loc(const Node *formula) {
    return formula->key_loc.end ? formula->key_loc : formula->loc;
}

/* Can formulas say this name, and mean only this? */
static bool name_fits(Ctx *c, Str name, Loc at) {
    Str last = str_part(name, scope_of(name).n, name.n);

    if (!lex_is_name(name)) {
        if (fault(c, at, BAD_CHOICE, "'%.*s' cannot be the name of a size",
                  STR_ARG(name)))
            hint(c, "names begin with a letter and hold letters, digits, _ "
                    "and single spaces");
        return false;
    }
    if (!unit_find(last) && !str_is(last, "pi"))
        return true;
    if (fault(c, at, BAD_CHOICE, "'%.*s' cannot be the name of a size: "
              "formulas know it as a %s", STR_ARG(last),
              unit_find(last) ? "unit" : "number"))
        hint(c, "give the size a longer name");
    return false;
}

/* A new entry, or NULL if the name is taken or is no name. */
static Entry *define(Ctx *c, Sizes *s, Str name, const Node *formula,
                     Loc at) {
    int    taken = find(s, name);
    Entry *e;

    if (taken >= 0) {
        Loc first = s->entries.at[taken]->shown.loc;
        if (!s->entries.at[taken]->node)
            fault(c, at, JSON_DUPLICATE,
                  "the size '%.*s' is set by the program already",
                  STR_ARG(name));
        else
            fault(c, at, JSON_DUPLICATE,
                  "the size '%.*s' is defined in line %d already",
                  STR_ARG(name), loc_line_col(c, first).line);
        return NULL;
    }
    e                = entry_new(c, s, str_copy(c, name));
    e->node          = formula;
    e->scope         = scope_of(e->shown.name);
    e->shown.formula = formula->text;
    e->shown.loc     = formula->loc;
    if (!name_fits(c, name, at))
        e->shown.done = true;   // with POISON: no second message
    return e;
}

void sizes_define(Ctx *c, Sizes *s, Str name, const Node *formula,
                  const Dim *need) {
    Entry *e = define(c, s, name, formula, name_loc(formula));

    if (!e || !need)
        return;
    e->need     = *need;
    e->has_need = true;
}

/* "width": {"is": "22in", "note": "outside"} */
static void read_object(Ctx *c, Sizes *s, Str name, const Node *node) {
    static const char *const known[] = {   // SCHEMA size
        "is", "note", "fit", NULL
    };
    Str         what    = str_fmt(c, "the size '%.*s'", STR_ARG(name));
    const Node *formula = node_find(node, "is");
    Entry      *e;

    node_check_keys(c, node, known, str_z(c, what));
    if (!formula)
        formula = node_need(c, node, "is", str_z(c, what));
    e = define(c, s, name, formula ? formula : node, name_loc(node));
    if (!e)
        return;
    e->shown.note = node_str(c, node, "note");
    e->shown.fit  = node_bool(c, node, "fit", false);
    if (!formula)
        e->shown.done = true;
}

void sizes_read(Ctx *c, Sizes *s, const Node *sizes, const char *prefix) {
    if (!sizes)
        return;
    if (sizes->kind != NODE_OBJECT) {
        fault(c, sizes->loc, WRONG_KIND,
              "sizes are %s, but must be an object",
              node_kind_name(sizes->kind));
        return;
    }
    for (const Node *m = sizes->first; m; m = m->next) {
        Str name = !*prefix ? m->key
                 : str_fmt(c, "%s%.*s", prefix, STR_ARG(m->key));
        if (m->kind == NODE_OBJECT)
            read_object(c, s, name, m);
        else
            sizes_define(c, s, name, m, NULL);
    }
}

/* A name that is there already gets the new value. */
void sizes_set(Ctx *c, Sizes *s, Str name, Quantity value,
               const char *because) {
    int    i = find(s, name);
    Entry *e = i < 0 ? entry_new(c, s, str_copy(c, name)) : s->entries.at[i];

    e->shown.value = value;
    e->shown.done  = true;
    e->shown.note  = str_from(c, because);
}

/* ---- Cycles ---- */

/* "width → depth → width", from the name that was defined first, so that
 * the message does not depend on who asked. */
static void report_cycle(Ctx *c, const Sizes *s, int again) {
    int start = 0, n, first = 0;
    Buf path  = BUF(c);

    while (s->path.at[start] != again)
        start++;
    n = s->path.n - start;
    for (int i = 1; i < n; i++)
        if (s->path.at[start + i] < s->path.at[start + first])
            first = i;
    for (int i = 0; i <= n; i++) {
        int at = s->path.at[start + (first + i) % n];
        buf_add(&path, "%s%.*s", i ? " → " : "",
                STR_ARG(s->entries.at[at]->shown.name));
    }
    again = s->path.at[start + first];
    fault(c, s->entries.at[again]->shown.loc, CYCLE,
          "the size '%.*s' depends on itself: %.*s",
          STR_ARG(s->entries.at[again]->shown.name), STR_ARG(buf_done(&path)));
}

/* ---- Evaluating ---- */

static void note_use(Ctx *c, Entry *e, int index) {
    for (int i = 0; i < e->shown.uses.n; i++)
        if (e->shown.uses.at[i] == index)
            return;
    *PUSH(c, &e->shown.uses) = index;
}

static void note_uses(Ctx *c, const Sizes *s, Entry *e, From from,
                      const Ast *ast) {
    if (ast->kind == AST_NAME) {
        int index = sizes_resolve(c, s, from, ast->name);
        if (index >= 0)
            note_use(c, e, index);
        else
            *PUSH(c, &e->shown.places) = ast->name;
    }
    for (int i = 0; i < ast->args.n; i++)
        note_uses(c, s, e, from, ast->args.at[i]);
}

static Quantity entry_value(Ctx *c, Sizes *s, int index) {
    Entry     *e    = s->entries.at[index];
    From       from = { e->scope, index };
    const Ast *ast;
    Quantity   q;

    if (e->shown.done)
        return e->shown.value;
    if (e->working) {
        report_cycle(c, s, index);
        return POISON;
    }
    e->working = true;
    *PUSH(c, &s->path) = index;
    q = formula_node(c, s, from, e->node, e->has_need ? &e->need : NULL,
                     &ast);
    s->path.n--;
    e->working     = false;
    e->shown.value = q;
    e->shown.done  = true;
    e->shown.given = !ast || ast->kind == AST_VALUE;
    if (ast)
        note_uses(c, s, e, from, ast);
    return q;
}

/* A formula's own name means the outer one if there is one: part A may say
 * "width": "width". */
int sizes_resolve(Ctx *c, const Sizes *s, From from, Str name) {
    int inner = -1, outer = find(s, name);

    if (from.scope.n)
        inner = find(s, str_fmt(c, "%.*s%.*s", STR_ARG(from.scope),
                                STR_ARG(name)));
    if (inner < 0 || (inner == from.self && outer >= 0))
        return outer;
    return inner;
}

/* All names that could have been meant. */
static Str nearest_size(Ctx *c, const Sizes *s, From from, Str name) {
    LIST(Str) known = { 0 };

    for (int i = 0; i < s->entries.n; i++) {
        Str full = s->entries.at[i]->shown.name;
        *PUSH(c, &known) = full;
        if (from.scope.n && full.n > from.scope.n
            && str_eq(str_part(full, 0, from.scope.n), from.scope))
            *PUSH(c, &known) = str_part(full, from.scope.n, full.n);
    }
    return nearest_name(name, known.at, known.n);
}

static Quantity unknown_name(Ctx *c, Sizes *s, From from, Str name, Loc at) {
    Str near;

    if (!fault(c, at, UNKNOWN_NAME, "there is no size '%.*s'",
               STR_ARG(name)) || diags_full(c))
        return POISON;
    near = nearest_size(c, s, from, name);
    if (near.n)
        hint(c, "did you mean '%.*s'?", STR_ARG(near));
    else if (function_find(name))
        hint(c, "as a function: %s", function_find(name)->use);
    else
        hint(c, "define it in \"sizes\"");
    return POISON;
}

void sizes_use(Sizes *s, From from, int index) {
    if (index >= 0 && index != from.self)
        s->entries.at[index]->shown.used = true;
}

Quantity sizes_lookup(Ctx *c, Sizes *s, From from, Str name, Loc at) {
    int      index = sizes_resolve(c, s, from, name);
    Quantity value = POISON;

    if (index >= 0) {
        sizes_use(s, from, index);
        return entry_value(c, s, index);
    }
    if (s->hook && s->hook(c, s->who, name, at, &value))
        return value;
    if (str_is(name, "pi"))
        return quantity_real(M_PI, DIM_NUMBER);
    return unknown_name(c, s, from, name, at);
}

Quantity sizes_value(Ctx *c, Sizes *s, Str name, Loc at) {
    return sizes_lookup(c, s, (From){ STR(""), -1 }, name, at);
}

bool sizes_all(Ctx *c, Sizes *s) {
    bool ok = true;

    for (int i = 0; i < s->entries.n; i++)
        if (entry_value(c, s, i).poison)
            ok = false;
    return ok;
}

/* ---- Fitted on the work ---- */

void sizes_mark_fit(Sizes *s, Str name) {
    int i = find(s, name);

    if (i >= 0)
        s->entries.at[i]->shown.fit = true;
}

/* `seen` keeps the walk from going through one name twice. */
static bool is_fit(const Sizes *s, int index, bool *seen) {
    const SizeEntry *e = &s->entries.at[index]->shown;

    if (seen[index])
        return false;
    seen[index] = true;
    for (int i = 0; i < e->uses.n && !e->fit; i++) {
        if (is_fit(s, e->uses.at[i], seen))
            return true;
    }
    return e->fit;
}

bool sizes_fit(Ctx *c, const Sizes *s, Str name) {
    int i = find(s, name);

    return i >= 0 && is_fit(s, i, NEW_N(c, bool, s->entries.n + 1));
}

/* ---- Dump ---- */

void sizes_dump(Buf *out, const Sizes *s) {
    for (int i = 0; i < s->entries.n; i++) {
        const SizeEntry *e = &s->entries.at[i]->shown;
        buf_add(out, "%.*s = ", STR_ARG(e->name));
        quantity_show(out, e->value);
        if (e->formula.n)
            buf_add(out, "   (%.*s)", STR_ARG(e->formula));
        if (e->note.n)
            buf_add(out, "   // %.*s", STR_ARG(e->note));
        buf_add(out, "\n");
    }
}
