/* step_pages -- assembly, a step a page: number and title, the pieces of
 * this step, the exploded drawing, the fasteners at full size, the words. */
#include "press/sections.h"

#include <math.h>

#define DOWEL_MOST 2.8   // radius that its row has room for, mm
#define STRIP_H       18.0
#define DRAWING_LEAST 60.0   // mm: a page whose words leave less is refused,
                             // counted as if it told of a turn, so that this
                             // can be said before there is a view

/* ---- The turn ---- */

#define TURN_LEAST 20.0   // degrees: less is not told

#define TURN_W     48.0   // with its words, right of the title

static bool is_told(const View *view) {
    return fabs(view->turned) >= TURN_LEAST || view->below;
}

/* An arrow along an arc of an ellipse, degrees from its right end. */
static void arc_arrow(Press *p, V2 mid, double rx, double ry, double from,
                      double to) {
    V2 v[13];

    for (int i = 0; i < 13; i++) {
        double a = (from + (to - from) * i / 12) * 3.14159265358979323846
                 / 180;
        v[i] = v2(mid.x + rx * cos(a), mid.y + ry * sin(a));
    }
    draw_polyline(p, v, 13, false, PEN_THIN, INK_NONE);
    draw_arrow(p, v[12], v2_sub(v[12], v[11]), INK_BLACK);
}

/* A box on a table and an arrow around it, the way it seems to turn: it goes
 * against the way that the reader walks. Seen from below: over its top.
 *
 *        .--.              .-.
 *      (  []  >           ( []
 *        `--'              `->
 */
static void turn_draw(Press *p, const View *view) {
    double turn = view->turned;
    V2     mid  = v2(p->left + TEXT_W - 8, p->y + 6);

    if (view->below)
        arc_arrow(p, mid, 3.5, 5, -60, -300);
    else if (turn > 0)
        arc_arrow(p, mid, 7, 3.5, 30, 330);
    else
        arc_arrow(p, mid, 7, 3.5, 330, 30);
    draw_rect(p, box2(mid.x - 2, mid.y - 2, mid.x + 2, mid.y + 2), PEN_THIN,
              INK_WHITE);
    words_at(p, view->below ? "seen from below"
             : fabs(turn) > 120 ? "turned around"
             : turn > 0 ? "turned to the left" : "turned to the right",
             v2(mid.x - 9, p->y + 3 * HALF_LINE), ALIGN_RIGHT,
             STYLE_NOTE);
}

static Para title_of(Press *p, const Step *step) {
    Para title = { 0 };

    say_author(p, &title, step->title, STR("step title"));
    return title;
}

/* `told`: with room for a turn beside it. */
static double title_height(Press *p, const Step *step, bool told) {
    Para   title = title_of(p, step);
    double width = TEXT_W - 18 - (told ? TURN_W : 0);

    return fmax(para_height(p, &title, width, STYLE_LEAD_BOLD) + HALF_LINE,
                3 * BASE_LINE);
}

static double title_draw(Press *p, const Step *step, int index) {
    const View *view  = &p->plan->steps.at[index];
    Para        title = title_of(p, step);
    bool        told  = step->add.n && is_told(view);

    figure_at(p, figure_count(p->c, index + 1, STR("number of the step")),
              v2(p->left, p->y + 9), ALIGN_LEFT, STYLE_NUMBER);
    if (told)
        turn_draw(p, view);
    para_draw(p, &title, p->left + 18, p->y + HALF_LINE,
              TEXT_W - 18 - (told ? TURN_W : 0), STYLE_LEAD_BOLD);
    return title_height(p, step, told);
}

/* ---- The strip of pieces ---- */

typedef struct { int part, count, mirrored; bool jig, temporary; } Need;
typedef LIST(Need) Needs;

/* A jig that is drawn in its place already. */
static bool stands_as_piece(const Needs *needs, int part) {
    for (int i = 0; i < needs->n; i++) {
        if (needs->at[i].part == part && needs->at[i].temporary)
            return true;
    }
    return false;
}

