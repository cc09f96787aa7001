/* order_test -- orders that can be done, and orders that cannot.
 *
 * A judge plays the steps of the starters and demos one after the other. It
 * shares nothing with the program's own check but the solids: a piece is
 * moved out in small strides along many directions, instead of swept; what
 * it touches is found by pushing it a little, instead of by its faces; the
 * driver is a handful of points. With two steps swapped, judge and program
 * must say the same: no message where the order can be done as well, a
 * message where it cannot. And each order that the program finds by itself
 * must be one that the judge can play.
 */
#include "unit/design_text.h"

#include <glob.h>

#define STRIDE   3.0     // mm; no piece is thinner
#define NUDGE    0.15
#define DEEP     0.05    // less than this is no overlap
#define HINGE    3.0     // from the ground
#define MOST     128     // directions
#define FARTHEST 3       // steps that are swapped

/* ---- Designs ---- */

static glob_t all_designs(void) {
    glob_t g;

    assert_int_equal(glob(TEMPLATE_DIR "/*.json", 0, NULL, &g), 0);
    assert_int_equal(glob(TEMPLATE_DIR "/../plans-demo/*/*.json",
                          GLOB_APPEND, NULL, &g), 0);
    assert_true(g.gl_pathc >= 8);
    return g;
}

static Node *member(Node *object, const char *key) {
    for (Node *n = object->first; n; n = n->next)
        if (str_is(n->key, key))
            return n;
    return NULL;
}

/* ---- The judge ---- */

typedef struct {
    Ctx         *c;
    const Model *m;
    V3           ways[MOST];
    int          n_ways;
    double       ground;
    bool        *there;    // by piece
    Str          harm;     // what is wrong first, or empty
} Judge;

static void add_way(Judge *j, V3 dir) {
    dir = v3_unit(dir);
    for (int i = 0; i < j->n_ways; i++)
        if (v3_len(v3_sub(j->ways[i], dir)) < 1e-3)
            return;
    assert_true(j->n_ways < MOST);
    j->ways[j->n_ways++] = dir;
}

static Judge judge_of(Ctx *c, const Model *m) {
    Judge j = { .c = c, .m = m, .ground = INFINITY };

    for (int axes = 1; axes <= 3; axes++)   // the straightest ways first
        for (int k = 26; k >= 0; k--) {
            V3 d = v3(k % 3 - 1, k / 3 % 3 - 1, k / 9 - 1);
            if (fabs(d.x) + fabs(d.y) + fabs(d.z) == axes)
                add_way(&j, d);
        }
    for (int i = 0; i < m->pieces.n; i++) {
        const Piece *p = &m->pieces.at[i];
        for (int k = -1; k <= 1; k += 2) {
            add_way(&j, v3_scale(p->frame.x, k));
            add_way(&j, v3_scale(p->frame.y, k));
            add_way(&j, v3_scale(p->frame.z, k));
        }
        if (!p->temporary)
            j.ground = fmin(j.ground, p->box.min.z);
    }
    j.there = NEW_N(c, bool, m->pieces.n + 1);
    return j;
}

static void blame(Judge *j, const char *what, int piece, int step) {
    if (!j->harm.n)
        j->harm = str_fmt(j->c, "%s: '%.*s' in \"%.*s\"", what,
                          STR_ARG(j->m->pieces.at[piece].name),
                          STR_ARG(j->m->steps.at[step].title));
}

static bool meets(Judge *j, int piece, V3 by, int other) {
    const Piece *p = &j->m->pieces.at[piece], *q = &j->m->pieces.at[other];
    Box3  box = { v3_add(p->box.min, by), v3_add(p->box.max, by) };
    Frame f   = p->frame;

    f.o = v3_add(f.o, by);
    return box3_touch(box, q->box, -DEEP / 2)
        && solid_overlap(j->c, j->m->parts.at[p->part].solid, &f,
                         j->m->parts.at[q->part].solid, &q->frame, DEEP).any;
}

static bool touches(Judge *j, int piece, int other) {
    const Piece *p = &j->m->pieces.at[piece], *q = &j->m->pieces.at[other];

    if (piece == other || !box3_touch(p->box, q->box, NUDGE))
        return false;
    for (int i = 0; i < j->n_ways; i++)
        if (meets(j, piece, v3_scale(j->ways[i], NUDGE), other))
            return true;
    return false;
}

static bool is_of(const int *at, int n, int piece) {
    for (int i = 0; i < n; i++)
        if (at[i] == piece)
            return true;
    return false;
}

