/* functions -- what the trade computes, as functions of formulas.
 *
 * Angles are in degrees. Where an angle has a rational sine or tangent the
 * result stays exact: sin(30deg) is 1/2, and 12 in 12 has the tangent 1.
 * Sources: whole pieces, gaps and miters as in docs/REFERENCES.md.
 */
#include "eval/eval_internal.h"

#include <math.h>

#define RAD (M_PI / 180)

static Quantity number(int64_t num, int64_t den) {
    return quantity_exact(num, den, DIM_NUMBER);
}

static Quantity degrees(int64_t num, int64_t den) {
    return quantity_exact(num, den, DIM_ANGLE);
}

static bool is_exactly(Quantity q, int64_t num, int64_t den) {
    return quantity_is_exact(q) && q.num == num && q.den == den;
}

static Str arg_text(const Call *k, int i) {
    return quantity_text(k->c, k->args[i]);
}

/* ---- Checking what a function is given ---- */

static bool bad_dim(const Call *k, int i, const char *due, DiagCode code) {
    return fault(k->c, k->arg_at[i], code, "%s needs %s here, not %s (%.*s)",
                 k->function->name, due, dim_name(k->args[i].dim),
                 STR_ARG(arg_text(k, i)));
}

static bool need_dim(const Call *k, int i, Dim due) {
    Quantity q = k->args[i];

    if (dim_eq(q.dim, due))
        return true;
    if (dim_eq(q.dim, DIM_NUMBER)) {
        if (bad_dim(k, i, dim_name(due), UNIT_MISSING))
            hint_unit(k->c, q, due);
    } else if (bad_dim(k, i, dim_name(due), UNIT_MISMATCH)) {
        hint(k->c, "%s", k->function->use);
    }
    return false;
}

/* Have the values from `first` to `last` all one dimension? */
static bool need_alike(const Call *k, int first, int last) {
    for (int i = first + 1; i <= last; i++) {
        Dim  due  = k->args[first].dim;
        bool bare = dim_eq(due, DIM_NUMBER)
                 || dim_eq(k->args[i].dim, DIM_NUMBER);
        if (dim_eq(k->args[i].dim, due))
            continue;
        if (fault(k->c, k->arg_at[i], bare ? UNIT_MISSING : UNIT_MISMATCH,
                  "%s needs values of one kind: %.*s is %s, %.*s is %s",
                  k->function->name, STR_ARG(arg_text(k, first)),
                  dim_name(due), STR_ARG(arg_text(k, i)),
                  dim_name(k->args[i].dim)))
            hint(k->c, "%s", k->function->use);
        return false;
    }
    return true;
}

static bool out_of_range(const Call *k, int i, const char *due) {
    if (fault(k->c, k->arg_at[i], OUT_OF_RANGE, "%s needs %s, not %.*s",
              k->function->name, due, STR_ARG(arg_text(k, i))))
        hint(k->c, "%s", k->function->use);
    return false;
}

static bool need_positive(const Call *k, int i) {
    return k->args[i].real > 0 || out_of_range(k, i, "more than zero");
}

/* A whole plain number of at least `least`. */
static bool need_whole(const Call *k, int i, int least, int *n) {
    double value = k->args[i].real;

    if (!need_dim(k, i, DIM_NUMBER))
        return false;
    if (fabs(value - round(value)) > 1e-9 || value < least - 0.5
        || value > 1e6)
        return out_of_range(k, i, least == 1 ? "a whole number from 1 up"
                                : least == 2 ? "a whole number from 2 up"
                                             : "a whole number from 3 up");
    *n = (int)round(value);
    return true;
}

/* ---- Angles ---- */

/* The exact angle in whole degrees from 0 to 359, or -1. */
static int whole_degrees(Quantity angle) {
    if (!quantity_is_exact(angle) || angle.den != 1)
        return -1;
    return (int)((angle.num % 360 + 360) % 360);
}

/* sin of whole degrees where it is rational (at 0, 30, 90 and so on). */
static bool exact_sin(int deg, Quantity *value) {
    static const struct { int deg, num, den; } rows[] = {
        { 0, 0, 1 }, { 30, 1, 2 }, { 90, 1, 1 }, { 150, 1, 2 },
        { 180, 0, 1 }, { 210, -1, 2 }, { 270, -1, 1 }, { 330, -1, 2 }
    };

    for (int i = 0; i < COUNT(rows); i++) {
        if (rows[i].deg != deg)
            continue;
        *value = number(rows[i].num, rows[i].den);
        return true;
    }
    return false;
}

