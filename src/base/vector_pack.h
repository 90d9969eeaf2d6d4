/** Packs of FL_WIDTH doubles: loading, choosing, sine and cosine, exponential. Private. */
#ifndef FL_BASE_VECTOR_PACK_H
#define FL_BASE_VECTOR_PACK_H

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "base/vector.h"

#if defined(__AVX512F__) || defined(__AVX2__) || defined(__SSE2__)
#include <immintrin.h>
#endif

#ifndef FL_WIDTH
#define FL_WIDTH 2 /* read by itself */
#endif

/* For header files that define the functions of one width only, used or not. */
#define FL_PACKED static inline __attribute__((unused, always_inline))

typedef double pack __attribute__((vector_size(FL_WIDTH * 8)));
typedef int64_t mask __attribute__((vector_size(FL_WIDTH * 8)));
typedef uint64_t words __attribute__((vector_size(FL_WIDTH * 8)));

#if FL_WIDTH == 2
#define FL_SAME(type, x) ((type){(x), (x)})
#elif FL_WIDTH == 4
#define FL_SAME(type, x) ((type){(x), (x), (x), (x)})
#else
#define FL_SAME(type, x) ((type){(x), (x), (x), (x), (x), (x), (x), (x)})
#endif

FL_PACKED pack same(double x)
{
    return FL_SAME(pack, x);
}

FL_PACKED pack load(const double *from)
{
    pack p;
    memcpy(&p, from, sizeof p);
    return p;
}

FL_PACKED void store(double *to, pack p)
{
    memcpy(to, &p, sizeof p);
}

/* a where the mask is set, else b; compilers do not see that this is one operation. */
FL_PACKED pack pick(mask m, pack a, pack b)
{
#if FL_WIDTH == 8
    return (pack)_mm512_mask_mov_pd((__m512d)b, _mm512_movepi64_mask((__m512i)m), (__m512d)a);
#elif FL_WIDTH == 4
    return (pack)_mm256_blendv_pd((__m256d)b, (__m256d)a, (__m256d)m);
#else
    return (pack)(((mask)a & m) | ((mask)b & ~m));
#endif
}

/** A comparison, as the processor has it. */
#if FL_WIDTH == 8
typedef __mmask8 choice;
#else
typedef mask choice;
#endif

FL_PACKED choice greater(pack a, pack b)
{
#if FL_WIDTH == 8
    return _mm512_cmp_pd_mask((__m512d)a, (__m512d)b, _CMP_GT_OQ);
#else
    return (mask)(a > b);
#endif
}

FL_PACKED pack choose(choice c, pack a, pack b)
{
#if FL_WIDTH == 8
    return (pack)_mm512_mask_mov_pd((__m512d)b, c, (__m512d)a);
#else
    return pick(c, a, b);
#endif
}

FL_PACKED pack size_of(pack a)
{
    return (pack)((mask)a & FL_SAME(mask, INT64_MAX));
}

/* a if it is larger, and b if not or if one is NaN, as the processor's own operation has it. */
FL_PACKED pack larger(pack a, pack b)
{
#if FL_WIDTH == 8
    return (pack)_mm512_max_pd((__m512d)a, (__m512d)b);
#elif FL_WIDTH == 4
    return (pack)_mm256_max_pd((__m256d)a, (__m256d)b);
#else
    return choose(greater(a, b), a, b);
#endif
}

FL_PACKED pack smaller(pack a, pack b)
{
#if FL_WIDTH == 8
    return (pack)_mm512_min_pd((__m512d)a, (__m512d)b);
#elif FL_WIDTH == 4
    return (pack)_mm256_min_pd((__m256d)a, (__m256d)b);
#else
    return choose(greater(b, a), a, b);
#endif
}

/* Keeps a product from being fused with two sums: so it is made once, and sums alone go by units of
 * the processor that would else wait. */
FL_PACKED pack apart(pack product)
{
#if FL_WIDTH == 8
    __asm__("" : "+v"(product));
#elif FL_WIDTH == 4
    __asm__("" : "+x"(product));
#endif
    return product;
}

/* One bit a lane, the lowest the first. */
FL_PACKED uint64_t bits_of(mask m)
{
#if FL_WIDTH == 8
    return _mm512_movepi64_mask((__m512i)m);
#elif FL_WIDTH == 4
    return (uint64_t)_mm256_movemask_pd((__m256d)m);
#elif defined(__SSE2__)
    return (uint64_t)_mm_movemask_pd((__m128d)m);
#else
    return (uint64_t)(m[0] & 1) | (uint64_t)(m[1] & 2);
#endif
}

/* The same of a choice. */
FL_PACKED uint64_t bits_chosen(choice c)
{
#if FL_WIDTH == 8
    return c;
#else
    return bits_of(c);
#endif
}

/* Largest size over one row of lanes; NaN is passed over. */
FL_PACKED double largest(const double *row)
{
    double found[FL_WIDTH], most = 0.0;
    pack all = same(0.0);
    for (size_t i = 0; i < FL_LANES; i += FL_WIDTH)
        all = larger(size_of(load(row + i)), all);
    store(found, all);
    for (size_t i = 0; i < FL_WIDTH; i++)
        most = found[i] > most ? found[i] : most;
    return most;
}

/* How far the argument of a sine goes: the reduction is good up to 1e5. */
typedef enum reach { REACH_TURNS, REACH_FAR } reach;

