/* Board pad in the path: a rectangle on the substrate, along which the signal goes.
 *
 * Formula: a line as long and wide as the pad, with what its two ends have more in capacitance at
 * either side. The line is the cross-section of a strip over ground (cross.h), at the band's
 * centre; the ends are half the difference of the whole plate (plate.h) and of the strip without
 * them, so that a short pad is the plate, a long one the line. With a `pullback` the ground below
 * is cut out: the plane is then as deep as it says, in the same dielectric.
 *
 * Range: sides a twentieth to twenty times the height of the plane, under a quarter of a wavelength
 * across; a cut-out that reaches two heights beyond the pad. Accuracy: 0.3 % of the lone rectangle;
 * 5 % when a trace as wide as the pad goes on at an end, which then has no fringe of its own.
 *
 * Not in it: what lies on the pad (solder, a lead), the edge of a cut-out, pads beside it, solder
 * mask, radiation. */
#include <math.h>
#include <stddef.h>

#include "models/conductor.h"
#include "models/cross.h"
#include "models/kinds.h"
#include "models/plate.h"

enum {
    WIDTH,
    LENGTH,
    PULLBACK,
    SUBSTRATE_HEIGHT,
    SUBSTRATE_PERMITTIVITY,
    SUBSTRATE_LOSS,
    SUBSTRATE_METAL,
    SUBSTRATE_CONDUCTIVITY,
    SUBSTRATE_ROUGHNESS
};

static const double pi = 3.14159265358979323846;
static const double light_speed = 299792458.0; /* m/s */

/* Pads wider than this many heights are planes of their own; ends of longer ones do not know of
 * each other. */
static const double widest = 40.0, longest = 20.0;

/* Images of the charge on a slab fall too slowly over this. */
static const double densest = 100.0;

static double depth_of(const double *parameters)
{
    return parameters[PULLBACK] > 0.0 ? parameters[PULLBACK] : parameters[SUBSTRATE_HEIGHT];
}

static const char *refuse_pad(const double *parameters)
{
    if (parameters[PULLBACK] > 0.0 && parameters[PULLBACK] < parameters[SUBSTRATE_HEIGHT])
        return "'pullback' is the depth of the plane below the cut-out: it must be more than the "
               "substrate's height";
    if (parameters[WIDTH] > widest * depth_of(parameters))
        return "'width' is over 40 times the height of the plane";
    if (parameters[SUBSTRATE_PERMITTIVITY] > densest)
        return "the substrate's permittivity is over 100";
    return NULL;
}

/* Values of the two ends and of the line between them. */
typedef struct pad {
    double end, delay_of_loss; /* F, s */
    double impedance, attenuation, delay;
    double capacitance; /* F, of the whole */
} pad;

static fl_status solve_strip(fl_cross_result *result, const double *parameters, double thickness,
                             double frequency, fl_error *error)
{
    const double depth = depth_of(parameters);
    const fl_cross_layer layer = {depth, parameters[SUBSTRATE_PERMITTIVITY],
                                  parameters[SUBSTRATE_LOSS]};
    const fl_cross_conductor strip = {.left = -0.5 * parameters[WIDTH],
                                      .right = 0.5 * parameters[WIDTH],
                                      .bottom = depth,
                                      .thickness = thickness,
                                      .signal = 1,
                                      .conductivity = parameters[SUBSTRATE_CONDUCTIVITY],
                                      .roughness = parameters[SUBSTRATE_ROUGHNESS]};
    const fl_cross cross = {.layers = &layer,
                            .layer_count = 1,
                            .conductors = &strip,
                            .conductor_count = 1,
                            .ground = true,
                            .conductivity = parameters[SUBSTRATE_CONDUCTIVITY],
                            .roughness = parameters[SUBSTRATE_ROUGHNESS]};
    return fl_cross_solve(result, &cross, frequency, error);
}

/* What an end has more than the strip. */
static fl_status find_end(double *end, const double *parameters, fl_error *error)
{
    fl_cross_result thin;
    const double depth = depth_of(parameters);
    const double length =
        parameters[LENGTH] / pow(1.0 + pow(parameters[LENGTH] / (longest * depth), 4.0), 0.25);
    const fl_plate plate = {.width = parameters[WIDTH],
                            .length = length,
                            .height = depth,
                            .permittivity = parameters[SUBSTRATE_PERMITTIVITY]};
    double whole = 0.0;
    fl_status status = fl_plate_capacitance(&whole, &plate, error);
    if (status == FL_OK)
        status = solve_strip(&thin, parameters, 0.0, 0.0, error);
    if (status == FL_OK)
        *end = 0.5 * (whole - thin.capacitance[0][0] * length);
    return status;
}

static fl_status find_pad(pad *found, const double *parameters, double w0, fl_error *error)
{
    fl_cross_result strip;
    double end = 0.0;
    fl_status status = find_end(&end, parameters, error);
    if (status == FL_OK)
        status =
            solve_strip(&strip, parameters, parameters[SUBSTRATE_METAL], w0 / (2.0 * pi), error);
    if (status != FL_OK)
        return status;
    const double length = parameters[LENGTH], resistance = strip.resistance[0][0];
    const double capacitance = strip.capacitance[0][0], conductance = strip.conductance[0][0];
    const double inductance = strip.inductance[0][0] + resistance / w0;
    found->impedance = sqrt(inductance / capacitance);
    found->attenuation =
        0.5 * length * (resistance / found->impedance + conductance * found->impedance);
    found->delay = length * sqrt(inductance * capacitance);
    found->end = end;
    found->delay_of_loss = conductance / (w0 * w0 * capacitance);
    found->capacitance = 2.0 * end + capacitance * length;
    return FL_OK;
}

