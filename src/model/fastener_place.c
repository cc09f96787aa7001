/* fastener_place -- where each nail and screw goes.
 *
 * Two joined pieces touch in a patch. Its longer side gives the line of
 * the fasteners, which runs through the middle of the patch:
 *
 *        apart          The piece through which there is less wood to go
 *     |<------>|        gets the heads (that is how a maker nails a floor
 *   +--+-------+---+    to the edge of a wall). The ends of the line keep
 *   |  o       o   |    an inch, or ten shanks if that is more (the end
 *   +--+-------+---+    distance of the NDS Commentary, from memory), as
 *   |->|  start         long as that is no more than half a bay.
 *
 * It is driven square to the contact, but stays in the plane of a board
 * whose edge or end it enters. Where a row would meet one that is
 * placed already, it draws together or moves along until it is clear. A
 * rival, the middles of equal bays everywhere, starts too far from the ends
 * on long joints.
 *
 * A piece that leans on another along a line, as a roof slip on its deck,
 * has no patch. What lies over the other piece takes its place, and the
 * line runs a quarter of the way from where they touch: there the gap is
 * narrow, and the next course hides the heads.
 *
 * Of several pieces that one is fixed to, those count over which there is
 * room: a strip that leaves no wood beside the fastener gets none while
 * another patch can take it. Where two ways are alike (which way to slide,
 * which edge is the nearer) the axes of the pieces decide, not those of the
 * world: a project that is turned as a whole keeps its fasteners.
 */
#include "model/model_internal.h"

#include <math.h>

#define INCH      25.4
#define END_MM    25.4   // usual distance from the ends
#define WIDE_MM   50.0   // patches from this width on get two lines
#define IN_FACE   0.9    // cosine: from here on, the nail enters a face
#define SHIFT_MM  3.175  // 1/8 in
#define INSET_MM  0.2
#define SHIFTS    8      // tried to each side
#define LEAN_MM   25.4   // a gap under what leans that is still bridged
#define HAND_MM   50.0   // a piece this near before the head hides it

/* Fasteners found by the cell of space in which their heads are. */
typedef struct {
    double    cell;     // mm: none farther apart meet
    unsigned  slots;    // a power of two
    int      *first;    // of each slot: a fastener + 1
    LIST(int) next;     // of each fastener that is placed
} Heads;

/* What is shared while all fasteners are placed. */
typedef struct {
    Ctx   work;         // thrown away after each piece
    Heads heads;
    const BoxTree *tree;   // boxes of all pieces
    Neighbors near;
    Roles roles;        // in the fixing at hand
} Placing;

typedef struct {
    Placing *all;
    int    step, fix;
    const Fix *f;
    const Hardware *h;
    int    from, into;
    V3     n, u, v;        // n: from `from` into `into`; u along the line
    double d;              // the plane of contact: dot(n, p) = d
    Polygons where;        // in the axes of the patch
    V3     pu, pv;
    Box2   box;            // of the patch in u and v
    V3     axis;
    bool   leans;          // they touch along a line only
    bool   turned;         // u runs against the axes of the piece `from`
} Joint;

typedef LIST(double) Doubles;

/* ---- Wood along a line ---- */

static const Solid *solid_of(const Build *b, int piece) {
    return b->m->parts.at[b->m->pieces.at[piece].part].solid;
}

bool wood_from(Build *b, int piece, V3 at, V3 dir, Stretch *out) {
    Stretch      few[FEW_STRETCHES];
    Stretches    s = { few, 0, FEW_STRETCHES };

    solid_along_into(b->c, solid_of(b, piece),
                     &b->m->pieces.at[piece].frame, at, dir, &s);
    return stretch_at(&s, 1e-3, out);
}

double reach_in(Build *b, int piece, V3 at, V3 dir) {
    Stretch s;

    return wood_from(b, piece, at, dir, &s) ? s.to : 0;
}

/* ---- The patch ---- */

static V3 patch_point(const Joint *j, double s, double t) {
    return v3_add(v3_scale(j->n, j->d),
                  v3_add(v3_scale(j->u, s), v3_scale(j->v, t)));
}

/* A corner of the patch in u and v. */
static V2 on_patch(const Joint *j, V2 corner) {
    V3 p = v3_add(v3_scale(j->pu, corner.x), v3_scale(j->pv, corner.y));

    return v2(v3_dot(p, j->u), v3_dot(p, j->v));
}

static Box2 box_along(const Joint *j, V3 u, V3 v) {
    Box2 box = box2_empty();

    for (int i = 0; i < j->where.parts.n; i++) {
        const Ring *r = &j->where.parts.at[i].at[0];
        for (int k = 0; k < r->n; k++) {
            V3 p = v3_add(v3_scale(j->pu, r->at[k].x),
                          v3_scale(j->pv, r->at[k].y));
            box2_add(&box, v2(v3_dot(p, u), v3_dot(p, v)));
        }
    }
    return box;
}

/* The longest side of the patch. */
static V3 longest_side(const Joint *j) {
    double most = 0;
    V3     best = { 0, 0, 0 };

    for (int i = 0; i < j->where.parts.n; i++) {
        const Ring *r = &j->where.parts.at[i].at[0];
        for (int k = 0; k < r->n; k++) {
            V2 d = v2_sub(r->at[(k + 1) % r->n], r->at[k]);
            if (v2_len(d) <= most + 1e-3)
                continue;
            most = v2_len(d);
            best = v3_add(v3_scale(j->pu, d.x), v3_scale(j->pv, d.y));
        }
    }
    return best;
}

