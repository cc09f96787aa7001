/* order -- an order of assembly for a design that gives no steps.
 *
 * The project is taken apart in thought and the other way round is the
 * order (reverse peel). Always a whole class of pieces goes at once where
 * it can: all that are left of one part, the mirror images too. Of the
 * classes that have a way out, the one goes first that leaves nothing
 * hanging in the air, then that is highest and farthest from the base by
 * contacts. What is the base, goes last: the piece on
 * the ground with the most contacts on the largest footprint. Where
 * nothing goes by itself, the smallest set of pieces goes as one that has a
 * way out together: a sub-assembly, put together before it goes in.
 *
 * (Guo et al. 2013 order by contact directions and upright stability; beam
 * searches over single pieces find no better steps for makers, who do all
 * alike pieces at once. The weights are our own.)
 */
#include "model/model_internal.h"

#include <math.h>

typedef struct {
    Build    *b;
    Blocking *stand;
    int       base;
    int      *depth;     // contacts from the base to each piece
    int       left;
    double    ground, tall;   // of the project
    double    deepest;
    LIST(Ints) steps;    // last one first
    LIST(bool) as_one;   // of each step: a sub-assembly
} Search;

/* ---- The base ---- */

static int find_base(const Build *b, const Neighbors *near) {
    const Model *m = b->m;
    double       ground = ground_of(m), best = -1;
    int          base = -1;

    for (int i = 0; i < m->pieces.n; i++) {
        const Piece *p = &m->pieces.at[i];
        V3     size = v3_sub(p->box.max, p->box.min);
        double good = (near->begin[i + 1] - near->begin[i] + 1)
                    * size.x * size.y;
        if (p->temporary || p->box.min.z > ground + 1)
            continue;
        if (good > best * (1 + 1e-9)) {
            best = good;
            base = i;
        }
    }
    return base;
}

static void find_depths(Search *s) {
    const Model     *m    = s->b->m;
    const Neighbors *near = blocking_near(s->stand);
    Ints             wait = { 0 };

    s->depth = NEW_N(s->b->c, int, m->pieces.n + 1);
    for (int i = 0; i < m->pieces.n; i++)
        s->depth[i] = -1;
    if (s->base < 0)
        return;
    s->depth[s->base] = 0;
    *PUSH(s->b->c, &wait) = s->base;
    for (int i = 0; i < wait.n; i++) {
        int p = wait.at[i];
        for (int k = near->begin[p]; k < near->begin[p + 1]; k++) {
            const Contact *t = &m->contacts.at[near->item[k]];
            int other = t->a == p ? t->b : t->a;
            if (s->depth[other] >= 0)
                continue;
            s->depth[other] = s->depth[p] + 1;
            s->deepest = fmax(s->deepest, s->depth[other]);
            *PUSH(s->b->c, &wait) = other;
        }
    }
}

/* ---- One class ---- */

typedef struct { Ints pieces; double good; } Choice;

/* What hangs on something that stands, or stands on the ground. */
static bool is_held_up(const Search *s, int piece) {
    const Model     *m    = s->b->m;
    const Neighbors *near = blocking_near(s->stand);

    if (m->pieces.at[piece].box.min.z <= s->ground + 1 || s->left == 1)
        return true;
    for (int k = near->begin[piece]; k < near->begin[piece + 1]; k++) {
        const Contact *t = &m->contacts.at[near->item[k]];
        if (blocking_stands(s->stand, t->a == piece ? t->b : t->a))
            return true;
    }
    return false;
}

/* Those that stand and touched nothing but what is gone. */
static Ints floating_after(const Search *s, const Ints *gone) {
    const Model     *m    = s->b->m;
    const Neighbors *near = blocking_near(s->stand);
    Ints             out  = { 0 };

    for (int i = 0; i < gone->n; i++) {
        int p = gone->at[i];
        for (int k = near->begin[p]; k < near->begin[p + 1]; k++) {
            const Contact *t = &m->contacts.at[near->item[k]];
            int other = t->a == p ? t->b : t->a;
            if (blocking_stands(s->stand, other) && !is_held_up(s, other)
                && (!out.n || out.at[out.n - 1] != other))
                *PUSH(s->b->c, &out) = other;
        }
    }
    return out;
}

