/* nest_fit -- where two things must not lie: no-fit polygons.
 *
 * Things are cut into convex pieces (Hertel and Mehlhorn 1983); the no-fit
 * polygon of two convex pieces A and B is A + (-B), whose edges are those of
 * both, sorted by direction (Minkowski sum). B overlaps A where its place,
 * seen from A's, lies inside; how deep, is how far it must move to be free.
 * One no-fit polygon of the whole things would need no sum over pieces, but
 * curved things are not convex, and their no-fit polygons have holes and
 * slits which the convex ones cover as a matter of course.
 *
 *        A        B             A + (-B), B's corner may stand on its edge
 *      +---+     +              +-----+
 *      |   |    / \            /       \
 *      +---+   +---+          +---------+
 */
#include "plan/nest_internal.h"

#include <assert.h>
#include <math.h>

static Ring turned(Ctx *c, const Ring *r, double turn) {
    double co = cos(turn), si = sin(turn);
    Ring   out = { 0 };

    for (int i = 0; i < r->n; i++)
        *PUSH(c, &out) = v2(r->at[i].x * co - r->at[i].y * si,
                            r->at[i].x * si + r->at[i].y * co);
    return out;
}

static void make_form(Ctx *c, Form *f, const Rings *parts, double turn) {
    f->box = box2_empty();
    for (int i = 0; i < parts->n; i++) {
        Ring *r = PUSH(c, &f->parts);
        *r = turned(c, &parts->at[i], turn);
        for (int k = 0; k < r->n; k++)
            box2_add(&f->box, r->at[k]);
    }
}

/* What overlaps of two things weigh at least: a large one moves less easily
 * aside than a small one. The roots of their lengths, beside the middle. */
static void weigh_pairs(Nesting *s) {
    double *size = NEW_N(s->c, double, s->n + 1), mean = 0;

    for (int i = 0; i < s->n; i++) {
        const Rings *r = &s->forms[s->lying[i].form].parts;
        for (int p = 0; p < r->n; p++)
            for (int k = 0; k < r->at[p].n; k++)
                size[i] += v2_cross(r->at[p].at[k],
                                    r->at[p].at[(k + 1) % r->at[p].n]) / 2;
        size[i] = sqrt(sqrt(fabs(size[i])));
        mean += size[i] / s->n;
    }
    for (int i = 0; i < s->n; i++)
        for (int k = 0; k < s->n; k++)
            s->base[i * s->n + k] = s->weight[i * s->n + k] =
                size[i] * size[k] / mean / mean;
}

/* The item in all its turns, and as many things of it as there are. */
static void add_item(Nesting *s, const NestJob *job, int i, int form) {
    const NestItem *item  = &job->items[i];
    Rings           parts = rings_convex(s->c, item->rings);

    s->first_form[i] = form;
    for (int k = 0; k < item->n_turns; k++) {
        s->forms[form + k].item = i;
        s->forms[form + k].turn = k;
        make_form(s->c, &s->forms[form + k], &parts, item->turns[k]);
    }
    for (int k = 0; k < item->count; k++)
        s->lying[s->n++] = (Lying){ .item = i, .form = form,
                                    .page = item->place.page,
                                    .at = item->place.at,
                                    .fixed = item->fixed };
}

void nesting_init(Ctx *c, Nesting *s, const NestJob *job) {
    int things = 0, form = 0;

    *s = (Nesting){ .c = c, .gap = job->gap, .width = job->width,
                    .height = job->height, .chance = 2463534242u,
                    .most = job->steps };
    for (int i = 0; i < job->n; i++) {
        s->n_forms += job->items[i].n_turns;
        things     += job->items[i].count;
    }
    s->forms      = NEW_N(c, Form, s->n_forms + 1);
    s->first_form = NEW_N(c, int, job->n + 1);
    s->nofits     = NEW_N(c, const NoFits *, s->n_forms * s->n_forms + 1);
    s->lying      = NEW_N(c, Lying, things + 1);
    s->hull       = NEW_N(c, Box2, things + 1);
    s->weight     = NEW_N(c, double, things * things + 1);
    s->base       = NEW_N(c, double, things * things + 1);
    s->overlap    = NEW_N(c, double, things * things + 1);
    for (int i = 0; i < job->n; form += job->items[i++].n_turns)
        add_item(s, job, i, form);
    weigh_pairs(s);
}

/* ---- No-fit polygons ---- */

/* The farthest that a ring reaches along a direction. */
static double reach(const Ring *r, double x, double y) {
    double far = -INFINITY;

    for (int i = 0; i < r->n; i++) {
        double to = r->at[i].x * x + r->at[i].y * y;
        far = to > far ? to : far;
    }
    return far;
}

