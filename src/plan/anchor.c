/* anchor -- where in a picture a part's letter points.
 *
 * Deep inside the largest visible patch: the center of the largest circle
 * that fits, so that the dot is far from every line (geometry-notes 1.7).
 * In a long strip many circles are nearly as large; of those, the one nearest
 * to the strip's middle is taken.
 */
#include "plan/view_internal.h"

#include <math.h>

#define PATCHES_MAX 16    // of one part that are looked into
#define ALIKE       0.05  // of the radius

typedef struct { double area; int patch; } Large;
typedef LIST(Large) Larges;

static int by_area(const void *a, const void *b, const void *with) {
    const Large *p = a, *q = b;

    (void)with;
    return p->area > q->area ? -1 : p->area < q->area;
}

static Larges patches_of(Ctx *c, const Model *m, const View *v, int part) {
    Larges l = { 0 };

    for (int i = 0; i < v->picture.patches.n; i++) {
        const Patch *p = &v->picture.patches.at[i];
        if (m->pieces.at[p->id].part == part)
            *PUSH(c, &l) = (Large){
                floor(polygons_area(p->area) * 100 + 0.5), i
            };
    }
    list_sort(c, l.at, l.n, sizeof *l.at, by_area, NULL);
    return l;
}

/* ---- Toward the middle ---- */

#define LARGE_ENOUGH 0.9   // of the largest circle
#define STRIDES      240   // from it to the middle, at most

/* The outlines of an area as one row of sides: many points are tried. */
typedef struct { V2 a, by; double inv; } Rim;   // inv: 1 / length squared
typedef struct {
    LIST(Rim) all;
    int outline;   // so many of them; the others are drawn on the area
} Rims;

static Rims rims_of(Ctx *c, Polygons area) {
    Rims rims = { 0 };

    for (int i = 0; i < area.parts.n; i++)
        for (int k = 0; k < area.parts.at[i].n; k++) {
            Ring r = area.parts.at[i].at[k];
            for (int j = 0; j < r.n; j++) {
                V2     by = v2_sub(r.at[(j + 1) % r.n], r.at[j]);
                double l  = v2_dot(by, by);
                *PUSH(c, &rims.all) = (Rim){ r.at[j], by, l > 0 ? 1 / l : 0 };
            }
        }
    rims.outline = rims.all.n;
    return rims;
}

static Box2 area_box(Polygons area) {
    Box2 box = box2_empty();

    for (int i = 0; i < area.parts.n; i++)
        for (int k = 0; k < area.parts.at[i].at[0].n; k++)
            box2_add(&box, area.parts.at[i].at[0].at[k]);
    return box;
}

static bool is_in(Box2 b, V2 q) {
    return q.x >= b.min.x && q.x <= b.max.x && q.y >= b.min.y
        && q.y <= b.max.y;
}

static void add_line(Ctx *c, V2 a, V2 b, Box2 box, Rims *rims) {
    V2     by = v2_sub(b, a);
    double l  = v2_dot(by, by);

    if (is_in(box, a) || is_in(box, b))
        *PUSH(c, &rims->all) = (Rim){ a, by, l > 0 ? 1 / l : 0 };
}

/* Adds the nails, screws and guide lines that are drawn on an area or beside
 * it, so that no letter points at one. */
static void add_drawn(Ctx *c, const View *v, Box2 box, Rims *rims) {
    for (int i = 0; i < v->driven.n; i++) {
        const Driven *d = &v->driven.at[i];
        add_line(c, camera_project(&v->camera, d->head, NULL),
                 camera_project(&v->camera, d->at, NULL), box, rims);
    }
    for (int i = 0; i < v->picture.lines.n; i++) {
        const Line2 *l = &v->picture.lines.at[i];
        if (l->kind == LINE_EXTRA)
            add_line(c, l->a, l->b, box, rims);
    }
}

/* Distance squared to the nearest line of the outlines; no more than
 * `enough` is looked for. */
static double off_lines(const Rims *rims, V2 q, double enough) {
    double least = HUGE_VAL;

    for (int i = 0; i < rims->all.n && least > enough; i++) {
        const Rim *r = &rims->all.at[i];
        double x = q.x - r->a.x, y = q.y - r->a.y;
        double k = (x * r->by.x + y * r->by.y) * r->inv, l;
        k  = k < 0 ? 0 : k > 1 ? 1 : k;
        x -= k * r->by.x;
        y -= k * r->by.y;
        l  = x * x + y * y;
        least = l < least ? l : least;
    }
    return least;
}

/* ---- The deepest point ---- */

#define GRID  12   // samples across, at first
#define FINER 7    // times the grid is halved around the best

