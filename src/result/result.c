/**
 * The result itself: making and freeing it, and the public functions that look into it. All texts
 * are copied, so that a result outlives its design.
 */
#include "result/result.h"

#include <string.h>

#include "result/parts.h"

/** Copies: a result outlives the design it came from. */
bool fl_result_text(fl_result *result, const char **copy, const char *text)
{
    *copy = text ? fl_arena_copy(&result->arena, text, strlen(text)) : NULL;
    return *copy || !text;
}

bool fl_result_name(fl_result *result, const char **name, const char **case_name,
                    const fl_design *design, size_t quantity)
{
    const fl_quantity *q = &design->quantities[quantity];
    const char *of_case = q->only_case == FL_NONE ? NULL : design->cases[q->only_case].name;
    return fl_result_text(result, name, q->name) && fl_result_text(result, case_name, of_case);
}

static bool has_warning(const fl_result *result, const char *text)
{
    for (size_t i = 0; i < result->warning_count; i++)
        if (result->warnings[i] != NULL && strcmp(result->warnings[i], text) == 0)
            return true;
    return false;
}

/** Adds warnings [count] that are not there yet. */
static bool add_warnings(fl_result *result, size_t count,
                         const char *(*text)(const void *from, size_t index), const void *from)
{
    const char **all = fl_arena_take(&result->arena, result->warning_count + count, sizeof *all);
    if (!all)
        return false;
    for (size_t i = 0; i < result->warning_count; i++)
        all[i] = result->warnings[i];
    result->warnings = all;
    for (size_t i = 0; i < count; i++) {
        if (has_warning(result, text(from, i)))
            continue;
        if (!fl_result_text(result, &all[result->warning_count], text(from, i)))
            return false;
        result->warning_count++;
    }
    return true;
}

static const char *design_warning(const void *from, size_t index)
{
    return ((const fl_design *)from)->warnings[index];
}

static const char *groundwork_warning(const void *from, size_t index)
{
    return fl_groundwork_warning(from, index);
}

fl_status fl_result_add_warnings(fl_result *result, const fl_groundwork *groundwork,
                                 fl_error *error)
{
    const size_t count = fl_groundwork_warning_count(groundwork);
    return add_warnings(result, count, groundwork_warning, groundwork) ? FL_OK
                                                                       : fl_fail_memory(error);
}

static const char *given_warning(const void *from, size_t index)
{
    (void)index;
    return from;
}

fl_status fl_result_add_warning(fl_result *result, const char *what, const fl_error *reason,
                                fl_error *error)
{
    const char *text =
        fl_arena_print(&result->arena, "%s: %s: %s", reason->place, what,
                       reason->message[0] ? reason->message : fl_status_text(reason->status));
    return text && add_warnings(result, 1, given_warning, text) ? FL_OK : fl_fail_memory(error);
}

/** The head of the result. What is not computed yet is not known, rather than zero. */
static bool copy_design(fl_result *result, const char *command, const fl_study *study)
{
    const fl_design *design = study->design;
    result->seed = study->seed;
    result->band_low = design->bands[0].low;
    result->band_high = design->bands[0].high;
    result->centre = 0.5 * (design->bands[0].low + design->bands[0].high);
    result->points = design->points;
    result->confidence = design->confidence;
    result->margin_db = FL_UNKNOWN;
    result->free_margin_db = FL_UNKNOWN;
    result->sensitivity_base_db = FL_UNKNOWN;
    return fl_result_text(result, &result->command, command) &&
           fl_result_text(result, &result->title, design->title ? design->title : "") &&
           fl_result_text(result, &result->file, design->file ? design->file : "") &&
           fl_result_text(result, &result->folder, design->folder ? design->folder : "") &&
           fl_result_files(result, design) &&
           add_warnings(result, design->warning_count, design_warning, design);
}

/** The arena lies in the result itself, so that one call frees all. */
fl_status fl_result_new(fl_result **result, const char *command, const fl_study *study,
                        fl_error *error)
{
    fl_result *made = fl_memory_take(1, sizeof *made);
    if (!made)
        return fl_fail_memory(error);
    fl_arena_init(&made->arena);
    if (!copy_design(made, command, study)) {
        fl_result_free(made);
        return fl_fail_memory(error);
    }
    *result = made;
    return FL_OK;
}

/** Cases are shared by response, yield and check, whichever comes first. */
fl_status fl_result_cases(fl_result *result, const fl_design *design, fl_error *error)
{
    if (result->case_count > 0)
        return FL_OK;
    fl_result_case *cases = fl_arena_take(&result->arena, design->case_count, sizeof *cases);
    if (!cases)
        return fl_fail_memory(error);
    for (size_t i = 0; i < design->case_count; i++) {
        cases[i].yield = cases[i].yield_low = cases[i].yield_high = FL_UNKNOWN;
        if (!fl_result_text(result, &cases[i].name, design->cases[i].name))
            return fl_fail_memory(error);
    }
    result->cases = cases;
    result->case_count = design->case_count;
    return FL_OK;
}

void fl_result_free(fl_result *result)
{
    if (!result)
        return;
    fl_arena_release(&result->arena);
    fl_memory_free(result);
}

/** A result without margins has met nothing, rather than everything. */
int fl_result_met(const fl_result *result)
{
    return result->has_margin && result->met;
}

double fl_result_margin_db(const fl_result *result)
{
    return result->margin_db;
}

size_t fl_result_warning_count(const fl_result *result)
{
    return result->warning_count;
}

const char *fl_result_warning(const fl_result *result, size_t index)
{
    return index < result->warning_count ? result->warnings[index] : NULL;
}

size_t fl_result_sized_count(const fl_result *result)
{
    return result->sized_count;
}

fl_status fl_result_sized(const fl_result *result, size_t index, const char **name, double *value)
{
    if (index >= result->sized_count)
        return FL_BAD_INPUT;
    if (name)
        *name = result->sized[index].name;
    if (value)
        *value = result->sized[index].value;
    return FL_OK;
}

fl_status fl_result_yield(const fl_result *result, double *estimate, double *low, double *high)
{
    if (!result->has_yield)
        return FL_BAD_INPUT;
    if (estimate)
        *estimate = result->estimate;
    if (low)
        *low = result->low;
    if (high)
        *high = result->high;
    return FL_OK;
}
