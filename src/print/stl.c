/* stl -- solids as triangles in the binary stereolithography form: a head
 * of 80 bytes, a count, and 50 bytes for each triangle (normal, three
 * corners, two bytes of nothing); millimeters, z up.
 */
#include "print/print.h"

#include <math.h>

static void put_u32(unsigned char **to, uint32_t v) {
    for (int i = 0; i < 4; i++)
        *(*to)++ = (unsigned char)(v >> 8 * i & 255);
}

static void put_float(unsigned char **to, double v) {
    float    f = (float)v;
    uint32_t bits;

    memcpy(&bits, &f, 4);
    put_u32(to, bits);
}

static void put_point(unsigned char **to, V3 p) {
    put_float(to, p.x);
    put_float(to, p.y);
    put_float(to, p.z);
}

/* A mirrored body has its triangles turned about. */
static void put_body(unsigned char **to, const Mesh *mesh,
                     const SolidBody *b) {
    bool back = frame_det(&b->frame) < 0;

    for (int i = 0; i < mesh->triangles.n; i++) {
        const Triangle *t = &mesh->triangles.at[i];
        V3              p[3];
        for (int k = 0; k < 3; k++)
            p[k] = frame_point(&b->frame,
                               mesh->p.at[t->v[back ? 2 - k : k]]);
        put_point(to, v3_unit(v3_cross(v3_sub(p[1], p[0]),
                                       v3_sub(p[2], p[0]))));
        for (int k = 0; k < 3; k++)
            put_point(to, p[k]);
        *(*to)++ = 0;
        *(*to)++ = 0;
    }
}

Str stl_of(Ctx *c, const SolidBody *bodies, int n) {
    Mesh          *mesh = NEW_N(c, Mesh, n + 1);
    uint32_t       count = 0;
    unsigned char *bytes, *to;
    static const char head[] = "binary STL, millimeters, z up";

    for (int i = 0; i < n; i++) {
        mesh[i] = solid_mesh(c, bodies[i].solid);
        count  += (uint32_t)mesh[i].triangles.n;
    }
    bytes = NEW_N(c, unsigned char, 84 + 50 * (size_t)count);
    memcpy(bytes, head, sizeof head - 1);
    to = bytes + 80;
    put_u32(&to, count);
    for (int i = 0; i < n; i++)
        put_body(&to, &mesh[i], &bodies[i]);
    return (Str){ (const char *)bytes, 84 + 50 * (size_t)count };
}
