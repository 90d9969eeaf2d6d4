/* Production envelope: against each sample by itself, and against a closed form. */
#include "base/random.h"
#include <stdlib.h>

#include "circuit.h"

static const unsigned PERCENTS[FL_ENVELOPE_PERCENTS] = FL_ENVELOPE_LIST;
static const char *const port = "\"impedance\": \"50 ohm\"";

#define CAP "\"capacitance\": {\"value\": \"60 fF\", \"spread\": {\"normal\": \"4 fF\"}}"

/** Two cases of a wire between capacitors, which vary. */
static void open_two(circuit *own, int threads)
{
    circuit_begin(own, 27e9, 31e9,
                  "\"resistance\": \"40 ohm\", \"parallel capacitance\": \"20 fF\"",
                  "\"impedance\": [\"50 ohm\", \"5 ohm\"]");
    circuit_part(own, "shunt capacitor", CAP);
    circuit_part(own, "series inductor",
                 "\"inductance\": {\"value\": \"0.3 nH\", \"spread\": {\"uniform\": \"30 pH\"}}");
    circuit_part(own, "shunt capacitor", CAP);
    circuit_end(own, ", \"points\": 4, \"cases\": [{\"name\": \"a\"}, {\"name\": \"b\", \"set\": "
                     "{\"p2 inductance\": \"0.35 nH\"}}], \"yield\": {\"samples\": 500}");
    own->study.threads = threads;
}

static int by_value(const void *left, const void *right)
{
    const double a = *(const double *)left, b = *(const double *)right;
    return (a > b) - (a < b);
}

enum { POINTS = 4, SAMPLES = 500 };

/** Loss of one sample of a case at all points, from its S-parameters. */
static void losses_of(double losses[POINTS], const circuit *own, size_t case_index, int port_index,
                      bool through, const double *quantities, const double *frequencies)
{
    fl_error error;
    double s[4][POINTS][2];
    fl_scatter scatter = {POINTS, frequencies, s[0], s[1], s[2], s[3]};
    check_ok(fl_scatter_fill(&scatter, own->groundwork, case_index, quantities, &error), error);
    double(*of)[2] = through ? s[1] : port_index == FL_PORT_DIE ? s[0] : s[3];
    for (size_t i = 0; i < POINTS; i++)
        losses[i] = -20.0 * log10(hypot(of[i][0], of[i][1]));
}

/** All samples of the study's seed, one by one, sorted at each point. */
static void sort_all(double sorted[POINTS][SAMPLES], const circuit *own, size_t case_index,
                     int port_index, bool through)
{
    fl_error error;
    fl_sampler *sampler = NULL;
    double nominal[16], quantities[16], scratch[16], losses[POINTS], frequencies[POINTS];
    assert_true(own->design->quantity_count <= 16 && own->design->draw_count <= 16);
    fl_design_start(own->design, nominal);
    fl_band_grid(frequencies, &own->design->bands[0], POINTS);
    check_ok(fl_sampler_new(&sampler, own->design, &error), error);
    for (uint64_t sample = 0; sample < SAMPLES; sample++) {
        fl_sampler_draw(sampler, own->study.seed, sample, nominal, quantities, scratch);
        losses_of(losses, own, case_index, port_index, through, quantities, frequencies);
        for (size_t i = 0; i < POINTS; i++)
            sorted[i][sample] = losses[i];
    }
    for (size_t i = 0; i < POINTS; i++)
        qsort(sorted[i], SAMPLES, sizeof sorted[i][0], by_value);
    fl_sampler_free(sampler);
}

static void run(fl_envelope *envelope, const circuit *own, int port_index)
{
    fl_error error;
    double nominal[16], frequencies[POINTS];
    const fl_grid grid = {frequencies, POINTS};
    fl_design_start(own->design, nominal);
    fl_band_grid(frequencies, &own->design->bands[0], POINTS);
    check_ok(fl_envelope_run(envelope, &own->study, nominal, &grid, port_index, &error), error);
}

