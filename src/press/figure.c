/* figure -- a quantity as it is printed.
 *
 * A length is counted in whole steps of the edition (1/16 in, 0.5 mm), in
 * integers while the value is exact, so that no figure depends on decimal
 * rounding. What the rounding took away decides the light or heavy mark:
 *
 *       3 3/8        3 3/8+        3 7/16-       3 7/16
 *         |------------|------|------|-------------|
 *         0           1/4    1/2    3/4            1      of a step
 *
 * Halves round away from zero: common practice in the trade (NAVEDTRA
 * 14044 adds one for a half or more).
 */
#include "press/press_internal.h"

#include <assert.h>
#include <math.h>

#define MINUS      "\xE2\x88\x92"   // U+2212
#define GAP        "\xE2\x80\xAF"   // U+202F, narrow, no break
#define SLASH      "\xE2\x81\x84"   // U+2044, fraction slash
#define NOISE      1e-9             // of a step: what doubles may be off by

#define INCH_MM        25.4                       // exact
#define SQ_INCH        (INCH_MM * INCH_MM)
#define SQ_FOOT        (144 * SQ_INCH)
#define GALLON_MM3     (231 * SQ_INCH * INCH_MM)  // 231 in^3 (NIST HB 44)
#define POUND_G        453.59237                  // NIST HB 44

typedef __int128 Wide;

/* A length in whole steps. `mark` is -1 where the true value is less by
 * over a quarter step, 1 where it is more, of the amount without sign. */
typedef struct { int64_t steps; bool negative; int mark; } Steps;

static Steps count_exact(Quantity q, Quantity step) {
    Steps s    = { .negative = q.num < 0 };
    Wide  size = (Wide)step.num * q.den;
    Wide  is   = (Wide)(q.num < 0 ? -(Wide)q.num : q.num) * step.den;
    Wide  over;

    s.steps = (int64_t)((2 * is + size) / (2 * size));
    over    = is - (Wide)s.steps * size;
    s.mark  = 4 * over > size ? 1 : 4 * over < -size ? -1 : 0;
    return s;
}

static Steps count_real(double value, double step) {
    Steps  s  = { .negative = value < 0 };
    double is = fabs(value) / step, over;

    if (!(is < 1e15))
        return s;
    s.steps = (int64_t)floor(is + 0.5 + NOISE);
    over    = is - (double)s.steps;
    s.mark  = over > 0.25 + NOISE ? 1 : over < -0.25 - NOISE ? -1 : 0;
    return s;
}

static Steps count_steps(Quantity q, Quantity step) {
    Wide limit = (Wide)1 << 62;

    assert(step.real > 0);
    if (quantity_is_exact(q) && quantity_is_exact(step)
        && (Wide)step.num * q.den < limit
        && (Wide)q.num * step.den < limit
        && (Wide)q.num * step.den > -limit)
        return count_exact(q, step);
    return count_real(q.real, step.real);
}

/* ---- Lengths ---- */

static void add_small(Buf *out, int64_t n, bool raised) {
    static const char *const up[] = {
        "\xE2\x81\xB0", "\xC2\xB9", "\xC2\xB2", "\xC2\xB3", "\xE2\x81\xB4",
        "\xE2\x81\xB5", "\xE2\x81\xB6", "\xE2\x81\xB7", "\xE2\x81\xB8",
        "\xE2\x81\xB9"
    };
    static const char *const down[] = {
        "\xE2\x82\x80", "\xE2\x82\x81", "\xE2\x82\x82", "\xE2\x82\x83",
        "\xE2\x82\x84", "\xE2\x82\x85", "\xE2\x82\x86", "\xE2\x82\x87",
        "\xE2\x82\x88", "\xE2\x82\x89"
    };

    if (n >= 10)
        add_small(out, n / 10, raised);
    buf_add(out, "%s", raised ? up[n % 10] : down[n % 10]);
}

