/**
 * Counting of Monte Carlo samples: one sample judged, a block of samples added up, blocks merged
 * in their order, the whole made into results.
 *
 * Private to studies/. A tally holds sums and counts only, so that its size does not depend on the
 * number of samples.
 */
#ifndef FL_STUDIES_TALLY_H
#define FL_STUDIES_TALLY_H

#include "studies/studies.h"

/** Samples of one block: summed by one thread, in the order of samples. So many that merging the
 * sums of a block, which one thread does for all, is a hundredth of the work. */
enum { FL_BLOCK_SAMPLES = 1024 };

/* ---- percentile.c: the distribution of the worst return loss ---- */

enum { FL_BINS_PER_DB = 1000, FL_LAST_BIN = 200 * FL_BINS_PER_DB };

/** Counts in steps of 0.001 dB from 0 to FL_CEILING_DB. */
typedef struct fl_histogram {
    uint64_t *bins; /* [FL_LAST_BIN + 1]; once closed: samples in this bin or above; behind them
                       one more for values that have none */
    uint64_t total; /* samples, also those below 0 dB or without a value */
} fl_histogram;

fl_status fl_histogram_take(fl_histogram *histogram, fl_arena *arena, fl_error *error);

/** Adds values, dB; NAN and values below 0 count in the total alone. */
void fl_histogram_add(fl_histogram *histogram, const double *values_db, size_t count);

/** Ends adding: the bins then hold how many samples reach them. */
void fl_histogram_close(fl_histogram *histogram);

/** Smallest value that at least percent of the samples do not exceed, to 0.001 dB; 0 when that is
 * a sample without a value. Closed histograms that are not empty. */
double fl_histogram_percentile(const fl_histogram *histogram, unsigned percent);

/** Most bars of a picture; there are at least half as many unless the samples hardly differ. */
enum { FL_MOST_BARS = 48 };

/** Bars over all but the lowest and the highest thousandth of the samples; their edges and their
 * even width are whole bins. Closed histograms. */
fl_status fl_histogram_bars(fl_bars *bars, fl_arena *arena, const fl_histogram *histogram,
                            fl_error *error);

/** A limit with the number of samples that reach it, counted apart since it need not be a bin. */
typedef struct fl_reached {
    double limit_db;
    uint64_t count;
} fl_reached;

/**
 * Yield against the limit on the return loss: a point every 0.5 dB from the last above 99.9 % to
 * the first below 0.1 %, at most 60, and one at each limit.
 * @param[in] limits [limit_count] in any order; equal ones may be there.
 */
fl_status fl_histogram_curve(fl_yielding *yielding, const fl_histogram *histogram,
                             const fl_reached *limits, size_t limit_count, fl_error *error);

/* ---- tally.c ---- */

/** What is counted; fixed during a study. */
typedef struct fl_counting {
    const fl_design *design;
    const double *nominal; /* [quantity_count] */
    const fl_run *runs;    /* [run_count] */
    size_t run_count;
    size_t *spread;   /* [spread_count] quantities with a spread */
    double *sigma;    /* [spread_count] their standard deviations */
    fl_ruler *rulers; /* [spread_count] their bins for shares */
    size_t spread_count;
    bool has_return_loss; /* some requirement asks for at least a return loss */
    double base_db;       /* figures are summed as differences from this */
    /** Of a wafer, or samples of a replicate in a row, if passes are counted for each; else 0. */
    uint64_t dice;
} fl_counting;

/** The ruler of a quantity with this nominal value and standard deviation, which may be 0. */
fl_ruler fl_counting_ruler(double nominal, double sigma);

fl_status fl_counting_take(fl_counting *counting, fl_arena *arena, const fl_design *design,
                           const double *nominal, const fl_margins *margins, fl_error *error);

