/* cut_list -- the cuts of one board in order, those of one saw setting in one
 * line, in columns under its diagram; where leaves are sawn in between; and how
 * pieces with slanted ends are cut from their blanks.
 */
#include "plan/cut_order.h"
#include "press/sections.h"

#include <math.h>

#define SAME_MM  0.01        // two places on a board are one

static Figure len(Press *p, double mm, const char *source) {
    return figure_length(p->c, p->e, quantity_mm(mm), str_from(p->c, source));
}

#define LIST_COLUMNS 3
#define LIST_GAP     5.0

static bool same_setting(const Cut *a, const Cut *b) {
    return a->rip == b->rip && a->small == b->small && a->narrow == b->narrow
        && fabs(a->setting - b->setting) < 1e-5;
}

/* How many cuts from the i-th on are made with one setting. */
static int group_at(const Layout *l, int i) {
    int n = 1;

    while (i + n < l->cuts.n && i + n != l->strips_at
           && same_setting(&l->cuts.at[i], &l->cuts.at[i + n]))
        n++;
    return n;
}

static int count_groups(const Layout *l) {
    int n = 0;

    for (int i = 0; i < l->cuts.n; i += group_at(l, i))
        n++;
    return n;
}

/* The n-th blank of the board, counted from 0, of pieces head to tail that is
 * the first of its item; or -1. */
static int heads_item(const Press *p, const Layout *l, int n) {
    for (int i = 0; i < l->placed.n; i++) {
        bool first = p->plan->items.at[l->placed.at[i].item].heads > 0;
        for (int k = 0; k < i; k++)
            first &= l->placed.at[k].item != l->placed.at[i].item;
        if (first && n-- == 0)
            return l->placed.at[i].item;
    }
    return -1;
}

/* Leaves are sawn between the cuts that make strips and those after them. */
static bool is_resawn(const Press *p, const Layout *l) {
    return p->m->stocks.at[l->stock].leaves > 0;
}

static int rows_of(const Press *p, const Layout *l) {
    int lines = count_groups(l) + is_resawn(p, l);

    return (lines + LIST_COLUMNS - 1) / LIST_COLUMNS;
}

static void say_cut_number(Press *p, Para *para, int number) {
    say_figure_bold(p, para, figure_count(p->c, number,
                                          STR("number of the cut")));
}

/* Does the blank lie in what the cut parts from the rest: between the blade
 * and what the setting measures from? */
static bool is_cut_off(const Press *p, const Cut *cut, const Placed *at) {
    double u0 = cut->rip ? at->y : at->x, v0 = cut->rip ? at->x : at->y;
    double u1 = u0 + (cut->rip ? at->width : at->length);
    double v1 = v0 + (cut->rip ? at->length : at->width);
    bool   beyond = fabs(cut->at - cut->near - cut->setting) > SAME_MM;
    double from   = beyond ? cut->at + p->m->kerf.real : cut->near;
    double to     = beyond ? cut->far : cut->at;

    return u0 > from - SAME_MM && u1 < to + SAME_MM
        && v0 > cut->from - SAME_MM && v1 < cut->to + SAME_MM;
}

#define MOST_CUT_OFF 3   // letters in a line of the list

/* "(F)(G)": what `n` cuts from the first on part from the rest, each letter
 * once; false: too many. */
static bool say_cut_off(Press *p, Para *para, const Layout *l, int first,
                        int n) {
    bool *said = NEW_N(p->c, bool, p->m->parts.n + 1);
    int   many = 0;

    for (int i = 0; i < l->placed.n; i++) {
        int  part = p->plan->items.at[l->placed.at[i].item].part;
        bool off  = false;
        for (int k = first; k < first + n; k++)
            off |= is_cut_off(p, &l->cuts.at[k], &l->placed.at[i]);
        if (!off || said[part])
            continue;
        said[part] = true;
        if (++many > MOST_CUT_OFF)
            return false;
        say(p, para, many == 1 ? ": " : "");
        say_letter(p, para, part);
    }
    return many > 0;
}

static bool all_shown(const bool *shown, int first, int n) {
    for (int i = first; i < first + n; i++)
        if (!shown[i])
            return false;
    return true;
}

static Para group_line(Press *p, const Layout *l, int first, int n,
                       const bool *shown) {
    const Cut *cut  = &l->cuts.at[first];
    Para       para = { 0 }, off = { 0 };

    say_cut_number(p, &para, first + 1);
    if (n > 1) {
        say_bold(p, &para, n > 2 ? " to " : ", ");
        say_cut_number(p, &para, first + n);
    }
    if (cut->small || cut->narrow)
        say_bold(p, &para, cut->small ? " *" : " †");
    say(p, &para, cut->rip ? "  rip, fence at " : "  crosscut, stop at ");
    say_figure(p, &para, len(p, cut->setting, "saw setting"));
    if (!all_shown(shown, first, n) && say_cut_off(p, &off, l, first, n))
        (void)say_cut_off(p, &para, l, first, n);
    return para;
}

