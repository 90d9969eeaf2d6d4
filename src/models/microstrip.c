/* Closed formulas of microstrip.
 *
 * Formula, source, range and accuracy of each are in microstrip.h. Static impedance is within
 * 0.1 % and effective permittivity within 0.25 % of an integral equation solution for thin strips,
 * 0.1 <= u <= 5 and er from 2.2 to 12.9. */
#include "models/microstrip.h"

#include <math.h>

#include "models/filament.h"

static const double pi = 3.14159265358979323846;

static double wave_impedance(void)
{
    return sqrt(fl_permeability() / fl_permittivity());
}

/* [Hammerstad1980] eq. (1), (2) */
double fl_microstrip_air(double u)
{
    const double f = 6.0 + (2.0 * pi - 6.0) * exp(-pow(30.666 / u, 0.7528));
    return wave_impedance() / (2.0 * pi) * log(f / u + sqrt(1.0 + 4.0 / (u * u)));
}

double fl_microstrip_shape(double impedance)
{
    double low = log(1e-4), high = log(1e4);
    for (int i = 0; i < 60; i++) {
        const double middle = 0.5 * (low + high);
        if (fl_microstrip_air(exp(middle)) > impedance)
            low = middle;
        else
            high = middle;
    }
    return exp(0.5 * (low + high));
}

/* [Hammerstad1980] eq. (3) to (5) */
static double thin_permittivity(double u, double er)
{
    const double fourth = pow(u, 4.0);
    const double a = 1.0 + log((fourth + pow(u / 52.0, 2.0)) / (fourth + 0.432)) / 49.0 +
                     log(1.0 + pow(u / 18.1, 3.0)) / 18.7;
    const double b = 0.564 * pow((er - 0.9) / (er + 3.0), 0.053);
    return (er + 1.0) / 2.0 + (er - 1.0) / 2.0 * pow(1.0 + 10.0 / u, -a * b);
}

/* What thickness adds to u in air, and in the mean of air and substrate: eq. (6), (7) */
static void widen(double added[2], const fl_strip *strip)
{
    added[0] = added[1] = 0.0;
    if (strip->thickness <= 0.0)
        return;
    const double t = strip->thickness / strip->height, u = strip->width / strip->height;
    const double spread = tanh(sqrt(6.517 * u));
    added[0] = t / pi * log(1.0 + 4.0 * exp(1.0) * spread * spread / t);
    added[1] = added[0] * (1.0 + 1.0 / cosh(sqrt(strip->permittivity - 1.0))) / 2.0;
}

void fl_microstrip_static(double *impedance, double *permittivity, const fl_strip *strip)
{
    double added[2];
    widen(added, strip);
    const double u = strip->width / strip->height;
    const double air = fl_microstrip_air(u + added[1]);
    const double effective = thin_permittivity(u + added[1], strip->permittivity);
    const double ratio = fl_microstrip_air(u + added[0]) / air;
    *impedance = air / sqrt(effective);
    *permittivity = effective * ratio * ratio;
}

static double air_impedance(const fl_strip *strip)
{
    double added[2];
    widen(added, strip);
    return fl_microstrip_air(strip->width / strip->height + added[0]);
}

/* All surfaces of strip and ground moved in by a depth, or out by a negative one. */
static fl_strip receded(const fl_strip *strip, double depth)
{
    fl_strip moved = *strip;
    moved.width -= 2.0 * depth;
    moved.height += 2.0 * depth;
    moved.thickness -= 2.0 * depth;
    return moved;
}

double fl_microstrip_crowding(const fl_strip *strip)
{
    const double air = air_impedance(strip);
    if (strip->thickness <= 0.0)
        return 2.0 / strip->width * exp(-1.2 * pow(air / wave_impedance(), 0.7));
    const double least = fmin(fmin(strip->width, strip->height), strip->thickness);
    const double depth = 1e-4 * least; /* error 1e-8 of curvature, 1e-12 of rounding */
    const fl_strip inner = receded(strip, depth), outer = receded(strip, -depth);
    return (air_impedance(&inner) - air_impedance(&outer)) / (2.0 * depth * wave_impedance());
}

