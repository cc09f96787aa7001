/* part_sizes -- which sizes the drawing of a part tells: every place that
 * is cut is found from the lower left corner, and none in two ways.
 *
 *        0-----x1----x2---------L      Along each axis the places are the
 *        |      running sizes   |      knots of a graph, the sizes its
 *        0----------------------L      edges. It must hang together (else
 *              overall size            a place is missing) and have no ring
 *                                      (else a size is told twice).
 *
 * Running sizes find where a cut begins; its note says how large it is. A
 * cut that reaches the edge of the part is found without. (Light & Gossard
 * 1982; geometry-notes 4.)
 */
#include "press/sections.h"

#include <math.h>

#define CLOSE_BY 0.01   // mm: one place

typedef struct {
    Press      *p;
    const Part *part;
    PartSizes   out;
    Str         source;   // of the feature that is looked at,
    int         feature;  // and its index; -1: of the whole part
} Teller;

static Quantity sum(Teller *t, Quantity a, Quantity b) {
    return quantity_add(t->p->c, (Loc){ 0 }, a, b);
}

static double side_of(const Part *part, SizeAxis axis) {
    return axis == ALONG_X ? part->long_length.real
         : axis == ALONG_Y ? part->width.real : part->thickness.real;
}

/* ---- Entries ---- */

static bool is_end(const Teller *t, SizeAxis axis, double at) {
    return at < CLOSE_BY || at > side_of(t->part, axis) - CLOSE_BY;
}

/* Found already by a running size or the overall one? */
static bool is_found(const Teller *t, SizeAxis axis, double at) {
    for (int i = 0; i < t->out.n; i++) {
        const PartSize *s = &t->out.at[i];
        if (s->axis == axis && fabs(s->to - at) < CLOSE_BY)
            return true;
    }
    return is_end(t, axis, at);
}

static PartSize *add(Teller *t, SizeAxis axis, double from, double to,
                     Quantity value) {
    PartSize *s = PUSH(t->p->c, &t->out);

    *s = (PartSize){ .axis = axis, .from = from, .to = to, .value = value,
                     .source = t->source, .feature = t->feature,
                     .printed = true };
    return s;
}

/* A running size to a place at (x, y) of the part, once. */
static void run_x(Teller *t, Quantity x, double y) {
    PartSize *s;

    if (is_found(t, ALONG_X, x.real))
        return;
    s          = add(t, ALONG_X, 0, x.real, x);
    s->running = true;
    s->at      = v2(x.real, y);
}

static void run_y(Teller *t, double x, Quantity y) {
    PartSize *s;

    if (is_found(t, ALONG_Y, y.real))
        return;
    s          = add(t, ALONG_Y, 0, y.real, y);
    s->running = true;
    s->at      = v2(x, y.real);
}

/* A size that the note tells, for all copies at once; only where it finds
 * a new place. `printed`: this is the copy that the note speaks of. */
static void noted(Teller *t, SizeAxis axis, double from, double to,
                  Quantity value, bool printed) {
    PartSize *s = add(t, axis, from, to, value);

    s->printed = printed;
    s->note    = true;
}

/* A diameter, a radius, an angle: fixes no place on an axis. */
static void other(Teller *t, Quantity value) {
    add(t, SIZE_OTHER, 0, 0, value);
}

/* ---- How a cut lies in the part ---- */

Reach feature_reach(const Part *part, const Feature *f, bool y) {
    double from = y ? f->y.real : f->x.real;
    double to   = from + (y ? f->width.real : f->length.real);
    double side = side_of(part, y ? ALONG_Y : ALONG_X);
    bool   low = from < CLOSE_BY, high = to > side - CLOSE_BY;

    return low && high ? REACH_THROUGH : low || high ? REACH_EDGE
                                                     : REACH_INSIDE;
}

Quantity feature_extent(Ctx *c, const Part *part, const Feature *f, bool y) {
    Quantity from = y ? f->y : f->x, size = y ? f->width : f->length;
    Quantity side = y ? part->width : part->long_length;
    Quantity to   = quantity_add(c, f->loc, from, size);

    if (from.real < 0)
        return to;
    return to.real > side.real ? quantity_sub(c, f->loc, side, from) : size;
}

