/* guillotine_tree -- sheets as trees of cuts that parts are put into and
 * taken out of.
 *
 * A part goes into a free rectangle by at most two cuts, of which either
 * may come first:
 *
 *     upright first           level first
 *     +------+---------+      +----------------+
 *     | free |         |      |      free      |
 *     +------+  free   |      +------+---------+
 *     | part |         |      | part |  free   |
 *     +------+---------+      +------+---------+
 *
 * What is taken out becomes free and grows together with the free rectangle
 * beside it, since children of one node may change places. So a hole is
 * never split by cuts that no longer divide anything. The tree is that of
 * Gardeyn and Wauters (2022).
 */
#include "plan/guillotine_internal.h"

#include <assert.h>

void tree_init(Ctx *c, const Rects *r, Tree *t) {
    int most = r->most_nodes;

    *t = (Tree){ .spare = -1 };
    t->nodes = NEW_N(c, TreeNode, most);
    t->frees = NEW_N(c, int, most);
    t->free_w = NEW_N(c, double, most);
    t->free_h = NEW_N(c, double, most);
    t->roots = NEW_N(c, int, r->pieces + 2);
    t->kinds = NEW_N(c, int, r->pieces + 2);
    t->left  = NEW_N(c, int, r->n_parts);
    t->used  = NEW_N(c, int, r->n_kinds);
    tree_clear(r, t);
}

void tree_clear(const Rects *r, Tree *t) {
    t->n_nodes = t->n_frees = t->n_sheets = 0;
    t->spare   = -1;
    t->cost    = 0;
    t->missing = 0;
    for (int i = 0; i < r->n_kinds; i++)
        t->used[i] = 0;
    for (int i = 0; i < r->n_parts; i++) {
        const SheetPart *p = &r->parts[i];
        t->left[i] = p->count;
        t->missing += (double)p->w * (double)p->h * p->count;
    }
}

static void copy(void *to, const void *from, size_t size, int n) {
    if (n > 0)
        memcpy(to, from, size * (size_t)n);
}

void tree_copy(const Rects *r, Tree *to, const Tree *from) {
    copy(to->nodes, from->nodes, sizeof *to->nodes, from->n_nodes);
    copy(to->frees, from->frees, sizeof *to->frees, from->n_frees);
    copy(to->free_w, from->free_w, sizeof *to->free_w, from->n_frees);
    copy(to->free_h, from->free_h, sizeof *to->free_h, from->n_frees);
    copy(to->roots, from->roots, sizeof *to->roots, from->n_sheets);
    copy(to->kinds, from->kinds, sizeof *to->kinds, from->n_sheets);
    copy(to->left, from->left, sizeof *to->left, r->n_parts);
    copy(to->used, from->used, sizeof *to->used, r->n_kinds);
    to->n_nodes  = from->n_nodes;
    to->spare    = from->spare;
    to->n_frees  = from->n_frees;
    to->n_sheets = from->n_sheets;
    to->cost     = from->cost;
    to->missing  = from->missing;
}

/* ---- Nodes ---- */

static int new_node(Tree *t, int64_t w, int64_t h, int up) {
    int i = t->spare;

    if (i >= 0)
        t->spare = t->nodes[i].next;
    else
        i = t->n_nodes++;
    t->nodes[i] = (TreeNode){ .w = w, .h = h, .what = NODE_CUT, .up = up,
                              .prev = -1, .next = -1, .first = -1,
                              .slot = -1 };
    return i;
}

static void set_slot(Tree *t, int slot, int node) {
    t->nodes[node].slot = slot;
    t->frees[slot]  = node;
    t->free_w[slot] = (double)t->nodes[node].w;
    t->free_h[slot] = (double)t->nodes[node].h;
}

void tree_free(Tree *t, int i) {
    t->nodes[i].what  = NODE_FREE;
    t->nodes[i].first = -1;
    set_slot(t, t->n_frees++, i);
}

static void unfree(Tree *t, int i) {
    set_slot(t, t->nodes[i].slot, t->frees[--t->n_frees]);
    t->nodes[i].slot     = -1;
    t->nodes[i].what     = NODE_CUT;
}

static void add_first(Tree *t, int up, int child) {
    TreeNode *n = &t->nodes[child];

    n->up   = up;
    n->prev = -1;
    n->next = t->nodes[up].first;
    if (n->next >= 0)
        t->nodes[n->next].prev = child;
    t->nodes[up].first = child;
}

static void detach(Tree *t, int child) {
    TreeNode *n = &t->nodes[child];

    if (n->prev >= 0)
        t->nodes[n->prev].next = n->next;
    else
        t->nodes[n->up].first = n->next;
    if (n->next >= 0)
        t->nodes[n->next].prev = n->prev;
}

static void release(Tree *t, int i) {
    t->nodes[i].what = NODE_CUT;
    t->nodes[i].next = t->spare;
    t->nodes[i].first = -1;
    t->nodes[i].up   = -2;          // in the chain
    t->spare         = i;
}

/* ---- Sheets ---- */

int tree_sheet(const Rects *r, Tree *t, int kind) {
    const SheetKind *k = &r->kinds[kind];
    int              root = new_node(t, k->w, k->h, -1);

    t->roots[t->n_sheets]   = root;
    t->kinds[t->n_sheets++] = kind;
    t->used[kind]++;
    t->cost += k->price;
    return root;
}

int tree_open(const Rects *r, Tree *t, int kind) {
    int root = tree_sheet(r, t, kind);

    tree_free(t, root);
    return root;
}

int tree_child(Tree *t, int up, int64_t w, int64_t h) {
    int child = new_node(t, w, h, up);

    add_first(t, up, child);
    return child;
}

