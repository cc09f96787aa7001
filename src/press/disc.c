/* disc -- the larger drawing of a small joint, beside a step's drawing.
 *
 *                  .-----.
 *      ______     |  |_   |     a circle around the joint, a line, and the
 *     |   o--|----|  |    |     disc in a place that is free
 *     |______|     '-----'
 *               3 times as large
 *
 * Free places are found on a map of the frame in squares of 1 mm: what has
 * ink to its left and right, above and below belongs to the drawing too.
 * Each square's distance from all that is taken follows in two passes
 * (chamfer distances: Borgefors 1986, from memory).
 */
#include "press/press_internal.h"

#include <math.h>

#define CLEAR_MM   2.5   // around the disc
#define CAPTION    4.5   // below or above it
#define CAPTION_W  14.0  // half of its width
#define RING_LEAST 2.5   // radius of the circle in the drawing
#define LEAST_TIMES 3    // as large: less tells no more than the drawing
#define STRIDE     2.0   // from one place tried to the next
#define EQUAL      0.5   // mm^2: places as near as another
#define FAR_MOST   80.0  // from the joint to the disc's middle
#define ENDLESS    (1 << 20)
#define NEAR_UNIT  3     // of chamfer distances: one square aside

typedef struct {
    Box2  frame;
    int   w, h;
    bool *ink;
    int  *far;   // to the nearest square that is taken, in NEAR_UNIT; with a
                 // rim of one square
} Room;

/* ---- The map ---- */

static void take(Room *r, V2 at) {
    int x = (int)floor(at.x - r->frame.min.x);
    int y = (int)floor(at.y - r->frame.min.y);

    if (x >= 0 && y >= 0 && x < r->w && y < r->h)
        r->ink[y * r->w + x] = true;
}

static void take_line(Room *r, V2 a, V2 b) {
    int n = 1 + (int)(v2_len(v2_sub(b, a)) * 2);

    for (int i = 0; i <= n; i++)
        take(r, v2_add(a, v2_scale(v2_sub(b, a), (double)i / n)));
}

static void take_box(Room *r, Box2 b) {
    for (double y = b.min.y; y <= b.max.y; y += 0.5)
        take_line(r, v2(b.min.x, y), v2(b.max.x, y));
}

/* What lies between ink on all four sides is the inside of the drawing. */
static void take_inside(Press *p, Room *r) {
    bool *open = NEW_N(p->c, bool, r->w * r->h);

    for (int y = 0; y < r->h; y++) {
        int from = 0, to = r->w - 1;
        for (; from < r->w && !r->ink[y * r->w + from]; from++)
            open[y * r->w + from] = true;
        for (; to >= 0 && !r->ink[y * r->w + to]; to--)
            open[y * r->w + to] = true;
    }
    for (int x = 0; x < r->w; x++) {
        int from = 0, to = r->h - 1;
        for (; from < r->h && !r->ink[from * r->w + x]; from++)
            open[from * r->w + x] = true;
        for (; to >= 0 && !r->ink[to * r->w + x]; to--)
            open[to * r->w + x] = true;
    }
    for (int i = 0; i < r->w * r->h; i++)
        r->ink[i] |= !open[i];
}

/* Lowers each square of a row by the four neighbors that come before it:
 * `step` 1 as read, -1 the other way. The rim stays. */
static void spread(int *far, int w, int first, int last, int step) {
    const int *across = far - step * w;
    int        least  = ENDLESS;   // of the square before it

    for (int i = first; i != last + step; i += step) {
        int here = far[i], beside = across[i] + NEAR_UNIT;
        int slant = across[i - 1] < across[i + 1] ? across[i - 1]
                                                  : across[i + 1];
        least += NEAR_UNIT;
        slant += NEAR_UNIT + 1;
        least  = beside < least ? beside : least;
        least  = slant < least ? slant : least;
        least  = here < least ? here : least;
        far[i] = least;
    }
}

static void measure_room(Press *p, Room *r) {
    int w = r->w + 2, n = w * (r->h + 2);

    r->far = NEW_N(p->c, int, n);
    for (int i = 0; i < n; i++)
        r->far[i] = ENDLESS;
    for (int y = 0; y < r->h; y++)
        for (int x = 0; x < r->w; x++)
            if (r->ink[y * r->w + x])
                r->far[(y + 1) * w + x + 1] = 0;
    for (int y = 1; y <= r->h; y++)
        spread(r->far, w, y * w + 1, y * w + r->w, 1);
    for (int y = r->h; y >= 1; y--)
        spread(r->far, w, y * w + r->w, y * w + 1, -1);
}

static void take_letters(Room *r, const Letter *letters, int n) {
    double half = LETTER_D / 2, count = 5;

    for (int i = 0; i < n; i++) {
        V2  at = letters[i].at, out = letters[i].out;
        Box2 box = box2(at.x - half, at.y - half, at.x + half, at.y + half);
        take_line(r, at, letters[i].anchor);
        if (letters[i].count > 1) {
            box2_add(&box, v2(at.x + out.x * (half + count),
                              at.y + out.y * (half + count)));
        }
        take_box(r, box);
    }
}

