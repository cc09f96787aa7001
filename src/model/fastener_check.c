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
 *   dowels  1 1/2 of their diameters in each piece, and in wood that is twice
 *           as thick as they are: common practice, no published source
 *   pockets stock of 1/2 in at least: common practice, no published source
 *   driver  a bit in its holder or a nail set with the hand behind it:
 *           common practice, no published source
 */
#include "model/model_internal.h"

#include <limits.h>
#include <math.h>

#define HOLD_NAIL  10.0
#define HOLD_SCREW 3.0
#define HOLD_DOWEL 1.5
#define EDGE       2.0
#define EDGE_DOWEL 1.0
#define POCKET_MM  12.7
#define GAP_MM     6.35
#define DRIVER_MM  8.0      // radius
#define PI         3.14159265358979323846

typedef LIST(DiagCode) Codes;

typedef struct {
    Build *b;
    int   *first_fix;   // of each step, counted through all steps
    Codes *said;        // of each fixing
    int   *fixed_at;    // of each piece: the fixing of its step that does so
    const Solid *driver[DRIVE_DOWEL + 1];
    const BoxTree *pieces;    // boxes of all
    Roles    roles;     // in the fixing at hand
    Ctx      work;      // thrown away after each fastener
} Check;

static const Fix *fix_of(const Check *k, const Fastener *f) {
    return &k->b->m->steps.at[f->step].fixes.at[f->fix];
}

/* One message of a kind for each fixing. */
static bool is_news(Check *k, const Fastener *f, DiagCode code) {
    Codes *said = &k->said[k->first_fix[f->step] + f->fix];

    for (int i = 0; i < said->n; i++)
        if (said->at[i] == code)
            return false;
    *PUSH(k->b->c, said) = code;
    return true;
}

/* ---- Words ---- */

static Str name_of(const Check *k, int piece) {
    return k->b->m->pieces.at[piece].name;
}

Str rough_text(Build *b, double mm, int up) {
    double   step = b->m->inch ? 25.4 / 32 : 0.1;
    Quantity grid = b->m->inch ? quantity_inches(1, 32)
                               : quantity_exact(1, 10, DIM_LENGTH);

    mm += up * (step / 2 - 1e-4);
    return size_text(b, quantity_round(quantity_mm(mm), grid));
}

static Str rounded(const Check *k, double mm, int up) {
    return rough_text(k->b, mm, up);
}

static Str about(const Check *k, double mm) {
    return rounded(k, mm, 0);
}

Str fastener_words(Build *b, const Hardware *h) {
    Str    size = size_text(b, h->length);
    Str    kind = str_part(h->kind, 0, str_find(h->kind, ',', 0));
    bool   an   = size.n > 1 && (size.s[0] == '8' || str_begins(size, "11 ")
                                 || str_begins(size, "18 "));

    return str_fmt(b->c, "%s %.*s %.*s", an ? "an" : "a", STR_ARG(size),
                   STR_ARG(kind));
}

static Str its_words(const Check *k, const Fastener *f) {
    return fastener_words(k->b, &k->b->m->hardware.at[f->hardware]);
}

/* "the near edge of 'seat'", "the mortise of 'leg'": what is at a point. */
static Str words_at(const Check *k, int piece, V3 at) {
    return feature_to_blame(k->b->c, k->b->m, piece, (Box3){ at, at });
}

/* ---- Along the axis ---- */

/* Wood behind a point, of any piece; of the second one, too, where it goes
 * on behind what fills a cut of it. */
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

    double       gap = piece == w->f->into ? HAIR_MM : GAP_MM;

    if (piece == w->f->from || q->temporary || !piece_stands(q, w->f->step))
        return false;
    solid_along_into(w->k->b->c, w->k->b->m->parts.at[q->part].solid,
                     &q->frame, w->at, w->f->axis, &s);
    for (int i = 0; i < s.n; i++)
        if (s.at[i].from < gap && s.at[i].to > w->more)
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

/* False: it does not come into the second piece, or through it, and
 * nothing else need be said of it. */
