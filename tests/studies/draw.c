/* Draws of production samples: known answers, moments, correlations, refusals. */
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>

#include "base/random.h"
#include "draws.h"

enum { SAMPLES = 40000, SEED = 11 };

/* Allowed standard errors; by chance one row in 15 000 would be further off. */
static const double ALLOWED = 4.0;

typedef struct spread_row {
    const char *name;
    double nominal;
    fl_spread spreads[2];
    size_t count;
    double sigma; /* wanted */
    double most;  /* wanted bound of the deviation */
} spread_row;

#define FREE 1e9

/* Sources: uniform half-width / sqrt(3) and sums of variances are textbook identities; cut normals
 * by Johnson, Kotz and Balakrishnan, Continuous Univariate Distributions, vol. 1, ch. 13, where a
 * cut at 1, 2, 3 sigma leaves 0.5395600937548969, 0.8796256610342398, 0.9865783925581086. */
static const spread_row spread_rows[] = {
    {"normal", 10.0, {{FL_NORMAL, 2.0, false, 0.0, false, FL_LEVEL_DIE, 6}}, 1, 2.0, FREE},
    {"percent", -50.0, {{FL_NORMAL, 0.04, true, 0.0, false, FL_LEVEL_DIE, 6}}, 1, 2.0, FREE},
    {"uniform",
     1.0,
     {{FL_UNIFORM, 3.0, false, 0.0, false, FL_LEVEL_DIE, 6}},
     1,
     1.7320508075688772,
     3.0},
    {"uniform percent",
     30.0,
     {{FL_UNIFORM, 0.1, true, 0.0, false, FL_LEVEL_DIE, 6}},
     1,
     1.7320508075688772,
     3.0},
    {"cut at 1",
     5.0,
     {{FL_NORMAL, 2.0, false, 2.0, false, FL_LEVEL_DIE, 6}},
     1,
     2.0 * 0.5395600937548969,
     2.0},
    {"cut at 2",
     5.0,
     {{FL_NORMAL, 2.0, false, 4.0, false, FL_LEVEL_DIE, 6}},
     1,
     2.0 * 0.8796256610342398,
     4.0},
    {"cut at 3, percent",
     20.0,
     {{FL_NORMAL, 0.1, true, 0.3, true, FL_LEVEL_DIE, 6}},
     1,
     2.0 * 0.9865783925581086,
     6.0},
    {"cut at 2, mixed",
     -20.0,
     {{FL_NORMAL, 2.0, false, 0.2, true, FL_LEVEL_DIE, 6}},
     1,
     2.0 * 0.8796256610342398,
     4.0},
    {"two draws",
     0.0,
     {{FL_NORMAL, 3.0, false, 0.0, false, FL_LEVEL_DIE, 6},
      {FL_NORMAL, 4.0, false, 0.0, false, FL_LEVEL_LOT, 7}},
     2,
     5.0,
     FREE},
    {"one draw twice",
     0.0,
     {{FL_NORMAL, 3.0, false, 0.0, false, FL_LEVEL_LOT, 0},
      {FL_NORMAL, 4.0, false, 0.0, false, FL_LEVEL_LOT, 0}},
     2,
     7.0,
     FREE},
    {"no amount", 7.0, {{FL_NORMAL, 0.0, false, 1.0, false, FL_LEVEL_DIE, 6}}, 1, 0.0, 0.0},
    {"percent of zero", 0.0, {{FL_NORMAL, 0.1, true, 0.0, false, FL_LEVEL_DIE, 6}}, 1, 0.0, 0.0},
};

