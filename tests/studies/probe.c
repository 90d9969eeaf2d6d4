/* The figure of a point, and a probe that learns more frequencies. */
#include "circuit.h"

static const char *size_text = "{\"size\": [\"1 fF\", \"500 fF\"]}";
static const double band[2] = {20e9, 30e9};

static void test_figure(void **state)
{
    (void)state;
    circuit own;
    fl_search search;
    fl_probe probe;
    fl_error error;
    circuit_pi(&own, band, 0.3e-9, size_text,
               ", \"require\": [{\"quantity\": \"return loss\", \"at least\": \"12 dB\", "
               "\"weight\": 1.5}, {\"quantity\": \"insertion loss\", \"at most\": \"0.3 dB\"}]");
    check_ok(fl_search_init(&search, &own.study, &error), error);
    check_ok(fl_probe_new(&probe, &search, 31, &error), error);
    assert_int_equal(probe.entry_count, 62);
    for (int i = 0; i < 5; i++) {
        const double values[2] = {20e-15 + 30e-15 * i, 180e-15 - 20e-15 * i};
        double figure = fl_probe_figure(&probe, &probe.walkers[0], values);
        fl_worst worst = fl_margins_worst(probe.margins, own.design, probe.walkers[0].power, NULL);
        check_near(worst.margin_db, fl_figure_margin(figure), 1e-9, "point %d", i);
    }
    assert_true(fl_probe_figure(&probe, &probe.walkers[0], (double[]){-1e-15, 1e-15}) == HUGE_VAL);
    fl_probe_release(&probe);
    assert_int_equal(search.evaluations, 6);
    fl_search_release(&search);
    circuit_close(&own);
}

static void test_margin(void **state)
{
    (void)state;
    check_near(10.0, fl_figure_margin(0.1), 1e-12, "a tenth");
    check_near(-3.0, fl_figure_margin(pow(10.0, 0.3)), 1e-12, "over one");
    check_near(FL_CEILING_DB, fl_figure_margin(0.0), 0.0, "a perfect match");
}

static void test_extend(void **state)
{
    (void)state;
    circuit own;
    fl_search search;
    fl_probe probe;
    fl_error error;
    fl_peak peaks[] = {{.band = 0, .frequency = 27.25e9},
                       {.band = 0, .frequency = 20e9},
                       {.band = 0, .frequency = 21.1e9},
                       {.band = 0, .frequency = 27.25e9}};
    fl_peak_list list = {.peaks = peaks, .count = 4};
    circuit_pi(&own, band, 0.3e-9, size_text, "");
    check_ok(fl_search_init(&search, &own.study, &error), error);
    check_ok(fl_probe_new(&probe, &search, 11, &error), error);
    check_ok(fl_probe_extend(&probe, &list, &error), error);
    assert_int_equal(probe.entry_count, 13); /* two are new, each once */
    const double *frequencies = probe.grids[0].frequencies;
    for (size_t i = 1; i < probe.grids[0].count; i++)
        assert_true(frequencies[i] > frequencies[i - 1]);
    assert_true(frequencies[2] == 21.1e9);
    assert_true(frequencies[9] == 27.25e9);
    assert_true(isfinite(fl_probe_figure(&probe, &probe.walkers[0], (double[]){1e-14, 1e-14})));
    fl_probe_release(&probe);
    fl_search_release(&search);
    circuit_close(&own);
}

/* Many requirements at many frequencies with many unknowns: refused before memory runs out. */
static void test_out_of_size(void **state)
{
    (void)state;
    circuit own;
    fl_search search;
    fl_probe probe;
    fl_error error;
    circuit_pi(&own, band, 0.3e-9, size_text, "");
    check_ok(fl_search_init(&search, &own.study, &error), error);
    assert_int_equal(fl_probe_new(&probe, &search, 4000000, &error), FL_BAD_INPUT);
    assert_non_null(strstr(error.message, "4000000"));
    fl_probe_release(&probe);
    fl_search_release(&search);
    circuit_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_figure),
        cmocka_unit_test(test_margin),
        cmocka_unit_test(test_extend),
        cmocka_unit_test(test_out_of_size),
    };
    return cmocka_run_group_tests_name("studies/probe", tests, NULL, NULL);
}