static bool check_length(Check *k, const Fastener *f) {
    double in = f->length - f->held, room;
    Str    out;

    if (in <= TOUCH_MM || f->hold <= 0) {
        if (!is_news(k, f, FASTENER_MISSES))
            return false;
        report(k->b->c, fix_of(k, f)->loc, FASTENER_MISSES,
               "%.*s through %.*s of '%.*s' does not reach '%.*s'",
               STR_ARG(its_words(k, f)), STR_ARG(about(k, f->held)),
               STR_ARG(name_of(k, f->from)), STR_ARG(name_of(k, f->into)));
        hint(k->b->c, "take a longer one, or drive it through the other "
             "piece with \"through\"");
        return false;
    }
    room = wood_ahead(k, f, in);
    if (in < room - TOUCH_MM)
        return true;
    if (!is_news(k, f, FASTENER_THROUGH))
        return false;
    out = room > f->hold + TOUCH_MM   // of a piece behind it
        ? str_fmt(k->b->c, "'%.*s'", STR_ARG(name_of(k, f->into)))
        : words_at(k, f->into, v3_add(f->head, v3_scale(f->axis,
                                      f->held + room)));
    report(k->b->c, fix_of(k, f)->loc, FASTENER_THROUGH,
           "%.*s through %.*s of '%.*s' comes out of %.*s: there is %.*s of "
           "wood for its %.*s", STR_ARG(its_words(k, f)),
           STR_ARG(about(k, f->held)), STR_ARG(name_of(k, f->from)),
           STR_ARG(out), STR_ARG(about(k, f->held + room)),
           STR_ARG(about(k, f->length)));
    hint(k->b->c, "take one of %.*s at most, so that the tip stays %.*s "
         "inside", STR_ARG(rounded(k, f->held + room - TIP_MM, -1)),
         STR_ARG(about(k, TIP_MM)));
    return false;
}

static double least_hold(const Check *k, const Fastener *f) {
    switch (k->b->m->hardware.at[f->hardware].drive) {   // ORDER DRIVE
    case DRIVE_NAIL:
    case DRIVE_PIN:
    case DRIVE_STAPLE: return HOLD_NAIL * f->shank;
    case DRIVE_SCREW:
    case DRIVE_POCKET: return HOLD_SCREW * f->shank;
    case DRIVE_DOWEL:  return HOLD_DOWEL * f->shank;
    case DRIVE_NONE:   break;
    }
    return 0;
}

double wood_wanted(const Hardware *h) {
    return (h->drive == DRIVE_DOWEL ? EDGE_DOWEL : EDGE) * h->shank;
}

static void check_hold(Check *k, const Fastener *f) {
    double in = f->length - f->held, least = least_hold(k, f);
    int    piece = f->into;

    if (k->b->m->hardware.at[f->hardware].drive == DRIVE_DOWEL
        && f->held < in) {
        in    = f->held;
        piece = f->from;
    }
    if (in >= least - TOUCH_MM || !is_news(k, f, FASTENER_SHORT))
        return;
    report(k->b->c, fix_of(k, f)->loc, FASTENER_SHORT,
           "%.*s goes only %.*s into '%.*s', and needs %.*s to hold",
           STR_ARG(its_words(k, f)), STR_ARG(about(k, in)),
           STR_ARG(name_of(k, piece)), STR_ARG(rounded(k, least, 1)));
    hint(k->b->c, "that is %g times its thickness of %.*s: take a longer "
         "or a thinner one", least / f->shank,
         STR_ARG(about(k, f->shank)));
}

/* ---- Beside the axis ---- */

static double wanted_by(const Check *k, const Fastener *f) {
    return wood_wanted(&k->b->m->hardware.at[f->hardware]);
}

/* How much wood there is from a point to one side, and where it ends. */
typedef struct { double wood; V3 at; int piece; } Beside;

/* Wood of a piece that begins here, or behind the play of a joint. */
static bool wood_soon(const Check *k, int piece, V3 at, V3 dir,
                      Stretch *out) {
    const Piece *p = &k->b->m->pieces.at[piece];
    Stretch      few[FEW_STRETCHES];
    Stretches    s = { few, 0, FEW_STRETCHES };

    solid_along_into(k->b->c, k->b->m->parts.at[p->part].solid, &p->frame,
                     at, dir, &s);
    for (int i = 0; i < s.n; i++)
        if (s.at[i].from < HAIR_MM && s.at[i].to > HAIR_MM) {
            *out = s.at[i];
            return true;
        }
    return false;
}

/* What fills a cut of the piece at a point: its wood lies where there was
 * some before the cut was made. */
typedef struct {
    const Check    *k;
    const Fastener *f;
    V3              at, dir;
    Stretch         wood;
    int             by;       // -1: nothing
} Fill;

