/** A lot: FL_LANES samples in a row, drawn and judged together by one thread. Private. */
#ifndef FL_STUDIES_LOT_H
#define FL_STUDIES_LOT_H

#include "studies/tally.h"

/** What all lots of a run share; everything is borrowed. */
typedef struct fl_lot_setup {
    const fl_study *study;
    const fl_margins *margins;
    const fl_sampler *sampler;
    const fl_counting *counting;
    const fl_vector *vector;
    const fl_block *block; /* NULL: every sample goes by itself */
} fl_lot_setup;

/** Makes the block of a setup: tries it on usual and on stretched draws about the nominal values.
 * *block is NULL when these are not physical. */
fl_status fl_lot_block(fl_block **block, const fl_lot_setup *setup, const double *nominal,
                       fl_error *error);

/** What one thread works with. */
typedef struct fl_lot {
    const fl_lot_setup *setup;
    fl_draw_lanes lanes;
    fl_block_work *block_work;
    fl_work *work;      /* of the scalar route */
    double *power;      /* [entry_count] */
    double *quantities; /* [quantity_count] of one sample */
    double *draws;      /* [draw_count] */
    fl_verdict verdict;
    fl_judged judged;
} fl_lot;

/** Release in any case. */
fl_status fl_lot_take(fl_lot *lot, const fl_lot_setup *setup, fl_arena *arena, fl_error *error);
void fl_lot_release(fl_lot *lot);

/** Judges quantities by the scalar route, into the verdict. */
void fl_lot_judge(fl_lot *lot, const double *quantities);

/**
 * Draws, judges and counts samples first to first + count - 1, at most FL_LANES.
 * @param kept [kept_count] the first samples of the run, which it fills as it meets them.
 */
void fl_lot_run(fl_lot *lot, fl_tally *tally, uint64_t first, size_t count, fl_kept *kept,
                size_t kept_count);

#endif
