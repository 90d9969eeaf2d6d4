/**
 * A double as decimal digits and an exponent, and as text with the point shifted.
 *
 * Shifting the point is exact, so "62 fF" and 6.2e-14 can be one decimal number.
 */
#ifndef FL_BASE_DECIMAL_H
#define FL_BASE_DECIMAL_H

#include <stdbool.h>

#include "base/text.h"

/** Digits that tell any double from any other. */
enum { FL_DIGITS = 17 };

/** (-1)^negative * d.ddd * 10^exponent; zero has the one digit '0' and exponent 0. */
typedef struct fl_decimal {
    bool negative;
    char digits[FL_DIGITS + 1]; /* NUL-terminated, no trailing zeros */
    int exponent;               /* of the first digit */
} fl_decimal;

/** The fewest digits that read back as the same double; value is finite. */
fl_decimal fl_decimal_shortest(double value);

/** Rounded to 1 to FL_DIGITS significant digits; value is finite. */
fl_decimal fl_decimal_round(double value, int digits);

/** "0.062", "62", "6.2e-14": with an exponent only below 1e-5 and from 1e15 on. */
void fl_decimal_text(char text[FL_NUMBER_ROOM], const fl_decimal *decimal);

#endif
