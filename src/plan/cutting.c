/* cutting -- fills boards one after another with guillotine cuts.
 *
 * A board is a tree of blocks: each block is cut right across by parallel
 * cuts into pieces and smaller blocks, crosscuts and rips by turns. So every
 * cut goes from edge to edge of what is on the saw, and the order of cuts is
 * the order of levels. A piece goes into the free end of some block, and if
 * it leaves room beside it, the block that holds both is new:
 *
 *     +------+----------+--------+
 *     |      |   free   |        |     A: a section of full width
 *     |  A   +----+-----+  free  |     B, C: strips of the next section,
 *     |      | C  |     |        |     C trimmed: its rest is free too
 *     |      +----+-----+        |
 *     |      |    B     |        |
 *     +------+----------+--------+
 *
 * This is the "three-stage" pattern of Gilmore and Gomory (1965), one stage
 * deeper. Rivals: maximal rectangles pack sheets tighter but give patterns
 * that no saw can cut; column generation is better for long runs of few
 * sizes, which small projects have not. Search over orders is in search.c.
 */
#include "plan/plan_internal.h"

#include <assert.h>
#include <float.h>
#include <math.h>

#define DEEPEST 3   // block of which pieces may still be cut

Cutting cutting_new(Ctx *c, const Job *job) {
    Cutting cut = { 0 };

    cut.blocks = NEW_N(c, Block, 3 * job->pieces + 1);
    cut.boards = NEW_N(c, Board, job->pieces + 1);
    cut.left   = NEW_N(c, int, job->wants.n);
    cut.spare  = NEW_N(c, int, job->wants.n);
    return cut;
}

/* Constants of Numerical Recipes' quick generator; its high bits are good
 * enough to shuffle with. */
int chance_next(uint32_t *chance, int below) {
    *chance = *chance * 1664525u + 1013904223u;
    return (int)((*chance >> 8) % (uint32_t)below);
}

/* ---- Blocks ---- */

/* A block's size along the line on which its children follow each other,
 * and across it. */
static double span(const Block *b)   { return b->rip ? b->width : b->length; }
static double across(const Block *b) { return b->rip ? b->length : b->width; }

static int new_block(Cutting *cut, bool rip, int depth, double length,
                     double width) {
    int    i = cut->n_blocks++;
    Block *b = &cut->blocks[i];

    *b = (Block){ .want = -1, .rip = rip, .depth = depth, .length = length,
                  .width = width, .first = -1, .last = -1, .next = -1 };
    return i;
}

static void add_child(const Job *job, Cutting *cut, int parent, int child) {
    Block       *b  = &cut->blocks[parent];
    const Block *ch = &cut->blocks[child];

    if (b->last < 0)
        b->first = child;
    else
        cut->blocks[b->last].next = child;
    b->last = child;
    b->free_at += (b->rip ? ch->width : ch->length) + job->kerf;
}

static int new_piece(const Job *job, Cutting *cut, int want, int depth) {
    const Want *w = &job->wants.at[want];
    int         i = new_block(cut, false, depth, w->length, w->width);

    cut->blocks[i].want = want;
    return i;
}

/* Cuts the wanted piece from the free part of a block. */
void cutting_put(const Job *job, Cutting *cut, int parent, int want) {
    Block       b    = cut->blocks[parent];
    const Want *w    = &job->wants.at[want];
    double      wide = b.rip ? w->length : w->width;
    int         holder;

    if (wide >= across(&b) - SLACK_MM) {
        add_child(job, cut, parent, new_piece(job, cut, want, b.depth + 1));
        return;
    }
    holder = b.rip ? new_block(cut, false, b.depth + 1, b.length, w->width)
                   : new_block(cut, true, b.depth + 1, w->length, b.width);
    add_child(job, cut, parent, holder);
    add_child(job, cut, holder, new_piece(job, cut, want, b.depth + 2));
}

int cutting_board(const Job *job, Cutting *cut, int offer, bool rip) {
    const Offer *o = &job->offers.at[offer];
    int       root = new_block(cut, rip, 0, o->length - job->start, o->width);

    cut->boards[cut->n_boards++] = (Board){ root, offer };
    return root;
}

/* ---- Choosing a place ---- */

typedef struct { double first, second; } Score;   // less is better