static void test_moments(void **state)
{
    (void)state;
    for (size_t r = 0; r < sizeof spread_rows / sizeof *spread_rows; r++) {
        const spread_row *row = &spread_rows[r];
        fl_quantity quantity = {.name = "q", .spreads = row->spreads, .spread_count = row->count};
        fl_design design = with_quantity(&quantity);
        fl_sampler *sampler = NULL;
        fl_error error;
        check_ok(fl_sampler_new(&sampler, &design, &error), error);
        double sum = 0.0, squares = 0.0, most = 0.0, value, scratch[DRAWS];
        for (uint64_t i = 0; i < SAMPLES; i++) {
            fl_sampler_draw(sampler, SEED, i, &row->nominal, &value, scratch);
            double off = value - row->nominal;
            sum += off;
            squares += off * off;
            most = fmax(most, fabs(off));
        }
        double variance = row->sigma * row->sigma;
        check_near(0.0, sum / SAMPLES, ALLOWED * row->sigma / sqrt(SAMPLES), "mean of %s",
                   row->name);
        /* A normal's variance has the largest standard error of these shapes. */
        check_near(variance, squares / SAMPLES, ALLOWED * variance * sqrt(2.0 / SAMPLES),
                   "variance of %s", row->name);
        if (!(most <= row->most * (1.0 + 1e-14)))
            fail_msg("%s: a deviation of %.17g is over %.17g", row->name, most, row->most);
        fl_sampler_free(sampler);
    }
}

/* Each shape keeps the place of z in its distribution; the distribution functions are GSL's. */
static void test_places(void **state)
{
    (void)state;
    static const double limits[] = {0.01, 0.5, 1.0, 3.0, 6.0};
    for (size_t l = 0; l < sizeof limits / sizeof *limits; l++) {
        const double cut = limits[l], nominal[2] = {0.0, 0.0};
        fl_spread normal = {FL_NORMAL, 1.0, false, cut, false, FL_LEVEL_DIE, 6};
        fl_spread uniform = {FL_UNIFORM, 1.0, false, 0.0, false, FL_LEVEL_DIE, 6};
        fl_quantity quantities[2] = {{.name = "cut", .spreads = &normal, .spread_count = 1},
                                     {.name = "flat", .spreads = &uniform, .spread_count = 1}};
        fl_design design = with_quantity(quantities);
        design.quantity_count = 2;
        fl_sampler *sampler = NULL;
        fl_error error;
        check_ok(fl_sampler_new(&sampler, &design, &error), error);
        double below = gsl_cdf_ugaussian_P(-cut), between = 1.0 - 2.0 * below;
        for (uint64_t i = 0; i < 2000; i++) {
            double values[2], scratch[DRAWS];
            fl_sampler_draw(sampler, SEED, i, nominal, values, scratch);
            double place = gsl_cdf_ugaussian_P(scratch[6]);
            /* The inverse is good to 4.2e-10 of its size, that is of its place by its density. */
            const double off = 4.2e-10 * fabs(values[0]) * gsl_ran_ugaussian_pdf(values[0]);
            check_near(place, (gsl_cdf_ugaussian_P(values[0]) - below) / between,
                       (off + 4e-15) / between, "sample %u, cut at %g, z %g", (unsigned)i, cut,
                       scratch[6]);
            check_near(place, (values[1] + 1.0) / 2.0, 1e-15, "sample %u, uniform", (unsigned)i);
        }
        fl_sampler_free(sampler);
    }
}

/* A draw is the random number of its own counter, whatever was drawn before. */
static void test_known(void **state)
{
    (void)state;
    fl_spread spread = {FL_NORMAL, 0.04, true, 0.0, false, FL_LEVEL_DIE, 6};
    fl_quantity quantity = {.name = "q", .spreads = &spread, .spread_count = 1};
    fl_design design = with_quantity(&quantity);
    fl_sampler *sampler = NULL;
    fl_error error;
    check_ok(fl_sampler_new(&sampler, &design, &error), error);
    static const uint64_t samples[] = {5, 0, UINT64_C(1) << 40, 5};
    for (size_t i = 0; i < sizeof samples / sizeof *samples; i++) {
        /* A negative nominal moves away from zero with a positive draw, as a positive one does. */
        double nominal = i % 2 == 0 ? 25.0 : -25.0, value, scratch[DRAWS];
        fl_sampler_draw(sampler, 3, samples[i], &nominal, &value, scratch);
        for (size_t k = 0; k < DRAWS; k++)
            check_near(fl_random_normal(3, samples[i], (uint32_t)k), scratch[k], 0.0, "draw %zu",
                       k);
        check_near(nominal + nominal * 0.04 * scratch[6], value, 0.0, "sample %zu", i);
    }
    fl_sampler_free(sampler);
}

