/* lex -- cuts the text of a formula into tokens.
 *
 * A measurement is one token, whatever it is made of, because a joiner
 * reads it as one: 3 3/4in, 3-3/4", 2' 6 1/2", 7 in 12, $7.40, 350 sqft/gal.
 * So 1/16in * 16 is an inch, and 12in/3/4in is 12in divided by 3/4in.
 *
 *     measure  = "$" value rate?
 *              | value (unit rate? (value finer-unit)?
 *                      | " in " value)?
 *     value    = decimal | whole " " fraction | whole "-" fraction
 *              | fraction | whole? ("½" | "¼" | …)
 *     fraction = whole "/" whole
 *     rate     = "/" unit
 *     name     = word ((" " | ".") word)*
 *
 * "3-3/4" and "3/4" are values only where a unit follows; without one they
 * are a difference and a quotient. Nothing is lost by that: a plain number
 * less a length has no meaning, and a plain quotient has the same value.
 *
 * Names may hold single spaces ("left wall.top"). That is not ambiguous,
 * since two values side by side mean nothing.
 */
#include "eval/eval_internal.h"

#include <math.h>

typedef struct {
    Ctx           *c;
    const Formula *f;
    Str            s;
    size_t         at;
} Lexer;

Loc formula_loc(const Formula *f, size_t from, size_t to) {
    return node_span(f->node, f->from + from, f->from + to);
}

/* ---- Characters ---- */

static bool is_digit_at(Str s, size_t at) {
    return at < s.n && s.s[at] >= '0' && s.s[at] <= '9';
}

/* Does a character beyond ASCII begin there? */
static bool is_far(Str s, size_t at) {
    return at < s.n && (unsigned char)s.s[at] >= 0x80;
}

static bool is_char_at(Str s, size_t at, char ch) {
    return at < s.n && s.s[at] == ch;
}

/* Letters beyond ASCII, without the signs among them. */
static bool is_far_letter(uint32_t ch) {
    return ch >= 0xC0 && ch != 0xD7 && ch != 0xF7 && ch != 0xFFFD
        && !(ch >= 0x2000 && ch <= 0x2BFF) && !(ch >= 0x3000 && ch <= 0x303F);
}

/* The end of the word character at `at`, or `at` if it is none. */
static size_t word_char(Str s, size_t at, bool digits_too) {
    size_t   next = at;
    uint32_t ch;

    if (at >= s.n)
        return at;
    ch = utf8_next(s, &next);
    if ((ch >= 'a' && ch <= 'z') || (ch >= 'A' && ch <= 'Z') || ch == '_'
        || (digits_too && ch >= '0' && ch <= '9') || is_far_letter(ch))
        return next;
    return at;
}

static size_t word_end(Str s, size_t at) {
    size_t next;

    while ((next = word_char(s, at, true)) > at)
        at = next;
    return at;
}

/* Names are greedy: a word after a single space or a dot belongs to it. */
static size_t name_end(Str s, size_t at) {
    at = word_end(s, at);
    while (at < s.n && (s.s[at] == ' ' || s.s[at] == '.')
           && word_char(s, at + 1, true) > at + 1)
        at = word_end(s, at + 1);
    return at;
}

bool lex_is_name(Str name) {
    return word_char(name, 0, false) > 0 && name_end(name, 0) == name.n;
}

/* No-break, thin and narrow no-break spaces, as in print. */
static size_t wide_space_end(Str s, size_t at) {
    size_t   next = at;
    uint32_t ch   = is_far(s, at) ? utf8_next(s, &next) : 0;

    return ch == 0xA0 || ch == 0x2009 || ch == 0x202F ? next : at;
}

static bool is_space(char ch) {
    return ch == ' ' || ch == '\t' || ch == '\n' || ch == '\r';
}

static size_t skip_spaces(Str s, size_t at) {
    size_t next;

    for (;; at = next) {
        while (at < s.n && is_space(s.s[at]))
            at++;
        next = wide_space_end(s, at);
        if (next == at)
            return at;
    }
}

/* ---- Values ---- */

/* Reports a mistake between two offsets, with its own hint unless that is
 * NULL; returns false. */
