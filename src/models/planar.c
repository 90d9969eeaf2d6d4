/* From static values of a cross-section to a line whose values change with frequency.
 *
 * Formulas, sources and ranges are in planar.h. */
#include "models/planar.h"

#include <math.h>

#include "models/conductor.h"
#include "models/filament.h"
#include "models/microstrip.h"

static const double pi = 3.14159265358979323846;

/* Beyond this one line swallows all: 20 neper, 174 dB. */
static const double greatest_loss = 20.0;

static double light_speed(void)
{
    return 1.0 / sqrt(fl_permeability() * fl_permittivity());
}

fl_substrate fl_substrate_of(const double *parameters)
{
    return (fl_substrate){.height = parameters[0],
                          .permittivity = parameters[1],
                          .loss_tangent = parameters[2],
                          .thickness = parameters[3],
                          .conductivity = parameters[4],
                          .roughness = parameters[5],
                          .line = parameters[6],
                          .gap = parameters[7]};
}

const char *fl_planar_narrow(const fl_substrate *substrate, double line, double gap)
{
    if (line < substrate->line)
        return "the width is below the 'narrowest line' of the substrate";
    return gap < substrate->gap ? "the gap is below the 'narrowest gap' of the substrate" : NULL;
}

fl_cover fl_cover_of(const double *parameters)
{
    return (fl_cover){
        .permittivity = parameters[0], .height = parameters[1], .loss_tangent = parameters[2]};
}

const char *fl_cover_refuse(const fl_cover *cover, double thickness)
{
    if (cover->permittivity == 0.0 && (cover->height > 0.0 || cover->loss_tangent > 0.0))
        return "'cover height' and 'cover loss tangent' need a 'cover'";
    if (cover->height > 0.0 && cover->height < 1.05 * thickness)
        return "'cover height' must be over 1.05 times the metal thickness";
    return NULL;
}

/* Surface impedance; a sheet without thickness is as thick as the current. */
static fl_complex surface_impedance(const fl_substrate *metal, double w)
{
    const double depth = fl_skin_depth(metal->conductivity, w);
    const double smooth = 1.0 / (metal->conductivity * depth);
    const double ratio = metal->roughness / depth;
    /* k coth(k t) / sigma, [Ramo1994]: a bar of 2 t has its current on two faces */
    fl_complex surface = metal->thickness > 0.0
                             ? fl_bar_impedance(0.5, 2.0 * metal->thickness, metal->conductivity, w)
                             : (fl_complex){smooth, smooth};
    surface.re *= 1.0 + 2.0 / pi * atan(1.4 * ratio * ratio); /* [Hammerstad1980] */
    return surface;
}

/* Effective permittivity and loss at a frequency, and how far the impedance has risen. */
static double disperse(double effective[2], const fl_planar *planar, double frequency)
{
    effective[0] = planar->permittivity;
    effective[1] = planar->loss;
    if (planar->width <= 0.0)
        return 1.0;
    const double er = planar->substrate->permittivity, u = planar->width / planar->height;
    const double fn = frequency * planar->height * 1e-6; /* GHz mm */
    const double share = 1.0 / (1.0 + fl_microstrip_gathering(u, er, fn));
    const double ends[2] = {effective[0], er - (er - effective[0]) * share};
    const double lost = er * planar->substrate->loss_tangent;
    effective[0] = ends[1];
    effective[1] = lost - (lost - planar->loss) * share;
    return fl_microstrip_rise(u, er, ends, fn);
}

fl_status fl_planar_at(fl_planar_wave *wave, const fl_planar *planar, double frequency,
                       fl_error *error)
{
    double effective[2];
    const double w = 2.0 * pi * frequency, light = light_speed();
    const double impedance = planar->impedance * disperse(effective, planar, frequency);
    if (!isfinite(impedance) || impedance <= 0.0)
        return fl_fail(error, FL_BAD_INPUT, "",
                       "dimensions and frequencies for which the dispersion of a line is known, "
                       "found some far out of its range");
    const fl_complex surface = surface_impedance(planar->substrate, w);
    const double inductance = planar->impedance * sqrt(planar->permittivity) / light;
    const double grown = 1.0 + planar->crowding * surface.im / (w * inductance);
    wave->impedance = impedance * sqrt(grown);
    wave->permittivity = effective[0] * grown;
    wave->attenuation = planar->crowding * surface.re / (2.0 * wave->impedance) +
                        w / light * sqrt(wave->permittivity) * effective[1] / (2.0 * effective[0]);
    return FL_OK;
}

fl_status fl_planar_bear(const double values[FL_VALUES], double ratio, const fl_setting *setting,
                         fl_error *error)
{
    for (size_t k = 0; k < FL_NODES; k++) {
        const double loss = ratio * values[(size_t)2 * FL_NODES + k] *
                            sqrt(2.0 * pi * setting->nodes[k] / setting->w0);
        if (loss > greatest_loss)
            return fl_fail(error, FL_BAD_INPUT, "", "a loss up to 170 dB, found %g dB",
                           loss * 20.0 / log(10.0));
    }
    return FL_OK;
}