static bool is_better(Score a, Score b) {
    if (a.first < b.first - SLACK_MM)
        return true;
    return a.first < b.first + SLACK_MM && a.second < b.second - SLACK_MM;
}

/* False: the piece does not fit into the free part of the block. */
static bool score_place(const Block *b, const Want *w, Fit fit, int nth,
                        Score *score) {
    double along = b->rip ? w->width : w->length;
    double wide  = b->rip ? w->length : w->width;
    double room  = span(b) - b->free_at, beside = across(b) - wide;

    if (b->want >= 0 || along > room + SLACK_MM || beside < -SLACK_MM)
        return false;
    if (beside > SLACK_MM && b->depth >= DEEPEST)
        return false;
    if (fit == FIT_SNUG)
        *score = (Score){ beside * along, room - along };
    else if (fit == FIT_SMALL)
        *score = (Score){ room * across(b), beside };
    else
        *score = (Score){ -nth, 0 };
    return true;
}

static int best_place(const Job *job, const Cutting *cut, int root,
                      int want, Fit fit, long *steps) {
    Score best = { DBL_MAX, DBL_MAX }, score;
    int   place = -1;

    for (int i = root; i < cut->n_blocks; i++) {
        if (!score_place(&cut->blocks[i], &job->wants.at[want], fit, i,
                         &score))
            continue;
        if (place < 0 || is_better(score, best)) {
            best  = score;
            place = i;
        }
    }
    *steps += cut->n_blocks - root;
    return place;
}

/* ---- One board ---- */

typedef struct {
    const Job *job;
    const Way *way;
    Cutting   *cut;
    int       *left;     // of each want
    int       *spare;    // for trying
    uint32_t   chance;
    long      *steps;
} Filling;

/* Puts as many of a want as go (at most `most`) on the newest board. */
static double put_some(Filling *f, int root, int want, int most) {
    const Want *w = &f->job->wants.at[want];
    double      area = 0;

    while (most-- > 0 && f->left[want] > 0) {
        int place = best_place(f->job, f->cut, root, want, f->way->fit,
                               f->steps);
        if (place < 0)
            break;
        cutting_put(f->job, f->cut, place, want);
        f->left[want]--;
        area += w->length * w->width;
    }
    return area;
}

/* Begins a board and fills it; returns the area of its pieces. */
static double fill_board(Filling *f, int offer, bool rip_first) {
    const Job   *job = f->job;
    double       area = 0;
    int          root = cutting_board(job, f->cut, offer, rip_first);

    for (int i = 0; f->way->mixed && i < job->wants.n; i++) {
        int want = f->way->order[i];
        if (f->left[want] > 0)
            area += put_some(f, root, want,
                             chance_next(&f->chance, 1 + f->left[want]));
    }
    for (int i = 0; i < job->wants.n; i++)
        area += put_some(f, root, f->way->order[i], f->job->pieces);
    return area;
}

/* How far the pieces of a block reach from its near-left corner. */
static double reach(const Job *job, const Cutting *cut, int block,
                    bool along_board) {
    const Block *b   = &cut->blocks[block];
    double       far = 0;

    if (b->want >= 0)
        return along_board ? b->length : b->width;
    if (b->first >= 0 && b->rip != along_board)
        return b->free_at - job->kerf;
    for (int i = b->first; i >= 0; i = cut->blocks[i].next) {
        double child = reach(job, cut, i, along_board);
        if (child > far)
            far = child;
    }
    return far;
}

static void resize_block(Cutting *cut, int block, double length,
                         double width) {
    Block *b = &cut->blocks[block];

    if (b->want >= 0)
        return;
    b->length = length;
    b->width  = width;
    for (int i = b->first; i >= 0; i = cut->blocks[i].next) {
        if (b->rip)
            resize_block(cut, i, length, cut->blocks[i].width);
        else
            resize_block(cut, i, cut->blocks[i].length, width);
    }
}

/* Is there one more of an offer, besides the boards before the newest? */
static bool is_there(const Job *job, const Cutting *cut, int offer) {
    int used = 0;

    if (job->offers.at[offer].supply < 0)
        return true;
    for (int i = 0; i + 1 < cut->n_boards; i++)
        used += cut->boards[i].offer == offer;
    return used < job->offers.at[offer].supply;
}

