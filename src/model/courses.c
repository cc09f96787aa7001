/* courses -- a surface covered by overlapping rows of one part: slips on a
 * roof, clapboards on a wall. Each course lies on the one below, and its
 * upper ends rest on the deck, so all tilt alike:
 *
 *                                    ____----   sin(tilt) =
 *                       ____----____----           thickness / exposure
 *          ____----____----                     lift = length * sin(tilt)
 *     |----____----                      deck
 *   --+--------------------------------------------> uphill
 *     |<- exposure ->|
 *   first: how far the lower ends of course 1 reach over the deck's edge
 *
 * The geometry follows from that alone; nothing of it is a rule of the
 * trade. What is worked out (exposure, tilt and so on) is known before any
 * piece is made, so that the parts' own sizes may use it.
 */
#include "model/model_internal.h"

#include <math.h>

#define DEG    (3.14159265358979323846 / 180)
#define FIT_MM 0.02   // a width that is this near to whole pieces is whole

typedef enum { LAST_FALLS, LAST_CUT } Last;   // ORDER LAST

typedef enum { PART_FULL, PART_HALF, PART_CUT_FULL, PART_CUT_HALF,
               PART_KINDS } Kind;   // ORDER KIND

struct Courses {
    const Node *node;
    int    part[PART_KINDS];   // -1: none
    bool   stagger;
    Last   last;
    V3     corner, up, across, out;   // of the deck's show face; unit
    double run, breadth;              // uphill, across
    double first, exposure, tilt, lift;
    int    count, whole;       // courses; whole pieces in each
};

static const char *const kind_words[] = {   // ORDER KIND
    "full", "half", "cut full", "cut half"
};

/* ---- Declaring ---- */

static int declared_part(Build *b, const Node *node, Kind kind) {
    const Node *text = node_text(b->c, node, kind_words[kind]);
    int         part;
    Str        *known;

    if (!text)
        return -1;
    part = model_find_part(b->m, text->text);
    if (part >= 0)
        return part;
    known = NEW_N(b->c, Str, b->m->parts.n + 1);
    for (int i = 0; i < b->m->parts.n; i++)
        known[i] = b->m->parts.at[i].letter;
    report(b->c, text->loc, PIECE_NO_PART,
           "courses of part '%.*s', but there is no such part",
           STR_ARG(text->text));
    hint_names(b, STR(""), known, b->m->parts.n, "parts");
    return -1;
}

/* Why the keys that say parts do not go together, or NULL. */
static const char *parts_amiss(const struct Courses *k) {
    if (k->stagger && k->part[PART_HALF] < 0)
        return "staggered courses begin and end with half pieces: name "
               "their part under \"half\"";
    if (k->last == LAST_CUT && k->part[PART_CUT_FULL] < 0)
        return "a last course that is cut to fit is a part of its own: "
               "name it under \"cut full\"";
    return NULL;
}

void declare_courses(Build *b, Entry *e) {
    static const char *const keys[] = {   // SCHEMA courses
        "full", "half", "cut full", "cut half", "on", "exposure", "count",
        "first", "up", "stagger", "last", NULL
    };
    static const char *const lasts[] = {   // ORDER LAST, SCHEMA-ENUM last
        "as it falls", "cut to fit", NULL
    };
    struct Courses *k = NEW(b->c, struct Courses);
    int before = b->c->errors, last;

    e->courses = k;
    e->part    = -1;
    k->node    = node_object(b->c, e->node, "courses");
    if (!k->node || !node_check_keys(b->c, k->node, keys, "\"courses\""))
        return;
    (void)!node_need(b->c, e->node, "as", "a surface of courses");
    (void)!node_need(b->c, k->node, "full", "\"courses\"");
    (void)!node_need(b->c, k->node, "on", "\"courses\"");
    (void)!node_text(b->c, k->node, "on");
    for (int i = 0; i < PART_KINDS; i++)
        k->part[i] = declared_part(b, k->node, (Kind)i);
    k->stagger = node_bool(b->c, k->node, "stagger",
                           k->part[PART_HALF] >= 0);
    last = node_choice(b->c, k->node, "last", lasts, LAST_FALLS);
    k->last = last == LAST_CUT ? LAST_CUT : LAST_FALLS;
    if (b->c->errors > before)
        return;
    if (parts_amiss(k))
        report(b->c, k->node->loc, COURSES_BAD, "%s", parts_amiss(k));
    else
        e->part = k->part[PART_FULL];
}

