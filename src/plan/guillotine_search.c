/* guillotine_search -- ruin and recreate with a shrinking goal.
 *
 * Once all parts are placed, the goal is set one price step lower, and a
 * sheet is given up; now the aim is to have as little as possible unplaced
 * within the goal. Again and again some parts, whole strips or sheets are
 * taken out and all that is unplaced is put back, in a changed order, each
 * part at the place that suits it best; now and then a good place is passed
 * over. What got worse is kept only if it is no worse than what was held
 * some rounds ago ("late acceptance", Burke and Bykov 2017). The method is
 * that of Gardeyn and Wauters (2022), the passing over ("blinks") that of
 * Christiaens and Vanden Berghe (2020).
 *
 * Where nothing gets better for long, mostly the same few parts stay out.
 * What lies outside then counts for more than its area, so that others must
 * make room for it, and what lies inside by and by for less (guided local
 * search, Voudouris and Tsang 1999).
 *
 * Work is counted in places looked at, never in seconds, and the chance
 * numbers are always the same.
 */
#include "plan/guillotine_internal.h"

#include <float.h>

#define HELD  300            // how many rounds ago
#define BRISK 100            // where little work is allowed:
#define LITTLE 4000000       // as much as this
#define SOON  30             // on boards a plan is found soon or never, so few
#define ANEW  35000          // are held, and all begins anew after so much
                             // work for each piece
#define CALM  8000           // rounds without gain before weights change,
#define CALM_EACH 80         // or so many for each piece, if that is more
#define GROW  1.5
#define FADE  0.7            // of what a weight is above 1

typedef enum { RULE_AREA, RULE_SIDE, RULE_SQUARES, RULES } Rule;

/* What counts once all parts are placed. */
typedef enum { AIM_COST, AIM_LEFTOVER, AIM_SETTINGS } Aim;

typedef struct {
    Ctx         *c;
    const Rects *r;
    Tree         now, held, *best;
    double       held_score, history[HELD];
    int          n_history;
    double      *weight;         // of each part while it is unplaced
    double       calm_score;     // the best since they changed
    int          calm;           // rounds since then without gain
    int64_t      goal;
    uint64_t     chance;
    double       total;          // area of all parts
    double       best_free;
    int          best_settings;
    Aim          aim;
    int         *order;          // of the parts that are unplaced
    double      *key;
    int         *fitting;        // free rectangles that hold a part
    Rule         rule;
    int          blink;          // of 256 places
    long        *steps;
} Search;

static uint32_t chance(Search *s, uint32_t below) {
    s->chance ^= s->chance << 13;
    s->chance ^= s->chance >> 7;
    s->chance ^= s->chance << 17;
    return (uint32_t)(((s->chance >> 32) * below) >> 32);
}

/* ---- Recreate ---- */

typedef struct { int node; bool turned, upright; double score; } Place;

/* How well a rectangle suits a free one: less is better. */
static double suit(Rule rule, double W, double H, double w, double h) {
    double a = (W - w) * H, b = w * (H - h);
    double d = W * (H - h), e = (W - w) * h;
    double best = a > d ? a : d;

    if (rule == RULE_AREA)
        return W * H - w * h;
    if (rule == RULE_SIDE)
        return W - w < H - h ? W - w : H - h;
    return W * H - (best == a ? (a * a + b * b) / (W * H)
                              : (d * d + e * e) / (W * H));
}

/* Lists the free rectangles that hold a part, without branches: whether one
 * does is hard to foretell. */
static int list_fitting(const Tree *t, const SheetPart *p,
                        int *restrict list) {
    const double *restrict W = t->free_w, *restrict H = t->free_h;
    double w = (double)p->w, h = (double)p->h;
    int    turns = p->turns, n = 0;

    for (int i = 0, end = t->n_frees; i < end; i++) {
        int lies = (w <= W[i]) & (h <= H[i]);
        int turn = (h <= W[i]) & (w <= H[i]);
        list[n] = i;
        n += lies | (turn & turns);
    }
    return n;
}

static void look_at(Search *s, int slot, double w, double h, bool turned,
                    Place *best) {
    double W = s->now.free_w[slot], H = s->now.free_h[slot], score;

    if (w > W || h > H)
        return;
    score = suit(s->rule, W, H, w, h);
    if (score > best->score || (score == best->score && chance(s, 2))
        || (s->blink && (int)chance(s, 256) < s->blink))
        return;
    *best = (Place){ s->now.frees[slot], turned, false, score };
}