static Needs needs_of(Press *p, const Step *step) {
    Needs needs = { 0 };

    for (int i = 0; i < step->add.n; i++) {
        const Piece *piece = &p->m->pieces.at[step->add.at[i]];
        Need        *need  = NULL;
        for (int k = 0; k < needs.n; k++) {
            if (needs.at[k].part == piece->part
                && needs.at[k].temporary == piece->temporary)
                need = &needs.at[k];
        }
        if (!need) {
            need       = PUSH(p->c, &needs);
            need->part = piece->part;
            need->temporary = piece->temporary;
        }
        need->count++;
        need->mirrored += piece->mirrored;
    }
    for (int i = 0; i < step->jigs.n; i++) {
        Need *need;
        if (stands_as_piece(&needs, step->jigs.at[i]))
            continue;
        need = PUSH(p->c, &needs);
        need->part = step->jigs.at[i];
        need->jig  = true;
        need->count = p->m->parts.at[need->part].jig_count;
    }
    return needs;
}

static void need_draw(Press *p, const Need *need, double x, double y,
                      double w) {
    const Picture *pic  = &p->plan->parts.at[need->part].picture;
    const Part    *part = &p->m->parts.at[need->part];
    Box2           frame = box2(x + 1, y + 1, x + w - 1, y + STRIP_H - 5);
    Place          pl    = place_fit(pic->box, frame, 0.25, false);
    Para           words = { 0 };

    picture_draw_at(p, pic, &pl, (PictureLook){ .thin = true });
    letter_circle(p, v2(x + 3, y + STRIP_H - 1.1), 5, need->part);
    say(p, &words, "× ");
    say_count(p, &words, need->count, "pieces in this step");
    say(p, &words, " ");
    say_author(p, &words, part->name, part_source(p, part, "name"));
    if (need->temporary)
        say(p, &words, ", temporary");
    else if (need->jig)
        say(p, &words, ", jig");
    else if (need->mirrored == need->count)
        say(p, &words, ", mirrored");
    else if (need->mirrored) {
        say(p, &words, ", ");
        say_count(p, &words, need->mirrored, "mirrored pieces");
        say(p, &words, " mirrored");
    }
    para_draw(p, &words, x + 6.5, y + STRIP_H - BASE_LINE, w - 7, STYLE_NOTE);
}

static double strip_draw(Press *p, const Needs *needs) {
    int    n = needs->n, per_row = n > 4 ? 4 : n;
    double w, y = p->y;

    if (n == 0)
        return 0;
    w = fmin(TEXT_W / per_row, 56);
    for (int i = 0; i < n; i++)
        need_draw(p, &needs->at[i], p->left + (i % per_row) * w,
                  y + (i / per_row) * (STRIP_H + HALF_LINE), w);
    y += ((n + per_row - 1) / per_row) * (STRIP_H + HALF_LINE);
    draw_line(p, v2(p->left, y), v2(p->left + TEXT_W, y),
              (Pen){ INK_PALE, 0.25, DASH_SOLID });
    return y + HALF_LINE - p->y;
}

/* ---- Fasteners ---- */

typedef struct { int hardware, count; } Use;
typedef LIST(Use) Uses;

static Uses uses_of(Press *p, const Step *step, bool *glue) {
    Uses uses = { 0 };

    *glue = false;
    for (int i = 0; i < step->fixes.n; i++) {
        const Fix *fix = &step->fixes.at[i];
        Use       *use = NULL;
        *glue |= fix->glue;
        if (fix->hardware < 0)
            continue;
        for (int k = 0; k < uses.n; k++) {
            if (uses.at[k].hardware == fix->hardware)
                use = &uses.at[k];
        }
        if (!use) {
            use           = PUSH(p->c, &uses);
            use->hardware = fix->hardware;
        }
        use->count += fix_total(fix);
    }
    return uses;
}

