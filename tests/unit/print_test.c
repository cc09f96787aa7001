/* A Booklet as PDF. The judges are not ours: qpdf reads the file back (its
 * C functions and `qpdf --check`), poppler's tools tell fonts, paper, text
 * and how wide the words came out. */
#include "unit/test.h"

#include <signal.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <qpdf/qpdf-c.h>

#include "print/print.h"

#define POINTS (72 / 25.4)

/* ---- Making booklets ---- */

static Booklet *booklet(Ctx *c, bool a4, int pages) {
    Booklet *b = NEW(c, Booklet);

    b->edition.a4 = a4;
    b->width   = a4 ? 210 : 215.9;
    b->height  = a4 ? 297 : 279.4;
    b->title   = STR("Puppet theater — ½″ boards");
    b->author  = STR("Workshop (test)");
    b->subject = STR("letter-inch");
    b->date    = STR("2026-11-25");
    b->fonts   = fonts_load(c);
    assert_non_null(b->fonts);
    for (int i = 0; i < pages; i++)
        PUSH(c, &b->pages)->section = STR("Test");
    return b;
}

static Mark *mark(Ctx *c, Booklet *b, int page, MarkKind kind) {
    Mark *m = PUSH(c, &b->pages.at[page].marks);
    m->kind = kind;
    return m;
}

static Mark *text(Ctx *c, Booklet *b, int page, FontId font, double size,
                  double x, double y, const char *words) {
    Mark *m = mark(c, b, page, MARK_TEXT);
    m->text = str_from(c, words);
    m->font = font;
    m->size = size;
    m->ink  = INK_BLACK;
    m->at   = v2(x, y);
    return m;
}

static Mark *path(Ctx *c, Booklet *b, int page, Ink stroke, double width,
                  Ink fill) {
    Mark *m = mark(c, b, page, MARK_PATH);
    m->stroke = stroke;
    m->width  = width;
    m->fill   = fill;
    return m;
}

static void op(Ctx *c, Mark *m, char what, V2 p0, V2 p1, V2 p2) {
    *PUSH(c, &m->path) = (PathOp){ what, { p0, p1, p2 } };
}

static void line(Ctx *c, Mark *m, V2 from, V2 to) {
    op(c, m, 'M', from, v2(0, 0), v2(0, 0));
    op(c, m, 'L', to, v2(0, 0), v2(0, 0));
}

static void rect(Ctx *c, Mark *m, double x, double y, double w, double h) {
    line(c, m, v2(x, y), v2(x + w, y));
    op(c, m, 'L', v2(x + w, y + h), v2(0, 0), v2(0, 0));
    op(c, m, 'L', v2(x, y + h), v2(0, 0), v2(0, 0));
    op(c, m, 'Z', v2(0, 0), v2(0, 0), v2(0, 0));
}

static Str printed(Ctx *c, const Booklet *b) {
    Str bytes = { 0 };
    if (!print_pdf(c, b, &bytes))
        fail_msg("%s", str_z(c, diags_text(c)));
    return bytes;
}

/* ---- Asking others ---- */

static Str output_of(Ctx *c, const char *command) {
    Buf   out = BUF(c);
    char  part[4096];
    FILE *p = popen(command, "r");

    assert_non_null(p);
    for (size_t n; (n = fread(part, 1, sizeof part, p)) > 0; )
        buf_str(&out, (Str){ part, n });
    assert_int_equal(pclose(p), 0);
    return buf_done(&out);
}

/* Runs a command with the PDF's path in place of %s. */
static const char *ask(Ctx *c, Str pdf, const char *command) {
    char        dir[] = "/tmp/rodbook-print-XXXXXX";
    const char *file;
    Str         out;

    assert_non_null(mkdtemp(dir));
    file = str_z(c, str_fmt(c, "%s/t.pdf", dir));
    assert_true(file_write(c, file, pdf));
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wformat-nonliteral"
#pragma GCC diagnostic ignored "-Wformat-security"
    out = output_of(c, str_z(c, str_fmt(c, command, file)));
#pragma GCC diagnostic pop
    assert_int_equal(unlink(file), 0);
    assert_int_equal(rmdir(dir), 0);
    return str_z(c, out);
}

static bool says(const char *text, const char *part) {
    return strstr(text, part) != NULL;
}

