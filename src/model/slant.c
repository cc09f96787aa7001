/* slant -- bores at an angle: pocket holes, and holes that lean.
 *
 *      show face                     A pocket hole's axis would leave the
 *     ---------------------+         end in the middle of the thickness.
 *                     .  - + middle  Its bore stops before that, so that
 *           \   .  '  /    |         the head of the screw has wood to
 *     -------\------/------+         bear on.
 *      back face   depth along the axis, from the face
 */
#include "model/model_internal.h"

#include <math.h>

#define DEG (3.14159265358979323846 / 180)
#define POCKET_ANGLE 15      // degrees from the face; trade-figures 5.4
#define POCKET_DEPTH 0.45    // of the axis from face to end; from memory

/* The axis of a pocket hole from the face to the end. */
static double pocket_axis(const Part *part, const Feature *f) {
    return part->thickness.real / 2 / sin(f->tilt.real * DEG);
}

void pocket_reach(const Part *part, const Feature *f, double *from,
                  double *to) {
    double a = f->tilt.real * DEG, axis = pocket_axis(part, f);
    double d = f->depth.real > 0 ? f->depth.real : POCKET_DEPTH * axis;

    *from = (axis - d) * cos(a);
    *to   = axis * cos(a) + f->diameter.real / 2 / sin(a);
}

static bool pocket_fits(Build *b, const Node *n, const Part *part,
                        const Feature *f) {
    double axis;

    if (f->tilt.real < 5 || f->tilt.real > 45) {
        report(b->c, n->loc, FEATURE_BAD,
               "a pocket hole slants 5 to 45 deg from its face, not %g",
               f->tilt.real);
        hint(b->c, "15 deg is usual, and stands if not said");
        return false;
    }
    if (part->thickness.poison)
        return false;
    axis = pocket_axis(part, f);
    if (f->depth.real < axis)
        return true;
    report(b->c, n->loc, FEATURE_BAD,
           "a pocket hole %.*s deep breaks out of the end: its axis is "
           "there after %.*s", STR_ARG(size_text(b, f->depth)),
           STR_ARG(mm_text(b, axis)));
    hint(b->c, "the depth is measured along the slant, from the face to "
         "where the head of the screw rests");
    return false;
}

bool read_pocket(Build *b, const char *scope, const Node *n,
                 const Part *part, Feature *f) {
    static const char *const keys[] = {   // SCHEMA pocket
        "at", "toward", "diameter", "angle", "depth", "into", NULL
    };
    static const char *const sides[] = {   // SCHEMA-ENUM toward
        "near", "far", "left", "right", NULL
    };
    static const char *const faces[] = {   // SCHEMA-ENUM face
        "show", "back", NULL
    };
    Quantity none = quantity_exact(0, 1, DIM_LENGTH);
    Quantity bore = quantity_inches(3, 8);

    node_check_keys(b->c, n, keys, "a pocket hole");
    if (!node_need(b->c, n, "at", "a pocket hole")
        || !node_need(b->c, n, "toward", "a pocket hole"))
        return false;
    f->x = none;
    f->y = eval_member(b->c, b->s, scope, n, "at", DIM_LENGTH, none);
    f->side = (Side)(SIDE_NEAR + node_choice(b->c, n, "toward", sides,
                                             SIDE_RIGHT - SIDE_NEAR));
    f->diameter = cut_size(b, scope, n, "diameter", "a pocket hole", &bore);
    f->depth    = cut_size(b, scope, n, "depth", "a pocket hole", &none);
    f->tilt = eval_member(b->c, b->s, scope, n, "angle", DIM_ANGLE,
                          quantity_exact(POCKET_ANGLE, 1, DIM_ANGLE));
    f->from_show = node_choice(b->c, n, "into", faces, SIDE_BACK)
                == SIDE_SHOW;
    return !f->y.poison && !f->diameter.poison && !f->depth.poison
        && !f->tilt.poison && pocket_fits(b, n, part, f);
}

/* ---- Holes that lean ---- */

V2 hole_lean(const Feature *f) {
    double k = f->kind == FEATURE_HOLE ? tan(f->tilt.real * DEG) : 0;

    switch (f->toward) {
    case SIDE_NEAR:  return v2(0, -k);
    case SIDE_FAR:   return v2(0, k);
    case SIDE_LEFT:  return v2(-k, 0);
    case SIDE_RIGHT: return v2(k, 0);
    case SIDE_SHOW:
    case SIDE_BACK:
    default:         return v2(0, 0);
    }
}

/* The mouth of a hole that leans is longer than wide. A quarter of an
 * ellipse as a cubic is within 3e-4 of its radius. */
