/* fastener_check -- can each nail and screw be driven, and does it hold?
 *
 * Rules, with their sources:
 *   hold    nails 10 shanks in the second piece: the least of the Wood
 *           Handbook, FPL-GTR-282 ch. 8 (14 in light wood for the full
 *           value); screws 3, which the lengths sold for boards of one
 *           thickness leave: common practice, no published source (the
 *           handbook wants 7 for the full value)
 *   edges   2 shanks of wood beside the axis, drilled first: common
 *           practice, no published source (the NDS Commentary recommends
 *           2.5 to edges, from memory)
 *   pockets stock of 1/2 in at least: common practice, no published source
 *   driver  a bit in its holder or a nail set with the hand behind it:
 *           common practice, no published source
 */
#include "model/model_internal.h"

#include <math.h>

#define HOLD_NAIL  10.0
#define HOLD_SCREW 3.0
#define EDGE       2.0
#define POCKET_MM  12.7
#define TIP_MM     3.175    // 1/8 in
#define GAP_MM     6.35
#define DRIVER_MM  8.0      // radius
#define PI         3.14159265358979323846

typedef struct { const Fix *f; DiagCode code; } Said;

typedef struct {
    Build *b;
    LIST(Said) said;
    const Solid *driver[DRIVE_DOWEL + 1];
    BoxTree *pieces;    // boxes of all
    Ctx      work;      // thrown away after each fastener
} Check;

static const Fix *fix_of(const Check *k, const Fastener *f) {
    return &k->b->m->steps.at[f->step].fixes.at[f->fix];
}

/* One message of a kind for each fixing. */
static bool is_news(Check *k, const Fastener *f, DiagCode code) {
    const Fix *fix = fix_of(k, f);
    Said      *s;

    for (int i = 0; i < k->said.n; i++) {
        if (k->said.at[i].f == fix && k->said.at[i].code == code)
            return false;
    }
    s = PUSH(k->b->c, &k->said);
    s->f    = fix;
    s->code = code;
    return true;
}

/* ---- Words ---- */

static Str name_of(const Check *k, int piece) {
    return k->b->m->pieces.at[piece].name;
}

/* A size to the nearest 1/32 in or 1/10 mm; a least one is rounded up, a
 * greatest one down. */
static Str rounded(const Check *k, double mm, int up) {
    double   step = k->b->m->inch ? 25.4 / 32 : 0.1;
    Quantity grid = k->b->m->inch ? quantity_inches(1, 32)
                                  : quantity_exact(1, 10, DIM_LENGTH);

    mm += up * (step / 2 - 1e-4);
    return size_text(k->b, quantity_round(quantity_mm(mm), grid));
}

static Str about(const Check *k, double mm) {
    return rounded(k, mm, 0);
}

/* "a 1 1/4 in brad nail" */
static Str fastener_words(const Check *k, const Fastener *f) {
    const Hardware *h = &k->b->m->hardware.at[f->hardware];
    Str    size = size_text(k->b, h->length);
    Str    kind = str_part(h->kind, 0, str_find(h->kind, ',', 0));
    bool   an   = size.n > 1 && (size.s[0] == '8' || str_begins(size, "11 ")
                                 || str_begins(size, "18 "));

    return str_fmt(k->b->c, "%s %.*s %.*s", an ? "an" : "a", STR_ARG(size),
                   STR_ARG(kind));
}

/* ---- Along the axis ---- */

/* Wood behind a point, of any piece. */
typedef struct {
    const Check    *k;
    const Fastener *f;
    V3              at;
    double          more;
} Behind;

static bool wood_behind(int piece, void *with) {
    Behind      *w = with;
    const Piece *q = &w->k->b->m->pieces.at[piece];
    Stretch      few[FEW_STRETCHES];
    Stretches    s = { few, 0, FEW_STRETCHES };

    if (piece == w->f->into || piece == w->f->from || q->temporary
        || !piece_stands(q, w->f->step))
        return false;
    solid_along_into(w->k->b->c, w->k->b->m->parts.at[q->part].solid,
                     &q->frame, w->at, w->f->axis, &s);
    for (int i = 0; i < s.n; i++)
        if (s.at[i].from < GAP_MM && s.at[i].to > w->more)
            w->more = s.at[i].to;
    return false;   // all of them
}

