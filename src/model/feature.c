/* feature -- the cuts that shape a part, read into exact quantities and,
 * where they run through a face, a shape in the part's x and y. */
#include "model/model_internal.h"

#include <math.h>

static Quantity none(void) {
    return quantity_exact(0, 1, DIM_LENGTH);
}

const char *feature_name(const Feature *f) {
    static const char *const names[] = {   // ORDER FEATURE
        "hole", "arch", "cutout", "groove", "notch", "pocket hole",
        "scallops"
    };
    return names[f->kind];
}

const char *side_name(Side s) {
    static const char *const names[] = {   // ORDER SIDE
        "show face", "back face", "near edge", "far edge", "left end",
        "right end"
    };
    return names[s];
}

/* ---- Points and outlines ---- */

bool read_point(Build *b, const char *scope, const Node *object,
                const char *key, Quantity *x, Quantity *y) {
    const Node *list = node_list(b->c, object, key);

    *x = *y = none();
    if (!list)
        return false;
    if (list->count != 2) {
        report(b->c, list->loc, WRONG_KIND,
               "\"%s\" needs two lengths, not %d", key, list->count);
        hint(b->c, "for example [\"2in\", \"3/4in\"]");
        return false;
    }
    *x = eval_node(b->c, b->s, scope, list->first, DIM_LENGTH);
    *y = eval_node(b->c, b->s, scope, list->first->next, DIM_LENGTH);
    return !x->poison && !y->poison;
}

/* One corner of an outline; false: reported. */
static bool outline_step(Build *b, const char *scope, const Node *n,
                         bool first, V2 *pen, Loop *loop) {
    static const char *const keys[] = {   // SCHEMA corner
        "start", "line to", "arc to", "rise", NULL
    };
    const char *key = first ? "start"
                    : node_find(n, "arc to") ? "arc to" : "line to";
    Quantity x, y, rise;
    V2       to;

    if (!node_check_keys(b->c, n, keys, "a corner of an outline")
        || !node_need(b->c, n, key, first ? "the first corner of an outline"
                                          : "a corner of an outline")
        || !read_point(b, scope, n, key, &x, &y))
        return false;
    to = v2(x.real, y.real);
    if (first) {
        *pen = to;
        return true;
    }
    if (v2_len(v2_sub(to, *pen)) < 1e-6) {
        report(b->c, n->loc, OUTLINE_BAD,
               "this corner is where the last one was");
        hint(b->c, "leave it out");
        return false;
    }
    if (str_is(STR("arc to"), key)) {
        rise = eval_member(b->c, b->s, scope, n, "rise", DIM_LENGTH, none());
        if (rise.poison || !node_need(b->c, n, "rise", "an arc"))
            return false;
        *PUSH(b->c, loop) = fabs(rise.real) < 1e-9
                          ? seg_line(*pen, to)
                          : seg_arc_rise(*pen, to, rise.real);
    } else {
        *PUSH(b->c, loop) = seg_line(*pen, to);
    }
    *pen = to;
    return true;
}

static Shape reversed_if_clockwise(Build *b, Shape s) {
    Loop out = { 0 };

    if (shape_area(s) >= 0)
        return s;
    for (int i = s.loops.at[0].n - 1; i >= 0; i--)
        *PUSH(b->c, &out) = seg_reverse(s.loops.at[0].at[i]);
    s.loops.at[0] = out;
    return s;
}

Shape read_outline(Build *b, const char *scope, const Node *list, bool *ok) {
    Shape       s    = { 0 };
    Loop       *loop = PUSH(b->c, &s.loops);
    V2          pen  = { 0, 0 }, where = { 0, 0 };
    const char *why  = "";

    for (const Node *n = list->first; n; n = n->next) {
        if (!outline_step(b, scope, n, n == list->first, &pen, loop))
            *ok = false;
    }
    if (!*ok)
        return s;
    if (loop->n > 0 && v2_len(v2_sub(pen, loop->at[0].a)) > 1e-6) {
        V2 first = loop->at[0].a;
        *PUSH(b->c, loop) = seg_line(pen, first);
    }
    if (loop->n < 2) {
        report(b->c, list->loc, OUTLINE_BAD,
               "an outline needs at least two sides, this one has %d",
               loop->n);
        hint(b->c, "add corners by \"line to\" or \"arc to\"");
        *ok = false;
        return s;
    }
    s = reversed_if_clockwise(b, s);
    if (!shape_valid(b->c, s, &why, &where)) {
        report(b->c, list->loc, OUTLINE_BAD,
               "the outline %s near %.*s, %.*s", why,
               STR_ARG(mm_text(b, where.x)), STR_ARG(mm_text(b, where.y)));
        hint(b->c, "walk around it once, corner by corner, without crossing");
        *ok = false;
    }
    return s;
}

