/**
 * Studies: what is asked of a design. Each takes a fl_study and present values, and fills plain
 * data of its own; none knows how it will be shown.
 *
 * All are deterministic: the same design, seed and samples give the same bits on any number of
 * threads. Sums over samples are made in blocks of fixed size and added in the order of blocks.
 */
#ifndef FL_STUDIES_STUDIES_H
#define FL_STUDIES_STUDIES_H

#include "response/response.h"

/** What all studies share; everything is borrowed. */
typedef struct fl_study {
    const fl_design *design;
    const fl_groundwork *groundwork;
    uint64_t seed;
    uint64_t samples;
    bool rare;              /* a yield takes weighted samples near failure */
    fl_plan plan;           /* samples are dice of wafers of lots, in this order */
    double precision;       /* half-width of the interval at which to stop; 0: samples says it */
    int threads;            /* >= 1 */
    size_t kept;            /* samples to keep one by one */
    const char *checkpoint; /* file that a yield writes its state to; NULL: none */
    bool resume;            /* from the checkpoint, if it is there */
    int (*progress)(void *payload, const char *stage, double done); /* may be NULL */
    void *payload;
    const fl_ranks *ranks; /* NULL: alone */
} fl_study;

/** Fills a study from design and options (may be NULL). */
void fl_study_init(fl_study *study, const fl_design *design, const fl_groundwork *groundwork,
                   const fl_options *options);

/** Asks progress; true when the study shall stop, which one of several ranks never does: the others
 * would wait for it. Threads: call it from one thread at a time. */
bool fl_study_stopped(const fl_study *study, const char *stage, double done);

/* ---- ranks.c: processes that share a study ---- */

/** How many share it, and which of them this is; 1 and 0: alone. */
size_t fl_study_ranks(const fl_study *study);
size_t fl_study_rank(const fl_study *study);

/** Hands round pieces [fl_study_ranks] of so many bytes each, of which a rank has filled its own.
 * FL_FAULT when a rank was lost. Alone there is nothing to do. */
fl_status fl_study_share(const fl_study *study, void *pieces, size_t bytes, fl_error *error);

/** Sums of counts [count] over all ranks. Errors as above. */
fl_status fl_study_add(const fl_study *study, uint64_t *counts, size_t count, fl_error *error);

/* ---- peaks.c: the worst between the grid points ---- */

/** Worst of every run over the continuous band, [run_count] in the order of fl_margins_runs. */
typedef struct fl_peaks {
    fl_arena arena;
    fl_worst *worst; /* entry means nothing here */
    size_t count;
    size_t worst_run;
    double margin_db; /* smallest weighted margin */
} fl_peaks;

/**
 * Searches each band on a grid ten times finer than points, then closes in on every local worst by
 * golden section, so that the worst is true to 0.001 dB. FL_BAD_INPUT when the quantities are not
 * physical. Free with fl_peaks_release.
 */
fl_status fl_peaks_find(fl_peaks *peaks, const fl_study *study, const double *quantities,
                        fl_error *error);
void fl_peaks_release(fl_peaks *peaks);

/* ---- size.c, place.c ---- */

typedef enum fl_bound { FL_BOUND_NONE, FL_BOUND_LOW, FL_BOUND_HIGH } fl_bound;

/** Sized values. */
typedef struct fl_sizing {
    fl_arena arena;
    double *quantities;    /* [quantity_count] all quantities, sized ones at their chosen values */
    fl_bound *bounds;      /* [quantity_count] end of the range it is at */
    double free_margin_db; /* best margin before values were placed on their grids */
    double margin_db;      /* of the chosen values, over the continuous band */
    size_t starts;
    size_t evaluations;
    bool interrupted;
} fl_sizing;

/**
 * Chooses the sized quantities: see fl_size. With none to size it returns the present values.
 * @return FL_OK, also when interrupted (the best so far); errors as usual. Release in any case.
 */
fl_status fl_sizing_run(fl_sizing *sizing, const fl_study *study, fl_error *error);
void fl_sizing_release(fl_sizing *sizing);

/* ---- draw.c: one production sample ---- */

