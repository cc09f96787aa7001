/* long -- texts that no page holds.
 *
 * Every text of a design may end up in a booklet, as one paragraph; a file
 * of megabytes must not become lines that leave the paper.
 */
#include "model/model_internal.h"

#define LONGEST_KEY 120   // characters, as of a label

static int characters(Str s) {
    int n = 0;

    for (size_t at = 0; at < s.n; n++)
        utf8_next(s, &at);
    return n;
}

void check_long(Build *b, const Node *node) {
    int key  = characters(node->key);
    int text = node->kind == NODE_TEXT ? characters(node->text) : 0;

    if (key > LONGEST_KEY) {
        report(b->c, node->key_loc, OUT_OF_RANGE,
               "this key has %d characters, but may have %d at most", key,
               LONGEST_KEY);
        hint(b->c, "give it a shorter name");
    }
    if (text > LONGEST_TEXT) {
        report(b->c, node->loc, OUT_OF_RANGE,
               "this text has %d characters, but may have %d at most", text,
               LONGEST_TEXT);
        hint(b->c, "shorten it, or write a list of texts where one may "
                   "stand");
    }
    for (const Node *n = node->first; n; n = n->next)
        check_long(b, n);
}
