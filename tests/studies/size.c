/* The main job against a closed form, scans and enumeration; bounds, interruption and threads. */
#include "circuit.h"

static const double PI = 3.14159265358979323846;

/* ---- two capacitors about a held inductance ---- */

/* |G|^2 = K^2 / (1 + K^2) with K an odd cubic of x = f / f2: of equal ripple while l^2 <= 2 - q,
 * else worst at the band edge: K(x) = x (l - c1 - c2) / 2 + x^3 l c1 c2 / 2 beside a part with
 * c1 - c2, with l = w2 L / R, c = w2 R C. An odd cubic of given leading part is least when it is
 * proportional to T3. Derived, no published source; a search over both capacitances agrees. The
 * band begins at f2 / 1000 where the row says 0: K vanishes with x and is worst elsewhere, so
 * that the lowest thousandth of the band decides nothing. */
static const struct {
    double henry, low, high;         /* nH, GHz */
    double farad, reflection, value; /* fF, dB */
    double tolerance, share;         /* of the reflection; of the capacitance */
} pi_rows[] = {
    {0.10, 0, 40, 21.0495, 0.0043962, 47.1384, 1e-6, 1e-3},
    {0.10, 0, 60, 22.7611, 0.0173458, 35.2161, 1e-6, 1e-3},
    {0.20, 0, 30, 45.5222, 0.0173458, 35.2161, 1e-6, 1e-3},
    {0.20, 0, 40, 53.6211, 0.0569634, 24.8881, 1e-6, 1e-3},
    {0.30, 0, 20, 68.2832, 0.0173458, 35.2161, 1e-6, 1e-3},
    {0.50, 0, 10, 108.7551, 0.0091679, 40.7546, 1e-6, 1e-3},
    {0.35, 0, 25, 107.2521, 0.0970652, 20.2587, 1e-6, 1e-3},
    {0.30, 0, 30, 93.8159, 0.1224609, 18.2401, 1e-6, 1e-3},
    {0.40, 0, 24, 109.9405, 0.1854463, 14.6356, 1e-6, 1e-3},
    {0.50, 0, 20, 126.6515, 0.2245467, 12.9739, 1e-6, 1e-3},
    {0.20, 0, 67, 28.2137, 0.4785553, 6.4014, 1e-6, 1e-3},
    {0.20, 24, 30, 46.4355, 0.0115522, 38.7467, 1e-6, 1e-3},
    {0.25, 27, 31, 71.5488, 0.0265618, 31.5149, 1e-6, 1e-3},
    {0.15, 37, 43.5, 36.5242, 0.0129807, 37.7340, 1e-6, 1e-3},
    {0.10, 57, 71, 25.4060, 0.0226726, 32.8900, 1e-6, 1e-3},
    {0.08, 76, 81, 19.8433, 0.0060126, 44.4188, 1e-6, 1e-3},
    {0.30, 26.5, 29.5, 97.0231, 0.1058733, 19.5043, 1e-6, 1e-3},
    {0.20, 10, 40, 53.6211, 0.0569634, 24.8881, 1e-6, 1e-3},
    {0.35, 24, 30, 80.4136, 0.2703388, 11.3618, 1e-6, 1e-3},
};

/* The same by formula: the second route beside the table. */
static double pi_reflection(double henry, double low, double high)
{
    double l = 2.0 * PI * high * henry / 50.0, r = low / high;
    double q = r <= 0.5 ? 0.75 : 1.0 - r + r * r, m = r <= 0.5 ? 0.25 : r * (1.0 - r);
    if (l * l > 2.0 - q)
        return (l * l - 1.0) / (l * l + 1.0);
    double c = (1.0 - sqrt(1.0 - q * l * l)) / (q * l), k = 0.5 * l * c * c * m;
    return k / sqrt(1.0 + k * k);
}

static void test_held_inductance(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof pi_rows / sizeof *pi_rows; i++) {
        double high = 1e9 * pi_rows[i].high;
        double low = pi_rows[i].low > 0.0 ? 1e9 * pi_rows[i].low : high / 1000.0;
        double henry = 1e-9 * pi_rows[i].henry;
        circuit own;
        fl_sizing sizing;
        circuit_pi(&own, (double[]){low, high}, henry, "{\"size\": [\"1 fF\", \"500 fF\"]}", "");
        circuit_size(&own, &sizing);
        check_near(pi_rows[i].reflection, reflection(sizing.margin_db), pi_rows[i].tolerance,
                   "row %zu: reflection", i);
        check_near(pi_rows[i].value, sizing.margin_db, 1e-3, "row %zu: dB", i);
        check_near(pi_reflection(henry, low, high), reflection(sizing.margin_db), 1e-7,
                   "row %zu: formula", i);
        for (size_t k = 0; k < 2; k++) {
            check_close(1e-15 * pi_rows[i].farad, sizing.quantities[k], pi_rows[i].share,
                        "row %zu: capacitor %zu", i, k);
            assert_int_equal(sizing.bounds[k], FL_BOUND_NONE);
        }
        fl_sizing_release(&sizing);
        circuit_close(&own);
    }
}

