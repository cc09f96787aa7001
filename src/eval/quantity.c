/* quantity -- exact fractions with dimensions.
 *
 * A fraction of two 64-bit numbers holds every measurement of a shop to the
 * bit: 1/64 in is 127/320 mm. Products are formed in 128 bits and reduced;
 * what does not fit then becomes a double and stays one. The rival, doubles
 * throughout, would make 1/10in * 10 unequal to 1in.
 */
#include "eval/eval_internal.h"

#include <assert.h>
#include <math.h>

typedef __int128          Wide;
typedef unsigned __int128 UWide;

#define HIGHEST_POWER 9   // of a base unit; nothing in a shop has more

const Quantity POISON = { .den = 1, .poison = true };

bool dim_eq(Dim a, Dim b) {
    return a.length == b.length && a.angle == b.angle && a.mass == b.mass
        && a.money == b.money;
}

const char *dim_name(Dim d) {
    static const struct { Dim dim; const char *name; } names[] = {
        { { 0, 0, 0, 0 }, "a plain number" },
        { { 1, 0, 0, 0 }, "a length" },
        { { 2, 0, 0, 0 }, "an area" },
        { { 3, 0, 0, 0 }, "a volume" },
        { { 0, 1, 0, 0 }, "an angle" },
        { { 0, 0, 1, 0 }, "a weight" },
        { { 0, 0, 0, 1 }, "an amount of money" },
        { { -1, 0, 0, 0 }, "a coverage" },
        { { -1, 0, 0, 1 }, "a price per length" },
        { { -2, 0, 0, 1 }, "a price per area" },
        { { -3, 0, 0, 1 }, "a price per volume" },
        { { 0, 0, -1, 1 }, "a price per weight" },
        { { -3, 0, 1, 0 }, "a density" },
    };

    for (int i = 0; i < COUNT(names); i++)
        if (dim_eq(d, names[i].dim))
            return names[i].name;
    return "a combined measure";
}

/* ---- Making ---- */

#define WHOLE (1LL << 53)   // whole numbers up to it are doubles

/* The double nearest to num/den. The numerator is moved up to the top bit,
 * so that the quotient has over 64 bits; its last bit then stands for all
 * that follow, and the conversion rounds once. */
static double nearest_double(int64_t num, int64_t den) {
    UWide  top = num < 0 ? -(UWide)num : (UWide)num;
    UWide  below = (UWide)den, quotient;
    int    up = 0;
    double real;

    if (num == 0)
        return 0;
    if (llabs(num) <= WHOLE && den <= WHOLE)   // a division rounds once, too
        return (double)num / (double)den;
    while (!(top >> 127)) {
        top <<= 1;
        up++;
    }
    quotient = top / below;
    if (top % below)
        quotient |= 1;
    real     = ldexp((double)quotient, -up);
    return num < 0 ? -real : real;
}

/* Dividing 128 bits is slow, so it is left as soon as 64 are enough. */
static UWide common_divisor(UWide a, UWide b) {
    uint64_t small_a, small_b;

    while (b && (a > UINT64_MAX || b > UINT64_MAX)) {
        UWide rest = a % b;
        a = b;
        b = rest;
    }
    if (!b)
        return a;
    small_a = (uint64_t)a;
    small_b = (uint64_t)b;
    while (small_b) {
        uint64_t rest = small_a % small_b;
        small_a = small_b;
        small_b = rest;
    }
    return small_a;
}

Quantity quantity_real(double value, Dim dim) {
    return (Quantity){ .real = value, .dim = dim };
}

/* num/den in lowest terms; a double if it does not fit. */
static Quantity reduced(Wide num, Wide den, Dim dim) {
    Quantity q = { .dim = dim };
    UWide    size, divisor;

    assert(den != 0);
    if (den < 0) {
        num = -num;
        den = -den;
    }
    size    = num < 0 ? -(UWide)num : (UWide)num;
    divisor = common_divisor(size, (UWide)den);
    if (divisor > 1) {
        size /= divisor;
        den   = (Wide)((UWide)den / divisor);
    }
    if (size > INT64_MAX || den > INT64_MAX)
        return quantity_real((num < 0 ? -1 : 1) * (double)size / (double)den,
                             dim);
    q.num  = num < 0 ? -(int64_t)size : (int64_t)size;
    q.den  = (int64_t)den;
    q.real = nearest_double(q.num, q.den);
    return q;
}

