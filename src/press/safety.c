/* safety -- the cautions that follow from the cuts and sizes, most serious
 * first, and the author's own.
 *
 * Signal words by ANSI Z535.6. Short pieces: under 300 mm (1 ft) a push
 * stick, CCOHS; planing under 300 mm another method, UK HSE (trade-figures
 * 7.1). Narrow rips: under 3 in a push block, common practice, no published
 * source. */
#include "plan/cut_order.h"
#include "press/sections.h"

static Figure rule(Press *p, double mm, const char *source) {
    return figure_length(p->c, p->e, quantity_exact((int64_t)(mm * 10), 10,
                                                    DIM_LENGTH),
                         str_from(p->c, source));
}

static void say_letters(Press *p, Para *para, const int *parts, int n) {
    for (int i = 0; i < n; i++) {
        if (i)
            say(p, para, i + 1 == n ? " and " : ", ");
        say_letter(p, para, parts[i]);
    }
}

static int find_parts(const Press *p, int *parts, bool narrow) {
    int n = 0;

    for (int i = 0; i < p->m->parts.n; i++) {
        const Part *part = &p->m->parts.at[i];
        if (p->m->stocks.at[part->stock].form == FORM_DOWEL)
            continue;
        if (narrow ? part->width.real < NARROW_HELD_MM
                   : part->long_length.real < SMALL_HELD_MM)
            parts[n++] = i;
    }
    return n;
}

static void small_caution(Press *p, bool narrow, const char *is, Figure than,
                          const char *words) {
    int *parts = NEW_N(p->c, int, p->m->parts.n + 1);
    int  n     = find_parts(p, parts, narrow);
    Para para  = { 0 };

    if (n == 0)
        return;
    say_letters(p, &para, parts, n);
    say(p, &para, n > 1 ? " are " : " is ");
    say(p, &para, is);
    say_figure(p, &para, than);
    say(p, &para, words);
    flow_caution(p, 0, TEXT_W, SIGNAL_WARNING, &para);
}

static void small_parts(Press *p) {
    small_caution(p, true, "narrower than ",
        rule(p, NARROW_HELD_MM, "rule: narrow rip"),
        ". Fingers beside the blade can be cut off. Rip with a push block, "
        "from a board wide enough to hold, and let the narrow piece fall "
        "away from the fence.");
    small_caution(p, false, "shorter than ",
        rule(p, SMALL_HELD_MM, "rule: short piece"),
        ". A short piece can turn and be thrown. Plane, rip and shape the "
        "long blank first and crosscut it last; clamp the piece or use a "
        "stop, and never plane or joint it by machine once it is short.");
}

static bool any_resawn(const Model *m) {
    for (int i = 0; i < m->stocks.n; i++) {
        if (m->stocks.at[i].leaves)
            return true;
    }
    return false;
}

static void fixed_warnings(Press *p) {
    Para para = para_of(p, "Saws, planers and routers can take fingers or "
        "eyes in an instant. Read the manual of each machine, keep guards "
        "and riving knife in place, wear eye and ear protection, tie back "
        "hair and sleeves, wear no gloves at a turning blade, and pull the "
        "plug before you change a blade or bit.");

    flow_caution(p, 0, TEXT_W, SIGNAL_WARNING, &para);
    small_parts(p);
    if (any_resawn(p->m)) {
        para = para_of(p, "Sawing a board on edge into thin leaves can pull "
            "the hand toward the blade. Use a tall fence and a feather "
            "board, keep both hands off the line of the cut, and finish "
            "the cut with a push stick.");
        flow_caution(p, 0, TEXT_W, SIGNAL_WARNING, &para);
    }
}

static void fixed_cautions(Press *p) {
    Para para = para_of(p, "Wood dust harms the lungs and some woods make skin "
        "and eyes itch. Collect it at the machine and wear a dust mask "
        "when you saw and sand.");
    flow_caution(p, 0, TEXT_W, SIGNAL_CAUTION, &para);
}

static void fixed_notices(Press *p) {
    Para para = para_of(p, "These plans give no load figures. Where what you "
        "build carries a person, stands in public or is given to "
        "children, local codes and licensed practice come first.");
    flow_caution(p, 0, TEXT_W, SIGNAL_NOTICE, &para);
}

static void safety_body(Press *p) {
    bookmark(p, STR("Safety"), 0);
    heading(p, STR("Safety"), SIZE_HEAD);
    for (Signal s = SIGNAL_DANGER; s <= SIGNAL_NOTICE; s++) {
        for (int i = 0; i < p->m->cautions.n; i++) {
            const Caution *own  = &p->m->cautions.at[i];
            Para           para = { 0 };
            if (own->signal != s)
                continue;
            say_say(p, &para, &own->say);
            flow_caution(p, 0, TEXT_W, own->signal, &para);
        }
        if (s == SIGNAL_WARNING)
            fixed_warnings(p);
        if (s == SIGNAL_CAUTION)
            fixed_cautions(p);
        if (s == SIGNAL_NOTICE)
            fixed_notices(p);
    }
}

void press_safety(Press *p) {
    section_begin(p, SECTION_SAFETY,
                  flow_height(p, SECTION_SAFETY, safety_body)
                  + 2 * BASE_LINE);
    safety_body(p);
}
