/* open -- a PDF file to pages, by qpdf's C interface.
 *
 * qpdf parses objects, decodes streams and mends broken cross references;
 * it knows nothing of what libharu does when writing, which is why it is
 * the judge. A booklet that had to be mended is reported as damaged even
 * where all of it could be read: another reader may fail on it.
 */
#include "proof/proof_internal.h"

#include <math.h>

#define MM_PER_POINT   (25.4 / 72)
#define TOKENS_A_PAGE  10000000L
#define LARGEST_STREAM ((size_t)256 << 20)
#define MOST_TROUBLES  5
#define LONGEST_SIDE   25000.0   // mm; more is no paper

/* ---- Objects ---- */

qpdf_oh dict_entry(const Reader *r, qpdf_oh dict, const char *key) {
    if (qpdf_oh_is_stream(r->q, dict))
        dict = qpdf_oh_get_dict(r->q, dict);
    return qpdf_oh_get_key_if_dict(r->q, dict, key);
}

double dict_number(const Reader *r, qpdf_oh dict, const char *key,
                   double without) {
    qpdf_oh number = dict_entry(r, dict, key);

    return qpdf_oh_is_number(r->q, number)
               ? qpdf_oh_get_numeric_value(r->q, number) : without;
}

double array_number(const Reader *r, qpdf_oh array, int i) {
    qpdf_oh number = qpdf_oh_get_array_item(r->q, array, i);

    return qpdf_oh_is_number(r->q, number)
               ? qpdf_oh_get_numeric_value(r->q, number) : 0;
}

/* Copies qpdf's buffer into the arena. The reader holds it meanwhile, so
 * that it is freed should the arena be exhausted. */
static Str take_held(Reader *r, size_t n) {
    Str copy = str_copy(r->c, (Str){ (const char *)r->held, n });

    free(r->held);
    r->held = NULL;
    return copy;
}

bool stream_bytes(Reader *r, qpdf_oh stream, Str *bytes) {
    size_t    n = 0;
    QPDF_BOOL filtered = QPDF_FALSE;
    int       failed;

    if (!qpdf_oh_is_stream(r->q, stream))
        return false;
    failed = qpdf_oh_get_stream_data(r->q, stream, qpdf_dl_all, &filtered,
                                     &r->held, &n) & (QPDF_ERRORS);
    if (failed || !filtered || n > LARGEST_STREAM) {
        qpdf_get_error(r->q);
        free(r->held);
        r->held = NULL;
        return false;
    }
    *bytes = take_held(r, n);
    return true;
}

void read_trouble(Reader *r, const char *fmt, ...) {
    va_list args;
    Str     what;

    if (r->troubles++ >= MOST_TROUBLES)
        return;
    va_start(args, fmt);
    what = str_vfmt(r->c, fmt, args);
    va_end(args);
    report_plain(r->c, PDF_READ, "%s, page %d: %.*s", r->path, r->page + 1,
                 STR_ARG(what));
}

/* ---- Pages ---- */

/* An entry of a page, or of the page trees above it. */
static qpdf_oh inherited(const Reader *r, qpdf_oh page, const char *key) {
    qpdf_oh found = dict_entry(r, page, key);

    for (int up = 0; up < 50 && qpdf_oh_is_null(r->q, found); up++) {
        page  = dict_entry(r, page, "/Parent");
        found = dict_entry(r, page, key);
    }
    return found;
}

static bool read_box(const Reader *r, qpdf_oh array, Box2 *box) {
    double v[4];

    if (!qpdf_oh_is_array(r->q, array)
        || qpdf_oh_get_array_n_items(r->q, array) != 4)
        return false;
    for (int i = 0; i < 4; i++)
        v[i] = array_number(r, array, i);
    box->min = (V2){ fmin(v[0], v[2]), fmin(v[1], v[3]) };
    box->max = (V2){ fmax(v[0], v[2]), fmax(v[1], v[3]) };
    return box->max.x - box->min.x > 1e-3 && box->max.y - box->min.y > 1e-3;
}