LIKE_PRINTF(6, 7)
static bool wrong(Lexer *l, size_t from, size_t to, DiagCode code,
                  const char *advice, const char *fmt, ...) {
    va_list args;
    Str     what;

    va_start(args, fmt);
    what = str_vfmt(l->c, fmt, args);
    va_end(args);
    if (fault(l->c, formula_loc(l->f, from, to), code, "%.*s", STR_ARG(what))
        && advice)
        hint(l->c, "%s", advice);
    return false;
}

static size_t digits_end(Str s, size_t at) {
    while (is_digit_at(s, at))
        at++;
    return at;
}

/* A raised (or lowered) digit as the booklet prints it; -1: none. */
static int small_digit(uint32_t ch, bool raised) {
    if (!raised)
        return ch >= 0x2080 && ch <= 0x2089 ? (int)(ch - 0x2080) : -1;
    if (ch == 0xB9 || ch == 0xB2 || ch == 0xB3)
        return ch == 0xB9 ? 1 : ch == 0xB2 ? 2 : 3;
    return ch == 0x2070 || (ch >= 0x2074 && ch <= 0x2079)
         ? (int)(ch - 0x2070) : -1;
}

static size_t small_number(Str s, size_t at, bool raised, int *value) {
    for (int digits = 0; at < s.n && digits < 4; digits++) {
        size_t next  = at;
        int    digit = small_digit(utf8_next(s, &next), raised);
        if (digit < 0)
            break;
        *value = *value * 10 + digit;
        at     = next;
    }
    return at;
}

/* "³⁄₁₆", as a booklet prints it; `at` if none stands there. */
static size_t small_fraction_end(Str s, size_t at, int *above, int *below) {
    int    over = 0, under = 0;
    size_t slash = small_number(s, at, true, &over);
    size_t end;

    if (slash == at || !str_begins(str_part(s, slash, s.n), "\xE2\x81\x84"))
        return at;
    end = small_number(s, slash + 3, false, &under);
    if (under == 0)
        return at;
    *above = over;
    *below = under;
    return end;
}

/* The fractions that are single characters, and those of raised and
 * lowered digits; none if *below is 0. */
static size_t vulgar_end(Str s, size_t at, int *above, int *below) {
    static const struct { uint32_t ch; int above, below; } rows[] = {
        { 0xBC, 1, 4 }, { 0xBD, 1, 2 }, { 0xBE, 3, 4 }, { 0x2153, 1, 3 },
        { 0x2154, 2, 3 }, { 0x215B, 1, 8 }, { 0x215C, 3, 8 },
        { 0x215D, 5, 8 }, { 0x215E, 7, 8 }
    };
    size_t   next = at;
    uint32_t ch;

    if (!is_far(s, at))
        return at;
    ch = utf8_next(s, &next);
    for (int i = 0; i < COUNT(rows); i++) {
        if (rows[i].ch != ch)
            continue;
        *above = rows[i].above;
        *below = rows[i].below;
        return next;
    }
    return small_fraction_end(s, at, above, below);
}

/* Offset behind "/" or the fraction slash U+2044, or `at` if there is
 * none. */
static size_t slash_end(Str s, size_t at) {
    if (is_char_at(s, at, '/'))
        return at + 1;
    return str_begins(str_part(s, at, s.n), "\xE2\x81\x84") ? at + 3 : at;
}

/* Where a fraction that begins at `at` ends; `at` if none does. */
static size_t fraction_end(Str s, size_t at) {
    size_t slash = digits_end(s, at);
    size_t below = slash_end(s, slash);
    size_t end   = digits_end(s, below);

    if (slash == at || below == slash || end == below
        || (is_char_at(s, end, '.') && is_digit_at(s, end + 1)))
        return at;
    return end;
}

/* The unit at `at` (spaces may come before a word); NULL if there is none,
 * and *end then is the end of the word that is no unit, or `at`. */
static const Unit *unit_at(Str s, size_t at, size_t *end) {
    size_t      from = skip_spaces(s, at), length = 0, to, more;
    const Unit *unit = unit_mark(str_part(s, at, s.n), &length);
    char        joined[8] = "";

    *end = at + length;
    if (unit)
        return unit;
    to   = word_end(s, from);
    unit = unit_find(str_part(s, from, to));
    more = word_end(s, skip_spaces(s, to));
    if (!unit && (str_is(str_part(s, from, to), "sq")
                  || str_is(str_part(s, from, to), "cu"))) {
        Str word = str_part(s, skip_spaces(s, to), more);
        snprintf(joined, sizeof joined, "%.2s%.*s", s.s + from,
                 (int)(word.n < 5 ? word.n : 5), word.s);
        unit = unit_find((Str){ joined, strlen(joined) });
        if (unit)
            to = more;
    }
    if (unit || to > from)
        *end = to;
    return unit;
}

