/* Measuring text from our own fonts. Font facts are read from the files
 * by hand here (OpenType tables), not through HarfBuzz. */
#include "unit/test.h"

#include "press/press.h"

static Fonts *load(Ctx *c) {
    Fonts *f = fonts_load(c);
    assert_non_null(f);
    return f;
}

static Glyphs shaped(Ctx *c, const Fonts *f, FontId id, const char *text) {
    Glyphs g = { 0 };
    font_shape(c, f, id, str_from(c, text), &g);
    return g;
}

static double sum(const Glyphs *g, bool kerned) {
    double wide = 0;
    for (int i = 0; i < g->n; i++)
        wide += kerned ? g->at[i].advance : g->at[i].width;
    return wide;
}

/* ---- OpenType by hand ---- */

static unsigned be(Str s, size_t at, int bytes) {
    unsigned v = 0;
    assert_true(at + (size_t)bytes <= s.n);
    for (int i = 0; i < bytes; i++)
        v = v << 8 | (unsigned char)s.s[at + (size_t)i];
    return v;
}

/* Where a table begins. */
static size_t table(Str font, const char *tag) {
    unsigned n = be(font, 4, 2);
    for (unsigned i = 0; i < n; i++) {
        size_t row = 12 + 16 * (size_t)i;
        if (memcmp(font.s + row, tag, 4) == 0)
            return be(font, row + 8, 4);
    }
    fail_msg("the font has no table %s", tag);
    return 0;
}

static void capitals_are_as_high_as_the_font_says(void **state) {
    Ctx   *c = *state;
    Fonts *f = load(c);

    for (FontId id = 0; id < FONT_COUNT; id++) {
        Str    bytes = font_bytes(f, id);
        double em    = be(bytes, table(bytes, "head") + 18, 2);
        size_t os2   = table(bytes, "OS/2");
        if (be(bytes, os2, 2) < 2)
            continue;   // version 1 of the table has no such row
        assert_near(font_cap_height(f, id, 72),
                    be(bytes, os2 + 88, 2) / em * 25.4, 1e-9);
    }
}

static void an_advance_is_the_one_in_the_font(void **state) {
    Ctx   *c     = *state;
    Fonts *f     = load(c);
    Str    bytes = font_bytes(f, FONT_REGULAR);
    double em    = be(bytes, table(bytes, "head") + 18, 2);
    double most  = be(bytes, table(bytes, "hhea") + 10, 2);
    Glyphs g     = shaped(c, f, FONT_REGULAR, "0123456789");

    /* 1160 of 2000: measured, DEVELOPERS.md section 1 */
    assert_near(em, 2000, 0);
    for (int i = 0; i < g.n; i++) {
        assert_near(g.at[i].width, 1160 / em * 1000, 1e-9);
        assert_true(g.at[i].width <= most / em * 1000);
    }
}

/* ---- Loading ---- */

static bool read_spoilt(Ctx *c, const char *path, Str *text,
                        const char **why) {
    char *bytes;
    if (!real_files.read(c, path, text, why))
        return false;
    if (!strstr(path, "Lato-Bold"))
        return true;
    bytes = str_z(c, *text);
    bytes[text->n / 2] ^= 1;
    text->s = bytes;
    return true;
}

static const Files spoilt_files = { read_spoilt, NULL };

static void a_font_with_one_wrong_bit_is_refused(void **state) {
    Ctx *c = *state;
    c->files = &spoilt_files;
    assert_null(fonts_load(c));
    assert_int_equal(c->errors, 1);
    assert_int_equal(has_diag(c, FILE_READ), 1);
    assert_non_null(strstr(str_z(c, diags_text(c)),
                           "Lato-Bold.ttf is not the font"));
}

static void a_missing_folder_is_reported_for_each_font(void **state) {
    Ctx *c = *state;
    setenv("RODBOOK_FONTS", "/nowhere/at/all", 1);
    assert_null(fonts_load(c));
    unsetenv("RODBOOK_FONTS");
    assert_int_equal(has_diag(c, FILE_READ), FONT_COUNT);
    assert_true(c->io_failed);
}