static double turned(Quantity angle) {
    return fmod(angle.real, 360) * RAD;
}

static Quantity sin_of(Quantity angle) {
    Quantity value;
    int      deg = whole_degrees(angle);

    if (deg >= 0 && exact_sin(deg, &value))
        return value;
    return quantity_real(sin(turned(angle)), DIM_NUMBER);
}

static Quantity cos_of(Quantity angle) {
    Quantity value;
    int      deg = whole_degrees(angle);

    if (deg >= 0 && exact_sin((deg + 90) % 360, &value))
        return value;
    return quantity_real(cos(turned(angle)), DIM_NUMBER);
}

static Quantity fn_sin(const Call *k) {
    return need_dim(k, 0, DIM_ANGLE) ? sin_of(k->args[0]) : POISON;
}

static Quantity fn_cos(const Call *k) {
    return need_dim(k, 0, DIM_ANGLE) ? cos_of(k->args[0]) : POISON;
}

static Quantity fn_tan(const Call *k) {
    int deg = whole_degrees(k->args[0]);

    if (!need_dim(k, 0, DIM_ANGLE))
        return POISON;
    if (deg == 90 || deg == 270) {
        out_of_range(k, 0, "an angle other than 90 deg");
        return POISON;
    }
    if (deg >= 0 && deg % 45 == 0)
        return number(deg % 180 == 0 ? 0 : deg % 180 == 45 ? 1 : -1, 1);
    return quantity_real(tan(turned(k->args[0])), DIM_NUMBER);
}

/* A sine or cosine; noise beyond 1 is taken off. */
static bool need_ratio(const Call *k, double *x) {
    *x = k->args[0].real;
    if (!need_dim(k, 0, DIM_NUMBER))
        return false;
    if (fabs(*x) > 1 + 1e-12)
        return out_of_range(k, 0, "a value from -1 to 1");
    *x = fmax(-1, fmin(1, *x));
    return true;
}

static Quantity fn_asin(const Call *k) {
    Quantity q = k->args[0];
    double   x;

    if (!need_ratio(k, &x))
        return POISON;
    for (int sign = -1; sign <= 1; sign += 2) {
        if (is_exactly(q, sign, 1))
            return degrees(sign * 90, 1);
        if (is_exactly(q, sign, 2))
            return degrees(sign * 30, 1);
    }
    if (is_exactly(q, 0, 1))
        return degrees(0, 1);
    return quantity_real(asin(x) / RAD, DIM_ANGLE);
}

static Quantity fn_acos(const Call *k) {
    Quantity up = fn_asin(k);

    if (quantity_is_exact(up))
        return degrees(90 - up.num, 1);
    if (up.poison)
        return POISON;
    return quantity_real(acos(fmax(-1, fmin(1, k->args[0].real))) / RAD,
                         DIM_ANGLE);
}

static Quantity fn_atan(const Call *k) {
    Quantity q = k->args[0];

    if (!need_dim(k, 0, DIM_NUMBER))
        return POISON;
    if (is_exactly(q, 0, 1) || is_exactly(q, 1, 1) || is_exactly(q, -1, 1))
        return degrees(45 * q.num, 1);
    return quantity_real(atan(q.real) / RAD, DIM_ANGLE);
}

static Quantity fn_atan2(const Call *k) {
    Quantity y = k->args[0], x = k->args[1];
    bool     exact = quantity_is_exact(x) && quantity_is_exact(y);

    if (!need_alike(k, 0, 1))
        return POISON;
    if (x.real == 0 && y.real == 0) {
        out_of_range(k, 1, "a direction: a rise or a run");
        return POISON;
    }
    if (exact && (x.num == 0 || y.num == 0
                  || quantity_cmp(x, y) == 0
                  || quantity_cmp(x, quantity_neg(y)) == 0))
        return degrees((int64_t)round(atan2(y.real, x.real) / RAD), 1);
    return quantity_real(atan2(y.real, x.real) / RAD, DIM_ANGLE);
}

/* ---- Numbers ---- */

/* The whole root of n, or -1 if it has none. */
static int64_t whole_root(int64_t n) {
    int64_t root = (int64_t)sqrt((double)n);

    while (root > 0 && root > n / root)
        root--;
    while (root + 1 <= n / (root + 1))
        root++;
    return root * root == n ? root : -1;
}

