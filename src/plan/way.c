/* way -- by which straight way each new piece of a step comes in.
 *
 * The step is taken apart again in thought: the lot added last that can
 * move away without meeting anything is taken out, then the next, and so
 * on; the other way round this is an order that can be done. Each lot
 * is tried along the world's axes and its own, the direction that is
 * easiest to draw first. (Disassembly with single straight moves: Wilson &
 * Latombe 1994; few axis directions and shortest way out: Li, Agrawala,
 * Curless & Salesin 2008. A full partition of the directions would find
 * odd slanted ways too, which nobody can read from a picture.)
 */
#include "plan/view_internal.h"

#include <math.h>

#define NEAR_MM     3.0    // a hinge's gap: still counts as attached
#define GLUE_UP_MAX 6      // boards of one kind shown one by one
#define PLANE_MM    0.05   // faces that lie on each other
#define WAITS_FOR   0.5    // a way so much better, if it may come free
#define NAILED      3.0    // against a way square to the lot's nails

/* ---- What is there ---- */

static bool uses_jig(const Step *st, int part) {
    for (int i = 0; i < st->jigs.n; i++)
        if (st->jigs.at[i] == part)
            return true;
    return false;
}

/* Jigs leave the work again after the step that uses them. */
static bool is_there(const Model *m, int k, int piece) {
    const Piece *p    = &m->pieces.at[piece];
    const Part  *part = &m->parts.at[p->part];

    if (p->temporary)   // those that are added now are no longer new
        return part->solid && piece_stands(p, k) && p->step < k
            && piece_stands(p, k - 1);
    return p->step < k && part->solid
        && (!part->jig || uses_jig(&m->steps.at[k], p->part));
}

static void plane_world(const Frame *f, Plane p, V3 *n, double *d) {
    *n = frame_vector(f, p.n);
    *d = p.d + v3_dot(*n, f->o);
}

/* The normal from b into a of the plane in which they touch; zero if the
 * contact's middle is on no pair of faces (contacts in several planes). */
static V3 contact_apart(const Model *m, const Contact *t) {
    const Piece *a  = &m->pieces.at[t->a], *b = &m->pieces.at[t->b];
    const Solid *sa = m->parts.at[a->part].solid;
    const Solid *sb = m->parts.at[b->part].solid;
    V3           na, nb;
    double       da, db;

    for (int i = 0; i < sa->faces.n; i++) {
        plane_world(&a->frame, sa->faces.at[i].plane, &na, &da);
        if (fabs(v3_dot(na, t->at) - da) > PLANE_MM)
            continue;
        for (int j = 0; j < sb->faces.n; j++) {
            plane_world(&b->frame, sb->faces.at[j].plane, &nb, &db);
            if (v3_dot(na, nb) < -0.99999 && fabs(da + db) < 2 * PLANE_MM)
                return nb;
        }
    }
    return v3(0, 0, 0);
}

static void find_contacts(Ctx *c, Scene *s) {
    const Model *m = s->m;

    for (int i = 0; i < m->contacts.n; i++) {
        const Contact *t = &m->contacts.at[i];
        if (s->owner[t->a] != PIECE_AWAY && s->owner[t->b] != PIECE_AWAY
            && (s->owner[t->a] >= 0 || s->owner[t->b] >= 0))
            *PUSH(c, &s->contacts) = *t;
    }
    s->apart = NEW_N(c, V3, s->contacts.n + 1);
    for (int i = 0; i < s->contacts.n; i++)
        s->apart[i] = contact_apart(m, &s->contacts.at[i]);
}

/* ---- What touches what ---- */

bool scene_standing(const Scene *s, int piece) {
    int owner = s->owner[piece];

    return owner == PIECE_THERE
        || (owner >= 0 && !s->lots.at[owner].out);
}

bool scene_contact(const Scene *s, int i, int k, int *mine, int *other) {
    const Contact *t = &s->contacts.at[i];

    if (s->owner[t->a] == k) {
        *mine  = t->a;
        *other = t->b;
    } else {
        *mine  = t->b;
        *other = t->a;
    }
    return s->owner[*mine] == k && s->owner[*other] != k
        && scene_standing(s, *other);
}

static bool near_what_is_there(const Scene *s, int k) {
    const Model *m = s->m;
    const Lot *b = &s->lots.at[k];

    for (int i = 0; i < b->pieces.n; i++)
        for (int q = 0; q < m->pieces.n; q++)
            if (s->owner[q] == PIECE_THERE
                && box3_touch(m->pieces.at[b->pieces.at[i]].box,
                              m->pieces.at[q].box, NEAR_MM))
                return true;
    return false;
}

