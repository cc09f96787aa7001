/* pdf_fonts -- a font as PDF readers want it (ISO 32000-1, 9.7).
 *
 *     Type0 -- CIDFontType2 -- FontDescriptor -- the font file, cut down
 *       |           |-- W              widths of the used characters
 *       |           `-- CIDToGIDMap    character to glyph
 *       `-- ToUnicode                  character to itself
 *
 * Built here rather than by libharu's own loader, whose ToUnicode map is
 * malformed, whose widths are cut to whole thousandths, which carries
 * along every character's width and loses parts of nested glyphs, and
 * whose parser trips over damaged fonts. The codes in the page are the
 * characters themselves, so text reads back even where a reader ignores
 * the map.
 */
#include "print/print_internal.h"

#include <assert.h>
#include <math.h>

#include <harfbuzz/hb-ot.h>
#include <harfbuzz/hb-subset.h>
#include <harfbuzz/hb.h>

/* Six capitals and a plus before the name say: a subset. */
static const struct { const char *key, *tag, *name; } fonts_of_pdf[] = {
    { "F0", "RODAAA", "Lato-Regular" },   // ORDER FONT
    { "F1", "RODAAB", "Lato-Bold" },
    { "F2", "RODAAC", "Lato-Light" },
    { "F3", "RODAAD", "DejaVuSans" },
};

/* Tables that a PDF has no use for: layout, names, hints. */
static const hb_tag_t dropped[] = {
    HB_TAG('G', 'S', 'U', 'B'), HB_TAG('G', 'P', 'O', 'S'),
    HB_TAG('G', 'D', 'E', 'F'), HB_TAG('k', 'e', 'r', 'n'),
    HB_TAG('p', 'o', 's', 't'), HB_TAG('n', 'a', 'm', 'e'),
    HB_TAG('O', 'S', '/', '2'), HB_TAG('c', 'm', 'a', 'p'),
    HB_TAG('D', 'S', 'I', 'G'), HB_TAG('F', 'F', 'T', 'M'),
    HB_TAG('g', 'a', 's', 'p'), HB_TAG('h', 'd', 'm', 'x'),
    HB_TAG('V', 'D', 'M', 'X'), HB_TAG('L', 'T', 'S', 'H'),
    HB_TAG('m', 'e', 't', 'a'), HB_TAG('S', 'T', 'A', 'T'),
};

/* One font while its dictionaries are made. What needs the arena is made
 * before HarfBuzz is opened: running out of it jumps away, and HarfBuzz's
 * objects would be lost. */
typedef struct {
    Pdf        *p;
    const bool *used;         // [BMP]
    int         last;         // the highest used character
    Str         to_unicode;   // the whole map
    char       *glyphs;       // two bytes for each character to `last`
    hb_face_t  *face;
    hb_font_t  *font;
    double      per_unit;
    const char *name;    // with its tag
} Maker;

const char *font_key(FontId id) {
    return fonts_of_pdf[id].key;
}

static unsigned glyph_of(const Maker *m, int ch) {
    hb_codepoint_t glyph = 0;

    hb_font_get_nominal_glyph(m->font, (hb_codepoint_t)ch, &glyph);
    return glyph;
}

/* ---- Maps ---- */

/* The next used character from `ch`, or BMP. */
static int next_used(const Maker *m, int ch) {
    while (ch <= m->last && !m->used[ch])
        ch++;
    return ch <= m->last ? ch : BMP;
}

static int count_used(const Maker *m) {
    int n = 0;

    for (int ch = next_used(m, 1); ch < BMP; ch = next_used(m, ch + 1))
        n++;
    return n;
}

/* At most 100 characters stand in one block. */
static void map_blocks(const Maker *m, Buf *out) {
    int left = count_used(m), in_block = 0;

    for (int ch = next_used(m, 1); ch < BMP; ch = next_used(m, ch + 1)) {
        if (in_block == 0) {
            in_block = left < 100 ? left : 100;
            buf_add(out, "%d beginbfchar\n", in_block);
        }
        buf_add(out, "<%04X> <%04X>\n", (unsigned)ch, (unsigned)ch);
        left--;
        if (--in_block == 0)
            buf_add(out, "endbfchar\n");
    }
}

static Str unicode_map(const Maker *m) {
    Buf out = BUF(m->p->c);

    buf_add(&out, "/CIDInit /ProcSet findresource begin\n"
            "12 dict begin\nbegincmap\n"
            "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) "
            "/Supplement 0 >> def\n"
            "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n"
            "1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n");
    map_blocks(m, &out);
    buf_add(&out, "endcmap\nCMapName currentdict /CMap defineresource pop\n"
            "end\nend\n");
    return buf_done(&out);
}