/* By rays to the right: inside of an odd number of lines. */
static bool is_inside(const Rims *rims, V2 q) {
    bool in = false;

    for (int i = 0; i < rims->outline; i++) {
        V2 a = rims->all.at[i].a, by = rims->all.at[i].by;
        if ((a.y > q.y) != (a.y + by.y > q.y)
            && q.x < a.x + (q.y - a.y) / by.y * by.x)
            in = !in;
    }
    return in;
}

/* *r2: the radius squared of the best circle so far. */
static void try_point(const Rims *rims, V2 q, V2 *at, double *r2) {
    double enough = *r2 * (1 + 2e-6), r = off_lines(rims, q, enough);

    if (r > enough && is_inside(rims, q)) {
        *r2 = r;
        *at = q;
    }
}

/* To a hundredth or so of a circle, which is enough for a dot and much
 * quicker than to be exact; what is too thin for the grid is done exactly.
 */
static V2 deep_point(Ctx *c, Polygons area, const Rims *rims,
                     double *radius) {
    Box2   box = area_box(area);
    V2     at = { 0, 0 }, step;
    double r2 = 0;

    step = v2_scale(v2_sub(box.max, box.min), 1.0 / GRID);
    for (int i = 0; i < GRID * GRID; i++)
        try_point(rims, v2(box.min.x + (i % GRID + .5) * step.x,
                           box.min.y + ((i / GRID) + .5) * step.y), &at,
                  &r2);
    if (r2 <= 0)
        return polygons_deepest(c, area, radius);
    for (int n = 0; n < FINER; n++) {
        V2 mid = at;
        step = v2_scale(step, 0.5);
        for (int i = 0; i < 25; i++)
            try_point(rims, v2(mid.x + (i % 5 - 2) * step.x,
                               mid.y + ((i / 5) - 2) * step.y), &at, &r2);
    }
    *radius = sqrt(r2);
    return at;
}

/* From a point inside toward the middle of all, as far as circles of nearly
 * `radius` stay inside: each stride is shorter than such a circle reaches,
 * so none jumps a line. */
static V2 toward_middle(Polygons area, const Rims *rims, V2 from,
                        double radius) {
    Box2   box = area_box(area);
    V2     mid = v2_scale(v2_add(box.min, box.max), 0.5), at = from;
    double enough = LARGE_ENOUGH * radius;
    int    strides;

    strides = 1 + (int)fmin(v2_len(v2_sub(mid, from)) / fmax(radius, 1e-3),
                            STRIDES);
    for (int i = 1; i <= strides; i++) {
        V2 next = v2_add(from, v2_scale(v2_sub(mid, from),
                                        (double)i / strides));
        if (off_lines(rims, next, 0) < enough * enough)
            break;
        at = next;
    }
    return at;
}

/* Of like patches, as of a row's pieces, the one farthest from the middle
 * of the picture: its letter's leader runs over the fewest lines. */
static Anchor anchor_of(Ctx *c, const Model *m, const View *v, int part) {
    Larges l    = patches_of(c, m, v, part);
    Anchor a    = { .part = part };
    V2     mid  = v2_scale(v2_add(v->picture.box.min, v->picture.box.max),
                           0.5);
    double best = 0, out = 0;

    for (int i = 0; i < l.n && i < PATCHES_MAX; i++) {
        Polygons area = v->picture.patches.at[l.at[i].patch].area;
        Rims     rims;
        double   radius, far;
        V2       at;
        /* No circle is larger than its patch. */
        if (l.at[i].area / 100 <= 3.14159 * best * best)
            break;
        rims = rims_of(c, area);
        add_drawn(c, v, area_box(area), &rims);
        at  = deep_point(c, area, &rims, &radius);
        far = v2_len(v2_sub(at, mid));
        if (radius > best * (1 + ALIKE)
            || (radius > best * (1 - ALIKE) && far > out + 1e-6)) {
            best   = fmax(best, radius);
            out    = far;
            a.at   = toward_middle(area, &rims, at, radius);
            a.seen = true;
        }
    }
    return a;
}

/* Where a hidden piece would be. */
static V2 middle_of(const Model *m, const Scene *s, const View *v,
                    int piece) {
    Box3   b = m->pieces.at[piece].box;
    V3     mid = v3_scale(v3_add(b.min, b.max), 0.5);
    double depth;

    return camera_project(&v->camera,
                          v3_add(mid, s->lots.at[s->owner[piece]].off),
                          &depth);
}

void view_anchors(Ctx *c, const Model *m, const Scene *s, View *v) {
    for (int part = 0; part < m->parts.n; part++) {
        Anchor a;
        int    count = 0, first = -1;
        for (int i = 0; i < v->fresh.n; i++)
            if (m->pieces.at[v->fresh.at[i]].part == part) {
                first = count++ ? first : v->fresh.at[i];
            }
        if (!count)
            continue;
        a       = anchor_of(c, m, v, part);
        a.count = count;
        if (!a.seen)
            a.at = middle_of(m, s, v, first);
        *PUSH(c, &v->anchors) = a;
    }
}
