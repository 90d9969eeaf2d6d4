/* The keywords of a Touchstone 2.0 file. */
#include <string.h>

#include "base/text.h"
#include "models/touchstone.h"

enum { WHOLE_DIGITS = 9 };

static fl_status read_whole(size_t *value, fl_touchstone_reader *reader, fl_span *rest)
{
    char shown[FL_SHOWN_ROOM];
    const fl_span word = fl_span_word(rest);
    size_t read = 0;
    bool fits = !fl_span_empty(word) && word.end - word.begin <= WHOLE_DIGITS;
    for (const char *p = word.begin; fits && p < word.end; ++p) {
        fits = *p >= '0' && *p <= '9';
        read = read * 10 + (size_t)(*p - '0');
    }
    fl_span_show(shown, word);
    if (!fits || read == 0)
        return fl_touchstone_fail(reader, "a whole number from 1 was expected, found '%s'", shown);
    *value = read;
    return FL_OK;
}

static fl_status read_version(fl_touchstone_reader *reader, fl_span *rest)
{
    char shown[FL_SHOWN_ROOM];
    const fl_span word = fl_span_word(rest);
    fl_span_show(shown, word);
    if (reader->has_option || reader->stage != FL_STAGE_HEAD)
        return fl_touchstone_fail(reader, "'[Version]' was expected before the option line");
    if (!fl_span_is(word, "2.0") && !fl_span_is(word, "2.1"))
        return fl_touchstone_fail(reader, "version 2.0 was expected, found '%s'", shown);
    reader->version = 2;
    return FL_OK;
}

static fl_status read_ports(fl_touchstone_reader *reader, fl_span *rest)
{
    size_t ports = 0;
    const fl_status status = read_whole(&ports, reader, rest);
    if (status != FL_OK)
        return status;
    if (ports > FL_TOUCHSTONE_PORTS)
        return fl_touchstone_fail(reader, "1 to %d ports were expected, found %zu",
                                  FL_TOUCHSTONE_PORTS, ports);
    if (reader->named_ports > 0 && reader->named_ports != ports)
        return fl_touchstone_fail(reader, "%zu ports, but the file's extension says %zu", ports,
                                  reader->named_ports);
    reader->touchstone->ports = ports;
    return FL_OK;
}

static fl_status read_order(fl_touchstone_reader *reader, fl_span *rest)
{
    char shown[FL_SHOWN_ROOM];
    const fl_span word = fl_span_word(rest);
    fl_span_show(shown, word);
    reader->order_12_21 = fl_span_is(word, "12_21");
    if (!reader->order_12_21 && !fl_span_is(word, "21_12"))
        return fl_touchstone_fail(reader, "'12_21' or '21_12' was expected, found '%s'", shown);
    return FL_OK;
}

static fl_status read_declared(fl_touchstone_reader *reader, fl_span *rest)
{
    return read_whole(&reader->declared, reader, rest);
}

static fl_status read_noise_count(fl_touchstone_reader *reader, fl_span *rest)
{
    size_t ignored = 0;
    return read_whole(&ignored, reader, rest);
}

static fl_status read_shape(fl_touchstone_reader *reader, fl_span *rest)
{
    static const char *const names[] = {"full", "lower", "upper"};
    static const fl_touchstone_shape shapes[] = {FL_SHAPE_FULL, FL_SHAPE_LOWER, FL_SHAPE_UPPER};
    char shown[FL_SHOWN_ROOM];
    const fl_span word = fl_span_word(rest);
    for (size_t i = 0; i < sizeof names / sizeof *names; ++i)
        if (fl_span_is(word, names[i])) {
            reader->shape = shapes[i];
            return FL_OK;
        }
    fl_span_show(shown, word);
    return fl_touchstone_fail(reader, "'Full', 'Lower' or 'Upper' was expected, found '%s'", shown);
}

fl_status fl_touchstone_reference(fl_touchstone_reader *reader, fl_span rest)
{
    const size_t ports = reader->touchstone->ports;
    for (fl_span word = fl_span_word(&rest); !fl_span_empty(word); word = fl_span_word(&rest)) {
        if (reader->reference_count == ports)
            return fl_touchstone_fail(reader, "'[Reference]' has more values than the %zu ports",
                                      ports);
        const fl_status status =
            fl_touchstone_resistance(&reader->reference[reader->reference_count], reader, word);
        if (status != FL_OK)
            return status;
        ++reader->reference_count;
    }
    reader->reference_open = reader->reference_count < ports;
    return FL_OK;
}

