/* model_internal -- what the files of model/ share while a model is built.
 *
 * Parts and pieces are built when first asked for, because formulas may
 * refer to each other's sizes and places in any order. `state` finds the
 * ones that end up waiting for themselves.
 */
#ifndef MODEL_MODEL_INTERNAL_H
#define MODEL_MODEL_INTERNAL_H

#include "model/model.h"

#define SAGITTA_MM 0.02   // facets of curved surfaces stay this close
#define TOUCH_MM   0.05   // faces this close count as touching
#define OVERLAP_MM 0.05   // deeper than this is a mistake
#define HAIR_MM    0.5    // a gap this narrow is none on purpose

#define LONGEST_TEXT 3000   // characters of one text: a page full

typedef enum { STATE_NEW, STATE_ACTIVE, STATE_DONE } State;

/* A number that an entry works out, for formulas. */
typedef struct { const char *name; Quantity value; } Value;

typedef Group Ints;

/* name_index.c: what each name means, in the order it was given. */
typedef struct { Str name; Ints all; } Named;
typedef struct { LIST(Named) named; int *slots, n_slots; } NameIndex;
void names_add(Ctx *c, NameIndex *s, Str name, int what);
Ints names_find(const NameIndex *s, Str name);   // ascending as added

/* One entry of "pieces": a piece, or a row and its mirror image. */
typedef struct {
    const Node *node;
    Str   name;           // "as", or the part's name and letter
    Str   mirror_name;    // empty: not mirrored
    int   part;           // -1: unknown, reported
    State state;
    State measured;       // courses: exposure, tilt and so on
    bool  temporary;
    bool  fit;            // its place is to be fitted on the work
    LIST(Piece) made;
    LIST(Value) values;   // "slat.gap", "roof.exposure"
    struct Courses *courses;   // NULL: none
} Entry;

typedef struct {
    Ctx          *c;
    Model        *m;
    const Design *d;
    Sizes        *s;
    State        *part_state;
    const Node  **part_node;
    Entry        *entries;
    int           n_entries;
    bool          any_fit;   // something is to be fitted on the work
    NameIndex     entry_names;   // of entries and their mirror images
    NameIndex     piece_names;   // of pieces, their groups and sets
} Build;

/* stock.c */
void read_stocks(Build *b);
void read_hardware(Build *b);
void read_finishes(Build *b);
/* A length of an object that may be nothing, but not less; `standing`
 * where there is none or a wrong one, which is reported (stock.c). */
Quantity allowance_member(Build *b, const Node *object, const char *key,
                          Quantity standing);
double wood_density(Str wood);   // kg/m^3 at 12 % moisture, 0: unknown
int find_stock(const Model *m, Str key);
int find_hardware(const Model *m, Str key);
int find_finish(const Model *m, Str key);
/* The hint for a name that is none of `known`; `where` they are given. */
void hint_names(Build *b, Str wrong, const Str *known, int n,
                const char *where);

/* part.c */
void declare_parts(Build *b);         // letters and names, no sizes yet
void standing_thickness(Build *b);    // of parts that give none
bool part_ready(Build *b, int part, Loc at);
void read_parts(Build *b);            // all, in order

/* making.c */
void read_making(Build *b, Part *part, const Node *node);
void check_stacks(Build *b);

/* feature.c */
void read_features(Build *b, Part *part, const Node *node);
bool read_point(Build *b, const char *scope, const Node *object,
                const char *key, Quantity *x, Quantity *y);
/* A size of a cut, which must be more than nothing; NULL `standing`: it
 * must be there. `what` is the cut: "a dado". */
Quantity cut_size(Build *b, const char *scope, const Node *n,
                  const char *key, const char *what,
                  const Quantity *standing);
extern const char *const side_words[];   // ORDER SIDE, NULL ends them

/* outline.c: a list of corners, or a path of an SVG file. */
bool read_outline_of(Build *b, const char *scope, const Node *owner,
                     Shape *out);
Shape shape_counter_clockwise(Build *b, Shape s);

/* svg.c: the outline of a path in millimeters and the holes in it, its lower
 * left corner at the origin. NULL scale: that of the file. */
bool svg_outline(Build *b, const Node *file, const Node *id,
                 const Quantity *scale, Shape *out);

/* fit.c: what is worked out from something that is fitted on the work. */
void find_fits(Build *b);
bool name_is_fit(const Build *b, Str name);   // once find_fits is done
bool formula_is_fit(const Build *b, const Node *text, size_t from,
                    size_t to);

