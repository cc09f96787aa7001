/* match -- holds the numerals of a page against the figures that should
 * stand there.
 *
 * 1. A figure agrees if its text begins within 1 mm of its place (0.7 mm
 *    from its baseline), reads the same in one spelling for all, and cuts
 *    no numeral in two.
 * 2. A whole number and a fraction that only happen to stand close are
 *    read as one numeral; two figures that share it between them agree.
 * 3. A figure that did not agree disagrees with what stands at its place,
 *    or is missing if no numeral does.
 * 4. Numerals that are left belong to no figure.
 */
#include "proof/proof_internal.h"

#include <math.h>

#define PLACE_MM    1.0   // along the baseline
#define BASELINE_MM 0.7   // across it
#define ROUNDING    1e-6

/* A line of the page under proof, its numerals, and for every character who has
 * spoken for it. */
typedef enum { FREE, SHARED, AGREED, REPORTED } Mark;   // grows only

typedef struct {
    const Line *line;
    LIST(Span)  spans;
    Mark       *marks;
} Checked;

typedef enum { OPEN, AGREES, DONE } State;

typedef struct {
    const Claim *claim;
    Str   normal;         // its text in the one spelling
    State state;
    int   line, from, to; // where it fits, if shared
} Wanted;

typedef struct {
    Ctx      *c;
    Findings *f;
    int       page;       // as read
    LIST(Checked) lines;
    LIST(Wanted)  wanted;
} Proof;

static Finding *add_finding(Proof *p, FindingKind kind, V2 at) {
    Finding *finding = PUSH(p->c, &p->f->list);

    finding->kind   = kind;
    finding->page   = p->page;
    finding->at     = at;
    finding->says   = finding->should = finding->source = STR("");
    return finding;
}

/* ---- Places ---- */

/* How far character i lies from a place: along the line and across it. */
static V2 offset(const Line *line, int i, V2 at) {
    V2 d = { line->chars.at[i].at.x - at.x, line->chars.at[i].at.y - at.y };

    return (V2){ d.x * line->dir.x + d.y * line->dir.y,
                 d.x * line->dir.y - d.y * line->dir.x };
}

static bool is_at(const Line *line, int i, V2 at, double *how_far) {
    V2 d = offset(line, i, at);

    *how_far = fabs(d.x) + fabs(d.y);
    return fabs(d.x) <= PLACE_MM && fabs(d.y) <= BASELINE_MM;
}

static void mark_chars(Checked *l, int from, int to, Mark mark) {
    for (int i = from; i < to; i++) {
        if (l->marks[i] < mark)
            l->marks[i] = mark;
    }
}

/* The least mark of a numeral's digits. */
static Mark least_mark(const Checked *l, const Span *s) {
    Mark least = REPORTED;

    for (int i = s->digits; i < s->to; i++) {
        if (l->line->chars.at[i].ch != ' ' && l->marks[i] < least)
            least = l->marks[i];
    }
    return least;
}

/* ---- Figures that agree ---- */

typedef enum { CUTS, CUTS_JOINT, CUTS_NOTHING } Cuts;

/* What a figure over chars [from, to) does to the numerals at its ends. A
 * dollar sign may stand apart from its figure. */
static Cuts cuts(const Checked *l, int from, int to) {
    Cuts worst = CUTS_NOTHING;

    for (int i = 0; i < l->spans.n; i++) {
        const Span *s    = &l->spans.at[i];
        bool        head = s->from < from && from < s->to;
        bool        tail = s->from < to && to < s->to;
        if (head && from == s->digits
            && l->line->chars.at[from - 1].ch == '$'
            && from - 1 == s->from)
            head = false;
        if (!head && !tail)
            continue;
        if ((head && from != s->fraction) || (tail && to != s->joint))
            return CUTS;
        worst = CUTS_JOINT;
    }
    return worst;
}

/* The end of the text that begins at character `from` and reads as wanted, or
 * -1. A fraction has one character or many, so lengths say little. */
static int reads_to(Proof *p, const Checked *l, int from, Str normal) {
    const Char *chars = l->line->chars.at;
    int         last  = from + (int)normal.n * 2 + 4;

    if (chars[from].ch == ' ')
        return -1;
    for (int to = from + 1; to <= l->line->chars.n && to <= last; to++) {
        Str text = numeral_normal(p->c, chars + from, to - from);
        if (str_eq(text, normal))
            return to;
        if (text.n > normal.n + 3)
            return -1;
    }
    return -1;
}

/* Finds the nearest place where the figure fits at least as well as asked.
 */
