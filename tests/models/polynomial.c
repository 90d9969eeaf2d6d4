/* A fit as bytes: the same values, slopes and lanes, to the bit. */
#include "check.h"

#include "models/fit_parts.h"
#include "sample.h"

enum { INPUTS = 3, OUTPUTS = 3 };

static const double low[] = {1.0, -2.0, 0.1}, high[] = {2.0, 3.0, 5.0};

/* Two smooth outputs, and one that is nothing. */
static fl_status source(double *outputs, const double *x, void *payload, fl_error *error)
{
    (void)payload;
    (void)error;
    outputs[0] = 1e-12 * exp(0.2 * x[1]) * sqrt(x[0]) * pow(x[2], 0.3);
    outputs[1] = 50.0 / (1.0 + 0.1 * x[0]);
    outputs[2] = 0.0;
    return FL_OK;
}

static fl_fit *make(void)
{
    fl_fit *fit = NULL;
    fl_error error = {0};
    const fl_fit_plan plan = {.input_count = INPUTS,
                              .output_count = OUTPUTS,
                              .low = low,
                              .high = high,
                              .source = source,
                              .wanted = 1e-5,
                              .allowed = 1e-3};
    check_ok(fl_fit_new(&fit, &plan, &error), error);
    return fit;
}

static void compare(const fl_fit *a, const fl_fit *b)
{
    uint64_t random = 7;
    check_near(fl_fit_error(a), fl_fit_error(b), 0.0, "error");
    assert_int_equal(fl_fit_terms(a), fl_fit_terms(b));
    for (int k = 0; k < 50; k++) {
        double x[INPUTS], values[2][OUTPUTS], slopes[2][OUTPUTS * INPUTS];
        for (int i = 0; i < INPUTS; i++)
            x[i] = sample_between(&random, low[i], high[i]);
        fl_fit_values(a, x, values[0], slopes[0]);
        fl_fit_values(b, x, values[1], slopes[1]);
        assert_memory_equal(values[0], values[1], sizeof values[0]);
        assert_memory_equal(slopes[0], slopes[1], sizeof slopes[0]);
        assert_true(fl_fit_covers(b, x));
        x[1] = 3.1;
        assert_false(fl_fit_covers(b, x));
    }
}

static void test_round(void **state)
{
    (void)state;
    fl_text text;
    fl_unpack from;
    fl_arena arena;
    fl_fit *fit = make();
    fl_text_init(&text);
    fl_arena_init(&arena);
    fl_fit_pack(&text, fit);
    fl_unpack_init(&from, &arena, text.bytes, text.length);
    const fl_fit *back = fl_fit_unpack(&from);
    assert_non_null(back);
    assert_true(from.at == from.end);
    assert_int_equal(fl_fit_inputs(back), INPUTS);
    assert_int_equal(fl_fit_outputs(back), OUTPUTS);
    compare(fit, back);
    /* Fewer than the eight of a double each. */
    assert_true(text.length < 2 * 8 * fl_fit_terms(fit));
    for (size_t length = 0; length < text.length; length++) {
        fl_unpack_init(&from, &arena, text.bytes, length);
        assert_null(fl_fit_unpack(&from));
    }
    fl_text_release(&text);
    fl_arena_release(&arena);
    fl_fit_free(fit);
}

/* Rounding once more changes nothing, be the largest a power of two or next to one. */
static void test_round_again(void **state)
{
    (void)state;
    const double largest[] = {1.0, 1.0 - 0x1p-50, 1.0 + 0x1p-50, 3e-13, 0.0};
    for (size_t i = 0; i < sizeof largest / sizeof *largest; i++) {
        double row[] = {largest[i], largest[i] / 3.0, -largest[i] / 7e5, 0.0}, once[4];
        fl_fit fit = {.outputs = 1, .term_count = 4, .coefficients = row};
        fl_fit_round(&fit);
        memcpy(once, row, sizeof once);
        check_close(largest[i] / 3.0, row[1], 1e-9, "a third of %.17g", largest[i]);
        fl_fit_round(&fit);
        assert_memory_equal(once, row, sizeof once);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_round),
                                       cmocka_unit_test(test_round_again)};
    return cmocka_run_group_tests_name("models/polynomial", tests, NULL, NULL);
}
