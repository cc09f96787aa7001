/* operators -- runs the operators of a page: letters with their places, and
 * what is stroked (ISO 32000-1, 8 and 9).
 *
 * Only what shows counts: text drawn invisibly (modes 3 and 7) gives no
 * letters, and strokes are cut off at the clip. A clip that is no upright
 * rectangle is taken as the box around it.
 */
#include "proof/proof_internal.h"

#include <math.h>

#define FLATNESS     0.001   // mm between a curve and its chords
#define DEEPEST_FORM 12      // forms inside forms
#define DEEPEST_SAVE 1000
#define FAR_OFF      1e6     // mm; what lies farther out is dropped

typedef struct {
    Matrix ctm;      // to mm, y up
    Box2   clip;     // mm, y up
    const Typeface *face;
    double size, char_space, word_space, stretch, leading;
    int    mode;
} Graphics;

typedef struct {
    Reader   *r;
    ReadPage *page;
    qpdf_oh   resources;
    int       depth;
    Graphics  g;
    LIST(Graphics) saved;
    int       floor;      // saved states that belong to the caller
    Matrix    text, line; // the text matrix, and that of the line's start
    LIST(Token) args;
    LIST(V2)  points;     // of the path so far, mm
    LIST(int) starts;     // where its subpaths begin
    V2        at, start;  // current point and the subpath's first, mm
    bool      open;       // a subpath can go on
    bool      clips;      // W was given
} Pen;

static Matrix times(Matrix m, Matrix n) {
    return (Matrix){
        m.a * n.a + m.b * n.c,       m.a * n.b + m.b * n.d,
        m.c * n.a + m.d * n.c,       m.c * n.b + m.d * n.d,
        m.e * n.a + m.f * n.c + n.e, m.e * n.b + m.f * n.d + n.f
    };
}

static V2 apply(Matrix m, double x, double y) {
    return (V2){ x * m.a + y * m.c + m.e, x * m.b + y * m.d + m.f };
}

static bool is_near(V2 p) {
    return fabs(p.x) < FAR_OFF && fabs(p.y) < FAR_OFF;   // false for NaN
}

/* ---- Paths ---- */

static void path_begin(Pen *p, V2 at) {
    *PUSH(p->r->c, &p->starts) = p->points.n;
    *PUSH(p->r->c, &p->points) = at;
    p->at   = p->start = at;
    p->open = true;
}

static void path_to(Pen *p, V2 to) {
    if (!p->open)
        path_begin(p, p->at);
    *PUSH(p->r->c, &p->points) = to;
    p->at = to;
}

static void path_close(Pen *p) {
    if (p->open)
        path_to(p, p->start);
    p->open = false;
}

/* Equal steps of the parameter: the chord's distance from the curve is at
 * most |second derivative| / (8 n^2), and the derivative at most 6 times
 * the larger second difference of the control points. */
static void path_curve(Pen *p, V2 p1, V2 p2, V2 p3) {
    V2     p0 = p->at;
    double d1 = hypot(p0.x - 2 * p1.x + p2.x, p0.y - 2 * p1.y + p2.y);
    double d2 = hypot(p1.x - 2 * p2.x + p3.x, p1.y - 2 * p2.y + p3.y);
    double n  = ceil(sqrt(0.75 * fmax(d1, d2) / FLATNESS));

    n = n >= 1 && n <= 2000 ? n : n > 2000 ? 2000 : 1;
    p->r->budget -= (long)n;
    for (int i = 1; i <= (int)n; i++) {
        double t = i / n, u = 1 - t;
        double a = u * u * u, b = 3 * u * u * t, c = 3 * u * t * t;
        double d = t * t * t;
        path_to(p, (V2){ a * p0.x + b * p1.x + c * p2.x + d * p3.x,
                         a * p0.y + b * p1.y + c * p2.y + d * p3.y });
    }
}

