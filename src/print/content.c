/* content -- a page's marks as PDF operators (ISO 32000-1, 8 and 9).
 *
 * The operators are written as text, not by libharu's drawing calls: those
 * take floats, write a NaN as garbage, allow whole points only in dashes
 * and know no kerning. Here every number goes through num(), which asserts
 * that it is finite.
 *
 * The page is y down in millimeters, PDF is y up in points:
 *
 *     0,0 +------> x mm            y pt ^
 *         |              becomes        |
 *         v y mm                   0,0  +------> x pt
 *
 * A change of color, width, dash or font is written only where it differs
 * from what stands already.
 */
#include "print/print_internal.h"

#include <assert.h>
#include <math.h>

#define POINTS_PER_MM (72 / 25.4)
#define DEEPEST       16   // clips in clips; PDF readers allow 28

typedef struct {
    Ink    stroke, fill;
    double width;
    Dash   dash;
    double dash_width;    // the dash was made for this line width
    FontId font;
    double size, rise;
} State;

/* One page as it is written. `drawn` is a stack for clips. */
typedef struct {
    Ctx           *c;
    const Booklet *b;
    Contents      *all;
    PageOps       *page;
    int            number;     // from 1
    double         height;     // points
    Buf            out;
    State          drawn[DEEPEST];
    int            depth;
    bool           ok;
} Pen;

/* 55 % gray is 0.45 of white; the tint is 18 % of the accent. */
static const struct { const char *stroke, *fill; } inks[] = {   // ORDER INK
    { "", "" },
    { "0 G", "0 g" },
    { ".45 G", ".45 g" },
    { ".88 G", ".88 g" },
    { ".94 G", ".94 g" },
    { ".85 .3 .45 .15 K", ".85 .3 .45 .15 k" },
    { ".153 .054 .081 .027 K", ".153 .054 .081 .027 k" },
    { "1 G", "1 g" },
    { ".75 G", ".75 g" },
};

/* Dashes and gaps in line widths, as seen: dash 12, dot 0.5, long dash 24,
 * gap 3 (ISO 128-20, line types 02, 04, 05; from memory). */
static const struct { int n; double seen[6]; } dashes[] = {   // ORDER DASH
    { 0, { 0 } },
    { 2, { 12, 3 } },
    { 4, { 24, 3, 0.5, 3 } },
    { 6, { 24, 3, 0.5, 3, 0.5, 3 } },
};

/* Round caps add half a line width to both ends of a dash: it is drawn one
 * width shorter and its gap one width longer, to be seen as the table says.
 * A dot keeps its length and grows by its caps: shorter ones get lost. */
int dash_lengths(Dash dash, double width, double out[6]) {
    for (int i = 0; i < dashes[dash].n; i++) {
        double seen = dashes[dash].seen[i];
        double made = i % 2 ? seen + 1 : fmax(seen - 1, 0.5);
        out[i] = made * width;
    }
    return dashes[dash].n;
}

double paper_points(double mm) {
    return floor(mm * POINTS_PER_MM * 1000 + 0.5) / 1000;
}

/* ---- Numbers and state ---- */

static void num(Pen *pen, double value) {
    assert(isfinite(value) && fabs(value) < 32000);
    buf_num(&pen->out, value, 4);
    buf_add(&pen->out, " ");
}

static void point(Pen *pen, V2 p) {
    num(pen, p.x * POINTS_PER_MM);
    num(pen, pen->height - p.y * POINTS_PER_MM);
}

static State *now(Pen *pen) {
    return &pen->drawn[pen->depth];
}

static void set_stroke(Pen *pen, Ink ink) {
    if (now(pen)->stroke != ink)
        buf_add(&pen->out, "%s\n", inks[ink].stroke);
    now(pen)->stroke = ink;
}

static void set_fill(Pen *pen, Ink ink) {
    if (now(pen)->fill != ink)
        buf_add(&pen->out, "%s\n", inks[ink].fill);
    now(pen)->fill = ink;
}

