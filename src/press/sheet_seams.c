/* sheet_seams -- how the pieces of one pattern are joined: sheets, or pieces
 * of a strip that lie side by side on a sheet.
 *
 * Where two windows overlap, both pieces show the same two marks: a cross
 * in a circle and, not opposite to it, a cross in a diamond, with a number
 * that is used once in a booklet. A piece laid on the wrong one, or turned,
 * meets other numbers or the other kind of mark. Crosses stand where the
 * outline is far, so that none of it is hidden by them, and not where two
 * strips cross and a mark of another seam stands.
 */
#include "press/sheet_internal.h"

#include <math.h>

#define MARK_R      2.0    // of the circle, mm
#define MARK_REACH  4.0    // half a cross
#define MARK_STEP   2.0
#define MARK_SPACE  8.0    // between two marks and their numbers
#define NUMBER_ROOM 2.2    // around the middle of a number
#define NUMBER_FROM 1.6    // its line, from its mark's middle
#define NUMBER_TO   6.0
#define NUMBER_UP   2.8
#define SHORT_SEAM 40.0    // has no words on its line
#define FAR_SEAM  100.0    // marks of longer ones are far enough apart
#define MARK_ROOM   3.0    // from a mark's middle to the outline
#define SEAM_WORDS  7.5    // from it to its words
#define WORDS_L    20.0    // of a seam's words, about
#define WORDS_ROOM  2.0    // around their middle line
#define WORDS_ZONE  5.0    // that labels leave them, beside the strip
#define NAME_ROOM   1.8    // on a map, from a name's middle line to others
#define NAME_LEAST  1.2    // less: there is no room
#define NAME_TRIES  16     // places for it, each way

/* ---- Pieces ---- */

/* A window of the pattern, in its coordinates. */
typedef struct { const OnSheet *on; int sheet; Box2 window; } Piece2;
typedef LIST(Piece2) Pieces;

bool sheet_is_piece(const Press *p, const OnSheet *on) {
    const Pattern *t = &p->plan->patterns.at[on->pattern];

    return t->columns * t->rows > 1;
}

bool sheet_is_strip(const Press *p, const OnSheet *on) {
    return sheet_is_piece(p, on)
        && (on->window.max.x - on->window.min.x < p->plan->sheet_w - 0.5
            || on->window.max.y - on->window.min.y < p->plan->sheet_h - 0.5);
}

static int by_place(const void *pa, const void *pb, const void *with) {
    const OnSheet *a = ((const Piece2 *)pa)->on, *b = ((const Piece2 *)pb)->on;

    (void)with;
    return a->row != b->row ? a->row - b->row : a->column - b->column;
}

/* The pieces of a pattern, row by row. */
static Pieces pieces_of(Press *p, int pattern) {
    Pieces all = { 0 };

    for (int i = 0; i < p->plan->sheets.n; i++) {
        const Sheet *s = &p->plan->sheets.at[i];
        for (int k = 0; k < s->on.n; k++) {
            const OnSheet *on = &s->on.at[k];
            if (on->pattern != pattern || !sheet_is_piece(p, on))
                continue;
            *PUSH(p->c, &all) = (Piece2){ on, i,
                { v2_sub(on->window.min, on->at),
                  v2_sub(on->window.max, on->at) } };
        }
    }
    list_sort(p->c, all.at, all.n, sizeof *all.at, by_place, NULL);
    return all;
}

/* Where two windows overlap so much that a seam is there. */
static bool shared_strip(Box2 a, Box2 b, Box2 *strip) {
    double w, h;

    *strip = box2(fmax(a.min.x, b.min.x), fmax(a.min.y, b.min.y),
                  fmin(a.max.x, b.max.x), fmin(a.max.y, b.max.y));
    w = strip->max.x - strip->min.x;
    h = strip->max.y - strip->min.y;
    if (w < SHEET_OVERLAP * 0.9 || h < SHEET_OVERLAP * 0.9)
        return false;   // apart
    return fmax(w, h) > 1.5 * SHEET_OVERLAP;   // no corner
}

