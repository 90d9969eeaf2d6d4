/* Words and numbers of a design file, each checked where it stands. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "design/reader.h"

/* Sizes of numbers other than 0, in SI; see take_bounded. */
#define LARGEST 1e30
#define SMALLEST 1e-30

/* Keys of any one object that fl_object_read reads. */
enum { MOST_KEYS = 24 };

/* The message is put together here, as its arguments cannot be passed on to another variadic
 * call. */
fl_status fl_spot_fail(fl_reader *reader, fl_spot spot, const char *format, ...)
{
    char message[sizeof reader->error->message];
    va_list arguments;
    va_start(arguments, format);
    fl_format(message, sizeof message, format, arguments);
    va_end(arguments);
    return fl_json_fail(reader->error, &spot.source->json, spot.node, "%s", message);
}

fl_status fl_spot_fail_at(fl_reader *reader, fl_spot spot, fl_status status)
{
    return fl_json_fail_at(reader->error, &spot.source->json, spot.node, status);
}

/* Cases read the same text again and again; what they find is said once. */
fl_status fl_spot_warn(fl_reader *reader, fl_spot spot, const char *text)
{
    const char *place = fl_json_place(&reader->arena, &spot.source->json, spot.node);
    char *warning = place ? fl_arena_print(&reader->arena, "%s: %s", place, text) : NULL;
    if (warning == NULL)
        return fl_fail_memory(reader->error);
    if (fl_lookup_get(&reader->warned, "", warning) != NULL)
        return FL_OK;
    if (!fl_lookup_put(&reader->warned, warning, warning))
        return fl_fail_memory(reader->error);
    return fl_design_warn(reader->design, warning, reader->error);
}

fl_spot fl_spot_child(fl_spot spot, const char *key)
{
    return (fl_spot){spot.source, cJSON_GetObjectItemCaseSensitive(spot.node, key)};
}

/* The order of keys is that of the table and not of the file, so that a reader may rely on an
 * earlier one. Readers may have filled part of the target when one fails. */
fl_status fl_object_read(fl_reader *reader, fl_spot spot, const fl_key *keys, size_t count,
                         void *target)
{
    const char *names[MOST_KEYS] = {NULL};
    for (size_t i = 0; i < count; i++)
        names[i] = keys[i].name;
    fl_status status = fl_json_keys(&spot.source->json, spot.node, names, count, reader->error);
    for (size_t i = 0; status == FL_OK && i < count; i++) {
        const fl_spot child = fl_spot_child(spot, keys[i].name);
        if (child.node == NULL && keys[i].required)
            status = fl_spot_fail(reader, spot, "'%s' is missing", keys[i].name);
        else if (child.node != NULL && keys[i].read != NULL)
            status = keys[i].read(reader, child, target);
    }
    return status;
}

/* Names may be 200 bytes long; two of them whole would fill a message. */
const char *fl_excerpt(char excerpt[FL_EXCERPT_ROOM], const char *text)
{
    const size_t most = FL_EXCERPT_ROOM - 8;
    size_t length = strlen(text);
    const bool cut = length > most;
    if (cut) {
        for (length = most; length > 0 && ((unsigned char)text[length] & 0xC0) == 0x80;)
            length--;
    }
    snprintf(excerpt, FL_EXCERPT_ROOM, "%.*s%s", (int)length, text, cut ? "..." : "");
    return excerpt;
}

fl_status fl_word_unknown(fl_reader *reader, fl_spot spot, const char *what, const char *word,
                          const char *const *words, size_t count)
{
    char excerpt[FL_EXCERPT_ROOM];
    const char *nearest = fl_nearest(word, words, count);
    fl_excerpt(excerpt, word);
    if (nearest == NULL)
        return fl_spot_fail(reader, spot, "there is no %s '%s'", what, excerpt);
    return fl_spot_fail(reader, spot, "there is no %s '%s'; the nearest is '%s'", what, excerpt,
                        nearest);
}

/* Control characters in a name would garble tables and terminals. */
static bool has_control(const char *text)
{
    for (; *text != '\0'; text++) {
        if ((unsigned char)*text < 0x20 || *text == 0x7F)
            return true;
    }
    return false;
}

