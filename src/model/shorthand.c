/* shorthand -- cuts that a joiner has a name for. All are grooves and
 * notches in the end; the booklet tells them by their own names.
 */
#include "model/model_internal.h"

#include <math.h>

static Quantity none(void) {
    return quantity_exact(0, 1, DIM_LENGTH);
}

static Quantity halved(Build *b, Loc at, Quantity q) {
    return quantity_div(b->c, at, q, quantity_exact(2, 1, DIM_NUMBER));
}

static Quantity less(Build *b, Loc at, Quantity a, Quantity x) {
    return quantity_sub(b->c, at, a, x);
}

static Side read_face(Build *b, const Node *n) {
    static const char *const faces[] = {   // SCHEMA-ENUM face
        "show", "back", NULL
    };

    return (Side)node_choice(b->c, n, "into", faces, SIDE_SHOW);
}

static bool is_right(Build *b, const Node *n) {
    static const char *const ends[] = {   // SCHEMA-ENUM end
        "left", "right", NULL
    };

    return node_choice(b->c, n, "end", ends, 0) == 1;
}

/* The rectangle of a cut in the face; false where a size is unknown. */
static bool make_rectangle(Build *b, const Part *part, Feature *f) {
    if (f->x.poison || f->y.poison || f->length.poison || f->width.poison
        || f->depth.poison || part->thickness.poison || part->width.poison
        || part->long_length.poison)
        return false;
    f->shape = shape_rect(b->c, v2(f->x.real, f->y.real),
                          v2(f->x.real + f->length.real,
                             f->y.real + f->width.real));
    return true;
}

/* No deeper than the part is thick: a shorthand that is to leave wood. */
static bool leaves_wood(Build *b, const Node *n, const Part *part,
                        const Feature *f) {
    if (f->depth.real < part->thickness.real - 1e-6)
        return true;
    report(b->c, n->loc, FEATURE_BAD,
           "a %s %.*s deep leaves nothing of a part %.*s thick",
           feature_name(f), STR_ARG(size_text(b, f->depth)),
           STR_ARG(size_text(b, part->thickness)));
    hint(b->c, "make it shallower, or cut a \"notch\"");
    return false;
}

bool read_dado(Build *b, const char *scope, const Node *n, const Part *part,
               Feature *f) {
    static const char *const keys[] = {   // SCHEMA dado
        "at", "width", "depth", "into", "from", "to", NULL
    };
    Quantity to;

    node_check_keys(b->c, n, keys, "a dado");
    f->crosswise = true;
    f->side   = read_face(b, n);
    f->length = cut_size(b, scope, n, "width", "a dado", NULL);
    f->depth  = cut_size(b, scope, n, "depth", "a dado", NULL);
    if (!node_need(b->c, n, "at", "a dado"))
        return false;
    f->x = eval_member(b->c, b->s, scope, n, "at", DIM_LENGTH, none());
    f->y = eval_member(b->c, b->s, scope, n, "from", DIM_LENGTH, none());
    to   = eval_member(b->c, b->s, scope, n, "to", DIM_LENGTH, part->width);
    f->width = less(b, n->loc, to, f->y);
    if (!make_rectangle(b, part, f))
        return false;
    if (f->width.real <= 0) {
        report(b->c, n->loc, FEATURE_BAD,
               "this dado runs from %.*s to %.*s",
               STR_ARG(size_text(b, f->y)), STR_ARG(size_text(b, to)));
        hint(b->c, "\"from\" and \"to\" run across the width, from the "
             "near edge");
        return false;
    }
    return leaves_wood(b, n, part, f);
}

bool read_rabbet(Build *b, const char *scope, const Node *n,
                 const Part *part, Feature *f) {
    static const char *const keys[] = {   // SCHEMA rabbet
        "edge", "width", "depth", "into", NULL
    };
    Quantity across;
    int      edge;

    node_check_keys(b->c, n, keys, "a rabbet");
    if (!node_need(b->c, n, "edge", "a rabbet"))
        return false;
    edge      = node_choice(b->c, n, "edge", side_words + SIDE_NEAR, 0);
    across    = cut_size(b, scope, n, "width", "a rabbet", NULL);
    f->depth  = cut_size(b, scope, n, "depth", "a rabbet", NULL);
    f->side   = read_face(b, n);
    f->x      = f->y = none();
    f->crosswise = edge >= 2;
    f->length = f->crosswise ? across : part->long_length;
    f->width  = f->crosswise ? part->width : across;
    if (edge == 1)
        f->y = less(b, n->loc, part->width, across);
    if (edge == 3)
        f->x = less(b, n->loc, part->long_length, across);
    return make_rectangle(b, part, f) && leaves_wood(b, n, part, f);
}

