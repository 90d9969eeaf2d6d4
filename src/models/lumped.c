/* Lumped elements: ideal, with a series resistance, or with a quality factor at the band centre.
 *
 * A quality factor Q stands for the series resistance w0 L / Q or 1 / (w0 C Q), which is held over
 * frequency and follows the value. Definition of Q: common practice, no source. */
#include <stddef.h>

#include "models/kinds.h"
#include "models/rows.h"

/* Parameters of every element here: its value, its resistance, its quality factor. */
enum { VALUE, RESISTANCE, QUALITY };

#define LOSS_PARAMETERS                                                                            \
    {.name = "resistance",                                                                         \
     .dimension = FL_RESISTANCE,                                                                   \
     .rule = FL_NOT_NEGATIVE,                                                                      \
     .excludes = "quality factor"},                                                                \
    {                                                                                              \
        .name = "quality factor", .dimension = FL_NUMBER, .rule = FL_POSITIVE,                     \
        .excludes = "resistance"                                                                   \
    }

/* An absent quality factor has the fallback 0, which no given one can have. */
static fl_dual inductor_resistance(const fl_dual *parameters, const fl_setting *setting)
{
    if (parameters[QUALITY].value > 0.0)
        return fl_dual_divide(fl_dual_scale(parameters[VALUE], setting->w0), parameters[QUALITY]);
    return parameters[RESISTANCE];
}

/* At the centre of the band. */
static size_t describe_inductor(fl_property *properties, const double *parameters,
                                const fl_setting *setting)
{
    const double inductance = parameters[VALUE];
    const double resistance = parameters[QUALITY] > 0.0
                                  ? setting->w0 * inductance / parameters[QUALITY]
                                  : parameters[RESISTANCE];
    properties[0] = (fl_property){"inductance", FL_INDUCTANCE, inductance};
    properties[1] = (fl_property){"reactance", FL_RESISTANCE, setting->w0 * inductance};
    properties[2] = (fl_property){"resistance", FL_RESISTANCE, resistance};
    return 3;
}

/* Without a capacitance there is no reactance to tell. */
static size_t describe_capacitor(fl_property *properties, const double *parameters,
                                 const fl_setting *setting)
{
    const double capacitance = parameters[VALUE];
    properties[0] = (fl_property){"capacitance", FL_CAPACITANCE, capacitance};
    if (capacitance == 0.0)
        return 1;
    const double reactance = 1.0 / (setting->w0 * capacitance);
    const double resistance =
        parameters[QUALITY] > 0.0 ? reactance / parameters[QUALITY] : parameters[RESISTANCE];
    properties[1] = (fl_property){"reactance", FL_RESISTANCE, -reactance};
    properties[2] = (fl_property){"resistance", FL_RESISTANCE, resistance};
    return 3;
}

/* The same at every frequency. */
static size_t describe_resistor(fl_property *properties, const double *parameters,
                                const fl_setting *setting)
{
    (void)setting;
    properties[0] = (fl_property){"resistance", FL_RESISTANCE, parameters[VALUE]};
    return 1;
}

/* Series and shunt alike: R and L are the first two values of both forms. */
static void evaluate_inductor(fl_dual (*values)[FL_VALUES], const fl_dual *parameters,
                              const fl_setting *setting)
{
    values[0][0] = inductor_resistance(parameters, setting);
    values[0][1] = parameters[VALUE];
    values[0][2] = fl_dual_constant(0.0);
}

/* The elastance, so that all values of the form are finite. */
static void evaluate_series_capacitor(fl_dual (*values)[FL_VALUES], const fl_dual *parameters,
                                      const fl_setting *setting)
{
    const fl_dual elastance = fl_dual_divide(fl_dual_constant(1.0), parameters[VALUE]);
    values[0][0] = parameters[RESISTANCE];
    if (parameters[QUALITY].value > 0.0)
        values[0][0] = fl_dual_divide(
            elastance, fl_dual_scale(parameters[QUALITY], setting->w0)); /* 1 / (w0 C Q) */
    values[0][1] = fl_dual_constant(0.0);
    values[0][2] = elastance;
}