/* ---- One reader for each kind ---- */

static const char *const side_words[] = {   // ORDER SIDE, SCHEMA-ENUM side
    "show", "back", "near", "far", "left", "right", NULL
};

static Quantity size_of(Build *b, const char *scope, const Node *n,
                        const char *key, Quantity standing) {
    const Node *given = node_find(n, key);
    Quantity    q     = eval_member(b->c, b->s, scope, n, key, DIM_LENGTH,
                                    standing);
    if (given && !q.poison && q.real <= 0) {
        report(b->c, given->loc, FEATURE_BAD,
               "the %s of a cut must be more than nothing, not %.*s", key,
               STR_ARG(size_text(b, q)));
        hint(b->c, "check its formula");
        return POISON;
    }
    return q;
}

static bool read_hole(Build *b, const char *scope, const Node *n,
                      Feature *f) {
    static const char *const keys[] = {   // SCHEMA hole
        "at", "diameter", "depth", "into", NULL
    };

    node_check_keys(b->c, n, keys, "a hole");
    if (!node_need(b->c, n, "at", "a hole")
        || !node_need(b->c, n, "diameter", "a hole")
        || !read_point(b, scope, n, "at", &f->x, &f->y))
        return false;
    f->diameter = size_of(b, scope, n, "diameter", none());
    f->depth    = size_of(b, scope, n, "depth", none());
    f->side = (Side)node_choice(b->c, n, "into", side_words, SIDE_SHOW);
    if (f->diameter.poison || f->depth.poison)
        return false;
    if (f->side <= SIDE_BACK)
        f->shape = shape_circle(b->c, v2(f->x.real, f->y.real),
                                f->diameter.real / 2);
    return true;
}

static bool read_arch(Build *b, const char *scope, const Node *n,
                      Feature *f) {
    static const char *const keys[] = {   // SCHEMA arch
        "center", "width", "spring", "rise", "from", "form", NULL
    };
    static const char *const forms[] = {   // ArchKind, SCHEMA-ENUM arch-form
        "segmental", "elliptical", "pointed", NULL
    };

    node_check_keys(b->c, n, keys, "an arch");
    for (int i = 0; i < 4; i++) {
        if (!node_need(b->c, n, keys[i], "an arch"))
            return false;
    }
    f->x      = eval_member(b->c, b->s, scope, n, "center", DIM_LENGTH,
                            none());
    f->width  = size_of(b, scope, n, "width", none());
    f->spring = eval_member(b->c, b->s, scope, n, "spring", DIM_LENGTH,
                            none());
    f->rise   = size_of(b, scope, n, "rise", none());
    f->base   = eval_member(b->c, b->s, scope, n, "from", DIM_LENGTH,
                            none());
    f->arch = (ArchKind)node_choice(b->c, n, "form", forms, 0);
    if (f->x.poison || f->width.poison || f->spring.poison || f->rise.poison
        || f->base.poison)
        return false;
    if (f->arch == ARCH_SEGMENTAL
        && f->rise.real > f->width.real / 2 + 1e-9) {
        report(b->c, n->loc, FEATURE_BAD,
               "an arch %.*s wide can rise %.*s at most, not %.*s",
               STR_ARG(size_text(b, f->width)),
               STR_ARG(mm_text(b, f->width.real / 2)),
               STR_ARG(size_text(b, f->rise)));
        hint(b->c, "a semicircle rises half its width; for more use the "
             "form \"elliptical\" or \"pointed\"");
        return false;
    }
    if (f->arch == ARCH_POINTED
        && f->rise.real <= f->width.real / 2 + 1e-9) {
        report(b->c, n->loc, FEATURE_BAD,
               "a pointed arch %g mm wide must rise over %g mm, not %g mm",
               f->width.real, f->width.real / 2, f->rise.real);
        hint(b->c, "for a lower arch use the form \"segmental\"");
        return false;
    }
    f->shape = shape_arch(b->c, f->arch, f->x.real, f->base.real,
                          f->spring.real, f->width.real, f->rise.real);
    return true;
}

