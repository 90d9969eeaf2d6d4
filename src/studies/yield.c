/* Monte Carlo yield: rounds of blocks of samples, drawn and judged on all threads. */
#include <math.h>
#include <omp.h>

#include "studies/lot.h"

/* Blocks between two questions for progress; enough to keep many threads busy. */
enum { ROUND_BLOCKS = 32 };

/** A run; all but the kept samples is gone at its end. */
typedef struct production {
    fl_arena arena;
    const fl_study *study;
    fl_margins *margins;
    fl_sampler *sampler;
    fl_counting counting;
    fl_block *block;
    fl_lot_setup setup;
    fl_lot *lots; /* [lot_count], one a thread */
    size_t lot_count;
    fl_tally blocks[ROUND_BLOCKS];
    fl_tally total;
    fl_histogram histogram;
    fl_kept *kept; /* [kept_count] the first samples; the yielding's */
    size_t kept_count;
} production;

/* Samples are judged on the design's own points: a search between them for each would cost many
 * times more. */
static fl_status make_margins(production *run, fl_error *error)
{
    const fl_design *design = run->study->design;
    fl_grid *grids = fl_arena_take(&run->arena, design->band_count, sizeof *grids);
    if (!grids)
        return fl_fail_memory(error);
    for (size_t i = 0; i < design->band_count; i++) {
        double *frequencies = fl_arena_take(&run->arena, design->points, sizeof *frequencies);
        if (!frequencies)
            return fl_fail_memory(error);
        fl_band_grid(frequencies, &design->bands[i], design->points);
        grids[i] = (fl_grid){frequencies, design->points};
    }
    return fl_margins_new(&run->margins, design, run->study->groundwork, grids, error);
}

/* Each thread writes to memory of its own, taken before the samples begin. More threads than blocks
 * of a round would have nothing to do. */
static fl_status make_lots(production *run, fl_error *error)
{
    size_t count = (size_t)run->study->threads;
    count = count < ROUND_BLOCKS ? count : ROUND_BLOCKS;
    run->lots = fl_arena_take(&run->arena, count, sizeof *run->lots);
    if (!run->lots)
        return fl_fail_memory(error);
    fl_status status = FL_OK;
    while (run->lot_count < count && status == FL_OK)
        status = fl_lot_take(&run->lots[run->lot_count++], &run->setup, &run->arena, error);
    return status;
}

/* The block is tried about the nominal values of this study. */
static fl_status make_setup(production *run, const double *nominal, fl_error *error)
{
    run->setup = (fl_lot_setup){.study = run->study,
                                .margins = run->margins,
                                .sampler = run->sampler,
                                .counting = &run->counting,
                                .vector = fl_vector_widest()};
    const fl_status status = fl_lot_block(&run->block, &run->setup, nominal, error);
    run->setup.block = run->block;
    return status;
}

/* One tally a block of a round, so that a block's sums wait until it is their turn to be merged. */
static fl_status make_tallies(production *run, fl_error *error)
{
    fl_status status = fl_tally_take(&run->total, &run->arena, &run->counting, error);
    for (size_t i = 0; i < ROUND_BLOCKS && status == FL_OK; i++)
        status = fl_tally_take(&run->blocks[i], &run->arena, &run->counting, error);
    return status == FL_OK ? fl_histogram_take(&run->histogram, &run->arena, error) : status;
}

/* Kept samples outlive the run: they are in the yielding's arena. Each thread writes its own of
 * them. */
static fl_status make_kept(production *run, fl_yielding *yielding, fl_error *error)
{
    const fl_study *study = run->study;
    size_t cases = study->design->case_count;
    size_t count = study->kept < study->samples ? study->kept : (size_t)study->samples;
    run->kept = fl_arena_take(&yielding->arena, count, sizeof *run->kept);
    if (!run->kept)
        return fl_fail_memory(error);
    for (size_t i = 0; i < count; i++) {
        fl_kept *own = &run->kept[i];
        own->quantities =
            fl_arena_take(&yielding->arena, study->design->quantity_count, sizeof *own->quantities);
        own->return_loss_db = fl_arena_take(&yielding->arena, cases, sizeof *own->return_loss_db);
        own->margin_db = fl_arena_take(&yielding->arena, cases, sizeof *own->margin_db);
        if (!own->quantities || !own->return_loss_db || !own->margin_db)
            return fl_fail_memory(error);
    }
    run->kept_count = count;
    return FL_OK;
}

