/* guillotine_fit -- do all parts fit into one sheet? Tried completely.
 *
 * Rectangles are built from below: two blocks side by side or one on the
 * other give a larger block, whose waste is what its parts don't cover.
 * A block with more waste than the whole sheet has to spare is dropped, so
 * the fuller the sheet, the fewer blocks there are (Wang 1983 bounds waste
 * in the same way). Of blocks of the same parts only those that are not
 * larger both ways than another are kept. Waste is also measured through
 * the scales of guillotine_bound.c, which often leave less to spare. When
 * all are built, the parts fit if and only if a block of all of them exists.
 *
 * Blocks are made in order of their number of parts, so that both halves of
 * each are complete before it.
 */
#include "plan/guillotine_internal.h"

#define MOST_PARTS  31       // two bits of the set for each, one to spare
#define MOST_BLOCKS 3000000
#define SCALES      4
#define ROUNDING    1e-4     // of the scaled areas, shares of a sheet

typedef struct {
    uint64_t set;            // how many of each part, packed
    int64_t  w, h;
    double   waste;
    float    parts[SCALES];  // area of its parts through each scale
    int      a, b;           // b < 0: a single part, a
    bool     turned, upright;
    int      next;           // of those with the same hash
} FitBlock;

typedef struct {
    const Rects *r;
    int64_t      W, H;
    double       spare;      // waste allowed
    ScalePair    scales[SCALES];
    int          n_scales;
    uint64_t     unit[MOST_PARTS], room, over;   // fields of the sets
    LIST(FitBlock) blocks;
    int         *heads;      // hash table
    int          begin[MOST_PARTS + 2];   // first block of each number
    long        *steps;
    Ctx         *c;
} Fit;

#define HASHES (1 << 18)

static int hash_of(uint64_t set) {
    return (int)((set * 0x9E3779B97F4A7C15u) >> 46);
}

/* Fields wide enough to count one part more than there are, and above each
 * a bit that shows when a sum has become too large. */
static bool pack(Fit *f) {
    int at = 0;

    for (int i = 0; i < f->r->n_parts; i++) {
        int count = f->r->parts[i].count, bits = 1;
        while ((1 << bits) <= count)
            bits++;
        if (at + bits + 1 > 64)
            return false;
        f->unit[i] = (uint64_t)1 << at;
        f->room   |= (uint64_t)((1 << bits) - 1 - count) << at;
        f->over   |= (uint64_t)1 << (at + bits);
        at        += bits + 1;
    }
    return true;
}

static bool is_new(Fit *f, uint64_t set, int64_t w, int64_t h) {
    for (int i = f->heads[hash_of(set)] - 1; i >= 0;
         i = f->blocks.at[i].next) {
        const FitBlock *b = &f->blocks.at[i];
        if (b->set == set && b->w <= w && b->h <= h)
            return false;
    }
    return true;
}

static bool spares(const Fit *f, const FitBlock *b) {
    for (int i = 0; i < f->n_scales; i++) {
        const ScalePair *s = &f->scales[i];
        double area = scaled(&s->x, b->w) * scaled(&s->y, b->h);
        if (area - (double)b->parts[i] > 1 - s->area + ROUNDING)
            return false;
    }
    return true;
}

static void add_block(Fit *f, FitBlock b) {
    int *head = &f->heads[hash_of(b.set)];

    if (b.w > f->W || b.h > f->H || b.waste > f->spare || !spares(f, &b)
        || !is_new(f, b.set, b.w, b.h))
        return;
    b.next = *head - 1;
    *PUSH(f->c, &f->blocks) = b;
    *head = f->blocks.n;
}

static void add_singles(Fit *f) {
    for (int i = 0; i < f->r->n_parts; i++) {
        const SheetPart *p = &f->r->parts[i];
        FitBlock b = { .set = f->unit[i], .w = p->w, .h = p->h, .a = i,
                       .b = -1 };
        for (int k = 0; k < f->n_scales; k++)
            b.parts[k] = (float)scaled_part(f->r, i, &f->scales[k]);
        add_block(f, b);
        b.w      = p->h;
        b.h      = p->w;
        b.turned = true;
        if (p->turns)
            add_block(f, b);
    }
}

static void join(Fit *f, int a, int b, bool upright) {
    FitBlock p = f->blocks.at[a], q = f->blocks.at[b], j;
    int64_t  w, h, gap;

    w = upright ? p.w + q.w : p.w > q.w ? p.w : q.w;
    h = !upright ? p.h + q.h : p.h > q.h ? p.h : q.h;
    if (w > f->W || h > f->H)
        return;
    gap = upright ? p.h - q.h : p.w - q.w;
    j   = (FitBlock){ .set = p.set + q.set, .w = w, .h = h, .a = a, .b = b,
                      .waste = p.waste + q.waste, .upright = upright };
    for (int i = 0; i < f->n_scales; i++)
        j.parts[i] = p.parts[i] + q.parts[i];
    j.waste += upright ? (gap > 0 ? (double)gap * (double)q.w
                                  : (double)-gap * (double)p.w)
                       : (gap > 0 ? (double)gap * (double)q.h
                                  : (double)-gap * (double)p.h);
    add_block(f, j);
}

