/* repeat -- copies of a cut: runs, equal gaps, every second one moved,
 * mirror images.
 *
 * All copies of one cut are kept as places from the first; its mirror
 * images are features of their own ("echoes"), as their shapes differ.
 */
#include "model/model_internal.h"

#include <math.h>

#define MOST_COPIES 1000

static Quantity none(void) {
    return quantity_exact(0, 1, DIM_LENGTH);
}

static Quantity number(int n) {
    return quantity_exact(n, 1, DIM_NUMBER);
}

/* ---- Equal gaps ---- */

typedef enum { ENDS_GAP, ENDS_PIECE, ENDS_HALF } Ends;   // ORDER ENDS

/* A row of n pieces of a size between two places. */
typedef struct {
    Ends     ends;
    Quantity from, span, size;
    int      n;
} Even;

/* Gaps in a row of n, twice: a half gap at each end makes one. */
static int twice_gaps(const Even *e) {
    static const int more[] = { 2, -2, 0 };   // ORDER ENDS

    return 2 * e->n + more[e->ends];
}

/* The fewest pieces whose gap is no more than the largest allowed:
 * (span - n size) / gaps(n) <= most, gaps(n) = n + 1, n - 1 or n. */
static int fewest(const Even *e, double most) {
    static const int more[] = { 1, -1, 0 };   // ORDER ENDS
    double n = (e->span.real - more[e->ends] * most)
             / (e->size.real + most);
    int    least = e->ends == ENDS_PIECE ? 2 : 1;

    return (int)fmax(least, ceil(fmin(n, MOST_COPIES + 1) - 1e-9));
}

/* The gap, and where the first piece begins. */
static bool even_gap(Build *b, const Node *n, const Even *e, Quantity *gap,
                     Quantity *first) {
    Loc      at   = n->loc;
    Quantity free = quantity_sub(b->c, at, e->span,
                        quantity_mul(b->c, at, e->size, number(e->n)));

    if (twice_gaps(e) == 0) {
        report(b->c, at, FEATURE_BAD,
               "one cut alone has no gap between its ends");
        hint(b->c, "with \"ends\": \"piece\" there are two at least");
        return false;
    }
    if (free.poison || free.real <= 0) {
        report(b->c, at, FEATURE_BAD,
               "%d cuts of %.*s leave no gap in %.*s", e->n,
               STR_ARG(size_text(b, e->size)),
               STR_ARG(size_text(b, e->span)));
        hint(b->c, "take fewer, or look at \"between\"");
        return false;
    }
    *gap   = quantity_div(b->c, at, quantity_mul(b->c, at, free, number(2)),
                          number(twice_gaps(e)));
    *first = e->from;
    if (e->ends != ENDS_PIECE)
        *first = quantity_add(b->c, at, e->from,
                     quantity_div(b->c, at, *gap,
                                  number(e->ends == ENDS_GAP ? 1 : 2)));
    return !gap->poison && !first->poison;
}

/* How long the cut is that way, and how far from where it begins to where
 * it is said to be; holes count by their centers. */
static bool extent(Build *b, const Node *n, const Feature *f, bool across,
                   Quantity *size, Quantity *begin) {
    Box2 box = shape_box(f->shape);

    *begin = across || f->kind == FEATURE_POCKET ? f->y : f->x;
    *size  = none();
    if (f->kind == FEATURE_HOLE || f->kind == FEATURE_POCKET)
        return true;
    if (f->kind == FEATURE_GROOVE || f->kind == FEATURE_NOTCH) {
        *size = across ? f->width : f->length;
        return true;
    }
    if (f->kind == FEATURE_ARCH && !across) {
        *size  = f->width;
        *begin = quantity_sub(b->c, n->loc, f->x,
                     quantity_div(b->c, n->loc, f->width, number(2)));
        return true;
    }
    if (f->kind == FEATURE_CUTOUT) {
        *begin = quantity_mm(across ? box.min.y : box.min.x);
        *size  = quantity_mm(across ? box.max.y - box.min.y
                                    : box.max.x - box.min.x);
        return true;
    }
    report(b->c, n->loc, FEATURE_BAD,
           "\"between\" cannot space %s out this way", feature_name(f));
    hint(b->c, "give \"count\" and \"step\" instead");
    return false;
}

