/**
 * Cross-sections of lines: rectangular conductors between horizontal dielectric layers, over a
 * ground plane or without one, solved for the quasi-static fields in the plane.
 *
 * Boundary elements with the total charge (free and bound) as the unknown, constant on each
 * element, matched at the middles; the ground plane by images, the boundaries of layers meshed. A
 * plane of symmetry is found and used. The number of elements follows from the structure alone
 * (which conductor lies in which layer), never from the dimensions, so results are smooth
 * functions of the dimensions as long as the structure stays.
 *
 * Quasi-static: no dispersion. Conductor loss is that of surface currents, so conductors
 * must be thicker than about three skin depths; conductors are rectangles and
 * layers lie flat.
 */
#ifndef FL_MODELS_CROSS_H
#define FL_MODELS_CROSS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/error.h"

/** Most signals, conductors and layers of one cross-section. */
enum { FL_CROSS_SIGNALS = 6, FL_CROSS_CONDUCTORS = 16, FL_CROSS_LAYERS = 8 };

/** A dielectric from the layer below it (or from y = 0) up to top; air is above the last. */
typedef struct fl_cross_layer {
    double top;          /* m, each above the one before */
    double permittivity; /* relative, >= 1 */
    double loss_tangent; /* >= 0 */
} fl_cross_layer;

/** A rectangle. A ground may be endless to one side: left = -HUGE_VAL or right = HUGE_VAL. */
typedef struct fl_cross_conductor {
    double left, right;  /* m */
    double bottom;       /* m; above 0 if there is a ground plane */
    double thickness;    /* m; 0: a sheet, which adds no resistance: its edges' would be infinite */
    size_t signal;       /* 1, 2, ...; 0: ground. Several conductors may carry one signal. */
    double conductivity; /* S/m; 0: no loss */
    double roughness;    /* m, root mean square */
} fl_cross_conductor;

typedef struct fl_cross {
    const fl_cross_layer *layers; /* from the bottom; may be none */
    size_t layer_count;
    const fl_cross_conductor *conductors; /* apart from each other */
    size_t conductor_count;
    bool ground;         /* a ground plane at y = 0; else air below 0 and the charges sum to zero */
    double lid;          /* m, height of a second plane above all conductors; 0: none */
    double conductivity; /* S/m, of the plane and the lid; 0: no loss */
    double roughness;    /* m, of the plane and the lid */
    size_t fineness;     /* elements a half side; 0: the usual 10 */
} fl_cross;

/** One wave: of the only signal, or even and odd of two alike. Per line of the two. */
typedef struct fl_cross_mode {
    double impedance;    /* ohm */
    double permittivity; /* effective, relative */
    double capacitance;  /* F/m */
    double resistance;   /* ohm/m */
    double conductance;  /* S/m */
} fl_cross_mode;

/** Per-length matrices over signals; row and column i belong to signal i + 1. */
typedef struct fl_cross_result {
    size_t signal_count;
    double capacitance[FL_CROSS_SIGNALS][FL_CROSS_SIGNALS];     /* F/m, Maxwell's */
    double air_capacitance[FL_CROSS_SIGNALS][FL_CROSS_SIGNALS]; /* F/m, without dielectrics */
    double inductance[FL_CROSS_SIGNALS][FL_CROSS_SIGNALS];      /* H/m, outside the conductors */
    double resistance[FL_CROSS_SIGNALS][FL_CROSS_SIGNALS];      /* ohm/m, with the ground's */
    double conductance[FL_CROSS_SIGNALS][FL_CROSS_SIGNALS];     /* S/m, first order in loss */
    size_t mode_count; /* 1: one signal; 2: two that mirror each other, even first; else 0 */
    fl_cross_mode modes[2];
} fl_cross_result;

/**
 * Solves a cross-section.
 *
 * Inductance: mu0 eps0 over the capacitance without dielectrics. Resistance: surface resistance
 * times the inductance's change as all surfaces recede, over mu0 [Wheeler1942], which is the
 * integral of the square of the surface current; with the roughness factor
 * 1 + (2 / pi) atan(1.4 (Rq / depth)^2) [Hammerstad1980]. The inside inductance of a smooth
 * conductor is R / w more. Conductance: w times the change of capacitance as each permittivity
 * changes by itself times its loss tangent, right to the first order.
 *
 * Error at the usual fineness, measured against exact and independent solutions: impedance and
 * effective permittivity 0.01 to 0.05 %, up to 0.15 % for a thick narrow conductor in a medium much
 * denser than the layer below it; resistance and conductance 0.2 %. It falls with the square of the
 * fineness or faster; time grows between square and cube.
 *
 * @param[out] result    unchanged on failure.
 * @param[in]  frequency Hz; 0: no loss.
 * @return FL_OK; FL_BAD_INPUT with the layer or conductor as the place; FL_NO_MEMORY.
 *
 * Thread-safe. Turns GSL's error handler off, as the whole library does.
 */
fl_status fl_cross_solve(fl_cross_result *result, const fl_cross *cross, double frequency,
                         fl_error *error);

#endif
