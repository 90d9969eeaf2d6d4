/* Samples drawn and judged many at a time; those on the edge of a limit again, one by one. */
#include "studies/lot.h"

#include <string.h>

#include "base/random.h"

/* Trials of a block: nominal, usual samples, and samples whose draws are this much too large. */
enum { USUAL_TRIALS = 8, TRIALS = FL_LANES };
static const double stretch = 2.0;

/* Normal draws of a trial; they follow no seed, so that the block does not either. */
static void draw_trial(double *draws, size_t count, size_t trial)
{
    const double scale = trial == 0 ? 0.0 : trial <= USUAL_TRIALS ? 1.0 : stretch;
    for (size_t i = 0; i < count; i++)
        draws[i] = scale * fl_random_normal(0, trial, (uint32_t)i);
}

/* Trials are laid out as lots are: one a lane. */
fl_status fl_lot_block(fl_block **block, const fl_lot_setup *setup, const double *nominal,
                       fl_error *error)
{
    const fl_design *design = setup->study->design;
    fl_arena arena;
    fl_arena_init(&arena);
    double(*lanes)[FL_LANES] = fl_arena_take(&arena, design->quantity_count, sizeof *lanes);
    double *values = fl_arena_take(&arena, design->quantity_count, sizeof *values);
    double *draws = fl_arena_take(&arena, design->draw_count, sizeof *draws);
    fl_status status = FL_OK;
    if (lanes == NULL || values == NULL || draws == NULL) {
        status = fl_fail_memory(error);
        goto cleanup;
    }
    for (size_t trial = 0; trial < FL_LANES; trial++) {
        draw_trial(draws, design->draw_count, trial);
        fl_sampler_apply(setup->sampler, nominal, values, draws);
        for (size_t i = 0; i < design->quantity_count; i++)
            lanes[i][trial] = values[i];
    }
    const fl_trials trials = {nominal, (const double(*)[FL_LANES])lanes, TRIALS};
    status = fl_block_new(block, setup->margins, setup->vector, &trials, false, error);
cleanup:
    fl_arena_release(&arena);
    return status;
}

/* All that samples need is taken here, so that none of them can fail for memory. */
fl_status fl_lot_take(fl_lot *lot, const fl_lot_setup *setup, fl_arena *arena, fl_error *error)
{
    const fl_design *design = setup->study->design;
    const size_t entries = fl_margins_entry_count(setup->margins);
    *lot = (fl_lot){.setup = setup};
    lot->lanes.quantities =
        fl_arena_take(arena, design->quantity_count, sizeof *lot->lanes.quantities);
    lot->lanes.normals = fl_arena_take(arena, design->draw_count, sizeof *lot->lanes.normals);
    lot->lanes.uniforms = fl_arena_take(arena, design->draw_count, sizeof *lot->lanes.uniforms);
    lot->power = fl_arena_take(arena, entries, sizeof *lot->power);
    lot->quantities = fl_arena_take(arena, design->quantity_count, sizeof *lot->quantities);
    lot->draws = fl_arena_take(arena, design->draw_count, sizeof *lot->draws);
    if (lot->lanes.quantities == NULL || lot->lanes.normals == NULL ||
        lot->lanes.uniforms == NULL || lot->power == NULL || lot->quantities == NULL ||
        lot->draws == NULL)
        return fl_fail_memory(error);
    fl_status status = fl_verdict_take(&lot->verdict, arena, setup->counting, error);
    if (status == FL_OK)
        status = fl_work_new(&lot->work, setup->margins, error);
    if (status == FL_OK && setup->block != NULL)
        status = fl_block_work_new(&lot->block_work, setup->block, error);
    return status;
}

/* Rows and verdict are in the arena that the lot was taken from. */
void fl_lot_release(fl_lot *lot)
{
    fl_work_free(lot->work);
    fl_block_work_free(lot->block_work);
}

/* All points of the grid, for one sample. */
void fl_lot_judge(fl_lot *lot, const double *quantities)
{
    const bool physical = fl_margins_power(lot->setup->margins, lot->work, quantities, lot->power);
    fl_verdict_judge(&lot->verdict, lot->setup->counting, physical ? lot->power : NULL);
}

/* The scalar route of one sample, its draws and all. */
static void judge_again(fl_lot *lot, uint64_t sample)
{
    const fl_lot_setup *setup = lot->setup;
    fl_sampler_draw(setup->sampler, setup->study->seed, sample, setup->counting->nominal,
                    lot->quantities, lot->draws);
    fl_lot_judge(lot, lot->quantities);
}

/* A copy of what the next sample will write over; its quantities are drawn by themselves. */
static void keep(fl_kept *kept, fl_lot *lot, uint64_t sample)
{
    const fl_lot_setup *setup = lot->setup;
    const fl_design *design = setup->study->design;
    const fl_verdict *verdict = &lot->verdict;
    const size_t cases = design->case_count;
    fl_sampler_draw(setup->sampler, setup->study->seed, sample, setup->counting->nominal,
                    kept->quantities, lot->draws);
    memcpy(kept->return_loss_db, verdict->return_loss_db, cases * sizeof *kept->return_loss_db);
    memcpy(kept->margin_db, verdict->margin_db, cases * sizeof *kept->margin_db);
    kept->passed = verdict->passed;
}

/* Lanes that the block leaves, one by one. */
static void judge_rest(fl_lot *lot, fl_tally *tally, uint64_t first, uint64_t rest)
{
    for (; rest != 0; rest &= rest - 1) {
        const size_t lane = (size_t)__builtin_ctzll(rest);
        judge_again(lot, first + lane);
        fl_tally_add(tally, lot->setup->counting, &lot->verdict);
        fl_tally_mark(tally, lot->setup->counting, &lot->verdict, lane);
        lot->judged.figure_db[lane] = lot->verdict.figure_db;
        lot->judged.passed |= (uint64_t)lot->verdict.passed << lane;
        lot->judged.physical |= (uint64_t)lot->verdict.physical << lane;
    }
}

/* All lanes are drawn, counted or not: a lot does not depend on how many samples there are. */
void fl_lot_run(fl_lot *lot, fl_tally *tally, uint64_t first, size_t count, fl_kept *kept,
                size_t kept_count)
{
    const fl_lot_setup *setup = lot->setup;
    const fl_lane_worst *found = NULL;
    uint64_t rest = fl_first_lanes(count);
    const double(*quantities)[FL_LANES] = (const double(*)[FL_LANES])lot->lanes.quantities;
    fl_sampler_draw_lanes(setup->sampler, setup->vector, setup->study->seed, first,
                          setup->counting->nominal, &lot->lanes);
    lot->judged.passed = lot->judged.physical = 0;
    if (setup->block != NULL) {
        found = fl_block_worst(setup->block, lot->block_work, quantities);
        rest =
            fl_tally_add_lanes(tally, setup->counting, &lot->judged, setup->vector, found, count);
    }
    judge_rest(lot, tally, first, rest);
    fl_tally_add_rows(tally, setup->counting, &lot->judged, setup->vector, quantities, count);
    for (size_t i = 0; i < count && first + i < kept_count; i++) {
        if ((rest >> i & 1) != 0 ||
            !fl_verdict_judge_lane(&lot->verdict, setup->counting, found, i))
            judge_again(lot, first + i);
        keep(&kept[first + i], lot, first + i);
    }
}