/* What is printed of the page, in its own units: the crop box inside the
 * media box. */
static Box2 page_box(Reader *r, qpdf_oh page) {
    Box2 media, crop;

    if (!read_box(r, inherited(r, page, "/MediaBox"), &media)) {
        read_trouble(r, "the paper has no size");
        return (Box2){ { 0, 0 }, { 612, 792 } };
    }
    if (!read_box(r, inherited(r, page, "/CropBox"), &crop))
        return media;
    crop.min.x = fmax(crop.min.x, media.min.x);
    crop.min.y = fmax(crop.min.y, media.min.y);
    crop.max.x = fmin(crop.max.x, media.max.x);
    crop.max.y = fmin(crop.max.y, media.max.y);
    return crop.max.x > crop.min.x && crop.max.y > crop.min.y ? crop : media;
}

/* Page units to mm, y up from the paper's lower left corner; pages may be
 * turned by quarter turns, clockwise. */
static Matrix page_matrix(const Reader *r, qpdf_oh page, Box2 box,
                          Box2 *paper) {
    double  k    = MM_PER_POINT * dict_number(r, page, "/UserUnit", 1);
    qpdf_oh turn = inherited(r, page, "/Rotate");
    double  w    = (box.max.x - box.min.x) * k;
    double  h    = (box.max.y - box.min.y) * k;
    double  x    = box.min.x * k, y = box.min.y * k;
    int     quarter = 0;

    if (qpdf_oh_is_integer(r->q, turn))
        quarter = (int)(qpdf_oh_get_int_value(r->q, turn) / 90 % 4 + 4) % 4;
    paper->min = (V2){ 0, 0 };
    paper->max = quarter % 2 ? (V2){ h, w } : (V2){ w, h };
    switch (quarter) {
    case 1:  return (Matrix){ 0, -k, k, 0, -y, w + x };
    case 2:  return (Matrix){ -k, 0, 0, -k, w + x, h + y };
    case 3:  return (Matrix){ 0, k, -k, 0, h + y, -x };
    default: return (Matrix){ k, 0, 0, k, -x, -y };
    }
}

static bool page_content(Reader *r, qpdf_oh page, Str *content) {
    size_t n = 0;
    int    failed;

    failed = qpdf_oh_get_page_content_data(r->q, page, &r->held, &n)
           & (QPDF_ERRORS);
    if (failed || n > LARGEST_STREAM) {
        qpdf_get_error(r->q);
        free(r->held);
        r->held = NULL;
        return false;
    }
    *content = take_held(r, n);
    return true;
}

static void read_page(Reader *r, ReadPage *out) {
    qpdf_oh page = qpdf_get_page_n(r->q, (size_t)r->page);
    Box2    box  = page_box(r, page);
    Matrix  base = page_matrix(r, page, box, &out->paper);
    Str     content;

    r->budget = TOKENS_A_PAGE;
    if (!(out->paper.max.x < LONGEST_SIDE && out->paper.max.x > 0
          && out->paper.max.y < LONGEST_SIDE && out->paper.max.y > 0)) {
        read_trouble(r, "the paper's size is not possible");
        out->paper = (Box2){ { 0, 0 }, { 0, 0 } };
    } else if (!page_content(r, page, &content)) {
        read_trouble(r, "what is drawn cannot be read");
    } else {
        content_run(r, out, content, base,
                    inherited(r, page, "/Resources"));
        lines_find(r->c, out, r->page);
    }
    qpdf_oh_release_all(r->q);
}

/* ---- The document ---- */

static void read_subject_text(Reader *r) {
    qpdf_oh info = dict_entry(r, qpdf_get_trailer(r->q), "/Info");
    qpdf_oh text = dict_entry(r, info, "/Subject");

    if (qpdf_oh_is_string(r->q, text))
        r->book->subject = str_from(r->c,
                                    qpdf_oh_get_utf8_value(r->q, text));
}

