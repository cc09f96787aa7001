/* text -- words, figures and letters on lines.
 *
 * A Para is cut into atoms: a word, a figure with its unit, a circled
 * letter, a check box. Lines are filled greedily and broken only where
 * there was a space, so a figure stays with its unit and its mark. (The
 * rival, breaking a whole paragraph at once, is for justified setting; our
 * right edge is ragged.)
 *
 * Digits come here by figures only (span.c sees to it), and each figure
 * drawn is noted in the ledger with its place: that is how every numeral of
 * a page can be accounted for.
 */
#include "press/press_internal.h"

#define GAP "\xE2\x80\xAF"   // U+202F, narrow, no break
#define PI  3.14159265358979323846

const Style STYLE_NOTE      = { FONT_REGULAR, SIZE_NOTE, INK_BLACK };
const Style STYLE_NOTE_BOLD = { FONT_BOLD, SIZE_NOTE, INK_BLACK };
const Style STYLE_FOOT      = { FONT_REGULAR, SIZE_NOTE, INK_GRAY };
const Style STYLE_TEXT      = { FONT_REGULAR, SIZE_TEXT, INK_BLACK };
const Style STYLE_TEXT_BOLD = { FONT_BOLD, SIZE_TEXT, INK_BLACK };
const Style STYLE_LEAD      = { FONT_REGULAR, SIZE_LEAD, INK_BLACK };
const Style STYLE_LEAD_BOLD = { FONT_BOLD, SIZE_LEAD, INK_BLACK };
const Style STYLE_HEAD      = { FONT_BOLD, SIZE_HEAD, INK_BLACK };
const Style STYLE_NUMBER    = { FONT_LIGHT, SIZE_NUMBER, INK_BLACK };
const Style STYLE_COVER     = { FONT_LIGHT, SIZE_COVER, INK_BLACK };
const Style STYLE_SMALL     = { FONT_REGULAR, SIZE_SMALL, INK_BLACK };
const Style STYLE_DIM       = { FONT_REGULAR, SIZE_TEXT, INK_BLACK };

double leading_of(double size) {
    return size <= SIZE_TEXT ? BASE_LINE
         : size <= SIZE_HEAD ? 3 * HALF_LINE
         : size <= SIZE_NUMBER ? 5 * HALF_LINE : 7 * HALF_LINE;
}

static bool is_blank(char ch) {
    return ch == ' ' || ch == '\t' || ch == '\n' || ch == '\r';
}

/* ---- Widths, each word measured once ---- */

#define BUCKETS 4096

typedef struct Width {
    struct Width *next;
    Str           text;
    FontId        font;
    double        per_point;   // mm at one point
} Width;

struct Widths { Width *bucket[BUCKETS]; };

static unsigned bucket_of(FontId font, Str s) {
    unsigned h = 2166136261u ^ (unsigned)font;   // FNV-1a

    for (size_t i = 0; i < s.n; i++)
        h = (h ^ (unsigned char)s.s[i]) * 16777619u;
    return h % BUCKETS;
}

static double width_of(Press *p, FontId font, double size, Str s) {
    Width **first, *w;

    if (!p->widths)
        p->widths = arena_take(&p->c->arena, sizeof *p->widths);
    first = &p->widths->bucket[bucket_of(font, s)];
    for (w = *first; w; w = w->next)
        if (w->font == font && str_eq(w->text, s))
            return w->per_point * size;
    w  = NEW(p->c, Width);
    *w = (Width){ *first, s, font,
                  font_width(p->c, p->fonts, font, 1, s) };
    *first = w;
    return w->per_point * size;
}

/* ---- Figures ---- */

/* Fractions are read in poor light: their digits are never smaller than
 * the smallest letters. Our fonts' raised and lowered digits are half as
 * high as the others and drawn strong for that. So they are set larger, of
 * the next lighter font, and moved toward the middle of the line: the
 * numerator a little above its capitals, the denominator as much below its
 * baseline, the bar from the one to the other.
 *
 *       3   /       numerator: to cap + over
 *          / 4      denominator: from -over
 */
