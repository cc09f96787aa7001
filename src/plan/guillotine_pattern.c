/* guillotine_pattern -- one sheet's cuts as a list of numbers.
 *
 *     +-----+---+
 *     |  5  | 3 |     CODE_UPRIGHT, CODE_LEVEL, 4, 5, 3
 *     +-----+---+
 *     |  4  |         a cut comes before what lies on both sides of it
 *     +-----+
 *
 * Patterns outlive the tree or the raster they come from. What is too much
 * in one is left out when it is used again, and the rest moves together.
 */
#include "plan/guillotine_internal.h"

typedef struct { int64_t w, h; } Size;

static bool is_part(int code) {
    return code >= 0;
}

static int64_t larger(int64_t a, int64_t b) {
    return a > b ? a : b;
}

/* The size of what begins at *at, which then stands behind it. */
static Size size_of(const Rects *r, const int *code, int *at) {
    int  what = code[(*at)++];
    Size a, b;

    if (is_part(what)) {
        const SheetPart *p = &r->parts[what / 2];
        return what % 2 ? (Size){ p->h, p->w } : (Size){ p->w, p->h };
    }
    if (what == CODE_FREE)
        return (Size){ 0, 0 };
    a = size_of(r, code, at);
    b = size_of(r, code, at);
    return what == CODE_UPRIGHT ? (Size){ a.w + b.w, larger(a.h, b.h) }
                                : (Size){ larger(a.w, b.w), a.h + b.h };
}

/* ---- Leaving out ---- */

/* Copies what begins at *at without free places and without parts of which
 * none is left; false: nothing remains. */
static bool keep(Ctx *c, const int *code, int *at, int *left, Code *kept) {
    int  what = code[(*at)++], cut = kept->n;
    bool a, b;

    if (what == CODE_FREE || (is_part(what) && left[what / 2] == 0))
        return false;
    *PUSH(c, kept) = what;
    if (is_part(what)) {
        left[what / 2]--;
        return true;
    }
    a = keep(c, code, at, left, kept);
    b = keep(c, code, at, left, kept);
    if (a && b)
        return true;
    kept->n--;
    memmove(kept->at + cut, kept->at + cut + 1,
            sizeof *kept->at * (size_t)(kept->n - cut));
    return a || b;
}

void code_keep(Ctx *c, const int *code, int *left, Code *kept) {
    int at = 0;

    kept->n = 0;
    (void)keep(c, code, &at, left, kept);
}

/* ---- Into a tree, and out of it ---- */

/* The free node that is left when one has been made as small as a size. */
static int trim(Tree *t, int node, Size size) {
    const TreeNode *n = &t->nodes[node];
    bool            upright = (double)(n->w - size.w) * (double)n->h
                            > (double)n->w * (double)(n->h - size.h);

    for (int cut = 0; cut < 2; cut++, upright = !upright) {
        if (upright ? size.w < t->nodes[node].w : size.h < t->nodes[node].h)
            node = tree_split(t, node, upright,
                              upright ? size.w : size.h, NULL);
    }
    return node;
}

static void put(const Rects *r, Tree *t, int node, const int *code,
                int *at) {
    int  what = code[*at], ahead = *at, rest;
    Size size = size_of(r, code, &ahead), first;

    node = trim(t, node, size);
    (*at)++;
    if (is_part(what)) {
        tree_place(r, t, node, what / 2, what % 2, false);
        return;
    }
    ahead = *at;
    first = size_of(r, code, &ahead);
    node  = tree_split(t, node, what == CODE_UPRIGHT,
                       what == CODE_UPRIGHT ? first.w : first.h, &rest);
    put(r, t, node, code, at);
    put(r, t, rest, code, at);
}

void tree_put(const Rects *r, Tree *t, int kind, const Code *code) {
    int at = 0;

    if (code->n > 0)
        put(r, t, tree_open(r, t, kind), code->at, &at);
}

void tree_code(Ctx *c, const Tree *t, int node, Code *code) {
    const TreeNode *n = &t->nodes[node];

    if (n->what >= 0)
        *PUSH(c, code) = 2 * n->what + n->turned;
    else if (n->what == NODE_FREE)
        *PUSH(c, code) = CODE_FREE;
    else {
        for (int i = n->first; i >= 0; i = t->nodes[i].next) {
            if (t->nodes[i].next >= 0)
                *PUSH(c, code) = n->upright ? CODE_UPRIGHT : CODE_LEVEL;
            tree_code(c, t, i, code);
        }
    }
}
