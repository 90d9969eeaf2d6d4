/* Bond wires: parallel round wires over a ground plane, as a chain of short uniform lines.
 *
 * The wires follow one parabola from the die pad to the land, its top `loop height` above the die
 * pad. Each short piece is taken as the two-dimensional line of wires at its local height, all
 * carrying one signal:
 *
 *     P_ii = acosh(h / a),  P_ij = ln(1 + (2 h / s_ij)^2) / 2        [Grover1946], [Paul2008]
 *     p = 1 / (1' P^-1 1),  L' = mu0 p / (2 pi),  C' = 2 pi eps0 er / p
 *
 * with a the wire radius, h the height of its axis, s_ij the spacing. The conductor adds its
 * skin-effect resistance and internal inductance, shared by the wires.
 *
 * Not in it: the ends (a real wire of finite length has some 5 to 10 % less inductance than the
 * two-dimensional value, see docs/theory.md), proximity effect (spacing well over the diameter is
 * assumed), radiation, coupling along the bend, loss in the mould. */
#include <math.h>
#include <stddef.h>

#include "models/kinds.h"

enum { COUNT, DIAMETER, SPAN, LOOP_HEIGHT, DIE_HEIGHT, LAND_HEIGHT, PITCH, CONDUCTIVITY, COVER };

/* Pieces of the chain: with 12 the inductance is within 0.2 % of the integral along the arc. */
enum { PIECES = 12, MOST_WIRES = 16 };

static const double pi = 3.14159265358979323846;
static const double light_speed = 299792458.0; /* m/s */
static const double mu0 = 4e-7 * 3.14159265358979323846;

static const char *refuse_wires(const double *parameters)
{
    if (parameters[COUNT] > MOST_WIRES)
        return "'count' is over 16";
    if (parameters[COUNT] > 1.0 && parameters[PITCH] <= 0.0)
        return "'count' over 1 needs a 'pitch'";
    if (parameters[COUNT] > 1.0 && parameters[PITCH] <= parameters[DIAMETER])
        return "'pitch' must be more than 'diameter'";
    if (parameters[DIE_HEIGHT] + parameters[LOOP_HEIGHT] <= parameters[LAND_HEIGHT])
        return "'die height' plus 'loop height' must be more than 'land height'";
    return NULL;
}

/* Height of the wire's axis at a place u, 0 at the die and 1 at the land: the parabola
 * y = b u - c u^2 through the ends whose top is the loop height p, that is b^2 = 4 c p and
 * b - c = d, the rise of the ends; the root with the top between the ends is
 * b = 2 p + 2 sqrt(p (p - d)). */
static fl_dual axis_height(const fl_dual *parameters, double u)
{
    const fl_dual top = parameters[LOOP_HEIGHT];
    const fl_dual rise = fl_dual_subtract(parameters[LAND_HEIGHT], parameters[DIE_HEIGHT]);
    const fl_dual root = fl_dual_sqrt(fl_dual_multiply(top, fl_dual_subtract(top, rise)));
    const fl_dual b = fl_dual_scale(fl_dual_add(top, root), 2.0);
    const fl_dual c = fl_dual_subtract(b, rise);
    const fl_dual bow = fl_dual_subtract(fl_dual_scale(b, u), fl_dual_scale(c, u * u));
    const fl_dual bond =
        fl_dual_add(parameters[DIE_HEIGHT], fl_dual_scale(parameters[DIAMETER], 0.5));
    return fl_dual_add(bond, bow);
}

/* Coupling of two wires k pitches apart; of a wire with itself for k = 0. */
static fl_dual coupling(const fl_dual *parameters, fl_dual height, int k)
{
    if (k == 0)
        return fl_dual_acosh(fl_dual_divide(height, fl_dual_scale(parameters[DIAMETER], 0.5)));
    const fl_dual ratio =
        fl_dual_divide(fl_dual_scale(height, 2.0), fl_dual_scale(parameters[PITCH], k));
    const fl_dual squared = fl_dual_multiply(ratio, ratio);
    return fl_dual_scale(fl_dual_log(fl_dual_shift(squared, 1.0)), 0.5);
}

