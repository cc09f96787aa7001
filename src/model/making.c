/* making -- how a part is made besides its shape: finish by face and when
 * it goes on, sizes that are fitted on the work, parts cut in one stack. */
#include "model/model_internal.h"

#include <math.h>

/* ---- Finish by face ---- */

static int named_finish(Build *b, const Part *part, const Node *text) {
    int  found = find_finish(b->m, text->text);
    Str *known;

    if (found >= 0)
        return found;
    known = NEW_N(b->c, Str, b->m->finishes.n + 1);
    for (int i = 0; i < b->m->finishes.n; i++)
        known[i] = b->m->finishes.at[i].key;
    report(b->c, text->loc, UNKNOWN_NAME,
           "part %.*s has the finish '%.*s', but there is no such finish",
           STR_ARG(part->letter), STR_ARG(text->text));
    hint_names(b, text->text, known, b->m->finishes.n, "finishes");
    return -1;
}

/* Words for one side or several, widest first, so that the narrower word
 * has the last say. */
typedef struct { const char *word; unsigned sides; } SideWord;

static const SideWord finish_sides[] = {   // SCHEMA-ENUM faces
    { "all",   1u << SIDE_SHOW | 1u << SIDE_BACK | 1u << SIDE_NEAR
               | 1u << SIDE_FAR | 1u << SIDE_LEFT | 1u << SIDE_RIGHT },
    { "edges", 1u << SIDE_NEAR | 1u << SIDE_FAR },
    { "ends",  1u << SIDE_LEFT | 1u << SIDE_RIGHT },
    { "show",  1u << SIDE_SHOW },  { "back",  1u << SIDE_BACK },
    { "near",  1u << SIDE_NEAR },  { "far",   1u << SIDE_FAR },
    { "left",  1u << SIDE_LEFT },  { "right", 1u << SIDE_RIGHT },
};

static void set_coat(Part *part, unsigned sides, int finish) {
    for (int i = 0; i < COUNT(part->coat); i++) {
        if (sides >> i & 1)
            part->coat[i] = finish;
    }
}

static void read_bare(Build *b, Part *part, const Node *object) {
    const Node *list = node_list(b->c, object, "bare");

    for (const Node *n = list ? list->first : NULL; n; n = n->next) {
        bool known = false;
        for (int i = 0; i < COUNT(finish_sides); i++) {
            if (n->kind != NODE_TEXT || !str_is(n->text, finish_sides[i].word))
                continue;
            set_coat(part, finish_sides[i].sides, -1);
            known = true;
        }
        if (known)
            continue;
        report(b->c, n->loc, BAD_CHOICE, "'%.*s' is no face of a part",
               STR_ARG(n->text));
        hint(b->c, "use show, back, near, far, left, right, edges (near "
             "and far) or ends (left and right)");
    }
}

static void read_coats(Build *b, Part *part, const Node *object) {
    static const char *const keys[] = {   // SCHEMA coats
        "all", "edges", "ends", "show", "back", "near", "far", "left",
        "right", "bare", "when", NULL
    };
    static const char *const whens[] = {   // SCHEMA-ENUM when
        "before", "after", NULL
    };
    int when;

    if (!node_check_keys(b->c, object, keys, "a finish by face"))
        return;
    for (int i = 0; i < COUNT(finish_sides); i++) {
        const Node *n = node_text(b->c, object, finish_sides[i].word);
        if (n)
            set_coat(part, finish_sides[i].sides, named_finish(b, part, n));
    }
    read_bare(b, part, object);
    when = node_choice(b->c, object, "when", whens, -1);
    part->finish_when = when < 0 ? WHEN_UNSAID
                      : when == 0 ? WHEN_BEFORE : WHEN_AFTER;
}

static void read_finish(Build *b, Part *part, const Node *node) {
    const Node *given = node_find(node, "finish");

    set_coat(part, finish_sides[0].sides, -1);
    if (given && given->kind == NODE_OBJECT)
        read_coats(b, part, given);
    else if (node_text(b->c, node, "finish"))
        set_coat(part, finish_sides[0].sides, named_finish(b, part, given));
    for (int i = COUNT(part->coat) - 1; i >= 0; i--) {
        if (part->coat[i] >= 0)
            part->finish = part->coat[i];
    }
}

bool finish_is_plain(const Part *part) {
    for (int i = 1; i < COUNT(part->coat); i++) {
        if (part->coat[i] != part->coat[0])
            return false;
    }
    return true;
}