static Place best_place(Search *s, int part) {
    const SheetPart *p    = &s->r->parts[part];
    double           w    = (double)p->w, h = (double)p->h;
    Place            best = { .node = -1, .score = DBL_MAX };
    int              n    = list_fitting(&s->now, p, s->fitting);

    for (int i = 0; i < n; i++) {
        look_at(s, s->fitting[i], w, h, false, &best);
        if (p->turns)
            look_at(s, s->fitting[i], h, w, true, &best);
    }
    *s->steps += s->now.n_frees;
    return best;
}

/* Which cut goes first: mostly the one that leaves the larger rest. */
static bool goes_upright(Search *s, const Place *place, int part) {
    const TreeNode  *n = &s->now.nodes[place->node];
    const SheetPart *p = &s->r->parts[part];
    int64_t          w = place->turned ? p->h : p->w;
    int64_t          h = place->turned ? p->w : p->h;

    if (s->rule != RULE_SQUARES && chance(s, 8) == 0)
        return chance(s, 2);
    return (double)(n->w - w) * (double)n->h
         > (double)n->w * (double)(n->h - h);
}

static bool kind_holds(const Rects *r, int kind, const SheetPart *p) {
    const SheetKind *k = &r->kinds[kind];

    return (p->w <= k->w && p->h <= k->h)
        || (p->turns && p->h <= k->w && p->w <= k->h);
}

/* A sheet for the part, within the goal: mostly one of the best price for
 * its area. -1: none is left. */
static int choose_kind(Search *s, int part) {
    const Rects *r = s->r;
    int          found = -1;
    double       best = DBL_MAX;

    for (int i = 0; i < r->n_kinds; i++) {
        const SheetKind *k = &r->kinds[i];
        double           rate;
        if (s->now.cost + k->price > s->goal
            || (k->supply >= 0 && s->now.used[i] >= k->supply)
            || !kind_holds(r, i, &r->parts[part]))
            continue;
        rate = (double)k->price / ((double)k->w * (double)k->h)
             * (1 + chance(s, 256) / 512.0);
        if (rate < best) {
            best  = rate;
            found = i;
        }
    }
    return found;
}

/* Puts as many of a part as go. */
static void put_part(Search *s, int part) {
    while (s->now.left[part] > 0
           && s->now.n_nodes + 8 < s->r->most_nodes) {
        Place place = best_place(s, part);
        if (place.node < 0) {
            int kind = choose_kind(s, part);
            if (kind < 0)
                return;
            (void)tree_open(s->r, &s->now, kind);
            s->blink = 0;
            continue;
        }
        tree_place(s->r, &s->now, place.node, part, place.turned,
                   goes_upright(s, &place, part));
    }
}

static double order_key(Search *s, int by, const SheetPart *p) {
    double w = (double)p->w, h = (double)p->h;

    switch (by) {
    case 0:  return w * h;
    case 1:  return w > h ? w : h;
    case 2:  return w;
    case 3:  return h;
    default: return w * h * (0.25 + chance(s, 256) / 256.0);
    }
}

static void recreate(Search *s) {
    static const uint8_t by_share[] = { 0, 0, 0, 1, 1, 2, 3, 4 };
    int by = by_share[chance(s, COUNT(by_share))], n = 0;
    int blink = chance(s, 4) == 0 ? 0 : 5;

    s->rule = (Rule)chance(s, RULES);
    for (int i = 0; i < s->r->n_parts; i++) {
        double key;
        int    k = n;
        if (s->now.left[i] == 0)
            continue;
        key = order_key(s, by, &s->r->parts[i]);
        if (chance(s, 16) == 0)
            key *= 0.5 + chance(s, 256) / 128.0;
        for (; k > 0 && s->key[k - 1] < key; k--) {
            s->key[k]   = s->key[k - 1];
            s->order[k] = s->order[k - 1];
        }
        s->key[k]   = key;
        s->order[k] = i;
        n++;
    }
    for (int i = 0; i < n; i++) {
        s->blink = blink;
        put_part(s, s->order[i]);
    }
}

/* ---- Ruin ---- */

