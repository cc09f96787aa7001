/* layout -- writes the boards of a cutting down as places, cuts in order
 * and leftovers.
 *
 * Cuts go level by level: first all cuts through the whole board, from the
 * left, then those through its sections, and so on. A cut is given by the
 * side of the kerf that lies toward the board's left end or near edge: the
 * saw takes away from `at` to `at` + kerf.
 */
#include "plan/plan_internal.h"

#define SMALLEST_LEFTOVER 50.0   // mm both ways; less is not worth keeping

typedef struct { Cut cut; int level; } LeveledCut;

typedef struct {
    Ctx           *c;
    const Job     *job;
    const Cutting *cut;
    Layout        *out;
    LIST(LeveledCut) cuts;
    double         area;     // of the pieces
} Writing;

typedef struct { double x, y, length, width; } Rect;

static void add_cut(Writing *w, bool rip, int level, double at, double from,
                    double to) {
    *PUSH(w->c, &w->cuts) = (LeveledCut){
        { .rip = rip, .at = at, .from = from, .to = to }, level };
}

static void add_piece(Writing *w, const Block *b, Rect r) {
    Placed *p = PUSH(w->c, &w->out->placed);

    p->item   = b->want;   // name_pieces puts the item there
    p->x      = r.x;
    p->y      = r.y;
    p->length = b->length;
    p->width  = b->width;
    w->area  += b->length * b->width;
}

static void add_leftover(Writing *w, Rect r) {
    if (r.length >= SMALLEST_LEFTOVER && r.width >= SMALLEST_LEFTOVER)
        *PUSH(w->c, &w->out->leftovers) =
            (Leftover){ r.x, r.y, r.length, r.width };
}

/* The strip of a rectangle that lies from `from` on, `size` wide, along
 * the line on which a block's children follow each other. */
static Rect strip_of(Rect r, bool rip, double from, double size) {
    if (rip)
        return (Rect){ r.x, r.y + from, r.length, size };
    return (Rect){ r.x + from, r.y, size, r.width };
}

static void write_block(Writing *w, int block, Rect r) {
    const Block *b    = &w->cut->blocks[block];
    double       span = b->rip ? r.width : r.length, at = 0;

    if (b->want >= 0) {
        add_piece(w, b, r);
        return;
    }
    for (int i = b->first; i >= 0; i = w->cut->blocks[i].next) {
        const Block *child = &w->cut->blocks[i];
        double       size  = b->rip ? child->width : child->length;

        write_block(w, i, strip_of(r, b->rip, at, size));
        at += size;
        if (at < span - SLACK_MM) {
            if (b->rip)
                add_cut(w, true, b->depth, r.y + at, r.x, r.x + r.length);
            else
                add_cut(w, false, b->depth, r.x + at, r.y, r.y + r.width);
        }
        at += w->job->kerf;
    }
    if (at < span)
        add_leftover(w, strip_of(r, b->rip, at, span - at));
}

static int by_level(const void *a, const void *b, const void *with) {
    (void)with;
    return ((const LeveledCut *)a)->level - ((const LeveledCut *)b)->level;
}

static void write_board(Writing *w, const Board *board) {
    const Job   *job = w->job;
    const Offer *o   = &job->offers.at[board->offer];
    Rect         all = { job->start, 0, o->length - job->start, o->width };

    w->out->stock  = job->stock;
    w->out->sold   = o->sold;
    w->out->length = o->bought;
    w->out->on_hand = o->on_hand >= 0;
    w->out->width  = o->width;
    w->out->copies = 1;
    if (job->trim > 0)
        add_cut(w, false, -1, job->trim, 0, o->width);
    write_block(w, board->root, all);
    list_sort(w->c, w->cuts.at, w->cuts.n, sizeof *w->cuts.at, by_level,
              NULL);
    for (int i = 0; i < w->cuts.n; i++)
        *PUSH(w->c, &w->out->cuts) = w->cuts.at[i].cut;
    w->out->used = w->area / (o->bought * o->width);
}

/* ---- Which item is where ---- */

typedef struct { int nth, taken; } Next;   // of a want's items

/* Puts items for wants, one item after the other, so that boards of one
 * pattern get the same items as far as the counts allow. */
static void name_pieces(const Job *job, const Workplan *p, Next *next,
                        Layout *out) {
    for (int i = 0; i < out->placed.n; i++) {
        int         want = out->placed.at[i].item;
        const Want *w    = &job->wants.at[want];
        Next       *n    = &next[want];

        if (n->taken == p->items.at[w->items.at[n->nth]].count) {
            n->nth++;
            n->taken = 0;
        }
        n->taken++;
        out->placed.at[i].item = w->items.at[n->nth];
    }
}

/* The same pattern is known: only the items may differ. */
static bool same_items(const Layout *a, const Layout *b) {
    for (int i = 0; i < a->placed.n; i++) {
        if (a->placed.at[i].item != b->placed.at[i].item)
            return false;
    }
    return true;
}

/* Writes all boards that are cut like the given one. */
static void write_alike(Ctx *c, const Job *job, const Cutting *cut,
                        int board, bool *written, Next *next, Workplan *p) {
    int first = p->layouts.n;

    for (int i = board; i < cut->n_boards; i++) {
        Layout  layout = { 0 };
        Writing w      = { .c = c, .job = job, .cut = cut, .out = &layout };

        if (written[i]
            || !boards_alike(cut, &cut->boards[board], &cut->boards[i]))
            continue;
        written[i] = true;
        write_board(&w, &cut->boards[i]);
        name_pieces(job, p, next, &layout);
        if (p->layouts.n > first
            && same_items(&p->layouts.at[p->layouts.n - 1], &layout))
            p->layouts.at[p->layouts.n - 1].copies++;
        else
            *PUSH(c, &p->layouts) = layout;
    }
}

static int longest_first(const void *pa, const void *pb, const void *with) {
    const Layout *a = pa, *b = pb;

    (void)with;
    if (a->length < b->length || a->length > b->length)
        return a->length < b->length ? 1 : -1;
    return b->width > a->width ? 1 : b->width < a->width ? -1 : 0;
}

void layout_write(Ctx *c, const Job *job, const Cutting *cut, Workplan *p) {
    bool *written = NEW_N(c, bool, cut->n_boards);
    Next *next    = NEW_N(c, Next, job->wants.n);
    int   first   = p->layouts.n;

    for (int i = 0; i < cut->n_boards; i++) {
        if (!written[i])
            write_alike(c, job, cut, i, written, next, p);
    }
    list_sort(c, p->layouts.at + first, p->layouts.n - first,
              sizeof *p->layouts.at, longest_first, NULL);
}
