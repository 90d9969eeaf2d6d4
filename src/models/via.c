/* Signal via: pad, plated barrel, pad; one, or several side by side.
 *
 * Formula: in the middle the inductance and resistance of a via [Goldfarb1991],
 * L = mu0 / 2pi (h ln((h + s) / r) + 1.5 (r - s)), s^2 = r^2 + h^2, and R = Rdc sqrt(1 + f / fd),
 * fd = 1 / (pi mu0 sigma t^2), t the plating. Several share the current by their coupling: two
 * filaments one pitch apart [Grover1946] with the same correction of the term in r - s, so that
 * vias in one place are one via. On either side the capacitance of pad and half the barrel to the
 * plane: a disc on the substrate over a solid plane [Chew1980], or, with an `antipad`, barrel and
 * pad through the clearance in it (barrel.h).
 *
 * Range: height 100 to 635 um and under 0.03 wavelengths in air, drill 0.2 to 1.5 heights; beyond
 * it the formula goes on smoothly. Accuracy: inductance some 5 % within the range, to which the
 * formula was fitted; a pad without antipad 1e-4, with one 0.3 % of the quasi-static value of the
 * shape as drawn, its far end taken like the near one.
 *
 * Not in it: which way the return current takes (ground vias beside it, planes it must change),
 * inside inductance of the plating (1 %), the capacitance between pads and a line that leads to
 * them, stubs below the far pad, pads of a row that merge. */
#include <math.h>
#include <stddef.h>

#include <gsl/gsl_linalg.h>

#include "models/barrel.h"
#include "models/conductor.h"
#include "models/disc.h"
#include "models/filament.h"
#include "models/kinds.h"

enum {
    DRILL,
    HEIGHT,
    COUNT,
    PITCH,
    PAD,
    ANTIPAD,
    PLATING,
    SUBSTRATE_HEIGHT,
    SUBSTRATE_PERMITTIVITY,
    SUBSTRATE_LOSS,
    SUBSTRATE_METAL,
    SUBSTRATE_CONDUCTIVITY
};

enum { MOST = 16 };

static const double pi = 3.14159265358979323846;
static const double light_speed = 299792458.0; /* m/s */

/* Pads and clearances so much wider than they lie high are planes of their own. */
static const double widest = 80.0;

/* Images of the charge on a slab fall too slowly over this. */
static const double densest = 100.0;

/* A barrel that ends without a pad: the brim it has all the same, in drills. */
static const double bare = 1.02;

static double length_of(const double *parameters)
{
    return parameters[HEIGHT] > 0.0 ? parameters[HEIGHT] : parameters[SUBSTRATE_HEIGHT];
}

static const char *refuse_via(const double *parameters)
{
    if (parameters[COUNT] > MOST)
        return "'count' is over 16";
    if (parameters[COUNT] > 1.0 && parameters[PITCH] <= parameters[DRILL])
        return "'count' over 1 needs a 'pitch' over the 'drill'";
    if (parameters[PAD] > 0.0 && parameters[PAD] <= parameters[DRILL])
        return "'pad' must be more than 'drill'";
    if (parameters[ANTIPAD] > 0.0 && parameters[ANTIPAD] <= parameters[DRILL])
        return "'antipad' must be more than 'drill'";
    if (fmax(parameters[PAD], parameters[ANTIPAD]) > widest * parameters[SUBSTRATE_HEIGHT])
        return "'pad' or 'antipad' is over 80 times the substrate's height";
    if (parameters[SUBSTRATE_PERMITTIVITY] > densest)
        return "the substrate's permittivity is over 100";
    if (2.0 * parameters[PLATING] > parameters[DRILL])
        return "'plating' is over half the 'drill'";
    return NULL;
}

/* Of a via with a radius; of two at a distance. */
static double inductance(double height, double distance)
{
    const double sum = distance + hypot(height, distance); /* r - s is -h^2 / (r + s) */
    return fl_permeability() / (2.0 * pi) * height *
           (asinh(height / distance) - 1.5 * height / sum);
}

static double resistance(const double *parameters, double w0)
{
    const double outer = parameters[DRILL] / 2.0, plating = parameters[PLATING];
    const double sigma = parameters[SUBSTRATE_CONDUCTIVITY];
    const double section = pi * plating * (2.0 * outer - plating);
    const double depth = fl_skin_depth(sigma, w0);
    return length_of(parameters) / (sigma * section) *
           sqrt(1.0 + plating * plating / (depth * depth)); /* f / fd = (t / depth)^2 */
}

/* A row of vias: resistance and inductance. */
static fl_status find_series(double series[2], const double *parameters, double w0, fl_error *error)
{
    const size_t count = (size_t)parameters[COUNT];
    double matrix[MOST * MOST], current[MOST], total = 0.0, squares = 0.0;
    for (size_t i = 0; i < count; i++) {
        current[i] = 1.0;
        for (size_t j = 0; j < count; j++) {
            const double apart = (i > j ? (double)(i - j) : (double)(j - i)) * parameters[PITCH];
            matrix[i * count + j] =
                inductance(length_of(parameters), i == j ? parameters[DRILL] / 2.0 : apart);
        }
    }
    gsl_matrix_view a = gsl_matrix_view_array(matrix, count, count);
    gsl_vector_view x = gsl_vector_view_array(current, count);
    if (gsl_linalg_cholesky_decomp1(&a.matrix) != 0 ||
        gsl_linalg_cholesky_svx(&a.matrix, &x.vector) != 0)
        return fl_fail(error, FL_BAD_INPUT, "", "vias that stand apart, found them too near");
    for (size_t i = 0; i < count; i++) {
        total += current[i];
        squares += current[i] * current[i];
    }
    series[0] = resistance(parameters, w0) * squares / (total * total);
    series[1] = 1.0 / total;
    return FL_OK;
}