/* A chance node of a chance sheet: so deep that it is seldom the root. */
static int some_node(Search *s) {
    Tree *t    = &s->now;
    int   node = t->roots[chance(s, (uint32_t)t->n_sheets)];

    for (int depth = 0; t->nodes[node].what == NODE_CUT; depth++) {
        int n = 0, pick = -1;
        if (depth > 0 && chance(s, 4) == 0)
            break;
        for (int i = t->nodes[node].first; i >= 0; i = t->nodes[i].next) {
            if (t->nodes[i].what != NODE_FREE
                && chance(s, (uint32_t)++n) == 0)
                pick = i;
        }
        node = pick;
    }
    return node;
}

static void ruin(Search *s) {
    Tree *t = &s->now;
    int   n = 1 + (int)chance(s, 8);

    if (t->n_sheets > 1 && chance(s, 16) == 0)
        tree_close(s->r, t, (int)chance(s, (uint32_t)t->n_sheets));
    while (n-- > 0 && t->n_sheets > 0)
        tree_remove(s->r, t, some_node(s));
}

/* ---- Judging ---- */

static double sheet_area(const Search *s, int sheet) {
    const SheetKind *k = &s->r->kinds[s->now.kinds[sheet]];

    return (double)k->w * (double)k->h;
}

static double missing_share(const Search *s) {
    double missing = 0;

    if (s->now.missing < 0.5)
        return 0;
    for (int i = 0; i < s->r->n_parts; i++) {
        const SheetPart *p = &s->r->parts[i];
        if (s->now.left[i] > 0)
            missing += s->now.left[i] * s->weight[i] * (double)p->w
                     * (double)p->h;
    }
    return missing / s->total;
}

/* Unplaced area first; then free area in few large pieces, or else in one,
 * and then so few settings of the saw as can be. */
static double score_of(const Search *s) {
    double squares = 0, sheets = 0, tidy = 0;

    for (int i = 0; i < s->now.n_sheets; i++)
        sheets += sheet_area(s, i);
    for (int i = 0; i < s->now.n_frees; i++) {
        double a = s->now.free_w[i] * s->now.free_h[i];
        squares += a * a;
    }
    squares /= sheets * sheets + 1;
    if (s->aim == AIM_COST)
        return missing_share(s) - 0.02 * squares;
    if (s->aim == AIM_LEFTOVER)
        tidy = 0.1 * squares;
    else if (s->now.missing < 0.5)
        tidy = -1e-4 * tree_settings(&s->now);
    return 10 * missing_share(s) - tidy
         - tree_largest(&s->now) / (sheets + 1);
}

static bool is_complete(const Rects *r, const Tree *t) {
    for (int i = 0; i < r->n_parts; i++) {
        if (t->left[i] > 0)
            return false;
    }
    return true;
}

/* Gives up sheets, the emptiest first, until the goal is kept. */
static void keep_goal(Search *s) {
    while (s->now.cost > s->goal)
        tree_close(s->r, &s->now,
                   (int)chance(s, (uint32_t)s->now.n_sheets));
}

static bool is_better(const Search *s, double largest) {
    if (s->best->n_sheets == 0 || s->now.cost < s->best->cost)
        return true;
    if (s->aim == AIM_SETTINGS && largest == s->best_free)
        return tree_settings(&s->now) < s->best_settings;
    return largest > s->best_free;
}

static void take_better(Search *s) {
    double largest;

    if (!is_complete(s->r, &s->now))
        return;
    largest = tree_largest(&s->now);
    if (!is_better(s, largest))
        return;
    tree_copy(s->r, s->best, &s->now);
    s->best_free     = largest;
    s->best_settings = tree_settings(s->best);
}

/* The score of what is held, at which all begins anew. */
static void hold(Search *s) {
    tree_copy(s->r, &s->held, &s->now);
    s->held_score = s->calm_score = score_of(s);
    s->calm       = 0;
    for (int i = 0; i < s->n_history; i++)
        s->history[i] = s->held_score;
}

static void set_goal(Search *s, int64_t goal) {
    s->goal = goal;
    keep_goal(s);
    recreate(s);
    hold(s);
}

static void change_weights(Search *s) {
    tree_copy(s->r, &s->now, &s->held);
    for (int i = 0; i < s->r->n_parts; i++) {
        if (s->now.left[i] > 0)
            s->weight[i] *= GROW;
        else
            s->weight[i] = 1 + (s->weight[i] - 1) * FADE;
    }
    hold(s);
}

