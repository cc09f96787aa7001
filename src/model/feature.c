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
        "scallops", "chamfer", "round over"
    };
    return f->word ? f->word : names[f->kind];
}

V2 feature_copy(const Feature *f, int copy) {
    if (copy >= f->copies.n)
        return v2(0, 0);
    return v2(f->copies.at[copy].x.real, f->copies.at[copy].y.real);
}

bool feature_in_face(const Feature *f) {
    return f->shape.loops.n > 0;
}

const char *side_name(Side s) {
    static const char *const names[] = {   // ORDER SIDE
        "show face", "back face", "near edge", "far edge", "left end",
        "right end"
    };
    return names[s];
}

/* ---- Points ---- */

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

/* ---- One reader for each kind ---- */

const char *const side_words[] = {   // ORDER SIDE, SCHEMA-ENUM side
    "show", "back", "near", "far", "left", "right", NULL
};

Quantity cut_size(Build *b, const char *scope, const Node *n,
                  const char *key, const char *what,
                  const Quantity *standing) {
    const Node *given = node_find(n, key);
    Quantity    q;

    if (!standing && !node_need(b->c, n, key, what))
        return POISON;
    q = eval_member(b->c, b->s, scope, n, key, DIM_LENGTH,
                    standing ? *standing : none());
    if (given && !q.poison && q.real <= 0) {
        report(b->c, given->loc, FEATURE_BAD,
               "the %s of a cut must be more than nothing, not %.*s", key,
               STR_ARG(size_text(b, q)));
        hint(b->c, "check its formula");
        return POISON;
    }
    return q;
}

static Quantity size_of(Build *b, const char *scope, const Node *n,
                        const char *key, Quantity standing) {
    return cut_size(b, scope, n, key, "", &standing);
}

/* A cone at the mouth of a hole for the head of a screw. */
static bool read_sink(Build *b, const char *scope, const Node *n,
                      Feature *f) {
    static const char *const keys[] = {   // SCHEMA countersink
        "diameter", "angle", NULL
    };
    const Node *sink = node_object(b->c, n, "countersink");
    Quantity    usual = quantity_exact(82, 1, DIM_ANGLE);

    f->sink = none();
    if (!sink)
        return !node_find(n, "countersink");
    node_check_keys(b->c, sink, keys, "a countersink");
    f->sink = cut_size(b, scope, sink, "diameter", "a countersink", NULL);
    f->sink_angle = eval_member(b->c, b->s, scope, sink, "angle", DIM_ANGLE,
                                usual);
    if (f->sink.poison || f->sink_angle.poison || f->diameter.poison)
        return false;
    if (f->sink.real <= f->diameter.real) {
        report(b->c, sink->loc, FEATURE_BAD,
               "this countersink is %.*s wide, and its hole %.*s",
               STR_ARG(size_text(b, f->sink)),
               STR_ARG(size_text(b, f->diameter)));
        hint(b->c, "a countersink is as wide as the head of the screw, "
             "wider than the hole");
        return false;
    }
    if (f->sink_angle.real < 60 || f->sink_angle.real > 120) {
        report(b->c, sink->loc, FEATURE_BAD,
               "a countersink has 60 to 120 deg, not %g",
               f->sink_angle.real);
        hint(b->c, "heads of wood screws have 82 or 90 deg");
        return false;
    }
    return true;
}

