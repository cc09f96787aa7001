/* cells -- convex pieces of a solid, and cutting them by planes.
 *
 * Everything that a saw, a drill or a chisel does to a part is done by one
 * routine: what lies beyond a plane is cut off a convex cell. A tool is
 * taken away by keeping, plane by plane, the piece outside it:
 *
 *      +------------+        +--+---+-----+
 *      |    +---+   |        |  |   |     |    the tool's two sides and
 *      |    |   |   |   =>   |  |   |     |    its bottom split the board
 *      |            |        |  +---+     |    into three cells
 *      +------------+        +--+---+-----+
 */
#include "geom/geom_internal.h"

#include <math.h>

typedef struct { int a, b; V3 p; } CutPoint;   // of the edge a-b, a < b

/* A cell being parted by a plane. */
typedef struct {
    Ctx        *c;
    const Cell *cell;
    double     *off;     // signed distance of each vertex
    int        *side;    // -1 inside, 0 on the plane, 1 beyond
    CutPoint   *cut;
    int         cuts;
    int        *lies;    // of each face: bits of FaceLies
    int         edges, crossings;   // of all faces; each edge has two
} Parting;

enum { LIES_NEAR = 1, LIES_BEYOND = 2, LIES_ON = 4 };   // FaceLies

/* What lies on one side of the plane. */
typedef struct {
    Cell *out;
    int   way;       // of `side`: -1 the near half, 1 the far one
    int  *number;    // of each old vertex in the new cell, then of each cut
    int  *next;      // around the cut face, by new vertex; -1: none
    int  *room;      // for corners of faces
    bool *flat;      // of the face at work: which corners lie in the plane
} Half;

/* ---- Clipping ---- */

/* On the plane means within 1e-7 mm, a little more for large work. */
static Clip classify(Parting *w, Plane keep) {
    const Cell *cell = w->cell;
    V3     size = v3_sub(cell->box.max, cell->box.min);
    double near = ON_PLANE * fmax(1, v3_len(size) / 1000);
    int    in = 0, beyond = 0;

    for (int i = 0; i < cell->vert.n; i++) {
        double off = v3_dot(keep.n, cell->vert.at[i]) - keep.d;
        w->off[i]  = off;
        w->side[i] = off > near ? 1 : off < -near ? -1 : 0;
        in     += w->side[i] < 0;
        beyond += w->side[i] > 0;
    }
    return !beyond ? CLIP_ALL : !in ? CLIP_NONE : CLIP_PART;
}

/* Where the corners of each face lie. */
static void look_at_faces(Parting *w) {
    static const int bit[3] = { LIES_NEAR, LIES_ON, LIES_BEYOND };
    const Cell *cell = w->cell;

    for (int i = 0; i < cell->face.n; i++) {
        const int *v = cell->face.at[i].vert.at, n = cell->face.at[i].vert.n;
        int before = w->side[v[n - 1]];
        for (int k = 0; k < n; k++) {
            int side = w->side[v[k]];
            w->lies[i]   |= bit[side + 1];
            w->crossings += side * before < 0;
            before = side;
        }
        w->edges += n;
    }
}

static bool v3_before(V3 a, V3 b) {
    if (a.x != b.x)
        return a.x < b.x;
    return a.y != b.y ? a.y < b.y : a.z < b.z;
}

/* The cut point of an edge is computed from its ends in order of place,
 * so that all cells around the edge get the same bits. */
static int cut_of(Parting *w, int a, int b) {
    const V3 *p  = w->cell->vert.at;
    int       lo = a < b ? a : b, hi = a < b ? b : a;
    double    t;

    for (int i = 0; i < w->cuts; i++)
        if (w->cut[i].a == lo && w->cut[i].b == hi)
            return i;
    if (!v3_before(p[a], p[b])) {
        int swap = a;
        a = b;
        b = swap;
    }
    t = w->off[a] / (w->off[a] - w->off[b]);
    w->cut[w->cuts] = (CutPoint){
        lo, hi, v3_add(p[a], v3_scale(v3_sub(p[b], p[a]), t))
    };
    return w->cuts++;
}

/* The number in the new cell of old vertex i, or of a cut after them. */
static int new_vertex(Half *h, int i, V3 p) {
    if (h->number[i] < 0) {
        h->number[i] = h->out->vert.n;
        h->out->vert.at[h->out->vert.n++] = p;
        box3_add(&h->out->box, p);
    }
    return h->number[i];
}