static fl_status read_reference(fl_touchstone_reader *reader, fl_span *rest)
{
    if (reader->touchstone->ports == 0)
        return fl_touchstone_fail(reader, "'[Number of Ports]' was expected before '[Reference]'");
    const fl_span values = *rest;
    rest->begin = rest->end;
    return fl_touchstone_reference(reader, values);
}

static fl_status read_mixed(fl_touchstone_reader *reader, fl_span *rest)
{
    (void)rest;
    return fl_touchstone_fail(reader,
                              "mixed-mode data are not supported; single-ended ones were expected");
}

static fl_status read_information(fl_touchstone_reader *reader, fl_span *rest)
{
    (void)rest;
    reader->stage = FL_STAGE_INFORMATION;
    return FL_OK;
}

static fl_status read_information_end(fl_touchstone_reader *reader, fl_span *rest)
{
    (void)rest;
    if (reader->stage != FL_STAGE_INFORMATION)
        return fl_touchstone_fail(reader, "'[End Information]' without '[Begin Information]'");
    reader->stage = FL_STAGE_HEAD;
    return FL_OK;
}

static fl_status read_network_data(fl_touchstone_reader *reader, fl_span *rest);

static fl_status read_noise_data(fl_touchstone_reader *reader, fl_span *rest)
{
    (void)rest;
    const fl_status status = fl_touchstone_whole(reader);
    if (status != FL_OK)
        return status;
    if (reader->touchstone->ports != 2)
        return fl_touchstone_fail(reader, "noise data were expected with 2 ports only, found %zu",
                                  reader->touchstone->ports);
    reader->stage = FL_STAGE_NOISE;
    return FL_OK;
}

static fl_status read_data_end(fl_touchstone_reader *reader, fl_span *rest)
{
    (void)rest;
    const fl_status status = fl_touchstone_whole(reader);
    if (status != FL_OK)
        return status;
    reader->stage = FL_STAGE_END;
    return FL_OK;
}

typedef struct keyword {
    const char *name;
    unsigned stages; /* where it may stand, a bit each */
    fl_status (*read)(fl_touchstone_reader *reader, fl_span *rest);
} keyword;

enum {
    IN_HEAD = 1 << FL_STAGE_HEAD,
    IN_INFORMATION = 1 << FL_STAGE_INFORMATION,
    IN_DATA = 1 << FL_STAGE_DATA,
    IN_NOISE = 1 << FL_STAGE_NOISE
};

enum { KEY_VERSION, KEY_PORTS, KEY_ORDER, KEY_FREQUENCIES };

static const keyword keywords[] = {
    [KEY_VERSION] = {"version", IN_HEAD | IN_DATA, read_version},
    [KEY_PORTS] = {"number of ports", IN_HEAD, read_ports},
    [KEY_ORDER] = {"two-port data order", IN_HEAD, read_order},
    [KEY_FREQUENCIES] = {"number of frequencies", IN_HEAD, read_declared},
    {"number of noise frequencies", IN_HEAD | IN_DATA, read_noise_count},
    {"reference", IN_HEAD, read_reference},
    {"matrix format", IN_HEAD, read_shape},
    {"mixed-mode order", IN_HEAD, read_mixed},
    {"begin information", IN_HEAD, read_information},
    {"end information", IN_HEAD | IN_INFORMATION, read_information_end},
    {"network data", IN_HEAD, read_network_data},
    {"noise data", IN_DATA, read_noise_data},
    {"end", IN_DATA | IN_NOISE, read_data_end},
};

enum { KEYWORDS = sizeof keywords / sizeof *keywords };

static fl_status require(fl_touchstone_reader *reader, size_t key)
{
    if (reader->seen & 1u << key)
        return FL_OK;
    return fl_touchstone_fail(reader, "'[%s]' was expected before '[network data]'",
                              keywords[key].name);
}

