/**
 * Fairlead: sizing of compensation networks between a millimetre-wave chip and a board.
 *
 * A design file (JSON, see docs/design-file.md) describes the transition from die to board, the
 * band, what is required and which values may be chosen. A design is read once and is constant
 * afterwards; each study turns a design into a result; reports turn a result into text.
 *
 *     fl_design *design = NULL;
 *     fl_result *result = NULL;
 *     fl_error error;
 *     if (fl_design_read(&design, "absorb.json", NULL, &error) == FL_OK &&
 *         fl_size(&result, design, NULL, &error) == FL_OK)
 *         fl_report_write(result, "out", &error);
 *     fl_result_free(result);
 *     fl_design_free(design);
 *
 * Units are SI, except that a name ending in _db is in decibel and in _percent in percent.
 * Errors are values: a status, the place at fault, and a message. On failure no output argument
 * is changed, unless the function says otherwise. The library prints nothing, never exits, and
 * holds no state of its own. It switches off the process-wide error handler of the GNU Scientific
 * Library, whose default would abort the program.
 *
 * Threads: different designs and results may be used at the same time; one design may serve many
 * studies at once.
 */
#ifndef FAIRLEAD_H
#define FAIRLEAD_H

#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

#if defined(__GNUC__)
#define FL_API __attribute__((visibility("default")))
#else
#define FL_API
#endif

/** What a call came to. A requirement that is missed is a result, not an error. */
#define FL_STATUS_LIST(X)                                                                          \
    X(FL_OK, "done")                                                                               \
    X(FL_BAD_INPUT, "the input is not usable")                                                     \
    X(FL_IO, "a file could not be read or written")                                                \
    X(FL_NO_MEMORY, "out of memory")                                                               \
    X(FL_INTERRUPTED, "interrupted")                                                               \
    X(FL_FAULT, "an internal fault, please report it")

typedef enum fl_status {
#define FL_STATUS_ITEM(code, text) code,
    FL_STATUS_LIST(FL_STATUS_ITEM)
#undef FL_STATUS_ITEM
} fl_status;

/** Where and why a call failed; the caller's, of fixed size, so that reporting never allocates. */
typedef struct fl_error {
    fl_status status;
    char place[256];   /**< "design.json:12:7: path[3].length", "die.s2p:17", or empty */
    char message[384]; /**< what was expected and what was found; no full stop */
} fl_error;

typedef struct fl_design fl_design; /**< a design as read, constant */
typedef struct fl_result fl_result; /**< what a study found, constant */

/**
 * Text of a status.
 * @return a constant string, never NULL.
 */
FL_API const char *fl_status_text(fl_status status);

/**
 * Version of the library, such as "0.1.0".
 * @return a constant string, never NULL.
 */
FL_API const char *fl_version(void);

/**
 * Reads and resolves a design file with all model and data files it names.
 *
 * @param[out] design the new design; free it with fl_design_free.
 * @param[in] file path of the design file.
 * @param[in] models_folder folder of the installed model files; NULL for the built-in place.
 *            Files named in a design are taken from the design's own folder or from here.
 * @param[out] error filled on failure only; may be NULL.
 * @return FL_OK; FL_BAD_INPUT with file, line, column and JSON path in error->place; FL_IO;
 *         FL_NO_MEMORY.
 */
FL_API fl_status fl_design_read(fl_design **design, const char *file, const char *models_folder,
                                fl_error *error);

/**
 * As fl_design_read, from text in memory.
 *
 * @param[in] text   [length] the design in UTF-8; need not end in NUL; borrowed for the call.
 * @param[in] name   name used in messages; its folder part is where other files are looked for.
 */
FL_API fl_status fl_design_parse(fl_design **design, const char *text, size_t length,
                                 const char *name, const char *models_folder, fl_error *error);

/** Frees a design; NULL does nothing. */
FL_API void fl_design_free(fl_design *design);

/**
 * Title of a design.
 * @return text that lives as long as the design; "" when it has none.
 */
FL_API const char *fl_design_title(const fl_design *design);