static Room room_of(Press *p, const View *view, const Place *pl, Box2 frame,
                    const Letter *letters, int n) {
    Room r = { .frame = frame, .w = (int)(frame.max.x - frame.min.x),
               .h = (int)(frame.max.y - frame.min.y) };

    r.ink = NEW_N(p->c, bool, r.w * r.h);
    for (int i = 0; i < view->picture.lines.n; i++)
        take_line(&r, place_point(pl, view->picture.lines.at[i].a),
                  place_point(pl, view->picture.lines.at[i].b));
    for (int i = 0; i < view->driven.n; i++)
        take_line(&r, place_point(pl, camera_project(&view->camera,
                          view->driven.at[i].head, NULL)),
                  place_point(pl, camera_project(&view->camera,
                          view->driven.at[i].tip, NULL)));
    take_inside(p, &r);
    take_letters(&r, letters, n);
    if (view->close)
        take_box(&r, box2(frame.max.x - INSET_W, frame.min.y, frame.max.x,
                          frame.min.y + INSET_H));
    measure_room(p, &r);
    return r;
}

/* ---- A free place ---- */

static inline double room_at(const Room *r, V2 at) {
    double from_x = at.x - r->frame.min.x, from_y = at.y - r->frame.min.y;
    int    x = (int)from_x, y = (int)from_y;

    return from_x < 0 || from_y < 0 || x >= r->w || y >= r->h
         ? 0 : (double)r->far[(y + 1) * (r->w + 2) + x + 1] / NEAR_UNIT;
}

/* The caption stands on the side of the disc that the line does not come
 * from: -1 above, 1 below. */
static int caption_side(V2 near, V2 mid) {
    return near.y > mid.y ? -1 : 1;
}

static bool is_free(const Room *r, V2 at, V2 near, double radius) {
    double low = at.y + caption_side(near, at) * (radius + CAPTION / 2);

    return room_at(r, at) >= radius + CLEAR_MM
        && room_at(r, v2(at.x, low)) >= CAPTION / 2
        && room_at(r, v2(at.x - CAPTION_W, low)) >= CAPTION / 2
        && room_at(r, v2(at.x + CAPTION_W, low)) >= CAPTION / 2;
}

/* Does the line to the disc run over a letter? */
static bool runs_over(V2 from, V2 to, const Letter *letters, int n) {
    V2     by  = v2_sub(to, from);
    double len = v2_dot(by, by);

    for (int i = 0; i < n && len > 0; i++) {
        double k = v2_dot(v2_sub(letters[i].at, from), by) / len;
        V2     q = v2_add(from, v2_scale(by, k < 0 ? 0 : k > 1 ? 1 : k));
        if (v2_len(v2_sub(letters[i].at, q)) < LETTER_D / 2 + 1)
            return true;
    }
    return false;
}

/* The free place nearest to the joint. */
static bool find_place(const Room *r, V2 near, double radius,
                       const Letter *letters, int n, V2 *mid) {
    double best = FAR_MOST * FAR_MOST, aside = fmax(radius, CAPTION_W);
    bool   found = false;

    for (double y = r->frame.min.y + radius + 0.5;
         y <= r->frame.max.y - radius; y += STRIDE) {
        double dy = y - near.y;
        for (double x = r->frame.min.x + aside + 0.5;
             dy * dy < best && x <= r->frame.max.x - aside;
             x += STRIDE) {
            double dx = x - near.x, far = dx * dx + dy * dy;
            V2     at = { x, y };
            if (far < best - EQUAL && is_free(r, at, near, radius)
                && !runs_over(near, at, letters, n)) {
                best  = far;
                found = true;
                *mid  = at;
            }
        }
    }
    return found;
}

bool detail_place(Press *p, const View *view, const Place *pl, Box2 frame,
                  const Letter *letters, int n, Disc *disc) {
    Room r    = room_of(p, view, pl, frame, letters, n);
    V2   near = place_point(pl, view->detail_at);

    for (int k = 0; k < 2; k++) {
        disc->times  = view->detail_times - k;
        disc->radius = view->detail_radius * pl->scale * disc->times;
        if (disc->times >= LEAST_TIMES
            && find_place(&r, near, disc->radius, letters, n, &disc->mid))
            return true;
    }
    return false;
}

/* ---- Drawing ---- */

void detail_draw(Press *p, const View *view, const Place *pl,
                 const Disc *disc) {
    const View *d    = view->detail;
    PictureLook look = { .fresh = d->fresh.at, .n_fresh = d->fresh.n,
                         .sparse = true };
    V2     at   = place_point(pl, view->detail_at);
    V2     by   = v2_sub(disc->mid, at);
    double far  = v2_len(by);
    double ring = fmax(RING_LEAST, view->detail_radius * pl->scale);
    Place  in   = place_fit(d->picture.box,
                            box2(disc->mid.x - disc->radius,
                                 disc->mid.y - disc->radius,
                                 disc->mid.x + disc->radius,
                                 disc->mid.y + disc->radius), 1e3, false);
    Para   words = { 0 };

    draw_circle(p, at, ring, PEN_THIN, INK_NONE);
    if (far > ring + disc->radius)
        draw_line(p, v2_add(at, v2_scale(by, ring / far)),
                  v2_add(at, v2_scale(by, 1 - disc->radius / far)),
                  PEN_FINE);
    draw_circle(p, disc->mid, disc->radius, PEN_NONE, INK_WHITE);
    picture_draw_at(p, &d->picture, &in, look);
    driven_draw(p, d, &in);
    draw_circle(p, disc->mid, disc->radius, PEN_THIN, INK_NONE);
    say_count(p, &words, disc->times, "scale of the detail");
    say(p, &words, " times as large");
    para_at(p, &words,
            v2(disc->mid.x, caption_side(at, disc->mid) > 0
                            ? disc->mid.y + disc->radius + 4
                            : disc->mid.y - disc->radius - 1.8),
            ALIGN_CENTER, STYLE_NOTE);
}
