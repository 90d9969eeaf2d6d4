/** The march on lanes: waves go through a path, a pack of samples at a time. Private: see vector.h.
 *
 * A pack of samples goes through all legs at a few nodes with its voltages and currents in
 * registers. What of a leg depends on the pack or on the node alone was made before. */
#ifndef FL_BASE_VECTOR_MARCH_H
#define FL_BASE_VECTOR_MARCH_H

#include "base/vector_leg.h"

/** Voltage and scaled current at one node: see vector_leg.h. */
typedef struct wave {
    cpack v, j;
} wave;

/** Where the march is: which samples, from which node on. */
typedef struct place {
    const fl_route *march;
    const fl_nodes *nodes;
    size_t lane, node;
} place;

/** A leg at a node: what it has for the pack, and what for the node too. */
typedef struct passing {
    const fl_leg *leg;
    const double *factors, *turn;
    size_t node;
    double omega;
} passing;

FL_PACKED pack factor_of(const passing *at, size_t row)
{
    return load(at->factors + row * FL_PACK_ROOM);
}

FL_PACKED void pass_series(wave *w, const passing *at)
{
    cpack x = {factor_of(at, 0), same(at->omega) * factor_of(at, 1)};
    if (at->leg->mode != FL_MODE_SIMPLE)
        x.im -= factor_of(at, 2) * same(1.0 / at->omega);
    w->v = plus_times(w->v, x, w->j);
}

FL_PACKED void pass_branch(wave *w, const passing *at)
{
    const pack resistance = factor_of(at, 0), reactance = same(at->omega) * factor_of(at, 1);
    const pack scale = same(1.0) / (resistance * resistance + reactance * reactance);
    const cpack x = {resistance * scale, -reactance * scale};
    w->j = plus_times(w->j, x, w->v);
}

/* The square of a small lag is below 1e-3: 1 / (1 + z) = 1 - z + z^2 - z^3 + z^4 up to 1e-15. */
FL_PACKED void pass_capacitor(wave *w, const passing *at)
{
    const pack omega = same(at->omega), one = same(1.0);
    const pack susceptance = omega * factor_of(at, 0);
    if (at->leg->mode == FL_MODE_FIRST) {
        w->j = plus(w->j, scaled(constant(at->leg->turns + 2 * at->node), factor_of(at, 0)));
        return;
    }
    if (at->leg->mode == FL_MODE_SIMPLE) {
        w->j = plus_turned(w->j, susceptance, w->v);
        return;
    }
    if (at->leg->mode == FL_MODE_USUAL) {
        const cpack usual = constant(at->leg->fixed + 2 * at->node);
        w->j = plus_times(w->j, scaled(usual, factor_of(at, 0)), w->v);
        return;
    }
    const pack lag = omega * factor_of(at, 1), z = lag * lag;
    const pack scale = at->leg->mode == FL_MODE_SERIES
                           ? susceptance * (one - z * (one - z * (one - z * (one - z))))
                           : susceptance / (one + z);
    const cpack x = {scale * lag, scale};
    w->j = plus_times(w->j, x, w->v);
}

/* The waves a = V + Z0 I and b = V - Z0 I are multiplied by exp(theta) and exp(-theta). Only one of
 * them turns here, by exp(2 theta): what is left out, 2 exp(theta), is the same for V and I. */
FL_PACKED void pass_turn(wave *w, cpack turn, pack z)
{
    const cpack drop = scaled_apart(w->j, z), b = minus(w->v, drop);
    const cpack a = times(turn, plus(w->v, drop));
    w->v = plus(a, b);
    w->j = minus(a, b);
}

FL_PACKED void pass_line(wave *w, const passing *at)
{
    pass_turn(w, load_turn(at->turn), factor_of(at, 0));
}

/* V' = (e + 1) V, I' = (e + 1) I + y (e - 1) V with e = exp(2 theta): the admittance times what
 * would be below it, which V has too. So resonance is no pole. */
FL_PACKED void pass_open(wave *w, cpack e, pack y)
{
    const cpack drawn = scaled_apart(w->v, y);
    w->j = plus_times(minus(w->j, drawn), e, plus(w->j, drawn));
    w->v = plus_times(w->v, e, w->v);
}

FL_PACKED void pass_open_stub(wave *w, const passing *at)
{
    pass_open(w, load_turn(at->turn), factor_of(at, 0));
}

/* The same with e - 1 and e + 1 exchanged. */
FL_PACKED void pass_shorted_stub(wave *w, const passing *at)
{
    const cpack e = load_turn(at->turn), drawn = scaled_apart(w->v, factor_of(at, 0));
    w->j = minus_times(minus(w->j, drawn), e, plus(w->j, drawn));
    w->v = minus_times(w->v, e, w->v);
}

/* A line whose impedance is another one at each node: behind it the current is not scaled. */
FL_PACKED void pass_wave(wave *w, const passing *at)
{
    const pack z = load(at->turn + WAVE_Z), y = load(at->turn + WAVE_Y);
    pass_turn(w, load_turn(at->turn), z * factor_of(at, 0));
    w->j = scaled(w->j, y);
}

FL_PACKED void pass_wave_stub(wave *w, const passing *at)
{
    pass_open(w, load_turn(at->turn), load(at->turn + WAVE_Y) * factor_of(at, 0));
}

FL_PACKED void pass_chain(wave *w, const passing *at)
{
    const double *pairs = at->leg->fixed + 8 * at->node;
    const cpack v = w->v, i = scaled(w->j, factor_of(at, 0));
    w->v = plus_times(times(constant(pairs), v), constant(pairs + 2), i);
    w->j = plus_times(times(constant(pairs + 4), v), constant(pairs + 6), i);
}