/* Copies that are marked one by one; of many with equal gaps only the
 * first, as the note tells the gap. */
static int marked_copies(const Feature *f) {
    return f->gap.real > 0 && f->count > FEW_COPIES ? 1 : f->count;
}

bool note_tells_gap(const Feature *f) {
    return f->gap.real > 0 && f->count > FEW_COPIES;
}

static Quantity copy_x(Teller *t, const Feature *f, int i) {
    return i < f->copies.n ? sum(t, f->x, f->copies.at[i].x) : f->x;
}

static Quantity copy_y(Teller *t, const Feature *f, int i) {
    return i < f->copies.n ? sum(t, f->y, f->copies.at[i].y) : f->y;
}

/* ---- By kind ---- */

/* From the face that it is worked from. */
static void tell_depth(Teller *t, const Feature *f) {
    double T = t->part->thickness.real, d = f->depth.real;

    if (d <= 0)
        return;
    if (f->side == SIDE_BACK)
        noted(t, ALONG_Z, 0, d, f->depth, !f->echo);
    else
        noted(t, ALONG_Z, T, T - d, f->depth, !f->echo);
}

/* One side of a rectangle along an axis. */
static void tell_side(Teller *t, const Feature *f, bool y, double from,
                      bool first) {
    Reach    reach = feature_reach(t->part, f, y);
    Quantity size  = feature_extent(t->p->c, t->part, f, y);
    SizeAxis axis  = y ? ALONG_Y : ALONG_X;
    double   low   = fmax(from, 0), to = low + size.real;

    if (reach == REACH_THROUGH)
        return;
    if (reach == REACH_EDGE && from > CLOSE_BY)
        noted(t, axis, to, low, size, first);
    else
        noted(t, axis, low, to, size, first);
}

static void tell_rectangle(Teller *t, const Feature *f) {
    int n = marked_copies(f);

    for (int i = 0; i < n; i++) {
        Quantity x = copy_x(t, f, i), y = copy_y(t, f, i);
        if (feature_reach(t->part, f, false) == REACH_INSIDE)
            run_x(t, x, y.real);
        if (feature_reach(t->part, f, true) == REACH_INSIDE)
            run_y(t, fmin(x.real + f->length.real,
                          t->part->long_length.real), y);
        tell_side(t, f, false, x.real, i == 0 && !f->echo);
        tell_side(t, f, true, y.real, i == 0 && !f->echo);
    }
    tell_depth(t, f);
}

static void tell_holes(Teller *t, const Feature *f) {
    for (int i = 0; i < marked_copies(f); i++) {
        Quantity x = copy_x(t, f, i), y = copy_y(t, f, i);
        run_x(t, x, y.real);
        run_y(t, x.real, y);
    }
    if (f->echo)
        return;
    other(t, f->diameter);
    if (f->tilt.real > 0)
        other(t, f->tilt);
    if (f->sink.real > 0) {
        other(t, f->sink);
        other(t, f->sink_angle);
    }
    tell_depth(t, f);
}

/* Cuts in an edge or end are set out along it; the note tells the rest. */
static void tell_edge_cut(Teller *t, const Feature *f) {
    const Part *part = t->part;
    bool   end  = f->side >= SIDE_LEFT, high;
    double size = end ? part->long_length.real : part->width.real, edge;

    high = f->side == SIDE_RIGHT || f->side == SIDE_FAR;
    edge = high ? size : 0;
    for (int i = 0; i < marked_copies(f); i++) {
        Quantity from = copy_x(t, f, i);
        if (end)
            run_y(t, edge, from);
        else
            run_x(t, from, edge);
        if (f->kind == FEATURE_GROOVE || f->kind == FEATURE_NOTCH)
            noted(t, end ? ALONG_Y : ALONG_X, from.real,
                  from.real + f->length.real, f->length,
                  i == 0 && !f->echo);
    }
    if (f->echo)
        return;
    noted(t, ALONG_Z, 0, f->y.real, f->y, true);
    if (f->kind == FEATURE_HOLE)
        other(t, f->diameter);
    else
        noted(t, ALONG_Z, f->y.real, f->y.real + f->width.real, f->width,
              true);
    if (f->depth.real > 0)
        noted(t, end ? ALONG_X : ALONG_Y, edge,
              high ? size - f->depth.real : f->depth.real, f->depth, true);
}

