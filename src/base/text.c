/* A growing text, printing in the C locale, and UTF-8. */
#include "base/text.h"

#include <locale.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "base/arena.h"

int fl_format(char *to, size_t room, const char *format, va_list arguments)
{
    /* The locale of this thread alone, and only for this call: a host may run others in its own.
     * The C locale is always there; without it the text would still be printed. */
    locale_t plain = newlocale(LC_ALL_MASK, "C", (locale_t)0);
    locale_t before = plain != (locale_t)0 ? uselocale(plain) : (locale_t)0;
    int length = vsnprintf(to, room, format, arguments);
    if (plain != (locale_t)0) {
        uselocale(before);
        freelocale(plain);
    }
    return length;
}

void fl_text_init(fl_text *text)
{
    *text = (fl_text){.bytes = NULL};
}

void fl_text_release(fl_text *text)
{
    fl_memory_free(text->bytes);
    fl_text_init(text);
}

bool fl_text_failed(const fl_text *text)
{
    return text->failed;
}

/* Makes room for more bytes and a NUL; false, and failed for good, when there is none. */
static bool make_room(fl_text *text, size_t more)
{
    if (text->failed)
        return false;
    /* The NUL is not in length, hence less and not less or equal. */
    if (more < text->room - text->length)
        return true;
    size_t room = text->room < 128 ? 256 : text->room;
    /* Doubling makes many small additions cost as much as one large one. */
    while (room <= SIZE_MAX / 2 && room - text->length <= more)
        room *= 2;
    char *grown = NULL;
    if (room - text->length > more)
        grown = fl_memory_grow(text->bytes, text->length, room, 1);
    if (grown == NULL) {
        text->failed = true;
        return false;
    }
    text->bytes = grown;
    text->room = room;
    return true;
}

void fl_text_add_bytes(fl_text *text, const char *bytes, size_t length)
{
    if (!make_room(text, length))
        return;
    if (length > 0)
        memcpy(text->bytes + text->length, bytes, length);
    text->length += length;
    text->bytes[text->length] = '\0';
}

void fl_text_add(fl_text *text, const char *string)
{
    fl_text_add_bytes(text, string, strlen(string));
}

void fl_text_print(fl_text *text, const char *format, ...)
{
    /* Most prints are short: a first try that fits needs no measuring. */
    if (!make_room(text, 64))
        return;
    va_list arguments;
    va_start(arguments, format);
    int length =
        fl_format(text->bytes + text->length, text->room - text->length, format, arguments);
    va_end(arguments);
    /* Cut: the length is known now. */
    if (length >= 0 && (size_t)length >= text->room - text->length &&
        make_room(text, (size_t)length)) {
        va_start(arguments, format);
        fl_format(text->bytes + text->length, text->room - text->length, format, arguments);
        va_end(arguments);
    }
    if (length < 0)
        text->failed = true;
    if (!text->failed)
        text->length += (size_t)length;
    /* A failed print may have left bytes behind the end. */
    text->bytes[text->length] = '\0';
}

size_t fl_text_width(const char *string)
{
    size_t width = 0;
    /* Every byte but those in the middle of a character. */
    for (; *string != '\0'; string++)
        width += ((unsigned char)*string & 0xC0U) != 0x80U;
    return width;
}

/* Bytes of the sequence that a lead byte begins, and the range of its second byte; 0 if none. */
static size_t sequence_length(unsigned char lead, unsigned char *low, unsigned char *high)
{
    *low = lead == 0xE0 ? 0xA0 : lead == 0xF0 ? 0x90 : 0x80;  /* no overlong forms */
    *high = lead == 0xED ? 0x9F : lead == 0xF4 ? 0x8F : 0xBF; /* no surrogates, up to 10FFFF */
    if (lead >= 0xC2 && lead <= 0xDF)
        return 2;
    if (lead >= 0xE0 && lead <= 0xEF)
        return 3;
    return lead >= 0xF0 && lead <= 0xF4 ? 4 : 0;
}

/* Whether a character of two or more bytes is whole and allowed; bytes [have], have > 0. */
static bool sequence_valid(const unsigned char *bytes, size_t have, size_t *length)
{
    /* The second byte alone tells overlong forms and surrogates apart [Unicode15] table 3-7. */
    unsigned char low, high;
    *length = sequence_length(bytes[0], &low, &high);
    if (*length == 0 || have < *length || bytes[1] < low || bytes[1] > high)
        return false;
    for (size_t i = 2; i < *length; i++)
        if ((bytes[i] & 0xC0U) != 0x80U)
            return false;
    return true;
}

size_t fl_text_valid_utf8(const char *bytes, size_t length)
{
    const unsigned char *at = (const unsigned char *)bytes;
    size_t i = 0;
    while (i < length) {
        size_t step = 1;
        if (at[i] == 0 || (at[i] >= 0x80 && !sequence_valid(at + i, length - i, &step)))
            break;
        i += step;
    }
    return i;
}
