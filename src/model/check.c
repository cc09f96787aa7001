/* check -- what the pieces say about each other: overlaps, contacts,
 * joints that do not touch, pieces nobody adds. */
#include "model/model_internal.h"

#include <math.h>

/* ---- Overlaps and contacts ---- */

/* One message for each two entries that collide, not one for each of a
 * row's pieces. What was said is kept by "name of one, name of the other":
 * thousands of alike mistakes are looked up, not gone through. */
static bool said_already(Build *b, NameIndex *said, Str a, Str z) {
    Str key = str_fmt(b->c, "%.*s\n%.*s", STR_ARG(a), STR_ARG(z));

    if (names_find(said, key).n)
        return true;
    names_add(b->c, said, key, 0);
    return false;
}

static void report_overlap(Build *b, const Collision *k) {
    const Model   *m = b->m;
    const Piece   *p = &m->pieces.at[k->a], *q = &m->pieces.at[k->b];
    const Overlap *o = &k->shared;

    report(b->c, q->loc, PIECE_OVERLAP,
           "'%.*s' and '%.*s' are %.*s into each other and share %.*s, in a "
           "space of %.*s x %.*s x %.*s around %.*s right, %.*s back, %.*s "
           "up: %.*s and %.*s", STR_ARG(q->name), STR_ARG(p->name),
           STR_ARG(mm_text(b, o->depth)),
           STR_ARG(volume_text(b, o->volume)),
           STR_ARG(mm_text(b, o->box.max.x - o->box.min.x)),
           STR_ARG(mm_text(b, o->box.max.y - o->box.min.y)),
           STR_ARG(mm_text(b, o->box.max.z - o->box.min.z)),
           STR_ARG(mm_text(b, (o->box.min.x + o->box.max.x) / 2)),
           STR_ARG(mm_text(b, (o->box.min.y + o->box.max.y) / 2)),
           STR_ARG(mm_text(b, (o->box.min.z + o->box.max.z) / 2)),
           STR_ARG(k->cut_b), STR_ARG(k->cut_a));
    hint(b->c, "move one of them by %.*s, or cut one to make room",
         STR_ARG(mm_text(b, o->depth)));
}

static void add_collision(Build *b, int i, int j, const Overlap *o,
                          NameIndex *said) {
    const Piece *all = b->m->pieces.at;
    Collision   *k   = PUSH(b->c, &b->m->collisions);

    *k = (Collision){ i, j, *o, feature_to_blame(b->c, b->m, i, o->box),
                      feature_to_blame(b->c, b->m, j, o->box) };
    if (!said_already(b, said, all[i].group, all[j].group))
        report_overlap(b, k);
}

/* Whole faces' planes, largest first; `at` is in the middle of them. */
static void add_contact(Build *b, int i, int j, Abuts all, V3 at) {
    Contact *k = PUSH(b->c, &b->m->contacts);

    *k = (Contact){ .a = i, .b = j, .at = at };
    k->normal = NEW_N(b->c, V3, all.n);
    for (int n = 0; n < all.n; n++) {
        int as = 0;
        k->area += all.at[n].area;
        while (as < k->normals
               && v3_dot(k->normal[as], all.at[n].normal) < 1 - 1e-9)
            as++;
        if (as == k->normals)
            k->normal[k->normals++] = all.at[n].normal;
    }
    k->edge = k->area <= 1;
}

static void check_pair(Build *b, Ctx *work, int i, int j, NameIndex *said) {
    const Model *m = b->m;
    const Piece *p = &m->pieces.at[i], *q = &m->pieces.at[j];
    const Solid *sp = m->parts.at[p->part].solid;
    const Solid *sq = m->parts.at[q->part].solid;
    Overlap      o  = { 0 };
    V3           at    = { 0, 0, 0 };
    bool         touch = false;
    Abuts        all;

    if (!pieces_meet(m, i, j))
        return;
    if (box3_touch(p->box, q->box, -OVERLAP_MM))
        o = solid_overlap(work, sp, &p->frame, sq, &q->frame, OVERLAP_MM);
    if (o.any) {
        add_collision(b, i, j, &o, said);
        return;
    }
    all = solid_touches(work, sp, &p->frame, sq, &q->frame, TOUCH_MM, &at,
                        &touch);
    if (touch)
        add_contact(b, i, j, all, at);
    else if (!p->temporary && !q->temporary
             && !said_already(b, said, p->group, q->group))
        check_hair(b, work, i, j);
}

/* Boxes somewhat apart may still be a hair's gap apart. */
static void check_pairs(Build *b) {
    const Model *m     = b->m;
    Box3        *boxes = NEW_N(b->c, Box3, m->pieces.n + 1);
    BoxPairs     near;
    NameIndex    said = { 0 };
    Ctx          work = ctx_scratch(b->c);

    for (int i = 0; i < m->pieces.n; i++)
        boxes[i] = m->pieces.at[i].box;
    near = boxes_near(b->c, boxes, m->pieces.n, HAIR_MM);
    for (int i = 0; i < near.n; i++) {
        check_pair(b, &work, near.at[i].a, near.at[i].b, &said);
        arena_reset(&work.arena);
    }
    ctx_free(&work);
}

/* ---- Joints ---- */

/* Of a joint glued in the middle only that much. */
static double glued_area(Build *b, const Fix *fix, int a, int z,
                         double contact) {
    return fix->middle && contact > 0 ? glued_middle(b, a, z) : contact;
}

