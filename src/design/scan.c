/* scan -- holds a text against the grammar of JSON and makes its tree.
 *
 * cJSON is quick and well tried, but it keeps no places and lets through
 * what RFC 8259 forbids: bytes that are no UTF-8, raw line ends in texts,
 * leading zeros, texts cut at a NUL. So this scan finds where every value
 * begins and ends, and cJSON is asked only what a number or a text with
 * escapes is worth; most texts mean what stands there. (Both going through
 * the whole text, and their trees joined, took twice the time.) Of one text
 * it reports one error: what follows a lost bracket is noise.
 *
 * Beyond RFC 8259: comments, a byte order mark is skipped, numbers must be
 * finite and brackets not too deep.
 */
#include "design/design_internal.h"

#include <math.h>

#define DEEPEST        200   // brackets open at once
#define LONGEST_NUMBER 60    // characters; cJSON reads no more than 63
#define NOTHING        (-1)  // what peek gives at the end of the text

typedef struct {
    Ctx   *c;
    int    file;
    Str    text;
    size_t at;
    int    depth;
} Scanner;

static bool scan_value(Scanner *s, Node *node);

static int peek(const Scanner *s) {
    return s->at < s->text.n ? (unsigned char)s->text.s[s->at] : NOTHING;
}

static Loc place(const Scanner *s, size_t from, size_t to) {
    return (Loc){ s->file, (uint32_t)from, (uint32_t)to };
}

/* Reports the one error of this text; returns false for the caller. */
LIKE_PRINTF(5, 6)
static bool stop(Scanner *s, size_t from, size_t to, DiagCode code,
                 const char *fmt, ...) {
    va_list args;
    Str     what;

    va_start(args, fmt);
    what = str_vfmt(s->c, fmt, args);
    va_end(args);
    report(s->c, place(s, from, to), code, "%.*s", STR_ARG(what));
    return false;
}

/* Gives that error its own hint; returns false, too. */
static bool advise(Scanner *s, const char *words) {
    hint(s->c, "%s", words);
    return false;
}

static int line_of(const Scanner *s, size_t at) {
    return loc_line_col(s->c, place(s, at, at)).line;
}

static bool is_digit(int ch) {
    return ch >= '0' && ch <= '9';
}

static bool is_letter(int ch) {
    return (ch >= 'a' && ch <= 'z') || (ch >= 'A' && ch <= 'Z') || ch == '_';
}

static bool is_blank(int ch) {
    return ch == ' ' || ch == '\t' || ch == '\n' || ch == '\r';
}

/* The end of what a person sees as one word, for messages. */
static size_t word_end(const Scanner *s, size_t at) {
    while (at < s->text.n) {
        int ch = (unsigned char)s->text.s[at];
        if (is_blank(ch) || strchr(",:[]{}", ch))
            break;
        at++;
    }
    return at;
}

static size_t character_end(const Scanner *s, size_t at) {
    if (at < s->text.n)
        utf8_next(s->text, &at);
    return at;
}

/* ---- Blanks and comments ---- */

/* Where a block comment ends; beyond the text if it does not. */
static size_t block_end(const Scanner *s, size_t from) {
    for (size_t at = from + 2; at + 1 < s->text.n; at++)
        if (s->text.s[at] == '*' && s->text.s[at + 1] == '/')
            return at + 2;
    return s->text.n + 1;
}

static bool skip_comment(Scanner *s) {
    size_t from = s->at, end;
    char   next = from + 1 < s->text.n ? s->text.s[from + 1] : '\0';

    if (next != '/' && next != '*') {
        stop(s, from, from + 1, JSON_SYNTAX,
             "a single '/' begins no comment");
        return advise(s, "write // before a comment, "
                         "or /* before and */ after it");
    }
    end = next == '/' ? str_find(s->text, '\n', from) : block_end(s, from);
    if (end > s->text.n) {
        stop(s, from, from + 2, JSON_SYNTAX, "this comment is never closed");
        return advise(s, "put */ where it ends");
    }
    s->at = end;
    return true;
}

static bool skip_blank(Scanner *s) {
    for (;;) {
        if (is_blank(peek(s)))
            s->at++;
        else if (peek(s) != '/')
            return true;
        else if (!skip_comment(s))
            return false;
    }
}

