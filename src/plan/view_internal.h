/* view_internal -- what the files that draw views share: lots.c says which
 * new pieces move as one (alike.c: which are not drawn, as the same is made
 * twice), way.c finds how they come in, explode.c how far apart they are
 * drawn, guide.c the lines to where they land, camera.c where the reader
 * stands, drive.c which nails and screws are seen, anchor.c where the
 * letters point, detail.c a small joint drawn larger, view.c puts it all
 * together. */
#ifndef PLAN_VIEW_INTERNAL_H
#define PLAN_VIEW_INTERNAL_H

#include "plan/plan.h"

/* New pieces of one part that stand alike: they move as one. */
typedef struct {
    LIST(int) pieces;   // in the order they are added
    int  layer;         // how many others of this step lie under it
    V3   side;          // from which it is held to other parts, or zero
    bool base;          // stays: nothing was there before it, or stuck
    bool out;           // not there yet (or taken out, while searching)
    bool rests;         // drawn in its place: the same is seen better elsewhere
    V3   dir;           // unit, toward where it comes from
    V3   off;           // drawn this far from its place
} Lot;

#define PIECE_THERE (-1)   // owner of a piece from an earlier step
#define PIECE_AWAY  (-2)   // owner of a piece that is not shown

/* One step: what is there, what is new. */
typedef struct {
    const Model *m;
    const Step  *step;
    V3     toward;        // the reader
    double size;          // diagonal of all that is there or new
    int   *owner;         // of each piece: its lot, or PIECE_...
    LIST(Contact) contacts;   // those of new pieces
    V3    *apart;         // of each of these: normal from b into a, or zero
    LIST(Lot)   lots;
    bool   courses;       // a part has lots in several layers
    int    copies;        // the step makes so many of what is drawn
    LIST(int)   order;    // lots in order of going in, without bases
} Scene;

/* Puts the step's new pieces into lots. */
void lots_make(Ctx *c, Scene *s);
/* Every piece of lot `k` but the first becomes a lot of its own. */
void lot_split(Ctx *c, Scene *s, int k);
/* If nothing is there yet and the new pieces are the same thing several
 * times, takes all but one of these out of `fresh`; how many, or 1. */
int bunches_alike(Ctx *c, const Scene *s, bool *fresh);

/* The pieces of step `k`, in lots, bases marked. */
Scene scene_new(Ctx *c, const Model *m, int k, V3 toward);
/* Finds each lot's way in and the order. */
void scene_order(Ctx *c, Scene *s);
/* Sets each lot's displacement. */
void scene_spread(Ctx *c, Scene *s);

/* A line from where a piece lands to where it is drawn; several places
 * for the same joint, its middle first. */
typedef struct { V3 a, b; int piece, lot, joint; } Guide;
typedef LIST(Guide) Guides;
typedef LIST(Extra) Extras;
typedef LIST(Body)  Bodies;
Guides scene_guides(Ctx *c, Scene *s);
void guides_add(Ctx *c, const Model *m, const Guides *g, Extras *extras);
/* Keeps the line of each joint that is seen best in the picture. By lot:
 * the greatest share that is seen of any of its lines. */
void guides_keep(Ctx *c, const Model *m, const Guides *g, View *v,
                 double *lot_seen);

/* Adds the step's fasteners to what is drawn; `drawn`: by piece. */
void scene_driven(Ctx *c, const Scene *s, const bool *drawn, V3 toward,
                  Extras *extras, View *v);
/* Leaves out those that are hidden in the picture. */
void view_driven(Ctx *c, const Model *m, View *v);

/* True if the piece is where it belongs already, as the search or the
 * drawing has got so far. */
bool scene_standing(const Scene *s, int piece);
/* For contact `i`: if one of its pieces is in lot `k` and the other one
 * stands, *mine and *other get them. */
bool scene_contact(const Scene *s, int i, int k, int *mine, int *other);
/* A standing piece that stops lot `k` from moving along `dir`, or -1.
 * `of`: only pieces with this owner are looked at, or one of these. */
#define OF_ALL   (-3)
#define OF_THERE PIECE_THERE   // and bases
#define OF_NEW   (-4)          // new pieces, bases too
int  scene_blocker(Ctx *c, const Scene *s, int k, V3 dir, int of);
/* How far lot `k` must move along `dir` to be clear of what holds it: what
 * it is let into or pushed between, not what it only slides along. */
double scene_enclosed(const Scene *s, int k, V3 dir);
/* Least and greatest of dot(dir, p) over the piece at rest. */
void piece_span(const Model *m, int piece, V3 dir, double *lo, double *hi);

Camera camera_home(void);
Camera camera_toward(V3 toward);
#define CAMERAS 16
/* Places to try if the usual one shows too little; how many. */
int camera_others(Camera out[CAMERAS], bool from_below);

/* How much the reader sees, 0..1. A lot is seen as far as nothing is before
 * it, and half of that counts for its joints: `joint`, by lot, is the share
 * of its guide lines that is seen. */
typedef struct {
    double piece;   // of the part that is seen least, by its best lot
    double joint;   // the same, pieces and joints
    double all;     // mean of all lots, pieces and joints
    double lost;    // share of the lots of which nothing is seen to speak of
} Seen;
/* The share of the lots, 0..1, of which the reader would see less than
 * `least` of their largest faces (as projected, with what is seen of the
 * others): slivers that nobody takes for a board. */
double lots_edge_on(Ctx *c, const Scene *s, const Body *bodies, int n,
                    const Camera *cam, double least);
Seen view_seen(Ctx *c, const Scene *s, const Body *bodies, int n,
               const View *v, const double *joint);

/* Adds a larger drawing of the step's smallest joint, where that is small
 * on the page. */
void view_detail(Ctx *c, Scene *s, View *v);

/* An anchor for each part that has new pieces in the view. */
void view_anchors(Ctx *c, const Model *m, const Scene *s, View *v);

#endif
