/* A Monte Carlo run: rounds of blocks of samples, drawn and judged on all threads. */
#include "studies/production.h"

#include <omp.h>

/* Samples are judged on the design's own points: a search between them for each would cost many
 * times more. */
static fl_status make_margins(fl_production *run, fl_error *error)
{
    const fl_design *design = run->study->design;
    const fl_grid *grids = fl_band_grids(&run->arena, design, design->points);
    if (!grids)
        return fl_fail_memory(error);
    return fl_margins_new(&run->margins, design, run->study->groundwork, grids, error);
}

/* Each thread writes to memory of its own, taken before the samples begin. More threads than blocks
 * of a round would have nothing to do. */
static fl_status make_lots(fl_production *run, fl_error *error)
{
    size_t count = (size_t)run->study->threads;
    count = count < FL_ROUND_BLOCKS ? count : FL_ROUND_BLOCKS;
    run->lots = fl_arena_take(&run->arena, count, sizeof *run->lots);
    if (!run->lots)
        return fl_fail_memory(error);
    fl_status status = FL_OK;
    while (run->lot_count < count && status == FL_OK)
        status = fl_lot_take(&run->lots[run->lot_count++], &run->setup, &run->arena, error);
    return status;
}

/* The block is tried about the nominal values of this study. */
static fl_status make_setup(fl_production *run, const double *nominal, fl_error *error)
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

/* Sums of all samples, or of those that are this rank's. */
static fl_status take_sums(fl_sums *sums, fl_production *run, fl_error *error)
{
    fl_status status = fl_wafers_take(&sums->wafers, &run->arena, run->study, error);
    run->counting.dice = sums->wafers.plan.dice;
    if (status == FL_OK)
        status = fl_tally_take(&sums->total, &run->arena, &run->counting, error);
    return status == FL_OK ? fl_histogram_take(&sums->histogram, &run->arena, error) : status;
}

/* One tally a block of a round, so that a block's sums wait until it is their turn to be merged. */
static fl_status make_sums(fl_production *run, fl_error *error)
{
    fl_looks_plan(&run->sums.looks, run->study);
    fl_status status = take_sums(&run->sums, run, error);
    for (size_t i = 0; i < FL_ROUND_BLOCKS && status == FL_OK; i++)
        status = fl_tally_take(&run->blocks[i], &run->arena, &run->counting, error);
    if (status == FL_OK)
        status = fl_tally_take(&run->round, &run->arena, &run->counting, error);
    if (status == FL_OK && fl_study_ranks(run->study) > 1)
        status = take_sums(&run->own, run, error);
    return status == FL_OK ? fl_production_take_pieces(run, error) : status;
}

/* Kept samples outlive the run: they are in the yielding's arena. Each thread writes its own of
 * them. */
static fl_status make_kept(fl_production *run, fl_yielding *yielding, fl_error *error)
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
static void find_base(fl_production *run, const double *nominal)
{
    fl_lot *lot = &run->lots[0];
    fl_lot_judge(lot, nominal);
    run->counting.base_db = lot->verdict.physical ? lot->verdict.figure_db : 0.0;
}

/* In this order: lots and tallies are as large as margins and counting say, and the base needs a
 * lot. */
fl_status fl_production_make(fl_production *run, fl_yielding *yielding, const double *nominal,
                             fl_error *error)
{
    const fl_design *design = run->study->design;
    fl_status status = make_margins(run, error);
    if (status == FL_OK)
        status = fl_sampler_new(&run->sampler, design, error);
    if (status == FL_OK)
        fl_sampler_follow(run->sampler, &run->study->plan);
    if (status == FL_OK)
        status = fl_sampler_even(run->sampler, run->study, error);
    if (status == FL_OK)
        status =
            fl_counting_take(&run->counting, &run->arena, design, nominal, run->margins, error);
    if (status == FL_OK)
        status = make_setup(run, nominal, error);
    if (status == FL_OK)
        status = make_lots(run, error);
    if (status == FL_OK)
        status = make_sums(run, error);
    if (status == FL_OK)
        status = make_kept(run, yielding, error);
    if (status == FL_OK)
        find_base(run, nominal);
    return status;
}

