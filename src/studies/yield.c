/* Monte Carlo yield: rounds of blocks of samples, drawn and judged on all threads. */
#include <math.h>
#include <omp.h>
#include <string.h>

#include "studies/tally.h"

/* Blocks between two questions for progress; enough to keep many threads busy. */
enum { ROUND_BLOCKS = 32 };

/** What one thread writes to. */
typedef struct hand {
    fl_work *work;
    double *power;      /* [entry_count] */
    double *quantities; /* [quantity_count] */
    double *draws;      /* [draw_count] */
    fl_verdict verdict;
} hand;

/** A run; all but the kept samples is gone at its end. */
typedef struct production {
    fl_arena arena;
    const fl_study *study;
    fl_margins *margins;
    fl_sampler *sampler;
    fl_counting counting;
    hand *hands; /* [hand_count], one a thread */
    size_t hand_count;
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

/* Each thread writes to memory of its own, taken before the samples begin. */
static fl_status make_hand(hand *own, production *run, fl_error *error)
{
    const fl_design *design = run->study->design;
    fl_status status = fl_work_new(&own->work, run->margins, error);
    if (status != FL_OK)
        return status;
    size_t entries = fl_margins_entry_count(run->margins);
    own->power = fl_arena_take(&run->arena, entries, sizeof *own->power);
    own->quantities = fl_arena_take(&run->arena, design->quantity_count, sizeof *own->quantities);
    own->draws = fl_arena_take(&run->arena, design->draw_count, sizeof *own->draws);
    if (!own->power || !own->quantities || !own->draws)
        return fl_fail_memory(error);
    return fl_verdict_take(&own->verdict, &run->arena, &run->counting, error);
}

/* More threads than blocks of a round would have nothing to do. */
static fl_status make_hands(production *run, fl_error *error)
{
    size_t count = (size_t)run->study->threads;
    count = count < ROUND_BLOCKS ? count : ROUND_BLOCKS;
    run->hands = fl_arena_take(&run->arena, count, sizeof *run->hands);
    if (!run->hands)
        return fl_fail_memory(error);
    fl_status status = FL_OK;
    while (run->hand_count < count && status == FL_OK)
        status = make_hand(&run->hands[run->hand_count++], run, error);
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
    hand *own = &run->hands[0];
    bool physical = fl_margins_power(run->margins, own->work, nominal, own->power);
    fl_verdict_judge(&own->verdict, &run->counting, physical ? own->power : NULL);
    run->counting.base_db = physical ? own->verdict.figure_db : 0.0;
}

/* In this order: hands and tallies are as large as margins and counting say, and the base needs a
 * hand. */
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
        status = make_hands(run, error);
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
    for (size_t i = 0; i < run->hand_count; i++)
        fl_work_free(run->hands[i].work);
    fl_sampler_free(run->sampler);
    fl_margins_free(run->margins);
    fl_arena_release(&run->arena);
}

/* A copy of what the hand will write over with its next sample. */
static void keep(fl_kept *kept, const fl_design *design, const hand *own)
{
    const fl_verdict *verdict = &own->verdict;
    size_t cases = design->case_count;
    memcpy(kept->quantities, own->quantities, design->quantity_count * sizeof *kept->quantities);
    memcpy(kept->return_loss_db, verdict->return_loss_db, cases * sizeof *kept->return_loss_db);
    memcpy(kept->margin_db, verdict->margin_db, cases * sizeof *kept->margin_db);
    kept->passed = verdict->passed;
}

/* One block, on one thread; no memory is taken, so nothing can fail. */
static void run_block(const production *run, hand *own, fl_tally *tally, uint64_t first,
                      uint64_t end)
{
    fl_tally_clear(tally, &run->counting);
    for (uint64_t sample = first; sample < end; sample++) {
        fl_sampler_draw(run->sampler, run->study->seed, sample, run->counting.nominal,
                        own->quantities, own->draws);
        bool physical = fl_margins_power(run->margins, own->work, own->quantities, own->power);
        fl_verdict_judge(&own->verdict, &run->counting, physical ? own->power : NULL);
        fl_tally_add(tally, &run->counting, &own->verdict, own->quantities);
        if (sample < run->kept_count)
            keep(&run->kept[sample], run->study->design, own);
    }
}

/* Samples first to end - 1; blocks are merged in their order, whoever made them. */
static void run_round(production *run, uint64_t first, uint64_t end)
{
    int blocks = (int)((end - first + FL_BLOCK_SAMPLES - 1) / FL_BLOCK_SAMPLES);
#pragma omp parallel for schedule(dynamic) num_threads((int)run->hand_count)
    for (int i = 0; i < blocks; i++) {
        uint64_t begin = first + (uint64_t)i * FL_BLOCK_SAMPLES;
        uint64_t rest = end - begin;
        run_block(run, &run->hands[omp_get_thread_num()], &run->blocks[i], begin,
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
