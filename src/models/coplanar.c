/* Grounded coplanar line: a strip between two ground planes, over a third below the substrate.
 *
 * Formula: the cross-section is solved by boundary elements (cross.h), with the metal's thickness
 * and the cover. The side grounds are endless and at the potential of the plane below: vias along
 * the gaps are taken as given. The closed elliptic form [Ghione1987] is not used: it knows no
 * thickness, which lowers the impedance by 10 % for 35 um in gaps of 150 um, and its magnetic wall
 * in the gaps is 30 % off where they are so wide that the line becomes a microstrip.
 *
 * Dispersion: that of the microstrip of the same width whose impedance in air is the same, that is
 * on a substrate as much thinner as the gaps draw the field in; common practice, no source.
 *
 * Range: width with gaps under half a wavelength in the substrate. Accuracy: static values 0.1 %
 * for gaps up to 5 heights, 0.4 % beyond, resistance 0.5 %; what dispersion adds to the effective
 * permittivity, some 3 % at 60 GHz, is uncertain by a factor of two.
 *
 * Not in it: waves between plane and side grounds where vias are sparse, side grounds that end near
 * the gap. */
#include <math.h>

#include "models/filament.h"
#include "models/kinds.h"
#include "models/microstrip.h"
#include "models/planar.h"

enum { WIDTH, GAP, LENGTH, COVER, SUBSTRATE = COVER + FL_COVER_COUNT };

static const double pi = 3.14159265358979323846;

/* A very thick cover ends this many sizes above: an error under 1e-5. */
static const double very_thick = 300.0;

static const char *refuse_coplanar(const double *parameters)
{
    const fl_substrate substrate = fl_substrate_of(parameters + SUBSTRATE);
    const fl_cover cover = fl_cover_of(parameters + COVER);
    const double width = parameters[WIDTH] / substrate.height;
    const double gap = parameters[GAP] / substrate.height;
    if (width < 0.01 || width > 100.0)
        return "the width must be 0.01 to 100 times the substrate's height";
    if (gap < 0.01 || gap > 100.0)
        return "the gap must be 0.01 to 100 times the substrate's height";
    if (substrate.permittivity > 128.0)
        return "the substrate's permittivity is over 128";
    return fl_cover_refuse(&cover, substrate.thickness);
}

static fl_status solve_section(fl_planar *planar, const double *parameters, double frequency,
                               fl_error *error)
{
    const fl_substrate *substrate = planar->substrate;
    const fl_cover cover = fl_cover_of(parameters + COVER);
    const double height = substrate->height, half = 0.5 * parameters[WIDTH];
    const double edge = half + parameters[GAP];
    const double above = cover.height > 0.0 ? cover.height : very_thick * (height + edge);
    const fl_cross_layer layers[] = {{height, substrate->permittivity, substrate->loss_tangent},
                                     {height + above, cover.permittivity, cover.loss_tangent}};
    fl_cross_conductor metal[] = {{.left = -half, .right = half, .bottom = height, .signal = 1},
                                  {.left = -HUGE_VAL, .right = -edge, .bottom = height},
                                  {.left = edge, .right = HUGE_VAL, .bottom = height}};
    fl_cross cross = {.layers = layers,
                      .layer_count = cover.permittivity > 0.0 ? 2 : 1,
                      .conductor_count = FL_LENGTH_OF(metal),
                      .ground = true};
    const fl_status status = fl_planar_solve(planar, &cross, metal, frequency, error);
    if (status != FL_OK)
        return status;
    const double air = planar->impedance * sqrt(planar->permittivity);
    planar->width = parameters[WIDTH];
    planar->height = parameters[WIDTH] / fl_microstrip_shape(air);
    return FL_OK;
}

static fl_status solve_coplanar(double (*values)[FL_VALUES], const double *parameters,
                                const fl_setting *setting, fl_error *error)
{
    const fl_substrate substrate = fl_substrate_of(parameters + SUBSTRATE);
    fl_planar planar = {.substrate = &substrate};
    const fl_status status = solve_section(&planar, parameters, setting->w0 / (2.0 * pi), error);
    if (status != FL_OK)
        return status;
    return fl_planar_values(values[0], &planar, parameters[LENGTH], setting, error);
}

static size_t describe_coplanar(fl_property *properties, const double *parameters,
                                const fl_setting *setting)
{
    const fl_substrate substrate = fl_substrate_of(parameters + SUBSTRATE);
    fl_planar planar = {.substrate = &substrate};
    if (solve_section(&planar, parameters, setting->w0 / (2.0 * pi), NULL) != FL_OK)
        return 0;
    return fl_planar_describe(properties, &planar, parameters[LENGTH], setting->w0);
}

static const char *caution_coplanar(const double *parameters, const fl_setting *setting)
{
    const fl_substrate substrate = fl_substrate_of(parameters + SUBSTRATE);
    const fl_cover cover = fl_cover_of(parameters + COVER);
    const double highest = setting->nodes[FL_NODES - 1];
    const double slowness = sqrt(fl_permeability() * fl_permittivity() * substrate.permittivity);
    const double wave = 1.0 / (slowness * highest);
    const char *narrow = fl_planar_narrow(&substrate, parameters[WIDTH], parameters[GAP]);
    if (narrow != NULL)
        return narrow;
    if (parameters[WIDTH] + 2.0 * parameters[GAP] > 0.5 * wave)
        return "width and gaps are over half a wavelength in the substrate: it is more than a line "
               "there";
    if (substrate.height > 0.25 * wave)
        return "the substrate is over a quarter of a wavelength high: the side grounds carry waves "
               "of their own";
    if (cover.permittivity > substrate.permittivity)
        return "the cover is denser than the substrate: dispersion and radiation into it are not "
               "known";
    return fl_planar_caution(&substrate, setting);
}

static const fl_parameter coplanar_parameters[] = {
    {.name = "width", .dimension = FL_LENGTH, .rule = FL_POSITIVE, .required = true},
    {.name = "gap", .dimension = FL_LENGTH, .rule = FL_POSITIVE, .required = true},
    {.name = "length", .dimension = FL_LENGTH, .rule = FL_NOT_NEGATIVE, .required = true},
    FL_COVER_PARAMETERS,
    FL_SUBSTRATE_PARAMETERS};

static const fl_form line_form[] = {FL_FORM_WAVE};

const fl_physics fl_grounded_coplanar = {
    .kind = {.name = "grounded coplanar",
             .summary = "strip between side grounds over a ground plane",
             .parameters = coplanar_parameters,
             .parameter_count = FL_LENGTH_OF(coplanar_parameters)},
    .forms = line_form,
    .form_count = 1,
    .spare = true,
    .along = LENGTH + 1,
    .refuse = refuse_coplanar,
    .caution = caution_coplanar,
    .solve = solve_coplanar,
    .describe = describe_coplanar};
