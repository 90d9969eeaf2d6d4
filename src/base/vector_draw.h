/** Random numbers and polynomials on lanes. Private: see vector.h. */
#ifndef FL_BASE_VECTOR_DRAW_H
#define FL_BASE_VECTOR_DRAW_H

#include "base/random.h"
#include "base/vector_pack.h"

/* Products of the lower halves: compilers do not see that the upper ones are nothing. */
FL_PACKED words wide_product(words a, words b)
{
#if FL_WIDTH == 8
    return (words)_mm512_mul_epu32((__m512i)a, (__m512i)b);
#elif FL_WIDTH == 4
    return (words)_mm256_mul_epu32((__m256i)a, (__m256i)b);
#elif defined(__SSE2__)
    return (words)_mm_mul_epu32((__m128i)a, (__m128i)b);
#else
    return (a & FL_SAME(words, 0xffffffffu)) * (b & FL_SAME(words, 0xffffffffu));
#endif
}

/* One round of Philox 4x32 [Salmon2011], the four words in the lower halves. */
FL_PACKED void philox_round(words w[4], uint32_t key0, uint32_t key1)
{
    const words low = FL_SAME(words, 0xffffffffu);
    const words a = wide_product(w[0], FL_SAME(words, 0xD2511F53u));
    const words b = wide_product(w[2], FL_SAME(words, 0xCD9E8D57u));
    w[0] = (b >> 32) ^ w[1] ^ FL_SAME(words, (uint64_t)key0);
    w[2] = (a >> 32) ^ w[3] ^ FL_SAME(words, (uint64_t)key1);
    w[1] = b & low;
    w[3] = a & low;
}

/* 52 bits follow the exponent of 2^52 as they are. */
FL_PACKED void store_uniform(double *to, words high, words low)
{
    const words bits = (high << 20) | (low >> 12), exponent = FL_SAME(words, 0x4330000000000000u);
    const pack whole = (pack)(bits | exponent) - same(0x1p52);
    store(to, (whole + same(0.5)) * same(0x1p-52));
}

/* Two items share the words of a counter. */
static void uniforms(double *even, double *odd, uint64_t seed, uint64_t first, uint32_t item)
{
    words sample;
    for (size_t i = 0; i < FL_WIDTH; i++)
        sample[i] = first + i;
    for (size_t i = 0; i < FL_LANES; i += FL_WIDTH) {
        words w[4] = {sample & FL_SAME(words, 0xffffffffu), sample >> 32,
                      FL_SAME(words, (uint64_t)(item / 2)), FL_SAME(words, 0)};
        uint32_t key0 = (uint32_t)seed, key1 = (uint32_t)(seed >> 32);
        for (int round = 0; round < 10; round++) {
            philox_round(w, key0, key1);
            key0 += 0x9E3779B9u;
            key1 += 0xBB67AE85u;
        }
        store_uniform(even + i, w[0], w[1]);
        store_uniform(odd + i, w[2], w[3]);
        sample += FL_SAME(words, FL_WIDTH);
    }
}

/* By Horner's rule, highest first. */
FL_PACKED pack polynomial(const double p[8], pack x)
{
    pack sum = same(p[7]);
    for (int i = 6; i >= 0; i--)
        sum = sum * x + same(p[i]);
    return sum;
}

/* (p[7] r^7 + ... + p[0]) / (q[7] r^7 + ... + q[0]) */
FL_PACKED pack ratio(const double p[2][8], pack r)
{
    return polynomial(p[0], r) / polynomial(p[1], r);
}

/* [Wichura1988] for a probability below 0.075 and not below 1.4e-11: a ratio in sqrt(-ln p). */
FL_PACKED pack tail_quantile(pack p)
{
    return -ratio(fl_normal_tail, root_of(-logarithm(p)) - same(1.6));
}

/* Rows whose tails are packed together. */
enum { TAIL_ROWS = 8, TAILS = TAIL_ROWS * FL_LANES };

/** Those of the tails, which are few and need a logarithm, and their lanes. */
typedef struct tails {
    size_t count;
    double u[TAILS + FL_PACK_ROOM];
    uint64_t lanes[TAILS + FL_PACK_ROOM];
} tails;