/* A face that lies in this half alone. */
static CellFace whole_face(const Parting *w, Half *h, const CellFace *f) {
    CellFace out = { f->plane, { h->room, f->vert.n, f->vert.n } };

    for (int i = 0; i < f->vert.n; i++) {
        int a = f->vert.at[i];
        h->flat[i] = w->side[a] == 0;
        h->room[i] = new_vertex(h, a, w->cell->vert.at[a]);
    }
    h->room += f->vert.n;
    return out;
}

/* The part of a face in this half. */
static CellFace clip_face(Parting *w, Half *h, const CellFace *f) {
    CellFace out = { .plane = f->plane, .vert.at = h->room };
    int      n   = f->vert.n, k = 0;

    for (int i = 0; i < n; i++) {
        int a = f->vert.at[i], b = f->vert.at[i + 1 < n ? i + 1 : 0];
        if (w->side[a] * h->way >= 0) {
            h->flat[k]   = w->side[a] == 0;
            h->room[k++] = new_vertex(h, a, w->cell->vert.at[a]);
        }
        if (w->side[a] * w->side[b] < 0) {
            int cut = cut_of(w, a, b);
            h->flat[k]   = true;
            h->room[k++] = new_vertex(h, w->cell->vert.n + cut,
                                      w->cut[cut].p);
        }
    }
    out.vert.n = out.vert.cap = k;
    h->room += k;
    return out;
}

/* ---- The cut face ---- */

/* Corners in the plane by angle about their middle: what is left when the
 * walk from face to face does not close. */
typedef struct { double angle; int v; } Spoke;

static int by_angle(const void *pa, const void *pb, const void *with) {
    const Spoke *a = pa, *b = pb;

    (void)with;
    return a->angle < b->angle ? -1 : a->angle > b->angle;
}

static void cap_by_angle(Ctx *c, const Half *h, CellFace *cap) {
    LIST(Spoke) spokes = { 0 };
    V3 u, v, mid = { 0, 0, 0 };

    for (int i = 0; i < h->out->vert.n; i++)
        if (h->next[i] >= 0) {
            *PUSH(c, &spokes) = (Spoke){ 0, i };
            mid = v3_add(mid, h->out->vert.at[i]);
        }
    mid = v3_scale(mid, 1.0 / (spokes.n ? spokes.n : 1));
    plane_axes(cap->plane.n, &u, &v);
    for (int i = 0; i < spokes.n; i++) {
        V3 to = v3_sub(h->out->vert.at[spokes.at[i].v], mid);
        spokes.at[i].angle = atan2(v3_dot(to, v), v3_dot(to, u));
    }
    list_sort(c, spokes.at, spokes.n, sizeof *spokes.at, by_angle, NULL);
    for (int i = 0; i < spokes.n; i++)
        cap->vert.at[i] = spokes.at[i].v;
    cap->vert.n = spokes.n;
}

static void add_cap(Ctx *c, Half *h, Plane plane) {
    CellFace cap = { .plane = plane, .vert.at = h->room };
    int      count = 0, first = -1, at;

    for (int i = h->out->vert.n - 1; i >= 0; i--)
        if (h->next[i] >= 0) {
            first = i;
            count++;
        }
    if (count < 3)
        return;
    at = first;
    do {
        cap.vert.at[cap.vert.n++] = at;
        at = h->next[at];
    } while (at >= 0 && at != first && cap.vert.n < count);
    if (at != first || cap.vert.n != count)
        cap_by_angle(c, h, &cap);
    cap.vert.cap = cap.vert.n;
    h->out->face.at[h->out->face.n++] = cap;
}

/* Each clipped face runs once along the plane; the cut face runs the same
 * way back. */
static void note_flat_edges(Half *h, const CellFace *f) {
    for (int i = 0; i < f->vert.n; i++) {
        int k = i + 1 < f->vert.n ? i + 1 : 0;
        if (h->flat[i] && h->flat[k])
            h->next[f->vert.at[k]] = f->vert.at[i];
    }
}

