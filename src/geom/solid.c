/* solid -- true faces and edges of a solid from its convex cells.
 *
 * Faces of cells that lie in one plane are looked at together: what is
 * covered from one side only is a face of the solid, what is covered from
 * both sides is inside it (cover.c). Corners are numbers from the start
 * (places within 2e-5 mm are one corner), so that most comparisons are
 * exact.
 */
#include "geom/solid_internal.h"

#include <math.h>

#define ONE_NORMAL  1e-7   // between unit normals
#define ONE_OFFSET  1e-5   // mm, between planes
#define LEAST_FACE  1e-9   // mm^2
#define FARTHEST    1e9    // mm

/* ---- Faces of cells, in groups of one plane ---- */

/* Opposite planes share a group: the first coordinate of the normal that
 * is not nearly zero is made positive. */
static bool is_forward(V3 n) {
    if (fabs(n.x) > 1e-6)
        return n.x > 0;
    return fabs(n.y) > 1e-6 ? n.y > 0 : n.z > 0;
}

/* `number` of each corner of the cell, -1: none. Faces of waste look the
 * other way. */
static void add_side(Finish *f, const CellFace *face, const int *number,
                     bool waste) {
    Side   side = { .plane = waste ? plane_flip(face->plane) : face->plane };
    double way;
    V3     n;

    side.front = is_forward(side.plane.n);
    way        = side.front ? 1 : -1;
    n          = v3_scale(side.plane.n, way);
    side.v.cap = face->vert.n;
    side.v.at  = NEW_N(f->own, int, face->vert.n);
    for (int i = 0; i < face->vert.n; i++) {
        int k = number[face->vert.at[waste ? face->vert.n - 1 - i : i]];
        if (k < 0)
            return;   // not a number: the solid will not be closed
        if (side.v.n == 0 || (k != side.v.at[side.v.n - 1]
                              && k != side.v.at[0]))
            side.v.at[side.v.n++] = k;
    }
    if (side.v.n < 3)
        return;
    side.area = v3_dot(ring_vector(f, &side.v), side.plane.n) / 2;
    if (side.area < ring_length(f, &side.v) * 1e-6)
        return;
    *PUSH(f->own, &f->order) = (Key){
        0.618 * n.x + 0.3247 * n.y + 0.7549 * n.z
            + side.plane.d * way * 1e-3, f->sides.n
    };
    *PUSH(f->own, &f->sides) = side;
}

static void add_cell(Finish *f, const Cell *cell, bool waste) {
    int *number = NEW_N(f->own, int, cell->vert.n + 1);

    for (int i = 0; i < cell->vert.n; i++) {
        V3 p = cell->vert.at[i];
        number[i] = v3_len(p) < FARTHEST ? corner_number(f, p, ONE_CORNER)
                                         : -1;
    }
    for (int k = 0; k < cell->face.n; k++)
        add_side(f, &cell->face.at[k], number, waste);
}

static int by_sort(const void *pa, const void *pb, const void *with) {
    const Key *a = pa, *b = pb;

    (void)with;
    return a->sort < b->sort ? -1 : a->sort > b->sort;
}

static bool same_plane(const Side *a, const Side *b) {
    double way = a->front == b->front ? 1 : -1;

    return v3_len(v3_sub(a->plane.n, v3_scale(b->plane.n, way)))
               <= ONE_NORMAL
        && fabs(a->plane.d - way * b->plane.d) <= ONE_OFFSET;
}

/* Moves the sides in the plane of the one that is `first` in order next to
 * it; returns the end of the group. Sides are in the order of a number that
 * is nearly the same for one plane, so only near ones are tried. */
static int gather_group(Finish *f, int first) {
    const double window = 3 * ONE_NORMAL + 2e-3 * ONE_OFFSET;
    const Side  *s   = f->sides.at;
    Key         *key = f->order.at;
    int          end = first + 1;

    for (int i = end; i < f->order.n
            && key[i].sort <= key[first].sort + window; i++) {
        Key take = key[i];
        if (!same_plane(&s[key[first].side], &s[take.side]))
            continue;
        for (int k = i; k > end; k--)
            key[k] = key[k - 1];
        key[end++] = take;
    }
    return end;
}

/* ---- Curve numbers of faces ---- */

static int first_name(const Finish *f, int curve) {
    for (int i = 0; i < f->aliases.n; i++)
        if (f->aliases.at[i].from == curve)
            return first_name(f, f->aliases.at[i].to);
    return curve;
}