/* Says what qpdf had to mend. */
static void report_damage(Reader *r) {
    int n = 0;
    Str first = STR("");

    while (qpdf_more_warnings(r->q)) {
        qpdf_error e = qpdf_next_warning(r->q);
        if (n++ == 0)
            first = str_from(r->c, qpdf_get_error_message_detail(r->q, e));
    }
    if (n == 0)
        return;
    report_plain(r->c, PDF_READ, "%s is damaged: %.*s", r->path,
                 STR_ARG(first));
    hint(r->c, "what could be read was; press the booklet again");
}

static bool cannot_read(Reader *r) {
    qpdf_error  e = qpdf_get_error(r->q);
    const char *why = "it has no pages";

    if (e && qpdf_get_error_code(r->q, e) == qpdf_e_password)
        why = "it is protected by a password";
    else if (e)
        why = qpdf_get_error_message_detail(r->q, e);
    report_plain(r->c, PDF_READ, "cannot read %s: %s", r->path, why);
    return false;
}

static bool read_book(Reader *r, Str bytes) {
    int pages;

    qpdf_set_suppress_warnings(r->q, QPDF_TRUE);
    qpdf_silence_errors(r->q);
    if (qpdf_read_memory(r->q, r->path, bytes.s, bytes.n, NULL)
        & (QPDF_ERRORS))
        return cannot_read(r);
    pages = qpdf_get_num_pages(r->q);
    if (pages <= 0)
        return cannot_read(r);
    read_subject_text(r);
    for (r->page = 0; r->page < pages; r->page++) {
        ReadPage *page = PUSH(r->c, &r->book->pages);
        read_page(r, page);
    }
    report_damage(r);
    return true;
}

static void close_reader(Reader *r) {
    free(r->held);
    r->held = NULL;
    qpdf_cleanup(&r->q);
}

/* Exhausted memory passes through here, so that what qpdf holds is given
 * back before the jump goes on. */
static bool read_guarded(Reader *r, Str bytes) {
    jmp_buf *outer = r->c->arena.out_of_memory;
    jmp_buf  here;
    bool     ok;

    r->q = qpdf_init();
    if (setjmp(here)) {
        r->c->arena.out_of_memory = outer;
        close_reader(r);
        if (!outer)
            abort();
        longjmp(*outer, 1);
    }
    r->c->arena.out_of_memory = &here;
    ok = read_book(r, bytes);
    r->c->arena.out_of_memory = outer;
    close_reader(r);
    return ok;
}

/* Readers look for the head in the first 1024 bytes. */
static bool looks_like_pdf(Str bytes) {
    for (size_t at = 0; at < 1024 && at < bytes.n; at++) {
        if (str_begins(str_part(bytes, at, bytes.n), "%PDF-"))
            return true;
    }
    return false;
}

const ReadBook *proof_read(Ctx *c, const char *path) {
    Reader     *r   = NEW(c, Reader);
    const char *why = "";
    Str         bytes;

    r->c    = c;
    r->path = path;
    r->book = NEW(c, ReadBook);
    if (!c->files->read(c, path, &bytes, &why)) {
        c->io_failed = true;
        report_plain(c, FILE_READ, "cannot read %s: %s", path, why);
        return NULL;
    }
    if (!looks_like_pdf(bytes)) {
        report_plain(c, PDF_READ, "%s is not a PDF", path);
        return NULL;
    }
    return read_guarded(r, bytes) ? r->book : NULL;
}

int read_pages(const ReadBook *b) {
    return b->pages.n;
}

Box2 read_paper(const ReadBook *b, int page) {
    return b->pages.at[page].paper;
}

ReadRuns read_text(const ReadBook *b, int page) {
    return b->pages.at[page].runs;
}

Rings read_strokes(const ReadBook *b, int page) {
    return b->pages.at[page].strokes;
}

Str read_subject(const ReadBook *b) {
    return b->subject;
}
