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
FL_PACKED void halve(halved *to, const double *rows, size_t nodes, size_t half)
{
    for (size_t h = 0; h < half; h++) {
        const pack low = load(rows + h * FL_LANES);
        const pack high = load(rows + (nodes - 1 - h) * FL_LANES);
        to->even[h] = 2 * h + 1 == nodes ? low : low + high;
        to->odd[h] = low - high;
    }
}

/* Sum of half the nodes, each by its weight; these come in steps. */
FL_PACKED pack weigh(const pack *from, const double *weights, size_t step, size_t half)
{
    pack sum = same(weights[0]) * from[0];
    for (size_t h = 1; h < half; h++)
        sum += same(weights[h * step]) * from[h];
    return sum;
}

/** Values at two points of the grid and at those opposite. */
typedef struct four {
    pack low, high, next_low, next_high;
} four;

FL_PACKED four spread(const halved *from, const double *weights, size_t half)
{
    const pack even = weigh(from->even, weights, 4, half);
    const pack odd = weigh(from->odd, weights + 2, 4, half);
    const pack next_even = weigh(from->even, weights + 1, 4, half);
    const pack next_odd = weigh(from->odd, weights + 3, 4, half);
    return (four){even + odd, even - odd, next_even + next_odd, next_even - next_odd};
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

/* At the ends of the band. */
FL_PACKED worst meet_ends(const halved *over, const halved *under, const fl_regrid *lookup,
                          bool greatest, size_t half)
{
    const double *weights = lookup->matrix;
    const pack a = weigh(over->even, weights, 4, half);
    const pack b = weigh(over->odd, weights + 2, 4, half);
    const pack c = weigh(under->even, weights, 4, half);
    const pack d = weigh(under->odd, weights + 2, 4, half);
    const worst low = {a + b, c + d, same(0.0)};
    const worst high = {a - b, c - d, same((double)(lookup->points - 1))};
    return worse_of(low, high, greatest);
}

/* The polynomial top b - t bottom, with t / b the worst so far, is not above 0 where nothing is
 * worse; turned for the least. Where it is convex its largest values are at the ends, which have
 * been met: its second derivative is at least 4 c2 less the sizes of the other coefficients times
 * k^2 (k^2 - 1) / 3, what that of Chebyshev's polynomials reaches [Trefethen2013]. */
FL_PACKED bool ends_are_worst(pack t, pack b, const halved *over, const halved *under,
                              const fl_regrid *lookup, size_t half)
{
    const double *weights = lookup->bends;
    halved all;
    for (size_t h = 0; h < half; h++) {
        all.even[h] = over->even[h] * b - under->even[h] * t;
        all.odd[h] = over->odd[h] * b - under->odd[h] * t;
    }
    pack bend = weigh(all.even, weights, 1, half);
    for (size_t k = 3; k < lookup->nodes; k++) {
        weights += half;
        bend -= size_of(weigh(k % 2 == 0 ? all.even : all.odd, weights, 1, half));
    }
    return bits_of((mask)(bend >= same(0.0))) == fl_first_lanes(FL_WIDTH);
}

/* Points come by pairs that lie opposite about the middle of the grid, two pairs at a time. Each
 * of the four has a worst of its own, since one alone would wait for each comparison. Not put in
 * place: it is rare, and what others have in registers would be kept in memory for it. */
static __attribute__((noinline)) void meet_pairs(worst *found, const double *top,
                                                 const double *bottom, const fl_regrid *lookup,
                                                 bool greatest)
{
    const size_t half = (lookup->nodes + 1) / 2, last = lookup->points - 1;
    const double *weights = lookup->matrix;
    halved over, under;
    if (top != NULL)
        halve(&over, top, lookup->nodes, half);
    halve(&under, bottom, lookup->nodes, half);
    worst low = worst_begin(greatest), high = low, next_low = low, next_high = low;
    for (size_t g = 0; 2 * g < lookup->points; g += 2, weights += 4 * half) {
        const size_t next = g < last ? g + 1 : last;
        const four a =
            top != NULL ? spread(&over, weights, half) : scales(lookup->scale, g, next, last);
        const four b = spread(&under, weights, half);
        meet(&low, a.low, b.low, same((double)g), greatest);
        meet(&high, a.high, b.high, same((double)(last - g)), greatest);
        meet(&next_low, a.next_low, b.next_low, same((double)next), greatest);
        meet(&next_high, a.next_high, b.next_high, same((double)(last - next)), greatest);
    }
    *found =
        worse_of(worse_of(low, high, greatest), worse_of(next_low, next_high, greatest), greatest);
}

/* The highest coefficient of Chebyshev's series through the nodes. */
FL_PACKED pack roughness(const halved *own, const fl_regrid *lookup, size_t half)
{
    return size_of(weigh(lookup->nodes % 2 == 1 ? own->even : own->odd, lookup->highest, 1, half));
}

FL_PACKED pack least_of(const double *rows, size_t nodes)
{
    pack least = load(rows);
    for (size_t n = 1; n < nodes; n++)
        least = smaller(load(rows + n * FL_LANES), least);
    return least;
}

/* NaN in lanes that are too rough, or where nothing arrives; a value that is not finite makes the
 * roughness so. */
FL_PACKED pack sure(pack top, pack rough, const double *bottom, const fl_regrid *lookup)
{
    const pack least = least_of(bottom, lookup->nodes);
    const mask good = (mask)(rough <= same(lookup->roughest) * least) & (mask)(least > same(0.0));
    return pick(good, top, same((double)NAN));
}

/* A reflection's worst, which mostly is at an end. */
FL_PACKED worst meet_grid(const double *top, const double *bottom, const fl_regrid *lookup,
                          bool greatest, size_t half)
{
    halved over, under;
    halve(&over, top, lookup->nodes, half);
    halve(&under, bottom, lookup->nodes, half);
    worst found = meet_ends(&over, &under, lookup, greatest, half);
    const pack t = greatest ? found.top : -found.top, b = greatest ? found.bottom : -found.bottom;
    if (!ends_are_worst(t, b, &over, &under, lookup, half))
        meet_pairs(&found, top, bottom, lookup, greatest);
    const pack rough = roughness(&over, lookup, half) + roughness(&under, lookup, half);
    found.top = sure(found.top, rough, bottom, lookup);
    return found;
}

/* A transmission's. */
FL_PACKED worst meet_scale(const double *bottom, const fl_regrid *lookup, bool greatest,
                           size_t half)
{
    halved under;
    worst found;
    halve(&under, bottom, lookup->nodes, half);
    meet_pairs(&found, NULL, bottom, lookup, greatest);
    found.top = sure(found.top, roughness(&under, lookup, half), bottom, lookup);
    return found;
}

/* NaN where a value at the nodes is not finite, or one below is not positive. */
FL_PACKED pack doubt(const double *top, const double *bottom, size_t nodes)
{
    pack check = same(0.0);
    for (size_t n = 0; n < nodes; n++)
        check += load(bottom + n * FL_LANES) * same(0.0) + load(top + n * FL_LANES) * same(0.0);
    const mask positive = (mask)(least_of(bottom, nodes) > same(0.0));
    return check + pick(positive, same(0.0), same((double)NAN));
}

/* The grid are the nodes. */
FL_PACKED worst meet_nodes(const double *top, const double *bottom, const fl_regrid *lookup,
                           bool greatest)
{
    worst found = worst_begin(greatest);
    for (size_t n = 0; n < lookup->nodes; n++)
        meet(&found, top != NULL ? load(top + n * FL_LANES) : same(lookup->scale[n]),
             load(bottom + n * FL_LANES), same((double)n), greatest);
    found.top += doubt(top != NULL ? top : bottom, bottom, lookup->nodes);
    return found;
}

/* Without a top it is the scale of the grid's points. The usual numbers of nodes are constants
 * where they are put in place. */
FL_PACKED void worst_of(double *power, double *point, const double *top, const double *bottom,
                        const fl_regrid *lookup, bool greatest)
{
    const size_t half = lookup->matrix != NULL ? (lookup->nodes + 1) / 2 : 0;
    for (size_t i = 0; i < FL_LANES; i += FL_WIDTH) {
        const double *over = top != NULL ? top + i : NULL, *under = bottom + i;
        worst found;
        if (half == 0)
            found = meet_nodes(over, under, lookup, greatest);
        else if (over == NULL)
            found = meet_scale(under, lookup, greatest, half);
        else if (half == 3)
            found = meet_grid(over, under, lookup, greatest, 3);
        else if (half == 4)
            found = meet_grid(over, under, lookup, greatest, 4);
        else
            found = meet_grid(over, under, lookup, greatest, half);
        store(power + i, found.top / found.bottom);
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
