/* typeface -- what the codes of a PDF's fonts stand for, and how wide they
 * are (ISO 32000-1, 9.6 to 9.10).
 *
 * Type0 fonts have two-byte codes here (Identity-H, as our booklets have);
 * others have one. The ToUnicode map comes first, then the encoding.
 */
#include "proof/proof_internal.h"

#define MOST_CODES 65536

/* ---- Bytes to characters ---- */

static uint32_t big_endian(Str bytes) {
    uint32_t value = 0;

    for (size_t i = 0; i < bytes.n && i < 4; i++)
        value = value << 8 | (unsigned char)bytes.s[i];
    return value;
}

/* UTF-16, high byte first, into at most LONGEST_GLYPH characters. */
static int utf16_text(Str bytes, uint32_t *ch) {
    int n = 0;

    for (size_t i = 0; i < bytes.n && n < LONGEST_GLYPH; ) {
        uint32_t unit = big_endian(str_part(bytes, i, i + 2));
        i += 2;
        if (unit >= 0xD800 && unit < 0xDC00 && i < bytes.n) {
            uint32_t low = big_endian(str_part(bytes, i, i + 2));
            unit = 0x10000 + ((unit - 0xD800) << 10) + (low & 0x3FF);
            i += 2;
        }
        ch[n++] = unit;
    }
    return n;
}

/* ---- ToUnicode ---- */

typedef enum { MAP_NONE, MAP_CHARS, MAP_RANGES, MAP_NUMBERS } MapKind;

static void add_range(Ctx *c, Typeface *f, Str lo, Str hi, Str text) {
    TextRange *range = PUSH(c, &f->texts);

    range->lo = big_endian(lo);
    range->hi = big_endian(hi);
    range->n  = utf16_text(text, range->ch);
}

/* A range whose characters are listed one by one. */
static void add_listed(Tokens *t, Typeface *f, uint32_t code) {
    for (;;) {
        Token      token = token_next(t);
        TextRange *range;
        if (token.kind != TOKEN_STRING)
            return;
        range     = PUSH(t->c, &f->texts);
        range->lo = range->hi = code++;
        range->n  = utf16_text(token.text, range->ch);
    }
}

/* One entry of the block that stands open; `first` is its first token. */
static void map_entry(Tokens *t, Typeface *f, MapKind kind, Str first) {
    Token second = token_next(t), third;

    if (second.kind != TOKEN_STRING)
        return;
    if (kind == MAP_CHARS) {
        add_range(t->c, f, first, first, second.text);
        return;
    }
    third = token_next(t);
    if (third.kind == TOKEN_OPEN) {
        add_listed(t, f, big_endian(first));
    } else if (third.kind == TOKEN_STRING) {
        add_range(t->c, f, first, second.text, third.text);
    } else if (third.kind == TOKEN_NUMBER && third.number >= 0
               && third.number < MOST_CODES) {
        add_range(t->c, f, first, second.text, STR(""));
        f->texts.at[f->texts.n - 1].ch[0] = (uint32_t)third.number;
        f->texts.at[f->texts.n - 1].n     = 1;
    }
}

static MapKind map_kind(Str word, MapKind now) {
    if (str_is(word, "beginbfchar"))
        return MAP_CHARS;
    if (str_is(word, "beginbfrange"))
        return MAP_RANGES;
    if (str_is(word, "begincidrange"))   // malformed, but met with
        return MAP_NUMBERS;
    return str_begins(word, "end") ? MAP_NONE : now;
}

static int by_text_code(const void *pa, const void *pb, const void *with) {
    const TextRange *a = pa, *b = pb;

    (void)with;
    return (a->lo > b->lo) - (a->lo < b->lo);
}

static int by_width_code(const void *pa, const void *pb, const void *with) {
    const WidthRange *a = pa, *b = pb;

    (void)with;
    return (a->lo > b->lo) - (a->lo < b->lo);
}

static void read_map(Reader *r, Typeface *f, Str map) {
    Tokens  t    = { r->c, map, 0 };
    MapKind kind = MAP_NONE;

    for (;;) {
        Token token = token_next(&t);
        if (token.kind == TOKEN_END)
            break;
        if (token.kind == TOKEN_WORD)
            kind = map_kind(token.text, kind);
        else if (token.kind == TOKEN_STRING && kind != MAP_NONE)
            map_entry(&t, f, kind, token.text);
    }
    list_sort(r->c, f->texts.at, f->texts.n, sizeof *f->texts.at,
              by_text_code, NULL);
}

