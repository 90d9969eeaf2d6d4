/* Elementary two-ports over the lanes, and the slopes of a figure with respect to their values.
 *
 * Loops run over lanes, with the choice of form outside them. */
#include <math.h>

#include "path/path.h"

fl_action fl_form_action(fl_form form)
{
    switch (form) {
    case FL_FORM_SERIES:
        return FL_ACT_SERIES;
    case FL_FORM_LINE:
        return FL_ACT_LINE;
    case FL_FORM_DATA:
        return FL_ACT_DATA;
    case FL_FORM_SHUNT_BRANCH:
    case FL_FORM_SHUNT_CAPACITOR:
    case FL_FORM_OPEN_STUB:
    case FL_FORM_SHORTED_STUB:
        break;
    }
    return FL_ACT_SHUNT;
}

/* Z = R + j w L + S / (j w) */
static void fill_series(fl_complex_lanes *x, const double *values, const fl_lanes *lanes)
{
    for (size_t i = 0; i < lanes->count; i++) {
        x->re[i] = values[0];
        x->im[i] = lanes->omega[i] * values[1] - values[2] / lanes->omega[i];
    }
}

/* Y = 1 / (R + j w L) */
static void fill_branch(fl_complex_lanes *x, const double *values, const fl_lanes *lanes)
{
    for (size_t i = 0; i < lanes->count; i++) {
        const double reactance = lanes->omega[i] * values[1];
        const double squared = values[0] * values[0] + reactance * reactance;
        x->re[i] = values[0] / squared;
        x->im[i] = -reactance / squared;
    }
}

/* Y = j w C / (1 + j w T) */
static void fill_capacitor(fl_complex_lanes *x, const double *values, const fl_lanes *lanes)
{
    for (size_t i = 0; i < lanes->count; i++) {
        const double turn = lanes->omega[i] * values[1];
        const double scale = lanes->omega[i] * values[0] / (1.0 + turn * turn);
        x->re[i] = scale * turn;
        x->im[i] = scale;
    }
}

/* cosh and sinh of theta = A sqrt(w/w0) + j w D. Without loss the hyperbolic functions of the real
 * part are 1 and 0, which saves an exponential a lane. */
static void fill_line(fl_twoport *twoport, const double *values, const fl_lanes *lanes)
{
    for (size_t i = 0; i < lanes->count; i++) {
        const double phase = lanes->omega[i] * values[2];
        twoport->x.re[i] = cos(phase);
        twoport->y.im[i] = sin(phase);
        twoport->x.im[i] = 0.0;
        twoport->y.re[i] = 0.0;
    }
    if (values[1] == 0.0)
        return;
    for (size_t i = 0; i < lanes->count; i++) {
        const double decay = lanes->root[i] * values[1];
        const double grown = exp(decay);
        const double even = 0.5 * (grown + 1.0 / grown);
        /* The series keeps sinh exact where the two exponentials cancel. */
        const double odd = decay < 1e-2
                               ? decay * (1.0 + decay * decay / 6.0 * (1.0 + decay * decay / 20.0))
                               : 0.5 * (grown - 1.0 / grown);
        const double cosine = twoport->x.re[i], sine = twoport->y.im[i];
        twoport->x.re[i] = even * cosine;
        twoport->x.im[i] = odd * sine;
        twoport->y.re[i] = odd * cosine;
        twoport->y.im[i] = even * sine;
    }
}

/* Divides two complex numbers a lane and by Z0: Y = top / (bottom Z0). */
static void divide_into_x(fl_complex_lanes *x, const fl_complex_lanes *top,
                          const fl_complex_lanes *bottom, double z0, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const double tr = top->re[i], ti = top->im[i], br = bottom->re[i], bi = bottom->im[i];
        const double scale = 1.0 / (z0 * (br * br + bi * bi));
        x->re[i] = scale * (tr * br + ti * bi);
        x->im[i] = scale * (ti * br - tr * bi);
    }
}

/* Open: Y = sinh / (cosh Z0). Shorted: Y = cosh / (sinh Z0). */
static void fill_stub(fl_twoport *twoport, const double *values, const fl_lanes *lanes,
                      bool shorted)
{
    fill_line(twoport, values, lanes);
    if (shorted)
        divide_into_x(&twoport->x, &twoport->x, &twoport->y, values[0], lanes->count);
    else
        divide_into_x(&twoport->x, &twoport->y, &twoport->x, values[0], lanes->count);
}

void fl_twoport_fill(fl_twoport *twoport, fl_form form, const double values[FL_VALUES],
                     const fl_lanes *lanes)
{
    switch (form) {
    case FL_FORM_SERIES:
        fill_series(&twoport->x, values, lanes);
        break;
    case FL_FORM_SHUNT_BRANCH:
        fill_branch(&twoport->x, values, lanes);
        break;
    case FL_FORM_SHUNT_CAPACITOR:
        fill_capacitor(&twoport->x, values, lanes);
        break;
    case FL_FORM_LINE:
        fill_line(twoport, values, lanes);
        break;
    case FL_FORM_OPEN_STUB:
        fill_stub(twoport, values, lanes, false);
        break;
    case FL_FORM_SHORTED_STUB:
        fill_stub(twoport, values, lanes, true);
        break;
    case FL_FORM_DATA:
        break;
    }
}

