/* fastener_size -- what a fastener is and how thick, from the words and
 * the trade size that a store uses.
 *
 * Wood screws: D = 0.060 + 0.013 n in (ASME B18.6.1, trade-figures 5.2).
 * Common nails: ASTM F1667, Wood Handbook FPL-GTR-282 Table 8-1 from 6d
 * up; the smaller ones and all box and finish nails from memory. Brads and
 * pins: steel wire gauge (trade-figures 5.1).
 */
#include "model/model_internal.h"

#include <ctype.h>

#define INCH 25.4

static const char *const drive_words[] = {   // ORDER DRIVE, SCHEMA-ENUM drive
    "none", "nail", "pin", "staple", "screw", "pocket screw", "dowel", NULL
};

/* Does the text hold the word, at the beginning of a word of its own? */
static bool says(Str text, const char *word) {
    size_t n = strlen(word);

    for (size_t i = 0; i + n <= text.n; i++) {
        if (memcmp(text.s + i, word, n) == 0
            && (i == 0 || !isalpha((unsigned char)text.s[i - 1])))
            return true;
    }
    return false;
}

static Drive drive_of(Str kind) {
    if (says(kind, "pocket screw"))
        return DRIVE_POCKET;
    if (says(kind, "screw"))
        return says(kind, "eye") || says(kind, "hook") ? DRIVE_NONE
                                                       : DRIVE_SCREW;
    if (says(kind, "brad") || says(kind, "nail"))
        return DRIVE_NAIL;
    if (says(kind, "dowel pin"))
        return DRIVE_DOWEL;
    if (says(kind, "pin"))
        return DRIVE_PIN;
    return says(kind, "staple") ? DRIVE_STAPLE : DRIVE_NONE;
}

/* ---- Trade sizes ---- */

typedef struct { int size; double inches; } Trade;

static const Trade wire[] = {   // gauge of brads and pins
    { 15, .072 }, { 16, .0625 }, { 18, .0475 }, { 23, .025 }
};
static const Trade common[] = {   // penny
    { 2, .072 }, { 3, .080 }, { 4, .099 }, { 6, .113 }, { 8, .131 },
    { 10, .148 }, { 12, .148 }, { 16, .162 }, { 20, .192 }, { 30, .207 },
    { 40, .225 }, { 60, .263 }
};
static const Trade box[] = {
    { 4, .080 }, { 6, .099 }, { 8, .113 }, { 10, .128 }, { 12, .128 },
    { 16, .135 }, { 20, .148 }, { 30, .148 }, { 40, .162 }
};
static const Trade finish[] = {   // from memory
    { 3, .0625 }, { 4, .072 }, { 6, .0915 }, { 8, .099 }, { 10, .113 },
    { 16, .120 }
};
static const Trade penny_length[] = {
    { 2, 1 }, { 3, 1.25 }, { 4, 1.5 }, { 6, 2 }, { 8, 2.5 }, { 10, 3 },
    { 12, 3.25 }, { 16, 3.5 }, { 20, 4 }, { 30, 4.5 }, { 40, 5 }, { 60, 6 }
};

static double trade(const Trade *t, int n, int size) {
    for (int i = 0; i < n; i++) {
        if (t[i].size == size)
            return t[i].inches * INCH;
    }
    return 0;
}

#define TRADE(table, size) trade(table, COUNT(table), size)

/* "no. 8", "#8", "18 ga", "6d": the number, and the word behind it. */
static int gauge_number(Str gauge, Str *after) {
    size_t i = 0;
    int    n = 0;

    while (i < gauge.n && !isdigit((unsigned char)gauge.s[i]))
        i++;
    for (; i < gauge.n && isdigit((unsigned char)gauge.s[i]); i++)
        n = n < 1000 ? n * 10 + (gauge.s[i] - '0') : n;
    *after = str_trim(str_part(gauge, i, gauge.n));
    return n;
}

double fastener_shank(Drive drive, Str kind, Str gauge) {
    Str after;
    int n = gauge_number(gauge, &after);

    if (!gauge.n || drive == DRIVE_NONE || drive == DRIVE_DOWEL)
        return 0;
    if (drive == DRIVE_SCREW || drive == DRIVE_POCKET)
        return n <= 24 ? (0.060 + 0.013 * n) * INCH : 0;
    if (!str_is(after, "d"))
        return TRADE(wire, n);
    if (says(kind, "finish"))
        return TRADE(finish, n);
    return says(kind, "box") ? TRADE(box, n) : TRADE(common, n);
}

double penny_inches(Str gauge) {
    Str after;
    int n = gauge_number(gauge, &after);

    return str_is(after, "d") ? TRADE(penny_length, n) / INCH : 0;
}

