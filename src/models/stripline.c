/* Stripline: a strip in one dielectric between two ground planes, the substrate's height apart.
 *
 * Formula: a strip without thickness in the middle exactly, by elliptic integrals [Cohn1954]; with
 * a metal thickness, or with a strip height, by boundary elements (cross.h). Effective permittivity
 * and dielectric loss are those of the dielectric, without dispersion.
 *
 * Range: below the first wave across, c / (sqrt(er) (2 w + pi b / 2)) [Vendelin1970]. Accuracy:
 * exact, or impedance 0.05 %; resistance 0.5 %.
 *
 * Not in it: waves between the planes where they are not joined by vias, layers of different
 * permittivity. */
#include <gsl/gsl_sf_ellint.h>
#include <math.h>

#include "models/filament.h"
#include "models/kinds.h"
#include "models/planar.h"

enum { WIDTH, LENGTH, STRIP_HEIGHT, SUBSTRATE };

static const double pi = 3.14159265358979323846;

/* The strip's lower face; in the middle if not given. */
static double strip_bottom(const double *parameters, const fl_substrate *substrate)
{
    if (parameters[STRIP_HEIGHT] > 0.0)
        return parameters[STRIP_HEIGHT];
    return 0.5 * (substrate->height - substrate->thickness);
}

static const char *refuse_stripline(const double *parameters)
{
    const fl_substrate substrate = fl_substrate_of(parameters + SUBSTRATE);
    const double width = parameters[WIDTH] / substrate.height;
    const double bottom = strip_bottom(parameters, &substrate);
    const double room = substrate.height - bottom - substrate.thickness;
    if (width < 0.01 || width > 100.0)
        return "the width must be 0.01 to 100 times the substrate's height";
    if (fmin(bottom, room) < 0.05 * substrate.height)
        return "the strip must leave 0.05 of the substrate's height to either plane";
    return NULL;
}

/* eta / (4 sqrt(er)) K(k) / K(k'), k = sech(pi w / 2 b) [Cohn1954] */
static double thin_impedance(double shape, double permittivity)
{
    const double k = 1.0 / cosh(0.5 * pi * shape), other = tanh(0.5 * pi * shape);
    const double eta = sqrt(fl_permeability() / fl_permittivity());
    /* For a wide strip k' is 1 to the last digits; ln(4 / k) is K(k') to 1e-8 then. */
    const double lower = k > 1e-4 ? gsl_sf_ellint_Kcomp(other, GSL_PREC_DOUBLE) : log(4.0 / k);
    return 0.25 * eta / sqrt(permittivity) * gsl_sf_ellint_Kcomp(k, GSL_PREC_DOUBLE) / lower;
}

static fl_status solve_section(fl_planar *planar, const double *parameters, double frequency,
                               fl_error *error)
{
    const fl_substrate *substrate = planar->substrate;
    const double half = 0.5 * parameters[WIDTH], er = substrate->permittivity;
    fl_cross_conductor strip = {
        .left = -half, .right = half, .bottom = strip_bottom(parameters, substrate), .signal = 1};
    fl_cross cross = {.conductor_count = 1, .ground = true, .lid = substrate->height};
    const fl_status status = fl_planar_solve(planar, &cross, &strip, frequency, error);
    if (status != FL_OK)
        return status;
    planar->permittivity = er;
    planar->loss = er * substrate->loss_tangent;
    planar->impedance /= sqrt(er);
    if (substrate->thickness <= 0.0 && parameters[STRIP_HEIGHT] <= 0.0)
        planar->impedance = thin_impedance(parameters[WIDTH] / substrate->height, er);
    return FL_OK;
}

static fl_status solve_stripline(double (*values)[FL_VALUES], const double *parameters,
                                 const fl_setting *setting, fl_error *error)
{
    const fl_substrate substrate = fl_substrate_of(parameters + SUBSTRATE);
    fl_planar planar = {.substrate = &substrate};
    const fl_status status = solve_section(&planar, parameters, setting->w0 / (2.0 * pi), error);
    if (status != FL_OK)
        return status;
    return fl_planar_values(values[0], &planar, parameters[LENGTH], setting, error);
}

static size_t describe_stripline(fl_property *properties, const double *parameters,
                                 const fl_setting *setting)
{
    const fl_substrate substrate = fl_substrate_of(parameters + SUBSTRATE);
    fl_planar planar = {.substrate = &substrate};
    if (solve_section(&planar, parameters, setting->w0 / (2.0 * pi), NULL) != FL_OK)
        return 0;
    return fl_planar_describe(properties, &planar, parameters[LENGTH], setting->w0);
}

static const char *caution_stripline(const double *parameters, const fl_setting *setting)
{
    const fl_substrate substrate = fl_substrate_of(parameters + SUBSTRATE);
    const double slowness = sqrt(fl_permeability() * fl_permittivity() * substrate.permittivity);
    const double across = 2.0 * parameters[WIDTH] + 0.5 * pi * substrate.height;
    const char *narrow = fl_planar_narrow(&substrate, parameters[WIDTH], HUGE_VAL);
    if (narrow != NULL)
        return narrow;
    if (setting->nodes[FL_NODES - 1] * slowness * across > 1.0)
        return "the band reaches the first wave across the strip: it is more than a line there";
    return fl_planar_caution(&substrate, setting);
}

static const fl_parameter stripline_parameters[] = {
    {.name = "width", .dimension = FL_LENGTH, .rule = FL_POSITIVE, .required = true},
    {.name = "length", .dimension = FL_LENGTH, .rule = FL_NOT_NEGATIVE, .required = true},
    {.name = "strip height", .dimension = FL_LENGTH, .rule = FL_POSITIVE},
    FL_SUBSTRATE_PARAMETERS};

static const fl_form line_form[] = {FL_FORM_WAVE};

const fl_physics fl_stripline = {.kind = {.name = "stripline",
                                          .summary = "strip in a dielectric between two grounds",
                                          .parameters = stripline_parameters,
                                          .parameter_count = FL_LENGTH_OF(stripline_parameters)},
                                 .forms = line_form,
                                 .form_count = 1,
                                 .spare = true,
                                 .along = LENGTH + 1,
                                 .refuse = refuse_stripline,
                                 .caution = caution_stripline,
                                 .solve = solve_stripline,
                                 .describe = describe_stripline};
