/* The trace of a booklet and its ledger as text. */
#include "unit/test.h"

#include "press/press.h"

static void op(Ctx *c, Mark *m, char what, double x, double y) {
    PathOp *o = PUSH(c, &m->path);
    o->op   = what;
    o->p[0] = v2(x, y);
}

static Mark *mark(Ctx *c, Page *p, MarkKind kind) {
    Mark *m = PUSH(c, &p->marks);
    m->kind = kind;
    return m;
}

static Booklet *small(Ctx *c) {
    Booklet *b = NEW(c, Booklet);
    Page    *p = PUSH(c, &b->pages);
    Mark    *m;

    b->width  = 215.9;
    b->height = 279.4;
    b->title  = STR("Stool \"low\"");
    b->date   = STR("2026-11-25");
    p->section = STR("Parts");
    m = mark(c, p, MARK_PATH);
    m->stroke = INK_ACCENT;
    m->width  = 0.25;
    m->dash   = DASH_FOLD;
    op(c, m, 'M', 10, -0.001);
    op(c, m, 'L', 33.333333, 20.006);
    op(c, m, 'Z', 0, 0);
    m = mark(c, p, MARK_TEXT);
    m->text = STR("3 ³⁄₁₆");
    m->font = FONT_BOLD;
    m->size = 8.5;
    m->ink  = INK_GRAY;
    m->at   = v2(20, 30);
    m->turn = 90;
    mark(c, p, MARK_CLIP)->box = (Box2){ { 1, 2 }, { 3, 4 } };
    mark(c, p, MARK_UNCLIP);
    mark(c, p, MARK_LINK)->box = (Box2){ { 5, 6 }, { 7, 8 } };
    *PUSH(c, &b->bookmarks) = (Bookmark){ STR("Parts"), 0, 1 };
    return b;
}

static void every_mark_is_one_line(void **state) {
    Buf out = BUF(*state);
    booklet_dump(&out, small(*state));
    assert_str(buf_done(&out),
        "booklet 215.9 279.4\n"
        "title \"Stool \\\"low\\\"\"\n"
        "author \"\"\n"
        "subject \"\"\n"
        "date \"2026-11-25\"\n"
        "bookmark 1 page 1 \"Parts\"\n"
        "page 1 \"Parts\"\n"
        "  path stroke accent 0.25 fold: M 10 0 L 33.33 20.01 Z\n"
        "  text 20 30 bold 8.5 gray turn 90 \"3 ³⁄₁₆\"\n"
        "  clip 1 2 3 4\n"
        "  unclip\n"
        "  link to page 1: 5 6 7 8\n");
}

static void the_ledger_is_a_table(void **state) {
    Ctx       *c = *state;
    Booklet   *b = small(c);
    LedgerRow *r = PUSH(c, &b->ledger.rows);
    Buf        out = BUF(c);

    r->page   = 4;
    r->at     = v2(20, 30.126);
    r->width  = 7.5;
    r->figure = (Figure){ FIGURE_LENGTH, STR("3 ³⁄₁₆"), STR("in"), 80.9625,
                          1.5875, STR("max(\"a\", b)") };
    ledger_csv(&out, b);
    assert_str(buf_done(&out),
        "page,x mm,y mm,width mm,kind,shown,unit,value,step,source\r\n"
        "5,20,30.13,7.5,length,\"3 ³⁄₁₆\",\"in\",80.9625,1.5875,"
        "\"max(\"\"a\"\", b)\"\r\n");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(every_mark_is_one_line),
        TEST(the_ledger_is_a_table),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
