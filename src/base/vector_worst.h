/** From waves at the nodes to the worst power on a grid, on lanes. Private: see vector.h. */
#ifndef FL_BASE_VECTOR_WORST_H
#define FL_BASE_VECTOR_WORST_H

#include "base/vector_march.h"

/** The worst so far, of one pack; check becomes NaN with the first power that is not finite. */
typedef struct worst {
    pack power, point, check;
} worst;

FL_PACKED void meet(worst *so_far, pack power, size_t point, bool greatest)
{
    const mask worse = greatest ? (mask)(power > so_far->power) : (mask)(power < so_far->power);
    so_far->power = pick(worse, power, so_far->power);
    so_far->point = pick(worse, same((double)point), so_far->point);
    so_far->check += power * same(0.0);
}

/* Points of the grid at a time: as many sums as hide the time of an addition. */
enum { POINTS = 4 };

/* Values at POINTS points of the grid from those at the nodes; no matrix: they are the nodes. */
FL_PACKED void spread(pack out[POINTS], const double *at_nodes, const fl_regrid *lookup,
                      size_t point)
{
    if (lookup->matrix == NULL) {
        for (size_t k = 0; k < POINTS; k++)
            out[k] = load(at_nodes +
                          (point + k < lookup->nodes ? point + k : lookup->nodes - 1) * FL_LANES);
        return;
    }
    const double *weights = lookup->matrix + point * lookup->nodes;
    for (size_t k = 0; k < POINTS; k++)
        out[k] = same(0.0);
    for (size_t n = 0; n < lookup->nodes; n++) {
        const pack value = load(at_nodes + n * FL_LANES);
        for (size_t k = 0; k < POINTS; k++)
            out[k] += same(weights[n * POINTS + k]) * value;
    }
}

FL_PACKED worst worst_begin(bool greatest)
{
    return (worst){same(greatest ? -HUGE_VAL : HUGE_VAL), same(0.0), same(0.0)};
}

FL_PACKED void worst_end(double *power, double *point, const worst *found)
{
    store(power, found->power + found->check);
    store(point, found->point);
}

static void worst_reflected(double *power, double *point, const double *reflected,
                            const double *arrived, const fl_regrid *lookup)
{
    for (size_t i = 0; i < FL_LANES; i += FL_WIDTH) {
        worst found = worst_begin(lookup->greatest);
        for (size_t g = 0; g < lookup->points; g += POINTS) {
            pack top[POINTS], bottom[POINTS];
            spread(top, reflected + i, lookup, g);
            spread(bottom, arrived + i, lookup, g);
            for (size_t k = 0; k < POINTS; k++)
                meet(&found, top[k] / bottom[k], g + k, lookup->greatest);
        }
        worst_end(power + i, point + i, &found);
    }
}

static void worst_transmitted(double *power, double *point, const double *arrived,
                              const fl_regrid *lookup)
{
    for (size_t i = 0; i < FL_LANES; i += FL_WIDTH) {
        worst found = worst_begin(lookup->greatest);
        for (size_t g = 0; g < lookup->points; g += POINTS) {
            pack bottom[POINTS];
            spread(bottom, arrived + i, lookup, g);
            for (size_t k = 0; k < POINTS; k++)
                meet(&found, same(lookup->scale[g + k]) / bottom[k], g + k, lookup->greatest);
        }
        worst_end(power + i, point + i, &found);
    }
}

#endif
