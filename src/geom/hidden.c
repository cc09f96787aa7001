/* hidden -- a picture of bodies with the hidden lines removed.
 *
 * An edge is worth drawing if one of its faces looks at the reader; an edge
 * between two facets of one curved surface only if the surface turns away
 * there (a silhouette). What the faces in front leave of it is drawn.
 * Everything is exact up to rounding: no pixels, no sampling.
 *
 * Rivals: painting faces back to front leaves hidden lines in the file;
 * a z-buffer is only as fine as its pixels. See hidden_grid.c for how edges
 * are cut and hidden_ink.c for how the pieces become lines.
 */
#include "geom/hidden_internal.h"

#include <math.h>

#define POINT_LIKE 1e-6   // mm; an edge this short on paper is not drawn

typedef enum { FACE_NONE, FACE_BACK, FACE_FRONT } Facing;

/* ---- Pieces ---- */

/* What all pieces of one edge share. */
static Piece piece_of(const Draw *d, int body, int id, LineKind kind) {
    return (Piece){ .body = body, .id = id, .kind = kind,
                    .fill = body >= 0 && d->bodies[body].fill };
}

static void add_piece(Draw *d, Piece p, V3 a, V3 by, double from, double to,
                      bool hidden) {
    p.a      = v3_add(a, v3_scale(by, from));
    p.b      = to == 1 ? v3_add(a, by) : v3_add(a, v3_scale(by, to));
    p.hidden = hidden;
    p.look   = p.look && !hidden;
    *PUSH(&d->scratch, &d->pieces) = p;
}

/* Runs rightward, or upward if it is vertical. */
static bool is_turned(double dx, double dy, double len) {
    return fabs(dx) > 1e-7 * len ? dx < 0 : dy < 0;
}

/* The body of an edge, if it is convex: it hides nothing that looks at the
 * reader. */
static int own_of(const Draw *d, int body) {
    return body >= 0 && d->bodies[body].solid->convex ? body : -1;
}

/* Cuts an edge into visible and hidden pieces. `back`: all of it lies
 * behind its own body. */
static void cut_edge(Draw *d, Piece p, V3 a, V3 b, bool back) {
    double len = hypot(b.x - a.x, b.y - a.y), at = 0;
    bool   keep = d->with_hidden && p.body >= 0;
    V3     by;

    if (!v3_is_finite(a) || !v3_is_finite(b) || len < POINT_LIKE)
        return;
    if (is_turned(b.x - a.x, b.y - a.y, len)) {
        V3 swap = a;
        a = b;
        b = swap;
    }
    by      = v3_sub(b, a);
    p.along = v2(by.x / len, by.y / len);
    if (back) {
        add_piece(d, p, a, by, 0, 1, true);
        return;
    }
    grid_hide(d, a, b, own_of(d, p.body), &d->spans);
    for (int i = 0; i <= d->spans.n; i++) {
        double from = i < d->spans.n ? d->spans.at[i].from : 1;
        double to   = i < d->spans.n ? d->spans.at[i].to : 1;
        if ((from - at) * len > POINT_LIKE)
            add_piece(d, p, a, by, at, from, false);
        if (keep && (to - from) * len > POINT_LIKE)
            add_piece(d, p, a, by, from, to, true);
        at = to;
    }
}

/* ---- Edges ---- */

static Facing *facings(Draw *d, const Solid *s, const Frame *f) {
    Facing *facing = NEW_N(&d->scratch, Facing, s->faces.n + 1);

    for (int i = 0; i < s->faces.n; i++) {
        V3 n = frame_vector(f, s->faces.at[i].plane.n);
        facing[i] = n.z > EDGE_ON * v3_len(n) ? FACE_FRONT : FACE_BACK;
    }
    return facing;
}

static Facing facing_at(const Facing *facing, const Solid *s, int face) {
    return face >= 0 && face < s->faces.n ? facing[face] : FACE_NONE;
}

/* A ghost hides nothing, so what lies beside its edges cannot be looked
 * up: there its contour is outline, the rest crease. */
static void add_edge(Draw *d, int body, const Edge *e, const Frame *f,
                     const Facing *facing) {
    const Body *b     = &d->bodies[body];
    Facing      one   = facing_at(facing, b->solid, e->face[0]);
    Facing      other = facing_at(facing, b->solid, e->face[1]);
    bool        turns = (one == FACE_FRONT) != (other == FACE_FRONT);
    bool        back  = one != FACE_FRONT && other != FACE_FRONT;
    Piece       p;

    if (e->smooth ? !turns : back && !d->with_hidden)
        return;
    p = piece_of(d, body, b->id, e->smooth ? LINE_SILHOUETTE
                               : turns ? LINE_OUTLINE : LINE_CREASE);
    /* Beside a turning edge of a convex body there is nothing of it. */
    p.look = !e->smooth && !b->ghost && !(turns && b->solid->convex);
    cut_edge(d, p, frame_point(f, e->a), frame_point(f, e->b), back);
}

static void add_edges(Draw *d, int body) {
    const Solid  *s      = d->bodies[body].solid;
    Frame         f      = view_frame(&d->view, &d->bodies[body].frame);
    const Facing *facing = facings(d, s, &f);

    for (int i = 0; i < s->edges.n; i++)
        add_edge(d, body, &s->edges.at[i], &f, facing);
}

