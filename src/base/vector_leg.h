/** Legs of a march before it: which formulas do for a block, and what of a leg is the same at all
 * nodes, made once a pack. Private: see vector.h.
 *
 * The current of the march is not I but J = z I, z the impedance of the line that was last passed:
 * so a line ends without a product. What multiplies I or V in a leg is scaled for it here. */
#ifndef FL_BASE_VECTOR_LEG_H
#define FL_BASE_VECTOR_LEG_H

#include "base/vector_turn.h"

/** What the lanes of a row lie between, by packs; lanes that are not a number are passed over. */
typedef struct range {
    pack low, high;
} range;

FL_PACKED range range_of(const double *row)
{
    range own = {same(HUGE_VAL), same(-HUGE_VAL)};
    for (size_t i = 0; i < FL_LANES; i += FL_WIDTH) {
        own.low = smaller(load(row + i), own.low);
        own.high = larger(load(row + i), own.high);
    }
    return own;
}

FL_PACKED bool all_of(mask m)
{
    return bits_of(m) == fl_first_lanes(FL_WIDTH);
}

/* Whether no lane is farther from a number than so much, times a factor. */
FL_PACKED bool within(range own, double from, double factor, double most)
{
    const pack high = same(factor) * (own.high - same(from)), limit = same(most);
    const pack low = same(factor) * (same(from) - own.low);
    return all_of((mask)(high <= limit) & (mask)(low <= limit));
}

FL_PACKED bool equal(const double *a, const double *b)
{
    mask other = FL_SAME(mask, 0);
    if (a[0] != b[0])
        return false;
    for (size_t i = 0; i < FL_LANES; i += FL_WIDTH)
        other |= (mask)(load(a + i) != load(b + i));
    return bits_of(other) == 0;
}

FL_PACKED bool is_line(const fl_leg *leg)
{
    return leg->kind == FL_LEG_LINE || leg->kind == FL_LEG_OPEN_STUB ||
           leg->kind == FL_LEG_SHORTED_STUB;
}

FL_PACKED bool alike(const fl_leg *a, const fl_leg *b)
{
    const size_t decay = FL_LANES, delay = (size_t)2 * FL_LANES;
    return is_line(b) && a->times == b->times && equal(a->values + delay, b->values + delay) &&
           equal(a->values + decay, b->values + decay);
}

/* How far the nodes turn and grow off the centre, in twice so many lines. */
FL_PACKED fl_leg_turn turn_of(range decay, range delay, double twice, const fl_nodes *nodes)
{
    const double off = twice * nodes->most_offset, growth = twice * nodes->most_root_offset;
    if (within(delay, 0.0, off, turn_some) && within(decay, 0.0, growth, grow_few))
        return within(delay, 0.0, off, turn_few) ? FL_TURN_FEW : FL_TURN_SOME;
    if (within(delay, 0.0, off, turn_more) && within(decay, 0.0, growth, grow_more))
        return FL_TURN_MORE;
    return within(delay, 0.0, twice * nodes->most_omega, 1e5) ? FL_TURN_ANY : FL_TURN_FAR;
}

/* A line that turns as one before it borrows its turns. */
FL_PACKED void prepare_line(const fl_route *own, const fl_nodes *nodes, size_t k)
{
    fl_leg *leg = &own->legs[k];
    const double *rows = leg->values, twice = 2.0 * leg->times;
    const range decay = range_of(rows + FL_LANES), delay = range_of(rows + (size_t)2 * FL_LANES);
    leg->turn = turn_of(decay, delay, twice, nodes);
    leg->near = within(delay, leg->usual.delay, twice * nodes->centre, turn_some) &&
                within(decay, leg->usual.decay, twice * nodes->root_centre, grow_few);
    leg->steady = within(delay, rows[(size_t)2 * FL_LANES], 1.0, 0.0) &&
                  within(decay, rows[FL_LANES], 1.0, 0.0);
    leg->source = k;
    for (size_t before = 0; before < k; before++)
        if (alike(leg, &own->legs[before])) {
            leg->source = own->legs[before].source;
            break;
        }
    leg->turns = own->scratch + leg->source * fl_leg_room(nodes->count);
}

FL_PACKED void prepare_wave(fl_leg *leg, const fl_nodes *nodes)
{
    leg->most_delay = 0.0;
    for (size_t p = 0; p < nodes->points; p++)
        leg->most_delay =
            fmax(leg->most_delay, largest(leg->values + (nodes->points + p) * FL_LANES));
}

