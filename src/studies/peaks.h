/** Local worsts over the continuous bands (peaks.c). Private. */
#ifndef FL_STUDIES_PEAKS_H
#define FL_STUDIES_PEAKS_H

#include "studies/studies.h"

/** One local worst of a run over the continuous band. */
typedef struct fl_peak {
    size_t run; /* in the order of fl_margins_runs */
    size_t band;
    double frequency; /* Hz */
    double power;
    double margin_db; /* weighted */
} fl_peak;

typedef struct fl_peak_list {
    fl_peak *peaks; /* in order of run, then frequency */
    size_t count;
    size_t run_count;
} fl_peak_list;

/** All local worsts of each run that are near its worst one. Errors as fl_peaks_find. */
fl_status fl_peak_list_find(fl_peak_list *list, const fl_study *study, const double *quantities,
                            fl_error *error);
void fl_peak_list_release(fl_peak_list *list);

#endif
