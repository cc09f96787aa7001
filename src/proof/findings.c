/* findings -- the whole proof, and how it is told to people. */
#include "proof/proof_internal.h"

#include <math.h>

#define PAPER_MM 0.2   // that the paper may differ

/* ---- Pages and paper ---- */

static Finding *add_pages_finding(Ctx *c, Findings *f, int page) {
    Finding *finding = PUSH(c, &f->list);

    finding->kind   = FINDING_PAGES;
    finding->page   = page;
    finding->source = STR("");
    return finding;
}

static void find_lost_pages(Ctx *c, const Expected *should,
                            const int *read_of, Findings *f) {
    for (int i = 0; i < should->pages; i++) {
        Finding *finding;
        if (read_of[i] >= 0)
            continue;
        finding         = add_pages_finding(c, f, i);
        finding->says   = STR("this page is not in the booklet");
        finding->should = str_fmt(c, "be page %d of %d", i + 1,
                                  should->pages);
    }
}

static int count_numerals(const ReadPage *page) {
    int n = 0;

    for (int i = 0; i < page->lines.n; i++) {
        const Line *line = &page->lines.at[i];
        int  at = 0;
        Span span;
        while (numeral_next(line->chars.at, line->chars.n, &at, &span))
            n++;
    }
    return n;
}

static void find_strange_pages(Ctx *c, const ReadBook *b,
                               const Expected *should, const int *read_of,
                               Findings *f) {
    bool *known = NEW_N(c, bool, b->pages.n + 1);

    for (int i = 0; i < should->pages; i++) {
        if (read_of[i] >= 0)
            known[read_of[i]] = true;
    }
    for (int i = 0; i < b->pages.n; i++) {
        Finding *finding;
        if (known[i])
            continue;
        f->numerals    += count_numerals(&b->pages.at[i]);
        finding         = add_pages_finding(c, f, i);
        finding->says   = STR("this page belongs to no page of the design");
        finding->should = str_fmt(c, "be %d pages", should->pages);
    }
}

static bool is_paper(const ReadPage *page, const Expected *should) {
    return fabs(page->paper.max.x - should->width) <= PAPER_MM
        && fabs(page->paper.max.y - should->height) <= PAPER_MM;
}

/* A whole booklet on other paper is one finding. */
static void find_wrong_paper(Ctx *c, const ReadBook *b,
                             const Expected *should, Findings *f) {
    int      first = -1, n = 0;
    Finding *finding;

    for (int i = 0; i < b->pages.n; i++) {
        if (is_paper(&b->pages.at[i], should))
            continue;
        first = first < 0 ? i : first;
        n++;
    }
    if (n == 0)
        return;
    finding       = add_pages_finding(c, f, first);
    finding->says = str_fmt(c, "the paper is %.1f x %.1f mm",
                            b->pages.at[first].paper.max.x,
                            b->pages.at[first].paper.max.y);
    if (n > 1)
        finding->says = str_fmt(c, "%.*s, here and on %d more",
                                STR_ARG(finding->says), n - 1);
    finding->should = str_fmt(c, "be %.1f x %.1f mm", should->width,
                              should->height);
}

static int by_page_and_place(const void *pa, const void *pb,
                             const void *with) {
    const Finding *a = pa, *b = pb;

    (void)with;
    if (a->page != b->page)
        return a->page < b->page ? -1 : 1;
    if ((a->kind == FINDING_PAGES) != (b->kind == FINDING_PAGES))
        return a->kind == FINDING_PAGES ? -1 : 1;
    if (a->at.y != b->at.y)
        return a->at.y < b->at.y ? -1 : 1;
    return (a->at.x > b->at.x) - (a->at.x < b->at.x);
}

const Findings *proof_booklet(Ctx *c, const ReadBook *b,
                              const Expected *should) {
    Findings  *f       = NEW(c, Findings);
    const int *read_of = align_pages(c, b, should);

    f->pages = b->pages.n;
    find_lost_pages(c, should, read_of, f);
    find_strange_pages(c, b, should, read_of, f);
    find_wrong_paper(c, b, should, f);
    match_pages(c, b, should, read_of, f);
    measure_shapes(c, b, should, read_of, f);
    list_sort(c, f->list.at, f->list.n, sizeof *f->list.at,
              by_page_and_place, NULL);
    return f;
}

/* ---- In words ---- */

static void add_source(Buf *out, Str source) {
    if (source.n)
        buf_add(out, " (%.*s)", STR_ARG(source));
}

static void add_place(Buf *out, const Finding *f) {
    buf_add(out, "page %d", f->page + 1);
    if (f->kind != FINDING_PAGES)
        buf_add(out, ", %.0f mm from the left, %.0f mm down",
                fabs(f->at.x), fabs(f->at.y));
    buf_add(out, ": ");
}

static void add_line(Buf *out, const Finding *f) {
    add_place(out, f);
    switch (f->kind) {
    case FINDING_AGREES:
        buf_add(out, "says %.*s, as it should", STR_ARG(f->says));
        break;
    case FINDING_DISAGREES:
        buf_add(out, "says %.*s, should say %.*s", STR_ARG(f->says),
                STR_ARG(f->should));
        add_source(out, f->source);
        break;
    case FINDING_UNKNOWN:
        buf_add(out, "says %.*s, which is no figure of the design",
                STR_ARG(f->says));
        break;
    case FINDING_MISSING:
        buf_add(out, "says nothing, should say %.*s", STR_ARG(f->should));
        add_source(out, f->source);
        break;
    case FINDING_SCALE:
        buf_add(out, "%.*s is not drawn at true size and place: %.*s, "
                "should be %.*s", STR_ARG(f->source), STR_ARG(f->says),
                STR_ARG(f->should));
        break;
    case FINDING_PAGES:
        buf_add(out, "%.*s, should %.*s", STR_ARG(f->says),
                STR_ARG(f->should));
        break;
    }
    buf_add(out, "\n");
}

static const char *plural(int n) {
    return n == 1 ? "" : "s";
}

Str findings_text(Ctx *c, const Findings *f) {
    Buf out = BUF(c);

    for (int i = 0; i < f->list.n; i++)
        add_line(&out, &f->list.at[i]);
    buf_add(&out, "%d page%s, %d numeral%s: %d agree%s; %d true-size "
            "shape%s right; ", f->pages, plural(f->pages), f->numerals,
            plural(f->numerals), f->agree, f->agree == 1 ? "s" : "",
            f->shapes, plural(f->shapes));
    if (f->list.n == 0)
        buf_add(&out, "nothing to correct\n");
    else
        buf_add(&out, "%d finding%s\n", f->list.n, plural(f->list.n));
    return buf_done(&out);
}