static void round_of(Search *s, long round) {
    double score, *then = &s->history[round % s->n_history];

    ruin(s);
    recreate(s);
    take_better(s);
    score = score_of(s);
    if (score <= *then || score <= s->held_score) {
        tree_copy(s->r, &s->held, &s->now);
        s->held_score = score;
    } else {
        tree_copy(s->r, &s->now, &s->held);
    }
    if (s->held_score < *then)
        *then = s->held_score;
    if (s->held_score < s->calm_score) {
        s->calm_score = s->held_score;
        s->calm       = 0;
    } else if (++s->calm > CALM && s->calm > CALM_EACH * s->r->pieces) {
        change_weights(s);
    }
    *s->steps += s->now.n_nodes / 4 + 8;
    if (s->aim == AIM_SETTINGS)      // each size beside each other
        *s->steps += (long)s->now.n_nodes * s->now.n_nodes / 16;
}

static Search *begin(Ctx *c, const Rects *r, Tree *best, long *steps) {
    Search *s = NEW(c, Search);

    s->c      = c;
    s->r      = r;
    s->best   = best;
    s->steps  = steps;
    s->n_history = HELD;
    s->chance = 88172645463325252u;   // Marsaglia 2003
    s->order  = NEW_N(c, int, r->n_parts);
    s->key    = NEW_N(c, double, r->n_parts);
    s->fitting = NEW_N(c, int, r->most_nodes);
    s->weight  = NEW_N(c, double, r->n_parts);
    for (int i = 0; i < r->n_parts; i++)
        s->weight[i] = 1;
    tree_init(c, r, &s->now);
    tree_init(c, r, &s->held);
    s->total     = s->now.missing;
    s->best_free = tree_largest(best);
    s->best_settings = tree_settings(best);
    return s;
}

void search_sheets(Ctx *c, const Rects *r, int64_t bound, long limit,
                   Tree *best, long *steps) {
    Search *s = begin(c, r, best, steps);

    if (best->n_sheets == 0) {
        set_goal(s, INT64_MAX);
        take_better(s);
    }
    for (long round = 0; *steps < limit; round++) {
        if (best->n_sheets > 0 && best->cost <= bound)
            break;
        if (best->n_sheets > 0 && (s->goal >= best->cost || round == 0)) {
            tree_copy(r, &s->now, best);
            set_goal(s, best->cost - r->step);
        }
        round_of(s, round);
    }
    if (best->n_sheets == 0)     // too few sheets: as much as they hold
        tree_copy(r, best, &s->held);
}

void search_brisk(Ctx *c, const Rects *r, long limit, Tree *best,
                  long *steps) {
    Search *s = begin(c, r, best, steps);


    s->n_history = limit - *steps > LITTLE ? HELD : BRISK;
    set_goal(s, INT64_MAX);
    take_better(s);
    for (long round = 0; *steps < limit && best->n_sheets == 0; round++)
        round_of(s, round);
}

/* From nothing; the chance numbers go on. */
static void begin_anew(Search *s) {
    tree_clear(s->r, &s->now);
    for (int i = 0; i < s->r->n_parts; i++)
        s->weight[i] = 1;
    recreate(s);
    take_better(s);
    hold(s);
}

void search_boards(Ctx *c, const Rects *r, long limit, Tree *best,
                   long *steps) {
    Search *s    = begin(c, r, best, steps);
    long    anew = *steps;

    s->n_history = SOON;
    set_goal(s, INT64_MAX);
    take_better(s);
    for (long round = 0; *steps < limit && best->n_sheets == 0; round++) {
        if (*steps - anew > (long)ANEW * r->pieces) {
            anew = *steps;
            begin_anew(s);
        }
        round_of(s, round);
    }
}

void search_tidy(Ctx *c, const Rects *r, bool settings, long limit,
                 Tree *best, long *steps) {
    Search *s = begin(c, r, best, steps);

    s->aim = settings ? AIM_SETTINGS : AIM_LEFTOVER;
    tree_copy(r, &s->now, best);
    set_goal(s, best->cost);
    for (long round = 0; *steps < limit; round++)
        round_of(s, round);
}
