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

Str size_text(Build *b, Quantity q) {
    Buf out = BUF(b->c);

    quantity_show(&out, q);
    return buf_done(&out);
}

/* Places that no fraction says are told to a hundredth of a millimeter. */
Str mm_text(Build *b, double mm) {
    Quantity q   = world_length(mm);
    Buf      out = BUF(b->c);

    if (quantity_is_exact(q))
        return size_text(b, q);
    buf_num(&out, mm, 2);
    buf_add(&out, " mm");
    return buf_done(&out);
}

Str volume_text(Build *b, double mm3) {
    double inch = 25.4;
    Buf    out  = BUF(b->c);

    buf_num(&out, b->m->inch ? mm3 / (inch * inch * inch) : mm3,
            b->m->inch ? 4 : 1);
    buf_add(&out, b->m->inch ? " cubic in" : " cubic mm");
    return buf_done(&out);
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

/* "each" has one answer only where all fixings of the step give the same. */
static bool each_differs(Build *b, const Step *step, int hardware, Str name,
                         Loc loc) {
    int first = 0;

    for (int i = 0; step && i < step->fixes.n; i++) {
        const Fix *f = &step->fixes.at[i];
        if (f->hardware != hardware)
            continue;
        if (first && f->count != first) {
            report(b->c, loc, EACH_DIFFERS,
                   "\"each %.*s\" is %d in one fixing of this step and %d in "
                   "another", STR_ARG(name), first, f->count);
            return true;
        }
        first = f->count;
    }
    return false;
}

static bool add_count(Build *b, Say *say, Str inside, const Step *step,
                      Loc loc) {
    bool     each = str_begins(inside, "each ");
    Str      name = str_trim(str_part(inside, each ? 5 : 6, inside.n));
    int      h    = find_hardware(b->m, name);
    SayItem *item;

    if (!each && !str_begins(inside, "count "))
        return false;
    if (h < 0) {
        unknown_hardware(b, loc, name);
        return true;
    }
    if (fasteners(step, h, each) == 0) {
        if (b->c->errors == 0) {   // else a fixing may be left out
            report(b->c, loc, UNKNOWN_NAME,
                   "no '%.*s' is used in this step", STR_ARG(name));
            hint(b->c, "name it in a fixing of this step: \"with\": "
                 "\"%.*s\"", STR_ARG(name));
        }
        return true;
    }
    if (each && each_differs(b, step, h, name, loc))
        return true;
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
    item->fit    = part < 0 && formula_is_fit(b, text, from, to);
    item->loc    = loc;
}

static bool is_digit_at(Str s, size_t at) {
    return at < s.n && s.s[at] >= '0' && s.s[at] <= '9';
}

/* Where "3", "3.5", "3/4" or "3 3/4" ends that begins at `at`. */
static size_t number_end(Str s, size_t at) {
    size_t end = at, more;

    while (is_digit_at(s, end)
           || (end > at && end < s.n && strchr("./", s.s[end])
               && s.s[end] && is_digit_at(s, end + 1)))
        end++;
    if (end == at || !is_digit_at(s, end + 1) || s.s[end] != ' ')
        return end;
    more = number_end(s, end + 1);
    return str_find(str_part(s, end, more), '/', 0) < more - end ? more
                                                                 : end;
}

/* Where the unit that follows a number ends; `at` if none does. */
static size_t unit_end(Str s, size_t at) {
    static const char *const units[] = { "in", "mm", "cm", "ft", "\"" };
    size_t from = at < s.n && (s.s[at] == ' ' || s.s[at] == '-') ? at + 1
                                                                 : at;

    for (int i = 0; i < COUNT(units); i++) {
        size_t end = from + strlen(units[i]);
        if (!str_begins(str_part(s, from, s.n), units[i])
            || (end < s.n && (s.s[end] | 32) >= 'a'
                && (s.s[end] | 32) <= 'z'))
            continue;
        return end;
    }
    return at;
}

/* The name of a size that has just this value, or an empty Str. */
static Str size_of_value(Build *b, const Node *text, size_t from,
                         size_t to) {
    Quantity q;

    if (memchr(text->text.s + from, '-', to - from))
        return STR("");   // "3-in" is no measurement of ours
    q = eval_span(b->c, b->s, "", text, from, to, NULL);
    for (int i = 0; i < sizes_count(b->s) && !q.poison; i++) {
        const SizeEntry *e = sizes_at(b->s, i);
        if (e->done && !e->value.poison && dim_eq(e->value.dim, q.dim)
            && quantity_cmp(e->value, q) == 0)
            return e->name;
    }
    return STR("");
}

/* "about 3 in": a measurement typed into the text does not follow when the
 * design changes. */
static void warn_plain_number(Build *b, const Node *text, size_t from,
                              size_t to) {
    Str s = str_part(text->text, 0, to);

    for (size_t i = from; i < to; i++) {
        size_t number = number_end(s, i), unit = unit_end(s, number);
        if (number == i)
            continue;
        if (unit > number) {
            Str name = size_of_value(b, text, i, unit);
            report(b->c, node_span(text, i, unit), PLAIN_NUMBER,
                   "'%.*s' is typed into the text and will not follow a "
                   "change of the design", STR_ARG(str_part(s, i, unit)));
            if (name.n)
                hint(b->c, "it equals a size: write {%.*s}", STR_ARG(name));
        }
        i = unit;
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
            hint(b->c, "put } after the name or formula");
            break;
        }
        add_brace(b, &say, text, open + 1, close, step);
        at = close + 1;
    }
    return say;
}

#define LONGEST_LABEL 120   // characters

Str read_label(Build *b, const Node *object, const char *key) {
    Str s = node_str(b->c, object, key);
    int n = 0;

    for (size_t at = 0; at < s.n; n++)
        utf8_next(s, &at);
    if (n <= LONGEST_LABEL || n > LONGEST_TEXT)   // or it is said already
        return s;
    report(b->c, node_find(object, key)->loc, OUT_OF_RANGE,
           "\"%s\" has %d characters, but is printed as a line of %d at "
           "most", key, n, LONGEST_LABEL);
    hint(b->c, "shorten it");
    return s;
}

void due_text(Build *b, const Node *n, const char *what) {
    report(b->c, n->loc, WRONG_KIND, "%s is due here, not %s", what,
           node_kind_name(n->kind));
    hint(b->c, "write it in double quotes");
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
            due_text(b, n, "a text");
    }
}

bool read_caution(Build *b, const Node *node, const Step *step,
                  Caution *out) {
    static const char *const keys[] = {   // SCHEMA caution
        "signal", "say", NULL
    };
    static const char *const words[] = {   // ORDER SIGNAL, SCHEMA-ENUM signal
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
