/* part_views -- beside the face, a part is seen on its near edge or its
 * right end, but only where that tells more: slanted ends and edges, cuts
 * through its thickness or in its edges. Grooves that run all through show
 * in a section, hatched.
 *
 *     +--------+==+     across: the length (or the width)
 *     |        |  |     up: the thickness, with its places from the back
 *     +--------+--+     face
 */
#include "press/sections.h"

#include <math.h>

#define DEG (3.14159265358979323846 / 180)
#define END_H 24.0   // room for a view of the end

static bool any_bevel(const EndCut cuts[2]) {
    return cuts[0].bevel.real > 0 || cuts[1].bevel.real > 0;
}

/* ---- What a view shows ---- */

/* A blind cut over the whole width shows in the edge, one along the whole
 * length in the end: a groove, a lap, the shoulder of a tenon. */
SizeView feature_depth_view(const Part *part, const Feature *f) {
    bool x, y;

    if (f->kind != FEATURE_GROOVE || !feature_in_face(f)
        || f->depth.real <= 0 || f->repeats > 0)
        return VIEW_FACE;
    x = feature_reach(part, f, false) == REACH_THROUGH;
    y = feature_reach(part, f, true) == REACH_THROUGH;
    return x == y ? VIEW_FACE : y ? VIEW_EDGE : VIEW_END;
}

/* Cuts in edges and ends have their x along these. */
Along cut_along(const Feature *f, int copy, SizeView view) {
    bool   across = feature_in_face(f) && view == VIEW_END;
    V2     by     = feature_copy(f, copy);
    double from   = across ? f->y.real + by.y : f->x.real + by.x;
    double size   = f->kind == FEATURE_HOLE ? 0
                  : across ? f->width.real : f->length.real;

    return (Along){ from, from + size };
}

static bool is_in_edge(const Feature *f, SizeView view) {
    return f->kind <= FEATURE_NOTCH && !feature_in_face(f)
        && (f->side >= SIDE_LEFT) == (view == VIEW_END);
}

static bool is_section(const Part *part, SizeView view) {
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        if (f->thick.real <= 0 && feature_depth_view(part, f) == view)
            return true;
    }
    return false;
}

bool view_is_needed(const Part *part, SizeView view) {
    if (any_bevel(view == VIEW_EDGE ? part->ends : part->edges))
        return true;
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        if (feature_depth_view(part, f) == view || is_in_edge(f, view))
            return true;
    }
    return false;
}

/* Is something told that lies behind? Then it is dashed. */
static bool any_behind(const Part *part, SizeView view) {
    Side behind = view == VIEW_EDGE ? SIDE_FAR : SIDE_LEFT;

    for (int i = 0; i < part->features.n; i++)
        if (is_in_edge(&part->features.at[i], view)
            && part->features.at[i].side == behind)
            return true;
    return false;
}

static double across_of(const Part *part, SizeView view) {
    return view == VIEW_EDGE ? part->long_length.real : part->width.real;
}

/* ---- At what scale ---- */

#define THIN_H   5.0    // an edge drawn thinner than this is drawn larger
#define LARGE_H  9.0
#define WHOLE_W 120.0   // an edge no longer than this needs no break
#define SHOWN_W 48.0    // else so much of both ends is seen
#define BREAK_W  8.0    // between them

/* Does all that is told in the edge lie near its ends? */
static bool at_ends(const Part *part, double reach) {
    double U = part->long_length.real;

    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        if (feature_depth_view(part, f) != VIEW_EDGE
            && !is_in_edge(f, VIEW_EDGE))
            continue;
        for (int k = 0; k < f->count; k++) {
            Along s = cut_along(f, k, VIEW_EDGE);
            if (s.to > reach && s.from < U - reach)
                return false;
        }
    }
    return true;
}

/* The edge stands under the face, to its scale. Of one too thin to be read
 * both ends are drawn larger, and the middle is left out. */
ViewPlan view_plan(const Part *part, SizeView view, double face) {
    double   T    = part->thickness.real;
    ViewPlan plan = { face, 0 };

    if (view == VIEW_END) {
        plan.scale = neat_scale(fmin((TEXT_W - 60) / part->width.real,
                                     END_H / T));
    } else if (T * face < THIN_H) {
        double k = neat_scale(fmin(LARGE_H / T, 1));
        if (part->long_length.real * k <= WHOLE_W) {
            plan.scale = k;
        } else if (at_ends(part, SHOWN_W * 0.8 / k)) {
            plan.scale = k;
            plan.shown = SHOWN_W / k;
        }
    }
    return plan;
}

Place view_place(const Part *part, SizeView view, const ViewPlan *plan,
                 V2 at, bool high) {
    Place pl = { v2(0, 0), at, plan->scale, false };

    if (plan->shown > 0 && high) {
        pl.from.x = across_of(part, view);
        pl.at.x  += 2 * SHOWN_W + BREAK_W;
    }
    return pl;
}

/* ---- Sections ---- */