/* Its loss goes with its value. */
static void evaluate_shunt_capacitor(fl_dual (*values)[FL_VALUES], const fl_dual *parameters,
                                     const fl_setting *setting)
{
    values[0][0] = parameters[VALUE];
    /* The time constant R C, so that a capacitance of zero is an absent element. */
    if (parameters[QUALITY].value > 0.0)
        values[0][1] =
            fl_dual_divide(fl_dual_constant(1.0), fl_dual_scale(parameters[QUALITY], setting->w0));
    else
        values[0][1] = fl_dual_multiply(parameters[RESISTANCE], parameters[VALUE]);
    values[0][2] = fl_dual_constant(0.0);
}

/* Series and shunt alike, as R is the first value of both forms. */
static void evaluate_resistor(fl_dual (*values)[FL_VALUES], const fl_dual *parameters,
                              const fl_setting *setting)
{
    (void)setting;
    values[0][0] = parameters[VALUE];
    values[0][1] = fl_dual_constant(0.0);
    values[0][2] = fl_dual_constant(0.0);
}

static const double numbers[] = {0.0, 1.0};
static const fl_row none = {&numbers[0], true}, one = {&numbers[1], true};

/* The same in rows, for many samples at once; no parameters of these are refused. A quality factor
 * takes the place of the resistance where there is one. */
static void inductor_lanes(double (*values)[FL_LANES], const fl_row *parameters,
                           const fl_setting *setting, bool *refused)
{
    (void)refused;
    fl_row_copy(values[0], &parameters[RESISTANCE]);
    fl_row_divide(values[0], &parameters[VALUE], &parameters[QUALITY], setting->w0);
    fl_row_copy(values[1], &parameters[VALUE]);
    fl_row_copy(values[2], &none);
}

/* 1 / (w0 C Q), with one division for what varies. */
static void series_capacitor_lanes(double (*values)[FL_LANES], const fl_row *parameters,
                                   const fl_setting *setting, bool *refused)
{
    double room[FL_LANES];
    const fl_row elastance = fl_row_inverse(room, &parameters[VALUE]);
    (void)refused;
    fl_row_copy(values[0], &parameters[RESISTANCE]);
    fl_row_divide(values[0], &elastance, &parameters[QUALITY], 1.0 / setting->w0);
    fl_row_copy(values[1], &none);
    fl_row_copy(values[2], &elastance);
}

/* A time constant, which a quality factor alone says. */
static void shunt_capacitor_lanes(double (*values)[FL_LANES], const fl_row *parameters,
                                  const fl_setting *setting, bool *refused)
{
    (void)refused;
    fl_row_copy(values[0], &parameters[VALUE]);
    fl_row_product(values[1], &parameters[RESISTANCE], &parameters[VALUE], 1.0);
    fl_row_divide(values[1], &one, &parameters[QUALITY], 1.0 / setting->w0);
}

/* Copies: a march reads rows of values only. */
static void resistor_lanes(double (*values)[FL_LANES], const fl_row *parameters,
                           const fl_setting *setting, bool *refused)
{
    (void)setting;
    (void)refused;
    fl_row_copy(values[0], &parameters[VALUE]);
    fl_row_copy(values[1], &none);
    fl_row_copy(values[2], &none);
}

static const fl_form series_form[] = {FL_FORM_SERIES};
static const fl_form branch_form[] = {FL_FORM_SHUNT_BRANCH};
static const fl_form capacitor_form[] = {FL_FORM_SHUNT_CAPACITOR};

/* Zero is allowed where it means that the element is absent. */
static const fl_parameter series_inductor_parameters[] = {
    {.name = "inductance", .dimension = FL_INDUCTANCE, .rule = FL_NOT_NEGATIVE, .required = true},
    LOSS_PARAMETERS};
