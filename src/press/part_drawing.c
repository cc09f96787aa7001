/* part_drawing -- the show face of every part that is no plain rectangle,
 * with its sizes from one corner; slanted ends and bevels get a view of the
 * edge.
 *
 * What is set out from one reference (hole centers, grooves) is dimensioned
 * as running sizes from the left end and the near edge, so that errors do
 * not add (geometry-notes 4). Overall sizes stand once, outermost.
 */
#include "press/sections.h"

#include <math.h>

#define DEG (3.14159265358979323846 / 180)

bool part_is_drawn(const Part *part) {
    return !part->plain;
}

static Para size_label(Press *p, Quantity q, Str source) {
    return para_bare(p, figure_length(p->c, p->e, q, source));
}

#define HEADING_H    38.0   // heading and words before the first drawing
#define ABOVE_H      10.0   // room for running sizes above a part

/* ---- Running marks of the features ---- */

typedef LIST(Dim1) Row;

/* Places along the length, read below or above the part, and across it. */
typedef struct { Row x, above, y; double middle_y; } Marks;

static void mark_sizes(Press *p, const PartSizes *sizes, Marks *m,
                       const Place *pl) {
    for (int i = 0; i < sizes->n; i++) {
        const PartSize *s = &sizes->at[i];
        Dim1           *d;
        if (!s->running)
            continue;
        d = PUSH(p->c, s->axis == ALONG_Y ? &m->y
                       : s->at.y > m->middle_y ? &m->above : &m->x);
        d->a     = place_point(pl, v2(0, 0));
        d->b     = place_point(pl, s->at);
        d->label = size_label(p, s->value, s->source);
    }
}

/* ---- Notes: what no dimension line says ---- */

/* A length that the table does not measure tip to tip is told again, in
 * brackets, as it follows from the overall one. */
static Para length_note(Press *p, const Part *part) {
    static const char *const sides[] = { "left", "right" };
    Para para = { 0 };

    say(p, &para, "the length in the table (");
    say_figure(p, &para, figure_length(p->c, p->e, part->length,
                                       part_source(p, part, "length")));
    for (int i = 0; i < 2; i++) {
        say(p, &para, i ? " and to the " : ") runs to the ");
        say(p, &para, length_to_name(part->ends[i].any ? part->ends[i].to
                                                       : TO_LONG));
        say(p, &para, " at the ");
        say(p, &para, sides[i]);
    }
    return para;
}

static double note_draw(Press *p, const Para *para, double x, double y,
                        double width, bool dry) {
    return dry ? item_height(p, width, STYLE_NOTE, para)
               : item_draw(p, x, y, width, STYLE_NOTE, ITEM_BULLET, 0, para);
}

static double notes_draw(Press *p, const Part *part, double x, double y,
                         double width, bool dry) {
    double height = 0;
    Para   fit    = { 0 };

    if (quantity_cmp(part->length, part->long_length) != 0) {
        Para para = length_note(p, part);
        height += note_draw(p, &para, x, y, width, dry);
    }
    if (say_fit(p, &fit, part))
        height += note_draw(p, &fit, x, y + height, width, dry);
    for (int i = 0; i < part->features.n; i++) {
        Para para;
        if (part->features.at[i].echo)
            continue;
        para = feature_note(p, part, &part->features.at[i]);
        height += note_draw(p, &para, x, y + height, width, dry);
    }
    for (int i = 0; i < p->m->weak.n; i++) {
        Para para;
        if (&p->m->parts.at[p->m->weak.at[i].part] != part)
            continue;
        para = weak_note(p, &p->m->weak.at[i]);
        height += note_draw(p, &para, x, y + height, width, dry);
    }
    return height;
}

/* ---- Views of the edge ---- */

/* Seen from the near edge: length across, thickness up. */
static Shape side_profile(Press *p, const Part *part) {
    Shape  s = { 0 };
    Loop  *l = PUSH(p->c, &s.loops);
    double L = part->long_length.real, T = part->thickness.real;
    double run[2];
    V2     v[4];

    for (int i = 0; i < 2; i++)
        run[i] = T * tan(part->ends[i].bevel.real * DEG);
    v[0] = v2(part->ends[0].long_back ? 0 : run[0], 0);
    v[1] = v2(L - (part->ends[1].long_back ? 0 : run[1]), 0);
    v[2] = v2(L - (part->ends[1].long_back ? run[1] : 0), T);
    v[3] = v2(part->ends[0].long_back ? run[0] : 0, T);
    for (int i = 0; i < 4; i++)
        loop_line_to(p->c, l, v[i], v[(i + 1) % 4]);
    return s;
}