/* The part of a-b inside the box, by Liang and Barsky. */
static bool cut_to_box(Box2 box, V2 *a, V2 *b) {
    double from = 0, to = 1;
    V2     d = { b->x - a->x, b->y - a->y }, s = *a;
    double along[4]  = { -d.x, d.x, -d.y, d.y };
    double inside[4] = { s.x - box.min.x, box.max.x - s.x,
                         s.y - box.min.y, box.max.y - s.y };

    for (int i = 0; i < 4; i++) {
        double t = inside[i] / along[i];
        if (along[i] == 0 && inside[i] < 0)
            return false;
        if (along[i] < 0)
            from = fmax(from, t);
        else if (along[i] > 0)
            to = fmin(to, t);
    }
    if (from > to)
        return false;
    *a = (V2){ s.x + from * d.x, s.y + from * d.y };
    *b = (V2){ s.x + to * d.x, s.y + to * d.y };
    return true;
}

/* A stroked subpath: each unbroken piece inside the clip is a chain. */
static void stroke_chain(Pen *p, int from, int to) {
    Ctx  *c = p->r->c;
    Ring *chain = NULL;

    for (int i = from; i + 1 < to; i++) {
        V2 a = p->points.at[i], b = p->points.at[i + 1], whole_b = b;
        if (!is_near(a) || !is_near(b) || !cut_to_box(p->g.clip, &a, &b)) {
            chain = NULL;
            continue;
        }
        if (!chain || chain->at[chain->n - 1].x != a.x
            || chain->at[chain->n - 1].y != a.y) {
            chain = PUSH(c, &p->page->strokes);
            *PUSH(c, chain) = a;
        }
        *PUSH(c, chain) = b;
        if (b.x != whole_b.x || b.y != whole_b.y)
            chain = NULL;
    }
}

static void take_clip(Pen *p) {
    Box2 around = { { INFINITY, INFINITY }, { -INFINITY, -INFINITY } };

    for (int i = 0; i < p->points.n; i++) {
        V2 at = p->points.at[i];
        around.min = (V2){ fmin(around.min.x, at.x),
                           fmin(around.min.y, at.y) };
        around.max = (V2){ fmax(around.max.x, at.x),
                           fmax(around.max.y, at.y) };
    }
    p->g.clip.min.x = fmax(p->g.clip.min.x, around.min.x);
    p->g.clip.min.y = fmax(p->g.clip.min.y, around.min.y);
    p->g.clip.max.x = fmin(p->g.clip.max.x, around.max.x);
    p->g.clip.max.y = fmin(p->g.clip.max.y, around.max.y);
}

static void path_end(Pen *p, bool stroked) {
    for (int i = 0; stroked && i < p->starts.n; i++) {
        int to = i + 1 < p->starts.n ? p->starts.at[i + 1] : p->points.n;
        stroke_chain(p, p->starts.at[i], to);
    }
    if (p->clips)
        take_clip(p);
    p->clips    = p->open = false;
    p->points.n = p->starts.n = 0;
}

static void op_move(Pen *p, const double *v) {
    path_begin(p, apply(p->g.ctm, v[0], v[1]));
}

static void op_line(Pen *p, const double *v) {
    path_to(p, apply(p->g.ctm, v[0], v[1]));
}

static void op_curve(Pen *p, const double *v) {
    path_curve(p, apply(p->g.ctm, v[0], v[1]), apply(p->g.ctm, v[2], v[3]),
               apply(p->g.ctm, v[4], v[5]));
}

static void op_curve_from(Pen *p, const double *v) {
    path_curve(p, p->at, apply(p->g.ctm, v[0], v[1]),
               apply(p->g.ctm, v[2], v[3]));
}

static void op_curve_to(Pen *p, const double *v) {
    V2 end = apply(p->g.ctm, v[2], v[3]);

    path_curve(p, apply(p->g.ctm, v[0], v[1]), end, end);
}

static void op_rectangle(Pen *p, const double *v) {
    path_begin(p, apply(p->g.ctm, v[0], v[1]));
    path_to(p, apply(p->g.ctm, v[0] + v[2], v[1]));
    path_to(p, apply(p->g.ctm, v[0] + v[2], v[1] + v[3]));
    path_to(p, apply(p->g.ctm, v[0], v[1] + v[3]));
    path_close(p);
}

