/* Yields of the wafers and lots of a plan, or of replicates of points: how much they differ, and
 * what that says of the mean. */
#include <math.h>
#include <stdlib.h>

#include "studies/tally.h"

/* The coarsest level at which parts share a draw: what differs there is independent. */
static fl_basis basis_of(const fl_design *design, const fl_plan *plan)
{
    fl_basis basis = FL_BASIS_SAMPLES;
    for (size_t i = 0; plan->wafers > 0 && i < design->draw_count; i++) {
        if (design->draws[i].level == FL_LEVEL_LOT)
            return FL_BASIS_LOTS;
        if (design->draws[i].level == FL_LEVEL_WAFER)
            basis = FL_BASIS_WAFERS;
    }
    return basis;
}

/* A replicate is counted as a wafer is, a lot of samples at a time. */
static fl_status take_replicates(fl_wafers *wafers, fl_arena *arena, fl_error *error)
{
    wafers->plan = (fl_plan){1, FL_LANES};
    wafers->basis = FL_BASIS_REPLICATES;
    wafers->count = FL_REPLICATES;
    wafers->passed = fl_arena_take(arena, wafers->count * wafers->columns, sizeof *wafers->passed);
    return wafers->passed ? FL_OK : fl_fail_memory(error);
}

/* The last wafer may be one in part. */
fl_status fl_wafers_take(fl_wafers *wafers, fl_arena *arena, const fl_study *study, fl_error *error)
{
    const fl_plan *plan = &study->plan;
    *wafers = (fl_wafers){.plan = *plan,
                          .basis = basis_of(study->design, plan),
                          .columns = study->design->case_count + 1};
    if (fl_sampling_is_even(study->design->sampling))
        return take_replicates(wafers, arena, error);
    if (plan->wafers == 0)
        return FL_OK;
    const uint64_t count = (study->samples + plan->dice - 1) / plan->dice;
    if (count > FL_WAFER_LIMIT)
        return fl_fail(error, FL_BAD_INPUT, "",
                       "a plan has at most %d wafers, found %llu for %llu samples", FL_WAFER_LIMIT,
                       (unsigned long long)count, (unsigned long long)study->samples);
    wafers->count = (size_t)count;
    wafers->passed = fl_arena_take(arena, wafers->count * wafers->columns, sizeof *wafers->passed);
    return wafers->passed ? FL_OK : fl_fail_memory(error);
}

/* A wafer's dice may come from several blocks; replicates take turns. */
void fl_wafers_add(fl_wafers *wafers, const fl_tally *tally)
{
    if (wafers->plan.wafers == 0 || tally->samples == 0)
        return;
    const uint64_t first = tally->first / wafers->plan.dice;
    for (size_t row = 0; row <= tally->row; row++) {
        uint32_t *to = &wafers->passed[(first + row) % wafers->count * wafers->columns];
        for (size_t i = 0; i < wafers->columns; i++)
            to[i] += tally->wafers[row * wafers->columns + i];
    }
    wafers->samples += tally->samples;
}

/* Wafers of a group: of a lot, or of a wafer. */
static uint64_t wafers_of(const fl_wafers *wafers, fl_basis basis)
{
    return basis == FL_BASIS_LOTS ? wafers->plan.wafers : 1;
}

/* Dice of a group that passed. Sums are made anew each time: a pass over the wafers is short beside
 * the drawing of one of them. */
static uint64_t passed_of(const fl_wafers *wafers, fl_basis basis, uint64_t group, size_t column)
{
    const uint64_t each = wafers_of(wafers, basis);
    uint64_t passed = 0;
    for (uint64_t i = group * each; i < (group + 1) * each && i < wafers->count; i++)
        passed += wafers->passed[i * wafers->columns + column];
    return passed;
}

/* Groups that were begun. */
static uint64_t groups_of(const fl_wafers *wafers)
{
    const uint64_t dice = wafers_of(wafers, wafers->basis) * wafers->plan.dice;
    const uint64_t begun = (wafers->samples + dice - 1) / dice;
    return begun < wafers->count ? begun : wafers->count;
}

/* Samples of a group so far: it may be there in part only. */
static uint64_t size_of(const fl_wafers *wafers, uint64_t group)
{
    const uint64_t each = wafers_of(wafers, wafers->basis) * wafers->plan.dice;
    const uint64_t turns = wafers->basis == FL_BASIS_REPLICATES ? wafers->count : 1;
    uint64_t before = group * each, size = 0;
    if (turns > 1) {
        size = wafers->samples / (turns * each) * each;
        before += turns * size;
    }
    const uint64_t rest = wafers->samples > before ? wafers->samples - before : 0;
    return size + (rest < each ? rest : each);
}