/* A fastener at full size, point to the right; a dowel has none. */
static void fastener_draw(Press *p, const Hardware *h, double x, double y) {
    double len   = h->length.real;
    bool   screw = memmem(h->kind.s, h->kind.n, "screw", 5) != NULL;
    double r     = screw ? 1.9 : 0.6;
    V2     point[] = { v2(x + len - 2.4, y - r * 0.6), v2(x + len, y),
                       v2(x + len - 2.4, y + r * 0.6) };

    if (len <= 0) {
        draw_circle(p, v2(x + fmax(h->diameter.real, 2) / 2, y),
                    fmax(h->diameter.real, 2) / 2, PEN_THIN, INK_PALE);
        return;
    }
    if (h->drive == DRIVE_DOWEL) {
        r = fmin(fmax(h->shank, 1) / 2, DOWEL_MOST);
        draw_rect(p, box2(x, y - r, x + len, y + r), PEN_THIN, INK_PALE);
        return;
    }
    draw_rect(p, box2(x, y - r * 0.6, x + len - 2.4, y + r * 0.6), PEN_THIN,
              INK_PALE);
    draw_polyline(p, point, 3, true, PEN_THIN, INK_PALE);
    draw_line(p, v2(x, y - r * 1.8), v2(x, y + r * 1.8), PEN_OUTLINE);
    for (double at = x + len * 0.35; screw && at < x + len - 3; at += 1.6)
        draw_line(p, v2(at, y + r), v2(at + 0.8, y - r), PEN_FINE);
}

static Para use_words(Press *p, const Use *use) {
    const Hardware *h    = &p->m->hardware.at[use->hardware];
    bool            wide = h->drive == DRIVE_DOWEL
                           && h->shank / 2 > DOWEL_MOST;
    Para            para = { 0 };

    say_figure_bold(p, &para, figure_count(p->c, use->count,
                                   STR("fasteners in this step")));
    say(p, &para, " × ");
    if (say_hardware(p, &para, h))
        say(p, &para, wide ? ", drawn full length" : ", drawn full size");
    return para;
}

/* What is drawn as a disc may be higher than a line. */
static double use_height(const Hardware *h) {
    double disc = h->length.real > 0 ? 0 : h->diameter.real + 1.5;

    return fmax(6.75, ceil(disc / HALF_LINE - 1e-6) * HALF_LINE);
}

static double fasteners_height(const Press *p, const Uses *uses, bool glue) {
    double height = (glue ? 6.75 : 0) + (uses->n || glue ? 2.25 : 0);

    for (int i = 0; i < uses->n; i++)
        height += use_height(&p->m->hardware.at[uses->at[i].hardware]);
    return height;
}

static void fasteners_draw(Press *p, const Uses *uses, bool glue) {
    Para   para;
    double widest = 12;

    for (int i = 0; i < uses->n; i++)
        widest = fmax(widest, fmin(120,
            p->m->hardware.at[uses->at[i].hardware].length.real));
    for (int i = 0; i < uses->n; i++) {
        const Hardware *h = &p->m->hardware.at[uses->at[i].hardware];
        double spare = use_height(h) - 6.75;
        fastener_draw(p, h, p->left, p->y + 3.6 + spare / 2);
        para = use_words(p, &uses->at[i]);
        para_at(p, &para, v2(p->left + widest + 5, p->y + 4.8
                + floor(spare / 2 / HALF_LINE) * HALF_LINE),
                ALIGN_LEFT, STYLE_TEXT);
        p->y += use_height(h);
    }
    if (glue) {
        para = para_of(p, "wood glue on the joints of this step");
        draw_circle(p, v2(p->left + 1.6, p->y + 3.4), 1.5, PEN_THIN,
                    INK_TINT);
        para_at(p, &para, v2(p->left + widest + 5, p->y + 4.8), ALIGN_LEFT,
                STYLE_TEXT);
        p->y += 6.75;
    }
    if (uses->n || glue)
        p->y += 2.25;
}

/* ---- The words ---- */

