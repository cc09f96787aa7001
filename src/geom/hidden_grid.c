/* hidden_grid -- the faces that hide, and what they hide of an edge.
 *
 * The surface of every solid is parted into convex polygons (skin.c), so
 * whatever hides is a convex, front-facing face, and it hides at most one
 * stretch of a straight edge: cut the edge to the borders of the face, then
 * keep what lies deeper.
 * A grid over the picture finds the few faces an edge can meet; in each
 * grid cell the nearest come first, and a face that covers the whole cell
 * drops what lies entirely below it.
 *
 *          face                    t: 0 ... 1 along the edge
 *        +-------+
 *   a ---|- - - -|------- b        hidden from where it enters the borders
 *        +-------+                 to where it leaves them
 *
 * Borders belong to their face (a line exactly on a border is hidden by a
 * nearer face): the contour that covers it is drawn there anyway, and the
 * seams between cells leak nothing. Depths within TOUCHING count as equal
 * when we ask whether a face hides at all, but the stretch is cut where the
 * depths are equal, so that no stub shows where an edge dives under.
 *
 * After Roberts 1963 (interval subtraction), with a grid; not after Appel
 * 1967, whose counts carry one wrong corner along a whole chain of edges.
 */
#include "geom/hidden_internal.h"

#include <math.h>

#define MOST_CELLS 2048   // along each axis

/* ---- Picture space ---- */

bool v3_is_finite(V3 p) {
    return isfinite(p.x) && isfinite(p.y) && isfinite(p.z);
}

double snap(double mm) {
    return round(mm * 1e6) / 1e6 + 0.0;
}

static V3 unit_or(V3 v, V3 other) {
    double len = v3_len(v);

    return isfinite(len) && len > 1e-12 ? v3_scale(v, 1 / len) : other;
}

/* The picture's x axis is level where `up` says what up is; looked at along
 * `up`, x is the world's x axis, or its y axis where that is seen end on. */
View view_of(const Camera *cam) {
    View   v;
    V3     up = unit_or(cam->up, v3(0, 0, 1)), side;
    double along;

    v.z  = unit_or(cam->toward, v3(0, 0, 1));
    side = v3_cross(up, v.z);
    if (v3_len(side) < 1e-9) {
        side = fabs(v.z.x) > 1 - 1e-9 ? v3(0, 1, 0) : v3(1, 0, 0);
        along = v3_dot(side, v.z);
        side = v3_sub(side, v3_scale(v.z, along));
    }
    v.x = v3_unit(side);
    v.y = v3_cross(v.z, v.x);
    return v;
}

static V3 view_vector(const View *v, V3 p) {
    return v3(v3_dot(v->x, p), v3_dot(v->y, p), v3_dot(v->z, p));
}

V2 camera_project(const Camera *cam, V3 p, double *depth) {
    View v = view_of(cam);
    V3   q = view_vector(&v, p);

    if (depth)
        *depth = q.z;
    return v2(q.x, q.y);
}

Frame view_frame(const View *v, const Frame *f) {
    return (Frame){ view_vector(v, f->x), view_vector(v, f->y),
                    view_vector(v, f->z), view_vector(v, f->o) };
}

Depth depth_through(V3 normal, V3 p) {
    Depth d = { -normal.x / normal.z, -normal.y / normal.z, 0 };

    d.c = p.z - d.a * p.x - d.b * p.y;
    return d;
}

double depth_at(Depth d, V2 p) {
    return d.a * p.x + d.b * p.y + d.c;
}

/* The innermost loops run on these: a call for each sum would cost more
 * than the sum. */
static inline double beyond(const Border *b, double x, double y) {
    return b->out.x * x + b->out.y * y - b->reach;
}

static inline double depth_of(const Occluder *o, double x, double y) {
    return o->depth.a * x + o->depth.b * y + o->depth.c;
}

/* ---- Occluders ---- */

static inline bool is_same(V2 a, V2 b) {
    double x = a.x - b.x, y = a.y - b.y;

    return x * x + y * y <= 1e-14;   // 1e-7 mm apart
}

/* Puts the corners of a projected face behind Grid.borders, without those
 * that fall together, counter-clockwise. False: it has no area. */