/* a + x b of something the same in all lanes. */
FL_PACKED cpack plus_fixed(cpack a, const passing *at, cpack b)
{
    const double *x = at->leg->fixed + 2 * at->node;
    if (at->leg->mode == FL_MODE_SIMPLE)
        return plus_turned(a, same(x[1]) * factor_of(at, 0), b);
    return plus_times(a, scaled(constant(x), factor_of(at, 0)), b);
}

FL_PACKED void pass_fixed_series(wave *w, const passing *at)
{
    w->v = plus_fixed(w->v, at, w->j);
}

FL_PACKED void pass_fixed_shunt(wave *w, const passing *at)
{
    w->j = plus_fixed(w->j, at, w->v);
}

FL_PACKED wave begin_at(const place *at, size_t k)
{
    const double *start = at->march->start + 4 * (at->node + k);
    return (wave){constant(start), constant(start + 2)};
}

/* |g|^2 |V + x I|^2 */
FL_PACKED pack squared(const wave *w, const double *x, const double *factor)
{
    const cpack sum = plus_times(w->v, constant(x), w->j);
    return same(*factor) * (sum.re * sum.re + sum.im * sum.im);
}

FL_PACKED void end_at(const wave *w, const place *at, size_t k, pack y)
{
    const size_t node = at->node + k, to = node * FL_LANES + at->lane;
    const double *end = at->march->end + FL_END * node;
    const wave last = {w->v, scaled(w->j, y)};
    pack reflected = squared(&last, end, end + 4), arrived = squared(&last, end + 2, end + 5);
    if (at->march->sized) {
        const pack left_out = load(at->march->left_out + node * FL_PACK_ROOM);
        reflected *= left_out;
        arrived *= left_out;
    }
    store(at->march->reflected + to, reflected);
    store(at->march->arrived + to, arrived);
}

FL_PACKED passing passing_of(const fl_leg *leg, const place *at, size_t k)
{
    const size_t node = at->node + k;
    return (passing){leg, leg->factors, leg->turns + node * FL_TURN_ROOM, node,
                     at->nodes->omega[node]};
}

/* One leg at each of the nodes in hand. */
#define FL_PASS(step)                                                                              \
    step(&w[0], &to[0]);                                                                           \
    if (count > 1)                                                                                 \
        step(&w[1], &to[1]);                                                                       \
    if (count > 2)                                                                                 \
        step(&w[2], &to[2]);                                                                       \
    break

FL_PACKED void pass_leg(wave w[3], const fl_leg *leg, const place *at, size_t count)
{
    const passing to[] = {passing_of(leg, at, 0), passing_of(leg, at, count > 1 ? 1 : 0),
                          passing_of(leg, at, count > 2 ? 2 : 0)};
    switch (leg->kind) {
    case FL_LEG_SERIES:
        FL_PASS(pass_series);
    case FL_LEG_BRANCH:
        FL_PASS(pass_branch);
    case FL_LEG_CAPACITOR:
        FL_PASS(pass_capacitor);
    case FL_LEG_LINE:
        FL_PASS(pass_line);
    case FL_LEG_WAVE:
        FL_PASS(pass_wave);
    case FL_LEG_OPEN_STUB:
        FL_PASS(pass_open_stub);
    case FL_LEG_SHORTED_STUB:
        FL_PASS(pass_shorted_stub);
    case FL_LEG_WAVE_STUB:
        FL_PASS(pass_wave_stub);
    case FL_LEG_CHAIN:
        FL_PASS(pass_chain);
    case FL_LEG_FIXED_SERIES:
        FL_PASS(pass_fixed_series);
    case FL_LEG_FIXED_SHUNT:
        FL_PASS(pass_fixed_shunt);
    }
}

/* So many nodes, a constant where this is put in place. No loop over them: the waves would not stay
 * in registers. */
FL_PACKED void pass_legs(const place *at, pack y, size_t count)
{
    wave w[3] = {begin_at(at, 0), begin_at(at, count > 1 ? 1 : 0), begin_at(at, count > 2 ? 2 : 0)};
    for (size_t k = 0; k < at->march->leg_count; k++)
        pass_leg(w, &at->march->legs[k], at, count);
    end_at(&w[0], at, 0, y);
    if (count > 1)
        end_at(&w[1], at, 1, y);
    if (count > 2)
        end_at(&w[2], at, 2, y);
}

/* Nodes in hand are independent, which hides the time of one operation behind the others. Three
 * fill the registers of the widest vectors, two those of the others; one would wait. */
FL_PACKED size_t nodes_together(size_t left)
{
    if (FL_WIDTH < 8)
        return left > 1 ? 2 : 1;
    return left > 4 || left == 3 ? 3 : left > 1 ? 2 : 1;
}

static void march(const fl_route *own, const fl_nodes *nodes)
{
    prepare_legs(own, nodes);
    for (size_t lane = 0; lane < FL_LANES; lane += FL_WIDTH) {
        const pack y = fill_legs(own, nodes, lane);
        size_t some;
        for (size_t n = 0; n < nodes->count; n += some) {
            const place at = {own, nodes, lane, n};
            some = nodes_together(nodes->count - n);
            if (some == 3)
                pass_legs(&at, y, 3);
            else if (some == 2)
                pass_legs(&at, y, 2);
            else
                pass_legs(&at, y, 1);
        }
    }
}

#endif
