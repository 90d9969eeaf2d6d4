/**
 * Thin straight filaments in any position: mutual partial inductances and potential coefficients.
 *
 * Everything comes from one integral, of 1 / R over both filaments, in closed form where that keeps
 * its digits and by Gauss-Legendre quadrature of a closed inner integral elsewhere; relative error
 * under 1e-11 for filaments that do not overlap. Nothing here allocates or fails.
 */
#ifndef FL_MODELS_FILAMENT_H
#define FL_MODELS_FILAMENT_H

/** A straight filament; its current flows from `from` to `to`. */
typedef struct fl_filament {
    double from[3], to[3]; /* m */
} fl_filament;

double fl_filament_length(const fl_filament *filament);

/**
 * Integral of 1 / R along both filaments, m; R is the distance of the two running points. For
 * filaments that overlap, where it grows without bound, some large finite number.
 */
double fl_filament_integral(const fl_filament *a, const fl_filament *b);

/** Cosine of the angle between the directions of two filaments. */
double fl_filament_cosine(const fl_filament *a, const fl_filament *b);

/** Mutual partial inductance, mu0 / 4 pi cos(angle) * integral [Campbell1915], [Grover1946]. */
double fl_filament_mutual(const fl_filament *a, const fl_filament *b);

/** Mean potential along a per charge spread evenly along b, in vacuum: 1 / F. */
double fl_filament_potential(const fl_filament *a, const fl_filament *b);

/** Permeability of vacuum, H/m, and its permittivity, F/m. */
double fl_permeability(void);
double fl_permittivity(void);

#endif
