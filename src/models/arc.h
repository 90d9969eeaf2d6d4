/**
 * Conductors along one arc above a ground plane, solved as coupled chains of straight filaments.
 *
 * A bundle is a row of equal conductors, one pitch apart, that all follow one arc in upright
 * parallel planes. Those of the signal carry it together; returns at the row's ends are grounded
 * at both of theirs. The plane acts by images. The outcome is one chain of pieces: its inductance
 * and its capacitance, piece by piece, at high frequency (no field in the metal) and quasi-static.
 */
#ifndef FL_MODELS_ARC_H
#define FL_MODELS_ARC_H

#include <stdbool.h>
#include <stddef.h>

#include "fairlead.h"

enum { FL_ARC_PIECES = 64, FL_BUNDLE_MOST = 18 };

/** The axis of a conductor, as a chain in the plane of run and height. */
typedef struct fl_arc {
    size_t pieces;                    /* 1 to FL_ARC_PIECES */
    double run[FL_ARC_PIECES + 1];    /* m, from the die to the land */
    double height[FL_ARC_PIECES + 1]; /* m, above the ground plane */
} fl_arc;

/** Where a parabola starts, ends and has its top: heights of the axis, m. */
typedef struct fl_parabola {
    double span;       /* between the ends, along the plane; over 0 */
    double start, end; /* over 0 */
    double top;        /* over the start; start + top over the end */
} fl_parabola;

/** Fills the arc with chords of the parabola, of equal runs. */
void fl_arc_parabola(fl_arc *arc, const fl_parabola *parabola, size_t pieces);

/** Length of a piece, and of all of them, m. */
double fl_arc_piece(const fl_arc *arc, size_t i);
double fl_arc_length(const fl_arc *arc);

typedef struct fl_bundle {
    const fl_arc *arc;
    size_t signals;              /* conductors that carry the signal, side by side; from 1 */
    size_t returns;              /* 0; 1: the last of the row; 2: its first and its last */
    double pitch;                /* m; over 0 when there are several */
    double mean[FL_BUNDLE_MOST]; /* mean distance of conductors k places apart; of one: [0] */
    double radius;               /* by which the plane draws the charge down; 0 for flat ones */
    bool plane;                  /* false: no plane, and no capacitance then */
} fl_bundle;

typedef struct fl_chain {
    double inductance[FL_ARC_PIECES];  /* H, outside the metal */
    double capacitance[FL_ARC_PIECES]; /* F, in vacuum */
    double share; /* sum of the squared currents over that of the path: times the impedance of one
                     conductor's inside gives that of the path */
} fl_chain;

/** Bundle of round wires whose spacing is well over their diameter. */
void fl_bundle_wires(fl_bundle *bundle, const fl_arc *arc, double diameter, double pitch);

/**
 * Solves a bundle.
 *
 * Inductance: with the matrix L of partial inductances of whole conductors, images included,
 * L I = V with V one on the signal and nought on the returns; a piece's part is its share of the
 * energy I' L I / 2 for one ampere, the row sum of its reduced matrix [Grover1946], [Ruehli1972].
 * Capacitance: the charge of the signal's pieces at one volt, the returns at nought, a parabola of
 * charge along each conductor and its potential met in the mean over each of its terms
 * [Harrington1968].
 *
 * @param[in] charges false leaves the capacitance zero; conductors may then end on the plane.
 *            true needs an arc of 4 pieces at least.
 * @return FL_OK; FL_BAD_INPUT if the conductors touch each other or the plane; chain is
 *         unchanged then. Thread-safe. Does not allocate.
 */
fl_status fl_bundle_solve(fl_chain *chain, const fl_bundle *bundle, bool charges, fl_error *error);

#endif
