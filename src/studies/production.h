/**
 * A Monte Carlo run as it goes: samples in blocks of fixed places, each made by any thread, their
 * sums added in the order of blocks. Private to studies/.
 */
#ifndef FL_STUDIES_PRODUCTION_H
#define FL_STUDIES_PRODUCTION_H

#include "studies/lot.h"

/** Blocks of a round, after which progress is asked: enough to keep many threads busy, and to make
 * waiting for the last of them short beside the rest. */
enum { FL_ROUND_BLOCKS = 64 };
#define FL_ROUND_SAMPLES ((uint64_t)FL_ROUND_BLOCKS * FL_BLOCK_SAMPLES)

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
    fl_tally round;   /* their sum */
    fl_sums sums;     /* of the samples so far, the first ones */
    fl_sums own;      /* of several ranks: what this one counted of them */
    void *pieces;     /* [ranks] sums of a round of each, handed round */
    uint64_t *counts; /* all that is counted, on its way to be added up */
    fl_kept *kept;    /* [kept_count] the first samples; the yielding's */
    size_t kept_count;
} fl_production;

/** Makes all that a run needs; run is zeroed but for its study. Release in any case. */
fl_status fl_production_make(fl_production *run, fl_yielding *yielding, const double *nominal,
                             fl_error *error);
void fl_production_release(fl_production *run);

/**
 * Goes on by a round of every rank, not beyond end samples in all, which is a look or the end of
 * the run. What is counted is then true only of one rank that is alone: see fl_production_settle.
 * FL_FAULT when a rank was lost.
 */
fl_status fl_production_round(fl_production *run, uint64_t end, fl_error *error);

/* ---- settle.c: what ranks do apart, brought together ---- */

/** Room for what is handed round. */
fl_status fl_production_take_pieces(fl_production *run, fl_error *error);

/** Hands round the sums of the round and adds those of all ranks in their order. */
fl_status fl_production_hand_round(fl_production *run, fl_error *error);

/** After the sums were read from a checkpoint: what they count is the first rank's. */
void fl_production_resume(fl_production *run);

/** Brings all counts up to date, before a look at them; every rank does. */
fl_status fl_production_settle(fl_production *run, fl_error *error);

#endif
