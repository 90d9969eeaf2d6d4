/**
 * What only the pictures of a report show: the response as it is and without the compensation, in
 * the band and far beyond.
 */
#include <string.h>

#include "result/parts.h"

/* Most frequencies of a picture: more would not be seen, and a page would be large. */
enum { MOST_POINTS = 201 };

/** What all cases are computed from. */
typedef struct drawing {
    fl_result *result;
    fl_result_pictures *pictures;
    const fl_study *study;
    const double *quantities;
    fl_arena scratch;
} drawing;

/** The first that is asked for, as it is the one the design is about. */
static int port_of(const fl_design *design)
{
    for (size_t i = 0; i < design->requirement_count; i++)
        if (design->requirements[i].asked == FL_RETURN_LOSS)
            return design->requirements[i].port;
    return FL_PORT_BOARD;
}

/** The design's own points if they are not too many. */
static fl_status add_frequencies(drawing *own, fl_error *error)
{
    const fl_design *design = own->study->design;
    fl_result_pictures *pictures = own->pictures;
    pictures->count = design->points < MOST_POINTS ? design->points : MOST_POINTS;
    pictures->frequencies = fl_arena_take(&own->result->arena, pictures->count, sizeof(double));
    if (!pictures->frequencies)
        return fl_fail_memory(error);
    fl_band_grid(pictures->frequencies, &design->bands[0], pictures->count);
    return FL_OK;
}

/** One sweep to fill. */
typedef struct sweep {
    const fl_groundwork *groundwork;
    size_t case_index;
    const bool *left_out; /* NULL: nothing */
    const double *frequencies;
    size_t count;
} sweep;

/** Memory for the S-parameters of a sweep, which only losses are taken from. */
static bool take_scatter(fl_arena *arena, fl_scatter *scatter, const sweep *over)
{
    double(**arrays[])[2] = {&scatter->s11, &scatter->s21, &scatter->s12, &scatter->s22};
    scatter->frequencies = over->frequencies;
    scatter->count = over->count;
    for (size_t i = 0; i < sizeof arrays / sizeof arrays[0]; i++) {
        *arrays[i] = fl_arena_take(arena, over->count, sizeof **arrays[i]);
        if (!*arrays[i])
            return false;
    }
    return true;
}

/** Losses over a sweep; the S-parameters go into the scratch. */
static fl_status add_losses(drawing *own, fl_result_losses *losses, const sweep *over,
                            fl_error *error)
{
    fl_scatter scatter;
    double *values = fl_arena_take(&own->result->arena, over->count, 2 * sizeof *values);
    if (!values || !take_scatter(&own->scratch, &scatter, over))
        return fl_fail_memory(error);
    const fl_status status = fl_scatter_fill_without(&scatter, over->groundwork, over->case_index,
                                                     over->left_out, own->quantities, error);
    if (status != FL_OK)
        return status;
    double(*back)[2] = own->pictures->port == FL_PORT_DIE ? scatter.s11 : scatter.s22;
    *losses = (fl_result_losses){values, values + over->count};
    for (size_t i = 0; i < over->count; i++) {
        const double *s = back[i], *t = scatter.s21[i];
        losses->return_loss_db[i] = fl_loss_db(s[0] * s[0] + s[1] * s[1]);
        losses->insertion_loss_db[i] = fl_loss_db(t[0] * t[0] + t[1] * t[1]);
    }
    return FL_OK;
}

/** Names of the sections that the uncompensated path is without. */
static fl_status add_left_out(drawing *own, fl_result_picture *picture, const fl_case *of,
                              const bool *left_out, fl_error *error)
{
    picture->left_out =
        fl_arena_take(&own->result->arena, of->section_count, sizeof *picture->left_out);
    if (!picture->left_out)
        return fl_fail_memory(error);
    for (size_t i = 0; i < of->section_count; i++)
        if (left_out[i] &&
            !fl_result_text(own->result, &picture->left_out[picture->left_out_count++],
                            of->sections[i].name))
            return fl_fail_memory(error);
    return FL_OK;
}

/** One case in its band. Without anything to leave out there is no path to compare with, and the
 * uncompensated losses stay unknown rather than equal. */
static fl_status add_case(drawing *own, size_t index, fl_error *error)
{
    const fl_design *design = own->study->design;
    const fl_case *of = &design->cases[index];
    fl_result_picture *picture = &own->pictures->cases[index];
    bool *left_out = fl_arena_take(&own->scratch, of->section_count, sizeof *left_out);
    if (!left_out)
        return fl_fail_memory(error);
    sweep over = {own->study->groundwork, index, NULL, own->pictures->frequencies,
                  own->pictures->count};
    fl_status status = add_losses(own, &picture->present, &over, error);
    if (status != FL_OK || fl_bare_mark(left_out, design, index) == 0)
        return status;
    over.left_out = left_out;
    status = add_losses(own, &picture->uncompensated, &over, error);
    if (status == FL_OK)
        status = add_left_out(own, picture, of, left_out, error);
    return status;
}

/** The cases are in the result already, from its response. Pictures become part of the result when
 * they are whole: a report never meets half of one. */
fl_status fl_result_add_pictures(fl_result *result, const fl_study *study, const double *quantities,
                                 fl_error *error)
{
    drawing own = {.result = result, .study = study, .quantities = quantities};
    fl_arena_init(&own.scratch);
    fl_status status = fl_result_cases(result, study->design, error);
    own.pictures = fl_arena_take(&result->arena, 1, sizeof *own.pictures);
    if (status == FL_OK && own.pictures)
        own.pictures->cases =
            fl_arena_take(&result->arena, result->case_count, sizeof *own.pictures->cases);
    if (status == FL_OK && (!own.pictures || !own.pictures->cases))
        status = fl_fail_memory(error);
    if (status == FL_OK) {
        own.pictures->port = port_of(study->design);
        status = add_frequencies(&own, error);
    }
    for (size_t i = 0; status == FL_OK && i < result->case_count; i++)
        status = add_case(&own, i, error);
    if (status == FL_OK)
        result->pictures = own.pictures;
    fl_arena_release(&own.scratch);
    return status;
}
