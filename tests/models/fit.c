/* Fits of costly functions: values, slopes, the box, and refusal. */
#include "check.h"

#include "models/fit.h"
#include "sample.h"

/* A function with the curvature of an impedance: smooth, over a wide first input. */
static double impedance(const double *x)
{
    return 60.0 * log(8.0 / x[0] + x[0] / 4.0) / sqrt(x[1]) + 3.0 * x[2] * x[1];
}

static fl_status smooth(double *outputs, const double *inputs, void *payload, fl_error *error)
{
    size_t *calls = payload;
    (void)error;
    ++*calls;
    outputs[0] = impedance(inputs);
    outputs[1] = 0.0; /* an output that is always absent */
    outputs[2] = inputs[2] * exp(-inputs[0]);
    return FL_OK;
}

static fl_status rough(double *outputs, const double *inputs, void *payload, fl_error *error)
{
    (void)payload;
    (void)error;
    outputs[0] = inputs[0] > 0.4 ? 1.0 : 2.0;
    return FL_OK;
}

static fl_status failing(double *outputs, const double *inputs, void *payload, fl_error *error)
{
    (void)outputs;
    (void)inputs;
    (void)payload;
    return fl_fail(error, FL_BAD_INPUT, "there", "no model");
}

static const double low[] = {0.2, 2.0, 0.0}, high[] = {3.0, 4.0, 1.0};

static void test_smooth(void **unused)
{
    (void)unused;
    fl_fit *fit = NULL;
    fl_error error = {0};
    size_t calls = 0;
    const fl_fit_plan plan = {.input_count = 3,
                              .output_count = 3,
                              .low = low,
                              .high = high,
                              .source = smooth,
                              .payload = &calls,
                              .wanted = 1e-6,
                              .allowed = 1e-3};
    check_ok(fl_fit_new(&fit, &plan, &error), error);
    assert_true(fl_fit_error(fit) <= 1e-6);
    assert_true(calls < 2 * FL_FIT_TERMS + 60);
    uint64_t state = 3;
    for (int i = 0; i < 500; i++) {
        double x[3], got[3], slopes[9], wanted[3], step = 1e-5;
        for (size_t k = 0; k < 3; k++)
            x[k] = sample_between(&state, low[k], high[k]);
        assert_true(fl_fit_covers(fit, x));
        smooth(wanted, x, &calls, NULL);
        fl_fit_values(fit, x, got, slopes);
        /* The stated error was measured at 40 points: elsewhere it is of that order. */
        check_near(wanted[0], got[0], 5e-6 * 150.0, "value at %g %g %g", x[0], x[1], x[2]);
        check_near(0.0, got[1], 0.0, "absent output");
        check_near(wanted[2], got[2], 5e-6, "second value");
        for (size_t k = 0; k < 3; k++) {
            double y[3] = {x[0], x[1], x[2]}, above[3], below[3];
            y[k] = x[k] + step;
            fl_fit_values(fit, y, above, NULL);
            y[k] = x[k] - step;
            fl_fit_values(fit, y, below, NULL);
            /* Exact slopes of the fit itself; difference error h^2 and 1e-16 * 150 / h. */
            check_near((above[0] - below[0]) / (2.0 * step), slopes[k],
                       1e-7 * (1.0 + fabs(slopes[k])), "slope %zu", k);
        }
    }
    {
        const double outside[] = {3.01, 3.0, 0.5}, wrong[] = {-1.0, 3.0, 0.5};
        assert_false(fl_fit_covers(fit, outside));
        assert_false(fl_fit_covers(fit, wrong));
    }
    fl_fit_free(fit);
}

/* Many inputs at once: those of one by one but for rounding, and told where they leave the box. A
 * sum of so many terms, of products up to 1 and of the size of the largest value, rounds by a unit
 * at each. */
