/* proof -- reading PDFs back and holding them against what should be.
 *
 * The PDFs are made here: by hand as text, where an operator or a font is
 * the point, and by libharu for whole booklets. All check values follow
 * from ISO 32000-1 (1 pt = 1/72 in = 25.4/72 mm; text matrices 9.4.4;
 * spacing 9.3) unless a line says otherwise.
 */
#include "unit/test.h"

#include <hpdf.h>

#include "proof/proof.h"

#define PT (25.4 / 72)

/* ---- Files in memory ---- */

static Str file_bytes;

static bool memory_read(Ctx *c, const char *path, Str *text,
                        const char **why) {
    (void)c;
    if (strcmp(path, "absent.pdf") == 0) {
        *why = "No such file or directory";
        return false;
    }
    *text = file_bytes;
    return true;
}

static bool memory_write(Ctx *c, const char *path, Str bytes,
                         const char **why) {
    (void)c, (void)path, (void)bytes;
    *why = "not here";
    return false;
}

static const Files memory_files = { memory_read, memory_write };

static const ReadBook *read_bytes(Ctx *c, Str bytes) {
    c->files   = &memory_files;
    file_bytes = bytes;
    return proof_read(c, "stool.pdf");
}

/* ---- PDFs by hand ---- */

typedef struct {
    Buf  b;
    LIST(size_t) offsets;
} Pdf;

static int object(Pdf *p, const char *fmt, ...) LIKE_PRINTF(2, 3);

static int object(Pdf *p, const char *fmt, ...) {
    va_list args;

    *PUSH(p->b.c, &p->offsets) = p->b.n;
    buf_add(&p->b, "%d 0 obj\n", p->offsets.n);
    va_start(args, fmt);
    buf_str(&p->b, str_vfmt(p->b.c, fmt, args));
    va_end(args);
    buf_add(&p->b, "\nendobj\n");
    return p->offsets.n;
}

static int stream(Pdf *p, const char *entries, const char *data) {
    return object(p, "<< %s /Length %zu >>\nstream\n%s\nendstream", entries,
                  strlen(data), data);
}

static Str finish(Pdf *p) {
    size_t xref = p->b.n;

    buf_add(&p->b, "xref\n0 %d\n0000000000 65535 f \n", p->offsets.n + 1);
    for (int i = 0; i < p->offsets.n; i++)
        buf_add(&p->b, "%010zu 00000 n \n", p->offsets.at[i]);
    buf_add(&p->b, "trailer\n<< /Size %d /Root 1 0 R /Info 3 0 R >>\n"
            "startxref\n%zu\n%%%%EOF\n", p->offsets.n + 1, xref);
    return buf_done(&p->b);
}

/* Two fonts: F1 is Type0 with widths 500 but 250 for the space and 1000
 * for M; F2 is simple with widths 600 for digits only. */
static const char to_unicode[] =
    "/CIDInit /ProcSet findresource begin 12 dict begin begincmap\n"
    "1 begincodespacerange <0000> <FFFF> endcodespacerange\n"
    "1 beginbfrange <0020> <00FF> <0020> endbfrange\n"
    "2 beginbfchar <2044> <2044> <F001> <00B3204420840020> endbfchar\n"
    "3 beginbfrange <2070> <20FF> <2070> <2212> <2212> <2212>\n"
    "<E000> <E001> [<0034> <2212>] endbfrange\nendcmap end end";

static const char resources[] =
    "/Resources << /Font << /F1 5 0 R /F2 8 0 R /F3 9 0 R >> "
    "/XObject << /X1 11 0 R >> >>";

/* One page with these entries and operators, and a form X1. */
static Str page_pdf(Ctx *c, const char *entries, const char *content,
                    const char *form_entries, const char *form) {
    Pdf p = { .b = BUF(c) };

    buf_add(&p.b, "%%PDF-1.7\n");
    object(&p, "<< /Type /Catalog /Pages 2 0 R >>");
    object(&p, "<< /Type /Pages /Count 1 /Kids [4 0 R] /MediaBox "
           "[0 0 612 792] %s >>", resources);
    object(&p, "<< /Subject (letter-inch of the stool) >>");
    object(&p, "<< /Type /Page /Parent 2 0 R /Contents 10 0 R %s >>",
           entries);
    object(&p, "<< /Type /Font /Subtype /Type0 /BaseFont /Own /Encoding "
           "/Identity-H /DescendantFonts [6 0 R] /ToUnicode 7 0 R >>");
    object(&p, "<< /Type /Font /Subtype /CIDFontType2 /BaseFont /Own "
           "/DW 500 /W [32 [250] 77 77 1000] >>");
    stream(&p, "", to_unicode);
    object(&p, "<< /Type /Font /Subtype /TrueType /BaseFont /Plain "
           "/Encoding << /BaseEncoding /WinAnsiEncoding /Differences [128 "
           "/threesuperior /fraction /four.subs] >> /FirstChar 48 /Widths "
           "[600 600 600 600 600 600 600 600 600 600] /FontDescriptor "
           "<< /Type /FontDescriptor /MissingWidth 300 >> >>");
    object(&p, "<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>");
    stream(&p, "", content);
    stream(&p, form_entries, form);
    return finish(&p);
}