static void add_extra(Draw *d, const Extra *e) {
    Frame f = view_frame(&d->view, &FRAME_WORLD);
    Piece p = piece_of(d, -1, e->id, e->strong ? LINE_STROKE : LINE_EXTRA);

    p.fill = e->strong;   // its id goes first
    cut_edge(d, p, frame_point(&f, e->a), frame_point(&f, e->b), false);
}

/* ---- The picture ---- */

/* Makes room: about half of all faces look at the reader. */
static void reserve(Draw *d) {
    int faces = 8, corners = 8, edges = 8;

    for (int i = 0; i < d->n; i++) {
        const Solid *s = d->bodies[i].solid;
        for (int k = 0; s && k < s->skin.n; k++)
            corners += s->skin.at[k].corners;
        faces += s ? s->skin.n : 0;
        edges += s && !d->bodies[i].bare ? s->edges.n : 0;
    }
    RESERVE(&d->scratch, &d->grid.faces, faces / 2 + 8);
    RESERVE(&d->scratch, &d->grid.borders, corners / 2 + 8);
    RESERVE(&d->scratch, &d->grid.entries, faces * 3);
    RESERVE(&d->scratch, &d->pieces, edges / 2 + 8);
    RESERVE(&d->scratch, &d->spans, 64);
}

static void draw_all(Draw *d, const Extra *extras, int n_extras) {
    reserve(d);
    for (int i = 0; i < d->n; i++)
        if (d->bodies[i].solid && !d->bodies[i].ghost)
            grid_add(d, i);
    grid_build(d);
    for (int i = 0; i < d->n; i++)
        if (d->bodies[i].solid && !d->bodies[i].bare)
            add_edges(d, i);
    for (int i = 0; i < n_extras; i++)
        add_extra(d, &extras[i]);
    ink_lines(d);
    for (int i = 0; i < d->n; i++)
        if (d->bodies[i].solid && d->bodies[i].fill)
            patches_add(d, i);
}

/* Most of the memory is needed only while drawing: it comes from an arena
 * of its own. Should memory run out, that arena and GEOS are given back
 * first, and then the caller's guard is called. */
Picture picture_draw(Ctx *c, const Body *bodies, int n, const Extra *extras,
                     int n_extras, const Camera *cam, bool with_hidden) {
    Draw    *d     = NEW(c, Draw);
    jmp_buf *outer = c->arena.out_of_memory;
    jmp_buf  guard;

    d->c           = c;
    d->bodies      = bodies;
    d->n           = n;
    d->with_hidden = with_hidden;
    d->view        = view_of(cam);
    ctx_init(&d->scratch, c->files);
    ctx_init(&d->face, c->files);
    if (setjmp(guard)) {
        d->c->arena.out_of_memory = outer;
        patches_end(d);
        ctx_free(&d->scratch);
        ctx_free(&d->face);
        arena_take(&d->c->arena, SIZE_MAX);
    }
    c->arena.out_of_memory         = &guard;
    d->scratch.arena.out_of_memory = &guard;
    d->face.arena.out_of_memory    = &guard;
    draw_all(d, extras, n_extras);
    c->arena.out_of_memory = outer;
    patches_end(d);
    ctx_free(&d->scratch);
    ctx_free(&d->face);
    return d->picture;
}

/* ---- As text ---- */

static void dump_point(Buf *out, V2 p) {
    buf_char(out, ' ');
    buf_num(out, p.x, 3);
    buf_char(out, ',');
    buf_num(out, p.y, 3);
}

static void dump_patch(Buf *out, const Patch *p) {
    buf_add(out, "patch %d toward ", p->id);
    buf_num(out, p->toward, 4);
    buf_add(out, " area ");
    buf_num(out, polygons_area(p->area), 2);
    buf_char(out, '\n');
    for (int i = 0; i < p->area.parts.n; i++)
        for (int k = 0; k < p->area.parts.at[i].n; k++) {
            const Ring *ring = &p->area.parts.at[i].at[k];
            buf_add(out, k ? "  hole" : "  outline");
            for (int m = 0; m < ring->n; m++)
                dump_point(out, ring->at[m]);
            buf_char(out, '\n');
        }
}

void picture_dump(Buf *out, const Picture *p) {
    static const char *const name[] = {   // ORDER LINE
        "outline", "crease", "silhouette", "extra", "stroke"
    };

    buf_add(out, "picture");
    if (p->box.min.x <= p->box.max.x) {
        dump_point(out, p->box.min);
        dump_point(out, p->box.max);
    }
    buf_char(out, '\n');
    for (int i = 0; i < p->lines.n; i++) {
        const Line2 *l = &p->lines.at[i];
        buf_add(out, "%s%s %d", l->hidden ? "hidden " : "", name[l->kind],
                l->id);
        dump_point(out, l->a);
        dump_point(out, l->b);
        buf_char(out, '\n');
    }
    for (int i = 0; i < p->patches.n; i++)
        dump_patch(out, &p->patches.at[i]);
}
