/**
 * The result as JSON: head, sized values, cases with their response. The keys are those of
 * docs/design-file.md and stay as they are: programs of others read them. Nothing is computed
 * here.
 */
#include "reports/json.h"

void fl_json_port(fl_stream *json, fl_asked asked, int port)
{
    fl_stream_key(json, "port");
    if (asked == FL_RETURN_LOSS)
        fl_stream_string(json, port == FL_PORT_DIE ? "die" : "board");
    else
        fl_stream_null(json);
}

/** Bound that holds a value; NULL, so null, when none does. */
static const char *bound_name(fl_bound bound)
{
    return bound == FL_BOUND_LOW ? "low" : bound == FL_BOUND_HIGH ? "high" : NULL;
}

/** One chosen value, as a number in SI units and as a text for people. */
static void write_sized(fl_stream *json, const fl_result_sized_value *value)
{
    char text[FL_UNIT_ROOM];
    fl_unit_text(text, value->value, value->dimension, 5);
    fl_stream_open(json, '{', false);
    fl_stream_string_at(json, "name", value->name);
    fl_stream_string_at(json, "case", value->case_name);
    fl_stream_number_at(json, "value", value->value);
    fl_stream_string_at(json, "unit", fl_unit_name(value->dimension));
    fl_stream_string_at(json, "text", text);
    fl_stream_number_at(json, "low", value->low);
    fl_stream_number_at(json, "high", value->high);
    fl_stream_key(json, "grid");
    if (value->grid > 0.0)
        fl_stream_number(json, value->grid);
    else
        fl_stream_null(json);
    fl_stream_string_at(json, "at bound", bound_name(value->bound));
    fl_stream_close(json, '}');
}

/** An empty list says that there was nothing to size, null that nothing was sized. */
static void write_all_sized(fl_stream *json, const fl_result *result)
{
    fl_stream_key(json, "sized");
    if (!result->has_sizing) {
        fl_stream_null(json);
        return;
    }
    fl_stream_open(json, '[', false);
    for (size_t i = 0; i < result->sized_count; i++)
        write_sized(json, &result->sized[i]);
    fl_stream_close(json, ']');
}

/** A limit goes under the key of its own sense; the other key is null, so that both are always
 * there. */
static void write_limit_at(fl_stream *json, const char *key, const fl_result_worst *worst,
                           bool at_least)
{
    fl_stream_key(json, key);
    if (worst->has_limit && worst->at_least == at_least)
        fl_stream_number(json, worst->limit_db);
    else
        fl_stream_null(json);
}

/** Two numbers on one line: a complex value, or a band. */
static void write_pair(fl_stream *json, const double pair[2])
{
    fl_stream_open(json, '[', true);
    fl_stream_number(json, pair[0]);
    fl_stream_number(json, pair[1]);
    fl_stream_close(json, ']');
}

/** A requirement where it is worst in one case. */
static void write_worst(fl_stream *json, const fl_result_worst *worst)
{
    const double band[2] = {worst->band_low, worst->band_high};
    fl_stream_open(json, '{', false);
    fl_stream_string_at(json, "quantity", fl_asked_name(worst->asked));
    fl_json_port(json, worst->asked, worst->port);
    fl_stream_number_at(json, "value dB", worst->value_db);
    fl_stream_number_at(json, "frequency Hz", worst->frequency);
    fl_stream_number_at(json, "margin dB", worst->margin_db);
    write_limit_at(json, "at least dB", worst, true);
    write_limit_at(json, "at most dB", worst, false);
    fl_stream_number_at(json, "weight", worst->weight);
    fl_stream_key(json, "band Hz");
    write_pair(json, band);
    fl_stream_close(json, '}');
}

/** All requirements of a case, worst first; null if the command computed no margins. */
static void write_worst_of(fl_stream *json, const fl_result *result, const fl_result_case *row)
{
    fl_stream_key(json, "worst");
    if (!result->has_margin) {
        fl_stream_null(json);
        return;
    }
    fl_stream_open(json, '[', false);
    for (size_t i = 0; i < row->worst_count; i++)
        write_worst(json, &row->worst[i]);
    fl_stream_close(json, ']');
}

/** One S-parameter over frequency, real and imaginary part in pairs. */
static void write_parameter(fl_stream *json, const char *key, double (*s)[2], size_t count)
{
    fl_stream_key(json, key);
    fl_stream_open(json, '[', true);
    for (size_t i = 0; i < count; i++)
        write_pair(json, s[i]);
    fl_stream_close(json, ']');
}

