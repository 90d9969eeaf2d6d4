/* A bonded loop as a chain of lines.
 *
 * Each line stands for two filaments with their local inductance, capacitance and internal
 * impedance: Z0 = sqrt(L / C), delay sqrt(L C), attenuation R / (2 Z0). At 100 GHz the reflection
 * of a wire 0.5 mm long is within 0.001 of that of twice the lines and filaments. */
#include "models/loop.h"

#include <math.h>

#include "models/filament.h"

static const double pi = 3.14159265358979323846;

const fl_form fl_loop_forms[FL_LOOP_LINES] = {
    FL_FORM_LINE, FL_FORM_LINE, FL_FORM_LINE, FL_FORM_LINE, FL_FORM_LINE, FL_FORM_LINE,
    FL_FORM_LINE, FL_FORM_LINE, FL_FORM_LINE, FL_FORM_LINE, FL_FORM_LINE, FL_FORM_LINE,
    FL_FORM_LINE, FL_FORM_LINE, FL_FORM_LINE, FL_FORM_LINE};

/* What a stretch of the loop adds up to. */
typedef struct stretch {
    double length, inductance, capacitance, resistance;
} stretch;

static stretch stretch_of(const fl_loop *loop, const fl_chain *chain, size_t from, size_t to)
{
    stretch sum = {.length = 0.0};
    for (size_t i = from; i < to; i++) {
        sum.length += fl_arc_piece(&loop->arc, i);
        sum.inductance += chain->inductance[i];
        sum.capacitance += loop->cover * chain->capacitance[i];
    }
    return sum;
}

static void add_inside(stretch *sum, const fl_loop *loop, const fl_chain *chain, double w0)
{
    const fl_complex inside =
        fl_scale(loop->inside, sum->length * (loop->each ? chain->share : 1.0));
    sum->resistance += inside.re;
    sum->inductance += inside.im / w0;
}

static fl_status solve(fl_chain *chain, const fl_loop *loop, fl_error *error)
{
    fl_bundle bundle = loop->bundle;
    bundle.arc = &loop->arc; /* a loop may have been copied */
    return fl_bundle_solve(chain, &bundle, true, error);
}

fl_status fl_loop_lines(double (*values)[FL_VALUES], const fl_loop *loop, double w0,
                        fl_error *error)
{
    fl_chain chain;
    const size_t each = loop->arc.pieces / FL_LOOP_LINES;
    const fl_status status = solve(&chain, loop, error);
    for (size_t i = 0; status == FL_OK && i < FL_LOOP_LINES; i++) {
        stretch part = stretch_of(loop, &chain, i * each, (i + 1) * each);
        add_inside(&part, loop, &chain, w0);
        const double impedance = sqrt(part.inductance / part.capacitance);
        values[i][0] = impedance;
        values[i][1] = part.resistance / (2.0 * impedance);
        values[i][2] = sqrt(part.inductance * part.capacitance);
    }
    return status;
}

size_t fl_loop_describe(fl_property *properties, const fl_loop *loop, double w0)
{
    fl_chain chain;
    if (solve(&chain, loop, NULL) != FL_OK)
        return 0;
    stretch whole = stretch_of(loop, &chain, 0, loop->arc.pieces);
    add_inside(&whole, loop, &chain, w0);
    const double delay = sqrt(whole.inductance * whole.capacitance);
    properties[0] = (fl_property){"inductance", FL_INDUCTANCE, whole.inductance};
    properties[1] = (fl_property){"capacitance", FL_CAPACITANCE, whole.capacitance};
    properties[2] = (fl_property){"resistance", FL_RESISTANCE, whole.resistance};
    properties[3] =
        (fl_property){"impedance", FL_RESISTANCE, sqrt(whole.inductance / whole.capacitance)};
    properties[4] = (fl_property){"wire length", FL_LENGTH, whole.length};
    properties[5] = (fl_property){"electrical length", FL_ANGLE, w0 * delay * 180.0 / pi};
    return 6;
}

const char *fl_loop_caution(const fl_loop *loop, const fl_setting *setting)
{
    const fl_arc *arc = &loop->arc;
    const double slowness = sqrt(loop->cover * fl_permeability() * fl_permittivity());
    const double wave = 1.0 / (slowness * setting->nodes[FL_NODES - 1]);
    const double each = (double)arc->pieces / FL_LOOP_LINES;
    double longest = 0.0, highest = 0.0;
    for (size_t i = 0; i < arc->pieces; i++) {
        longest = fmax(longest, fl_arc_piece(arc, i) * each);
        highest = fmax(highest, arc->height[i]);
    }
    if (longest > wave / 10.0)
        return "the loop is over a wavelength: its lines are longer than a tenth of one";
    if (highest > wave / 8.0)
        return "the top is over an eighth of a wavelength high: radiation is left out";
    if (highest - arc->height[0] > arc->run[arc->pieces])
        return "'loop height' is over the 'span'";
    return NULL;
}