typedef struct fl_sampler fl_sampler;

/** Prepares draws: Cholesky factors of the correlations at each level (FL_BAD_INPUT when they
 * contradict each other). The design must outlive the sampler. */
fl_status fl_sampler_new(fl_sampler **sampler, const fl_design *design, fl_error *error);
void fl_sampler_free(fl_sampler *sampler);

/** From now on samples are the dice of a plan, one after the other: they share the draws of their
 * wafer and lot. At first, or with a plan of no wafers, every sample has all draws of its own. */
void fl_sampler_follow(fl_sampler *sampler, const fl_plan *plan);

/** From now on samples are those of the study, as its design says they are sampled: for even points
 * those of its seed and number of samples, whatever seed is given then. FL_BAD_INPUT when they are
 * more than FL_EVEN_SAMPLES. */
fl_status fl_sampler_even(fl_sampler *sampler, const fl_study *study, fl_error *error);

/**
 * Quantities of one sample.
 * @param[out] quantities [quantity_count] drawn values.
 * @param[in] nominal     [quantity_count].
 * @param[out] scratch    [draw_count] the standard normal draws, correlated.
 * Does not allocate; thread-safe.
 */
void fl_sampler_draw(const fl_sampler *sampler, uint64_t seed, uint64_t sample,
                     const double *nominal, double *quantities, double *scratch);

/** Quantities at given independent standard normal draws [draw_count], which become the correlated
 * ones. */
void fl_sampler_apply(const fl_sampler *sampler, const double *nominal, double *quantities,
                      double *draws);

/**
 * Slopes of a figure by independent standard normal draws.
 * @param[in] draws   [draw_count] the correlated ones, as fl_sampler_apply leaves them.
 * @param[in] partial [quantity_count] slopes by the quantities.
 * @param[out] slopes [draw_count].
 */
void fl_sampler_slopes(const fl_sampler *sampler, const double *nominal, const double *draws,
                       const double *partial, double *slopes);

/** Rows of FL_LANES for the draws of many samples at once. */
typedef struct fl_draw_lanes {
    double (*quantities)[FL_LANES]; /* [quantity_count] */
    double (*normals)[FL_LANES];    /* [draw_count] */
    double (*uniforms)[FL_LANES];   /* [draw_count] */
} fl_draw_lanes;

/** fl_sampler_draw of samples first to first + FL_LANES - 1, to within rounding: a uniform or cut
 * spread takes its place in the distribution from the random number itself. With even points first
 * is a multiple of FL_LANES. */
void fl_sampler_draw_lanes(const fl_sampler *sampler, const fl_vector *vector, uint64_t seed,
                           uint64_t first, const double *nominal, const fl_draw_lanes *lanes);

/* ---- interval.c ---- */

/**
 * Exact (Clopper-Pearson) confidence interval of a share.
 * Source: [Clopper1934]. By bisection on the beta distribution; 0 and trials are handled apart.
 */
void fl_interval_exact(double *low, double *high, uint64_t passed, uint64_t trials,
                       double confidence);

/** Trials in groups that share what decides them, such as the dice of a lot. */
typedef struct fl_grouped {
    double share;    /* that passed, of all trials */
    double variance; /* of the share, as estimated from how much the groups differ */
    uint64_t groups, trials;
} fl_grouped;

/**
 * Confidence interval of a share from groups: the exact one of so many independent trials as would
 * have the same variance, fewer still for a variance that comes from few groups; never of more
 * trials than there are. Where all trials or none passed, groups are taken as single trials.
 * @return these effective trials; 0 with fewer than two groups, the interval then being 0 to 1.
 * Source: [Korn1998].
 */
double fl_interval_grouped(double *low, double *high, const fl_grouped *grouped, double confidence);

/**
 * Confidence interval of a share from replicates of even points, the groups here: Student's of
 * their mean, as the exact interval of as many independent trials as would be known as well, which
 * may be more than there are. So many only with enough passes and failures that their variance is
 * an estimate; else no more than there are, and where all passed or none exactly those.
 * @return these effective trials; 0 with fewer than two groups, the interval then being 0 to 1.
 */
