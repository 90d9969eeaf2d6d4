/* Points more even than random ones: what scrambling and shuffling keep. */
#include "studies/points.h"
#include "base/random.h"
#include "check.h"

enum { DRAWS = FL_SOBOL_DIMENSIONS + 6, BITS = 8, EACH = 1 << BITS };

/** Points of a study that says no more than this. */
typedef struct rig {
    fl_design design;
    fl_study study;
    fl_points *points;
} rig;

static void rig_open(rig *own, fl_sampling sampling, uint64_t seed, uint64_t samples)
{
    fl_error error;
    memset(own, 0, sizeof *own);
    own->design.sampling = sampling;
    own->design.draw_count = DRAWS;
    own->study = (fl_study){.design = &own->design, .seed = seed, .samples = samples};
    check_ok(fl_points_new(&own->points, &own->study, &error), error);
}

static const fl_sampling even[] = {FL_SAMPLING_SOBOL, FL_SAMPLING_LATIN};

/* Sample that is a point of a replicate. */
static uint64_t sample_of(uint64_t replicate, uint64_t point)
{
    return (point / FL_LANES * FL_REPLICATES + replicate) * FL_LANES + point % FL_LANES;
}

/* Of each replicate every draw has one point in each part of the interval, in both samplings, and
 * beyond the dimensions of the sequence. */
static void test_parts(void **state)
{
    (void)state;
    for (size_t s = 0; s < 2; s++) {
        rig own;
        rig_open(&own, even[s], 7, (uint64_t)FL_REPLICATES * EACH);
        for (uint64_t replicate = 0; replicate < FL_REPLICATES; replicate++)
            for (size_t draw = 0; draw < DRAWS; draw++) {
                unsigned seen[EACH] = {0};
                for (uint64_t i = 0; i < EACH; i++) {
                    const double u = fl_points_at(own.points, sample_of(replicate, i), draw);
                    assert_true(u > 0.0 && u < 1.0);
                    seen[(size_t)(u * EACH)]++;
                }
                for (size_t i = 0; i < EACH; i++)
                    assert_int_equal(seen[i], 1);
            }
        fl_points_free(own.points);
    }
}

/* The first two dimensions are a net: every box of 2^-a by 2^-b with as many boxes as points has
 * one of them [Sobol1967]. Scrambling keeps that. */
static void test_net(void **state)
{
    (void)state;
    rig own;
    rig_open(&own, FL_SAMPLING_SOBOL, 3, (uint64_t)FL_REPLICATES * EACH);
    for (uint64_t replicate = 0; replicate < FL_REPLICATES; replicate++)
        for (unsigned a = 0; a <= BITS; a++) {
            unsigned seen[EACH] = {0};
            for (uint64_t i = 0; i < EACH; i++) {
                const double x = fl_points_at(own.points, sample_of(replicate, i), 0);
                const double y = fl_points_at(own.points, sample_of(replicate, i), 1);
                const size_t column = (size_t)(x * (1U << a));
                const size_t row = (size_t)(y * (1U << (BITS - a)));
                seen[(column << (BITS - a)) + row]++;
            }
            for (size_t i = 0; i < EACH; i++)
                assert_int_equal(seen[i], 1);
        }
    fl_points_free(own.points);
}

/* Rows of many samples are the samples' own, to their bits. */
static void test_lanes(void **state)
{
    (void)state;
    for (size_t s = 0; s < 2; s++) {
        rig own;
        rig_open(&own, even[s], 11, 100000);
        for (uint64_t first = 0; first < 100000; first += (uint64_t)97 * FL_LANES) {
            double rows[DRAWS][FL_LANES];
            fl_points_lanes(own.points, rows, fl_vector_widest(), first);
            for (size_t draw = 0; draw < DRAWS; draw++)
                for (size_t i = 0; i < FL_LANES; i++)
                    check_near(fl_points_at(own.points, first + i, draw), rows[draw][i], 0.0,
                               "a lane");
        }
        fl_points_free(own.points);
    }
}

enum { SEEDS = 200, PLACES = 4, SCALES = 4 };

/** Sums of a number about the middle, over seeds and replicates, and of its square. */
typedef struct moments {
    double sum, squares;
} moments;

/* Of a fixed point in four replicates of a seed, at several draws and from several digits on. Of
 * 1024 samples a shuffled draw has 32 digits below the 6 of its part. */
