/* What a page may call: texts and numbers of the design, results, and calls that are wrong. */
#include "examples.h"

#include "live/kernel.h"

static fl_kernel *open_kernel(live_example *own)
{
    live_example_open(own, live_examples[3]);
    char *room = fl_kernel_take(own->bytes.length);
    memcpy(room, own->bytes.bytes, own->bytes.length);
    fl_kernel *kernel = fl_kernel_open(room, own->bytes.length);
    fl_kernel_give(room);
    assert_non_null(kernel);
    assert_null(fl_kernel_problem(kernel));
    return kernel;
}

static void test_design(void **state)
{
    (void)state;
    live_example own;
    fl_kernel *kernel = open_kernel(&own);
    assert_int_equal(fl_kernel_sizes(kernel), 4);
    assert_string_equal(fl_kernel_size_text(kernel, 0, 0), "die line impedance");
    assert_null(fl_kernel_size_text(kernel, 0, 1));
    assert_string_equal(fl_kernel_size_text(kernel, 0, 2), "ohm");
    assert_string_equal(fl_kernel_size_text(kernel, 0, 3), "die");
    assert_string_equal(fl_kernel_size_text(kernel, 3, 1), "wet");
    assert_null(fl_kernel_size_text(kernel, 4, 0));
    check_near(40.0, fl_kernel_size_number(kernel, 0, 1), 0.0, "low");
    check_near(85.0, fl_kernel_size_number(kernel, 0, 2), 0.0, "high");
    check_near(1.0, fl_kernel_size_number(kernel, 0, 3), 0.0, "grid");
    check_near(60.0, fl_kernel_size_number(kernel, 0, 4), 0.0, "value");
    check_near(0.0, fl_kernel_size_number(kernel, 0, 5), 0.0, "nothing");
    assert_int_equal(fl_kernel_cases(kernel), 2);
    assert_string_equal(fl_kernel_case(kernel, 1), "wet");
    assert_null(fl_kernel_case(kernel, 2));
    assert_int_equal(fl_kernel_requirements(kernel), 3);
    assert_string_equal(fl_kernel_requirement_text(kernel, 1, 0), "insertion loss");
    assert_string_equal(fl_kernel_requirement_text(kernel, 2, 1), "die");
    check_near(1.2, fl_kernel_requirement_number(kernel, 1, 1), 0.0, "limit");
    check_near(28e9, fl_kernel_requirement_number(kernel, 2, 3), 0.0, "band");
    assert_int_equal(fl_kernel_samples(kernel), FL_LIVE_SAMPLES);
    assert_string_equal(fl_kernel_port(kernel), "board");
    fl_kernel_close(kernel);
    live_example_close(&own);
}

static void test_results(void **state)
{
    (void)state;
    live_example own;
    fl_kernel *kernel = open_kernel(&own);
    const size_t index = (size_t)fl_kernel_size_number(kernel, 0, 0);
    check_near(70.0, fl_kernel_set(kernel, index, 70.0), 0.0, "set");
    check_near(70.0, fl_kernel_value(kernel, index), 0.0, "value");
    assert_int_equal(fl_kernel_look_at_band(kernel), 31);
    assert_int_equal(fl_kernel_respond(kernel, 1), 1);
    const double *results = fl_kernel_results(kernel);
    check_near(27e9, results[0], 0.0, "first frequency");
    assert_true(results[31] > 1.0 && results[31] < 60.0);
    assert_true(results[62] > 0.0 && results[62] < 3.0);
    assert_int_equal(fl_kernel_margin(kernel), 1);
    results = fl_kernel_results(kernel);
    check_near(fmin(results[1], results[6]), results[1 + 5 * (size_t)results[0]], 0.0, "margin");
    assert_int_equal(fl_kernel_yield(kernel, 200.0), 1);
    check_near(200.0, fl_kernel_results(kernel)[0], 0.0, "samples");
    assert_int_equal(fl_kernel_smith(kernel, 0, 29e9), 11);
    assert_int_equal(fl_kernel_step_length(kernel, 0), 1);
    assert_string_equal(fl_kernel_step_section(kernel, 0), "");
    assert_string_equal(fl_kernel_step_section(kernel, 10), "feed");
    check_near(50.0, fl_kernel_reference(kernel), 0.0, "reference");
    assert_true(hypot(fl_kernel_step_points(kernel, 10)[0], fl_kernel_step_points(kernel, 10)[1]) <
                1.0);
    fl_kernel_reset(kernel);
    check_near(60.0, fl_kernel_value(kernel, index), 0.0, "reset");
    assert_non_null(strstr(fl_kernel_save(kernel), "\"start\": \"60 ohm\""));
    assert_int_equal(fl_kernel_saved_length(kernel), strlen(fl_kernel_save(kernel)));
    fl_kernel_close(kernel);
    live_example_close(&own);
}

/* A page may ask anything: it gets 0, and the kernel goes on. */
static void test_wrong(void **state)
{
    (void)state;
    live_example own;
    fl_kernel *kernel = open_kernel(&own);
    assert_int_equal(fl_kernel_respond(kernel, 0), 0); /* at no frequency */
    double *frequencies = fl_kernel_look_at(kernel, 2);
    frequencies[0] = (double)NAN;
    assert_int_equal(fl_kernel_respond(kernel, 0), 0);
    frequencies[0] = 28e9;
    frequencies[1] = -1.0;
    assert_int_equal(fl_kernel_respond(kernel, 0), 0);
    assert_non_null(fl_kernel_problem(kernel));
    frequencies[1] = 29e9;
    assert_int_equal(fl_kernel_respond(kernel, 2), 0);
    assert_int_equal(fl_kernel_respond(kernel, 1), 1);
    assert_null(fl_kernel_problem(kernel));
    assert_int_equal(fl_kernel_smith(kernel, 0, 0.0), 0);
    assert_int_equal(fl_kernel_smith(kernel, 7, 28e9), 0);
    assert_int_equal(fl_kernel_step_length(kernel, 0), 0);
    assert_null(fl_kernel_step_points(kernel, 0));
    assert_int_equal(fl_kernel_yield(kernel, 0.0), 0);
    assert_int_equal(fl_kernel_yield(kernel, 1e9), 0);
    assert_int_equal(fl_kernel_yield(kernel, (double)NAN), 0);
    check_near(0.0, fl_kernel_value(kernel, 1000), 0.0, "no such value");
    fl_kernel_close(kernel);
    live_example_close(&own);
}

static void test_damaged(void **state)
{
    (void)state;
    fl_kernel *kernel = fl_kernel_open("not one", 7);
    assert_non_null(kernel);
    assert_non_null(strstr(fl_kernel_problem(kernel), "live model"));
    fl_kernel_close(kernel);
    fl_kernel_close(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_design),
                                       cmocka_unit_test(test_results), cmocka_unit_test(test_wrong),
                                       cmocka_unit_test(test_damaged)};
    return cmocka_run_group_tests_name("live/kernel", tests, NULL, NULL);
}
