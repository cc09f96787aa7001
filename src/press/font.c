/* font -- the four fonts, how wide their text runs.
 *
 * Text is measured by HarfBuzz from the very bytes that print/ embeds, so
 * what was measured is what is printed. Kerning is kept; everything that
 * would put one glyph for several characters (ligatures, built fractions,
 * composed accents) is off, as a page's text must read back character by
 * character.
 *
 * A font is taken only if its content is the content we know: layout,
 * page breaks and golden files follow from it, and a broken font can crash
 * the libraries that read it.
 *
 * HarfBuzz objects live for one call, so that nothing is left to free when
 * a run is cut short. Making them anew costs 30 to 50 microseconds; as the
 * same words come again and again, what was shaped is remembered. Our fonts
 * kern by pairs, so those are remembered too, common ones beforehand.
 */
#include "press/press.h"

#include <assert.h>

#include <harfbuzz/hb-ot.h>
#include <harfbuzz/hb.h>

#ifndef FONT_DIR
#define FONT_DIR "fonts"
#endif

#define BMP 0x10000   // characters past it are in none of our fonts

#define PLAIN_FROM ' '
#define PLAIN      ('~' - PLAIN_FROM + 2)   // so many plain characters: those
#define NARROW     0x202f                   // of ASCII, and the narrow space
                                            // between inches and a fraction

/* Most texts on a drawing have no others. */
static const char common[] = " ,-./0123456789abcdefghijklmnopqrstuvwxyz";

typedef struct {
    const char *path;
    Str         bytes;
    double      per_unit;   // 1/1000 em of one font unit
    double      cap;        // height of capitals, 1/1000 em
    uint16_t   *advance;    // [BMP] font units + 1; 0: not in the font
    int32_t    *pair;       // [PLAIN][PLAIN] of one before another; 0: unknown
    bool        paired;     // `common` ones are known
} Typeface;

/* A run as it was shaped. Each has one place, given by a hash; a later run
 * with the same place pushes it out. */
typedef struct {
    FontId id;
    Str    text;
    Glyphs glyphs;
} Shaped;

#define MEMO 8192   // places, a power of two

struct Fonts {
    Typeface *face;   // [FONT_COUNT]
    Shaped   *memo;   // [MEMO]
};

/* Lato 2.007 and DejaVu Sans 2.37; FNV-1a of the whole file. */
static const struct {
    const char *file;
    uint64_t    hash;
} known[FONT_COUNT] = {   // ORDER FONT
    { "Lato-Regular.ttf", 0x113a47ab0f957d12 },
    { "Lato-Bold.ttf",    0xea6416ed969d4b4e },
    { "Lato-Light.ttf",   0x3f91c18d1233e852 },
    { "DejaVuSans.ttf",   0xadadfef763426946 },
};

/* Switched off: all that is not one glyph a character. */
static const hb_tag_t unwanted[] = {
    HB_TAG('l', 'i', 'g', 'a'), HB_TAG('c', 'l', 'i', 'g'),
    HB_TAG('r', 'l', 'i', 'g'), HB_TAG('c', 'a', 'l', 't'),
    HB_TAG('r', 'c', 'l', 't'), HB_TAG('c', 'c', 'm', 'p'),
    HB_TAG('l', 'o', 'c', 'l'), HB_TAG('f', 'r', 'a', 'c'),
    HB_TAG('n', 'u', 'm', 'r'), HB_TAG('d', 'n', 'o', 'm'),
};

static void out_of_memory(Ctx *c) {
    arena_take(&c->arena, SIZE_MAX);   // jumps away
}

static bool has(const Typeface *face, uint32_t ch) {
    return ch < BMP && face->advance[ch] != 0;
}

/* ---- Loading ---- */

/* FNV-1a, 64 bits (Fowler, Noll, Vo; IETF draft-eastlake-fnv). Guards
 * against the wrong version of a font, not against malice. */
static uint64_t hash_of(Str bytes) {
    uint64_t h = 0xcbf29ce484222325;

    for (size_t i = 0; i < bytes.n; i++)
        h = (h ^ (unsigned char)bytes.s[i]) * 0x100000001b3;
    return h;
}