static fl_status read_network_data(fl_touchstone_reader *reader, fl_span *rest)
{
    (void)rest;
    if (!reader->has_option)
        return fl_touchstone_fail(reader, "an option line was expected before '[network data]'");
    fl_status status = require(reader, KEY_PORTS);
    if (status == FL_OK)
        status = require(reader, KEY_FREQUENCIES);
    if (status == FL_OK && reader->touchstone->ports == 2)
        status = require(reader, KEY_ORDER);
    return status == FL_OK ? fl_touchstone_begin(reader) : status;
}

enum { NAME_ROOM = 48 };

/** Name between the brackets in lower case, runs of blanks as one; false if there is no ']'. */
static bool keyword_name(char name[NAME_ROOM], fl_span *line)
{
    const char *close = memchr(line->begin, ']', (size_t)(line->end - line->begin));
    size_t length = 0;
    if (!close)
        return false;
    fl_span inside = {line->begin + 1, close};
    line->begin = close + 1;
    for (fl_span word = fl_span_word(&inside); !fl_span_empty(word); word = fl_span_word(&inside)) {
        if (length > 0 && length < NAME_ROOM - 1)
            name[length++] = ' ';
        for (; word.begin < word.end && length < NAME_ROOM - 1; ++word.begin)
            name[length++] =
                *word.begin >= ' ' && *word.begin <= '~' ? fl_letter_lowered(*word.begin) : '?';
    }
    name[length] = '\0';
    return true;
}

static const keyword *find_keyword(const char *name)
{
    for (size_t i = 0; i < KEYWORDS; ++i)
        if (strcmp(keywords[i].name, name) == 0)
            return &keywords[i];
    return NULL;
}

static fl_status unknown_keyword(fl_touchstone_reader *reader, const char *name)
{
    const char *names[KEYWORDS];
    for (size_t i = 0; i < KEYWORDS; ++i)
        names[i] = keywords[i].name;
    const char *near = fl_nearest(name, names, KEYWORDS);
    return near ? fl_touchstone_fail(reader, "unknown keyword '[%s]'; the nearest is '[%s]'", name,
                                     near)
                : fl_touchstone_fail(reader, "unknown keyword '[%s]'", name);
}

/** Refuses a keyword that may not stand here. */
static fl_status keyword_fits(fl_touchstone_reader *reader, const keyword *key, unsigned bit)
{
    if (key != &keywords[KEY_VERSION] && reader->version < 2)
        return fl_touchstone_fail(reader, "'[version] 2.0' was expected before '[%s]'", key->name);
    if (reader->reference_open)
        return fl_touchstone_fail(reader, "'[Reference]' needs %zu values, found %zu",
                                  reader->touchstone->ports, reader->reference_count);
    if (reader->seen & bit)
        return fl_touchstone_fail(reader, "'[%s]' is given twice", key->name);
    if (!(key->stages & 1u << reader->stage))
        return fl_touchstone_fail(reader, "'[%s]' does not belong %s", key->name,
                                  reader->stage == FL_STAGE_HEAD ? "before '[network data]'"
                                                                 : "after '[network data]'");
    return FL_OK;
}

fl_status fl_touchstone_keyword(fl_touchstone_reader *reader, fl_span line)
{
    char name[NAME_ROOM];
    char shown[FL_SHOWN_ROOM];
    const bool closed = keyword_name(name, &line);
    if (reader->stage == FL_STAGE_INFORMATION && (!closed || strcmp(name, "end information") != 0))
        return FL_OK;
    if (!closed)
        return fl_touchstone_fail(reader, "']' was expected at the end of a keyword");
    const keyword *key = find_keyword(name);
    if (!key)
        return unknown_keyword(reader, name);
    const unsigned bit = 1u << (key - keywords);
    fl_status status = keyword_fits(reader, key, bit);
    if (status == FL_OK)
        status = key->read(reader, &line);
    if (status != FL_OK)
        return status;
    reader->seen |= bit;
    const fl_span more = fl_span_word(&line);
    fl_span_show(shown, more);
    if (!fl_span_empty(more))
        return fl_touchstone_fail(reader,
                                  "nothing more was expected on the line of '[%s]', found "
                                  "'%s'",
                                  key->name, shown);
    return FL_OK;
}
