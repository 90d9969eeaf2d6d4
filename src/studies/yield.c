/* Monte Carlo yield: how far a run goes, and what comes of it. */
#include "studies/checkpoint.h"
#include "studies/rare.h"

/* Where a run may end: all samples, or a look at a precision that was asked for. */
static bool at_look(const fl_sums *sums)
{
    const uint64_t samples = sums->total.samples;
    if (samples >= sums->looks.most)
        return true;
    return sums->looks.precision > 0.0 && samples > 0 &&
           fl_looks_next(&sums->looks, samples - 1) == samples;
}

/* A run that was resumed may be done before it begins. */
static bool is_done(const fl_sums *sums)
{
    double low, high;
    if (!at_look(sums) || sums->total.samples >= sums->looks.most)
        return at_look(sums);
    fl_outcome_interval(&low, &high, sums);
    return 0.5 * (high - low) <= sums->looks.precision;
}

/* One that fails costs no result; the next may be written again. */
static fl_status save(fl_production *run, fl_yielding *yielding, fl_error *error)
{
    yielding->lost.status = FL_OK;
    if (run->study->checkpoint == NULL)
        return FL_OK;
    const fl_status status = fl_production_settle(run, error);
    if (status == FL_OK)
        fl_checkpoint_write(run, &yielding->lost);
    return status;
}

/* A round, and what has to follow it. */
static fl_status step(fl_production *run, fl_yielding *yielding, fl_watch_clock *clock, bool *done,
                      fl_error *error)
{
    const fl_sums *sums = &run->sums;
    const uint64_t look = fl_looks_next(&sums->looks, sums->total.samples);
    bool due = false;
    fl_status status = fl_production_round(run, look, error);
    if (status == FL_OK && at_look(sums))
        status = fl_production_settle(run, error);
    if (status != FL_OK)
        return status;
    *done = is_done(sums);
    const double share = (double)sums->total.samples / (double)run->study->samples;
    if (fl_study_stopped(run->study, "yield", share))
        yielding->interrupted = !*done;
    status = fl_checkpoint_due(&due, run, clock, error);
    return status == FL_OK && due && !*done && !yielding->interrupted ? save(run, yielding, error)
                                                                      : status;
}

/* An interrupted run is a shorter one: its samples are the first ones, and its shares are of
 * those. */
static fl_status run_all(fl_production *run, fl_yielding *yielding, fl_error *error)
{
    bool done = is_done(&run->sums), worked = false;
    fl_status status = FL_OK;
    fl_watch_clock clock;
    fl_checkpoint_clock(&clock);
    while (!done && !yielding->interrupted && status == FL_OK) {
        status = step(run, yielding, &clock, &done, error);
        worked = true;
    }
    return status == FL_OK && worked ? save(run, yielding, error) : status;
}

/* Results are made also when interrupted; kept samples beyond those drawn are cut off. */
fl_status fl_yielding_run(fl_yielding *yielding, const fl_study *study, const double *nominal,
                          fl_error *error)
{
    if (study->rare)
        return fl_rare_run(yielding, study, nominal, error);
    fl_production run = {.study = study};
    *yielding = (fl_yielding){.seed = study->seed};
    fl_arena_init(&yielding->arena);
    fl_arena_init(&run.arena);
    fl_status status = fl_production_make(&run, yielding, nominal, error);
    if (status == FL_OK)
        status = fl_checkpoint_begin(&run, error);
    if (status == FL_OK)
        status = run_all(&run, yielding, error);
    if (status != FL_OK)
        goto cleanup;
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
    yielding->failure_count = yielding->shift_count = yielding->rare.point_count = 0;
}
