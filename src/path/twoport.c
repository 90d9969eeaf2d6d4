/* Elementary two-ports over the lanes, and the slopes of a figure with respect to their values.
 *
 * Loops run over lanes, with the choice of form outside them. */
#include <math.h>

#include "path/path.h"

/* What is left are admittances to ground: no default, so that the compiler tells of a new form. */
fl_action fl_form_action(fl_form form)
{
    switch (form) {
    case FL_FORM_SERIES:
        return FL_ACT_SERIES;
    case FL_FORM_LINE:
    case FL_FORM_WAVE:
        return FL_ACT_LINE;
    case FL_FORM_DATA:
        return FL_ACT_DATA;
    case FL_FORM_SHUNT_BRANCH:
    case FL_FORM_SHUNT_CAPACITOR:
    case FL_FORM_OPEN_STUB:
    case FL_FORM_SHORTED_STUB:
    case FL_FORM_WAVE_OPEN_STUB:
        break;
    }
    return FL_ACT_SHUNT;
}

/* Z = R + j w L + S / (j w) */
FL_WIDE static void fill_series(fl_complex_lanes *x, const double *values, const fl_lanes *lanes)
{
#pragma omp simd
    for (size_t i = 0; i < lanes->count; i++) {
        x->re[i] = values[0];
        x->im[i] = lanes->omega[i] * values[1] - values[2] / lanes->omega[i];
    }
}

/* Y = 1 / (R + j w L) */
FL_WIDE static void fill_branch(fl_complex_lanes *x, const double *values, const fl_lanes *lanes)
{
#pragma omp simd
    for (size_t i = 0; i < lanes->count; i++) {
        const double reactance = lanes->omega[i] * values[1];
        const double squared = values[0] * values[0] + reactance * reactance;
        x->re[i] = values[0] / squared;
        x->im[i] = -reactance / squared;
    }
}

/* Y = j w C / (1 + j w T) */
FL_WIDE static void fill_capacitor(fl_complex_lanes *x, const double *values, const fl_lanes *lanes)
{
#pragma omp simd
    for (size_t i = 0; i < lanes->count; i++) {
        const double turn = lanes->omega[i] * values[1];
        const double scale = lanes->omega[i] * values[0] / (1.0 + turn * turn);
        x->re[i] = scale * turn;
        x->im[i] = scale;
    }
}

/* What fill_turn needs of a line whose values are the same at all frequencies: impedance,
 * attenuation in neper, which grows with sqrt(w / w0) as the skin effect makes it [Wheeler1942],
 * and phase in radians. */
FL_WIDE static void fill_uniform(fl_twoport *twoport, const double *values, const fl_lanes *lanes)
{
#pragma omp simd
    for (size_t i = 0; i < lanes->count; i++) {
        twoport->z.re[i] = values[0];
        twoport->x.re[i] = lanes->root[i] * values[1];
        twoport->y.im[i] = lanes->omega[i] * values[2];
    }
}

/* The same of a line whose values change with frequency: polynomials through their values at the
 * nodes, as sums with Lagrange's weights. */
FL_WIDE static void fill_wave(fl_twoport *twoport, const double *values, const fl_lanes *lanes)
{
    const size_t count = lanes->count;
#pragma omp simd
    for (size_t i = 0; i < count; i++) {
        double impedance = 0.0, delay = 0.0, decay = 0.0;
        for (size_t k = 0; k < FL_NODES; k++) {
            const double weight = lanes->weights[k * count + i];
            impedance += weight * values[k];
            delay += weight * values[FL_NODES + k];
            decay += weight * values[(size_t)2 * FL_NODES + k];
        }
        twoport->z.re[i] = impedance;
        twoport->x.re[i] = lanes->root[i] * decay;
        twoport->y.im[i] = lanes->omega[i] * delay;
    }
}

/* Largest decay that turn_little takes. */
static const double little = 0.1;

/* From decay a (in x.re) and phase b, whose sine is in x.im and cosine in y.re: cosh(a + j b) =
 * cosh a cos b + j sinh a sin b in x, sinh(a + j b) = sinh a cos b + j cosh a sin b in y, 1 / Z0 in
 * z.im. By series, whose next terms are below 3e-17. */
FL_WIDE static void turn_little(fl_twoport *twoport, size_t count)
{
#pragma omp simd
    for (size_t i = 0; i < count; i++) {
        const double a = twoport->x.re[i], z = a * a;
        const double sine = twoport->x.im[i], cosine = twoport->y.re[i];
        const double even =
            1.0 + z * (1.0 / 2 + z * (1.0 / 24 + z * (1.0 / 720 + z * (1.0 / 40320))));
        const double odd =
            a + a * z * (1.0 / 6 + z * (1.0 / 120 + z * (1.0 / 5040 + z * (1.0 / 362880))));
        twoport->x.re[i] = even * cosine;
        twoport->x.im[i] = odd * sine;
        twoport->y.re[i] = odd * cosine;
        twoport->y.im[i] = even * sine;
        twoport->z.im[i] = 1.0 / twoport->z.re[i];
    }
}

