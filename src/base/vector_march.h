/** The march on lanes: a wave state goes through one element at all nodes. Private: see vector.h.
 *
 * Packs of samples outside, nodes inside: what a sample alone decides is made once, and the nodes
 * are independent of each other, which hides the time of one operation behind the others. */
#ifndef FL_BASE_VECTOR_MARCH_H
#define FL_BASE_VECTOR_MARCH_H

#include "base/vector_pack.h"

/** A complex number in every sample of a pack. */
typedef struct cpack {
    pack re, im;
} cpack;

FL_PACKED cpack times(cpack a, cpack b)
{
    return (cpack){a.re * b.re - a.im * b.im, a.re * b.im + a.im * b.re};
}

FL_PACKED cpack plus(cpack a, cpack b)
{
    return (cpack){a.re + b.re, a.im + b.im};
}

FL_PACKED cpack minus(cpack a, cpack b)
{
    return (cpack){a.re - b.re, a.im - b.im};
}

FL_PACKED cpack scaled(cpack a, pack factor)
{
    return (cpack){a.re * factor, a.im * factor};
}

FL_PACKED cpack constant(const double pair[2])
{
    return (cpack){same(pair[0]), same(pair[1])};
}

/* Voltage is row 0, current row 2 of a node; the third row of an element's values. */
enum { VOLTAGE = 0, CURRENT = 2 * FL_LANES, THIRD = 2 * FL_LANES };

FL_PACKED cpack load_pair(const double *rows)
{
    return (cpack){load(rows), load(rows + FL_LANES)};
}

FL_PACKED void store_pair(double *rows, cpack value)
{
    store(rows, value.re);
    store(rows + FL_LANES, value.im);
}

/* One of V and I takes x times the other. */
FL_PACKED void take(double *to, const double *from, cpack x)
{
    store_pair(to, plus(load_pair(to), times(x, load_pair(from))));
}

static void step_series(double *state, const double *values, const fl_nodes *nodes)
{
    for (size_t i = 0; i < FL_LANES; i += FL_WIDTH) {
        const pack resistance = load(values + i), inductance = load(values + FL_LANES + i);
        const pack elastance = load(values + THIRD + i);
        for (size_t n = 0; n < nodes->count; n++) {
            double *at = state + n * FL_WAVE + i;
            const double w = nodes->omega[n];
            const cpack x = {resistance, same(w) * inductance - elastance * same(1.0 / w)};
            take(at + VOLTAGE, at + CURRENT, x);
        }
    }
}

static void step_branch(double *state, const double *values, const fl_nodes *nodes)
{
    for (size_t i = 0; i < FL_LANES; i += FL_WIDTH) {
        const pack resistance = load(values + i), inductance = load(values + FL_LANES + i);
        for (size_t n = 0; n < nodes->count; n++) {
            double *at = state + n * FL_WAVE + i;
            const pack reactance = same(nodes->omega[n]) * inductance;
            const pack scale = same(1.0) / (resistance * resistance + reactance * reactance);
            const cpack x = {resistance * scale, -reactance * scale};
            take(at + CURRENT, at + VOLTAGE, x);
        }
    }
}

FL_PACKED void take_capacitors(double *state, const double *values, const fl_nodes *nodes,
                               bool lossless)
{
    for (size_t i = 0; i < FL_LANES; i += FL_WIDTH) {
        const pack capacitance = load(values + i), time = load(values + FL_LANES + i);
        for (size_t n = 0; n < nodes->count; n++) {
            double *at = state + n * FL_WAVE + i;
            const pack w = same(nodes->omega[n]), susceptance = w * capacitance;
            const cpack v = load_pair(at + VOLTAGE), current = load_pair(at + CURRENT);
            if (lossless) {
                const cpack add = {-susceptance * v.im, susceptance * v.re};
                store_pair(at + CURRENT, plus(current, add));
            } else {
                const pack lag = w * time;
                const pack scale = susceptance / (same(1.0) + lag * lag);
                const cpack x = {scale * lag, scale};
                store_pair(at + CURRENT, plus(current, times(x, v)));
            }
        }
    }
}

static void step_capacitor(double *state, const double *values, const fl_nodes *nodes)
{
    if (largest(values + FL_LANES) == 0.0)
        take_capacitors(state, values, nodes, true);
    else
        take_capacitors(state, values, nodes, false);
}

/** What becomes of a line: itself in the path, or a stub of its end. */
typedef enum line_use { LINE_THROUGH, LINE_OPEN, LINE_SHORTED } line_use;

/** A line at one node: impedance and its inverse, decay and phase. */
typedef struct section {
    pack z, y, decay, phase;
} section;

