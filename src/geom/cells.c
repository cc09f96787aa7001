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

typedef struct { int a, b, v; } CutPoint;   // of the edge a-b, a < b

/* A clip in progress. */
typedef struct {
    Ctx          *c;
    const Cell   *cell;
    double       *off;    // signed distance of each old vertex
    int          *side;   // -1 inside, 0 on the plane, 1 beyond
    int          *number; // of each kept vertex in the new cell
    LIST(CutPoint) cuts;
    int          *next;   // around the cut face, by new vertex; -1: none
    Cell         *left;
} Work;

/* ---- Clipping ---- */

/* On the plane means within 1e-7 mm, a little more for large work. */
static Clip classify(Work *w, Plane keep) {
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

static int new_vertex(Work *w, V3 p) {
    *PUSH(w->c, &w->left->vert) = p;
    box3_add(&w->left->box, p);
    return w->left->vert.n - 1;
}

static int kept_vertex(Work *w, int i) {
    if (w->number[i] < 0)
        w->number[i] = new_vertex(w, w->cell->vert.at[i]);
    return w->number[i];
}

static bool v3_before(V3 a, V3 b) {
    if (a.x != b.x)
        return a.x < b.x;
    return a.y != b.y ? a.y < b.y : a.z < b.z;
}

/* The cut point of an edge is computed from its ends in order of place,
 * so that all cells around the edge get the same bits. */
static int cut_vertex(Work *w, int a, int b) {
    int       lo = a < b ? a : b, hi = a < b ? b : a;
    V3        p, q;
    double    t;
    CutPoint *cut;

    for (int i = 0; i < w->cuts.n; i++)
        if (w->cuts.at[i].a == lo && w->cuts.at[i].b == hi)
            return w->cuts.at[i].v;
    if (!v3_before(w->cell->vert.at[a], w->cell->vert.at[b])) {
        int swap = a;
        a = b;
        b = swap;
    }
    p = w->cell->vert.at[a];
    q = w->cell->vert.at[b];
    t = w->off[a] / (w->off[a] - w->off[b]);
    cut  = PUSH(w->c, &w->cuts);
    *cut = (CutPoint){ lo, hi, 0 };
    cut->v = new_vertex(w, v3_add(p, v3_scale(v3_sub(q, p), t)));
    return cut->v;
}

/* The part of a face on the near side; `flat` gets the number of its
 * corners that lie in the plane, at[i] true for each. */
static CellFace clip_face(Work *w, const CellFace *f, bool *flat) {
    CellFace out = { .plane = f->plane };

    for (int i = 0; i < f->vert.n; i++) {
        int a = f->vert.at[i], b = f->vert.at[(i + 1) % f->vert.n];
        if (w->side[a] <= 0) {
            flat[out.vert.n] = w->side[a] == 0;
            *PUSH(w->c, &out.vert) = kept_vertex(w, a);
        }
        if (w->side[a] * w->side[b] < 0) {
            flat[out.vert.n] = true;
            *PUSH(w->c, &out.vert) = cut_vertex(w, a, b);
        }
    }
    return out;
}

static bool face_has_inside(const Work *w, const CellFace *f) {
    for (int i = 0; i < f->vert.n; i++)
        if (w->side[f->vert.at[i]] < 0)
            return true;
    return false;
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

static void cap_by_angle(Work *w, CellFace *cap) {
    LIST(Spoke) spokes = { 0 };
    V3 u, v, mid = { 0, 0, 0 };

    for (int i = 0; i < w->left->vert.n; i++)
        if (w->next[i] >= 0) {
            *PUSH(w->c, &spokes) = (Spoke){ 0, i };
            mid = v3_add(mid, w->left->vert.at[i]);
        }
    mid = v3_scale(mid, 1.0 / (spokes.n ? spokes.n : 1));
    plane_axes(cap->plane.n, &u, &v);
    for (int i = 0; i < spokes.n; i++) {
        V3 to = v3_sub(w->left->vert.at[spokes.at[i].v], mid);
        spokes.at[i].angle = atan2(v3_dot(to, v), v3_dot(to, u));
    }
    list_sort(w->c, spokes.at, spokes.n, sizeof *spokes.at, by_angle, NULL);
    for (int i = 0; i < spokes.n; i++)
        *PUSH(w->c, &cap->vert) = spokes.at[i].v;
}

static void add_cap(Work *w, Plane keep) {
    CellFace cap = { .plane = keep };
    int      count = 0, first = -1, at;

    for (int i = w->left->vert.n - 1; i >= 0; i--)
        if (w->next[i] >= 0) {
            first = i;
            count++;
        }
    if (count < 3)
        return;
    at = first;
    do {
        *PUSH(w->c, &cap.vert) = at;
        at = w->next[at];
    } while (at >= 0 && at != first && cap.vert.n < count);
    if (at != first || cap.vert.n != count) {
        cap.vert.n = 0;
        cap_by_angle(w, &cap);
    }
    *PUSH(w->c, &w->left->face) = cap;
}

/* Each clipped face runs once along the plane; the cut face runs the same
 * way back. */
static void note_flat_edges(Work *w, const CellFace *f, const bool *flat) {
    for (int i = 0; i < f->vert.n; i++) {
        int k = (i + 1) % f->vert.n;
        if (flat[i] && flat[k])
            w->next[f->vert.at[k]] = f->vert.at[i];
    }
}

static Work work_begin(Ctx *c, const Cell *cell, Cell *left) {
    int  n = cell->vert.n;
    Work w = { .c = c, .cell = cell, .left = left };

    w.off    = NEW_N(c, double, n + 1);
    w.side   = NEW_N(c, int, n + 1);
    w.number = NEW_N(c, int, n + 1);
    for (int i = 0; i < n; i++)
        w.number[i] = -1;
    return w;
}

Clip cell_clip(Ctx *c, const Cell *cell, Plane keep, Cell *left) {
    Work  w = work_begin(c, cell, left);
    Clip  clip = classify(&w, keep);
    int   most = 0;
    bool *flat;

    if (clip != CLIP_PART)
        return clip;
    *left = (Cell){ .box = box3_empty() };
    for (int i = 0; i < cell->face.n; i++)
        most = cell->face.at[i].vert.n > most ? cell->face.at[i].vert.n
                                              : most;
    flat   = NEW_N(c, bool, 2 * most + 2);
    w.next = NEW_N(c, int, cell->vert.n + 2 * most * cell->face.n + 1);
    for (int i = 0; i < cell->vert.n + 2 * most * cell->face.n; i++)
        w.next[i] = -1;
    for (int i = 0; i < cell->face.n; i++) {
        CellFace f;
        if (!face_has_inside(&w, &cell->face.at[i]))
            continue;
        f = clip_face(&w, &cell->face.at[i], flat);
        if (f.vert.n < 3)
            continue;
        note_flat_edges(&w, &f, flat);
        *PUSH(c, &left->face) = f;
    }
    add_cap(&w, keep);
    return left->face.n >= 4 ? CLIP_PART : CLIP_NONE;
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

/* Memory for clipping, that is used again for each cell. */
static Ctx scratch_for(const Ctx *c) {
    Ctx work = { 0 };

    work.arena.out_of_memory = c->arena.out_of_memory;
    return work;
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

/* Notes what a cut takes off a cell. */
static void note_waste(Ctx *c, Ctx *work, Solid *s, const Cell *cell,
                       Plane keep, Clip clip) {
    Cell off;

    if (clip == CLIP_NONE)
        *PUSH(c, &s->waste) = *cell;
    else if (clip == CLIP_PART && cell_clip(work, cell, plane_flip(keep),
                                            &off) == CLIP_PART)
        *PUSH(c, &s->waste) = cell_copy(c, &off);
}

void solid_cut(Ctx *c, Solid *s, Plane keep) {
    int n    = 0;
    Ctx work = scratch_for(c);

    for (int i = 0; i < s->cells.n; i++) {
        Cell left;
        Clip clip = all_beyond(&s->cells.at[i], plane_flip(keep)) ? CLIP_ALL
                  : cell_clip(&work, &s->cells.at[i], keep, &left);
        if (s->blank.n)
            note_waste(c, &work, s, &s->cells.at[i], keep, clip);
        if (clip == CLIP_NONE)
            continue;
        s->cells.at[n++] = clip == CLIP_ALL ? s->cells.at[i]
                         : cell_copy(c, &left);
        arena_reset(&work.arena);
    }
    ctx_free(&work);
    s->cells.n = n;
}

typedef LIST(Cell) Cells;

/* A cell that the tool misses must not be split by the tool's planes.
 * False: it misses. *gone gets what the tool takes. */
static bool subtract_from(Ctx *c, Cells *kept, const Cell *cell,
                          const Plane *tool, int n, Cell *gone) {
    Cell in = *cell, left;

    for (int i = 0; i < n; i++)
        if (all_beyond(cell, tool[i]))
            return false;
    for (int k = 0; k < n; k++) {
        Clip beyond = cell_clip(c, &in, plane_flip(tool[k]), &left);
        if (beyond == CLIP_ALL)
            return false;
        if (beyond == CLIP_NONE)
            continue;
        *PUSH(c, kept) = left;
        if (cell_clip(c, &in, tool[k], &left) != CLIP_PART)
            return false;
        in = left;
    }
    *gone = in;
    return true;
}

void solid_subtract(Ctx *c, Solid *s, const Plane *tool, int n) {
    Ctx work  = scratch_for(c);
    int cells = s->cells.n, k = 0;

    for (int i = 0; i < cells; i++) {
        Cell  cell = s->cells.at[i], gone;
        Cells kept = { 0 };
        if (!subtract_from(&work, &kept, &cell, tool, n, &gone)) {
            s->cells.at[k++] = cell;
        } else {
            for (int j = 0; j < kept.n; j++)
                *PUSH(c, &s->cells) = cell_copy(c, &kept.at[j]);
            if (s->blank.n)
                *PUSH(c, &s->waste) = cell_copy(c, &gone);
        }
        arena_reset(&work.arena);
    }
    ctx_free(&work);
    memmove(s->cells.at + k, s->cells.at + cells,
            sizeof *s->cells.at * (size_t)(s->cells.n - cells));
    s->cells.n -= cells - k;
}

/* Parts the cells that meet the box at its four upright sides, so that
 * what is taken out of the box leaves no sliver outside of it. */
void solid_box_in(Ctx *c, Solid *s, Box3 box) {
    int n    = s->cells.n;
    Ctx work = scratch_for(c);

    for (int i = 0; i < n; i++) {
        Plane sides[4] = {
            { { -1, 0, 0 }, -box.min.x, 0 }, { { 1, 0, 0 }, box.max.x, 0 },
            { { 0, -1, 0 }, -box.min.y, 0 }, { { 0, 1, 0 }, box.max.y, 0 },
        };
        Cell in = s->cells.at[i], out, left;
        if (!box3_touch(in.box, box, -ON_PLANE))
            continue;
        for (int k = 0; k < 4; k++) {
            if (cell_clip(&work, &in, sides[k], &left) != CLIP_PART
                    || cell_clip(&work, &in, plane_flip(sides[k]), &out)
                           != CLIP_PART)
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