static void the_folder_can_be_set(void **state) {
    Ctx   *c = *state;
    Fonts *f;
    setenv("RODBOOK_FONTS", FONT_DIR "/.", 1);
    f = load(c);
    unsetenv("RODBOOK_FONTS");
    assert_non_null(strstr(font_path(f, FONT_LIGHT), "/./Lato-Light.ttf"));
}

/* ---- Which font ---- */

static void symbols_come_from_the_symbol_font(void **state) {
    Fonts         *f     = load(*state);
    const uint32_t own[] = { 'A', 0xB0, 0xD7, 0x2033, 0x2212, 0xB1, 0x2044,
                             0xB3, 0x2081, 0x2086, 0xBD, 0xE9 };
    const uint32_t symbols[] = { 0x2713, 0x2610, 0x2300, 0x26A0 };

    for (int i = 0; i < COUNT(own); i++)
        for (FontId id = 0; id <= FONT_LIGHT; id++)
            assert_int_equal(font_for(f, id, own[i]), id);
    for (int i = 0; i < COUNT(symbols); i++)
        assert_int_equal(font_for(f, FONT_BOLD, symbols[i]), FONT_SYMBOL);
}

static void some_characters_are_in_no_font(void **state) {
    Fonts *f = load(*state);
    assert_int_equal(font_for(f, FONT_REGULAR, 0x4E00), FONT_COUNT);
    assert_int_equal(font_for(f, FONT_REGULAR, 0x1F528), FONT_COUNT);
    assert_int_equal(font_for(f, FONT_REGULAR, '\n'), FONT_COUNT);
    assert_int_equal(font_for(f, FONT_REGULAR, 0), FONT_COUNT);
}

static void text_falls_into_runs_of_one_font(void **state) {
    Ctx   *c    = *state;
    Fonts *f    = load(c);
    Str    text = STR("ab ✓☐ cd\xE4\xB8\x80");   // the last: U+4E00
    size_t at   = 0;
    FontId id;

    assert_str(font_run(f, FONT_BOLD, text, &at, &id), "ab ");
    assert_int_equal(id, FONT_BOLD);
    assert_str(font_run(f, FONT_BOLD, text, &at, &id), "✓☐");
    assert_int_equal(id, FONT_SYMBOL);
    assert_str(font_run(f, FONT_BOLD, text, &at, &id), " cd");
    assert_int_equal(id, FONT_BOLD);
    assert_int_equal(font_run(f, FONT_BOLD, text, &at, &id).n, 3);
    assert_int_equal(id, FONT_COUNT);
    assert_int_equal(at, text.n);
}

/* ---- Widths ---- */

static void pairs_are_kerned(void **state) {
    Ctx   *c = *state;
    Fonts *f = load(c);

    for (FontId id = 0; id <= FONT_LIGHT; id++) {
        Glyphs g = shaped(c, f, id, "AVATAR To");
        assert_int_equal(g.n, 9);
        assert_true(sum(&g, true) < sum(&g, false) - 200);
        assert_near(font_width(c, f, id, 10, STR("AVATAR To")),
                    sum(&g, true) / 1000 * 10 / 72 * 25.4, 1e-9);
    }
}

static void digits_are_never_kerned_apart_from_their_column(void **state) {
    Ctx   *c = *state;
    Fonts *f = load(c);
    double w = font_width(c, f, FONT_REGULAR, 8.5, STR("00000"));

    assert_near(font_width(c, f, FONT_REGULAR, 8.5, STR("71417")), w, 1e-9);
    assert_near(font_width(c, f, FONT_REGULAR, 8.5, STR("28953")), w, 1e-9);
}

/* What is remembered of pairs gives the advances that HarfBuzz gives anew:
 * the first run of freshly loaded fonts goes to it as a whole. */