/* The share is a ratio of two sums, as groups differ in size: its variance is that of k - p n over
 * groups of n dice, k of which pass [Cochran1977], section 6.4. */
double fl_wafers_interval(double *low, double *high, const fl_wafers *wafers, size_t column,
                          uint64_t passed, double confidence)
{
    const double samples = (double)wafers->samples, share = (double)passed / samples;
    const uint64_t groups = groups_of(wafers);
    double squares = 0.0;
    for (uint64_t i = 0; i < groups; i++) {
        const double own = (double)passed_of(wafers, wafers->basis, i, column);
        const double apart = own - share * (double)size_of(wafers, i);
        squares += apart * apart;
    }
    const double count = (double)groups;
    const fl_grouped grouped = {
        .share = share,
        .variance = squares * count / (count - 1.0) / (samples * samples),
        .groups = groups,
        .trials = wafers->samples,
    };
    return wafers->basis == FL_BASIS_REPLICATES
               ? fl_interval_replicated(low, high, &grouped, confidence)
               : fl_interval_grouped(low, high, &grouped, confidence);
}

/* Fewest first. */
static int by_count(const void *left, const void *right)
{
    const uint64_t a = *(const uint64_t *)left, b = *(const uint64_t *)right;
    return (a > b) - (a < b);
}

/* Smallest value that at least percent of the sorted ones do not exceed. */
static double percentile(const uint64_t *sorted, size_t count, size_t percent)
{
    const size_t rank = (count * percent + 99) / 100;
    return (double)sorted[rank > 0 ? rank - 1 : 0];
}

/* In dice first, which are whole numbers and keep all their digits in a sum; shares come last. */
static void measure(fl_spreading *spreading, uint64_t *passed)
{
    const size_t count = spreading->count;
    const double dice = (double)spreading->dice;
    double sum = 0.0, squares = 0.0;
    qsort(passed, count, sizeof *passed, by_count);
    for (size_t i = 0; i < count; i++)
        sum += (double)passed[i];
    for (size_t i = 0; i < count; i++) {
        const double apart = (double)passed[i] - sum / (double)count;
        squares += apart * apart;
    }
    spreading->mean = sum / (double)count / dice;
    spreading->sigma = count > 1 ? sqrt(squares / ((double)count - 1.0)) / dice : (double)NAN;
    spreading->least = (double)passed[0] / dice;
    spreading->low = percentile(passed, count, 5) / dice;
    spreading->middle = percentile(passed, count, 50) / dice;
    spreading->high = percentile(passed, count, 95) / dice;
    spreading->best = (double)passed[count - 1] / dice;
}

/* Those drawn whole, as half a wafer has not half the chance of anything: a few dice would make its
 * yield the least or the best of all. passed: room for them. */
static void spread_over(fl_spreading *spreading, const fl_wafers *wafers, fl_basis basis,
                        uint64_t *passed)
{
    const double none = (double)NAN;
    *spreading = (fl_spreading){0, 0, none, none, none, none, none, none, none};
    spreading->dice = wafers_of(wafers, basis) * wafers->plan.dice;
    spreading->count = (size_t)(wafers->samples / spreading->dice);
    for (size_t i = 0; i < spreading->count; i++)
        passed[i] = passed_of(wafers, basis, i, wafers->columns - 1);
    if (spreading->count > 0)
        measure(spreading, passed);
}

/* Wafers last: their sorted counts are then counted anew, in the order they were drawn. */
fl_status fl_wafers_spread(fl_yielding *yielding, const fl_wafers *wafers, fl_error *error)
{
    if (wafers->basis == FL_BASIS_REPLICATES)
        return FL_OK;
    yielding->plan = wafers->plan;
    if (wafers->plan.wafers == 0)
        return FL_OK;
    uint64_t *passed = fl_arena_take(&yielding->arena, wafers->count, sizeof *passed);
    if (!passed)
        return fl_fail_memory(error);
    spread_over(&yielding->lots, wafers, FL_BASIS_LOTS, passed);
    spread_over(&yielding->wafers, wafers, FL_BASIS_WAFERS, passed);
    for (size_t i = 0; i < yielding->wafers.count; i++)
        passed[i] = passed_of(wafers, FL_BASIS_WAFERS, i, wafers->columns - 1);
    yielding->wafer_passed = passed;
    return FL_OK;
}
