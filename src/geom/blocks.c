/* blocks -- a board as upright convex prisms, while it is worked square to
 * its faces.
 *
 * Nearly all cuts in a board are square to its faces, so they are made in
 * the plane: a block is a convex outline and a height from z0 to z1, and a
 * cut takes a convex outline away from those blocks that it meets.
 *
 *      +-----------+      +--+-----+--+     first the cut is boxed in (so
 *      |     _     |      |  |\_ _/|  |     that no sliver runs to the far
 *      |    (_)    |  =>  |  | (_) |  |     end of the board), then each of
 *      |           |      |  |/   \|  |     its sides parts one block off
 *      +-----------+      +--+-----+--+
 *
 * A round cut with wood all around is parted from its box by a fan of
 * triangles, whose sides match each other. Below a cut of a depth its own
 * outline is left as a block. The work grows with the blocks met. The
 * rivals are clipping in space, and triangulating the outline with all its
 * holes, which GEOS does in the square of their number.
 */
#include "geom/geom_internal.h"

#include <math.h>

#define SAME_LEVEL  1e-6   // mm, between heights
#define BOX_ROOM    0.25   // of a cut's size, around it
#define FEW_SIDES   6      // cuts with more of them are boxed in
#define CLEAR       0.05   // mm of wood around a fan's hole
#define PARALLEL    1e-9   // between unit normals

/* ---- Cutting an outline by a line ---- */

/* How far inside the line each corner lies, 0 if on it. Returns bits: 1
 * some are inside, 2 some are beyond. */
static int heights(const Wall *p, int n, const Wall *line, double *h) {
    int where = 0;

    for (int i = 0; i < n; i++) {
        double off = line->d - v2_dot(line->n, p[i].p);
        h[i] = fabs(off) <= ON_PLANE ? 0 : off;
        where |= h[i] > 0 ? 1 : h[i] < 0 ? 2 : 0;
    }
    return where;
}

/* Computed from the ends in order of place: both sides get the same bits. */
static V2 cut_point(V2 p, double hp, V2 q, double hq) {
    if (p.x > q.x || (p.x == q.x && p.y > q.y)) {
        V2     swap = p;
        double h    = hp;
        p = q, hp = hq;
        q = swap, hq = h;
    }
    return v2_add(p, v2_scale(v2_sub(q, p), hp / (hp - hq)));
}

static Wall wall_turned(const Wall *w) {
    return (Wall){ w->p, v2_scale(w->n, -1), -w->d, w->curve };
}

static Wall wall_from(const Wall *w, V2 p) {
    return (Wall){ p, w->n, w->d, w->curve };
}

/* The part where sign * h >= 0; its new side is on `line`. Returns its
 * number of corners; room for n + 1 in `out`. */
static int part_of(const Wall *p, const double *h, int n, double sign,
                   const Wall *line, Wall *out) {
    int k = 0;

    for (int i = 0; i < n; i++) {
        int    j = i + 1 < n ? i + 1 : 0;
        double a = sign * h[i], b = sign * h[j];
        if (a >= 0)
            out[k++] = wall_from(a == 0 && b < 0 ? line : &p[i], p[i].p);
        if ((a > 0 && b < 0) || (a < 0 && b > 0))
            out[k++] = wall_from(a > 0 ? line : &p[i],
                                 cut_point(p[i].p, h[i], p[j].p, h[j]));
    }
    return k;
}

/* ---- Blocks ---- */

static Box2 walls_box(const Wall *p, int n) {
    Box2 box = box2_empty();

    for (int i = 0; i < n; i++)
        box2_add(&box, p[i].p);
    return box;
}

static Box2 corners_box(const Corners *l) {
    Box2 box = box2_empty();

    for (int i = 0; i < l->n; i++)
        box2_add(&box, l->at[i].p);
    return box;
}

static bool box2_meet(Box2 a, Box2 b) {
    return a.min.x < b.max.x && a.max.x > b.min.x && a.min.y < b.max.y
        && a.max.y > b.min.y;
}

static double block_area(const Wall *p, int n) {
    double sum = 0;

    for (int i = 1; i + 1 < n; i++)
        sum += v2_cross(v2_sub(p[i].p, p[0].p), v2_sub(p[i + 1].p, p[0].p));
    return sum / 2;
}