static void tell_arch(Teller *t, const Feature *f) {
    Quantity half = quantity_mul(t->p->c, f->loc, f->width,
                                 quantity_exact(1, 2, DIM_NUMBER));
    Quantity left = quantity_sub(t->p->c, f->loc, f->x, half);

    run_x(t, left, f->base.real);
    run_x(t, sum(t, f->x, half), f->base.real);
    run_y(t, left.real, f->base);
    run_y(t, left.real, f->spring);
    run_y(t, f->x.real, sum(t, f->spring, f->rise));
    if (f->arch == ARCH_SEGMENTAL && !f->echo) {
        other(t, arch_radius(f));
        t->out.at[t->out.n - 1].reference = true;
    }
}

/* Corners of a loop. Where one curve runs on into the next there is none:
 * curves are traced from the template. */
static void tell_corners(Teller *t, const Loop *l, V2 by) {
    for (int i = 0; i < l->n; i++) {
        const Seg *before = &l->at[(i + l->n - 1) % l->n];
        V2         at     = v2_add(l->at[i].a, by);
        if (before->kind == SEG_CUBIC && l->at[i].kind == SEG_CUBIC)
            continue;
        if (at.x < -CLOSE_BY || at.y < -CLOSE_BY
            || at.x > t->part->long_length.real + CLOSE_BY
            || at.y > t->part->width.real + CLOSE_BY)
            continue;
        run_x(t, quantity_mm(at.x), at.y);
        run_y(t, at.x, quantity_mm(at.y));
    }
}

static double radius_of(const Seg *arc) {
    return v2_len(v2_sub(arc->a, arc->center));
}

bool radius_is_new(const Loop *l, int i) {
    if (l->at[i].kind != SEG_ARC)
        return false;
    for (int k = 0; k < i; k++)
        if (l->at[k].kind == SEG_ARC
            && fabs(radius_of(&l->at[k]) - radius_of(&l->at[i]))
               < CLOSE_BY)
            return false;
    return true;
}

bool radius_is_implied(const Seg *arc) {
    return fabs(arc->sweep) > 3.14159;   // half a circle: its ends tell
}

static void tell_radii(Teller *t, const Loop *l) {
    for (int i = 0; i < l->n; i++)
        if (radius_is_new(l, i)) {
            other(t, quantity_mm(radius_of(&l->at[i])));
            t->out.at[t->out.n - 1].reference =
                radius_is_implied(&l->at[i]);
        }
}

static void tell_cutout(Teller *t, const Feature *f) {
    const Loop *l = &f->shape.loops.at[0];

    for (int i = 0; i < marked_copies(f); i++)
        tell_corners(t, l, feature_copy(f, i));
    tell_radii(t, l);
}

static void tell_note(Teller *t, const Feature *f) {
    if (f->echo)
        return;
    if (f->thick.real > 0) {   // tenon
        other(t, f->length);
        other(t, f->thick);
        other(t, f->wide);
        for (int i = 0; i < 4; i++)
            if (f->shoulder[i].real > 1e-6)
                other(t, f->shoulder[i]);
    } else {                   // fingers
        other(t, f->pitch);
        other(t, f->length);
        if (f->left_over.real > CLOSE_BY)
            other(t, f->left_over);
    }
}

static void tell_profile(Teller *t, const Feature *f) {
    if (f->start.real > CLOSE_BY)
        run_x(t, f->start, 0);
    other(t, f->pitch);
    other(t, f->drop);
    if (f->profile == PROFILE_DENTILS)
        other(t, f->tooth);
    if (f->left_over.real > CLOSE_BY)
        other(t, f->left_over);
}

