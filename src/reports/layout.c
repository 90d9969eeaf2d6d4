/**
 * Words and numbers as the text report shows them. Names come from files and may be of any length
 * and writing; whatever they are, no line may grow over FL_LINE columns.
 */
#include "reports/layout.h"

#include <math.h>
#include <stdarg.h>
#include <string.h>

static const char ELLIPSIS[] = "\xE2\x80\xA6";

typedef struct span {
    uint32_t first, last;
} span;

/* Blocks of the Unicode standard that terminals show two columns wide, and marks that are drawn
 * over the character before them. */
static const span WIDE[] = {
    {0x1100, 0x115F},   {0x2E80, 0x303E},   {0x3041, 0xA4CF},  {0xA960, 0xA97F}, {0xAC00, 0xD7A3},
    {0xF900, 0xFAFF},   {0xFE30, 0xFE6F},   {0xFF00, 0xFF60},  {0xFFE0, 0xFFE6}, {0x1F300, 0x1F64F},
    {0x1F680, 0x1F6FF}, {0x1F900, 0x1FAFF}, {0x20000, 0x3FFFD}};
static const span MARKS[] = {{0x0300, 0x036F}, {0x0483, 0x0489}, {0x0591, 0x05BD}, {0x0610, 0x061A},
                             {0x064B, 0x065F}, {0x0E31, 0x0E31}, {0x0E34, 0x0E3A}, {0x0E47, 0x0E4E},
                             {0x200B, 0x200F}, {0x202A, 0x202E}, {0x2060, 0x2069}, {0x20D0, 0x20FF},
                             {0xFE00, 0xFE0F}, {0xFE20, 0xFE2F}, {0xFEFF, 0xFEFF}};

/** A walk over a few ranges: names are short. */
static bool is_among(uint32_t point, const span *spans, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (point >= spans[i].first && point <= spans[i].last)
            return true;
    return false;
}

/** Whether a byte of UTF-8 goes on with the character before it. */
static bool is_continuation(char byte)
{
    return ((unsigned char)byte & 0xC0U) == 0x80U;
}

/** Bytes of the character at text, and the columns it takes. */
static size_t character(const char *text, size_t *columns)
{
    const unsigned char first = (unsigned char)text[0];
    uint32_t point = first < 0x80   ? first
                     : first < 0xE0 ? first & 0x1FU
                     : first < 0xF0 ? first & 0x0FU
                                    : first & 0x07U;
    size_t length = 1;
    for (; is_continuation(text[length]); length++)
        point = (point << 6) | ((unsigned char)text[length] & 0x3FU);
    *columns = is_among(point, MARKS, sizeof MARKS / sizeof MARKS[0]) ? 0
               : is_among(point, WIDE, sizeof WIDE / sizeof WIDE[0])  ? 2
                                                                      : 1;
    return length;
}

/** Terminals count so; letters of other writings would push a table's columns out of line. */
size_t fl_columns(const char *text)
{
    size_t total = 0;
    for (size_t columns = 0; *text; total += columns)
        text += character(text, &columns);
    return total;
}

/** A name that fits is copied whole, also when it fills the width; a cut one ends in an ellipsis.
 * Marks take no columns, so that bytes are limited too. */
void fl_shorten(char to[FL_NAME_ROOM], const char *from, size_t width)
{
    const size_t room = FL_NAME_ROOM - sizeof ELLIPSIS;
    const bool fits = fl_columns(from) <= width && strlen(from) <= room;
    size_t used = 0, length = 0;
    while (from[length]) {
        size_t columns = 0;
        const size_t bytes = character(from + length, &columns);
        if (!fits && (used + columns + 1 > width || length + bytes > room))
            break;
        length += bytes;
        used += columns;
    }
    memcpy(to, from, length);
    memcpy(to + length, fits ? "" : ELLIPSIS, fits ? 1 : sizeof ELLIPSIS);
}

static void add_spaces(fl_text *text, size_t count)
{
    for (; count > 0; count--)
        fl_text_add_bytes(text, " ", 1);
}

/** Copies the first word of a text, cut to width columns; returns its length in the text. */
static size_t take_word(char word[FL_NAME_ROOM], const char *words, size_t width)
{
    char whole[FL_NAME_ROOM];
    const size_t length = strcspn(words, " ");
    size_t copied = length < sizeof whole ? length : sizeof whole - 1;
    while (copied < length && copied > 0 && is_continuation(words[copied]))
        copied--;
    memcpy(whole, words, copied);
    whole[copied] = '\0';
    fl_shorten(word, whole, width);
    return length;
}

