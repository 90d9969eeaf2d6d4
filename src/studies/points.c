/* Replicates of scrambled Sobol points and of Latin hypercubes, any point of which can be had at
 * once: by counter, as random numbers are. */
#include "studies/points.h"

#include <string.h>

#include "base/random.h"

/* Digits of a number; with half a digit they fill those of a double. */
enum { DIGITS = 52 };

/* Rounds of a shuffle. */
enum { ROUNDS = 4 };

/** A dimension of a replicate: what each bit of the point's number adds, and the shift. */
typedef struct net {
    uint64_t columns[FL_SOBOL_BITS];
    uint64_t shift;
} net;

/** A draw of a replicate: a permutation of its points. */
typedef struct shuffle {
    uint32_t times[ROUNDS]; /* odd */
    uint32_t plus[ROUNDS + 1];
} shuffle;

struct fl_points {
    fl_arena arena;
    uint64_t seed;
    unsigned bits; /* points of a replicate: 2^bits */
    size_t draws;
    size_t net_count;  /* draws that are dimensions of the sequence; those after are shuffled */
    net *nets;         /* [FL_REPLICATES][net_count] */
    shuffle *shuffles; /* [FL_REPLICATES][draws - net_count] */
};

/* ---- making ---- */

/* A random lower triangular matrix with ones on its diagonal takes the digits of a number to new
 * ones [Matousek1998]; digits below those of the sequence become random ones as well. The shift
 * makes every point uniform. Items are counted apart for each dimension and replicate. */
static void scramble(net *own, uint64_t seed, size_t replicate, size_t which)
{
    const uint64_t counter = (uint64_t)replicate * (FL_SOBOL_BITS + 1);
    uint64_t matrix[FL_SOBOL_BITS];
    uint32_t columns[FL_SOBOL_BITS];
    for (unsigned i = 0; i < FL_SOBOL_BITS; i++) {
        const uint64_t one = UINT64_C(1) << (DIGITS - 1 - i);
        matrix[i] = one | (fl_random_bits(seed, counter + i, (uint32_t)which) & (one - 1));
    }
    fl_sobol_columns(columns, which);
    for (unsigned k = 0; k < FL_SOBOL_BITS; k++) {
        own->columns[k] = 0;
        for (unsigned i = 0; i < FL_SOBOL_BITS; i++)
            if ((columns[k] >> (FL_SOBOL_BITS - 1 - i) & 1) != 0)
                own->columns[k] ^= matrix[i];
    }
    own->shift = fl_random_bits(seed, counter + FL_SOBOL_BITS, (uint32_t)which) >> (64 - DIGITS);
}

/* Rounds of a sum and a product by an odd number each, and one sum behind them. */
static void make_shuffle(shuffle *own, uint64_t seed, size_t replicate, size_t draw)
{
    const uint64_t counter = (uint64_t)replicate * (FL_SOBOL_BITS + 1);
    for (unsigned i = 0; i < ROUNDS; i++)
        own->times[i] = (uint32_t)fl_random_bits(seed, counter + i, (uint32_t)draw) | 1;
    for (unsigned i = 0; i <= ROUNDS; i++)
        own->plus[i] = (uint32_t)fl_random_bits(seed, counter + ROUNDS + i, (uint32_t)draw);
}

/* Replicates are randomised by themselves: what they differ by is the error of their mean. */
static fl_status fill(fl_points *own, fl_error *error)
{
    const size_t rest = own->draws - own->net_count;
    own->nets = fl_arena_take(&own->arena, FL_REPLICATES * own->net_count, sizeof *own->nets);
    own->shuffles = fl_arena_take(&own->arena, FL_REPLICATES * rest, sizeof *own->shuffles);
    if (own->nets == NULL || own->shuffles == NULL)
        return fl_fail_memory(error);
    for (size_t replicate = 0; replicate < FL_REPLICATES; replicate++) {
        for (size_t i = 0; i < own->net_count; i++)
            scramble(&own->nets[replicate * own->net_count + i], own->seed, replicate, i);
        for (size_t i = 0; i < rest; i++)
            make_shuffle(&own->shuffles[replicate * rest + i], own->seed, replicate,
                         own->net_count + i);
    }
    return FL_OK;
}

/* Draws beyond the dimensions of the sequence are those of a Latin hypercube, which are even one by
 * one [Owen1998]. */
fl_status fl_points_new(fl_points **points, const fl_study *study, fl_error *error)
{
    const fl_design *design = study->design;
    if (study->samples > FL_EVEN_SAMPLES)
        return fl_fail(error, FL_BAD_INPUT, "",
                       "sampling '%s' takes at most %llu samples, found %llu",
                       fl_sampling_name(design->sampling), (unsigned long long)FL_EVEN_SAMPLES,
                       (unsigned long long)study->samples);
    fl_points *made = fl_memory_take(1, sizeof *made);
    if (made == NULL)
        return fl_fail_memory(error);
    fl_arena_init(&made->arena);
    made->seed = study->seed;
    made->draws = design->draw_count;
    made->bits = 6; /* a lot: FL_LANES points */
    if (design->sampling == FL_SAMPLING_SOBOL)
        made->net_count =
            made->draws < FL_SOBOL_DIMENSIONS ? made->draws : (size_t)FL_SOBOL_DIMENSIONS;
    while (((uint64_t)FL_REPLICATES << made->bits) < study->samples)
        made->bits++;
    const fl_status status = fill(made, error);
    if (status != FL_OK) {
        fl_points_free(made);
        return status;
    }
    *points = made;
    return FL_OK;
}