/* Marks in `reached` all standing lots that hang together with those
 * already marked, without lot `skip`. */
static void spread_marks(const Scene *s, bool *reached, int skip) {
    bool more = true;

    while (more) {
        more = false;
        for (int i = 0; i < s->contacts.n; i++) {
            int a = s->owner[s->contacts.at[i].a];
            int b = s->owner[s->contacts.at[i].b];
            if (a < 0 || b < 0 || a == skip || b == skip
                || reached[a] == reached[b]
                || s->lots.at[a].out || s->lots.at[b].out)
                continue;
            reached[a] = reached[b] = more = true;
        }
    }
}

static bool touches_there(const Scene *s, int k) {
    int mine, other;

    for (int i = 0; i < s->contacts.n; i++)
        if (scene_contact(s, i, k, &mine, &other)
            && s->owner[other] == PIECE_THERE)
            return true;
    return false;
}

/* Standing lots that hang on what is there or on a base. */
static int count_held(Ctx *c, const Scene *s, int skip) {
    bool *reached = NEW_N(c, bool, s->lots.n + 1);
    int   n       = 0;

    for (int k = 0; k < s->lots.n; k++)
        reached[k] = k != skip && !s->lots.at[k].out
                  && (s->lots.at[k].base || touches_there(s, k));
    spread_marks(s, reached, skip);
    for (int k = 0; k < s->lots.n; k++)
        n += reached[k] && k != skip;
    return n;
}

/* True if without lot `k` some other lot would hang in the air. */
static bool holds_others(Ctx *c, const Scene *s, int k) {
    int with = count_held(c, s, -1), without = count_held(c, s, k);

    return without < with - 1;
}

/* The first lot of every bunch that hangs on nothing stays where it is:
 * the others are brought to it. */
static void find_bases(Ctx *c, Scene *s) {
    bool *reached = NEW_N(c, bool, s->lots.n + 1);

    for (int k = 0; k < s->lots.n; k++) {
        s->lots.at[k].base = false;
        reached[k] = touches_there(s, k) || near_what_is_there(s, k);
    }
    spread_marks(s, reached, -1);
    for (int k = 0; k < s->lots.n; k++)
        if (!reached[k]) {
            s->lots.at[k].base = reached[k] = true;
            spread_marks(s, reached, -1);
        }
}

static bool touches_itself(const Scene *s, int k) {
    for (int i = 0; i < s->contacts.n; i++)
        if (s->owner[s->contacts.at[i].a] == k
            && s->owner[s->contacts.at[i].b] == k)
            return true;
    return false;
}

/* True if a lot has a joint with another new one. */
static bool has_company(const Scene *s, int k) {
    for (int i = 0; i < s->contacts.n; i++) {
        int a = s->owner[s->contacts.at[i].a];
        int b = s->owner[s->contacts.at[i].b];
        if (a != b && a >= 0 && b >= 0 && (a == k || b == k))
            return true;
    }
    return false;
}

/* Boards glued edge to edge on a free bench are drawn one by one, if
 * nothing lies across them. */
static void split_glue_ups(Ctx *c, Scene *s) {
    int n = s->lots.n;

    for (int k = 0; k < n; k++)
        if (s->lots.at[k].base && s->lots.at[k].pieces.n > 1
            && s->lots.at[k].pieces.n <= GLUE_UP_MAX
            && touches_itself(s, k) && !has_company(s, k))
            lot_split(c, s, k);
    if (s->lots.n > n)
        find_bases(c, s);
}

Scene scene_new(Ctx *c, const Model *m, int k, V3 toward) {
    Scene s   = { .m = m, .step = &m->steps.at[k], .toward = toward };
    Box3  box = box3_empty();

    s.owner = NEW_N(c, int, m->pieces.n + 1);
    for (int i = 0; i < m->pieces.n; i++)
        s.owner[i] = is_there(m, k, i) ? PIECE_THERE : PIECE_AWAY;
    lots_make(c, &s);
    for (int i = 0; i < m->pieces.n; i++)
        if (s.owner[i] != PIECE_AWAY) {
            box3_add(&box, m->pieces.at[i].box.min);
            box3_add(&box, m->pieces.at[i].box.max);
        }
    s.size = s.lots.n ? v3_len(v3_sub(box.max, box.min)) : 0;
    find_contacts(c, &s);
    find_bases(c, &s);
    split_glue_ups(c, &s);
    return s;
}

