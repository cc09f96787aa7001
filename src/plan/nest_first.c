/* nest_first -- lays things one after the other, large ones first, each as
 * low and as far left as it goes on the first page that has room.
 *
 * Places are weighed where a thing touches another with a corner, or lies
 * in a corner of the page (bottom-left rule over no-fit polygons; Gomes and
 * Oliveira 2002). Nothing overlaps, so what follows begins from a plan that
 * could be printed.
 */
#include "plan/nest_internal.h"

#include <math.h>

#define MOST_CORNERS 48   // of two things that are weighed

/* The best place yet; `flat`: how much less a place to the right counts
 * than one higher up. */
typedef struct { double key, flat; int form; V2 at; } Lay;

/* Low, then left: the thing's upper right corner decides. */
static void weigh(Nesting *s, int i, int form, int page, V2 at, Lay *best) {
    const Box2 *b = &s->forms[form].box;
    double      x = at.x + b->max.x, y = at.y + b->max.y;
    double      key = y + best->flat * x;

    if (key >= best->key || at.x + b->min.x < -1e-9
        || at.y + b->min.y < -1e-9 || x > s->width + 1e-9
        || y > s->height + 1e-9)
        return;
    if (nesting_is_free(s, i, form, page, at))
        *best = (Lay){ key, best->flat, form, at };
}

static void weigh_corners(Nesting *s, int i, int form, int page,
                          Lay *best) {
    const Box2 *b = &s->forms[form].box;

    weigh(s, i, form, page, v2(-b->min.x, -b->min.y), best);
    weigh(s, i, form, page, v2(s->width - b->max.x, -b->min.y), best);
    weigh(s, i, form, page, v2(-b->min.x, s->height - b->max.y), best);
    weigh(s, i, form, page, v2(s->width - b->max.x, s->height - b->max.y),
          best);
}

static void weigh_touching(Nesting *s, int i, int form, int page, int j,
                           Lay *best) {
    const Lying  *o = &s->lying[j];
    const Box2   *b = &s->forms[form].box;
    const NoFits *f = nesting_nofits(s, o->form, form);
    int           step = 1 + f->n_corners / MOST_CORNERS;

    for (int k = 0; k < f->n_corners; k += step) {
        V2 at = v2_add(o->at, f->corner[k]);
        weigh(s, i, form, page, at, best);
        weigh(s, i, form, page, v2(-b->min.x, at.y), best);
        weigh(s, i, form, page, v2(at.x, -b->min.y), best);
    }
}

static bool lay_on(Nesting *s, int i, int page, double flat) {
    Lay best = { .key = INFINITY, .flat = flat };
    int item = s->lying[i].item;

    for (int form = s->first_form[item];
         form < s->n_forms && s->forms[form].item == item; form++) {
        if (!nesting_fits(s, form))
            continue;
        weigh_corners(s, i, form, page, &best);
        for (int j = 0; j < s->n; j++) {
            if (s->lying[j].page == page)
                weigh_touching(s, i, form, page, j, &best);
        }
    }
    if (best.key < INFINITY)
        nesting_put(s, i, best.form, page, best.at);
    return best.key < INFINITY;
}

bool nesting_lay_on(Nesting *s, int i, int page) {
    return lay_on(s, i, page, 0.2);
}

static int larger_first(const void *pa, const void *pb, const void *with) {
    const double *size = with;
    double        d = size[*(const int *)pb] - size[*(const int *)pa];

    return d > 0 ? 1 : d < 0 ? -1 : 0;
}

void nesting_lay_all(Nesting *s, int fixed_pages, bool leftward) {
    int    *order = NEW_N(s->c, int, s->n + 1), n = 0;
    double *size  = NEW_N(s->c, double, s->n + 1);
    double  flat  = leftward ? 5 : 0.2;

    for (int i = 0; i < s->n; i++) {
        Lying      *l = &s->lying[i];
        const Box2 *b = &s->forms[l->form].box;
        size[i] = (b->max.x - b->min.x) * (b->max.y - b->min.y);
        nesting_put(s, i, l->form, l->fixed ? l->page : -1, l->at);
        if (!l->fixed)
            order[n++] = i;
    }
    list_sort(s->c, order, n, sizeof *order, larger_first, size);
    s->pages = fixed_pages;
    for (int k = 0; k < n; k++) {
        int page = 0;
        while (page < s->pages && !lay_on(s, order[k], page, flat))
            page++;
        if (page < s->pages)
            continue;
        s->pages++;
        (void)lay_on(s, order[k], page, flat);   // its form fits an empty page
    }
}