static const ReadBook *read_content(Ctx *c, const char *content) {
    const ReadBook *b = read_bytes(c, page_pdf(c, "", content, "", ""));

    assert_non_null(b);
    if (c->errors)
        fail_msg("%.*s", STR_ARG(diags_text(c)));
    return b;
}

/* Text for F1: big-endian codes in hexadecimal. */
static const char *hex(Ctx *c, const char *text) {
    Str    s   = { text, strlen(text) };
    Buf    out = BUF(c);
    size_t at  = 0;

    buf_add(&out, "<");
    while (at < s.n)
        buf_add(&out, "%04X", utf8_next(s, &at));
    buf_add(&out, ">");
    return buf_done(&out).s;
}

/* All runs of page 1, joined by "|". */
static Str runs(Ctx *c, const ReadBook *b) {
    ReadRuns r   = read_text(b, 0);
    Buf      out = BUF(c);

    for (int i = 0; i < r.n; i++)
        buf_add(&out, "%s%.*s", i ? "|" : "", STR_ARG(r.at[i].text));
    return buf_done(&out);
}

static Str numerals(Ctx *c, const ReadBook *b) {
    Numerals n   = read_numerals(c, b, 0);
    Buf      out = BUF(c);

    for (int i = 0; i < n.n; i++)
        buf_add(&out, "%s%.*s", i ? "|" : "", STR_ARG(n.at[i].text));
    return buf_done(&out);
}

/* The numerals of a line of text, as they are read from a page. */
static Str numerals_in(Ctx *c, const char *text) {
    Str content = str_fmt(c, "BT /F1 10 Tf 72 700 Td %s Tj ET",
                          hex(c, text));

    return numerals(c, read_content(c, content.s));
}

/* ---- Values ---- */

static void the_value_of_a_numeral_is_that_of_its_print(void **state) {
    static const struct { const char *text; double value; } good[] = {
        { "12", 12 },        { "0.75", 0.75 },    { ".5", 0.5 },
        { "1,250", 1250 },   { "3/4", 0.75 },     { "3 3/4", 3.75 },
        { "3-3/4", 3.75 },   { "3 ³⁄₄", 3.75 },   { "3³⁄₄", 3.75 },
        { "3\u2009³⁄₄", 3.75 },                   { "3¾", 3.75 },
        { "¹¹⁄₁₆", 0.6875 }, { "-3", -3 },        { "−3 1/2", -3.5 },
        { "$7.40", 7.4 },    { "−$2", -2 },       { "3 3/4+", 3.75 },
        { "3 ³⁄₄−", 3.75 },  { "45°", 45 },       { "7 in", 7 },
        { "2⅛", 2.125 },     { "1,250.5", 1250.5 },
    };
    static const char *const bad[] = {
        "", "board", "in³", "3/0", "1x6", "2026-11-25", "3 5/2", "−", "$",
    };
    double value;

    (void)state;
    for (int i = 0; i < COUNT(good); i++) {
        Str text = { good[i].text, strlen(good[i].text) };
        if (!numeral_value(text, &value))
            fail_msg("%s has no value", good[i].text);
        assert_near(value, good[i].value, 1e-12);
    }
    for (int i = 0; i < COUNT(bad); i++) {
        if (numeral_value((Str){ bad[i], strlen(bad[i]) }, &value))
            fail_msg("%s has the value %g", bad[i], value);
    }
}

static void every_digit_group_is_a_numeral(void **state) {
    Ctx *c = *state;

    assert_str(numerals_in(c, "PT-01 of 2026-11-25, 1x6, T3, 18 ga"),
               "01|2026|11|25|1|6|3|18");
    assert_str(numerals_in(c, "3 3/4 x 3-3/4 x 3 ³⁄₄ x 3³⁄₄"),
               "3 3/4|3-3/4|3 ³⁄₄|3³⁄₄");
    assert_str(numerals_in(c, "cost $7.40, fall -3, rise 1,250.5"),
               "$7.40|-3|1,250.5");
    assert_str(numerals_in(c, "40 ft² and 6 in³ of H₂O"), "40|6");
    assert_str(numerals_in(c, "5 9/4 is no whole with a fraction"),
               "5|9/4");
    assert_str(numerals_in(c, "1,2,3 and 12,34 and 1.2.3"),
               "1|2|3|12|34|1.2|3");
}

static void a_mark_is_part_of_the_numeral_unless_a_digit_follows(
    void **state) {
    Ctx *c = *state;

    assert_str(numerals_in(c, "3 ³⁄₄− and 2+ and 4−3 and 2+2"),
               "3 ³⁄₄−|2+|4|3|2|2");
}

/* ---- Text and its places ---- */