static Shape ellipse(Build *b, V2 at, double rx, double ry) {
    const double k = 0.5522847498;   // 4/3 (sqrt 2 - 1)
    Shape s = { 0 };
    Loop *l = PUSH(b->c, &s.loops);

    for (int i = 0; i < 4; i++) {
        V2 u = v2((1 - i % 2) * (i ? -rx : rx), i % 2 * (i > 1 ? -ry : ry));
        V2 v = v2(-(i % 2) * (i > 1 ? -rx : rx),
                  (1 - i % 2) * (i ? -ry : ry));
        Seg *seg = PUSH(b->c, l);
        *seg = (Seg){ .kind = SEG_CUBIC };
        seg->a  = v2_add(at, u);
        seg->b  = v2_add(at, v);
        seg->c1 = v2_add(seg->a, v2_scale(v, k));
        seg->c2 = v2_add(seg->b, v2_scale(u, k));
    }
    return s;
}

bool read_lean(Build *b, const char *scope, const Node *n, Feature *f) {
    static const char *const sides[] = {   // SCHEMA-ENUM toward
        "near", "far", "left", "right", NULL
    };
    double r = f->diameter.real / 2, k;
    bool   x;

    if (!node_find(n, "lean") && !node_find(n, "toward"))
        return true;
    if (!node_need(b->c, n, "lean", "a hole that leans")
        || !node_need(b->c, n, "toward", "a hole that leans"))
        return false;
    f->tilt = eval_member(b->c, b->s, scope, n, "lean", DIM_ANGLE,
                          quantity_exact(0, 1, DIM_ANGLE));
    f->toward = (Side)(SIDE_NEAR + node_choice(b->c, n, "toward", sides, 0));
    if (f->tilt.poison)
        return false;
    if (f->side > SIDE_BACK || f->sink.real > 0 || f->tilt.real <= 0
        || f->tilt.real > 60) {
        report(b->c, n->loc, FEATURE_BAD, "a hole leans more than 0 and up "
               "to 60 deg, in the show or back face, without a "
               "countersink; this one %g deg", f->tilt.real);
        hint(b->c, "0 deg is square to the face");
        return false;
    }
    k = 1 / cos(f->tilt.real * DEG);
    x = f->toward >= SIDE_LEFT;
    f->shape = ellipse(b, v2(f->x.real, f->y.real), x ? r * k : r,
                       x ? r : r * k);
    return true;
}

/* ---- In the wood ---- */

static void bore(Build *b, Solid *solid, V3 p, V3 dir, double radius,
                 double length, int *next_curve) {
    Box3   box = box3_empty();
    V3     room = v3(1.5 * radius, 1.5 * radius, 1.5 * radius);
    V3     end  = v3_add(p, v3_scale(dir, length));
    Plane *planes;
    int    n = tool_cylinder(b->c, p, dir, radius, length, SAGITTA_MM,
                             next_curve, &planes);

    box3_add(&box, v3_sub(p, room));
    box3_add(&box, v3_add(p, room));
    box3_add(&box, v3_sub(end, room));
    box3_add(&box, v3_add(end, room));
    solid_box_in(b->c, solid, box);
    solid_subtract(b->c, solid, planes, n);
}

void pocket_bore(const Part *part, const Feature *f, int copy, V3 *seat,
                 V3 *out) {
    double a = f->tilt.real * DEG, t = part->thickness.real, from, to;
    bool   along_x = f->side >= SIDE_LEFT;
    bool   high    = f->side == SIDE_RIGHT || f->side == SIDE_FAR;
    double size    = along_x ? part->long_length.real : part->width.real;
    double up      = f->from_show ? 1 : -1;
    double du      = (high ? -1 : 1) * cos(a);
    V2     by      = feature_copy(f, copy);
    double v       = f->y.real + (along_x ? by.y : by.x), u, z;

    pocket_reach(part, f, &from, &to);
    u     = high ? size - from : from;
    z     = t / 2 + up * from * tan(a);
    *seat = along_x ? v3(u, v, z) : v3(v, u, z);
    *out  = along_x ? v3(du, 0, up * sin(a)) : v3(0, du, up * sin(a));
}

void drill_pocket(Build *b, const Part *part, const Feature *f,
                  Solid *solid, int *next_curve) {
    double a = f->tilt.real * DEG, r = f->diameter.real / 2;
    double length = part->thickness.real / sin(a) + 2 * r / tan(a);

    for (int i = 0; i < f->count; i++) {
        V3 seat, out;
        pocket_bore(part, f, i, &seat, &out);
        bore(b, solid, seat, out, r, length, next_curve);
    }
}

/* A blind hole is as deep as it says on its axis, square to the face. */
void drill_leaning(Build *b, const Part *part, const Feature *f,
                   Solid *solid, int *next_curve) {
    double t = part->thickness.real, r = f->diameter.real / 2;
    bool   back = f->side == SIDE_BACK;
    double deep = f->depth.real > 0 && f->depth.real < t
                ? f->depth.real : t + r + 1;
    V2     lean = hole_lean(f);
    V3     run  = v3(lean.x, lean.y, back ? 1 : -1);

    for (int i = 0; i < f->count; i++) {
        V2 at   = v2_add(v2(f->x.real, f->y.real), feature_copy(f, i));
        V3 p    = v3(at.x, at.y, back ? 0 : t);
        V3 from = v3_sub(p, v3_scale(run, r + 1));
        bore(b, solid, from, v3_unit(run), r,
             v3_len(run) * (deep + r + 1), next_curve);
    }
}