static void drop_sheet(const Rects *r, Tree *t, int sheet) {
    int kind = t->kinds[sheet];

    t->used[kind]--;
    t->cost -= r->kinds[kind].price;
    t->n_sheets--;
    t->roots[sheet] = t->roots[t->n_sheets];
    t->kinds[sheet] = t->kinds[t->n_sheets];
}

void tree_close(const Rects *r, Tree *t, int sheet) {
    tree_remove(r, t, t->roots[sheet]);
}

/* ---- Putting in ---- */

void tree_take(const Rects *r, Tree *t, int node, int part, bool turned) {
    const SheetPart *p = &r->parts[part];

    t->nodes[node].what   = part;
    t->nodes[node].turned = turned;
    t->left[part]--;
    t->missing -= (double)p->w * (double)p->h;
}

/* The strip off a free rectangle; where the free one hangs in a node cut
 * the same way, it only gets smaller. Returns the strip, still plain. */
static int cut_strip(Tree *t, int free, bool upright, int64_t size) {
    TreeNode *n  = &t->nodes[free];
    int       up = n->up, rest;
    int64_t   w = n->w, h = n->h;

    if (up >= 0 && t->nodes[up].upright == upright) {
        if (upright)
            n->w -= size;
        else
            n->h -= size;
        set_slot(t, n->slot, free);
        return tree_child(t, up, upright ? size : w, upright ? h : size);
    }
    unfree(t, free);
    t->nodes[free].upright = upright;
    rest = tree_child(t, free, upright ? w - size : w,
                      upright ? h : h - size);
    tree_free(t, rest);
    return tree_child(t, free, upright ? size : w, upright ? h : size);
}

void tree_place(const Rects *r, Tree *t, int free, int part, bool turned,
                bool upright) {
    int64_t w = turned ? r->parts[part].h : r->parts[part].w;
    int64_t h = turned ? r->parts[part].w : r->parts[part].h;
    int     node = free;

    if (upright ? w == t->nodes[node].w : h == t->nodes[node].h)
        upright = !upright;
    for (int cut = 0; cut < 2; cut++, upright = !upright) {
        if (upright ? w == t->nodes[node].w : h == t->nodes[node].h)
            break;
        if (cut == 1)
            tree_free(t, node);
        node = cut_strip(t, node, upright, upright ? w : h);
    }
    if (node == free)
        unfree(t, node);
    tree_take(r, t, node, part, turned);
}

int tree_split(Tree *t, int free, bool upright, int64_t size,
               int *rest) {
    int strip = cut_strip(t, free, upright, size);

    tree_free(t, strip);
    if (rest)
        *rest = t->nodes[free].what == NODE_FREE ? free
                                                 : t->nodes[strip].next;
    return strip;
}

/* ---- Taking out ---- */

static void take_out(const Rects *r, Tree *t, int node) {
    TreeNode *n = &t->nodes[node];

    if (n->what >= 0) {
        t->left[n->what]++;
        t->missing += (double)n->w * (double)n->h;
    } else if (n->what == NODE_FREE) {
        unfree(t, node);
    } else {
        for (int i = n->first, next; i >= 0; i = next) {
            next = t->nodes[i].next;
            take_out(r, t, i);
            release(t, i);
        }
    }
}

static int free_beside(const Tree *t, int node) {
    for (int i = t->nodes[t->nodes[node].up].first; i >= 0;
         i = t->nodes[i].next) {
        if (i != node && t->nodes[i].what == NODE_FREE)
            return i;
    }
    return -1;
}

static int sheet_of(const Tree *t, int root) {
    for (int i = 0; i < t->n_sheets; i++) {
        if (t->roots[i] == root)
            return i;
    }
    assert(false);
    return -1;
}

void tree_remove(const Rects *r, Tree *t, int node) {
    take_out(r, t, node);
    while (t->nodes[node].up >= 0) {
        int up = t->nodes[node].up, other = free_beside(t, node);

        if (other >= 0) {
            if (t->nodes[up].upright)
                t->nodes[node].w += t->nodes[other].w;
            else
                t->nodes[node].h += t->nodes[other].h;
            unfree(t, other);
            detach(t, other);
            release(t, other);
        }
        if (t->nodes[node].prev >= 0 || t->nodes[node].next >= 0) {
            tree_free(t, node);
            return;
        }
        release(t, node);
        t->nodes[up].first = -1;
        node = up;
    }
    drop_sheet(r, t, sheet_of(t, node));
    release(t, node);
}

double tree_largest(const Tree *t) {
    double largest = 0;

    for (int i = 0; i < t->n_frees; i++) {
        double area = t->free_w[i] * t->free_h[i];
        if (area > largest)
            largest = area;
    }
    return largest;
}

/* ---- Settings ---- */

static int64_t strip_size(const Tree *t, int node) {
    const TreeNode *n = &t->nodes[node];

    if (n->up < 0 || n->what == NODE_FREE)
        return 0;
    return t->nodes[n->up].upright ? n->w : n->h;
}

static bool is_in_use(const Tree *t, int node) {
    const TreeNode *n = &t->nodes[node];

    return n->what != NODE_CUT || n->first >= 0;
}

int tree_settings(const Tree *t) {
    int n = 0;

    for (int i = 0; i < t->n_nodes; i++) {
        int64_t size = is_in_use(t, i) ? strip_size(t, i) : 0;
        bool    seen = size == 0;
        for (int k = 0; k < i && !seen; k++)
            seen = is_in_use(t, k) && strip_size(t, k) == size;
        n += !seen;
    }
    return n;
}