bool courses_use(const Entry *e, int part) {
    for (int i = 0; e->courses && i < PART_KINDS; i++) {
        if (e->courses->part[i] == part)
            return true;
    }
    return false;
}

/* ---- Names of several courses ---- */

static int number_of(Str s) {
    int n = 0;

    for (size_t i = 0; i < s.n && n < 100000; i++) {
        if (s.s[i] < '0' || s.s[i] > '9')
            return -1;
        n = 10 * n + s.s[i] - '0';
    }
    return s.n ? n : -1;
}

/* Is p one of "roof courses 3 to 6" or "roof courses 3 to last"? */
bool in_courses(const Piece *p, Str name) {
    Str    tail, low, high;
    size_t space;
    int    from, to, is;

    if (name.n <= p->set.n || p->group.n <= p->set.n + 8
        || !str_eq(str_part(name, 0, p->set.n), p->set))
        return false;
    tail = str_part(name, p->set.n, name.n);
    if (!str_begins(tail, " courses "))
        return false;
    tail  = str_part(tail, 9, tail.n);
    space = str_find(tail, ' ', 0);
    low   = str_part(tail, 0, space);
    if (!str_begins(str_part(tail, space, tail.n), " to "))
        return false;
    high = str_part(tail, space + 4, tail.n);
    is   = number_of(str_part(p->group, p->set.n + 8, p->group.n));
    from = number_of(low);
    to   = str_is(high, "last") ? is : number_of(high);
    return from >= 0 && is >= from && is <= to;
}

/* ---- The deck ---- */

/* The one piece that is called so; its part and place are then known. */
static const Piece *find_deck(Build *b, const Node *text) {
    bool is_row = false;

    for (int i = 0; i < b->n_entries; i++) {
        Entry *e = &b->entries[i];
        if (!names_entry(e, text->text))
            continue;
        if (!entry_ready(b, e, text->loc))
            return NULL;
        for (int k = 0; k < e->made.n; k++) {
            if (str_eq(e->made.at[k].name, text->text))
                return &e->made.at[k];
        }
        is_row = e->made.n > 0;
    }
    if (is_row) {
        report(b->c, text->loc, COURSES_BAD,
               "'%.*s' is not one piece, but several", STR_ARG(text->text));
        hint(b->c, "courses lie on one piece, named by its \"as\"; of a row "
                   "'%.*s 1' is the first", STR_ARG(text->text));
    } else if (b->c->errors == 0) {
        report(b->c, text->loc, STEP_NO_PIECE,
               "there is no piece called '%.*s'", STR_ARG(text->text));
        hint(b->c, "courses lie on one piece, named by its \"as\"");
    }
    return NULL;
}

/* Which way of the deck runs uphill: the steeper of its two. */
static bool find_up(Build *b, struct Courses *k, const Piece *deck) {
    static const char *const words[] = {   // SCHEMA-ENUM uphill
        "right", "left", "far", "near", NULL
    };
    const V3 ways[] = { deck->frame.x, v3_scale(deck->frame.x, -1),
                        deck->frame.y, v3_scale(deck->frame.y, -1) };
    int      up = node_choice(b->c, k->node, "up", words, -1), best = 0;

    for (int i = 1; i < 4; i++) {
        if (ways[i].z > ways[best].z + 1e-9)
            best = i;
    }
    if (up < 0 && (node_find(k->node, "up") || ways[best].z < 0.05)) {
        if (!node_find(k->node, "up")) {
            report(b->c, k->node->loc, COURSES_BAD,
                   "'%.*s' is level, so the courses need an \"up\"",
                   STR_ARG(deck->name));
            hint(b->c, "say which end or edge of it is uphill: right, "
                 "left, far or near");
        }
        return false;
    }
    k->up = ways[up < 0 ? best : up];
    return true;
}