double rings_clearance(const Rings *rings, V2 v) {
    double nearest = 15;

    for (int i = 0; i < rings->n; i++) {
        const Ring *r = &rings->at[i];
        for (int k = 0; k < r->n; k++) {
            V2     a = r->at[k], way = v2_sub(r->at[(k + 1) % r->n], a);
            double len = v2_dot(way, way);
            double t = len > 0 ? v2_dot(v2_sub(v, a), way) / len : 0;
            V2     foot = v2_add(a, v2_scale(way, fmax(0, fmin(1, t))));
            nearest = fmin(nearest, v2_len(v2_sub(v, foot)));
        }
    }
    return nearest;
}

/* A mark in the pattern's coordinates, which two pieces show. */
typedef struct { V2 at; int number, piece[2]; bool diamond; } Cross;
typedef LIST(Cross) Crosses;

/* The same, and from marks that stand already. */
static double room_at(const Rings *rings, const Crosses *marks, V2 v) {
    double room = rings_clearance(rings, v);

    for (int i = 0; i < marks->n; i++)
        room = fmin(room, v2_len(v2_sub(v, marks->at[i].at)) - MARK_SPACE);
    return room;
}

/* The clearest point on a stretch of a strip's middle line, from share f0
 * to f1 of it; the strip in the pattern's coordinates. */
static V2 clearest(const Rings *rings, const Crosses *marks, Box2 strip,
                   double f0, double f1) {
    bool   level = strip.max.x - strip.min.x > strip.max.y - strip.min.y;
    V2     a = level ? v2(strip.min.x + MARK_REACH, 0)
                     : v2(0, strip.min.y + MARK_REACH);
    double len = (level ? strip.max.x - strip.min.x
                        : strip.max.y - strip.min.y) - 2 * MARK_REACH;
    double best = -INFINITY;
    V2     found = a;

    if (level)
        a.y = (strip.min.y + strip.max.y) / 2;
    else
        a.x = (strip.min.x + strip.max.x) / 2;
    for (double d = f0 * len; d <= f1 * len + 1e-9; d += MARK_STEP) {
        V2     v = level ? v2(a.x + d, a.y) : v2(a.x, a.y + d);
        double clear = room_at(rings, marks, v);
        if (clear > best + 1e-9) {
            best  = clear;
            found = v;
        }
    }
    return found;
}

static void cross(Press *p, V2 at, int number, bool diamond, bool left) {
    Para   para = { 0 };
    double by   = left ? -1.6 : 1.6;
    V2   tip[4] = { { at.x, at.y - MARK_R }, { at.x + MARK_R, at.y },
                    { at.x, at.y + MARK_R }, { at.x - MARK_R, at.y } };

    if (diamond)
        draw_polyline(p, tip, 4, true, PEN_FINE, INK_NONE);
    else
        draw_circle(p, at, MARK_R, PEN_FINE, INK_NONE);
    draw_line(p, v2(at.x - MARK_REACH, at.y), v2(at.x + MARK_REACH, at.y),
              PEN_FINE);
    draw_line(p, v2(at.x, at.y - MARK_REACH), v2(at.x, at.y + MARK_REACH),
              PEN_FINE);
    say_count(p, &para, number, "number of a register cross");
    para_at(p, &para, v2(at.x + by, at.y - 1.8),
            left ? ALIGN_RIGHT : ALIGN_LEFT, STYLE_NOTE_BOLD);
}

/* A mark's number stands at its right, unless the outline runs there. */
static bool number_left(const Rings *rings, V2 at) {
    double right = rings_clearance(rings, v2(at.x + 3.4, at.y + 2.8));

    return right < NUMBER_ROOM
        && rings_clearance(rings, v2(at.x - 3.4, at.y + 2.8)) > right;
}