/* ---- cases and requirements ---- */

/* One capacitance for two inductances, one a case: against a scan of the capacitance. */
static void test_cases_scan(void **state)
{
    (void)state;
    const char *port = "\"impedance\": \"50 ohm\"";
    circuit own;
    fl_sizing sizing;
    fl_error error;
    circuit_begin(&own, 24e9, 30e9, port, port);
    circuit_part(&own, "shunt capacitor", "\"capacitance\": \"@c\"");
    circuit_part(&own, "series inductor", "\"inductance\": \"@l\"");
    circuit_part(&own, "shunt capacitor", "\"capacitance\": \"@c\"");
    circuit_end(&own, ", \"quantities\": {\"c\": {\"size\": [\"1 fF\", \"200 fF\"]}, "
                      "\"l\": \"0.22 nH\"}, "
                      "\"cases\": [{\"name\": \"short\"}, {\"name\": \"long\", \"set\": "
                      "{\"l\": \"0.27 nH\"}}]");
    circuit_size(&own, &sizing);
    size_t sized = 0;
    while (!own.design->quantities[sized].sized)
        sized++;
    double quantities[4], best_db = -HUGE_VAL;
    fl_design_start(own.design, quantities);
    for (int i = 0; i <= 2000; i++) {
        fl_peaks peaks;
        quantities[sized] = 60e-15 + i * 0.01e-15;
        check_ok(fl_peaks_find(&peaks, &own.study, quantities, &error), error);
        assert_int_equal(peaks.count, 2);
        best_db = fmax(best_db, peaks.margin_db);
        fl_peaks_release(&peaks);
    }
    check_near(best_db, sizing.margin_db, 0.005, "best of a scan in steps of 0.01 fF");
    assert_true(sizing.margin_db >= best_db - 1e-3);
    fl_sizing_release(&sizing);
    circuit_close(&own);
}

/* A size per case: each case is as good as it would be alone. */
static void test_per_case(void **state)
{
    (void)state;
    const char *port = "\"impedance\": \"50 ohm\"";
    circuit own;
    fl_sizing sizing;
    circuit_begin(&own, 24e9, 30e9, port, port);
    circuit_part(&own, "shunt capacitor", "\"capacitance\": \"@c\"");
    circuit_part(&own, "series inductor", "\"inductance\": \"@l\"");
    circuit_part(&own, "shunt capacitor", "\"capacitance\": \"@c\"");
    circuit_end(&own,
                ", \"quantities\": {\"c\": {\"size\": [\"1 fF\", \"200 fF\"], \"per case\": true}, "
                "\"l\": \"0.2 nH\"}, \"cases\": [{\"name\": \"short\"}, {\"name\": \"long\", "
                "\"set\": {\"l\": \"0.35 nH\"}}]");
    circuit_size(&own, &sizing);
    check_near(11.3618, sizing.margin_db, 1e-3, "the long case alone decides");
    for (size_t i = 0; i < own.design->quantity_count; i++)
        if (own.design->quantities[i].sized && own.design->quantities[i].only_case == 1)
            check_close(80.4136e-15, sizing.quantities[i], 1e-3, "capacitance of the long case");
    fl_sizing_release(&sizing);
    circuit_close(&own);
}

/* With a limit and a weight the margin is weight * (return loss - limit). */
static void test_weight(void **state)
{
    (void)state;
    circuit own;
    fl_sizing sizing;
    circuit_pi(&own, (double[]){24e9, 30e9}, 0.35e-9, "{\"size\": [\"1 fF\", \"500 fF\"]}",
               ", \"require\": [{\"quantity\": \"return loss\", \"port\": \"die\", \"at least\": "
               "\"15 dB\", \"weight\": 2}, {\"quantity\": \"rejection\", \"at least\": \"1 dB\", "
               "\"band\": [\"90 GHz\", \"95 GHz\"]}]");
    circuit_size(&own, &sizing);
    check_near(2.0 * (11.3618 - 15.0), sizing.margin_db, 2e-3, "weighted margin");
    fl_sizing_release(&sizing);
    circuit_close(&own);
}

