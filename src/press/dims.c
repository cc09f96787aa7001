/* dims -- dimensions beside a drawing, by the practice of ISO 129-1.
 *
 *        |<----- 12 1/2 ----->|      figure above the line, read from
 *        |                    |      below or from the right
 *          1 mm gap             2 mm past the line
 *        +--------------------+
 *
 * A figure that is wider than its span stands outside, past the second
 * end; arrows that have no room point inward from outside.
 */
#include "press/press_internal.h"

#include <math.h>

#define GAP_MM    1.0    // of an extension line from the outline
#define PAST_MM   2.0    // of an extension line past the dimension line
#define ARROW_MM  2.5
#define TAIL_MM   4.0    // of an arrow that stands outside
#define LABEL_UP  1.2    // from the line to the label's baseline
#define ON_LINE   0.15   // mm: a line on another

static V2 plus(V2 a, V2 d, double k) {
    return (V2){ a.x + k * d.x, a.y + k * d.y };
}

/* Unit vector; to the right for a null vector. */
static V2 unit(V2 a) {
    double l = hypot(a.x, a.y);

    return l > 0 ? (V2){ a.x / l, a.y / l } : (V2){ 1, 0 };
}

static double cap_of(Press *p) {
    return font_cap_height(p->fonts, FONT_REGULAR, STYLE_DIM.size);
}

/* ---- One dimension line ---- */

/* The line runs from a by `span` along u; the label is on the side of
 * `up`. Upright or level text is set along the line, slanted text level
 * beside it. */
typedef struct { V2 a, u, up; double span; } Run;

static bool label_fits(double span, double width) {
    return span >= width + 1;
}

static void draw_label(Press *p, const Run *run, double at, Align align,
                       const Para *label) {
    V2 foot = plus(plus(run->a, run->u, at), run->up, LABEL_UP);

    if (fabs(run->u.y) < 1e-9) {
        para_at(p, label, foot, align, STYLE_DIM);
    } else if (fabs(run->u.x) < 1e-9) {
        para_at_turned(p, label, foot, align, STYLE_DIM);
    } else {
        double half = para_width(p, label, STYLE_DIM) / 2, cap = cap_of(p);
        double away = half * fabs(run->up.x) + cap / 2 * fabs(run->up.y);
        V2     mid  = plus(foot, run->up, away);
        para_at(p, label, (V2){ mid.x, mid.y + cap / 2 }, ALIGN_CENTER,
                STYLE_DIM);
    }
}

static void draw_run(Press *p, const Run *run, const Para *label) {
    double width = para_width(p, label, STYLE_DIM);
    V2     b     = plus(run->a, run->u, run->span);
    V2     back  = { -run->u.x, -run->u.y };
    bool   tight = run->span < 2 * ARROW_MM + 1;
    bool   in    = label_fits(run->span, width);
    double from  = tight ? -TAIL_MM : 0;
    double to    = run->span + (tight ? TAIL_MM : 0);

    if (!in)
        to = run->span + ARROW_MM + 1 + width;
    draw_line(p, plus(run->a, run->u, from), plus(run->a, run->u, to),
              PEN_FINE);
    draw_arrow(p, run->a, tight ? run->u : back, INK_BLACK);
    draw_arrow(p, b, tight ? back : run->u, INK_BLACK);
    if (in)
        draw_label(p, run, run->span / 2, ALIGN_CENTER, label);
    else
        draw_label(p, run, run->span + ARROW_MM + 0.75, ALIGN_LEFT, label);
}

/* From the measured point to just past the dimension line. */
static void extension(Press *p, V2 point, V2 foot) {
    V2     way = { foot.x - point.x, foot.y - point.y };
    double far = hypot(way.x, way.y);

    way = unit(way);
    if (far > GAP_MM)
        draw_line(p, plus(point, way, GAP_MM), plus(foot, way, PAST_MM),
                  PEN_FINE);
}

void dim_horizontal(Press *p, V2 a, V2 b, double line_y, const Para *label) {
    V2  left = a.x <= b.x ? a : b, right = a.x <= b.x ? b : a;
    Run run  = { { left.x, line_y }, { 1, 0 }, { 0, -1 }, right.x - left.x };

    extension(p, left, run.a);
    extension(p, right, (V2){ right.x, line_y });
    draw_run(p, &run, label);
}