/* V' = cos V + j Z0 sin I, I' = cos I + j sin V / Z0 */
FL_PACKED void pass_lossless(double *at, const section *line, reach far)
{
    pack sine, cosine;
    turn(line->phase, far, &sine, &cosine);
    const pack sz = sine * line->z, sy = sine * line->y;
    const cpack v = load_pair(at + VOLTAGE), current = load_pair(at + CURRENT);
    const cpack to_v = {cosine * v.re - sz * current.im, cosine * v.im + sz * current.re};
    const cpack to_i = {cosine * current.re - sy * v.im, cosine * current.im + sy * v.re};
    store_pair(at + VOLTAGE, to_v);
    store_pair(at + CURRENT, to_i);
}

/* The waves V + Z0 I and V - Z0 I are multiplied by exp(theta) and exp(-theta): half the products
 * that the matrix of cosh and sinh takes. */
FL_PACKED void pass_line(double *at, const section *line, decaying how, reach far)
{
    pack sine, cosine, grown, shrunk;
    turn(line->phase, far, &sine, &cosine);
    halves(line->decay, how, &grown, &shrunk);
    const cpack up = {grown * cosine, grown * sine}, down = {shrunk * cosine, -(shrunk * sine)};
    const cpack v = load_pair(at + VOLTAGE), drop = scaled(load_pair(at + CURRENT), line->z);
    const cpack a = times(up, plus(v, drop)), b = times(down, minus(v, drop));
    store_pair(at + VOLTAGE, plus(a, b));
    store_pair(at + CURRENT, scaled(minus(a, b), line->y));
}

/* Y = tanh(theta) / Z0 open, coth(theta) / Z0 shorted. */
FL_PACKED void pass_stub(double *at, const section *line, line_use use, decaying how, reach far)
{
    pack sine, cosine, even, odd;
    turn(line->phase, far, &sine, &cosine);
    grow(line->decay, how, &even, &odd);
    const cpack cosh_of = {even * cosine, odd * sine}, sinh_of = {odd * cosine, even * sine};
    const cpack top = use == LINE_OPEN ? sinh_of : cosh_of;
    const cpack bottom = use == LINE_OPEN ? cosh_of : sinh_of;
    const pack scale = line->y / (bottom.re * bottom.re + bottom.im * bottom.im);
    const cpack conjugate = {bottom.re, -bottom.im};
    take(at + CURRENT, at + VOLTAGE, scaled(times(top, conjugate), scale));
}

FL_PACKED void pass(double *at, const section *line, line_use use, decaying how, reach far)
{
    if (use != LINE_THROUGH)
        pass_stub(at, line, use, how, far);
    else if (how == DECAY_NONE)
        pass_lossless(at, line, far);
    else
        pass_line(at, line, how, far);
}

/* Uniform lines at all nodes; use, how and far are constants where this is called. */
FL_PACKED void take_lines(double *state, const double *values, const fl_nodes *nodes, line_use use,
                          decaying how, reach far)
{
    for (size_t i = 0; i < FL_LANES; i += FL_WIDTH) {
        section line = {.z = load(values + i)};
        const pack decay = load(values + FL_LANES + i), delay = load(values + THIRD + i);
        line.y = same(1.0) / line.z;
        for (size_t n = 0; n < nodes->count; n++) {
            line.decay = same(nodes->root[n]) * decay;
            line.phase = same(nodes->omega[n]) * delay;
            pass(state + n * FL_WAVE + i, &line, use, how, far);
        }
    }
}

FL_PACKED double most_of(const double *values, size_t count)
{
    double most = 0.0;
    for (size_t i = 0; i < count; i++)
        most = values[i] > most ? values[i] : most;
    return most;
}

/* Those that are common are compiled apart, so that their loops have no branch: short pieces of a
 * wire or lead, lines of a board, and lossless ones. */
FL_PACKED void use_lines(double *state, const double *values, const fl_nodes *nodes, line_use use)
{
    const decaying how =
        decaying_of(largest(values + FL_LANES) * most_of(nodes->root, nodes->count));
    const reach far = reach_of(largest(values + THIRD) * most_of(nodes->omega, nodes->count));
    if (how == DECAY_TINY && far == REACH_TINY)
        take_lines(state, values, nodes, use, DECAY_TINY, REACH_TINY);
    else if (how == DECAY_TINY && far == REACH_SHORT)
        take_lines(state, values, nodes, use, DECAY_TINY, REACH_SHORT);
    else if (how == DECAY_NONE && far <= REACH_SHORT)
        take_lines(state, values, nodes, use, DECAY_NONE, REACH_SHORT);
    else if (how == DECAY_NONE && far <= REACH_TURNS)
        take_lines(state, values, nodes, use, DECAY_NONE, REACH_TURNS);
    else if (how <= DECAY_SHORT && far <= REACH_EIGHTH)
        take_lines(state, values, nodes, use, DECAY_SHORT, REACH_EIGHTH);
    else if (how <= DECAY_SHORT && far <= REACH_TURNS)
        take_lines(state, values, nodes, use, DECAY_SHORT, REACH_TURNS);
    else if (far <= REACH_TURNS)
        take_lines(state, values, nodes, use, DECAY_ANY, REACH_TURNS);
    else
        take_lines(state, values, nodes, use, DECAY_ANY, REACH_FAR);
}

