/** Losses, limits and bins on lanes: what is counted of many samples. Private: see vector.h. */
#ifndef FL_BASE_VECTOR_COUNT_H
#define FL_BASE_VECTOR_COUNT_H

#include "base/vector_pack.h"

/* -10 log10 of a power, from 1e-20 on. */
static void losses(double *db, const double *power)
{
    const pack least = same(1e-20), factor = same(-4.3429448190325182765);
    for (size_t i = 0; i < FL_LANES; i += FL_WIDTH) {
        const pack p = load(power + i);
        store(db + i, factor * logarithm(pick((mask)(p > least), p, least)));
    }
}

/* The other way: a lane is set where its bit is. */
FL_PACKED mask lanes_of(uint64_t bits)
{
    words bit;
    for (size_t k = 0; k < FL_WIDTH; k++)
        bit[k] = (uint64_t)1 << k;
    return (mask)((FL_SAME(words, bits) & bit) != FL_SAME(words, 0));
}

static uint64_t below(const double *row, double limit)
{
    uint64_t bits = 0;
    for (size_t i = 0; i < FL_LANES; i += FL_WIDTH)
        bits |= bits_of((mask)(load(row + i) >= same(limit))) << i;
    return ~bits;
}

/* Eight sums by turns at every width, so that the order does not follow the width. */
static void deviations(double sums[2], uint64_t *bins, const double *row, const fl_ruler *ruler,
                       const uint64_t lanes[2])
{
    enum { SUMS = 8 / FL_WIDTH };
    pack all[2][SUMS];
    double parts[2][8];
    const pack centre = same(ruler->centre), scale = same(ruler->scale), none = same(0.0);
    const pack middle = same(0.5 * ruler->last), last = same(ruler->last), shift = same(0x1p52);
    for (size_t k = 0; k < SUMS; k++)
        all[0][k] = all[1][k] = none;
    for (size_t i = 0; i < FL_LANES; i += FL_WIDTH) {
        const pack off = load(row + i) - centre;
        pack place = off * scale + middle;
        place = pick((mask)(place > none), place, none);
        place = pick((mask)(place < last), place, last);
        const words bin = (words)(place + shift) & FL_SAME(words, 0xffffffffu);
        memcpy(bins + i, &bin, sizeof bin);
        for (size_t k = 0; k < 2; k++)
            all[k][i / FL_WIDTH % SUMS] += pick(lanes_of(lanes[k] >> i), off, none);
    }
    for (size_t k = 0; k < 2; k++) {
        for (size_t part = 0; part < SUMS; part++)
            store(parts[k] + part * FL_WIDTH, all[k][part]);
        const double *p = parts[k];
        sums[k] = ((p[0] + p[4]) + (p[1] + p[5])) + ((p[2] + p[6]) + (p[3] + p[7]));
    }
}

#endif