/* All pairs of a block of `few` parts with one of `many`. */
static bool join_all(Fit *f, int few, int many, long limit) {
    for (int a = f->begin[few]; a < f->begin[few + 1]; a++) {
        int b = f->begin[many];
        for (; b < f->begin[many + 1]; b++) {
            if (f->blocks.at[a].waste + f->blocks.at[b].waste > f->spare)
                break;
            if (((f->blocks.at[a].set + f->blocks.at[b].set + f->room)
                    & f->over) || (few == many && b < a))
                continue;
            join(f, a, b, true);
            join(f, a, b, false);
        }
        *f->steps += b - f->begin[many] + 1;
        if (*f->steps > limit || f->blocks.n > MOST_BLOCKS)
            return false;
    }
    return true;
}

static int less_waste(const void *a, const void *b, const void *with) {
    double p = ((const FitBlock *)a)->waste, q = ((const FitBlock *)b)->waste;

    (void)with;
    return p < q ? -1 : p > q;
}

/* The blocks of n parts are complete: the fullest go first, so that whoever
 * joins them can stop early. The hash is only needed among equals. */
static void end_level(Fit *f, int n) {
    f->begin[n + 1] = f->blocks.n;
    list_sort(f->c, f->blocks.at + f->begin[n], f->blocks.n - f->begin[n],
              sizeof *f->blocks.at, less_waste, NULL);
    for (int i = f->begin[n]; i < f->blocks.n; i++)
        f->heads[hash_of(f->blocks.at[i].set)] = 0;
}

/* ---- The tree of a block ---- */

static int new_node(Tree *t, int64_t w, int64_t h, int up) {
    int i = t->n_nodes++;

    t->nodes[i] = (TreeNode){ .w = w, .h = h, .what = NODE_FREE, .up = up,
                              .prev = -1, .next = -1, .first = -1 };
    if (up >= 0) {
        t->nodes[i].next    = t->nodes[up].first;
        t->nodes[up].first  = i;
    }
    return i;
}

/* Cuts a node in two; returns the first, `size` large. */
static int cut_node(Tree *t, int node, bool upright, int64_t size) {
    int64_t w = t->nodes[node].w, h = t->nodes[node].h;

    if (size == (upright ? w : h))
        return node;
    t->nodes[node].what    = NODE_CUT;
    t->nodes[node].upright = upright;
    (void)new_node(t, upright ? w - size : w, upright ? h : h - size, node);
    return new_node(t, upright ? size : w, upright ? h : size, node);
}

static void write_block(const Fit *f, Tree *t, int block, int node) {
    const FitBlock *b = &f->blocks.at[block];
    const FitBlock *a;
    int             first;

    node = cut_node(t, cut_node(t, node, true, b->w), false, b->h);
    if (b->b < 0) {
        t->nodes[node].what   = b->a;
        t->nodes[node].turned = b->turned;
        return;
    }
    a     = &f->blocks.at[b->a];
    first = cut_node(t, node, b->upright, b->upright ? a->w : a->h);
    write_block(f, t, b->a, first);
    write_block(f, t, b->b, t->nodes[first].next);
}

static void write_tree(const Fit *f, int kind, int block, Tree *t) {
    tree_clear(f->r, t);
    t->roots[0] = new_node(t, f->W, f->H, -1);
    t->kinds[0] = kind;
    t->n_sheets = 1;
    t->cost     = f->r->kinds[kind].price;
    t->missing  = 0;
    for (int i = 0; i < f->r->n_parts; i++)
        t->left[i] = 0;
    write_block(f, t, block, t->roots[0]);
}

/* False: too much work. */
static bool build_all(Fit *f, long limit) {
    add_singles(f);
    end_level(f, 1);
    for (int n = 2; n <= f->r->pieces; n++) {
        for (int few = 1; 2 * few <= n; few++) {
            if (!join_all(f, few, n - few, limit))
                return false;
        }
        end_level(f, n);
    }
    return true;
}

SheetFit fit_sheet(Ctx *c, const Rects *r, int kind, Tree *tree, long limit,
                   long *steps) {
    Fit   *f = NEW(c, Fit);
    double area = 0;

    if (r->pieces > MOST_PARTS)
        return FIT_UNKNOWN;
    *f = (Fit){ .r = r, .W = r->kinds[kind].w, .H = r->kinds[kind].h,
                .steps = steps, .c = c };
    for (int i = 0; i < r->n_parts; i++)
        area += (double)r->parts[i].w * (double)r->parts[i].h
              * r->parts[i].count;
    f->n_scales = scale_pairs(c, r, kind, SCALES, f->scales);
    f->spare = (double)f->W * (double)f->H - area;
    if (f->spare < 0 || f->scales[0].area > 1 + 1e-9)
        return FIT_NO;
    if (!pack(f))
        return FIT_UNKNOWN;
    f->heads = NEW_N(c, int, HASHES);
    if (!build_all(f, limit))
        return FIT_UNKNOWN;
    if (f->begin[r->pieces + 1] == f->begin[r->pieces])
        return FIT_NO;
    write_tree(f, kind, f->begin[r->pieces], tree);
    return FIT_YES;
}
