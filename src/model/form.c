/* form -- the solid of a part: blank, through cuts, depth cuts, end cuts.
 *
 * The blank's outline loses all cuts that run through. The thickness is
 * then sliced where a groove or blind hole begins or ends; each slice is a
 * prism of the outline less the cuts that reach into it. Last come the
 * slanted things: end cuts, edge bevels, holes in edges, pocket holes.
 */
#include "model/model_internal.h"

#include <math.h>

#define DEG          (3.14159265358979323846 / 180)
#define POCKET_ANGLE 15.0   // degrees from the face; trade-figures 5.4

/* The z range of a cut that is worked from a face. */
typedef struct { double z0, z1; } Reach;

static Reach reach_of(const Part *part, const Feature *f) {
    double t = part->thickness.real, d = f->depth.real;

    if (d <= 0 || d >= t)
        return (Reach){ 0, t };
    if (f->side == SIDE_BACK)
        return (Reach){ 0, d };
    return (Reach){ t - d, t };
}

static bool is_through(const Part *part, const Feature *f) {
    Reach r = reach_of(part, f);
    return r.z0 <= 0 && r.z1 >= part->thickness.real;
}

static Shape less_feature(Build *b, Shape s, const Feature *f) {
    for (int i = 0; i < f->count; i++) {
        s = shape_subtract(b->c, s, shape_move(b->c, f->shape,
                                               feature_copy(f, i)));
    }
    return s;
}

static Shape through_shape(Build *b, const Part *part) {
    Shape s = part->outline;

    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        if (f->shape.loops.n && is_through(part, f))
            s = less_feature(b, s, f);
    }
    return s;
}

/* ---- Slices ---- */

typedef LIST(double) Levels;

static int by_number(const void *pa, const void *pb, const void *with) {
    double a = *(const double *)pa, b = *(const double *)pb;

    (void)with;
    return (a > b) - (a < b);
}

static Levels slice_levels(Build *b, const Part *part) {
    Levels all = { 0 }, once = { 0 };

    *PUSH(b->c, &all) = 0;
    *PUSH(b->c, &all) = part->thickness.real;
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        Reach r = reach_of(part, f);
        if (f->shape.loops.n) {
            *PUSH(b->c, &all) = r.z0;
            *PUSH(b->c, &all) = r.z1;
        }
    }
    list_sort(b->c, all.at, all.n, sizeof *all.at, by_number, NULL);
    for (int i = 0; i < all.n; i++) {
        if (once.n == 0 || all.at[i] > once.at[once.n - 1] + 1e-6)
            *PUSH(b->c, &once) = all.at[i];
    }
    return once;
}

static void add_slices(Build *b, const Part *part, Shape through,
                       Solid *solid, int *next_curve) {
    Levels z = slice_levels(b, part);

    for (int k = 0; k + 1 < z.n; k++) {
        double middle = (z.at[k] + z.at[k + 1]) / 2;
        Slab   slab   = { through, z.at[k], z.at[k + 1] };
        for (int i = 0; i < part->features.n; i++) {
            const Feature *f = &part->features.at[i];
            Reach r = reach_of(part, f);
            if (f->shape.loops.n && !is_through(part, f) && middle > r.z0
                && middle < r.z1)
                slab.shape = less_feature(b, slab.shape, f);
        }
        if (slab.shape.loops.n)
            solid_add_slab(b->c, solid, &slab, SAGITTA_MM, next_curve);
    }
}

/* ---- End cuts as planes ---- */

/* The right end, long point far and on the show face:
 *     x <= L - (W - y) tan(miter) - (T - z) tan(bevel) / cos(miter)
 * and the others by mirroring. */
static Plane end_plane(const Part *part, int end) {
    const EndCut *cut = &part->ends[end];
    double m  = tan(cut->miter.real * DEG);
    double v  = tan(cut->bevel.real * DEG) / cos(cut->miter.real * DEG);
    double ky = cut->long_near ? m : -m;   // of y
    double kz = cut->long_back ? v : -v;
    double at = cut->long_near ? 0 : part->width.real * m;
    double az = cut->long_back ? 0 : part->thickness.real * v;
    double L  = part->long_length.real;
    V3     n  = v3(1, ky, kz);
    double d  = L - at - az;
    double k;

    if (end == 0) {   // mirror in x = L / 2
        n.x = -1;
        d   = -at - az;
    }
    k = 1 / v3_len(n);
    return (Plane){ v3_scale(n, k), d * k, 0 };
}

