/* hatch -- thin lines at 45 degrees over the cut wood of a section
 * (ISO 128-3, from memory): wider apart where the section is larger.
 *
 * Each line x + y = k of the page is cut at the outline's edges; inside is
 * from an odd crossing to the next one.
 */
#include "press/sections.h"

#include <math.h>

#define CLOSE 1.5   // mm between lines of a small section
#define WIDE  3.0   // of a large one

typedef LIST(double) Crossings;

static int by_place(const void *a, const void *b, const void *with) {
    double x = *(const double *)a, y = *(const double *)b;

    (void)with;
    return (x > y) - (x < y);
}

/* Where the line crosses the outline: x on the page. An edge has its first
 * end and not its last, so that no corner counts twice. */
static Crossings crossings(Press *p, Shape s, const Place *pl, double k) {
    Crossings out = { 0 };

    for (int i = 0; i < s.loops.n; i++)
        for (int j = 0; j < s.loops.at[i].n; j++) {
            const Seg *seg = &s.loops.at[i].at[j];
            V2     a = place_point(pl, seg->a), b = place_point(pl, seg->b);
            double u = a.x + a.y - k, v = b.x + b.y - k;
            if ((u < 0) != (v < 0))
                *PUSH(p->c, &out) = a.x + (b.x - a.x) * u / (u - v);
        }
    list_sort(p->c, out.at, out.n, sizeof *out.at, by_place, NULL);
    return out;
}

void draw_hatching(Press *p, Shape s, const Place *pl) {
    Box2   box  = place_box(pl, shape_box(s));
    double high = fmin(box.max.y - box.min.y, box.max.x - box.min.x);
    double step = sqrt(2) * fmin(WIDE, fmax(CLOSE, high / 6));
    double k    = box.min.x + box.min.y + step / 2;

    for (; k < box.max.x + box.max.y; k += step) {
        Crossings x = crossings(p, s, pl, k);
        for (int i = 0; i + 1 < x.n; i += 2)
            draw_line(p, v2(x.at[i], k - x.at[i]),
                      v2(x.at[i + 1], k - x.at[i + 1]), PEN_FINE);
    }
}
