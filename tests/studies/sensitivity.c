/* Sensitivities against closed forms, finite steps and responses computed anew. */
#include "check.h"
#include "sample.h"
#include "studies/studies.h"

static const double PI = 3.14159265358979323846;

enum { MOST = 4 };

typedef struct rig {
    sample parts;
    fl_spread spreads[MOST];
    fl_draw draws[MOST];
    size_t draw_count;
    fl_groundwork *groundwork;
    fl_study study;
} rig;

static void rig_init(rig *own, double low, double high)
{
    memset(own, 0, sizeof *own);
    sample_init(&own->parts, low, high);
    own->parts.design.confidence = 0.95;
}

static size_t rig_add(rig *own, const char *kind, const char *parameter, double value)
{
    sample_add(&own->parts, kind);
    return sample_set(&own->parts, parameter, value);
}

static void rig_spread(rig *own, size_t quantity, double sigma)
{
    size_t i = own->draw_count++;
    own->spreads[i] = (fl_spread){FL_NORMAL, sigma, false, 0.0, false, FL_LEVEL_DIE, i};
    own->draws[i] = (fl_draw){FL_LEVEL_DIE, FL_NONE, "own"};
    own->parts.quantities[quantity].spreads = &own->spreads[i];
    own->parts.quantities[quantity].spread_count = 1;
}

static void rig_open(rig *own)
{
    fl_error error;
    fl_design *design = &own->parts.design;
    design->draws = own->draws;
    design->draw_count = own->draw_count;
    check_ok(fl_groundwork_new(&own->groundwork, design, &error), error);
    own->study = (fl_study){
        .design = design, .groundwork = own->groundwork, .seed = 1, .samples = 5000, .threads = 2};
}

static void rig_close(rig *own)
{
    fl_groundwork_free(own->groundwork);
}

static double loss_db(double x)
{
    return 10.0 * log10((4.0 + x * x) / (x * x));
}

/* |G| = x / sqrt(4 + x^2) of a series inductance has the relative slope 4 / (4 + x^2). */
static void test_closed_form(void **state)
{
    (void)state;
    static const double reactances[] = {0.05, 0.5, 1.0, 3.0}; /* over 50 ohm, at the top */
    for (size_t i = 0; i < sizeof reactances / sizeof *reactances; i++) {
        double x = reactances[i], inductance = x * 50.0 / (2.0 * PI * 30e9);
        fl_error error;
        fl_sensing sensing;
        rig own;
        rig_init(&own, 26e9, 30e9);
        size_t quantity = rig_add(&own, "series inductor", "inductance", inductance);
        sample_require(&own.parts, FL_RETURN_LOSS, FL_PORT_BOARD, true, 10.0);
        rig_spread(&own, quantity, 0.1 * inductance);
        rig_open(&own);
        check_ok(fl_sensing_run(&sensing, &own.study, own.parts.values, NULL, &error), error);
        assert_int_equal(sensing.count, 1);
        const fl_slope *slope = &sensing.slopes[0];
        double percent = -20.0 / log(10.0) * 4.0 / (4.0 + x * x) * 0.01;
        check_near(loss_db(x), sensing.base_db, 1e-9, "base at x %g", x);
        check_close(percent, slope->percent_up, 1e-9, "per cent up at x %g", x);
        check_close(-percent, slope->percent_down, 1e-9, "per cent down at x %g", x);
        check_near(slope->percent_up, slope->percent, 0.0, "smooth at x %g", x);
        check_near(loss_db(1.1 * x) - loss_db(x), slope->sigma_up, 1e-9, "sigma up at x %g", x);
        check_near(loss_db(0.9 * x) - loss_db(x), slope->sigma_down, 1e-9, "sigma down at x %g", x);
        check_near(slope->sigma_up, slope->per_sigma, 0.0, "per sigma at x %g", x);
        /* The only spread: all of the variance but what 32 steps and a curved law lose. */
        check_near(0.985, slope->share, 0.015, "share at x %g", x);
        fl_sensing_release(&sensing);
        rig_close(&own);
    }
}

/* Inductance and capacitance in series, equally far off at both ends of the band: whichever way
 * the inductance goes, one end gets worse. */
