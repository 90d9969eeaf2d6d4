/** Sensitivities under the names of their quantities. */
#include "result/parts.h"

/** The order is the study's: the largest effect first. */
fl_status fl_result_add_sensitivity(fl_result *result, const fl_study *study,
                                    const fl_sensing *sensing, fl_error *error)
{
    fl_result_sensitivity *rows = fl_arena_take(&result->arena, sensing->count, sizeof *rows);
    if (!rows)
        return fl_fail_memory(error);
    for (size_t i = 0; i < sensing->count; i++) {
        const size_t quantity = sensing->slopes[i].quantity;
        rows[i].slope = sensing->slopes[i];
        rows[i].dimension = study->design->quantities[quantity].dimension;
        if (!fl_result_name(result, &rows[i].name, &rows[i].case_name, study->design, quantity))
            return fl_fail_memory(error);
    }
    result->has_sensitivity = true;
    result->sensitivity = rows;
    result->sensitivity_count = sensing->count;
    result->sensitivity_base_db = sensing->base_db;
    result->interrupted = result->interrupted || sensing->interrupted;
    return FL_OK;
}
