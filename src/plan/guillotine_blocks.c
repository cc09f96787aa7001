/* guillotine_blocks -- parts that lie together without waste.
 *
 * Where the sheets that would do are nearly full, most parts must share a
 * whole side with what lies beside them. Two blocks of parts with a side in
 * common make a larger block, again a rectangle; the less parts and blocks
 * remain, the easier they are to lay, and where nothing may be wasted, whole
 * sheets come about (building from below: Wang 1983, here without waste).
 *
 *     +------+---------+
 *     |      |         |      Which of several parts with one side belong
 *     |      +---------+      together is a guess; so some blocks are taken
 *     |      |         |      apart again and again, and put together in
 *     +------+---------+      another way, while large blocks are held.
 *
 * Between such guesses the blocks are laid by the usual search.
 */
#include "plan/guillotine_internal.h"

#include <float.h>

#define HELD  50             // rounds, as in guillotine_search.c
#define FULL  0.95           // share of the sheets, from where on it is tried
#define LAY   2000000        // work for laying one set of blocks, at most

typedef struct {
    int64_t w, h;
    bool    turns;
    int     part;            // < 0: of two blocks
    int     of[2];
    bool    turned[2];
    bool    upright;         // they lie side by side
} Block;

typedef struct {
    Block *all;
    int    n, *spare, n_spare;
    int   *roots, n_roots;
} Forest;

typedef struct {
    Ctx         *c;
    const Rects *r;
    int64_t      W, H;
    Forest       now, held;
    double       held_score, history[HELD];
    LIST(Block)  pairs;      // that could be made of two roots
    int         *degree;     // of each block: pairs that it is in
    uint64_t     chance;
    long        *steps;
} Blocks;

static uint32_t chance(Blocks *b, uint32_t below) {
    b->chance ^= b->chance << 13;
    b->chance ^= b->chance >> 7;
    b->chance ^= b->chance << 17;
    return (uint32_t)(((b->chance >> 32) * below) >> 32);
}

/* ---- Forests ---- */

static Forest forest_new(Ctx *c, int pieces) {
    return (Forest){ .all = NEW_N(c, Block, 2 * pieces),
                     .spare = NEW_N(c, int, 2 * pieces),
                     .roots = NEW_N(c, int, pieces) };
}

static void forest_copy(Forest *to, const Forest *from) {
    memcpy(to->all, from->all, sizeof *to->all * (size_t)from->n);
    memcpy(to->spare, from->spare,
           sizeof *to->spare * (size_t)from->n_spare);
    memcpy(to->roots, from->roots,
           sizeof *to->roots * (size_t)from->n_roots);
    to->n       = from->n;
    to->n_spare = from->n_spare;
    to->n_roots = from->n_roots;
}

static void add_root(Forest *f, Block block) {
    int i = f->n_spare ? f->spare[--f->n_spare] : f->n++;

    f->all[i] = block;
    f->roots[f->n_roots++] = i;
}

static void drop_root(Forest *f, int block) {
    int i = 0;

    while (f->roots[i] != block)
        i++;
    f->roots[i] = f->roots[--f->n_roots];
}

/* ---- Putting together ---- */

static bool fits(const Blocks *b, int64_t w, int64_t h, bool turns) {
    return (w <= b->W && h <= b->H) || (turns && h <= b->W && w <= b->H);
}

static void add_pair(Blocks *b, Block made) {
    if (!fits(b, made.w, made.h, made.turns))
        return;
    *PUSH(b->c, &b->pairs) = made;
    b->degree[made.of[0]]++;
    b->degree[made.of[1]]++;
}

static void try_pair(Blocks *b, int i, int j, bool turn_i, bool turn_j) {
    const Block *p = &b->now.all[i], *q = &b->now.all[j];
    int64_t pw = turn_i ? p->h : p->w, ph = turn_i ? p->w : p->h;
    int64_t qw = turn_j ? q->h : q->w, qh = turn_j ? q->w : q->h;
    bool    turns = p->turns && q->turns;

    if (ph == qh)
        add_pair(b, (Block){ pw + qw, ph, turns, -1, { i, j },
                             { turn_i, turn_j }, true });
    if (pw == qw)
        add_pair(b, (Block){ pw, ph + qh, turns, -1, { i, j },
                             { turn_i, turn_j }, false });
}

/* With all roots that come before it in the list. */
static void list_pairs(Blocks *b, int at) {
    int i = b->now.roots[at];

    b->degree[i] = 0;
    for (int k = 0; k < at; k++) {
        int  j = b->now.roots[k];
        bool ti = b->now.all[i].turns, tj = b->now.all[j].turns;
        try_pair(b, i, j, false, false);
        if (tj)
            try_pair(b, i, j, false, true);
        if (ti && !tj)
            try_pair(b, i, j, true, false);
    }
    *b->steps += at;
}

