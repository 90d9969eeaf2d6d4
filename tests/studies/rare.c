/* Yields by importance sampling: shares of failure known in closed form, held by their intervals;
 * plain samples told the same; exact slopes by draws; the same bits on any number of threads. */
#include <stdlib.h>

#include "base/random.h"
#include "circuit.h"

enum { SAMPLES = 4096, RUNS = 400, QUICK_RUNS = 40 };

static const double SIGMA = 10e-12; /* of the sum */

typedef struct row {
    size_t values;
    double sigmas; /* of the sum, from where it fails */
} row;

static void circuit_of(circuit *own, const row *at, const char *more)
{
    char yield[200];
    snprintf(yield, sizeof yield, "\"samples\": %d, \"sampling\": \"%s\"%s", SAMPLES, "importance",
             more);
    circuit_sum(own, at->values, &(circuit_spread){0.2e-9 + at->sigmas * SIGMA, SIGMA}, yield);
}

/* The interval holds the true share as often as it says, but for chance; the estimate has no bias;
 * the point is where it must be. Fewer runs under memcheck: what is allowed grows as the scatter
 * does. */
static void test_closed_form(void **state)
{
    (void)state;
    const unsigned runs = getenv("FL_TEST_QUICK") ? QUICK_RUNS : RUNS;
    static const row rows[] = {{1, 2.326}, {1, 4.0}, {2, 4.0}, {2, 5.0}, {1, 6.0}, {8, 6.0}};
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        circuit own;
        fl_error error;
        double nominal[8], bias = 0.0, squares = 0.0, error_mean = 0.0;
        const double wanted = 0.5 * erfc(rows[r].sigmas / sqrt(2.0));
        unsigned held = 0;
        circuit_of(&own, &rows[r], "");
        fl_design_start(own.design, nominal);
        for (unsigned run = 0; run < runs; run++) {
            fl_yielding yielding;
            own.study.seed = run;
            check_ok(fl_yielding_run(&yielding, &own.study, nominal, &error), error);
            const fl_rarity *rare = &yielding.rare;
            assert_int_equal(yielding.samples, SAMPLES);
            assert_int_equal(yielding.basis, FL_BASIS_WEIGHTS);
            assert_true(rare->point_count >= 1);
            check_near(rows[r].sigmas, rare->points[0].sigmas, 2e-3, "sigmas");
            held += rare->low <= wanted && wanted <= rare->high;
            bias += (rare->failing / wanted - 1.0) / runs;
            squares += pow(rare->failing / wanted - 1.0, 2.0) / runs;
            error_mean += rare->error / wanted / runs;
            fl_yielding_release(&yielding);
        }
        print_message("%zu values, %g sigmas: held in %.3f, bias %.4f, error %.4f, said %.4f\n",
                      rows[r].values, rows[r].sigmas, (double)held / runs, bias, sqrt(squares),
                      error_mean);
        assert_true((double)held / runs >= 0.95 - 3.0 * sqrt(0.95 * 0.05 / runs));
        check_near(0.0, bias, 4.0 * sqrt(squares / runs), "bias");
        check_near(1.0, error_mean / sqrt(squares), 0.2 * sqrt((double)RUNS / runs),
                   "error said over error");
        assert_true(sqrt(squares) < 0.06);
        circuit_close(&own);
    }
}

/* Spreads of every shape, in groups that are correlated, and two cases that fail on either side:
 * what random samples tell, at a yield where they are many. */
static void two_sided(circuit *own, const char *sampling, unsigned samples)
{
    const char *port = "\"impedance\": \"50 ohm\"";
    char end[900];
    circuit_begin(own, 26e9, 30e9, port, port);
    circuit_part(own, "shunt capacitor",
                 "\"capacitance\": {\"value\": \"40 fF\", \"spread\": {\"normal\": \"4 fF\", "
                 "\"within\": \"10 fF\", \"group\": \"a\"}}");
    circuit_part(own, "series inductor",
                 "\"inductance\": {\"value\": \"0.2 nH\", \"spread\": {\"normal\": \"12 pH\", "
                 "\"group\": \"b\"}}");
    circuit_part(own, "shunt capacitor",
                 "\"capacitance\": {\"value\": \"40 fF\", \"spread\": {\"uniform\": \"6 fF\"}}");
    snprintf(end, sizeof end,
             ", \"correlations\": [[\"a\", \"b\", 0.5]], \"points\": 9, "
             "\"cases\": [{\"name\": \"plain\"}, {\"name\": \"more\", \"set\": {\"p2 inductance\": "
             "{\"value\": \"0.21 nH\", \"spread\": {\"normal\": \"12 pH\", \"group\": \"b\"}}}}], "
             "\"require\": [{\"quantity\": \"return loss\", \"at least\": \"17 dB\"}], "
             "\"yield\": {\"samples\": %u, \"sampling\": \"%s\"}",
             samples, sampling);
    circuit_end(own, end);
}

