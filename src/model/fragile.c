/* fragile -- thin webs, short grain and holes near an edge.
 *
 * At a point p of the outline, with the normal n that looks into the wood,
 * the largest circle that touches the outline in p and lies in the wood has
 * the radius
 *
 *     r(p) = min over the other points q of |q - p|^2 / (2 n . (q - p))
 *
 * Its diameter is how wide the wood is there. Along the outline it falls
 * to nothing in every corner; a neck is where it is least and grows on
 * both sides:
 *
 *     ----------------      ----*-------      The section that may break
 *      wide  /\             ____|___          runs from p to q. If that is
 *       ____/  \____        neck | wide       along the grain, the wood is
 *                                             short and splits off.
 *
 * A rival, eroding the shape and growing it again (offsetting), finds all
 * corners too, and tells no direction.
 * Limits (common practice, no published source): a web at least half its
 * thickness and 1/4 in wide; short grain at least twice the thickness; a
 * hole leaves its diameter to the edge.
 */
#include "model/model_internal.h"

#include <math.h>

#define WEB_MM    6.35
#define GROWS     1.2     // a neck is this much narrower than beside it
#define CORNER    0.4     // sine of a turn of the outline
#define MOST      600     // points of an outline
#define RUN       16      // samples that are passed over at once

typedef struct {
    V2  p, n;       // on the outline; into the wood
    int loop;       // neighbors are in the same one
    double r;       // at most as wide as is asked for
    V2  q;          // where its circle touches again
    int other;      // the loop there
    bool told;      // of a neck that was looked at
} Sample;

typedef LIST(Sample) Samples;

static void sample_ring(Build *b, const Ring *r, int loop, double step,
                        Samples *out) {
    for (int i = 0; i < r->n; i++) {
        V2     a = r->at[i], z = r->at[(i + 1) % r->n], d = v2_sub(z, a);
        double len = v2_len(d);
        int    n   = (int)ceil(len / step);
        if (len < 1e-6)
            continue;
        for (int k = 0; k < n; k++) {
            Sample *s = PUSH(b->c, out);
            s->p    = v2_add(a, v2_scale(d, (k + 0.5) / n));
            s->n    = v2(-d.y / len, d.x / len);   // wood is on the left
            s->loop = loop;
        }
    }
}

/* Boxes of the samples, RUN by RUN. */
static Box2 *run_boxes(Build *b, const Samples *all) {
    Box2 *out = NEW_N(b->c, Box2, all->n / RUN + 1);

    for (int i = 0; i < all->n; i++) {
        if (i % RUN == 0)
            out[i / RUN] = box2_empty();
        box2_add(&out[i / RUN], all->at[i].p);
    }
    return out;
}

/* What lies farther off than twice the radius is not in the circle. */
static bool is_far(const Box2 *box, const Sample *s) {
    double far = 2 * s->r;

    return s->p.x - box->max.x > far || box->min.x - s->p.x > far
        || s->p.y - box->max.y > far || box->min.y - s->p.y > far;
}

/* `most`: no larger radius matters. */
static void widen(Samples *all, const Box2 *runs, int i, double most) {
    Sample *s = &all->at[i];

    s->r = most;
    for (int k = 0; k < all->n; k++) {   // of many: no call, no division
        double x, y, h;
        if (k % RUN == 0 && is_far(&runs[k / RUN], s)) {
            k += RUN - 1;
            continue;
        }
        x = all->at[k].p.x - s->p.x, y = all->at[k].p.y - s->p.y;
        h = x * s->n.x + y * s->n.y;
        if (h <= 1e-9 || x * x + y * y >= 2 * h * s->r)
            continue;
        s->r = (x * x + y * y) / (2 * h);
        s->q = all->at[k].p;
        s->other = all->at[k].loop;
    }
}

/* Walks along the outline until the wood is wider, or narrower, or comes
 * to a corner that stands out. */
static bool grows(const Samples *all, int i, int first, int n, int way) {
    double        r    = all->at[i].r;
    const Sample *last = &all->at[i];

    for (int k = 1; k < n; k++) {
        const Sample *s = &all->at[first + ((i - first + way * k) % n + n)
                                           % n];
        double turn = way * v2_cross(last->n, s->n);
        if (turn > CORNER || (turn > 0 && v2_dot(last->n, s->n) < 0)
            || s->r < r - 1e-6)
            return false;
        if (s->r > GROWS * r)
            return true;
        last = s;
    }
    return false;
}