/* ---- Encodings of one-byte fonts ---- */

/* WinAnsiEncoding from 0x80 to 0x9F; the rest is Latin 1. ISO 32000-1,
 * annex D.2. */
static const uint16_t win_ansi[32] = {
    0x20AC, 0x2022, 0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021,
    0x02C6, 0x2030, 0x0160, 0x2039, 0x0152, 0x2022, 0x017D, 0x2022,
    0x2022, 0x2018, 0x2019, 0x201C, 0x201D, 0x2022, 0x2013, 0x2014,
    0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0x2022, 0x017E, 0x0178,
};

/* Names of glyphs (Adobe's glyph list) that stand in sizes. */
static const struct { const char *name; uint32_t ch; } glyph_names[] = {
    { "zero", '0' }, { "one", '1' }, { "two", '2' }, { "three", '3' },
    { "four", '4' }, { "five", '5' }, { "six", '6' }, { "seven", '7' },
    { "eight", '8' }, { "nine", '9' }, { "space", ' ' }, { "period", '.' },
    { "comma", ',' }, { "hyphen", '-' }, { "minus", 0x2212 },
    { "plus", '+' }, { "slash", '/' }, { "fraction", 0x2044 },
    { "dollar", '$' }, { "onehalf", 0xBD }, { "onequarter", 0xBC },
    { "threequarters", 0xBE }, { "oneeighth", 0x215B },
    { "threeeighths", 0x215C }, { "fiveeighths", 0x215D },
    { "seveneighths", 0x215E }, { "onethird", 0x2153 },
    { "twothirds", 0x2154 }, { "quotesingle", '\'' }, { "quotedbl", '"' },
    { "degree", 0xB0 }, { "multiply", 0xD7 }, { "parenleft", '(' },
    { "parenright", ')' }, { "colon", ':' }, { "semicolon", ';' },
    { "endash", 0x2013 }, { "emdash", 0x2014 }, { "minute", 0x2032 },
    { "second", 0x2033 }, { "percent", '%' }, { "equal", '=' },
    { "numbersign", '#' },
};

static const uint32_t superscripts[10] = {
    0x2070, 0xB9, 0xB2, 0xB3, 0x2074, 0x2075, 0x2076, 0x2077, 0x2078, 0x2079
};

static uint32_t plain_glyph(Str name) {
    uint32_t ch = 0;

    if (name.n == 1)
        return (unsigned char)name.s[0];
    for (int i = 0; i < COUNT(glyph_names); i++) {
        if (str_is(name, glyph_names[i].name))
            return glyph_names[i].ch;
    }
    if (!str_begins(name, "uni") || name.n != 7)
        return 0xFFFD;
    for (size_t i = 3; i < 7; i++) {
        const char *hex = "0123456789ABCDEF";
        const char *at  = name.s[i] ? strchr(hex, name.s[i]) : NULL;
        if (!at)
            return 0xFFFD;
        ch = ch * 16 + (uint32_t)(at - hex);
    }
    return ch;
}

/* "four", "foursuperior", "four.numr", "uni2075". */
static uint32_t glyph_char(Str name) {
    static const char *const high[] = { "superior", ".sups", ".numr",
                                        ".superior" };
    static const char *const low[]  = { "inferior", ".subs", ".dnom",
                                        ".sinf", ".inferior" };
    size_t   dot = str_find(name, '.', 0);
    uint32_t ch;

    for (int i = 0; i < COUNT(high); i++) {
        if (!str_ends(name, high[i]))
            continue;
        ch = plain_glyph(str_part(name, 0, name.n - strlen(high[i])));
        return ch >= '0' && ch <= '9' ? superscripts[ch - '0'] : ch;
    }
    for (int i = 0; i < COUNT(low); i++) {
        if (!str_ends(name, low[i]))
            continue;
        ch = plain_glyph(str_part(name, 0, name.n - strlen(low[i])));
        return ch >= '0' && ch <= '9' ? 0x2080 + (ch - '0') : ch;
    }
    return plain_glyph(str_part(name, 0, dot ? dot : name.n));
}