static Upright upright(Ctx *c, const Wall *p, int n, double z0, double z1) {
    Upright block = { NEW_N(c, Wall, n), n, z0, z1, walls_box(p, n) };

    memcpy(block.p, p, sizeof *p * (size_t)n);
    return block;
}

static void add_block(Ctx *c, Blocks *b, const Wall *p, int n, double z0,
                      double z1) {
    if (n >= 3 && z1 - z0 > SAME_LEVEL)
        *PUSH(c, b) = upright(c, p, n, z0, z1);
}

/* Returns the volume. */
static double add_waste(Ctx *c, Blocks *b, const Wall *p, int n, double z0,
                        double z1) {
    if (n < 3 || z1 - z0 <= SAME_LEVEL)
        return 0;
    *PUSH(c, &b->waste) = upright(c, p, n, z0, z1);
    return block_area(p, n) * (z1 - z0);
}

/* Parts block i by a line, if it has something on both sides; what is
 * inside keeps the number. */
static void part_block(Ctx *c, Blocks *b, int i, V2 n, double d) {
    Upright  from = b->at[i];
    double *h   = b->h;
    Wall   line = { { 0, 0 }, n, d, 0 }, back = wall_turned(&line);
    int    k;

    if (heights(from.p, from.n, &line, h) != 3)
        return;
    k = part_of(from.p, h, from.n, -1, &back, b->spare);
    add_block(c, b, b->spare, k, from.z0, from.z1);
    k = part_of(from.p, h, from.n, 1, &line, b->spare);
    if (k > from.n)
        from.p = NEW_N(c, Wall, k);
    memcpy(from.p, b->spare, sizeof *from.p * (size_t)k);
    from.n   = k;
    from.box = walls_box(from.p, k);
    b->at[i] = from;
}

/* Leaves in block i what lies near the box. */
static void box_in(Ctx *c, Blocks *b, int i, Box2 box) {
    V2     size = v2_sub(box.max, box.min);
    double room = BOX_ROOM * fmax(size.x, size.y);

    part_block(c, b, i, v2(-1, 0), room - box.min.x);
    part_block(c, b, i, v2(1, 0), room + box.max.x);
    part_block(c, b, i, v2(0, -1), room - box.min.y);
    part_block(c, b, i, v2(0, 1), room + box.max.y);
}

/* ---- Walls of an outline ---- */

/* The upright plane through an edge. Computed from the ends in order of
 * place: the block on the other side gets exactly the opposite plane. */
static Wall wall_of(const Corner *from, V2 to) {
    bool   forward = from->p.x < to.x
                  || (from->p.x == to.x && from->p.y < to.y);
    V2     a = forward ? from->p : to, b = forward ? to : from->p;
    V2     along = v2_sub(b, a);
    double way   = forward ? 1 : -1;
    V2     n = v2_scale(v2(along.y, -along.x), 1 / v2_len(along));

    return (Wall){ from->p, v2_scale(n, way), way * v2_dot(n, a),
                   from->curve };
}

static Wall *walls_of(Ctx *c, const Corners *l, V2 by) {
    Wall *out = NEW_N(c, Wall, l->n);

    for (int i = 0; i < l->n; i++) {
        Corner a = { v2_add(l->at[i].p, by), l->at[i].curve };
        out[i] = wall_of(&a, v2_add(l->at[(i + 1) % l->n].p, by));
    }
    return out;
}

/* ---- Taking away ---- */

/* A convex outline that is taken away from z0 to z1. */
typedef struct { const Wall *p; int n; double z0, z1; Box2 box; } Bite;

static bool boxes_meet(const Upright *b, const Bite *t) {
    return b->n && b->z0 < t->z1 - SAME_LEVEL && b->z1 > t->z0 + SAME_LEVEL
        && box2_meet(b->box, t->box);
}

/* Does a side of one outline have all of the other beyond it? */
static bool side_parts(const Wall *p, int n, const Wall *q, int m) {
    for (int i = 0; i < n; i++) {
        int k = 0;
        while (k < m && v2_dot(p[i].n, q[k].p) >= p[i].d - ON_PLANE)
            k++;
        if (k == m)
            return true;
    }
    return false;
}

