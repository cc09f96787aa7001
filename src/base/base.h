/* base -- memory, text, lists, messages and files; knows no wood.
 *
 * Everything of one run hangs from one Ctx, which comes first wherever a
 * function allocates or reports:
 *
 *     Str name = str_fmt(c, "part %d", 3);
 *     report(c, node->loc, UNKNOWN_NAME, "there is no size '%.*s'",
 *            STR_ARG(name));
 *     hint(c, "did you mean '%.*s'?", STR_ARG(nearest));
 */
#ifndef BASE_BASE_H
#define BASE_BASE_H

#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "base/banned.h"

#define MUST_USE __attribute__((warn_unused_result))
#define LIKE_PRINTF(fmt, args) __attribute__((format(printf, fmt, args)))
#define COUNT(array) ((int)(sizeof(array) / sizeof(array)[0]))

/* ---- Memory ---- */

typedef struct ArenaBlock ArenaBlock;

/* Blocks of memory that are freed together. Exhaustion jumps to
 * `out_of_memory`, so that callers never test for NULL. */
typedef struct {
    ArenaBlock *newest;
    jmp_buf    *out_of_memory;   // NULL: exhaustion aborts
    size_t      taken;           // bytes handed out, for measuring
} Arena;

void *arena_take(Arena *a, size_t size);   // zeroed, aligned for any type
void *arena_take_raw(Arena *a, size_t size);   // the same, not zeroed
void  arena_free(Arena *a);                // everything, at once
void  arena_reset(Arena *a);               // the same, but keeps room
/* For main(): what is freed stays with the process, as arenas of short life
 * would fetch it again from the system, page by page. */
void  arena_keep_freed(void);

/* ---- Text: a pointer with a length, never changed in place ---- */

typedef struct {
    const char *s;
    size_t      n;
} Str;

#define STR(literal)  ((Str){ literal, sizeof(literal) - 1 })
#define STR_ARG(str)  (int)(str).n, (str).s   // for "%.*s"

/* ---- Places and messages ---- */

/* A byte range of one source file (index into Ctx.sources). A Loc that is
 * all zero with begin == end points at the start of the first source. */
typedef struct {
    int      file;
    uint32_t begin, end;
} Loc;

typedef enum { SEVERITY_ERROR, SEVERITY_WARNING } Severity;

typedef enum {
#define DIAG(code, text, severity, hint) code,
#include "base/diag.def"
#undef DIAG
    DIAG_CODES
} DiagCode;

typedef struct {
    DiagCode code;
    Severity severity;
    Loc      loc;
    bool     has_place;   // false: about a file as a whole, or no file
    Str      what;        // one sentence with both values in it
    Str      hint;        // may be empty
    int      serial;      // order of reporting, to keep the sort stable
} Diag;

typedef struct {
    Str path;   // as the user named it
    Str text;   // whole, as read
} Source;

typedef struct Files Files;

typedef struct Ctx {
    Arena        arena;
    const Files *files;    // how the world is read and written
    const char  *library;  // folder of shared files, beside the design's own;
                           // NULL: there is none
    struct { Diag   *at; int n, cap; } diags;
    struct { Source *at; int n, cap; } sources;
    int          errors;   // diagnostics that are errors
    int          unsaid;   // messages beyond MOST_MESSAGES, counted only
    bool         io_failed;  // a file could not be read or written
} Ctx;

void ctx_init(Ctx *c, const Files *files);
void ctx_free(Ctx *c);
/* Memory for what is thrown away again, by arena_reset or ctx_free; where
 * it runs out, it fails as that of `c` does. Not for messages. */
Ctx  ctx_scratch(const Ctx *c);

/* One allocated, zeroed T; or n of them. */
#define NEW(c, T)      ((T *)arena_take(&(c)->arena, sizeof(T)))
#define NEW_N(c, T, n) \
    ((T *)arena_take(&(c)->arena, sizeof(T) * (size_t)(n)))

/* A growing array in the arena: `LIST(Part) parts;` then
 * `Part *p = PUSH(c, &parts);` gives a new zeroed element. Pointers to
 * elements move when the list grows: keep indexes, or lists of pointers. */
#define LIST(T) struct { T *at; int n, cap; }
#define PUSH(c, list)                                                     \
    ((list)->at = (list)->n < (list)->cap ? (list)->at                    \
                : list_room((c), (list)->at, (list)->n, &(list)->cap,     \
                            sizeof *(list)->at),                          \
     &(list)->at[(list)->n++])
void *list_room(Ctx *c, void *at, int n, int *cap, size_t size);

/* A stable sort (qsort is not). `cmp` gets two elements and `with`. */
typedef int Compare(const void *a, const void *b, const void *with);
void list_sort(Ctx *c, void *at, int n, size_t size, Compare *cmp,
               const void *with);

