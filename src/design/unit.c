/* Numbers with units: "62 fF" to 62e-15 and back, exactly. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/decimal.h"
#include "base/text.h"
#include "design/design.h"

/* How a dimension is written. */
typedef struct unit {
    const char *name;     /* as printed, in SI but for % */
    const char *others;   /* other spellings, each between blanks */
    const char *expected; /* for messages */
    bool prefixed;        /* takes prefixes, in both directions */
    int shift;            /* exponent of the printed unit in SI */
} unit;

static const unit units[] = {
    [FL_NUMBER] = {"", "", "a bare number such as '3.9'", false, 0},
    [FL_FREQUENCY] = {"Hz", "", "a frequency such as '28 GHz'", true, 0},
    [FL_RESISTANCE] = {"ohm", " Ω \xE2\x84\xA6 ", "a resistance such as '50 ohm'", true, 0},
    [FL_CAPACITANCE] = {"F", "", "a capacitance such as '62 fF'", true, 0},
    [FL_INDUCTANCE] = {"H", "", "an inductance such as '0.42 nH'", true, 0},
    [FL_LENGTH] = {"m", "", "a length such as '25 um'", true, 0},
    [FL_DECIBEL] = {"dB", "", "a number of decibel such as '15 dB'", false, 0},
    [FL_PERCENT] = {"%", "", "a percentage such as '4 %'", false, -2},
    [FL_LOSS] = {"dB/m", "", "a loss per length such as '1.2 dB/mm'", false, 0},
    [FL_CONDUCTIVITY] = {"S/m", "", "a conductivity such as '41 MS/m'", true, 0},
    [FL_ANGLE] = {"deg", " ° ", "an angle such as '30 deg'", false, 0},
};

/* Micro has three spellings: u, the micro sign and the Greek letter. The first is the one
 * printed. */
static const struct prefix {
    const char *text;
    int exponent;
} prefixes[] = {
    {"f", -15}, {"p", -12}, {"n", -9}, {"u", -6}, {"\xC2\xB5", -6}, {"\xCE\xBC", -6},
    {"m", -3},  {"", 0},    {"k", 3},  {"M", 6},  {"G", 9},         {"T", 12},
};

enum { PREFIX_COUNT = sizeof prefixes / sizeof prefixes[0], DIMENSION_COUNT = FL_ANGLE + 1 };

/* The name, or one of the other spellings, whole. */
static bool is_spelling(const char *text, const unit *written)
{
    if (strcmp(text, written->name) == 0)
        return true;
    /* The spellings stand between blanks in one text, so one with a blank in it is none. */
    const size_t length = strlen(text);
    if (length == 0 || strchr(text, ' ') != NULL)
        return false;
    const char *at = strstr(written->others, text);
    return at != NULL && at[-1] == ' ' && at[length] == ' ';
}

/* Exponent of a unit with its prefix: "fF" is -15. */
static bool read_prefixed(int *exponent, const char *text, const unit *written)
{
    for (size_t i = 0; i < PREFIX_COUNT; i++) {
        size_t length = strlen(prefixes[i].text);
        if (strncmp(text, prefixes[i].text, length) == 0 && is_spelling(text + length, written)) {
            *exponent = prefixes[i].exponent;
            return true;
        }
    }
    return false;
}

/* Centimetres are in use for lengths, and nowhere else. */
static bool read_length_unit(int *exponent, const char *text)
{
    if (strcmp(text, "cm") != 0)
        return read_prefixed(exponent, text, &units[FL_LENGTH]);
    *exponent = -2;
    return true;
}

/* Exponent of a dimension's unit in SI; the unit must be the whole text. A loss per length is in dB
 * over any unit of length. */
