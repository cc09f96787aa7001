/* letters -- part letters around a drawing, each with a leader.
 *
 *            (A)----.        slots stand on a ring, 8 mm outside the
 *          ______    \       drawing's hull; every letter gets one
 *      (B)-|-.   |____.|
 *          |______|
 *
 * Which letter gets which slot is an assignment problem: the shortest
 * leaders in all, with a fee for slant, for lines of the drawing that are
 * run over and for passing another letter's dot (Kuhn's method in the form
 * of Jonker and others, from memory). With lengths alone the best leaders
 * cannot cross, as swapping two crossing ones makes both shorter; the fees
 * can undo that, and a slanted leader may run through a neighbor's circle.
 * So a last pass moves the letters that are at fault, and lets pairs that
 * keep getting in each other's way weigh more and more (breakout search,
 * Morris 1993); where that fails, lower fees are tried. (Rival: leaders
 * with a bend, which are harder to follow.) Bekos, Kaufmann, Symvonis,
 * Wolff 2007, Boundary labeling.
 *
 * What a leader runs over is looked up in a map of the drawing (ink_map.c).
 */
#include "press/ink_map.h"

#include <math.h>

#define PI       3.14159265358979323846
#define RADIUS   (LETTER_D / 2)
#define CLEAR    0.8     // least gap of a leader and another's circle, mm
#define FEE_TURN 5.0     // for 45 degrees off the ring's normal
#define MOVES    80      // of the last pass
#define NEAR     30.0    // mm: how far a letter moves at once

typedef struct { V2 at, out; } Slot;
typedef LIST(Slot) Slots;

/* A letter's dot, its circle's middle, and a box around both. */
typedef struct { V2 dot, at; Box2 box; } Seat;

typedef struct {
    const Slot   *slot;
    int           slots;
    const Letter *letter;
    int           n;
    const double *cost;    // [n][slots]
    int          *of;      // slot of each letter
    Seat         *seat;    // where each letter sits so
    int          *taken;   // letter of each slot, or -1
    int          *weight;  // [n][n]: of a fault between two letters
    int          *fault;   // [n][n]: between two letters, where they sit
    int          *faults;  // of each letter, weighed
} Seating;

/* Is a point nearer to a segment than `reach`? */
static inline bool is_near(V2 q, V2 a, V2 b, double reach) {
    V2     d = v2_sub(b, a), from = v2_sub(q, a), to = v2_sub(q, b);
    double along = v2_dot(from, d), all = v2_dot(d, d), off;

    if (along <= 0)
        return v2_dot(from, from) < reach * reach;
    if (along >= all)
        return v2_dot(to, to) < reach * reach;
    off = v2_cross(d, from);
    return off * off < reach * reach * all;
}

static inline bool segments_cross(V2 a, V2 b, V2 c, V2 d) {
    V2 ab = v2_sub(b, a), cd = v2_sub(d, c);

    return v2_cross(ab, v2_sub(c, a)) * v2_cross(ab, v2_sub(d, a)) < 0
        && v2_cross(cd, v2_sub(a, c)) * v2_cross(cd, v2_sub(b, c)) < 0;
}

/* ---- The ring ---- */

/* The hull's outline moved outward by `off`, corners rounded. */
static void ring_outline(Ctx *c, const Points *hull, double off,
                         Slots *ring) {
    int n = hull->n;

    for (int i = 0; i < n; i++) {
        V2     a  = hull->at[i], b = hull->at[(i + 1) % n];
        V2     z  = hull->at[(i + n - 1) % n];
        double in = atan2(a.y - z.y, a.x - z.x) - PI / 2;
        double to = atan2(b.y - a.y, b.x - a.x) - PI / 2;
        int    steps;
        if (n == 1) {
            in = 0;
            to = 2 * PI - 1e-9;
        }
        while (to < in)
            to += 2 * PI;
        steps = 1 + (int)((to - in) / (PI / 18));
        for (int k = 0; k <= steps; k++) {
            double t = in + (to - in) * k / steps;
            V2     out = { cos(t), sin(t) };
            *PUSH(c, ring) = (Slot){ { a.x + off * out.x, a.y + off * out.y },
                                     out };
        }
    }
}