/* shorthand.c: cuts with a name of their own in the trade. */
typedef bool ReadCut(Build *b, const char *scope, const Node *n,
                     const Part *part, Feature *f);
ReadCut read_dado, read_rabbet, read_lap, read_tenon, read_mortise,
        read_slot, read_finger_joint;
typedef LIST(Feature) Features;
/* The cuts that leave a tenon; the first of them has its note. */
void tenon_cuts(Build *b, const Part *part, const Feature *f,
                Features *out);

/* slant.c */
ReadCut read_pocket;
bool read_lean(Build *b, const char *scope, const Node *n, Feature *f);
void drill_pocket(Build *b, const Part *part, const Feature *f,
                  Solid *solid, int *next_curve);
void drill_leaning(Build *b, const Part *part, const Feature *f,
                   Solid *solid, int *next_curve);
/* How a hole's axis runs in x and y for each mm of depth. */
V2   hole_lean(const Feature *f);

/* edging.c: what is done along whole edges. */
ReadCut read_scallops, read_dentils, read_waves, read_chamfer,
        read_round_over;
Shape edging_waste(Build *b, const Part *part, const Feature *f);

/* repeat.c */
bool read_repeat(Build *b, const char *scope, const Node *n, Feature *f);
/* Adds the feature and its mirror images. */
void add_mirrored(Build *b, const Node *n, const Part *part,
                  const Feature *f, Features *out);

/* arris.c: chamfers and edges rounded over, in the solid. */
/* Reports those along an outline that do not fit, and leaves them out. */
void check_arrises(Build *b, Part *part);
/* Those along an outline, while the part is blocks; and those along
 * straight edges. */
void lift_arrises(Build *b, const Part *part, Blocks *blocks, Solid *solid,
                  int *next_curve);
void cut_arrises(Build *b, const Part *part, Solid *solid, int *next_curve);

/* form.c */
/* The plane of a straight side of the blank, by Arris; and the outline in
 * the face at the height z when all cuts through are made. */
Plane side_plane(const Part *part, int arris);
Shape part_outline(Build *b, const Part *part, double z);
void form_part(Build *b, Part *part);   // solid, show face, back
void check_closed(Ctx *c, const Part *part, const Solid *solid);

/* piece.c */
void declare_pieces(Build *b);
void read_pieces(Build *b);
Quantity world_length(double mm);
bool side_of(Box3 box, Str side, Quantity *value);   // "top" of a box
/* "left wall.top" in two at its last dot; false: there is none. */
bool split_place(Str name, Str *owner, Str *side);
bool place_hook(Ctx *c, void *who, Str name, Loc at, Quantity *value);
/* Does the name mean the entry, one of its pieces or some of them? */
bool names_entry(const Entry *e, Str name);
/* The first entry that the name means, or NULL. */
Entry *entry_named(Build *b, Str name);
bool entry_ready(Build *b, Entry *e, Loc at);
void entry_value(Build *b, Entry *e, const char *name, Quantity value);
Quantity *entry_find(const Entry *e, Str name);   // NULL: no such value
/* The plane of a mirror image. */
typedef struct { V3 on, normal; } Mirror;
bool mirror_plane(Build *b, const Entry *e, Mirror *out);
/* Adds one piece; mirror NULL: as it stands. */
Piece *add_piece(Build *b, Entry *e, int part, Str name, Str group, Frame f,
                 const Mirror *mirror);

/* slats.c */
bool spread_slats(Build *b, Entry *e, Frame *f, int *count, V3 *step);

/* courses.c */
void declare_courses(Build *b, Entry *e);
bool measure_courses(Build *b, Entry *e, Loc at);
void build_courses(Build *b, Entry *e);
bool in_courses(const Piece *p, Str name);
bool courses_use(const Entry *e, int part);

/* temporary.c */
void add_temporary(Build *b, Step *step, const Node *n, int piece,
                   int index);
void read_removes(Build *b, const Node *node, Step *step, int index);
void read_withs(Build *b, const Node *node, Step *step, int index);
bool pieces_meet(const Model *m, int a, int b);
void check_temporary(Build *b);

/* step.c */
/* The pieces of one name: a piece, or all of its row. */
bool pieces_called(Build *b, const Node *n, Ints *out);
void read_steps(Build *b);
void unknown_hardware(Build *b, Loc loc, Str name);   // reports it

/* fix_roles.c */
/* What each piece is in the fixing that is looked at, so that one of
 * thousands of pieces is not searched for in its lists: the place, from 1
 * on, among those that are fixed and those they are fixed to; 0: none. */