static void drop_pairs(Blocks *b, int i, int j) {
    int n = 0;

    for (int k = 0; k < b->pairs.n; k++) {
        const int *of = b->pairs.at[k].of;
        if (of[0] == i || of[0] == j || of[1] == i || of[1] == j) {
            b->degree[of[0]]--;
            b->degree[of[1]]--;
        } else {
            b->pairs.at[n++] = b->pairs.at[k];
        }
    }
    b->pairs.n = n;
}

/* The pair whose blocks go with the fewest others, by and large. */
static int choose_pair(Blocks *b) {
    double least = DBL_MAX;
    int    best  = -1;

    for (int k = 0; k < b->pairs.n; k++) {
        const int *of  = b->pairs.at[k].of;
        double     key = (b->degree[of[0]] + b->degree[of[1]])
                       * (64.0 + chance(b, 256));
        if (key < least) {
            least = key;
            best  = k;
        }
    }
    *b->steps += b->pairs.n;
    return best;
}

/* All roots from `loose` on are new. */
static void put_together(Blocks *b, int loose) {
    int k;

    b->pairs.n = 0;
    for (int i = 0; i < loose; i++)
        b->degree[b->now.roots[i]] = 0;
    for (int i = loose; i < b->now.n_roots; i++)
        list_pairs(b, i);
    while ((k = choose_pair(b)) >= 0) {
        Block made = b->pairs.at[k];
        drop_pairs(b, made.of[0], made.of[1]);
        drop_root(&b->now, made.of[0]);
        drop_root(&b->now, made.of[1]);
        add_root(&b->now, made);
        list_pairs(b, b->now.n_roots - 1);
    }
}

/* ---- Taking apart ---- */

static void take_apart(Blocks *b, int i) {
    Block block = b->now.all[i];

    drop_root(&b->now, i);
    b->now.spare[b->now.n_spare++] = i;
    for (int k = 0; k < 2; k++) {
        int child = block.of[k];
        b->now.roots[b->now.n_roots++] = child;
        if (b->now.all[child].part < 0 && chance(b, 4))
            take_apart(b, child);
    }
}

/* Some blocks; what comes out of them stands last among the roots. */
static int take_some_apart(Blocks *b) {
    int whole[8], n = 1 + (int)chance(b, COUNT(whole)), picked = 0;
    int stays = b->now.n_roots;

    for (int tries = 0; tries < 4 * n && picked < n; tries++) {
        int  i   = b->now.roots[chance(b, (uint32_t)b->now.n_roots)];
        bool had = b->now.all[i].part >= 0;
        for (int k = 0; k < picked; k++)
            had |= whole[k] == i;
        if (!had)
            whole[picked++] = i;
    }
    for (int k = 0; k < picked; k++)      // behind the others
        drop_root(&b->now, whole[k]);
    stays = b->now.n_roots;
    for (int k = 0; k < picked; k++)
        b->now.roots[b->now.n_roots++] = whole[k];
    for (int k = 0; k < picked; k++)
        take_apart(b, whole[k]);
    return stays;
}

/* ---- Rounds ---- */

static double score_of(const Blocks *b) {
    double squares = 0, sheet = (double)b->W * (double)b->H;

    for (int i = 0; i < b->now.n_roots; i++) {
        const Block *k = &b->now.all[b->now.roots[i]];
        double       a = (double)k->w * (double)k->h / sheet;
        squares += a * a;
    }
    return squares;
}

static void begin(Blocks *b) {
    b->now.n = b->now.n_spare = b->now.n_roots = 0;
    for (int i = 0; i < b->r->n_parts; i++) {
        const SheetPart *p = &b->r->parts[i];
        for (int k = 0; k < p->count; k++)
            add_root(&b->now, (Block){ p->w, p->h, p->turns, i });
    }
    put_together(b, 0);
    forest_copy(&b->held, &b->now);
    b->held_score = score_of(b);
    for (int i = 0; i < HELD; i++)
        b->history[i] = b->held_score;
}

static void round_of(Blocks *b, long round) {
    double score, *then = &b->history[round % HELD];

    put_together(b, take_some_apart(b));
    score = score_of(b);
    if (score >= *then || score >= b->held_score) {
        forest_copy(&b->held, &b->now);
        b->held_score = score;
    } else {
        forest_copy(&b->now, &b->held);
    }
    if (b->held_score > *then)
        *then = b->held_score;
    *b->steps += b->now.n / 4;
}