static bool read_cutout(Build *b, const char *scope, const Node *n,
                        Feature *f) {
    static const char *const keys[] = {   // SCHEMA cutout
        "outline", "at", NULL
    };
    const Node *list = node_list(b->c, n, "outline");
    bool        ok   = true;

    node_check_keys(b->c, n, keys, "a cutout");
    if (!node_need(b->c, n, "outline", "a cutout") || !list)
        return false;
    f->shape = read_outline(b, scope, list, &ok);
    f->x = f->y = none();
    if (node_find(n, "at") && !read_point(b, scope, n, "at", &f->x, &f->y))
        return false;
    if (ok)
        f->shape = shape_move(b->c, f->shape, v2(f->x.real, f->y.real));
    return ok;
}

static bool read_rectangle(Build *b, const char *scope, const Node *n,
                           Feature *f) {
    static const char *const groove[] = {   // SCHEMA groove
        "at", "length", "width", "depth", "into", NULL
    };
    static const char *const notch[] = {   // SCHEMA notch
        "at", "length", "width", NULL
    };
    static const char *const faces[] = {   // SCHEMA-ENUM face
        "show", "back", NULL
    };
    bool  deep = f->kind == FEATURE_GROOVE;
    const char *what = deep ? "a groove" : "a notch";

    node_check_keys(b->c, n, deep ? groove : notch, what);
    if (!node_need(b->c, n, "at", what)
        || !node_need(b->c, n, "length", what)
        || !node_need(b->c, n, "width", what)
        || !read_point(b, scope, n, "at", &f->x, &f->y))
        return false;
    f->length = size_of(b, scope, n, "length", none());
    f->width  = size_of(b, scope, n, "width", none());
    f->depth  = none();
    if (deep) {
        if (!node_need(b->c, n, "depth", what))
            return false;
        f->depth = size_of(b, scope, n, "depth", none());
        f->side  = (Side)node_choice(b->c, n, "into", faces, SIDE_SHOW);
    }
    if (f->length.poison || f->width.poison || f->depth.poison)
        return false;
    f->shape = shape_rect(b->c, v2(f->x.real, f->y.real),
                          v2(f->x.real + f->length.real,
                             f->y.real + f->width.real));
    return true;
}

static bool read_pocket(Build *b, const char *scope, const Node *n,
                        Feature *f) {
    static const char *const keys[] = {   // SCHEMA pocket
        "at", "toward", "diameter", NULL
    };
    static const char *const sides[] = {   // SCHEMA-ENUM toward
        "near", "far", "left", "right", NULL
    };

    node_check_keys(b->c, n, keys, "a pocket hole");
    if (!node_need(b->c, n, "at", "a pocket hole")
        || !node_need(b->c, n, "toward", "a pocket hole"))
        return false;
    f->y = eval_member(b->c, b->s, scope, n, "at", DIM_LENGTH, none());
    f->side = (Side)(SIDE_NEAR + node_choice(b->c, n, "toward", sides,
                                             SIDE_RIGHT - SIDE_NEAR));
    f->depth = none();
    f->diameter = size_of(b, scope, n, "diameter", quantity_inches(3, 8));
    f->x = none();
    return !f->y.poison && !f->diameter.poison;
}

/* Scallops along an edge: lobes that hang to the edge line with cusps
 * between them, one pitch each. What is cut away is the strip beside them:
 *
 *     ---------------------------------   depth
 *      \     /\     /\     /\     /
 *       `---'  `---'  `---'  `---'        edge line
 */
static Shape scallop_waste(Build *b, const Part *part, const Feature *f) {
    Shape  s    = { 0 };
    Loop  *l    = PUSH(b->c, &s.loops);
    double x0   = f->start.real, pitch = f->pitch.real;
    double x1   = x0 + pitch * f->repeats, drop = f->drop.real;
    bool   far  = f->side == SIDE_FAR;
    double edge = far ? part->width.real : 0;
    double out  = far ? edge + 1 : -1, in = far ? edge - drop : drop;
    V2     pen  = v2(x1, in);

    loop_line_to(b->c, l, v2(x0, in), v2(x0, out));
    loop_line_to(b->c, l, v2(x0, out), v2(x1, out));
    loop_line_to(b->c, l, v2(x1, out), pen);
    for (int i = f->repeats - 1; i >= 0; i--) {
        V2 to = v2(x0 + pitch * i, in);
        *PUSH(b->c, l) = seg_arc_rise(pen, to, far ? -drop : drop);
        pen = to;
    }
    return reversed_if_clockwise(b, s);
}

