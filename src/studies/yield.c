/* Monte Carlo yield: how far a run goes, and what comes of it. */
#include "studies/checkpoint.h"

/* Whether a run is at a look and its interval as narrow as was asked. */
static bool is_precise(const fl_sums *sums)
{
    const uint64_t samples = sums->total.samples;
    double low, high;
    if (sums->looks.precision <= 0.0 || samples == 0 ||
        fl_looks_next(&sums->looks, samples - 1) != samples)
        return false;
    fl_outcome_interval(&low, &high, sums);
    return 0.5 * (high - low) <= sums->looks.precision;
}

/* A run that was resumed may be done before it begins. */
static bool is_done(const fl_sums *sums)
{
    return sums->total.samples >= sums->looks.most || is_precise(sums);
}

/* One that fails costs no result; the next may be written again. */
static void save(const fl_production *run, fl_yielding *yielding)
{
    yielding->lost.status = FL_OK;
    if (run->study->checkpoint != NULL)
        fl_checkpoint_write(run, &yielding->lost);
}

/* An interrupted run is a shorter one: its samples are the first ones, and its shares are of
 * those. */
static void run_all(fl_production *run, fl_yielding *yielding)
{
    const double samples = (double)run->study->samples;
    const fl_sums *sums = &run->sums;
    bool done = is_done(sums), worked = false;
    fl_watch_clock clock;
    fl_checkpoint_clock(&clock);
    while (!done && !yielding->interrupted) {
        fl_production_round(run, fl_looks_next(&sums->looks, sums->total.samples));
        done = is_done(sums);
        worked = true;
        if (fl_study_stopped(run->study, "yield", (double)sums->total.samples / samples))
            yielding->interrupted = !done;
        if (!done && !yielding->interrupted && fl_checkpoint_due(&clock))
            save(run, yielding);
    }
    if (worked)
        save(run, yielding);
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
    if (status == FL_OK)
        status = fl_checkpoint_begin(&run, error);
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
