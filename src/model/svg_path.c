/* svg_path -- the data of a path: M L H V C S Q T A Z in both cases (W3C
 * SVG 1.1, section 8.3). */
#include "model/svg_internal.h"

#include <math.h>

#define PI 3.14159265358979323846

typedef struct {
    Svg   *s;
    Str    d;
    size_t base;       // of d in the file
    size_t at;
    Shape *shape;      // its last loop is being drawn
    bool   round;      // circular arcs stay arcs
    V2     pen, start;
    V2     control;    // the last one, for S and T
    char   last;       // command before, as a capital
    int    moves;
} Path;

static Loop *loop_of(Path *p) {
    return &p->shape->loops.at[p->shape->loops.n - 1];
}

static void path_refuse(Path *p, size_t at, const char *what,
                        const char *how) {
    svg_refuse(p->s, p->base + at, p->base + at + 1, what, how);
}

static void skip_separator(Path *p, bool comma) {
    while (p->at < p->d.n && svg_is_space(p->d.s[p->at]))
        p->at++;
    if (comma && p->at < p->d.n && p->d.s[p->at] == ',') {
        p->at++;
        skip_separator(p, false);
    }
}

static bool path_number(Path *p, bool first, double *out) {
    size_t end;

    skip_separator(p, !first);
    end = svg_number(p->d, p->at, out);
    if (end == p->at) {
        path_refuse(p, p->at < p->d.n ? p->at : p->d.n - 1,
                    "a number is due here", "the path data is cut short or "
                    "damaged");
        return false;
    }
    if (!isfinite(*out) || fabs(*out) > 1e9) {
        path_refuse(p, p->at, "this number is too large",
                    "nothing in a shop is that large: check the digits");
        return false;
    }
    p->at = end;
    return true;
}

/* The flags of an arc need nothing between them. */
static bool path_flag(Path *p, bool *out) {
    skip_separator(p, true);
    if (p->at >= p->d.n || (p->d.s[p->at] != '0' && p->d.s[p->at] != '1')) {
        path_refuse(p, p->at < p->d.n ? p->at : p->d.n - 1,
                    "a flag of an arc, 0 or 1, is due here",
                    "the path data is damaged");
        return false;
    }
    *out = p->d.s[p->at++] == '1';
    return true;
}

static bool path_point(Path *p, bool first, bool relative, V2 *out) {
    if (!path_number(p, first, &out->x) || !path_number(p, false, &out->y))
        return false;
    if (relative)
        *out = v2_add(*out, p->pen);
    return true;
}

static void path_line(Path *p, V2 to) {
    if (v2_len(v2_sub(to, p->pen)) > 1e-9)
        *PUSH(p->s->b->c, loop_of(p)) = seg_line(p->pen, to);
    p->pen = to;
}

static void path_cubic(Path *p, V2 c1, V2 c2, V2 to) {
    Seg seg = { .kind = SEG_CUBIC, .a = p->pen, .b = to, .c1 = c1,
                .c2 = c2 };

    *PUSH(p->s->b->c, loop_of(p)) = seg;
    p->pen     = to;
    p->control = c2;
}

/* A quadratic curve raised to a cubic: controls two thirds of the way. */
static void path_quadratic(Path *p, V2 c, V2 to) {
    path_cubic(p, v2_add(p->pen, v2_scale(v2_sub(c, p->pen), 2.0 / 3)),
               v2_add(to, v2_scale(v2_sub(c, to), 2.0 / 3)), to);
    p->control = c;
}

/* The last control point turned about the pen. */
static V2 reflected(const Path *p, const char *after) {
    return strchr(after, p->last) && p->last
         ? v2_sub(v2_scale(p->pen, 2), p->control) : p->pen;
}

/* ---- Arcs: from ends to center (SVG 1.1, F.6.5 and F.6.6) ---- */

typedef struct { V2 center, radius; double turn, from, sweep; } Ellipse;

static double vector_angle(V2 a, V2 b) {
    return atan2(v2_cross(a, b), v2_dot(a, b));
}

