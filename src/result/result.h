/**
 * The result of a command: plain data, complete, needing neither design nor studies any more.
 *
 * Everything lives in the result's arena. A part that was not computed has count 0 or a false
 * flag; a number that is not known is NAN and is shown as null or "-".
 */
#ifndef FL_RESULT_RESULT_H
#define FL_RESULT_RESULT_H

#include "live/live.h"

typedef struct fl_result_sized_value {
    const char *name;
    const char *case_name; /* of a per-case size; else NULL */
    fl_dimension dimension;
    double value, low, high, grid;
    fl_bound bound;
} fl_result_sized_value;

typedef struct fl_result_worst {
    fl_asked asked;
    int port;
    bool has_limit; /* false for the implied return loss */
    bool at_least;
    double limit_db, weight;
    double band_low, band_high; /* Hz */
    double value_db, frequency, margin_db;
} fl_result_worst;

typedef struct fl_result_parameter fl_result_parameter;

/** A section as it is built: the values of all its parameters, in the order of its kind. */
typedef struct fl_result_piece {
    const char *name, *kind;
    fl_side side;
    const char *file; /* name of its data file; else NULL */
    fl_result_parameter *parameters;
    size_t parameter_count;
} fl_result_piece;

typedef struct fl_result_case {
    const char *name;
    fl_result_piece *pieces; /* the path from die to board; response and all that has one */
    size_t piece_count;
    size_t built_as;        /* first case with these pieces: this one, or one before it */
    fl_result_worst *worst; /* worst margin first */
    size_t worst_count;
    fl_scatter response;                 /* count 0: none; over the design's band */
    double (*port_impedance)[2][2];      /* [count][die, board][real, imaginary], ohm */
    double yield, yield_low, yield_high; /* NAN: none */
    uint64_t passed;
} fl_result_case;

typedef struct fl_result_sensitivity {
    const char *name;
    const char *case_name; /* NULL: all */
    fl_dimension dimension;
    fl_slope slope;
} fl_result_sensitivity;

typedef struct fl_result_failure {
    const char *case_name;
    fl_asked asked;
    int port;
    uint64_t count;
    uint64_t third[FL_BAND_THIRDS];
} fl_result_failure;

typedef struct fl_result_shift {
    const char *name;
    const char *case_name;
    fl_dimension dimension;
    fl_shift shift;
} fl_result_shift;

typedef struct fl_result_quantity {
    const char *name;
    const char *case_name;
    fl_dimension dimension;
    double value;
    bool sized;
    double low, high;
    double sigma;       /* total, SI; 0: no spread */
    const char *levels; /* "wafer, die"; "" without spread */
} fl_result_quantity;

typedef struct fl_result_section {
    const char *name, *kind, *case_name;
    fl_side side;
    fl_property properties[FL_PROPERTIES];
    size_t property_count;
    double return_loss_db; /* of the section alone between 50 ohm, at the frequency */
    double frequency;      /* of all these, Hz */
    double swept;          /* value of what is swept, SI; else NAN */
} fl_result_section;

/** What a section was given, or took by default. */
struct fl_result_parameter {
    const char *name;
    fl_dimension dimension;
    double value;
    bool given;
    const char *quantity; /* it comes from; NULL: a value of the section's own, or a model */
    bool sized;           /* the quantity is one to be sized */
    bool substrate;       /* it is the substrate's */
};

/** A file that the design names, for a copy of the design in another folder. */
typedef struct fl_result_file {
    const char *name;    /* from the design's folder */
    const char *written; /* the same with every step: the folders on it must be there too */
    const char *path;    /* where it was found */
    bool installed;      /* an installed model, which the copy finds as well */
    const char *problem; /* why it cannot be kept; NULL: it can */
    const char *text;    /* its bytes [length], once kept; else NULL */
    size_t length;
} fl_result_file;

/** Losses over some frequencies, dB; NULL: not computed. */
typedef struct fl_result_losses {
    double *return_loss_db, *insertion_loss_db;
} fl_result_losses;

/** Losses that so many percent of production do not exceed, by frequency; NULL: not computed. */
typedef struct fl_result_envelope {
    double *return_loss_db[FL_ENVELOPE_PERCENTS], *insertion_loss_db[FL_ENVELOPE_PERCENTS];
} fl_result_envelope;

/** Frequencies at which the impedance is followed through the path: low, mid and high. */
enum { FL_WALKS = 3 };

/** One case as pictures show it. */
typedef struct fl_result_picture {
    fl_result_losses present, uncompensated, wide_present, wide_uncompensated;
    fl_result_envelope envelope;
    const char **left_out; /* sections that the uncompensated path is without */
    size_t left_out_count;
    const char **sections; /* [section_count], names */
    size_t section_count;
    fl_walk walks[FL_WALKS]; /* steps: the die port, then the sections */
} fl_result_picture;

/** What pictures show and no other report does. */
typedef struct fl_result_pictures {
    double *frequencies, *wide; /* [count], [wide_count] Hz, rising */
    size_t count, wide_count;
    const char **wide_notes; /* where the wide sweep ends early or leaves a model's range */
    size_t wide_note_count;
    int port;                 /* of the return losses */
    uint64_t samples;         /* behind the envelopes; 0: there are none */
    fl_result_picture *cases; /* [case_count] */
    fl_levels levels;
    const char **not_modelled;
    size_t not_modelled_count;
    const char **cautions;
    size_t caution_count;
} fl_result_pictures;

