/**
 * The beta distribution, for confidence intervals of shares.
 */
#ifndef FL_BASE_BETA_H
#define FL_BASE_BETA_H

/**
 * Share of the beta distribution with orders a, b > 0 below a place x, and above it; at is x and
 * 1 - x, each with its own digits, so that x may be near 1. The smaller share keeps its digits.
 * Relative error about 1e-12 up to a + b of 1e12.
 * Source: continued fraction of [Didonato1992]; its factor by the saddle point of [Loader2000].
 */
void fl_beta_shares(double *below, double *above, const double at[2], double a, double b);

#endif
