/* span -- what a paragraph is made of, before it is set.
 *
 * Two doors lead onto a page. Program words come in by say(), which stops
 * the program at a digit: a number that nobody computed can not slip in.
 * The author's words come in by say_author(), where each run with digits
 * becomes a figure of its own, so that the ledger knows it.
 */
#include "press/press_internal.h"

#include <assert.h>

/* ---- Spans ---- */

static bool is_digit(uint32_t ch) {
    return (ch >= '0' && ch <= '9') || ch == 0xB9 || ch == 0xB2 || ch == 0xB3
        || (ch >= 0xBC && ch <= 0xBE) || ch == 0x2070
        || (ch >= 0x2074 && ch <= 0x2079) || (ch >= 0x2080 && ch <= 0x2089)
        || (ch >= 0x2150 && ch <= 0x215E);
}

/* Offset of the first digit at or after `at`, or s.n. */
static size_t find_digit(Str s, size_t at) {
    while (at < s.n) {
        size_t here = at;
        if (is_digit(utf8_next(s, &at)))
            return here;
    }
    return s.n;
}

static Span *span_new(Press *p, Para *para, SpanKind kind) {
    Span *span = PUSH(p->c, &para->spans);

    span->kind    = kind;
    span->to_page = -1;
    return span;
}

static void add_words(Press *p, Para *para, Str words, bool bold) {
    Span *span;

    if (!words.n)
        return;
    span = span_new(p, para, SPAN_WORDS);
    span->text = words;
    span->bold = bold;
}

static void add_program_words(Press *p, Para *para, Str words, bool bold) {
    bool has_no_digit = find_digit(words, 0) == words.n;

    assert(has_no_digit && "a number must be a figure");
    add_words(p, para, words, bold);
}

void say(Press *p, Para *para, const char *words) {
    add_program_words(p, para, str_from(p->c, words), false);
}

void say_str(Press *p, Para *para, Str words) {
    add_program_words(p, para, words, false);
}

void say_bold(Press *p, Para *para, const char *words) {
    add_program_words(p, para, str_from(p->c, words), true);
}

static void add_figure(Press *p, Para *para, Figure f, bool bold,
                       bool bare) {
    Span *span = span_new(p, para, SPAN_FIGURE);

    span->figure = f;
    span->bold   = bold;
    span->bare   = bare;
}

void say_figure(Press *p, Para *para, Figure f) {
    add_figure(p, para, f, false, false);
}

void say_figure_bold(Press *p, Para *para, Figure f) {
    add_figure(p, para, f, true, false);
}

void say_bare(Press *p, Para *para, Figure f) {
    add_figure(p, para, f, false, true);
}

void say_count(Press *p, Para *para, int64_t n, const char *source) {
    say_figure(p, para, figure_count(p->c, n, str_from(p->c, source)));
}

void say_name(Press *p, Para *para, Str text, const char *source) {
    say_author(p, para, text, str_from(p->c, source));
}

/* ---- The author's words ---- */

static bool is_blank(char ch) {
    return ch == ' ' || ch == '\t' || ch == '\n' || ch == '\r';
}

/* End of the last digit of the blank-free run at `at`; *fraction: a slash
 * is among it. */
static size_t digits_end(Str s, size_t at, bool *fraction) {
    size_t end = at;

    *fraction = false;
    while (at < s.n && !is_blank(s.s[at])) {
        uint32_t ch = utf8_next(s, &at);
        if (is_digit(ch)) {
            *fraction = *fraction || ch == 0xBC || ch == 0xBD || ch == 0xBE
                     || ch >= 0x2150;
            end = at;
        } else if ((ch == '/' || ch == 0x2044) && find_digit(s, at) == at) {
            *fraction = true;
        }
    }
    return end;
}

/* "3 3/4" is one number: the fraction after a blank belongs to it. */
static size_t number_end(Str s, size_t at) {
    bool   fraction, second;
    size_t end = digits_end(s, at, &fraction), more;

    if (fraction || end + 1 >= s.n || s.s[end] != ' '
        || find_digit(s, end + 1) != end + 1)
        return end;
    more = digits_end(s, end + 1, &second);
    return second ? more : end;
}

static void add_author(Press *p, Para *para, Str words, Str source,
                       bool bold) {
    size_t at = 0;

    while (at < words.n) {
        size_t digit = find_digit(words, at), end;
        add_words(p, para, str_part(words, at, digit), bold);
        if (digit == words.n)
            break;
        end = number_end(words, digit);
        add_figure(p, para,
                   figure_name(p->c, str_part(words, digit, end), source),
                   bold, false);
        at = end;
    }
}

void say_author(Press *p, Para *para, Str words, Str source) {
    add_author(p, para, words, source, false);
}

void say_author_bold(Press *p, Para *para, Str words, Str source) {
    add_author(p, para, words, source, true);
}

void say_letter(Press *p, Para *para, int part) {
    Span *span = span_new(p, para, SPAN_LETTER);

    span->text = p->m->parts.at[part].letter;
    if (p->known && part < p->known->parts)
        span->to_page = p->known->part[part].row;
}

void say_page_number(Press *p, Para *para, int page) {
    say_figure(p, para, figure_page(p->c, page));
    para->spans.at[para->spans.n - 1].to_page = page;
}

void say_page(Press *p, Para *para, int page) {
    say(p, para, "page ");
    para->spans.at[para->spans.n - 1].to_page = page;
    say_page_number(p, para, page);
}

void say_check(Press *p, Para *para) {
    span_new(p, para, SPAN_CHECK);
}

void say_break(Press *p, Para *para) {
    span_new(p, para, SPAN_BREAK);
}

void say_say(Press *p, Para *para, const Say *words) {
    for (int i = 0; i < words->n; i++) {
        const SayItem *item = &words->at[i];
        switch (item->kind) {   // ORDER SAY
        case SAY_WORDS:
            say_author(p, para, item->words, STR("author's words"));
            break;
        case SAY_SIZE:
        case SAY_COUNT:
            say_figure(p, para,
                       figure_of(p->c, p->e, item->value, item->source));
            if (item->fit)
                say(p, para, " (fit)");
            break;
        case SAY_PART:
            say_letter(p, para, item->part);
            break;
        }
    }
}

Para para_of(Press *p, const char *words) {
    Para para = { 0 };

    say(p, &para, words);
    return para;
}

Para para_author(Press *p, Str words) {
    Para para = { 0 };

    say_author(p, &para, words, STR("author's words"));
    return para;
}

Para para_figure(Press *p, Figure f) {
    Para para = { 0 };

    say_figure(p, &para, f);
    return para;
}

Para para_bare(Press *p, Figure f) {
    Para para = { 0 };

    say_bare(p, &para, f);
    return para;
}