/* The rectangle around the show face, in the world. */
static void measure_deck(struct Courses *k, const Part *part,
                         const Piece *deck) {
    Box2   box = shape_box(part->face);
    double lo[3] = { INFINITY, INFINITY, INFINITY };
    double hi[3] = { -INFINITY, -INFINITY, -INFINITY };

    k->out    = deck->frame.z;
    k->across = v3_cross(k->out, k->up);
    for (int i = 0; i < 4; i++) {
        V3 p = frame_point(&deck->frame,
                           v3(i & 1 ? box.max.x : box.min.x,
                              i & 2 ? box.max.y : box.min.y,
                              part->thickness.real));
        const double at[] = { v3_dot(p, k->up), v3_dot(p, k->across),
                              v3_dot(p, k->out) };
        for (int d = 0; d < 3; d++) {
            lo[d] = fmin(lo[d], at[d]);
            hi[d] = fmax(hi[d], at[d]);
        }
    }
    k->run     = hi[0] - lo[0];
    k->breadth = hi[1] - lo[1];
    k->corner  = v3_add(v3_scale(k->up, lo[0]),
                        v3_add(v3_scale(k->across, lo[1]),
                               v3_scale(k->out, lo[2])));
}

/* ---- Exposure and number of courses ---- */

static double tilt_of(double thickness, double exposure) {
    return asin(fmin(1, thickness / exposure));
}

/* n courses of which the last ends at the deck's upper edge: in full, its
 * length shortened by the tilt, which hangs on the exposure itself; or cut
 * there, so that what shows of it is one more exposure. */
static double exposure_for(const struct Courses *k, const Part *full,
                           int n) {
    double e = (k->run + k->first) / n, t = full->thickness.real;

    if (k->last == LAST_CUT)
        return e;
    for (int i = 0; i < 100; i++) {
        double reach = full->long_length.real * cos(tilt_of(t, e));
        e = fmax((k->run + k->first - reach) / fmax(n - 1, 1), t);
    }
    return e;
}

static int count_for(const struct Courses *k, const Part *full) {
    double t = full->thickness.real, e = k->exposure;
    double reach = full->long_length.real * cos(tilt_of(t, e));
    double n = k->last == LAST_CUT
             ? ceil((k->run + k->first) / e - 1e-6)
             : floor((k->run + k->first - reach) / e + 1 + 1e-6);

    return n > 1000 ? 1000 : n < 1 ? 1 : (int)n;
}

static bool read_exposure(Build *b, struct Courses *k, const Part *full,
                          Quantity *exposure) {
    const Node *n    = k->node;
    Quantity    none = quantity_exact(0, 1, DIM_LENGTH);
    Quantity    first = eval_member(b->c, b->s, "", n, "first", DIM_LENGTH,
                                    none);

    if (!node_find(n, "exposure") && !node_find(n, "count")) {
        report(b->c, n->loc, MISSING_KEY,
               "courses need an \"exposure\" or a \"count\"");
        hint(b->c, "say how much of each course shows, or how many there "
             "are");
        return false;
    }
    k->first = first.real;
    k->count = eval_count(b->c, b->s, "", n, "count", 0, 1, 1000);
    *exposure = eval_member(b->c, b->s, "", n, "exposure", DIM_LENGTH,
                            none);
    if (first.poison || exposure->poison
        || (node_find(n, "count") && k->count == 0))
        return false;
    if (!node_find(n, "exposure"))
        *exposure = quantity_mm(exposure_for(k, full, k->count));
    k->exposure = exposure->real;
    if (k->exposure <= full->thickness.real
        || full->long_length.real < k->exposure) {
        report(b->c, node_find(n, node_find(n, "exposure") ? "exposure"
                                                           : "count")->loc,
               COURSES_BAD,
               "an exposure of %.*s does not go with pieces %.*s long and "
               "%.*s thick", STR_ARG(mm_text(b, k->exposure)),
               STR_ARG(size_text(b, full->long_length)),
               STR_ARG(size_text(b, full->thickness)));
        hint(b->c, "it must be more than the thickness, and less than the "
             "length, so that courses overlap");
        return false;
    }
    if (!node_find(n, "count"))
        k->count = count_for(k, full);
    return true;
}

/* ---- Whole pieces across ---- */

