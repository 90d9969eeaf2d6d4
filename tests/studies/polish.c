/* The polish: from a probe that sees little to the truth over the continuous band. */
#include "circuit.h"

/* Of equal ripple with an inner peak: 0.2 nH to 30 GHz from a thousandth, closed form. The probe
 * begins with the band's ends and middle alone, where the peak at x = 1/2 is barely seen; with
 * four points it is not. */
static void test_learns(void **state)
{
    (void)state;
    for (size_t points = 2; points <= 5; points++) {
        circuit own;
        fl_search search;
        fl_probe probe;
        fl_error error;
        double values[2] = {30e-15, 70e-15}, margin_db = 0.0;
        circuit_pi(&own, (double[]){30e6, 30e9}, 0.2e-9, "{\"size\": [\"1 fF\", \"500 fF\"]}", "");
        check_ok(fl_search_init(&search, &own.study, &error), error);
        check_ok(fl_probe_new(&probe, &search, points, &error), error);
        fl_descent descent = {.probe = &probe, .tolerance = 1e-9, .evaluations = 500, .rounds = 6};
        check_ok(fl_polish(&descent, values, &margin_db, &error), error);
        check_near(35.2161, margin_db, 1e-3, "%zu points", points);
        check_close(45.5222e-15, values[0], 1e-3, "%zu points: first", points);
        check_close(45.5222e-15, values[1], 1e-3, "%zu points: second", points);
        assert_true(probe.entry_count > points);
        fl_probe_release(&probe);
        fl_search_release(&search);
        circuit_close(&own);
    }
}

/* The margin told is that of the values, over the band. */
static void test_margin(void **state)
{
    (void)state;
    circuit own;
    fl_search search;
    fl_probe probe;
    fl_peaks peaks;
    fl_error error;
    double values[2] = {30e-15, 70e-15}, margin_db = 0.0, quantities[16];
    const bool held[2] = {true, true};
    circuit_pi(&own, (double[]){24e9, 30e9}, 0.2e-9, "{\"size\": [\"1 fF\", \"500 fF\"]}", "");
    check_ok(fl_search_init(&search, &own.study, &error), error);
    check_ok(fl_probe_new(&probe, &search, 5, &error), error);
    fl_descent descent = {
        .probe = &probe, .held = held, .tolerance = 1e-9, .evaluations = 500, .rounds = 6};
    check_ok(fl_polish(&descent, values, &margin_db, &error), error);
    assert_true(values[0] == 30e-15 && values[1] == 70e-15);
    fl_search_quantities(&search, values, quantities);
    check_ok(fl_peaks_find(&peaks, &own.study, quantities, &error), error);
    check_near(peaks.margin_db, margin_db, 0.0, "margin");
    fl_peaks_release(&peaks);
    fl_probe_release(&probe);
    fl_search_release(&search);
    circuit_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_learns),
        cmocka_unit_test(test_margin),
    };
    return cmocka_run_group_tests_name("studies/polish", tests, NULL, NULL);
}