/* The axes of the two pieces that lie in the patch, or its longest side:
 * that with the least box around it; u is the longer side of the box. On
 * what leans, u runs along the line of contact. */
static void find_axes(Build *b, Joint *j) {
    double least = INFINITY;

    if (j->leans) {
        j->u   = v3_unit(v3_cross(j->n, b->m->pieces.at[j->from].frame.z));
        j->v   = v3_cross(j->n, j->u);
        j->box = box_along(j, j->u, j->v);
        return;
    }
    for (int i = 0; i < 7; i++) {
        const Frame *f = &b->m->pieces.at[i < 3 ? j->from : j->into].frame;
        V3     a = i == 6 ? longest_side(j) : i % 3 == 0 ? f->x
                 : i % 3 == 1 ? f->y : f->z, v;
        Box2   box;
        double x, y;
        a = v3_sub(a, v3_scale(j->n, v3_dot(a, j->n)));
        if (v3_len(a) < 0.7)
            continue;
        a   = v3_unit(a);
        v   = v3_cross(j->n, a);
        box = box_along(j, a, v);
        x   = box.max.x - box.min.x;
        y   = box.max.y - box.min.y;
        if (x * y > least - 1e-3 || x < y - 1e-6)
            continue;
        least  = x * y;
        j->u   = a;
        j->v   = v;
        j->box = box;
    }
}

static void turn_back(Joint *j) {
    j->u = v3_scale(j->u, -1);
    j->v = v3_scale(j->v, -1);
    j->box = (Box2){ v2_scale(j->box.max, -1), v2_scale(j->box.min, -1) };
}

/* The coordinate along which u runs most; of alike ones, the first. */
static double most_of(V3 u) {
    double x = fabs(u.x), y = fabs(u.y), z = fabs(u.z);

    return x >= y - 1e-9 && x >= z - 1e-9 ? u.x : y >= z - 1e-9 ? u.y : u.z;
}

/* Rows run to the right, to the back or up, whichever is most. Whether that
 * is along the axes of the piece or against them is kept. */
static void turn_along(const Build *b, Joint *j) {
    const Frame *f = &b->m->pieces.at[j->from].frame;

    if (most_of(j->u) < 0)
        turn_back(j);
    j->turned = most_of(v3(v3_dot(j->u, f->x), v3_dot(j->u, f->y),
                           v3_dot(j->u, f->z))) < 0;
}

static int by_number(const void *pa, const void *pb, const void *with) {
    double a = *(const double *)pa, b = *(const double *)pb;

    (void)with;
    return (a > b) - (a < b);
}

/* Where the line at t enters and leaves the patch, in order. */
static void line_on_patch(const Joint *j, double t, Doubles *out) {
    Ctx *c = &j->all->work;


    for (int i = 0; i < j->where.parts.n; i++) {
        for (int k = 0; k < j->where.parts.at[i].n; k++) {
            const Ring *r = &j->where.parts.at[i].at[k];
            for (int m = 0; m < r->n; m++) {
                V2 p = on_patch(j, r->at[m]);
                V2 q = on_patch(j, r->at[(m + 1) % r->n]);
                if ((p.y > t) != (q.y > t))
                    *PUSH(c, out) = p.x + (q.x - p.x) * (t - p.y)
                                  / (q.y - p.y);
            }
        }
    }
    list_sort(c, out->at, out->n, sizeof *out->at, by_number, NULL);
}

static double line_total(const Doubles *line) {
    double sum = 0;

    for (int i = 0; i + 1 < line->n; i += 2)
        sum += line->at[i + 1] - line->at[i];
    return sum;
}

/* The place on the line after so much of the patch. */
static double line_place(const Doubles *line, double way) {
    for (int i = 0; i + 1 < line->n; i += 2) {
        double len = line->at[i + 1] - line->at[i];
        if (way <= len || i + 2 >= line->n)
            return line->at[i] + way;
        way -= len;
    }
    return 0;
}

/* ---- Which piece gets the heads ---- */

/* Square to the contact, but never out of the plane of the board that the
 * tip goes into: a deck on a beveled wall is nailed plumb, a miter along
 * the next board. */
static V3 axis_into(const Build *b, int into, V3 n) {
    V3     z = b->m->pieces.at[into].frame.z;
    double c = v3_dot(n, z);

    if (fabs(c) > IN_FACE)
        return n;
    return v3_unit(v3_sub(n, v3_scale(z, c)));
}

static void swap_pieces(Joint *j) {
    int from = j->from;

    j->from = j->into;
    j->into = from;
    j->n    = v3_scale(j->n, -1);
    j->d    = -j->d;
}

static bool middle_of(const Joint *j, V3 *at) {
    Doubles line = { 0 };
    double  t    = (j->box.min.y + j->box.max.y) / 2;

    line_on_patch(j, t, &line);
    if (line.n < 2)
        return false;
    *at = patch_point(j, line_place(&line, line_total(&line) / 2), t);
    return true;
}

/* The wood of a piece on the near side of the contact; under one that
 * leans there may be a gap. */
