/* pages_test -- what a page must look like, as far as a program can tell:
 * no text stands on another text or on a line, none in the margins or too
 * small; no heading is left alone at the foot; pages are filled.
 *
 * Texts are the boxes of their outlines as they are drawn, lines the
 * strokes of the page: found here from the recording, not by press/room.c.
 * Template sheets are left out: their lines are where the parts have them.
 */
#include "unit/design_text.h"

#include "press/press.h"
#include "print/print_internal.h"

/* `figure`: the runs of one fraction have one number, not 0. */
typedef struct { Box2 box; const Mark *mark; int figure, order; } Text;
typedef LIST(Text) Texts;
typedef struct { V2 a, b; int order; double width; bool curve; } Stroke;
typedef LIST(Stroke) Strokes;
typedef struct { Box2 box; int order; } Ground;   // filled
typedef LIST(Ground) Grounds;
typedef struct { Texts texts; Strokes strokes; Grounds grounds; } OnPage;

/* ---- What is on a page ---- */

static void add_path(Box2 *box, const Mark *m) {
    for (int k = 0; k < m->path.n; k++) {
        const PathOp *op = &m->path.at[k];
        int n = op->op == 'C' ? 3 : op->op == 'Z' ? 0 : 1;
        for (int i = 0; i < n; i++)
            box2_add(box, op->p[i]);
    }
}

static Box2 ink_of(Ctx *c, const Booklet *b, const Mark *m) {
    Booklet one  = { .fonts = b->fonts };
    Page   *page = PUSH(c, &one.pages), out = { 0 };
    Box2    box  = box2_empty();

    *page = (Page){ 0 };
    *PUSH(c, &page->marks) = *m;
    assert_true(page_outlined(c, &one, 0, &out));
    for (int i = 0; i < out.marks.n; i++)
        add_path(&box, &out.marks.at[i]);
    return box;
}

static V2 on_curve(V2 a, const V2 p[3], double t) {
    double s = 1 - t;

    return v2_add(v2_add(v2_scale(a, s * s * s),
                         v2_scale(p[0], 3 * s * s * t)),
                  v2_add(v2_scale(p[1], 3 * s * t * t),
                         v2_scale(p[2], t * t * t)));
}

static void add_strokes(Ctx *c, Strokes *out, const Mark *m, int order) {
    V2 at = { 0, 0 }, start = at;

    for (int k = 0; k < m->path.n; k++) {
        const PathOp *op = &m->path.at[k];
        V2 from = at;
        if (op->op == 'M') {
            at = start = op->p[0];
            continue;
        }
        for (int i = 1; op->op == 'C' && i < 12; i++) {
            V2 next = on_curve(at, op->p, i / 12.0);
            *PUSH(c, out) = (Stroke){ from, next, order, m->width, true };
            from = next;
        }
        at = op->op == 'Z' ? start : op->p[op->op == 'C' ? 2 : 0];
        *PUSH(c, out) = (Stroke){ from, at, order, m->width,
                                  op->op == 'C' };
    }
}

/* ---- Overlaps ---- */

/* By halving: a piece that is short, or that has no part in the box. */
static bool runs_through(Box2 box, V2 a, V2 b) {
    V2 mid = v2_scale(v2_add(a, b), 0.5);

    if (fmax(a.x, b.x) < box.min.x || fmin(a.x, b.x) > box.max.x
        || fmax(a.y, b.y) < box.min.y || fmin(a.y, b.y) > box.max.y)
        return false;
    if (mid.x > box.min.x && mid.x < box.max.x && mid.y > box.min.y
        && mid.y < box.max.y)
        return true;
    return v2_len(v2_sub(b, a)) > 0.02
        && (runs_through(box, a, mid) || runs_through(box, mid, b));
}

static bool is_over(const Text *a, const Text *b) {
    if (a->figure && a->figure == b->figure)
        return false;
    return a->box.min.x < b->box.max.x && a->box.max.x > b->box.min.x
        && a->box.min.y < b->box.max.y && a->box.max.y > b->box.min.y;
}

