/* nest -- the fewest pages, or the shortest strip, by taking room away.
 *
 * Things are laid one after the other (nest_first.c). Then the emptiest page
 * is taken away and what lay on it is thrown among the others, or the strip
 * is shortened, first by much, then by little; what overlaps after that is
 * moved apart (nest_part.c), as long as that succeeds. After a failure the
 * search goes on from what failed (Gardeyn and others 2025). At last all on
 * pages is pushed down and to the left, so that it looks laid by hand.
 */
#include "plan/nest_internal.h"

#include <limits.h>
#include <math.h>

#define POOL 24   // layouts that failed from which a search goes on

/* ---- Common ---- */

static double area_of(const NestJob *job) {
    double area = 0;

    for (int i = 0; i < job->n; i++) {
        const Rings *r = &job->items[i].rings;
        double       one = 0;
        for (int k = 0; k < r->n; k++) {
            const Ring *ring = &r->at[k];
            for (int j = 0; j < ring->n; j++)
                one += v2_cross(ring->at[j], ring->at[(j + 1) % ring->n]) / 2;
        }
        area += fabs(one) * job->items[i].count;
    }
    return area;
}

/* Each thing gets a form that fits on a page; false: one has none. */
static bool give_forms(Nesting *s) {
    for (int i = 0; i < s->n; i++) {
        Lying *l = &s->lying[i];
        while (!l->fixed && l->form < s->n_forms
               && s->forms[l->form].item == l->item
               && !nesting_fits(s, l->form))
            l->form++;
        if (l->form == s->n_forms || s->forms[l->form].item != l->item)
            return false;
    }
    return true;
}

/* True if the thing, moved, would lie free and on its page. */
static bool is_free(Nesting *s, int i, V2 at) {
    const Lying *l = &s->lying[i];
    Box2         b = s->forms[l->form].box;

    if (at.x + b.min.x < -1e-9 || at.y + b.min.y < -1e-9
        || at.x + b.max.x > s->width + 1e-9
        || at.y + b.max.y > s->height + 1e-9)
        return false;
    return nesting_is_free(s, i, l->form, l->page, at);
}

/* Pushes a thing as far as it goes one way, in halving steps. */
static bool push(Nesting *s, int i, V2 way) {
    bool moved = false;

    for (double step = s->height; step > 0.01 * s->height / 256; step /= 2) {
        V2 to = v2_add(s->lying[i].at, v2_scale(way, step));
        if (is_free(s, i, to)) {
            nesting_put(s, i, s->lying[i].form, s->lying[i].page, to);
            moved = true;
        }
    }
    return moved;
}

static void settle(Nesting *s) {
    for (int i = 0; i < s->n; i++)
        nesting_put(s, i, s->lying[i].form, s->lying[i].page,
                    s->lying[i].at);
    for (int round = 0; round < 8; round++) {
        bool moved = false;
        for (int i = 0; i < s->n; i++) {
            if (s->lying[i].fixed)
                continue;
            moved = push(s, i, v2(0, -1)) || moved;
            moved = push(s, i, v2(-1, 0)) || moved;
        }
        if (!moved)
            return;
    }
}

static Nest *result_of(Ctx *c, const Nesting *s) {
    Nest *out = NEW(c, Nest);

    for (int i = 0; i < s->n; i++) {
        const Lying *l = &s->lying[i];
        if (!l->fixed)
            *PUSH(c, &out->places) = (NestPlace){
                l->item, s->forms[l->form].turn, l->page, l->at
            };
    }
    out->pages = s->pages;
    out->steps = s->steps;
    return out;
}

static double size_of(const Nesting *s, int i) {
    Box2 b = s->forms[s->lying[i].form].box;

    return (b.max.x - b.min.x) * (b.max.y - b.min.y);
}

/* A large one by chance: the largest of a few. */
static int large_one(Nesting *s) {
    int best = (int)(nesting_chance(s) * s->n);

    for (int k = 0; k < 3; k++) {
        int other = (int)(nesting_chance(s) * s->n);
        if (size_of(s, other) > size_of(s, best))
            best = other;
    }
    return best;
}

