/* fastener_notes -- which joints of a step are fastened alike, in words; how
 * to handle the fragile places of a part; what wide pieces do over a year.
 */
#include "press/sections.h"

#include <math.h>

#define MOST_ROWS 6   // lines of one step; the pictures show the others

/* "Through A into B", "Through one A into another A"; of dowels "Bored 5/8 in
 * into A and 7/8 in into B". */
static void say_pieces(Press *p, Para *para, const FastenerRow *r) {
    const Fastener *f     = &p->m->fasteners.at[r->first];
    bool            dowel = p->m->hardware.at[r->hardware].drive
                            == DRIVE_DOWEL;
    bool            twin  = p->m->pieces.at[r->from].part
                            == p->m->pieces.at[r->into].part;

    say(p, para, dowel ? "Bored " : twin ? "Through one " : "Through ");
    if (dowel) {
        say_figure(p, para, row_figure(p, quantity_mm(f->held)));
        say(p, para, " into ");
    }
    say_letter(p, para, p->m->pieces.at[r->from].part);
    say(p, para, dowel ? " and " : twin ? " into another " : " into ");
    if (dowel) {
        say_figure(p, para, row_figure(p, quantity_mm(f->length - f->held)));
        say(p, para, " into ");
    }
    say_letter(p, para, p->m->pieces.at[r->into].part);
}

static void note_rows(Press *p, const RowList *rows, Notes *notes) {
    Para para = { 0 };

    say_pieces(p, &para, &p->m->rows.at[rows->at[0]]);
    if (rows->n > 1) {
        say(p, &para, ", at each of ");
        say_count(p, &para, rows->n, "joints alike");
        say(p, &para, " joints");
    }
    say(p, &para, ": ");
    say_rows(p, &para, rows);
    say(p, &para, ".");
    *PUSH(p->c, notes) = para;
}

/* Glue that leaves the wood room to move. */
static void note_middle(Press *p, const Step *step, Notes *notes) {
    Para  para = { 0 };
    bool *told = NEW_N(p->c, bool, p->m->parts.n + 1);

    for (int i = 0; i < step->fixes.n; i++) {
        if (step->fixes.at[i].middle && !para.spans.n) {
            say(p, &para, "Where grain crosses grain, put glue only on the "
                "middle ");
            say_figure(p, &para, figure_length(p->c, p->e,
                       quantity_inches(3, 1), STR("glue in the middle")));
            say(p, &para, " of the joint, so that the wide piece can move:");
        }
        for (int k = 0; k < step->fixes.at[i].pieces.n
             && step->fixes.at[i].middle; k++) {
            int part = p->m->pieces.at[step->fixes.at[i].pieces.at[k]].part;
            if (told[part])
                continue;
            say(p, &para, " ");
            say_letter(p, &para, part);
            told[part] = true;
        }
    }
    if (!para.spans.n)
        return;
    say(p, &para, ".");
    *PUSH(p->c, notes) = para;
}

/* A long piece with one fastener into each of many needs no figures. */
static bool is_one_of_many(const Press *p, const FastenerRow *r) {
    int n = 0;

    for (int i = 0; i < p->m->rows.n; i++) {
        const FastenerRow *q = &p->m->rows.at[i];
        n += q->step == r->step && q->fix == r->fix && q->from == r->from
          && q->count == 1;
    }
    return r->count == 1 && n >= 3;
}

static void note_many(Press *p, const RowList *rows, Notes *notes) {
    const FastenerRow *r = &p->m->rows.at[rows->at[0]];
    Para para = { 0 };

    say(p, &para, "Through ");
    say_letter(p, &para, p->m->pieces.at[r->from].part);
    say(p, &para, ": ");
    say_count(p, &para, 1, "fasteners in a joint");
    say(p, &para, " × ");
    say_author(p, &para, p->m->hardware.at[r->hardware].key,
               STR("hardware"));
    say(p, &para, " into each piece under it");
    say_single(p, &para, rows);
    say(p, &para, ".");
    *PUSH(p->c, notes) = para;
}

