/** Random numbers and polynomials on lanes. Private: see vector.h. */
#ifndef FL_BASE_VECTOR_DRAW_H
#define FL_BASE_VECTOR_DRAW_H

#include <stdbool.h>

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

/* Compilers do not see that this is one operation. */
FL_PACKED words three_xor(words a, words b, words c)
{
#if FL_WIDTH == 8
    return (words)_mm512_ternarylogic_epi64((__m512i)a, (__m512i)b, (__m512i)c, 0x96);
#else
    return a ^ b ^ c;
#endif
}

/** Rounds of Philox 4x32 and their keys. */
enum { ROUNDS = 10 };
typedef struct philox_keys {
    uint64_t of[ROUNDS][2];
} philox_keys;

static void make_keys(philox_keys *keys, uint64_t seed)
{
    uint32_t a = (uint32_t)seed, b = (uint32_t)(seed >> 32);
    for (int round = 0; round < ROUNDS; round++) {
        keys->of[round][0] = a;
        keys->of[round][1] = b;
        a += 0x9E3779B9u;
        b += 0xBB67AE85u;
    }
}

/** What the first two rounds make of the samples alone, whatever the item. */
typedef struct begun {
    words high; /* of the samples */
    words x, y; /* go into the first and the third word of the second round, */
    words b;    /* which has this as its second */
} begun;

/* Words are in the lower halves. The upper ones hold the rest of products, which the next product
 * does not read. */
FL_PACKED begun begin_philox(words samples, const philox_keys *keys)
{
    const words a = wide_product(samples, FL_SAME(words, 0xD2511F53u));
    const words b =
        wide_product((a >> 32) ^ FL_SAME(words, keys->of[0][1]), FL_SAME(words, 0xCD9E8D57u));
    return (begun){samples >> 32, (b >> 32) ^ FL_SAME(words, keys->of[1][0]),
                   a ^ FL_SAME(words, keys->of[1][1]), b};
}

/* Samples that go through the rounds side by side: one waits for each product, two hide it. */
enum { ABREAST = 2 };

/* Philox 4x32-10 [Salmon2011] of an item's four numbers, as in random.c. */
FL_PACKED void end_philox(words w[ABREAST][4], const begun own[ABREAST], uint32_t item,
                          const philox_keys *keys)
{
    const uint64_t first = (uint64_t)0xCD9E8D57u * (item / 4);
    for (int i = 0; i < ABREAST; i++) {
        const words a = wide_product(own[i].high ^ FL_SAME(words, (first >> 32) ^ keys->of[0][0]),
                                     FL_SAME(words, 0xD2511F53u));
        w[i][0] = own[i].x ^ FL_SAME(words, first);
        w[i][1] = own[i].b;
        w[i][2] = (a >> 32) ^ own[i].y;
        w[i][3] = a;
    }
    for (int round = 2; round < ROUNDS; round++)
        for (int i = 0; i < ABREAST; i++) {
            const words a = wide_product(w[i][0], FL_SAME(words, 0xD2511F53u));
            const words b = wide_product(w[i][2], FL_SAME(words, 0xCD9E8D57u));
            w[i][0] = three_xor(b >> 32, w[i][1], FL_SAME(words, keys->of[round][0]));
            w[i][2] = three_xor(a >> 32, w[i][3], FL_SAME(words, keys->of[round][1]));
            w[i][1] = b;
            w[i][3] = a;
        }
}

/* A number less 1/2: 32 bits after the point of 1, with the half below them, less 1.5. */
FL_PACKED pack centred(words w)
{
    const words bits = FL_SAME(words, UINT64_C(0x000fffff00000000) | 0xfff00000u);
    const words one = FL_SAME(words, UINT64_C(0x3ff0000000080000));
    return (pack)(((w << 20) & bits) | one) - same(1.5);
}

/* By Horner's rule, highest first; of count terms. */
FL_PACKED pack polynomial(const double *p, int count, pack x)
{
    pack sum = same(p[count - 1]);
    for (int i = count - 2; i >= 0; i--)
        sum = sum * x + same(p[i]);
    return sum;
}

/** Numbers of the tails, which are few and need a logarithm, packed together, and their places. */
enum { DRAW_ROWS = 16, TAILS = DRAW_ROWS * FL_LANES };
typedef struct tails {
    size_t count;
    double numbers[TAILS + FL_PACK_ROOM];
    uint16_t places[TAILS + FL_PACK_ROOM];
} tails;

/* fl_normal_draw near the middle, of four packs of u - 1/2 at once: one division for all of them.
 * Denominators are positive in the tails too, where q is left as it is. */
