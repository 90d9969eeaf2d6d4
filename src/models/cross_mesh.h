/** Inside the solver of cross-sections: mesh, influence of charges, solution. Lengths in m; charges
 * as divided by the permittivity of vacuum, in V/m. */
#ifndef FL_MODELS_CROSS_MESH_H
#define FL_MODELS_CROSS_MESH_H

#include "base/arena.h"
#include "models/cross.h"

/** Media: the layers, air as one more, and the inside of conductors, of permittivity 0 so that it
 * counts for nothing. */
enum { FL_CROSS_INSIDE = FL_CROSS_LAYERS + 1, FL_CROSS_MEDIA };

/** Conductor of a chain that has none. */
enum { FL_CROSS_NONE = FL_CROSS_CONDUCTORS + 1 };

/** A cross-section as solved: checked, moved so that a plane of symmetry is x = 0. */
typedef struct fl_cross_plan {
    const fl_cross *cross;
    fl_cross_conductor conductors[FL_CROSS_CONDUCTORS + 1]; /* the lid last */
    size_t conductor_count;                                 /* with the lid */
    bool lid;
    bool symmetric;
    size_t signal_count;
    size_t partner[FL_CROSS_SIGNALS + 1]; /* signal on the other side of the plane of symmetry */
    size_t layer_count;
    double tops[FL_CROSS_LAYERS];
    double permittivity[FL_CROSS_MEDIA];
    double loss[FL_CROSS_MEDIA]; /* permittivity times loss tangent */
    double tolerance;            /* lengths closer than this are one */
    double scale;                /* where fringing fields begin to fall off */
    double reach;                /* from the last edge to the end of what is endless */
} fl_cross_plan;

/** A straight row of elements between nodes that rise. */
typedef struct fl_chain {
    bool upright;     /* along y */
    double at;        /* the coordinate that stays: y, or x if upright */
    size_t node;      /* first of count + 1 nodes */
    size_t first;     /* first of count elements */
    size_t count;     /* > 0 */
    size_t conductor; /* or FL_CROSS_NONE */
    size_t below;     /* medium below, or left if upright */
    size_t above;     /* medium above, or right */
} fl_chain;

/** Chains of conductors, then of dielectric boundaries. */
typedef struct fl_mesh {
    const fl_cross_plan *plan;
    fl_chain *chains;
    size_t chain_count, chain_room, conductor_chains;
    double *nodes;
    size_t node_count, node_room;
    double *x, *y, *length; /* middles and lengths of elements */
    size_t element_count, element_room, conductor_elements;
} fl_mesh;

/** Checks a cross-section and makes its plan. */
fl_status fl_plan_make(fl_cross_plan *plan, const fl_cross *cross, fl_error *error);

/** Medium just above (or below) a height. */
size_t fl_plan_medium(const fl_cross_plan *plan, double y, bool above);

/** Whether two lengths are one. */
bool fl_plan_same(const fl_cross_plan *plan, double a, double b);

/** Meshes a plan, which must outlive the mesh. False: no memory. */
bool fl_mesh_make(fl_mesh *mesh, const fl_cross_plan *plan, fl_arena *arena);

/**
 * Potentials at the middles of a chain's elements by unit charges on all elements and their images.
 * @param[out] rows [count][element_count].
 * @param[in] side  1: charges where they are; -1: charges at -x.
 */
void fl_mesh_potentials(double *rows, double side, const fl_mesh *mesh, const fl_chain *chain);

/**
 * Fluxes up through the elements of a level chain, by the mean of the fields on both sides.
 * @param[out] rows    [count][element_count].
 * @param[out] scratch [element_count].
 */
void fl_mesh_fluxes(double *rows, double side, const fl_mesh *mesh, const fl_chain *chain,
                    double *scratch);

/** Flux up (or right) through all of a chain: row [element_count]; else as fl_mesh_fluxes. */
void fl_mesh_whole_flux(double *row, double side, const fl_mesh *mesh, const fl_chain *chain,
                        double *scratch);

/** Free charges of signals (row) with another at 1 V (column), over the permittivity of vacuum. */
typedef struct fl_cross_sums {
    double charge[FL_CROSS_SIGNALS][FL_CROSS_SIGNALS];
    double air_charge[FL_CROSS_SIGNALS][FL_CROSS_SIGNALS];  /* without dielectrics */
    double loss_charge[FL_CROSS_SIGNALS][FL_CROSS_SIGNALS]; /* change along the media's loss */
} fl_cross_sums;

/**
 * Solves for the charges.
 * @return FL_OK; FL_NO_MEMORY; FL_BAD_INPUT if the equations have no solution in numbers.
 */
fl_status fl_mesh_solve(fl_cross_sums *sums, const fl_mesh *mesh, fl_arena *arena, fl_error *error);

/**
 * Series resistance of signals, by the change of inductance when all surfaces recede.
 * @param[in] resistance [conductor_count + 1] surface resistance, ohm; the ground plane's last.
 */
fl_status fl_plan_resistance(double (*result)[FL_CROSS_SIGNALS], const fl_cross_plan *plan,
                             const double *resistance, fl_arena *arena, fl_error *error);

/** Inverse of a positive matrix of the plan's signals; false if it is none. */
bool fl_signals_invert(double (*inverse)[FL_CROSS_SIGNALS], double (*given)[FL_CROSS_SIGNALS],
                       size_t count);

/** What is wrong when numbers overflow or equations are singular. */
fl_status fl_fail_proportion(fl_error *error);

#endif
