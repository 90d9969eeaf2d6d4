/**
 * The result as JSON: sensitivity and yield. What a study could not tell, such as a shift without
 * any failing part, is null.
 */
#include <math.h>

#include "reports/json.h"

/** One quantity. Both directions are given, as they differ where the worst frequency switches. */
static void write_slope(fl_stream *json, const fl_result_sensitivity *row)
{
    const fl_slope *slope = &row->slope;
    fl_stream_open(json, '{', false);
    fl_stream_string_at(json, "name", row->name);
    fl_stream_string_at(json, "case", row->case_name);
    fl_stream_number_at(json, "nominal", slope->nominal);
    fl_stream_string_at(json, "unit", fl_unit_name(row->dimension));
    fl_stream_number_at(json, "sigma", slope->sigma);
    fl_stream_number_at(json, "dB per percent", slope->percent);
    fl_stream_number_at(json, "dB per percent up", slope->percent_up);
    fl_stream_number_at(json, "dB per percent down", slope->percent_down);
    fl_stream_number_at(json, "dB per sigma", slope->per_sigma);
    fl_stream_number_at(json, "dB per sigma up", slope->sigma_up);
    fl_stream_number_at(json, "dB per sigma down", slope->sigma_down);
    fl_stream_number_at(json, "share of variance", slope->share);
    fl_stream_close(json, '}');
}

/* In the order of the result, largest effect first; null if the command has no sensitivity. */
void fl_json_sensitivity(fl_stream *json, const fl_result *result)
{
    fl_stream_key(json, "sensitivity");
    if (!result->has_sensitivity) {
        fl_stream_null(json);
        return;
    }
    fl_stream_open(json, '[', false);
    for (size_t i = 0; i < result->sensitivity_count; i++)
        write_slope(json, &result->sensitivity[i]);
    fl_stream_close(json, ']');
}

/** An object whose keys are the percents, as in "5": so much of the parts have less. */
static void write_percentiles(fl_stream *json, const fl_result *result)
{
    fl_stream_key(json, "return loss dB percentiles");
    if (result->percentile_count == 0) {
        fl_stream_null(json);
        return;
    }
    fl_stream_open(json, '{', false);
    for (size_t i = 0; i < result->percentile_count; i++) {
        char percent[FL_NUMBER_ROOM];
        fl_number_text(percent, result->percentiles[i].percent);
        fl_stream_number_at(json, percent, result->percentiles[i].return_loss_db);
    }
    fl_stream_close(json, '}');
}

/** Share of parts that would pass at other limits of return loss. */
static void write_curve(fl_stream *json, const fl_result *result)
{
    fl_stream_key(json, "curve");
    if (result->curve_count == 0) {
        fl_stream_null(json);
        return;
    }
    fl_stream_open(json, '[', false);
    for (size_t i = 0; i < result->curve_count; i++) {
        fl_stream_open(json, '{', true);
        fl_stream_number_at(json, "return loss dB", result->curve[i].return_loss_db);
        fl_stream_number_at(json, "yield", result->curve[i].yield);
        fl_stream_close(json, '}');
    }
    fl_stream_close(json, ']');
}

/** What fails and where in its band, in samples. */
static void write_failures(fl_stream *json, const fl_result *result)
{
    static const char *const PLACES[FL_BAND_THIRDS] = {"low in band", "mid band", "high in band"};
    fl_stream_key(json, "failures");
    fl_stream_open(json, '[', false);
    for (size_t i = 0; i < result->failure_count; i++) {
        const fl_result_failure *row = &result->failures[i];
        fl_stream_open(json, '{', false);
        fl_stream_string_at(json, "case", row->case_name);
        fl_stream_string_at(json, "quantity", fl_asked_name(row->asked));
        fl_json_port(json, row->asked, row->port);
        fl_stream_integer_at(json, "samples", row->count);
        for (size_t t = 0; t < FL_BAND_THIRDS; t++)
            fl_stream_integer_at(json, PLACES[t], row->third[t]);
        fl_stream_close(json, '}');
    }
    fl_stream_close(json, ']');
}

/** What weighted samples tell; null of others. */
static void write_importance(fl_stream *json, const fl_result *result)
{
    const fl_rarity *rare = &result->rare;
    fl_stream_key(json, "importance");
    if (result->sampling != FL_SAMPLING_IMPORTANCE) {
        fl_stream_null(json);
        return;
    }
    fl_stream_open(json, '{', false);
    fl_stream_number_at(json, "failing", rare->failing);
    fl_stream_number_at(json, "low", rare->low);
    fl_stream_number_at(json, "high", rare->high);
    fl_stream_number_at(json, "standard error", rare->error);
    fl_stream_integer_at(json, "failed samples", rare->failed);
    fl_stream_number_at(json, "effective failed samples", rare->effective);
    fl_stream_key(json, "failure points");
    fl_stream_open(json, '[', false);
    for (size_t i = 0; i < rare->point_count; i++) {
        const fl_result_failure *row = &result->failure_points[i];
        fl_stream_open(json, '{', true);
        fl_stream_string_at(json, "case", row->case_name);
        fl_stream_string_at(json, "quantity", fl_asked_name(row->asked));
        fl_json_port(json, row->asked, row->port);
        fl_stream_number_at(json, "sigmas", rare->points[i].sigmas);
        fl_stream_close(json, '}');
    }
    fl_stream_close(json, ']');
    fl_stream_close(json, '}');
}

