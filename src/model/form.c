/* form -- the solid of a part: blank, cuts square to its faces, end cuts.
 *
 * Cuts square to the faces come first and are made in the plane, whatever
 * their order in the design (blocks.c). Last come the slanted things: end
 * cuts, edge bevels, chamfers, holes in edges, pocket holes.
 */
#include "model/model_internal.h"

#include <math.h>

#define DEG          (3.14159265358979323846 / 180)

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

static bool leans(const Feature *f) {
    return f->kind == FEATURE_HOLE && f->tilt.real > 0;
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
        if (f->shape.loops.n && is_through(part, f) && !leans(f))
            s = less_feature(b, s, f);
    }
    return s;
}

/* ---- Cuts square to the faces ---- */

/* A bore with a countersink has the facets of the countersink, so that
 * the two meet edge to edge. */
static CornerLoops waste_of(Build *b, const Feature *f, int *next_curve) {
    int n;

    if (f->kind != FEATURE_HOLE || f->sink.real <= 0)
        return shape_convex_parts(b->c, f->shape, SAGITTA_MM, next_curve);
    n = circle_facets(f->sink.real / 2, SAGITTA_MM);
    return round_outline(b->c, v2(f->x.real, f->y.real),
                         f->diameter.real / 2, n, (*next_curve)++);
}

/* Curve numbers are more for each copy, so that each hole is a curve of
 * its own. */
static void renumber(CornerLoops *waste, int by) {
    for (int k = 0; k < waste->n; k++)
        for (int j = 0; j < waste->at[k].n; j++)
            if (waste->at[k].at[j].curve)
                waste->at[k].at[j].curve += by;
}

/* A profile is the same cut over and over. Waves run on smoothly from one
 * repeat to the next, and so are one curve. */
static void take_profile(Build *b, const Part *part, const Feature *f,
                         Blocks *blocks, int *next_curve) {
    Feature     one   = *f;
    int         first = *next_curve, curves;
    CornerLoops waste;

    one.repeats = 1;
    waste  = shape_convex_parts(b->c, edging_waste(b, part, &one),
                                SAGITTA_MM, next_curve);
    curves = f->profile == PROFILE_WAVES ? 0 : *next_curve - first;
    for (int i = 0; i < f->repeats; i++) {
        if (i && curves) {
            renumber(&waste, curves);
            *next_curve += curves;
        }
        blocks_take(b->c, blocks, &waste, v2(f->pitch.real * i, 0), -1,
                    part->thickness.real + 1);
    }
}

static void take_feature(Build *b, const Part *part, const Feature *f,
                         Blocks *blocks, int *next_curve) {
    int         first  = *next_curve;
    CornerLoops waste  = waste_of(b, f, next_curve);
    int         curves = *next_curve - first;
    Reach       r      = reach_of(part, f);

    r.z0 -= r.z0 <= 0;
    r.z1 += r.z1 >= part->thickness.real;
    for (int i = 0; i < f->count; i++) {
        if (i && curves) {
            renumber(&waste, curves);
            *next_curve += curves;
        }
        blocks_take(b->c, blocks, &waste, feature_copy(f, i), r.z0, r.z1);
    }
}

/* How deep the cone of a countersink goes. */
static double sink_depth(const Feature *f) {
    return (f->sink.real - f->diameter.real) / 2
         / tan(f->sink_angle.real / 2 * DEG);
}

static V2 copy_at(const Feature *f, int i) {
    return v2_add(v2(f->x.real, f->y.real), feature_copy(f, i));
}

static bool is_sunk(const Feature *f) {
    return f->kind == FEATURE_HOLE && f->sink.real > 0 && f->shape.loops.n;
}

/* No other countersink reaches this one. */
static bool stands_apart(const Part *part, const Feature *f, int copy) {
    V2 at = copy_at(f, copy);

    for (int i = 0; i < part->features.n; i++) {
        const Feature *other = &part->features.at[i];
        if (!is_sunk(other))
            continue;
        for (int k = 0; k < other->count; k++)
            if ((other != f || k != copy)
                    && v2_len(v2_sub(copy_at(other, k), at))
                           <= (f->sink.real + other->sink.real) / 2)
                return false;
    }
    return true;
}

