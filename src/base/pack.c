/* Values as bytes and back, every read checked. */
#include "base/pack.h"

#include <math.h>
#include <string.h>

/* What a count stands for that is none. */
static const uint32_t none = UINT32_MAX;

/* The lowest byte first, whatever the machine's own order. */
static void add_bytes(fl_text *text, uint64_t value, size_t count)
{
    char bytes[sizeof value];
    for (size_t i = 0; i < count; i++)
        bytes[i] = (char)(value >> 8 * i & 0xFF);
    fl_text_add_bytes(text, bytes, count);
}

void fl_pack_flag(fl_text *text, bool value)
{
    add_bytes(text, value, 1);
}

/* A number that has no room spoils the text, as memory would. */
void fl_pack_count(fl_text *text, size_t value)
{
    if (value != SIZE_MAX && value >= none)
        text->failed = true;
    add_bytes(text, value == SIZE_MAX ? none : value, sizeof none);
}

void fl_pack_whole(fl_text *text, uint64_t value)
{
    add_bytes(text, value, sizeof value);
}

/* The sign goes into the lowest bit; the lowest seven bits come first, and the eighth tells that
 * more follow. */
void fl_pack_short(fl_text *text, int64_t value)
{
    uint64_t rest = (uint64_t)value << 1 ^ (value < 0 ? UINT64_MAX : 0);
    for (; rest >= 0x80; rest >>= 7)
        add_bytes(text, (rest & 0x7F) | 0x80, 1);
    add_bytes(text, rest, 1);
}

/* The bits of the double, whatever it is. */
void fl_pack_number(fl_text *text, double value)
{
    uint64_t bits;
    memcpy(&bits, &value, sizeof bits);
    add_bytes(text, bits, sizeof bits);
}

void fl_pack_numbers(fl_text *text, const double *values, size_t count)
{
    for (size_t i = 0; i < count; i++)
        fl_pack_number(text, values[i]);
}

/* The length first, so that a reader knows what it has to check. */
void fl_pack_string(fl_text *text, const char *string)
{
    fl_pack_count(text, string ? strlen(string) : SIZE_MAX);
    if (string)
        fl_text_add(text, string);
}

void fl_unpack_init(fl_unpack *from, fl_arena *arena, const char *bytes, size_t length)
{
    const unsigned char *at = (const unsigned char *)bytes;
    *from = (fl_unpack){.at = at, .end = at + length, .arena = arena};
}

bool fl_unpack_well(const fl_unpack *from)
{
    return !from->failed && !from->no_memory;
}

/* Fails for good: no later read can make it well again. */
bool fl_unpack_must(fl_unpack *from, bool condition)
{
    if (!condition)
        from->failed = true;
    return condition;
}

static size_t left(const fl_unpack *from)
{
    return (size_t)(from->end - from->at);
}

/* The one place that moves on: 0 where there are too few bytes, or were before. */
static uint64_t take_bytes(fl_unpack *from, size_t count)
{
    uint64_t value = 0;
    if (!fl_unpack_well(from) || !fl_unpack_must(from, left(from) >= count))
        return 0;
    for (size_t i = 0; i < count; i++)
        value |= (uint64_t)from->at[i] << 8 * i;
    from->at += count;
    return value;
}

bool fl_unpack_flag(fl_unpack *from)
{
    const uint64_t value = take_bytes(from, 1);
    return fl_unpack_must(from, value <= 1) && value == 1;
}

/* Before it is used, so that no table is looked into out of its bounds. */
size_t fl_unpack_index(fl_unpack *from, size_t limit)
{
    const size_t value = (size_t)take_bytes(from, sizeof none);
    return fl_unpack_must(from, value < limit) ? value : 0;
}

size_t fl_unpack_index_or_none(fl_unpack *from, size_t limit)
{
    const uint64_t value = take_bytes(from, sizeof none);
    if (value == none)
        return SIZE_MAX;
    return fl_unpack_must(from, value < limit) ? (size_t)value : 0;
}

uint64_t fl_unpack_whole(fl_unpack *from)
{
    return take_bytes(from, sizeof(uint64_t));
}

int64_t fl_unpack_short(fl_unpack *from)
{
    uint64_t value = 0, byte = 0x80;
    for (unsigned shift = 0; byte >= 0x80; shift += 7) {
        byte = take_bytes(from, 1);
        if (!fl_unpack_must(from, shift < 63 || byte <= 1))
            return 0;
        value |= (byte & 0x7F) << shift;
    }
    return (int64_t)(value >> 1 ^ (value & 1 ? UINT64_MAX : 0));
}

/* Infinities and NaN would be found in no design. */
double fl_unpack_number(fl_unpack *from)
{
    const uint64_t bits = fl_unpack_whole(from);
    double value;
    memcpy(&value, &bits, sizeof value);
    return fl_unpack_must(from, isfinite(value)) ? value : 0.0;
}

/* A damaged count must not ask for more memory than the bytes could fill. */
size_t fl_unpack_count(fl_unpack *from, size_t least_bytes)
{
    const size_t count = (size_t)take_bytes(from, sizeof none);
    const size_t bytes = least_bytes > 0 ? least_bytes : 1;
    return fl_unpack_must(from, count <= left(from) / bytes) ? count : 0;
}

/* After a failure nothing is taken any more. */
void *fl_unpack_take(fl_unpack *from, size_t count, size_t size)
{
    if (!fl_unpack_well(from))
        return NULL;
    void *items = fl_arena_take(from->arena, count, size);
    if (items == NULL)
        from->no_memory = true;
    return items;
}

double *fl_unpack_numbers(fl_unpack *from, size_t count)
{
    if (!fl_unpack_must(from, count <= left(from) / sizeof(double)))
        return NULL;
    double *numbers = fl_unpack_take(from, count, sizeof *numbers);
    for (size_t i = 0; numbers != NULL && i < count; i++)
        numbers[i] = fl_unpack_number(from);
    return fl_unpack_well(from) ? numbers : NULL;
}

/* Length bytes as a string. */
static const char *take_string(fl_unpack *from, size_t length)
{
    if (!fl_unpack_must(from, length <= left(from)))
        return "";
    const char *bytes = (const char *)from->at;
    const char *string = NULL;
    if (fl_unpack_must(from, fl_text_valid_utf8(bytes, length) == length))
        string = fl_arena_copy(from->arena, bytes, length);
    from->no_memory = from->no_memory || (!from->failed && string == NULL);
    from->at += length;
    return string ? string : "";
}

const char *fl_unpack_string_or_none(fl_unpack *from)
{
    const uint64_t length = take_bytes(from, sizeof none);
    if (!fl_unpack_well(from) || length == none)
        return NULL;
    return take_string(from, (size_t)length);
}

const char *fl_unpack_string(fl_unpack *from)
{
    const char *string = fl_unpack_string_or_none(from);
    return fl_unpack_must(from, string != NULL) ? string : "";
}