/* ---- bounds, nothing to size ---- */

static void test_bounds(void **state)
{
    (void)state;
    circuit own;
    fl_sizing sizing;
    const double band[2] = {26.5e9, 29.5e9};
    circuit_pi(&own, band, 0.3e-9, "{\"size\": [\"1 fF\", \"80.2 fF\"]}", "");
    circuit_size(&own, &sizing);
    assert_int_equal(sizing.bounds[0], FL_BOUND_HIGH);
    assert_true(sizing.quantities[0] == 80.2e-15);
    fl_sizing_release(&sizing);
    circuit_close(&own);
    circuit_pi(&own, band, 0.3e-9, "{\"size\": [\"120.5 fF\", \"400 fF\"], \"grid\": \"1 fF\"}",
               "");
    circuit_size(&own, &sizing);
    assert_int_equal(sizing.bounds[0], FL_BOUND_LOW);
    assert_true(sizing.quantities[0] == 121e-15);
    fl_sizing_release(&sizing);
    circuit_close(&own);
    /* the free value lies between the two multiples, and either of them is an end */
    circuit_pi(&own, band, 0.3e-9, "{\"size\": [\"50 fF\", \"150 fF\"], \"grid\": \"40 fF\"}", "");
    circuit_size(&own, &sizing);
    const bool high = sizing.quantities[0] == 120e-15;
    assert_true(high || sizing.quantities[0] == 80e-15);
    assert_int_equal(sizing.bounds[0], high ? FL_BOUND_HIGH : FL_BOUND_LOW);
    fl_sizing_release(&sizing);
    circuit_close(&own);
}

static void test_nothing_to_size(void **state)
{
    (void)state;
    circuit own;
    fl_sizing sizing;
    circuit_pi(&own, (double[]){1e9, 30e9}, 0.2e-9, "\"1e-9 fF\"", "");
    circuit_size(&own, &sizing);
    /* a series inductance alone: |G| = x / sqrt(4 + x^2), x = w L / 50 ohm */
    check_near(9.0505, sizing.margin_db, 1e-4, "bare inductance at 30 GHz");
    assert_int_equal(sizing.starts, 0);
    fl_sizing_release(&sizing);
    circuit_close(&own);
}

/* ---- interruption and threads ---- */

typedef struct fuse {
    int calls, limit;
} fuse;

static int burn(void *payload, const char *stage, double done)
{
    fuse *own = payload;
    assert_non_null(stage);
    assert_true(done >= 0.0 && done <= 1.0);
    return ++own->calls > own->limit;
}

static void test_interrupt(void **state)
{
    (void)state;
    static const int limits[] = {0, 1, 2, 50, 101, 110, 120, 200, 600};
    const char *texts[] = {"{\"size\": [\"1 fF\", \"500 fF\"], \"start\": \"90 fF\"}",
                           "{\"size\": [\"1 fF\", \"500 fF\"], \"start\": \"90 fF\", "
                           "\"grid\": \"2 fF\"}"};
    for (size_t i = 0; i < sizeof limits / sizeof *limits; i++)
        for (size_t k = 0; k < 2; k++) {
            circuit own;
            fl_sizing sizing;
            fl_peaks start;
            fl_error error;
            double present[8];
            fuse own_fuse = {.limit = limits[i]};
            circuit_pi(&own, (double[]){26.5e9, 29.5e9}, 0.3e-9, texts[k], "");
            fl_design_start(own.design, present);
            check_ok(fl_peaks_find(&start, &own.study, present, &error), error);
            own.study.progress = burn;
            own.study.payload = &own_fuse;
            own.study.threads = 1 + (int)(i % 2);
            check_ok(fl_sizing_run(&sizing, &own.study, &error), error);
            assert_int_equal(sizing.interrupted, own_fuse.calls > own_fuse.limit);
            assert_true(sizing.margin_db >= start.margin_db - 1e-3);
            if (k == 1)
                check_near(round(sizing.quantities[0] / 2e-15), sizing.quantities[0] / 2e-15, 1e-9,
                           "on the grid after %d calls", limits[i]);
            fl_peaks_release(&start);
            fl_sizing_release(&sizing);
            circuit_close(&own);
        }
}

