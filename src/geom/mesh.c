/* mesh -- the faces of a solid as triangles that meet edge to edge.
 *
 * A long edge of one face may lie against two short ones of its neighbors;
 * a reader of triangles would take that for a gap. So every corner of the
 * solid that lies on an edge of a face becomes a corner of that face first.
 */
#include "geom/geom_internal.h"

#include <math.h>

typedef LIST(int)  Ints;
typedef struct { V2 p; int v; } Flat;

/* ---- Corners ---- */

/* The same corner has the same bits in all rings. Numbers the corners of
 * all rings in order; `marks` gets each once. */
static int *number_corners(Ctx *c, const Solid *s, Mesh *mesh,
                           Marks *marks) {
    Marks all = { 0 };
    LIST(V3) p = { 0 };
    int  *number;

    for (int i = 0; i < s->faces.n; i++)
        for (int k = 0; k < s->faces.at[i].rings.n; k++) {
            const Ring3 *r = &s->faces.at[i].rings.at[k];
            for (int j = 0; j < r->n; j++) {
                *PUSH(c, &all) = mark_of(r->at[j], p.n);
                *PUSH(c, &p)   = r->at[j];
            }
        }
    number = NEW_N(c, int, p.n + 1);
    marks_sort(c, &all);
    for (int i = 0; i < all.n; i++) {
        V3  at    = p.at[all.at[i].v];
        int found = -1;
        for (int k = marks->n - 1; k >= 0 && found < 0
                && marks->at[k].at == all.at[i].at; k--) {
            V3 q = mesh->p.at[marks->at[k].v];
            if (q.x == at.x && q.y == at.y && q.z == at.z)
                found = marks->at[k].v;
        }
        if (found < 0) {
            found = mesh->p.n;
            *PUSH(c, &mesh->p) = at;
            *PUSH(c, marks)    = (Mark){ all.at[i].at, found };
        }
        number[all.at[i].v] = found;
    }
    return number;
}

/* Adds corner a, and those between a and b, to the ring. */
static void add_edge(Ctx *c, const Mesh *mesh, const Marks *marks, int a,
                     int b, Ints *ring) {
    Marks on = marks_between(c, marks, mesh->p.at, a, b);

    *PUSH(c, ring) = a;
    for (int i = 0; i < on.n; i++)
        *PUSH(c, ring) = on.at[i].v;
}

/* ---- Triangles of a face ---- */

static int by_flat(const void *pa, const void *pb, const void *with) {
    const Flat *a = pa, *b = pb;

    (void)with;
    if (a->p.x != b->p.x)
        return a->p.x < b->p.x ? -1 : 1;
    return a->p.y < b->p.y ? -1 : a->p.y > b->p.y;
}

static int corner_of(const Flat *flat, int n, V2 p) {
    int from = 0, to = n;

    while (from < to) {
        int  mid = (from + to) / 2;
        Flat key = { p, 0 };
        int  way = by_flat(&flat[mid], &key, NULL);
        if (way == 0)
            return flat[mid].v;
        if (way < 0)
            from = mid + 1;
        else
            to = mid;
    }
    return -1;
}

static void add_triangle(Ctx *c, Mesh *mesh, int a, int b, int d, int face) {
    if (a < 0 || b < 0 || d < 0 || a == b || b == d || a == d)
        return;
    *PUSH(c, &mesh->triangles) = (Triangle){ { a, b, d }, face };
}

/* A face as thin as an edge: any triangles will do, and most would have no
 * area to be found by. */
static bool is_sliver(const Mesh *mesh, const Ints *r, double area) {
    double around = 0;

    for (int i = 0; i < r->n; i++)
        around += v3_len(v3_sub(mesh->p.at[r->at[(i + 1) % r->n]],
                                mesh->p.at[r->at[i]]));
    return area < around * ON_EDGE;
}

static void add_face(Ctx *c, Mesh *mesh, const Marks *marks, const Face *f,
                     int index, const int *number) {
    CornerLoops outline = { 0 };
    LIST(Flat)  flat = { 0 };
    Ring        out = { 0 };
    Ints        ring = { 0 };
    V3          u, v;

    plane_axes(f->plane.n, &u, &v);
    for (int k = 0; k < f->rings.n; k++) {
        const Ring3 *r = &f->rings.at[k];
        Corners     *l = PUSH(c, &outline);
        ring.n = 0;
        for (int j = 0; j < r->n; j++)
            add_edge(c, mesh, marks, number[j], number[(j + 1) % r->n],
                     &ring);
        number += r->n;
        for (int j = 0; j < ring.n; j++) {
            V3 p = mesh->p.at[ring.at[j]];
            V2 q = v2(v3_dot(p, u), v3_dot(p, v));
            *PUSH(c, l) = (Corner){ q, 0 };
            *PUSH(c, &flat) = (Flat){ q, ring.at[j] };
        }
    }
    if (f->rings.n == 1 && (ring.n == 3 || is_sliver(mesh, &ring, f->area))) {
        for (int j = 1; j + 1 < ring.n; j++)
            add_triangle(c, mesh, ring.at[0], ring.at[j], ring.at[j + 1],
                         index);
        return;
    }
    list_sort(c, flat.at, flat.n, sizeof *flat.at, by_flat, NULL);
    mesh->whole &= triangles_of(c, &outline, &out);
    for (int i = 0; i + 2 < out.n; i += 3)
        add_triangle(c, mesh, corner_of(flat.at, flat.n, out.at[i]),
                     corner_of(flat.at, flat.n, out.at[i + 1]),
                     corner_of(flat.at, flat.n, out.at[i + 2]), index);
}

Mesh solid_mesh(Ctx *c, const Solid *s) {
    Mesh  mesh  = { .whole = true };
    Marks marks = { 0 };
    int  *number = number_corners(c, s, &mesh, &marks);

    for (int i = 0; i < s->faces.n; i++) {
        const Face *f = &s->faces.at[i];
        add_face(c, &mesh, &marks, f, i, number);
        for (int k = 0; k < f->rings.n; k++)
            number += f->rings.at[k].n;
    }
    return mesh;
}
