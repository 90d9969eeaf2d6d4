/**
 * Points that fill the unit cube more evenly than random ones, in replicates that are randomised
 * independently of each other: each point is uniform, and how much the replicates differ tells how
 * far their mean may be off. Private to studies/.
 */
#ifndef FL_STUDIES_POINTS_H
#define FL_STUDIES_POINTS_H

#include "studies/studies.h"

/* ---- sobol.c ---- */

/** Dimensions with direction numbers, and the digits of a number. */
enum { FL_SOBOL_DIMENSIONS = 64, FL_SOBOL_BITS = 32 };

/** Columns of the generating matrix of a dimension: what a bit of the point's number adds.
 * Source: [Joe2008]. */
void fl_sobol_columns(uint32_t columns[FL_SOBOL_BITS], size_t which);

/* ---- points.c ---- */

typedef struct fl_points fl_points;

/**
 * Points for samples in all, of so many draws. Samples go round the replicates by FL_LANES at a
 * time, so that the first ones of a run are about as many of each.
 */
fl_status fl_points_new(fl_points **points, const fl_study *study, fl_error *error);
void fl_points_free(fl_points *points);

/** Number of a sample and a draw, in the open interval (0, 1). */
double fl_points_at(const fl_points *points, uint64_t sample, size_t draw);

/** The same of samples first to first + FL_LANES - 1 and all draws [draw_count], to their bits;
 * first is a multiple of FL_LANES. */
void fl_points_lanes(const fl_points *points, double (*uniforms)[FL_LANES], const fl_vector *vector,
                     uint64_t first);

#endif
