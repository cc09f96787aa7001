/* str -- text with a length, growing text, UTF-8, nearest names. */
#include "base/base.h"

#include <math.h>

/* ---- Str ---- */

Str str_copy(Ctx *c, Str s) {
    char *copy = arena_take(&c->arena, s.n + 1);
    if (s.n)
        memcpy(copy, s.s, s.n);
    return (Str){ copy, s.n };
}

Str str_from(Ctx *c, const char *s) {
    return str_copy(c, (Str){ s, strlen(s) });
}

char *str_z(Ctx *c, Str s) {
    char *z = arena_take(&c->arena, s.n + 1);
    if (s.n)
        memcpy(z, s.s, s.n);
    return z;
}

Str str_vfmt(Ctx *c, const char *fmt, va_list args) {
    va_list again;
    int     n;
    char   *s;

    va_copy(again, args);
    n = vsnprintf(NULL, 0, fmt, args);
    if (n < 0)
        n = 0;
    s = arena_take(&c->arena, (size_t)n + 1);
    vsnprintf(s, (size_t)n + 1, fmt, again);
    va_end(again);
    return (Str){ s, (size_t)n };
}

Str str_fmt(Ctx *c, const char *fmt, ...) {
    va_list args;
    Str     s;

    va_start(args, fmt);
    s = str_vfmt(c, fmt, args);
    va_end(args);
    return s;
}

bool str_eq(Str a, Str b) {
    return a.n == b.n && (a.n == 0 || memcmp(a.s, b.s, a.n) == 0);
}

uint32_t str_hash(Str s) {
    uint32_t h = 2166136261u;

    for (size_t i = 0; i < s.n; i++)
        h = (h ^ (unsigned char)s.s[i]) * 16777619u;
    return h;
}

/* Most texts differ in their first byte: no length is taken before. */
bool str_is(Str s, const char *other) {
    for (size_t i = 0; i < s.n; i++)
        if (other[i] == '\0' || other[i] != s.s[i])
            return false;
    return other[s.n] == '\0';
}

int str_cmp(Str a, Str b) {
    size_t n    = a.n < b.n ? a.n : b.n;
    int    diff = n ? memcmp(a.s, b.s, n) : 0;

    if (diff)
        return diff;
    return (a.n > b.n) - (a.n < b.n);
}

bool str_begins(Str s, const char *prefix) {
    for (size_t i = 0; prefix[i]; i++)
        if (i == s.n || prefix[i] != s.s[i])
            return false;
    return true;
}

bool str_ends(Str s, const char *suffix) {
    size_t n = strlen(suffix);
    return s.n >= n && memcmp(s.s + s.n - n, suffix, n) == 0;
}

Str str_part(Str s, size_t from, size_t to) {
    if (to > s.n)
        to = s.n;
    if (from > to)
        from = to;
    return (Str){ s.s + from, to - from };
}

static bool is_space(char ch) {
    return ch == ' ' || ch == '\t' || ch == '\n' || ch == '\r';
}

Str str_trim(Str s) {
    while (s.n && is_space(s.s[0]))
        s = str_part(s, 1, s.n);
    while (s.n && is_space(s.s[s.n - 1]))
        s.n--;
    return s;
}

size_t str_find(Str s, char ch, size_t from) {
    const char *hit;

    if (from >= s.n)
        return s.n;
    hit = memchr(s.s + from, ch, s.n - from);
    return hit ? (size_t)(hit - s.s) : s.n;
}

/* ---- UTF-8 ---- */

static int utf8_length(unsigned char first) {
    if (first < 0x80)
        return 1;
    if (first >= 0xC2 && first <= 0xDF)
        return 2;
    if (first >= 0xE0 && first <= 0xEF)
        return 3;
    if (first >= 0xF0 && first <= 0xF4)
        return 4;
    return 0;
}

/* Overlong forms, surrogates and what lies beyond Unicode are bad. */
static bool utf8_in_range(uint32_t ch, int length) {
    static const uint32_t least[] = { 0, 0, 0x80, 0x800, 0x10000 };

    return ch >= least[length] && ch <= 0x10FFFF
        && !(ch >= 0xD800 && ch <= 0xDFFF);
}

