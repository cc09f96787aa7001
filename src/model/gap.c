/* gap -- gaps that a joint should not have: faces a hair apart that were
 * surely meant to touch, tenons that do not fill their mortise, and pieces
 * that do not reach the bottom of the dado, rabbet or lap that they are in.
 */
#include "model/model_internal.h"

#include <math.h>

/* Common practice, no published source: nobody leaves less than half a
 * millimeter on purpose between faces that big, and a tenon is cut up to
 * 1/16 in short of the bottom, for glue; twice that is a mistake. */
#define HAIR_AREA   100.0   // mm^2
#define HAIR_SHARE  0.5     // of the smaller face
#define BOTTOM_MM   3.175
#define SEAT_MM     0.8     // 1/32 in: in a dado the piece sits on the bottom
#define FAR_MM      25.4    // farther apart: not this tenon's bottom

/* ---- A hair apart ---- */

void check_hair(Build *b, Ctx *work, int i, int j) {
    const Model *m = b->m;
    const Piece *p = &m->pieces.at[i], *q = &m->pieces.at[j];
    Abuts all = solid_faces(work, m->parts.at[p->part].solid, &p->frame,
                            m->parts.at[q->part].solid, &q->frame,
                            TOUCH_MM, HAIR_MM, TOUCH_MM);

    for (int k = 0; k < all.n; k++) {
        const Abut *t = &all.at[k];
        if (t->area < HAIR_AREA || t->share < HAIR_SHARE)
            continue;
        report(b->c, q->loc, NEAR_MISS,
               "'%.*s' and '%.*s' are %.*s apart where they look meant to "
               "touch", STR_ARG(q->name), STR_ARG(p->name),
               STR_ARG(mm_text(b, t->gap)));
        return;
    }
}

/* ---- Tenons ---- */

/* Where a tenon's end and its shoulder lie along the part. */
typedef struct { double end, shoulder, way; } Tongue;

static bool tongue_of(const Part *part, const Feature *f, Tongue *t) {
    if (!f->word || strcmp(f->word, "tenon") != 0 || f->echo)
        return false;
    t->way      = f->x.real > 1e-6 ? 1 : -1;
    t->end      = t->way > 0 ? part->long_length.real : 0;
    t->shoulder = t->end - t->way * f->length.real;
    return true;
}

static void report_tenon(Build *b, int tenon, int other, double gap,
                         bool shoulder) {
    const Piece *p = &b->m->pieces.at[tenon];
    const Piece *q = &b->m->pieces.at[other];

    if (shoulder)
        report(b->c, p->loc, JOINT_GAP,
               "the shoulder of the tenon of '%.*s' stands %.*s off '%.*s'",
               STR_ARG(p->name), STR_ARG(mm_text(b, gap)),
               STR_ARG(q->name));
    else
        report(b->c, p->loc, JOINT_GAP,
               "the tenon of '%.*s' ends %.*s short of the bottom of its "
               "mortise in '%.*s', over %.*s", STR_ARG(p->name),
               STR_ARG(mm_text(b, gap)), STR_ARG(q->name),
               STR_ARG(mm_text(b, BOTTOM_MM)));
    if (shoulder)
        hint(b->c, "move the piece up to it, or make the tenon shorter by "
             "that");
    else
        hint(b->c, "make the tenon longer or the mortise shallower");
}

/* The tongue is in the other piece: its end looks at a bottom, or its
 * sides at the mortise's sides; else it is no joint of these two. */
static void check_tongue(Build *b, int tenon, int other, const Tongue *t,
                         const Abuts *all) {
    const Piece *p     = &b->m->pieces.at[tenon];
    V3           along = v3_scale(p->frame.x, -t->way);
    double       least_end = INFINITY, least_shoulder = INFINITY;

    for (int i = 0; i < all->n; i++) {
        const Abut *a = &all->at[i];
        double x = v3_dot(v3_sub(a->at, p->frame.o), p->frame.x);
        if (v3_dot(a->normal, along) < 0.9999)
            continue;
        if (fabs(x - t->end) < TOUCH_MM && a->share > 0.5)
            least_end = fmin(least_end, a->gap);
        if (fabs(x - t->shoulder) < TOUCH_MM)
            least_shoulder = fmin(least_shoulder, a->gap);
    }
    if (least_shoulder > TOUCH_MM && least_shoulder < INFINITY
        && least_shoulder < fabs(t->end - t->shoulder))
        report_tenon(b, tenon, other, least_shoulder, true);
    else if (least_end > BOTTOM_MM + 1e-6 && least_end < INFINITY
             && least_shoulder < TOUCH_MM)
        report_tenon(b, tenon, other, least_end, false);
}

