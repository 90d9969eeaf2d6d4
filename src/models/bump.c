/* Solder bump or pillar between die and board: pad, short round conductor, pad.
 *
 * Formula: in the middle the partial inductance of a tube as long as `height` [Rosa1908] and its
 * internal impedance; ground bumps beside it (`returns`, one pitch away) carry the return, so that
 * L = Ls + Lg - 2 M with one and Ls + Lg / 2 + Mgg / 2 - 2 Msg with two [Grover1946]. On either
 * side the capacitance of a disc over the ground metal that it faces at `ground distance`, in the
 * underfill [Love1949].
 *
 * Range: height between a quarter of the pad's radius and an eighth of a wavelength, pitch over 2
 * diameters. Accuracy: inductance 1 % for a cylinder whose return is as given (a barrel-shaped
 * bump has some 10 % less); capacitance is a rough 30 %: it is that of a lone pad in endless
 * underfill with the ground metal all around opposite to it.
 *
 * Not in it: the ground metal in the plane of the pad, the die's permittivity above its pad, lines
 * that lead to the pads, the detuning of a line under the die. */
#include <math.h>
#include <stddef.h>

#include "models/conductor.h"
#include "models/disc.h"
#include "models/filament.h"
#include "models/kinds.h"

enum { DIAMETER, HEIGHT, PAD, RETURNS, PITCH, GROUND_DISTANCE, CONDUCTIVITY, COVER };

static double or_else(double value, double fallback)
{
    return value > 0.0 ? value : fallback;
}

static const char *refuse_bump(const double *parameters)
{
    if (parameters[RETURNS] > 2.0)
        return "'returns' is over 2";
    if (parameters[RETURNS] > 0.0 && parameters[PITCH] <= parameters[DIAMETER])
        return "'returns' needs a 'pitch' over the 'diameter'";
    if (or_else(parameters[GROUND_DISTANCE], parameters[HEIGHT]) <
        or_else(parameters[PAD], parameters[DIAMETER]) / 16.0)
        return "the ground is nearer to the pad than an eighth of its radius";
    return NULL;
}

/* Two bumps side by side. */
static double mutual(double height, double pitch)
{
    const fl_filament a = {{0.0, 0.0, 0.0}, {0.0, 0.0, height}};
    const fl_filament b = {{pitch, 0.0, 0.0}, {pitch, 0.0, height}};
    return fl_filament_mutual(&a, &b);
}

static double loop_inductance(const double *parameters)
{
    const double height = parameters[HEIGHT], pitch = parameters[PITCH];
    const double own = fl_tube_inductance(height, parameters[DIAMETER] / 2.0);
    if (parameters[RETURNS] == 0.0)
        return own;
    const double beside = mutual(height, pitch);
    if (parameters[RETURNS] == 1.0)
        return 2.0 * (own - beside);
    return 1.5 * own + 0.5 * mutual(height, 2.0 * pitch) - 2.0 * beside;
}

/* Resistance and inductance in the middle, and the capacitance of either pad. */
typedef struct bump {
    double resistance, inductance, capacitance;
} bump;

static bump bump_of(const double *parameters, double w0)
{
    static const double shares[] = {1.0, 2.0, 1.5}; /* squared currents, by returns */
    const double radius = parameters[DIAMETER] / 2.0;
    const fl_complex inside = fl_scale(fl_round_impedance(radius, parameters[CONDUCTIVITY], w0),
                                       shares[(size_t)parameters[RETURNS]] * parameters[HEIGHT]);
    const double pad = or_else(parameters[PAD], parameters[DIAMETER]);
    const double distance = or_else(parameters[GROUND_DISTANCE], parameters[HEIGHT]);
    return (bump){.resistance = inside.re,
                  .inductance = loop_inductance(parameters) + inside.im / w0,
                  .capacitance = parameters[COVER] * fl_disc_capacitance(pad / 2.0, distance)};
}

static fl_status solve_bump(double (*values)[FL_VALUES], const double *parameters,
                            const fl_setting *setting, fl_error *error)
{
    (void)error;
    const bump found = bump_of(parameters, setting->w0);
    values[0][0] = values[2][0] = found.capacitance;
    values[0][1] = values[2][1] = 0.0;
    values[1][0] = found.resistance;
    values[1][1] = found.inductance;
    values[1][2] = 0.0;
    return FL_OK;
}

static size_t describe_bump(fl_property *properties, const double *parameters,
                            const fl_setting *setting)
{
    const bump found = bump_of(parameters, setting->w0);
    properties[0] = (fl_property){"inductance", FL_INDUCTANCE, found.inductance};
    properties[1] = (fl_property){"capacitance", FL_CAPACITANCE, 2.0 * found.capacitance};
    properties[2] = (fl_property){"resistance", FL_RESISTANCE, found.resistance};
    return 3;
}

static const char *caution_bump(const double *parameters, const fl_setting *setting)
{
    const double wave = 299792458.0 / setting->nodes[FL_NODES - 1];
    const double pad = or_else(parameters[PAD], parameters[DIAMETER]);
    if (parameters[RETURNS] > 0.0 && parameters[PITCH] < 2.0 * parameters[DIAMETER])
        return "'pitch' is under 2 diameters: currents crowd between the bumps, which is left out";
    if (8.0 * (parameters[HEIGHT] > pad ? parameters[HEIGHT] : pad) * sqrt(parameters[COVER]) >
        wave)
        return "the bump is over an eighth of a wavelength: it is taken as short";
    if (pad < parameters[DIAMETER])
        return "'pad' is under the 'diameter'";
    if (or_else(parameters[GROUND_DISTANCE], parameters[HEIGHT]) < pad / 8.0)
        return "the ground is nearer to the pad than a quarter of its radius";
    return NULL;
}

/* Defaults: solder of 7 MS/m and underfill; common practice, no source. */
static const fl_parameter parameters_of_bump[] = {
    [DIAMETER] = {.name = "diameter",
                  .dimension = FL_LENGTH,
                  .rule = FL_POSITIVE,
                  .required = true},
    [HEIGHT] = {.name = "height", .dimension = FL_LENGTH, .rule = FL_POSITIVE, .required = true},
    [PAD] = {.name = "pad", .dimension = FL_LENGTH, .rule = FL_POSITIVE},
    [RETURNS] = {.name = "returns", .dimension = FL_NUMBER, .rule = FL_WHOLE_OR_NONE},
    [PITCH] = {.name = "pitch", .dimension = FL_LENGTH, .rule = FL_POSITIVE},
    [GROUND_DISTANCE] = {.name = "ground distance", .dimension = FL_LENGTH, .rule = FL_POSITIVE},
    [CONDUCTIVITY] = {.name = "conductivity",
                      .dimension = FL_CONDUCTIVITY,
                      .rule = FL_POSITIVE,
                      .fallback = 7e6},
    [COVER] = {.name = "cover", .dimension = FL_NUMBER, .rule = FL_AT_LEAST_ONE, .fallback = 1.0}};

static const fl_form pad_bump_pad[] = {FL_FORM_SHUNT_CAPACITOR, FL_FORM_SERIES,
                                       FL_FORM_SHUNT_CAPACITOR};

const fl_physics fl_bump = {.kind = {.name = "bump",
                                     .summary = "solder bump or pillar with its pads",
                                     .parameters = parameters_of_bump,
                                     .parameter_count = FL_LENGTH_OF(parameters_of_bump)},
                            .forms = pad_bump_pad,
                            .form_count = 3,
                            .refuse = refuse_bump,
                            .caution = caution_bump,
                            .solve = solve_bump,
                            .describe = describe_bump};
