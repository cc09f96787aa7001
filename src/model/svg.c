/* svg -- the path of an outline out of an SVG file.
 *
 * A strict reader of the little that is needed: elements with their
 * attributes, one <path> found by its id, path data M L H V C S Q T A Z in
 * both cases (W3C SVG 1.1, section 8.3). No general XML reader is wanted:
 * what is not understood is refused with its place in the file, rather
 * than drawn wrong. The scale comes from width, height and viewBox of the
 * svg element; its y runs down, ours up.
 */
#include "model/model_internal.h"

#include <math.h>

#define PI 3.14159265358979323846
#define MOST_DEPTH 200

typedef struct {
    Build *b;
    int    file;
    Str    text;
    size_t at;
    bool   bad;      // reported: stop
} Svg;

typedef struct { Str name, value; size_t name_at, value_at; } Attribute;

typedef struct {
    Str    name;
    size_t at;          // of its name
    bool   closing, empty;
    LIST(Attribute) attributes;
} Tag;

/* ---- Messages ---- */

static void refuse(Svg *s, size_t from, size_t to, const char *what,
                   const char *how) {
    Loc loc = { s->file, (uint32_t)from, (uint32_t)to };

    if (!s->bad) {
        report(s->b->c, loc, SVG_BAD, "%s", what);
        hint(s->b->c, "%s", how);
    }
    s->bad = true;
}

static const char *words(Svg *s, const char *fmt, Str about) {
    return str_z(s->b->c, str_fmt(s->b->c, fmt, STR_ARG(about)));
}

/* ---- Elements ---- */

static bool is_space(char ch) {
    return ch == ' ' || ch == '\t' || ch == '\n' || ch == '\r';
}

static bool is_name(char ch) {
    return (ch >= 'a' && ch <= 'z') || (ch >= 'A' && ch <= 'Z')
        || (ch >= '0' && ch <= '9') || ch == '-' || ch == '_' || ch == ':'
        || ch == '.' || (unsigned char)ch >= 0x80;
}

static void skip_space(Svg *s) {
    while (s->at < s->text.n && is_space(s->text.s[s->at]))
        s->at++;
}

static bool looking_at(const Svg *s, const char *what) {
    return str_begins(str_part(s->text, s->at, s->text.n), what);
}

/* Past the end of a comment and the like. */
static void skip_past(Svg *s, const char *end) {
    size_t      begin = s->at;
    const char *found = memmem(s->text.s + s->at, s->text.n - s->at, end,
                               strlen(end));

    if (found)
        s->at = (size_t)(found - s->text.s) + strlen(end);
    else
        refuse(s, begin, begin + 1, "what begins here has no end",
               "the file is cut short or no SVG");
}

static Str read_name(Svg *s) {
    size_t from = s->at;

    while (s->at < s->text.n && is_name(s->text.s[s->at]))
        s->at++;
    return str_part(s->text, from, s->at);
}

static void read_attribute(Svg *s, Tag *tag) {
    Attribute a = { .name_at = s->at };
    char      quote;

    a.name = read_name(s);
    skip_space(s);
    if (a.name.n == 0 || s->at >= s->text.n || s->text.s[s->at] != '=') {
        refuse(s, s->at, s->at + 1, "this is no attribute of an element",
               "attributes are written name=\"value\"");
        return;
    }
    s->at++;
    skip_space(s);
    quote = s->at < s->text.n ? s->text.s[s->at] : 0;
    if (quote != '"' && quote != '\'') {
        refuse(s, s->at, s->at + 1, "the value of an attribute needs quotes",
               "attributes are written name=\"value\"");
        return;
    }
    a.value_at = ++s->at;
    s->at      = str_find(s->text, quote, s->at);
    a.value    = str_part(s->text, a.value_at, s->at);
    if (s->at >= s->text.n) {
        refuse(s, a.value_at - 1, a.value_at, "this quote is never closed",
               "the file is cut short or no SVG");
        return;
    }
    s->at++;
    *PUSH(s->b->c, &tag->attributes) = a;
}

static void read_tag(Svg *s, Tag *tag) {
    *tag    = (Tag){ 0 };
    s->at++;   // the bracket
    if (looking_at(s, "/")) {
        tag->closing = true;
        s->at++;
    }
    tag->at   = s->at;
    tag->name = read_name(s);
    if (tag->name.n == 0)
        refuse(s, tag->at, tag->at + 1, "an element needs a name",
               "the file is damaged or no SVG");
    while (!s->bad) {
        skip_space(s);
        if (looking_at(s, "/>")) {
            tag->empty = true;
            s->at += 2;
            return;
        }
        if (looking_at(s, ">")) {
            s->at++;
            return;
        }
        if (s->at >= s->text.n)
            refuse(s, tag->at, tag->at + tag->name.n,
                   "this element is never closed",
                   "the file is cut short or no SVG");
        else
            read_attribute(s, tag);
    }
}