/* A HarfBuzz font over the face's bytes; hb_font_destroy frees all of it. */
static hb_font_t *open_font(const Typeface *face) {
    hb_blob_t *blob = hb_blob_create(face->bytes.s,
                                     (unsigned)face->bytes.n,
                                     HB_MEMORY_MODE_READONLY, NULL, NULL);
    hb_face_t *hb   = hb_face_create(blob, 0);
    hb_font_t *font = hb_font_create(hb);

    hb_face_destroy(hb);
    hb_blob_destroy(blob);
    return font;
}

/* Of the characters that the font says it has: to ask for all takes ten
 * times as long. */
static void note_advances(Typeface *face, hb_font_t *font) {
    hb_set_t      *all = hb_set_create();
    hb_codepoint_t ch  = ' ' - 1, glyph;

    hb_face_collect_unicodes(hb_font_get_face(font), all);
    while (hb_set_next(all, &ch) && ch < BMP)
        if (hb_font_get_nominal_glyph(font, ch, &glyph) && glyph != 0) {
            hb_position_t wide = hb_font_get_glyph_h_advance(font, glyph);
            assert(wide >= 0 && wide < UINT16_MAX);
            face->advance[ch] = (uint16_t)(wide + 1);
        }
    hb_set_destroy(all);
}

static void note_metrics(Ctx *c, Typeface *face) {
    hb_font_t    *font;
    hb_position_t cap;

    face->advance  = NEW_N(c, uint16_t, BMP);
    face->pair     = NEW_N(c, int32_t, PLAIN * PLAIN);
    font           = open_font(face);
    face->per_unit = 1000.0 / hb_face_get_upem(hb_font_get_face(font));
    if (!hb_ot_metrics_get_position(font, HB_OT_METRICS_TAG_CAP_HEIGHT,
                                    &cap))
        cap = 0;
    face->cap = cap * face->per_unit;
    note_advances(face, font);
    hb_font_destroy(font);
    if (!has(face, '0'))   // all of ours have digits
        out_of_memory(c);
}

static bool face_load(Ctx *c, Typeface *face, const char *folder, FontId id) {
    const char *why = "";

    face->path = str_z(c, str_fmt(c, "%s/%s", folder, known[id].file));
    if (!c->files->read(c, face->path, &face->bytes, &why)) {
        c->io_failed = true;
        report_plain(c, FILE_READ, "cannot read the font %s: %s",
                     face->path, why);
        hint(c, "set RODBOOK_FONTS to the folder that has Rodbook's fonts");
        return false;
    }
    if (hash_of(face->bytes) != known[id].hash) {
        report_plain(c, FILE_READ, "%s is not the font that Rodbook is "
                     "made for: its content differs", face->path);
        hint(c, "copy the folder fonts/ from Rodbook's own files again");
        return false;
    }
    note_metrics(c, face);
    return true;
}

Fonts *fonts_load(Ctx *c) {
    const char *folder = getenv("RODBOOK_FONTS");
    Fonts      *f      = NEW(c, Fonts);
    bool        ok     = true;

    f->face = NEW_N(c, Typeface, FONT_COUNT);
    f->memo = NEW_N(c, Shaped, MEMO);
    if (!folder || !*folder)
        folder = FONT_DIR;
    for (FontId id = 0; id < FONT_COUNT; id++)
        ok = face_load(c, &f->face[id], folder, id) && ok;
    return ok ? f : NULL;
}

const char *font_path(const Fonts *f, FontId id) {
    return f->face[id].path;
}

Str font_bytes(const Fonts *f, FontId id) {
    return f->face[id].bytes;
}

double font_cap_height(const Fonts *f, FontId id, double size) {
    return f->face[id].cap / 1000 * size * 25.4 / 72;
}

/* ---- Which font ---- */

