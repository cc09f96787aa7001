/* skin -- the surface of a solid as convex polygons, for what hides.
 *
 *      +--+---+--+      +---------+
 *      |  |   |  |  =>  |         |     the front edge of a drilled board
 *      +--+---+--+      +---------+
 *
 * The faces of the cells would do, but there are several times as many:
 * where two cells meet both have one, inside the wood, and what is drilled
 * at one side parts all the others too. So a face of the solid that is
 * convex and has no holes is taken whole; of the others, the faces of cells
 * that lie in their plane. (Some of these may lie inside the wood: they hide
 * nothing that the surface does not.)
 */
#include "geom/solid_internal.h"

#include <math.h>

#define SAME_NORMAL 1e-6   // between unit normals
#define SAME_OFFSET 1e-4   // mm, between planes
#define STRAIGHT_ON 1e-6   // mm that a corner may lie in or out

static bool face_is_convex(const Face *face) {
    const Ring3 *r = face->rings.at;

    if (face->rings.n != 1)
        return false;
    for (int i = 0; i < r->n; i++) {
        V3     a    = r->at[i], b = r->at[(i + 1) % r->n];
        V3     side = v3_sub(b, a);
        V3     next = v3_sub(r->at[(i + 2) % r->n], b);
        double left = v3_dot(v3_cross(side, next), face->plane.n);
        if (left < -STRAIGHT_ON * v3_len(side))
            return false;
    }
    return true;
}

static bool in_plane_of(const Face *face, Plane p) {
    return v3_len(v3_sub(p.n, face->plane.n)) <= SAME_NORMAL
        && fabs(p.d - face->plane.d) <= SAME_OFFSET;
}

static void add_cell_face(Ctx *c, Solid *s, const Cell *cell,
                          const CellFace *face) {
    V3 *at = NEW_N(c, V3, face->vert.n);

    for (int i = 0; i < face->vert.n; i++)
        at[i] = cell->vert.at[face->vert.at[i]];
    *PUSH(c, &s->skin) = (Pane){ face->plane.n, at, face->vert.n };
}

/* The faces of cells in the plane of a face; NULL: all. */
static void add_cells(Ctx *c, Solid *s, const Face *face) {
    for (int i = 0; i < s->cells.n; i++) {
        const Cell *cell = &s->cells.at[i];
        for (int k = 0; k < cell->face.n; k++)
            if (!face || in_plane_of(face, cell->face.at[k].plane))
                add_cell_face(c, s, cell, &cell->face.at[k]);
    }
}

/* Does no corner lie before a face? */
static bool solid_is_convex(const Solid *s) {
    for (int i = 0; i < s->faces.n; i++) {
        const Plane *p = &s->faces.at[i].plane;
        for (int k = 0; k < s->faces.n; k++) {
            const Face *other = &s->faces.at[k];
            if (other->rings.n != 1)
                return false;
            for (int j = 0; j < other->rings.at[0].n; j++)
                if (v3_dot(p->n, other->rings.at[0].at[j])
                        > p->d + STRAIGHT_ON)
                    return false;
        }
    }
    return s->faces.n >= 4;
}

void solid_skin(Ctx *c, Solid *s) {
    s->skin.n = 0;
    s->convex = solid_is_convex(s);
    if (!s->closed) {
        add_cells(c, s, NULL);
        return;
    }
    for (int i = 0; i < s->faces.n; i++) {
        const Face  *face = &s->faces.at[i];
        const Ring3 *ring = face->rings.at;
        bool         done = false;
        if (face_is_convex(face)) {
            *PUSH(c, &s->skin) = (Pane){ face->plane.n, ring->at, ring->n };
            continue;
        }
        for (int k = 0; k < i && !done; k++)   // another face of that plane
            done = !face_is_convex(&s->faces.at[k])
                && in_plane_of(face, s->faces.at[k].plane);
        if (!done)
            add_cells(c, s, face);
    }
}