/** Words are measured in columns, not bytes. */
void fl_paragraph(fl_text *text, size_t indent, const char *words)
{
    size_t used = 0;
    while (*words) {
        char word[FL_NAME_ROOM];
        const size_t length = take_word(word, words, FL_LINE - indent);
        const size_t columns = fl_columns(word);
        const bool wraps = used > 0 && used + 1 + columns > FL_LINE;
        if (wraps)
            fl_text_add(text, "\n");
        add_spaces(text, used == 0 || wraps ? indent : 1);
        fl_text_add(text, word);
        used = (used == 0 || wraps ? indent : used + 1) + columns;
        words += length + strspn(words + length, " ");
    }
    fl_text_add(text, "\n");
}

void fl_heading(fl_text *text, const char *words)
{
    fl_text_add(text, "\n");
    fl_paragraph(text, 0, words);
}

static void print_word(char to[FL_WORD_ROOM], const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/** As printf in the C locale, into a word. */
static void print_word(char to[FL_WORD_ROOM], const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    fl_format(to, FL_WORD_ROOM, format, arguments);
    va_end(arguments);
}

/** Zero for values that would be shown as a negative zero. */
static double without_negative_zero(double value, double half_step)
{
    return value < 0.0 && value > -half_step ? 0.0 : value;
}

/** Two decimals: the worst is found to 0.001 dB, and measured to less. */
void fl_decibel_text(char to[FL_WORD_ROOM], double value)
{
    if (!isfinite(value))
        print_word(to, "-");
    else if (value >= FL_CEILING_DB)
        print_word(to, "over %.0f dB", FL_CEILING_DB);
    else
        print_word(to, "%.2f dB", without_negative_zero(value, 0.005));
}

/** Always with a sign: whether more is better is half of what a sensitivity says. */
void fl_change_text(char to[FL_WORD_ROOM], double value)
{
    if (!isfinite(value))
        print_word(to, "-");
    else if (fabs(value) < 0.0005)
        print_word(to, "0.000");
    else
        print_word(to, "%+.3f", value);
}

/** Shares are shown in percent, as they are spoken of. */
void fl_share_text(char to[FL_WORD_ROOM], double share, int decimals)
{
    if (isfinite(share))
        print_word(to, "%.*f %%", decimals, 100.0 * share);
    else
        print_word(to, "-");
}

/** A yield that is shown as 100 % would be taken as certain. */
void fl_yield_text(char to[FL_WORD_ROOM], double share)
{
    const double least = 0.0001;
    if (share < 1.0 && share > 1.0 - least)
        share = 1.0 - least;
    if (share > 0.0 && share < least)
        share = least;
    fl_share_text(to, share, 2);
}

void fl_bound_text(char to[FL_WORD_ROOM], double share)
{
    if (share > 0.5)
        fl_yield_text(to, share);
    else
        fl_share_text(to, share, 2);
}

/** As fl_unit_text, which takes known numbers only. */
void fl_value_text(char to[FL_WORD_ROOM], double value, fl_dimension dimension, int digits)
{
    if (isfinite(value))
        fl_unit_text(to, value, dimension, digits);
    else
        print_word(to, "-");
}

/** Spaces, as commas and points mean different things in different countries. */
void fl_count_text(char to[FL_WORD_ROOM], uint64_t count)
{
    char digits[FL_WORD_ROOM];
    print_word(digits, "%llu", (unsigned long long)count);
    const size_t length = strlen(digits);
    size_t at = 0;
    for (size_t i = 0; i < length; i++) {
        if (i > 0 && (length - i) % 3 == 0)
            to[at++] = ' ';
        to[at++] = digits[i];
    }
    to[at] = '\0';
}

/** An insertion loss has both ports, a return loss one of them. */
const char *fl_asked_text(fl_asked asked, int port)
{
    if (asked != FL_RETURN_LOSS)
        return fl_asked_name(asked);
    return port == FL_PORT_DIE ? "return loss, die port" : "return loss, board port";
}

/** Quantities of one case share their names with those of other cases. */
const char *fl_owned_name(fl_arena *arena, const char *name, const char *case_name)
{
    return case_name ? fl_arena_print(arena, "%s (%s)", name, case_name) : name;
}