/* Drills countersunk holes. Countersinks with wood all around are done
 * with them; *done tells which copies. */
static void sink_clear(Build *b, const Part *part, const Feature *f,
                       Blocks *blocks, Solid *solid, bool *done,
                       int *next_curve) {
    double t = part->thickness.real, deep = sink_depth(f);
    Reach  r = reach_of(part, f);
    bool   back = f->side == SIDE_BACK;
    int    n = circle_facets(f->sink.real / 2, SAGITTA_MM);

    for (int i = 0; i < f->count; i++) {
        done[i] = deep < r.z1 - r.z0 && stands_apart(part, f, i)
               && blocks_sink(b->c, blocks, solid, copy_at(f, i),
                              f->diameter.real / 2, f->sink.real / 2,
                              back ? 0 : t, back ? deep : t - deep,
                              back ? r.z1 : r.z0, n, next_curve);
        if (!done[i]) {
            CornerLoops waste = waste_of(b, f, next_curve);
            blocks_take(b->c, blocks, &waste, feature_copy(f, i), r.z0,
                        r.z1);
        }
    }
}

/* The blocks of what is square to the faces, and the countersinks that
 * have wood all around. Returns for each feature which copies are sunk. */
static bool **work_faces(Build *b, const Part *part, Solid *solid,
                         int *next_curve) {
    int    n      = part->features.n;
    bool **sunk   = NEW_N(b->c, bool *, n + 1);
    Blocks blocks = blocks_of(b->c, part->outline, 0, part->thickness.real,
                              SAGITTA_MM, next_curve);

    for (int i = 0; i < n; i++) {
        const Feature *f = &part->features.at[i];
        if (!f->shape.loops.n || leans(f) || is_sunk(f))
            continue;
        if (f->kind == FEATURE_SCALLOP && !f->echo)
            take_profile(b, part, f, &blocks, next_curve);
        else
            take_feature(b, part, f, &blocks, next_curve);
    }
    lift_arrises(b, part, &blocks, solid, next_curve);
    for (int i = 0; i < n; i++) {
        const Feature *f = &part->features.at[i];
        if (!is_sunk(f))
            continue;
        sunk[i] = NEW_N(b->c, bool, f->count + 1);
        sink_clear(b, part, f, &blocks, solid, sunk[i], next_curve);
    }
    solid_add_blocks(b->c, solid, &blocks);
    return sunk;
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

Plane side_plane(const Part *part, int arris) {
    return arris <= ARRIS_FAR ? edge_plane(part, arris)
                              : end_plane(part, arris - ARRIS_LEFT);
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

/* Around a bore, with a quarter of its width to spare. */
static Box3 bore_box(V3 p, V3 dir, double radius, double depth) {
    Box3 box  = box3_empty();
    V3   end  = v3_add(p, v3_scale(dir, depth));
    V3   room = v3(1.5 * radius, 1.5 * radius, 1.5 * radius);

    box3_add(&box, v3_sub(p, room));
    box3_add(&box, v3_add(p, room));
    box3_add(&box, v3_sub(end, room));
    box3_add(&box, v3_add(end, room));
    return box;
}

static void drill(Build *b, Solid *solid, V3 p, V3 dir, double diameter,
                  double depth, int *next_curve) {
    Plane *planes;
    V3     from = v3_sub(p, v3_scale(dir, 0.5));
    int    n    = tool_cylinder(b->c, from, dir, diameter / 2, depth + 0.5,
                                SAGITTA_MM, next_curve, &planes);

    solid_box_in(b->c, solid, bore_box(p, dir, diameter / 2, depth));
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

/* Countersinks of holes in the faces that run into other cuts. */
static void sink_holes(Build *b, const Part *part, const Feature *f,
                       const bool *done, Solid *solid, int *next_curve) {
    bool back = f->side == SIDE_BACK;

    for (int i = 0; i < f->count; i++) {
        V2 at = v2_add(v2(f->x.real, f->y.real), feature_copy(f, i));
        if (done[i])
            continue;
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

static void drill_slanted(Build *b, const Part *part, bool **sunk,
                          Solid *solid, int *next_curve) {
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        if (f->kind == FEATURE_POCKET)
            drill_pocket(b, part, f, solid, next_curve);
        else if (leans(f))
            drill_leaning(b, part, f, solid, next_curve);
        else if (f->kind == FEATURE_HOLE && f->shape.loops.n == 0)
            drill_edge(b, part, f, solid, next_curve);
        else if (f->kind == FEATURE_HOLE && f->sink.real > 0)
            sink_holes(b, part, f, sunk[i], solid, next_curve);
        else if (f->kind == FEATURE_GROOVE && f->side > SIDE_BACK)
            chop_mortise(b, part, f, solid);
    }
}

/* ---- The faces as patterns ---- */

/* What is left of the plan view on one face after ends and edges are cut:
 * each plane meets the face in a line; what lies outside it goes. */
static Shape face_outline(Build *b, const Part *part, Shape s, double z) {
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        Feature        mouth = *f;
        bool   back = f->side == SIDE_BACK;
        double deep = back ? z : part->thickness.real - z;
        if (!leans(f) || !is_through(part, f))
            continue;
        mouth.shape = shape_move(b->c, f->shape,
                                 v2_scale(hole_lean(f), deep));
        s = less_feature(b, s, &mouth);
    }
    for (int i = 0; i < 4; i++) {
        bool   is_end = i < 2;
        bool   any = is_end ? part->ends[i].any : part->edges[i - 2].any;
        Plane  p;
        double k;
        if (!any)
            continue;
        p = is_end ? end_plane(part, i) : edge_plane(part, i - 2);
        k = v2_len(v2(p.n.x, p.n.y));
        s = shape_keep(b->c, s, v2(p.n.x / k, p.n.y / k),
                       (p.d - p.n.z * z) / k);
    }
    return s;
}

Shape part_outline(Build *b, const Part *part, double z) {
    return face_outline(b, part, through_shape(b, part), z);
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
    if (!solid->closed || !mass_agrees(solid))
        report(c, part->loc, SOLID_BAD, "part %.*s is no closed solid",
               STR_ARG(part->letter));
}

static Solid *form_solid(Build *b, const Part *part) {
    Solid *solid      = NEW(b->c, Solid);
    int    next_curve = 1;
    bool **sunk       = work_faces(b, part, solid, &next_curve);

    if (part->stock >= 0
        && b->m->stocks.at[part->stock].form == FORM_DOWEL)
        round_dowel(b, part, solid, &next_curve);
    cut_ends(b, part, solid);
    cut_arrises(b, part, solid, &next_curve);
    drill_slanted(b, part, sunk, solid, &next_curve);
    if (solid->cells.n)
        solid_finish(b->c, solid);
    return solid;
}

/* Names the first cut after which the part is in pieces: it is made again
 * with ever more of its cuts. */
static void report_sawn(Build *b, const Part *part, int lumps) {
    Part           some = *part;
    const Feature *f;
    int            k    = 0;

    while (k < part->features.n) {
        const Solid *s;
        some.features.n = k;
        s = form_solid(b, &some);
        if (s->cells.n && solid_lumps(b->c, s) > 1)
            break;
        k++;
    }
    f = k > 0 ? &part->features.at[k - 1] : NULL;
    report(b->c, f ? f->loc : part->loc, PART_SAWN,
           "this %s saws part %.*s into %d pieces",
           f ? feature_name(f) : "outline", STR_ARG(part->letter), lumps);
}

void form_part(Build *b, Part *part) {
    Solid *solid;
    Shape  through;
    int    lumps;

    if (!part->outlined)
        part->outline = shape_rect(b->c, v2(0, 0),
                                   v2(part->long_length.real,
                                      part->width.real));
    check_arrises(b, part);
    through = through_shape(b, part);
    solid   = form_solid(b, part);
    if (solid->cells.n == 0) {
        report(b->c, part->loc, PART_EMPTY, "nothing is left of part %.*s",
               STR_ARG(part->letter));
        return;
    }
    check_closed(b->c, part, solid);
    lumps = solid_lumps(b->c, solid);
    if (lumps > 1)
        report_sawn(b, part, lumps);
    part->face  = face_outline(b, part, through, part->thickness.real);
    part->back  = face_outline(b, part, through, 0);
    part->solid = solid;
}