/* The operators of a page. */
static const char *page_ops(Ctx *c, Str pdf, int page) {
    qpdf_data      q   = qpdf_init();
    unsigned char *ops = NULL;
    size_t         n   = 0;
    Str            copy;

    assert_int_equal(qpdf_read_memory(q, "t.pdf", pdf.s, pdf.n, NULL), 0);
    assert_int_equal(qpdf_oh_get_page_content_data(
                         q, qpdf_get_page_n(q, (size_t)page), &ops, &n), 0);
    copy = str_copy(c, (Str){ (char *)ops, n });
    free(ops);
    assert_false(qpdf_more_warnings(q));
    qpdf_cleanup(&q);
    return str_z(c, copy);
}

/* An entry of the page's dictionary, as text. */
static const char *page_dict(Ctx *c, Str pdf, int page, const char *key) {
    qpdf_data   q = qpdf_init();
    const char *s;

    assert_int_equal(qpdf_read_memory(q, "t.pdf", pdf.s, pdf.n, NULL), 0);
    s = qpdf_oh_unparse_resolved(
        q, qpdf_oh_get_key(q, qpdf_get_page_n(q, (size_t)page), key));
    s = str_z(c, str_from(c, s));
    qpdf_cleanup(&q);
    return s;
}

/* An entry of the document's catalog, as text. */
static const char *catalog(Ctx *c, Str pdf, const char *key) {
    qpdf_data   q = qpdf_init();
    const char *s;

    assert_int_equal(qpdf_read_memory(q, "t.pdf", pdf.s, pdf.n, NULL), 0);
    s = qpdf_oh_unparse_resolved(
        q, qpdf_oh_get_key(q, qpdf_get_root(q), key));
    s = str_z(c, str_from(c, s));
    qpdf_cleanup(&q);
    return s;
}

/* The numbers before the n-th operator `what` (a whole word),
 * which ends a line. */
static const char *before(const char *ops, const char *what, int nth) {
    const char *line = ops, *end;
    size_t      n = strlen(what);

    for (; (end = strchr(line, '\n')) != NULL; line = end + 1) {
        size_t length = (size_t)(end - line);
        if (length >= n && memcmp(end - n, what, n) == 0
            && (length == n || end[-(long)n - 1] == ' ') && nth-- == 0)
            return line;
    }
    fail_msg("the page has no such operator: %s", what);
    return "";
}

static void numbers(const char *line, int n, double *out) {
    char *end;
    for (int i = 0; i < n; i++, line = end) {
        out[i] = strtod(line, &end);
        assert_ptr_not_equal(line, end);
    }
}

/* ---- A booklet with some of everything ---- */

#define ALL_SIGNS "3 ³⁄₁₆ × 95° ″ − ± ✓ ☐ → ⌀"

static void draw_page_one(Ctx *c, Booklet *b) {
    const Ink inks[] = { INK_BLACK, INK_GRAY, INK_SHADE, INK_PALE, INK_ZEBRA,
                         INK_TINT, INK_ACCENT, INK_WHITE };
    Mark *m;

    text(c, b, 0, FONT_LIGHT, 40, 20, 40, "Puppet theater");
    text(c, b, 0, FONT_BOLD, 16, 20, 55, "AVATAR To WAY fi ffl");
    text(c, b, 0, FONT_REGULAR, 12, 20, 65, ALL_SIGNS);
    text(c, b, 0, FONT_REGULAR, 8.5, 20, 72, "Café – “quoted” ⅛ ¾ ′ ≈ ≤");
    text(c, b, 0, FONT_REGULAR, 10, 15, 150, "turned 90°")->turn = 90;
    for (int i = 0; i < COUNT(inks); i++) {
        m = path(c, b, 0, INK_BLACK, 0.25, inks[i]);
        rect(c, m, 20 + 20 * i, 80, 16, 12);
    }
    for (Dash d = DASH_SOLID; d <= DASH_FOLD; d++) {
        m = path(c, b, 0, d % 2 ? INK_ACCENT : INK_BLACK, 0.25, INK_NONE);
        m->dash = d;
        line(c, m, v2(20, 100 + 5 * (int)d), v2(120, 100 + 5 * (int)d));
    }
    mark(c, b, 0, MARK_CLIP)->box = (Box2){ { 20, 120 }, { 60, 150 } };
    m = path(c, b, 0, INK_BLACK, 0.5, INK_TINT);
    op(c, m, 'M', v2(10, 140), v2(0, 0), v2(0, 0));
    op(c, m, 'C', v2(30, 100), v2(60, 180), v2(80, 130));
    op(c, m, 'L', v2(80, 160), v2(0, 0), v2(0, 0));
    op(c, m, 'Z', v2(0, 0), v2(0, 0), v2(0, 0));
    mark(c, b, 0, MARK_UNCLIP);
}

