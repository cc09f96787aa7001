/* part_drawing -- the show face of every part that is no plain rectangle,
 * with its sizes from one corner, and below it the views it needs besides
 * (part_views.c).
 *
 * All places are running sizes from the left end and the near edge, so that
 * errors do not add (geometry-notes 4); each stands on the side that is
 * nearer to it. Overall sizes stand once, outermost. Then come the labels
 * on leaders (part_labels.c), and last the sign of the grain.
 */
#include "press/sections.h"

#include <math.h>

#define HEADING_H  38.0   // heading and words before the first drawing
#define TITLE_H    11.25
#define TITLE_LINE  8.5   // the rule under it
#define LABEL_H     8.0   // a label on a leader above the far edge
#define RUN_OFF     6.0   // from the outline to running figures
#define SIDE_W     23.0   // beside a part, for labels on leaders

/* How large the faces on a page are at most: mm high, and what share of the
 * page's width. */
static const struct { double tall, across; } fits[] = {
    { 130, 1 }, { 105, 1 }, { 85, 1 }, { 66, 1 }, { 58, 1 }, { 50, 1 },
    { 50, 0.75 }, { 40, 0.75 }, { 32, 0.6 }
};
enum {
    FIT_ALONE  = 0,                  // a part has the page to itself
    FIT_SHARED = 3,                  // parts that share one
    FIT_TIGHT  = 5,                  // there is a page less for it,
    FIT_LAST   = COUNT(fits) - 1     // or the rods have one to themselves
};

static bool part_is_drawn(const Part *part) {
    return !part->plain;
}

/* ---- Scales ---- */

/* Of ISO 5455, and what stands between them: one to ... */
double neat_scale(double most) {
    static const double series[] = {
        0.5, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50,
        60, 80, 100
    };

    for (int i = 0; i < COUNT(series); i++)
        if (1 / series[i] <= most * (1 + 1e-9))
            return 1 / series[i];
    return most;
}

void say_scale(Press *p, Para *para, double scale) {
    Str source = STR("scale of the drawing");

    say(p, para, "scale ");
    say_figure(p, para, figure_number(p->c, fmax(scale, 1), 1, "", source));
    say(p, para, " : ");
    say_figure(p, para, figure_number(p->c, fmax(1 / scale, 1), 1, "",
                                      source));
}

/* ---- The face's running sizes ---- */

typedef LIST(Dim1) Row;

typedef struct { Row row[4]; } Sides;   // by DimSide

static DimSide side_of(const Part *part, const PartSize *s) {
    if (s->axis == ALONG_Y)
        return size_to_left(part, s) ? DIM_LEFT : DIM_RIGHT;
    return size_above(part, s) ? DIM_ABOVE : DIM_BELOW;
}

static Sides sides_of(Press *p, const Part *part, const PartSizes *sizes) {
    Sides sides = { 0 };

    for (int i = 0; i < sizes->n; i++) {
        const PartSize *s = &sizes->at[i];
        Dim1           *d;
        if (!s->running || s->view != VIEW_FACE)
            continue;
        d  = PUSH(p->c, &sides.row[side_of(part, s)]);
        *d = (Dim1){ .b = s->led };
        d->label = para_bare(p, figure_length(p->c, p->e, s->value,
                                              s->source));
    }
    return sides;
}

/* How far the figures of one side reach; 0: it has none. */
static double side_depth(Press *p, const Sides *sides, DimSide side) {
    const Row *row    = &sides->row[side];
    double     widest = 0;

    for (int i = 0; i < row->n; i++)
        widest = fmax(widest, para_width(p, &row->at[i].label, STYLE_DIM));
    return row->n ? RUN_OFF + widest + 2 : 0;
}

static void draw_sides(Press *p, Sides *sides, const Place *pl, Box2 box) {
    for (int side = 0; side < 4; side++) {
        Row *row = &sides->row[side];
        for (int i = 0; i < row->n; i++)
            row->at[i].b = place_point(pl, row->at[i].b);
        if (row->n)
            dims_running(p, (DimSide)side, box, &pl->at, row->at, row->n,
                         RUN_OFF);
    }
}

/* `length`: the distance of the line from the near edge; below 0: from the
 * far edge, above the part. */