/* ---- A hole with wood all around ---- */

/* Is the cut inside of every side of the block, with wood to spare? */
static bool clear_inside(const Upright *b, const Bite *t) {
    for (int i = 0; i < b->n; i++)
        for (int k = 0; k < t->n; k++)
            if (v2_dot(b->p[i].n, t->p[k].p) > b->p[i].d - CLEAR)
                return false;
    return true;
}

static bool is_upright_box(const Upright *b) {
    for (int i = 0; i < b->n; i++)
        if (fabs(b->p[i].n.x) > PARALLEL && fabs(b->p[i].n.y) > PARALLEL)
            return false;
    return b->n == 4;
}

static bool sides_parallel(const Upright *b, const Bite *t) {
    if (b->n != t->n)
        return false;
    for (int i = 0; i < t->n; i++)
        if (v2_len(v2_sub(b->p[i].n, t->p[i].n)) > PARALLEL)
            return false;
    return true;
}

/* What stays of a block around a cut: walls a to b to d (to e) and back. */
static void add_around(Ctx *c, Blocks *b, const Upright *in, const V2 *p,
                       int n, const Wall *known) {
    Wall w[4];

    for (int i = 0; i < n; i++) {
        Corner from = { p[i], 0 };
        w[i] = known && known[i].d < INFINITY ? wall_from(&known[i], p[i])
             : wall_of(&from, p[(i + 1) % n]);
    }
    add_block(c, b, w, n, in->z0, in->z1);
}

/* Which corner of the box a side of the cut looks at. */
static int quarter_of(V2 n) {
    return n.x > 0 && n.y >= 0 ? 0 : n.x <= 0 && n.y > 0 ? 1
         : n.x < 0 && n.y <= 0 ? 2 : 3;
}

/* Each side of the cut and the corner it looks at are a triangle, and so
 * are each side of the box and the corner of the cut next to it:
 *
 *      1 +-----------+ 0
 *        |\  __ __  /|
 *        | \/_|_|_\/ |
 */
static void fan_around(Ctx *c, Blocks *b, const Upright *in,
                       const Bite *t) {
    const Box2 *x = &in->box;
    V2   corner[4] = { x->max, v2(x->min.x, x->max.y), x->min,
                       v2(x->max.x, x->min.y) };
    int  q = quarter_of(t->p[t->n - 1].n);

    for (int i = 0; i < t->n; i++) {
        V2   from = t->p[i].p, to = t->p[(i + 1) % t->n].p;
        Wall known[3] = { wall_turned(&t->p[i]), { .d = INFINITY },
                          { .d = INFINITY } };
        for (; q != quarter_of(t->p[i].n); q = (q + 1) % 4)
            add_around(c, b, in, (V2[]){ corner[q], corner[(q + 1) % 4],
                       from }, 3, NULL);
        add_around(c, b, in, (V2[]){ to, from, corner[q] }, 3, known);
    }
}

/* The same around a cut in a block of its own form, as under a
 * countersink: side by side. */
static void frame_around(Ctx *c, Blocks *b, const Upright *in,
                         const Bite *t) {
    for (int i = 0; i < t->n; i++) {
        int  k = (i + 1) % t->n;
        Wall known[4] = { in->p[i], { .d = INFINITY },
                          wall_turned(&t->p[i]), { .d = INFINITY } };
        add_around(c, b, in, (V2[]){ in->p[i].p, in->p[k].p, t->p[k].p,
                   t->p[i].p }, 4, known);
    }
}

/* False, and nothing done, if the block is no box or the cut comes near
 * its sides. */
static bool bite_inside(Ctx *c, Blocks *b, int i, const Bite *t,
                        double *gone) {
    Upright in = b->at[i];
    bool    frame = sides_parallel(&in, t);

    if ((!frame && !is_upright_box(&in)) || !clear_inside(&in, t))
        return false;
    b->at[i].n = 0;
    if (frame)
        frame_around(c, b, &in, t);
    else
        fan_around(c, b, &in, t);
    add_block(c, b, t->p, t->n, in.z0, t->z0);
    add_block(c, b, t->p, t->n, t->z1, in.z1);
    *gone += add_waste(c, b, t->p, t->n, fmax(in.z0, t->z0),
                       fmin(in.z1, t->z1));
    return true;
}