/* A nail of which only the length is known is taken for the penny size of
 * that length, or the next shorter one. */
static double shank_by_length(const Hardware *h) {
    double inches = h->length.real / INCH;
    int    penny  = 0;

    if (h->drive != DRIVE_NAIL || says(h->kind, "brad") || h->gauge.n)
        return 0;
    for (int i = 0; i < COUNT(penny_length); i++) {
        if (penny_length[i].inches <= inches + 1e-6)
            penny = penny_length[i].size;
    }
    for (; penny > 2; penny--) {   // not every table has all sizes
        double d = says(h->kind, "finish") ? TRADE(finish, penny)
                 : says(h->kind, "box")    ? TRADE(box, penny)
                                           : TRADE(common, penny);
        if (d > 0)
            return d;
    }
    return 0;
}

/* Heads of screws and common nails are about twice as wide as the shank,
 * those of brads and finish nails hardly wider (common practice, no
 * published source). */
static double usual_head(const Hardware *h) {
    if (h->drive == DRIVE_PIN || h->drive == DRIVE_DOWEL)
        return h->shank;
    if (h->drive == DRIVE_NAIL
        && (says(h->kind, "brad") || says(h->kind, "finish")))
        return 1.4 * h->shank;
    return 2 * h->shank;
}

void size_fastener(Build *b, const Node *node, Hardware *h) {
    const Node *head = node_find(node, "head");
    Quantity    none = quantity_exact(0, 1, DIM_LENGTH), q;
    double      penny;

    h->drive = (Drive)node_choice(b->c, node, "drive", drive_words,
                                  (int)drive_of(h->kind));
    penny = h->drive == DRIVE_NAIL ? penny_inches(h->gauge) : 0;
    if (!h->length.poison && h->length.real <= 0 && penny > 0)
        h->length = quantity_inches((int64_t)(penny * 4 + .5), 4);
    h->shank = h->diameter.poison ? 0 : h->diameter.real;
    if (h->shank <= 0)
        h->shank = fastener_shank(h->drive, h->kind, h->gauge);
    if (h->shank <= 0)
        h->shank = shank_by_length(h);
    h->head_width = usual_head(h);
    q = eval_member(b->c, b->s, "", node, "head", DIM_LENGTH, none);
    if (head && !q.poison && q.real < h->shank)
        report(b->c, head->loc, OUT_OF_RANGE,
               "the head of '%.*s' is %.*s wide, its shank %.*s",
               STR_ARG(h->key), STR_ARG(size_text(b, q)),
               STR_ARG(mm_text(b, h->shank)));
    else if (head && !q.poison)
        h->head_width = q.real;
}

/* ---- How the author wants them placed ---- */

static Quantity place_member(Build *b, const Node *node, const char *key) {
    const Node *given = node_find(node, key);
    Quantity    none  = quantity_exact(0, 1, DIM_LENGTH);
    Quantity    q     = eval_member(b->c, b->s, "", node, key, DIM_LENGTH,
                                    none);

    if (!given || q.poison)
        return none;
    if (q.real > 0)
        return q;
    report(b->c, given->loc, OUT_OF_RANGE,
           "\"%s\" must be more than nothing, not %.*s", key,
           STR_ARG(size_text(b, q)));
    return none;
}

void read_placing(Build *b, const Node *node, Fix *fix) {
    static const char *const spaced[] = {   // SCHEMA-ENUM spaced
        "from the ends", "in bays", NULL
    };
    const Node *through = node_text(b->c, node, "through");

    if (through)
        (void)pieces_called(b, through, (Ints *)(void *)&fix->through);
    fix->bays      = node_choice(b->c, node, "spaced", spaced, 0) == 1;
    fix->from_ends = place_member(b, node, "from ends");
    fix->from_edge = place_member(b, node, "from edge");
    fix->lines     = eval_count(b->c, b->s, "", node, "lines", 0, 1, 2);
    for (int i = 0; i < fix->through.n; i++) {
        int  k      = fix->through.at[i];
        bool joined = false;
        for (int j = 0; j < fix->pieces.n; j++)
            joined |= fix->pieces.at[j] == k;
        for (int j = 0; j < fix->to.n; j++)
            joined |= fix->to.at[j] == k;
        if (joined)
            continue;
        report(b->c, through->loc, STEP_NO_PIECE,
               "'%.*s' is none of the pieces that are joined here",
               STR_ARG(b->m->pieces.at[k].name));
        hint(b->c, "\"through\" names the piece that has the heads: one "
             "that stands under \"join\"");
        return;
    }
}
