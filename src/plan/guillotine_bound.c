#include "plan/guillotine_internal.h"
#include <math.h>
int64_t bound_area(const Rects *r) {
    double area = 0, rate = 1e300;

    for (int i = 0; i < r->n_parts; i++)
        area += (double)r->parts[i].w * (double)r->parts[i].h
              * r->parts[i].count;
    for (int i = 0; i < r->n_kinds; i++)
        rate = fmin(rate, (double)r->kinds[i].price
                    / ((double)r->kinds[i].w * (double)r->kinds[i].h));
    return (int64_t)ceil(area * rate / (double)r->step - 1e-9) * r->step;
}
