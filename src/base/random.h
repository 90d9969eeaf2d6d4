/**
 * Counter-based random numbers: a draw depends on seed, sample and item alone, never on the order
 * or the thread in which draws are made.
 *
 * Philox 4x32-10 of Salmon et al. 2011 [Salmon2011].
 */
#ifndef FL_BASE_RANDOM_H
#define FL_BASE_RANDOM_H

#include <stdint.h>

/** Uniform on the open interval (0, 1): (k + 1/2) 2^-32, k of 32 bits. Four items, from a multiple
 * of 4 on, have their numbers from one counter. */
double fl_random_uniform(uint64_t seed, uint64_t sample, uint32_t item);

/** 64 random bits, independent of all uniform numbers of the same seed. */
uint64_t fl_random_bits(uint64_t seed, uint64_t sample, uint32_t item);

/** Standard normal, by inversion of fl_random_uniform with fl_normal_draw: at most 6.34 sigma. */
double fl_random_normal(uint64_t seed, uint64_t sample, uint32_t item);

/** Standard normal distribution function and its inverse, 0 < p < 1. */
double fl_normal_share(double x);
double fl_normal_quantile(double p);

/** fl_normal_quantile for draws, of which a study needs many: the same to 4.2e-10 of its size,
 * 0 < u < 1. Below 2^-53 it is fl_normal_quantile. */
double fl_normal_draw(double u);

/** Its ratios, numerator and denominator: q = u - 1/2 times one in FL_MIDDLE^2 - q^2 for q up to
 * FL_MIDDLE; and in the tails, from FL_TAIL_END on, one in sqrt(-ln p) - FL_TAIL_ROOT of the
 * smaller tail p. In the tails the first denominator is positive as well. */
enum { FL_MIDDLE_TERMS = 6, FL_TAIL_TERMS = 5, FL_DRAW_LOG_TERMS = 11 };
#define FL_MIDDLE 0.46875
#define FL_TAIL_ROOT 1.86
#define FL_TAIL_END 0x1p-53
extern const double fl_draw_middle[2][FL_MIDDLE_TERMS], fl_draw_tail[2][FL_TAIL_TERMS];

/** ln(1 + f) / f for 1 + f from sqrt(1/2) to sqrt(2), so that ln(1 + f) is good to 1.2e-10. */
extern const double fl_draw_log[FL_DRAW_LOG_TERMS];

#endif