/* Reports one mistake in a design or booklet, at a place in a source. */
void report(Ctx *c, Loc loc, DiagCode code, const char *fmt, ...)
    LIKE_PRINTF(4, 5);
/* Reports something that has no place in a source (a file, the booklet). */
void report_plain(Ctx *c, DiagCode code, const char *fmt, ...)
    LIKE_PRINTF(3, 4);
/* More messages than anybody reads are counted, not kept. */
#define MOST_MESSAGES 500
bool diags_full(const Ctx *c);
/* Replaces the standing hint of the newest diagnostic. */
void hint(Ctx *c, const char *fmt, ...) LIKE_PRINTF(2, 3);

/* All diagnostics in order of file and place, as printed for people:
 * `file:line:col: error: what; hint`, the source line and a caret. */
Str diags_text(Ctx *c);
/* The same for programs: a JSON array. */
Str diags_json(Ctx *c);
/* The stable name of a code, as tests match it: "unit-mismatch". */
const char *diag_name(DiagCode code);

typedef struct { int line, col; } LineCol;   // both from 1; col in characters
LineCol loc_line_col(const Ctx *c, Loc loc);

/* ---- Making and taking apart text ---- */

Str  str_from(Ctx *c, const char *s);             // copies
Str  str_copy(Ctx *c, Str s);
Str  str_fmt(Ctx *c, const char *fmt, ...) LIKE_PRINTF(2, 3);
Str  str_vfmt(Ctx *c, const char *fmt, va_list args);
char *str_z(Ctx *c, Str s);                       // NUL-terminated copy
bool str_is(Str s, const char *other);
bool str_eq(Str a, Str b);
uint32_t str_hash(Str s);       // FNV-1a; see docs/REFERENCES.md
int  str_cmp(Str a, Str b);                       // by bytes
bool str_begins(Str s, const char *prefix);
bool str_ends(Str s, const char *suffix);
Str  str_part(Str s, size_t from, size_t to);     // [from, to)
Str  str_trim(Str s);                             // spaces, tabs, newlines
/* Offset of the first `ch` at or after `from`, or s.n. */
size_t str_find(Str s, char ch, size_t from);

/* The next character at *at (moved past it), or 0xFFFD for a bad byte. */
uint32_t utf8_next(Str s, size_t *at);
bool     utf8_valid(Str s, size_t *bad_at);

/* Growing text. */
typedef struct {
    Ctx   *c;
    char  *s;
    size_t n, cap;
} Buf;

#define BUF(ctx) ((Buf){ .c = (ctx) })
void buf_add(Buf *b, const char *fmt, ...) LIKE_PRINTF(2, 3);
void buf_str(Buf *b, Str s);
void buf_char(Buf *b, uint32_t ch);               // as UTF-8
void buf_json(Buf *b, Str s);                     // quoted and escaped
void buf_csv(Buf *b, Str s);    // always quoted, a quote doubled (RFC 4180)
/* A double without locale, at most `places` decimals, no trailing zeros,
 * never "-0". */
void buf_num(Buf *b, double value, int places);
Str  buf_done(const Buf *b);

/* The known name nearest to a misspelt one by edit distance, or an empty
 * Str if none is near. */
Str nearest_name(Str wrong, const Str *known, int n);

/* ---- Files ---- */

/* The world as the program sees it; tests put other functions here. */
struct Files {
    /* Reads a whole file into the arena. False: *why says what failed. */
    bool (*read)(Ctx *c, const char *path, Str *text, const char **why);
    /* Writes beside, syncs, renames: all of it or nothing. */
    bool (*write)(Ctx *c, const char *path, Str bytes, const char **why);
    /* The path that is left when every link is followed. NULL where there
     * are no links, as in memory. */
    bool (*real)(Ctx *c, const char *path, Str *real, const char **why);
};
extern const Files real_files;

/* Reads a file and registers it as a source; reports FILE_READ on failure
 * and returns -1. */
MUST_USE int source_read(Ctx *c, const char *path);
/* Registers text that did not come from a file (tests). */
int  source_add(Ctx *c, const char *path, Str text);
/* Reads a file at `path` and registers it under the name `shown`; reports
 * FILE_READ at the place `from` that names it. */
MUST_USE int source_read_for(Ctx *c, Loc from, const char *path, Str shown);
/* Writes a whole file or nothing; reports FILE_WRITE on failure. */
MUST_USE bool file_write(Ctx *c, const char *path, Str bytes);

/* ---- Paths ---- */

/* "plans/bench.json" -> "plans"; "" for the working folder. */
Str  path_folder(Str path);
/* The path of `name` as seen from a folder, without "." and "..". */
Str  path_join(Ctx *c, Str folder, Str name);
/* Does a path lie below a folder? Both as path_join or path_real give. */
bool path_is_below(Str folder, Str path);
/* Follows links. False: *why says what failed. */
MUST_USE bool path_real(Ctx *c, Str path, Str *real, const char **why);

#endif