static void check_fix_piece(Build *b, const Neighbors *near,
                            const Roles *roles, Fix *fix, int piece) {
    const Piece *p   = &b->m->pieces.at[piece];
    Ints         all = roles_touched(b->c, b->m, near, roles, piece);

    for (int i = 0; i < all.n; i++)
        fix->glue_area += glued_area(b, fix, piece, all.at[i],
            contact_of(b->m, piece, all.at[i])->area);
    if (all.n || fix->to.n == 0)
        return;
    report(b->c, fix->loc, NO_CONTACT,
           "'%.*s' is fixed to '%.*s', but they do not touch",
           STR_ARG(p->name), STR_ARG(b->m->pieces.at[fix->to.at[0]].name));
    hint(b->c, "check where both are placed, or name the piece it does "
         "touch");
}

/* Is one of the pieces not there yet, or no more, in a step that has
 * something `done` to it? Reports the first. */
static bool is_missing(Build *b, int step, const int *at, int n, Loc loc,
                       const char *done) {
    for (int i = 0; i < n; i++) {
        const Piece *p = &b->m->pieces.at[at[i]];
        if (piece_stands(p, step))
            continue;
        report(b->c, loc, STEP_LATE, "'%.*s' is %s in step %d but %s",
               STR_ARG(p->name), done, step + 1,
               p->temporary && p->step >= 0 && p->step <= step
               ? "was taken away before"
               : p->step < 0 ? "added in none" : "added later");
        return true;
    }
    return false;
}

static void check_fix_times(Build *b, int step, const Fix *f) {
    if (!is_missing(b, step, f->pieces.at, f->pieces.n, f->loc, "fixed"))
        (void)is_missing(b, step, f->to.at, f->to.n, f->loc, "fixed");
}

static void check_hold_times(Build *b, int step) {
    const Step *s = &b->m->steps.at[step];

    for (int i = 0; i < s->holds.n; i++) {
        const Hold *h = &s->holds.at[i];
        (void)is_missing(b, step, h->pieces.at, h->pieces.n, h->loc, "held");
    }
}

static void check_fixes(Build *b, const Neighbors *near) {
    Roles roles = roles_new(b);

    for (int i = 0; i < b->m->steps.n; i++) {
        Step *step = &b->m->steps.at[i];
        for (int k = 0; k < step->fixes.n; k++) {
            Fix *fix    = &step->fixes.at[k];
            int  before = b->c->errors;
            check_fix_times(b, i, fix);
            roles_of(&roles, fix);
            for (int p = 0; p < fix->pieces.n; p++) {
                if (b->c->errors == before)
                    check_fix_piece(b, near, &roles, fix, fix->pieces.at[p]);
            }
        }
        check_hold_times(b, i);
    }
}

/* ---- Everything used, everything touching ---- */

static void check_floating(Build *b, const Neighbors *near, NameIndex *said,
                           int piece) {
    const Piece *p = &b->m->pieces.at[piece];

    for (int i = near->begin[piece]; i < near->begin[piece + 1]; i++) {
        const Contact *k = &b->m->contacts.at[near->item[i]];
        int other = k->a == piece ? k->b : k->a;
        if (p->temporary || !b->m->pieces.at[other].temporary)
            return;
    }
    if (b->m->pieces.n > 1 && !said_already(b, said, p->group, p->group))
        report(b->c, p->loc, FLOATING, "'%.*s' touches no other piece",
               STR_ARG(p->name));
}

static void check_used(Build *b, const Neighbors *near) {
    NameIndex said = { 0 }, floating = { 0 };

    for (int i = 0; i < b->m->pieces.n; i++) {
        const Piece *p = &b->m->pieces.at[i];
        if (p->step < 0 && b->m->steps.n
            && !said_already(b, &said, p->group, p->group))
            report(b->c, p->loc, PIECE_UNUSED,
                   "no step adds '%.*s'", STR_ARG(p->name));
        check_floating(b, near, &floating, i);
    }
    for (int i = 0; i < b->m->parts.n; i++) {
        const Part *part = &b->m->parts.at[i];
        if (!part->jig && model_piece_of(b->m, i) < 0)
            report(b->c, part->loc, PART_UNUSED,
                   "part %.*s is never placed", STR_ARG(part->letter));
    }
}

/* ---- Standing ---- */

#define LEAST_TILT 10.0   // degrees; common practice, no published source

/* Near enough for a message: to 1/8 in, or to a millimeter. */
static Str about(Build *b, double mm) {
    double step = b->m->inch ? 25.4 / 8 : 1;

    return mm_text(b, round(mm / step) * step);
}

static void check_stands(Build *b) {
    Standing s = model_stands(b->c, b->m);
    Loc      at = node_find(b->d->root, "pieces")->loc;

    if (!s.known || b->m->hangs || b->m->pieces.n < 2)
        return;
    if (!s.stands)
        report(b->c, at, TIPS_OVER,
               "the finished project falls over %s: its center of mass lies "
               "%.*s outside its feet", way_word(s.toward),
               STR_ARG(about(b, -s.margin)));
    else if (s.angle_deg < LEAST_TILT)
        report(b->c, at, TIPS_OVER,
               "the finished project tips over %s at a tilt of %.1f degrees,"
               " under %.0f: its center of mass lies %.*s inside its feet "
               "and %.*s up", way_word(s.toward), s.angle_deg, LEAST_TILT,
               STR_ARG(about(b, s.margin)),
               STR_ARG(about(b, s.height)));
}

void check_model(Build *b) {
    Neighbors near;

    check_pairs(b);
    near = neighbors_of(b->c, b->m);
    check_fixes(b, &near);
    check_temporary(b);
    if (b->c->errors)
        return;
    check_fasteners(b);
    check_joint_gaps(b);
    check_used(b, &near);
    if (b->c->errors)
        return;
    check_movement(b);
    check_fragile(b);
    find_order(b);
    if (!b->m->order_found)
        check_order(b);
    check_stands(b);
}
