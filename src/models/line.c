/* Uniform lines and stubs given by impedance, length, effective permittivity and loss.
 *
 * theta = alpha l + j w l sqrt(er) / c, alpha in neper per metre with
 * alpha(w) = alpha(w0) sqrt(w / w0), as conductor loss goes. The impedance stays real, the usual
 * low-loss form [Pozar2011, sec. 2.7]. */
#include <math.h>
#include <stddef.h>

#include "models/kinds.h"
#include "models/rows.h"

enum { IMPEDANCE, LENGTH, PERMITTIVITY, LOSS };

static const double light_speed = 299792458.0; /* m/s */

/* Beyond this one line swallows all: 20 neper, 174 dB. It also keeps cosh from overflowing. */
static const double greatest_loss = 20.0;

static double neper(double decibel)
{
    return decibel * log(10.0) / 20.0;
}

static const char *refuse_line(const double *parameters)
{
    if (neper(parameters[LOSS] * parameters[LENGTH]) > greatest_loss)
        return "'loss' times 'length' is over 170 dB";
    return NULL;
}

static void evaluate_line(fl_dual (*values)[FL_VALUES], const fl_dual *parameters,
                          const fl_setting *setting)
{
    (void)setting;
    values[0][0] = parameters[IMPEDANCE];
    values[0][1] =
        fl_dual_multiply(fl_dual_scale(parameters[LOSS], neper(1.0)), parameters[LENGTH]);
    values[0][2] =
        fl_dual_scale(fl_dual_multiply(parameters[LENGTH], fl_dual_sqrt(parameters[PERMITTIVITY])),
                      1.0 / light_speed);
}

/* As evaluate_line and refuse_line, in rows. */
static void line_lanes(double (*values)[FL_LANES], const fl_row *parameters,
                       const fl_setting *setting, bool *refused)
{
    double room[FL_LANES];
    const fl_row root = fl_row_root(room, &parameters[PERMITTIVITY]);
    (void)setting;
    fl_row_copy(values[0], &parameters[IMPEDANCE]);
    fl_row_product(values[1], &parameters[LOSS], &parameters[LENGTH], neper(1.0));
    fl_row_product(values[2], &parameters[LENGTH], &root, 1.0 / light_speed);
    fl_row_mark_over(refused, values[1], greatest_loss);
}

static size_t describe_line(fl_property *properties, const double *parameters,
                            const fl_setting *setting)
{
    const double delay = parameters[LENGTH] * sqrt(parameters[PERMITTIVITY]) / light_speed;
    const double pi = acos(-1.0);
    properties[0] = (fl_property){"impedance", FL_RESISTANCE, parameters[IMPEDANCE]};
    properties[1] = (fl_property){"length", FL_LENGTH, parameters[LENGTH]};
    properties[2] = (fl_property){"electrical length", FL_ANGLE, setting->w0 * delay * 180.0 / pi};
    properties[3] = (fl_property){"loss", FL_DECIBEL, parameters[LOSS] * parameters[LENGTH]};
    return 4;
}

#define LINE_PARAMETERS(length_rule)                                                               \
    {.name = "impedance", .dimension = FL_RESISTANCE, .rule = FL_POSITIVE, .required = true},      \
        {.name = "length", .dimension = FL_LENGTH, .rule = (length_rule), .required = true},       \
        {.name = "permittivity",                                                                   \
         .dimension = FL_NUMBER,                                                                   \
         .rule = FL_AT_LEAST_ONE,                                                                  \
         .required = true},                                                                        \
    {                                                                                              \
        .name = "loss", .dimension = FL_LOSS, .rule = FL_NOT_NEGATIVE                              \
    }

static const fl_parameter line_parameters[] = {LINE_PARAMETERS(FL_NOT_NEGATIVE)};
static const fl_parameter shorted_stub_parameters[] = {LINE_PARAMETERS(FL_POSITIVE)};

static const fl_form line_form[] = {FL_FORM_LINE};
static const fl_form open_stub_form[] = {FL_FORM_OPEN_STUB};
static const fl_form shorted_stub_form[] = {FL_FORM_SHORTED_STUB};

const fl_physics fl_line = {.kind = {.name = "line",
                                     .summary = "uniform line in the path",
                                     .parameters = line_parameters,
                                     .parameter_count = FL_LENGTH_OF(line_parameters)},
                            .forms = line_form,
                            .form_count = 1,
                            .spare = true,
                            .refuse = refuse_line,
                            .evaluate = evaluate_line,
                            .evaluate_lanes = line_lanes,
                            .describe = describe_line};

const fl_physics fl_open_stub = {.kind = {.name = "open stub",
                                          .summary = "side line, open at its end",
                                          .parameters = line_parameters,
                                          .parameter_count = FL_LENGTH_OF(line_parameters)},
                                 .forms = open_stub_form,
                                 .form_count = 1,
                                 .spare = true,
                                 .refuse = refuse_line,
                                 .evaluate = evaluate_line,
                                 .evaluate_lanes = line_lanes,
                                 .describe = describe_line};

const fl_physics fl_shorted_stub = {
    .kind = {.name = "shorted stub",
             .summary = "side line, shorted at its end",
             .parameters = shorted_stub_parameters,
             .parameter_count = FL_LENGTH_OF(shorted_stub_parameters)},
    .forms = shorted_stub_form,
    .form_count = 1,
    .spare = true,
    .refuse = refuse_line,
    .evaluate = evaluate_line,
    .evaluate_lanes = line_lanes,
    .describe = describe_line};