/* The far edge, long on the show face: y <= W - (T - z) tan(bevel). */
static Plane edge_plane(const Part *part, int edge) {
    const EndCut *cut = &part->edges[edge];
    double v  = tan(cut->bevel.real * DEG);
    double az = cut->long_back ? 0 : part->thickness.real * v;
    V3     n  = v3(0, edge ? 1 : -1, cut->long_back ? v : -v);
    double d  = (edge ? part->width.real : 0) - az;
    double k  = 1 / v3_len(n);

    return (Plane){ v3_scale(n, k), d * k, 0 };
}

static void cut_ends(Build *b, const Part *part, Solid *solid) {
    for (int i = 0; i < 2; i++) {
        if (part->ends[i].any)
            solid_cut(b->c, solid, end_plane(part, i));
        if (part->edges[i].any)
            solid_cut(b->c, solid, edge_plane(part, i));
    }
}

/* ---- Holes in edges and ends, pocket holes ---- */

static void drill(Build *b, Solid *solid, V3 p, V3 dir, double diameter,
                  double depth, int *next_curve) {
    Plane *planes;
    V3     from = v3_sub(p, v3_scale(dir, 0.5));
    int    n    = tool_cylinder(b->c, from, dir, diameter / 2, depth + 0.5,
                                SAGITTA_MM, next_curve, &planes);

    solid_subtract(b->c, solid, planes, n);
}

/* A cone that is as wide as it says where p is and as wide as the hole
 * below, and goes on a little inside the hole so that no sliver is left;
 * above p it widens on, in the air.
 *
 *     ----.       .----  p
 *          \     /
 *           |   |
 */
static void sink_cone(Build *b, const Feature *f, Solid *solid, V3 p, V3 dir,
                      int *next_curve) {
    double R = f->sink.real / 2, half = f->sink_angle.real / 2 * DEG;
    double deep = (R - f->diameter.real / 2 + 0.1) / tan(half);
    Plane *cone;
    int    n = tool_cylinder(b->c, v3_sub(p, v3_scale(dir, 0.5)), dir, R,
                             deep + 0.5, SAGITTA_MM, next_curve, &cone);

    for (int i = 2; i < n; i++) {   // lean each facet inward about z = p
        double in = cone[i].d - v3_dot(cone[i].n, p);
        V3     nor = v3_add(v3_scale(cone[i].n, cos(half)),
                            v3_scale(dir, sin(half)));
        cone[i].n = nor;
        cone[i].d = v3_dot(nor, p) + in * cos(half);
    }
    solid_subtract(b->c, solid, cone, n);
}

/* Countersinks of holes in the faces. */
static void sink_holes(Build *b, const Part *part, const Feature *f,
                       Solid *solid, int *next_curve) {
    bool back = f->side == SIDE_BACK;

    for (int i = 0; i < f->count; i++) {
        V2 at = v2_add(v2(f->x.real, f->y.real), feature_copy(f, i));
        sink_cone(b, f, solid,
                  v3(at.x, at.y, back ? 0 : part->thickness.real),
                  v3(0, 0, back ? 1 : -1), next_curve);
    }
}

static void drill_edge(Build *b, const Part *part, const Feature *f,
                       Solid *solid, int *next_curve) {
    double L = part->long_length.real, W = part->width.real;
    bool   end = f->side >= SIDE_LEFT;
    double through = end ? L : W;
    double depth = f->depth.real > 0 ? f->depth.real : through + 1;

    for (int i = 0; i < f->count; i++) {
        V2     by = feature_copy(f, i);
        double u = f->x.real + by.x;
        double v = f->y.real + by.y;
        V3     p, dir;
        switch (f->side) {
        case SIDE_NEAR:  p = v3(u, 0, v); dir = v3(0, 1, 0);  break;
        case SIDE_FAR:   p = v3(u, W, v); dir = v3(0, -1, 0); break;
        case SIDE_LEFT:  p = v3(0, u, v); dir = v3(1, 0, 0);  break;
        case SIDE_RIGHT: p = v3(L, u, v); dir = v3(-1, 0, 0); break;
        case SIDE_SHOW:
        case SIDE_BACK:
        default: return;
        }
        drill(b, solid, p, dir, f->diameter.real, depth, next_curve);
        if (f->sink.real > 0)
            sink_cone(b, f, solid, p, dir, next_curve);
    }
}

/* ---- Mortises in edges and ends ---- */