static Ellipse find_ellipse(V2 a, V2 b, V2 r, double turn, bool large,
                            bool positive) {
    Ellipse e = { .radius = v2(fabs(r.x), fabs(r.y)), .turn = turn };
    double  co = cos(turn), si = sin(turn), big, k, num, den;
    V2      h = v2_scale(v2_sub(a, b), 0.5), q, c, u, w;

    q   = v2(co * h.x + si * h.y, -si * h.x + co * h.y);
    big = q.x * q.x / (e.radius.x * e.radius.x)
        + q.y * q.y / (e.radius.y * e.radius.y);
    if (big > 1)
        e.radius = v2_scale(e.radius, sqrt(big));
    num = e.radius.x * e.radius.x * e.radius.y * e.radius.y;
    den = e.radius.x * e.radius.x * q.y * q.y
        + e.radius.y * e.radius.y * q.x * q.x;
    k   = sqrt(fmax(0, (num - den) / den)) * (large == positive ? -1 : 1);
    c   = v2(k * e.radius.x * q.y / e.radius.y,
             -k * e.radius.y * q.x / e.radius.x);
    u   = v2((q.x - c.x) / e.radius.x, (q.y - c.y) / e.radius.y);
    w   = v2((-q.x - c.x) / e.radius.x, (-q.y - c.y) / e.radius.y);
    e.from  = vector_angle(v2(1, 0), u);
    e.sweep = vector_angle(u, w);
    if (positive && e.sweep < 0)
        e.sweep += 2 * PI;
    if (!positive && e.sweep > 0)
        e.sweep -= 2 * PI;
    e.center = v2_add(v2_scale(v2_add(a, b), 0.5),
                      v2(co * c.x - si * c.y, si * c.x + co * c.y));
    return e;
}

static V2 ellipse_vector(const Ellipse *e, double x, double y) {
    double co = cos(e->turn), si = sin(e->turn);

    x *= e->radius.x;
    y *= e->radius.y;
    return v2(co * x - si * y, si * x + co * y);
}

/* By cubics of at most 22.5 degrees, within 1e-7 of the radius (tangent
 * length 4/3 tan(theta/4)). */
static void add_ellipse(Path *p, const Ellipse *e, V2 to) {
    int    n = (int)ceil(fabs(e->sweep) / (PI / 8));
    double step = e->sweep / n, k = 4.0 / 3 * tan(step / 4);

    for (int i = 0; i < n; i++) {
        double t0 = e->from + step * i, t1 = t0 + step;
        V2     end = i + 1 == n ? to
                   : v2_add(e->center, ellipse_vector(e, cos(t1), sin(t1)));
        path_cubic(p, v2_add(p->pen, ellipse_vector(e, -k * sin(t0),
                                                    k * cos(t0))),
                   v2_add(end, ellipse_vector(e, k * sin(t1),
                                              -k * cos(t1))), end);
    }
}

static bool path_arc(Path *p, bool relative) {
    double  rx, ry, turn;
    bool    large, positive;
    V2      to;
    Ellipse e;

    if (!path_number(p, true, &rx) || !path_number(p, false, &ry)
        || !path_number(p, false, &turn) || !path_flag(p, &large)
        || !path_flag(p, &positive) || !path_point(p, false, relative, &to))
        return false;
    if (v2_len(v2_sub(to, p->pen)) < 1e-9)
        return true;
    if (fabs(rx) < 1e-12 || fabs(ry) < 1e-12) {
        path_line(p, to);
        return true;
    }
    e = find_ellipse(p->pen, to, v2(rx, ry), turn * PI / 180, large,
                     positive);
    if (p->round && fabs(e.radius.x - e.radius.y) < 1e-9 * e.radius.x) {
        *PUSH(p->s->b->c, loop_of(p)) = seg_arc(p->pen, to, e.center, e.sweep);
        p->pen = to;
    } else {
        add_ellipse(p, &e, to);
    }
    return true;
}

/* ---- Commands ---- */

