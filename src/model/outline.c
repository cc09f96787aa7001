/* outline -- outlines of parts and cutouts: corners written out, or a path
 * of an SVG file. */
#include "model/model_internal.h"

#include <math.h>

/* ---- One corner ---- */

typedef struct {
    Build      *b;
    const char *scope;
    V2          pen;
    Loop       *loop;
} Walk;

static bool corner_point(Walk *w, const Node *n, const char *key, V2 *to) {
    Quantity x, y;

    if (!read_point(w->b, w->scope, n, key, &x, &y))
        return false;
    *to = v2(x.real, y.real);
    return true;
}

/* The arc of a radius, the shorter way: it rises r - sqrt(r^2 - (c/2)^2)
 * over its chord c. */
static bool rise_of_radius(Walk *w, const Node *n, V2 to, double *rise) {
    static const char *const ways[] = {   // SCHEMA-ENUM bulge
        "left", "right", NULL
    };
    Build   *b = w->b;
    double   half = v2_len(v2_sub(to, w->pen)) / 2;
    Quantity r = cut_size(b, w->scope, n, "radius", "an arc", NULL);
    int      right;

    if (!node_need(b->c, n, "bulge", "an arc with a radius") || r.poison)
        return false;
    right = node_choice(b->c, n, "bulge", ways, 0);
    if (r.real < half - 1e-6) {
        report(b->c, n->loc, OUTLINE_BAD,
               "an arc with a radius of %.*s cannot reach a corner that is "
               "%.*s away", STR_ARG(size_text(b, r)),
               STR_ARG(mm_text(b, 2 * half)));
        hint(b->c, "the radius must be half of that at least");
        return false;
    }
    *rise = r.real - sqrt(fmax(0, r.real * r.real - half * half));
    if (right)
        *rise = -*rise;
    return true;
}

static bool arc_rise(Walk *w, const Node *n, V2 to, double *rise) {
    Build   *b = w->b;
    Quantity q;

    if (node_find(n, "radius") || node_find(n, "bulge")) {
        if (!node_find(n, "rise"))
            return rise_of_radius(w, n, to, rise);
        report(b->c, n->loc, OUTLINE_BAD,
               "this arc has a \"rise\" and a \"%s\"",
               node_find(n, "radius") ? "radius" : "bulge");
        hint(b->c, "give \"rise\", or \"radius\" and \"bulge\"");
        return false;
    }
    if (!node_need(b->c, n, "rise", "an arc"))
        return false;
    q = eval_member(b->c, b->s, w->scope, n, "rise", DIM_LENGTH,
                    quantity_exact(0, 1, DIM_LENGTH));
    *rise = q.real;
    return !q.poison;
}

/* A cubic Bezier curve; "controls" are its two points beside the way. */
static bool curve_corner(Walk *w, const Node *n, V2 to) {
    Build      *b    = w->b;
    const Node *list = node_list(b->c, n, "controls");
    Seg         s    = { .kind = SEG_CUBIC, .a = w->pen, .b = to };
    V2         *into[2] = { &s.c1, &s.c2 };
    const Node *at;

    if (!node_need(b->c, n, "controls", "a curve") || !list)
        return false;
    if (list->count != 2) {
        report(b->c, list->loc, OUTLINE_BAD,
               "a curve has two control points, not %d", list->count);
        hint(b->c, "for example [[\"1in\", \"2in\"], [\"3in\", \"2in\"]]");
        return false;
    }
    at = list->first;
    for (int i = 0; i < 2; i++, at = at->next) {
        Quantity x, y;
        if (at->kind != NODE_LIST || at->count != 2) {
            report(b->c, at->loc, WRONG_KIND,
                   "a control point is two lengths");
            hint(b->c, "for example [\"1in\", \"2in\"]");
            return false;
        }
        x = eval_node(b->c, b->s, w->scope, at->first, DIM_LENGTH);
        y = eval_node(b->c, b->s, w->scope, at->first->next, DIM_LENGTH);
        if (x.poison || y.poison)
            return false;
        *into[i] = v2(x.real, y.real);
    }
    *PUSH(b->c, w->loop) = s;
    return true;
}

static bool arc_corner(Walk *w, const Node *n, V2 to) {
    double rise;

    if (!arc_rise(w, n, to, &rise))
        return false;
    *PUSH(w->b->c, w->loop) = fabs(rise) < 1e-9
                            ? seg_line(w->pen, to)
                            : seg_arc_rise(w->pen, to, rise);
    return true;
}

