/* Monte Carlo yield: how far a run goes, and what comes of it. */
#include "studies/production.h"

/* Whether a run is at a look and its interval as narrow as was asked. */
static bool is_precise(const fl_sums *sums, uint64_t look)
{
    double low, high;
    if (sums->looks.precision <= 0.0 || sums->total.samples != look)
        return false;
    fl_outcome_interval(&low, &high, sums);
    return 0.5 * (high - low) <= sums->looks.precision;
}

/* An interrupted run is a shorter one: its samples are the first ones, and its shares are of
 * those. */
static void run_all(fl_production *run, fl_yielding *yielding)
{
    const uint64_t samples = run->study->samples;
    const fl_tally *total = &run->sums.total;
    bool done = false;
    while (!done && !yielding->interrupted) {
        const uint64_t look = fl_looks_next(&run->sums.looks, total->samples);
        fl_production_round(run, look);
        done = total->samples == samples || is_precise(&run->sums, look);
        if (fl_study_stopped(run->study, "yield", (double)total->samples / (double)samples))
            yielding->interrupted = !done;
    }
}

/* Results are made also when interrupted; kept samples beyond those drawn are cut off. */
fl_status fl_yielding_run(fl_yielding *yielding, const fl_study *study, const double *nominal,
                          fl_error *error)
{
    fl_production run = {.study = study};
    *yielding = (fl_yielding){.seed = study->seed};
    fl_arena_init(&yielding->arena);
    fl_arena_init(&run.arena);
    fl_status status = fl_production_make(&run, yielding, nominal, error);
    if (status != FL_OK)
        goto cleanup;
    run_all(&run, yielding);
    status = fl_outcome_fill(yielding, &run.counting, &run.sums, error);
    const uint64_t samples = run.sums.total.samples;
    yielding->kept = run.kept;
    yielding->kept_count = run.kept_count < samples ? run.kept_count : (size_t)samples;
cleanup:
    fl_production_release(&run);
    return status;
}

void fl_yielding_release(fl_yielding *yielding)
{
    fl_arena_release(&yielding->arena);
    yielding->kept_count = yielding->percentile_count = yielding->curve_count = 0;
    yielding->failure_count = yielding->shift_count = 0;
}
