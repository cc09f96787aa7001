/* vec -- points, directions, frames and boxes. */
#include "geom/geom.h"

#include <math.h>

/* ---- In the plane ---- */

V2 v2(double x, double y) {
    return (V2){ x, y };
}

V2 v2_add(V2 a, V2 b) {
    return (V2){ a.x + b.x, a.y + b.y };
}

V2 v2_sub(V2 a, V2 b) {
    return (V2){ a.x - b.x, a.y - b.y };
}

V2 v2_scale(V2 a, double k) {
    return (V2){ a.x * k, a.y * k };
}

double v2_dot(V2 a, V2 b) {
    return a.x * b.x + a.y * b.y;
}

double v2_cross(V2 a, V2 b) {
    return a.x * b.y - a.y * b.x;
}

double v2_len(V2 a) {
    return sqrt(a.x * a.x + a.y * a.y);
}

/* ---- In space ---- */

V3 v3(double x, double y, double z) {
    return (V3){ x, y, z };
}

V3 v3_add(V3 a, V3 b) {
    return (V3){ a.x + b.x, a.y + b.y, a.z + b.z };
}

V3 v3_sub(V3 a, V3 b) {
    return (V3){ a.x - b.x, a.y - b.y, a.z - b.z };
}

V3 v3_scale(V3 a, double k) {
    return (V3){ a.x * k, a.y * k, a.z * k };
}

double v3_dot(V3 a, V3 b) {
    return a.x * b.x + a.y * b.y + a.z * b.z;
}

V3 v3_cross(V3 a, V3 b) {
    return (V3){ a.y * b.z - a.z * b.y,
                 a.z * b.x - a.x * b.z,
                 a.x * b.y - a.y * b.x };
}

double v3_len(V3 a) {
    return sqrt(v3_dot(a, a));
}

/* The zero vector stays as it is. */
V3 v3_unit(V3 a) {
    double len = v3_len(a);

    return len > 0 ? v3_scale(a, 1 / len) : a;
}

/* ---- Frames ---- */

const Frame FRAME_WORLD = {
    { 1, 0, 0 }, { 0, 1, 0 }, { 0, 0, 1 }, { 0, 0, 0 }
};

V3 frame_vector(const Frame *f, V3 v) {
    return v3_add(v3_scale(f->x, v.x),
                  v3_add(v3_scale(f->y, v.y), v3_scale(f->z, v.z)));
}

V3 frame_point(const Frame *f, V3 p) {
    return v3_add(f->o, frame_vector(f, p));
}

double frame_det(const Frame *f) {
    return v3_dot(f->x, v3_cross(f->y, f->z));
}

/* Quarter turns are exact, so that square work stays square to the bit. */
static double tidy(double k) {
    if (fabs(k) < 1e-15)
        return 0;
    return fabs(k - 1) < 1e-15 ? 1 : fabs(k + 1) < 1e-15 ? -1 : k;
}

/* Rodrigues: v cos + (axis x v) sin + axis (axis . v)(1 - cos). */
static V3 turn(V3 v, V3 axis, double cosine, double sine) {
    V3 along = v3_scale(axis, v3_dot(axis, v) * (1 - cosine));

    return v3_add(v3_add(v3_scale(v, cosine),
                         v3_scale(v3_cross(axis, v), sine)), along);
}

Frame frame_turn(Frame f, V3 through, V3 axis, double angle) {
    double cosine = tidy(cos(angle)), sine = tidy(sin(angle));

    f.x = turn(f.x, axis, cosine, sine);
    f.y = turn(f.y, axis, cosine, sine);
    f.z = turn(f.z, axis, cosine, sine);
    f.o = v3_add(through,
                 turn(v3_sub(f.o, through), axis, cosine, sine));
    return f;
}

static V3 reflect(V3 v, V3 normal) {
    return v3_sub(v, v3_scale(normal, 2 * v3_dot(normal, v)));
}

Frame frame_mirror(Frame f, V3 on_plane, V3 normal) {
    f.x = reflect(f.x, normal);
    f.y = reflect(f.y, normal);
    f.z = reflect(f.z, normal);
    f.o = v3_add(on_plane, reflect(v3_sub(f.o, on_plane), normal));
    return f;
}

/* ---- Boxes: empty ones have min > max ---- */

Box2 box2(double x0, double y0, double x1, double y1) {
    return (Box2){ { x0, y0 }, { x1, y1 } };
}

Box2 box2_empty(void) {
    return (Box2){ { INFINITY, INFINITY }, { -INFINITY, -INFINITY } };
}

void box2_add(Box2 *b, V2 p) {
    b->min.x = fmin(b->min.x, p.x);
    b->min.y = fmin(b->min.y, p.y);
    b->max.x = fmax(b->max.x, p.x);
    b->max.y = fmax(b->max.y, p.y);
}

Box3 box3_empty(void) {
    return (Box3){ { INFINITY, INFINITY, INFINITY },
                   { -INFINITY, -INFINITY, -INFINITY } };
}

void box3_add(Box3 *b, V3 p) {
    b->min.x = fmin(b->min.x, p.x);
    b->min.y = fmin(b->min.y, p.y);
    b->min.z = fmin(b->min.z, p.z);
    b->max.x = fmax(b->max.x, p.x);
    b->max.y = fmax(b->max.y, p.y);
    b->max.z = fmax(b->max.z, p.z);
}

bool box3_touch(Box3 a, Box3 b, double slack) {
    return a.min.x <= b.max.x + slack && b.min.x <= a.max.x + slack
        && a.min.y <= b.max.y + slack && b.min.y <= a.max.y + slack
        && a.min.z <= b.max.z + slack && b.min.z <= a.max.z + slack;
}