/* Capacitance of either side, and its loss as the time of the form. */
static fl_status find_shunt(double shunt[2], const double *parameters, double w0, fl_error *error)
{
    static const double step = 1e-3; /* of the permittivity */
    const double pad = parameters[PAD], height = parameters[SUBSTRATE_HEIGHT];
    const double permittivity = parameters[SUBSTRATE_PERMITTIVITY];
    double capacitance = 0.0, share = 0.0;
    if (parameters[ANTIPAD] > 0.0) {
        const fl_barrel barrel = {.drill = parameters[DRILL],
                                  .pad = pad > 0.0 ? pad : bare * parameters[DRILL],
                                  .antipad = parameters[ANTIPAD],
                                  .height = height,
                                  /* none is a thin one */
                                  .metal = hypot(parameters[SUBSTRATE_METAL], 1e-2 * height),
                                  .permittivity = permittivity};
        const fl_status status = fl_barrel_capacitance(&capacitance, &share, &barrel, error);
        if (status != FL_OK)
            return status;
    } else if (pad > 0.0) {
        capacitance = fl_disc_on_slab(pad / 2.0, height, permittivity);
        if (parameters[SUBSTRATE_LOSS] > 0.0)
            share =
                log(fl_disc_on_slab(pad / 2.0, height, permittivity * (1.0 + step)) / capacitance) /
                log1p(step);
    }
    shunt[0] = parameters[COUNT] * capacitance;
    shunt[1] = parameters[SUBSTRATE_LOSS] * share / w0;
    return FL_OK;
}

static fl_status solve_via(double (*values)[FL_VALUES], const double *parameters,
                           const fl_setting *setting, fl_error *error)
{
    double shunt[2], series[2];
    fl_status status = find_shunt(shunt, parameters, setting->w0, error);
    if (status == FL_OK)
        status = find_series(series, parameters, setting->w0, error);
    if (status != FL_OK)
        return status;
    for (int k = 0; k < 2; k++) {
        values[0][k] = values[2][k] = shunt[k];
        values[1][k] = series[k];
    }
    values[1][2] = 0.0;
    return FL_OK;
}

static size_t describe_via(fl_property *properties, const double *parameters,
                           const fl_setting *setting)
{
    double values[3][FL_VALUES];
    if (solve_via(values, parameters, setting, NULL) != FL_OK)
        return 0;
    properties[0] = (fl_property){"inductance", FL_INDUCTANCE, values[1][1]};
    properties[1] = (fl_property){"capacitance", FL_CAPACITANCE, 2.0 * values[0][0]};
    properties[2] = (fl_property){"resistance", FL_RESISTANCE, values[1][0]};
    properties[3] = (fl_property){"reactance", FL_RESISTANCE, setting->w0 * values[1][1]};
    return 4;
}

static const char *caution_via(const double *parameters, const fl_setting *setting)
{
    const double height = length_of(parameters), drill = parameters[DRILL];
    const double wave = light_speed / setting->nodes[FL_NODES - 1];
    if (height < 100e-6 || height > 635e-6)
        return "the inductance is fitted for heights from 100 to 635 um";
    if (height > 0.03 * wave)
        return "the height is over 0.03 wavelengths: the inductance is fitted for less";
    if (drill < 0.2 * height || drill > 1.5 * height)
        return "the inductance is fitted for a 'drill' from 0.2 to 1.5 heights";
    if (parameters[COUNT] > 1.0 && parameters[PITCH] < fmax(parameters[PAD], parameters[ANTIPAD]))
        return "'pitch' is under the 'pad' or 'antipad': the pads merge, their capacitance is "
               "less than the sum";
    if (fmax(parameters[PAD], parameters[ANTIPAD]) > 20.0 * parameters[SUBSTRATE_HEIGHT])
        return "'pad' or 'antipad' is over 20 times the substrate's height";
    return NULL;
}

/* Defaults: a plating of 20 um, ground metal of 18 um, copper; common practice, no source. */
static const fl_parameter parameters_of_via[] = {
    [DRILL] = {.name = "drill", .dimension = FL_LENGTH, .rule = FL_POSITIVE, .required = true},
    [HEIGHT] = {.name = "height", .dimension = FL_LENGTH, .rule = FL_POSITIVE},
    [COUNT] = {.name = "count", .dimension = FL_NUMBER, .rule = FL_WHOLE, .fallback = 1.0},
    [PITCH] = {.name = "pitch", .dimension = FL_LENGTH, .rule = FL_POSITIVE},
    [PAD] = {.name = "pad", .dimension = FL_LENGTH, .rule = FL_POSITIVE},
    [ANTIPAD] = {.name = "antipad", .dimension = FL_LENGTH, .rule = FL_POSITIVE},
    [PLATING] = {.name = "plating", .dimension = FL_LENGTH, .rule = FL_POSITIVE, .fallback = 20e-6},
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
                                .substrate = true}};

static const fl_form pad_via_pad[] = {FL_FORM_SHUNT_CAPACITOR, FL_FORM_SERIES,
                                      FL_FORM_SHUNT_CAPACITOR};

const fl_physics fl_via = {.kind = {.name = "via",
                                    .summary = "plated hole in the path with its pads",
                                    .parameters = parameters_of_via,
                                    .parameter_count = FL_LENGTH_OF(parameters_of_via)},
                           .forms = pad_via_pad,
                           .form_count = 3,
                           .refuse = refuse_via,
                           .caution = caution_via,
                           .solve = solve_via,
                           .describe = describe_via};