static Quantity fn_sqrt(const Call *k) {
    Quantity q   = k->args[0];
    Dim      dim = { (int8_t)(q.dim.length / 2), 0, 0, 0 };

    if (q.dim.length % 2 || q.dim.angle || q.dim.mass || q.dim.money) {
        if (bad_dim(k, 0, "a plain number or an area", UNIT_MISMATCH))
            hint(k->c, "%s", k->function->use);
        return POISON;
    }
    if (q.real < 0) {
        out_of_range(k, 0, "zero or more");
        return POISON;
    }
    if (quantity_is_exact(q) && whole_root(q.num) >= 0
        && whole_root(q.den) > 0)
        return quantity_exact(whole_root(q.num), whole_root(q.den), dim);
    return quantity_real(sqrt(q.real), dim);
}

static Quantity fn_abs(const Call *k) {
    return k->args[0].real < 0 ? quantity_neg(k->args[0]) : k->args[0];
}

static Quantity extreme(const Call *k, int sign) {
    Quantity best = k->args[0];

    if (!need_alike(k, 0, k->n - 1))
        return POISON;
    for (int i = 1; i < k->n; i++)
        if (sign * quantity_cmp(k->args[i], best) > 0)
            best = k->args[i];
    return best;
}

static Quantity fn_min(const Call *k) {
    return extreme(k, -1);
}

static Quantity fn_max(const Call *k) {
    return extreme(k, 1);
}

/* round(x, step), or round(x) of a plain number. */
static Quantity to_step(const Call *k, Rounding way) {
    if (k->n == 1)
        return need_dim(k, 0, DIM_NUMBER)
             ? quantity_step(k->args[0], number(1, 1), way) : POISON;
    if (!need_alike(k, 0, 1) || !need_positive(k, 1))
        return POISON;
    return quantity_step(k->args[0], k->args[1], way);
}

static Quantity fn_round(const Call *k) {
    return to_step(k, ROUND_NEAREST);
}

static Quantity fn_down(const Call *k) {
    return to_step(k, ROUND_DOWN);
}

static Quantity fn_up(const Call *k) {
    return to_step(k, ROUND_UP);
}

/* ---- Spacing ---- */

/* n pieces and n - 1 kerfs fit into the space:
 * n*p + (n - 1)*k <= L, so n = floor((L + k) / (p + k)). */
static Quantity fn_count(const Call *k) {
    Quantity space = k->args[0], piece = k->args[1], kerf, n;

    if (!need_alike(k, 0, k->n - 1) || !need_positive(k, 1))
        return POISON;
    kerf = k->n == 3 ? k->args[2] : quantity_exact(0, 1, space.dim);
    if (kerf.real < 0) {
        out_of_range(k, 2, "zero or more");
        return POISON;
    }
    n = quantity_div(k->c, k->at, quantity_add(k->c, k->at, space, kerf),
                     quantity_add(k->c, k->at, piece, kerf));
    n = quantity_step(n, number(1, 1), ROUND_DOWN);
    return n.real < 0 ? number(0, 1) : n;
}

/* What is left of the space beside n pieces, in `parts` equal gaps. */
static Quantity equal_gap(const Call *k, int n, int parts) {
    Quantity filled = quantity_mul(k->c, k->at, k->args[1], number(n, 1));
    Quantity rest   = quantity_sub(k->c, k->at, k->args[0], filled);

    if (!rest.poison && rest.real < 0) {
        if (fault(k->c, k->at, OUT_OF_RANGE,
                  "%d times %.*s is %.*s and does not fit into %.*s", n,
                  STR_ARG(arg_text(k, 1)),
                  STR_ARG(quantity_text(k->c, filled)),
                  STR_ARG(arg_text(k, 0))))
            hint(k->c, "count(space, piece, kerf) tells how many fit");
        return POISON;
    }
    return quantity_div(k->c, k->at, rest, number(parts, 1));
}

static Quantity fn_gap(const Call *k) {
    int n;

    if (!need_alike(k, 0, 1) || !need_whole(k, 2, 1, &n))
        return POISON;
    return equal_gap(k, n, n + 1);
}

static Quantity fn_gap_between(const Call *k) {
    int n;

    if (!need_alike(k, 0, 1) || !need_whole(k, 2, 2, &n))
        return POISON;
    return equal_gap(k, n, n - 1);
}

/* ---- Arcs and miters ---- */

/*        .-----.   | rise h        The radius of the arc over a chord:
 *     .'    |    '.                (c/2)^2 + (r - h)^2 = r^2, so
 *     +-----+-----+              r = c^2 / 8h + h/2.
 *        chord c
 */
