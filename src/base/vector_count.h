/** Losses, limits and bins on lanes: what is counted of many samples. Private: see vector.h. */
#ifndef FL_BASE_VECTOR_COUNT_H
#define FL_BASE_VECTOR_COUNT_H

#include <stdbool.h>

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

/* Lanes whose bit is set, as the processor chooses them. */
FL_PACKED choice chosen(uint64_t bits)
{
#if FL_WIDTH == 8
    return (choice)bits;
#else
    words bit;
    for (size_t k = 0; k < FL_WIDTH; k++)
        bit[k] = (uint64_t)1 << k;
    return (mask)((FL_SAME(words, bits) & bit) != FL_SAME(words, 0));
#endif
}

FL_PACKED pack add_chosen(pack sum, choice lanes, pack x)
{
#if FL_WIDTH == 8
    return (pack)_mm512_mask_add_pd((__m512d)sum, lanes, (__m512d)sum, (__m512d)x);
#else
    return sum + (pack)((mask)x & lanes);
#endif
}

/* From low to high; low where it is not a number. */
FL_PACKED pack confined(pack x, pack low, pack high)
{
    return smaller(larger(x, low), high);
}

FL_PACKED choice at_least(pack a, pack b)
{
#if FL_WIDTH == 8
    return _mm512_cmp_pd_mask((__m512d)a, (__m512d)b, _CMP_GE_OQ);
#else
    return (mask)(a >= b);
#endif
}

static void below(uint64_t *lanes, const double *row, const double *limits, size_t count)
{
    for (size_t k = 0; k < count; k++) {
        const pack limit = same(limits[k]);
        uint64_t bits = 0;
        for (size_t i = 0; i < FL_LANES; i += FL_WIDTH)
            bits |= bits_chosen(at_least(load(row + i), limit)) << i;
        lanes[k] = ~bits;
    }
}

/* By the least of them: masks of comparisons would wait for each other. The least of two drops a
 * NaN; what is not finite less itself is one, and stays. */
static bool reaches(const double *row, double limit)
{
    pack low = load(row), none = low - low;
    for (size_t i = FL_WIDTH; i < FL_LANES; i += FL_WIDTH) {
        const pack next = load(row + i);
        low = smaller(next, low);
        none += next - next;
    }
    return bits_chosen(at_least(low + none, same(limit))) == ((uint64_t)1 << FL_WIDTH) - 1;
}

/** Two sets of lanes, pack by pack. */
typedef struct two_sets {
    choice lanes[2][FL_LANES / FL_WIDTH];
} two_sets;

/* The sum with 2^52 holds the place rounded, in its last bits. */
FL_PACKED void deviate(double sums[2], uint64_t *bins, const double *row, const fl_ruler *ruler,
                       const two_sets *sets)
{
    pack all[2] = {same(0.0), same(0.0)};
    const pack centre = same(ruler->centre), scale = same(ruler->scale);
    const pack low = same(0x1p52), high = same(0x1p52 + ruler->last);
    const pack middle = same(0x1p52), half = same(0.5 * ruler->last);
    for (size_t i = 0; i < FL_LANES; i += FL_WIDTH) {
        const pack off = load(row + i) - centre;
        const pack place = confined((off * scale + half) + middle, low, high);
        const words twice = (words)place << 1;
        memcpy(bins + i, &twice, sizeof twice);
        for (size_t k = 0; k < 2; k++)
            all[k] = add_chosen(all[k], sets->lanes[k][i / FL_WIDTH], off);
    }
    for (size_t k = 0; k < 2; k++) {
        double parts[FL_WIDTH];
        store(parts, all[k]);
        for (size_t lane = 0; lane < FL_WIDTH; lane++)
            sums[k] += parts[lane];
    }
}

static void deviations(double (*sums)[2], uint64_t (*bins)[FL_LANES], const double *const *rows,
                       const fl_ruler *rulers, size_t count, const uint64_t lanes[2])
{
    two_sets sets;
    for (size_t k = 0; k < 2; k++)
        for (size_t i = 0; i < FL_LANES; i += FL_WIDTH)
            sets.lanes[k][i / FL_WIDTH] = chosen(lanes[k] >> i);
    for (size_t row = 0; row < count; row++)
        deviate(sums[row], bins[row], rows[row], &rulers[row], &sets);
}

#endif