/* Least clearance along words so long. */
static double room_for(const Rings *rings, V2 at, V2 way, double length) {
    double room = 15;

    for (int i = -6; i <= 6; i++)
        room = fmin(room, rings_clearance(rings, v2_add(at, v2_scale(way,
                                               i * length / 12))));
    return room;
}

/* Where on a strip's middle line the words stand: between its marks, where
 * the outline is far. */
static V2 words_place(const Rings *rings, Box2 strip, bool level) {
    V2     m = v2_scale(v2_add(strip.min, strip.max), 0.5), best = m;
    double len = level ? strip.max.x - strip.min.x
                       : strip.max.y - strip.min.y;
    double clear = -1;

    for (int i = 0; i <= 8; i++) {
        double by   = (i % 2 ? 0.015 : -0.015) * (i + i % 2) * len;
        V2     at   = level ? v2(m.x + by, m.y) : v2(m.x, m.y + by);
        double room = room_for(rings, at, level ? v2(1, 0) : v2(0, 1),
                               WORDS_L);
        if (room > clear + 1e-9) {
            clear = room;
            best  = at;
        }
    }
    return best;
}

/* A short seam's marks leave no room between them: its words stand beside
 * it in the piece, across or, in a narrow one, along. `inside`: unit, from
 * the seam into the piece. */
static void short_words(Press *p, const Rings *rings, Box2 strip, V2 inside,
                        V2 at, const Para *words) {
    double w    = para_width(p, words, STYLE_NOTE);
    V2     m    = v2_scale(v2_add(strip.min, strip.max), 0.5);
    V2     side = v2(-inside.y, inside.x), best = m, way = side;
    double room = -1;

    for (int i = 0; i < 8; i++) {
        V2     along = i % 2 ? inside : side;
        double far   = SEAM_WORDS + i / 2 * 2 + (i % 2 ? w / 2 - 2 : 0);
        V2     v     = v2_add(m, v2_scale(inside, far));
        double clear = fmin(room_for(rings, v, along, w), WORDS_ROOM);
        if (clear <= room + 1e-9)
            continue;
        room = clear;
        best = v;
        way  = along;
    }
    best = sheet_point(p, v2_add(best, at));
    if (fabs(way.x) > 0.5)
        para_at(p, words, v2(best.x, best.y + 1), ALIGN_CENTER, STYLE_NOTE);
    else
        para_at_turned(p, words, v2(best.x + 1, best.y), ALIGN_CENTER,
                       STYLE_NOTE);
}

/* The line along which one of the two pieces is cut: the middle of the
 * strip (of the pattern, which lies at `at`). */
static void seam_line(Press *p, const Rings *rings, Box2 strip, V2 inside,
                      V2 at, Str other) {
    double w = strip.max.x - strip.min.x, h = strip.max.y - strip.min.y;
    V2     m = v2_scale(v2_add(strip.min, strip.max), 0.5);
    V2     words = v2_add(at, words_place(rings, strip, w > h));
    V2     a = w > h ? v2(strip.min.x, m.y) : v2(m.x, strip.min.y);
    V2     b = w > h ? v2(strip.max.x, m.y) : v2(m.x, strip.max.y);
    Para   to = { 0 };

    say(p, &to, "joins ");
    say_author(p, &to, other, STR("name of the sheet"));
    draw_line(p, sheet_point(p, v2_add(a, at)),
              sheet_point(p, v2_add(b, at)), PEN_HIDDEN);
    if (fmax(w, h) <= SHORT_SEAM)
        short_words(p, rings, strip, inside, at, &to);
    else if (w > h)
        para_at(p, &to, sheet_point(p, v2(words.x, words.y + 1.2)),
                ALIGN_CENTER, STYLE_NOTE);
    else
        para_at_turned(p, &to, sheet_point(p, v2(words.x - 1.2, words.y)),
                       ALIGN_CENTER, STYLE_NOTE);
}