static Quantity fn_arc_radius(const Call *k) {
    Quantity chord = k->args[0], rise = k->args[1], square, part;

    if (!need_dim(k, 0, DIM_LENGTH) || !need_dim(k, 1, DIM_LENGTH)
        || !need_positive(k, 0) || !need_positive(k, 1))
        return POISON;
    square = quantity_mul(k->c, k->at, chord, chord);
    part   = quantity_div(k->c, k->at, square,
                          quantity_mul(k->c, k->at, rise, number(8, 1)));
    return quantity_add(k->c, k->at, part,
                        quantity_div(k->c, k->at, rise, number(2, 1)));
}

/* The number of sides, and their slope from level. */
static bool need_sides(const Call *k, int *n) {
    double slope = k->args[1].real;

    if (!need_whole(k, 0, 3, n) || !need_dim(k, 1, DIM_ANGLE))
        return false;
    return (slope >= 0 && slope <= 90)
        || out_of_range(k, 1, "a slope from 0 deg (flat) to 90 deg (upright)");
}

/* n equal boards lean inward at the slope p from level and meet in miters.
 * With a = 180/n the saw swings by atan(cos p tan a) and its blade tilts by
 * asin(sin p sin a), which follows from the normals of two neighboring
 * faces. A flat frame (p = 0) needs no tilt, an upright box (p = 90) no
 * swing. */
static Quantity fn_miter(const Call *k) {
    Quantity slope = k->args[1];
    int      n;

    if (!need_sides(k, &n))
        return POISON;
    if (slope.real == 0)
        return degrees(180, n);
    if (slope.real == 90)
        return degrees(0, 1);
    return quantity_real(atan(cos_of(slope).real * tan(180.0 / n * RAD))
                         / RAD, DIM_ANGLE);
}

static Quantity fn_tilt(const Call *k) {
    Quantity slope = k->args[1];
    int      n;

    if (!need_sides(k, &n))
        return POISON;
    if (slope.real == 0)
        return degrees(0, 1);
    if (slope.real == 90)
        return degrees(180, n);
    return quantity_real(asin(sin_of(slope).real * sin(180.0 / n * RAD))
                         / RAD, DIM_ANGLE);
}

/* ---- The table ---- */

#define MANY 1000

static const Function functions[] = {
    { "if", "if(condition, then, else): one of two values", 3, 3, NULL },
    { "sin", "sin(angle)", 1, 1, fn_sin },
    { "cos", "cos(angle)", 1, 1, fn_cos },
    { "tan", "tan(angle): rise for a run of 1", 1, 1, fn_tan },
    { "asin", "asin(ratio): an angle", 1, 1, fn_asin },
    { "acos", "acos(ratio): an angle", 1, 1, fn_acos },
    { "atan", "atan(rise / run): an angle", 1, 1, fn_atan },
    { "atan2", "atan2(rise, run): an angle", 2, 2, fn_atan2 },
    { "sqrt", "sqrt(x) of a plain number or an area", 1, 1, fn_sqrt },
    { "abs", "abs(x): without its minus", 1, 1, fn_abs },
    { "min", "min(a, b, ...): the smallest", 1, MANY, fn_min },
    { "max", "max(a, b, ...): the largest", 1, MANY, fn_max },
    { "round", "round(x, step): the nearest multiple of step", 1, 2,
      fn_round },
    { "round_up", "round_up(x, step): the next multiple of step", 1, 2,
      fn_up },
    { "round_down", "round_down(x, step): the multiple of step below", 1, 2,
      fn_down },
    { "floor", "floor(x): the whole number below", 1, 1, fn_down },
    { "ceil", "ceil(x): the next whole number", 1, 1, fn_up },
    { "count", "count(space, piece, kerf): how many pieces can be cut", 2, 3,
      fn_count },
    { "gap", "gap(space, piece, n): n pieces with gaps at both ends, too", 3,
      3, fn_gap },
    { "gap_between", "gap_between(space, piece, n): n pieces, the outer two "
      "at the ends", 3, 3, fn_gap_between },
    { "arc_radius", "arc_radius(chord, rise)", 2, 2, fn_arc_radius },
    { "miter", "miter(n, slope): saw angle for n sides, slope from level", 2,
      2, fn_miter },
    { "tilt", "tilt(n, slope): blade tilt for n sides, slope from level", 2,
      2, fn_tilt },
};

const Function *function_find(Str name) {
    for (int i = 0; i < COUNT(functions); i++)
        if (str_is(name, functions[i].name))
            return &functions[i];
    return NULL;
}

Str function_nearest(Str name) {
    Str names[COUNT(functions)];

    for (int i = 0; i < COUNT(functions); i++)
        names[i] = (Str){ functions[i].name, strlen(functions[i].name) };
    return nearest_name(name, names, COUNT(functions));
}