/* ---- In the way ---- */

void piece_span(const Model *m, int piece, V3 dir, double *lo, double *hi) {
    const Piece *p = &m->pieces.at[piece];
    const Solid *s = m->parts.at[p->part].solid;

    *lo = INFINITY;
    *hi = -INFINITY;
    for (int i = 0; i < s->cells.n; i++)
        for (int j = 0; j < s->cells.at[i].vert.n; j++) {
            V3     w = frame_point(&p->frame, s->cells.at[i].vert.at[j]);
            double d = v3_dot(w, dir);
            *lo = d < *lo ? d : *lo;
            *hi = d > *hi ? d : *hi;
        }
}

static void box_span(Box3 b, V3 dir, double *lo, double *hi) {
    V3     mid  = v3_scale(v3_add(b.min, b.max), 0.5);
    V3     half = v3_scale(v3_sub(b.max, b.min), 0.5);
    double m    = v3_dot(mid, dir);
    double r    = half.x * fabs(dir.x) + half.y * fabs(dir.y)
                + half.z * fabs(dir.z);

    *lo = m - r;
    *hi = m + r;
}

static bool spans_overlap(Box3 a, Box3 b, V3 dir) {
    double a0, a1, b0, b1;

    box_span(a, dir, &a0, &a1);
    box_span(b, dir, &b0, &b1);
    return a1 > b0 + 1e-6 && b1 > a0 + 1e-6;
}

/* False: b's box is behind a's, or beside its path. */
static bool may_block(Box3 a, Box3 b, V3 dir) {
    V3     aside = fabs(dir.z) < 0.9 ? v3(0, 0, 1) : v3(1, 0, 0);
    V3     e     = v3_unit(v3_cross(dir, aside));
    double a0, a1, b0, b1;

    box_span(a, dir, &a0, &a1);
    box_span(b, dir, &b0, &b1);
    return b1 > a0 + 1e-6 && spans_overlap(a, b, e)
        && spans_overlap(a, b, v3_cross(dir, e));
}

static bool is_of(const Scene *s, int piece, int of) {
    int owner = s->owner[piece];

    if (of == OF_ALL)
        return true;
    if (of == OF_NEW)
        return owner >= 0;
    if (of == OF_THERE && owner >= 0)
        return s->lots.at[owner].base;
    return owner == of;
}

int scene_blocker(Ctx *c, const Scene *s, int k, V3 dir, int of) {
    const Model *m = s->m;
    const Lot *b = &s->lots.at[k];

    for (int i = 0; i < b->pieces.n; i++) {
        const Piece *p = &m->pieces.at[b->pieces.at[i]];
        for (int j = 0; j < m->pieces.n; j++) {
            const Piece *q = &m->pieces.at[j];
            if (s->owner[j] != k && scene_standing(s, j)
                && is_of(s, j, of) && may_block(p->box, q->box, dir)
                && solid_blocks(c, m->parts.at[p->part].solid, &p->frame,
                                m->parts.at[q->part].solid, &q->frame,
                                dir))
                return j;
        }
    }
    return -1;
}

/* ---- Directions ---- */

#define COST 1e6   // costs are whole multiples of its inverse

typedef struct { V3 dir; double cost; } Try;
typedef LIST(Try) Tries;

/* How far a piece must go along `dir` to be clear of another. */
static double reach(const Scene *s, int mine, int other, V3 dir) {
    double lo, hi, other_lo, other_hi;

    piece_span(s->m, mine, dir, &lo, &hi);
    piece_span(s->m, other, dir, &other_lo, &other_hi);
    return other_hi - lo;
}

static double scene_engaged(const Scene *s, int k, V3 dir) {
    double engaged = 0;
    int    mine, other;

    for (int i = 0; i < s->contacts.n; i++)
        if (scene_contact(s, i, k, &mine, &other))
            engaged = fmax(engaged, reach(s, mine, other, dir));
    return engaged;
}

