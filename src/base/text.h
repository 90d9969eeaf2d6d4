/**
 * A growing text, and numbers as text in the C locale whatever the host has set.
 *
 * Appending after a failed allocation does nothing: check fl_text_failed once, at the end.
 */
#ifndef FL_BASE_TEXT_H
#define FL_BASE_TEXT_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>

typedef struct fl_text {
    char *bytes; /* NUL-terminated once anything was added; may be NULL before */
    size_t length;
    size_t room;
    bool failed;
} fl_text;

void fl_text_init(fl_text *text); /* allocates nothing */
void fl_text_release(fl_text *text);
bool fl_text_failed(const fl_text *text);

void fl_text_add(fl_text *text, const char *string);
void fl_text_add_bytes(fl_text *text, const char *bytes, size_t length);
/** As printf in the C locale. */
void fl_text_print(fl_text *text, const char *format, ...) __attribute__((format(printf, 2, 3)));

/** As vsnprintf in the C locale. */
int fl_format(char *to, size_t room, const char *format, va_list arguments)
    __attribute__((format(printf, 3, 0)));

/** Room for any number that fl_number_text writes, with its NUL. */
enum { FL_NUMBER_ROOM = 40 };

/** The shortest decimal that reads back as the same double, such as "6.2e-14"; value is finite. */
void fl_number_text(char text[FL_NUMBER_ROOM], double value);

/**
 * Reads a decimal number (JSON grammar, an optional '+' too) times 10^exponent, correctly rounded:
 * "62" with exponent -15 is the double nearest 62e-15.
 * @return first byte after the number; NULL if none is there. Overflow gives infinity.
 */
const char *fl_number_read(double *value, const char *text, int exponent);

/** Number of characters shown for UTF-8 text (code points; combining marks are not special). */
size_t fl_text_width(const char *string);

/** Offset of the first byte that is not valid UTF-8 (or is NUL); length if all is well. */
size_t fl_text_valid_utf8(const char *bytes, size_t length);

/**
 * The word nearest to a misspelt one by edit distance, case ignored.
 * @return an entry of words; NULL if none is near (distance over a third of the length).
 */
const char *fl_nearest(const char *wrong, const char *const *words, size_t count);

#endif