/* ---- Any other cut ---- */

/* What is outside of each side in turn becomes a block, and so does what
 * is inside of all, but above or below; the rest is gone. Returns its
 * volume. */
static double bite_block(Ctx *c, Blocks *b, int i, const Bite *t) {
    Upright in   = b->at[i];
    Wall *rest = b->rest, *cut = b->spare;

    memcpy(rest, in.p, sizeof *rest * (size_t)in.n);
    b->at[i].n = 0;
    for (int k = 0; k < t->n && in.n; k++) {
        Wall back  = wall_turned(&t->p[k]);
        int  where = heights(rest, in.n, &t->p[k], b->h);
        int  n;
        if (!(where & 2))
            continue;
        n = part_of(rest, b->h, in.n, -1, &back, cut);
        add_block(c, b, cut, n, in.z0, in.z1);
        in.n = where & 1 ? part_of(rest, b->h, in.n, 1, &t->p[k], cut) : 0;
        memcpy(rest, cut, sizeof *rest * (size_t)in.n);
    }
    add_block(c, b, rest, in.n, in.z0, t->z0);
    add_block(c, b, rest, in.n, t->z1, in.z1);
    return add_waste(c, b, rest, in.n, fmax(in.z0, t->z0),
                     fmin(in.z1, t->z1));
}

/* Room for the corners of a block that loses `more` of them at most. */
static void make_room(Ctx *c, Blocks *b, int more) {
    for (int i = 0; i < b->n; i++)
        b->most = b->at[i].n > b->most ? b->at[i].n : b->most;
    if (b->most + more + 8 <= b->room)
        return;
    b->room  = 2 * (b->most + more + 8);
    b->h     = NEW_N(c, double, b->room);
    b->rest  = NEW_N(c, Wall, b->room);
    b->spare = NEW_N(c, Wall, b->room);
}

/* Returns the volume that is gone. Blocks left empty are dropped. */
static double take_bite(Ctx *c, Blocks *b, const Bite *t) {
    int    n = b->n, kept = 0;
    double gone = 0;

    make_room(c, b, t->n);
    for (int i = 0; i < n; i++) {
        if (!boxes_meet(&b->at[i], t)
                || side_parts(b->at[i].p, b->at[i].n, t->p, t->n)
                || side_parts(t->p, t->n, b->at[i].p, b->at[i].n))
            continue;
        if (t->n > FEW_SIDES) {
            if (!sides_parallel(&b->at[i], t))
                box_in(c, b, i, t->box);
            if (bite_inside(c, b, i, t, &gone))
                continue;
        }
        gone += bite_block(c, b, i, t);
    }
    for (int i = 0; i < b->n; i++)
        if (b->at[i].n)
            b->at[kept++] = b->at[i];
    b->n = kept;
    return gone;
}

/* ---- Countersinks ---- */

CornerLoops round_outline(Ctx *c, V2 at, double r, int facets, int curve) {
    CornerLoops out = { 0 };
    Corners    *l   = PUSH(c, &out);

    for (int i = 0; i < facets; i++)
        *PUSH(c, l) = (Corner){ v2_add(at, v2_scale(
                                lattice_direction(i, facets), r)), curve };
    return out;
}

/* How much of a convex outline the blocks fill from z0 to z1. */
static double filled(Ctx *c, const Blocks *b, const Corners *l, double z0,
                     double z1) {
    double sum   = 0;
    V2    *q     = NEW_N(c, V2, l->n);
    Ctx    inner = ctx_scratch(c);

    for (int i = 0; i < l->n; i++)
        q[i] = l->at[i].p;
    for (int i = 0; i < b->n; i++) {
        const Upright *p = &b->at[i];
        double z = fmin(z1, p->z1) - fmax(z0, p->z0);
        V2    *room;
        int    n;
        if (z <= 0 || !box2_meet(p->box, corners_box(l)))
            continue;
        room = NEW_N(&inner, V2, 3 * (p->n + l->n));
        for (int k = 0; k < p->n; k++)
            room[k] = p->p[k].p;
        n = convex_clip(room, p->n, q, l->n, room + p->n + l->n,
                        room + 2 * (p->n + l->n));
        sum += z * ring_area(room + 2 * (p->n + l->n), n);
    }
    arena_free(&inner.arena);
    return sum;
}

