/** What lines do to waves, on lanes: made once for all nodes of a pack of samples. Private.
 *
 * exp(2 theta) of a line, theta = A root + j w D, at the nodes of a band about its centre: phase
 * and growth at the centre are computed once, and as far as the nodes are off it they turn and grow
 * by short series. Nodes lie by pairs at the same distance from the centre and share the series. */
#ifndef FL_BASE_VECTOR_TURN_H
#define FL_BASE_VECTOR_TURN_H

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

FL_PACKED cpack load_turn(const double *turn)
{
    return (cpack){load(turn), load(turn + FL_PACK_ROOM)};
}

FL_PACKED void store_turn(double *turn, cpack value)
{
    store(turn, value.re);
    store(turn + FL_PACK_ROOM, value.im);
}

/* exp of a small growth, up to 0.01: the next term is below 1e-12. */
FL_PACKED pack grown_slightly(pack x)
{
    const pack sum = (x * same(1.0 / 24.0) + same(1.0 / 6.0)) * x + same(0.5);
    return same(1.0) + x * (same(1.0) + x * sum);
}

/* Up to 0.05: the next term is below 1e-14. */
FL_PACKED pack grown_little(pack x)
{
    pack sum = x * same(1.0 / 5040.0) + same(1.0 / 720.0);
    sum = (sum * x + same(1.0 / 120.0)) * x + same(1.0 / 24.0);
    sum = (sum * x + same(1.0 / 6.0)) * x + same(0.5);
    return same(1.0) + x * (same(1.0) + x * sum);
}

/* Up to 0.02: the next terms are below 1e-13; up to 0.25: below 3e-13. */
FL_PACKED void turned_slightly(pack x, bool very, pack *sine, pack *cosine)
{
    const pack z = x * x;
    pack s = same(1.0 / 120.0), c = same(1.0 / 24.0);
    if (!very) {
        s += z * (z * same(1.0 / 362880.0) + same(-1.0 / 5040.0));
        c += z * (z * same(1.0 / 40320.0) + same(-1.0 / 720.0));
    }
    *sine = x + x * (z * (z * s + same(-1.0 / 6.0)));
    *cosine = same(1.0) + z * (z * c + same(-0.5));
}

/** A line for a pack: twice its decay and delay, and how far it goes at most. */
typedef struct turning {
    pack decay, delay;
    double most_decay, most_delay;
} turning;

/* Both nodes of a pair, the middle one by itself. */
FL_PACKED void turn_pairs(double *turns, const turning *line, const fl_nodes *nodes, bool very)
{
    pack sine, cosine;
    if (line->most_delay * nodes->centre <= 0.785)
        turn_eighth(same(nodes->centre) * line->delay, &sine, &cosine);
    else
        turn_turns(same(nodes->centre) * line->delay, &sine, &cosine);
    const pack decay = same(nodes->root_centre) * line->decay;
    const pack growth =
        line->most_decay * nodes->root_centre <= 0.05 ? grown_little(decay) : power_of_e(decay);
    sine *= growth;
    cosine *= growth;
    for (size_t k = 0; 2 * k < nodes->count; k++) {
        const size_t other = nodes->count - 1 - k;
        pack s, c;
        turned_slightly(same(nodes->offset[other]) * line->delay, very, &s, &c);
        const pack up = grown_slightly(same(nodes->root_offset[other]) * line->decay);
        const pack down = grown_slightly(same(nodes->root_offset[k]) * line->decay);
        const pack cc = cosine * c, ss = sine * s, sc = sine * c, cs = cosine * s;
        store_turn(turns + other * FL_TURN_ROOM, (cpack){up * (cc - ss), up * (sc + cs)});
        store_turn(turns + k * FL_TURN_ROOM, (cpack){down * (cc + ss), down * (sc - cs)});
    }
}

/* Each node by itself. */
FL_PACKED void turn_nodes(double *turns, const turning *line, const fl_nodes *nodes, reach far)
{
    for (size_t n = 0; n < nodes->count; n++) {
        pack sine, cosine;
        turn(same(nodes->omega[n]) * line->delay, far, &sine, &cosine);
        const pack growth = power_of_e(same(nodes->root[n]) * line->decay);
        store_turn(turns + n * FL_TURN_ROOM, (cpack){growth * cosine, growth * sine});
    }
}

/* exp(2 theta) at all nodes. */
FL_PACKED void turn_line(double *turns, const turning *line, const fl_nodes *nodes)
{
    const double off = line->most_delay * nodes->most_offset;
    const bool far = line->most_delay * nodes->most_omega > 1e5;
    const bool grows = !(line->most_decay * nodes->most_root_offset <= 0.01);
    if (far)
        turn_nodes(turns, line, nodes, REACH_FAR);
    else if (grows || !(off <= 0.25))
        turn_nodes(turns, line, nodes, REACH_TURNS);
    else if (off <= 0.02)
        turn_pairs(turns, line, nodes, true);
    else
        turn_pairs(turns, line, nodes, false);
}

