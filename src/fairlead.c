/** The public functions that bind the parts: kinds, reading a design, running a study. */
#include "fairlead.h"

#include <gsl/gsl_errno.h>
#include <stdio.h>
#include <string.h>

#include "base/file.h"
#include "base/text.h"
#include "design/design.h"
#include "design/json.h"
#include "models/models.h"
#include "path/path.h"
#include "result/result.h"
#include "studies/studies.h"

#ifndef FL_VERSION
#define FL_VERSION "0.0.0"
#endif
#ifndef FL_MODELS_FOLDER
#define FL_MODELS_FOLDER NULL
#endif

/* Room for the list of kinds. */
enum { KINDS = 64 };

/** From the list in the header, so that no status can lack its text. */
const char *fl_status_text(fl_status status)
{
    switch (status) {
#define STATUS_CASE(code, text)                                                                    \
    case code:                                                                                     \
        return text;
        FL_STATUS_LIST(STATUS_CASE)
#undef STATUS_CASE
    }
    return "unknown status";
}

const char *fl_version(void)
{
    return FL_VERSION;
}

void fl_options_init(fl_options *options)
{
    *options = (fl_options){.seed = -1};
}

/** Past the end there is NULL, whatever the index. */
static const fl_kind *kind_at(size_t index)
{
    for (size_t i = 0; fl_models[i]; i++)
        if (i == index)
            return &fl_models[i]->kind;
    return NULL;
}

const char *fl_kind_name(size_t index)
{
    const fl_kind *kind = kind_at(index);
    return kind ? kind->name : NULL;
}

const char *fl_kind_summary(size_t index)
{
    const fl_kind *kind = kind_at(index);
    return kind ? kind->summary : NULL;
}

int fl_kind_takes_file(size_t index)
{
    const fl_kind *kind = kind_at(index);
    return kind && kind->takes_file;
}

/** A fallback that the parameter itself may not have stands for its absence. */
fl_status fl_kind_parameter(fl_parameter_info *parameter, size_t kind, size_t index)
{
    const fl_kind *of = kind_at(kind);
    if (!of || index >= of->parameter_count)
        return FL_BAD_INPUT;
    const fl_parameter *found = &of->parameters[index];
    *parameter = (fl_parameter_info){
        .name = found->name, .unit = fl_unit_name(found->dimension), .required = found->required};
    _Static_assert(sizeof parameter->fallback >= FL_UNIT_ROOM, "room for any value");
    if (!found->required && fl_rule_holds(found->rule, found->fallback))
        fl_unit_text(parameter->fallback, found->fallback, found->dimension, 6);
    return FL_OK;
}

/* ---- designs ---- */

static fl_status lay_groundwork(fl_design *design, fl_error *error)
{
    fl_status status = fl_groundwork_new(&design->groundwork, design, error);
    for (size_t i = 0; status == FL_OK && i < fl_groundwork_warning_count(design->groundwork); i++)
        status = fl_design_warn(design, fl_groundwork_warning(design->groundwork, i), error);
    return status;
}

/** Whatever can be refused is refused here: studies take what is left for granted. */
fl_status fl_design_parse(fl_design **design, const char *text, size_t length, const char *name,
                          const char *models_folder, fl_error *error)
{
    const fl_kind *kinds[KINDS];
    fl_design *made = NULL;
    const size_t count = fl_models_kinds(kinds, KINDS);
    const fl_design_source source = {.text = text,
                                     .length = length,
                                     .name = name,
                                     .models_folder =
                                         models_folder ? models_folder : FL_MODELS_FOLDER,
                                     .kinds = kinds,
                                     .kind_count = count};
    gsl_set_error_handler_off();
    fl_status status = fl_design_resolve(&made, &source, error);
    if (status == FL_OK)
        status = fl_models_check(made, error);
    if (status == FL_OK)
        status = lay_groundwork(made, error);
    if (status != FL_OK) {
        fl_design_free(made);
        return status;
    }
    *design = made;
    return FL_OK;
}

/** The text is not needed any more once it is parsed. */
fl_status fl_design_read(fl_design **design, const char *file, const char *models_folder,
                         fl_error *error)
{
    char *text = NULL;
    size_t length = 0;
    fl_status status = fl_file_read(&text, &length, file, FL_JSON_LIMIT, error);
    if (status == FL_OK)
        status = fl_design_parse(design, text, length, file, models_folder, error);
    fl_memory_free(text);
    return status;
}

/** Last what holds the memory of all the rest. */
void fl_design_free(fl_design *design)
{
    if (design)
        fl_groundwork_free(design->groundwork);
    fl_design_release(design);
}

