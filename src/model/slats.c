/* slats -- a row of one part with equal gaps between two places.
 *
 *     from                                     to
 *      |  gap +----+ gap +----+ gap +----+ gap  |     "ends": "gap"
 *      |      |slat|     |slat|     |slat|      |
 *      +----+   gap   +----+   gap   +----+     |     "ends": "piece"
 *
 * Every slat is placed from the one datum `from`, so nothing adds up.
 */
#include "model/model_internal.h"

#include <math.h>

#define FIT_MM 0.01   // what a given gap may leave over

typedef struct {
    int      axis;        // 0 right, 1 back, 2 up
    bool     end_gaps;
    Quantity from, span;  // the datum, and from there to the other end
    Quantity wide;        // of one slat along the axis
    Quantity gap;
    int      count;
} Slats;

static double part_of(V3 v, int axis) {
    return axis == 0 ? v.x : axis == 1 ? v.y : v.z;
}

/* A squared part fills exactly its own size; a turned one what it does. */
static Quantity wide_of(const Part *part, const Frame *f, Box3 box,
                        int axis) {
    double    mm = part_of(box.max, axis) - part_of(box.min, axis);
    const V3  ways[]   = { f->x, f->y, f->z };
    const Quantity own[] = { part->long_length, part->width,
                             part->thickness };

    for (int i = 0; i < 3; i++) {
        if (fabs(part_of(ways[i], axis)) > 1 - 1e-12
            && fabs(own[i].real - mm) < 1e-6)
            return own[i];
    }
    return world_length(mm);
}

/* The gap that n slats leave. Gaps: n + 1, or n - 1 without the ends. */
static Quantity gap_for(Build *b, const Slats *s, Loc at, int n) {
    Quantity wood = quantity_mul(b->c, at, s->wide,
                                 quantity_exact(n, 1, DIM_NUMBER));

    return quantity_div(b->c, at, quantity_sub(b->c, at, s->span, wood),
                        quantity_exact(n + (s->end_gaps ? 1 : -1), 1,
                                       DIM_NUMBER));
}

/* How many slats with such a gap fill the span; seldom whole. */
static double slats_for(const Slats *s, Quantity gap) {
    double room = s->span.real + (s->end_gaps ? -gap.real : gap.real);

    return room / (s->wide.real + gap.real);
}

static bool given_gap(Build *b, const Node *node, Slats *s) {
    const Node *text = node_find(node, "gap");
    double      n    = slats_for(s, s->gap);
    double      left;

    s->count = (int)floor(n + 1e-9);
    if (s->count < 1)
        s->count = 1;
    left = (n - s->count) * (s->wide.real + s->gap.real);
    if (s->count > 1 && fabs(left) <= FIT_MM) {
        s->gap = gap_for(b, s, text->loc, s->count);
        return true;
    }
    report(b->c, text->loc, NOT_WHOLE,
           "%d slats with gaps of %.*s leave %.*s over", s->count,
           STR_ARG(size_text(b, s->gap)), STR_ARG(mm_text(b, left)));
    if (s->count > 1)
        hint(b->c, "equal gaps are %.*s for %d slats, %.*s for %d; or "
             "give a \"largest gap\"",
             STR_ARG(size_text(b, gap_for(b, s, text->loc, s->count))),
             s->count,
             STR_ARG(size_text(b, gap_for(b, s, text->loc, s->count + 1))),
             s->count + 1);
    return false;
}

static bool count_slats(Build *b, const Node *node, Slats *s) {
    static const char *const ways[] = {   // SCHEMA-ONE slats
        "count", "gap", "largest gap"
    };
    int      given = 0, least = s->end_gaps ? 1 : 2;
    Quantity none  = quantity_exact(0, 1, DIM_LENGTH);

    for (int i = 0; i < 3; i++)
        given += node_find(node, ways[i]) != NULL;
    if (given != 1) {
        report(b->c, node->loc, MISSING_KEY,
               "slats need one of \"count\", \"gap\" and \"largest gap\", "
               "not %d of them", given);
        hint(b->c, "the other follows from it");
        return false;
    }
    if (node_find(node, "count")) {
        s->count = eval_count(b->c, b->s, "", node, "count", 0, least,
                              1000);
        if (s->count == 0)
            return false;
        s->gap   = gap_for(b, s, node->loc, s->count);
        return true;
    }
    given  = node_find(node, "gap") ? 1 : 2;
    s->gap = eval_member(b->c, b->s, "", node, ways[given], DIM_LENGTH,
                         none);
    if (s->gap.poison)
        return false;
    if (s->gap.real < 0 || slats_for(s, s->gap) > 1000) {
        report(b->c, node_find(node, ways[given])->loc, OUT_OF_RANGE,
               "gaps of %.*s make no row of slats",
               STR_ARG(size_text(b, s->gap)));
        return false;
    }
    if (given == 1)
        return given_gap(b, node, s);
    s->count = (int)ceil(slats_for(s, s->gap) - 1e-9);
    if (s->count < least)
        s->count = least;
    s->gap = gap_for(b, s, node->loc, s->count);
    return true;
}