/* Gives the newest board the cheapest size sold that holds its pieces. */
static void shrink_board(const Job *job, Cutting *cut) {
    Board       *board = &cut->boards[cut->n_boards - 1];
    double       x     = job->start + reach(job, cut, board->root, true);
    double       y     = reach(job, cut, board->root, false);
    const Offer *best  = &job->offers.at[board->offer];

    for (int i = 0; i < job->offers.n; i++) {
        const Offer *o = &job->offers.at[i];
        if (o->length < x - SLACK_MM || o->width < y - SLACK_MM
            || !is_there(job, cut, i))
            continue;
        if (o->cost < best->cost - SLACK_MM
            || (o->cost < best->cost + SLACK_MM
                && o->length * o->width < best->length * best->width)) {
            board->offer = i;
            best         = o;
        }
    }
    resize_block(cut, board->root, best->length - job->start, best->width);
}

/* ---- All boards ---- */

/* Tries a board of one offer and takes it back: what a square millimeter
 * of pieces costs on it, or DBL_MAX where none fits. */
static double try_board(Filling *f, int offer, bool rip_first) {
    const Job *job      = f->job;
    size_t     size     = sizeof *f->left * (size_t)job->wants.n;
    int        n_blocks = f->cut->n_blocks;
    uint32_t   chance   = f->chance;
    double     area, cost;

    f->cut->n_boards++;   // the board to come
    if (!is_there(job, f->cut, offer)) {
        f->cut->n_boards--;
        return DBL_MAX;
    }
    f->cut->n_boards--;
    memcpy(f->spare, f->left, size);
    area = fill_board(f, offer, rip_first);
    shrink_board(job, f->cut);
    f->cut->n_boards--;
    cost = job->offers.at[f->cut->boards[f->cut->n_boards].offer].cost;
    f->cut->n_blocks = n_blocks;
    f->chance        = chance;
    memcpy(f->left, f->spare, size);
    return area > 0 ? cost / area : DBL_MAX;
}

/* The way's own offer is tried alone; should nothing that is left fit on
 * it, a second pass tries them all. */
static void next_board(Filling *f) {
    double best = DBL_MAX, cost;
    int    offer = -1;
    bool   rip_first = false;

    for (int pass = 0; pass < 2 && offer < 0; pass++) {
        for (int i = 0; i < 2 * f->job->offers.n; i++) {
            if (pass == 0 && f->way->offer >= 0 && f->way->offer != i / 2)
                continue;
            cost = try_board(f, i / 2, i % 2);
            if (cost < best * (1 - 1e-12)) {
                best      = cost;
                offer     = i / 2;
                rip_first = i % 2;
            }
        }
    }
    assert(offer >= 0);   // cut.c has seen that every piece fits
    (void)fill_board(f, offer, rip_first);
    shrink_board(f->job, f->cut);
}

static int pieces_left(const Filling *f) {
    int n = 0;

    for (int i = 0; i < f->job->wants.n; i++)
        n += f->left[i];
    return n;
}

/* ---- Keeping boards of an earlier cutting ---- */

static int moved(int block, int by) {
    return block < 0 ? block : block + by;
}

static void keep_board(Filling *f, const Cutting *from, int board) {
    Cutting *cut  = f->cut;
    int      root = from->boards[board].root;
    int      end  = board + 1 < from->n_boards
                  ? from->boards[board + 1].root : from->n_blocks;
    int      by   = cut->n_blocks - root;

    cut->boards[cut->n_boards++] =
        (Board){ cut->n_blocks, from->boards[board].offer };
    for (int i = root; i < end; i++) {
        Block b = from->blocks[i];
        if (b.want >= 0)
            f->left[b.want]--;
        b.first = moved(b.first, by);
        b.last  = moved(b.last, by);
        b.next  = moved(b.next, by);
        cut->blocks[cut->n_blocks++] = b;
    }
}

/* Keeps all boards but `redo` of them, which chance picks. */
static void keep_boards(Filling *f, const Cutting *from, int redo) {
    int left = from->n_boards;

    for (int i = 0; i < from->n_boards; i++, left--) {
        if (chance_next(&f->chance, left) < redo)
            redo--;
        else
            keep_board(f, from, i);
    }
}

