/* Taper: a microstrip whose width runs straight from the die's end to the board's.
 *
 * Formula: 16 lines of one length in a row, each as wide as the taper in its middle, with values
 * of microstrip. Range: as microstrip; length up to two wavelengths, sides that slope under 45
 * degrees. Accuracy: reflection within 0.002 of that of twice the lines.
 *
 * Not in it: the bend of the wave fronts, so that a short wide taper is a rough picture. */
#include <math.h>

#include "models/filament.h"
#include "models/kinds.h"
#include "models/trace.h"

static const double pi = 3.14159265358979323846;

enum { DIE_WIDTH, BOARD_WIDTH, LENGTH, COVER, SUBSTRATE = COVER + FL_COVER_COUNT };

enum { PIECES = FL_ELEMENTS };

/* At a place from 0 (die) to 1 (board). */
static fl_trace trace_at(const double *parameters, double place)
{
    return (fl_trace){.width = parameters[DIE_WIDTH] +
                               place * (parameters[BOARD_WIDTH] - parameters[DIE_WIDTH]),
                      .substrate = fl_substrate_of(parameters + SUBSTRATE),
                      .cover = fl_cover_of(parameters + COVER)};
}

static const char *refuse_taper(const double *parameters)
{
    const fl_trace die = trace_at(parameters, 0.0), board = trace_at(parameters, 1.0);
    const char *text = fl_trace_refuse(&die);
    return text != NULL ? text : fl_trace_refuse(&board);
}

static fl_status solve_taper(double (*values)[FL_VALUES], const double *parameters,
                             const fl_setting *setting, fl_error *error)
{
    for (size_t i = 0; i < PIECES; i++) {
        fl_planar planar;
        const fl_trace trace = trace_at(parameters, ((double)i + 0.5) / PIECES);
        fl_status status = fl_trace_solve(&planar, &trace, setting->w0 / (2.0 * pi), error);
        if (status == FL_OK)
            status =
                fl_planar_values(values[i], &planar, parameters[LENGTH] / PIECES, setting, error);
        if (status != FL_OK)
            return status;
    }
    return FL_OK;
}

/* Impedance of both ends, and phase and loss of the whole, at the band's centre. */
static size_t describe_taper(fl_property *properties, const double *parameters,
                             const fl_setting *setting)
{
    double phase = 0.0, loss = 0.0;
    const double centre = setting->w0 / (2.0 * pi);
    static const char *const names[] = {"impedance at the die", "impedance at the board"};
    for (size_t i = 0; i < PIECES + 2; i++) {
        fl_planar planar;
        fl_planar_wave wave;
        const double place = i < 2 ? (double)i : ((double)i - 1.5) / PIECES;
        const fl_trace trace = trace_at(parameters, place);
        if (fl_trace_solve(&planar, &trace, centre, NULL) != FL_OK ||
            fl_planar_at(&wave, &planar, centre, NULL) != FL_OK)
            return 0;
        if (i < 2) {
            properties[i] = (fl_property){names[i], FL_RESISTANCE, wave.impedance};
            continue;
        }
        const double slowness = sqrt(wave.permittivity * fl_permeability() * fl_permittivity());
        phase += setting->w0 * slowness * parameters[LENGTH] / PIECES;
        loss += wave.attenuation * parameters[LENGTH] / PIECES;
    }
    properties[2] = (fl_property){"length", FL_LENGTH, parameters[LENGTH]};
    properties[3] = (fl_property){"electrical length", FL_ANGLE, phase * 180.0 / pi};
    properties[4] = (fl_property){"loss", FL_DECIBEL, loss * 20.0 / log(10.0)};
    return 5;
}

static const char *caution_taper(const double *parameters, const fl_setting *setting)
{
    const fl_trace die = trace_at(parameters, 0.0), board = trace_at(parameters, 1.0);
    const double slowness =
        sqrt(die.substrate.permittivity * fl_permeability() * fl_permittivity());
    const double wave = 1.0 / (slowness * setting->nodes[FL_NODES - 1]);
    if (parameters[LENGTH] > PIECES / 8.0 * wave)
        return "'length' is over two wavelengths in the substrate: the chain of lines is too "
               "coarse";
    if (fabs(die.width - board.width) > 2.0 * parameters[LENGTH])
        return "the sides slope more than 45 degrees: a 'step' is nearer to that";
    const char *text = fl_trace_caution(&die, setting);
    return text != NULL ? text : fl_trace_caution(&board, setting);
}

static const fl_parameter taper_parameters[] = {
    {.name = "die width", .dimension = FL_LENGTH, .rule = FL_POSITIVE, .required = true},
    {.name = "board width", .dimension = FL_LENGTH, .rule = FL_POSITIVE, .required = true},
    {.name = "length", .dimension = FL_LENGTH, .rule = FL_POSITIVE, .required = true},
    FL_COVER_PARAMETERS,
    FL_SUBSTRATE_PARAMETERS};

static const fl_form taper_forms[PIECES] = {FL_FORM_WAVE, FL_FORM_WAVE, FL_FORM_WAVE, FL_FORM_WAVE,
                                            FL_FORM_WAVE, FL_FORM_WAVE, FL_FORM_WAVE, FL_FORM_WAVE,
                                            FL_FORM_WAVE, FL_FORM_WAVE, FL_FORM_WAVE, FL_FORM_WAVE,
                                            FL_FORM_WAVE, FL_FORM_WAVE, FL_FORM_WAVE, FL_FORM_WAVE};

const fl_physics fl_taper = {.kind = {.name = "taper",
                                      .summary = "microstrip whose width changes steadily",
                                      .parameters = taper_parameters,
                                      .parameter_count = FL_LENGTH_OF(taper_parameters)},
                             .forms = taper_forms,
                             .form_count = PIECES,
                             .spare = true,
                             .along = LENGTH + 1,
                             .refuse = refuse_taper,
                             .caution = caution_taper,
                             .solve = solve_taper,
                             .describe = describe_taper};