/* False: reported. */
static bool outline_step(Walk *w, const Node *n, bool first) {
    static const char *const keys[] = {   // SCHEMA corner
        "start", "line to", "arc to", "rise", "radius", "bulge", "curve to",
        "controls", NULL
    };
    Build      *b   = w->b;
    bool        arc = node_find(n, "arc to"), curve = node_find(n, "curve to");
    const char *key = first ? "start" : arc ? "arc to"
                    : curve ? "curve to" : "line to";
    V2          to;

    if (!node_check_keys(b->c, n, keys, "a corner of an outline")
        || !node_need(b->c, n, key, first ? "the first corner of an outline"
                                          : "a corner of an outline")
        || !corner_point(w, n, key, &to))
        return false;
    if (!first && v2_len(v2_sub(to, w->pen)) < 1e-6) {
        report(b->c, n->loc, OUTLINE_BAD,
               "this corner is where the last one was");
        hint(b->c, "leave it out");
        return false;
    }
    if (!first && arc && !arc_corner(w, n, to))
        return false;
    if (!first && curve && !arc && !curve_corner(w, n, to))
        return false;
    if (!first && !arc && !curve)
        *PUSH(b->c, w->loop) = seg_line(w->pen, to);
    w->pen = to;
    return true;
}

/* ---- The whole outline ---- */

Shape shape_counter_clockwise(Build *b, Shape s) {
    Loop out = { 0 };

    if (shape_area(s) >= 0)
        return s;
    for (int i = s.loops.at[0].n - 1; i >= 0; i--)
        *PUSH(b->c, &out) = seg_reverse(s.loops.at[0].at[i]);
    s.loops.at[0] = out;
    return s;
}

static bool walk_corners(Build *b, const char *scope, const Node *list,
                         Loop *loop) {
    Walk w  = { b, scope, { 0, 0 }, loop };
    bool ok = true;

    for (const Node *n = list->first; n; n = n->next)
        ok &= outline_step(&w, n, n == list->first);
    if (ok && loop->n > 0 && v2_len(v2_sub(w.pen, loop->at[0].a)) > 1e-6) {
        V2 first = loop->at[0].a;
        *PUSH(b->c, loop) = seg_line(w.pen, first);
    }
    return ok;
}

/* {"svg": {"file": "rail.svg", "id": "profile", "scale": "1mm"}} */
static bool svg_corners(Build *b, const char *scope, const Node *object,
                        Shape *out) {
    static const char *const outer[] = {   // SCHEMA outline-file
        "svg", NULL
    };
    static const char *const keys[] = {   // SCHEMA svg
        "file", "id", "scale", NULL
    };
    const Node *svg, *file, *id;
    Quantity    scale = { 0 };
    bool        scaled;

    if (!node_check_keys(b->c, object, outer, "an outline from a file")
        || !node_need(b->c, object, "svg", "an outline"))
        return false;
    svg = node_object(b->c, object, "svg");
    if (!svg || !node_check_keys(b->c, svg, keys, "\"svg\""))
        return false;
    scaled = node_find(svg, "scale") != NULL;
    file   = node_need(b->c, svg, "file", "\"svg\"");
    id     = node_need(b->c, svg, "id", "\"svg\"");
    if (scaled)
        scale = cut_size(b, scope, svg, "scale", "\"svg\"", NULL);
    if (!file || !id || scale.poison || !node_text(b->c, svg, "file")
        || !node_text(b->c, svg, "id"))
        return false;
    return svg_outline(b, file, id, scaled ? &scale : NULL, out);
}

static bool outline_is_valid(Build *b, const Node *node, Shape s) {
    const char *why   = "";
    V2          where = { 0, 0 };

    if (shape_valid(b->c, s, &why, &where))
        return true;
    report(b->c, node->loc, OUTLINE_BAD,
           "the outline %s near %.*s, %.*s", why,
           STR_ARG(mm_text(b, where.x)), STR_ARG(mm_text(b, where.y)));
    hint(b->c, "walk around it once, corner by corner, without crossing");
    return false;
}

bool read_outline_of(Build *b, const char *scope, const Node *owner,
                     Shape *out) {
    const Node *node = node_find(owner, "outline");
    Shape       s    = { 0 };
    bool        file = node && node->kind == NODE_OBJECT;

    if (!file)
        node = node_list(b->c, owner, "outline");
    if (!node || !(file ? svg_corners(b, scope, node, &s)
                        : walk_corners(b, scope, node,
                                       PUSH(b->c, &s.loops))))
        return false;
    if (s.loops.at[0].n < 2) {
        report(b->c, node->loc, OUTLINE_BAD,
               "an outline needs at least two sides, this one has %d",
               s.loops.at[0].n);
        hint(b->c, "add corners by \"line to\", \"arc to\" or \"curve to\"");
        return false;
    }
    s    = shape_counter_clockwise(b, s);
    *out = s;
    return outline_is_valid(b, node, s);
}
