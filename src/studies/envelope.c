/* Production envelope: what share of the parts has no more than a loss, frequency by frequency. */
#include <math.h>
#include <omp.h>
#include <stdlib.h>

#include "studies/studies.h"

/* Most samples of an envelope; fewer, but not under the least, when cases and frequencies would
 * make more losses than this at once. */
enum { MOST_SAMPLES = 2048, LEAST_SAMPLES = 256, MOST_LOSSES = 1 << 20 };

/* Samples between two questions for progress, and the most threads that these keep busy. */
enum { STEP = 256, MOST_THREADS = 32 };

/* Both losses, in the order of the runs of a case. */
enum { LOSSES = 2 };

static const unsigned PERCENTS[FL_ENVELOPE_PERCENTS] = FL_ENVELOPE_LIST;

/* What one thread draws and computes with. */
typedef struct worker {
    fl_work *work;
    double *quantities, *draws, *power;
} worker;

/* An envelope being made. */
typedef struct forge {
    fl_arena arena;
    const fl_study *study;
    const double *nominal;
    fl_design design; /* the study's, but for what is required */
    fl_requirement asked[LOSSES];
    fl_margins *margins;
    fl_sampler *sampler;
    worker *workers;
    size_t worker_count;
    size_t entries, samples;
    double *losses; /* [entries][samples] dB; NAN of samples that are not physical */
} forge;

/* The same cases and bands, asked for both losses: limits do not matter. */
static fl_status make_margins(forge *own, const fl_grid *grid, int port, fl_error *error)
{
    own->asked[0] = (fl_requirement){.asked = FL_RETURN_LOSS, .port = port, .weight = 1.0};
    own->asked[1] = (fl_requirement){.asked = FL_INSERTION_LOSS, .weight = 1.0};
    own->design = *own->study->design;
    own->design.requirements = own->asked;
    own->design.requirement_count = LOSSES;
    own->design.band_count = 1;
    const fl_status status =
        fl_margins_new(&own->margins, &own->design, own->study->groundwork, grid, error);
    if (status == FL_OK)
        own->entries = fl_margins_entry_count(own->margins);
    return status;
}

/* Never more than the study has. */
static size_t sample_count(const forge *own)
{
    const uint64_t asked = own->study->samples;
    size_t most = MOST_LOSSES / own->entries;
    most = most < MOST_SAMPLES ? most : MOST_SAMPLES;
    most = most > LEAST_SAMPLES ? most : LEAST_SAMPLES;
    return asked < most ? (size_t)asked : most;
}

/* Memory of a thread, so that no sample can fail for want of it. */
static fl_status take_worker(worker *to, forge *own, fl_error *error)
{
    to->quantities = fl_arena_take(&own->arena, own->design.quantity_count, sizeof *to->quantities);
    to->draws = fl_arena_take(&own->arena, own->design.draw_count, sizeof *to->draws);
    to->power = fl_arena_take(&own->arena, own->entries, sizeof *to->power);
    if (!to->quantities || !to->draws || !to->power)
        return fl_fail_memory(error);
    return fl_work_new(&to->work, own->margins, error);
}

static fl_status take_all(forge *own, fl_error *error)
{
    const size_t asked = (size_t)own->study->threads;
    const size_t count = asked < MOST_THREADS ? asked : MOST_THREADS;
    own->samples = sample_count(own);
    own->workers = fl_arena_take(&own->arena, count, sizeof *own->workers);
    own->losses = fl_arena_take(&own->arena, own->entries, own->samples * sizeof *own->losses);
    if (!own->workers || !own->losses)
        return fl_fail_memory(error);
    fl_status status = FL_OK;
    while (status == FL_OK && own->worker_count < count)
        status = take_worker(&own->workers[own->worker_count++], own, error);
    return status;
}

static void release(forge *own)
{
    for (size_t i = 0; i < own->worker_count; i++)
        fl_work_free(own->workers[i].work);
    fl_sampler_free(own->sampler);
    fl_margins_free(own->margins);
    fl_arena_release(&own->arena);
}

/* The sample of that number in any study with this seed, but for a plan of wafers, that would take
 * all samples from the first wafer or two, and for points made even as a whole. */