static void overall_dims(Press *p, const Part *part, const Place *pl,
                         double length, double left) {
    double L = part->long_length.real, W = part->width.real;
    double y = length < 0 ? W : 0;
    V2     a = place_point(pl, v2(0, 0)), d = place_point(pl, v2(0, W));
    V2     from = place_point(pl, v2(0, y)), to = place_point(pl, v2(L, y));
    Para   label = para_bare(p, figure_length(p->c, p->e,
                             part->long_length,
                             part_source(p, part, "long")));

    dim_horizontal(p, from, to, from.y + length, &label);
    label = para_bare(p, figure_length(p->c, p->e, part->width,
                      part_source(p, part, "width")));
    dim_vertical(p, a, d, a.x - left, &label);
}

/* ---- The sign of the grain ---- */

#define SIGN_W 29.0   // of the arrow with its words
#define SIGN_H 10.0
#define FLAT_W 39.0   // of the sign in one line
#define FLAT_H  4.5
#define SIGN_AIR 1.9  // around it

static bool sign_fits(Press *p, int first, V2 at, V2 size) {
    return page_is_free(p, first, box2(at.x - SIGN_AIR, at.y - size.y,
                                       at.x + size.x, at.y + SIGN_AIR));
}

/* A free place in the face for a sign, from the left and below on. */
static bool place_inside(Press *p, int first, Box2 face, V2 size, V2 *at) {
    double w = face.max.x - face.min.x - size.x - 2 * SIGN_AIR;
    double h = face.max.y - face.min.y - size.y - 2 * SIGN_AIR;

    for (int row = 0; row < 5 && h > 0 && w > 0; row++)
        for (int col = 0; col < 7; col++) {
            *at = v2(face.min.x + SIGN_AIR + w * col / 6,
                     face.max.y - SIGN_AIR - h * row / 4);
            if (sign_fits(p, first, *at, size))
                return true;
        }
    return false;
}

/* Around the part. */
static V2 place_outside(Press *p, int first, Box2 face, V2 size) {
    for (double y = face.min.y - SIGN_AIR - 0.3; y < face.max.y + 40; y += 2)
        for (int col = 0; col < 20; col++) {
            V2 at = v2(face.min.x + (TEXT_W - size.x) * col / 20, y);
            if (at.x + size.x < p->left + TEXT_W
                && sign_fits(p, first, at, size))
                return at;
        }
    return v2(p->left + TEXT_W - size.x, face.min.y + size.y);
}

/* The way of the grain, and which face is looked at: in two lines inside
 * the face, else in one, else outside. */
static void draw_sign(Press *p, int first, Box2 face) {
    V2   tall = v2(SIGN_W, SIGN_H), low = v2(FLAT_W, FLAT_H), at, a, b;
    bool high = place_inside(p, first, face, tall, &at);
    bool flat = !high && place_inside(p, first, face, low, &at);

    if (!high && !flat)
        at = place_outside(p, first, face, tall);
    a = v2(at.x + (flat ? 16 : 1), at.y - 1.5);
    b = v2(a.x + 12, a.y);
    draw_line(p, a, b, PEN_FINE);
    draw_arrow(p, a, v2_sub(a, b), INK_BLACK);
    draw_arrow(p, b, v2_sub(b, a), INK_BLACK);
    words_at(p, "grain", v2(b.x + 1.5, b.y + 1), ALIGN_LEFT, STYLE_NOTE);
    words_at(p, "show face", flat ? v2(at.x + 1, a.y + 1)
                                  : v2(a.x, a.y - 2.6),
             ALIGN_LEFT, STYLE_NOTE);
}

/* ---- Notes: what no dimension line says ---- */

/* A length that the table does not measure tip to tip is told again, in
 * brackets, as it follows from the overall one. */
static Para length_note(Press *p, const Part *part) {
    static const char *const sides[] = { "left", "right" };
    Para para = { 0 };

    say(p, &para, "the length in the table (");
    say_figure(p, &para, figure_length(p->c, p->e, part->length,
                                       part_source(p, part, "length")));
    for (int i = 0; i < 2; i++) {
        say(p, &para, i ? " and to the " : ") runs to the ");
        say(p, &para, length_to_name(part->ends[i].any ? part->ends[i].to
                                                       : TO_LONG));
        say(p, &para, " at the ");
        say(p, &para, sides[i]);
    }
    return para;
}

static Para outline_note(Press *p, const Part *part) {
    Para para = para_of(p, "outline: ");

    say_traced(p, &para, (int)(part - p->m->parts.at));
    return para;
}

static double note_draw(Press *p, const Para *para, double x, double y,
                        double width) {
    return item_draw(p, x, y, width, STYLE_NOTE, ITEM_BULLET, 0, para);
}