/* Five unknowns, three of them on grids, with loss. */
static void five(circuit *own)
{
    const char *port = "\"impedance\": \"50 ohm\"";
    circuit_begin(own, 26.5e9, 29.5e9, port, port);
    circuit_part(own, "shunt capacitor",
                 "\"capacitance\": {\"size\": [\"10 fF\", \"150 fF\"], \"grid\": \"1 fF\"}");
    circuit_part(own, "series inductor", "\"inductance\": \"0.35 nH\", \"quality factor\": 40");
    circuit_part(own, "shunt capacitor", "\"capacitance\": \"60 fF\"");
    circuit_part(own, "line",
                 "\"impedance\": {\"size\": [\"30 ohm\", \"90 ohm\"]}, \"permittivity\": 2.9, "
                 "\"length\": {\"size\": [\"0.1 mm\", \"2 mm\"], \"grid\": \"10 um\"}, "
                 "\"loss\": \"0.1 dB/mm\"");
    circuit_part(own, "open stub",
                 "\"impedance\": {\"size\": [\"30 ohm\", \"90 ohm\"]}, \"permittivity\": 2.9, "
                 "\"length\": {\"size\": [\"0.1 mm\", \"1.2 mm\"], \"grid\": \"10 um\"}");
    circuit_end(own, "");
}

static void test_threads(void **state)
{
    (void)state;
    fl_sizing one, many;
    circuit own;
    five(&own);
    circuit_size(&own, &one);
    for (int threads = 2; threads <= 3; threads++) {
        own.study.threads = threads;
        circuit_size(&own, &many);
        assert_memory_equal(one.quantities, many.quantities,
                            own.design->quantity_count * sizeof *one.quantities);
        assert_memory_equal(&one.margin_db, &many.margin_db, sizeof one.margin_db);
        assert_memory_equal(&one.free_margin_db, &many.free_margin_db, sizeof one.margin_db);
        assert_int_equal(one.evaluations, many.evaluations);
        fl_sizing_release(&many);
    }
    assert_true(one.free_margin_db >= one.margin_db);
    fl_sizing_release(&one);
    circuit_close(&own);
}

/* ---- grids ---- */

/* Best margin over all points of a lattice of up to three sized quantities, by enumeration on 301
 * frequencies. */
static double enumerate_db(const circuit *own)
{
    const fl_design *design = own->design;
    double frequencies[301], quantities[16], first[3], last[3], k[3];
    size_t sized[3], axes = 0;
    fl_margins *margins = NULL;
    fl_work *work = NULL;
    fl_error error;
    fl_band_grid(frequencies, &design->bands[0], 301);
    fl_grid grid = {.frequencies = frequencies, .count = 301};
    check_ok(fl_margins_new(&margins, design, own->groundwork, &grid, &error), error);
    check_ok(fl_work_new(&work, margins, &error), error);
    double *power = fl_memory_take(fl_margins_entry_count(margins), sizeof *power);
    fl_design_start(design, quantities);
    for (size_t i = 0; i < design->quantity_count; i++) {
        const fl_quantity *quantity = &design->quantities[i];
        if (!quantity->sized)
            continue;
        assert_true(fl_grid_range(&first[axes], &last[axes], quantity->grid, quantity->low,
                                  quantity->high));
        k[axes] = first[axes];
        sized[axes++] = i;
    }
    double best_db = -HUGE_VAL;
    for (size_t axis = 0; axis < axes;) {
        for (size_t i = 0; i < axes; i++)
            quantities[sized[i]] = fl_grid_multiple(design->quantities[sized[i]].grid, k[i]);
        assert_true(fl_margins_power(margins, work, quantities, power));
        best_db = fmax(best_db, fl_margins_worst(margins, design, power, NULL).margin_db);
        for (axis = 0; axis < axes && ++k[axis] > last[axis]; axis++)
            k[axis] = first[axis];
    }
    fl_memory_free(power);
    fl_work_free(work);
    fl_margins_free(margins);
    return best_db;
}

/* Inductance, band and ranges such that the best points of the lattice are not near roundings. */
static const struct {
    double henry, low, high;
    const char *first, *inductance, *second; /* sizes */
    double tolerance;                        /* dB: 301 frequencies against the whole band */
} lattice_rows[] = {
    {0.30e-9, 26.5e9, 29.5e9, "[\"5 fF\", \"250 fF\"], \"grid\": \"7 fF\"", NULL,
     "[\"5 fF\", \"250 fF\"], \"grid\": \"11 fF\"", 1e-3},
    {0.20e-9, 24e9, 30e9, "[\"5 fF\", \"150 fF\"], \"grid\": \"4 fF\"", NULL,
     "[\"5 fF\", \"150 fF\"], \"grid\": \"3 fF\"", 1e-3},
    {0.25e-9, 27e9, 31e9, "[\"10 fF\", \"150 fF\"], \"grid\": \"10 fF\"", NULL,
     "[\"10 fF\", \"150 fF\"], \"grid\": \"15 fF\"", 1e-3},
    {0, 24e9, 30e9, "[\"60 fF\", \"150 fF\"], \"grid\": \"7 fF\"",
     "[\"100 pH\", \"500 pH\"], \"grid\": \"30 pH\"", "[\"40 fF\", \"150 fF\"], \"grid\": \"9 fF\"",
     1e-3},
    {0, 20e9, 30e9, "[\"50 fF\", \"200 fF\"], \"grid\": \"12 fF\"",
     "[\"80 pH\", \"500 pH\"], \"grid\": \"17 pH\"", "[\"10 fF\", \"150 fF\"], \"grid\": \"5 fF\"",
     1e-3},
};