/* The middle of the neck that a sample belongs to. */
static Sample *middle(Samples *all, int i, int first, int n) {
    double most = all->at[i].r * GROWS;
    int    lo = 0, hi = 0;

    while (hi < n && all->at[first + (i - first + hi) % n].r <= most)
        all->at[first + (i - first + hi++) % n].told = true;
    while (lo > hi - n
           && all->at[first + (i - first + lo + n) % n].r <= most)
        all->at[first + (i - first + lo-- + n) % n].told = true;
    return &all->at[first + (i - first + (lo + hi) / 2 + n) % n];
}

static V2 near_point(V2 p, V2 a, V2 z) {
    V2     d = v2_sub(z, a);
    double t = v2_dot(v2_sub(p, a), d) / fmax(v2_dot(d, d), 1e-12);

    return v2_add(a, v2_scale(d, fmin(fmax(t, 0), 1)));
}

static double box_distance(const Box2 *box, V2 p) {
    return hypot(fmax(fmax(box->min.x - p.x, p.x - box->max.x), 0),
                 fmax(fmax(box->min.y - p.y, p.y - box->max.y), 0));
}

/* The nearest point of the outline on the other side of the wood. */
static V2 across(const Rings *rings, const Box2 *boxes, V2 p, V2 n,
                 V2 standing) {
    double least = INFINITY;
    V2     best  = standing;

    for (int i = 0; i < rings->n; i++) {
        const Ring *r = &rings->at[i];
        if (box_distance(&boxes[i], p) > least)
            continue;
        for (int k = 0; k < r->n; k++) {
            V2 a = r->at[k], z = r->at[(k + 1) % r->n];
            V2 in = v2(a.y - z.y, z.x - a.x), q = near_point(p, a, z);
            if (v2_dot(in, n) > -v2_len(in) / 2
                || v2_dot(v2_sub(q, p), n) <= 1e-6
                || v2_len(v2_sub(q, p)) >= least)
                continue;
            least = v2_len(v2_sub(q, p));
            best  = q;
        }
    }
    return best;
}

/* ---- What is told of it ---- */

static Str weak_words(Build *b, WeakKind kind, Str cut) {
    static const char *const words[] = {   // ORDER WEAK
        "a web", "short grain", "wood beside a hole", "wood between ",
        "wood under the ", "wood beside the "
    };

    return str_fmt(b->c, "%s%.*s", words[kind], STR_ARG(cut));
}

static const char *weak_cure(WeakKind kind) {
    static const char *const cures[] = {   // ORDER WEAK
        "make it wider, or move the cut",
        "the wood splits along the grain there: make it wider, or turn the "
        "grain of the part",
        "a hole should leave its own diameter to the edge: move it in, or "
        "make it smaller",
        "two holes should leave the diameter of the smaller one between "
        "them, a hole its own to another cut: move them apart, or make them "
        "smaller",
        "make the cut shallower, or the part thicker",
        "move the cut in, or make it shallower"
    };

    return cures[kind];
}

static Quantity told(Build *b, double mm, int up) {
    Quantity step = b->m->inch ? quantity_inches(1, 32)
                               : quantity_exact(1, 10, DIM_LENGTH);

    return quantity_round(quantity_mm(mm + up * (step.real / 2 - 1e-4)),
                          step);
}

static bool is_known(const Build *b, int part, V2 a, V2 z, double near) {
    for (int i = 0; i < b->m->weak.n; i++) {
        const Weak *w = &b->m->weak.at[i];
        V2 mid = v2_scale(v2_add(w->a, w->b), 0.5);
        if (w->part == part
            && v2_len(v2_sub(mid, v2_scale(v2_add(a, z), 0.5))) < near)
            return true;
    }
    return false;
}

void add_weak(Build *b, int part, Loc loc, WeakKind kind, Str cut, V2 a,
              V2 z, double width, double least) {
    const Part *own = &b->m->parts.at[part];
    Weak       *w;

    if (is_known(b, part, a, z, fmax(2 * least, 2 * width)))
        return;
    w = PUSH(b->c, &b->m->weak);
    *w = (Weak){ part, kind, weak_words(b, kind, cut), a, z,
                 told(b, width, 0), told(b, least, 1) };
    report(b->c, loc, FRAGILE,
           "part %.*s has %.*s %.*s %s, around %.*s from its left end and "
           "%.*s from its near edge; %.*s would be safe",
           STR_ARG(own->letter), STR_ARG(w->what),
           STR_ARG(size_text(b, w->width)),
           kind < WEAK_FLOOR ? "wide" : "thick",
           STR_ARG(size_text(b, told(b, (a.x + z.x) / 2, 0))),
           STR_ARG(size_text(b, told(b, (a.y + z.y) / 2, 0))),
           STR_ARG(size_text(b, w->least)));
    hint(b->c, "%s", weak_cure(kind));
}

/* ---- Necks ---- */

