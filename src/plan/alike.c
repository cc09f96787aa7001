/* alike -- the same thing made several times in one step is drawn once.
 *
 *     |=|        |=|
 *     | |        | |       two ends, made on a free bench: one is drawn,
 *                          the page says "make two"
 *
 * Bunches of new pieces that touch nothing else are compared, turned by
 * quarters about a plumb axis: piece by piece the same part, box and center
 * of mass. (Frames would not do: a plain board may lie either way around.
 * Repeated groups in assemblies: geometry-notes 1.4.)
 */
#include "plan/view_internal.h"

#include <math.h>

#define SAME_MM 0.05   // places that are taken as one

/* ---- Bunches ---- */

/* Number of each fresh piece's bunch, from 0 in order of pieces; how many
 * there are. */
static int find_bunches(const Model *m, const bool *fresh, int *bunch) {
    int  n    = 0;
    bool more = true;

    for (int i = 0; i < m->pieces.n; i++)
        bunch[i] = fresh[i] ? i : -1;
    while (more) {
        more = false;
        for (int i = 0; i < m->contacts.n; i++) {
            int *a = &bunch[m->contacts.at[i].a];
            int *b = &bunch[m->contacts.at[i].b];
            if (*a < 0 || *b < 0 || *a == *b)
                continue;
            *a = *b = *a < *b ? *a : *b;
            more = true;
        }
    }
    for (int i = 0; i < m->pieces.n; i++)
        if (bunch[i] >= 0)
            bunch[i] = bunch[i] == i ? n++ : bunch[bunch[i]];
    return n;
}

typedef struct { const Model *m; const int *bunch; bool *used; } Search;

static V3 middle(Box3 b) {
    return v3_scale(v3_add(b.min, b.max), 0.5);
}

static Box3 bunch_box(const Search *s, int n) {
    Box3 box = box3_empty();

    for (int i = 0; i < s->m->pieces.n; i++)
        if (s->bunch[i] == n) {
            box3_add(&box, s->m->pieces.at[i].box.min);
            box3_add(&box, s->m->pieces.at[i].box.max);
        }
    return box;
}

static V3 quarter_turned(V3 v, int quarters) {
    for (int i = 0; i < quarters; i++)
        v = v3(-v.y, v.x, v.z);
    return v;
}

static V3 mass_center(const Model *m, int piece) {
    const Piece *p = &m->pieces.at[piece];

    return frame_point(&p->frame, m->parts.at[p->part].solid->centroid);
}

static bool is_near(V3 a, V3 b) {
    return v3_len(v3_sub(a, b)) < SAME_MM;
}

/* Is piece `a`, turned about `from` and moved to `to`, where `b` is? */
static bool is_there(const Model *m, int a, int b, V3 from, V3 to,
                     int quarters) {
    Box3 p    = m->pieces.at[a].box, q = m->pieces.at[b].box;
    V3   size = quarter_turned(v3_sub(p.max, p.min), quarters);
    V3   at   = quarter_turned(v3_sub(middle(p), from), quarters);
    V3   mass = quarter_turned(v3_sub(mass_center(m, a), from), quarters);

    size = v3(fabs(size.x), fabs(size.y), size.z);
    return m->pieces.at[a].part == m->pieces.at[b].part
        && m->pieces.at[a].mirrored == m->pieces.at[b].mirrored
        && is_near(v3_add(to, at), middle(q))
        && is_near(v3_add(to, mass), mass_center(m, b))
        && is_near(size, v3_sub(q.max, q.min));
}

static bool is_copy_turned(Search *s, int n, int quarters) {
    V3  from = middle(bunch_box(s, 0)), to = middle(bunch_box(s, n));
    int here = 0, first = 0, found = 0;

    memset(s->used, 0, sizeof *s->used * (size_t)s->m->pieces.n);
    for (int b = 0; b < s->m->pieces.n; b++) {
        if (s->bunch[b] != n)
            continue;
        here++;
        for (int a = 0; a < s->m->pieces.n; a++)
            if (s->bunch[a] == 0 && !s->used[a]
                && is_there(s->m, a, b, from, to, quarters)) {
                s->used[a] = true;
                found++;
                break;
            }
    }
    for (int a = 0; a < s->m->pieces.n; a++)
        first += s->bunch[a] == 0;
    return found == here && found == first;
}

static bool is_copy(Search *s, int n) {
    for (int quarters = 0; quarters < 4; quarters++)
        if (is_copy_turned(s, n, quarters))
            return true;
    return false;
}

/* ---- Which one ---- */

/* The bunch that shows most heads of its nails and screws. */
static int best_shown(const Scene *s, const int *bunch, int n, double *sum) {
    int best = 0;

    for (int i = 0; i < s->m->fasteners.n; i++) {
        const Fastener *f = &s->m->fasteners.at[i];
        if (&s->m->steps.at[f->step] == s->step && bunch[f->from] >= 0)
            sum[bunch[f->from]] -= v3_dot(f->axis, s->toward);
    }
    for (int i = 1; i < n; i++)
        if (sum[i] > sum[best] + 1e-6)
            best = i;
    return best;
}

int bunches_alike(Ctx *c, const Scene *s, bool *fresh) {
    const Model *m     = s->m;
    int         *bunch = NEW_N(c, int, m->pieces.n + 1);
    Search       look  = { m, bunch, NEW_N(c, bool, m->pieces.n + 1) };
    int          n, best;

    for (int i = 0; i < m->pieces.n; i++)
        if (s->owner[i] == PIECE_THERE)
            return 1;
    n = find_bunches(m, fresh, bunch);
    for (int i = 1; i < n; i++)
        if (!is_copy(&look, i))
            return 1;
    if (n < 2)
        return 1;
    best = best_shown(s, bunch, n, NEW_N(c, double, n));
    for (int i = 0; i < m->pieces.n; i++)
        fresh[i] = fresh[i] && bunch[i] == best;
    return n;
}
