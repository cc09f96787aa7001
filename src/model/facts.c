/* facts -- what is true of the finished project as a whole: whether it
 * stands, and which features are to blame where two pieces collide. Pure:
 * nothing here reports or changes anything.
 */
#include "model/model_internal.h"

#include <math.h>

#define DEG       (3.14159265358979323846 / 180)
#define FOOT_MM   0.5    // as near to the ground as this counts as a foot
#define NEAR_CUT  1.0    // mm, an overlap to the cut that is to blame

/* ---- Standing ---- */

typedef LIST(V2) Points;

static int by_place(const void *a, const void *b, const void *with) {
    const V2 *p = a, *q = b;

    (void)with;
    if (p->x != q->x)
        return p->x < q->x ? -1 : 1;
    return p->y < q->y ? -1 : p->y > q->y;
}

static bool in_project(const Model *m, const Piece *p) {
    return !p->temporary && !m->parts.at[p->part].jig
        && m->parts.at[p->part].solid;
}

/* Corners of all that is on the ground. */
static Points feet_of(Ctx *c, const Model *m, double ground) {
    Points feet = { 0 };

    for (int i = 0; i < m->pieces.n; i++) {
        const Piece *p = &m->pieces.at[i];
        const Solid *s = m->parts.at[p->part].solid;
        if (!in_project(m, p) || p->box.min.z > ground + FOOT_MM)
            continue;
        for (int k = 0; k < s->cells.n; k++)
            for (int v = 0; v < s->cells.at[k].vert.n; v++) {
                V3 w = frame_point(&p->frame, s->cells.at[k].vert.at[v]);
                if (w.z <= ground + FOOT_MM)
                    *PUSH(c, &feet) = v2(w.x, w.y);
            }
    }
    list_sort(c, feet.at, feet.n, sizeof *feet.at, by_place, NULL);
    return feet;
}

/* One side of the hull of sorted points (Andrew's monotone chain). */
static void hull_side(Ctx *c, const Points *p, bool back, Points *hull) {
    int from = hull->n;

    for (int i = 0; i < p->n; i++) {
        V2 at = p->at[back ? p->n - 1 - i : i];
        while (hull->n >= from + 2
               && v2_cross(v2_sub(hull->at[hull->n - 1],
                                  hull->at[hull->n - 2]),
                           v2_sub(at, hull->at[hull->n - 2])) <= 1e-9)
            hull->n--;
        *PUSH(c, hull) = at;
    }
    hull->n--;   // begins the other side
}

/* Weight and its center; woods of unknown density count as the others do
 * on average, or as pine where all are unknown. */
static void find_center(const Model *m, Standing *s) {
    double known_volume = 0, known_mass = 0, mean;
    V3     sum = { 0, 0, 0 };

    for (int i = 0; i < m->pieces.n; i++) {
        const Piece *p = &m->pieces.at[i];
        const Part  *part = &m->parts.at[p->part];
        double density = m->stocks.at[part->stock].density;
        if (!in_project(m, p) || density <= 0)
            continue;
        known_volume += part->solid->volume;
        known_mass   += part->solid->volume * density;
    }
    mean = known_volume > 0 ? known_mass / known_volume : 400;
    for (int i = 0; i < m->pieces.n; i++) {
        const Piece *p = &m->pieces.at[i];
        const Part  *part = &m->parts.at[p->part];
        double density = m->stocks.at[part->stock].density, mass;
        if (!in_project(m, p))
            continue;
        s->density_known = s->density_known && density > 0;
        mass = part->solid->volume * 1e-9 * (density > 0 ? density : mean);
        s->weight_kg += mass;
        sum = v3_add(sum, v3_scale(frame_point(&p->frame,
                                               part->solid->centroid),
                                   mass));
    }
    if (s->weight_kg > 0)
        s->center = v3_scale(sum, 1 / s->weight_kg);
}

/* The edge of the hull that the center is least inside of. */
static void find_margin(Standing *s, const Points *hull) {
    V2 at = v2(s->center.x, s->center.y);

    s->margin = INFINITY;
    for (int i = 0; i < hull->n; i++) {
        V2     a = hull->at[i], b = hull->at[(i + 1) % hull->n];
        V2     way = v2_sub(b, a);
        double len = v2_len(way), in;
        if (len < 1e-9)
            continue;
        in = v2_cross(way, v2_sub(at, a)) / len;
        if (in < s->margin - 1e-9) {
            s->margin = in;
            s->toward = v2(way.y / len, -way.x / len);
        }
    }
}

Standing model_stands(Ctx *c, const Model *m) {
    Standing s      = { .density_known = true };
    double   ground = ground_of(m);
    Points   feet, hull = { 0 };

    find_center(m, &s);
    if (s.weight_kg <= 0)
        return s;
    feet = feet_of(c, m, ground);
    hull_side(c, &feet, false, &hull);
    hull_side(c, &feet, true, &hull);
    for (int i = 0; i < hull.n; i++)
        *PUSH(c, &s.feet) = hull.at[i];
    find_margin(&s, &hull);
    if (hull.n < 3 || s.margin == INFINITY)
        s.margin = 0;
    s.height    = s.center.z - ground;
    s.angle_deg = atan2(s.margin, fmax(s.height, 1e-6)) / DEG;
    s.known     = true;
    s.stands    = s.margin > 1e-6;
    return s;
}