static void op_close(Pen *p, const double *v) {
    (void)v;
    path_close(p);
}

static void op_stroke(Pen *p, const double *v) {
    (void)v;
    path_end(p, true);
}

static void op_close_stroke(Pen *p, const double *v) {
    (void)v;
    path_close(p);
    path_end(p, true);
}

static void op_fill(Pen *p, const double *v) {
    (void)v;
    path_end(p, false);
}

static void op_clip(Pen *p, const double *v) {
    (void)v;
    p->clips = true;
}

/* ---- State ---- */

static void op_save(Pen *p, const double *v) {
    (void)v;
    if (p->saved.n < DEEPEST_SAVE)
        *PUSH(p->r->c, &p->saved) = p->g;
}

static void op_restore(Pen *p, const double *v) {
    (void)v;
    if (p->saved.n > p->floor)
        p->g = p->saved.at[--p->saved.n];
}

static void op_concat(Pen *p, const double *v) {
    p->g.ctm = times((Matrix){ v[0], v[1], v[2], v[3], v[4], v[5] },
                     p->g.ctm);
}

/* ---- Text ---- */

static const Token *last_of(const Pen *p, TokenKind kind) {
    for (int i = p->args.n - 1; i >= 0; i--) {
        if (p->args.at[i].kind == kind)
            return &p->args.at[i];
    }
    return NULL;
}

static qpdf_oh resource(Pen *p, const char *kind, Str name) {
    qpdf_oh dict = dict_entry(p->r, p->resources, kind);
    Str     key  = str_fmt(p->r->c, "/%.*s", STR_ARG(name));

    return dict_entry(p->r, dict, key.s);
}

static void op_begin_text(Pen *p, const double *v) {
    (void)v;
    p->text = p->line = (Matrix){ 1, 0, 0, 1, 0, 0 };
}

static void op_font(Pen *p, const double *v) {
    const Token *name = last_of(p, TOKEN_NAME);
    qpdf_oh      font;

    p->g.size = v[0];
    p->g.face = NULL;
    if (!name)
        return;
    font = resource(p, "/Font", name->text);
    if (qpdf_oh_is_dictionary(p->r->q, font))
        p->g.face = typeface_find(p->r, font);
    else
        read_trouble(p->r, "the font '%.*s' is not in the file",
                     STR_ARG(name->text));
}

static void op_text_move(Pen *p, const double *v) {
    p->line = times((Matrix){ 1, 0, 0, 1, v[0], v[1] }, p->line);
    p->text = p->line;
}

static void op_text_move_leading(Pen *p, const double *v) {
    p->g.leading = -v[1];
    op_text_move(p, v);
}

static void op_text_matrix(Pen *p, const double *v) {
    p->line = (Matrix){ v[0], v[1], v[2], v[3], v[4], v[5] };
    p->text = p->line;
}

static void op_next_line(Pen *p, const double *v) {
    const double down[2] = { 0, -p->g.leading };

    (void)v;
    op_text_move(p, down);
}

static void op_char_space(Pen *p, const double *v) { p->g.char_space = v[0]; }
static void op_word_space(Pen *p, const double *v) { p->g.word_space = v[0]; }
static void op_stretch(Pen *p, const double *v) { p->g.stretch = v[0] / 100; }
static void op_leading(Pen *p, const double *v) { p->g.leading = v[0]; }
static void op_text_mode(Pen *p, const double *v) { p->g.mode = (int)v[0]; }

/* A glyph that stands for several characters gives each an equal share of
 * its width. */
static void add_letters(Pen *p, uint32_t code, double width) {
    Matrix   m = times(p->text, p->g.ctm);
    double   k = hypot(m.a, m.b), sign = width < 0 ? -1 : 1;
    double   tall = fabs(p->g.size) * hypot(m.c, m.d);
    uint32_t ch[LONGEST_GLYPH];
    int      n = typeface_text(p->g.face, code, ch);

    if (!is_near((V2){ m.e, m.f }) || !(k > 1e-9 && k < FAR_OFF)
        || !(fabs(width) * k < FAR_OFF) || !(tall > 1e-6 && tall < FAR_OFF))
        return;
    for (int i = 0; i < n; i++) {
        Letter *l = PUSH(p->r->c, &p->page->letters);
        l->ch    = ch[i];
        l->dir   = (V2){ sign * m.a / k, -sign * m.b / k };
        l->width = fabs(width) * k / n;
        l->em    = tall;
        l->at    = (V2){ m.e + l->dir.x * l->width * i,
                         p->page->paper.max.y - m.f
                             + l->dir.y * l->width * i };
    }
}

