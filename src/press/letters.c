/* letters -- part letters around a drawing, each with a leader.
 *
 *            (A)----.        slots stand on a ring, 8 mm outside the
 *          ______    \       drawing's hull; every letter gets one
 *      (B)-|-.   |____.|
 *          |______|
 *
 * Which letter gets which slot is an assignment problem: the shortest
 * leaders in all, with a fee for slant and for passing another letter's
 * dot (Kuhn's method in the form of Jonker and others, from memory). With
 * lengths alone the best leaders cannot cross, as swapping two crossing
 * ones makes both shorter; the fees can undo that, and a leader may run
 * through a neighbor's circle, so a last pass swaps and moves letters while
 * that leaves fewer faults. (Rival: leaders with a bend, which are harder
 * to follow.) Bekos, Kaufmann, Symvonis, Wolff 2007, Boundary labeling.
 */
#include "press/press_internal.h"

#include <math.h>

#define PI       3.14159265358979323846
#define RADIUS   (LETTER_D / 2)
#define CLEAR    0.8     // least gap of a leader and another's circle, mm
#define FEE_DOT  20.0    // for each other dot within 2 mm of the leader
#define FEE_TURN 5.0     // for 45 degrees off the ring's normal
#define ROUNDS   40      // of the last pass

typedef struct { V2 at, out; } Slot;
typedef LIST(Slot) Slots;

typedef struct {
    const Slot   *slot;
    int           slots;
    const Letter *letter;
    int           n;
    const double *cost;    // [n][slots]
    int          *of;      // slot of each letter
    int          *taken;   // letter of each slot, or -1
} Seating;

static V2 minus(V2 a, V2 b) {
    return (V2){ a.x - b.x, a.y - b.y };
}

static double dot(V2 a, V2 b) {
    return a.x * b.x + a.y * b.y;
}

static double cross(V2 a, V2 b) {
    return a.x * b.y - a.y * b.x;
}

static double length(V2 a) {
    return hypot(a.x, a.y);
}

/* Distance of a point from a segment. */
static double distance(V2 q, V2 a, V2 b) {
    V2     d = minus(b, a);
    double k = dot(d, d) > 0 ? dot(minus(q, a), d) / dot(d, d) : 0;

    k = k < 0 ? 0 : k > 1 ? 1 : k;
    return length(minus(q, (V2){ a.x + k * d.x, a.y + k * d.y }));
}

static bool segments_cross(V2 a, V2 b, V2 c, V2 d) {
    double c1 = cross(minus(b, a), minus(c, a));
    double d1 = cross(minus(b, a), minus(d, a));
    double a1 = cross(minus(d, c), minus(a, c));
    double b1 = cross(minus(d, c), minus(b, c));

    return c1 * d1 < 0 && a1 * b1 < 0;
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
        all += length(minus(ring->at[(i + 1) % n].at, ring->at[i].at));
    spacing = all / fmax(1, floor(all / spacing));
    for (int i = 0; i < n; i++) {
        const Slot *a = &ring->at[i], *b = &ring->at[(i + 1) % n];
        V2     d = minus(b->at, a->at);
        double l = length(d);
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

static double cost_of(const Letter *letters, int n, int i, const Slot *s) {
    V2     way  = minus(s->at, letters[i].anchor);
    double far  = length(way), cost = far;
    double turn = far > 0 ? dot(way, s->out) / far : 1;

    cost += FEE_TURN * acos(turn < -1 ? -1 : turn > 1 ? 1 : turn) / (PI / 4);
    for (int k = 0; k < n; k++)
        if (k != i && distance(letters[k].anchor, letters[i].anchor, s->at)
                      < 2)
            cost += FEE_DOT;
    return cost;
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

static int faults_between(const Seating *s, int i, int k) {
    V2 a = s->letter[i].anchor, b = s->slot[s->of[i]].at;
    V2 c = s->letter[k].anchor, d = s->slot[s->of[k]].at;

    return segments_cross(a, b, c, d)
         + (distance(b, c, d) < RADIUS + CLEAR)
         + (distance(d, a, b) < RADIUS + CLEAR);
}

static int faults_of(const Seating *s, int i) {
    int faults = 0;

    for (int k = 0; k < s->n; k++)
        if (k != i)
            faults += faults_between(s, i, k);
    return faults;
}

static int faults_in_all(const Seating *s) {
    int faults = 0;

    for (int i = 0; i < s->n; i++)
        for (int k = 0; k < i; k++)
            faults += faults_between(s, i, k);
    return faults;
}

/* Puts letter i into slot j; who sat there takes i's. */
static void trade(Seating *s, int i, int j) {
    int other = s->taken[j], mine = s->of[i];

    s->taken[mine] = other;
    s->taken[j]    = i;
    s->of[i]       = j;
    if (other >= 0)
        s->of[other] = mine;
}

static double pair_cost(const Seating *s, int i, int other) {
    double cost = s->cost[i * s->slots + s->of[i]];

    return other < 0 ? cost
                     : cost + s->cost[other * s->slots + s->of[other]];
}

static int pair_faults(const Seating *s, int i, int other) {
    return faults_of(s, i)
         + (other < 0 ? 0 : faults_of(s, other)
                            - faults_between(s, i, other));
}

/* Tries slot j for letter i. True: kept. */
static bool try_slot(Seating *s, int i, int j) {
    int    other = s->taken[j], mine = s->of[i], before, after;
    double cost;

    if (other == i)
        return false;
    before = pair_faults(s, i, other);
    cost   = pair_cost(s, i, other);
    trade(s, i, j);
    after = pair_faults(s, i, other);
    if (after < before
        || (after == before && pair_cost(s, i, other) < cost - 1e-9))
        return true;
    trade(s, i, mine);
    return false;
}

static void untangle(Seating *s) {
    bool better = true;

    for (int round = 0; better && round < ROUNDS; round++) {
        better = false;
        for (int i = 0; i < s->n; i++)
            for (int j = 0; j < s->slots; j++)
                better = try_slot(s, i, j) || better;
    }
}

bool letters_place(Ctx *c, const V2 *points, int n_points, Box2 frame,
                   Letter *letters, int n) {
    Points  outer   = points_hull(c, points, n_points);
    bool    counted = false, inside;
    double *cost;
    Slots   slots;
    Seating s;

    if (n == 0 || outer.n == 0)
        return true;
    for (int i = 0; i < n; i++)
        counted = counted || letters[i].count > 1;
    slots = slots_for(c, &outer, &frame, n, counted, &inside);
    cost  = NEW_N(c, double, n * slots.n);
    for (int i = 0; i < n; i++)
        for (int j = 0; j < slots.n; j++)
            cost[i * slots.n + j] = cost_of(letters, n, i, &slots.at[j]);
    s = (Seating){ slots.at, slots.n, letters, n, cost, NEW_N(c, int, n),
                   NEW_N(c, int, slots.n) };
    assign(c, &s);
    untangle(&s);
    for (int i = 0; i < n; i++) {
        letters[i].at  = slots.at[s.of[i]].at;
        letters[i].out = slots.at[s.of[i]].out;
    }
    return inside && faults_in_all(&s) == 0;
}

/* ---- Drawing ---- */

static void draw_leader(Press *p, const Letter *l) {
    V2     way = minus(l->anchor, l->at);
    double far = length(way);
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