static bool wood_back(Build *b, const Joint *j, int piece, V3 at, V3 axis,
                      Stretch *out) {
    const Piece *p   = &b->m->pieces.at[piece];
    V3           dir = v3_scale(axis, -1);
    Stretches    s;

    if (!j->leans)
        return wood_from(b, piece, at, dir, out);
    s = solid_along(&j->all->work, solid_of(b, piece), &p->frame, at, dir);
    for (int i = 0; i < s.n; i++) {
        if (s.at[i].to > TOUCH_MM && s.at[i].from < LEAN_MM) {
            *out = s.at[i];
            return true;
        }
    }
    return false;
}

/* The wood that a fastener goes through before the contact, and what that
 * costs: heads belong on a face that is nearly square to the axis. */
static double held_by(Build *b, const Joint *j, int piece, V3 at, V3 axis,
                      double *cost) {
    Stretch s;
    double  c;

    *cost = INFINITY;
    if (!wood_back(b, j, piece, at, axis, &s))
        return 0;
    c = fabs(v3_dot(s.to_out, axis));
    if (c > 1e-3)
        *cost = s.to / (c * c);
    return s.to;
}

/* One of the two ways to drive a fastener through the contact. */
typedef struct { int from; V3 at, axis; double held, cost; } HeadWay;

static HeadWay head_way(Build *b, const Joint *j, int from, int into, V3 n,
                        V3 at) {
    HeadWay w = { .from = from, .at = at, .axis = axis_into(b, into, n) };

    w.held = held_by(b, j, from, at, w.axis, &w.cost);
    return w;
}

typedef struct {
    Build       *b;
    const Joint *j;
    V3           head, back;
} Hidden;

/* A piece of an earlier step that is none of the fixing, right before the
 * head. */
static bool hides_head(int piece, void *with) {
    const Hidden *h = with;
    const Piece  *p = &h->b->m->pieces.at[piece];
    Stretch       few[FEW_STRETCHES];
    Stretches     s = { few, 0, FEW_STRETCHES };

    if (h->j->all->roles.turn[piece] || h->j->all->roles.to[piece]
        || p->step >= h->j->step || !piece_stands(p, h->j->step))
        return false;
    solid_along_into(&h->j->all->work, solid_of(h->b, piece), &p->frame,
                     h->head, h->back, &s);
    for (int i = 0; i < s.n; i++)
        if (s.at[i].to > 1 && s.at[i].from < HAND_MM)
            return true;
    return false;
}

/* Does the fastener go through, and is the head not behind another piece? */
static bool can_drive(Build *b, const Joint *j, const HeadWay *w) {
    Hidden h = { b, j, w->at, v3_scale(w->axis, -1) };
    Box3   box;

    if (w->held <= 0 || w->held > j->h->length.real - TOUCH_MM)
        return false;
    h.head = v3_add(w->at, v3_scale(h.back, w->held));
    box    = (Box3){ h.head, h.head };
    box3_add(&box, v3_add(h.head, v3_scale(h.back, HAND_MM)));
    return box_tree_near(j->all->tree, box, 0, hides_head, &h) < 0;
}

/* The author says it; else heads are where there is less wood, unless the
 * fastener can be driven from the other side only. */
static bool choose_head(Build *b, Joint *j, double *held) {
    const Roles *r = &j->all->roles;
    V3           at;
    HeadWay      one, two;
    bool         swap;

    if (!middle_of(j, &at))
        return false;
    one  = head_way(b, j, j->from, j->into, j->n, at);
    two  = head_way(b, j, j->into, j->from, v3_scale(j->n, -1), at);
    swap = r->through[j->into];
    if (!swap && !r->through[j->from] && !j->leans) {
        swap = two.cost < one.cost - 1e-3;
        if (!can_drive(b, j, swap ? &two : &one)
            && can_drive(b, j, swap ? &one : &two))
            swap = !swap;
    }
    if (swap)
        swap_pieces(j);
    *held = swap ? two.held : one.held;
    find_axes(b, j);
    turn_along(b, j);
    j->axis = axis_into(b, j->into, j->n);
    return true;
}

/* ---- Places in the row ---- */

/* What a rule shows: eighths or whole millimeters, never more; a patch is
 * known to a few 1e-4 mm. */
static double neat(const Build *b, double mm) {
    double step = b->m->inch ? INCH / 8 : 1;

    return mm > 2 * step ? floor((mm + 2e-3) / step) * step : mm;
}

static double end_distance(Build *b, const Joint *j, double len, int n) {
    double bay = len / (2 * n), usual = fmax(END_MM, 10 * j->h->shank);

    if (n == 1)
        return len / 2;
    if (j->f->bays)
        return bay;
    if (j->f->from_ends.real > 0)
        return fmin(j->f->from_ends.real, len / 2);
    return neat(b, fmin(bay, usual));
}

static int lines_of(const Joint *j, int n) {
    double width = j->box.max.y - j->box.min.y;
    double len   = j->box.max.x - j->box.min.x;

    if (j->f->lines)
        return n > 1 ? j->f->lines : 1;
    return n >= 4 && width >= WIDE_MM && width >= 0.3 * len ? 2 : 1;
}

/* How fast the gap under a piece that leans opens along v. */
static double opening(const Build *b, const Joint *j) {
    V3 z = b->m->pieces.at[j->from].frame.z;

    return v3_dot(z, j->v) / v3_dot(z, j->n);
}

/* Across the patch: the middle, or so far from that long side of the patch
 * which is nearer to an edge of the piece with the heads. */