/* The next element, or false at the end of the file. */
static bool next_tag(Svg *s, Tag *tag) {
    while (!s->bad) {
        s->at = str_find(s->text, '<', s->at);
        if (s->at >= s->text.n)
            return false;
        if (looking_at(s, "<!--")) {
            skip_past(s, "-->");
        } else if (looking_at(s, "<![CDATA[")) {
            skip_past(s, "]]>");
        } else if (looking_at(s, "<?")) {
            skip_past(s, "?>");
        } else if (looking_at(s, "<!")) {
            size_t from = s->at;
            skip_past(s, ">");
            if (str_find(str_part(s->text, from, s->at), '[', 0)
                < s->at - from)
                refuse(s, from, from + 2, "this file defines entities of "
                       "its own", "save it as plain SVG");
        } else {
            read_tag(s, tag);
            return !s->bad;
        }
    }
    return false;
}

static const Attribute *attribute(const Tag *tag, const char *name) {
    for (int i = 0; i < tag->attributes.n; i++) {
        if (str_is(tag->attributes.at[i].name, name))
            return &tag->attributes.at[i];
    }
    return NULL;
}

/* ---- Numbers ---- */

static bool is_digit(char ch) {
    return ch >= '0' && ch <= '9';
}

static size_t digits(Str s, size_t at, double *value, double *unit) {
    while (at < s.n && is_digit(s.s[at])) {
        *value = *value * 10 + (s.s[at++] - '0');
        *unit *= 10;
    }
    return at;
}

/* A number as SVG writes it, without locale. Returns its end, or `at` where
 * there is none. */
static size_t scan_number(Str s, size_t at, double *out) {
    size_t from = at, begin;
    double value = 0, unit = 1, power = 0, sign = 1;

    if (at < s.n && (s.s[at] == '-' || s.s[at] == '+'))
        sign = s.s[at++] == '-' ? -1 : 1;
    begin = at;
    at    = digits(s, at, &value, &unit);
    unit  = 1;
    if (at < s.n && s.s[at] == '.') {
        size_t after = digits(s, at + 1, &value, &unit);
        if (after == at + 1 && at == begin)
            return from;
        at = after;
    }
    if (at == begin)
        return from;
    value = sign * value / unit;
    if (at + 1 < s.n && (s.s[at] == 'e' || s.s[at] == 'E')) {
        size_t e = at + 1;
        double minus = s.s[e] == '-' ? -1 : 1, ten = 1;
        e += s.s[e] == '-' || s.s[e] == '+';
        if (e < s.n && is_digit(s.s[e])) {
            at     = digits(s, e, &power, &ten);
            value *= pow(10, minus * power);
        }
    }
    *out = value;
    return at;
}

/* ---- The scale ---- */

/* Millimeters of a length with a unit; 0: it has none that is a size on
 * paper. */
static double length_mm(Str s, double *number) {
    static const struct { const char *unit; double mm; } known[] = {
        { "mm", 1 }, { "cm", 10 }, { "in", 25.4 },
    };
    size_t at = scan_number(s, 0, number);
    Str    unit = str_trim(str_part(s, at, s.n));

    for (int i = 0; i < COUNT(known) && at > 0; i++) {
        if (str_is(unit, known[i].unit))
            return *number * known[i].mm;
    }
    return 0;
}

static bool read_view_box(const Attribute *a, double box[4]) {
    size_t at = 0;

    for (int i = 0; i < 4; i++) {
        size_t end;
        while (at < a->value.n && (is_space(a->value.s[at])
                                   || a->value.s[at] == ','))
            at++;
        end = scan_number(a->value, at, &box[i]);
        if (end == at)
            return false;
        at = end;
    }
    return box[2] > 1e-6 && box[3] > 1e-6 && box[2] < 1e9 && box[3] < 1e9;
}