static V2 middle_of(const Nesting *s, int i) {
    Box2 b = s->forms[s->lying[i].form].box;

    return v2_add(s->lying[i].at, v2_scale(v2_add(b.min, b.max), 0.5));
}

/* Two large ones change places. */
static void swap_two(Nesting *s) {
    int a = large_one(s), b = large_one(s);
    V2  ma = middle_of(s, a), mb = middle_of(s, b);
    int page = s->lying[a].page;

    if (s->lying[a].fixed || s->lying[b].fixed)
        return;
    s->lying[a].at   = v2_add(s->lying[a].at, v2_sub(mb, ma));
    s->lying[a].page = s->lying[b].page;
    s->lying[b].at   = v2_add(s->lying[b].at, v2_sub(ma, mb));
    s->lying[b].page = page;
}

/* ---- Going on from what failed ---- */

/* Layouts whose things still overlap, least first. */
typedef struct { double loss; Lying *lying; } Try;
typedef struct { int n; Try at[POOL]; } Tries;

/* Keeps the layout, in the place of the worst if there is no room. */
static void keep_try(Nesting *s, Tries *tries, double loss) {
    size_t size = sizeof *s->lying * (size_t)s->n;
    Try    new  = { loss, NULL };
    int    k;

    if (tries->n == POOL && tries->at[POOL - 1].loss <= loss)
        return;
    if (tries->n == POOL)
        tries->n--;
    if (!tries->at[tries->n].lying)
        tries->at[tries->n].lying = NEW_N(s->c, Lying, s->n + 1);
    new.lying = tries->at[tries->n].lying;
    memcpy(new.lying, s->lying, size);
    for (k = tries->n++; k > 0 && tries->at[k - 1].loss > loss; k--)
        tries->at[k] = tries->at[k - 1];
    tries->at[k] = new;
}

/* Moves things apart. Where that fails, the search goes on from one of the
 * layouts that failed, mostly from one with little overlap, after two large
 * things have changed places: the way to a tighter layout leads over layouts
 * that are not allowed. False: it failed so often, or the steps are used. */
static bool persist(Nesting *s, long most_fails) {
    size_t size  = sizeof *s->lying * (size_t)s->n;
    Tries  tries = { 0 };

    for (long fails = 0; fails < most_fails && s->steps < s->most; fails++) {
        double loss = nesting_separate(s, 3, 100), share;
        if (loss <= 0)
            return true;
        keep_try(s, &tries, loss);
        share = nesting_chance(s);
        memcpy(s->lying, tries.at[(int)(share * share * tries.n)].lying,
               size);
        swap_two(s);
    }
    return false;
}

/* ---- Pages ---- */

/* Page of least area used among those that hold nothing fixed, or -1. */
static int emptiest(const Nesting *s, int fixed_pages) {
    double least = INFINITY;
    int    best = -1;

    for (int page = fixed_pages; page < s->pages; page++) {
        double used = 0;
        for (int i = 0; i < s->n; i++)
            used += s->lying[i].page == page ? size_of(s, i) : 0;
        if (used < least) {
            least = used;
            best  = page;
        }
    }
    return best;
}

/* Throws what lies on one page among the others. */
static void strike_page(Nesting *s, int page) {
    s->pages--;
    for (int i = 0; i < s->n; i++) {
        Lying *l = &s->lying[i];
        if (l->page == page)
            nesting_throw(s, i);
        else
            l->page -= l->page > page;
    }
}

/* From what lies apart, a page less and a page less. */
static void fewer_pages(Nesting *s, int fixed, int least, long steps) {
    size_t size = sizeof *s->lying * (size_t)s->n;
    Lying *best = NEW_N(s->c, Lying, s->n + 1);

    s->most = steps;
    while (s->pages > least && s->pages > fixed && s->steps < steps) {
        int pages = s->pages;
        memcpy(best, s->lying, size);
        strike_page(s, emptiest(s, fixed));
        if (persist(s, LONG_MAX))
            continue;
        memcpy(s->lying, best, size);
        s->pages = pages;
    }
}