/** One sample, judged; arrays of the thread's own. */
typedef struct fl_verdict {
    bool physical;
    bool passed;            /* every case */
    double figure_db;       /* worst return loss of all, else smallest margin; NAN: not physical */
    fl_worst *worst;        /* [run_count] */
    bool *case_passed;      /* [case_count] */
    double *return_loss_db; /* [case_count] worst of the case; NAN: none */
    double *margin_db;      /* [case_count] smallest of the case; NAN: not physical */
} fl_verdict;

fl_status fl_verdict_take(fl_verdict *verdict, fl_arena *arena, const fl_counting *counting,
                          fl_error *error);

/**
 * Judges a sample. An implied requirement fails nothing.
 * @param[in] power [entry_count]; NULL: not physical, which fails every case.
 */
void fl_verdict_judge(fl_verdict *verdict, const fl_counting *counting, const double *power);

/**
 * Judges a sample of a block.
 * @return false when it has to be judged by its powers: it is doubtful, or so near to a limit that
 *         the block's error might decide.
 */
bool fl_verdict_judge_lane(fl_verdict *verdict, const fl_counting *counting,
                           const fl_lane_worst *found, size_t lane);

/** Verdicts of many samples; a bit a lane, the lowest the first. */
typedef struct fl_judged {
    double figure_db[FL_LANES];
    uint64_t passed, physical;
} fl_judged;

/** Failures of a run: all, and by third of the band; those not physical have no third. */
typedef struct fl_failed {
    uint64_t count;
    uint64_t third[FL_BAND_THIRDS];
} fl_failed;

typedef struct fl_tally {
    uint64_t samples, passed, not_physical;
    uint64_t *case_passed;   /* [case_count] */
    fl_failed *failed;       /* [run_count] */
    uint64_t *reached;       /* [requirement_count] worst return loss at least the limit */
    double (*deviations)[2]; /* [spread_count] sums of value - nominal: failing, passing */
    fl_share *shares;        /* [spread_count] */
    uint64_t *failing;       /* [run_count] lanes, while many samples are judged */
    uint64_t *reaching;      /* [requirement_count] lanes, likewise */
    double *figures_db;      /* [samples, at most FL_BLOCK_SAMPLES] of a block */
    /* Of a block of a plan: samples from the first one on, in rows of one wafer each. */
    uint64_t first, left; /* left: samples until the next wafer begins */
    uint32_t *wafers;     /* [rows][case_count + 1] passed: each case, then every case */
    size_t row;
    uint64_t *passing; /* [case_count] lanes at hand that pass */
} fl_tally;

fl_status fl_tally_take(fl_tally *tally, fl_arena *arena, const fl_counting *counting,
                        fl_error *error);
void fl_tally_clear(fl_tally *tally, const fl_counting *counting);

/** Clears a tally for the block of samples that begins with the first one. */
void fl_tally_begin(fl_tally *tally, const fl_counting *counting, uint64_t first);

/** Adds a sample, but for its figure and its quantities. */
void fl_tally_add(fl_tally *tally, const fl_counting *counting, const fl_verdict *verdict);

/**
 * Judges the first count lanes of a block and adds them, but for their figures and quantities.
 * @param[out] judged of those that were added.
 * @return the others, a bit each: doubtful, or so near to a limit that the block's error might
 *         decide. fl_verdict_judge and fl_tally_add are left to the caller.
 */
uint64_t fl_tally_add_lanes(fl_tally *tally, const fl_counting *counting, fl_judged *judged,
                            const fl_vector *vector, const fl_lane_worst *found, size_t count);

/** Notes for the wafers what a lane was found to pass that is added by fl_tally_add. */
void fl_tally_mark(fl_tally *tally, const fl_counting *counting, const fl_verdict *verdict,
                   size_t lane);

/** Adds what the first count lanes pass to their wafers; passed: those that pass every case. */
void fl_tally_add_wafers(fl_tally *tally, const fl_counting *counting, uint64_t passed,
                         size_t count);

