/**
 * Response of every case, and where each requirement is worst. The sweep is on the design's
 * points, for tables and files; the worst values are those of the continuous band, so that a
 * coarse sweep cannot hide one.
 */
#include "result/parts.h"

/** Memory for a sweep over the design's band, with its frequencies filled in. */
static bool take_scatter(fl_result *result, fl_scatter *scatter, const fl_design *design)
{
    double *frequencies = fl_arena_take(&result->arena, design->points, sizeof *frequencies);
    double(**arrays[])[2] = {&scatter->s11, &scatter->s21, &scatter->s12, &scatter->s22};
    if (!frequencies)
        return false;
    fl_band_grid(frequencies, &design->bands[0], design->points);
    scatter->frequencies = frequencies;
    scatter->count = design->points;
    for (size_t i = 0; i < sizeof arrays / sizeof arrays[0]; i++) {
        *arrays[i] = fl_arena_take(&result->arena, design->points, sizeof **arrays[i]);
        if (!*arrays[i])
            return false;
    }
    return true;
}

/** Impedance of both ports at each frequency: S-parameters in power waves mean nothing without
 * them. */
static fl_status add_ports(fl_result *result, fl_result_case *row, const fl_study *study,
                           fl_error *error)
{
    const size_t count = row->response.count;
    double *parts = fl_arena_take(&result->arena, count, 2 * sizeof *parts);
    const fl_complex_lanes lanes = {parts, parts + count};
    row->port_impedance = fl_arena_take(&result->arena, count, sizeof *row->port_impedance);
    if (!parts || !row->port_impedance)
        return fl_fail_memory(error);
    for (int port = 0; port < FL_PORTS; port++) {
        fl_status status = fl_port_impedance(&lanes, study->groundwork, port,
                                             row->response.frequencies, count, error);
        if (status != FL_OK)
            return status;
        for (size_t i = 0; i < count; i++) {
            row->port_impedance[i][port][0] = parts[i];
            row->port_impedance[i][port][1] = parts[count + i];
        }
    }
    return FL_OK;
}

/** Sweep of one case. Requirements with a band of their own are not part of it: see add_worst. */
static fl_status add_case(fl_result *result, size_t index, const fl_study *study,
                          const double *quantities, fl_error *error)
{
    fl_result_case *row = &result->cases[index];
    if (!take_scatter(result, &row->response, study->design))
        return fl_fail_memory(error);
    fl_status status = fl_scatter_fill(&row->response, study->groundwork, index, quantities, error);
    if (status == FL_OK)
        status = add_ports(result, row, study, error);
    return status;
}

/** Puts a row among those before it, smallest margin first, equal ones in the design's order. */
static void insert_worst(fl_result_case *row, const fl_result_worst *worst)
{
    size_t i = row->worst_count++;
    for (; i > 0 && row->worst[i - 1].margin_db > worst->margin_db; i--)
        row->worst[i] = row->worst[i - 1];
    row->worst[i] = *worst;
}

/** A requirement with what was found of it, so that the result needs the design no more. */
static fl_result_worst worst_of(const fl_design *design, size_t index, const fl_worst *worst)
{
    const fl_requirement *asked = &design->requirements[index];
    return (fl_result_worst){.asked = asked->asked,
                             .port = asked->port,
                             .has_limit = !asked->implied,
                             .at_least = asked->at_least,
                             .limit_db = asked->limit_db,
                             .weight = asked->weight,
                             .band_low = design->bands[asked->band].low,
                             .band_high = design->bands[asked->band].high,
                             .value_db = worst->value_db,
                             .frequency = worst->frequency,
                             .margin_db = worst->margin_db};
}

/** Rows of all cases; the runs of peaks go by case, then requirement. */
static fl_status add_worst(fl_result *result, const fl_design *design, const fl_peaks *peaks,
                           fl_error *error)
{
    for (size_t c = 0; c < result->case_count; c++) {
        fl_result_case *row = &result->cases[c];
        row->worst = fl_arena_take(&result->arena, design->requirement_count, sizeof *row->worst);
        if (!row->worst)
            return fl_fail_memory(error);
        for (size_t r = 0; r < design->requirement_count; r++) {
            const fl_worst *peak = &peaks->worst[c * design->requirement_count + r];
            const fl_result_worst worst = worst_of(design, r, peak);
            insert_worst(row, &worst);
        }
    }
    result->has_margin = true;
    result->implied = design->requirements[0].implied;
    result->margin_db = peaks->margin_db;
    result->met = result->implied || fl_margin_met(peaks->margin_db);
    return FL_OK;
}

/** The worst values come from the search between the grid points, not from the sweep, which may
 * step over a narrow peak. */
fl_status fl_result_add_response(fl_result *result, const fl_study *study, const double *quantities,
                                 fl_error *error)
{
    fl_peaks peaks = {0};
    fl_status status = fl_result_cases(result, study->design, error);
    for (size_t c = 0; status == FL_OK && c < result->case_count; c++)
        status = add_case(result, c, study, quantities, error);
    if (status == FL_OK)
        status = fl_peaks_find(&peaks, study, quantities, error);
    if (status == FL_OK)
        status = add_worst(result, study->design, &peaks, error);
    if (status == FL_OK)
        status = fl_result_add_pieces(result, study->design, quantities, error);
    fl_peaks_release(&peaks);
    return status;
}
