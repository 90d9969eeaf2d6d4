/* Errors as values: filling, prefixing, and keeping what is shown fit for a terminal. */
#include "base/error.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"

/* Ends a cut text with dots, on a character's edge. */
static void mark_cut(char *text, size_t room)
{
    /* Room for three dots and the NUL; back over the middle of a character, if that is where it
     * is. */
    size_t at = room - 4;
    while (at > 0 && ((unsigned char)text[at] & 0xC0U) == 0x80U)
        at--;
    memcpy(text + at, "...", 4);
}

/* Names and values come from files: no control character or broken UTF-8 may reach a terminal. */
static void make_printable(char *text)
{
    size_t length = strlen(text);
    for (size_t at = fl_text_valid_utf8(text, length); at < length;
         at += fl_text_valid_utf8(text + at, length - at))
        text[at] = '?';
    for (char *c = text; *c != '\0'; c++) {
        unsigned char byte = (unsigned char)*c;
        unsigned char next = (unsigned char)c[1];
        if (byte < 0x20 || byte == 0x7F)
            *c = '?';
        /* U+0080 to U+009F are controls too, which some terminals obey. */
        else if (byte == 0xC2 && next < 0xA0)
            c[0] = c[1] = '?';
    }
}

/* Prints, cut to room, and fit to be shown. */
static void print_cut(char *text, size_t room, const char *format, va_list arguments)
    __attribute__((format(printf, 3, 0)));

static void print_cut(char *text, size_t room, const char *format, va_list arguments)
{
    int length = fl_format(text, room, format, arguments);
    /* A format that cannot be printed: nothing is better than what was there before. */
    if (length < 0)
        text[0] = '\0';
    if (length >= 0 && (size_t)length >= room)
        mark_cut(text, room);
    make_printable(text);
}

/* As print_cut, from arguments. */
static void print_place(char *place, size_t room, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

static void print_place(char *place, size_t room, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    print_cut(place, room, format, arguments);
    va_end(arguments);
}

fl_status fl_fail(fl_error *error, fl_status status, const char *place, const char *format, ...)
{
    if (error == NULL)
        return status;
    va_list arguments;
    va_start(arguments, format);
    /* Filled aside and copied at the end, for the old text may be among the arguments. */
    fl_error filled = {.status = status};
    print_cut(filled.message, sizeof filled.message, format, arguments);
    va_end(arguments);
    print_place(filled.place, sizeof filled.place, "%s", place != NULL ? place : "");
    *error = filled;
    return status;
}

fl_status fl_fail_memory(fl_error *error)
{
    if (error != NULL) {
        *error = (fl_error){.status = FL_NO_MEMORY};
        memcpy(error->message, "out of memory", sizeof "out of memory");
    }
    return FL_NO_MEMORY;
}

fl_status fl_fail_within(fl_error *error, fl_status status, const char *prefix)
{
    if (error == NULL)
        return status;
    /* The place is both source and target. */
    char inner[sizeof error->place];
    memcpy(inner, error->place, sizeof inner);
    print_place(error->place, sizeof error->place, "%s%s%s", prefix, inner[0] != '\0' ? ": " : "",
                inner);
    return status;
}