/* At an end, or anywhere along the length by "at"; half the thickness. */
bool read_lap(Build *b, const char *scope, const Node *n, const Part *part,
              Feature *f) {
    static const char *const keys[] = {   // SCHEMA lap
        "at", "end", "length", "depth", "into", NULL
    };
    Quantity half;

    node_check_keys(b->c, n, keys, "a lap");
    if (!node_find(n, "at") == !node_find(n, "end")) {
        report(b->c, n->loc, FEATURE_BAD, node_find(n, "at")
               ? "this lap is both \"at\" a place and at an \"end\""
               : "this lap is neither \"at\" a place nor at an \"end\"");
        hint(b->c, "an end lap has an \"end\", a middle lap \"at\"");
        return false;
    }
    half = halved(b, n->loc, part->thickness);
    f->crosswise = true;
    f->side   = read_face(b, n);
    f->length = cut_size(b, scope, n, "length", "a lap", NULL);
    f->depth  = cut_size(b, scope, n, "depth", "a lap", &half);
    f->width  = part->width;
    f->y      = none();
    f->x      = eval_member(b->c, b->s, scope, n, "at", DIM_LENGTH, none());
    if (node_find(n, "end") && is_right(b, n))
        f->x = less(b, n->loc, part->long_length, f->length);
    return make_rectangle(b, part, f) && leaves_wood(b, n, part, f);
}

/* ---- Tenons ---- */

/* Shoulders at two sides of a tongue: what is not given is the rest, half
 * to each side where neither is. */
static void split_rest(Build *b, const char *scope, const Node *n,
                       Quantity rest, const char *first, const char *second,
                       Quantity *a, Quantity *z) {
    const Node *at_a = node_find(n, first), *at_z = node_find(n, second);

    *a = *z = halved(b, n->loc, rest);
    if (at_a)
        *a = eval_member(b->c, b->s, scope, n, first, DIM_LENGTH, *a);
    if (at_z)
        *z = eval_member(b->c, b->s, scope, n, second, DIM_LENGTH, *z);
    if (at_a && !at_z)
        *z = less(b, n->loc, rest, *a);
    if (at_z && !at_a)
        *a = less(b, n->loc, rest, *z);
}

static bool shoulders_fit(Build *b, const Node *n, const Feature *f,
                          int at, Quantity tongue, Quantity all,
                          const char *which) {
    Quantity a = f->shoulder[at], z = f->shoulder[at + 1];
    double   sum;

    if (a.poison || z.poison || tongue.poison || all.poison)
        return false;
    sum = a.real + z.real + tongue.real;
    if (a.real > -1e-6 && z.real > -1e-6 && fabs(sum - all.real) < 1e-6)
        return true;
    report(b->c, n->loc, FEATURE_BAD,
           "a tenon %.*s %s with shoulders of %.*s and %.*s does not make "
           "the %.*s of the part", STR_ARG(size_text(b, tongue)), which,
           STR_ARG(size_text(b, a)), STR_ARG(size_text(b, z)),
           STR_ARG(size_text(b, all)));
    hint(b->c, "give one shoulder, and the other follows");
    return false;
}

static bool has_shoulder(Build *b, const Node *n, const Feature *f) {
    for (int i = 0; i < 4; i++) {
        if (f->shoulder[i].real > 1e-6)
            return true;
    }
    report(b->c, n->loc, FEATURE_BAD,
           "this tenon is as thick and as wide as its part");
    hint(b->c, "make the \"thickness\" or the \"width\" less");
    return false;
}

/* A tongue at an end: its cheeks are cut from both faces, its edges by
 * notches. A third of the thickness is common practice, no published
 * source. */
bool read_tenon(Build *b, const char *scope, const Node *n,
                const Part *part, Feature *f) {
    static const char *const keys[] = {   // SCHEMA tenon
        "end", "length", "thickness", "width", "show shoulder",
        "back shoulder", "near shoulder", "far shoulder", NULL
    };
    Quantity third = quantity_div(b->c, n->loc, part->thickness,
                                  quantity_exact(3, 1, DIM_NUMBER));

    node_check_keys(b->c, n, keys, "a tenon");
    if (!node_need(b->c, n, "end", "a tenon"))
        return false;
    f->length = cut_size(b, scope, n, "length", "a tenon", NULL);
    f->thick  = cut_size(b, scope, n, "thickness", "a tenon", &third);
    f->wide   = cut_size(b, scope, n, "width", "a tenon", &part->width);
    f->width  = part->width;
    f->crosswise = true;
    f->y = f->depth = none();
    f->x = is_right(b, n) ? less(b, n->loc, part->long_length, f->length)
                          : none();
    split_rest(b, scope, n, less(b, n->loc, part->thickness, f->thick),
               "show shoulder", "back shoulder", &f->shoulder[0],
               &f->shoulder[1]);
    split_rest(b, scope, n, less(b, n->loc, part->width, f->wide),
               "near shoulder", "far shoulder", &f->shoulder[2],
               &f->shoulder[3]);
    return make_rectangle(b, part, f)
        && shoulders_fit(b, n, f, 0, f->thick, part->thickness, "thick")
        && shoulders_fit(b, n, f, 2, f->wide, part->width, "wide")
        && has_shoulder(b, n, f);
}

