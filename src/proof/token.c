/* token -- the words of a content stream (ISO 32000-1, 7.2 and 7.3).
 *
 * qpdf has a tokenizer, but not in its C interface; this one asks nothing
 * of its input: whatever the bytes are, every call moves on.
 */
#include "proof/proof_internal.h"

static bool is_white(char ch) {
    return ch == ' ' || ch == '\n' || ch == '\r' || ch == '\t'
        || ch == '\f' || ch == '\0';
}

static bool is_delimiter(char ch) {
    return ch != '\0' && strchr("()<>[]{}/%", ch) != NULL;
}

static bool is_regular(char ch) {
    return !is_white(ch) && !is_delimiter(ch);
}

static int hex_digit(char ch) {
    if (ch >= '0' && ch <= '9')
        return ch - '0';
    if (ch >= 'a' && ch <= 'f')
        return ch - 'a' + 10;
    if (ch >= 'A' && ch <= 'F')
        return ch - 'A' + 10;
    return -1;
}

static void skip_white(Tokens *t) {
    while (t->at < t->s.n) {
        char ch = t->s.s[t->at];
        if (ch == '%') {
            while (t->at < t->s.n && t->s.s[t->at] != '\n'
                   && t->s.s[t->at] != '\r')
                t->at++;
        } else if (is_white(ch)) {
            t->at++;
        } else {
            return;
        }
    }
}

/* ---- Strings ---- */

/* Up to three octal digits after a backslash. */
static char octal(Tokens *t) {
    int value = 0;

    for (int i = 0; i < 3 && t->at < t->s.n; i++) {
        char ch = t->s.s[t->at];
        if (ch < '0' || ch > '7')
            break;
        value = value * 8 + (ch - '0');
        t->at++;
    }
    return (char)(unsigned char)(value & 0xFF);
}

/* The byte that a backslash and what follows it stand for. False: none,
 * the line goes on. */
static bool escaped(Tokens *t, char *out) {
    static const char from[] = "nrtbf", to[] = "\n\r\t\b\f";
    const char *known;
    char        ch = t->s.s[t->at];

    if (ch >= '0' && ch <= '7') {
        *out = octal(t);
        return true;
    }
    t->at++;
    if (ch == '\r' && t->at < t->s.n && t->s.s[t->at] == '\n')
        t->at++;
    if (ch == '\r' || ch == '\n')
        return false;
    known = ch ? strchr(from, ch) : NULL;
    *out  = known ? to[known - from] : ch;
    return true;
}

/* The end of the string that begins at t->at, past its parenthesis. */
static size_t string_end(const Tokens *t) {
    int    depth = 1;
    size_t i     = t->at;

    while (i < t->s.n && depth > 0) {
        char ch = t->s.s[i];
        if (ch == '\\' && i + 1 < t->s.n)
            i++;
        else if (ch == '(')
            depth++;
        else if (ch == ')')
            depth--;
        i++;
    }
    return i;
}

static Str literal_string(Tokens *t) {
    size_t end   = string_end(t), n = 0;
    char  *bytes = arena_take(&t->c->arena, end - t->at + 1);
    size_t stop  = end > t->at && t->s.s[end - 1] == ')' ? end - 1 : end;

    while (t->at < stop) {
        char ch = t->s.s[t->at++];
        if (ch == '\\' && t->at < stop) {
            if (escaped(t, &ch))
                bytes[n++] = ch;
        } else {
            bytes[n++] = ch;
        }
    }
    t->at = end;
    return (Str){ bytes, n };
}

static Str hex_string(Tokens *t) {
    size_t end   = str_find(t->s, '>', t->at), n = 0;
    char  *bytes = arena_take(&t->c->arena, (end - t->at) / 2 + 1);
    int    high  = -1;

    for (; t->at < end; t->at++) {
        int digit = hex_digit(t->s.s[t->at]);
        if (digit < 0)
            continue;
        if (high < 0) {
            high = digit;
        } else {
            bytes[n++] = (char)(unsigned char)(high * 16 + digit);
            high = -1;
        }
    }
    if (high >= 0)
        bytes[n++] = (char)(unsigned char)(high * 16);
    t->at = end < t->s.n ? end + 1 : end;
    return (Str){ bytes, n };
}

