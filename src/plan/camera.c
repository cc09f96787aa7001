/* camera -- where the reader stands, and how much of the new pieces is
 * seen from there.
 *
 * Azimuth 37 degrees instead of 45: in an isometric view edges of square
 * work fall on one another (geometry-notes 1.6).
 */
#include "plan/view_internal.h"

#include <math.h>

#define AZIMUTH_DEG   37.0
#define ELEVATION_DEG 22.0
#define OTHERS_DEG    25.0
#define BELOW_DEG     (-25.0)
#define LINE_TELLS    0.6   // so much of a guide line shows the joint
#define LOST          0.08  // less of a lot: it might as well not be there

static const double pi = 3.14159265358979323846;

Camera camera_toward(V3 toward) {
    bool plumb = fabs(toward.x) < 1e-9 && fabs(toward.y) < 1e-9;

    return (Camera){ v3_unit(toward), plumb ? v3(0, 1, 0) : v3(0, 0, 1) };
}

/* Azimuth 0: from the front; growing: from the right. */
static Camera camera_at(double azimuth_deg, double elevation_deg) {
    double a = azimuth_deg * pi / 180, e = elevation_deg * pi / 180;

    return camera_toward(v3(sin(a) * cos(e), -cos(a) * cos(e), sin(e)));
}

Camera camera_home(void) {
    return camera_at(AZIMUTH_DEG, ELEVATION_DEG);
}

/* Two in each quarter, none near to an axis. */
int camera_others(Camera out[CAMERAS], bool from_below) {
    const double off[] = { AZIMUTH_DEG, 90 - AZIMUTH_DEG };
    int          n = 0;

    for (int below = 0; below <= (from_below ? 1 : 0); below++)
        for (int i = 0; i < 8; i++)
            out[n++] = camera_at(90 * (i / 2) + off[i % 2],
                                 below ? BELOW_DEG : OTHERS_DEG);
    return n;
}

/* Area of the body's faces that look at the reader, as projected. */
static double own_area(const Body *b, const Camera *cam) {
    double area = 0;

    for (int i = 0; i < b->solid->faces.n; i++) {
        const Face *f    = &b->solid->faces.at[i];
        double      near = v3_dot(frame_vector(&b->frame, f->plane.n),
                                  cam->toward);
        area += near > 0 ? near * f->area : 0;
    }
    return area;
}

/* The largest face of a body, whichever way it looks. */
static double largest_face(const Body *b) {
    double most = 0;

    for (int i = 0; i < b->solid->faces.n; i++)
        most = fmax(most, b->solid->faces.at[i].area);
    return most;
}

double lots_edge_on(Ctx *c, const Scene *s, const Body *bodies, int n,
                    const Camera *cam, double least) {
    double *own   = NEW_N(c, double, s->lots.n + 1);
    double *whole = NEW_N(c, double, s->lots.n + 1);
    int     thin  = 0;

    for (int i = 0; i < n; i++)
        if (bodies[i].fill) {
            own[s->owner[bodies[i].id]]   += own_area(&bodies[i], cam);
            whole[s->owner[bodies[i].id]] += largest_face(&bodies[i]);
        }
    for (int i = 0; i < s->lots.n; i++)
        thin += own[i] < least * whole[i];
    return s->lots.n ? (double)thin / s->lots.n : 0;
}

/* Adds to each lot's two areas: as projected, and what is seen of it. */
static void lot_areas(const Scene *s, const Body *bodies, int n,
                      const View *v, double *own, double *shown) {
    for (int i = 0; i < n; i++)
        if (bodies[i].fill)
            own[s->owner[bodies[i].id]] += own_area(&bodies[i], &v->camera);
    for (int i = 0; i < v->picture.patches.n; i++) {
        const Patch *p = &v->picture.patches.at[i];
        shown[s->owner[p->id]] += polygons_area(p->area);
    }
}

Seen view_seen(Ctx *c, const Scene *s, const Body *bodies, int n,
               const View *v, const double *joint) {
    double *own   = NEW_N(c, double, s->lots.n + 1);
    double *shown = NEW_N(c, double, s->lots.n + 1);
    double *best  = NEW_N(c, double, s->m->parts.n + 1);
    double *most  = NEW_N(c, double, s->m->parts.n + 1);
    Seen    seen  = { 1, 1, 0, 0 };

    lot_areas(s, bodies, n, v, own, shown);
    for (int i = 0; i < s->lots.n; i++) {
        const Lot *lot  = &s->lots.at[i];
        double     open = fmin(1, joint[i] / LINE_TELLS);
        double     share = own[i] > 0 ? fmin(1, shown[i] / own[i]) : 1;
        double     good  = lot->base || lot->rests ? share : (share + open) / 2;
        int part = s->m->pieces.at[lot->pieces.at[0]].part;
        seen.all   += good / s->lots.n;
        seen.lost  += share < LOST ? 1.0 / s->lots.n : 0;
        best[part]  = fmax(best[part], 1 + good);
        most[part]  = fmax(most[part], 1 + share);
    }
    for (int i = 0; i < s->m->parts.n; i++)
        if (best[i] > 0) {
            seen.joint = fmin(seen.joint, best[i] - 1);
            seen.piece = fmin(seen.piece, most[i] - 1);
        }
    return seen;
}