static bool unit_follows(Str s, size_t at) {
    size_t end;

    return unit_at(s, at, &end) != NULL;
}

/* whole + the fraction in [at, end). */
static bool add_fraction(Lexer *l, Quantity *value, size_t at, size_t end) {
    size_t   slash = digits_end(l->s, at);
    Quantity above = quantity_from_text(l->c, str_part(l->s, at, slash));
    Quantity below = quantity_from_text(
        l->c, str_part(l->s, slash_end(l->s, slash), end));
    Loc      loc   = formula_loc(l->f, at, end);

    if (below.real == 0)
        return wrong(l, at, end, OUT_OF_RANGE, NULL,
                     "a fraction cannot have zero below its line");
    *value = quantity_add(l->c, loc, *value,
                          quantity_div(l->c, loc, above, below));
    return true;
}

/* What may follow a whole number within a value: its fraction. */
static bool read_fraction(Lexer *l, size_t from, Quantity *value) {
    Str    s     = l->s;
    size_t space = skip_spaces(s, l->at), end;
    int    above = 0, below = 0;
    bool   fits  = false;

    end = vulgar_end(s, space, &above, &below);
    if (below) {
        *value = quantity_add(l->c, formula_loc(l->f, from, end), *value,
                              quantity_exact(above, below, DIM_NUMBER));
        l->at  = end;
        return true;
    }
    end = fraction_end(s, from);
    if (end > from && unit_follows(s, end)) {   // 3/4in
        *value = quantity_exact(0, 1, DIM_NUMBER);
        space  = from;
        fits   = true;
    } else if (space > l->at) {                 // 3 3/4
        end  = fraction_end(s, space);
        fits = end > space;
    } else if (is_char_at(s, l->at, '-')) {     // 3-3/4in
        space = l->at + 1;
        end   = fraction_end(s, space);
        fits  = end > space && unit_follows(s, end);
    }
    if (!fits)
        return true;
    l->at = end;
    return add_fraction(l, value, space, end);
}

/* A plain number at l->at. False: it is wrong, and that is reported. */
static bool read_value(Lexer *l, Quantity *value) {
    Str    s     = l->s;
    size_t from  = l->at;
    size_t whole = digits_end(s, from), end = whole;

    if (is_char_at(s, whole, '.') && is_digit_at(s, whole + 1))
        end = digits_end(s, whole + 1);
    l->at  = end;
    *value = quantity_from_text(l->c, str_part(s, from, end));
    if (!isfinite(value->real))
        return wrong(l, from, end, NOT_FINITE, NULL,
                     "this number is too large");
    if (end > whole)
        return true;
    return read_fraction(l, from, value);
}

static bool value_begins(Str s, size_t at) {
    int above, below = 0;

    vulgar_end(s, at, &above, &below);
    return below || is_digit_at(s, at)
        || (is_char_at(s, at, '.') && is_digit_at(s, at + 1));
}

/* ---- Measurements ---- */

static bool unknown_unit(Lexer *l, size_t at, size_t end) {
    size_t from = skip_spaces(l->s, at);
    Str    word = str_part(l->s, from, end);
    Str    near = unit_nearest(l->c, word);

    if (!fault(l->c, formula_loc(l->f, from, end), UNKNOWN_UNIT,
               "there is no unit '%.*s'", STR_ARG(word)))
        return false;
    if (near.n)
        hint(l->c, "write '%.*s'", STR_ARG(near));
    else
        hint(l->c, "known units: in ft mm cm m deg, sqft sqm, gal qt l ml, "
                   "lb oz g kg, $; to multiply by a name, write *");
    return false;
}

/* The drafter's 2'-6" is 2' 6" to one reader and 2' less 6" to another. */
static bool is_dashed(const Lexer *l) {
    size_t end;

    if (!is_char_at(l->s, l->at, '-') || !is_digit_at(l->s, l->at + 1)
        || word_char(l->s, l->at - 1, false) > l->at - 1)
        return false;
    end = fraction_end(l->s, l->at + 1);
    if (end == l->at + 1)
        end = digits_end(l->s, end);
    return unit_follows(l->s, end) || is_char_at(l->s, end, ' ');
}

