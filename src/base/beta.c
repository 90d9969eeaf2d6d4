/* The distribution function of the beta distribution. */
#include "base/beta.h"

#include <math.h>
#include <stdint.h>

/* What is missing of Stirling's formula: ln z! - (z + 1/2) ln z + z - ln sqrt(2 pi). By its series
 * from 16 on, where 5 terms are exact to rounding; below, step by step from there. */
static double stirling_rest(double z)
{
    double below = 0.0;
    while (z < 16.0) {
        below += (z + 0.5) * log1p(1.0 / z) - 1.0;
        z += 1.0;
    }
    const double s = 1.0 / (z * z);
    const double series =
        1.0 / 12.0 - s * (1.0 / 360.0 - s * (1.0 / 1260.0 - s * (1.0 / 1680.0 - s / 1188.0)));
    return below + series / z;
}

/* x ln(x / m) + m - x, with all digits where x and m are near. [Loader2000] */
static double deviance(double x, double m)
{
    const double v = (x - m) / (x + m), squared = v * v;
    if (fabs(v) >= 0.1)
        return x * log(x / m) + m - x;
    double term = 2.0 * x * v, sum = (x - m) * v;
    for (int j = 3; j < 60; j += 2) {
        term *= squared;
        sum += term / j;
    }
    return sum;
}

/* x^a y^b / B(a, b), y = 1 - x: the binomial probability of a in a + b times a b / (a + b). */
static double factor(double x, double y, double a, double b)
{
    const double n = a + b, pi = acos(-1.0);
    const double rest = stirling_rest(n) - stirling_rest(a) - stirling_rest(b);
    const double away = deviance(a, n * x) + deviance(b, n * y);
    return sqrt(a * b / (2.0 * pi * n)) * exp(rest - away);
}

/* What the factor has to be multiplied by for the share below x, y = 1 - x: a continued fraction
 * [Didonato1992] in how far the mean is above x, beyond = a - (a + b) x, not below zero. Its terms
 * are sums of what is positive. The number of its steps goes with the root of a + b. */
static double fraction(double x, double y, double a, double b, double beyond)
{
    const double most = 100.0 + 10.0 * sqrt(a + b), first = 1.0 + 1.0 / a;
    double before[2] = {0.0, 1.0}, now[2] = {1.0, (1.0 + beyond) / first};
    double ratio = now[0] / now[1], p = 1.0, s = a + 1.0;
    for (uint64_t step = 1; (double)step < most; step++) {
        const double n = (double)step, t = n / a, w = n * (b - n) * x, e = a / s;
        const double alpha = p * (p + b / a) * e * e * w * x;
        const double beta =
            n + w / s + (1.0 + t) / (first + 2.0 * t) * (1.0 + beyond + n * (y + 1.0));
        const double above = alpha * before[0] + beta * now[0];
        const double below = alpha * before[1] + beta * now[1];
        const double last = ratio;
        ratio = above / below;
        if (fabs(ratio - last) <= 1e-15 * ratio)
            break;
        before[0] = now[0] / below;
        before[1] = now[1] / below;
        now[0] = ratio;
        now[1] = 1.0;
        p = 1.0 + t;
        s += 2.0;
    }
    return ratio;
}

/* Both shares for a, b >= 1, on either side of the mean the smaller one first. */
static void shares(double *below, double *above, const double at[2], double a, double b)
{
    const double x = at[0], y = at[1];
    /* a - (a + b) x, from the smaller of x and y, which has the digits. */
    const double beyond = x < 0.5 ? a - (a + b) * x : (a + b) * y - b;
    if (beyond >= 0.0) {
        *below = factor(x, y, a, b) * fraction(x, y, a, b, beyond);
        *above = 1.0 - *below;
    } else {
        *above = factor(x, y, a, b) * fraction(y, x, b, a, -beyond);
        *below = 1.0 - *above;
    }
}

/* An order below 1 is raised by 1: the share below falls, or rises, by x^a y^b / (o B(a, b)), o the
 * order that is raised [Didonato1992]. */
void fl_beta_shares(double *below, double *above, const double at[2], double a, double b)
{
    const double less = a < 1.0, more = b < 1.0;
    if (!(at[0] > 0.0) || !(at[1] > 0.0)) {
        *below = at[0] > 0.0 ? 1.0 : 0.0;
        *above = 1.0 - *below;
        return;
    }
    shares(below, above, at, a + less, b + more);
    if (more > 0.0) {
        const double step = factor(at[0], at[1], a + less, b) / b;
        *above += step;
        *below -= step;
    }
    if (less > 0.0) {
        const double step = factor(at[0], at[1], a, b) / a;
        *below += step;
        *above -= step;
    }
}
