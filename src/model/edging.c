/* edging -- what is done along whole edges: profiles that repeat (scallops,
 * dentils, waves), chamfers, edges rounded over.
 *
 * A profile is one template that is repeated from a stated start; whole
 * repeats are counted, and what is left at the far end is told.
 */
#include "model/model_internal.h"

#include <math.h>

static Quantity none(void) {
    return quantity_exact(0, 1, DIM_LENGTH);
}

/* ---- Profiles that repeat ---- */

/* A walk around the waste: x along the edge, `deep` from it into the
 * wood. */
typedef struct { Loop *loop; V2 pen; double edge, inward; } Walk;

static V2 pen_point(const Walk *p, double x, double deep) {
    return v2(x, p->edge + p->inward * deep);
}

static void pen_line(Build *b, Walk *p, double x, double deep) {
    V2 to = pen_point(p, x, deep);

    if (v2_len(v2_sub(to, p->pen)) < 1e-9)
        return;
    *PUSH(b->c, p->loop) = seg_line(p->pen, to);
    p->pen = to;
}

/* An arc on the way left; `out`: how far the wood bulges to the edge. */
static void pen_arc(Build *b, Walk *p, double x, double deep, double out) {
    V2 to = pen_point(p, x, deep);

    *PUSH(b->c, p->loop) = seg_arc_rise(p->pen, to, p->inward * out);
    p->pen = to;
}

/* One repeat from its right end at x1 to its left end at x0.
 *
 *     scallops          dentils           waves
 *     \     /\     /    |   +---|   +---   .-.   .-.
 *      `---'  `---'     +---+   +---+     `   `-'   `-   edge
 */
static void pen_repeat(Build *b, Walk *p, const Feature *f, double x0,
                       double x1) {
    double drop = f->drop.real, middle = (x0 + x1) / 2;

    switch (f->profile) {   // ORDER PROFILE
    case PROFILE_SCALLOPS:
        pen_arc(b, p, x0, drop, drop);
        break;
    case PROFILE_DENTILS:   // see dentil_waste
        break;
    case PROFILE_WAVES:
        pen_arc(b, p, middle, drop / 2, -drop / 2);
        pen_arc(b, p, x0, drop / 2, drop / 2);
        break;
    }
}

/* Dentils stand on the edge line, so that their waste is in pieces: a gap
 * each. The others leave one strip. */
static Shape dentil_waste(Build *b, const Part *part, const Feature *f) {
    Shape  s    = { 0 };
    bool   far  = f->side == SIDE_FAR;
    double edge = far ? part->width.real : 0, drop = f->drop.real;
    double y0   = far ? edge - drop : -1, y1 = far ? edge + 1 : drop;

    for (int i = 0; i < f->repeats; i++) {
        double x0 = f->start.real + f->pitch.real * i + f->tooth.real;
        double x1 = f->start.real + f->pitch.real * (i + 1);
        Shape  gap = shape_rect(b->c, v2(x0, y0), v2(x1, y1));
        *PUSH(b->c, &s.loops) = gap.loops.at[0];
    }
    return s;
}

Shape edging_waste(Build *b, const Part *part, const Feature *f) {
    Shape  s    = { 0 };
    double x0   = f->start.real, pitch = f->pitch.real;
    double x1   = x0 + pitch * f->repeats;
    double deep = f->profile == PROFILE_WAVES ? f->drop.real / 2
                                              : f->drop.real;
    bool   far  = f->side == SIDE_FAR;
    Walk   pen  = { PUSH(b->c, &s.loops), { 0, 0 },
                    far ? part->width.real : 0, far ? -1 : 1 };

    if (f->profile == PROFILE_DENTILS)
        return dentil_waste(b, part, f);
    pen.pen = pen_point(&pen, x0, deep);
    pen_line(b, &pen, x0, -1);
    pen_line(b, &pen, x1, -1);
    pen_line(b, &pen, x1, deep);
    for (int i = f->repeats - 1; i >= 0; i--)
        pen_repeat(b, &pen, f, x0 + pitch * i, x0 + pitch * (i + 1));
    return shape_counter_clockwise(b, s);
}

