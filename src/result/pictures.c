/**
 * What only the pictures of a report show: the response as it is and without the compensation, in
 * the band and far beyond.
 */
#include <string.h>

#include "result/parts.h"

/* Most frequencies of a picture: more would not be seen, and a page would be large. */
enum { MOST_POINTS = 201 };

/* The wide sweep: from this share of the band's low end to so many times its high end. */
enum { WIDE_POINTS = 301 };
static const double wide_low = 0.1, wide_high = 3.0;

/** What all cases are computed from. */
typedef struct drawing {
    fl_result *result;
    fl_result_pictures *pictures;
    const fl_study *study;
    const double *quantities;
    fl_groundwork *wide; /* of the wide sweep; NULL: there is none */
    bool **left_out;     /* [case_count][section_count] */
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

/** Names of a case's sections: all, or those that are marked. */
static fl_status add_names(fl_result *result, const char ***names, size_t *count, const fl_case *of,
                           const bool *marked, fl_error *error)
{
    *names = fl_arena_take(&result->arena, of->section_count, sizeof **names);
    if (!*names)
        return fl_fail_memory(error);
    for (size_t i = 0; i < of->section_count; i++)
        if ((!marked || marked[i]) &&
            !fl_result_text(result, &(*names)[(*count)++], of->sections[i].name))
            return fl_fail_memory(error);
    return FL_OK;
}

/** Without anything to leave out there is no path to compare with: its losses stay unknown rather
 * than equal to the present ones. */
static fl_status mark_left_out(drawing *own, size_t index, fl_error *error)
{
    const fl_design *design = own->study->design;
    const fl_case *of = &design->cases[index];
    fl_result_picture *picture = &own->pictures->cases[index];
    bool *marked = fl_arena_take(&own->scratch, of->section_count, sizeof *marked);
    if (!marked)
        return fl_fail_memory(error);
    if (fl_bare_mark(marked, design, index) == 0)
        return FL_OK;
    own->left_out[index] = marked;
    return add_names(own->result, &picture->left_out, &picture->left_out_count, of, marked, error);
}

/** Present and uncompensated, in the band. */
static fl_status add_band(drawing *own, size_t index, fl_error *error)
{
    const fl_result_pictures *pictures = own->pictures;
    fl_result_picture *picture = &pictures->cases[index];
    sweep over = {own->study->groundwork, index, NULL, pictures->frequencies, pictures->count};
    fl_status status = add_losses(own, &picture->present, &over, error);
    if (status != FL_OK || !own->left_out[index])
        return status;
    over.left_out = own->left_out[index];
    return add_losses(own, &picture->uncompensated, &over, error);
}

/** The same far beyond it, where a path need not have a response at all: that is no failure of the
 * study, and the case then has no wide sweep. */
static fl_status add_beyond(drawing *own, size_t index, fl_error *error)
{
    const fl_result_pictures *pictures = own->pictures;
    fl_result_picture *picture = &pictures->cases[index];
    sweep over = {own->wide, index, NULL, pictures->wide, pictures->wide_count};
    if (!own->wide)
        return FL_OK;
    fl_status status = add_losses(own, &picture->wide_present, &over, error);
    over.left_out = own->left_out[index];
    if (status == FL_OK && over.left_out)
        status = add_losses(own, &picture->wide_uncompensated, &over, error);
    return status == FL_BAD_INPUT ? FL_OK : status;
}

/** The impedance's way at the low end, the middle and the high end of the band. */
static fl_status add_walks(drawing *own, size_t index, fl_error *error)
{
    const fl_design *design = own->study->design;
    const fl_band *band = &design->bands[0];
    fl_result_picture *picture = &own->pictures->cases[index];
    const double places[FL_WALKS] = {band->low, 0.5 * (band->low + band->high), band->high};
    fl_status status = add_names(own->result, &picture->sections, &picture->section_count,
                                 &design->cases[index], NULL, error);
    for (size_t i = 0; status == FL_OK && i < FL_WALKS; i++) {
        picture->walks[i] =
            (fl_walk){.frequency = places[i], .reference = fl_walk_reference(design)};
        status = fl_walk_fill(&picture->walks[i], &own->result->arena, own->study->groundwork,
                              index, own->quantities, error);
    }
    return status;
}

static fl_status add_case(drawing *own, size_t index, fl_error *error)
{
    fl_status status = mark_left_out(own, index, error);
    if (status == FL_OK)
        status = add_band(own, index, error);
    if (status == FL_OK)
        status = add_beyond(own, index, error);
    if (status == FL_OK)
        status = add_walks(own, index, error);
    return status;
}

/** Notes of the wide sweep, from the groundwork that was made for it. */
static fl_status add_wide_notes(drawing *own, fl_error *error)
{
    fl_result_pictures *pictures = own->pictures;
    const size_t count = fl_groundwork_warning_count(own->wide);
    pictures->wide_notes = fl_arena_take(&own->result->arena, count, sizeof *pictures->wide_notes);
    if (!pictures->wide_notes)
        return fl_fail_memory(error);
    for (size_t i = 0; i < count; i++)
        if (!fl_result_text(own->result, &pictures->wide_notes[pictures->wide_note_count++],
                            fl_groundwork_warning(own->wide, i)))
            return fl_fail_memory(error);
    return FL_OK;
}

/** A model that cannot be asked so far out leaves the result without the wide sweep, as does a path
 * without a response there. */
static fl_status open_wide(drawing *own, fl_error *error)
{
    fl_result_pictures *pictures = own->pictures;
    const fl_band *band = &own->study->design->bands[0];
    fl_band wide = {wide_low * band->low, wide_high * band->high};
    const fl_status status =
        fl_groundwork_widen(&own->wide, &wide, own->study->groundwork, own->quantities, error);
    if (status == FL_BAD_INPUT)
        return FL_OK;
    if (status != FL_OK)
        return status;
    pictures->wide = fl_arena_take(&own->result->arena, WIDE_POINTS, sizeof *pictures->wide);
    if (!pictures->wide)
        return fl_fail_memory(error);
    pictures->wide_count = WIDE_POINTS;
    fl_band_grid(pictures->wide, &wide, WIDE_POINTS);
    return add_wide_notes(own, error);
}

/** Memory for all cases; the cases of the result are there already, from its response. */
static fl_status take_all(drawing *own, fl_error *error)
{
    const size_t count = own->study->design->case_count;
    fl_result_pictures *pictures = fl_arena_take(&own->result->arena, 1, sizeof *pictures);
    own->left_out = fl_arena_take(&own->scratch, count, sizeof *own->left_out);
    if (!pictures || !own->left_out)
        return fl_fail_memory(error);
    own->pictures = pictures;
    pictures->port = port_of(own->study->design);
    pictures->cases = fl_arena_take(&own->result->arena, count, sizeof *pictures->cases);
    if (!pictures->cases)
        return fl_fail_memory(error);
    return fl_result_cases(own->result, own->study->design, error);
}

/** Pictures become part of the result when they are whole: no report meets half of one. */
fl_status fl_result_add_pictures(fl_result *result, const fl_study *study, const double *quantities,
                                 bool production, fl_error *error)
{
    drawing own = {.result = result, .study = study, .quantities = quantities};
    fl_arena_init(&own.scratch);
    fl_status status = take_all(&own, error);
    if (status == FL_OK)
        status = add_frequencies(&own, error);
    if (status == FL_OK)
        status = open_wide(&own, error);
    for (size_t i = 0; status == FL_OK && i < result->case_count; i++)
        status = add_case(&own, i, error);
    if (status == FL_OK && production)
        status = fl_result_production(result, own.pictures, study, quantities, error);
    if (status == FL_OK)
        status = fl_result_notes(result, own.pictures, study->design, error);
    if (status == FL_OK)
        result->pictures = own.pictures;
    fl_groundwork_free(own.wide);
    fl_arena_release(&own.scratch);
    return status;
}
