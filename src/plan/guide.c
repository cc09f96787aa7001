/* guide -- the thin lines from a new piece to where it lands.
 *
 *     +--------+      One for each joint, at whichever place of it the
 *     |  new   |      reader sees most of the line: its middle, or near
 *     +-:----:-+      one of its corners.
 *       :    :
 *     +-x----x-+      (Lines that the drawing hides would leave stubs that
 *     | there  |      tell nothing: they are left out.)
 *
 * A row of like pieces has lines at its first, middle and last. All places
 * are given to the drawing; it is its hidden lines that choose.
 */
#include "plan/view_internal.h"

#include <math.h>

#define GUIDES_MAX  3      // joints with a line, of one lot
#define CORNERS_MAX 8      // places tried near the corners of a joint
#define INWARD      0.8    // of the way from its middle to the corner,
#define ASIDE       0.01   // each by so much less than the last: lines that
                           // fell on one another would share what is seen
#define SEEN_STUB   0.3    // less of a line is seen: left out
#define MIDDLE_BEST 0.1    // a corner must show so much more
#define STRAIGHT    0.99   // cosine
#define SLACK_MM    0.02   // of faces that touch

static V3 off_of(const Scene *s, int piece) {
    int owner = s->owner[piece];

    return owner >= 0 ? s->lots.at[owner].off : v3(0, 0, 0);
}

/* ---- Joints ---- */

typedef struct { double area; int contact, other; } Touch;
typedef LIST(Touch) Touches;

static int by_area(const void *a, const void *b, const void *with) {
    const Touch *p = a, *q = b;

    (void)with;
    return p->area > q->area ? -1 : p->area < q->area;
}

/* Contacts of one piece of lot `k` with what stands, largest first;
 * those far smaller than the largest are left out. */
static Touches touches(Ctx *c, const Scene *s, int k, int piece) {
    Touches t = { 0 };
    int     mine, other, n = 0;

    for (int i = 0; i < s->contacts.n; i++)
        if (scene_contact(s, i, k, &mine, &other) && mine == piece)
            *PUSH(c, &t) = (Touch){
                floor(s->contacts.at[i].area * 100 + 0.5), i, other
            };
    list_sort(c, t.at, t.n, sizeof *t.at, by_area, NULL);
    while (n < t.n && t.at[n].area >= 0.1 * t.at[0].area)
        n++;
    t.n = n;
    return t;
}

/* Middle of the side of the piece's box that goes in first. */
static V3 leading_face(const Scene *s, int piece, V3 dir) {
    Box3   b   = s->m->pieces.at[piece].box;
    V3     mid = v3_scale(v3_add(b.min, b.max), 0.5);
    double lo, hi;

    piece_span(s->m, piece, dir, &lo, &hi);
    return v3_add(mid, v3_scale(dir, lo - v3_dot(mid, dir)));
}

/* ---- Places ---- */

static bool inside_ring(const Ring *r, V2 q) {
    bool in = false;

    for (int i = 0; i < r->n; i++) {
        V2 a = r->at[i], b = r->at[(i + 1) % r->n];
        if ((a.y > q.y) != (b.y > q.y)
            && q.x < a.x + (q.y - a.y) / (b.y - a.y) * (b.x - a.x))
            in = !in;
    }
    return in;
}

static V2 ring_middle(const Ring *r) {
    V2 sum = { 0, 0 };

    for (int i = 0; i < r->n; i++)
        sum = v2_add(sum, r->at[i]);
    return v2_scale(sum, 1.0 / r->n);
}

/* Points of the joint of two pieces a little inside of its corners. */
static void add_corners(Ctx *c, const Scene *s, int piece, int other,
                        Guide line, Guides *g) {
    const Model *m = s->m;
    const Piece *p = &m->pieces.at[piece], *q = &m->pieces.at[other];
    TouchPatches all = solid_patches(c, m->parts.at[p->part].solid,
                                     &p->frame, m->parts.at[q->part].solid,
                                     &q->frame, SLACK_MM);
    const Ring *r;
    V3          moved = v3_sub(line.b, line.a), rest;
    int         step;

    if (all.n == 0)
        return;
    rest = off_of(s, other);
    r    = &all.at[0].where.parts.at[0].at[0];
    step = (r->n + CORNERS_MAX - 1) / CORNERS_MAX;
    for (int i = 0; i < r->n; i += step) {
        V2     mid = ring_middle(r);
        double far = INWARD - ASIDE * (i / step);
        V2     at  = v2_add(mid, v2_scale(v2_sub(r->at[i], mid), far));
        if (!inside_ring(r, at))
            continue;
        line.a = v3_add(rest, v3_add(v3_scale(all.at[0].n, all.at[0].d),
                              v3_add(v3_scale(all.at[0].u, at.x),
                                     v3_scale(all.at[0].v, at.y))));
        line.b = v3_add(line.a, moved);
        *PUSH(c, g) = line;
    }
}

/* A line to a piece that is drawn apart another way runs slanted: only those
 * that run along the way in are left, if there are any. */