static void text_stands_where_its_matrices_put_it(void **state) {
    Ctx *c = *state;
    const ReadBook *b = read_content(c,
        "q 2 0 0 2 72 0 cm BT /F1 5 Tf 1.5 0 0 1.5 0 300 Tm <00310032> Tj "
        "ET Q BT /F1 10 Tf 72 500 Td 14 TL <0033> Tj T* <0034> Tj "
        "0 -20 TD <0035> Tj <0036> ' 1 2 <0037> \" ET");
    ReadRuns r = read_text(b, 0);

    assert_str(runs(c, b), "12|3|4|5|6|7");
    assert_near(r.at[0].at.x, 72 * PT, 1e-6);
    assert_near(r.at[0].at.y, (792 - 600) * PT, 1e-6);
    assert_near(r.at[0].width, 2 * 0.5 * 15 * PT, 1e-6);
    assert_near(r.at[2].at.y, (792 - 486) * PT, 1e-6);
    assert_near(r.at[3].at.y, (792 - 466) * PT, 1e-6);
    assert_near(r.at[4].at.y, (792 - 446) * PT, 1e-6);
    assert_near(r.at[5].at.y, (792 - 426) * PT, 1e-6);
    assert_str(read_subject(b), "letter-inch of the stool");
    assert_near(read_paper(b, 0).max.x, 215.9, 1e-9);
}

static void kerned_text_is_one_run_and_wide_gaps_part_it(void **state) {
    Ctx *c = *state;
    const ReadBook *b = read_content(c,
        "BT /F1 10 Tf 72 700 Td [<0031> 60 <0032> -200 <0033> -400 <0034> "
        "-2000 <0035>] TJ ET");
    ReadRuns r = read_text(b, 0);

    /* gaps in em: -0.06, 0.2, 0.4, 2 */
    assert_str(runs(c, b), "123 4|5");
    assert_near(r.at[0].width, (4 * 5 - 0.6 + 2 + 4) * PT, 1e-6);
    assert_near(r.at[1].at.x, (72 + 20 - 0.6 + 2 + 4 + 20) * PT, 1e-6);
}

static void spacing_and_stretch_move_what_follows(void **state) {
    Ctx *c = *state;
    const ReadBook *b = read_content(c,
        "BT /F2 10 Tf 1 Tc 0.5 Tw 200 Tz 72 700 Td (1 2) Tj ET "
        "BT 0 Tc 0 Tw 100 Tz 72 600 Td (777) Tj ET");
    ReadRuns r = read_text(b, 0);

    /* 2 * (6 + 1), 2 * (3 + 1 + 0.5), 2 * 6 */
    assert_str(runs(c, b), "1 2|777");
    assert_near(r.at[0].width, (14 + 9 + 12) * PT, 1e-6);
    assert_near(r.at[1].width, 18 * PT, 1e-6);
}

static void runs_join_over_separate_drawings(void **state) {
    Ctx *c = *state;
    /* fraction first, then its whole number; 2 mm = 5.67 pt */
    const ReadBook *b = read_content(c,
        "BT /F1 10 Tf 80 700 Td <00B3204420840020> Tj ET "
        "BT /F1 10 Tf 72 700 Td <0033> Tj ET "
        "BT /F1 10 Tf 72 600 Td <0033> Tj ET "
        "BT /F1 10 Tf 83 600 Td <F001> Tj ET "
        "BT /F1 10 Tf 72 500 Td <0033> Tj 3.1 0 Td <0033> Tj ET");

    assert_str(numerals(c, b), "3 ³⁄₄|3|³⁄₄|33");
    assert_near(read_numerals(c, b, 0).at[0].width, (8 + 15) * PT, 1e-6);
}

static void text_drawn_twice_is_read_once(void **state) {
    Ctx *c = *state;

    assert_str(runs(c, read_content(c,
        "BT /F1 10 Tf 72 700 Td <00310033> Tj ET "
        "BT /F1 10 Tf 72.2 700 Td <00310033> Tj ET")), "13");
}

static void turned_text_runs_along_its_own_direction(void **state) {
    Ctx *c = *state;
    const ReadBook *b = read_content(c,
        "BT /F1 10 Tf 0 1 -1 0 100 200 Tm <00310032> Tj ET "
        "BT /F1 10 Tf 100 200 Td <0037> Tj ET");
    ReadRuns r = read_text(b, 0);

    assert_int_equal(r.n, 2);
    assert_str(runs(c, b), "7|12");
    assert_near(r.at[1].at.x, 100 * PT, 1e-6);
    assert_near(r.at[1].at.y, 592 * PT, 1e-6);
    assert_near(r.at[1].width, 10 * PT, 1e-6);
}

static void fonts_tell_their_characters(void **state) {
    Ctx *c = *state;

    assert_str(runs(c, read_content(c,
        "BT /F1 10 Tf 72 700 Td <E000E001> Tj ET "
        "BT /F2 10 Tf 72 600 Td (7 \\200\\201\\202) Tj ET "
        "BT /F2 10 Tf 72 500 Td (8\\2603\\\\\\)\\(\\053) Tj ET "
        "BT /F3 10 Tf 72 400 Td (9) Tj ET")), "4−|7 ³⁄₄|8°3\\)(+|9");
}