static bool read_unit(int *exponent, const char *text, fl_dimension dimension)
{
    const unit *written = &units[dimension];
    *exponent = written->shift;
    if (dimension == FL_LENGTH)
        return read_length_unit(exponent, text);
    if (written->prefixed)
        return read_prefixed(exponent, text, written);
    if (dimension != FL_LOSS)
        return is_spelling(text, written);
    bool read = strncmp(text, "dB/", 3) == 0 && read_length_unit(exponent, text + 3);
    /* Per millimetre is a thousand times more per metre. */
    *exponent = -*exponent;
    return read;
}

/* Any number of blanks, or none, stands between number and unit. */
static const char *skip_spaces(const char *text)
{
    while (*text == ' ')
        text++;
    return text;
}

/* Exponent of the unit behind the number; false if the text is none of the dimension. */
static bool read_as(int *exponent, const char *text, fl_dimension dimension)
{
    double ignored;
    const char *end = fl_number_read(&ignored, text, 0);
    return end != NULL && read_unit(exponent, skip_spaces(end), dimension);
}

fl_status fl_unit_read(double *value, const char *text, fl_dimension dimension, fl_error *error)
{
    int exponent = 0;
    double read = 0.0;
    if (!read_as(&exponent, text, dimension))
        return fl_fail(error, FL_BAD_INPUT, NULL, "expected %s, found '%s'",
                       units[dimension].expected, text);
    /* Once more with the unit's exponent, so that there is one rounding: 62 * 1e-15 would have
     * two. */
    fl_number_read(&read, text, exponent);
    if (!isfinite(read))
        return fl_fail(error, FL_BAD_INPUT, NULL, "expected %s, found a number too large, '%s'",
                       units[dimension].expected, text);
    *value = read;
    return FL_OK;
}

bool fl_unit_dimension(fl_dimension *dimension, const char *text)
{
    for (int i = 0; i < DIMENSION_COUNT; i++) {
        int exponent;
        /* No unit with its prefix is spelt like another: the order does not matter. */
        if (read_as(&exponent, text, (fl_dimension)i)) {
            *dimension = (fl_dimension)i;
            return true;
        }
    }
    return false;
}

const char *fl_unit_name(fl_dimension dimension)
{
    return units[dimension].name;
}

/* The largest prefix that leaves a number of at least 1; the least one for less. */
static const struct prefix *choose_prefix(int exponent)
{
    const struct prefix *chosen = &prefixes[0];
    for (size_t i = 1; i < PREFIX_COUNT; i++)
        if (prefixes[i].exponent <= exponent && prefixes[i].exponent > chosen->exponent)
            chosen = &prefixes[i];
    return chosen;
}

void fl_unit_text(char text[FL_UNIT_ROOM], double value, fl_dimension dimension, int digits)
{
    if (!isfinite(value)) {
        snprintf(text, FL_UNIT_ROOM, "-");
        return;
    }
    const unit *written = &units[dimension];
    const char *name = written->name;
    const char *prefix = "";
    fl_decimal decimal = digits > 0
                             ? fl_decimal_round(value, digits < FL_DIGITS ? digits : FL_DIGITS)
                             : fl_decimal_shortest(value);
    /* Zero has no size to choose a prefix by, and "-0" is only worth keeping where all digits
     * are. */
    bool zero = decimal.digits[0] == '0';
    if (zero && digits > 0)
        decimal.negative = false;
    /* Shifting the point keeps the decimal number, so that it reads back the same. */
    if (written->prefixed && !zero) {
        const struct prefix *chosen = choose_prefix(decimal.exponent);
        decimal.exponent -= chosen->exponent;
        prefix = chosen->text;
    } else if (dimension == FL_LOSS && !zero && decimal.exponent >= 3) {
        decimal.exponent -= 3;
        name = "dB/mm";
    } else if (!zero) {
        decimal.exponent -= written->shift;
    }
    char number[FL_NUMBER_ROOM];
    fl_decimal_text(number, &decimal);
    snprintf(text, FL_UNIT_ROOM, "%s%s%s%s", number, name[0] != '\0' ? " " : "", prefix, name);
}