static bool add_corners(Draw *d, const Frame *f, const Pane *pane,
                        Occluder *o, V3 *middle) {
    Grid  *g    = &d->grid;
    double area = 0;

    *middle = v3(0, 0, 0);
    o->border = g->borders.n;
    o->box    = box2_empty();
    o->low    = INFINITY;
    o->top    = -INFINITY;
    for (int i = 0; i < pane->corners; i++) {
        V3 p = frame_point(f, pane->at[i]);
        V2 q = { p.x, p.y };
        if (!v3_is_finite(p))
            return false;
        middle->x += p.x / pane->corners;
        middle->y += p.y / pane->corners;
        middle->z += p.z / pane->corners;
        least_and_most(&o->low, &o->top, p.z);
        box2_add(&o->box, q);
        if (g->borders.n == o->border
            || !is_same(q, g->borders.at[g->borders.n - 1].corner))
            PUSH(&d->scratch, &g->borders)->corner = q;
    }
    while (g->borders.n - o->border > 1
           && is_same(g->borders.at[o->border].corner,
                      g->borders.at[g->borders.n - 1].corner))
        g->borders.n--;
    o->n = g->borders.n - o->border;
    for (int i = 1; i + 1 < o->n; i++) {
        const Border *b = g->borders.at + o->border;
        area += ((b[i].corner.x - b[0].corner.x)
                 * (b[i + 1].corner.y - b[0].corner.y)
                 - (b[i].corner.y - b[0].corner.y)
                 * (b[i + 1].corner.x - b[0].corner.x)) / 2;
    }
    for (int i = 0; area < 0 && i < o->n / 2; i++) {   // a mirrored body
        Border *b    = g->borders.at + o->border;
        V2      swap = b[i].corner;
        b[i].corner            = b[o->n - 1 - i].corner;
        b[o->n - 1 - i].corner = swap;
    }
    return o->n >= 3 && fabs(area) > 1e-9;
}

/* Half-planes through the sides. They are moved out to the farthest corner,
 * so that a short side with a bad direction cuts nothing off. */
static void add_sides(Grid *g, const Occluder *o) {
    Border *b = g->borders.at + o->border;

    for (int i = 0; i < o->n; i++) {
        V2 next = b[i + 1 < o->n ? i + 1 : 0].corner;
        double x = next.x - b[i].corner.x, y = next.y - b[i].corner.y;
        double len = sqrt(x * x + y * y);
        b[i].out   = (V2){ y / len, -x / len };
        b[i].reach = -INFINITY;
        for (int k = 0; k < o->n; k++) {
            double at = b[i].out.x * b[k].corner.x
                      + b[i].out.y * b[k].corner.y;
            b[i].reach = at > b[i].reach ? at : b[i].reach;
        }
    }
}

static void add_pane(Draw *d, int body, const Frame *f,
                      const Pane *pane) {
    Grid    *g = &d->grid;
    V3       n = frame_vector(f, pane->n), middle;
    Occluder o = { .body = body };

    if (!(n.z > EDGE_ON * v3_len(n)))
        return;
    if (!add_corners(d, f, pane, &o, &middle)) {
        g->borders.n = o.border;
        return;
    }
    o.depth = depth_through(n, middle);
    add_sides(g, &o);
    *PUSH(&d->scratch, &g->faces) = o;
}

void grid_add(Draw *d, int body) {
    const Solid *s = d->bodies[body].solid;
    Frame        f = view_frame(&d->view, &d->bodies[body].frame);

    for (int i = 0; i < s->skin.n; i++)
        add_pane(d, body, &f, &s->skin.at[i]);
}

/* ---- The grid ---- */

static int clamp_cell(double at, int n) {
    return !(at > 0) ? 0 : at >= n ? n - 1 : (int)at;
}

bool grid_range(const Grid *g, Box2 box, int lo[2], int hi[2]) {
    if (!g->nx || box.max.x < g->box.min.x || box.min.x > g->box.max.x
        || box.max.y < g->box.min.y || box.min.y > g->box.max.y)
        return false;
    lo[0] = clamp_cell((box.min.x - AROUND - g->box.min.x) / g->wide, g->nx);
    hi[0] = clamp_cell((box.max.x + AROUND - g->box.min.x) / g->wide, g->nx);
    lo[1] = clamp_cell((box.min.y - AROUND - g->box.min.y) / g->high, g->ny);
    hi[1] = clamp_cell((box.max.y + AROUND - g->box.min.y) / g->high, g->ny);
    return true;
}

/* Cells from..to of a row. */
typedef struct { double from, to; } Reach;

