/* sheets -- full-size patterns of parts and jigs: which parts get one, and
 * which half of it is enough.
 *
 * A pattern larger than a sheet is laid over several that overlap (tile.c),
 * half of it where it is symmetric and that saves sheets. Where on the
 * sheets they lie, sheet_place.c decides.
 */
#include "plan/plan_internal.h"

#include <math.h>

#define EXACT       5e-4   // mm: joined shapes lie on a grid of 1e-4
#define MANY_HOLES  3   // in one piece
#define MANY_ALIKE  6   // in all pieces of a part

#define TO_RADIANS  0.017453292519943295

/* ---- Which parts ---- */

/* Positions in the faces of one piece; `leaning`: of holes that lean. */
static int drilled_holes(const Part *part, bool leaning) {
    int n = 0;

    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        if (f->kind == FEATURE_HOLE
            && (f->side == SIDE_SHOW || f->side == SIDE_BACK)
            && (!leaning || f->tilt.real > 0))
            n += f->count > 1 ? f->count : 1;
    }
    return n;
}

/* Positions worth pricking through: so many that measuring each invites
 * mistakes, some of them in several pieces that must agree, or one whose
 * lean must be seen (common practice, no published source). */
static bool is_worth_pricking(const Part *part) {
    int holes = drilled_holes(part, false);

    return holes >= MANY_HOLES || drilled_holes(part, true) > 0
        || (holes >= 2 && holes * part->quantity >= MANY_ALIKE);
}

static bool has_scallops(const Part *part) {
    for (int i = 0; i < part->features.n; i++) {
        if (part->features.at[i].kind == FEATURE_SCALLOP)
            return true;
    }
    return false;
}

bool part_has_template(const Part *part) {
    if (part->templated != 0)
        return part->templated > 0;
    if (part->plain)
        return false;
    return part->curved || part->outlined || part->jig
        || has_scallops(part) || is_worth_pricking(part);
}

/* ---- Symmetry ---- */

/* What a pattern shows that is not in the face's outline. */
static bool is_mark(const Feature *f) {
    return f->side <= SIDE_BACK
        && (f->kind == FEATURE_POCKET || f->depth.real > 0
            || f->sink.real > 0 || f->tilt.real > 0);
}

/* The side to which a hole leans in the image. */
static Side mirrored_side(Side s, bool along) {
    return along && s == SIDE_NEAR   ? SIDE_FAR
         : along && s == SIDE_FAR    ? SIDE_NEAR
         : !along && s == SIDE_LEFT  ? SIDE_RIGHT
         : !along && s == SIDE_RIGHT ? SIDE_LEFT : s;
}

static bool is_alike(const Feature *a, const Feature *b, bool along) {
    const Quantity of_a[] = { a->diameter, a->sink, a->length, a->width,
                              a->depth, a->tilt };
    const Quantity of_b[] = { b->diameter, b->sink, b->length, b->width,
                              b->depth, b->tilt };

    for (int i = 0; i < COUNT(of_a); i++) {
        if (fabs(of_a[i].real - of_b[i].real) > EXACT)
            return false;
    }
    return a->kind == b->kind && a->side == b->side && is_mark(b)
        && (a->tilt.real <= 0
            || mirrored_side(a->toward, along) == b->toward);
}

static bool is_at(const Feature *f, V2 at) {
    for (int i = 0; i == 0 || i < f->count; i++) {
        V2 by = feature_copy(f, i);
        if (fabs(f->x.real + by.x - at.x) <= EXACT
            && fabs(f->y.real + by.y - at.y) <= EXACT)
            return true;
    }
    return false;
}

/* The mirror image of a point about the middle of the box. */
static V2 mirror(Box2 box, bool along, V2 v) {
    return along ? v2(v.x, box.min.y + box.max.y - v.y)
                 : v2(box.min.x + box.max.x - v.x, v.y);
}

/* True if each blind or leaning hole, groove or pocket has its mirror image:
 * these do not show in the outline, but half a pattern would lose them. A
 * groove's place is its near left corner, others' their center. */
static bool marks_symmetric(const Part *part, Box2 box, bool along) {
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        V2 size = f->kind != FEATURE_GROOVE ? v2(0, 0)
                : along ? v2(0, f->width.real) : v2(f->length.real, 0);
        for (int k = 0; is_mark(f) && (k == 0 || k < f->count); k++) {
            V2   at = v2_sub(mirror(box, along, v2_add(v2(f->x.real,
                          f->y.real), feature_copy(f, k))), size);
            bool found = false;
            for (int j = 0; j < part->features.n && !found; j++)
                found = is_alike(f, &part->features.at[j], along)
                     && is_at(&part->features.at[j], at);
            if (!found)
                return false;
        }
    }
    return true;
}

/* The back face, which slanted ends and edges make another one. */
static bool back_symmetric(const Part *part, Box2 box, bool along) {
    Box2 back;

    if (part->back.loops.n == 0)
        return true;
    back = shape_box(part->back);
    return (along ? fabs(back.min.y + back.max.y - box.min.y - box.max.y)
                  : fabs(back.min.x + back.max.x - box.min.x - box.max.x))
           <= EXACT && shape_symmetric(part->back, !along);
}