/* On a short seam: as far out as the outline leaves it room. */
static V2 farthest(const Rings *rings, const Crosses *marks, Box2 strip,
                   bool first) {
    for (double by = 0; by < 0.4; by += 0.02) {
        double f = first ? by : 1 - by;
        V2     v = clearest(rings, marks, strip, f, f);
        if (room_at(rings, marks, v) >= MARK_ROOM)
            return v;
    }
    return first ? clearest(rings, marks, strip, 0.02, 0.3)
                 : clearest(rings, marks, strip, 0.64, 0.92);
}

/* Chooses the marks of the strip between two pieces. */
static void add_marks(Press *p, const Rings *rings, Box2 strip,
                      const int piece[2], int number, Crosses *marks) {
    double len = fmax(strip.max.x - strip.min.x, strip.max.y - strip.min.y);
    bool   one = len < SEAM_LEAST - 0.1, near_ = len < FAR_SEAM;

    for (int k = 0; k < (one ? 1 : 2); k++) {
        V2 at = one ? clearest(rings, marks, strip, 0, 1)
              : near_ ? farthest(rings, marks, strip, k == 0)
              : k == 0 ? clearest(rings, marks, strip, 0.02, 0.3)
                       : clearest(rings, marks, strip, 0.64, 0.92);
        *PUSH(p->c, marks) = (Cross){ at, number + k,
                                     { piece[0], piece[1] }, k == 1 };
    }
}

/* All marks of a pattern, numbered from `number` over its pairs of pieces,
 * in order; returns the next number. */
static int all_marks(Press *p, const Rings *rings, const Pieces *all,
                     int number, Crosses *marks) {
    Box2 strip;

    for (int i = 0; i < all->n; i++) {
        for (int k = i + 1; k < all->n; k++) {
            if (!shared_strip(all->at[i].window, all->at[k].window, &strip))
                continue;
            add_marks(p, rings, strip, (int[]){ i, k }, number, marks);
            number += 2;
        }
    }
    return number;
}

/* What marks keep clear of: the outline, and a rod's marks with their
 * figures. */
static Rings obstacles(Press *p, const Pattern *pat) {
    Rings rings = shape_rings(p->c, pat->shape, 0.2);

    for (int i = 0; i < pat->marks.n; i++) {
        double x = pat->marks.at[i].real;
        Ring  *r = PUSH(p->c, &rings);
        *PUSH(p->c, r) = pattern_point(pat, v2(x, 0));
        *PUSH(p->c, r) = pattern_point(pat, v2(x, ROD_HEIGHT));
    }
    return rings;
}

/* From a strip into a window that it is an end of. */
static V2 into(Box2 window, Box2 strip) {
    V2 way = v2_sub(v2_add(window.min, window.max),
                    v2_add(strip.min, strip.max));

    if (strip.max.x - strip.min.x > strip.max.y - strip.min.y)
        return v2(0, way.y < 0 ? -1 : 1);
    return v2(way.x < 0 ? -1 : 1, 0);
}

static void add_line(Press *p, Rings *rings, V2 a, V2 b) {
    Ring *r = PUSH(p->c, rings);

    *PUSH(p->c, r) = a;
    *PUSH(p->c, r) = b;
}

static bool has_cross(const Cross *m, int piece) {
    return m->piece[0] == piece || m->piece[1] == piece;
}

/* What a piece's words keep clear of: also its marks and their numbers. */
static Rings with_crosses(Press *p, const Rings *rings,
                          const Crosses *crosses, int self) {
    Rings all = { 0 };

    for (int i = 0; i < rings->n; i++)
        *PUSH(p->c, &all) = rings->at[i];
    for (int i = 0; i < crosses->n; i++) {
        const Cross *m    = &crosses->at[i];
        double       side = number_left(rings, m->at) ? -1 : 1;
        if (!has_cross(m, self))
            continue;
        add_line(p, &all, v2(m->at.x - MARK_REACH, m->at.y),
                 v2(m->at.x + MARK_REACH, m->at.y));
        add_line(p, &all, v2(m->at.x, m->at.y - MARK_REACH),
                 v2(m->at.x, m->at.y + MARK_REACH));
        add_line(p, &all, v2_add(m->at, v2(side * NUMBER_FROM, NUMBER_UP)),
                 v2_add(m->at, v2(side * NUMBER_TO, NUMBER_UP)));
    }
    return all;
}