/* The lanes that are set, packed together. Which they are has no pattern: no branch asks for it. */
FL_PACKED void take_tails(tails *to, pack u, mask set, uint64_t lane)
{
#if FL_WIDTH == 8
    const __mmask8 bits = _mm512_movepi64_mask((__m512i)set);
    const words lanes = (words){0, 1, 2, 3, 4, 5, 6, 7} + FL_SAME(words, lane);
    store(to->u + to->count, (pack)_mm512_maskz_compress_pd(bits, (__m512d)u));
    const words packed = (words)_mm512_maskz_compress_epi64(bits, (__m512i)lanes);
    memcpy(to->lanes + to->count, &packed, sizeof packed);
    to->count += (size_t)__builtin_popcountll(bits);
#else
    const uint64_t bits = bits_of(set);
    for (size_t i = 0; i < FL_WIDTH; i++) {
        to->u[to->count] = u[i];
        to->lanes[to->count] = lane + i;
        to->count += bits >> i & 1;
    }
#endif
}

/* Those beyond the reach of the ratio are hardly ever met. */
static void tail_quantiles(double *z, const tails *own)
{
    for (size_t i = 0; i < own->count; i += FL_WIDTH) {
        const pack u = load(own->u + i);
        const mask low = (mask)(u < same(0.5));
        const pack below = tail_quantile(pick(low, u, same(1.0) - u));
        double found[FL_WIDTH];
        store(found, pick(low, below, -below));
        for (size_t k = 0; k < FL_WIDTH && i + k < own->count; k++) {
            const double at = own->u[i + k];
            const bool far = at < 1.4e-11 || at > 1.0 - 1.4e-11;
            z[own->lanes[i + k]] = far ? fl_normal_quantile(at) : found[k];
        }
    }
}

/* [Wichura1988] as fl_normal_quantile: near the middle a ratio in 0.425^2 - q^2. */
static void quantiles(double *z, const double *u, size_t rows)
{
    for (size_t row = 0; row < rows; row += TAIL_ROWS) {
        const size_t end = (row + TAIL_ROWS < rows ? row + TAIL_ROWS : rows) * FL_LANES;
        tails own;
        own.count = 0;
        for (size_t i = row * FL_LANES; i < end; i += FL_WIDTH) {
            const pack at = load(u + i), q = at - same(0.5);
            store(z + i, q * ratio(fl_normal_middle, same(0.180625) - q * q));
            take_tails(&own, at, (mask)(size_of(q) > same(0.425)), i);
        }
        for (size_t k = own.count; k < own.count + FL_WIDTH; k++)
            own.u[k] = 0.01;
        tail_quantiles(z, &own);
    }
}

static void products_of(double *products, const fl_factor *factors, size_t count,
                        const double *powers)
{
    for (size_t i = 0; i < FL_LANES; i += FL_WIDTH)
        store(products + i, same(1.0));
    for (size_t t = 1; t < count; t++) {
        const double *a = products + factors[t].parent * FL_LANES;
        const double *b = powers + factors[t].power * FL_LANES;
        for (size_t i = 0; i < FL_LANES; i += FL_WIDTH)
            store(products + t * FL_LANES + i, load(a + i) * load(b + i));
    }
}

/* Rows at a time: so many sums hide the time of one addition, and all stay in registers. */
enum { ROWS = 6 };

FL_PACKED void combine_some(double *const *out, const double *const *rows, size_t row_count,
                            const double *products, size_t product_count)
{
    pack sums[ROWS];
    for (size_t r = 0; r < row_count; r++)
        sums[r] = same(0.0);
    for (size_t t = 0; t < product_count; t++) {
        const pack product = load(products + t * FL_LANES);
        for (size_t r = 0; r < row_count; r++)
            sums[r] += same(rows[r][t]) * product;
    }
    for (size_t r = 0; r < row_count; r++)
        store(out[r], sums[r]);
}

static void combine(double *const *out, const double *const *rows, size_t row_count,
                    const double *products, size_t product_count)
{
    for (size_t i = 0; i < FL_LANES; i += FL_WIDTH) {
        double *at[ROWS];
        size_t r = 0;
        for (; r + ROWS <= row_count; r += ROWS) {
            for (size_t k = 0; k < ROWS; k++)
                at[k] = out[r + k] + i;
            combine_some(at, rows + r, ROWS, products + i, product_count);
        }
        for (; r < row_count; r++) {
            at[0] = out[r] + i;
            combine_some(at, rows + r, 1, products + i, product_count);
        }
    }
}

#endif
