/* mark -- lines, shapes, clips and links on the current page.
 *
 * Everything drawn becomes a path of moves, lines and cubics. An arc turns
 * into cubics of at most 22.5 degrees each, which stay within 1e-7 of the
 * radius of the true circle (computed; the error falls with the sixth power
 * of the angle), so that a template is true to far under a hair.
 */
#include "press/press_internal.h"

#include <math.h>

#define PI 3.14159265358979323846

const Pen PEN_NONE    = { INK_NONE, 0, DASH_SOLID };
const Pen PEN_OUTLINE = { INK_BLACK, 0.5, DASH_SOLID };
const Pen PEN_THIN    = { INK_BLACK, 0.25, DASH_SOLID };
const Pen PEN_EARLIER = { INK_GRAY, 0.25, DASH_SOLID };
const Pen PEN_FINE    = { INK_BLACK, 0.18, DASH_SOLID };
const Pen PEN_GUIDE   = { INK_BLACK, 0.18, DASH_CENTER };
const Pen PEN_HIDDEN  = { INK_BLACK, 0.25, DASH_HIDDEN };
const Pen PEN_CENTER  = { INK_BLACK, 0.18, DASH_CENTER };
const Pen PEN_FOLD    = { INK_BLACK, 0.25, DASH_FOLD };

/* ---- Places ---- */

/* The next lower scale of ISO 5455: 1, 2 or 5 times a power of ten. */
static double standard_scale(double scale) {
    double power = 1e-6, best = 1e-6;
    static const double steps[] = { 1, 2, 5 };

    for (int k = 0; k < 9; k++, power *= 10) {
        for (int i = 0; i < COUNT(steps); i++) {
            /* reductions are 1:1, 1:2, 1:5, so 1, 0.5, 0.2 */
            double s = power * 10 / steps[i];
            if (s <= scale * (1 + 1e-12) && s > best)
                best = s;
        }
    }
    return best;
}

static Place fit(Box2 box, Box2 frame, double most, bool standard,
                 bool upright) {
    double w = box.max.x - box.min.x, h = box.max.y - box.min.y;
    double frame_w = frame.max.x - frame.min.x;
    double frame_h = frame.max.y - frame.min.y;
    double scale   = most;

    if (upright) {
        double swap = w;
        w = h;
        h = swap;
    }
    if (w > 0 && frame_w / w < scale)
        scale = frame_w / w;
    if (h > 0 && frame_h / h < scale)
        scale = frame_h / h;
    if (standard)
        scale = standard_scale(scale);
    return (Place){
        .from = { (box.min.x + box.max.x) / 2, (box.min.y + box.max.y) / 2 },
        .at   = { (frame.min.x + frame.max.x) / 2,
                  (frame.min.y + frame.max.y) / 2 },
        .scale = scale, .upright = upright
    };
}

Place place_fit(Box2 box, Box2 frame, double most, bool standard) {
    return fit(box, frame, most, standard, false);
}

Box2 place_box(const Place *pl, Box2 box) {
    V2 a = place_point(pl, box.min), b = place_point(pl, box.max);

    return box2(fmin(a.x, b.x), fmin(a.y, b.y),
                fmax(a.x, b.x), fmax(a.y, b.y));
}

/* ---- Paths ---- */

static Mark *mark_new(Press *p, MarkKind kind) {
    Page *page = &p->b->pages.at[p->page];
    Mark *mark = PUSH(p->c, &page->marks);

    mark->kind = kind;
    return mark;
}

static Mark *path_new(Press *p, Pen pen, Ink fill) {
    Mark *mark = mark_new(p, MARK_PATH);

    mark->stroke = pen.width > 0 ? pen.ink : INK_NONE;
    mark->width  = pen.width;
    mark->dash   = pen.dash;
    mark->fill   = fill;
    return mark;
}

static void op(Ctx *c, Mark *mark, char kind, V2 a) {
    PathOp *new = PUSH(c, &mark->path);

    new->op   = kind;
    new->p[0] = a;
}

static void curve_to(Ctx *c, Mark *mark, V2 c1, V2 c2, V2 end) {
    PathOp *new = PUSH(c, &mark->path);

    *new = (PathOp){ 'C', { c1, c2, end } };
}

/*          c1 ____ c2
 *            /    \           |a - c1| = 4/3 tan(sweep / 4) radius
 *         a /      \ b
 *              .  center
 */
static void arc_to(Ctx *c, Mark *mark, const Seg *s, const Place *pl) {
    V2     r  = { s->a.x - s->center.x, s->a.y - s->center.y };
    int    n  = (int)ceil(fabs(s->sweep) / (PI / 8) - 1e-9);
    double d  = s->sweep / (n < 1 ? 1 : n), k = 4.0 / 3 * tan(d / 4);

    for (int i = 1; i <= n; i++) {
        double co = cos(d), si = sin(d);
        V2 next = { r.x * co - r.y * si, r.x * si + r.y * co };
        V2 c1 = { s->center.x + r.x - k * r.y, s->center.y + r.y + k * r.x };
        V2 c2 = { s->center.x + next.x + k * next.y,
                  s->center.y + next.y - k * next.x };
        V2 end = { s->center.x + next.x, s->center.y + next.y };
        curve_to(c, mark, place_point(pl, c1), place_point(pl, c2),
                 place_point(pl, i == n ? s->b : end));
        r = next;
    }
}