static Booklet *sampler(Ctx *c) {
    Booklet *b = booklet(c, false, 3);
    Mark    *m;

    draw_page_one(c, b);
    text(c, b, 1, FONT_REGULAR, 10, 20, 20, "Second page");
    m = mark(c, b, 0, MARK_LINK);
    m->box     = (Box2){ { 20, 60 }, { 70, 66 } };
    m->to_page = 1;
    *PUSH(c, &b->bookmarks) = (Bookmark){ STR("Cover – ½″"), 0, 0 };
    *PUSH(c, &b->bookmarks) = (Bookmark){ STR("Steps"), 1, 0 };
    *PUSH(c, &b->bookmarks) = (Bookmark){ STR("Step 1"), 1, 1 };
    *PUSH(c, &b->bookmarks) = (Bookmark){ STR("Blank"), 2, 0 };
    return b;
}

static void the_same_booklet_gives_the_same_bytes(void **state) {
    Ctx *c = *state;
    Str  a = printed(c, sampler(c)), b = printed(c, sampler(c));

    assert_int_equal(a.n, b.n);
    assert_memory_equal(a.s, b.s, a.n);
    assert_true(a.n < 60000);
}

static void another_booklet_has_another_id(void **state) {
    Ctx     *c = *state;
    Booklet *b = sampler(c);
    Str      one = printed(c, b), two;
    size_t   at_one, at_two;

    b->pages.at[0].marks.at[0].at.x += 0.01;
    two    = printed(c, b);
    at_one = (size_t)((char *)memmem(one.s, one.n, "/ID", 3) - one.s);
    at_two = (size_t)((char *)memmem(two.s, two.n, "/ID", 3) - two.s);
    assert_true(one.n > at_one + 76 && two.n > at_two + 76);
    assert_memory_not_equal(one.s + at_one, two.s + at_two, 40);
}

static void nothing_is_found_wrong_by_other_readers(void **state) {
    Ctx *c   = *state;
    Str  pdf = printed(c, sampler(c));

    assert_true(says(ask(c, pdf, "qpdf --check %s 2>&1"),
                     "No syntax or stream encoding errors found"));
    assert_string_equal(ask(c, pdf, "pdftotext %s - 2>&1 >/dev/null"), "");
    assert_string_equal(ask(c, pdf, "pdffonts %s 2>&1 >/dev/null"), "");
    assert_string_equal(ask(c, pdf, "pdfinfo %s 2>&1 >/dev/null"), "");
    assert_string_equal(
        ask(c, pdf, "pdftoppm -r 40 -gray %s 2>&1 >/dev/null"), "");
}

static void fonts_are_embedded_cut_down_and_mapped(void **state) {
    Ctx        *c = *state;
    const char *f = ask(c, printed(c, sampler(c)), "pdffonts %s");
    int         rows = 0;

    for (const char *at = f; (at = strstr(at, "Identity-H")) != NULL; at++) {
        char emb[4], sub[4], uni[4];
        assert_int_equal(sscanf(at, "Identity-H %3s %3s %3s", emb, sub, uni),
                         3);
        assert_string_equal(emb, "yes");
        assert_string_equal(sub, "yes");
        assert_string_equal(uni, "yes");
        rows++;
    }
    assert_int_equal(rows, 4);
    assert_true(says(f, "RODAAA+Lato-Regular"));
    assert_true(says(f, "RODAAD+DejaVuSans"));
    assert_true(says(f, "CID TrueType"));
}

static void only_the_fonts_used_are_in_the_file(void **state) {
    Ctx        *c = *state;
    Booklet    *b = booklet(c, true, 1);
    const char *f;

    text(c, b, 0, FONT_BOLD, 10, 20, 20, "Bench");
    f = ask(c, printed(c, b), "pdffonts %s");
    assert_true(says(f, "Lato-Bold"));
    assert_false(says(f, "Lato-Regular"));
    assert_false(says(f, "DejaVu"));
}

