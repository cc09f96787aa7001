/* thin -- too little wood under and beside cuts that do not go through.
 *
 *        end                         Each cut is a box. From points of its
 *     +---+      +-----------        bottom and of its walls a line runs
 *     |fin|      |                   into the part, and how much wood it
 *     |   +------+                   passes through is measured in the
 *     |    floor                     finished solid: so other cuts, slanted
 *     +----------------------        ends and the other face count, too.
 *
 * A rival, the sizes of the cuts alone, knows nothing of their neighbors.
 * Limits (common practice, no published source): a floor 1/8 in, or a third
 * of the thickness where that is less; beside a cut, along the grain, as
 * much wood as the cut is deep, up to 1/2 in, for it is short there; across
 * it half of that; from a cut in an edge to a face 1/8 in, or a fifth of
 * the thickness; beside a hole in an edge half its diameter, up to 1/8 in.
 */
#include "model/model_internal.h"

#include <math.h>

#define FLOOR_MM  3.175
#define SHORT_MM  12.7
#define LONG_MM   6.35
#define OFF_MM    0.05    // a line begins so far before the wood

/* The box that a cut takes, and the way it opens to: an axis and a sign. */
typedef struct { double lo[3], hi[3]; int open, sign; } Room;

/* The least wood on one of its sides. */
typedef struct { double width, least; V3 at; bool any; } Thin;

static double part_size(const Part *part, int axis) {
    return axis == 0 ? part->long_length.real
         : axis == 1 ? part->width.real : part->thickness.real;
}

static V3 point_of(const double p[3]) {
    return v3(p[0], p[1], p[2]);
}

/* ---- The box of a cut ---- */

static void face_room(const Part *part, const Feature *f, V2 by, Room *r) {
    Box2   box = shape_box(f->shape);
    double t   = part->thickness.real, d = f->depth.real;

    r->open  = 2;
    r->sign  = f->side == SIDE_BACK ? -1 : 1;
    r->lo[0] = box.min.x + by.x, r->hi[0] = box.max.x + by.x;
    r->lo[1] = box.min.y + by.y, r->hi[1] = box.max.y + by.y;
    r->lo[2] = r->sign > 0 ? t - d : 0;
    r->hi[2] = r->sign > 0 ? t : d;
}

static void from_edge(const Part *part, const Feature *f, int copy,
                      Room *r) {
    Box3 box = edge_room(part, f, copy);

    r->open = f->side >= SIDE_LEFT ? 0 : 1;
    r->sign = f->side == SIDE_RIGHT || f->side == SIDE_FAR ? 1 : -1;
    r->lo[0] = box.min.x, r->lo[1] = box.min.y, r->lo[2] = box.min.z;
    r->hi[0] = box.max.x, r->hi[1] = box.max.y, r->hi[2] = box.max.z;
}

/* False: not such a cut, or it goes through. */
static bool room_of(const Part *part, const Feature *f, int copy, Room *r) {
    if ((f->kind != FEATURE_GROOVE && f->kind != FEATURE_HOLE)
        || f->tilt.real > 0 || f->depth.real <= 0)
        return false;
    if (f->side > SIDE_BACK)
        from_edge(part, f, copy, r);
    else
        face_room(part, f, feature_copy(f, copy), r);
    for (int k = 0; k < 3; k++) {
        r->lo[k] = fmax(r->lo[k], 0);
        r->hi[k] = fmin(r->hi[k], part_size(part, k));
    }
    return f->depth.real < part_size(part, r->open) - 1e-6;
}

/* ---- The wood on its sides ---- */

/* How much wood there is from a point in the cut on; INFINITY: the cut is
 * open there. */
static double wood_at(Build *b, const Part *part, V3 p, V3 dir) {
    Stretches s = solid_along(b->c, part->solid, &FRAME_WORLD,
                              v3_sub(p, v3_scale(dir, OFF_MM)), dir);

    for (int i = 0; i < s.n; i++)
        if (s.at[i].to > 2 * OFF_MM)
            return s.at[i].from < -OFF_MM || s.at[i].from > 2 * OFF_MM
                 ? INFINITY : s.at[i].to - fmax(s.at[i].from, 0);
    return INFINITY;
}