/* Seen from the right end: width across, thickness up. */
static Shape end_profile(Press *p, const Part *part) {
    Shape  s = { 0 };
    Loop  *l = PUSH(p->c, &s.loops);
    double W = part->width.real, T = part->thickness.real;
    double near = T * tan(part->edges[0].bevel.real * DEG);
    double far  = T * tan(part->edges[1].bevel.real * DEG);
    V2     v[4];

    v[0] = v2(part->edges[0].long_back ? 0 : near, 0);
    v[1] = v2(W - (part->edges[1].long_back ? 0 : far), 0);
    v[2] = v2(W - (part->edges[1].long_back ? far : 0), T);
    v[3] = v2(part->edges[0].long_back ? near : 0, T);
    for (int i = 0; i < 4; i++)
        loop_line_to(p->c, l, v[i], v[(i + 1) % 4]);
    return s;
}

/* ---- Sections ---- */

/* A blind groove that runs along the whole part (or, `across`, over its
 * whole width) shows in the end (or the edge). */
static bool shows_in(const Part *part, const Feature *f, bool across) {
    return f->kind == FEATURE_GROOVE && feature_in_face(f)
        && f->depth.real > 0 && f->thick.real <= 0 && f->repeats == 0
        && feature_reach(part, f, across) == REACH_THROUGH
        && feature_reach(part, f, !across) != REACH_THROUGH;
}

static bool any_shows(const Part *part, bool across) {
    for (int i = 0; i < part->features.n; i++)
        if (shows_in(part, &part->features.at[i], across))
            return true;
    return false;
}

/* The profile without the grooves that show in it. */
static Shape grooved(Press *p, const Part *part, Shape s, bool across) {
    double T = part->thickness.real;

    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        bool   back = f->side == SIDE_BACK;
        double z0 = back ? -1 : T - f->depth.real;
        double z1 = back ? f->depth.real : T + 1;
        if (!shows_in(part, f, across))
            continue;
        for (int k = 0; k < f->count; k++) {
            V2     by = feature_copy(f, k);
            double u  = across ? f->x.real + by.x : f->y.real + by.y;
            double w  = across ? f->length.real : f->width.real;
            s = shape_subtract(p->c, s, shape_rect(p->c, v2(u, z0),
                                                   v2(u + w, z1)));
        }
    }
    return s;
}

/* A section is hatched, a view of the edge is not. */
static void draw_profile(Press *p, Shape s, const Place *pl, bool cut) {
    if (cut)
        draw_section(p, s, pl);
    else
        draw_shape(p, s, pl, PEN_OUTLINE, INK_PALE);
}

static bool any_bevel(const EndCut cuts[2]) {
    return cuts[0].bevel.real > 0 || cuts[1].bevel.real > 0;
}

/* An angle and the words that say which corner is the long point. */
static void point_leader(Press *p, V2 tip, bool right, double down,
                         Figure angle) {
    Para  label = para_figure(p, angle);
    V2    elbow = v2(tip.x + (right ? 5 : -5), tip.y + down);
    double side = right ? 1 : -1;

    dim_leader(p, tip, elbow, &label);
    words_at(p, "long point", v2(elbow.x + 4 * side, elbow.y + 4.6),
             right ? ALIGN_LEFT : ALIGN_RIGHT, STYLE_NOTE);
}

/* The angle between blade and board at a corner of a profile, at twice the
 * scale where the piece is thin. */
static void bevel_mark(Press *p, const EndCut *cut, V2 tip, bool right,
                       Str source) {
    if (cut->bevel.real > 0)
        point_leader(p, tip, right, -5,
                     figure_angle(p->c, cut->bevel, source));
}

static double draw_side(Press *p, const Part *part, const Place *face,
                        double y) {
    Place  pl  = *face;
    double T   = part->thickness.real;
    double k   = pl.scale;
    Str    src = part_source(p, part, "ends");

    pl.from = v2(0, 0);
    pl.at   = v2(face->at.x + (0 - face->from.x) * k, y + T * k);
    draw_profile(p, grooved(p, part, side_profile(p, part), true), &pl,
                 any_shows(part, true));
    words_at(p, any_shows(part, true)
             ? "cut along, seen from the near edge, show face up"
             : "seen from the near edge, show face up",
             v2(pl.at.x, y + T * k + 3.6), ALIGN_LEFT, STYLE_NOTE);
    bevel_mark(p, &part->ends[0], place_point(&pl, v2(0,
               part->ends[0].long_back ? 0 : T)), false, src);
    bevel_mark(p, &part->ends[1], place_point(&pl,
               v2(part->long_length.real, part->ends[1].long_back ? 0 : T)),
               true, src);
    return T * k + 8;
}

