/**
 * A Monte Carlo run as it goes: samples in blocks of fixed places, each made by any thread, their
 * sums added in the order of blocks. Private to studies/.
 */
#ifndef FL_STUDIES_PRODUCTION_H
#define FL_STUDIES_PRODUCTION_H

#include "studies/lot.h"

/** Blocks of a round, after which progress is asked: enough to keep many threads busy. */
enum { FL_ROUND_BLOCKS = 32 };

/** A run; all but the kept samples is gone at its end. */
typedef struct fl_production {
    fl_arena arena;
    const fl_study *study;
    fl_margins *margins;
    fl_sampler *sampler;
    fl_counting counting;
    fl_block *block;
    fl_lot_setup setup;
    fl_lot *lots; /* [lot_count], one a thread */
    size_t lot_count;
    fl_tally blocks[FL_ROUND_BLOCKS];
    fl_sums sums;  /* of the samples so far, the first ones */
    fl_kept *kept; /* [kept_count] the first samples; the yielding's */
    size_t kept_count;
} fl_production;

/** Makes all that a run needs; run is zeroed but for its study. Release in any case. */
fl_status fl_production_make(fl_production *run, fl_yielding *yielding, const double *nominal,
                             fl_error *error);
void fl_production_release(fl_production *run);

/** Goes on by a round, not beyond end samples in all, which is a look or the end of the run. */
void fl_production_round(fl_production *run, uint64_t end);

#endif
