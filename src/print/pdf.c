/* pdf -- a Booklet as one PDF file in memory.
 *
 * First everything that can be done without libharu: the operators of all
 * pages (content.c). Then the document: pages, fonts, links, bookmarks,
 * information. The same booklet gives the same bytes: its date is the
 * design's, its ID a hash of what is printed.
 */
#include "print/print_internal.h"

#include <assert.h>

typedef struct {
    Pdf             p;
    const Booklet  *b;
    const Contents *contents;
    HPDF_Page      *pages;
    HPDF_Dict       fonts[FONT_COUNT];   // NULL: not used
} Maker;

/* ---- Pages ---- */

static void make_fonts(Maker *m) {
    for (FontId id = 0; id < FONT_COUNT; id++) {
        bool wanted = false;
        for (int i = 0; i < m->contents->pages.n; i++)
            wanted = wanted || m->contents->pages.at[i].font[id];
        if (wanted)
            m->fonts[id] = pdf_font(&m->p, m->b->fonts, id,
                                    m->contents->used[id]);
    }
}

static void name_fonts(Maker *m, HPDF_Page page, const PageOps *ops) {
    Pdf      *p     = &m->p;
    HPDF_Dict fonts = NULL, resources;

    for (FontId id = 0; id < FONT_COUNT; id++) {
        if (!ops->font[id])
            continue;
        if (!fonts)
            fonts = pdf_dict(p);
        pdf_put(p, fonts, font_key(id), m->fonts[id]);
    }
    if (!fonts || pdf_failed(p))
        return;
    resources = HPDF_Page_GetInheritableItem(page, "Resources",
                                             HPDF_OCLASS_DICT);
    pdf_put(p, resources, "Font", fonts);
}

static void make_page(Maker *m, int i) {
    const PageOps *ops  = &m->contents->pages.at[i];
    HPDF_Page      page = HPDF_AddPage(m->p.doc);
    HPDF_Stream    out;

    if (!page || pdf_failed(&m->p))
        return;
    m->pages[i] = page;
    HPDF_Page_SetWidth(page, (HPDF_REAL)paper_points(m->b->width));
    HPDF_Page_SetHeight(page, (HPDF_REAL)paper_points(m->b->height));
    name_fonts(m, page, ops);
    out = ((HPDF_PageAttr)page->attr)->stream;
    HPDF_Stream_Write(out, (const HPDF_BYTE *)ops->ops.s,
                      (HPDF_UINT)ops->ops.n);
}

/* ---- Links and bookmarks ---- */

/* [page /XYZ 0 top null]: the top of a page, at whatever scale the reader
 * has chosen. */
static HPDF_Array top_of_page(Maker *m, int page) {
    HPDF_Array to = pdf_array(&m->p);

    assert(page >= 0 && page < m->b->pages.n);
    pdf_add(&m->p, to, m->pages[page]);
    pdf_add_name(&m->p, to, "XYZ");
    pdf_add_num(&m->p, to, 0);
    pdf_add_num(&m->p, to, paper_points(m->b->height));
    if (!pdf_failed(&m->p))
        pdf_add(&m->p, to, HPDF_Null_New(m->p.doc->mmgr));
    return to;
}

static HPDF_Array rectangle(Maker *m, Box2 box) {
    double     height = paper_points(m->b->height), k = 72 / 25.4;
    HPDF_Array r      = pdf_array(&m->p);

    pdf_add_num(&m->p, r, box.min.x * k);
    pdf_add_num(&m->p, r, height - box.max.y * k);
    pdf_add_num(&m->p, r, box.max.x * k);
    pdf_add_num(&m->p, r, height - box.min.y * k);
    return r;
}

static HPDF_Array no_border(Pdf *p) {
    HPDF_Array border = pdf_array(p);

    for (int i = 0; i < 3; i++)
        pdf_add_num(p, border, 0);
    return border;
}

#define PRINTED 4   // flag of annotations (ISO 32000-1, table 165)

