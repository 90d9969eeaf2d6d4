/* Makes the sums of a Monte Carlo run into yields, causes of failure and percentiles. */
#include <math.h>
#include <stdlib.h>

#include "studies/tally.h"

/* The middle, the quarters and both tails of the worst return loss. */
static const unsigned PERCENTS[] = {1, 5, 25, 50, 75, 95, 99};
enum { PERCENT_COUNT = sizeof PERCENTS / sizeof *PERCENTS };

/* A part of nothing counts as none. */
static double share_of(uint64_t part, uint64_t whole)
{
    return whole > 0 ? (double)part / (double)whole : 0.0;
}

/* Interval of a column of the wafers: a case, or every case together. */
static double find_interval(double *low, double *high, const fl_sums *sums, size_t column,
                            uint64_t passed, double confidence)
{
    const uint64_t samples = sums->total.samples;
    if (sums->wafers.basis != FL_BASIS_SAMPLES && samples > 0)
        return fl_wafers_interval(low, high, &sums->wafers, column, passed, confidence);
    fl_interval_exact(low, high, passed, samples, confidence);
    return (double)samples;
}

double fl_outcome_interval(double *low, double *high, const fl_sums *sums)
{
    return find_interval(low, high, sums, sums->wafers.columns - 1, sums->total.passed,
                         sums->looks.confidence);
}

/* Each case has its own interval; they are not independent, as cases share draws. */
static fl_status fill_cases(fl_yielding *yielding, const fl_counting *counting, const fl_sums *sums,
                            fl_error *error)
{
    size_t count = counting->design->case_count;
    yielding->cases = fl_arena_take(&yielding->arena, count, sizeof *yielding->cases);
    if (!yielding->cases)
        return fl_fail_memory(error);
    for (size_t i = 0; i < count; i++) {
        fl_case_yield *own = &yielding->cases[i];
        own->passed = sums->total.case_passed[i];
        own->estimate = share_of(own->passed, sums->total.samples);
        find_interval(&own->low, &own->high, sums, i, own->passed, sums->looks.confidence);
    }
    return FL_OK;
}

/* Most frequent first; then in the order of cases and requirements. */
static int by_count(const void *left, const void *right)
{
    const fl_failure *a = left, *b = right;
    if (a->count != b->count)
        return a->count < b->count ? 1 : -1;
    if (a->case_index != b->case_index)
        return a->case_index > b->case_index ? 1 : -1;
    return (a->requirement > b->requirement) - (a->requirement < b->requirement);
}

/* A sample that fails in several ways counts in each of them: counts do not add up to the failed
 * ones. */
static fl_status fill_failures(fl_yielding *yielding, const fl_counting *counting,
                               const fl_tally *total, fl_error *error)
{
    yielding->failures =
        fl_arena_take(&yielding->arena, counting->run_count, sizeof *yielding->failures);
    if (!yielding->failures)
        return fl_fail_memory(error);
    for (size_t run = 0; run < counting->run_count; run++) {
        const fl_failed *failed = &total->failed[run];
        if (failed->count == 0)
            continue;
        fl_failure *own = &yielding->failures[yielding->failure_count++];
        own->case_index = counting->runs[run].case_index;
        own->requirement = counting->runs[run].requirement;
        own->count = failed->count;
        for (size_t third = 0; third < FL_BAND_THIRDS; third++)
            own->third[third] = failed->third[third];
    }
    qsort(yielding->failures, yielding->failure_count, sizeof *yielding->failures, by_count);
    return FL_OK;
}

/* Sums are of deviations, which keeps the digits of small ones. */
static double mean_at(double nominal, double sum, uint64_t count)
{
    return count > 0 ? nominal + sum / (double)count : (double)NAN;
}

/* How far the mean of a quantity in failing samples is from that in passing ones, in its sigmas:
 * what drifts together with failure is a likely cause of it. */
static fl_status fill_shifts(fl_yielding *yielding, const fl_counting *counting,
                             const fl_tally *total, fl_error *error)
{
    size_t count = counting->spread_count;
    yielding->shifts = fl_arena_take(&yielding->arena, count, sizeof *yielding->shifts);
    if (!yielding->shifts)
        return fl_fail_memory(error);
    yielding->shift_count = count;
    for (size_t i = 0; i < count; i++) {
        size_t quantity = counting->spread[i];
        double nominal = counting->nominal[quantity], sigma = counting->sigma[i];
        const double *sums = total->deviations[i];
        double failing = mean_at(nominal, sums[0], total->samples - total->passed);
        double passing = mean_at(nominal, sums[1], total->passed);
        yielding->shifts[i] = (fl_shift){
            .quantity = quantity,
            .passing = passing,
            .failing = failing,
            .sigmas = sigma > 0.0 ? (failing - passing) / sigma : (double)NAN,
            .share = fl_share_value(&total->shares[i]),
        };
    }
    return FL_OK;
}

