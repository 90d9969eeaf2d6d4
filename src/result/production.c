/**
 * What production does to the pictures: envelopes of the losses, and how much comes from each
 * level.
 */
#include <string.h>

#include "result/parts.h"

/** Rows of one case and loss, [percent][points], each a list of its own. */
static bool add_rows(fl_result *result, double *rows[FL_ENVELOPE_PERCENTS], const double *values,
                     size_t points)
{
    for (size_t p = 0; p < FL_ENVELOPE_PERCENTS; p++) {
        rows[p] = fl_arena_take(&result->arena, points, sizeof *rows[p]);
        if (!rows[p])
            return false;
        memcpy(rows[p], values + p * points, points * sizeof *rows[p]);
    }
    return true;
}

/** The envelope goes with its study, so that everything is copied. */
static fl_status copy_envelope(fl_result *result, fl_result_pictures *pictures,
                               const fl_envelope *envelope, size_t case_count, fl_error *error)
{
    const size_t points = envelope->points, block = FL_ENVELOPE_PERCENTS * points;
    for (size_t c = 0; c < case_count; c++) {
        fl_result_envelope *to = &pictures->cases[c].envelope;
        const double *values = envelope->values + 2 * c * block;
        if (!add_rows(result, to->return_loss_db, values, points) ||
            !add_rows(result, to->insertion_loss_db, values + block, points))
            return fl_fail_memory(error);
    }
    pictures->samples = envelope->samples;
    return FL_OK;
}

/** At the frequencies of the present response, so that the curves lie on one another. */
static fl_status add_envelope(fl_result *result, fl_result_pictures *pictures,
                              const fl_study *study, const double *quantities, fl_error *error)
{
    fl_envelope envelope;
    const fl_grid grid = {pictures->frequencies, pictures->count};
    fl_status status = fl_envelope_run(&envelope, study, quantities, &grid, pictures->port, error);
    if (status == FL_OK && envelope.samples > 0)
        status = copy_envelope(result, pictures, &envelope, study->design->case_count, error);
    result->interrupted = result->interrupted || (status == FL_OK && envelope.interrupted);
    fl_envelope_release(&envelope);
    return status;
}

/** Nothing is to be said of production where nothing varies. */
fl_status fl_result_production(fl_result *result, fl_result_pictures *pictures,
                               const fl_study *study, const double *quantities, fl_error *error)
{
    if (study->design->draw_count == 0)
        return FL_OK;
    fl_status status = add_envelope(result, pictures, study, quantities, error);
    if (status == FL_OK && !result->interrupted)
        status = fl_levels_run(&pictures->levels, study, quantities, error);
    result->interrupted = result->interrupted || pictures->levels.interrupted;
    return status;
}