/* Slots at equal distances along the outline. */
static Slots ring_slots(Ctx *c, const Slots *ring, double spacing) {
    Slots  slots = { 0 };
    double all = 0, next = 0, done = 0;
    int    n = ring->n;

    for (int i = 0; i < n; i++)
        all += v2_len(v2_sub(ring->at[(i + 1) % n].at, ring->at[i].at));
    spacing = all / fmax(1, floor(all / spacing));
    for (int i = 0; i < n; i++) {
        const Slot *a = &ring->at[i], *b = &ring->at[(i + 1) % n];
        V2     d = v2_sub(b->at, a->at);
        double l = v2_len(d);
        for (; l > 0 && next < done + l - 1e-6; next += spacing) {
            double k = (next - done) / l;
            *PUSH(c, &slots) = (Slot){
                { a->at.x + k * d.x, a->at.y + k * d.y }, a->out };
        }
        done += l;
    }
    return slots;
}

/* Box of the circle and, where it has one, the count beside it. */
static bool fits(const Slot *s, Box2 frame, bool counted) {
    bool   beside = fabs(s->out.x) >= fabs(s->out.y);
    double more_x = counted && beside ? 7 : 0;
    double more_y = counted && !beside ? 4 : 0;
    double x0 = s->at.x - RADIUS - (s->out.x < 0 ? more_x : 0);
    double x1 = s->at.x + RADIUS + (s->out.x < 0 ? 0 : more_x);
    double y0 = s->at.y - RADIUS - (s->out.y < 0 ? more_y : 0);
    double y1 = s->at.y + RADIUS + (s->out.y < 0 ? 0 : more_y);

    return x0 >= frame.min.x && x1 <= frame.max.x && y0 >= frame.min.y
        && y1 <= frame.max.y;
}

static Slots slots_at(Ctx *c, const Points *hull, double off,
                      double spacing, const Box2 *frame, bool counted) {
    Slots ring = { 0 }, all, kept = { 0 };

    ring_outline(c, hull, off, &ring);
    all = ring_slots(c, &ring, spacing);
    for (int i = 0; i < all.n; i++)
        if (!frame || fits(&all.at[i], *frame, counted))
            *PUSH(c, &kept) = all.at[i];
    return kept;
}

/* Enough slots: generous first, then closer, then out of the frame. */
static Slots slots_for(Ctx *c, const Points *hull, const Box2 *frame, int n,
                       bool counted, bool *inside) {
    static const double spacings[] = { 9.5, 8, 7 };
    double off = RING;
    Slots  slots;

    *inside = true;
    for (int i = 0; i < COUNT(spacings); i++) {
        slots = slots_at(c, hull, RING, spacings[i], frame, counted);
        if (slots.n >= n)
            return slots;
    }
    *inside = false;
    do {
        off  += 2;
        slots = slots_at(c, hull, off, 8, NULL, counted);
    } while (slots.n < n);
    return slots;
}

/* ---- The best assignment ---- */

#define FAR_OFF 50.0   // over the nearest slot: no need to look closer

/* What is against each slot for a letter, beside the leader's length. */
static void fees_of(const InkMap *m, const Letter *l, const Slot *slot,
                    int n, double *fees) {
    double nearest = HUGE_VAL;

    for (int j = 0; j < n; j++)
        nearest = fmin(nearest, v2_len(v2_sub(slot[j].at, l->anchor)));
    for (int j = 0; j < n; j++) {
        V2     way  = v2_sub(slot[j].at, l->anchor);
        double far  = v2_len(way);
        double turn = far > 0 ? v2_dot(way, slot[j].out) / far : 1;
        turn = turn < -1 ? -1 : turn > 1 ? 1 : turn;
        fees[j] = FEE_TURN * acos(turn) / (PI / 4)
                + (far < nearest + FAR_OFF
                   ? ink_cost(m, l->anchor, slot[j].at, l->part)
                   : FAR_OFF);
    }
}