/** Number of warnings that reading gave. */
FL_API size_t fl_design_warning_count(const fl_design *design);

/**
 * One warning, with its place.
 * @return text that lives as long as the design; NULL if index is out of range.
 */
FL_API const char *fl_design_warning(const fl_design *design, size_t index);

/**
 * Processes that share the work of a study. Each calls the same functions with the same arguments
 * in the same order, on machines of one kind, and gets the same result, which is that of a process
 * alone. A study of several ranks cannot be interrupted. The functions are called by the thread
 * that called the study; they return 0, or anything else when a rank is lost.
 */
typedef struct fl_ranks {
    int rank;  /**< of this process, from 0 */
    int count; /**< of processes */
    /** Hands round pieces [count] of so many bytes each: every rank has filled its own, piece
     * `rank`, and then has all. */
    int (*share)(void *payload, void *pieces, size_t bytes);
    /** Replaces each of counts [count] by its sum over the ranks. */
    int (*add)(void *payload, uint64_t *counts, size_t count);
    void *payload; /**< handed to both */
} fl_ranks;

/** How a study runs. Start from fl_options_init. */
typedef struct fl_options {
    /** Monte Carlo samples; 0: as the design says. With a plan: the lots they fill; with a
     * precision: the most. */
    uint64_t samples;
    int64_t seed; /**< seed of the random numbers, >= 0; -1: as the design says */
    int threads;  /**< threads; 0: all cores */
    /** Of fl_yield: file into which it writes now and then, and at its end, how far it has come; a
     * file that is there already is refused, unless it is resumed. May be NULL. */
    const char *checkpoint;
    int resume;       /**< not 0: go on from the checkpoint, or begin if there is none */
    int keep_samples; /**< not 0: keep the first samples, one by one, for fl_report_samples */
    int pictures;     /**< not 0: compute too what only the pictures of a report show */
    /** Called now and then, one thread at a time; stage is a short constant text, done runs from 0
     * to 1 within a stage. Anything but 0 interrupts the study. May be NULL. */
    int (*progress)(void *payload, const char *stage, double done);
    void *payload;         /**< handed to progress */
    const fl_ranks *ranks; /**< processes that share the work; borrowed; NULL: this one alone */
} fl_options;

/** Sets the defaults: the design's samples and seed, all cores, nothing kept, no progress. */
FL_API void fl_options_init(fl_options *options);

/**
 * Resolves the design at its present values: each section with its electrical values at the band
 * centre, each quantity with its spread.
 *
 * Present values are the fixed ones, the start of a size, or the middle of its range.
 *
 * @param[out] result the new result; free it with fl_result_free.
 * @param[in] options NULL for the defaults.
 * @param[out] error filled on failure only; may be NULL.
 * @return FL_OK, FL_BAD_INPUT, FL_NO_MEMORY.
 */
FL_API fl_status fl_check(fl_result **result, const fl_design *design, const fl_options *options,
                          fl_error *error);

/** Response and margins at the present values. Arguments and errors as fl_check. */
FL_API fl_status fl_response(fl_result **result, const fl_design *design, const fl_options *options,
                             fl_error *error);

/**
 * Sizes the design: chooses every value declared with "size" so that the smallest weighted margin
 * over requirements, band and cases is as large as it can be; then response, sensitivity, yield.
 *
 * The search starts from many points of a low-discrepancy set and is deterministic: the same
 * design and seed give the same bytes on any number of threads. It is a search: the values are
 * the best found, which no search can prove to be the best there are.
 *
 * @return as fl_check, and FL_INTERRUPTED when progress asked to stop: the result is then made
 *         all the same, from the best values so far, without sensitivity and yield.
 */
FL_API fl_status fl_size(fl_result **result, const fl_design *design, const fl_options *options,
                         fl_error *error);

/** Sensitivity at the present values. Arguments and errors as fl_size. */
FL_API fl_status fl_sensitivity(fl_result **result, const fl_design *design,
                                const fl_options *options, fl_error *error);