static void test_switch(void **state)
{
    (void)state;
    const double low = 2.0 * PI * 24e9, high = 2.0 * PI * 36e9, inductance = 0.4e-9;
    const double capacitance = 1.0 / (inductance * low * high);
    fl_error error;
    fl_sensing sensing;
    rig own;
    rig_init(&own, 24e9, 36e9);
    size_t wire = rig_add(&own, "series inductor", "inductance", inductance);
    rig_add(&own, "series capacitor", "capacitance", capacitance);
    sample_require(&own.parts, FL_RETURN_LOSS, FL_PORT_BOARD, true, 10.0);
    own.parts.quantities[wire].sized = true;
    rig_open(&own);
    check_ok(fl_sensing_run(&sensing, &own.study, own.parts.values, NULL, &error), error);
    assert_int_equal(sensing.count, 1);
    const fl_slope *slope = &sensing.slopes[0];
    double x = (high - low) * inductance / 50.0; /* the reactance of either end, over 50 ohm */
    double each = -20.0 / log(10.0) * 4.0 / (4.0 + x * x) / x * 0.01 * inductance / 50.0;
    check_near(loss_db(x), sensing.base_db, 1e-9, "base");
    check_close(each * high, slope->percent_up, 1e-6, "per cent up: the high end");
    check_close(each * low, slope->percent_down, 1e-6, "per cent down: the low end");
    check_near(fmin(slope->percent_up, slope->percent_down), slope->percent, 0.0, "greater loss");
    assert_true(isnan(slope->per_sigma) && isnan(slope->share) && isnan(slope->sigma_up));
    fl_sensing_release(&sensing);
    rig_close(&own);
}

/* A network of capacitors around a wire. */
static void ladder(rig *own, size_t quantities[3])
{
    rig_init(own, 24e9, 29.5e9);
    quantities[0] = rig_add(own, "shunt capacitor", "capacitance", 55e-15);
    quantities[1] = rig_add(own, "series inductor", "inductance", 0.25e-9);
    quantities[2] = rig_add(own, "shunt capacitor", "capacitance", 75e-15);
}

static double value_at(const rig *own, bool of_margin)
{
    fl_peaks peaks;
    fl_error error;
    check_ok(fl_peaks_find(&peaks, &own->study, own->parts.values, &error), error);
    double value = of_margin ? peaks.margin_db : peaks.worst[0].value_db;
    fl_peaks_release(&peaks);
    return value;
}

/* Exact derivatives against the worst value searched anew a little above and below. */
static void test_differences(void **state)
{
    (void)state;
    static const struct {
        fl_asked asked;
        bool at_least, of_margin;
        double limit_db;
    } rows[] = {{FL_RETURN_LOSS, true, false, 15.0},
                {FL_INSERTION_LOSS, false, true, 0.5},
                {FL_REJECTION, true, true, 0.1}};
    const double step = 1e-5;
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        fl_error error;
        fl_sensing sensing;
        rig own;
        size_t quantities[3];
        ladder(&own, quantities);
        for (size_t i = 0; i < 3; i++)
            own.parts.quantities[quantities[i]].sized = true;
        sample_require(&own.parts, rows[r].asked, FL_PORT_BOARD, rows[r].at_least,
                       rows[r].limit_db);
        rig_open(&own);
        check_ok(fl_sensing_run(&sensing, &own.study, own.parts.values, NULL, &error), error);
        assert_int_equal(sensing.count, 3);
        check_near(value_at(&own, rows[r].of_margin), sensing.base_db, 1e-9, "base of row %zu", r);
        for (size_t i = 0; i < 3; i++) {
            const fl_slope *slope = &sensing.slopes[i];
            double *value = &own.parts.values[slope->quantity], nominal = *value;
            *value = nominal * (1.0 + step);
            double up = value_at(&own, rows[r].of_margin);
            *value = nominal * (1.0 - step);
            double down = value_at(&own, rows[r].of_margin);
            *value = nominal;
            /* Central differences are off by the square of the step; peaks by 1e-9 dB. */
            check_near((up - down) / (2.0 * step) * 0.01, slope->percent, 2e-6,
                       "row %zu, quantity %zu", r, slope->quantity);
            assert_true(i == 0 || fabs(slope->percent) <= fabs(slope[-1].percent));
        }
        fl_sensing_release(&sensing);
        rig_close(&own);
    }
}