/* Solves P x = 1 for a symmetric positive definite Toeplitz matrix by elimination. */
static void solve_ones(double *x, const fl_dual *row, int n)
{
    double matrix[MOST_WIRES][MOST_WIRES];
    for (int i = 0; i < n; i++) {
        x[i] = 1.0;
        for (int j = 0; j < n; j++)
            matrix[i][j] = row[i > j ? i - j : j - i].value;
    }
    for (int k = 0; k < n; k++) {
        for (int i = k + 1; i < n; i++) {
            const double factor = matrix[i][k] / matrix[k][k];
            for (int j = k; j < n; j++)
                matrix[i][j] -= factor * matrix[k][j];
            x[i] -= factor * x[k];
        }
    }
    for (int i = n - 1; i >= 0; i--) {
        for (int j = i + 1; j < n; j++)
            x[i] -= matrix[i][j] * x[j];
        x[i] /= matrix[i][i];
    }
}

/* p = 1 / (1' P^-1 1). With x = P^-1 1 its differential is p^2 x' dP x, so that no dual number
 * goes through the elimination. */
static fl_dual joint_coupling(const fl_dual *parameters, fl_dual height)
{
    const int n = (int)parameters[COUNT].value;
    fl_dual row[MOST_WIRES];
    double x[MOST_WIRES];
    for (int k = 0; k < n; k++)
        row[k] = coupling(parameters, height, k);
    solve_ones(x, row, n);
    double total = 0.0;
    for (int i = 0; i < n; i++)
        total += x[i];
    fl_dual joint = fl_dual_constant(0.0);
    for (int k = 0; k < n; k++) {
        double weight = 0.0;
        for (int i = 0; i + k < n; i++)
            weight += (k == 0 ? 1.0 : 2.0) * x[i] * x[i + k];
        joint = fl_dual_add(joint, fl_dual_scale(row[k], weight / (total * total)));
    }
    joint.value = 1.0 / total;
    return joint;
}

/* Resistance per metre of one wire at w0: current in an annulus one skin depth thick
 * [docs/theory.md], within 0.4 % of the Bessel form while the depth is under a sixth of the
 * radius; the full section once the depth is over the radius. */
static fl_dual wire_resistance(const fl_dual *parameters, double w0)
{
    const fl_dual conductivity = parameters[CONDUCTIVITY];
    const fl_dual radius = fl_dual_scale(parameters[DIAMETER], 0.5);
    fl_dual depth =
        fl_dual_sqrt(fl_dual_divide(fl_dual_constant(2.0), fl_dual_scale(conductivity, w0 * mu0)));
    if (depth.value > radius.value)
        depth = radius;
    const fl_dual ring = fl_dual_multiply(
        depth, fl_dual_subtract(fl_dual_scale(radius, 2.0), depth)); /* area / pi */
    return fl_dual_divide(fl_dual_constant(1.0 / pi), fl_dual_multiply(conductivity, ring));
}

/* What a piece of the chain adds up to. */
typedef struct piece {
    fl_dual length;                              /* m */
    fl_dual inductance, capacitance, resistance; /* per metre */
} piece;

/* The internal inductance is the skin-effect resistance over w0: in a thick conductor the internal
 * reactance and the resistance are alike [Ramo1994, ch. 3]. */
static piece piece_at(const fl_dual *parameters, int index, double w0)
{
    const double step = 1.0 / PIECES;
    const fl_dual below = axis_height(parameters, index * step);
    const fl_dual above = axis_height(parameters, (index + 1) * step);
    const fl_dual rise = fl_dual_subtract(above, below);
    const fl_dual run = fl_dual_scale(parameters[SPAN], step);
    const fl_dual height = axis_height(parameters, (index + 0.5) * step);
    const fl_dual joint = joint_coupling(parameters, height);
    const double eps0 = 1.0 / (mu0 * light_speed * light_speed);
    const fl_dual resistance =
        fl_dual_scale(wire_resistance(parameters, w0), 1.0 / parameters[COUNT].value);
    const fl_dual external = fl_dual_scale(joint, mu0 / (2.0 * pi));
    return (piece){
        .length =
            fl_dual_sqrt(fl_dual_add(fl_dual_multiply(run, run), fl_dual_multiply(rise, rise))),
        .inductance = fl_dual_add(external, fl_dual_scale(resistance, 1.0 / w0)),
        .capacitance = fl_dual_divide(fl_dual_scale(parameters[COVER], 2.0 * pi * eps0), joint),
        .resistance = resistance};
}

