/* folder -- paths: joining them, following links, and what lies below a
 * folder. */
#include "base/base.h"

Str path_folder(Str path) {
    size_t n = path.n;

    while (n > 0 && path.s[n - 1] != '/')
        n--;
    return n > 1 ? str_part(path, 0, n - 1) : str_part(path, 0, n);
}

/* Takes the last name off a path; false where there is none to take. */
static bool climb(Buf *path, size_t root) {
    size_t n = path->n, from;

    while (n > root && path->s[n - 1] != '/')
        n--;
    from = n;
    if (path->n == root || str_is((Str){ path->s + from, path->n - from },
                                  ".."))
        return false;
    path->n = n > root ? n - 1 : n;
    return true;
}

static void add_names(Buf *path, size_t root, Str names) {
    for (size_t at = 0; at < names.n; ) {
        size_t end = str_find(names, '/', at);
        Str    one = str_part(names, at, end);
        at = end + 1;
        if (one.n == 0 || str_is(one, "."))
            continue;
        if (str_is(one, "..") && (climb(path, root) || root))
            continue;   // above "/" is "/" again
        if (path->n > root)
            buf_add(path, "/");
        buf_str(path, one);
    }
}

Str path_join(Ctx *c, Str folder, Str name) {
    bool   whole = str_begins(name, "/");
    bool   top   = whole || str_begins(folder, "/");
    Buf    path  = BUF(c);

    if (top)
        buf_add(&path, "/");
    if (!whole)
        add_names(&path, top, folder);
    add_names(&path, top, name);
    return buf_done(&path);
}

bool path_is_below(Str folder, Str path) {
    if (folder.n == 0)
        return !str_begins(path, "/") && !str_is(path, "..")
            && !str_begins(path, "../");
    if (str_is(folder, "/"))
        return str_begins(path, "/");
    return path.n > folder.n && path.s[folder.n] == '/'
        && str_eq(str_part(path, 0, folder.n), folder);
}

bool path_real(Ctx *c, Str path, Str *real, const char **why) {
    if (c->files->real)
        return c->files->real(c, path.n ? str_z(c, path) : ".", real, why);
    *real = path_join(c, STR(""), path);
    return true;
}
