/* Multiply-adds a second of one core, for each width of vectors: the limit that no kernel passes.
 *
 *     build/release/tests/bench/peak
 *
 * Twelve independent chains in registers, so that neither memory nor the time of one operation
 * counts; once as a multiplication and an addition, once fused where the processor can. The kernels
 * of the library do not fuse, so that all widths give the same bits. */
#include <math.h>
#include <stdio.h>
#include <time.h>

#if defined(__x86_64__)
#include <immintrin.h>

enum { CHAINS = 12, TURNS = 2000000 };

typedef double (*peak_run)(void);

typedef double pair __attribute__((vector_size(16)));
typedef double quad __attribute__((vector_size(32)));
typedef double octet __attribute__((vector_size(64)));

#define APART(a) a = a * factor + term
#define QUAD_FUSED(a) a = (quad)_mm256_fmadd_pd((__m256d)a, (__m256d)factor, (__m256d)term)
#define OCTET_FUSED(a) a = (octet)_mm512_fmadd_pd((__m512d)a, (__m512d)factor, (__m512d)term)

/* The sum of all is returned, so that nothing can be left out. */
#define DEFINE_RUN(name, type, step)                                                               \
    static double name(void)                                                                       \
    {                                                                                              \
        const type none = {0.0}, factor = none + 0.999, term = none + 0.001;                       \
        type a = none + 1.1, b = a + 0.1, c = a + 0.2, d = a + 0.3, e = a + 0.4, f = a + 0.5;      \
        type g = a + 0.6, h = a + 0.7, i = a + 0.8, j = a + 0.9, k = a + 1.0, l = a + 1.1;         \
        for (int turn = 0; turn < TURNS; turn++) {                                                 \
            step(a), step(b), step(c), step(d), step(e), step(f);                                  \
            step(g), step(h), step(i), step(j), step(k), step(l);                                  \
        }                                                                                          \
        const type sum = a + b + c + d + e + f + g + h + i + j + k + l;                            \
        return sum[0] + sum[1];                                                                    \
    }

DEFINE_RUN(pair_apart, pair, APART)
__attribute__((target("avx2"))) DEFINE_RUN(quad_apart, quad, APART)
    __attribute__((target("avx2,fma"))) DEFINE_RUN(quad_fused, quad, QUAD_FUSED)
        __attribute__((target("avx512f"))) DEFINE_RUN(octet_apart, octet, APART)
            __attribute__((target("avx512f"))) DEFINE_RUN(octet_fused, octet, OCTET_FUSED)

                static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* Operations a second, the best of some runs. */
static void print_peak(int width, const char *how, peak_run run)
{
    double best = HUGE_VAL, sum = 0.0;
    for (int pass = 0; pass < 9; pass++) {
        const double begin = now();
        sum += run();
        best = fmin(best, now() - begin);
    }
    if (isfinite(sum))
        printf("width %d how %s rate %.4e\n", width, how, 2.0 * CHAINS * TURNS * width / best);
}

int main(void)
{
    print_peak(2, "apart", pair_apart);
    if (__builtin_cpu_supports("avx2"))
        print_peak(4, "apart", quad_apart);
    if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma"))
        print_peak(4, "fused", quad_fused);
    if (__builtin_cpu_supports("avx512f")) {
        print_peak(8, "apart", octet_apart);
        print_peak(8, "fused", octet_fused);
    }
    return 0;
}
#else
int main(void)
{
    puts("peak: only for x86-64");
    return 0;
}
#endif