/* Is there a ground under the text that hides the line? */
static bool is_hidden(const Text *t, const Stroke *s,
                      const Grounds *grounds) {
    for (int i = 0; i < grounds->n; i++) {
        const Ground *g = &grounds->at[i];
        if (g->order > s->order && g->order < t->order
            && g->box.min.x <= t->box.min.x && g->box.max.x >= t->box.max.x
            && g->box.min.y <= t->box.min.y && g->box.max.y >= t->box.max.y)
            return true;
    }
    return false;
}

static int lines_through(const Page *page, const OnPage *on,
                         const Text *text) {
    for (int k = 0; k < on->strokes.n; k++) {
        const Stroke *s = &on->strokes.at[k];
        if (!runs_through(text->box, s->a, s->b)
            || is_hidden(text, s, &on->grounds))
            continue;
        print_message("%.*s: a line through '%.*s' at %g, %g\n",
                      STR_ARG(page->section), STR_ARG(text->mark->text),
                      text->box.min.x, text->box.min.y);
        return 1;
    }
    return 0;
}

/* ---- Lines on lines ---- */

#define FINE 0.18   // mm: dimension, extension and leader lines

static double off_line(V2 q, V2 a, V2 u) {
    return fabs(v2_cross(u, v2_sub(q, a)));
}

/* How far one line lies on another, mm. */
static double shared(const Stroke *s, const Stroke *t) {
    V2     by  = v2_sub(s->b, s->a);
    double far = v2_len(by), c, d;
    V2     u   = far > 0 ? v2_scale(by, 1 / far) : v2(1, 0);

    if (off_line(t->a, s->a, u) > 0.1 || off_line(t->b, s->a, u) > 0.1)
        return 0;
    c = v2_dot(v2_sub(t->a, s->a), u);
    d = v2_dot(v2_sub(t->b, s->a), u);
    return fmin(far, fmax(c, d)) - fmax(0, fmin(c, d));
}

/* Extension lines that run on an outline, which they would hide. */
static int lines_on_outlines(const OnPage *on) {
    int n = 0;

    for (int i = 0; i < on->strokes.n; i++) {
        const Stroke *s = &on->strokes.at[i];
        for (int k = 0; s->width < FINE + 0.01 && k < on->strokes.n; k++) {
            const Stroke *t = &on->strokes.at[k];
            if (t->width > FINE + 0.01 && !t->curve && shared(s, t) > 2
                && ++n)
                print_message("a fine line on an outline at %g, %g to %g, %g"
                              "\n", s->a.x, s->a.y, s->b.x, s->b.y);
        }
    }
    return n;
}

/* ---- Air around text ---- */

static double off_box(Box2 b, V2 q) {
    return hypot(fmax(fmax(b.min.x - q.x, q.x - b.max.x), 0),
                 fmax(fmax(b.min.y - q.y, q.y - b.max.y), 0));
}

static double stroke_off(Box2 b, const Stroke *s) {
    double least = INFINITY;
    int    n = 1 + (int)(v2_len(v2_sub(s->b, s->a)) / 0.3);

    for (int i = 0; i <= n; i++)
        least = fmin(least, off_box(b, v2_add(s->a, v2_scale(
                     v2_sub(s->b, s->a), (double)i / n))));
    return least - s->width / 2;
}

#define AIR 1.5   // mm from the ink of a text to an outline (look.md)

/* Dimension lines, leaders and circles stand nearer to what they are for:
 * only outlines and other strong lines count. */
static int too_near(const Page *page, const OnPage *on) {
    int n = 0;

    for (int i = 0; i < on->texts.n; i++) {
        const Text *t = &on->texts.at[i];
        for (int k = 0; k < on->strokes.n; k++) {
            const Stroke *s = &on->strokes.at[k];
            if (s->width < FINE + 0.01 || s->curve
                || v2_len(v2_sub(s->a, s->b)) < 0.1
                || is_hidden(t, s, &on->grounds)
                || stroke_off(t->box, s) > AIR - 0.01)
                continue;
            print_message("%.*s: '%.*s' at %g, %g is %g mm from a line\n",
                          STR_ARG(page->section), STR_ARG(t->mark->text),
                          t->box.min.x, t->box.min.y,
                          stroke_off(t->box, s));
            n++;
            break;
        }
    }
    return n;
}