static bool read_hole(Build *b, const char *scope, const Node *n,
                      Feature *f) {
    static const char *const keys[] = {   // SCHEMA hole
        "at", "diameter", "depth", "into", "countersink", "lean", "toward",
        NULL
    };

    node_check_keys(b->c, n, keys, "a hole");
    if (!node_need(b->c, n, "at", "a hole")
        || !node_need(b->c, n, "diameter", "a hole")
        || !read_point(b, scope, n, "at", &f->x, &f->y))
        return false;
    f->diameter = size_of(b, scope, n, "diameter", none());
    f->depth    = size_of(b, scope, n, "depth", none());
    f->side = (Side)node_choice(b->c, n, "into", side_words, SIDE_SHOW);
    if (!read_sink(b, scope, n, f) || f->diameter.poison
        || f->depth.poison)
        return false;
    if (f->side <= SIDE_BACK)
        f->shape = shape_circle(b->c, v2(f->x.real, f->y.real),
                                f->diameter.real / 2);
    return read_lean(b, scope, n, f);
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

    node_check_keys(b->c, n, keys, "a cutout");
    f->x = f->y = none();
    if (!node_need(b->c, n, "outline", "a cutout")
        || !read_outline_of(b, scope, n, &f->shape)
        || (node_find(n, "at")
            && !read_point(b, scope, n, "at", &f->x, &f->y)))
        return false;
    if (f->shape.loops.n > 1) {
        report(b->c, n->loc, OUTLINE_BAD,
               "the outline of this cutout has a hole, in which wood would "
               "be left that nothing holds");
        hint(b->c, "give the outer line a path of its own");
        return false;
    }
    f->shape = shape_move(b->c, f->shape, v2(f->x.real, f->y.real));
    return true;
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

/* ---- The list ---- */

/* What the author may write, and the kind of cut that it is. */
typedef struct {
    const char *key;
    FeatureKind kind;
    ReadCut    *read;    // NULL: read_kind knows
    const char *word;    // name in the booklet; NULL: the kind's
} CutWord;

static const CutWord cut_words[] = {   // SCHEMA-ONE feature
    { "hole",         FEATURE_HOLE,    NULL,              NULL },
    { "arch",         FEATURE_ARCH,    NULL,              NULL },
    { "cutout",       FEATURE_CUTOUT,  NULL,              NULL },
    { "groove",       FEATURE_GROOVE,  NULL,              NULL },
    { "notch",        FEATURE_NOTCH,   NULL,              NULL },
    { "pocket",       FEATURE_POCKET,  read_pocket,       NULL },
    { "scallops",     FEATURE_SCALLOP, read_scallops,     NULL },
    { "dentils",      FEATURE_SCALLOP, read_dentils,      "dentils" },
    { "waves",        FEATURE_SCALLOP, read_waves,        "waves" },
    { "dado",         FEATURE_GROOVE,  read_dado,         "dado" },
    { "rabbet",       FEATURE_GROOVE,  read_rabbet,       "rabbet" },
    { "lap",          FEATURE_GROOVE,  read_lap,          "lap" },
    { "tenon",        FEATURE_GROOVE,  read_tenon,        "tenon" },
    { "mortise",      FEATURE_GROOVE,  read_mortise,      "mortise" },
    { "slot",         FEATURE_NOTCH,   read_slot,         "slot" },
    { "finger joint", FEATURE_NOTCH,   read_finger_joint, "finger joint" },
    { "chamfer",      FEATURE_CHAMFER, read_chamfer,      NULL },
    { "round over",   FEATURE_ROUND,   read_round_over,   NULL },
};

static bool read_kind(Build *b, const char *scope, const Node *n,
                      Feature *f) {
    switch (f->kind) {   // ORDER FEATURE
    case FEATURE_HOLE:    return read_hole(b, scope, n, f);
    case FEATURE_ARCH:    return read_arch(b, scope, n, f);
    case FEATURE_CUTOUT:  return read_cutout(b, scope, n, f);
    case FEATURE_GROOVE:
    case FEATURE_NOTCH:   return read_rectangle(b, scope, n, f);
    case FEATURE_POCKET:
    case FEATURE_SCALLOP:
    case FEATURE_CHAMFER:
    case FEATURE_ROUND:   return false;   // these have readers of their own
    }
    return false;
}

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
    if (f->kind == FEATURE_GROOVE)   // a mortise in an edge
        return (Box2){ at, v2_add(at, v2(f->length.real, f->width.real)) };
    return (Box2){ v2_sub(at, v2(r, r)), v2_add(at, v2(r, r)) };
}

/* How far a copy lies from the first, on the side that it is worked
 * from. */
static V2 copy_on_side(const Feature *f, int i) {
    V2 by = feature_copy(f, i);

    if (f->kind == FEATURE_POCKET)
        return v2(f->side >= SIDE_LEFT ? by.y : by.x, 0);
    return by;
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
    V2   side;
    Box2 first = cut_box(part, f, &side);

    if (part->long_length.poison || f->kind == FEATURE_CHAMFER
        || f->kind == FEATURE_ROUND)
        return true;
    for (int i = 0; i < f->count; i++) {
        V2   by  = copy_on_side(f, i);
        Box2 box = { v2_add(first.min, by), v2_add(first.max, by) };
        if (misses(box, side)) {
            report_beside(b, part, f, box, side);
            return false;
        }
    }
    return true;
}

