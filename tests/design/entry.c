/* Quantities with a value of their own: fixed, spread, sized. */
#include "reading.h"

static const struct {
    const char *json, *place, *message;
} bad[] = {
    {"{\"value\": \"1 fF\", \"size\": [\"1 fF\", \"2 fF\"]}", "capacitance", "found two of them"},
    {"{\"value\": \"1 fF\", \"grid\": \"1 fF\"}", "capacitance.grid", "'grid'"},
    {"{\"value\": \"1 um\"}", "capacitance.value", "expected a capacitance"},
    {"{\"value\": {}}", "capacitance.value", "expected a capacitance"},
    {"{\"value\": \"@a\"}", "capacitance.value", "expected a capacitance"},
    {"{\"size\": \"1 fF\"}", "capacitance.size", "expected a range [low, high]"},
    {"{\"size\": [\"1 fF\"]}", "capacitance.size", "expected a range"},
    {"{\"size\": [\"1 fF\", \"2 fF\", \"3 fF\"]}", "capacitance.size", "expected a range"},
    {"{\"size\": [\"2 fF\", \"2 fF\"]}", "capacitance.size", "must be below"},
    {"{\"size\": [\"3 fF\", \"2 fF\"]}", "capacitance.size", "must be below"},
    {"{\"size\": [\"1 fF\", \"2 um\"]}", "capacitance.size[1]", "expected a capacitance"},
    {"{\"size\": [1, 2]}", "capacitance.size[0]", "with its unit"},
    {"{\"size\": [\"-1 fF\", \"2 fF\"]}", "capacitance", "found -1 fF at the low end"},
    {"{\"size\": [\"-2 fF\", \"-1 fF\"]}", "capacitance", "must not be negative"},
    {"{\"size\": [\"1 fF\", \"2 fF\"], \"start\": \"3 fF\"}", "capacitance.start",
     "the start 3 fF is not within the range from 1 fF to 2 fF"},
    {"{\"size\": [\"1 fF\", \"2 fF\"], \"start\": \"0.5 fF\"}", "capacitance.start", "not within"},
    {"{\"size\": [\"1 fF\", \"2 fF\"], \"start\": [\"1 fF\"]}", "capacitance.start",
     "needs \"per case\": true"},
    {"{\"size\": [\"1 fF\", \"2 fF\"], \"grid\": \"0 fF\"}", "capacitance.grid",
     "must be positive"},
    {"{\"size\": [\"1 fF\", \"2 fF\"], \"grid\": \"-1 fF\"}", "capacitance.grid",
     "must be positive"},
    {"{\"size\": [\"1.1 fF\", \"1.9 fF\"], \"grid\": \"1 fF\"}", "capacitance.grid",
     "no step of the grid is within the range"},
    {"{\"size\": [\"1 fF\", \"2 fF\"], \"per case\": 1}", "capacitance.per case",
     "expected true or false"},
    {"{\"size\": [\"1 fF\", \"2 fF\"], \"per case\": true}", "capacitance", "a die has one mask"},
    {"{\"size\": [\"1 fF\", \"2 fF\"], \"stat\": \"1 fF\"}", "capacitance.stat", "'start'"},
};

static void bad_definitions(void **state)
{
    (void)state;
    char text[2000];
    char place[200];
    for (size_t i = 0; i < COUNT_OF(bad); i++) {
        snprintf(text, sizeof text, SAMPLE_CAPACITANCE("%s"), bad[i].json);
        snprintf(place, sizeof place, "path[0].%s", bad[i].place);
        sample_bad(text, place, bad[i].message);
    }
}

static const struct {
    const char *json;
    double value, grid;
    bool started;
} sizes[] = {
    {"{\"size\": [\"1 fF\", \"3 fF\"]}", 2e-15, 0.0, false},
    {"{\"size\": [\"0 fF\", \"3 fF\"], \"start\": \"0 fF\"}", 0.0, 0.0, true},
    {"{\"size\": [\"1 fF\", \"3 fF\"], \"start\": \"3 fF\", \"grid\": \"3 fF\"}", 3e-15, 3e-15,
     true},
    /* Both ends are steps, but for rounding. */
    {"{\"size\": [\"0.3 fF\", \"0.35 fF\"], \"grid\": \"0.1 fF\"}", 0.325e-15, 0.1e-15, false},
    {"{\"size\": [\"0.65 fF\", \"0.7 fF\"], \"grid\": \"0.1 fF\"}", 0.675e-15, 0.1e-15, false},
};

static void good_sizes(void **state)
{
    (void)state;
    char text[2000];
    for (size_t i = 0; i < COUNT_OF(sizes); i++) {
        snprintf(text, sizeof text, SAMPLE_CAPACITANCE("%s"), sizes[i].json);
        fl_design *design = sample_good(text);
        const fl_quantity *quantity = sample_quantity(design, "pad capacitance", FL_NONE);
        assert_non_null(quantity);
        assert_true(quantity->sized);
        assert_int_equal(quantity->started, sizes[i].started);
        assert_int_equal(quantity->side, FL_SIDE_DIE);
        check_near(sizes[i].value, quantity->value, 1e-29, "value %zu", i); /* rounding */
        check_near(sizes[i].grid, quantity->grid, 1e-29, "grid %zu", i);
        assert_memory_equal(design->text + quantity->begin, "{\"size\"", 7);
        assert_int_equal(design->text[quantity->end - 1], '}');
        fl_design_release(design);
    }
}

/* A named quantity takes its dimension from its first value. */
static void dimensions_are_found(void **state)
{
    (void)state;
    fl_design *design = sample_good(
        SAMPLE_HEAD "\"quantities\": {\"a\": \"4 um\", \"b\": {\"value\": 2}, "
                    "\"c\": {\"size\": [\"1 pH\", \"2 pH\"]}, \"d\": \"4 %\"}, " SAMPLE_PATH "}");
    static const fl_dimension wanted[] = {FL_LENGTH, FL_NUMBER, FL_INDUCTANCE, FL_PERCENT};
    assert_int_equal(design->quantity_count, COUNT_OF(wanted));
    for (size_t i = 0; i < COUNT_OF(wanted); i++)
        assert_int_equal(design->quantities[i].dimension, wanted[i]);
    assert_string_equal(design->quantities[0].name, "a");
    assert_non_null(strstr(design->quantities[1].place, "design.json:1:"));
    assert_non_null(strstr(design->quantities[1].place, ": quantities.b"));
    fl_design_release(design);
}

static void names_may_not_clash(void **state)
{
    (void)state;
    sample_bad(SAMPLE_HEAD "\"quantities\": {\"pad capacitance\": \"1 fF\"}, \"path\": "
                           "[{\"name\": \"pad\", \"kind\": \"shunt capacitor\", \"side\": \"die\","
                           " \"capacitance\": {\"value\": \"1 fF\"}}]}",
               "path[0].capacitance", "two quantities are named 'pad capacitance'");
    sample_bad(SAMPLE_HEAD "\"path\": [{\"name\": \"w\", \"kind\": \"bond wires\", \"side\": "
                           "\"die\", \"diameter\": \"25 um\", \"span\": \"1 mm\", \"loop height\": "
                           "{\"value\": \"1 um\"}}, {\"name\": \"w loop\", \"kind\": \"tower\", "
                           "\"side\": \"die\"}]}",
               "path[1].kind", "there is no kind of section 'tower'");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bad_definitions),
        cmocka_unit_test(good_sizes),
        cmocka_unit_test(dimensions_are_found),
        cmocka_unit_test(names_may_not_clash),
    };
    return cmocka_run_group_tests_name("design/entry", tests, NULL, NULL);
}