/* The inches after feet, the ounces after pounds. */
static bool read_finer(Lexer *l, const Unit *unit, size_t from,
                       Quantity *sum) {
    Str         s     = l->s;
    size_t      start = skip_spaces(s, l->at), end;
    const Unit *finer;
    Quantity    value;
    Loc         loc;

    if (strcmp(unit->name, "ft") == 0 && is_dashed(l))
        return wrong(l, from, l->at + 2, FORMULA_SYNTAX,
                     "write 2' 6\" for feet and inches, 2' - 6\" to "
                     "subtract",
                     "this can be read as a sum or as a difference");
    if (!value_begins(s, start))
        return true;
    l->at = start;
    if (!read_value(l, &value))
        return false;
    finer = unit_at(s, l->at, &end);
    loc   = formula_loc(l->f, from, end);
    if (!finer || strcmp(finer->name, unit->finer) != 0)
        return wrong(l, start, end, FORMULA_SYNTAX,
                     "feet and inches are written 2' 6 1/2\" or 2ft 6in",
                     "only %s can follow %s here", unit->finer, unit->name);
    l->at = end;
    value = quantity_mul(l->c, loc, value, unit_quantity(finer));
    *sum  = quantity_add(l->c, loc, *sum, value);
    return true;
}

/* "/gal" directly behind a unit or an amount of money. */
static void read_rate(Lexer *l, size_t from, Quantity *value) {
    size_t      word = l->at + 1, end;
    const Unit *unit;

    if (!is_char_at(l->s, l->at, '/')
        || word_char(l->s, word, false) == word)
        return;
    end  = word_end(l->s, word);
    unit = unit_find(str_part(l->s, word, end));
    if (!unit || name_end(l->s, word) != end || is_char_at(l->s, end, '('))
        return;
    l->at  = end;
    *value = quantity_div(l->c, formula_loc(l->f, from, end), *value,
                          unit_quantity(unit));
}

/* 7 in 12 is a slope: 7 up for 12 along. Returns true if it was one (or a
 * wrong one); l->at stands behind "in". */
static bool read_slope(Lexer *l, size_t from, Quantity rise, Quantity *value,
                       bool *ok) {
    size_t   start = skip_spaces(l->s, l->at), end;
    Quantity run, slope;

    if (start == l->at || !value_begins(l->s, start))
        return false;
    l->at = start;
    *ok   = read_value(l, &run);
    if (!*ok)
        return true;
    if (unit_at(l->s, l->at, &end)) {
        *ok = wrong(l, start, end, FORMULA_SYNTAX,
                    "put an operator between them; "
                    "a slope is written 7 in 12, without units",
                    "two measurements stand side by side");
        return true;
    }
    slope = quantity_div(l->c, formula_loc(l->f, from, l->at), rise, run);
    *ok   = !slope.poison;
    if (quantity_is_exact(slope) && slope.num == slope.den)
        *value = quantity_exact(45, 1, DIM_ANGLE);
    else
        *value = quantity_real(atan(slope.real) * (180 / M_PI), DIM_ANGLE);
    return true;
}

/* ft² and ft³ */
static Quantity power_of(Lexer *l, const Unit *unit, size_t from) {
    Quantity one = unit_quantity(unit), all = one;
    Str      s   = str_part(l->s, l->at, l->s.n);
    Loc      loc = formula_loc(l->f, from, l->at);
    int      n   = str_begins(s, "\xC2\xB2") ? 2
                 : str_begins(s, "\xC2\xB3") ? 3 : 1;

    if (n == 1 || !dim_eq(unit->dim, DIM_LENGTH))
        return one;
    for (int i = 1; i < n; i++)
        all = quantity_mul(l->c, loc, all, one);
    l->at += 2;
    return all;
}

static bool read_measure(Lexer *l, Quantity *value) {
    size_t      from = l->at, before, end;
    const Unit *unit;
    bool        ok = true;

    if (!read_value(l, value))
        return false;
    before = l->at;
    unit   = unit_at(l->s, before, &end);
    if (!unit)
        return end == before || unknown_unit(l, before, end);
    l->at = end;
    if (end > before + 2 && strcmp(unit->name, "in") == 0
        && read_slope(l, from, *value, value, &ok))
        return ok;
    *value = quantity_mul(l->c, formula_loc(l->f, from, end), *value,
                          power_of(l, unit, from));
    read_rate(l, from, value);
    if (unit->finer && l->at == end)
        ok = read_finer(l, unit, from, value);
    return ok && !value->poison;
}

