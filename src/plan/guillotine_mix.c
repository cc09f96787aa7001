/* guillotine_mix -- a bound that buys whole sheets.
 *
 * Parts of the width t or wider lie at most floor(W / t) side by side on a
 * sheet W wide: along every line across it so many are cut. Their heights
 * therefore sum to floor(W / t) H at most, whatever way it is cut. The
 * cheapest whole sheets with room for all heights cost no more than any
 * plan. The same with width and height exchanged, and with the area.
 * Kerfs are in the sizes already.
 */
#include "plan/guillotine_internal.h"
#include "plan/price_sum.h"

#define MOST_NODES 20000
#define ROUNDING   1e-9

typedef struct {
    const Rects *r;
    double      *room;        // that a sheet of each kind gives
    double      *rate;        // least price of room from this kind on
    int64_t      best;
    int          nodes;
} Mix;

/* The cheapest mix of the kinds from `kind` on that gives `need`. */
static void buy(Mix *m, int kind, double need, int64_t price) {
    const SheetKind *k;

    if (need <= 0) {
        m->best = price < m->best ? price : m->best;
        return;
    }
    if (kind == m->r->n_kinds || ++m->nodes > MOST_NODES)
        return;
    k = &m->r->kinds[kind];
    if (m->room[kind] <= 0) {
        buy(m, kind + 1, need, price);
        return;
    }
    for (int n = 0; k->supply < 0 || n <= k->supply; n++) {
        double left = need - n * m->room[kind];
        double rate = m->rate[left > 0 ? kind : m->r->n_kinds];
        if ((double)price + left * rate >= (double)m->best
            || m->nodes > MOST_NODES)
            return;
        buy(m, left > 0 ? kind + 1 : kind, left, price);
        price += k->price;
        if (left <= 0)
            return;
    }
}

static int64_t cheapest(Mix *m, double need) {
    int n = m->r->n_kinds;

    m->rate[n] = 0;
    for (int i = n - 1; i >= 0; i--) {
        double rate = m->room[i] > 0 ? (double)m->r->kinds[i].price
                                       / m->room[i] : 1e30;
        m->rate[i] = i < n - 1 && m->rate[i + 1] < rate ? m->rate[i + 1]
                                                        : rate;
    }
    m->best  = INT64_MAX;
    m->nodes = 0;
    buy(m, 0, need * (1 - ROUNDING), 0);
    return m->nodes > MOST_NODES || m->best == INT64_MAX ? 0 : m->best;
}

static double area_wanted(const Rects *r) {
    double area = 0;

    for (int i = 0; i < r->n_parts; i++)
        area += (double)r->parts[i].w * (double)r->parts[i].h
              * r->parts[i].count;
    return area;
}

static int64_t by_area(Mix *m) {
    for (int i = 0; i < m->r->n_kinds; i++)
        m->room[i] = (double)m->r->kinds[i].w * (double)m->r->kinds[i].h;
    return cheapest(m, area_wanted(m->r));
}

/* Parts that may turn are left out: what they need is never too much. */
static int64_t by_side(Mix *m, int64_t least, bool across) {
    double need = 0;

    for (int i = 0; i < m->r->n_kinds; i++) {
        const SheetKind *k = &m->r->kinds[i];
        m->room[i] = across ? (double)(k->h / least) * (double)k->w
                            : (double)(k->w / least) * (double)k->h;
    }
    for (int i = 0; i < m->r->n_parts; i++) {
        const SheetPart *p = &m->r->parts[i];
        if (!p->turns && (across ? p->h : p->w) >= least)
            need += (double)(across ? p->w : p->h) * p->count;
    }
    return need > 0 ? cheapest(m, need) : 0;
}

int64_t bound_mix(Ctx *c, const Rects *r) {
    Mix     m    = { .r = r, .room = NEW_N(c, double, r->n_kinds),
                     .rate = NEW_N(c, double, r->n_kinds + 1) };
    int64_t most = by_area(&m);

    for (int i = 0; i < 2 * r->n_parts; i++) {
        const SheetPart *p  = &r->parts[i / 2];
        int64_t          by = by_side(&m, i % 2 ? p->h : p->w, i % 2);
        most = by > most ? by : most;
    }
    return most;
}

int64_t bound_sums(Ctx *c, const Rects *r, int64_t bound, int64_t below) {
    PriceKind *kinds = NEW_N(c, PriceKind, r->n_kinds);

    for (int i = 0; i < r->n_kinds; i++) {
        const SheetKind *k = &r->kinds[i];
        kinds[i] = (PriceKind){ k->price, k->supply,
                                (double)k->w * (double)k->h };
    }
    return price_sum(c, kinds, r->n_kinds, area_wanted(r) * (1 - ROUNDING),
                     bound, below);
}

/* ---- Sets of sheets ---- */

typedef struct {
    Ctx         *c;
    const Rects *r;
    int64_t      from, below;
    int          nodes;
    int         *counts;
    SheetSets    sets;
} Listing;

static bool is_full(const Listing *l, int64_t price) {
    for (int i = 0; i < l->r->n_kinds; i++) {
        const SheetKind *k = &l->r->kinds[i];
        if (price + k->price < l->below
            && (k->supply < 0 || l->counts[i] < k->supply))
            return false;
    }
    return true;
}

static void list_from(Listing *l, int kind, double need, int64_t price) {
    const SheetKind *k    = &l->r->kinds[kind];
    size_t           size = sizeof *l->counts * (size_t)l->r->n_kinds;

    if (++l->nodes > MOST_NODES)
        return;
    if (kind == l->r->n_kinds) {
        if (need <= 0 && price >= l->from && is_full(l, price))
            *PUSH(l->c, &l->sets) =
                memcpy(NEW_N(l->c, int, l->r->n_kinds), l->counts, size);
        return;
    }
    for (int n = 0; price < l->below && (k->supply < 0 || n <= k->supply);
         n++) {
        l->counts[kind] = n;
        list_from(l, kind + 1, need, price);
        need  -= (double)k->w * (double)k->h;
        price += k->price;
    }
    l->counts[kind] = 0;
}

SheetSets list_sets(Ctx *c, const Rects *r, int64_t from, int64_t below) {
    Listing l = { .c = c, .r = r, .from = from, .below = below,
                  .counts = NEW_N(c, int, r->n_kinds + 1) };

    list_from(&l, 0, area_wanted(r) * (1 - ROUNDING), 0);
    if (l.nodes > MOST_NODES)
        l.sets.n = 0;
    return l.sets;
}