/* Is the cut on that side at least as long, along the neck, as the neck is
 * wide? Beside a small hole nothing breaks. */
static bool is_long(const Ring *r, V2 d) {
    Box2 box = box2_empty();
    bool x   = fabs(d.x) > fabs(d.y);

    for (int i = 0; i < r->n; i++)
        box2_add(&box, r->at[i]);
    return (x ? box.max.y - box.min.y : box.max.x - box.min.x)
        >= v2_len(d);
}

/* The section is sharpened from the two samples to the outline itself. */
static void check_neck(Build *b, int part, const Rings *rings,
                       const Box2 *boxes, const Sample *s) {
    const Part *own = &b->m->parts.at[part];
    V2     q = across(rings, boxes, s->p, s->n, s->q);
    V2     p = across(rings, boxes, q, v2_scale(s->n, -1), s->p);
    V2     d = v2_sub(q, p);
    double t = own->thickness.real, width = v2_len(d);
    bool   sheet = b->m->stocks.at[own->stock].form == FORM_SHEET;
    double least = fmax(WEB_MM, t / 2);

    if (width < 1.4 * s->r   // it slid into a corner
        || !is_long(&rings->at[s->loop], d)
        || !is_long(&rings->at[s->other], d))
        return;
    if (!sheet && fabs(d.x) > fabs(d.y) * 1.0001 && width < 2 * t - 1e-3)
        add_weak(b, part, own->loc, WEAK_GRAIN, STR(""), p, q, width,
                 2 * t);
    else if (width < least - 1e-3)
        add_weak(b, part, own->loc, WEAK_WEB, STR(""), p, q, width, least);
}

static void check_necks(Build *b, int part) {
    const Part *own   = &b->m->parts.at[part];
    Rings       rings = shape_rings(b->c, own->face, 0.05);
    double      reach = fmax(WEB_MM, 2 * own->thickness.real);
    double      step  = fmax(reach / 12, shape_perimeter(own->face) / MOST);
    Samples     all   = { 0 };
    Box2       *runs, *boxes = NEW_N(b->c, Box2, rings.n + 1);

    for (int i = 0; i < rings.n; i++) {
        sample_ring(b, &rings.at[i], i, step, &all);
        boxes[i] = box2_empty();
        for (int k = 0; k < rings.at[i].n; k++)
            box2_add(&boxes[i], rings.at[i].at[k]);
    }
    runs = run_boxes(b, &all);
    for (int i = 0; i < all.n; i++)
        widen(&all, runs, i, GROWS * reach / 2);
    for (int first = 0, n; first < all.n; first += n) {
        for (n = 1; first + n < all.n
             && all.at[first + n].loop == all.at[first].loop; n++)
            ;
        for (int i = first; i < first + n; i++) {
            if (!all.at[i].told && 2 * all.at[i].r < reach
                && grows(&all, i, first, n, 1)
                && grows(&all, i, first, n, -1))
                check_neck(b, part, &rings, boxes,
                           middle(&all, i, first, n));
        }
    }
}

/* ---- Holes ---- */

static void check_hole(Build *b, int part, const Feature *f,
                       const Rings *outline) {
    for (int i = 0; i < f->count; i++) {
        V2     c = v2_add(v2(f->x.real, f->y.real), feature_copy(f, i));
        V2     best = c;
        double least = INFINITY, r = f->diameter.real / 2;
        for (int k = 0; k < outline->n; k++) {
            const Ring *ring = &outline->at[k];
            for (int m = 0; m < ring->n; m++) {
                V2 q = near_point(c, ring->at[m],
                                  ring->at[(m + 1) % ring->n]);
                if (v2_len(v2_sub(q, c)) < least) {
                    least = v2_len(v2_sub(q, c));
                    best  = q;
                }
            }
        }
        if (least > r && least - r < 2 * r - 1e-3)
            add_weak(b, part, f->loc, WEAK_HOLE, STR(""),
                     v2_add(c, v2_scale(v2_sub(best, c), r / least)), best,
                     least - r, 2 * r);
    }
}

void check_fragile(Build *b) {
    for (int i = 0; i < b->m->parts.n; i++) {
        const Part *part = &b->m->parts.at[i];
        Rings       outline;
        bool        cut = part->outlined;
        if (part->plain)
            continue;
        check_between(b, i);   // before the necks, which say less of holes
        outline = shape_rings(b->c, part->outline, 0.05);
        for (int k = 0; k < part->features.n; k++) {
            const Feature *f = &part->features.at[k];
            if (f->kind == FEATURE_HOLE && f->shape.loops.n)
                check_hole(b, i, f, &outline);
            cut |= f->shape.loops.n > 0;
        }
        if (cut)
            check_necks(b, i);
        check_thin(b, i);
    }
}