static void text_reads_back(void **state) {
    Ctx        *c = *state;
    const char *t = ask(c, printed(c, sampler(c)), "pdftotext -layout %s -");

    assert_true(says(t, ALL_SIGNS));
    assert_true(says(t, "AVATAR To WAY fi ffl"));
    assert_true(says(t, "Café – “quoted” ⅛ ¾ ′ ≈ ≤"));
    assert_true(says(t, "turned 90°"));
    assert_true(says(t, "Second page"));
}

/* 8.5 x 11 in; A4 is 210 x 297 mm (ISO 216). */
static void paper_is_exact(void **state) {
    Ctx   *c = *state;
    double a4[4];

    assert_string_equal(
        page_dict(c, printed(c, booklet(c, false, 1)), 0, "/MediaBox"),
        "[ 0 0 612 792 ]");
    numbers(page_dict(c, printed(c, booklet(c, true, 1)), 0, "/MediaBox")
                + 1, 4, a4);
    assert_near(a4[0], 0, 0);
    assert_near(a4[1], 0, 0);
    assert_near(a4[2], 595.276, 0.00002);   // libharu's reals are floats
    assert_near(a4[3], 841.890, 0.00002);
    assert_true(says(ask(c, printed(c, booklet(c, true, 1)), "pdfinfo %s"),
                     "(A4)"));
}

static void a_blank_page_has_some_content(void **state) {
    Ctx *c = *state;
    assert_true(strlen(page_ops(c, printed(c, booklet(c, true, 1)), 0)) > 0);
}

static void viewers_are_asked_not_to_scale(void **state) {
    Ctx        *c = *state;
    Str         pdf = printed(c, sampler(c));
    const char *v   = catalog(c, pdf, "/ViewerPreferences");

    assert_true(says(v, "/PrintScaling /None"));
    assert_true(says(v, "/PickTrayByPDFSize true"));
    assert_true(says(v, "/DisplayDocTitle true"));
    assert_true(says(catalog(c, pdf, "/PageLabels"), "/S /D"));
    assert_memory_equal(pdf.s, "%PDF-1.7", 8);
}

static void the_document_says_what_it_is(void **state) {
    Ctx        *c = *state;
    const char *i = ask(c, printed(c, sampler(c)),
                        "TZ=UTC pdfinfo -isodates %s");

    assert_true(says(i, "Puppet theater — ½″ boards"));
    assert_true(says(i, "Workshop (test)"));
    assert_true(says(i, "letter-inch"));
    assert_true(says(i, "Creator:         Rodbook"));
    assert_true(says(i, "CreationDate:    2026-11-25T00:00:00"));
    assert_true(says(i, "Pages:           3"));
    assert_true(says(i, "PDF version:     1.7"));
}

static void a_wrong_date_is_left_out(void **state) {
    Ctx     *c = *state;
    Booklet *b = booklet(c, false, 1);
    b->date = STR("next month");
    assert_false(says(ask(c, printed(c, b), "pdfinfo %s"), "CreationDate"));
}

/* ---- Measures ---- */

static void a_line_of_100_mm_is_100_mm(void **state) {
    Ctx        *c = *state;
    Booklet    *b = booklet(c, true, 1);
    const char *ops;
    double      m[2], l[2];

    line(c, path(c, b, 0, INK_BLACK, 0.5, INK_NONE), v2(33.3, 44.4),
         v2(133.3, 44.4));
    line(c, path(c, b, 0, INK_BLACK, 0.5, INK_NONE), v2(33.3, 44.4),
         v2(33.3, 144.4));
    ops = page_ops(c, printed(c, b), 0);
    numbers(before(ops, "m", 0), 2, m);
    numbers(before(ops, "l", 0), 2, l);
    assert_near((l[0] - m[0]) / POINTS, 100, 0.0002);
    assert_near(l[1], m[1], 0);
    assert_near(m[0] / POINTS, 33.3, 0.0002);
    assert_near(297 - m[1] / POINTS, 44.4, 0.0002);
    numbers(before(ops, "l", 1), 2, l);
    assert_near((m[1] - l[1]) / POINTS, 100, 0.0002);   // down the page
}