/* One more row of the assignment: the cheapest chain of changes that ends
 * at a free column. u, v: prices of rows and columns (from 1); match[j]:
 * row of column j. */
static void add_letter(Ctx *c, const double *cost, int m, int row,
                       double *u, double *v, int *match) {
    double *least = NEW_N(c, double, m + 1);
    bool   *done  = NEW_N(c, bool, m + 1);
    int    *from  = NEW_N(c, int, m + 1);
    int     j     = 0;

    for (int k = 0; k <= m; k++)
        least[k] = HUGE_VAL;
    match[0] = row;
    do {
        int    i = match[j], best = 0;
        double step = HUGE_VAL;
        done[j] = true;
        for (int k = 1; k <= m; k++) {
            double over;
            if (done[k])
                continue;
            over = cost[(i - 1) * m + k - 1] - u[i] - v[k];
            if (over < least[k]) {
                least[k] = over;
                from[k]  = j;
            }
            if (least[k] < step) {
                step = least[k];
                best = k;
            }
        }
        for (int k = 0; k <= m; k++) {
            if (done[k]) {
                u[match[k]] += step;
                v[k] -= step;
            } else {
                least[k] -= step;
            }
        }
        j = best;
    } while (match[j]);
    while (j) {
        match[j] = match[from[j]];
        j = from[j];
    }
}

static void assign(Ctx *c, Seating *s) {
    double *u     = NEW_N(c, double, s->n + 1);
    double *v     = NEW_N(c, double, s->slots + 1);
    int    *match = NEW_N(c, int, s->slots + 1);

    for (int i = 1; i <= s->n; i++)
        add_letter(c, s->cost, s->slots, i, u, v, match);
    for (int j = 0; j < s->slots; j++) {
        s->taken[j] = match[j + 1] - 1;
        if (match[j + 1])
            s->of[match[j + 1] - 1] = j;
    }
}

/* ---- The last pass ---- */

/* Letter i in slot j. */
static inline Seat seat_in(const Seating *s, int i, int j) {
    V2 p = s->letter[i].anchor, q = s->slot[j].at;

    return (Seat){ p, q, { { p.x < q.x ? p.x : q.x, p.y < q.y ? p.y : q.y },
                           { p.x > q.x ? p.x : q.x,
                             p.y > q.y ? p.y : q.y } } };
}

/* Faults between the leaders and circles of two letters. */
static inline int faults_between(const Seat *a, const Seat *b) {
    const double off = RADIUS + CLEAR;

    if (a->box.max.x + off < b->box.min.x || b->box.max.x + off < a->box.min.x
        || a->box.max.y + off < b->box.min.y
        || b->box.max.y + off < a->box.min.y)
        return 0;
    return segments_cross(a->dot, a->at, b->dot, b->at)
         + is_near(a->at, b->dot, b->at, off)
         + is_near(b->at, a->dot, a->at, off);
}

/* Counts the faults of letter i anew. */
static void count_faults(Seating *s, int i) {
    int sum = 0;

    for (int k = 0; k < s->n; k++) {
        int *mine = &s->fault[i * s->n + k], *its = &s->fault[k * s->n + i];
        int  weight = s->weight[i * s->n + k];
        int  now = k == i ? 0 : faults_between(&s->seat[i], &s->seat[k]);
        s->faults[k] += weight * (now - *its);
        *mine = *its = now;
        sum  += weight * now;
    }
    s->faults[i] = sum;
}

/* Weighed faults of letter i in another seat, without those with `but`;
 * counted no farther than `enough`. */
static int faults_in(const Seating *s, int i, const Seat *seat, int but,
                     int enough) {
    const int *weight = &s->weight[i * s->n];
    int        faults = 0;

    for (int k = 0; k < s->n && faults <= enough; k++)
        if (k != i && k != but)
            faults += weight[k] * faults_between(seat, &s->seat[k]);
    return faults;
}