#define FRACTION_GROWS 1.3
#define DIGIT_SHARE    0.5     // height of a raised digit, of a digit's
#define RAISED_TOP     0.816   // em above the baseline (Lato 2.007,
#define LOWERED_FOOT   0.112   // em below it            measured)
#define FRACTION_OVER  0.12    // of the size
#define BAR_ROOM       0.06    // of the size, beside the bar

typedef enum { RUN_LEVEL, RUN_RAISED, RUN_LOWERED, RUN_BAR } RunKind;

/* A run of a figure that is set alike; mm. */
typedef struct {
    RunKind kind;
    Str     text;
    FontId  font;
    double  size, rise, before;
} Run;

static RunKind run_kind(uint32_t ch) {
    if (ch == 0x2044)
        return RUN_BAR;
    if (ch >= 0x2080 && ch <= 0x2089)
        return RUN_LOWERED;
    return ch == 0xB9 || ch == 0xB2 || ch == 0xB3 || ch == 0x2070
        || (ch >= 0x2074 && ch <= 0x2079) ? RUN_RAISED : RUN_LEVEL;
}

static void set_fraction_run(Press *p, FontId font, double size, Run *r) {
    double point  = 25.4 / 72, over = FRACTION_OVER * size * point;
    double cap    = font_cap_height(p->fonts, font, size);
    double digits = size * FRACTION_GROWS;

    if (digits < SIZE_SMALL / DIGIT_SHARE)
        digits = SIZE_SMALL / DIGIT_SHARE;
    if (r->kind == RUN_RAISED || r->kind == RUN_LOWERED)
        r->font = font == FONT_BOLD ? FONT_REGULAR : FONT_LIGHT;
    if (r->kind == RUN_BAR) {
        r->size   = size * (cap + 2 * over) / cap;
        r->rise   = -over;
        r->before = BAR_ROOM * size * point;
    } else if (r->kind == RUN_RAISED) {
        r->size = digits;
        r->rise = cap + over - RAISED_TOP * digits * point;
    } else if (r->kind == RUN_LOWERED) {
        r->size   = digits;
        r->rise   = LOWERED_FOOT * digits * point - over;
        r->before = BAR_ROOM * size * point;
    }
}

/* The next run of a figure from *at on. */
static Run figure_run(Press *p, FontId font, double size, Str shown,
                      size_t *at) {
    size_t from = *at, next = *at;
    Run    r    = { .font = font, .size = size };

    r.kind = run_kind(utf8_next(shown, &next));
    do {
        *at = next;
        if (next >= shown.n)
            break;
    } while (run_kind(utf8_next(shown, &next)) == r.kind);
    r.text = str_part(shown, from, *at);
    set_fraction_run(p, font, size, &r);
    return r;
}

static double figure_width(Press *p, FontId font, double size, Str shown) {
    double width = 0;

    for (size_t at = 0; at < shown.n; ) {
        Run r = figure_run(p, font, size, shown, &at);
        width += r.before + width_of(p, r.font, r.size, r.text);
    }
    return width;
}

/* ---- Atoms ---- */

typedef struct {
    const Span *span;
    Str    text;       // of words
    FontId font;
    double width;
    bool   space;      // a space before it: the line may be broken here
} Atom;
typedef LIST(Atom) Atoms;

typedef struct { int from, to; } Line;   // atoms [from, to)
typedef LIST(Line) Lines;

static FontId font_of(const Span *span, Style style) {
    return span->bold ? FONT_BOLD : style.font;
}

/* Two letters of one line's height have 0.4 mm between them. */
static double circle_of(Press *p, Style style) {
    double d = 1.62 * font_cap_height(p->fonts, FONT_BOLD, style.size);

    return d < LETTER_LEAST ? LETTER_LEAST : d;
}

/* Two capitals get a longer ring. */
static double ring_width(double diameter, Str letter) {
    return letter.n > 1 && diameter < LETTER_D
         ? diameter * (1 + 0.42 * (double)(letter.n - 1)) : diameter;
}