static void a_curve_keeps_its_controls(void **state) {
    Ctx     *c = *state;
    Booklet *b = booklet(c, false, 1);
    Mark    *m = path(c, b, 0, INK_NONE, 0, INK_PALE);
    double   p[6];

    op(c, m, 'M', v2(10, 20), v2(0, 0), v2(0, 0));
    op(c, m, 'C', v2(11, 22), v2(33, 44), v2(55, 66));
    op(c, m, 'Z', v2(0, 0), v2(0, 0), v2(0, 0));
    numbers(before(page_ops(c, printed(c, b), 0), "c", 0), 6, p);
    assert_near(p[0] / POINTS, 11, 0.0002);
    assert_near(279.4 - p[1] / POINTS, 22, 0.0002);
    assert_near(p[2] / POINTS, 33, 0.0002);
    assert_near(279.4 - p[3] / POINTS, 44, 0.0002);
    assert_near(p[4] / POINTS, 55, 0.0002);
    assert_near(279.4 - p[5] / POINTS, 66, 0.0002);
}

/* poppler measures the words by the file's own widths and kerning. */
static void words_are_as_wide_as_they_were_measured(void **state) {
    const char *words[] = { "AVATAR", "WAVY.", "³⁄₁₆″", "22✓22" };
    Ctx        *c = *state;
    Booklet    *b = booklet(c, true, 1);
    const char *at;

    for (int i = 0; i < COUNT(words); i++)
        text(c, b, 0, i % 2 ? FONT_BOLD : FONT_REGULAR, 40, 20,
             40 + 40.0 * i, words[i]);
    at = ask(c, printed(c, b), "pdftotext -bbox %s -");
    for (int i = 0; i < COUNT(words); i++) {
        double x0, x1;
        at = strstr(at, "<word xMin=\"");
        assert_non_null(at);
        x0 = strtod(at + 12, NULL);
        at = strstr(at, "xMax=\"");
        x1 = strtod(at + 6, NULL);
        assert_near((x1 - x0) / POINTS,
                    font_width(c, b->fonts, i % 2 ? FONT_BOLD : FONT_REGULAR,
                               40, str_from(c, words[i])), 0.01);
    }
}

static void text_stands_on_its_baseline(void **state) {
    Ctx        *c = *state;
    Booklet    *b = booklet(c, false, 1);
    const char *ops;
    double      p[6];

    text(c, b, 0, FONT_REGULAR, 12, 25.4, 50.8, "Stool");
    text(c, b, 0, FONT_REGULAR, 12, 12.7, 254, "Stool")->turn = 90;
    ops = page_ops(c, printed(c, b), 0);
    numbers(before(ops, "Td", 0), 2, p);
    assert_near(p[0], 72, 0.0001);
    assert_near(p[1], 792 - 144, 0.0001);
    numbers(before(ops, "Tm", 0), 6, p);
    assert_near(p[1], 1, 0);    // a right angle, counter-clockwise
    assert_near(p[2], -1, 0);
    assert_near(p[4], 36, 0.0001);
    assert_near(p[5], 72, 0.0001);
}

/* ---- Inks, dashes, clips ---- */

static int count(const char *ops, const char *what) {
    int n = 0;
    for (; (ops = strstr(ops, what)) != NULL; ops += strlen(what))
        n++;
    return n;
}

static void what_stands_already_is_not_said_again(void **state) {
    Ctx        *c = *state;
    Booklet    *b = booklet(c, false, 1);
    const char *ops;

    for (int i = 0; i < 5; i++) {
        Mark *m = path(c, b, 0, INK_ACCENT, 0.25, INK_TINT);
        m->dash = DASH_HIDDEN;
        rect(c, m, 20, 20 + 10 * i, 30, 8);
        text(c, b, 0, FONT_REGULAR, 10, 60, 20 + 10 * i, "Rail");
    }
    ops = page_ops(c, printed(c, b), 0);
    assert_int_equal(count(ops, "B*\n"), 5);
    assert_int_equal(count(ops, ".85 .3 .45 .15 K\n"), 1);
    assert_int_equal(count(ops, " w\n"), 1);
    assert_int_equal(count(ops, " d\n"), 1);
    assert_int_equal(count(ops, "Tf\n"), 1);
    /* fills change between a face and its letter */
    assert_int_equal(count(ops, ".153 .054 .081 .027 k\n"), 5);
    assert_int_equal(count(ops, "0 g\n"), 5);
}

