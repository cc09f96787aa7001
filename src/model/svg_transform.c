/* svg_transform -- numbers as SVG writes them, and what a transform
 * attribute does to points (W3C SVG 1.1, section 7.6).
 *
 * Points of lines and of Bezier curves may be moved by any affine map; a
 * circular arc stays one only where all directions are scaled alike.
 */
#include "model/svg_internal.h"

#include <math.h>

#define PI 3.14159265358979323846

/* ---- Numbers ---- */

bool svg_is_digit(char ch) {
    return ch >= '0' && ch <= '9';
}

static size_t digits(Str s, size_t at, double *value, double *unit) {
    while (at < s.n && svg_is_digit(s.s[at])) {
        *value = *value * 10 + (s.s[at++] - '0');
        *unit *= 10;
    }
    return at;
}

size_t svg_number(Str s, size_t at, double *out) {
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
        if (e < s.n && svg_is_digit(s.s[e])) {
            at     = digits(s, e, &power, &ten);
            value *= pow(10, minus * power);
        }
    }
    *out = value;
    return at;
}

/* ---- Affine maps ---- */

Affine affine_after(Affine o, Affine i) {
    return (Affine){
        o.a * i.a + o.c * i.b,       o.b * i.a + o.d * i.b,
        o.a * i.c + o.c * i.d,       o.b * i.c + o.d * i.d,
        o.a * i.e + o.c * i.f + o.e, o.b * i.e + o.d * i.f + o.f
    };
}

V2 affine_point(Affine m, V2 p) {
    return v2(m.a * p.x + m.c * p.y + m.e, m.b * p.x + m.d * p.y + m.f);
}

double affine_det(Affine m) {
    return m.a * m.d - m.b * m.c;
}

/* The images of the two axes are of one length and square to each other. */
bool affine_is_similar(Affine m) {
    double x = m.a * m.a + m.b * m.b, y = m.c * m.c + m.d * m.d;

    return fabs(x - y) <= 1e-9 * x && fabs(m.a * m.c + m.b * m.d) <= 1e-9 * x;
}

/* ---- One transform ---- */

static Affine moved(const double *v, int n) {
    return (Affine){ 1, 0, 0, 1, v[0], n > 1 ? v[1] : 0 };
}

static Affine scaled(const double *v, int n) {
    return (Affine){ v[0], 0, 0, n > 1 ? v[1] : v[0], 0, 0 };
}

/* About the origin, or about a point. */
static Affine turned(const double *v, int n) {
    double co = cos(v[0] * PI / 180), si = sin(v[0] * PI / 180);
    double x = n > 1 ? v[1] : 0, y = n > 1 ? v[2] : 0;

    return (Affine){ co, si, -si, co, x - co * x + si * y,
                     y - si * x - co * y };
}

static Affine skewed_x(const double *v, int n) {
    (void)n;
    return (Affine){ 1, 0, tan(v[0] * PI / 180), 1, 0, 0 };
}

static Affine skewed_y(const double *v, int n) {
    (void)n;
    return (Affine){ 1, tan(v[0] * PI / 180), 0, 1, 0, 0 };
}

static Affine matrix(const double *v, int n) {
    (void)n;
    return (Affine){ v[0], v[1], v[2], v[3], v[4], v[5] };
}

static const struct {
    const char *name;
    int         counts[2];   // of numbers, as it may have them
    Affine    (*map)(const double *v, int n);
} kinds[] = {
    { "matrix",    { 6, 6 }, matrix   }, { "translate", { 1, 2 }, moved    },
    { "scale",     { 1, 2 }, scaled   }, { "rotate",    { 1, 3 }, turned   },
    { "skewX",     { 1, 1 }, skewed_x }, { "skewY",     { 1, 1 }, skewed_y },
};

static size_t skip_between(Str s, size_t at) {
    while (at < s.n && (svg_is_space(s.s[at]) || s.s[at] == ','))
        at++;
    return at;
}

/* Numbers up to the closing bracket; returns how many, 0 if that is not
 * what stands there. */
static int read_numbers(Str s, size_t *at, double v[6]) {
    int n = 0;

    for (; n < 6; n++) {
        size_t from = skip_between(s, *at);
        *at = svg_number(s, from, &v[n]);
        if (*at == from || !isfinite(v[n]) || fabs(v[n]) > 1e9)
            break;
    }
    *at = skip_between(s, *at);
    if (*at >= s.n || s.s[*at] != ')')
        return 0;
    (*at)++;
    return n;
}

/* name "(" numbers ")" at *at; false if it is no transform. */
static bool read_one(Str s, size_t *at, Affine *out) {
    double v[6];

    for (int i = 0; i < COUNT(kinds); i++) {
        size_t open = *at + strlen(kinds[i].name);
        int    n;
        if (!str_begins(str_part(s, *at, s.n), kinds[i].name))
            continue;
        while (open < s.n && svg_is_space(s.s[open]))
            open++;
        if (open >= s.n || s.s[open] != '(')
            return false;
        *at = open + 1;
        n   = read_numbers(s, at, v);
        if (n == 0 || (n != kinds[i].counts[0] && n != kinds[i].counts[1]))
            return false;
        *out = kinds[i].map(v, n);
        return true;
    }
    return false;
}

/* The last of a list is done first, so each goes inside those before it. */
bool svg_transform(Svg *s, const Attribute *a, Affine *out) {
    size_t at = skip_between(a->value, 0);
    Affine one;

    *out = AFFINE_NONE;
    while (at < a->value.n) {
        if (!read_one(a->value, &at, &one)) {
            svg_refuse(s, a->value_at, a->value_at + a->value.n,
                       "this transform cannot be read",
                       "known: matrix, translate, scale, rotate, skewX, "
                       "skewY, with their numbers in brackets");
            return false;
        }
        *out = affine_after(*out, one);
        at   = skip_between(a->value, at);
    }
    if (fabs(affine_det(*out)) > 1e-9)
        return true;
    svg_refuse(s, a->value_at, a->value_at + a->value.n,
               "this transform leaves nothing of the path",
               "scale by something else than 0");
    return false;
}
