/**
 * One section asked for by texts. They are taken apart here; whether the values fit is left to the
 * design that is written from them.
 */
#include "models/request.h"

#include <stdio.h>
#include <string.h>

enum { KINDS = 64, MOST_FREQUENCIES = 100, MOST_STEPS = 1000 };

/* Half the width of the band that is made about a frequency: what models say of a band is then of
 * the frequency itself. */
static const double half_width = 0x1p-10;

static fl_status find_kind(const fl_kind **kind, const char *name, fl_error *error)
{
    const fl_kind *kinds[KINDS];
    const char *names[KINDS];
    const size_t count = fl_models_kinds(kinds, KINDS);
    for (size_t i = 0; i < count; i++) {
        names[i] = kinds[i]->name;
        if (strcmp(name, names[i]) == 0)
            *kind = kinds[i];
    }
    if (*kind != NULL && !(*kind)->takes_file)
        return FL_OK;
    if (*kind != NULL)
        return fl_fail(error, FL_BAD_INPUT, name,
                       "its values come from a file: put it into a design and use 'check'");
    const char *nearest = fl_nearest(name, names, count);
    if (nearest != NULL)
        return fl_fail(error, FL_BAD_INPUT, "", "unknown kind '%s', did you mean '%s'", name,
                       nearest);
    return fl_fail(error, FL_BAD_INPUT, "", "unknown kind '%s'", name);
}

static fl_status find_parameter(fl_assignment *part, const fl_kind *kind, fl_error *error)
{
    const char *names[FL_PARTIALS];
    for (size_t i = 0; i < kind->parameter_count; i++) {
        part->parameter = &kind->parameters[i];
        names[i] = part->parameter->name;
        if (strcmp(part->name, names[i]) == 0)
            return FL_OK;
    }
    const char *nearest = fl_nearest(part->name, names, kind->parameter_count);
    if (nearest != NULL)
        return fl_fail(error, FL_BAD_INPUT, kind->name, "unknown parameter '%s', did you mean '%s'",
                       part->name, nearest);
    return fl_fail(error, FL_BAD_INPUT, kind->name, "unknown parameter '%s'", part->name);
}

/* Adds "name=value"; the value may hold further signs of equality. Names are checked before
 * anything is computed. */
static fl_status add_part(fl_request *request, const char *text, const char *example,
                          fl_error *error)
{
    fl_assignment *part = &request->parts[request->count];
    const char *sign = strchr(text, '=');
    if (sign == NULL)
        return fl_fail(error, FL_BAD_INPUT, "", "expected %s, found '%s'", example, text);
    part->name = fl_arena_copy(&request->arena, text, (size_t)(sign - text));
    part->value = sign + 1;
    if (part->name == NULL)
        return fl_fail_memory(error);
    const fl_status status = find_parameter(part, request->kind, error);
    if (status != FL_OK)
        return status;
    for (size_t i = 0; i < request->count; i++)
        if (strcmp(request->parts[i].name, part->name) == 0)
            return fl_fail(error, FL_BAD_INPUT, request->kind->name, "'%s' is given twice",
                           part->name);
    request->count++;
    return FL_OK;
}

/* Two ends and a number, by colons; the texts are cut at them. */
static fl_status cut_range(fl_request *request, const char *parts[3], const char *range,
                           fl_error *error)
{
    char *text = fl_arena_copy(&request->arena, range, strlen(range));
    if (text == NULL)
        return fl_fail_memory(error);
    for (int i = 0; i < 3; i++) {
        char *colon = strchr(text, ':');
        parts[i] = text;
        if ((colon == NULL) != (i == 2))
            return fl_fail(error, FL_BAD_INPUT, request->swept->name,
                           "expected 'low:high:count', such as '200 um:400 um:5', found '%s'",
                           range);
        if (colon != NULL) {
            *colon = '\0';
            text = colon + 1;
        }
    }
    return FL_OK;
}

static fl_status read_steps(fl_request *request, const char *text, fl_error *error)
{
    double steps = 0.0;
    const char *end = fl_number_read(&steps, text, 0);
    if (end == NULL || *end != '\0' || !(steps >= 2.0 && steps <= MOST_STEPS) ||
        steps != (double)(size_t)steps)
        return fl_fail(error, FL_BAD_INPUT, request->swept->name,
                       "expected a whole number of values from 2 to %d, found '%s'", MOST_STEPS,
                       text);
    request->steps = (size_t)steps;
    return FL_OK;
}

