/* draw -- pictures of the plan on the page.
 *
 * Line widths say what a line is (look.md): outlines of new pieces 0.5,
 * everything thin 0.25, what was there before also gray. Lines of one pen
 * go out as one path, gray ones first, so that a strong outline is never
 * cut by a gray line.
 */
#include "press/press_internal.h"

#include <math.h>

/* ---- Hull ---- */

static int by_x_then_y(const void *a, const void *b, const void *with) {
    const V2 *p = a, *q = b;

    (void)with;
    if (p->x != q->x)
        return p->x < q->x ? -1 : 1;
    return (p->y > q->y) - (p->y < q->y);
}

static bool turns_left(V2 a, V2 b, V2 c) {
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x) > 1e-9;
}

/* Appends one chain of the hull, walking points[from] by `step`. */
static void hull_chain(Ctx *c, Points *hull, const V2 *v, int n, int from,
                       int step) {
    int least = hull->n + 1;

    for (int i = 0, k = from; i < n; i++, k += step) {
        while (hull->n > least
               && !turns_left(hull->at[hull->n - 2], hull->at[hull->n - 1],
                              v[k]))
            hull->n--;
        *PUSH(c, hull) = v[k];
    }
    hull->n--;   // the last is the first of the other chain
}

/* A box inside of the hull: between the corners that reach farthest along
 * both diagonals. (Akl & Toussaint 1978, from memory.) */
static Box2 sure_inside(const V2 *v, int n) {
    V2 sw = v[0], ne = v[0], se = v[0], nw = v[0];

    for (int i = 1; i < n; i++) {
        double sum = v[i].x + v[i].y, off = v[i].x - v[i].y;
        sw = sum < sw.x + sw.y ? v[i] : sw;
        ne = sum > ne.x + ne.y ? v[i] : ne;
        se = off > se.x - se.y ? v[i] : se;
        nw = off < nw.x - nw.y ? v[i] : nw;
    }
    return box2(fmax(sw.x, nw.x), fmax(sw.y, se.y), fmin(ne.x, se.x),
                fmin(ne.y, nw.y));
}

/* Andrew's monotone chain (1979), without what lies inside anyway;
 * counter-clockwise where y is up. */
Points points_hull(Ctx *c, const V2 *v, int all) {
    Points hull = { 0 };
    V2    *copy = NEW_N(c, V2, all + 1);
    Box2   in   = all > 0 ? sure_inside(v, all) : box2_empty();
    int    n    = 0;

    for (int i = 0; i < all; i++)
        if (!(v[i].x > in.min.x && v[i].x < in.max.x
              && v[i].y > in.min.y && v[i].y < in.max.y))
            copy[n++] = v[i];
    list_sort(c, copy, n, sizeof *copy, by_x_then_y, NULL);
    if (n > 0) {
        hull_chain(c, &hull, copy, n, 0, 1);
        hull_chain(c, &hull, copy, n, n - 1, -1);
    }
    if (n > 0 && hull.n == 0)
        *PUSH(c, &hull) = copy[0];
    if (hull.n == 2 && by_x_then_y(&hull.at[0], &hull.at[1], NULL) == 0)
        hull.n = 1;
    return hull;
}

/* Page points of the ends of the picture's lines, in pairs. */
static Points line_ends(Ctx *c, const Picture *picture, const Place *pl) {
    Points all = { 0 };

    for (int i = 0; i < picture->lines.n; i++) {
        *PUSH(c, &all) = place_point(pl, picture->lines.at[i].a);
        *PUSH(c, &all) = place_point(pl, picture->lines.at[i].b);
    }
    return all;
}

/* ---- Pictures ---- */

static bool is_fresh(PictureLook look, int id) {
    for (int i = 0; i < look.n_fresh; i++)
        if (look.fresh[i] == id)
            return true;
    return false;
}

/* Light from above and the left: tops stay white, fronts are pale, what
 * looks to the right is darker. */
static Ink shade_of(V3 normal) {
    double light = -0.45 * normal.x - 0.15 * normal.y + 0.88 * normal.z;

    return light > 0.6 ? INK_WHITE : light > 0.05 ? INK_PALE : INK_SHADE;
}

static void draw_patches(Press *p, const Picture *picture, const Place *pl,
                         PictureLook look) {
    for (int i = 0; i < picture->patches.n; i++) {
        const Patch *patch = &picture->patches.at[i];
        Ink fill = look.shaded ? shade_of(patch->normal)
                 : is_fresh(look, patch->id) ? INK_TINT : INK_NONE;
        if (fill != INK_NONE)
            draw_polygons(p, patch->area, pl, PEN_NONE, fill);
    }
}