static void take_box(Build *b, Solid *solid, V3 lo, V3 hi) {
    Plane box[6] = {
        { { -1, 0, 0 }, -lo.x, 0 }, { { 1, 0, 0 }, hi.x, 0 },
        { { 0, -1, 0 }, -lo.y, 0 }, { { 0, 1, 0 }, hi.y, 0 },
        { { 0, 0, -1 }, -lo.z, 0 }, { { 0, 0, 1 }, hi.z, 0 },
    };

    solid_subtract(b->c, solid, box, 6);
}

static void chop_mortise(Build *b, const Part *part, const Feature *f,
                         Solid *solid) {
    bool   end  = f->side >= SIDE_LEFT;
    bool   high = f->side == SIDE_RIGHT || f->side == SIDE_FAR;
    double size = end ? part->long_length.real : part->width.real;
    double deep = f->depth.real > 0 ? f->depth.real : size + 1;
    double from = high ? size - deep : -1, to = high ? size + 1 : deep;

    for (int i = 0; i < f->count; i++) {
        V2 by = feature_copy(f, i);
        V2 lo = v2_add(v2(f->x.real, f->y.real), by);
        V2 hi = v2_add(lo, v2(f->length.real, f->width.real));
        if (end)
            take_box(b, solid, v3(from, lo.x, lo.y), v3(to, hi.x, hi.y));
        else
            take_box(b, solid, v3(lo.x, from, lo.y), v3(hi.x, to, hi.y));
    }
}

/* ---- Chamfers ---- */

/* The edge of a face is the line where the plane of an end or edge meets
 * it; the chamfer begins its width inside that line, and ends its height
 * down the edge. */
static Plane chamfer_plane(const Part *part, const Feature *f, int edge) {
    bool   back = f->side == SIDE_BACK;
    Plane  p = edge < 2 ? edge_plane(part, edge) : end_plane(part, edge - 2);
    double z = back ? 0 : part->thickness.real;
    double k = v2_len(v2(p.n.x, p.n.y));
    V3     u = v3(p.n.x / k, p.n.y / k, 0);
    double at = (p.d - p.n.z * z) / k - f->width.real;
    V3     n = v3_add(v3_scale(u, 1 / f->width.real),
                      v3(0, 0, (back ? -1 : 1) / f->drop.real));
    double d = at / f->width.real + (back ? -z : z) / f->drop.real;

    k = 1 / v3_len(n);
    return (Plane){ v3_scale(n, k), d * k, 0 };
}

static void cut_chamfers(Build *b, const Part *part, Solid *solid) {
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        for (int k = 0; k < 4; k++) {
            if (f->kind == FEATURE_CHAMFER && f->on[k])
                solid_cut(b->c, solid, chamfer_plane(part, f, k));
        }
    }
}

/* The bore of a pocket hole: its axis would leave the end in the middle of
 * the thickness, 15° from the face; the bore stops before the end so that
 * the screw head has wood to bear on (two thirds of the bore's exit). */
void pocket_bore(const Part *part, const Feature *f, int copy, V3 *seat,
                 V3 *out) {
    double a = POCKET_ANGLE * DEG, t = part->thickness.real;
    double shoulder = t / 2 / tan(a) * 0.55;
    bool   along_x  = f->side >= SIDE_LEFT;
    bool   high     = f->side == SIDE_RIGHT || f->side == SIDE_FAR;
    double size     = along_x ? part->long_length.real : part->width.real;
    V2     by = feature_copy(f, copy);
    double v  = f->y.real + (along_x ? by.y : by.x);
    double u  = high ? size - shoulder : shoulder;
    double du = (high ? -1 : 1) * cos(a);
    double z  = t / 2 - shoulder * tan(a);

    *seat = along_x ? v3(u, v, z) : v3(v, u, z);
    *out  = along_x ? v3(du, 0, -sin(a)) : v3(0, du, -sin(a));
}

static void drill_pocket(Build *b, const Part *part, const Feature *f,
                         Solid *solid, int *next_curve) {
    double depth = part->thickness.real / sin(POCKET_ANGLE * DEG);

    for (int i = 0; i < f->count; i++) {
        V3     p, dir;
        Plane *planes;
        int    n;
        pocket_bore(part, f, i, &p, &dir);
        n = tool_cylinder(b->c, p, dir, f->diameter.real / 2, depth,
                          SAGITTA_MM, next_curve, &planes);
        solid_subtract(b->c, solid, planes, n);
    }
}