const char *fl_design_title(const fl_design *design)
{
    return design->title ? design->title : "";
}

size_t fl_design_warning_count(const fl_design *design)
{
    return design->warning_count;
}

const char *fl_design_warning(const fl_design *design, size_t index)
{
    return index < design->warning_count ? design->warnings[index] : NULL;
}

/* ---- studies ---- */

/** What a call of a study holds until it hands over its result. */
typedef struct study_run {
    fl_study study;
    fl_groundwork *fitted; /* with the costly models made ready */
    fl_result *result;
    double *quantities; /* present values */
    bool pictures;      /* asked for */
} study_run;

/** Makes the costly models ready for what the study does next, about the values at hand. */
static fl_status fit_models(study_run *run, const fl_vary *vary, fl_error *error)
{
    const fl_design *design = run->study.design;
    fl_groundwork *fitted = NULL;
    const fl_status status = fl_groundwork_fit(&fitted, design->groundwork, vary, error);
    if (status != FL_OK)
        return status;
    fl_groundwork_free(run->fitted);
    run->fitted = fitted;
    run->study.groundwork = fitted;
    return run->result ? fl_result_add_warnings(run->result, fitted, error) : FL_OK;
}

/** What a study varies: nothing, sizes, or spreads. */
typedef enum varying { VARIES_NOTHING, VARIES_SIZES, VARIES_SPREADS } varying;

static fl_status begin(study_run *run, const char *command, varying what, const fl_design *design,
                       const fl_options *options, fl_error *error)
{
    memset(run, 0, sizeof *run);
    fl_study_init(&run->study, design, design->groundwork, options);
    run->pictures = options && options->pictures;
    run->quantities = fl_memory_take(design->quantity_count, sizeof *run->quantities);
    if (!run->quantities)
        return fl_fail_memory(error);
    fl_design_start(design, run->quantities);
    const fl_status status = fl_result_new(&run->result, command, &run->study, error);
    if (status != FL_OK)
        return status;
    const fl_vary vary = {what == VARIES_SIZES, what == VARIES_SPREADS, run->quantities,
                          run->study.threads};
    return fit_models(run, &vary, error);
}

/** Hands over the result, or frees it when the call failed. */
static fl_status end(study_run *run, fl_result **result, fl_status status, fl_error *error)
{
    fl_memory_free(run->quantities);
    fl_groundwork_free(run->fitted);
    if (status != FL_OK) {
        fl_result_free(run->result);
        return status;
    }
    *result = run->result;
    return run->result->interrupted ? fl_fail(error, FL_INTERRUPTED, "", "interrupted") : FL_OK;
}

/** Adds what only pictures show, if it is asked for. An interrupted study draws no more. */
static fl_status add_pictures(study_run *run, const double *quantities, bool production,
                              fl_error *error)
{
    if (!run->pictures)
        return FL_OK;
    const fl_status status = fl_result_add_pictures(run->result, &run->study, quantities,
                                                    production && !run->result->interrupted, error);
    if (status != FL_OK || run->result->interrupted)
        return status;
    return fl_result_add_live(run->result, &run->study, quantities, error);
}

/** Nothing is varied, so nothing is fitted. */
fl_status fl_check(fl_result **result, const fl_design *design, const fl_options *options,
                   fl_error *error)
{
    study_run run;
    fl_status status = begin(&run, "check", VARIES_NOTHING, design, options, error);
    if (status == FL_OK)
        status = fl_result_add_check(run.result, &run.study, run.quantities, error);
    return end(&run, result, status, error);
}

/** What every study but a check shows of the values it is about. */
static fl_status add_nominal(study_run *run, const double *quantities, fl_error *error)
{
    const fl_status status = fl_result_add_quantities(run->result, &run->study, quantities, error);
    return status == FL_OK ? fl_result_add_response(run->result, &run->study, quantities, error)
                           : status;
}

fl_status fl_response(fl_result **result, const fl_design *design, const fl_options *options,
                      fl_error *error)
{
    study_run run;
    fl_status status = begin(&run, "response", VARIES_NOTHING, design, options, error);
    if (status == FL_OK)
        status = add_nominal(&run, run.quantities, error);
    if (status == FL_OK)
        status = add_pictures(&run, run.quantities, false, error);
    return end(&run, result, status, error);
}

