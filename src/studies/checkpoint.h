/**
 * Checkpoints: all that a Monte Carlo run has counted so far, in a file, so that it can go on from
 * there later. Private to studies/.
 *
 * The file holds what tells the run apart from any other, then the sums as they are in memory, then
 * a checksum. It is for the machine and the version that wrote it, and no place to keep data.
 */
#ifndef FL_STUDIES_CHECKPOINT_H
#define FL_STUDIES_CHECKPOINT_H

#include "studies/production.h"

/** When the next one is due. */
typedef struct fl_watch_clock {
    double due, wait; /* s */
} fl_watch_clock;

/**
 * Before the first sample of a run with a checkpoint: goes on from the file if it shall, or writes
 * a first one, so that a place where none can be written is known before the work.
 * @return FL_OK; FL_BAD_INPUT for a file that may not be overwritten, is damaged, or is of another
 *         run; FL_IO; FL_NO_MEMORY; FL_FAULT when a rank was lost. The run is unchanged on failure.
 */
fl_status fl_checkpoint_begin(fl_production *run, fl_error *error);

/** Writes the run as it is, its counts settled; of several ranks the first one does. */
fl_status fl_checkpoint_write(const fl_production *run, fl_error *error);

/** Sets the clock: due after a second, then at growing times, up to a minute. */
void fl_checkpoint_clock(fl_watch_clock *clock);

/** Whether a checkpoint is due, in the opinion of the first rank; the clock is then set for the
 * next. FL_FAULT when a rank was lost. */
fl_status fl_checkpoint_due(bool *due, const fl_production *run, fl_watch_clock *clock,
                            fl_error *error);

#endif
