/**
 * Yield: shares, percentiles, what fails, which values shift, and the kept samples. The study
 * counts by index; here the indices become names.
 */
#include <string.h>

#include "result/parts.h"

/** A copy of count items in the result's arena; NULL when out of memory. */
static void *copy_items(fl_result *result, const void *items, size_t count, size_t size)
{
    void *copy = fl_arena_take(&result->arena, count, size);
    if (copy && count > 0)
        memcpy(copy, items, count * size);
    return copy;
}

/** Percentiles, curve and bars of the worst return loss; all empty when none is required. */
static bool add_distribution(fl_result *result, const fl_yielding *yielding)
{
    result->percentiles = copy_items(result, yielding->percentiles, yielding->percentile_count,
                                     sizeof *yielding->percentiles);
    result->curve =
        copy_items(result, yielding->curve, yielding->curve_count, sizeof *yielding->curve);
    uint64_t *counts =
        copy_items(result, yielding->bars.counts, yielding->bars.count, sizeof *counts);
    if (!result->percentiles || !result->curve || !counts)
        return false;
    result->bars = yielding->bars;
    result->bars.counts = counts;
    result->percentile_count = yielding->percentile_count;
    result->curve_count = yielding->curve_count;
    return true;
}

/** What failed, in words: requirement and case instead of their numbers. */
static bool add_failures(fl_result *result, const fl_design *design, const fl_yielding *yielding)
{
    result->failures =
        fl_arena_take(&result->arena, yielding->failure_count, sizeof *result->failures);
    if (!result->failures)
        return false;
    for (size_t i = 0; i < yielding->failure_count; i++) {
        const fl_failure *failure = &yielding->failures[i];
        fl_result_failure *row = &result->failures[i];
        row->asked = design->requirements[failure->requirement].asked;
        row->port = design->requirements[failure->requirement].port;
        row->count = failure->count;
        memcpy(row->third, failure->third, sizeof row->third);
        if (!fl_result_text(result, &row->case_name, design->cases[failure->case_index].name))
            return false;
    }
    result->failure_count = yielding->failure_count;
    return true;
}

/** Points of failure in words; how far they are stays with the rarity. */
static bool add_points(fl_result *result, const fl_design *design, const fl_yielding *yielding)
{
    const fl_rarity *rare = &yielding->rare;
    result->rare = *rare;
    result->rare.points = copy_items(result, rare->points, rare->point_count, sizeof *rare->points);
    result->failure_points =
        fl_arena_take(&result->arena, rare->point_count, sizeof *result->failure_points);
    if (!result->rare.points || !result->failure_points)
        return false;
    for (size_t i = 0; i < rare->point_count; i++) {
        const fl_requirement *requirement = &design->requirements[rare->points[i].requirement];
        fl_result_failure *row = &result->failure_points[i];
        row->asked = requirement->asked;
        row->port = requirement->port;
        if (!fl_result_text(result, &row->case_name,
                            design->cases[rare->points[i].case_index].name))
            return false;
    }
    return true;
}

/** Means of the values in parts that pass and in parts that fail. */
static bool add_shifts(fl_result *result, const fl_design *design, const fl_yielding *yielding)
{
    result->shifts = fl_arena_take(&result->arena, yielding->shift_count, sizeof *result->shifts);
    if (!result->shifts)
        return false;
    for (size_t i = 0; i < yielding->shift_count; i++) {
        const size_t quantity = yielding->shifts[i].quantity;
        fl_result_shift *row = &result->shifts[i];
        row->shift = yielding->shifts[i];
        row->dimension = design->quantities[quantity].dimension;
        if (!fl_result_name(result, &row->name, &row->case_name, design, quantity))
            return false;
    }
    result->shift_count = yielding->shift_count;
    return true;
}

/** Column title of a kept quantity, with its unit: "gap (m)", "stub length, air cavity (m)". */
static const char *column_title(fl_result *result, const fl_design *design,
                                const fl_quantity *quantity)
{
    const bool of_case = quantity->only_case != FL_NONE;
    const char *unit = fl_unit_name(quantity->dimension);
    return fl_arena_print(&result->arena, "%s%s%s%s%s%s", quantity->name, of_case ? ", " : "",
                          of_case ? design->cases[quantity->only_case].name : "",
                          unit[0] ? " (" : "", unit, unit[0] ? ")" : "");
}