static double notes_draw(Press *p, const Part *part, double x, double y,
                         double width) {
    double height = 0;
    Para   fit    = { 0 };

    if (quantity_cmp(part->length, part->long_length) != 0) {
        Para para = length_note(p, part);
        height += note_draw(p, &para, x, y, width);
    }
    if (say_fit(p, &fit, part))
        height += note_draw(p, &fit, x, y + height, width);
    if (part->outlined && part_has_template(part)) {
        Para para = outline_note(p, part);
        height += note_draw(p, &para, x, y + height, width);
    }
    for (int i = 0; i < part->features.n; i++) {
        Para para;
        if (part->features.at[i].echo)
            continue;
        para = feature_note(p, part, &part->features.at[i]);
        height += note_draw(p, &para, x, y + height, width);
    }
    for (int i = 0; i < p->m->weak.n; i++) {
        Para para;
        if (&p->m->parts.at[p->m->weak.at[i].part] != part)
            continue;
        para = weak_note(p, &p->m->weak.at[i]);
        height += note_draw(p, &para, x, y + height, width);
    }
    return height;
}

/* ---- One part ---- */

static void part_title(Press *p, const Part *part, int index,
                       double scale) {
    Para para = { 0 }, thick = { 0 };

    say_letter(p, &para, index);
    say(p, &para, " ");
    say_author_bold(p, &para, part->name, part_source(p, part, "name"));
    para_at(p, &para, v2(p->left, p->y + 6), ALIGN_LEFT, STYLE_LEAD);
    say_count(p, &thick, part->quantity, "pieces placed");
    say(p, &thick, part->quantity > 1 ? " pieces, " : " piece, ");
    say_figure(p, &thick, figure_length(p->c, p->e, part->thickness,
                                        part_source(p, part, "thickness")));
    say(p, &thick, " thick, ");
    say_stock(p, &thick, &p->m->stocks.at[part->stock]);
    say(p, &thick, ", ");
    say_scale(p, &thick, scale);
    para_at(p, &thick, v2(p->left + TEXT_W, p->y + 6), ALIGN_RIGHT,
            STYLE_NOTE);
    draw_line(p, v2(p->left, p->y + TITLE_LINE),
              v2(p->left + TEXT_W, p->y + TITLE_LINE),
              (Pen){ INK_PALE, 0.25, DASH_SOLID });
    p->y += TITLE_H;
}

/* What stands around the face of one part; mm. */
typedef struct {
    PartSizes sizes;
    Sides     sides;
    double    left, right, above, below;   // room for figures and labels
    double    off_left, off_length;        // of the overall sizes
    double    scale;
} Drawing;

static bool any_slanted(const Part *part) {
    return part->ends[0].miter.real > 0 || part->ends[1].miter.real > 0
        || part->ends[0].bevel.real > 0 || part->ends[1].bevel.real > 0;
}

/* Long points on the far edge are labeled above it. */
static bool any_far_point(const Part *part) {
    for (int i = 0; i < 2; i++)
        if (part->ends[i].miter.real > 0 && !part->ends[i].long_near)
            return true;
    return false;
}

/* May lines run through the face, with no room between for the sign? */
static bool is_crossed(const Part *part) {
    for (int i = 0; i < part->features.n; i++)
        if (feature_in_face(&part->features.at[i])
            && part->features.at[i].kind <= FEATURE_NOTCH)
            return true;
    return false;
}

/* Over a low face stand the figure of its width and the sign. */
static double above_low(Press *p, const Part *part, double scale) {
    Para   label = para_bare(p, figure_length(p->c, p->e, part->width,
                                              STR("width")));
    double width = para_width(p, &label, STYLE_DIM);
    double high  = part->width.real * scale;

    return fmax(high < (is_crossed(part) ? SIGN_H + 4 : FLAT_H + 4)
                ? SIGN_H + 3 : 0,
                high < width + 1 ? width + 6 : 0);
}

/* The overall length stands below, or above where so many figures stand
 * below that its extension lines would cross some. */
