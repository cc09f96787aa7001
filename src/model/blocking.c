/* blocking -- what stands in the way of a piece that comes in straight.
 *
 * Ways to try are the world's axes, the piece's own, and what its contacts
 * allow: along the faces that it lies on and square to them. For one piece
 * against another these are all extreme ways to part them (the edges of the
 * cone of directions that open every contact are normals and cross products
 * of two normals: Wilson & Latombe 1994), so a slanted way out is found
 * where there is one. Most are told off by the contacts alone.
 *
 * A group is taken out piece by piece, in any order that works: taking one
 * away never blocks another, so the first that is found will do.
 */
#include "model/model_internal.h"

#include <math.h>

#define MOST_WAYS 40   // ways tried for one piece

struct Blocking {
    Ctx         *c;
    const Model *m;
    BoxTree     *tree;      // of all pieces; those that stand are marked
    bool        *square;    // of each piece: a block square to the world
    Neighbors    near;
};

Neighbors neighbors_of(Ctx *c, const Model *m) {
    Neighbors out = { NEW_N(c, int, m->pieces.n + 2),
                      NEW_N(c, int, 2 * m->contacts.n + 1) };
    int      *fill = NEW_N(c, int, m->pieces.n + 1);

    for (int i = 0; i < m->contacts.n; i++) {
        out.begin[m->contacts.at[i].a + 1]++;
        out.begin[m->contacts.at[i].b + 1]++;
    }
    for (int i = 0; i < m->pieces.n; i++)
        out.begin[i + 1] += out.begin[i];
    for (int i = 0; i < m->contacts.n; i++) {
        const Contact *k = &m->contacts.at[i];
        out.item[out.begin[k->a] + fill[k->a]++] = i;
        out.item[out.begin[k->b] + fill[k->b]++] = i;
    }
    return out;
}

Blocking *blocking_new(Ctx *c, const Model *m) {
    Blocking *b     = NEW(c, Blocking);
    Box3     *boxes = NEW_N(c, Box3, m->pieces.n + 1);

    b->square = NEW_N(c, bool, m->pieces.n + 1);
    for (int i = 0; i < m->pieces.n; i++) {
        const Piece *p = &m->pieces.at[i];
        boxes[i]     = p->box;
        b->square[i] = solid_is_square_block(m->parts.at[p->part].solid,
                                             &p->frame);
    }
    b->c    = c;
    b->m    = m;
    b->tree = box_tree(c, boxes, m->pieces.n);
    b->near = neighbors_of(c, m);
    return b;
}

void blocking_put(Blocking *b, int piece) {
    box_tree_put(b->tree, piece);
}

void blocking_take(Blocking *b, int piece) {
    box_tree_take(b->tree, piece);
}

bool blocking_stands(const Blocking *b, int piece) {
    return box_tree_stands(b->tree, piece);
}

const Neighbors *blocking_near(const Blocking *b) {
    return &b->near;
}

/* ---- One way ---- */

typedef struct {
    const Blocking *b;
    const Piece    *p;
    int             self;
    const bool     *beside;   // pieces that move along, or NULL
    V3              dir;
    bool            axis;     // a square block along an axis
} Test;

static bool stops(int item, void *with) {
    const Test  *t = with;
    const Model *m = t->b->m;
    const Piece *q = &m->pieces.at[item];

    if (item == t->self || (t->beside && t->beside[item]))
        return false;
    if (t->axis && t->b->square[item])
        return block_blocks(t->p->box, q->box, t->dir);
    return solid_blocks(t->b->c, m->parts.at[t->p->part].solid,
                        &t->p->frame, m->parts.at[q->part].solid, &q->frame,
                        t->dir);
}

int blocking_on(const Blocking *b, int piece, V3 dir, const bool *beside) {
    const Piece *p = &b->m->pieces.at[piece];
    bool axis = fabs(dir.x) + fabs(dir.y) + fabs(dir.z) < 1 + 1e-12;
    Test t    = { b, p, piece, beside, dir, axis && b->square[piece] };

    return box_tree_blocker(b->tree, p->box, dir, stops, &t);
}

