/** A checksum that tells whether bytes are the same; no protection against who wants it to lie. */
#ifndef FL_BASE_CHECKSUM_H
#define FL_BASE_CHECKSUM_H

#include <stddef.h>
#include <stdint.h>

/** Checksum of nothing. */
#define FL_CHECKSUM_START UINT64_C(0xcbf29ce484222325)

/** Goes on from the checksum of what came before: FNV-1a of 64 bits [Fowler2012]. */
uint64_t fl_checksum(uint64_t before, const void *bytes, size_t length);

#endif
