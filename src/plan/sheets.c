/* sheets -- full-size patterns of parts and jigs: which parts get one, and
 * which half of it is enough.
 *
 * A pattern larger than a sheet is laid over several that overlap (tile.c),
 * half of it where it is symmetric and that saves sheets. Where on the
 * sheets they lie, sheet_place.c decides.
 */
#include "plan/plan_internal.h"

#include <math.h>

#define TO_RADIANS  0.017453292519943295

/* ---- Which parts ---- */

static int drilled_holes(const Part *part) {
    int n = 0;

    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        if (f->kind == FEATURE_HOLE
            && (f->side == SIDE_SHOW || f->side == SIDE_BACK))
            n += f->count > 1 ? f->count : 1;
    }
    return n;
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
        || has_scallops(part) || drilled_holes(part) >= 3;
}

/* ---- Symmetry ---- */

static bool is_blind_mark(const Feature *f) {
    return f->side == SIDE_SHOW
        && (f->kind == FEATURE_POCKET || f->depth.real > 0
            || f->sink.real > 0);
}

static bool is_mark_at(const Feature *f, const Feature *like, double x,
                       double y) {
    if (f->kind != like->kind || !is_blind_mark(f)
        || fabs(f->diameter.real - like->diameter.real) > 0.01
        || fabs(f->sink.real - like->sink.real) > 0.01
        || fabs(f->length.real - like->length.real) > 0.01
        || fabs(f->width.real - like->width.real) > 0.01
        || fabs(f->depth.real - like->depth.real) > 0.01)
        return false;
    for (int i = 0; i == 0 || i < f->count; i++) {
        V2 by = feature_copy(f, i);
        if (fabs(f->x.real + by.x - x) <= 0.01
            && fabs(f->y.real + by.y - y) <= 0.01)
            return true;
    }
    return false;
}

/* The mirror image of a point about the middle of the box. */
static V2 mirror(Box2 box, bool along, V2 v) {
    return along ? v2(v.x, box.min.y + box.max.y - v.y)
                 : v2(box.min.x + box.max.x - v.x, v.y);
}

/* True if every blind hole, groove or pocket of the face has its mirror
 * image: these do not show in the outline, but half a pattern would lose
 * them. A groove's place is its left end, others' their center. */
static bool marks_symmetric(const Part *part, Box2 box, bool along) {
    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        double long_ = f->kind == FEATURE_GROOVE && !along
                     ? f->length.real : 0;
        for (int k = 0; is_blind_mark(f) && (k == 0 || k < f->count); k++) {
            V2   at = mirror(box, along, v2_add(v2(f->x.real, f->y.real),
                                                feature_copy(f, k)));
            bool found = false;
            for (int j = 0; j < part->features.n && !found; j++)
                found = is_mark_at(&part->features.at[j], f, at.x - long_,
                                   at.y);
            if (!found)
                return false;
        }
    }
    return true;
}

/* The fold runs along the part, or across it. */
static bool may_be_halved(Ctx *c, const Part *part, bool along) {
    return marks_symmetric(part, shape_box(part->face), along)
        && shape_symmetric(c, part->face, !along, 0.01);
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

/* A profile along a whole edge, whose both ends are alike: its left end
 * and one repeat are enough; NULL: the part has none, or other cuts too. */
static const Feature *only_profile(const Part *part) {
    const Feature *f = part->features.n == 1 ? &part->features.at[0] : NULL;

    return f && f->kind == FEATURE_SCALLOP && f->repeats >= 3
        && (f->side == SIDE_NEAR || f->side == SIDE_FAR) ? f : NULL;
}

static Draft repeat_draft(Ctx *c, const Workplan *p, const Part *part,
                          int index, const Feature *f) {
    Box2   box   = shape_box(part->face);
    double begin = f->start.real, end = begin + f->pitch.real;
    Draft  d = { .pattern = { .part = index, .half = true,
                              .repeats = f->repeats } };

    d.face      = face_until(c, part, v2(end, box.max.y + 1));
    d.fold[0]   = v2(end, box.min.y);
    d.fold[1]   = v2(end, box.max.y);
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
        || !may_be_halved(c, part, fold == FOLD_ALONG))
        return;
    half = make_draft(c, p, part, best->pattern.part, fold);
    if (asked || half.tiling->tiles.n < best->tiling->tiles.n)
        *best = half;
}

/* Whole, unless half of it needs fewer sheets. */
static Draft best_draft(Ctx *c, const Workplan *p, const Part *part,
                        int index) {
    Draft best = make_draft(c, p, part, index, WHOLE);

    if (only_profile(part) && part->templated != TEMPLATE_HALF
        && best.tiling->tiles.n > 1 && may_be_halved(c, part, false))
        return repeat_draft(c, p, part, index, only_profile(part));
    try_half(c, p, part, FOLD_ACROSS, &best);
    try_half(c, p, part, FOLD_ALONG, &best);
    return best;
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
    LIST(Draft) drafts = { 0 };
    Patterns    jigs   = { 0 };

    p->sheet_w = width - 2 * SHEET_MARGIN;
    p->sheet_h = height - 2 * SHEET_MARGIN;
    for (int i = 0; i < m->parts.n; i++) {
        const Part *part = &m->parts.at[i];
        if (!part_has_template(part) || part->face.loops.n == 0)
            continue;
        *PUSH(c, &drafts) = best_draft(c, p, part, i);
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
