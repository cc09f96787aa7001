/* roll -- templates on paper from a roll: how long a piece of it do they
 * need?
 *
 * The nest fills sheets of a given size, so the length is found by trial:
 * halfway between one that was enough and one that was not, or less where
 * what lies on the sheet ends sooner. A dozen plans, counted, not timed.
 * The rival, a strip packed for itself (nest_strip), knows neither patterns
 * over several sheets nor what they leave free.
 */
#include "plan/plan_internal.h"

#include <math.h>

#define ROLL_LONGEST  3000.0   // mm; a copy shop takes it in one piece
#define ROLL_SHORTEST  200.0   // check bars along it have room
#define ROLL_TRIALS     12
#define NEAR_ENOUGH      2.0   // mm

/* The length of paper that lies under patterns. */
static double length_used(const Workplan *p) {
    double most = 0;

    for (int i = 0; i < p->sheets.n; i++) {
        const Sheet *s = &p->sheets.at[i];
        for (int k = 0; k < s->on.n; k++) {
            Box2 box = shape_box(p->patterns.at[s->on.at[k].pattern].shape);
            most = fmax(most, box.max.y + s->on.at[k].at.y);
        }
    }
    return fmin(ROLL_LONGEST, fmax(ROLL_SHORTEST,
                                   ceil(most) + 1 + 2 * SHEET_MARGIN));
}

const Workplan *plan_on_roll(Ctx *c, const Model *m, const Workplan *old,
                             double width) {
    const Workplan *best = plan_on_paper(c, m, old, width, ROLL_LONGEST);
    double          low = ROLL_SHORTEST, high = length_used(best);

    if (best->sheets.n != 1)
        return best;
    best = plan_on_paper(c, m, old, width, high);
    for (int i = 0; i < ROLL_TRIALS && high - low > NEAR_ENOUGH; i++) {
        double          length = floor((low + high) / 2);
        const Workplan *p      = plan_on_paper(c, m, old, width, length);
        if (p->sheets.n != 1) {
            low = length;
            continue;
        }
        best = p;
        high = length;
    }
    return best;
}
