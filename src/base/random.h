/**
 * Counter-based random numbers: a draw depends on seed, sample and item alone, never on the order
 * or the thread in which draws are made.
 *
 * Philox 4x32-10 of Salmon et al. 2011 [Salmon2011].
 */
#ifndef FL_BASE_RANDOM_H
#define FL_BASE_RANDOM_H

#include <stdint.h>

/** Uniform on the open interval (0, 1), 52 bits; the mean of many is 1/2. */
double fl_random_uniform(uint64_t seed, uint64_t sample, uint32_t item);

/** 64 random bits, independent of all uniform numbers of the same seed. */
uint64_t fl_random_bits(uint64_t seed, uint64_t sample, uint32_t item);

/** Standard normal, by inversion of fl_random_uniform. */
double fl_random_normal(uint64_t seed, uint64_t sample, uint32_t item);

/** Standard normal distribution function and its inverse, 0 < p < 1. */
double fl_normal_share(double x);
double fl_normal_quantile(double p);

/** Numerators and denominators of its ratios within 0.425 of the middle and outside
 * [Wichura1988]. */
extern const double fl_normal_middle[2][8], fl_normal_tail[2][8];

#endif
