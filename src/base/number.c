/* Numbers to and from text, exactly, whatever locale the host has set. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/decimal.h"
#include "base/text.h"

/* No double, nor the middle between two, has more significant digits than 768; one more digit
 * tells on which side of the middle a longer number lies. */
enum { DIGITS_KEPT = 770, EXPONENT_END = 100000000, EXPONENT_ROOM = 24 };

/* Digits of a number without a point: 0.ddd... -> ddd * 10^exponent. */
typedef struct reading {
    char text[1 + DIGITS_KEPT + 1 + EXPONENT_ROOM];
    size_t length;
    size_t kept;
    long exponent;
} reading;

/* Not isdigit, which asks the locale. */
static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* Leading zeros say nothing. Behind the kept digits any digit but 0 leaves its mark in the next
 * place, and each moves the point. */
static void keep_digit(reading *number, char digit)
{
    if (number->kept == 0 && digit == '0')
        return;
    if (number->kept < DIGITS_KEPT) {
        number->text[number->length++] = digit;
        number->kept++;
        return;
    }
    if (digit != '0')
        number->text[number->length] = '1';
    number->exponent++;
}

/* Keeps a run of digits; each one behind the point is worth ten times less. */
static const char *read_digits(reading *number, const char *at, bool after_point)
{
    for (; is_digit(*at); at++) {
        keep_digit(number, *at);
        number->exponent -= after_point;
    }
    return at;
}

/* Reads e+12, saturating; at is unchanged if no digit follows. */
static const char *read_exponent(long *exponent, const char *at)
{
    if (*at != 'e' && *at != 'E')
        return at;
    bool negative = at[1] == '-';
    const char *digit = at + 1 + (at[1] == '-' || at[1] == '+');
    if (!is_digit(*digit))
        return at;
    long size = 0;
    for (; is_digit(*digit); digit++)
        if (size < EXPONENT_END)
            size = 10 * size + (*digit - '0');
    *exponent += negative ? -size : size;
    return digit;
}

const char *fl_number_read(double *value, const char *text, int exponent)
{
    reading number = {.exponent = exponent};
    const char *at = text;
    if (*at == '-')
        number.text[number.length++] = '-';
    at += *at == '-' || *at == '+';
    if (!is_digit(*at))
        return NULL;
    /* JSON: no digit may follow a leading zero [RFC8259] section 6; the number ends there. */
    if (*at == '0')
        at++;
    else
        at = read_digits(&number, at, false);
    /* A point or an exponent without digits is left for the caller to refuse. */
    if (*at == '.' && is_digit(at[1]))
        at = read_digits(&number, at + 1, true);
    at = read_exponent(&number.exponent, at);
    if (number.kept == 0)
        number.text[number.length++] = '0';
    /* The mark of the digits left out counts as one more digit. */
    if (number.text[number.length] != '\0') {
        number.length++;
        number.exponent--;
    }
    snprintf(number.text + number.length, EXPONENT_ROOM, "e%ld", number.exponent);
    /* Without a point the text means the same in every locale. */
    *value = strtod(number.text, NULL);
    return at;
}

fl_decimal fl_decimal_round(double value, int digits)
{
    char text[FL_NUMBER_ROOM];
    /* The host's decimal point may be anything, so only digits are taken from it. */
    snprintf(text, sizeof text, "%.*e", digits - 1, value);
    fl_decimal decimal = {.negative = text[0] == '-'};
    size_t length = 0;
    const char *at = text;
    for (; *at != 'e' && *at != '\0'; at++)
        if (is_digit(*at) && length < FL_DIGITS)
            decimal.digits[length++] = *at;
    if (*at == 'e')
        decimal.exponent = (int)strtol(at + 1, NULL, 10);
    while (length > 1 && decimal.digits[length - 1] == '0')
        decimal.digits[--length] = '\0';
    return decimal;
}

/* The double nearest to a decimal, without a point as in fl_number_read. */
static double decimal_value(const fl_decimal *decimal)
{
    char text[FL_NUMBER_ROOM];
    snprintf(text, sizeof text, "%s%se%d", decimal->negative ? "-" : "", decimal->digits,
             decimal->exponent - (int)strlen(decimal->digits) + 1);
    return strtod(text, NULL);
}

/* Adds one to the last of count digits. */
static void step_up(fl_decimal *decimal, size_t count)
{
    for (size_t i = strlen(decimal->digits); i < count; i++)
        decimal->digits[i] = '0';
    size_t i = count;
    while (i > 1 && decimal->digits[i - 1] == '9')
        decimal->digits[--i] = '\0';
    if (decimal->digits[i - 1] == '9') {
        decimal->digits[0] = '1';
        decimal->exponent++;
    } else {
        decimal->digits[i - 1]++;
    }
}

/* Tries a number of digits. Above a power of two, doubles lie twice as far apart as below; there
 * the decimal one step up may read back though the nearest one, below, does not. */
static bool try_digits(fl_decimal *decimal, double value, int digits)
{
    fl_decimal tried = fl_decimal_round(value, digits);
    bool same = decimal_value(&tried) == value;
    if (!same) {
        step_up(&tried, (size_t)digits);
        same = decimal_value(&tried) == value;
    }
    if (same)
        *decimal = tried;
    return same;
}

fl_decimal fl_decimal_shortest(double value)
{
    fl_decimal decimal = {.negative = signbit(value) != 0, .digits = "0"};
    if (value == 0.0 || !isfinite(value))
        return decimal;
    /* A normal double that 15 digits or fewer can name shows them when rounded to 15. */
    int first = isnormal(value) ? 15 : 1;
    for (int digits = first; digits <= FL_DIGITS; digits++)
        if (try_digits(&decimal, value, digits))
            break;
    return decimal;
}

void fl_decimal_text(char text[FL_NUMBER_ROOM], const fl_decimal *decimal)
{
    const char *zeros = "000000000000000";
    const char *sign = decimal->negative ? "-" : "";
    const char *digits = decimal->digits;
    int count = (int)strlen(digits);
    int exponent = decimal->exponent;
    /* Plain as long as it is easily read; beyond, with an exponent. */
    if (exponent < -5 || exponent > 14)
        snprintf(text, FL_NUMBER_ROOM, "%s%c%s%se%d", sign, digits[0], count > 1 ? "." : "",
                 digits + 1, exponent);
    else if (exponent < 0)
        snprintf(text, FL_NUMBER_ROOM, "%s0.%.*s%s", sign, -exponent - 1, zeros, digits);
    else if (count <= exponent + 1)
        snprintf(text, FL_NUMBER_ROOM, "%s%s%.*s", sign, digits, exponent + 1 - count, zeros);
    else
        snprintf(text, FL_NUMBER_ROOM, "%s%.*s.%s", sign, exponent + 1, digits,
                 digits + exponent + 1);
}

void fl_number_text(char text[FL_NUMBER_ROOM], double value)
{
    if (!isfinite(value)) {
        memcpy(text, "null", sizeof "null");
        return;
    }
    fl_decimal decimal = fl_decimal_shortest(value);
    fl_decimal_text(text, &decimal);
}
