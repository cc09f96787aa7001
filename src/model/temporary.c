/* temporary -- pieces that come and go: spacer blocks, clamps, straight-
 * edges. A step's "add" puts one there until a step's "remove" takes it
 * away first thing; "with" has it there for that step only. */
#include "model/model_internal.h"

#include <limits.h>

bool piece_stands(const Piece *p, int step) {
    if (!p->temporary)
        return p->step >= 0 && p->step <= step;
    for (int i = 0; i < p->stays.n; i++) {
        if (p->stays.at[i].from <= step && step < p->stays.at[i].to)
            return true;
    }
    return false;
}

static Stay *last_stay(Piece *p) {
    return p->stays.n ? &p->stays.at[p->stays.n - 1] : NULL;
}

static bool begin_stay(Build *b, const Node *n, int piece, Stay stay) {
    Piece *p    = &b->m->pieces.at[piece];
    Stay  *last = last_stay(p);

    if (last && last->to > stay.from) {
        report(b->c, n->loc, STEP_TWICE,
               "'%.*s' is added here but already stands since step %d",
               STR_ARG(p->name), last->from + 1);
        hint(b->c, "take it away first, with \"remove\"");
        return false;
    }
    if (p->step < 0)
        p->step = stay.from;
    *PUSH(b->c, &p->stays) = stay;
    return true;
}

void add_temporary(Build *b, Step *step, const Node *n, int piece,
                   int index) {
    if (begin_stay(b, n, piece, (Stay){ index, INT_MAX }))
        *PUSH(b->c, &step->add) = piece;
}

static bool is_temporary(Build *b, const Node *n, int piece,
                         const char *key) {
    const Piece *p = &b->m->pieces.at[piece];

    if (p->temporary)
        return true;
    report(b->c, n->loc, TEMPORARY_BAD,
           "\"%s\" names '%.*s', which is no temporary piece", key,
           STR_ARG(p->name));
    hint(b->c, "mark it with \"temporary\": true under \"pieces\" if it "
         "leaves the work again");
    return false;
}

/* The pieces named by a member of a step, all of them temporary. */
static bool named(Build *b, const Node *n, const char *key, Ints *out) {
    *out = (Ints){ 0 };
    if (!pieces_called(b, n, out))
        return false;
    for (int i = 0; i < out->n; i++) {
        if (!is_temporary(b, n, out->at[i], key))
            return false;
    }
    return true;
}

void read_withs(Build *b, const Node *node, Step *step, int index) {
    const Node *list = node_list(b->c, node, "with");
    Ints        some;

    for (const Node *n = list ? list->first : NULL; n; n = n->next) {
        if (!named(b, n, "with", &some))
            continue;
        for (int i = 0; i < some.n; i++) {
            if (!begin_stay(b, n, some.at[i], (Stay){ index, index + 1 }))
                break;
            *PUSH(b->c, &step->add)  = some.at[i];
            *PUSH(b->c, &step->with) = some.at[i];
        }
    }
}

static void remove_one(Build *b, const Node *n, Step *step, int piece,
                       int index) {
    Piece *p    = &b->m->pieces.at[piece];
    Stay  *last = last_stay(p);

    if (last && last->to > index && last->from < index) {
        last->to = index;
        *PUSH(b->c, &step->removes) = piece;
        return;
    }
    report(b->c, n->loc, TEMPORARY_BAD,
           "'%.*s' is taken away here but is not there", STR_ARG(p->name));
    hint(b->c, last ? "it left in an earlier step already"
                    : "add it in an earlier step");
}

void read_removes(Build *b, const Node *node, Step *step, int index) {
    const Node *list = node_list(b->c, node, "remove");
    Ints        some;

    for (const Node *n = list ? list->first : NULL; n; n = n->next) {
        if (!named(b, n, "remove", &some))
            continue;
        for (int i = 0; i < some.n; i++) {
            int before = b->c->errors;
            remove_one(b, n, step, some.at[i], index);
            if (b->c->errors > before)
                break;
        }
    }
}

/* ---- Checks ---- */

/* Are both there in one step, or, without steps, at all? */
bool pieces_meet(const Model *m, int a, int b) {
    const Piece *p = &m->pieces.at[a], *q = &m->pieces.at[b];

    if (!p->temporary && !q->temporary)
        return true;
    for (int i = 0; i < m->steps.n; i++) {
        if (piece_stands(p, i) && piece_stands(q, i))
            return true;
    }
    return false;
}

/* A maker has as many spacers as are cut. */
static void check_enough(Build *b, int part) {
    const Part *jig = &b->m->parts.at[part];

    for (int i = 0; jig->jig && i < b->m->steps.n; i++) {
        int n = 0;
        for (int k = 0; k < b->m->pieces.n; k++) {
            const Piece *p = &b->m->pieces.at[k];
            n += p->part == part && p->temporary && piece_stands(p, i);
        }
        if (n <= jig->jig_count)
            continue;
        report(b->c, b->m->steps.at[i].loc, TEMPORARY_BAD,
               "step %d needs %d of jig %.*s, but only %d are made", i + 1,
               n, STR_ARG(jig->letter), jig->jig_count);
        hint(b->c, "make more of it: \"jig\": %d", n);
        return;
    }
}

void check_temporary(Build *b) {
    Str said = STR("");

    for (int i = 0; i < b->m->pieces.n; i++) {
        Piece *p = &b->m->pieces.at[i];
        Stay  *last = last_stay(p);
        if (!p->temporary || !last || last->to < INT_MAX
            || str_eq(said, p->group))
            continue;
        said = p->group;
        report(b->c, p->loc, TEMPORARY_STAYS,
               "'%.*s' is temporary but still there at the end",
               STR_ARG(p->name));
    }
    for (int i = 0; i < b->m->parts.n; i++)
        check_enough(b, i);
}
