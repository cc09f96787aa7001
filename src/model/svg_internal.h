/* svg_internal -- what the files that read SVG share. */
#ifndef MODEL_SVG_INTERNAL_H
#define MODEL_SVG_INTERNAL_H

#include "model/model_internal.h"

typedef struct {
    Build *b;
    int    file;
    Str    text;
    size_t at;
    bool   bad;      // reported: stop
} Svg;

typedef struct { Str name, value; size_t name_at, value_at; } Attribute;

/* x' = a x + c y + e, y' = b x + d y + f, as SVG writes matrix(a b c d e f) */
typedef struct { double a, b, c, d, e, f; } Affine;

#define AFFINE_NONE ((Affine){ 1, 0, 0, 1, 0, 0 })

/* Reports what is wrong with bytes [from, to) of the file, the first time. */
void svg_refuse(Svg *s, size_t from, size_t to, const char *what,
                const char *how);
bool svg_is_space(char ch);
bool svg_is_digit(char ch);
/* A number as SVG writes it, without locale. Returns its end, or `at` where
 * there is none. */
size_t svg_number(Str s, size_t at, double *out);

/* First `inner`, then `outer`. */
Affine affine_after(Affine outer, Affine inner);
V2     affine_point(Affine m, V2 p);
double affine_det(Affine m);
/* Do circles stay circles? */
bool   affine_is_similar(Affine m);
/* Reads a transform attribute. False: refused. */
bool   svg_transform(Svg *s, const Attribute *a, Affine *out);

/* The closed lines of path data, in units of the drawing. With `round`
 * circular arcs stay arcs, else they become curves. False: refused. */
bool   svg_path(Svg *s, const Attribute *d, bool round, Shape *out);

#endif