/* The fold runs along the part, or across it. */
static bool may_be_halved(const Part *part, bool along) {
    Box2 box = shape_box(part->face);

    return marks_symmetric(part, box, along)
        && back_symmetric(part, box, along)
        && shape_symmetric(part->face, !along);
}

/* ---- Patterns ---- */

static V2 turn_point(V2 v, double degrees) {
    double a = degrees * TO_RADIANS;
    double co = fmod(degrees, 180) == 90 ? 0 : cos(a);
    double si = fmod(degrees, 180) == 0 ? 0 : sin(a);

    return v2(v.x * co - v.y * si, v.x * si + v.y * co);
}

V2 pattern_point(const Pattern *t, V2 v) {
    return v2_add(t->origin, turn_point(v, t->turn));
}

Shape pattern_shape(Ctx *c, const Pattern *t, Shape s) {
    return shape_move(c, shape_turn(c, s, v2(0, 0), t->turn * TO_RADIANS),
                      t->origin);
}

/* The part's face from its lower left corner to there. */
static Shape face_until(Ctx *c, const Part *part, V2 to) {
    Box2 box = shape_box(part->face);

    return shape_intersect(c, part->face,
               shape_rect(c, v2(box.min.x - 1, box.min.y - 1), to));
}

/* The pattern with its shape turned by so many degrees to the left. */
Pattern draft_pattern(Ctx *c, const Draft *d, double turn) {
    Pattern t = d->pattern;

    t.turn   = turn;
    t.shape  = shape_turn(c, d->face, v2(0, 0), turn * TO_RADIANS);
    t.origin = v2_scale(shape_box(t.shape).min, -1);
    t.shape  = shape_move(c, t.shape, t.origin);
    for (int i = 0; i < 2; i++) {
        t.fold[i]   = pattern_point(&t, d->fold[i]);
        t.repeat[i] = pattern_point(&t, d->repeat[i]);
    }
    return t;
}

static void tile_draft(Ctx *c, const Workplan *p, Draft *d) {
    Rings rings = shape_rings(c, d->face, FLAT);

    d->tiling  = tile_shape(c, rings, p->sheet_w, p->sheet_h, SHEET_OVERLAP);
    d->pattern = draft_pattern(c, d, d->tiling->turn);
}

typedef enum { WHOLE, FOLD_ACROSS, FOLD_ALONG } Fold;
typedef LIST(Draft) Drafts;

/* The fold's ends are in such order that the half lies to its left. */
static Draft make_draft(Ctx *c, const Workplan *p, const Part *part,
                        int index, Fold fold) {
    Box2  box    = shape_box(part->face);
    V2    middle = v2_scale(v2_add(box.min, box.max), 0.5);
    Draft d = { .pattern = { .part = index, .half = fold != WHOLE },
                .face = part->face };

    if (fold == FOLD_ACROSS) {
        d.face    = face_until(c, part, v2(middle.x, box.max.y + 1));
        d.fold[0] = v2(middle.x, box.min.y);
        d.fold[1] = v2(middle.x, box.max.y);
    } else if (fold == FOLD_ALONG) {
        d.face    = face_until(c, part, v2(box.max.x + 1, middle.y));
        d.fold[0] = v2(box.max.x, middle.y);
        d.fold[1] = v2(box.min.x, middle.y);
    }
    tile_draft(c, p, &d);
    return d;
}

/* A profile along a whole edge: its left end and one repeat are enough, and
 * its right end where that is another; NULL: the part has none, or other cuts
 * too. */
static const Feature *only_profile(const Part *part) {
    const Feature *f = part->features.n == 1 ? &part->features.at[0] : NULL;

    return f && f->kind == FEATURE_SCALLOP && f->repeats >= 3
        && (f->side == SIDE_NEAR || f->side == SIDE_FAR) ? f : NULL;
}

/* The part's face from there to its upper right corner. */
static Shape face_from(Ctx *c, const Part *part, double x) {
    Box2 box = shape_box(part->face);

    return shape_intersect(c, part->face,
               shape_rect(c, v2(x, box.min.y - 1),
                          v2(box.max.x + 1, box.max.y + 1)));
}

/* So many repeats are cut by a slanted end that lies `before` them. */
static int cut_repeats(const Part *part, const Feature *f, bool right,
                       double before) {
    double run = part->width.real * tan(part->ends[right].miter.real
                                        * TO_RADIANS);

    return (int)ceil(fmax(0, fabs(run) - before) / f->pitch.real - 1e-6);
}

/* The left end with the first whole repeat, or the right end with the
 * last. */
