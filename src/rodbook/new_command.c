/* new -- a design of one's own, begun from a starter in templates/.
 *
 * The starter is copied byte for byte, remarks and all, but for the title.
 * A file that is there already is never written over: the name is claimed
 * by O_EXCL first, so not even a file that appears meanwhile is lost.
 */
#include "rodbook/rodbook.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <unistd.h>

#define STANDING_STARTER "box"
#define LONGEST_NAME     60

static const char *template_dir(void) {
    const char *dir = getenv("RODBOOK_TEMPLATES");

    return dir && *dir ? dir : TEMPLATE_DIR;
}

/* ---- Starters ---- */

static int by_name(const void *a, const void *b, const void *with) {
    (void)with;
    return str_cmp(*(const Str *)a, *(const Str *)b);
}

/* The names of all starters in order; false: reported. */
static bool find_starters(Ctx *c, Names *out) {
    DIR           *dir = opendir(template_dir());
    struct dirent *entry;

    if (!dir) {
        c->io_failed = true;
        report_plain(c, FILE_READ, "cannot read %s: %s", template_dir(),
                     strerror(errno));
        hint(c, "set RODBOOK_TEMPLATES to the folder that has Rodbook's "
                "starters");
        return false;
    }
    while ((entry = readdir(dir))) {
        Str name = str_from(c, entry->d_name);
        if (name.n > 5 && name.s[0] != '.' && str_ends(name, ".json"))
            *PUSH(c, out) = str_part(name, 0, name.n - 5);
    }
    closedir(dir);
    list_sort(c, out->at, out->n, sizeof *out->at, by_name, NULL);
    return true;
}

static const Design *read_starter(Ctx *c, Str name) {
    return design_read(c, str_z(c, str_fmt(c, "%s/%.*s.json",
                                           template_dir(),
                                           STR_ARG(name))));
}

static void list_starters(Ctx *c, const Names *starters) {
    Buf out = BUF(c);

    buf_add(&out, "Starters:\n");
    for (int i = 0; i < starters->n; i++) {
        const Design *d = read_starter(c, starters->at[i]);
        Str           title, about;
        if (!d)
            continue;
        title = node_str(c, d->root, "title");
        about = node_str(c, d->root, "about");
        buf_add(&out, "\n  %.*s: %.*s\n", STR_ARG(starters->at[i]),
                STR_ARG(title));
        if (about.n)
            buf_add(&out, "      %.*s\n", STR_ARG(about));
    }
    buf_add(&out, "\nBegin with one of them:\n"
            "  rodbook new my-project --from " STANDING_STARTER "\n");
    put(buf_done(&out));
}

static bool is_starter(Ctx *c, const Names *starters, Str name) {
    Str near;

    for (int i = 0; i < starters->n; i++)
        if (str_eq(starters->at[i], name))
            return true;
    report_plain(c, UNKNOWN_NAME, "there is no starter '%.*s'",
                 STR_ARG(name));
    near = nearest_name(name, starters->at, starters->n);
    if (near.n)
        hint(c, "did you mean '%.*s'?", STR_ARG(near));
    else
        hint(c, "rodbook new lists the starters");
    return false;
}

/* ---- The new file ---- */

static bool is_letter(char ch) {
    return (ch >= 'a' && ch <= 'z') || (ch >= 'A' && ch <= 'Z')
        || (ch >= '0' && ch <= '9');
}

/* A name that is safe as a file's name everywhere. */
static bool name_fits(Ctx *c, Str name) {
    bool fits = name.n > 0 && name.n <= LONGEST_NAME
             && is_letter(name.s[0]);

    for (size_t i = 0; i < name.n; i++)
        fits = fits && (is_letter(name.s[i]) || name.s[i] == '-'
                        || name.s[i] == '_');
    if (fits)
        return true;
    report_plain(c, BAD_CHOICE, "'%.*s' cannot be the name of a design",
                 STR_ARG(name));
    hint(c, "use letters, digits, - and _, at most %d, as in garden-box; "
         "the file is written to the working folder", LONGEST_NAME);
    return false;
}

/* "garden-box" to "Garden box" */
static Str title_of(Ctx *c, Str name) {
    Buf b = BUF(c);

    for (size_t i = 0; i < name.n; i++) {
        char ch = name.s[i];
        if (ch == '-' || ch == '_')
            ch = ' ';
        if (i == 0 && ch >= 'a' && ch <= 'z')
            ch = (char)(ch - 'a' + 'A');
        buf_add(&b, "%c", ch);
    }
    return str_trim(buf_done(&b));
}

/* The starter's text with another title. */
static Str with_title(Ctx *c, const Design *d, Str title) {
    Str         text = c->sources.at[d->file].text;
    const Node *old  = node_find(d->root, "title");
    Buf         b    = BUF(c);

    if (!old)
        return text;
    buf_str(&b, str_part(text, 0, old->loc.begin));
    buf_json(&b, title);
    buf_str(&b, str_part(text, old->loc.end, text.n));
    return buf_done(&b);
}

/* Makes an empty file of that name, so that nobody else can. */
static bool claim(Ctx *c, const char *path) {
    int fd = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);

    if (fd >= 0) {
        close(fd);
        return true;
    }
    c->io_failed = true;
    if (errno == EEXIST)
        report_plain(c, FILE_EXISTS, "%s is there already", path);
    else
        report_plain(c, FILE_WRITE, "cannot write %s: %s", path,
                     strerror(errno));
    return false;
}

static void say_next(Ctx *c, const char *path, Str name, Str starter) {
    put(str_fmt(c, "Wrote %s from the starter %.*s.\n\nNext:\n"
                "  open %s in a text editor and change what stands in "
                "quotes\n"
                "  rodbook check %s    says what is wrong\n"
                "  rodbook press %s    makes %.*s.letter-inch.pdf\n",
                path, STR_ARG(starter), path, path, path, STR_ARG(name)));
}

void command_new(Ctx *c, const Options *opt) {
    Names         starters = { 0 };
    Str           starter  = str_from(c, opt->from ? opt->from
                                                   : STANDING_STARTER);
    Str           name;
    const Design *d;
    char         *path;

    if (!find_starters(c, &starters))
        return;
    if (opt->n_inputs == 0) {
        list_starters(c, &starters);
        return;
    }
    name = str_from(c, opt->inputs[0]);
    if (str_ends(name, ".json"))
        name = str_part(name, 0, name.n - 5);
    if (!name_fits(c, name) || !is_starter(c, &starters, starter)
        || !(d = read_starter(c, starter)))
        return;
    path = str_z(c, str_fmt(c, "%.*s.json", STR_ARG(name)));
    if (!claim(c, path))
        return;
    if (file_write(c, path, with_title(c, d, title_of(c, name))))
        say_next(c, path, name, starter);
    else
        unlink(path);
}