static double line_at(Build *b, const Joint *j, int line, int lines) {
    double lo = j->box.min.y, hi = j->box.max.y, off = j->f->from_edge.real;
    V3     at;
    double below, above;

    if (lines == 2) {
        if (off <= 0)
            off = neat(b, fmin((hi - lo) / 4, END_MM));
        return line == 0 ? lo + off : hi - off;
    }
    if (j->leans) {
        off = off > 0 ? off : neat(b, (hi - lo) / 4);
        return opening(b, j) > 0 ? lo + off : hi - off;
    }
    if (off <= 0 || !middle_of(j, &at))
        return (lo + hi) / 2;
    at  = v3_sub(at, v3_scale(j->n, 0.01));
    below = reach_in(b, j->from, at, v3_scale(j->v, -1));
    above = reach_in(b, j->from, at, j->v);
    if (fabs(below - above) < 1e-3)
        return j->turned ? hi - off : lo + off;
    return below < above ? lo + off : hi - off;
}

/* The piece of the fixing that covers the head, so that the fastener goes
 * through it, too. */
typedef struct {
    Build       *b;
    const Joint *j;
    V3           at, back;
    int          piece;      // -1: none yet
    double       reach;
} Cover;

static bool covers(int piece, void *with) {
    Cover       *k = with;
    const Roles *r = &k->j->all->roles;
    double       reach;

    if (piece == k->j->into || (!r->turn[piece] && !r->to[piece])
        || (k->piece >= 0 && piece > k->piece))
        return false;
    reach = reach_in(k->b, piece, k->at, k->back);
    if (reach > 0) {
        k->piece = piece;
        k->reach = reach;
    }
    return false;   // there may be one before it
}

static Cover cover_of(Build *b, const Joint *j, V3 head) {
    V3    back = v3_scale(j->axis, -1);
    Cover k    = { b, j, v3_add(head, v3_scale(back, TOUCH_MM)), back, -1,
                   0 };

    box_tree_near(j->all->tree, (Box3){ k.at, k.at }, TOUCH_MM, covers, &k);
    return k;
}

/* Half of a dowel is in each piece, less in one that its hole would come out
 * of. */
static double dowel_share(const Hardware *h, double wood) {
    return fmin(h->length.real / 2, fmax(wood - TIP_MM, 0));
}

static void add_fastener(Build *b, const Joint *j, int row, V3 at) {
    Fastener *f;
    Stretch   wood;
    double    held = wood_back(b, j, j->from, at, j->axis, &wood) ? wood.to
                                                                  : 0;
    int       from = j->from;

    for (int i = 0; i < 4 && j->h->drive != DRIVE_POCKET && !j->leans; i++) {
        Cover over = cover_of(b, j, v3_sub(at, v3_scale(j->axis, held)));
        if (over.piece < 0 || over.piece == from)
            break;
        from  = over.piece;
        held += TOUCH_MM + over.reach;
    }

    f = PUSH(b->c, &b->m->fasteners);
    f->step = j->step;
    f->fix  = j->fix;
    f->row  = row;
    f->hardware = (int)(j->h - b->m->hardware.at);
    f->from = from;
    f->into = j->into;
    f->axis = j->axis;
    f->length = j->h->length.real;
    f->shank  = j->h->shank;
    f->head_width = j->h->head_width;
    f->held = j->h->drive == DRIVE_DOWEL ? dowel_share(j->h, held) : held;
    f->hold = reach_in(b, j->into, at, j->axis);
    f->head = v3_sub(at, v3_scale(j->axis, f->held));
}

/* Keeps of the line what has wood of the piece at this depth from the
 * contact, too: a beveled end is shorter outside. */
static void keep_in(Build *b, const Joint *j, double t, int piece,
                    double depth, Doubles *line) {
    const Piece *p = &b->m->pieces.at[piece];
    Ctx      *c    = &j->all->work;
    V3        at   = v3_add(patch_point(j, 0, t), v3_scale(j->axis, depth));
    Stretches s    = solid_along(c, solid_of(b, piece), &p->frame, at, j->u);
    Doubles   kept = { 0 };

    for (int i = 0; i + 1 < line->n; i += 2) {
        for (int k = 0; k < s.n; k++) {
            double lo = fmax(line->at[i], s.at[k].from);
            double hi = fmin(line->at[i + 1], s.at[k].to);
            if (hi <= lo)
                continue;
            *PUSH(c, &kept) = lo;
            *PUSH(c, &kept) = hi;
        }
    }
    if (kept.n)
        *line = kept;
}

/* How a row gives way to one that is placed already, mm. */
typedef struct { double squeeze, slide, across; } GiveWay;

/* To and fro, farther each time: 0, 1, -1, 2, -2 ... shifts. */
static double to_and_fro(int nth) {
    return (nth % 2 ? 1 : -1) * ((nth + 1) / 2) * SHIFT_MM;
}

/* The nth way: as it would be; closer together; slid along; slid back; and
 * so on, farther each time. If that does not help, the line moves sideways,
 * too. */
static GiveWay give_way(int nth) {
    double far = (nth + 2) / 3 * SHIFT_MM;
    int    side = nth - 3 * SHIFTS - 1, ways = 2 * SHIFTS + 1;

    if (side >= 0)
        return (GiveWay){ 0, to_and_fro(side % ways),
                          to_and_fro(side / ways + 1) };
    switch (nth % 3) {
    case 1:  return (GiveWay){ far, 0, 0 };
    case 2:  return (GiveWay){ 0, far, 0 };
    default: return (GiveWay){ 0, -far, 0 };
    }
}

#define WAYS (3 * SHIFTS + 1 + 2 * SHIFTS * (2 * SHIFTS + 1))

