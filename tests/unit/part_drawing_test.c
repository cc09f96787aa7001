/* part_drawing_test -- in the part drawings no text stands on another text
 * or on a line.
 *
 * Texts are the boxes of their outlines as they are drawn, lines the
 * strokes of the page: found here from the recording, not by press/room.c.
 */
#include "unit/design_text.h"

#include "press/press.h"
#include "print/print_internal.h"

/* `figure`: the runs of one fraction have one number, not 0. */
typedef struct { Box2 box; const Mark *mark; int figure; } Text;
typedef LIST(Text) Texts;
typedef struct { V2 a, b; } Stroke;
typedef LIST(Stroke) Strokes;

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

static void add_strokes(Ctx *c, Strokes *out, const Mark *m) {
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
            *PUSH(c, out) = (Stroke){ from, next };
            from = next;
        }
        at = op->op == 'Z' ? start : op->p[op->op == 'C' ? 2 : 0];
        *PUSH(c, out) = (Stroke){ from, at };
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

static int overlaps(const Page *page, const Texts *texts,
                    const Strokes *strokes) {
    int n = 0;

    for (int i = 0; i < texts->n; i++) {
        const Text *a = &texts->at[i];
        for (int k = 0; k < i; k++)
            if (is_over(a, &texts->at[k]) && ++n)
                print_message("%.*s: '%.*s' on '%.*s'\n",
                              STR_ARG(page->section),
                              STR_ARG(a->mark->text),
                              STR_ARG(texts->at[k].mark->text));
        for (int k = 0; k < strokes->n; k++)
            if (runs_through(a->box, strokes->at[k].a, strokes->at[k].b)
                && ++n) {
                print_message("%.*s: a line through '%.*s' at %g, %g\n",
                              STR_ARG(page->section),
                              STR_ARG(a->mark->text), a->box.min.x,
                              a->box.min.y);
                break;
            }
    }
    return n;
}

static int check_page(Ctx *c, const Booklet *b, const Page *page,
                      int *count) {
    Texts    texts    = { 0 };
    Strokes strokes = { 0 };
    int     figure = 0, figures = 0;

    for (int i = 0; i < page->marks.n; i++) {
        const Mark *m = &page->marks.at[i];
        if (m->spoken.n)
            figure = ++figures;
        if (m->kind == MARK_TEXT && m->text.n)
            *PUSH(c, &texts) = (Text){ ink_of(c, b, m), m, figure };
        if (m->spoken_end)
            figure = 0;
        if (m->kind == MARK_PATH && m->stroke != INK_NONE)
            add_strokes(c, &strokes, m);
    }
    *count += texts.n;
    return overlaps(page, &texts, &strokes);
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
        int n = 0, texts = 0;
        assert_non_null(b);
        for (int k = 0; k < b->pages.n; k++)
            if (str_is(b->pages.at[k].section, "Part drawings")) {
                int here = check_page(c, b, &b->pages.at[k], &texts);
                if (here)
                    print_message("%s, %s: %d on page %d\n", path,
                                  inch ? "inch" : "mm", here, k + 1);
                n += here;
            }
        assert_int_equal(n, 0);
    }
}

static void no_text_of_the_demo_stands_on_anything(void **state) {
    check_design(*state, "plans-demo/puppet-theater/puppet-theater.json");
}

static void no_text_of_the_sampler_stands_on_anything(void **state) {
    check_design(*state, "tests/golden/sampler/design.json");
}

static void no_text_of_the_starters_stands_on_anything(void **state) {
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
            int here = check_page(c, b, &b->pages.at[0], &texts);
            if (here)
                print_message("%s %s\n", cuts[i], cuts[k]);
            n += here;
        }
    assert_true(texts > 1000);
    assert_int_equal(n, 0);
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
                add_strokes(c, &all, mark);
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
        TEST(no_text_of_the_demo_stands_on_anything),
        TEST(no_text_of_the_sampler_stands_on_anything),
        TEST(no_text_of_the_starters_stands_on_anything),
        TEST(no_text_of_many_cuts_stands_on_anything),
        TEST(a_section_shows_its_chamfers),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