static const fl_parameter shunt_inductor_parameters[] = {
    {.name = "inductance", .dimension = FL_INDUCTANCE, .rule = FL_POSITIVE, .required = true},
    LOSS_PARAMETERS};
static const fl_parameter series_capacitor_parameters[] = {
    {.name = "capacitance", .dimension = FL_CAPACITANCE, .rule = FL_POSITIVE, .required = true},
    LOSS_PARAMETERS};
static const fl_parameter shunt_capacitor_parameters[] = {
    {.name = "capacitance", .dimension = FL_CAPACITANCE, .rule = FL_NOT_NEGATIVE, .required = true},
    LOSS_PARAMETERS};
static const fl_parameter series_resistor_parameters[] = {
    {.name = "resistance", .dimension = FL_RESISTANCE, .rule = FL_NOT_NEGATIVE, .required = true}};
static const fl_parameter shunt_resistor_parameters[] = {
    {.name = "resistance", .dimension = FL_RESISTANCE, .rule = FL_POSITIVE, .required = true}};

const fl_physics fl_series_inductor = {
    .kind = {.name = "series inductor",
             .summary = "inductance in the line, with resistance or quality factor",
             .parameters = series_inductor_parameters,
             .parameter_count = FL_LENGTH_OF(series_inductor_parameters)},
    .forms = series_form,
    .form_count = 1,
    .evaluate = evaluate_inductor,
    .evaluate_lanes = inductor_lanes,
    .describe = describe_inductor};

const fl_physics fl_shunt_inductor = {
    .kind = {.name = "shunt inductor",
             .summary = "inductance to ground, with resistance or quality factor",
             .parameters = shunt_inductor_parameters,
             .parameter_count = FL_LENGTH_OF(shunt_inductor_parameters)},
    .forms = branch_form,
    .form_count = 1,
    .spare = true,
    .evaluate = evaluate_inductor,
    .evaluate_lanes = inductor_lanes,
    .describe = describe_inductor};

const fl_physics fl_series_capacitor = {
    .kind = {.name = "series capacitor",
             .summary = "capacitance in the line, with resistance or quality factor",
             .parameters = series_capacitor_parameters,
             .parameter_count = FL_LENGTH_OF(series_capacitor_parameters)},
    .forms = series_form,
    .form_count = 1,
    .evaluate = evaluate_series_capacitor,
    .evaluate_lanes = series_capacitor_lanes,
    .describe = describe_capacitor};

const fl_physics fl_shunt_capacitor = {
    .kind = {.name = "shunt capacitor",
             .summary = "capacitance to ground, with resistance or quality factor",
             .parameters = shunt_capacitor_parameters,
             .parameter_count = FL_LENGTH_OF(shunt_capacitor_parameters)},
    .forms = capacitor_form,
    .form_count = 1,
    .spare = true,
    .evaluate = evaluate_shunt_capacitor,
    .evaluate_lanes = shunt_capacitor_lanes,
    .describe = describe_capacitor};

const fl_physics fl_series_resistor = {
    .kind = {.name = "series resistor",
             .summary = "resistance in the line",
             .parameters = series_resistor_parameters,
             .parameter_count = FL_LENGTH_OF(series_resistor_parameters)},
    .forms = series_form,
    .form_count = 1,
    .evaluate = evaluate_resistor,
    .evaluate_lanes = resistor_lanes,
    .describe = describe_resistor};

const fl_physics fl_shunt_resistor = {
    .kind = {.name = "shunt resistor",
             .summary = "resistance to ground",
             .parameters = shunt_resistor_parameters,
             .parameter_count = FL_LENGTH_OF(shunt_resistor_parameters)},
    .forms = branch_form,
    .form_count = 1,
    .spare = true,
    .evaluate = evaluate_resistor,
    .evaluate_lanes = resistor_lanes,
    .describe = describe_resistor};