static void test_plain_samples(void **state)
{
    (void)state;
    circuit own[2];
    fl_yielding found[2];
    fl_error error;
    double nominal[16];
    two_sided(&own[0], "random", 200000);
    two_sided(&own[1], "importance", 20000);
    for (size_t i = 0; i < 2; i++) {
        fl_design_start(own[i].design, nominal);
        check_ok(fl_yielding_run(&found[i], &own[i].study, nominal, &error), error);
        print_message("%.5f, %.5f to %.5f\n", found[i].estimate, found[i].low, found[i].high);
        for (size_t c = 0; c < 2; c++)
            print_message("  case %.5f, %.5f to %.5f\n", found[i].cases[c].estimate,
                          found[i].cases[c].low, found[i].cases[c].high);
    }
    for (size_t i = 0; i < found[1].rare.point_count; i++)
        print_message("  case %zu at %.3f sigmas\n", found[1].rare.points[i].case_index,
                      found[1].rare.points[i].sigmas);
    const double plain = sqrt(found[0].estimate * (1.0 - found[0].estimate) / 200000.0);
    check_near(found[0].estimate, found[1].estimate, 3.5 * hypot(plain, found[1].rare.error),
               "yield");
    for (size_t c = 0; c < 2; c++)
        assert_true(found[0].cases[c].low <= found[1].cases[c].high &&
                    found[1].cases[c].low <= found[0].cases[c].high);
    assert_true(found[1].effective > 20000.0);
    for (size_t i = 0; i < 2; i++) {
        fl_yielding_release(&found[i]);
        circuit_close(&own[i]);
    }
}

/* Exact slopes against differences. */
static void test_slopes(void **state)
{
    (void)state;
    circuit own;
    fl_sampler *sampler = NULL;
    fl_error error;
    double nominal[16], partial[16], slopes[8];
    two_sided(&own, "importance", 1000);
    fl_design_start(own.design, nominal);
    check_ok(fl_sampler_new(&sampler, own.design, &error), error);
    const size_t draws = own.design->draw_count, count = own.design->quantity_count;
    assert_true(draws >= 3 && draws <= 8 && count <= 16);
    for (size_t i = 0; i < count; i++)
        partial[i] = (1.0 + (double)i) / nominal[i];
    for (size_t trial = 0; trial < 20; trial++) {
        double at[8] = {0.0}, ends[2];
        for (size_t k = 0; k < draws; k++)
            at[k] = 2.0 * fl_random_normal(5, trial, (uint32_t)k);
        double z[8], values[16];
        memcpy(z, at, sizeof z);
        fl_sampler_apply(sampler, nominal, values, z);
        fl_sampler_slopes(sampler, nominal, z, partial, slopes);
        for (size_t k = 0; k < draws; k++) {
            for (size_t end = 0; end < 2; end++) {
                memcpy(z, at, sizeof z);
                z[k] += end == 0 ? -1e-4 : 1e-4;
                fl_sampler_apply(sampler, nominal, values, z);
                ends[end] = 0.0;
                for (size_t i = 0; i < count; i++)
                    ends[end] += partial[i] * (values[i] - nominal[i]);
            }
            check_near((ends[1] - ends[0]) / 2e-4, slopes[k], 1e-8, "slope");
        }
    }
    fl_sampler_free(sampler);
    circuit_close(&own);
}