static size_t glyphs_size(const Maker *m) {
    return 2 * ((size_t)m->last + 1);
}

static HPDF_Dict to_glyph(const Maker *m) {
    for (int ch = next_used(m, 1); ch < BMP; ch = next_used(m, ch + 1)) {
        unsigned glyph = glyph_of(m, ch);
        m->glyphs[2 * ch]     = (char)(glyph >> 8);
        m->glyphs[2 * ch + 1] = (char)(glyph & 0xFF);
    }
    return pdf_stream(m->p, (Str){ m->glyphs, glyphs_size(m) });
}

/* 65 [650.5 645 …] 97 [510 …]: a run of neighbors in each bracket. */
static HPDF_Array widths(const Maker *m) {
    HPDF_Array all = pdf_array(m->p), run = NULL;
    int        before = -1;

    for (int ch = next_used(m, 1); ch < BMP; ch = next_used(m, ch + 1)) {
        hb_position_t wide = hb_font_get_glyph_h_advance(m->font,
                                                         glyph_of(m, ch));
        if (ch != before + 1) {
            run = pdf_array(m->p);
            pdf_add_num(m->p, all, ch);
            pdf_add(m->p, all, run);
        }
        pdf_add_num(m->p, run, wide * m->per_unit);
        before = ch;
    }
    return all;
}

/* ---- The font file ---- */

static hb_subset_input_t *subset_wish(const Maker *m) {
    hb_subset_input_t *wish = hb_subset_input_create_or_fail();
    hb_set_t          *set;

    if (!wish)
        return NULL;
    hb_subset_input_set_flags(wish, HB_SUBSET_FLAGS_RETAIN_GIDS
                                        | HB_SUBSET_FLAGS_NO_HINTING
                                        | HB_SUBSET_FLAGS_NOTDEF_OUTLINE);
    set = hb_subset_input_set(wish, HB_SUBSET_SETS_DROP_TABLE_TAG);
    for (int i = 0; i < COUNT(dropped); i++)
        hb_set_add(set, dropped[i]);
    set = hb_subset_input_glyph_set(wish);
    for (int ch = next_used(m, 1); ch < BMP; ch = next_used(m, ch + 1))
        hb_set_add(set, glyph_of(m, ch));
    return wish;
}

/* A glyph that is lost prints as a box while the text still reads right:
 * each must cover in the small font what it covered in the whole one. */
static bool is_whole(const Maker *m, hb_face_t *small) {
    hb_font_t *font = hb_font_create(small);
    bool       ok   = true;

    for (int ch = next_used(m, 1); ch < BMP; ch = next_used(m, ch + 1)) {
        hb_glyph_extents_t is = { 0 }, should = { 0 };
        hb_codepoint_t     glyph = glyph_of(m, ch);
        ok = ok && glyph != 0
             && hb_font_get_glyph_extents(m->font, glyph, &should)
             && hb_font_get_glyph_extents(font, glyph, &is)
             && is.x_bearing == should.x_bearing
             && is.y_bearing == should.y_bearing
             && is.width == should.width && is.height == should.height;
    }
    hb_font_destroy(font);
    return ok;
}

static HPDF_Dict file_of(const Maker *m, hb_face_t *small) {
    hb_blob_t  *blob = hb_face_reference_blob(small);
    unsigned    n;
    const char *bytes = hb_blob_get_data(blob, &n);
    HPDF_Dict   file  = pdf_stream(m->p, (Str){ bytes, n });

    pdf_put_int(m->p, file, "Length1", (int)n);
    hb_blob_destroy(blob);
    return file;
}

/* NULL: HarfBuzz had no memory; the caller's pdf_put notes it. */
static HPDF_Dict font_file(const Maker *m) {
    hb_subset_input_t *wish  = subset_wish(m);
    hb_face_t         *small = wish ? hb_subset_or_fail(m->face, wish)
                                    : NULL;
    HPDF_Dict          file  = small && is_whole(m, small)
                                   ? file_of(m, small) : NULL;

    hb_face_destroy(small);
    hb_subset_input_destroy(wish);
    return file;
}

/* ---- Dictionaries ---- */

static double metric(const Maker *m, hb_ot_metrics_tag_t tag) {
    hb_position_t value = 0;

    hb_ot_metrics_get_position(m->font, tag, &value);
    return value * m->per_unit;
}

static int whole(double value) {
    return (int)floor(value + 0.5);
}