Quantity quantity_exact(int64_t num, int64_t den, Dim dim) {
    return reduced(num, den, dim);
}

Quantity quantity_mm(double mm) {
    return quantity_real(mm, DIM_LENGTH);
}

Quantity quantity_inches(int64_t num, int64_t den) {
    return reduced((Wide)num * 127, (Wide)den * 5, DIM_LENGTH);
}

bool quantity_is_exact(Quantity q) {
    return q.den != 0 && !q.poison;
}

#define MOST_DIGITS 18   // that surely fit into 64 bits

static int64_t power_of_ten(int n) {
    int64_t power = 1;

    while (n-- > 0)
        power *= 10;
    return power;
}

Quantity quantity_from_text(Ctx *c, Str digits) {
    int64_t num = 0;
    int     n = 0, places = 0;
    bool    point = false, negative = false;

    for (size_t i = 0; i < digits.n; i++) {
        char ch = digits.s[i];
        if (ch == '-')
            negative = true;
        else if (ch == '.')
            point = true;
        else if (ch < '0' || ch > '9')
            n = MOST_DIGITS;   // an exponent
        else if (n < MOST_DIGITS) {
            num     = num * 10 + (ch - '0');
            places += point;
            n      += num > 0;
            if (places == MOST_DIGITS)
                n = MOST_DIGITS;
        } else {
            return quantity_real(strtod(str_z(c, digits), NULL), DIM_NUMBER);
        }
    }
    return quantity_exact(negative ? -num : num, power_of_ten(places),
                          DIM_NUMBER);
}

/* ---- Comparing ---- */

int quantity_cmp(Quantity a, Quantity b) {
    if (quantity_is_exact(a) && quantity_is_exact(b)) {
        Wide left = (Wide)a.num * b.den, right = (Wide)b.num * a.den;
        return (left > right) - (left < right);
    }
    return (a.real > b.real) - (a.real < b.real);
}

/* ---- Arithmetic ---- */

/* A result that is no number any more is a mistake at `at`. */
static Quantity checked(Ctx *c, Loc at, Quantity q) {
    if (isfinite(q.real))
        return q;
    fault(c, at, NOT_FINITE, "the result is too large for any project");
    return POISON;
}

static bool same_dim(Ctx *c, Loc at, Quantity a, Quantity b,
                     const char *cannot, const char *link) {
    bool number = dim_eq(a.dim, DIM_NUMBER) || dim_eq(b.dim, DIM_NUMBER);

    if (dim_eq(a.dim, b.dim))
        return true;
    if (!fault(c, at, number ? UNIT_MISSING : UNIT_MISMATCH,
               "cannot %s %s (%.*s) %s %s (%.*s)", cannot, dim_name(b.dim),
               STR_ARG(quantity_text(c, b)), link, dim_name(a.dim),
               STR_ARG(quantity_text(c, a))))
        return false;
    if (dim_eq(a.dim, DIM_NUMBER))
        hint_unit(c, a, b.dim);
    else if (dim_eq(b.dim, DIM_NUMBER))
        hint_unit(c, b, a.dim);
    return false;
}

/* a + sign * b. Each product is below 2^126, so the sum fits. */
static Quantity sum(Ctx *c, Loc at, Quantity a, Quantity b, int sign) {
    if (quantity_is_exact(a) && quantity_is_exact(b))
        return checked(c, at,
                       reduced((Wide)a.num * b.den + (Wide)b.num * a.den
                               * sign, (Wide)a.den * b.den, a.dim));
    return checked(c, at, quantity_real(a.real + sign * b.real, a.dim));
}

Quantity quantity_add(Ctx *c, Loc at, Quantity a, Quantity b) {
    if (a.poison || b.poison || !same_dim(c, at, a, b, "add", "to"))
        return POISON;
    return sum(c, at, a, b, 1);
}

Quantity quantity_sub(Ctx *c, Loc at, Quantity a, Quantity b) {
    if (a.poison || b.poison
        || !same_dim(c, at, a, b, "subtract", "from"))
        return POISON;
    return sum(c, at, a, b, -1);
}

