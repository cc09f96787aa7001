/* design_text -- designs as C strings, for tests of the model and plan.
 *
 *     const Model *m = model_of(c, "'parts': {...}, 'pieces': [...]");
 *
 * Single quotes stand for double ones, so lengths in feet are written "ft".
 */
#ifndef TESTS_UNIT_DESIGN_TEXT_H
#define TESTS_UNIT_DESIGN_TEXT_H

#include "unit/test.h"

#include "plan/plan.h"

#define INCH 25.4
#define DEG  (3.14159265358979323846 / 180)
#define PI_  3.14159265358979323846

/* A wide board 3/4 in thick, sold by 8 ft. */
#define BOARD                                                             \
    "'stock': {'board': {'form': 'board', 'thickness': '3/4in',"          \
    " 'width': '11 1/4in', 'wood': 'white oak',"                          \
    " 'sold': [{'length': '8ft'}]}}"

/* The design's title and version are added. NULL: errors are in c. */
static inline const Model *try_model(Ctx *c, const char *members) {
    char *text = str_z(c, str_fmt(c, "{'rodbook': 1, 'title': 'T', %s}",
                                  members));
    const Design *d;

    for (char *s = text; *s; s++) {
        if (*s == '\'')
            *s = '"';
    }
    d = design_parse(c, source_add(c, "test.json", str_from(c, text)));
    return d ? model_build(c, d, sizes_new(c)) : NULL;
}

static inline const Model *model_of(Ctx *c, const char *members) {
    const Model *m = try_model(c, members);

    if (!m || c->errors) {
        Str said = diags_text(c);
        fail_msg("%.*s", STR_ARG(said));
    }
    return m;
}

/* A board 10 x 4 x 3/4 in with further members, placed once. */
static inline const Model *model_with(Ctx *c, const char *more) {
    return model_of(c, str_z(c, str_fmt(c, BOARD ","
        "'parts': {'A': {'name': 'Plank', 'from': 'board',"
        " 'length': '10in', 'width': '4in'%s%s}},"
        "'pieces': [{'part': 'A', 'at': ['0in', '0in', '0in']}]",
        *more ? ", " : "", more)));
}

static inline const Part *part_with(Ctx *c, const char *more) {
    return &model_with(c, more)->parts.at[0];
}

static inline const Part *part_called(const Model *m, const char *letter) {
    int i = model_find_part(m, (Str){ letter, strlen(letter) });

    if (i < 0)
        fail_msg("there is no part %s", letter);
    return &m->parts.at[i];
}

static inline const Piece *piece_called(const Model *m, const char *name) {
    int i = model_find_piece(m, (Str){ name, strlen(name) });

    if (i < 0)
        fail_msg("there is no piece '%s'", name);
    return &m->pieces.at[i];
}

/* The value of a name among the sizes, as it is shown. */
static inline Quantity size_value(Ctx *c, const Model *m, const char *name) {
    return sizes_value(c, m->sizes, (Str){ name, strlen(name) }, (Loc){ 0 });
}

static inline Str shown(Ctx *c, Quantity q) {
    Buf out = BUF(c);

    quantity_show(&out, q);
    return buf_done(&out);
}

/* Area of the faces that look along n and lie at n . p = d. */
static inline double face_area(const Solid *s, V3 n, double d) {
    double sum = 0;

    for (int i = 0; i < s->faces.n; i++) {
        const Face *f = &s->faces.at[i];
        if (v3_dot(f->plane.n, n) > 1 - 1e-9 && fabs(f->plane.d - d) < 1e-6)
            sum += f->area;
    }
    return sum;
}

static inline double surface_area(const Solid *s) {
    double sum = 0;

    for (int i = 0; i < s->faces.n; i++)
        sum += s->faces.at[i].area;
    return sum;
}

/* Boards that are bought in all. */
static inline int boards_bought(const Workplan *p) {
    int n = 0;

    for (int i = 0; i < p->buys.n; i++)
        n += p->buys.at[i].count;
    return n;
}

static inline const Workplan *cuts_of(Ctx *c, const Model *m) {
    Workplan *p = NEW(c, Workplan);

    if (!plan_cuts(c, m, p)) {
        Str said = diags_text(c);
        fail_msg("%.*s", STR_ARG(said));
    }
    return p;
}

#endif