static bool is_in_blank(const Model *m, const Piece *p, V3 at) {
    const Part *part = &m->parts.at[p->part];
    V3     d = v3_sub(at, p->frame.o);
    double x = v3_dot(d, p->frame.x), y = v3_dot(d, p->frame.y);
    double z = v3_dot(d, p->frame.z);

    return x > -TOUCH_MM && x < part->long_length.real + TOUCH_MM
        && y > -TOUCH_MM && y < part->width.real + TOUCH_MM
        && z > -TOUCH_MM && z < part->thickness.real + TOUCH_MM;
}

static bool fills(int piece, void *with) {
    Fill        *w = with;
    const Piece *q = &w->k->b->m->pieces.at[piece];

    if (piece == w->f->from || piece == w->f->into || q->temporary
        || (w->by >= 0 && piece > w->by) || !piece_stands(q, w->f->step)
        || !wood_soon(w->k, piece, w->at, w->dir, &w->wood))
        return false;
    w->by = piece;
    return false;   // there may be one before it
}

/* The wood goes on in the other of the two pieces, or in what fills the
 * cut. */
static bool goes_on(const Check *k, const Fastener *f, int *piece, int cut,
                    V3 at, V3 dir, Stretch *s) {
    const Model *m = k->b->m;
    Fill         w = { k, f, at, dir, { 0 }, -1 };
    V3           in = v3_add(at, v3_scale(dir, HAIR_MM));
    Box3         box = { at, at };

    for (int i = 0; i < 2; i++) {
        int other = i ? f->into : f->from;
        if (other != *piece && wood_soon(k, other, at, dir, s)) {
            *piece = other;
            return true;
        }
    }
    if (!is_in_blank(m, &m->pieces.at[cut], in))
        return false;
    box3_add(&box, in);
    box_tree_near(k->pieces, box, 0, fills, &w);
    if (w.by < 0 || w.by == *piece
        || !wood_soon(k, w.by, at, dir, s))
        return false;
    *piece = w.by;
    return true;
}

/* Wood of the two pieces from a point in one of them, and of what fills
 * their cuts at that step, as far as it goes on without a gap. A face that
 * lies ahead of a slanted screw rather than beside it is the business of
 * its tip. */
static Beside wood_beside(const Check *k, const Fastener *f, int piece,
                          V3 from, V3 dir) {
    Beside  b = { 0, from, piece };
    int     cut = piece;
    Stretch s;

    if (!wood_from(k->b, piece, from, dir, &s))
        return b;
    for (int i = 0; i < 6; i++) {
        b.wood += s.to;
        b.at    = v3_add(from, v3_scale(dir, b.wood));
        b.piece = piece;
        if (fabs(v3_dot(s.to_out, f->axis)) > 0.5) {
            b.wood = INFINITY;
            break;
        }
        if (piece == f->from || piece == f->into)
            cut = piece;
        b.wood += TOUCH_MM;
        if (!goes_on(k, f, &piece, cut, v3_add(from, v3_scale(dir, b.wood)),
                     dir, &s)) {
            b.wood -= TOUCH_MM;
            break;
        }
    }
    return b;
}

static Beside least_beside(const Check *k, const Fastener *f, int piece,
                           double depth, V3 u, V3 v) {
    V3     at = v3_add(f->head, v3_scale(f->axis, depth));
    Beside least = { INFINITY, at, piece };
    const Piece *p = &k->b->m->pieces.at[piece];

    if (reach_in(k->b, piece, at, f->axis) <= 0
        || solid_is_clear(k->b->m->parts.at[p->part].solid, &p->frame, at,
                          f->axis, wanted_by(k, f) + 1e-3))
        return least;
    for (int i = 0; i < 16; i++) {
        double a = i * PI / 8;
        V3     dir = v3_add(v3_scale(u, cos(a)), v3_scale(v, sin(a)));
        Beside one = wood_beside(k, f, piece, at, dir);
        if (one.wood < least.wood - 1e-6)
            least = one;
    }
    return least;
}

/* At the head, halfway to the contact, behind it, halfway to the tip and at
 * the tip. */
static Beside worst_beside(const Check *k, const Fastener *f) {
    const FastenerRow *row = &k->b->m->rows.at[f->row];
    V3     v = v3_unit(v3_cross(f->axis, row->along));
    V3     u = v3_cross(v, f->axis);
    double depth[] = { 0.5, f->held / 2, f->held + 0.5,
                       (f->held + f->length) / 2, f->length - 0.5 };
    Beside least = { INFINITY, f->head, f->from };

    for (int i = k->b->m->hardware.at[f->hardware].drive == DRIVE_POCKET
                 ? 2 : 0; i < COUNT(depth); i++) {
        Beside one = least_beside(k, f, i >= 2 ? f->into : f->from, depth[i],
                                  u, v);
        if (one.wood < least.wood - 1e-6)
            least = one;
    }
    return least;
}