/* The dimension of a product (sign 1) or quotient (sign -1). */
static bool dim_product(Ctx *c, Loc at, Dim a, Dim b, int sign, Dim *dim) {
    int parts[] = {
        a.length + sign * b.length, a.angle + sign * b.angle,
        a.mass + sign * b.mass, a.money + sign * b.money
    };

    for (int i = 0; i < COUNT(parts); i++) {
        if (parts[i] >= -HIGHEST_POWER && parts[i] <= HIGHEST_POWER)
            continue;
        fault(c, at, OUT_OF_RANGE,
              "a unit to the power of %d measures nothing", parts[i]);
        return false;
    }
    *dim = (Dim){ (int8_t)parts[0], (int8_t)parts[1], (int8_t)parts[2],
                  (int8_t)parts[3] };
    return true;
}

Quantity quantity_mul(Ctx *c, Loc at, Quantity a, Quantity b) {
    Dim dim;

    if (a.poison || b.poison || !dim_product(c, at, a.dim, b.dim, 1, &dim))
        return POISON;
    if (quantity_is_exact(a) && quantity_is_exact(b))
        return checked(c, at, reduced((Wide)a.num * b.num,
                                      (Wide)a.den * b.den, dim));
    return checked(c, at, quantity_real(a.real * b.real, dim));
}

Quantity quantity_div(Ctx *c, Loc at, Quantity a, Quantity b) {
    Dim dim;

    if (a.poison || b.poison || !dim_product(c, at, a.dim, b.dim, -1, &dim))
        return POISON;
    if (b.real == 0) {
        fault(c, at, OUT_OF_RANGE, "cannot divide %.*s by zero",
              STR_ARG(quantity_text(c, a)));
        return POISON;
    }
    if (quantity_is_exact(a) && quantity_is_exact(b))
        return checked(c, at, reduced((Wide)a.num * b.den,
                                      (Wide)a.den * b.num, dim));
    return checked(c, at, quantity_real(a.real / b.real, dim));
}

Quantity quantity_neg(Quantity a) {
    if (a.poison)
        return POISON;
    a.num  = -a.num;
    a.real = a.real == 0 ? 0 : -a.real;
    return a;
}

/* ---- Rounding to a step ---- */

#define NEARLY 1e-9   // of a step: noise of an inexact value

/* How many whole steps, as an exact plain number if that can be. */
static Quantity steps_exact(Quantity q, Quantity step, Rounding way) {
    UWide size  = (UWide)(q.num < 0 ? -q.num : q.num) * (UWide)step.den;
    UWide by    = (UWide)q.den * (UWide)step.num;
    UWide whole = size / by, rest = size % by;
    bool  away  = way == ROUND_NEAREST ? rest >= by - rest
                : rest && (way == ROUND_UP) == (q.num > 0);

    whole += away;
    return reduced(q.num < 0 ? -(Wide)whole : (Wide)whole, 1, DIM_NUMBER);
}

static Quantity steps_real(Quantity q, Quantity step, Rounding way) {
    double steps = q.real / step.real, whole = round(steps);

    if (way != ROUND_NEAREST
        && fabs(steps - whole) > NEARLY * fmax(1, fabs(steps)))
        whole = way == ROUND_UP ? ceil(steps) : floor(steps);
    if (fabs(whole) < 9e18)
        return quantity_exact((int64_t)whole, 1, DIM_NUMBER);
    return quantity_real(whole, DIM_NUMBER);
}

/* A step of zero or less leaves q as it is. */
Quantity quantity_step(Quantity q, Quantity step, Rounding way) {
    Quantity steps;

    if (q.poison || step.poison)
        return POISON;
    assert(dim_eq(q.dim, step.dim));
    if (step.real <= 0)
        return q;
    if (quantity_is_exact(q) && quantity_is_exact(step))
        steps = steps_exact(q, step, way);
    else
        steps = steps_real(q, step, way);
    if (!quantity_is_exact(steps) || !quantity_is_exact(step))
        return quantity_real(steps.real * step.real, q.dim);
    return reduced((Wide)steps.num * step.num, step.den, q.dim);
}

Quantity quantity_round(Quantity q, Quantity step) {
    return quantity_step(q, step, ROUND_NEAREST);
}