static fl_status read_sweep(fl_request *request, const char *sweep, fl_error *error)
{
    const char *parts[3];
    fl_status status = add_part(
        request, sweep, "'parameter=low:high:count', such as 'span=200 um:400 um:5'", error);
    if (status != FL_OK)
        return status;
    const fl_assignment *part = &request->parts[request->count - 1];
    request->swept = part->parameter;
    status = cut_range(request, parts, part->value, error);
    if (status != FL_OK)
        return status;
    status = fl_unit_read(&request->low, parts[0], request->swept->dimension, error);
    if (status == FL_OK)
        status = fl_unit_read(&request->high, parts[1], request->swept->dimension, error);
    if (status != FL_OK)
        return fl_fail_within(error, status, request->swept->name);
    if (request->low == request->high)
        return fl_fail(error, FL_BAD_INPUT, request->swept->name,
                       "expected two different ends of the sweep, found '%s' twice", parts[0]);
    return read_steps(request, parts[2], error);
}

/* Every frequency above zero: the models tell where they hold. */
static fl_status add_frequency(fl_request *request, const char *text, fl_error *error)
{
    double value = 0.0;
    const fl_status status = fl_unit_read(&value, text, FL_FREQUENCY, error);
    if (status != FL_OK)
        return fl_fail_within(error, status, "frequency");
    if (value <= 0.0)
        return fl_fail(error, FL_BAD_INPUT, "frequency", "expected more than zero, found '%s'",
                       text);
    if (request->frequency_count == MOST_FREQUENCIES)
        return fl_fail(error, FL_BAD_INPUT, "frequency", "expected at most %d of them, found more",
                       MOST_FREQUENCIES);
    request->frequencies[request->frequency_count++] = value;
    return FL_OK;
}

/* Several stand behind one another, with commas and perhaps blanks between. */
static fl_status add_frequencies(fl_request *request, const char *list, fl_error *error)
{
    for (;; list++) {
        list += strspn(list, " ");
        const size_t length = strcspn(list, ",");
        const char *text = fl_arena_copy(&request->arena, list, length);
        const fl_status status = text ? add_frequency(request, text, error) : fl_fail_memory(error);
        if (status != FL_OK)
            return status;
        list += length;
        if (*list == '\0')
            return FL_OK;
    }
}

/* What a substrate must give is asked for by the parameter's name, as it is given here. */
static fl_status check_substrate(const fl_request *request, fl_error *error)
{
    const fl_kind *kind = request->kind;
    for (size_t i = 0; i < kind->parameter_count; i++) {
        const fl_parameter *parameter = &kind->parameters[i];
        bool given = !parameter->substrate || !parameter->required;
        for (size_t j = 0; j < request->count && !given; j++)
            given = request->parts[j].parameter == parameter;
        if (!given)
            return fl_fail(error, FL_BAD_INPUT, kind->name, "'%s' is missing", parameter->name);
    }
    return FL_OK;
}

static fl_status take_room(fl_request *request, size_t assignments, fl_error *error)
{
    fl_arena_init(&request->arena);
    request->parts = fl_arena_take(&request->arena, assignments + 1, sizeof *request->parts);
    request->frequencies =
        fl_arena_take(&request->arena, MOST_FREQUENCIES, sizeof *request->frequencies);
    return request->parts && request->frequencies ? FL_OK : fl_fail_memory(error);
}

/* Kind, names, sweep, frequencies: what is wrong first on the line is named first. */
fl_status fl_request_read(fl_request *request, const char *kind, const fl_model_options *options,
                          fl_error *error)
{
    static const fl_model_options none = {NULL, 0, NULL, 0, NULL};
    const fl_model_options *asked = options ? options : &none;
    *request = (fl_request){.kind = NULL};
    fl_status status = take_room(request, asked->assignment_count, error);
    if (status == FL_OK)
        status = find_kind(&request->kind, kind, error);
    for (size_t i = 0; status == FL_OK && i < asked->assignment_count; i++)
        status = add_part(request, asked->assignments[i],
                          "'parameter=value', such as 'span=300 um'", error);
    if (status == FL_OK && asked->sweep != NULL)
        status = read_sweep(request, asked->sweep, error);
    if (status == FL_OK)
        status = check_substrate(request, error);
    for (size_t i = 0; status == FL_OK && i < asked->frequency_count; i++)
        status = add_frequencies(request, asked->frequencies[i], error);
    if (status == FL_OK && request->frequency_count == 0)
        status = add_frequency(request, "28 GHz", error);
    return status;
}

void fl_request_release(fl_request *request)
{
    fl_arena_release(&request->arena);
}

size_t fl_request_rows(const fl_request *request)
{
    return request->swept != NULL ? request->steps : request->frequency_count;
}

double fl_request_frequency(const fl_request *request, size_t row)
{
    return request->frequencies[request->swept != NULL ? 0 : row];
}