/* The wood under one facet of the cone, between the wide circle's wall and
 * the slope:
 *
 *        4,5 +------  the face      numbers: corners of the near end,
 *           /|                      of the far end
 *          / |
 *     3,2 +--+ 0,1    the bottom of the cone
 */
static Cell sink_wedge(Ctx *c, V2 at, double r, double R, double face,
                       double low, int i, int facets, int curve) {
    static const int corners[5][4] = {
        { 0, 1, 5, 4 }, { 3, 4, 5, 2 }, { 0, 4, 3, -1 }, { 1, 2, 5, -1 },
        { 1, 0, 3, 2 }
    };
    V2   a = lattice_direction(i, facets);
    V2   b = lattice_direction((i + 1) % facets, facets);
    V2   p[4] = { v2_scale(a, R), v2_scale(b, R), v2_scale(b, r),
                  v2_scale(a, r) };
    Cell cell = { .box = box3_empty() };

    for (int k = 0; k < 6; k++) {
        V2 q = v2_add(at, p[k % 4]);
        *PUSH(c, &cell.vert) = v3(q.x, q.y, k < 4 ? low : face);
        box3_add(&cell.box, cell.vert.at[k]);
    }
    for (int k = 0; k < 5; k++) {
        CellFace *f = PUSH(c, &cell.face);
        int       n = corners[k][3] < 0 ? 3 : 4;
        V3        v[4], across;
        for (int j = 0; j < n; j++)
            *PUSH(c, &f->vert) = corners[k][face > low ? j : n - 1 - j];
        for (int j = 0; j < n; j++)
            v[j] = cell.vert.at[f->vert.at[j]];
        across = v3_cross(v3_sub(v[1], v[0]), v3_sub(v[2], v[0]));
        f->plane.n = v3_unit(across);
        f->plane.d = v3_dot(f->plane.n, v[0]);
        f->plane.curve = k == 1 ? curve : 0;
    }
    return cell;
}

/* The room of the cone, with the facets of the wedges around it. */
static Cell sink_room(Ctx *c, V2 at, double r, double R, double face,
                      double low, int facets, int curve) {
    int  n = facets, up = face > low;
    Cell cell = { .box = box3_empty() };

    for (int i = 0; i < 2 * n; i++) {
        V2 p = v2_add(at, v2_scale(lattice_direction(i % n, n),
                                   (i < n) == up ? r : R));
        *PUSH(c, &cell.vert) = v3(p.x, p.y, i < n ? fmin(face, low)
                                                  : fmax(face, low));
        box3_add(&cell.box, cell.vert.at[i]);
    }
    for (int k = 0; k < n + 2; k++) {
        CellFace *f = PUSH(c, &cell.face);
        int       side[4] = { k, (k + 1) % n, n + (k + 1) % n, n + k };
        V3        v[3];
        for (int j = 0; j < (k < n ? 4 : n); j++)
            *PUSH(c, &f->vert) = k < n ? side[j] : k == n ? n - 1 - j
                                                          : n + j;
        for (int j = 0; j < 3; j++)
            v[j] = cell.vert.at[f->vert.at[j]];
        f->plane.n = v3_unit(v3_cross(v3_sub(v[1], v[0]),
                                      v3_sub(v[2], v[0])));
        f->plane.d = v3_dot(f->plane.n, v[0]);
        f->plane.curve = k < n ? curve : 0;
    }
    return cell;
}