/* Runs upward, so that its label is read from the right. */
void dim_vertical(Press *p, V2 a, V2 b, double line_x, const Para *label) {
    V2  low = a.y >= b.y ? a : b, high = a.y >= b.y ? b : a;
    Run run = { { line_x, low.y }, { 0, -1 }, { -1, 0 }, low.y - high.y };

    extension(p, low, run.a);
    extension(p, high, (V2){ line_x, high.y });
    draw_run(p, &run, label);
}

/* ---- Many on one side ---- */

typedef struct {
    const Dim1 *dim;
    double lo, hi;          // along the side
    double from, to;        // with what stands outside
    int    level;
} Stacked;

static bool is_level(DimSide side) {
    return side == DIM_BELOW || side == DIM_ABOVE;
}

/* Coordinate along the side, growing the way labels are read. */
static double coordinate(DimSide side, V2 v) {
    return is_level(side) ? v.x : -v.y;
}

static Stacked stacked_of(Press *p, DimSide side, const Dim1 *dim) {
    double a = coordinate(side, dim->a), b = coordinate(side, dim->b);
    double width = para_width(p, &dim->label, STYLE_DIM);
    Stacked s = { dim, fmin(a, b), fmax(a, b), 0, 0, 0 };

    s.from = s.lo;
    s.to   = s.hi;
    if (s.hi - s.lo < 2 * ARROW_MM + 1) {
        s.from -= TAIL_MM;
        s.to   += TAIL_MM;
    }
    if (!label_fits(s.hi - s.lo, width))
        s.to = s.hi + ARROW_MM + 2 + width;
    return s;
}

static int by_span(const void *a, const void *b, const void *with) {
    const Stacked *p = a, *q = b;
    double d = (p->hi - p->lo) - (q->hi - q->lo);

    (void)with;
    return fabs(d) < 1e-6 ? 0 : d < 0 ? -1 : 1;
}

/* The lowest level above all that it would run into: a longer dimension
 * goes outside the shorter ones. */
static void set_levels(Stacked *s, int n) {
    for (int i = 0; i < n; i++)
        for (int k = 0; k < i; k++)
            if (s[i].from < s[k].to - 0.01 && s[i].to > s[k].from + 0.01
                && s[i].level <= s[k].level)
                s[i].level = s[k].level + 1;
}

static double line_at(DimSide side, Box2 outline, double off) {
    switch (side) {   // ORDER DIMSIDE
    case DIM_BELOW: return outline.max.y + off;
    case DIM_ABOVE: return outline.min.y - off;
    case DIM_LEFT:  return outline.min.x - off;
    case DIM_RIGHT: return outline.max.x + off;
    }
    return 0;
}

double dims_beside(Press *p, DimSide side, Box2 outline, const Dim1 *dims,
                   int n) {
    Stacked *s = NEW_N(p->c, Stacked, n + 1);
    double farthest = 0;

    for (int i = 0; i < n; i++)
        s[i] = stacked_of(p, side, &dims[i]);
    list_sort(p->c, s, n, sizeof *s, by_span, NULL);
    set_levels(s, n);
    for (int i = 0; i < n; i++) {
        double off = DIM_FIRST + DIM_NEXT * s[i].level;
        double at  = line_at(side, outline, off);
        if (is_level(side))
            dim_horizontal(p, s[i].dim->a, s[i].dim->b, at,
                           &s[i].dim->label);
        else
            dim_vertical(p, s[i].dim->a, s[i].dim->b, at, &s[i].dim->label);
        farthest = fmax(farthest, off);
    }
    return farthest;
}

/* ---- Running dimensions ---- */

static int by_lo(const void *a, const void *b, const void *with) {
    const Stacked *p = a, *q = b;

    (void)with;
    return (p->lo > q->lo) - (p->lo < q->lo);
}

/* Moves sorted places apart to `least`, all as little as can be (least
 * squares): pools of neighbors that touch share their mean. */