void cutting_fill(const Job *job, const Way *way, Cutting *cut,
                  long *steps) {
    Filling f = { job, way, cut, cut->left, cut->spare, way->chance, steps };

    cut->n_blocks = cut->n_boards = 0;
    for (int i = 0; i < job->wants.n; i++)
        f.left[i] = job->wants.at[i].count;
    if (way->redo > 0)
        keep_boards(&f, way->from, way->redo);
    while (pieces_left(&f) > 0)
        next_board(&f);
}

/* ---- Judging ---- */

double cutting_cost(const Job *job, const Cutting *cut) {
    double cost = 0;

    for (int i = 0; i < cut->n_boards; i++)
        cost += job->offers.at[cut->boards[i].offer].cost;
    return cost;
}

double cutting_leftover(const Cutting *cut) {
    double largest = 0;

    for (int i = 0; i < cut->n_blocks; i++) {
        const Block *b    = &cut->blocks[i];
        double       area = (span(b) - b->free_at) * across(b);
        if (b->want < 0 && area > largest)
            largest = area;
    }
    return largest;
}

/* Is there an earlier block that is cut off with the same setting? */
static bool is_set(const Cutting *cut, int child, bool rip) {
    double size = rip ? cut->blocks[child].width : cut->blocks[child].length;

    for (int i = 0; i < cut->n_blocks; i++) {
        const Block *b = &cut->blocks[i];
        for (int k = b->rip == rip ? b->first : -1; k >= 0;
             k = cut->blocks[k].next) {
            double other = rip ? cut->blocks[k].width : cut->blocks[k].length;
            if (k < child && fabs(other - size) < SLACK_MM)
                return true;
        }
    }
    return false;
}

int cutting_settings(const Cutting *cut) {
    int n = 0;

    for (int i = 0; i < cut->n_blocks; i++) {
        const Block *b = &cut->blocks[i];
        for (int k = b->first; k >= 0; k = cut->blocks[k].next)
            n += !is_set(cut, k, b->rip);
    }
    return n;
}

/* ---- Order ---- */

/* True if child block a is cut before b: pieces that need no further cut
 * first, then the larger. */
static bool goes_before(const Cutting *cut, const Block *a, const Block *b,
                        bool rip) {
    double size_a = rip ? a->width : a->length;
    double size_b = rip ? b->width : b->length;

    if ((a->want >= 0) != (b->want >= 0))
        return a->want >= 0;
    if (fabs(size_a - size_b) > SLACK_MM)
        return size_a > size_b;
    if (a->want >= 0)
        return a->want < b->want;
    return cut->blocks[a->first].want < cut->blocks[b->first].want;
}

/* Insertion into a list that is sorted already: stable, and boards have
 * few children. */
static int insert_sorted(Cutting *cut, int list, int block, bool rip) {
    int *link = &list;

    while (*link >= 0
           && !goes_before(cut, &cut->blocks[block], &cut->blocks[*link],
                           rip))
        link = &cut->blocks[*link].next;
    cut->blocks[block].next = *link;
    *link                   = block;
    return list;
}

static void sort_block(Cutting *cut, int block) {
    Block *b = &cut->blocks[block];
    int    sorted = -1, next;

    for (int i = b->first; i >= 0; i = next) {
        next = cut->blocks[i].next;
        sort_block(cut, i);
        sorted = insert_sorted(cut, sorted, i, b->rip);
    }
    b->first = b->last = sorted;
    while (b->last >= 0 && cut->blocks[b->last].next >= 0)
        b->last = cut->blocks[b->last].next;
}

void cutting_sort(Cutting *cut) {
    for (int i = 0; i < cut->n_boards; i++)
        sort_block(cut, cut->boards[i].root);
}

static bool blocks_alike(const Cutting *cut, int a, int b) {
    const Block *p = &cut->blocks[a], *q = &cut->blocks[b];
    int          i = p->first, j = q->first;

    if (p->want != q->want || p->rip != q->rip
        || fabs(p->length - q->length) > SLACK_MM
        || fabs(p->width - q->width) > SLACK_MM)
        return false;
    while (i >= 0 && j >= 0 && blocks_alike(cut, i, j)) {
        i = cut->blocks[i].next;
        j = cut->blocks[j].next;
    }
    return i < 0 && j < 0;
}

bool boards_alike(const Cutting *cut, const Board *a, const Board *b) {
    return a->offer == b->offer && blocks_alike(cut, a->root, b->root);
}
