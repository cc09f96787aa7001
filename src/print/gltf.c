/* gltf -- solids as glTF 2.0 (ISO/IEC 12113:2022), one file with its
 * numbers inside it.
 *
 * A mesh for each kind of part, a node with its name for each piece. The
 * root turns millimeters with z up into the format's meters with y up.
 * Normals are left out: readers then shade each triangle flat, as sawn
 * wood is.
 */
#include "print/print.h"

#include <float.h>
#include <math.h>

typedef struct {
    Ctx          *c;
    LIST(Mesh)    mesh;
    LIST(const Solid *) of;    // the solid of each mesh
    Buf           bytes;       // positions and indices
    LIST(int)     begin;       // of positions, then indices, of each mesh
} Gltf;

static int mesh_of(Gltf *g, const Solid *s) {
    for (int i = 0; i < g->of.n; i++)
        if (g->of.at[i] == s)
            return i;
    *PUSH(g->c, &g->of)   = s;
    *PUSH(g->c, &g->mesh) = solid_mesh(g->c, s);
    return g->of.n - 1;
}

static void put_u32(Buf *out, uint32_t v) {
    char b[4];

    for (int i = 0; i < 4; i++)
        b[i] = (char)(v >> 8 * i & 255);
    buf_str(out, (Str){ b, 4 });
}

static void put_float(Buf *out, double v) {
    float    f = (float)v;
    uint32_t bits;

    memcpy(&bits, &f, 4);
    put_u32(out, bits);
}

static void add_bytes(Gltf *g) {
    for (int i = 0; i < g->mesh.n; i++) {
        const Mesh *m = &g->mesh.at[i];
        *PUSH(g->c, &g->begin) = (int)g->bytes.n;
        for (int k = 0; k < m->p.n; k++) {
            put_float(&g->bytes, m->p.at[k].x);
            put_float(&g->bytes, m->p.at[k].y);
            put_float(&g->bytes, m->p.at[k].z);
        }
        *PUSH(g->c, &g->begin) = (int)g->bytes.n;
        for (int k = 0; k < m->triangles.n; k++)
            for (int j = 0; j < 3; j++)
                put_u32(&g->bytes, (uint32_t)m->triangles.at[k].v[j]);
    }
}

