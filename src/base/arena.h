/**
 * Memory. Every allocation of the library goes through this file, so that a test can make each
 * one fail.
 *
 * An arena holds many things of one lifetime and frees them in one call. It is for objects that
 * are read or built once; a study's loop allocates nothing.
 */
#ifndef FL_BASE_ARENA_H
#define FL_BASE_ARENA_H

#include <stddef.h>

/** count * size zeroed bytes, aligned for any type and to 64 bytes; NULL when there are none or on
 * overflow. count * size == 0 gives a valid pointer. Free with fl_memory_free. */
void *fl_memory_take(size_t count, size_t size);

/** Grows (or shrinks) a block from fl_memory_take or NULL to count * size bytes; the old block is
 * kept on failure (NULL). New bytes are not set. */
void *fl_memory_grow(void *block, size_t old_bytes, size_t count, size_t size);

void fl_memory_free(void *block);

typedef struct fl_arena {
    struct fl_arena_block *last; /* newest block */
} fl_arena;

/** Makes an empty arena; allocates nothing. */
void fl_arena_init(fl_arena *arena);

/** Zeroed memory as fl_memory_take, freed with the arena. */
void *fl_arena_take(fl_arena *arena, size_t count, size_t size);

/** A copy of text [length] with a NUL behind it; NULL when out of memory. */
char *fl_arena_copy(fl_arena *arena, const char *text, size_t length);

/** Formatted text; NULL when out of memory. */
char *fl_arena_print(fl_arena *arena, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/** Frees all; the arena is empty and usable again. */
void fl_arena_release(fl_arena *arena);

#endif
