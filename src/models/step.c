/* Step in a microstrip's width: inductance, capacitance, inductance.
 *
 * Formula: [Hammerstad1975] as in [Hong2001]. The edge of the wide strip beside the
 * narrow one is an open end in part: its capacitance times 1 - narrow / wide. The inductance is
 * mu0 pi / 4 times the height times (1 - Za / Zb)^2, Za and Zb the impedances in air of the wide
 * and the narrow strip, shared as the lines' inductances per length. Both vanish for equal widths,
 * the capacitance with a kink there.
 *
 * Range: widths up to 4 to 1, permittivity up to 10, as microstrip. Accuracy: 10 %, by how far
 * formulas of the open end differ; common practice, no source.
 *
 * Not in it: dispersion, thickness, cover, loss. */
#include <math.h>

#include "models/filament.h"
#include "models/kinds.h"
#include "models/microstrip.h"
#include "models/planar.h"

static const double pi = 3.14159265358979323846;

enum { DIE_WIDTH, BOARD_WIDTH, SUBSTRATE };

/* Of die's side, middle, board's side. */
typedef struct step {
    double die_inductance, capacitance, board_inductance;
} step;

typedef struct side {
    double impedance, permittivity, air;
} side;

static side side_of(double width, const fl_substrate *substrate)
{
    side found;
    const fl_strip strip = {
        .width = width, .height = substrate->height, .permittivity = substrate->permittivity};
    fl_microstrip_static(&found.impedance, &found.permittivity, &strip);
    found.air = fl_microstrip_air(width / substrate->height);
    return found;
}

static step step_of(const double *parameters)
{
    const fl_substrate substrate = fl_substrate_of(parameters + SUBSTRATE);
    const double height = substrate.height;
    const double light = 1.0 / sqrt(fl_permeability() * fl_permittivity());
    const double widest = fmax(parameters[DIE_WIDTH], parameters[BOARD_WIDTH]);
    const double least = fmin(parameters[DIE_WIDTH], parameters[BOARD_WIDTH]);
    const side wide = side_of(widest, &substrate), narrow = side_of(least, &substrate);
    const double added = height * fl_microstrip_end_simple(widest / height, wide.permittivity);
    const double ratio = 1.0 - wide.air / narrow.air;
    const double inductance = 0.25 * pi * fl_permeability() * height * ratio * ratio;
    /* Inductances per length go as impedances in air. */
    const double share = narrow.air / (narrow.air + wide.air);
    const double to_narrow = share * inductance, to_wide = inductance - to_narrow;
    const bool die_wide = parameters[DIE_WIDTH] > parameters[BOARD_WIDTH];
    return (step){.die_inductance = die_wide ? to_wide : to_narrow,
                  .capacitance = (1.0 - least / widest) * added * sqrt(wide.permittivity) /
                                 (light * wide.impedance),
                  .board_inductance = die_wide ? to_narrow : to_wide};
}

static const char *refuse_step(const double *parameters)
{
    const fl_substrate substrate = fl_substrate_of(parameters + SUBSTRATE);
    for (size_t i = DIE_WIDTH; i <= BOARD_WIDTH; i++)
        if (parameters[i] < 0.01 * substrate.height || parameters[i] > 100.0 * substrate.height)
            return "the widths must be 0.01 to 100 times the substrate's height";
    return substrate.permittivity > 128.0 ? "the substrate's permittivity is over 128" : NULL;
}

static const char *caution_step(const double *parameters, const fl_setting *setting)
{
    const fl_substrate substrate = fl_substrate_of(parameters + SUBSTRATE);
    const double widest = fmax(parameters[DIE_WIDTH], parameters[BOARD_WIDTH]);
    const double least = fmin(parameters[DIE_WIDTH], parameters[BOARD_WIDTH]);
    const double slowness = sqrt(substrate.permittivity * fl_permeability() * fl_permittivity());
    const char *narrow = fl_planar_narrow(&substrate, least, HUGE_VAL);
    if (narrow != NULL)
        return narrow;
    if (widest > 4.0 * least)
        return "the widths are over 4 to 1";
    if (substrate.permittivity > 10.0)
        return "the substrate's permittivity is over 10";
    if (4.0 * widest * slowness * setting->nodes[FL_NODES - 1] > 1.0)
        return "the wider strip is over a quarter of a wavelength wide: a step is taken as small";
    return NULL;
}

static fl_status solve_step(double (*values)[FL_VALUES], const double *parameters,
                            const fl_setting *setting, fl_error *error)
{
    (void)setting;
    (void)error;
    const step found = step_of(parameters);
    values[0][0] = values[2][0] = 0.0;
    values[0][1] = found.die_inductance;
    values[2][1] = found.board_inductance;
    values[0][2] = values[2][2] = 0.0;
    values[1][0] = found.capacitance;
    values[1][1] = 0.0;
    return FL_OK;
}

static size_t describe_step(fl_property *properties, const double *parameters,
                            const fl_setting *setting)
{
    (void)setting;
    const step found = step_of(parameters);
    properties[0] =
        (fl_property){"inductance", FL_INDUCTANCE, found.die_inductance + found.board_inductance};
    properties[1] = (fl_property){"capacitance", FL_CAPACITANCE, found.capacitance};
    return 2;
}

static const fl_parameter step_parameters[] = {
    {.name = "die width", .dimension = FL_LENGTH, .rule = FL_POSITIVE, .required = true},
    {.name = "board width", .dimension = FL_LENGTH, .rule = FL_POSITIVE, .required = true},
    FL_SUBSTRATE_PARAMETERS};

static const fl_form step_forms[] = {FL_FORM_SERIES, FL_FORM_SHUNT_CAPACITOR, FL_FORM_SERIES};

const fl_physics fl_step = {.kind = {.name = "step",
                                     .summary = "step in a microstrip's width",
                                     .parameters = step_parameters,
                                     .parameter_count = FL_LENGTH_OF(step_parameters)},
                            .forms = step_forms,
                            .form_count = FL_LENGTH_OF(step_forms),
                            .spare = true,
                            .refuse = refuse_step,
                            .caution = caution_step,
                            .solve = solve_step,
                            .describe = describe_step};
