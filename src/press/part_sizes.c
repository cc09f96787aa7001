/* part_sizes -- which sizes the drawing of a part tells: every place that
 * is cut is found from the lower left corner, and none in two ways.
 *
 *        0-----x1----x2---------L      Along each axis the places are the
 *        |      running sizes   |      knots of a graph, the sizes its
 *        0----------------------L      edges. It must hang together (else
 *              overall size            a place is missing) and have no ring
 *                                      (else a size is told twice).
 *
 * Running sizes find where a cut begins and ends, in the face or, through
 * the thickness, in a view of the edge or of the end. Its note tells its
 * depth where no view shows it, and again, in brackets, how large it is. A
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

static PartSize *add(Teller *t, SizeAxis axis, double from, double to,
                     Quantity value) {
    PartSize *s = PUSH(t->p->c, &t->out);

    *s = (PartSize){ .axis = axis, .from = from, .to = to, .value = value,
                     .source = t->source, .feature = t->feature,
                     .printed = true };
    return s;
}

/* The running size that finds a place, or NULL. */
static PartSize *running_to(Teller *t, SizeAxis axis, double at) {
    for (int i = 0; i < t->out.n; i++) {
        PartSize *s = &t->out.at[i];
        if (s->running && s->axis == axis && fabs(s->to - at) < CLOSE_BY)
            return s;
    }
    return NULL;
}

/* A place that several cuts share is told once: the line from its figure
 * runs on to the farthest of them. Copies and repeats follow by their
 * likeness; the line ends at the nearest of these. */
static void lead_on(Teller *t, PartSize *s, V2 at) {
    const Feature *f = t->feature < 0 ? NULL
                     : &t->part->features.at[t->feature];
    bool likeness = !f || f->echo || f->repeats > 0
                 || s->feature == t->feature;
    bool y        = s->axis == ALONG_Y;
    bool low      = y ? size_to_left(t->part, s)
                      : !size_above(t->part, s);
    double more   = y ? at.x - s->led.x : at.y - s->led.y;

    if (s->axis != ALONG_Z && (low != likeness) == (more > 0))
        s->led = at;
}

/* A running size to a place, told once; `at` in its view. */
static void run(Teller *t, SizeAxis axis, SizeView view, Quantity place,
                V2 at) {
    PartSize *s;

    if (is_end(t, axis, place.real))
        return;
    s = running_to(t, axis, place.real);
    if (s) {
        lead_on(t, s, at);
        return;
    }
    s          = add(t, axis, 0, place.real, place);
    s->running = true;
    s->view    = view;
    s->at      = s->led = at;
}

static void run_x(Teller *t, Quantity x, double y) {
    run(t, ALONG_X, VIEW_FACE, x, v2(x.real, y));
}

static void run_y(Teller *t, double x, Quantity y) {
    run(t, ALONG_Y, VIEW_FACE, y, v2(x, y.real));
}

