/* step_notes -- what a step's page says around the author's words, and the
 * words for faces and stacks that several pages share. */
#include "press/sections.h"

/* ---- Shared words ---- */

static void say_listed(Press *p, Para *para, const char *word, int *said) {
    if (*said)
        say(p, para, ", ");
    say(p, para, word);
    (*said)++;
}

void say_sides(Press *p, Para *para, const bool sides[6]) {
    static const char *const words[] = {   // ORDER SIDE
        "show face", "back", "near edge", "far edge", "left end",
        "right end"
    };
    bool edges = sides[SIDE_NEAR] && sides[SIDE_FAR];
    bool ends  = sides[SIDE_LEFT] && sides[SIDE_RIGHT];
    int  said  = 0;

    for (int i = 0; i < 6; i++) {
        bool is_edge = i == SIDE_NEAR || i == SIDE_FAR;
        if (!sides[i])
            continue;
        if (is_edge && edges) {
            if (i == SIDE_NEAR)
                say_listed(p, para, "edges", &said);
        } else if (i >= SIDE_LEFT && ends) {
            if (i == SIDE_LEFT)
                say_listed(p, para, "ends", &said);
        } else {
            say_listed(p, para, words[i], &said);
        }
    }
}

bool say_cut_with(Press *p, Para *para, int part) {
    const Part *own  = &p->m->parts.at[part];
    int         as_drawn = own->quantity - own->mirrored;
    int         pairs = own->mirrored < as_drawn ? own->mirrored : as_drawn;
    bool        said  = false;

    for (int i = 0; i < p->m->parts.n; i++) {
        if (i == part || stack_of(p->m, i) != stack_of(p->m, part))
            continue;
        say(p, para, said ? " " : "cut with ");
        say_letter(p, para, i);
        said = true;
    }
    if (said)
        say(p, para, " as one stack");
    if (pairs == 0)
        return said;
    say(p, para, said ? ", " : "cut ");
    if (pairs == 1) {
        say(p, para, "as a mirrored pair");
        return true;
    }
    say(p, para, "as ");
    say_count(p, para, pairs, "mirrored pairs");
    say(p, para, " mirrored pairs");
    return true;
}

/* ---- Taken away ---- */

/* "2 × Rail C, 1 × Slat D" */
static void say_pieces(Press *p, Para *para, const int *pieces, int n,
                       const char *source) {
    int *count = NEW_N(p->c, int, p->m->parts.n + 1);
    bool said  = false;

    for (int i = 0; i < n; i++)
        count[p->m->pieces.at[pieces[i]].part]++;
    for (int k = 0; k < p->m->parts.n; k++) {
        const Part *part = &p->m->parts.at[k];
        if (count[k] == 0)
            continue;
        if (said)
            say(p, para, ", ");
        say_count(p, para, count[k], source);
        say(p, para, " × ");
        say_author(p, para, part->name, part_source(p, part, "name"));
        say(p, para, " ");
        say_letter(p, para, k);
        said = true;
    }
}

static void note_temporary(Press *p, const Step *step, Notes *notes) {
    Para para = { 0 };

    if (step->removes.n) {
        say(p, &para, "First take away ");
        say_pieces(p, &para, step->removes.at, step->removes.n,
                   "temporary pieces");
        say(p, &para, ".");
        *PUSH(p->c, notes) = para;
    }
    para = (Para){ 0 };
    if (step->with.n) {
        say(p, &para, "For this step only: ");
        say_pieces(p, &para, step->with.at, step->with.n,
                   "temporary pieces");
        say(p, &para, ". Take them away again at its end.");
        *PUSH(p->c, notes) = para;
    }
}

static void note_holds(Press *p, const Step *step, Notes *notes) {
    for (int i = 0; i < step->holds.n; i++) {
        const Hold *hold = &step->holds.at[i];
        Para        para = { 0 };
        say(p, &para, "Hold in place with ");
        say_author(p, &para, hold->with, STR("author's words"));
        say(p, &para, ": ");
        say_pieces(p, &para, hold->pieces.at, hold->pieces.n, "pieces held");
        say(p, &para, ".");
        *PUSH(p->c, notes) = para;
    }
}

/* ---- Gaps ---- */

/* Is this the step that adds the first pieces of a row? */
static bool begins_group(const Press *p, int index, Str group) {
    bool here = false;

    for (int i = 0; i < p->m->pieces.n; i++) {
        const Piece *piece = &p->m->pieces.at[i];
        if (!str_eq(piece->group, group))
            continue;
        if (piece->step < index)
            return false;
        here |= piece->step == index;
    }
    return here;
}

static void note_spacing(Press *p, const Spacing *s, Notes *notes) {
    Para para   = { 0 };
    Str  source = str_fmt(p->c, "%.*s.gap", STR_ARG(s->name));

    say(p, &para, "Equal gaps of ");
    say_figure(p, &para, figure_length(p->c, p->e, s->gap, source));
    say(p, &para, " between ");
    say_count(p, &para, s->count, "slats in a row");
    say(p, &para, " pieces ");
    say_letter(p, &para, s->part);
    say(p, &para, s->end_gaps ? " and at both ends" : ", none at the ends");
    if (s->count <= 24) {
        say(p, &para, ". Mark their ");
        say(p, &para, sides_to(s->from));
        say(p, &para, " from the ");
        say_str(p, &para, s->from);
        say(p, &para, ", all from one end of the rule: ");
        for (int i = 0; i < s->starts.n; i++) {
            say(p, &para, i ? ", " : "");
            say_figure(p, &para, figure_length(p->c, p->e, s->starts.at[i],
                       str_fmt(p->c, "%.*s %d", STR_ARG(s->name), i + 1)));
        }
    }
    say(p, &para, ".");
    *PUSH(p->c, notes) = para;
}