struct fl_result {
    fl_arena arena;
    const char *command; /* "size" */
    const char *title;
    const char *file;
    uint64_t seed;
    double band_low, band_high; /* Hz */
    size_t points;
    double centre; /* frequency of the electrical values, Hz */
    double confidence;
    const char **warnings;
    size_t warning_count;

    fl_result_section *sections; /* check; model: one a frequency or a swept value */
    size_t section_count;
    fl_result_parameter *parameters; /* model: but for the one swept */
    size_t parameter_count;
    const char *swept_name; /* parameter that a model was swept over; NULL: none */
    fl_dimension swept_dimension;
    fl_result_quantity *quantities; /* all but model */
    size_t quantity_count;

    bool has_sizing;
    fl_result_sized_value *sized;
    size_t sized_count;
    double free_margin_db; /* before placing on grids */
    size_t starts;

    fl_result_case *cases;
    size_t case_count;
    bool has_margin;
    bool implied; /* no requirement was given: margin_db is the worst return loss itself */
    double margin_db;
    bool met;
    bool interrupted;

    bool has_sensitivity;
    fl_result_sensitivity *sensitivity;
    size_t sensitivity_count;
    double sensitivity_base_db;

    bool has_yield;
    uint64_t samples, passed, not_physical;
    double estimate, low, high;
    fl_stopping stopping;
    fl_sampling sampling;
    fl_basis basis;   /* of all intervals */
    double effective; /* independent samples that would tell as much */
    fl_plan plan;     /* of no wafers: none */
    fl_rarity rare;   /* of importance sampling; its points are in failure_points */
    fl_result_failure *failure_points; /* [rare.point_count]; without counts */
    fl_spreading wafers, lots;
    uint64_t *wafer_passed; /* [wafers.count] */
    fl_percentile *percentiles;
    size_t percentile_count;
    fl_curve_point *curve;
    size_t curve_count;
    fl_bars bars; /* of the worst return loss; count 0: none */
    fl_result_failure *failures;
    size_t failure_count;
    fl_result_shift *shifts;
    size_t shift_count;
    const char **kept_names;                      /* [kept_columns] quantity names */
    size_t kept_columns;                          /* quantities with a spread */
    double *kept;                                 /* [kept_count][kept_columns] values */
    double *kept_return_loss_db, *kept_margin_db; /* [kept_count][case_count] */
    bool *kept_passed;
    size_t kept_count;

    fl_result_pictures *pictures; /* NULL: none were asked for */
    const char *live;             /* [live_length] bytes of a live model; NULL: nothing to turn */
    size_t live_length;

    const char *folder;    /* of the design */
    fl_result_file *files; /* named by the design or by its model files beside it */
    size_t file_count;
    char *sized_design; /* the design's text with the starts written in; NULL: none */
    size_t sized_design_length;
};

/* Each fl_result_add_* copies what it is given; a status of FL_NO_MEMORY leaves the result fit to
 * be freed only. */

/** A new result with title, band, seed and warnings of the design. */
fl_status fl_result_new(fl_result **result, const char *command, const fl_study *study,
                        fl_error *error);

/** Keeps the bytes of the files that the design names. One that cannot be kept has its problem said
 * and is no failure here: the result is well without it, a copy of the design is not. */
fl_status fl_result_keep_files(fl_result *result, fl_error *error);

/** Warnings of fits that were made for a study; each text once. */
fl_status fl_result_add_warnings(fl_result *result, const fl_groundwork *groundwork,
                                 fl_error *error);

/** A warning of what failed without harm to the result, with the reason. */
fl_status fl_result_add_warning(fl_result *result, const char *what, const fl_error *reason,
                                fl_error *error);

/** Sections of every case and quantities, at the given quantities. The first case stands whole, in
 * the order of its path; of the others there is what differs. A section that is the same in every
 * case has no case name. */
fl_status fl_result_add_check(fl_result *result, const fl_study *study, const double *quantities,
                              fl_error *error);

/** All quantities at their values, with range and spread. */
fl_status fl_result_add_quantities(fl_result *result, const fl_study *study,
                                   const double *quantities, fl_error *error);

/** Response of every case, worst of every requirement, and the pieces that the path is of. */
fl_status fl_result_add_response(fl_result *result, const fl_study *study, const double *quantities,
                                 fl_error *error);

/** The path of every case with the values of its parameters. */
fl_status fl_result_add_pieces(fl_result *result, const fl_design *design, const double *quantities,
                               fl_error *error);

/** Sized values, and the design's text with them. */
fl_status fl_result_add_sizing(fl_result *result, const fl_study *study, const fl_sizing *sizing,
                               fl_error *error);
fl_status fl_result_add_sensitivity(fl_result *result, const fl_study *study,
                                    const fl_sensing *sensing, fl_error *error);
fl_status fl_result_add_yield(fl_result *result, const fl_study *study, const fl_yielding *yielding,
                              fl_error *error);

/** What only pictures show, at the given quantities; what production does to them too, if the
 * groundwork is made ready for spreads. */
fl_status fl_result_add_pictures(fl_result *result, const fl_study *study, const double *quantities,
                                 bool production, fl_error *error);

/** The live model at the given quantities, if there is a size to turn and a kernel to turn it with;
 * a warning where it cannot be made. */
fl_status fl_result_add_live(fl_result *result, const fl_study *study, const double *quantities,
                             fl_error *error);

#endif