static void hint_cuts(Build *b) {
    Buf all = BUF(b->c);

    for (int i = 0; i < COUNT(cut_words); i++)
        buf_add(&all, "%s\"%s\"", i ? ", " : "", cut_words[i].key);
    hint(b->c, "known: %.*s", STR_ARG(buf_done(&all)));
}

/* The one kind of cut that a feature names, or NULL. */
static const CutWord *find_cut(Build *b, const Node *n) {
    const CutWord *found = NULL;

    for (int i = 0; i < COUNT(cut_words); i++) {
        if (!node_find(n, cut_words[i].key))
            continue;
        if (!found) {
            found = &cut_words[i];
            continue;
        }
        report(b->c, n->loc, FEATURE_BAD,
               "this feature is both \"%s\" and \"%s\"",
               found->key, cut_words[i].key);
        hint(b->c, "write each cut in braces of its own");
        return NULL;
    }
    if (found)
        return found;
    report(b->c, n->loc, MISSING_KEY, "this feature names no cut");
    hint_cuts(b);
    return NULL;
}

static bool check_feature_keys(Build *b, const Node *n) {
    static const char *const others[] = {   // SCHEMA-REST feature
        "repeat", "alternate", "mirror", "note", NULL
    };
    const char *keys[COUNT(cut_words) + COUNT(others)];
    int         k = 0;

    for (int i = 0; i < COUNT(cut_words); i++)
        keys[k++] = cut_words[i].key;
    for (int i = 0; i < COUNT(others); i++)
        keys[k++] = others[i];
    return node_check_keys(b->c, n, keys, "a feature");
}

static bool in_hand(Build *b, const char *scope, const Node *n,
                    const CutWord *cut, const Part *part, Feature *f) {
    const Node *body = node_object(b->c, n, cut->key);

    if (!body)
        return false;
    return cut->read ? cut->read(b, scope, body, part, f)
                     : read_kind(b, scope, body, f);
}

/* A feature without sizes: lengths of nothing, not plain numbers. */
static Feature empty_feature(void) {
    Feature   f = { 0 };
    Quantity *lengths[] = {
        &f.x, &f.y, &f.length, &f.width, &f.depth, &f.diameter, &f.spring,
        &f.rise, &f.base, &f.pitch, &f.drop, &f.start, &f.left_over, &f.gap,
        &f.sink, &f.tooth, &f.thick, &f.wide, &f.shoulder[0],
        &f.shoulder[1], &f.shoulder[2], &f.shoulder[3]
    };

    for (int i = 0; i < COUNT(lengths); i++)
        *lengths[i] = none();
    return f;
}

static void read_feature(Build *b, Part *part, const char *scope,
                         const Node *n) {
    Feature        f    = empty_feature();
    Features       cuts = { 0 };
    const CutWord *cut;

    if (!check_feature_keys(b, n))
        return;
    cut = find_cut(b, n);
    if (!cut)
        return;
    f.kind = cut->kind;
    f.word = cut->word;
    f.loc  = n->loc;
    f.note = node_str(b->c, n, "note");
    if (!in_hand(b, scope, n, cut, part, &f)
        || !read_repeat(b, scope, n, &f)
        || !meets_blank(b, part, &f))
        return;
    if (f.thick.real > 0)
        tenon_cuts(b, part, &f, &cuts);
    else
        *PUSH(b->c, &cuts) = f;
    for (int i = 0; i < cuts.n; i++) {
        Features made = { 0 };
        add_mirrored(b, n, part, &cuts.at[i], &made);
        for (int k = 0; k < made.n; k++)
            *PUSH(b->c, &part->features) = made.at[k];
    }
}

void read_features(Build *b, Part *part, const Node *node) {
    const Node *list  = node_list(b->c, node, "features");
    char       *scope = str_z(b->c, str_fmt(b->c, "%.*s.",
                                            STR_ARG(part->letter)));

    for (const Node *n = list ? list->first : NULL; n; n = n->next)
        read_feature(b, part, scope, n);
}