static bool read_slats(Build *b, const Entry *e, Slats *s) {
    static const char *const keys[] = {   // SCHEMA slats
        "along", "from", "to", "count", "gap", "largest gap", "ends", NULL
    };
    static const char *const axes[] = {   // SCHEMA-ENUM axis
        "left-right", "front-back", "up-down", NULL
    };
    static const char *const ends[] = {   // SCHEMA-ENUM slat-ends
        "gap", "piece", NULL
    };
    const Node *node = node_object(b->c, e->node, "slats");
    Quantity    none = quantity_exact(0, 1, DIM_LENGTH), to;
    int         end;

    if (!node || !node_check_keys(b->c, node, keys, "\"slats\"")
        || !node_need(b->c, node, "along", "\"slats\"")
        || !node_need(b->c, node, "from", "\"slats\"")
        || !node_need(b->c, node, "to", "\"slats\""))
        return false;
    s->axis = node_choice(b->c, node, "along", axes, -1);
    end     = node_choice(b->c, node, "ends", ends, 0);
    if (s->axis < 0 || end < 0)
        return false;
    s->end_gaps = end == 0;
    s->from = eval_member(b->c, b->s, "", node, "from", DIM_LENGTH, none);
    to      = eval_member(b->c, b->s, "", node, "to", DIM_LENGTH, none);
    s->span = quantity_sub(b->c, node->loc, to, s->from);
    return !s->span.poison;
}

static bool slats_fit(Build *b, const Entry *e, const Slats *s) {
    if (!s->gap.poison && s->gap.real > -1e-9)
        return true;
    if (!s->gap.poison) {
        report(b->c, node_find(e->node, "slats")->loc, OUT_OF_RANGE,
               "%d slats of %.*s do not fit into %.*s", s->count,
               STR_ARG(size_text(b, s->wide)),
               STR_ARG(size_text(b, s->span)));
        hint(b->c, "take fewer, or a place farther on for \"to\"");
    }
    return false;
}

static void note_spacing(Build *b, const Entry *e, const Slats *s) {
    static const char *const sides[] = { "left", "front", "bottom" };
    Spacing *sp  = PUSH(b->c, &b->m->spacings);
    Loc      at  = e->node->loc;
    Quantity one = quantity_add(b->c, at, s->wide, s->gap);

    sp->name     = e->name;
    sp->part     = e->part;
    sp->count    = s->count;
    sp->gap      = s->gap;
    sp->end_gaps = s->end_gaps;
    sp->from     = str_from(b->c, sides[s->axis]);
    for (int i = 0; i < s->count; i++) {
        Quantity k = quantity_mul(b->c, at, one,
                                  quantity_exact(i, 1, DIM_NUMBER));
        *PUSH(b->c, &sp->starts) = s->end_gaps
            ? quantity_add(b->c, at, s->gap, k) : k;
    }
}

/* Moves the frame of the first slat to its place along the axis, and says
 * how many there are and how far apart they stand. */
bool spread_slats(Build *b, Entry *e, Frame *f, int *count, V3 *step) {
    const Part *part = &b->m->parts.at[e->part];
    Box3        box  = solid_box(part->solid, f);
    Slats       s    = { 0 };
    V3          way;
    double      at;

    if (!read_slats(b, e, &s))
        return false;
    s.wide = wide_of(part, f, box, s.axis);
    if (!count_slats(b, node_find(e->node, "slats"), &s)
        || !slats_fit(b, e, &s))
        return false;
    way   = v3(s.axis == 0, s.axis == 1, s.axis == 2);
    at    = s.from.real + (s.end_gaps ? s.gap.real : 0);
    f->o  = v3_add(f->o, v3_scale(way, at - part_of(box.min, s.axis)));
    *step = v3_scale(way, s.wide.real + s.gap.real);
    *count = s.count;
    entry_value(b, e, "gap", s.gap);
    entry_value(b, e, "count", quantity_exact(s.count, 1, DIM_NUMBER));
    entry_value(b, e, "step",
                quantity_add(b->c, e->node->loc, s.wide, s.gap));
    note_spacing(b, e, &s);
    return true;
}
