/**
 * Values as bytes and back: little-endian, doubles exact, the same on every machine. What is read
 * may be damaged: every read is checked, and after a failed one all others give zero, so that a
 * reader looks once, at the end, and may trust counts and indices on the way.
 */
#ifndef FL_BASE_PACK_H
#define FL_BASE_PACK_H

#include <stdint.h>

#include "base/arena.h"
#include "base/text.h"

/* ---- writing: into a text, see fl_text_failed ---- */

void fl_pack_flag(fl_text *text, bool value);
/** A whole number below 2^32 - 1, or SIZE_MAX, which stands for none. */
void fl_pack_count(fl_text *text, size_t value);
void fl_pack_whole(fl_text *text, uint64_t value);
/** A whole number of either sign in as few bytes as it needs: seven bits each. */
void fl_pack_short(fl_text *text, int64_t value);
void fl_pack_number(fl_text *text, double value);
void fl_pack_numbers(fl_text *text, const double *values, size_t count);
/** A NUL-terminated string, or NULL. */
void fl_pack_string(fl_text *text, const char *string);

/* ---- reading ---- */

typedef struct fl_unpack {
    const unsigned char *at, *end;
    fl_arena *arena; /* of what is read */
    bool failed;     /* bytes that cannot be */
    bool no_memory;
} fl_unpack;

void fl_unpack_init(fl_unpack *from, fl_arena *arena, const char *bytes, size_t length);

/** Whether all was well so far. */
bool fl_unpack_well(const fl_unpack *from);

/** Marks the bytes as wrong unless a condition holds, which is returned. */
bool fl_unpack_must(fl_unpack *from, bool condition);

bool fl_unpack_flag(fl_unpack *from);
/** Below the limit; 0 on failure. */
size_t fl_unpack_index(fl_unpack *from, size_t limit);
/** The same, or SIZE_MAX for none. */
size_t fl_unpack_index_or_none(fl_unpack *from, size_t limit);
uint64_t fl_unpack_whole(fl_unpack *from);
int64_t fl_unpack_short(fl_unpack *from);
/** A finite number. */
double fl_unpack_number(fl_unpack *from);

/** Number of items that take at least so many bytes each: no more than there are bytes for. */
size_t fl_unpack_count(fl_unpack *from, size_t least_bytes);

/** Zeroed memory of the arena for count items; NULL when failed, before or by this. */
void *fl_unpack_take(fl_unpack *from, size_t count, size_t size);

/** Finite numbers [count] in the arena, or NULL. */
double *fl_unpack_numbers(fl_unpack *from, size_t count);

/** A string in the arena: valid UTF-8; "" on failure. */
const char *fl_unpack_string(fl_unpack *from);
/** The same, or NULL for none. */
const char *fl_unpack_string_or_none(fl_unpack *from);

#endif