static int overlaps(const Page *page, const OnPage *on) {
    int n = 0;

    for (int i = 0; i < on->texts.n; i++) {
        const Text *a = &on->texts.at[i];
        for (int k = 0; k < i; k++)
            if (is_over(a, &on->texts.at[k]) && ++n)
                print_message("%.*s: '%.*s' on '%.*s'\n",
                              STR_ARG(page->section),
                              STR_ARG(a->mark->text),
                              STR_ARG(on->texts.at[k].mark->text));
        n += lines_through(page, on, a);
    }
    return n;
}

static OnPage on_page(Ctx *c, const Booklet *b, const Page *page) {
    OnPage on     = { 0 };
    int    figure = 0, figures = 0;

    for (int i = 0; i < page->marks.n; i++) {
        const Mark *m = &page->marks.at[i];
        if (m->spoken.n)
            figure = ++figures;
        if (m->kind == MARK_TEXT && m->text.n)
            *PUSH(c, &on.texts) = (Text){ ink_of(c, b, m), m, figure, i };
        if (m->spoken_end)
            figure = 0;
        if (m->kind == MARK_PATH && m->stroke != INK_NONE)
            add_strokes(c, &on.strokes, m, i);
        if (m->kind == MARK_PATH && m->fill != INK_NONE) {
            Ground *g = PUSH(c, &on.grounds);
            *g = (Ground){ box2_empty(), i };
            add_path(&g->box, m);
        }
    }
    return on;
}

/* ---- The grid (docs/booklet.md) ---- */

#define TEXT_H  250.0
#define BODY_H  240.75
#define MARGIN   12.0   // least outer margin, mm
#define SMALLEST  7.5   // points

static int count(bool bad, const Page *page, const Text *t,
                 const char *what) {
    if (bad)
        print_message("%.*s: '%.*s' at %g, %g %s\n", STR_ARG(page->section),
                      STR_ARG(t->mark->text), t->box.min.x, t->box.max.y,
                      what);
    return bad;
}

/* A text of a heading's size in the last fifth has one below it. Steps
 * have their numbers on top, the cover its facts at the foot. */
static bool is_alone(const Page *page, const OnPage *on, const Text *t) {
    double top = (page->height - TEXT_H) / 2;

    if (t->mark->size < 12 || t->mark->font != FONT_BOLD
        || t->mark->at.y < top + BODY_H * 0.8
        || str_is(page->section, "Cover"))
        return false;
    for (int i = 0; i < on->texts.n; i++) {
        double y = on->texts.at[i].mark->at.y;
        if (y > t->mark->at.y + 1 && y < top + BODY_H + 1)
            return false;
    }
    return true;
}

static int off_grid(const Page *page, const OnPage *on) {
    int n = 0;

    for (int i = 0; i < on->texts.n; i++) {
        const Text *t = &on->texts.at[i];
        n += count(t->box.min.x < MARGIN || t->box.min.y < MARGIN
                   || t->box.max.x > page->width - MARGIN
                   || t->box.max.y > page->height - MARGIN, page, t,
                   "stands in the margin");
        n += count(t->mark->size < SMALLEST - 1e-9, page, t, "is small");
        n += count(is_alone(page, on, t), page, t, "is alone");
    }
    return n;
}

/* Steps: words stand on the half lines of the grid, all but those of the
 * drawing, which is between the rule under the strip of pieces and the first
 * of the large text below; and the last line is one and a half above the
 * foot. */
