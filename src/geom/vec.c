/* vec -- points, directions, frames and boxes. */
#include "geom/geom.h"

#include <math.h>

/* ---- Frames ---- */

const Frame FRAME_WORLD = {
    { 1, 0, 0 }, { 0, 1, 0 }, { 0, 0, 1 }, { 0, 0, 0 }
};

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

Box2 box2_empty(void) {
    return (Box2){ { INFINITY, INFINITY }, { -INFINITY, -INFINITY } };
}

Box3 box3_empty(void) {
    return (Box3){ { INFINITY, INFINITY, INFINITY },
                   { -INFINITY, -INFINITY, -INFINITY } };
}

bool box3_touch(Box3 a, Box3 b, double slack) {
    return a.min.x <= b.max.x + slack && b.min.x <= a.max.x + slack
        && a.min.y <= b.max.y + slack && b.min.y <= a.max.y + slack
        && a.min.z <= b.max.z + slack && b.min.z <= a.max.z + slack;
}
