/* say -- the author's words: text with figures in braces.
 *
 *     {A}             the letter of part A
 *     {A.length}      any formula
 *     {count brad}    how many brads this step takes
 *     {each brad}     how many for each piece
 */
#include "model/model_internal.h"

const char *signal_word(Signal s) {
    static const char *const words[] = {   // ORDER SIGNAL
        "DANGER", "WARNING", "CAUTION", "NOTICE"
    };
    return words[s];
}

static void add_words(Build *b, Say *say, Str words, Loc loc) {
    SayItem *item;

    if (!words.n)
        return;
    item        = PUSH(b->c, say);
    item->kind  = SAY_WORDS;
    item->words = words;
    item->loc   = loc;
}

/* Fasteners of one kind in a step: in all, or for each piece. */
static int fasteners(const Step *step, int hardware, bool each) {
    int n = 0;

    for (int i = 0; step && i < step->fixes.n; i++) {
        const Fix *f = &step->fixes.at[i];
        if (f->hardware != hardware)
            continue;
        n = each ? f->count : n + fix_total(f);
    }
    return n;
}

static bool add_count(Build *b, Say *say, Str inside, const Step *step,
                      Loc loc) {
    bool     each = str_begins(inside, "each ");
    Str      name = str_trim(str_part(inside, each ? 5 : 6, inside.n));
    int      h    = find_hardware(b->m, name);
    SayItem *item;

    if (!each && !str_begins(inside, "count "))
        return false;
    if (h < 0 || fasteners(step, h, each) == 0) {
        report(b->c, loc, UNKNOWN_NAME,
               h < 0 ? "there is no hardware '%.*s' to count"
                     : "no '%.*s' is used in this step", STR_ARG(name));
        return true;
    }
    item         = PUSH(b->c, say);
    item->kind   = SAY_COUNT;
    item->value  = quantity_exact(fasteners(step, h, each), 1, DIM_NUMBER);
    item->source = inside;
    item->loc    = loc;
    return true;
}

static void add_brace(Build *b, Say *say, const Node *text, size_t from,
                      size_t to, const Step *step) {
    Str      inside = str_trim(str_part(text->text, from, to));
    Loc      loc    = node_span(text, from, to);
    int      part   = model_find_part(b->m, inside);
    Quantity q;
    SayItem *item;

    if (part < 0 && add_count(b, say, inside, step, loc))
        return;
    q = part >= 0 ? quantity_exact(0, 1, DIM_NUMBER)
                  : eval_span(b->c, b->s, "", text, from, to, NULL);
    if (q.poison)
        return;
    item         = PUSH(b->c, say);
    item->kind   = part >= 0 ? SAY_PART
                 : dim_eq(q.dim, DIM_NUMBER) ? SAY_COUNT : SAY_SIZE;
    item->part   = part;
    item->value  = q;
    item->source = inside;
    item->loc    = loc;
}

/* "about 3 in": a measurement typed into the text does not follow when the
 * design changes. */
static void warn_plain_number(Build *b, const Node *text, size_t from,
                              size_t to) {
    static const char *const units[] = { "in", "mm", "cm", "ft", "\"" };
    Str s = text->text;

    for (size_t i = from; i < to; i++) {
        size_t end = i;
        while (end < to && ((s.s[end] >= '0' && s.s[end] <= '9')
                            || s.s[end] == '/' || s.s[end] == '.'))
            end++;
        if (end == i)
            continue;
        for (int k = 0; k < COUNT(units); k++) {
            size_t n  = strlen(units[k]);
            size_t at = end < to && s.s[end] == ' ' ? end + 1 : end;
            if (at + n > to || memcmp(s.s + at, units[k], n) != 0
                || (at + n < to && ((s.s[at + n] | 32) >= 'a')
                    && (s.s[at + n] | 32) <= 'z'))
                continue;
            report(b->c, node_span(text, i, at + n), PLAIN_NUMBER,
                   "'%.*s' is typed into the text and will not follow a "
                   "change of the design",
                   STR_ARG(str_part(s, i, at + n)));
            hint(b->c, "give it a name under \"sizes\" and write {name}");
        }
        i = end;
    }
}

Say read_say(Build *b, const Node *text, const Step *step) {
    Say    say = { 0 };
    size_t at  = 0;
    Str    s;

    if (!text || text->kind != NODE_TEXT)
        return say;
    s = text->text;
    while (at < s.n) {
        size_t open  = str_find(s, '{', at);
        size_t close = str_find(s, '}', open);
        add_words(b, &say, str_part(s, at, open), node_span(text, at, open));
        warn_plain_number(b, text, at, open);
        if (open >= s.n)
            break;
        if (close >= s.n) {
            report(b->c, node_span(text, open, open + 1), FORMULA_SYNTAX,
                   "this brace is never closed");
            break;
        }
        add_brace(b, &say, text, open + 1, close, step);
        at = close + 1;
    }
    return say;
}

typedef LIST(Say) Says;

/* A text, or a list of texts. */
void read_says(Build *b, const Node *owner, const char *key,
               const Step *step, void *list_of_say) {
    Says       *says = list_of_say;
    const Node *node = node_find(owner, key);

    if (!node)
        return;
    if (node->kind == NODE_TEXT) {
        *PUSH(b->c, says) = read_say(b, node, step);
        return;
    }
    node = node_list(b->c, owner, key);
    for (const Node *n = node ? node->first : NULL; n; n = n->next) {
        if (n->kind == NODE_TEXT)
            *PUSH(b->c, says) = read_say(b, n, step);
        else
            report(b->c, n->loc, WRONG_KIND, "a text is due here, not %s",
                   node_kind_name(n->kind));
    }
}

bool read_caution(Build *b, const Node *node, const Step *step,
                  Caution *out) {
    static const char *const keys[] = { "signal", "say", NULL };
    static const char *const words[] = {   // ORDER SIGNAL
        "danger", "warning", "caution", "notice", NULL
    };

    if (!node_check_keys(b->c, node, keys, "a caution")
        || !node_need(b->c, node, "say", "a caution"))
        return false;
    out->signal = (Signal)node_choice(b->c, node, "signal", words,
                                      SIGNAL_CAUTION);
    out->say = read_say(b, node_text(b->c, node, "say"), step);
    return out->say.n > 0;
}