static void check_tenons_of(Build *b, Ctx *work, int tenon, int other) {
    const Model *m = b->m;
    const Piece *p = &m->pieces.at[tenon], *q = &m->pieces.at[other];
    const Part  *part = &m->parts.at[p->part];

    for (int i = 0; i < part->features.n; i++) {
        Tongue t;
        Abuts  all;
        if (!tongue_of(part, &part->features.at[i], &t))
            continue;
        all = solid_faces(work, part->solid, &p->frame,
                          m->parts.at[q->part].solid, &q->frame, -TOUCH_MM,
                          FAR_MM, TOUCH_MM);
        check_tongue(b, tenon, other, &t, &all);
    }
}

/* ---- Dados, rabbets, laps ---- */

/* Grooves are left out: a panel is meant to have room in them. */
static bool seats_a_piece(const Feature *f) {
    return f->kind == FEATURE_GROOVE && f->word && f->depth.real > 0
        && (f->side == SIDE_SHOW || f->side == SIDE_BACK)
        && (strcmp(f->word, "dado") == 0 || strcmp(f->word, "rabbet") == 0
            || strcmp(f->word, "lap") == 0);
}

/* Is the point of the bottom, in the part, in one of the copies? */
static bool on_bottom(const Part *part, const Feature *f, V3 at) {
    Box2   box = shape_box(f->shape);
    double z   = f->side == SIDE_BACK ? f->depth.real
               : part->thickness.real - f->depth.real;

    for (int i = 0; i < f->count; i++) {
        V2 by = feature_copy(f, i);
        if (fabs(at.z - z) < TOUCH_MM
            && at.x > box.min.x + by.x && at.x < box.max.x + by.x
            && at.y > box.min.y + by.y && at.y < box.max.y + by.y)
            return true;
    }
    return false;
}

/* The bottom of a cut looks at a face of the other piece that is in the
 * cut, but does not touch it. */
static void check_seat(Build *b, int cut, int other, const Feature *f,
                       const Abuts *all) {
    const Piece *p = &b->m->pieces.at[cut], *q = &b->m->pieces.at[other];
    const Part  *part = &b->m->parts.at[p->part];
    double       gap  = INFINITY;

    for (int i = 0; i < all->n; i++) {
        const Abut *a = &all->at[i];
        V3 at = v3_sub(v3_sub(a->at, v3_scale(a->normal, a->gap)),
                       p->frame.o);   // on the bottom
        if (a->area >= HAIR_AREA
            && on_bottom(part, f, v3(v3_dot(at, p->frame.x),
                                     v3_dot(at, p->frame.y),
                                     v3_dot(at, p->frame.z))))
            gap = fmin(gap, a->gap);
    }
    if (gap <= SEAT_MM || gap >= f->depth.real - TOUCH_MM)
        return;
    report(b->c, q->loc, JOINT_GAP,
           "'%.*s' stands %.*s off the bottom of the %s in '%.*s'",
           STR_ARG(q->name), STR_ARG(mm_text(b, gap)), f->word,
           STR_ARG(p->name));
    hint(b->c, "move it in, make it longer, or make the %s %.*s shallower",
         f->word, STR_ARG(mm_text(b, gap)));
}

/* Does the box of the other piece reach into one of the cuts? */
static bool reaches_in(const Piece *p, const Part *part, const Feature *f,
                       Box3 other) {
    Box2   box = shape_box(f->shape);
    double top = f->side == SIDE_BACK ? f->depth.real : part->thickness.real;

    for (int i = 0; i < f->count; i++) {
        V2   by  = feature_copy(f, i);
        Box3 cut = box3_empty();
        for (int k = 0; k < 8; k++)
            box3_add(&cut, frame_point(&p->frame,
                v3((k & 1 ? box.max.x : box.min.x) + by.x,
                   (k & 2 ? box.max.y : box.min.y) + by.y,
                   k & 4 ? top : top - f->depth.real)));
        if (box3_touch(cut, other, TOUCH_MM))
            return true;
    }
    return false;
}

static void check_seats_of(Build *b, Ctx *work, int cut, int other) {
    const Model *m = b->m;
    const Piece *p = &m->pieces.at[cut], *q = &m->pieces.at[other];
    const Part  *part = &m->parts.at[p->part];

    for (int i = 0; i < part->features.n; i++) {
        const Feature *f = &part->features.at[i];
        Abuts          all;
        if (!seats_a_piece(f) || !reaches_in(p, part, f, q->box))
            continue;
        all = solid_faces(work, m->parts.at[q->part].solid, &q->frame,
                          part->solid, &p->frame, -TOUCH_MM, f->depth.real,
                          TOUCH_MM);
        check_seat(b, cut, other, f, &all);
    }
}

void check_joint_gaps(Build *b) {
    Ctx work = ctx_scratch(b->c);

    for (int i = 0; i < b->m->contacts.n; i++) {
        int a = b->m->contacts.at[i].a, z = b->m->contacts.at[i].b;
        check_tenons_of(b, &work, a, z);
        check_tenons_of(b, &work, z, a);
        check_seats_of(b, &work, a, z);
        check_seats_of(b, &work, z, a);
        arena_reset(&work.arena);
    }
    ctx_free(&work);
}