void fl_points_free(fl_points *points)
{
    if (points == NULL)
        return;
    fl_arena_release(&points->arena);
    fl_memory_free(points);
}

/* ---- drawing ---- */

/** Where a sample is: in its replicate, which point. */
typedef struct place {
    size_t replicate;
    uint64_t point;
} place;

static place place_of(uint64_t sample)
{
    const uint64_t lot = sample / FL_LANES;
    return (place){(size_t)(lot % FL_REPLICATES),
                   lot / FL_REPLICATES * FL_LANES + sample % FL_LANES};
}

/* Digits of a point: bits of its number that are 0 add nothing. */
static uint64_t digits_of(const net *own, uint64_t point)
{
    uint64_t digits = own->shift;
    for (unsigned k = 0; point >> k != 0; k++)
        if ((point >> k & 1) != 0)
            digits ^= own->columns[k];
    return digits;
}

/* Every step can be undone, so that no two points come to the same place: sums and products by odd
 * numbers carry upward, the shift downward. The last sum makes each point uniform. */
static uint32_t shuffled(const shuffle *own, uint32_t point, unsigned bits)
{
    const uint32_t mask = (UINT32_C(1) << bits) - 1;
    const unsigned half = bits / 2;
    for (unsigned i = 0; i < ROUNDS; i++) {
        point = (point + own->plus[i]) * own->times[i] & mask;
        point ^= point >> half;
    }
    return (point + own->plus[ROUNDS]) & mask;
}

/* Uniform within its part of the interval; never 1, to which it may be rounded. Parts are fewer
 * than 2^31, which convert faster as numbers with a sign. */
static double within(uint32_t part, double width, double uniform)
{
    const double at = ((double)(int32_t)part + uniform) * width;
    return at < 1.0 ? at : 1.0 - 0x1p-53;
}

/* A power of two, so that a product by it is exact. */
static double width_of(const fl_points *points)
{
    return 1.0 / (double)(UINT64_C(1) << points->bits);
}

double fl_points_at(const fl_points *points, uint64_t sample, size_t draw)
{
    const place at = place_of(sample);
    if (draw < points->net_count) {
        const net *own = &points->nets[at.replicate * points->net_count + draw];
        return ((double)digits_of(own, at.point) + 0.5) * 0x1p-52;
    }
    const size_t rest = points->draws - points->net_count;
    const shuffle *own = &points->shuffles[at.replicate * rest + draw - points->net_count];
    return within(shuffled(own, (uint32_t)at.point, points->bits), width_of(points),
                  fl_random_uniform(points->seed, sample, (uint32_t)draw));
}

/* The highest bits are common to all lanes; each of the others doubles how many are done. */
FL_WIDE static void net_lanes(double *uniforms, const net *own, uint64_t point)
{
    uint64_t digits[FL_LANES];
    digits[0] = digits_of(own, point);
    for (unsigned k = 0; 1U << k < FL_LANES; k++)
        for (unsigned i = 0; i < 1U << k; i++)
            digits[(1U << k) + i] = digits[i] ^ own->columns[k];
    for (unsigned i = 0; i < FL_LANES; i++) {
        /* As a double between 1 and 2, whose digits these are: converting takes longer. */
        const uint64_t bits = digits[i] | UINT64_C(0x3ff0000000000000);
        double one;
        memcpy(&one, &bits, sizeof one);
        uniforms[i] = one - (1.0 - 0x1p-53);
    }
}

FL_WIDE static void shuffle_lanes(double *uniforms, const shuffle *own, uint32_t point,
                                  const fl_points *points)
{
    const unsigned bits = points->bits;
    const double width = width_of(points);
    for (unsigned i = 0; i < FL_LANES; i++)
        uniforms[i] = within(shuffled(own, point + i, bits), width, uniforms[i]);
}

/* Where there are both kinds of draws, those of the sequence are a multiple of 4. */
void fl_points_lanes(const fl_points *points, double (*uniforms)[FL_LANES], const fl_vector *vector,
                     uint64_t first)
{
    const place at = place_of(first);
    const size_t nets = points->net_count, draws = points->draws;
    const net *own = points->nets + at.replicate * nets;
    const shuffle *rest = points->shuffles + at.replicate * (draws - nets);
    for (size_t i = 0; i < nets; i++)
        net_lanes(uniforms[i], &own[i], at.point);
    if (nets < draws)
        vector->uniforms(uniforms[nets], draws - nets, points->seed, first, (uint32_t)nets);
    for (size_t i = nets; i < draws; i++)
        shuffle_lanes(uniforms[i], &rest[i - nets], (uint32_t)at.point, points);
}