FL_PACKED void middles(pack z[4], uint64_t far[4], const pack q[4])
{
    pack p[4], d[4];
    for (int k = 0; k < 4; k++) {
        const pack y = same(FL_MIDDLE * FL_MIDDLE) - q[k] * q[k];
        p[k] = q[k] * polynomial(fl_draw_middle[0], FL_MIDDLE_TERMS, y);
        d[k] = polynomial(fl_draw_middle[1], FL_MIDDLE_TERMS, y);
    }
    const pack low = d[0] * d[1], high = d[2] * d[3], inverse = same(1.0) / (low * high);
    const pack over_low = inverse * high, over_high = inverse * low;
    const pack ratios[4] = {p[0] * (d[1] * over_low), p[1] * (d[0] * over_low),
                            p[2] * (d[3] * over_high), p[3] * (d[2] * over_high)};
    for (int k = 0; k < 4; k++) {
        const choice out = greater(size_of(q[k]), same(FL_MIDDLE));
        z[k] = choose(out, q[k], ratios[k]);
        far[k] = bits_chosen(out);
    }
}

/* Lanes of a row that are in the tails. Which they are has no pattern: eight are taken at once,
 * which is nearly always enough, without a question. */
static void take_tails(tails *to, const double *row, uint64_t lanes, size_t begin)
{
    while (lanes != 0) {
        const size_t found = (size_t)__builtin_popcountll(lanes);
        for (size_t k = 0; k < 8; k++) {
            const size_t lane = (size_t)__builtin_ctzll(lanes | (uint64_t)1 << 63);
            to->numbers[to->count + k] = row[lane];
            to->places[to->count + k] = (uint16_t)(begin + lane);
            lanes &= lanes - 1;
        }
        to->count += found < 8 ? found : 8;
    }
}

/* ln x of a normal number, to 1.2e-10: k ln 2 + ln(1 + f) as in fl_normal_draw. */
FL_PACKED pack near_logarithm(pack x)
{
    pack m;
    const pack k = power_of_two(&m, x), f = m - same(1.0);
    return k * same(0.69314718055994531) + f * polynomial(fl_draw_log, FL_DRAW_LOG_TERMS, f);
}

/* fl_normal_draw in the tails: of u, or of u - 1/2. */
FL_PACKED pack tail(pack u, bool is_centred)
{
    const mask low = (mask)(u < same(is_centred ? 0.0 : 0.5));
    const pack p = is_centred ? same(0.5) - size_of(u) : pick(low, u, same(1.0) - u);
    const pack s = root_of(-near_logarithm(p)) - same(FL_TAIL_ROOT);
    const pack size = polynomial(fl_draw_tail[0], FL_TAIL_TERMS, s) /
                      polynomial(fl_draw_tail[1], FL_TAIL_TERMS - 1, s);
    return pick(low, -size, size);
}

/* Packs are filled up with some number of a tail. */
static void put_tails(double *z, tails *own, bool is_centred)
{
    for (size_t k = 0; k < FL_WIDTH; k++)
        own->numbers[own->count + k] = 0.01;
    for (size_t i = 0; i < own->count; i += FL_WIDTH) {
        double found[FL_WIDTH];
        store(found, tail(load(own->numbers + i), is_centred));
        for (size_t k = 0; k < FL_WIDTH && i + k < own->count; k++)
            z[own->places[i + k]] = found[k];
    }
}

/** Rows of numbers in the making, at most DRAW_ROWS. */
typedef struct drawing {
    double *q, *u; /* [rows][FL_LANES] u - 1/2, and u; either may be NULL */
    size_t rows;
    uint64_t first;
    uint32_t item; /* of the first row, a multiple of 4 */
} drawing;

/* Numbers that a counter has more than are wanted are left. */
FL_PACKED void store_numbers(const drawing *own, size_t row, size_t lane, const words w[4])
{
    for (size_t k = 0; k < 4 && row + k < own->rows; k++) {
        const size_t at = (row + k) * FL_LANES + lane;
        const pack q = centred(w[k]);
        if (own->q != NULL)
            store(own->q + at, q);
        if (own->u != NULL)
            store(own->u + at, q + same(0.5));
    }
}

static void draw_rows(const drawing *own, const philox_keys *keys)
{
    words samples;
    for (size_t i = 0; i < FL_WIDTH; i++)
        samples[i] = own->first + i;
    enum { STEP = ABREAST * FL_WIDTH };
    for (size_t i = 0; i < FL_LANES; i += STEP) {
        begun both[ABREAST];
        for (size_t k = 0; k < ABREAST; k++, samples += FL_SAME(words, FL_WIDTH))
            both[k] = begin_philox(samples, keys);
        for (size_t row = 0; row < own->rows; row += 4) {
            words w[ABREAST][4];
            end_philox(w, both, own->item + (uint32_t)row, keys);
            for (size_t k = 0; k < ABREAST; k++)
                store_numbers(own, row, i + k * FL_WIDTH, w[k]);
        }
    }
}

