/* units -- the table of units, each an exact multiple of a base unit.
 *
 * The base units are mm, degree, gram and dollar. The factors are exact by
 * definition: 1 in = 25.4 mm, 1 lb = 453.59237 g, 1 US gal = 231 cu in
 * (NIST SP 811, appendix B; from memory).
 */
#include "eval/eval_internal.h"

#define LENGTH { 1, 0, 0, 0 }
#define AREA   { 2, 0, 0, 0 }
#define VOLUME { 3, 0, 0, 0 }
#define ANGLE  { 0, 1, 0, 0 }
#define MASS   { 0, 0, 1, 0 }

static const Unit units[] = {
    { "in",   127,         5,      LENGTH, NULL },
    { "ft",   1524,        5,      LENGTH, "in" },
    { "yd",   4572,        5,      LENGTH, NULL },
    { "mm",   1,           1,      LENGTH, NULL },
    { "cm",   10,          1,      LENGTH, NULL },
    { "m",    1000,        1,      LENGTH, NULL },
    { "deg",  1,           1,      ANGLE,  NULL },
    { "sqin", 16129,       25,     AREA,   NULL },
    { "sqft", 2322576,     25,     AREA,   NULL },
    { "sqyd", 20903184,    25,     AREA,   NULL },
    { "sqmm", 1,           1,      AREA,   NULL },
    { "sqcm", 100,         1,      AREA,   NULL },
    { "sqm",  1000000,     1,      AREA,   NULL },
    { "cuin", 2048383,     125,    VOLUME, NULL },
    { "cuft", 3539605824,  125,    VOLUME, NULL },
    { "bdft", 294967152,   125,    VOLUME, NULL },   // 144 cu in
    { "gal",  473176473,   125,    VOLUME, NULL },
    { "qt",   473176473,   500,    VOLUME, NULL },
    { "floz", 473176473,   16000,  VOLUME, NULL },
    { "l",    1000000,     1,      VOLUME, NULL },
    { "ml",   1000,        1,      VOLUME, NULL },
    { "lb",   45359237,    100000, MASS,   "oz" },
    { "oz",   45359237,    1600000, MASS,  NULL },
    { "g",    1,           1,      MASS,   NULL },
    { "kg",   1000,        1,      MASS,   NULL },
};

static const struct { const char *mark, *unit; } marks[] = {
    { "\"", "in" },
    { "\xE2\x80\xB3", "in" },   // U+2033, double prime
    { "\xE2\x80\x9D", "in" },   // U+201D, what word processors make of "
    { "'", "ft" },
    { "\xE2\x80\xB2", "ft" },   // U+2032, prime
    { "\xE2\x80\x99", "ft" },   // U+2019
    { "\xC2\xB0", "deg" },      // U+00B0, degree sign
};

static const struct { const char *word, *unit; } words[] = {
    { "inch", "in" }, { "inches", "in" }, { "IN", "in" }, { "In", "in" },
    { "foot", "ft" }, { "feet", "ft" }, { "FT", "ft" }, { "Ft", "ft" },
    { "yard", "yd" }, { "yards", "yd" }, { "MM", "mm" }, { "CM", "cm" },
    { "meter", "m" }, { "meters", "m" }, { "M", "m" },
    { "degree", "deg" }, { "degrees", "deg" },
    { "pound", "lb" }, { "pounds", "lb" }, { "lbs", "lb" },
    { "ounce", "oz" }, { "ounces", "oz" }, { "gram", "g" },
    { "grams", "g" }, { "kilogram", "kg" }, { "kilograms", "kg" },
    { "KG", "kg" }, { "Kg", "kg" }, { "liter", "l" }, { "liters", "l" },
    { "L", "l" }, { "mL", "ml" }, { "gallon", "gal" }, { "gallons", "gal" },
    { "quart", "qt" }, { "quarts", "qt" }, { "bf", "bdft" },
    { "sf", "sqft" },
};

const Unit *unit_find(Str name) {
    for (int i = 0; i < COUNT(units); i++)
        if (str_is(name, units[i].name))
            return &units[i];
    return NULL;
}

const Unit *unit_mark(Str s, size_t *length) {
    for (int i = 0; i < COUNT(marks); i++) {
        if (!str_begins(s, marks[i].mark))
            continue;
        *length = strlen(marks[i].mark);
        return unit_find((Str){ marks[i].unit, strlen(marks[i].unit) });
    }
    return NULL;
}

Quantity unit_quantity(const Unit *unit) {
    return quantity_exact(unit->num, unit->den, unit->dim);
}

Str unit_nearest(Ctx *c, Str word) {
    Str names[COUNT(units)];

    for (int i = 0; i < COUNT(words); i++)
        if (str_is(word, words[i].word))
            return str_from(c, words[i].unit);
    if (word.n < 3)   // any two letters are near to some unit
        return STR("");
    for (int i = 0; i < COUNT(units); i++)
        names[i] = (Str){ units[i].name, strlen(units[i].name) };
    return nearest_name(word, names, COUNT(units));
}
