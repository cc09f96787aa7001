/* outlines -- for seams.py: what the template sheets should show.
 *
 *     outlines DESIGN letter|a4|WIDTH
 *
 * A width (mm) is that of a roll with nothing but templates on it.
 *
 * One line for each piece of a pattern, "sheet NAME PAGE PATTERN X Y X0 Y0
 * X1 Y1" (page from 1; the pattern's corner, and the window that shows it, on
 * the paper, mm, y up), one for each pattern,
 * "pattern N LETTER AREA PERIMETER" (without the fold), and "point N X Y"
 * each millimeter along what is cut.
 */
#include "plan/plan.h"
#include "press/press.h"

#include <math.h>
#include <stdlib.h>

static bool on_fold(const Pattern *t, V2 a, V2 b) {
    V2     way = v2_sub(t->fold[1], t->fold[0]);
    double len = v2_len(way);

    return t->half
        && fabs(v2_cross(way, v2_sub(a, t->fold[0]))) < 1e-2 * len
        && fabs(v2_cross(way, v2_sub(b, t->fold[0]))) < 1e-2 * len;
}

static void print_edges(Ctx *c, const Pattern *t, int number, bool points,
                        double *length) {
    Rings rings = shape_rings(c, t->shape, 0.0005);

    *length = 0;
    for (int i = 0; i < rings.n; i++) {
        const Ring *r = &rings.at[i];
        for (int k = 0; k < r->n; k++) {
            V2     a = r->at[k], b = r->at[(k + 1) % r->n];
            double len = v2_len(v2_sub(b, a));
            int    n = 1 + (int)len;
            if (on_fold(t, a, b))
                continue;
            *length += len;
            for (int j = 0; j < n && points; j++) {
                V2 p = v2_add(a, v2_scale(v2_sub(b, a), (double)j / n));
                printf("point %d %.4f %.4f\n", number, p.x, p.y);
            }
        }
    }
}

static int page_of(const Booklet *b, Str name) {
    for (int i = 0; i < b->bookmarks.n; i++) {
        if (str_eq(b->bookmarks.at[i].title, name))
            return b->bookmarks.at[i].page + 1;
    }
    return 0;
}

static void print_piece(const OnSheet *on, int page) {
    double m = SHEET_MARGIN;

    printf("sheet %.*s %d %d %.4f %.4f %.4f %.4f %.4f %.4f\n",
           STR_ARG(on->name), page, on->pattern, on->at.x + m, on->at.y + m,
           on->window.min.x + m, on->window.min.y + m,
           on->window.max.x + m, on->window.max.y + m);
}

static void print_plan(Ctx *c, const Model *m, const Workplan *p,
                       const Booklet *b) {
    double length;

    for (int i = 0; i < p->sheets.n; i++) {
        const Sheet *s = &p->sheets.at[i];
        for (int k = 0; k < s->on.n; k++)
            print_piece(&s->on.at[k], page_of(b, s->name));
    }
    for (int i = 0; i < p->patterns.n; i++) {
        const Pattern *t = &p->patterns.at[i];
        print_edges(c, t, i, false, &length);
        printf("pattern %d %.*s %.6f %.6f\n", i,
               STR_ARG(t->part < 0 ? STR("jig")
                                   : m->parts.at[t->part].letter),
               shape_area(t->shape),
               length);
        print_edges(c, t, i, true, &length);
    }
}

static void print_all(Ctx *c, const char *path, const char *paper) {
    Sizes          *sizes  = sizes_new(c);
    const Design   *design = design_read(c, path);
    const Model    *m = design ? model_build(c, design, sizes) : NULL;
    const Workplan *p = m ? plan_work(c, m) : NULL;
    bool            a4 = strcmp(paper, "a4") == 0;
    double          roll = atof(paper);
    Edition         e = { .inch = !a4, .a4 = a4 };
    const Booklet  *b;

    if (!p)
        exit(1);
    e.step = a4 ? m->step_mm : m->step_inch;
    p = roll > 0 ? plan_on_roll(c, m, p, roll)
      : plan_on_paper(c, m, p, edition_width(&e), edition_height(&e));
    b = roll > 0 ? press_template_sheets(c, m, p, &e)
      : press_booklet(c, m, p, &e);
    if (!b)
        exit(1);
    print_plan(c, m, p, b);
}

int main(int argc, char **argv) {
    Ctx c;

    ctx_init(&c, &real_files);
    if (argc == 3)
        print_all(&c, argv[1], argv[2]);
    ctx_free(&c);
    return argc == 3 ? 0 : 2;
}