static void move_first(Build *b, const Node *n, Feature *f, bool across,
                       Quantity by) {
    Quantity *place = across || f->kind == FEATURE_POCKET ? &f->y : &f->x;

    *place = quantity_add(b->c, n->loc, *place, by);
    f->shape = shape_move(b->c, f->shape, across ? v2(0, by.real)
                                                 : v2(by.real, 0));
}

/* ---- Runs ---- */

typedef struct { int count; Quantity x, y; } Run;

static bool read_between(Build *b, const char *scope, const Node *n,
                         Even *e) {
    static const char *const ends[] = {   // ORDER ENDS, SCHEMA-ENUM run-ends
        "gap", "piece", "half gap", NULL
    };
    Quantity to, most;

    e->ends = (Ends)node_choice(b->c, n, "ends", ends, ENDS_GAP);
    if (!read_point(b, scope, n, "between", &e->from, &to))
        return false;
    e->span = quantity_sub(b->c, n->loc, to, e->from);
    e->n    = eval_count(b->c, b->s, scope, n, "count", 1, 1, MOST_COPIES);
    if (!node_find(n, "largest gap"))
        return node_need(b->c, n, "count", "\"repeat\"") != NULL;
    if (node_find(n, "count")) {
        report(b->c, n->loc, FEATURE_BAD,
               "this \"repeat\" has a \"count\" and a \"largest gap\"");
        hint(b->c, "the largest gap finds the count: leave one out");
        return false;
    }
    most = cut_size(b, scope, n, "largest gap", "\"repeat\"", NULL);
    if (most.poison)
        return false;
    e->n = fewest(e, most.real);
    if (e->n <= MOST_COPIES)
        return true;
    report(b->c, n->loc, FEATURE_BAD,
           "gaps of %.*s in %.*s need more than %d cuts",
           STR_ARG(size_text(b, most)), STR_ARG(size_text(b, e->span)),
           MOST_COPIES);
    hint(b->c, "allow a larger gap");
    return false;
}

static bool read_even(Build *b, const char *scope, const Node *n,
                      Feature *f, Run *run) {
    static const char *const ways[] = {   // SCHEMA-ENUM dimension
        "length", "width", NULL
    };
    bool     pocket = f->kind == FEATURE_POCKET;
    bool     across = node_choice(b->c, n, "along", ways,
                                  pocket && f->side >= SIDE_LEFT);
    Even     e = { 0 };
    Quantity begin, gap, first, step;

    if (!extent(b, n, f, across, &e.size, &begin)
        || !read_between(b, scope, n, &e)
        || !even_gap(b, n, &e, &gap, &first))
        return false;
    move_first(b, n, f, across, quantity_sub(b->c, n->loc, first, begin));
    step   = quantity_add(b->c, n->loc, e.size, gap);
    f->gap = gap;
    *run   = (Run){ e.n, across ? none() : step, across ? step : none() };
    return !step.poison;
}

static bool read_run(Build *b, const char *scope, const Node *n, Feature *f,
                     Run *run) {
    static const char *const keys[] = {   // SCHEMA repeat
        "count", "step", "between", "ends", "largest gap", "along", NULL
    };

    if (!node_check_keys(b->c, n, keys, "\"repeat\""))
        return false;
    if (node_find(n, "between") || node_find(n, "largest gap"))
        return node_need(b->c, n, "between", "\"repeat\"")
            && read_even(b, scope, n, f, run);
    run->count = eval_count(b->c, b->s, scope, n, "count", 1, 1,
                            MOST_COPIES);
    return node_need(b->c, n, "step", "\"repeat\"")
        && read_point(b, scope, n, "step", &run->x, &run->y);
}

/* ---- Every second one moved ---- */

typedef struct { int every; Quantity x, y; } Shift;