/* From the contact on: wood of `into`, then of whatever stands behind, be
 * it across a small hidden gap as under a tilted roof slip. */
static double wood_ahead(const Check *k, const Fastener *f, double need) {
    double t = f->hold;
    V3     at = v3_add(f->head, v3_scale(f->axis, f->held));

    for (int guard = 0; guard < 8 && t < need + TOUCH_MM; guard++) {
        V3     p = v3_add(at, v3_scale(f->axis, t + TOUCH_MM));
        Behind w = { k, f, p, 0 };
        Box3   one = { p, p };
        box3_add(&one, v3_add(p, v3_scale(f->axis, GAP_MM)));
        box_tree_near(k->pieces, one, TOUCH_MM, wood_behind, &w);
        if (w.more <= 0)
            break;
        t += TOUCH_MM + w.more;
    }
    return t;
}

static void check_length(Check *k, const Fastener *f) {
    double in = f->length - f->held, room;

    if (in <= 0 || f->hold <= 0) {
        if (!is_news(k, f, FASTENER_MISSES))
            return;
        report(k->b->c, fix_of(k, f)->loc, FASTENER_MISSES,
               "%.*s through %.*s of '%.*s' does not reach '%.*s'",
               STR_ARG(fastener_words(k, f)), STR_ARG(about(k, f->held)),
               STR_ARG(name_of(k, f->from)), STR_ARG(name_of(k, f->into)));
        hint(k->b->c, "take a longer one, or drive it through the other "
             "piece with \"through\"");
        return;
    }
    room = wood_ahead(k, f, in);
    if (in < room - TOUCH_MM || !is_news(k, f, FASTENER_THROUGH))
        return;
    report(k->b->c, fix_of(k, f)->loc, FASTENER_THROUGH,
           "%.*s through %.*s of '%.*s' comes out of '%.*s': there is %.*s "
           "of wood for its %.*s", STR_ARG(fastener_words(k, f)),
           STR_ARG(about(k, f->held)), STR_ARG(name_of(k, f->from)),
           STR_ARG(name_of(k, f->into)), STR_ARG(about(k, f->held + room)),
           STR_ARG(about(k, f->length)));
    hint(k->b->c, "take one of %.*s at most, so that the tip stays %.*s "
         "inside", STR_ARG(rounded(k, f->held + room - TIP_MM, -1)),
         STR_ARG(about(k, TIP_MM)));
}

static double least_hold(const Check *k, const Fastener *f) {
    switch (k->b->m->hardware.at[f->hardware].drive) {   // ORDER DRIVE
    case DRIVE_NAIL:
    case DRIVE_PIN:
    case DRIVE_STAPLE: return HOLD_NAIL * f->shank;
    case DRIVE_SCREW:
    case DRIVE_POCKET: return HOLD_SCREW * f->shank;
    case DRIVE_NONE:
    case DRIVE_DOWEL:  break;
    }
    return 0;
}

static void check_hold(Check *k, const Fastener *f) {
    double in = f->length - f->held, least = least_hold(k, f);

    if (in <= 0 || in >= least - TOUCH_MM || !is_news(k, f, FASTENER_SHORT))
        return;
    report(k->b->c, fix_of(k, f)->loc, FASTENER_SHORT,
           "%.*s goes only %.*s into '%.*s', and needs %.*s to hold",
           STR_ARG(fastener_words(k, f)), STR_ARG(about(k, in)),
           STR_ARG(name_of(k, f->into)), STR_ARG(rounded(k, least, 1)));
    hint(k->b->c, "that is %g times its thickness of %.*s: take a longer "
         "or a thinner one", least / f->shank,
         STR_ARG(about(k, f->shank)));
}

/* ---- Beside the axis ---- */

/* Wood of the two pieces from a point in one of them, as far as it goes on
 * without a gap. A face that lies ahead of a slanted screw rather than
 * beside it is the business of its tip. */