static HPDF_Dict link_of(Maker *m, const Mark *mark) {
    Pdf      *p    = &m->p;
    HPDF_Dict link = pdf_object(p);

    pdf_put_name(p, link, "Type", "Annot");
    pdf_put_name(p, link, "Subtype", "Link");
    pdf_put(p, link, "Rect", rectangle(m, mark->box));
    pdf_put(p, link, "Border", no_border(p));
    pdf_put_int(p, link, "F", PRINTED);
    pdf_put(p, link, "Dest", top_of_page(m, mark->to_page));
    return link;
}

static void make_links(Maker *m, int i) {
    const Page *page  = &m->b->pages.at[i];
    HPDF_Array  links = NULL;

    for (int k = 0; k < page->marks.n; k++) {
        if (page->marks.at[k].kind != MARK_LINK)
            continue;
        if (!links)
            links = pdf_array(&m->p);
        pdf_add(&m->p, links, link_of(m, &page->marks.at[k]));
    }
    if (links)
        pdf_put(&m->p, m->pages[i], "Annots", links);
}

#define DEEPEST_BOOKMARK 8

/* A bookmark hangs below the nearest earlier one of a lower level. */
static void make_bookmarks(Maker *m) {
    HPDF_Outline above[DEEPEST_BOOKMARK] = { 0 };

    for (int i = 0; i < m->b->bookmarks.n && !pdf_failed(&m->p); i++) {
        const Bookmark *mark  = &m->b->bookmarks.at[i];
        int             level = mark->level;
        HPDF_Outline    made;
        assert(level >= 0 && level < DEEPEST_BOOKMARK);
        made = HPDF_CreateOutline(m->p.doc, level ? above[level - 1] : NULL,
                                  "-", NULL);
        pdf_put(&m->p, made, "Title", pdf_text(&m->p, mark->title));
        pdf_put(&m->p, made, "Dest", top_of_page(m, mark->page));
        for (int k = level; k < DEEPEST_BOOKMARK; k++)
            above[k] = made;
    }
    if (m->b->bookmarks.n > 0 && !pdf_failed(&m->p))
        HPDF_SetPageMode(m->p.doc, HPDF_PAGE_MODE_USE_OUTLINE);
}

/* ---- About the document ---- */

/* Printed at 100 % and on the right paper unless the reader insists. */
static void make_preferences(Maker *m) {
    Pdf      *p = &m->p;
    HPDF_Dict v = pdf_dict(p);

    pdf_put_name(p, v, "PrintScaling", "None");
    pdf_put_yes(p, v, "PickTrayByPDFSize");
    pdf_put_yes(p, v, "DisplayDocTitle");
    pdf_put(p, p->doc->catalog, "ViewerPreferences", v);
    pdf_put(p, p->doc->catalog, "Lang", pdf_ascii(p, "en-US"));
    if (!pdf_failed(p))
        HPDF_AddPageLabel(p->doc, 0, HPDF_PAGE_NUM_STYLE_DECIMAL, 1, NULL);
}

static bool is_date(Str s) {
    if (s.n != 10)
        return false;
    for (size_t i = 0; i < s.n; i++) {
        bool dash = i == 4 || i == 7;
        if (dash ? s.s[i] != '-' : s.s[i] < '0' || s.s[i] > '9')
            return false;
    }
    return true;
}

static void put_info(Maker *m, const char *key, Str text) {
    if (text.n)
        pdf_put(&m->p, m->p.doc->info, key, pdf_text(&m->p, text));
}

static void make_info(Maker *m) {
    const Booklet *b = m->b;
    Str            d = b->date;
    Ctx           *c = m->p.c;

    put_info(m, "Title", b->title);
    put_info(m, "Author", b->author);
    put_info(m, "Subject", b->subject);
    pdf_put(&m->p, m->p.doc->info, "Creator", pdf_ascii(&m->p, "Rodbook"));
    if (!is_date(d))
        return;
    d = str_fmt(c, "D:%.4s%.2s%.2s000000+00'00'", d.s, d.s + 5, d.s + 8);
    pdf_put(&m->p, m->p.doc->info, "CreationDate",
            pdf_ascii(&m->p, str_z(c, d)));
}