/* A place in lo..hi moved so that it keeps wood beside it, as far as it had
 * some before. */
static double moved_in(double at, double by, double lo, double hi,
                       double wood) {
    double least = fmin(at, lo + wood), most = fmax(at, hi - wood);

    return fmin(fmax(at + by, least), most);
}

/* One line of n. */
static void fill_line(Build *b, const Joint *j, int row, double t, int n,
                      GiveWay way) {
    Doubles line = { 0 };
    double  len, end, wood = wood_wanted(j->h);
    int     sign = j->turned ? -1 : 1;

    t = moved_in(t, sign * way.across, j->box.min.y, j->box.max.y, wood);
    line_on_patch(j, t, &line);
    if (line.n < 2)
        return;
    keep_in(b, j, t, j->from, INSET_MM - reach_in(b, j->from, patch_point(j,
            line_place(&line, line_total(&line) / 2), t),
            v3_scale(j->axis, -1)), &line);
    len = line_total(&line);
    end = end_distance(b, j, len, n);
    if (n > 1 && 2 * (end + way.squeeze) < len)
        end += way.squeeze;
    for (int i = 0; i < n; i++) {
        double far = n == 1 ? end : end + (len - 2 * end) * i / (n - 1);
        double s = line_place(&line, moved_in(far, sign * way.slide, 0, len,
                                              wood));
        add_fastener(b, j, row, patch_point(j, s, t));
    }
}

/* ---- Clear of those placed before ---- */

double fasteners_apart(const Fastener *f, const Fastener *g) {
    V3     d = v3_sub(g->head, f->head);
    double ab = v3_dot(f->axis, g->axis), den = 1 - ab * ab;
    double s = v3_dot(d, f->axis), t;

    if (den > 1e-9)
        s = (s - ab * v3_dot(d, g->axis)) / den;
    for (int i = 0; i < 3; i++) {   // clamped in turn: the nearest points
        s = fmin(fmax(s, 0), f->length);
        t = v3_dot(v3_sub(v3_add(f->head, v3_scale(f->axis, s)), g->head),
                   g->axis);
        t = fmin(fmax(t, 0), g->length);
        s = v3_dot(v3_sub(v3_add(g->head, v3_scale(g->axis, t)), f->head),
                   f->axis);
    }
    s = fmin(fmax(s, 0), f->length);
    return v3_len(v3_sub(v3_add(f->head, v3_scale(f->axis, s)),
                         v3_add(g->head, v3_scale(g->axis, t))));
}

static bool fastener_near(const Fastener *f, const Fastener *g) {
    return v3_len(v3_sub(f->head, g->head))
         < f->length + g->length + f->shank + g->shank;
}

/* The cells of space are hashed (primes: Teschner et al. 2003). */
static unsigned slot_of(const Heads *h, V3 at, int dx, int dy, int dz) {
    unsigned x = (unsigned)((int)floor(at.x / h->cell) + dx);
    unsigned y = (unsigned)((int)floor(at.y / h->cell) + dy);
    unsigned z = (unsigned)((int)floor(at.z / h->cell) + dz);

    return (x * 73856093u ^ y * 19349663u ^ z * 83492791u) & (h->slots - 1);
}

static void heads_add(Build *b, Heads *h, int fastener) {
    unsigned slot = slot_of(h, b->m->fasteners.at[fastener].head, 0, 0, 0);

    while (h->next.n <= fastener)
        *PUSH(b->c, &h->next) = 0;
    h->next.at[fastener] = h->first[slot];
    h->first[slot]       = fastener + 1;
}

/* Clear by a shank besides the two halves, so that a bit that wanders
 * does not find the other screw. */
static bool are_clear(const Fastener *f, const Fastener *g) {
    return !fastener_near(f, g)
        || fasteners_apart(f, g) >= fmax(f->shank + g->shank, 1.5) - 1e-6;
}

static bool slot_is_clear(const Build *b, const Heads *h, unsigned slot,
                          const Fastener *f) {
    for (int k = h->first[slot]; k > 0; k = h->next.at[k - 1])
        if (!are_clear(f, &b->m->fasteners.at[k - 1]))
            return false;
    return true;
}

/* Of those placed before, and of its neighbor in the row. */

static bool row_is_clear(const Build *b, const Heads *h, int first) {
    for (int i = first; i < b->m->fasteners.n; i++) {
        const Fastener *f = &b->m->fasteners.at[i];
        if (i > first && !are_clear(f, f - 1))
            return false;
        for (int k = 0; k < 27; k++)
            if (!slot_is_clear(b, h, slot_of(h, f->head, k % 3 - 1,
                                             k / 3 % 3 - 1, k / 9 - 1), f))
                return false;
    }
    return true;
}

/* Cells as wide as the longest two reach; a slot for each fastener. */
static Heads heads_for(Build *b) {
    Heads  h = { .slots = 16 };
    double most = 1;
    long   n = 0;

    for (int i = 0; i < b->m->hardware.n; i++)
        if (b->m->hardware.at[i].drive != DRIVE_NONE)
            most = fmax(most, b->m->hardware.at[i].length.real
                              + b->m->hardware.at[i].shank);
    for (int i = 0; i < b->m->steps.n; i++)
        for (int k = 0; k < b->m->steps.at[i].fixes.n; k++) {
            const Fix *f = &b->m->steps.at[i].fixes.at[k];
            n += (long)f->count * f->pieces.n;
        }
    while (h.slots < n && h.slots < 1u << 20)
        h.slots *= 2;
    h.cell  = 2 * most;
    h.first = NEW_N(b->c, int, h.slots);
    return h;
}