FontId font_for(const Fonts *f, FontId wanted, uint32_t ch) {
    if (has(&f->face[wanted], ch))
        return wanted;
    return has(&f->face[FONT_SYMBOL], ch) ? FONT_SYMBOL : FONT_COUNT;
}

Str font_run(const Fonts *f, FontId wanted, Str text, size_t *at,
             FontId *id) {
    size_t from = *at, next = *at;

    *id = font_for(f, wanted, utf8_next(text, &next));
    do {
        *at = next;
        if (next >= text.n)
            break;
    } while (font_for(f, wanted, utf8_next(text, &next)) == *id);
    return str_part(text, from, *at);
}

/* ---- Shaping ---- */

/* Without Unicode's own rules: they would join a letter and its accent, or
 * make a fraction of digits around a fraction bar. */
static hb_buffer_t *buffer_of(const Glyph *g, int n) {
    hb_buffer_t *b = hb_buffer_create();

    hb_buffer_set_unicode_funcs(b, hb_unicode_funcs_get_empty());
    hb_buffer_set_content_type(b, HB_BUFFER_CONTENT_TYPE_UNICODE);
    hb_buffer_set_flags(b, HB_BUFFER_FLAG_PRESERVE_DEFAULT_IGNORABLES);
    hb_buffer_set_direction(b, HB_DIRECTION_LTR);
    hb_buffer_set_script(b, HB_SCRIPT_LATIN);
    hb_buffer_set_language(b, hb_language_from_string("en", -1));
    for (int i = 0; i < n; i++)
        hb_buffer_add(b, g[i].ch, (unsigned)i);
    return b;
}

static void shape(hb_font_t *font, hb_buffer_t *b) {
    hb_feature_t off[COUNT(unwanted)];

    for (int i = 0; i < COUNT(unwanted); i++)
        off[i] = (hb_feature_t){ unwanted[i], 0, HB_FEATURE_GLOBAL_START,
                                 HB_FEATURE_GLOBAL_END };
    hb_shape(font, b, off, COUNT(unwanted));
}

/* One glyph for each character, and the plain one: print/ relies on it as
 * it writes characters for codes. As our fonts are known and all that could
 * change a glyph is off, it fails only where HarfBuzz had no memory (it
 * does not always say so). */
static bool is_plain(hb_font_t *font, hb_buffer_t *b, const Glyph *g,
                     int n) {
    unsigned               got;
    const hb_glyph_info_t *info = hb_buffer_get_glyph_infos(b, &got);

    if (!hb_buffer_allocation_successful(b) || got != (unsigned)n)
        return false;
    for (int i = 0; i < n; i++) {
        hb_codepoint_t plain;
        if (!hb_font_get_nominal_glyph(font, g[i].ch, &plain)
            || info[i].codepoint != plain || info[i].cluster != (unsigned)i)
            return false;
    }
    return true;
}

static bool is_plain_char(uint32_t ch) {
    return (ch >= PLAIN_FROM && ch <= '~') || ch == NARROW;
}

static int32_t *pair_of(const Typeface *face, uint32_t ch, uint32_t next) {
    uint32_t row = ch == NARROW ? PLAIN - 1 : ch - PLAIN_FROM;
    uint32_t col = next == NARROW ? PLAIN - 1 : next - PLAIN_FROM;

    return &face->pair[row * PLAIN + col];
}

static void note_pairs(Typeface *face, hb_buffer_t *b, const Glyph *g,
                       int n) {
    const hb_glyph_position_t *place = hb_buffer_get_glyph_positions(b,
                                                                     NULL);

    for (int i = 0; i + 1 < n; i++)
        if (is_plain_char(g[i].ch) && is_plain_char(g[i + 1].ch))
            *pair_of(face, g[i].ch, g[i + 1].ch) = place[i].x_advance;
}

/* Every common character after every other, and a narrow space (here _)
 * after digits, in one row:
 *
 *     a a b a c a d a ...  b b c b d b ...  0 _ 1 _ ...
 */