static uint64_t hash_more(uint64_t h, Str s) {
    for (size_t i = 0; i < s.n; i++)
        h = (h ^ (unsigned char)s.s[i]) * 0x100000001b3;   // FNV-1a
    return h;
}

/* Two hashes from different beginnings: 16 bytes, as the format has it. */
static void make_id(Maker *m) {
    uint64_t   h[2] = { 0xcbf29ce484222325, 0x84222325cbf29ce4 };
    char       bytes[16];
    Buf        text = BUF(m->p.c);
    HPDF_Array id   = pdf_array(&m->p);

    booklet_dump(&text, m->b);
    for (int k = 0; k < 2; k++) {
        h[k] = hash_more(h[k], buf_done(&text));
        for (int i = 0; i < m->contents->pages.n; i++)
            h[k] = hash_more(h[k], m->contents->pages.at[i].ops);
        for (int i = 0; i < 8; i++)
            bytes[8 * k + i] = (char)(h[k] >> (56 - 8 * i) & 0xFF);
    }
    for (int k = 0; k < 2; k++)
        pdf_add(&m->p, id, pdf_bytes(&m->p, (Str){ bytes, 16 }));
    pdf_put(&m->p, m->p.doc->trailer, "ID", id);
}

/* ---- All of it ---- */

static bool make(Maker *m) {
    HPDF_SetCompressionMode(m->p.doc, HPDF_COMP_ALL);
    make_fonts(m);
    for (int i = 0; i < m->b->pages.n && !pdf_failed(&m->p); i++)
        make_page(m, i);
    for (int i = 0; i < m->b->pages.n && !pdf_failed(&m->p); i++)
        make_links(m, i);
    make_bookmarks(m);
    make_preferences(m);
    make_info(m);
    make_id(m);
    m->p.doc->pdf_version = HPDF_VER_17;   // last: other calls lower it
    return !pdf_failed(&m->p);
}

static bool save(Maker *m, Str *bytes) {
    HPDF_UINT32 size, n = 0;
    char       *to;

    if (HPDF_SaveToStream(m->p.doc) != HPDF_OK)
        return false;
    HPDF_ResetStream(m->p.doc);
    size = HPDF_GetStreamSize(m->p.doc);
    to   = arena_take(&m->p.c->arena, size);
    while (n < size) {
        HPDF_UINT32 got = size - n;
        HPDF_ReadFromStream(m->p.doc, (HPDF_BYTE *)to + n, &got);
        if (got == 0)
            return false;
        n += got;
    }
    *bytes = (Str){ to, size };
    return true;
}

/* Running out of memory jumps past us: the document is freed on the way,
 * then the jump goes on. No frame of libharu's lies in between, as none of
 * our functions that it calls takes memory. */
static bool make_guarded(Ctx *c, Maker *m, Str *bytes) {
    jmp_buf *outer = c->arena.out_of_memory, here;
    bool     ok;

    if (setjmp(here)) {
        c->arena.out_of_memory = outer;
        HPDF_Free(m->p.doc);
        arena_take(&c->arena, SIZE_MAX);
    }
    c->arena.out_of_memory = &here;
    ok = make(m) && save(m, bytes);
    if (!ok)
        pdf_report(&m->p);
    c->arena.out_of_memory = outer;
    return ok;
}

bool print_pdf(Ctx *c, const Booklet *b, Str *bytes) {
    Contents *contents = NEW(c, Contents);
    Maker    *m        = NEW(c, Maker);
    bool      ok;

    assert(b->pages.n > 0);
    if (!contents_write(c, b, contents))
        return false;
    m->b        = b;
    m->contents = contents;
    m->pages    = NEW_N(c, HPDF_Page, b->pages.n);
    if (!pdf_open(c, &m->p)) {
        pdf_report(&m->p);
        HPDF_Free(m->p.doc);
        return false;
    }
    ok = make_guarded(c, m, bytes);
    HPDF_Free(m->p.doc);
    return ok;
}
