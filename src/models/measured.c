/* A section given by network data (Touchstone): two of the file's ports, the others terminated in
 * their reference. */
#include <stddef.h>

#include "models/kinds.h"

enum { DIE_PORT, BOARD_PORT };

static const char *refuse_measured(const double *parameters)
{
    if (parameters[DIE_PORT] == parameters[BOARD_PORT])
        return "'die port' and 'board port' are the same";
    return NULL;
}

/* Data have no values: the two-port comes from the file. */
static void evaluate_measured(fl_dual (*values)[FL_VALUES], const fl_dual *parameters,
                              const fl_setting *setting)
{
    (void)parameters;
    (void)setting;
    for (int i = 0; i < FL_VALUES; i++)
        values[0][i] = fl_dual_constant(0.0);
}

static size_t describe_measured(fl_property *properties, const double *parameters,
                                const fl_setting *setting)
{
    (void)setting;
    properties[0] = (fl_property){"die port", FL_NUMBER, parameters[DIE_PORT]};
    properties[1] = (fl_property){"board port", FL_NUMBER, parameters[BOARD_PORT]};
    return 2;
}

static const fl_parameter measured_parameters[] = {
    {.name = "die port", .dimension = FL_NUMBER, .rule = FL_WHOLE, .fallback = 1.0},
    {.name = "board port", .dimension = FL_NUMBER, .rule = FL_WHOLE, .fallback = 2.0}};

static const fl_form data_form[] = {FL_FORM_DATA};

const fl_physics fl_measured = {.kind = {.name = "measured",
                                         .summary = "network data from a Touchstone file",
                                         .parameters = measured_parameters,
                                         .parameter_count = FL_LENGTH_OF(measured_parameters),
                                         .takes_file = true},
                                .forms = data_form,
                                .form_count = 1,
                                .refuse = refuse_measured,
                                .evaluate = evaluate_measured,
                                .describe = describe_measured};
