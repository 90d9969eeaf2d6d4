/** Capacitance of a plated hole and its pad that pass through a round clearance in a plane. */
#ifndef FL_MODELS_BARREL_H
#define FL_MODELS_BARREL_H

#include "base/error.h"

/** One side of the plane; the other side mirrors it. Lengths in m. */
typedef struct fl_barrel {
    double drill;        /* diameter of the barrel; over 0 */
    double pad;          /* diameter of the pad on the substrate; over drill */
    double antipad;      /* diameter of the clearance in the plane; over drill */
    double height;       /* of the pad over the plane; over 0 */
    double metal;        /* thickness of the plane; over 0 */
    double permittivity; /* relative, of what fills the clearance and the height; from 1 */
} fl_barrel;

/**
 * Charge on half the barrel and one pad at one volt, the plane at none: rings of charge on all
 * surfaces, the mirror plane in the middle of the ground's metal [Harrington1968].
 *
 * The number of rings is always the same and their places are smooth in all lengths.
 *
 * @param[out] capacitance F, of one side; error some 0.2 %, for proportions up to some twenty.
 * @param[out] share       d log capacitance / d log permittivity: times the loss tangent it is that
 *                         of the capacitance. Both are unchanged on failure.
 * @return FL_OK; FL_BAD_INPUT if it cannot be solved; FL_NO_MEMORY. Thread-safe; GSL's error
 *         handler is to be off.
 */
fl_status fl_barrel_capacitance(double *capacitance, double *share, const fl_barrel *barrel,
                                fl_error *error);

#endif