/* Each move begins a line of its own; the one before it is closed. */
static bool path_move(Path *p, bool relative) {
    V2 to;

    if (!path_point(p, true, relative && p->moves > 0, &to))
        return false;
    if (p->moves++ > 0)
        path_line(p, p->start);
    if (p->shape->loops.n == 0 || loop_of(p)->n > 0)
        (void)PUSH(p->s->b->c, &p->shape->loops);
    p->pen = p->start = to;
    return true;
}

static bool path_curve(Path *p, char kind, bool relative) {
    V2 c1, c2, to;

    switch (kind) {
    case 'C':
        if (!path_point(p, true, relative, &c1)
            || !path_point(p, false, relative, &c2)
            || !path_point(p, false, relative, &to))
            return false;
        path_cubic(p, c1, c2, to);
        return true;
    case 'S':
        if (!path_point(p, true, relative, &c2)
            || !path_point(p, false, relative, &to))
            return false;
        path_cubic(p, reflected(p, "CS"), c2, to);
        return true;
    case 'Q':
        if (!path_point(p, true, relative, &c1)
            || !path_point(p, false, relative, &to))
            return false;
        path_quadratic(p, c1, to);
        return true;
    default:   // 'T'
        if (!path_point(p, true, relative, &to))
            return false;
        path_quadratic(p, reflected(p, "QT"), to);
        return true;
    }
}

static bool path_straight(Path *p, char kind, bool relative) {
    V2 to = p->pen;

    if (kind == 'L') {
        if (!path_point(p, true, relative, &to))
            return false;
    } else {
        double *coordinate = kind == 'H' ? &to.x : &to.y;
        double  was = *coordinate;
        if (!path_number(p, true, coordinate))
            return false;
        if (relative)
            *coordinate += was;
    }
    path_line(p, to);
    return true;
}

/* One command with one set of its numbers. */
static bool path_command(Path *p, char letter) {
    bool relative = letter >= 'a';
    char kind     = (char)(relative ? letter - 'a' + 'A' : letter);
    bool ok;

    if (kind == 'Z') {
        path_line(p, p->start);
        ok = true;
    } else if (kind == 'M') {
        ok = path_move(p, relative);
    } else if (kind == 'A') {
        ok = path_arc(p, relative);
    } else if (strchr("CSQT", kind)) {
        ok = path_curve(p, kind, relative);
    } else {
        ok = path_straight(p, kind, relative);
    }
    p->last = kind;
    return ok;
}

static bool more_numbers(const Path *p) {
    return p->at < p->d.n
        && (svg_is_digit(p->d.s[p->at])
            || strchr("+-.,", p->d.s[p->at]) != NULL);
}

/* A command's letter may be left out where it is repeated; after a move
 * the ones left out are lines. */
static bool read_path(Path *p) {
    char letter = 0;

    skip_separator(p, false);
    while (p->at < p->d.n) {
        char ch = p->d.s[p->at];
        if (ch && strchr("MmLlHhVvCcSsQqTtAaZz", ch)) {
            letter = ch;
            p->at++;
        } else if (!letter || !more_numbers(p) || letter == 'Z'
                   || letter == 'z') {
            path_refuse(p, p->at, "this is no command of a path",
                        "known: M L H V C S Q T A Z and their small "
                        "letters");
            return false;
        } else {
            if (ch == ',')
                p->at++;
            letter = letter == 'M' ? 'L' : letter == 'm' ? 'l' : letter;
        }
        if (p->moves == 0 && letter != 'M' && letter != 'm') {
            path_refuse(p, p->at - 1, "a path begins with M",
                        "the path data is damaged");
            return false;
        }
        if (!path_command(p, letter))
            return false;
        skip_separator(p, false);
    }
    if (p->moves > 0)
        path_line(p, p->start);
    return true;
}

bool svg_path(Svg *s, const Attribute *d, bool round, Shape *out) {
    Path p = { .s = s, .d = d->value, .base = d->value_at, .shape = out,
               .round = round };

    if (!read_path(&p))
        return false;
    if (out->loops.n > 0 && loop_of(&p)->n == 0)   // a last move, no more
        out->loops.n--;
    if (out->loops.n > 0)
        return true;
    svg_refuse(s, d->value_at, d->value_at + d->value.n,
               "this path goes nowhere", "an outline has two sides at least");
    return false;
}