/* Anything else may be in a name, also "/" and blanks, which is why names are compared whole and
 * never taken apart. */
fl_status fl_name_check(fl_reader *reader, fl_spot spot, const char *name)
{
    if (name[0] == '\0')
        return fl_spot_fail(reader, spot, "a name may not be empty");
    if (strlen(name) > FL_NAME_LIMIT)
        return fl_spot_fail(reader, spot, "a name has at most %d bytes, found %zu", FL_NAME_LIMIT,
                            strlen(name));
    if (has_control(name))
        return fl_spot_fail(reader, spot, "a name may not hold control characters");
    return FL_OK;
}

fl_status fl_name_read(fl_reader *reader, fl_spot spot, const char **name)
{
    if (!cJSON_IsString(spot.node))
        return fl_spot_fail(reader, spot, "expected a name in quotes");
    const fl_status status = fl_name_check(reader, spot, spot.node->valuestring);
    if (status == FL_OK)
        *name = spot.node->valuestring;
    return status;
}

fl_status fl_string_read(fl_reader *reader, fl_spot spot, size_t limit, const char **string)
{
    if (!cJSON_IsString(spot.node))
        return fl_spot_fail(reader, spot, "expected a text in quotes");
    if (strlen(spot.node->valuestring) > limit)
        return fl_spot_fail(reader, spot, "expected at most %zu bytes, found %zu", limit,
                            strlen(spot.node->valuestring));
    if (has_control(spot.node->valuestring))
        return fl_spot_fail(reader, spot, "the text may not hold control characters");
    *string = spot.node->valuestring;
    return FL_OK;
}

fl_status fl_flag_read(fl_reader *reader, fl_spot spot, bool *flag)
{
    if (!cJSON_IsBool(spot.node))
        return fl_spot_fail(reader, spot, "expected true or false");
    *flag = cJSON_IsTrue(spot.node);
    return FL_OK;
}

/* All words are listed, as there are few; a list too long for the message is cut. */
static fl_status expect_word(fl_reader *reader, fl_spot spot, const char *const *words,
                             size_t count)
{
    char list[160] = "";
    char excerpt[FL_EXCERPT_ROOM];
    const char *word = cJSON_IsString(spot.node) ? spot.node->valuestring : NULL;
    for (size_t i = 0, used = 0; i < count && used < sizeof list; i++)
        used +=
            (size_t)snprintf(list + used, sizeof list - used, "%s'%s'", i ? ", " : "", words[i]);
    if (word == NULL)
        return fl_spot_fail(reader, spot, "expected one of %s", list);
    const char *nearest = fl_nearest(word, words, count);
    return fl_spot_fail(reader, spot, "expected one of %s, found '%s'%s%s%s", list,
                        fl_excerpt(excerpt, word), nearest ? "; the nearest is '" : "",
                        nearest ? nearest : "", nearest ? "'" : "");
}

fl_status fl_word_read(fl_reader *reader, fl_spot spot, const char *const *words, size_t count,
                       size_t *index)
{
    for (size_t i = 0; cJSON_IsString(spot.node) && i < count; i++) {
        if (strcmp(spot.node->valuestring, words[i]) == 0) {
            *index = i;
            return FL_OK;
        }
    }
    return expect_word(reader, spot, words, count);
}

/* Bounds far beyond any use, within which sums and products of values stay finite. */
static fl_status take_bounded(fl_reader *reader, fl_spot spot, double found, double *value)
{
    const double size = fabs(found);
    if (!(size <= LARGEST) || (size != 0.0 && size < SMALLEST))
        return fl_spot_fail(reader, spot, "the number is too %s to be used",
                            size < SMALLEST ? "small" : "large");
    *value = found;
    return FL_OK;
}

fl_status fl_number_node_read(fl_reader *reader, fl_spot spot, double *number)
{
    if (!cJSON_IsNumber(spot.node))
        return fl_spot_fail(reader, spot, "expected a bare number");
    return take_bounded(reader, spot, spot.node->valuedouble, number);
}