static void step_line(double *state, const double *values, const fl_nodes *nodes)
{
    use_lines(state, values, nodes, LINE_THROUGH);
}

static void step_open_stub(double *state, const double *values, const fl_nodes *nodes)
{
    use_lines(state, values, nodes, LINE_OPEN);
}

static void step_shorted_stub(double *state, const double *values, const fl_nodes *nodes)
{
    use_lines(state, values, nodes, LINE_SHORTED);
}

/* A value at a node from the values at the points of the weights. */
FL_PACKED pack weighted(const double *rows, const fl_nodes *nodes, size_t node)
{
    pack sum = same(0.0);
    for (size_t k = 0; k < nodes->points; k++)
        sum += same(nodes->weights[k * nodes->count + node]) * load(rows + k * FL_LANES);
    return sum;
}

FL_PACKED void take_waves(double *state, const double *values, const fl_nodes *nodes, line_use use,
                          reach far)
{
    const size_t block = nodes->points * FL_LANES;
    for (size_t i = 0; i < FL_LANES; i += FL_WIDTH)
        for (size_t n = 0; n < nodes->count; n++) {
            section line = {.z = weighted(values + i, nodes, n)};
            line.y = same(1.0) / line.z;
            line.phase = same(nodes->omega[n]) * weighted(values + block + i, nodes, n);
            line.decay = same(nodes->root[n]) * weighted(values + 2 * block + i, nodes, n);
            pass(state + n * FL_WAVE + i, &line, use, DECAY_ANY, far);
        }
}

/* The weights of Chebyshev's points sum up to less than 4 in size within the band. */
FL_PACKED void use_waves(double *state, const double *values, const fl_nodes *nodes, line_use use)
{
    double most = 0.0;
    for (size_t k = 0; k < nodes->points; k++) {
        const double found = largest(values + (nodes->points + k) * FL_LANES);
        most = found > most ? found : most;
    }
    if (4.0 * most * most_of(nodes->omega, nodes->count) <= 1e5)
        take_waves(state, values, nodes, use, REACH_TURNS);
    else
        take_waves(state, values, nodes, use, REACH_FAR);
}

static void step_wave(double *state, const double *values, const fl_nodes *nodes)
{
    use_waves(state, values, nodes, LINE_THROUGH);
}

static void step_wave_stub(double *state, const double *values, const fl_nodes *nodes)
{
    use_waves(state, values, nodes, LINE_OPEN);
}

static void step_chain(double *state, const double *fixed, size_t nodes)
{
    for (size_t n = 0; n < nodes; n++) {
        const double *pairs = fixed + 8 * n;
        const cpack a = constant(pairs), b = constant(pairs + 2);
        const cpack c = constant(pairs + 4), d = constant(pairs + 6);
        for (size_t i = 0; i < FL_LANES; i += FL_WIDTH) {
            double *at = state + n * FL_WAVE + i;
            const cpack v = load_pair(at + VOLTAGE), current = load_pair(at + CURRENT);
            store_pair(at + VOLTAGE, plus(times(a, v), times(b, current)));
            store_pair(at + CURRENT, plus(times(c, v), times(d, current)));
        }
    }
}

FL_PACKED void take_fixed(double *state, const double *fixed, size_t nodes, size_t to, size_t from)
{
    for (size_t n = 0; n < nodes; n++) {
        const cpack x = constant(fixed + 2 * n);
        for (size_t i = 0; i < FL_LANES; i += FL_WIDTH)
            take(state + n * FL_WAVE + to + i, state + n * FL_WAVE + from + i, x);
    }
}

static void step_fixed_series(double *state, const double *fixed, size_t nodes)
{
    take_fixed(state, fixed, nodes, VOLTAGE, CURRENT);
}

static void step_fixed_shunt(double *state, const double *fixed, size_t nodes)
{
    take_fixed(state, fixed, nodes, CURRENT, VOLTAGE);
}

#endif
