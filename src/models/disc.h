/** Capacitance of a round pad that lies alone over a ground plane. */
#ifndef FL_MODELS_DISC_H
#define FL_MODELS_DISC_H

/**
 * Capacitance in vacuum of a thin disc parallel to an endless ground plane, F: both faces and the
 * fringe, by Love's integral equation [Love1949].
 * @param[in] radius m, over 0.
 * @param[in] height m, over the plane. Relative error under 1e-6 for a height over an eighth of the
 *            radius.
 */
double fl_disc_capacitance(double radius, double height);

#endif
