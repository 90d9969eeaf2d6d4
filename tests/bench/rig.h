/** A design with all that its samples need, as the study of a yield has it; and the clock.
 *
 * For programs that measure: they stop at the first failure and are run by hand. */
#ifndef FL_TEST_BENCH_RIG_H
#define FL_TEST_BENCH_RIG_H

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "studies/lot.h"

/** Seconds of the processor that this program has taken. */
static inline double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static inline void stop_on(fl_status status, const fl_error *error)
{
    if (status == FL_OK)
        return;
    fprintf(stderr, "%s: %s\n", error->place, error->message);
    exit(3);
}

/** A design with all that its samples need. */
typedef struct rig {
    fl_design *design;
    fl_groundwork *plain, *fitted;
    fl_margins *margins;
    fl_sampler *sampler;
    fl_block *block;
    fl_arena arena;
    fl_study study;
    fl_counting counting;
    fl_lot_setup setup;
    fl_lot lot;
    fl_tally block_tally, total;
    fl_histogram histogram;
    double *nominal;
} rig;

static inline void rig_grid(rig *own)
{
    fl_error error;
    const fl_design *design = own->design;
    fl_grid *grids = fl_arena_take(&own->arena, design->band_count, sizeof *grids);
    for (size_t i = 0; i < design->band_count; i++) {
        double *frequencies = fl_arena_take(&own->arena, design->points, sizeof *frequencies);
        fl_band_grid(frequencies, &design->bands[i], design->points);
        grids[i] = (fl_grid){frequencies, design->points};
    }
    stop_on(fl_margins_new(&own->margins, design, own->fitted, grids, &error), &error);
}

/* A block that computes all frequencies of the grid. */
static inline fl_status rig_whole(rig *own, fl_error *error)
{
    const size_t count = own->design->quantity_count;
    double(*lanes)[FL_LANES] = fl_arena_take(&own->arena, count, sizeof *lanes);
    if (lanes == NULL)
        return fl_fail_memory(error);
    for (size_t i = 0; i < count; i++)
        for (size_t lane = 0; lane < FL_LANES; lane++)
            lanes[i][lane] = own->nominal[i];
    const fl_trials trials = {own->nominal, (const double(*)[FL_LANES])lanes, 1};
    return fl_block_new(&own->block, own->margins, own->setup.vector, &trials, true, error);
}

/** Width is that of the vectors; below zero, no frequency is interpolated. */
static inline void rig_open(rig *own, fl_design *design, int width)
{
    fl_error error;
    *own = (rig){.design = design};
    fl_arena_init(&own->arena);
    stop_on(fl_groundwork_new(&own->plain, design, &error), &error);
    own->nominal = fl_arena_take(&own->arena, design->quantity_count, sizeof *own->nominal);
    fl_design_start(design, own->nominal);
    const fl_vary vary = {.spreads = true, .quantities = own->nominal};
    stop_on(fl_groundwork_fit(&own->fitted, own->plain, &vary, &error), &error);
    fl_study_init(&own->study, design, own->fitted, NULL);
    rig_grid(own);
    stop_on(fl_sampler_new(&own->sampler, design, &error), &error);
    stop_on(
        fl_counting_take(&own->counting, &own->arena, design, own->nominal, own->margins, &error),
        &error);
    own->setup = (fl_lot_setup){.study = &own->study,
                                .margins = own->margins,
                                .sampler = own->sampler,
                                .counting = &own->counting,
                                .vector = fl_vector_of(abs(width))};
    stop_on(width < 0 ? rig_whole(own, &error)
                      : fl_lot_block(&own->block, &own->setup, own->nominal, &error),
            &error);
    own->setup.block = own->block;
    stop_on(fl_lot_take(&own->lot, &own->setup, &own->arena, &error), &error);
    stop_on(fl_tally_take(&own->block_tally, &own->arena, &own->counting, &error), &error);
    stop_on(fl_tally_take(&own->total, &own->arena, &own->counting, &error), &error);
    stop_on(fl_histogram_take(&own->histogram, &own->arena, &error), &error);
}

static inline void rig_close(rig *own)
{
    fl_lot_release(&own->lot);
    fl_block_free(own->block);
    fl_sampler_free(own->sampler);
    fl_margins_free(own->margins);
    fl_groundwork_free(own->fitted);
    fl_groundwork_free(own->plain);
    fl_arena_release(&own->arena);
}

#endif