/* ---- Ways to try ---- */

static void add_way(V3 *ways, int *n, V3 d) {
    double len = v3_len(d);

    if (len < 1e-6 || *n >= MOST_WAYS)
        return;
    d = v3_scale(d, 1 / len);
    for (int i = 0; i < *n; i++)
        if (v3_len(v3_sub(ways[i], d)) < 1e-6)
            return;
    ways[(*n)++] = d;
}

static void add_both(V3 *ways, int *n, V3 d) {
    add_way(ways, n, d);
    add_way(ways, n, v3_scale(d, -1));
}

/* Normals of the piece's contacts with what stands, away from it. */
static int open_normals(const Blocking *b, int piece, const bool *beside,
                        V3 *normals) {
    int n = 0;

    for (int i = b->near.begin[piece]; i < b->near.begin[piece + 1]; i++) {
        const Contact *k = &b->m->contacts.at[b->near.item[i]];
        int  other = k->a == piece ? k->b : k->a;
        if (!blocking_stands(b, other) || (beside && beside[other]))
            continue;
        for (int j = 0; j < k->normals; j++)
            add_way(normals, &n, v3_scale(k->normal[j],
                                          k->a == piece ? 1 : -1));
    }
    return n;
}

static int all_ways(const Blocking *b, int piece, const V3 *normals,
                    int n_normals, V3 *ways) {
    const Frame *f = &b->m->pieces.at[piece].frame;
    int          n = 0;

    add_both(ways, &n, v3(0, 0, 1));
    add_both(ways, &n, v3(1, 0, 0));
    add_both(ways, &n, v3(0, 1, 0));
    add_both(ways, &n, f->z);
    add_both(ways, &n, f->x);
    add_both(ways, &n, f->y);
    for (int i = 0; i < n_normals; i++)
        add_way(ways, &n, normals[i]);
    for (int i = 0; i < n_normals; i++)
        for (int k = i + 1; k < n_normals; k++)
            add_both(ways, &n, v3_cross(normals[i], normals[k]));
    return n;
}

static bool opens(const V3 *normals, int n, V3 dir) {
    for (int i = 0; i < n; i++)
        if (v3_dot(normals[i], dir) < -1e-6)
            return false;
    return true;
}

bool blocking_way(const Blocking *b, int piece, const V3 *first,
                  const bool *beside, V3 *dir) {
    V3  normals[MOST_WAYS], ways[MOST_WAYS];
    int n_normals = open_normals(b, piece, beside, normals);
    int n;

    if (first && opens(normals, n_normals, *first)
        && blocking_on(b, piece, *first, beside) < 0) {
        *dir = *first;
        return true;
    }
    n = all_ways(b, piece, normals, n_normals, ways);
    for (int i = 0; i < n; i++)
        if (opens(normals, n_normals, ways[i])
            && blocking_on(b, piece, ways[i], beside) < 0) {
            *dir = ways[i];
            return true;
        }
    return false;
}

/* ---- A group, one by one ---- */

/* Rounds from the last to the first, until one brings nothing. */
int blocking_peel(Blocking *b, Ints *group, V3 *ways, Ints *out) {
    int   left = group->n;
    bool *gone = NEW_N(b->c, bool, group->n + 1);
    V3    last = { 0, 0, 1 };

    for (bool more = true; more && left > 0; ) {
        more = false;
        for (int i = group->n - 1; i >= 0; i--) {
            int p = group->at[i];
            V3  dir;
            if (gone[i] || !blocking_way(b, p, &last, NULL, &dir))
                continue;
            gone[i] = more = true;
            last    = dir;
            if (ways)
                ways[p] = dir;
            if (out)
                *PUSH(b->c, out) = p;
            blocking_take(b, p);
            left--;
        }
    }
    for (int i = 0, n = 0; i < group->n; i++)
        if (!gone[i])
            group->at[n++] = group->at[i];
    group->n = left;
    return left;
}