/* Greatest effect of a sigma first, then what has no spread; shares from the yield if given. */
static void test_order(void **state)
{
    (void)state;
    fl_error error;
    fl_sensing own_shares, given_shares;
    fl_yielding yielding;
    rig own;
    size_t quantities[3];
    ladder(&own, quantities);
    sample_require(&own.parts, FL_RETURN_LOSS, FL_PORT_BOARD, true, 15.0);
    own.parts.quantities[quantities[2]].sized = true;
    rig_spread(&own, quantities[0], 1e-15);
    rig_spread(&own, quantities[1], 0.03e-9);
    rig_open(&own);
    check_ok(fl_yielding_run(&yielding, &own.study, own.parts.values, &error), error);
    check_ok(fl_sensing_run(&own_shares, &own.study, own.parts.values, NULL, &error), error);
    check_ok(fl_sensing_run(&given_shares, &own.study, own.parts.values, &yielding, &error), error);
    static const size_t wanted[] = {1, 0, 2};
    assert_int_equal(own_shares.count, 3);
    for (size_t i = 0; i < 3; i++)
        assert_int_equal(own_shares.slopes[i].quantity, quantities[wanted[i]]);
    assert_memory_equal(own_shares.slopes, given_shares.slopes, 3 * sizeof *own_shares.slopes);
    check_near(yielding.shifts[1].share, own_shares.slopes[0].share, 0.0, "share of the wire");
    assert_true(own_shares.slopes[0].share > 0.8 && own_shares.slopes[1].share < 0.1);
    assert_true(isnan(own_shares.slopes[2].share));
    own.parts.values[quantities[1]] += 0.03e-9;
    check_near(value_at(&own, false) - own_shares.base_db, own_shares.slopes[0].sigma_up, 1e-12,
               "the wire longer by a sigma, the others as they were");
    fl_sensing_release(&own_shares);
    fl_sensing_release(&given_shares);
    fl_yielding_release(&yielding);
    rig_close(&own);
}

static int stop_at_once(void *payload, const char *stage, double done)
{
    (void)payload;
    (void)stage;
    (void)done;
    return 1;
}

/* A value below zero has no response: its change is not known, the other one is. */
static void test_limits(void **state)
{
    (void)state;
    fl_error error;
    fl_sensing sensing;
    rig own;
    size_t quantities[3];
    ladder(&own, quantities);
    sample_require(&own.parts, FL_RETURN_LOSS, FL_PORT_BOARD, true, 15.0);
    rig_spread(&own, quantities[0], 60e-15);
    rig_spread(&own, quantities[1], 0.03e-9);
    rig_open(&own);
    check_ok(fl_sensing_run(&sensing, &own.study, own.parts.values, NULL, &error), error);
    assert_int_equal(sensing.count, 2);
    const fl_slope *slope = &sensing.slopes[sensing.slopes[0].quantity == quantities[0] ? 0 : 1];
    assert_int_equal(slope->quantity, quantities[0]);
    assert_true(isnan(slope->sigma_down) && !isnan(slope->sigma_up));
    check_near(slope->sigma_up, slope->per_sigma, 0.0, "the one that is known");
    fl_sensing_release(&sensing);
    own.study.progress = stop_at_once;
    check_ok(fl_sensing_run(&sensing, &own.study, own.parts.values, NULL, &error), error);
    assert_true(sensing.interrupted);
    assert_int_equal(sensing.count, 1);
    fl_sensing_release(&sensing);
    own.parts.values[quantities[1]] = -1e-9;
    assert_int_equal(fl_sensing_run(&sensing, &own.study, own.parts.values, NULL, &error),
                     FL_BAD_INPUT);
    fl_sensing_release(&sensing);
    rig_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_closed_form), cmocka_unit_test(test_switch),
        cmocka_unit_test(test_differences), cmocka_unit_test(test_order),
        cmocka_unit_test(test_limits),
    };
    return cmocka_run_group_tests_name("studies/sensitivity", tests, NULL, NULL);
}