static void advance(Pen *p, double tx) {
    p->text = times((Matrix){ 1, 0, 0, 1, tx, 0 }, p->text);
}

/* The rise (Ts) is left out on purpose: a raised numerator still belongs
 * to its baseline. */
static void show(Pen *p, Str bytes) {
    const Graphics *g = &p->g;
    size_t step = g->face && g->face->two_bytes ? 2 : 1;
    bool   seen = g->mode != 3 && g->mode != 7;

    for (size_t i = 0; g->face && i + step <= bytes.n; i += step) {
        uint32_t code = (unsigned char)bytes.s[i];
        double   width, space;
        if (step == 2)
            code = code << 8 | (unsigned char)bytes.s[i + 1];
        width = typeface_width(g->face, code) * g->size * g->stretch;
        space = g->char_space;
        if (step == 1 && code == ' ')
            space += g->word_space;
        if (seen)
            add_letters(p, code, width);
        advance(p, width + space * g->stretch);
        p->r->budget--;
    }
}

static void op_show(Pen *p, const double *v) {
    const Token *string = last_of(p, TOKEN_STRING);

    (void)v;
    if (string)
        show(p, string->text);
}

static void op_show_spaced(Pen *p, const double *v) {
    (void)v;
    for (int i = 0; i < p->args.n; i++) {
        const Token *t = &p->args.at[i];
        if (t->kind == TOKEN_STRING)
            show(p, t->text);
        else if (t->kind == TOKEN_NUMBER)
            advance(p, -t->number / 1000 * p->g.size * p->g.stretch);
    }
}

static void op_line_show(Pen *p, const double *v) {
    op_next_line(p, v);
    op_show(p, v);
}

static void op_line_show_set(Pen *p, const double *v) {
    p->g.word_space = v[0];
    p->g.char_space = v[1];
    op_line_show(p, v);
}

/* ---- Forms and dispatch ---- */

static void run(Pen *p, Str content);

static bool read_matrix(const Reader *r, qpdf_oh array, Matrix *m) {
    double v[6];

    if (!qpdf_oh_is_array(r->q, array)
        || qpdf_oh_get_array_n_items(r->q, array) != 6)
        return false;
    for (int i = 0; i < 6; i++)
        v[i] = array_number(r, array, i);
    *m = (Matrix){ v[0], v[1], v[2], v[3], v[4], v[5] };
    return true;
}

static void clip_to_form(Pen *p, qpdf_oh form) {
    qpdf_oh box = dict_entry(p->r, form, "/BBox");
    double  v[4];

    if (!qpdf_oh_is_array(p->r->q, box)
        || qpdf_oh_get_array_n_items(p->r->q, box) != 4)
        return;
    for (int i = 0; i < 4; i++)
        v[i] = array_number(p->r, box, i);
    v[2] -= v[0];
    v[3] -= v[1];
    op_rectangle(p, v);
    p->clips = true;
    path_end(p, false);
}

/* A form is a page within a page, with its own matrix and resources. */
static void run_form(Pen *p, qpdf_oh form, Str content) {
    Pen     inner = *p;
    Matrix  m;
    qpdf_oh own = dict_entry(p->r, form, "/Resources");

    if (read_matrix(p->r, dict_entry(p->r, form, "/Matrix"), &m))
        inner.g.ctm = times(m, p->g.ctm);
    if (qpdf_oh_is_dictionary(p->r->q, own))
        inner.resources = own;
    inner.depth++;
    inner.floor = 0;
    memset(&inner.saved, 0, sizeof inner.saved);
    memset(&inner.args, 0, sizeof inner.args);
    memset(&inner.points, 0, sizeof inner.points);
    memset(&inner.starts, 0, sizeof inner.starts);
    inner.open = inner.clips = false;
    clip_to_form(&inner, form);
    run(&inner, content);
}