static void test_enumeration(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof lattice_rows / sizeof *lattice_rows; i++) {
        circuit own;
        fl_sizing sizing;
        const char *held = lattice_rows[i].inductance;
        circuit_begin(&own, lattice_rows[i].low, lattice_rows[i].high,
                      "\"impedance\": [\"42 ohm\", \"-6 ohm\"]", "\"impedance\": \"50 ohm\"");
        circuit_part(&own, "shunt capacitor", "\"capacitance\": {\"size\": %s}",
                     lattice_rows[i].first);
        if (held != NULL)
            circuit_part(&own, "series inductor", "\"inductance\": {\"size\": %s}", held);
        else
            circuit_part(&own, "series inductor", "\"inductance\": \"%.17g H\"",
                         lattice_rows[i].henry);
        circuit_part(&own, "shunt capacitor", "\"capacitance\": {\"size\": %s}",
                     lattice_rows[i].second);
        circuit_end(&own, "");
        circuit_size(&own, &sizing);
        check_near(enumerate_db(&own), sizing.margin_db, lattice_rows[i].tolerance, "row %zu", i);
        assert_true(sizing.margin_db <= sizing.free_margin_db);
        fl_sizing_release(&sizing);
        circuit_close(&own);
    }
}

/* A placed value reads as it would be written. */
static void test_short_text(void **state)
{
    (void)state;
    circuit own;
    fl_sizing sizing;
    char text[FL_UNIT_ROOM];
    circuit_pi(&own, (double[]){26.5e9, 29.5e9}, 0.3e-9,
               "{\"size\": [\"1 fF\", \"300 fF\"], \"grid\": \"1 fF\"}", "");
    circuit_size(&own, &sizing);
    fl_unit_text(text, sizing.quantities[0], FL_CAPACITANCE, 0);
    assert_string_equal(text, "97 fF");
    fl_sizing_release(&sizing);
    circuit_close(&own);
}

/* One value on a coarse grid, the other free: the free one makes up for the step. */
static void test_grid_beside_free(void **state)
{
    (void)state;
    const char *port = "\"impedance\": \"50 ohm\"";
    circuit own;
    fl_sizing sizing;
    circuit_begin(&own, 24e9, 30e9, port, port);
    circuit_part(&own, "shunt capacitor", "\"capacitance\": \"@c\"");
    circuit_part(&own, "series inductor",
                 "\"inductance\": {\"size\": [\"150 pH\", \"500 pH\"], \"grid\": \"200 pH\"}");
    circuit_part(&own, "shunt capacitor", "\"capacitance\": \"@c\"");
    circuit_end(&own, ", \"quantities\": {\"c\": {\"size\": [\"10 fF\", \"150 fF\"]}}");
    circuit_size(&own, &sizing);
    /* 200 pH is the better multiple: the row of the held inductance */
    check_near(38.7467, sizing.margin_db, 1e-3, "at 200 pH");
    for (size_t i = 0; i < own.design->quantity_count; i++)
        if (own.design->quantities[i].dimension == FL_CAPACITANCE)
            check_close(46.4355e-15, sizing.quantities[i], 1e-3, "sized anew");
        else
            assert_true(sizing.quantities[i] == 200e-12);
    fl_sizing_release(&sizing);
    circuit_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_held_inductance),  cmocka_unit_test(test_cases_scan),
        cmocka_unit_test(test_per_case),         cmocka_unit_test(test_weight),
        cmocka_unit_test(test_bounds),           cmocka_unit_test(test_nothing_to_size),
        cmocka_unit_test(test_interrupt),        cmocka_unit_test(test_threads),
        cmocka_unit_test(test_enumeration),      cmocka_unit_test(test_short_text),
        cmocka_unit_test(test_grid_beside_free),
    };
    return cmocka_run_group_tests_name("studies/size", tests, NULL, NULL);
}