static bool check_across(Build *b, struct Courses *k, const Part *full) {
    double wide = full->width.real, n = floor(k->breadth / wide + 1e-6);
    double left = k->breadth - n * wide;

    if (n >= 1 && left <= FIT_MM && n <= 1000) {
        k->whole = (int)n;
        return true;
    }
    report(b->c, node_find(k->node, "full")->loc, NOT_WHOLE,
           "%.0f pieces %.*s wide leave %.*s of %.*s over", n,
           STR_ARG(size_text(b, full->width)), STR_ARG(mm_text(b, left)),
           STR_ARG(mm_text(b, k->breadth)));
    if (n >= 1 && n < 1000)
        hint(b->c, "make part %.*s %.*s wide for %.0f in a course, or %.*s "
             "for %.0f", STR_ARG(full->letter),
             STR_ARG(mm_text(b, k->breadth / n)), n,
             STR_ARG(mm_text(b, k->breadth / (n + 1))), n + 1);
    else
        hint(b->c, "make part %.*s %.*s wide for one in a course",
             STR_ARG(full->letter), STR_ARG(mm_text(b, k->breadth)));
    return false;
}

/* A part that must be so long or so wide. */
static bool check_size(Build *b, const struct Courses *k, Kind kind,
                       const char *what, double is, double due) {
    const Node *text = node_find(k->node, kind_words[kind]);

    if (fabs(is - due) <= FIT_MM)
        return true;
    report(b->c, text->loc, COURSES_BAD,
           "part %.*s must be %.*s %s here, but is %.*s",
           STR_ARG(text->text), STR_ARG(mm_text(b, due)), what,
           STR_ARG(mm_text(b, is)));
    if (str_is(STR("wide"), what))
        hint(b->c, "half pieces are half as wide as full ones");
    else
        hint(b->c, "give it the length \"… .last\" of these courses, or "
             "that of the full piece");
    return false;
}

/* ---- Measuring: what formulas may know ---- */

static double last_length(const struct Courses *k) {
    double start = (k->count - 1) * k->exposure - k->first;

    return (k->run - start) / cos(k->tilt);
}

static void set_values(Build *b, Entry *e, const Part *full,
                       Quantity exposure) {
    const struct Courses *k = e->courses;
    double reach = full->long_length.real * cos(k->tilt);
    double end   = (k->count - 1) * k->exposure - k->first + reach;

    entry_value(b, e, "exposure", exposure);
    entry_value(b, e, "courses",
                quantity_exact(k->count, 1, DIM_NUMBER));
    entry_value(b, e, "across", quantity_exact(k->whole, 1, DIM_NUMBER));
    entry_value(b, e, "tilt", quantity_real(k->tilt / DEG, DIM_ANGLE));
    entry_value(b, e, "lift", world_length(k->lift));
    entry_value(b, e, "starter",
                world_length((reach - k->first) * tan(k->tilt)));
    entry_value(b, e, "bare", world_length(
                k->last == LAST_CUT ? 0 : k->run - end));
    entry_value(b, e, "last", k->last == LAST_CUT
                ? world_length(last_length(k)) : full->long_length);
}

static bool measure(Build *b, Entry *e, Loc at) {
    struct Courses *k  = e->courses;
    const Node     *on = node_find(k->node, "on");
    const Piece    *deck;
    const Part     *full;
    Quantity        exposure;

    if (!part_ready(b, e->part, at) || !on || on->kind != NODE_TEXT)
        return false;
    full = &b->m->parts.at[e->part];
    deck = find_deck(b, on);
    if (!deck || !find_up(b, k, deck))
        return false;
    measure_deck(k, &b->m->parts.at[deck->part], deck);
    if (!read_exposure(b, k, full, &exposure) || !check_across(b, k, full))
        return false;
    k->tilt = tilt_of(full->thickness.real, k->exposure);
    k->lift = full->long_length.real * sin(k->tilt);
    set_values(b, e, full, exposure);
    return true;
}

