/**
 * One case on one set of frequencies: what stays the same for all values (fl_sweep) and the scratch
 * memory to evaluate it (fl_scratch, one a thread).
 */
#ifndef FL_RESPONSE_SWEEP_H
#define FL_RESPONSE_SWEEP_H

#include "base/complex.h"
#include "response/response.h"

typedef struct fl_sweep {
    fl_arena arena;
    fl_path *path;
    fl_lanes lanes;
    const double *frequencies; /* [lanes.count] */
    fl_complex_lanes ports[FL_PORTS];
    fl_twoport *data;     /* [element_count] chain parameters, data elements only */
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
    fl_twoport *twoports;        /* [element_count] */
    fl_state *states;            /* [element_count + 1], in the order of the march */
    fl_complex_lanes q, reflection;
    fl_state row;            /* adjoint row of a transmission */
    fl_complex_lanes factor; /* dF = Re(factor (row.v dV + row.i dI)) */
    fl_complex_lanes pull[2];
    double *slopes; /* [FL_VALUES][count] */
} fl_scratch;

/** Sweep of a stretch over the frequencies of a grid, which are copied. */
fl_status fl_sweep_new(fl_sweep **sweep, const fl_groundwork *groundwork, const fl_stretch *stretch,
                       const fl_grid *grid, fl_error *error);
void fl_sweep_free(fl_sweep *sweep);

fl_status fl_scratch_init(fl_scratch *scratch, const fl_sweep *sweep, fl_error *error);
void fl_scratch_release(fl_scratch *scratch);

/** Values and two-ports of all elements; false when the quantities are not physical. */
bool fl_sweep_fill(const fl_sweep *sweep, fl_scratch *scratch, const double *quantities,
                   bool with_jacobian);

/** After fl_sweep_fill: makes the elements of sections that are left out [stretch.count] nothing,
 * as if the path ran on without them; for one evaluation, as data stay so. */
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

/** Element at a place of the march to a port: the board is reached from the die, and back. */
static inline size_t fl_march_element(const fl_sweep *sweep, int driven, size_t place)
{
    return driven == FL_PORT_BOARD ? place : sweep->path->element_count - 1 - place;
}

static inline fl_complex fl_lane(const fl_complex_lanes *lanes, size_t i)
{
    return (fl_complex){lanes->re[i], lanes->im[i]};
}

static inline void fl_lane_set(const fl_complex_lanes *lanes, size_t i, fl_complex value)
{
    lanes->re[i] = value.re;
    lanes->im[i] = value.im;
}

/** Chain parameters of a data element as the march to a port meets them: V' = a V + b I,
 * I' = c V + d I. Backwards, to the board, the matrix is [D B; C A] / (A D - B C). */
typedef struct fl_chain {
    fl_complex a, b, c, d;
} fl_chain;

static inline fl_chain fl_chain_at(const fl_twoport *data, int driven, size_t i)
{
    const fl_chain m = {fl_lane(&data->x, i), fl_lane(&data->y, i), fl_lane(&data->z, i),
                        fl_lane(&data->t, i)};
    if (driven == FL_PORT_DIE)
        return m;
    const fl_complex det = fl_subtract(fl_multiply(m.a, m.d), fl_multiply(m.b, m.c));
    return (fl_chain){fl_divide(m.d, det), fl_divide(m.b, det), fl_divide(m.c, det),
                      fl_divide(m.a, det)};
}

#endif
