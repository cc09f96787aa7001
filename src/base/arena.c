/* arena -- blocks of memory that are freed together. */
#include "base/base.h"

#include <malloc.h>

#define FIRST_SIZE ((size_t)1 << 13)
#define BLOCK_SIZE ((size_t)1 << 18)
#define ALIGN      (sizeof(max_align_t) < 16 ? 16 : sizeof(max_align_t))

struct ArenaBlock {
    ArenaBlock *older;
    size_t      used, size;
    max_align_t bytes[];
};

static void fail(const Arena *a) {
    if (a->out_of_memory)
        longjmp(*a->out_of_memory, 1);
    abort();
}

/* Blocks grow with the arena: fewer of them, and little unused. The first
 * ones are small, for arenas of short life. */
static ArenaBlock *block_new(Arena *a, size_t least) {
    size_t      room = a->taken < FIRST_SIZE ? FIRST_SIZE
                     : a->taken < BLOCK_SIZE ? a->taken
                     : a->taken / 4 < BLOCK_SIZE ? BLOCK_SIZE : a->taken / 4;
    size_t      size = least > room ? least : room;
    ArenaBlock *b    = NULL;

    if (size < SIZE_MAX - sizeof *b)
        b = malloc(sizeof *b + size);
    if (!b)
        fail(a);
    b->used   = 0;
    b->size   = size;
    b->older  = a->newest;
    a->newest = b;
    return b;
}

void *arena_take_raw(Arena *a, size_t size) {
    ArenaBlock *b = a->newest;
    void       *taken;

    if (size > SIZE_MAX / 2)
        fail(a);
    size = (size + ALIGN - 1) / ALIGN * ALIGN;
    if (!b || b->size - b->used < size)
        b = block_new(a, size);
    taken = (char *)b->bytes + b->used;
    b->used  += size;
    a->taken += size;
    return taken;
}

/* Cleared as it is taken: a block is seldom filled. */
void *arena_take(Arena *a, size_t size) {
    return memset(arena_take_raw(a, size), 0, size);
}

/* The newest block is the largest; the others are given back. */
void arena_reset(Arena *a) {
    ArenaBlock *b = a->newest;

    if (!b)
        return;
    while (b->older) {
        ArenaBlock *older = b->older->older;
        free(b->older);
        b->older = older;
    }
    b->used  = 0;
    a->taken = 0;
}

void arena_free(Arena *a) {
    while (a->newest) {
        ArenaBlock *older = a->newest->older;
        free(a->newest);
        a->newest = older;
    }
    a->taken = 0;
}

void arena_keep_freed(void) {
#ifdef M_TRIM_THRESHOLD
    mallopt(M_TRIM_THRESHOLD, 256 << 20);
    mallopt(M_MMAP_THRESHOLD, 32 << 20);
#endif
}

void ctx_init(Ctx *c, const Files *files) {
    memset(c, 0, sizeof *c);
    c->files = files;
}

void ctx_free(Ctx *c) {
    arena_free(&c->arena);
    memset(c, 0, sizeof *c);
}

Ctx ctx_scratch(const Ctx *c) {
    Ctx work = { 0 };

    work.arena.out_of_memory = c->arena.out_of_memory;
    return work;
}