static bool read_alternate(Build *b, const char *scope, const Node *n,
                           Shift *shift) {
    static const char *const keys[] = {   // SCHEMA alternate
        "by", "every", NULL
    };
    const Node *node = node_object(b->c, n, "alternate");
    const Node *by;

    *shift = (Shift){ 0, none(), none() };
    if (!node)
        return !node_find(n, "alternate");
    by = node_find(node, "by");
    if (!node_check_keys(b->c, node, keys, "\"alternate\"")
        || !node_need(b->c, node, "by", "\"alternate\""))
        return false;
    shift->every = eval_count(b->c, b->s, scope, node, "every", 2, 2, 100);
    if (by && by->kind == NODE_LIST)
        return read_point(b, scope, node, "by", &shift->x, &shift->y);
    shift->x = eval_member(b->c, b->s, scope, node, "by", DIM_LENGTH,
                           none());
    return !shift->x.poison;
}

static Offset offset_at(Build *b, Loc at, const Run *runs, const Shift *s,
                        int i, int k, int row) {
    Offset o;

    o.x = quantity_add(b->c, at, quantity_mul(b->c, at, runs[0].x, number(i)),
                       quantity_mul(b->c, at, runs[1].x, number(k)));
    o.y = quantity_add(b->c, at, quantity_mul(b->c, at, runs[0].y, number(i)),
                       quantity_mul(b->c, at, runs[1].y, number(k)));
    if (s->every > 0 && (row + 1) % s->every == 0) {
        o.x = quantity_add(b->c, at, o.x, s->x);
        o.y = quantity_add(b->c, at, o.y, s->y);
    }
    return o;
}

static bool too_many(Build *b, const Node *n, int64_t count) {
    if (count <= MOST_COPIES)
        return false;
    report(b->c, n->loc, FEATURE_BAD,
           "%d copies of one cut are more than %d", (int)count, MOST_COPIES);
    hint(b->c, "look at both counts of \"repeat\"");
    return true;
}

/* "repeat" is one run, or a list of two: a row, and rows of it. */
bool read_repeat(Build *b, const char *scope, const Node *n, Feature *f) {
    const Node *repeat = node_find(n, "repeat");
    Run         runs[2] = { { 1, none(), none() }, { 1, none(), none() } };
    bool        rows = repeat && repeat->kind == NODE_LIST;
    bool        fixed = f->copies.n > 0 || f->kind >= FEATURE_CHAMFER;
    int         used = 0;
    Shift       shift;

    if (!read_alternate(b, scope, n, &shift))
        return false;
    if (fixed && (repeat || node_find(n, "alternate"))) {
        report(b->c, n->loc, FEATURE_BAD, "a %s cannot be repeated",
               feature_name(f));
        hint(b->c, "leave \"repeat\" out; \"mirror\" is allowed");
        return false;
    }
    for (const Node *r = rows ? repeat->first : repeat; r;
         r = rows ? r->next : NULL) {
        if (used == 2) {
            report(b->c, r->loc, FEATURE_BAD, "\"repeat\" has %d runs",
                   repeat->count);
            hint(b->c, "a row and rows of it are two");
            return false;
        }
        if (!read_run(b, scope, r, f, &runs[used++]))
            return false;
    }
    if (too_many(b, n, (int64_t)runs[0].count * runs[1].count))
        return false;
    if (f->copies.n > 0)
        return true;
    f->count = runs[0].count * runs[1].count;
    for (int k = 0; k < runs[1].count; k++) {
        for (int i = 0; i < runs[0].count; i++)
            *PUSH(b->c, &f->copies) = offset_at(b, n->loc, runs, &shift, i,
                                                k, used == 2 ? k : i);
    }
    return true;
}

/* ---- Mirror images ---- */

static Quantity minus(Build *b, Loc at, Quantity all, Quantity a,
                      Quantity more) {
    return quantity_sub(b->c, at, quantity_sub(b->c, at, all, a), more);
}

static Side other_side(Side s, bool across) {
    static const Side along_[] = { SIDE_SHOW, SIDE_BACK, SIDE_NEAR,
                                   SIDE_FAR, SIDE_RIGHT, SIDE_LEFT };
    static const Side across_[] = { SIDE_SHOW, SIDE_BACK, SIDE_FAR,
                                    SIDE_NEAR, SIDE_LEFT, SIDE_RIGHT };

    return across ? across_[s] : along_[s];
}

static Shape mirrored_shape(Build *b, const Part *part, Shape s,
                            bool across) {
    V2 middle = v2(part->long_length.real / 2, part->width.real / 2);

    if (across)   // half a turn, then the other way round again
        s = shape_turn(b->c, s, middle, 3.14159265358979323846);
    return shape_mirror_x(b->c, s, middle.x);
}

