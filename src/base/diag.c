/* diag -- the list of messages, and how they are shown. */
#include "base/base.h"

static const struct {
    const char *name;
    Severity    severity;
    const char *hint;
} rows[] = {   // ORDER DIAG
#define DIAG(code, text, severity, hint) { text, severity, hint },
#include "base/diag.def"
#undef DIAG
};

const char *diag_name(DiagCode code) {
    return rows[code].name;
}

bool diags_full(const Ctx *c) {
    return c->diags.n >= MOST_MESSAGES;
}

/* True where the list is full: then the message is only counted. */
static bool only_counted(Ctx *c, DiagCode code) {
    if (!diags_full(c))
        return false;
    c->unsaid++;
    if (rows[code].severity == SEVERITY_ERROR)
        c->errors++;
    return true;
}

static void add(Ctx *c, Loc loc, bool has_place, DiagCode code, Str what) {
    Diag *d = PUSH(c, &c->diags);

    d->code      = code;
    d->severity  = rows[code].severity;
    d->loc       = loc;
    d->has_place = has_place;
    d->what      = what;
    d->hint      = (Str){ rows[code].hint, strlen(rows[code].hint) };
    d->serial    = c->diags.n;
    if (d->severity == SEVERITY_ERROR)
        c->errors++;
}

void report(Ctx *c, Loc loc, DiagCode code, const char *fmt, ...) {
    va_list args;

    if (only_counted(c, code))
        return;
    va_start(args, fmt);
    add(c, loc, c->sources.n > 0, code, str_vfmt(c, fmt, args));
    va_end(args);
}

void report_plain(Ctx *c, DiagCode code, const char *fmt, ...) {
    va_list args;

    if (only_counted(c, code))
        return;
    va_start(args, fmt);
    add(c, (Loc){ 0 }, false, code, str_vfmt(c, fmt, args));
    va_end(args);
}

void hint(Ctx *c, const char *fmt, ...) {
    va_list args;

    if (c->unsaid)   // the newest was not kept
        return;
    va_start(args, fmt);
    c->diags.at[c->diags.n - 1].hint = str_vfmt(c, fmt, args);
    va_end(args);
}

/* ---- Showing ---- */

static uint32_t line_begin(Str text, uint32_t at) {
    while (at > 0 && text.s[at - 1] != '\n')
        at--;
    return at;
}

static int characters(Str s) {
    size_t at = 0;
    int    n  = 0;

    while (at < s.n) {
        utf8_next(s, &at);
        n++;
    }
    return n;
}

LineCol loc_line_col(const Ctx *c, Loc loc) {
    Str      text = c->sources.at[loc.file].text;
    uint32_t at   = loc.begin < text.n ? loc.begin : (uint32_t)text.n;
    LineCol  lc   = { 1, 1 };

    for (uint32_t i = 0; i < at; i++)
        lc.line += text.s[i] == '\n';
    lc.col += characters(str_part(text, line_begin(text, at), at));
    return lc;
}

static int by_place(const void *pa, const void *pb, const void *with) {
    const Diag *a = pa, *b = pb;

    (void)with;
    if (a->has_place != b->has_place)
        return a->has_place - b->has_place;
    if (a->loc.file != b->loc.file)
        return a->loc.file - b->loc.file;
    if (a->loc.begin != b->loc.begin)
        return a->loc.begin < b->loc.begin ? -1 : 1;
    return a->serial - b->serial;
}

static void sort_diags(Ctx *c) {
    list_sort(c, c->diags.at, c->diags.n, sizeof *c->diags.at, by_place,
              NULL);
}

static const char *severity_word(const Diag *d) {
    return d->severity == SEVERITY_ERROR ? "error" : "warning";
}

#define MOST_CARETS 60   // they show where it begins, not how long it is

/* The source line under a message, with carets below the place. */
static void show_line(const Ctx *c, Buf *out, const Diag *d) {
    Str      text  = c->sources.at[d->loc.file].text;
    uint32_t at    = d->loc.begin < text.n ? d->loc.begin
                                           : (uint32_t)text.n;
    uint32_t begin = line_begin(text, at);
    size_t   end   = str_find(text, '\n', at);
    size_t   stop  = d->loc.end < end ? d->loc.end : end;
    Str      line  = str_part(text, begin, end);
    int      carets;

    if (line.n == 0 || line.n > 200)
        return;
    carets = stop > at ? characters(str_part(text, at, stop)) : 1;
    buf_add(out, "    %.*s\n    ", STR_ARG(line));
    for (uint32_t i = begin; i < at; ) {
        size_t next = i;
        buf_add(out, text.s[i] == '\t' ? "\t" : " ");
        utf8_next(text, &next);
        i = (uint32_t)next;
    }
    for (int i = 0; i < carets && i < MOST_CARETS; i++)
        buf_add(out, "^");
    buf_add(out, "\n");
}

Str diags_text(Ctx *c) {
    Buf out = BUF(c);

    sort_diags(c);
    for (int i = 0; i < c->diags.n; i++) {
        const Diag *d = &c->diags.at[i];
        if (d->has_place) {
            LineCol lc = loc_line_col(c, d->loc);
            buf_add(&out, "%.*s:%d:%d: ",
                    STR_ARG(c->sources.at[d->loc.file].path), lc.line,
                    lc.col);
        } else {
            buf_add(&out, "rodbook: ");
        }
        buf_add(&out, "%s: %.*s", severity_word(d), STR_ARG(d->what));
        if (d->hint.n)
            buf_add(&out, "; %.*s", STR_ARG(d->hint));
        buf_add(&out, " [%s]\n", diag_name(d->code));
        if (d->has_place)
            show_line(c, &out, d);
    }
    if (c->unsaid)
        buf_add(&out, "rodbook: and %d more\n", c->unsaid);
    return buf_done(&out);
}

Str diags_json(Ctx *c) {
    Buf out = BUF(c);

    sort_diags(c);
    buf_add(&out, "[");
    for (int i = 0; i < c->diags.n; i++) {
        const Diag *d = &c->diags.at[i];
        buf_add(&out, "%s\n  {\"severity\": \"%s\", \"code\": \"%s\"",
                i ? "," : "", severity_word(d), diag_name(d->code));
        if (d->has_place) {
            LineCol lc = loc_line_col(c, d->loc);
            buf_add(&out, ", \"file\": ");
            buf_json(&out, c->sources.at[d->loc.file].path);
            buf_add(&out, ", \"line\": %d, \"column\": %d", lc.line, lc.col);
        }
        buf_add(&out, ", \"message\": ");
        buf_json(&out, d->what);
        buf_add(&out, ", \"hint\": ");
        buf_json(&out, d->hint);
        buf_add(&out, "}");
    }
    buf_add(&out, c->diags.n ? "\n]\n" : "]\n");
    return buf_done(&out);
}
