/* outlined -- a page's texts as outlines of their glyphs, for formats that
 * are read where our fonts are not: SVG and PNG.
 *
 * A glyph is asked for twice: first to count what its outline is made of,
 * then, after the memory is taken, to note it. So nothing of HarfBuzz's is
 * open when memory runs out and the program jumps away.
 */
#include "print/print_internal.h"

#include <assert.h>

#include <harfbuzz/hb-ot.h>
#include <harfbuzz/hb.h>

#define MM_PER_POINT (25.4 / 72)

/* The outline of a run while it is made. A point of the font is at
 * `at` + k * (x, -y) of the page, turned by a quarter for upright text. */
typedef struct {
    PathOp *op;      // NULL: only counted
    int     n;
    V2      at;
    double  k;       // mm for a unit of the font
    bool    turned;
} Trace;

static V2 on_page(const Trace *t, float x, float y) {
    double u = (double)x * t->k, v = (double)y * t->k;

    return t->turned ? v2(t->at.x - v, t->at.y - u)
                     : v2(t->at.x + u, t->at.y - v);
}

static void note(Trace *t, PathOp op) {
    if (t->op)
        t->op[t->n] = op;
    t->n++;
}

static void move(hb_draw_funcs_t *f, void *data, hb_draw_state_t *state,
                 float x, float y, void *unused) {
    Trace *t = data;

    (void)f, (void)state, (void)unused;
    note(t, (PathOp){ 'M', { on_page(t, x, y) } });
}

static void line(hb_draw_funcs_t *f, void *data, hb_draw_state_t *state,
                 float x, float y, void *unused) {
    Trace *t = data;

    (void)f, (void)state, (void)unused;
    note(t, (PathOp){ 'L', { on_page(t, x, y) } });
}

/* HarfBuzz makes cubics of the quadratic curves in our fonts. */
static void curve(hb_draw_funcs_t *f, void *data, hb_draw_state_t *state,
                  float ax, float ay, float bx, float by, float x, float y,
                  void *unused) {
    Trace *t = data;

    (void)f, (void)state, (void)unused;
    note(t, (PathOp){ 'C', { on_page(t, ax, ay), on_page(t, bx, by),
                             on_page(t, x, y) } });
}

static void closing(hb_draw_funcs_t *f, void *data, hb_draw_state_t *state,
                    void *unused) {
    (void)f, (void)state, (void)unused;
    note(data, (PathOp){ .op = 'Z' });
}

static hb_font_t *open_font(Str bytes) {
    hb_blob_t *blob = hb_blob_create(bytes.s, (unsigned)bytes.n,
                                     HB_MEMORY_MODE_READONLY, NULL, NULL);
    hb_face_t *face = hb_face_create(blob, 0);
    hb_font_t *font = hb_font_create(face);

    hb_face_destroy(face);
    hb_blob_destroy(blob);
    return font;
}

/* Traces the glyphs of a run; takes no memory of ours. */
static void trace_run(Str font_file, double size, const Glyphs *glyphs,
                      Trace *t) {
    hb_draw_funcs_t *f    = hb_draw_funcs_create();
    hb_font_t       *font = open_font(font_file);
    double           em   = size * MM_PER_POINT;

    hb_draw_funcs_set_move_to_func(f, move, NULL, NULL);
    hb_draw_funcs_set_line_to_func(f, line, NULL, NULL);
    hb_draw_funcs_set_cubic_to_func(f, curve, NULL, NULL);
    hb_draw_funcs_set_close_path_func(f, closing, NULL, NULL);
    t->k = em / hb_face_get_upem(hb_font_get_face(font));
    for (int i = 0; i < glyphs->n; i++) {
        hb_codepoint_t glyph;
        double         on = glyphs->at[i].advance / 1000 * em;
        if (hb_font_get_nominal_glyph(font, glyphs->at[i].ch, &glyph))
            hb_font_get_glyph_shape(font, glyph, f, t);
        t->at = t->turned ? v2(t->at.x, t->at.y - on)
                          : v2(t->at.x + on, t->at.y);
    }
    hb_font_destroy(font);
    hb_draw_funcs_destroy(f);
}

static bool add_text(Ctx *c, const Booklet *b, const Mark *m, Page *out) {
    V2 pen = v2_add(m->at, m->turn != 0 ? v2(-m->rise, 0)
                                        : v2(0, -m->rise));

    assert(m->turn == 0 || m->turn == 90);
    for (size_t at = 0; at < m->text.n; ) {
        Glyphs glyphs = { 0 };
        FontId font;
        Str    run   = font_run(b->fonts, m->font, m->text, &at, &font);
        Trace  count = { .at = pen, .turned = m->turn != 0 }, t = count;
        Mark  *mark;
        if (font == FONT_COUNT) {
            size_t first = 0;
            report_plain(c, GLYPH_MISSING, "no font has the character "
                         "U+%04X of \"%.*s\"",
                         (unsigned)utf8_next(run, &first), STR_ARG(m->text));
            return false;
        }
        font_shape(c, b->fonts, font, run, &glyphs);
        trace_run(font_bytes(b->fonts, font), m->size, &glyphs, &count);
        t.op = NEW_N(c, PathOp, count.n + 1);
        trace_run(font_bytes(b->fonts, font), m->size, &glyphs, &t);
        pen  = t.at;
        mark = PUSH(c, &out->marks);
        *mark = (Mark){ .kind = MARK_PATH, .fill = m->ink };
        mark->path.at = t.op;
        mark->path.n  = t.n;
    }
    return true;
}

bool page_outlined(Ctx *c, const Booklet *b, int page, Page *out) {
    const Page *from = &b->pages.at[page];

    *out = (Page){ .section = from->section };
    for (int i = 0; i < from->marks.n; i++) {
        const Mark *m = &from->marks.at[i];
        if (m->kind == MARK_TEXT && !add_text(c, b, m, out))
            return false;
        if (m->kind != MARK_TEXT && m->kind != MARK_LINK)
            *PUSH(c, &out->marks) = *m;
    }
    return true;
}
