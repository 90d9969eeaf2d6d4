/* The worst between the grid points, against a dense scan. */
#include "circuit.h"

static const double PI = 3.14159265358979323846;

/* Worst margin on many even frequencies. */
static double dense_db(const circuit *own, const double *quantities, size_t points)
{
    const fl_design *design = own->design;
    fl_margins *margins = NULL;
    fl_work *work = NULL;
    fl_grid grids[4];
    fl_error error;
    assert_true(design->band_count <= 4);
    for (size_t i = 0; i < design->band_count; i++) {
        double *frequencies = fl_memory_take(points, sizeof *frequencies);
        fl_band_grid(frequencies, &design->bands[i], points);
        grids[i] = (fl_grid){.frequencies = frequencies, .count = points};
    }
    check_ok(fl_margins_new(&margins, design, own->groundwork, grids, &error), error);
    check_ok(fl_work_new(&work, margins, &error), error);
    double *power = fl_memory_take(fl_margins_entry_count(margins), sizeof *power);
    assert_true(fl_margins_power(margins, work, quantities, power));
    double margin_db = fl_margins_worst(margins, design, power, NULL).margin_db;
    fl_memory_free(power);
    fl_work_free(work);
    fl_margins_free(margins);
    for (size_t i = 0; i < design->band_count; i++)
        fl_memory_free((void *)(uintptr_t)grids[i].frequencies);
    return margin_db;
}

/* A Chebyshev ladder of ripple 0.5 dB, n = 4 [Matthaei1964] to 30 GHz: return loss 9.6357 dB at
 * every peak. The peaks of T4 lie at x = cos(k pi / 4); in 12 to 24 GHz only that at 0.7071, and a
 * grid of three points, the band's ends and middle, does not see it. */
static void four(circuit *own, const char *more)
{
    static const double g[4] = {1.67030, 1.19259, 2.36610, 0.84187};
    char board[64];
    double farad = 1.0 / (2.0 * PI * 30e9 * 50.0), henry = 50.0 / (2.0 * PI * 30e9);
    snprintf(board, sizeof board, "\"impedance\": \"%.17g ohm\"", 50.0 / 1.98406);
    /* behind a series element the last g is a conductance */
    circuit_begin(own, 12e9, 24e9, "\"impedance\": \"50 ohm\"", board);
    circuit_part(own, "shunt capacitor", "\"capacitance\": \"%.17g F\"", g[0] * farad);
    circuit_part(own, "series inductor", "\"inductance\": \"%.17g H\"", g[1] * henry);
    circuit_part(own, "shunt capacitor", "\"capacitance\": \"%.17g F\"", g[2] * farad);
    circuit_part(own, "series inductor", "\"inductance\": \"%.17g H\"", g[3] * henry);
    circuit_end(own, more);
}

static void test_peak_between_points(void **state)
{
    (void)state;
    circuit own;
    fl_peaks peaks;
    fl_error error;
    double quantities[64];
    four(&own, ", \"points\": 3");
    fl_design_start(own.design, quantities);
    check_ok(fl_peaks_find(&peaks, &own.study, quantities, &error), error);
    assert_int_equal(peaks.count, 1);
    assert_true(dense_db(&own, quantities, 3) > peaks.margin_db + 0.2);
    check_near(9.6357, peaks.margin_db, 1e-3, "ripple");
    check_near(30e9 * cos(PI / 4.0), peaks.worst[0].frequency, 30e9 * 1e-4, "frequency");
    check_near(peaks.margin_db, peaks.worst[0].value_db, 1e-12, "no limit: margin is value");
    fl_peaks_release(&peaks);
    circuit_close(&own);
}

/* Runs in order of case, then requirement, each with its own worst; "at most" turns the sign. */
static void test_runs(void **state)
{
    (void)state;
    circuit own;
    fl_peaks peaks;
    fl_error error;
    double quantities[64];
    four(&own, ", \"points\": 11, \"require\": [{\"quantity\": \"return loss\", \"at least\": "
               "\"8 dB\"}, {\"quantity\": \"insertion loss\", \"at most\": \"1 dB\"}, "
               "{\"quantity\": \"rejection\", \"at least\": \"10 dB\", \"weight\": 0.5, \"band\": "
               "[\"60 GHz\", \"70 GHz\"]}]");
    fl_design_start(own.design, quantities);
    check_ok(fl_peaks_find(&peaks, &own.study, quantities, &error), error);
    assert_int_equal(peaks.count, 3);
    check_near(9.6357 - 8.0, peaks.worst[0].margin_db, 1e-3, "return loss");
    check_near(0.5, peaks.worst[1].value_db, 1e-4, "insertion loss is the ripple");
    check_near(0.5, peaks.worst[1].margin_db, 1e-4, "insertion loss margin");
    check_near(60e9, peaks.worst[2].frequency, 1.0, "rejection is least at the low end");
    check_near(0.5 * (peaks.worst[2].value_db - 10.0), peaks.worst[2].margin_db, 1e-12, "weight");
    /* an ideal Chebyshev filter: 10 log10(1 + e^2 T4(2)^2), T4(2) = 97 */
    check_near(10.0 * log10(1.0 + (pow(10.0, 0.05) - 1.0) * 97.0 * 97.0), peaks.worst[2].value_db,
               1e-3, "rejection");
    assert_int_equal(peaks.worst_run, 1);
    fl_peaks_release(&peaks);
    circuit_close(&own);
}