static double wood_beside(const Check *k, const Fastener *f, int piece,
                          V3 at, V3 dir) {
    double t = 0;

    for (int i = 0; i < 4; i++) {
        double gap = i ? TOUCH_MM : 0;
        V3     p   = v3_add(at, v3_scale(dir, t + gap));
        Stretch s;
        if (!wood_from(k->b, piece, p, dir, &s))
            break;
        if (fabs(v3_dot(s.to_out, f->axis)) > 0.5)
            return INFINITY;
        t += s.to + gap;
        piece = piece == f->from ? f->into : f->from;
    }
    return t;
}

static double least_beside(const Check *k, const Fastener *f, int piece,
                           double depth, V3 u, V3 v) {
    V3     at = v3_add(f->head, v3_scale(f->axis, depth));
    double least = INFINITY;
    const Piece *p = &k->b->m->pieces.at[piece];

    if (reach_in(k->b, piece, at, f->axis) <= 0
        || solid_is_clear(k->b->m->parts.at[p->part].solid, &p->frame, at,
                          f->axis, EDGE * f->shank + 1e-3))
        return INFINITY;
    for (int i = 0; i < 16; i++) {
        double a = i * PI / 8;
        V3     dir = v3_add(v3_scale(u, cos(a)), v3_scale(v, sin(a)));
        least = fmin(least, wood_beside(k, f, piece, at, dir));
    }
    return least;
}

static void check_beside(Check *k, const Fastener *f) {
    const FastenerRow *row = &k->b->m->rows.at[f->row];
    V3     v = v3_unit(v3_cross(f->axis, row->along));
    V3     u = v3_cross(v, f->axis);
    double depth[4] = { 0.5, f->held / 2, f->held + 0.5, f->length - 0.5 };
    double least = INFINITY;
    int    where = f->from;

    for (int i = k->b->m->hardware.at[f->hardware].drive == DRIVE_POCKET
                 ? 2 : 0; i < 4; i++) {
        int    piece = i >= 2 ? f->into : f->from;
        double one = least_beside(k, f, piece, depth[i], u, v);
        if (one < least - 1e-6) {
            least = one;
            where = piece;
        }
    }
    if (least < f->shank / 2 && is_news(k, f, FASTENER_OUT)) {
        report(k->b->c, fix_of(k, f)->loc, FASTENER_OUT,
               "%.*s is %.*s thick, but only %.*s from the side of '%.*s': "
               "it breaks out", STR_ARG(fastener_words(k, f)),
               STR_ARG(about(k, f->shank)), STR_ARG(about(k, least)),
               STR_ARG(name_of(k, where)));
        hint(k->b->c, "take a thinner one, or move it with \"from ends\" "
             "or \"from edge\"");
    } else if (least >= f->shank / 2 && least < EDGE * f->shank - 1e-3
               && is_news(k, f, FASTENER_EDGE)) {
        report(k->b->c, fix_of(k, f)->loc, FASTENER_EDGE,
               "%.*s stands %.*s from the edge of '%.*s', and should have "
               "%.*s", STR_ARG(fastener_words(k, f)),
               STR_ARG(about(k, least)), STR_ARG(name_of(k, where)),
               STR_ARG(rounded(k, EDGE * f->shank, 1)));
        hint(k->b->c, "nearer than twice its thickness the wood splits: "
             "take a thinner one, or move it with \"from ends\" or \"from "
             "edge\"");
    }
}

static void check_pocket(Check *k, const Fastener *f) {
    const Part *part = &k->b->m->parts.at[k->b->m->pieces.at[f->from].part];

    if (k->b->m->hardware.at[f->hardware].drive != DRIVE_POCKET
        || part->thickness.real >= POCKET_MM - TOUCH_MM
        || !is_news(k, f, POCKET_THIN))
        return;
    report(k->b->c, fix_of(k, f)->loc, POCKET_THIN,
           "part %.*s is %.*s thick, and pocket screws want %.*s",
           STR_ARG(part->letter), STR_ARG(size_text(k->b, part->thickness)),
           STR_ARG(about(k, POCKET_MM)));
    hint(k->b->c, "in thinner stock the pocket leaves too little wood under "
         "the head: use a thicker board or another fastener");
}

/* ---- Room for the driver ---- */

