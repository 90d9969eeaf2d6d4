/* Counter-based random numbers, and the normal distribution. */
#include "base/random.h"

#include <math.h>

/* Philox 4x32-10 [Salmon2011]: the counter's four words, mixed with the key in ten rounds. */
static void philox(uint32_t words[4], uint64_t seed)
{
    uint32_t key[2] = {(uint32_t)seed, (uint32_t)(seed >> 32)};
    for (int round = 0; round < 10; round++) {
        const uint64_t a = (uint64_t)0xD2511F53U * words[0];
        const uint64_t b = (uint64_t)0xCD9E8D57U * words[2];
        words[0] = (uint32_t)(b >> 32) ^ words[1] ^ key[0];
        words[1] = (uint32_t)b;
        words[2] = (uint32_t)(a >> 32) ^ words[3] ^ key[1];
        words[3] = (uint32_t)a;
        key[0] += 0x9E3779B9U;
        key[1] += 0xBB67AE85U;
    }
}

/* What a number is for: the last word of its counter. */
enum { NUMBERS, BITS };

double fl_random_uniform(uint64_t seed, uint64_t sample, uint32_t item)
{
    uint32_t drawn[4] = {(uint32_t)sample, (uint32_t)(sample >> 32), item / 4, NUMBERS};
    philox(drawn, seed);
    /* Half a step off the edges: never 0 nor 1, and symmetric about 1/2. */
    return ((double)drawn[item % 4] + 0.5) * 0x1p-32;
}

/* Two words of a counter of their own kind. */
uint64_t fl_random_bits(uint64_t seed, uint64_t sample, uint32_t item)
{
    uint32_t drawn[4] = {(uint32_t)sample, (uint32_t)(sample >> 32), item, BITS};
    philox(drawn, seed);
    return ((uint64_t)drawn[1] << 32) | drawn[0];
}

/* One uniform number each, so that even points can take their place. */
double fl_random_normal(uint64_t seed, uint64_t sample, uint32_t item)
{
    return fl_normal_draw(fl_random_uniform(seed, sample, item));
}

double fl_normal_share(double x)
{
    /* erfc keeps its digits in the far tail, where 1 - erf would have none. */
    return 0.5 * erfc(-x / sqrt(2.0));
}

/* (p[7] r^7 + ... + p[0]) / (q[7] r^7 + ... + q[0]) */
static double ratio(const double p[8], const double q[8], double r)
{
    /* By Horner's rule. */
    double above = p[7];
    double below = q[7];
    for (int i = 6; i >= 0; i--) {
        above = above * r + p[i];
        below = below * r + q[i];
    }
    return above / below;
}

static const double middle_ratio[2][8] = {
    {3.3871328727963666080e0, 1.3314166789178437745e2, 1.9715909503065514427e3,
     1.3731693765509461125e4, 4.5921953931549871457e4, 6.7265770927008700853e4,
     3.3430575583588128105e4, 2.5090809287301226727e3},
    {1.0, 4.2313330701600911252e1, 6.8718700749205790830e2, 5.3941960214247511077e3,
     2.1213794301586595867e4, 3.9307895800092710610e4, 2.8729085735721942674e4,
     5.2264952788528545610e3}};

static const double tail_ratio[2][8] = {
    {1.42343711074968357734e0, 4.63033784615654529590e0, 5.76949722146069140550e0,
     3.64784832476320460504e0, 1.27045825245236838258e0, 2.41780725177450611770e-1,
     2.27238449892691845833e-2, 7.74545014278341407640e-4},
    {1.0, 2.05319162663775882187e0, 1.67638483018380384940e0, 6.89767334985100004550e-1,
     1.48103976427480074590e-1, 1.51986665636164571966e-2, 5.47593808499534494600e-4,
     1.05075007164441684324e-9}};

/* [Wichura1988] PPND16: near the middle a ratio in 0.425^2 - q^2, q = p - 1/2; in the tails one in
 * sqrt(-ln(smaller tail)). */