static Drawing drawing_of(Press *p, const Part *part, int fit) {
    Drawing d = { .sizes = part_sizes(p, part) };
    double  least = any_slanted(part) ? SIDE_W : 6;

    d.sides = sides_of(p, part, &d.sizes);
    d.left  = side_depth(p, &d.sides, DIM_LEFT);
    d.below = side_depth(p, &d.sides, DIM_BELOW);
    d.above = fmax(side_depth(p, &d.sides, DIM_ABOVE), 4);
    d.right = fmax(side_depth(p, &d.sides, DIM_RIGHT), least);
    d.off_left  = d.left > 0 ? d.left + 6 : DIM_FIRST;
    d.left  = fmax(d.off_left + 7, least);
    d.scale = neat_scale(fmin(fmin((TEXT_W - d.left - d.right)
                                   * fits[fit].across
                                   / part->long_length.real,
                                   fits[fit].tall / part->width.real), 1));
    d.above = fmax(d.above, above_low(p, part, d.scale));
    if (any_far_point(part))
        d.above = fmax(d.above, LABEL_H);
    if (d.sides.row[DIM_BELOW].n * RUNNING_APART
        > part->long_length.real * d.scale) {
        d.off_length = -(d.above + 6);
        d.above += 12;
        d.below += 4;
    } else {
        d.off_length = d.below > 0 ? d.below + 6 : DIM_FIRST;
        d.below = d.off_length + 2;
        if (view_is_needed(part, VIEW_EDGE) || view_is_needed(part, VIEW_END))
            d.below += 4;   // for the labels of its angles
    }
    return d;
}

/* A view under the last one; figures of its sides may stand out. */
static void view_below(Press *p, const Part *part, const Drawing *d,
                       SizeView view, double x, Callouts *out) {
    ViewPlan plan = view_plan(part, view, d->scale);
    double   T    = part->thickness.real * plan.scale, spare;
    int      n    = 0;
    V2       at;

    if (!view_is_needed(part, view))
        return;
    for (int i = 0; i < d->sizes.n; i++)
        n += d->sizes.at[i].running && d->sizes.at[i].view == view;
    spare = fmax(3, (n * RUNNING_APART - T) / 2);
    at = v2(x, p->y + spare + T);
    draw_part_view(p, part, &d->sizes, view, at, &plan, d->scale);
    label_bevels(p, part, view, &plan, at, out);
    p->y = at.y + fmax(8, spare);
}

/* The lowest ink since a mark. */
static double lowest(const Press *p, int first) {
    const Page *page = &p->b->pages.at[p->page];
    double      low  = p->y;

    for (int i = first; i < page->marks.n; i++)
        if (page->marks.at[i].kind == MARK_TEXT)
            low = fmax(low, page->marks.at[i].at.y + 1);
    return low;
}

static void draw_part(Press *p, int index, int fit) {
    const Part *part  = &p->m->parts.at[index];
    Drawing     d     = drawing_of(p, part, fit);
    int         first = p->b->pages.at[p->page].marks.n;
    double      k     = d.scale, W = part->width.real, top;
    Callouts    out   = { 0 };
    Place       pl;
    Box2        box;

    p->refs->part[index].drawing = p->page;
    part_title(p, part, index, k);
    top = p->y - TITLE_H + TITLE_LINE;
    pl  = (Place){ v2(0, 0), v2(p->left + d.left, p->y + d.above + W * k),
                   k, false };
    box = box2(pl.at.x, pl.at.y - W * k,
               pl.at.x + part->long_length.real * k, pl.at.y);
    draw_part_outline(p, part, &pl);
    draw_part_cuts(p, part, &pl);
    draw_sides(p, &d.sides, &pl, box);
    overall_dims(p, part, &pl, d.off_length, d.off_left);
    p->y = pl.at.y + d.below;
    view_below(p, part, &d, VIEW_EDGE, pl.at.x, &out);
    view_below(p, part, &d, VIEW_END, pl.at.x, &out);
    label_face(p, part, &pl, &out);
    for (int i = 0; i < out.n; i++)
        draw_callout(p, first, top, &out.at[i]);
    draw_sign(p, first, box);
    p->y = lowest(p, first);
    space_down(p, HALF_LINE);
    p->y += notes_draw(p, part, p->left, p->y, TEXT_W - 10);
    space_down(p, BASE_LINE);
}

void part_drawing(Press *p, int index) {
    draw_part(p, index, FIT_ALONE);
}

/* ---- All parts ---- */

/* Heights of all drawings at all fits, mm; 0: not tried yet. */
typedef struct {
    const Press *p;
    double      *at[COUNT(fits)];
    double       rods;             // of all of them
} Heights;

static Heights heights_new(const Press *p) {
    Heights h = { .p = p, .rods = rods_height(p) };

    for (int fit = 0; fit < COUNT(fits); fit++)
        h.at[fit] = NEW_N(p->c, double, p->m->parts.n + 1);
    return h;
}