static void evaluate_wires(fl_dual (*values)[FL_VALUES], const fl_dual *parameters, double w0)
{
    for (int i = 0; i < PIECES; i++) {
        const piece part = piece_at(parameters, i, w0);
        const fl_dual impedance = fl_dual_sqrt(fl_dual_divide(part.inductance, part.capacitance));
        const fl_dual slowness = fl_dual_sqrt(fl_dual_multiply(part.inductance, part.capacitance));
        values[i][0] = impedance;
        values[i][1] = fl_dual_divide(fl_dual_multiply(part.resistance, part.length),
                                      fl_dual_scale(impedance, 2.0));
        values[i][2] = fl_dual_multiply(slowness, part.length);
    }
}

static size_t describe_wires(fl_property *properties, const double *parameters, double w0)
{
    fl_dual constants[FL_PARTIALS];
    for (int i = 0; i <= COVER; i++)
        constants[i] = fl_dual_constant(parameters[i]);
    double length = 0.0, inductance = 0.0, capacitance = 0.0, resistance = 0.0;
    for (int i = 0; i < PIECES; i++) {
        const piece part = piece_at(constants, i, w0);
        length += part.length.value;
        inductance += part.inductance.value * part.length.value;
        capacitance += part.capacitance.value * part.length.value;
        resistance += part.resistance.value * part.length.value;
    }
    properties[0] = (fl_property){"inductance", FL_INDUCTANCE, inductance};
    properties[1] = (fl_property){"capacitance", FL_CAPACITANCE, capacitance};
    properties[2] = (fl_property){"resistance", FL_RESISTANCE, resistance};
    properties[3] = (fl_property){"impedance", FL_RESISTANCE, sqrt(inductance / capacitance)};
    properties[4] = (fl_property){"wire length", FL_LENGTH, length};
    properties[5] = (fl_property){"electrical length", FL_ANGLE,
                                  w0 * sqrt(inductance * capacitance) * 180.0 / pi};
    return 6;
}

/* Heights are above the ground plane. The defaults, a die of 100 um and a land as high, gold wire
 * in air: common practice, no source. */
static const fl_parameter parameters_of_wires[] = {
    [COUNT] = {.name = "count", .dimension = FL_NUMBER, .rule = FL_WHOLE, .fallback = 1.0},
    [DIAMETER] = {.name = "diameter",
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
    [PITCH] = {.name = "pitch", .dimension = FL_LENGTH, .rule = FL_POSITIVE},
    [CONDUCTIVITY] = {.name = "conductivity",
                      .dimension = FL_CONDUCTIVITY,
                      .rule = FL_POSITIVE,
                      .fallback = 4.1e7},
    [COVER] = {.name = "cover", .dimension = FL_NUMBER, .rule = FL_AT_LEAST_ONE, .fallback = 1.0}};

static const fl_form chain_form[PIECES] = {FL_FORM_LINE, FL_FORM_LINE, FL_FORM_LINE, FL_FORM_LINE,
                                           FL_FORM_LINE, FL_FORM_LINE, FL_FORM_LINE, FL_FORM_LINE,
                                           FL_FORM_LINE, FL_FORM_LINE, FL_FORM_LINE, FL_FORM_LINE};

const fl_physics fl_bond_wires = {.kind = {.name = "bond wires",
                                           .summary = "parallel round wires over ground",
                                           .parameters = parameters_of_wires,
                                           .parameter_count = FL_LENGTH_OF(parameters_of_wires)},
                                  .forms = chain_form,
                                  .form_count = PIECES,
                                  .refuse = refuse_wires,
                                  .evaluate = evaluate_wires,
                                  .describe = describe_wires};