void tenon_cuts(Build *b, const Part *part, const Feature *f,
                Features *out) {
    for (int i = 0; i < 4; i++) {
        Feature cut = *f;
        if (f->shoulder[i].real <= 1e-6)
            continue;
        cut.kind = i < 2 ? FEATURE_GROOVE : FEATURE_NOTCH;
        cut.side = i == 1 ? SIDE_BACK : SIDE_SHOW;
        cut.echo = out->n > 0;
        if (i < 2)
            cut.depth = f->shoulder[i];
        else
            cut.width = f->shoulder[i];
        if (i == 3)
            cut.y = less(b, f->loc, part->width, f->shoulder[i]);
        (void)make_rectangle(b, part, &cut);
        *PUSH(b->c, out) = cut;
    }
}

/* ---- Mortises, slots ---- */

/* In a face like a groove; in an edge or end "at" runs along it and up
 * from the back face, as with holes. */
bool read_mortise(Build *b, const char *scope, const Node *n,
                  const Part *part, Feature *f) {
    static const char *const keys[] = {   // SCHEMA mortise
        "at", "length", "width", "depth", "into", NULL
    };
    Quantity through = none();

    node_check_keys(b->c, n, keys, "a mortise");
    if (!node_need(b->c, n, "at", "a mortise")
        || !read_point(b, scope, n, "at", &f->x, &f->y))
        return false;
    f->length = cut_size(b, scope, n, "length", "a mortise", NULL);
    f->width  = cut_size(b, scope, n, "width", "a mortise", NULL);
    f->depth  = cut_size(b, scope, n, "depth", "a mortise", &through);
    f->side   = (Side)node_choice(b->c, n, "into", side_words, SIDE_SHOW);
    if (!make_rectangle(b, part, f))
        return false;
    if (f->side > SIDE_BACK)
        f->shape = (Shape){ 0 };
    else if (f->depth.real <= 0)
        f->kind = FEATURE_NOTCH;
    return true;
}

/* A slot as long as it says from round end to round end.
 *
 *      .------------.
 *     (      +       )    "at" is its middle
 *      `------------'
 */
static Shape slot_shape(Build *b, const Feature *f) {
    bool   across = f->width.real > f->length.real;
    double r  = fmin(f->length.real, f->width.real) / 2;
    V2     lo = v2(f->x.real, f->y.real);
    V2     hi = v2_add(lo, v2(f->length.real, f->width.real));
    Shape  s  = { 0 };
    Loop  *l  = PUSH(b->c, &s.loops);
    V2     v[4];

    if (across) {
        v[0] = v2(hi.x, lo.y + r), v[1] = v2(hi.x, hi.y - r);
        v[2] = v2(lo.x, hi.y - r), v[3] = v2(lo.x, lo.y + r);
    } else {
        v[0] = v2(lo.x + r, lo.y), v[1] = v2(hi.x - r, lo.y);
        v[2] = v2(hi.x - r, hi.y), v[3] = v2(lo.x + r, hi.y);
    }
    for (int i = 0; i < 4; i += 2) {
        V2 next = v[(i + 2) % 4];
        loop_line_to(b->c, l, v[i], v[i + 1]);
        *PUSH(b->c, l) = seg_arc_rise(v[i + 1], next, -r);
    }
    return s;
}

