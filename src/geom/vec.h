/* vec -- points, directions, frames and boxes. Most of it is in this header
 * because the innermost loops are made of it: a call for each sum would
 * cost more than the sum. Comes with geom.h.
 *
 *     double far = v2_len(v2_sub(b, a));
 */
#ifndef GEOM_VEC_H
#define GEOM_VEC_H

#include <math.h>
#include <stdbool.h>

typedef struct { double x, y; } V2;
typedef struct { double x, y, z; } V3;
typedef struct { V2 min, max; } Box2;   // empty ones have min > max
typedef struct { V3 min, max; } Box3;

/* Where a body stands: world = o + x*p.x + y*p.y + z*p.z. The columns are
 * orthonormal; a mirrored body has determinant -1. */
typedef struct { V3 x, y, z, o; } Frame;

/* ---- In the plane ---- */

static inline V2 v2(double x, double y) {
    return (V2){ x, y };
}

static inline V2 v2_add(V2 a, V2 b) {
    return (V2){ a.x + b.x, a.y + b.y };
}

static inline V2 v2_sub(V2 a, V2 b) {
    return (V2){ a.x - b.x, a.y - b.y };
}

static inline V2 v2_scale(V2 a, double k) {
    return (V2){ a.x * k, a.y * k };
}

static inline double v2_dot(V2 a, V2 b) {
    return a.x * b.x + a.y * b.y;
}

static inline double v2_cross(V2 a, V2 b) {
    return a.x * b.y - a.y * b.x;
}

static inline double v2_len(V2 a) {
    return sqrt(a.x * a.x + a.y * a.y);
}

/* ---- In space ---- */

static inline V3 v3(double x, double y, double z) {
    return (V3){ x, y, z };
}

static inline V3 v3_add(V3 a, V3 b) {
    return (V3){ a.x + b.x, a.y + b.y, a.z + b.z };
}

static inline V3 v3_sub(V3 a, V3 b) {
    return (V3){ a.x - b.x, a.y - b.y, a.z - b.z };
}

static inline V3 v3_scale(V3 a, double k) {
    return (V3){ a.x * k, a.y * k, a.z * k };
}

static inline double v3_dot(V3 a, V3 b) {
    return a.x * b.x + a.y * b.y + a.z * b.z;
}

static inline V3 v3_cross(V3 a, V3 b) {
    return (V3){ a.y * b.z - a.z * b.y,
                 a.z * b.x - a.x * b.z,
                 a.x * b.y - a.y * b.x };
}

static inline double v3_len(V3 a) {
    return sqrt(v3_dot(a, a));
}

/* The zero vector stays as it is. */
static inline V3 v3_unit(V3 a) {
    double len = v3_len(a);

    return len > 0 ? v3_scale(a, 1 / len) : a;
}

/* ---- Frames ---- */

extern const Frame FRAME_WORLD;

/* Without the origin. */
static inline V3 frame_vector(const Frame *f, V3 v) {
    return v3_add(v3_scale(f->x, v.x),
                  v3_add(v3_scale(f->y, v.y), v3_scale(f->z, v.z)));
}

/* Local to world. */
static inline V3 frame_point(const Frame *f, V3 p) {
    return v3_add(f->o, frame_vector(f, p));
}

double frame_det(const Frame *f);
/* Turns a frame about an axis (unit) through a point, right-handed. */
Frame frame_turn(Frame f, V3 through, V3 axis, double angle);
Frame frame_mirror(Frame f, V3 on_plane, V3 normal);

/* ---- Boxes ---- */

/* What is no number changes nothing. */
static inline void least_and_most(double *least, double *most, double at) {
    *least = at < *least ? at : *least;
    *most  = at > *most ? at : *most;
}

static inline void box2_add(Box2 *b, V2 p) {
    least_and_most(&b->min.x, &b->max.x, p.x);
    least_and_most(&b->min.y, &b->max.y, p.y);
}

static inline void box3_add(Box3 *b, V3 p) {
    least_and_most(&b->min.x, &b->max.x, p.x);
    least_and_most(&b->min.y, &b->max.y, p.y);
    least_and_most(&b->min.z, &b->max.z, p.z);
}

static inline Box2 box2(double x0, double y0, double x1, double y1) {
    return (Box2){ { x0, y0 }, { x1, y1 } };
}

Box2 box2_empty(void);
Box3 box3_empty(void);
bool box3_touch(Box3 a, Box3 b, double slack);

#endif