/* The odd one of two lines stands in the first of them. */
static void fill_row(Build *b, const Joint *j, int row, int n) {
    int  lines = lines_of(j, n), first = b->m->fasteners.n;
    bool other = j->turned && n % lines;
    int  tries = j->leans ? 3 * SHIFTS + 1 : WAYS;

    for (int i = 0; i <= tries; i++) {
        GiveWay way = give_way(i == tries ? 0 : i);
        b->m->fasteners.n = first;
        for (int k = 0; k < lines; k++)
            fill_line(b, j, row, line_at(b, j, other ? 1 - k : k, lines),
                      n / lines + (k < n % lines), way);
        if (row_is_clear(b, &j->all->heads, first))
            return;
    }
}

/* ---- What a maker measures ---- */

/* Shapes lie on a grid of 1e-4 mm: what is a sixty-fourth but for that is one,
 * or two rows alike would round to either side of a half step. */
static Quantity measured(double mm) {
    Quantity q = quantity_mm(mm);
    Quantity n = quantity_round(q, quantity_inches(1, 64));

    return fabs(n.real - mm) < 1e-3 ? n : q;
}

/* The face that has the heads: what a rule lies on. */
static V3 face_out(Build *b, const Fastener *f) {
    Stretch s;
    V3      back = v3_scale(f->axis, -1);

    if (!wood_from(b, f->from, v3_add(f->head, v3_scale(f->axis, 0.1)), back,
                   &s) || v3_dot(s.to_out, back) < 0.2)
        return back;
    return s.to_out;
}

/* So deep under the face the edges are those of the wood, not of a round-over
 * or chamfer. */
static double below_arris(Build *b, int piece) {
    const Part *part = &b->m->parts.at[b->m->pieces.at[piece].part];
    double      deep = 0;

    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        if (f->kind == FEATURE_CHAMFER || f->kind == FEATURE_ROUND)
            deep = fmax(deep, fmax(f->width.real, f->drop.real));
    }
    return deep + 0.05;
}

/* Across the lines; `other` is in the second line, or in the same. */
static void measure_across(Build *b, FastenerRow *r, V3 out, V3 side,
                           const Fastener *one, const Fastener *other) {
    const Fastener *line[] = { one, other };
    double reach[2][2];      // of each line, to the side and away from it
    int    k, way;

    for (int i = 0; i < 2; i++) {
        V3 at = v3_sub(line[i]->head,
                       v3_scale(out, below_arris(b, r->from)));
        reach[i][0] = reach_in(b, r->from, at, side);
        reach[i][1] = reach_in(b, r->from, at, v3_scale(side, -1));
    }
    k   = fmin(reach[1][0], reach[1][1]) < fmin(reach[0][0], reach[0][1]);
    way = reach[k][1] < reach[k][0];
    r->side    = v3_scale(side, way ? -1 : 1);
    r->edge    = measured(reach[k][way]);
    r->beyond  = measured(reach[1 - k][1 - way]);
    r->between = measured(r->lines < 2 ? 0 : fabs(v3_dot(v3_sub(other->head,
                          one->head), side)));
}

static void measure_row(Build *b, int row) {
    FastenerRow    *r = &b->m->rows.at[row];
    const Fastener *f = &b->m->fasteners.at[r->first];
    const Fastener *last;
    int    n = r->count / r->lines + r->count % r->lines;
    double gap = 0;
    bool   alike = true;
    V3     out = face_out(b, f), u, at, end;

    last = f + n - 1;
    for (int i = 1; i < n; i++) {
        double one = v3_dot(v3_sub(f[i].head, f[i - 1].head), r->along);
        alike &= i == 1 || fabs(one - gap) < 0.3;
        gap = i == 1 ? one : gap;
    }
    u   = v3_unit(v3_sub(r->along, v3_scale(out, v3_dot(r->along, out))));
    at  = v3_sub(f->head, v3_scale(out, below_arris(b, r->from)));
    end = v3_sub(last->head, v3_scale(out, below_arris(b, r->from)));
    r->start = measured(reach_in(b, r->from, at,
                                    v3_scale(u, -1)));
    r->end   = measured(reach_in(b, r->from, end, u));
    r->apart = measured(alike ? gap : 0);
    measure_across(b, r, out, v3_cross(out, u), f,
                   f + (r->lines < 2 ? 0 : n));
}

/* How near the tips of a row come to an end, edge or face beside them: a
 * screw splits a thin edge as well as the board that it goes through. */
static double nearest_side(Build *b, const FastenerRow *r) {
    const V3 ways[] = { r->along, v3_scale(r->along, -1), r->side,
                        v3_scale(r->side, -1) };
    double   near = 1e9;

    for (int i = r->first; i < r->first + r->count; i++) {
        const Fastener *f = &b->m->fasteners.at[i];
        double deep = f->held + fmin(f->hold, f->length - f->held) / 2;
        V3     at   = v3_add(f->head, v3_scale(f->axis, deep));
        for (int k = 0; k < COUNT(ways); k++)
            near = fmin(near, reach_in(b, r->into, at, ways[k]));
    }
    return near;
}

