/* trace_uses -- where in the design a name is used, apart from the sizes:
 * in features, pieces, courses, steps and texts. */
#include "rodbook/trace.h"

static bool holds(const Node *node, const Node *other) {
    return node->loc.file == other->loc.file
        && node->loc.begin <= other->loc.begin
        && other->loc.end <= node->loc.end;
}

/* "parts A features 1 hole at 2": the keys on the way to a node; items of a
 * list by their name, if they have one, or their number. */
static void add_way(Buf *out, const Node *node, const Node *to) {
    int number = 0;

    for (const Node *n = node->first; n; n = n->next) {
        const Node *as = node_find(n, "as");
        number++;
        if (!holds(n, to))
            continue;
        if (out->n)
            buf_char(out, ' ');
        if (n->key.n)
            buf_str(out, n->key);
        else if (as && as->kind == NODE_TEXT)
            buf_str(out, as->text);
        else
            buf_add(out, "%d", number);
        add_way(out, n, to);
        return;
    }
}

void trace_uses(Trace *t) {
    SizeUses all = { 0 };

    sizes_uses(t->c, t->job.sizes, t->asked, &all);
    for (int i = 0; i < all.n; i++) {
        const Node *node = all.at[i].node;
        TraceUse   *use  = PUSH(t->c, &t->uses);
        Buf         way  = BUF(t->c);
        add_way(&way, t->job.design->root, node);
        use->where   = buf_done(&way);
        use->formula = str_part(node->text, all.at[i].from, all.at[i].to);
        use->loc     = node->loc;
    }
}