/* Of a row, in place; returns the lanes of the tails. */
FL_PACKED uint64_t middle_row(double *z, const double *from, double less)
{
    enum { STEP = 4 * FL_WIDTH };
    uint64_t lanes = 0;
    for (size_t i = 0; i < FL_LANES; i += STEP) {
        pack q[4], near[4];
        uint64_t far[4];
        for (size_t k = 0; k < 4; k++)
            q[k] = load(from + i + k * FL_WIDTH) - same(less);
        middles(near, far, q);
        for (size_t k = 0; k < 4; k++) {
            store(z + i + k * FL_WIDTH, near[k]);
            lanes |= far[k] << (i + k * FL_WIDTH);
        }
    }
    return lanes;
}

static void normals(double *z, double *u, size_t rows, uint64_t seed, uint64_t first)
{
    philox_keys keys;
    make_keys(&keys, seed);
    for (size_t row = 0; row < rows; row += DRAW_ROWS) {
        const size_t at = row * FL_LANES, rest = rows - row;
        const drawing own = {z + at, u != NULL ? u + at : NULL, rest < DRAW_ROWS ? rest : DRAW_ROWS,
                             first, (uint32_t)row};
        tails found;
        found.count = 0;
        draw_rows(&own, &keys);
        for (size_t k = 0; k < own.rows; k++) {
            double *to = own.q + k * FL_LANES;
            take_tails(&found, to, middle_row(to, to, 0.0), k * FL_LANES);
        }
        put_tails(own.q, &found, true);
    }
}

static void uniforms(double *u, size_t rows, uint64_t seed, uint64_t first, uint32_t item)
{
    philox_keys keys;
    make_keys(&keys, seed);
    for (size_t row = 0; row < rows; row += DRAW_ROWS) {
        const size_t rest = rows - row;
        const drawing own = {NULL, u + row * FL_LANES, rest < DRAW_ROWS ? rest : DRAW_ROWS, first,
                             item + (uint32_t)row};
        draw_rows(&own, &keys);
    }
}

/* Those beyond the reach of the ratio are hardly ever met. */
static void mend_farthest(double *z, const tails *own)
{
    for (size_t i = 0; i < own->count; i++)
        if (own->numbers[i] < FL_TAIL_END)
            z[own->places[i]] = fl_normal_draw(own->numbers[i]);
}

static void quantiles(double *z, const double *u, size_t rows)
{
    for (size_t row = 0; row < rows; row++) {
        double *to = z + row * FL_LANES;
        const double *from = u + row * FL_LANES;
        tails found;
        found.count = 0;
        take_tails(&found, from, middle_row(to, from, 0.5), 0);
        put_tails(to, &found, false);
        mend_farthest(to, &found);
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

/* Rows at a time, of two packs each: so many sums hide the time of one addition, and all stay in
 * registers. */
enum { ROWS = 6, PACKS = 2 * FL_WIDTH };

FL_PACKED void combine_some(double *const *out, const double *const *rows, size_t row_count,
                            const double *products, size_t product_count)
{
    pack low[ROWS], high[ROWS];
    for (size_t r = 0; r < row_count; r++)
        low[r] = high[r] = same(0.0);
    for (size_t t = 0; t < product_count; t++, products += FL_LANES) {
        const pack a = load(products), b = load(products + FL_WIDTH);
        for (size_t r = 0; r < row_count; r++) {
            const pack coefficient = same(rows[r][t]);
            low[r] += coefficient * a;
            high[r] += coefficient * b;
        }
    }
    for (size_t r = 0; r < row_count; r++) {
        store(out[r], low[r]);
        store(out[r] + FL_WIDTH, high[r]);
    }
}

/* The last rows, fewer than six: a constant number where it is put in place. */
FL_PACKED void combine_last(double *const *out, const double *const *rows, size_t row_count,
                            const double *products, size_t product_count)
{
    switch (row_count) {
    case 5:
        combine_some(out, rows, 5, products, product_count);
        break;
    case 4:
        combine_some(out, rows, 4, products, product_count);
        break;
    case 3:
        combine_some(out, rows, 3, products, product_count);
        break;
    case 2:
        combine_some(out, rows, 2, products, product_count);
        break;
    case 1:
        combine_some(out, rows, 1, products, product_count);
        break;
    default:
        break;
    }
}

static void combine(double *const *out, const double *const *rows, size_t row_count,
                    const double *products, size_t product_count)
{
    for (size_t i = 0; i < FL_LANES; i += PACKS)
        for (size_t r = 0; r < row_count; r += ROWS) {
            const size_t some = row_count - r < ROWS ? row_count - r : ROWS;
            double *at[ROWS];
            for (size_t k = 0; k < some; k++)
                at[k] = out[r + k] + i;
            if (some == ROWS)
                combine_some(at, rows + r, ROWS, products + i, product_count);
            else
                combine_last(at, rows + r, some, products + i, product_count);
        }
}

#endif
