/* dump -- a booklet as text: the trace that golden files keep, and the
 * ledger as a table. */
#include "press/press.h"

static const char *const ink_name[] = {   // ORDER INK
    "none", "black", "gray", "pale", "zebra", "accent", "tint", "white",
    "shade"
};

static const char *const dash_name[] = {   // ORDER DASH
    "solid", "hidden", "center", "fold"
};

static const char *const font_name[] = {   // ORDER FONT
    "regular", "bold", "light", "symbol"
};

static const char *const figure_kind[] = {   // ORDER FIGURE
    "length", "angle", "count", "money", "area", "volume", "mass", "page",
    "name", "number"
};

/* ---- The trace ---- */

static void num(Buf *out, double value) {
    buf_add(out, " ");
    buf_num(out, value, 2);
}

static void point(Buf *out, V2 p) {
    num(out, p.x);
    num(out, p.y);
}

static void box(Buf *out, Box2 b) {
    point(out, b.min);
    point(out, b.max);
}

static void dump_path(Buf *out, const Mark *m) {
    buf_add(out, "path");
    if (m->stroke != INK_NONE) {
        buf_add(out, " stroke %s", ink_name[m->stroke]);
        num(out, m->width);
        if (m->dash != DASH_SOLID)
            buf_add(out, " %s", dash_name[m->dash]);
    }
    if (m->fill != INK_NONE)
        buf_add(out, " fill %s", ink_name[m->fill]);
    buf_add(out, ":");
    for (int i = 0; i < m->path.n; i++) {
        const PathOp *op = &m->path.at[i];
        int points = op->op == 'C' ? 3 : op->op == 'Z' ? 0 : 1;
        buf_add(out, " %c", op->op);
        for (int k = 0; k < points; k++)
            point(out, op->p[k]);
    }
}

static void dump_text(Buf *out, const Mark *m) {
    buf_add(out, "text");
    point(out, m->at);
    buf_add(out, " %s", font_name[m->font]);
    num(out, m->size);
    buf_add(out, " %s", ink_name[m->ink]);
    if (m->rise != 0) {
        buf_add(out, " rise");
        num(out, m->rise);
    }
    if (m->turn != 0) {
        buf_add(out, " turn");
        num(out, m->turn);
    }
    buf_add(out, " ");
    buf_json(out, m->text);
}

static void dump_mark(Buf *out, const Mark *m) {
    buf_add(out, "  ");
    switch (m->kind) {
    case MARK_PATH:
        dump_path(out, m);
        break;
    case MARK_TEXT:
        dump_text(out, m);
        break;
    case MARK_LINK:
        buf_add(out, "link to page %d:", m->to_page + 1);
        box(out, m->box);
        break;
    case MARK_CLIP:
        buf_add(out, "clip");
        box(out, m->box);
        break;
    case MARK_UNCLIP:
        buf_add(out, "unclip");
        break;
    }
    buf_add(out, "\n");
}

static void dump_page(Buf *out, const Page *page, int number) {
    buf_add(out, "page %d%s ", number, page->sheet ? " sheet" : "");
    buf_json(out, page->section);
    buf_add(out, "\n");
    for (int i = 0; i < page->marks.n; i++)
        dump_mark(out, &page->marks.at[i]);
}

static void dump_bookmark(Buf *out, const Bookmark *mark) {
    buf_add(out, "bookmark %d page %d ", mark->level, mark->page + 1);
    buf_json(out, mark->title);
    buf_add(out, "\n");
}

static void dump_head(Buf *out, const Booklet *b) {
    buf_add(out, "booklet");
    num(out, b->width);
    num(out, b->height);
    buf_add(out, "\ntitle ");
    buf_json(out, b->title);
    buf_add(out, "\nauthor ");
    buf_json(out, b->author);
    buf_add(out, "\nsubject ");
    buf_json(out, b->subject);
    buf_add(out, "\ndate ");
    buf_json(out, b->date);
    buf_add(out, "\n");
}

void booklet_dump(Buf *out, const Booklet *b) {
    dump_head(out, b);
    for (int i = 0; i < b->bookmarks.n; i++)
        dump_bookmark(out, &b->bookmarks.at[i]);
    for (int i = 0; i < b->pages.n; i++)
        dump_page(out, &b->pages.at[i], i + 1);
}

/* ---- The ledger ---- */

static void csv_num(Buf *out, double value, int places) {
    buf_add(out, ",");
    buf_num(out, value, places);
}

static void csv_row(Buf *out, const LedgerRow *row) {
    const Figure *f = &row->figure;

    buf_add(out, "%d", row->page + 1);
    csv_num(out, row->at.x, 2);
    csv_num(out, row->at.y, 2);
    csv_num(out, row->width, 2);
    buf_add(out, ",%s,", figure_kind[f->kind]);
    buf_csv(out, f->shown);
    buf_add(out, ",");
    buf_csv(out, f->unit);
    csv_num(out, f->value, 6);
    csv_num(out, f->step, 6);
    buf_add(out, ",");
    buf_csv(out, f->source);
    buf_add(out, "\r\n");
}

void ledger_csv(Buf *out, const Booklet *b) {
    buf_add(out, "page,x mm,y mm,width mm,kind,shown,unit,value,step,"
            "source\r\n");
    for (int i = 0; i < b->ledger.rows.n; i++)
        csv_row(out, &b->ledger.rows.at[i]);
}