/* The classes of lines, in the order they are drawn. */
enum { CLASS_HIDDEN, CLASS_EARLIER, CLASS_CREASE, CLASS_SMALL,
       CLASS_SILHOUETTE, CLASS_OUTLINE, CLASS_EXTRA, CLASSES,
       CLASS_STROKE };

static int class_of(const Line2 *line, PictureLook look) {
    if (line->kind == LINE_EXTRA)
        return CLASS_EXTRA;
    if (line->kind == LINE_STROKE)
        return CLASS_STROKE;   // driven.c draws these
    if (line->hidden)
        return CLASS_HIDDEN;
    if (look.n_fresh && !is_fresh(look, line->id))
        return CLASS_EARLIER;
    return line->kind == LINE_CREASE ? CLASS_CREASE
         : line->kind == LINE_SILHOUETTE ? CLASS_SILHOUETTE : CLASS_OUTLINE;
}

static Pen class_pen(int class, bool thin) {
    static const Pen silhouette = { INK_BLACK, 0.35, DASH_SOLID };
    const Pen pens[CLASSES] = {
        PEN_HIDDEN, PEN_EARLIER, PEN_THIN, PEN_THIN, silhouette,
        PEN_OUTLINE, PEN_GUIDE
    };

    if (thin && class != CLASS_EXTRA && class != CLASS_HIDDEN)
        return class == CLASS_CREASE ? PEN_FINE : PEN_THIN;
    return pens[class];
}

/* The picture with lines only where they have room. */
static Picture sparse_picture(Press *p, const Picture *picture,
                              const Place *pl, PictureLook look) {
    Picture sparse  = *picture;
    bool   *earlier = NEW_N(p->c, bool, picture->lines.n + 1);
    Line2s  kept;

    for (int i = 0; i < picture->lines.n; i++)
        earlier[i] = class_of(&picture->lines.at[i], look) == CLASS_EARLIER;
    kept = lines_sparse(p, picture, pl, earlier);
    sparse.lines.at = kept.at;
    sparse.lines.n  = kept.n;
    return sparse;
}

/* Outlines of small pieces are thinner. */
static void narrow_outlines(Press *p, const Picture *picture,
                            const Place *pl, int *class) {
    double *width;
    int     ids = 1;

    for (int i = 0; i < picture->patches.n; i++)
        if (picture->patches.at[i].id >= ids)
            ids = picture->patches.at[i].id + 1;
    width = outline_widths(p, picture, pl, ids);
    for (int i = 0; i < picture->lines.n; i++) {
        int    id   = picture->lines.at[i].id;
        double wide = id < ids ? width[id] : 0.5;
        if (class[i] == CLASS_OUTLINE && wide < 0.5)
            class[i] = wide < 0.35 ? CLASS_SMALL : CLASS_SILHOUETTE;
    }
}

static void draw_class(Press *p, const Picture *picture, const Place *pl,
                       const int *class_of_line, int class, bool thin) {
    Loop loop = { 0 };

    for (int i = 0; i < picture->lines.n; i++) {
        const Line2 *line = &picture->lines.at[i];
        if (class_of_line[i] == class)
            *PUSH(p->c, &loop) = (Seg){ .kind = SEG_LINE, .a = line->a,
                                        .b = line->b };
    }
    draw_strokes(p, loop.at, loop.n, pl, class_pen(class, thin));
}

void picture_draw_at(Press *p, const Picture *picture, const Place *pl,
                     PictureLook look) {
    Picture shown = *picture;
    int    *class;

    if (p->dry)
        return;
    if (look.sparse)
        shown = sparse_picture(p, picture, pl, look);
    class = NEW_N(p->c, int, shown.lines.n + 1);
    for (int i = 0; i < shown.lines.n; i++)
        class[i] = class_of(&shown.lines.at[i], look);
    if (look.sparse)
        narrow_outlines(p, &shown, pl, class);
    draw_patches(p, &shown, pl, look);
    for (int k = 0; k < CLASSES; k++)
        draw_class(p, &shown, pl, class, k, look.thin);
}

/* ---- Views with letters ---- */

/* Never by more than a third, so that small frames keep some room. */
static Box2 inset(Box2 box, double x, double y) {
    x = fmin(x, (box.max.x - box.min.x) / 3);
    y = fmin(y, (box.max.y - box.min.y) / 3);
    return box2(box.min.x + x, box.min.y + y, box.max.x - x,
                box.max.y - y);
}

/* The letters of the anchors that are seen. */
static Letter *letters_of(Press *p, const View *view, const Place *pl,
                          int *n) {
    Letter *letters = NEW_N(p->c, Letter, view->anchors.n + 1);

    *n = 0;
    for (int i = 0; i < view->anchors.n; i++) {
        const Anchor *anchor = &view->anchors.at[i];
        if (anchor->seen)
            letters[(*n)++] = (Letter){
                .anchor = place_point(pl, anchor->at),
                .part = anchor->part, .count = anchor->count
            };
    }
    return letters;
}