/* Millimeters of one unit of the drawing; 0: refused. */
static double find_scale(Svg *s, const Tag *svg) {
    const Attribute *w = attribute(svg, "width");
    const Attribute *h = attribute(svg, "height");
    const Attribute *v = attribute(svg, "viewBox");
    double box[4], number = 0, wide, high;

    wide = w ? length_mm(w->value, &number) : 0;
    high = h ? length_mm(h->value, &number) : 0;
    if (wide <= 0 || high <= 0 || !v) {
        const Attribute *a = wide <= 0 ? w : high <= 0 ? h : NULL;
        refuse(s, a ? a->value_at : svg->at,
               a ? a->value_at + a->value.n : svg->at + svg->name.n,
               "the svg element does not say how large the drawing is on "
               "paper", "give width and height in mm, cm or in and a "
               "viewBox, or say the \"scale\" in the design: \"1mm\" for "
               "one unit of the drawing");
        return 0;
    }
    if (!isfinite(wide) || !isfinite(high) || wide > 1e6 || high > 1e6
        || !read_view_box(v, box)) {
        refuse(s, v->value_at, v->value_at + v->value.n,
               "width, height or viewBox is out of range",
               "a viewBox is four numbers, the last two over 0: "
               "viewBox=\"0 0 200 80\"");
        return 0;
    }
    if (fabs(wide / box[2] - high / box[3]) > 1e-3 * wide / box[2]) {
        refuse(s, v->value_at, v->value_at + v->value.n,
               str_z(s->b->c, str_fmt(s->b->c,
                   "one unit is %g mm wide and %g mm high", wide / box[2],
                   high / box[3])),
               "width and height must be in the proportion of the viewBox");
        return 0;
    }
    return wide / box[2];
}

/* ---- Path data ---- */

typedef struct {
    Svg   *s;
    Str    d;
    size_t base;       // of d in the file
    size_t at;
    Loop  *loop;
    V2     pen, start;
    V2     control;    // the last one, for S and T
    char   last;       // command before, as a capital
    int    moves;
} Path;

static void path_refuse(Path *p, size_t at, const char *what,
                        const char *how) {
    refuse(p->s, p->base + at, p->base + at + 1, what, how);
}

static void skip_separator(Path *p, bool comma) {
    while (p->at < p->d.n && is_space(p->d.s[p->at]))
        p->at++;
    if (comma && p->at < p->d.n && p->d.s[p->at] == ',') {
        p->at++;
        skip_separator(p, false);
    }
}

static bool path_number(Path *p, bool first, double *out) {
    size_t end;

    skip_separator(p, !first);
    end = scan_number(p->d, p->at, out);
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
        *PUSH(p->s->b->c, p->loop) = seg_line(p->pen, to);
    p->pen = to;
}

static void path_cubic(Path *p, V2 c1, V2 c2, V2 to) {
    Seg seg = { .kind = SEG_CUBIC, .a = p->pen, .b = to, .c1 = c1,
                .c2 = c2 };

    *PUSH(p->s->b->c, p->loop) = seg;
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
    if (fabs(e.radius.x - e.radius.y) < 1e-9 * e.radius.x) {
        *PUSH(p->s->b->c, p->loop) = seg_arc(p->pen, to, e.center, e.sweep);
        p->pen = to;
    } else {
        add_ellipse(p, &e, to);
    }
    return true;
}

/* ---- Commands ---- */