static void remembered_pairs_kern_as_whole_runs_do(void **state) {
    Ctx        *c = *state;
    Fonts      *f = load(c);
    const char *texts[] = { "AVATAR To. WAVE, Ty", "7 3/4 in - f.f,r.'A\\",
                            "\"To\" (Yes) L'T [P.] @V#W", "fjord fi r, y.v",
                            "A\xCC\x81V T\xC2\xADo" };

    for (FontId id = 0; id <= FONT_LIGHT; id++)
        for (int i = 0; i < COUNT(texts); i++) {
            Fonts *fresh = load(c);
            Glyphs whole = shaped(c, fresh, id, texts[i]), g;
            for (size_t k = 0; texts[i][k + 1]; k++)
                if (texts[i][k] > 0 && texts[i][k + 1] > 0)
                    shaped(c, f, id, str_z(c, (Str){ texts[i] + k, 2 }));
            g = shaped(c, f, id, texts[i]);
            assert_int_equal(g.n, whole.n);
            for (int k = 0; k < g.n; k++)
                assert_near(g.at[k].advance, whole.at[k].advance, 0);
        }
}

/* No ligature, no built fraction, no composed accent: what is shaped reads
 * back character by character. */
static void every_character_keeps_its_own_glyph(void **state) {
    Ctx        *c      = *state;
    Fonts      *f      = load(c);
    const char *texts[] = { "fi ffl office", "3 3⁄16", "3 ³⁄₁₆", "1⁄2 × 45°",
                            "soft\xC2\xADhyphen", "re\xCC\x81sume" };

    for (int i = 0; i < COUNT(texts); i++) {
        Str text = str_from(c, texts[i]);
        for (size_t at = 0, k = 0; at < text.n; k = 0) {
            FontId id;
            Glyphs g   = { 0 };
            Str    run = font_run(f, FONT_REGULAR, text, &at, &id);
            font_shape(c, f, id, run, &g);
            for (int n = 0; n < g.n; n++)
                assert_int_equal(g.at[n].ch, utf8_next(run, &k));
            assert_int_equal(k, run.n);
        }
    }
}

static void a_width_with_symbols_is_the_sum_of_its_runs(void **state) {
    Ctx   *c = *state;
    Fonts *f = load(c);
    double a = font_width(c, f, FONT_LIGHT, 12, STR("Leg "));
    double b = font_width(c, f, FONT_SYMBOL, 12, STR("✓"));
    double d = font_width(c, f, FONT_LIGHT, 12, STR(" 4"));

    assert_true(a > 0 && b > 0 && d > 0);
    assert_near(font_width(c, f, FONT_LIGHT, 12, STR("Leg ✓ 4")), a + b + d,
                1e-9);
    assert_near(font_width(c, f, FONT_LIGHT, 12, STR("")), 0, 0);
}

static void shaping_adds_to_what_is_there(void **state) {
    Ctx   *c = *state;
    Fonts *f = load(c);
    Glyphs g = shaped(c, f, FONT_REGULAR, "A");
    font_shape(c, f, FONT_REGULAR, STR("V"), &g);
    assert_int_equal(g.n, 2);
    assert_near(g.at[0].advance, g.at[0].width, 0);   // two runs: no kerning
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(capitals_are_as_high_as_the_font_says),
        TEST(an_advance_is_the_one_in_the_font),
        TEST(a_font_with_one_wrong_bit_is_refused),
        TEST(a_missing_folder_is_reported_for_each_font),
        TEST(the_folder_can_be_set),
        TEST(symbols_come_from_the_symbol_font),
        TEST(some_characters_are_in_no_font),
        TEST(text_falls_into_runs_of_one_font),
        TEST(pairs_are_kerned),
        TEST(remembered_pairs_kern_as_whole_runs_do),
        TEST(digits_are_never_kerned_apart_from_their_column),
        TEST(every_character_keeps_its_own_glyph),
        TEST(a_width_with_symbols_is_the_sum_of_its_runs),
        TEST(shaping_adds_to_what_is_there),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