/* ---- Texts ---- */

static int hex_value(int ch) {
    if (is_digit(ch))
        return ch - '0';
    if (ch >= 'a' && ch <= 'f')
        return ch - 'a' + 10;
    if (ch >= 'A' && ch <= 'F')
        return ch - 'A' + 10;
    return -1;
}

/* The value of "\uXXXX" at `at`, or -1 if that is not what stands there. */
static int32_t unicode_escape(const Scanner *s, size_t at) {
    int32_t ch = 0;

    if (at + 6 > s->text.n || s->text.s[at] != '\\'
        || s->text.s[at + 1] != 'u')
        return -1;
    for (size_t i = at + 2; i < at + 6; i++) {
        int digit = hex_value((unsigned char)s->text.s[i]);
        if (digit < 0)
            return -1;
        ch = ch << 4 | digit;
    }
    return ch;
}

/* A character beyond U+FFFF is written as two escapes, a high and a low
 * surrogate; one without the other is no character. */
static bool scan_unicode(Scanner *s) {
    size_t  from = s->at;
    int32_t ch   = unicode_escape(s, from), low;

    if (ch < 0)
        return stop(s, from, from + 2, JSON_SYNTAX,
                    "\\u needs four hexadecimal digits");
    if (ch == 0)
        return stop(s, from, from + 6, JSON_SYNTAX,
                    "\\u0000 is no character of a text");
    s->at += 6;
    if (ch < 0xD800 || ch > 0xDFFF)
        return true;
    low = unicode_escape(s, s->at);
    if (ch > 0xDBFF || low < 0xDC00 || low > 0xDFFF)
        return stop(s, from, from + 6, JSON_SYNTAX,
                    "%.*s is half a character: its other half is missing",
                    STR_ARG(str_part(s->text, from, from + 6)));
    s->at += 6;
    return true;
}

static bool scan_escape(Scanner *s) {
    int ch = s->at + 1 < s->text.n ? (unsigned char)s->text.s[s->at + 1]
                                   : NOTHING;
    size_t end;

    if (ch == 'u')
        return scan_unicode(s);
    if (ch > 0 && strchr("\"\\/bfnrt", ch)) {
        s->at += 2;
        return true;
    }
    end = character_end(s, s->at + 1);
    stop(s, s->at, end, JSON_SYNTAX, "'%.*s' is no escape",
         STR_ARG(str_part(s->text, s->at, end)));
    return advise(s, "a backslash itself is written \\\\");
}

static bool bad_in_text(Scanner *s, size_t from, int ch) {
    if (ch == NOTHING || ch == '\n' || ch == '\r') {
        stop(s, from, s->at, JSON_SYNTAX,
             "this text is not closed before its line ends");
        return advise(s, "put \" at its end, and write an inch mark "
                         "within it as \\\"");
    }
    stop(s, s->at, s->at + 1, JSON_SYNTAX, "a %s stands in a text",
         ch == '\t' ? "tab" : "control character");
    return advise(s, ch == '\t' ? "write \\t or a space" : "take it out");
}

/* text = '"' (character | escape)* '"' */
static bool scan_text(Scanner *s, Loc *loc, Str *text, bool *plain) {
    size_t from = s->at++;

    *plain = true;
    while (peek(s) != '"') {
        if (peek(s) < 0x20)
            return bad_in_text(s, from, peek(s));
        if (peek(s) != '\\') {
            s->at++;
            continue;
        }
        *plain = false;
        if (!scan_escape(s))
            return false;
    }
    s->at++;
    *loc  = place(s, from, s->at);
    *text = *plain ? str_part(s->text, from + 1, s->at - 1)
          : text_value(s->c, str_part(s->text, from, s->at));
    return true;
}

/* ---- Numbers and words ---- */

static bool skip_digits(Scanner *s) {
    size_t from = s->at;

    while (is_digit(peek(s)))
        s->at++;
    return s->at > from;
}

/* number = "-"? ("0" | [1-9] digit*) ("." digit+)? ([eE] [+-]? digit+)?
 * Returns what is wrong with it, or NULL. */