static void add_moments(moments all[PLACES][SCALES], const fl_points *points, size_t nets)
{
    static const size_t draws[PLACES] = {0, 1, 40, DRAWS - 1};
    static const double scales[SCALES + 1] = {1.0, 0x1p10, 0x1p20, 0x1p45, 0x1p31};
    for (size_t i = 0; i < (size_t)4 * PLACES * SCALES; i++) {
        const size_t d = i / SCALES % PLACES, k = i % SCALES;
        const uint64_t at = sample_of(i / ((size_t)PLACES * SCALES), 21);
        const size_t digits = k + 1 == SCALES && draws[d] >= nets ? SCALES : k;
        const double u = scales[digits] * fl_points_at(points, at, draws[d]);
        const double x = u - floor(u) - 0.5;
        all[d][k].sum += x;
        all[d][k].squares += x * x;
    }
}

/* Over many seeds a point is uniform, and so is each of its lower digits; replicates and seeds
 * differ: mean and second moment, five standard errors. */
static void test_uniform(void **state)
{
    (void)state;
    const double count = 4.0 * SEEDS;
    for (size_t s = 0; s < 2; s++) {
        moments all[PLACES][SCALES] = {{{0.0, 0.0}}};
        for (uint64_t seed = 0; seed < SEEDS; seed++) {
            rig own;
            rig_open(&own, even[s], seed, 1024);
            add_moments(all, own.points,
                        even[s] == FL_SAMPLING_SOBOL ? (size_t)FL_SOBOL_DIMENSIONS : 0);
            fl_points_free(own.points);
        }
        for (size_t i = 0; i < (size_t)PLACES * SCALES; i++) {
            const moments *at = &all[i / SCALES][i % SCALES];
            check_near(0.0, at->sum / count, 5.0 * sqrt(1.0 / 12.0 / count), "mean");
            check_near(1.0 / 12.0, at->squares / count, 5.0 * sqrt(1.0 / 180.0 / count),
                       "second moment");
        }
    }
}

/* Mean of the product of two draws about their middles over a replicate: its variance over many
 * seeds. Of shuffled ones it is that of random points, 1/144 n, for its main effects vanish
 * [McKay1979]; of a net far less. A shuffle that kept neighbours together would show here. */
static void test_products(void **state)
{
    (void)state;
    enum { TIMES = 40 };
    static const struct {
        fl_sampling sampling;
        size_t draws[2];
        double low, high; /* of variance times 144 n */
    } rows[] = {
        {FL_SAMPLING_LATIN, {0, 1}, 0.8, 1.25},
        {FL_SAMPLING_LATIN, {2, DRAWS - 1}, 0.8, 1.25},
        {FL_SAMPLING_SOBOL, {DRAWS - 2, DRAWS - 1}, 0.8, 1.25},
        {FL_SAMPLING_SOBOL, {5, DRAWS - 1}, 0.8, 1.25},
        {FL_SAMPLING_SOBOL, {0, 1}, 0.0, 0.02},
        {FL_SAMPLING_SOBOL, {2, 3}, 0.0, 0.3},
    };
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        double squares = 0.0;
        for (uint64_t seed = 0; seed < TIMES; seed++) {
            rig own;
            rig_open(&own, rows[r].sampling, seed, (uint64_t)FL_REPLICATES * EACH);
            for (uint64_t replicate = 0; replicate < FL_REPLICATES; replicate++) {
                double sum = 0.0;
                for (uint64_t i = 0; i < EACH; i++) {
                    const uint64_t at = sample_of(replicate, i);
                    sum += (fl_points_at(own.points, at, rows[r].draws[0]) - 0.5) *
                           (fl_points_at(own.points, at, rows[r].draws[1]) - 0.5);
                }
                squares += sum * sum;
            }
            fl_points_free(own.points);
        }
        const double found = 144.0 / EACH * squares / (TIMES * FL_REPLICATES);
        print_message("row %zu: variance %.4f of random points\n", r, found);
        assert_true(found >= rows[r].low && found <= rows[r].high);
    }
}

static void test_refused(void **state)
{
    (void)state;
    fl_error error;
    fl_points *points = NULL;
    const fl_design design = {.sampling = FL_SAMPLING_LATIN, .draw_count = 1};
    const fl_study study = {.design = &design, .samples = FL_EVEN_SAMPLES + 1};
    assert_int_equal(fl_points_new(&points, &study, &error), FL_BAD_INPUT);
    assert_non_null(strstr(error.message, "at most 34359738368 samples"));
    assert_null(points);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_parts),    cmocka_unit_test(test_net),
        cmocka_unit_test(test_lanes),    cmocka_unit_test(test_uniform),
        cmocka_unit_test(test_products), cmocka_unit_test(test_refused),
    };
    return cmocka_run_group_tests_name("studies/points", tests, NULL, NULL);
}