static double words_height(Press *p, const Step *step, const Notes *notes) {
    double h = 0;

    for (int i = 0; i < notes->n; i++)
        h += item_height(p, TEXT_W, STYLE_LEAD, &notes->at[i]);

    for (int i = 0; i < step->cautions.n; i++) {
        Para para = { 0 };
        say_say(p, &para, &step->cautions.at[i].say);
        h += caution_height(p, TEXT_W, &para) + 2.25;
    }
    return h;
}

static void words_draw(Press *p, const Step *step, const Notes *notes) {
    for (int i = 0; i < step->cautions.n; i++) {
        Para para = { 0 };
        say_say(p, &para, &step->cautions.at[i].say);
        p->y += caution_draw(p, p->left, p->y, TEXT_W,
                             step->cautions.at[i].signal, &para) + 2.25;
    }
    for (int i = 0; i < notes->n; i++)
        p->y += item_draw(p, p->left, p->y, TEXT_W, STYLE_LEAD, ITEM_BULLET,
                          0, &notes->at[i]);
}

/* ---- The page ---- */

static void inset_draw(Press *p, const View *view, Box2 frame) {
    PictureLook look = { .thin = true, .sparse = true };
    Place       pl;

    if (!view->close)
        return;
    pl = place_fit(p->plan->cover.picture.box, frame, 1, false);
    picture_draw_at(p, &p->plan->cover.picture, &pl, look);
}

/* What is drawn once and made several times is told above the drawing. */
static double copies_draw(Press *p, const View *view, V2 at) {
    Para para = { 0 };

    if (view->copies < 2)
        return 0;
    say_bold(p, &para, "Make ");
    say_figure_bold(p, &para, figure_count(p->c, view->copies,
                                           STR("copies made in this step")));
    say_bold(p, &para, " of these:");
    para_at(p, &para, v2(at.x, at.y + 4.5), ALIGN_LEFT, STYLE_LEAD);
    return 6.75;
}

void step_drawing(Press *p, int step, Box2 frame) {
    const View *view = &p->plan->steps.at[step];
    PictureLook look = { .fresh = view->fresh.at, .n_fresh = view->fresh.n,
                         .sparse = true };

    frame.min.y += copies_draw(p, view, frame.min);
    view_draw(p, view, frame, look, true);
}

static void step_page(Press *p, int index) {
    const Step *step = &p->m->steps.at[index];
    const View *view = &p->plan->steps.at[index];
    bool        glue;
    Uses        uses  = uses_of(p, step, &glue);
    Needs       needs = needs_of(p, step);
    Notes       notes = step_notes(p, step, index);
    double      below = fasteners_height(p, &uses, glue)
                      + words_height(p, step, &notes) + HALF_LINE;
    double      bottom, title, room;

    page_begin(p, SECTION_STEPS, PAGE_TEXT);
    p->refs->step[index] = p->page;
    bookmark(p, str_fmt(p->c, "%d  %.*s", index + 1, STR_ARG(step->title)),
             1);
    title = title_draw(p, step, index);
    p->y += title;
    p->y += strip_draw(p, &needs);
    bottom = body_bottom(p) - below;
    room   = bottom - p->y + title - title_height(p, step, step->add.n > 0);
    if (room < DRAWING_LEAST)
        report(p->c, step->loc, PAGE_OVERFULL,
               "the words of step %d leave only %.0f mm for its drawing",
               index + 1, fmax(room, 0));
    bottom = fmax(bottom, p->y + DRAWING_LEAST);
    if (step->add.n)
        step_drawing(p, index, box2(p->left, p->y + HALF_LINE,
                                    p->left + TEXT_W, bottom - HALF_LINE));
    inset_draw(p, view, box2(p->left + TEXT_W - INSET_W, p->y + 2,
                             p->left + TEXT_W, p->y + 2 + INSET_H));
    p->y = bottom;
    fasteners_draw(p, &uses, glue);
    words_draw(p, step, &notes);
}

void press_steps(Press *p) {
    for (int i = 0; i < p->m->steps.n; i++) {
        step_page(p, i);
        if (i == 0)
            bookmark(p, STR("Assembly"), 0);
    }
}