static bool is_held_by_step(const Step *s, int piece) {
    for (int i = 0; i < s->fixes.n; i++) {
        const Fix *f = &s->fixes.at[i];
        if (f->to.n && (is_of(f->pieces.at, f->pieces.n, piece)
                        || is_of(f->to.at, f->to.n, piece)))
            return true;
    }
    for (int i = 0; i < s->holds.n; i++)
        if (is_of(s->holds.at[i].pieces.at, s->holds.at[i].pieces.n, piece))
            return true;
    return false;
}

static bool rests(Judge *j, int piece) {
    if (j->m->pieces.at[piece].box.min.z <= j->ground + HINGE)
        return true;
    for (int i = 0; i < j->m->pieces.n; i++)
        if (j->there[i] && touches(j, piece, i))
            return true;
    return false;
}

/* ---- Ways out, in strides ---- */

static bool leaves(Judge *j, const int *group, int n, V3 dir) {
    Box3   all = box3_empty();
    double far;

    for (int i = 0; i < j->m->pieces.n; i++)
        if (j->there[i]) {
            box3_add(&all, j->m->pieces.at[i].box.min);
            box3_add(&all, j->m->pieces.at[i].box.max);
        }
    far = v3_len(v3_sub(all.max, all.min));
    for (double t = NUDGE; t < far; t += t < STRIDE ? NUDGE * 4 : STRIDE)
        for (int g = 0; g < n; g++)
            for (int i = 0; i < j->m->pieces.n; i++)
                if (j->there[i] && !is_of(group, n, i)
                    && meets(j, group[g], v3_scale(dir, t), i))
                    return false;
    return true;
}

static bool finds_way(Judge *j, const int *group, int n) {
    for (int i = 0; i < j->n_ways; i++)
        if (leaves(j, group, n, j->ways[i]))
            return true;
    return false;
}

/* Takes out of the group what can go, one by one. */
static void take_singly(Judge *j, Group *group) {
    for (bool more = true; more; ) {
        more = false;
        for (int i = group->n - 1; i >= 0; i--) {
            int piece = group->at[i];
            if (!finds_way(j, &piece, 1))
                continue;
            j->there[piece] = false;
            memmove(&group->at[i], &group->at[i + 1],
                    sizeof *group->at * (size_t)(group->n - i - 1));
            group->n--;
            more = true;
        }
    }
}

/* All that hangs together with one of the group. */
static Group bunch_of(Judge *j, const Group *group, int first) {
    Group bunch = { 0 };

    *PUSH(j->c, &bunch) = first;
    for (int i = 0; i < bunch.n; i++)
        for (int k = 0; k < group->n; k++)
            if (!is_of(bunch.at, bunch.n, group->at[k])
                && touches(j, bunch.at[i], group->at[k]))
                *PUSH(j->c, &bunch) = group->at[k];
    return bunch;
}

static bool takes_bunch(Judge *j, const Group *group) {
    for (int i = 0; i < group->n; i++) {
        Group bunch = bunch_of(j, group, group->at[i]);
        Judge alone = *j;
        Group apart = { 0 };
        if (bunch.n < 2 || !finds_way(j, bunch.at, bunch.n))
            continue;
        alone.there = NEW_N(j->c, bool, j->m->pieces.n + 1);
        for (int k = 0; k < bunch.n; k++) {
            alone.there[bunch.at[k]] = true;
            *PUSH(j->c, &apart) = bunch.at[k];
        }
        take_singly(&alone, &apart);
        if (apart.n)
            continue;
        for (int k = 0; k < bunch.n; k++)
            j->there[bunch.at[k]] = false;
        return true;
    }
    return false;
}

static void judge_ways(Judge *j, int step) {
    const Step *s    = &j->m->steps.at[step];
    Group       left = { 0 };

    for (int i = 0; i < s->add.n; i++)
        *PUSH(j->c, &left) = s->add.at[i];
    while (!s->tilts && left.n) {
        int n = 0;
        take_singly(j, &left);
        if (!left.n)
            break;
        if (!takes_bunch(j, &left)) {
            blame(j, "no way in", left.at[0], step);
            break;
        }
        for (int i = 0; i < left.n; i++)
            if (j->there[left.at[i]])
                left.at[n++] = left.at[i];
        left.n = n;
    }
    for (int i = 0; i < s->add.n; i++)
        j->there[s->add.at[i]] = true;
}

/* ---- The driver, as points ---- */