uint32_t utf8_next(Str s, size_t *at) {
    static const unsigned char mask[] = { 0, 0x7F, 0x1F, 0x0F, 0x07 };
    unsigned char first  = (unsigned char)s.s[*at];
    int           length = utf8_length(first);
    uint32_t      ch;

    if (length == 1)
        return (unsigned char)s.s[(*at)++];
    if (length == 0 || *at + (size_t)length > s.n) {
        (*at)++;
        return 0xFFFD;
    }
    ch = first & mask[length];
    for (int i = 1; i < length; i++) {
        unsigned char more = (unsigned char)s.s[*at + (size_t)i];
        if ((more & 0xC0) != 0x80) {
            (*at)++;
            return 0xFFFD;
        }
        ch = ch << 6 | (more & 0x3F);
    }
    if (!utf8_in_range(ch, length)) {
        (*at)++;
        return 0xFFFD;
    }
    *at += (size_t)length;
    return ch;
}

bool utf8_valid(Str s, size_t *bad_at) {
    static const Str replacement = { "\xEF\xBF\xBD", 3 };
    size_t at = 0;

    while (at < s.n) {
        size_t before = at;
        if ((unsigned char)s.s[at] < 0x80)
            at++;
        else if (utf8_next(s, &at) == 0xFFFD
            && !str_eq(str_part(s, before, at), replacement)) {
            *bad_at = before;
            return false;
        }
    }
    return true;
}

/* ---- Buf ---- */

static void buf_room(Buf *b, size_t more) {
    char  *grown;
    size_t cap = b->cap ? b->cap : 128;

    if (b->n + more + 1 <= b->cap)
        return;
    while (cap < b->n + more + 1)
        cap *= 2;
    grown = arena_take(&b->c->arena, cap);
    if (b->n)
        memcpy(grown, b->s, b->n);
    b->s   = grown;
    b->cap = cap;
}

void buf_str(Buf *b, Str s) {
    buf_room(b, s.n);
    if (s.n)
        memcpy(b->s + b->n, s.s, s.n);
    b->n += s.n;
    b->s[b->n] = '\0';
}

void buf_add(Buf *b, const char *fmt, ...) {
    va_list args, again;
    int     n;

    va_start(args, fmt);
    va_copy(again, args);
    n = vsnprintf(NULL, 0, fmt, args);
    va_end(args);
    if (n > 0) {
        buf_room(b, (size_t)n);
        vsnprintf(b->s + b->n, (size_t)n + 1, fmt, again);
        b->n += (size_t)n;
    }
    va_end(again);
}

void buf_char(Buf *b, uint32_t ch) {
    char   s[4];
    size_t n;

    if (ch < 0x80) {
        s[0] = (char)ch, n = 1;
    } else if (ch < 0x800) {
        s[0] = (char)(0xC0 | ch >> 6), n = 2;
    } else if (ch < 0x10000) {
        s[0] = (char)(0xE0 | ch >> 12), n = 3;
    } else {
        s[0] = (char)(0xF0 | ch >> 18), n = 4;
    }
    for (size_t i = 1; i < n; i++)
        s[i] = (char)(0x80 | (ch >> 6 * (n - 1 - i) & 0x3F));
    buf_str(b, (Str){ s, n });
}

void buf_csv(Buf *b, Str s) {
    buf_add(b, "\"");
    for (size_t i = 0; i < s.n; i++) {
        if (s.s[i] == '"')
            buf_add(b, "\"");
        buf_str(b, (Str){ &s.s[i], 1 });
    }
    buf_add(b, "\"");
}

void buf_json(Buf *b, Str s) {
    buf_add(b, "\"");
    for (size_t i = 0; i < s.n; i++) {
        char ch = s.s[i];
        if (ch == '"' || ch == '\\')
            buf_add(b, "\\%c", ch);
        else if (ch == '\n')
            buf_add(b, "\\n");
        else if ((unsigned char)ch < 0x20)
            buf_add(b, "\\u%04x", (unsigned)(unsigned char)ch);
        else
            buf_str(b, (Str){ &s.s[i], 1 });
    }
    buf_add(b, "\"");
}