/* The unit as it follows the figure: a degree sign stands close. */
static Str unit_run(Press *p, const Span *span) {
    const Figure *f = &span->figure;

    if (span->bare && f->kind != FIGURE_ANGLE)
        return STR("");
    if (!f->unit.n || str_is(f->unit, "\xC2\xB0"))
        return f->unit;
    return str_fmt(p->c, GAP "%.*s", STR_ARG(f->unit));
}

static double atom_width(Press *p, const Atom *a, Style style) {
    switch (a->span->kind) {   // ORDER SPAN
    case SPAN_WORDS:
        return width_of(p, a->font, style.size, a->text);
    case SPAN_FIGURE:
        return figure_width(p, a->font, style.size, a->span->figure.shown)
             + width_of(p, a->font, style.size, unit_run(p, a->span));
    case SPAN_LETTER:
        return ring_width(circle_of(p, style), a->span->text);
    case SPAN_CHECK:
        return font_cap_height(p->fonts, style.font, style.size) * 1.1;
    case SPAN_BREAK:
        break;
    }
    return 0;
}

static void add_atom(Press *p, Atoms *atoms, const Span *span, Str text,
                     bool space, Style style) {
    Atom *a = PUSH(p->c, atoms);

    *a = (Atom){ .span = span, .text = text, .space = space,
                 .font = font_of(span, style) };
    a->width = atom_width(p, a, style);
}

static void add_word_atoms(Press *p, Atoms *atoms, const Span *span,
                           bool *space, Style style) {
    Str    s  = span->text;
    size_t at = 0;

    while (at < s.n) {
        size_t end = at;
        if (is_blank(s.s[at])) {
            *space = true;
            at++;
            continue;
        }
        while (end < s.n && !is_blank(s.s[end]))
            end++;
        add_atom(p, atoms, span, str_part(s, at, end), *space, style);
        *space = false;
        at = end;
    }
}

static Atoms atoms_of(Press *p, const Para *para, Style style) {
    Atoms atoms = { 0 };
    bool  space = false;

    for (int i = 0; i < para->spans.n; i++) {
        const Span *span = &para->spans.at[i];
        if (span->kind == SPAN_WORDS) {
            add_word_atoms(p, &atoms, span, &space, style);
        } else {
            add_atom(p, &atoms, span, STR(""), space, style);
            space = false;
        }
    }
    return atoms;
}

/* ---- Breaking ---- */

/* Cuts a word that is wider than a whole line (in a narrow cell), with a
 * hyphen. */
static void cut_word(Press *p, Atoms *atoms, int i, double width,
                     Style style) {
    Atom   whole = atoms->at[i];
    size_t at = 0, fits = 0;
    Str    head;

    while (at < whole.text.n) {
        utf8_next(whole.text, &at);
        head = str_fmt(p->c, "%.*s-", (int)at, whole.text.s);
        if (fits && width_of(p, whole.font, style.size, head) > width)
            break;
        fits = at;
    }
    if (fits >= whole.text.n)
        return;
    PUSH(p->c, atoms);
    memmove(&atoms->at[i + 1], &atoms->at[i],
            sizeof(Atom) * (size_t)(atoms->n - i - 1));
    atoms->at[i].text = str_fmt(p->c, "%.*s-", (int)fits, whole.text.s);
    atoms->at[i + 1].text  = str_part(whole.text, fits, whole.text.n);
    atoms->at[i + 1].space = true;
    for (int k = i; k <= i + 1; k++)
        atoms->at[k].width = atom_width(p, &atoms->at[k], style);
}

/* Width of atoms that must stay together, from `from` on; *to: their end. */
static double cluster(const Atoms *atoms, int from, int *to) {
    double width = 0;
    int    i     = from;

    do {
        width += atoms->at[i].width;
        i++;
    } while (i < atoms->n && !atoms->at[i].space
             && atoms->at[i].span->kind != SPAN_BREAK
             && atoms->at[i - 1].span->kind != SPAN_BREAK);
    *to = i;
    return width;
}