static bool is_inside(const Model *m, int piece, V3 at) {
    const Piece *p = &m->pieces.at[piece];
    const Solid *s = m->parts.at[p->part].solid;
    V3     d = v3_sub(at, p->frame.o);
    V3     l = v3(v3_dot(d, p->frame.x), v3_dot(d, p->frame.y),
                  v3_dot(d, p->frame.z));

    for (int i = 0; i < s->cells.n; i++) {
        bool in = true;
        for (int k = 0; k < s->cells.at[i].face.n && in; k++) {
            const Plane *f = &s->cells.at[i].face.at[k].plane;
            in = v3_dot(f->n, l) < f->d - DEEP;
        }
        if (in)
            return true;
    }
    return false;
}

/* A bit in its holder is 6 in long and 16 mm thick, a nail set with the
 * hand behind it 4 in: docs/messages.md. */
static bool is_reached(const Judge *j, const Fastener *f, int in_the_way) {
    bool   screw = j->m->hardware.at[f->hardware].drive == DRIVE_SCREW
                || j->m->hardware.at[f->hardware].drive == DRIVE_POCKET;
    V3     u = v3_unit(v3_cross(f->axis, fabs(f->axis.z) < 0.9
                                ? v3(0, 0, 1) : v3(1, 0, 0)));
    V3     v = v3_cross(f->axis, u);

    for (double t = 1; t < (screw ? 152.4 : 101.6); t += 2) {
        V3 at = v3_sub(f->head, v3_scale(f->axis, t));
        if (is_inside(j->m, in_the_way, at))
            return false;
        for (int k = 0; k < 12 && t > 8; k++) {
            double a = k * PI_ / 6;
            if (is_inside(j->m, in_the_way, v3_add(at, v3_add(
                    v3_scale(u, 7.9 * cos(a)), v3_scale(v, 7.9 * sin(a))))))
                return false;
        }
    }
    return true;
}

/* What stood before the step must leave room; what it adds may wait. */
static void judge_drivers(Judge *j, int step) {
    const Step *s = &j->m->steps.at[step];

    for (int i = 0; i < j->m->fasteners.n; i++) {
        const Fastener *f = &j->m->fasteners.at[i];
        Drive drive = j->m->hardware.at[f->hardware].drive;
        if (f->step != step || drive == DRIVE_NONE || drive == DRIVE_DOWEL
            || f->held <= 0)
            continue;
        for (int p = 0; p < j->m->pieces.n; p++)
            if (j->there[p] && p != f->from
                && !is_of(s->add.at, s->add.n, p) && !is_reached(j, f, p))
                blame(j, "no room for the driver before", p, step);
    }
}

/* ---- A step, an order ---- */

static void take_away(Judge *j, const int *at, int n, int step) {
    for (int i = 0; i < n; i++) {
        if (!j->there[at[i]])
            blame(j, "is not there to be taken away", at[i], step);
        j->there[at[i]] = false;
    }
    for (int p = 0; p < j->m->pieces.n; p++) {
        bool held = !j->there[p] || j->m->pieces.at[p].temporary
                 || rests(j, p);
        for (int k = 0; k < j->m->steps.n && !held; k++)
            held = is_held_by_step(&j->m->steps.at[k], p);
        if (!held && n)
            blame(j, "nothing is left to hold", p, step);
    }
}

static void judge_step(Judge *j, int step, bool first) {
    const Step *s = &j->m->steps.at[step];

    take_away(j, s->removes.at, s->removes.n, step);
    for (int i = 0; i < s->add.n; i++)
        j->there[s->add.at[i]] = true;
    for (int i = 0; i < s->fixes.n; i++) {
        const Fix *f = &s->fixes.at[i];
        for (int k = 0; k < f->pieces.n; k++)
            if (!j->there[f->pieces.at[k]])
                blame(j, "fixed too early", f->pieces.at[k], step);
        for (int k = 0; k < f->to.n; k++)
            if (!j->there[f->to.at[k]])
                blame(j, "fixed to too early", f->to.at[k], step);
    }
    for (int i = 0; i < s->add.n && !first; i++)
        if (!j->m->pieces.at[s->add.at[i]].temporary
            && !is_held_by_step(s, s->add.at[i]) && !rests(j, s->add.at[i]))
            blame(j, "nothing holds", s->add.at[i], step);
    judge_ways(j, step);
    judge_drivers(j, step);
    take_away(j, s->with.at, s->with.n, step);
}