static void tell_edging(Teller *t, const Feature *f) {
    double L = t->part->long_length.real, W = t->part->width.real;
    double T = t->part->thickness.real, w = f->width.real;
    bool   first = true;

    if (f->kind == FEATURE_ROUND) {
        other(t, f->width);
        return;
    }
    for (int i = 0; i < 4; i++) {
        double edge = i == 1 ? W : i == 3 ? L : 0;
        if (!f->on[i])
            continue;
        noted(t, i < 2 ? ALONG_Y : ALONG_X, edge,
              i % 2 ? edge - w : edge + w, f->width, first);
        first = false;
    }
    if (first)
        other(t, f->width);
    noted(t, ALONG_Z, f->side == SIDE_BACK ? 0 : T,
          f->side == SIDE_BACK ? f->drop.real : T - f->drop.real, f->drop,
          true);
}

static void tell_pocket(Teller *t, const Feature *f) {
    const Part *part = t->part;

    for (int i = 0; i < marked_copies(f); i++) {
        if (f->side >= SIDE_LEFT)
            run_y(t, f->side == SIDE_RIGHT ? part->long_length.real : 0,
                  copy_y(t, f, i));
        else
            run_x(t, i < f->copies.n ? sum(t, f->y, f->copies.at[i].x)
                                     : f->y,
                  f->side == SIDE_FAR ? part->width.real : 0);
    }
    if (f->echo)
        return;
    other(t, f->diameter);
    other(t, f->tilt);
    if (f->depth.real > 0)
        other(t, f->depth);
}

static void tell_feature(Teller *t, const Feature *f) {
    t->source = part_source(t->p, t->part, feature_name(f));
    if (note_tells_gap(f) && !f->echo)
        other(t, f->gap);
    switch (f->kind) {   // ORDER FEATURE
    case FEATURE_HOLE:
        if (feature_in_face(f))
            tell_holes(t, f);
        else
            tell_edge_cut(t, f);
        break;
    case FEATURE_ARCH:
        tell_arch(t, f);
        break;
    case FEATURE_GROOVE:
    case FEATURE_NOTCH:
        if (f->thick.real > 0 || f->repeats > 0)
            tell_note(t, f);
        else if (feature_in_face(f))
            tell_rectangle(t, f);
        else
            tell_edge_cut(t, f);
        break;
    case FEATURE_SCALLOP:
        tell_profile(t, f);
        break;
    case FEATURE_POCKET:
        tell_pocket(t, f);
        break;
    case FEATURE_CUTOUT:
        tell_cutout(t, f);
        break;
    case FEATURE_CHAMFER:
    case FEATURE_ROUND:
        tell_edging(t, f);
        break;
    }
}

static void tell_angles(Teller *t) {
    const Part *part = t->part;

    t->source = part_source(t->p, part, "ends");
    for (int i = 0; i < 2; i++) {
        if (part->ends[i].miter.real > 0)
            other(t, part->ends[i].miter);
        if (part->ends[i].bevel.real > 0)
            other(t, part->ends[i].bevel);
        if (part->edges[i].bevel.real > 0)
            other(t, part->edges[i].bevel);
    }
    if (quantity_cmp(part->length, part->long_length) != 0) {
        other(t, part->length);
        t->out.at[t->out.n - 1].reference = true;
    }
}

PartSizes part_sizes(Press *p, const Part *part) {
    Teller t = { .p = p, .part = part, .feature = -1 };

    t.source = part_source(p, part, "size");
    add(&t, ALONG_X, 0, part->long_length.real, part->long_length);
    add(&t, ALONG_Y, 0, part->width.real, part->width);
    add(&t, ALONG_Z, 0, part->thickness.real, part->thickness);
    for (int i = 0; i < part->features.n; i++) {
        t.feature = i;
        tell_feature(&t, &part->features.at[i]);
    }
    t.feature = -1;
    if (part->outlined) {
        t.source = part_source(p, part, "outline");
        tell_corners(&t, &part->outline.loops.at[0], v2(0, 0));
        tell_radii(&t, &part->outline.loops.at[0]);
    }
    tell_angles(&t);
    return t.out;
}