/* Facets of two slabs that have become one face are of one surface. */
static void unite_curves(Finish *f, int a, int b) {
    a = first_name(f, a);
    b = first_name(f, b);
    if (a != b)
        *PUSH(f->own, &f->aliases) = (Alias){ a > b ? a : b, a > b ? b : a };
}

static V2 side_middle(const Finish *f, const Side *s) {
    V2 sum = { 0, 0 };

    for (int i = 0; i < s->v.n; i++)
        sum = v2_add(sum, corner_flat(f, s->v.at[i]));
    return v2_scale(sum, 1.0 / s->v.n);
}

static void name_curves(Finish *f, Patchwork *patch, const Side *s, int n,
                        bool front) {
    Ring r = ring_flat(f, &patch->rings.at[0]);
    bool flat_part = false, any = false;

    for (int pass = 0; pass < 2 && !any; pass++)
        for (int i = 0; i < n; i++) {
            if (s[i].front != front || (pass == 0
                    && !ring_holds(r.at, r.n, side_middle(f, &s[i]))))
                continue;
            any = true;
            if (s[i].plane.curve == 0)
                flat_part = true;
            else if (patch->curve)
                unite_curves(f, patch->curve, s[i].plane.curve);
            else
                patch->curve = s[i].plane.curve;
            if (pass == 1)
                break;
        }
    if (flat_part)
        patch->curve = 0;
}

/* ---- Faces ---- */

static void add_face(Finish *f, const Patchwork *patch, bool front) {
    double way  = front ? 1 : -1;
    Face   face = { .plane = { v3_scale(f->n, way), f->d * way,
                               patch->curve } };

    face.rings.n = face.rings.cap = patch->rings.n;
    for (int i = 0; i < patch->rings.n; i++)
        face.area += v3_dot(ring_vector(f, &patch->rings.at[i]),
                            face.plane.n) / 2;
    if (face.area < LEAST_FACE)
        return;
    face.rings.at = NEW_N(f->out, Ring3, patch->rings.n);
    for (int i = 0; i < patch->rings.n; i++) {
        const Ints *r    = &patch->rings.at[i];
        Ints       *kept = PUSH(f->own, &f->rings);
        Ring3      *to   = &face.rings.at[i];
        *to   = (Ring3){ NEW_N(f->out, V3, r->n), r->n, r->n };
        *kept = (Ints){ NEW_N(f->own, int, r->n), r->n, r->n };
        for (int k = 0; k < r->n; k++) {
            to->at[k]   = f->p.at[r->at[k]];
            kept->at[k] = r->at[k];
        }
    }
    *PUSH(f->out, &f->s->faces) = face;
}

static void set_plane(Finish *f, const Side *s, int n) {
    const Side *best = s;
    double      way;

    for (int i = 1; i < n; i++)
        if (s[i].area > best->area)
            best = &s[i];
    way  = best->front ? 1 : -1;
    f->n = v3_scale(best->plane.n, way);
    f->d = best->plane.d * way;
    plane_axes(f->n, &f->u, &f->v);
}

/* A plane in which only one face of a cell lies: most walls of holes. */
static void finish_single(Finish *f, const Side *s) {
    Patchwork one = { .curve = s->plane.curve };
    Ints     *r;

    set_plane(f, s, 1);
    r  = PUSH(f->c, &one.rings);
    *r = ring_tidy(f, &s->v);
    if (r->n)
        add_face(f, &one, s->front);
}

static bool are_opposite(const Side *a, const Side *b) {
    return a->front != b->front && rings_opposite(&a->v, &b->v);
}

static void finish_group(Finish *f, const Key *key, int n) {
    const Side *all = f->sides.at;
    bool        curved = false;
    Side       *s;
    Patchworks  front, back;

    if (n == 1) {
        finish_single(f, &all[key->side]);
        return;
    }
    if (n == 2 && are_opposite(&all[key[0].side], &all[key[1].side]))
        return;   // two cells face to face: most planes inside a solid
    s = NEW_N(f->c, Side, n);
    for (int i = 0; i < n; i++)
        s[i] = all[key[i].side];
    set_plane(f, s, n);
    cover_sides(f, s, n, &front, &back);
    for (int i = 0; i < n; i++)
        curved |= s[i].plane.curve > 0;
    for (int i = 0; i < front.n + back.n; i++) {
        bool       is_front = i < front.n;
        Patchwork *patch    = is_front ? &front.at[i]
                                       : &back.at[i - front.n];
        if (curved)
            name_curves(f, patch, s, n, is_front);
        add_face(f, patch, is_front);
    }
}

