/* svg -- the path of an outline out of an SVG file.
 *
 * A strict reader of the little that is needed: elements with their
 * attributes, one <path> found by its id, and what moves it. No general XML
 * reader is wanted: what is not understood is refused with its place in the
 * file, rather than drawn wrong. The scale comes from width, height and
 * viewBox of the svg element; its y runs down, ours up.
 */
#include "model/svg_internal.h"

#include <math.h>

#define MOST_DEPTH 200

typedef struct {
    Str    name;
    size_t at;          // of its name
    bool   closing, empty;
    LIST(Attribute) attributes;
} Tag;

/* ---- Messages ---- */

void svg_refuse(Svg *s, size_t from, size_t to, const char *what,
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

bool svg_is_space(char ch) {
    return ch == ' ' || ch == '\t' || ch == '\n' || ch == '\r';
}

static bool is_name(char ch) {
    return (ch >= 'a' && ch <= 'z') || (ch >= 'A' && ch <= 'Z')
        || (ch >= '0' && ch <= '9') || ch == '-' || ch == '_' || ch == ':'
        || ch == '.' || (unsigned char)ch >= 0x80;
}

static void skip_space(Svg *s) {
    while (s->at < s->text.n && svg_is_space(s->text.s[s->at]))
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
        svg_refuse(s, begin, begin + 1, "what begins here has no end",
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
        svg_refuse(s, s->at, s->at + 1, "this is no attribute of an element",
               "attributes are written name=\"value\"");
        return;
    }
    s->at++;
    skip_space(s);
    quote = s->at < s->text.n ? s->text.s[s->at] : 0;
    if (quote != '"' && quote != '\'') {
        svg_refuse(s, s->at, s->at + 1,
                   "the value of an attribute needs quotes",
                   "attributes are written name=\"value\"");
        return;
    }
    a.value_at = ++s->at;
    s->at      = str_find(s->text, quote, s->at);
    a.value    = str_part(s->text, a.value_at, s->at);
    if (s->at >= s->text.n) {
        svg_refuse(s, a.value_at - 1, a.value_at, "this quote is never closed",
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
        svg_refuse(s, tag->at, tag->at + 1, "an element needs a name",
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
            svg_refuse(s, tag->at, tag->at + tag->name.n,
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
                svg_refuse(s, from, from + 2, "this file defines entities of "
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

/* ---- The scale ---- */

/* Millimeters of a length with a unit; 0: it has none that is a size on
 * paper. */
static double length_mm(Str s, double *number) {
    static const struct { const char *unit; double mm; } known[] = {
        { "mm", 1 }, { "cm", 10 }, { "in", 25.4 },
    };
    size_t at = svg_number(s, 0, number);
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
        while (at < a->value.n && (svg_is_space(a->value.s[at])
                                   || a->value.s[at] == ','))
            at++;
        end = svg_number(a->value, at, &box[i]);
        if (end == at)
            return false;
        at = end;
    }
    return box[2] > 1e-6 && box[3] > 1e-6 && box[2] < 1e9 && box[3] < 1e9;
}

/* Width and height of the svg element on paper and its viewBox. */
typedef struct {
    const Attribute *wide_at, *high_at, *box_at;
    double           wide, high, box[4];   // mm; 0: not on paper
} Paper;

static Paper find_paper(const Tag *svg) {
    Paper  p = { .wide_at = attribute(svg, "width"),
                 .high_at = attribute(svg, "height"),
                 .box_at  = attribute(svg, "viewBox") };
    double number = 0;

    p.wide = p.wide_at ? length_mm(p.wide_at->value, &number) : 0;
    p.high = p.high_at ? length_mm(p.high_at->value, &number) : 0;
    return p;
}

static bool is_on_paper(const Paper *p) {
    return p->wide > 0 && p->high > 0 && p->box_at;
}

static double bad_box(Svg *s, const Paper *p, const char *what,
                      const char *how) {
    svg_refuse(s, p->box_at->value_at,
               p->box_at->value_at + p->box_at->value.n, what, how);
    return 0;
}

/* Millimeters of one unit of the drawing; 0: refused. */
static double find_scale(Svg *s, const Tag *svg) {
    Paper p = find_paper(svg);

    if (!is_on_paper(&p)) {
        const Attribute *a = p.wide <= 0 ? p.wide_at
                           : p.high <= 0 ? p.high_at : NULL;
        svg_refuse(s, a ? a->value_at : svg->at,
                   a ? a->value_at + a->value.n : svg->at + svg->name.n,
                   "the svg element does not say how large the drawing is "
                   "on paper", "give width and height in mm, cm or in and a "
                   "viewBox, or say the \"scale\" in the design: \"1mm\" "
                   "for one unit of the drawing");
        return 0;
    }
    if (!isfinite(p.wide) || !isfinite(p.high) || p.wide > 1e6
        || p.high > 1e6 || !read_view_box(p.box_at, p.box))
        return bad_box(s, &p, "width, height or viewBox is out of range",
                       "a viewBox is four numbers, the last two over 0: "
                       "viewBox=\"0 0 200 80\"");
    if (fabs(p.wide / p.box[2] - p.high / p.box[3])
        > 1e-3 * p.wide / p.box[2])
        return bad_box(s, &p, str_z(s->b->c, str_fmt(s->b->c,
                           "one unit is %g mm wide and %g mm high",
                           p.wide / p.box[2], p.high / p.box[3])),
                       "width and height must be in the proportion of the "
                       "viewBox");
    return p.wide / p.box[2];
}

/* The scale that the design gives; the file may not say another one. */
static double check_scale(Svg *s, const Tag *svg, const Node *id,
                          const Quantity *scale) {
    Paper  p = find_paper(svg);
    double k;

    if (!is_on_paper(&p))
        return scale->real;
    k = find_scale(s, svg);
    if (k <= 0 || fabs(k - scale->real) <= 1e-3 * k)
        return k <= 0 ? 0 : scale->real;
    report(s->b->c, id->loc, SVG_BAD,
           "one unit of the drawing is %g mm by its width and viewBox, but "
           "%g mm by \"scale\"", k, scale->real);
    hint(s->b->c, "leave \"scale\" out, or set the page of the drawing "
                  "right");
    return 0;
}

/* ---- The element ---- */

/* Puts the transform of an element inside those around it. */
static bool add_transform(Svg *s, const Tag *tag, Affine *all) {
    const Attribute *a = attribute(tag, "transform");
    Affine           own;

    if (!a)
        return true;
    if (!svg_transform(s, a, &own))
        return false;
    *all = affine_after(*all, own);
    return true;
}

/* The elements around the path, outermost first. */
static bool around_path(Svg *s, const Tag *open, int depth, Affine *all) {
    *all = AFFINE_NONE;
    for (int i = 0; i < depth; i++) {
        if (i > 0 && str_is(open[i].name, "svg")) {
            svg_refuse(s, open[i].at, open[i].at + 3,
                       "the path lies in a drawing inside the drawing",
                       "move it to the outer svg element");
            return false;
        }
        if (!add_transform(s, &open[i], all))
            return false;
    }
    return true;
}

static bool begins_with_svg(Svg *s, const Tag *tag) {
    if (str_is(tag->name, "svg"))
        return true;
    svg_refuse(s, tag->at, tag->at + tag->name.n,
               words(s, "this file begins with <%.*s>, not with <svg>",
                     tag->name), "save it as plain SVG");
    return false;
}

/* Finds the path and what moves it. */
static bool find_path(Svg *s, Str id, Tag *svg, Tag *path, Affine *all) {
    Tag open[MOST_DEPTH], tag;
    int depth = 0;

    while (next_tag(s, &tag)) {
        const Attribute *a = attribute(&tag, "id");
        if (tag.closing) {
            depth -= depth > 0;
            continue;
        }
        if (depth == 0 && !svg->name.n) {
            if (!begins_with_svg(s, &tag))
                return false;
            *svg = tag;
        }
        if (a && str_eq(a->value, id)) {
            *path = tag;
            return around_path(s, open, depth, all)
                && add_transform(s, &tag, all);
        }
        if (tag.empty)
            continue;
        if (depth == MOST_DEPTH) {
            svg_refuse(s, tag.at, tag.at + tag.name.n,
                       "more than 200 elements are open at once",
                       "drawings never nest like that: the file is damaged");
            return false;
        }
        open[depth++] = tag;
    }
    return false;
}

/* ---- The shape ---- */

static Shape one_loop(Ctx *c, Loop loop) {
    Shape s = { 0 };

    *PUSH(c, &s.loops) = loop;
    return s;
}

/* The loop counter-clockwise, or clockwise. */
static Loop running(Ctx *c, Loop loop, bool left) {
    Loop back = { 0 };

    if ((shape_area(one_loop(c, loop)) > 0) == left)
        return loop;
    for (int i = loop.n - 1; i >= 0; i--)
        *PUSH(c, &back) = seg_reverse(loop.at[i]);
    return back;
}

/* The largest line is the outline and comes first; the others are holes in
 * it, and run the other way round. */
static void sort_loops(Ctx *c, Shape *s) {
    int largest = 0;

    for (int i = 0; i < s->loops.n; i++) {
        Loop  *loops = s->loops.at;
        double area  = fabs(shape_area(one_loop(c, loops[i])));
        if (area > fabs(shape_area(one_loop(c, loops[largest]))))
            largest = i;
    }
    if (largest > 0) {
        Loop first = s->loops.at[0];
        s->loops.at[0]       = s->loops.at[largest];
        s->loops.at[largest] = first;
    }
    for (int i = 0; i < s->loops.n; i++)
        s->loops.at[i] = running(c, s->loops.at[i], i == 0);
}

/* Holes lie within the outline and beside each other: then what is left of
 * it is as large as the difference of their areas. */
static bool are_holes(Ctx *c, Shape s) {
    Shape left = one_loop(c, s.loops.at[0]);

    for (int i = 1; i < s.loops.n; i++) {
        Loop hole = running(c, s.loops.at[i], true);
        left = shape_subtract(c, left, one_loop(c, hole));
    }
    return fabs(shape_area(left) - shape_area(s)) <= 0.01;
}

static Seg seg_moved(Seg seg, Affine m) {
    V2 *v[] = { &seg.a, &seg.b, &seg.center, &seg.c1, &seg.c2 };

    for (int j = 0; j < COUNT(v); j++)
        *v[j] = affine_point(m, *v[j]);
    if (affine_det(m) < 0)
        seg.sweep = -seg.sweep;
    return seg;
}

/* Into millimeters, the lower left corner of its box at 0, 0. */
static Shape into_part(Ctx *c, Shape from, Affine m) {
    Box2 box;

    for (int i = 0; i < from.loops.n; i++) {
        Loop *loop = &from.loops.at[i];
        for (int j = 0; j < loop->n; j++)
            loop->at[j] = seg_moved(loop->at[j], m);
    }
    box = shape_box(from);
    return shape_move(c, from, v2(-box.min.x, -box.min.y));
}

/* `m` leads from the drawing into the part. */
static bool read_element(Svg *s, const Tag *path, Affine m, Shape *out) {
    const Attribute *d = attribute(path, "d");

    if (!str_is(path->name, "path")) {
        svg_refuse(s, path->at, path->at + path->name.n,
                   words(s, "this element is a <%.*s>, not a <path>",
                         path->name),
                   "let the drawing program turn it into a path");
        return false;
    }
    if (!d || d->value.n == 0) {
        svg_refuse(s, path->at, path->at + path->name.n,
                   "this path has no data", "draw it, and save the file");
        return false;
    }
    *out = (Shape){ 0 };
    if (!svg_path(s, d, affine_is_similar(m), out))
        return false;
    *out = into_part(s->b->c, *out, m);
    sort_loops(s->b->c, out);
    if (out->loops.n == 1 || are_holes(s->b->c, *out))
        return true;
    svg_refuse(s, d->value_at, d->value_at + d->value.n,
               "this path has several pieces that are no outline with holes "
               "in it", "give each piece an id of its own, or join them");
    return false;
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
                 const Quantity *scale, Shape *out) {
    Svg    s   = { .b = b, .file = open_source(b, file) };
    Tag    svg = { 0 }, path = { 0 };
    Affine m;
    double k;
    size_t bad_at;

    if (s.file < 0)
        return false;
    s.text = b->c->sources.at[s.file].text;
    if (!utf8_valid(s.text, &bad_at)) {
        svg_refuse(&s, bad_at, bad_at + 1, "a byte here is no UTF-8",
               "save the file as UTF-8");
        return false;
    }
    if (!find_path(&s, id->text, &svg, &path, &m)) {
        if (!s.bad) {
            report(b->c, id->loc, SVG_BAD,
                   "no element of %.*s has the id '%.*s'",
                   STR_ARG(file->text), STR_ARG(id->text));
            hint(b->c, "set the id of the path in the drawing program");
        }
        return false;
    }
    k = scale ? check_scale(&s, &svg, id, scale) : find_scale(&s, &svg);
    return k > 0   // a drawing's y runs down, ours up
        && read_element(&s, &path,
                        affine_after((Affine){ k, 0, 0, -k, 0, 0 }, m), out);
}