static void read_differences(const Reader *r, Typeface *f, qpdf_oh list) {
    int n    = qpdf_oh_is_array(r->q, list)
                   ? qpdf_oh_get_array_n_items(r->q, list) : 0;
    int code = 0;

    for (int i = 0; i < n; i++) {
        qpdf_oh item = qpdf_oh_get_array_item(r->q, list, i);
        if (qpdf_oh_is_integer(r->q, item)) {
            code = qpdf_oh_get_int_value_as_int(r->q, item);
        } else if (qpdf_oh_is_name(r->q, item)) {
            const char *name = qpdf_oh_get_name(r->q, item);
            if (code >= 0 && code < 256 && name[0])
                f->simple[code] = glyph_char((Str){ name + 1,
                                                    strlen(name + 1) });
            if (code < 256)
                code++;
        }
    }
}

static void read_encoding(const Reader *r, Typeface *f, qpdf_oh font) {
    qpdf_oh encoding = dict_entry(r, font, "/Encoding");

    for (uint32_t code = 0; code < 256; code++)
        f->simple[code] = code >= 0x80 && code < 0xA0
                              ? win_ansi[code - 0x80] : code;
    if (qpdf_oh_is_null(r->q, encoding))
        f->simple[0xA4] = 0x2044;   // StandardEncoding's fraction bar
    if (qpdf_oh_is_dictionary(r->q, encoding))
        read_differences(r, f, dict_entry(r, encoding, "/Differences"));
}

/* ---- Widths ---- */

/* Helvetica from 0x20 to 0x7E, for fonts that every reader has and that
 * may come without widths; from Adobe's published metrics. */
static const uint16_t helvetica[95] = {
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333,
    278, 278, 556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 278, 278,
    584, 584, 584, 556, 1015, 667, 667, 722, 722, 667, 611, 778, 722, 278,
    500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944,
    667, 667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556, 556,
    278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500,
    278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584
};

static void add_width(Ctx *c, Typeface *f, double lo, double hi,
                      double width) {
    WidthRange *range;

    if (!(lo >= 0 && lo <= hi && lo < MOST_CODES))
        return;
    range        = PUSH(c, &f->widths);
    range->lo    = (uint32_t)lo;
    range->hi    = hi < MOST_CODES ? (uint32_t)hi : MOST_CODES - 1;
    range->width = width;
}

static void sort_widths(Ctx *c, Typeface *f) {
    list_sort(c, f->widths.at, f->widths.n, sizeof *f->widths.at,
              by_width_code, NULL);
}

static void read_simple_widths(Reader *r, Typeface *f, qpdf_oh font) {
    qpdf_oh list  = dict_entry(r, font, "/Widths");
    double  first = dict_number(r, font, "/FirstChar", 0);
    int     n;

    f->missing = dict_number(r, dict_entry(r, font, "/FontDescriptor"),
                             "/MissingWidth", 0);
    if (!qpdf_oh_is_array(r->q, list)) {
        for (int i = 0; i < COUNT(helvetica); i++)
            add_width(r->c, f, i + 0x20, i + 0x20, helvetica[i]);
        f->missing = 556;
        return;
    }
    n = qpdf_oh_get_array_n_items(r->q, list);
    for (int i = 0; i < n && i < MOST_CODES; i++)
        add_width(r->c, f, first + i, first + i, array_number(r, list, i));
    sort_widths(r->c, f);
}

/* "code [w w w]" or "first last w", over and over. */
static void read_cid_widths(Reader *r, Typeface *f, qpdf_oh list) {
    int n = qpdf_oh_is_array(r->q, list)
                ? qpdf_oh_get_array_n_items(r->q, list) : 0;

    for (int i = 0; i + 1 < n; ) {
        double  first = array_number(r, list, i);
        qpdf_oh next  = qpdf_oh_get_array_item(r->q, list, i + 1);
        if (qpdf_oh_is_array(r->q, next)) {
            int each = qpdf_oh_get_array_n_items(r->q, next);
            for (int k = 0; k < each && k < MOST_CODES; k++)
                add_width(r->c, f, first + k, first + k,
                          array_number(r, next, k));
            i += 2;
        } else {
            if (i + 2 < n)
                add_width(r->c, f, first, array_number(r, list, i + 1),
                          array_number(r, list, i + 2));
            i += 3;
        }
    }
    sort_widths(r->c, f);
}