static Shape profile(Press *p, const Part *part, SizeView view) {
    const EndCut *cuts = view == VIEW_EDGE ? part->ends : part->edges;
    Shape  s = { 0 };
    Loop  *l = PUSH(p->c, &s.loops);
    double U = across_of(part, view), T = part->thickness.real;
    double run[2] = { T * tan(cuts[0].bevel.real * DEG),
                      T * tan(cuts[1].bevel.real * DEG) };
    bool   back[2] = { cuts[0].long_back, cuts[1].long_back };
    V2     v[4] = { v2(back[0] ? 0 : run[0], 0),
                    v2(U - (back[1] ? 0 : run[1]), 0),
                    v2(U - (back[1] ? run[1] : 0), T),
                    v2(back[0] ? run[0] : 0, T) };

    for (int i = 0; i < 4; i++)
        loop_line_to(p->c, l, v[i], v[(i + 1) % 4]);
    return s;
}

/* What a chamfer or a round edge takes off the section, with some air:
 *
 *     +-----+  air       in: 1 or -1, from the edge at u into the wood
 *     |   __+ face       down: 1 or -1, from the face at z into the wood
 *     |  /  :
 *     +-+...:
 *       u
 */
static Shape arris_waste(Press *p, const Feature *f, double u, double in,
                         double z, double down) {
    double w = f->width.real;
    double d = f->kind == FEATURE_ROUND ? w : f->drop.real;
    V2     face = v2(u + in * w, z), edge = v2(u, z + down * d);
    V2     air[3] = { v2(face.x, z - down), v2(u - in, z - down),
                      v2(u - in, edge.y) };
    Shape  s = { 0 };
    Loop  *l = PUSH(p->c, &s.loops);

    if (f->kind == FEATURE_ROUND)
        *PUSH(p->c, l) = seg_arc(edge, face, v2(face.x, edge.y),
                                 in * down * DEG * 90);
    else
        loop_line_to(p->c, l, edge, face);
    loop_line_to(p->c, l, face, air[0]);
    loop_line_to(p->c, l, air[0], air[1]);
    loop_line_to(p->c, l, air[1], air[2]);
    loop_line_to(p->c, l, air[2], edge);
    return s;
}

/* Chamfers and round edges on both sides of the section; edges that lean
 * are left as they are. */
static Shape less_arrises(Press *p, const Part *part, SizeView view,
                          Shape s) {
    const EndCut *cuts  = view == VIEW_EDGE ? part->ends : part->edges;
    int           first = view == VIEW_EDGE ? ARRIS_LEFT : ARRIS_NEAR;

    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        bool back = f->side == SIDE_BACK;
        for (int k = 0; k < 2 && f->kind >= FEATURE_CHAMFER; k++)
            if (f->on[first + k] && cuts[k].bevel.real == 0)
                s = shape_subtract(p->c, s, arris_waste(p, f,
                        k ? across_of(part, view) : 0, k ? -1 : 1,
                        back ? 0 : part->thickness.real, back ? 1 : -1));
    }
    return s;
}

/* Less the cuts that show in the view. */
static Shape section(Press *p, const Part *part, SizeView view) {
    double T = part->thickness.real;
    Shape  s = less_arrises(p, part, view, profile(p, part, view));

    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        bool   back = f->side == SIDE_BACK;
        double z0 = back ? -1 : T - f->depth.real;
        double z1 = back ? f->depth.real : T + 1;
        if (feature_depth_view(part, f) != view)
            continue;
        for (int k = 0; k < f->count; k++) {
            Along cut = cut_along(f, k, view);
            s = shape_subtract(p->c, s, shape_rect(p->c, v2(cut.from, z0),
                                                   v2(cut.to, z1)));
        }
    }
    return s;
}

/* ---- Drawing ---- */

/* What is seen of a view, along it. */
typedef struct { double from, to; } Window;

static bool clip_line(Line2 *line, Window w) {
    V2     d  = v2_sub(line->b, line->a), a = line->a;
    double t0 = 0, t1 = 1;

    if (fabs(d.x) < 1e-9)
        return a.x >= w.from && a.x <= w.to;
    t0 = fmax(0, fmin((w.from - a.x) / d.x, (w.to - a.x) / d.x));
    t1 = fmin(1, fmax((w.from - a.x) / d.x, (w.to - a.x) / d.x));
    line->a = v2_add(a, v2_scale(d, t0));
    line->b = v2_add(a, v2_scale(d, t1));
    return t0 < t1;
}

/* What is seen from that side, to any scale: measuring a drawing asks for it
 * at each of its sizes. */
static const Picture *picture_of(Press *p, const Part *part, SizeView view) {
    bool      end   = view == VIEW_END;
    Picture **known = &p->seen[2 * (part - p->m->parts.at) + end];
    Camera    cam   = { end ? v3(1, 0, 0) : v3(0, -1, 0), v3(0, 0, 1) };
    Body      body  = { part->solid, FRAME_WORLD, 0, false, false };

    if (!*known) {
        Picture *seen = NEW(p->c, Picture);
        *seen  = picture_draw(p->c, &body, 1, NULL, 0, &cam,
                              any_behind(part, view));
        *known = seen;
    }
    return *known;
}