double fl_interval_replicated(double *low, double *high, const fl_grouped *replicates,
                              double confidence);

/** A share as the mean of weights. */
typedef struct fl_weighted {
    double share, error; /* over 0; and its standard error */
    double effective;    /* weights alike that would tell as much */
} fl_weighted;

/** Confidence interval of such a share: that of its logarithm, by Student's t. */
void fl_interval_weighted(double *low, double *high, const fl_weighted *weighted,
                          double confidence);

/* ---- shares.c: share of variance from given samples ---- */

enum { FL_SHARE_BINS = 32, FL_SHARE_BINS_PER_SIGMA = 5 };

/** First-order share of variance of one input: samples sorted into bins of the input. No bin lies
 * across two lines of the cache. */
typedef struct fl_share {
    _Alignas(2 * sizeof(double)) struct {
        double sum, count; /* of the outputs */
    } bins[FL_SHARE_BINS];
    double square_sum; /* of all outputs */
} fl_share;

/** Bin of an input that is so many sigmas off its middle: a fifth of a sigma each, the last ones
 * on both sides with all that is beyond. */
size_t fl_share_bin(double sigmas);

void fl_share_add(fl_share *share, size_t bin, double output);

/** An output and how often it counts: once, or {0, 0} for none. */
typedef struct fl_output {
    double value, count;
} fl_output;

/** Adds FL_LANES samples to each of count shares.
 * @param[in] twice      [count] twice their bins, in the lower 32 bits.
 * @param[in] square_sum of the outputs. */
void fl_share_add_many(fl_share *shares, size_t count, const uint64_t (*twice)[FL_LANES],
                       const fl_output *outputs, double square_sum);

void fl_share_merge(fl_share *into, const fl_share *from);
/** Variance of the bin means over the variance, corrected for the number of samples in a bin;
 * 0 to 1; NAN with too few samples or no variance. */
double fl_share_value(const fl_share *share);

/* ---- yield.c ---- */

enum { FL_BAND_THIRDS = 3 };

/** Failures of one requirement of one case: at the low, middle and high third of its band. Samples
 * that are not physical fail every requirement and are in no third. */
typedef struct fl_failure {
    size_t case_index, requirement;
    uint64_t count;
    uint64_t third[FL_BAND_THIRDS]; /* where in the band the sample was worst */
} fl_failure;

typedef struct fl_shift {
    size_t quantity;
    double passing, failing; /* means; NAN when there are none */
    double sigmas;           /* (failing - passing) / sigma; NAN when not known */
    double share;            /* first-order share of variance of the worst return loss (of the
                                margin, if no return loss is required); or NAN */
} fl_shift;

typedef struct fl_case_yield {
    uint64_t passed;
    double estimate, low, high;
} fl_case_yield;

typedef struct fl_curve_point {
    double return_loss_db, yield;
} fl_curve_point;

typedef struct fl_percentile {
    double percent, return_loss_db;
} fl_percentile;

/** Distribution of the worst return loss in bars of even width. */
typedef struct fl_bars {
    double from_db, step_db; /* bar i: from + i step up to the next, without it */
    uint64_t *counts;        /* [count] */
    size_t count;
    uint64_t below, above; /* samples outside; those without a value are below */
} fl_bars;

/** One kept sample. */
typedef struct fl_kept {
    double *quantities;     /* [quantity_count] */
    double *return_loss_db; /* [case_count] worst; NAN if none is required */
    double *margin_db;      /* [case_count] smallest weighted margin */
    bool passed;            /* every case */
} fl_kept;

/** When a yield with a precision stopped. Its intervals hold all at once, at whatever look. */
typedef struct fl_stopping {
    double precision; /* half-width asked for; 0: none was */
    bool reached;
    size_t looks, most_looks; /* taken, and planned */
    double confidence;        /* of the interval of one look */
} fl_stopping;

/** What intervals are taken from: parts that share draws are not independent of each other, nor are
 * points that were made to be even. */
