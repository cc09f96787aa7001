/* align -- which page of the booklet is which.
 *
 * One page dropped or slipped in must give one finding, not hundreds. The
 * numerals of every page, regardless of place, are compared with those
 * that should stand there, and the pages are aligned as texts are in a
 * comparison of two versions: the longest common subsequence, by dynamic
 * programming, weighted by how many numerals two pages share.
 */
#include "proof/proof_internal.h"

#define SLACK 16   // pages that the alignment may stray beyond the excess

typedef LIST(uint64_t) Keys;

/* FNV-1a; equal numerals have equal keys, and a chance collision costs
 * nothing but a wrong count. */
static uint64_t key_of(Str s) {
    uint64_t key = 14695981039346656037u;

    for (size_t i = 0; i < s.n; i++)
        key = (key ^ (unsigned char)s.s[i]) * 1099511628211u;
    return key;
}

static void add_keys(Ctx *c, Keys *keys, const Line *line) {
    int  at = 0;
    Span s;

    while (numeral_next(line->chars.at, line->chars.n, &at, &s)) {
        Str text = numeral_normal(c, line->chars.at + s.from, s.to - s.from);
        *PUSH(c, keys) = key_of(text);
    }
}

static int by_key(const void *pa, const void *pb, const void *with) {
    const uint64_t *a = pa, *b = pb;

    (void)with;
    return (*a > *b) - (*a < *b);
}

static void sort_keys(Ctx *c, Keys *keys) {
    list_sort(c, keys->at, keys->n, sizeof *keys->at, by_key, NULL);
}

static Keys *expected_keys(Ctx *c, const Expected *should) {
    Keys *keys = NEW_N(c, Keys, should->pages + 1);

    for (int i = 0; i < should->claims.n; i++) {
        const Claim *claim = &should->claims.at[i];
        Line         text;
        if (claim->page < 0 || claim->page >= should->pages)
            continue;
        text = numeral_chars(c, claim->shown);
        add_keys(c, &keys[claim->page], &text);
    }
    for (int i = 0; i < should->pages; i++)
        sort_keys(c, &keys[i]);
    return keys;
}

static Keys *read_keys(Ctx *c, const ReadBook *b) {
    Keys *keys = NEW_N(c, Keys, b->pages.n + 1);

    for (int i = 0; i < b->pages.n; i++) {
        const Lines *lines = &b->pages.at[i].lines;
        for (int k = 0; k < lines->n; k++)
            add_keys(c, &keys[i], &lines->at[k]);
        sort_keys(c, &keys[i]);
    }
    return keys;
}

/* How many keys two sorted lists share. */
static int shared(const Keys *a, const Keys *b) {
    int i = 0, k = 0, n = 0;

    while (i < a->n && k < b->n) {
        if (a->at[i] == b->at[k]) {
            n++;
            i++;
            k++;
        } else if (a->at[i] < b->at[k]) {
            i++;
        } else {
            k++;
        }
    }
    return n;
}

/* ---- Alignment ---- */

typedef struct {
    const Keys *should, *read;
    int  rows, columns;   // pages that should be, pages read
    int *best;            // (rows + 1) x (columns + 1), from the end
} Table;

static int *best_at(const Table *t, int i, int k) {
    return &t->best[(size_t)i * (size_t)(t->columns + 1) + (size_t)k];
}

/* Two pages are never worth less together than apart, so that a page on
 * which nothing is right is still proofed as that page. */
static int worth(const Table *t, int i, int k) {
    int excess = abs(t->rows - t->columns);

    if (abs(i - k) > excess + SLACK)
        return 1;
    return 1 + 2 * shared(&t->should[i], &t->read[k]);
}

static void fill(Table *t) {
    for (int i = t->rows - 1; i >= 0; i--) {
        for (int k = t->columns - 1; k >= 0; k--) {
            int both = worth(t, i, k) + *best_at(t, i + 1, k + 1);
            int skip = *best_at(t, i + 1, k);
            if (*best_at(t, i, k + 1) > skip)
                skip = *best_at(t, i, k + 1);
            *best_at(t, i, k) = both >= skip ? both : skip;
        }
    }
}

static void trace(const Table *t, int *read_of) {
    int i = 0, k = 0;

    while (i < t->rows && k < t->columns) {
        int best = *best_at(t, i, k);
        if (best == worth(t, i, k) + *best_at(t, i + 1, k + 1))
            read_of[i++] = k++;
        else if (best == *best_at(t, i + 1, k))
            i++;
        else
            k++;
    }
}

/* With as many pages as there should be, page for page is believed unless
 * another order is better by over half a page's numerals: pages may be
 * swapped, but a few wrong numerals must not shift them. */
static bool is_in_order(const Table *t) {
    int straight = 0;

    if (t->rows != t->columns)
        return false;
    for (int i = 0; i < t->rows; i++)
        straight += worth(t, i, i);
    return *best_at(t, 0, 0) - straight
        <= 3 + *best_at(t, 0, 0) / (2 * t->rows + 1);
}

const int *align_pages(Ctx *c, const ReadBook *b, const Expected *should) {
    int  *read_of = NEW_N(c, int, should->pages + 1);
    Table t = { expected_keys(c, should), read_keys(c, b), should->pages,
                b->pages.n, NULL };

    t.best = arena_take(&c->arena, sizeof(int) * (size_t)(t.rows + 1)
                                       * (size_t)(t.columns + 1));
    fill(&t);
    for (int i = 0; i < t.rows; i++)
        read_of[i] = -1;
    if (is_in_order(&t)) {
        for (int i = 0; i < t.rows; i++)
            read_of[i] = i;
    } else {
        trace(&t, read_of);
    }
    return read_of;
}