static void dashes_are_in_line_widths(void **state) {
    Ctx        *c = *state;
    Booklet    *b = booklet(c, false, 1);
    const char *ops;
    double      p[2];
    Mark       *m = path(c, b, 0, INK_BLACK, 0.5, INK_NONE);

    m->dash = DASH_HIDDEN;
    line(c, m, v2(20, 20), v2(120, 20));
    ops = page_ops(c, printed(c, b), 0);
    numbers(before(ops, "d", 0) + 1, 2, p);
    /* round caps lengthen a dash by one width */
    assert_near(p[0] / POINTS, 0.5 * 11, 0.001);
    assert_near(p[1] / POINTS, 0.5 * 4, 0.001);
}

static void a_clip_ends_with_its_state(void **state) {
    Ctx        *c = *state;
    Booklet    *b = booklet(c, false, 1);
    const char *ops;
    double      p[4];

    mark(c, b, 0, MARK_CLIP)->box = (Box2){ { 20, 30 }, { 60, 50 } };
    line(c, path(c, b, 0, INK_ACCENT, 0.5, INK_NONE), v2(0, 0), v2(9, 9));
    mark(c, b, 0, MARK_UNCLIP);
    line(c, path(c, b, 0, INK_ACCENT, 0.5, INK_NONE), v2(0, 0), v2(9, 9));
    ops = page_ops(c, printed(c, b), 0);
    numbers(before(ops, "re W n", 0), 4, p);
    assert_near(p[0] / POINTS, 20, 0.0002);
    assert_near(p[1] / POINTS, 279.4 - 50, 0.0002);
    assert_near(p[2] / POINTS, 40, 0.0002);
    assert_near(p[3] / POINTS, 20, 0.0002);
    assert_int_equal(count(ops, "q\n"), 1);
    assert_int_equal(count(ops, "Q\n"), 1);
    assert_int_equal(count(ops, ".85 .3 .45 .15 K\n"), 2);
}

/* ---- Links and bookmarks ---- */

static void a_link_leads_to_its_page(void **state) {
    Ctx      *c   = *state;
    Str       pdf = printed(c, sampler(c));
    qpdf_data q   = qpdf_init();
    double    should[] = { 20 * POINTS, 792 - 66 * POINTS, 70 * POINTS,
                           792 - 60 * POINTS };
    qpdf_oh   links, link, to, at;

    assert_int_equal(qpdf_read_memory(q, "t.pdf", pdf.s, pdf.n, NULL), 0);
    links = qpdf_oh_get_key(q, qpdf_get_page_n(q, 0), "/Annots");
    assert_int_equal(qpdf_oh_get_array_n_items(q, links), 1);
    link = qpdf_oh_get_array_item(q, links, 0);
    assert_string_equal(
        qpdf_oh_get_name(q, qpdf_oh_get_key(q, link, "/Subtype")), "/Link");
    assert_int_equal(
        qpdf_oh_get_int_value(q, qpdf_oh_get_key(q, link, "/F")), 4);
    at = qpdf_oh_get_key(q, link, "/Rect");
    for (int i = 0; i < 4; i++)
        assert_near(qpdf_oh_get_numeric_value(
                        q, qpdf_oh_get_array_item(q, at, i)),
                    should[i], 0.0002);
    to = qpdf_oh_get_key(q, link, "/Dest");
    assert_int_equal(
        qpdf_oh_get_object_id(q, qpdf_oh_get_array_item(q, to, 0)),
        qpdf_oh_get_object_id(q, qpdf_get_page_n(q, 1)));
    assert_true(qpdf_oh_is_null(q, qpdf_oh_get_array_item(q, to, 4)));
    qpdf_cleanup(&q);
}

static void bookmarks_have_levels(void **state) {
    Ctx        *c = *state;
    const char *o = ask(c, printed(c, sampler(c)),
                        "qpdf --json --json-key=outlines %s");

    assert_true(says(o, "\"Cover – ½″\""));
    assert_true(says(o, "\"Blank\""));
    /* qpdf writes the kids of a bookmark before its title */
    assert_non_null(strstr(o, "\"Step 1\""));
    assert_non_null(strstr(strstr(o, "\"Step 1\""), "\"Steps\""));
    assert_int_equal(count(o, "\"kids\": []"), 3);
    assert_int_equal(count(o, "\"destpageposfrom1\": 2"), 2);
    assert_int_equal(count(o, "\"destpageposfrom1\": 3"), 1);
}

