/* Bond ribbon: one flat conductor over a ground plane.
 *
 * Formula: the ribbon follows the parabola of a bond wire (arc.h) as a thin tape four times as wide
 * as the outer radius of its section [Polya1951], in six strips that share current and charge as
 * parallel wires do and act on themselves and each other at geometric mean distances
 * [Grover1946]. So the crowding at the edges is in it. The metal adds its internal impedance with
 * the current in both faces [Ramo1994].
 *
 * Range: width over thickness and under twice the height of the ends, loop height under the span,
 * waves as bond wires. Accuracy: exact to 0.1 % for a long bar in space; some 3 % in capacitance
 * where the thickness is over a tenth of the height, by the charge that moves to the lower face.
 *
 * Not in it: what bond wires leave out, and the part of the resistance that comes from crowding at
 * the edges (some 30 % more resistance, hundredths of a dB). */
#include <math.h>
#include <stddef.h>

#include "models/conductor.h"
#include "models/kinds.h"
#include "models/loop.h"

enum { WIDTH, THICKNESS, SPAN, LOOP_HEIGHT, DIE_HEIGHT, LAND_HEIGHT, CONDUCTIVITY, COVER };

enum { STRIPS = 6 };

/* So much wider must six strips with even charges be to act in space as one tape, whose charge
 * grows without bound at its edges: an edge effect, the same wherever the ground is. */
static const double wider = 1.038484;

static const char *refuse_ribbon(const double *parameters)
{
    if (parameters[THICKNESS] > parameters[WIDTH])
        return "'thickness' is over 'width'";
    if (parameters[DIE_HEIGHT] + parameters[LOOP_HEIGHT] <= parameters[LAND_HEIGHT])
        return "'die height' plus 'loop height' must be more than 'land height'";
    return NULL;
}

static void loop_of_ribbon(fl_loop *loop, const double *parameters, double w0)
{
    const double half = parameters[THICKNESS] / 2.0;
    const double tape = 4.0 * fl_bar_radius(parameters[WIDTH], parameters[THICKNESS]);
    const double strip = wider * tape / STRIPS;
    const fl_parabola parabola = {.span = parameters[SPAN],
                                  .start = parameters[DIE_HEIGHT] + half,
                                  .end = parameters[LAND_HEIGHT] + half,
                                  .top = parameters[LOOP_HEIGHT]};
    fl_arc_parabola(&loop->arc, &parabola, FL_LOOP_PIECES);
    loop->bundle = (fl_bundle){.arc = &loop->arc, .signals = STRIPS, .pitch = strip, .plane = true};
    for (size_t k = 0; k < STRIPS; k++)
        loop->bundle.mean[k] = fl_tape_distance(strip, (double)k * strip);
    loop->inside =
        fl_bar_impedance(parameters[WIDTH], parameters[THICKNESS], parameters[CONDUCTIVITY], w0);
    loop->each = false;
    loop->cover = parameters[COVER];
}

static fl_status solve_ribbon(double (*values)[FL_VALUES], const double *parameters,
                              const fl_setting *setting, fl_error *error)
{
    fl_loop loop;
    loop_of_ribbon(&loop, parameters, setting->w0);
    return fl_loop_lines(values, &loop, setting->w0, error);
}

static size_t describe_ribbon(fl_property *properties, const double *parameters,
                              const fl_setting *setting)
{
    fl_loop loop;
    loop_of_ribbon(&loop, parameters, setting->w0);
    return fl_loop_describe(properties, &loop, setting->w0);
}

static const char *caution_ribbon(const double *parameters, const fl_setting *setting)
{
    fl_loop loop;
    loop_of_ribbon(&loop, parameters, setting->w0);
    if (parameters[WIDTH] > 2.0 * fmin(parameters[DIE_HEIGHT], parameters[LAND_HEIGHT]))
        return "'width' is over twice the height of an end: a wide ribbon charges its lower face";
    return fl_loop_caution(&loop, setting);
}

/* Heights are above the ground plane. Defaults: common practice, no source. */
static const fl_parameter parameters_of_ribbon[] = {
    [WIDTH] = {.name = "width", .dimension = FL_LENGTH, .rule = FL_POSITIVE, .required = true},
    [THICKNESS] = {.name = "thickness",
                   .dimension = FL_LENGTH,
                   .rule = FL_POSITIVE,
                   .required = true},
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
    [CONDUCTIVITY] = {.name = "conductivity",
                      .dimension = FL_CONDUCTIVITY,
                      .rule = FL_POSITIVE,
                      .fallback = 4.1e7},
    [COVER] = {.name = "cover", .dimension = FL_NUMBER, .rule = FL_AT_LEAST_ONE, .fallback = 1.0}};

const fl_physics fl_ribbon = {.kind = {.name = "ribbon",
                                       .summary = "flat bonded conductor over ground",
                                       .parameters = parameters_of_ribbon,
                                       .parameter_count = FL_LENGTH_OF(parameters_of_ribbon)},
                              .forms = fl_loop_forms,
                              .form_count = FL_LOOP_LINES,
                              .refuse = refuse_ribbon,
                              .caution = caution_ribbon,
                              .solve = solve_ribbon,
                              .describe = describe_ribbon};