static bool find_fit(Proof *p, Wanted *w, Cuts least) {
    double nearest = INFINITY, how_far;

    for (int i = 0; i < p->lines.n; i++) {
        const Checked *l = &p->lines.at[i];
        for (int k = 0; k < l->line->chars.n; k++) {
            int to;
            if (!is_at(l->line, k, w->claim->at, &how_far)
                || how_far >= nearest)
                continue;
            to = reads_to(p, l, k, w->normal);
            if (to < 0 || cuts(l, k, to) < least)
                continue;
            nearest = how_far;
            w->line = i;
            w->from = k;
            w->to   = to;
        }
    }
    return nearest < INFINITY;
}

static void match_agreeing(Proof *p) {
    for (int i = 0; i < p->wanted.n; i++) {
        Wanted *w = &p->wanted.at[i];
        if (!find_fit(p, w, CUTS_NOTHING))
            continue;
        mark_chars(&p->lines.at[w->line], w->from, w->to,
                   w->state == DONE ? REPORTED : AGREED);
        w->state = w->state == DONE ? DONE : AGREES;
    }
}

/* Are all numerals that the figure touches wholly spoken for? */
static bool is_completed(const Checked *l, const Wanted *w) {
    for (int i = 0; i < l->spans.n; i++) {
        const Span *s = &l->spans.at[i];
        if (s->from < w->to && w->from < s->to && least_mark(l, s) == FREE)
            return false;
    }
    return true;
}

static void match_shared(Proof *p) {
    for (int i = 0; i < p->wanted.n; i++) {
        Wanted *w = &p->wanted.at[i];
        w->line = -1;
        if (w->state == OPEN && find_fit(p, w, CUTS_JOINT))
            mark_chars(&p->lines.at[w->line], w->from, w->to, SHARED);
    }
    for (int i = 0; i < p->wanted.n; i++) {
        Wanted *w = &p->wanted.at[i];
        if (w->state == OPEN && w->line >= 0
            && is_completed(&p->lines.at[w->line], w)) {
            mark_chars(&p->lines.at[w->line], w->from, w->to, AGREED);
            w->state = AGREES;
        }
    }
}

/* ---- Figures that do not ---- */

/* How far a numeral that nobody spoke for lies from the figure's place:
 * 0 to PLACE_MM if it begins there, more if it only overlaps the figure's
 * width, INFINITY if it does neither. */
static double misfit(const Checked *l, const Span *s, const Claim *claim) {
    V2     first = offset(l->line, s->from, claim->at);
    V2     last  = offset(l->line, s->to - 1, claim->at);
    double end   = last.x + l->line->chars.at[s->to - 1].width;

    if (least_mark(l, s) >= AGREED || fabs(first.y) > BASELINE_MM)
        return INFINITY;
    if (fabs(first.x) <= PLACE_MM)
        return fabs(first.x);
    if (first.x < claim->width && end > 0)
        return PLACE_MM + fabs(first.x);
    return INFINITY;
}

/* From the character nearest to the figure's place to the last numeral that
 * overlaps the figure: "PT-02" where "PT-01" should stand. */
static void report_instead(Proof *p, Checked *l, const Span *s,
                           const Wanted *w) {
    const Claim *claim = w->claim;
    Finding     *finding;
    int          from  = s->from, to = s->to;
    double       how_far;

    for (int k = s->from - 1; k >= 0; k--) {
        if (is_at(l->line, k, claim->at, &how_far)
            && l->line->chars.at[k].ch != ' ')
            from = k;
    }
    for (int i = 0; i < l->spans.n; i++) {
        const Span *other = &l->spans.at[i];
        if (other->from >= s->to && least_mark(l, other) < AGREED
            && offset(l->line, other->from, claim->at).x < claim->width)
            to = other->to;
    }
    finding = add_finding(p, FINDING_DISAGREES, l->line->chars.at[from].at);
    finding->says   = chars_text(p->c, l->line->chars.at + from, to - from);
    finding->should = claim->shown;
    finding->source = claim->source;
    mark_chars(l, from, to, REPORTED);
}

static void match_disagreeing(Proof *p, Wanted *w) {
    double   least = INFINITY;
    Checked *line  = NULL;
    Span     span  = { 0 };
    Finding *finding;

    for (int i = 0; i < p->lines.n; i++) {
        Checked *l = &p->lines.at[i];
        for (int k = 0; k < l->spans.n; k++) {
            double how_far = misfit(l, &l->spans.at[k], w->claim);
            if (how_far < least) {
                least = how_far;
                line  = l;
                span  = l->spans.at[k];
            }
        }
    }
    if (line) {
        report_instead(p, line, &span, w);
        return;
    }
    finding         = add_finding(p, FINDING_MISSING, w->claim->at);
    finding->should = w->claim->shown;
    finding->source = w->claim->source;
}

