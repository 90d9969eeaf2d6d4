/* Bond wires: parallel round wires over a ground plane, with ground wires beside them if wanted.
 *
 * Formula: the wires follow one parabola from the die pad to the land, its top `loop height` above
 * the die pad, as chains of straight filaments with all mutual terms and the images in the plane
 * (arc.h); wires in parallel share current and charge, ground wires carry part of the return. The
 * skin effect is that of a lone wire [Ramo1994]. Sources: [Rosa1908], [Campbell1915], [Grover1946].
 *
 * Range: pitch over 2 diameters, lines of the chain under a tenth of a wavelength, the top of the
 * loop under an eighth of one, loop height under the span. Accuracy: of the quasi-static thin wire
 * 0.1 % in inductance and 0.2 % in capacitance; the crowding of charge at free ends, 2 to 3 % more,
 * is left out, as the pads carry it.
 *
 * Not in it: radiation, proximity effect in the metal, the die and the land as dielectrics, loss in
 * the mould, the pads and the uprights of the return at the ends. */
#include <math.h>
#include <stddef.h>

#include "models/conductor.h"
#include "models/kinds.h"
#include "models/loop.h"

enum {
    COUNT,
    DIAMETER,
    SPAN,
    LOOP_HEIGHT,
    DIE_HEIGHT,
    LAND_HEIGHT,
    PITCH,
    CONDUCTIVITY,
    COVER,
    RETURNS
};

enum { MOST_WIRES = 16, MOST_RETURNS = 2 };

static const char *refuse_wires(const double *parameters)
{
    if (parameters[COUNT] > MOST_WIRES)
        return "'count' is over 16";
    if (parameters[RETURNS] > MOST_RETURNS)
        return "'returns' is over 2";
    const bool several = parameters[COUNT] + parameters[RETURNS] > 1.0;
    if (several && parameters[PITCH] <= parameters[DIAMETER])
        return "'pitch' must be more than 'diameter'";
    if (parameters[DIE_HEIGHT] + parameters[LOOP_HEIGHT] <= parameters[LAND_HEIGHT])
        return "'die height' plus 'loop height' must be more than 'land height'";
    return NULL;
}

static fl_parabola parabola_of(const double *parameters)
{
    const double radius = parameters[DIAMETER] / 2.0;
    return (fl_parabola){.span = parameters[SPAN],
                         .start = parameters[DIE_HEIGHT] + radius,
                         .end = parameters[LAND_HEIGHT] + radius,
                         .top = parameters[LOOP_HEIGHT]};
}

static void loop_of_wires(fl_loop *loop, const double *parameters, double w0)
{
    const fl_parabola parabola = parabola_of(parameters);
    fl_arc_parabola(&loop->arc, &parabola, FL_LOOP_PIECES);
    fl_bundle_wires(&loop->bundle, &loop->arc, parameters[DIAMETER], parameters[PITCH]);
    loop->bundle.signals = (size_t)parameters[COUNT];
    loop->bundle.returns = (size_t)parameters[RETURNS];
    loop->inside = fl_round_impedance(parameters[DIAMETER] / 2.0, parameters[CONDUCTIVITY], w0);
    loop->each = true;
    loop->cover = parameters[COVER];
}

static fl_status solve_wires(double (*values)[FL_VALUES], const double *parameters,
                             const fl_setting *setting, fl_error *error)
{
    fl_loop loop;
    loop_of_wires(&loop, parameters, setting->w0);
    return fl_loop_lines(values, &loop, setting->w0, error);
}

static size_t describe_wires(fl_property *properties, const double *parameters,
                             const fl_setting *setting)
{
    fl_loop loop;
    loop_of_wires(&loop, parameters, setting->w0);
    return fl_loop_describe(properties, &loop, setting->w0);
}

static const char *caution_wires(const double *parameters, const fl_setting *setting)
{
    fl_loop loop;
    loop_of_wires(&loop, parameters, setting->w0);
    if (parameters[COUNT] + parameters[RETURNS] > 1.0 &&
        parameters[PITCH] < 2.0 * parameters[DIAMETER])
        return "'pitch' is under 2 diameters: currents crowd between the wires, which is left out";
    return fl_loop_caution(&loop, setting);
}

/* Heights are above the ground plane. The defaults, a die of 100 um and a land as high, gold wire
 * of 25 um in air at a pitch of 100 um: common practice, no source. */
static const fl_parameter parameters_of_wires[] = {
    [COUNT] = {.name = "count", .dimension = FL_NUMBER, .rule = FL_WHOLE, .fallback = 1.0},
    [DIAMETER] = {.name = "diameter",
                  .dimension = FL_LENGTH,
                  .rule = FL_POSITIVE,
                  .fallback = 25e-6},
    [SPAN] = {.name = "span", .dimension = FL_LENGTH, .rule = FL_POSITIVE, .required = true},
    [LOOP_HEIGHT] = {.name = "loop height",
                     .dimension = FL_LENGTH,
                     .rule = FL_POSITIVE,
                     .required = true},
    [DIE_HEIGHT] = {.name = "die height",
                    .dimension = FL_LENGTH,
                    .rule = FL_POSITIVE,
                    .fallback = 100e-6},
    [LAND_HEIGHT] = {.name = "land height",
                     .dimension = FL_LENGTH,
                     .rule = FL_POSITIVE,
                     .fallback = 100e-6},
    [PITCH] = {.name = "pitch", .dimension = FL_LENGTH, .rule = FL_POSITIVE, .fallback = 100e-6},
    [CONDUCTIVITY] = {.name = "conductivity",
                      .dimension = FL_CONDUCTIVITY,
                      .rule = FL_POSITIVE,
                      .fallback = 4.1e7},
    [COVER] = {.name = "cover", .dimension = FL_NUMBER, .rule = FL_AT_LEAST_ONE, .fallback = 1.0},
    [RETURNS] = {.name = "returns", .dimension = FL_NUMBER, .rule = FL_WHOLE_OR_NONE}};

const fl_physics fl_bond_wires = {
    .kind = {.name = "bond wires",
             .summary = "parallel round wires over ground, ground wires beside",
             .parameters = parameters_of_wires,
             .parameter_count = FL_LENGTH_OF(parameters_of_wires)},
    .forms = fl_loop_forms,
    .form_count = FL_LOOP_LINES,
    .refuse = refuse_wires,
    .caution = caution_wires,
    .solve = solve_wires,
    .describe = describe_wires};
