/* Placing on grids: nearest multiples, and the search for better ones. */
#include "circuit.h"

static const double band[2] = {24e9, 30e9};

typedef struct rig {
    circuit circuit;
    fl_search search;
    fl_probe probe;
} rig;

static void rig_open(rig *own, double henry, const char *size)
{
    fl_error error;
    circuit_pi(&own->circuit, band, henry, size, "");
    check_ok(fl_search_init(&own->search, &own->circuit.study, &error), error);
    check_ok(fl_probe_new(&own->probe, &own->search, 61, &error), error);
}

static void rig_close(rig *own)
{
    fl_probe_release(&own->probe);
    fl_search_release(&own->search);
    circuit_close(&own->circuit);
}

static void test_nearest(void **state)
{
    (void)state;
    rig own;
    double values[2] = {12.6e-15, 499.9e-15};
    rig_open(&own, 0.2e-9, "{\"size\": [\"1 fF\", \"500 fF\"], \"grid\": \"7 fF\"}");
    assert_true(fl_search_gridded(&own.search));
    fl_place_nearest(&own.search, values);
    assert_true(values[0] == 14e-15);
    assert_true(values[1] == 497e-15); /* 504 fF would leave the range */
    values[0] = 1e-15;
    fl_place_nearest(&own.search, values);
    assert_true(values[0] == 7e-15);
    rig_close(&own);
}

static void test_without_grid(void **state)
{
    (void)state;
    rig own;
    double values[2] = {12.6e-15, 499.9e-15};
    rig_open(&own, 0.2e-9, "{\"size\": [\"1 fF\", \"500 fF\"]}");
    assert_false(fl_search_gridded(&own.search));
    fl_place_nearest(&own.search, values);
    assert_true(values[0] == 12.6e-15 && values[1] == 499.9e-15);
    rig_close(&own);
}

/* What was told of placing. */
typedef struct heard {
    int calls;
    double last, before_settling;
} heard;

static int hear(void *payload, const char *stage, double done)
{
    heard *told = payload;
    assert_string_equal(stage, "placing");
    assert_true(done >= told->last && done <= 1.0);
    told->calls++;
    told->last = done;
    if (done < 0.95)
        told->before_settling = done;
    return 0;
}

/* The share only grows, and has come far when the last descents begin. */
static void test_progress(void **state)
{
    (void)state;
    rig own;
    fl_error error;
    heard told = {0};
    double values[2] = {46.4e-15, 46.4e-15}, margin_db = 0.0;
    rig_open(&own, 0.2e-9, "{\"size\": [\"1 fF\", \"500 fF\"], \"grid\": \"9 fF\"}");
    own.circuit.study.progress = hear;
    own.circuit.study.payload = &told;
    check_ok(fl_place(&own.probe, values, &margin_db, &error), error);
    assert_true(told.calls > 10);
    assert_true(told.before_settling > 0.5);
    rig_close(&own);
}

/* On multiples, never better than the free best, never worse than the nearest multiples. */
static void test_place(void **state)
{
    (void)state;
    static const struct {
        double henry, farad, free_db; /* the closed form of the held inductance */
        const char *size;
        double step;
    } rows[] = {
        {0.20e-9, 46.4355e-15, 38.7467, "{\"size\": [\"1 fF\", \"500 fF\"], \"grid\": \"9 fF\"}",
         9e-15},
        {0.20e-9, 46.4355e-15, 38.7467, "{\"size\": [\"1 fF\", \"500 fF\"], \"grid\": \"60 fF\"}",
         60e-15},
        {0.35e-9, 80.4136e-15, 11.3618, "{\"size\": [\"1 fF\", \"500 fF\"], \"grid\": \"13 fF\"}",
         13e-15},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        rig own;
        fl_error error;
        fl_peaks peaks;
        double values[2] = {rows[i].farad, rows[i].farad}, margin_db = 0.0, quantities[8];
        rig_open(&own, rows[i].henry, rows[i].size);
        check_ok(fl_place(&own.probe, values, &margin_db, &error), error);
        for (int k = 0; k < 2; k++)
            check_near(round(values[k] / rows[i].step), values[k] / rows[i].step, 1e-9,
                       "row %zu: multiple", i);
        assert_true(margin_db <= rows[i].free_db + 1e-3);
        double nearest[2] = {rows[i].farad, rows[i].farad};
        fl_place_nearest(&own.search, nearest);
        fl_search_quantities(&own.search, nearest, quantities);
        check_ok(fl_peaks_find(&peaks, &own.circuit.study, quantities, &error), error);
        assert_true(margin_db >= peaks.margin_db - 1e-3);
        fl_peaks_release(&peaks);
        rig_close(&own);
    }
}

/* A wide valley: the best multiples lie far from the free values' neighbours. Computed by
 * enumeration, no published source. */
static void test_valley(void **state)
{
    (void)state;
    circuit own;
    fl_sizing sizing;
    fl_error error;
    circuit_begin(&own, 27367858662.907, 28816119683.442,
                  "\"impedance\": [\"20.820 ohm\", \"-11.383 ohm\"]",
                  "\"impedance\": [\"53.980 ohm\", \"-3.570 ohm\"]");
    circuit_part(&own, "shunt capacitor",
                 "\"capacitance\": {\"size\": [\"5 fF\", \"250 fF\"], \"grid\": \"5 fF\"}");
    circuit_part(&own, "series inductor",
                 "\"inductance\": {\"size\": [\"60 pH\", \"600 pH\"], \"grid\": \"29 pH\"}");
    circuit_part(&own, "shunt capacitor",
                 "\"capacitance\": {\"size\": [\"5 fF\", \"250 fF\"], \"grid\": \"7 fF\"}");
    circuit_end(&own, "");
    check_ok(fl_sizing_run(&sizing, &own.study, &error), error);
    check_near(25.0357, sizing.margin_db, 1e-3, "best of all multiples");
    fl_sizing_release(&sizing);
    circuit_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_nearest),  cmocka_unit_test(test_without_grid),
        cmocka_unit_test(test_progress), cmocka_unit_test(test_place),
        cmocka_unit_test(test_valley),
    };
    return cmocka_run_group_tests_name("studies/place", tests, NULL, NULL);
}