static void report_rest(Proof *p) {
    for (int i = 0; i < p->lines.n; i++) {
        const Checked *l = &p->lines.at[i];
        for (int k = 0; k < l->spans.n; k++) {
            const Span *s     = &l->spans.at[k];
            const Char *chars = l->line->chars.at + s->from;
            Mark        least = least_mark(l, s);
            p->f->numerals++;
            p->f->agree += least == AGREED;
            if (least < AGREED)
                add_finding(p, FINDING_UNKNOWN, chars[0].at)->says =
                    chars_text(p->c, chars, s->to - s->from);
        }
    }
}

/* ---- The figure itself ---- */

/* +1 for a heavy mark, -1 for a light one, 0 for none. */
static int mark_sign(Str shown) {
    shown = str_trim(shown);
    return str_ends(shown, "+") ? 1 : str_ends(shown, "−") ? -1 : 0;
}

/* Does the text say the value, to its step, and does its mark point the
 * right way? */
static bool says_value(const Claim *claim) {
    double shown;

    if (!numeral_value(claim->shown, &shown))
        return false;
    if (!(fabs(shown - claim->value) <= claim->step / 2 + ROUNDING))
        return false;
    return mark_sign(claim->shown) * (claim->value - shown) >= -ROUNDING;
}

static void check_value(Proof *p, Wanted *w) {
    Finding *finding;
    Buf      exact = BUF(p->c);

    if (!w->claim->measured || says_value(w->claim))
        return;
    buf_num(&exact, w->claim->value, 5);
    finding         = add_finding(p, FINDING_DISAGREES, w->claim->at);
    finding->says   = w->claim->shown;
    finding->should = buf_done(&exact);
    finding->source = w->claim->source;
    w->state        = DONE;
}

/* ---- Pages ---- */

static void take_lines(Proof *p, const ReadPage *page) {
    for (int i = 0; i < page->lines.n; i++) {
        const Line *line = &page->lines.at[i];
        Checked    *l    = PUSH(p->c, &p->lines);
        int         at   = 0;
        Span        span;
        l->line  = line;
        l->marks = NEW_N(p->c, Mark, line->chars.n);
        while (numeral_next(line->chars.at, line->chars.n, &at, &span))
            *PUSH(p->c, &l->spans) = span;
    }
}

static void take_claims(Proof *p, const Expected *should, int page) {
    for (int i = 0; i < should->claims.n; i++) {
        const Claim *claim = &should->claims.at[i];
        Wanted      *w;
        Line         text;
        if (claim->page != page)
            continue;
        text      = numeral_chars(p->c, claim->shown);
        w         = PUSH(p->c, &p->wanted);
        w->claim  = claim;
        w->normal = numeral_normal(p->c, text.chars.at, text.chars.n);
    }
}

static void match_page(Ctx *c, const ReadBook *b, const Expected *should,
                       int page, int read, Findings *f) {
    Proof p = { .c = c, .f = f, .page = read };

    take_lines(&p, &b->pages.at[read]);
    take_claims(&p, should, page);
    for (int i = 0; i < p.wanted.n; i++)
        check_value(&p, &p.wanted.at[i]);
    match_agreeing(&p);
    match_shared(&p);
    for (int i = 0; i < p.wanted.n; i++) {
        if (p.wanted.at[i].state == OPEN)
            match_disagreeing(&p, &p.wanted.at[i]);
    }
    report_rest(&p);
}

/* Figures that were never meant for a page that exists. */
static void report_astray(Ctx *c, const Expected *should, Findings *f) {
    Proof p = { .c = c, .f = f };

    for (int i = 0; i < should->claims.n; i++) {
        const Claim *claim = &should->claims.at[i];
        Finding     *finding;
        if (claim->page >= 0 && claim->page < should->pages)
            continue;
        p.page          = claim->page;
        finding         = add_finding(&p, FINDING_MISSING, claim->at);
        finding->should = claim->shown;
        finding->source = claim->source;
    }
}

void match_pages(Ctx *c, const ReadBook *b, const Expected *should,
                 const int *read_of, Findings *f) {
    for (int i = 0; i < should->pages; i++) {
        if (read_of[i] >= 0)
            match_page(c, b, should, i, read_of[i], f);
    }
    report_astray(c, should, f);
}
