/* file -- reading whole files; writing whole files or nothing. */
#include "base/base.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#define LARGEST_FILE ((off_t)256 << 20)

static bool read_all(Ctx *c, int fd, Str *text) {
    struct stat st;
    char       *bytes;
    size_t      n = 0, size;

    if (fstat(fd, &st) != 0)
        return false;
    if (S_ISDIR(st.st_mode)) {
        errno = EISDIR;
        return false;
    }
    if (st.st_size > LARGEST_FILE) {
        errno = EFBIG;
        return false;
    }
    size  = (size_t)st.st_size;
    bytes = arena_take(&c->arena, size + 1);
    while (n < size) {
        ssize_t got = read(fd, bytes + n, size - n);
        if (got < 0)
            return false;
        if (got == 0)
            break;
        n += (size_t)got;
    }
    *text = (Str){ bytes, n };
    return true;
}

static bool real_read(Ctx *c, const char *path, Str *text,
                      const char **why) {
    int  fd = open(path, O_RDONLY | O_CLOEXEC);
    bool ok;

    if (fd < 0) {
        *why = strerror(errno);
        return false;
    }
    ok = read_all(c, fd, text);
    if (!ok)
        *why = strerror(errno);
    close(fd);
    return ok;
}

static bool write_all(int fd, Str bytes) {
    size_t n = 0;

    while (n < bytes.n) {
        ssize_t put = write(fd, bytes.s + n, bytes.n - n);
        if (put < 0)
            return false;
        n += (size_t)put;
    }
    return fsync(fd) == 0;
}

static bool real_write(Ctx *c, const char *path, Str bytes,
                       const char **why) {
    char *beside = str_z(c, str_fmt(c, "%s.%ld.part", path, (long)getpid()));
    int   fd     = open(beside, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC,
                        0666);
    bool  ok;

    if (fd < 0) {
        *why = strerror(errno);
        return false;
    }
    ok = write_all(fd, bytes);
    if (!ok)
        *why = strerror(errno);
    if (close(fd) != 0 && ok) {
        *why = strerror(errno);
        ok   = false;
    }
    if (ok && rename(beside, path) != 0) {
        *why = strerror(errno);
        ok   = false;
    }
    if (!ok)
        unlink(beside);
    return ok;
}

static bool real_real(Ctx *c, const char *path, Str *real,
                      const char **why) {
    char *found = realpath(path, NULL);

    if (!found) {
        *why = strerror(errno);
        return false;
    }
    *real = str_from(c, found);
    free(found);
    return true;
}

const Files real_files = { real_read, real_write, real_real };

int source_add(Ctx *c, const char *path, Str text) {
    Source *s = PUSH(c, &c->sources);

    s->path = str_from(c, path);
    s->text = text;
    return c->sources.n - 1;
}

int source_read(Ctx *c, const char *path) {
    Str         text;
    const char *why = "";

    if (!c->files->read(c, path, &text, &why)) {
        c->io_failed = true;
        report_plain(c, FILE_READ, "cannot read %s: %s", path, why);
        return -1;
    }
    return source_add(c, path, text);
}

int source_read_for(Ctx *c, Loc from, const char *path, Str shown) {
    Str         text;
    const char *why = "";

    if (c->files->read(c, path, &text, &why))
        return source_add(c, str_z(c, shown), text);
    c->io_failed = true;
    report(c, from, FILE_READ, "cannot read %.*s: %s", STR_ARG(shown), why);
    return -1;
}

bool file_write(Ctx *c, const char *path, Str bytes) {
    const char *why = "";

    if (c->files->write(c, path, bytes, &why))
        return true;
    c->io_failed = true;
    report_plain(c, FILE_WRITE, "cannot write %s: %s", path, why);
    return false;
}