bool read_slot(Build *b, const char *scope, const Node *n, const Part *part,
               Feature *f) {
    static const char *const keys[] = {   // SCHEMA slot
        "at", "length", "width", "depth", "into", "runs", NULL
    };
    static const char *const ways[] = {   // SCHEMA-ENUM runs
        "along", "across", NULL
    };
    Quantity x, y, long_, wide, through = none();
    bool     across;

    node_check_keys(b->c, n, keys, "a slot");
    if (!node_need(b->c, n, "at", "a slot")
        || !read_point(b, scope, n, "at", &x, &y))
        return false;
    long_    = cut_size(b, scope, n, "length", "a slot", NULL);
    wide     = cut_size(b, scope, n, "width", "a slot", NULL);
    f->depth = cut_size(b, scope, n, "depth", "a slot", &through);
    f->side  = read_face(b, n);
    across   = node_choice(b->c, n, "runs", ways, 0) == 1;
    if (long_.poison || wide.poison)
        return false;
    if (long_.real <= wide.real + 1e-6) {
        report(b->c, n->loc, FEATURE_BAD,
               "a slot %.*s wide must be longer than that, not %.*s",
               STR_ARG(size_text(b, wide)), STR_ARG(size_text(b, long_)));
        hint(b->c, "its length is that from round end to round end");
        return false;
    }
    f->crosswise  = across;
    f->round_ends = true;
    f->length = across ? wide : long_;
    f->width  = across ? long_ : wide;
    f->x = less(b, n->loc, x, halved(b, n->loc, f->length));
    f->y = less(b, n->loc, y, halved(b, n->loc, f->width));
    if (!make_rectangle(b, part, f))
        return false;
    f->shape = slot_shape(b, f);
    if (f->depth.real > 0)
        f->kind = FEATURE_GROOVE;
    return true;
}

/* ---- Finger joints ---- */

/* The end is divided across the width into fingers and gaps in turn, from
 * the near edge. By "pitch", the last one may be cut short. */
static bool divide_end(Build *b, const char *scope, const Node *n,
                       const Part *part, Feature *f, int *parts) {
    double whole;

    if (!node_find(n, "count") == !node_find(n, "pitch")) {
        report(b->c, n->loc, FEATURE_BAD, node_find(n, "count")
               ? "this finger joint has both a \"count\" and a \"pitch\""
               : "this finger joint has no \"count\" and no \"pitch\"");
        hint(b->c, "\"count\" fingers and gaps share the width; \"pitch\" "
             "is the width of each");
        return false;
    }
    if (part->width.poison)
        return false;
    if (node_find(n, "count")) {
        *parts   = eval_count(b->c, b->s, scope, n, "count", 3, 2, 1000);
        f->pitch = quantity_div(b->c, n->loc, part->width,
                                quantity_exact(*parts, 1, DIM_NUMBER));
        f->left_over = none();
        return !f->pitch.poison;
    }
    f->pitch = cut_size(b, scope, n, "pitch", "a finger joint", NULL);
    if (f->pitch.poison)
        return false;
    whole  = floor(fmin(part->width.real / f->pitch.real, 2000) + 1e-9);
    *parts = (int)ceil(fmin(part->width.real / f->pitch.real, 2000) - 1e-9);
    f->left_over = less(b, n->loc, part->width,
                        quantity_mul(b->c, n->loc, f->pitch,
                            quantity_exact((int)whole, 1, DIM_NUMBER)));
    if (*parts >= 2 && *parts <= 1000)
        return true;
    report(b->c, n->loc, FEATURE_BAD,
           "fingers of %.*s divide the width of %.*s into %d",
           STR_ARG(size_text(b, f->pitch)),
           STR_ARG(size_text(b, part->width)), *parts);
    hint(b->c, "a finger joint has 2 to 1000 fingers and gaps");
    return false;
}

bool read_finger_joint(Build *b, const char *scope, const Node *n,
                       const Part *part, Feature *f) {
    static const char *const keys[] = {   // SCHEMA finger-joint
        "end", "count", "pitch", "depth", "starts", NULL
    };
    static const char *const starts[] = {   // SCHEMA-ENUM starts
        "finger", "gap", NULL
    };
    int parts, gaps;

    node_check_keys(b->c, n, keys, "a finger joint");
    f->length = cut_size(b, scope, n, "depth", "a finger joint", NULL);
    if (!node_need(b->c, n, "end", "a finger joint")
        || !divide_end(b, scope, n, part, f, &parts))
        return false;
    f->starts_gap = node_choice(b->c, n, "starts", starts, 0) == 1;
    f->crosswise  = true;
    f->width = f->pitch;
    f->depth = none();
    f->x = is_right(b, n) ? less(b, n->loc, part->long_length, f->length)
                          : none();
    f->y = f->starts_gap ? none() : f->pitch;
    gaps = f->starts_gap ? (parts + 1) / 2 : parts / 2;
    f->repeats = parts - gaps;
    f->count   = gaps;
    for (int i = 0; i < gaps; i++)
        *PUSH(b->c, &f->copies) = (Offset){ none(),
            quantity_mul(b->c, n->loc, f->pitch,
                         quantity_exact(2 * i, 1, DIM_NUMBER)) };
    return make_rectangle(b, part, f);
}