static void add_segs(Ctx *c, Mark *mark, const Seg *segs, int n,
                     const Place *pl, bool closed) {
    if (n == 0)
        return;
    op(c, mark, 'M', place_point(pl, segs[0].a));
    for (int i = 0; i < n; i++) {
        const Seg *s = &segs[i];
        switch (s->kind) {   // ORDER SEG
        case SEG_LINE:
            op(c, mark, 'L', place_point(pl, s->b));
            break;
        case SEG_ARC:
            arc_to(c, mark, s, pl);
            break;
        case SEG_CUBIC:
            curve_to(c, mark, place_point(pl, s->c1),
                     place_point(pl, s->c2), place_point(pl, s->b));
            break;
        }
    }
    if (closed)
        op(c, mark, 'Z', (V2){ 0, 0 });
}

void draw_segs(Press *p, const Seg *segs, int n, const Place *pl,
               bool closed, Pen pen, Ink fill) {
    if (n > 0)
        add_segs(p->c, path_new(p, pen, fill), segs, n, pl, closed);
}

void draw_strokes(Press *p, const Seg *segs, int n, const Place *pl,
                  Pen pen) {
    Mark *mark;

    if (n == 0)
        return;
    mark = path_new(p, pen, INK_NONE);
    for (int i = 0; i < n; i++)
        add_segs(p->c, mark, &segs[i], 1, pl, false);
}

void draw_shape(Press *p, Shape s, const Place *pl, Pen pen, Ink fill) {
    Mark *mark = path_new(p, pen, fill);

    for (int i = 0; i < s.loops.n; i++)
        add_segs(p->c, mark, s.loops.at[i].at, s.loops.at[i].n, pl, true);
}

void draw_polygons(Press *p, Polygons area, const Place *pl, Pen pen,
                   Ink fill) {
    Mark *mark = path_new(p, pen, fill);

    for (int i = 0; i < area.parts.n; i++) {
        const Rings *rings = &area.parts.at[i];
        for (int k = 0; k < rings->n; k++) {
            const Ring *ring = &rings->at[k];
            for (int j = 0; j < ring->n; j++)
                op(p->c, mark, j ? 'L' : 'M', place_point(pl, ring->at[j]));
            if (ring->n)
                op(p->c, mark, 'Z', (V2){ 0, 0 });
        }
    }
}

void draw_polyline(Press *p, const V2 *v, int n, bool closed, Pen pen,
                   Ink fill) {
    Mark *mark;

    if (n < 2)
        return;
    mark = path_new(p, pen, fill);
    for (int i = 0; i < n; i++)
        op(p->c, mark, i ? 'L' : 'M', v[i]);
    if (closed)
        op(p->c, mark, 'Z', (V2){ 0, 0 });
}

void draw_line(Press *p, V2 a, V2 b, Pen pen) {
    V2 v[2] = { a, b };

    draw_polyline(p, v, 2, false, pen, INK_NONE);
}

void draw_rect(Press *p, Box2 box, Pen pen, Ink fill) {
    V2 v[4] = { box.min, { box.max.x, box.min.y }, box.max,
                { box.min.x, box.max.y } };

    draw_polyline(p, v, 4, true, pen, fill);
}

static Seg arc_seg(V2 center, double radius, double from, double sweep) {
    double to = from + sweep;

    return (Seg){
        .kind = SEG_ARC, .center = center, .sweep = sweep,
        .a = { center.x + radius * cos(from), center.y + radius * sin(from) },
        .b = { center.x + radius * cos(to), center.y + radius * sin(to) }
    };
}

/* Page coordinates seen as y-up, so that segments can be used. */
static Place page_place(V2 center) {
    return (Place){ .from = center, .at = center, .scale = 1 };
}

void draw_circle(Press *p, V2 center, double radius, Pen pen, Ink fill) {
    Seg   s  = arc_seg(center, radius, 0, 2 * PI);
    Place pl = page_place(center);

    draw_segs(p, &s, 1, &pl, true, pen, fill);
}

/* Lines x + y = k, k a multiple of the spacing on the page, so that
 * neighbors of one hatch agree. */
void draw_hatch(Press *p, Box2 box, double spacing, Pen pen) {
    double step = spacing * sqrt(2);
    double k    = ceil((box.min.x + box.min.y) / step) * step;
    Mark  *mark = path_new(p, pen, INK_NONE);

    for (; k < box.max.x + box.max.y; k += step) {
        double x0 = fmax(box.min.x, k - box.max.y);
        double x1 = fmin(box.max.x, k - box.min.y);
        if (x1 - x0 < 1e-6)
            continue;
        op(p->c, mark, 'M', (V2){ x0, k - x0 });
        op(p->c, mark, 'L', (V2){ x1, k - x1 });
    }
}

/* A closed head of 30 degrees (ISO 129-1, from memory). */
#define HEAD_LONG 2.5
#define HEAD_HALF 0.67   // 2.5 tan 15
void draw_arrow(Press *p, V2 tip, V2 toward, Ink ink) {
    double length = sqrt(toward.x * toward.x + toward.y * toward.y);
    V2     u      = { toward.x / length, toward.y / length };
    V2     base   = { tip.x - HEAD_LONG * u.x, tip.y - HEAD_LONG * u.y };
    V2     v[3]   = { tip, { base.x - HEAD_HALF * u.y,
                             base.y + HEAD_HALF * u.x },
                      { base.x + HEAD_HALF * u.y,
                        base.y - HEAD_HALF * u.x } };

    if (length > 0)
        draw_polyline(p, v, 3, true, PEN_NONE, ink);
}

void clip_begin(Press *p, Box2 box) {
    mark_new(p, MARK_CLIP)->box = box;
}

void clip_end(Press *p) {
    mark_new(p, MARK_UNCLIP);
}

void link_to(Press *p, Box2 box, int to_page) {
    Mark *mark;

    if (to_page < 0)
        return;
    mark = mark_new(p, MARK_LINK);
    mark->box     = box;
    mark->to_page = to_page;
}