/* False where it is wrong, which has been reported. */
bool measure_courses(Build *b, Entry *e, Loc at) {
    if (e->part < 0)
        return false;
    if (e->measured == STATE_ACTIVE) {
        report(b->c, at, CYCLE, "the courses of '%.*s' depend on themselves",
               STR_ARG(e->name));
        hint(b->c, "give their exposure, or the part's length, as a plain "
             "size");
        return false;
    }
    if (e->measured == STATE_NEW) {
        e->measured = STATE_ACTIVE;
        (void)measure(b, e, at);
        e->measured = STATE_DONE;
    }
    return e->values.n > 0;
}

/* ---- Laying ---- */

/* A piece of course i, `v` from the side: its lower end lifted, its length
 * uphill and down onto the deck. */
static Frame slip_frame(const struct Courses *k, int i, double v) {
    double c = cos(k->tilt), s = sin(k->tilt);
    Frame  f;

    f.x = v3_sub(v3_scale(k->up, c), v3_scale(k->out, s));
    f.y = k->across;
    f.z = v3_add(v3_scale(k->out, c), v3_scale(k->up, s));
    f.o = v3_add(k->corner,
                 v3_add(v3_scale(k->up, i * k->exposure - k->first),
                        v3_add(v3_scale(k->across, v),
                               v3_scale(k->out, k->lift))));
    return f;
}

static void lay_course(Build *b, Entry *e, int i, Str name,
                       const Mirror *mirror) {
    const struct Courses *k = e->courses;
    bool   cut     = k->last == LAST_CUT && i == k->count - 1;
    bool   shifted = k->stagger && i % 2 == 1;
    int    n       = k->whole + (shifted ? 1 : 0);
    int    full    = k->part[cut ? PART_CUT_FULL : PART_FULL];
    int    half    = k->part[cut ? PART_CUT_HALF : PART_HALF];
    Str    group   = str_fmt(b->c, "%.*s course %d", STR_ARG(name), i + 1);
    double v       = 0;

    for (int j = 0; j < n; j++) {
        bool   is_half = shifted && (j == 0 || j == n - 1);
        int    part    = is_half ? half : full;
        Piece *p = add_piece(b, e, part,
                             str_fmt(b->c, "%.*s %d %d", STR_ARG(name),
                                     i + 1, j + 1),
                             group, slip_frame(k, i, v), mirror);
        p->set = name;
        v += b->m->parts.at[part].width.real;
    }
}

static bool check_parts(Build *b, const Entry *e) {
    const struct Courses *k = e->courses;
    const Part *full = &b->m->parts.at[e->part];
    bool        ok   = true;

    if (k->last == LAST_CUT && k->stagger && k->count % 2 == 0
        && k->part[PART_CUT_HALF] < 0) {
        report(b->c, k->node->loc, COURSES_BAD,
               "the last course, number %d, is cut to fit and begins with "
               "a half piece", k->count);
        hint(b->c, "name the part of its cut half pieces under \"cut "
             "half\"");
        return false;
    }
    for (int i = 0; i < PART_KINDS; i++) {
        const Part *p;
        bool half = i == PART_HALF || i == PART_CUT_HALF;
        bool cut  = i >= PART_CUT_FULL;
        if (k->part[i] < 0)
            continue;
        if (!part_ready(b, k->part[i], k->node->loc))
            return false;
        p  = &b->m->parts.at[k->part[i]];
        ok = check_size(b, k, (Kind)i, "wide", p->width.real,
                        half ? full->width.real / 2 : full->width.real)
          && check_size(b, k, (Kind)i, "long", p->long_length.real,
                        cut ? last_length(k) : full->long_length.real)
          && ok;
    }
    return ok;
}

void build_courses(Build *b, Entry *e) {
    Mirror mirror;
    bool   mirrored;

    if (!measure_courses(b, e, e->node->loc) || !check_parts(b, e))
        return;
    mirrored = e->mirror_name.n && mirror_plane(b, e, &mirror);
    if (e->courses->count * (e->courses->whole + 1) > 10000) {
        report(b->c, e->node->loc, OUT_OF_RANGE,
               "these courses make over 10000 pieces");
        return;
    }
    for (int i = 0; i < e->courses->count; i++)
        lay_course(b, e, i, e->name, NULL);
    for (int i = 0; mirrored && i < e->courses->count; i++)
        lay_course(b, e, i, e->mirror_name, &mirror);
}
