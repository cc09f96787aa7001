/* check -- what the pieces say about each other: overlaps, contacts,
 * joints that do not touch, pieces nobody adds. */
#include "model/model_internal.h"

/* ---- Overlaps and contacts ---- */

/* One message for each two entries that collide, not one for each of a
 * row's pieces. */
typedef struct { Str a, b; } Pair;
typedef LIST(Pair) Pairs;

static bool said_already(Build *b, Pairs *said, Str a, Str z) {
    Pair *p;

    for (int i = 0; i < said->n; i++) {
        if (str_eq(said->at[i].a, a) && str_eq(said->at[i].b, z))
            return true;
    }
    p    = PUSH(b->c, said);
    p->a = a;
    p->b = z;
    return false;
}

static void report_overlap(Build *b, const Piece *p, const Piece *q,
                           const Overlap *o) {
    report(b->c, q->loc, PIECE_OVERLAP,
           "'%.*s' and '%.*s' are %.*s into each other, around %.*s right, "
           "%.*s back, %.*s up", STR_ARG(q->name), STR_ARG(p->name),
           STR_ARG(mm_text(b, o->depth)),
           STR_ARG(mm_text(b, (o->box.min.x + o->box.max.x) / 2)),
           STR_ARG(mm_text(b, (o->box.min.y + o->box.max.y) / 2)),
           STR_ARG(mm_text(b, (o->box.min.z + o->box.max.z) / 2)));
    hint(b->c, "move one of them, or cut one to make room");
}

static void check_pair(Build *b, int i, int j, Pairs *said) {
    const Model *m = b->m;
    const Piece *p = &m->pieces.at[i], *q = &m->pieces.at[j];
    const Solid *sp = m->parts.at[p->part].solid;
    const Solid *sq = m->parts.at[q->part].solid;
    Overlap      o;
    V3           at    = { 0, 0, 0 };
    bool         touch = false;
    double       area;

    if (!box3_touch(p->box, q->box, TOUCH_MM) || !pieces_meet(m, i, j))
        return;
    o = solid_overlap(b->c, sp, &p->frame, sq, &q->frame, OVERLAP_MM);
    if (o.any) {
        if (!said_already(b, said, p->group, q->group))
            report_overlap(b, p, q, &o);
        return;
    }
    area = solid_contact(b->c, sp, &p->frame, sq, &q->frame, TOUCH_MM, &at,
                         &touch);
    if (area > 1 || touch) {
        Contact *k = PUSH(b->c, &b->m->contacts);
        k->a    = i;
        k->b    = j;
        k->area = area;
        k->at   = at;
        k->edge = area <= 1;
    }
}

static void check_pairs(Build *b) {
    Pairs said = { 0 };

    for (int i = 0; i < b->m->pieces.n; i++) {
        for (int j = i + 1; j < b->m->pieces.n; j++)
            check_pair(b, i, j, &said);
    }
}

/* ---- Joints ---- */

static double contact_area(const Model *m, int a, int z, bool *touch) {
    int low = a < z ? a : z, high = a < z ? z : a;

    for (int i = 0; i < m->contacts.n; i++) {
        const Contact *k = &m->contacts.at[i];
        if (k->a == low && k->b == high) {
            *touch = true;
            return k->area;
        }
    }
    return 0;
}

static void check_fix_piece(Build *b, Fix *fix, int piece) {
    const Piece *p = &b->m->pieces.at[piece];
    bool         touch = false;

    for (int i = 0; i < fix->to.n; i++) {
        if (fix->to.at[i] != piece)
            fix->glue_area += contact_area(b->m, piece, fix->to.at[i],
                                           &touch);
    }
    if (touch || fix->to.n == 0)
        return;
    report(b->c, fix->loc, NO_CONTACT,
           "'%.*s' is fixed to '%.*s', but they do not touch",
           STR_ARG(p->name), STR_ARG(b->m->pieces.at[fix->to.at[0]].name));
    hint(b->c, "check where both are placed, or name the piece it does "
         "touch");
}

static void check_fix_times(Build *b, int step, const Fix *fix) {
    for (int k = 0; k < 2; k++) {
        const int *at = k ? fix->to.at : fix->pieces.at;
        int        n  = k ? fix->to.n : fix->pieces.n;
        for (int i = 0; i < n; i++) {
            const Piece *p = &b->m->pieces.at[at[i]];
            if (piece_stands(p, step))
                continue;
            if (p->temporary && p->step >= 0 && p->step <= step) {
                report(b->c, fix->loc, STEP_LATE,
                       "'%.*s' is fixed in step %d but was taken away "
                       "before", STR_ARG(p->name), step + 1);
                return;
            }
            report(b->c, fix->loc, STEP_LATE,
                   "'%.*s' is fixed in step %d but %s", STR_ARG(p->name),
                   step + 1, p->step < 0 ? "added in none"
                                         : "added later");
            return;
        }
    }
}

static void check_fixes(Build *b) {
    for (int i = 0; i < b->m->steps.n; i++) {
        Step *step = &b->m->steps.at[i];
        for (int k = 0; k < step->fixes.n; k++) {
            Fix *fix    = &step->fixes.at[k];
            int  before = b->c->errors;
            check_fix_times(b, i, fix);
            for (int p = 0; p < fix->pieces.n; p++) {
                if (b->c->errors == before)
                    check_fix_piece(b, fix, fix->pieces.at[p]);
            }
        }
    }
}

/* ---- Everything used, everything touching ---- */

static void check_floating(Build *b, Pairs *said, int piece) {
    const Piece *p = &b->m->pieces.at[piece];

    for (int i = 0; i < b->m->contacts.n; i++) {
        const Contact *k = &b->m->contacts.at[i];
        int other = k->a == piece ? k->b : k->a;
        if ((k->a == piece || k->b == piece)
            && (p->temporary || !b->m->pieces.at[other].temporary))
            return;
    }
    if (b->m->pieces.n > 1 && !said_already(b, said, p->group, p->group))
        report(b->c, p->loc, FLOATING, "'%.*s' touches no other piece",
               STR_ARG(p->name));
}

static void check_used(Build *b) {
    Pairs said = { 0 }, floating = { 0 };

    for (int i = 0; i < b->m->pieces.n; i++) {
        const Piece *p = &b->m->pieces.at[i];
        if (p->step < 0 && b->m->steps.n
            && !said_already(b, &said, p->group, p->group))
            report(b->c, p->loc, PIECE_UNUSED,
                   "no step adds '%.*s'", STR_ARG(p->name));
        check_floating(b, &floating, i);
    }
    for (int i = 0; i < b->m->parts.n; i++) {
        const Part *part = &b->m->parts.at[i];
        if (!part->jig && model_piece_of(b->m, i) < 0)
            report(b->c, part->loc, PART_UNUSED,
                   "part %.*s is never placed", STR_ARG(part->letter));
    }
}

void check_model(Build *b) {
    check_pairs(b);
    check_fixes(b);
    check_temporary(b);
    if (b->c->errors == 0)
        check_fasteners(b);
    if (b->c->errors == 0)
        check_movement(b);
    if (b->c->errors == 0)
        check_fragile(b);
    if (b->c->errors == 0)
        check_used(b);
}