#define LARGEST 1e9    // up to here a product is right to 1e-7,
#define TIE     1e-6   // and this far from a half its rounding is certain

/* Most numbers, in a tenth of the time that printf takes. False: not this
 * one. */
static bool num_quickly(Buf *b, double value, int places) {
    static const int64_t powers[] = { 1, 10, 100, 1000, 10000, 100000,
                                      1000000 };
    char    text[24], *end = text + sizeof text, *at = end;
    double  scaled, whole;
    int64_t n;

    if (places < 0 || places >= COUNT(powers))
        return false;
    scaled = fabs(value) * (double)powers[places];
    whole  = floor(scaled);
    if (!(scaled < LARGEST) || fabs(scaled - whole - 0.5) < TIE)
        return false;
    n = (int64_t)whole + (scaled - whole > 0.5);
    if (n == 0)
        value = 0;
    for (; places > 0 && n % 10 == 0; places--)
        n /= 10;
    for (; places > 0; places--, n /= 10) {
        *--at = (char)('0' + n % 10);
        if (places == 1)
            *--at = '.';
    }
    do {
        *--at = (char)('0' + n % 10);
        n /= 10;
    } while (n > 0);
    if (value < 0)
        *--at = '-';
    buf_str(b, (Str){ at, (size_t)(end - at) });
    return true;
}

void buf_num(Buf *b, double value, int places) {
    char   text[400];
    size_t n;

    if (!isfinite(value)) {
        buf_add(b, "0");
        return;
    }
    if (num_quickly(b, value, places))
        return;
    snprintf(text, sizeof text, "%.*f", places, value);
    n = strlen(text);
    if (memchr(text, '.', n)) {
        while (text[n - 1] == '0')
            n--;
        if (text[n - 1] == '.')
            n--;
    }
    if (n == 2 && text[0] == '-' && text[1] == '0')
        buf_add(b, "0");
    else
        buf_str(b, (Str){ text, n });
}

Str buf_done(const Buf *b) {
    return b->s ? (Str){ b->s, b->n } : STR("");
}

/* ---- Nearest name ---- */

#define LONGEST_NAME 48

/* Edits (insert, delete, replace, swap of neighbors) from a to b:
 * Damerau's distance in its restricted form. */
static int edit_distance(Str a, Str b) {
    int d[LONGEST_NAME + 1][LONGEST_NAME + 1];

    for (size_t i = 0; i <= a.n; i++)
        d[i][0] = (int)i;
    for (size_t j = 0; j <= b.n; j++)
        d[0][j] = (int)j;
    for (size_t i = 1; i <= a.n; i++) {
        for (size_t j = 1; j <= b.n; j++) {
            int best = d[i - 1][j - 1] + (a.s[i - 1] != b.s[j - 1]);
            if (d[i - 1][j] + 1 < best)
                best = d[i - 1][j] + 1;
            if (d[i][j - 1] + 1 < best)
                best = d[i][j - 1] + 1;
            if (i > 1 && j > 1 && a.s[i - 1] == b.s[j - 2]
                && a.s[i - 2] == b.s[j - 1] && d[i - 2][j - 2] + 1 < best)
                best = d[i - 2][j - 2] + 1;
            d[i][j] = best;
        }
    }
    return d[a.n][b.n];
}

Str nearest_name(Str wrong, const Str *known, int n) {
    Str best        = { "", 0 };
    int least       = 3;

    if (wrong.n > LONGEST_NAME)
        return best;
    if (wrong.n / 2 + 1 < (size_t)least)
        least = (int)wrong.n / 2 + 1;
    for (int i = 0; i < n; i++) {
        int edits;
        if (known[i].n > LONGEST_NAME)
            continue;
        edits = edit_distance(wrong, known[i]);
        if (edits < least) {
            least = edits;
            best  = known[i];
        }
    }
    return best;
}
