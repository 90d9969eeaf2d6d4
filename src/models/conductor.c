/* Single conductors: self-inductance by mean distances, and impedance of the inside.
 *
 * The even-current forms are exact in length for a filament pair at the geometric mean distance
 * [Rosa1908]; the impedance of a round conductor is the ratio of two modified Bessel functions. */
#include "models/conductor.h"

#include <math.h>

#include <gsl/gsl_sf_ellint.h>

#include "models/filament.h"

static const double pi = 3.14159265358979323846;

/* Two parallel filaments of one length [Rosa1908]; at the mean distance, a conductor's own. */
static double pair(double length, double distance)
{
    const double scale = fl_permeability() / (2.0 * pi);
    return scale * (length * asinh(length / distance) - hypot(length, distance) + distance);
}

double fl_round_inductance(double length, double radius)
{
    return pair(length, radius);
}

double fl_round_inductance_even(double length, double radius)
{
    return pair(length, radius) + fl_permeability() / (8.0 * pi) * length;
}

/* Mean over the pairs of filaments, which are x = 2 r sin(phi / 2) apart. The means of log x and of
 * x, with their kinks at phi = 0, are log r and 4 r / pi; the rest is smooth and periodic. */
double fl_tube_inductance(double length, double radius)
{
    enum { POINTS = 64 };
    double sum = 4.0 / pi * radius - length * log(radius);
    for (int i = 0; i < POINTS; i++) {
        const double x = 2.0 * radius * sin(pi * (i + 0.5) / (2.0 * POINTS));
        const double diagonal = hypot(length, x);
        sum += (length * log(length + diagonal) - diagonal) / POINTS;
    }
    return fl_permeability() / (2.0 * pi) * sum;
}

double fl_tape_inductance(double length, double width)
{
    const double u = length / width;
    const double diagonal = hypot(1.0, u);
    /* u^2 + 1 / u - [u^(4/3) + u^(-2/3)]^1.5, without cancelling */
    const double tail = -u / (1.0 + diagonal) - u / (u + diagonal);
    return fl_permeability() / (6.0 * pi) * length *
           (3.0 * asinh(u) + 3.0 * u * asinh(1.0 / u) + tail);
}

double fl_bar_inductance(double length, double width, double thickness)
{
    const double girth = width + thickness;
    return fl_permeability() / (2.0 * pi) * length *
           (log(2.0 * length / girth) + 0.5 + 0.2235 * girth / length);
}

/* Second integral of log x, without the terms that the second difference removes. */
static double log_twice(double x)
{
    return x == 0.0 ? 0.0 : 0.5 * x * x * log(fabs(x));
}

double fl_tape_distance(double width, double apart)
{
    const double u = apart / width;
    /* Far apart the second difference cancels: d (1 - 1 / 12 u^2 - ...). */
    if (u > 20.0)
        return apart * exp(-1.0 / (12.0 * u * u) - 1.0 / (60.0 * u * u * u * u));
    const double mean = log_twice(u + 1.0) - 2.0 * log_twice(u) + log_twice(u - 1.0) - 1.5;
    return width * exp(mean);
}

/* E(m) - (1 - m) K(m) of the complete elliptic integrals, without cancelling. */
static double elliptic_side(double m)
{
    const double rest = 1.0 - m;
    return m * (gsl_sf_ellint_RF(0.0, rest, 1.0, GSL_PREC_DOUBLE) -
                gsl_sf_ellint_RD(0.0, rest, 1.0, GSL_PREC_DOUBLE) / 3.0);
}

/* Sides of a rectangle are 4 r side(m) and 4 r side(1 - m), r its outer radius [Polya1951]. The
 * parameter is found by halving the logarithm of 1 - m. */
double fl_bar_radius(double width, double thickness)
{
    double low = log(1e-12), high = log(0.5);
    for (int i = 0; i < 60; i++) {
        const double rest = exp(0.5 * (low + high));
        if (elliptic_side(rest) * width < elliptic_side(1.0 - rest) * thickness)
            low = log(rest);
        else
            high = log(rest);
    }
    return width / (4.0 * elliptic_side(1.0 - exp(0.5 * (low + high))));
}

double fl_skin_depth(double conductivity, double w)
{
    return sqrt(2.0 / (w * fl_permeability() * conductivity));
}

/* I0(z) / I1(z) - 2 / z = I2(z) / I1(z) for a real part over zero: the continued fraction of the
 * recurrence from far behind [Olver2010, 10.33]; for a large |z| the expansions of I0 and I1, whose
 * terms fall to 1e-17. */
static fl_complex bessel_ratio(fl_complex z)
{
    const double size = sqrt(fl_squared(z));
    const fl_complex one = {1.0, 0.0}, inverse = fl_divide(one, z);
    if (size < 40.0) {
        fl_complex ratio = {0.0, 0.0}; /* of I(n) to I(n - 1) */
        for (int n = 30 + 2 * (int)size; n > 1; n--)
            ratio = fl_divide(one, fl_add(fl_scale(inverse, 2.0 * n), ratio));
        return ratio;
    }
    fl_complex zeroth = one, first = one, term0 = one, term1 = one;
    for (int k = 1; k <= 20; k++) {
        const double odd = (2.0 * k - 1.0) * (2.0 * k - 1.0);
        term0 = fl_scale(fl_multiply(term0, inverse), odd / (8.0 * k));
        term1 = fl_scale(fl_multiply(term1, inverse), (odd - 4.0) / (8.0 * k));
        zeroth = fl_add(zeroth, term0);
        first = fl_add(first, term1);
    }
    return fl_subtract(fl_divide(zeroth, first), fl_scale(inverse, 2.0));
}

/* The part of 2 / z is the resistance of the whole section; apart from it, the small reactance at
 * low frequency keeps its digits. */
fl_complex fl_round_impedance(double radius, double conductivity, double w)
{
    const double depth = fl_skin_depth(conductivity, w);
    const fl_complex k = {1.0 / depth, 1.0 / depth};
    const fl_complex whole = {2.0 / radius, 0.0};
    const fl_complex crowded = fl_multiply(k, bessel_ratio(fl_scale(k, radius)));
    return fl_scale(fl_add(whole, crowded), 1.0 / (2.0 * pi * radius * conductivity));
}

/* coth(x (1 + j)), by exp(-2 x) so that nothing overflows. */
static fl_complex cotangent(double x)
{
    const double decay = exp(-2.0 * x);
    const fl_complex turn = {decay * cos(2.0 * x), -decay * sin(2.0 * x)};
    /* 1 - turn, without cancelling at small x */
    const fl_complex below = {-expm1(-2.0 * x) + decay * 2.0 * sin(x) * sin(x), -turn.im};
    return fl_divide((fl_complex){1.0 + turn.re, turn.im}, below);
}

fl_complex fl_bar_impedance(double width, double thickness, double conductivity, double w)
{
    const double depth = fl_skin_depth(conductivity, w);
    const fl_complex k = {1.0 / depth, 1.0 / depth};
    return fl_scale(fl_multiply(k, cotangent(thickness / (2.0 * depth))),
                    1.0 / (2.0 * width * conductivity));
}