/* The side that a face looks to most; ties go to the face, then the edge.
 * The walls of openings count with the edge or end they look like. */
Side side_of_face(const Face *f) {
    V3 n = f->plane.n;

    if (fabs(n.z) >= fabs(n.y) - 1e-9 && fabs(n.z) >= fabs(n.x) - 1e-9)
        return n.z > 0 ? SIDE_SHOW : SIDE_BACK;
    if (fabs(n.y) >= fabs(n.x) - 1e-9)
        return n.y > 0 ? SIDE_FAR : SIDE_NEAR;
    return n.x > 0 ? SIDE_RIGHT : SIDE_LEFT;
}

double side_area(const Part *part, Side side) {
    double area = 0;

    for (int i = 0; i < part->solid->faces.n; i++) {
        const Face *f = &part->solid->faces.at[i];
        if (side_of_face(f) == side)
            area += f->area;
    }
    return area;
}

double finish_area(const Part *part, int finish) {
    double area = 0;

    for (int i = 0; i < COUNT(part->coat); i++) {
        if (part->coat[i] == finish)
            area += side_area(part, (Side)i);
    }
    return area;
}

/* ---- Fitted on the work ---- */

static const char *const fit_words[] = {   // SCHEMA-ENUM dimension
    "length", "width", NULL
};

/* "fit": true is the length; "width" or "length" says which. */
static void read_fit(Build *b, Part *part, const Node *node) {
    const Node *fit   = node_find(node, "fit");
    int         which = 0;

    if (!fit || (fit->kind == NODE_BOOL && !fit->truth))
        return;
    if (fit->kind != NODE_BOOL)
        which = node_choice(b->c, node, "fit", fit_words, -1);
    if (which >= 0)
        part->fit[which] = true;
}

/* ---- Stacks ---- */

static void read_stack(Build *b, Part *part, const Node *node) {
    const Node *text = node_text(b->c, node, "cut with");
    Str        *known;

    if (!text)
        return;
    part->cut_with = model_find_part(b->m, text->text);
    if (part->cut_with >= 0)
        return;
    known = NEW_N(b->c, Str, b->m->parts.n + 1);
    for (int i = 0; i < b->m->parts.n; i++)
        known[i] = b->m->parts.at[i].letter;
    report(b->c, text->loc, UNKNOWN_NAME,
           "part %.*s is cut with '%.*s', but there is no such part",
           STR_ARG(part->letter), STR_ARG(text->text));
    hint_names(b, STR(""), known, b->m->parts.n, "parts");
}

int stack_of(const Model *m, int part) {
    int first = m->parts.at[part].cut_with;

    return first < 0 ? part : first;
}

static void check_stack(Build *b, int index) {
    Part       *part = &b->m->parts.at[index];
    const Part *with = &b->m->parts.at[part->cut_with];
    Loc         at   = node_find(b->part_node[index], "cut with")->loc;

    if (part == with || with->cut_with >= 0) {
        report(b->c, at, STACK_BAD, part == with
               ? "part %.*s cannot be cut with itself"
               : "part %.*s is cut with a part that is cut with another",
               STR_ARG(part->letter));
        hint(b->c, part == with ? "its own pieces may be stacked in any "
             "case" : "let all parts of a stack name the same part");
        return;
    }
    if (part->length.poison || part->width.poison || with->length.poison
        || with->width.poison)
        return;
    if (fabs(part->long_length.real - with->long_length.real) < 1e-6
        && fabs(part->width.real - with->width.real) < 1e-6)
        return;
    report(b->c, at, STACK_BAD,
           "parts %.*s and %.*s are cut in one stack, but one is %.*s x "
           "%.*s, the other %.*s x %.*s", STR_ARG(part->letter),
           STR_ARG(with->letter), STR_ARG(size_text(b, part->long_length)),
           STR_ARG(size_text(b, part->width)),
           STR_ARG(size_text(b, with->long_length)),
           STR_ARG(size_text(b, with->width)));
    hint(b->c, "what is cut in one stack comes out alike");
}

void check_stacks(Build *b) {
    for (int i = 0; i < b->m->parts.n; i++) {
        if (b->m->parts.at[i].cut_with >= 0)
            check_stack(b, i);
    }
}

void read_making(Build *b, Part *part, const Node *node) {
    read_finish(b, part, node);
    read_fit(b, part, node);
    read_stack(b, part, node);
}