/* Letters put around the view's picture at a place. */
typedef struct {
    Place   place;
    Letter *letters;
    int     n;
    double  leaders;   // their length in all, in the picture's measure
    bool    good;      // in the frame, without crossings
} Lettered;

/* Where a picture lies as large as it is, its corner in that of the page. */
static Place unit_place(const View *view) {
    return (Place){ view->picture.box.min, { 0, 0 }, 1, false };
}

/* `hull`: of the lines at that place. */
static Lettered lettered_in(Press *p, const View *view, const Points *hull,
                            LetterFaces faces, Box2 frame, Box2 room) {
    Lettered l = { .place = place_fit(view->picture.box, room, 1, false) };
    Points   ends  = line_ends(p->c, &view->picture, &l.place);
    Points   outer = { 0 };
    V2       corner = place_point(&l.place, view->picture.box.min);

    for (int i = 0; i < hull->n; i++)
        *PUSH(p->c, &outer) = v2_add(corner, v2_scale(hull->at[i],
                                                      l.place.scale));
    faces.place = &l.place;
    l.letters = letters_of(p, view, &l.place, &l.n);
    l.good = letters_around(p->c, &outer, ends.at, ends.n, &faces, frame,
                            l.letters, l.n);
    for (int i = 0; i < l.n; i++)
        l.leaders += hypot(l.letters[i].at.x - l.letters[i].anchor.x,
                           l.letters[i].at.y - l.letters[i].anchor.y);
    return l;
}

#define TRIES     5
#define LONGER 1.25   // leaders of a larger drawing may be, for its scale

/* A drawing that leaves the whole ring free always has its letters well
 * placed. Most pictures are no rectangles: the largest drawing is taken
 * whose letters still find places in the corners that stay free. */
static Lettered largest_lettered(Press *p, const View *view,
                                 const Points *hull, LetterFaces faces,
                                 Box2 frame) {
    double   side = RING + LETTER_D / 2;
    Lettered best = lettered_in(p, view, hull, faces, frame,
                                inset(frame, side + 6, side + 3));
    double   allowed = best.leaders / best.place.scale * LONGER;

    for (int k = TRIES - 1; k > 0; k--) {
        double   keep = 1 - (double)k / (TRIES - 1);
        Lettered next = lettered_in(p, view, hull, faces, frame,
                                    inset(frame, 1 + (side + 5) * keep,
                                          1 + (side + 2) * keep));
        if (next.good && next.leaders / next.place.scale <= allowed)
            return next;
    }
    return best;
}

/* A frame with room on the side to which the detail is nearer. */
static Box2 frame_beside(const View *view, const Place *pl, Box2 frame,
                         double aside) {
    double x = place_point(pl, view->detail_at).x;

    if (2 * x > frame.min.x + frame.max.x && !view->close)
        frame.max.x -= aside;
    else
        frame.min.x += aside;
    return frame;
}

/* Letters, and a disc for the view's detail: where the largest drawing
 * leaves no room for that, beside a smaller one. */
static Lettered lettered_with(Press *p, const View *view, Box2 frame,
                              Disc *disc) {
    static const double asides[] = { 0, 15, 30, 50 };   // mm
    Place    unit  = unit_place(view);
    Points   ends  = line_ends(p->c, &view->picture, &unit);
    Points   hull  = points_hull(p->c, ends.at, ends.n);
    LetterFaces faces = letter_faces(p->c, p->m, &view->picture);
    Lettered whole = largest_lettered(p, view, &hull, faces, frame);
    Lettered l     = whole;

    for (int i = 0; i < COUNT(asides) && view->detail; i++) {
        if (i > 0)
            l = largest_lettered(p, view, &hull, faces,
                                 frame_beside(view, &whole.place, frame,
                                              asides[i]));
        if (detail_place(p, view, &l.place, frame, l.letters, l.n, disc))
            return l;
    }
    disc->times = 0;
    return whole;
}

Place view_draw(Press *p, const View *view, Box2 frame, PictureLook look,
                bool lettered) {
    Lettered l;
    Disc     disc;

    if (!lettered || p->dry) {
        Place pl = place_fit(view->picture.box, inset(frame, 0.25, 0.25), 1,
                             false);
        picture_draw_at(p, &view->picture, &pl, look);
        driven_draw(p, view, &pl);
        return pl;
    }
    l = lettered_with(p, view, frame, &disc);
    picture_draw_at(p, &view->picture, &l.place, look);
    driven_draw(p, view, &l.place);
    if (disc.times)
        detail_draw(p, view, &l.place, &disc);
    letters_draw(p, l.letters, l.n);
    return l.place;
}
