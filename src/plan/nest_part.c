/* nest_part -- moves things apart until none overlaps.
 *
 * Guided local search (Voudouris and Tsang 1999; for nesting Umetani and
 * others 2009, Elkeran 2013, Gardeyn and others 2025): one thing after the
 * other that overlaps is put where its overlaps, each times a weight, are
 * least; then the weights of all that still overlap grow, so that no pair
 * can stay as it is forever. The place is looked for by chance, near and
 * far, and the best few are improved by steps along the axes that grow
 * while they help. Bottom-left rules are quicker, and end with 5 to 15
 * points more waste; exact programs end at some 16 things.
 */
#include "plan/nest_internal.h"

#include <math.h>

#define FAR_TRIES   24
#define PAGE_TRIES   8      // and so many for each further page
#define TOUCH_TRIES 16
#define TOUCH_PAGE   8
#define NEAR_TRIES  14
#define KEPT         3      // of the tries are improved
#define COARSE       0.03
#define FINE         0.0005
#define FREE         1e-9   // a depth that is nothing

double nesting_chance(Nesting *s) {
    s->chance ^= s->chance << 13;   // Marsaglia 2003
    s->chance ^= s->chance >> 17;
    s->chance ^= s->chance << 5;
    return s->chance / 4294967296.0;
}

static int chance_below(Nesting *s, int n) {
    return (int)(nesting_chance(s) * n);
}

/* ---- Overlap ---- */

static double depth_in(const NoFit *f, V2 r) {
    double depth = INFINITY;

    for (int i = 0; i < f->n; i++) {
        double d = f->half[i].d - r.x * f->half[i].x - r.y * f->half[i].y;
        if (d <= FREE)
            return 0;
        depth = d < depth ? d : depth;
    }
    return depth;
}

static bool in_box(const Box2 *b, V2 r) {
    return r.x > b->min.x && r.x < b->max.x && r.y > b->min.y
        && r.y < b->max.y;
}

static double depths(const NoFits *f, V2 r) {
    double sum = 0;

    for (int i = 0; i < f->n; i++) {
        if (in_box(&f->part[i].box, r))
            sum += depth_in(&f->part[i], r);
    }
    return sum;
}

typedef struct { double cost; int form, page; V2 at; } Spot;

/* The hull of thing i, where it lies. */
static void note_hull(Nesting *s, int i) {
    const Lying *l = &s->lying[i];
    const Box2  *b = &s->forms[l->form].box;

    s->hull[i] = (Box2){ { b->min.x + l->at.x, b->min.y + l->at.y },
                         { b->max.x + l->at.x, b->max.y + l->at.y } };
}

/* Overlaps of thing i at a spot, weighed; no more than tells that it is
 * above the limit. */
static double cost_at(Nesting *s, int i, const Spot *at, double limit) {
    const double *weight = s->weight + i * s->n;
    const Box2   *b = &s->forms[at->form].box;
    double        x0 = b->min.x + at->at.x - s->gap;
    double        y0 = b->min.y + at->at.y - s->gap;
    double        x1 = b->max.x + at->at.x + s->gap;
    double        y1 = b->max.y + at->at.y + s->gap, sum = 0;

    s->steps++;
    for (int j = 0; j < s->n; j++) {
        const Lying  *o = &s->lying[j];
        const Box2   *h = &s->hull[j];
        const NoFits *f;
        if (h->min.x >= x1 || h->max.x <= x0 || h->min.y >= y1
            || h->max.y <= y0 || o->page != at->page || j == i)
            continue;
        f = s->nofits[o->form * s->n_forms + at->form];
        if (!f)
            f = nesting_nofits(s, o->form, at->form);
        sum += weight[j] * depths(f, (V2){ at->at.x - o->at.x,
                                           at->at.y - o->at.y });
        if (sum >= limit)
            return sum;
    }
    return sum;
}

bool nesting_is_free(Nesting *s, int i, int form, int page, V2 at) {
    Spot spot = { .form = form, .page = page, .at = at };

    return cost_at(s, i, &spot, FREE) <= 0;
}

void nesting_put(Nesting *s, int i, int form, int page, V2 at) {
    Lying *l = &s->lying[i];

    l->form = form;
    l->page = page;
    l->at   = at;
    note_hull(s, i);
}

/* Writes down how deep thing i lies in each other one. */
static void note_overlaps(Nesting *s, int i) {
    const Lying *a = &s->lying[i];

    for (int j = 0; j < s->n; j++) {
        const Lying *o = &s->lying[j];
        double       d = 0;
        if (j != i && o->page == a->page && !(o->fixed && a->fixed))
            d = depths(nesting_nofits(s, o->form, a->form),
                       v2_sub(a->at, o->at));
        s->overlap[i * s->n + j] = s->overlap[j * s->n + i] = d;
    }
}