/* From e = exp(2 theta) to Y = (e - 1) / (e + 1) / Z0 of an open stub, and its inverse of a shorted
 * one: (e - 1)(e + 1)* = |e|^2 - 1 + 2 j Im e. Below zero decay nothing is told from rounding. */
FL_PACKED cpack stub_of(cpack e, pack y, bool open)
{
    const pack square = e.re * e.re + e.im * e.im, twice = same(2.0) * e.re, one = same(1.0);
    const pack bottom = open ? (square + one) + twice : (square + one) - twice;
    const pack scale = y / bottom;
    const pack across = same(2.0) * e.im * scale;
    return (cpack){(square - one) * scale, open ? across : -across};
}

FL_PACKED void turn_stub(double *turns, const turning *line, const fl_nodes *nodes, pack y,
                         bool open)
{
    turn_line(turns, line, nodes);
    for (size_t n = 0; n < nodes->count; n++) {
        double *at = turns + n * FL_TURN_ROOM;
        store_turn(at, stub_of(load_turn(at), y, open));
    }
}

/* A value at a node from the values at the points of the weights. */
FL_PACKED pack weighted(const double *rows, const fl_nodes *nodes, size_t node)
{
    pack sum = same(0.0);
    for (size_t k = 0; k < nodes->points; k++)
        sum += same(nodes->weights[k * nodes->count + node]) * load(rows + k * FL_LANES);
    return sum;
}

/** What the turn of a dispersive line at a node holds besides: its impedance and one over it, and
 * twice its phase and its decay. */
enum { WAVE_Z = 2 * FL_PACK_ROOM, WAVE_Y = 3 * FL_PACK_ROOM };
enum { WAVE_PHASE = 4 * FL_PACK_ROOM, WAVE_DECAY = 5 * FL_PACK_ROOM };

/** Largest sizes in all lanes: of the phases as they differ from that at the middle node, and of
 * the decays. */
typedef struct wave_reach {
    pack off, decay;
} wave_reach;

FL_PACKED wave_reach fill_wave(double *turns, const fl_leg *leg, const fl_nodes *nodes, size_t lane)
{
    const size_t block = nodes->points * FL_LANES;
    const double *rows = leg->values + lane, *middle = turns + nodes->count / 2 * FL_TURN_ROOM;
    wave_reach most = {same(0.0), same(0.0)};
    for (size_t n = 0; n < nodes->count; n++) {
        double *at = turns + n * FL_TURN_ROOM;
        const pack z = weighted(rows, nodes, n);
        const pack decay = same(2.0 * nodes->root[n]) * weighted(rows + 2 * block, nodes, n);
        store(at + WAVE_Z, z);
        store(at + WAVE_Y, same(1.0) / z);
        store(at + WAVE_PHASE, same(2.0 * nodes->omega[n]) * weighted(rows + block, nodes, n));
        store(at + WAVE_DECAY, decay);
        most.decay = larger(size_of(decay), most.decay);
    }
    for (size_t n = 0; n < nodes->count; n++) {
        const pack off = load(turns + n * FL_TURN_ROOM + WAVE_PHASE) - load(middle + WAVE_PHASE);
        most.off = larger(size_of(off), most.off);
    }
    return most;
}

FL_PACKED bool all_within(pack sizes, double most)
{
    return bits_of((mask)(sizes <= same(most))) == fl_first_lanes(FL_WIDTH);
}

/* Far about the middle node each node turns by itself; close by it turns on from there. */
FL_PACKED void turn_wave(double *turns, const fl_nodes *nodes, const wave_reach *most, reach far)
{
    const bool close = all_within(most->off, 0.25), weak = all_within(most->decay, 0.05);
    const pack middle = load(turns + nodes->count / 2 * FL_TURN_ROOM + WAVE_PHASE);
    pack sine, cosine;
    turn(middle, far, &sine, &cosine);
    for (size_t n = 0; n < nodes->count; n++) {
        double *at = turns + n * FL_TURN_ROOM;
        const pack phase = load(at + WAVE_PHASE), decay = load(at + WAVE_DECAY);
        const pack growth = weak ? grown_little(decay) : power_of_e(decay);
        pack s, c;
        if (close) {
            turned_slightly(phase - middle, false, &s, &c);
            store_turn(at, scaled(times((cpack){cosine, sine}, (cpack){c, s}), growth));
        } else {
            turn(phase, far, &s, &c);
            store_turn(at, scaled((cpack){c, s}, growth));
        }
    }
}

/* exp(2 theta) of a dispersive line; or the admittance of a stub. The weights of Chebyshev's points
 * sum up to less than 4 in size within the band. */
FL_PACKED void turn_waves(double *turns, const fl_leg *leg, const fl_nodes *nodes, size_t lane)
{
    const wave_reach most = fill_wave(turns, leg, nodes, lane);
    if (8.0 * leg->most_delay * nodes->most_omega <= 1e5)
        turn_wave(turns, nodes, &most, REACH_TURNS);
    else
        turn_wave(turns, nodes, &most, REACH_FAR);
    if (leg->kind == FL_LEG_WAVE)
        return;
    for (size_t n = 0; n < nodes->count; n++) {
        double *at = turns + n * FL_TURN_ROOM;
        store_turn(at, stub_of(load_turn(at), load(at + WAVE_Y), true));
    }
}