static int count_faces(const Cell *cell, int n) {
    int sum = 0;

    for (int i = 0; i < n; i++)
        sum += cell[i].face.n;
    return sum;
}

static void gather_sides(Finish *f, bool by_waste, int n) {
    const Solid *s = f->s;

    f->sides.at  = NEW_N(f->own, Side, n + 1);
    f->sides.cap = n + 1;
    f->order.at  = NEW_N(f->own, Key, n + 1);
    f->order.cap = n + 1;
    for (int i = 0; i < s->cells.n && !by_waste; i++)
        add_cell(f, &s->cells.at[i], false);
    for (int i = 0; i < s->blank.n && by_waste; i++)
        add_cell(f, &s->blank.at[i], false);
    for (int i = 0; i < s->waste.n && by_waste; i++)
        add_cell(f, &s->waste.at[i], true);
}

static void find_faces(Finish *f, bool by_waste, int n) {
    gather_sides(f, by_waste, n);
    list_sort(f->own, f->order.at, f->order.n, sizeof(Key), by_sort, NULL);
    for (int i = 0, end; i < f->order.n; i = end) {
        end = gather_group(f, i);
        finish_group(f, &f->order.at[i], end - i);
        arena_reset(&f->c->arena);
    }
    for (int i = 0; i < f->s->faces.n; i++) {
        Plane *p = &f->s->faces.at[i].plane;
        p->curve = first_name(f, p->curve);
    }
}

/* ---- Everything ---- */

static double cells_volume(const Cell *cell, int n, V3 *moment) {
    double sum = 0;

    for (int i = 0; i < n; i++)
        sum += cell_volume(&cell[i], moment);
    return sum;
}

static void measure(Solid *s) {
    V3 moment = { 0, 0, 0 };

    s->volume   = cells_volume(s->cells.at, s->cells.n, &moment);
    s->centroid = v3(0, 0, 0);
    s->box      = box3_empty();
    for (int i = 0; i < s->cells.n; i++) {
        const Cell *cell = &s->cells.at[i];
        for (int k = 0; k < cell->vert.n; k++)
            box3_add(&s->box, cell->vert.at[k]);
    }
    if (s->volume > 0)
        s->centroid = v3_scale(moment, 1 / s->volume);
}

/* Is the blank less its waste what the cells are? */
static bool waste_is_known(const Solid *s) {
    V3     moment = { 0, 0, 0 };
    double blank  = cells_volume(s->blank.at, s->blank.n, &moment);
    double waste  = cells_volume(s->waste.at, s->waste.n, &moment);

    return s->blank.n && fabs(blank - waste - s->volume) <= 1e-9 * blank;
}

/* The areas of a closed surface, each along its normal, sum to nothing. */
static bool areas_balance(const Solid *s) {
    V3     sum = { 0, 0, 0 };
    double all = 0;

    for (int i = 0; i < s->faces.n; i++) {
        const Face *f = &s->faces.at[i];
        sum  = v3_add(sum, v3_scale(f->plane.n, f->area));
        all += f->area;
    }
    return v3_len(sum) <= 1e-6 * all;
}

static void make_buckets(Finish *f, int sides) {
    f->buckets = 64;
    while (f->buckets < sides && f->buckets < 1 << 20)
        f->buckets *= 2;
    f->bucket = NEW_N(f->own, int, f->buckets);
    memset(f->bucket, 0xff, sizeof *f->bucket * (size_t)f->buckets);
}

static bool make_faces(Ctx *c, Solid *s, bool by_waste, int sides) {
    Ctx    plane = ctx_scratch(c), own = ctx_scratch(c);
    Finish f     = { .c = &plane, .own = &own, .out = c, .s = s };
    bool   paired;

    make_buckets(&f, sides);
    s->faces.n = 0;
    s->edges.n = 0;
    find_faces(&f, by_waste, sides);
    paired = find_edges(&f);
    ctx_free(&plane);
    ctx_free(&own);
    return paired && areas_balance(s);
}

void solid_finish(Ctx *c, Solid *s) {
    int cells = count_faces(s->cells.at, s->cells.n);
    int waste = count_faces(s->blank.at, s->blank.n)
              + count_faces(s->waste.at, s->waste.n);

    measure(s);
    s->closed = (waste < cells && waste_is_known(s)
                 && make_faces(c, s, true, waste))
             || make_faces(c, s, false, cells);
    s->closed = s->closed && s->volume > 0;
    solid_skin(c, s);
}
