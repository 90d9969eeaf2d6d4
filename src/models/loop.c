/* A bonded loop as a chain of lines.
 *
 * Filaments have their local inductance, capacitance and internal impedance. A stretch of them
 * becomes two lines of the same delay and impedance in all, with Z0 = sqrt(L / C), delay sqrt(L C),
 * attenuation R / (2 Z0), but neither has just the sums of its own half: more of what the outer
 * filaments have counts for the line on their side, which makes the chain right to the fourth order
 * of the stretch's length where halves are to the second [Blanes2009]. */
#include "models/loop.h"

#include <math.h>

#include "models/filament.h"

static const double pi = 3.14159265358979323846;

const fl_form fl_loop_forms[FL_LOOP_LINES] = {FL_FORM_LINE, FL_FORM_LINE, FL_FORM_LINE,
                                              FL_FORM_LINE, FL_FORM_LINE, FL_FORM_LINE};

/* Stretches from the die on, two lines each: at the bonds, where the charge changes most, they are
 * half as long as the one over the top. Found by trial among all of three. */
enum { STRETCHES = FL_LOOP_LINES / 2 };
static const size_t ends[STRETCHES + 1] = {0, 8, 24, FL_LOOP_PIECES};

/* What some filaments add up to. */
typedef struct sums {
    double length, inductance, capacitance, resistance;
} sums;

static void add_piece(sums *own, const fl_loop *loop, const fl_chain *chain, size_t i,
                      double weight)
{
    own->length += weight * fl_arc_piece(&loop->arc, i);
    own->inductance += weight * chain->inductance[i];
    own->capacitance += weight * loop->cover * chain->capacitance[i];
}

static void add_inside(sums *own, const fl_loop *loop, const fl_chain *chain, double w0)
{
    const fl_complex inside =
        fl_scale(loop->inside, own->length * (loop->each ? chain->share : 1.0));
    own->resistance += inside.re;
    own->inductance += inside.im / w0;
}

/* exp(S / 2 - 2 M) exp(S / 2 + 2 M), S the sum over the stretch and M the sum times the place from
 * -1/2 to 1/2 [Blanes2009]: side is -1 for the line at the die, 1 for that at the board. Charges
 * are a parabola and nowhere negative, inductances rise and fall less than that: both lines have
 * more than nothing of each. */
static sums line_of(const fl_loop *loop, const fl_chain *chain, const size_t stretch[2],
                    double side)
{
    sums line = {.length = 0.0};
    const double middle = 0.5 * (double)(stretch[0] + stretch[1] - 1);
    const double count = (double)(stretch[1] - stretch[0]);
    for (size_t i = stretch[0]; i < stretch[1]; i++)
        add_piece(&line, loop, chain, i, 0.5 + 2.0 * side * ((double)i - middle) / count);
    return line;
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
    const fl_status status = solve(&chain, loop, error);
    for (size_t i = 0; status == FL_OK && i < FL_LOOP_LINES; i++) {
        sums line = line_of(loop, &chain, &ends[i / 2], i % 2 == 0 ? -1.0 : 1.0);
        add_inside(&line, loop, &chain, w0);
        const double impedance = sqrt(line.inductance / line.capacitance);
        values[i][0] = impedance;
        values[i][1] = line.resistance / (2.0 * impedance);
        values[i][2] = sqrt(line.inductance * line.capacitance);
    }
    return status;
}

size_t fl_loop_describe(fl_property *properties, const fl_loop *loop, double w0)
{
    fl_chain chain;
    if (solve(&chain, loop, NULL) != FL_OK)
        return 0;
    sums whole = {.length = 0.0};
    for (size_t i = 0; i < loop->arc.pieces; i++)
        add_piece(&whole, loop, &chain, i, 1.0);
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
    double highest = 0.0;
    for (size_t i = 0; i < arc->pieces; i++)
        highest = fmax(highest, arc->height[i]);
    if (fl_arc_length(arc) > 0.75 * wave)
        return "the loop is over three quarters of a wavelength: too long for its lines";
    if (highest > wave / 8.0)
        return "the top is over an eighth of a wavelength high: radiation is left out";
    if (highest - arc->height[0] > arc->run[arc->pieces])
        return "'loop height' is over the 'span'";
    return NULL;
}
