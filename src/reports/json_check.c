/** The result as JSON: sections with their electrical values, quantities with their spreads. */
#include "reports/json.h"

/** One electrical value; its unit is that of SI. */
static void write_property(fl_stream *json, const fl_property *property)
{
    fl_stream_open(json, '{', true);
    fl_stream_string_at(json, "name", property->name);
    fl_stream_number_at(json, "value", property->value);
    fl_stream_string_at(json, "unit", fl_unit_name(property->dimension));
    fl_stream_close(json, '}');
}

/** One section; without a case it is the same in all. */
static void write_section(fl_stream *json, const fl_result_section *section)
{
    fl_stream_open(json, '{', false);
    fl_stream_string_at(json, "name", section->name);
    fl_stream_string_at(json, "kind", section->kind);
    fl_stream_string_at(json, "side", fl_side_name(section->side));
    fl_stream_string_at(json, "case", section->case_name);
    fl_stream_number_at(json, "frequency Hz", section->frequency);
    fl_stream_number_at(json, "swept", section->swept);
    fl_stream_number_at(json, "return loss dB", section->return_loss_db);
    fl_stream_key(json, "values");
    fl_stream_open(json, '[', false);
    for (size_t i = 0; i < section->property_count; i++)
        write_property(json, &section->properties[i]);
    fl_stream_close(json, ']');
    fl_stream_close(json, '}');
}

/* Null, and not an empty list, from commands that do not look at sections. */
void fl_json_sections(fl_stream *json, const fl_result *result)
{
    fl_stream_key(json, "sections");
    if (!result->sections) {
        fl_stream_null(json);
        return;
    }
    fl_stream_open(json, '[', false);
    for (size_t i = 0; i < result->section_count; i++)
        write_section(json, &result->sections[i]);
    fl_stream_close(json, ']');
}

/** One parameter of a model; given is false where it is the default. */
static void write_parameter(fl_stream *json, const fl_result_parameter *parameter)
{
    fl_stream_open(json, '{', true);
    fl_stream_string_at(json, "name", parameter->name);
    fl_stream_number_at(json, "value", parameter->value);
    fl_stream_string_at(json, "unit", fl_unit_name(parameter->dimension));
    fl_stream_key(json, "given");
    fl_stream_truth(json, parameter->given);
    fl_stream_close(json, '}');
}

void fl_json_parameters(fl_stream *json, const fl_result *result)
{
    fl_stream_key(json, "parameters");
    if (!result->parameters) {
        fl_stream_null(json);
        return;
    }
    fl_stream_open(json, '[', false);
    for (size_t i = 0; i < result->parameter_count; i++)
        write_parameter(json, &result->parameters[i]);
    fl_stream_close(json, ']');
}

void fl_json_swept(fl_stream *json, const fl_result *result)
{
    fl_stream_key(json, "swept");
    if (!result->swept_name) {
        fl_stream_null(json);
        return;
    }
    fl_stream_open(json, '{', true);
    fl_stream_string_at(json, "name", result->swept_name);
    fl_stream_string_at(json, "unit", fl_unit_name(result->swept_dimension));
    fl_stream_close(json, '}');
}

/** One quantity; low and high are null if it is not sized, sigma is zero if it does not vary. */
static void write_quantity(fl_stream *json, const fl_result_quantity *quantity)
{
    fl_stream_open(json, '{', false);
    fl_stream_string_at(json, "name", quantity->name);
    fl_stream_string_at(json, "case", quantity->case_name);
    fl_stream_number_at(json, "value", quantity->value);
    fl_stream_string_at(json, "unit", fl_unit_name(quantity->dimension));
    fl_stream_key(json, "sized");
    fl_stream_truth(json, quantity->sized);
    fl_stream_number_at(json, "low", quantity->low);
    fl_stream_number_at(json, "high", quantity->high);
    fl_stream_number_at(json, "sigma", quantity->sigma);
    fl_stream_string_at(json, "levels", quantity->levels);
    fl_stream_close(json, '}');
}

/* As the sections: null where quantities were not looked at. */
void fl_json_quantities(fl_stream *json, const fl_result *result)
{
    fl_stream_key(json, "quantities");
    if (!result->quantities) {
        fl_stream_null(json);
        return;
    }
    fl_stream_open(json, '[', false);
    for (size_t i = 0; i < result->quantity_count; i++)
        write_quantity(json, &result->quantities[i]);
    fl_stream_close(json, ']');
}