/* Up to pi / 4: the series up to terms of 2e-17. */
FL_PACKED void turn_eighth(pack x, pack *sine, pack *cosine)
{
    const pack z = x * x;
    pack s = z * same(-1.0 / 1307674368000.0) + same(1.0 / 6227020800.0);
    pack c = z * same(1.0 / 20922789888000.0) + same(-1.0 / 87178291200.0);
    s = s * z + same(-1.0 / 39916800.0);
    s = s * z + same(1.0 / 362880.0);
    s = s * z + same(-1.0 / 5040.0);
    s = s * z + same(1.0 / 120.0);
    s = s * z + same(-1.0 / 6.0);
    c = c * z + same(1.0 / 479001600.0);
    c = c * z + same(-1.0 / 3628800.0);
    c = c * z + same(1.0 / 40320.0);
    c = c * z + same(-1.0 / 720.0);
    c = c * z + same(1.0 / 24.0);
    c = c * z + same(-0.5);
    *sine = x + x * z * s;
    *cosine = same(1.0) + z * c;
}

/* Quarter turns taken off first, by pi / 2 in three parts of 33 bits and the rest, so that the
 * products are exact up to 2^20 quarters [Cody1980]. */
FL_PACKED void turn_turns(pack x, pack *sine, pack *cosine)
{
    const pack shift = same(0x1.8p52); /* its sum with a small number holds it rounded */
    const pack shifted = x * same(0.63661977236758134308) + shift;
    const pack quarters = shifted - shift;
    pack s, c, rest = x - quarters * same(1.57079632673412561417e+00);
    rest = rest - quarters * same(6.07710050630396597660e-11);
    rest = rest - quarters * same(2.02226624879595063154e-21);
    turn_eighth(rest, &s, &c);
    const words quarter = (words)shifted;
    const mask odd = -(mask)(quarter & FL_SAME(words, 1));
    const words sine_sign = (quarter & FL_SAME(words, 2)) << 62;
    const words cosine_sign = ((quarter + FL_SAME(words, 1)) & FL_SAME(words, 2)) << 62;
    *sine = (pack)((words)pick(odd, c, s) ^ sine_sign);
    *cosine = (pack)((words)pick(odd, s, c) ^ cosine_sign);
}

FL_PACKED void turn_far(pack x, pack *sine, pack *cosine)
{
    double in[FL_WIDTH], s[FL_WIDTH], c[FL_WIDTH];
    store(in, x);
    for (size_t i = 0; i < FL_WIDTH; i++) {
        s[i] = sin(in[i]);
        c[i] = cos(in[i]);
    }
    *sine = load(s);
    *cosine = load(c);
}

FL_PACKED void turn(pack x, reach far, pack *sine, pack *cosine)
{
    if (far == REACH_FAR)
        turn_far(x, sine, cosine);
    else
        turn_turns(x, sine, cosine);
}

/* exp(x), |x| <= 700: 2^k exp(r), |r| <= ln 2 / 2, by Taylor's series up to a term of 4e-18. */
FL_PACKED pack power_of_e(pack x)
{
    static const double terms[] = {1.0 / 6227020800.0, 1.0 / 479001600.0, 1.0 / 39916800.0,
                                   1.0 / 3628800.0,    1.0 / 362880.0,    1.0 / 40320.0,
                                   1.0 / 5040.0,       1.0 / 720.0,       1.0 / 120.0,
                                   1.0 / 24.0,         1.0 / 6.0,         0.5};
    const pack shift = same(0x1.8p52), most = same(700.0);
    x = pick((mask)(x < most), x, most);
    x = pick((mask)(x > -most), x, -most);
    const pack shifted = x * same(1.44269504088896340736) + shift;
    const pack k = shifted - shift;
    const pack r =
        (x - k * same(6.93147180369123816490e-01)) - k * same(1.90821492927058770002e-10);
    pack sum = same(1.0 / 87178291200.0);
    for (size_t i = 0; i < sizeof terms / sizeof *terms; i++)
        sum = sum * r + same(terms[i]);
    sum = same(1.0) + (r + r * r * sum);
    const words power = (words)shifted - (words)shift;
    return sum * (pack)((power + FL_SAME(words, 1023)) << 52);
}

/* Square roots, to the last bit on any processor. */
FL_PACKED pack root_of(pack x)
{
#if FL_WIDTH == 8
    return (pack)_mm512_sqrt_pd((__m512d)x);
#elif FL_WIDTH == 4
    return (pack)_mm256_sqrt_pd((__m256d)x);
#elif defined(__SSE2__)
    return (pack)_mm_sqrt_pd((__m128d)x);
#else
    return (pack){sqrt(x[0]), sqrt(x[1])};
#endif
}

/* k and m of a normal number 2^k m, m between sqrt(1/2) and sqrt(2). */
FL_PACKED pack power_of_two(pack *m, pack x)
{
    const words begin = FL_SAME(words, 0x3fe6a09e667f3bcdu); /* sqrt(1/2) */
    const words shifted = (words)x - begin, exponent = FL_SAME(words, 0x4330000000000000u);
    const words power = (shifted + FL_SAME(words, (uint64_t)1023 << 52)) >> 52;
    *m = (pack)((shifted & FL_SAME(words, 0x000fffffffffffffu)) + begin);
    return (pack)(power | exponent) - same(0x1p52 + 1023.0);
}

/* ln x of a normal number: k ln 2 + ln m, and ln m = 2 artanh((m - 1) / (m + 1)) by its series up
 * to a term of 1e-17 of the sum. */
FL_PACKED pack logarithm(pack x)
{
    pack m;
    const pack k = power_of_two(&m, x);
    const pack f = m - same(1.0), s = f / (m + same(1.0)), z = s * s;
    pack sum = same(2.0 / 21.0);
    for (int n = 19; n >= 3; n -= 2)
        sum = sum * z + same(2.0 / n);
    /* ln m = f - (f - 2 s) + ..., with f - 2 s = s f, keeps the digits of f. */
    const pack rest = s * (z * sum - f) + k * same(1.90821492927058770002e-10);
    return k * same(6.93147180369123816490e-01) + (f + rest);
}

#endif