/* ---- Names, numbers, words ---- */

static Str regular_run(Tokens *t) {
    size_t from = t->at;

    while (t->at < t->s.n && is_regular(t->s.s[t->at]))
        t->at++;
    return str_part(t->s, from, t->at);
}

/* "#2F" in a name stands for the byte. */
static Str name_text(Tokens *t) {
    Str   raw = regular_run(t);
    char *bytes;
    size_t n = 0;

    if (str_find(raw, '#', 0) == raw.n)
        return raw;
    bytes = arena_take(&t->c->arena, raw.n);
    for (size_t i = 0; i < raw.n; i++) {
        bool code = raw.s[i] == '#' && i + 2 < raw.n
                 && hex_digit(raw.s[i + 1]) >= 0
                 && hex_digit(raw.s[i + 2]) >= 0;
        bytes[n++] = code ? (char)(unsigned char)(
                                hex_digit(raw.s[i + 1]) * 16
                                + hex_digit(raw.s[i + 2]))
                          : raw.s[i];
        i += code ? 2 : 0;
    }
    return (Str){ bytes, n };
}

/* Without strtod: no locale, and nothing that a PDF does not allow. */
static bool number_from(Str s, double *number) {
    double value = 0, scale = 1;
    bool   point = false, minus = false;
    int    digits = 0;

    for (size_t i = 0; i < s.n; i++) {
        char ch = s.s[i];
        if (ch >= '0' && ch <= '9') {
            digits++;
            value = value * 10 + (ch - '0');
            scale = point ? scale * 10 : scale;
        } else if (ch == '.' && !point) {
            point = true;
        } else if ((ch == '-' || ch == '+') && i == 0) {
            minus = ch == '-';
        } else {
            return false;
        }
    }
    if (digits == 0 || digits > 200)
        return false;
    *number = (minus ? -value : value) / scale;
    return true;
}

static Token word_token(Tokens *t) {
    Token token = { .kind = TOKEN_WORD };

    token.text = regular_run(t);
    if (token.text.n == 0) {
        t->at++;
        token.kind = TOKEN_OTHER;
    } else if (number_from(token.text, &token.number)) {
        token.kind = TOKEN_NUMBER;
    }
    return token;
}

static bool next_is(const Tokens *t, char ch) {
    return t->at + 1 < t->s.n && t->s.s[t->at + 1] == ch;
}

Token token_next(Tokens *t) {
    Token token = { TOKEN_END };
    char  ch;

    skip_white(t);
    if (t->at >= t->s.n)
        return token;
    ch = t->s.s[t->at];
    if ((ch == '<' || ch == '>') && next_is(t, ch)) {
        t->at += 2;
        token.kind = TOKEN_OTHER;
    } else if (ch == '(' || ch == '<') {
        t->at++;
        token.kind = TOKEN_STRING;
        token.text = ch == '(' ? literal_string(t) : hex_string(t);
    } else if (ch == '[' || ch == ']') {
        t->at++;
        token.kind = ch == '[' ? TOKEN_OPEN : TOKEN_CLOSE;
    } else if (ch == '/') {
        t->at++;
        token.kind = TOKEN_NAME;
        token.text = name_text(t);
    } else {
        token = word_token(t);
    }
    return token;
}

/* The image's bytes may be anything; it ends with EI between white space.
 */
void token_skip_image(Tokens *t) {
    for (; t->at + 2 < t->s.n; t->at++) {
        const char *s = t->s.s + t->at;
        if (is_white(s[0]) && s[1] == 'E' && s[2] == 'I'
            && (t->at + 3 >= t->s.n || !is_regular(s[3]))) {
            t->at += 3;
            return;
        }
    }
    t->at = t->s.n;
}
