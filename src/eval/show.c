/* show -- quantities as words for messages, dumps and trace.
 *
 * What is shown of an exact value reads back as the same value: inches if
 * it is a fraction that a rule has, else millimeters if they end, else a
 * fraction of an inch.
 */
#include "eval/eval_internal.h"

#include <math.h>

#define HUGE_SIZE     1e15   // from here on only the order matters
#define FINEST_RULE   64     // parts of an inch on a rule
#define LARGEST_LOWER 9999   // below the line of any other fraction
#define PLACES        6      // of an exact decimal
#define REAL_PLACES   4      // of an inexact one

/* How one dimension is shown; the first column that fits is taken. */
typedef struct {
    Dim         dim;
    const char *whole;      // if it comes out whole in this unit
    const char *fraction;   // if it is whole, 1/2, 1/4 … 1/64 of it
    const char *decimal;    // otherwise
} Style;

static const Style styles[] = {
    { { 1, 0, 0, 0 }, NULL,   "in",   "mm" },
    { { 2, 0, 0, 0 }, "sqft", "sqin", "sqmm" },
    { { 3, 0, 0, 0 }, "gal",  "cuin", "ml" },
    { { 0, 1, 0, 0 }, NULL,   NULL,   "deg" },
    { { 0, 0, 1, 0 }, "lb",   "oz",   "g" },
};

static bool is_binary(int64_t den) {
    return den <= FINEST_RULE && (den & (den - 1)) == 0;
}

/* "3 3/4", "3/4", "-3" */
static void add_fraction(Buf *out, Quantity q) {
    int64_t size  = q.num < 0 ? -q.num : q.num;
    int64_t whole = size / q.den, rest = size % q.den;

    if (q.num < 0)
        buf_add(out, "-");
    if (whole || !rest)
        buf_add(out, "%lld", (long long)whole);
    if (rest)
        buf_add(out, "%s%lld/%lld", whole ? " " : "", (long long)rest,
                (long long)q.den);
}

/* Writes q as a decimal if it ends within PLACES places. */
static bool add_decimal(Buf *out, Quantity q) {
    int64_t size, rest;

    if (!quantity_is_exact(q) || 1000000 % q.den != 0)
        return false;
    size = q.num < 0 ? -q.num : q.num;
    rest = size % q.den * (1000000 / q.den);
    buf_add(out, "%s%lld", q.num < 0 ? "-" : "", (long long)(size / q.den));
    if (rest) {
        char digits[PLACES + 1];
        int  n = PLACES;
        snprintf(digits, sizeof digits, "%06d", (int)rest);
        while (digits[n - 1] == '0')
            n--;
        buf_add(out, ".%.*s", n, digits);
    }
    return true;
}

/* q as a plain number of `unit`. */
static Quantity in_unit(Ctx *c, Quantity q, const char *unit) {
    const Unit *u = unit_find((Str){ unit, strlen(unit) });

    return quantity_div(c, (Loc){ 0 }, q, unit_quantity(u));
}

/* Tries one column of a style. */
static bool add_in_unit(Buf *out, Quantity q, const char *unit,
                        bool (*fits)(int64_t den)) {
    Quantity n;

    if (!unit)
        return false;
    n = in_unit(out->c, q, unit);
    if (!quantity_is_exact(n) || !fits(n.den))
        return false;
    add_fraction(out, n);
    buf_add(out, " %s", unit);
    return true;
}

static bool is_one(int64_t den) {
    return den == 1;
}

static bool is_writable(int64_t den) {
    return den <= LARGEST_LOWER;
}

static void show_in_style(Buf *out, Quantity q, const Style *style) {
    Quantity n;

    if (add_in_unit(out, q, style->whole, is_one)
        || add_in_unit(out, q, style->fraction, is_binary))
        return;
    n = in_unit(out->c, q, style->decimal);
    if (add_decimal(out, n)) {
        buf_add(out, " %s", style->decimal);
        return;
    }
    if (add_in_unit(out, q, style->fraction, is_writable)
        || add_in_unit(out, q, style->decimal, is_writable))
        return;
    buf_num(out, n.real, REAL_PLACES);
    buf_add(out, " %s", style->decimal);
}

static void show_number(Buf *out, Quantity q) {
    if (fabs(q.real) >= HUGE_SIZE)
        buf_add(out, "%.6g", q.real);
    else if (add_decimal(out, q))
        return;
    else if (quantity_is_exact(q) && is_writable(q.den))
        add_fraction(out, q);
    else
        buf_num(out, q.real, REAL_PLACES + 2);
}