static void spread(Ctx *c, Stacked *s, int n, double least) {
    double *mean = NEW_N(c, double, n + 1);
    int    *size = NEW_N(c, int, n + 1);
    int     pools = 0, k = 0;

    for (int i = 0; i < n; i++) {
        mean[pools] = s[i].lo - i * least;
        size[pools] = 1;
        pools++;
        while (pools > 1 && mean[pools - 2] > mean[pools - 1]) {
            int both = size[pools - 2] + size[pools - 1];
            mean[pools - 2] = (mean[pools - 2] * size[pools - 2]
                               + mean[pools - 1] * size[pools - 1]) / both;
            size[pools - 2] = both;
            pools--;
        }
    }
    for (int q = 0; q < pools; q++)
        for (int j = 0; j < size[q]; j++, k++)
            s[k].to = mean[q] + k * least;
}

/* Figures at the end of a side stay within it, if they have room: beyond is
 * the extension line of the overall size. */
static void hold_within(Stacked *s, int n, double lo, double hi,
                        double least) {
    if (hi - lo < (n - 1) * least)
        return;
    for (int i = 0; i < n; i++)
        s[i].to = fmax(s[i].to, lo + i * least);
    for (int i = 0; i < n; i++)
        s[n - 1 - i].to = fmin(s[n - 1 - i].to, hi - i * least);
}

/* Page point at a coordinate along the side, `off` from the outline. */
static V2 side_point(DimSide side, Box2 outline, double along, double off) {
    double at = line_at(side, outline, off);

    return is_level(side) ? (V2){ along, at } : (V2){ at, -along };
}

/* A stretch of a line along one of the page's axes. */
typedef struct { double from, to; } Covered;
typedef LIST(Covered) Covereds;

/* Adds what of the line from a to b lies on a line of the page from c to d:
 * distances from a. */
static void add_covered(Ctx *ctx, V2 a, V2 b, V2 c, V2 d, Covereds *out) {
    V2     u   = unit((V2){ b.x - a.x, b.y - a.y });
    double far = hypot(b.x - a.x, b.y - a.y);
    double c0  = v2_dot(v2_sub(c, a), u), d0 = v2_dot(v2_sub(d, a), u);
    double from = fmin(c0, d0), to = fmax(c0, d0);

    if (fabs(v2_cross(u, v2_sub(c, a))) < ON_LINE
        && fabs(v2_cross(u, v2_sub(d, a))) < ON_LINE
        && to - from > 2 * GAP_MM && to > 0 && from < far)
        *PUSH(ctx, out) = (Covered){ from, to };
}

/* Stretches of a line that lie on lines of the drawing. */
static Covereds covered_of(Press *p, V2 a, V2 b) {
    const Page *page = &p->b->pages.at[p->page];
    Covereds    all  = { 0 };

    for (int i = 0; i < page->marks.n; i++) {
        const Mark *m  = &page->marks.at[i];
        V2          at = { 0, 0 }, start = at;
        if (m->kind != MARK_PATH || m->stroke == INK_NONE
            || m->width <= PEN_FINE.width)
            continue;
        for (int k = 0; k < m->path.n; k++) {
            const PathOp *op = &m->path.at[k];
            V2 to = op->op == 'Z' ? start : op->p[op->op == 'C' ? 2 : 0];
            if (op->op == 'M')
                start = to;
            else if (op->op != 'C')
                add_covered(p->c, a, b, at, to, &all);
            at = to;
        }
    }
    return all;
}

bool line_on_outline(Press *p, V2 a, V2 b) {
    return covered_of(p, a, b).n > 0;
}

static int by_from(const void *a, const void *b, const void *with) {
    const Covered *p = a, *q = b;

    (void)with;
    return (p->from > q->from) - (p->from < q->from);
}

/* The first stretch of an extension line: it is left out where an outline
 * (of another cut at the same place) runs along it. */
static void draw_off_lines(Press *p, V2 a, V2 b) {
    V2       u    = unit((V2){ b.x - a.x, b.y - a.y });
    double   far  = hypot(b.x - a.x, b.y - a.y), at = 0;
    Covereds over = covered_of(p, a, b);

    list_sort(p->c, over.at, over.n, sizeof *over.at, by_from, NULL);
    for (int i = 0; i < over.n; i++) {
        double from = over.at[i].from - GAP_MM;
        if (from - at > GAP_MM)
            draw_line(p, plus(a, u, at), plus(a, u, from), PEN_FINE);
        at = fmax(at, over.at[i].to + GAP_MM);
    }
    if (at <= 0)
        draw_line(p, a, b, PEN_FINE);
    else if (far - at > GAP_MM / 2)
        draw_line(p, plus(a, u, at), b, PEN_FINE);
}