static int64_t common_divisor(int64_t a, int64_t b) {
    while (b) {
        int64_t rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

/* num/den, not negative, as whole and built-up fraction. */
static void add_inches(Buf *out, int64_t num, int64_t den) {
    int64_t whole = num / den, rest = num % den;
    int64_t d     = common_divisor(rest, den);

    if (whole || !rest)
        buf_add(out, "%lld", (long long)whole);
    if (!rest)
        return;
    if (whole)
        buf_add(out, GAP);
    add_small(out, rest / d, true);
    buf_add(out, SLASH);
    add_small(out, den / d, false);
}

/* The step in inches as a fraction, or false if it is none that a rule
 * shows (then decimals are printed). */
static bool inch_step(Quantity step, int64_t *num, int64_t *den) {
    Wide n, d;
    int64_t k;

    if (!quantity_is_exact(step))
        return false;
    n = (Wide)step.num * 5;
    d = (Wide)step.den * 127;
    if (n > INT32_MAX || d > INT32_MAX)
        return false;
    k    = common_divisor((int64_t)n, (int64_t)d);
    *num = (int64_t)n / k;
    *den = (int64_t)d / k;
    return *den <= 1000;
}

static int decimals_of(double step) {
    int places = 0;

    while (places < 4 && fabs(step - round(step)) > 1e-9) {
        step *= 10;
        places++;
    }
    return places;
}

static Str length_shown(Ctx *c, const Edition *e, Steps s) {
    Buf     b = BUF(c);
    int64_t num, den;

    if (s.negative && s.steps)
        buf_add(&b, MINUS);
    if (!e->inch) {
        buf_num(&b, (double)s.steps * e->step.real,
                decimals_of(e->step.real));
        return buf_done(&b);
    }
    if (inch_step(e->step, &num, &den)
        && (Wide)s.steps * num < (Wide)INT64_MAX)
        add_inches(&b, s.steps * num, den);
    else
        buf_num(&b, (double)s.steps * e->step.real / INCH_MM,
                decimals_of(e->step.real / INCH_MM));
    if (s.mark && !(s.negative && !s.steps))
        buf_add(&b, "%s", s.mark > 0 ? "+" : MINUS);
    return buf_done(&b);
}

static Str length_unit(const Edition *e) {
    return e->inch ? STR("in") : STR("mm");
}

Figure figure_length(Ctx *c, const Edition *e, Quantity q, Str source) {
    return (Figure){
        .kind = FIGURE_LENGTH,
        .shown = length_shown(c, e, count_steps(q, e->step)),
        .unit = length_unit(e), .value = q.real, .step = e->step.real,
        .source = source
    };
}

/* No store has a board of 2438.5 mm or a screw of 25.5 mm. */
Figure figure_nominal(Ctx *c, const Edition *e, Quantity q, Str source) {
    Edition whole = *e;

    if (!whole.inch && quantity_cmp(q, quantity_round(q, e->step)) != 0)
        whole.step = quantity_exact(1, 1, DIM_LENGTH);
    return figure_length(c, &whole, q, source);
}

Figure figure_sold(Ctx *c, const Edition *e, Quantity q, Str source) {
    double feet = q.real / (12 * INCH_MM);

    if (!e->inch)
        return figure_nominal(c, e, q, source);
    if (feet < 1 || fabs(feet - round(feet)) > 1e-9)
        return figure_length(c, e, q, source);
    return (Figure){
        .kind = FIGURE_LENGTH, .shown = str_fmt(c, "%.0f", feet),
        .unit = STR("ft"), .value = q.real, .source = source
    };
}

/* ---- Other kinds ---- */

/* value rounded to multiples of 10^-places, as decimals. */
static Str decimal_shown(Ctx *c, double value, int places) {
    Buf    b    = BUF(c);
    double unit = pow(10, -places);
    double is   = floor(fabs(value) / unit + 0.5 + NOISE) * unit;

    if (value < 0 && is > unit / 2)
        buf_add(&b, MINUS);
    buf_num(&b, is, places);
    return buf_done(&b);
}

Figure figure_angle(Ctx *c, Quantity q, Str source) {
    return (Figure){
        .kind = FIGURE_ANGLE, .shown = decimal_shown(c, q.real, 1),
        .unit = STR("\xC2\xB0"), .value = q.real, .step = 0.1,
        .source = source
    };
}

Figure figure_count(Ctx *c, int64_t n, Str source) {
    return (Figure){
        .kind = FIGURE_COUNT,
        .shown = n < 0 ? str_fmt(c, MINUS "%lld", -(long long)n)
                       : str_fmt(c, "%lld", (long long)n),
        .unit = STR(""), .value = (double)n, .source = source
    };
}

Figure figure_money(Ctx *c, Quantity q, Str source) {
    Steps s = count_steps(q, quantity_exact(1, 100, DIM_MONEY));

    return (Figure){
        .kind = FIGURE_MONEY,
        .shown = str_fmt(c, "%s$%lld.%02d", s.negative ? MINUS : "",
                         (long long)(s.steps / 100), (int)(s.steps % 100)),
        .unit = STR(""), .value = q.real, .step = 0.01, .source = source
    };
}

Figure figure_name(Ctx *c, Str text, Str source) {
    return (Figure){ .kind = FIGURE_NAME, .shown = str_copy(c, text),
                     .unit = STR(""), .source = source };
}

Figure figure_page(Ctx *c, int page) {
    return (Figure){
        .kind = FIGURE_PAGE,
        .shown = page < 0 ? STR("00") : str_fmt(c, "%d", page + 1),
        .unit = STR(""), .value = page + 1, .source = STR("page number")
    };
}

Figure figure_number(Ctx *c, double value, int places, const char *unit,
                     Str source) {
    return (Figure){
        .kind = FIGURE_NUMBER, .shown = decimal_shown(c, value, places),
        .unit = str_from(c, unit), .value = value,
        .step = pow(10, -places), .source = source
    };
}

/* A real amount in a unit of `size` base units, to three digits or so. */
static Figure measured(Ctx *c, FigureKind kind, double value, double size,
                       const char *unit, Str source) {
    double is     = fabs(value / size);
    int    places = is < 9.95 ? is < 0.995 ? 2 : 1 : 0;

    return (Figure){
        .kind = kind, .shown = decimal_shown(c, value / size, places),
        .unit = str_from(c, unit), .value = value,
        .step = size * pow(10, -places), .source = source
    };
}

/* In whole tens from 100 on: no can is filled to the milliliter. */
static Figure in_tens(Ctx *c, FigureKind kind, double value, double size,
                      const char *unit, Str source) {
    Figure f;

    if (fabs(value / size) < 99.5)
        return measured(c, kind, value, size, unit, source);
    f       = measured(c, kind, 10 * size * round(value / size / 10), size,
                       unit, source);
    f.value = value;
    f.step  = 10 * size;
    return f;
}

Figure figure_area(Ctx *c, const Edition *e, double mm2, Str source) {
    if (!e->inch)
        return measured(c, FIGURE_AREA, mm2, 1e6, "sq m", source);
    if (mm2 < 0.1 * SQ_FOOT)
        return measured(c, FIGURE_AREA, mm2, SQ_INCH, "sq in", source);
    return measured(c, FIGURE_AREA, mm2, SQ_FOOT, "sq ft", source);
}

Figure figure_volume(Ctx *c, const Edition *e, double mm3, Str source) {
    if (!e->inch && mm3 < 1e6)
        return in_tens(c, FIGURE_VOLUME, mm3, 1e3, "ml", source);
    if (!e->inch)
        return measured(c, FIGURE_VOLUME, mm3, 1e6, "l", source);
    if (mm3 < GALLON_MM3 / 8)
        return measured(c, FIGURE_VOLUME, mm3, GALLON_MM3 / 128, "fl oz",
                        source);
    if (mm3 < GALLON_MM3)
        return measured(c, FIGURE_VOLUME, mm3, GALLON_MM3 / 4, "qt",
                        source);
    return measured(c, FIGURE_VOLUME, mm3, GALLON_MM3, "gal", source);
}

Figure figure_mass(Ctx *c, const Edition *e, double grams, Str source) {
    if (!e->inch && grams < 1000)
        return in_tens(c, FIGURE_MASS, grams, 1, "g", source);
    if (!e->inch)
        return measured(c, FIGURE_MASS, grams, 1000, "kg", source);
    if (grams < POUND_G)
        return measured(c, FIGURE_MASS, grams, POUND_G / 16, "oz", source);
    return measured(c, FIGURE_MASS, grams, POUND_G, "lb", source);
}

Figure figure_of(Ctx *c, const Edition *e, Quantity q, Str source) {
    if (dim_eq(q.dim, DIM_LENGTH))
        return figure_length(c, e, q, source);
    if (dim_eq(q.dim, DIM_ANGLE))
        return figure_angle(c, q, source);
    if (dim_eq(q.dim, DIM_MONEY))
        return figure_money(c, q, source);
    if (dim_eq(q.dim, DIM_AREA))
        return figure_area(c, e, q.real, source);
    if (dim_eq(q.dim, DIM_VOLUME))
        return figure_volume(c, e, q.real, source);
    if (dim_eq(q.dim, DIM_MASS))
        return figure_mass(c, e, q.real, source);
    if (fabs(q.real - round(q.real)) < 1e-9 && fabs(q.real) < 1e15)
        return figure_count(c, (int64_t)llround(q.real), source);
    return figure_number(c, q.real, 2, "", source);
}