/* Whether all lanes of a row are the same. */
FL_PACKED bool steady(const double *row)
{
    mask other = FL_SAME(mask, 0);
    for (size_t i = 0; i < FL_LANES; i += FL_WIDTH)
        other |= (mask)(load(row + i) != same(row[0]));
    return bits_of(other) == 0;
}

FL_PACKED bool equal(const double *a, const double *b)
{
    mask other = FL_SAME(mask, 0);
    for (size_t i = 0; i < FL_LANES; i += FL_WIDTH)
        other |= (mask)(load(a + i) != load(b + i));
    return bits_of(other) == 0;
}

FL_PACKED bool alike(const fl_leg *a, const fl_leg *b)
{
    const size_t decay = FL_LANES, delay = (size_t)2 * FL_LANES;
    return b->kind == FL_LEG_LINE && a->times == b->times &&
           equal(a->values + decay, b->values + decay) &&
           equal(a->values + delay, b->values + delay);
}

/* A line that turns as one before it borrows its turns. */
FL_PACKED void prepare_line(const fl_route *own, size_t k)
{
    fl_leg *leg = &own->legs[k];
    leg->most_decay = 2.0 * leg->times * largest(leg->values + FL_LANES);
    leg->most_delay = 2.0 * leg->times * largest(leg->values + (size_t)2 * FL_LANES);
    leg->source = k;
    for (size_t before = 0; leg->kind == FL_LEG_LINE && before < k; before++)
        if (alike(leg, &own->legs[before])) {
            leg->source = own->legs[before].source;
            break;
        }
    leg->mode = steady(leg->values + FL_LANES) && steady(leg->values + (size_t)2 * FL_LANES)
                    ? FL_MODE_SIMPLE
                    : FL_MODE_FULL;
    leg->turns = own->scratch + leg->source * own->room;
    leg->inverse = own->scratch + k * own->room + own->room - FL_PACK_ROOM;
}

/* What all lanes of the block decide together: which formulas do. */
FL_PACKED void prepare_legs(const fl_route *own, const fl_nodes *nodes)
{
    for (size_t k = 0; k < own->leg_count; k++) {
        fl_leg *leg = &own->legs[k];
        leg->mode = FL_MODE_FULL;
        if (leg->kind == FL_LEG_SERIES && largest(leg->values + (size_t)2 * FL_LANES) == 0.0)
            leg->mode = FL_MODE_SIMPLE;
        if (leg->kind == FL_LEG_CAPACITOR) {
            const double lag = largest(leg->values + FL_LANES) * nodes->most_omega;
            leg->mode = lag == 0.0          ? FL_MODE_SIMPLE
                        : lag * lag <= 1e-3 ? FL_MODE_SERIES
                                            : FL_MODE_FULL;
        }
        if (leg->kind == FL_LEG_LINE || leg->kind == FL_LEG_OPEN_STUB ||
            leg->kind == FL_LEG_SHORTED_STUB)
            prepare_line(own, k);
        if (leg->kind == FL_LEG_WAVE || leg->kind == FL_LEG_WAVE_STUB) {
            leg->turns = own->scratch + k * own->room;
            leg->most_delay = 0.0;
            for (size_t p = 0; p < nodes->points; p++)
                leg->most_delay =
                    fmax(leg->most_delay, largest(leg->values + (nodes->points + p) * FL_LANES));
        }
    }
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

/* Turns of all lines for one pack; those that are the same in all lanes stay from the first. */
FL_PACKED void fill_turns(const fl_route *own, const fl_nodes *nodes, size_t lane)
{
    for (size_t k = 0; k < own->leg_count; k++) {
        const fl_leg *leg = &own->legs[k];
        if (leg->kind == FL_LEG_WAVE || leg->kind == FL_LEG_WAVE_STUB)
            turn_waves(leg->turns, leg, nodes, lane);
        if (leg->kind != FL_LEG_LINE && leg->kind != FL_LEG_OPEN_STUB &&
            leg->kind != FL_LEG_SHORTED_STUB)
            continue;
        const pack twice = same(2.0 * leg->times), y = same(1.0) / load(leg->values + lane);
        const turning line = {.decay = twice * load(leg->values + FL_LANES + lane),
                              .delay = twice * load(leg->values + (size_t)2 * FL_LANES + lane),
                              .most_decay = leg->most_decay,
                              .most_delay = leg->most_delay};
        store(leg->inverse, y);
        if (leg->kind != FL_LEG_LINE)
            turn_stub(leg->turns, &line, nodes, y, leg->kind == FL_LEG_OPEN_STUB);
        else if (leg->source == k && (lane == 0 || leg->mode != FL_MODE_SIMPLE))
            turn_line(leg->turns, &line, nodes);
    }
    if (own->sized)
        fill_left_out(own, nodes, lane);
}

#endif