static void test_correlations(void **state)
{
    (void)state;
    static const struct {
        size_t left, right;
        double wanted;
        const char *name;
    } rows[] = {
        {0, 1, 0.5, "a and b of the lot"},  {4, 5, 0.5, "a and b of the wafer"},
        {1, 3, -0.3, "b and d of the lot"}, {0, 3, 0.0, "a and d of the lot"},
        {0, 4, 0.0, "a of lot and wafer"},  {2, 1, 0.0, "c, without a correlation"},
        {6, 0, 0.0, "a draw of its own"},
    };
    fl_design design = with_quantity(NULL);
    design.quantity_count = 0;
    design.correlations = half;
    design.correlation_count = 2;
    fl_sampler *sampler = NULL;
    fl_error error;
    check_ok(fl_sampler_new(&sampler, &design, &error), error);
    double products[DRAWS][DRAWS] = {{0.0}}, scratch[DRAWS];
    for (uint64_t i = 0; i < SAMPLES; i++) {
        fl_sampler_draw(sampler, SEED, i, NULL, NULL, scratch);
        for (size_t k = 0; k < DRAWS; k++)
            for (size_t l = 0; l < DRAWS; l++)
                products[k][l] += scratch[k] * scratch[l] / SAMPLES;
    }
    /* Variance of a product of two standard normals: 1 + rho^2. */
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++)
        check_near(rows[r].wanted, products[rows[r].left][rows[r].right],
                   ALLOWED * sqrt((1.0 + rows[r].wanted * rows[r].wanted) / SAMPLES), "%s",
                   rows[r].name);
    for (size_t k = 0; k < DRAWS; k++)
        check_near(1.0, products[k][k], ALLOWED * sqrt(2.0 / SAMPLES), "variance of draw %zu", k);
    fl_sampler_free(sampler);
}

/* b = a + c fixed by its correlations, at the edge of what can be: the factor has a zero pivot. */
static void test_edge(void **state)
{
    (void)state;
    static const fl_correlation edge[] = {
        {{GROUP_A, GROUP_B}, 0.5}, {{GROUP_B, GROUP_C}, 0.5}, {{GROUP_A, GROUP_C}, -0.5}};
    fl_design design = with_quantity(NULL);
    design.quantity_count = 0;
    design.correlations = edge;
    design.correlation_count = 3;
    fl_sampler *sampler = NULL;
    fl_error error;
    check_ok(fl_sampler_new(&sampler, &design, &error), error);
    for (uint64_t i = 0; i < 100; i++) {
        double scratch[DRAWS];
        fl_sampler_draw(sampler, SEED, i, NULL, NULL, scratch);
        check_near(scratch[0] + scratch[2], scratch[1], 1e-14, "sample %u", (unsigned)i);
    }
    fl_sampler_free(sampler);
}

static void test_contradiction(void **state)
{
    (void)state;
    static const fl_correlation wrong[] = {
        {{GROUP_A, GROUP_B}, 0.9}, {{GROUP_C, GROUP_B}, 0.9}, {{GROUP_A, GROUP_C}, -0.9}};
    fl_design design = with_quantity(NULL);
    design.quantity_count = 0;
    design.correlations = wrong;
    design.correlation_count = 3;
    fl_sampler *sampler = NULL;
    fl_error error = {.message = ""};
    assert_int_equal(fl_sampler_new(&sampler, &design, &error), FL_BAD_INPUT);
    assert_null(sampler);
    assert_string_equal(error.place, "correlations");
    assert_string_equal(error.message,
                        "at level 'lot' the groups contradict each other: 'a', 'b' and 'c'");
    /* Without the draw of c there is no such triple at any level. */
    design.draw_count = 2;
    check_ok(fl_sampler_new(&sampler, &design, &error), error);
    fl_sampler_free(sampler);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_known),  cmocka_unit_test(test_moments),
        cmocka_unit_test(test_places), cmocka_unit_test(test_correlations),
        cmocka_unit_test(test_edge),   cmocka_unit_test(test_contradiction),
    };
    return cmocka_run_group_tests_name("studies/draw", tests, NULL, NULL);
}