static void drill_slanted(Build *b, const Part *part, Solid *solid,
                          int *next_curve) {
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        if (f->kind == FEATURE_POCKET)
            drill_pocket(b, part, f, solid, next_curve);
        else if (f->kind == FEATURE_HOLE && f->shape.loops.n == 0)
            drill_edge(b, part, f, solid, next_curve);
        else if (f->kind == FEATURE_HOLE && f->sink.real > 0)
            sink_holes(b, part, f, solid, next_curve);
        else if (f->kind == FEATURE_GROOVE && f->side > SIDE_BACK)
            chop_mortise(b, part, f, solid);
    }
}

/* ---- The faces as patterns ---- */

/* What is left of the plan view on one face after ends and edges are cut:
 * each plane meets the face in a line; what lies outside it goes. */
static Shape face_outline(Build *b, const Part *part, Shape s, double z) {
    double big = part->long_length.real + part->width.real + 100;

    for (int i = 0; i < 4; i++) {
        bool  is_end = i < 2;
        bool  any = is_end ? part->ends[i].any : part->edges[i - 2].any;
        Plane p;
        V2    n, u, on;
        Shape keep = { 0 };
        Loop *l;
        if (!any)
            continue;
        p  = is_end ? end_plane(part, i) : edge_plane(part, i - 2);
        n  = v2(p.n.x, p.n.y);
        on = v2_scale(n, (p.d - p.n.z * z) / v2_dot(n, n));
        n  = v2_scale(n, 1 / v2_len(n));
        u  = v2(-n.y, n.x);
        l  = PUSH(b->c, &keep.loops);
        loop_line_to(b->c, l, v2_sub(on, v2_scale(u, big)),
                     v2_add(on, v2_scale(u, big)));
        loop_line_to(b->c, l, v2_add(on, v2_scale(u, big)),
                     v2_sub(v2_add(on, v2_scale(u, big)),
                            v2_scale(n, 2 * big)));
        loop_line_to(b->c, l, v2_sub(v2_add(on, v2_scale(u, big)),
                                     v2_scale(n, 2 * big)),
                     v2_sub(v2_sub(on, v2_scale(u, big)),
                            v2_scale(n, 2 * big)));
        loop_line_to(b->c, l, v2_sub(v2_sub(on, v2_scale(u, big)),
                                     v2_scale(n, 2 * big)),
                     v2_sub(on, v2_scale(u, big)));
        s = shape_intersect(b->c, s, keep);
    }
    return s;
}

/* ---- Dowels ---- */

/* A dowel is the square blank cut round by planes along its length; their
 * corners lie on the true circle. */
static void round_dowel(Build *b, const Part *part, Solid *solid,
                        int *next_curve) {
    double r = part->thickness.real / 2;
    double half = acos(1 - fmin(0.5, SAGITTA_MM / r));
    int    n = 4 * (int)ceil(3.14159265358979323846 / half / 4);
    double step = 2 * 3.14159265358979323846 / n;

    for (int i = 0; i < n; i++) {
        V3 out = v3(0, cos(step * (i + 0.5)), sin(step * (i + 0.5)));
        solid_cut(b->c, solid, (Plane){ out,
                  v3_dot(out, v3(0, r, r)) + r * cos(step / 2),
                  *next_curve });
    }
    (*next_curve)++;
}

/* ---- All together ---- */

/* A guard against faults of ours: no cut is known to open a solid. */
void check_closed(Ctx *c, const Part *part, const Solid *solid) {
    if (!solid->closed)
        report(c, part->loc, SOLID_BAD, "part %.*s is no closed solid",
               STR_ARG(part->letter));
}

void form_part(Build *b, Part *part) {
    Solid *solid      = NEW(b->c, Solid);
    int    next_curve = 1;
    Shape  through;

    if (!part->outlined)
        part->outline = shape_rect(b->c, v2(0, 0),
                                   v2(part->long_length.real,
                                      part->width.real));
    through = through_shape(b, part);
    add_slices(b, part, through, solid, &next_curve);
    if (part->stock >= 0
        && b->m->stocks.at[part->stock].form == FORM_DOWEL)
        round_dowel(b, part, solid, &next_curve);
    cut_ends(b, part, solid);
    cut_chamfers(b, part, solid);
    drill_slanted(b, part, solid, &next_curve);
    if (solid->cells.n == 0) {
        report(b->c, part->loc, PART_EMPTY, "nothing is left of part %.*s",
               STR_ARG(part->letter));
        return;
    }
    solid_finish(b->c, solid);
    check_closed(b->c, part, solid);
    part->face  = face_outline(b, part, through, part->thickness.real);
    part->back  = face_outline(b, part, through, 0);
    part->solid = solid;
}