/* What is wrong with the steps in this order, the steps before `from` being
 * known to be well; empty: nothing. */
static Str judged(Judge *j, const int *order, int from, int to) {
    j->harm = STR("");
    for (int i = 0; i < j->m->pieces.n; i++)
        j->there[i] = false;
    for (int i = 0; i < from; i++) {
        const Step *s = &j->m->steps.at[order[i]];
        for (int k = 0; k < s->removes.n; k++)
            j->there[s->removes.at[k]] = false;
        for (int k = 0; k < s->add.n; k++)
            j->there[s->add.at[k]] = true;
        for (int k = 0; k < s->with.n; k++)
            j->there[s->with.at[k]] = false;
    }
    for (int i = from; i < to && !j->harm.n; i++)
        judge_step(j, order[i], i == 0);
    return j->harm;
}

/* ---- Swapped ---- */

static void swap_steps(const Design *d, int a, int b) {
    Node *at[2] = { NULL, NULL };
    Node  kept;
    int   i = 0;

    for (Node *n = member(d->root, "steps")->first; n; n = n->next, i++) {
        if (i == a)
            at[0] = n;
        if (i == b)
            at[1] = n;
    }
    kept = *at[0];
    *at[0] = *at[1];
    at[0]->next = kept.next;
    kept.next   = at[1]->next;
    *at[1] = kept;
}

/* Takes a member out of an object. */
static void drop(Node *object, const char *key) {
    for (Node **at = &object->first; *at; at = &(*at)->next)
        if (str_is((*at)->key, key)) {
            *at = (*at)->next;
            return;
        }
}

/* Without its fixings a step can only fail by ways in and by what holds. */
static const Design *design_for(Ctx *c, const char *path, bool bare) {
    const Design *d = design_read(c, path);

    assert_non_null(d);
    for (Node *n = member(d->root, "steps")->first; bare && n; n = n->next) {
        drop(n, "fix");
        drop(n, "say");   // may count fasteners
    }
    return d;
}

/* Does the program tell of the order, naming a piece? */
static bool is_caught(const Ctx *c) {
    static const DiagCode codes[] = { STEP_LATE, BLOCKED, UNHELD,
        TEMPORARY_BAD, TEMPORARY_STAYS, FASTENER_REACH };
    bool caught = false;

    for (int i = 0; i < c->diags.n; i++)
        for (int k = 0; k < COUNT(codes); k++)
            caught |= c->diags.at[i].code == codes[k]
                   && str_find(c->diags.at[i].what, '\'', 0)
                      < c->diags.at[i].what.n;
    return caught;
}

typedef struct { int swaps, harmful, wrong; } Tally;

static void check_swap(Judge *j, const char *path, bool bare, int *order,
                       int a, int b, Tally *t) {
    Ctx           c;
    const Design *d;
    Str           harm, said;
    bool          caught;

    order[a] = b, order[b] = a;
    harm = judged(j, order, a, b + 1);
    order[a] = a, order[b] = b;
    ctx_init(&c, &real_files);
    d = design_for(&c, path, bare);
    swap_steps(d, a, b);
    (void)!model_build(&c, d, sizes_new(&c));
    caught = is_caught(&c);
    if (caught != (harm.n > 0)) {
        said = diags_text(&c);
        print_message("%s: steps %d and %d swapped: judge '%.*s', program "
                      "'%.*s'\n", path, a + 1, b + 1, STR_ARG(harm),
                      STR_ARG(said));
        t->wrong++;
    }
    t->swaps++;
    t->harmful += harm.n > 0;
    ctx_free(&c);
}

/* Pairs of steps of a design that are not far from each other. */
static Tally check_swaps(const char *path, bool bare) {
    Ctx          c;
    const Model *m;
    Judge        j;
    Tally        t = { 0, 0, 0 };
    int         *order;

    ctx_init(&c, &real_files);
    m = model_build(&c, design_for(&c, path, bare), sizes_new(&c));
    assert_non_null(m);
    j     = judge_of(&c, m);
    order = NEW_N(&c, int, m->steps.n + 1);
    for (int i = 0; i < m->steps.n; i++)
        order[i] = i;
    if (!bare)
        assert_str(judged(&j, order, 0, m->steps.n), "");
    for (int a = 0; a < m->steps.n; a++)
        for (int b = a + 1; b < m->steps.n && b <= a + FARTHEST; b++)
            check_swap(&j, path, bare, order, a, b, &t);
    ctx_free(&c);
    return t;
}