static bool profile_fits(Build *b, const Node *n, const Feature *f,
                         double room) {
    if (f->repeats >= 1 && !f->left_over.poison
        && f->left_over.real >= -1e-6)
        return true;
    report(b->c, n->loc, FEATURE_BAD, "%d %s of %.*s do not fit in %.*s",
           f->repeats, feature_name(f), STR_ARG(size_text(b, f->pitch)),
           STR_ARG(mm_text(b, room)));
    hint(b->c, "take fewer, make them shorter, or leave \"count\" out");
    return false;
}

/* Round ones are half a circle at most. */
static bool depth_fits(Build *b, const Node *n, const Feature *f) {
    bool wave = f->profile == PROFILE_WAVES;

    if (f->profile == PROFILE_DENTILS
        || f->drop.real <= f->pitch.real / 2 + 1e-9)
        return true;
    report(b->c, n->loc, FEATURE_BAD,
           "a %s %.*s long can be %.*s deep at most, not %.*s",
           wave ? "wave" : "scallop", STR_ARG(size_text(b, f->pitch)),
           STR_ARG(mm_text(b, f->pitch.real / 2)),
           STR_ARG(size_text(b, f->drop)));
    hint(b->c, wave ? "half its length makes two semicircles"
                    : "half its length makes a semicircle");
    return false;
}

static bool tooth_fits(Build *b, const char *scope, const Node *n,
                       Feature *f) {
    Quantity half = quantity_div(b->c, n->loc, f->pitch,
                                 quantity_exact(2, 1, DIM_NUMBER));

    if (f->profile != PROFILE_DENTILS)
        return true;
    f->tooth = cut_size(b, scope, n, "tooth", "dentils", &half);
    if (f->tooth.poison || f->tooth.real < f->pitch.real - 1e-6)
        return !f->tooth.poison;
    report(b->c, n->loc, FEATURE_BAD,
           "a tooth of %.*s leaves no gap in a pitch of %.*s",
           STR_ARG(size_text(b, f->tooth)),
           STR_ARG(size_text(b, f->pitch)));
    hint(b->c, "the pitch is a tooth and a gap together");
    return false;
}

static bool read_profile(Build *b, const char *scope, const Node *n,
                         const Part *part, Feature *f) {
    static const char *const keys[] = {   // SCHEMA dentils
        "edge", "pitch", "depth", "start", "count", "tooth", NULL
    };
    static const char *const plain[] = {   // SCHEMA scallops
        "edge", "pitch", "depth", "start", "count", NULL
    };
    static const char *const edges[] = {   // SCHEMA-ENUM edge
        "near", "far", NULL
    };
    const char *what = feature_name(f);
    double room;

    node_check_keys(b->c, n, f->profile == PROFILE_DENTILS ? keys : plain,
                    what);
    f->pitch = cut_size(b, scope, n, "pitch", what, NULL);
    f->drop  = cut_size(b, scope, n, "depth", what, NULL);
    f->side  = node_choice(b->c, n, "edge", edges, 0) ? SIDE_FAR : SIDE_NEAR;
    f->start = eval_member(b->c, b->s, scope, n, "start", DIM_LENGTH,
                           none());
    if (f->pitch.poison || f->drop.poison || f->start.poison
        || part->long_length.poison)
        return false;
    room = part->long_length.real - f->start.real;
    f->repeats = eval_count(b->c, b->s, scope, n, "count",
                            (int)floor(fmin(room / f->pitch.real, 10000)
                                       + 1e-9), 1, 10000);
    f->left_over = quantity_sub(b->c, n->loc, part->long_length,
                                quantity_add(b->c, n->loc, f->start,
                                    quantity_mul(b->c, n->loc, f->pitch,
                                        quantity_exact(f->repeats, 1,
                                                       DIM_NUMBER))));
    if (!profile_fits(b, n, f, room) || !depth_fits(b, n, f)
        || !tooth_fits(b, scope, n, f))
        return false;
    f->shape = edging_waste(b, part, f);
    return true;
}

