/* draw_solids -- the project or a part as a body for other programs: STL
 * for a slicer or a mill, glTF for a picture on a page. Pieces stand as in
 * the finished project, without temporary ones; a part lies in its own
 * frame.
 */
#include "rodbook/draw.h"

typedef LIST(SolidBody) Bodies;

static Bodies bodies_of(Ctx *c, const Model *m, const Subject *s) {
    Bodies all = { 0 };

    if (s->kind == DRAW_PART) {
        const Part *p = &m->parts.at[s->index];
        *PUSH(c, &all) = (SolidBody){ p->solid, FRAME_WORLD,
                                      str_fmt(c, "%.*s %.*s",
                                              STR_ARG(p->letter),
                                              STR_ARG(p->name)) };
        return all;
    }
    for (int i = 0; i < m->pieces.n; i++) {
        const Piece *p = &m->pieces.at[i];
        if (!p->temporary)
            *PUSH(c, &all) = (SolidBody){ m->parts.at[p->part].solid,
                                          p->frame, p->name };
    }
    return all;
}

bool draw_stl(Ctx *c, const Job *job, const Options *opt, const Subject *s,
              Str *bytes) {
    Bodies all = bodies_of(c, job->model, s);

    (void)opt;
    *bytes = stl_of(c, all.at, all.n);
    return true;
}

bool draw_gltf(Ctx *c, const Job *job, const Options *opt, const Subject *s,
               Str *bytes) {
    Bodies all = bodies_of(c, job->model, s);

    (void)opt;
    *bytes = gltf_of(c, all.at, all.n, job->model->title);
    return true;
}
