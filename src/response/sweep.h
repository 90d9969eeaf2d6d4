/**
 * One case on one set of frequencies: what stays the same for all values (fl_sweep) and the scratch
 * memory to evaluate it (fl_scratch, one a thread).
 */
#ifndef FL_RESPONSE_SWEEP_H
#define FL_RESPONSE_SWEEP_H

#include "response/chain.h"
#include "response/response.h"

/** What stays the same in all evaluations: chain parameters, or a lone element as it is. */
typedef struct fl_steady {
    fl_twoport met[FL_PORTS]; /* as the march to each port meets it */
    bool reciprocal;          /* A D - B C is 1 */
    fl_complex_lanes det;     /* else: A D - B C, from die to board */
} fl_steady;

/** Elements that the march passes in one step: one, or several in a row that are steady. */
typedef struct fl_link {
    fl_action action;        /* FL_ACT_DATA: by chain parameters */
    size_t element;          /* the one, or the first from the die */
    const fl_steady *steady; /* NULL: its two-port is in the scratch memory */
} fl_link;

typedef struct fl_sweep {
    fl_arena arena;
    fl_path *path;
    fl_lanes lanes;
    const double *frequencies; /* [lanes.count] */
    fl_complex_lanes ports[FL_PORTS];
    const fl_link *links; /* [link_count] from the die; one an element before fl_sweep_fold */
    size_t link_count;
    fl_complex_lanes det; /* product of A D - B C over the data elements; 1 without any */
} fl_sweep;

/** Voltage and current between two elements, the current flowing to the terminated port. */
typedef struct fl_state {
    fl_complex_lanes v, i;
} fl_state;

typedef struct fl_scratch {
    fl_arena arena;
    double (*values)[FL_VALUES]; /* [element_count] */
    double *jacobian;            /* [element_count][FL_VALUES][quantity_count] */
    fl_twoport *twoports;        /* [element_count] of those that are links of their own */
    fl_state *states;            /* [link_count + 1], in the order of the march */
    fl_complex_lanes q, reflection;
    fl_state row;            /* adjoint row of a transmission */
    fl_complex_lanes factor; /* dF = Re(factor (row.v dV + row.i dI)) */
    fl_complex_lanes pull[2];
    double *slopes; /* [FL_VALUES][count] */
} fl_scratch;

/** Memory of the lanes of a row, and of those of a two-port that an action has a use for. */
bool fl_lanes_take(fl_arena *arena, fl_complex_lanes *lanes, size_t count);
bool fl_twoport_take(fl_arena *arena, fl_twoport *twoport, fl_action action, size_t count);

/** Sweep of a stretch over the frequencies of a grid, which are copied. */
fl_status fl_sweep_new(fl_sweep **sweep, const fl_groundwork *groundwork, const fl_stretch *stretch,
                       const fl_grid *grid, fl_error *error);
void fl_sweep_free(fl_sweep *sweep);

/**
 * Works out once what will stay the same: sections that only quantities move which do not move
 * [quantity_count] keep their values at the given quantities, and those in a row become one link.
 * Once, before any scratch memory is made. If they are not physical all stays as it is.
 */
fl_status fl_sweep_fold(fl_sweep *sweep, const bool *moves, const double *quantities,
                        fl_error *error);

fl_status fl_scratch_init(fl_scratch *scratch, const fl_sweep *sweep, fl_error *error);
void fl_scratch_release(fl_scratch *scratch);

/** Values and two-ports of all elements; false when the quantities are not physical. */
bool fl_sweep_fill(const fl_sweep *sweep, fl_scratch *scratch, const double *quantities,
                   bool with_jacobian);

/** After fl_sweep_fill of a sweep that is not folded: makes the elements of sections that are left
 * out [stretch.count] nothing, as if the path ran on without them; for one evaluation, as data
 * stay so. */
void fl_sweep_leave_out(const fl_sweep *sweep, fl_scratch *scratch, const bool *left_out);

/**
 * Marches from the other port, in its termination, to the driven port; then scratch->q is
 * V + Z I at the driven port and scratch->reflection its power-wave reflection.
 * @param[in] keep keep the state between all elements, for the slopes.
 */
void fl_march(const fl_sweep *sweep, fl_scratch *scratch, int driven, bool keep);

/** |reflection|^2 after fl_march, [count]. */
void fl_march_reflected(const fl_sweep *sweep, const fl_scratch *scratch, double *power);
/** |S21|^2 after fl_march to either port, [count]. */
void fl_march_transmitted(const fl_sweep *sweep, const fl_scratch *scratch, int driven,
                          double *power);

/** Where slopes go: gradient[unknown * stride + lane]. */
typedef struct fl_gradient {
    double *slopes;
    size_t stride;
    const size_t *unknowns; /* indices of quantities */
    size_t count;
} fl_gradient;

/** Derivatives of |reflection|^2 after fl_march with keep and fl_sweep_fill with jacobian. */
void fl_slopes_reflected(const fl_sweep *sweep, fl_scratch *scratch, int driven,
                         const fl_gradient *gradient);
/** Derivatives of |S21|^2, power [count] being its value. */
void fl_slopes_transmitted(const fl_sweep *sweep, fl_scratch *scratch, int driven,
                           const double *power, const fl_gradient *gradient);

/** Link at a place of the march to a port: the board is reached from the die, and back. */
static inline const fl_link *fl_march_link(const fl_sweep *sweep, int driven, size_t place)
{
    return &sweep->links[driven == FL_PORT_BOARD ? place : sweep->link_count - 1 - place];
}

/** Its first element. */
static inline size_t fl_march_element(const fl_sweep *sweep, int driven, size_t place)
{
    return fl_march_link(sweep, driven, place)->element;
}

/** Its two-port as the march to a port meets it. */
static inline const fl_twoport *fl_link_twoport(const fl_link *link, const fl_scratch *scratch,
                                                int driven)
{
    return link->steady != NULL ? &link->steady->met[driven] : &scratch->twoports[link->element];
}

#endif
