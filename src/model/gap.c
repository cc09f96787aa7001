/* gap -- gaps that a joint should not have: faces a hair apart that were
 * surely meant to touch, and tenons that do not fill their mortise.
 */
#include "model/model_internal.h"

#include <math.h>

/* Common practice, no published source: nobody leaves less than half a
 * millimeter on purpose between faces that big, and a tenon is cut up to
 * 1/16 in short of the bottom, for glue; twice that is a mistake. */
#define HAIR_AREA   100.0   // mm^2
#define HAIR_SHARE  0.5     // of the smaller face
#define BOTTOM_MM   3.175
#define FAR_MM      25.4    // farther apart: not this tenon's bottom

/* ---- A hair apart ---- */

void check_hair(Build *b, int i, int j) {
    const Model *m = b->m;
    const Piece *p = &m->pieces.at[i], *q = &m->pieces.at[j];
    Abuts all = solid_faces(b->c, m->parts.at[p->part].solid, &p->frame,
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

static void check_tenons_of(Build *b, int tenon, int other) {
    const Model *m = b->m;
    const Piece *p = &m->pieces.at[tenon], *q = &m->pieces.at[other];
    const Part  *part = &m->parts.at[p->part];

    for (int i = 0; i < part->features.n; i++) {
        Tongue t;
        Abuts  all;
        if (!tongue_of(part, &part->features.at[i], &t))
            continue;
        all = solid_faces(b->c, part->solid, &p->frame,
                          m->parts.at[q->part].solid, &q->frame, -TOUCH_MM,
                          FAR_MM, TOUCH_MM);
        check_tongue(b, tenon, other, &t, &all);
    }
}

void check_tenons(Build *b) {
    for (int i = 0; i < b->m->contacts.n; i++) {
        check_tenons_of(b, b->m->contacts.at[i].a, b->m->contacts.at[i].b);
        check_tenons_of(b, b->m->contacts.at[i].b, b->m->contacts.at[i].a);
    }
}