/* Numbers in the message are printed whole: bounds are whole numbers, and exponents would hide
 * them. */
fl_status fl_whole_read(fl_reader *reader, fl_spot spot, double low, double high, double *number)
{
    double found = 0.0;
    const fl_status status = fl_number_node_read(reader, spot, &found);
    if (status != FL_OK)
        return status;
    if (!(found >= low && found <= high) || found != floor(found)) {
        char text[FL_NUMBER_ROOM];
        fl_number_text(text, found);
        return fl_spot_fail(reader, spot, "expected a whole number from %.0f to %.0f, found %s",
                            low, high, text);
    }
    *number = found;
    return FL_OK;
}

/* What a value looks like, for messages. */
static const struct {
    const char *text, *example;
} dimensions[] = {
    [FL_NUMBER] = {"a bare number", "3.9"},
    [FL_FREQUENCY] = {"a frequency", "28 GHz"},
    [FL_RESISTANCE] = {"a resistance", "50 ohm"},
    [FL_CAPACITANCE] = {"a capacitance", "62 fF"},
    [FL_INDUCTANCE] = {"an inductance", "0.42 nH"},
    [FL_LENGTH] = {"a length", "250 um"},
    [FL_DECIBEL] = {"a level in decibel", "15 dB"},
    [FL_PERCENT] = {"a percentage", "4 %"},
    [FL_LOSS] = {"a loss per length", "0.1 dB/mm"},
    [FL_CONDUCTIVITY] = {"a conductivity", "41 MS/m"},
    [FL_ANGLE] = {"an angle", "90 deg"},
};

const char *fl_dimension_text(fl_dimension dimension)
{
    return dimensions[dimension].text;
}

const char *fl_rule_text(fl_rule rule)
{
    static const char *const texts[] = {[FL_POSITIVE] = "must be positive",
                                        [FL_NOT_NEGATIVE] = "must not be negative",
                                        [FL_AT_LEAST_ONE] = "must be at least 1",
                                        [FL_ANY] = "may be anything",
                                        [FL_WHOLE] = "must be a whole number from 1",
                                        [FL_WHOLE_OR_NONE] = "must be a whole number from 0"};
    return texts[rule];
}

/* A unit is demanded wherever there is one: a bare 250 for a length is the costliest of
 * mistakes. */
fl_status fl_value_read(fl_reader *reader, fl_spot spot, fl_dimension dimension, double *value)
{
    double found = 0.0;
    if (cJSON_IsNumber(spot.node) && dimension == FL_NUMBER)
        return fl_number_node_read(reader, spot, value);
    if (cJSON_IsNumber(spot.node))
        return fl_spot_fail(reader, spot,
                            "expected %s with its unit, such as \"%s\", found a bare number",
                            dimensions[dimension].text, dimensions[dimension].example);
    if (!cJSON_IsString(spot.node))
        return fl_spot_fail(reader, spot, "expected %s, such as %s%s%s", dimensions[dimension].text,
                            dimension == FL_NUMBER ? "" : "\"", dimensions[dimension].example,
                            dimension == FL_NUMBER ? "" : "\"");
    const fl_status status = fl_unit_read(&found, spot.node->valuestring, dimension, reader->error);
    if (status != FL_OK)
        return fl_spot_fail_at(reader, spot, status);
    return take_bounded(reader, spot, found, value);
}

/* The value found is shown with all its digits: it may break the rule by the last of them. */
fl_status fl_value_read_ruled(fl_reader *reader, fl_spot spot, fl_dimension dimension, fl_rule rule,
                              double *value)
{
    double found = 0.0;
    const fl_status status = fl_value_read(reader, spot, dimension, &found);
    if (status != FL_OK)
        return status;
    if (!fl_rule_holds(rule, found)) {
        char text[FL_UNIT_ROOM];
        fl_unit_text(text, found, dimension, 0);
        return fl_spot_fail(reader, spot, "%s, found %s", fl_rule_text(rule), text);
    }
    *value = found;
    return FL_OK;
}
