/**
 * The public function on one section alone: its values row by row, each from a design of its own,
 * put together in one result.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "models/request.h"
#include "result/result.h"

/** A warning of some rows. */
typedef struct note {
    struct note *next;
    const char *text;
    size_t first, last, count; /* rows */
} note;

/** What the rows come to. */
typedef struct table {
    fl_request request;
    fl_result *result; /* that of the first row, which the others are put into */
    note *notes;
    size_t note_count;
} table;

/** Notes a warning of a row, without the place in a design that nobody wrote. */
static bool add_note(table *to, const char *warning, size_t row)
{
    char mark[FL_LABEL_ROOM];
    note **end = &to->notes;
    snprintf(mark, sizeof mark, "'%s': ", to->request.kind->name);
    const char *behind = strstr(warning, mark);
    const char *text = behind ? behind + strlen(mark) : warning;
    for (; *end; end = &(*end)->next) {
        if (strcmp((*end)->text, text) != 0)
            continue;
        (*end)->last = row;
        (*end)->count++;
        return true;
    }
    *end = fl_arena_take(&to->request.arena, 1, sizeof **end);
    if (!*end)
        return false;
    **end = (note){NULL, fl_arena_copy(&to->request.arena, text, strlen(text)), row, row, 1};
    to->note_count++;
    return (*end)->text != NULL;
}

/** Every value of the section's parameters; one that is absent has none. */
static fl_status add_parameters(table *to, const fl_section *section, fl_error *error)
{
    fl_result *result = to->result;
    result->parameters =
        fl_arena_take(&result->arena, section->kind->parameter_count, sizeof *result->parameters);
    if (!result->parameters)
        return fl_fail_memory(error);
    for (size_t i = 0; i < section->kind->parameter_count; i++) {
        const fl_parameter *parameter = &section->kind->parameters[i];
        const fl_term *term = &section->terms[i];
        if (parameter == to->request.swept ||
            (!term->given && !fl_rule_holds(parameter->rule, term->plus)))
            continue;
        result->parameters[result->parameter_count++] =
            (fl_result_parameter){.name = parameter->name,
                                  .dimension = parameter->dimension,
                                  .value = term->plus,
                                  .given = term->given,
                                  .substrate = parameter->substrate};
    }
    return FL_OK;
}

/** The first row's result takes in all others. */
static fl_status start_table(table *to, fl_result *result, const fl_section *section,
                             fl_error *error)
{
    const fl_request *request = &to->request;
    to->result = result;
    const fl_result_section first = result->sections[0];
    result->sections =
        fl_arena_take(&result->arena, fl_request_rows(request), sizeof *result->sections);
    if (!result->sections)
        return fl_fail_memory(error);
    result->sections[0] = first;
    result->command = "model";
    result->title = request->kind->name;
    result->file = "";
    result->points = request->swept ? 1 : request->frequency_count;
    result->centre = result->band_low = result->band_high = request->frequencies[0];
    for (size_t i = 0; i < result->points; i++) {
        result->band_low = fmin(result->band_low, request->frequencies[i]);
        result->band_high = fmax(result->band_high, request->frequencies[i]);
    }
    if (request->swept) {
        result->swept_name = request->swept->name;
        result->swept_dimension = request->swept->dimension;
    }
    return add_parameters(to, section, error);
}

/** Takes a row over; what its texts are is in the tables of kinds, or that of the first row. */
static void take_row(table *to, const fl_result *found, size_t row)
{
    fl_result_section *section = &to->result->sections[row];
    const fl_result_section *first = &to->result->sections[0];
    if (row > 0) {
        *section = found->sections[0];
        section->name = first->name;
        section->kind = first->kind;
        section->case_name = NULL;
    }
    section->frequency = fl_request_frequency(&to->request, row);
    if (to->request.swept)
        section->swept = fl_request_swept(&to->request, row);
    to->result->section_count = row + 1;
}

/** One row: a design, read and looked at. */
static fl_status add_row(table *to, size_t row, fl_error *error)
{
    fl_design *design = NULL;
    fl_result *found = NULL;
    fl_text text;
    fl_text_init(&text);
    fl_request_design(&text, &to->request, row);
    fl_status status = fl_text_failed(&text) ? fl_fail_memory(error) : FL_OK;
    if (status == FL_OK)
        status = fl_design_parse(&design, text.bytes, text.length, "model", NULL, error);
    if (status == FL_OK)
        status = fl_check(&found, design, NULL, error);
    if (status != FL_OK) {
        status = fl_request_fault(error, status, &to->request, row);
        goto cleanup;
    }
    for (size_t i = 0; status == FL_OK && i < fl_result_warning_count(found); i++)
        if (!add_note(to, fl_result_warning(found, i), row))
            status = fl_fail_memory(error);
    if (status == FL_OK && row == 0)
        status = start_table(to, found, &design->cases[0].sections[0], error);
    if (status == FL_OK)
        take_row(to, found, row);
cleanup:
    if (found != to->result)
        fl_result_free(found);
    fl_design_free(design);
    fl_text_release(&text);
    return status;
}

/** "TEXT", "TEXT (at 40 GHz)", "TEXT (from span 300 um to span 400 um)". */
static const char *note_text(table *to, const note *of)
{
    char first[FL_LABEL_ROOM], last[FL_LABEL_ROOM];
    fl_arena *arena = &to->result->arena;
    if (of->count == to->result->section_count)
        return fl_arena_print(arena, "%s", of->text);
    fl_request_label(first, &to->request, of->first);
    fl_request_label(last, &to->request, of->last);
    if (of->count == 1)
        return fl_arena_print(arena, "%s (at %s)", of->text, first);
    if (of->count == of->last - of->first + 1)
        return fl_arena_print(arena, "%s (from %s to %s)", of->text, first, last);
    return fl_arena_print(arena, "%s (at %zu of %zu, the first %s)", of->text, of->count,
                          to->result->section_count, first);
}

/** All warnings of the rows, each once, and that of frequencies which a sweep leaves out. */
static fl_status add_warnings(table *to, fl_error *error)
{
    fl_result *result = to->result;
    const char **warnings =
        fl_arena_take(&result->arena, to->note_count + 1, sizeof *result->warnings);
    if (!warnings)
        return fl_fail_memory(error);
    result->warnings = warnings;
    result->warning_count = 0;
    for (const note *of = to->notes; of; of = of->next) {
        warnings[result->warning_count] = note_text(to, of);
        if (!warnings[result->warning_count++])
            return fl_fail_memory(error);
    }
    if (!to->request.swept || to->request.frequency_count == 1)
        return FL_OK;
    char text[FL_UNIT_ROOM];
    fl_unit_text(text, to->request.frequencies[0], FL_FREQUENCY, 6);
    warnings[result->warning_count] = fl_arena_print(
        &result->arena, "the sweep is at %s alone, the other frequencies are left out", text);
    return warnings[result->warning_count++] ? FL_OK : fl_fail_memory(error);
}

fl_status fl_model(fl_result **result, const char *kind, const fl_model_options *options,
                   fl_error *error)
{
    table to = {.result = NULL};
    fl_status status = fl_request_read(&to.request, kind, options, error);
    for (size_t row = 0; status == FL_OK && row < fl_request_rows(&to.request); row++)
        status = add_row(&to, row, error);
    if (status == FL_OK)
        status = add_warnings(&to, error);
    fl_request_release(&to.request);
    if (status != FL_OK) {
        fl_result_free(to.result);
        return status;
    }
    *result = to.result;
    return FL_OK;
}