static void check_beside(Check *k, const Fastener *f) {
    Beside b     = worst_beside(k, f);
    double least = b.wood;

    if (least < f->shank / 2 && is_news(k, f, FASTENER_OUT)) {
        report(k->b->c, fix_of(k, f)->loc, FASTENER_OUT,
               "%.*s is %.*s thick, but only %.*s from %.*s: it breaks out",
               STR_ARG(its_words(k, f)), STR_ARG(about(k, f->shank)),
               STR_ARG(about(k, least)),
               STR_ARG(words_at(k, b.piece, b.at)));
        hint(k->b->c, "take a thinner one, or move it with \"from ends\" "
             "or \"from edge\"");
    } else if (least >= f->shank / 2 && least < wanted_by(k, f) - 1e-3
               && is_news(k, f, FASTENER_EDGE)) {
        report(k->b->c, fix_of(k, f)->loc, FASTENER_EDGE,
               "%.*s stands %.*s from %.*s, and should have %.*s",
               STR_ARG(its_words(k, f)), STR_ARG(about(k, least)),
               STR_ARG(words_at(k, b.piece, b.at)),
               STR_ARG(rounded(k, wanted_by(k, f), 1)));
        hint(k->b->c, "nearer than that the wood splits: take a thinner one, "
             "or move it with \"from ends\" or \"from edge\"");
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

/* Is the piece there when the fastener is driven? What stood before the
 * step, what is joined, and what this step has fixed already, a row in its
 * order. Others that the step adds may well wait. */
static bool is_there(const Check *k, const Fastener *f, int piece) {
    const Piece *p    = &k->b->m->pieces.at[piece];
    const int   *turn = k->roles.turn;

    if (p->step < f->step)
        return piece_stands(p, f->step);
    if (k->roles.to[piece] || piece == f->into)
        return true;
    if (turn[piece])
        return turn[piece] < turn[f->from] || turn[piece] < turn[f->into];
    return p->step == f->step && k->fixed_at[piece] < f->fix;
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
           "%.*s before its head", STR_ARG(its_words(k, f)),
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
           " %.*s right, %.*s back, %.*s up", STR_ARG(its_words(k, f)),
           STR_ARG(name_of(k, f->from)), STR_ARG(its_words(k, g)),
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

static const BoxTree *tree_of_pieces(const Build *b) {
    Box3 *boxes = NEW_N(b->c, Box3, b->m->pieces.n + 1);

    for (int i = 0; i < b->m->pieces.n; i++)
        boxes[i] = b->m->pieces.at[i].box;
    return box_tree(b->c, boxes, b->m->pieces.n);
}

/* In which fixing of its step each piece is fixed, or fixed to, first. */
static void find_fixed(Check *k) {
    const Model *m = k->b->m;
    int          n = 0;

    k->fixed_at  = NEW_N(k->b->c, int, m->pieces.n + 1);
    k->first_fix = NEW_N(k->b->c, int, m->steps.n + 1);
    for (int i = 0; i < m->pieces.n; i++)
        k->fixed_at[i] = INT_MAX;
    for (int s = 0; s < m->steps.n; s++) {
        k->first_fix[s] = n;
        n += m->steps.at[s].fixes.n;
        for (int i = m->steps.at[s].fixes.n - 1; i >= 0; i--) {
            const Fix *f = &m->steps.at[s].fixes.at[i];
            for (int p = 0; p < f->pieces.n + f->to.n; p++) {
                int piece = p < f->pieces.n ? f->pieces.at[p]
                                            : f->to.at[p - f->pieces.n];
                if (m->pieces.at[piece].step == s)
                    k->fixed_at[piece] = i;
            }
        }
    }
    k->said = NEW_N(k->b->c, Codes, n + 1);
}

void check_fasteners(Build *b) {
    Check k = { .b = b, .work = ctx_scratch(b->c), .roles = roles_new(b),
                .pieces = tree_of_pieces(b) };

    find_fixed(&k);
    place_fasteners(b, k.pieces);
    for (int i = 0; i < b->m->fasteners.n; i++) {
        const Fastener *f = &b->m->fasteners.at[i];
        arena_reset(&k.work.arena);
        roles_of(&k.roles, fix_of(&k, f));
        if (!check_length(&k, f))
            continue;
        check_hold(&k, f);
        check_beside(&k, f);
        check_pocket(&k, f);
        check_reach(&k, f);
    }
    check_meets(&k);
    ctx_free(&k.work);
}