static void unseen_text_and_images_hold_no_numerals(void **state) {
    Ctx *c = *state;

    assert_str(numerals(c, read_content(c,
        "BT /F1 10 Tf 72 700 Td 3 Tr <0031> Tj 0 Tr <0032> Tj ET "
        "BI /W 4 /H 1 /BPC 8 /CS /G ID (3) Tj BT EI "
        "BT /F1 10 Tf 72 600 Td <0034> Tj ET % (5) Tj\n"
        "/P << /MCID 0 /Alt (6) >> BDC BT 72 500 Td <0037> Tj ET EMC")),
        "2|4|7");
}

static void forms_user_units_and_turned_pages_are_placed(void **state) {
    Ctx *c = *state;
    const ReadBook *b = read_bytes(c, page_pdf(c,
        "/UserUnit 2 /CropBox [100 50 500 700]",
        "q 1 0 0 1 100 100 cm /X1 Do Q BT /F1 10 Tf 110 60 Td <0035> Tj ET",
        "/Type /XObject /Subtype /Form /BBox [0 0 90 90] /Matrix "
        "[2 0 0 2 5 7]", "BT /F1 10 Tf 10 20 Td <0034> Tj ET Q Q "
        "10 10 m 200 10 l S"));
    ReadRuns r = read_text(b, 0);
    Rings    s = read_strokes(b, 0);

    assert_str(runs(c, b), "4|5");
    assert_near(read_paper(b, 0).max.x, 800 * PT, 1e-6);
    assert_near(r.at[0].at.x, 2 * (100 + 5 + 20 - 100) * PT, 1e-6);
    assert_near(r.at[0].at.y, 2 * (700 - 100 - 7 - 40) * PT, 1e-6);
    assert_near(r.at[1].at.x, 20 * PT, 1e-6);
    assert_int_equal(s.n, 1);   // cut off at the form's box
    assert_near(s.at[0].at[0].x, 2 * (5 + 20) * PT, 1e-6);
    assert_near(s.at[0].at[1].x, 2 * (5 + 180) * PT, 1e-6);

    b = read_bytes(c, page_pdf(c, "/Rotate 90",
        "BT /F1 10 Tf 0 1 -1 0 500 20 Tm <0038> Tj ET", "", ""));
    assert_near(read_paper(b, 0).max.x, 792 * PT, 1e-6);
    assert_near(read_text(b, 0).at[0].at.x, 20 * PT, 1e-6);
    assert_near(read_text(b, 0).at[0].at.y, 500 * PT, 1e-6);
}

/* ---- Strokes ---- */

static void strokes_are_what_is_stroked(void **state) {
    Ctx *c = *state;
    Rings s = read_strokes(read_content(c,
        "10 10 m 20 10 l 20 20 l h S 0 0 5 5 re f 30 30 m 40 30 l n "
        "50 50 20 10 re s q 0 0 100 65 re W n 60 60 m 60 70 l S Q "
        "60 80 m 60 90 l B"), 0);

    assert_int_equal(s.n, 4);
    assert_int_equal(s.at[0].n, 4);
    assert_near(s.at[0].at[3].x, 10 * PT, 1e-9);
    assert_int_equal(s.at[1].n, 5);
    assert_near(s.at[2].at[1].y, 65 * PT, 1e-9);   // cut off by the clip
    assert_near(s.at[3].at[1].y, 90 * PT, 1e-9);
}

/* A quarter circle of 100 mm as one cubic, k = 4/3 tan(22.5 degrees): it
 * strays from the circle by 0.027 % of the radius, outward. */
static void curves_are_followed_closely(void **state) {
    Ctx   *c = *state;
    double r = 100 / PT, k = 4.0 / 3 * tan(3.14159265358979 / 8) * r;
    Str    content = str_fmt(c, "%.5f 0 m %.5f %.5f %.5f %.5f 0 %.5f c S",
                             r, r, k, k, r, r);
    Rings  s = read_strokes(read_content(c, content.s), 0);

    assert_int_equal(s.n, 1);
    assert_true(s.at[0].n > 50);
    for (int i = 0; i + 1 < s.at[0].n; i++) {
        V2 a = s.at[0].at[i], b = s.at[0].at[i + 1];
        double middle = hypot((a.x + b.x) / 2, (a.y + b.y) / 2);
        assert_near(middle, 100.0135, 0.0150);
    }
}

/* ---- A booklet by libharu ---- */

#define PAGES 7

typedef struct {
    int    skip;          // page that is left out, or -1
    int    wrong;         // page whose length has one digit changed, or -1
    bool   swap;          // pages 3 and 4 trade places
    double scale;         // of the template on page 5
    bool   a4;
    bool   strange;       // one more numeral on page 2
    bool   silent;        // page 1 lacks its count
    int    rows;          // of a table with numerals of each page's own
} Making;