/* The last of them is mitered by itself. */
bool heads_are_small(const Part *part) {
    return part->long_length.real < SMALL_HELD_MM - 1e-6;
}

/* "miter gauge at 30°, blade tilted 15°"; "square". */
static void say_setting(Press *p, Para *para, const EndCut *cut) {
    if (cut->miter.real <= 0 && cut->bevel.real <= 0)
        say(p, para, "square");
    if (cut->miter.real > 0) {
        say(p, para, "miter gauge at ");
        say_figure(p, para, figure_angle(p->c, cut->miter,
                                         STR("saw setting")));
    }
    if (cut->bevel.real > 0) {
        say(p, para, cut->miter.real > 0 ? ", blade tilted "
                                         : "blade tilted ");
        say_figure(p, para, figure_angle(p->c, cut->bevel,
                                         STR("saw setting")));
    }
}

/* Do the two cuts of a piece lean against each other? Then the wood is
 * turned over between them, and the saw stays as it is. */
static bool ends_lean_apart(const Part *part) {
    const EndCut *l = &part->ends[0], *r = &part->ends[1];

    return (l->miter.real > 0 && r->miter.real > 0
            && l->long_near == r->long_near)
        || (l->bevel.real > 0 && r->bevel.real > 0
            && l->long_back == r->long_back);
}

/* "(B)  8 head to tail, each 11 in along its longest edge: miter gauge at
 * 45°; turn the wood over, face for face, after each cut." */
static Para heads_line(Press *p, const CutItem *item) {
    const Part *part = &p->m->parts.at[item->part];
    HeadTurn    turn = heads_turn(part);
    Para        para = { 0 };

    say_letter(p, &para, item->part);
    if (heads_are_small(part))
        say_bold(p, &para, " *");
    say(p, &para, "  ");
    say_count(p, &para, item->heads, "pieces in one blank");
    say(p, &para, " head to tail, each ");
    say_figure(p, &para, len(p, longest_edge(part), "longest edge"));
    say(p, &para, " along its longest edge: ");
    say_setting(p, &para, &part->ends[0]);
    if (!ends_same_angles(part)) {
        say(p, &para, " and ");
        say_setting(p, &para, &part->ends[1]);
        say(p, &para, " by turns");
    }
    say(p, &para, ends_lean_apart(part)
        ? "; turn the wood over, face for face, after each cut."
        : "; leave the wood as it lies.");
    if (turn == HEADS_FACE_FOR_FACE || turn == HEADS_OVER)
        say(p, &para, " Each second piece has its show face below, so both "
            "faces of the board must be good.");
    return para;
}

static Para resaw_line(Press *p, const Layout *l) {
    Para para = { 0 };

    say_bold(p, &para, p->m->stocks.at[l->stock].from_edges
             ? "Now saw leaves from the strips' edges"
             : "Now saw the strips into leaves");
    if (l->small_strips)
        say_bold(p, &para, " *");
    return para;
}

/* Down the first column, then the next. */
static void list_cuts(Press *p, const Layout *l, const bool *shown) {
    int    lines = count_groups(l) + is_resawn(p, l), first = 0;
    int    rows  = rows_of(p, l);
    double step  = (TEXT_W + LIST_GAP) / LIST_COLUMNS;
    bool   told  = !is_resawn(p, l);

    for (int g = 0; g < lines; g++) {
        bool resaw = !told && first == l->strips_at;
        int  n     = resaw ? 0 : group_at(l, first);
        Para para  = resaw ? resaw_line(p, l)
                           : group_line(p, l, first, n, shown);
        para_at(p, &para, v2(p->left + g / rows * step,
                             p->y + (g % rows + 1) * BASE_LINE - 1),
                ALIGN_LEFT, STYLE_NOTE);
        first += n;
        told   = told || resaw;
    }
    p->y += rows * BASE_LINE;
}

/* How the blanks of pieces with slanted ends are cut up; `draw`, or only the
 * height. */
static double list_heads(Press *p, const Layout *l, bool draw) {
    double y = 0;

    for (int n = 0; heads_item(p, l, n) >= 0; n++) {
        Para para = heads_line(p, &p->plan->items.at[heads_item(p, l, n)]);
        if (draw)
            (void)para_draw(p, &para, p->left, p->y + y, TEXT_W, STYLE_NOTE);
        y += para_height(p, &para, TEXT_W, STYLE_NOTE);
    }
    return y;
}

double cut_list_height(Press *p, const Layout *l) {
    return rows_of(p, l) * BASE_LINE + list_heads(p, l, false);
}

void cut_list(Press *p, const Layout *l, const bool *shown) {
    list_cuts(p, l, shown);
    p->y += list_heads(p, l, true);
}
