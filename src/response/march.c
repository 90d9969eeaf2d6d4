/* The march: a state (V, I) goes through all elements, for all lanes at once.
 *
 * The loops over lanes are free of branches; `omp simd` tells the compiler that a state may be
 * written over the one it came from, lane by lane. */
#include <math.h>

#include "response/sweep.h"

/* V' = V + Z I */
FL_WIDE static void step_series(const fl_state *to, const fl_state *from, const fl_twoport *twoport,
                                size_t count)
{
#pragma omp simd
    for (size_t n = 0; n < count; n++) {
        const fl_complex v = fl_lane(&from->v, n), i = fl_lane(&from->i, n);
        fl_lane_set(&to->v, n, fl_add(v, fl_multiply(fl_lane(&twoport->x, n), i)));
        fl_lane_set(&to->i, n, i);
    }
}

/* I' = I + Y V */
FL_WIDE static void step_shunt(const fl_state *to, const fl_state *from, const fl_twoport *twoport,
                               size_t count)
{
#pragma omp simd
    for (size_t n = 0; n < count; n++) {
        const fl_complex v = fl_lane(&from->v, n), i = fl_lane(&from->i, n);
        fl_lane_set(&to->i, n, fl_add(i, fl_multiply(fl_lane(&twoport->x, n), v)));
        fl_lane_set(&to->v, n, v);
    }
}

/* V' = cosh V + Z0 sinh I, I' = cosh I + sinh V / Z0 */
FL_WIDE static void step_line(const fl_state *to, const fl_state *from, const fl_twoport *twoport,
                              size_t count)
{
#pragma omp simd
    for (size_t n = 0; n < count; n++) {
        const fl_complex v = fl_lane(&from->v, n), i = fl_lane(&from->i, n);
        const fl_complex c = fl_lane(&twoport->x, n), s = fl_lane(&twoport->y, n);
        const double z0 = twoport->z.re[n], y0 = twoport->z.im[n];
        fl_lane_set(&to->v, n, fl_add(fl_multiply(c, v), fl_scale(fl_multiply(s, i), z0)));
        fl_lane_set(&to->i, n, fl_add(fl_multiply(c, i), fl_scale(fl_multiply(s, v), y0)));
    }
}

/* V' = A V + B I, I' = C V + D I */
FL_WIDE static void step_chain(const fl_state *to, const fl_state *from, const fl_twoport *twoport,
                               size_t count)
{
#pragma omp simd
    for (size_t n = 0; n < count; n++) {
        const fl_chain m = fl_chain_load(twoport, n);
        const fl_complex v = fl_lane(&from->v, n), i = fl_lane(&from->i, n);
        fl_lane_set(&to->v, n, fl_add(fl_multiply(m.a, v), fl_multiply(m.b, i)));
        fl_lane_set(&to->i, n, fl_add(fl_multiply(m.c, v), fl_multiply(m.d, i)));
    }
}

/* One ampere through the terminating impedance: the march is linear, so that the scale of the state
 * falls out of every ratio, and for the transmission is known. */
static void start(const fl_state *state, const fl_complex_lanes *termination, size_t count)
{
    for (size_t n = 0; n < count; n++) {
        fl_lane_set(&state->v, n, fl_lane(termination, n));
        fl_lane_set(&state->i, n, (fl_complex){1.0, 0.0});
    }
}

/* q = V + Z I, p = V - Z* I, reflection p / q [Kurokawa1965]. q vanishes only where the path
 * oscillates; the division then gives no finite number, which margins and scatter look for. */
FL_WIDE static void arrive(fl_scratch *scratch, const fl_state *state, const fl_complex_lanes *port,
                           size_t count)
{
#pragma omp simd
    for (size_t n = 0; n < count; n++) {
        const fl_complex v = fl_lane(&state->v, n), i = fl_lane(&state->i, n);
        const fl_complex z = fl_lane(port, n);
        const fl_complex q = fl_add(v, fl_multiply(z, i));
        const fl_complex p = fl_subtract(v, fl_multiply(fl_conjugate(z), i));
        fl_lane_set(&scratch->q, n, q);
        fl_lane_set(&scratch->reflection, n, fl_divide(p, q));
    }
}

/* Without keep one state is written over again and again; the slopes need all of them. */
void fl_march(const fl_sweep *sweep, fl_scratch *scratch, int driven, bool keep)
{
    const size_t count = sweep->lanes.count;
    const int terminated = driven == FL_PORT_BOARD ? FL_PORT_DIE : FL_PORT_BOARD;
    const fl_state *state = &scratch->states[0];
    start(state, &sweep->ports[terminated], count);
    for (size_t k = 0; k < sweep->link_count; k++) {
        const fl_link *link = fl_march_link(sweep, driven, k);
        const fl_twoport *twoport = fl_link_twoport(link, scratch, driven);
        const fl_state *next = keep ? &scratch->states[k + 1] : state;
        switch (link->action) {
        case FL_ACT_SERIES:
            step_series(next, state, twoport, count);
            break;
        case FL_ACT_SHUNT:
            step_shunt(next, state, twoport, count);
            break;
        case FL_ACT_LINE:
            step_line(next, state, twoport, count);
            break;
        case FL_ACT_DATA:
            step_chain(next, state, twoport, count);
            break;
        }
        state = next;
    }
    arrive(scratch, state, &sweep->ports[driven], count);
}

FL_WIDE static void take_squares(double *power, const fl_complex_lanes *waves, size_t count)
{
#pragma omp simd
    for (size_t n = 0; n < count; n++)
        power[n] = fl_squared(fl_lane(waves, n));
}

void fl_march_reflected(const fl_sweep *sweep, const fl_scratch *scratch, double *power)
{
    take_squares(power, &scratch->reflection, sweep->lanes.count);
}

/* 4 R_T R_P / |q|^2, the resistances being those of the two ports. */
FL_WIDE static void take_transmitted(double *power, const fl_complex_lanes *q,
                                     const fl_complex_lanes ports[FL_PORTS], size_t count)
{
    const double *one = ports[FL_PORT_DIE].re, *other = ports[FL_PORT_BOARD].re;
#pragma omp simd
    for (size_t n = 0; n < count; n++)
        power[n] = 4.0 * (one[n] * other[n]) / fl_squared(fl_lane(q, n));
}

/* The wave that comes out at the terminated port T per wave into the driven port P is
 * 2 sqrt(R_T R_P) / q. Driven at the board that is S12, and S21 = S12 / (A D - B C). */
void fl_march_transmitted(const fl_sweep *sweep, const fl_scratch *scratch, int driven,
                          double *power)
{
    const size_t count = sweep->lanes.count;
    take_transmitted(power, &scratch->q, sweep->ports, count);
    for (size_t n = 0; driven == FL_PORT_BOARD && n < count; n++)
        power[n] /= fl_squared(fl_lane(&sweep->det, n));
}