/* The usual lag is that of all lanes but for rounding, if it has no spread. */
FL_PACKED fl_leg_mode capacitor_mode(const fl_leg *leg, const fl_nodes *nodes)
{
    const range lag = range_of(leg->values + FL_LANES);
    if (within(lag, 0.0, 1.0, 0.0))
        return FL_MODE_SIMPLE;
    if (leg->fixed != NULL && within(lag, leg->usual.delay, 1.0, 1e-14 * leg->usual.delay))
        return FL_MODE_USUAL;
    return within(lag, 0.0, nodes->most_omega, 0.0316) ? FL_MODE_SERIES : FL_MODE_FULL;
}

/* A capacitor at the beginning, where the voltage is the same in all lanes: what one farad adds. */
FL_PACKED void prepare_first(const fl_route *own, const fl_nodes *nodes)
{
    fl_leg *leg = &own->legs[0];
    for (size_t n = 0; n < nodes->count; n++) {
        const double *v = own->start + 4 * n, lossless[] = {0.0, nodes->omega[n]};
        const double *x = leg->mode == FL_MODE_USUAL ? leg->fixed + 2 * n : lossless;
        leg->turns[2 * n] = v[0] * x[0] - v[1] * x[1];
        leg->turns[2 * n + 1] = v[0] * x[1] + v[1] * x[0];
    }
    leg->mode = FL_MODE_FIRST;
}

/* Whether what is the same in all lanes is so without a real part. */
FL_PACKED bool is_imaginary(const fl_leg *leg, const fl_nodes *nodes)
{
    bool real = false;
    for (size_t n = 0; n < nodes->count; n++)
        real |= leg->fixed[2 * n] != 0.0;
    return !real;
}

/* What all lanes of the block decide together: which formulas do. */
FL_PACKED void prepare_legs(const fl_route *own, const fl_nodes *nodes)
{
    const size_t room = fl_leg_room(nodes->count);
    for (size_t k = 0; k < own->leg_count; k++) {
        fl_leg *leg = &own->legs[k];
        leg->mode = FL_MODE_FULL;
        leg->turns = own->scratch + k * room;
        leg->factors = own->scratch + (k + 1) * room - FL_FACTOR_ROOM;
        if (leg->kind == FL_LEG_SERIES &&
            within(range_of(leg->values + (size_t)2 * FL_LANES), 0.0, 1.0, 0.0))
            leg->mode = FL_MODE_SIMPLE;
        if (leg->kind == FL_LEG_CAPACITOR)
            leg->mode = capacitor_mode(leg, nodes);
        if ((leg->kind == FL_LEG_FIXED_SERIES || leg->kind == FL_LEG_FIXED_SHUNT) &&
            is_imaginary(leg, nodes))
            leg->mode = FL_MODE_SIMPLE;
        if (is_line(leg))
            prepare_line(own, nodes, k);
        if (leg->kind == FL_LEG_WAVE || leg->kind == FL_LEG_WAVE_STUB)
            prepare_wave(leg, nodes);
    }
    if (own->leg_count > 0 && own->legs[0].kind == FL_LEG_CAPACITOR &&
        own->legs[0].mode <= FL_MODE_USUAL)
        prepare_first(own, nodes);
}

/* Turns that are the same in all lanes stay from the first pack. */
FL_PACKED void fill_line(const fl_leg *leg, size_t k, const fl_nodes *nodes, size_t lane)
{
    if (leg->source != k || (lane > 0 && leg->steady))
        return;
    const pack twice = same(2.0 * leg->times);
    const turning line = {.decay = twice * load(leg->values + FL_LANES + lane),
                          .delay = twice * load(leg->values + (size_t)2 * FL_LANES + lane),
                          .leg = leg};
    turn_line(leg->turns, &line, nodes);
}

/** The scale of the current, J = z I, and its inverse. */
typedef struct ohms {
    pack z, y;
} ohms;