/** Only quantities with a spread get a column: the others are the same in every sample. */
static bool add_columns(fl_result *result, const fl_design *design)
{
    result->kept_names =
        fl_arena_take(&result->arena, design->quantity_count, sizeof *result->kept_names);
    if (!result->kept_names)
        return false;
    for (size_t i = 0; i < design->quantity_count; i++) {
        if (design->quantities[i].spread_count == 0)
            continue;
        const char *title = column_title(result, design, &design->quantities[i]);
        if (!title)
            return false;
        result->kept_names[result->kept_columns++] = title;
    }
    return true;
}

/** One kept sample as a row of each table. */
static void copy_kept(fl_result *result, const fl_design *design, const fl_kept *kept, size_t row)
{
    const size_t cases = design->case_count;
    double *values = result->kept + row * result->kept_columns;
    for (size_t i = 0; i < design->quantity_count; i++)
        if (design->quantities[i].spread_count > 0)
            *values++ = kept->quantities[i];
    memcpy(result->kept_return_loss_db + row * cases, kept->return_loss_db, cases * sizeof(double));
    memcpy(result->kept_margin_db + row * cases, kept->margin_db, cases * sizeof(double));
    result->kept_passed[row] = kept->passed;
}

/** Tables of the kept samples; empty when none were asked for. */
static bool add_kept(fl_result *result, const fl_design *design, const fl_yielding *yielding)
{
    const size_t count = yielding->kept_count;
    const size_t row = design->case_count * sizeof(double);
    if (!add_columns(result, design))
        return false;
    result->kept =
        fl_arena_take(&result->arena, count, result->kept_columns * sizeof *result->kept);
    result->kept_return_loss_db = fl_arena_take(&result->arena, count, row);
    result->kept_margin_db = fl_arena_take(&result->arena, count, row);
    result->kept_passed = fl_arena_take(&result->arena, count, sizeof *result->kept_passed);
    if (!result->kept || !result->kept_return_loss_db || !result->kept_margin_db ||
        !result->kept_passed)
        return false;
    for (size_t i = 0; i < count; i++)
        copy_kept(result, design, &yielding->kept[i], i);
    result->kept_count = count;
    return true;
}

/** Wafers and lots of a plan, and how many dice of each wafer pass. */
static bool add_wafers(fl_result *result, const fl_yielding *yielding)
{
    result->plan = yielding->plan;
    result->wafers = yielding->wafers;
    result->lots = yielding->lots;
    result->wafer_passed = copy_items(result, yielding->wafer_passed, yielding->wafers.count,
                                      sizeof *yielding->wafer_passed);
    return result->wafer_passed != NULL;
}

/** The numbers that need no memory. They come last, so that a result is either whole or has no
 * yield. */
static void copy_shares(fl_result *result, const fl_yielding *yielding)
{
    result->has_yield = true;
    result->samples = yielding->samples;
    result->passed = yielding->passed;
    result->not_physical = yielding->not_physical;
    result->estimate = yielding->estimate;
    result->low = yielding->low;
    result->high = yielding->high;
    result->stopping = yielding->stopping;
    result->sampling = yielding->sampling;
    result->basis = yielding->basis;
    result->effective = yielding->effective;
    result->confidence = yielding->confidence;
    result->seed = yielding->seed;
    result->interrupted = result->interrupted || yielding->interrupted;
    for (size_t c = 0; c < result->case_count; c++) {
        result->cases[c].yield = yielding->cases[c].estimate;
        result->cases[c].yield_low = yielding->cases[c].low;
        result->cases[c].yield_high = yielding->cases[c].high;
        result->cases[c].passed = yielding->cases[c].passed;
    }
}

/** Cases may be known already from the response; they are the same ones. */
fl_status fl_result_add_yield(fl_result *result, const fl_study *study, const fl_yielding *yielding,
                              fl_error *error)
{
    fl_status status = fl_result_cases(result, study->design, error);
    if (status != FL_OK)
        return status;
    if (!add_wafers(result, yielding) || !add_distribution(result, yielding) ||
        !add_failures(result, study->design, yielding) ||
        !add_points(result, study->design, yielding) ||
        !add_shifts(result, study->design, yielding) || !add_kept(result, study->design, yielding))
        return fl_fail_memory(error);
    copy_shares(result, yielding);
    return FL_OK;
}
