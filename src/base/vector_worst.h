/** From squared waves at the nodes to the worst power of a grid, on lanes. Private: vector.h. */
#ifndef FL_BASE_VECTOR_WORST_H
#define FL_BASE_VECTOR_WORST_H

#include "base/vector_pack.h"

/** The worst so far, of one pack: a power is top over bottom. */
typedef struct worst {
    pack top, bottom, point;
} worst;

/* Better than any power: -1, or 1 / 0. */
FL_PACKED worst worst_begin(bool greatest)
{
    return (worst){same(greatest ? -1.0 : 1.0), same(greatest ? 1.0 : 0.0), same(0.0)};
}

/* Powers are compared by products across, which saves a division a point. */
FL_PACKED void meet(worst *so_far, pack top, pack bottom, pack point, bool greatest)
{
    const pack here = top * so_far->bottom, there = so_far->top * bottom;
    const choice worse = greatest ? greater(here, there) : greater(there, here);
    so_far->top = choose(worse, top, so_far->top);
    so_far->bottom = choose(worse, bottom, so_far->bottom);
    so_far->point = choose(worse, point, so_far->point);
}

/** Values at the nodes, by sums and differences of the pairs. */
typedef struct halved {
    pack even[FL_MOST_NODES / 2], odd[FL_MOST_NODES / 2];
} halved;

/* The middle node, if there is one, is half a pair. */
FL_PACKED void halve(halved *to, const double *rows, size_t nodes)
{
    for (size_t h = 0; h < (nodes + 1) / 2; h++) {
        const pack low = load(rows + h * FL_LANES);
        const pack high = load(rows + (nodes - 1 - h) * FL_LANES);
        const pack half = same(2 * h + 1 == nodes ? 0.5 : 1.0);
        to->even[h] = half * (low + high);
        to->odd[h] = low - high;
    }
}

/** Values at two points of the grid and at those opposite. */
typedef struct four {
    pack low, high, next_low, next_high;
} four;

FL_PACKED four spread(const halved *from, const double *weights, size_t half)
{
    pack even = same(weights[0]) * from->even[0], odd = same(weights[2]) * from->odd[0];
    pack next_even = same(weights[1]) * from->even[0], next_odd = same(weights[3]) * from->odd[0];
    for (size_t h = 1; h < half; h++) {
        weights += 4;
        even += same(weights[0]) * from->even[h];
        next_even += same(weights[1]) * from->even[h];
        odd += same(weights[2]) * from->odd[h];
        next_odd += same(weights[3]) * from->odd[h];
    }
    return (four){even + odd, even - odd, next_even + next_odd, next_even - next_odd};
}

/* NaN where a value at the nodes is not finite, or one below is not positive. */
FL_PACKED pack doubt(const double *top, const double *bottom, size_t nodes)
{
    pack check = same(0.0), least = same(HUGE_VAL);
    for (size_t n = 0; n < nodes; n++) {
        const pack b = load(bottom + n * FL_LANES);
        check += b * same(0.0) + load(top + n * FL_LANES) * same(0.0);
        least = pick((mask)(b < least), b, least);
    }
    return check + pick((mask)(least > same(0.0)), same(0.0), same((double)NAN));
}

FL_PACKED four scales(const double *scale, size_t low, size_t next, size_t last)
{
    return (four){same(scale[low]), same(scale[last - low]), same(scale[next]),
                  same(scale[last - next])};
}

FL_PACKED worst worse_of(worst a, worst b, bool greatest)
{
    meet(&a, b.top, b.bottom, b.point, greatest);
    return a;
}

/* The polynomial top b - t bottom, with t / b the worst so far, is not above 0 where nothing is
 * worse; turned for the least. Where it is convex its largest values are at the ends, which have
 * been met: its second derivative is at least 4 c2 less the sizes of the other coefficients times
 * k^2 (k^2 - 1) / 3, what that of Chebyshev's polynomials reaches [Trefethen2013]. */