static const Making as_designed = { -1, -1, false, 1, false, false, false,
                                    0 };

static void show(HPDF_Page page, double x, double down, const char *text) {
    HPDF_Page_BeginText(page);
    HPDF_Page_MoveTextPos(page, (HPDF_REAL)(x / PT),
                          (HPDF_REAL)(HPDF_Page_GetHeight(page)
                                      - down / PT));
    HPDF_Page_ShowText(page, text);
    HPDF_Page_EndText(page);
}

static void draw_template(HPDF_Page page, double scale) {
    double k = scale / PT;

    HPDF_Page_Rectangle(page, (HPDF_REAL)(30 / PT), (HPDF_REAL)(40 / PT),
                        (HPDF_REAL)(150 * k), (HPDF_REAL)(95.25 * k));
    HPDF_Page_Stroke(page);
}

/* Each page i has: its number, the code, a length 1i 3/4, and i pieces. */
static void draw_page(Ctx *c, HPDF_Doc d, int i, const Making *how) {
    HPDF_Page page = HPDF_AddPage(d);
    HPDF_Font font = HPDF_GetFont(d, "Helvetica", "WinAnsiEncoding");

    HPDF_Page_SetSize(page, how->a4 ? HPDF_PAGE_SIZE_A4
                                    : HPDF_PAGE_SIZE_LETTER,
                      HPDF_PAGE_PORTRAIT);
    HPDF_Page_SetFontAndSize(page, font, 10);
    show(page, 20, 260, str_fmt(c, "page %d of %d", i + 1, PAGES).s);
    show(page, 90, 260, "Stool ST-02");
    show(page, 20, 50, str_fmt(c, "cut to 1%d %d\xBE inches", i,
                               how->wrong == i ? 8 : 7).s);
    show(page, 20, 60, "A");
    if (!how->silent || i != 1)
        show(page, 60, 60, str_fmt(c, "%d pieces", 20 + i).s);
    if (how->strange && i == 2)
        show(page, 60, 100, "and 99 more");
    for (int k = 0; k < how->rows; k++)
        show(page, 20, 150 + 5 * k, str_fmt(c, "%d", 100 * i + k).s);
    if (i == 5)
        draw_template(page, how->scale);
}

static Str make_booklet(Ctx *c, const Making *how) {
    HPDF_Doc    d = HPDF_New(NULL, NULL);
    HPDF_UINT32 n;
    char       *bytes;

    HPDF_SetCompressionMode(d, HPDF_COMP_ALL);
    for (int i = 0; i < PAGES; i++) {
        if (i == how->skip)
            continue;
        draw_page(c, d, how->swap && (i == 3 || i == 4) ? 7 - i : i, how);
    }
    HPDF_SaveToStream(d);
    n     = HPDF_GetStreamSize(d);
    bytes = arena_take(&c->arena, n);
    HPDF_ReadFromStream(d, (HPDF_BYTE *)bytes, &n);
    HPDF_Free(d);
    return (Str){ bytes, n };
}

/* Widths of Helvetica as libharu knows them, so that places do not come
 * from the code under test. */
static double helvetica_mm(Ctx *c, const char *text) {
    HPDF_Doc       d = HPDF_New(NULL, NULL);
    HPDF_Font      f = HPDF_GetFont(d, "Helvetica", "WinAnsiEncoding");
    HPDF_TextWidth w = HPDF_Font_TextWidth(f, (const HPDF_BYTE *)text,
                                           (HPDF_UINT)strlen(text));
    (void)c;
    HPDF_Free(d);
    return w.width * 0.01 * PT;
}

static void claim(Ctx *c, Expected *e, int page, double x, double y,
                  const char *before, Str shown, const char *source) {
    Claim *k = PUSH(c, &e->claims);

    k->page   = page;
    k->at     = v2(x + helvetica_mm(c, before), y);
    k->width  = 2 * (double)shown.n;
    k->shown  = shown;
    k->source = str_from(c, source);
}

static void claim_page(Ctx *c, Expected *e, int i) {
    Str    number = str_fmt(c, "%d", i + 1), pages = str_fmt(c, "%d", PAGES);
    Claim *length;

    claim(c, e, i, 20, 260, "page ", number, "page");
    claim(c, e, i, 20, 260, str_fmt(c, "page %d of ", i + 1).s, pages,
          "pages");
    claim(c, e, i, 90, 260, "Stool ", STR("ST-02"), "code");
    claim(c, e, i, 20, 50, "cut to ", str_fmt(c, "1%d", i), "A.width");
    claim(c, e, i, 20, 50, str_fmt(c, "cut to 1%d ", i).s,
          STR("7 3/4"), "A.length");
    length = &e->claims.at[e->claims.n - 1];
    length->measured = true;
    length->value    = 7.76;
    length->step     = 1.0 / 16;
    claim(c, e, i, 60, 60, "", str_fmt(c, "%d", 20 + i), "A.count");
}