/** Of an interrupted sensitivity nothing is shown: half a list would be taken for a whole one. */
fl_status fl_sensitivity(fl_result **result, const fl_design *design, const fl_options *options,
                         fl_error *error)
{
    study_run run;
    fl_sensing sensing = {0};
    fl_status status = begin(&run, "sensitivity", VARIES_SPREADS, design, options, error);
    if (status == FL_OK)
        status = add_nominal(&run, run.quantities, error);
    if (status == FL_OK)
        status = fl_sensing_run(&sensing, &run.study, run.quantities, NULL, error);
    if (status == FL_OK && sensing.interrupted)
        run.result->interrupted = true;
    else if (status == FL_OK)
        status = fl_result_add_sensitivity(run.result, &run.study, &sensing, error);
    if (status == FL_OK)
        status = add_pictures(&run, run.quantities, true, error);
    fl_sensing_release(&sensing);
    return end(&run, result, status, error);
}

/** The yield alone has a checkpoint: what comes after a sizing is done anew with it. */
static fl_status run_yield(fl_yielding *yielding, study_run *run, const fl_options *options,
                           fl_error *error)
{
    fl_study study = run->study;
    study.checkpoint = options ? options->checkpoint : NULL;
    study.resume = options && options->resume;
    const fl_status status = fl_yielding_run(yielding, &study, run->quantities, error);
    if (status != FL_OK || yielding->lost.status == FL_OK)
        return status;
    return fl_result_add_warning(run->result, "the checkpoint could not be written",
                                 &yielding->lost, error);
}

/** Of an interrupted yield what was drawn is shown, with the wider interval of fewer samples. */
fl_status fl_yield(fl_result **result, const fl_design *design, const fl_options *options,
                   fl_error *error)
{
    study_run run;
    fl_yielding yielding = {0};
    fl_status status = begin(&run, "yield", VARIES_SPREADS, design, options, error);
    if (status == FL_OK)
        status = add_nominal(&run, run.quantities, error);
    if (status == FL_OK)
        status = run_yield(&yielding, &run, options, error);
    if (status == FL_OK && yielding.samples == 0)
        run.result->interrupted = yielding.interrupted;
    else if (status == FL_OK)
        status = fl_result_add_yield(run.result, &run.study, &yielding, error);
    if (status == FL_OK)
        status = add_pictures(&run, run.quantities, true, error);
    fl_yielding_release(&yielding);
    return end(&run, result, status, error);
}

/** Whether production varies at all. */
static bool has_spread(const fl_design *design)
{
    for (size_t i = 0; i < design->quantity_count; i++)
        if (design->quantities[i].spread_count > 0)
            return true;
    return false;
}

/** Yield, if anything varies, and sensitivity with its shares; neither when interrupted. */
static fl_status add_statistics(study_run *run, const double *quantities, fl_error *error)
{
    fl_yielding yielding = {0};
    fl_sensing sensing = {0};
    const bool spread = has_spread(run->study.design);
    fl_status status = FL_OK;
    if (spread)
        status = fl_yielding_run(&yielding, &run->study, quantities, error);
    if (status == FL_OK && !yielding.interrupted)
        status =
            fl_sensing_run(&sensing, &run->study, quantities, spread ? &yielding : NULL, error);
    if (status == FL_OK && (yielding.interrupted || sensing.interrupted)) {
        run->result->interrupted = true;
        goto cleanup;
    }
    if (status == FL_OK && spread)
        status = fl_result_add_yield(run->result, &run->study, &yielding, error);
    if (status == FL_OK)
        status = fl_result_add_sensitivity(run->result, &run->study, &sensing, error);
cleanup:
    fl_sensing_release(&sensing);
    fl_yielding_release(&yielding);
    return status;
}

/** The sizing is added before all else, so that an interrupt never costs it. */
fl_status fl_size(fl_result **result, const fl_design *design, const fl_options *options,
                  fl_error *error)
{
    study_run run;
    fl_sizing sizing = {0};
    fl_status status = begin(&run, "size", VARIES_SIZES, design, options, error);
    if (status == FL_OK)
        status = fl_result_keep_files(run.result, error);
    if (status == FL_OK)
        status = fl_sizing_run(&sizing, &run.study, error);
    if (status == FL_OK)
        status = fl_result_add_sizing(run.result, &run.study, &sizing, error);
    if (status == FL_OK)
        status =
            fit_models(&run, &(fl_vary){false, true, sizing.quantities, run.study.threads}, error);
    if (status == FL_OK)
        status = add_nominal(&run, sizing.quantities, error);
    if (status == FL_OK && !sizing.interrupted)
        status = add_statistics(&run, sizing.quantities, error);
    if (status == FL_OK)
        status = add_pictures(&run, sizing.quantities, true, error);
    fl_sizing_release(&sizing);
    return end(&run, result, status, error);
}