/* Of all samples, those without a value at the lower end. */
static fl_status fill_percentiles(fl_yielding *yielding, const fl_histogram *histogram,
                                  fl_error *error)
{
    yielding->percentiles =
        fl_arena_take(&yielding->arena, PERCENT_COUNT, sizeof *yielding->percentiles);
    if (!yielding->percentiles)
        return fl_fail_memory(error);
    yielding->percentile_count = PERCENT_COUNT;
    for (size_t i = 0; i < PERCENT_COUNT; i++)
        yielding->percentiles[i] = (fl_percentile){
            .percent = PERCENTS[i],
            .return_loss_db = fl_histogram_percentile(histogram, PERCENTS[i]),
        };
    return FL_OK;
}

/* Limits on a return loss get a point of their own, as they are what is asked for. */
static fl_status fill_curve(fl_yielding *yielding, const fl_counting *counting,
                            const fl_tally *total, const fl_histogram *histogram, fl_error *error)
{
    const fl_design *design = counting->design;
    fl_reached *limits = fl_arena_take(&yielding->arena, design->requirement_count, sizeof *limits);
    if (!limits)
        return fl_fail_memory(error);
    size_t count = 0;
    for (size_t i = 0; i < design->requirement_count; i++) {
        const fl_requirement *requirement = &design->requirements[i];
        if (requirement->asked == FL_RETURN_LOSS && requirement->at_least && !requirement->implied)
            limits[count++] = (fl_reached){requirement->limit_db, total->reached[i]};
    }
    return fl_histogram_curve(yielding, histogram, limits, count, error);
}

/* Closing ends adding; percentiles and curve read the closed histogram. */
static fl_status fill_distribution(fl_yielding *yielding, const fl_counting *counting,
                                   const fl_tally *total, fl_histogram *histogram, fl_error *error)
{
    fl_histogram_close(histogram);
    fl_status status = fill_percentiles(yielding, histogram, error);
    if (status == FL_OK)
        status = fill_curve(yielding, counting, total, histogram, error);
    if (status == FL_OK)
        status = fl_histogram_bars(&yielding->bars, &yielding->arena, histogram, error);
    return status;
}

/* At a look, or between two of them where it was interrupted. */
static fl_stopping stopping_of(const fl_yielding *yielding, const fl_looks *looks)
{
    fl_stopping stopping = {
        .precision = looks->precision, .most_looks = looks->count, .confidence = looks->confidence};
    if (looks->precision <= 0.0)
        return stopping;
    for (uint64_t at = 0; at < looks->most; stopping.looks++) {
        at = fl_looks_next(looks, at);
        if (at > yielding->samples)
            break;
    }
    stopping.reached = 0.5 * (yielding->high - yielding->low) <= looks->precision;
    return stopping;
}

/* Without a return loss there is no distribution: percentiles and curve stay empty. */
fl_status fl_outcome_fill(fl_yielding *yielding, const fl_counting *counting, fl_sums *sums,
                          fl_error *error)
{
    const fl_tally *total = &sums->total;
    yielding->confidence = counting->design->confidence;
    yielding->samples = total->samples;
    yielding->passed = total->passed;
    yielding->not_physical = total->not_physical;
    yielding->estimate = share_of(total->passed, total->samples);
    yielding->sampling = counting->design->sampling;
    yielding->basis = sums->wafers.basis;
    yielding->effective = fl_outcome_interval(&yielding->low, &yielding->high, sums);
    yielding->stopping = stopping_of(yielding, &sums->looks);
    fl_status status = fill_cases(yielding, counting, sums, error);
    if (status == FL_OK)
        status = fl_wafers_spread(yielding, &sums->wafers, error);
    if (status == FL_OK)
        status = fill_failures(yielding, counting, total, error);
    if (status == FL_OK)
        status = fill_shifts(yielding, counting, total, error);
    if (status == FL_OK && counting->has_return_loss && total->samples > 0)
        status = fill_distribution(yielding, counting, total, &sums->histogram, error);
    return status;
}