/* Does a joint across from contact `i` hold the lot from the other side? */
static bool is_faced(const Scene *s, int i, int k) {
    int mine, other, mine_too, other_too;

    scene_contact(s, i, k, &mine, &other);
    for (int j = 0; j < s->contacts.n; j++) {
        const Contact *t = &s->contacts.at[j];
        double both;
        if (!scene_contact(s, j, k, &mine_too, &other_too))
            continue;
        both = v3_dot(s->apart[i], s->apart[j])
             * ((mine == s->contacts.at[i].a) == (mine_too == t->a)
                ? 1 : -1);
        if (mine == mine_too && (both < -0.5
                                 || v3_len(s->apart[j]) < 0.5))
            return true;
    }
    return false;
}

double scene_enclosed(const Scene *s, int k, V3 dir) {
    double deep = 0;
    int    mine, other;

    for (int i = 0; i < s->contacts.n; i++) {
        double opens = fabs(v3_dot(s->apart[i], dir));
        if (scene_contact(s, i, k, &mine, &other)
            && (opens > 0.3 || v3_len(s->apart[i]) < 0.5
                || is_faced(s, i, k)))
            deep = fmax(deep, reach(s, mine, other, dir));
    }
    return deep;
}

/* The share of the contact that slides instead of opening. */
static double sliding(const Scene *s, int k, V3 dir) {
    double all = 0, opens = 0;
    int    mine, other;

    for (int i = 0; i < s->contacts.n; i++) {
        const Contact *t = &s->contacts.at[i];
        double area = fmax(t->area, 1);
        if (!scene_contact(s, i, k, &mine, &other))
            continue;
        all += area;
        if (v3_len(s->apart[i]) < 0.5)
            opens += area / 2;
        else
            opens += area * fmax(0, v3_dot(dir, s->apart[i])
                                    * (mine == t->a ? 1 : -1));
    }
    return all > 0 ? 1 - opens / all : 0;
}

/* How far off the axes of its own nails and screws the lot would move: 0
 * along them, 1 square to all. What is nailed is held against its place
 * the way that the nails go. */
static double off_fasteners(const Scene *s, int k, V3 dir) {
    const Model *m    = s->m;
    int          step = (int)(s->step - m->steps.at), n = 0;
    double       off  = 0;

    for (int i = 0; i < m->fasteners.n; i++) {
        const Fastener *f = &m->fasteners.at[i];
        int from, into;
        if (f->step != step)
            continue;
        from = s->owner[f->from];
        into = s->owner[f->into];
        if ((from == k) == (into == k)
            || !scene_standing(s, from == k ? f->into : f->from))
            continue;
        off += 1 - fabs(v3_dot(f->axis, dir));
        n++;
    }
    return n ? off / n : 0;
}

/* Up is easiest to read, then toward the reader, then from the sides. The
 * figures are our own: a joint that opens to the front beats one that
 * slides up, and one that slides up in the open beats one behind. */
static double looks(const Scene *s, V3 dir) {
    double near    = v3_dot(dir, s->toward);
    double end_on  = near * near > 1 - 0.35 * 0.35 ? 2 : 0;

    if (dir.z > 0.9)
        return end_on;
    if (dir.z > 0.3)
        return 0.2 + end_on;
    if (dir.z < -0.3)
        return 4 + end_on;
    return (near > 0.6 ? 1 : near > -0.6 ? 2 : 3.2) + end_on;
}

static int by_cost(const void *a, const void *b, const void *with) {
    const Try *p = a, *q = b;

    (void)with;
    return p->cost < q->cost ? -1 : p->cost > q->cost;
}

static void add_try(Ctx *c, const Scene *s, int k, Tries *tries, V3 dir) {
    double cost;

    for (int i = 0; i < tries->n; i++)
        if (v3_len(v3_sub(tries->at[i].dir, dir)) < 1e-6)
            return;
    cost = looks(s, dir) + 2 * sliding(s, k, dir)
         + NAILED * off_fasteners(s, k, dir)
         + 3 * scene_engaged(s, k, dir) / fmax(s->size, 1);
    /* On a lattice, so that equals stay equal on every machine. */
    *PUSH(c, tries) = (Try){ dir, floor(cost * COST + 0.5) };
}

/* World axes, the lot's own and the way that is known to be free, best
 * first. */