static bool read_money(Lexer *l, Quantity *value) {
    size_t from = l->at++;

    if (!value_begins(l->s, l->at))
        return wrong(l, from, l->at, FORMULA_SYNTAX, NULL,
                     "an amount is missing after the $");
    if (!read_value(l, value))
        return false;
    value->dim = DIM_MONEY;
    read_rate(l, from, value);
    return !value->poison;
}

/* ---- Operators ---- */

static const struct { const char *sign; TokKind kind; } signs[] = {
    { "<=", TOK_LESS_EQUAL }, { ">=", TOK_MORE_EQUAL },
    { "<>", TOK_UNEQUAL }, { "<", TOK_LESS }, { ">", TOK_MORE },
    { "=", TOK_EQUAL }, { "+", TOK_PLUS }, { "-", TOK_MINUS },
    { "*", TOK_TIMES }, { "/", TOK_OVER }, { "(", TOK_OPEN },
    { ")", TOK_CLOSE }, { ",", TOK_COMMA },
    { "\xE2\x88\x92", TOK_MINUS },         // U+2212, minus
    { "\xC3\x97", TOK_TIMES },             // U+00D7, multiplication sign
    { "\xC3\xB7", TOK_OVER },              // U+00F7, division sign
    { "\xE2\x89\xA4", TOK_LESS_EQUAL },    // U+2264
    { "\xE2\x89\xA5", TOK_MORE_EQUAL },    // U+2265
    { "\xE2\x89\xA0", TOK_UNEQUAL },       // U+2260
};

/* Signs of other languages that people try, and what to write. */
static const struct { const char *sign, *advice; } strangers[] = {
    { "==", "write = to compare" },
    { "!=", "write <> to compare" },
    { "^", "write a * a for the square of a" },
    { "**", "write a * a for the square of a" },
    { "%", "write 0.05 for 5 %" },
    { "&", "write if(a, if(b, ...), ...)" },
    { ";", "put commas between the values of a function" },
    { ".", "write decimals with a digit before the point: 0.5in" },
};

static void meaningless(Lexer *l, size_t end, const char *advice) {
    wrong(l, l->at, end, FORMULA_SYNTAX, advice,
          "'%.*s' has no meaning in a formula",
          STR_ARG(str_part(l->s, l->at, end)));
}

static Token sign_token(Lexer *l) {
    Str    rest = str_part(l->s, l->at, l->s.n);
    Token  t    = { .kind = TOK_BAD, .from = l->at, .to = l->at };

    for (int i = 0; i < COUNT(strangers); i++) {
        if (str_begins(rest, strangers[i].sign)) {
            meaningless(l, l->at + strlen(strangers[i].sign),
                        strangers[i].advice);
            return t;
        }
    }
    for (int i = 0; i < COUNT(signs); i++) {
        if (str_begins(rest, signs[i].sign)) {
            t.kind = signs[i].kind;
            t.to   = l->at + strlen(signs[i].sign);
            return t;
        }
    }
    utf8_next(l->s, &t.to);
    meaningless(l, t.to, NULL);
    return t;
}

Token lex_token(Ctx *c, const Formula *f, size_t at) {
    Lexer l  = { .c = c, .f = f, .s = f->text };
    Token t  = { .kind = TOK_VALUE };
    bool  ok = true;

    l.at   = skip_spaces(l.s, at);
    t.from = l.at;
    if (l.at == l.s.n) {
        t.kind = TOK_END;
    } else if (l.s.s[l.at] == '$') {
        ok = read_money(&l, &t.value);
    } else if (value_begins(l.s, l.at)) {
        ok = read_measure(&l, &t.value);
    } else if (word_char(l.s, l.at, false) > l.at) {
        t.kind = TOK_NAME;
        l.at   = name_end(l.s, l.at);
        t.name = str_part(l.s, t.from, l.at);
    } else {
        return sign_token(&l);
    }
    t.to = l.at;
    if (!ok)
        t.kind = TOK_BAD;
    return t;
}