typedef enum fl_basis {
    FL_BASIS_SAMPLES,
    FL_BASIS_WAFERS,
    FL_BASIS_LOTS,
    FL_BASIS_REPLICATES,
    FL_BASIS_WEIGHTS
} fl_basis;

/** How the yield, every case together, differs between wafers or between lots of a plan. Shares of
 * those drawn whole; NAN where there are too few. */
typedef struct fl_spreading {
    uint64_t dice; /* of each */
    size_t count;
    double mean, sigma;                    /* standard deviation */
    double least, low, middle, high, best; /* low, high: 5 and 95 % of them have no more */
} fl_spreading;

/** A place nearest to the nominal values where a requirement of a case begins to fail. */
typedef struct fl_failure_point {
    size_t case_index, requirement;
    double sigmas; /* distance in independent standard normal draws */
} fl_failure_point;

/** What samples near failure tell of it. Shares of all parts. */
typedef struct fl_rarity {
    double failing, low, high; /* probability that a part fails, and its interval */
    double error;              /* standard error; NAN: no sample failed */
    uint64_t failed;           /* samples */
    double effective;          /* failed samples of equal weight that would tell as much */
    fl_failure_point *points;  /* nearest first */
    size_t point_count;
} fl_rarity;

typedef struct fl_yielding {
    fl_arena arena;
    uint64_t samples; /* drawn; fewer than asked when interrupted */
    uint64_t passed;  /* in every case */
    double estimate, low, high, confidence;
    fl_stopping stopping;
    uint64_t seed;
    fl_sampling sampling;
    uint64_t not_physical; /* samples with a value that cannot be; they count as failed */
    fl_basis basis;        /* of all intervals */
    double effective;      /* independent samples that would tell as much of the estimate */
    fl_plan plan;          /* as in the study */
    fl_rarity rare;        /* of a study that is */
    fl_spreading wafers, lots;
    uint64_t *wafer_passed; /* [wafers.count] in every case, in the order of lots and wafers */
    fl_case_yield *cases;   /* [case_count] */
    fl_failure *failures;   /* most frequent first; only counts over 0 */
    size_t failure_count;
    fl_shift *shifts; /* quantities with a spread */
    size_t shift_count;
    fl_percentile *percentiles; /* worst return loss of all cases: 1, 5, 25, 50, 75, 95, 99 % */
    size_t percentile_count;    /* 0 when no return loss is required */
    fl_curve_point *curve;      /* share of samples with at least this worst return loss */
    size_t curve_count;
    fl_bars bars; /* count 0 when no return loss is required */
    fl_kept *kept;
    size_t kept_count;
    bool interrupted;
    fl_error lost; /* why the last checkpoint could not be written; FL_OK: it was */
} fl_yielding;

/**
 * Monte Carlo yield at nominal quantities. A sample passes when it meets every requirement at
 * every frequency in every case; all cases of one sample share its draws. Memory does not grow
 * with the number of samples, but with that of the wafers of a plan. With a checkpoint the run goes
 * on from there to the same bits as one that was never ended; FL_BAD_INPUT when there is one
 * already and it shall not be resumed, or cannot: of another run, or damaged; or when the study
 * is rare and has a checkpoint, or nothing varies. A rare one has counts of weighted samples, which
 * are no shares; failures, shifts, percentiles and kept samples it has not.
 * @return FL_OK, also when interrupted; errors as usual. Release in any case.
 */
fl_status fl_yielding_run(fl_yielding *yielding, const fl_study *study, const double *nominal,
                          fl_error *error);
void fl_yielding_release(fl_yielding *yielding);

/* ---- bare.c: the path without its compensation ---- */

/**
 * Marks the sections [section_count] of a case that the uncompensated path is without: those the
 * design calls optional; if it has none in any case, those of a spare kind that carry a sized value
 * of their own (a value of a substrate is none).
 * @return number of sections marked.
 */
size_t fl_bare_mark(bool *left_out, const fl_design *design, size_t case_index);

/* ---- envelope.c ---- */

/** Percents of production that an envelope has: so many parts have no more at this frequency. */
#define FL_ENVELOPE_LIST                                                                           \
    {                                                                                              \
        1, 5, 50, 95, 99                                                                           \
    }
