/* table -- rows that can be read with a finger on the page.
 *
 * A column of sizes has one line, the split, that all its figures share:
 * whole numbers end there, fractions and decimals begin there.
 *
 *        12 |          9 |5/8        140 |.5
 *         3 |1/2         |3/4         95 |
 */
#include "press/press_internal.h"

#include <math.h>

#define PAD 1.5
#define ROOM_LOST 60.0    // mm; no more than that on the next page is saved
#define GAP "\xE2\x80\xAF"

static double width_sum(const Table *t, int upto) {
    double sum = 0;

    for (int i = 0; i < upto; i++)
        sum += t->columns[i].width;
    return sum;
}

static double on_grid(double height) {
    return ceil(height / HALF_LINE - 1e-6) * HALF_LINE;
}

static double inner(const Column *column) {
    return column->width - 2 * PAD;
}

static Align align_of(const Column *column) {
    return column->kind == COLUMN_FIGURE || column->kind == COLUMN_COUNT
         ? ALIGN_RIGHT : ALIGN_LEFT;
}

/* ---- Head ---- */

static double head_height(Press *p, const Table *t) {
    double most = 0;

    for (int i = 0; i < t->n; i++) {
        Para para = para_of(p, t->columns[i].head);
        most = fmax(most, para_height(p, &para, inner(&t->columns[i]),
                                      STYLE_NOTE_BOLD));
    }
    return on_grid(most + HALF_LINE);
}

/* Heads stand on one last line, above a rule. */
static void head_draw(Press *p, Table *t) {
    double height = head_height(p, t), bottom = p->y + height;

    for (int i = 0; i < t->n; i++) {
        const Column *column = &t->columns[i];
        Para   para = para_of(p, column->head);
        double own  = para_height(p, &para, inner(column), STYLE_NOTE_BOLD);
        para_draw_aligned(p, &para, t->x + width_sum(t, i) + PAD,
                          bottom - HALF_LINE - own, inner(column),
                          align_of(column), STYLE_NOTE_BOLD);
    }
    draw_line(p, (V2){ t->x, bottom - 0.6 },
              (V2){ t->x + width_sum(t, t->n), bottom - 0.6 }, PEN_THIN);
    p->y   = bottom;
    t->row = 0;
}

Table table_begin(Press *p, double x, const Column *columns, int n) {
    Table t = { .columns = columns, .n = n, .x = p->left + x };

    page_need(p, head_height(p, &t) + 2 * ROW_LEAST);
    head_draw(p, &t);
    return t;
}

/* ---- Rows ---- */

void table_fit(Press *p, Table *t) {
    double room = body_bottom(p) - p->y, wide = t->left * ROW_LEAST;

    t->tight = wide > room && t->left * BASE_LINE <= room
            && wide - room < ROOM_LOST;
}

double table_row_height(Press *p, const Table *t, const Para *cells) {
    double most = 0;

    for (int i = 0; cells && i < t->n; i++)
        if (cells[i].spans.n)
            most = fmax(most, para_height(p, &cells[i],
                                          inner(&t->columns[i]),
                                          STYLE_NOTE));
    return t->tight ? fmax(BASE_LINE, on_grid(most))
                    : fmax(ROW_LEAST, on_grid(most + HALF_LINE));
}

void table_row(Press *p, Table *t, double height) {
    bool last = t->left-- == 2;

    height = fmax(t->tight ? BASE_LINE : ROW_LEAST, on_grid(height));
    if (page_need(p, last ? 2 * height : height))
        head_draw(p, t);
    t->row_top    = p->y;
    t->row_height = height;
    if (t->row % 2 == 1 && !t->plain)
        draw_rect(p, box2(t->x, p->y, t->x + width_sum(t, t->n),
                          p->y + height), PEN_NONE, INK_ZEBRA);
    t->row++;
    p->y += height;
}

Box2 table_cell(const Table *t, int column) {
    double x = t->x + width_sum(t, column);

    return box2(x, t->row_top, x + t->columns[column].width,
                t->row_top + t->row_height);
}

/* Top of a block of text in the current row. */
static double block_top(const Table *t, double height) {
    double spare = t->row_height - height - HALF_LINE;

    if (!t->middle || spare <= 0)
        return t->row_top;
    return t->row_top + floor(spare / 2 / HALF_LINE + 1e-6) * HALF_LINE;
}

void table_para(Press *p, const Table *t, int column, const Para *para) {
    const Column *of = &t->columns[column];
    double height = para_height(p, para, inner(of), STYLE_NOTE);

    para_draw_aligned(p, para, table_cell(t, column).min.x + PAD,
                      block_top(t, height), inner(of), align_of(of),
                      STYLE_NOTE);
}

/* ---- Figures on the split ---- */

static double measure(Press *p, Str text) {
    Para para = para_bare(p, figure_name(p->c, text, STR("")));

    return para_width(p, &para, STYLE_NOTE);
}

/* What is kept free to the right of the split. */
static double room_right(Press *p, const Figure *f) {
    if (f->kind == FIGURE_MONEY)
        return measure(p, STR(".00"));
    if (f->kind == FIGURE_ANGLE)
        return measure(p, STR(".0\xC2\xB0"));
    if (f->kind != FIGURE_LENGTH)
        return 0;
    if (!p->e->inch)
        return measure(p, STR(".0"));
    return measure(p, STR("\xC2\xB9\xE2\x81\xB5\xE2\x81\x84\xE2\x82\x81"
                          "\xE2\x82\x86\xE2\x88\x92"));   // 15/16, mark
}

/* Offset in `shown` of what stands right of the split, or its end. */
static size_t split_at(Str shown) {
    size_t at = 0;

    while (at < shown.n) {
        size_t   here = at;
        uint32_t ch   = utf8_next(shown, &at);
        if (ch == '.' || ch == '+' || ch >= 0x2070 || ch == 0xB9
            || ch == 0xB2 || ch == 0xB3) {
            bool sign = ch == 0x2212 && here == 0;
            bool gap  = ch == 0x202F;
            if (!sign && !gap)
                return here;
        }
    }
    return shown.n;
}

void table_figure(Press *p, const Table *t, int column, Figure f) {
    Para   para  = para_bare(p, f);
    Box2   cell  = table_cell(t, column);
    double base  = block_top(t, BASE_LINE) + BASE_LINE;
    double right = cell.max.x - PAD, split = right - room_right(p, &f);
    size_t at    = split_at(f.shown);
    double left  = measure(p, str_part(f.shown, 0, at));
    bool   whole = at == f.shown.n || f.shown.s[at] == '+'
                || str_is(str_part(f.shown, at, f.shown.n), "\xE2\x88\x92");

    if (t->columns[column].kind != COLUMN_FIGURE) {
        para_at(p, &para, (V2){ right, base }, ALIGN_RIGHT, STYLE_NOTE);
        return;
    }
    if (f.kind == FIGURE_LENGTH && p->e->inch && whole)
        left += measure(p, STR(GAP));
    para_at(p, &para, (V2){ split - left, base }, ALIGN_LEFT, STYLE_NOTE);
}

void table_end(Press *p, Table *t) {
    draw_line(p, (V2){ t->x, p->y },
              (V2){ t->x + width_sum(t, t->n), p->y }, PEN_THIN);
    space_down(p, BASE_LINE);
}