static void drop_slanted(const Scene *s, int k, Touches *t) {
    const Lot *lot = &s->lots.at[k];
    int        n   = 0;

    for (int i = 0; i < t->n; i++) {
        V3 by = v3_sub(lot->off, off_of(s, t->at[i].other));
        if (v3_dot(by, lot->dir) > STRAIGHT * v3_len(by))
            t->at[n++] = t->at[i];
    }
    t->n = n ? n : t->n;
}

static void guide_piece(Ctx *c, const Scene *s, Guides *g, int k, int piece,
                        int most, int *joints) {
    V3      off = s->lots.at[k].off, at;
    Touches t   = touches(c, s, k, piece);

    drop_slanted(s, k, &t);
    for (int i = 0; i < t.n && i < most; i++) {
        int   other = t.at[i].other;
        Guide line  = { .piece = piece, .joint = *joints, .lot = k };
        at     = s->contacts.at[t.at[i].contact].at;
        line.a = v3_add(at, off_of(s, other));
        line.b = v3_add(at, off);
        if (v3_len(v3_sub(line.b, line.a)) <= 1)
            continue;
        *PUSH(c, g) = line;
        add_corners(c, s, piece, other, line, g);
        (*joints)++;
    }
    if (t.n == 0 && v3_len(off) > 1) {
        at = leading_face(s, piece, s->lots.at[k].dir);
        *PUSH(c, g) = (Guide){ at, v3_add(at, off), piece, k, (*joints)++ };
    }
}

/* Of a row: its first, middle and last piece. */
static void guide_lot(Ctx *c, const Scene *s, Guides *g, int k,
                      int *joints) {
    const Lot *b = &s->lots.at[k];
    int        n = b->pieces.n;
    int        lines = n < GUIDES_MAX ? n : GUIDES_MAX;

    for (int i = 0; i < lines; i++) {
        int nth = lines > 1 ? i * (n - 1) / (lines - 1) : 0;
        guide_piece(c, s, g, k, b->pieces.at[nth], GUIDES_MAX / lines,
                    joints);
    }
}

Guides scene_guides(Ctx *c, Scene *s) {
    Guides g = { 0 };
    int    joints = 0;

    for (int i = 0; i < s->order.n; i++)
        s->lots.at[s->order.at[i]].out = true;
    for (int i = 0; i < s->order.n; i++) {
        guide_lot(c, s, &g, s->order.at[i], &joints);
        s->lots.at[s->order.at[i]].out = false;
    }
    return g;
}

/* ---- Choice ---- */

static int first_id(const Model *m) {
    return m->pieces.n + m->fasteners.n;
}

void guides_add(Ctx *c, const Model *m, const Guides *g, Extras *extras) {
    for (int i = 0; i < g->n; i++)
        *PUSH(c, extras) = (Extra){ g->at[i].a, g->at[i].b,
                                    first_id(m) + i, false };
}

/* Share of each line that is seen. */
static double *seen_shares(Ctx *c, const Model *m, const Guides *g,
                           const View *v) {
    double *seen = NEW_N(c, double, g->n + 1);

    for (int i = 0; i < v->picture.lines.n; i++) {
        const Line2 *l = &v->picture.lines.at[i];
        if (l->id >= first_id(m))
            seen[l->id - first_id(m)] += v2_len(v2_sub(l->b, l->a));
    }
    for (int i = 0; i < g->n; i++) {
        double all = v2_len(v2_sub(
            camera_project(&v->camera, g->at[i].b, NULL),
            camera_project(&v->camera, g->at[i].a, NULL)));
        seen[i] = all > 0 ? seen[i] / all : 0;
    }
    return seen;
}

/* The line of each joint that is kept, or -1. */
static int *best_lines(Ctx *c, const Guides *g, const double *seen) {
    int *best = NEW_N(c, int, g->n + 1);

    for (int i = 0; i < g->n; i++)
        best[i] = -1;
    for (int i = 0; i < g->n; i++) {
        int *of = &best[g->at[i].joint];
        bool is_middle = i == 0 || g->at[i - 1].joint != g->at[i].joint;
        if (is_middle)
            *of = i;
        else if (seen[i] > seen[*of] + MIDDLE_BEST)
            *of = i;
    }
    return best;
}

void guides_keep(Ctx *c, const Model *m, const Guides *g, View *v,
                 double *lot_seen) {
    double  *seen = seen_shares(c, m, g, v);
    int     *best = best_lines(c, g, seen);
    Picture *p    = &v->picture;
    int      n    = 0;

    for (int i = 0; i < p->lines.n; i++) {
        Line2 l   = p->lines.at[i];
        int   nth = l.id - first_id(m);
        if (nth >= 0) {
            if (best[g->at[nth].joint] != nth || seen[nth] < SEEN_STUB)
                continue;
            l.id = g->at[nth].piece;
        }
        p->lines.at[n++] = l;
    }
    p->lines.n = n;
    for (int i = 0; i < g->n; i++) {
        double *lot = &lot_seen[g->at[i].lot];
        *lot = fmax(*lot, seen[i]);
    }
}