typedef struct { const Fix *f; int *turn, *to; bool *through; } Roles;
Roles roles_new(Build *b);
void  roles_of(Roles *r, const Fix *f);
/* What of the fixing a piece touches, in the order it is named. */
Ints  roles_touched(Ctx *c, const Model *m, const Neighbors *near,
                    const Roles *r, int piece);
/* Of two pieces that touch. */
const Contact *contact_of(const Model *m, int p, int q);

/* fastener_size.c */
void size_fastener(Build *b, const Node *node, Hardware *h);
void read_placing(Build *b, const Node *node, Fix *fix);
/* Diameter of the shank of a trade size, mm; 0: not known. */
double fastener_shank(Drive drive, Str kind, Str gauge);
double penny_inches(Str gauge);   // length of "6d"; 0: no such size

/* fastener_place.c: `tree` has the boxes of all pieces. */
void place_fasteners(Build *b, const BoxTree *tree);
#define TIP_MM 3.175      // 1/8 in of wood stays before a tip
/* Wood wanted beside the axis, mm; its source: fastener_check.c. */
double wood_wanted(const Hardware *h);
/* The wood of a piece from a point of it on, along dir. */
bool wood_from(Build *b, int piece, V3 at, V3 dir, Stretch *out);
/* How far it reaches; 0: there is none. */
double reach_in(Build *b, int piece, V3 at, V3 dir);

/* Between the axes of two fasteners, as long as they are. */
double fasteners_apart(const Fastener *f, const Fastener *g);

/* fastener_check.c */
void check_fasteners(Build *b);
Str  fastener_words(Build *b, const Hardware *h);   // "a 1 1/4 in brad nail"
/* For messages, to 1/32 in or 1/10 mm: rounded up (1), down (-1), or to
 * the nearest (0). */
Str  rough_text(Build *b, double mm, int up);

/* movement.c */
void   read_seasons(Build *b);
void   check_movement(Build *b);
/* Area in the middle of a joint of two pieces, GLUED_MIDDLE_MM wide on the
 * axis on which they move against each other most, mm^2. */
double glued_middle(Build *b, int piece, int to);
/* Change in mm of a width across the grain when the moisture goes from one
 * percentage to another; 0: the wood is not known. */
double wood_moves(Str wood, bool tangential, double width, double from,
                  double to);
/* Moisture in percent that wood comes to in air of this humidity (a
 * fraction) and temperature (Celsius). */
double wood_moisture(double humidity, double celsius);

/* facts.c: the room that a copy of a cut into an edge takes in its part. */
Box3 edge_room(const Part *part, const Feature *f, int copy);

/* fragile.c */
void check_fragile(Build *b);
/* Tells of a weak section from a to z, unless one is told there already;
 * `cut` is the cut to blame, empty: none. */
void add_weak(Build *b, int part, Loc loc, WeakKind kind, Str cut, V2 a,
              V2 z, double width, double least);

/* between.c */
void check_between(Build *b, int part);

/* thin.c */
void check_thin(Build *b, int part);

/* slant.c: the bore of a pocket hole in its part, from the seat of the
 * screw's head back out of the face. */
void pocket_bore(const Part *part, const Feature *f, int copy, V3 *seat,
                 V3 *out);

/* say.c */
Str  size_text(Build *b, Quantity q);   // for messages: "3 3/4 in"
Str  mm_text(Build *b, double mm);      // the same, of a place in the world
Str  volume_text(Build *b, double mm3);   // "83.25 cubic in"
void due_text(Build *b, const Node *n, const char *what);   // WRONG_KIND
/* The text of a member that is printed as one line, or an empty Str. */
Str  read_label(Build *b, const Node *object, const char *key);
Say  read_say(Build *b, const Node *text, const Step *step);
void read_says(Build *b, const Node *owner, const char *key,
               const Step *step, void *list_of_say);
bool read_caution(Build *b, const Node *node, const Step *step,
                  Caution *out);

/* check.c */
void check_model(Build *b);

/* gap.c */
void check_hair(Build *b, Ctx *work, int i, int j);
void check_joint_gaps(Build *b);

/* way_in.c */
void check_order(Build *b);

/* order.c: steps for a design that gives none */
void find_order(Build *b);

/* long.c */
void check_long(Build *b, const Node *node);   // texts and keys, all through

/* unused.c */
void check_unused(Build *b);   // after the bills are counted

/* mass.c */
bool mass_agrees(const Solid *s);   // faces with cells

/* bill.c */
void count_bills(Build *b);

#endif