static const char *number_grammar(Scanner *s) {
    if (peek(s) == '-')
        s->at++;
    if (peek(s) == '0') {
        s->at++;
        if (is_digit(peek(s)))
            return "a number cannot begin with 0";
    } else if (!skip_digits(s)) {
        return "a number begins with a digit";
    }
    if (peek(s) == '.') {
        s->at++;
        if (!skip_digits(s))
            return "a digit is missing after the point";
    }
    if (peek(s) == 'e' || peek(s) == 'E') {
        s->at++;
        if (peek(s) == '+' || peek(s) == '-')
            s->at++;
        if (!skip_digits(s))
            return "a digit is missing after the 'e'";
    }
    return NULL;
}

static bool scan_number(Scanner *s, Node *node) {
    size_t      from  = s->at;
    const char *wrong = number_grammar(s);
    size_t      end   = word_end(s, from);
    Str         word;

    if (peek(s) == '/')   // a comment, perhaps
        end = s->at;
    word = str_part(s->text, from, end);
    if (wrong || s->at != end) {
        stop(s, from, end, JSON_SYNTAX, "'%.*s' is no number%s%s",
             STR_ARG(word), wrong ? ": " : "", wrong ? wrong : "");
        return advise(s, "a measurement stands in quotes: \"3 3/4in\"");
    }
    if (word.n > LONGEST_NUMBER)
        return stop(s, from, end, JSON_SYNTAX,
                    "a number of %zu characters is too long", word.n);
    node->text   = word;
    node->number = number_value(s->c, word);
    if (!isfinite(node->number))
        return stop(s, from, end, NOT_FINITE, "%.*s is too large",
                    STR_ARG(word));
    return true;
}

static bool scan_word(Scanner *s, Node *node) {
    size_t from = s->at, end = word_end(s, from);
    Str    word = str_part(s->text, from, end);
    size_t n    = 0;

    while (n < word.n && is_letter((unsigned char)word.s[n]))
        n++;
    word = str_part(word, 0, n);
    if (str_is(word, "true") || str_is(word, "false")) {
        node->kind  = NODE_BOOL;
        node->truth = word.n == 4;
    } else if (!str_is(word, "null")) {
        word = str_part(s->text, from, end);
        stop(s, from, end, JSON_SYNTAX, "'%.*s' stands without quotes",
             STR_ARG(word));
        return advise(s, "put \" before and after it; only true, false "
                         "and null stand alone");
    }
    s->at += n;
    return true;
}

/* ---- Lists and objects ---- */

/* Something else than a comma or the closing bracket follows an item. */
static bool not_closed(Scanner *s, size_t open, char close) {
    int    ch  = peek(s);
    size_t end = word_end(s, s->at);

    if (ch == NOTHING) {
        stop(s, open, open + 1, JSON_SYNTAX, "this '%c' is never closed",
             s->text.s[open]);
        hint(s->c, "put '%c' where it ends", close);
    } else if (ch == ']' || ch == '}') {
        stop(s, s->at, s->at + 1, JSON_SYNTAX,
             "the '%c' of line %d is closed by '%c'", s->text.s[open],
             line_of(s, open), ch);
        hint(s->c, "put '%c' before it", close);
    } else {
        if (ch == '"' || end == s->at)
            end = s->at + 1;
        stop(s, s->at, end, JSON_SYNTAX, "a comma is missing before this");
        if (is_digit(ch))
            hint(s->c, "a measurement stands in quotes: \"3 3/4in\"");
        else
            hint(s->c, "put a comma between two values, or '%c' after the "
                       "last", close);
    }
    return false;
}

/* member = text ":" value */
static bool scan_member(Scanner *s, Node *node) {
    bool plain;

    if (peek(s) != '"') {
        size_t end = word_end(s, s->at);
        if (end == s->at)
            end++;
        stop(s, s->at, end, JSON_SYNTAX,
             peek(s) == ',' ? "there is a comma too many"
                            : "a key in double quotes is due here");
        return advise(s, "members are written \"key\": value");
    }
    if (!scan_text(s, &node->key_loc, &node->key, &plain) || !skip_blank(s))
        return false;
    if (peek(s) != ':')
        return stop(s, node->key_loc.begin, node->key_loc.end, JSON_SYNTAX,
                    "a colon is missing after this key");
    s->at++;
    return skip_blank(s) && scan_value(s, node);
}