static int standing_of(const Search *s, int part, Ints *out) {
    const Model *m = s->b->m;

    for (int i = 0; i < m->pieces.n; i++)
        if (m->pieces.at[i].part == part && blocking_stands(s->stand, i))
            *PUSH(s->b->c, out) = i;
    return out->n;
}

/* What the class alone held goes with it, if it can: a lid and the board
 * under it. True: nothing is left in the air. */
static bool take_along(Search *s, Ints *gone) {
    Ints more = floating_after(s, gone);

    if (!more.n)
        return true;
    if (gone->n + more.n > s->left)
        return false;
    blocking_peel(s->stand, &more, NULL, gone);
    return more.n == 0 && !floating_after(s, gone).n;
}

/* What of the class can go now, and how good that is. */
static bool try_class(Search *s, const Ints *class, Choice *out) {
    const Model *m = s->b->m;
    Ints   group = { 0 }, gone = { 0 };
    double height = 0, depth = 0;
    bool   clean, whole;

    for (int i = 0; i < class->n; i++)
        if (class->at[i] != s->base || s->left == class->n)
            *PUSH(s->b->c, &group) = class->at[i];
    blocking_peel(s->stand, &group, NULL, &gone);
    whole = gone.n == class->n;
    clean = take_along(s, &gone);
    for (int i = 0; i < gone.n; i++) {
        const Piece *p = &m->pieces.at[gone.at[i]];
        blocking_put(s->stand, gone.at[i]);
        height += (p->box.min.z - s->ground) / gone.n;
        depth  += (double)s->depth[gone.at[i]] / gone.n;
    }
    out->pieces = gone;
    out->good   = (clean ? 1000 : 0) + (whole ? 3 : 0)
                + 4 * depth / fmax(1, s->deepest)
                + 12 * height / fmax(1, s->tall);
    return gone.n > 0;
}

/* ---- What only goes together ---- */

/* Adds what is in the way of those in `set`, and of those too. */
static void close_set(Search *s, Ints *set, bool *in, V3 dir, int most) {
    for (int i = 0; i < set->n && set->n <= most; i++) {
        int by;
        while ((by = blocking_on(s->stand, set->at[i], dir, in)) >= 0) {
            in[by] = true;
            *PUSH(s->b->c, set) = by;
        }
    }
}

static Ints smallest_set(Search *s) {
    static const V3 axes[] = {
        { 0, 0, 1 }, { 1, 0, 0 }, { -1, 0, 0 }, { 0, 1, 0 }, { 0, -1, 0 },
        { 0, 0, -1 }
    };
    const Model *m    = s->b->m;
    bool        *in   = NEW_N(s->b->c, bool, m->pieces.n + 1);
    Ints         best = { 0 };

    for (int i = 0; i < m->pieces.n; i++)
        for (int a = 0; a < COUNT(axes); a++) {
            Ints set = { 0 };
            if (!blocking_stands(s->stand, i))
                continue;
            in[i] = true;
            *PUSH(s->b->c, &set) = i;
            close_set(s, &set, in, axes[a], best.n ? best.n : s->left);
            for (int k = 0; k < set.n; k++)
                in[set.at[k]] = false;
            if (!best.n || set.n < best.n)
                best = set;
        }
    return best;
}

/* ---- All of it ---- */

static void take_step(Search *s, Ints pieces, bool as_one) {
    for (int i = 0; i < pieces.n; i++)
        blocking_take(s->stand, pieces.at[i]);
    s->left -= pieces.n;
    *PUSH(s->b->c, &s->steps)  = pieces;
    *PUSH(s->b->c, &s->as_one) = as_one;
}

static void take_best(Search *s) {
    Choice best = { .good = -1 };

    for (int k = 0; k < s->b->m->parts.n; k++) {
        Ints   class = { 0 };
        Choice one;
        if (standing_of(s, k, &class) && try_class(s, &class, &one)
            && one.good > best.good + 1e-6)
            best = one;
    }
    if (best.pieces.n)
        take_step(s, best.pieces, false);
    else
        take_step(s, smallest_set(s), true);
}

/* ---- Steps in words ---- */

