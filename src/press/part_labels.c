/* part_labels -- what stands on leaders in the drawing of a part: angles and
 * long points, radii, diameters. They are gathered first and drawn last,
 * each where room is left (room.c).
 */
#include "press/sections.h"

#include <math.h>

#define DEG (3.14159265358979323846 / 180)

/* ---- Angles ---- */

#define ANGLE_MOST 14.0   // radius of an angle's arc
#define ANGLE_OVER  2.0   // of the square line past it

/* An angle is told from the square cut: a thin line from the long point
 * square to the edge, an arc from it to the cut.
 *
 *    :30/             a  the turn from the square line to the cut
 *    : /              s  the way of the square line, unit, page
 *    :/________
 *    tip: the long point
 */
static void mark_angle(Press *p, V2 tip, V2 s, double a, double radius,
                       Quantity angle, Str source, Callouts *out) {
    V2 v[9], mid, outward;

    for (int i = 0; i < COUNT(v); i++) {
        double t = a * i / (COUNT(v) - 1);
        v[i] = v2_add(tip, v2_scale(v2(s.x * cos(t) - s.y * sin(t),
                                       s.x * sin(t) + s.y * cos(t)),
                                    radius));
    }
    draw_line(p, tip, v2_add(tip, v2_scale(s, radius + ANGLE_OVER)),
              PEN_FINE);
    draw_polyline(p, v, COUNT(v), false, PEN_FINE, INK_NONE);
    mid     = v[COUNT(v) / 2];
    outward = v2_scale(v2(s.y, -s.x), a < 0 ? -1 : 1);
    *PUSH(p->c, out) = (Callout){
        .tip = mid, .way = v2_add(outward, v2_scale(s, 0.5)),
        .label = para_figure(p, figure_angle(p->c, angle, source))
    };
    *PUSH(p->c, out) = (Callout){
        .tip = tip, .way = v2_sub(outward, v2_scale(s, 0.7)),
        .label = para_of(p, "long point")
    };
}

/* `high`: the right end of the face, or the far edge in its view; `up`: the
 * long point is below. */
static void slanted(Press *p, V2 tip, bool high, bool up, double depth,
                    Quantity angle, Str source, Callouts *out) {
    double turn = angle.real * DEG * (high ? -1 : 1) * (up ? 1 : -1);

    mark_angle(p, tip, v2(0, up ? -1 : 1), turn,
               fmin(ANGLE_MOST, depth * 0.8), angle, source, out);
}

static void miters(Press *p, const Part *part, const Place *pl,
                   Callouts *out) {
    for (int i = 0; i < 2; i++) {
        const EndCut *cut = &part->ends[i];
        double L   = i ? part->long_length.real : 0;
        double W   = part->width.real;
        if (cut->miter.real > 0)
            slanted(p, place_point(pl, v2(L, cut->long_near ? 0 : W)), i,
                    cut->long_near, W * pl->scale, cut->miter,
                    part_source(p, part, "miter"), out);
    }
}

void label_bevels(Press *p, const Part *part, SizeView view,
                  const ViewPlan *plan, V2 at, Callouts *out) {
    bool          edge = view == VIEW_EDGE;
    const EndCut *cuts = edge ? part->ends : part->edges;
    double        U    = edge ? part->long_length.real : part->width.real;
    double        T    = part->thickness.real;

    for (int i = 0; i < 2; i++) {
        Place pl = view_place(part, view, plan, at, i);
        if (cuts[i].bevel.real > 0)
            slanted(p, place_point(&pl, v2(i ? U : 0,
                                           cuts[i].long_back ? 0 : T)),
                    i, cuts[i].long_back, T * pl.scale, cuts[i].bevel,
                    part_source(p, part, edge ? "ends" : "edges"), out);
    }
}

/* ---- Radii and diameters ---- */

/* The middle of each arc whose radius was not given yet, led toward the
 * `middle` of the part on the page. */
static void radii_of(Press *p, Shape s, int loop, const Place *pl, V2 middle,
                     Str source, Callouts *out) {
    for (int i = 0; i < s.loops.at[loop].n; i++) {
        const Seg *arc = &s.loops.at[loop].at[i];
        double     r   = v2_len(v2_sub(arc->a, arc->center));
        double     co  = cos(arc->sweep / 2), si = sin(arc->sweep / 2);
        V2         to  = v2_sub(arc->a, arc->center);
        Callout    c   = { 0 };
        Figure     figure;
        if (!radius_is_new(s, loop, i))
            continue;
        to    = v2(to.x * co - to.y * si, to.x * si + to.y * co);
        c.tip = place_point(pl, v2_add(arc->center, to));
        c.way = v2_sub(place_point(pl, arc->center), c.tip);
        if (v2_dot(c.way, v2_sub(middle, c.tip)) < 0)
            c.way = v2_scale(c.way, -1);   // into the part, off its edges
        figure = figure_length(p->c, p->e, quantity_mm(r), source);
        if (radius_is_implied(arc)) {
            say(p, &c.label, "(R ");
            say_bare(p, &c.label, figure);
            say(p, &c.label, ")");
        } else {
            c.label = label_radius(p, figure);
        }
        *PUSH(p->c, out) = c;
    }
}

static void radii(Press *p, const Part *part, const Place *pl,
                  Callouts *out) {
    V2 middle = place_point(pl, v2(part->long_length.real / 2,
                                   part->width.real / 2));

    for (int k = 0; part->outlined && k < part->outline.loops.n; k++)
        radii_of(p, part->outline, k, pl, middle,
                 part_source(p, part, "outline"), out);
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        for (int k = 0; f->kind == FEATURE_CUTOUT && !f->echo
                        && k < f->shape.loops.n; k++)
            radii_of(p, f->shape, k, pl, middle,
                     part_source(p, part, "cutout"), out);
    }
}

#define CROSS 1.2   // of center lines past a hole

/* Center lines, and "15 x ⌀ 1/4" at the last copy of each hole in the face. */
static void cross_at(Press *p, V2 at, double r) {
    draw_line(p, v2(at.x - r, at.y), v2(at.x + r, at.y), PEN_FINE);
    draw_line(p, v2(at.x, at.y - r), v2(at.x, at.y + r), PEN_FINE);
}

static void diameters(Press *p, const Part *part, const Place *pl,
                      Callouts *out) {
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        V2      at = v2_add(v2(f->x.real, f->y.real),
                            feature_copy(f, f->count - 1));
        Callout c  = { .tip = place_point(pl, at), .way = v2(1, -1),
                       .clear = f->diameter.real / 2 * pl->scale };
        if (f->kind != FEATURE_HOLE || !feature_in_face(f))
            continue;
        for (int k = 0; k < f->count; k++)
            cross_at(p, place_point(pl, v2_add(v2(f->x.real, f->y.real),
                                               feature_copy(f, k))),
                     fmax(f->sink.real, f->diameter.real) / 2 * pl->scale
                     + CROSS);
        if (f->echo)
            continue;
        if (f->count > 1) {
            say_count(p, &c.label, f->count, "copies of a cut");
            say(p, &c.label, " × ");
        }
        say(p, &c.label, "⌀ ");
        say_bare(p, &c.label, figure_length(p->c, p->e, f->diameter,
                              part_source(p, part, feature_name(f))));
        *PUSH(p->c, out) = c;
    }
}

void label_face(Press *p, const Part *part, const Place *pl,
                Callouts *out) {
    miters(p, part, pl, out);
    radii(p, part, pl, out);
    diameters(p, part, pl, out);
}