static int step_off_grid(const Page *page, const OnPage *on) {
    double top = (page->height - TEXT_H) / 2, rule = 0;
    int    n = 0;

    for (int i = 0; i < on->strokes.n; i++)
        if (on->strokes.at[i].b.x - on->strokes.at[i].a.x > 180)
            rule = fmax(rule, on->strokes.at[i].a.y);
    for (int i = 0; i < on->texts.n; i++) {
        const Text *t = &on->texts.at[i];
        double y = t->mark->at.y - top, half = y / 2.25;
        bool   body = t->mark->size == 12 || t->mark->at.y < rule;
        bool   word = t->mark->text.n > 1;   // no letter in a circle, no digit
        n += count(body && word && fabs(half - floor(half + 0.5)) > 0.01,
                   page, t, "is off the grid");
        n += count(t->mark->size > 9 && y > BODY_H - 2.25 + 0.01, page, t,
                   "is too near to the foot");
    }
    return n;
}

#define FASTENERS_H 30.0   // mm over the words that may be rows of fasteners

/* A step's drawing, between the rule and the words, fills most of its frame
 * one way or the other. */
static int step_unfilled(const Page *page, const OnPage *on) {
    double rule = 0, words = page->height;
    Box2   box = box2_empty();

    for (int i = 0; i < on->strokes.n; i++)
        if (on->strokes.at[i].b.x - on->strokes.at[i].a.x > 180)
            rule = fmax(rule, on->strokes.at[i].a.y);
    for (int i = 0; i < on->texts.n; i++)
        if (on->texts.at[i].mark->size == 12
            && on->texts.at[i].mark->at.y > rule + FASTENERS_H)
            words = fmin(words, on->texts.at[i].mark->at.y);
    for (int i = 0; i < on->strokes.n; i++) {
        const Stroke *s = &on->strokes.at[i];
        if (fmax(s->a.y, s->b.y) < words - FASTENERS_H
            && fmin(s->a.y, s->b.y) > rule + 0.1) {
            box2_add(&box, s->a);
            box2_add(&box, s->b);
        }
    }
    if (box.max.x - box.min.x >= 0.6 * 183
        || box.max.y - box.min.y >= 0.6 * (words - FASTENERS_H - rule))
        return 0;
    print_message("the drawing is %g x %g mm\n", box.max.x - box.min.x,
                  box.max.y - box.min.y);
    return 1;
}

/* How far down the body there is ink, 0..1. */
static double filled(const Page *page, const OnPage *on) {
    double top = (page->height - TEXT_H) / 2, low = top;

    for (int i = 0; i < on->texts.n; i++)
        if (on->texts.at[i].mark->at.y < top + BODY_H + 1)
            low = fmax(low, on->texts.at[i].mark->at.y);
    for (int i = 0; i < on->strokes.n; i++)
        low = fmax(low, on->strokes.at[i].a.y);
    return (low - top) / BODY_H;
}

#define LEAST_FILLED 0.35   // but at the end of a section

static int check_pages(Ctx *c, const Booklet *b) {
    int n = 0;

    for (int k = 0; k < b->pages.n; k++) {
        const Page *page = &b->pages.at[k];
        OnPage      on   = on_page(c, b, page);
        int         here;
        bool        last = k + 1 == b->pages.n
                        || !str_eq(page->section, b->pages.at[k + 1].section);
        if (page->sheet || str_is(page->section, "Templates"))
            continue;
        here = overlaps(page, &on) + off_grid(page, &on);
        if (str_is(page->section, "Part drawings"))
            here += lines_on_outlines(&on) + too_near(page, &on);
        if (str_is(page->section, "Assembly"))
            here += too_near(page, &on) + step_off_grid(page, &on)
                  + step_unfilled(page, &on);
        if (!last && filled(page, &on) < LEAST_FILLED && ++here)
            print_message("filled %g\n", filled(page, &on));
        if (here)
            print_message("%d on page %d\n", here, k + 1);
        n += here;
    }
    return n;
}

static void check_design(Ctx *c, const char *path) {
    const Design   *d = design_read(c, path);
    const Model    *m = model_build(c, d, sizes_new(c));
    const Workplan *plan = plan_work(c, m);

    assert_non_null(plan);
    for (int inch = 0; inch < 2; inch++) {
        Edition e = { .inch = inch, .a4 = !inch,
                      .step = inch ? m->step_inch : m->step_mm };
        const Booklet *b = press_booklet(c, m, plan, &e);
        assert_non_null(b);
        if (check_pages(c, b))
            fail_msg("%s, %s", path, inch ? "inch" : "mm");
    }
}

