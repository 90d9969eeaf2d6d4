/** Yields where hardly a part fails: samples drawn near failure, and weighted. Private. */
#ifndef FL_STUDIES_RARE_H
#define FL_STUDIES_RARE_H

#include "studies/production.h"

/** Most points of failure that samples are drawn about. */
enum { FL_RARE_POINTS = 64 };

/** A point of failure nearest to the nominal values. */
typedef struct fl_rare_point {
    fl_failure_point is;
    double *draws; /* [draw_count] independent standard normal ones */
} fl_rare_point;

/** Points, nearest first; none when the nominal values fail themselves. */
typedef struct fl_rare_points {
    fl_rare_point items[FL_RARE_POINTS];
    size_t count;
} fl_rare_points;

/** Finds the points of every requirement of every case, in the low, middle and high third of its
 * band, with the first lot of a run; they are in its arena. Source: [Rackwitz1978]. */
fl_status fl_rare_find(fl_rare_points *points, fl_production *run, fl_error *error);

/** fl_yielding_run of a study that is rare. Each of several ranks does all of it. */
fl_status fl_rare_run(fl_yielding *yielding, const fl_study *study, const double *nominal,
                      fl_error *error);

#endif