/* `u`: along the edge that the view looks at. */
static void run_z(Teller *t, SizeView view, double u, Quantity z) {
    run(t, ALONG_Z, view, z, v2(u, z.real));
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

/* What the drawing tells otherwise, once more, in brackets. */
static void again(Teller *t, Quantity value) {
    add(t, SIZE_OTHER, 0, 0, value)->reference = true;
}

/* ---- Where the figures stand ---- */

#define LEFT_PART  0.35   // of the length: figures stand at the left
#define UPPER_PART 0.6    // of the width: figures stand above

bool size_to_left(const Part *part, const PartSize *s) {
    double along = s->view == VIEW_END ? part->width.real
                                       : part->long_length.real;

    return s->at.x < LEFT_PART * along;
}

bool size_above(const Part *part, const PartSize *s) {
    return s->at.y > UPPER_PART * part->width.real;
}

/* The side of a cut, from a to b, from which its figures are led. */
static double led_from(double a, double b, double share, double whole) {
    return (a + b) / 2 < share * whole ? a : b;
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

bool profile_is_run(const Feature *f) {
    return f->repeats <= FEW_REPEATS;
}

/* Is each copy as far from the last, along one axis? */
static bool is_stepped(const Feature *f) {
    for (int i = 1; i < f->copies.n; i++) {
        V2 one = feature_copy(f, 1), by = feature_copy(f, i);
        if (fabs(one.x) > CLOSE_BY && fabs(one.y) > CLOSE_BY)
            return false;
        if (v2_len(v2_sub(by, v2_scale(one, i))) > CLOSE_BY)
            return false;
    }
    return f->copies.n > 1;
}

/* Of many alike only the first copy is marked, as the note tells how far
 * it is to the next one. */
bool note_tells_gap(const Feature *f) {
    if (f->repeats > 0)
        return false;
    return (f->gap.real > 0 && f->count > FEW_COPIES)
        || (f->count > FEW_REPEATS && is_stepped(f));
}

Quantity told_gap(const Feature *f) {
    if (f->gap.real > 0)
        return f->gap;
    return feature_copy(f, 1).x != 0 ? f->copies.at[1].x
                                     : f->copies.at[1].y;
}

static int marked_copies(const Feature *f) {
    return note_tells_gap(f) ? 1 : f->count;
}

static Quantity copy_x(Teller *t, const Feature *f, int i) {
    return i < f->copies.n ? sum(t, f->x, f->copies.at[i].x) : f->x;
}

static Quantity copy_y(Teller *t, const Feature *f, int i) {
    return i < f->copies.n ? sum(t, f->y, f->copies.at[i].y) : f->y;
}

/* ---- By kind ---- */

/* From the face that it is worked from: in the view that shows it, else in
 * its note. */
static void tell_depth(Teller *t, const Feature *f) {
    const Part *part = t->part;
    double   T = part->thickness.real, d = f->depth.real;
    bool     back = f->side == SIDE_BACK;
    SizeView view = feature_depth_view(part, f);
    Quantity z    = back ? f->depth
                         : quantity_sub(t->p->c, f->loc, part->thickness,
                                        f->depth);

    if (d <= 0)
        return;
    if (view == VIEW_FACE) {
        noted(t, ALONG_Z, back ? 0 : T, z.real, f->depth, !f->echo);
        return;
    }
    for (int i = 0; i < f->count; i++) {
        Along cut = cut_along(f, i, view);
        run_z(t, view, led_from(cut.from, cut.to, LEFT_PART,
                                view == VIEW_EDGE ? part->long_length.real
                                                  : part->width.real), z);
    }
}

/* Both sides of each copy, along both axes. */
static void tell_rectangle(Teller *t, const Feature *f) {
    const Part *part = t->part;
    int         n    = marked_copies(f);

    for (int i = 0; i < n; i++) {
        Quantity x = copy_x(t, f, i), y = copy_y(t, f, i);
        Quantity x1 = sum(t, x, f->length), y1 = sum(t, y, f->width);
        double   at_x = led_from(x.real, x1.real, LEFT_PART,
                                 part->long_length.real);
        double   at_y = led_from(y.real, y1.real, UPPER_PART,
                                 part->width.real);
        at_x = fmin(fmax(at_x, 0), part->long_length.real);
        at_y = fmin(fmax(at_y, 0), part->width.real);
        run_x(t, x, at_y);
        run_x(t, x1, at_y);
        run_y(t, at_x, y);
        run_y(t, at_x, y1);
    }
    tell_depth(t, f);
    if (f->echo || f->thick.real > 0 || f->repeats > 0)
        return;
    for (int i = 0; i < 2; i++)
        if (feature_reach(part, f, i) != REACH_THROUGH)
            again(t, feature_extent(t->p->c, part, f, i));
}

static void tell_tenon(Teller *t, const Feature *f) {
    tell_rectangle(t, f);
    if (f->echo)
        return;
    again(t, f->length);
    again(t, f->thick);
    again(t, f->wide);
}

static void tell_fingers(Teller *t, const Feature *f) {
    tell_rectangle(t, f);
    if (f->echo)
        return;
    again(t, f->pitch);
    again(t, f->length);
    if (f->left_over.real > CLOSE_BY)
        again(t, f->left_over);
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

/* One copy in an edge or end: along it and deep in the face, through the
 * thickness in the view of it. */
static void tell_edge_copy(Teller *t, const Feature *f, Quantity from) {
    const Part *part = t->part;
    bool     end  = f->side >= SIDE_LEFT;
    bool     high = f->side == SIDE_RIGHT || f->side == SIDE_FAR;
    Quantity size = end ? part->long_length : part->width, deep = f->depth;
    double   edge = high ? size.real : 0;
    bool     slot = f->kind != FEATURE_HOLE;
    Quantity to   = slot ? sum(t, from, f->length) : from;
    SizeView view = end ? VIEW_END : VIEW_EDGE;
    double   u    = led_from(from.real, to.real, LEFT_PART,
                             end ? part->width.real
                                 : part->long_length.real);

    if (high)
        deep = quantity_sub(t->p->c, f->loc, size, deep);
    for (int i = 0; i <= slot; i++) {
        if (end)
            run_y(t, edge, i ? to : from);
        else
            run_x(t, i ? to : from, edge);
    }
    run_z(t, view, u, f->y);
    if (slot)
        run_z(t, view, u, sum(t, f->y, f->width));
    if (f->depth.real <= 0)
        return;
    if (end)
        run_x(t, deep, from.real);
    else
        run_y(t, u, deep);
}

static void tell_edge_cut(Teller *t, const Feature *f) {
    for (int i = 0; i < marked_copies(f); i++)
        tell_edge_copy(t, f, copy_x(t, f, i));
    if (f->echo)
        return;
    if (f->kind == FEATURE_HOLE) {
        other(t, f->diameter);
    } else {
        again(t, f->length);
        again(t, f->width);
    }
    if (f->depth.real > 0)
        again(t, f->depth);
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
    if (f->echo)
        return;
    again(t, f->width);
    again(t, f->rise);
    if (f->arch == ARCH_SEGMENTAL)
        again(t, arch_radius(f));
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

bool radius_is_new(Shape s, int loop, int i) {
    const Seg *arc = &s.loops.at[loop].at[i];

    if (arc->kind != SEG_ARC)
        return false;
    for (int l = 0; l <= loop; l++)
        for (int k = 0; k < (l < loop ? s.loops.at[l].n : i); k++) {
            const Seg *other = &s.loops.at[l].at[k];
            if (other->kind == SEG_ARC
                && fabs(radius_of(other) - radius_of(arc)) < CLOSE_BY)
                return false;
        }
    return true;
}

bool radius_is_implied(const Seg *arc) {
    return fabs(arc->sweep) > 3.14159;   // half a circle: its ends tell
}

static void tell_radii(Teller *t, Shape s) {
    for (int k = 0; k < s.loops.n; k++)
        for (int i = 0; i < s.loops.at[k].n; i++) {
            const Seg *arc = &s.loops.at[k].at[i];
            if (radius_is_new(s, k, i))
                add(t, SIZE_OTHER, 0, 0, quantity_mm(radius_of(arc)))
                    ->reference = radius_is_implied(arc);
        }
}

static void tell_cutout(Teller *t, const Feature *f) {
    Box2 box = shape_box(f->shape);

    for (int k = 0; k < f->shape.loops.n; k++) {
        const Loop *l = &f->shape.loops.at[k];
        for (int i = 0; i < marked_copies(f); i++)
            tell_corners(t, l, feature_copy(f, i));
    }
    if (f->echo)
        return;
    tell_radii(t, f->shape);
    again(t, quantity_mm(box.max.x - box.min.x));
    again(t, quantity_mm(box.max.y - box.min.y));
}

/* So far from its edge, at the end of a profile. */
static void tell_drop(Teller *t, const Feature *f, double x, Quantity drop) {
    run_y(t, x, f->side == SIDE_FAR
                ? quantity_sub(t->p->c, f->loc, t->part->width, drop)
                : drop);
}

/* Each repeat has its place, or, of many, the first one: its note tells
 * how many more there are. */
static void tell_profile(Teller *t, const Feature *f) {
    const Part *part = t->part;
    bool     far  = f->side == SIDE_FAR;
    double   edge = far ? part->width.real : 0;
    int      n    = profile_is_run(f) ? f->repeats : 1;
    Quantity x    = f->start;

    for (int i = 0; i < n; i++) {
        run_x(t, x, edge);
        if (f->profile == PROFILE_DENTILS)
            run_x(t, sum(t, x, f->tooth), edge);
        x = sum(t, x, f->pitch);
        run_x(t, x, edge);
    }
    tell_drop(t, f, x.real, f->drop);
    if (f->profile == PROFILE_WAVES)   // begins and ends half way down
        tell_drop(t, f, x.real, quantity_div(t->p->c, f->loc, f->drop,
                                quantity_exact(2, 1, DIM_NUMBER)));
    again(t, f->pitch);
    again(t, f->drop);
    if (f->profile == PROFILE_DENTILS)
        again(t, f->tooth);
    if (f->left_over.real > CLOSE_BY)
        again(t, f->left_over);
}

static void tell_edging(Teller *t, const Feature *f) {
    double L = t->part->long_length.real, W = t->part->width.real;
    double T = t->part->thickness.real, w = f->width.real;
    bool   first = true, round = f->kind == FEATURE_ROUND;
    double down = round ? w : f->drop.real;

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
          f->side == SIDE_BACK ? down : T - down, f->drop, !round);
}

/* Its center line, and where its bore begins in the face. */
static void tell_pocket(Teller *t, const Feature *f) {
    const Part *part = t->part;
    bool   end  = f->side >= SIDE_LEFT;
    bool   high = f->side == SIDE_RIGHT || f->side == SIDE_FAR;
    double size = end ? part->long_length.real : part->width.real;
    double stop, begin;

    pocket_reach(part, f, &stop, &begin);
    if (high)
        begin = size - begin;
    for (int i = 0; i < marked_copies(f); i++) {
        Quantity at = end ? copy_y(t, f, i)
                    : i < f->copies.n ? sum(t, f->y, f->copies.at[i].x)
                                      : f->y;
        if (end) {
            run_y(t, begin, at);
            run_x(t, quantity_mm(begin), at.real);
        } else {
            run_x(t, at, begin);
            run_y(t, at.real, quantity_mm(begin));
        }
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
        other(t, told_gap(f));
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
        if (f->thick.real > 0)
            tell_tenon(t, f);
        else if (f->repeats > 0)
            tell_fingers(t, f);
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
    if (quantity_cmp(part->length, part->long_length) != 0)
        again(t, part->length);
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
        for (int k = 0; k < part->outline.loops.n; k++)
            tell_corners(&t, &part->outline.loops.at[k], v2(0, 0));
        tell_radii(&t, part->outline);
    }
    tell_angles(&t);
    return t.out;
}
