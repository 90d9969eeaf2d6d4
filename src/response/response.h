/**
 * Response of a design: waves at the ports, and how far each requirement is met.
 *
 * A state (V, I) is marched through the path for all lanes at once, a lane being a frequency of
 * one case of one sample. fl_margins is the structure (cases x requirements x frequencies), made
 * once and shared by all threads; fl_work is the scratch memory of one thread, made before a
 * study's loop. Nothing is allocated in the loop. Needs the C library only.
 *
 * For requirement i at a frequency the power is |S|^2 of what it asks: |S22|^2 or |S11|^2 for a
 * return loss, |S21|^2 for an insertion loss or a rejection, port 1 the die, port 2 the board,
 * power waves of [Kurokawa1965].
 */
#ifndef FL_RESPONSE_RESPONSE_H
#define FL_RESPONSE_RESPONSE_H

#include "path/path.h"

/** Frequencies at which one band is looked at, rising, Hz. */
typedef struct fl_grid {
    const double *frequencies;
    size_t count;
} fl_grid;

/** A run of entries: one case, one requirement, the frequencies of its band. */
typedef struct fl_run {
    size_t case_index;
    size_t requirement;
    size_t first; /* entry of the run's first frequency */
    size_t count;
    const double *frequencies; /* [count] */
} fl_run;

typedef struct fl_margins fl_margins;
typedef struct fl_work fl_work;

/**
 * @param[in] grids [design->band_count] frequencies of each band; copied.
 * The design and the groundwork must outlive the margins.
 */
fl_status fl_margins_new(fl_margins **margins, const fl_design *design,
                         const fl_groundwork *groundwork, const fl_grid *grids, fl_error *error);
void fl_margins_free(fl_margins *margins);

/** All runs in order of case, then requirement; entries of all runs fill 0 .. entry_count - 1. */
const fl_run *fl_margins_runs(const fl_margins *margins, size_t *count);
size_t fl_margins_entry_count(const fl_margins *margins);

fl_status fl_work_new(fl_work **work, const fl_margins *margins, fl_error *error);
void fl_work_free(fl_work *work);

/**
 * Power of every entry at the given quantities.
 *
 * @param[out] power [entry_count].
 * @return false when the quantities are not physical or the response is not finite; power then
 *         means nothing. Does not allocate.
 */
bool fl_margins_power(const fl_margins *margins, fl_work *work, const double *quantities,
                      double *power);

/** Quantities that move, or with respect to which derivatives are wanted. */
typedef struct fl_unknowns {
    const size_t *indices; /* [count] into the design's quantities */
    size_t count;
} fl_unknowns;

/**
 * Works out once what only other quantities than the unknowns move (fold.c): powers and gradients
 * are then, to rounding, what they were, at quantities of which all but the unknowns are the given
 * ones, and much sooner there. What else is given of those counts no more, nor does a gradient by
 * them.
 *
 * Once, before any work is made. On failure the margins are good for nothing but fl_margins_free.
 */
fl_status fl_margins_fold(fl_margins *margins, const double *quantities,
                          const fl_unknowns *unknowns, fl_error *error);

/**
 * As fl_margins_power, with exact derivatives by an adjoint march.
 *
 * @param[out] gradient [unknowns->count][entry_count] d power / d quantity.
 */
bool fl_margins_gradient(const fl_margins *margins, fl_work *work, const double *quantities,
                         const fl_unknowns *unknowns, double *power, double *gradient);

/** -10 log10 of a power, at most FL_CEILING_DB. */
double fl_loss_db(double power);

/** A loss above this is shown as this: a perfect match has no finite return loss. */
#define FL_CEILING_DB 200.0

/** Weighted margin in dB of a requirement at a power: weight * (value - limit), or turned. */
double fl_margin_db(const fl_requirement *requirement, double power);

/** A margin short by this is rounding. */
#define FL_MARGIN_ROOM_DB 1e-9

/** Whether a margin is one. */
bool fl_margin_met(double margin_db);

/**
 * The same margin as a smooth figure to keep small: 10^(-margin / 10) = (k power^s)^weight with
 * s = 1 or -1; and its derivative with respect to the power (may be NULL).
 */
double fl_margin_figure(const fl_requirement *requirement, double power, double *slope);

/** The same of powers [count] at once; slopes may be NULL. */
void fl_margin_figures(const fl_requirement *requirement, const double *power, size_t count,
                       double *figures, double *slopes);

/** Where a run is worst. */
typedef struct fl_worst {
    size_t entry;
    double frequency; /* Hz */
    double value_db;
    double margin_db; /* weighted */
} fl_worst;

/** Entry of the smallest margin; the first of equals. */
size_t fl_run_worst_entry(const fl_run *run, const fl_requirement *requirement,
                          const double *power);

fl_worst fl_run_worst(const fl_run *run, const fl_requirement *requirement, const double *power);

/** Smallest weighted margin over all entries; the run it is in (may be NULL). */
fl_worst fl_margins_worst(const fl_margins *margins, const fl_design *design, const double *power,
                          size_t *run);

