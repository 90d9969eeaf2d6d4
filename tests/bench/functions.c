/* Time of vector functions, 4 doubles at a time with AVX2: the program's own, those of SLEEF, and
 * those that the compiler brings along (libmvec of the GNU C library).
 *
 *     build/release/tests/bench/functions
 *
 * Nanoseconds a number, over arguments as a march has them. Built where SLEEF is found. */
#include <sleef.h>

#include "bench/rig.h"

enum { COUNT = 64, TIMES = 20000, PASSES = 9 };

typedef __m256d four;

/* By their names in the library: compilers call them in loops that are compiled for speed alone. */
four compiled_sine(four x) __asm__("_ZGVdN4v_sin");
four compiled_cosine(four x) __asm__("_ZGVdN4v_cos");
four compiled_exponential(four x) __asm__("_ZGVdN4v_exp");
four compiled_logarithm(four x) __asm__("_ZGVdN4v_log");

static double angles[COUNT], decays[COUNT], sizes[COUNT], out[2][COUNT];

/* Phases of some turns, decays of some dB, powers. */
static void fill(void)
{
    for (int i = 0; i < COUNT; i++) {
        angles[i] = 12.0 * (i + 0.5) / COUNT - 6.0;
        decays[i] = 0.2 * (i + 0.5) / COUNT;
        sizes[i] = 0.01 + 0.5 * (i + 0.5) / COUNT;
    }
}

static void own_turn(void)
{
    fl_vector_of(4)->turns(out[0], out[1], angles, COUNT);
}

static void own_exponential(void)
{
    fl_vector_of(4)->exponentials(out[0], decays, COUNT);
}

static void own_logarithm(void)
{
    fl_vector_of(4)->logarithms(out[0], sizes, COUNT);
}

static void sleef_turn(void)
{
    for (int i = 0; i < COUNT; i += 4) {
        const Sleef___m256d_2 both = Sleef_sincosd4_u10avx2(_mm256_loadu_pd(angles + i));
        _mm256_storeu_pd(out[0] + i, both.x);
        _mm256_storeu_pd(out[1] + i, both.y);
    }
}

static void sleef_turn_rough(void)
{
    for (int i = 0; i < COUNT; i += 4) {
        const Sleef___m256d_2 both = Sleef_sincosd4_u35avx2(_mm256_loadu_pd(angles + i));
        _mm256_storeu_pd(out[0] + i, both.x);
        _mm256_storeu_pd(out[1] + i, both.y);
    }
}

/* One function over all numbers. */
#define OVER(name, function, from)                                                                 \
    static void name(void)                                                                         \
    {                                                                                              \
        for (int i = 0; i < COUNT; i += 4)                                                         \
            _mm256_storeu_pd(out[0] + i, function(_mm256_loadu_pd((from) + i)));                   \
    }

OVER(sleef_exponential, Sleef_expd4_u10avx2, decays)
OVER(sleef_logarithm, Sleef_logd4_u10avx2, sizes)
OVER(sleef_logarithm_rough, Sleef_logd4_u35avx2, sizes)
OVER(mvec_exponential, compiled_exponential, decays)
OVER(mvec_logarithm, compiled_logarithm, sizes)

static void mvec_turn(void)
{
    for (int i = 0; i < COUNT; i += 4) {
        const four x = _mm256_loadu_pd(angles + i);
        _mm256_storeu_pd(out[0] + i, compiled_sine(x));
        _mm256_storeu_pd(out[1] + i, compiled_cosine(x));
    }
}

/* Largest error against the C library, in units of 1e-16. */
static double error_of(void (*call)(void), double (*exact)(double), const double *from)
{
    double most = 0.0;
    call();
    for (int i = 0; i < COUNT; i++)
        most = fmax(most, fabs(out[0][i] - exact(from[i])));
    return 1e16 * most;
}

static double time_of(void (*call)(void))
{
    double best = HUGE_VAL;
    for (int pass = 0; pass < PASSES; pass++) {
        const double begin = now();
        for (int i = 0; i < TIMES; i++)
            call();
        best = fmin(best, now() - begin);
    }
    return 1e9 * best / ((double)TIMES * COUNT);
}

int main(void)
{
    static const struct {
        const char *function, *whose;
        void (*call)(void);
        double (*exact)(double);
        const double *from;
    } rows[] = {{"turn", "own", own_turn, sin, angles},
                {"turn", "sleef-u10", sleef_turn, sin, angles},
                {"turn", "sleef-u35", sleef_turn_rough, sin, angles},
                {"turn", "libmvec", mvec_turn, sin, angles},
                {"exponential", "own", own_exponential, exp, decays},
                {"exponential", "sleef-u10", sleef_exponential, exp, decays},
                {"exponential", "libmvec", mvec_exponential, exp, decays},
                {"logarithm", "own", own_logarithm, log, sizes},
                {"logarithm", "sleef-u10", sleef_logarithm, log, sizes},
                {"logarithm", "sleef-u35", sleef_logarithm_rough, log, sizes},
                {"logarithm", "libmvec", mvec_logarithm, log, sizes}};
    if (fl_vector_of(4) == NULL)
        return 0;
    fill();
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        printf("function %s whose %s time %.3f error %.1f\n", rows[i].function, rows[i].whose,
               time_of(rows[i].call), error_of(rows[i].call, rows[i].exact, rows[i].from));
    return 0;
}