/* Half-planes of the edges of `edges`, pushed out by what `b` (turned
 * about) reaches beyond `a`; sign -1: the edges are b's, turned about. */
static int push_halves(Half *out, const Ring *edges, const Ring *a,
                       const Ring *b, double sign, double gap) {
    int n = 0;

    for (int i = 0; i < edges->n; i++) {
        V2     p = edges->at[i], q = edges->at[(i + 1) % edges->n];
        double x = sign * (q.y - p.y), y = sign * (p.x - q.x);
        double len = sqrt(x * x + y * y);
        if (len < 1e-12)
            continue;
        x /= len;
        y /= len;
        out[n++] = (Half){ x, y, reach(a, x, y) + reach(b, -x, -y) + gap };
    }
    return n;
}

static bool is_upper(const Half *h) {
    return h->y > 0 || (h->y >= 0 && h->x > 0);
}

/* Counter-clockwise from the left to right direction. */
static int by_direction(const void *pa, const void *pb, const void *with) {
    const Half *a = pa, *b = pb;
    double      cross = a->x * b->y - a->y * b->x;

    (void)with;
    if (is_upper(a) != is_upper(b))
        return is_upper(a) ? -1 : 1;
    return cross > 0 ? -1 : cross < 0;
}

/* Sorts them, and leaves one of each direction that both have. */
static int merge_halves(Ctx *c, Half *half, int n) {
    int kept = 0;

    list_sort(c, half, n, sizeof *half, by_direction, NULL);
    for (int i = 0; i < n; i++) {
        const Half *last = &half[kept > 0 ? kept - 1 : 0];
        if (kept > 0 && fabs(last->x - half[i].x) < 1e-12
            && fabs(last->y - half[i].y) < 1e-12)
            half[kept - 1].d = fmax(last->d, half[i].d);
        else
            half[kept++] = half[i];
    }
    return kept;
}

static NoFit nofit_of(Nesting *s, const Ring *a, const Ring *b) {
    Half *half = NEW_N(s->c, Half, a->n + b->n + 1);
    NoFit f = { .half = half };

    f.n  = push_halves(half, a, a, b, 1, s->gap);
    f.n += push_halves(half + f.n, b, a, b, -1, s->gap);
    f.n  = merge_halves(s->c, half, f.n);
    f.box.max = v2(reach(a, 1, 0) + reach(b, -1, 0) + s->gap,
                   reach(a, 0, 1) + reach(b, 0, -1) + s->gap);
    f.box.min = v2(-reach(a, -1, 0) - reach(b, 1, 0) - s->gap,
                   -reach(a, 0, -1) - reach(b, 0, 1) - s->gap);
    return f;
}

/* Corners of the no-fit polygons: where two half-planes meet that follow
 * each other. */
static void find_corners(Nesting *s, NoFits *f) {
    V2 *corner;
    int most = 0;

    for (int i = 0; i < f->n; i++)
        most += f->part[i].n;
    corner = NEW_N(s->c, V2, most + 1);
    for (int i = 0; i < f->n; i++) {
        const NoFit *part = &f->part[i];
        for (int k = 0; k < part->n; k++) {
            const Half *p = &part->half[k];
            const Half *q = &part->half[(k + 1) % part->n];
            double cross  = p->x * q->y - p->y * q->x;
            if (cross > 1e-6)
                corner[f->n_corners++] =
                    v2((p->d * q->y - q->d * p->y) / cross,
                       (q->d * p->x - p->d * q->x) / cross);
        }
    }
    f->corner = corner;
}

const NoFits *nesting_nofits(Nesting *s, int a, int b) {
    const NoFits **known = &s->nofits[a * s->n_forms + b];
    const Rings   *pa = &s->forms[a].parts, *pb = &s->forms[b].parts;
    NoFits        *made;
    NoFit         *part;

    if (*known)
        return *known;
    made      = NEW(s->c, NoFits);
    part      = NEW_N(s->c, NoFit, pa->n * pb->n + 1);
    made->box = box2_empty();
    for (int i = 0; i < pa->n; i++) {
        for (int k = 0; k < pb->n; k++) {
            part[made->n] = nofit_of(s, &pa->at[i], &pb->at[k]);
            box2_add(&made->box, part[made->n].box.min);
            box2_add(&made->box, part[made->n].box.max);
            made->n++;
        }
    }
    made->part = part;
    find_corners(s, made);
    *known     = made;
    return made;
}