/* Figures are summed from that of the nominal values, so that small changes keep their digits. */
static void find_base(production *run, const double *nominal)
{
    fl_lot *lot = &run->lots[0];
    fl_lot_judge(lot, nominal);
    run->counting.base_db = lot->verdict.physical ? lot->verdict.figure_db : 0.0;
}

/* In this order: lots and tallies are as large as margins and counting say, and the base needs a
 * lot. */
static fl_status make(production *run, fl_yielding *yielding, const double *nominal,
                      fl_error *error)
{
    const fl_design *design = run->study->design;
    fl_status status = make_margins(run, error);
    if (status == FL_OK)
        status = fl_sampler_new(&run->sampler, design, error);
    if (status == FL_OK)
        status =
            fl_counting_take(&run->counting, &run->arena, design, nominal, run->margins, error);
    if (status == FL_OK)
        status = make_setup(run, nominal, error);
    if (status == FL_OK)
        status = make_lots(run, error);
    if (status == FL_OK)
        status = make_tallies(run, error);
    if (status == FL_OK)
        status = make_kept(run, yielding, error);
    if (status == FL_OK)
        find_base(run, nominal);
    return status;
}

static void release(production *run)
{
    for (size_t i = 0; i < run->lot_count; i++)
        fl_lot_release(&run->lots[i]);
    fl_block_free(run->block);
    fl_sampler_free(run->sampler);
    fl_margins_free(run->margins);
    fl_arena_release(&run->arena);
}

/* One block, on one thread; no memory is taken, so nothing can fail. */
static void run_block(const production *run, fl_lot *lot, fl_tally *tally, uint64_t first,
                      uint64_t end)
{
    fl_tally_clear(tally, &run->counting);
    for (uint64_t at = first; at < end; at += FL_LANES)
        fl_lot_run(lot, tally, at, end - at < FL_LANES ? (size_t)(end - at) : FL_LANES, run->kept,
                   run->kept_count);
}

/* Samples first to end - 1; blocks are merged in their order, whoever made them. */
static void run_round(production *run, uint64_t first, uint64_t end)
{
    int blocks = (int)((end - first + FL_BLOCK_SAMPLES - 1) / FL_BLOCK_SAMPLES);
#pragma omp parallel for schedule(dynamic) num_threads((int)run->lot_count)
    for (int i = 0; i < blocks; i++) {
        uint64_t begin = first + (uint64_t)i * FL_BLOCK_SAMPLES;
        uint64_t rest = end - begin;
        run_block(run, &run->lots[omp_get_thread_num()], &run->blocks[i], begin,
                  begin + (rest < FL_BLOCK_SAMPLES ? rest : FL_BLOCK_SAMPLES));
    }
    for (int i = 0; i < blocks; i++) {
        const fl_tally *block = &run->blocks[i];
        for (uint64_t k = 0; k < block->samples; k++)
            fl_histogram_add(&run->histogram, block->figures_db[k]);
        fl_tally_merge(&run->total, block, &run->counting);
    }
}

/* An interrupted run is a shorter one: its samples are the first ones, and its shares are of
 * those. */
static void run_all(production *run, fl_yielding *yielding)
{
    const uint64_t round = (uint64_t)ROUND_BLOCKS * FL_BLOCK_SAMPLES;
    const uint64_t samples = run->study->samples;
    uint64_t done = 0;
    while (done < samples && !yielding->interrupted) {
        uint64_t step = samples - done < round ? samples - done : round;
        run_round(run, done, done + step);
        done += step;
        if (fl_study_stopped(run->study, "yield", (double)done / (double)samples))
            yielding->interrupted = done < samples;
    }
}

/* Results are made also when interrupted; kept samples beyond those drawn are cut off. */
fl_status fl_yielding_run(fl_yielding *yielding, const fl_study *study, const double *nominal,
                          fl_error *error)
{
    production run = {.study = study};
    *yielding = (fl_yielding){.seed = study->seed};
    fl_arena_init(&yielding->arena);
    fl_arena_init(&run.arena);
    fl_status status = make(&run, yielding, nominal, error);
    if (status != FL_OK)
        goto cleanup;
    run_all(&run, yielding);
    status = fl_outcome_fill(yielding, &run.counting, &run.total, &run.histogram, error);
    yielding->kept = run.kept;
    yielding->kept_count =
        run.kept_count < run.total.samples ? run.kept_count : (size_t)run.total.samples;
cleanup:
    release(&run);
    return status;
}

void fl_yielding_release(fl_yielding *yielding)
{
    fl_arena_release(&yielding->arena);
    yielding->kept_count = yielding->percentile_count = yielding->curve_count = 0;
    yielding->failure_count = yielding->shift_count = 0;
}