static Draft repeat_draft(Ctx *c, const Workplan *p, const Part *part,
                          int index, const Feature *f, bool right) {
    Box2   box  = shape_box(part->face);
    double low  = f->start.real, pitch = f->pitch.real;
    double high = low + f->repeats * pitch, begin, end;
    int    lost = cut_repeats(part, f, right,
                              right ? box.max.x - high : low - box.min.x);
    Draft  d = { .pattern = { .part = index, .half = true, .right = right,
                              .repeats = f->repeats } };

    begin = right ? high - lost * pitch : low + lost * pitch;
    end   = right ? begin - pitch : begin + pitch;
    d.face = right ? face_from(c, part, end)
                   : face_until(c, part, v2(end, box.max.y + 1));
    d.fold[right]    = v2(end, box.min.y);
    d.fold[!right]   = v2(end, box.max.y);
    d.repeat[0] = v2(begin, box.min.y);
    d.repeat[1] = v2(begin, box.max.y);
    tile_draft(c, p, &d);
    return d;
}

/* The half that needs fewer sheets, if it may be halved. */
static void try_half(Ctx *c, const Workplan *p, const Part *part, Fold fold,
                     Draft *best) {
    bool  asked = part->templated == TEMPLATE_HALF && !best->pattern.half;
    Draft half;

    if ((best->tiling->tiles.n <= 1 && !asked)
        || !may_be_halved(part, fold == FOLD_ALONG))
        return;
    half = make_draft(c, p, part, best->pattern.part, fold);
    if (asked || half.tiling->tiles.n < best->tiling->tiles.n)
        *best = half;
}

/* Whole, unless half of it, or one repeat of its profile, needs fewer
 * sheets. */
static void add_drafts(Ctx *c, const Workplan *p, const Part *part,
                       int index, Drafts *out) {
    Draft          best = make_draft(c, p, part, index, WHOLE);
    const Feature *f    = only_profile(part);

    if (f && part->templated != TEMPLATE_HALF && best.tiling->tiles.n > 1) {
        *PUSH(c, out) = repeat_draft(c, p, part, index, f, false);
        if (!may_be_halved(part, false))
            *PUSH(c, out) = repeat_draft(c, p, part, index, f, true);
        return;
    }
    try_half(c, p, part, FOLD_ACROSS, &best);
    try_half(c, p, part, FOLD_ALONG, &best);
    *PUSH(c, out) = best;
}

/* Has it been said for the other paper? */
static bool has_diag(const Ctx *c, DiagCode code, Loc at) {
    for (int i = 0; i < c->diags.n; i++) {
        const Diag *d = &c->diags.at[i];
        if (d->code == code && d->loc.begin == at.begin
            && d->loc.file == at.file)
            return true;
    }
    return false;
}

/* A template that its author wants on one sheet must fit on it. */
static void check_one(Ctx *c, const Workplan *p, const Part *part,
                      const Draft *d) {
    Box2 box = shape_box(d->face);

    if (part->templated != TEMPLATE_ONE || d->tiling->tiles.n == 1
        || has_diag(c, TEMPLATE_LARGE, part->loc))
        return;
    report(c, part->loc, TEMPLATE_LARGE, "the template of part %.*s is "
           "%.0f x %.0f mm and needs %d sheets, but it is to be on one; "
           "the paper has room for %.1f x %.1f mm", STR_ARG(part->letter),
           box.max.x - box.min.x, box.max.y - box.min.y,
           d->tiling->tiles.n, p->sheet_w, p->sheet_h);
}

/* Not if its author wants it on one sheet. */
static bool may_be_strip(const Model *m, const Workplan *p, const Draft *d) {
    int part = d->pattern.part;

    return (part < 0 || m->parts.at[part].templated != TEMPLATE_ONE)
        && (strip_may(p, d, true) || strip_may(p, d, false));
}

/* ---- All ---- */

void plan_sheets(Ctx *c, const Model *m, Workplan *p, double width,
                 double height) {
    Drafts   drafts = { 0 };
    Patterns jigs   = { 0 };

    p->sheet_w = width - 2 * SHEET_MARGIN;
    p->sheet_h = height - 2 * SHEET_MARGIN;
    for (int i = 0; i < m->parts.n; i++) {
        const Part *part = &m->parts.at[i];
        if (!part_has_template(part) || part->face.loops.n == 0)
            continue;
        add_drafts(c, p, part, i, &drafts);
        check_one(c, p, part, &drafts.at[drafts.n - 1]);
    }
    plan_jigs(c, m, drafts.n == 0, &jigs);
    for (int i = 0; i < jigs.n; i++) {
        Draft *d = PUSH(c, &drafts);
        *d = (Draft){ .pattern = jigs.at[i], .face = jigs.at[i].shape };
        tile_draft(c, p, d);
    }
    for (int i = 0; i < drafts.n; i++)
        drafts.at[i].strip = may_be_strip(m, p, &drafts.at[i]);
    sheets_least(c, p, drafts.at, drafts.n);
    strips_place(c, m, p, drafts.at, drafts.n);
    for (int i = 0; i < drafts.n; i++)
        *PUSH(c, &p->patterns) = drafts.at[i].pattern;
}

const Workplan *plan_on_paper(Ctx *c, const Model *m, const Workplan *old,
                              double width, double height) {
    Workplan *p = NEW(c, Workplan);

    *p = *old;
    memset(&p->patterns, 0, sizeof p->patterns);
    memset(&p->sheets, 0, sizeof p->sheets);
    p->shared_sheets = p->sheets_least = 0;
    plan_sheets(c, m, p, width, height);
    return p;
}