static double driver_length(Drive d) {
    switch (d) {   // ORDER DRIVE
    case DRIVE_NAIL:
    case DRIVE_PIN:
    case DRIVE_STAPLE: return 101.6;
    case DRIVE_SCREW:
    case DRIVE_POCKET: return 152.4;
    case DRIVE_NONE:
    case DRIVE_DOWEL:  break;
    }
    return 0;
}

static const Solid *driver_solid(Check *k, Drive d) {
    Slab   slab = { .z0 = DRIVER_MM, .z1 = driver_length(d) };
    Solid *s;
    int    curve = 1;

    if (!k->driver[d]) {
        s = NEW(k->b->c, Solid);
        slab.shape = shape_circle(k->b->c, v2(0, 0), DRIVER_MM);
        solid_add_slab(k->b->c, s, &slab, 0.5, &curve);
        solid_finish(k->b->c, s);
        k->driver[d] = s;
    }
    return k->driver[d];
}

/* Its place among those that the fixing fixes one after the other; -1. */
static int turn_of(const Fix *f, int piece) {
    for (int i = 0; i < f->pieces.n; i++) {
        if (f->pieces.at[i] == piece)
            return i;
    }
    return -1;
}

static bool is_fixed_to(const Fix *f, int piece) {
    for (int i = 0; i < f->to.n; i++) {
        if (f->to.at[i] == piece)
            return true;
    }
    return false;
}

/* Is the piece there when the fastener is driven? What stood before the
 * step, what is joined, and what this step has fixed already, a row in its
 * order. Others that the step adds may well wait. */
static bool is_there(const Check *k, const Fastener *f, int piece) {
    const Step  *step = &k->b->m->steps.at[f->step];
    const Fix   *own  = fix_of(k, f);
    const Piece *p    = &k->b->m->pieces.at[piece];
    int          turn = turn_of(own, piece);

    if (p->step < f->step)
        return piece_stands(p, f->step);
    if (is_fixed_to(own, piece) || piece == f->into)
        return true;
    if (turn >= 0)
        return turn < turn_of(own, f->from) || turn < turn_of(own, f->into);
    for (int i = 0; i < f->fix && p->step == f->step; i++) {
        const Fix *before = &step->fixes.at[i];
        if (turn_of(before, piece) >= 0 || is_fixed_to(before, piece))
            return true;
    }
    return false;
}

/* Wood of a piece right before the head, as in a slot. */
static bool is_before(const Check *k, const Fastener *f, int piece,
                      double far) {
    const Piece *p = &k->b->m->pieces.at[piece];
    Stretch      few[FEW_STRETCHES];
    Stretches    s = { few, 0, FEW_STRETCHES };

    solid_along_into(k->b->c, k->b->m->parts.at[p->part].solid, &p->frame,
                     f->head, v3_scale(f->axis, -1), &s);
    for (int i = 0; i < s.n; i++) {
        if (s.at[i].to > 1 && s.at[i].from < far)
            return true;
    }
    return false;
}

/* The first piece that stands where the driver has to be. */
typedef struct {
    Check          *k;
    const Fastener *f;
    const Solid    *driver;
    Frame           frame;
    int             first;   // -1: none yet
} InWay;

static bool is_in_way(int piece, void *with) {
    InWay       *w = with;
    const Model *m = w->k->b->m;
    const Piece *p = &m->pieces.at[piece];

    if (piece == w->f->from || (w->first >= 0 && piece > w->first)
        || !is_there(w->k, w->f, piece))
        return false;
    if (is_before(w->k, w->f, piece, DRIVER_MM)
        || solid_overlap(&w->k->work, w->driver, &w->frame,
                         m->parts.at[p->part].solid, &p->frame,
                         OVERLAP_MM).any)
        w->first = piece;
    return false;   // there may be one before it
}

static int in_the_way(Check *k, const Fastener *f, Drive d) {
    InWay w    = { k, f, driver_solid(k, d), FRAME_WORLD, -1 };
    V3    back = v3_scale(f->axis, -1), u, v;
    Box3  box;

    u = v3_unit(v3_cross(back, fabs(back.z) < 0.9 ? v3(0, 0, 1)
                                                  : v3(1, 0, 0)));
    v = v3_cross(back, u);
    w.frame = (Frame){ u, v, back, f->head };
    box     = solid_box(w.driver, &w.frame);
    box3_add(&box, f->head);
    box_tree_near(k->pieces, box, 0, is_in_way, &w);
    return w.first;
}