static void pages_of_the_demos_are_well_set(void **state) {
    check_design(*state, "plans-demo/puppet-theater/puppet-theater.json");
    check_design(*state, "plans-demo/stage-table/stage-table.json");
}

static void pages_of_the_sampler_are_well_set(void **state) {
    check_design(*state, "tests/golden/sampler/design.json");
}

static void pages_of_slants_and_leaves_are_well_set(void **state) {
    check_design(*state, "tests/golden/slants/design.json");
}

static void pages_of_the_starters_are_well_set(void **state) {
    static const char *const names[] = {
        "bench", "box", "planter", "shelter", "slats", "stool", "tub"
    };
    Ctx *c = *state;

    for (int i = 0; i < COUNT(names); i++)
        check_design(c, str_z(c, str_fmt(c, "templates/%s.json",
                                         names[i])));
}

/* Two cuts at a time, which also meet where they may. */
static void no_text_of_many_cuts_stands_on_anything(void **state) {
    static const char *const cuts[] = {
        "{'groove': {'at': ['0in', '1in'], 'length': 'length',"
        " 'width': '1/2in', 'depth': '1/4in'}}",
        "{'groove': {'at': ['3in', '0in'], 'length': '3/4in',"
        " 'width': 'width', 'depth': '1/4in', 'into': 'back'}}",
        "{'groove': {'at': ['2in', '1in'], 'length': '3in',"
        " 'width': '1/2in', 'depth': '1/4in'}}",
        "{'hole': {'at': ['0in', '2.2in'], 'diameter': '1/4in'},"
        " 'repeat': {'count': 20, 'between': ['1/2in', '9in'],"
        " 'ends': 'piece'}}",
        "{'hole': {'at': ['2in', '2.7in'], 'diameter': '1/2in',"
        " 'depth': '1/4in', 'countersink': {'diameter': '3/4in'}}}",
        "{'tenon': {'end': 'right', 'length': '1/2in', 'width': '3in'}}",
        "{'finger joint': {'end': 'left', 'count': 9, 'depth': '1/4in'}}",
        "{'dentils': {'edge': 'near', 'pitch': '3/4in', 'depth': '1/8in',"
        " 'start': '1/4in'}}",
        "{'waves': {'edge': 'far', 'pitch': '3/4in', 'depth': '1/4in',"
        " 'start': '1/4in'}}",
        "{'mortise': {'at': ['5in', '1/4in'], 'length': '1in',"
        " 'width': '1/4in', 'depth': '1/2in', 'into': 'far'}}",
        "{'arch': {'center': '6in', 'width': '2in', 'spring': '1/2in',"
        " 'rise': '1/2in'}}",
    };
    static const char *const ends[] = {   // every second pair has them
        "", "'ends': {'left': {'miter': '20deg'},"
        " 'right': {'bevel': '30deg', 'miter': '5deg'}}, "
    };
    Ctx *c = *state;
    int  n = 0, texts = 0;

    for (int i = 0; i < COUNT(cuts); i++)
        for (int k = 0; k < i; k++) {
            const Model *m = model_with(c, str_z(c, str_fmt(c,
                "%s'features': [%s, %s]", ends[(i + k) % 2], cuts[i],
                cuts[k])));
            const Workplan *plan = plan_work(c, m);
            Edition edition = { .inch = true, .step = m->step_inch };
            const Booklet *b = press_drawing(c, m, plan, &edition,
                                             DRAWING_PART, 0);
            OnPage on = on_page(c, b, &b->pages.at[0]);
            int  here = overlaps(&b->pages.at[0], &on)
                      + lines_on_outlines(&on)
                      + too_near(&b->pages.at[0], &on);
            if (here)
                print_message("%s %s\n", cuts[i], cuts[k]);
            n     += here;
            texts += on.texts.n;
        }
    assert_true(texts > 1000);
    assert_int_equal(n, 0);
}