/* items = open (item ("," item)*)? close; the scan stands at `open`. */
static bool scan_items(Scanner *s, Node *owner, char close) {
    size_t open = s->at++, comma = 0;
    Node  *last = NULL;

    for (;;) {
        Node *item;
        if (!skip_blank(s))
            return false;
        if (peek(s) == NOTHING || peek(s) == close)
            break;
        comma = 0;
        item  = NEW(s->c, Node);
        if (close == '}' ? !scan_member(s, item) : !scan_value(s, item))
            return false;
        node_append(owner, &last, item);
        if (!skip_blank(s))
            return false;
        if (peek(s) != ',')
            break;
        comma = s->at++;
    }
    if (peek(s) != close)
        return not_closed(s, open, close);
    if (comma) {
        stop(s, comma, comma + 1, JSON_SYNTAX, "nothing follows this comma");
        return advise(s, "take the comma out");
    }
    s->at++;
    return true;
}

static bool scan_nested(Scanner *s, Node *owner, char close) {
    bool ok;

    if (s->depth == DEEPEST)
        return stop(s, s->at, s->at + 1, JSON_DEPTH,
                    "more than %d brackets are open here", DEEPEST);
    s->depth++;
    ok = scan_items(s, owner, close);
    s->depth--;
    return ok;
}

static bool no_value(Scanner *s) {
    size_t end = character_end(s, s->at);

    if (peek(s) == NOTHING)
        return stop(s, s->at, s->at, JSON_SYNTAX,
                    "the text ends where a value is due");
    if (strchr(",:]}", peek(s)) && peek(s))
        return stop(s, s->at, end, JSON_SYNTAX,
                    "a value is missing before this '%c'", peek(s));
    if (peek(s) == '\'')
        return stop(s, s->at, word_end(s, s->at), JSON_SYNTAX,
                    "texts stand in double quotes");
    if (peek(s) < 0x20)
        return stop(s, s->at, end, JSON_SYNTAX,
                    "a control character stands here");
    return stop(s, s->at, end, JSON_SYNTAX, "'%.*s' cannot begin a value",
                STR_ARG(str_part(s->text, s->at, end)));
}

/* value = text | number | word | list | object */
static bool scan_value(Scanner *s, Node *node) {
    int    ch   = peek(s);
    size_t from = s->at;
    bool   ok;

    if (ch == '{')
        node->kind = NODE_OBJECT, ok = scan_nested(s, node, '}');
    else if (ch == '[')
        node->kind = NODE_LIST, ok = scan_nested(s, node, ']');
    else if (ch == '"')
        node->kind = NODE_TEXT,
        ok = scan_text(s, &node->loc, &node->text, &node->plain);
    else if (is_digit(ch) || ch == '-' || ch == '+' || ch == '.')
        node->kind = NODE_NUMBER, ok = scan_number(s, node);
    else if (is_letter(ch))
        ok = scan_word(s, node);
    else
        ok = no_value(s);
    node->loc = place(s, from, s->at);
    return ok;
}

/* ---- The whole text ---- */

static bool check_utf8(Scanner *s) {
    size_t bad;

    if (utf8_valid(s->text, &bad))
        return true;
    return stop(s, bad, bad + 1, JSON_UTF8,
                "the byte %02X here is not part of a UTF-8 character",
                (unsigned char)s->text.s[bad]);
}

static bool scan_document(Scanner *s, Node *root) {
    if (!check_utf8(s))
        return false;
    if (str_begins(s->text, "\xEF\xBB\xBF"))
        s->at = 3;
    if (!skip_blank(s))
        return false;
    if (peek(s) == NOTHING)
        return stop(s, 0, 0, NOT_A_DESIGN, "the file is empty");
    if (!scan_value(s, root) || !skip_blank(s))
        return false;
    if (peek(s) == NOTHING)
        return true;
    stop(s, s->at, character_end(s, s->at), JSON_SYNTAX,
         "the design has ended before this");
    return advise(s, "look for a bracket too many above");
}

Node *scan_source(Ctx *c, int file) {
    Scanner s    = { .c = c, .file = file, .text = c->sources.at[file].text };
    Node   *root = NEW(c, Node);

    return scan_document(&s, root) ? root : NULL;
}