static Lines lines_of(Press *p, Atoms *atoms, double width, Style style) {
    Lines  lines = { 0 };
    double space = width_of(p, style.font, style.size, STR(" ")), used = 0;
    int    from  = 0, to;

    for (int i = 0; i < atoms->n; i = to) {
        double more;
        if (atoms->at[i].span->kind == SPAN_BREAK) {
            *PUSH(p->c, &lines) = (Line){ from, i };
            from = to = i + 1;
            used = 0;
            continue;
        }
        more = cluster(atoms, i, &to);
        if (more > width && atoms->at[i].span->kind == SPAN_WORDS) {
            cut_word(p, atoms, i, width, style);
            more = cluster(atoms, i, &to);
        }
        if (i > from && used + space + more > width) {
            *PUSH(p->c, &lines) = (Line){ from, i };
            from = i;
            used = more;
        } else {
            used += more + (i > from && atoms->at[i].space ? space : 0);
        }
    }
    if (from < atoms->n)
        *PUSH(p->c, &lines) = (Line){ from, atoms->n };
    return lines;
}

/* ---- Drawing ---- */

/* Where text runs: along x, or up the page. */
typedef struct { V2 at; bool turned; } Track;

static V2 along(Track t, double dx, double dy) {
    if (t.turned)
        return (V2){ t.at.x + dy, t.at.y - dx };
    return (V2){ t.at.x + dx, t.at.y + dy };
}

static void report_missing(Press *p, Str run) {
    for (int i = 0; i < p->c->diags.n; i++)
        if (p->c->diags.at[i].code == GLYPH_MISSING)
            return;
    report_plain(p->c, GLYPH_MISSING, "no font has the characters '%.*s'",
                 STR_ARG(run));
}

/* One run of text, in as many marks as it needs fonts. Returns its width. */
static double draw_run(Press *p, Track t, double dx, FontId font,
                       Style style, double rise, Str text) {
    double start = dx;

    for (size_t at = 0; at < text.n; ) {
        FontId found;
        Str    run = font_run(p->fonts, font, text, &at, &found);
        Mark  *mark;
        if (found == FONT_COUNT) {
            report_missing(p, run);
            continue;
        }
        mark = PUSH(p->c, &p->b->pages.at[p->page].marks);
        mark->kind = MARK_TEXT;
        mark->text = run;
        mark->font = found;
        mark->size = style.size;
        mark->rise = rise;
        mark->ink  = style.ink;
        mark->at   = along(t, dx, 0);
        mark->turn = t.turned ? 90 : 0;
        dx += width_of(p, found, style.size, run);
    }
    return dx - start;
}

static double draw_figure(Press *p, Track t, double dx, const Atom *a,
                          Style style) {
    const Figure *f = &a->span->figure;
    LedgerRow *row  = PUSH(p->c, &p->b->ledger.rows);
    Page  *page     = &p->b->pages.at[p->page];
    int    first    = page->marks.n;
    double width    = 0;

    for (size_t at = 0; at < f->shown.n; ) {
        Run   r    = figure_run(p, a->font, style.size, f->shown, &at);
        Style with = { style.font, r.size, style.ink };
        width += r.before;
        width += draw_run(p, t, dx + width, r.font, with, r.rise, r.text);
    }
    if (page->marks.n > first + 1) {
        page->marks.at[first].spoken = f->shown;
        page->marks.at[page->marks.n - 1].spoken_end = true;
    }
    *row = (LedgerRow){ p->page, along(t, dx, 0), width, *f };
    return width + draw_run(p, t, dx + width, a->font, style, 0,
                            unit_run(p, a->span));
}

static void link_span(Press *p, Track t, double dx, double width,
                      const Span *span, Style style) {
    double size = style.size * 25.4 / 72;
    V2     a    = along(t, dx, size * 0.25);
    V2     b    = along(t, dx + width, -size * 0.85);

    if (span->to_page < 0)
        return;
    link_to(p, box2(a.x < b.x ? a.x : b.x, a.y < b.y ? a.y : b.y,
                    a.x < b.x ? b.x : a.x, a.y < b.y ? b.y : a.y),
            span->to_page);
}