/* Long lines give many peaks; each row is a different length. */
static void test_dense(void **state)
{
    (void)state;
    static const double lengths[] = {1e-3, 7.3e-3, 21e-3, 64e-3};
    for (size_t i = 0; i < sizeof lengths / sizeof *lengths; i++) {
        const char *port = "\"impedance\": [\"40 ohm\", \"12 ohm\"]";
        circuit own;
        fl_peaks peaks;
        fl_error error;
        double quantities[64];
        circuit_begin(&own, 24e9, 31e9, port, port);
        circuit_part(&own, "line",
                     "\"impedance\": \"70 ohm\", \"permittivity\": 3, "
                     "\"length\": \"%.17g m\", \"loss\": \"0.05 dB/mm\"",
                     lengths[i]);
        circuit_part(&own, "open stub",
                     "\"impedance\": \"30 ohm\", \"permittivity\": 3, "
                     "\"length\": \"%.17g m\"",
                     0.37 * lengths[i]);
        circuit_end(&own, ", \"points\": 21");
        fl_design_start(own.design, quantities);
        check_ok(fl_peaks_find(&peaks, &own.study, quantities, &error), error);
        check_near(dense_db(&own, quantities, 100001), peaks.margin_db, 1e-5, "length %g m",
                   lengths[i]);
        assert_true(peaks.margin_db <= dense_db(&own, quantities, 100001) + 1e-9);
        fl_peaks_release(&peaks);
        circuit_close(&own);
    }
}

/* More points than one piece of the fine grid holds: the same answer. */
static void test_pieces(void **state)
{
    (void)state;
    circuit own;
    fl_peaks peaks;
    fl_error error;
    double quantities[64];
    four(&own, ", \"points\": 1001");
    fl_design_start(own.design, quantities);
    check_ok(fl_peaks_find(&peaks, &own.study, quantities, &error), error);
    check_near(9.6357, peaks.margin_db, 1e-3, "ripple");
    check_near(dense_db(&own, quantities, 20001), peaks.margin_db, 1e-6, "dense scan");
    fl_peaks_release(&peaks);
    circuit_close(&own);
}

/* The list holds the local worsts of a run that are near the worst, in order of frequency. */
static void test_list(void **state)
{
    (void)state;
    circuit own;
    fl_peak_list list;
    fl_error error;
    double quantities[64];
    const char *port = "\"impedance\": \"50 ohm\"";
    circuit_begin(&own, 10e9, 40e9, port, port);
    /* a mismatched line: |G| peaks at odd quarter waves; 15 mm in air, at 5 GHz and every 10 */
    circuit_part(&own, "line",
                 "\"impedance\": \"70 ohm\", \"permittivity\": 1, "
                 "\"length\": \"14.98962290 mm\"");
    circuit_end(&own, "");
    fl_design_start(own.design, quantities);
    check_ok(fl_peak_list_find(&list, &own.study, quantities, &error), error);
    assert_int_equal(list.count, 3);
    for (size_t i = 0; i < list.count; i++) {
        check_near(15e9 + 10e9 * (double)i, list.peaks[i].frequency, 1e6, "peak %zu", i);
        /* (z^2 - 1) / (z^2 + 1), z = 1.4 */
        check_near(0.96 / 2.96, sqrt(list.peaks[i].power), 1e-9, "reflection %zu", i);
        assert_int_equal(list.peaks[i].run, 0);
    }
    fl_peak_list_release(&list);
    circuit_close(&own);
}

static void test_not_physical(void **state)
{
    (void)state;
    circuit own;
    fl_peaks peaks;
    fl_error error;
    double quantities[64];
    circuit_pi(&own, (double[]){20e9, 30e9}, 0.3e-9, "{\"size\": [\"1 fF\", \"500 fF\"]}", "");
    fl_design_start(own.design, quantities);
    for (size_t i = 0; i < own.design->quantity_count; i++)
        quantities[i] = -1e-15;
    assert_int_equal(fl_peaks_find(&peaks, &own.study, quantities, &error), FL_BAD_INPUT);
    assert_true(error.message[0] != '\0');
    fl_peaks_release(&peaks);
    circuit_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_peak_between_points),
        cmocka_unit_test(test_runs),
        cmocka_unit_test(test_dense),
        cmocka_unit_test(test_pieces),
        cmocka_unit_test(test_list),
        cmocka_unit_test(test_not_physical),
    };
    return cmocka_run_group_tests_name("studies/peaks", tests, NULL, NULL);
}