/* A hole that keeps the wood from splitting: seven tenths of the screw's
 * root in softwood, nine in hardwood (Wood Handbook, conditions of Eq.
 * 8-10), the root being 0.8 of the shank (NDS Table L3, from memory); three
 * quarters of a nail (NDS, second-hand). Needed where the row is nearer to
 * an end or side than ten shanks, in either piece, or the wood is hard. Brads
 * and pins need none. */
static Quantity pilot_of(Build *b, const Joint *j,
                         const FastenerRow *r) {
    double g = b->m->stocks.at[b->m->parts.at[b->m->pieces.at[r->into].part]
                               .stock].density / 1120;
    double d = j->h->shank, near = fmin(fmin(r->start.real, r->end.real),
                                        r->edge.real);
    bool   screw = j->h->drive == DRIVE_SCREW;

    near = fmin(near, nearest_side(b, r));
    if (d < 1.6 || (!screw && j->h->drive != DRIVE_NAIL)
        || (near >= 10 * d && g <= 0.5))
        return quantity_exact(0, 1, DIM_LENGTH);
    d *= !screw ? 0.75 : 0.8 * (g > 0.5 ? 0.9 : 0.7);
    return quantity_round(quantity_mm(d), quantity_inches(1, 64));
}

static void push_row(Build *b, const Joint *j, int first) {
    FastenerRow *r;

    if (b->m->fasteners.n == first)
        return;
    r = PUSH(b->c, &b->m->rows);
    r->step     = j->step;
    r->fix      = j->fix;
    r->hardware = (int)(j->h - b->m->hardware.at);
    r->from     = b->m->fasteners.at[first].from;
    r->into     = j->into;
    r->first    = first;
    r->count    = b->m->fasteners.n - first;
    r->lines    = lines_of(j, r->count);
    r->along    = j->u;
    measure_row(b, b->m->rows.n - 1);
    r->pilot = pilot_of(b, j, r);
    for (int i = first; i < b->m->fasteners.n; i++)
        heads_add(b, &j->all->heads, i);
}

/* ---- Pocket screws: where the pockets are ---- */

static void pockets_in(Build *b, Joint *j) {
    const Piece *p    = &b->m->pieces.at[j->from];
    const Part  *part = &b->m->parts.at[p->part];

    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        for (int k = 0; k < f->count && f->kind == FEATURE_POCKET; k++) {
            V3     seat, out;
            double held;
            pocket_bore(part, f, k, &seat, &out);
            seat    = frame_point(&p->frame, seat);
            j->axis = v3_scale(frame_vector(&p->frame, out), -1);
            held    = reach_in(b, j->from, seat, j->axis);
            seat    = v3_add(seat, v3_scale(j->axis, held));
            if (held > 0 && reach_in(b, j->into, v3_add(seat,
                    v3_scale(j->axis, TOUCH_MM)), j->axis) > 0)
                add_fastener(b, j, b->m->rows.n, seat);
        }
    }
}

static int place_pockets(Build *b, Joint *j) {
    int first = b->m->fasteners.n;

    pockets_in(b, j);
    if (b->m->fasteners.n == first) {
        swap_pieces(j);
        pockets_in(b, j);
    }
    j->u = b->m->pieces.at[j->from].frame.y;
    for (int i = first; i + 1 < b->m->fasteners.n; i++) {
        V3 way = v3_sub(b->m->fasteners.at[i + 1].head,
                        b->m->fasteners.at[i].head);
        if (i == first && v3_len(way) > 1)
            j->u = v3_unit(way);
    }
    push_row(b, j, first);
    return b->m->fasteners.n - first;
}

/* ---- Fixings ---- */

/* `roomy`: the patch leaves wood all around a fastener. */
typedef struct { Joint joint; double area, held; bool roomy; } Target;
typedef struct {
    LIST(Target);
    int    narrow;      // a piece that is touched over too little; -1: none
    double strip;       // how wide that is, mm; 0: along a line
} Targets;

static double width_of(const Joint *j) {
    return j->box.max.y - j->box.min.y;
}

/* `leans`: they touch along a line, as a slip on its deck. */
static bool joint_of(Build *b, Joint *j, int from, int into, bool leans,
                     double *area) {
    const Piece *p = &b->m->pieces.at[from], *q = &b->m->pieces.at[into];
    Ctx         *c = &j->all->work;
    TouchPatches all;

    all = leans ? solid_leans(c, solid_of(b, from), &p->frame,
                              solid_of(b, into), &q->frame, IN_FACE,
                              TOUCH_MM)
                : solid_patches(c, solid_of(b, from), &p->frame,
                                solid_of(b, into), &q->frame, TOUCH_MM);
    if (!all.n || (leans && v3_len(v3_cross(all.at[0].n, p->frame.z))
                   < 1e-4))
        return false;
    j->leans = leans;
    j->from  = from;
    j->into  = into;
    j->n     = all.at[0].n;
    j->d     = all.at[0].d;
    j->pu    = all.at[0].u;
    j->pv    = all.at[0].v;
    j->where = all.at[0].where;
    *area    = all.at[0].area;
    find_axes(b, j);
    turn_along(b, j);
    return true;
}

static void keep_if(Targets *all, bool (*is_good)(const Target *)) {
    int kept = 0, n = 0;

    for (int i = 0; i < all->n; i++)
        kept += is_good(&all->at[i]);
    for (int i = 0; i < all->n; i++)
        if (kept == 0 || is_good(&all->at[i]))
            all->at[n++] = all->at[i];
    all->n = n;
}