/* A circle, or two halves of one with straight lines between. */
static void draw_ring(Press *p, V2 center, double diameter, double width,
                      Ink ink) {
    Pen    pen = { ink, 0.25, DASH_SOLID };
    double r = diameter / 2, x = width / 2 - r;
    V2     right = { x, 0 }, left = { -x, 0 };
    Seg    segs[4] = {
        { SEG_LINE, { -x, -r }, { x, -r }, { 0, 0 }, 0, { 0, 0 }, { 0, 0 } },
        { SEG_ARC, { x, -r }, { x, r }, right, PI, { 0, 0 }, { 0, 0 } },
        { SEG_LINE, { x, r }, { -x, r }, { 0, 0 }, 0, { 0, 0 }, { 0, 0 } },
        { SEG_ARC, { -x, r }, { -x, -r }, left, PI, { 0, 0 }, { 0, 0 } }
    };
    Place  pl = { { 0, 0 }, center, 1, false };

    if (x < 0.01)
        draw_circle(p, center, r, pen, INK_WHITE);
    else
        draw_segs(p, segs, 4, &pl, true, pen, INK_WHITE);
}

/* The capital in its ring; two capitals in a circle are set smaller. */
static void draw_letter(Press *p, V2 center, double diameter, Str letter,
                        Ink ink) {
    double ring  = ring_width(diameter, letter);
    double size  = diameter * SIZE_SMALL / LETTER_LEAST
                 * (letter.n > 1 && ring <= diameter ? 0.75 : 1);
    Style  style = { FONT_BOLD, size, ink };
    double cap   = font_cap_height(p->fonts, FONT_BOLD, size);
    double width = width_of(p, FONT_BOLD, size, letter);
    Track  t     = { { center.x - width / 2, center.y + cap / 2 }, false };

    draw_ring(p, center, diameter, ring, ink);
    draw_run(p, t, 0, FONT_BOLD, style, 0, letter);
}

void letter_circle(Press *p, V2 center, double diameter, int part) {
    double r = diameter / 2;

    draw_letter(p, center, diameter, p->m->parts.at[part].letter,
                INK_BLACK);
    if (p->known && part < p->known->parts)
        link_to(p, box2(center.x - r, center.y - r, center.x + r,
                        center.y + r), p->known->part[part].row);
}

static void draw_symbol(Press *p, Track t, double dx, const Atom *a,
                        Style style) {
    double cap = font_cap_height(p->fonts, style.font, style.size);
    V2     corner, far;

    if (a->span->kind == SPAN_LETTER) {
        draw_letter(p, along(t, dx + a->width / 2, -cap / 2),
                    circle_of(p, style), a->span->text, style.ink);
    } else if (a->span->kind == SPAN_CHECK) {
        corner = along(t, dx, cap * 0.05);
        far    = along(t, dx + a->width, -cap * 1.05);
        draw_rect(p, box2(corner.x, far.y, far.x, corner.y), PEN_THIN,
                  INK_NONE);
    }
}

/* Words of one font on one line go out as one run, spaces and kerns in
 * it. *i moves to the last of them. */
static double draw_words(Press *p, Track t, double dx, const Atoms *atoms,
                         int *i, int end, Style style) {
    const Atom *first = &atoms->at[*i];
    Buf         run   = BUF(p->c);

    buf_str(&run, first->text);
    while (*i + 1 < end) {
        const Atom *next = &atoms->at[*i + 1];
        if (next->span->kind != SPAN_WORDS || next->font != first->font
            || next->span->to_page != first->span->to_page)
            break;
        if (next->space)
            buf_add(&run, " ");
        buf_str(&run, next->text);
        (*i)++;
    }
    return draw_run(p, t, dx, first->font, style, 0, buf_done(&run));
}