/* dZ = dR + j w dL + dS / (j w) */
static void slopes_series(double *slopes, const fl_lanes *lanes, const fl_complex_lanes *pull)
{
    const size_t count = lanes->count;
    for (size_t i = 0; i < count; i++) {
        slopes[i] = pull->re[i];
        slopes[count + i] = -lanes->omega[i] * pull->im[i];
        slopes[2 * count + i] = pull->im[i] / lanes->omega[i];
    }
}

/* dY = -Y^2 (dR + j w dL) */
static void slopes_branch(double *slopes, const fl_lanes *lanes, const fl_twoport *twoport,
                          const fl_complex_lanes *pull)
{
    const size_t count = lanes->count;
    for (size_t i = 0; i < count; i++) {
        const double yr = twoport->x.re[i], yi = twoport->x.im[i];
        const double sr = -(yr * yr - yi * yi), si = -2.0 * yr * yi;
        const double kr = pull->re[i] * sr - pull->im[i] * si;
        const double ki = pull->re[i] * si + pull->im[i] * sr;
        slopes[i] = kr;
        slopes[count + i] = -lanes->omega[i] * ki;
        slopes[2 * count + i] = 0.0;
    }
}

/* With u = 1 / (1 + j w T): dY = j w u dC - j w u Y dT */
static void slopes_capacitor(double *slopes, const double *values, const fl_lanes *lanes,
                             const fl_twoport *twoport, const fl_complex_lanes *pull)
{
    const size_t count = lanes->count;
    for (size_t i = 0; i < count; i++) {
        const double turn = lanes->omega[i] * values[1];
        const double scale = lanes->omega[i] / (1.0 + turn * turn);
        const double cr = scale * turn, ci = scale; /* j w u */
        const double yr = twoport->x.re[i], yi = twoport->x.im[i];
        const double tr = -(cr * yr - ci * yi), ti = -(cr * yi + ci * yr);
        slopes[i] = pull->re[i] * cr - pull->im[i] * ci;
        slopes[count + i] = pull->re[i] * tr - pull->im[i] * ti;
        slopes[2 * count + i] = 0.0;
    }
}

/* Second and third row from the pull on theta: dtheta = sqrt(w/w0) dA + j w dD. */
static void slopes_theta(double *slopes, const fl_lanes *lanes, const fl_complex_lanes *pull)
{
    const size_t count = lanes->count;
    for (size_t i = 0; i < count; i++) {
        slopes[count + i] = lanes->root[i] * pull->re[i];
        slopes[2 * count + i] = -lanes->omega[i] * pull->im[i];
    }
}

static void slopes_line(double *slopes, const fl_lanes *lanes, const fl_complex_lanes pull[2])
{
    slopes_theta(slopes, lanes, &pull[0]);
    for (size_t i = 0; i < lanes->count; i++)
        slopes[i] = pull[1].re[i];
}

/* With y = Y Z0, tanh or coth of theta: dY = (1 - y^2) / Z0 dtheta - Y / Z0 dZ0. The pull on Y is
 * turned into one on theta in place of it, in the room of pull[1]. */
static void slopes_stub(double *slopes, const double *values, const fl_lanes *lanes,
                        const fl_twoport *twoport, const fl_complex_lanes pull[2])
{
    const double z0 = values[0];
    for (size_t i = 0; i < lanes->count; i++) {
        const double yr = twoport->x.re[i], yi = twoport->x.im[i];
        const double kr = pull[0].re[i], ki = pull[0].im[i];
        const double sr = 1.0 / z0 - z0 * (yr * yr - yi * yi), si = -2.0 * z0 * yr * yi;
        slopes[i] = -(kr * yr - ki * yi) / z0;
        pull[1].re[i] = kr * sr - ki * si;
        pull[1].im[i] = kr * si + ki * sr;
    }
    slopes_theta(slopes, lanes, &pull[1]);
}

void fl_twoport_slopes(double *slopes, fl_form form, const double values[FL_VALUES],
                       const fl_lanes *lanes, const fl_twoport *twoport,
                       const fl_complex_lanes pull[2])
{
    switch (form) {
    case FL_FORM_SERIES:
        slopes_series(slopes, lanes, &pull[0]);
        break;
    case FL_FORM_SHUNT_BRANCH:
        slopes_branch(slopes, lanes, twoport, &pull[0]);
        break;
    case FL_FORM_SHUNT_CAPACITOR:
        slopes_capacitor(slopes, values, lanes, twoport, &pull[0]);
        break;
    case FL_FORM_LINE:
        slopes_line(slopes, lanes, pull);
        break;
    case FL_FORM_OPEN_STUB:
    case FL_FORM_SHORTED_STUB:
        slopes_stub(slopes, values, lanes, twoport, pull);
        break;
    case FL_FORM_DATA:
        break;
    }
}
