/* part_outline -- the outline of a part's show face, and where slanted ends
 * and edges set the back face off from it.
 *
 * Profiles of many small repeats are drawn with thinner lines, and where
 * even those would run together only a few at both ends, with thin lines
 * along tips and roots between them (the simplified way of ISO 128-3, from
 * memory):
 *
 *     __________________________________
 *    |                                  |
 *    |_  _  _ ________________ _  _  _  |
 *      ||_||_|________________|_||_||_|_|
 */
#include "press/sections.h"

#include <math.h>

#define GAP_WIDE   1.5   // mm between lines: drawn as any outline,
#define GAP_LEAST  0.7   // or thinner; less: some only
#define AT_ENDS    3     // repeats at each end that are drawn then
#define CLOSE_BY   0.01  // mm: one place

/* ---- Profiles ---- */

/* Of one profile: the strip of the face that it lies in. */
typedef struct {
    Box2   in;
    double from, to;   // what lies between is not drawn, if from < to
    Pen    pen;
} Band;
typedef LIST(Band) Bands;

static Band band_of(const Part *part, const Feature *f, double scale) {
    bool   far   = f->side == SIDE_FAR;
    double W     = part->width.real, drop = f->drop.real;
    double pitch = f->pitch.real, start = f->start.real;
    double end   = start + pitch * f->repeats;
    double gap   = f->profile == PROFILE_DENTILS
                 ? fmin(f->tooth.real, pitch - f->tooth.real) : pitch / 2;
    Band   b     = { .pen = PEN_THIN };

    b.in = box2(start - CLOSE_BY, (far ? W - drop : 0) - CLOSE_BY,
                end + CLOSE_BY, (far ? W : drop) + CLOSE_BY);
    if (gap * scale >= GAP_WIDE)
        b.pen = PEN_OUTLINE;
    if (gap * scale < GAP_LEAST && f->repeats > 2 * AT_ENDS) {
        b.from = start + pitch * AT_ENDS;
        b.to   = end - pitch * AT_ENDS;
    }
    return b;
}

static bool has_point(Box2 b, V2 q) {
    return q.x >= b.min.x && q.x <= b.max.x && q.y >= b.min.y
        && q.y <= b.max.y;
}

/* The band that a stretch of the outline lies in, or NULL. */
static const Band *band_with(const Bands *bands, const Seg *s) {
    for (int i = 0; i < bands->n; i++)
        if (has_point(bands->at[i].in, s->a)
            && has_point(bands->at[i].in, s->b))
            return &bands->at[i];
    return NULL;
}

static bool is_left_out(const Band *b, const Seg *s) {
    double mid = (s->a.x + s->b.x) / 2;

    return b->from < b->to && mid > b->from && mid < b->to;
}

/* Thin lines along the tips and roots of what is left out. */
static void draw_between(Press *p, const Band *b, const Place *pl) {
    double y[2] = { b->in.min.y + CLOSE_BY, b->in.max.y - CLOSE_BY };

    for (int i = 0; i < 2 && b->from < b->to; i++)
        draw_line(p, place_point(pl, v2(b->from, y[i])),
                  place_point(pl, v2(b->to, y[i])), PEN_FINE);
}

static void draw_face(Press *p, const Part *part, const Place *pl) {
    Bands bands = { 0 };
    bool  fine  = false;

    for (int i = 0; i < part->features.n; i++)
        if (part->features.at[i].kind == FEATURE_SCALLOP) {
            Band *b = PUSH(p->c, &bands);
            *b   = band_of(part, &part->features.at[i], pl->scale);
            fine = fine || b->pen.width < PEN_OUTLINE.width;
        }
    draw_shape(p, part->face, pl, fine ? PEN_NONE : PEN_OUTLINE, INK_WHITE);
    for (int k = 0; fine && k < part->face.loops.n; k++) {
        const Loop *l = &part->face.loops.at[k];
        for (int i = 0; i < l->n; i++) {
            const Band *b = band_with(&bands, &l->at[i]);
            if (!b || !is_left_out(b, &l->at[i]))
                draw_strokes(p, &l->at[i], 1, pl, b ? b->pen : PEN_OUTLINE);
        }
    }
    for (int i = 0; i < bands.n; i++)
        draw_between(p, &bands.at[i], pl);
}

/* ---- Bevels ---- */

static double off_line(V2 q, V2 a, V2 b) {
    V2     by = v2_sub(b, a);
    double k  = v2_dot(by, by);

    k = k > 0 ? fmin(fmax(v2_dot(v2_sub(q, a), by) / k, 0), 1) : 0;
    return v2_len(v2_sub(q, v2_add(a, v2_scale(by, k))));
}

/* Does a line lie on the outline that is drawn already, or so close? */
static bool is_outline(const Part *part, V2 a, V2 b, double close) {
    for (int k = 0; k < part->face.loops.n; k++) {
        const Loop *l = &part->face.loops.at[k];
        for (int i = 0; i < l->n; i++)
            if (l->at[i].kind == SEG_LINE
                && off_line(a, l->at[i].a, l->at[i].b) < close
                && off_line(b, l->at[i].a, l->at[i].b) < close)
                return true;
    }
    return false;
}

static bool is_bevelled(const Part *part) {
    return part->ends[0].bevel.real > 0 || part->ends[1].bevel.real > 0
        || part->edges[0].bevel.real > 0 || part->edges[1].bevel.real > 0;
}

/* A face that leans, from the back all through to the show face (a chamfer
 * does not reach so far). */
static bool is_bevel(const Part *part, const Face *f) {
    double low = INFINITY, high = -INFINITY;

    for (int i = 0; i < f->rings.at[0].n; i++) {
        low  = fmin(low, f->rings.at[0].at[i].z);
        high = fmax(high, f->rings.at[0].at[i].z);
    }
    return f->plane.curve == 0 && fabs(f->plane.n.z) > 1e-6
        && fabs(f->plane.n.z) < 1 - 1e-6 && low < CLOSE_BY
        && high > part->thickness.real - CLOSE_BY;
}

/* A face that leans toward the reader is seen beside the show face; one that
 * leans away is dashed, unless that would run together with the outline. */
static void draw_bevels(Press *p, const Part *part, const Place *pl) {
    for (int i = 0; i < part->solid->faces.n; i++) {
        const Face  *f = &part->solid->faces.at[i];
        const Ring3 *r = &f->rings.at[0];
        bool   seen  = f->plane.n.z > 0;
        double close = seen ? CLOSE_BY : GAP_LEAST / pl->scale;
        if (!is_bevel(part, f))
            continue;
        for (int k = 0; k < r->n; k++) {
            V3 a = r->at[k], b = r->at[(k + 1) % r->n];
            if (!is_outline(part, v2(a.x, a.y), v2(b.x, b.y), close))
                draw_line(p, place_point(pl, v2(a.x, a.y)),
                          place_point(pl, v2(b.x, b.y)),
                          seen ? PEN_OUTLINE : PEN_HIDDEN);
        }
    }
}

void draw_part_outline(Press *p, const Part *part, const Place *pl) {
    draw_face(p, part, pl);
    if (is_bevelled(part))
        draw_bevels(p, part, pl);
}
