/* box_tree -- which of many boxes are near each other, or in each other's
 * straight way, without asking every two of them.
 *
 * The boxes are put in the order of a curve that fills space (their middles'
 * coordinates, bits interleaved: Morton 1966) and become the leaves of a
 * full binary tree; a node's box holds those below it. A sweep along one
 * axis would be simpler still, but a floor of thousands of slats has them
 * all in one slice of it.
 *
 *              1                 node k has the children 2k and 2k + 1;
 *         2         3            leaf i is node `leaves` + i
 *      4    5    6    7
 */
#include "geom/geom_internal.h"

#include <math.h>

struct BoxTree {
    int   n, leaves;
    Box3 *box;       // of each node; empty ones have min > max
    int  *count;     // of each node: boxes below it that stand
    int  *item;      // of each leaf in order
    int  *leaf;      // of each item
};

/* ---- Building ---- */

typedef struct { uint64_t key; int item; } Keyed;

static int by_key(const void *a, const void *b, const void *with) {
    const Keyed *p = a, *q = b;

    (void)with;
    return p->key < q->key ? -1 : p->key > q->key;
}

/* Spreads 20 bits out, two free ones between each two. */
static uint64_t spread_bits(double share) {
    uint64_t v = (uint64_t)(fmin(fmax(share, 0), 1) * 1048575), out = 0;

    for (int i = 0; i < 20; i++)
        out |= (v >> i & 1) << (3 * i);
    return out;
}

static uint64_t curve_key(Box3 whole, Box3 b) {
    V3     size = v3_sub(whole.max, whole.min);
    V3     mid  = v3_sub(v3_scale(v3_add(b.min, b.max), 0.5), whole.min);
    double most = fmax(fmax(size.x, size.y), fmax(size.z, 1e-9));

    return spread_bits(mid.x / most) | spread_bits(mid.y / most) << 1
         | spread_bits(mid.z / most) << 2;
}

static void add_box(Box3 *to, Box3 b) {
    if (b.min.x > b.max.x)
        return;
    box3_add(to, b.min);
    box3_add(to, b.max);
}

BoxTree *box_tree(Ctx *c, const Box3 *boxes, int n) {
    BoxTree *t     = NEW(c, BoxTree);
    Keyed   *keyed = NEW_N(c, Keyed, n + 1);
    Box3     whole = box3_empty();

    t->n = n;
    for (t->leaves = 1; t->leaves < n; t->leaves *= 2)
        continue;
    t->box   = NEW_N(c, Box3, 2 * t->leaves);
    t->count = NEW_N(c, int, 2 * t->leaves);
    t->item  = NEW_N(c, int, t->leaves);
    t->leaf  = NEW_N(c, int, n + 1);
    for (int i = 0; i < n; i++)
        add_box(&whole, boxes[i]);
    for (int i = 0; i < n; i++)
        keyed[i] = (Keyed){ curve_key(whole, boxes[i]), i };
    list_sort(c, keyed, n, sizeof *keyed, by_key, NULL);
    for (int i = 0; i < t->leaves; i++)
        t->box[t->leaves + i] = box3_empty();
    for (int i = 0; i < n; i++) {
        t->item[i]              = keyed[i].item;
        t->leaf[keyed[i].item]  = i;
        t->box[t->leaves + i]   = boxes[keyed[i].item];
    }
    for (int k = t->leaves - 1; k > 0; k--) {
        t->box[k] = t->box[2 * k];
        add_box(&t->box[k], t->box[2 * k + 1]);
    }
    return t;
}

/* ---- Boxes that stand ---- */

static void count_up(BoxTree *t, int item, int by) {
    for (int k = t->leaves + t->leaf[item]; k > 0; k /= 2)
        t->count[k] += by;
}

bool box_tree_stands(const BoxTree *t, int item) {
    return t->count[t->leaves + t->leaf[item]] > 0;
}

void box_tree_put(BoxTree *t, int item) {
    if (!box_tree_stands(t, item))
        count_up(t, item, 1);
}

void box_tree_take(BoxTree *t, int item) {
    if (box_tree_stands(t, item))
        count_up(t, item, -1);
}

/* ---- Near boxes ---- */

#define DEEPEST 64   // nodes that wait; each level leaves one

int box_tree_near(const BoxTree *t, Box3 box, double slack, BoxTest *test,
                  void *with) {
    int wait[DEEPEST], n = 0;

    wait[n++] = 1;
    while (n > 0) {
        int k = wait[--n];
        if (!box3_touch(t->box[k], box, slack))
            continue;
        if (k < t->leaves) {
            wait[n++] = 2 * k + 1;
            wait[n++] = 2 * k;
        } else if (test(t->item[k - t->leaves], with))
            return t->item[k - t->leaves];
    }
    return -1;
}

typedef struct { Ctx *c; int above; BoxPairs *out; } Above;

static bool note_above(int item, void *with) {
    Above *a = with;

    if (item > a->above)
        *PUSH(a->c, a->out) = (BoxPair){ a->above, item };
    return false;
}

/* The items above `above` whose box is within the slack of a box. */
static void near_above(Ctx *c, const BoxTree *t, Box3 box, double slack,
                       int above, BoxPairs *out) {
    Above a = { c, above, out };

    (void)box_tree_near(t, box, slack, note_above, &a);
}

static int by_second(const void *a, const void *b, const void *with) {
    (void)with;
    return ((const BoxPair *)a)->b - ((const BoxPair *)b)->b;
}

BoxPairs boxes_near(Ctx *c, const Box3 *boxes, int n, double slack) {
    BoxTree *t   = box_tree(c, boxes, n);
    BoxPairs out = { 0 };

    for (int i = 0; i < n; i++) {
        int from = out.n;
        near_above(c, t, boxes[i], slack, i, &out);
        list_sort(c, out.at + from, out.n - from, sizeof *out.at, by_second,
                  NULL);
    }
    return out;
}

/* ---- In the way ---- */

static bool axis_in_way(double amin, double amax, double bmin, double bmax,
                        double d) {
    return !(bmax <= amin && d > -1e-12) && !(bmin >= amax && d < 1e-12);
}

bool box_in_way(Box3 a, Box3 b, V3 dir) {
    return axis_in_way(a.min.x, a.max.x, b.min.x, b.max.x, dir.x)
        && axis_in_way(a.min.y, a.max.y, b.min.y, b.max.y, dir.y)
        && axis_in_way(a.min.z, a.max.z, b.min.z, b.max.z, dir.z);
}

int box_tree_blocker(const BoxTree *t, Box3 box, V3 dir, BoxTest *test,
                     void *with) {
    int wait[DEEPEST], n = 0;

    wait[n++] = 1;
    while (n > 0) {
        int k = wait[--n];
        if (!t->count[k] || !box_in_way(box, t->box[k], dir))
            continue;
        if (k < t->leaves) {
            wait[n++] = 2 * k + 1;
            wait[n++] = 2 * k;
        } else if (test(t->item[k - t->leaves], with))
            return t->item[k - t->leaves];
    }
    return -1;
}