/* [Kirschning1982] */
double fl_microstrip_gathering(double u, double er, double fn)
{
    const double p1 =
        0.27488 + (0.6315 + 0.525 / pow(1.0 + 0.0157 * fn, 20.0)) * u - 0.065683 * exp(-8.7513 * u);
    const double p2 = 0.33622 * (1.0 - exp(-0.03442 * er));
    const double p3 = 0.0363 * exp(-4.6 * u) * (1.0 - exp(-pow(fn / 38.7, 4.97)));
    const double p4 = 1.0 + 2.751 * (1.0 - exp(-pow(er / 15.916, 8.0)));
    return p1 * p2 * pow((0.1844 + p3 * p4) * fn, 1.5763);
}

/* 0 up to low, 1 from high, with two derivatives. */
static double fade(double x, double low, double high)
{
    const double s = fmin(fmax((x - low) / (high - low), 0.0), 1.0);
    return s * s * s * (10.0 - s * (15.0 - 6.0 * s));
}

/* Exponents R8 and R17, and R9, of [Jansen1983]. */
static void exponents(double found[3], double u, double er, double fn)
{
    const double r1 = 0.03891 * pow(er, 1.4), r2 = 0.267 * pow(u, 7.0);
    const double r3 = 4.766 * exp(-3.228 * pow(u, 0.641));
    const double r4 = 0.016 + pow(0.0514 * er, 4.524), r5 = pow(fn / 28.843, 12.0);
    const double r6 = 22.20 * pow(u, 1.92), sixth = pow(er - 1.0, 6.0);
    const double r7 = 1.206 - 0.3144 * exp(-r1) * (1.0 - exp(-r2));
    const double r10 = 0.00044 * pow(er, 2.136) + 0.0184, f6 = pow(fn / 19.47, 6.0);
    const double r11 = f6 / (1.0 + 0.0962 * f6), r12 = 1.0 / (1.0 + 0.00245 * u * u);
    const double r15 = 0.707 * r10 * pow(fn / 12.3, 1.097);
    const double r16 = 1.0 + 0.0503 * er * er * r11 * (1.0 - exp(-pow(u / 15.0, 6.0)));
    found[0] = 1.0 + 1.275 * (1.0 - exp(-0.004625 * r3 * pow(er, 1.674) * pow(fn / 18.365, 2.745)));
    found[1] = r7 * (1.0 - 1.1241 * r12 / r16 * exp(-0.026 * pow(fn, 1.15656) - r15));
    found[2] = 5.086 * r4 * r5 / (0.3838 + 0.386 * r4) * exp(-r6) / (1.0 + 1.2992 * r5) * sixth /
               (1.0 + 10.0 * sixth);
}

double fl_microstrip_rise(double u, double er, const double effective[2], double fn)
{
    double r[3];
    const double share = fade(er, 1.05, 1.2);
    if (share == 0.0)
        return 1.0;
    exponents(r, u, er, fn);
    const double r13 = 0.9408 * pow(effective[1], r[0]) - 0.9603;
    const double r14 = (0.9408 - r[2]) * pow(effective[0], r[0]) - 0.9603;
    return pow(r13 / r14, share * r[1]);
}

/* [Kirschning1981] */
double fl_microstrip_end(double u, double er, double effective)
{
    const double e = pow(effective, 0.81), v = pow(u, 0.8544);
    const double x1 = 0.434907 * (e + 0.26) / (e - 0.189) * (v + 0.236) / (v + 0.87);
    const double x2 = 1.0 + pow(u, 0.371) / (2.358 * er + 1.0);
    const double x3 = 1.0 + 0.5274 * atan(0.084 * pow(u, 1.9413 / x2)) / pow(effective, 0.9236);
    const double x4 =
        1.0 + 0.0377 * atan(0.067 * pow(u, 1.456)) * (6.0 - 5.0 * exp(0.036 * (1.0 - er)));
    const double x5 = 1.0 - 0.218 * exp(-7.5 * u);
    return x1 * x3 * x5 / x4;
}

double fl_microstrip_end_simple(double u, double effective)
{
    return 0.412 * (effective + 0.3) / (effective - 0.258) * (u + 0.264) / (u + 0.8);
}

double fl_microstrip_limit(const fl_strip *strip)
{
    const double light = 1.0 / sqrt(fl_permeability() * fl_permittivity());
    const double er = strip->permittivity, h = strip->height;
    const double slow = fmax(er - 1.0, 1e-9); /* air has no surface wave */
    const double surface = light / (2.0 * pi * h) * sqrt(2.0 / slow) * atan(er);
    return fmin(surface, light / (sqrt(er) * (2.0 * strip->width + 0.8 * h)));
}