FL_PACKED bool ends_are_worst(worst ends, const halved *over, const halved *under,
                              const fl_regrid *lookup, bool greatest)
{
    const size_t half = (lookup->nodes + 1) / 2;
    const pack b = greatest ? ends.bottom : -ends.bottom, t = greatest ? ends.top : -ends.top;
    halved all;
    pack bend = same(0.0);
    for (size_t h = 0; h < half; h++) {
        all.even[h] = over->even[h] * b - under->even[h] * t;
        all.odd[h] = over->odd[h] * b - under->odd[h] * t;
    }
    for (size_t k = 2; k < lookup->nodes; k++) {
        const pack *from = k % 2 == 0 ? all.even : all.odd;
        const double *weights = lookup->chebyshev + (k % 2 * half + k / 2) * half;
        const double square = (double)(k * k);
        pack sum = same(weights[0]) * from[0];
        for (size_t h = 1; h < half; h++)
            sum += same(weights[h]) * from[h];
        bend += k == 2 ? same(4.0) * sum : same(square * (1.0 - square) / 3.0) * size_of(sum);
    }
    return bits_of((mask)(bend >= same(0.0))) == fl_first_lanes(FL_WIDTH);
}

/* Points come by pairs that lie opposite about the middle of the grid, two pairs at a time. Each of
 * the four has a worst of its own, since one alone would wait for each comparison. */
FL_PACKED worst meet_pairs(const double *top, const double *bottom, const fl_regrid *lookup,
                           bool greatest)
{
    const size_t half = (lookup->nodes + 1) / 2, last = lookup->points - 1;
    const double *weights = lookup->matrix;
    worst low = worst_begin(greatest), high = low, next_low = low, next_high = low;
    halved over, under;
    if (top != NULL)
        halve(&over, top, lookup->nodes);
    halve(&under, bottom, lookup->nodes);
    for (size_t g = 0; 2 * g < lookup->points; g += 2, weights += 4 * half) {
        if (g == 2 && top != NULL &&
            ends_are_worst(worse_of(low, high, greatest), &over, &under, lookup, greatest))
            break;
        const size_t next = g < last ? g + 1 : last;
        const four a =
            top != NULL ? spread(&over, weights, half) : scales(lookup->scale, g, next, last);
        const four b = spread(&under, weights, half);
        meet(&low, a.low, b.low, same((double)g), greatest);
        meet(&high, a.high, b.high, same((double)(last - g)), greatest);
        meet(&next_low, a.next_low, b.next_low, same((double)next), greatest);
        meet(&next_high, a.next_high, b.next_high, same((double)(last - next)), greatest);
    }
    return worse_of(worse_of(low, high, greatest), worse_of(next_low, next_high, greatest),
                    greatest);
}

/* The grid are the nodes. */
FL_PACKED worst meet_nodes(const double *top, const double *bottom, const fl_regrid *lookup,
                           bool greatest)
{
    worst found = worst_begin(greatest);
    for (size_t n = 0; n < lookup->nodes; n++)
        meet(&found, top != NULL ? load(top + n * FL_LANES) : same(lookup->scale[n]),
             load(bottom + n * FL_LANES), same((double)n), greatest);
    return found;
}

/* Without a top it is the scale of the grid's points. */
FL_PACKED void worst_of(double *power, double *point, const double *top, const double *bottom,
                        const fl_regrid *lookup, bool greatest)
{
    for (size_t i = 0; i < FL_LANES; i += FL_WIDTH) {
        const double *over = top != NULL ? top + i : NULL, *under = bottom + i;
        const worst found = lookup->matrix != NULL ? meet_pairs(over, under, lookup, greatest)
                                                   : meet_nodes(over, under, lookup, greatest);
        const pack check = doubt(over != NULL ? over : under, under, lookup->nodes);
        store(power + i, found.top / found.bottom + check);
        store(point + i, found.point);
    }
}

static void worst_reflected(double *power, double *point, const double *reflected,
                            const double *arrived, const fl_regrid *lookup)
{
    if (lookup->greatest)
        worst_of(power, point, reflected, arrived, lookup, true);
    else
        worst_of(power, point, reflected, arrived, lookup, false);
}

static void worst_transmitted(double *power, double *point, const double *arrived,
                              const fl_regrid *lookup)
{
    if (lookup->greatest)
        worst_of(power, point, NULL, arrived, lookup, true);
    else
        worst_of(power, point, NULL, arrived, lookup, false);
}

#endif