/* The same for any decay, whose exponential is in z.im. The series keeps sinh exact where the two
 * exponentials cancel. */
FL_WIDE static void turn_much(fl_twoport *twoport, size_t count)
{
#pragma omp simd
    for (size_t i = 0; i < count; i++) {
        const double decay = twoport->x.re[i], squared = decay * decay, power = twoport->z.im[i];
        const double sine = twoport->x.im[i], cosine = twoport->y.re[i], inverse = 1.0 / power;
        const double even = 0.5 * (power + inverse);
        const double series = decay * (1.0 + squared / 6.0 * (1.0 + squared / 20.0));
        const double odd = decay < 1e-2 ? series : 0.5 * (power - inverse);
        twoport->x.re[i] = even * cosine;
        twoport->x.im[i] = odd * sine;
        twoport->y.re[i] = odd * cosine;
        twoport->y.im[i] = even * sine;
        twoport->z.im[i] = 1.0 / twoport->z.re[i];
    }
}

FL_WIDE static bool all_little(const double *decay, size_t count)
{
    size_t more = 0;
#pragma omp simd reduction(+ : more)
    for (size_t i = 0; i < count; i++)
        more += decay[i] > little ? 1 : 0;
    return more == 0;
}

/* With decay in x.re and phase in y.im. Most lines lose little: one test for all lanes saves them
 * an exponential each. */
static void fill_turn(fl_twoport *twoport, size_t count)
{
    const fl_vector *vector = fl_vector_widest();
    vector->turns(twoport->x.im, twoport->y.re, twoport->y.im, count);
    if (all_little(twoport->x.re, count)) {
        turn_little(twoport, count);
        return;
    }
    vector->exponentials(twoport->z.im, twoport->x.re, count);
    turn_much(twoport, count);
}

static void fill_line(fl_twoport *twoport, const double *values, const fl_lanes *lanes)
{
    fill_uniform(twoport, values, lanes);
    fill_turn(twoport, lanes->count);
}

static void fill_dispersive(fl_twoport *twoport, const double *values, const fl_lanes *lanes)
{
    fill_wave(twoport, values, lanes);
    fill_turn(twoport, lanes->count);
}

/* x = top / (bottom Z0), a lane at a time; top or bottom may be x itself, as a lane is read before
 * it is written. */
FL_WIDE static void divide_into_x(fl_twoport *twoport, const fl_complex_lanes *top,
                                  const fl_complex_lanes *bottom, size_t count)
{
#pragma omp simd
    for (size_t i = 0; i < count; i++) {
        const double tr = top->re[i], ti = top->im[i], br = bottom->re[i], bi = bottom->im[i];
        const double scale = twoport->z.im[i] / (br * br + bi * bi);
        twoport->x.re[i] = scale * (tr * br + ti * bi);
        twoport->x.im[i] = scale * (ti * br - tr * bi);
    }
}

/* Open: Y = sinh / (cosh Z0). */
static void open_end(fl_twoport *twoport, size_t count)
{
    divide_into_x(twoport, &twoport->y, &twoport->x, count);
}

/* Shorted: Y = cosh / (sinh Z0). */
static void shorted_end(fl_twoport *twoport, size_t count)
{
    divide_into_x(twoport, &twoport->x, &twoport->y, count);
}

/* A stub is filled as the line it is, and its admittance then takes the place of cosh in x; sinh
 * stays in y, where nothing reads it. */
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
        fill_line(twoport, values, lanes);
        open_end(twoport, lanes->count);
        break;
    case FL_FORM_SHORTED_STUB:
        fill_line(twoport, values, lanes);
        shorted_end(twoport, lanes->count);
        break;
    case FL_FORM_WAVE:
        fill_dispersive(twoport, values, lanes);
        break;
    case FL_FORM_WAVE_OPEN_STUB:
        fill_dispersive(twoport, values, lanes);
        open_end(twoport, lanes->count);
        break;
    case FL_FORM_DATA:
        break;
    }
}

/* dZ = dR + j w dL + dS / (j w), and dF = Re(k dZ): the slopes are Re k, -w Im k and Im k / w. */
FL_WIDE static void slopes_series(double *slopes, const fl_lanes *lanes,
                                  const fl_complex_lanes *pull)
{
    const size_t count = lanes->count;
#pragma omp simd
    for (size_t i = 0; i < count; i++) {
        slopes[i] = pull->re[i];
        slopes[count + i] = -lanes->omega[i] * pull->im[i];
        slopes[2 * count + i] = pull->im[i] / lanes->omega[i];
    }
}