static void note_common(Typeface *face, hb_font_t *font) {
    Glyph        row[sizeof common * (sizeof common + 1) + 2 * 10];
    int          n = 0;
    hb_buffer_t *b;

    for (const char *p = common; *p; p++) {
        row[n++] = (Glyph){ .ch = (unsigned char)*p };
        for (const char *q = p; *q; q++) {
            row[n++] = (Glyph){ .ch = (unsigned char)*q };
            if (q > p)
                row[n++] = (Glyph){ .ch = (unsigned char)*p };
        }
    }
    for (uint32_t ch = '0'; ch <= '9' && has(face, NARROW); ch++) {
        row[n++] = (Glyph){ .ch = ch };
        row[n++] = (Glyph){ .ch = NARROW };
    }
    b = buffer_of(row, n);
    shape(font, b);
    if (is_plain(font, b, row, n))
        note_pairs(face, b, row, n);
    hb_buffer_destroy(b);
}

/* Fills in the kerned advances, if all pairs are known. */
static bool kern_known(const Typeface *face, Glyph *g, int n) {
    for (int i = 0; i + 1 < n; i++) {
        int32_t wide = is_plain_char(g[i].ch) && is_plain_char(g[i + 1].ch)
                     ? *pair_of(face, g[i].ch, g[i + 1].ch) : 0;
        if (wide == 0)
            return false;
        g[i].advance = wide * face->per_unit;
    }
    g[n - 1].advance = g[n - 1].width;
    return true;
}

/* Fills in the kerned advances. False: HarfBuzz had no memory. */
static bool kern(Typeface *face, Glyph *g, int n) {
    hb_font_t   *font = open_font(face);
    hb_buffer_t *b    = buffer_of(g, n);
    bool         ok;
    const hb_glyph_position_t *place;

    shape(font, b);
    ok    = is_plain(font, b, g, n);
    place = hb_buffer_get_glyph_positions(b, NULL);
    for (int i = 0; ok && i < n; i++)
        g[i].advance = place[i].x_advance * face->per_unit;
    if (ok)
        note_pairs(face, b, g, n);
    hb_buffer_destroy(b);
    if (ok && !face->paired)
        note_common(face, font);
    face->paired = true;
    hb_font_destroy(font);
    return ok;
}

static void shape_anew(Ctx *c, Typeface *face, Str text,
                       Glyphs *out) {
    for (size_t at = 0; at < text.n; ) {
        Glyph *g = PUSH(c, out);
        g->ch = utf8_next(text, &at);
        assert(has(face, g->ch));
        g->width = (face->advance[g->ch] - 1) * face->per_unit;
    }
    if (!kern_known(face, out->at, out->n)
        && !kern(face, out->at, out->n))
        out_of_memory(c);
}

/* The run's place in the memory, shaped. */
static const Shaped *remember(Ctx *c, const Fonts *f, FontId id, Str text) {
    Shaped *s = &f->memo[(hash_of(text) + (uint64_t)id) % MEMO];

    if (s->glyphs.n > 0 && s->id == id && str_eq(s->text, text))
        return s;
    *s = (Shaped){ 0 };   // stays so if memory runs out on the way
    shape_anew(c, &f->face[id], text, &s->glyphs);
    s->text = str_copy(c, text);
    s->id   = id;
    return s;
}

void font_shape(Ctx *c, const Fonts *f, FontId id, Str text, Glyphs *out) {
    const Shaped *s;

    if (text.n == 0)
        return;
    s = remember(c, f, id, text);
    for (int i = 0; i < s->glyphs.n; i++)
        *PUSH(c, out) = s->glyphs.at[i];
}

double font_width(Ctx *c, const Fonts *f, FontId id, double size,
                  Str text) {
    double wide = 0;

    for (size_t at = 0; at < text.n; ) {
        FontId found;
        Str    run = font_run(f, id, text, &at, &found);
        const Shaped *s;
        if (found == FONT_COUNT)
            continue;   // whoever prints it reports it
        s = remember(c, f, found, run);
        for (int i = 0; i < s->glyphs.n; i++)
            wide += s->glyphs.at[i].advance;
    }
    return wide / 1000 * size * 25.4 / 72;
}