static bool make_half(Parting *w, int way, Plane cap, Cell *out) {
    const Cell *cell = w->cell;
    int   n = cell->vert.n + w->crossings;
    int   corners = w->edges + w->crossings + n;
    int   own = way < 0 ? LIES_NEAR : LIES_BEYOND;
    Half  h = { .out = out, .way = way };

    *out = (Cell){ .box = box3_empty() };
    out->vert.at = NEW_N(w->c, V3, n);
    out->face.at = NEW_N(w->c, CellFace, cell->face.n + 1);
    h.number     = NEW_N(w->c, int, 2 * n + corners);
    h.next       = h.number + n;
    h.room       = h.next + n;
    h.flat       = NEW_N(w->c, bool, n);
    memset(h.number, 0xff, sizeof(int) * 2 * (size_t)n);   // -1
    for (int i = 0; i < cell->face.n; i++) {
        const CellFace *from = &cell->face.at[i];
        int             lies = w->lies[i];
        CellFace        f;
        if (!(lies & own))
            continue;
        f = (lies | LIES_ON) == (own | LIES_ON) ? whole_face(w, &h, from)
                                                : clip_face(w, &h, from);
        if (f.vert.n < 3)
            continue;
        if (lies != own)
            note_flat_edges(&h, &f);
        out->face.at[out->face.n++] = f;
    }
    add_cap(w->c, &h, cap);
    return out->face.n >= 4;
}

Clip cell_part(Ctx *c, const Cell *cell, Plane keep, Cell *near, Cell *far) {
    int     n = cell->vert.n;
    Parting w = { .c = c, .cell = cell };
    Clip    clip;

    w.off  = NEW_N(c, double, n + 1);
    w.side = NEW_N(c, int, n + 1 + cell->face.n);
    clip   = classify(&w, keep);
    if (clip != CLIP_PART)
        return clip;
    w.lies = w.side + n + 1;
    look_at_faces(&w);
    w.cut = NEW_N(c, CutPoint, w.crossings);
    if (far && !make_half(&w, 1, plane_flip(keep), far))
        return CLIP_ALL;
    return !near || make_half(&w, -1, keep, near) ? CLIP_PART : CLIP_NONE;
}

/* ---- Solids ---- */

/* A copy without room to grow. */
static Cell cell_copy(Ctx *c, const Cell *from) {
    int      n = from->vert.n, m = from->face.n, sum = 0, *vert;
    Cell     to = { .box = from->box };
    CellFace *face = NEW_N(c, CellFace, m);

    for (int i = 0; i < m; i++)
        sum += from->face.at[i].vert.n;
    to.vert.at = NEW_N(c, V3, n);
    to.vert.n  = to.vert.cap = n;
    to.face.at = face;
    to.face.n  = to.face.cap = m;
    memcpy(to.vert.at, from->vert.at, sizeof(V3) * (size_t)n);
    vert = NEW_N(c, int, sum);
    for (int i = 0; i < m; i++) {
        const CellFace *f = &from->face.at[i];
        face[i] = (CellFace){ f->plane, { vert, f->vert.n, f->vert.n } };
        memcpy(vert, f->vert.at, sizeof(int) * (size_t)f->vert.n);
        vert += f->vert.n;
    }
    return to;
}

/* Does the plane have all of the cell beyond it? The box alone often
 * tells. */
static bool all_beyond(const Cell *cell, Plane p) {
    Box3 b = cell->box;
    V3   near = v3(p.n.x > 0 ? b.min.x : b.max.x,
                   p.n.y > 0 ? b.min.y : b.max.y,
                   p.n.z > 0 ? b.min.z : b.max.z);

    if (v3_dot(p.n, near) - p.d >= -ON_PLANE)
        return true;
    for (int i = 0; i < cell->vert.n; i++)
        if (v3_dot(p.n, cell->vert.at[i]) - p.d < -ON_PLANE)
            return false;
    return true;
}

static void cut_cells(Ctx *c, Ctx *work, Solid *s, Plane keep) {
    int n = 0;

    for (int i = 0; i < s->cells.n; i++) {
        Cell *cell = &s->cells.at[i], left, off;
        Clip  clip = all_beyond(cell, plane_flip(keep)) ? CLIP_ALL
                   : cell_part(work, cell, keep, &left, &off);
        if (clip != CLIP_ALL)
            *PUSH(c, &s->waste) = clip == CLIP_NONE ? *cell
                                : cell_copy(c, &off);
        if (clip != CLIP_NONE)
            s->cells.at[n++] = clip == CLIP_ALL ? *cell
                             : cell_copy(c, &left);
        arena_reset(&work->arena);
    }
    s->cells.n = n;
}

void solid_cuts(Ctx *c, Solid *s, const Plane *keep, int n) {
    Ctx work = ctx_scratch(c);

    for (int i = 0; i < n; i++)
        cut_cells(c, &work, s, keep[i]);
    ctx_free(&work);
}

