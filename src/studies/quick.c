/* A yield for a page that is turned by hand: counts alone, on one thread. */
#include <string.h>

#include "studies/lot.h"

/** A run; all is gone at its end. */
typedef struct batch {
    fl_arena arena;
    const fl_study *study;
    fl_margins *margins;
    fl_sampler *sampler;
    fl_counting counting;
    fl_block *block;
    fl_lot_setup setup;
    fl_lot lot;
    fl_tally tally;
} batch;

/* The design's own points, as in any yield. */
static fl_status make_margins(batch *run, fl_error *error)
{
    const fl_design *design = run->study->design;
    const fl_grid *grids = fl_band_grids(&run->arena, design, design->points);
    if (!grids)
        return fl_fail_memory(error);
    return fl_margins_new(&run->margins, design, run->study->groundwork, grids, error);
}

/* Tried anew for each nominal: a slider may have gone far. */
static fl_status make_lot(batch *run, const double *nominal, fl_error *error)
{
    run->setup = (fl_lot_setup){.study = run->study,
                                .margins = run->margins,
                                .sampler = run->sampler,
                                .counting = &run->counting,
                                .vector = fl_vector_widest()};
    fl_status status = fl_lot_block(&run->block, &run->setup, nominal, error);
    run->setup.block = run->block;
    if (status == FL_OK)
        status = fl_lot_take(&run->lot, &run->setup, &run->arena, error);
    return status;
}

/* In this order: each needs those before it. */
static fl_status make(batch *run, const double *nominal, fl_error *error)
{
    const fl_design *design = run->study->design;
    fl_status status = make_margins(run, error);
    if (status == FL_OK)
        status = fl_sampler_new(&run->sampler, design, error);
    if (status == FL_OK)
        status =
            fl_counting_take(&run->counting, &run->arena, design, nominal, run->margins, error);
    if (status == FL_OK)
        status = make_lot(run, nominal, error);
    if (status == FL_OK)
        status = fl_tally_take(&run->tally, &run->arena, &run->counting, error);
    return status;
}

/* Also of a batch that was not made whole. */
static void release(batch *run)
{
    fl_lot_release(&run->lot);
    fl_block_free(run->block);
    fl_sampler_free(run->sampler);
    fl_margins_free(run->margins);
    fl_arena_release(&run->arena);
}

/* Of those not physical: which were drawn where no fit is good. */
static uint64_t count_outside(const batch *run, size_t count)
{
    uint64_t outside = 0;
    for (size_t i = 0; i < count; i++) {
        if ((run->lot.judged.physical >> i & 1) != 0)
            continue;
        for (size_t k = 0; k < run->study->design->quantity_count; k++)
            run->lot.quantities[k] = run->lot.lanes.quantities[k][i];
        outside += !fl_groundwork_covers(run->study->groundwork, run->lot.quantities);
    }
    return outside;
}

/* A tally holds the figures of one block of samples at most. */
static void run_all(batch *run, fl_quick *quick)
{
    const uint64_t samples = run->study->samples;
    for (uint64_t at = 0; at < samples; at += FL_LANES) {
        const size_t count = samples - at < FL_LANES ? (size_t)(samples - at) : FL_LANES;
        fl_tally_clear(&run->tally, &run->counting);
        fl_lot_run(&run->lot, &run->tally, at, count, NULL, 0);
        quick->samples += run->tally.samples;
        quick->passed += run->tally.passed;
        quick->not_physical += run->tally.not_physical;
        for (size_t i = 0; i < run->study->design->case_count; i++)
            quick->case_passed[i] += run->tally.case_passed[i];
        if (run->tally.not_physical > 0)
            quick->outside += count_outside(run, count);
    }
}

/* Nothing is kept between two calls: they are far apart, and memory is the browser's. */
fl_status fl_quick_run(fl_quick *quick, const fl_study *study, const double *nominal,
                       fl_error *error)
{
    const fl_design *design = study->design;
    batch run = {.study = study};
    fl_arena_init(&run.arena);
    const fl_status status = make(&run, nominal, error);
    if (status == FL_OK) {
        memset(quick->case_passed, 0, design->case_count * sizeof *quick->case_passed);
        *quick = (fl_quick){.case_passed = quick->case_passed};
        run_all(&run, quick);
        quick->estimate = quick->samples > 0 ? (double)quick->passed / (double)quick->samples : 0.0;
        fl_interval_exact(&quick->low, &quick->high, quick->passed, quick->samples,
                          design->confidence);
    }
    release(&run);
    return status;
}