/** Port 1 is the die, port 2 the board, each normalised to its own port impedance. */
static void write_response(fl_stream *json, const fl_result_case *row)
{
    const fl_scatter *response = &row->response;
    fl_stream_key(json, "response");
    if (response->count == 0) {
        fl_stream_null(json);
        return;
    }
    fl_stream_open(json, '{', false);
    fl_stream_key(json, "frequency Hz");
    fl_stream_open(json, '[', true);
    for (size_t i = 0; i < response->count; i++)
        fl_stream_number(json, response->frequencies[i]);
    fl_stream_close(json, ']');
    write_parameter(json, "s11", response->s11, response->count);
    write_parameter(json, "s21", response->s21, response->count);
    write_parameter(json, "s12", response->s12, response->count);
    write_parameter(json, "s22", response->s22, response->count);
    fl_stream_close(json, '}');
}

/** Yield of one case by itself; that of all cases together is at the top level. */
static void write_case_yield(fl_stream *json, const fl_result *result, const fl_result_case *row)
{
    fl_stream_key(json, "yield");
    if (!result->has_yield) {
        fl_stream_null(json);
        return;
    }
    fl_stream_open(json, '{', false);
    fl_stream_integer_at(json, "passed", row->passed);
    fl_stream_number_at(json, "estimate", row->yield);
    fl_stream_number_at(json, "low", row->yield_low);
    fl_stream_number_at(json, "high", row->yield_high);
    fl_stream_close(json, '}');
}

/** The cases in the order of the design, whichever is worst. */
static void write_cases(fl_stream *json, const fl_result *result)
{
    fl_stream_key(json, "cases");
    if (result->case_count == 0) {
        fl_stream_null(json);
        return;
    }
    fl_stream_open(json, '[', false);
    for (size_t i = 0; i < result->case_count; i++) {
        const fl_result_case *row = &result->cases[i];
        fl_stream_open(json, '{', false);
        fl_stream_string_at(json, "name", row->name);
        write_worst_of(json, result, row);
        write_response(json, row);
        write_case_yield(json, result, row);
        fl_stream_close(json, '}');
    }
    fl_stream_close(json, ']');
}

/** What the result is of. Margins are numbers even where they are missed: negative ones. */
static void write_head(fl_stream *json, const fl_result *result)
{
    const double band[2] = {result->band_low, result->band_high};
    fl_stream_integer_at(json, "fairlead", 1);
    fl_stream_string_at(json, "command", result->command);
    fl_stream_string_at(json, "title", result->title);
    fl_stream_string_at(json, "version", fl_version());
    fl_stream_string_at(json, "file", result->file);
    fl_stream_integer_at(json, "seed", result->seed);
    fl_stream_key(json, "band Hz");
    write_pair(json, band);
    fl_stream_integer_at(json, "points", result->points);
    fl_stream_number_at(json, "centre Hz", result->centre);
    fl_stream_key(json, "interrupted");
    fl_stream_truth(json, result->interrupted);
    fl_stream_key(json, "met");
    if (result->has_margin)
        fl_stream_truth(json, result->met);
    else
        fl_stream_null(json);
    fl_stream_number_at(json, "margin dB", result->margin_db);
    fl_stream_number_at(json, "free margin dB", result->free_margin_db);
}

/** What reading the design warned of; an empty list if nothing. */
static void write_warnings(fl_stream *json, const fl_result *result)
{
    fl_stream_key(json, "warnings");
    fl_stream_open(json, '[', false);
    for (size_t i = 0; i < result->warning_count; i++)
        fl_stream_string(json, result->warnings[i]);
    fl_stream_close(json, ']');
}

/** Every key is there in every result, null where the command does not compute it: who reads it
 * need not ask which command wrote it. */
fl_status fl_report_json(fl_report *report, const fl_result *result, fl_error *error)
{
    fl_text text;
    fl_stream json;
    fl_text_init(&text);
    fl_stream_init(&json, &text);
    fl_stream_open(&json, '{', false);
    write_head(&json, result);
    write_all_sized(&json, result);
    write_cases(&json, result);
    fl_stream_key(&json, "limit");
    fl_stream_null(&json);
    fl_stream_number_at(&json, "sensitivity base dB", result->sensitivity_base_db);
    fl_json_sensitivity(&json, result);
    fl_json_yield(&json, result);
    fl_json_sections(&json, result);
    fl_json_parameters(&json, result);
    fl_json_swept(&json, result);
    fl_json_quantities(&json, result);
    write_warnings(&json, result);
    fl_stream_close(&json, '}');
    fl_text_add(&text, "\n");
    return fl_report_take(report, &text, error);
}