void solid_cut(Ctx *c, Solid *s, Plane keep) {
    solid_cuts(c, s, &keep, 1);
}

typedef LIST(Cell) Cells;

/* A cell that the tool misses must not be split by the tool's planes.
 * False: it misses. *gone gets what the tool takes. */
static bool subtract_from(Ctx *c, Cells *kept, const Cell *cell,
                          const Plane *tool, int n, Cell *gone) {
    Cell in = *cell, left, beyond;

    for (int i = 0; i < n; i++)
        if (all_beyond(cell, tool[i]))
            return false;
    for (int k = 0; k < n; k++) {
        Clip clip = cell_part(c, &in, tool[k], &left, &beyond);
        if (clip == CLIP_NONE)
            return false;
        if (clip == CLIP_ALL)
            continue;
        *PUSH(c, kept) = beyond;
        in = left;
    }
    *gone = in;
    return true;
}

void solid_subtract(Ctx *c, Solid *s, const Plane *tool, int n) {
    Ctx work  = ctx_scratch(c);
    int cells = s->cells.n, k = 0;

    for (int i = 0; i < cells; i++) {
        Cell  cell = s->cells.at[i], gone;
        Cells kept = { 0 };
        if (!subtract_from(&work, &kept, &cell, tool, n, &gone)) {
            s->cells.at[k++] = cell;
        } else {
            for (int j = 0; j < kept.n; j++)
                *PUSH(c, &s->cells) = cell_copy(c, &kept.at[j]);
            *PUSH(c, &s->waste) = cell_copy(c, &gone);
        }
        arena_reset(&work.arena);
    }
    ctx_free(&work);
    for (int i = cells; i < s->cells.n; i++)
        s->cells.at[k + i - cells] = s->cells.at[i];
    s->cells.n -= cells - k;
}

/* Parts the cells that meet the box at its four upright sides, so that
 * what is taken out of the box leaves no sliver outside of it. */
void solid_box_in(Ctx *c, Solid *s, Box3 box) {
    int n    = s->cells.n;
    Ctx work = ctx_scratch(c);

    for (int i = 0; i < n; i++) {
        Plane sides[4] = {
            { { -1, 0, 0 }, -box.min.x, 0 }, { { 1, 0, 0 }, box.max.x, 0 },
            { { 0, -1, 0 }, -box.min.y, 0 }, { { 0, 1, 0 }, box.max.y, 0 },
        };
        Cell in = s->cells.at[i], out, left;
        if (!box3_touch(in.box, box, -ON_PLANE))
            continue;
        for (int k = 0; k < 4; k++) {
            if (cell_part(&work, &in, sides[k], &left, &out) != CLIP_PART)
                continue;
            in = left;
            *PUSH(c, &s->cells) = cell_copy(c, &out);
        }
        s->cells.at[i] = cell_copy(c, &in);
        arena_reset(&work.arena);
    }
    ctx_free(&work);
}

int tool_cylinder(Ctx *c, V3 p, V3 dir, double radius, double length,
                  double sagitta, int *next_curve, Plane **planes) {
    double r = nearbyint(radius * 1e6) / 1e6;
    int    n = circle_facets(r, sagitta), curve = (*next_curve)++;
    Plane *out = NEW_N(c, Plane, n + 2);
    V3     u, v;

    plane_axes(dir, &u, &v);
    out[0] = (Plane){ v3_scale(dir, -1), -v3_dot(dir, p), 0 };
    out[1] = (Plane){ dir, v3_dot(dir, p) + length, 0 };
    for (int i = 0; i < n; i++) {
        V2 mid = lattice_direction(2 * i + 1, 2 * n);
        V3 nor = v3_add(v3_scale(u, mid.x), v3_scale(v, mid.y));
        out[i + 2] = (Plane){ nor, v3_dot(nor, p) + r * cos(PI / n),
                              curve };
    }
    *planes = out;
    return n + 2;
}

/* ---- Making and moving cells ---- */

