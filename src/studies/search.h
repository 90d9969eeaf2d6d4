/**
 * The search behind sizing, in parts: frequencies looked at (probe.c), starting points (starts.c),
 * one descent (polish.c), the worst between grid points (peaks.c), placing on grids (place.c).
 *
 * A point of the search is values [count], SI, of the unknowns alone. It is judged by its figure:
 * the largest fl_margin_figure over all entries of a probe, to be made small; INFINITY when the
 * values are not physical. Nothing here depends on the thread that computes it.
 */
#ifndef FL_STUDIES_SEARCH_H
#define FL_STUDIES_SEARCH_H

#include <omp.h>

#include "studies/peaks.h"

/** What is searched, shared by all threads. */
typedef struct fl_search {
    fl_arena arena;
    const fl_study *study;
    const double *present;  /* [quantity_count] present values */
    const size_t *unknowns; /* [count] into the design's quantities */
    const double *low;      /* [count] */
    const double *high;     /* [count] */
    size_t count;           /* unknowns */
    const char *stage;      /* told to progress */
    double from, to;        /* the share of the stage that the running loop is */
    size_t finished, whole; /* steps of the running loop */
    uint64_t evaluations;   /* responses computed */
    int stopped;            /* progress asked to stop; atomic */
    omp_lock_t asking;      /* held while progress is asked */
} fl_search;

/** Collects the unknowns of the design. Release in any case. */
fl_status fl_search_init(fl_search *search, const fl_study *study, fl_error *error);
void fl_search_release(fl_search *search);

/** True once progress has asked to stop. Any thread. */
bool fl_search_stopped(fl_search *search);

/** Asks progress, one thread at a time; true when the search shall stop. */
bool fl_search_ask(fl_search *search);

/** Opens a loop of so many steps that is the share from .. to of the stage. The number may be a
 * guess: more steps stay at the end of the share. */
void fl_search_loop(fl_search *search, const char *stage, double from, double to, size_t steps);

/** One step of the loop is done. Any thread. */
void fl_search_step(fl_search *search);

/** Fills all quantities from the values of the unknowns. */
void fl_search_quantities(const fl_search *search, const double *values, double *quantities);

/* ---- probe.c ---- */

/** Scratch of one thread. */
typedef struct fl_walker {
    fl_work *work;
    double *quantities; /* [quantity_count] */
    double *power;      /* [entry_count] */
    double *gradient;   /* [unknown_count][entry_count] */
    double *figures;    /* [entry_count] */
    double *slopes;     /* [entry_count] d figure / d power */
    size_t *seen;       /* [entry_count] entries of the constraints */
    double *slack;      /* [entry_count] tolerances of the constraints */
    double *best;       /* [unknown_count] */
    double *point;      /* [unknown_count + 1] */
    double *bounds;     /* [2][unknown_count + 1] */
    size_t *moving;     /* [unknown_count] into the unknowns */
    size_t *indices;    /* [unknown_count] the same, into the quantities */
    uint64_t evaluations;
} fl_walker;

/** Frequencies looked at in each band, and a walker a thread. */
typedef struct fl_probe {
    fl_arena arena;
    fl_search *search;
    fl_grid *grids; /* [band_count] */
    fl_margins *margins;
    size_t entry_count;
    fl_walker *walkers; /* [walker_count] */
    size_t walker_count;
} fl_probe;

/** Even grids of so many points in each band. FL_BAD_INPUT when the problem is out of size.
 * Release in any case. */
fl_status fl_probe_new(fl_probe *probe, fl_search *search, size_t points, fl_error *error);
void fl_probe_release(fl_probe *probe);

/** Adds the frequencies of peaks. On failure the probe is unchanged. */
fl_status fl_probe_extend(fl_probe *probe, const fl_peak_list *peaks, fl_error *error);

/** Requirement of a run of the margins. */
const fl_requirement *fl_probe_asked(const fl_probe *probe, const fl_run *run);

/** Figure of a point. */
double fl_probe_figure(const fl_probe *probe, fl_walker *walker, const double *values);

/** The margin that a figure stands for, at most FL_CEILING_DB. */
double fl_figure_margin(double figure);

