/** What the files of this folder know of the margins. Private. */
#ifndef FL_RESPONSE_MARGINS_H
#define FL_RESPONSE_MARGINS_H

#include "response/sweep.h"

/** A run and where its powers come from. */
typedef struct fl_run_source {
    size_t sweep;
    size_t first_like; /* first run that asks the same of the same sweep; itself if none does */
    bool reflected;
    int port; /* reflected: the driven port */
} fl_run_source;

/** Sweeps are by case and band, runs by case and requirement: requirements over one band share a
 * sweep, and marches with it. */
struct fl_margins {
    const fl_design *design;
    fl_sweep **sweeps; /* [case_count][band_count], NULL where no requirement asks */
    size_t sweep_count;
    bool *driven; /* [sweep_count][FL_PORTS] ports to march to */
    fl_run *runs;
    fl_run_source *sources;
    size_t run_count;
    size_t entry_count;
};

#endif
