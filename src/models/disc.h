/** Capacitance of a round pad that lies alone over a ground plane. */
#ifndef FL_MODELS_DISC_H
#define FL_MODELS_DISC_H

/**
 * Capacitance in vacuum of a thin disc parallel to an endless ground plane, F: both faces and the
 * fringe, by Love's integral equation [Love1949].
 * @param[in] radius m, over 0.
 * @param[in] height m, over the plane. Relative error under 1e-8 for a height over a
 *            twentieth of the radius, 3e-5 at a fortieth.
 */
double fl_disc_capacitance(double radius, double height);

/**
 * The same of a disc on a dielectric slab that fills the height, air above [Chew1980].
 * @param[in] permittivity of the slab, relative, from 1.
 */
double fl_disc_on_slab(double radius, double height, double permittivity);

#endif