/* Keeps the cells whose middles x have out * x <= most. */
static inline void keep_below(Reach *r, const Grid *g, double out,
                              double most) {
    double at = (most / out - g->box.min.x) / g->wide - 0.5;

    if (out > 0)
        r->to = at < r->to ? at : r->to;
    else if (out < 0)
        r->from = at > r->from ? at : r->from;
    else if (most < 0)
        r->to = -1;
}

/* Which cells of a row, by their middles, a face lies over, and which of
 * them it covers wholly: by the half-planes through its sides. */
static void row_reach(const Grid *g, const Occluder *o, double y,
                      Reach *over, Reach *whole) {
    double hx = g->wide / 2 + AROUND, hy = g->high / 2 + AROUND;

    for (int i = 0; i < o->n; i++) {
        const Border *b    = &g->borders.at[o->border + i];
        double        most = b->reach - b->out.y * y;
        double        half = fabs(b->out.x) * hx + fabs(b->out.y) * hy;
        keep_below(over, g, b->out.x, most + half);
        keep_below(whole, g, b->out.x, most - half);
    }
}

static void put_in_row(Draw *d, int face, int y, int from, int to,
                       double half) {
    Grid           *g = &d->grid;
    const Occluder *o = &g->faces.at[face];
    Reach over = { from, to }, whole = { from, to };
    V2    middle = { 0, g->box.min.y + (y + 0.5) * g->high };

    row_reach(g, o, middle.y, &over, &whole);
    for (int x = (int)ceil(over.from); x <= over.to; x++) {
        int    cell = y * g->nx + x;
        double at;
        middle.x = g->box.min.x + (x + 0.5) * g->wide;
        at = depth_at(o->depth, middle);
        *PUSH(&d->scratch, &g->entries) =
            (Entry){ cell, face, o->top < at + half ? o->top : at + half };
        if (x >= whole.from && x <= whole.to && at - half > g->cover[cell])
            g->cover[cell] = at - half;
    }
}

static void put_in_cells(Draw *d, int face) {
    Grid           *g = &d->grid;
    const Occluder *o = &g->faces.at[face];
    double          half;
    int             lo[2], hi[2];

    if (!grid_range(g, o->box, lo, hi))
        return;
    half = fabs(o->depth.a) * (g->wide / 2 + AROUND)
         + fabs(o->depth.b) * (g->high / 2 + AROUND);
    for (int y = lo[1]; y <= hi[1]; y++)
        put_in_row(d, face, y, lo[0], hi[0], half);
}

static int nearest_first(const void *a, const void *b, const void *with) {
    const Entry *p = a, *q = b;

    (void)with;
    return (p->top < q->top) - (p->top > q->top);
}

static void sort_cell(Draw *d, Entry *e, int n) {
    if (n > 24) {
        list_sort(&d->scratch, e, n, sizeof *e, nearest_first, NULL);
        return;
    }
    for (int i = 1; i < n; i++) {
        Entry moving = e[i];
        int   k      = i;
        for (; k > 0 && e[k - 1].top < moving.top; k--)
            e[k] = e[k - 1];
        e[k] = moving;
    }
}

/* Counting sort by cell, without the entries that their cell's cover
 * hides; then each cell by depth. */
static void sort_entries(Draw *d) {
    Grid  *g     = &d->grid;
    int    cells = g->nx * g->ny, kept = 0;
    Entry *sorted;
    int   *next;

    g->first = NEW_N(&d->scratch, int, cells + 1);
    next     = NEW_N(&d->scratch, int, cells + 1);
    for (int i = 0; i < g->entries.n; i++) {
        Entry e = g->entries.at[i];
        if (e.top < g->cover[e.cell] - TOUCHING)
            continue;
        g->entries.at[kept++] = e;
        g->first[e.cell + 1]++;
    }
    g->entries.n = kept;
    for (int i = 0; i < cells; i++)
        next[i + 1] = g->first[i + 1] += g->first[i];
    next[0] = 0;
    sorted = NEW_N(&d->scratch, Entry, kept + 1);
    for (int i = 0; i < kept; i++)
        sorted[next[g->entries.at[i].cell]++] = g->entries.at[i];
    g->entries.at = sorted;
    for (int i = 0; i < cells; i++)
        sort_cell(d, sorted + g->first[i], g->first[i + 1] - g->first[i]);
}