static void add_base64(Buf *out, Str bytes) {
    static const char digits[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmn"
                                 "opqrstuvwxyz0123456789+/";

    for (size_t i = 0; i < bytes.n; i += 3) {
        uint32_t v = 0;
        char     four[4];
        for (size_t k = 0; k < 3; k++)
            v = v << 8 | (i + k < bytes.n ? (unsigned char)bytes.s[i + k]
                                          : 0);
        for (int k = 0; k < 4; k++)
            four[k] = digits[v >> (18 - 6 * k) & 63];
        if (i + 2 >= bytes.n)
            four[3] = '=';
        if (i + 1 >= bytes.n)
            four[2] = '=';
        buf_str(out, (Str){ four, 4 });
    }
}

/* A corner of the box of all corners, as the file has them. */
static void add_corner(Buf *out, const Mesh *m, bool most) {
    float at[3];

    for (int i = 0; i < 3; i++)
        at[i] = most ? -FLT_MAX : FLT_MAX;
    for (int k = 0; k < m->p.n; k++) {
        float p[3] = { (float)m->p.at[k].x, (float)m->p.at[k].y,
                       (float)m->p.at[k].z };
        for (int i = 0; i < 3; i++)
            if (most ? p[i] > at[i] : p[i] < at[i])
                at[i] = p[i];
    }
    for (int i = 0; i < 3; i++) {
        buf_add(out, i ? "," : "[");
        buf_num(out, (double)at[i], 9);
    }
    buf_add(out, "]");
}

static void add_nodes(Gltf *g, Buf *out, const SolidBody *b, int n,
                      Str title) {
    buf_add(out, "\"nodes\":[\n{\"name\":");
    buf_json(out, title);
    buf_add(out, ",\"matrix\":[0.001,0,0,0,0,0,-0.001,0,0,0.001,0,0,0,0,0,1]"
            ",\"children\":[");
    for (int i = 0; i < n; i++)
        buf_add(out, "%s%d", i ? "," : "", i + 1);
    buf_add(out, "]}");
    for (int i = 0; i < n; i++) {
        const Frame *f = &b[i].frame;
        double m[16] = { f->x.x, f->x.y, f->x.z, 0, f->y.x, f->y.y, f->y.z,
                         0, f->z.x, f->z.y, f->z.z, 0, f->o.x, f->o.y,
                         f->o.z, 1 };
        buf_add(out, ",\n{\"name\":");
        buf_json(out, b[i].name);
        buf_add(out, ",\"mesh\":%d,\"matrix\":[", mesh_of(g, b[i].solid));
        for (int k = 0; k < 16; k++) {
            buf_add(out, k ? "," : "");
            buf_num(out, m[k], 12);
        }
        buf_add(out, "]}");
    }
    buf_add(out, "],\n");
}

static void add_meshes(const Gltf *g, Buf *out) {
    buf_add(out, "\"meshes\":[");
    for (int i = 0; i < g->mesh.n; i++)
        buf_add(out, "%s\n{\"primitives\":[{\"attributes\":{\"POSITION\":%d}"
                ",\"indices\":%d,\"material\":0}]}", i ? "," : "", 2 * i,
                2 * i + 1);
    buf_add(out, "],\n\"accessors\":[");
    for (int i = 0; i < g->mesh.n; i++) {
        const Mesh *m = &g->mesh.at[i];
        buf_add(out, "%s\n{\"bufferView\":%d,\"componentType\":5126,"
                "\"count\":%d,\"type\":\"VEC3\",\"min\":", i ? "," : "",
                2 * i, m->p.n);
        add_corner(out, m, false);
        buf_add(out, ",\"max\":");
        add_corner(out, m, true);
        buf_add(out, "},\n{\"bufferView\":%d,\"componentType\":5125,"
                "\"count\":%d,\"type\":\"SCALAR\"}", 2 * i + 1,
                3 * m->triangles.n);
    }
    buf_add(out, "],\n\"bufferViews\":[");
    for (int i = 0; i < g->begin.n; i++) {
        int end = i + 1 < g->begin.n ? g->begin.at[i + 1]
                                     : (int)g->bytes.n;
        buf_add(out, "%s\n{\"buffer\":0,\"byteOffset\":%d,\"byteLength\":%d,"
                "\"target\":%d}", i ? "," : "", g->begin.at[i],
                end - g->begin.at[i], i % 2 ? 34963 : 34962);
    }
    buf_add(out, "],\n");
}

Str gltf_of(Ctx *c, const SolidBody *bodies, int n, Str title) {
    Gltf g   = { .c = c, .bytes = BUF(c) };
    Buf  out = BUF(c);

    for (int i = 0; i < n; i++)
        (void)mesh_of(&g, bodies[i].solid);
    add_bytes(&g);
    buf_add(&out, "{\"asset\":{\"version\":\"2.0\"},\n\"scene\":0,"
            "\"scenes\":[{\"nodes\":[0]}],\n");
    add_nodes(&g, &out, bodies, n, title);
    add_meshes(&g, &out);
    buf_add(&out, "\"materials\":[{\"name\":\"wood\",\"pbrMetallicRoughness\""
            ":{\"baseColorFactor\":[0.76,0.63,0.45,1],\"metallicFactor\":0,"
            "\"roughnessFactor\":0.9}}],\n\"buffers\":[{\"byteLength\":%zu,"
            "\"uri\":\"data:application/octet-stream;base64,", g.bytes.n);
    add_base64(&out, buf_done(&g.bytes));
    buf_add(&out, "\"}]}\n");
    return buf_done(&out);
}
