/**
 * The live model of the design at the values of the result, for a page that is turned by hand.
 */
#include <string.h>

#include "result/result.h"

/** Whether there is anything to turn. */
static bool has_size(const fl_design *design)
{
    for (size_t i = 0; i < design->quantity_count; i++)
        if (design->quantities[i].sized)
            return true;
    return false;
}

/** A copy in the result's arena, so that it needs nothing but that. */
static fl_status keep(fl_result *result, const fl_text *bytes, fl_error *error)
{
    char *copy = fl_arena_copy(&result->arena, bytes->bytes, bytes->length);
    if (!copy)
        return fl_fail_memory(error);
    result->live = copy;
    result->live_length = bytes->length;
    return FL_OK;
}

/** Ranges over which a model cannot be fitted leave a result that is good but for the page. */
fl_status fl_result_add_live(fl_result *result, const fl_study *study, const double *quantities,
                             fl_error *error)
{
    fl_text bytes;
    fl_error why = {FL_OK, "", ""};
    if (fl_live_kernel_length == 0 || !has_size(study->design))
        return FL_OK;
    fl_text_init(&bytes);
    fl_status status = fl_live_write(&bytes, study, quantities, &why);
    if (status == FL_OK)
        status = keep(result, &bytes, error);
    else if (status == FL_BAD_INPUT)
        status = fl_result_add_warning(result, "nothing to turn in the report", &why, error);
    else if (error)
        *error = why;
    fl_text_release(&bytes);
    return status;
}
