/* lines -- letters to lines of text, from where they stand.
 *
 * The order in which a page draws its text says little: a table may be
 * drawn column by column, a fraction apart from its whole number. So the
 * letters are sorted by direction, by baseline, and along it; gaps between
 * them make spaces, wide ones part the line.
 */
#include "proof/proof_internal.h"

#include <math.h>

#define BASELINE_GAP 0.05   // mm between two baselines, at least
#define SPACE_GAP    0.25   // em that show as a space
#define LINE_GAP     1.2    // em that part a line ...
#define LINE_GAP_MM  2.1    // ... but no whole number from its fraction

typedef struct {
    int    turn;       // degrees counter-clockwise, whole
    double across;     // mm, grows from line to line
    double along;      // mm, grows in the direction of writing
    int    baseline;   // counted
    int    letter;     // index
} Place;

static bool is_blank(uint32_t ch) {
    return ch == ' ' || ch == '\t' || ch == '\n' || ch == '\r' || ch == 0xA0
        || (ch >= 0x2000 && ch <= 0x200A) || ch == 0x202F || ch == 0x205F
        || ch == 0x3000;
}

/* Characters that show nothing and take no room. */
static bool is_nothing(uint32_t ch) {
    return ch < ' ' || ch == 0xAD || (ch >= 0x200B && ch <= 0x200F)
        || ch == 0x2060 || ch == 0xFEFF;
}

static Place place_of(const Letter *l, int index) {
    double degrees = atan2(-l->dir.y, l->dir.x) * 180 / 3.14159265358979;
    Place  p = { .turn = (int)lround(degrees), .letter = index };
    V2     dir = l->dir;

    if (p.turn <= -180)
        p.turn += 360;
    if (p.turn % 90 == 0)   // so that rounding does not tilt the baseline
        dir = (V2){ round(dir.x), round(dir.y) };
    p.across = dir.x * l->at.y - dir.y * l->at.x;
    p.along  = dir.x * l->at.x + dir.y * l->at.y;
    return p;
}

static int by_baseline(const void *pa, const void *pb, const void *with) {
    const Place *a = pa, *b = pb;

    (void)with;
    if (a->turn != b->turn)
        return a->turn < b->turn ? -1 : 1;
    return (a->across > b->across) - (a->across < b->across);
}

static int by_reading(const void *pa, const void *pb, const void *with) {
    const Place *a = pa, *b = pb;

    (void)with;
    if (a->baseline != b->baseline)
        return a->baseline < b->baseline ? -1 : 1;
    return (a->along > b->along) - (a->along < b->along);
}

/* The places of all letters in reading order. */
static Place *sort_letters(Ctx *c, const ReadPage *page) {
    int    n = page->letters.n;
    Place *p = NEW_N(c, Place, n + 1);

    for (int i = 0; i < n; i++)
        p[i] = place_of(&page->letters.at[i], i);
    list_sort(c, p, n, sizeof *p, by_baseline, NULL);
    for (int i = 1; i < n; i++) {
        bool apart = p[i].turn != p[i - 1].turn
                  || p[i].across - p[i - 1].across > BASELINE_GAP;
        p[i].baseline = p[i - 1].baseline + apart;
    }
    list_sort(c, p, n, sizeof *p, by_reading, NULL);
    return p;
}

/* ---- Building lines ---- */

typedef struct {
    Ctx   *c;
    Lines *lines;
    Line  *line;       // the one that grows, or NULL
    int    baseline;
    double end;        // along, of its last visible letter
    bool   spaced;     // blanks have been passed since
} Builder;

static void add_char(Builder *b, const Letter *l) {
    Char *known = PUSH(b->c, &b->line->chars);

    known->ch    = l->ch;
    known->at    = l->at;
    known->width = l->width;
    known->em    = l->em;
}

static void add_space(Builder *b, const Letter *next, double gap) {
    Char last = b->line->chars.at[b->line->chars.n - 1];
    V2   dir  = b->line->dir;

    add_char(b, &(Letter){ ' ', { last.at.x + dir.x * last.width,
                                  last.at.y + dir.y * last.width },
                           dir, fmax(gap, 0), next->em });
}

/* Bold that is made by drawing twice is read once. */
static bool is_again(const Builder *b, const Letter *l) {
    for (int i = b->line->chars.n - 1; i >= 0 && i >= b->line->chars.n - 3;
         i--) {
        const Char *known = &b->line->chars.at[i];
        if (known->ch == l->ch
            && hypot(known->at.x - l->at.x, known->at.y - l->at.y)
                   < 0.05 * l->em)
            return true;
    }
    return false;
}

static void add_letter(Builder *b, const Letter *l, const Place *p) {
    double gap = p->along - b->end, em = l->em;

    if (b->line && b->baseline == p->baseline) {
        em = fmin(em, b->line->chars.at[b->line->chars.n - 1].em);
        if (is_again(b, l))
            return;
    }
    if (!b->line || b->baseline != p->baseline
        || gap > fmax(LINE_GAP * em, LINE_GAP_MM)) {
        b->line      = PUSH(b->c, b->lines);
        b->line->dir = l->dir;
        b->baseline  = p->baseline;
    } else if (b->spaced || gap > SPACE_GAP * em) {
        add_space(b, l, gap);
    }
    add_char(b, l);
    b->end    = p->along + l->width;
    b->spaced = false;
}

static void add_run(Ctx *c, ReadPage *page, const Line *line, int number) {
    ReadRun    *run  = PUSH(c, &page->runs);
    const Char *last = &line->chars.at[line->chars.n - 1];

    run->page  = number;
    run->at    = line->chars.at[0].at;
    run->width = hypot(last->at.x - run->at.x, last->at.y - run->at.y)
               + last->width;
    run->text  = chars_text(c, line->chars.at, line->chars.n);
}

void lines_find(Ctx *c, ReadPage *page, int number) {
    Builder      b = { .c = c, .lines = &page->lines };
    const Place *p = sort_letters(c, page);

    for (int i = 0; i < page->letters.n; i++) {
        const Letter *l = &page->letters.at[p[i].letter];
        if (is_blank(l->ch))
            b.spaced = true;
        else if (!is_nothing(l->ch))
            add_letter(&b, l, &p[i]);
    }
    for (int i = 0; i < page->lines.n; i++)
        add_run(c, page, &page->lines.at[i], number);
}

Str chars_text(Ctx *c, const Char *chars, int n) {
    Buf text = BUF(c);

    for (int i = 0; i < n; i++) {
        uint32_t ch  = chars[i].ch;
        bool     bad = ch > 0x10FFFF || (ch >= 0xD800 && ch <= 0xDFFF);
        buf_char(&text, bad ? 0xFFFD : ch);
    }
    return buf_done(&text);
}

Line numeral_chars(Ctx *c, Str text) {
    Line   line = { .dir = { 1, 0 } };
    size_t at   = 0;

    while (at < text.n) {
        uint32_t ch = utf8_next(text, &at);
        if (is_blank(ch))
            ch = ' ';
        if (ch == ' ' && line.chars.n > 0
            && line.chars.at[line.chars.n - 1].ch == ' ')
            continue;
        if (!is_nothing(ch))
            PUSH(c, &line.chars)->ch = ch;
    }
    return line;
}