const Nest *nest_pages(Ctx *c, const NestJob *job) {
    Nesting *s = NEW(c, Nesting);
    Nest    *out;
    int      fixed = 0, least;

    nesting_init(c, s, job);
    if (!give_forms(s))
        return NEW(c, Nest);
    for (int i = 0; i < s->n; i++) {
        if (s->lying[i].fixed && s->lying[i].page >= fixed)
            fixed = s->lying[i].page + 1;
    }
    least = (int)ceil(area_of(job) / (job->width * job->height) - 1e-9);
    nesting_lay_all(s, fixed, false);
    nesting_refill(s, fixed, least, job->steps / 2);
    fewer_pages(s, fixed, least, job->steps);
    settle(s);
    out        = result_of(c, s);
    out->least = least;
    return out;
}

/* ---- A strip ---- */

static double extent(const Nesting *s) {
    double x = 0;

    for (int i = 0; i < s->n; i++)
        x = fmax(x, s->lying[i].at.x + s->forms[s->lying[i].form].box.max.x);
    return x;
}

/* Takes `by` away at a place by chance: what lies right of it moves. */
static void shorten(Nesting *s, double by) {
    double at = nesting_chance(s) * s->width;

    for (int i = 0; i < s->n; i++) {
        Box2 b = s->forms[s->lying[i].form].box;
        if (s->lying[i].at.x + (b.min.x + b.max.x) / 2 > at)
            s->lying[i].at.x -= by;
    }
    s->width -= by;
}

/* Things one after the other on a strip that is long enough for all. */
static bool first_strip(Nesting *s) {
    s->width = INFINITY;
    if (!give_forms(s))
        return false;
    s->width = 0;
    for (int i = 0; i < s->n; i++) {
        Box2 b = s->forms[s->lying[i].form].box;
        s->width += b.max.x - b.min.x + s->gap;
    }
    nesting_lay_all(s, 0, true);
    s->width = extent(s);
    return true;
}

/* Shorter and shorter; after many failures by less at a time. */
static void explore(Nesting *s, Lying *best, double *width, long until) {
    size_t size = sizeof *best * (size_t)s->n;
    double by   = 0.01;

    s->most = until;
    while (s->steps < until) {
        shorten(s, s->width * by);
        if (persist(s, by > 0.002 ? 12 : LONG_MAX)) {
            s->width = extent(s);
            memcpy(best, s->lying, size);
            *width = s->width;
            continue;
        }
        by /= 2;
        memcpy(s->lying, best, size);
        s->width = *width;
    }
}

/* The last bit: what is taken away gets less and less. */
static void compress(Nesting *s, Lying *best, double *width, long until) {
    size_t size = sizeof *best * (size_t)s->n;
    double by   = 0.0015;

    s->most = until;
    while (s->steps < until) {
        shorten(s, s->width * by);
        if (nesting_separate(s, 2, 60) <= 0) {
            s->width = extent(s);
            memcpy(best, s->lying, size);
            *width = s->width;
            by     = fmin(by * 1.2, 0.0015);
            continue;
        }
        by = fmax(by * 0.6, 0.00005);
        memcpy(s->lying, best, size);
        s->width = *width;
    }
    memcpy(s->lying, best, size);
    s->width = *width;
}

const Nest *nest_strip(Ctx *c, const NestJob *job) {
    Nesting *s = NEW(c, Nesting);
    Lying   *best;
    Nest    *out;
    double   width;

    nesting_init(c, s, job);
    if (!first_strip(s))
        return NEW(c, Nest);
    best  = NEW_N(c, Lying, s->n + 1);
    memcpy(best, s->lying, sizeof *best * (size_t)s->n);
    width = s->width;
    explore(s, best, &width, job->steps * 8 / 10);
    compress(s, best, &width, job->steps);
    out        = result_of(c, s);
    out->width = width;
    return out;
}