/* The strokes of a part's drawing, and its scale. */
static Strokes strokes_of_part(Ctx *c, const char *more) {
    const Model    *m = model_with(c, more);
    const Workplan *plan = plan_work(c, m);
    Edition         e = { .inch = true, .step = m->step_inch };
    const Booklet  *b = press_drawing(c, m, plan, &e, DRAWING_PART, 0);
    OnPage          on = on_page(c, b, &b->pages.at[0]);

    return on.strokes;
}

/* What stands on leaders stays below the rule under the part's name. */
static void labels_stay_below_the_title(void **state) {
    Ctx         *c = *state;
    const Model *m = try_model(c,
        "'stock': {'b': {'wood': 'white oak', 'thickness': '3/4in',"
        " 'width': '5 1/2in', 'sold': [{'length': '8ft'}]}}, 'parts': {'A':"
        " {'name': 'X', 'from': 'b', 'length': '20in', 'width': '2in',"
        " 'ends': {'both': {'miter': '45deg', 'long edge': 'far'}}}},"
        " 'pieces': [{'part': 'A', 'at': ['0in', '0in', '0in']}]");
    Edition        e = { .inch = true, .step = m->step_inch };
    const Booklet *b = press_drawing(c, m, plan_work(c, m), &e,
                                     DRAWING_PART, 0);
    Strokes strokes  = on_page(c, b, &b->pages.at[0]).strokes;
    double  rule = 0;
    int     n = 0;

    for (int i = 0; i < strokes.n && rule <= 0; i++)
        if (fabs(strokes.at[i].a.x - strokes.at[i].b.x) > 170)
            rule = strokes.at[i].a.y;
    assert_true(rule > 0);
    for (int i = 0; i < strokes.n; i++)     // but of the letter's circle
        n += fmin(strokes.at[i].a.y, strokes.at[i].b.y) < rule - 0.01
          && !strokes.at[i].curve
          && v2_len(v2_sub(strokes.at[i].a, strokes.at[i].b)) > 0.01;
    assert_int_equal(n, 0);
}

/* Upright lines of a width over the whole face, 4 in high. */
static int uprights(const Strokes *s, double width) {
    double tall = 0;
    int    n = 0;

    for (int i = 0; i < s->n; i++)
        tall = fmax(tall, fabs(s->at[i].a.x - s->at[i].b.x) < 1e-3
                    ? fabs(s->at[i].a.y - s->at[i].b.y) : 0);
    for (int i = 0; i < s->n; i++)
        n += fabs(s->at[i].a.x - s->at[i].b.x) < 1e-3
          && fabs(s->at[i].a.y - s->at[i].b.y) > 0.98 * tall
          && fabs(s->at[i].width - width) < 0.01;
    return n;
}

/* A slanted end that leans toward the reader is seen beside the show face,
 * one that leans away behind it: three strong lines, or two and a dashed one.
 */
static void a_face_shows_its_bevels(void **state) {
    Ctx    *c = *state;
    Strokes plain  = strokes_of_part(c, "'features': [{'hole': {'at':"
                         " ['2in', '2in'], 'diameter': '1/2in'}}]");
    Strokes toward = strokes_of_part(c, "'ends': {'right': {'bevel': '30deg',"
                         " 'long face': 'back'}}");
    Strokes away   = strokes_of_part(c, "'ends': {'right': {'bevel': '30deg'"
                         "}}");

    assert_int_equal(uprights(&plain, 0.5), 2);
    assert_int_equal(uprights(&toward, 0.5), 3);
    assert_int_equal(uprights(&away, 0.5), 2);
    assert_int_equal(uprights(&away, 0.25), 1);
}

static int thin_or_strong(const Strokes *s, double width) {
    int n = 0;

    for (int i = 0; i < s->n; i++)
        n += fabs(s->at[i].width - width) < 0.01 && !s->at[i].curve
          && v2_len(v2_sub(s->at[i].a, s->at[i].b)) > 0.01;
    return n;
}