static void test_lanes(void **unused)
{
    (void)unused;
    enum { OUTSIDE = 7, NEGATIVE = 50 };
    static const size_t outputs[] = {2, 0};
    fl_fit *fit = NULL;
    fl_error error = {0};
    size_t calls = 0;
    uint64_t state = 5;
    const fl_fit_plan plan = {.input_count = 3,
                              .output_count = 3,
                              .low = low,
                              .high = high,
                              .source = smooth,
                              .payload = &calls,
                              .wanted = 1e-6,
                              .allowed = 1e-3};
    check_ok(fl_fit_new(&fit, &plan, &error), error);
    double rows[3][FL_LANES], got[2][FL_LANES], *const to[] = {got[0], got[1]};
    const double *const inputs[] = {rows[0], rows[1], rows[2]};
    double *scratch = calloc(fl_fit_room(fit), sizeof *scratch);
    assert_non_null(scratch);
    for (size_t k = 0; k < 3; k++)
        for (size_t i = 0; i < FL_LANES; i++)
            rows[k][i] = sample_between(&state, low[k], high[k]);
    rows[0][OUTSIDE] = 3.1;
    rows[0][NEGATIVE] = -1.0;
    for (int width = 2; width <= 8; width *= 2) {
        bool covered[FL_LANES];
        if (fl_vector_of(width) == NULL)
            continue;
        const fl_fit_request request = {outputs, to, 2};
        fl_fit_lanes(fit, fl_vector_of(width), &request, inputs, scratch, covered);
        for (size_t i = 0; i < FL_LANES; i++) {
            const double x[] = {rows[0][i], rows[1][i], rows[2][i]};
            double wanted[3];
            assert_int_equal(covered[i], i != OUTSIDE && i != NEGATIVE);
            if (!covered[i])
                continue;
            fl_fit_values(fit, x, wanted, NULL);
            const double room = width == 2 ? 0.0 : FL_FIT_TERMS * 0x1p-53;
            check_near(wanted[2], got[0][i], room, "output 2 of lane %zu", i);
            check_near(wanted[0], got[1][i], 250.0 * room, "output 0 of lane %zu", i);
        }
    }
    free(scratch);
    fl_fit_free(fit);
}

/* Curved in one input, nearly straight in the others. */
static fl_status uneven(double *outputs, const double *inputs, void *payload, fl_error *error)
{
    size_t *calls = payload;
    (void)error;
    ++*calls;
    outputs[0] = 1.0 / (1.2 + inputs[0]) + 0.1 * inputs[1] - 0.05 * inputs[2] * inputs[3];
    return FL_OK;
}

/* Nothing but a product of all: no input does anything alone. */
static fl_status knot(double *outputs, const double *inputs, void *payload, fl_error *error)
{
    size_t *calls = payload;
    (void)error;
    ++*calls;
    outputs[0] = inputs[0] * inputs[1] * inputs[2] * inputs[3];
    return FL_OK;
}

/* Points go where the function needs them: a full degree of 12 in four inputs has 1820 terms. What
 * the fit says of itself holds everywhere. */
static void test_few_points(void **unused)
{
    (void)unused;
    static const double below[] = {-1.0, -1.0, -1.0, -1.0}, above[] = {1.0, 1.0, 1.0, 1.0};
    static const struct {
        fl_status (*source)(double *, const double *, void *, fl_error *);
        size_t most;
    } rows[] = {{uneven, 120}, {knot, 120}};
    for (size_t k = 0; k < sizeof rows / sizeof *rows; k++) {
        fl_fit *fit = NULL;
        fl_error error = {0};
        size_t calls = 0, checks = 0;
        uint64_t state = 9;
        const fl_fit_plan plan = {.input_count = 4,
                                  .output_count = 1,
                                  .low = below,
                                  .high = above,
                                  .source = rows[k].source,
                                  .payload = &calls,
                                  .wanted = 1e-5,
                                  .allowed = 1e-3};
        check_ok(fl_fit_new(&fit, &plan, &error), error);
        assert_true(fl_fit_error(fit) <= 1e-5);
        if (calls > rows[k].most)
            fail_msg("row %zu: %zu calls, wanted at most %zu", k, calls, rows[k].most);
        for (int i = 0; i < 2000; i++) {
            double x[4], wanted, got;
            for (size_t j = 0; j < 4; j++)
                x[j] = sample_between(&state, -1.0, 1.0);
            rows[k].source(&wanted, x, &checks, NULL);
            fl_fit_values(fit, x, &got, NULL);
            check_near(wanted, got, 1e-4, "row %zu at %g %g %g %g", k, x[0], x[1], x[2], x[3]);
        }
        fl_fit_free(fit);
    }
}

/* A step cannot be fitted: it is said, not hidden. */
static void test_refused(void **unused)
{
    (void)unused;
    fl_fit *fit = NULL;
    fl_error error = {0};
    fl_fit_plan plan = {.input_count = 1,
                        .output_count = 1,
                        .low = low,
                        .high = high,
                        .source = rough,
                        .wanted = 1e-6,
                        .allowed = 1e-3};
    assert_int_equal(fl_fit_new(&fit, &plan, &error), FL_BAD_INPUT);
    assert_non_null(strstr(error.message, "narrow"));
    plan.source = failing;
    assert_int_equal(fl_fit_new(&fit, &plan, &error), FL_BAD_INPUT);
    assert_string_equal(error.place, "there");
    assert_null(fit);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_smooth), cmocka_unit_test(test_lanes),
                                       cmocka_unit_test(test_few_points),
                                       cmocka_unit_test(test_refused)};
    return cmocka_run_group_tests_name("models/fit", tests, NULL, NULL);
}