static void op_object(Pen *p, const double *v) {
    const Token *name = last_of(p, TOKEN_NAME);
    qpdf_oh      form;
    Str          content;

    (void)v;
    if (!name || p->depth >= DEEPEST_FORM)
        return;
    form = resource(p, "/XObject", name->text);
    if (!qpdf_oh_is_name_and_equals(
            p->r->q, dict_entry(p->r, form, "/Subtype"), "/Form"))
        return;
    if (!stream_bytes(p->r, form, &content)) {
        read_trouble(p->r, "a drawing within the page cannot be read");
        return;
    }
    p->r->budget -= 100 + (long)(content.n / 8);
    run_form(p, form, content);
}

static const struct {
    const char *name;
    int         numbers;   // that it needs
    void      (*run)(Pen *p, const double *v);
} operators[] = {
    { "l", 2, op_line }, { "m", 2, op_move }, { "c", 6, op_curve },
    { "S", 0, op_stroke }, { "q", 0, op_save }, { "Q", 0, op_restore },
    { "cm", 6, op_concat }, { "v", 4, op_curve_from },
    { "y", 4, op_curve_to }, { "h", 0, op_close },
    { "re", 4, op_rectangle }, { "s", 0, op_close_stroke },
    { "f", 0, op_fill }, { "F", 0, op_fill }, { "f*", 0, op_fill },
    { "B", 0, op_stroke }, { "B*", 0, op_stroke },
    { "b", 0, op_close_stroke }, { "b*", 0, op_close_stroke },
    { "n", 0, op_fill }, { "W", 0, op_clip }, { "W*", 0, op_clip },
    { "BT", 0, op_begin_text }, { "Tf", 1, op_font },
    { "Td", 2, op_text_move }, { "TD", 2, op_text_move_leading },
    { "Tm", 6, op_text_matrix }, { "T*", 0, op_next_line },
    { "Tj", 0, op_show }, { "TJ", 0, op_show_spaced },
    { "'", 0, op_line_show }, { "\"", 2, op_line_show_set },
    { "Tc", 1, op_char_space }, { "Tw", 1, op_word_space },
    { "Tz", 1, op_stretch }, { "TL", 1, op_leading },
    { "Tr", 1, op_text_mode }, { "Do", 0, op_object },
};

/* The last `n` numbers before the operator. */
static bool take_numbers(const Pen *p, int n, double *v) {
    for (int i = p->args.n - 1; i >= 0 && n > 0; i--) {
        if (p->args.at[i].kind == TOKEN_NUMBER)
            v[--n] = p->args.at[i].number;
    }
    return n == 0;
}

static void operate(Pen *p, Str word) {
    double v[6] = { 0 };

    for (int i = 0; i < COUNT(operators); i++) {
        if (!str_is(word, operators[i].name))
            continue;
        if (take_numbers(p, operators[i].numbers, v))
            operators[i].run(p, v);
        return;
    }
}

static void run(Pen *p, Str content) {
    Tokens t = { p->r->c, content, 0 };

    while (p->r->budget > 0) {
        Token token = token_next(&t);
        p->r->budget--;
        if (token.kind == TOKEN_END)
            return;
        if (token.kind != TOKEN_WORD) {
            *PUSH(p->r->c, &p->args) = token;
            continue;
        }
        if (str_is(token.text, "ID"))
            token_skip_image(&t);
        else
            operate(p, token.text);
        p->args.n = 0;
    }
}

void content_run(Reader *r, ReadPage *page, Str content, Matrix base,
                 qpdf_oh resources) {
    Pen p = { .r = r, .page = page, .resources = resources };

    p.g.ctm     = base;
    p.g.clip    = page->paper;
    p.g.stretch = 1;
    run(&p, content);
    if (r->budget <= 0)
        read_trouble(r, "there is more drawn than can be read");
}