static Expected *expected(Ctx *c) {
    Expected  *e = NEW(c, Expected);
    TrueShape *t;

    e->pages  = PAGES;
    e->width  = 215.9;
    e->height = 279.4;
    for (int i = 0; i < PAGES; i++)
        claim_page(c, e, i);
    t         = PUSH(c, &e->shapes);
    t->page   = 5;
    t->what   = STR("part A");
    t->shape  = shape_rect(c, v2(30, 40), v2(180, 135.25));
    t->window = (Box2){ { 16, 20 }, { 199, 248 } };
    return e;
}

static const Findings *proof_of(Ctx *c, const Making *how,
                                const Expected *should) {
    const ReadBook *b = read_bytes(c, make_booklet(c, how));

    assert_non_null(b);
    if (c->errors)
        fail_msg("%.*s", STR_ARG(diags_text(c)));
    return proof_booklet(c, b, should);
}

/* The one finding that there is. */
static const Finding *only(Ctx *c, const Findings *f, FindingKind kind) {
    if (f->list.n != 1 || f->list.at[0].kind != kind)
        fail_msg("not one finding of kind %d but:\n%.*s", (int)kind,
                 STR_ARG(findings_text(c, f)));
    return &f->list.at[0];
}

static void a_booklet_as_designed_has_no_findings(void **state) {
    Ctx *c = *state;
    const Findings *f = proof_of(c, &as_designed, expected(c));

    assert_str(findings_text(c, f), "7 pages, 42 numerals: 42 agree; 1 "
               "true-size shape right; nothing to correct\n");
}

static void one_changed_digit_is_found_and_told(void **state) {
    Ctx    *c   = *state;
    Making  how = as_designed;
    const Finding *found;
    const Findings *f;
    Str     text;

    how.wrong = 6;
    f     = proof_of(c, &how, expected(c));
    found = only(c, f, FINDING_DISAGREES);
    assert_int_equal(found->page, 6);
    assert_str(found->says, "8¾");
    assert_str(found->should, "7 3/4");
    assert_int_equal(f->numerals, 42);
    assert_int_equal(f->agree, 41);
    text = findings_text(c, f);
    if (!str_begins(text, "page 7, 35 mm from the left, 50 mm down: says "
                    "8¾, should say 7 3/4 (A.length)\n7 pages, "))
        fail_msg("%.*s", STR_ARG(text));
}

static void a_code_with_a_changed_digit_is_told_whole(void **state) {
    Ctx      *c = *state;
    Expected *e = expected(c);
    const Finding *found;

    e->claims.at[2].shown = STR("ST-03");
    found = only(c, proof_of(c, &as_designed, e), FINDING_DISAGREES);
    assert_str(found->says, "ST-02");
    assert_near(found->at.x, 90 + helvetica_mm(c, "Stool "), 0.01);
}

static void a_numeral_of_no_figure_is_found(void **state) {
    Ctx   *c   = *state;
    Making how = as_designed;
    const Finding *found;

    how.strange = true;
    found = only(c, proof_of(c, &how, expected(c)), FINDING_UNKNOWN);
    assert_str(found->says, "99");
    assert_int_equal(found->page, 2);
    assert_near(found->at.x, 60 + helvetica_mm(c, "and "), 0.01);
    assert_near(found->at.y, 100, 0.01);
}

static void a_figure_that_is_not_printed_is_found(void **state) {
    Ctx   *c   = *state;
    Making how = as_designed;
    const Finding *found;

    how.silent = true;
    found = only(c, proof_of(c, &how, expected(c)), FINDING_MISSING);
    assert_str(found->should, "21");
    assert_str(found->source, "A.count");
}

static void a_dropped_page_is_one_finding(void **state) {
    Ctx   *c   = *state;
    Making how = as_designed;

    for (how.skip = 0; how.skip < PAGES; how.skip++) {
        const Findings *f = proof_of(c, &how, expected(c));
        assert_int_equal(only(c, f, FINDING_PAGES)->page, how.skip);
        assert_int_equal(f->agree, 36);
    }
}

static void a_page_too_many_is_one_finding(void **state) {
    Ctx      *c = *state;
    Expected *e = expected(c), *fewer = NEW(c, Expected);

    *fewer = *e;
    fewer->pages = 6;
    fewer->claims.n = 0;
    fewer->claims.at = NULL;
    fewer->claims.cap = 0;
    for (int i = 0; i < e->claims.n; i++) {
        Claim k = e->claims.at[i];
        if (k.page == 2)
            continue;
        k.page -= k.page > 2;
        *PUSH(c, &fewer->claims) = k;
    }
    fewer->shapes.at[0].page = 4;
    assert_int_equal(only(c, proof_of(c, &as_designed, fewer),
                          FINDING_PAGES)->page, 2);
}