Cell cell_of_prism(Ctx *c, const Upright *b) {
    int       n = b->n, *vert = NEW_N(c, int, 6 * n);
    CellFace *face = NEW_N(c, CellFace, n + 2);
    V3       *p = NEW_N(c, V3, 2 * n);
    Cell      cell = { { p, 2 * n, 2 * n }, { face, n + 2, n + 2 },
                       { v3(b->box.min.x, b->box.min.y, b->z0),
                         v3(b->box.max.x, b->box.max.y, b->z1) } };

    face[0] = (CellFace){ { v3(0, 0, -1), -b->z0, 0 }, { vert, n, n } };
    face[1] = (CellFace){ { v3(0, 0, 1), b->z1, 0 }, { vert + n, n, n } };
    for (int i = 0; i < n; i++) {
        const Wall *w = &b->p[i];
        int k = i + 1 < n ? i + 1 : 0, *side = vert + 2 * n + 4 * i;
        p[i]        = v3(w->p.x, w->p.y, b->z0);
        p[n + i]    = v3(w->p.x, w->p.y, b->z1);
        vert[i]     = n - 1 - i;
        vert[n + i] = n + i;
        side[0] = i, side[1] = k, side[2] = n + k, side[3] = n + i;
        face[i + 2] = (CellFace){ { v3(w->n.x, w->n.y, 0), w->d, w->curve },
                                  { side, 4, 4 } };
    }
    return cell;
}

/* Sums tetrahedra from the cell's first corner to each face. */
double cell_volume(const Cell *cell, V3 *moment) {
    V3     o = cell->vert.at[0];
    double sum = 0;

    for (int i = 0; i < cell->face.n; i++) {
        const CellFace *f = &cell->face.at[i];
        V3 a = v3_sub(cell->vert.at[f->vert.at[0]], o);
        for (int k = 1; k + 1 < f->vert.n; k++) {
            V3     b  = v3_sub(cell->vert.at[f->vert.at[k]], o);
            V3     d  = v3_sub(cell->vert.at[f->vert.at[k + 1]], o);
            double vol = v3_dot(a, v3_cross(b, d)) / 6;
            V3     mid = v3_scale(v3_add(a, v3_add(b, d)), 0.25);
            sum    += vol;
            *moment = v3_add(*moment, v3_scale(v3_add(o, mid), vol));
        }
    }
    return sum;
}

Plane plane_flip(Plane p) {
    return (Plane){ v3_scale(p.n, -1), -p.d, p.curve };
}

Plane plane_placed(Plane p, const Frame *f) {
    V3 n = frame_vector(f, p.n);

    return (Plane){ n, p.d + v3_dot(n, f->o), p.curve };
}

/* A mirrored cell has its faces listed the other way about. */
Cell cell_placed(Ctx *c, const Cell *cell, const Frame *f) {
    Cell out  = { .box = box3_empty() };
    bool back = frame_det(f) < 0;

    for (int i = 0; i < cell->vert.n; i++) {
        V3 p = frame_point(f, cell->vert.at[i]);
        *PUSH(c, &out.vert) = p;
        box3_add(&out.box, p);
    }
    for (int i = 0; i < cell->face.n; i++) {
        const CellFace *from = &cell->face.at[i];
        CellFace       *to   = PUSH(c, &out.face);
        int             n    = from->vert.n;
        to->plane = plane_placed(from->plane, f);
        for (int k = 0; k < n; k++)
            *PUSH(c, &to->vert) = from->vert.at[back ? n - 1 - k : k];
    }
    return out;
}

/* The coordinate direction farthest from n is turned into the plane; for
 * n = z this gives x and y, so drilled holes share the facets of circles
 * in the part's face. */
void plane_axes(V3 n, V3 *u, V3 *v) {
    V3 ref = fabs(n.x) <= 0.75 ? v3(1, 0, 0) : v3(0, 1, 0);

    *u = v3_unit(v3_sub(ref, v3_scale(n, v3_dot(ref, n))));
    *v = v3_cross(n, *u);
}

/* Sutherland and Hodgman: cuts p by each edge of q in turn. */
int convex_clip(const V2 *p, int n, const V2 *q, int m, V2 *spare,
                V2 *out) {
    memcpy(out, p, sizeof *p * (size_t)n);
    for (int e = 0; e < m && n > 0; e++) {
        V2  from = q[e], along = v2_sub(q[(e + 1) % m], from);
        int k = 0;
        for (int i = 0; i < n; i++) {
            V2     a = out[i], b = out[(i + 1) % n];
            double sa = v2_cross(along, v2_sub(a, from));
            double sb = v2_cross(along, v2_sub(b, from));
            if (sa >= 0)
                spare[k++] = a;
            if ((sa > 0 && sb < 0) || (sa < 0 && sb > 0))
                spare[k++] = v2_add(a, v2_scale(v2_sub(b, a),
                                                sa / (sa - sb)));
        }
        n = k;
        memcpy(out, spare, sizeof *spare * (size_t)n);
    }
    return n < 3 ? 0 : n;
}