static bool read_scallop(Build *b, const char *scope, const Node *n,
                         const Part *part, Feature *f) {
    static const char *const keys[] = {   // SCHEMA scallops
        "edge", "pitch", "depth", "start", "count", NULL
    };
    static const char *const edges[] = {   // SCHEMA-ENUM edge
        "near", "far", NULL
    };
    double room;

    node_check_keys(b->c, n, keys, "scallops");
    if (!node_need(b->c, n, "pitch", "scallops")
        || !node_need(b->c, n, "depth", "scallops"))
        return false;
    f->side  = node_choice(b->c, n, "edge", edges, 0) ? SIDE_FAR : SIDE_NEAR;
    f->pitch = size_of(b, scope, n, "pitch", none());
    f->drop  = size_of(b, scope, n, "depth", none());
    f->start = eval_member(b->c, b->s, scope, n, "start", DIM_LENGTH,
                           none());
    if (f->pitch.poison || f->drop.poison || f->start.poison
        || part->long_length.poison)
        return false;
    room = part->long_length.real - f->start.real;
    f->repeats = eval_count(b->c, b->s, scope, n, "count",
                            (int)floor(room / f->pitch.real + 1e-9), 1,
                            10000);
    f->left_over = quantity_sub(b->c, n->loc, part->long_length,
                                quantity_add(b->c, n->loc, f->start,
                                    quantity_mul(b->c, n->loc, f->pitch,
                                        quantity_exact(f->repeats, 1,
                                                       DIM_NUMBER))));
    if (f->repeats < 1 || f->left_over.poison || f->left_over.real < -1e-6) {
        report(b->c, n->loc, FEATURE_BAD,
               "%d scallops of %.*s do not fit in %.*s", f->repeats,
               STR_ARG(size_text(b, f->pitch)), STR_ARG(mm_text(b, room)));
        hint(b->c, "take fewer, make them shorter, or leave \"count\" out");
        return false;
    }
    if (f->drop.real > f->pitch.real / 2 + 1e-9) {
        report(b->c, n->loc, FEATURE_BAD,
               "a scallop %.*s long can be %.*s deep at most, not %.*s",
               STR_ARG(size_text(b, f->pitch)),
               STR_ARG(mm_text(b, f->pitch.real / 2)),
               STR_ARG(size_text(b, f->drop)));
        hint(b->c, "half its length makes a semicircle");
        return false;
    }
    f->shape = scallop_waste(b, part, f);
    return true;
}

/* ---- The list ---- */

static bool read_kind(Build *b, const char *scope, const Node *n,
                      const Part *part, Feature *f) {
    switch (f->kind) {   // ORDER FEATURE
    case FEATURE_HOLE:    return read_hole(b, scope, n, f);
    case FEATURE_ARCH:    return read_arch(b, scope, n, f);
    case FEATURE_CUTOUT:  return read_cutout(b, scope, n, f);
    case FEATURE_GROOVE:
    case FEATURE_NOTCH:   return read_rectangle(b, scope, n, f);
    case FEATURE_POCKET:  return read_pocket(b, scope, n, f);
    case FEATURE_SCALLOP: return read_scallop(b, scope, n, part, f);
    }
    return false;
}

static void read_repeat(Build *b, const char *scope, const Node *n,
                        Feature *f) {
    static const char *const keys[] = {   // SCHEMA repeat
        "count", "step", NULL
    };
    const Node *repeat = node_object(b->c, n, "repeat");

    f->count  = 1;
    f->step_x = f->step_y = none();
    if (!repeat || !node_check_keys(b->c, repeat, keys, "\"repeat\""))
        return;
    f->count = eval_count(b->c, b->s, scope, repeat, "count", 1, 1, 1000);
    if (node_need(b->c, repeat, "step", "\"repeat\"")
        && !read_point(b, scope, repeat, "step", &f->step_x, &f->step_y))
        f->count = 1;
}

static const char *const kind_words[] = {   // ORDER FEATURE, SCHEMA-ONE feature
    "hole", "arch", "cutout", "groove", "notch", "pocket", "scallops"
};

static const char *const feature_keys[] = {   // SCHEMA feature
    "hole", "arch", "cutout", "groove", "notch", "pocket", "scallops",
    "repeat", "note", NULL
};

/* What a cut takes of the side that it is worked from, and the size of
 * that side. A pocket hole is only placed across the board. */
