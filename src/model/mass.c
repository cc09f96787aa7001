/* mass -- volume, weight, surface and center of mass of parts, pieces and
 * the whole project.
 *
 * The volume is summed over the faces (the divergence theorem: a third of
 * each area times its plane's distance from the origin), where the solid's
 * own was summed over its cells; part_mass tells where the two disagree.
 * Curved surfaces are facets within SAGITTA_MM, so a round hole of radius
 * r takes too little by its circumference times 2/3 of that at most.
 */
#include "model/model_internal.h"

#include <math.h>

Mass part_mass(const Model *m, const Part *part) {
    const Solid *s    = part->solid;
    Mass         mass = { .center = s->centroid };

    for (int i = 0; i < s->faces.n; i++) {
        const Face *f = &s->faces.at[i];
        mass.volume  += f->plane.d * f->area / 3;
        mass.surface += f->area;
        mass.side[side_of_face(f)] += f->area;
    }
    if (part->stock >= 0)
        mass.weight = mass.volume * 1e-6 * m->stocks.at[part->stock].density;
    return mass;
}

bool mass_agrees(const Solid *s) {
    double by_faces = 0;

    for (int i = 0; i < s->faces.n; i++)
        by_faces += s->faces.at[i].plane.d * s->faces.at[i].area / 3;
    return fabs(by_faces - s->volume) <= 1e-6 * s->volume + 1e-3;
}

Mass piece_mass(const Model *m, const Piece *p) {
    Mass mass = part_mass(m, &m->parts.at[p->part]);

    mass.center = frame_point(&p->frame, mass.center);
    return mass;
}

Mass project_mass(const Model *m) {
    Mass   all   = { 0 };
    V3     sum   = { 0, 0, 0 }, plain = { 0, 0, 0 };
    bool   known = true;

    for (int i = 0; i < m->pieces.n; i++) {
        Mass one;
        if (m->pieces.at[i].temporary)
            continue;
        one = piece_mass(m, &m->pieces.at[i]);
        all.volume  += one.volume;
        all.surface += one.surface;
        all.weight  += one.weight;
        known        = known && one.weight > 0;
        sum   = v3_add(sum, v3_scale(one.center, one.weight));
        plain = v3_add(plain, v3_scale(one.center, one.volume));
    }
    if (!known)
        all.weight = 0;
    if (all.volume > 0)
        all.center = known ? v3_scale(sum, 1 / all.weight)
                           : v3_scale(plain, 1 / all.volume);
    return all;
}
