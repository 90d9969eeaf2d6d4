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
    /* Two draws share a counter. */
    uint32_t drawn[4] = {(uint32_t)sample, (uint32_t)(sample >> 32), item / 2, NUMBERS};
    philox(drawn, seed);
    /* 52 bits of two words: with the half below they fill a double's 53. */
    const uint32_t *words = &drawn[item % 2 == 0 ? 0 : 2];
    uint64_t bits = ((uint64_t)words[0] << 20) | (words[1] >> 12);
    /* Half a step off the edges: never 0 nor 1, and symmetric about 1/2. */
    return ((double)bits + 0.5) * 0x1p-52;
}

uint64_t fl_random_bits(uint64_t seed, uint64_t sample, uint32_t item)
{
    uint32_t drawn[4] = {(uint32_t)sample, (uint32_t)(sample >> 32), item, BITS};
    philox(drawn, seed);
    return ((uint64_t)drawn[1] << 32) | drawn[0];
}

double fl_random_normal(uint64_t seed, uint64_t sample, uint32_t item)
{
    return fl_normal_quantile(fl_random_uniform(seed, sample, item));
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

const double fl_normal_middle[2][8] = {
    {3.3871328727963666080e0, 1.3314166789178437745e2, 1.9715909503065514427e3,
     1.3731693765509461125e4, 4.5921953931549871457e4, 6.7265770927008700853e4,
     3.3430575583588128105e4, 2.5090809287301226727e3},
    {1.0, 4.2313330701600911252e1, 6.8718700749205790830e2, 5.3941960214247511077e3,
     2.1213794301586595867e4, 3.9307895800092710610e4, 2.8729085735721942674e4,
     5.2264952788528545610e3}};

const double fl_normal_tail[2][8] = {
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
        return q * ratio(fl_normal_middle[0], fl_normal_middle[1], 0.180625 - q * q);
    double r = sqrt(-log(q < 0.0 ? p : 1.0 - p));
    double size = r <= 5.0 ? ratio(fl_normal_tail[0], fl_normal_tail[1], r - 1.6)
                           : ratio(far[0], far[1], r - 5.0);
    return q < 0.0 ? -size : size;
}
