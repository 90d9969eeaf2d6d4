/** Sized values, and the design's text with them written in, from which any command can go on. */
#include "result/parts.h"

/** The design is written now, while it is at hand: the reports have the result alone. */
static fl_status add_design(fl_result *result, const fl_design *design, const double *quantities,
                            fl_error *error)
{
    char *text = NULL;
    size_t length = 0;
    fl_status status = fl_design_with_starts(&text, &length, design, quantities, error);
    if (status != FL_OK)
        return status;
    result->sized_design = fl_arena_copy(&result->arena, text, length);
    result->sized_design_length = length;
    fl_memory_free(text);
    return result->sized_design ? FL_OK : fl_fail_memory(error);
}

/** One chosen value with its range and the bound that holds it. */
static bool add_value(fl_result *result, const fl_design *design, const fl_sizing *sizing,
                      size_t index)
{
    const fl_quantity *quantity = &design->quantities[index];
    fl_result_sized_value *row = &result->sized[result->sized_count++];
    row->dimension = quantity->dimension;
    row->value = sizing->quantities[index];
    row->low = quantity->low;
    row->high = quantity->high;
    row->grid = quantity->grid;
    row->bound = sizing->bounds[index];
    return fl_result_name(result, &row->name, &row->case_name, design, index);
}

/** A design with nothing to size gives an empty list, and its own text again. */
fl_status fl_result_add_sizing(fl_result *result, const fl_study *study, const fl_sizing *sizing,
                               fl_error *error)
{
    const fl_design *design = study->design;
    result->sized = fl_arena_take(&result->arena, design->quantity_count, sizeof *result->sized);
    if (!result->sized)
        return fl_fail_memory(error);
    for (size_t i = 0; i < design->quantity_count; i++)
        if (design->quantities[i].sized && !add_value(result, design, sizing, i))
            return fl_fail_memory(error);
    result->has_sizing = true;
    result->free_margin_db = sizing->free_margin_db;
    result->starts = sizing->starts;
    result->interrupted = result->interrupted || sizing->interrupted;
    return add_design(result, design, sizing->quantities, error);
}
