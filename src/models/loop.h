/**
 * A bonded loop, of wires or of ribbon, as a chain of lines: what its kinds share.
 */
#ifndef FL_MODELS_LOOP_H
#define FL_MODELS_LOOP_H

#include "base/complex.h"
#include "models/arc.h"
#include "models/models.h"

/** Lines of the chain, and filaments along a conductor. */
enum { FL_LOOP_LINES = 6, FL_LOOP_PIECES = 32 };

/** The forms of the chain [FL_LOOP_LINES]. */
extern const fl_form fl_loop_forms[];

/** A loop with its surroundings; the bundle's arc is that of the loop. */
typedef struct fl_loop {
    fl_arc arc;
    fl_bundle bundle;
    fl_complex inside; /* internal impedance of all conductors as one at w0, ohm/m, or of each */
    bool each;         /* inside is that of each conductor: they share it as they share current */
    double cover;      /* relative permittivity around, to multiply the capacitance */
} fl_loop;

/** Values of the lines, of an arc of FL_LOOP_PIECES. FL_BAD_INPUT if the conductors touch. Does not
 * allocate. */
fl_status fl_loop_lines(double (*values)[FL_VALUES], const fl_loop *loop, double w0,
                        fl_error *error);

/** Sums along the loop, as properties; 0 if they cannot be had. */
size_t fl_loop_describe(fl_property *properties, const fl_loop *loop, double w0);

/** NULL, or which range of every loop is left: its length and height over waves, its height over
 * the span. */
const char *fl_loop_caution(const fl_loop *loop, const fl_setting *setting);

#endif