/* Also of a run that was not made whole; what it kept is the yielding's. */
void fl_production_release(fl_production *run)
{
    for (size_t i = 0; i < run->lot_count; i++)
        fl_lot_release(&run->lots[i]);
    fl_block_free(run->block);
    fl_sampler_free(run->sampler);
    fl_margins_free(run->margins);
    fl_arena_release(&run->arena);
}

/* One block, on one thread; no memory is taken, so nothing can fail. */
static void run_block(const fl_production *run, fl_lot *lot, fl_tally *tally, uint64_t first,
                      uint64_t end)
{
    fl_tally_begin(tally, &run->counting, first);
    for (uint64_t at = first; at < end; at += FL_LANES)
        fl_lot_run(lot, tally, at, end - at < FL_LANES ? (size_t)(end - at) : FL_LANES, run->kept,
                   run->kept_count);
}

/* Samples first to last - 1 into the blocks; returns how many blocks. */
static int run_blocks(fl_production *run, uint64_t first, uint64_t last)
{
    const int blocks = (int)((last - first + FL_BLOCK_SAMPLES - 1) / FL_BLOCK_SAMPLES);
#pragma omp parallel for schedule(dynamic) num_threads((int)run->lot_count)
    for (int i = 0; i < blocks; i++) {
        const uint64_t begin = first + (uint64_t)i * FL_BLOCK_SAMPLES;
        const uint64_t rest = last - begin;
        run_block(run, &run->lots[omp_get_thread_num()], &run->blocks[i], begin,
                  begin + (rest < FL_BLOCK_SAMPLES ? rest : FL_BLOCK_SAMPLES));
    }
    return blocks;
}

/* Blocks are added in their order, whoever made them. The histogram is one for all: as one a block
 * it would be larger than all else. */
static void add_blocks(fl_production *run, fl_sums *own, int blocks)
{
    fl_tally_clear(&run->round, &run->counting);
    for (int i = 0; i < blocks; i++) {
        const fl_tally *block = &run->blocks[i];
        fl_histogram_add(&own->histogram, block->figures_db, (size_t)block->samples);
        fl_wafers_add(&own->wafers, block);
        fl_tally_merge(&run->round, block, &run->counting);
    }
}

/* The rounds of the ranks lie behind one another. Kept samples are made in every rank: they are
 * few, and too much to hand round. */
static fl_status run_shared(fl_production *run, uint64_t first, uint64_t last, fl_error *error)
{
    const size_t rank = fl_study_rank(run->study), ranks = fl_study_ranks(run->study);
    int blocks = 0;
    for (size_t i = 1; i <= ranks; i++) {
        const size_t whose = (rank + i) % ranks; /* its own round last: its blocks are counted */
        const uint64_t begin = first + whose * FL_ROUND_SAMPLES;
        const uint64_t end = last < begin + FL_ROUND_SAMPLES ? last : begin + FL_ROUND_SAMPLES;
        if (begin < last && (whose == rank || begin < run->kept_count))
            blocks = run_blocks(run, begin, end);
        if (whose == rank && begin >= last)
            blocks = 0;
    }
    add_blocks(run, &run->own, blocks);
    fl_tally_merge_counts(&run->own.total, &run->round, &run->counting);
    run->sums.total.samples = last;
    return fl_production_hand_round(run, error);
}

/* Blocks and rounds begin at multiples of their length, from the start or from a look on, whatever
 * was asked for before: their sums, and the sums of these, are then the same however a run was
 * interrupted and among however many it is shared. */
fl_status fl_production_round(fl_production *run, uint64_t end, fl_error *error)
{
    const uint64_t first = run->sums.total.samples;
    const uint64_t most = FL_ROUND_SAMPLES * fl_study_ranks(run->study);
    const uint64_t last = end - first < most ? end : first + most;
    if (run->study->ranks != NULL)
        return run_shared(run, first, last, error);
    add_blocks(run, &run->sums, run_blocks(run, first, last));
    fl_tally_merge(&run->sums.total, &run->round, &run->counting);
    return FL_OK;
}