static void draw(const forge *own, worker *by, size_t sample)
{
    fl_sampler_draw(own->sampler, own->study->seed, sample, own->nominal, by->quantities,
                    by->draws);
    const bool physical = fl_margins_power(own->margins, by->work, by->quantities, by->power);
    for (size_t i = 0; i < own->entries; i++)
        own->losses[i * own->samples + sample] = physical ? fl_loss_db(by->power[i]) : (double)NAN;
}

/* Each sample has a place of its own, so that threads need no order. False when asked to stop. */
static bool draw_all(forge *own)
{
    for (size_t first = 0; first < own->samples; first += STEP) {
        const size_t rest = own->samples - first, count = rest < STEP ? rest : STEP;
#pragma omp parallel for schedule(static) num_threads((int)own->worker_count)
        for (size_t i = 0; i < count; i++)
            draw(own, &own->workers[omp_get_thread_num()], first + i);
        const size_t done = first + count;
        if (fl_study_stopped(own->study, "envelope", (double)done / (double)own->samples))
            return false;
    }
    return true;
}

static int by_value(const void *left, const void *right)
{
    const double a = *(const double *)left, b = *(const double *)right;
    return (a > b) - (a < b);
}

/* Moves the losses that are known to the front; returns their number. */
static size_t gather(double *losses, size_t count)
{
    size_t known = 0;
    for (size_t i = 0; i < count; i++)
        if (!isnan(losses[i]))
            losses[known++] = losses[i];
    return known;
}

/* By rank, as the percentiles of a yield: the smallest value that so many samples do not exceed. */
static void rank(const forge *own, double *values, size_t entry, size_t stride)
{
    double *losses = own->losses + entry * own->samples;
    const size_t known = gather(losses, own->samples);
    qsort(losses, known, sizeof *losses, by_value);
    for (size_t p = 0; p < FL_ENVELOPE_PERCENTS; p++) {
        const size_t at = (known * PERCENTS[p] + 99) / 100;
        values[p * stride] = losses[at > 0 ? at - 1 : 0];
    }
}

/* Runs go by case, then loss; each becomes a row a percent. */
static fl_status rank_all(fl_envelope *envelope, const forge *own, fl_error *error)
{
    size_t run_count = 0;
    const fl_run *runs = fl_margins_runs(own->margins, &run_count);
    const size_t points = runs[0].count, block = FL_ENVELOPE_PERCENTS * points;
    double *values = fl_arena_take(&envelope->arena, run_count, block * sizeof *values);
    if (!values)
        return fl_fail_memory(error);
#pragma omp parallel for schedule(static) num_threads((int)own->worker_count)
    for (size_t i = 0; i < own->entries; i++)
        rank(own, values + i / points * block + i % points, i, points);
    envelope->values = values;
    envelope->points = points;
    return FL_OK;
}

/* Samples that are not physical are so at every frequency. */
static size_t known_samples(const forge *own)
{
    size_t known = 0;
    for (size_t i = 0; i < own->samples; i++)
        known += isnan(own->losses[i]) ? 0 : 1;
    return known;
}

fl_status fl_envelope_run(fl_envelope *envelope, const fl_study *study, const double *nominal,
                          const fl_grid *grid, int port, fl_error *error)
{
    forge own = {.study = study, .nominal = nominal};
    *envelope = (fl_envelope){.samples = 0};
    fl_arena_init(&envelope->arena);
    fl_arena_init(&own.arena);
    fl_status status = make_margins(&own, grid, port, error);
    if (status == FL_OK)
        status = fl_sampler_new(&own.sampler, study->design, error);
    if (status == FL_OK)
        status = take_all(&own, error);
    if (status != FL_OK)
        goto cleanup;
    envelope->interrupted = !draw_all(&own);
    const size_t known = envelope->interrupted ? 0 : known_samples(&own);
    if (known > 0)
        status = rank_all(envelope, &own, error);
    if (status == FL_OK)
        envelope->samples = known;
cleanup:
    release(&own);
    return status;
}

void fl_envelope_release(fl_envelope *envelope)
{
    fl_arena_release(&envelope->arena);
    envelope->samples = 0;
}
