/* Lead of a plastic package: a thick bar over the board's ground, ground leads beside it.
 *
 * Formula: a line with the constants of its cross-section (cross.h) at the band's centre. The
 * dielectric below the lead, up to its underside, is the standoff; around and above it is the
 * mould, five times as high as the lead stands. Ground leads are at zero potential: they add
 * capacitance. When they are `fused` to the paddle they carry return current too, and inductance
 * and resistance are those with them; leads that end free carry none, and the inductance is that
 * without them.
 *
 * Range: thickness over three skin depths, the standoff and the gaps under an eighth of a
 * wavelength. Accuracy: 0.2 % of the quasi-static cross-section; for a real lead some 15 %, by the
 * fields at its ends and what it is soldered to.
 *
 * Not in it: ends and bends of the lead, the step to the board's pad (kind pad), resonance of
 * free ground leads, leads beyond the ground leads. */
#include <math.h>
#include <stddef.h>

#include "models/conductor.h"
#include "models/cross.h"
#include "models/kinds.h"

enum {
    LENGTH,
    WIDTH,
    THICKNESS,
    STANDOFF,
    COVER,
    BELOW,
    COVER_LOSS,
    GROUND_LEADS,
    SPACING,
    FUSED,
    CONDUCTIVITY
};

static const double pi = 3.14159265358979323846;
static const double light_speed = 299792458.0; /* m/s */

/* Top of the mould in heights of the lead's top, as good as endless. */
static const double mould_height = 5.0;

static const char *refuse_lead(const double *parameters)
{
    if (parameters[GROUND_LEADS] > 2.0)
        return "'ground leads' is over 2";
    if (parameters[GROUND_LEADS] > 0.0 && parameters[SPACING] <= 0.0)
        return "'ground leads' needs their 'spacing'";
    if (parameters[FUSED] > 1.0)
        return "'fused' is 0 or 1";
    return NULL;
}

/* Line constants, per metre. */
typedef struct constants {
    double inductance, capacitance, resistance, conductance;
} constants;

static fl_status solve_section(fl_cross_result *result, const double *parameters, size_t grounds,
                               double frequency, fl_error *error)
{
    const double width = parameters[WIDTH], standoff = parameters[STANDOFF];
    const double pitch = width + parameters[SPACING];
    const fl_cross_layer layers[] = {{standoff, parameters[BELOW], 0.0},
                                     {mould_height * (standoff + parameters[THICKNESS] + width),
                                      parameters[COVER], parameters[COVER_LOSS]}};
    fl_cross_conductor leads[3];
    for (size_t i = 0; i <= grounds; i++) {
        const double middle = i == 0 ? 0.0 : i == 1 ? pitch : -pitch;
        leads[i] = (fl_cross_conductor){.left = middle - 0.5 * width,
                                        .right = middle + 0.5 * width,
                                        .bottom = standoff,
                                        .thickness = parameters[THICKNESS],
                                        .signal = i == 0 ? 1 : 0,
                                        .conductivity = parameters[CONDUCTIVITY]};
    }
    const fl_cross cross = {.layers = layers,
                            .layer_count = 2,
                            .conductors = leads,
                            .conductor_count = grounds + 1,
                            .ground = true,
                            .conductivity = parameters[CONDUCTIVITY]};
    return fl_cross_solve(result, &cross, frequency, error);
}

static fl_status find_constants(constants *line, const double *parameters, double w0,
                                fl_error *error)
{
    fl_cross_result charged, carrying;
    const size_t grounds = (size_t)parameters[GROUND_LEADS];
    const double frequency = w0 / (2.0 * pi);
    fl_status status = solve_section(&charged, parameters, grounds, frequency, error);
    if (status != FL_OK)
        return status;
    carrying = charged;
    if (grounds > 0 && parameters[FUSED] == 0.0)
        status = solve_section(&carrying, parameters, 0, frequency, error);
    if (status != FL_OK)
        return status;
    line->capacitance = charged.capacitance[0][0];
    line->conductance = charged.conductance[0][0];
    line->resistance = carrying.resistance[0][0];
    line->inductance = carrying.inductance[0][0] + line->resistance / w0; /* and the inside */
    return FL_OK;
}

static fl_status solve_lead(double (*values)[FL_VALUES], const double *parameters,
                            const fl_setting *setting, fl_error *error)
{
    constants line;
    const fl_status status = find_constants(&line, parameters, setting->w0, error);
    if (status != FL_OK)
        return status;
    const double length = parameters[LENGTH];
    const double impedance = sqrt(line.inductance / line.capacitance);
    values[0][0] = impedance;
    values[0][1] = 0.5 * length * (line.resistance / impedance + line.conductance * impedance);
    values[0][2] = length * sqrt(line.inductance * line.capacitance);
    return FL_OK;
}