/* ---- Laying ---- */

static void write_children(const Blocks *b, Tree *t, int node, int block,
                           bool turned);

/* A block into a child of a node, or, cut the same way, into the node. */
static void write_block(const Blocks *b, Tree *t, int up, int block,
                        bool turned) {
    const Block *k = &b->held.all[block];
    int          node = up;

    if (k->part >= 0 || t->nodes[up].upright != (k->upright != turned))
        node = tree_child(t, up, turned ? k->h : k->w, turned ? k->w : k->h);
    write_children(b, t, node, block, turned);
}

static void write_children(const Blocks *b, Tree *t, int node, int block,
                           bool turned) {
    const Block *k = &b->held.all[block];

    if (k->part >= 0) {
        tree_take(b->r, t, node, k->part, turned);
        return;
    }
    t->nodes[node].upright = k->upright != turned;
    for (int i = 0; i < 2; i++)
        write_block(b, t, node, k->of[i], turned != k->turned[i]);
}

/* What `from` has at a place, whose parts are roots. */
static void write_node(const Blocks *b, Tree *t, int node, const Tree *from,
                       int at) {
    const TreeNode *n = &from->nodes[at];

    if (n->what >= 0) {
        write_children(b, t, node, b->held.roots[n->what], n->turned);
        return;
    }
    if (n->what == NODE_FREE) {
        tree_free(t, node);
        return;
    }
    t->nodes[node].upright = n->upright;
    for (int i = n->first; i >= 0; i = from->nodes[i].next) {
        const TreeNode *child = &from->nodes[i];
        if (child->what >= 0)
            write_block(b, t, node, b->held.roots[child->what],
                        child->turned);
        else
            write_node(b, t, tree_child(t, node, child->w, child->h), from,
                       i);
    }
}

/* Lays the roots, with so many sheets; true: they went. */
static bool lay(Blocks *b, int sheets, long work, Tree *best) {
    Ctx        s     = ctx_scratch(b->c);
    SheetKind  kind  = b->r->kinds[0];
    int        n     = b->held.n_roots;
    SheetPart *parts = NEW_N(&s, SheetPart, n);
    Rects      r     = { &kind, parts, 1, n, n, 12 * n + 64, b->r->step };
    Tree       tree;
    bool       went;

    for (int i = 0; i < n; i++) {
        const Block *k = &b->held.all[b->held.roots[i]];
        parts[i] = (SheetPart){ k->w, k->h, 1, k->turns };
    }
    kind.supply = sheets;
    tree_init(&s, &r, &tree);
    search_brisk(&s, &r, *b->steps + work, &tree, b->steps);
    went = tree.n_sheets > 0;
    if (went)
        tree_clear(b->r, best);
    for (int i = 0; i < tree.n_sheets; i++)
        write_node(b, best, tree_sheet(b->r, best, 0), &tree, tree.roots[i]);
    ctx_free(&s);
    return went;
}

static bool nearly_fill(const Rects *r, int sheets) {
    double area = 0;

    for (int i = 0; i < r->n_parts; i++) {
        const SheetPart *p = &r->parts[i];
        area += (double)p->w * (double)p->h * p->count;
    }
    return area > FULL * sheets * (double)r->kinds[0].w
                * (double)r->kinds[0].h;
}

/* Begun anew with 1, 4, 16 ... rounds: the more of them, the fewer blocks,
 * but the more of these are wrong where something must be wasted. */
void search_blocks(Ctx *c, const Rects *r, long limit, Tree *best,
                   long *steps) {
    Blocks *b = NEW(c, Blocks);
    int     sheets = best->n_sheets - 1;

    if (r->n_kinds != 1 || sheets < 1 || !nearly_fill(r, sheets))
        return;
    *b = (Blocks){ .c = c, .r = r, .W = r->kinds[0].w, .H = r->kinds[0].h,
                   .chance = 88172645463325252u, .steps = steps };
    b->now    = forest_new(c, r->pieces);
    b->held   = forest_new(c, r->pieces);
    b->degree = NEW_N(c, int, 2 * r->pieces);
    for (int tries = 0; *steps < limit; tries++) {
        long rounds = 1L << (2 * (tries % 8)), work = *steps;
        begin(b);
        for (long i = 0; i < rounds && *steps < limit
                         && b->held.n_roots > sheets; i++)
            round_of(b, i);
        work = *steps - work + 100000;
        if (lay(b, sheets, work < LAY ? work : LAY, best))
            return;
    }
}