/* "slat" to "slats", "shelf" to "shelves". */
static Str plural(Ctx *c, Str one) {
    if (str_ends(one, "s") || str_ends(one, "x") || str_ends(one, "ch")
        || str_ends(one, "sh"))
        return str_fmt(c, "%.*ses", STR_ARG(one));
    if (str_ends(one, "elf") || str_ends(one, "eaf"))
        return str_fmt(c, "%.*sves", (int)one.n - 1, one.s);
    if (str_ends(one, "y") && one.n > 1 && !strchr("aeiou", one.s[one.n - 2]))
        return str_fmt(c, "%.*sies", (int)one.n - 1, one.s);
    return str_fmt(c, "%.*ss", STR_ARG(one));
}

static Str lower_first(Ctx *c, Str s) {
    char *z = str_z(c, s);

    if (z[0] >= 'A' && z[0] <= 'Z' && !(z[1] >= 'A' && z[1] <= 'Z'))
        z[0] = (char)(z[0] - 'A' + 'a');
    return (Str){ z, s.n };
}

static bool has_digit(Str s) {
    for (size_t i = 0; i < s.n; i++)
        if (s.s[i] >= '0' && s.s[i] <= '9')
            return true;
    return false;
}

/* Names, each once: a piece's own where it is the only one of its part. */
static Str names_of_step(Build *b, const Ints *pieces) {
    const Model *m   = b->m;
    Buf          out = BUF(b->c);
    int          said = 0;

    for (int k = 0; k < m->parts.n && said < 4; k++) {
        int n = 0, one = -1;
        Str name = lower_first(b->c, m->parts.at[k].name);
        for (int i = 0; i < pieces->n; i++)
            if (m->pieces.at[pieces->at[i]].part == k) {
                n++;
                one = pieces->at[i];
            }
        if (n == 0)
            continue;
        if (n > 1)
            name = plural(b->c, name);
        else if (!has_digit(m->pieces.at[one].name))
            name = lower_first(b->c, m->pieces.at[one].name);
        buf_add(&out, "%sthe %.*s", said++ ? ", " : "", STR_ARG(name));
    }
    return buf_done(&out);
}

static void say_words(Build *b, Step *step, const char *words) {
    Say     *say  = PUSH(b->c, &step->say);
    SayItem *item = PUSH(b->c, say);

    item->kind  = SAY_WORDS;
    item->words = str_from(b->c, words);
    item->loc   = step->loc;
}

static void write_step(Build *b, const Ints *pieces, bool as_one, int k) {
    Step *step  = PUSH(b->c, &b->m->steps);
    Str   names = names_of_step(b, pieces);

    step->loc   = b->d->root->loc;
    step->title = str_fmt(b->c, "%s %.*s", k ? "Add" : "Begin with",
                          STR_ARG(names));
    for (int i = pieces->n - 1; i >= 0; i--) {
        *PUSH(b->c, &step->add) = pieces->at[i];
        b->m->pieces.at[pieces->at[i]].step = k;
    }
    if (k == 0)
        say_words(b, step, "This order was worked out from the shapes of "
                  "the pieces: each goes in by a straight way past those "
                  "that are there. How they are fixed, the design does not "
                  "say.");
    if (as_one && k > 0)
        say_words(b, step, "Put these together first; then they go in as "
                  "one.");
}

void find_order(Build *b) {
    Search s = { .b = b, .ground = ground_of(b->m) };

    if (b->m->steps.n || b->m->pieces.n < 2)
        return;
    s.stand = blocking_new(b->c, b->m);
    s.base  = find_base(b, blocking_near(s.stand));
    for (int i = 0; i < b->m->pieces.n; i++) {
        const Piece *p = &b->m->pieces.at[i];
        if (p->temporary || b->m->parts.at[p->part].jig)
            continue;
        blocking_put(s.stand, i);
        s.left++;
        s.tall = fmax(s.tall, p->box.max.z - s.ground);
    }
    if (s.base < 0)
        return;
    find_depths(&s);
    while (s.left > 0)
        take_best(&s);
    for (int k = s.steps.n - 1; k >= 0; k--)
        write_step(b, &s.steps.at[k], s.as_one.at[k], s.steps.n - 1 - k);
    b->m->order_found = true;
}