/* The seams and marks of one piece. */
static void piece_seams(Press *p, const Pieces *all, int self,
                        const Rings *rings, const Crosses *crosses) {
    const Piece2 *me = &all->at[self];
    Rings         busy = with_crosses(p, rings, crosses, self);
    Box2          strip;

    for (int i = 0; i < all->n; i++) {
        if (i != self
            && shared_strip(me->window, all->at[i].window, &strip))
            seam_line(p, &busy, strip, into(me->window, strip), me->on->at,
                      all->at[i].on->name);
    }
    for (int i = 0; i < crosses->n; i++) {
        const Cross *m = &crosses->at[i];
        if (has_cross(m, self))
            cross(p, sheet_point(p, v2_add(m->at, me->on->at)), m->number,
                  m->diamond, number_left(rings, m->at));
    }
}

/* The first number of a pattern's marks. */
static int first_number(Press *p, int pattern) {
    int  number = 1;
    Box2 strip;

    for (int t = 0; t < pattern; t++) {
        Pieces all = pieces_of(p, t);
        for (int i = 0; i < all.n; i++) {
            for (int k = i + 1; k < all.n; k++)
                number += 2 * shared_strip(all.at[i].window,
                                           all.at[k].window, &strip);
        }
    }
    return number;
}

/* Each piece works out all marks of its pattern, so that two show the
 * same. */
void sheet_seams(Press *p, int sheet) {
    int n = p->plan->patterns.n;

    for (int t = 0; t < n; t++) {
        const Pattern *pat = &p->plan->patterns.at[t];
        Pieces         all = pieces_of(p, t);
        Crosses        crosses = { 0 };
        Rings          rings;
        bool           any = false;
        for (int i = 0; i < all.n; i++)
            any |= all.at[i].sheet == sheet;
        if (!any)
            continue;
        rings = obstacles(p, pat);
        all_marks(p, &rings, &all, first_number(p, t), &crosses);
        for (int i = 0; i < all.n; i++) {
            if (all.at[i].sheet == sheet)
                piece_seams(p, &all, i, &rings, &crosses);
        }
    }
}

Shape sheet_middle(Press *p, const OnSheet *on) {
    Pieces all = pieces_of(p, on->pattern);
    Box2   own = { v2_sub(on->window.min, on->at),
                   v2_sub(on->window.max, on->at) };
    Shape  s   = shape_rect(p->c, v2_add(on->window.min, v2(3, 3)),
                            v2_sub(on->window.max, v2(3, 3)));

    for (int i = 0; i < all.n; i++) {
        Box2 strip;
        if (all.at[i].on == on
            || !shared_strip(own, all.at[i].window, &strip))
            continue;
        if (sheet_is_strip(p, on)) {
            V2 zone = v2_scale(into(own, strip), WORDS_ZONE);
            box2_add(&strip, v2_add(strip.min, zone));
            box2_add(&strip, v2_add(strip.max, zone));
        }
        s = shape_subtract(p->c, s, shape_rect(p->c,
                v2_add(strip.min, on->at), v2_add(strip.max, on->at)));
    }
    return s;
}

/* ---- The map ---- */

static Box2 map_window(const Place *pl, Box2 window) {
    V2 low = place_point(pl, window.min), high = place_point(pl, window.max);

    return box2(low.x, high.y, high.x, low.y);
}

/* Beside a narrow window, or below a low one; outside of the `map`, where a
 * window at its left has its name at the left. */