static size_t describe_lead(fl_property *properties, const double *parameters,
                            const fl_setting *setting)
{
    constants line;
    if (find_constants(&line, parameters, setting->w0, NULL) != FL_OK)
        return 0;
    const double length = parameters[LENGTH];
    const double delay = length * sqrt(line.inductance * line.capacitance);
    properties[0] = (fl_property){"inductance", FL_INDUCTANCE, line.inductance * length};
    properties[1] = (fl_property){"capacitance", FL_CAPACITANCE, line.capacitance * length};
    properties[2] = (fl_property){"resistance", FL_RESISTANCE, line.resistance * length};
    properties[3] =
        (fl_property){"impedance", FL_RESISTANCE, sqrt(line.inductance / line.capacitance)};
    properties[4] = (fl_property){"electrical length", FL_ANGLE, setting->w0 * delay * 180.0 / pi};
    return 5;
}

static const char *caution_lead(const double *parameters, const fl_setting *setting)
{
    const double high = setting->nodes[FL_NODES - 1];
    const double wave = light_speed / (high * sqrt(parameters[COVER]));
    const double depth = fl_skin_depth(parameters[CONDUCTIVITY], 2.0 * pi * setting->nodes[0]);
    const double reach = parameters[GROUND_LEADS] > 0.0 ? parameters[SPACING] : 0.0;
    if (fmax(parameters[STANDOFF], reach) > wave / 8.0)
        return "'standoff' or 'spacing' is over an eighth of a wavelength: waves across are left "
               "out";
    if (parameters[THICKNESS] < 3.0 * depth)
        return "'thickness' is under three skin depths: its loss is taken as that of a thick one";
    if (parameters[GROUND_LEADS] > 0.0 && parameters[FUSED] == 0.0 &&
        parameters[LENGTH] > wave / 8.0)
        return "ground leads that end free are over an eighth of a wavelength long: they resonate, "
               "which is left out";
    return NULL;
}

/* Defaults: mould of 3.7, air below, copper; common practice, no source. */
static const fl_parameter parameters_of_lead[] = {
    [LENGTH] = {.name = "length", .dimension = FL_LENGTH, .rule = FL_POSITIVE, .required = true},
    [WIDTH] = {.name = "width", .dimension = FL_LENGTH, .rule = FL_POSITIVE, .required = true},
    [THICKNESS] = {.name = "thickness",
                   .dimension = FL_LENGTH,
                   .rule = FL_POSITIVE,
                   .required = true},
    [STANDOFF] = {.name = "standoff",
                  .dimension = FL_LENGTH,
                  .rule = FL_POSITIVE,
                  .required = true},
    [COVER] = {.name = "cover", .dimension = FL_NUMBER, .rule = FL_AT_LEAST_ONE, .fallback = 3.7},
    [BELOW] = {.name = "standoff permittivity",
               .dimension = FL_NUMBER,
               .rule = FL_AT_LEAST_ONE,
               .fallback = 1.0},
    [COVER_LOSS] = {.name = "loss tangent", .dimension = FL_NUMBER, .rule = FL_NOT_NEGATIVE},
    [GROUND_LEADS] = {.name = "ground leads", .dimension = FL_NUMBER, .rule = FL_WHOLE_OR_NONE},
    [SPACING] = {.name = "spacing", .dimension = FL_LENGTH, .rule = FL_POSITIVE},
    [FUSED] = {.name = "fused", .dimension = FL_NUMBER, .rule = FL_WHOLE_OR_NONE},
    [CONDUCTIVITY] = {.name = "conductivity",
                      .dimension = FL_CONDUCTIVITY,
                      .rule = FL_POSITIVE,
                      .fallback = 58e6}};

static const fl_form lead_form[] = {FL_FORM_LINE};

const fl_physics fl_lead = {.kind = {.name = "lead",
                                     .summary = "lead of a package over the board's ground",
                                     .parameters = parameters_of_lead,
                                     .parameter_count = FL_LENGTH_OF(parameters_of_lead)},
                            .forms = lead_form,
                            .form_count = 1,
                            .along = LENGTH + 1,
                            .refuse = refuse_lead,
                            .caution = caution_lead,
                            .solve = solve_lead,
                            .describe = describe_lead};