/* Draws one line. */
static double set_line(Press *p, const Atoms *atoms, Line line, Track t,
                       Style style) {
    double space = width_of(p, style.font, style.size, STR(" ")), dx = 0;

    for (int i = line.from; i < line.to; i++) {
        const Atom *a = &atoms->at[i];
        double start;
        if (i > line.from && a->space)
            dx += space;
        start = dx;
        if (a->span->kind == SPAN_WORDS) {
            dx += draw_words(p, t, dx, atoms, &i, line.to, style);
        } else if (a->span->kind == SPAN_FIGURE) {
            dx += draw_figure(p, t, dx, a, style);
        } else {
            draw_symbol(p, t, dx, a, style);
            dx += a->width;
        }
        link_span(p, t, start, dx - start, a->span, style);
    }
    return dx;
}

double para_height(Press *p, const Para *para, double width, Style style) {
    Atoms atoms = atoms_of(p, para, style);

    return lines_of(p, &atoms, width, style).n * leading_of(style.size);
}

static double line_width(Press *p, const Atoms *atoms, Line line,
                         Style style) {
    double space = width_of(p, style.font, style.size, STR(" ")), dx = 0;

    for (int i = line.from; i < line.to; i++)
        dx += atoms->at[i].width
            + (i > line.from && atoms->at[i].space ? space : 0);
    return dx;
}

static double indent(Align align, double room) {
    return align == ALIGN_LEFT ? 0 : align == ALIGN_CENTER ? room / 2 : room;
}

double para_draw_aligned(Press *p, const Para *para, double x, double y,
                         double width, Align align, Style style) {
    Atoms  atoms   = atoms_of(p, para, style);
    Lines  lines   = lines_of(p, &atoms, width, style);
    double leading = leading_of(style.size);

    for (int i = 0; i < lines.n; i++) {
        double room = width - line_width(p, &atoms, lines.at[i], style);
        set_line(p, &atoms, lines.at[i],
                 (Track){ { x + indent(align, room), y + (i + 1) * leading },
                          false }, style);
    }
    return lines.n * leading;
}

double para_draw(Press *p, const Para *para, double x, double y,
                 double width, Style style) {
    return para_draw_aligned(p, para, x, y, width, ALIGN_LEFT, style);
}

void flow_para(Press *p, double x, double width, Style style,
               const Para *para) {
    Atoms  atoms   = atoms_of(p, para, style);
    Lines  lines   = lines_of(p, &atoms, width, style);
    double leading = leading_of(style.size);

    if (lines.n <= 6)
        page_need(p, lines.n * leading);
    for (int i = 0; i < lines.n; i++) {
        page_need(p, leading);
        p->y += leading;
        set_line(p, &atoms, lines.at[i], (Track){ { p->left + x, p->y },
                 false }, style);
    }
}

/* Word by word: a kern beside a space, some hundredths of a millimeter, is
 * not counted. */
double para_width(Press *p, const Para *para, Style style) {
    Atoms atoms = atoms_of(p, para, style);

    return line_width(p, &atoms, (Line){ 0, atoms.n }, style);
}

static void set_at(Press *p, const Para *para, V2 at, Align align,
                   Style style, bool turned) {
    Atoms  atoms = atoms_of(p, para, style);
    Line   line  = { 0, atoms.n };
    Track  t     = { at, turned };

    t.at = along(t, -indent(align, line_width(p, &atoms, line, style)), 0);
    set_line(p, &atoms, line, t, style);
}

void para_at(Press *p, const Para *para, V2 at, Align align, Style style) {
    set_at(p, para, at, align, style, false);
}

void para_at_turned(Press *p, const Para *para, V2 at, Align align,
                    Style style) {
    set_at(p, para, at, align, style, true);
}

void words_at(Press *p, const char *words, V2 at, Align align,
              Style style) {
    Para para = para_of(p, words);

    para_at(p, &para, at, align, style);
}

void figure_at(Press *p, Figure f, V2 at, Align align, Style style) {
    Para para = para_figure(p, f);

    para_at(p, &para, at, align, style);
}
