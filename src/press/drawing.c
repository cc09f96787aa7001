/* drawing -- one drawing by itself: laid out on a page, which is then cut
 * down to what was drawn.
 */
#include "press/sections.h"

#include <math.h>

#define MARGIN  3.0     // mm around the drawing
#define FRAME_H 180.0   // that pictures are fitted into

/* ---- What is drawn ---- */

static Box2 frame_of(const Press *p) {
    return box2(p->left, p->top, p->left + TEXT_W, p->top + FRAME_H);
}

static void draw_view(Press *p, int index) {
    Box2   box = p->plan->three[index].picture.box;
    double k   = fmin((TEXT_W - 2 * DIM_FIRST) / (box.max.x - box.min.x),
                      FRAME_H / (box.max.y - box.min.y));

    sized_view(p, index, v2(p->left + 2 * DIM_FIRST, p->top + FRAME_H),
               fmin(k, 1));
}

/* The lower left corner stays on the page; the rest is given room. */
static void draw_template(Press *p, int index) {
    const Pattern *pattern = &p->plan->patterns.at[index];
    Box2  box = shape_box(pattern->shape);
    Place pl  = { box.min, v2(p->left, p->top + box.max.y - box.min.y), 1,
                  false };

    draw_shape(p, pattern->shape, &pl, PEN_THIN, INK_NONE);
    if (pattern->half || pattern->repeats > 0)
        draw_line(p, place_point(&pl, pattern->fold[0]),
                  place_point(&pl, pattern->fold[1]), PEN_FOLD);
}

static void draw(Press *p, DrawingKind kind, int index) {
    switch (kind) {   // ORDER DRAWING
    case DRAWING_PROJECT:
        view_draw(p, &p->plan->cover, frame_of(p),
                  (PictureLook){ .shaded = true }, false);
        break;
    case DRAWING_VIEW:
        draw_view(p, index);
        break;
    case DRAWING_STEP:
        step_drawing(p, index, frame_of(p));
        break;
    case DRAWING_PART:
        part_drawing(p, index);
        break;
    case DRAWING_TEMPLATE:
        draw_template(p, index);
        break;
    }
}

/* ---- The page around it ---- */

static void add_path(Box2 *box, const Mark *m) {
    double off = m->stroke == INK_NONE ? 0 : m->width / 2;

    for (int i = 0; i < m->path.n; i++) {
        const PathOp *op     = &m->path.at[i];
        int           points = op->op == 'C' ? 3 : op->op == 'Z' ? 0 : 1;
        for (int k = 0; k < points; k++) {
            box2_add(box, v2(op->p[k].x - off, op->p[k].y - off));
            box2_add(box, v2(op->p[k].x + off, op->p[k].y + off));
        }
    }
}

static void add_text(Press *p, Box2 *box, const Mark *m) {
    double w = font_width(p->c, p->fonts, m->font, m->size, m->text);
    double h = m->size * 25.4 / 72;   // ascenders reach less than an em

    box2_add(box, v2_add(m->at, m->turn != 0 ? v2(-h, -w) : v2(0, -h)));
    box2_add(box, v2_add(m->at, m->turn != 0 ? v2(h / 4, 0) : v2(w, h / 4)));
}

static Box2 drawn_box(Press *p, const Page *page) {
    Box2 box = box2_empty();

    for (int i = 0; i < page->marks.n; i++) {
        const Mark *m = &page->marks.at[i];
        if (m->kind == MARK_PATH)
            add_path(&box, m);
        else if (m->kind == MARK_TEXT)
            add_text(p, &box, m);
    }
    return box;
}

static void move_mark(Mark *m, V2 by) {
    m->at      = v2_add(m->at, by);
    m->box.min = v2_add(m->box.min, by);
    m->box.max = v2_add(m->box.max, by);
    for (int i = 0; i < m->path.n; i++)
        for (int k = 0; k < 3; k++)
            m->path.at[i].p[k] = v2_add(m->path.at[i].p[k], by);
}

/* Links lead to pages that are not there. */
static void crop(Press *p) {
    Page *page = &p->b->pages.at[0];
    Box2  box  = drawn_box(p, page);
    V2    by   = v2(MARGIN - box.min.x, MARGIN - box.min.y);
    int   kept = 0;

    for (int i = 0; i < page->marks.n; i++) {
        if (page->marks.at[i].kind == MARK_LINK)
            continue;
        page->marks.at[kept] = page->marks.at[i];
        move_mark(&page->marks.at[kept++], by);
    }
    page->marks.n = kept;
    p->b->width   = box.max.x - box.min.x + 2 * MARGIN;
    p->b->height  = box.max.y - box.min.y + 2 * MARGIN;
}

const Booklet *press_drawing(Ctx *c, const Model *m, const Workplan *plan,
                             const Edition *edition, DrawingKind kind,
                             int index) {
    const Fonts *fonts = fonts_load(c);
    Press        p;

    if (!fonts)
        return NULL;
    p = press_new(c, m, plan, edition, fonts, NULL);
    page_begin(&p, SECTION_DRAWINGS, PAGE_NO_FOOT);
    draw(&p, kind, index);
    crop(&p);
    p.b->title  = m->title;
    p.b->author = m->by_name;
    p.b->date   = m->date;
    return c->errors ? NULL : p.b;
}