/**
 * Monte Carlo yield at the present values. Arguments and errors as fl_size.
 *
 * With a checkpoint an interrupted run, or one that was killed, is resumed later by the same call
 * with resume set: it comes to the same bytes as a run that was never ended, on any number of
 * threads. FL_BAD_INPUT when the file is damaged or is of another design, seed or number of
 * samples. A checkpoint that can no more be written later in a run is a warning of the result.
 */
FL_API fl_status fl_yield(fl_result **result, const fl_design *design, const fl_options *options,
                          fl_error *error);

/** What is asked of one section; zeroed, nothing is. All texts are borrowed for the call. */
typedef struct fl_model_options {
    /** [assignment_count] "parameter=value unit", such as "span=300 um". */
    const char *const *assignments;
    size_t assignment_count;
    /** [frequency_count] "28 GHz", or several: "24 GHz, 40 GHz"; none: 28 GHz. At most 100. */
    const char *const *frequencies;
    size_t frequency_count;
    /** "parameter=low:high:count", such as "span=200 um:400 um:5", at the first frequency; 2 to
     * 1000 even steps, both ends included. NULL: none. */
    const char *sweep;
} fl_model_options;

/**
 * One section's electrical values from its parameters, without a design file: at each frequency, or
 * at each value of a sweep. Values of a substrate go by the names of the kind's parameters, such as
 * "substrate height=127 um". Where the model leaves its range the result has a warning.
 *
 * @param[out] result the new result; free it with fl_result_free.
 * @param[in] kind section kind, such as "bond wires"; one that takes a file is refused.
 * @param[in] options NULL for no parameters.
 * @return FL_OK, FL_BAD_INPUT, FL_NO_MEMORY.
 */
FL_API fl_status fl_model(fl_result **result, const char *kind, const fl_model_options *options,
                          fl_error *error);

/**
 * Name of a section kind.
 * @return a constant string; NULL if index is out of range, which ends a loop over all kinds.
 */
FL_API const char *fl_kind_name(size_t index);

/**
 * What a section kind is, in some words.
 * @return a constant string; NULL if index is out of range.
 */
FL_API const char *fl_kind_summary(size_t index);

/** 1 if the values of a section kind come from a file, so that fl_model refuses it, else 0. */
FL_API int fl_kind_takes_file(size_t index);

/** A parameter of a section kind; the strings are constant. */
typedef struct fl_parameter_info {
    const char *name;  /**< "loop height" */
    const char *unit;  /**< SI unit without prefix, "m"; "" of a number */
    int required;      /**< not 0: it must be given */
    char fallback[64]; /**< value when it is not given, "100 um"; "" if there is none */
} fl_parameter_info;

/**
 * A parameter of a section kind.
 * @param[in] kind, index counted from 0.
 * @return FL_OK; FL_BAD_INPUT if either is out of range, which ends a loop over all parameters.
 */
FL_API fl_status fl_kind_parameter(fl_parameter_info *parameter, size_t kind, size_t index);

/** Frees a result; NULL does nothing. */
FL_API void fl_result_free(fl_result *result);

/** 1 when every requirement of the design is met at every frequency and case, else 0. */
FL_API int fl_result_met(const fl_result *result);

/**
 * Smallest weighted margin, dB. With no requirement in the design it is the worst return loss at
 * the board port itself.
 */
FL_API double fl_result_margin_db(const fl_result *result);

/** Number of warnings: those of the design, and what was found since. */
FL_API size_t fl_result_warning_count(const fl_result *result);

/**
 * One warning.
 * @return text that lives as long as the result; NULL if index is out of range.
 */
FL_API const char *fl_result_warning(const fl_result *result, size_t index);

/** Number of sized values. */
FL_API size_t fl_result_sized_count(const fl_result *result);

/**
 * One sized value.
 * @param[out] name  text that lives as long as the result; may be NULL.
 * @param[out] value SI units; may be NULL.
 * @return FL_OK; FL_BAD_INPUT if index is out of range.
 */
FL_API fl_status fl_result_sized(const fl_result *result, size_t index, const char **name,
                                 double *value);