/* About the middle of the length, or of the width. Places in an edge run
 * along it and up the thickness; only the first is turned about. */
static Feature mirror_image(Build *b, const Part *part, const Feature *f,
                            bool across) {
    Feature   m    = *f;
    bool      flat = feature_in_face(f) || f->kind >= FEATURE_CHAMFER;
    bool      end  = f->side >= SIDE_LEFT;
    Quantity  all  = across ? part->width : part->long_length;
    bool      pocket = f->kind == FEATURE_POCKET;
    bool      moves = flat || across == end;   // the place on its side
    bool      second = flat ? across : false;
    Quantity *place = second || pocket ? &m.y : &m.x;
    bool      box = f->kind == FEATURE_GROOVE || f->kind == FEATURE_NOTCH;
    Quantity  size = !box ? none() : second ? f->width : f->length;

    m.echo     = true;
    m.mirrored = NULL;
    m.side   = other_side(f->side, across);
    m.toward = other_side(f->toward, across);
    m.shape  = mirrored_shape(b, part, f->shape, across);
    m.copies.at = NULL;
    m.copies.n  = m.copies.cap = 0;
    if (moves && f->kind != FEATURE_CUTOUT)
        *place = minus(b, f->loc, all, *place, size);
    if (f->kind == FEATURE_ARCH && across) {
        m.base   = quantity_sub(b->c, f->loc, all, f->base);
        m.spring = quantity_sub(b->c, f->loc, all, f->spring);
        m.rise   = quantity_neg(f->rise);
        m.x      = f->x;
    }
    if (f->kind == FEATURE_SCALLOP && !across)
        m.start = f->left_over;
    for (int i = 0; i < f->copies.n; i++) {
        Offset o = f->copies.at[i];
        bool   x = flat ? !across : !pocket && moves;
        bool   y = flat ? across : pocket && moves;
        *PUSH(b->c, &m.copies) = (Offset){ x ? quantity_neg(o.x) : o.x,
                                           y ? quantity_neg(o.y) : o.y };
    }
    for (int i = 0; i < 2 && f->kind >= FEATURE_CHAMFER; i++)
        m.on[across ? i : 2 + i] = f->on[across ? 1 - i : 3 - i];
    return m;
}

/* The same cuts at the same places, as where the cut lies in the middle. */
static bool is_same(const Feature *a, const Feature *b) {
    int found = 0;

    if (a->side != b->side || a->kind == FEATURE_CUTOUT
        || a->kind == FEATURE_ARCH || a->kind == FEATURE_SCALLOP
        || a->kind >= FEATURE_CHAMFER)
        return false;
    for (int i = 0; i < a->copies.n; i++) {
        for (int k = 0; k < b->copies.n; k++) {
            V2 d = v2_sub(feature_copy(a, i), feature_copy(b, k));
            if (fabs(a->x.real - b->x.real + d.x) < 1e-6
                && fabs(a->y.real - b->y.real + d.y) < 1e-6) {
                found++;
                break;
            }
        }
    }
    return found == a->copies.n;
}

void add_mirrored(Build *b, const Node *n, const Part *part,
                  const Feature *f, Features *out) {
    static const char *const ways[] = {   // SCHEMA-ENUM mirror-ways
        "length", "width", "both", NULL
    };
    static const char *const words[] = {
        "end for end", "edge for edge", "end for end and edge for edge"
    };
    int way = node_choice(b->c, n, "mirror", ways, -1), axes = 0;

    *PUSH(b->c, out) = *f;
    if (way < 0 || part->long_length.poison || part->width.poison)
        return;
    for (int axis = 0; axis < 2; axis++) {
        int have = out->n;
        if (way != axis && way != 2)
            continue;
        for (int i = 0; i < have; i++) {
            Feature from = out->at[i];
            Feature m    = mirror_image(b, part, &from, axis == 1);
            if (is_same(&m, &from))
                continue;
            *PUSH(b->c, out) = m;
            axes |= 1 << axis;
        }
    }
    if (axes)
        out->at[0].mirrored = words[axes - 1];
}