/* Those that are told in one line with row i, which is the first of them. */
static RowList rows_with(Press *p, int i, bool many, bool *done) {
    const FastenerRow *r = &p->m->rows.at[i];
    RowList out = { 0 };

    for (int k = i; k < p->m->rows.n; k++) {
        const FastenerRow *q = &p->m->rows.at[k];
        if (q->step != r->step)
            continue;
        if (many ? q->hardware == r->hardware && is_one_of_many(p, q)
                   && p->m->pieces.at[q->from].part
                      == p->m->pieces.at[r->from].part
                 : rows_alike(p, r, q)) {
            done[k] = true;
            *PUSH(p->c, &out) = k;
        }
    }
    return out;
}

void note_fasteners(Press *p, int step, Notes *notes) {
    int  n = p->m->rows.n, told = 0;
    bool *done = NEW_N(p->c, bool, n + 1);

    note_middle(p, &p->m->steps.at[step], notes);
    for (int i = 0; i < n && told < MOST_ROWS; i++) {
        bool    many;
        RowList rows;
        if (p->m->rows.at[i].step != step || done[i])
            continue;
        many = is_one_of_many(p, &p->m->rows.at[i]);
        rows = rows_with(p, i, many, done);
        (many ? note_many : note_rows)(p, &rows, notes);
        told++;
    }
}

/* ---- Fragile places ---- */

Para weak_note(Press *p, const Weak *w) {
    static const char *const words[] = {   // ORDER WEAK
        "a narrow web of ", "short grain, ", "little wood beside a hole, ",
        "little wood between two cuts, ", "a thin floor of ", "a thin wall of "
    };
    static const char *const care[] = {   // ORDER WEAK
        "Saw the longest cut last and do not lift the part there.",
        "Back it with scrap while you saw; do not clamp or lift it there.",
        "Drill from both sides with a sharp bit before you cut the outline.",
        "Drill the smaller one first, with a sharp bit and scrap behind it.",
        "Set the depth of the cut on scrap of the same thickness first.",
        "Make this cut before you trim the part to size; back it with scrap."
    };
    const Part *part   = &p->m->parts.at[w->part];
    Str         source = part_source(p, part, "fragile");
    Para        para   = { 0 };

    say_bold(p, &para, "Fragile: ");
    say(p, &para, words[w->kind]);
    say_figure(p, &para, figure_length(p->c, p->e, w->width, source));
    say(p, &para, ", ");
    say_figure(p, &para, figure_length(p->c, p->e,
               quantity_mm((w->a.x + w->b.x) / 2), source));
    say(p, &para, " from the left end and ");
    say_figure(p, &para, figure_length(p->c, p->e,
               quantity_mm((w->a.y + w->b.y) / 2), source));
    say(p, &para, " from the near edge. ");
    say(p, &para, care[w->kind]);
    return para;
}

/* ---- Wood moves ---- */

static bool is_wide(const Press *p, const Part *part) {
    return !part->jig && part->width.real >= WIDE_PIECE_MM
        && part_movement(p->m, part) > 0;
}

void press_movement(Press *p) {
    Para para = { 0 };
    int  said = 0;

    say(p, &para, "Wood swells across its grain when the air is damp and "
        "shrinks when it is dry. Between ");
    say_count(p, &para, (int64_t)floor(p->m->driest + 0.5),
              "moisture of the wood");
    say(p, &para, " and ");
    say_count(p, &para, (int64_t)floor(p->m->dampest + 0.5),
              "moisture of the wood");
    say(p, &para, " % of moisture in the wood, the width changes by up to: ");
    for (int i = 0; i < p->m->parts.n; i++) {
        const Part *part = &p->m->parts.at[i];
        if (!is_wide(p, part))
            continue;
        say(p, &para, said++ ? ", " : "");
        say_letter(p, &para, i);
        say(p, &para, " ");
        say_figure(p, &para, fine_figure(p, quantity_mm(part_movement(
                   p->m, part)), part_source(p, part, "movement")));
    }
    if (!said)
        return;
    say(p, &para, ".");
    heading(p, STR("Wood moves"), SIZE_LEAD);
    flow_para(p, 0, TEXT_W, STYLE_TEXT, &para);
}
