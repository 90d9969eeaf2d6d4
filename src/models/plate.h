/** Capacitance of a rectangular pad that lies alone on a slab over a ground plane. */
#ifndef FL_MODELS_PLATE_H
#define FL_MODELS_PLATE_H

#include "base/error.h"

/** Lengths in m, over 0. */
typedef struct fl_plate {
    double width, length;
    double height;       /* of the slab */
    double permittivity; /* of the slab, relative, from 1; air above */
} fl_plate;

/**
 * Capacitance of the thin plate, F: charge on patches, its images in slab and plane summed in a
 * table over distance [Harrington1968], [Silvester1968].
 *
 * Error 0.1 % for sides from a twentieth to twenty times the height, 0.6 % to forty. The number of
 * patches is always the same, so it is smooth in all lengths.
 *
 * @param[out] capacitance unchanged on failure.
 * @return FL_OK; FL_BAD_INPUT if it cannot be solved; FL_NO_MEMORY. Thread-safe; GSL's error
 *         handler is to be off.
 */
fl_status fl_plate_capacitance(double *capacitance, const fl_plate *plate, fl_error *error);

#endif