static bool is_reached(const Target *t) {
    return t->held < t->joint.h->length.real - TOUCH_MM;
}

static bool is_roomy(const Target *t) {
    return t->roomy;
}

/* Boards that meet edge to edge are not nailed through their width, and a
 * strip too narrow for the wood beside a fastener splits: such patches are
 * left out, unless there are no others. */
static void drop_poor(Targets *all) {
    keep_if(all, is_reached);
    keep_if(all, is_roomy);
}

static void place_in(Build *b, Joint *j, int n) {
    int first = b->m->fasteners.n;

    fill_row(b, j, b->m->rows.n, n);
    push_row(b, j, first);
}

static int by_size(const void *pa, const void *pb, const void *with) {
    const Target *a = pa, *b = pb;

    (void)with;
    return (a->area < b->area - 1) - (a->area > b->area + 1);
}

static void note_narrow(Targets *all, int piece, double strip) {
    if (all->narrow >= 0 && strip <= all->strip)
        return;
    all->narrow = piece;
    all->strip  = strip;
}

/* Each with its patch. */
static Targets targets_of(Build *b, const Joint *like, const Ints *others,
                          int piece, bool leans) {
    Targets all  = { .narrow = -1 };
    double  room = 2 * wood_wanted(like->h) - 1e-3;

    for (int i = 0; i < others->n; i++) {
        Target t = { *like, 0, 0, true };
        bool found = joint_of(b, &t.joint, piece, others->at[i], leans,
                              &t.area);
        if (!found || width_of(&t.joint) <= fmax(1, like->h->shank)) {
            note_narrow(&all, others->at[i],
                        found ? width_of(&t.joint) : 0);
            continue;
        }
        if (like->h->drive != DRIVE_POCKET
            && !choose_head(b, &t.joint, &t.held))
            continue;
        t.roomy = leans || width_of(&t.joint) >= room;
        *PUSH(&like->all->work, &all) = t;
    }
    return all;
}

/* Nothing that the piece touches can take a fastener. */
static void report_narrow(Build *b, const Joint *like, int piece,
                          const Targets *all) {
    Str kind = fastener_words(b, like->h);
    Str over = all->strip < 0.1 ? str_from(b->c, "along an edge only")
             : str_fmt(b->c, "over a strip of only %.*s", STR_ARG(
                       rough_text(b, all->strip, 0)));

    report(b->c, like->f->loc, FASTENER_MISSES,
           "'%.*s' touches '%.*s' %.*s, and %.*s wants %.*s",
           STR_ARG(b->m->pieces.at[piece].name),
           STR_ARG(b->m->pieces.at[all->narrow].name), STR_ARG(over),
           STR_ARG(kind), STR_ARG(rough_text(b, 2 * wood_wanted(like->h),
                                             1)));
    hint(b->c, "nothing that it is joined to here has room for one: move "
         "a piece so that they lie on each other, or name one that does");
}

/* The fasteners of one piece are dealt out evenly over what it touches,
 * the odd ones to the largest patches. */
static void place_piece(Build *b, const Joint *like, int piece) {
    const Fix *f      = like->f;
    bool       pocket = like->h->drive == DRIVE_POCKET;
    Ints       others = roles_touched(&like->all->work, b->m,
                                      &like->all->near,
                                      &like->all->roles, piece);
    Targets    all    = targets_of(b, like, &others, piece, false), lean;
    int        pockets = 0;

    if (!all.n && !pocket) {
        lean = targets_of(b, like, &others, piece, true);
        if (!lean.n && all.narrow >= 0)
            report_narrow(b, like, piece, &all);
        all = lean;
    }
    list_sort(&like->all->work, all.at, all.n, sizeof *all.at, by_size,
              NULL);
    if (!pocket)
        drop_poor(&all);
    for (int i = 0; i < all.n; i++) {
        int n = f->count / all.n + (i < f->count % all.n);
        if (pocket)
            pockets += place_pockets(b, &all.at[i].joint);
        else if (n > 0)
            place_in(b, &all.at[i].joint, n);
    }
    if (!pocket || !all.n || pockets >= f->count)
        return;
    report(b->c, f->loc, FASTENER_MISSES,
           "%d pocket screws join '%.*s' here, but only %d pocket holes "
           "lead from one to the other", f->count,
           STR_ARG(b->m->pieces.at[piece].name), pockets);
    hint(b->c, "a pocket screw sits in a \"pocket\" of its part: check "
         "where the pockets are and where they point");
}

void place_fasteners(Build *b, const BoxTree *tree) {
    Placing all = { .work = ctx_scratch(b->c), .heads = heads_for(b),
                    .tree = tree, .near = neighbors_of(b->c, b->m),
                    .roles = roles_new(b) };

    for (int i = 0; i < b->m->steps.n; i++) {
        const Step *step = &b->m->steps.at[i];
        for (int k = 0; k < step->fixes.n; k++) {
            const Fix *f = &step->fixes.at[k];
            Joint      j = { &all, .step = i, .fix = k, .f = f };
            if (f->hardware < 0)
                continue;
            j.h = &b->m->hardware.at[f->hardware];
            if (j.h->drive == DRIVE_NONE || j.h->length.poison
                || j.h->length.real <= 0)
                continue;
            roles_of(&all.roles, f);
            for (int p = 0; p < f->pieces.n; p++) {
                place_piece(b, &j, f->pieces.at[p]);
                arena_reset(&all.work.arena);
            }
        }
    }
    ctx_free(&all.work);
}