static void swapped(bool bare, Tally *all, int *without_harm) {
    glob_t g = all_designs();

    for (size_t k = 0; k < g.gl_pathc; k++) {
        Tally t = check_swaps(g.gl_pathv[k], bare);
        all->swaps   += t.swaps;
        all->harmful += t.harmful;
        all->wrong   += t.wrong;
        *without_harm += t.harmful == 0;
    }
    globfree(&g);
}

static void swapped_steps_that_do_harm_are_caught(void **state) {
    Tally all = { 0, 0, 0 };
    int   without = 0;

    (void)state;
    swapped(false, &all, &without);
    assert_int_equal(all.wrong, 0);
    assert_int_equal(without, 0);   // each design has one to be caught
}

static void ways_and_what_holds_are_caught_alone(void **state) {
    Tally all = { 0, 0, 0 };
    int   without = 0;

    (void)state;
    swapped(true, &all, &without);
    assert_int_equal(all.wrong, 0);
    assert_true(all.harmful > all.swaps / 10);
}

/* ---- Found ---- */

/* The found steps as an author would write them. */
static const Design *with_steps(Ctx *c, const char *path, const Model *m) {
    Buf           out = BUF(c);
    const Design *d   = design_read(c, path), *other;

    buf_add(&out, "{\"rodbook\": 1, \"title\": \"T\", \"steps\": [");
    for (int i = 0; i < m->steps.n; i++) {
        const Step *s = &m->steps.at[i];
        buf_add(&out, "%s{\"title\": \"S\", \"add\": [", i ? ", " : "");
        for (int k = 0; k < s->add.n; k++) {
            buf_add(&out, k ? ", " : "");
            buf_json(&out, m->pieces.at[s->add.at[k]].name);
        }
        buf_add(&out, "]}");
    }
    buf_add(&out, "]}");
    other = design_parse(c, source_add(c, "steps.json", buf_done(&out)));
    assert_non_null(other);
    member(d->root, "steps")->first = member(other->root, "steps")->first;
    return d;
}

static void drop_temporary(Node *pieces) {
    for (Node **at = &pieces->first; *at; )
        if (member(*at, "temporary")) {
            *at = (*at)->next;
            pieces->count--;
        } else {
            at = &(*at)->next;
        }
}

/* How many steps add a piece of the part. */
static int steps_of(const Model *m, int part) {
    int n = 0;

    for (int i = 0; i < m->steps.n; i++) {
        bool here = false;
        for (int k = 0; k < m->steps.at[i].add.n; k++)
            here |= m->pieces.at[m->steps.at[i].add.at[k]].part == part;
        n += here;
    }
    return n;
}

static bool on_the_ground(const Model *m, const Step *s) {
    for (int k = 0; k < s->add.n; k++)
        if (m->pieces.at[s->add.at[k]].box.min.z > ground_of(m) + HINGE)
            return false;
    return true;
}

static void check_found(const char *path) {
    Ctx           c;
    const Design *d;
    const Model  *m;
    Judge         j;
    int          *order;

    ctx_init(&c, &real_files);
    d = design_read(&c, path);
    drop(d->root, "steps");
    drop_temporary(member(d->root, "pieces"));
    m = model_build(&c, d, sizes_new(&c));
    assert_non_null(m);
    assert_true(m->order_found);
    j     = judge_of(&c, m);
    order = NEW_N(&c, int, m->steps.n + 1);
    for (int i = 0; i < m->steps.n; i++)
        order[i] = i;
    assert_true(on_the_ground(m, &m->steps.at[0]));
    for (int i = 0; i < m->parts.n; i++)   // alike pieces all at once
        assert_int_equal(steps_of(m, i), !m->parts.at[i].jig);
    assert_str(judged(&j, order, 0, m->steps.n), "");
    d = with_steps(&c, path, m);
    drop_temporary(member(d->root, "pieces"));
    c.diags.n = 0;
    m = model_build(&c, d, sizes_new(&c));
    assert_non_null(m);
    assert_false(m->order_found);
    assert_false(is_caught(&c));
    ctx_free(&c);
}

static void found_orders_can_be_done(void **state) {
    glob_t g = all_designs();

    (void)state;
    for (size_t k = 0; k < g.gl_pathc; k++)
        check_found(g.gl_pathv[k]);
    globfree(&g);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(found_orders_can_be_done),
        TEST(swapped_steps_that_do_harm_are_caught),
        TEST(ways_and_what_holds_are_caught_alone),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