const char *way_word(V2 toward) {
    if (fabs(toward.x) > fabs(toward.y))
        return toward.x > 0 ? "to the right" : "to the left";
    return toward.y > 0 ? "to the back" : "to the front";
}

/* ---- To blame ---- */

/* From the world into a part's own frame, whose axes are unit vectors. */
static V3 into_part(const Frame *f, V3 w) {
    V3 d = v3_sub(w, f->o);

    return v3(v3_dot(d, f->x), v3_dot(d, f->y), v3_dot(d, f->z));
}

static Box3 box_in_part(const Frame *f, Box3 box) {
    Box3 out = box3_empty();

    for (int i = 0; i < 8; i++)
        box3_add(&out, into_part(f, v3(i & 1 ? box.max.x : box.min.x,
                                       i & 2 ? box.max.y : box.min.y,
                                       i & 4 ? box.max.z : box.min.z)));
    return out;
}

Box3 edge_room(const Part *part, const Feature *f, int copy) {
    V2     by   = feature_copy(f, copy);
    bool   end  = f->side >= SIDE_LEFT, hole = f->kind == FEATURE_HOLE;
    bool   high = f->side == SIDE_RIGHT || f->side == SIDE_FAR;
    double r    = hole ? f->diameter.real / 2 : 0;
    double u    = f->x.real + by.x, v = f->y.real + by.y;
    double size = end ? part->long_length.real : part->width.real;
    double deep = f->depth.real > 0 ? f->depth.real : size;
    double d0   = high ? size - deep : 0, d1 = high ? size : deep;
    double u0   = u - r, u1 = hole ? u + r : u + f->length.real;
    double v0   = v - r, v1 = hole ? v + r : v + f->width.real;

    return end ? (Box3){ v3(d0, u0, v0), v3(d1, u1, v1) }
               : (Box3){ v3(u0, d0, v0), v3(u1, d1, v1) };
}

/* The room that one copy of a cut takes in the part; false: it has none
 * that is known. */
static bool cut_room(const Part *part, const Feature *f, int copy,
                     Box3 *room) {
    Box2   flat;
    V2     by    = feature_copy(f, copy);
    double deep  = f->depth.real > 0 ? f->depth.real : part->thickness.real;
    double top   = part->thickness.real;

    if (f->side > SIDE_BACK && (f->kind == FEATURE_HOLE
                                || f->kind == FEATURE_GROOVE)) {
        *room = edge_room(part, f, copy);
        return true;
    }
    if (!f->shape.loops.n || !feature_in_face(f))
        return false;
    flat = shape_box(f->shape);
    if (f->word && strcmp(f->word, "tenon") == 0)
        deep = top;
    *room = (Box3){ v3(flat.min.x + by.x, flat.min.y + by.y,
                       f->side == SIDE_BACK ? 0 : top - deep),
                    v3(flat.max.x + by.x, flat.max.y + by.y,
                       f->side == SIDE_BACK ? deep : top) };
    return true;
}

static double box_volume(Box3 b) {
    V3 d = v3_sub(b.max, b.min);

    return fmax(d.x, 0) * fmax(d.y, 0) * fmax(d.z, 0);
}

/* The side of the blank that the overlap is nearest to. */
static Side nearest_side(const Part *part, Box3 at) {
    const struct { Side side; double off; } sides[] = {
        { SIDE_LEFT, fabs(at.min.x) },
        { SIDE_RIGHT, fabs(part->long_length.real - at.max.x) },
        { SIDE_NEAR, fabs(at.min.y) },
        { SIDE_FAR, fabs(part->width.real - at.max.y) },
        { SIDE_SHOW, fabs(part->thickness.real - at.max.z) },
        { SIDE_BACK, fabs(at.min.z) }
    };
    const double thin[] = { at.max.x - at.min.x, at.max.x - at.min.x,
                            at.max.y - at.min.y, at.max.y - at.min.y,
                            at.max.z - at.min.z, at.max.z - at.min.z };
    int best = 0;

    for (int i = 1; i < COUNT(sides); i++)
        if (sides[i].off + thin[i] < sides[best].off + thin[best] - 1e-6)
            best = i;
    return sides[best].side;
}

Str feature_to_blame(Ctx *c, const Model *m, int piece, Box3 world) {
    const Piece   *p     = &m->pieces.at[piece];
    const Part    *part  = &m->parts.at[p->part];
    Box3           at    = box_in_part(&p->frame, world);
    const Feature *found = NULL;
    double         least = INFINITY;
    Side           side;

    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        for (int k = 0; k < f->count; k++) {
            Box3 room;
            if (!cut_room(part, f, k, &room)
                || !box3_touch(room, at, NEAR_CUT)
                || box_volume(room) >= least)
                continue;
            found = f;
            least = box_volume(room);
        }
    }
    if (found && found->note.n)
        return str_fmt(c, "the %s of '%.*s' (%.*s)", feature_name(found),
                       STR_ARG(p->name), STR_ARG(found->note));
    if (found)
        return str_fmt(c, "the %s of '%.*s'", feature_name(found),
                       STR_ARG(p->name));
    side = nearest_side(part, at);
    return str_fmt(c, "the %s of '%.*s'", side_name(side),
                   STR_ARG(p->name));
}
