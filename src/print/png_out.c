/* png_out -- one page as a PNG of 300 dots to the inch, drawn by cairo,
 * which smooths lines and writes the file; large pages get fewer dots.
 *
 * cairo keeps its own memory. Ours is taken before it is opened and after
 * it is closed, so that running out of it leaves nothing behind.
 */
#include "print/print_internal.h"

#include <cairo/cairo.h>
#include <math.h>

#define DOTS_PER_MM (300 / 25.4)
#define MOST_DOTS   8000.0   // of the longer side

static void set_ink(cairo_t *to, Ink ink) {
    const InkRgb *c = &ink_rgb[ink];

    cairo_set_source_rgb(to, c->r, c->g, c->b);
}

static void add_op(cairo_t *to, const PathOp *op) {
    const V2 *p = op->p;

    switch (op->op) {
    case 'M': cairo_move_to(to, p[0].x, p[0].y); break;
    case 'L': cairo_line_to(to, p[0].x, p[0].y); break;
    case 'C': cairo_curve_to(to, p[0].x, p[0].y, p[1].x, p[1].y, p[2].x,
                             p[2].y); break;
    default:  cairo_close_path(to); break;
    }
}

static void draw_path(cairo_t *to, const Mark *m) {
    double lengths[6];

    cairo_new_path(to);
    for (int i = 0; i < m->path.n; i++)
        add_op(to, &m->path.at[i]);
    if (m->fill != INK_NONE) {
        set_ink(to, m->fill);
        cairo_fill_preserve(to);
    }
    if (m->stroke != INK_NONE) {
        set_ink(to, m->stroke);
        cairo_set_line_width(to, m->width);
        cairo_set_dash(to, lengths, dash_lengths(m->dash, m->width, lengths),
                       0);
        cairo_stroke(to);
    }
}

static void draw_marks(cairo_t *to, const Page *page) {
    cairo_set_line_cap(to, CAIRO_LINE_CAP_ROUND);
    cairo_set_line_join(to, CAIRO_LINE_JOIN_ROUND);
    cairo_set_fill_rule(to, CAIRO_FILL_RULE_EVEN_ODD);
    set_ink(to, INK_WHITE);
    cairo_paint(to);
    for (int i = 0; i < page->marks.n; i++) {
        const Mark *m = &page->marks.at[i];
        if (m->kind == MARK_PATH) {
            draw_path(to, m);
        } else if (m->kind == MARK_CLIP) {
            cairo_save(to);
            cairo_rectangle(to, m->box.min.x, m->box.min.y,
                            m->box.max.x - m->box.min.x,
                            m->box.max.y - m->box.min.y);
            cairo_clip(to);
        } else if (m->kind == MARK_UNCLIP) {
            cairo_restore(to);
        }
    }
}

static cairo_status_t write_bytes(void *file, const unsigned char *bytes,
                                  unsigned n) {
    return fwrite(bytes, 1, n, file) == n ? CAIRO_STATUS_SUCCESS
                                          : CAIRO_STATUS_WRITE_ERROR;
}

/* The file, to be given back by free(); NULL: there is no memory for it. */
static char *png_of(const Booklet *b, const Page *page, size_t *n) {
    double k = fmin(DOTS_PER_MM, MOST_DOTS / fmax(b->width, b->height));
    cairo_surface_t *image = cairo_image_surface_create(CAIRO_FORMAT_RGB24,
        (int)ceil(b->width * k), (int)ceil(b->height * k));
    cairo_t *to    = cairo_create(image);
    char    *bytes = NULL;
    FILE    *file  = open_memstream(&bytes, n);
    bool     ok;

    cairo_scale(to, k, k);
    draw_marks(to, page);
    ok = file && cairo_status(to) == CAIRO_STATUS_SUCCESS
      && cairo_surface_write_to_png_stream(image, write_bytes, file)
         == CAIRO_STATUS_SUCCESS;
    cairo_destroy(to);
    cairo_surface_destroy(image);
    ok = file && fclose(file) == 0 && ok;
    if (ok)
        return bytes;
    free(bytes);
    return NULL;
}

bool print_png(Ctx *c, const Booklet *b, Str *bytes) {
    Page   page;
    char  *file;
    size_t n = 0;

    if (!page_outlined(c, b, 0, &page))
        return false;
    file = png_of(b, &page, &n);
    if (!file)
        arena_take(&c->arena, SIZE_MAX);   // out of memory: jumps away
    *bytes = str_copy(c, (Str){ file, n });
    free(file);
    return true;
}