/* dY = -Y^2 (dR + j w dL), with Y as it was filled. */
FL_WIDE static void slopes_branch(double *slopes, const fl_lanes *lanes, const fl_twoport *twoport,
                                  const fl_complex_lanes *pull)
{
    const size_t count = lanes->count;
#pragma omp simd
    for (size_t i = 0; i < count; i++) {
        const double yr = twoport->x.re[i], yi = twoport->x.im[i];
        const double sr = -(yr * yr - yi * yi), si = -2.0 * yr * yi;
        const double kr = pull->re[i] * sr - pull->im[i] * si;
        const double ki = pull->re[i] * si + pull->im[i] * sr;
        slopes[i] = kr;
        slopes[count + i] = -lanes->omega[i] * ki;
    }
}

/* With u = 1 / (1 + j w T): dY = j w u dC - j w u Y dT */
FL_WIDE static void slopes_capacitor(double *slopes, const double *values, const fl_lanes *lanes,
                                     const fl_twoport *twoport, const fl_complex_lanes *pull)
{
    const size_t count = lanes->count;
#pragma omp simd
    for (size_t i = 0; i < count; i++) {
        const double turn = lanes->omega[i] * values[1];
        const double scale = lanes->omega[i] / (1.0 + turn * turn);
        const double cr = scale * turn, ci = scale; /* j w u */
        const double yr = twoport->x.re[i], yi = twoport->x.im[i];
        const double tr = -(cr * yr - ci * yi), ti = -(cr * yi + ci * yr);
        slopes[i] = pull->re[i] * cr - pull->im[i] * ci;
        slopes[count + i] = pull->re[i] * tr - pull->im[i] * ti;
    }
}

/* dtheta = sqrt(w/w0) dA + j w dD; rows Z0, A, D in the order of the values. */
FL_WIDE static void slopes_line(double *slopes, const fl_lanes *lanes,
                                const fl_complex_lanes pull[2])
{
    const size_t count = lanes->count;
#pragma omp simd
    for (size_t i = 0; i < count; i++) {
        slopes[i] = pull[1].re[i];
        slopes[count + i] = lanes->root[i] * pull[0].re[i];
        slopes[2 * count + i] = -lanes->omega[i] * pull[0].im[i];
    }
}

/* The same for each node, by its weight at the lane. Rows are in the order of the values:
 * impedances, delays, attenuations, FL_NODES of each. */
FL_WIDE static void slopes_wave(double *slopes, const fl_lanes *lanes,
                                const fl_complex_lanes pull[2])
{
    const size_t count = lanes->count, block = FL_NODES * count;
    for (size_t k = 0; k < FL_NODES; k++)
#pragma omp simd
        for (size_t i = 0; i < count; i++) {
            const double weight = lanes->weights[k * count + i];
            double *at = slopes + k * count + i;
            at[0] = weight * pull[1].re[i];
            at[block] = -lanes->omega[i] * weight * pull[0].im[i];
            at[2 * block] = lanes->root[i] * weight * pull[0].re[i];
        }
}

/* With y = Y Z0, tanh or coth of theta: dY = (1 - y^2) / Z0 dtheta - Y / Z0 dZ0. The pull on Y
 * becomes, in its place, the pulls on theta and on Z0 that a line has. */
FL_WIDE static void pull_stub(const fl_complex_lanes pull[2], const fl_twoport *twoport,
                              size_t count)
{
#pragma omp simd
    for (size_t i = 0; i < count; i++) {
        const double z0 = twoport->z.re[i], y0 = twoport->z.im[i];
        const double yr = twoport->x.re[i], yi = twoport->x.im[i];
        const double kr = pull[0].re[i], ki = pull[0].im[i];
        const double sr = y0 - z0 * (yr * yr - yi * yi), si = -2.0 * z0 * yr * yi;
        pull[1].re[i] = -(kr * yr - ki * yi) * y0;
        pull[1].im[i] = -(kr * yi + ki * yr) * y0;
        pull[0].re[i] = kr * sr - ki * si;
        pull[0].im[i] = kr * si + ki * sr;
    }
}

/* By form, as in fl_twoport_fill; data has no values and so no slopes. */
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
        pull_stub(pull, twoport, lanes->count);
        slopes_line(slopes, lanes, pull);
        break;
    case FL_FORM_WAVE:
        slopes_wave(slopes, lanes, pull);
        break;
    case FL_FORM_WAVE_OPEN_STUB:
        pull_stub(pull, twoport, lanes->count);
        slopes_wave(slopes, lanes, pull);
        break;
    case FL_FORM_DATA:
        break;
    }
}
