/* machine -- the shapes of a part's face, sorted by operation.
 *
 * Loops of the face that are whole circles and stem from holes are drilled;
 * the others are cut through. Grooves and blind holes of this face are
 * milled or drilled to their depth. Seen from the back, x runs the other
 * way.
 */
#include "plan/machine.h"

#include <math.h>

#define LETTER_HIGH 10.0   // mm, less where the part is small
#define NEARLY      1e-3   // mm

/* ORDER WORK */
static const char *const names[WORK_KINDS] = {
    "cut", "drill", "mill", "engrave"
};

const char *work_name(WorkKind kind) {
    return names[kind];
}

typedef struct {
    Ctx         *c;
    const Part  *part;
    bool         back;
    double       tool;
    MachineWork *out;
    bool         fits;
} Sorter;

static Work *add_work(Sorter *s, WorkKind kind, double depth, Shape shape) {
    Work *w = PUSH(s->c, &s->out->works);

    w->kind  = kind;
    w->depth = depth;
    w->shape = shape;
    return w;
}

/* The path beside a shape; the number of loops tells whether the tool
 * passed everywhere. */
static Shape beside(Sorter *s, Shape shape, double by, const char *what) {
    Shape path = s->tool > 0 ? shape_offset(s->c, shape, by) : shape;

    if (path.loops.n == shape.loops.n)
        return path;
    s->fits = false;
    report_plain(s->c, BAD_CHOICE, "a tool of %.3f mm is too wide for %s of "
                 "part %.*s, %d of its %d outlines are left", s->tool, what,
                 STR_ARG(s->part->letter), path.loops.n, shape.loops.n);
    hint(s->c, "take a smaller --tool, or none and let the machine's own "
         "program move the paths");
    return path;
}

/* ---- Holes ---- */

static bool is_hole_at(const Feature *f, V2 center, double radius) {
    if (f->kind != FEATURE_HOLE || f->shape.loops.n == 0
        || fabs(f->diameter.real / 2 - radius) > NEARLY)
        return false;
    for (int i = 0; i < f->count; i++) {
        V2 at = v2_add(v2(f->x.real, f->y.real), feature_copy(f, i));
        if (v2_len(v2_sub(at, center)) < NEARLY)
            return true;
    }
    return false;
}

/* All of a loop lies on one circle. */
static bool is_circle(const Loop *l, V2 *center, double *radius) {
    *center = l->at[0].center;
    *radius = v2_len(v2_sub(l->at[0].a, *center));
    for (int i = 0; i < l->n; i++) {
        if (l->at[i].kind != SEG_ARC
            || v2_len(v2_sub(l->at[i].center, *center)) > NEARLY
            || fabs(v2_len(v2_sub(l->at[i].b, *center)) - *radius) > NEARLY)
            return false;
    }
    return true;
}

static void add_hole(Sorter *s, V2 center, double diameter, double depth) {
    Work *w = add_work(s, WORK_DRILL, depth,
                       shape_circle(s->c, center, diameter / 2));

    w->center   = center;
    w->diameter = diameter;
}

static bool drilled(Sorter *s, const Loop *l) {
    V2     center;
    double radius;

    if (!is_circle(l, &center, &radius))
        return false;
    for (int i = 0; i < s->part->features.n; i++) {
        if (is_hole_at(&s->part->features.at[i], center, radius)) {
            add_hole(s, center, 2 * radius, 0);
            return true;
        }
    }
    return false;
}

/* ---- Through the face, and into it ---- */

static void sort_face(Sorter *s) {
    Shape face = s->back ? s->part->back : s->part->face, cut = { 0 };

    for (int i = 0; i < face.loops.n; i++) {
        if (!drilled(s, &face.loops.at[i]))
            *PUSH(s->c, &cut.loops) = face.loops.at[i];
    }
    (void)add_work(s, WORK_CUT, 0,
                   beside(s, cut, s->tool / 2, "the cut-outs"));
}

static void sort_blind(Sorter *s, const Feature *f) {
    double t = s->part->thickness.real, depth = f->depth.real;

    if (f->shape.loops.n == 0 || depth <= 0 || depth >= t
        || f->side != (s->back ? SIDE_BACK : SIDE_SHOW))
        return;
    for (int i = 0; i < f->count; i++) {
        V2    by = feature_copy(f, i);
        Shape at = shape_move(s->c, f->shape, by);
        if (f->kind == FEATURE_HOLE)
            add_hole(s, v2_add(v2(f->x.real, f->y.real), by),
                     f->diameter.real, depth);
        else
            (void)add_work(s, WORK_MILL, depth,
                           beside(s, at, -s->tool / 2, feature_name(f)));
    }
}

/* ---- Seen from the back ---- */

static void turn_over(Sorter *s) {
    double middle = s->part->long_length.real / 2;

    for (int i = 0; i < s->out->works.n; i++) {
        Work *w = &s->out->works.at[i];
        w->shape    = shape_mirror_x(s->c, w->shape, middle);
        w->center.x = 2 * middle - w->center.x;
    }
}

/* ---- All together ---- */

static int by_kind(const void *a, const void *b, const void *with) {
    (void)with;
    return (int)((const Work *)a)->kind - (int)((const Work *)b)->kind;
}

static void place_letter(Sorter *s) {
    MachineWork *out = s->out;
    Shape        cut = s->back ? s->part->back : s->part->face;
    Rings        rings = shape_rings(s->c, cut, 0.1);
    Polygons     p = { 0 };
    double       room;
    V2           at;

    *PUSH(s->c, &p.parts) = rings;
    at = polygons_deepest(s->c, p, &room);
    if (s->back)
        at.x = s->part->long_length.real - at.x;
    out->letter      = s->part->letter;
    out->letter_high = fmin(LETTER_HIGH, room);
    out->letter_at   = v2(at.x, at.y - out->letter_high / 2);
}

bool machine_work(Ctx *c, const Model *m, int part, bool back, double tool,
                  MachineWork *out) {
    Sorter s = { c, &m->parts.at[part], back, tool, out, true };

    *out = (MachineWork){ .tool = tool };
    out->name = str_fmt(c, "%.*s %s", STR_ARG(s.part->letter),
                        back ? "back" : "front");
    sort_face(&s);
    for (int i = 0; i < s.part->features.n; i++)
        sort_blind(&s, &s.part->features.at[i]);
    if (back)
        turn_over(&s);
    list_sort(c, out->works.at, out->works.n, sizeof *out->works.at,
              by_kind, NULL);
    place_letter(&s);
    out->box = box2_empty();
    for (int i = 0; i < out->works.n; i++) {
        Box2 b = shape_box(out->works.at[i].shape);
        box2_add(&out->box, b.min);
        box2_add(&out->box, b.max);
    }
    return s.fits;
}
