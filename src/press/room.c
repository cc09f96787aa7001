/* room -- labels on leaders, each where nothing else stands.
 *
 * Tried are places around the tip, the nearest and those toward the wished
 * way first; the first one whose box is free of all lines and letters drawn
 * so far, and whose leader runs through no letters, is taken.
 */
#include "press/sections.h"

#include <math.h>

#define AROUND  1.75   // mm from a label to the middle of a line
#define STEPS    16    // ways around the tip
#define PI 3.14159265358979323846

static const double lengths[] = { 6, 8, 11, 15, 20, 26, 34 };

static bool meets(Box2 a, Box2 b) {
    return a.min.x < b.max.x && a.max.x > b.min.x && a.min.y < b.max.y
        && a.max.y > b.min.y;
}

/* Is a point of the segment in the box? (Liang & Barsky 1984) */
static bool crosses(Box2 box, V2 a, V2 b) {
    double d[2] = { b.x - a.x, b.y - a.y }, at[2] = { a.x, a.y };
    double lo[2] = { box.min.x, box.min.y }, hi[2] = { box.max.x,
                                                        box.max.y };
    double from = 0, to = 1;

    if ((a.x <= lo[0] && b.x <= lo[0]) || (a.x >= hi[0] && b.x >= hi[0])
        || (a.y <= lo[1] && b.y <= lo[1]) || (a.y >= hi[1] && b.y >= hi[1]))
        return false;
    for (int k = 0; k < 2; k++) {
        double t0, t1;
        if (fabs(d[k]) < 1e-12) {
            if (at[k] <= lo[k] || at[k] >= hi[k])
                return false;
            continue;
        }
        t0 = (lo[k] - at[k]) / d[k];
        t1 = (hi[k] - at[k]) / d[k];
        from = fmax(from, fmin(t0, t1));
        to   = fmin(to, fmax(t0, t1));
    }
    return from < to;
}

static V2 bezier(V2 a, const V2 p[3], double t) {
    double s = 1 - t, w[4] = { s * s * s, 3 * s * s * t, 3 * s * t * t,
                               t * t * t };

    return v2(w[0] * a.x + w[1] * p[0].x + w[2] * p[1].x + w[3] * p[2].x,
              w[0] * a.y + w[1] * p[0].y + w[2] * p[1].y + w[3] * p[2].y);
}

/* A curve does not leave the box around its ends and controls. */
static bool curve_is_near(Box2 box, V2 a, const V2 p[3]) {
    Box2 all = { a, a };

    for (int k = 0; k < 3; k++)
        box2_add(&all, p[k]);
    return meets(all, (Box2){ v2(box.min.x - 1, box.min.y - 1),
                              v2(box.max.x + 1, box.max.y + 1) });
}

#define BENDS 4   // straight pieces that stand for a curve

static bool path_meets(const Mark *m, Box2 box) {
    V2 at = { 0, 0 }, start = at;

    for (int i = 0; i < m->path.n; i++) {
        const PathOp *op = &m->path.at[i];
        V2 from = at;
        if (op->op == 'M') {
            start = at = op->p[0];
            continue;
        }
        if (op->op == 'C' && !curve_is_near(box, at, op->p)) {
            at = op->p[2];
            continue;
        }
        for (int k = 1; op->op == 'C' && k < BENDS; k++) {
            V2 next = bezier(at, op->p, (double)k / BENDS);
            if (crosses(box, from, next))
                return true;
            from = next;
        }
        at = op->op == 'Z' ? start : op->p[op->op == 'C' ? 2 : 0];
        if (crosses(box, from, at))
            return true;
    }
    return false;
}

static Box2 text_box(Press *p, const Mark *m) {
    double w   = font_width(p->c, p->fonts, m->font, m->size, m->text);
    double cap = font_cap_height(p->fonts, m->font, m->size);
    double low = cap * 0.3;

    if (m->turn != 0)
        return box2(m->at.x - cap, m->at.y - w, m->at.x + low, m->at.y);
    return box2(m->at.x, m->at.y - cap, m->at.x + w, m->at.y + low);
}

/* Could a text's box reach from `low` to `high` on the page? To know how
 * wide it is takes longer. */
static bool text_is_near(Press *p, const Mark *m, double low, double high) {
    double cap = font_cap_height(p->fonts, m->font, m->size);

    return m->turn != 0 || (m->at.y - cap <= high && m->at.y + cap >= low);
}

bool page_is_free(Press *p, int first, Box2 box) {
    const Page *page = &p->b->pages.at[p->page];

    for (int i = first; i < page->marks.n; i++) {
        const Mark *m = &page->marks.at[i];
        if (m->kind == MARK_PATH ? path_meets(m, box)
            : m->kind == MARK_TEXT
              && text_is_near(p, m, box.min.y, box.max.y)
              && meets(text_box(p, m), box))
            return false;
    }
    return true;
}

static bool line_is_free(Press *p, int first, V2 a, V2 b) {
    const Page *page = &p->b->pages.at[p->page];

    for (int i = first; i < page->marks.n; i++) {
        const Mark *m = &page->marks.at[i];
        if (m->kind == MARK_TEXT
            && text_is_near(p, m, fmin(a.y, b.y), fmax(a.y, b.y))
            && crosses(text_box(p, m), a, b))
            return false;
    }
    return true;
}

/* ---- Callouts ---- */

/* `w`: how wide the label is. */
static Box2 label_box(const Press *p, const Callout *c, double w, V2 elbow) {
    double h = font_cap_height(p->fonts, FONT_REGULAR, STYLE_DIM.size) / 2;
    double x = dim_leader_label(elbow, c->tip);
    double down = h + 0.8;

    if (x < elbow.x)
        return box2(x - w - AROUND, elbow.y - h - AROUND, x + AROUND,
                    elbow.y + down + AROUND);
    return box2(x - AROUND, elbow.y - h - AROUND, x + w + AROUND,
                elbow.y + down + AROUND);
}

static bool on_page(Press *p, double top, Box2 box) {
    return box.min.x > p->left - 3 && box.max.x < p->left + TEXT_W + 3
        && box.min.y > top && box.max.y < body_bottom(p) + 3;
}

/* The k-th way from the wished one: to its left and right in turn. */
static V2 way_of(V2 wish, int k) {
    double turn = (k + 1) / 2 * (2 * PI / STEPS) * (k % 2 ? 1 : -1);
    double a    = atan2(wish.y, wish.x) + turn;

    return v2(cos(a), sin(a));
}

static V2 elbow_of(Press *p, int first, double top, const Callout *c) {
    double w = para_width(p, &c->label, STYLE_DIM);

    for (int l = 0; l < COUNT(lengths); l++)
        for (int k = 0; k < STEPS; k++) {
            V2   way   = way_of(c->way, k);
            V2   elbow = v2_add(c->tip, v2_scale(way, c->clear
                                                      + lengths[l]));
            Box2 box   = label_box(p, c, w, elbow);
            if (on_page(p, top, box) && page_is_free(p, first, box)
                && line_is_free(p, first, c->tip, elbow)
                && !line_on_outline(p, c->tip, elbow))
                return elbow;
        }
    return v2_add(c->tip, v2_scale(way_of(c->way, 0), c->clear
                                                      + lengths[0]));
}

void draw_callout(Press *p, int first, double top, const Callout *c) {
    V2     elbow = elbow_of(p, first, top, c);
    V2     way   = v2_sub(elbow, c->tip);
    double far   = v2_len(way);

    dim_leader(p, v2_add(c->tip, v2_scale(way, c->clear / far)), elbow,
               &c->label);
}