/** Adds figures and quantities [quantity_count][FL_LANES] of the first count lanes. */
void fl_tally_add_rows(fl_tally *tally, const fl_counting *counting, const fl_judged *judged,
                       const fl_vector *vector, const double (*quantities)[FL_LANES], size_t count);

/** Adds what is counted, which comes out the same in any order. */
void fl_tally_merge_counts(fl_tally *into, const fl_tally *from, const fl_counting *counting);

/** Adds deviations and shares, whose last digits depend on the order. */
void fl_tally_merge_sums(fl_tally *into, const fl_tally *from, const fl_counting *counting);

/** Adds both; figures and wafers stay where they are. */
void fl_tally_merge(fl_tally *into, const fl_tally *from, const fl_counting *counting);

/* ---- rows.c has fl_tally_add_lanes and fl_tally_add_rows ---- */

/** A block is true to 1e-7 dB; within ten times that of a limit it does not decide. */
#define FL_NEAR_DB 1e-6

/** What a run asks for. */
const fl_requirement *fl_counting_requirement(const fl_counting *counting, size_t run);

/** An upper limit on a return loss is no wish for a good match. */
bool fl_asks_return_loss(const fl_requirement *requirement);

/** Third of the band in which a frequency is, its high end in the last. */
size_t fl_band_third(const fl_band *band, double frequency);

/* ---- wafers.c: yields of wafers and lots ---- */

/** Passes of every wafer of a run, or of every replicate of even points. */
typedef struct fl_wafers {
    fl_plan plan; /* of no wafers: nothing is counted; of replicates: a lot of samples each */
    fl_basis basis;
    size_t columns;   /* case_count + 1: each case, then every case */
    uint32_t *passed; /* [count][columns] */
    size_t count;     /* room, for all samples that were asked for; or replicates */
    uint64_t samples; /* counted so far */
} fl_wafers;

/** Room for the wafers of samples in all. FL_BAD_INPUT when they are more than FL_WAFER_LIMIT. */
fl_status fl_wafers_take(fl_wafers *wafers, fl_arena *arena, const fl_study *study,
                         fl_error *error);

/** Adds a block, in the order of blocks. */
void fl_wafers_add(fl_wafers *wafers, const fl_tally *tally);

/** Interval of a column from whatever parts are independent of each other: wafers, lots or
 * replicates, whole or not; of a basis of samples from all of them. passed: of the column, in all.
 * Returns the effective samples. */
double fl_wafers_interval(double *low, double *high, const fl_wafers *wafers, size_t column,
                          uint64_t passed, double confidence);

/** Fills what a yielding has of wafers and lots. */
fl_status fl_wafers_spread(fl_yielding *yielding, const fl_wafers *wafers, fl_error *error);

/* ---- looks.c: when to stop ---- */

/**
 * Counts of samples at which a run with a precision looks at its interval, and may stop. They are
 * known before the run, and the confidence is shared among them: with all certainty that was asked
 * for, the intervals of all looks hold the true yield, so that of the look that ends the run does,
 * whatever made it end there.
 */
typedef struct fl_looks {
    double precision;  /* 0: there are none */
    double confidence; /* of the interval of one look */
    uint64_t first, step, most;
    size_t count;
} fl_looks;

/** Looks of a study; without a precision none, and the confidence is the design's. */
void fl_looks_plan(fl_looks *looks, const fl_study *study);

/** The next look, or the end of the run, after so many samples. */
uint64_t fl_looks_next(const fl_looks *looks, uint64_t samples);

/* ---- outcome.c ---- */

/** All sums of a run. */
typedef struct fl_sums {
    fl_looks looks;
    fl_tally total;
    fl_histogram histogram;
    fl_wafers wafers;
} fl_sums;

/** Interval of every case together; returns the effective samples. */
double fl_outcome_interval(double *low, double *high, const fl_sums *sums);

/** Fills all of the yielding but the kept samples; closes the histogram. */
fl_status fl_outcome_fill(fl_yielding *yielding, const fl_counting *counting, fl_sums *sums,
                          fl_error *error);

#endif