static void set_width(Pen *pen, double mm) {
    assert(mm > 0);
    if (now(pen)->width == mm)
        return;
    num(pen, mm * POINTS_PER_MM);
    buf_add(&pen->out, "w\n");
    now(pen)->width = mm;
}

static void set_dash(Pen *pen, Dash dash, double width) {
    State *s = now(pen);
    double lengths[6];
    int    n = dash_lengths(dash, width, lengths);

    if (s->dash == dash && (dash == DASH_SOLID || s->dash_width == width))
        return;
    buf_add(&pen->out, "[ ");
    for (int i = 0; i < n; i++)
        num(pen, lengths[i] * POINTS_PER_MM);
    buf_add(&pen->out, "] 0 d\n");
    s->dash       = dash;
    s->dash_width = width;
}

/* ---- Paths ---- */

/* M, L, C, Z become m, l, c, h. */
static void write_op(Pen *pen, const PathOp *op) {
    int points = op->op == 'C' ? 3 : op->op == 'Z' ? 0 : 1;

    assert(op->op != 0 && strchr("MLCZ", op->op));
    for (int i = 0; i < points; i++)
        point(pen, op->p[i]);
    buf_add(&pen->out, "%c\n", op->op == 'Z' ? 'h' : op->op + ('a' - 'A'));
}

/* Holes may run either way round: filled by the even-odd rule. */
static void draw_path(Pen *pen, const Mark *m) {
    bool stroke = m->stroke != INK_NONE, fill = m->fill != INK_NONE;

    if ((!stroke && !fill) || m->path.n == 0)
        return;
    assert(m->path.at[0].op == 'M');
    if (stroke) {
        set_stroke(pen, m->stroke);
        set_width(pen, m->width);
        set_dash(pen, m->dash, m->width);
    }
    if (fill)
        set_fill(pen, m->fill);
    for (int i = 0; i < m->path.n; i++)
        write_op(pen, &m->path.at[i]);
    buf_add(&pen->out, "%s\n", !fill ? "S" : stroke ? "B*" : "f*");
}

/* ---- Text ---- */

static void set_font(Pen *pen, FontId font, double size) {
    State *s = now(pen);

    if (s->font != font || s->size != size) {
        buf_add(&pen->out, "/%s ", font_key(font));
        num(pen, size);
        buf_add(&pen->out, "Tf\n");
    }
    s->font = font;
    s->size = size;
    pen->page->font[font] = true;
}

/* [<004100560041> 74 <0054>] TJ: after a glyph the pen moves by its width
 * less the number in thousandths of the size. The codes are the characters
 * themselves. */
static void write_glyphs(Pen *pen, FontId font, const Glyphs *glyphs) {
    bool in_text = false;

    buf_add(&pen->out, "[");
    for (int i = 0; i < glyphs->n; i++) {
        const Glyph *g     = &glyphs->at[i];
        double       short_by = g->width - g->advance;
        assert(g->ch < BMP && isfinite(short_by));
        buf_add(&pen->out, "%s%04X", in_text ? "" : "<", (unsigned)g->ch);
        in_text = true;
        if (fabs(short_by) >= 0.005) {
            buf_add(&pen->out, ">");
            buf_num(&pen->out, short_by, 2);
            in_text = false;
        }
        pen->all->used[font][g->ch] = true;
    }
    buf_add(&pen->out, "%s] TJ\n", in_text ? ">" : "");
}

static void no_glyph(Pen *pen, const Mark *m, Str run) {
    size_t at = 0;

    report_plain(pen->c, GLYPH_MISSING, "page %d: no font has the character "
                 "U+%04X of \"%.*s\"", pen->number,
                 (unsigned)utf8_next(run, &at), STR_ARG(m->text));
    pen->ok = false;
}

static void place_text(Pen *pen, const Mark *m) {
    assert(m->turn == 0 || m->turn == 90);
    buf_add(&pen->out, "%s", m->turn == 0 ? "" : "0 1 -1 0 ");
    point(pen, m->at);
    buf_add(&pen->out, "%s\n", m->turn == 0 ? "Td" : "Tm");
}