bool read_scallops(Build *b, const char *scope, const Node *n,
                   const Part *part, Feature *f) {
    f->profile = PROFILE_SCALLOPS;
    return read_profile(b, scope, n, part, f);
}

bool read_dentils(Build *b, const char *scope, const Node *n,
                  const Part *part, Feature *f) {
    f->profile = PROFILE_DENTILS;
    return read_profile(b, scope, n, part, f);
}

bool read_waves(Build *b, const char *scope, const Node *n,
                const Part *part, Feature *f) {
    f->profile = PROFILE_WAVES;
    return read_profile(b, scope, n, part, f);
}

/* ---- Chamfers and edges rounded over ---- */

/* "edges": a list. If not said, the straight sides of a rectangle, and all
 * around any other part. */
static bool read_which(Build *b, const Node *n, const Part *part,
                       Feature *f) {
    static const char *const words[] = {   // ORDER ARRIS, SCHEMA-ENUM arris
        "near", "far", "left", "right", "outline", "arch", "cutout", NULL
    };
    const Node *list = node_list(b->c, n, "edges");
    bool        said = node_find(n, "edges");

    f->on[ARRIS_OUTLINE] = !said && part->outlined;
    for (int i = ARRIS_NEAR; i <= ARRIS_RIGHT; i++)
        f->on[i] = !said && !part->outlined;
    for (const Node *e = list ? list->first : NULL; e; e = e->next) {
        int found = -1;
        for (int i = 0; i < ARRISES && e->kind == NODE_TEXT; i++) {
            if (str_is(e->text, words[i]))
                found = i;
        }
        if (found < 0) {
            report(b->c, e->loc, FEATURE_BAD, "'%.*s' is no edge of a face",
                   STR_ARG(e->text));
            hint(b->c, "known: \"near\", \"far\", \"left\", \"right\", "
                 "\"outline\", \"arch\", \"cutout\"");
            return false;
        }
        f->on[found] = true;
    }
    return list || !said;
}

static bool edges_fit(Build *b, const Node *n, const Part *part,
                      const Feature *f, Quantity across, Quantity down) {
    double most = fmin(part->width.real, part->long_length.real) / 2;

    if (across.poison || down.poison || part->width.poison
        || part->thickness.poison || part->long_length.poison)
        return false;
    if (across.real < most && down.real <= part->thickness.real + 1e-9)
        return true;
    report(b->c, n->loc, FEATURE_BAD,
           "a %s of %.*s by %.*s is too large for a part %.*s wide and "
           "%.*s thick", feature_name(f), STR_ARG(size_text(b, across)),
           STR_ARG(size_text(b, down)), STR_ARG(size_text(b, part->width)),
           STR_ARG(size_text(b, part->thickness)));
    hint(b->c, "it takes less than half the face, and no more than the "
         "thickness");
    return false;
}

static const char *const faces[] = {   // SCHEMA-ENUM face
    "show", "back", NULL
};

bool read_chamfer(Build *b, const char *scope, const Node *n,
                  const Part *part, Feature *f) {
    static const char *const keys[] = {   // SCHEMA chamfer
        "edges", "width", "depth", "into", NULL
    };

    node_check_keys(b->c, n, keys, "a chamfer");
    f->width = cut_size(b, scope, n, "width", "a chamfer", NULL);
    f->drop  = cut_size(b, scope, n, "depth", "a chamfer", &f->width);
    f->side  = (Side)node_choice(b->c, n, "into", faces, SIDE_SHOW);
    return read_which(b, n, part, f)
        && edges_fit(b, n, part, f, f->width, f->drop);
}

bool read_round_over(Build *b, const char *scope, const Node *n,
                     const Part *part, Feature *f) {
    static const char *const keys[] = {   // SCHEMA round-over
        "edges", "radius", "into", NULL
    };

    node_check_keys(b->c, n, keys, "a round over");
    f->width = cut_size(b, scope, n, "radius", "a round over", NULL);
    f->side  = (Side)node_choice(b->c, n, "into", faces, SIDE_SHOW);
    return read_which(b, n, part, f)
        && edges_fit(b, n, part, f, f->width, f->width);
}
