/* Ground connection of the die: down-bonds to the paddle, and what lies below it.
 *
 * Formula: the impedance between the die's ground and the board's is in the return of the signal;
 * in a path whose grounds meet nowhere else it acts as the same impedance in the signal itself.
 * The down-bonds are parallel wires over the paddle, one parabola from the die's top to the paddle
 * (arc.h), with mutual coupling, images and skin effect; a plain inductance (die vias, paddle,
 * board vias) comes in series.
 *
 * Range: as bond wires; short against the wavelength. Accuracy: 0.1 % of the quasi-static thin wire
 * over an endless paddle; for a real layout some 15 %, by how the current reaches the wires.
 *
 * Not in it: capacitance from the die's ground to the board, coupling to the signal wires, other
 * ways of the return past this connection. */
#include <stddef.h>

#include "models/arc.h"
#include "models/conductor.h"
#include "models/kinds.h"

enum { COUNT, DIAMETER, SPAN, LOOP_HEIGHT, DIE_HEIGHT, PITCH, CONDUCTIVITY, INDUCTANCE };

enum { PIECES = 24, MOST_WIRES = 16 };

static const char *refuse_ground(const double *parameters)
{
    if (parameters[COUNT] > MOST_WIRES)
        return "'count' is over 16";
    if (parameters[COUNT] > 0.0 && parameters[SPAN] <= 0.0)
        return "a 'count' of wires needs their 'span'";
    if (parameters[COUNT] > 1.0 && parameters[PITCH] <= 0.0)
        return "'count' over 1 needs a 'pitch'";
    if (parameters[COUNT] > 1.0 && parameters[PITCH] <= parameters[DIAMETER])
        return "'pitch' must be more than 'diameter'";
    return NULL;
}

/* Resistance and inductance. */
static fl_status solve_series(double series[2], const double *parameters, double w0,
                              fl_error *error)
{
    series[0] = 0.0;
    series[1] = parameters[INDUCTANCE];
    if (parameters[COUNT] == 0.0)
        return FL_OK;
    fl_arc arc;
    fl_bundle bundle;
    fl_chain chain;
    const double radius = parameters[DIAMETER] / 2.0;
    const fl_parabola parabola = {.span = parameters[SPAN],
                                  .start = parameters[DIE_HEIGHT] + radius,
                                  .end = radius,
                                  .top = parameters[LOOP_HEIGHT]};
    fl_arc_parabola(&arc, &parabola, PIECES);
    fl_bundle_wires(&bundle, &arc, parameters[DIAMETER], parameters[PITCH]);
    bundle.signals = (size_t)parameters[COUNT];
    const fl_status status = fl_bundle_solve(&chain, &bundle, false, error);
    if (status != FL_OK)
        return status;
    const fl_complex inside = fl_scale(fl_round_impedance(radius, parameters[CONDUCTIVITY], w0),
                                       chain.share * fl_arc_length(&arc));
    series[0] += inside.re;
    series[1] += inside.im / w0;
    for (size_t i = 0; i < arc.pieces; i++)
        series[1] += chain.inductance[i];
    return FL_OK;
}

static fl_status solve_ground(double (*values)[FL_VALUES], const double *parameters,
                              const fl_setting *setting, fl_error *error)
{
    double series[2];
    const fl_status status = solve_series(series, parameters, setting->w0, error);
    if (status != FL_OK)
        return status;
    values[0][0] = series[0];
    values[0][1] = series[1];
    values[0][2] = 0.0;
    return FL_OK;
}

static size_t describe_ground(fl_property *properties, const double *parameters,
                              const fl_setting *setting)
{
    double series[2];
    if (solve_series(series, parameters, setting->w0, NULL) != FL_OK)
        return 0;
    properties[0] = (fl_property){"inductance", FL_INDUCTANCE, series[1]};
    properties[1] = (fl_property){"resistance", FL_RESISTANCE, series[0]};
    properties[2] = (fl_property){"reactance", FL_RESISTANCE, setting->w0 * series[1]};
    return 3;
}

static const char *caution_ground(const double *parameters, const fl_setting *setting)
{
    const double wave = 299792458.0 / setting->nodes[FL_NODES - 1];
    if (parameters[COUNT] > 1.0 && parameters[PITCH] < 2.0 * parameters[DIAMETER])
        return "'pitch' is under 2 diameters: currents crowd between the wires, which is left out";
    if (parameters[COUNT] > 0.0 && parameters[SPAN] > wave / 8.0)
        return "'span' is over an eighth of a wavelength: the wires are taken as short";
    return NULL;
}

/* Defaults: common practice, no source. */
static const fl_parameter parameters_of_ground[] = {
    [COUNT] = {.name = "count", .dimension = FL_NUMBER, .rule = FL_WHOLE_OR_NONE},
    [DIAMETER] = {.name = "diameter",
                  .dimension = FL_LENGTH,
                  .rule = FL_POSITIVE,
                  .fallback = 25e-6},
    [SPAN] = {.name = "span", .dimension = FL_LENGTH, .rule = FL_POSITIVE},
    [LOOP_HEIGHT] = {.name = "loop height",
                     .dimension = FL_LENGTH,
                     .rule = FL_POSITIVE,
                     .fallback = 75e-6},
    [DIE_HEIGHT] = {.name = "die height",
                    .dimension = FL_LENGTH,
                    .rule = FL_POSITIVE,
                    .fallback = 100e-6},
    [PITCH] = {.name = "pitch", .dimension = FL_LENGTH, .rule = FL_POSITIVE},
    [CONDUCTIVITY] = {.name = "conductivity",
                      .dimension = FL_CONDUCTIVITY,
                      .rule = FL_POSITIVE,
                      .fallback = 4.1e7},
    [INDUCTANCE] = {.name = "inductance", .dimension = FL_INDUCTANCE, .rule = FL_NOT_NEGATIVE}};

static const fl_form series_form[] = {FL_FORM_SERIES};

const fl_physics fl_ground = {.kind = {.name = "ground",
                                       .summary = "down-bonds and vias in the die's ground return",
                                       .parameters = parameters_of_ground,
                                       .parameter_count = FL_LENGTH_OF(parameters_of_ground)},
                              .forms = series_form,
                              .form_count = 1,
                              .refuse = refuse_ground,
                              .caution = caution_ground,
                              .solve = solve_ground,
                              .describe = describe_ground};
