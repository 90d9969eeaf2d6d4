/**
 * The live model: a design that travels without its files, to be turned by hand in a page.
 *
 * Written where the tool runs: the design, its measured data, and polynomial fits of all that
 * needs a solver, over the ranges of the sizes and about their spreads. Opened anywhere, also in a
 * browser (kernel.c): the same engine then answers, without solver, search and files.
 */
#ifndef FL_LIVE_LIVE_H
#define FL_LIVE_LIVE_H

#include "studies/studies.h"

/** Samples of a quick yield. */
enum { FL_LIVE_SAMPLES = 1000 };

/** Bytes begin with this, then come version, check sum of the rest, and the rest. */
#define FL_LIVE_MARK "fl-live\n"
enum { FL_LIVE_VERSION = 1 };

/**
 * A design as a live model, standing at quantities [quantity_count].
 *
 * @param[in] study its design, groundwork with the data files, and seed.
 * @param[in,out] bytes text that the model is added to, unchanged on failure.
 * @return FL_OK; FL_BAD_INPUT when a costly model cannot be fitted over the ranges;
 *         FL_NO_MEMORY.
 */
fl_status fl_live_write(fl_text *bytes, const fl_study *study, const double *quantities,
                        fl_error *error);

/** The engine for browsers [fl_live_kernel_length], packed by gzip, for src/page/live.js: made by
 * src/page/kernel.cmake. Length 0 where the compiler for it was not at hand. */
extern const unsigned char fl_live_kernel[];
extern const size_t fl_live_kernel_length;

typedef struct fl_live fl_live;

/**
 * Opens bytes, which may be any; they are not needed any more afterwards.
 * @param[out] live free with fl_live_free.
 * @return FL_OK; FL_BAD_INPUT when they are no live model, of another version, or damaged;
 *         FL_NO_MEMORY.
 */
fl_status fl_live_open(fl_live **live, const char *bytes, size_t length, fl_error *error);
void fl_live_free(fl_live *live);

/** Its design; without texts and places. */
const fl_design *fl_live_design(const fl_live *live);

/** Present values [quantity_count]. */
const double *fl_live_quantities(const fl_live *live);

/** Moves a size, kept within its range; other quantities and numbers that are none stay as they
 * are. Returns the value taken. */
double fl_live_set(fl_live *live, size_t quantity, double value);

/** All sizes as they were when the model was written. */
void fl_live_reset(fl_live *live);

/** Port of the return loss to look at: that of the first return loss required, else the board's. */
int fl_live_port(const fl_live *live);

/** Losses of a case; frequencies are given, rising; the others are results. All [count]. */
typedef struct fl_live_losses {
    size_t count;
    const double *frequencies;
    double *return_loss_db, *insertion_loss_db;
} fl_live_losses;

/** @return as fl_scatter_fill. */
fl_status fl_live_respond(const fl_live *live, fl_live_losses *losses, size_t case_index,
                          fl_error *error);

/** As fl_walk_fill at the present values, at a frequency above 0 Hz, against fl_walk_reference. */
fl_status fl_live_walk(const fl_live *live, fl_walk *walk, fl_arena *arena, size_t case_index,
                       fl_error *error);

/** As fl_peaks_find at the present values; release the peaks in any case. */
fl_status fl_live_peaks(const fl_live *live, fl_peaks *peaks, fl_error *error);

/** Yield about the present values, with the same draws at every call; its case_passed is the
 * model's own, good until the next. */
fl_status fl_live_produce(fl_live *live, fl_quick *quick, uint64_t samples, fl_error *error);

/** The design file with the present values as starts; as fl_design_with_starts. */
fl_status fl_live_save(const fl_live *live, char **text, size_t *length, fl_error *error);

#endif
