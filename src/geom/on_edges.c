/* on_edges -- the corners of a solid that lie on the edges between others.
 *
 * A long edge of one face may lie against two short ones of its neighbors:
 *
 *     a +-----------+ b      face above: a to b
 *       |     |v    |        faces below: a to v, v to b
 *
 * Corners are kept in order along one direction, so that only those within
 * reach of an edge are tried.
 */
#include "geom/geom_internal.h"

#include <math.h>

/* A direction that no board runs square to. */
static double skew(V3 p) {
    return 0.5774 * p.x + 0.5517 * p.y + 0.6021 * p.z;
}

static int by_mark(const void *pa, const void *pb, const void *with) {
    const Mark *a = pa, *b = pb;

    (void)with;
    if (a->at != b->at)
        return a->at < b->at ? -1 : 1;
    return a->v - b->v;
}

Mark mark_of(V3 p, int v) {
    return (Mark){ skew(p), v };
}

void marks_sort(Ctx *c, Marks *m) {
    list_sort(c, m->at, m->n, sizeof *m->at, by_mark, NULL);
}

static int first_mark(const Marks *m, double at) {
    int from = 0, to = m->n;

    while (from < to) {
        int mid = (from + to) / 2;
        if (m->at[mid].at < at)
            from = mid + 1;
        else
            to = mid;
    }
    return from;
}

Marks marks_between(Ctx *c, const Marks *m, const V3 *p, int a, int b) {
    V3     along = v3_sub(p[b], p[a]);
    double len   = v3_len(along);
    double lo    = fmin(skew(p[a]), skew(p[b])) - ON_EDGE;
    double hi    = fmax(skew(p[a]), skew(p[b])) + ON_EDGE;
    Marks  on    = { 0 };

    along = v3_scale(along, 1 / len);
    for (int i = first_mark(m, lo); i < m->n && m->at[i].at <= hi; i++) {
        int    v  = m->at[i].v;
        V3     to = v3_sub(p[v], p[a]), off;
        double at = v3_dot(to, along);
        if (at <= 0 || at >= len || v == a || v == b)
            continue;
        off = v3_sub(to, v3_scale(along, at));
        if (v3_dot(off, off) <= ON_EDGE * ON_EDGE)
            *PUSH(c, &on) = (Mark){ at, v };
    }
    marks_sort(c, &on);
    return on;
}