static void test_threads(void **state)
{
    (void)state;
    fl_yielding found[2];
    fl_error error;
    double nominal[16];
    circuit own;
    two_sided(&own, "importance", 20000);
    fl_design_start(own.design, nominal);
    for (size_t i = 0; i < 2; i++) {
        own.study.threads = i == 0 ? 1 : 3;
        check_ok(fl_yielding_run(&found[i], &own.study, nominal, &error), error);
    }
    assert_int_equal(found[0].rare.failed, found[1].rare.failed);
    check_near(found[0].rare.failing, found[1].rare.failing, 0.0, "failing");
    check_near(found[0].rare.error, found[1].rare.error, 0.0, "error");
    check_near(found[0].cases[1].low, found[1].cases[1].low, 0.0, "low");
    fl_yielding_release(&found[0]);
    fl_yielding_release(&found[1]);
    circuit_close(&own);
}

/* Nothing fails within reach: plain counting of all, since no point draws samples away. Nominal
 * values that fail: plain samples too. */
static void test_ends(void **state)
{
    (void)state;
    static const row rows[] = {{2, 15.0}, {2, -0.5}};
    for (size_t r = 0; r < 2; r++) {
        circuit own;
        fl_error error;
        fl_yielding yielding;
        double nominal[8], low, high;
        circuit_of(&own, &rows[r], "");
        fl_design_start(own.design, nominal);
        check_ok(fl_yielding_run(&yielding, &own.study, nominal, &error), error);
        assert_int_equal(yielding.rare.point_count, 0);
        assert_int_equal(yielding.basis, FL_BASIS_SAMPLES);
        fl_interval_exact(&low, &high, yielding.passed, SAMPLES, 0.95);
        check_near(low, yielding.low, 1e-15, "low");
        check_near(high, yielding.high, 1e-15, "high");
        check_near(fl_normal_share(rows[r].sigmas), yielding.estimate, 0.03, "yield");
        fl_yielding_release(&yielding);
        circuit_close(&own);
    }
}

/* Few samples, none of which fails: no more is known than the plain ones tell. */
static void test_none_failed(void **state)
{
    (void)state;
    const row at = {1, 6.0};
    unsigned none = 0;
    circuit own;
    fl_error error;
    double nominal[8];
    circuit_of(&own, &at, "");
    own.study.samples = 2;
    fl_design_start(own.design, nominal);
    for (unsigned run = 0; run < 50; run++) {
        fl_yielding yielding;
        own.study.seed = run;
        check_ok(fl_yielding_run(&yielding, &own.study, nominal, &error), error);
        if (yielding.rare.failed == 0) {
            none++;
            assert_true(isnan(yielding.rare.error));
            check_near(1.0, yielding.estimate, 0.0, "yield");
            check_near(1.0, yielding.high, 0.0, "high");
            assert_true(yielding.low < 0.2 && yielding.low >= 0.0);
        }
        fl_yielding_release(&yielding);
    }
    assert_true(none > 0);
    circuit_close(&own);
}

static void test_refused(void **state)
{
    (void)state;
    const char *port = "\"impedance\": \"50 ohm\"";
    const row at = {1, 4.0};
    fl_error error;
    fl_yielding yielding;
    double nominal[8];
    circuit own;
    circuit_of(&own, &at, "");
    own.study.checkpoint = FL_SCRATCH_DIR "/rare.checkpoint";
    fl_design_start(own.design, nominal);
    assert_int_equal(fl_yielding_run(&yielding, &own.study, nominal, &error), FL_BAD_INPUT);
    assert_non_null(strstr(error.message, "'importance' takes no checkpoint"));
    fl_yielding_release(&yielding);
    circuit_close(&own);
    circuit_begin(&own, 29e9, 30e9, port, port);
    circuit_part(&own, "series inductor", "\"inductance\": \"0.1 nH\"");
    circuit_end(&own, ", \"yield\": {\"sampling\": \"importance\"}");
    fl_design_start(own.design, nominal);
    assert_int_equal(fl_yielding_run(&yielding, &own.study, nominal, &error), FL_BAD_INPUT);
    assert_non_null(strstr(error.message, "needs a value with a spread"));
    fl_yielding_release(&yielding);
    circuit_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_closed_form), cmocka_unit_test(test_plain_samples),
        cmocka_unit_test(test_slopes),      cmocka_unit_test(test_threads),
        cmocka_unit_test(test_ends),        cmocka_unit_test(test_none_failed),
        cmocka_unit_test(test_refused),
    };
    return cmocka_run_group_tests_name("studies/rare", tests, NULL, NULL);
}