/* The faults of letter i and, where there is one, of the other. */
static int pair_faults(const Seating *s, int i, int other) {
    int both = i * s->n + other;

    return s->faults[i]
         + (other < 0 ? 0 : s->faults[other]
                            - s->weight[both] * s->fault[both]);
}

/* The same once they have changed places, i to slot a, the other to b. */
static int traded_faults(const Seating *s, int i, int a, int other, int b,
                         int enough) {
    Seat mine   = seat_in(s, i, a), its;
    int  faults = faults_in(s, i, &mine, other, enough);

    if (other < 0 || faults > enough)
        return faults;
    its     = seat_in(s, other, b);
    faults += s->weight[i * s->n + other] * faults_between(&mine, &its);
    if (faults <= enough)
        faults += faults_in(s, other, &its, i, enough - faults);
    return faults;
}

static double pair_cost(const Seating *s, int i, int a, int other, int b) {
    return s->cost[i * s->slots + a]
         + (other < 0 ? 0 : s->cost[other * s->slots + b]);
}

/* Puts letter i into slot j; who sat there takes i's. */
static void trade(Seating *s, int i, int j) {
    int other = s->taken[j], mine = s->of[i];

    s->taken[mine] = other;
    s->taken[j]    = i;
    s->of[i]       = j;
    s->seat[i]     = seat_in(s, i, j);
    if (other >= 0) {
        s->of[other]   = mine;
        s->seat[other] = seat_in(s, other, mine);
        count_faults(s, other);
    }
    count_faults(s, i);
}

/* The slot that letter i would best move to, or -1: it should stay. */
static int best_move(const Seating *s, int i) {
    int    mine = s->of[i], best = -1, least = 0;
    double cost = 0;

    for (int j = 0; j < s->slots; j++) {
        int    other = s->taken[j], now, gain;
        double more;
        if (j == mine || v2_len(v2_sub(s->slot[j].at, s->slot[mine].at))
                         > NEAR)
            continue;
        now  = pair_faults(s, i, other);
        gain = traded_faults(s, i, j, other, mine, now + least) - now;
        more = pair_cost(s, i, j, other, mine)
             - pair_cost(s, i, mine, other, j);
        if (gain < least || (gain == least && best >= 0 && more < cost)) {
            best  = j;
            least = gain;
            cost  = more;
        }
    }
    return best;
}

/* The letter with the most faults, or -1: there are none. */
static int worst_letter(const Seating *s) {
    int worst = -1, most = 0;

    for (int i = 0; i < s->n; i++)
        if (s->faults[i] > most) {
            most  = s->faults[i];
            worst = i;
        }
    return worst;
}

/* Faults that no single move mends weigh more from now on. */
static void weigh(Seating *s) {
    for (int i = 0, at = 0; i < s->n; i++)
        for (int k = 0; k < s->n; k++, at++) {
            s->weight[at] += s->fault[at] > 0;
            s->faults[i]  += s->fault[at];
        }
}

/* True: no fault is left. */
static bool untangle(Seating *s) {
    for (int i = 0; i < s->n; i++)
        s->seat[i] = seat_in(s, i, s->of[i]);
    for (int i = 0; i < s->n; i++)
        count_faults(s, i);
    for (int move = 0; move < MOVES; move++) {
        int i = worst_letter(s), j;
        if (i < 0)
            return true;
        j = best_move(s, i);
        for (int k = 0; j < 0 && k < s->n; k++) {
            if (k != i && s->faults[k]) {
                j = best_move(s, k);
                i = k;
            }
        }
        if (j >= 0)
            trade(s, i, j);
        else
            weigh(s);
    }
    return worst_letter(s) < 0;
}