static void note_all(Nesting *s) {
    for (int i = 0; i < s->n; i++)
        note_hull(s, i);
    for (int i = 0; i < s->n; i++)
        note_overlaps(s, i);
}

static double overlaps_of(const Nesting *s, int i) {
    double sum = 0;

    for (int j = 0; j < s->n; j++)
        sum += s->overlap[i * s->n + j];
    return sum;
}

static double loss_of(const Nesting *s) {
    double sum = 0;

    for (int i = 0; i < s->n; i++)
        sum += overlaps_of(s, i);
    return sum;
}

/* ---- Where a thing may be put ---- */

/* Places of a form that keep it on the page; false: there are none. */
static bool range_of(const Nesting *s, int form, Box2 *range) {
    Box2 b = s->forms[form].box;

    range->min = v2(-b.min.x, -b.min.y);
    range->max = v2(s->width - b.max.x, s->height - b.max.y);
    return range->min.x <= range->max.x + FREE
        && range->min.y <= range->max.y + FREE;
}

bool nesting_fits(const Nesting *s, int form) {
    Box2 range;

    return range_of(s, form, &range);
}

static V2 held_in(Box2 r, V2 v) {
    return (V2){ v.x > r.max.x ? r.max.x : v.x < r.min.x ? r.min.x : v.x,
                 v.y > r.max.y ? r.max.y : v.y < r.min.y ? r.min.y : v.y };
}

/* A form of the item that fits the page, by chance. */
static int any_form(Nesting *s, int i, Box2 *range) {
    int first = s->first_form[s->lying[i].item], n = 0;
    int form  = s->lying[i].form;

    while (first + n < s->n_forms
           && s->forms[first + n].item == s->lying[i].item)
        n++;
    for (int tries = 0; tries < 8; tries++) {
        int try = first + chance_below(s, n);
        if (range_of(s, try, range))
            return try;
    }
    (void)range_of(s, form, range);
    return form;
}

static Spot far_spot(Nesting *s, int i) {
    Box2 r = { 0 };
    Spot at = { .form = any_form(s, i, &r) };
    double x = nesting_chance(s), y = nesting_chance(s);

    at.page = chance_below(s, s->pages);
    at.at   = held_in(r, v2(r.min.x + x * (r.max.x - r.min.x),
                            r.min.y + y * (r.max.y - r.min.y)));
    return at;
}

static Spot near_spot(Nesting *s, int i) {
    const Lying *now = &s->lying[i];
    Box2   r = { 0 }, b = s->forms[now->form].box;
    Spot   at = { .form = any_form(s, i, &r), .page = now->page };
    double x = nesting_chance(s) - 0.5, y = nesting_chance(s) - 0.5;

    at.at = held_in(r, v2(now->at.x + x * (b.max.x - b.min.x),
                          now->at.y + y * (b.max.y - b.min.y)));
    return at;
}

/* Where the thing touches another one with a corner: what fits snugly is
 * found so, and hardly ever by chance. */
static Spot touching_spot(Nesting *s, int i) {
    Box2 r = { 0 };
    Spot at = { 0 };

    for (int tries = 0; tries < 6; tries++) {
        int           j = chance_below(s, s->n);
        const Lying  *o = &s->lying[j];
        const NoFits *f;
        V2            to;
        at.form = any_form(s, i, &r);
        at.page = o->page;
        f       = nesting_nofits(s, o->form, at.form);
        to      = f->corner[chance_below(s, f->n_corners)];
        to.x += o->at.x;
        to.y += o->at.y;
        at.at = held_in(r, to);
        if (j != i && fabs(at.at.x - to.x) + fabs(at.at.y - to.y) < FREE)
            break;
    }
    return at;
}

void nesting_throw(Nesting *s, int i) {
    Spot at = far_spot(s, i);

    nesting_put(s, i, at.form, at.page, at.at);
}

/* ---- Looking for the best place ---- */

/* Steps along x, y or a diagonal, both ways, each longer after success and
 * half as long after failure; from and to shares of the thing's size. */
static void improve(Nesting *s, int i, Spot *at, double from, double to) {
    static const V2 ways[] = { { 1, 0 }, { 0, 1 }, { 1, 1 }, { 1, -1 } };
    Box2   b = s->forms[at->form].box, r = { 0 };
    double size = fmin(b.max.x - b.min.x, b.max.y - b.min.y);
    double step = from * size;

    (void)range_of(s, at->form, &r);
    while (step > to * size && at->cost > 0 && s->steps < s->most) {
        V2   way = ways[chance_below(s, COUNT(ways))];
        bool better = false;
        for (int sign = -1; sign <= 1; sign += 2) {
            Spot next = *at;
            next.at   = held_in(r, (V2){ at->at.x + way.x * sign * step,
                                         at->at.y + way.y * sign * step });
            next.cost = cost_at(s, i, &next, at->cost);
            if (next.cost < at->cost) {
                *at    = next;
                better = true;
                break;
            }
        }
        step *= better ? 1.1 : 0.55;
    }
}