static double height_of(const Heights *h, int index, int fit) {
    const Press *p = h->p;
    Press        scratch;

    if (h->at[fit][index] > 0)
        return h->at[fit][index];
    scratch = press_new(p->c, p->m, p->plan, p->e, p->fonts, p->known);
    scratch.seen = p->seen;
    page_begin(&scratch, SECTION_DRAWINGS, PAGE_TEXT);
    draw_part(&scratch, index, fit);
    h->at[fit][index] = scratch.y - scratch.top;
    return h->at[fit][index];
}

/* The next part at or after `i` that has a drawing, or the number of all. */
static int next_drawn(const Press *p, int i) {
    while (i < p->m->parts.n && !part_is_drawn(&p->m->parts.at[i]))
        i++;
    return i;
}

/* Do those parts have room, each as large as `fit` says? No more of them are
 * measured than it takes to know. */
static bool have_room(const Heights *h, int from, int to, int fit,
                      double room) {
    double sum = 0;

    for (int i = next_drawn(h->p, from); i < to && sum <= room;
         i = next_drawn(h->p, i + 1))
        sum += height_of(h, i, fit);
    return sum <= room;
}

/* The parts from `from` on that have so much room, at least one, up to the
 * one returned. */
static int shared_end(const Heights *h, int from, double room) {
    double used = height_of(h, from, FIT_SHARED);
    int    to   = next_drawn(h->p, from + 1);

    for (; to < h->p->m->parts.n; to = next_drawn(h->p, to + 1)) {
        used += height_of(h, to, FIT_SHARED);
        if (used > room)
            break;
    }
    return to;
}

/* Do the rods follow on a page that has those parts? */
static bool rods_fit(const Heights *h, int from, int to, double room) {
    return have_room(h, from, to, FIT_LAST, room - h->rods);
}

/* Pages for what comes after those parts, the rods included. */
static int pages_after(const Heights *h, int from, int to, double room) {
    int n = 0;

    for (; to < h->p->m->parts.n; n++) {
        from = to;
        room = BODY_H;
        to   = shared_end(h, from, room);
    }
    return n + !rods_fit(h, from, to, room);
}

/* The last of those parts. */
static int last_of(const Press *p, int from, int to) {
    int last = from;

    for (int i = from; i < to; i = next_drawn(p, i + 1))
        last = i;
    return last;
}

/* The end of a page: with a part or more besides, drawn smaller, where the
 * booklet gets a page shorter; without its last one where the rods else had
 * a page to themselves. */
static int group_end(const Heights *h, int from, double room) {
    int to = shared_end(h, from, room), more = to, n = h->p->m->parts.n;
    int last;

    while (more < n && have_room(h, from, more + 1, FIT_TIGHT, room))
        more = next_drawn(h->p, more + 1);
    if (more > to
        && pages_after(h, from, more, room) < pages_after(h, from, to, room))
        to = more;
    last = last_of(h->p, from, to);
    if (to == n && last > from && !rods_fit(h, from, to, room)
        && rods_fit(h, last, to, BODY_H))
        to = last;
    return to;
}

/* Draws the parts that share a page, as large as it has room; returns the
 * next one. */
static int draw_group(Press *p, const Heights *h, int from) {
    double room = body_bottom(p) - p->y;
    int    to   = group_end(h, from, room), fit = FIT_ALONE;

    if (to == p->m->parts.n && rods_fit(h, from, to, room))
        room -= h->rods;   // the rods follow on the same page
    while (fit < FIT_LAST && !have_room(h, from, to, fit, room))
        fit++;
    if (!have_room(h, from, to, fit, room))
        fit = FIT_SHARED;
    for (int i = from; i < to; i = next_drawn(p, i + 1))
        draw_part(p, i, fit);
    return to;
}

void press_part_drawings(Press *p) {
    int     next = next_drawn(p, 0);
    Heights h    = heights_new(p);
    Para    para;

    if (next == p->m->parts.n)
        return;
    section_begin(p, SECTION_DRAWINGS, HEADING_H
                  + height_of(&h, next, FIT_SHARED));
    bookmark(p, STR("Part drawings"), 0);
    heading(p, STR("Part drawings"), SIZE_HEAD);
    para = para_of(p, "Each part is seen on its show face, near edge below, "
        "left end at the left. Sizes at its sides run from the lower left "
        "corner, through the thickness from the back face; those in brackets "
        "follow from the others. Dashed lines lie behind or are worked from "
        "the back.");
    flow_para(p, 0, TEXT_W, STYLE_TEXT, &para);
    space_down(p, HALF_LINE);
    while (next < p->m->parts.n) {
        next = draw_group(p, &h, next);
        if (next < p->m->parts.n)
            page_begin(p, SECTION_DRAWINGS, PAGE_TEXT);
    }
}