static void show_money(Buf *out, Quantity q) {
    char amount[400];

    if (q.real < 0)
        buf_add(out, "-");
    q.real = q.real < 0 ? -q.real : q.real;
    q.num  = q.num < 0 ? -q.num : q.num;
    q.dim  = DIM_NUMBER;
    buf_add(out, "$");
    if ((quantity_is_exact(q) && 100 % q.den != 0) || q.real >= HUGE_SIZE) {
        show_number(out, q);
        return;
    }
    snprintf(amount, sizeof amount, "%.2f", q.real);
    buf_add(out, "%s", amount);
}

/* Coverage is told in square feet to a gallon if that comes out even. */
static bool show_cover(Buf *out, Quantity q) {
    Quantity gallon = unit_quantity(unit_find(STR("gal")));
    Quantity foot   = unit_quantity(unit_find(STR("sqft"))), n;
    Loc      none   = { 0 };

    n = quantity_div(out->c, none, quantity_mul(out->c, none, q, gallon),
                     foot);
    if (!add_decimal(out, n))
        return false;
    buf_add(out, " sqft/gal");
    return true;
}

static void show_combined(Buf *out, Quantity q) {
    const struct { const char *unit; int power; } parts[] = {
        { "mm", q.dim.length }, { "deg", q.dim.angle }, { "g", q.dim.mass },
        { "$", q.dim.money }
    };

    show_number(out, q);
    for (int i = 0; i < COUNT(parts); i++) {
        if (parts[i].power == 1)
            buf_add(out, " %s", parts[i].unit);
        else if (parts[i].power)
            buf_add(out, " %s^%d", parts[i].unit, parts[i].power);
    }
}

void quantity_show(Buf *out, Quantity q) {
    if (q.poison) {
        buf_add(out, "?");
        return;
    }
    for (int i = 0; i < COUNT(styles); i++) {
        if (dim_eq(q.dim, styles[i].dim) && fabs(q.real) < HUGE_SIZE) {
            show_in_style(out, q, &styles[i]);
            return;
        }
    }
    if (dim_eq(q.dim, DIM_MONEY))
        show_money(out, q);
    else if (!dim_eq(q.dim, DIM_COVER) || fabs(q.real) >= HUGE_SIZE
             || !show_cover(out, q))
        show_combined(out, q);
}

Str quantity_text(Ctx *c, Quantity q) {
    Buf out = BUF(c);

    quantity_show(&out, q);
    return buf_done(&out);
}

/* ---- Messages of eval ---- */

bool fault(Ctx *c, Loc at, DiagCode code, const char *fmt, ...) {
    va_list args;
    Str     what;

    for (int i = c->diags.n - 1; i >= 0; i--) {
        const Diag *d = &c->diags.at[i];
        if (d->code == code && d->loc.file == at.file
            && d->loc.begin == at.begin && d->loc.end == at.end)
            return false;
    }
    va_start(args, fmt);
    what = str_vfmt(c, fmt, args);
    va_end(args);
    report(c, at, code, "%.*s", STR_ARG(what));
    return true;
}

void hint_unit(Ctx *c, Quantity number, Dim due) {
    static const struct { Dim dim; const char *imperial, *metric; } rows[] = {
        { { 1, 0, 0, 0 }, "in", "mm" },
        { { 2, 0, 0, 0 }, "sqin", "sqcm" },
        { { 3, 0, 0, 0 }, "gal", "l" },
        { { 0, 0, 1, 0 }, "lb", "kg" },
    };
    Str n = quantity_text(c, number);

    for (int i = 0; i < COUNT(rows); i++)
        if (dim_eq(due, rows[i].dim))
            hint(c, "write the unit: %.*s%s or %.*s%s", STR_ARG(n),
                 rows[i].imperial, STR_ARG(n), rows[i].metric);
    if (dim_eq(due, DIM_ANGLE))
        hint(c, "write the unit: %.*sdeg", STR_ARG(n));
    else if (dim_eq(due, DIM_MONEY))
        hint(c, "write the unit: $%.*s", STR_ARG(n));
    else if (dim_eq(due, DIM_COVER))
        hint(c, "write the unit: %.*ssqft/gal", STR_ARG(n));
}