fl_status fl_planar_values(double values[FL_VALUES], const fl_planar *planar, double length,
                           const fl_setting *setting, fl_error *error)
{
    fl_planar_wave wave;
    double found[FL_VALUES];
    for (size_t k = 0; k < FL_NODES; k++) {
        const double frequency = setting->nodes[k];
        const fl_status status = fl_planar_at(&wave, planar, frequency, error);
        if (status != FL_OK)
            return status;
        const double loss = wave.attenuation * length;
        found[k] = wave.impedance;
        found[FL_NODES + k] = length * sqrt(wave.permittivity) / light_speed();
        found[(size_t)2 * FL_NODES + k] = loss / sqrt(2.0 * pi * frequency / setting->w0);
    }
    const fl_status status = fl_planar_bear(found, 1.0, setting, error);
    if (status != FL_OK)
        return status;
    for (size_t v = 0; v < FL_VALUES; v++)
        values[v] = found[v];
    return FL_OK;
}

size_t fl_planar_describe(fl_property *properties, const fl_planar *planar, double length,
                          double w0)
{
    fl_planar_wave wave;
    if (fl_planar_at(&wave, planar, w0 / (2.0 * pi), NULL) != FL_OK)
        return 0;
    const double delay = length * sqrt(wave.permittivity) / light_speed();
    const double decibel = wave.attenuation * 20.0 / log(10.0);
    properties[0] = (fl_property){"impedance", FL_RESISTANCE, wave.impedance};
    properties[1] = (fl_property){"effective permittivity", FL_NUMBER, wave.permittivity};
    properties[2] = (fl_property){"length", FL_LENGTH, length};
    properties[3] = (fl_property){"electrical length", FL_ANGLE, w0 * delay * 180.0 / pi};
    properties[4] = (fl_property){"loss per length", FL_LOSS, decibel};
    properties[5] = (fl_property){"loss", FL_DECIBEL, decibel * length};
    return 6;
}

const char *fl_planar_caution(const fl_substrate *substrate, const fl_setting *setting)
{
    const double lowest = 2.0 * pi * setting->nodes[0];
    if (substrate->thickness > 0.0 &&
        substrate->thickness < 2.0 * fl_skin_depth(substrate->conductivity, lowest))
        return "the metal is under two skin depths thick: its loss is a rough estimate";
    return NULL;
}

static void use_metal(fl_cross *cross, fl_cross_conductor *conductors,
                      const fl_substrate *substrate)
{
    for (size_t i = 0; i < cross->conductor_count; i++) {
        conductors[i].thickness = substrate->thickness;
        conductors[i].conductivity = substrate->conductivity;
    }
    cross->conductors = conductors;
    cross->conductivity = substrate->conductivity;
}

/* Resistance of a line whose metal has no thickness, whatever dielectric lies around. */
static fl_status solve_thin(double *resistance, const fl_cross *cross,
                            fl_cross_conductor *conductors, double height, double frequency,
                            fl_error *error)
{
    fl_cross_result result;
    fl_cross bare = *cross;
    const double depth = 3.0 * fl_skin_depth(cross->conductivity, 2.0 * pi * frequency);
    const double thickness = depth / (1.0 + depth / (0.04 * height)); /* at low frequencies */
    bare.layer_count = 0;
    for (size_t i = 0; i < cross->conductor_count; i++)
        conductors[i].thickness = thickness;
    const fl_status status = fl_cross_solve(&result, &bare, frequency, error);
    for (size_t i = 0; i < cross->conductor_count; i++)
        conductors[i].thickness = 0.0;
    if (status == FL_OK)
        *resistance = result.resistance[0][0];
    return status;
}

fl_status fl_planar_solve(fl_planar *planar, fl_cross *cross, fl_cross_conductor *conductors,
                          double frequency, fl_error *error)
{
    fl_cross_result result;
    const fl_substrate *metal = planar->substrate;
    use_metal(cross, conductors, metal);
    fl_status status = fl_cross_solve(&result, cross, frequency, error);
    if (status != FL_OK)
        return status;
    double resistance = result.resistance[0][0];
    if (metal->thickness <= 0.0)
        status = solve_thin(&resistance, cross, conductors, metal->height, frequency, error);
    if (status != FL_OK)
        return status;
    const double w = 2.0 * pi * frequency;
    planar->impedance = result.modes[0].impedance;
    planar->permittivity = result.modes[0].permittivity;
    planar->loss = result.conductance[0][0] / (w * result.capacitance[0][0]) * planar->permittivity;
    planar->crowding = resistance * metal->conductivity * fl_skin_depth(metal->conductivity, w);
    return FL_OK;
}