bool blocks_sink(Ctx *c, Blocks *b, Solid *s, V2 at, double r, double R,
                 double face, double low, double end, int facets,
                 int *next_curve) {
    double      z0 = fmin(face, low), z1 = fmax(face, low);
    CornerLoops wide = round_outline(c, at, R, facets, 0), bore;
    double      disk = facets * sin(2 * PI / facets) / 2 * R * R;
    int         curve, waste = b->waste.n;

    if (fabs(filled(c, b, &wide.at[0], z0, z1) - disk * (z1 - z0))
            > 1e-7 * disk * (z1 - z0))
        return false;
    curve = (*next_curve)++;
    bore  = round_outline(c, at, r, facets, (*next_curve)++);
    blocks_take(c, b, &wide, v2(0, 0), z0 - (face < low),
                z1 + (face > low));
    b->waste.n = waste;   // less than what was taken: the room of the cone
    *PUSH(c, &s->waste) = sink_room(c, at, r, R, face, low, facets, curve);
    blocks_take(c, b, &bore, v2(0, 0), fmin(face, end), fmax(face, end));
    for (int i = 0; i < facets; i++)
        *PUSH(c, &s->cells) = sink_wedge(c, at, r, R, face, low, i, facets,
                                         curve);
    return true;
}

/* ---- For all ---- */

Blocks blocks_of(Ctx *c, Shape s, double z0, double z1, double sagitta,
                 int *next_curve) {
    CornerLoops parts = shape_convex_parts(c, s, sagitta, next_curve);
    Blocks      out   = { 0 };

    for (int i = 0; i < parts.n; i++)
        add_block(c, &out, walls_of(c, &parts.at[i], v2(0, 0)),
                  parts.at[i].n, z0, z1);
    for (int i = 0; i < out.n; i++)
        *PUSH(c, &out.blank) = upright(c, out.at[i].p, out.at[i].n, z0, z1);
    return out;
}

double blocks_take(Ctx *c, Blocks *b, const CornerLoops *parts, V2 by,
                   double z0, double z1) {
    double gone = 0;

    for (int i = 0; i < parts->n; i++) {
        const Corners *l = &parts->at[i];
        Bite           t = { walls_of(c, l, by), l->n, z0, z1, { { 0 } } };
        t.box = walls_box(t.p, t.n);
        gone += take_bite(c, b, &t);
    }
    return gone;
}

static Upright upright_of(Ctx *c, const Corners *l, double z0, double z1) {
    return upright(c, walls_of(c, l, v2(0, 0)), l->n, z0, z1);
}

void blocks_lift(Ctx *c, Blocks *b, const Corners *exact,
                 const Corners *wide, double z0, double z1, Solid *out) {
    int         waste = b->waste.n;
    Upright     whole = upright_of(c, exact, z0, z1);
    double      all   = block_area(whole.p, whole.n) * (z1 - z0);
    CornerLoops take  = { 0 };
    bool        wood  = all > 0 && fabs(filled(c, b, exact, z0, z1) - all)
                                       <= 1e-7 * all;

    *PUSH(c, &take) = *wide;
    blocks_take(c, b, &take, v2(0, 0), z0, z1);
    if (wood)
        *PUSH(c, &out->cells) = cell_of_prism(c, &whole);
    for (int i = waste; i < b->waste.n && !wood; i++)
        *PUSH(c, &out->cells) = cell_of_prism(c, &b->waste.at[i]);
    b->waste.n = waste;
}

void blocks_level(Ctx *c, Blocks *b, Box2 box, double z) {
    for (int i = 0, n = b->n; i < n; i++) {
        Upright low = b->at[i];
        if (z - low.z0 <= SAME_LEVEL || low.z1 - z <= SAME_LEVEL
                || !box2_meet(low.box, box))
            continue;
        add_block(c, b, low.p, low.n, z, low.z1);
        b->at[i].z1 = z;
    }
}

void solid_add_blocks(Ctx *c, Solid *s, const Blocks *b) {
    for (int i = 0; i < b->n; i++)
        *PUSH(c, &s->cells) = cell_of_prism(c, &b->at[i]);
    for (int i = 0; i < b->blank.n; i++)
        *PUSH(c, &s->blank) = cell_of_prism(c, &b->blank.at[i]);
    for (int i = 0; i < b->waste.n; i++)
        *PUSH(c, &s->waste) = cell_of_prism(c, &b->waste.at[i]);
}
