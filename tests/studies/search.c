/* The unknowns of a search and its progress. */
#include "circuit.h"

enum { MANY = 1001 };

static const fl_quantity three[3] = {
    {.name = "a", .value = 1.0},
    {.name = "b", .sized = true, .value = 2.0, .low = 1.0, .high = 3.0},
    {.name = "c", .sized = true, .value = 5.0, .low = 4.0, .high = 9.0},
};

static void test_unknowns(void **state)
{
    (void)state;
    fl_design design = {.quantities = three, .quantity_count = 3, .file = "x"};
    fl_study study = {.design = &design, .threads = 1};
    fl_search search;
    fl_error error;
    double quantities[3];
    check_ok(fl_search_init(&search, &study, &error), error);
    assert_int_equal(search.count, 2);
    assert_int_equal(search.unknowns[0], 1);
    assert_int_equal(search.unknowns[1], 2);
    assert_true(search.low[1] == 4.0 && search.high[1] == 9.0);
    fl_search_quantities(&search, (double[]){2.5, 8.0}, quantities);
    assert_true(quantities[0] == 1.0 && quantities[1] == 2.5 && quantities[2] == 8.0);
    fl_search_release(&search);
}

static void test_too_many(void **state)
{
    (void)state;
    static fl_quantity many[MANY];
    for (size_t i = 0; i < MANY; i++)
        many[i] = (fl_quantity){.name = "q", .sized = true, .low = 1.0, .high = 2.0};
    fl_design design = {.quantities = many, .quantity_count = MANY, .file = "big.json"};
    fl_study study = {.design = &design, .threads = 1};
    fl_sizing sizing;
    fl_error error;
    assert_int_equal(fl_sizing_run(&sizing, &study, &error), FL_BAD_INPUT);
    assert_string_equal(error.place, "big.json");
    assert_non_null(strstr(error.message, "1001"));
    fl_sizing_release(&sizing);
}

static double last_done;

static int stop_late(void *payload, const char *stage, double done)
{
    assert_string_equal(stage, "placing");
    ++*(int *)payload;
    last_done = done;
    return done > 0.7;
}

static void test_progress(void **state)
{
    (void)state;
    int calls = 0;
    fl_design design = {.quantities = three, .quantity_count = 3, .file = "x"};
    fl_study study = {.design = &design, .threads = 1, .progress = stop_late, .payload = &calls};
    fl_search search;
    fl_error error;
    check_ok(fl_search_init(&search, &study, &error), error);
    fl_search_loop(&search, "placing", 0.5, 1.0, 4);
    assert_false(fl_search_ask(&search));
    check_near(0.5, last_done, 1e-15, "begin");
    fl_search_step(&search);
    assert_false(fl_search_ask(&search));
    check_near(0.625, last_done, 1e-15, "one of four");
    fl_search_step(&search);
    assert_false(fl_search_stopped(&search));
    assert_true(fl_search_ask(&search));
    assert_true(fl_search_stopped(&search));
    assert_true(fl_search_ask(&search));
    assert_int_equal(calls, 3); /* not asked again once it said stop */
    fl_search_release(&search);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_unknowns),
        cmocka_unit_test(test_too_many),
        cmocka_unit_test(test_progress),
    };
    return cmocka_run_group_tests_name("studies/search", tests, NULL, NULL);
}
