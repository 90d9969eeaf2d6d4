/** The march on lanes: waves go through a path, a pack of samples at a time. Private: see vector.h.
 *
 * A pack of samples goes through all legs at a few nodes with its voltages and currents in
 * registers. Before, what a line does to a wave at every node is made for the pack, once for lines
 * that turn alike. */
#ifndef FL_BASE_VECTOR_MARCH_H
#define FL_BASE_VECTOR_MARCH_H

#include "base/vector_turn.h"

/** Voltage and current at one node. */
typedef struct wave {
    cpack v, i;
} wave;

/** Where the march is: which samples, at which node. */
typedef struct place {
    const fl_route *march;
    const fl_nodes *nodes;
    size_t lane, node;
} place;

FL_PACKED pack value_of(const fl_leg *leg, size_t row, const place *at)
{
    return load(leg->values + row * FL_LANES + at->lane);
}

FL_PACKED void pass_series(wave *w, const fl_leg *leg, const place *at)
{
    const double omega = at->nodes->omega[at->node];
    cpack x = {value_of(leg, 0, at), same(omega) * value_of(leg, 1, at)};
    if (leg->mode != FL_MODE_SIMPLE)
        x.im -= value_of(leg, 2, at) * same(1.0 / omega);
    w->v = plus(w->v, times(x, w->i));
}

FL_PACKED void pass_branch(wave *w, const fl_leg *leg, const place *at)
{
    const pack resistance = value_of(leg, 0, at);
    const pack reactance = same(at->nodes->omega[at->node]) * value_of(leg, 1, at);
    const pack scale = same(1.0) / (resistance * resistance + reactance * reactance);
    const cpack x = {resistance * scale, -reactance * scale};
    w->i = plus(w->i, times(x, w->v));
}

/* The square of a small lag is below 1e-3: 1 / (1 + z) = 1 - z + z^2 - z^3 + z^4 up to 1e-15. */
FL_PACKED void pass_capacitor(wave *w, const fl_leg *leg, const place *at)
{
    const pack omega = same(at->nodes->omega[at->node]), one = same(1.0);
    const pack susceptance = omega * value_of(leg, 0, at);
    if (leg->mode == FL_MODE_SIMPLE) {
        w->i.re -= susceptance * w->v.im;
        w->i.im += susceptance * w->v.re;
        return;
    }
    const pack lag = omega * value_of(leg, 1, at), z = lag * lag;
    const pack scale = leg->mode == FL_MODE_SERIES
                           ? susceptance * (one - z * (one - z * (one - z * (one - z))))
                           : susceptance / (one + z);
    const cpack x = {scale * lag, scale};
    w->i = plus(w->i, times(x, w->v));
}

/* The waves a = V + Z0 I and b = V - Z0 I are multiplied by exp(theta) and exp(-theta). Only one of
 * them turns here, by exp(2 theta): what is left out, 2 exp(theta), is the same for V and I. */
FL_PACKED void pass_turn(wave *w, cpack turn, pack z, pack y)
{
    const cpack drop = scaled(w->i, z), b = minus(w->v, drop);
    const cpack a = times(turn, plus(w->v, drop));
    w->v = plus(a, b);
    w->i = scaled(minus(a, b), y);
}

FL_PACKED void pass_line(wave *w, const fl_leg *leg, const place *at)
{
    pass_turn(w, load_turn(leg->turns + at->node * FL_TURN_ROOM), value_of(leg, 0, at),
              load(leg->inverse));
}

FL_PACKED void pass_wave(wave *w, const fl_leg *leg, const place *at)
{
    const double *turn = leg->turns + at->node * FL_TURN_ROOM;
    pass_turn(w, load_turn(turn), load(turn + WAVE_Z), load(turn + WAVE_Y));
}

FL_PACKED void pass_stub(wave *w, const fl_leg *leg, const place *at)
{
    w->i = plus(w->i, times(load_turn(leg->turns + at->node * FL_TURN_ROOM), w->v));
}

FL_PACKED void pass_chain(wave *w, const fl_leg *leg, const place *at)
{
    const double *pairs = leg->fixed + 8 * at->node;
    const wave old = *w;
    w->v = plus(times(constant(pairs), old.v), times(constant(pairs + 2), old.i));
    w->i = plus(times(constant(pairs + 4), old.v), times(constant(pairs + 6), old.i));
}

FL_PACKED void pass_fixed_series(wave *w, const fl_leg *leg, const place *at)
{
    w->v = plus(w->v, times(constant(leg->fixed + 2 * at->node), w->i));
}

FL_PACKED void pass_fixed_shunt(wave *w, const fl_leg *leg, const place *at)
{
    w->i = plus(w->i, times(constant(leg->fixed + 2 * at->node), w->v));
}

FL_PACKED wave begin_at(const place *at)
{
    const double *start = at->march->start + 4 * at->node;
    return (wave){constant(start), constant(start + 2)};
}

/* |g|^2 |V + x I|^2 */
FL_PACKED pack squared(const wave *w, const double *x, const double *factor)
{
    const cpack sum = plus(w->v, times(constant(x), w->i));
    return same(*factor) * (sum.re * sum.re + sum.im * sum.im);
}

FL_PACKED void end_at(const wave *w, const place *at)
{
    const double *end = at->march->end + FL_END * at->node;
    const size_t to = at->node * FL_LANES + at->lane;
    pack reflected = squared(w, end, end + 4), arrived = squared(w, end + 2, end + 5);
    if (at->march->sized) {
        const pack left_out = load(at->march->left_out + at->node * FL_PACK_ROOM);
        reflected *= left_out;
        arrived *= left_out;
    }
    store(at->march->reflected + to, reflected);
    store(at->march->arrived + to, arrived);
}

/* One leg at each of the nodes in hand. */
#define FL_PASS(step)                                                                              \
    step(&w[0], leg, &at[0]);                                                                      \
    step(&w[1], leg, &at[1]);                                                                      \
    break

/* The nodes in hand are independent, which hides the time of one operation behind the others. */
FL_PACKED void pass_leg(wave w[2], const fl_leg *leg, const place at[2])
{
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
    case FL_LEG_SHORTED_STUB:
    case FL_LEG_WAVE_STUB:
        FL_PASS(pass_stub);
    case FL_LEG_CHAIN:
        FL_PASS(pass_chain);
    case FL_LEG_FIXED_SERIES:
        FL_PASS(pass_fixed_series);
    case FL_LEG_FIXED_SHUNT:
        FL_PASS(pass_fixed_shunt);
    }
}

static void march(const fl_route *own, const fl_nodes *nodes)
{
    prepare_legs(own, nodes);
    for (size_t lane = 0; lane < FL_LANES; lane += FL_WIDTH) {
        fill_turns(own, nodes, lane);
        for (size_t n = 0; n < nodes->count; n += 2) {
            const size_t next = n + 1 < nodes->count ? n + 1 : n;
            const place at[2] = {{own, nodes, lane, n}, {own, nodes, lane, next}};
            wave w[2] = {begin_at(&at[0]), begin_at(&at[1])};
            for (size_t k = 0; k < own->leg_count; k++)
                pass_leg(w, &own->legs[k], at);
            end_at(&w[0], &at[0]);
            end_at(&w[1], &at[1]);
        }
    }
}

#endif