/* ---- What goes wrong ---- */

static void a_character_in_no_font_is_reported(void **state) {
    Ctx     *c = *state;
    Booklet *b = booklet(c, false, 2);
    Str      bytes;

    text(c, b, 1, FONT_REGULAR, 10, 20, 20, "Leg \xE4\xB8\x80");
    assert_false(print_pdf(c, b, &bytes));
    assert_int_equal(has_diag(c, GLYPH_MISSING), 1);
    assert_non_null(strstr(str_z(c, diags_text(c)), "page 2"));
    assert_non_null(strstr(str_z(c, diags_text(c)), "U+4E00"));
}

static void libharus_refusal_is_reported(void **state) {
    Ctx     *c = *state;
    Booklet *b = booklet(c, false, 1);
    char    *s = arena_take(&c->arena, 70000);
    Str      bytes;

    /* longer than the text that a PDF string may hold: 65,535 bytes */
    memset(s, 'a', 70000);
    b->title = (Str){ s, 70000 };
    assert_false(print_pdf(c, b, &bytes));
    assert_int_equal(has_diag(c, PDF_FAILED), 1);
}

/* Prints in a child; tells by which signal it ended, 0: none. */
static int signal_of(Ctx *c, const Booklet *b) {
    int   status;
    pid_t child = fork();

    if (child == 0) {
        struct rlimit none = { 0, 0 };
        Str           bytes;
        setrlimit(RLIMIT_CORE, &none);
        signal(SIGABRT, SIG_DFL);
        if (!freopen("/dev/null", "w", stderr))
            _exit(1);
        _exit(print_pdf(c, b, &bytes) ? 0 : 1);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    return WIFSIGNALED(status) ? WTERMSIG(status) : 0;
}

static void a_number_that_is_none_never_reaches_the_file(void **state) {
    const double wrong[] = { NAN, INFINITY, -INFINITY, 1e9 };
    Ctx         *c = *state;

    for (int i = 0; i < COUNT(wrong); i++) {
        Booklet *b = booklet(c, false, 1);
        line(c, path(c, b, 0, INK_BLACK, 0.5, INK_NONE), v2(1, 1),
             v2(2, wrong[i]));
        assert_int_equal(signal_of(c, b), SIGABRT);
        b = booklet(c, false, 1);
        text(c, b, 0, FONT_REGULAR, 10, wrong[i], 20, "Bench");
        assert_int_equal(signal_of(c, b), SIGABRT);
        b = booklet(c, false, 1);
        mark(c, b, 0, MARK_LINK)->box = (Box2){ { 1, 1 }, { wrong[i], 2 } };
        assert_int_equal(signal_of(c, b), SIGABRT);
    }
    assert_int_equal(signal_of(c, booklet(c, false, 1)), 0);
}

int main(int argc, char **argv) {
    const struct CMUnitTest tests[] = {
        TEST(the_same_booklet_gives_the_same_bytes),
        TEST(another_booklet_has_another_id),
        TEST(nothing_is_found_wrong_by_other_readers),
        TEST(fonts_are_embedded_cut_down_and_mapped),
        TEST(only_the_fonts_used_are_in_the_file),
        TEST(text_reads_back),
        TEST(paper_is_exact),
        TEST(a_blank_page_has_some_content),
        TEST(viewers_are_asked_not_to_scale),
        TEST(the_document_says_what_it_is),
        TEST(a_wrong_date_is_left_out),
        TEST(a_line_of_100_mm_is_100_mm),
        TEST(a_curve_keeps_its_controls),
        TEST(words_are_as_wide_as_they_were_measured),
        TEST(text_stands_on_its_baseline),
        TEST(what_stands_already_is_not_said_again),
        TEST(dashes_are_in_line_widths),
        TEST(a_clip_ends_with_its_state),
        TEST(a_link_leads_to_its_page),
        TEST(bookmarks_have_levels),
        TEST(a_character_in_no_font_is_reported),
        TEST(libharus_refusal_is_reported),
        TEST(a_number_that_is_none_never_reaches_the_file),
    };

    if (argc == 2) {   // keeps the sampler, to look at
        Ctx c;
        ctx_init(&c, &real_files);
        return file_write(&c, argv[1], printed(&c, sampler(&c))) ? 0 : 1;
    }
    return cmocka_run_group_tests(tests, NULL, NULL);
}