/* Which values differ between parts that pass and parts that fail, in the order of the design: a
 * program sorts as it needs. */
static void write_shifts(fl_stream *json, const fl_result *result)
{
    fl_stream_key(json, "shifts");
    fl_stream_open(json, '[', false);
    for (size_t i = 0; i < result->shift_count; i++) {
        const fl_result_shift *row = &result->shifts[i];
        fl_stream_open(json, '{', false);
        fl_stream_string_at(json, "name", row->name);
        fl_stream_string_at(json, "case", row->case_name);
        fl_stream_string_at(json, "unit", fl_unit_name(row->dimension));
        fl_stream_number_at(json, "mean passing", row->shift.passing);
        fl_stream_number_at(json, "mean failing", row->shift.failing);
        fl_stream_number_at(json, "shift in sigmas", row->shift.sigmas);
        fl_stream_number_at(json, "share of variance", row->shift.share);
        fl_stream_close(json, '}');
    }
    fl_stream_close(json, ']');
}

/** Wafers or lots: shares that pass, and the same in dice. */
static void write_spreading(fl_stream *json, const char *name, const fl_spreading *of)
{
    const double dice = (double)of->dice;
    fl_stream_key(json, name);
    if (of->count == 0) {
        fl_stream_null(json);
        return;
    }
    fl_stream_open(json, '{', false);
    fl_stream_integer_at(json, "count", of->count);
    fl_stream_integer_at(json, "dice", of->dice);
    fl_stream_number_at(json, "mean", of->mean);
    fl_stream_number_at(json, "standard deviation", of->sigma);
    fl_stream_number_at(json, "least", of->least);
    fl_stream_number_at(json, "5", of->low);
    fl_stream_number_at(json, "50", of->middle);
    fl_stream_number_at(json, "95", of->high);
    fl_stream_number_at(json, "best", of->best);
    fl_stream_key(json, "good dice");
    fl_stream_open(json, '{', true);
    fl_stream_number_at(json, "mean", dice * of->mean);
    fl_stream_number_at(json, "5", round(dice * of->low));
    fl_stream_number_at(json, "95", round(dice * of->high));
    fl_stream_close(json, '}');
    fl_stream_close(json, '}');
}

/** Why the run ended where it did; null without a precision. */
static void write_stopping(fl_stream *json, const fl_stopping *stopping)
{
    fl_stream_key(json, "precision");
    if (stopping->precision <= 0.0) {
        fl_stream_null(json);
        return;
    }
    fl_stream_open(json, '{', true);
    fl_stream_number_at(json, "asked", stopping->precision);
    fl_stream_key(json, "reached");
    fl_stream_truth(json, stopping->reached);
    fl_stream_integer_at(json, "looks", stopping->looks);
    fl_stream_integer_at(json, "most looks", stopping->most_looks);
    fl_stream_number_at(json, "confidence of a look", stopping->confidence);
    fl_stream_close(json, '}');
}

/** How samples were drawn: the plan, and what came of it; null without one. */
static void write_plan(fl_stream *json, const fl_result *result)
{
    static const char *const BASES[] = {[FL_BASIS_SAMPLES] = "samples",
                                        [FL_BASIS_WAFERS] = "wafers",
                                        [FL_BASIS_LOTS] = "lots",
                                        [FL_BASIS_REPLICATES] = "replicates",
                                        [FL_BASIS_WEIGHTS] = "weights"};
    fl_stream_string_at(json, "sampling", fl_sampling_name(result->sampling));
    fl_stream_string_at(json, "interval from", BASES[result->basis]);
    fl_stream_number_at(json, "effective samples", result->effective);
    fl_stream_key(json, "plan");
    if (result->plan.wafers == 0) {
        fl_stream_null(json);
    } else {
        fl_stream_open(json, '{', true);
        fl_stream_integer_at(json, "wafers", result->plan.wafers);
        fl_stream_integer_at(json, "dice per wafer", result->plan.dice);
        fl_stream_close(json, '}');
    }
    write_spreading(json, "wafers", &result->wafers);
    write_spreading(json, "lots", &result->lots);
}

/* Shares from 0 to 1, not percent. A study without a required return loss has no percentiles and no
 * curve, which are null then. */
void fl_json_yield(fl_stream *json, const fl_result *result)
{
    fl_stream_key(json, "yield");
    if (!result->has_yield) {
        fl_stream_null(json);
        return;
    }
    fl_stream_open(json, '{', false);
    fl_stream_integer_at(json, "samples", result->samples);
    fl_stream_integer_at(json, "passed", result->passed);
    fl_stream_integer_at(json, "not physical", result->not_physical);
    fl_stream_number_at(json, "estimate", result->estimate);
    fl_stream_number_at(json, "low", result->low);
    fl_stream_number_at(json, "high", result->high);
    fl_stream_number_at(json, "confidence", result->confidence);
    write_stopping(json, &result->stopping);
    write_plan(json, result);
    write_importance(json, result);
    write_percentiles(json, result);
    write_curve(json, result);
    write_failures(json, result);
    write_shifts(json, result);
    fl_stream_close(json, '}');
}
