/* Memory: the one place that allocates, and arenas on top of it. */
#include "base/arena.h"

#include <stdarg.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"

enum { ALIGNMENT = 64, FIRST_BLOCK = 4096, LAST_BLOCK = 65536 };

/* The head fills a line of its own, so that the bytes behind it are aligned. */
struct fl_arena_block {
    struct fl_arena_block *previous;
    size_t room; /* bytes behind the head */
    size_t used;
};

/* Every allocation ends here; a test wraps aligned_alloc. */
static void *allocate(size_t bytes)
{
    if (bytes > (size_t)PTRDIFF_MAX - ALIGNMENT)
        return NULL;
    /* aligned_alloc wants a multiple of the alignment, and may give NULL for nothing. */
    size_t whole = (bytes + ALIGNMENT - 1) / ALIGNMENT * ALIGNMENT;
    return aligned_alloc(ALIGNMENT, whole > 0 ? whole : ALIGNMENT);
}

/* count * size in product; false, and product unset, when it does not fit. */
static bool multiply(size_t *product, size_t count, size_t size)
{
    if (size != 0 && count > SIZE_MAX / size)
        return false;
    *product = count * size;
    return true;
}

void *fl_memory_take(size_t count, size_t size)
{
    size_t bytes;
    if (!multiply(&bytes, count, size))
        return NULL;
    void *block = allocate(bytes);
    /* The tools that watch memory take fresh bytes for unset, so they are set here and not left to
     * the system's zero pages. */
    if (block != NULL)
        memset(block, 0, bytes);
    return block;
}

void *fl_memory_grow(void *block, size_t old_bytes, size_t count, size_t size)
{
    size_t bytes;
    if (!multiply(&bytes, count, size))
        return NULL;
    /* There is no realloc that keeps an alignment: always a new block, the old one freed last. */
    void *grown = allocate(bytes);
    if (grown == NULL)
        return NULL;
    if (block != NULL)
        memcpy(grown, block, old_bytes < bytes ? old_bytes : bytes);
    free(block);
    return grown;
}

void fl_memory_free(void *block)
{
    free(block);
}

/* Nothing is taken before the first thing is put in: an arena may stand in a struct that is never
 * used. */
void fl_arena_init(fl_arena *arena)
{
    arena->last = NULL;
}

/* A new block for at least bytes; blocks double, so that their number stays small. */
static struct fl_arena_block *add_block(fl_arena *arena, size_t bytes)
{
    size_t room = FIRST_BLOCK - ALIGNMENT;
    if (arena->last != NULL && arena->last->room < LAST_BLOCK)
        room = 2 * arena->last->room;
    if (room < bytes)
        room = bytes;
    if (room > SIZE_MAX - ALIGNMENT)
        return NULL;
    struct fl_arena_block *block = fl_memory_take(1, ALIGNMENT + room);
    if (block == NULL)
        return NULL;
    /* The rest of the head's line stays empty. */
    block->room = room;
    block->previous = arena->last;
    arena->last = block;
    return block;
}

/* Bytes from the newest block, or from a new one. What is left of the old block is given up: blocks
 * are large against what is put in them, and a large piece gets a block of its size. */
static void *take_aligned(fl_arena *arena, size_t bytes, size_t alignment)
{
    struct fl_arena_block *block = arena->last;
    size_t from = block != NULL ? (block->used + alignment - 1) / alignment * alignment : 0;
    if (block == NULL || from > block->room || bytes > block->room - from) {
        block = add_block(arena, bytes);
        from = 0;
    }
    if (block == NULL)
        return NULL;
    block->used = from + bytes;
    return (char *)block + ALIGNMENT + from;
}

void *fl_arena_take(fl_arena *arena, size_t count, size_t size)
{
    size_t bytes;
    if (!multiply(&bytes, count, size))
        return NULL;
    return take_aligned(arena, bytes, ALIGNMENT);
}

char *fl_arena_copy(fl_arena *arena, const char *text, size_t length)
{
    /* The NUL would not fit. */
    if (length == SIZE_MAX)
        return NULL;
    char *copy = take_aligned(arena, length + 1, 1);
    if (copy != NULL && length > 0)
        memcpy(copy, text, length);
    return copy;
}

char *fl_arena_print(fl_arena *arena, const char *format, ...)
{
    va_list arguments;
    /* Twice through the format: once to measure, once to write. */
    va_start(arguments, format);
    int length = fl_format(NULL, 0, format, arguments);
    va_end(arguments);
    char *text = length >= 0 ? take_aligned(arena, (size_t)length + 1, 1) : NULL;
    if (text == NULL)
        return NULL;
    va_start(arguments, format);
    fl_format(text, (size_t)length + 1, format, arguments);
    va_end(arguments);
    return text;
}

void fl_arena_release(fl_arena *arena)
{
    /* Newest first; each block knows the one before it. */
    while (arena->last != NULL) {
        struct fl_arena_block *block = arena->last;
        arena->last = block->previous;
        fl_memory_free(block);
    }
}