/* One try: the best assignment with so much of the fees, then mended. */
static bool seat(Ctx *c, Seating *s, const double *fees, double strict) {
    double *cost = NEW_N(c, double, s->n * s->slots);

    s->cost   = cost;
    s->weight = NEW_N(c, int, s->n * s->n);
    s->fault  = NEW_N(c, int, s->n * s->n);
    s->faults = NEW_N(c, int, s->n);
    for (int i = 0; i < s->n * s->n; i++)
        s->weight[i] = 1;
    for (int i = 0, at = 0; i < s->n; i++)
        for (int j = 0; j < s->slots; j++, at++)
            cost[at] = strict * fees[at]
                     + v2_len(v2_sub(s->slot[j].at, s->letter[i].anchor));
    assign(c, s);
    return untangle(s);
}

bool letters_place(Ctx *c, const V2 *ends, int n_ends, Box2 frame,
                   Letter *letters, int n) {
    Points outer = points_hull(c, ends, n_ends);

    return letters_around(c, &outer, ends, n_ends, NULL, frame, letters, n);
}

bool letters_around(Ctx *c, const Points *outer, const V2 *ends, int n_ends,
                    const LetterFaces *faces, Box2 frame, Letter *letters,
                    int n) {
    static const double strict[] = { 1, 0.3, 0 };
    bool    counted = false, inside, good = false;
    double *fees;
    InkMap  map;
    Slots   slots;
    Seating s;

    if (n == 0 || outer->n == 0)
        return true;
    for (int i = 0; i < n; i++)
        counted = counted || letters[i].count > 1;
    slots = slots_for(c, outer, &frame, n, counted, &inside);
    map   = ink_map(c, ends, n_ends, faces, letters, n);
    fees  = NEW_N(c, double, n * slots.n);
    for (int i = 0; i < n; i++)
        fees_of(&map, &letters[i], slots.at, slots.n, &fees[i * slots.n]);
    s = (Seating){ slots.at, slots.n, letters, n, NULL, NEW_N(c, int, n),
                   NEW_N(c, Seat, n), NEW_N(c, int, slots.n), NULL, NULL,
                   NULL };
    for (int i = 0; i < COUNT(strict) && !good; i++)
        good = seat(c, &s, fees, strict[i]);
    for (int i = 0; i < n; i++) {
        letters[i].at  = slots.at[s.of[i]].at;
        letters[i].out = slots.at[s.of[i]].out;
    }
    return inside && good;
}

/* ---- Drawing ---- */

static void draw_leader(Press *p, const Letter *l) {
    V2     way = v2_sub(l->anchor, l->at);
    double far = v2_len(way);
    V2     rim;

    if (far <= RADIUS)
        return;
    rim = (V2){ l->at.x + way.x * RADIUS / far,
                l->at.y + way.y * RADIUS / far };
    draw_line(p, rim, l->anchor, PEN_FINE);
    draw_circle(p, l->anchor, 0.5, PEN_NONE, INK_BLACK);
}

/* The count stands on the side away from the drawing. */
static void draw_count(Press *p, const Letter *l) {
    double cap   = font_cap_height(p->fonts, FONT_BOLD, SIZE_NOTE);
    Para   count = { 0 };

    say(p, &count, "×");
    say_count(p, &count, l->count, "pieces added in the step");
    if (fabs(l->out.x) >= fabs(l->out.y))
        para_at(p, &count,
                (V2){ l->at.x + (l->out.x < 0 ? -1 : 1) * (RADIUS + 1),
                      l->at.y + cap / 2 },
                l->out.x < 0 ? ALIGN_RIGHT : ALIGN_LEFT, STYLE_NOTE_BOLD);
    else
        para_at(p, &count,
                (V2){ l->at.x, l->out.y < 0 ? l->at.y - RADIUS - 1
                                            : l->at.y + RADIUS + 1 + cap },
                ALIGN_CENTER, STYLE_NOTE_BOLD);
}

void letters_draw(Press *p, const Letter *letters, int n) {
    for (int i = 0; i < n; i++)
        draw_leader(p, &letters[i]);
    for (int i = 0; i < n; i++) {
        letter_circle(p, letters[i].at, LETTER_D, letters[i].part);
        if (letters[i].count > 1)
            draw_count(p, &letters[i]);
    }
}