static void name_outside(Press *p, Box2 map, Box2 w, const Para *name) {
    double y = (w.min.y + w.max.y) / 2 + 1;

    if (w.max.y - w.min.y < 6)
        para_at(p, name, v2((w.min.x + w.max.x) / 2, w.max.y + 4),
                ALIGN_CENTER, STYLE_NOTE_BOLD);
    else if (w.min.x < map.min.x + 0.1 && w.max.x < map.max.x - 0.1)
        para_at(p, name, v2(w.min.x - 1.5, y), ALIGN_RIGHT,
                STYLE_NOTE_BOLD);
    else
        para_at(p, name, v2(w.max.x + 1.5, y), ALIGN_LEFT,
                STYLE_NOTE_BOLD);
}

/* In the window, clear of all lines: near its lower left corner, or where
 * there is most room; without room, outside of it. All on the page. */
static void map_name(Press *p, const Rings *lines, Box2 map, Box2 w,
                     const Para *name) {
    double wide = para_width(p, name, STYLE_NOTE_BOLD), best = NAME_LEAST;
    double left = w.min.x + wide / 2 + NAME_ROOM, low = w.max.y - NAME_ROOM;
    V2     step = v2((w.max.x - w.min.x - wide - 2 * NAME_ROOM)
                         / (NAME_TRIES - 1),
                     (w.max.y - w.min.y - 2 * NAME_ROOM)
                         / (NAME_TRIES - 1)), to = { 0 };

    for (int i = 0; i < NAME_TRIES * NAME_TRIES && best < NAME_ROOM; i++) {
        V2 at = v2(left + fmax(0, step.x) * (i % NAME_TRIES),
                   low - fmax(0, step.y) * (i / NAME_TRIES));
        double room = room_for(lines, at, v2(1, 0), wide);
        if (at.x > w.max.x || room <= best + 1e-9)
            continue;
        best = room;
        to   = at;
    }
    if (best > NAME_LEAST)
        para_at(p, name, v2(to.x, to.y + 1.1), ALIGN_CENTER,
                STYLE_NOTE_BOLD);
    else
        name_outside(p, map, w, name);
}

/* The pattern's outline, and the edges of all windows, on the page. */
static Rings map_lines(Press *p, Shape shape, const Pieces *all,
                       const Place *pl) {
    Rings lines = shape_rings(p->c, shape, 0.5);

    for (int i = 0; i < all->n; i++) {
        Box2  w = all->at[i].window;
        Ring *r = PUSH(p->c, &lines);
        *PUSH(p->c, r) = w.min;
        *PUSH(p->c, r) = v2(w.max.x, w.min.y);
        *PUSH(p->c, r) = w.max;
        *PUSH(p->c, r) = v2(w.min.x, w.max.y);
    }
    for (int i = 0; i < lines.n; i++) {
        for (int k = 0; k < lines.at[i].n; k++)
            lines.at[i].at[k] = place_point(pl, lines.at[i].at[k]);
    }
    return lines;
}

void sheet_map(Press *p, int pattern, int sheet, Box2 frame, bool names) {
    const Pattern *pat = &p->plan->patterns.at[pattern];
    Pieces         all = pieces_of(p, pattern);
    Box2           box = shape_box(pat->shape);
    Rings          lines;
    Place          pl;

    for (int i = 0; i < all.n; i++) {
        box2_add(&box, all.at[i].window.min);
        box2_add(&box, all.at[i].window.max);
    }
    pl    = place_fit(box, frame, 1, false);
    lines = map_lines(p, pat->shape, &all, &pl);
    for (int i = 0; i < all.n; i++) {
        if (all.at[i].sheet == sheet)
            draw_rect(p, map_window(&pl, all.at[i].window), PEN_NONE,
                      INK_SHADE);
    }
    draw_shape(p, pat->shape, &pl, PEN_THIN, INK_NONE);
    for (int i = 0; i < all.n; i++) {
        Box2 w    = map_window(&pl, all.at[i].window);
        Para name = { 0 };
        draw_rect(p, w, PEN_FINE, INK_NONE);
        if (!names)
            continue;
        say_author_bold(p, &name, all.at[i].on->name,
                        STR("name of the sheet"));
        map_name(p, &lines, map_window(&pl, box), w, &name);
    }
}
