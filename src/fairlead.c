/** The public functions that bind the parts: reading a design, running a study, one model. */
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
const char *fl_kind_name(size_t index)
{
    for (size_t i = 0; fl_models[i]; i++)
        if (i == index)
            return fl_models[i]->kind.name;
    return NULL;
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
    run->quantities = fl_memory_take(design->quantity_count, sizeof *run->quantities);
    if (!run->quantities)
        return fl_fail_memory(error);
    fl_design_start(design, run->quantities);
    const fl_status status = fl_result_new(&run->result, command, &run->study, error);
    if (status != FL_OK)
        return status;
    const fl_vary vary = {what == VARIES_SIZES, what == VARIES_SPREADS, run->quantities};
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

fl_status fl_response(fl_result **result, const fl_design *design, const fl_options *options,
                      fl_error *error)
{
    study_run run;
    fl_status status = begin(&run, "response", VARIES_NOTHING, design, options, error);
    if (status == FL_OK)
        status = fl_result_add_response(run.result, &run.study, run.quantities, error);
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
        status = fl_result_add_response(run.result, &run.study, run.quantities, error);
    if (status == FL_OK)
        status = fl_sensing_run(&sensing, &run.study, run.quantities, NULL, error);
    if (status == FL_OK && sensing.interrupted)
        run.result->interrupted = true;
    else if (status == FL_OK)
        status = fl_result_add_sensitivity(run.result, &run.study, &sensing, error);
    fl_sensing_release(&sensing);
    return end(&run, result, status, error);
}

/** Of an interrupted yield what was drawn is shown, with the wider interval of fewer samples. */
fl_status fl_yield(fl_result **result, const fl_design *design, const fl_options *options,
                   fl_error *error)
{
    study_run run;
    fl_yielding yielding = {0};
    fl_status status = begin(&run, "yield", VARIES_SPREADS, design, options, error);
    if (status == FL_OK)
        status = fl_result_add_response(run.result, &run.study, run.quantities, error);
    if (status == FL_OK)
        status = fl_yielding_run(&yielding, &run.study, run.quantities, error);
    if (status == FL_OK && yielding.samples == 0)
        run.result->interrupted = yielding.interrupted;
    else if (status == FL_OK)
        status = fl_result_add_yield(run.result, &run.study, &yielding, error);
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
            fit_models(&run, &(fl_vary){.spreads = true, .quantities = sizing.quantities}, error);
    if (status == FL_OK)
        status = fl_result_add_response(run.result, &run.study, sizing.quantities, error);
    if (status == FL_OK && !sizing.interrupted)
        status = add_statistics(&run, sizing.quantities, error);
    fl_sizing_release(&sizing);
    return end(&run, result, status, error);
}

/* ---- one model ---- */

/** "span=300 um", taken apart. */
typedef struct assignment {
    const char *name, *value; /* in an arena */
    const fl_parameter *parameter;
} assignment;

static fl_status find_kind(const fl_kind **kind, const char *name, fl_error *error)
{
    const fl_kind *kinds[KINDS];
    const char *names[KINDS];
    const size_t count = fl_models_kinds(kinds, KINDS);
    for (size_t i = 0; i < count; i++) {
        names[i] = kinds[i]->name;
        if (strcmp(name, names[i]) == 0)
            *kind = kinds[i];
    }
    if (*kind && !(*kind)->takes_file)
        return FL_OK;
    if (*kind)
        return fl_fail(error, FL_BAD_INPUT, name,
                       "its values come from a file: put it into a design and use 'check'");
    const char *nearest = fl_nearest(name, names, count);
    if (nearest)
        return fl_fail(error, FL_BAD_INPUT, "", "unknown kind '%s', did you mean '%s'", name,
                       nearest);
    return fl_fail(error, FL_BAD_INPUT, "", "unknown kind '%s'", name);
}

static fl_status find_parameter(assignment *part, const fl_kind *kind, fl_error *error)
{
    const char *names[FL_PARTIALS];
    for (size_t i = 0; i < kind->parameter_count; i++) {
        part->parameter = &kind->parameters[i];
        names[i] = part->parameter->name;
        if (strcmp(part->name, names[i]) == 0)
            return FL_OK;
    }
    const char *nearest = fl_nearest(part->name, names, kind->parameter_count);
    if (nearest)
        return fl_fail(error, FL_BAD_INPUT, kind->name, "unknown parameter '%s', did you mean '%s'",
                       part->name, nearest);
    return fl_fail(error, FL_BAD_INPUT, kind->name, "unknown parameter '%s'", part->name);
}

/** The value may hold further signs of equality. */
static fl_status split_assignment(assignment *parts, const char *text, fl_arena *arena,
                                  fl_error *error)
{
    const char *sign = strchr(text, '=');
    if (!sign)
        return fl_fail(error, FL_BAD_INPUT, "",
                       "expected 'parameter=value', such as 'span=300 um', found '%s'", text);
    parts->name = fl_arena_copy(arena, text, (size_t)(sign - text));
    parts->value = sign + 1;
    return parts->name ? FL_OK : fl_fail_memory(error);
}

/** Names are checked before anything is computed, each with its own message. */
static fl_status split_all(assignment *parts, const char *const *assignments, size_t count,
                           const fl_kind *kind, fl_arena *arena, fl_error *error)
{
    for (size_t i = 0; i < count; i++) {
        fl_status status = split_assignment(&parts[i], assignments[i], arena, error);
        if (status == FL_OK)
            status = find_parameter(&parts[i], kind, error);
        for (size_t j = 0; status == FL_OK && j < i; j++)
            if (strcmp(parts[j].name, parts[i].name) == 0)
                status =
                    fl_fail(error, FL_BAD_INPUT, kind->name, "'%s' is given twice", parts[i].name);
        if (status != FL_OK)
            return status;
    }
    return FL_OK;
}

/** What a substrate must give is asked for by the parameter's name, as it is given here. */
static fl_status check_substrate(const assignment *parts, size_t count, const fl_kind *kind,
                                 fl_error *error)
{
    for (size_t i = 0; i < kind->parameter_count; i++) {
        const fl_parameter *parameter = &kind->parameters[i];
        bool given = !parameter->substrate || !parameter->required;
        for (size_t j = 0; j < count && !given; j++)
            given = parts[j].parameter == parameter;
        if (!given)
            return fl_fail(error, FL_BAD_INPUT, kind->name, "'%s' is missing", parameter->name);
    }
    return FL_OK;
}

/** A JSON string; a plain number goes in as it is, for a parameter without a unit. */
static void add_value(fl_text *text, const char *value)
{
    double number = 0.0;
    const char *end = fl_number_read(&number, value, 0);
    if (end && !*end) {
        fl_text_add(text, value[0] == '+' ? value + 1 : value);
        return;
    }
    fl_text_add(text, "\"");
    for (; *value; value++) {
        if (*value == '"' || *value == '\\')
            fl_text_add(text, "\\");
        fl_text_add_bytes(text, value, 1);
    }
    fl_text_add(text, "\"");
}

/** The values of the section, or those of its substrate, each behind a comma. */
static void add_values(fl_text *text, const assignment *parts, size_t count, bool of_substrate)
{
    for (size_t i = 0; i < count; i++) {
        if (parts[i].parameter->substrate != of_substrate)
            continue;
        fl_text_print(text, ",\n\"%s\": ", fl_parameter_key(parts[i].parameter));
        add_value(text, parts[i].value);
    }
}

/** A design of one section, whose band is centred at a frequency. */
static void add_design(fl_text *text, const fl_kind *kind, const assignment *parts, size_t count,
                       double frequency)
{
    char low[FL_NUMBER_ROOM], high[FL_NUMBER_ROOM];
    const bool on_substrate = fl_kind_has_substrate(kind);
    fl_number_text(low, 0.5 * frequency);
    fl_number_text(high, 1.5 * frequency);
    fl_text_print(text, "{\"fairlead\": 1, \"band\": [\"%s Hz\", \"%s Hz\"],\n", low, high);
    fl_text_add(text, "\"ports\": {\"die\": {\"impedance\": \"50 ohm\"},"
                      " \"board\": {\"impedance\": \"50 ohm\"}},\n");
    if (on_substrate) {
        fl_text_add(text, "\"substrates\": {\"substrate\": {\"comment\": \"\"");
        add_values(text, parts, count, true);
        fl_text_add(text, "}},\n");
    }
    fl_text_print(text, "\"path\": [{\"name\": \"%s\", \"kind\": \"%s\", \"side\": \"package\"%s",
                  kind->name, kind->name, on_substrate ? ", \"substrate\": \"substrate\"" : "");
    add_values(text, parts, count, false);
    fl_text_add(text, "}]}\n");
}

static const char *behind_mark(const char *place, const char *mark)
{
    const char *found = strstr(place, mark);
    return found ? found + strlen(mark) : NULL;
}

/** Turns the place of an error in the made design into the parameter or the kind at fault. */
static fl_status name_fault(fl_status status, const fl_kind *kind, fl_error *error)
{
    if (!error || status != FL_BAD_INPUT)
        return status;
    const fl_error found = *error;
    const char *key = behind_mark(found.place, "path[0].");
    const char *of_substrate = behind_mark(found.place, "substrates.substrate.");
    if (!key && !of_substrate)
        return fl_fail(error, status, kind->name, "%s", found.message);
    char place[sizeof found.place + 16];
    snprintf(place, sizeof place, "%s%s", key ? "" : "substrate ", key ? key : of_substrate);
    return fl_fail(error, status, place, "%s", found.message);
}

/** The made design goes through all checks of a design that was read. */
static fl_status describe(fl_result **result, const fl_kind *kind, const assignment *parts,
                          size_t count, double frequency, fl_error *error)
{
    fl_design *design = NULL;
    fl_text text;
    fl_text_init(&text);
    add_design(&text, kind, parts, count, frequency);
    fl_status status = fl_text_failed(&text) ? fl_fail_memory(error) : FL_OK;
    if (status == FL_OK)
        status = name_fault(fl_design_parse(&design, text.bytes, text.length, "model", NULL, error),
                            kind, error);
    if (status == FL_OK && design)
        status = fl_check(result, design, NULL, error);
    if (status == FL_OK) {
        (*result)->command = "model";
        (*result)->title = kind->name;
        (*result)->file = "";
    }
    fl_design_free(design);
    fl_text_release(&text);
    return status;
}

/** Every frequency above zero: the models tell where they hold. */
static fl_status read_frequency(double *value, const char *text, fl_error *error)
{
    fl_status status = fl_unit_read(value, text ? text : "28 GHz", FL_FREQUENCY, error);
    if (status != FL_OK)
        return fl_fail_within(error, status, "frequency");
    if (*value <= 0.0)
        return fl_fail(error, FL_BAD_INPUT, "frequency", "expected more than zero, found '%s'",
                       text);
    return FL_OK;
}

/** Kind, names, frequency, values: what is wrong first on the line is named first. */
fl_status fl_model(fl_result **result, const char *kind, const char *const *assignments,
                   size_t count, const char *frequency, fl_error *error)
{
    const fl_kind *found = NULL;
    double hertz = 0.0;
    fl_arena arena;
    fl_arena_init(&arena);
    assignment *parts = fl_arena_take(&arena, count, sizeof *parts);
    if (!parts)
        return fl_fail_memory(error);
    fl_status status = find_kind(&found, kind, error);
    if (status == FL_OK && found)
        status = split_all(parts, assignments, count, found, &arena, error);
    if (status == FL_OK && found)
        status = check_substrate(parts, count, found, error);
    if (status == FL_OK)
        status = read_frequency(&hertz, frequency, error);
    if (status == FL_OK && found)
        status = describe(result, found, parts, count, hertz, error);
    fl_arena_release(&arena);
    return status;
}
