/**
 * Single conductors: partial self-inductances, mean distances and internal impedances.
 *
 * Nothing here allocates or fails: sizes, conductivities and frequencies are to be positive and
 * finite. Lengths in m, inductances in H, conductivities in S/m, w in rad/s.
 */
#ifndef FL_MODELS_CONDUCTOR_H
#define FL_MODELS_CONDUCTOR_H

#include "base/complex.h"

/** Round wire with its current on the surface, that is without its inside [Rosa1908]. */
double fl_round_inductance(double length, double radius);

/** Round wire with its current spread evenly, that is at low frequency [Rosa1908]. */
double fl_round_inductance_even(double length, double radius);

/** Round tube of any length, even one shorter than wide: mean over pairs of its filaments. */
double fl_tube_inductance(double length, double radius);

/** Thin tape with its current spread evenly across [Ruehli1972]. */
double fl_tape_inductance(double length, double width);

/**
 * Flat bar with its current spread evenly; its length is over twice width + thickness
 * [Grover1946].
 */
double fl_bar_inductance(double length, double width, double thickness);

/**
 * Geometric mean distance of two thin tapes of one width side by side in a plane, their middles
 * `apart`; of a tape from itself for 0 [Grover1946].
 */
double fl_tape_distance(double width, double apart);

/**
 * Radius of the round wire that has the field outside of a lone bar with a rectangular section,
 * its charge and high-frequency current on the surface: the outer radius of the rectangle
 * [Polya1951].
 * @param[in] thickness 1e-9 to 1 of the width.
 */
double fl_bar_radius(double width, double thickness);

/** Depth at which the current has fallen to 1/e, m. */
double fl_skin_depth(double conductivity, double w);

/**
 * Internal impedance per metre of a round conductor, ohm/m: k I0(k r) / (2 pi r sigma I1(k r)),
 * k = (1 + j) / depth [Ramo1994]. Relative error under 1e-13 at any frequency, w > 0.
 */
fl_complex fl_round_impedance(double radius, double conductivity, double w);

/**
 * Internal impedance per metre of a flat conductor, ohm/m, its current in both broad faces:
 * k coth(k t / 2) / (2 w sigma) [Ramo1994]. Crowding at the edges is left out.
 */
fl_complex fl_bar_impedance(double width, double thickness, double conductivity, double w);

#endif
