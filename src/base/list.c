/* list -- growing arrays and a stable sort. */
#include "base/base.h"

#include <limits.h>

void *list_room(Ctx *c, void *at, int n, int *cap, size_t size) {
    char *grown;

    if (n < *cap)
        return at;
    if (*cap > INT_MAX / 2)
        arena_take(&c->arena, SIZE_MAX);
    *cap  = *cap ? *cap * 2 : 8;
    grown = arena_take_raw(&c->arena, (size_t)*cap * size);
    if (n)
        memcpy(grown, at, (size_t)n * size);
    memset(grown + (size_t)n * size, 0, (size_t)(*cap - n) * size);
    return grown;
}

/* A size known beforehand saves the call of memcpy, which counts here. */
static inline void copy_one(char *to, const char *from, size_t size) {
    switch (size) {
    case 4:  memcpy(to, from, 4);  break;
    case 8:  memcpy(to, from, 8);  break;
    case 12: memcpy(to, from, 12); break;
    case 16: memcpy(to, from, 16); break;
    case 24: memcpy(to, from, 24); break;
    case 32: memcpy(to, from, 32); break;
    case 40: memcpy(to, from, 40); break;
    case 48: memcpy(to, from, 48); break;
    default: memcpy(to, from, size);
    }
}

/* Sorts a short run by moving each element down to its place; `moving` has
 * room for one. */
static void sort_run(char *a, int n, size_t size, Compare *cmp,
                     const void *with, char *moving) {
    for (int i = 1; i < n; i++) {
        char *at = a + (size_t)i * size;
        if (cmp(at - size, at, with) <= 0)
            continue;
        copy_one(moving, at, size);
        do {
            copy_one(at, at - size, size);
            at -= size;
        } while (at > a && cmp(at - size, moving, with) > 0);
        copy_one(at, moving, size);
    }
}

/* Merges the sorted runs [from, mid) and [mid, to) of `a` into `out`. */
static void merge(const char *a, char *out, int from, int mid, int to,
                  size_t size, Compare *cmp, const void *with) {
    int i = from, j = mid;

    if (mid < to && cmp(a + (size_t)(mid - 1) * size, a + (size_t)mid * size,
                        with) <= 0)
        j = mid = to;   // in order as they are
    if (mid == to) {
        memcpy(out + (size_t)from * size, a + (size_t)from * size,
               (size_t)(to - from) * size);
        return;
    }
    for (int k = from; k < to; k++) {
        bool left = j >= to
                 || (i < mid && cmp(a + (size_t)i * size,
                                    a + (size_t)j * size, with) <= 0);
        const char *take = a + (size_t)(left ? i++ : j++) * size;
        copy_one(out + (size_t)k * size, take, size);
    }
}

#define RUN 8   // sorted in place, before the merging begins

void list_sort(Ctx *c, void *at, int n, size_t size, Compare *cmp,
               const void *with) {
    char *a = at, *spare, *swap;

    if (n < 2)
        return;
    spare = arena_take_raw(&c->arena, (size_t)(n <= RUN ? 1 : n) * size);
    for (int from = 0; from < n; from += RUN)
        sort_run(a + (size_t)from * size, n - from < RUN ? n - from : RUN,
                 size, cmp, with, spare);
    for (int run = RUN; run < n; run = run > n / 2 ? n : run * 2) {
        for (int from = 0; from < n; ) {
            int mid = run < n - from ? from + run : n;
            int to  = run < n - mid ? mid + run : n;
            merge(a, spare, from, mid, to, size, cmp, with);
            from = to;
        }
        swap  = a;
        a     = spare;
        spare = swap;
    }
    if (a != at)
        memcpy(at, a, (size_t)n * size);
}