static fl_status solve_pad(double (*values)[FL_VALUES], const double *parameters,
                           const fl_setting *setting, fl_error *error)
{
    pad found;
    const fl_status status = find_pad(&found, parameters, setting->w0, error);
    if (status != FL_OK)
        return status;
    values[0][0] = values[2][0] = found.end;
    values[0][1] = values[2][1] = found.delay_of_loss;
    values[1][0] = found.impedance;
    values[1][1] = found.attenuation;
    values[1][2] = found.delay;
    return FL_OK;
}

static size_t describe_pad(fl_property *properties, const double *parameters,
                           const fl_setting *setting)
{
    pad found;
    if (find_pad(&found, parameters, setting->w0, NULL) != FL_OK)
        return 0;
    properties[0] = (fl_property){"capacitance", FL_CAPACITANCE, found.capacitance};
    properties[1] = (fl_property){"capacitance of an end", FL_CAPACITANCE, found.end};
    properties[2] = (fl_property){"impedance", FL_RESISTANCE, found.impedance};
    properties[3] =
        (fl_property){"electrical length", FL_ANGLE, setting->w0 * found.delay * 180.0 / pi};
    return 4;
}

static const char *caution_pad(const double *parameters, const fl_setting *setting)
{
    const double depth = depth_of(parameters), high = setting->nodes[FL_NODES - 1];
    const double wave = light_speed / (high * sqrt(parameters[SUBSTRATE_PERMITTIVITY]));
    if (fmax(parameters[WIDTH], depth) > 0.25 * wave)
        return "'width' or the depth of the plane is over a quarter of a wavelength: waves across "
               "and radiation are left out";
    if (parameters[WIDTH] > 20.0 * depth || parameters[WIDTH] < 0.05 * depth ||
        parameters[LENGTH] < 0.05 * depth)
        return "a side is over 20 or under 0.05 times the height of the plane";
    if (parameters[SUBSTRATE_METAL] > 0.0 &&
        parameters[SUBSTRATE_METAL] <
            3.0 * fl_skin_depth(parameters[SUBSTRATE_CONDUCTIVITY], 2.0 * pi * setting->nodes[0]))
        return "the metal is under three skin depths: its loss is taken as that of a thick one";
    return NULL;
}

/* Defaults: metal of 18 um, smooth copper; common practice, no source. */
static const fl_parameter parameters_of_pad[] = {
    [WIDTH] = {.name = "width", .dimension = FL_LENGTH, .rule = FL_POSITIVE, .required = true},
    [LENGTH] = {.name = "length", .dimension = FL_LENGTH, .rule = FL_POSITIVE, .required = true},
    [PULLBACK] = {.name = "pullback", .dimension = FL_LENGTH, .rule = FL_NOT_NEGATIVE},
    [SUBSTRATE_HEIGHT] = {.name = "substrate height",
                          .dimension = FL_LENGTH,
                          .rule = FL_POSITIVE,
                          .required = true,
                          .substrate = true},
    [SUBSTRATE_PERMITTIVITY] = {.name = "substrate permittivity",
                                .dimension = FL_NUMBER,
                                .rule = FL_AT_LEAST_ONE,
                                .required = true,
                                .substrate = true},
    [SUBSTRATE_LOSS] = {.name = "substrate loss tangent",
                        .dimension = FL_NUMBER,
                        .rule = FL_NOT_NEGATIVE,
                        .substrate = true},
    [SUBSTRATE_METAL] = {.name = "substrate metal thickness",
                         .dimension = FL_LENGTH,
                         .rule = FL_NOT_NEGATIVE,
                         .fallback = 18e-6,
                         .substrate = true},
    [SUBSTRATE_CONDUCTIVITY] = {.name = "substrate conductivity",
                                .dimension = FL_CONDUCTIVITY,
                                .rule = FL_POSITIVE,
                                .fallback = 58e6,
                                .substrate = true},
    [SUBSTRATE_ROUGHNESS] = {.name = "substrate roughness",
                             .dimension = FL_LENGTH,
                             .rule = FL_NOT_NEGATIVE,
                             .substrate = true}};

static const fl_form end_line_end[] = {FL_FORM_SHUNT_CAPACITOR, FL_FORM_LINE,
                                       FL_FORM_SHUNT_CAPACITOR};

const fl_physics fl_pad = {.kind = {.name = "pad",
                                    .summary = "rectangular pad of a board, ground cut out or not",
                                    .parameters = parameters_of_pad,
                                    .parameter_count = FL_LENGTH_OF(parameters_of_pad)},
                           .forms = end_line_end,
                           .form_count = 3,
                           .refuse = refuse_pad,
                           .caution = caution_pad,
                           .solve = solve_pad,
                           .describe = describe_pad};