static void swapped_pages_are_found(void **state) {
    Ctx   *c   = *state;
    Making how = as_designed;
    Expected *e = expected(c);
    const Findings *f;

    how.swap = true;
    f = proof_of(c, &how, e);
    assert_int_equal(f->list.n, 6);   // page, width and count on each
    for (int i = 0; i < f->list.n; i++)
        assert_true(f->list.at[i].page == 3 || f->list.at[i].page == 4);

    how.rows = 12;
    for (int i = 0; i < PAGES * how.rows; i++)
        claim(c, e, i / how.rows, 20, 150 + 5 * (i % how.rows), "",
              str_fmt(c, "%d", 100 * (i / how.rows) + i % how.rows), "row");
    f = proof_of(c, &how, e);
    assert_int_equal(f->list.n, 2);   // one lost, one that is strange there
    assert_int_equal(f->list.at[0].kind, FINDING_PAGES);
    assert_int_equal(f->list.at[1].kind, FINDING_PAGES);
}

static void wrong_paper_is_one_finding(void **state) {
    Ctx      *c   = *state;
    Making    how = as_designed;
    Expected *e   = expected(c);

    how.a4 = true;
    assert_str(only(c, proof_of(c, &how, e), FINDING_PAGES)->says,
               "the paper is 210.0 x 297.0 mm, here and on 6 more");
}

static void a_template_half_a_percent_off_is_found(void **state) {
    Ctx   *c   = *state;
    Making how = as_designed;
    const Finding *found;

    how.scale = 1.005;
    found = only(c, proof_of(c, &how, expected(c)), FINDING_SCALE);
    assert_str(found->source, "part A");
    assert_str(found->says, "0.75 mm off");   // 0.5 % of 150 mm
    how.scale = 0.995;   // its corner: 0.5 % of the diagonal
    assert_str(only(c, proof_of(c, &how, expected(c)), FINDING_SCALE)->says,
               "0.89 mm off");
    how.scale = 1.0002;   // 0.03 mm over 150 mm: within 0.05 mm
    assert_int_equal(proof_of(c, &how, expected(c))->list.n, 0);
}

static void a_missing_piece_of_an_outline_is_found(void **state) {
    Ctx       *c = *state;
    Expected  *e = expected(c);
    TrueShape *t = PUSH(c, &e->shapes);

    *t       = e->shapes.at[0];
    t->what  = STR("part B");
    t->shape = shape_circle(c, v2(100, 90), 3);
    assert_str(only(c, proof_of(c, &as_designed, e), FINDING_SCALE)->says,
               "no line within 12 mm");
    e->shapes.n = 1;
    e->shapes.at[0].window = (Box2){ { 0, 0 }, { 10, 10 } };
    assert_str(only(c, proof_of(c, &as_designed, e), FINDING_SCALE)->says,
               "nothing of it lies in its window");
}

static void a_figure_must_say_its_own_value(void **state) {
    Ctx      *c = *state;
    Expected *e = expected(c);
    Claim    *k = &e->claims.at[4];   // 7 3/4, step 1/16

    k->value = 7.75 + 1.0 / 32;
    assert_int_equal(proof_of(c, &as_designed, e)->list.n, 0);
    k->value = 7.75 + 1.0 / 32 + 1e-5;
    assert_str(only(c, proof_of(c, &as_designed, e),
                    FINDING_DISAGREES)->should, "7.78126");
}

static void two_figures_may_stand_close_together(void **state) {
    Ctx      *c = *state;
    Expected *e = NEW(c, Expected);
    const ReadBook *b = read_content(c,
        "BT /F1 10 Tf 72 700 Td <00330020F001> Tj ET");

    e->pages  = 1;
    e->width  = 215.9;
    e->height = 279.4;
    claim(c, e, 0, 72 * PT, 92 * PT, "", STR("3"), "count");
    assert_str(only(c, proof_booklet(c, b, e), FINDING_DISAGREES)->says,
               "3 ³⁄₄");
    claim(c, e, 0, 79.5 * PT, 92 * PT, "", STR("¾"), "width");
    assert_int_equal(proof_booklet(c, b, e)->list.n, 0);
    assert_int_equal(proof_booklet(c, b, e)->agree, 1);
}

/* ---- Broken files ---- */

static void what_is_no_pdf_is_told(void **state) {
    Ctx *c = *state;

    assert_null(read_bytes(c, STR("puppet theater")));
    assert_null(read_bytes(c, STR("")));
    assert_null(read_bytes(c, STR("%PDF-1.7\n%%EOF\n")));
    assert_int_equal(has_diag(c, PDF_READ), 3);
    assert_null(proof_read(c, "absent.pdf"));
    assert_int_equal(has_diag(c, FILE_READ), 1);
    assert_true(c->io_failed);
}

static void a_font_without_a_map_is_told(void **state) {
    Ctx *c = *state;
    Str  s = str_copy(c, page_pdf(c, "", "BT /F1 9 Tf <0031> Tj ET", "",
                                  ""));
    size_t at = 0;

    while (!str_begins(str_part(s, at, s.n), "/ToUnicode"))
        at++;
    memcpy((char *)s.s + at, "/NoUnicode", 10);
    assert_non_null(read_bytes(c, s));
    assert_int_equal(has_diag(c, PDF_READ), 1);
}

