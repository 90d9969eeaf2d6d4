/**
 * Sections with their electrical values, and quantities with their spreads. Each section is also
 * looked at alone, between 50 ohm: the return loss it would have there tells at a glance which
 * piece of the path hurts most.
 */
#include <math.h>
#include <string.h>

#include "result/parts.h"

/** Where a row's section is. */
typedef struct site {
    size_t case_index, section;
} site;

/** One row: what the model says of the section, and how the section does alone. The case is left to
 * the caller. */
static fl_status fill_section(fl_result_section *row, fl_result *result, const fl_study *study,
                              const site *at, const double *quantities, fl_error *error)
{
    const fl_section *section = &study->design->cases[at->case_index].sections[at->section];
    const fl_setting *setting = fl_groundwork_setting(study->groundwork);
    const fl_physics *physics = fl_section_physics(section);
    double parameters[FL_PARTIALS] = {0.0};
    if (!fl_result_text(result, &row->name, section->name) ||
        !fl_result_text(result, &row->kind, section->kind->name))
        return fl_fail_memory(error);
    row->side = section->side;
    fl_section_parameters(parameters, section, quantities);
    if (physics->describe)
        row->property_count = physics->describe(row->properties, parameters, setting);
    /* A section that cannot be at these values has no return loss: that is shown as unknown. */
    row->return_loss_db = FL_UNKNOWN;
    row->swept = FL_UNKNOWN;
    row->frequency = result->centre;
    const fl_status status = fl_section_alone(&row->return_loss_db, study->groundwork,
                                              at->case_index, at->section, quantities, error);
    return status == FL_BAD_INPUT ? FL_OK : status;
}

/** Equal, where two numbers that are not known are equal too. */
static bool same_number(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

/** Whether two rows say the same, but for their case. Values are compared bit for bit: equal inputs
 * give equal outputs. */
static bool same_section(const fl_result_section *a, const fl_result_section *b)
{
    if (strcmp(a->name, b->name) != 0 || strcmp(a->kind, b->kind) != 0 || a->side != b->side ||
        a->property_count != b->property_count ||
        !same_number(a->return_loss_db, b->return_loss_db))
        return false;
    for (size_t i = 0; i < a->property_count; i++)
        if (!same_number(a->properties[i].value, b->properties[i].value))
            return false;
    return true;
}

/** Whether one of the rows says the same as row. */
static bool has_section(const fl_result_section *rows, size_t count, const fl_result_section *row)
{
    for (size_t i = 0; i < count; i++)
        if (same_section(&rows[i], row))
            return true;
    return false;
}

/** Whether every case has this section with the same values. */
static bool in_every_case(const fl_result_section *rows, const fl_design *design,
                          const fl_result_section *row)
{
    for (size_t c = 0, first = 0; c < design->case_count; c++) {
        if (!has_section(rows + first, design->cases[c].section_count, row))
            return false;
        first += design->cases[c].section_count;
    }
    return true;
}

/** Leaves a section that is the same in every case standing once, of no case. */
static void merge_cases(fl_result *result, const fl_result_section *rows, const fl_design *design)
{
    const fl_result_section *row = rows;
    for (size_t c = 0; c < design->case_count; c++)
        for (size_t s = 0; s < design->cases[c].section_count; s++, row++) {
            const bool shared = in_every_case(rows, design, row);
            if (shared && c > 0)
                continue;
            fl_result_section *kept = &result->sections[result->section_count++];
            *kept = *row;
            if (shared)
                kept->case_name = NULL;
        }
}

/** Describes the sections of every case first, then leaves out what is said twice: only then is it
 * known what is the same everywhere. */
static fl_status add_sections(fl_result *result, const fl_study *study, const double *quantities,
                              fl_error *error)
{
    const fl_design *design = study->design;
    size_t count = 0;
    for (size_t c = 0; c < design->case_count; c++)
        count += design->cases[c].section_count;
    fl_result_section *rows = fl_arena_take(&result->arena, count, sizeof *rows);
    result->sections = fl_arena_take(&result->arena, count, sizeof *rows);
    if (!rows || !result->sections)
        return fl_fail_memory(error);
    fl_result_section *row = rows;
    for (size_t c = 0; c < design->case_count; c++)
        for (size_t s = 0; s < design->cases[c].section_count; s++, row++) {
            const site at = {c, s};
            fl_status status = fill_section(row, result, study, &at, quantities, error);
            if (status != FL_OK)
                return status;
            if (!fl_result_text(result, &row->case_name, design->cases[c].name))
                return fl_fail_memory(error);
        }
    merge_cases(result, rows, design);
    return FL_OK;
}

/** "wafer, die": the levels at which a quantity varies, each once; NULL when out of memory. */
static const char *levels_of(fl_result *result, const fl_quantity *quantity)
{
    bool present[FL_LEVEL_COUNT] = {false};
    const char *levels = "";
    for (size_t i = 0; i < quantity->spread_count; i++)
        present[quantity->spreads[i].level] = true;
    for (int level = 0; levels && level < (int)FL_LEVEL_COUNT; level++)
        if (present[level])
            levels = fl_arena_print(&result->arena, "%s%s%s", levels, levels[0] ? ", " : "",
                                    fl_level_name((fl_level)level));
    return levels;
}

/** All quantities, also those that are fixed: a reader of the result should see what was
 * assumed. */
fl_status fl_result_add_quantities(fl_result *result, const fl_study *study,
                                   const double *quantities, fl_error *error)
{
    const fl_design *design = study->design;
    result->quantities =
        fl_arena_take(&result->arena, design->quantity_count, sizeof *result->quantities);
    if (!result->quantities)
        return fl_fail_memory(error);
    for (size_t i = 0; i < design->quantity_count; i++) {
        const fl_quantity *quantity = &design->quantities[i];
        fl_result_quantity *row = &result->quantities[i];
        row->dimension = quantity->dimension;
        row->value = quantities[i];
        row->sized = quantity->sized;
        row->low = quantity->sized ? quantity->low : FL_UNKNOWN;
        row->high = quantity->sized ? quantity->high : FL_UNKNOWN;
        row->sigma = quantity->spread_count ? fl_quantity_sigma(quantity, quantities[i]) : 0.0;
        row->levels = levels_of(result, quantity);
        if (!row->levels || !fl_result_name(result, &row->name, &row->case_name, design, i))
            return fl_fail_memory(error);
    }
    result->quantity_count = design->quantity_count;
    return FL_OK;
}

/** The cases come first: the reports ask them for the names that sections and quantities carry. */
fl_status fl_result_add_check(fl_result *result, const fl_study *study, const double *quantities,
                              fl_error *error)
{
    fl_status status = fl_result_cases(result, study->design, error);
    if (status == FL_OK)
        status = add_sections(result, study, quantities, error);
    if (status == FL_OK)
        status = fl_result_add_quantities(result, study, quantities, error);
    return status;
}