void grid_build(Draw *d) {
    Grid  *g = &d->grid;
    double w, h, side;

    g->box = box2_empty();
    if (!g->faces.n)
        return;
    for (int i = 0; i < g->faces.n; i++) {
        box2_add(&g->box, g->faces.at[i].box.min);
        box2_add(&g->box, g->faces.at[i].box.max);
    }
    w    = g->box.max.x - g->box.min.x;
    h    = g->box.max.y - g->box.min.y;
    side = sqrt(w * h / g->faces.n);
    g->nx = 1 + clamp_cell(w / side, MOST_CELLS);
    g->ny = 1 + clamp_cell(h / side, MOST_CELLS);
    g->wide  = w / g->nx;
    g->high  = h / g->ny;
    g->cover = NEW_N(&d->scratch, double, g->nx * g->ny);
    g->asked = NEW_N(&d->scratch, int, g->faces.n);
    for (int i = 0; i < g->nx * g->ny; i++)
        g->cover[i] = -INFINITY;
    for (int i = 0; i < g->faces.n; i++)
        put_in_cells(d, i);
    sort_entries(d);
}

/* ---- What is hidden of an edge ---- */

/* An edge; by = b - a. `box`: around it, and a little more. `own`: a body
 * that hides nothing of it, or -1. */
typedef struct { V3 a, b; V2 by; Box2 box; int own; } Ray;

static inline bool lies_aside(const Ray *r, const Occluder *o) {
    return o->body == r->own
        || o->box.min.x > r->box.max.x || o->box.max.x < r->box.min.x
        || o->box.min.y > r->box.max.y || o->box.max.y < r->box.min.y;
}

/* The stretch of an edge that a face hides. */
static bool face_hides(const Grid *g, const Occluder *o, const Ray *r,
                       Span *hidden) {
    double from = 0, to = 1, h0, h1, cut;

    for (int i = 0; i < o->n; i++) {
        const Border *b  = &g->borders.at[o->border + i];
        double        s  = beyond(b, r->a.x, r->a.y) - ON_BORDER;
        double        by = b->out.x * r->by.x + b->out.y * r->by.y;
        if (s > 0 && s + by > 0)
            return false;
        if (s > 0)
            from = -s / by > from ? -s / by : from;
        else if (s + by > 0)
            to = -s / by < to ? -s / by : to;
        if (from >= to)
            return false;
    }
    h0 = depth_of(o, r->a.x, r->a.y) - r->a.z;
    h1 = depth_of(o, r->a.x + r->by.x, r->a.y + r->by.y) - r->b.z;
    cut = h0 / (h0 - h1);   // used only where the signs differ
    h1 -= h0;
    if (h0 + h1 * from <= TOUCHING && h0 + h1 * to <= TOUCHING)
        return false;
    if (h0 + h1 * from < 0)
        from = fmax(from, cut);
    else if (h0 + h1 * to < 0)
        to = fmin(to, cut);
    *hidden = (Span){ from, to };
    return from < to;
}

static bool is_hidden_already(const Spans *hidden, double from, double to) {
    for (int i = 0; i < hidden->n; i++)
        if (hidden->at[i].from <= from && hidden->at[i].to >= to)
            return true;
    return false;
}

/* Asks the faces of one cell about the edge, as long as its stretch in the
 * cell may still be seen. */
static void ask_cell(Draw *d, int cell, const Ray *r, double from, double to,
                     Spans *hidden) {
    Grid  *g  = &d->grid;
    double z0 = r->a.z + (r->b.z - r->a.z) * from;
    double z1 = r->a.z + (r->b.z - r->a.z) * to;
    Span   span;

    if (fmax(z0, z1) < g->cover[cell] - TOUCHING) {
        *PUSH(&d->scratch, hidden) = (Span){ from, to };
        return;
    }
    if (is_hidden_already(hidden, from, to))
        return;
    for (int i = g->first[cell]; i < g->first[cell + 1]; i++) {
        const Entry *e = &g->entries.at[i];
        if (e->top <= fmin(z0, z1) + TOUCHING)
            return;
        if (g->asked[e->face] == g->question)
            continue;
        g->asked[e->face] = g->question;
        if (lies_aside(r, &g->faces.at[e->face])
            || !face_hides(g, &g->faces.at[e->face], r, &span))
            continue;
        *PUSH(&d->scratch, hidden) = span;
        if (span.from <= from && span.to >= to)
            return;
    }
}

/* One axis of the walk through the grid: the cell, the way it changes, and
 * where along the edge the next cell begins. */
typedef struct { int at, step, n; double next, per; } Axis;