/* ---- starts.c ---- */

/** How many starts a search over so many unknowns makes. */
size_t fl_starts_count(size_t unknowns);

/**
 * Starting points: the first is the design's own start (the middle of each range without one), the
 * others are of a low-discrepancy set over the ranges.
 * @param[out] starts [count][search->count].
 */
fl_status fl_starts_fill(double *starts, size_t count, const fl_search *search, fl_error *error);

/* ---- descent.c ---- */

/** How a descent is made. */
typedef struct fl_descent {
    fl_probe *probe;
    const bool *held; /* [search->count] these stay; NULL: all move */
    double tolerance; /* relative change of the point that ends a round */
    int evaluations;  /* most in a round */
    int rounds;       /* most; a round begins anew at the best point, scaled by its figure */
    size_t stretch;   /* neighbours in a run of which two are constraints; below 3: all are */
} fl_descent;

/**
 * Walks downhill to a local minimum of the figure; keeps the best point that was looked at.
 *
 * min t, figure_i(x) <= t, by sequential quadratic programming with exact gradients. Of a stretch
 * of neighbours in a run the constraints are the worst of its even and the worst of its odd
 * entries: where a response is worst between two frequencies both are there, and what is left out
 * is never worst. The solver takes as long as it has constraints.
 * @param[in] walker the caller's own walker of the probe.
 * @param[in,out] values [search->count] never gets worse.
 * @param[out] figure of values.
 * @return FL_OK or FL_NO_MEMORY.
 */
fl_status fl_descend(const fl_descent *descent, fl_walker *walker, double *values, double *figure);

/* ---- candidates.c ---- */

/** One point of many that are compared. */
typedef struct fl_candidate {
    double *values; /* [search->count] */
    double figure;
    size_t index; /* decides between equals */
} fl_candidate;

/**
 * Descends from every candidate, on all threads and ranks.
 * @param[in] held [count] as in fl_descent; one for all.
 */
fl_status fl_descend_all(const fl_descent *descent, fl_candidate *candidates, size_t count,
                         fl_error *error);

/** Candidates [count] in an arena, their values unset, figures INFINITY; NULL: no memory. */
fl_candidate *fl_candidates_new(fl_arena *arena, size_t count, size_t unknowns);

/** Sorts by figure, then index. */
void fl_candidates_sort(fl_candidate *candidates, size_t count);

/* ---- polish.c ---- */

/**
 * Descends on the probe, adds the peaks found between its frequencies and descends again, until
 * the probe is true to the continuous band.
 *
 * @param[in,out] values [search->count]; the best over the continuous band.
 * @param[out] margin_db over the continuous band.
 */
fl_status fl_polish(const fl_descent *descent, double *values, double *margin_db, fl_error *error);

/* ---- lattice.c ---- */

/** The double nearest to step * k, the step taken as the decimal number it was written as. */
double fl_grid_multiple(double step, double k);

/** First and last k with low <= k step <= high; false if there is none. */
bool fl_grid_range(double *first, double *last, double step, double low, double high);

/** Moves to the neighbours of a point of the lattice: all in a box of this radius, or with many
 * axes (radius 0) one step along one or two of them. */
typedef struct fl_moves {
    size_t axes;
    long radius;
    size_t count;
} fl_moves;

/** sizes_others: each neighbour costs a descent, so there are fewer. */
fl_moves fl_moves_of(size_t axes, bool sizes_others);

/** Steps [axes] of one move. */
void fl_move(long *steps, const fl_moves *moves, size_t index);

/* ---- place.c ---- */

/** True if an unknown has a grid. */
bool fl_search_gridded(const fl_search *search);

/** Puts each value that has a grid to the nearest multiple in its range. */
void fl_place_nearest(const fl_search *search, double *values);

/**
 * Places values on their grids, sizing the others anew.
 *
 * One value after another goes to the grid points around it while those still free are sized anew;
 * the best few go on. Then steps to better neighbours, until there is none.
 * @param[in,out] values [search->count] the best free ones; then placed.
 * @param[out] margin_db over the continuous band.
 */
fl_status fl_place(fl_probe *probe, double *values, double *margin_db, fl_error *error);

#endif