/**
 * Worst powers of FL_LANES samples at once, for a study of many: the block evaluation (block.c).
 *
 * Sections that no spread touches are folded into constant matrices, and powers are computed at as
 * few frequencies of a band as give those of its whole grid: how many is found out with trials.
 */
typedef struct fl_block fl_block;
typedef struct fl_block_work fl_block_work;

/** Samples on which a block is tried: usual and extreme ones. */
typedef struct fl_trials {
    const double *nominal;                /* [quantity_count] */
    const double (*quantities)[FL_LANES]; /* [quantity_count], all lanes filled */
    size_t count;                         /* lanes to compare with fl_margins_power */
} fl_trials;

/**
 * Makes a block for samples whose quantities without spread are nominal. The margins must outlive
 * it.
 * @param[in] whole no interpolation: the frequencies are those of the grid.
 * @param[out] block NULL, with FL_OK, when the nominal values are not physical: there is nothing
 *             to try. Free with fl_block_free.
 */
fl_status fl_block_new(fl_block **block, const fl_margins *margins, const fl_vector *vector,
                       const fl_trials *trials, bool whole, fl_error *error);
void fl_block_free(fl_block *block);

/** Frequencies at which the powers of a run are computed. */
size_t fl_block_node_count(const fl_block *block, size_t run);

fl_status fl_block_work_new(fl_block_work **work, const fl_block *block, fl_error *error);
void fl_block_work_free(fl_block_work *work);

/** What a block found: of each run the worst power and the index of its frequency in the run. A
 * lane is doubtful when its quantities are not physical, a power is not finite, or interpolation
 * was not tried on one like it; fl_margins_power then decides. */
typedef struct fl_lane_worst {
    double (*power)[FL_LANES]; /* [run_count] */
    double (*point)[FL_LANES]; /* [run_count] */
    bool doubtful[FL_LANES];
} fl_lane_worst;

/** @param[in] quantities [quantity_count][FL_LANES].
 * @return the work's own, good until its next use. Allocates nothing, as fl_path_values. */
const fl_lane_worst *fl_block_worst(const fl_block *block, fl_block_work *work,
                                    const double (*quantities)[FL_LANES]);

/** S-parameters of one case on frequencies; each array [count][2]: real, imaginary. */
typedef struct fl_scatter {
    size_t count;
    const double *frequencies;
    double (*s11)[2], (*s21)[2], (*s12)[2], (*s22)[2];
} fl_scatter;

/**
 * @param[in,out] scatter count, frequencies and the four arrays are given by the caller.
 * @return FL_OK; FL_BAD_INPUT when the quantities are not physical; FL_NO_MEMORY.
 */
fl_status fl_scatter_fill(fl_scatter *scatter, const fl_groundwork *groundwork, size_t case_index,
                          const double *quantities, fl_error *error);

/** As fl_scatter_fill for the path without some of its sections: left_out [section_count of the
 * case]; NULL: with all. */
fl_status fl_scatter_fill_without(fl_scatter *scatter, const fl_groundwork *groundwork,
                                  size_t case_index, const bool *left_out, const double *quantities,
                                  fl_error *error);

/**
 * Return loss of one section by itself between 50 ohm, at the centre of the band.
 * @return as fl_scatter_fill.
 */
fl_status fl_section_alone(double *return_loss_db, const fl_groundwork *groundwork,
                           size_t case_index, size_t section, const double *quantities,
                           fl_error *error);

/** Reflections on the way through one section: [count], the last one behind it. */
typedef struct fl_walk_step {
    double (*reflection)[2];
    size_t count;
} fl_walk_step;

/**
 * The impedance towards the die at one frequency, as it changes from the die to the board: as
 * reflections (Z - R) / (Z + R) against a real reference R.
 */
typedef struct fl_walk {
    double frequency, reference; /* Hz, ohm */
    fl_walk_step *steps;         /* [step_count]: the die port alone, then every section */
    size_t step_count;
} fl_walk;

/** Reference that shows most: the board port's resistance, as what stands there at most is a line
 * of that impedance; 50 ohm where it is given by data. */
double fl_walk_reference(const fl_design *design);

/**
 * Follows the impedance. Lines, and what is in series or to ground, are passed in pieces, so that
 * points lie along the arc; measured data have their end alone.
 *
 * @param[in,out] walk frequency and reference are given, the rest is filled.
 * @param arena where the steps go.
 * @return as fl_scatter_fill.
 */
fl_status fl_walk_fill(fl_walk *walk, fl_arena *arena, const fl_groundwork *groundwork,
                       size_t case_index, const double *quantities, fl_error *error);

/** points even steps from low to high, both included; frequencies [points], points >= 2. */
void fl_band_grid(double *frequencies, const fl_band *band, size_t points);

/** So many points in each band of a design: [band_count], all in the arena. NULL: no memory. */
fl_grid *fl_band_grids(fl_arena *arena, const fl_design *design, size_t points);

#endif