/* Keeps the best few spots, best first. */
static void keep_spot(Spot *kept, int *n, Spot new) {
    int k;

    if (*n == KEPT && new.cost >= kept[KEPT - 1].cost)
        return;
    if (*n < KEPT)
        (*n)++;
    for (k = *n - 1; k > 0 && kept[k - 1].cost > new.cost; k--)
        kept[k] = kept[k - 1];
    kept[k] = new;
}

/* Puts thing i at the best place that is found, if it is a better one. */
static void move_thing(Nesting *s, int i) {
    Lying *now = &s->lying[i];
    Spot   stay = { .form = now->form, .page = now->page, .at = now->at };
    Spot   kept[KEPT], best;
    int    n = 0, far = FAR_TRIES + PAGE_TRIES * (s->pages - 1);
    int    touch = far + TOUCH_TRIES + TOUCH_PAGE * (s->pages - 1);

    stay.cost = cost_at(s, i, &stay, INFINITY);
    best      = stay;
    for (int k = 0; k < touch + NEAR_TRIES; k++) {
        Spot at = k < far ? far_spot(s, i)
                : k < touch ? touching_spot(s, i) : near_spot(s, i);
        at.cost = cost_at(s, i, &at,
                          n < KEPT ? INFINITY : kept[KEPT - 1].cost);
        keep_spot(kept, &n, at);
    }
    improve(s, i, &best, 0.2, COARSE);
    for (int k = 0; k < n && best.cost > 0; k++) {
        improve(s, i, &kept[k], 0.2, COARSE);
        if (kept[k].cost < best.cost)
            best = kept[k];
    }
    improve(s, i, &best, COARSE, FINE);
    if (best.cost >= stay.cost)
        return;
    nesting_put(s, i, best.form, best.page, best.at);
    note_overlaps(s, i);
}

/* ---- Guided local search ---- */

static void grow_weights(Nesting *s) {
    double most = 0;

    for (int k = 0; k < s->n * s->n; k++)
        most = fmax(most, s->overlap[k]);
    for (int k = 0; k < s->n * s->n; k++) {
        if (s->overlap[k] > 0)
            s->weight[k] *= 1.2 + 0.8 * s->overlap[k] / most;
        else
            s->weight[k] = fmax(s->base[k], s->weight[k] * 0.95);
    }
}

/* One round: each thing that overlaps is moved, in an order by chance. */
static void move_all(Nesting *s, int *order) {
    int n = 0;

    for (int i = 0; i < s->n; i++) {
        if (!s->lying[i].fixed && overlaps_of(s, i) > 0)
            order[n++] = i;
    }
    for (int k = n - 1; k > 0; k--) {
        int other = chance_below(s, k + 1), t = order[k];
        order[k]     = order[other];
        order[other] = t;
    }
    for (int k = 0; k < n && s->steps < s->most; k++) {
        if (overlaps_of(s, order[k]) > 0)
            move_thing(s, order[k]);
    }
}

static void begin(Nesting *s) {
    for (int k = 0; k < s->n * s->n; k++)
        s->weight[k] = s->base[k];
    for (int i = 0; i < s->n; i++) {
        Box2 r = { 0 };
        if (!s->lying[i].fixed && range_of(s, s->lying[i].form, &r))
            s->lying[i].at = held_in(r, s->lying[i].at);
    }
    note_all(s);
}

/* Rounds until `patience` of them have found nothing better. */
static double rounds(Nesting *s, int patience, double best, Lying *kept,
                     int *order) {
    size_t size = sizeof *kept * (size_t)s->n;

    for (int vain = 0; vain < patience && s->steps < s->most; vain++) {
        double loss;
        move_all(s, order);
        loss = loss_of(s);
        if (loss < best) {
            if (loss < 0.98 * best)
                vain = -1;
            best = loss;
            memcpy(kept, s->lying, size);
        }
        if (loss <= 0)
            return 0;
        grow_weights(s);
    }
    return best;
}

double nesting_separate(Nesting *s, int strikes, int patience) {
    Lying *kept  = NEW_N(s->c, Lying, s->n + 1);
    int   *order = NEW_N(s->c, int, s->n + 1);
    double best;

    begin(s);
    best = loss_of(s);
    memcpy(kept, s->lying, sizeof *kept * (size_t)s->n);
    for (int strike = 0; best > 0 && strike < strikes
                         && s->steps < s->most; ) {
        double before = best;
        best   = rounds(s, patience, best, kept, order);
        strike = best < 0.98 * before ? 0 : strike + 1;
        memcpy(s->lying, kept, sizeof *kept * (size_t)s->n);
        note_all(s);
    }
    return best;
}