static double draw_end(Press *p, const Part *part, double x, double y,
                       double most) {
    Shape  s  = grooved(p, part, end_profile(p, part), false);
    double W  = part->width.real, T = part->thickness.real;
    double k  = fmin(most / W, fmin(2, 24 / T));
    Place  pl = { v2(0, 0), v2(x, y + T * k), k, false };
    Str    src = part_source(p, part, "edges");

    draw_profile(p, s, &pl, any_shows(part, false));
    words_at(p, any_shows(part, false)
             ? "cut across, seen from the right end, show face up, near edge "
               "left"
             : "seen from the right end, show face up, near edge left",
             v2(x, y + T * k + 3.6), ALIGN_LEFT, STYLE_NOTE);
    bevel_mark(p, &part->edges[0], place_point(&pl, v2(0,
               part->edges[0].long_back ? 0 : T)), false, src);
    bevel_mark(p, &part->edges[1], place_point(&pl, v2(W,
               part->edges[1].long_back ? 0 : T)), true, src);
    return T * k + 8;
}

/* ---- The face ---- */

/* Does a box of the page lie on the face of the part? */
static bool lies_inside(Press *p, const Part *part, const Place *pl,
                        Box2 on_page) {
    double k  = pl->scale;
    V2     lo = v2((on_page.min.x - pl->at.x) / k,
                   (pl->at.y - on_page.max.y) / k);
    V2     hi = v2((on_page.max.x - pl->at.x) / k,
                   (pl->at.y - on_page.min.y) / k);
    Shape  s  = shape_rect(p->c, lo, hi);

    return shape_area(shape_intersect(p->c, s, part->face))
         > shape_area(s) * 0.999;
}

#define SIGN_W 29.0   // of the arrow with its words
#define SIGN_H 10.0

/* Does a blind cut, or one in an edge, lie in a box of the page? */
static bool meets_cut(const Part *part, const Place *pl, Box2 on_page) {
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        if (!f->shape.loops.n)
            return true;   // in an edge: anywhere
        for (int k = 0; k < f->count; k++) {
            V2   by  = feature_copy(f, k);
            Box2 box = shape_box(f->shape);
            double r = f->sink.real / 2 + 1;
            box = place_box(pl, box2(box.min.x + by.x - r,
                                     box.min.y + by.y - r,
                                     box.max.x + by.x + r,
                                     box.max.y + by.y + r));
            if (box.min.x < on_page.max.x && box.max.x > on_page.min.x
                && box.min.y < on_page.max.y && box.max.y > on_page.min.y)
                return true;
        }
    }
    return false;
}

/* A free place in the face, from the left and below on; else above the
 * part or, where sizes stand there, below and left of it. */
static V2 sign_place(Press *p, const Part *part, const Place *pl,
                     bool above) {
    double L = part->long_length.real * pl->scale;
    double W = part->width.real * pl->scale;

    for (int row = 0; row < 4 && W > SIGN_H + 4 && L > SIGN_W + 4; row++)
        for (int col = 0; col < 6; col++) {
            V2   at = v2(pl->at.x + 3 + (L - SIGN_W - 6) * col / 5,
                         pl->at.y - 3 - (W - SIGN_H - 6) * row / 3);
            Box2 box = box2(at.x - 1, at.y - SIGN_H - 1, at.x + SIGN_W,
                            at.y + 1);
            if (lies_inside(p, part, pl, box) && !meets_cut(part, pl, box))
                return at;
        }
    return above ? v2(p->left - 1, pl->at.y + SIGN_H + 7)
                 : v2(pl->at.x, pl->at.y - W - 1.5);
}

/* The way of the grain, and which face is looked at. */
static void draw_sign(Press *p, const Part *part, const Place *pl,
                      bool above) {
    V2 at = sign_place(p, part, pl, above);
    V2 a  = v2(at.x + 1, at.y - 1.5), b = v2(a.x + 12, a.y);

    draw_line(p, a, b, PEN_FINE);
    draw_arrow(p, a, v2_sub(a, b), INK_BLACK);
    draw_arrow(p, b, v2_sub(b, a), INK_BLACK);
    words_at(p, "grain", v2(b.x + 1.5, b.y + 1), ALIGN_LEFT, STYLE_NOTE);
    words_at(p, "show face", v2(a.x, a.y - 2.6), ALIGN_LEFT, STYLE_NOTE);
}