double fl_normal_quantile(double p)
{
    static const double far[2][8] = {
        {6.65790464350110377720e0, 5.46378491116411436990e0, 1.78482653991729133580e0,
         2.96560571828504891230e-1, 2.65321895265761230930e-2, 1.24266094738807843860e-3,
         2.71155556874348757815e-5, 2.01033439929228813265e-7},
        {1.0, 5.99832206555887937690e-1, 1.36929880922735805310e-1, 1.48753612908506148525e-2,
         7.86869131145613259100e-4, 1.84631831751005468180e-5, 1.42151175831644588870e-7,
         2.04426310338993978564e-15}};
    /* Exact for p in [1/4, 1]; below, the tail's ratio takes p itself. */
    double q = p - 0.5;
    if (fabs(q) <= 0.425)
        return q * ratio(middle_ratio[0], middle_ratio[1], 0.180625 - q * q);
    double r = sqrt(-log(q < 0.0 ? p : 1.0 - p));
    double size =
        r <= 5.0 ? ratio(tail_ratio[0], tail_ratio[1], r - 1.6) : ratio(far[0], far[1], r - 5.0);
    return q < 0.0 ? -size : size;
}

/* Minimax ratios, by least squares whose weights went to where the error was greatest: errors of
 * 3.62e-10, 3.90e-10 and 1.14e-10. */
const double fl_draw_middle[2][FL_MIDDLE_TERMS] = {
    {3.9738279823948059e+00, 2.1423932918295179e+02, 3.5732386022686792e+03, 2.0510027279736529e+04,
     3.3005024947314509e+04, 6.7475737492978733e+03},
    {1.0, 5.9773182310750592e+01, 1.1546604589906478e+03, 8.2853172985723977e+03,
     1.9465931872598943e+04, 9.5908251113457918e+03}};
/* Up to 8.2 sigma, which no uniform number is beyond. */
const double fl_draw_tail[2][FL_TAIL_TERMS] = {
    {1.8600060305355779e+00, 3.3708379866524991e+00, 1.9078195964945457e+00, 4.0584340158750476e-01,
     2.6553339565363397e-02},
    {1.0, 9.2331555171978175e-01, 2.5243698740339493e-01, 1.8770430394990465e-02}};
/* The error is that of ln(1 + f); a tail has less than a quarter of it. */
const double fl_draw_log[FL_DRAW_LOG_TERMS] = {
    1.0000000034753433,  -0.49999999180824456, 0.33333261457792918, -0.25000040344594027,
    0.20004111208461764, -0.16668701758892573, 0.14190384619099797, -0.12375988254008104,
    0.12035230385766912, -0.11891791731166459, 0.067178446135017042};

/* p[0] + p[1] x + ..., of count terms, in the order of the operations on lanes. */
static double polynomial(const double *p, int count, double x)
{
    double sum = p[count - 1];
    for (int i = count - 2; i >= 0; i--)
        sum = sum * x + p[i];
    return sum;
}

/* ln x = k ln 2 + ln(1 + f), 1 + f from sqrt(1/2) to sqrt(2). The C library's is right to more
 * digits, but not the one of the lanes. */
static double near_log(double x)
{
    int k;
    double m = frexp(x, &k);
    if (m < sqrt(0.5)) {
        m *= 2.0;
        k--;
    }
    return k * log(2.0) + (m - 1.0) * polynomial(fl_draw_log, FL_DRAW_LOG_TERMS, m - 1.0);
}

/* As the operations on lanes. */
double fl_normal_draw(double u)
{
    const double q = u - 0.5, y = FL_MIDDLE * FL_MIDDLE - q * q;
    if (fabs(q) <= FL_MIDDLE)
        return q * polynomial(fl_draw_middle[0], FL_MIDDLE_TERMS, y) /
               polynomial(fl_draw_middle[1], FL_MIDDLE_TERMS, y);
    const double p = q < 0.0 ? u : 1.0 - u;
    if (p < FL_TAIL_END)
        return fl_normal_quantile(u);
    const double s = sqrt(-near_log(p)) - FL_TAIL_ROOT;
    const double size = polynomial(fl_draw_tail[0], FL_TAIL_TERMS, s) /
                        polynomial(fl_draw_tail[1], FL_TAIL_TERMS - 1, s);
    return q < 0.0 ? -size : size;
}
