/* The option line of a Touchstone file. */
#include "base/text.h"
#include "models/touchstone.h"

typedef enum option_class {
    OPTION_UNIT,
    OPTION_KIND,
    OPTION_FORMAT,
    OPTION_RESISTANCE
} option_class;

typedef struct option_word {
    const char *word;
    option_class class;
    int value;
} option_word;

static const option_word option_words[] = {
    {"hz", OPTION_UNIT, 0},
    {"khz", OPTION_UNIT, 3},
    {"mhz", OPTION_UNIT, 6},
    {"ghz", OPTION_UNIT, 9},
    {"s", OPTION_KIND, FL_TOUCHSTONE_S},
    {"y", OPTION_KIND, FL_TOUCHSTONE_Y},
    {"z", OPTION_KIND, FL_TOUCHSTONE_Z},
    {"h", OPTION_KIND, FL_TOUCHSTONE_H},
    {"g", OPTION_KIND, FL_TOUCHSTONE_G},
    {"ma", OPTION_FORMAT, FL_FORMAT_MA},
    {"db", OPTION_FORMAT, FL_FORMAT_DB},
    {"ri", OPTION_FORMAT, FL_FORMAT_RI},
    {"r", OPTION_RESISTANCE, 0},
};

enum { OPTION_WORDS = sizeof option_words / sizeof *option_words };

static fl_status unknown_option(fl_touchstone_reader *reader, fl_span word)
{
    const char *words[OPTION_WORDS];
    char shown[FL_SHOWN_ROOM];
    for (size_t i = 0; i < OPTION_WORDS; ++i)
        words[i] = option_words[i].word;
    fl_span_show(shown, word);
    const char *near = fl_nearest(shown, words, OPTION_WORDS);
    if (near)
        return fl_touchstone_fail(reader,
                                  "unknown word '%s' in the option line; the nearest is "
                                  "'%s'",
                                  shown, near);
    return fl_touchstone_fail(reader,
                              "unknown word '%s' in the option line; a unit (Hz, kHz, MHz, "
                              "GHz), S, Y, Z, H or G, MA, DB or RI, or R and a resistance were "
                              "expected",
                              shown);
}

fl_status fl_touchstone_resistance(double *value, fl_touchstone_reader *reader, fl_span word)
{
    char shown[FL_SHOWN_ROOM];
    double read = 0.0;
    const fl_status status = fl_touchstone_number(&read, reader, word, 0);
    if (status != FL_OK)
        return status;
    fl_span_show(shown, word);
    /* The bounds keep every later product of references finite. */
    if (!(read >= 1e-12 && read <= 1e12))
        return fl_touchstone_fail(
            reader, "a positive reference resistance was expected, found '%s'", shown);
    *value = read;
    return FL_OK;
}

/** The numbers behind R: one, or one a port. */
static fl_status read_resistances(fl_touchstone_reader *reader, fl_span *rest)
{
    size_t count = 0;
    for (;;) {
        fl_span after = *rest;
        const fl_span word = fl_span_word(&after);
        if (fl_span_empty(word) || (count > 0 && fl_letter_lowered(*word.begin) >= 'a'))
            break;
        if (count == FL_TOUCHSTONE_PORTS)
            return fl_touchstone_fail(reader, "more than %d resistances in the option line",
                                      FL_TOUCHSTONE_PORTS);
        const fl_status status =
            fl_touchstone_resistance(&reader->option_reference[count], reader, word);
        if (status != FL_OK)
            return status;
        ++count;
        *rest = after;
    }
    reader->option_reference_count = count;
    if (count == 0)
        return fl_touchstone_fail(reader, "a resistance was expected after 'R' in the option line");
    return FL_OK;
}

static fl_status apply_option(fl_touchstone_reader *reader, const option_word *option,
                              fl_span *rest)
{
    switch (option->class) {
    case OPTION_UNIT:
        reader->exponent = option->value;
        return FL_OK;
    case OPTION_KIND:
        reader->touchstone->kind = (fl_touchstone_kind)option->value;
        return FL_OK;
    case OPTION_FORMAT:
        reader->format = (fl_touchstone_format)option->value;
        return FL_OK;
    case OPTION_RESISTANCE:
        return read_resistances(reader, rest);
    }
    return FL_OK;
}

static const option_word *find_option(fl_span word)
{
    for (size_t i = 0; i < OPTION_WORDS; ++i)
        if (fl_span_is(word, option_words[i].word))
            return &option_words[i];
    return NULL;
}

fl_status fl_touchstone_option(fl_touchstone_reader *reader, fl_span rest)
{
    unsigned given = 0;
    /* Only the first option line counts. */
    if (reader->has_option)
        return FL_OK;
    reader->has_option = true;
    for (fl_span word = fl_span_word(&rest); !fl_span_empty(word); word = fl_span_word(&rest)) {
        const option_word *option = find_option(word);
        if (!option)
            return unknown_option(reader, word);
        const unsigned bit = 1u << option->class;
        if (given & bit)
            return fl_touchstone_fail(reader, "'%s' is one too many in the option line",
                                      option->word);
        given |= bit;
        const fl_status status = apply_option(reader, option, &rest);
        if (status != FL_OK)
            return status;
    }
    return FL_OK;
}