static Tries directions(Ctx *c, const Scene *s, int k) {
    const Piece *p     = &s->m->pieces.at[s->lots.at[k].pieces.at[0]];
    const V3     axes[] = {
        { 0, 0, 1 }, { 0, 1, 0 }, { 1, 0, 0 },
        p->frame.z, p->frame.y, p->frame.x
    };
    bool  known = v3_len(p->comes) > 0.5;
    Tries tries = { 0 };

    for (int i = 0; i < COUNT(axes); i++) {
        add_try(c, s, k, &tries, axes[i]);
        add_try(c, s, k, &tries, v3_scale(axes[i], -1));
    }
    if (known)
        add_try(c, s, k, &tries, p->comes);
    list_sort(c, tries.at, tries.n, sizeof *tries.at, by_cost, NULL);
    return tries;
}

/* True if the lot touches something that stands. */
static bool touches_any(const Scene *s, int k) {
    int mine, other;

    for (int i = 0; i < s->contacts.n; i++)
        if (scene_contact(s, i, k, &mine, &other))
            return true;
    return false;
}

/* What the best way of lot `k` would cost if no other new lot were there
 * but the bases; infinite if it would touch nothing then. */
static double cost_alone(Ctx *c, Scene *s, int k) {
    bool  *out  = NEW_N(c, bool, s->lots.n + 1);
    double cost = INFINITY;
    Tries  tries;

    for (int j = 0; j < s->lots.n; j++) {
        out[j] = s->lots.at[j].out;
        s->lots.at[j].out |= j != k && !s->lots.at[j].base;
    }
    tries = directions(c, s, k);
    for (int i = 0; i < tries.n && cost == INFINITY; i++)
        if (touches_any(s, k)
            && scene_blocker(c, s, k, tries.at[i].dir, OF_ALL) < 0)
            cost = tries.at[i].cost;
    for (int j = 0; j < s->lots.n; j++)
        s->lots.at[j].out = out[j];
    return cost;
}

/* A way given by the author is taken as it is; new pieces only decide who
 * goes first. `patient`: none, if a much better way may come free. */
static bool find_way(Ctx *c, Scene *s, int k, int of, bool patient,
                     V3 *dir) {
    Tries tries;

    if (s->step->has_comes) {
        *dir = v3_unit(s->step->comes);
        return of == OF_THERE
            || scene_blocker(c, s, k, *dir, OF_NEW) < 0;
    }
    tries = directions(c, s, k);
    for (int i = 0; i < tries.n; i++)
        if (scene_blocker(c, s, k, tries.at[i].dir, of) < 0) {
            *dir = tries.at[i].dir;
            return !patient || s->lots.n < 2
                || tries.at[i].cost - cost_alone(c, s, k)
                   < WAITS_FOR * COST;
        }
    return false;
}

/* ---- Order ---- */

/* The lot added last that has a way out; -1: none. */
static int find_next(Ctx *c, Scene *s, int of, bool hold, bool patient,
                     V3 *dir) {
    for (int k = s->lots.n - 1; k >= 0; k--) {
        const Lot *b = &s->lots.at[k];
        if (!b->base && !b->out && !(hold && holds_others(c, s, k))
            && find_way(c, s, k, of, patient, dir))
            return k;
    }
    return -1;
}

static bool split_any(Ctx *c, Scene *s) {
    int n = s->lots.n;

    for (int k = 0; k < n && !s->step->has_comes; k++)
        if (!s->lots.at[k].base && !s->lots.at[k].out)
            lot_split(c, s, k);
    return s->lots.n > n;
}

/* Takes one lot out; false: none is left. */
static bool take_out(Ctx *c, Scene *s) {
    V3  dir;
    int k = find_next(c, s, OF_ALL, true, true, &dir);

    if (k < 0)
        k = find_next(c, s, OF_ALL, true, false, &dir);
    if (k < 0)
        k = find_next(c, s, OF_ALL, false, false, &dir);
    if (k < 0 && split_any(c, s))
        return true;
    if (k < 0)
        k = find_next(c, s, OF_THERE, false, false, &dir);
    if (k >= 0) {
        s->lots.at[k].dir = dir;
        s->lots.at[k].out = true;
        *PUSH(c, &s->order) = k;
        return true;
    }
    for (k = s->lots.n - 1; k >= 0; k--)
        if (!s->lots.at[k].base && !s->lots.at[k].out) {
            s->lots.at[k].base = true;   // model/way_in.c has told of it
            return true;
        }
    return false;
}

void scene_order(Ctx *c, Scene *s) {
    while (take_out(c, s))
        continue;
    for (int i = 0, j = s->order.n - 1; i < j; i++, j--) {
        int swap = s->order.at[i];
        s->order.at[i] = s->order.at[j];
        s->order.at[j] = swap;
    }
}