/* ---- A font ---- */

static bool subtype_is(const Reader *r, qpdf_oh font, const char *name) {
    return qpdf_oh_is_name_and_equals(
        r->q, dict_entry(r, font, "/Subtype"), name);
}

static void read_type0(Reader *r, Typeface *f, qpdf_oh font) {
    qpdf_oh kids = dict_entry(r, font, "/DescendantFonts");
    qpdf_oh kid;

    f->two_bytes = true;
    f->missing   = 1000;
    if (!qpdf_oh_is_array(r->q, kids)
        || qpdf_oh_get_array_n_items(r->q, kids) < 1)
        return;
    kid        = qpdf_oh_get_array_item(r->q, kids, 0);
    f->missing = dict_number(r, kid, "/DW", 1000);
    read_cid_widths(r, f, dict_entry(r, kid, "/W"));
}

static const Typeface *typeface_read(Reader *r, qpdf_oh font) {
    Typeface *f = NEW(r->c, Typeface);
    Str       map;
    qpdf_oh   matrix = dict_entry(r, font, "/FontMatrix");

    f->unit = 0.001;
    if (subtype_is(r, font, "/Type0")) {
        read_type0(r, f, font);
    } else {
        read_encoding(r, f, font);
        read_simple_widths(r, f, font);
        if (subtype_is(r, font, "/Type3") && qpdf_oh_is_array(r->q, matrix)
            && qpdf_oh_get_array_n_items(r->q, matrix) == 6)
            f->unit = array_number(r, matrix, 0);
    }
    if (stream_bytes(r, dict_entry(r, font, "/ToUnicode"), &map))
        read_map(r, f, map);
    f->readable = !f->two_bytes || f->texts.n > 0;
    if (!f->readable)
        read_trouble(r, "a font does not tell which characters it shows");
    return f;
}

const Typeface *typeface_find(Reader *r, qpdf_oh font) {
    int id         = qpdf_oh_get_object_id(r->q, font);
    int generation = qpdf_oh_get_generation(r->q, font);
    KnownFace known = { id, generation, NULL };

    for (int i = 0; id > 0 && i < r->faces.n; i++) {
        if (r->faces.at[i].id == id
            && r->faces.at[i].generation == generation)
            return r->faces.at[i].face;
    }
    r->budget -= 1000;   // fonts written in place are read at every use
    known.face = typeface_read(r, font);
    if (id > 0)
        *PUSH(r->c, &r->faces) = known;
    return known.face;
}

double typeface_width(const Typeface *f, uint32_t code) {
    int from = 0, to = f->widths.n;

    while (from < to) {
        int mid = (from + to) / 2;
        if (f->widths.at[mid].lo <= code)
            from = mid + 1;
        else
            to = mid;
    }
    for (int i = from - 1; i >= 0 && i >= from - 8; i--) {
        if (f->widths.at[i].hi >= code)
            return f->widths.at[i].width * f->unit;
    }
    return f->missing * f->unit;
}

static const TextRange *text_range(const Typeface *f, uint32_t code) {
    int from = 0, to = f->texts.n;

    while (from < to) {
        int mid = (from + to) / 2;
        if (f->texts.at[mid].lo <= code)
            from = mid + 1;
        else
            to = mid;
    }
    for (int i = from - 1; i >= 0 && i >= from - 8; i--) {
        if (f->texts.at[i].hi >= code)
            return &f->texts.at[i];
    }
    return NULL;
}

int typeface_text(const Typeface *f, uint32_t code,
                  uint32_t ch[LONGEST_GLYPH]) {
    const TextRange *range = text_range(f, code);

    if (range) {
        memcpy(ch, range->ch, sizeof range->ch);
        if (range->n)
            ch[range->n - 1] += code - range->lo;
        return range->n;
    }
    ch[0] = f->two_bytes ? 0xFFFD : f->simple[code & 0xFF];
    return 1;
}