static Box2 cut_box(const Part *part, const Feature *f, V2 *side) {
    double r   = f->diameter.real / 2;
    bool   end = f->side >= SIDE_LEFT;
    V2     at  = v2(f->x.real, f->y.real);

    *side = v2(part->long_length.real, part->width.real);
    if (f->shape.loops.n)
        return shape_box(f->shape);
    *side = v2(end ? side->y : side->x, part->thickness.real);
    if (f->kind == FEATURE_POCKET)
        at = v2(f->y.real, side->y / 2);
    return (Box2){ v2_sub(at, v2(r, r)), v2_add(at, v2(r, r)) };
}

/* From one copy to the next, on the side that it is worked from. */
static V2 copy_step(const Feature *f) {
    if (f->kind == FEATURE_POCKET)
        return v2(f->side >= SIDE_LEFT ? f->step_y.real : f->step_x.real, 0);
    return v2(f->step_x.real, f->step_y.real);
}

static bool misses(Box2 cut, V2 side) {
    return cut.max.x <= 0 || cut.max.y <= 0 || cut.min.x >= side.x
        || cut.min.y >= side.y;
}

static void report_beside(Build *b, const Part *part, const Feature *f,
                          Box2 box, V2 side) {
    bool face = f->shape.loops.n > 0;

    report(b->c, f->loc, FEATURE_BAD,
           "this %s lies at %.*s, %.*s to %.*s, %.*s, beside %s%spart %.*s "
           "of %.*s x %.*s", feature_name(f), STR_ARG(mm_text(b, box.min.x)),
           STR_ARG(mm_text(b, box.min.y)), STR_ARG(mm_text(b, box.max.x)),
           STR_ARG(mm_text(b, box.max.y)), face ? "" : "the ",
           face ? "" : str_z(b->c, str_fmt(b->c, "%s of ",
                                           side_name(f->side))),
           STR_ARG(part->letter), STR_ARG(mm_text(b, side.x)),
           STR_ARG(mm_text(b, side.y)));
    hint(b->c, face ? "x runs along the length from the left end, y across "
         "the width from the near edge" : "the first runs along that side, "
         "the second up from the back face");
}

/* A cut, or a copy of it, that lies beside the blank is a slip of the
 * author's. */
static bool meets_blank(Build *b, const Part *part, const Feature *f) {
    V2   side, step = copy_step(f);
    Box2 box = cut_box(part, f, &side);

    if (part->long_length.poison)
        return true;
    for (int i = 0; i < f->count; i++) {
        if (misses(box, side)) {
            report_beside(b, part, f, box, side);
            return false;
        }
        box.min = v2_add(box.min, step);
        box.max = v2_add(box.max, step);
    }
    return true;
}

/* The one kind of cut that a feature names, or -1. */
static int find_cut(Build *b, const Node *n) {
    int kind = -1;

    for (int i = 0; i < COUNT(kind_words); i++) {
        if (!node_find(n, kind_words[i]))
            continue;
        if (kind < 0) {
            kind = i;
            continue;
        }
        report(b->c, n->loc, FEATURE_BAD,
               "this feature is both \"%s\" and \"%s\"",
               kind_words[kind], kind_words[i]);
        hint(b->c, "write each cut in braces of its own");
        return -1;
    }
    if (kind >= 0)
        return kind;
    report(b->c, n->loc, MISSING_KEY, "this feature names no cut");
    hint(b->c, "known: \"hole\", \"arch\", \"cutout\", \"groove\", "
         "\"notch\", \"pocket\", \"scallops\"");
    return -1;
}

static void read_feature(Build *b, Part *part, const char *scope,
                         const Node *n) {
    Feature     f = { 0 };
    const Node *body;
    int         kind;

    if (!node_check_keys(b->c, n, feature_keys, "a feature"))
        return;
    kind = find_cut(b, n);
    if (kind < 0)
        return;
    f.kind = (FeatureKind)kind;
    body   = node_object(b->c, n, kind_words[kind]);
    if (!body)
        return;
    f.loc  = n->loc;
    f.note = node_str(b->c, n, "note");
    read_repeat(b, scope, n, &f);
    if (read_kind(b, scope, body, part, &f) && meets_blank(b, part, &f))
        *PUSH(b->c, &part->features) = f;
}

void read_features(Build *b, Part *part, const Node *node) {
    const Node *list  = node_list(b->c, node, "features");
    char       *scope = str_z(b->c, str_fmt(b->c, "%.*s.",
                                            STR_ARG(part->letter)));

    for (const Node *n = list ? list->first : NULL; n; n = n->next)
        read_feature(b, part, scope, n);
}