/* Straight out, a bend to the figure's place, the figure. */
static void draw_running(Press *p, DimSide side, Box2 outline,
                         const Stacked *s, double off) {
    V2  from = s->dim->b;
    V2  edge = side_point(side, outline, s->lo, off - 3);
    V2  end  = side_point(side, outline, s->to, off);
    V2  foot = side_point(side, outline, s->to, off + 0.8);
    V2  out  = unit((V2){ edge.x - from.x, edge.y - from.y });
    V2  start = plus(from, out, GAP_MM), v[3] = { start, edge, end };
    double cap = cap_of(p);

    if (!line_on_outline(p, start, edge)) {
        draw_polyline(p, v, 3, false, PEN_FINE, INK_NONE);
    } else {
        draw_off_lines(p, start, edge);
        draw_line(p, edge, end, PEN_FINE);
    }
    if (is_level(side))
        para_at_turned(p, &s->dim->label, (V2){ foot.x + cap / 2, foot.y },
                       side == DIM_ABOVE ? ALIGN_LEFT : ALIGN_RIGHT,
                       STYLE_DIM);
    else
        para_at(p, &s->dim->label, (V2){ foot.x, foot.y + cap / 2 },
                side == DIM_RIGHT ? ALIGN_LEFT : ALIGN_RIGHT, STYLE_DIM);
}

double dims_running(Press *p, DimSide side, Box2 outline, const V2 *datum,
                    const Dim1 *dims, int n, double off) {
    Stacked *s    = NEW_N(p->c, Stacked, n + 1);
    double widest = 0;

    for (int i = 0; i < n; i++) {
        s[i] = stacked_of(p, side, &(Dim1){ dims[i].b, dims[i].b,
                                            dims[i].label });
        s[i].dim = &dims[i];
        widest = fmax(widest, para_width(p, &dims[i].label, STYLE_DIM));
    }
    list_sort(p->c, s, n, sizeof *s, by_lo, NULL);
    spread(p->c, s, n, RUNNING_APART);
    if (side == DIM_BELOW)
        hold_within(s, n, outline.min.x + RUNNING_APART / 2,
                    outline.max.x - RUNNING_APART / 2, RUNNING_APART);
    if (side == DIM_LEFT)
        hold_within(s, n, RUNNING_APART / 2 - outline.max.y,
                    -outline.min.y - RUNNING_APART / 2, RUNNING_APART);
    for (int i = 0; i < n; i++)
        draw_running(p, side, outline, &s[i], off);
    if (datum)   // where the rule is held
        draw_circle(p, side_point(side, outline, coordinate(side, *datum),
                                  2.5), 0.9, PEN_FINE, INK_WHITE);
    return off + widest + 2;
}

/* ---- Leaders ---- */

#define LEADER_FLAT 3.0   // of a leader under its label

double dim_leader_label(V2 elbow, V2 point) {
    double side = elbow.x < point.x ? -1 : 1;

    return elbow.x + side * (LEADER_FLAT + 1);
}

void dim_leader(Press *p, V2 point, V2 elbow, const Para *label) {
    double side = elbow.x < point.x ? -1 : 1;
    V2     end  = { elbow.x + LEADER_FLAT * side, elbow.y };
    V2     v[3] = { point, elbow, end };

    draw_polyline(p, v, 3, false, PEN_FINE, INK_NONE);
    draw_arrow(p, point, (V2){ point.x - elbow.x, point.y - elbow.y },
               INK_BLACK);
    para_at(p, label, (V2){ dim_leader_label(elbow, point),
                            end.y + cap_of(p) / 2 },
            side < 0 ? ALIGN_RIGHT : ALIGN_LEFT, STYLE_DIM);
}

Para label_radius(Press *p, Figure f) {
    Para label = { 0 };

    say(p, &label, "R ");
    say_bare(p, &label, f);
    return label;
}