enum { FL_ENVELOPE_PERCENTS = 5 };

/** Losses of the study's own first samples; those that are not physical are left out. */
typedef struct fl_envelope {
    fl_arena arena;
    uint64_t samples; /* that have losses, at most 2048; 0: no values */
    double *values;   /* dB: [case_count][return loss, insertion loss][percent][points] */
    size_t points;
    bool interrupted; /* then without values */
} fl_envelope;

/**
 * Envelope of production about nominal values.
 * @param[in] grid frequencies to look at.
 * @param[in] port of the return loss.
 * @return FL_OK, also when interrupted; errors as usual. Release in any case.
 */
fl_status fl_envelope_run(fl_envelope *envelope, const fl_study *study, const double *nominal,
                          const fl_grid *grid, int port, fl_error *error);
void fl_envelope_release(fl_envelope *envelope);

/* ---- levels.c ---- */

/** What the draws of one level alone do. */
typedef struct fl_level_share {
    fl_level level;
    double share;       /* first-order share of variance of the figure; NAN: it does not vary */
    double total_share; /* with what it does together with others; these add up to more than 1 */
    double sigma_db;    /* standard deviation of the figure by this level alone */
} fl_level_share;

/** Levels at which something varies, from lot to board. */
typedef struct fl_levels {
    fl_level_share items[FL_LEVEL_COUNT];
    size_t count; /* 0 when nothing varies, or too little is physical */
    bool interrupted;
} fl_levels;

/**
 * Shares of variance of the worst return loss (of the smallest margin, if no return loss is
 * required) by level, about nominal values, from at most 2048 pairs of samples.
 * Source: [Sobol1993]. What two levels do only together is in the total share of
 * both and in no other.
 * @return FL_OK, also when interrupted (then without items); errors as usual.
 */
fl_status fl_levels_run(fl_levels *levels, const fl_study *study, const double *nominal,
                        fl_error *error);

/* ---- quick.c ---- */

/** A yield and nothing beside it. */
typedef struct fl_quick {
    uint64_t samples, passed;
    uint64_t not_physical; /* of those that failed */
    uint64_t outside;      /* of those not physical: farther off than the fits reach */
    double estimate, low, high;
    uint64_t *case_passed; /* [case_count], given */
} fl_quick;

/**
 * The counts of fl_yielding_run for the same study without its plan, on the calling thread and
 * without asking progress.
 */
fl_status fl_quick_run(fl_quick *quick, const fl_study *study, const double *nominal,
                       fl_error *error);

/* ---- sensitivity.c ---- */

/**
 * One quantity. Changes are of the worst return loss over bands and cases, dB, positive better;
 * of the smallest weighted margin when no return loss is required.
 */
typedef struct fl_slope {
    size_t quantity;
    double nominal, sigma;       /* SI; sigma 0: no spread */
    double percent_up;           /* per +1 %: each local worst moves along its exact derivative, and
                                    the least of them is the new worst */
    double percent_down;         /* per -1 %: not -percent_up where the worst frequency switches */
    double percent;              /* percent_up where smooth, else the greater loss of the two */
    double sigma_up, sigma_down; /* response computed anew at +sigma and -sigma; NAN: no spread or
                                    not physical */
    double per_sigma;            /* the greater loss of the two, signed; the one that is known; NAN
                                    without spread */
    double share;                /* of variance of the worst return loss; NAN without spread */
} fl_slope;

typedef struct fl_sensing {
    fl_arena arena;
    fl_slope *slopes; /* largest effect first */
    size_t count;
    double base_db; /* worst return loss (or margin) that changes are counted from */
    bool interrupted;
} fl_sensing;

/**
 * Sensitivity of every quantity that is sized or carries a spread. yielding gives the shares of
 * variance; NULL: they are computed here from study->samples samples, at most 100 000 of a plan
 * or of a precision.
 */
fl_status fl_sensing_run(fl_sensing *sensing, const fl_study *study, const double *nominal,
                         const fl_yielding *yielding, fl_error *error);
void fl_sensing_release(fl_sensing *sensing);

#endif