/* xMin yMin xMax yMax stand at byte 36 of the table 'head' (OpenType). */
static HPDF_Array bounding_box(const Maker *m) {
    hb_blob_t  *head  = hb_face_reference_table(m->face,
                                                HB_TAG('h','e','a','d'));
    HPDF_Array  box   = pdf_array(m->p);
    unsigned    n;
    const char *bytes = hb_blob_get_data(head, &n);

    for (unsigned i = 36; i < 44 && i + 1 < n; i += 2) {
        int16_t value = (int16_t)((unsigned char)bytes[i] << 8
                                  | (unsigned char)bytes[i + 1]);
        pdf_add_num(m->p, box, whole(value * m->per_unit));
    }
    hb_blob_destroy(head);
    return box;
}

/* StemV serves readers that lack the font; ours is embedded. Estimated
 * from the weight: 400 gives 80, 700 about 140 (from memory). */
static HPDF_Dict descriptor(const Maker *m) {
    HPDF_Dict d      = pdf_object(m->p);
    float     weight = hb_style_get_value(m->font, HB_STYLE_TAG_WEIGHT);

    pdf_put_name(m->p, d, "Type", "FontDescriptor");
    pdf_put_name(m->p, d, "FontName", m->name);
    pdf_put_int(m->p, d, "Flags", HPDF_FONT_SYMBOLIC);
    pdf_put(m->p, d, "FontBBox", bounding_box(m));
    pdf_put_int(m->p, d, "ItalicAngle", 0);
    pdf_put_int(m->p, d, "Ascent",
                whole(metric(m, HB_OT_METRICS_TAG_HORIZONTAL_ASCENDER)));
    pdf_put_int(m->p, d, "Descent",
                whole(metric(m, HB_OT_METRICS_TAG_HORIZONTAL_DESCENDER)));
    pdf_put_int(m->p, d, "CapHeight",
                whole(metric(m, HB_OT_METRICS_TAG_CAP_HEIGHT)));
    pdf_put_int(m->p, d, "StemV", whole((double)weight / 5));
    pdf_put(m->p, d, "FontFile2", font_file(m));
    return d;
}

static HPDF_Dict system_info(Pdf *p) {
    HPDF_Dict info = pdf_dict(p);

    pdf_put(p, info, "Registry", pdf_ascii(p, "Adobe"));
    pdf_put(p, info, "Ordering", pdf_ascii(p, "Identity"));
    pdf_put_int(p, info, "Supplement", 0);
    return info;
}

static HPDF_Dict cid_font(const Maker *m) {
    HPDF_Dict f = pdf_object(m->p);

    pdf_put_name(m->p, f, "Type", "Font");
    pdf_put_name(m->p, f, "Subtype", "CIDFontType2");
    pdf_put_name(m->p, f, "BaseFont", m->name);
    pdf_put(m->p, f, "CIDSystemInfo", system_info(m->p));
    pdf_put(m->p, f, "FontDescriptor", descriptor(m));
    pdf_put(m->p, f, "W", widths(m));
    pdf_put(m->p, f, "CIDToGIDMap", to_glyph(m));
    return f;
}

static HPDF_Dict type0_font(const Maker *m) {
    HPDF_Dict  f     = pdf_object(m->p);
    HPDF_Array below = pdf_array(m->p);

    pdf_add(m->p, below, cid_font(m));
    pdf_put_name(m->p, f, "Type", "Font");
    pdf_put_name(m->p, f, "Subtype", "Type0");
    pdf_put_name(m->p, f, "BaseFont", m->name);
    pdf_put_name(m->p, f, "Encoding", "Identity-H");
    pdf_put(m->p, f, "DescendantFonts", below);
    pdf_put(m->p, f, "ToUnicode", pdf_stream(m->p, m->to_unicode));
    return f;
}

static void prepare(Maker *m, FontId id) {
    Ctx *c = m->p->c;

    for (int ch = 0; ch < BMP; ch++)
        m->last = m->used[ch] ? ch : m->last;
    m->name       = str_z(c, str_fmt(c, "%s+%s", fonts_of_pdf[id].tag,
                                     fonts_of_pdf[id].name));
    m->to_unicode = unicode_map(m);
    m->glyphs     = arena_take(&c->arena, glyphs_size(m));
}

HPDF_Dict pdf_font(Pdf *p, const Fonts *fonts, FontId id,
                   const bool *used) {
    Str        bytes = font_bytes(fonts, id);
    Maker      m     = { .p = p, .used = used };
    hb_blob_t *blob;
    HPDF_Dict  font;

    prepare(&m, id);
    blob       = hb_blob_create(bytes.s, (unsigned)bytes.n,
                                HB_MEMORY_MODE_READONLY, NULL, NULL);
    m.face     = hb_face_create(blob, 0);
    m.font     = hb_font_create(m.face);
    m.per_unit = 1000.0 / hb_face_get_upem(m.face);
    font       = type0_font(&m);
    hb_font_destroy(m.font);
    hb_face_destroy(m.face);
    hb_blob_destroy(blob);
    return font;
}
