/* numeral -- the numerals in a line of text.
 *
 * A numeral is a group of digits and what belongs to it:
 *
 *     12   1,250   0.75   .5            a number; a comma parts thousands
 *     3/4  ³⁄₄  3⁄4  ¾                  a fraction
 *     3 3/4  3-3/4  3³⁄₄  3 ³⁄₄  3¾     a whole and a proper fraction; the
 *                                       gap at most 2 mm or half an em
 *     $7.40  -3  −3                     $ and a minus directly before; the
 *                                       minus after no letter or digit
 *     3 3/4−  2+                        a light or heavy mark directly
 *                                       after, no digit behind it
 *
 * Digit groups inside words and codes count as well, each one a numeral:
 * "PT-01" holds 01, "1x6" holds 1 and 6, "2026-11-25" three of them. So
 * every digit on a page belongs to exactly one numeral, with one
 * exception: raised or lowered digits directly after a letter are part of
 * a unit or formula (ft², H₂O) and no figure.
 *
 * What a figure of the design shows may be such a code. Therefore figures
 * are matched as text (match.c) and cover all numerals inside it.
 */
#include "proof/proof_internal.h"

#include <math.h>

#define JOINT_MM 2.0   // widest gap between a whole and its fraction ...
#define JOINT_EM 0.5   // ... or this, in large type

static bool is_digit(uint32_t ch) {
    return ch >= '0' && ch <= '9';
}

static int raised_digit(uint32_t ch) {
    if (ch == 0xB9)
        return 1;
    if (ch == 0xB2 || ch == 0xB3)
        return (int)ch - 0xB0;
    if (ch == 0x2070 || (ch >= 0x2074 && ch <= 0x2079))
        return (int)ch - 0x2070;
    return -1;
}

static int lowered_digit(uint32_t ch) {
    return ch >= 0x2080 && ch <= 0x2089 ? (int)ch - 0x2080 : -1;
}

static const struct { uint32_t ch; int num, den; } vulgar[] = {
    { 0xBC, 1, 4 },   { 0xBD, 1, 2 },   { 0xBE, 3, 4 },   { 0x2150, 1, 7 },
    { 0x2151, 1, 9 }, { 0x2152, 1, 10 }, { 0x2153, 1, 3 },
    { 0x2154, 2, 3 }, { 0x2155, 1, 5 }, { 0x2156, 2, 5 },
    { 0x2157, 3, 5 }, { 0x2158, 4, 5 }, { 0x2159, 1, 6 },
    { 0x215A, 5, 6 }, { 0x215B, 1, 8 }, { 0x215C, 3, 8 },
    { 0x215D, 5, 8 }, { 0x215E, 7, 8 },
};

static int vulgar_index(uint32_t ch) {
    for (int i = 0; i < COUNT(vulgar); i++) {
        if (vulgar[i].ch == ch)
            return i;
    }
    return -1;
}

static bool is_bar(uint32_t ch) {
    return ch == '/' || ch == 0x2044 || ch == 0x2215;
}

static bool is_minus(uint32_t ch) {
    return ch == '-' || ch == 0x2212;
}

/* Digits of any kind. */
static bool is_numeric(uint32_t ch) {
    return is_digit(ch) || raised_digit(ch) >= 0 || lowered_digit(ch) >= 0
        || vulgar_index(ch) >= 0;
}

static bool is_letter(uint32_t ch) {
    return (ch >= 'a' && ch <= 'z') || (ch >= 'A' && ch <= 'Z')
        || (ch >= 0xC0 && ch < 0x2000 && ch != 0xD7 && ch != 0xF7);
}

/* A line's chars with a 0 beyond either end. */
typedef struct { const Char *at; int n; } Chars;

static uint32_t ch_at(Chars s, int i) {
    return i >= 0 && i < s.n ? s.at[i].ch : 0;
}

/* ---- Parts of a numeral; each gives the index after it ---- */

static int after_digits(Chars s, int i) {
    while (is_digit(ch_at(s, i)))
        i++;
    return i;
}

/* "12", "1,250". */
static int after_whole(Chars s, int i) {
    int from = i;

    i = after_digits(s, i);
    if (i - from > 3 || i == from)
        return i;
    while (ch_at(s, i) == ',' && after_digits(s, i + 1) == i + 4)
        i += 4;
    return i;
}

static int after_raised(Chars s, int i) {
    while (raised_digit(ch_at(s, i)) >= 0)
        i++;
    return i;
}

static int after_lowered(Chars s, int i) {
    while (lowered_digit(ch_at(s, i)) >= 0)
        i++;
    return i;
}

typedef struct { int to; int64_t num, den; } Fraction;   // to 0: none

static int64_t digits_value(Chars s, int from, int to) {
    int64_t value = 0;

    for (int i = from; i < to; i++) {
        uint32_t ch    = ch_at(s, i);
        int      digit = is_digit(ch) ? (int)ch - '0'
                       : raised_digit(ch) >= 0 ? raised_digit(ch)
                       : lowered_digit(ch);
        if (value < INT64_MAX / 100 && digit >= 0)
            value = value * 10 + digit;
    }
    return value;
}