/* Readers take what is raised or lowered to be on its baseline still. */
static void set_rise(Pen *pen, double rise) {
    if (now(pen)->rise != rise) {
        num(pen, rise * POINTS_PER_MM);
        buf_add(&pen->out, "Ts\n");
    }
    now(pen)->rise = rise;
}

/* Text that stands for several runs, as UTF-16. */
static void begin_spoken(Pen *pen, Str text) {
    buf_add(&pen->out, "/Span <</ActualText <FEFF");
    for (size_t at = 0; at < text.n; )
        buf_add(&pen->out, "%04X", (unsigned)utf8_next(text, &at) & 0xFFFF);
    buf_add(&pen->out, ">>> BDC\n");
}

static void draw_text(Pen *pen, const Mark *m) {
    if (m->text.n == 0)
        return;
    if (m->spoken.n)
        begin_spoken(pen, m->spoken);
    assert(m->ink != INK_NONE && m->size > 0 && m->font < FONT_COUNT);
    set_fill(pen, m->ink);
    buf_add(&pen->out, "BT\n");
    place_text(pen, m);
    set_rise(pen, m->rise);
    for (size_t at = 0; at < m->text.n; ) {
        Glyphs glyphs = { 0 };
        FontId font;
        Str    run = font_run(pen->b->fonts, m->font, m->text, &at, &font);
        if (font == FONT_COUNT) {
            no_glyph(pen, m, run);
            continue;
        }
        font_shape(pen->c, pen->b->fonts, font, run, &glyphs);
        set_font(pen, font, m->size);
        write_glyphs(pen, font, &glyphs);
    }
    buf_add(&pen->out, m->spoken_end ? "ET\nEMC\n" : "ET\n");
}

/* ---- Pages ---- */

static void clip(Pen *pen, Box2 box) {
    assert(pen->depth + 1 < DEEPEST);
    pen->drawn[pen->depth + 1] = pen->drawn[pen->depth];
    pen->depth++;
    buf_add(&pen->out, "q\n");
    point(pen, v2(box.min.x, box.max.y));
    num(pen, (box.max.x - box.min.x) * POINTS_PER_MM);
    num(pen, (box.max.y - box.min.y) * POINTS_PER_MM);
    buf_add(&pen->out, "re W n\n");
}

static void unclip(Pen *pen) {
    assert(pen->depth > 0);
    pen->depth--;
    buf_add(&pen->out, "Q\n");
}

static void draw(Pen *pen, const Mark *m) {
    switch (m->kind) {
    case MARK_PATH:
        draw_path(pen, m);
        break;
    case MARK_TEXT:
        draw_text(pen, m);
        break;
    case MARK_CLIP:
        clip(pen, m->box);
        break;
    case MARK_UNCLIP:
        unclip(pen);
        break;
    case MARK_LINK:
        break;   // not drawn: pdf.c makes an annotation of it
    }
}

/* The first line also keeps a blank page's content from being empty, which
 * some readers take for damage. */
static void draw_page(Pen *pen, const Page *page) {
    pen->out      = BUF(pen->c);
    pen->depth    = 0;
    pen->drawn[0] = (State){ INK_BLACK, INK_BLACK, 0, DASH_SOLID, 0,
                             FONT_COUNT, 0, 0 };
    buf_add(&pen->out, "1 J 1 j\n");
    for (int i = 0; i < page->marks.n; i++)
        draw(pen, &page->marks.at[i]);
    assert(pen->depth == 0);
    pen->page->ops = buf_done(&pen->out);
}

bool contents_write(Ctx *c, const Booklet *b, Contents *out) {
    Pen pen = { .c = c, .b = b, .all = out, .ok = true };

    pen.height = paper_points(b->height);
    for (FontId id = 0; id < FONT_COUNT; id++)
        out->used[id] = NEW_N(c, bool, BMP);
    for (int i = 0; i < b->pages.n; i++) {
        pen.page   = PUSH(c, &out->pages);
        pen.number = i + 1;
        draw_page(&pen, &b->pages.at[i]);
    }
    return pen.ok;
}