static void draw_seen(Press *p, const Part *part, SizeView view,
                      const Place *pl, Window w) {
    const Picture *all  = picture_of(p, part, view);
    Picture        seen = *all;

    seen.lines.at = NULL;
    seen.lines.n  = seen.lines.cap = 0;
    for (int i = 0; i < all->lines.n; i++) {
        Line2 line = all->lines.at[i];
        if (clip_line(&line, w))
            *PUSH(p->c, &seen.lines) = line;
    }
    picture_draw_at(p, &seen, pl, (PictureLook){ 0 });
}

/* Outlined but for where the wood goes on. */
static void draw_cut(Press *p, const Part *part, SizeView view,
                     const Place *pl, Window w) {
    double T = part->thickness.real;
    Shape  s = shape_intersect(p->c, section(p, part, view),
                               shape_rect(p->c, v2(w.from, -1),
                                          v2(w.to, T + 1)));

    draw_hatching(p, s, pl);
    for (int i = 0; i < s.loops.n; i++)
        for (int k = 0; k < s.loops.at[i].n; k++) {
            const Seg *seg = &s.loops.at[i].at[k];
            bool on = fabs(seg->a.x - seg->b.x) < 1e-3
                   && (fabs(seg->a.x - w.from) < 1e-3
                       || fabs(seg->a.x - w.to) < 1e-3);
            if (!on)
                draw_strokes(p, seg, 1, pl, PEN_OUTLINE);
        }
}

/* A thin line with a zigzag (ISO 128-2, from memory). */
static void draw_break(Press *p, V2 foot, double high) {
    double mid = foot.y - high / 2;
    V2     v[] = { v2(foot.x, foot.y + 1), v2(foot.x, mid + 1.2),
                   v2(foot.x + 1.2, mid + 0.5),
                   v2(foot.x - 1.2, mid - 0.5), v2(foot.x, mid - 1.2),
                   v2(foot.x, foot.y - high - 1) };

    draw_polyline(p, v, COUNT(v), false, PEN_THIN, INK_NONE);
}

static void caption(Press *p, const Part *part, SizeView view, V2 at,
                    const ViewPlan *plan, double face) {
    Para para = { 0 };

    if (is_section(part, view))
        say(p, &para, view == VIEW_EDGE ? "cut along, " : "cut across, ");
    say(p, &para, view == VIEW_EDGE
        ? "seen from the near edge, show face up"
        : "seen from the right end, show face up, near edge left");
    if (plan->shown > 0)
        say(p, &para, ", the middle left out");
    if (view == VIEW_END || plan->scale != face) {
        say(p, &para, ", ");
        say_scale(p, &para, plan->scale);
    }
    para_at(p, &para, at, ALIGN_LEFT, STYLE_NOTE);
}

/* Places through the thickness, from the back face, at one side. */
static void depths(Press *p, const Part *part, const PartSizes *sizes,
                   SizeView view, const Place *pl, Box2 box, bool left) {
    Dim1 *dims = NEW_N(p->c, Dim1, sizes->n + 1);
    int   n    = 0;

    for (int i = 0; i < sizes->n; i++) {
        const PartSize *s = &sizes->at[i];
        if (!s->running || s->view != view || size_to_left(part, s) != left)
            continue;
        dims[n].b = place_point(pl, s->led);
        dims[n++].label = para_bare(p, figure_length(p->c, p->e, s->value,
                                                     s->source));
    }
    if (n)
        dims_running(p, left ? DIM_LEFT : DIM_RIGHT, box, &pl->at, dims, n,
                     6);
}

void draw_part_view(Press *p, const Part *part, const PartSizes *sizes,
                    SizeView view, V2 at, const ViewPlan *plan,
                    double face) {
    double U = across_of(part, view), T = part->thickness.real;
    bool   broken = plan->shown > 0;
    Box2   box = box2(at.x, at.y - T * plan->scale,
                      at.x + (broken ? 2 * SHOWN_W + BREAK_W
                                     : U * plan->scale), at.y);

    for (int high = 0; high <= broken; high++) {
        Place  pl = view_place(part, view, plan, at, high);
        Window w  = { -1, U + 1 };
        if (broken)
            w = high ? (Window){ U - plan->shown, U + 1 }
                     : (Window){ -1, plan->shown };
        if (is_section(part, view))
            draw_cut(p, part, view, &pl, w);
        else
            draw_seen(p, part, view, &pl, w);
        if (broken)
            draw_break(p, place_point(&pl, v2(high ? w.from : w.to, 0)),
                       T * plan->scale);
    }
    for (int left = 0; left < 2; left++) {
        Place pl = view_place(part, view, plan, at, !left);
        depths(p, part, sizes, view, &pl, box, left);
    }
    caption(p, part, view, v2(at.x, at.y + 5), plan, face);
}