static void check_reach(Check *k, const Fastener *f) {
    Drive d = k->b->m->hardware.at[f->hardware].drive;
    int   blocks;

    if (driver_length(d) <= 0 || f->held <= 0)
        return;
    blocks = d != DRIVE_POCKET && is_before(k, f, f->from, driver_length(d))
           ? f->from : in_the_way(k, f, d);
    if (blocks < 0 || !is_news(k, f, FASTENER_REACH))
        return;
    report(k->b->c, fix_of(k, f)->loc, FASTENER_REACH,
           "%.*s through '%.*s' cannot be reached: '%.*s' stands within "
           "%.*s before its head", STR_ARG(fastener_words(k, f)),
           STR_ARG(name_of(k, f->from)), STR_ARG(name_of(k, blocks)),
           STR_ARG(about(k, driver_length(d))));
    hint(k->b->c, "drive it in an earlier step, from the other side with "
         "\"through\", or move it with \"from ends\"");
}

/* ---- Two that meet ---- */

static void check_two(Check *k, const Fastener *f, const Fastener *g) {
    double apart = fasteners_apart(f, g);
    double least = (f->shank + g->shank) / 2;

    if (apart >= fmax(least, 0.5) || !is_news(k, f, FASTENERS_MEET))
        return;
    report(k->b->c, fix_of(k, f)->loc, FASTENERS_MEET,
           "%.*s through '%.*s' meets %.*s through '%.*s' of step %d, around"
           " %.*s right, %.*s back, %.*s up", STR_ARG(fastener_words(k, f)),
           STR_ARG(name_of(k, f->from)), STR_ARG(fastener_words(k, g)),
           STR_ARG(name_of(k, g->from)), g->step + 1,
           STR_ARG(about(k, f->head.x + f->axis.x * f->length / 2)),
           STR_ARG(about(k, f->head.y + f->axis.y * f->length / 2)),
           STR_ARG(about(k, f->head.z + f->axis.z * f->length / 2)));
}

static void check_meets(Check *k) {
    int      n     = k->b->m->fasteners.n;
    Box3    *boxes = NEW_N(&k->work, Box3, n + 1);
    BoxPairs near;

    for (int i = 0; i < n; i++) {
        const Fastener *f = &k->b->m->fasteners.at[i];
        V3 r = v3(f->shank, f->shank, f->shank);
        boxes[i] = (Box3){ f->head, f->head };
        box3_add(&boxes[i], v3_add(f->head, v3_scale(f->axis, f->length)));
        boxes[i].min = v3_sub(boxes[i].min, r);
        boxes[i].max = v3_add(boxes[i].max, r);
    }
    near = boxes_near(&k->work, boxes, n, 0);
    for (int i = 0; i < near.n; i++)
        check_two(k, &k->b->m->fasteners.at[near.at[i].b],
                  &k->b->m->fasteners.at[near.at[i].a]);
}

static BoxTree *tree_of_pieces(const Build *b) {
    Box3 *boxes = NEW_N(b->c, Box3, b->m->pieces.n + 1);

    for (int i = 0; i < b->m->pieces.n; i++)
        boxes[i] = b->m->pieces.at[i].box;
    return box_tree(b->c, boxes, b->m->pieces.n);
}

void check_fasteners(Build *b) {
    Check k = { .b = b, .work = ctx_scratch(b->c) };

    place_fasteners(b);
    if (b->m->fasteners.n)
        k.pieces = tree_of_pieces(b);
    for (int i = 0; i < b->m->fasteners.n; i++) {
        const Fastener *f = &b->m->fasteners.at[i];
        int before = b->c->errors;
        arena_reset(&k.work.arena);
        check_length(&k, f);
        if (b->c->errors > before)
            continue;
        check_hold(&k, f);
        check_beside(&k, f);
        check_pocket(&k, f);
        check_reach(&k, f);
    }
    check_meets(&k);
    ctx_free(&k.work);
}