/**
 * Yield of all cases together and its confidence interval, which with a plan of wafers comes from
 * how much wafers or lots differ.
 * @param[out] estimate share of samples that pass; low, high: interval; each may be NULL.
 * @return FL_OK; FL_BAD_INPUT if the result holds no yield.
 */
FL_API fl_status fl_result_yield(const fl_result *result, double *estimate, double *low,
                                 double *high);

/** A report's text: [length] bytes and a NUL; free it with fl_report_free. */
typedef struct fl_report {
    char *text;
    size_t length;
} fl_report;

/** Frees a report's text; the report is then empty. */
FL_API void fl_report_free(fl_report *report);

/** For people: aligned tables of at most 80 columns. */
FL_API fl_status fl_report_text(fl_report *report, const fl_result *result, fl_error *error);

/**
 * Small plots for a terminal, to stand below the text of a sizing or a yield: return loss over the
 * band with what is required, and a histogram of the worst return loss of the samples. Empty for
 * the results of other commands.
 *
 * @param[in] columns of the terminal; taken into 40 to 80.
 * @param[in] blocks not 0: block characters in UTF-8; 0: plain ASCII.
 */
FL_API fl_status fl_report_plot(fl_report *report, const fl_result *result, int columns, int blocks,
                                fl_error *error);

/** JSON with stable keys (docs/design-file.md); never NaN or infinity. */
FL_API fl_status fl_report_json(fl_report *report, const fl_result *result, fl_error *error);

/** Response of all cases as comma-separated values, a line a frequency and case. */
FL_API fl_status fl_report_csv(fl_report *report, const fl_result *result, fl_error *error);

/** The kept samples as comma-separated values; only a header if none were kept. */
FL_API fl_status fl_report_samples(fl_report *report, const fl_result *result, fl_error *error);

/** Good dice of each wafer of a plan as comma-separated values; only a header without one. */
FL_API fl_status fl_report_wafers(fl_report *report, const fl_result *result, fl_error *error);

/** Response of one case as Touchstone 2.0; FL_BAD_INPUT if it has no response or no such case. */
FL_API fl_status fl_report_touchstone(fl_report *report, const fl_result *result, size_t case_index,
                                      fl_error *error);

/** The design file with the chosen values written in as "start". */
FL_API fl_status fl_report_design(fl_report *report, const fl_result *result, fl_error *error);

/**
 * 1 if the result has a response to show but this library was built without the page of
 * report.html, so that fl_report_write leaves that file out; else 0.
 */
FL_API int fl_report_page_left_out(const fl_result *result);

/**
 * The result as one HTML page, whole in itself, that any browser shows without a network.
 * @return FL_OK; FL_BAD_INPUT if this library was built without the page; FL_NO_MEMORY.
 */
FL_API fl_status fl_report_page(fl_report *report, const fl_result *result, fl_error *error);

/**
 * Writes what the result holds into a folder, which is made if missing: result.json, response.csv,
 * report.html, samples.csv, wafers.csv, response.svg and transition.svg (losses over the band; what
 * is built, drawn to scale), transition.s2p (one a case: transition-NAME.s2p, if there are
 * several), sized.json.
 * Each file is written beside its place and renamed, so that a failure leaves the old file whole.
 *
 * Beside sized.json lie copies of the data and model files that the design names, as they were when
 * sizing began, so that it can be read from there. Not copied are installed models, and nothing is
 * into the folder of the design itself. sized.json is written last, when the copies are there.
 *
 * @return FL_OK; FL_IO with the file in error->place, also for one that cannot be kept (over
 *         64 MiB, gone); FL_BAD_INPUT where a file that the design names is called like one of the
 *         result, or where one of the folder would hide an installed model; FL_NO_MEMORY.
 */
FL_API fl_status fl_report_write(const fl_result *result, const char *folder, fl_error *error);

/** Names of the files that fl_report_write writes into a folder, each with a line end. */
FL_API fl_status fl_report_files(fl_report *report, const fl_result *result, const char *folder,
                                 fl_error *error);

#ifdef __cplusplus
}
#endif

#endif