static void overall_dims(Press *p, const Part *part, const Place *pl,
                         double below, double left) {
    double L = part->long_length.real, W = part->width.real;
    V2     a = place_point(pl, v2(0, 0)), b = place_point(pl, v2(L, 0));
    V2     d = place_point(pl, v2(0, W));
    Para   label = size_label(p, part->long_length,
                              part_source(p, part, "long"));

    dim_horizontal(p, a, b, a.y + below, &label);
    label = size_label(p, part->width, part_source(p, part, "width"));
    dim_vertical(p, a, d, a.x - left, &label);
}

static void miter_marks(Press *p, const Part *part, const Place *pl) {
    for (int i = 0; i < 2; i++) {
        const EndCut *cut = &part->ends[i];
        double L = i ? part->long_length.real : 0;
        V2     tip = v2(L, cut->long_near ? 0 : part->width.real);
        if (cut->miter.real > 0)
            point_leader(p, place_point(pl, tip), i, cut->long_near ? 6 : -6,
                         figure_angle(p->c, cut->miter,
                                      part_source(p, part, "miter")));
    }
}

/* ---- Radii ---- */

/* A leader to the middle of each arc whose radius was not given yet;
 * `middle` of the part on the page. */
static void radius_marks(Press *p, const Loop *loop, const Place *pl,
                         V2 middle, Str source) {
    for (int i = 0; i < loop->n; i++) {
        const Seg *arc = &loop->at[i];
        double     r   = v2_len(v2_sub(arc->a, arc->center)), cos_h, sin_h;
        V2         to, at;
        Para       label = { 0 };
        Figure     figure;
        if (!radius_is_new(loop, i))
            continue;
        cos_h = cos(arc->sweep / 2);
        sin_h = sin(arc->sweep / 2);
        to    = v2_sub(arc->a, arc->center);
        to    = v2(to.x * cos_h - to.y * sin_h, to.x * sin_h + to.y * cos_h);
        at    = place_point(pl, v2_add(arc->center, to));
        to    = v2_sub(place_point(pl, arc->center), at);
        to    = v2_scale(to, 8 / fmax(v2_len(to), 1e-6));
        if (v2_dot(to, v2_sub(middle, at)) < 0)
            to = v2_scale(to, -1);   // into the part, off its edges
        figure = figure_length(p->c, p->e, quantity_mm(r), source);
        if (radius_is_implied(arc)) {
            say(p, &label, "(R ");
            say_bare(p, &label, figure);
            say(p, &label, ")");
        } else {
            label = label_radius(p, figure);
        }
        dim_leader(p, at, v2_add(at, to), &label);
    }
}

static void all_radii(Press *p, const Part *part, const Place *pl) {
    V2 middle = place_point(pl, v2(part->long_length.real / 2,
                                   part->width.real / 2));

    if (part->outlined)
        radius_marks(p, &part->outline.loops.at[0], pl, middle,
                     part_source(p, part, "outline"));
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        if (f->kind == FEATURE_CUTOUT)
            radius_marks(p, &f->shape.loops.at[0], pl, middle,
                         part_source(p, part, "cutout"));
    }
}

/* A face is never drawn larger than it is. */
static void say_scale(Press *p, Para *para, double scale) {
    if (scale > 0.999) {
        say(p, para, ", true size");
        return;
    }
    say(p, para, ", drawn at one to ");
    say_figure(p, para, figure_number(p->c, 1 / scale, 1, "",
                                      STR("scale of the drawing")));
}

static void part_title(Press *p, const Part *part, int index,
                       double scale) {
    Para para = { 0 }, thick = { 0 };

    say_letter(p, &para, index);
    say(p, &para, " ");
    say_author_bold(p, &para, part->name, part_source(p, part, "name"));
    para_at(p, &para, v2(p->left, p->y + 6), ALIGN_LEFT, STYLE_LEAD);
    say_count(p, &thick, part->quantity, "pieces placed");
    say(p, &thick, part->quantity > 1 ? " pieces, " : " piece, ");
    say_figure(p, &thick, figure_length(p->c, p->e, part->thickness,
                                        part_source(p, part, "thickness")));
    say(p, &thick, " thick, ");
    say_stock(p, &thick, &p->m->stocks.at[part->stock]);
    say_scale(p, &thick, scale);
    para_at(p, &thick, v2(p->left + TEXT_W, p->y + 6), ALIGN_RIGHT,
            STYLE_NOTE);
    draw_line(p, v2(p->left, p->y + 8.2), v2(p->left + TEXT_W, p->y + 8.2),
              (Pen){ INK_PALE, 0.25, DASH_SOLID });
    p->y += 11.25;
}