static Fraction fraction_at(Chars s, int i) {
    Fraction f = { 0 };
    int      v = vulgar_index(ch_at(s, i)), bar, end;

    if (v >= 0)
        return (Fraction){ i + 1, vulgar[v].num, vulgar[v].den };
    bar = after_raised(s, i);
    if (bar == i)
        bar = after_digits(s, i);
    if (bar == i || !is_bar(ch_at(s, bar)))
        return f;
    end = after_lowered(s, bar + 1);
    if (end == bar + 1)
        end = after_digits(s, bar + 1);
    if (end == bar + 1)
        return f;
    return (Fraction){ end, digits_value(s, i, bar),
                       digits_value(s, bar + 1, end) };
}

static bool is_proper(Fraction f) {
    return f.to > 0 && f.num > 0 && f.num < f.den;
}

/* Is character `next` near enough to the digit before it to belong to it? */
static bool is_joint(Chars s, int last, int next) {
    const Char *a = &s.at[last], *b = &s.at[next];
    double gap = hypot(b->at.x - a->at.x, b->at.y - a->at.y) - a->width;

    return gap <= fmax(JOINT_MM, JOINT_EM * a->em);
}

/* The fraction that belongs to the whole number ending at i; *from gets
 * where it begins. */
static Fraction joined_fraction(Chars s, int i, int *from) {
    Fraction none = { 0 }, f;
    uint32_t ch = ch_at(s, i);

    *from = i;
    if (ch == '-' || ch == ' ')
        ++*from;
    else if (is_digit(ch) || is_bar(ch))
        return none;
    f = fraction_at(s, *from);
    if (!is_proper(f) || (ch == ' ' && !is_joint(s, i - 1, *from)))
        return none;
    return f;
}

/* ---- A numeral ---- */

/* Does a numeral begin here, but for signs? */
static bool begins(Chars s, int i) {
    uint32_t ch = ch_at(s, i), before = ch_at(s, i - 1);

    if (ch == '.')
        return is_digit(ch_at(s, i + 1)) && !is_letter(before)
            && !is_numeric(before);
    if (raised_digit(ch) >= 0 || lowered_digit(ch) >= 0)
        return !is_letter(before) || fraction_at(s, i).to > 0;
    return is_digit(ch) || vulgar_index(ch) >= 0;
}

static void read_body(Chars s, Span *span) {
    int      i = span->digits, from;
    Fraction f = fraction_at(s, i);

    if (f.to == 0 && !is_digit(ch_at(s, i)) && ch_at(s, i) != '.') {
        int raised = after_raised(s, i);
        span->to   = raised > i ? raised : after_lowered(s, i);
    } else if (f.to > 0) {
        span->to = f.to;
    } else {
        i = after_whole(s, i);
        f = joined_fraction(s, i, &from);
        if (f.to > 0) {
            span->joint    = i;
            span->fraction = from;
            span->to       = f.to;
            return;
        }
        if (ch_at(s, i) == '.' && is_digit(ch_at(s, i + 1)))
            i = after_digits(s, i + 1);
        span->to = i;
    }
    span->joint = span->fraction = -1;
}

/* $ and minus before the digits, but not what `least` says belongs to the
 * numeral before. */
static int before_digits(Chars s, int i, int least) {
    bool minus = false, dollar = false;

    while (i > least) {
        uint32_t ch = ch_at(s, i - 1), before = ch_at(s, i - 2);
        if (ch == '$' && !dollar)
            dollar = true;
        else if (is_minus(ch) && !minus && !is_letter(before)
                 && !is_numeric(before) && before != ')')
            minus = true;
        else
            break;
        i--;
    }
    return i;
}

/* A light or heavy mark. */
static bool is_mark(Chars s, int i) {
    uint32_t ch = ch_at(s, i), next = ch_at(s, i + 1);

    return (ch == '+' || ch == 0x2212) && !is_numeric(next) && next != '.'
        && next != '$';
}

bool numeral_next(const Char *chars, int n, int *at, Span *span) {
    Chars s = { chars, n };

    for (int i = *at; i < n; i++) {
        if (!begins(s, i))
            continue;
        span->digits = i;
        span->from   = before_digits(s, i, *at);
        read_body(s, span);
        if (is_mark(s, span->to))
            span->to++;
        if (span->joint < 0)
            span->joint = span->fraction = span->to;
        *at = span->to;
        return true;
    }
    return false;
}

/* ---- Values ---- */

/* A number without fraction; commas are passed over. */
static double decimal_value(Chars s, int from, int to) {
    double value = 0, scale = 1;
    bool   point = false;

    for (int i = from; i < to; i++) {
        uint32_t ch = ch_at(s, i);
        if (ch == '.')
            point = true;
        if (!is_digit(ch))
            continue;
        value = value * 10 + (int)(ch - '0');
        scale = point ? scale * 10 : scale;
    }
    return value / scale;
}