/* 20 dentils with room are drawn strong, 66 thin, all of them; of 159 only
 * three at each end, as the lines would run together. 4 sides each. */
static void many_repeats_are_thinned(void **state) {
    static const char *const form = "'features': [{'dentils': {'edge':"
        " 'near', 'pitch': '%s', 'depth': '1/8in'}}]";
    Ctx    *c = *state;
    Strokes some = strokes_of_part(c, str_z(c, str_fmt(c, form, "1/2in")));
    Strokes many = strokes_of_part(c, str_z(c, str_fmt(c, form, "1/7in")));
    Strokes most = strokes_of_part(c, str_z(c, str_fmt(c, form, "1/16in")));

    assert_true(thin_or_strong(&some, 0.5) >= 4 * 19);
    assert_true(thin_or_strong(&many, 0.5) < 10);
    assert_true(thin_or_strong(&many, 0.25) >= 4 * 66);
    assert_in_range(thin_or_strong(&most, 0.25), 4 * 5, 4 * 7);
}

/* How many strokes of the part drawings rise so far in so much: a slope
 * that no hatching and no letter has. */
static int strokes_that_rise(Ctx *c, const char *features, double run,
                             double rise) {
    char          text[2000];
    const Model  *m;
    Edition       e = { .inch = true };
    const Booklet *b;
    Strokes       all = { 0 };
    int           n = 0;

    snprintf(text, sizeof text,
        "'stock': {'b': {'wood': 'white oak', 'thickness': '3/4in',"
        " 'width': '4in', 'sold': [{'length': '8ft'}]}}, 'parts': {'A':"
        " {'name': 'X', 'from': 'b', 'length': '8in', 'features': [%s]}},"
        " 'pieces': [{'part': 'A', 'at': ['0in', '0in', '0in']}]",
        features);
    m = try_model(c, text);
    e.step = m->step_inch;
    b = press_booklet(c, m, plan_work(c, m), &e);
    for (int k = 0; k < b->pages.n; k++)
        for (int i = 0; i < b->pages.at[k].marks.n; i++) {
            const Mark *mark = &b->pages.at[k].marks.at[i];
            if (str_is(b->pages.at[k].section, "Part drawings")
                && mark->kind == MARK_PATH && mark->stroke != INK_NONE)
                add_strokes(c, &all, mark, i);
        }
    for (int i = 0; i < all.n; i++) {
        V2 d = v2_sub(all.at[i].b, all.at[i].a);
        n += fabs(d.x) > 0.5
          && fabs(fabs(d.y) - fabs(d.x) * rise / run) < 1e-3;
    }
    return n;
}

#define GROOVED "{'groove': {'at': ['0in', '2in'], 'length': 'length',"      \
    " 'width': '1/4in', 'depth': '1/4in'}}"

/* 1/8 in wide and 1/2 in down the edge, on both edges of the section. */
static void a_section_shows_its_chamfers(void **state) {
    Ctx *c = *state;

    assert_int_equal(strokes_that_rise(c, GROOVED, 1, 4), 0);
    assert_int_equal(strokes_that_rise(c, GROOVED ", {'chamfer': {'edges':"
        "['near', 'far'], 'width': '1/8in', 'depth': '1/2in'}}", 1, 4), 2);
    assert_int_equal(strokes_that_rise(c, GROOVED ", {'chamfer': {'edges':"
        "['far'], 'width': '1/8in', 'depth': '1/2in', 'into': 'back'}}",
        1, 4), 1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(pages_of_the_demos_are_well_set),
        TEST(pages_of_the_sampler_are_well_set),
        TEST(pages_of_slants_and_leaves_are_well_set),
        TEST(pages_of_the_starters_are_well_set),
        TEST(no_text_of_many_cuts_stands_on_anything),
        TEST(a_section_shows_its_chamfers),
        TEST(labels_stay_below_the_title),
        TEST(a_face_shows_its_bevels),
        TEST(many_repeats_are_thinned),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