/* Room that one drawing takes: what is fixed, and the face at a scale. */
typedef struct { double scale, height, below, notes; bool side, end; } Plan;

static Plan plan_drawing(Press *p, const Part *part) {
    double L = part->long_length.real, W = part->width.real;
    double room_w = TEXT_W - 26 - 24;
    Plan   plan;

    plan.side  = any_bevel(part->ends) || any_shows(part, true);
    plan.end   = any_bevel(part->edges) || any_shows(part, false);
    plan.scale = fmin(room_w / L, fmin(66 / W, 1));
    plan.notes = notes_draw(p, part, 0, 0, TEXT_W - 10, true);
    plan.below = 24 + (part->outlined ? ABOVE_H : 0);
    plan.height = 11.25 + 8 + W * plan.scale + plan.below + plan.notes + 6;
    if (plan.side)
        plan.height += part->thickness.real * plan.scale + 12;
    if (plan.end)
        plan.height += fmin(24, 2 * part->thickness.real) + 12;
    return plan;
}

void part_drawing(Press *p, int index) {
    const Part *part = &p->m->parts.at[index];
    Plan   plan = plan_drawing(p, part);
    double W = part->width.real, k = plan.scale;
    Marks  marks = { .middle_y = part->width.real * 0.6 };
    PartSizes sizes;
    Place  pl;
    Box2   box;
    double down, up;

    page_need(p, plan.height);
    p->refs->part[index].drawing = p->page;
    part_title(p, part, index, k);
    pl = (Place){ v2(0, 0), v2(p->left + 26, p->y + 8 + W * k), k, false };
    sizes = part_sizes(p, part);
    mark_sizes(p, &sizes, &marks, &pl);
    up = marks.above.n ? ABOVE_H : 0;
    pl.at.y += up;
    for (int i = 0; i < marks.above.n; i++)
        marks.above.at[i].b.y += up;
    for (int i = 0; i < marks.x.n; i++)
        marks.x.at[i].b.y += up;
    for (int i = 0; i < marks.y.n; i++)
        marks.y.at[i].b.y += up;
    draw_shape(p, part->face, &pl, PEN_OUTLINE, INK_WHITE);
    draw_part_cuts(p, part, &pl);
    draw_sign(p, part, &pl, marks.above.n > 0);
    box  = box2(pl.at.x, pl.at.y - W * k,
                pl.at.x + part->long_length.real * k, pl.at.y);
    down = 0;
    if (marks.x.n)
        down = dims_running(p, DIM_BELOW, box, pl.at, marks.x.at, marks.x.n,
                            6);
    if (marks.above.n)
        dims_running(p, DIM_ABOVE, box, pl.at, marks.above.at,
                     marks.above.n, 6);
    if (marks.y.n)
        dims_running(p, DIM_RIGHT, box, pl.at, marks.y.at, marks.y.n, 6);
    overall_dims(p, part, &pl, fmax(down + 5, 9), 10);
    miter_marks(p, part, &pl);
    all_radii(p, part, &pl);
    p->y = pl.at.y + fmax(down + 5, 9) + 6;
    if (plan.side)
        p->y += draw_side(p, part, &pl, p->y + 2) + 4;
    if (plan.end)
        p->y += draw_end(p, part, pl.at.x, p->y + 2, TEXT_W - 60) + 4;
    p->y += notes_draw(p, part, p->left, p->y, TEXT_W - 10, false);
    space_down(p, BASE_LINE);
}

void press_part_drawings(Press *p) {
    Para para;
    int  first = 0;

    while (first < p->m->parts.n
           && !part_is_drawn(&p->m->parts.at[first]))
        first++;
    if (first == p->m->parts.n)
        return;
    section_begin(p, SECTION_DRAWINGS, HEADING_H
                  + plan_drawing(p, &p->m->parts.at[first]).height);
    bookmark(p, STR("Part drawings"), 0);
    heading(p, STR("Part drawings"), SIZE_HEAD);
    para = para_of(p, "Each part is seen on its show face, near edge below, "
        "left end at the left. Sizes at the edge run from the lower left "
        "corner; dashed lines are worked from the back.");
    flow_para(p, 0, TEXT_W, STYLE_TEXT, &para);
    space_down(p, HALF_LINE);
    for (int i = 0; i < p->m->parts.n; i++) {
        if (part_is_drawn(&p->m->parts.at[i]))
            part_drawing(p, i);
    }
}
