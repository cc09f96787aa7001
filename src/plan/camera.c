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
void camera_others(Camera out[CAMERAS], bool from_below) {
    const double off[]        = { AZIMUTH_DEG, 90 - AZIMUTH_DEG };
    const double elevations[] = { 20, 28, from_below ? -25.0 : 35.0 };
    int          n = 0;

    for (int i = 0; i < 8; i++)
        for (int j = 0; j < 3; j++)
            out[n++] = camera_at(90 * (i / 2) + off[i % 2], elevations[j]);
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

Seen picture_seen(Ctx *c, const Model *m, const Body *bodies, int n,
                  const Camera *cam, const Picture *p) {
    double *own   = NEW_N(c, double, m->parts.n + 1);
    double *shown = NEW_N(c, double, m->parts.n + 1);
    double  all_own = 0, all_shown = 0;
    Seen    seen = { 1, 1 };

    for (int i = 0; i < n; i++)
        if (bodies[i].fill)
            own[m->pieces.at[bodies[i].id].part] += own_area(&bodies[i],
                                                             cam);
    for (int i = 0; i < p->patches.n; i++)
        shown[m->pieces.at[p->patches.at[i].id].part]
            += polygons_area(p->patches.at[i].area);
    for (int i = 0; i < m->parts.n; i++) {
        all_own += own[i];
        all_shown += shown[i];
        if (own[i] > 0)
            seen.least = fmin(seen.least, shown[i] / own[i]);
    }
    if (all_own > 0)
        seen.whole = fmin(1, all_shown / all_own);
    return seen;
}
