/** What lines do to waves, on lanes: made once for all nodes of a pack of samples. Private.
 *
 * exp(2 theta) of a line, theta = A root + j w D, at the nodes of a band about its centre: the turn
 * at the centre is that of usual values, turned and grown a little further by short series, and so
 * are those of the nodes, off the centre by pairs that share the series. What the series leave out
 * is below 5e-12 of a turn each. */
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

/* a + b c, and a - b c: the order lets every product be fused with the sum before it. */
FL_PACKED cpack plus_times(cpack a, cpack b, cpack c)
{
    return (cpack){a.re + b.re * c.re - b.im * c.im, a.im + b.re * c.im + b.im * c.re};
}

FL_PACKED cpack minus_times(cpack a, cpack b, cpack c)
{
    return (cpack){a.re - b.re * c.re + b.im * c.im, a.im - b.re * c.im - b.im * c.re};
}

/* a + j b c */
FL_PACKED cpack plus_turned(cpack a, pack b, cpack c)
{
    return (cpack){a.re - b * c.im, a.im + b * c.re};
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

FL_PACKED cpack scaled_apart(cpack a, pack factor)
{
    return (cpack){apart(a.re * factor), apart(a.im * factor)};
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

/** How many terms a short series takes, and up to which size: what is left out is below 5e-12. */
enum { GROW_FEW = 3, GROW_MORE = FL_GROW_TERMS };
enum { TURN_FEW = 3, TURN_SOME = 4, TURN_MORE = FL_TURN_TERMS };
static const double grow_few = 3e-3, grow_more = 0.08;
static const double turn_few = 0.08, turn_some = 0.22, turn_more = 1.1;

/* first + f[0] x + f[1] x^2 + ... */
FL_PACKED pack series(pack first, const double *f, size_t terms, pack x)
{
    pack sum = same(f[terms - 1]);
    for (size_t i = terms - 1; i-- > 0;)
        sum = sum * x + same(f[i]);
    return sum * x + first;
}

/* exp(j x), up to turn_some. */
FL_PACKED cpack turned_slightly(pack x)
{
    static const double odd[] = {-1.0 / 6.0, 1.0 / 120.0, -1.0 / 5040.0};
    static const double even[] = {-1.0 / 2.0, 1.0 / 24.0, -1.0 / 720.0, 1.0 / 40320.0};
    const pack z = x * x, one = same(1.0);
    return (cpack){series(one, even, TURN_SOME, z), x * series(one, odd, TURN_SOME - 1, z)};
}

/* exp(x), with so many terms. */
FL_PACKED pack grown(pack x, size_t terms)
{
    static const double inverse[] = {1.0,        1.0 / 2.0,   1.0 / 6.0,
                                     1.0 / 24.0, 1.0 / 120.0, 1.0 / 720.0};
    return series(same(1.0), inverse, terms, x);
}

/** A line for a pack: twice its decay and delay, all in a row. */
typedef struct turning {
    pack decay, delay;
    const fl_leg *leg;
} turning;

/* exp(2 theta) at the centre. */
FL_PACKED cpack turn_centre(const turning *line, const fl_nodes *nodes)
{
    const fl_leg *leg = line->leg;
    if (leg->near) {
        const double twice = 2.0 * leg->times;
        const pack decay = line->decay - same(twice * leg->usual.decay);
        const pack delay = line->delay - same(twice * leg->usual.delay);
        const cpack off = turned_slightly(same(nodes->centre) * delay);
        const pack growth = grown(same(nodes->root_centre) * decay, GROW_FEW);
        return scaled(times(constant(leg->usual.turn), off), growth);
    }
    cpack at;
    turn_turns(same(nodes->centre) * line->delay, &at.im, &at.re);
    return scaled(at, power_of_e(same(nodes->root_centre) * line->decay));
}

/* Both nodes of a pair: (cos + j sin) (c +- j s), and as far as each is grown. */
FL_PACKED void turn_pairs(double *turns, const turning *line, const fl_nodes *nodes,
                          size_t turn_terms, size_t grow_terms)
{
    const cpack centre = turn_centre(line, nodes);
    const pack square = line->delay * line->delay, one = same(1.0);
    const double *terms = nodes->series;
    for (size_t k = 0; 2 * k + 1 < nodes->count; k++, terms += FL_PAIR_ROOM) {
        const double *growth = terms + (size_t)2 * FL_TURN_TERMS;
        const pack c = series(one, terms + FL_TURN_TERMS, turn_terms, square);
        const pack s = line->delay * series(same(terms[0]), terms + 1, turn_terms - 1, square);
        const pack up = series(one, growth, grow_terms, line->decay);
        const pack down = series(one, growth + FL_GROW_TERMS, grow_terms, line->decay);
        const pack cc = apart(centre.re * c), ss = apart(centre.im * s);
        const pack sc = apart(centre.im * c), cs = apart(centre.re * s);
        double *high = turns + (nodes->count - 1 - k) * FL_TURN_ROOM;
        store_turn(high, scaled((cpack){cc - ss, sc + cs}, up));
        store_turn(turns + k * FL_TURN_ROOM, scaled((cpack){cc + ss, sc - cs}, down));
    }
    if (nodes->count % 2 == 1)
        store_turn(turns + nodes->count / 2 * FL_TURN_ROOM, centre);
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
    switch (line->leg->turn) {
    case FL_TURN_FEW:
        turn_pairs(turns, line, nodes, TURN_FEW, GROW_FEW);
        break;
    case FL_TURN_SOME:
        turn_pairs(turns, line, nodes, TURN_SOME, GROW_FEW);
        break;
    case FL_TURN_MORE:
        turn_pairs(turns, line, nodes, TURN_MORE, GROW_MORE);
        break;
    case FL_TURN_ANY:
        turn_nodes(turns, line, nodes, REACH_TURNS);
        break;
    case FL_TURN_FAR:
        turn_nodes(turns, line, nodes, REACH_FAR);
        break;
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
    const bool close = all_within(most->off, turn_some), weak = all_within(most->decay, grow_more);
    const pack middle = load(turns + nodes->count / 2 * FL_TURN_ROOM + WAVE_PHASE);
    cpack turned;
    turn(middle, far, &turned.im, &turned.re);
    for (size_t n = 0; n < nodes->count; n++) {
        double *at = turns + n * FL_TURN_ROOM;
        const pack phase = load(at + WAVE_PHASE), decay = load(at + WAVE_DECAY);
        const pack growth = weak ? grown(decay, GROW_MORE) : power_of_e(decay);
        if (close) {
            store_turn(at, scaled(times(turned, turned_slightly(phase - middle)), growth));
        } else {
            cpack own;
            turn(phase, far, &own.im, &own.re);
            store_turn(at, scaled(own, growth));
        }
    }
}

/* exp(2 theta) of a dispersive line. The weights of Chebyshev's points sum up to less than 4 in
 * size within the band. */
FL_PACKED void turn_waves(double *turns, const fl_leg *leg, const fl_nodes *nodes, size_t lane)
{
    const wave_reach most = fill_wave(turns, leg, nodes, lane);
    if (8.0 * leg->most_delay * nodes->most_omega <= 1e5)
        turn_wave(turns, nodes, &most, REACH_TURNS);
    else
        turn_wave(turns, nodes, &most, REACH_FAR);
}

#endif
