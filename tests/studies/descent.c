/* Descents: to a known minimum, never to a worse point, held values held. */
#include "rig.h"

/* The closed form of two capacitors about a held inductance, 24 to 30 GHz: of equal ripple with
 * 0.2 nH, worst at the band edge with 0.35 nH. */
static const struct {
    double henry, farad, margin_db, start[2];
    double tolerance; /* dB: 601 frequencies against the band */
} rows[] = {
    {0.20e-9, 46.4355e-15, 38.7467, {40e-15, 50e-15}, 1e-3},
    {0.20e-9, 46.4355e-15, 38.7467, {60e-15, 20e-15}, 1e-3},
    {0.35e-9, 80.4136e-15, 11.3618, {60e-15, 100e-15}, 1e-3},
    {0.35e-9, 80.4136e-15, 11.3618, {1e-15, 1e-15}, 1e-3},
};

static void test_minimum(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        rig own;
        double values[2] = {rows[i].start[0], rows[i].start[1]}, figure = 0.0;
        rig_open(&own, rows[i].henry);
        assert_int_equal(fl_descend(&own.descent, &own.probe.walkers[0], values, &figure), FL_OK);
        check_near(rows[i].margin_db, fl_figure_margin(figure), rows[i].tolerance, "row %zu", i);
        check_close(rows[i].farad, values[0], 1e-3, "row %zu: first", i);
        check_close(rows[i].farad, values[1], 1e-3, "row %zu: second", i);
        assert_true(figure == fl_probe_figure(&own.probe, &own.probe.walkers[0], values));
        rig_close(&own);
    }
}

/* What the solver sees of a stretch of neighbours leads it to where all of them would, from starts
 * all over the ranges. */
static void test_stretches(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        rig own;
        rig_open(&own, rows[i].henry);
        fl_walker *walker = &own.probe.walkers[0];
        for (int k = 0; k < 9; k++) {
            const double start[2] = {20e-15 + 40e-15 * (k % 3), 20e-15 + 40e-15 * (k / 3)};
            double all[2] = {start[0], start[1]}, wanted = 0.0;
            own.descent.stretch = 1;
            assert_int_equal(fl_descend(&own.descent, walker, all, &wanted), FL_OK);
            for (size_t stretch = 2; stretch <= 1024;
                 stretch = stretch < 8 ? stretch + 1 : 2 * stretch) {
                double values[2] = {start[0], start[1]}, figure = 0.0;
                own.descent.stretch = stretch;
                assert_int_equal(fl_descend(&own.descent, walker, values, &figure), FL_OK);
                if (stretch <= 16)
                    check_close(wanted, figure, 1e-6, "row %zu, start %d, stretch %zu", i, k,
                                stretch);
                assert_true(figure >= wanted * (1.0 - 1e-6)); /* of the same true figures */
            }
        }
        rig_close(&own);
    }
}

/* However short the descent, its end is no worse than its start. */
static void test_never_worse(void **state)
{
    (void)state;
    rig own;
    rig_open(&own, 0.3e-9);
    own.descent.rounds = 1;
    for (int evaluations = 1; evaluations < 12; evaluations++)
        for (int k = 0; k < 6; k++) {
            double values[2] = {5e-15 + 90e-15 * k, 480e-15 - 70e-15 * k}, figure = 0.0;
            fl_walker *walker = &own.probe.walkers[0];
            double before = fl_probe_figure(&own.probe, walker, values);
            own.descent.evaluations = evaluations;
            assert_int_equal(fl_descend(&own.descent, walker, values, &figure), FL_OK);
            assert_true(figure <= before);
            for (int i = 0; i < 2; i++)
                assert_true(values[i] >= 1e-15 && values[i] <= 500e-15);
        }
    rig_close(&own);
}

/* A held value stays as it is, to the bit; with all held nothing moves. */
static void test_held(void **state)
{
    (void)state;
    rig own;
    const bool first[2] = {true, false}, both[2] = {true, true};
    double values[2] = {33.3e-15, 50e-15}, figure = 0.0;
    rig_open(&own, 0.2e-9);
    fl_walker *walker = &own.probe.walkers[0];
    own.descent.held = both;
    assert_int_equal(fl_descend(&own.descent, walker, values, &figure), FL_OK);
    assert_true(values[0] == 33.3e-15 && values[1] == 50e-15);
    double before = figure;
    own.descent.held = first;
    assert_int_equal(fl_descend(&own.descent, walker, values, &figure), FL_OK);
    assert_true(values[0] == 33.3e-15);
    assert_true(figure < before);
    for (int i = 0; i <= 500; i++) { /* the best of a scan of the other one */
        double other = fl_probe_figure(&own.probe, walker, (double[]){33.3e-15, i * 0.2e-15});
        assert_true(other >= figure * (1.0 - 1e-6));
    }
    rig_close(&own);
}

/* Values that are not physical on the way are gone around; a start there is left as it is. */
static void test_not_physical_start(void **state)
{
    (void)state;
    rig own;
    double values[2] = {-1e-15, 50e-15}, figure = 0.0;
    rig_open(&own, 0.2e-9);
    assert_int_equal(fl_descend(&own.descent, &own.probe.walkers[0], values, &figure), FL_OK);
    assert_true(figure == HUGE_VAL);
    assert_true(values[0] == -1e-15);
    rig_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_minimum),
        cmocka_unit_test(test_stretches),
        cmocka_unit_test(test_never_worse),
        cmocka_unit_test(test_held),
        cmocka_unit_test(test_not_physical_start),
    };
    return cmocka_run_group_tests_name("studies/descent", tests, NULL, NULL);
}