static double least_wood(const Build *b, const Part *part, const Feature *f,
                         const Room *r, int axis) {
    double size  = part_size(part, axis);
    bool   sheet = b->m->stocks.at[part->stock].form == FORM_SHEET;

    if (axis == r->open)
        return fmin(FLOOR_MM, size / 3);
    if (f->kind == FEATURE_HOLE)
        return fmin(FLOOR_MM, f->diameter.real / 2);
    if (axis == 2)
        return fmin(FLOOR_MM, size / 5);
    return axis == 0 && !sheet ? fmin(SHORT_MM, f->depth.real)
                               : fmin(LONG_MM, f->depth.real / 2);
}

/* One side: the middle and, of a wide cut, points to all sides of it. */
static void look_at_side(Build *b, const Part *part, const Feature *f,
                         const Room *r, int axis, int sign, Thin *thin) {
    double least = least_wood(b, part, f, r, axis), p[3];
    int    one = (axis + 1) % 3, two = (axis + 2) % 3;
    V3     dir = v3(axis == 0 ? sign : 0, axis == 1 ? sign : 0,
                    axis == 2 ? sign : 0);
    int    n = f->kind == FEATURE_HOLE ? 1 : 3;

    p[axis] = sign > 0 ? r->hi[axis] : r->lo[axis];
    for (int k = 0; k < n * n; k++) {
        int    i = (k + n * n / 2) % (n * n);   // from the middle on
        double a = (2 * (i % n) + 1) / (2.0 * n);
        double z = (2 * (i / n) + 1) / (2.0 * n), wood;
        p[one] = r->lo[one] + a * (r->hi[one] - r->lo[one]);
        p[two] = r->lo[two] + z * (r->hi[two] - r->lo[two]);
        wood   = wood_at(b, part, point_of(p), dir);
        if (wood >= least - 1e-3 || wood <= OFF_MM
            || (thin->any && wood >= thin->width - 1e-6))
            continue;
        *thin = (Thin){ wood, least, v3_add(point_of(p),
                        v3_scale(dir, wood / 2)), true };
    }
}

/* What is no longer than the wood beside it is wide breaks nothing. */
static bool is_long(const Room *r, int axis, double wood) {
    for (int k = 0; k < 3; k++)
        if (k != axis && k != r->open && r->hi[k] - r->lo[k] >= wood)
            return true;
    return axis == r->open;
}

static void look_around(Build *b, const Part *part, const Feature *f,
                        const Room *r, Thin *floor, Thin *wall) {
    for (int axis = 0; axis < 3; axis++)
        for (int sign = -1; sign <= 1; sign += 2) {
            Thin one = { .any = false }, *to = axis == r->open ? floor : wall;
            bool opens = axis == r->open && sign == r->sign;
            bool told  = f->kind == FEATURE_HOLE && axis != r->open
                      && (f->side <= SIDE_BACK || axis != 2);
            if (opens || told)   // holes near an outline: check_hole
                continue;
            look_at_side(b, part, f, r, axis, sign, &one);
            if (one.any && is_long(r, axis, one.width)
                && (!to->any || one.width < to->width))
                *to = one;
        }
}

/* ---- Told ---- */

static void tell(Build *b, int part, const Feature *f, const Thin *thin,
                 WeakKind kind) {
    V2  at    = v2(thin->at.x, thin->at.y);
    Str where = f->note.n ? str_fmt(b->c, "%s (%.*s)", feature_name(f),
                                    STR_ARG(f->note))
                          : str_from(b->c, feature_name(f));

    if (thin->any)
        add_weak(b, part, f->loc, kind, where, at, at, thin->width,
                 thin->least);
}

/* The worst place of each cut, with all its copies. */
void check_thin(Build *b, int part) {
    const Part *own = &b->m->parts.at[part];

    for (int i = 0; i < own->features.n; i++) {
        const Feature *f = &own->features.at[i];
        Thin floor = { .any = false }, wall = { .any = false };
        for (int k = 0; k < f->count; k++) {
            Room r;
            if (room_of(own, f, k, &r))
                look_around(b, own, f, &r, &floor, &wall);
        }
        tell(b, part, f, &floor, WEAK_FLOOR);
        tell(b, part, f, &wall, WEAK_WALL);
    }
}