/* Ranks of 500 samples: 5, 25, 250, 475, 495; on one thread and on three. */
static void test_samples(void **state)
{
    (void)state;
    static double sorted[POINTS][SAMPLES];
    for (int turn = 0; turn < 2; turn++) {
        circuit own;
        fl_envelope envelope;
        const int port_index = turn == 0 ? FL_PORT_BOARD : FL_PORT_DIE;
        open_two(&own, turn == 0 ? 1 : 3);
        run(&envelope, &own, port_index);
        assert_int_equal(envelope.samples, SAMPLES);
        assert_int_equal(envelope.points, POINTS);
        for (size_t block = 0; block < 4; block++) {
            sort_all(sorted, &own, block / 2, port_index, block % 2 == 1);
            for (size_t p = 0; p < FL_ENVELOPE_PERCENTS; p++)
                for (size_t i = 0; i < POINTS; i++)
                    check_near(sorted[i][PERCENTS[p] * SAMPLES / 100 - 1],
                               envelope.values[(block * FL_ENVELOPE_PERCENTS + p) * POINTS + i],
                               1e-9, "case %zu, loss %zu, %u %%, point %zu", block / 2, block % 2,
                               PERCENTS[p], i);
        }
        fl_envelope_release(&envelope);
        circuit_close(&own);
    }
}

/* A capacitor alone: |S11|^2 = x^2 / (4 + x^2), x = 50 ohm w C, falls as C does, so that a percent
 * of the loss is one of the normal capacitance from above. Standard error of a quantile at p of n
 * samples: sqrt(p (1 - p) / n) over the density; four of them are allowed. */
static void test_closed_form(void **state)
{
    (void)state;
    circuit own;
    fl_envelope envelope;
    circuit_begin(&own, 27e9, 31e9, port, port);
    circuit_part(&own, "shunt capacitor", CAP);
    circuit_end(&own, ", \"points\": 4");
    run(&envelope, &own, FL_PORT_BOARD);
    assert_int_equal(envelope.samples, 2048);
    for (size_t p = 0; p < FL_ENVELOPE_PERCENTS; p++) {
        const double share = PERCENTS[p] / 100.0, z = fl_normal_quantile(1.0 - share);
        const double density = exp(-0.5 * z * z) / sqrt(2.0 * acos(-1.0));
        const double off = 4.0 * sqrt(share * (1.0 - share) / 2048.0) / density;
        for (size_t i = 0; i < POINTS; i++) {
            const double w = 2.0 * acos(-1.0) * (27e9 + 4e9 / 3.0 * (double)i);
            const double x = 50.0 * w * (60e-15 + z * 4e-15);
            const double steep = 20.0 / log(10.0) * 4e-15 / 60e-15 * 1.3;
            check_near(10.0 * log10((4.0 + x * x) / (x * x)), envelope.values[p * POINTS + i],
                       off * steep, "%u %%, point %zu", PERCENTS[p], i);
        }
    }
    fl_envelope_release(&envelope);
    circuit_close(&own);
}

/* A third of the capacitances is below zero: such samples have no losses. */
static void test_not_physical(void **state)
{
    (void)state;
    circuit own;
    fl_envelope envelope;
    circuit_begin(&own, 27e9, 31e9, port, port);
    circuit_part(&own, "shunt capacitor",
                 "\"capacitance\": {\"value\": \"1 fF\", \"spread\": {\"normal\": \"2 fF\"}}");
    circuit_end(&own, ", \"points\": 4, \"yield\": {\"samples\": 1000}");
    run(&envelope, &own, FL_PORT_BOARD);
    /* Phi(0.5) = 0.6915 of 1000, within four standard errors of 14.6. */
    assert_in_range(envelope.samples, 691 - 58, 691 + 58);
    for (size_t i = 0; i < 2 * (size_t)FL_ENVELOPE_PERCENTS * POINTS; i++)
        assert_true(isfinite(envelope.values[i]));
    fl_envelope_release(&envelope);
    circuit_close(&own);
}

static int stop(void *payload, const char *stage, double done)
{
    (void)payload;
    (void)done;
    assert_string_equal(stage, "envelope");
    return 1;
}

/* Half an envelope would be taken for a whole one. */
static void test_interrupted(void **state)
{
    (void)state;
    circuit own;
    fl_envelope envelope;
    open_two(&own, 2);
    own.study.progress = stop;
    run(&envelope, &own, FL_PORT_BOARD);
    assert_true(envelope.interrupted);
    assert_int_equal(envelope.samples, 0);
    fl_envelope_release(&envelope);
    circuit_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_samples), cmocka_unit_test(test_closed_form),
        cmocka_unit_test(test_not_physical), cmocka_unit_test(test_interrupted)};
    return cmocka_run_group_tests_name("studies/envelope", tests, NULL, NULL);
}