/* In a Ctx of its own, so that memory does not pile up. */
static bool survives(Str bytes, const char *what, size_t n) {
    Ctx  c;
    bool told;
    const ReadBook *b;

    ctx_init(&c, &memory_files);
    b = read_bytes(&c, bytes);
    if (!b && c.errors == 0)
        fail_msg("%s %zu: no book and no message", what, n);
    if (b)
        findings_text(&c, proof_booklet(&c, b, expected(&c)));
    told = c.errors > 0;
    ctx_free(&c);
    return told;
}

static void a_truncated_file_is_told_wherever_it_ends(void **state) {
    Ctx   *c   = *state;
    Str    all = make_booklet(c, &as_designed);
    size_t end = all.n;

    while (!str_begins(str_part(all, end, all.n), "startxref"))
        end--;
    for (size_t n = 0; n < end; n += 97) {
        if (!survives(str_part(all, 0, n), "cut at", n))
            fail_msg("cut at %zu is not told", n);
    }
    assert_false(survives(all, "whole", all.n));
}

/* Reproducible: a linear congruential generator (from memory). */
static uint32_t next_random(uint32_t *state) {
    *state = *state * 1664525u + 1013904223u;
    return *state >> 8;
}

static void mutated(Ctx *c, Str all, int times) {
    uint32_t random = 7;

    for (int i = 0; i < times; i++) {
        Str   s     = str_copy(c, all);
        char *bytes = (char *)s.s;
        int   n     = 1 + (int)(next_random(&random) % 12);
        while (n-- > 0) {
            size_t at = next_random(&random) % s.n;
            bytes[at] = (char)(unsigned char)next_random(&random);
        }
        survives(s, "mutation", (size_t)i);
    }
}

static void mutated_bytes_never_crash(void **state) {
    Ctx *c = *state;

    mutated(c, make_booklet(c, &as_designed), 150);
    mutated(c, page_pdf(c, "/UserUnit 2",
        "q 2 0 0 2 72 0 cm BT /F1 5 Tf 1.5 0 0 1.5 0 300 Tm [<00310032> 7 "
        "(a\\)\\061)] TJ ET Q /X1 Do 0 0 m 1 2 3 4 5 6 c 1 2 3 4 v S "
        "BI /W 1 ID abc EI 0 0 9 9 re W* n",
        "/Type /XObject /Subtype /Form /BBox [0 0 90 90]",
        "BT /F2 10 Tf 10 20 Td <0034> Tj ET /X1 Do"), 400);
}

static void forms_that_draw_themselves_end(void **state) {
    Ctx *c = *state;
    const ReadBook *b = read_bytes(c, page_pdf(c, "", "/X1 Do",
        "/Type /XObject /Subtype /Form /BBox [0 0 90 90]",
        "BT /F1 9 Tf 5 5 Td <0034> Tj ET /X1 Do /X1 Do /X1 Do"));

    assert_non_null(b);
    assert_str(runs(c, b), "4");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(the_value_of_a_numeral_is_that_of_its_print),
        TEST(every_digit_group_is_a_numeral),
        TEST(a_mark_is_part_of_the_numeral_unless_a_digit_follows),
        TEST(text_stands_where_its_matrices_put_it),
        TEST(kerned_text_is_one_run_and_wide_gaps_part_it),
        TEST(spacing_and_stretch_move_what_follows),
        TEST(runs_join_over_separate_drawings),
        TEST(text_drawn_twice_is_read_once),
        TEST(turned_text_runs_along_its_own_direction),
        TEST(fonts_tell_their_characters),
        TEST(unseen_text_and_images_hold_no_numerals),
        TEST(forms_user_units_and_turned_pages_are_placed),
        TEST(strokes_are_what_is_stroked),
        TEST(curves_are_followed_closely),
        TEST(a_booklet_as_designed_has_no_findings),
        TEST(one_changed_digit_is_found_and_told),
        TEST(a_code_with_a_changed_digit_is_told_whole),
        TEST(a_numeral_of_no_figure_is_found),
        TEST(a_figure_that_is_not_printed_is_found),
        TEST(a_dropped_page_is_one_finding),
        TEST(a_page_too_many_is_one_finding),
        TEST(swapped_pages_are_found),
        TEST(wrong_paper_is_one_finding),
        TEST(a_template_half_a_percent_off_is_found),
        TEST(a_missing_piece_of_an_outline_is_found),
        TEST(a_figure_must_say_its_own_value),
        TEST(two_figures_may_stand_close_together),
        TEST(what_is_no_pdf_is_told),
        TEST(a_font_without_a_map_is_told),
        TEST(a_truncated_file_is_told_wherever_it_ends),
        TEST(mutated_bytes_never_crash),
        TEST(forms_that_draw_themselves_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