/* The ends are met exactly. */
double fl_request_swept(const fl_request *request, size_t row)
{
    const double last = (double)(request->steps - 1);
    if (row == request->steps - 1)
        return request->high;
    return request->low + (request->high - request->low) * (double)row / last;
}

void fl_request_label(char label[FL_LABEL_ROOM], const fl_request *request, size_t row)
{
    char value[FL_UNIT_ROOM];
    if (request->swept == NULL) {
        fl_unit_text(label, fl_request_frequency(request, row), FL_FREQUENCY, 6);
        return;
    }
    fl_unit_text(value, fl_request_swept(request, row), request->swept->dimension, 6);
    snprintf(label, FL_LABEL_ROOM, "%s %s", request->swept->name, value);
}

/* A JSON string; a plain number goes in as it is, for a parameter without a unit. */
static void add_value(fl_text *text, const char *value)
{
    double number = 0.0;
    const char *end = fl_number_read(&number, value, 0);
    if (end != NULL && *end == '\0') {
        fl_text_add(text, value[0] == '+' ? value + 1 : value);
        return;
    }
    fl_text_add(text, "\"");
    for (; *value != '\0'; value++) {
        if (*value == '"' || *value == '\\')
            fl_text_add(text, "\\");
        fl_text_add_bytes(text, value, 1);
    }
    fl_text_add(text, "\"");
}

/* The values of the section, or those of its substrate, each behind a comma. */
static void add_values(fl_text *text, const fl_request *request, size_t row, bool of_substrate)
{
    for (size_t i = 0; i < request->count; i++) {
        const fl_parameter *parameter = request->parts[i].parameter;
        char value[FL_UNIT_ROOM];
        if (parameter->substrate != of_substrate)
            continue;
        fl_text_print(text, ",\n\"%s\": ", fl_parameter_key(parameter));
        if (parameter == request->swept)
            fl_unit_text(value, fl_request_swept(request, row), parameter->dimension, 0);
        add_value(text, parameter == request->swept ? value : request->parts[i].value);
    }
}

void fl_request_design(fl_text *text, const fl_request *request, size_t row)
{
    char low[FL_NUMBER_ROOM], high[FL_NUMBER_ROOM];
    const char *name = request->kind->name;
    const bool on_substrate = fl_kind_has_substrate(request->kind);
    const double frequency = fl_request_frequency(request, row);
    fl_number_text(low, (1.0 - half_width) * frequency);
    fl_number_text(high, (1.0 + half_width) * frequency);
    fl_text_print(text, "{\"fairlead\": 1, \"band\": [\"%s Hz\", \"%s Hz\"],\n", low, high);
    fl_text_add(text, "\"ports\": {\"die\": {\"impedance\": \"50 ohm\"},"
                      " \"board\": {\"impedance\": \"50 ohm\"}},\n");
    if (on_substrate) {
        fl_text_add(text, "\"substrates\": {\"substrate\": {\"comment\": \"\"");
        add_values(text, request, row, true);
        fl_text_add(text, "}},\n");
    }
    fl_text_print(text, "\"path\": [{\"name\": \"%s\", \"kind\": \"%s\", \"side\": \"package\"%s",
                  name, name, on_substrate ? ", \"substrate\": \"substrate\"" : "");
    add_values(text, request, row, false);
    fl_text_add(text, "}]}\n");
}

static const char *behind_mark(const char *text, const char *mark)
{
    const char *found = strstr(text, mark);
    return found ? found + strlen(mark) : NULL;
}

/* The place in the design becomes the parameter or the kind at fault. Of a sweep the row counts
 * too, as other rows may be well. */
fl_status fl_request_fault(fl_error *error, fl_status status, const fl_request *request, size_t row)
{
    char label[FL_LABEL_ROOM], place[sizeof error->place + 16], name[sizeof error->place];
    if (error == NULL || status != FL_BAD_INPUT)
        return status;
    const fl_error found = *error;
    const char *key = behind_mark(found.place, "path[0].");
    const char *of_substrate = behind_mark(found.place, "substrates.substrate.");
    snprintf(name, sizeof name, "'%s': ", request->kind->name);
    const char *message = behind_mark(found.message, name);
    fl_request_label(label, request, row);
    snprintf(place, sizeof place, "%s%s", of_substrate ? "substrate " : "",
             key                                  ? key
             : of_substrate                       ? of_substrate
             : behind_mark(found.place, ": band") ? "frequency"
                                                  : request->kind->name);
    return fl_fail(error, status, place, "%s%s%s%s", message ? message : found.message,
                   request->swept ? " (at " : "", request->swept ? label : "",
                   request->swept ? ")" : "");
}
