/* Words and numbers of a Touchstone file. */
#include <math.h>
#include <string.h>

#include "base/text.h"
#include "models/touchstone.h"

static bool blank(char c)
{
    return c == ' ' || c == '\t' || c == '\v' || c == '\f';
}

fl_span fl_span_word(fl_span *rest)
{
    const char *p = rest->begin;
    while (p < rest->end && blank(*p))
        ++p;
    fl_span word = {p, p};
    while (word.end < rest->end && !blank(*word.end))
        ++word.end;
    rest->begin = word.end;
    return word;
}

void fl_span_show(char shown[FL_SHOWN_ROOM], fl_span word)
{
    const size_t most = FL_SHOWN_ROOM - 4;
    const size_t length = (size_t)(word.end - word.begin);
    const size_t kept = length < most ? length : most;
    for (size_t i = 0; i < kept; ++i)
        shown[i] = word.begin[i] >= ' ' && word.begin[i] <= '~' ? word.begin[i] : '?';
    memcpy(shown + kept, length > most ? "..." : "", length > most ? 4 : 1);
}

fl_span fl_span_trimmed(fl_span span)
{
    while (span.begin < span.end && blank(*span.begin))
        ++span.begin;
    while (span.begin < span.end && blank(span.end[-1]))
        --span.end;
    return span;
}

char fl_letter_lowered(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

bool fl_span_is(fl_span word, const char *wanted)
{
    const size_t length = strlen(wanted);
    if ((size_t)(word.end - word.begin) != length)
        return false;
    for (size_t i = 0; i < length; ++i)
        if (fl_letter_lowered(word.begin[i]) != wanted[i])
            return false;
    return true;
}

bool fl_span_empty(fl_span span)
{
    return span.begin == span.end;
}

enum { NUMBER_ROOM = 128 };

static bool digit(char c)
{
    return c >= '0' && c <= '9';
}

/**
 * Rewrites ".5", "5." and "007" as "0.5", "5" and "7", which the number reader takes.
 * @return false if the word is no decimal number or does not fit.
 */
static bool plain_number(char plain[NUMBER_ROOM], fl_span word)
{
    const char *p = word.begin;
    size_t n = 0;
    bool digits = false;
    if (word.end - word.begin > NUMBER_ROOM - 4)
        return false;
    if (p < word.end && (*p == '+' || *p == '-'))
        plain[n++] = *p++;
    while (p + 1 < word.end && *p == '0' && digit(p[1]))
        ++p;
    if (p < word.end && *p == '.')
        plain[n++] = '0';
    for (; p < word.end && digit(*p); digits = true)
        plain[n++] = *p++;
    if (p < word.end && *p == '.' && p + 1 < word.end && digit(p[1])) {
        digits = true;
        do
            plain[n++] = *p++;
        while (p < word.end && digit(*p));
    } else if (p < word.end && *p == '.') {
        ++p;
    }
    const size_t rest = (size_t)(word.end - p);
    memcpy(plain + n, p, rest);
    plain[n + rest] = '\0';
    return digits;
}

fl_status fl_touchstone_number(double *value, fl_touchstone_reader *reader, fl_span word,
                               int exponent)
{
    char plain[NUMBER_ROOM];
    char shown[FL_SHOWN_ROOM];
    double read = 0.0;
    const char *end = plain_number(plain, word) ? fl_number_read(&read, plain, exponent) : NULL;
    fl_span_show(shown, word);
    if (!end || *end)
        return fl_touchstone_fail(reader, "a number was expected, found '%s'", shown);
    if (!isfinite(read))
        return fl_touchstone_fail(reader, "the number '%s' is too large", shown);
    *value = read;
    return FL_OK;
}
