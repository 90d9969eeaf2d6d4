/* Sized values of a result. */
#include "asked.h"

static void takes_sized_values(void **state)
{
    (void)state;
    asked a;
    fl_error error;
    asked_read(&a, asked_text, "size");
    const size_t near = asked_index(&a, "stub length", 0);
    const size_t far = asked_index(&a, "stub length", 1);
    fl_bound *bounds = fl_memory_take(a.design->quantity_count, sizeof *bounds);
    a.quantities[near] = 0.2e-3;
    a.quantities[far] = 0.5e-3;
    bounds[far] = FL_BOUND_HIGH;
    const fl_sizing sizing = {.quantities = a.quantities,
                              .bounds = bounds,
                              .free_margin_db = 2.5,
                              .starts = 12,
                              .interrupted = true};
    check_ok(fl_result_add_sizing(a.result, &a.study, &sizing, &error), error);
    fl_memory_free(bounds);
    asked_forget(&a);
    const fl_result *r = a.result;
    assert_true(r->has_sizing && r->interrupted);
    check_near(2.0, (double)r->sized_count, 0.0, "sized");
    check_near(2.5, r->free_margin_db, 0.0, "free margin");
    check_near(12.0, (double)r->starts, 0.0, "starts");
    for (size_t i = 0; i < 2; i++) {
        const bool of_far = strcmp(r->sized[i].case_name, "far") == 0;
        assert_string_equal(r->sized[i].name, "stub length");
        check_near(of_far ? 0.5e-3 : 0.2e-3, r->sized[i].value, 0.0, "value");
        check_near(0.1e-3, r->sized[i].low, 0.0, "low");
        check_near(0.5e-3, r->sized[i].high, 0.0, "high");
        check_near(10e-6, r->sized[i].grid, 0.0, "grid");
        assert_int_equal(r->sized[i].bound, of_far ? FL_BOUND_HIGH : FL_BOUND_NONE);
        assert_int_equal(r->sized[i].dimension, FL_LENGTH);
    }
    fl_result_free(a.result);
}

/* The second route: the text, read again, gives the values. */
static void writes_values_into_the_design(void **state)
{
    (void)state;
    asked a, again;
    fl_error error;
    asked_read(&a, asked_text, "size");
    const size_t near = asked_index(&a, "stub length", 0);
    const size_t far = asked_index(&a, "stub length", 1);
    fl_bound *bounds = fl_memory_take(a.design->quantity_count, sizeof *bounds);
    a.quantities[near] = 0.21e-3;
    a.quantities[far] = 0.43e-3;
    const fl_sizing sizing = {.quantities = a.quantities, .bounds = bounds};
    check_ok(fl_result_add_sizing(a.result, &a.study, &sizing, &error), error);
    fl_memory_free(bounds);
    asked_forget(&a);
    check_near((double)strlen(a.result->sized_design), (double)a.result->sized_design_length, 0.0,
               "length");
    asked_read(&again, a.result->sized_design, "response");
    check_near(0.21e-3, again.quantities[near], 0.0, "near");
    check_near(0.43e-3, again.quantities[far], 0.0, "far");
    asked_forget(&again);
    fl_result_free(again.result);
    fl_result_free(a.result);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(takes_sized_values),
                                       cmocka_unit_test(writes_values_into_the_design)};
    return cmocka_run_group_tests_name("result/sizing", tests, NULL, NULL);
}