static void note_rod(Press *p, int index, Notes *notes) {
    Para para = { 0 };

    if (!p->known || p->known->rod[index] < 0)
        return;
    say(p, &para, "All marks of the row are on its rod, ");
    say_page(p, &para, p->known->rod[index]);
    say(p, &para, ".");
    *PUSH(p->c, notes) = para;
}

/* ---- Fit, finish ---- */

static bool adds_part_first(const Press *p, const Step *step, int index,
                            int part) {
    bool here = false;

    for (int i = 0; i < step->add.n; i++) {
        const Piece *piece = &p->m->pieces.at[step->add.at[i]];
        here |= piece->part == part && !piece->temporary;
    }
    for (int i = 0; i < p->m->pieces.n && here; i++) {
        const Piece *piece = &p->m->pieces.at[i];
        if (piece->part == part && !piece->temporary && piece->step < index)
            return false;
    }
    return here;
}

/* One sentence for all parts that this step is the first to need. */
static void note_fits(Press *p, const Step *step, int index, Notes *notes) {
    static const char *const words[] = { "length", "width", "thickness" };
    Para para = { 0 };

    for (int i = 0; i < p->m->parts.n; i++) {
        const Part    *part   = &p->m->parts.at[i];
        const Quantity size[] = { part->length, part->width,
                                  part->thickness };
        for (int k = 0; k < 3; k++) {
            if (!part->fit[k] || !adds_part_first(p, step, index, i))
                continue;
            say(p, &para, para.spans.n ? ", "
                          : "Measure on the work before you cut: ");
            say(p, &para, words[k]);
            say(p, &para, " of ");
            say_letter(p, &para, i);
            say(p, &para, " (worked out as ");
            say_figure(p, &para, figure_length(p->c, p->e, size[k],
                       part_source(p, part, words[k])));
            say(p, &para, ")");
        }
    }
    if (!para.spans.n)
        return;
    say(p, &para, ".");
    *PUSH(p->c, notes) = para;
}

/* The faces of a part that get no finish; false if there is none. */
static bool bare_sides(const Part *part, bool bare[6]) {
    bool any = false;

    for (int i = 0; i < 6; i++) {
        bare[i] = part->coat[i] < 0;
        any |= bare[i];
    }
    return any;
}

static bool is_bare_alike(const Part *a, const Part *b) {
    for (int i = 0; i < 6; i++) {
        if ((a->coat[i] < 0) != (b->coat[i] < 0))
            return false;
    }
    return true;
}

/* One sentence for all parts that keep the same faces bare: `first` and
 * those after it. */
static void note_finish(Press *p, const bool *wanted, bool *told, int first,
                        Notes *notes) {
    const Part *one  = &p->m->parts.at[first];
    Para        para = { 0 };
    bool        bare[6];

    say(p, &para, "Put the finish on");
    for (int k = first; k < p->m->parts.n; k++) {
        if (!wanted[k] || told[k]
            || !is_bare_alike(one, &p->m->parts.at[k]))
            continue;
        say(p, &para, " ");
        say_letter(p, &para, k);
        told[k] = true;
    }
    say(p, &para, " first");
    if (bare_sides(one, bare)) {
        say(p, &para, "; keep bare for glue: ");
        say_sides(p, &para, bare);
    }
    say(p, &para, ".");
    *PUSH(p->c, notes) = para;
}

static void note_finishes(Press *p, const Step *step, int index,
                          Notes *notes) {
    bool *wanted = NEW_N(p->c, bool, p->m->parts.n + 1);
    bool *told   = NEW_N(p->c, bool, p->m->parts.n + 1);

    for (int k = 0; k < p->m->parts.n; k++) {
        const Part *part = &p->m->parts.at[k];
        wanted[k] = part->finish_when == WHEN_BEFORE && part->finish >= 0
                 && adds_part_first(p, step, index, k);
    }
    for (int k = 0; k < p->m->parts.n; k++) {
        if (wanted[k] && !told[k])
            note_finish(p, wanted, told, k, notes);
    }
}

/* What is taken away, measured or painted before; the author's words; where
 * the fasteners and the glue go. */
Notes step_notes(Press *p, const Step *step, int index) {
    Notes notes = { 0 };

    note_temporary(p, step, &notes);
    note_fits(p, step, index, &notes);
    note_finishes(p, step, index, &notes);
    for (int i = 0; i < p->m->spacings.n; i++) {
        if (begins_group(p, index, p->m->spacings.at[i].name))
            note_spacing(p, &p->m->spacings.at[i], &notes);
    }
    for (int i = 0; i < step->say.n; i++)
        say_say(p, PUSH(p->c, &notes), &step->say.at[i]);
    note_holds(p, step, &notes);
    note_rod(p, index, &notes);
    note_fasteners(p, index, &notes);
    return notes;
}