/* A leg's own factors, for a current of that scale; the scale behind it. */
FL_PACKED ohms fill_leg(const fl_leg *leg, ohms now, size_t lane)
{
    const double *values = leg->values != NULL ? leg->values + lane : NULL;
    double *to = leg->factors;
    const ohms none = {same(1.0), same(1.0)};
    switch (leg->kind) {
    case FL_LEG_SERIES:
        store(to + (size_t)2 * FL_PACK_ROOM, load(values + (size_t)2 * FL_LANES) * now.y);
        /* fall through */
    case FL_LEG_BRANCH:
        store(to, load(values) * now.y);
        store(to + FL_PACK_ROOM, load(values + FL_LANES) * now.y);
        return now;
    case FL_LEG_CAPACITOR:
        store(to, load(values) * now.z);
        store(to + FL_PACK_ROOM, load(values + FL_LANES));
        return now;
    case FL_LEG_LINE:
        store(to, load(values) * now.y);
        return (ohms){load(values), same(1.0) / load(values)};
    case FL_LEG_OPEN_STUB:
    case FL_LEG_SHORTED_STUB:
        store(to, now.z / load(values));
        return now;
    case FL_LEG_WAVE_STUB:
    case FL_LEG_FIXED_SHUNT:
        store(to, now.z);
        return now;
    case FL_LEG_FIXED_SERIES:
        store(to, now.y);
        return now;
    case FL_LEG_WAVE:
    case FL_LEG_CHAIN:
        store(to, now.y);
        return none;
    }
    return none;
}

/* Adds what a dispersive line has decayed at each node to what was left out. */
FL_PACKED void leave_out_wave(const fl_route *own, const fl_leg *leg, const fl_nodes *nodes)
{
    for (size_t n = 0; n < nodes->count; n++) {
        double *sum = own->left_out + n * FL_PACK_ROOM;
        store(sum, load(sum) - load(leg->turns + n * FL_TURN_ROOM + WAVE_DECAY));
    }
}

/* What was left out of all lines of the path: 1 / (4 exp(2 A root)) of a squared wave, each. */
FL_PACKED void fill_left_out(const fl_route *own, const fl_nodes *nodes, size_t lane)
{
    pack decay = same(0.0), factor = same(1.0);
    for (size_t k = 0; k < own->leg_count; k++) {
        const fl_leg *leg = &own->legs[k];
        if (leg->kind == FL_LEG_LINE)
            decay += same(-2.0 * leg->times) * load(leg->values + FL_LANES + lane);
        if (leg->kind == FL_LEG_LINE || leg->kind == FL_LEG_WAVE)
            factor *= same(0.25);
    }
    for (size_t n = 0; n < nodes->count; n++)
        store(own->left_out + n * FL_PACK_ROOM, same(nodes->root[n]) * decay);
    for (size_t k = 0; k < own->leg_count; k++)
        if (own->legs[k].kind == FL_LEG_WAVE)
            leave_out_wave(own, &own->legs[k], nodes);
    for (size_t n = 0; n < nodes->count; n++) {
        double *at = own->left_out + n * FL_PACK_ROOM;
        store(at, factor * power_of_e(load(at)));
    }
}

/* A stub multiplied both by exp(2 theta) + 1, or - 1 if it is shorted. */
FL_PACKED void leave_out_stub(const fl_route *own, const fl_leg *leg, const fl_nodes *nodes)
{
    const pack one = same(leg->kind == FL_LEG_SHORTED_STUB ? -1.0 : 1.0);
    for (size_t n = 0; n < nodes->count; n++) {
        double *at = own->left_out + n * FL_PACK_ROOM;
        const cpack e = load_turn(leg->turns + n * FL_TURN_ROOM);
        const pack re = e.re + one;
        store(at, load(at) / (re * re + e.im * e.im));
    }
}

FL_PACKED void leave_out_stubs(const fl_route *own, const fl_nodes *nodes)
{
    for (size_t k = 0; k < own->leg_count; k++) {
        const fl_leg_kind kind = own->legs[k].kind;
        if (kind == FL_LEG_OPEN_STUB || kind == FL_LEG_SHORTED_STUB || kind == FL_LEG_WAVE_STUB)
            leave_out_stub(own, &own->legs[k], nodes);
    }
}

/* All legs for one pack; returns the inverse scale of the current behind them. */
FL_PACKED pack fill_legs(const fl_route *own, const fl_nodes *nodes, size_t lane)
{
    ohms now = {same(1.0), same(1.0)};
    for (size_t k = 0; k < own->leg_count; k++) {
        const fl_leg *leg = &own->legs[k];
        now = fill_leg(leg, now, lane);
        if (is_line(leg))
            fill_line(leg, k, nodes, lane);
        if (leg->kind == FL_LEG_WAVE || leg->kind == FL_LEG_WAVE_STUB)
            turn_waves(leg->turns, leg, nodes, lane);
    }
    if (own->sized) {
        fill_left_out(own, nodes, lane);
        leave_out_stubs(own, nodes);
    }
    return now.y;
}

#endif