static Axis axis_start(double start, double by, double from, double low,
                       double size, int n) {
    Axis a = { .n = n, .next = INFINITY };

    a.at = clamp_cell((start + by * from - low) / size, n);
    if (by != 0) {
        a.step = by > 0 ? 1 : -1;
        a.per  = size / fabs(by);
        a.next = (low + (a.at + (by > 0)) * size - start) / by;
    }
    return a;
}

/* Cuts from..to so that start + by*t lies between low and high. */
static void clip_to(double start, double by, double low, double high,
                    double *from, double *to) {
    double t0 = (low - AROUND - start) / by;
    double t1 = (high + AROUND - start) / by;

    if (by == 0) {
        if (start < low - AROUND || start > high + AROUND)
            *to = -1;
        return;
    }
    *from = fmax(*from, fmin(t0, t1));
    *to   = fmin(*to, fmax(t0, t1));
}

static void walk(Draw *d, const Ray *r, Spans *hidden) {
    const Grid *g = &d->grid;
    double      from = 0, to = 1;
    Axis        x, y;

    clip_to(r->a.x, r->by.x, g->box.min.x, g->box.max.x, &from, &to);
    clip_to(r->a.y, r->by.y, g->box.min.y, g->box.max.y, &from, &to);
    if (from >= to)
        return;
    x = axis_start(r->a.x, r->by.x, from, g->box.min.x, g->wide, g->nx);
    y = axis_start(r->a.y, r->by.y, from, g->box.min.y, g->high, g->ny);
    for (;;) {
        double end  = fmin(to, fmin(x.next, y.next));
        Axis  *move = x.next <= y.next ? &x : &y;
        if (end > from)
            ask_cell(d, y.at * g->nx + x.at, r, from, end, hidden);
        if (end >= to)
            return;
        from       = fmax(from, end);
        move->at  += move->step;
        move->next += move->per;
        if (move->at < 0 || move->at >= move->n) {
            move->at   = move->at < 0 ? 0 : move->n - 1;
            move->next = INFINITY;
        }
    }
}

/* Sorts spans and joins those that meet. */
static void merge_spans(Spans *s) {
    int n = 0;

    for (int i = 1; i < s->n; i++) {
        Span moving = s->at[i];
        int  k      = i;
        for (; k > 0 && s->at[k - 1].from > moving.from; k--)
            s->at[k] = s->at[k - 1];
        s->at[k] = moving;
    }
    for (int i = 0; i < s->n; i++) {
        if (n && s->at[i].from <= s->at[n - 1].to)
            s->at[n - 1].to = fmax(s->at[n - 1].to, s->at[i].to);
        else
            s->at[n++] = s->at[i];
    }
    s->n = n;
}

void grid_hide(Draw *d, V3 a, V3 b, int own, Spans *hidden) {
    Ray r = { a, b, v2(b.x - a.x, b.y - a.y),
              box2(fmin(a.x, b.x) - AROUND, fmin(a.y, b.y) - AROUND,
                   fmax(a.x, b.x) + AROUND, fmax(a.y, b.y) + AROUND), own };

    hidden->n = 0;
    if (!d->grid.nx)
        return;
    d->grid.question++;
    walk(d, &r, hidden);
    merge_spans(hidden);
}

/* ---- What is seen at a point ---- */

static bool face_contains(const Grid *g, const Occluder *o, V2 p) {
    for (int i = 0; i < o->n; i++) {
        const Border *b = &g->borders.at[o->border + i];
        if (beyond(b, p.x, p.y) > ON_BORDER)
            return false;
    }
    return true;
}

const Occluder *grid_nearest(const Draw *d, V2 p) {
    const Grid     *g    = &d->grid;
    const Occluder *best = NULL;
    double          near = -INFINITY;
    int             lo[2], hi[2], cell;

    if (!grid_range(g, (Box2){ p, p }, lo, hi))
        return NULL;
    cell = lo[1] * g->nx + lo[0];
    for (int i = g->first[cell]; i < g->first[cell + 1]; i++) {
        const Entry    *e = &g->entries.at[i];
        const Occluder *o = &g->faces.at[e->face];
        double          z = depth_of(o, p.x, p.y);
        if (e->top < near - ON_BORDER)
            break;
        if (z < near - ON_BORDER || !face_contains(g, o, p))
            continue;
        if (!best || z > near + ON_BORDER
            || d->bodies[o->body].id < d->bodies[best->body].id) {
            best = o;
            near = z;
        }
    }
    return best;
}