static bool path_move(Path *p, bool relative) {
    V2 to;

    if (!path_point(p, true, relative && p->moves > 0, &to))
        return false;
    if (p->moves++ > 0 && p->loop->n > 0) {
        path_refuse(p, p->at - 1, "this path goes on in a second piece",
                    "an outline is one closed line: give each piece an id "
                    "of its own");
        return false;
    }
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
        && (is_digit(p->d.s[p->at])
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
    if (p->loop->n > 0)
        path_line(p, p->start);
    return true;
}

/* ---- The element ---- */

/* Turned, moved or scaled elements would need all of SVG's rules. */
static bool is_transformed(Svg *s, const Tag *tag) {
    const Attribute *a = attribute(tag, "transform");

    if (!a)
        return false;
    refuse(s, a->name_at, a->value_at + a->value.n + 1,
           words(s, "the element <%.*s> around or of this path has a "
                 "transform", tag->name),
           "let the drawing program apply it to the points of the path");
    return true;
}

/* Finds the path; its elements around it are checked on the way. */
static bool find_path(Svg *s, Str id, Tag *svg, Tag *path) {
    Tag open[MOST_DEPTH], tag;
    int depth = 0;

    while (next_tag(s, &tag)) {
        const Attribute *a = attribute(&tag, "id");
        if (tag.closing) {
            depth -= depth > 0;
            continue;
        }
        if (depth == 0 && !svg->name.n) {
            if (!str_is(tag.name, "svg")) {
                refuse(s, tag.at, tag.at + tag.name.n,
                       words(s, "this file begins with <%.*s>, not with "
                             "<svg>", tag.name), "save it as plain SVG");
                return false;
            }
            *svg = tag;
        }
        if (a && str_eq(a->value, id)) {
            for (int i = 0; i < depth; i++) {
                if (is_transformed(s, &open[i]))
                    return false;
                if (i > 0 && str_is(open[i].name, "svg")) {
                    refuse(s, open[i].at, open[i].at + 3,
                           "the path lies in a drawing inside the drawing",
                           "move it to the outer svg element");
                    return false;
                }
            }
            *path = tag;
            return !is_transformed(s, &tag);
        }
        if (tag.empty)
            continue;
        if (depth == MOST_DEPTH) {
            refuse(s, tag.at, tag.at + tag.name.n,
                   "more than 200 elements are open at once",
                   "drawings never nest like that: the file is damaged");
            return false;
        }
        open[depth++] = tag;
    }
    return false;
}

/* Into millimeters, y up, the lower left corner of its box at 0, 0. */
static void into_part(Build *b, const Loop *from, double k, Loop *out) {
    Shape s = { 0 };
    Box2  box;

    for (int i = 0; i < from->n; i++) {
        Seg  seg = from->at[i];
        V2  *v[] = { &seg.a, &seg.b, &seg.center, &seg.c1, &seg.c2 };
        for (int j = 0; j < COUNT(v); j++)
            *v[j] = v2(v[j]->x * k, -v[j]->y * k);
        seg.sweep = -seg.sweep;
        *PUSH(b->c, out) = seg;
    }
    *PUSH(b->c, &s.loops) = *out;
    box  = shape_box(s);
    s    = shape_move(b->c, s, v2(-box.min.x, -box.min.y));
    *out = s.loops.at[0];
}

static bool read_element(Svg *s, const Tag *path, double k, Loop *out) {
    const Attribute *d = attribute(path, "d");
    Loop  raw = { 0 };
    Path  p   = { .s = s, .loop = &raw };

    if (!str_is(path->name, "path")) {
        refuse(s, path->at, path->at + path->name.n,
               words(s, "this element is a <%.*s>, not a <path>",
                     path->name),
               "let the drawing program turn it into a path");
        return false;
    }
    if (!d || d->value.n == 0) {
        refuse(s, path->at, path->at + path->name.n,
               "this path has no data", "draw it, and save the file");
        return false;
    }
    p.d    = d->value;
    p.base = d->value_at;
    if (!read_path(&p))
        return false;
    if (raw.n == 0) {
        refuse(s, d->value_at, d->value_at + d->value.n,
               "this path goes nowhere", "an outline has two sides at least");
        return false;
    }
    into_part(s->b, &raw, k, out);
    return true;
}

/* ---- The file ---- */

/* Only files below the design's folder, links followed. The real path of
 * one that is not there cannot be known, so its name decides. */
static bool stays_below(Ctx *c, Str design, Str path) {
    Str         home, real;
    const char *why = "";

    if (!path_real(c, design, &home, &why))
        home = path_join(c, STR(""), design);
    home = path_folder(home);
    if (!path_is_below(home, path_join(c, home, path)))
        return false;
    return !path_real(c, path_join(c, home, path), &real, &why)
        || path_is_below(home, real);
}

static int open_source(Build *b, const Node *file) {
    Ctx *c      = b->c;
    Str  design = c->sources.at[file->loc.file].path;
    Str  path   = path_join(c, path_folder(design), file->text);

    if (!stays_below(c, design, file->text)) {
        report(c, file->loc, SVG_BAD,
               "'%.*s' is not below the folder of the design",
               STR_ARG(file->text));
        hint(c, "put the drawing beside the design and give its name alone");
        return -1;
    }
    for (int i = 0; i < c->sources.n; i++) {
        if (str_eq(c->sources.at[i].path, path))
            return i;
    }
    return source_read_for(c, file->loc, str_z(c, path), path);
}

bool svg_outline(Build *b, const Node *file, const Node *id,
                 const Quantity *scale, Loop *out) {
    Svg    s   = { .b = b, .file = open_source(b, file) };
    Tag    svg = { 0 }, path = { 0 };
    double k;
    size_t bad_at;

    if (s.file < 0)
        return false;
    s.text = b->c->sources.at[s.file].text;
    if (!utf8_valid(s.text, &bad_at)) {
        refuse(&s, bad_at, bad_at + 1, "a byte here is no UTF-8",
               "save the file as UTF-8");
        return false;
    }
    if (!find_path(&s, id->text, &svg, &path)) {
        if (!s.bad) {
            report(b->c, id->loc, SVG_BAD,
                   "no element of %.*s has the id '%.*s'",
                   STR_ARG(file->text), STR_ARG(id->text));
            hint(b->c, "set the id of the path in the drawing program");
        }
        return false;
    }
    k = scale ? scale->real : find_scale(&s, &svg);
    return k > 0 && read_element(&s, &path, k, out);
}
