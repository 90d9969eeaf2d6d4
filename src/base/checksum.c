/* A checksum of bytes. */
#include "base/checksum.h"

/* Byte by byte: it is short beside what it is taken of, files and the work of seconds. */
uint64_t fl_checksum(uint64_t before, const void *bytes, size_t length)
{
    const unsigned char *at = bytes;
    for (size_t i = 0; i < length; i++)
        before = (before ^ at[i]) * UINT64_C(0x100000001b3);
    return before;
}