static bool span_value(Chars s, const Span *span, double *value) {
    Fraction f     = { 0 };
    double   whole = 0;

    if (span->fraction < span->to) {
        whole = decimal_value(s, span->digits, span->joint);
        f     = fraction_at(s, span->fraction);
    } else if (fraction_at(s, span->digits).to > 0) {
        f = fraction_at(s, span->digits);
    } else if (is_digit(ch_at(s, span->digits))
               || ch_at(s, span->digits) == '.') {
        whole = decimal_value(s, span->digits, span->to);
    } else {
        return false;
    }
    if (f.to > 0 && f.den == 0)
        return false;
    *value = whole + (f.to > 0 ? (double)f.num / (double)f.den : 0);
    for (int i = span->from; i < span->digits; i++) {
        if (is_minus(ch_at(s, i)))
            *value = -*value;
    }
    return true;
}

/* Text is short here: no arena is at hand, so chars live on the stack. */
bool numeral_value(Str text, double *value) {
    Char   chars[64];
    Chars  s  = { chars, 0 };
    size_t at = 0;
    int    i  = 0, again;
    Span   span, other;

    memset(chars, 0, sizeof chars);
    while (at < text.n) {
        uint32_t ch = utf8_next(text, &at);
        bool blank  = ch == 0xA0 || (ch >= 0x2000 && ch <= 0x200A)
                   || ch == 0x202F;
        if (blank || ch == ' ')
            ch = ' ';
        if (ch == ' ' && s.n > 0 && chars[s.n - 1].ch == ' ')
            continue;
        if (s.n == COUNT(chars))
            return false;
        chars[s.n++].ch = ch;
    }
    if (!numeral_next(chars, s.n, &i, &span))
        return false;
    again = i;
    return !numeral_next(chars, s.n, &again, &other)
        && span_value(s, &span, value);
}

/* ---- One spelling for all ---- */

static void add_plain(Buf *out, Chars s, int from, int to) {
    for (int i = from; i < to; i++) {
        uint32_t ch = ch_at(s, i);
        int      v  = vulgar_index(ch);
        if (v >= 0)
            buf_add(out, "%d/%d", vulgar[v].num, vulgar[v].den);
        else if (raised_digit(ch) >= 0)
            buf_add(out, "%d", raised_digit(ch));
        else if (lowered_digit(ch) >= 0)
            buf_add(out, "%d", lowered_digit(ch));
        else if (is_bar(ch))
            buf_char(out, '/');
        else if (ch != ' ')
            buf_char(out, ch);
    }
}

static void add_words(Buf *out, Chars s, int from, int to) {
    for (int i = from; i < to; i++) {
        uint32_t ch = ch_at(s, i);
        if (ch == 0x2010 || ch == 0x2011)
            ch = '-';
        if (ch != ' ')
            buf_char(out, ch);
    }
}

static void add_numeral(Buf *out, Chars s, const Span *span) {
    for (int i = span->from; i < span->digits; i++)
        buf_char(out, ch_at(s, i) == '-' ? 0x2212 : ch_at(s, i));
    add_plain(out, s, span->digits, span->joint);
    if (span->fraction < span->to) {
        buf_char(out, ' ');
        add_plain(out, s, span->fraction, span->to);
    }
}

static bool only_spaces(Chars s, int from, int to) {
    for (int i = from; i < to; i++) {
        if (ch_at(s, i) != ' ')
            return false;
    }
    return from < to;
}

Str numeral_normal(Ctx *c, const Char *chars, int n) {
    Buf   out  = BUF(c);
    Chars s    = { chars, n };
    int   at   = 0, done = 0;
    Span  span;

    while (numeral_next(chars, n, &at, &span)) {
        add_words(&out, s, done, span.from);
        if (done > 0 && only_spaces(s, done, span.from))
            buf_char(&out, ' ');
        add_numeral(&out, s, &span);
        done = span.to;
    }
    add_words(&out, s, done, n);
    return buf_done(&out);
}

Numerals read_numerals(Ctx *c, const ReadBook *b, int page) {
    Numerals        found = { 0 };
    const ReadPage *p     = &b->pages.at[page];

    for (int i = 0; i < p->lines.n; i++) {
        const Char *chars = p->lines.at[i].chars.at;
        int  at = 0;
        Span span;
        while (numeral_next(chars, p->lines.at[i].chars.n, &at, &span)) {
            Numeral    *numeral = PUSH(c, &found);
            const Char *first = &chars[span.from], *last;
            last           = &chars[span.to - 1];
            numeral->page  = page;
            numeral->at    = first->at;
            numeral->width = hypot(last->at.x - first->at.x,
                                   last->at.y - first->at.y) + last->width;
            numeral->text  = chars_text(c, first, span.to - span.from);
        }
    }
    return found;
}
